use proptest::prelude::*;

use super::*;
use crate::rules::Rules;

fn metres(value: f64) -> Length {
    Length::from_si(value)
}

#[test]
fn a_pulse_meets_the_swing_it_is_a_multiple_of() {
    let rules = Rules::compiled_in().unwrap().waves;
    let meets = |pulse: f64| meets_swing(Time::from_si(pulse), Time::from_si(1.0), &rules);
    let near = rules.resonance.0;
    assert_eq!(meets(1.0 - 0.9 * near), Some(1));
    assert_eq!(meets(1.0 + 1.1 * near), None);
    assert_eq!(meets(2.0), Some(2));
    assert_eq!(meets(3.0), Some(3));
    assert_eq!(meets(0.5), None);
    assert_eq!(meets(1.5), None);
    assert_eq!(meets(rules.swings.si() + 1.0), None);
}

#[test]
fn what_is_no_basin_is_refused() {
    for (length, depth, mode) in [
        (0.0, 0.5, 1),
        (1.0, 0.0, 1),
        (1.0, 0.5, 0),
        (f64::NAN, 0.5, 1),
        (1.0, f64::INFINITY, 1),
        (1.0, 0.5, 101),
    ] {
        assert!(slosh_period(metres(length), metres(depth), mode).is_err(), "{length} {depth} {mode}");
        assert!(shallow_period(metres(length), metres(depth), mode).is_err());
    }
    assert!(wavelength(Time::from_si(0.0), metres(0.5)).is_err());
}

proptest! {
    #[test]
    fn half_a_travelling_wave_fits_the_box_that_sloshes_with_its_period(length in 0.05..20.0, depth in 0.01..10.0) {
        let period = slosh_period(metres(length), metres(depth), 1).unwrap();
        if !(0.1..=100.0).contains(&period.si()) {
            return Ok(());
        }
        let wave = wavelength(period, metres(depth)).unwrap();
        prop_assert!((wave.si() / (2.0 * length) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn merian_is_the_limit_of_shallow_water_and_else_too_short(length in 0.5..10.0, depth in 0.01..5.0, mode in 1_u32..5) {
        let exact = slosh_period(metres(length), metres(depth), mode).unwrap();
        let shallow = shallow_period(metres(length), metres(depth), mode).unwrap();
        prop_assert!(shallow < exact);
        let thin = metres(length / f64::from(mode) * 1e-2);
        let ratio = shallow_period(metres(length), thin, mode).unwrap() / slosh_period(metres(length), thin, mode).unwrap();
        prop_assert!((ratio.si() - 1.0).abs() < 1e-3);
    }

    #[test]
    fn longer_boxes_swing_slower_deeper_water_faster_and_more_humps_faster(length in 0.1..10.0, depth in 0.05..2.0, mode in 1_u32..5) {
        let period = |length: f64, depth: f64, mode| slosh_period(metres(length), metres(depth), mode).unwrap();
        prop_assert!(period(length * 1.1, depth, mode) > period(length, depth, mode));
        prop_assert!(period(length, depth * 1.1, mode) <= period(length, depth, mode));
        prop_assert!(period(length, depth, mode + 1) < period(length, depth, mode));
    }

    #[test]
    fn a_tank_twice_as_large_swings_slower_by_the_root_of_two(length in 0.1..10.0, depth in 0.05..2.0) {
        let ratio = slosh_period(metres(2.0 * length), metres(2.0 * depth), 1).unwrap() / slosh_period(metres(length), metres(depth), 1).unwrap();
        prop_assert!((ratio.si() - 2.0_f64.sqrt()).abs() < 1e-12);
    }
}

#[test]
fn the_longest_pulse_of_the_table_rocks_no_tank_up_to_three_metres() {
    let rules = Rules::compiled_in().unwrap();
    let longest = rules.waves.pulses.iter().map(|pulse| pulse.si()).fold(0.0, f64::max);
    for step in 1..=60 {
        let slosh = slosh_period(Length::from_si(f64::from(step) * 0.05), Length::from_si(0.5), 1).unwrap();
        assert_eq!(meets_swing(Time::from_si(longest), slosh, &rules.waves), None, "{step}");
    }
}
