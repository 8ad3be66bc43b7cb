//! When sand starts to move: `tests/published/sand_note.csv`.

use reckoner_calc::Rules;
use reckoner_calc::formulas::sand::{Grains, depth_mean, friction_velocity};
use reckoner_calc::quantity::Dimension;
use reckoner_calc::rules::sand::SandRules;
use reckoner_tests::{Row, assert_printed, assert_within, published};
use uom::si::f64::{KinematicViscosity, Length, MassDensity, Velocity};

fn rules() -> SandRules {
    Rules::compiled_in().unwrap().sand
}

fn metres(value: f64) -> Length {
    Length::from_si(value)
}

fn grains(size_mm: f64, density: f64, water: f64, viscosity: f64) -> Grains {
    let (density, water) = (MassDensity::from_si(density), MassDensity::from_si(water));
    Grains::new(metres(size_mm * 1e-3), density, water, KinematicViscosity::from_si(viscosity)).unwrap()
}

fn noted_grains(row: Row<'_>) -> Grains {
    let number = |column| row.number(column);
    grains(number("size"), number("grain_density"), number("water_density"), number("viscosity") * 1e-6)
}

/// What the note or the book prints beside a row's quantity.
fn reckoned(row: Row<'_>, rules: &SandRules) -> f64 {
    let grains = noted_grains(row);
    match row.text("quantity") {
        "threshold_current" => grains.threshold_current(metres(5.0), rules).unwrap().si(),
        "dimensionless_size" => grains.dimensionless_size().si(),
        "dstar_factor" => grains.dimensionless_size().si() / (row.number("size") * 1e-3),
        "threshold" => grains.threshold(rules).unwrap().si(),
        "threshold_stress" => grains.threshold_stress(rules).unwrap().si(),
        "friction_velocity" => friction_velocity(
            grains.threshold_stress(rules).unwrap(),
            MassDensity::from_si(row.number("water_density")),
        )
        .si(),
        "depth_mean" => {
            let z0 = metres(row.number("size") * 1e-3 / 12.0);
            depth_mean(Velocity::from_si(0.02), z0, metres(0.4), rules).unwrap().si()
        }
        other => panic!("unknown quantity {other}"),
    }
}

#[test]
fn soulsby_1997_example_6_1() {
    let rules = rules();
    let table = published("sand_note");
    let row = table.rows().find(|row| row.text("source") == "book").unwrap();
    assert_printed("threshold current", reckoned(row, &rules), row.text("printed"));
}

#[test]
fn technical_note_on_soulsby_1997_prints_the_same_digits() {
    let rules = rules();
    for row in published("sand_note").rows().filter(|row| row.text("source") == "note") {
        let what = format!("{} at {} mm", row.text("quantity"), row.text("size"));
        if row.text("quantity") == "dstar_factor" {
            assert_within(
                &what,
                reckoned(row, &rules),
                row.number("printed"),
                0.1,
                "the density ratio is given in six digits",
            );
        } else {
            assert_printed(&what, reckoned(row, &rules), row.text("printed"));
        }
    }
}

/// The note gives the least threshold as 0.0299 at D* = 17.1, found by calculus.
#[test]
fn technical_note_on_soulsby_1997_least_threshold() {
    let rules = rules();
    // In the note's water, D* is 24162.4 times the size in metres.
    let at = |size: f64| grains(size / 24.1624, 2650.0, 1025.0, 1.05e-6).threshold(&rules).unwrap().si();
    assert_printed("least threshold", at(17.1), "0.0299");
    for size in 1..=200 {
        assert!(at(f64::from(size)) >= at(17.1) - 1e-7, "lower at D* = {size}");
    }
}
