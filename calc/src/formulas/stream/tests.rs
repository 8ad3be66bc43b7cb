use std::sync::LazyLock;

use proptest::prelude::*;

use super::*;
use crate::cases::costly;
use crate::quantity::parse;
use crate::rules::Rules;

/// Read once: a property asks thousands of times.
static RULES: LazyLock<Rules> = LazyLock::new(|| Rules::compiled_in().unwrap());

fn rules() -> &'static StreamRules {
    &RULES.stream
}

fn metres(value: f64) -> Length {
    Length::from_si(value)
}

fn round(diameter: f64, speed: f64) -> Stream {
    let outlet = Outlet::Round { diameter: metres(diameter) };
    Stream::new(outlet, outlet_area(outlet) * Velocity::from_si(speed), Laws::of(rules())).unwrap()
}

fn slot(height: f64, length: f64, speed: f64) -> Stream {
    let outlet = Outlet::Slot { height: metres(height), length: metres(length) };
    Stream::new(outlet, outlet_area(outlet) * Velocity::from_si(speed), Laws::of(rules())).unwrap()
}

/// `∫ u² dA` over a round stream, or across the short side of a slot's, by Simpson's rule: its push over the
/// water's density.
fn push(stream: &Stream, distance: f64, is_round: bool) -> f64 {
    let distance = metres(distance);
    let steps = 600;
    let step = 6.0 * stream.half_width(distance).unwrap().si() / f64::from(steps);
    let sum: f64 = (0..=steps)
        .map(|at| {
            let offset = f64::from(at) * step;
            let speed = stream.speed_off_axis(distance, metres(offset)).unwrap().si();
            let weight = if at == 0 || at == steps { 1.0 } else { 2.0 + 2.0 * f64::from(at % 2) };
            speed * speed * weight * if is_round { 2.0 * PI * offset } else { 2.0 }
        })
        .sum();
    sum * step / 3.0
}

/// The share that one side of a slot leaves, from the law itself: what its ends have let go of.
fn side_left(side: f64, distance: f64) -> f64 {
    libm::erf(side * Laws::of(rules()).round_decay.si() / distance)
}

/// Measured without an origin, `B` alone would make a stream of 5.8 d / x; with `x₀` it must still be that
/// far away.
#[test]
fn far_away_the_law_is_that_of_textbooks() {
    let laws = Laws::of(rules());
    let (stream, decay) = (round(0.01, 1.0), laws.round_decay.si());
    for diameters in [100.0, 400.0, 1500.0] {
        let want = decay / (diameters - laws.origin.si());
        let got = stream.speed_at(metres(0.01 * diameters)).unwrap().si();
        // 1 − exp(−z²) is z² (1 − z²/2 + …).
        assert!((got / want - 1.0).abs() < want * want, "{got} for {want} at {diameters}");
    }
    // B C = ½, and the half-width grows by C (2 ln 2)^½.
    assert!((decay * laws.widening().si() - 0.5).abs() < 1e-12);
    let slope =
        (stream.half_width(metres(12.0)).unwrap() - stream.half_width(metres(6.0)).unwrap()).si() / 6.0;
    assert!((slope / (laws.widening().si() * (2.0 * LN_2).sqrt()) - 1.0).abs() < 1e-3, "{slope}");
}

#[test]
fn near_the_outlet_the_stream_is_as_fast_as_at_the_outlet() {
    for stream in [round(0.04, 0.7), slot(0.01, 0.3, 0.7), slot(0.02, 0.06, 0.7)] {
        for distance in [0.0, 1e-6, 1e-3] {
            assert!((stream.speed_at(metres(distance)).unwrap().si() / 0.7 - 1.0).abs() < 1e-12);
        }
    }
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
fn the_middle_has_lost_a_hundredth_at_the_end_of_the_core() {
    for stream in [round(0.045, 0.7), slot(0.012, 0.25, 0.6), slot(0.02, 0.08, 0.6)] {
        let left = stream.speed_at(stream.core()).unwrap() / stream.exit_speed();
        assert!((left.si() - 0.99).abs() < 1e-12, "{left:?}");
    }
}

#[test]
fn a_sheet_slows_more_gently_than_a_round_stream_until_it_turns_into_one() {
    let stream = slot(0.01, 0.5, 0.6);
    let ratio = |from: f64| {
        stream.speed_at(metres(from * 2.0)).unwrap().si() / stream.speed_at(metres(from)).unwrap().si()
    };
    // The sheet's law is good to half the square of what is left; the ends of the slot are far off yet.
    assert!((ratio(0.4) - 0.5_f64.sqrt()).abs() < 0.02, "{}", ratio(0.4));
    assert!((ratio(9.9) - 0.5).abs() < 0.03, "{}", ratio(9.9));
    // Far away a slot is a round opening of the same area.
    let equal = round((4.0 / PI * 0.01 * 0.04_f64).sqrt(), 0.6).speed_at(metres(15.0)).unwrap();
    let squat = slot(0.01, 0.04, 0.6).speed_at(metres(15.0)).unwrap();
    assert!((squat.si() / equal.si() - 1.0).abs() < 0.01, "{squat:?} {equal:?}");
}

/// The origin of a squat slot is that of a round opening, that of a long one its own outlet; the rule says
/// between which.
#[test]
fn the_origin_fades_as_slots_get_longer() {
    let laws = Laws::of(rules());
    let at = |aspect: f64| slot(0.01, 0.01 * aspect, 0.6).reach(Velocity::from_si(0.6)).unwrap().si();
    let round_origin = |aspect: f64| laws.origin.si() * (4.0 / PI * 1e-4 * aspect).sqrt();
    assert!((at(2.0) / round_origin(2.0) - 1.0).abs() < 1e-12);
    assert!((at(6.0) / round_origin(6.0) - 0.5).abs() < 1e-12, "half-way from 2 to 10");
    assert!(at(10.0).abs() < 1e-12 && at(40.0).abs() < 1e-12);
}

#[test]
fn pushes_add_and_speeds_do_not() {
    let speed = Velocity::from_si;
    assert!((together([speed(3.0), speed(4.0)]).si() - 5.0).abs() < 1e-12);
    assert!((together([speed(0.2); 2]).si() - 0.2 * 2.0_f64.sqrt()).abs() < 1e-12);
    assert!(together([]).si().abs() < 1e-12);
    // Two outlets side by side are, far away, one of twice the area.
    let (one, twice) = (round(0.04, 1.0), round(0.04 * 2.0_f64.sqrt(), 1.0));
    let both = together([one.speed_at(metres(15.0)).unwrap(); 2]).si();
    assert!((both / twice.speed_at(metres(15.0)).unwrap().si() - 1.0).abs() < 0.01);
}

#[test]
fn what_is_told_of_a_speed_goes_by_the_rule() {
    let rules = rules();
    let band = rules.spread_of(Velocity::from_si(0.5));
    assert!(
        (band.low.si() / 0.5 - rules.spread.low.0).abs() < 1e-12
            && (band.high.si() / 0.5 - rules.spread.high.0).abs() < 1e-12
    );
    // Slower than reckoned on one side, faster on the other; the water beside the middle is off by more than
    // the middle.
    assert!(rules.spread.low.0 < 1.0 && rules.spread.high.0 > 1.0 && rules.edge.si() > rules.spread.high.0);
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
    let from = settled_from(KinematicViscosity::from_si(1e-6), metres(0.05), Ratio::from_si(1e4));
    assert!((from.si() - 0.2).abs() < 1e-12);
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
    let laws = Laws::of(rules());
    let flow: VolumeRate = parse("4000 L/h").unwrap();
    let squat = Outlet::Slot { height: metres(0.03), length: metres(0.04) };
    assert!(Stream::new(squat, flow, laws).is_err());
    let wide = Outlet::Round { diameter: metres(0.5) };
    assert!(Stream::new(wide, flow, laws).is_err());
}

#[test]
fn a_stream_keeps_the_push_it_left_with() {
    costly(100, (0.01..0.1, 0.002..0.02, 10.0..50.0, 0.0..3.0), |(diameter, height, aspect, distance)| {
        let stream = round(diameter, 0.7);
        let left = push(&stream, distance, true) / (PI / 4.0 * diameter * diameter * 0.7 * 0.7);
        prop_assert!((left - 1.0).abs() < 1e-6, "round, {distance} m: {left}");
        // Across the short side of a slot, what is missing has left by its ends.
        let sheet = slot(height, height * aspect, 0.7);
        let left =
            push(&sheet, distance, false) / (height * 0.7 * 0.7 * side_left(height * aspect, distance));
        prop_assert!((left - 1.0).abs() < 1e-6, "slot, {distance} m: {left}");
        Ok(())
    });
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
    fn speed_is_the_inverse_of_reach(diameter in 0.01..0.1, height in 0.002..0.02, aspect in 2.0..50.0, widths in 0.0..150.0) {
        for (stream, size) in [(round(diameter, 0.7), diameter), (slot(height, height * aspect, 0.7), height)] {
            // Inside the core a last bit of speed is a long way.
            let distance = stream.core() + metres(size * widths);
            let back = stream.reach(stream.speed_at(distance).unwrap()).unwrap();
            prop_assert!((back.si() / distance.si() - 1.0).abs() < 1e-9, "{} for {}", back.si(), distance.si());
        }
    }

    #[test]
    fn faster_and_wider_outlets_make_faster_streams(diameter in 0.01..0.09, speed in 0.1..1.0, more in 1.01..1.1, distance in 0.0..3.0, offset in 0.0..0.5) {
        let at = |stream: Stream, offset: f64| stream.speed_off_axis(metres(distance), metres(offset)).unwrap().si();
        let here = at(round(diameter, speed), offset);
        let scaled: f64 = at(round(diameter, speed * more), offset) / more;
        // Far outside the stream only the last bits of nothing are left.
        prop_assert!((scaled - here).abs() <= 1e-9 * here + 1e-100, "speeds scale with the exit speed");
        // The last bits are the machine's.
        prop_assert!(at(round(diameter * more, speed), 0.0) >= at(round(diameter, speed), 0.0) * (1.0 - 1e-12));
        prop_assert!(at(round(diameter, speed), offset * more) <= here * (1.0 + 1e-12));
    }

    #[test]
    fn a_stream_only_slows_widens_and_gathers(diameter in 0.01..0.1, height in 0.002..0.02, aspect in 2.0..50.0,
                                              near in 0.0..10.0, step in 0.001..5.0) {
        for stream in [round(diameter, 0.7), slot(height, height * aspect, 0.7)] {
            let (near, far) = (metres(near), metres(near + step));
            // The last bits are the machine's.
            let less = 1.0 - 1e-12;
            prop_assert!(stream.speed_at(far).unwrap() * less <= stream.speed_at(near).unwrap());
            prop_assert!(stream.half_width(far).unwrap() >= stream.half_width(near).unwrap() * less);
            prop_assert!(stream.flow_at(far).unwrap() >= stream.flow_at(near).unwrap() * less);
            prop_assert!(stream.speed_at(near).unwrap() * less <= stream.exit_speed());
        }
    }

    #[test]
    fn sizes_scale(diameter in 0.01..0.05, distance in 0.1..3.0, times in 1.0..4.0) {
        let small = round(diameter, 0.7).speed_at(metres(distance)).unwrap();
        let large = round(diameter * times, 0.7).speed_at(metres(distance * times)).unwrap();
        prop_assert!((small.si() / large.si() - 1.0).abs() < 1e-12);
    }
}
