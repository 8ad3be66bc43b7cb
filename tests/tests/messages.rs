//! What people are told when a tank, a rule file or a chapter is wrong: one snapshot for each file in
//! `tests/messages`.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::path::Path;

use mdbook_reckoner::edition::{Edition, Settings, load_catalogue, load_rules, load_tank};
use mdbook_reckoner::site::protocol::Chapter;
use mdbook_reckoner::site::typeset::Manuscript;
use reckoner_calc::Rules;
use reckoner_page::html::Medium;

#[test]
fn a_wrong_tank_is_told_all_its_mistakes() {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("../snapshots/messages");
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    let catalogue = load_catalogue(Path::new("../book/pumps.toml")).unwrap();
    let rules = Rules::compiled_in().unwrap();
    settings.bind(|| {
        insta::glob!("../messages/tanks", "*.toml", |file| {
            // The working directory of a test is its crate.
            let file = Path::new("messages/tanks").join(file.file_name().unwrap());
            insta::assert_snapshot!(load_tank(&file, &rules, Some(&catalogue)).unwrap_err());
        });
    });
}

#[test]
fn wrong_rules_are_told_all_their_mistakes() {
    let settings = Settings { tank: None, rules: Some("messages/rules".into()), ..Settings::default() };
    let errors = load_rules(Path::new(""), &settings).unwrap_err();
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("../snapshots/messages");
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| insta::assert_snapshot!("rules", errors));
}

#[test]
fn a_wrong_chapter_is_told_all_its_mistakes() {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("../snapshots/messages");
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    let tank = Settings { tank: Some("tanks/first_reef.toml".into()), rules: None, ..Settings::default() };
    let edition = Edition::load(Path::new("../book"), &tank).unwrap();
    let chapter = |path: &str, content: String| Chapter {
        path: path.into(),
        source_path: None,
        number: String::new(),
        content,
    };
    settings.bind(|| {
        insta::glob!("../messages/chapters", "*.md", |file| {
            let text = std::fs::read_to_string(file).unwrap();
            let name = file.file_name().unwrap().to_string_lossy();
            let chapters =
                [chapter(&name, text), chapter("flow.md", "# The flow\n\n## Aim {#aim}\n".to_owned())];
            let manuscript = Manuscript::new(Path::new("messages"), Path::new("chapters"), &chapters);
            insta::assert_snapshot!(manuscript.set(&edition, Medium::Html).unwrap_err());
        });
    });
}
