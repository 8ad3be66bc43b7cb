use crate::rules::Rules;
use crate::sheet::{Sheet, Value};
use crate::tank::Tank;

/// A tank with a return line; `line` is more of it, `more` the tables behind it.
fn sheet(line: &str, more: &str) -> Sheet {
    let tank = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n\
         [livestock]\nnow = \"soft\"\n[sump]\nwater = \"40 L\"\n[return]\nlift = \"1.2 m\"\nlength = \"1.6 m\"\nbore = \"21.2 mm\"\nelbows = 3\n\
         pump_flow = \"3000 L/h\"\npump_head = \"3 m\"\npump_power = \"30 W\"\n{line}{more}"
    );
    let rules = Rules::compiled_in().unwrap();
    Sheet::reckon(&rules, &crate::Catalogue::empty(), &Tank::read("t.toml", &tank, &rules).unwrap()).unwrap()
}

fn ends(sheet: &Sheet, id: &str) -> (f64, f64) {
    match &sheet.figure(id).unwrap_or_else(|| panic!("{id}: {:?}", sheet.lacking(id))).value {
        Value::Range(low, high) => (low.si, high.si),
        Value::One(one) => (one.si, one.si),
        Value::Words(words) => panic!("{id} says {words}"),
    }
}

const EDGE: &str = "[overflow]\nedge = \"30 cm\"\n";

#[test]
fn teeth_make_the_sheet_thicker() {
    let (plain, comb) = (sheet("", EDGE), sheet("", &format!("{EDGE}comb = true\n")));
    let (plain, comb) = (ends(&plain, "weir.sheet"), ends(&comb, "weir.sheet"));
    assert!(comb.0 > plain.0 && comb.1 > plain.1);
    // The flow is good to a quarter either way, so the sheet is not to be one number.
    assert!(plain.1 > plain.0);
}

#[test]
fn a_deep_outlet_drains_more_than_the_edge_does() {
    let (shallow, deep) =
        (sheet("outlet_depth = \"1 mm\"\n", EDGE), sheet("outlet_depth = \"6 cm\"\n", EDGE));
    assert!((ends(&shallow, "weir.fall").0 - ends(&shallow, "weir.sheet").1).abs() < 1e-12);
    assert!((ends(&deep, "weir.fall").0 - 0.06).abs() < 1e-12);
    let area = ends(&deep, "tank.display_area").0;
    assert!((ends(&deep, "weir.runs_down").0 - 0.06 * area).abs() < 1e-12);
}

#[test]
fn a_large_store_in_the_chamber_runs_over_the_rim_when_the_edge_is_blocked() {
    let chamber = |fall: &str| {
        let more = format!("[return_chamber]\nlength = \"40 cm\"\nwidth = \"40 cm\"\nfall = \"{fall}\"\n");
        let sheet = sheet("", &more);
        let Value::Words(says) = sheet.figure("weir.blocked_says").unwrap().value.clone() else { panic!() };
        (ends(&sheet, "weir.blocked_rise").0, says)
    };
    let (low, stays) = chamber("4 cm");
    let (high, runs) = chamber("20 cm");
    assert!((high / low - 5.0).abs() < 1e-9);
    assert!(stays.contains("stays below") && runs.contains("runs over"), "{stays} / {runs}");
}

#[test]
fn what_is_missing_is_told() {
    let sheet = sheet("", "");
    assert!(sheet.lacking("weir.sheet").is_some_and(|why| why.contains("[overflow]")));
    assert!(sheet.lacking("weir.blocked_rise").is_some_and(|why| why.contains("[return_chamber]")));
    assert!(sheet.lacking("weir.chamber_turnover").is_some());
}
