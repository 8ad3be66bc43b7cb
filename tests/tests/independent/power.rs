//! Pumps at another speed: `tests/independent/power.csv`.

use reckoner_calc::formulas::power::{affinity_flow, affinity_head, affinity_power};
use reckoner_calc::quantity::Dimension;
use reckoner_tests::{Row, assert_within, independent};
use uom::si::f64::{Length, Power, VolumeRate};

/// The laws are about ratios, so the table's own units stand in for SI.
fn assert_affinity(row: Row<'_>) {
    let (speed, new) = (row.number("speed"), row.number("new_speed"));
    let flow = affinity_flow(VolumeRate::from_si(row.number("flow")), speed, new).unwrap().si();
    let head = affinity_head(Length::from_si(row.number("head")), speed, new).unwrap().si();
    let power = affinity_power(Power::from_si(row.number("power")), speed, new).unwrap().si();
    for (column, got) in [("new_flow", flow), ("new_head", head), ("new_power", power)] {
        let want = row.number(column);
        let what = format!("{} {column} at {new} from {speed}", row.text("source"));
        assert_within(
            &what,
            got,
            want,
            row.number("tolerance") * want,
            "relative, as the head of the table says",
        );
    }
}

fn assert_rows_of(source: &str, count: usize) {
    let table = independent("power");
    let rows: Vec<_> = table.rows().filter(|row| row.text("source") == source).collect();
    assert_eq!(rows.len(), count, "{source}");
    rows.into_iter().for_each(assert_affinity);
}

#[test]
fn numpy_affinity_table() {
    assert_rows_of("numpy 2.4.6", 7);
    assert_rows_of("arithmetic", 1);
}
