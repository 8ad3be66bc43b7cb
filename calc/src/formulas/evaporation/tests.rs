use proptest::prelude::*;

use super::*;
use crate::rules::Rules;

fn rules() -> EvaporationRules {
    Rules::compiled_in().unwrap().evaporation
}

fn air(room: f64, humidity: f64) -> Air {
    Air { room: celsius(room), humidity: Share(humidity) }
}

#[test]
fn nothing_evaporates_into_air_that_is_full() {
    // Warm, damp air over cooler water: dew would settle, and is not counted as a gain.
    let rules = rules();
    for formula in [still, stirred] {
        let flux = formula(celsius(22.0), air(30.0, 0.95), *rules.seawater, &rules).unwrap();
        assert!(flux.si().abs() < 1e-12);
    }
}

#[test]
fn what_lies_outside_the_formulas_is_told() {
    let rules = rules();
    assert!(vapour_pressure(celsius(-1.0), &rules).is_err());
    assert!(vapour_pressure(celsius(f64::NAN), &rules).is_err());
    assert!(still(celsius(25.0), air(61.0, 0.5), Share(1.0), &rules).is_err());
    assert!(stirred(celsius(25.0), air(20.0, 1.01), Share(1.0), &rules).is_err());
    assert!(stirred(celsius(25.0), air(20.0, 0.5), Share(1.1), &rules).is_err());
    assert!(in_wind(Velocity::from_si(-0.1), &rules).is_err());
    assert!(salinity_after(Salinity(35.0), Mass::from_si(10.0), Mass::from_si(6.0)).is_err());
    assert!(lasts(Volume::from_si(1.0), Volume::from_si(0.0)).is_err());
}

proptest! {
    #[test]
    fn warmer_water_and_drier_rooms_take_more(
        water in 15.0..34.0, warmer in 0.1..3.0, room in 10.0..34.0, humidity in 0.05..0.9, drier in 0.01..0.05,
    ) {
        let rules = rules();
        for formula in [still, stirred] {
            let flux = |water: f64, humidity: f64| {
                formula(celsius(water), air(room, humidity), *rules.seawater, &rules).unwrap()
            };
            let base = flux(water, humidity);
            prop_assert!(base.si() >= 0.0);
            prop_assert!(flux(water + warmer, humidity) >= base);
            prop_assert!(flux(water, humidity - drier) >= base);
        }
    }

    #[test]
    fn the_salt_is_the_same_before_and_after(salinity in 20.0..40.0, water in 1.0..5000.0, share in 0.0..0.4) {
        let (water, lost) = (Mass::from_si(water), Mass::from_si(water * share));
        let after = salinity_after(Salinity(salinity), water, lost).unwrap();
        prop_assert!((after.0 * (water - lost).si() - salinity * water.si()).abs() < 1e-9 * water.si() * salinity);
        // What must be gone for that rise is what is gone.
        let back = lost_by(Salinity(salinity), water, Salinity(after.0 - salinity));
        prop_assert!((back.si() - lost.si()).abs() < 1e-9 * water.si());
    }
}
