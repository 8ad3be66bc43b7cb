//! Water over an edge: `tests/independent/weir.csv`, `weir_sheets.csv`.

use reckoner_calc::Rules;
use reckoner_calc::formulas::weir::{over_edge, sheet};
use reckoner_calc::quantity::{Dimension, parse};
use reckoner_tests::{assert_within, independent};
use uom::si::f64::Length;

#[test]
fn other_laws_of_the_same_edge() {
    let rules = Rules::compiled_in().unwrap().weir;
    for row in independent("weir").rows() {
        let [edge, thick] = ["b", "h"].map(|column| Length::from_si(row.number(column)));
        let ours = over_edge(thick, edge, &rules).unwrap().si();
        for law in ["kc", "rehbock", "ackers"] {
            let theirs = row.number(law);
            assert_within(law, ours, theirs, 0.05 * theirs, "a law without the floor and the water's skin");
        }
    }
}

#[test]
fn the_same_law_typed_again() {
    let rules = Rules::compiled_in().unwrap().weir;
    for row in independent("weir_sheets").rows() {
        let flow = parse(&format!("{} L/h", row.text("flow_L_h"))).unwrap();
        let ours = sheet(flow, Length::from_si(row.number("edge_m")), &rules).unwrap().si() * 1e3;
        let theirs = row.number("sheet_mm");
        assert_within("mm", ours, theirs, 1e-3 * theirs, "there the coefficient is rounded to 1.84");
    }
}
