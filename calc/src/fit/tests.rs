use super::*;
use crate::quantity::{Dimension, parse};

const HEAD: &str = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n[sand]\ndepth = \"3 cm\"\ngrain = \"0.3 mm\"\n[livestock]\nnow = \"soft\"\nlater = \"small_polyp\"\n";

const PUMPS: &str = "currency = \"USD\"\n[[pump]]\nmodel = \"Weir\"\nkind = \"round-controllable\"\nrated_flow = \"3600 L/h\"\nlowest_setting = \"20 %\"\noutlet = \"40 mm\"\npower = \"8 W\"\nsound = \"30 dB\"\nprice = \"100 USD\"\nwet_end_price = \"30 USD\"\nshaft = \"ceramic\"\n";

fn check_with(pumps: &str) -> Result<Fit, Error> {
    let catalogue = Catalogue::read("pumps.toml", PUMPS).unwrap();
    let tank = Tank::read("t.toml", &format!("{HEAD}{pumps}"), &Rules::compiled_in().unwrap()).unwrap();
    check(&Rules::compiled_in().unwrap(), &catalogue, &tank).map(Option::unwrap)
}

fn hung(name: &str, model: &str, wall: &str, height: &str, setting: &str) -> String {
    format!("[[pump]]\nname = \"{name}\"\nmodel = \"{model}\"\nwall = \"{wall}\"\nheight = \"{height}\"\nsetting = \"{setting}\"\n")
}

#[test]
fn flows_at_the_settings_add_up() {
    let fit = check_with(&(hung("left", "Weir", "left", "30 cm", "50 %") + &hung("right", "Weir", "right", "30 cm", "25 %"))).unwrap();
    // 3600 × (0.5 + 0.25), 2 × 3600, and four fifths of that.
    let litres = |text: &str| parse::<VolumeRate>(text).unwrap().si();
    assert!((fit.flow.si() / litres("2700 L/h") - 1.0).abs() < 1e-12);
    assert!((fit.full.si() / litres("7200 L/h") - 1.0).abs() < 1e-12);
    assert!((fit.fouled.si() / litres("5760 L/h") - 1.0).abs() < 1e-12);
    assert_eq!(fit.missing, VolumeRate::default());
    // 2700 L/h in some 140 L is 19 times an hour: within 10 to 20 and above 5 to 10.
    assert_eq!(fit.serves, [Livestock::Soft, Livestock::LargePolyp]);
    assert!(fit.streams.iter().all(|stream| stream.faults.is_empty()), "{:?}", fit.streams);
}

#[test]
fn one_pump_is_not_enough_for_later() {
    let fit = check_with(&hung("only", "Weir", "left", "30 cm", "50 %")).unwrap();
    assert!(fit.missing.si() > 0.0);
    assert!((fit.missing + fit.fouled).si() > fit.full.si());
}

#[test]
fn each_fault_of_a_stream_is_told() {
    let faults = |pump: &str| {
        let fit = check_with(pump).unwrap();
        fit.streams[0].faults.iter().map(|fault| fault.words.clone()).collect::<Vec<_>>()
    };
    assert_eq!(faults(&hung("low", "Weir", "left", "7 cm", "100 %"))[0], "hangs so low that it may lift the sand");
    assert_eq!(faults(&hung("high", "Weir", "left", "40 cm", "50 %")), ["hangs so high that it may draw air"]);
    assert_eq!(faults(&hung("short", "Weir", "back", "30 cm", "100 %")), ["may still be too strong when it meets the glass"]);
    assert_eq!(faults(&hung("slow", "Weir", "left", "30 cm", "5 %")), ["can not be set so low, and runs at its lowest"]);
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
