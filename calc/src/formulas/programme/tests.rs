use proptest::prelude::*;

use super::*;
use crate::cases::costly;

fn clock(text: &str) -> ClockTime {
    ClockTime::parse(text).unwrap()
}

#[test]
fn times_of_the_day_are_read_and_printed() {
    for (text, minutes) in [("00:00", 0), ("0:05", 5), ("08:30", 510), ("23:59", 1439), ("24:00", 1440)] {
        assert_eq!(ClockTime::parse(text).map(ClockTime::minutes), Some(minutes));
    }
    for text in [
        "", "8", "8:5", "08:60", "24:01", "25:00", "-1:00", "8.30", "08:3o", "008:30", "+8:30", "8 pm",
        "99999:00",
    ] {
        assert_eq!(ClockTime::parse(text), None, "{text}");
    }
    assert_eq!(clock("7:05").to_string(), "07:05");
    assert_eq!(clock("22:00").minutes_until(clock("06:00")), 8 * 60);
    assert_eq!(clock("00:00").minutes_until(clock("24:00")), 24 * 60);
    assert_eq!(clock("23:30").later(45), clock("00:15"));
}

fn swing(low: f64, high: f64, period: f64) -> Swing {
    Swing { low: Share(low), high: Share(high), period: Time::from_si(period), starts_high: true }
}

#[test]
fn a_pulse_is_high_for_half_its_period() {
    let pulse = Pattern::Pulse(swing(0.3, 0.6, 4.0));
    let at = |seconds: f64| pulse.setting_at(Time::from_si(seconds), 0).0;
    let settings = [0.0, 1.9, 2.0, 3.9, 4.0, 6.1].map(at);
    assert!(
        settings.iter().zip([0.6, 0.6, 0.3, 0.3, 0.6, 0.3]).all(|(got, want)| (got - want).abs() < 1e-12),
        "{settings:?}"
    );
    let later = Pattern::Alternate(Swing { starts_high: false, ..swing(0.3, 0.6, 4.0) });
    assert!((later.setting_at(Time::from_si(0.0), 0).0 - 0.3).abs() < 1e-12);
}

#[test]
fn two_pumps_wander_their_own_ways_and_each_run_is_the_same() {
    let wander = Pattern::Wander(swing(0.2, 0.8, 60.0));
    let way = |name: &str| {
        (0..50)
            .map(|step| wander.setting_at(Time::from_si(f64::from(step) * 60.0), seed(name)).0)
            .collect::<Vec<_>>()
    };
    assert_eq!(way("left"), way("left"));
    assert_ne!(way("left"), way("right"));
}

/// The first numbers of SplitMix64 for the seed 1234567, as they are often printed to test an implementation;
/// from memory.
#[test]
fn wandering_draws_from_splitmix64() {
    for (step, printed) in
        [(0, 6_457_827_717_110_365_317_u64), (1, 3_203_168_211_198_807_973), (2, 9_817_491_932_198_370_423)]
    {
        let want = (printed >> 11) as f64 / (1_u64 << 53) as f64;
        assert!((drawn(1_234_567, step) - want).abs() < 1e-15);
    }
}

#[test]
fn the_mean_of_a_pattern_is_that_of_its_settings() {
    costly(20, (0.05..0.5, 0.01..0.5, 1.0..100.0, 0..3), |(low, above, period, which)| {
        let swing = swing(low, low + above, period);
        let patterns = [Pattern::Pulse(swing), Pattern::Alternate(swing), Pattern::Wander(swing)];
        let pattern: Pattern = patterns[which as usize];
        let steps = 40_000;
        // A hundred settings in each period, in the middle of each hundredth.
        let settings = (0..steps)
            .map(|step| pattern.setting_at(Time::from_si((f64::from(step) + 0.5) / 100.0 * period), 7).0);
        let (mut mean, mut cube) = (0.0, 0.0);
        for setting in settings {
            prop_assert!((low..=low + above).contains(&setting));
            mean += setting / f64::from(steps);
            cube += setting * setting * setting / f64::from(steps);
        }
        // Four hundred draws come within a tenth of their span, at four standard errors and more.
        let allowed = if which == 2 { 0.1 } else { 1e-9 };
        prop_assert!((mean - pattern.mean().0).abs() <= allowed * above + 1e-9);
        prop_assert!((cube - pattern.mean_cube()).abs() <= allowed * 3.0 * above + 1e-9);
        Ok(())
    });
}

/// Two pumps that take turns of two hours for seven hours: worked by hand, one is high for four of them, the
/// other for three.
#[test]
fn turns_that_are_cut_off_count_as_they_go() {
    let swing = |starts_high| Swing {
        low: Share(0.35),
        high: Share(0.55),
        period: Time::from_si(7200.0),
        starts_high,
    };
    let mean = |starts_high, minutes| Pattern::Alternate(swing(starts_high)).mean_over(minutes).0;
    assert!((mean(true, 420) - (4.0 * 0.55 + 3.0 * 0.35) / 7.0).abs() < 1e-12);
    assert!((mean(false, 420) - (3.0 * 0.55 + 4.0 * 0.35) / 7.0).abs() < 1e-12);
    assert!((mean(true, 240) - 0.45).abs() < 1e-12);
    // Fifty minutes end before the first turn does.
    assert_eq!(Pattern::Alternate(swing(true)).within(50), Pattern::Steady(Share(0.55)));
    assert_eq!(Pattern::Alternate(swing(false)).within(60), Pattern::Steady(Share(0.35)));
    assert_eq!(Pattern::Alternate(swing(false)).within(61), Pattern::Alternate(swing(false)));
    let cube = |share: f64| share * share * share;
    assert!(
        (Pattern::Alternate(swing(true)).mean_cube_over(420) - (4.0 * cube(0.55) + 3.0 * cube(0.35)) / 7.0)
            .abs()
            < 1e-12
    );
}

/// Worked by hand: 4000 L/h at a quarter are 1000 L/h; ten times an hour less a fifth are eight.
#[test]
fn a_flow_goes_with_the_setting_and_falls_with_dirt() {
    let flow = flow_at(VolumeRate::from_si(4000.0 / 3.6e6), Share(0.25));
    assert!((flow.si() * 3.6e6 - 1000.0).abs() < 1e-9);
    assert!((fouled(Frequency::from_si(10.0), Share(0.2)).si() - 8.0).abs() < 1e-12);
}

#[test]
fn a_pulse_of_a_minute_changes_after_half_of_it() {
    let pulse = Pattern::Pulse(swing(0.3, 0.6, 60.0));
    let settings = [0.0, 29.0, 31.0, 59.0, 61.0]
        .map(|at| libm::rint(pulse.setting_at(Time::from_si(at), 0).0 * 10.0) as u32);
    assert_eq!(settings, [6, 6, 3, 3, 6]);
}
