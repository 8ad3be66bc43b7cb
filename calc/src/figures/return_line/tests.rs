use crate::error::Error;
use crate::rules::Rules;
use crate::sheet::{Cell, Sheet, Value};
use crate::tank::Tank;

fn sheet(lift: &str) -> Result<Sheet, Error> {
    let tank = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n[livestock]\nnow = \"soft\"\n\
         [sump]\nwater = \"40 L\"\n[return]\nlift = \"{lift}\"\nlength = \"1.6 m\"\nbore = \"21.2 mm\"\nelbows = 3\npump_flow = \"3000 L/h\"\n\
         pump_head = \"3 m\"\npump_power = \"30 W\"\n"
    );
    Sheet::reckon(
        &Rules::compiled_in().unwrap(),
        &crate::Catalogue::empty(),
        &Tank::read("t.toml", &tank, &Rules::compiled_in().unwrap()).unwrap(),
    )
}

fn si(sheet: &Sheet, id: &str) -> f64 {
    match sheet.figure(id).unwrap().value {
        crate::sheet::Value::One(quantity) => quantity.si,
        ref other => panic!("{id} is {other:?}"),
    }
}

#[test]
fn a_pump_that_can_not_lift_so_high_is_told_so() {
    let error = sheet("3.2 m").unwrap_err().to_string().replace('\u{a0}', " ");
    assert_eq!(
        error,
        "the flow of the return line: the pump lifts water 3 m at the most, and the outlet is 3.2 m up; take a stronger pump"
    );
}

#[test]
fn the_figures_of_a_line_agree_with_each_other() {
    let sheet = sheet("1.2 m").unwrap();
    let flow = si(&sheet, "return_line.flow");
    // The pump's own curve, by hand: 3 m at no flow, nothing at 3000 L/h.
    let share = flow * 3.6e6 / 3000.0;
    assert!((si(&sheet, "return_line.head") - 3.0 * (1.0 - share * share)).abs() < 1e-9);
    assert!((si(&sheet, "return_line.head") - 1.2 - si(&sheet, "return_line.loss")).abs() < 1e-12);
    assert!((si(&sheet, "return_line.turnover") * si(&sheet, "tank.system") / flow - 1.0).abs() < 1e-12);
    // The bore of the line is one of the usual bores: its row in the table says the same.
    let Cell::Figure(row) = &sheet.tables["return_line_bores"].rows[1].cells[0] else {
        panic!("a cell of words")
    };
    assert_eq!(row.text(), sheet.figure("return_line.flow").unwrap().text());
}

#[test]
fn a_line_that_brings_up_too_little_is_told_which_pipe_would_do() {
    let text = |bore: &str, flow: &str| {
        format!(
            "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n[livestock]\n\
             now = \"soft\"\n[sump]\nwater = \"100 L\"\n[return]\nlift = \"1.2 m\"\nlength = \"1.6 m\"\nbore = \"{bore}\"\nelbows = 3\n\
             pump_flow = \"{flow}\"\npump_head = \"3 m\"\npump_power = \"30 W\"\n"
        )
    };
    let rules = Rules::compiled_in().unwrap();
    let of = |bore: &str, flow: &str| {
        Sheet::reckon(
            &rules,
            &crate::Catalogue::empty(),
            &Tank::read("t.toml", &text(bore, flow), &rules).unwrap(),
        )
        .unwrap()
    };
    let words = |sheet: &Sheet| sheet.figure("return_line.says").unwrap().text();
    let thin = of("8 mm", "3000 L/h");
    assert_eq!(words(&thin), "less than is usual");
    let (bore, flow) = (si(&thin, "return_line.wider"), si(&thin, "return_line.wider_flow"));
    // It is the narrowest that will do: through it, enough arrives, and its row in the table says the same.
    assert!((bore - 0.017).abs() < 1e-12, "{bore}");
    let Value::Range(low, high) = thin.figure("return_line.wanted").unwrap().value else {
        panic!("no range")
    };
    assert!(low.si <= flow && flow <= high.si);
    let refitted = of("17 mm", "3000 L/h");
    assert!((si(&refitted, "return_line.flow") / flow - 1.0).abs() < 1e-9);
    assert_eq!(words(&refitted), "as much as is usual");
    assert!(refitted.figure("return_line.wider").is_none() && refitted.figure("return_line.weak").is_none());
    // No pipe makes more of a pump than its label: 250 L and more want 750 L/h at the least.
    let weak = of("17 mm", "700 L/h");
    assert!(weak.figure("return_line.weak").is_some() && weak.figure("return_line.wider").is_none());
    assert!(words(&of("34 mm", "9000 L/h")).starts_with("more than is usual"));
}

#[test]
fn what_runs_down_for_each_step_of_the_surface_is_its_area_times_the_step() {
    let sheet = sheet("1.2 m").unwrap();
    // Inside 88.4 × 43.4 cm: 3836.56 cm², so 3.84 L for a centimetre, rounded up.
    assert!((si(&sheet, "overflow.drop_water") - 0.884 * 0.434 * 0.01).abs() < 1e-12);
    assert!(sheet.figure("overflow.drop_water").unwrap().text().replace('\u{a0}', " ").starts_with("3.9 L"));
}
