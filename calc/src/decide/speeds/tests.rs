use std::sync::LazyLock;

use proptest::prelude::*;

use super::*;
use crate::formulas::stream::{Laws, Outlet, outlet_area};
use crate::rules::Rules;

/// Read once: a property asks thousands of times.
static RULES: LazyLock<Rules> = LazyLock::new(|| Rules::compiled_in().unwrap());

fn stream(speed: f64) -> Stream {
    let outlet = Outlet::Round { diameter: Length::from_si(0.045) };
    let laws = Laws::of(&RULES.stream);
    Stream::new(outlet, outlet_area(outlet) * Velocity::from_si(speed), laws).unwrap()
}

fn band(low: f64, high: f64) -> Band<Velocity> {
    Band { low: Velocity::from_si(low), high: Velocity::from_si(high) }
}

fn spread() -> Band<Share> {
    *RULES.stream.spread
}

fn metres(value: f64) -> Length {
    Length::from_si(value)
}

#[test]
fn animals_that_want_more_turnover_want_no_slower_water() {
    let rules = &RULES.speeds;
    let corals: Vec<_> =
        RULES.livestock.iter().filter(|kind| kind.is_stony()).map(|kind| rules.band(kind)).collect();
    assert_eq!(corals.len(), 3);
    for pair in corals.windows(2) {
        assert!(pair[0].low < pair[1].low && pair[0].high < pair[1].high, "{pair:?}");
    }
}

#[test]
fn a_stream_too_weak_from_the_start_is_right_nowhere() {
    let zones = zones(&stream(0.05), band(0.1, 0.4), spread(), metres(1.0)).unwrap();
    assert_eq!((zones.too_strong_until, zones.right_until), (metres(0.0), metres(0.0)));
}

#[test]
fn a_stream_too_strong_to_the_end_is_right_nowhere() {
    let zones = zones(&stream(5.0), band(0.1, 0.4), spread(), metres(1.0)).unwrap();
    assert_eq!((zones.too_strong_until, zones.right_until), (metres(1.0), metres(1.0)));
}

#[test]
fn what_has_no_answer_is_refused() {
    assert!(zones(&stream(0.5), band(0.0, 0.4), spread(), metres(1.0)).is_err());
    assert!(zones(&stream(0.5), band(0.1, 0.4), spread(), metres(f64::NAN)).is_err());
}

proptest! {
    #[test]
    fn the_speed_in_each_zone_is_what_it_is_called(exit in 0.06..3.0, low in 0.02..0.3, wider in 1.1..5.0, way in 0.2..3.0, at in 0.001..1.0) {
        let (stream, band) = (stream(exit), band(low, low * wider));
        let zones = zones(&stream, band, spread(), metres(way)).unwrap();
        let place = metres(way * at);
        let speed = stream.speed_at(place).unwrap();
        let near = |a: Length| (a - place).si().abs() < 1e-9;
        if near(zones.too_strong_until) || near(zones.right_until) {
            return Ok(());
        }
        let (fastest, less) = (speed * spread().high.0, 1.0 - 1e-9);
        let expected = if place < zones.too_strong_until {
            fastest >= band.high * less
        } else if place < zones.right_until {
            speed >= band.low * less && fastest * less <= band.high
        } else {
            speed * less <= band.low
        };
        prop_assert!(expected, "{} m/s at {} m in {zones:?}", speed.si(), place.si());
    }
}
