//! What a formula says is what it does: its text, worked with the inputs that it was recorded with, comes to what it gave.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;

use reckoner_calc::sheet::Table;
use reckoner_calc::{Catalogue, Rules, Sheet, Tank};
use reckoner_tests::formula_text::work;
use reckoner_tests::random_tanks::{self, Dice};

/// Formulas whose texts are words: an equation too long for a line, a search, or one that reads coefficients.
const WORDS: [&str; 43] = [
    "circuit.continuous_limit",
    "circuit.trip_time",
    "cost.wear_over",
    "fit.missing",
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
];

#[test]
fn the_text_of_each_formula_comes_to_what_the_formula_gives() {
    let book = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../book");
    let rules = Rules::compiled_in().unwrap();
    let catalogue = Catalogue::read("pumps.toml", &fs::read_to_string(book.join("pumps.toml")).unwrap()).unwrap();
    let mut dice = Dice::new(0x7e87);
    let mut tanks: Vec<_> =
        ["first_reef", "long_reef", "small_cube"].map(|tank| fs::read_to_string(book.join(format!("tanks/{tank}.toml"))).unwrap()).into();
    tanks.extend((0..60).map(|at| random_tanks::tank(&format!("Tank {at}"), &mut dice, &catalogue.pumps)));
    let (mut worked, mut words) = (BTreeMap::<&str, usize>::new(), BTreeSet::new());
    for text in tanks {
        let tank = Tank::read_with("tank", &text, &rules, &catalogue).unwrap();
        let sheet = Sheet::reckon(&rules, &catalogue, &tank).unwrap();
        let cells = sheet.tables.values().flat_map(Table::figures);
        for (figure, call) in sheet.figures().iter().chain(cells).flat_map(|figure| figure.calls().iter().map(move |call| (figure, call))) {
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
    println!("{} formulas worked from their texts, {} times; words: {words:?}", worked.len(), worked.values().sum::<usize>());
    assert_eq!(words, WORDS.into(), "formulas whose texts can not be worked");
    assert!(worked.len() >= 4, "only {worked:?}");
}
