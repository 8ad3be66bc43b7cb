use proptest::prelude::*;

use super::*;
use crate::quantity::parse;

fn date(text: &str) -> Date {
    Date::parse(text).unwrap()
}

#[test]
fn only_days_that_exist_are_read() {
    for text in ["2026-01-31", "2024-02-29", "2000-02-29", "9999-12-31", "1900-01-01"] {
        assert_eq!(date(text).to_string(), text);
    }
    let none = [
        "2026-02-29",
        "1900-02-29",
        "2100-02-29",
        "2026-04-31",
        "2026-13-01",
        "2026-00-10",
        "2026-01-00",
        "1899-12-31",
        "26-01-01",
    ];
    for text in none.into_iter().chain([
        "2026-1-01",
        "2026/01/01",
        "01.01.2026",
        "2026-01-011",
        "+026-01-01",
        "２０２６-01-01",
        "",
    ]) {
        assert_eq!(Date::parse(text), None, "{text}");
    }
}

#[test]
fn intervals_keep_the_unit_they_were_written_in() {
    let of = |interval: &str, from: &str| Repeat::of(parse(interval).unwrap(), date(from));
    let day = date("2026-01-15");
    assert_eq!(of("1 day", "2026-01-15"), (day, Repeat::Days(1)));
    assert_eq!(of("3 days", "2026-01-15"), (day, Repeat::Days(3)));
    assert_eq!(of("4 weeks", "2026-01-15"), (day, Repeat::Weeks(4)));
    assert_eq!(of("2 months", "2026-01-15"), (day, Repeat::Months(2)));
    assert_eq!(of("1 years", "2026-01-15"), (day, Repeat::Months(12)));
    assert_eq!(of("36 h", "2026-01-15"), (day, Repeat::Days(1)));
    assert_eq!(of("6 h", "2026-01-15"), (day, Repeat::Days(1)));
    assert_eq!(of("2 months", "2026-01-28"), (date("2026-01-28"), Repeat::Months(2)));
    assert_eq!(of("2 months", "2026-01-30"), (date("2026-01-31"), Repeat::MonthEnds(2)));
    assert_eq!(of("1 week", "2026-01-31"), (date("2026-01-31"), Repeat::Weeks(1)));
}

proptest! {
    #[test]
    fn no_care_comes_later_than_its_rule_says(days in 1.0..400.0) {
        let (_, repeat) = Repeat::of(Time::from_si(days * DAY), date("2026-03-01"));
        if let Repeat::Days(count) = repeat {
            prop_assert!(f64::from(count) <= days + 1e-6 && f64::from(count) > days - 1.0 - 1e-6);
        }
    }
}

#[test]
fn days_and_months_later_are_those_of_the_calendar() {
    assert_eq!(date("2026-02-27").days_later(2), date("2026-03-01"));
    assert_eq!(date("2024-02-27").days_later(2), date("2024-02-29"));
    assert_eq!(date("2026-12-30").days_later(5), date("2027-01-04"));
    // Day 2,914,694 after 1 January 2020 is the last of 9999: 7980 years of 365 days and 1935 leap days, less
    // one.
    assert_eq!(Date::FIRST_OF_2020.days_later(7980 * 365 + 1935 - 1), date("9999-12-31"));
    assert_eq!(Repeat::Months(2).after(date("2026-11-28")), date("2027-01-28"));
    assert_eq!(Repeat::MonthEnds(2).after(date("2026-12-31")), date("2027-02-28"));
    assert_eq!(Repeat::Weeks(1).after(date("2026-01-31")), date("2026-02-07"));
}
