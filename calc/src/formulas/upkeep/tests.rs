use proptest::prelude::*;

use super::*;
use crate::rules::Rules;
use crate::rules::upkeep::Care;

fn rules() -> UpkeepRules {
    Rules::compiled_in().unwrap().upkeep
}

fn grams(grams: f64) -> Mass {
    Mass::from_si(grams * 1e-3)
}

fn weeks(weeks: f64) -> Time {
    Time::from_si(weeks * 7.0 * 86400.0)
}

#[test]
fn every_atom_of_the_reactions_is_accounted_for() {
    // Carbon dioxide and water have 44.010 and 18.015 g/mol; the salts are summed from their own atoms: Ca
    // 40.078, C 12.011, H 1.008, O 15.999. What goes in must come out.
    let (rules, carbon_dioxide, water) = (rules(), 44.009, 18.015);
    let citrate = 3.0 * 40.078 + 12.0 * 12.011 + 10.0 * 1.008 + 14.0 * 15.999;
    let acetate = 40.078 + 4.0 * 12.011 + 6.0 * 1.008 + 4.0 * 15.999;
    let molar = |mass: MolarMass| mass.si() * 1e3;
    let citric = citric_acid(grams(2.0 * molar(*rules.citric_acid)), &rules).unwrap().si() * 1e3;
    let out = citrate + 3.0 * carbon_dioxide + 3.0 * water;
    assert!((citric + 2.0 * molar(*rules.citric_acid) - out).abs() < 0.01, "{citric} g of scale");
    let acetic = acetic_acid(grams(2.0 * molar(*rules.acetic_acid)), &rules).unwrap().si() * 1e3;
    assert!(
        (acetic + 2.0 * molar(*rules.acetic_acid) - (acetate + carbon_dioxide + water)).abs() < 0.01,
        "{acetic} g of scale"
    );
}

#[test]
fn crystal_water_dissolves_nothing() {
    let rules = rules();
    // A mole of the crystals holds a mole of the acid and one of water.
    let dry = citric_acid(grams(192.124), &rules).unwrap();
    let crystals = citric_crystals(grams(192.124 + 18.015), &rules).unwrap();
    assert!((dry.si() / crystals.si() - 1.0).abs() < 1e-6);
}

#[test]
fn inputs_out_of_range_are_refused() {
    let rules = rules();
    assert!(citric_acid(grams(-1.0), &rules).is_err());
    assert!(acetic_acid(grams(f64::NAN), &rules).is_err());
    assert!(citric_for(Volume::from_si(0.0), *rules.citric_strength).is_err());
    assert!(vinegar_for(Volume::from_si(0.3), *rules.vinegar_share).is_err());
    let usual = Fouling { lost: Share(0.2), between: weeks(8.0) };
    assert!(usual.flow_left(weeks(-1.0)).is_err());
    assert!(usual.interval_to_keep(Share(0.0)).is_err());
    assert!(Fouling { lost: Share(0.9), ..usual }.flow_left(weeks(1.0)).is_err());
    assert!(Fouling { between: weeks(0.0), ..usual }.interval_to_keep(Share(0.9)).is_err());
    let none = Fouling { lost: Share(0.0), ..usual };
    assert!(none.interval_to_keep(Share(0.9)).unwrap_err().to_string().contains("loses no flow"));
    assert!((none.flow_left(weeks(100.0)).unwrap().0 - 1.0).abs() < 1e-15);
}

#[test]
fn a_pump_has_lost_the_allowance_when_the_bath_is_due() {
    let rules = Rules::compiled_in().unwrap();
    let fouling =
        Fouling { lost: *rules.turnover.fouling_allowance, between: rules.upkeep.interval(Care::AcidBath) };
    let left = fouling.flow_left(fouling.between).unwrap();
    assert!((left.0 - (1.0 - rules.turnover.fouling_allowance.0)).abs() < 1e-12);
    // After two intervals the same share of what was left is gone too.
    let left_twice = fouling.flow_left(fouling.between * 2.0).unwrap();
    assert!((left_twice.0 - left.0 * left.0).abs() < 1e-12);
}

proptest! {
    #[test]
    fn the_interval_is_the_inverse_of_the_flow_left(lost in 0.01..0.8, between in 1.0..50.0, kept in 0.1..0.999) {
        let fouling = Fouling { lost: Share(lost), between: weeks(between) };
        let back = fouling.flow_left(fouling.interval_to_keep(Share(kept)).unwrap());
        // A pump that loses next to nothing reaches its share after more than ten years.
        if let Ok(back) = back {
            prop_assert!((back.0 - kept).abs() < 1e-12);
        } else {
            prop_assert!(lost < 0.2);
        }
    }

    #[test]
    fn the_longer_since_a_cleaning_the_less_flow(lost in 0.01..0.8, since in 0.0..50.0, later in 0.01..10.0) {
        let fouling = Fouling { lost: Share(lost), between: weeks(8.0) };
        prop_assert!(fouling.flow_left(weeks(since + later)).unwrap() < fouling.flow_left(weeks(since)).unwrap());
    }

    #[test]
    fn a_bath_twice_the_size_takes_and_dissolves_twice_as_much(litres in 0.1..50.0) {
        let rules = rules();
        let bath = |litres: f64| {
            let bath = Volume::from_si(litres * 1e-3);
            let acid = citric_for(bath, *rules.citric_strength).unwrap();
            let vinegar = vinegar_for(bath, *rules.vinegar_share).unwrap();
            let scale = [citric_acid(acid, &rules).unwrap(), vinegar_scale(vinegar, &rules).unwrap()];
            [acid.si(), scale[0].si(), vinegar.si(), scale[1].si()]
        };
        for (one, two) in bath(litres).into_iter().zip(bath(2.0 * litres)) {
            prop_assert!((two / one - 2.0).abs() < 1e-12);
        }
    }
}
