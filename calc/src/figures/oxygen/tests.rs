use super::*;
use crate::sheet::Value;

fn rules() -> Rules {
    Rules::compiled_in().unwrap()
}

const TANK: &str = r#"
name = "Check"
[glass]
shape = "box"
length = "90 cm"
width = "45 cm"
height = "45 cm"
pane = "8 mm"
fill_line = "3 cm"
[livestock]
now = "soft"
"#;

fn sheet(fish: &str) -> Sheet {
    let tank = Tank::read("check.toml", &format!("{TANK}{fish}"), &Rules::compiled_in().unwrap()).unwrap();
    Sheet::reckon(&rules(), &crate::Catalogue::empty(), &tank).unwrap()
}

fn seconds_of(sheet: &Sheet, id: &str) -> f64 {
    match &sheet.figure(id).unwrap_or_else(|| panic!("{id}")).value {
        Value::One(time) => time.si,
        Value::Words(words) if words == "never" => f64::INFINITY,
        Value::Words(words) if words == "at once" => 0.0,
        other => panic!("{id}: {other:?}"),
    }
}

/// Corals, rock and sand breathe whether or not the file lists a fish.
#[test]
fn a_tank_without_fish_breathes_all_the_same() {
    let (bare, with) = (sheet(""), sheet("[[fish]]\nname = \"tang\"\ncount = 3\nmass = \"80 g\"\n"));
    assert!(bare.figure("oxygen.rest").is_none() && bare.lacking("oxygen.rest").is_some());
    assert!(seconds_of(&bare, "oxygen.demand_worst") > 0.0);
    assert!(seconds_of(&bare, "oxygen.demand_worst") < seconds_of(&with, "oxygen.demand_worst"));
    assert!(seconds_of(&bare, "power_cut.still_danger_worst").is_finite());
}

#[test]
fn the_cases_come_in_their_order_and_stirring_helps() {
    let sheet = sheet("[[fish]]\nname = \"tang\"\ncount = 3\nmass = \"80 g\"\n");
    for limit in ["aim", "danger"] {
        let at = |case| seconds_of(&sheet, &format!("power_cut.still_{limit}_{case}"));
        assert!(at("worst") < at("likely") && at("likely") < at("best"), "{limit}");
    }
    // The store alone is less than what the surface adds to.
    assert!(seconds_of(&sheet, "oxygen.store") <= seconds_of(&sheet, "power_cut.still_aim_worst"));
    assert!(
        seconds_of(&sheet, "power_cut.still_aim_worst") < seconds_of(&sheet, "power_cut.still_danger_worst")
    );
    assert_eq!(sheet.figure("power_cut.still_aim_worst").unwrap().rounding, Rounding::Down);
}

#[test]
fn the_store_reckoned_by_hand_is_the_figure() {
    let sheet = sheet("[sump]\nwater = \"40 L\"\n[[fish]]\nname = \"tang\"\ncount = 3\nmass = \"80 g\"\n");
    let working = &sheet.workings["oxygen_store"];
    let Value::One(store) = sheet.figure(working.answer).unwrap().value else { panic!("no time") };
    let unit =
        crate::quantity::unit(crate::quantity::Kind::Time, working.sums[0].answer.reading.unit).unwrap();
    let by_hand = working.sums[0].answer.value * unit.si;
    assert!((by_hand / store.si - 1.0).abs() < 0.02, "{by_hand} s by hand, {} s", store.si);
}

#[test]
fn every_water_that_a_tank_file_may_name_has_an_answer() {
    for temperature in ["15 °C", "25 °C", "35 °C"] {
        for salinity in [20, 35, 42] {
            let water = format!("[water]\ntemperature = \"{temperature}\"\nsalinity = {salinity}\n");
            let sheet = sheet(&format!("{water}[[fish]]\nname = \"tang\"\ncount = 3\nmass = \"80 g\"\n"));
            for figure in sheet.figures() {
                let finite = match figure.value {
                    Value::One(one) => one.si.is_finite(),
                    Value::Range(low, high) => low.si.is_finite() && high.si.is_finite(),
                    Value::Words(_) => true,
                };
                assert!(finite, "{}: {:?}", figure.id, figure.value);
            }
        }
    }
}
