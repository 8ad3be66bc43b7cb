use crate::catalogue::Catalogue;
use crate::sheet::{Sheet, Value};
use crate::tank::Tank;

/// The words, the speed of the lead and the lowest pulse in a tank with pumps at a setting.
fn told(setting: &str) -> (String, f64, f64) {
    let rules = crate::Rules::compiled_in().unwrap();
    let pumps = std::fs::read_to_string("../book/pumps.toml").unwrap();
    let catalogue = Catalogue::read("pumps.toml", &pumps).unwrap();
    let hung = |name: &str, wall: &str| {
        format!(
            "[[pump]]\nname = \"{name}\"\nmodel = \"Beck 4\"\nsetting = \"{setting}\"\nwall = \"{wall}\"\nheight = \"30 cm\"\n"
        )
    };
    let text = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"130 cm\"\nwidth = \"60 cm\"\nheight = \"60 cm\"\npane = \"12 mm\"\n\
         fill_line = \"4 cm\"\n[livestock]\nnow = \"soft\"\n{}{}",
        hung("left", "left"),
        hung("right", "right")
    );
    let tank = Tank::read("t.toml", &text, &rules).unwrap();
    let sheet = Sheet::reckon(&rules, &catalogue, &tank).unwrap();
    let Value::One(speed) = &sheet.figure("team.lead").unwrap().value else { panic!("one speed") };
    let Value::One(low) = &sheet.figure("team.low").unwrap().value else { panic!("one setting") };
    (sheet.figure("team.pumps").unwrap().text(), speed.si, low.si)
}

#[test]
fn a_team_is_reckoned_at_the_settings_of_its_pumps() {
    let ((words, half, _), (_, full, _)) = (told("50 %"), told("100 %"));
    assert!((full / half - 2.0).abs() < 1e-9, "{half} {full}");
    assert_eq!(words, "left at 50\u{a0}% leads, right at 50\u{a0}% follows");
}

#[test]
fn no_pulse_goes_below_what_its_pump_can_run_at() {
    let catalogue =
        Catalogue::read("pumps.toml", &std::fs::read_to_string("../book/pumps.toml").unwrap()).unwrap();
    let lowest = catalogue.pump("Beck 4").unwrap().lowest_setting.0;
    let lows = [("100 %", 1.0), ("50 %", 0.5), ("30 %", 0.3)].map(|(text, setting)| (told(text).2, setting));
    assert!(lows.iter().all(|(low, setting)| low * setting >= lowest - 1e-9), "{lows:?}");
    // At full the usual pulse is possible; turned down it is not.
    assert!(lows[0].0 < lows[2].0, "{lows:?}");
}
