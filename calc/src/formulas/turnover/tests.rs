use proptest::prelude::*;

use super::*;
use crate::quantity::parse;
use crate::rules::Rules;
use crate::rules::livestock::{Lives, Stock};
use crate::{Sheet, Tank};

fn rules() -> TurnoverRules {
    Rules::compiled_in().unwrap().turnover
}

#[test]
fn a_pump_serves_the_livestock_in_whose_band_it_falls() {
    let served = |flow: &str| {
        let served = super::served(parse(flow).unwrap(), parse("100 L").unwrap(), &rules()).unwrap();
        served.iter().map(|kind| kind.key().to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(served("600 L/h"), ["fish_only"]);
    assert_eq!(served("1000 L/h"), ["fish_only", "soft", "large_polyp"]);
    assert_eq!(served("3000 L/h"), ["small_polyp"]);
    assert!(served("100 L/h").is_empty());
}

#[test]
fn a_volume_that_is_no_tank_is_refused() {
    let error = flow(parse("0.5 L").unwrap(), parse("10 per hour").unwrap()).unwrap_err();
    assert_eq!(
        error.to_string().replace('\u{a0}', " "),
        "the volume of water is 500 mL, but must be from 1 L to 100,000 L"
    );
    assert!(flow(Volume::from_si(f64::NAN), parse("10 per hour").unwrap()).is_err());
    assert!(with_allowance(parse("100 L/h").unwrap(), Share(0.9)).is_err());
}

proptest! {
    #[test]
    fn turnover_is_the_inverse_of_flow(litres in 1.0..1e5, times in 0.1..100.0) {
        let (volume, rate) = (Volume::from_si(litres * 1e-3), Frequency::from_si(times / 3600.0));
        let back = turnover(flow(volume, rate).unwrap(), volume).unwrap();
        prop_assert!((back.si() / rate.si() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_pump_bought_with_the_allowance_still_gives_the_flow_when_it_is_fouled(litres in 100.0..1e4, share in 0.0..0.8) {
        let wanted = VolumeRate::from_si(litres * 1e-3 / 3600.0);
        let bought = with_allowance(wanted, Share(share)).unwrap();
        prop_assert!((bought.si() * (1.0 - share) / wanted.si() - 1.0).abs() < 1e-12);
        prop_assert!(bought >= wanted);
    }
}

#[test]
fn a_mixed_reef_goes_by_the_kind_that_wants_the_most_and_aims_low_in_its_band() {
    let all = Rules::compiled_in().unwrap();
    let rules = &all.turnover;
    let stock = |keys: &[&str]| Stock::of(keys.iter().map(|key| all.kind(key).unwrap().clone()));
    let (mixed, small_polyp) =
        (stock(&["small_polyp", "fish_only", "soft"]).unwrap(), all.kind("small_polyp").unwrap());
    assert_eq!(mixed.most(), small_polyp);
    assert_eq!(mixed.words(), "fish, soft corals and small-polyp stony corals");
    assert_eq!(rules.band(&mixed), rules.band(small_polyp));
    assert!(rules.is_mixed(&mixed) && rules.aimed_at(&mixed) < rules.aimed_at(small_polyp));
    // Fish go with any coral, and kinds that want the same band make no mixed reef.
    for alike in [["fish_only", "soft"], ["soft", "large_polyp"]] {
        assert!(!rules.is_mixed(&stock(&alike).unwrap()));
    }
    assert_eq!(stock(&[]), None);
    assert_eq!(stock(&["soft", "soft"]), stock(&["soft"]));
}

/// Which of the words about the livestock a tank's sheet has.
fn told(livestock: &str, length: &str) -> Vec<String> {
    let rules = Rules::compiled_in().unwrap();
    let text = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"{length}\"\nwidth = \"40 cm\"\nheight = \"40 cm\"\npane = \"6 mm\"\nfill_line = \"2 cm\"\n\
         [livestock]\n{livestock}\n"
    );
    let tank = Tank::read("t.toml", &text, &rules).unwrap();
    let sheet = Sheet::reckon(&rules, &crate::Catalogue::empty(), &tank).unwrap();
    let asked = [
        "livestock.grows",
        "livestock.to_small_polyp",
        "livestock.mixed",
        "turnover.changes",
        "turnover.example",
        "tank.small",
    ];
    asked.into_iter().filter(|id| sheet.figure(id).is_some()).map(str::to_owned).collect()
}

#[test]
fn words_about_the_livestock_are_there_only_where_they_are_true() {
    let soft_only = ["turnover.example", "tank.small"];
    assert_eq!(told("now = \"soft\"", "25 cm"), soft_only);
    assert_eq!(told("now = \"soft\"\nlater = \"large_polyp\"", "200 cm"), ["livestock.grows"]);
    assert_eq!(
        told("now = \"soft\"\nlater = \"small_polyp\"", "200 cm"),
        ["livestock.grows", "livestock.to_small_polyp", "turnover.changes"]
    );
    assert_eq!(
        told("now = \"small_polyp\"\nlater = \"small_polyp_strong\"", "200 cm"),
        ["livestock.grows", "turnover.changes"]
    );
    let mixed = "now = [\"soft\", \"small_polyp\"]";
    assert_eq!(told(mixed, "200 cm"), ["livestock.mixed"]);
}

/// A nano and a tank larger than any usual one: each has its own row, and stands in the middle of the chart.
#[test]
fn the_ready_reckoner_reaches_every_tank() {
    let rules = crate::Rules::compiled_in().unwrap();
    for (length, width) in [("28 cm", "28 cm"), ("3 m", "1.2 m")] {
        let text = format!(
            "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"{length}\"\nwidth = \"{width}\"\nheight = \"70 cm\"\npane = \"15 mm\"\n\
             fill_line = \"2 cm\"\n[livestock]\nnow = \"soft\"\n"
        );
        let tank = crate::Tank::read("t.toml", &text, &rules).unwrap();
        let sheet = crate::Sheet::reckon(&rules, &crate::Catalogue::empty(), &tank).unwrap();
        let counted = crate::decide::plan::counted(&tank, &rules);
        let crate::sheet::Cell::Figure(head) = &sheet.tables["reckoner_own"].rows[0].head else {
            panic!("a figure")
        };
        assert_eq!(head.value, counted.into());
        assert!((sheet.charts["flow_by_volume"].x.to - 2.0 * counted.si()).abs() < 1e-12);
    }
}
