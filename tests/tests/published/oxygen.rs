//! Oxygen: `tests/published/oxygen_night.csv`, and the figures that the papers print about themselves.

use reckoner_calc::Rules;
use reckoner_calc::formulas::oxygen;
use reckoner_calc::quantity::{Dimension, Salinity};
use reckoner_calc::tank::Water;
use reckoner_tests::{assert_printed, assert_within, published};
use uom::si::f64::{Area, Mass, MassRate};
use uom::si::molality::mole_per_kilogram;

use crate::seawater::celsius;

fn rules() -> Rules {
    Rules::compiled_in().unwrap()
}

fn water(degrees: f64, salinity: f64) -> Water {
    Water { temperature: celsius(degrees), salinity: Salinity(salinity) }
}

fn micromoles(water: Water, rules: &Rules) -> f64 {
    oxygen::solubility(water, &rules.oxygen).unwrap().get::<mole_per_kilogram>() * 1e6
}

fn millimoles_an_hour(grams: f64, degrees: f64, rules: &Rules) -> f64 {
    let rate = oxygen::respiration(Mass::from_si(grams * 1e-3), celsius(degrees), &rules.oxygen).unwrap();
    rate.si() / rules.oxygen.molar_mass.si() * 3600.0 * 1e3
}

#[test]
fn garcia_gordon_1992_check_value() {
    assert_printed(
        "solubility at 10 °C and salinity 35, µmol/kg",
        micromoles(water(10.0, 35.0), &rules()),
        "274.610",
    );
}

#[test]
fn clarke_johnston_1999_abstract() {
    let rules = rules();
    let fifty_grams = |degrees| millimoles_an_hour(50.0, degrees, &rules);
    let ratio = fifty_grams(30.0) / fifty_grams(0.0);
    assert_printed("a tropical fish at 30 °C over a polar one at 0 °C", ratio, "6");
    // Three steps of ten degrees: the cube of Q10.
    assert_within(
        "cube of Q10",
        ratio,
        1.83 * 1.83 * 1.83,
        3.0 * 1.83 * 1.83 * 0.005,
        "half the last printed digit of 1.83",
    );
    // Thirty-two times the mass is exactly sixteen times the breathing when the exponent is 0.80.
    let growth = millimoles_an_hour(320.0, 25.0, &rules) / millimoles_an_hour(10.0, 25.0, &rules);
    assert_within("exponent of mass", growth, 16.0, 1e-9, "the exponent is given as 0.80");
}

/// A rate by carbon as its source prints it, in milligrams of oxygen: one mole of oxygen for one of carbon.
fn milligrams_by_area(what: &str) -> f64 {
    let oxygen = 31.9988;
    for row in published("oxygen_night").rows() {
        if row.text("what") == what {
            return match row.text("unit") {
                "mmol O2 m-2 d-1" => row.number("value") / 24.0 * oxygen,
                "g C m-2 d-1" => row.number("value") / 12.011 * 1e3 / 24.0 * oxygen,
                "umol C cm-2 h-1" => row.number("value") * 10.0 * oxygen,
                unit => panic!("{unit}"),
            };
        }
    }
    panic!("no row {what}")
}

fn milligrams(rate: MassRate) -> f64 {
    rate.si() * 3600.0 * 1e6
}

#[test]
fn a_reef_its_sand_and_its_rock_take_up_what_was_measured() {
    let rules = rules().oxygen;
    let (there, metre) = (*rules.night_temperature, Area::from_si(1.0));
    let slope = milligrams(oxygen::reef(metre, there, &rules).unwrap());
    assert_within("reef slope", slope, milligrams_by_area("reef slope"), 1e-6 * slope, "the same rate");
    let sand = oxygen::sand_and_rock_breathing(metre, Mass::default(), there, &rules).unwrap();
    assert_within(
        "sand, usual",
        milligrams(sand.low),
        milligrams_by_area("sand usual"),
        1e-6,
        "the same rate",
    );
    assert_within("sand, fed", milligrams(sand.high), milligrams_by_area("sand fed"), 1e-6, "the same rate");
    let rock = oxygen::sand_and_rock_breathing(Area::default(), Mass::from_si(1.0), there, &rules).unwrap();
    let by_area = |rate: MassRate, surface: Area| milligrams(rate) / surface.si();
    assert_within(
        "rubble, usual",
        by_area(rock.low, rules.rock_surface.low),
        milligrams_by_area("rubble usual"),
        1e-6,
        "the same rate",
    );
    assert_within(
        "rubble, fed",
        by_area(rock.high, rules.rock_surface.high),
        milligrams_by_area("rubble fed"),
        1e-6,
        "the same rate",
    );
}

/// What we count at the worst under stony corals is what whole reefs breathe: from the slope up to the
/// busiest flats.
#[test]
fn the_worst_of_stony_corals_lies_among_measured_reefs() {
    let (kinds, rules) = (rules().livestock, rules().oxygen);
    let (slope, flats) = (milligrams_by_area("reef slope"), milligrams_by_area("reef flats high"));
    assert!(milligrams_by_area("reef flats low") < flats);
    for kind in kinds.iter().filter(|kind| kind.is_stony()) {
        let worst =
            oxygen::reef_breathing(Area::from_si(1.0), kind, *rules.night_temperature, &rules).unwrap().high;
        assert!(
            (slope * (1.0 - 1e-9)..=flats).contains(&milligrams(worst)),
            "{kind:?}: {} mg/h",
            milligrams(worst)
        );
    }
}

/// Warmth: our factor over the four degrees between 24 and 28 is no gentler than what one coral did.
#[test]
fn warmth_drives_no_less_than_one_coral_showed() {
    let rules = rules().oxygen;
    let at = |degrees| oxygen::warmth(celsius(degrees), *rules.night_temperature, &rules).unwrap().si();
    let measured = published("oxygen_night")
        .rows()
        .find(|row| row.text("what").starts_with("coral at"))
        .unwrap()
        .number("value");
    let ours = at(24.0) / at(28.0);
    assert_within(
        "24 over 28 degrees",
        ours,
        measured,
        0.05,
        "one coral; the rule is a round number from memory",
    );
    assert!(ours <= measured);
}
