//! How fast things sink: `tests/published/settling.csv` and `settling_note.csv`.

use reckoner_calc::Rules;
use reckoner_calc::quantity::{Dimension, parse};
use reckoner_calc::sand::Grains;
use reckoner_calc::settling::{Floor, SettlingRules, Shape, ferguson_church, soulsby};
use reckoner_tests::{assert_printed, assert_within, published};
use uom::si::f64::{KinematicViscosity, Length, MassDensity, Pressure, Velocity};

fn rules() -> SettlingRules {
    Rules::compiled_in().unwrap().settling
}

fn grains(size_mm: f64, density: f64, water: f64, viscosity: f64) -> Grains {
    let (density, water) = (MassDensity::from_si(density), MassDensity::from_si(water));
    Grains::new(Length::from_si(size_mm * 1e-3), density, water, KinematicViscosity::from_si(viscosity)).unwrap()
}

#[test]
fn technical_note_on_soulsby_1997_equation_102_prints_the_same_digits() {
    let rules = rules();
    for row in published("settling_note").rows() {
        let grains = grains(row.number("size"), 2.585 * 1025.0, 1025.0, 1.05e-6);
        assert_printed(row.text("size"), soulsby(&grains, &rules).si(), row.text("printed"));
    }
}

#[test]
fn numpy_table_of_soulsby_and_ferguson_church_is_met_over_its_whole_range() {
    let rules = rules();
    for row in published("settling").rows() {
        let number = |column| row.number(column);
        let grains = grains(number("d_mm"), number("rho_s"), number("rho"), number("nu"));
        let pairs = [
            ("soulsby_m_s", soulsby(&grains, &rules)),
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
    for row in published("settling").rows() {
        let number = |column| row.number(column);
        let grains = grains(number("d_mm"), number("rho_s"), number("rho"), number("nu"));
        let ball = ferguson_church(&grains, Shape::Ball, &rules).si();
        let what = format!("{} at {} mm", row.text("case"), row.text("d_mm"));
        let want = number("fluids_sphere_m_s");
        assert_within(&what, ball, want, 0.26 * want, "the equation is loose in the middle range, 24 % at 0.5 mm in fresh water");
    }
}

#[test]
fn stokes_is_the_limit_of_fine_grains() {
    let rules = rules();
    for row in published("settling").rows().filter(|row| row.text("d_mm") == "0.05") {
        let number = |column| row.number(column);
        let grains = grains(number("d_mm"), number("rho_s"), number("rho"), number("nu"));
        let want = number("stokes_m_s");
        let got = ferguson_church(&grains, Shape::Ball, &rules).si();
        assert_within(row.text("case"), got, want, 0.05 * want, "5 % at 0.05 mm, where inertia begins to count");
    }
}

#[test]
fn soulsby_and_ferguson_church_agree_on_natural_sand() {
    let rules = rules();
    for row in published("settling").rows() {
        let number = |column| row.number(column);
        let grains = grains(number("d_mm"), number("rho_s"), number("rho"), number("nu"));
        let want = number("fc_18_1.0_m_s");
        let what = format!("{} at {} mm", row.text("case"), row.text("d_mm"));
        assert_within(&what, soulsby(&grains, &rules).si(), want, 0.15 * want, "two fits to scattered measurements");
    }
}

/// The abstracts give 0.087, 0.144 and 0.088 m/s for pellets (Vassallo et al. 2006), 0.7 and 1.7 cm/s for the waste of trout (World
/// Aquaculture Society, abstract 165932), and 0.06, 0.12 and 0.32 Pa for waste on mud, sand and broken rock (Carvajalino-Fernández et
/// al. 2020).
#[test]
fn abstracts_of_vassallo_2006_was_165932_and_carvajalino_2020() {
    let rules = rules();
    let speed = |text| parse::<Velocity>(text).unwrap().si();
    let same = |what: &str, got: f64, want: f64| assert_within(what, got, want, 1e-12, "the rule is the printed value");
    same("slowest pellet", rules.pellets.low.si(), speed("0.087 m/s"));
    same("fastest pellet", rules.pellets.high.si(), speed("0.144 m/s"));
    same("slowest waste", rules.waste.low.si(), speed("0.7 cm/s"));
    same("fastest waste", rules.waste.high.si(), speed("1.7 cm/s"));
    for (floor, printed) in Floor::ALL.into_iter().zip(["0.06 Pa", "0.12 Pa", "0.32 Pa"]) {
        same(floor.words(), rules.lifts_waste(floor).si(), parse::<Pressure>(printed).unwrap().si());
    }
}
