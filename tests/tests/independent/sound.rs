//! Sums of sound levels and the law of distance: `tests/independent/sound.csv`.

use reckoner_calc::formulas::sound::{in_the_open, sum};
use reckoner_calc::quantity::{Dimension, SoundLevel};
use reckoner_tests::{Row, assert_within, independent};
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
    let table = independent("sound");
    let rows: Vec<_> = table.rows().filter(|row| row.text("source") == source).collect();
    assert_eq!(rows.len(), count, "{source}");
    rows.into_iter().for_each(assert_level);
}

#[test]
fn numpy_levels() {
    assert_rows_of("numpy 2.4.6", 10);
}
