use crate::quantity::Quantity;
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

fn ends(sheet: &Sheet, id: &str) -> (f64, f64) {
    match sheet.figure(id).unwrap_or_else(|| panic!("{id}: {:?}", sheet.lacking(id))).value {
        Value::Range(Quantity { si: low, .. }, Quantity { si: high, .. }) => (low, high),
        Value::One(Quantity { si, .. }) => (si, si),
        ref other => panic!("{id} is {other:?}"),
    }
}

#[test]
fn a_lid_keeps_water_in_and_a_fan_drives_it_out() {
    let (open, lid, fan) = (sheet(""), with_glass("lid = true", ""), sheet("[water]\nfan = true\n"));
    let (shut, bare) = (ends(&lid, "evaporation.a_day"), ends(&open, "evaporation.a_day"));
    assert!(shut.0 < bare.0 && shut.1 < bare.1);
    let (bare, blown) = (ends(&open, "evaporation.a_day"), ends(&fan, "evaporation.a_day"));
    assert!(blown.0 > bare.0 && blown.1 > bare.1);
    assert_eq!(blown, ends(&open, "evaporation.with_fan"));
}

#[test]
fn a_sump_adds_to_the_most_alone() {
    let (without, with) = (sheet(""), sheet("[sump]\nwater = \"50 L\"\n"));
    let (bare, more) = (ends(&without, "evaporation.a_day"), ends(&with, "evaporation.a_day"));
    assert!((bare.0 - more.0).abs() < 1e-12);
    // 50 L that stand a quarter of a metre deep have a surface of 0.2 m².
    let inside = ends(&with, "tank.inside_area").0;
    assert!((more.1 / bare.1 - (inside + 0.2) / inside).abs() < 1e-9);
}

#[test]
fn the_chamber_lasts_as_long_as_its_water() {
    let sheet = sheet("[return_chamber]\nlength = \"20 cm\"\nwidth = \"30 cm\"\nfall = \"5 cm\"\n");
    assert!((ends(&sheet, "evaporation.chamber").0 - 0.003).abs() < 1e-12);
    let (a_day, lasts) = (ends(&sheet, "evaporation.a_day"), ends(&sheet, "evaporation.chamber_lasts"));
    assert!((lasts.0 * a_day.1 / 86_400.0 - 0.003).abs() < 1e-9);
    assert!((lasts.1 * a_day.0 / 86_400.0 - 0.003).abs() < 1e-9);
}

#[test]
fn where_nothing_evaporates_the_sheet_says_so() {
    let more = "[home]\ntemperature = \"31 °C\"\nhumidity = \"95 %\"\n[water]\ntemperature = \"24 °C\"\n\
                [return_chamber]\nlength = \"20 cm\"\nwidth = \"30 cm\"\nfall = \"5 cm\"\n";
    let sheet = sheet(more);
    assert_eq!(ends(&sheet, "evaporation.a_day"), (0.0, 0.0));
    for id in ["evaporation.rise_time", "evaporation.chamber_lasts"] {
        assert!(sheet.lacking(id).is_some_and(|why| why.contains("so damp")), "{id}");
    }
    assert!((ends(&sheet, "evaporation.after_week").0 - ends(&sheet, "seawater.salinity").0).abs() < 1e-12);
}
