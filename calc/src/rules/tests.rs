use super::*;
use crate::quantity::{Dimension, Kind};

fn load(file: &str, text: &str) -> Result<Rules, Vec<Problem>> {
    Rules::load(&[(file.to_owned(), text.to_owned())])
}

const AIM: &str = "[aim]\ntitle = \"Where to aim\"\nvalue = \"40 %\"\nbasis = \"common-practice\"\n";

#[test]
fn a_table_goes_before_that_of_its_name_and_all_others_stay() {
    let (own, compiled_in) = (load("turnover.toml", AIM).unwrap(), Rules::compiled_in().unwrap());
    assert!((own.turnover.aim.si() - 0.4).abs() < 1e-12);
    assert_eq!(own.rule("turnover.aim").unwrap().title, "Where to aim");
    let others = |rules: &Rules| rules.all.iter().filter(|rule| rule.id != "turnover.aim").cloned().collect::<Vec<_>>();
    assert_eq!(others(&own), others(&compiled_in));
    // An empty file changes nothing.
    assert_eq!(load("turnover.toml", "").unwrap().all, compiled_in.all);
}

#[test]
fn a_source_of_ones_own_joins_those_compiled_in() {
    let source =
        "[club_1999]\nauthor = \"The club\"\nyear = \"1999\"\ntitle = \"Notes\"\npublished = \"a leaflet\"\nseen = \"in the original\"\n";
    let aim = AIM.replace("common-practice\"", "published\"\nsource = \"club_1999\"\nplace = \"page 2\"");
    let files = [("sources.toml".to_owned(), source.to_owned()), ("turnover.toml".to_owned(), aim.clone())];
    let rules = Rules::load(&files).unwrap();
    assert_eq!(rules.sources.len(), Rules::compiled_in().unwrap().sources.len() + 1);
    assert_eq!(load("turnover.toml", &aim).unwrap_err()[0].message, "`sources.toml` has no `club_1999`");
}

#[test]
fn a_rule_that_only_a_page_prints_needs_no_declaration() {
    let rule = "[our_nights]\ntitle = \"Evenings on which we meet\"\nvalue = \"3\"\nbasis = \"invented\"\nused_by = \"pages\"\n";
    let band = "[our_way]\ntitle = \"Way\"\nlow = \"2 m\"\nhigh = \"6 ft\"\nbasis = \"invented\"\nused_by = \"pages\"\n";
    let rules = load("upkeep.toml", &format!("{rule}\n{band}")).unwrap();
    let value = |id: &str| rules.rule(id).unwrap().value.clone();
    assert_eq!(value("upkeep.our_nights"), RuleValue::One(Quantity::new(Kind::Ratio, 3.0)));
    let RuleValue::Band(low, high) = value("upkeep.our_way") else { panic!("no band") };
    assert_eq!((low.kind, low.si, high.kind), (Kind::Length, 2.0, Kind::Length));
    assert!((high.si - 1.8288).abs() < 1e-12);
    // Without that word it may be a slip of the pen.
    let problems = load("upkeep.toml", &rule.replace("used_by = \"pages\"\n", "")).unwrap_err();
    assert_eq!(problems.len(), 1, "{problems:?}");
    assert!(problems[0].message.contains("our_nights"), "{}", problems[0].message);
    let problems = load("upkeep.toml", &rule.replace("\"pages\"", "\"page\"")).unwrap_err();
    assert!(problems[0].help[0].contains("pages"), "{problems:?}");
}

#[test]
fn what_is_wrong_in_a_file_of_ones_own_is_told_in_that_file() {
    let problems =
        load("turnover.toml", "[aim]\ntitle = \"\"\nvalue = \"400 %\"\nbasis = \"common-practice\"\n[soft]\nlow = \"1 L\"\n").unwrap_err();
    assert!(problems.iter().all(|problem| problem.document == "turnover.toml"));
    assert!(problems.len() >= 4, "{problems:?}");
    assert!(load("turnovers.toml", "").unwrap_err()[0].help[0].contains("turnover.toml"));
}

#[test]
fn a_band_turned_round_is_refused() {
    let soft = "[soft]\ntitle = \"Soft\"\nlow = \"20 per hour\"\nhigh = \"10 per hour\"\nbasis = \"common-practice\"\n";
    assert_eq!(load("turnover.toml", soft).unwrap_err()[0].message, "`high` is not above `low`");
}

#[test]
fn reading_a_rule_is_noted() {
    let rules = Rules::compiled_in().unwrap();
    let named = |trace: &crate::trace::Trace| trace.rules().map(|place| rules.all[place].id.clone()).collect::<Vec<_>>();
    let (_, trace) = crate::trace::record(|| (*rules.turnover.aim, rules.turnover.band(rules.kind("soft").unwrap())));
    assert_eq!(named(&trace), ["turnover.soft", "turnover.aim"]);
}

#[test]
fn words_of_ones_own_go_before_those_compiled_in() {
    let own = "[title]\n\"power_cut.pump\" = \"What still runs\"\n[say]\nno_pump = \"Hang a pump into {tank}.\"\n";
    let words = load("words/power_cut.toml", own).unwrap().words;
    assert_eq!(words.title("power_cut.pump"), "What still runs");
    assert_eq!(words.power_cut.no_pump("Pond"), "Hang a pump into Pond.");
    let compiled_in = Rules::compiled_in().unwrap().words;
    assert_eq!(words.title("power_cut.setting"), compiled_in.title("power_cut.setting"));
    assert_eq!(words.power_cut.no_socket("Pond"), compiled_in.power_cut.no_socket("Pond"));
    assert_ne!(words.power_cut.no_pump("Pond"), compiled_in.power_cut.no_pump("Pond"));
}

#[test]
fn what_is_wrong_in_words_of_ones_own_is_told_with_what_would_be_right() {
    for (text, message, help) in [
        ("[say]\nno_pump = \"{reef} has none.\"", "nothing fills `{reef}` in here", "{tank}"),
        ("[say]\nno_pump = \"{tank has none.\"", "a brace is not closed", "{tank}"),
        ("[say]\nno_pumps = \"None.\"", "unknown key `say.no_pumps`", "no_pump"),
        ("[title]\n\"power_cut.pumps\" = \"Pumps\"", "unknown key `title.power_cut.pumps`", "power_cut.pump"),
        ("[table.power_cut_times]\nheads = [\"What happens\"]", "`heads` holds 1 texts", "write 4"),
        ("[title]\n\"power_cut.pump\" = 3", "`power_cut.pump` must be a text", "write"),
    ] {
        let problems = load("words/power_cut.toml", text).unwrap_err();
        assert_eq!(problems.len(), 1, "{problems:?}");
        assert!(problems[0].message.contains(message) && problems[0].help[0].contains(help), "{problems:?}");
        assert_eq!(problems[0].document, "words/power_cut.toml");
    }
    assert!(load("words/power_cuts.toml", "").unwrap_err()[0].help[0].contains("words/power_cut.toml"));
}
