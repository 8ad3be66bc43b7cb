use proptest::prelude::*;

use super::*;
use crate::quantity::parse;
use crate::rules::Rules;

fn rules() -> ReturnLineRules {
    Rules::compiled_in().unwrap().return_line
}

fn fluid() -> Fluid {
    Fluid { density: parse("1023 kg/m3").unwrap(), viscosity: parse("0.96 mPa s").unwrap() }
}

fn pipe(length: f64, bore: f64) -> Pipe {
    let length = Length::from_si(length);
    Pipe {
        length,
        bore: Length::from_si(bore),
        roughness: Length::from_si(1.5e-6),
        elbows: 2,
        other_fittings: 1.5,
    }
}

fn litres_an_hour(value: f64) -> VolumeRate {
    VolumeRate::from_si(value / 3.6e6)
}

#[test]
fn what_is_no_pipe_is_refused() {
    let rules = rules();
    let flow = litres_an_hour(1000.0);
    let refused = |pipe: Pipe, fluid: Fluid| head_loss(flow, pipe, fluid, &rules).unwrap_err().to_string();
    assert!(refused(pipe(1.0, 0.001), fluid()).starts_with("the bore of the pipe is 1"));
    assert!(refused(pipe(-1.0, 0.02), fluid()).starts_with("the length of the pipe"));
    assert!(refused(pipe(f64::NAN, 0.02), fluid()).starts_with("the length of the pipe is NaN"));
    assert!(
        refused(Pipe { roughness: Length::from_si(0.01), ..pipe(1.0, 0.02) }, fluid())
            .starts_with("the roughness of the pipe")
    );
    assert!(
        refused(pipe(1.0, 0.02), Fluid { viscosity: DynamicViscosity::from_si(0.0), ..fluid() })
            .starts_with("the viscosity")
    );
    assert!(head_loss(litres_an_hour(-1.0), pipe(1.0, 0.02), fluid(), &rules).is_err());
    assert!(friction_factor(0.0, 0.0, &rules).is_err());
    assert!(friction_factor(1e9, 0.0, &rules).is_err());
    assert!(friction_factor(1e5, 0.06, &rules).is_err());
    assert!(narrowing(1.1, &rules).is_err());
    let pump = PumpCurve { max_flow: litres_an_hour(2000.0), shut_off_head: Length::from_si(2.0) };
    assert!(pump.head(litres_an_hour(2001.0)).is_err());
    let no_pump = PumpCurve { max_flow: litres_an_hour(0.0), ..pump };
    assert!(no_pump.head(litres_an_hour(0.0)).is_err());
    assert!(speed(flow, Length::from_si(0.0)).is_err());
}

#[test]
fn standing_water_loses_nothing() {
    assert_eq!(
        head_loss(litres_an_hour(0.0), pipe(2.0, 0.02), fluid(), &rules()).unwrap(),
        Length::from_si(0.0)
    );
}

#[test]
fn fittings_reach_their_known_ends() {
    let rules = rules();
    // No change of bore loses nothing; a pipe into a wide tank loses its whole velocity head.
    assert!(narrowing(1.0, &rules).unwrap().abs() < 1e-12 && expansion(1.0).unwrap().abs() < 1e-12);
    assert!((expansion(0.0).unwrap() - rules.exit.si()).abs() < 1e-12);
}

proptest! {
    #[test]
    fn the_friction_factor_solves_the_colebrook_equation(log_re in 3.31_f64..8.0, rough in 0.0..0.05) {
        let re = libm::pow(10.0, log_re);
        let root = friction_factor(re, rough, &rules()).unwrap().sqrt();
        let right = -2.0 * libm::log10(rough / 3.7 + 2.51 / (re * root));
        prop_assert!((right * root - 1.0).abs() < 1e-12);
    }

    #[test]
    fn rough_pipes_at_great_speed_reach_the_fully_rough_limit(rough in 0.001..0.05) {
        let limit = libm::pow(-2.0 * libm::log10(rough / 3.7), -2.0);
        prop_assert!((friction_factor(1e8, rough, &rules()).unwrap() / limit - 1.0).abs() < 1e-3);
    }

    #[test]
    fn friction_grows_with_roughness_and_falls_with_speed(log_re in 3.4_f64..7.5, rough in 0.0..0.04) {
        let (re, rules) = (libm::pow(10.0, log_re), rules());
        let f = friction_factor(re, rough, &rules).unwrap();
        prop_assert!(friction_factor(re, rough + 0.001, &rules).unwrap() > f);
        prop_assert!(friction_factor(re * 2.0, rough, &rules).unwrap() < f);
        // Swirling water rubs more than gliding water would.
        prop_assert!(f > LAMINAR / re);
    }

    #[test]
    fn gliding_water_loses_head_in_step_with_its_flow(flow in 0.1..10.0) {
        // Poiseuille: h = 128 μ L Q / (π ρ g D⁴), for a pipe alone.
        let pipe = Pipe { elbows: 0, other_fittings: 0.0, ..pipe(2.0, 0.02) };
        let head = head_loss(litres_an_hour(flow), pipe, fluid(), &rules()).unwrap().si();
        let poiseuille = 128.0 * 0.96e-3 * 2.0 * flow / 3.6e6 / (PI * 1023.0 * GRAVITY * libm::pow(0.02, 4.0));
        prop_assert!((head / poiseuille - 1.0).abs() < 1e-9);
    }

    #[test]
    fn more_flow_a_longer_pipe_and_a_narrower_one_lose_more(flow in 10.0..10_000.0, length in 0.1..20.0, bore in 0.012..0.08) {
        let rules = rules();
        let head = |flow, length, bore| head_loss(litres_an_hour(flow), pipe(length, bore), fluid(), &rules).unwrap();
        let now = head(flow, length, bore);
        prop_assert!(head(flow * 1.1, length, bore) > now);
        prop_assert!(head(flow, length * 1.1, bore) > now);
        prop_assert!(head(flow, length, bore * 0.9) > now);
    }

    #[test]
    fn at_the_working_point_pump_and_line_agree(max in 300.0..20_000.0, top in 0.5..8.0, lift in 0.0..0.95, bore in 0.012..0.05) {
        let rules = rules();
        let pump = PumpCurve { max_flow: litres_an_hour(max), shut_off_head: Length::from_si(top) };
        let (lift, pipe) = (Length::from_si(lift * top), pipe(2.0, bore));
        let point = working_point(pump, lift, pipe, fluid(), &rules).unwrap();
        prop_assert!(point.flow.si() >= 0.0 && point.flow <= pump.max_flow && point.head >= lift);
        let line = |flow: VolumeRate| lift + head_loss(flow, pipe, fluid(), &rules).unwrap();
        // Where the flow turns from gliding to swirling the line's head jumps: there the two only cross.
        let (below, above) = (point.flow * (1.0 - 1e-9), (point.flow * (1.0 + 1e-9)).min(pump.max_flow));
        prop_assert!(line(below) <= pump.head(below).unwrap() + Length::from_si(1e-7));
        prop_assert!(line(above) >= pump.head(above).unwrap() - Length::from_si(1e-7));
    }

    #[test]
    fn a_higher_lift_never_brings_more_water(lift in 0.0..2.0, more in 0.01..0.9) {
        let rules = rules();
        let pump = PumpCurve { max_flow: litres_an_hour(3000.0), shut_off_head: Length::from_si(3.0) };
        let at = |lift: f64| working_point(pump, Length::from_si(lift), pipe(2.0, 0.02), fluid(), &rules).unwrap().flow;
        prop_assert!(at(lift + more) < at(lift));
    }
}
