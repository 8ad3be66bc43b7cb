//! One value prints in one way: whatever a sheet prints of one kind and one size reads the same wherever it
//! stands, in figures, tables, reasons, worked examples and charts.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::PathBuf;
use std::sync::OnceLock;

use reckoner_calc::quantity::{Kind, Quantity, Reading, Rounding, System, parse_as, show_finer};
use reckoner_calc::rules::RuleValue;
use reckoner_calc::sheet::{Figure, Table, Value};
use reckoner_calc::{Catalogue, Rules, Sheet, Tank};
use reckoner_tests::random_tanks::{Dice, tank};

/// Of one tank: where a value stands, and how it is printed there.
struct Print {
    value: Quantity,
    system: System,
    text: String,
    place: String,
}

/// The chance of these tests. Another seed gives other tanks; a failure names its tank.
const SEED: u64 = 60;
const TANKS: u64 = 150;

/// The sheets of tanks that chance made, reckoned once for all tests.
fn sheets() -> &'static [Sheet] {
    static SHEETS: OnceLock<Vec<Sheet>> = OnceLock::new();
    SHEETS.get_or_init(|| {
        let rules = Rules::compiled_in().unwrap();
        let catalogue =
            fs::read_to_string(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../book/pumps.toml")).unwrap();
        let catalogue = Catalogue::read("pumps.toml", &catalogue).unwrap();
        let sheet = |number: u64| {
            let text = tank(&format!("Tank {number}"), &mut Dice::new(SEED + number), &catalogue.pumps);
            let tank = Tank::read_with("tank.toml", &text, &rules, &catalogue)
                .unwrap_or_else(|problems| panic!("{problems:?}\n{text}"));
            Sheet::reckon(&rules, &catalogue, &tank).unwrap_or_else(|error| panic!("{error}\n{text}"))
        };
        (0..TANKS).map(sheet).collect()
    })
}

/// Everything that a sheet prints as one value.
fn prints(sheet: &Sheet) -> Vec<Print> {
    let mut prints = Vec::new();
    let mut put = |value: Quantity, system: System, text: String, place: String| {
        prints.push(Print { value, system, text, place })
    };
    let cells = sheet.tables.values().flat_map(Table::figures);
    for figure in sheet.figures().iter().chain(cells) {
        for system in [System::Metric, System::Us] {
            match figure.value {
                Value::One(value) => put(value, system, reading(figure, system), figure.id.clone()),
                Value::Range(..) | Value::Words(_) => {}
            }
        }
    }
    for working in sheet.workings.values() {
        for sum in &working.sums {
            for item in sum.terms.iter().map(|(_, item)| item) {
                if let Some(value) = item.quantity() {
                    put(value, sum.system, item.reading.to_string(), format!("a sum of {}", working.id));
                }
            }
        }
    }
    for chart in sheet.charts.values() {
        for (_, y) in chart.lines.iter().flat_map(|line| &line.points) {
            let value = Quantity::new(chart.y.kind, *y);
            for system in [System::Metric, System::Us] {
                let text = sheet.shown(value).in_system(system).to_string();
                put(value, system, text, format!("the chart {}", chart.id));
            }
        }
    }
    prints
}

fn reading(figure: &Figure, system: System) -> String {
    figure.shown().map_or_else(String::new, |shown| shown.in_system(system).to_string())
}

/// A reading as a reader has it, in SI.
fn read(kind: Kind, reading: &Reading) -> f64 {
    parse_as(kind, &reading.to_string().replace(',', "")).unwrap().si
}

/// A safety figure is on its side, and a range holds what it says, in each system by itself.
#[test]
fn no_print_is_on_the_unsafe_side() {
    let mut sides = 0;
    for sheet in sheets() {
        let cells = sheet.tables.values().flat_map(Table::figures);
        for figure in sheet.figures().iter().chain(cells) {
            let Some(shown) = figure.shown() else { continue };
            for system in [System::Metric, System::Us] {
                let reading = shown.in_system(system);
                let told = format!("{}: {} prints {reading}", sheet.name, figure.id);
                let end = |number: &str, kind| {
                    read(kind, &Reading { number: number.to_owned(), unit: reading.unit })
                };
                match (&figure.value, reading.number.split_once(" to ")) {
                    (Value::Range(low, high), Some((from, to))) => {
                        let slack = 1e-6 * (high.si - low.si);
                        assert!(
                            end(from, low.kind) <= low.si + slack && end(to, high.kind) >= high.si - slack,
                            "{told}"
                        );
                    }
                    (Value::Range(low, high), None) => {
                        assert!(high.si - low.si <= 1e-9 * high.si.abs(), "{told}")
                    }
                    (Value::One(value), _) => {
                        let (printed, slack) = (end(&reading.number, value.kind), 1e-6 * value.si.abs());
                        sides += usize::from(figure.rounding != Rounding::Nearest);
                        assert!(figure.rounding != Rounding::Up || printed >= value.si - slack, "{told}");
                        assert!(figure.rounding != Rounding::Down || printed <= value.si + slack, "{told}");
                        assert!(
                            printed != 0.0 || value.si.abs() < 1e-9 || value.kind == Kind::SoundLevel,
                            "{told}"
                        );
                    }
                    (Value::Words(_), _) => {}
                }
            }
        }
        assert_eq!(sheet.figure("flow.buy").unwrap().rounding, Rounding::Up);
    }
    assert!(sides > 1000, "only {sides} prints have a side");
}

/// A band that a rule gives prints as the rule says, in the units in which it says it.
#[test]
fn the_band_of_a_rule_prints_as_the_rule_says() {
    let mut bands = 0;
    for rule in Rules::compiled_in().unwrap().all {
        let RuleValue::Band(low, high) = rule.value else { continue };
        // Publications count what a floor breathes in moles; it is printed in milligrams.
        if high.kind == Kind::UptakeByArea {
            continue;
        }
        let figure = sheets()[0].figure(&format!("rule.{}", rule.id)).unwrap();
        let prints = |system: System| {
            let shown = figure.shown().unwrap();
            let reading = shown.in_system(system);
            let end =
                |number: &str, kind| read(kind, &Reading { number: number.to_owned(), unit: reading.unit });
            let is_end = |number: &str, value: Quantity| {
                (end(number, value.kind) - value.si).abs() <= 1e-9 * high.si.abs()
            };
            reading.number.split_once(" to ").is_some_and(|(from, to)| is_end(from, low) && is_end(to, high))
        };
        assert!(prints(System::Metric) || prints(System::Us), "{} prints {}", rule.id, figure.text());
        bands += 1;
    }
    assert!(bands > 20, "only {bands} bands");
}

#[test]
fn two_values_held_against_each_other_are_told_apart() {
    let mut held = 0;
    for sheet in sheets() {
        for (is, limit) in sheet
            .tables
            .values()
            .flat_map(Table::figures)
            .filter_map(|figure| Some((figure, figure.against?)))
        {
            let Value::One(value) = is.value else {
                panic!("{} is held against a value and has none", is.id)
            };
            let other = sheet
                .tables
                .values()
                .flat_map(Table::figures)
                .find(|other| other.value == Value::One(limit))
                .unwrap();
            for system in [System::Metric, System::Us] {
                let read = |figure: &Figure| read(value.kind, figure.shown().unwrap().in_system(system));
                let is_one_value = (value.si - limit.si).abs() <= 1e-9 * value.si.abs();
                let printed = read(is).total_cmp(&read(other));
                let order = if is_one_value { printed } else { value.si.total_cmp(&limit.si) };
                assert_eq!(
                    printed,
                    order,
                    "{}: {} is {} against {}",
                    sheet.name,
                    is.id,
                    is.text(),
                    other.text()
                );
            }
            held += 1;
        }
    }
    assert!(held > 100, "only {held} values were held against another");
}

#[test]
fn a_sum_differs_from_its_figure_only_where_a_reader_sees_it() {
    let (mut agreed, mut differed) = (0, 0);
    for sheet in sheets() {
        for working in sheet.workings.values() {
            let answer = sheet.figure(working.answer).unwrap();
            for sum in &working.sums {
                let Value::One(value) = answer.value else { panic!("{} has no one answer", working.id) };
                let by_hand = Quantity::new(value.kind, read(value.kind, &sum.answer.reading));
                let rounded = show_finer(by_hand, answer.rounding, answer.finer);
                let differs = rounded.in_system(sum.system) != answer.shown().unwrap().in_system(sum.system);
                assert_eq!(sum.differs(answer), differs, "{}: {}", sheet.name, working.id);
                if differs {
                    differed += 1;
                } else {
                    agreed += 1;
                }
            }
        }
    }
    assert!(agreed > 100 && differed > 10, "{agreed} sums agree, {differed} differ");
}

#[test]
fn no_sheet_prints_one_value_in_two_ways() {
    let mut found = Vec::new();
    for sheet in sheets() {
        let mut prints = prints(sheet);
        prints.sort_by(|one, other| {
            let key = |print: &Print| (print.system, print.value.kind);
            key(one).cmp(&key(other)).then(one.value.si.total_cmp(&other.value.si))
        });
        for pair in prints.windows(2) {
            let (one, other) = (&pair[0], &pair[1]);
            let is_one_value = (one.system, one.value.kind) == (other.system, other.value.kind)
                && (one.value.si - other.value.si).abs() <= 1e-12 * one.value.si.abs();
            // What is counted without a kind of its own has nothing that a reader could take for the same.
            if is_one_value && one.value.kind != Kind::Ratio && one.text != other.text {
                found.push(format!(
                    "{}: {} is {}, {} is {}",
                    sheet.name, one.place, one.text, other.place, other.text
                ));
            }
        }
    }
    assert!(found.is_empty(), "{} values are printed in two ways:\n{}", found.len(), found.join("\n"));
}
