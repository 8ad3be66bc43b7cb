use super::*;

const HEAD: &str = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n[sand]\ndepth = \"3 cm\"\ngrain = \"0.3 mm\"\n[livestock]\nnow = \"soft\"\nlater = \"small_polyp\"\n";

const PUMPS: &str = "currency = \"USD\"\n[[pump]]\nmodel = \"Weir\"\nkind = \"round-controllable\"\nrated_flow = \"3600 L/h\"\nlowest_setting = \"20 %\"\noutlet = \"40 mm\"\npower = \"8 W\"\nsound = \"30 dB\"\nprice = \"100 USD\"\nwet_end_price = \"30 USD\"\nshaft = \"ceramic\"\n";

fn hung(name: &str, model: &str, wall: &str, height: &str, setting: &str) -> String {
    format!(
        "[[pump]]\nname = \"{name}\"\nmodel = \"{model}\"\nwall = \"{wall}\"\nheight = \"{height}\"\nsetting = \"{setting}\"\n"
    )
}

#[test]
fn in_a_mixed_tank_the_gentler_corals_stand_beside_the_stream() {
    let head = HEAD.replace("now = \"soft\"", "now = [\"large_polyp\", \"small_polyp\"]");
    let tank = Tank::read(
        "t.toml",
        &format!("{head}{}", hung("left", "Weir", "left", "30 cm", "60 %")),
        &Rules::compiled_in().unwrap(),
    )
    .unwrap();
    let catalogue = Catalogue::read("pumps.toml", PUMPS).unwrap();
    let rules = Rules::compiled_in().unwrap();
    let sheet = Sheet::reckon(&rules, &catalogue, &tank).unwrap();
    let Cell::Words(verdict) = &sheet.tables["fit"].rows[0].cells[5] else { panic!("a verdict is words") };
    assert_eq!(verdict, "well, with the animals in the places told below");
    // The table of settings has a row for the mixture, which is aimed at lower than the small polyps alone
    // would be.
    let table = &sheet.tables["fit_settings"];
    let wanted = |id: &str| {
        let figure = table.figures().find(|figure| figure.id == id).unwrap();
        match figure.value {
            crate::sheet::Value::One(value) => value.si,
            _ => f64::NAN,
        }
    };
    assert!(wanted("fit_settings.now") < wanted("fit_settings.small_polyp"));
    assert!(wanted("fit_settings.now") > wanted("fit_settings.large_polyp"));
    let zones = &sheet.tables["fit_zones"];
    assert_eq!(
        zones.heads,
        ["Pump", "Large-polyp stony corals from", "up to", "Small-polyp stony corals from", "up to"]
    );
}

#[test]
fn nothing_missing_is_said_in_words_and_what_can_not_be_set_is_not_turned_down() {
    let rules = Rules::compiled_in().unwrap();
    let cell = |pumps: &str, row: &str, at: usize| {
        let catalogue = Catalogue::read("pumps.toml", pumps).unwrap();
        let tank = Tank::read(
            "t.toml",
            &format!("{HEAD}{}", hung("left", "Weir", "left", "30 cm", "100 %")),
            &rules,
        )
        .unwrap();
        let sheet = Sheet::reckon(&rules, &catalogue, &tank).unwrap();
        let table = &sheet.tables["fit_settings"];
        let row =
            table.rows.iter().find(|told| matches!(&told.head, Cell::Words(words) if words == row)).unwrap();
        match &row.cells[at] {
            Cell::Words(words) => words.clone(),
            other => format!("{other:?}"),
        }
    };
    assert_eq!(cell(PUMPS, "fish only", 2), "nothing");
    assert!(cell(PUMPS, "small-polyp stony corals from the surf", 2).contains(".missing"));
    let fixed = PUMPS.replace("round-controllable", "round-fixed").replace("lowest_setting = \"20 %\"\n", "");
    assert_eq!(cell(&fixed, "fish only", 1), "can not be set, and moves more");
    assert_eq!(cell(&PUMPS.replace("20 %", "80 %"), "fish only", 1), "more even turned right down");
}

#[test]
fn no_coral_is_told_to_stand_at_the_outlet() {
    let rules = Rules::compiled_in().unwrap();
    let catalogue = Catalogue::read("pumps.toml", PUMPS).unwrap();
    let head = HEAD.replace("now = \"soft\"", "now = \"small_polyp_strong\"");
    let tank =
        Tank::read("t.toml", &format!("{head}{}", hung("left", "Weir", "left", "30 cm", "60 %")), &rules)
            .unwrap();
    let sheet = Sheet::reckon(&rules, &catalogue, &tank).unwrap();
    // 2160 L/h through 40 mm leave at 48 cm/s, which surf corals bear even at the fastest; they stand at the
    // least distance all the same.
    let kinds = sheet.tables["fit_zones"].rows[0].cells.chunks(2);
    let from: Vec<_> = kinds
        .map(|cells| if let Cell::Figure(figure) = &cells[0] { Some(figure.value.clone()) } else { None })
        .collect();
    assert_eq!(from.last(), Some(&Some((*rules.speeds.least_distance).into())));
}
