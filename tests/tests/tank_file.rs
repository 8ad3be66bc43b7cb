//! The tank file by its own description: the example that `reckoner new tank` writes, the JSON Schema, and
//! changes of its text.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;

use jsonschema::Validator;
use reckoner_calc::document::edit::{values, with};
use reckoner_calc::document::{Key, Wanted};
use reckoner_calc::tank::keys;
use reckoner_calc::{Catalogue, Rules, Sheet, Tank};
use reckoner_page::tank_file::{example, schema};
use reckoner_tests::random_tanks::{Dice, tank};
use reckoner_tests::switched_on;

/// The chance of these tests.
const SEED: u64 = 0x7a4c_f11e;

fn rules() -> Rules {
    Rules::compiled_in().unwrap()
}

fn book(file: &str) -> String {
    fs::read_to_string(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../book").join(file)).unwrap()
}

fn catalogue() -> Catalogue {
    Catalogue::read("pumps.toml", &book("pumps.toml")).unwrap()
}

/// Tanks by chance.
fn tanks(count: u64) -> Vec<String> {
    let pumps = catalogue().pumps;
    (0..count).map(|number| tank(&format!("Tank {number}"), &mut Dice::new(SEED + number), &pumps)).collect()
}

fn read(text: &str) -> Result<Tank, Vec<String>> {
    let read = Tank::read_with("my_tank.toml", text, &rules(), &catalogue());
    read.map_err(|problems| problems.into_iter().map(|problem| problem.message).collect())
}

#[test]
fn the_example_reckons_as_it_is_and_with_all_entries_switched_on() {
    let (rules, catalogue) = (rules(), catalogue());
    let example = example(&rules);
    for text in [example.clone(), switched_on(&example)] {
        let tank = read(&text).unwrap();
        assert!(Sheet::reckon(&rules, &catalogue, &tank).unwrap().figure("flow.aim").is_some());
    }
    let (bare, full) = (read(&example).unwrap(), read(&switched_on(&example)).unwrap());
    // What need not be there is switched off.
    assert!(
        bare.pumps.is_empty()
            && bare.fish.is_empty()
            && bare.battery.is_none()
            && bare.sand.is_none()
            && bare.return_line.is_none()
    );
    assert_eq!(
        (full.pumps.len(), full.models.len(), full.fish.len(), full.programme.feedings.len()),
        (1, 1, 1, 1)
    );
    assert!(
        full.battery.is_some()
            && full.sand.is_some()
            && full.rock.is_some()
            && full.return_line.is_some()
            && full.assumed.is_empty()
    );
}

/// The lines of a text between the head of a table and the next; those before all heads for the top.
fn section<'t>(text: &'t str, head: &str) -> Vec<&'t str> {
    let is_head = |line: &&str| line.starts_with('[');
    match head {
        "" => text.lines().take_while(|line| !is_head(line)).collect(),
        head => {
            text.lines().skip_while(|line| *line != head).skip(1).take_while(|line| !is_head(line)).collect()
        }
    }
}

#[test]
fn every_key_stands_in_the_example_under_its_table_with_a_remark_before_it() {
    let rules = rules();
    let text = switched_on(&example(&rules));
    for key in keys(&rules) {
        if key.wanted.is_table() {
            let path = key.path.replace("[]", "");
            assert!(
                text.lines().any(|line| line == format!("[{path}]") || line == format!("[[{path}]]")),
                "{path}"
            );
            continue;
        }
        let head = match key.table().strip_suffix("[]") {
            Some(list) => format!("[[{list}]]"),
            None if key.table().is_empty() => String::new(),
            None => format!("[{}]", key.table().replace("[]", "")),
        };
        let lines = section(&text, &head);
        let entry = format!("{} = ", key.name());
        let at = lines.iter().position(|line| line.trim_start_matches("#   ").starts_with(&entry));
        let at = at.unwrap_or_else(|| panic!("{} is not in the example", key.path));
        assert!(lines[at - 1].starts_with("# "), "{} has no remark", key.path);
        // The words of a choice are all told.
        for word in key.wanted.words() {
            assert!(
                lines[..at].iter().any(|line| line.starts_with("# ") && line.contains(word.as_str())),
                "{}: {word}",
                key.path
            );
        }
    }
}

/// What the reader of tank files calls the keys of each table, as it tells them when it meets one that it
/// does not know.
fn told_keys(text: &str) -> BTreeMap<String, BTreeSet<String>> {
    const NONE: &str = "zzzzzzzzzzzzzzzzzzzzzzzz";
    let asked = text
        .lines()
        .map(|line| if line.starts_with('[') { format!("{line}\n{NONE} = 1") } else { line.to_owned() });
    let asked = format!("{NONE} = 1\n{}", asked.collect::<Vec<_>>().join("\n"));
    let mut told: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for problem in Tank::read("my_tank.toml", &asked, &rules()).unwrap_err() {
        let table = problem
            .message
            .strip_prefix("unknown key `")
            .and_then(|rest| rest.split_once(NONE))
            .map(|(table, _)| table);
        if let (Some(table), Some(listed)) =
            (table, problem.help.iter().find_map(|help| help.strip_prefix("the keys here are ")))
        {
            told.entry(table.to_owned()).or_default().extend(listed.split(", ").map(str::to_owned));
        }
    }
    told
}

#[test]
fn the_keys_that_are_described_are_those_that_are_read() {
    let mut described: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for key in keys(&rules()) {
        let table = if key.table().is_empty() {
            String::new()
        } else {
            format!("{}.", key.table().replace("[]", ""))
        };
        described.entry(table).or_default().insert(key.name().to_owned());
    }
    let whole = switched_on(&example(&rules()));
    let mut read: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let shapes = ["cylinder", "bow_front", "hexagon"]
        .map(|shape| whole.replace("shape = \"box\"", &format!("shape = \"{shape}\"")));
    let kinds = ["round-fixed", "cross-flow"]
        .map(|kind| whole.replace("\"round-controllable\"", &format!("\"{kind}\"")));
    let patterns = ["pulse", "alternate", "wander", "rest"]
        .map(|pattern| whole.replace("\"steady\"", &format!("\"{pattern}\"")));
    let rock =
        whole.lines().filter(|line| !line.starts_with("mass = \"15 kg\"")).collect::<Vec<_>>().join("\n");
    for text in shapes.into_iter().chain(kinds).chain(patterns).chain([whole, rock]).chain(tanks(20)) {
        for (table, keys) in told_keys(&text) {
            read.entry(table).or_default().extend(keys);
        }
    }
    assert_eq!(read, described);
}

fn validator() -> Validator {
    jsonschema::validator_for(&serde_json::from_str(&schema(&rules())).unwrap()).unwrap()
}

/// What a tank file is against its schema.
fn faults(validator: &Validator, text: &str) -> Vec<String> {
    let json: serde_json::Value = toml::from_str(text).unwrap();
    validator.iter_errors(&json).map(|error| format!("{}: {error}", error.instance_path())).collect()
}

#[test]
fn every_right_tank_file_keeps_to_the_schema() {
    let validator = validator();
    let example = example(&rules());
    let demos = ["first_reef", "long_reef", "small_cube"].map(|name| book(&format!("tanks/{name}.toml")));
    let odd = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"2 ft 11 1/2 IN.\"\nwidth = \"17½\\\"\"\nheight = '1,5 ft'\npane = \".8 cm\"\n\
               [livestock]\nnow = [\"soft\"]\n[sump]\nwater = \"11 U.S. gallons\"\n[water]\nsalinity = \"35\"\n[[fish]]\nname = \"a\"\ncount = \"2\"\nmass = \"12g\"\n";
    for text in demos.into_iter().chain([switched_on(&example), example, odd.to_owned()]).chain(tanks(60)) {
        assert!(read(&text).is_ok(), "{:?}\n{text}", read(&text));
        assert_eq!(faults(&validator, &text), Vec::<String>::new(), "{text}");
    }
}

/// A path of a key in the first table of each list.
fn first(key: &Key) -> String {
    key.path.replace("[]", "[0]")
}

#[test]
fn a_damaged_tank_file_does_not_keep_to_the_schema() {
    let (validator, keys) = (validator(), keys(&rules()));
    let whole = switched_on(&example(&rules()));
    let mut tried = 0;
    let mut refused = |what: &str, text: &str| {
        tried += 1;
        assert!(read(text).is_err(), "{what} is read");
        assert!(!faults(&validator, text).is_empty(), "{what} keeps to the schema");
    };
    let there: Vec<_> = values(&whole).into_iter().map(|(path, _)| path).collect();
    for key in keys.iter().filter(|key| there.contains(&first(key))) {
        let set = |value: &str| with(&whole, &keys, &first(key), value).unwrap();
        // A table that need not be there goes with its only key.
        let is_alone =
            || !set("").contains(&format!("[{}]", key.table().replace("[]", ""))) && !key.table().is_empty();
        if key.required && !is_alone() {
            refused(&format!("no {}", key.path), &set(""));
        }
        let wrong: &[&str] = match &key.wanted {
            Wanted::Quantity { kind, .. } if kind.is_bare() => &["-7", "1000000"],
            Wanted::Quantity { .. } => &["much", "9 parsecs", "12", "cm"],
            Wanted::Choice(_) | Wanted::Choices(_) => &["zzz"],
            Wanted::Flag => &["yes"],
            _ => &[],
        };
        for value in wrong {
            refused(&format!("{} = {value}", key.path), &set(value));
        }
    }
    for (at, line) in whole.lines().enumerate().filter(|(_, line)| line.starts_with('[')) {
        let text: Vec<_> = whole
            .lines()
            .enumerate()
            .map(|(other, text)| if other == at { format!("{text}\nzzz = 1") } else { text.to_owned() })
            .collect();
        refused(&format!("zzz in {line}"), &text.join("\n"));
    }
    for (path, value) in [
        ("glass.diameter", "60 cm"),
        ("rock.share", "10 %"),
        ("rock.mass", ""),
        ("fish[0].count", "2.5"),
        ("programme[0].low", "20 %"),
        ("programme[0].pattern", "wander"),
        ("livestock.now", "soft, soft"),
        ("battery.output", ""),
    ] {
        refused(&format!("{path} = {value}"), &with(&whole, &keys, path, value).unwrap());
    }
    assert!(tried > 150, "{tried}");
}

/// Texts that a reader may type.
const TYPED: [&str; 8] =
    ["12 cm", "35", "\"", "a \\ b # c", "[glass]", "½ °C — 水槽", "true", "soft, small_polyp"];

#[test]
fn a_value_that_is_set_stands_there_and_nothing_else_has_changed() {
    let keys = keys(&rules());
    let (mut dice, mut set, mut added) = (Dice::new(SEED), 0, 0);
    for text in tanks(60) {
        let before = values(&text);
        let counts = |list: &str| {
            before
                .iter()
                .filter(|(path, _)| path.starts_with(&format!("{list}[")) && path.ends_with(']'))
                .count()
        };
        for key in keys.iter().filter(|key| !key.wanted.is_table()) {
            // Any table of a list, or a new one.
            let path = match key.path.split_once("[]") {
                Some((list, rest)) => format!("{list}[{}]{rest}", dice.below(counts(list) + 1)),
                None => key.path.clone(),
            };
            let value = dice.pick(&TYPED);
            let changed =
                with(&text, &keys, &path, value).unwrap_or_else(|why| panic!("{path}: {why}\n{text}"));
            let after = values(&changed);
            assert!(after.contains(&(path.clone(), value.to_owned())), "{path} = {value}\n{changed}");
            let old = before.iter().find(|(known, _)| *known == path);
            let others = |all: &[(String, String)]| {
                let is_around = |at: &str| path.strip_prefix(at).is_some_and(|rest| rest.starts_with('.'));
                let is_new = |at: &str| is_around(at) && !before.iter().any(|(known, _)| known == at);
                all.iter().filter(|(at, _)| *at != path && !is_new(at)).cloned().collect::<Vec<_>>()
            };
            assert_eq!(others(&after), others(&before), "{path}");
            match old {
                // One line is another one.
                Some(_) => {
                    set += 1;
                    let lines: Vec<_> =
                        text.lines().zip(changed.lines()).filter(|(old, new)| old != new).collect();
                    assert!(
                        lines.len() <= 1 && text.lines().count() == changed.lines().count(),
                        "{path}: {lines:?}"
                    );
                }
                // What was added goes again, byte for byte.
                None => {
                    added += 1;
                    // A new table of a list goes as a whole.
                    let item = path.find(']').map(|end| &path[..=end]);
                    let is_new_table =
                        item.is_some_and(|item| !before.iter().any(|(known, _)| known == item));
                    let gone = if is_new_table { item.unwrap() } else { &path };
                    let again = with(&changed, &keys, gone, "").unwrap();
                    // A table that was empty before goes as well.
                    let is_empty = |line: &str| {
                        line == format!("[{}]", key.table())
                            && !before
                                .iter()
                                .any(|(known, _)| known.starts_with(&format!("{}.", key.table())))
                    };
                    let was_empty = text.lines().any(is_empty);
                    assert!(
                        if was_empty { values(&again) == before } else { again == text },
                        "{path}\n{again}\n{text}"
                    );
                }
            }
        }
    }
    assert!(set > 500 && added > 1000, "{set} set, {added} added");
}

#[test]
fn a_table_of_a_list_goes_alone() {
    let keys = keys(&rules());
    let mut gone = 0;
    for text in tanks(60) {
        let before = values(&text);
        for (path, _) in before.iter().filter(|(path, _)| path.ends_with(']')) {
            let changed = with(&text, &keys, path, "").unwrap();
            let (list, at) = path.trim_end_matches(']').split_once('[').unwrap();
            let at: usize = at.parse().unwrap();
            // Those behind it move up.
            let moved = |path: &str| match path
                .strip_prefix(&format!("{list}["))
                .and_then(|rest| rest.split_once(']'))
            {
                Some((place, rest)) => {
                    let place: usize = place.parse().unwrap();
                    (place != at)
                        .then(|| format!("{list}[{}]{rest}", if place > at { place - 1 } else { place }))
                }
                None => Some(path.to_owned()),
            };
            let expected: Vec<_> =
                before.iter().filter_map(|(path, value)| Some((moved(path)?, value.clone()))).collect();
            assert_eq!(values(&changed), expected, "{path}");
            assert!(text.lines().filter(|line| line.starts_with('#')).all(|line| changed.contains(line)));
            gone += 1;
        }
    }
    assert!(gone > 100, "{gone}");
}
