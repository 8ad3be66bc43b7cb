use proptest::prelude::*;

use super::*;
use crate::quantity::parse;

fn rules() -> CircuitRules {
    crate::Rules::compiled_in().unwrap().circuit
}

#[test]
fn what_is_no_circuit_is_refused() {
    let (rules, volts) = (rules(), ElectricPotential::from_si(230.0));
    assert!(
        trip_time(parse("5 mA").unwrap(), &rules)
            .unwrap_err()
            .to_string()
            .starts_with("the residual current is 5")
    );
    assert!(trip_time(parse("265 mA").unwrap(), &rules).is_err());
    assert!(continuous_limit(parse("0.5 A").unwrap(), &rules).is_err());
    assert!(current_range(Power::from_si(-1.0), volts, *rules.power_factor).is_err());
    assert!(
        current_range(Power::from_si(1.0), ElectricPotential::from_si(0.0), *rules.power_factor).is_err()
    );
    assert!(current_range(Power::from_si(1.0), volts, Band { low: Share(0.0), high: Share(1.0) }).is_err());
}

proptest! {
    #[test]
    fn a_larger_fault_is_cut_off_sooner(milliamperes in 6.0..263.0) {
        let time = |value: f64| trip_time(ElectricCurrent::from_si(value * 1e-3), &rules()).unwrap();
        prop_assert!(time(milliamperes + 1.0) < time(milliamperes));
    }

    #[test]
    fn current_times_voltage_is_never_less_than_the_load(watts in 0.1..5000.0, volts in 90.0..260.0) {
        let band = current_range(Power::from_si(watts), ElectricPotential::from_si(volts), *rules().power_factor).unwrap();
        prop_assert!(band.low.si() * volts >= watts * (1.0 - 1e-12) && band.high >= band.low);
    }

    #[test]
    fn a_load_at_the_limit_is_four_fifths_of_the_breaker(amperes in 1.0..125.0) {
        let limit = continuous_limit(ElectricCurrent::from_si(amperes), &rules()).unwrap();
        prop_assert!((limit.si() / amperes - 0.8).abs() < 1e-12);
    }
}
