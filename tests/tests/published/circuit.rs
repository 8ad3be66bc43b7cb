//! Circuits and what guards them: `tests/published/circuit.csv`.

use reckoner_calc::Rules;
use reckoner_calc::formulas::circuit::{continuous_limit, trip_time};
use reckoner_calc::quantity::{Dimension, parse};
use reckoner_tests::{assert_printed, published};

fn assert_rows_of(source: &str, count: usize) {
    let (table, rules) = (published("circuit"), Rules::compiled_in().unwrap().circuit);
    let rows: Vec<_> = table.rows().filter(|row| row.text("source") == source).collect();
    assert_eq!(rows.len(), count, "{source}");
    for row in rows {
        let given = parse(row.text("current")).unwrap();
        let got = match row.text("kind") {
            "continuous" => continuous_limit(given, &rules).unwrap().si(),
            "time" => trip_time(given, &rules).unwrap().si(),
            other => panic!("unknown kind {other}"),
        };
        assert_printed(&format!("{source} {}", row.text("current")), got, row.text("value"));
    }
}

#[test]
fn nfpa_70_continuous_loads() {
    assert_rows_of("NFPA 70", 2);
}

#[test]
fn ul_943_longest_times() {
    assert_rows_of("UL 943", 2);
}

#[test]
fn iec_60364_4_41_and_ul_943_residual_currents() {
    let rules = Rules::compiled_in().unwrap().circuit;
    for (what, got, milliamperes) in [
        ("IEC 60364-4-41, 415.1", rules.rcd_additional_protection, "30"),
        ("UL 943 class A, trips", rules.gfci_trips, "6"),
        ("UL 943 class A, holds", rules.gfci_holds, "4"),
    ] {
        assert_printed(what, got.si() * 1e3, milliamperes);
    }
    assert_printed("wiring regulations, 411.3.3", rules.rcd_sockets.si(), "32");
}
