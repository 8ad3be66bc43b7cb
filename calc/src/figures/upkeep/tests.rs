use crate::quantity::{Kind, unit};
use crate::rules::Rules;
use crate::sheet::Sheet;
use crate::tank::Tank;

fn sheet_of(more: &str) -> Sheet {
    let tank = format!(
        "name = \"Check\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"30 cm\"\nheight = \"35 cm\"\npane = \"8 mm\"\n\
         [livestock]\nnow = \"soft\"\n{more}"
    );
    let rules = Rules::compiled_in().unwrap();
    Sheet::reckon(&rules, &crate::Catalogue::empty(), &Tank::read("check.toml", &tank, &rules).unwrap())
        .unwrap()
}

#[test]
fn an_interval_of_one_is_told_without_its_number() {
    let sheet = sheet_of("");
    let said =
        |key: &str| sheet.figure(&format!("upkeep.every_{key}")).unwrap().text().replace('\u{a0}', " ");
    assert_eq!(
        [said("look"), said("wipe"), said("acid_bath")],
        ["every day", "every week", "every 2 months"]
    );
}

#[test]
fn a_battery_is_tested_only_where_the_file_has_one() {
    let rows = |sheet: &Sheet| {
        sheet.tables["upkeep_care"].figures().filter(|figure| figure.id.ends_with("battery_test")).count()
    };
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
        let crate::sheet::Value::One(figure) = sheet.figure(working.answer).unwrap().value else {
            panic!("{id}: no quantity")
        };
        assert_eq!(working.sums.len(), 2);
        for sum in &working.sums {
            let by_hand = sum.answer.value * unit(Kind::Mass, sum.answer.reading.unit).unwrap().si;
            assert!((by_hand / figure.si - 1.0).abs() < 0.01, "{id}: {by_hand} kg by hand, {} kg", figure.si);
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
        let hung = |at| {
            format!(
                "[[pump]]\nname = \"p{at}\"\nmodel = \"M\"\nwall = \"left\"\nheight = \"{} cm\"\n",
                20 + 5 * at
            )
        };
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
