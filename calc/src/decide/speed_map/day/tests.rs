use super::*;
use crate::document::Places;
use crate::formulas::programme::{Feeding, Pattern, Stretch, Swing};
use crate::quantity::parse;

fn clock(text: &str) -> ClockTime {
    ClockTime::parse(text).unwrap()
}

fn programme(stretches: &[(&str, &str, &str, Pattern)]) -> Programme {
    let stretch = |(pump, from, until, pattern): &(&str, &str, &str, Pattern)| Stretch {
        pump: (*pump).to_owned(),
        from: clock(from),
        until: clock(until),
        pattern: *pattern,
        places: Places::default(),
    };
    Programme { stretches: stretches.iter().map(stretch).collect(), feedings: Vec::new() }
}

fn swing(low: f64, high: f64, period: &str, starts_high: bool) -> Swing {
    Swing { low: Share(low), high: Share(high), period: parse(period).unwrap(), starts_high }
}

fn told(hours: &[Hours]) -> Vec<String> {
    let span = |span: &Span| format!("{}-{}{}", span.from, span.until, if span.by_turns { "*" } else { "" });
    let settings = |hours: &Hours| {
        hours.settings.iter().map(|share| format!("{:.0}", share.0 * 100.0)).collect::<Vec<_>>().join("/")
    };
    hours
        .iter()
        .map(|hours| {
            format!("{} {}", settings(hours), hours.spans.iter().map(span).collect::<Vec<_>>().join(" "))
        })
        .collect()
}

#[test]
fn each_common_setting_is_told_once_with_all_its_hours() {
    let steady = |share: f64| Pattern::Steady(Share(share));
    let mut day = programme(&[
        ("a", "08:00", "10:00", steady(0.4)),
        ("a", "10:00", "20:00", Pattern::Wander(swing(0.4, 0.8, "10 min", true))),
        ("a", "20:00", "22:00", steady(0.4)),
        ("a", "22:00", "08:00", Pattern::Rest),
        ("b", "00:00", "24:00", steady(1.0)),
    ]);
    let hours = hours(&day, &["a", "b"]);
    assert_eq!(told(&hours), ["0/100 22:00-08:00", "40/100 08:00-10:00 20:00-22:00", "60/100 10:00-20:00"]);
    // What pauses rests.
    day.feedings.push(Feeding {
        at: clock("12:00"),
        pause: 10,
        pumps: Vec::new(),
        places: Places::default(),
    });
    assert!(told(&super::hours(&day, &["a", "b"])).contains(&"0/0 12:00-12:10".to_owned()));
    // A day of one setting is one row.
    let all = programme(&[("a", "00:00", "24:00", steady(0.5))]);
    assert_eq!(told(&super::hours(&all, &["a"])), ["50 00:00-24:00"]);
}

#[test]
fn turns_are_told_by_both_of_their_settings() {
    for period in ["1 min", "6 min", "5 h"] {
        let turns = |starts_high| Pattern::Alternate(swing(0.3, 0.6, period, starts_high));
        let day = programme(&[
            ("a", "10:00", "20:00", turns(true)),
            ("b", "10:00", "20:00", turns(false)),
            ("a", "20:00", "10:00", Pattern::Steady(Share(0.3))),
            ("b", "20:00", "10:00", Pattern::Steady(Share(0.6))),
        ]);
        // What is the same at night and in one of the turns stands in one row.
        let want = ["30/60 10:00-20:00* 20:00-10:00", "60/30 10:00-20:00*"];
        assert_eq!(told(&hours(&day, &["a", "b"])), want, "{period}");
    }
    // The first turn outlasts the stretch.
    let long = Pattern::Alternate(swing(0.3, 0.6, "12 h", true));
    let day = programme(&[("a", "10:00", "14:00", long), ("a", "14:00", "10:00", Pattern::Rest)]);
    assert_eq!(told(&hours(&day, &["a"])), ["0 14:00-10:00", "60 10:00-14:00"]);
}

#[test]
fn what_rests_by_night_and_is_washed_by_day_is_still_at_times_and_not_all_day() {
    let speed = |centimetres: f64| Velocity::from_si(centimetres / 100.0);
    // Three places of unlike area: always slow, slow by night, never slow.
    let night = vec![(speed(0.2), 1.0), (speed(0.4), 2.0), (speed(3.0), 1.0)];
    let day = vec![(speed(0.6), 1.0), (speed(5.0), 2.0), (speed(9.0), 1.0)];
    let parts = [night, day];
    assert_eq!((all_day(&parts, speed(1.0)), at_times(&parts, speed(1.0))), (Share(0.25), Share(0.75)));
    assert_eq!((all_day(&[], speed(1.0)), at_times(&[], speed(1.0))), (Share(0.0), Share(0.0)));
}
