//! Every rule matters: nudge a published value by one per cent, or a rule of thumb by as much but at least
//! one step in its last place, and some page or some check must differ. A rule that nobody would miss is a
//! hole.
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
use reckoner_calc::rules::{COMPILED_IN, Rules};
use reckoner_tests::nudges::{Way, nudged};

/// Pages that print every rule or figure.
const LISTS: [&str; 2] = ["rules.md", "ledger.md"];

fn book() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../book")
}

/// What a reader can notice: the pages but the lists, and whether each check passes.
fn noticed(rules: Option<PathBuf>) -> Result<(Vec<String>, Vec<bool>), String> {
    let reckoner = Reckoner {
        overrides: Settings { tank: None, rules, ..Settings::default() },
        whatever_the_checks_say: true,
        ..Reckoner::default()
    };
    let ledger: Arc<_> = reckoner.ledger.clone();
    let pages = rendered_pages(&book(), reckoner, "markdown").map_err(|errors| errors.to_string())?;
    let pages =
        pages.into_iter().filter(|(path, _)| !LISTS.contains(&path.as_str())).map(|(_, text)| text).collect();
    let ledger: Option<Ledger> = ledger.lock().unwrap().take();
    Ok((pages, ledger.unwrap().checks.iter().map(|check| check.passed).collect()))
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
            nudged(file.trim_end_matches(".toml"), text, &rules, Way::Up)
                .into_iter()
                .map(move |(rule, changed)| (*file, rule, changed))
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
