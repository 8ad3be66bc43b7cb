use proptest::prelude::*;

use super::*;
use crate::quantity::parse;
use crate::rules::Rules;

fn rules() -> StreamRules {
    Rules::compiled_in().unwrap().stream
}

fn metres(value: f64) -> Length {
    Length::from_si(value)
}

fn round(diameter: f64, speed: f64) -> Stream {
    let outlet = Outlet::Round { diameter: metres(diameter) };
    Stream::new(outlet, outlet_area(outlet) * Velocity::from_si(speed), rules().laws).unwrap()
}

fn slot(height: f64, length: f64, speed: f64) -> Stream {
    let outlet = Outlet::Slot { height: metres(height), length: metres(length) };
    Stream::new(outlet, outlet_area(outlet) * Velocity::from_si(speed), rules().laws).unwrap()
}

/// `∫ u² dy` of the bell across a sheet, by the trapezium rule: its push over density and slot length.
fn push_of_sheet(stream: &Stream, distance: f64) -> f64 {
    let step = distance / 2000.0;
    (-2000..=2000)
        .map(|at| {
            let speed = stream.speed_off_axis(metres(distance), metres(f64::from(at).abs() * step)).unwrap().si();
            speed * speed * step
        })
        .sum()
}

#[test]
fn a_sheet_keeps_the_push_it_left_the_slot_with() {
    let stream = slot(0.01, 0.3, 0.5);
    for distance in [0.1, 0.4, 1.0, 1.9] {
        let left = push_of_sheet(&stream, distance) / (0.01 * 0.5 * 0.5);
        assert!((left - 1.0).abs() < 1e-6, "{distance} m: {left}");
    }
}

#[test]
fn the_bell_of_a_round_stream_holds_most_of_its_push() {
    // The rest is in the edge, where the bell is too thin.
    let stream = round(0.05, 0.8);
    let (distance, step) = (1.0, 5e-4);
    let push: f64 = (0..2000)
        .map(|at| {
            let radius = (f64::from(at) + 0.5) * step;
            let speed = stream.speed_off_axis(metres(distance), metres(radius)).unwrap().si();
            speed * speed * 2.0 * PI * radius * step
        })
        .sum();
    let left = push / (PI / 4.0 * 0.05 * 0.05 * 0.8 * 0.8);
    assert!((0.8..=1.0).contains(&left), "{left}");
}

#[test]
fn half_a_width_from_the_middle_the_speed_is_half() {
    for stream in [round(0.04, 1.0), slot(0.01, 0.2, 1.0)] {
        for distance in [0.0, 0.05, 0.3, 1.0, 5.0] {
            let distance = metres(distance);
            let beside = stream.speed_off_axis(distance, stream.half_width(distance).unwrap()).unwrap();
            assert!((beside.si() / stream.speed_at(distance).unwrap().si() - 0.5).abs() < 1e-12);
        }
    }
}

#[test]
fn nothing_jumps_where_one_law_takes_over_from_another() {
    let sheet = slot(0.012, 0.25, 0.6);
    let joints = [(round(0.045, 0.7), round(0.045, 0.7).core()), (sheet, sheet.core()), (sheet, sheet.change_over().unwrap())];
    for (stream, joint) in joints {
        let (before, after) = (joint * (1.0 - 1e-9), joint * (1.0 + 1e-9));
        let near = |a: f64, b: f64| assert!((a / b - 1.0).abs() < 1e-6, "{a} then {b} at {} m", joint.si());
        near(stream.speed_at(before).unwrap().si(), stream.speed_at(after).unwrap().si());
        near(stream.half_width(before).unwrap().si(), stream.half_width(after).unwrap().si());
        near(stream.flow_at(before).unwrap().si(), stream.flow_at(after).unwrap().si());
    }
}

#[test]
fn a_sheet_slows_more_gently_than_a_round_stream_until_it_turns_into_one() {
    let stream = slot(0.012, 0.25, 0.6);
    let change_over = stream.change_over().unwrap();
    let ratio = |from: Length| stream.speed_at(from * 2.0).unwrap().si() / stream.speed_at(from).unwrap().si();
    assert!((ratio(change_over * 0.4) - 0.5_f64.sqrt()).abs() < 1e-12);
    assert!((ratio(change_over * 1.5) - 0.5).abs() < 1e-12);
}

#[test]
fn a_setting_scales_the_speed_everywhere() {
    let full = round(0.045, 0.7);
    let half = full.at_setting(Share(0.5)).unwrap();
    for distance in [0.0, 0.2, 0.9] {
        let ratio = half.speed_at(metres(distance)).unwrap() / full.speed_at(metres(distance)).unwrap();
        assert!((ratio.si() - 0.5).abs() < 1e-12);
    }
    assert!(full.at_setting(Share(0.0)).is_err());
    assert!(full.at_setting(Share(1.01)).is_err());
}

#[test]
fn the_laws_hold_from_the_speed_whose_reynolds_number_is_reached() {
    let viscosity = KinematicViscosity::from_si(1e-6);
    let from = |stream: Stream| stream.settled_from(viscosity, Ratio::from_si(1e4));
    assert!((from(round(0.05, 1.0)).unwrap().si() - 0.2).abs() < 1e-12);
    assert_eq!(from(slot(0.01, 0.2, 1.0)), None);
}

#[test]
fn questions_outside_the_range_are_refused() {
    let stream = round(0.045, 0.7);
    for distance in [-0.1, 20.1, f64::NAN, f64::INFINITY] {
        assert!(stream.speed_at(metres(distance)).is_err());
        assert!(stream.half_width(metres(distance)).is_err());
        assert!(stream.flow_at(metres(distance)).is_err());
        assert!(stream.speed_off_axis(metres(0.5), metres(distance)).is_err());
    }
    let error = stream.reach(Velocity::from_si(0.71)).unwrap_err();
    assert!(matches!(error, Error::NoAnswer { .. }), "{error}");
    assert!(stream.reach(Velocity::from_si(f64::NAN)).is_err());
    let laws = rules().laws;
    let flow: VolumeRate = parse("4000 L/h").unwrap();
    let squat = Outlet::Slot { height: metres(0.03), length: metres(0.04) };
    assert!(Stream::new(squat, flow, laws).is_err());
    let wide = Outlet::Round { diameter: metres(0.5) };
    assert!(Stream::new(wide, flow, laws).is_err());
}

proptest! {
    #[test]
    fn reach_is_the_inverse_of_speed(diameter in 0.01..0.1, height in 0.002..0.02, aspect in 2.0..50.0, share in 0.05..0.99) {
        for stream in [round(diameter, 0.7), slot(height, height * aspect, 0.7)] {
            let wanted = stream.exit_speed() * share;
            let back = stream.speed_at(stream.reach(wanted).unwrap()).unwrap();
            prop_assert!((back.si() / wanted.si() - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn a_stream_only_slows_widens_and_gathers(diameter in 0.01..0.1, height in 0.002..0.02, aspect in 2.0..50.0,
                                              near in 0.0..10.0, step in 0.001..5.0) {
        for stream in [round(diameter, 0.7), slot(height, height * aspect, 0.7)] {
            let (near, far) = (metres(near), metres(near + step));
            prop_assert!(stream.speed_at(far).unwrap() <= stream.speed_at(near).unwrap());
            prop_assert!(stream.half_width(far).unwrap() > stream.half_width(near).unwrap());
            prop_assert!(stream.flow_at(far).unwrap() >= stream.flow_at(near).unwrap());
            prop_assert!(stream.speed_at(near).unwrap() <= stream.exit_speed());
        }
    }

    #[test]
    fn sizes_scale(diameter in 0.01..0.05, distance in 0.1..3.0, times in 1.0..4.0) {
        let small = round(diameter, 0.7).speed_at(metres(distance)).unwrap();
        let large = round(diameter * times, 0.7).speed_at(metres(distance * times)).unwrap();
        prop_assert!((small.si() / large.si() - 1.0).abs() < 1e-12);
    }
}
