//! What the tests of the command share.

// Each test file uses its own part of these.
#![allow(dead_code, unreachable_pub, clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use tempfile::TempDir;

pub fn repository() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).parent().unwrap().to_owned()
}

/// A copy of the book that a test may change.
pub fn copied_book() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    copy_book_to(folder.path());
    folder
}

/// Everything of the book but what was built.
pub fn copy_book_to(folder: &Path) {
    let book = repository().join("book");
    for entry in fs::read_dir(&book).unwrap() {
        let entry = entry.unwrap();
        if entry.file_name() != "book" {
            copy(&entry.path(), &folder.join(entry.file_name()));
        }
    }
}

/// A file, or a folder with all that is in it.
pub fn copy(from: &Path, to: &Path) {
    if from.is_dir() {
        fs::create_dir_all(to).unwrap();
        for entry in fs::read_dir(from).unwrap() {
            let entry = entry.unwrap();
            copy(&entry.path(), &to.join(entry.file_name()));
        }
    } else {
        fs::copy(from, to).unwrap();
    }
}

pub fn reckoner(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_reckoner")).args(arguments).current_dir(folder).output().unwrap()
}

pub fn stderr(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

pub fn built(folder: &Path, arguments: &[&str]) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut all = vec!["build", "--book", "."];
    all.extend(arguments);
    let output = reckoner(folder, &all);
    assert!(output.status.success(), "{}", stderr(&output));
    files(&folder.join("book"))
}

/// Every file below a folder, by its path from there.
pub fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut open = vec![folder.to_owned()];
    while let Some(next) = open.pop() {
        for entry in fs::read_dir(&next).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else {
                found.insert(path.strip_prefix(folder).unwrap().to_owned(), fs::read(&path).unwrap());
            }
        }
    }
    found
}

pub fn text(site: &BTreeMap<PathBuf, Vec<u8>>, page: &str) -> String {
    String::from_utf8_lossy(&site[Path::new(page)]).into_owned()
}

/// Where a JSON is not as its schema says. A property that the schema does not describe is a fault too.
pub fn faults(json: &serde_json::Value, schema: &serde_json::Value) -> Vec<String> {
    let mut schema = schema.clone();
    describe_all(&mut schema);
    let validator = jsonschema::validator_for(&schema).unwrap();
    validator.iter_errors(json).map(|error| format!("{}: {error}", error.instance_path())).collect()
}

fn describe_all(schema: &mut serde_json::Value) {
    if let Some(object) = schema.as_object_mut()
        && object.get("properties").is_some_and(|properties| properties.is_object())
        && object.get("type").is_some_and(|kind| kind == "object")
    {
        object.insert("additionalProperties".to_owned(), false.into());
    }
    let inner: Vec<&mut serde_json::Value> = match schema {
        serde_json::Value::Object(object) => object.values_mut().collect(),
        serde_json::Value::Array(items) => items.iter_mut().collect(),
        _ => Vec::new(),
    };
    inner.into_iter().for_each(describe_all);
}
