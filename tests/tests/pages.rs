//! Every page of the book as a reader of plain text meets it, one snapshot a page.
//!
//! A snapshot says that a page did not change. That its numbers are right is for the published checks to say.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;

use mdbook_reckoner::site::rendered_pages;
use mdbook_reckoner::site::typeset::Reckoner;

fn here() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

#[test]
fn every_page_reads_as_it_was_reviewed() {
    let pages = rendered_pages(&here().join("../book"), Reckoner::default(), "markdown")
        .unwrap_or_else(|errors| panic!("{errors}"));
    assert!(pages.len() > 8);
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path(here().join("snapshots/pages"));
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    let _bound = settings.bind_to_scope();
    // All pages are looked at before the test gives up, so that one run leaves every changed snapshot beside
    // its old one.
    let differs = |(path, text): &&(String, String)| {
        let page = path.trim_end_matches(".md").replace('/', "-");
        catch_unwind(AssertUnwindSafe(|| insta::assert_snapshot!(page, text))).is_err()
    };
    let changed: Vec<_> = pages.iter().filter(differs).map(|(path, _)| path.as_str()).collect();
    assert!(
        changed.is_empty(),
        "{} pages no longer read as reviewed: {}.\nThe new snapshot of each stands beside the old one. If you have \
         cargo-insta, go through them with\n  cargo insta review\nWithout it, take them all over, read what changed, and \
         take back what is not right:\n  INSTA_UPDATE=always cargo test -p reckoner-tests --test pages\n  git diff \
         --word-diff tests/snapshots\n  git restore tests/snapshots/pages/PAGE.snap",
        changed.len(),
        changed.join(", ")
    );

    let expected: BTreeSet<_> = pages
        .iter()
        .map(|(path, _)| format!("{}.snap", path.trim_end_matches(".md").replace('/', "-")))
        .collect();
    let found: BTreeSet<_> = fs::read_dir(here().join("snapshots/pages"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .filter(|name| name.ends_with(".snap"))
        .collect();
    assert_eq!(found, expected, "a snapshot without a page, or a page without a snapshot");
}

#[test]
fn a_figure_carries_its_id_its_si_value_and_both_readings() {
    let pages = rendered_pages(&here().join("../book"), Reckoner::default(), "html")
        .unwrap_or_else(|errors| panic!("{errors}"));
    let all: String = pages.into_iter().map(|(_, text)| text).collect();
    let at = all.find("data-figure=\"tank.water\"").unwrap();
    let start = all[..at].rfind("<data").unwrap();
    let end = start + all[start..].find("</data>").unwrap() + "</data>".len();
    let figure = &all[start..end];
    let value: f64 = figure.split("value=\"").nth(1).unwrap().split('"').next().unwrap().parse().unwrap();
    assert!(figure.contains("data-unit=\"m3\""));
    let litres: f64 =
        figure.split("class=\"metric\">").nth(1).unwrap().split('\u{a0}').next().unwrap().parse().unwrap();
    let gallons: f64 =
        figure.split("class=\"us\">").nth(1).unwrap().split('\u{a0}').next().unwrap().parse().unwrap();
    assert!((value * 1000.0 - litres).abs() <= 0.5, "{figure}");
    assert!((litres / 3.785411784 - gallons).abs() <= 0.7, "{figure}");
}
