//! How fast things sink: `tests/independent/settling.csv`.

use reckoner_calc::Rules;
use reckoner_calc::formulas::sand::Grains;
use reckoner_calc::formulas::settling::{ferguson_church, soulsby};
use reckoner_calc::quantity::Dimension;
use reckoner_calc::rules::settling::{SettlingRules, Shape};
use reckoner_tests::{assert_within, independent};
use uom::si::f64::{KinematicViscosity, Length, MassDensity};

fn rules() -> SettlingRules {
    Rules::compiled_in().unwrap().settling
}

fn grains(size_mm: f64, density: f64, water: f64, viscosity: f64) -> Grains {
    let (density, water) = (MassDensity::from_si(density), MassDensity::from_si(water));
    Grains::new(Length::from_si(size_mm * 1e-3), density, water, KinematicViscosity::from_si(viscosity))
        .unwrap()
}

#[test]
fn numpy_table_of_soulsby_and_ferguson_church_is_met_over_its_whole_range() {
    let rules = rules();
    for row in independent("settling").rows() {
        let number = |column| row.number(column);
        let grains = grains(number("d_mm"), number("rho_s"), number("rho"), number("nu"));
        let pairs = [
            ("soulsby_m_s", soulsby(grains, &rules)),
            ("fc_18_1.0_m_s", ferguson_church(&grains, Shape::Sieved, &rules)),
            ("fc_20_1.1_m_s", ferguson_church(&grains, Shape::Nominal, &rules)),
            ("fc_18_0.4_sphere_m_s", ferguson_church(&grains, Shape::Ball, &rules)),
        ];
        for (column, got) in pairs {
            let what = format!("{column}, {} at {} mm", row.text("case"), row.text("d_mm"));
            assert_within(&what, got.si(), number(column), 1e-8 * number(column), "nine printed digits");
        }
    }
}

#[test]
fn fluids_drag_law_of_balls_agrees_within_what_the_simple_equation_can() {
    let rules = rules();
    for row in independent("settling").rows() {
        let number = |column| row.number(column);
        let grains = grains(number("d_mm"), number("rho_s"), number("rho"), number("nu"));
        let ball = ferguson_church(&grains, Shape::Ball, &rules).si();
        let what = format!("{} at {} mm", row.text("case"), row.text("d_mm"));
        let want = number("fluids_sphere_m_s");
        assert_within(
            &what,
            ball,
            want,
            0.26 * want,
            "the equation is loose in the middle range, 24 % at 0.5 mm in fresh water",
        );
    }
}

#[test]
fn stokes_is_the_limit_of_fine_grains() {
    let rules = rules();
    for row in independent("settling").rows().filter(|row| row.text("d_mm") == "0.05") {
        let number = |column| row.number(column);
        let grains = grains(number("d_mm"), number("rho_s"), number("rho"), number("nu"));
        let want = number("stokes_m_s");
        let got = ferguson_church(&grains, Shape::Ball, &rules).si();
        assert_within(
            row.text("case"),
            got,
            want,
            0.05 * want,
            "5 % at 0.05 mm, where inertia begins to count",
        );
    }
}

#[test]
fn soulsby_and_ferguson_church_agree_on_natural_sand() {
    let rules = rules();
    for row in independent("settling").rows() {
        let number = |column| row.number(column);
        let grains = grains(number("d_mm"), number("rho_s"), number("rho"), number("nu"));
        let want = number("fc_18_1.0_m_s");
        let what = format!("{} at {} mm", row.text("case"), row.text("d_mm"));
        assert_within(
            &what,
            soulsby(grains, &rules).si(),
            want,
            0.15 * want,
            "two fits to scattered measurements",
        );
    }
}
