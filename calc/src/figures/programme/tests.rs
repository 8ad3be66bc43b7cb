use crate::decide::programme::tests::{PUMPS, RIGHT, STEADY, TANK, catalogue, rules, stretch, tank};

use super::*;

#[test]
fn the_figures_of_a_tank_with_pumps() {
    let (rules, tank) = (rules(), tank("").unwrap());
    let sheet = crate::Sheet::reckon(&rules, &catalogue(), &tank).unwrap();
    let hours = |id: &str| match sheet.figure(id).unwrap().value {
        Value::One(value) => value.si / 3600.0,
        _ => panic!("{id} is one value"),
    };
    // But for the ten minutes of the feeding, the suggested programme stays in the band of now.
    assert!((hours("programme.outside_now") - 10.0 / 60.0).abs() < 1e-9);
    assert!((hours("programme.longest_still") - 10.0 / 60.0).abs() < 1e-9);
    for figure in sheet.figures() {
        assert!(!figure.text().contains("NaN"), "{}", figure.id);
    }
    assert!(sheet.tables["programme_day"].rows.len() > 4);
}

#[test]
fn a_flow_that_falls_short_because_the_streams_are_too_hard_is_told() {
    let rules = rules();
    let short = |outlet: &str| {
        // Both ends hold a pump whose jet must be turned down for soft corals, the more so the narrower its
        // outlet.
        let jet = PUMPS.replace("outlet = \"5 cm\"", &format!("outlet = \"{outlet}\""));
        let catalogue = Catalogue::read(
            "pumps.toml",
            &jet.replace("lowest_setting = \"20 %\"", "lowest_setting = \"5 %\""),
        )
        .unwrap();
        let text = TANK.replace("model = \"Plain\"", "model = \"Dial\"");
        let sheet =
            crate::Sheet::reckon(&rules, &catalogue, &Tank::read("t.toml", &text, &rules).unwrap()).unwrap();
        (sheet.figure("programme.short").is_some(), sheet.figure("programme.most").is_some())
    };
    assert_eq!(short("5 cm"), (false, true));
    assert_eq!(short("15 mm"), (true, true));
}

#[test]
fn stirring_and_turns_are_told_only_where_they_happen() {
    let rules = rules();
    let told = |text: &str| {
        let tank = Tank::read("t.toml", text, &rules).unwrap();
        let sheet = crate::Sheet::reckon(&rules, &catalogue(), &tank).unwrap();
        (sheet.figure("programme.stir").is_some(), sheet.figure("programme.by_turns").is_some())
    };
    let home = |pillow: &str| {
        format!(
            "[home]\ncurrency = \"EUR\"\nprice_per_kwh = \"0.3 EUR\"\npillow = \"{pillow}\"\nvoltage = \"230 V\"\nbreaker = \"16 A\"\nother_load = \"0 W\"\n"
        )
    };
    // One pump of the two has one speed.
    assert_eq!(told(&format!("{TANK}{}", home("8 m"))), (true, false));
    assert_eq!(told(&format!("{TANK}{}", home("1 m"))), (false, false));
    let both = TANK.replace("\"Plain\"", "\"Dial\"");
    assert_eq!(told(&format!("{both}{}", home("8 m"))), (true, true));
    let none = TANK.replace("\"Dial\"", "\"Plain\"");
    assert_eq!(told(&format!("{none}{}", home("8 m"))), (false, false));
    // What a file lists itself is not told as if the book had made it up.
    let own = format!("{TANK}{}{RIGHT}", stretch("left", "00:00", "24:00", STEADY));
    assert_eq!(told(&format!("{own}{}", home("8 m"))), (false, false));
}

/// The values of the day's chart stand from one time to another, each time once, and cover the day.
#[test]
fn the_steps_of_the_chart_follow_each_other() {
    let (rules, tank) = (rules(), tank("").unwrap());
    let sheet = crate::Sheet::reckon(&rules, &catalogue(), &tank).unwrap();
    let steps = &sheet.charts["programme_turnover"].steps;
    assert!(
        steps.len() > 3
            && steps
                .windows(2)
                .all(|pair| pair[0].until == pair[1].from && (pair[0].y - pair[1].y).abs() > 1e-12),
        "{steps:?}"
    );
    assert_eq!((steps[0].from.as_str(), steps[steps.len() - 1].until.as_str()), ("00:00", "24:00"));
    assert!(steps.iter().any(|step| step.y == 0.0), "the feeding is one of them: {steps:?}");
}
