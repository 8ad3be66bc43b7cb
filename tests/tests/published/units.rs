//! Units: `tests/published/units.csv`.

use reckoner_calc::quantity::{Kind, parse_as};
use reckoner_tests::{assert_within, published};

#[test]
fn nist_sp_811_and_hb_44_units_have_their_exact_size() {
    for row in published("units").rows() {
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
        assert_within(
            row.text("entry"),
            got,
            want,
            1e-12 * want,
            "exact by definition; the last bits are the machine's",
        );
    }
}
