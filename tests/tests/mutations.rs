//! Every rule matters: nudge it by one per cent, or the end of a band by one step, and some page or some check must differ. A rule that nobody would miss is a hole.
//!
//! The pages that list the rules and figures themselves do not count: they would notice anything.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::PathBuf;
use std::sync::Arc;

use mdbook_reckoner::edition::Settings;
use mdbook_reckoner::ledger::Ledger;
use mdbook_reckoner::site::rendered_pages;
use mdbook_reckoner::typeset::Reckoner;
use reckoner_calc::rules::COMPILED_IN;

/// Pages that print every rule or figure.
const LISTS: [&str; 2] = ["rules.md", "ledger.md"];

fn book() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../book")
}

/// What a reader can notice: the pages but the lists, and whether each check passes.
fn noticed(rules: Option<PathBuf>) -> Result<(Vec<String>, Vec<bool>), String> {
    let reckoner = Reckoner { overrides: Settings { tank: None, rules }, whatever_the_checks_say: true, ..Reckoner::default() };
    let ledger: Arc<_> = reckoner.ledger.clone();
    let pages = rendered_pages(&book(), reckoner, "markdown").map_err(|errors| errors.to_string())?;
    let pages = pages.into_iter().filter(|(path, _)| !LISTS.contains(&path.as_str())).map(|(_, text)| text).collect();
    let ledger: Option<Ledger> = ledger.lock().unwrap().take();
    Ok((pages, ledger.unwrap().checks.iter().map(|check| check.passed).collect()))
}

/// Every copy of the text with one number of a rule's value nudged, and the rule's id with that number.
fn nudged(topic: &str, text: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut rule = String::new();
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        if let Some(name) = line.trim().strip_prefix('[').and_then(|line| line.strip_suffix(']')) {
            rule = format!("{topic}.{name}");
        }
        let key = line.split('=').next().unwrap_or_default().trim();
        // A list of values may run over several lines that hold nothing else.
        let is_value = ["value", "low", "high", "values"].contains(&key) || line.starts_with([' ', '\t']);
        if is_value && !line.trim_start().starts_with('#') {
            let from = line.find('=').filter(|_| !line.starts_with([' ', '\t'])).map_or(0, |at| at + 1);
            for number in numbers(&line[from..]) {
                let (from, to) = (start + from + number.start, start + from + number.end);
                let digits = &text[from..to];
                let changed = if ["low", "high"].contains(&key) { step(digits) } else { nudge(digits) };
                let nudge = format!("{}{changed}{}", &text[..from], &text[to..]);
                found.push((format!("{rule} ({digits})"), nudge));
            }
        }
        start += line.len();
    }
    found
}

/// The places of the numbers in a line, those inside a word or unit such as `m2` left out.
fn numbers(line: &str) -> Vec<std::ops::Range<usize>> {
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

/// One per cent more, with enough digits to show it.
fn nudge(digits: &str) -> String {
    let value: f64 = digits.parse().unwrap_or_else(|_| panic!("{digits:?} is not a number"));
    if digits.contains(['e', 'E']) { format!("{:e}", value * 1.01) } else { format!("{}", value * 1.01) }
}

/// One more in the last place: what a band is changed by.
fn step(digits: &str) -> String {
    let decimals = digits.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let value: f64 = digits.parse().unwrap_or_else(|_| panic!("{digits:?} is not a number"));
    let last_place: f64 = format!("1e-{decimals}").parse().unwrap();
    format!("{:.decimals$}", value + last_place)
}

#[test]
fn every_rule_is_missed_when_it_changes_by_one_per_cent() {
    let baseline = noticed(None).unwrap_or_else(|errors| panic!("{errors}"));
    let mut tried = 0;
    let mut survivors = Vec::new();
    for (file, text) in COMPILED_IN.iter().filter(|(file, _)| *file != "sources.toml") {
        for (rule, changed) in nudged(file.trim_end_matches(".toml"), text) {
            let folder = tempfile::tempdir().unwrap();
            fs::write(folder.path().join(file), changed).unwrap();
            tried += 1;
            // A change that the rules themselves refuse, such as a band turned round, has been noticed too.
            if noticed(Some(folder.path().to_owned())).is_ok_and(|after| after == baseline) {
                survivors.push(rule);
            }
        }
    }
    assert!(tried > 10, "only {tried} numbers were nudged");
    assert!(
        survivors.is_empty(),
        "{} of {tried} numbers can change by one per cent unnoticed:\n  {}",
        survivors.len(),
        survivors.join("\n  ")
    );
}

#[test]
fn numbers_in_units_are_left_alone() {
    assert_eq!(numbers(" \"2930 kg/m3\"").len(), 1);
    assert_eq!(numbers(" [1.5e-3, -2.0, 7]").len(), 3);
    assert_eq!(nudge("1.5e-3"), "1.515e-3");
    assert_eq!(nudge("20"), "20.2");
    assert_eq!(step("0.25"), "0.26");
}
