//! The proof as a whole: enough published values, each publication used, each table telling where it comes
//! from.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::{Path, PathBuf};

use reckoner_calc::Rules;
use reckoner_calc::rules::Basis;

fn repository() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// The texts of the files of a folder that have the given ending.
fn texts(folder: &Path, ending: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|extension| extension == ending) {
            found.push((
                path.file_name().unwrap().to_string_lossy().into_owned(),
                fs::read_to_string(&path).unwrap(),
            ));
        }
    }
    found.sort();
    found
}

#[test]
fn the_tables_hold_enough_values_and_say_where_they_come_from() {
    // What stands in print is never mixed with what another library reckons: the first line of each table
    // says which it is.
    for (folder, begin, enough) in
        [("published", "# In print", 100), ("independent", "# Computed outside this project", 500)]
    {
        let mut rows = 0;
        for (name, text) in &texts(&repository().join("tests").join(folder), "csv") {
            assert!(text.starts_with(begin), "{folder}/{name} does not say where its values come from");
            assert!(
                folder != "published" || !text.to_lowercase().contains("numpy"),
                "{name} holds values that are not in print"
            );
            rows += text.lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty()).count() - 1;
        }
        assert!(rows >= enough, "only {rows} rows in {folder}");
    }
}

#[test]
fn every_source_is_used_and_there_are_enough() {
    let rules = Rules::compiled_in().unwrap();
    let chapters: String =
        texts(&repository().join("book/src"), "md").into_iter().map(|(_, text)| text).collect();
    let mut unused = Vec::new();
    for key in rules.sources.keys() {
        let by_a_rule = rules
            .all
            .iter()
            .any(|rule| matches!(&rule.basis, Basis::Published { source, .. } if source == key));
        let by_a_check = chapters.contains(&format!("\"{key}\""));
        if !(by_a_rule || by_a_check) {
            unused.push(key);
        }
    }
    assert!(unused.is_empty(), "no rule and no check uses {unused:?}");
    assert!(rules.sources.len() >= 20, "only {} sources", rules.sources.len());
}
