//! The example tank file: it reads, reckons, says every key there is, and never takes the place of another file.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;
use std::fs;
use std::process::{Command, Output};

use mdbook_reckoner::command::new;
use reckoner_calc::{Catalogue, Rules, Sheet, Tank};

fn example() -> String {
    new::example(&Rules::compiled_in().unwrap().livestock)
}

/// The example with every entry that is switched off switched on.
fn switched_on() -> String {
    let on = |line: &str| line.strip_prefix('#').filter(|rest| !rest.is_empty() && !rest.starts_with(' ')).unwrap_or(line).to_owned();
    example().lines().map(on).collect::<Vec<_>>().join("\n")
}

fn reckoner(folder: &std::path::Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_reckoner")).args(arguments).current_dir(folder).output().unwrap()
}

#[test]
fn the_example_reckons_as_it_is_and_with_all_entries_switched_on() {
    let rules = Rules::compiled_in().unwrap();
    let catalogue = Catalogue::read("pumps.toml", include_str!("../../book/pumps.toml")).unwrap();
    assert_ne!(switched_on(), example());
    for text in [example(), switched_on()] {
        let tank = Tank::read("my_tank.toml", &text, &Rules::compiled_in().unwrap()).unwrap();
        assert!(Sheet::reckon(&rules, &catalogue, &tank).unwrap().figure("flow.aim").is_some());
    }
    let tank = Tank::read("my_tank.toml", &switched_on(), &Rules::compiled_in().unwrap()).unwrap();
    assert_eq!(tank.pumps.len(), 2);
    assert_eq!(tank.programme.feedings.len(), 1);
}

/// What the reader of tank files itself calls the keys of each table, as it tells them when it meets one that it does not know.
fn known_keys() -> BTreeSet<String> {
    const NONE: &str = "zzzzzzzzzzzzzzzzzzzzzzzz";
    let mut texts = vec![switched_on()];
    for shape in ["cylinder", "bow_front", "hexagon"] {
        texts.push(switched_on().replace("shape = \"box\"", &format!("shape = \"{shape}\"")));
    }
    let mut keys = BTreeSet::new();
    for text in texts {
        let asked = text.lines().map(|line| if line.starts_with('[') { format!("{line}\n{NONE} = 1") } else { line.to_owned() });
        let asked = format!("{NONE} = 1\n{}", asked.collect::<Vec<_>>().join("\n"));
        for problem in Tank::read("my_tank.toml", &asked, &Rules::compiled_in().unwrap()).unwrap_err() {
            for help in &problem.help {
                if let Some(listed) = help.strip_prefix("the keys here are ") {
                    keys.extend(listed.split(", ").map(str::to_owned));
                }
            }
        }
    }
    keys
}

#[test]
fn every_key_of_a_tank_file_is_in_the_example() {
    let example = example();
    let words: BTreeSet<_> = example.split(|c: char| !(c.is_alphanumeric() || c == '_')).collect();
    let keys = known_keys();
    for key in ["name", "glass", "across", "porosity", "starts", "pause", "chemistry", "other_load", "counts", "lights", "share"] {
        assert!(keys.contains(key), "{key} was not told: {keys:?}");
    }
    let missing: Vec<_> = keys.iter().filter(|key| !words.contains(key.as_str())).collect();
    assert!(missing.is_empty(), "not in the example: {missing:?}");
}

#[test]
fn it_is_written_once_and_never_over_another_file() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("my_tank.toml");
    let first = reckoner(folder.path(), &["new", "tank"]);
    assert!(first.status.success(), "{}", String::from_utf8_lossy(&first.stderr));
    let written = fs::read_to_string(&file).unwrap();
    let id = |text: &str| text.lines().find_map(|line| line.strip_prefix("id = ")).unwrap().to_owned();
    let example = example();
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
