//! Oxygen: the figures that the papers print about themselves.

use reckoner_calc::Rules;
use reckoner_calc::oxygen;
use reckoner_calc::quantity::{Dimension, Salinity};
use reckoner_calc::tank::Water;
use reckoner_tests::{assert_printed, assert_within};
use uom::si::f64::Mass;
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
    assert_printed("solubility at 10 °C and salinity 35, µmol/kg", micromoles(water(10.0, 35.0), &rules()), "274.610");
}

#[test]
fn clarke_johnston_1999_abstract() {
    let rules = rules();
    let fifty_grams = |degrees| millimoles_an_hour(50.0, degrees, &rules);
    let ratio = fifty_grams(30.0) / fifty_grams(0.0);
    assert_printed("a tropical fish at 30 °C over a polar one at 0 °C", ratio, "6");
    // Three steps of ten degrees: the cube of Q10.
    assert_within("cube of Q10", ratio, 1.83 * 1.83 * 1.83, 3.0 * 1.83 * 1.83 * 0.005, "half the last printed digit of 1.83");
    // Thirty-two times the mass is exactly sixteen times the breathing when the exponent is 0.80.
    let growth = millimoles_an_hour(320.0, 25.0, &rules) / millimoles_an_hour(10.0, 25.0, &rules);
    assert_within("exponent of mass", growth, 16.0, 1e-9, "the exponent is given as 0.80");
}
