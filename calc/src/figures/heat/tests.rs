use crate::rules::Rules;
use crate::sheet::{Sheet, Value};
use crate::tank::Tank;

/// A box; `glass` is more of its glass, `more` the tables behind it.
fn with_glass(glass: &str, more: &str) -> Sheet {
    let tank = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n{glass}\n[livestock]\nnow = \"soft\"\n{more}"
    );
    let rules = Rules::compiled_in().unwrap();
    Sheet::reckon(&rules, &crate::Catalogue::empty(), &Tank::read("t.toml", &tank, &rules).unwrap()).unwrap()
}

fn sheet(more: &str) -> Sheet {
    with_glass("", more)
}

fn range(sheet: &Sheet, id: &str) -> (f64, f64) {
    match sheet.figure(id).unwrap_or_else(|| panic!("{id}: {:?}", sheet.lacking(id))).value {
        Value::Range(low, high) => (low.si, high.si),
        ref other => panic!("{id} is {other:?}"),
    }
}

const SKIMMER: &str = "[skimmer]\npower = \"40 W\"\n";

#[test]
fn a_tank_without_pumps_says_so_and_is_no_warmer_than_its_room() {
    let sheet = sheet("");
    assert!(sheet.lacking("heat.pumps").is_some());
    let (_, warm) = range(&sheet, "heat.alone");
    let Value::One(room) = sheet.figure("evaporation.room").unwrap().value else { panic!() };
    assert!(warm < room.si);
}

#[test]
fn heat_in_the_water_is_heat_the_heater_need_not_give() {
    let (without, with) = (sheet(""), sheet(SKIMMER));
    let (bare, warmed) = (range(&without, "heat.heater"), range(&with, "heat.heater"));
    assert!((bare.1 - warmed.1 - 40.0).abs() < 1e-9 && (bare.0 - warmed.0 - 40.0).abs() < 1e-9);
    assert!(range(&with, "heat.alone").0 > range(&without, "heat.alone").0);
    assert!(range(&with, "heat.hottest_room").0 < range(&without, "heat.hottest_room").0);
}

#[test]
fn a_fan_makes_hotter_rooms_bearable() {
    let sheet = sheet(SKIMMER);
    let (bare, blown) = (range(&sheet, "heat.hottest_room"), range(&sheet, "heat.hottest_room_fan"));
    assert!(blown.0 > bare.0 && blown.1 > bare.1);
}

#[test]
fn acrylic_keeps_more_heat_in_than_glass() {
    let acrylic = with_glass("material = \"acrylic\"", SKIMMER);
    assert!(range(&acrylic, "heat.heater").1 < range(&sheet(SKIMMER), "heat.heater").1);
}

#[test]
fn a_pump_far_too_strong_is_told() {
    let more = "[skimmer]\npower = \"500 W\"\n[home]\ntemperature = \"30 °C\"\nhumidity = \"95 %\"\n";
    let sheet = with_glass("lid = true\nmaterial = \"acrylic\"", more);
    assert!(sheet.lacking("heat.hottest_room").is_some_and(|why| why.contains("no room")));
}
