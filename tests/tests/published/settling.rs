//! How fast things sink: `tests/published/settling_note.csv`, and abstracts.

use reckoner_calc::Rules;
use reckoner_calc::formulas::sand::Grains;
use reckoner_calc::formulas::settling::soulsby;
use reckoner_calc::quantity::{Dimension, parse};
use reckoner_calc::rules::settling::{Floor, SettlingRules};
use reckoner_tests::{assert_printed, assert_within, published};
use uom::si::f64::{KinematicViscosity, Length, MassDensity, Pressure, Velocity};

fn rules() -> SettlingRules {
    Rules::compiled_in().unwrap().settling
}

fn grains(size_mm: f64, density: f64, water: f64, viscosity: f64) -> Grains {
    let (density, water) = (MassDensity::from_si(density), MassDensity::from_si(water));
    Grains::new(Length::from_si(size_mm * 1e-3), density, water, KinematicViscosity::from_si(viscosity))
        .unwrap()
}

#[test]
fn technical_note_on_soulsby_1997_equation_102_prints_the_same_digits() {
    let rules = rules();
    for row in published("settling_note").rows() {
        let grains = grains(row.number("size"), 2.585 * 1025.0, 1025.0, 1.05e-6);
        assert_printed(row.text("size"), soulsby(grains, &rules).si(), row.text("printed"));
    }
}

/// The abstracts give 0.087, 0.144 and 0.088 m/s for pellets (Vassallo et al. 2006), 0.7 and 1.7 cm/s for the
/// waste of trout (World Aquaculture Society, abstract 165932), and 0.06, 0.12 and 0.32 Pa for waste on mud,
/// sand and broken rock (Carvajalino-Fernández et al. 2020).
#[test]
fn abstracts_of_vassallo_2006_was_165932_and_carvajalino_2020() {
    let rules = rules();
    let speed = |text| parse::<Velocity>(text).unwrap().si();
    let same = |what: &str, got: f64, want: f64| {
        assert_within(what, got, want, 1e-12, "the rule is the printed value")
    };
    same("slowest pellet", rules.pellets.low.si(), speed("0.087 m/s"));
    same("fastest pellet", rules.pellets.high.si(), speed("0.144 m/s"));
    same("slowest waste", rules.waste.low.si(), speed("0.7 cm/s"));
    same("fastest waste", rules.waste.high.si(), speed("1.7 cm/s"));
    for (floor, printed) in Floor::ALL.into_iter().zip(["0.06 Pa", "0.12 Pa", "0.32 Pa"]) {
        same(floor.key(), rules.lifts_waste(floor).si(), parse::<Pressure>(printed).unwrap().si());
    }
}
