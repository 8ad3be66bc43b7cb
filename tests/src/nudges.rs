//! Rule files with one number nudged, for tests that ask who notices.

use std::ops::Range;

use reckoner_calc::rules::livestock::rule_ids;
use reckoner_calc::rules::{Basis, Rules};

/// Which way a number is nudged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// It becomes more.
    Up,
    /// It becomes less.
    Down,
}

impl Way {
    fn of(self, value: f64, by: f64) -> f64 {
        match self {
            Way::Up => value + by,
            Way::Down => value - by,
        }
    }
}

/// Every copy of the text with one number of a rule's value nudged, and the rule's id with that number.
///
/// A published value is nudged by one per cent; a rule of thumb by as much, but at least one in its last
/// place.
pub fn nudged(topic: &str, text: &str, rules: &Rules, way: Way) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let (mut rule, mut is_published) = (String::new(), false);
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        if let Some(name) = line.trim().strip_prefix('[').and_then(|line| line.strip_suffix(']')) {
            rule = id(topic, name);
            is_published =
                rules.rule(&rule).is_some_and(|rule| matches!(rule.basis, Basis::Published { .. }));
        }
        let key = line.split('=').next().unwrap_or_default().trim();
        // A list of values may run over several lines that hold nothing else.
        let is_value = ["value", "low", "high", "values"].contains(&key) || line.starts_with([' ', '\t']);
        if is_value && !line.trim_start().starts_with('#') {
            let from = line.find('=').filter(|_| !line.starts_with([' ', '\t'])).map_or(0, |at| at + 1);
            for number in numbers(&line[from..]) {
                let (from, to) = (start + from + number.start, start + from + number.end);
                let digits = &text[from..to];
                let changed = if is_published && key != "low" && key != "high" {
                    nudge(digits, way)
                } else {
                    at_least_a_step(digits, way)
                };
                let nudge = format!("{}{changed}{}", &text[..from], &text[to..]);
                found.push((format!("{rule} ({digits})"), nudge));
            }
        }
        start += line.len();
    }
    found
}

/// The id of the rule whose table has this name. That of a kind of livestock stands within the table of its
/// kind, by its topic.
fn id(topic: &str, table: &str) -> String {
    let of_kind = table.split_once('.').and_then(|(kind, topic)| rule_ids(kind).find(|(of, _)| *of == topic));
    of_kind.map_or_else(|| format!("{topic}.{table}"), |(_, id)| id)
}

/// The places of the numbers in a line, those inside a word or unit such as `m2` left out.
fn numbers(line: &str) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let bytes = line.as_bytes();
    let mut at = 0;
    while at < bytes.len() {
        let start = at;
        let is_number = |at: usize| {
            bytes[at].is_ascii_digit()
                || matches!(bytes[at], b'.' | b'e' | b'E')
                || (matches!(bytes[at], b'-' | b'+') && matches!(bytes[at - 1], b'e' | b'E'))
        };
        if bytes[at].is_ascii_digit() && !(at > 0 && bytes[at - 1].is_ascii_alphanumeric()) {
            while at < bytes.len() && is_number(at) {
                at += 1;
            }
            found.push(start..start + line[start..at].trim_end_matches(['.', 'e', 'E']).len());
        }
        at += 1;
    }
    found
}

/// One per cent more or less, with enough digits to show it.
fn nudge(digits: &str, way: Way) -> String {
    let value: f64 = digits.parse().unwrap_or_else(|_| panic!("{digits:?} is not a number"));
    let value = value * way.of(1.0, 0.01);
    if digits.contains(['e', 'E']) { format!("{value:e}") } else { format!("{value}") }
}

/// One per cent more or less, but at least one in the last place: a rule of thumb such as "30 minutes" is
/// changed in whole steps.
fn at_least_a_step(digits: &str, way: Way) -> String {
    let decimals = digits.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let value: f64 = digits.parse().unwrap_or_else(|_| panic!("{digits:?} is not a number"));
    let last_place = libm::pow(10.0, -(decimals as f64));
    if 0.01 * value > last_place {
        nudge(digits, way)
    } else {
        format!("{:.decimals$}", way.of(value, last_place))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_units_are_left_alone() {
        assert_eq!(numbers(" \"2930 kg/m3\"").len(), 1);
        assert_eq!(numbers(" [1.5e-3, -2.0, 7]").len(), 3);
        assert_eq!(nudge("1.5e-3", Way::Up), "1.515e-3");
        assert_eq!(nudge("20", Way::Up), "20.2");
        assert_eq!(at_least_a_step("0.25", Way::Up), "0.26");
        assert_eq!(at_least_a_step("2500", Way::Up), "2525");
        assert_eq!(nudge("20", Way::Down), "19.8");
        assert_eq!(at_least_a_step("0.25", Way::Down), "0.24");
    }
}
