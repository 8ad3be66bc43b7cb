use crate::rules::Rules;
use crate::sheet::{Sheet, Value};
use crate::tank::Tank;

const PUMPS: &str = "currency = \"USD\"\n[[pump]]\nmodel = \"A\"\nkind = \"round-fixed\"\nrated_flow = \"3000 L/h\"\noutlet = \"40 mm\"\npower = \"8 W\"\n\
                     sound = \"30 dB\"\nprice = \"25 USD\"\nwet_end_price = \"10 USD\"\nshaft = \"plastic\"\n";

/// A box of some 160 L in which such animals live and so many pumps hang.
fn sheet(now: &str, pumps: usize) -> Sheet {
    let mut tank = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n\
         [livestock]\nnow = \"{now}\"\n"
    );
    for pump in 0..pumps {
        tank += &format!("[[pump]]\nname = \"{pump}\"\nmodel = \"A\"\nwall = \"left\"\nheight = \"25 cm\"\n");
    }
    let rules = Rules::compiled_in().unwrap();
    let catalogue = crate::Catalogue::read("pumps.toml", PUMPS).unwrap();
    let tank = Tank::read_with("t.toml", &tank, &rules, &catalogue).unwrap();
    Sheet::reckon(&rules, &catalogue, &tank).unwrap()
}

fn ends(sheet: &Sheet, id: &str) -> (f64, f64) {
    match sheet.any_figure(id).unwrap_or_else(|| panic!("{id}: {:?}", sheet.lacking(id))).value {
        Value::Range(low, high) => (low.si, high.si),
        ref other => panic!("{id} is {other:?}"),
    }
}

#[test]
fn branches_grow_faster_than_boulders() {
    let (small, large) = (sheet("small_polyp", 2), sheet("large_polyp", 2));
    assert!(ends(&small, "growth.grown_in").1 < ends(&large, "growth.grown_in").1);
}

#[test]
fn a_tank_of_fish_alone_says_that_nothing_grows() {
    let sheet = sheet("fish_only", 1);
    assert!(sheet.lacking("growth.a_year").is_some_and(|why| why.contains("No corals")));
    assert!(sheet.lacking("growth_months").is_some());
}

#[test]
fn the_next_pump_is_due_when_the_flow_to_aim_for_passes_what_hangs() {
    // Small-polyp corals in 150 L or so want 3000 to 6000 L/h: one pump is too little, two are enough for a
    // while, four for good.
    let one = sheet("small_polyp", 1);
    assert!(one.figure("growth.too_little").is_some() && one.lacking("growth.enough_for").is_some());
    let two = sheet("small_polyp", 2);
    let (soonest, latest) = ends(&two, "growth.enough_for");
    assert!(0.0 < soonest && soonest < latest && latest < ends(&two, "growth.grown_in").1);
    let four = sheet("small_polyp", 4);
    assert!(four.lacking("growth.enough_for").is_some_and(|why| why.contains("grown colonies")));
}

#[test]
fn the_table_goes_from_the_low_end_of_the_band_to_its_high_end() {
    let sheet = sheet("small_polyp", 2);
    let band = ends(&sheet, "flow.later");
    let soon = ends(&sheet, "growth_months.1.flow");
    assert!(band.0 < soon.0 && soon.0 < soon.1 && soon.1 < band.1);
    assert!((ends(&sheet, "growth_months.5.flow").1 - band.1).abs() < 1e-12);
    assert!(ends(&sheet, "growth_months.5.gap").0.abs() < 1e-12);
}
