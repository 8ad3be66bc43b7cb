use super::*;
use crate::decide::power_cut::tests::{CUT_PUMP, PUMPS, TANK, crowd_of, crowded, rules, tank};
use crate::sheet::{Cell, Figure};

fn sheet(tank: &str) -> Sheet {
    sheet_by(&rules(), tank)
}

fn sheet_by(rules: &Rules, tank: &str) -> Sheet {
    let tank = Tank::read("tank.toml", tank, rules).unwrap();
    Sheet::reckon(rules, &Catalogue::read("pumps.toml", PUMPS).unwrap(), &tank).unwrap()
}

/// Seconds, or endless for "never".
fn value(sheet: &Sheet, id: &str) -> f64 {
    match &sheet.figure(id).unwrap_or_else(|| panic!("{id}")).value {
        Value::One(value) => value.si,
        Value::Words(words) if words == "never" => f64::INFINITY,
        Value::Words(words) if words == "at once" => 0.0,
        other => panic!("{id} is {other:?}"),
    }
}

fn text(sheet: &Sheet, id: &str) -> String {
    sheet.figure(id).unwrap_or_else(|| panic!("{id}")).text().replace('\u{a0}', " ")
}

/// The card of steps: when and what.
fn card(sheet: &Sheet) -> Vec<(String, String)> {
    let words = |cell: &Cell| match cell {
        Cell::Words(words) => words.clone(),
        Cell::Figure(figure) => figure.text(),
    };
    let rows = sheet.tables["power_cut_steps"].rows.iter();
    rows.map(|row| (words(&row.head).replace('\u{a0}', " "), words(&row.cells[0]).replace('\u{a0}', " ")))
        .collect()
}

fn step<'a>(card: &'a [(String, String)], begins: &str) -> &'a (String, String) {
    card.iter()
        .find(|(_, what)| what.starts_with(begins))
        .unwrap_or_else(|| panic!("no step {begins:?} in {card:?}"))
}

#[test]
fn a_feeding_in_the_file_that_outlasts_the_oxygen_is_told() {
    let warns = |fish: u32, minutes: u32| {
        let sheet =
            sheet(&format!("{}\n[[feeding]]\nat = \"18:00\"\npause = \"{minutes} min\"\n", crowded(fish)));
        let pause =
            sheet.figure("power_cut.feeding_pause").map(|_| value(&sheet, "power_cut.feeding_pause") / 60.0);
        (pause, sheet.figure("power_cut.warns").map(Figure::text))
    };
    assert_eq!(warns(1, 10).1, None);
    let fish = (1..119).find(|fish| warns(*fish, 1).0.is_some_and(|pause| pause < 10.0)).unwrap();
    let longest = warns(fish, 1).0.unwrap() as u32;
    assert_eq!(warns(fish, longest).1, None);
    assert!(warns(fish, longest + 1).1.unwrap().contains("longer than the oxygen bears"));
    assert!(warns(119, 1).1.unwrap().contains("bears no rest"));
}

/// At a fifth of full: 1 W + 9 W × 0.008 by the law, 10 W − 8.928 W saved. Counted with the least share of
/// the saving.
#[test]
fn the_settings_of_the_pump_with_a_socket_are_reckoned_with_what_the_converter_loses() {
    let (rules, sheet) = (rules(), sheet(TANK));
    assert!(
        text(&sheet, "power_cut.pump").starts_with("the pump called left at "),
        "{}",
        text(&sheet, "power_cut.pump")
    );
    let lowest = sheet.tables["power_cut_settings"].rows.last().unwrap();
    let number = |at: usize| match &lowest.cells[at] {
        Cell::Figure(figure) => match figure.value {
            Value::One(value) => value.si,
            ref other => panic!("{other:?}"),
        },
        other => panic!("{other:?}"),
    };
    let draw = 10.0 - 8.928 * rules.power.saving_made.low.0;
    assert!((number(1) - draw).abs() < 1e-9);
    let stored = rules.power.stored(Chemistry::LithiumIronPhosphate).low.0;
    let hours = 300.0 * stored / (draw / rules.power.conversion.low.0);
    assert!((number(2) / 3600.0 - hours).abs() < 1e-9);
    // What is printed never promises more.
    let text = text(&sheet, "power_cut.battery_lasts");
    let printed: f64 = text.split(' ').next().unwrap().parse().unwrap();
    assert!(text.ends_with('h') && printed * 3600.0 <= value(&sheet, "power_cut.battery_lasts"), "{text}");
}

/// An inverter takes its own share all the time, and runs pumps without a socket too: 300 Wh last far less
/// than three days.
#[test]
fn an_inverter_shortens_the_hours_and_runs_any_pump() {
    let direct = sheet(TANK);
    let through = TANK.replace("phosphate\" }", "phosphate\", output = \"inverter\" }");
    let inverter = sheet(&through);
    assert!(value(&inverter, "power_cut.battery_lasts") < value(&direct, "power_cut.battery_lasts"));
    let given = sheet(&through.replace("\"inverter\" }", "\"inverter\", idle = \"5 W\" }"));
    let rules = rules();
    let draw = value(&given, "power_cut.draw");
    let hours = 300.0 * rules.power.stored(Chemistry::LithiumIronPhosphate).low.0
        / (draw / rules.power.conversion.low.0 + 5.0);
    assert!((value(&given, "power_cut.battery_lasts") / 3600.0 - hours).abs() < 1e-9);
    let plain =
        TANK.replace("{ name = \"left\", model = \"Dial\", wall = \"left\", height = \"30 cm\" },", "");
    assert_eq!(text(&sheet(&plain), "power_cut.pump"), "nothing");
    let plain =
        through.replace("{ name = \"left\", model = \"Dial\", wall = \"left\", height = \"30 cm\" },", "");
    assert_eq!(text(&sheet(&plain), "power_cut.pump"), "the pump called right");
}

/// The animals are kept longer by all pumps together than by one of them.
#[test]
fn a_battery_that_is_large_enough_for_all_pumps_runs_them_all() {
    let both = TANK.replace("model = \"Plain\"", "model = \"Dial\"");
    let large = both.replace("300 Wh\", chemistry", "50 kWh\", output = \"inverter\", chemistry");
    let large = crowd_of(&large, 9);
    assert_eq!(text(&sheet(&large), "power_cut.on_battery"), "all its pumps together");
}

#[test]
fn a_feeding_pauses_for_as_long_as_the_rule_says_where_the_oxygen_bears_it() {
    assert!((value(&sheet(TANK), "power_cut.feeding_pause") / 60.0 - 10.0).abs() < 1e-9);
}

#[test]
fn whatever_moves_the_water_at_once_comes_before_food_and_generators() {
    let air = TANK.replace(
        "battery = {",
        "air_pump = { air = \"60 L/h\", depth = \"20 cm\", lasts = \"20 h\" }\nbattery = {",
    );
    let bare = TANK[..TANK.find("pump = [").unwrap()].replace("battery =", "# battery =");
    for text in [crowd_of(&air, 9), crowd_of(&bare, 119)] {
        let card = card(&sheet(&text));
        let at =
            |begins: &str| card.iter().position(|(when, what)| when == "At once" && what.starts_with(begins));
        let moves: Vec<_> =
            ["See that", "Switch on the air pump", "Move the surface"].into_iter().filter_map(at).collect();
        assert!(
            !moves.is_empty() && moves.iter().all(|moves| *moves < at("Do not feed").unwrap()),
            "{card:?}"
        );
    }
}

#[test]
fn a_battery_without_a_pump_waits_for_one() {
    let text = TANK.replace("300 Wh\", chemistry", "300 Wh\", output = \"inverter\", chemistry");
    let at = text.find("pump = [").unwrap();
    let sheet = sheet(&text[..at]);
    let card = card(&sheet);
    assert!(step(&card, "The battery has no pump to run yet").1.contains("Once one hangs"));
    assert!(sheet.lacking("power_cut.on_battery").unwrap().contains("no pump hangs yet"));
}

/// The advised setting is the best of all: no row of the table keeps the animals out of danger for longer.
#[test]
fn the_advised_setting_is_the_best_of_the_table() {
    for grams in ["20 g", "60 g", "300 g"] {
        let sheet = sheet(&TANK.replace("60 g", grams));
        let best = value(&sheet, "power_cut.danger_worst");
        for row in &sheet.tables["power_cut_settings"].rows {
            let Cell::Figure(danger) = &row.cells[4] else { panic!("a figure") };
            let Value::One(time) = danger.value else { continue };
            assert!(time.si <= best + 1e-6, "{grams}: {} s at {}", time.si, danger.id);
        }
    }
}

#[test]
fn a_battery_of_the_needed_size_is_enough() {
    let rules = rules();
    let sparse = TANK
        .replace("count = 2, mass = \"60 g\"", "count = 1, mass = \"10 g\"")
        .replace("pump = [", "sump = { water = \"40 L\" }\npump = [");
    let before = sheet(&sparse.replace("300 Wh", "20 Wh"));
    assert_eq!(
        (text(&before, "power_cut.enough"), text(&before, "power_cut.enough_because")),
        ("no".into(), "the battery is empty too soon".into())
    );
    let needed = value(&before, "power_cut.needed_lithium_iron_phosphate") / 3600.0;
    let after = sheet(&sparse.replace("300 Wh", &format!("{} Wh", needed.ceil())));
    assert!(value(&after, "power_cut.danger_worst") >= rules.power_cut.wanted.si());
    assert_eq!(text(&after, "power_cut.enough"), "yes");
}

/// Fish of 120 g in 155 L without a sump: at the worst no stream of one pump brings enough, and no battery is
/// told to be large enough.
#[test]
fn where_no_pump_holds_the_oxygen_no_battery_is_recommended() {
    let sheet = sheet(TANK);
    assert_eq!(
        text(&sheet, "power_cut.enough_because"),
        "at the worst what runs brings in too little, however long it runs"
    );
    assert!(
        sheet.figure("power_cut.needed_lead_acid").is_none()
            && !sheet.tables.contains_key("power_cut_needed")
    );
    assert!(
        sheet
            .lacking("power_cut_needed")
            .unwrap()
            .starts_with("None of its pumps, on a battery and at any setting, keeps the animals of Test")
    );
}

#[test]
fn a_tank_without_pumps_battery_or_fish_has_a_card_all_the_same() {
    let bare = "name = \"Bare\"\nlivestock = { now = \"soft\" }\nglass = { shape = \"box\", length = \"90 cm\", width = \"45 cm\", height = \"45 cm\", \
                pane = \"8 mm\" }\n";
    let sheet = sheet(bare);
    assert_eq!(text(&sheet, "power_cut.pump"), "nothing");
    // What a battery would have to be is told for the pumps of its plan, if there are any.
    assert!(sheet.figure("power_cut.load_runs").is_none_or(|runs| runs.text().contains("of the plan")));
    for lacks in
        ["power_cut.battery_lasts", "power_cut_settings", "power_cut.on_battery", "power_cut.air.flow"]
    {
        assert!(
            sheet.lacking(lacks).is_some_and(|why| why.contains("Bare") || why.contains("file")),
            "{lacks}"
        );
    }
    assert!(card(&sheet).iter().all(|(_, what)| !what.contains("battery runs") && !what.contains("lid")));
}

/// It was told "enough: yes", and the first jug after 27 h, while ten fish had little more than an hour.
#[test]
fn the_stocked_bow_front_is_not_told_that_its_battery_is_enough() {
    let tank = tank(
        "Stocked Bow",
        "shape = \"bow_front\", length = \"120 cm\", width = \"45 cm\", middle_width = \"60 cm\", height = \"60 cm\", pane = \"10 mm\"",
        &format!(
            "livestock = {{ now = \"fish_only\" }}\nfish = [{{ name = \"Fish\", count = 10, mass = \"150 g\" }}]\n{CUT_PUMP}battery = {{ energy = \
             \"300 Wh\", chemistry = \"lithium-iron-phosphate\" }}"
        ),
    );
    let sheet = sheet(&tank);
    assert_eq!(text(&sheet, "power_cut.enough"), "no");
    let card = card(&sheet);
    let (when, what) = step(&card, "Move the surface by hand");
    assert_eq!(when, "At once", "{what}");
    assert!(what.contains("without a break"), "{what}");
    assert!(value(&sheet, "power_cut.danger_worst") < 2.0 * 3600.0);
}

/// Two gobies of 3 g were its whole demand: 22 mg/h. A reef of this floor breathes twenty times as much.
#[test]
fn the_coral_tank_with_two_gobies_breathes_as_a_reef() {
    let tank = tank(
        "Coral Garden",
        "shape = \"box\", length = \"130 cm\", width = \"55 cm\", height = \"65 cm\", pane = \"12 mm\"",
        "livestock = { now = \"small_polyp\" }\nfish = [{ name = \"Goby\", count = 2, mass = \"3 g\" }]",
    );
    let sheet = sheet(&tank);
    let milligrams = value(&sheet, "oxygen.demand_worst") * 3600.0 * 1e6;
    assert!(milligrams > 400.0, "{milligrams} mg/h");
    assert!(value(&sheet, "power_cut.danger_worst") < 8.0 * 3600.0);
    assert_eq!(text(&sheet, "power_cut.enough"), "no");
    assert_eq!(
        text(&sheet, "power_cut.enough_because"),
        "nothing runs, and at the worst the oxygen does not last that long"
    );
}

/// Its book said that it has a battery of 300 Wh, and to see that the battery has taken over.
#[test]
fn the_tank_without_a_battery_is_told_of_none() {
    let sheet = sheet(
        &TANK.replace("battery = { energy = \"300 Wh\", chemistry = \"lithium-iron-phosphate\" }\n", ""),
    );
    assert_eq!(text(&sheet, "power_cut.pump"), "nothing");
    assert!(sheet.figure("power.battery").is_none() && sheet.figure("power_cut.battery_lasts").is_none());
    let card = card(&sheet);
    assert!(
        !card.iter().any(|(_, what)| what.contains("battery runs") || what.contains("charge the battery")),
        "{card:?}"
    );
    let why = sheet.lacking("power_cut_settings").unwrap();
    assert_eq!(
        why,
        "The file of Test names no battery for a pump, so none is counted on when the power fails. A battery goes under [battery]."
    );
}

/// It was told to pour "every 15 minutes" and that it had 14: one jug would have been poured.
#[test]
fn the_first_reef_is_told_how_long_and_how_often_to_pour() {
    let tank = tank(
        "First",
        "shape = \"box\", length = \"90 cm\", width = \"45 cm\", height = \"45 cm\", pane = \"8 mm\", fill_line = \"3 cm\"",
        "livestock = { now = \"soft\" }\nsump = { water = \"40 L\" }\nfish = [{ name = \"Clownfish\", count = 2, mass = \"12 g\" }]",
    );
    let sheet = sheet(&tank);
    let card = card(&sheet);
    let (_, what) = step(&card, "Move the surface by hand");
    match sheet.figure("power_cut.pour_for") {
        Some(pour) => {
            let (pour, every) = (pour.text().replace('\u{a0}', " "), text(&sheet, "power_cut.pour_every"));
            assert!(
                what.starts_with(&format!(
                    "Move the surface by hand, for {pour} in every {every}: dip a clean jug of about 2 L (0.53 US gal) by its handle"
                )),
                "{what}"
            );
            assert!(value(&sheet, "power_cut.pour_for") < value(&sheet, "power_cut.pour_every"));
        }
        None => assert!(what.starts_with("Move the surface by hand, without a break"), "{what}"),
    }
    assert!(what.contains("battery, UPS and inverter too"), "{what}");
    assert!(value(&sheet, "power_cut.danger_worst") > value(&sheet, "power_cut.aim_worst"));
}

/// Without a fish in its file the hours vanished from its book. And without sump or skimmer it starts lower.
#[test]
fn the_nano_without_fish_or_sump_has_hours_and_starts_lower() {
    let glass = "shape = \"box\", length = \"30 cm\", width = \"30 cm\", height = \"30 cm\", pane = \"5 mm\", fill_line = \"2 cm\"";
    let nano = tank("Nano", glass, "livestock = { now = \"soft\" }");
    let (plain, skimmed) = (sheet(&nano), sheet(&format!("{nano}skimmer = {{}}\n")));
    assert!(value(&plain, "power_cut.danger_worst").is_finite());
    assert!(value(&plain, "power_cut.danger_worst") < value(&skimmed, "power_cut.danger_worst"));
    let start = |sheet: &Sheet| match sheet.figure("oxygen.start").unwrap().value {
        Value::Range(low, _) => low.si,
        ref other => panic!("{other:?}"),
    };
    assert!(start(&plain) < start(&skimmed));
    // What it holds at the worst is below what one aims for already: hands begin at once.
    assert_eq!(text(&plain, "power_cut.act_by"), "at once");
    assert_eq!(step(&card(&plain), "Move the surface by hand").0, "At once");
}

/// A generator is told with a distance, an alarm, and the gas that nobody smells.
#[test]
fn every_card_warns_of_generators_and_of_hands_in_the_water() {
    for tank in [
        TANK.to_owned(),
        TANK.replace("battery = ", "lid = true\nbattery_ = ").replace(
            "lid = true\nbattery_ = { energy = \"300 Wh\", chemistry = \"lithium-iron-phosphate\" }\n",
            "",
        ),
    ] {
        let card = card(&sheet(&tank));
        let (when, what) = step(&card, "If you run a generator");
        assert_eq!(when, "At once");
        assert!(what.contains("6.1 m (20 ft) or more") && what.contains("carbon monoxide alarm"), "{what}");
    }
}

#[test]
fn a_backup_that_would_do_if_it_lasted_is_told_from_one_that_brings_too_little() {
    let because = |air: &str, lasts: &str| {
        let more = format!("air_pump = {{ air = \"{air}\", depth = \"30 cm\", lasts = \"{lasts}\" }}\n");
        let tank = TANK
            .replace("battery = { energy = \"300 Wh\", chemistry = \"lithium-iron-phosphate\" }\n", &more);
        text(&sheet(&tank), "power_cut.enough_because")
    };
    let words = rules().words.power_cut.clone();
    assert_eq!(because("2000 L/h", "14 days"), words.stays_above_danger());
    assert_eq!(because("2000 L/h", "10 min"), words.battery_too_small());
    assert_eq!(because("5 L/h", "14 days"), words.brings_too_little());
}

#[test]
fn where_the_oxygen_does_not_bear_a_minute_hands_are_due_at_once() {
    let sheet = sheet(&crowd_of(TANK, 400));
    let card = card(&sheet);
    assert!(
        card.iter().any(|(_, what)| what.contains("If it has not started, move the surface by hand at once")),
        "{card:?}"
    );
}

#[test]
fn the_stone_of_the_example_lies_no_deeper_than_the_water() {
    let depth = |tank: &str| value(&sheet(tank), "power_cut.example_depth");
    assert!((depth(TANK) - rules().oxygen.backup_depth.si()).abs() < 1e-12);
    // 14 cm of glass less a pane of 8 mm and the 3 cm at the top.
    let shallow = TANK.replace("height = \"45 cm\"", "height = \"14 cm\"").replace("30 cm\" }", "8 cm\" }");
    assert!((depth(&shallow) - 0.102).abs() < 1e-9, "{}", depth(&shallow));
}
