use super::*;
use crate::document;
use crate::tank::Tank;

const TANK: &str = r#"
name = "Test"
glass = { shape = "box", length = "60 cm", width = "30 cm", height = "36 cm", pane = "6 mm", fill_line = "3 cm" }
livestock = { now = "soft" }
"#;

fn run(text: &str) -> Result<Outcome, String> {
    let rules = Rules::compiled_in().unwrap();
    let sheet = Sheet::reckon(&rules, &crate::Catalogue::empty(), &Tank::read("test", TANK, &rules).unwrap())
        .unwrap();
    let kind = |id: &str| figure_value(&sheet, id).map(|quantity| quantity.kind);
    let check = document::read("check", text, |table| Check::read(table, &rules, kind))
        .map_err(|problems| problems[0].message.clone())?;
    check.run(&rules, &sheet).map_err(|error| error.to_string())
}

#[test]
fn a_right_value_passes_and_a_wrong_one_does_not() {
    // The water of the first tank of tests/independent/volume.csv: 54.867456 L.
    let with = |expected: &str| {
        run(&format!("figure = \"tank.filled\"\nexpected = \"{expected}\"\nbasis = \"common-practice\""))
            .unwrap()
    };
    assert_eq!(with("54.87 L"), Outcome { reckoned: "54.87\u{a0}L".into(), passed: true });
    assert_eq!(with("54.86 L"), Outcome { reckoned: "54.867\u{a0}L".into(), passed: false });
    assert!(with("55 L").passed && !with("56 L").passed);
}

#[test]
fn a_formula_is_asked_with_its_own_inputs() {
    // NIST Handbook 44, appendix C: a US gallon is 231 cubic inches.
    let check = "formula = \"volume.box\"\nexpected = \"10 US gal\"\nbasis = \"published\"\nsource = \"nist_hb_44\"\nplace = \"appendix C\"\n\
                 inputs = { length = \"21 in\", width = \"11 in\", height = \"10 in\" }";
    assert!(run(check).unwrap().passed);
    assert!(
        run(&check.replace("\"11 in\"", "\"10 L\""))
            .unwrap_err()
            .contains("is a volume, but a length is wanted")
    );
    assert!(run(&check.replace("volume.box", "volume.bx")).unwrap_err().contains("no formula `volume.bx`"));
}

#[test]
fn a_check_without_a_basis_or_with_a_bare_tolerance_is_refused() {
    let check = "figure = \"turnover.later.low\"\nexpected = \"10 per hour\"\n";
    assert!(run(&format!("{check}basis = \"common-practice\"")).unwrap().passed);
    assert_eq!(run(check).unwrap_err(), "`basis` is missing");
    assert!(
        run(&format!("{check}basis = \"common-practice\"\ntolerance = \"1\""))
            .unwrap_err()
            .contains("needs its reason")
    );
    assert!(
        run("figure = \"turnover.later\"\nexpected = \"10 per hour\"\nbasis = \"common-practice\"")
            .unwrap_err()
            .contains("with one value")
    );
}

#[test]
fn the_tolerance_is_told_to_its_last_digit() {
    let rules = Rules::compiled_in().unwrap();
    let told = |more: &str| {
        let text = format!(
            "formula = \"oxygen.warmth\"\nexpected = \"1.00\"\nbasis = \"common-practice\"\ninputs = {{ temperature = \"25 °C\", other = \"25 °C\" }}\n{more}"
        );
        let check = document::read("check", &text, |table| Check::read(table, &rules, |_| None));
        check.unwrap_or_else(|problems| panic!("{problems:?}")).tolerance_in_words()
    };
    assert_eq!(told(""), "±0.005: half the last printed digit");
    for tolerance in ["0.25", "0.5", "0.001", "2", "15"] {
        assert_eq!(
            told(&format!("tolerance = \"{tolerance}\"\nbecause = \"a reason\"")),
            format!("±{tolerance}: a reason")
        );
    }
}
