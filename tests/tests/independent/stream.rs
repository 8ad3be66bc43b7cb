//! The law of streams, typed in a second time by others: `tests/independent/stream.csv`.

use reckoner_calc::Rules;
use reckoner_calc::catalogue::Outlet;
use reckoner_calc::formulas::stream::{Laws, Stream, outlet_area};
use reckoner_calc::quantity::Dimension;
use reckoner_tests::{assert_printed, independent};
use uom::si::f64::{Length, Velocity};

#[test]
fn scipy_streams_slow_as_computed() {
    let laws = Laws::of(&Rules::compiled_in().unwrap().stream);
    let size = 0.01;
    for row in independent("stream").rows() {
        let outlet = match row.text("kind") {
            "round" => Outlet::Round { diameter: Length::from_si(size) },
            "slot" => Outlet::Slot {
                height: Length::from_si(size),
                length: Length::from_si(size * row.number("aspect")),
            },
            other => panic!("unknown kind {other}"),
        };
        let stream = Stream::new(outlet, outlet_area(outlet) * Velocity::from_si(1.0), laws).unwrap();
        let got = stream.speed_at(Length::from_si(size * row.number("distance"))).unwrap().si();
        assert_printed(
            &format!("{} {} at {}", row.text("kind"), row.text("aspect"), row.text("distance")),
            got,
            row.text("speed"),
        );
    }
}
