//! The messages of the lints of typed numbers and of stories about the reader's tank, one reviewed snapshot for each page in `tests/lint`.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a helper of a test may panic like the test")]

use mdbook_reckoner::diagnostic::Diagnostics;
use mdbook_reckoner::prose::lint::{MarkdownOptions, typed_numbers};
use mdbook_reckoner::prose::stories::stories;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::sync::Arc;

#[test]
fn messages_are_as_reviewed() {
    insta::with_settings!({ snapshot_path => "../snapshots", prepend_module_to_snapshot => false, omit_expression => true }, {
        insta::glob!("../lint", "*.md", |path| {
            let text: Arc<str> = fs::read_to_string(path).unwrap().into();
            let file = path.file_name().unwrap().to_string_lossy();
            let options = MarkdownOptions::default();
            let mut errors = typed_numbers(&file, &text, &options);
            errors.extend(stories(&file, &text, &options));
            let messages = Diagnostics(errors).or("nothing typed by hand\n".to_owned()).unwrap_or_else(|errors| errors.to_string());
            insta::assert_snapshot!("lint", messages);
        });
    });
}

#[test]
fn every_page_has_a_snapshot_and_every_snapshot_a_page() {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let names = |folder: &str, start: &str, end: &str| -> BTreeSet<String> {
        let names = fs::read_dir(here.join(folder)).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
        names.filter_map(|name| Some(name.strip_prefix(start)?.strip_suffix(end)?.to_owned())).collect()
    };
    assert_eq!(names("lint", "", ".md"), names("snapshots", "lint@", ".md.snap"));
}
