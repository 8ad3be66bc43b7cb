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
    let others = |rules: &Rules| {
        rules.all.iter().filter(|rule| rule.id != "turnover.aim").cloned().collect::<Vec<_>>()
    };
    assert_eq!(others(&own), others(&compiled_in));
    // An empty file changes nothing.
    assert_eq!(load("turnover.toml", "").unwrap().all, compiled_in.all);
}

#[test]
fn a_source_of_ones_own_joins_those_compiled_in() {
    let source = "[club_1999]\nauthor = \"The club\"\nyear = \"1999\"\ntitle = \"Notes\"\npublished = \"a leaflet\"\nseen = \"in the original\"\n";
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
    let problems = load(
        "turnover.toml",
        "[aim]\ntitle = \"\"\nvalue = \"400 %\"\nbasis = \"common-practice\"\n[soft]\nlow = \"1 L\"\n",
    )
    .unwrap_err();
    assert!(problems.iter().all(|problem| problem.document == "turnover.toml"));
    assert!(problems.len() >= 4, "{problems:?}");
    assert!(load("turnovers.toml", "").unwrap_err()[0].help[0].contains("turnover.toml"));
    // A name that is like no other: all that there are.
    let far = &load("qqqqqqqqqqqqqqqqqqqq.toml", "").unwrap_err()[0].help[0];
    assert!(far.contains("turnover.toml, ") && far.contains("words/TOPIC.toml"), "{far}");
}

#[test]
fn a_band_turned_round_is_refused() {
    let soft = "[soft]\ntitle = \"Soft\"\nlow = \"20 per hour\"\nhigh = \"10 per hour\"\nbasis = \"common-practice\"\n";
    assert_eq!(load("turnover.toml", soft).unwrap_err()[0].message, "`high` is not above `low`");
}

#[test]
fn reading_a_rule_is_noted() {
    let rules = Rules::compiled_in().unwrap();
    let named = |trace: &crate::trace::Trace| {
        trace.rules().map(|place| rules.all[place].id.clone()).collect::<Vec<_>>()
    };
    let (_, trace) =
        crate::trace::record(|| (*rules.turnover.aim, rules.turnover.band(rules.kind("soft").unwrap())));
    assert_eq!(named(&trace), ["turnover.soft", "turnover.aim"]);
}

#[test]
fn words_of_ones_own_go_before_those_compiled_in() {
    let own =
        "[title]\n\"power_cut.pump\" = \"What still runs\"\n[say]\nno_pump = \"Hang a pump into {tank}.\"\n";
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
        ("[say]\nno_pump = \"Hang a pump.\"", "`{tank}` is left out", "{tank}"),
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

/// A kind that nobody keeps, between soft and large-polyp corals.
const SEA_FANS: &str = "[sea_fans]\norder = 25\nwords = \"sea fans\"\ncoral = true\n\
    [sea_fans.turnover]\ntitle = \"Sea fans\"\nlow = \"15 per hour\"\nhigh = \"30 per hour\"\nbasis = \"invented\"\n\
    [sea_fans.speeds]\ntitle = \"Speed of the water past sea fans\"\nlow = \"8 cm/s\"\nhigh = \"30 cm/s\"\nbasis = \"invented\"\n\
    [sea_fans.oxygen]\ntitle = \"What sea fans take up\"\nlow = \"12 %\"\nhigh = \"60 %\"\nbasis = \"invented\"\n";

#[test]
fn a_kind_of_ones_own_stands_among_the_others_in_its_order() {
    let (own, compiled_in) = (load("livestock.toml", SEA_FANS).unwrap(), Rules::compiled_in().unwrap());
    let keys = |rules: &Rules| rules.livestock.iter().map(|kind| kind.key().to_owned()).collect::<Vec<_>>();
    assert_eq!(keys(&compiled_in), ["fish_only", "soft", "large_polyp", "small_polyp", "small_polyp_strong"]);
    assert_eq!(
        keys(&own),
        ["fish_only", "soft", "sea_fans", "large_polyp", "small_polyp", "small_polyp_strong"]
    );
    let fans = own.kind("sea_fans").unwrap();
    assert_eq!(fans.words(), "sea fans");
    assert!(fans.is_coral() && !fans.is_stony() && !fans.is_small_polyp());
    let (turnover, speeds, share) =
        (own.turnover.band(fans), own.speeds.band(fans), own.oxygen.reef_share(fans));
    assert!(
        (turnover.low.si() - 15.0 / 3600.0).abs() < 1e-12
            && (turnover.high.si() - 30.0 / 3600.0).abs() < 1e-12
    );
    assert!((speeds.low.si() - 0.08).abs() < 1e-12 && (share.high.0 - 0.6).abs() < 1e-12);
    // Its rules have ids like those of the other kinds, and reading one is noted.
    let (_, trace) = crate::trace::record(|| own.oxygen.reef_share(fans));
    assert_eq!(
        trace.rules().map(|place| own.all[place].id.as_str()).collect::<Vec<_>>(),
        ["oxygen.reef_sea_fans"]
    );
    assert_eq!(own.rule("turnover.sea_fans").unwrap().basis, Basis::Invented);
    assert_eq!(own.all.len(), compiled_in.all.len() + 3);
    // A rule means the same whether or not the kind is there.
    for rule in &compiled_in.all {
        assert_eq!(own.rule(&rule.id), Some(rule));
    }
}

#[test]
fn a_part_of_a_kind_goes_before_that_compiled_in() {
    let band = "title = \"Soft\"\nlow = \"12 per hour\"\nhigh = \"18 per hour\"\nbasis = \"from-memory\"\n";
    let compiled_in = Rules::compiled_in().unwrap();
    let words = load("livestock.toml", "[soft]\nwords = \"leathers and mushrooms\"\n").unwrap();
    let soft = words.kind("soft").unwrap();
    assert_eq!(
        (soft.words(), soft.is_coral(), &words.all),
        ("leathers and mushrooms", true, &compiled_in.all)
    );
    assert!(
        load("livestock.toml", "[fish_only]\ncoral = true\n").unwrap().kind("fish_only").unwrap().is_coral()
    );
    // The rule may stand within its kind, or by its own name in the file of its topic.
    let within = load("livestock.toml", &format!("[soft.turnover]\n{band}")).unwrap();
    let by_name = load("turnover.toml", &format!("[soft]\n{band}")).unwrap();
    for rules in [within, by_name] {
        assert_eq!(rules.rule("turnover.soft").unwrap().title, "Soft");
        assert!((rules.turnover.band(rules.kind("soft").unwrap()).low.si() - 12.0 / 3600.0).abs() < 1e-12);
        let others = |rules: &Rules| {
            rules.all.iter().filter(|rule| rule.id != "turnover.soft").cloned().collect::<Vec<_>>()
        };
        assert_eq!(others(&rules), others(&compiled_in));
    }
}

#[test]
fn what_is_wrong_with_a_kind_of_ones_own_is_told_with_what_would_be_right() {
    let named = |name: &str| SEA_FANS.replace("sea_fans", name);
    for (text, message, help) in [
        (SEA_FANS.replace("order = 25\n", ""), "`sea_fans.order` is missing", "write order"),
        (SEA_FANS.replace("words = \"sea fans\"\n", ""), "`sea_fans.words` is missing", "write words"),
        (
            SEA_FANS.replace("coral = true", "corals = true"),
            "unknown key `sea_fans.corals`",
            "did you mean `coral`",
        ),
        (
            SEA_FANS.replace("[sea_fans.speeds]", "[sea_fans.speed]"),
            "`sea_fans.speeds` is missing",
            "[sea_fans.speeds]",
        ),
        (SEA_FANS.replace("\"30 per hour\"", "\"10 per hour\""), "`high` is not above `low`", "swap them"),
        (SEA_FANS.replace("\"30 cm/s\"", "\"30 m/s\""), "`high` is 30", "from 0.1 cm/s to 200 cm/s"),
        (
            SEA_FANS.replace("basis = \"invented\"\n[sea_fans.speeds]", "[sea_fans.speeds]"),
            "`sea_fans.turnover.basis` is missing",
            "one of",
        ),
        (named("now"), "`now` can not be the name of a kind", "write another name"),
        (named("\"Sea fans\""), "`Sea fans` can not be the name of a kind", "in small letters"),
        (
            named("aim"),
            "`aim` can not be the name of a kind: `turnover.aim` is another rule",
            "write another name",
        ),
        (
            named("night"),
            "`night` can not be the name of a kind: `oxygen.reef_night` is another rule",
            "write another name",
        ),
    ] {
        let problems = load("livestock.toml", &text).unwrap_err();
        let told = problems.iter().find(|problem| problem.message.contains(message));
        let told = told.unwrap_or_else(|| panic!("{message}: {problems:?}"));
        assert!(told.help[0].contains(help), "{told:?}");
        assert!(problems.iter().all(|problem| problem.document == "livestock.toml"), "{problems:?}");
        assert!(told.span.start > 0 || text.starts_with('['), "{told:?}");
    }
    let many: String = (0..60).map(|at| named(&format!("fans_{at}"))).collect();
    assert!(load("livestock.toml", &many).unwrap_err()[0].message.contains("is one kind too many"));
}
