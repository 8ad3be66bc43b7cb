//! `reckoner compare`: what it says moved is what moved on the pages.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

mod common;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use common::{built, copied_book, reckoner, repository, stderr, text};

/// A rule file with one value replaced, in a folder of its own.
fn changed_rules(book: &Path, file: &str, from: &str, to: &str) -> PathBuf {
    let original = fs::read_to_string(repository().join("calc/rules").join(file)).unwrap();
    let changed = original.replacen(from, to, 1);
    assert_ne!(original, changed, "{from:?} is not in {file}");
    let folder = book.join("our-rules");
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join(file), changed).unwrap();
    folder
}

/// Every figure of a site: its id, and what is printed.
fn figures(site: &BTreeMap<PathBuf, Vec<u8>>) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    for (path, _) in site.iter().filter(|(path, _)| path.extension().is_some_and(|extension| extension == "html")) {
        // The print page repeats the others; the ledger page is made from what is compared.
        if ["print.html", "ledger.html"].contains(&path.to_str().unwrap()) {
            continue;
        }
        let page = text(site, path.to_str().unwrap());
        for part in page.split("data-figure=\"").skip(1) {
            let id = part.split('"').next().unwrap();
            let printed = part.split("</data>").next().unwrap().split_once('>').unwrap().1;
            found.insert(id.to_owned(), printed.to_owned());
        }
    }
    found
}

#[test]
fn the_list_of_what_moved_is_the_difference_of_the_pages() {
    let book = copied_book();
    let before = built(book.path(), &[]);
    fs::copy(book.path().join("book/ledger.json"), book.path().join("old.json")).unwrap();
    changed_rules(book.path(), "turnover.toml", "low = \"20 per hour\"", "low = \"23 per hour\"");
    let after = built(book.path(), &["--rules", "our-rules"]);
    let (before, after) = (figures(&before), figures(&after));
    let really: BTreeSet<_> =
        after.iter().filter(|(id, printed)| before.get(*id).is_some_and(|old| old != *printed)).map(|(id, _)| id.as_str()).collect();
    assert!(really.len() > 10, "{really:?}");

    let output = reckoner(book.path(), &["compare", "old.json", "--book", ".", "--rules", "our-rules"]);
    assert!(output.status.success(), "{}", stderr(&output));
    let said = String::from_utf8(output.stdout).unwrap();
    let listed: BTreeSet<_> =
        said.lines().filter(|line| !line.starts_with(' ') && line.contains(" (")).map(|line| line.split(" (").next().unwrap()).collect();
    assert_eq!(listed, really);
    assert!(said.contains("20 to 40 times an hour -> 23 to 40 times an hour"), "{said}");
    assert!(said.ends_with(&format!("{} figures moved, 0 new, 0 gone, 0 checks failing\n", really.len())), "{said}");

    let output = reckoner(book.path(), &["compare", "old.json", "--book", ".", "--rules", "our-rules", "--markdown"]);
    let markdown = String::from_utf8(output.stdout).unwrap();
    assert!(markdown.contains("| `turnover.later` "), "{markdown}");
}

#[test]
fn nothing_moves_against_the_same_revision_and_a_change_does() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book");
    fs::create_dir(&book).unwrap();
    common::copy_book_to(&book);
    let git = |arguments: &[&str]| {
        let identity =
            ["-c", "user.name=Test", "-c", "user.email=test@invalid", "-c", "init.defaultBranch=main", "-c", "commit.gpgsign=false"];
        let done = Command::new("git").args(identity).args(arguments).current_dir(folder.path()).output().unwrap();
        assert!(done.status.success(), "{}", stderr(&done));
    };
    git(&["init", "-q"]);
    git(&["add", "."]);
    git(&["commit", "-q", "-m", "The book"]);
    let compare = |revision: &str| {
        let output = reckoner(folder.path(), &["compare", revision]);
        (output.status.code(), String::from_utf8(output.stdout.clone()).unwrap(), stderr(&output))
    };
    let (code, said, error) = compare("HEAD");
    assert_eq!((code, said.as_str()), (Some(0), "0 figures moved, 0 new, 0 gone, 0 checks failing\n"), "{error}");

    let tank = book.join("tanks/first_reef.toml");
    fs::write(&tank, fs::read_to_string(&tank).unwrap().replace("length = \"90 cm\"", "length = \"100 cm\"")).unwrap();
    let (_, said, _) = compare("HEAD");
    assert!(said.contains("90 cm (35.4 in) -> 100 cm (39.4 in)"), "{said}");

    let (code, _, error) = compare("no-such-thing");
    assert_eq!(code, Some(2));
    assert!(error.contains("name a ledger.json, or a git revision such as HEAD"), "{error}");
}

#[test]
fn a_constant_that_is_one_per_cent_off_stops_the_build_and_names_the_check() {
    let book = copied_book();
    changed_rules(book.path(), "seawater.toml", "999.842594", "1009.84");
    let output = reckoner(book.path(), &["build", "--book", ".", "--rules", "our-rules"]);
    assert_eq!(output.status.code(), Some(1));
    let message = stderr(&output);
    assert!(message.contains("seawater.density for") && message.contains("is published"), "{message}");
    assert!(!book.path().join("book").exists());
    // The comparison shows it in place of stopping.
    let fine = built(book.path(), &[]);
    fs::write(book.path().join("old.json"), &fine[Path::new("ledger.json")]).unwrap();
    let output = reckoner(book.path(), &["compare", "old.json", "--book", ".", "--rules", "our-rules"]);
    assert!(String::from_utf8_lossy(&output.stdout).contains("check fails in "), "{}", stderr(&output));
}

#[test]
fn the_ledger_keeps_to_its_published_schema() {
    let book = copied_book();
    let site = built(book.path(), &[]);
    let ledger: serde_json::Value = serde_json::from_slice(&site[Path::new("ledger.json")]).unwrap();
    let schema: serde_json::Value = serde_json::from_slice(&site[Path::new("ledger.schema.json")]).unwrap();
    let keys = |value: &serde_json::Value| value.as_object().unwrap().keys().cloned().collect::<BTreeSet<_>>();
    assert_eq!(keys(&ledger), keys(&schema["properties"]));
    assert_eq!(keys(&ledger["figures"][0]), keys(&schema["$defs"]["Entry"]["properties"]));
    assert_eq!(keys(&ledger["checks"][0]), keys(&schema["$defs"]["CheckEntry"]["properties"]));
    for figure in ledger["figures"].as_array().unwrap() {
        assert!(!figure["places"].as_array().unwrap().is_empty(), "{figure}");
        assert!(figure["low"].as_f64().unwrap() <= figure["high"].as_f64().unwrap(), "{figure}");
    }
}
