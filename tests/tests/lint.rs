//! The lints of what authors write: each row of `tests/lint/refused.txt` and `allowed.txt` as one named test,
//! and the messages, one reviewed snapshot for each page in `tests/lint`.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a helper of a test may panic like the test")]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

use libtest_mimic::{Arguments, Failed, Trial};
use mdbook_reckoner::diagnostic::Diagnostics;
use mdbook_reckoner::prose::lint::{MarkdownOptions, typed_numbers};
use mdbook_reckoner::prose::stories::stories;

fn main() -> ExitCode {
    let arguments = Arguments::from_args();
    let mut trials = vec![
        Trial::test("messages are as reviewed", || {
            messages_are_as_reviewed();
            Ok(())
        }),
        Trial::test("every page has a snapshot and every snapshot a page", || {
            every_page_has_a_snapshot_and_every_snapshot_a_page();
            Ok(())
        }),
    ];
    for row in rows("refused.txt") {
        let (text, numbers) = row.rsplit_once(" => ").expect("a row of refused.txt needs =>");
        let (text, numbers) = (text.to_owned(), numbers.split(" & ").map(str::to_owned).collect());
        trials.push(Trial::test(format!("refused: {text}"), move || finds(&text, numbers)));
    }
    for text in rows("allowed.txt") {
        trials.push(Trial::test(format!("allowed: {text}"), move || finds(&text, Vec::new())));
    }
    libtest_mimic::run(&arguments, trials).exit_code()
}

/// The rows of a file in `tests/lint`.
fn rows(name: &str) -> Vec<String> {
    let text = fs::read_to_string(here().join("lint").join(name)).unwrap();
    let rows: Vec<_> =
        text.lines().filter(|line| !line.is_empty() && !line.starts_with("//")).map(str::to_owned).collect();
    let different: BTreeSet<_> = rows.iter().collect();
    assert_eq!(rows.len(), different.len(), "{name} holds a row twice");
    rows
}

fn finds(text: &str, wanted: Vec<String>) -> Result<(), Failed> {
    let text: Arc<str> = text.replace("\\n", "\n").into();
    let errors = typed_numbers("a.md", &text, &MarkdownOptions::default());
    let places = errors.into_iter().filter_map(|error| error.place);
    let found: Vec<_> = places.map(|place| place.text[place.span].replace('\n', "\\n")).collect();
    if found == wanted { Ok(()) } else { Err(Failed::from(format!("found {found:?}, wanted {wanted:?}"))) }
}

fn here() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn messages_are_as_reviewed() {
    let settings = {
        let mut settings = insta::Settings::clone_current();
        settings.set_snapshot_path("../snapshots");
        settings.set_prepend_module_to_snapshot(false);
        settings.set_omit_expression(true);
        settings
    };
    settings.bind(|| {
        insta::glob!("../lint", "*.md", |path| {
            let text: Arc<str> = fs::read_to_string(path).unwrap().into();
            let file = path.file_name().unwrap().to_string_lossy();
            let options = MarkdownOptions::default();
            let mut errors = typed_numbers(&file, &text, &options);
            errors.extend(stories(&file, &text, &options));
            let messages = Diagnostics(errors).or("nothing typed by hand\n".to_owned());
            insta::assert_snapshot!("lint", messages.unwrap_or_else(|errors| errors.to_string()));
        });
    });
}

fn every_page_has_a_snapshot_and_every_snapshot_a_page() {
    let names = |folder: &Path, start: &str, end: &str| -> BTreeSet<String> {
        let names =
            fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
        names.filter_map(|name| Some(name.strip_prefix(start)?.strip_suffix(end)?.to_owned())).collect()
    };
    assert_eq!(names(&here().join("lint"), "", ".md"), names(&here().join("snapshots"), "lint@", ".md.snap"));
}
