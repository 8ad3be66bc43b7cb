use proptest::prelude::*;

use super::*;
use crate::quantity::parse;
use crate::sheet::{Cell, Figure, Sheet, Value};
use crate::tank::Chemistry;

const PUMPS: &str = r#"
currency = "USD"
[[pump]]
model = "Dial"
kind = "round-controllable"
rated_flow = "4000 L/h"
lowest_setting = "20 %"
outlet = "5 cm"
power = "10 W"
standing_draw = "1 W"
sound = "34 dB"
price = "150 USD"
wet_end_price = "50 USD"
shaft = "ceramic"
battery_socket = true
[[pump]]
model = "Plain"
kind = "round-fixed"
rated_flow = "1000 L/h"
outlet = "3 cm"
power = "1 W"
sound = "30 dB"
price = "30 USD"
wet_end_price = "10 USD"
shaft = "ceramic"
"#;

const TANK: &str = r#"
name = "Test"
glass = { shape = "box", length = "90 cm", width = "45 cm", height = "45 cm", pane = "8 mm", fill_line = "3 cm" }
livestock = { now = "soft" }
battery = { energy = "300 Wh", chemistry = "lithium-iron-phosphate" }
fish = [{ name = "Tang", count = 2, mass = "60 g" }]
pump = [
    { name = "left", model = "Dial", wall = "left", height = "30 cm" },
    { name = "right", model = "Plain", wall = "right", height = "30 cm" },
]
"#;

fn rules() -> Rules {
    Rules::compiled_in().unwrap()
}

fn sheet(tank: &str) -> Sheet {
    let (rules, tank) = (rules(), Tank::read("tank.toml", tank, &rules()).unwrap());
    Sheet::reckon(&rules, &Catalogue::read("pumps.toml", PUMPS).unwrap(), &tank).unwrap()
}

/// A tank in which so much breathes that the oxygen is what holds its pauses.
fn crowded(fish: u32) -> String {
    crowd_of(TANK, fish)
}

#[test]
fn no_feeding_pause_outlasts_the_oxygen() {
    let pause = |sheet: &Sheet| sheet.figure("power_cut.feeding_pause").map(|_| value(sheet, "power_cut.feeding_pause") / 60.0);
    assert_eq!(pause(&sheet(TANK)), Some(10.0));
    let mut pauses = Vec::new();
    for fish in (1..120).step_by(7) {
        let tank = Tank::read("tank.toml", &crowded(fish), &rules()).unwrap();
        let rules = rules();
        let chain = Chain::new(&rules, &tank).unwrap();
        let full = Chain { start: Band { low: chain.start.high, high: chain.start.high }, ..chain.clone() };
        let half = |chain: &Chain<'_>, limit| chain.until(limit, Case::Worst, &[]).unwrap().seconds() / 60.0 / 2.0;
        let pause = chain.feeding_pause().unwrap().map_or(0.0, |pause| pause.si() / 60.0);
        assert!(pause <= 10.0 && pause <= half(&full, Limit::Aim) && pause <= half(&chain, Limit::Danger), "{fish} fish: {pause} min");
        // Nor is it shorter than it must be.
        assert!(pause + 1.0 > half(&full, Limit::Aim).min(half(&chain, Limit::Danger)).min(10.0), "{fish} fish: {pause} min");
        pauses.push(pause);
    }
    assert!(pauses.windows(2).all(|pair| pair[0] >= pair[1]), "{pauses:?}");
    assert!(pauses[0] > 9.5 && pauses.iter().any(|pause| (1.0..10.0).contains(pause)) && pauses.ends_with(&[0.0]), "{pauses:?}");
}

#[test]
fn a_suggested_programme_keeps_to_the_feeding_pause() {
    let (rules, catalogue) = (rules(), Catalogue::read("pumps.toml", PUMPS).unwrap());
    let pauses = |fish| {
        let tank = Tank::read("tank.toml", &crowded(fish), &rules).unwrap();
        let longest = Chain::new(&rules, &tank).unwrap().feeding_pause().unwrap().map(|pause| pause.si() / 60.0);
        let programme = crate::programme::of(&rules, &catalogue, &tank).unwrap();
        (longest, programme.feedings.iter().map(|feeding| f64::from(feeding.pause)).collect::<Vec<_>>())
    };
    let (longest, told) = pauses(1);
    assert_eq!((longest, told), (Some(10.0), vec![10.0]));
    assert_eq!(pauses(119), (None, vec![]));
    let shorter = (1..119).map(pauses).find(|(longest, _)| longest.is_some_and(|longest| longest < 10.0)).unwrap();
    assert_eq!(shorter.1, vec![shorter.0.unwrap()]);
}

#[test]
fn a_feeding_in_the_file_that_outlasts_the_oxygen_is_told() {
    let warns = |fish: u32, minutes: u32| {
        let sheet = sheet(&format!("{}\n[[feeding]]\nat = \"18:00\"\npause = \"{minutes} min\"\n", crowded(fish)));
        let pause = sheet.figure("power_cut.feeding_pause").map(|_| value(&sheet, "power_cut.feeding_pause") / 60.0);
        (pause, sheet.figure("power_cut.warns").map(Figure::text))
    };
    assert_eq!(warns(1, 10).1, None);
    let fish = (1..119).find(|fish| warns(*fish, 1).0.is_some_and(|pause| pause < 10.0)).unwrap();
    let longest = warns(fish, 1).0.unwrap() as u32;
    assert_eq!(warns(fish, longest).1, None);
    assert!(warns(fish, longest + 1).1.unwrap().contains("longer than the oxygen bears"));
    assert!(warns(119, 1).1.unwrap().contains("bears no rest"));
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
    rows.map(|row| (words(&row.head).replace('\u{a0}', " "), words(&row.cells[0]).replace('\u{a0}', " "))).collect()
}

fn step<'a>(card: &'a [(String, String)], begins: &str) -> &'a (String, String) {
    card.iter().find(|(_, what)| what.starts_with(begins)).unwrap_or_else(|| panic!("no step {begins:?} in {card:?}"))
}

/// At a fifth of full: 1 W + 9 W × 0.008 by the law, 10 W − 8.928 W saved. Counted with the least share of the saving.
#[test]
fn the_settings_of_the_pump_with_a_socket_are_reckoned_with_what_the_converter_loses() {
    let (rules, sheet) = (rules(), sheet(TANK));
    assert!(text(&sheet, "power_cut.pump").starts_with("the pump called left at "), "{}", text(&sheet, "power_cut.pump"));
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

/// An inverter takes its own share all the time, and runs pumps without a socket too: 300 Wh last far less than three days.
#[test]
fn an_inverter_shortens_the_hours_and_runs_any_pump() {
    let direct = sheet(TANK);
    let through = TANK.replace("phosphate\" }", "phosphate\", output = \"inverter\" }");
    let inverter = sheet(&through);
    assert!(value(&inverter, "power_cut.battery_lasts") < value(&direct, "power_cut.battery_lasts"));
    let given = sheet(&through.replace("\"inverter\" }", "\"inverter\", idle = \"5 W\" }"));
    let rules = rules();
    let draw = value(&given, "power_cut.draw");
    let hours = 300.0 * rules.power.stored(Chemistry::LithiumIronPhosphate).low.0 / (draw / rules.power.conversion.low.0 + 5.0);
    assert!((value(&given, "power_cut.battery_lasts") / 3600.0 - hours).abs() < 1e-9);
    let plain = TANK.replace("{ name = \"left\", model = \"Dial\", wall = \"left\", height = \"30 cm\" },", "");
    assert_eq!(text(&sheet(&plain), "power_cut.pump"), "nothing");
    let plain = through.replace("{ name = \"left\", model = \"Dial\", wall = \"left\", height = \"30 cm\" },", "");
    assert_eq!(text(&sheet(&plain), "power_cut.pump"), "the pump called right");
}

/// The advised setting is the best of all: no row of the table keeps the animals out of danger for longer.
/// Two alike pumps stir twice as much as one and draw twice as much; an inverter feeds both where that serves the animals better.
#[test]
fn an_inverter_runs_all_pumps_together_where_that_keeps_the_animals_longer() {
    let both = TANK.replace("model = \"Plain\"", "model = \"Dial\"");
    let rules = rules();
    let catalogue = Catalogue::read("pumps.toml", PUMPS).unwrap();
    let tank = Tank::read("tank.toml", &both, &rules).unwrap();
    let inverter = Output::Inverter { idle: None };
    let on_offer = candidates(&tank, &catalogue, inverter, &rules).unwrap();
    let at_full = |name: &str| on_offer.iter().find(|on| on.pump == name && on.setting.is_some_and(|setting| setting.0 >= 1.0)).unwrap();
    let (one, all) = (at_full("the pump called left"), at_full("all its pumps together"));
    let twice = |all: Power, one: Power| ((all / one).si() - 2.0).abs() < 1e-9;
    assert!(twice(all.draw, one.draw) && twice(all.stirring, one.stirring));
    assert!(candidates(&tank, &catalogue, Output::Direct, &rules).unwrap().iter().all(|on| on.pump != "all its pumps together"));
    // A battery that is large enough for both runs both.
    let large = both.replace("300 Wh\", chemistry", "50 kWh\", output = \"inverter\", chemistry");
    let large = crowd_of(&large, 9);
    assert_eq!(text(&sheet(&large), "power_cut.on_battery"), "all its pumps together");
}

/// The same tank with so many fish of 200 g.
fn crowd_of(tank: &str, fish: u32) -> String {
    tank.replace("count = 2, mass = \"60 g\"", &format!("count = {fish}, mass = \"200 g\""))
}

#[test]
fn whatever_moves_the_water_at_once_comes_before_food_and_generators() {
    let air = TANK.replace("battery = {", "air_pump = { air = \"60 L/h\", depth = \"20 cm\", lasts = \"20 h\" }\nbattery = {");
    let bare = TANK[..TANK.find("pump = [").unwrap()].replace("battery =", "# battery =");
    for text in [crowd_of(&air, 9), crowd_of(&bare, 119)] {
        let card = card(&sheet(&text));
        let at = |begins: &str| card.iter().position(|(when, what)| when == "At once" && what.starts_with(begins));
        let moves: Vec<_> = ["See that", "Switch on the air pump", "Move the surface"].into_iter().filter_map(at).collect();
        assert!(!moves.is_empty() && moves.iter().all(|moves| *moves < at("Do not feed").unwrap()), "{card:?}");
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

/// Fish of 120 g in 155 L without a sump: at the worst no stream of one pump brings enough, and no battery is told to be large enough.
#[test]
fn where_no_pump_holds_the_oxygen_no_battery_is_recommended() {
    let sheet = sheet(TANK);
    assert_eq!(text(&sheet, "power_cut.enough_because"), "at the worst what runs brings in too little, however long it runs");
    assert!(sheet.figure("power_cut.needed_lead_acid").is_none() && !sheet.tables.contains_key("power_cut_needed"));
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
    for lacks in ["power_cut.battery_lasts", "power_cut_settings", "power_cut.on_battery", "power_cut.air.flow"] {
        assert!(sheet.lacking(lacks).is_some_and(|why| why.contains("Bare") || why.contains("file")), "{lacks}");
    }
    assert!(card(&sheet).iter().all(|(_, what)| !what.contains("battery runs") && !what.contains("lid")));
}

// The tanks of which the book once said something false or dangerous, each with what it is told now.

fn tank(name: &str, glass: &str, rest: &str) -> String {
    format!("name = \"{name}\"\nglass = {{ {glass} }}\n{rest}\n")
}

const CUT_PUMP: &str = "pump = [{ name = \"left\", model = \"Dial\", wall = \"left\", height = \"20 cm\" }]\n";

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
    assert_eq!(text(&sheet, "power_cut.enough_because"), "nothing runs, and at the worst the oxygen does not last that long");
}

/// Its book said that it has a battery of 300 Wh, and to see that the battery has taken over.
#[test]
fn the_tank_without_a_battery_is_told_of_none() {
    let sheet = sheet(&TANK.replace("battery = { energy = \"300 Wh\", chemistry = \"lithium-iron-phosphate\" }\n", ""));
    assert_eq!(text(&sheet, "power_cut.pump"), "nothing");
    assert!(sheet.figure("power.battery").is_none() && sheet.figure("power_cut.battery_lasts").is_none());
    let card = card(&sheet);
    assert!(!card.iter().any(|(_, what)| what.contains("battery runs") || what.contains("charge the battery")), "{card:?}");
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
        TANK.replace("battery = ", "lid = true\nbattery_ = ")
            .replace("lid = true\nbattery_ = { energy = \"300 Wh\", chemistry = \"lithium-iron-phosphate\" }\n", ""),
    ] {
        let card = card(&sheet(&tank));
        let (when, what) = step(&card, "If you run a generator");
        assert_eq!(when, "At once");
        assert!(what.contains("6.1 m (20 ft) or more") && what.contains("carbon monoxide alarm"), "{what}");
    }
}

/// The whole grid of tanks, life, warmth and backups: what is promised holds, and moves the way it must.
#[test]
fn on_a_grid_of_tanks_the_chain_is_safe_and_moves_the_right_way() {
    let rules = rules();
    let catalogue = Catalogue::read("pumps.toml", PUMPS).unwrap();
    let glasses = [
        "shape = \"box\", length = \"30 cm\", width = \"30 cm\", height = \"30 cm\", pane = \"5 mm\"",
        "shape = \"box\", length = \"90 cm\", width = \"45 cm\", height = \"45 cm\", pane = \"8 mm\"",
        "shape = \"cylinder\", diameter = \"70 cm\", height = \"70 cm\", pane = \"12 mm\"",
        "shape = \"box\", length = \"200 cm\", width = \"70 cm\", height = \"70 cm\", pane = \"15 mm\"",
    ];
    let backups = [
        "",
        "air_pump = { air = \"60 L/h\", depth = \"20 cm\", lasts = \"20 h\" }\n",
        "battery = { energy = \"300 Wh\", chemistry = \"lithium-iron-phosphate\" }\n",
        "battery = { energy = \"300 Wh\", chemistry = \"lead-acid\", output = \"inverter\" }\n",
        "battery = { energy = \"2 kWh\", chemistry = \"lithium-iron-phosphate\" }\nair_pump = { air = \"60 L/h\", depth = \"20 cm\", lasts = \"20 h\" }\n",
    ];
    let kinds = ["fish_only", "soft", "large_polyp", "small_polyp", "small_polyp_strong"];
    let masses = ["", "5 g", "60 g", "500 g"];
    let degrees = ["22 °C", "26 °C", "30 °C"];
    let (mut tried, mut rose) = (0, 0);
    // Time until danger at the worst, by where in the grid.
    let mut danger = std::collections::BTreeMap::new();
    for (g, glass) in glasses.iter().enumerate() {
        for (b, backup) in backups.iter().enumerate() {
            for (k, kind) in kinds.iter().enumerate() {
                for (m, mass) in masses.iter().enumerate() {
                    for (d, degrees) in degrees.iter().enumerate() {
                        let fish = if mass.is_empty() {
                            String::new()
                        } else {
                            format!("fish = [{{ name = \"Fish\", count = 3, mass = \"{mass}\" }}]\n")
                        };
                        let text = tank(
                            "Grid",
                            glass,
                            &format!(
                                "livestock = {{ now = \"{kind}\" }}\nwater = {{ temperature = \"{degrees}\" }}\n{fish}{backup}{CUT_PUMP}"
                            ),
                        );
                        let tank = Tank::read("grid.toml", &text, &rules).unwrap();
                        let chain = Chain::new(&rules, &tank).unwrap();
                        let backup = Backup::of(&chain, &tank, &catalogue).unwrap();
                        let running = backup.running();
                        let until = |limit, case, running: &[Running]| chain.until(limit, case, running).unwrap().seconds();
                        let (aim, worst) = (until(Limit::Aim, Case::Worst, &running), until(Limit::Danger, Case::Worst, &running));
                        // Enough is said only where the oxygen at the worst outlasts the cut.
                        let (enough, _) = sheet::enough(&chain, &running, false).unwrap();
                        let left = chain.course(Case::Worst, &running).unwrap().after(*rules.power_cut.wanted).unwrap();
                        assert_eq!(enough == "yes", worst >= rules.power_cut.wanted.si(), "{text}");
                        assert!(enough == "no" || left >= *rules.oxygen.danger_limit * (1.0 - 1e-9), "{text}: {left:?} left");
                        // Hands come before danger.
                        let hands = aim * rules.power_cut.act_share.0;
                        assert!(
                            hands < worst || worst <= 0.0 || worst.is_infinite(),
                            "{text}: hands after {hands} s, danger after {worst} s"
                        );
                        // The cases are in their order, and whatever runs is never worse than nothing.
                        for limit in Limit::ALL {
                            let at = |case| until(limit, case, &running);
                            assert!(at(Case::Worst) <= at(Case::Likely) && at(Case::Likely) <= at(Case::Best), "{text}");
                            assert!(until(limit, Case::Worst, &[]) <= at(Case::Worst) + 1e-6, "{text}");
                        }
                        // More stirring never leaves less time, and somewhere more.
                        if b == 0 {
                            let stirred = [1e-3, 1e-2, 0.1, 1.0].map(|watts| {
                                let brings = Brings::Stirring(Power::from_si(watts));
                                until(Limit::Danger, Case::Worst, &[Running { lasts: *rules.power_cut.wanted, brings }])
                            });
                            assert!(stirred.is_sorted(), "{text}: {stirred:?}");
                            rose += usize::from(stirred[3] > stirred[0]);
                        }
                        danger.insert((g, b, k, m, d), worst);
                        tried += 1;
                    }
                }
            }
        }
    }
    assert_eq!(tried, 4 * 5 * 5 * 4 * 3);
    assert!(rose > 200, "{rose} of 240 tanks gain by stirring");
    let falls = |name: &str, from: (usize, usize, usize, usize, usize), to: (usize, usize, usize, usize, usize)| {
        let (before, after) = (danger[&from], danger[&to]);
        assert!(after <= before * (1.0 + 1e-9), "{name}: {from:?} has {before} s, {to:?} {after} s");
        after < before
    };
    let mut fell = [0; 3];
    for key @ (g, b, k, m, d) in danger.keys().copied() {
        fell[0] += usize::from(m > 0 && falls("more fish", (g, b, k, m - 1, d), key));
        fell[1] += usize::from(k > 0 && falls("more coral", (g, b, k - 1, m, d), key));
        fell[2] += usize::from(d > 0 && falls("more warmth", (g, b, k, m, d - 1), key));
    }
    // And they really fall, but where the fish's share, the reef or the surface decides alone.
    assert!(fell[0] > 400 && fell[1] > 400 && fell[2] > 400, "{fell:?}");
}

fn hours(hours: f64) -> Time {
    Time::from_si(hours * 3600.0)
}

fn situation(aim: Option<f64>) -> Situation {
    Situation {
        lid: true,
        idle_battery: false,
        fish: true,
        return_line: true,
        residual_current: false,
        pump: None,
        inverter: false,
        air: None,
        jug: parse("2 L").unwrap(),
        aim: aim.map(hours),
        danger: aim.map(|aim| hours(2.0 * aim)),
        hands: aim.map(|aim| (hours(0.5 * aim), Pouring::Spells { pour: parse("6 min").unwrap(), every: parse("12 min").unwrap() })),
        still_hands: aim.map(|aim| (hours(0.25 * aim), Pouring::WithoutBreak)),
        danger_poured: aim.map(|aim| hours(3.0 * aim)),
    }
}

#[test]
fn hands_move_the_water_by_half_of_the_time() {
    let rules = rules().power_cut;
    let steps = steps(&situation(Some(4.0)), &rules);
    let by_hand = steps.iter().find(|step| step.what.starts_with("Move the surface by hand, for 6\u{a0}min in every 12\u{a0}min")).unwrap();
    assert_eq!(by_hand.when, When::After(hours(2.0)));
    assert!(steps.iter().any(|step| step.what.contains("return pump first")));
    assert!(steps.iter().any(|step| step.what == "Do not feed, and take the lid off"));
    assert!(steps[0].what.contains("licensed electrician"));
}

/// A battery that has not started is no battery: the card says by when hands must move the water then.
#[test]
fn who_has_a_battery_is_told_what_to_do_when_it_has_not_started() {
    let with = Situation { pump: Some("the pump called left".to_owned()), ..situation(Some(4.0)) };
    let steps = steps(&with, &rules().power_cut);
    let see = steps.iter().find(|step| step.what.starts_with("See that the battery runs the pump called left")).unwrap();
    assert!(see.what.ends_with("move the surface by hand within 60\u{a0}min, without a break, taking turns"), "{}", see.what);
    assert!(steps.iter().any(|step| step.what.ends_with("charge the battery")));
}

#[test]
fn a_tank_without_fish_is_told_of_none() {
    for hands in [None, Some((hours(1.0), Pouring::NotEnough))] {
        let told = |fish: bool| {
            let steps = steps(&Situation { fish, hands, ..situation(Some(4.0)) }, &rules().power_cut);
            steps.iter().filter(|step| step.what.to_lowercase().contains("fish")).count()
        };
        assert_eq!((told(false), told(true)), (0, 1));
    }
}

#[test]
fn where_the_surface_lets_in_enough_nobody_has_to_pour() {
    let none = Situation { return_line: false, ..situation(None) };
    let steps = steps(&none, &rules().power_cut);
    assert!(!steps.iter().any(|step| step.what.starts_with("Move the surface by hand") || step.what.contains("return pump")));
}

proptest! {
    #[test]
    fn steps_come_in_the_order_in_which_they_are_due(aim in prop::option::of(0.0..100.0), pump in prop::bool::ANY, air in prop::bool::ANY) {
        let rules = rules().power_cut;
        let situation = Situation { pump: pump.then(|| "the pump".to_owned()), air: air.then(|| hours(5.0)), ..situation(aim) };
        let steps = steps(&situation, &rules);
        prop_assert!(steps.is_sorted_by(|one, two| one.when <= two.when));
        prop_assert_eq!(steps.last().unwrap().when, When::PowerBack);
        if let (Some(aim), Some(danger)) = (situation.aim, situation.danger) {
            let moved = steps.iter().find(|step| step.what.starts_with("Move the surface by hand")).unwrap();
            let When::After(at) = moved.when else { panic!("by hand when the power is back") };
            prop_assert!(at <= aim && at <= danger);
        }
    }
}
