use super::*;
use crate::sheet::Figure;

/// A tank of the book, reckoned with the book's catalogue.
fn sheet(file: &str) -> Sheet {
    let rules = Rules::compiled_in().unwrap();
    let book = concat!(env!("CARGO_MANIFEST_DIR"), "/../book/");
    let read = |file: &str| std::fs::read_to_string(format!("{book}{file}")).unwrap();
    let catalogue = Catalogue::read("pumps.toml", &read("pumps.toml")).unwrap();
    let tank = Tank::read_with(file, &read(file), &rules, &catalogue).unwrap();
    Sheet::reckon(&rules, &catalogue, &tank).unwrap()
}

/// The figure or the cell of the given id.
fn any<'s>(sheet: &'s Sheet, id: &str) -> &'s Figure {
    sheet.any_figure(id).unwrap_or_else(|| panic!("no `{id}`"))
}

fn names(figure: &Figure, rule: &str) -> bool {
    figure.rules.iter().any(|named| named.starts_with(rule))
}

#[test]
fn what_the_plan_is_good_for_rests_on_the_figure_that_names_its_pumps() {
    let sheet = sheet("tanks/first_reef.toml");
    let pumps = any(&sheet, id::PUMPS.name());
    let chosen_by =
        ["turnover.", "speeds.", "placement.", "plan.", "stream.", "sand.", "sound.", "cost.", "power."];
    let behind = sheet.behind(&pumps.rules, &pumps.inputs);
    for topic in chosen_by {
        assert!(behind.iter().any(|rule| rule.starts_with(topic)), "nothing of `{topic}` behind the pumps");
    }
    for told in [
        id::COUNT.name(),
        id::FLOW_FULL.name(),
        id::FLOW_FOULED.name(),
        id::PRICE.name(),
        "plan_best.2.price",
    ] {
        let told = any(&sheet, told);
        assert_eq!(
            (told.inputs.as_slice(), told.rules.as_slice()),
            (&["plan.pumps".into()][..], &[][..]),
            "{told:?}"
        );
    }
    assert_eq!(any(&sheet, id::ENERGY_COST.name()).inputs, ["plan.energy", "power.price"]);
}

#[test]
fn a_reason_names_the_figures_that_it_holds_against_each_other() {
    let sheet = sheet("tanks/first_reef.toml");
    let held = |id: &str, figures: &[&str]| {
        for end in ["is", "limit"] {
            let inputs = &any(&sheet, &format!("{id}.{end}")).inputs;
            for figure in figures {
                assert!(
                    inputs.iter().any(|input| input == figure),
                    "{id}.{end} does not name `{figure}`: {inputs:?}"
                );
            }
        }
    };
    held("plan_reasons.1", &["plan.flow_fouled", "flow.aim"]);
    held("plan_reasons.2", &["plan.flow_low", "flow.now"]);
    held("plan_reasons.3", &["plan.count"]);
    held("plan_reasons.5", &["speeds.later"]);
    held("plan_reasons.7", &["plan.flow_one_stopped", "flow.now"]);
    // How alike pumps are has nothing to do with what their streams do.
    let alike = any(&sheet, "plan_reasons.4.is");
    assert!(alike.rules == ["plan.alike"], "{:?}", alike.rules);
    let weakest = any(&sheet, "plan_reasons.5.is");
    assert!(names(weakest, "stream.round_decay") && !names(weakest, "sound.") && !names(weakest, "cost."));
    // The calm part is asked of the strongest stream alone.
    assert!(
        !names(weakest, "placement.calm_share")
            && names(any(&sheet, "plan_reasons.6.is"), "placement.calm_share")
    );
}

#[test]
fn a_place_names_what_bounds_it_and_no_more() {
    let sheet = sheet("tanks/first_reef.toml");
    let height = any(&sheet, "places.1.height");
    assert_eq!(height.inputs, ["plan.setting_later", "places.1.lowest", "places.1.highest"]);
    assert_eq!(height.rules, ["placement.height_share", "placement.stagger"]);
    let (lowest, along) = (any(&sheet, "places.1.lowest"), any(&sheet, "places.1.along"));
    assert!(
        names(lowest, "sand.band") && names(lowest, "placement.below_surface") && !names(lowest, "speeds.")
    );
    assert!(along.rules.is_empty(), "{:?}", along.rules);
    let zone = any(&sheet, "places_zones.1.small_polyp.from");
    assert!(zone.inputs.iter().any(|input| input == "places.1.height"), "{:?}", zone.inputs);
    assert!(names(zone, "speeds.small_polyp") && !names(zone, "sand."), "{:?}", zone.rules);
}

#[test]
fn a_plan_that_can_not_price_energy_says_so() {
    let rules = Rules::compiled_in().unwrap();
    let pumps = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../book/pumps.toml")).unwrap();
    let catalogue = Catalogue::read("pumps.toml", &pumps).unwrap();
    let rank = |home: &str| {
        let glass =
            "shape = \"box\", length = \"90 cm\", width = \"45 cm\", height = \"45 cm\", pane = \"8 mm\"";
        let text = format!("name = \"T\"\nglass = {{ {glass} }}\nlivestock = {{ now = \"soft\" }}\n{home}");
        let tank = Tank::read_with("t.toml", &text, &rules, &catalogue).unwrap();
        any(&Sheet::reckon(&rules, &catalogue, &tank).unwrap(), id::RANK.name()).text()
    };
    let words = &rules.words.plan;
    assert_eq!(rank(""), words.rank_cost());
    let abroad = "[home]\ncurrency = \"EUR\"\nprice_per_kwh = \"0.3 EUR\"\n";
    assert_eq!(rank(abroad), words.rank_cost_without_energy());
    assert_eq!(rank(&format!("{abroad}exchange = \"1.1 USD\"\n")), words.rank_cost());
}
