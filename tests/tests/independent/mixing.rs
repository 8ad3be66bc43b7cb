//! The perfectly mixed tank: `tests/independent/mixing.csv`.

use reckoner_calc::formulas::mixing;
use reckoner_calc::quantity::{Dimension, Share};
use reckoner_tests::{assert_within, independent};
use uom::si::f64::{Frequency, Time};

#[test]
fn levenspiel_1999_stirred_tank() {
    for row in independent("mixing").rows() {
        let (turnover, time) =
            (Frequency::from_si(row.number("n") / 3600.0), Time::from_si(row.number("t") * 3600.0));
        let passed = mixing::share_passed(turnover, time).unwrap();
        assert_within("share passed", passed.0, row.number("passed"), 1e-10, "ten printed digits");
        assert_within("share left", 1.0 - passed.0, row.number("left"), 1e-10, "ten printed digits");
        let share = Share(row.number("passed"));
        if share.0 < 0.9999 {
            let back = mixing::time_to_pass(share, turnover).unwrap().si() / 3600.0;
            // Near the end a small step of the share is a long time: dt = dF / (n (1 − F)).
            let tolerance = 1e-10 / (row.number("n") * row.number("left"));
            assert_within("hours", back, row.number("t"), tolerance, "ten printed digits of the share");
        }
    }
}
