//! Times of the day.

use std::fmt;

use uom::si::f64::Time;

use crate::quantity::Dimension;

/// A day's minutes.
pub(crate) const DAY: u16 = 24 * 60;

/// A time of the day, to the minute: from 00:00 to 24:00, the midnight that ends the day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ClockTime(u16);

impl ClockTime {
    /// The midnight that begins the day.
    pub const START_OF_DAY: ClockTime = ClockTime(0);
    /// The midnight that ends it.
    pub const END_OF_DAY: ClockTime = ClockTime(DAY);

    /// So many minutes after midnight; `None` past 24:00.
    pub fn new(minutes: u16) -> Option<Self> {
        (minutes <= DAY).then_some(ClockTime(minutes))
    }

    /// Reads `"18:30"`. Hours may have one digit, minutes always have two.
    ///
    /// ```
    /// use reckoner_calc::formulas::programme::ClockTime;
    /// assert_eq!(ClockTime::parse("18:30").map(ClockTime::minutes), Some(18 * 60 + 30));
    /// assert_eq!(ClockTime::parse("24:00"), Some(ClockTime::END_OF_DAY));
    /// assert_eq!(ClockTime::parse("6 pm"), None);
    /// ```
    pub fn parse(text: &str) -> Option<Self> {
        let (hours, minutes) = text.split_once(':')?;
        let digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
        if !(1..=2).contains(&hours.len()) || minutes.len() != 2 || !digits(hours) || !digits(minutes) {
            return None;
        }
        let (hours, minutes) = (hours.parse::<u16>().ok()?, minutes.parse::<u16>().ok()?);
        if minutes < 60 { ClockTime::new(hours * 60 + minutes) } else { None }
    }

    /// The minute at a time span after midnight, a day taken off as often as needed; a NaN is midnight.
    pub(crate) fn after_midnight(span: Time) -> Self {
        let minutes = libm::floor(span.si() / 60.0 + 1e-6);
        ClockTime((minutes - f64::from(DAY) * libm::floor(minutes / f64::from(DAY))) as u16)
    }

    /// Minutes after midnight, from 0 to 1440.
    pub fn minutes(self) -> u16 {
        self.0
    }

    /// The time so many minutes later, past midnight from 00:00 on again.
    pub fn later(self, minutes: u16) -> Self {
        ClockTime((self.0 % DAY + minutes % DAY) % DAY)
    }

    /// Minutes from here until the next time that it is `until`; a whole day from 00:00 until 24:00, nothing
    /// until itself.
    pub fn minutes_until(self, until: ClockTime) -> u16 {
        if until.0 >= self.0 { until.0 - self.0 } else { DAY - self.0 + until.0 }
    }
}

impl fmt::Display for ClockTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:02}:{:02}", self.0 / 60, self.0 % 60)
    }
}
