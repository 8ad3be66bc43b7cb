use super::*;
use crate::document::{Wanted, When};
use crate::quantity::Dimension;
use crate::trace::Trace;

fn read(rest: &str) -> Result<Tank, Vec<Problem>> {
    let text = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"1 cm\"\nfill_line = \"4 cm\"\n\
         [livestock]\nnow = \"soft\"\n{rest}\n"
    );
    Tank::read("t.toml", &text, &Rules::compiled_in().unwrap())
}

/// A return line and a skimmer of which no more is said than must be.
const RETURN_AND_SKIMMER: &str = "[return]\nlift = \"1 m\"\nlength = \"1 m\"\nbore = \"2 cm\"\npump_flow = \"1000 L/h\"\n\
                                  pump_head = \"2 m\"\npump_power = \"9 W\"\n[skimmer]";

fn rules_behind(trace: &Trace) -> Vec<String> {
    let rules = Rules::compiled_in().unwrap();
    trace.rules().map(|place| rules.all[place].id.to_string()).collect()
}

fn refused(rest: &str) -> (String, String) {
    let problems = read(rest).unwrap_err();
    assert_eq!(problems.len(), 1, "{problems:?}");
    (problems[0].message.replace('\u{a0}', " "), problems[0].help.join("; ").replace('\u{a0}', " "))
}

fn pump(name: &str, height: &str) -> String {
    format!("[[pump]]\nname = \"{name}\"\nmodel = \"M\"\nwall = \"left\"\nheight = \"{height}\"\n")
}

#[test]
fn what_a_file_leaves_out_is_assumed_by_rule_and_listed() {
    let rules = Rules::compiled_in().unwrap().assumed;
    let bare = read("").unwrap();
    assert_eq!(
        (*bare.home.voltage, *bare.home.breaker, *bare.home.pillow),
        (*rules.voltage, *rules.breaker, *rules.pillow)
    );
    assert_eq!((*bare.temperature, *bare.salinity), (*rules.temperature, *rules.salinity));
    let keys = [
        "water.temperature",
        "water.salinity",
        "home.price_per_kwh",
        "home.pillow",
        "home.room",
        "home.voltage",
        "home.breaker",
    ];
    let keys =
        [&keys[..2], &["lights"], &keys[2..], &["home.door", "home.temperature", "home.humidity"]].concat();
    assert_eq!(bare.assumed, keys);
    // An empty table says no more than none.
    assert_eq!(read("[home]\n[water]").unwrap(), bare);
    // What the mains are goes by the money, and is said.
    let money = |code: &str, more: &str| {
        read(&format!("[home]\ncurrency = \"{code}\"\nprice_per_kwh = \"0.35 {code}\"\n{more}")).unwrap()
    };
    let euros = money("EUR", "breaker = \"20 A\"\ndoor = false\n[lights]\non = \"09:00\"\noff = \"19:00\"");
    assert_eq!((euros.home.voltage.si(), euros.home.breaker.si()), (230.0, 20.0));
    assert_eq!(
        euros.assumed,
        [
            "water.temperature",
            "water.salinity",
            "home.pillow",
            "home.room",
            "home.voltage",
            "home.temperature",
            "home.humidity"
        ]
    );
    for (code, volts, amperes, rules) in [
        ("EUR", 230.0, 16.0, ["assumed.voltage_elsewhere", "assumed.breaker_elsewhere"]),
        ("GBP", 230.0, 16.0, ["assumed.voltage_elsewhere", "assumed.breaker_elsewhere"]),
        ("CAD", 120.0, 15.0, ["assumed.voltage", "assumed.breaker"]),
        ("USD", 120.0, 15.0, ["assumed.voltage", "assumed.breaker"]),
    ] {
        let tank = money(code, "");
        assert_eq!((tank.home.voltage.si(), tank.home.breaker.si()), (volts, amperes), "{code}");
        let told = [tank.home.voltage.trace(), tank.home.breaker.trace()].map(rules_behind);
        assert_eq!(told.concat(), rules, "{code}");
    }
}

#[test]
fn nothing_that_protects_is_assumed() {
    let bare = read("").unwrap();
    assert!(
        bare.battery.is_none()
            && bare.air_pump.is_none()
            && bare.skimmer.is_none()
            && bare.return_line.is_none()
    );
    assert!(
        bare.pumps.is_empty()
            && bare.fish.is_empty()
            && bare.sand.is_none()
            && bare.sump == Volume::default()
    );
    assert!(!bare.lid && !bare.braced && !bare.home.door && !bare.home.residual_current);
}

#[test]
fn every_number_that_is_assumed_names_its_rule() {
    let tank = read(RETURN_AND_SKIMMER).unwrap();
    let (line, skimmer) = (tank.return_line.unwrap(), tank.skimmer.unwrap());
    for (trace, rule) in [
        (tank.temperature.trace(), "assumed.temperature"),
        (tank.salinity.trace(), "assumed.salinity"),
        (line.elbows.trace(), "assumed.elbows"),
        (line.sound.trace(), "assumed.return_sound"),
        (skimmer.power.trace(), "assumed.skimmer_power"),
        (skimmer.sound.trace(), "assumed.skimmer_sound"),
        (tank.home.price_per_kwh.trace(), "assumed.price"),
        (tank.home.pillow.trace(), "assumed.pillow"),
    ] {
        assert_eq!(rules_behind(trace), [rule]);
    }
}

#[test]
fn whatever_is_assumed_has_words_and_all_that_has_words_can_be_assumed() {
    let mut assumed = read(RETURN_AND_SKIMMER).unwrap().assumed;
    let mut worded = crate::assumed::KEYS.map(|(key, _)| key).to_vec();
    assumed.sort_unstable();
    worded.sort_unstable();
    assert_eq!(assumed, worded);
}

#[test]
fn two_pumps_of_one_name_are_refused() {
    let (message, help) = refused(&(pump("left", "30 cm") + &pump("left", "20 cm")));
    assert_eq!(message, "two pumps are called `left`");
    assert!(help.contains("a name of its own"));
}

#[test]
fn a_pump_out_of_the_water_is_refused() {
    // The water stands 40 cm above the base pane, the rim 44 cm.
    assert!(read(&pump("left", "40 cm")).is_ok());
    let (message, help) = refused(&pump("left", "41 cm"));
    assert_eq!(
        message,
        "this pump hangs above the water: its outlet is 41 cm (16.1 in) up".replace(" (16.1 in)", "")
    );
    assert!(help.contains("the water stands 40 cm high"), "{help}");
    let (message, _) = refused(&pump("left", "60 cm"));
    assert_eq!(message, "this pump hangs above the rim, which is 44 cm up: its outlet is 60 cm up");
}

#[test]
fn an_exchange_leads_from_the_homes_money_to_that_of_the_pumps() {
    let home = "[home]\ncurrency = \"EUR\"\nprice_per_kwh = \"0.40 EUR\"\n";
    let code = |code| Currency::new(code).unwrap();
    let plain = read(home).unwrap().home;
    assert!((plain.price_in(code("EUR")).unwrap().amount - 0.40).abs() < 1e-12);
    assert!(plain.price_in(Currency::USD).is_none());
    let with = read(&format!("{home}exchange = \"1.10 USD\"\n[wishes]\nbudget = \"200 EUR\"")).unwrap();
    assert!((with.home.price_in(Currency::USD).unwrap().amount - 0.44).abs() < 1e-12);
    assert!(with.home.price_in(code("GBP")).is_none());
    // 200 EUR buy 220 USD.
    let budget = with.wishes.budget.unwrap();
    assert!((budget.amount - 220.0).abs() < 1e-9 && budget.currency == Currency::USD);
    assert!(
        refused(&format!("{home}exchange = \"1.10\"")).0.contains("does not end with the code of a currency")
    );
    assert!(refused(&format!("{home}exchange = \"1.10 EUR\"")).0.contains("nothing to exchange"));
    assert!(refused(&format!("{home}exchange = \"-1 USD\"")).1.contains("it must be from"));
}

#[test]
fn money_that_can_not_be_compared_with_the_pumps_is_refused() {
    let rules = Rules::compiled_in().unwrap();
    let catalogue = Catalogue::empty();
    let text = |home: &str| {
        format!(
            "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"1 cm\"\n[livestock]\nnow = \"soft\"\n\
             [home]\ncurrency = \"EUR\"\nprice_per_kwh = \"0.40 EUR\"\n{home}\n[wishes]\nbudget = \"200 EUR\"\n"
        )
    };
    let read = |home: &str| Tank::read_with("t.toml", &text(home), &rules, &catalogue);
    let problems = read("").unwrap_err();
    assert_eq!(problems[0].message, "the budget is in EUR, and the prices of the pumps in USD");
    assert!(problems[0].help[0].contains("exchange = \"1.10 USD\""));
    assert!(read("exchange = \"0.85 GBP\"").unwrap_err()[0].message.contains("in USD, not in GBP"));
    assert!(read("exchange = \"1.10 USD\"").is_ok());
}

#[test]
fn a_rear_chamber_leaves_most_of_the_tank() {
    assert!(read("[rear_chamber]\ndepth = \"12 cm\"").is_ok());
    assert!(refused("[rear_chamber]\ndepth = \"25 cm\"").0.contains("half of the tank"));
}

#[test]
fn a_tank_file_tells_its_keys_in_the_order_of_writing() {
    let keys = keys(&Rules::compiled_in().unwrap());
    let tables: Vec<_> =
        keys.iter().filter(|key| key.table().is_empty()).map(|key| key.path.as_str()).collect();
    assert_eq!(
        tables,
        [
            "name",
            "about",
            "id",
            "glass",
            "stand",
            "rear_chamber",
            "sand",
            "rock",
            "rock_piece",
            "sump",
            "skimmer",
            "water",
            "livestock",
            "fish",
            "model",
            "pump",
            "lights",
            "programme",
            "feeding",
            "return",
            "overflow",
            "return_chamber",
            "map",
            "battery",
            "air_pump",
            "home",
            "measured",
            "wishes"
        ]
    );
    let find = |path: &str| keys.iter().find(|key| key.path == path).unwrap_or_else(|| panic!("{path}"));
    let words = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect::<Vec<_>>();
    assert_eq!(
        find("glass.shape").wanted,
        Wanted::Choice(words(&["box", "cylinder", "bow_front", "hexagon"]))
    );
    let of_shapes = |shapes: &[&str]| Some(When { key: "glass.shape".to_owned(), words: words(shapes) });
    assert_eq!(find("glass.length").when, of_shapes(&["box", "bow_front"]));
    assert_eq!(find("glass.diameter").when, of_shapes(&["cylinder"]));
    let range = Some(["10 cm", "10 m"].map(str::to_owned));
    assert_eq!(find("glass.diameter").wanted, Wanted::Quantity { kind: Kind::Length, range });
    assert!(find("glass.diameter").required && find("fish[].mass").required && !find("home.pillow").required);
    // What is taken where a key is left out comes from the rules.
    let taken = |path: &str| find(path).default.as_deref();
    assert_eq!(taken("water.temperature"), Some("25 °C (77 °F)"));
    assert_eq!(
        (taken("glass.material"), taken("pump[].along"), taken("home.room")),
        (Some("glass"), Some("50 %"), Some("little_cloth"))
    );
    assert_eq!((taken("sump.water"), taken("battery.energy"), taken("pump[].model")), (None, None, None));
    // A swing's period has a range for each pattern.
    let periods: Vec<_> = keys
        .iter()
        .filter(|key| key.path == "programme[].period")
        .filter_map(|key| key.when.as_ref())
        .collect();
    assert_eq!(
        periods.iter().map(|when| when.words.join(" ")).collect::<Vec<_>>(),
        ["pulse", "alternate", "wander"]
    );
}

#[test]
fn a_wrong_currency_is_one_mistake() {
    let (message, help) = refused(
        "[home]\ncurrency = \"Eur\"\nprice_per_kwh = \"0.30 EUR\"\nexchange = \"1.10 USD\"\npillow = \"6 m\"",
    );
    assert_eq!((message.as_str(), help.as_str()), ("`currency` can not be \"Eur\"", "did you mean `EUR`?"));
}

#[test]
fn every_key_has_words_and_no_other_key_has() {
    let rules = Rules::compiled_in().unwrap();
    let keys = keys(&rules);
    let mut paths: Vec<_> = keys.iter().map(|key| key.path.as_str()).collect();
    paths.sort_unstable();
    paths.dedup();
    assert_eq!(rules.words.keys().collect::<Vec<_>>(), paths);
    for key in &keys {
        let words = rules.words.key(&key.path).unwrap();
        assert!(!words.label.is_empty() && words.label != key.path, "{}", key.path);
        // What a word of a choice is stands beside the form's list, but for the kinds of livestock and the
        // codes of money.
        let told: Vec<_> = words.choices.iter().map(|(word, _)| word.as_str()).collect();
        let speak_for_themselves = matches!(key.wanted, Wanted::Choices(_)) || key.path == "home.currency";
        assert_eq!(
            told,
            if speak_for_themselves { Vec::new() } else { key.wanted.words().to_vec() },
            "{}",
            key.path
        );
        let may_have_none = key.wanted.is_table() || matches!(key.wanted, Wanted::Flag | Wanted::Choice(_));
        assert!(may_have_none || !words.examples.is_empty(), "{} has no example", key.path);
    }
}

#[test]
fn every_example_of_a_value_is_a_right_one() {
    let rules = Rules::compiled_in().unwrap();
    let mut tried = 0;
    for key in keys(&rules) {
        for example in &rules.words.key(&key.path).unwrap().examples {
            match &key.wanted {
                Wanted::Quantity { kind, range } => {
                    // Money of any country is written alike.
                    let kind = if matches!(kind, Kind::Money(_)) {
                        Kind::Money(Currency::new(&example[example.len() - 3..]).unwrap())
                    } else {
                        *kind
                    };
                    let read = |text: &str| {
                        crate::quantity::parse_as(kind, text)
                            .unwrap_or_else(|error| panic!("{}: {error}", key.path))
                            .si
                    };
                    let ends = range.as_ref().unwrap().each_ref().map(|end| {
                        if matches!(kind, Kind::Money(_)) { end.parse().unwrap() } else { read(end) }
                    });
                    // A period is short with one pattern and long with the next.
                    let fits = (ends[0]..=ends[1]).contains(&read(example));
                    assert!(fits || key.path == "programme[].period", "{}: {example}", key.path);
                }
                Wanted::Choice(words) | Wanted::Choices(words) => {
                    assert!(words.contains(example), "{}: {example}", key.path)
                }
                Wanted::Text | Wanted::Texts => assert!(!example.is_empty()),
                _ => panic!("{} has an example", key.path),
            }
            tried += 1;
        }
    }
    assert!(tried > 60, "{tried}");
}

#[test]
fn a_model_that_the_catalogue_lacks_is_on_offer_for_its_tank() {
    let rules = Rules::compiled_in().unwrap();
    let catalogue = |own: &str| {
        let text = format!("currency = \"USD\"\n{}", own.replace("[[model]]", "[[pump]]"));
        Catalogue::read("pumps.toml", &text).unwrap()
    };
    let model = |name: &str| {
        format!(
            "[[model]]\nmodel = \"{name}\"\nkind = \"round-controllable\"\nrated_flow = \"3000 L/h\"\nlowest_setting = \"20 %\"\noutlet = \"45 mm\"\n\
             power = \"10 W\"\nsound = \"30 dB\"\nprice = \"90 USD\"\nwet_end_price = \"25 USD\"\nshaft = \"ceramic\"\n"
        )
    };
    let text = |rest: &str| {
        format!(
            "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n\
             [livestock]\nnow = \"soft\"\n{rest}"
        )
    };
    let hung = pump("left", "30 cm").replace("\"M\"", "\"Mine\"");
    let with_own = text(&(model("Mine") + &hung));
    let read = |text: &str, catalogue: &Catalogue| Tank::read_with("t.toml", text, &rules, catalogue);
    let own = read(&with_own, &Catalogue::empty()).unwrap();
    assert_eq!((own.models.len(), own.pumps[0].model.as_str()), (1, "Mine"));
    // Whether it stands in the file or in the catalogue, it is the same pump to every figure.
    let plain = read(&text(&hung), &catalogue(&model("Mine"))).unwrap();
    let sheet = |catalogue: &Catalogue, tank: &Tank| crate::Sheet::reckon(&rules, catalogue, tank).unwrap();
    let (one, other) = (sheet(&Catalogue::empty(), &own), sheet(&catalogue(&model("Mine")), &plain));
    assert!(one.figure("plan.pumps").is_some() && one.figure("fit.pumps").is_some());
    assert_eq!(one.figures(), other.figures());
    // A name stands for one model.
    let told = |text: &str, catalogue: &Catalogue| {
        read(text, catalogue).unwrap_err().iter().map(|problem| problem.message.clone()).collect::<Vec<_>>()
    };
    assert_eq!(told(&with_own, &catalogue(&model("Mine"))), ["the catalogue has a `Mine` already"]);
    assert_eq!(
        told(&text(&(model("Mine") + &model("Mine"))), &Catalogue::empty()),
        ["two pumps are called `Mine`"]
    );
    assert_eq!(told(&text(&hung), &Catalogue::empty()), ["the catalogue has no `Mine`"]);
}

#[test]
fn an_air_stone_lies_in_the_water() {
    let rules = Rules::compiled_in().unwrap();
    let read = |depth: &str| {
        let glass =
            "shape = \"box\", length = \"40 cm\", width = \"30 cm\", height = \"14 cm\", pane = \"4 mm\"";
        let air_pump = format!("air = \"60 L/h\", depth = \"{depth}\", lasts = \"20 h\"");
        let text = format!(
            "name = \"T\"\nglass = {{ {glass} }}\nlivestock = {{ now = \"soft\" }}\nair_pump = {{ {air_pump} }}\n"
        );
        Tank::read("t.toml", &text, &rules).map(drop).map_err(|problems| problems[0].message.clone())
    };
    assert_eq!(read("12 cm"), Ok(()));
    assert_eq!(read("2 m"), Err("the air stone lies deeper than the water".to_owned()));
}
