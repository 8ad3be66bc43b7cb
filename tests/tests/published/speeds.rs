//! Speeds that animals meet: `tests/published/speeds.csv`.

use reckoner_calc::Rules;
use reckoner_calc::quantity::Dimension;
use reckoner_tests::{assert_printed, published};

#[test]
fn sebens_1991_2003_korsmeyer_2002_fulton_2004_and_johansen_2007_name_the_speeds_of_the_rules() {
    let rules = Rules::compiled_in().unwrap().speeds;
    for row in published("speeds").rows() {
        let got = match row.text("quantity") {
            "forereef" => rules.forereef.si() * 100.0,
            "slowest tried" => rules.tried.low.si() * 100.0,
            "fastest tried" => rules.tried.high.si() * 100.0,
            "parrotfish" => rules.fish_holds.low.si(),
            "triggerfish" => rules.fish_holds.high.si(),
            "round fins" => rules.fish_cruises.low.si(),
            "narrow fins" => rules.fish_cruises.high.si(),
            "stream of the trial" => rules.shelter_stream.si() * 100.0,
            "minutes in the open: damselfish" => rules.without_shelter.low.si() / 60.0,
            "minutes in the open: wrasse" => rules.without_shelter.high.si() / 60.0,
            "hours with a hole: wrasse" => rules.with_shelter.low.si() / 3600.0,
            "hours with a hole: damselfish" => rules.with_shelter.high.si() / 3600.0,
            "least that a hole keeps out" => rules.shelter_slows.low.0 * 100.0,
            "most that a hole keeps out" => rules.shelter_slows.high.0 * 100.0,
            other => panic!("unknown quantity {other}"),
        };
        assert_printed(row.text("source"), got, row.text("printed"));
    }
}

/// The abstracts support "a few to some tens of centimetres a second, by form": no band of ours lies outside
/// what was met or tried.
#[test]
fn sebens_bands_stay_near_what_reefs_have() {
    let Rules { livestock, speeds: rules, .. } = Rules::compiled_in().unwrap();
    for livestock in &livestock {
        let band = rules.band(livestock);
        assert!(band.low >= rules.tried.low, "{livestock:?}: slower than any trial");
        assert!(band.high.si() <= 1.25 * rules.forereef.si(), "{livestock:?}: beyond \"over 50 cm/s\"");
    }
}
