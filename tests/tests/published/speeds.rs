//! Speeds that animals meet: `tests/published/speeds.csv`.

use reckoner_calc::Rules;
use reckoner_calc::quantity::Dimension;
use reckoner_calc::turnover::Livestock;
use reckoner_tests::{assert_printed, published};

#[test]
fn sebens_1991_2003_and_korsmeyer_2002_name_the_speeds_of_the_rules() {
    let rules = Rules::compiled_in().unwrap().speeds;
    for row in published("speeds").rows() {
        let got = match row.text("quantity") {
            "forereef" => rules.forereef.si() * 100.0,
            "slowest tried" => rules.tried.low.si() * 100.0,
            "fastest tried" => rules.tried.high.si() * 100.0,
            "parrotfish" => rules.fish_holds.low.si(),
            "triggerfish" => rules.fish_holds.high.si(),
            "triggerfish fins" => rules.fish_cruises.si(),
            other => panic!("unknown quantity {other}"),
        };
        assert_printed(row.text("source"), got, row.text("printed"));
    }
}

/// The abstracts support "a few to some tens of centimetres a second, by form": no band of ours lies outside what was met or tried.
#[test]
fn sebens_bands_stay_near_what_reefs_have() {
    let rules = Rules::compiled_in().unwrap().speeds;
    for livestock in Livestock::ALL {
        let band = rules.band(livestock);
        assert!(band.low >= rules.tried.low, "{livestock:?}: slower than any trial");
        assert!(band.high.si() <= 1.25 * rules.forereef.si(), "{livestock:?}: beyond \"over 50 cm/s\"");
    }
}
