use proptest::prelude::*;

use uom::si::f64::MolarMass;

use super::*;

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
    // Carbon dioxide and water have 44.010 and 18.015 g/mol; the salts are summed from their own atoms: Ca 40.078, C 12.011,
    // H 1.008, O 15.999. What goes in must come out.
    let (rules, carbon_dioxide, water) = (rules(), 44.009, 18.015);
    let citrate = 3.0 * 40.078 + 12.0 * 12.011 + 10.0 * 1.008 + 14.0 * 15.999;
    let acetate = 40.078 + 4.0 * 12.011 + 6.0 * 1.008 + 4.0 * 15.999;
    let molar = |mass: MolarMass| mass.si() * 1e3;
    let citric = scale_dissolved(Acid::Citric, grams(2.0 * molar(*rules.citric_acid)), &rules).unwrap().si() * 1e3;
    let out = citrate + 3.0 * carbon_dioxide + 3.0 * water;
    assert!((citric + 2.0 * molar(*rules.citric_acid) - out).abs() < 0.01, "{citric} g of scale");
    let acetic = scale_dissolved(Acid::Acetic, grams(2.0 * molar(*rules.acetic_acid)), &rules).unwrap().si() * 1e3;
    assert!((acetic + 2.0 * molar(*rules.acetic_acid) - (acetate + carbon_dioxide + water)).abs() < 0.01, "{acetic} g of scale");
}

#[test]
fn crystal_water_dissolves_nothing() {
    let rules = rules();
    // A mole of the crystals holds a mole of the acid and one of water.
    let dry = scale_dissolved(Acid::Citric, grams(192.124), &rules).unwrap();
    let crystals = scale_dissolved(Acid::CitricMonohydrate, grams(192.124 + 18.015), &rules).unwrap();
    assert!((dry.si() / crystals.si() - 1.0).abs() < 1e-6);
}

#[test]
fn inputs_out_of_range_are_refused() {
    let rules = rules();
    assert!(scale_dissolved(Acid::Citric, grams(-1.0), &rules).is_err());
    assert!(scale_dissolved(Acid::Acetic, grams(f64::NAN), &rules).is_err());
    assert!(Bath::of(Volume::from_si(0.0), &rules).is_err());
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
    let fouling = Fouling { lost: *rules.turnover.fouling_allowance, between: rules.upkeep.interval(Care::AcidBath) };
    let left = fouling.flow_left(fouling.between).unwrap();
    assert!((left.0 - (1.0 - rules.turnover.fouling_allowance.0)).abs() < 1e-12);
    // After two intervals the same share of what was left is gone too.
    let left_twice = fouling.flow_left(fouling.between * 2.0).unwrap();
    assert!((left_twice.0 - left.0 * left.0).abs() < 1e-12);
}

fn sheet_of(more: &str) -> Sheet {
    let tank = format!(
        "name = \"Check\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"30 cm\"\nheight = \"35 cm\"\npane = \"8 mm\"\n\
         [livestock]\nnow = \"soft\"\n{more}"
    );
    let rules = Rules::compiled_in().unwrap();
    Sheet::reckon(&rules, &crate::Catalogue::empty(), &Tank::read("check.toml", &tank, &rules).unwrap()).unwrap()
}

#[test]
fn an_interval_of_one_is_told_without_its_number() {
    let sheet = sheet_of("");
    let said = |key: &str| sheet.figure(&format!("upkeep.every_{key}")).unwrap().text().replace('\u{a0}', " ");
    assert_eq!([said("look"), said("wipe"), said("acid_bath")], ["every day", "every week", "every 2 months"]);
}

#[test]
fn a_battery_is_tested_only_where_the_file_has_one() {
    let rows = |sheet: &Sheet| sheet.tables["upkeep_care"].figures().filter(|figure| figure.id.ends_with("battery_test")).count();
    let bare = sheet_of("");
    assert_eq!(rows(&bare), 0);
    assert!(bare.lacking("upkeep.every_battery_test").unwrap().contains("[air_pump]"));
    let air = sheet_of("[air_pump]\nair = \"60 L/h\"\ndepth = \"20 cm\"\nlasts = \"24 h\"\n");
    let battery = sheet_of("[battery]\nenergy = \"200 Wh\"\nchemistry = \"lead-acid\"\n");
    for sheet in [air, battery] {
        assert_eq!(rows(&sheet), 1);
        assert!(sheet.figure("upkeep.every_battery_test").is_some());
    }
}

#[test]
fn workings_reckoned_by_hand_are_the_figures() {
    let sheet = sheet_of("");
    for id in ["upkeep_citric_acid", "upkeep_citric_scale"] {
        let working = &sheet.workings[id];
        let crate::sheet::Value::One(figure) = sheet.figure(working.answer).unwrap().value else { panic!("{id}: no quantity") };
        assert_eq!(working.sums.len(), 2);
        for sum in &working.sums {
            let by_hand = sum.answer.value * unit(Kind::Mass, sum.answer.reading.unit).unwrap().si;
            assert!((by_hand / figure.si - 1.0).abs() < 0.01, "{id}: {by_hand} kg by hand, {} kg", figure.si);
        }
    }
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
        let bath = |litres: f64| Bath::of(Volume::from_si(litres * 1e-3), &rules()).unwrap();
        let (one, two) = (bath(litres), bath(2.0 * litres));
        for (one, two) in [
            (one.citric_acid.si(), two.citric_acid.si()),
            (one.citric_scale.si(), two.citric_scale.si()),
            (one.vinegar.si(), two.vinegar.si()),
            (one.vinegar_scale.si(), two.vinegar_scale.si()),
        ] {
            prop_assert!((two / one - 2.0).abs() < 1e-12);
        }
    }
}

#[test]
fn other_pumps_run_on_during_a_bath_only_where_there_are_others() {
    let rules = Rules::compiled_in().unwrap();
    let pump = "[[pump]]\nmodel = \"M\"\nkind = \"round-controllable\"\nrated_flow = \"4000 L/h\"\nlowest_setting = \"10 %\"\noutlet = \"34 mm\"\n\
                power = \"7 W\"\nsound = \"31 dB\"\nprice = \"50 USD\"\nwet_end_price = \"10 USD\"\nshaft = \"metal\"\n";
    let catalogue = crate::Catalogue::read("pumps.toml", &format!("currency = \"USD\"\n{pump}")).unwrap();
    let several = |length: &str, pumps: usize| {
        let hung = |at| format!("[[pump]]\nname = \"p{at}\"\nmodel = \"M\"\nwall = \"left\"\nheight = \"{} cm\"\n", 20 + 5 * at);
        let pumps: String = (0..pumps).map(hung).collect();
        let text = format!(
            "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"{length}\"\nwidth = \"30 cm\"\nheight = \"35 cm\"\npane = \"8 mm\"\n\
             [livestock]\nnow = \"soft\"\n{pumps}"
        );
        let sheet = Sheet::reckon(&rules, &catalogue, &Tank::read("t.toml", &text, &rules).unwrap()).unwrap();
        let planned = sheet.figure("plan.count").map(|figure| figure.text());
        (sheet.figure("upkeep.several").is_some(), planned)
    };
    assert!(!several("150 cm", 1).0 && several("60 cm", 2).0);
    // Without pumps its plan counts.
    assert_eq!(several("30 cm", 0), (false, Some("1".to_owned())));
    assert_eq!(several("150 cm", 0), (true, Some("2".to_owned())));
}
