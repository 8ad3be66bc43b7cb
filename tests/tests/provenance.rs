//! What is recorded is complete: nudge each number of each rule, and whatever moves on the sheets of four
//! tanks, or in the atlas, names that rule.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;

use reckoner_calc::quantity::Quantity;
use reckoner_calc::rules::{COMPILED_IN, Rules};
use reckoner_calc::sheet::{Cell, Figure, Row, Value};
use reckoner_calc::{Atlas, Catalogue, Name, Sheet, Tank};
use reckoner_page::tank_file::example;
use reckoner_tests::nudges::{Way, nudged};
use reckoner_tests::switched_on;

/// Tanks that differ in all that a tank can have; the last has every key.
const TANKS: [&str; 5] =
    ["book/tanks/first_reef.toml", "book/tanks/long_reef.toml", "book/tanks/small_cube.toml", NEW, ATLAS];

/// What `reckoner new tank` writes, with all entries switched on.
const NEW: &str = "my_tank.toml";

/// The tanks of the atlas, on one sheet.
const ATLAS: &str = "the atlas";

/// What the name of a print begins with.
const PRINT: &str = "print of ";

fn read(file: &str) -> String {
    fs::read_to_string(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("..").join(file)).unwrap()
}

/// Something on a sheet that can move, and the rules that stand behind it.
struct Part {
    says: String,
    rules: BTreeSet<Name>,
}

fn bits(quantity: Quantity) -> String {
    format!("{:?} {:x}", quantity.kind, quantity.si.to_bits())
}

/// A figure to the last bit.
fn value_of(figure: &Figure) -> String {
    match &figure.value {
        Value::One(value) => bits(*value),
        Value::Range(low, high) => format!("{} {}", bits(*low), bits(*high)),
        Value::Words(words) => words.clone(),
    }
}

/// Every part of a sheet by its name.
fn parts(sheet: &Sheet) -> BTreeMap<String, Part> {
    let mut parts = BTreeMap::new();
    let mut put = |name: String, says: String, rules: &[Name], figures: &[Name]| {
        let rules = sheet.behind(rules, figures);
        assert!(parts.insert(name.clone(), Part { says, rules }).is_none(), "two parts called {name}");
    };
    for (at, (figure, like)) in sheet.printed_like().into_iter().enumerate() {
        let what = if at < sheet.figures().len() { "figure" } else { "cell" };
        put(format!("{what} {}", figure.id), value_of(figure), &figure.rules, &figure.inputs);
        // How many digits it keeps, and to which side it is rounded, it may have from others.
        let like: Vec<_> = figure.inputs.iter().cloned().chain(like).collect();
        put(format!("{PRINT}{what} {}", figure.id), figure.text(), &figure.rules, &like);
    }
    for (id, table) in &sheet.tables {
        let origin = &table.origin;
        put(
            format!("table {id}"),
            format!("{} {:?}", table.caption, table.heads),
            &origin.rules,
            &origin.figures,
        );
        for (at, Row { head, cells }) in table.rows.iter().enumerate() {
            for (column, cell) in std::iter::once(head).chain(cells).enumerate() {
                if let Cell::Words(words) = cell {
                    put(format!("words {id} {at} {column}"), words.clone(), &origin.rules, &origin.figures);
                }
            }
        }
    }
    for (id, chart) in &sheet.charts {
        let said = format!(
            "{:?} {:?} {:?} {:?} {:?} {:?}",
            chart.x, chart.y, chart.bands, chart.lines, chart.steps, chart.levels
        );
        put(format!("chart {id}"), said, &chart.origin.rules, &chart.origin.figures);
    }
    for (id, layout) in &sheet.layouts {
        put(
            format!("layout {id}"),
            format!("{:?}", layout.streams),
            &layout.origin.rules,
            &layout.origin.figures,
        );
    }
    for (id, map) in &sheet.maps {
        let said = format!("{:?} {:?} {:?}", map.cells, map.zones, map.streams);
        put(format!("map {id}"), said, &map.origin.rules, &map.origin.figures);
    }
    for (id, nomogram) in &sheet.nomograms {
        let said = format!(
            "{:?} {:?} {:?} {:?} {:?}",
            nomogram.left, nomogram.right, nomogram.product, nomogram.bands, nomogram.example
        );
        put(format!("nomogram {id}"), said, &nomogram.origin.rules, &nomogram.origin.figures);
    }
    for (id, timeline) in &sheet.timelines {
        let said = format!("{:?} {:?}", timeline.lights, timeline.rows);
        put(format!("timeline {id}"), said, &timeline.origin.rules, &timeline.origin.figures);
    }
    parts
}

fn reckon(rules: &Rules, catalogue: &Catalogue, tank: &str) -> Option<Sheet> {
    if tank == ATLAS {
        return Some(Atlas::reckon(rules).ok()?.sheet);
    }
    let text = if tank == NEW { switched_on(&example(&Rules::compiled_in().ok()?)) } else { read(tank) };
    let tank = Tank::read_with(tank, &text, rules, catalogue).ok()?;
    Sheet::reckon(rules, catalogue, &tank).ok()
}

#[test]
fn whatever_moves_names_the_rule_that_moved_it() {
    let rules = Rules::compiled_in().unwrap();
    let catalogue = Catalogue::read("pumps.toml", &read("book/pumps.toml")).unwrap();
    let before: Vec<_> = TANKS.iter().map(|tank| parts(&reckon(&rules, &catalogue, tank).unwrap())).collect();
    let nudges: Vec<_> = COMPILED_IN
        .iter()
        .filter(|(file, _)| *file != "sources.toml")
        .flat_map(|(file, text)| {
            let ways = [Way::Up, Way::Down];
            let topic = file.trim_end_matches(".toml");
            let all: Vec<_> = ways.into_iter().flat_map(|way| nudged(topic, text, &rules, way)).collect();
            all.into_iter().map(move |(rule, text)| ((*file).to_owned(), rule, text))
        })
        .collect();
    // What the rules themselves refuse, such as a band turned round, moves nothing.
    let look = |(file, rule, text): &(String, String, String)| {
        let Ok(rules) = Rules::load(&[(file.clone(), text.clone())]) else { return (Vec::new(), 0) };
        let id = rule.split(' ').next().unwrap();
        let (mut unnamed, mut moved) = (Vec::new(), 0);
        for (tank, before) in TANKS.iter().zip(&before) {
            let Some(sheet) = reckon(&rules, &catalogue, tank) else { continue };
            let after = parts(&sheet);
            for name in before.keys().chain(after.keys()).collect::<BTreeSet<_>>() {
                let (old, new) = (before.get(name), after.get(name));
                if old.map(|part| &part.says) != new.map(|part| &part.says) {
                    moved += 1;
                    // What comes or goes is asked where it is there. A print is like another's before the
                    // nudge or after it.
                    let mut there = [old, new].into_iter().flatten();
                    let unlike = |part: &Part| !part.rules.contains(id);
                    if if name.starts_with(PRINT) { there.all(unlike) } else { there.any(unlike) } {
                        unnamed.push(format!("{tank}: {name} moves with {rule}"));
                    }
                }
            }
        }
        (unnamed, moved)
    };
    let threads = std::thread::available_parallelism().map_or(2, usize::from);
    let looked: Vec<_> = std::thread::scope(|scope| {
        let work: Vec<_> = nudges
            .chunks(nudges.len().div_ceil(threads))
            .map(|part| scope.spawn(|| part.iter().map(look).collect::<Vec<_>>()))
            .collect();
        work.into_iter().flat_map(|part| part.join().unwrap()).collect()
    });
    let moved: usize = looked.iter().map(|(_, moved)| moved).sum();
    let unnamed: Vec<_> = looked.into_iter().flat_map(|(unnamed, _)| unnamed).collect();
    println!("{} nudges moved {moved} parts", nudges.len());
    assert!(nudges.len() > 500 && moved > 10_000, "{} nudges moved {moved} parts", nudges.len());
    let shown = unnamed.iter().take(60).cloned().collect::<Vec<_>>().join("\n  ");
    assert!(unnamed.is_empty(), "{} parts move with a rule that they do not name:\n  {shown}", unnamed.len());
}
