//! Dates of the calendar, and how something comes round again.
//!
//! The first day is given; nothing here knows what day it is.

use std::fmt;

use uom::si::f64::Time;

use crate::quantity::Dimension;

/// A day of the Gregorian calendar, from the year 1900 to 9999.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date {
    year: u16,
    month: u8,
    day: u8,
}

impl Date {
    /// 1 January 2020.
    pub const FIRST_OF_2020: Date = Date { year: 2020, month: 1, day: 1 };

    /// Reads `"2026-03-01"`, as ISO 8601 writes a date.
    ///
    /// ```
    /// use reckoner_calc::formulas::calendar::Date;
    /// assert_eq!(Date::parse("2024-02-29").map(|date| date.to_string()).as_deref(), Some("2024-02-29"));
    /// assert_eq!(Date::parse("2026-02-29"), None);
    /// ```
    pub fn parse(text: &str) -> Option<Self> {
        let bytes = text.as_bytes();
        let digits = |range: std::ops::Range<usize>| bytes[range].iter().all(u8::is_ascii_digit);
        if bytes.len() != 10
            || bytes[4] != b'-'
            || bytes[7] != b'-'
            || !(digits(0..4) && digits(5..7) && digits(8..10))
        {
            return None;
        }
        let (year, month, day) = (text[..4].parse().ok()?, text[5..7].parse().ok()?, text[8..].parse().ok()?);
        let date = Date { year, month, day };
        (year >= 1900 && (1..=12).contains(&month) && (1..=date.days_of_month()).contains(&day))
            .then_some(date)
    }

    /// Year, month and day.
    pub fn parts(self) -> (u16, u8, u8) {
        (self.year, self.month, self.day)
    }

    /// The day so many days later, up to the end of the year 9999.
    pub fn days_later(self, days: u32) -> Self {
        (0..days).fold(self, |date, _| date.next())
    }

    fn next(self) -> Self {
        match (self.day < self.days_of_month(), self.month < 12) {
            (true, _) => Date { day: self.day + 1, ..self },
            (false, true) => Date { month: self.month + 1, day: 1, ..self },
            (false, false) => Date { year: (self.year + 1).min(9999), month: 1, day: 1 },
        }
    }

    /// The same day of the month so many months later, or the last one where that month is shorter.
    fn months_later(self, months: u32) -> Self {
        let count = u32::from(self.month) - 1 + months;
        let year = (u32::from(self.year) + count / 12).min(9999) as u16;
        let first = Date { year, month: (count % 12) as u8 + 1, day: 1 };
        Date { day: self.day.min(first.days_of_month()), ..first }
    }

    /// The last day of its month.
    pub fn last_of_month(self) -> Self {
        Date { day: self.days_of_month(), ..self }
    }

    fn days_of_month(self) -> u8 {
        let leap =
            self.year.is_multiple_of(4) && (!self.year.is_multiple_of(100) || self.year.is_multiple_of(400));
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
    /// Whole months stay months and whole weeks weeks; anything else is whole days, rounded down, a day at
    /// the least. Months that begin after the 28th fall on the last day of each month, the first of them too:
    /// not every month has the days in between.
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

impl Repeat {
    /// When it comes round for the first time after a day.
    pub fn after(self, from: Date) -> Date {
        match self {
            Repeat::Days(count) => from.days_later(count),
            Repeat::Weeks(count) => from.days_later(7 * count),
            Repeat::Months(count) => from.months_later(count),
            Repeat::MonthEnds(count) => Date { day: 1, ..from }.months_later(count).last_of_month(),
        }
    }
}

/// A day in seconds.
pub(crate) const DAY: f64 = 24.0 * 3600.0;
/// The twelfth part of the mean Gregorian year, which "months" are in rules.
const MONTH: f64 = 365.2425 * DAY / 12.0;

#[cfg(test)]
mod tests;
