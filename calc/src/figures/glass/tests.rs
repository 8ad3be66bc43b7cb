use proptest::prelude::*;

use uom::si::f64::{Length, MassDensity, Pressure, Ratio};

use super::*;
use crate::formulas::glass::{Load, bent};
use crate::quantity::Dimension;
use crate::quantity::parse;
use crate::sheet::Value;

fn ratio(value: f64) -> Ratio {
    Ratio::from_si(value)
}

fn sheet(glass: &str) -> Sheet {
    let rules = Rules::compiled_in().unwrap();
    let text = format!("name = \"T\"\n[glass]\n{glass}\n[livestock]\nnow = \"soft\"\n");
    Sheet::reckon(&rules, &crate::Catalogue::empty(), &Tank::read("t.toml", &text, &rules).unwrap()).unwrap()
}

fn verdict(glass: &str) -> String {
    sheet(glass).figure("glass.verdict").unwrap().text()
}

#[test]
fn a_pane_as_thin_as_a_window_under_a_tall_tank_is_told() {
    // The usual formula wants about 15 mm: 0.75 m × √(0.372 × 7527 Pa ÷ 7.25 MPa) = 14.7 mm, with β between 0.3506 and 0.4579.
    let tall = "shape = \"box\"\nlength = \"120 cm\"\nwidth = \"60 cm\"\nheight = \"75 cm\"\npane = \"5 mm\"";
    let sheet = sheet(tall);
    assert_eq!(sheet.figure("glass.verdict").unwrap().text(), Verdict::Thin.words());
    assert!(sheet.figure("glass.thin").is_some() && sheet.figure("glass.thick").is_none());
    let Value::One(low) = sheet.figure("glass.usual_pane").unwrap().value else { panic!("a range") };
    assert!((low.si - 14.7e-3).abs() < 0.2e-3, "{}", low.si);
    assert_eq!(verdict(&tall.replace("pane = \"5 mm", "pane = \"15.6 mm")), Verdict::Usual.words());
}

#[test]
fn between_as_built_and_too_thin_lies_a_limit() {
    // 14.7 mm, give or take 5 %: from 13.97 to 15.44 mm.
    let tall = |pane: &str| format!("shape = \"box\"\nlength = \"120 cm\"\nwidth = \"60 cm\"\nheight = \"75 cm\"\npane = \"{pane}\"");
    let told = |pane: &str| {
        let sheet = sheet(&tall(pane));
        let warns = ["glass.thin", "glass.limit"].map(|id| sheet.figure(id).is_some());
        (sheet.figure("glass.verdict").unwrap().text(), warns)
    };
    for (pane, verdict, warns) in [
        ("13.7 mm", Verdict::Thin, [true, false]),
        ("14.2 mm", Verdict::AtTheLimit, [false, true]),
        ("15 mm", Verdict::AtTheLimit, [false, true]),
        ("15.6 mm", Verdict::Usual, [false, false]),
    ] {
        assert_eq!(told(pane), (verdict.words().to_owned(), warns), "{pane}");
    }
    // The smallest panes are no sum: 4 mm are usual, a little less is at the limit, 3.7 mm are thin.
    let nano =
        |pane: &str| verdict(&format!("shape = \"box\"\nlength = \"28 cm\"\nwidth = \"28 cm\"\nheight = \"30 cm\"\npane = \"{pane}\""));
    assert_eq!(
        ["4 mm", "3.9 mm", "3.7 mm"].map(nano),
        [Verdict::Usual, Verdict::AtTheLimit, Verdict::Thin].map(|verdict| verdict.words().to_owned())
    );
}

#[test]
fn panes_are_told_in_millimetres_and_the_rim_is_named() {
    let long = "shape = \"box\"\nlength = \"130 cm\"\nwidth = \"60 cm\"\nheight = \"60 cm\"\npane = \"12 mm\"";
    let (free, braced) = (sheet(long), sheet(&format!("{long}\nbraced = true")));
    let text = |sheet: &Sheet, id: &str| sheet.figure(id).unwrap().text().replace('\u{a0}', " ");
    assert_eq!(text(&free, "tank.pane"), "12 mm (0.47 in)");
    for id in ["glass.usual_pane", "glass.braced_pane"] {
        assert!(text(&free, id).contains(" mm (") && text(&free, id).ends_with(" in)"), "{}", text(&free, id));
    }
    // 12 mm bear 7.28 MPa, a little more than the 7.25 MPa that panes are built for: what is asked for prints above them.
    assert_eq!((text(&free, "glass.usual_pane"), text(&free, "glass.stress")), ("12.1 mm (0.48 in)".to_owned(), "7.28 MPa".to_owned()));
    assert_eq!(text(&free, "glass.verdict"), Verdict::AtTheLimit.words());
    assert!(text(&free, "glass.rim").starts_with("free") && text(&braced, "glass.rim").starts_with("held straight"));
    assert_eq!(text(&braced, "glass.usual_pane"), text(&free, "glass.braced_pane"));
    assert!(braced.figure("glass.braced_pane").is_none());
    // Where the smallest panes decide, braces make no difference.
    let nano = sheet("shape = \"box\"\nlength = \"28 cm\"\nwidth = \"28 cm\"\nheight = \"30 cm\"\npane = \"4 mm\"");
    assert!(nano.figure("glass.braced_pane").is_none() && nano.lacking("glass.braced_pane").is_some());
}

#[test]
fn a_pane_ten_times_too_thick_is_told() {
    let nano = "shape = \"box\"\nlength = \"45 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"5 cm\"";
    assert_eq!(verdict(nano), Verdict::Thick.words());
    for usual in ["5.5 mm", "6 mm", "8 mm", "10 mm"] {
        assert_eq!(verdict(&nano.replace("pane = \"5 cm", &format!("pane = \"{usual}"))), Verdict::Usual.words(), "{usual}");
    }
    assert_eq!(verdict(&nano.replace("pane = \"5 cm", "pane = \"4 mm")), Verdict::Thin.words());
}

#[test]
fn a_brace_lets_a_long_pane_be_thinner() {
    let long = "shape = \"box\"\nlength = \"60 in\"\nwidth = \"24 in\"\nheight = \"24 in\"\npane = \"7/16 in\"";
    assert_eq!(verdict(long), Verdict::Thin.words());
    assert_eq!(verdict(&format!("{long}\nbraced = true")), Verdict::Usual.words());
}

#[test]
fn what_the_sum_does_not_reach_is_said_and_not_judged() {
    let round = "shape = \"cylinder\"\ndiameter = \"60 cm\"\nheight = \"60 cm\"\npane = \"2 mm\"";
    assert_eq!(verdict(round), Verdict::Curved.words());
    let acrylic = "shape = \"box\"\nlength = \"120 cm\"\nwidth = \"60 cm\"\nheight = \"75 cm\"\npane = \"5 mm\"\nmaterial = \"acrylic\"";
    let sheet = sheet(acrylic);
    assert_eq!(sheet.figure("glass.verdict").unwrap().text(), Verdict::Acrylic.words());
    assert!(sheet.figure("glass.stress").is_none());
    assert_eq!(sheet.lacking("glass.stress").unwrap(), "The panes of T are of acrylic, whose thickness goes by its maker alone.");
    // The back of a bow front and the sides of a hexagon are flat, and are judged.
    let bow =
        "shape = \"bow_front\"\nlength = \"120 cm\"\nwidth = \"40 cm\"\nmiddle_width = \"60 cm\"\nheight = \"75 cm\"\npane = \"5 mm\"";
    assert_eq!(verdict(bow), Verdict::Thin.words());
    assert_eq!(verdict("shape = \"hexagon\"\nacross = \"1 m\"\nheight = \"80 cm\"\npane = \"4 mm\""), Verdict::Thin.words());
}

#[test]
fn what_is_no_pane_is_refused() {
    let rules = Rules::compiled_in().unwrap().glass;
    assert!(bent(ratio(0.05), ratio(0.22), Rim::Free, Load::Water).is_err());
    assert!(bent(ratio(1.0), ratio(0.6), Rim::Free, Load::Water).is_err());
    let pane =
        Pane { length: parse("90 cm").unwrap(), height: parse("45 cm").unwrap(), rim: Rim::Free, water: MassDensity::from_si(1025.0) };
    assert!(pane.stress(parse("0.5 mm").unwrap(), &rules).is_err());
    assert!(pane.thickness(Pressure::from_si(0.0), &rules).is_err());
    assert!(Pane { height: parse("11 m").unwrap(), ..pane }.stress(parse("8 mm").unwrap(), &rules).is_err());
}

proptest! {
    #[test]
    fn a_braced_rim_never_bends_a_pane_more(length in 0.2..12.0, poisson in 0.0..0.5) {
        let bending = |rim| bent(ratio(length), ratio(poisson), rim, Load::Water).unwrap().bending;
        prop_assert!(bending(Rim::Braced) <= bending(Rim::Free) * (1.0 + 1e-9));
    }

    #[test]
    fn water_bends_less_than_its_pressure_at_the_foot_everywhere(length in 0.2..12.0, is_braced: bool) {
        let rim = if is_braced { Rim::Braced } else { Rim::Free };
        let worst = |load| bent(ratio(length), ratio(0.22), rim, load).unwrap().bending;
        prop_assert!(worst(Load::Water) <= worst(Load::Even));
        // By symmetry a braced pane bears half of the even load's stress in its middle.
        prop_assert!(!is_braced || 2.0 * worst(Load::Water) >= worst(Load::Even) * (1.0 - 1e-9));
    }

    #[test]
    fn thickness_and_stress_are_inverse(length in 0.1..3.0_f64, height in 0.1..2.0_f64, megapascal in 0.5..40.0) {
        let (rules, stress) = (Rules::compiled_in().unwrap().glass, Pressure::from_si(megapascal * 1e6));
        // Just inside the shapes that are answered, so that the last bit of a ratio decides nothing.
        let length = length.clamp(0.101 * height, 19.9 * height);
        let pane = Pane { length: Length::from_si(length), height: Length::from_si(height), rim: Rim::Free, water: MassDensity::from_si(1025.0) };
        let thickness = pane.thickness(stress, &rules).unwrap();
        if !(1e-3..0.1).contains(&thickness.si()) {
            return Ok(());
        }
        prop_assert!((pane.stress(thickness, &rules).unwrap().si() / stress.si() - 1.0).abs() < 1e-9);
    }
}

/// Moments in the middle of a free edge over `q L²`, for an even load and a Poisson's ratio of 0.3: from memory of S. Timoshenko and S.
/// Woinowsky-Krieger, Theory of Plates and Shells.
#[test]
fn a_free_edge_bends_as_the_handbook_is_remembered() {
    for (height_over_length, moment) in [(0.5, 0.060), (2.0 / 3.0, 0.083), (1.0, 0.112), (2.0, 0.132)] {
        let plate = bent(ratio(1.0 / height_over_length), ratio(0.3), Rim::Free, Load::Even).unwrap();
        // Six times the moment is the stress; ours counts heights, the book lengths.
        let reckoned = plate.bending * height_over_length * height_over_length / 6.0;
        assert!((reckoned / moment - 1.0).abs() <= 0.004, "{height_over_length}: {reckoned}");
    }
}
