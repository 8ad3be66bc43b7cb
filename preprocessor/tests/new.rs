//! `reckoner new tank`: an example that reckons, with an id of its own, and never in the place of another
//! file.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::fs;
use std::process::{Command, Output};

use reckoner_calc::Rules;
use reckoner_page::tank_file::{ID, example};

fn reckoner(folder: &std::path::Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_reckoner")).args(arguments).current_dir(folder).output().unwrap()
}

#[test]
fn it_is_written_once_and_never_over_another_file() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("my_tank.toml");
    let first = reckoner(folder.path(), &["new", "tank"]);
    assert!(first.status.success(), "{}", String::from_utf8_lossy(&first.stderr));
    let written = fs::read_to_string(&file).unwrap();
    let id = |text: &str| text.lines().find_map(|line| line.strip_prefix("id = ")).unwrap().to_owned();
    let example = example(&Rules::compiled_in().unwrap());
    assert!(example.contains(ID));
    assert!(written.replace(&id(&written), &id(&example)) == example, "but for its id it is the example");
    // Each file has an id of its own.
    assert!(reckoner(folder.path(), &["new", "tank", "third.toml"]).status.success());
    let other = fs::read_to_string(folder.path().join("third.toml")).unwrap();
    assert!(id(&written) != id(&example) && id(&written) != id(&other));
    let sheet = reckoner(folder.path(), &["sheet", "my_tank.toml"]);
    assert!(sheet.status.success(), "{}", String::from_utf8_lossy(&sheet.stderr));
    fs::write(&file, "mine").unwrap();
    let second = reckoner(folder.path(), &["new", "tank"]);
    assert_eq!(second.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&second.stderr).contains("`my_tank.toml` is there already"));
    assert_eq!(fs::read_to_string(&file).unwrap(), "mine");
    assert!(reckoner(folder.path(), &["new", "tank", "other.toml"]).status.success());
    assert_eq!(reckoner(folder.path(), &["new", "tank", "no/such/folder.toml"]).status.code(), Some(2));
}

/// A kind of livestock that only a club knows stands among those to choose from.
#[test]
fn it_goes_by_the_rules_that_it_is_given() {
    let folder = tempfile::tempdir().unwrap();
    let rules = folder.path().join("club");
    fs::create_dir(&rules).unwrap();
    let own =
        fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../calc/rules/livestock.toml")).unwrap();
    // One more kind, like the first of the book's.
    let kind: String = own[own.find("[fish_only]").unwrap()..own.find("[soft]").unwrap()]
        .replace("fish_only", "lagoon_only")
        .replace("order = 10", "order = 11")
        .replace("words = \"fish only\"", "words = \"lagoon only\"");
    fs::write(rules.join("livestock.toml"), kind).unwrap();
    let done = reckoner(folder.path(), &["new", "tank", "--rules", "club"]);
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    assert!(fs::read_to_string(folder.path().join("my_tank.toml")).unwrap().contains("lagoon_only"));
    let wrong = reckoner(folder.path(), &["new", "tank", "other.toml", "--rules", "no-such-folder"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(!folder.path().join("other.toml").exists());
}
