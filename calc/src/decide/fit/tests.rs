use super::*;
use crate::quantity::parse;

const HEAD: &str = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n[sand]\ndepth = \"3 cm\"\ngrain = \"0.3 mm\"\n[livestock]\nnow = \"soft\"\nlater = \"small_polyp\"\n";

const PUMPS: &str = "currency = \"USD\"\n[[pump]]\nmodel = \"Weir\"\nkind = \"round-controllable\"\nrated_flow = \"3600 L/h\"\nlowest_setting = \"20 %\"\noutlet = \"40 mm\"\npower = \"8 W\"\nsound = \"30 dB\"\nprice = \"100 USD\"\nwet_end_price = \"30 USD\"\nshaft = \"ceramic\"\n";

fn check_with(pumps: &str) -> Result<Fit, Error> {
    let catalogue = Catalogue::read("pumps.toml", PUMPS).unwrap();
    let tank = Tank::read("t.toml", &format!("{HEAD}{pumps}"), &Rules::compiled_in().unwrap()).unwrap();
    check(&Rules::compiled_in().unwrap(), &catalogue, &tank).map(Option::unwrap)
}

fn hung(name: &str, model: &str, wall: &str, height: &str, setting: &str) -> String {
    format!(
        "[[pump]]\nname = \"{name}\"\nmodel = \"{model}\"\nwall = \"{wall}\"\nheight = \"{height}\"\nsetting = \"{setting}\"\n"
    )
}

#[test]
fn flows_at_the_settings_add_up() {
    let fit = check_with(
        &(hung("left", "Weir", "left", "30 cm", "32 %") + &hung("right", "Weir", "right", "26 cm", "28 %")),
    )
    .unwrap();
    // 3600 × (0.32 + 0.28), 2 × 3600, and four fifths of that.
    let litres = |text: &str| parse::<VolumeRate>(text).unwrap().si();
    assert!((fit.flow.si() / litres("2160 L/h") - 1.0).abs() < 1e-12);
    assert!((fit.full.si() / litres("7200 L/h") - 1.0).abs() < 1e-12);
    assert!((fit.fouled.si() / litres("5760 L/h") - 1.0).abs() < 1e-12);
    assert_eq!(*fit.missing, VolumeRate::default());
    // 2160 L/h in some 140 L is 15 times an hour: within 10 to 20 and above 5 to 10.
    assert_eq!(fit.serves.iter().map(Livestock::key).collect::<Vec<_>>(), ["soft", "large_polyp"]);
    assert!(fit.streams.iter().all(|stream| stream.verdict.faults.is_empty()), "{:?}", fit.streams);
}

/// In low water over fine sand a strong pump can not run at full: what the pumps move "at full" is what they
/// move at the highest setting at which they may still hang somewhere.
#[test]
fn at_full_is_no_further_up_than_the_sand_bears() {
    let low = HEAD.replace("height = \"45 cm\"", "height = \"24 cm\"");
    let at = |setting: u32| {
        let pump = hung("only", "Weir", "left", "14 cm", &format!("{setting} %"));
        let catalogue = Catalogue::read("pumps.toml", PUMPS).unwrap();
        let tank = Tank::read("t.toml", &format!("{low}{pump}"), &Rules::compiled_in().unwrap()).unwrap();
        check(&Rules::compiled_in().unwrap(), &catalogue, &tank).unwrap().unwrap()
    };
    let rated = parse::<VolumeRate>("3600 L/h").unwrap();
    let share = (*at(30).full / rated).si();
    assert!(share > 0.2 && share < 0.99, "{share}");
    let may_hang = |setting: u32| {
        let heights = &at(setting).streams[0].heights;
        heights.low <= heights.high
    };
    assert!(may_hang((share * 100.0) as u32), "{share}");
    assert!(!may_hang((share * 100.0) as u32 + 2), "{share}");
}

#[test]
fn one_pump_is_not_enough_for_later() {
    let fit = check_with(&hung("only", "Weir", "left", "30 cm", "50 %")).unwrap();
    assert!(fit.missing.si() > 0.0);
    assert!((*fit.missing + *fit.fouled).si() > fit.full.si());
}

#[test]
fn each_fault_of_a_stream_is_told() {
    let faults = |pump: &str| {
        let fit = check_with(pump).unwrap();
        fit.streams[0].verdict.faults.iter().map(|fault| fault.words.clone()).collect::<Vec<_>>()
    };
    assert_eq!(
        faults(&hung("low", "Weir", "left", "7 cm", "100 %"))[0],
        "hangs so low that it may lift the sand"
    );
    assert_eq!(
        faults(&hung("high", "Weir", "left", "40 cm", "30 %")),
        ["hangs so high that it may draw air"]
    );
    assert_eq!(
        faults(&hung("short", "Weir", "back", "30 cm", "100 %")),
        ["may still be too strong when it meets the glass"]
    );
    assert_eq!(
        faults(&hung("slow", "Weir", "left", "30 cm", "5 %")),
        ["can not be set so low, and runs at its lowest"]
    );
}

#[test]
fn a_stream_that_leaves_no_calm_part_is_told() {
    // 1800 L/h through 40 mm leave at 40 cm/s and have slowed to 15 cm/s only after some 86 of 88 cm, if they
    // are as strong as they may be.
    let fit = check_with(&hung("left", "Weir", "left", "30 cm", "50 %")).unwrap();
    assert_eq!(fit.streams[0].verdict.faults[0].words, "may be too strong on too much of its way");
    assert!(fit.streams[0].verdict.faults[0].is.si > 0.8 * 0.884 && fit.streams[0].verdict.calm_beside);
    // Slower it reaches half of the way: well, but the calm is beside it.
    let fit = check_with(&hung("left", "Weir", "left", "30 cm", "30 %")).unwrap();
    assert!(fit.streams[0].verdict.faults.is_empty() && fit.streams[0].verdict.calm_beside);
}

#[test]
fn a_magnet_that_does_not_hold_is_told() {
    let catalogue =
        Catalogue::read("pumps.toml", &PUMPS.replace("shaft", "largest_pane = \"6 mm\"\nshaft")).unwrap();
    let tank = Tank::read(
        "t.toml",
        &format!("{HEAD}{}", hung("left", "Weir", "left", "30 cm", "30 %")),
        &Rules::compiled_in().unwrap(),
    )
    .unwrap();
    let fit = check(&Rules::compiled_in().unwrap(), &catalogue, &tank).unwrap().unwrap();
    assert_eq!(
        fit.streams[0].verdict.faults[0].words,
        "has magnets that do not hold through panes of this thickness"
    );
}

#[test]
fn a_model_that_is_not_there_is_told_with_the_nearest() {
    let error = check_with(&hung("left", "Weri", "left", "30 cm", "50 %")).unwrap_err();
    assert!(error.to_string().contains("the catalogue has no `Weri`; did you mean `Weir`?"));
    let catalogue = Catalogue::read("pumps.toml", PUMPS).unwrap();
    let problems = Tank::read_with(
        "t.toml",
        &format!("{HEAD}{}", hung("left", "Weri", "left", "30 cm", "50 %")),
        &Rules::compiled_in().unwrap(),
        &catalogue,
    )
    .unwrap_err();
    assert_eq!(problems.len(), 1);
    assert_eq!(problems[0].help, ["did you mean `Weir`?"]);
}

#[test]
fn a_verdict_says_what_to_do_and_doing_it_helps() {
    let one = |pump: &str| check_with(pump).unwrap().streams.remove(0);
    let strong = one(&hung("left", "Weir", "left", "30 cm", "90 %"));
    let remedy = strong.verdict.remedy.clone().unwrap();
    let percent: u32 =
        remedy.strip_prefix("turn it down to ").unwrap().trim_end_matches("\u{a0}%").parse().unwrap();
    let at = |percent: u32| {
        one(&hung("left", "Weir", "left", "30 cm", &format!("{percent} %"))).verdict.faults.len()
    };
    assert_eq!((at(percent), at(percent + 1)), (0, 1), "{remedy}");
    // Where it hangs no higher setting is safe above the sand, and none at all on the floor.
    let near = one(&hung("near", "Weir", "left", "9 cm", "100 %"));
    assert!(
        near.verdict.remedy.as_deref().is_some_and(|words| words.starts_with("turn it down to ")),
        "{near:?}"
    );
    assert_eq!(
        one(&hung("floor", "Weir", "left", "4 cm", "20 %")).verdict.remedy.as_deref(),
        Some("hang it higher")
    );
    // A pump with one speed can only be turned away.
    let fixed = PUMPS.replace("round-controllable", "round-fixed").replace("lowest_setting = \"20 %\"\n", "");
    let catalogue = Catalogue::read("pumps.toml", &fixed).unwrap();
    let rules = Rules::compiled_in().unwrap();
    let tank =
        Tank::read("t.toml", &format!("{HEAD}{}", hung("only", "Weir", "left", "30 cm", "100 %")), &rules)
            .unwrap();
    let fit = check(&rules, &catalogue, &tank).unwrap().unwrap();
    assert!(
        fit.streams[0].verdict.remedy.as_deref().is_some_and(|words| words.starts_with("it has one speed")),
        "{fit:?}"
    );
}

/// A pump that lifts the sand wherever it hangs, and is too strong even turned right down.
const GALE: &str = "[[pump]]\nmodel = \"Gale\"\nkind = \"round-controllable\"\nrated_flow = \"16000 L/h\"\nlowest_setting = \"70 %\"\noutlet = \"40 mm\"\npower = \"40 W\"\nsound = \"40 dB\"\nprice = \"300 USD\"\nwet_end_price = \"80 USD\"\nshaft = \"ceramic\"\n";

fn check_of(models: &str, pumps: &str) -> (Rules, Fit) {
    let rules = Rules::compiled_in().unwrap();
    let catalogue = Catalogue::read("pumps.toml", models).unwrap();
    let tank = Tank::read("t.toml", &format!("{HEAD}{pumps}"), &rules).unwrap();
    let fit = check(&rules, &catalogue, &tank).map(Option::unwrap).unwrap();
    (rules, fit)
}

#[test]
fn a_pump_that_is_too_strong_at_any_setting_is_told_where_to_go() {
    let models = format!("{PUMPS}{GALE}");
    let remedy = |height: &str| {
        let (rules, fit) = check_of(&models, &hung("only", "Gale", "left", height, "70 %"));
        (rules.words.fit.clone(), fit.streams[0].verdict.remedy.clone())
    };
    let (words, low) = remedy("6 cm");
    assert_eq!(low.as_deref(), Some(words.no_setting_and_low()));
}
