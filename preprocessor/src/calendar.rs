//! The care calendar as iCalendar, RFC 5545: what a phone or a computer's calendar can take in.
//!
//! The same tank, rules and first day give the same bytes: every event's UID is made of the care and the tank's name, and its time
//! stamp is the first day.

use reckoner_calc::calendar::{Date, Due, Repeat, due};
use reckoner_calc::{Rules, Tank, programme};

/// The care calendar of a tank, all cares due for the first time on a day.
pub fn calendar(rules: &Rules, tank: &Tank, from: Date) -> String {
    let mut lines = vec![
        "BEGIN:VCALENDAR".to_owned(),
        "VERSION:2.0".to_owned(),
        "PRODID:-//Reef Reckoner//Care calendar//EN".to_owned(),
        "CALSCALE:GREGORIAN".to_owned(),
        format!("NAME:{}", escaped(&format!("Care of {}", tank.name))),
    ];
    for due in due(rules, tank, from) {
        lines.extend(event(&due, &tank.name, from));
    }
    lines.push("END:VCALENDAR".to_owned());
    lines.iter().map(|line| folded(line)).collect()
}

fn event(due: &Due, tank: &str, from: Date) -> Vec<String> {
    let mut lines = vec![
        "BEGIN:VEVENT".to_owned(),
        // The hash keeps tanks apart whose names have no letters of ASCII.
        format!("UID:{}-{:016x}@reef-reckoner.invalid", due.care.key().replace('_', "-"), programme::seed(tank)),
        format!("DTSTAMP:{}T000000Z", basic(from)),
        format!("DTSTART;VALUE=DATE:{}", basic(due.first)),
        format!("RRULE:{}", recurrence(due.repeat)),
        format!("SUMMARY:{}", escaped(&format!("{tank}: {}", due.title))),
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

/// A content line with its end, folded so that no line is longer than 75 octets, RFC 5545, section 3.1; never inside a character.
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
