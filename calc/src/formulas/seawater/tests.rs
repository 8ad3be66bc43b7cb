use proptest::prelude::*;

use super::*;
use crate::rules::Rules;

fn rules() -> SeawaterRules {
    Rules::compiled_in().unwrap().seawater
}

#[test]
fn water_that_is_no_seawater_is_refused() {
    let rules = rules();
    let message = |salinity, degrees| {
        density(Salinity(salinity), celsius(degrees), &rules).unwrap_err().to_string().replace('\u{a0}', " ")
    };
    assert_eq!(message(60.0, 25.0), "the salinity is 60, but must be from 0 to 42");
    assert_eq!(message(35.0, 50.0), "the temperature of the water is 50 °C, but must be from −2 °C to 40 °C");
    for (salinity, degrees) in [(f64::NAN, 25.0), (35.0, f64::NAN), (-1.0, 25.0), (35.0, f64::INFINITY)] {
        assert!(density(Salinity(salinity), celsius(degrees), &rules).is_err());
        assert!(dynamic_viscosity(Salinity(salinity), celsius(degrees), &rules).is_err());
    }
    assert!(dynamic_viscosity(Salinity(35.0), celsius(-1.0), &rules).is_err());
}

#[test]
fn a_reading_that_no_salinity_gives_is_refused() {
    let error = salinity(SpecificGravity(1.2), Convention::usual()[0], &rules()).unwrap_err();
    assert_eq!(error.to_string(), "the specific gravity is 1.2, but must be from 1 to 1.032");
    assert!(salinity(SpecificGravity(f64::NAN), Convention::usual()[0], &rules()).is_err());
}

#[test]
fn pure_water_against_itself_has_gravity_one() {
    for convention in
        Convention::usual().into_iter().filter(|convention| convention.sample == convention.water)
    {
        let gravity = specific_gravity(Salinity(0.0), convention, &rules()).unwrap();
        assert!((gravity.0 - 1.0).abs() < 1e-15);
    }
}

proptest! {
    #[test]
    fn salt_makes_water_denser_and_more_viscous(s in 0.0..41.0, more in 0.01..1.0, t in 0.0..40.0) {
        let rules = rules();
        let (less, more) = (Salinity(s), Salinity(s + more));
        prop_assert!(density(less, celsius(t), &rules).unwrap() < density(more, celsius(t), &rules).unwrap());
        prop_assert!(dynamic_viscosity(less, celsius(t), &rules).unwrap() < dynamic_viscosity(more, celsius(t), &rules).unwrap());
    }

    #[test]
    fn warmth_makes_water_thinner_and_sea_water_lighter(s in 25.0..42.0, t in 0.0..39.0, warmer in 0.01..1.0) {
        // From salinity 25 on seawater has no density maximum above freezing.
        let rules = rules();
        let (cold, warm) = (celsius(t), celsius(t + warmer));
        prop_assert!(density(Salinity(s), cold, &rules).unwrap() > density(Salinity(s), warm, &rules).unwrap());
        prop_assert!(kinematic_viscosity(Salinity(s), cold, &rules).unwrap() > kinematic_viscosity(Salinity(s), warm, &rules).unwrap());
    }

    #[test]
    fn salinity_is_the_inverse_of_specific_gravity(s in 0.0..=42.0, sample in 0.0..40.0, water in 0.0..40.0) {
        let convention = Convention { sample: celsius(sample), water: celsius(water) };
        let rules = rules();
        let back = salinity(specific_gravity(Salinity(s), convention, &rules).unwrap(), convention, &rules).unwrap();
        prop_assert!((back.0 - s).abs() < 1e-10, "{s} came back as {}", back.0);
    }
}
