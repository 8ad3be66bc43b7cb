use std::sync::LazyLock;

use proptest::prelude::*;

use super::*;
use crate::rules::Rules;
use crate::rules::settling::Floor;

/// Read once: a property asks thousands of times.
static RULES: LazyLock<Rules> = LazyLock::new(|| Rules::compiled_in().unwrap());

fn rules() -> &'static Rules {
    &RULES
}

fn grains(millimetres: f64, density: f64) -> Grains {
    let (size, density) = (Length::from_si(millimetres * 1e-3), MassDensity::from_si(density));
    Grains::new(size, density, MassDensity::from_si(1023.34), KinematicViscosity::from_si(9.371e-7)).unwrap()
}

#[test]
fn waste_lies_faster_on_rough_floors() {
    let rules = &rules().settling;
    let lifts = Floor::ALL.map(|floor| rules.lifts_waste(floor));
    assert!(lifts[0] < lifts[1] && lifts[1] < lifts[2], "{lifts:?}");
}

#[test]
fn what_has_no_answer_is_refused() {
    let Rules { settling, sand, .. } = rules();
    let speed = Velocity::from_si;
    assert!(rouse_number(speed(0.01), speed(0.0), sand).is_err());
    assert!(rouse_number(speed(0.01), speed(f64::NAN), sand).is_err());
    assert!(carrying_friction(speed(0.0), settling, sand).is_err());
    let (water, viscosity) = (MassDensity::from_si(1023.0), KinematicViscosity::from_si(9.4e-7));
    for stress in [0.0, -1.0, f64::INFINITY] {
        assert!(lifting_speed(Pressure::from_si(stress), Length::default(), water, viscosity, sand).is_err());
    }
}

proptest! {
    #[test]
    fn larger_and_heavier_grains_sink_faster(size in 0.03..10.0, density in 1100.0..2900.0, step in 1.01..1.9) {
        let rules = &rules().settling;
        for speed in [
            &(|grains: Grains| soulsby(grains, rules)) as &dyn Fn(Grains) -> Velocity,
            &|grains| ferguson_church(&grains, Shape::Sieved, rules),
            &|grains| ferguson_church(&grains, Shape::Ball, rules),
        ] {
            prop_assert!(speed(grains(size * step, density)) > speed(grains(size, density)));
            prop_assert!(speed(grains(size, density + 100.0)) > speed(grains(size, density)));
        }
    }

    #[test]
    fn smooth_balls_sink_fastest(size in 0.03..10.0) {
        let rules = &rules().settling;
        let speed = |shape| ferguson_church(&grains(size, 2930.0), shape, rules);
        prop_assert!(speed(Shape::Ball) > speed(Shape::Sieved));
        prop_assert!(speed(Shape::Sieved) > speed(Shape::Nominal));
    }

    #[test]
    fn a_current_that_just_carries_has_the_rouse_number_of_the_rule(settling in 0.0005..0.3) {
        let Rules { settling: rules, sand, .. } = rules();
        let settling = Velocity::from_si(settling);
        let number = rouse_number(settling, carrying_friction(settling, rules, sand).unwrap(), sand).unwrap();
        prop_assert!((number.si() / rules.suspension.si() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_speed_that_lifts_carries_the_stress_it_was_asked_for(stress in 0.01..1.0, grain in 0.0..20.0) {
        // Doubling the friction velocity doubles the speed over a rough floor, and does more over a smooth
        // one.
        let sand = &rules().sand;
        let (water, viscosity) = (MassDensity::from_si(1023.0), KinematicViscosity::from_si(9.4e-7));
        let speed = |stress| lifting_speed(Pressure::from_si(stress), Length::from_si(grain * 1e-3), water, viscosity, sand).unwrap().si();
        let ratio = speed(4.0 * stress) / speed(stress);
        prop_assert!((2.0..2.5).contains(&ratio), "{ratio}");
    }
}
