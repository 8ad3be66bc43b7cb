use proptest::prelude::*;

use super::*;
use crate::quantity::parse;

fn watts(value: f64) -> Power {
    Power::from_si(value)
}

#[test]
fn what_is_no_pump_is_refused() {
    assert!(
        draw(watts(10.0), watts(11.0), Share(0.5))
            .unwrap_err()
            .to_string()
            .starts_with("the standing draw is 11")
    );
    assert!(draw(watts(10.0), watts(1.0), Share(1.1)).is_err());
    assert!(draw(watts(f64::NAN), watts(1.0), Share(1.0)).is_err());
    assert!(affinity_flow(parse("100 L/h").unwrap(), 1.0, -0.1).is_err());
    assert!(affinity_flow(parse("100 L/h").unwrap(), 1.0, f64::INFINITY).is_err());
    assert!(affinity_flow(parse("100 L/h").unwrap(), 0.0, 0.5).is_err(), "no first speed");
    for wrong in [f64::NAN, f64::INFINITY, -1.0] {
        assert!(affinity_flow(VolumeRate::from_si(wrong), 1.0, 0.5).is_err(), "{wrong}");
        assert!(affinity_head(Length::from_si(wrong), 1.0, 0.5).is_err(), "{wrong}");
        assert!(affinity_power(watts(wrong), 1.0, 0.5).is_err(), "{wrong}");
    }
    assert!(affinity_power(watts(0.0), 1.0, 0.5).unwrap().si() <= 0.0);
    assert!(run_time(parse("100 Wh").unwrap(), Share(0.5), watts(0.0)).is_err());
    assert!(run_time(parse("100 Wh").unwrap(), Share(0.0), watts(1.0)).is_err());
    assert!(battery_for(watts(1.0), parse("0 h").unwrap(), Share(0.5)).is_err());
    let free = Money { amount: -0.1, currency: crate::quantity::Currency::USD };
    assert!(cost(parse("1 kWh").unwrap(), free).is_err());
}

proptest! {
    #[test]
    fn a_pump_turned_down_draws_less_but_never_less_than_its_controller(full in 1.0..500.0, standing in 0.0..1.0, a in 0.0..1.0, b in 0.0..1.0) {
        let standing = watts(full * standing);
        let (low, high) = (f64::min(a, b), f64::max(a, b));
        let (less, more) = (draw(watts(full), standing, Share(low)).unwrap(), draw(watts(full), standing, Share(high)).unwrap());
        prop_assert!(less <= more && less >= standing && more.si() <= full * (1.0 + 1e-12));
    }

    #[test]
    fn at_the_ends_of_the_dial_the_draw_is_known(full in 1.0..500.0, standing in 0.0..1.0) {
        let standing = watts(full * standing);
        prop_assert!((draw(watts(full), standing, Share(1.0)).unwrap().si() / full - 1.0).abs() < 1e-12);
        prop_assert!((draw(watts(full), standing, Share(0.0)).unwrap() - standing).si().abs() < 1e-12);
        let range = draw_range(watts(full), standing, Share(1.0), Band { low: Share(0.5), high: Share(1.0) }).unwrap();
        prop_assert!((range.high - range.low).si().abs() < 1e-9);
    }

    #[test]
    fn flow_times_head_grows_as_power_does(speed in 0.01..2.0) {
        let flow = affinity_flow(VolumeRate::from_si(1.0), 1.0, speed).unwrap().si();
        let head = affinity_head(Length::from_si(1.0), 1.0, speed).unwrap().si();
        prop_assert!((flow * head / affinity_power(watts(1.0), 1.0, speed).unwrap().si() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_battery_for_so_many_hours_lasts_so_many_hours(draw in 0.1..100.0, hours in 1.0..100.0, usable in 0.05..1.0) {
        let time = Time::from_si(3600.0 * hours);
        let battery = battery_for(watts(draw), time, Share(usable)).unwrap();
        if battery.si() < 3600.0 {
            return Ok(());
        }
        prop_assert!((run_time(battery, Share(usable), watts(draw)).unwrap().si() / time.si() - 1.0).abs() < 1e-12);
    }
}
