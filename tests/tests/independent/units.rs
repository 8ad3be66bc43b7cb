//! Units: `tests/independent/units.csv`.

use reckoner_calc::quantity::{Kind, parse_as};
use reckoner_tests::{assert_within, independent};

#[test]
fn pint_gives_a_unit_the_same_size() {
    for row in independent("units").rows() {
        let kind = match row.text("kind") {
            "length" => Kind::Length,
            "volume" => Kind::Volume,
            "mass" => Kind::Mass,
            "flow" => Kind::Flow,
            "temperature" => Kind::Temperature,
            other => panic!("unknown kind {other}"),
        };
        let got = parse_as(kind, row.text("entry")).unwrap().si;
        let want = row.number("si");
        assert_within(row.text("entry"), got, want, 1e-12 * want, "the last bits are the machine's");
    }
}
