use super::*;
use crate::cases::costly;
use crate::catalogue::{PumpKind, PumpModel};
use proptest::prelude::*;

fn catalogue() -> Catalogue {
    let pump = |model: &str, flow: u32, price: u32| {
        format!(
            "[[pump]]\nmodel = \"{model}\"\nkind = \"round-controllable\"\nrated_flow = \"{flow} L/h\"\nlowest_setting = \"15 %\"\noutlet = \"{} mm\"\npower = \"8 W\"\nsound = \"30 dB\"\nprice = \"{price} USD\"\nwet_end_price = \"30 USD\"\nshaft = \"ceramic\"\n",
            20 + flow / 170
        )
    };
    let pumps = [("Beck", 1500, 60), ("Weir", 2400, 90), ("Race", 4000, 150)]
        .map(|(model, flow, price)| pump(model, flow, price));
    Catalogue::read("pumps.toml", &format!("currency = \"USD\"\n{}", pumps.concat())).unwrap()
}

fn dollars(amount: f64) -> Money {
    Money { amount, currency: crate::quantity::Currency::USD }
}

fn tank(later: &str, models: &[&str]) -> Tank {
    let named = models.iter().zip(["a", "b", "c"]);
    let hung = named.map(|(model, name)| {
        format!("[[pump]]\nname = \"{name}\"\nmodel = \"{model}\"\nwall = \"left\"\nheight = \"30 cm\"\n")
    });
    let text = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n[livestock]\nnow = \"soft\"\nlater = \"{later}\"\n{}",
        hung.collect::<String>()
    );
    Tank::read("t.toml", &text, &Rules::compiled_in().unwrap()).unwrap()
}

#[test]
fn pumps_that_are_enough_get_nothing_added() {
    let rules = Rules::compiled_in().unwrap();
    let upgrade = upgrade(&rules, &catalogue(), &tank("soft", &["Race", "Race"])).unwrap().unwrap();
    assert!(upgrade.steps.is_empty());
    assert_eq!(upgrade.added.price, dollars(0.0));
}

#[test]
fn what_is_added_is_like_what_hangs() {
    let rules = Rules::compiled_in().unwrap();
    // 88.4 × 43.4 × 44.2 cm are 170 L, which want 30 times an hour later: 5090 L/h, that is 6360 rated. One
    // Weir hangs, so 3960 are missing: one Race for 150 would be enough, but gives the Weir three fifths of
    // its own flow to stand against. Two Weirs are like it.
    let upgrade = upgrade(&rules, &catalogue(), &tank("small_polyp", &["Weir"])).unwrap().unwrap();
    assert_eq!(upgrade.added.models, [1, 1]);
    assert!(upgrade.unlike.is_none());
    assert_eq!(upgrade.steps.len(), 2);
    assert_eq!(upgrade.steps[1].enough_for.as_ref(), rules.kind("small_polyp"));
    assert_eq!(upgrade.steps[1].spent, dollars(180.0));
}

#[test]
fn where_nothing_is_like_the_pumps_that_hang_the_nearest_is_told() {
    let rules = Rules::compiled_in().unwrap();
    // Without the Weir among the models on offer, a Race and two Becks are left beside the one that hangs.
    let mut catalogue = catalogue();
    catalogue.pumps[1].largest_pane = Some(uom::si::f64::Length::from_si(4e-3));
    let upgrade = upgrade(&rules, &catalogue, &tank("small_polyp", &["Weir"])).unwrap().unwrap();
    let unlike = upgrade.unlike.unwrap();
    assert!(!upgrade.added.models.contains(&1));
    assert!(unlike.is.si < unlike.limit.si && unlike.is.si >= 0.59, "{unlike:?}");
}

#[test]
fn pumps_that_can_be_in_no_good_set_are_to_be_replaced() {
    let rules = Rules::compiled_in().unwrap();
    // A pump with one speed and a hard jet: its stream is too strong for large polyps up to the far glass.
    let mut catalogue = catalogue();
    let hard = catalogue.pumps[2].clone();
    catalogue.pumps.push(PumpModel {
        model: "Hard".to_owned(),
        kind: PumpKind::RoundFixed,
        lowest_setting: crate::quantity::Share(1.0),
        ..hard
    });
    let refusal = upgrade(&rules, &catalogue, &tank("large_polyp", &["Hard"])).unwrap().unwrap_err();
    assert!(!refusal.blocked.is_empty());
    let anew = refusal.replace_by.unwrap();
    assert!(anew.models.len() > 1 && !anew.models.contains(&3), "{anew:?}");
}

#[test]
fn a_budget_that_is_too_small_blocks_it() {
    let rules = Rules::compiled_in().unwrap();
    let mut tank = tank("small_polyp", &["Weir"]);
    tank.wishes.budget = Some(dollars(100.0));
    let refusal = upgrade(&rules, &catalogue(), &tank).unwrap().unwrap_err();
    assert_eq!((refusal.blocked[0].is.si, refusal.blocked[0].limit.si), (180.0, 100.0));
    assert!(refusal.replace_by.is_none());
}

/// Each step brings more flow, costs more, and the last one is enough for later.
#[test]
fn every_step_leads_on() {
    costly(10, proptest::collection::vec(0..3_usize, 1..3), |hung| {
        let rules = Rules::compiled_in().unwrap();
        let names: Vec<_> = hung.iter().map(|at| ["Beck", "Weir", "Race"][*at]).collect();
        let Ok(upgrade) = upgrade(&rules, &catalogue(), &tank("small_polyp", &names)).unwrap() else {
            return Ok(());
        };
        for pair in upgrade.steps.windows(2) {
            prop_assert!(pair[0].fouled < pair[1].fouled && pair[0].spent.amount < pair[1].spent.amount);
        }
        if let Some(last) = upgrade.steps.last() {
            prop_assert!(last.enough_for.as_ref().is_some_and(Livestock::is_small_polyp));
            prop_assert!((last.spent.amount - upgrade.added.price.amount).abs() < 1e-9);
            prop_assert!((last.fouled.si() / upgrade.added.fouled.si() - 1.0).abs() < 1e-9);
        }
        Ok(())
    });
}

proptest! {}
