//! What a formula says is what it does: its text, worked with the inputs that it was recorded with, comes to
//! what it gave.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;

use reckoner_calc::formulas::{ALL, Inputs};
use reckoner_calc::quantity::{Kind, Quantity};
use reckoner_calc::sheet::{Figure, Table};
use reckoner_calc::{Catalogue, Rules, Sheet, Tank};
use reckoner_tests::formula_text::work;
use reckoner_tests::random_tanks::{self, Dice};

/// Formulas whose texts are words: an equation too long for a line, a search, or one that reads coefficients.
const WORDS: [&str; 56] = [
    "circuit.continuous_limit",
    "circuit.trip_time",
    "cost.wear_over",
    "evaporation.in_wind",
    "evaporation.still",
    "evaporation.stirred",
    "fit.missing",
    "glass.stress",
    "glass.stress_braced",
    "growth.flow_for",
    "growth.gap",
    "growth.shaded",
    "growth.time_to",
    "heat.loss",
    "heat.taken_along",
    "oxygen.bubbles",
    "oxygen.demand",
    "oxygen.pouring_power",
    "oxygen.reef_taken",
    "oxygen.respiration",
    "oxygen.sand_and_rock_taken",
    "oxygen.saturation",
    "oxygen.spare",
    "oxygen.stirred_transfer",
    "oxygen.taken_up_in_a_fall",
    "power.paid",
    "power_cut.jug",
    "return_line.flow_range",
    "return_line.narrow_piece",
    "return_line.working_point",
    "sand.lowest_height",
    "sand.near_bed_speed",
    "sand.threshold_speed",
    "sand.threshold_stress",
    "seawater.density",
    "seawater.kinematic_viscosity",
    "seawater.salinity",
    "seawater.specific_gravity",
    "settling.carrying_speed",
    "settling.lifting_speed",
    "settling.sieved_grains",
    "sound.sum",
    "stream.core",
    "stream.round_flow",
    "stream.round_speed",
    "stream.sheet_speed",
    "stream.width",
    "team.flows",
    "team.push",
    "team.speeds",
    "upkeep.as_crystals",
    "upkeep.citric_acid",
    "upkeep.citric_ratio",
    "upkeep.vinegar_scale",
    "waves.rocks",
    "weir.sheet",
];

#[test]
fn the_text_of_each_formula_comes_to_what_the_formula_gives() {
    let book = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../book");
    let rules = Rules::compiled_in().unwrap();
    let catalogue =
        Catalogue::read("pumps.toml", &fs::read_to_string(book.join("pumps.toml")).unwrap()).unwrap();
    let mut dice = Dice::new(0x7e87);
    let mut tanks: Vec<_> = ["first_reef", "long_reef", "small_cube"]
        .map(|tank| fs::read_to_string(book.join(format!("tanks/{tank}.toml"))).unwrap())
        .into();
    tanks.extend((0..60).map(|at| random_tanks::tank(&format!("Tank {at}"), &mut dice, &catalogue.pumps)));
    let (mut worked, mut words) = (BTreeMap::<&str, usize>::new(), BTreeSet::new());
    for text in tanks {
        let tank = Tank::read_with("tank", &text, &rules, &catalogue).unwrap();
        let sheet = Sheet::reckon(&rules, &catalogue, &tank).unwrap();
        let cells = sheet.tables.values().flat_map(Table::figures);
        for (figure, call) in sheet
            .figures()
            .iter()
            .chain(cells)
            .flat_map(|figure| figure.calls().iter().map(move |call| (figure, call)))
        {
            let given: Vec<_> = call.inputs.iter().map(|(name, value)| (*name, value.si)).collect();
            match work(call.text, &given) {
                None => {
                    words.insert(call.formula);
                }
                Some(value) => {
                    *worked.entry(call.formula).or_default() += 1;
                    let (got, scale) = (call.output.si, call.output.si.abs().max(1e-12));
                    assert!(
                        (value - got).abs() <= 1e-9 * scale,
                        "{}: `{}` of {given:?} is {value}, but {} gives {got}",
                        figure.id,
                        call.text,
                        call.formula
                    );
                }
            }
        }
    }
    println!(
        "{} formulas worked from their texts, {} times; words: {words:?}",
        worked.len(),
        worked.values().sum::<usize>()
    );
    assert_eq!(words, WORDS.into(), "formulas whose texts can not be worked");
    assert!(worked.len() >= 40, "only {worked:?}");
}

/// A value of a kind, of a size that a tank could have, in SI.
fn any_of(kind: Kind, dice: &mut Dice) -> f64 {
    let (low, high) = match kind {
        Kind::Length => (1e-3, 2.0),
        Kind::Thickness => (4e-3, 2e-2),
        Kind::Area => (1e-4, 1.0),
        Kind::Volume => (1e-2, 1.0),
        Kind::Mass => (1e-3, 50.0),
        Kind::Time => (60.0, 1e5),
        Kind::Speed => (1e-2, 2.0),
        Kind::TransferVelocity => (1e-6, 1e-4),
        Kind::Flow => (1e-5, 5e-3),
        Kind::Rate => (1e-3, 2e-2),
        Kind::Temperature => (288.15, 303.15),
        Kind::Density => (1010.0, 2700.0),
        Kind::KinematicViscosity => (8e-7, 1.2e-6),
        Kind::DynamicViscosity => (8e-4, 1.2e-3),
        Kind::Stress => (1e-2, 1e7),
        Kind::FloorLoad => (1e2, 1e3),
        Kind::Power => (1.0, 50.0),
        Kind::Energy => (1e4, 1e7),
        Kind::Voltage => (100.0, 240.0),
        Kind::Current => (1e-2, 10.0),
        Kind::Concentration => (1e-3, 1e-2),
        Kind::MassRate => (1e-9, 1e-6),
        Kind::UptakeByArea => (1e-10, 1e-7),
        Kind::MolarMass => (1e-2, 0.3),
        Kind::SoundLevel => (15.0, 50.0),
        Kind::Salinity => (20.0, 40.0),
        Kind::SpecificGravity => (1.015, 1.03),
        Kind::Share => (0.01, 1.0),
        // Some of the formulas that take a ratio take whole numbers only.
        Kind::Ratio if dice.chance(50) => return (1 + dice.below(9)) as f64,
        Kind::Ratio => (1e-3, 40.0),
        Kind::Count => return (1 + dice.below(5)) as f64,
        Kind::Money(_) => (0.1, 0.5),
    };
    // As many small ones as large ones.
    libm::exp(dice.between(libm::log(low), libm::log(high)))
}

#[test]
fn the_text_of_each_formula_that_can_be_asked_comes_to_what_it_gives() {
    let rules = Rules::compiled_in().unwrap();
    let (mut words, mut never, mut wrong, mut worked) = (Vec::new(), Vec::new(), Vec::new(), 0);
    for formula in ALL {
        let mut dice = Dice::new(0xa5ed);
        let (mut answers, mut is_words) = (0, false);
        for _ in 0..DRAWS {
            let drawn: Vec<_> = (formula.inputs)()
                .into_iter()
                .map(|(name, kind)| (name, kind, any_of(kind, &mut dice)))
                .collect();
            let inputs = drawn
                .iter()
                .map(|(name, kind, value)| ((*name).to_owned(), Quantity::new(*kind, *value)))
                .collect();
            let Ok(answer) = (formula.reckon)(&rules, &Inputs(inputs)) else { continue };
            answers += 1;
            let given: Vec<_> = drawn.iter().map(|(name, _, value)| (*name, *value)).collect();
            match work(formula.text, &given) {
                None => is_words = true,
                Some(value) if (value - answer.si).abs() <= 1e-9 * answer.si.abs().max(1e-12) => {}
                Some(value) => {
                    wrong.push(format!(
                        "`{}` of {given:?} is {value}, but {} gives {}",
                        formula.text, formula.name, answer.si
                    ));
                }
            }
            if answers == ENOUGH {
                break;
            }
        }
        match (answers >= ENOUGH, is_words) {
            (false, _) => never.push(formula.name),
            (true, true) => words.push(format!("{}: {}", formula.name, formula.text)),
            (true, false) => worked += 1,
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert_eq!(never, Vec::<&str>::new(), "formulas that no draw suits");
    // Those that name what a rule gives, or an equation by its author: read against their functions when they
    // change.
    insta::assert_snapshot!("in_words", words.join("\n"));
    assert!(worked > 40, "{worked}");
}

/// So many answers of a formula are held against its text.
const ENOUGH: usize = 20;
/// So many draws are made for them at the most.
const DRAWS: usize = 20_000;

/// How each figure of the running example is reckoned: its formula, the figures that it used, and the rules
/// that it read itself. Values do not stand here, so that a rule that changes changes nothing.
#[test]
fn what_each_figure_is_reckoned_from_reads_as_it_was_reviewed() {
    let book = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../book");
    let rules = Rules::compiled_in().unwrap();
    let catalogue =
        Catalogue::read("pumps.toml", &fs::read_to_string(book.join("pumps.toml")).unwrap()).unwrap();
    let text = fs::read_to_string(book.join("tanks/first_reef.toml")).unwrap();
    let sheet =
        Sheet::reckon(&rules, &catalogue, &Tank::read_with("tank", &text, &rules, &catalogue).unwrap())
            .unwrap();
    let of_rules = |figure: &&Figure| !figure.id.starts_with("rule.");
    let cells = sheet.tables.values().flat_map(Table::figures);
    let line = |figure: &Figure| {
        let (figures, rules) = (figure.inputs.join(", "), figure.rules.join(", "));
        format!("{}: {}\n    figures: {figures}\n    rules: {rules}", figure.id, figure.formula)
    };
    let lines: Vec<_> = sheet.figures().iter().filter(of_rules).chain(cells).map(line).collect();
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("../snapshots");
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| insta::assert_snapshot!("reckoned_from", lines.join("\n")));
}
