//! Dates, and when each care is due.
//!
//! The first day is given; nothing here knows what day it is.

use std::fmt;

use uom::si::f64::Time;

use crate::quantity::Dimension;
use crate::rules::Rules;
use crate::tank::Tank;
use crate::upkeep::Care;

/// A day of the Gregorian calendar, from the year 1900 to 9999.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date {
    year: u16,
    month: u8,
    day: u8,
}

impl Date {
    /// Reads `"2026-03-01"`, as ISO 8601 writes a date.
    ///
    /// ```
    /// use reckoner_calc::calendar::Date;
    /// assert_eq!(Date::parse("2024-02-29").map(|date| date.to_string()).as_deref(), Some("2024-02-29"));
    /// assert_eq!(Date::parse("2026-02-29"), None);
    /// ```
    pub fn parse(text: &str) -> Option<Self> {
        let bytes = text.as_bytes();
        let digits = |range: std::ops::Range<usize>| bytes[range].iter().all(u8::is_ascii_digit);
        if bytes.len() != 10 || bytes[4] != b'-' || bytes[7] != b'-' || !(digits(0..4) && digits(5..7) && digits(8..10)) {
            return None;
        }
        let (year, month, day) = (text[..4].parse().ok()?, text[5..7].parse().ok()?, text[8..].parse().ok()?);
        let date = Date { year, month, day };
        (year >= 1900 && (1..=12).contains(&month) && (1..=date.days_of_month()).contains(&day)).then_some(date)
    }

    /// Year, month and day.
    pub fn parts(self) -> (u16, u8, u8) {
        (self.year, self.month, self.day)
    }

    /// The last day of its month.
    pub fn last_of_month(self) -> Self {
        Date { day: self.days_of_month(), ..self }
    }

    fn days_of_month(self) -> u8 {
        let leap = self.year.is_multiple_of(4) && (!self.year.is_multiple_of(100) || self.year.is_multiple_of(400));
        match self.month {
            2 if leap => 29,
            2 => 28,
            4 | 6 | 9 | 11 => 30,
            _ => 31,
        }
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

/// How something comes round again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Repeat {
    /// Every so many days.
    Days(u32),
    /// Every so many weeks.
    Weeks(u32),
    /// Every so many months, on the same day of the month, which all months have.
    Months(u32),
    /// Every so many months, on the last day of the month.
    MonthEnds(u32),
}

impl Repeat {
    /// The first day and the repeat of an interval that begins on a day.
    ///
    /// Whole months stay months and whole weeks weeks; anything else is whole days, rounded down, a day at the least. Months that begin
    /// after the 28th fall on the last day of each month, the first of them too: not every month has the days in between.
    pub fn of(interval: Time, from: Date) -> (Date, Self) {
        let whole = |unit: f64| {
            let count = libm::rint(interval.si() / unit);
            (count >= 1.0 && (interval.si() / unit - count).abs() < 1e-6).then_some(count as u32)
        };
        match (whole(MONTH), whole(7.0 * DAY)) {
            (Some(months), _) if from.day > 28 => (from.last_of_month(), Repeat::MonthEnds(months)),
            (Some(months), _) => (from, Repeat::Months(months)),
            (None, Some(weeks)) => (from, Repeat::Weeks(weeks)),
            (None, None) => (from, Repeat::Days(libm::floor(interval.si() / DAY + 1e-6).max(1.0) as u32)),
        }
    }
}

const DAY: f64 = 24.0 * 3600.0;
/// The twelfth part of the mean Gregorian year, which "months" are in rules.
const MONTH: f64 = 365.2425 * DAY / 12.0;

/// A care in the calendar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Due {
    /// Which.
    pub care: Care,
    /// What to do.
    pub title: String,
    /// What to know beside it.
    pub note: String,
    /// When it is due for the first time.
    pub first: Date,
    /// When again.
    pub repeat: Repeat,
}

/// Every care of a tank, all due for the first time as the calendar begins. What the tank lacks needs no care.
pub fn due(rules: &Rules, tank: &Tank, from: Date) -> Vec<Due> {
    let cares = Care::ALL.into_iter().filter(|care| care.is_due_for(tank));
    let due = |care: Care| {
        let (first, repeat) = Repeat::of(rules.upkeep.interval(care), from);
        let rule = rules.rule(&format!("upkeep.{}", care.key()));
        let (title, note) = rule.map_or_else(Default::default, |rule| (rule.title.clone(), rule.note.clone()));
        Due { care, title, note, first, repeat }
    };
    cares.map(due).collect()
}

#[cfg(test)]
mod tests;
