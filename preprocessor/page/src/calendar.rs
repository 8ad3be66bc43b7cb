//! The care calendar as iCalendar, RFC 5545: what a phone or a computer's calendar can take in.
//!
//! A calendar program knows an event by its UID: made of the tank's id, the care and the pump. What it gets
//! later with a higher sequence takes the place of what it had; so the sequence and the stamp are the minute
//! in which the file was made. The same tank, rules, first day and minute give the same bytes.

use std::time::SystemTime;

use reckoner_calc::decide::calendar::{Due, due};
use reckoner_calc::formulas::calendar::{Date, Repeat};
use reckoner_calc::formulas::programme;
use reckoner_calc::{Rules, Tank};

/// The minute in which a calendar was made, in coordinated universal time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Made {
    day: Date,
    minute: u32,
    /// Minutes since the year 2020 began.
    count: u64,
}

impl Made {
    /// Now, by the clock of the machine; the beginning of 2020 where it shows an earlier time.
    pub fn now() -> Self {
        let since = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default();
        Made::at(since.as_secs())
    }

    /// So many seconds after the year 1970 began, as clocks count; the beginning of 2020 for an earlier time.
    pub fn at(seconds: u64) -> Self {
        Made::after(seconds.saturating_sub(YEAR_2020) / 60)
    }

    /// So many minutes after the year 2020 began.
    pub fn after(count: u64) -> Self {
        let days = u32::try_from(count / (24 * 60)).unwrap_or(u32::MAX).min(MOST_DAYS);
        Made { day: BEGIN.days_later(days), minute: (count % (24 * 60)) as u32, count }
    }

    fn stamp(self) -> String {
        format!("{}T{:02}{:02}00Z", basic(self.day), self.minute / 60, self.minute % 60)
    }
}

/// Seconds from 1970 to 2020.
const YEAR_2020: u64 = 1_577_836_800;
const BEGIN: Date = Date::FIRST_OF_2020;
/// Up to the end of the year 9999.
const MOST_DAYS: u32 = 2_914_694;

/// A date as people write it, such as `2026-03-01`.
///
/// # Errors
/// What would be right.
pub fn read_date(text: &str) -> Result<Date, &'static str> {
    Date::parse(text).ok_or("write year, month and day, for instance 2026-03-01")
}

/// The care calendar of a tank whose pumps are clean and whose devices were tried on a day.
pub fn calendar(rules: &Rules, tank: &Tank, from: Date, made: Made) -> String {
    let title = escaped(&format!("Care of {}", tank.name));
    let mut lines = vec![
        "BEGIN:VCALENDAR".to_owned(),
        "VERSION:2.0".to_owned(),
        "PRODID:-//Reef Reckoner//Care calendar//EN".to_owned(),
        "CALSCALE:GREGORIAN".to_owned(),
        format!("NAME:{title}"),
        // What most programs read in its place.
        format!("X-WR-CALNAME:{title}"),
    ];
    for due in due(rules, tank, from) {
        lines.extend(event(&due, tank, made));
    }
    lines.push("END:VCALENDAR".to_owned());
    lines.iter().map(|line| folded(line)).collect()
}

fn event(due: &Due, tank: &Tank, made: Made) -> Vec<String> {
    let care = due.care.key().replace('_', "-");
    // The hash keeps tanks and pumps apart whose names have no letters of ASCII; a blank parts the two.
    let whose = programme::seed(&format!("{}\n{}", tank.id, due.pump.as_deref().unwrap_or_default()));
    let title = match &due.pump {
        Some(pump) => format!("{}, pump {pump}: {}", tank.name, due.title),
        None => format!("{}: {}", tank.name, due.title),
    };
    let mut lines = vec![
        "BEGIN:VEVENT".to_owned(),
        format!("UID:{care}-{whose:016x}@reef-reckoner.invalid"),
        format!("DTSTAMP:{}", made.stamp()),
        format!("LAST-MODIFIED:{}", made.stamp()),
        format!("SEQUENCE:{}", made.count.min(i32::MAX as u64)),
        format!("DTSTART;VALUE=DATE:{}", basic(due.first)),
        format!("RRULE:{}", recurrence(due.repeat)),
        format!("SUMMARY:{}", escaped(&title)),
    ];
    if !due.note.is_empty() {
        lines.push(format!("DESCRIPTION:{}", escaped(&due.note)));
    }
    // A day's care does not make its keeper busy.
    lines.extend(["TRANSP:TRANSPARENT".to_owned(), "END:VEVENT".to_owned()]);
    lines
}

/// A repeat as a recurrence rule, RFC 5545, section 3.3.10.
pub fn recurrence(repeat: Repeat) -> String {
    let every = |count: u32| if count == 1 { String::new() } else { format!(";INTERVAL={count}") };
    match repeat {
        Repeat::Days(count) => format!("FREQ=DAILY{}", every(count)),
        Repeat::Weeks(count) => format!("FREQ=WEEKLY{}", every(count)),
        Repeat::Months(count) => format!("FREQ=MONTHLY{}", every(count)),
        Repeat::MonthEnds(count) => format!("FREQ=MONTHLY{};BYMONTHDAY=-1", every(count)),
    }
}

/// A date without its hyphens.
fn basic(date: Date) -> String {
    date.to_string().replace('-', "")
}

/// A text value, RFC 5545, section 3.3.11.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            '\\' | ';' | ',' => out.extend(['\\', c]),
            '\n' => out.push_str("\\n"),
            // No other control character may stand in a text.
            c if c.is_control() && c != '\t' => {}
            c => out.push(c),
        }
    }
    out
}

/// A content line with its end, folded so that no line is longer than 75 octets, RFC 5545, section 3.1; never
/// inside a character.
fn folded(line: &str) -> String {
    let mut out = String::new();
    let mut octets = 0;
    for c in line.chars() {
        if octets + c.len_utf8() > 75 {
            out.push_str("\r\n ");
            octets = 1;
        }
        out.push(c);
        octets += c.len_utf8();
    }
    out + "\r\n"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_value_keeps_tabs_and_no_other_control_character() {
        assert_eq!(escaped("a\tb\u{7}c\u{1b}d, e;\nf\\"), "a\tbcd\\, e\\;\\nf\\\\");
    }
}
