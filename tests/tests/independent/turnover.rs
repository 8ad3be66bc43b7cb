//! Turnover against the trade's rules of thumb: `tests/independent/turnover.csv`.

use reckoner_calc::formulas::turnover;
use reckoner_calc::quantity::{Dimension, parse};
use reckoner_calc::rules::livestock::Livestock;
use reckoner_calc::{Rules, rules::Basis};
use reckoner_tests::{assert_within, independent};
use uom::si::f64::VolumeRate;

#[test]
fn common_practice_bands_are_the_trades() {
    let rules = Rules::compiled_in().unwrap();
    let table = independent("turnover");
    assert_eq!(table.rows().count(), Livestock::ALL.len());
    for (row, livestock) in table.rows().zip(Livestock::ALL) {
        assert_eq!(row.text("rule"), livestock.key());
        let band = rules.turnover.band(livestock);
        for (end, column) in [(band.low, "low"), (band.high, "high")] {
            assert_within(livestock.key(), end.si() * 3600.0, row.number(column), 1e-9, "a rule of thumb is what it says");
        }
        let rule = rules.rule(&format!("turnover.{}", livestock.key())).unwrap();
        assert_eq!(rule.basis, Basis::CommonPractice);
    }
}

/// Common practice: a tank of 50 US gallons with small-polyp corals wants 1,000 to 2,000 US gallons an hour.
#[test]
fn common_practice_fifty_gallons_of_small_polyp_corals() {
    let rules = Rules::compiled_in().unwrap();
    let band = rules.turnover.band(Livestock::SmallPolyp);
    for (end, gallons) in [(band.low, "1000 US gal/h"), (band.high, "2000 US gal/h")] {
        let flow = turnover::flow(parse("50 US gal").unwrap(), end).unwrap();
        let want = parse::<VolumeRate>(gallons).unwrap().si();
        assert_within(gallons, flow.si(), want, 1e-9 * want, "exact by definition of turnover");
    }
}

#[test]
fn common_practice_sizes_on_the_market() {
    let rules = Rules::compiled_in().unwrap().turnover;
    let close = |got: f64, entry: &str| {
        let want = parse::<VolumeRate>(entry).unwrap().si();
        assert_within(entry, got, want, 1e-9 * want, "a fact of the trade is what it says");
    };
    close(rules.pumps_on_the_market.low.si(), "40 US gal/h");
    close(rules.pumps_on_the_market.high.si(), "7500 US gal/h");
    assert_within("smallest tank", rules.smallest_tank.si() * 1e3, 15.0 * 3.785411784, 1e-9, "15 US gallons");
}
