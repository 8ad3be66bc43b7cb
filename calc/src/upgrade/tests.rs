use super::*;
use crate::cases::costly;
use proptest::prelude::*;

fn catalogue() -> Catalogue {
    let pump = |model: &str, flow: u32, price: u32| {
        format!(
            "[[pump]]\nmodel = \"{model}\"\nkind = \"round-controllable\"\nrated_flow = \"{flow} L/h\"\nlowest_setting = \"15 %\"\noutlet = \"{} mm\"\npower = \"8 W\"\nsound = \"30 dB\"\nprice = \"{price} USD\"\nwet_end_price = \"30 USD\"\nshaft = \"ceramic\"\n",
            20 + flow / 170
        )
    };
    let pumps = [("Beck", 1500, 60), ("Weir", 2400, 90), ("Race", 4000, 150)].map(|(model, flow, price)| pump(model, flow, price));
    Catalogue::read("pumps.toml", &format!("currency = \"USD\"\n{}", pumps.concat())).unwrap()
}

fn dollars(amount: f64) -> Money {
    Money { amount, currency: crate::quantity::Currency::USD }
}

fn tank(later: &str, models: &[&str]) -> Tank {
    let named = models.iter().zip(["a", "b", "c"]);
    let hung =
        named.map(|(model, name)| format!("[[pump]]\nname = \"{name}\"\nmodel = \"{model}\"\nwall = \"left\"\nheight = \"30 cm\"\n"));
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
fn the_cheapest_addition_that_is_enough_wins() {
    let rules = Rules::compiled_in().unwrap();
    // 88.4 × 43.4 × 44.2 cm are 170 L, which want 30 times an hour later: 5090 L/h, that is 6360 rated. One Weir hangs, so 3960 are
    // missing: one Race for 150, two Weirs for 180 or three Becks for 180. A Beck and a Weir would cost as much as a Race, but are
    // neither enough nor alike.
    let upgrade = upgrade(&rules, &catalogue(), &tank("small_polyp", &["Weir"])).unwrap().unwrap();
    assert_eq!(upgrade.added.models, [2]);
    assert_eq!(upgrade.steps.len(), 1);
    assert_eq!(upgrade.steps[0].enough_for, Some(Livestock::SmallPolyp));
    assert_eq!(upgrade.steps[0].spent, dollars(150.0));
}

#[test]
fn a_budget_that_is_too_small_blocks_it() {
    let rules = Rules::compiled_in().unwrap();
    let mut tank = tank("small_polyp", &["Weir"]);
    tank.wishes.budget = Some(dollars(100.0));
    let reasons = upgrade(&rules, &catalogue(), &tank).unwrap().unwrap_err();
    assert_eq!((reasons[0].is.si, reasons[0].limit.si), (150.0, 100.0));
}

/// Each step brings more flow, costs more, and the last one is enough for later.
#[test]
fn every_step_leads_on() {
    costly(10, proptest::collection::vec(0..3_usize, 1..3), |hung| {
        let rules = Rules::compiled_in().unwrap();
        let names: Vec<_> = hung.iter().map(|at| ["Beck", "Weir", "Race"][*at]).collect();
        let Ok(upgrade) = upgrade(&rules, &catalogue(), &tank("small_polyp", &names)).unwrap() else { return Ok(()) };
        for pair in upgrade.steps.windows(2) {
            prop_assert!(pair[0].fouled < pair[1].fouled && pair[0].spent.amount < pair[1].spent.amount);
        }
        if let Some(last) = upgrade.steps.last() {
            prop_assert!(last.enough_for >= Some(Livestock::SmallPolyp));
            prop_assert!((last.spent.amount - upgrade.added.price.amount).abs() < 1e-9);
            prop_assert!((last.fouled.si() / upgrade.added.fouled.si() - 1.0).abs() < 1e-9);
        }
        Ok(())
    });
}

proptest! {}
