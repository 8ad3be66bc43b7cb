use proptest::prelude::*;

use super::*;

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

fn value(sheet: &Sheet, id: &str) -> f64 {
    match sheet.figure(id).unwrap().value {
        Value::One(value) => value.si,
        _ => panic!("{id} is one value"),
    }
}

/// At a fifth of full: 1 W + 9 W × 0.008 by the law, 10 W − 8.928 W saved. Counted with the least share of the saving.
#[test]
fn the_battery_runs_the_pump_that_has_a_socket_at_its_lowest_setting() {
    let (rules, sheet) = (rules(), sheet(TANK));
    assert_eq!(sheet.figure("power_cut.pump").unwrap().text(), "left, at its lowest setting");
    let draw = 10.0 - 8.928 * rules.power.saving_made.low.0;
    assert!((value(&sheet, "power_cut.draw") - draw).abs() < 1e-9);
    let hours = 300.0 * rules.power.usable(Chemistry::LithiumIronPhosphate).low.0 / draw;
    assert!((value(&sheet, "power_cut.battery_lasts") / 3600.0 - hours).abs() < 1e-9);
    // What is printed never promises more.
    let text = sheet.figure("power_cut.battery_lasts").unwrap().text();
    let printed: f64 = text.split('\u{a0}').next().unwrap().parse().unwrap();
    assert!(text.ends_with('h') && printed <= hours, "{text}");
}

#[test]
fn a_lower_setting_lasts_longer() {
    let sheet = sheet(TANK);
    let rows = &sheet.tables["power_cut_settings"].rows;
    assert!(rows.len() > 3);
    let lasts: Vec<f64> = rows
        .iter()
        .map(|row| match row.cells.last() {
            Some(Cell::Figure(Figure { value: Value::One(time), .. })) => time.si,
            other => panic!("{other:?}"),
        })
        .collect();
    assert!(lasts.is_sorted_by(|one, two| one < two), "{lasts:?}");
}

#[test]
fn a_battery_of_the_needed_size_lasts_the_wanted_time() {
    let (rules, before) = (rules(), sheet(TANK));
    let needed = value(&before, "power_cut.needed_lithium_iron_phosphate") / 3600.0;
    let after = sheet(&TANK.replace("300 Wh", &format!("{} Wh", needed.ceil())));
    assert!(value(&after, "power_cut.battery_lasts") >= rules.power_cut.wanted.si());
    assert_eq!(after.figure("power_cut.enough").unwrap().text(), "yes");
}

#[test]
fn a_tank_without_pumps_battery_or_fish_has_a_plan_as_far_as_it_goes() {
    let bare = "name = \"Bare\"\nlivestock = { now = \"soft\" }\nglass = { shape = \"box\", length = \"90 cm\", width = \"45 cm\", height = \"45 cm\", \
                pane = \"8 mm\" }\n";
    let sheet = sheet(bare);
    assert!(sheet.figure("power_cut.needed_lead_acid").is_some());
    assert!(sheet.figure("power_cut.battery_lasts").is_none());
    assert!(!sheet.tables.contains_key("power_cut_steps"));
}

fn hours(hours: f64) -> Option<Time> {
    Some(Time::from_si(hours * 3600.0))
}

#[test]
fn who_has_no_battery_moves_the_water_before_the_limit() {
    let rules = rules().power_cut;
    let steps = steps(Situation { growth: hours(4.0), survival: hours(9.0), stirred: None, battery: None, return_line: true }, &rules);
    let by_hand = steps.iter().find(|step| step.what.starts_with("Move the surface by hand")).unwrap();
    assert_eq!(by_hand.when, When::After(Time::from_si(4.0 * 3600.0 * rules.act_share.0)));
    assert!(steps.iter().any(|step| step.what.contains("return pump first")));
    assert!(steps[0].what.contains("licensed electrician"));
}

/// A battery is no leave to sleep: a stirred tank may run short long before it is empty.
#[test]
fn who_has_a_battery_is_told_to_watch_before_the_stirred_limit() {
    let rules = rules().power_cut;
    let situation = Situation { growth: hours(1.0), survival: hours(3.0), stirred: hours(2.0), battery: hours(80.0), return_line: true };
    let watch = steps(situation, &rules).into_iter().find(|step| step.what.starts_with("Watch the fish")).unwrap();
    assert_eq!(watch.when, When::After(Time::from_si(2.0 * 3600.0 * rules.act_share.0)));
}

#[test]
fn where_the_surface_lets_in_enough_nobody_has_to_pour() {
    let steps = steps(Situation { growth: None, survival: None, stirred: None, battery: None, return_line: false }, &rules().power_cut);
    assert!(!steps.iter().any(|step| step.what.starts_with("Move the surface by hand") || step.what.contains("return pump")));
}

proptest! {
    #[test]
    fn steps_come_in_the_order_in_which_they_are_due(growth in prop::option::of(0.1..100.0), later in 1.0..5.0, battery in prop::option::of(0.1..100.0)) {
        let rules = rules().power_cut;
        let situation = Situation {
            growth: growth.and_then(hours),
            survival: growth.and_then(|growth| hours(growth * later)),
            stirred: growth.and_then(|growth| hours(growth * 1.5)),
            battery: battery.and_then(hours),
            return_line: true,
        };
        let steps = steps(situation, &rules);
        prop_assert!(steps.is_sorted_by(|one, two| one.when <= two.when));
        prop_assert_eq!(steps.last().unwrap().when, When::PowerBack);
        // The water moves by half of the time to the limit, or a battery runs until it must.
        if let Some(growth) = growth {
            let by = growth * 3600.0 * rules.act_share.0;
            let moved = steps.iter().find(|step| step.what.starts_with("Move the surface by hand")).unwrap();
            let When::After(at) = moved.when else { panic!("by hand when the power is back") };
            prop_assert!(at.si() <= by.max(battery.unwrap_or(0.0) * 3600.0) + 1e-6);
        }
    }
}
