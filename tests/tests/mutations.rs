//! Every rule matters: nudge a published value by one per cent, or a rule of thumb by as much but at least one step in its last place,
//! and some page or some check must differ. A rule that nobody would miss is a hole.
//!
//! The pages that list the rules and figures themselves do not count: they would notice anything.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::PathBuf;
use std::sync::Arc;

use mdbook_reckoner::edition::Settings;
use mdbook_reckoner::proof::ledger::Ledger;
use mdbook_reckoner::site::rendered_pages;
use mdbook_reckoner::site::typeset::Reckoner;
use reckoner_calc::rules::{Basis, COMPILED_IN, Rules};

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
fn nudged(topic: &str, text: &str, rules: &Rules) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let (mut rule, mut is_published) = (String::new(), false);
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        if let Some(name) = line.trim().strip_prefix('[').and_then(|line| line.strip_suffix(']')) {
            rule = format!("{topic}.{name}");
            is_published = rules.rule(&rule).is_some_and(|rule| matches!(rule.basis, Basis::Published { .. }));
        }
        let key = line.split('=').next().unwrap_or_default().trim();
        // A list of values may run over several lines that hold nothing else.
        let is_value = ["value", "low", "high", "values"].contains(&key) || line.starts_with([' ', '\t']);
        if is_value && !line.trim_start().starts_with('#') {
            let from = line.find('=').filter(|_| !line.starts_with([' ', '\t'])).map_or(0, |at| at + 1);
            for number in numbers(&line[from..]) {
                let (from, to) = (start + from + number.start, start + from + number.end);
                let digits = &text[from..to];
                let changed = if is_published && key != "low" && key != "high" { nudge(digits) } else { at_least_a_step(digits) };
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

/// One per cent more, but at least one more in the last place: a rule of thumb such as "30 minutes" is changed in whole steps.
fn at_least_a_step(digits: &str) -> String {
    let decimals = digits.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let value: f64 = digits.parse().unwrap_or_else(|_| panic!("{digits:?} is not a number"));
    let last_place: f64 = format!("1e-{decimals}").parse().unwrap();
    if 0.01 * value > last_place { nudge(digits) } else { format!("{:.decimals$}", value + last_place) }
}

#[test]
fn every_rule_is_missed_when_it_changes_by_one_per_cent() {
    let rules = Rules::compiled_in().unwrap();
    let baseline = noticed(None).unwrap_or_else(|errors| panic!("{errors}"));
    // The folder of rules itself changes nothing.
    let folder = tempfile::tempdir().unwrap();
    for (file, text) in COMPILED_IN {
        fs::write(folder.path().join(file), text).unwrap();
    }
    assert!(noticed(Some(folder.path().to_owned())).unwrap_or_else(|errors| panic!("{errors}")) == baseline);
    let all: Vec<_> = COMPILED_IN
        .iter()
        .filter(|(file, _)| *file != "sources.toml")
        .flat_map(|(file, text)| {
            nudged(file.trim_end_matches(".toml"), text, &rules).into_iter().map(move |(rule, changed)| (*file, rule, changed))
        })
        .collect();
    let survives = |(file, rule, changed): &(&str, String, String)| {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join(file), changed).unwrap();
        // A change that the rules themselves refuse, such as a band turned round, has been noticed too.
        noticed(Some(folder.path().to_owned())).is_ok_and(|after| after == baseline).then(|| rule.clone())
    };
    let threads = std::thread::available_parallelism().map_or(2, usize::from);
    let survivors: Vec<String> = std::thread::scope(|scope| {
        let work: Vec<_> = all
            .chunks(all.len().div_ceil(threads))
            .map(|part| scope.spawn(|| part.iter().filter_map(&survives).collect::<Vec<_>>()))
            .collect();
        work.into_iter().flat_map(|part| part.join().unwrap()).collect()
    });
    let tried = all.len();
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
    assert_eq!(at_least_a_step("0.25"), "0.26");
    assert_eq!(at_least_a_step("2500"), "2525");
}
