//! Sums of sound levels and the law of distance: `tests/published/sound.csv`.

use reckoner_calc::Rules;
use reckoner_calc::formulas::sound::{in_the_open, sum};
use reckoner_calc::quantity::{Dimension, SoundLevel};
use reckoner_tests::{Row, assert_within, published};
use uom::si::f64::Length;

fn assert_level(row: Row<'_>) {
    let levels: Vec<_> =
        row.text("levels").split(';').map(|level| SoundLevel(level.parse().unwrap())).collect();
    let got = match row.text("kind") {
        "sum" => sum(&levels).unwrap(),
        // Only the ratio of the two distances counts, so that the table's own unit can stand for the metre.
        "distance" => {
            in_the_open(levels[0], Length::from_si(row.number("from")), Length::from_si(row.number("to")))
                .unwrap()
        }
        other => panic!("unknown kind {other}"),
    };
    let what = format!("{} {}", row.text("source"), row.text("levels"));
    assert_within(
        &what,
        got.0,
        row.number("level"),
        row.number("tolerance"),
        "half the last printed digit, or as the row says",
    );
}

fn assert_rows_of(source: &str, count: usize) {
    let table = published("sound");
    let rows: Vec<_> = table.rows().filter(|row| row.text("source") == source).collect();
    assert_eq!(rows.len(), count, "{source}");
    rows.into_iter().for_each(assert_level);
}

#[test]
fn osha_technical_manual_noise_appendix() {
    assert_rows_of("OSHA", 2);
}

#[test]
fn osha_1910_95_rounded_table() {
    assert_rows_of("OSHA 1910.95 table", 1);
}

#[test]
fn encyclopedia_worked_problem() {
    assert_rows_of("encyclopedia", 1);
}

#[test]
fn consultancy_sum() {
    assert_rows_of("consultancy", 1);
}

#[test]
fn mpca_guide_to_noise_control() {
    assert_rows_of("MPCA", 2);
}

#[test]
fn who_1999_bedroom_guideline_values() {
    let rules = Rules::compiled_in().unwrap().sound;
    assert_eq!(
        (*rules.night_level, *rules.night_peak, *rules.evening_level),
        (SoundLevel(30.0), SoundLevel(45.0), SoundLevel(35.0))
    );
}
