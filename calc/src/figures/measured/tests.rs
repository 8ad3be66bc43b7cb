use crate::rules::Rules;
use crate::sheet::{Cell, Sheet, Value};
use crate::tank::Tank;

const PUMPS: &str = "currency = \"USD\"\n[[pump]]\nmodel = \"A\"\nkind = \"round-fixed\"\nrated_flow = \"3000 L/h\"\noutlet = \"40 mm\"\npower = \"8 W\"\n\
                     sound = \"30 dB\"\nprice = \"25 USD\"\nwet_end_price = \"10 USD\"\nshaft = \"plastic\"\n";

fn read(measured: &str) -> Result<Tank, String> {
    let tank = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n\
         [livestock]\nnow = \"soft\"\n[sump]\nwater = \"40 L\"\n[return]\nlift = \"1.2 m\"\nlength = \"1.6 m\"\nbore = \"21.2 mm\"\nelbows = 3\n\
         pump_flow = \"3000 L/h\"\npump_head = \"3 m\"\npump_power = \"30 W\"\n\
         [[pump]]\nname = \"left\"\nmodel = \"A\"\nwall = \"left\"\nheight = \"25 cm\"\n{measured}"
    );
    let (rules, catalogue) =
        (Rules::compiled_in().unwrap(), crate::Catalogue::read("pumps.toml", PUMPS).unwrap());
    Tank::read_with("t.toml", &tank, &rules, &catalogue).map_err(|problems| {
        problems.into_iter().map(|problem| problem.message).collect::<Vec<_>>().join("; ")
    })
}

fn sheet(measured: &str) -> Sheet {
    let (rules, catalogue) =
        (Rules::compiled_in().unwrap(), crate::Catalogue::read("pumps.toml", PUMPS).unwrap());
    Sheet::reckon(&rules, &catalogue, &read(measured).unwrap()).unwrap()
}

fn ends(sheet: &Sheet, id: &str) -> (f64, f64) {
    match &sheet.any_figure(id).unwrap_or_else(|| panic!("{id}: {:?}", sheet.lacking(id))).value {
        Value::Range(low, high) => (low.si, high.si),
        Value::One(one) => (one.si, one.si),
        Value::Words(words) => panic!("{id} says {words}"),
    }
}

fn words(sheet: &Sheet, id: &str) -> String {
    match &sheet.figure(id).unwrap_or_else(|| panic!("{id}: {:?}", sheet.lacking(id))).value {
        Value::Words(words) => words.clone(),
        other => panic!("{id} is {other:?}"),
    }
}

#[test]
fn a_bucket_takes_the_place_of_the_sum_and_stands_beside_it() {
    let (before, after) = (sheet(""), sheet("[measured]\nbucket = \"10 L\"\nbucket_time = \"36 s\"\n"));
    // 10 L in 36 s are 1000 L/h.
    let measured = 1.0 / 3600.0;
    for id in ["measured.flow", "return_line.flow", "return_line.flow_range"] {
        assert!((ends(&after, id).0 - measured).abs() < 1e-12, "{id}");
    }
    assert_eq!(ends(&after, "measured.flow_reckoned"), ends(&before, "return_line.flow_range"));
    let system = ends(&after, "tank.system").0;
    assert!((ends(&after, "return_line.turnover").0 * system - measured).abs() < 1e-12);
    assert!(words(&after, "measured.flow_says").contains("less arrives"));
    assert!(ends(&after, "measured.flow_ratio").0 < 0.8);
    assert!(before.lacking("measured.flow").is_some() && before.lacking("measured_beside").is_some());
}

#[test]
fn the_plug_meter_goes_before_the_label() {
    let sheet = sheet("[measured]\nreturn_power = \"60 W\"\n");
    assert!((ends(&sheet, "power.return").0 - 60.0).abs() < 1e-12);
    assert!((ends(&sheet, "measured.power_reckoned").0 - 30.0).abs() < 1e-12);
    assert!((ends(&sheet, "measured.power_ratio").0 - 2.0).abs() < 1e-12);
    assert!(words(&sheet, "measured.power_says").contains("more than its label"));
}

#[test]
fn a_counted_swing_moves_the_pulses_that_rock_the_tank() {
    let (before, after) = (sheet(""), sheet("[measured]\nswings = 10\nswings_time = \"11 s\"\n"));
    assert!((ends(&after, "waves.long").0 - 1.1).abs() < 1e-12);
    assert!((ends(&after, "measured.swing_reckoned").0 - ends(&before, "waves.long").0).abs() < 1e-12);
    let (was, is) = (ends(&before, "waves.long_rocks"), ends(&after, "waves.long_rocks"));
    assert!((is.0 / was.0 - 1.1 / ends(&before, "waves.long").0).abs() < 1e-9);
    assert_eq!(words(&after, "measured.swing_says"), "as reckoned");
}

#[test]
fn oxygen_at_dawn_is_what_a_power_cut_begins_with() {
    let (before, after) = (sheet(""), sheet("[measured]\ndawn_oxygen = \"5 mg/L\"\n"));
    assert!((ends(&after, "oxygen.start").0 - 5e-3).abs() < 1e-12);
    assert_eq!(ends(&after, "measured.oxygen_reckoned"), ends(&before, "oxygen.start"));
    assert!(ends(&after, "oxygen.store").0 < ends(&before, "oxygen.store").0);
}

#[test]
fn the_jug_goes_before_the_sum_of_what_evaporates() {
    let sheet = sheet("[measured]\ntop_up = \"20 L\"\n");
    assert_eq!(ends(&sheet, "evaporation.a_day"), (0.02, 0.02));
    assert!(words(&sheet, "measured.top_up_says").contains("leaks"));
}

#[test]
fn a_crumb_and_a_level_are_held_against_the_pumps_as_they_are_set() {
    let crumb = "[measured]\npillow = \"60 dB\"\ncrumb_pump = \"left\"\ncrumb_from = \"20 cm\"\ncrumb_to = \"60 cm\"\ncrumb_time = \"8 s\"\n";
    let sheet = sheet(crumb);
    assert!((ends(&sheet, "measured.crumb").0 - 0.05).abs() < 1e-12);
    assert!(words(&sheet, "measured.crumb_says").contains("slower"));
    assert_eq!(ends(&sheet, "measured.pillow_reckoned"), ends(&sheet, "fit.sound"));
    assert!(words(&sheet, "measured.pillow_says").contains("louder"));
    let table = &sheet.tables["measured_beside"];
    let heads: Vec<_> = table.rows.iter().map(|row| &row.head).collect();
    assert_eq!(
        heads,
        [&Cell::Words("Speed of a crumb".to_owned()), &Cell::Words("Level at the pillow".to_owned())]
    );
}

#[test]
fn half_a_measurement_is_refused() {
    for (measured, message) in [
        ("bucket = \"8 L\"", "`bucket` needs `bucket_time` beside it"),
        ("swings_time = \"8 s\"", "`swings_time` needs `swings` beside it"),
        ("crumb_pump = \"left\"\ncrumb_to = \"60 cm\"", "`crumb_pump` needs `crumb_from` beside it"),
        (
            "crumb_pump = \"right\"\ncrumb_from = \"20 cm\"\ncrumb_to = \"60 cm\"\ncrumb_time = \"3 s\"",
            "no pump of this tank is called `right`",
        ),
        (
            "crumb_pump = \"left\"\ncrumb_from = \"60 cm\"\ncrumb_to = \"20 cm\"\ncrumb_time = \"3 s\"",
            "the crumb went no way",
        ),
    ] {
        assert_eq!(read(&format!("[measured]\n{measured}\n")).unwrap_err(), message);
    }
}
