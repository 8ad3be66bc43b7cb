//! Every page for any tank: three hundred tanks that chance made, and what must be true of each.
//!
//! - every page renders, and no half of a sentence is left;
//! - no page says that a tank has what its file does not have;
//! - words that are held to figures are printed only where the figures bear them out;
//! - a figure is printed in one way, on all pages.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::Instant;

use mdbook_reckoner::chapter::plain;
use mdbook_reckoner::edition::{Edition, Settings};
use mdbook_reckoner::site::manuscript;
use mdbook_reckoner::site::protocol::Chapter;
use mdbook_reckoner::site::typeset::Manuscript;
use reckoner_calc::Tank;
use reckoner_calc::quantity::Rounding;
use reckoner_calc::sheet::{Figure, Sheet, Table, Value};
use reckoner_page::claims::{self, Answer};
use reckoner_page::html::Medium;
use reckoner_tests::random_tanks::{Dice, tank};

/// The chance of this test. Another seed gives other tanks; a failure names its tank.
const SEED: u64 = 0x5eaf_7009;
const TANKS: usize = 300;

/// A part that a tank file may leave out, and words that only a page about a tank with that part may print.
/// `{tank}` is its name.
struct Part {
    name: &'static str,
    is_there: fn(&Tank) -> bool,
    phrases: &'static [&'static str],
}

const PARTS: &[Part] = &[
    Part {
        name: "battery",
        is_there: |tank| tank.battery.is_some(),
        phrases: &[
            "{tank} has a battery",
            "the battery of {tank}",
            "the battery has taken over",
            "see that the battery runs",
            "the battery keeps the animals safe",
            "how long the battery runs",
            "this battery",
            "the time to count on:",
            "your test falls short of your table",
        ],
    },
    Part {
        name: "battery of any kind",
        is_there: |tank| tank.battery.is_some() || tank.air_pump.is_some(),
        phrases: &["and charge the battery"],
    },
    Part {
        name: "air pump",
        is_there: |tank| tank.air_pump.is_some(),
        phrases: &[
            "switch on the air pump on its battery",
            "the air pump of {tank}",
            "{tank} has an air pump",
        ],
    },
    Part {
        name: "return line",
        is_there: |tank| tank.return_line.is_some(),
        phrases: &[
            "{tank} has a return line",
            "the return pump of {tank}",
            "the return pump first",
            "with this pump and this lift",
            "in this return line",
            "in {tank} the label",
            "that of {tank} draws",
            "the flow from the sump comes on top",
            "what arrives there is",
        ],
    },
    Part {
        name: "overflow",
        is_there: |tank| tank.return_line.is_some() || tank.sump > Default::default(),
        phrases: &[
            "listen for the overflow",
            "the overflow runs as before",
            "pausing the pumps, but not the return",
            "pause the return pump too",
            "the overflow draws air",
            "clean the overflow's comb",
            "less water comes back from the sump",
            "foam under the return pump, soft hose",
            "plug in the pump in the sump",
            "watch the sump: it must",
            "foam under the return pump. never",
            "what they lift goes over the overflow",
            "the overflow does not gulp",
        ],
    },
    Part {
        name: "pumps but one",
        is_there: |tank| tank.pumps.len() != 1,
        phrases: &[
            "let the pumps take turns",
            "corals sway one way in the morning",
            "pumps take turns. each",
            "bathe the next pump on another day",
            "do the pumps in turn",
            "the other pumps run on during the bath",
        ],
    },
    Part {
        name: "another livestock later",
        is_there: |tank| tank.now != tank.later,
        phrases: &["until the later animals come", "{tank} is to go from", "for {tank} it looks like this"],
    },
    Part {
        name: "sand",
        is_there: |tank| tank.sand.is_some(),
        phrases: &[
            "sand piles up or flies",
            "bare glass under the sand",
            "the sand of {tank}",
            "{tank} has sand",
            "in {tank} the grains",
            "this tank's sand",
            "the sand lies still for a week",
            "the surface ripples. the sand lies still",
            "look at the sand and the animals",
            "sand creeps, and magnets slide",
            "the speed to keep below near its sand",
            "in {tank} the sand pushes",
        ],
    },
    Part {
        name: "rock",
        is_there: |tank| tank.rock.is_some(),
        phrases: &["in {tank} the rock pushes", "the dry rock of {tank}"],
    },
    Part {
        name: "sump",
        is_there: |tank| tank.sump.value > 0.0,
        phrases: &[
            "the water in the sump counts",
            "with the water in its sump",
            "that the surface falls sends",
        ],
    },
    Part {
        name: "pumps",
        is_there: |tank| !tank.pumps.is_empty(),
        phrases: &[
            "the pumps of {tank}",
            "{tank} has a pump",
            "its own pumps",
            "these hang in {tank}",
            "its pumps:",
            "what each pump of the tank does",
            "the pump called",
            "the bills of the pumps in the tank",
            "suggested for its pumps",
            "the path keeps what you own",
        ],
    },
    Part {
        name: "pump that hangs alone",
        is_there: |tank| tank.pumps.len() < 2,
        phrases: &[
            "with only one pump in the tank, nothing moves the water while it is out",
            "hang a spare pump in the meantime",
        ],
    },
    Part {
        name: "rock that was weighed",
        is_there: |tank| !matches!(tank.rock, Some(reckoner_calc::tank::Rock::Judged(_))),
        phrases: &["the dry rock of {tank} comes to", "weigh it again"],
    },
    Part {
        name: "programme",
        is_there: |tank| !tank.programme.is_empty(),
        phrases: &["this is a day of {tank}, from its file"],
    },
    Part {
        name: "fish",
        is_there: |tank| !tank.fish.is_empty(),
        phrases: &[
            "the fish of {tank}",
            "the fish breathe calmly",
            "all fish in {tank}",
            "if fish breathe fast",
            "fish come down",
            "of what the fish do",
        ],
    },
    Part {
        name: "skimmer",
        is_there: |tank| tank.skimmer.is_some(),
        phrases: &["the skimmer of {tank}", "{tank} has a skimmer", "its skimmer"],
    },
    Part {
        name: "lid",
        is_there: |tank| tank.lid,
        phrases: &["the lid of {tank}", "{tank} has a lid", "and take the lid off", "its lid"],
    },
    Part {
        name: "rear chamber",
        is_there: |tank| tank.rear_chamber.is_some(),
        phrases: &["the rear chamber of {tank}", "{tank} has a rear chamber", "its rear chamber"],
    },
    Part {
        name: "overflow with its edge",
        is_there: |tank| tank.overflow.is_some() && tank.return_line.is_some(),
        phrases: &["with what its return pump brings up, the sheet", "the sheet over the edge of {tank}"],
    },
    Part {
        name: "chamber of the return pump",
        is_there: |tank| tank.return_chamber.is_some(),
        phrases: &[
            "in {tank} the chamber can lose",
            "if the edge of {tank} is blocked",
            "the return pump's chamber of {tank}",
        ],
    },
    Part {
        name: "measurements",
        is_there: |tank| tank.measured != Default::default(),
        phrases: &[
            "the jug told that",
            "a bucket told that the return of {tank}",
            "one swing of {tank} takes",
        ],
    },
    Part {
        name: "residual-current device",
        is_there: |tank| tank.home.residual_current,
        phrases: &[
            "says that a residual-current device guards",
            "the residual-current device of {tank}",
            "{tank} has a residual-current device",
            "its residual-current device",
        ],
    },
];

/// What is left of a sentence when a value in it is missing, and marks of Markdown that reach the reader
/// because a block that stood before them gave way.
const BROKEN: [&str; 12] =
    ["\u{1}", "\u{2}", " .", " ,", "( )", "()", "**", "{=", "## ", "|---", "](", "> ["];

fn book() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../book")
}

#[test]
fn every_page_is_true_for_any_tank() {
    let start = Instant::now();
    let manuscript = manuscript(&book()).unwrap_or_else(|errors| panic!("{errors}"));
    let settings =
        Settings { tank: Some("tanks/first_reef.toml".into()), rules: None, ..Settings::default() };
    let edition = Edition::load(&book(), &settings).unwrap_or_else(|errors| panic!("{errors}"));
    let claims = claims_of(&manuscript);
    let failures = Mutex::new(BTreeMap::new());
    let workers = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        for worker in 0..workers {
            let (manuscript, edition, claims, failures) = (&manuscript, &edition, &claims, &failures);
            scope.spawn(move || {
                for number in (worker..TANKS).step_by(workers) {
                    let mut dice = Dice::new(SEED.wrapping_add(number as u64));
                    let name = format!("Chance {number}");
                    let file = tank(&name, &mut dice, &edition.catalogue.pumps);
                    let wrong = look_at(manuscript, edition, claims, &file);
                    if !wrong.is_empty() {
                        failures.lock().unwrap().insert(number, (file, wrong));
                    }
                }
            });
        }
    });
    let failures = failures.into_inner().unwrap();
    println!("{TANKS} tanks from the seed {SEED:#x} in {:.1} s", start.elapsed().as_secs_f64());
    assert!(failures.is_empty(), "{}", told(&failures));
}

/// The failures, each kind of mistake once with the first tank that shows it.
fn told(failures: &BTreeMap<usize, (String, Vec<String>)>) -> String {
    let mut kinds: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for (number, (_, wrong)) in failures {
        for mistake in wrong {
            kinds.entry(mistake).or_insert((*number, 0)).1 += 1;
        }
    }
    let mut out =
        format!("{} of {TANKS} tanks from the seed {SEED:#x} are told something wrong:\n", failures.len());
    for (mistake, (first, times)) in kinds {
        let _ = writeln!(out, "- {times} tanks, the first is number {first}: {mistake}");
    }
    if let Some((number, (file, _))) = failures.iter().next() {
        let _ = writeln!(out, "\nTank number {number}:\n{file}");
    }
    out
}

/// Everything that is wrong in the book about one tank. The tank's name is told as `{tank}`, so that like
/// mistakes read alike.
fn look_at(manuscript: &Manuscript, edition: &Edition, claims: &[Claim], file: &str) -> Vec<String> {
    let own = match edition.around("tank.toml", file) {
        Ok(own) => own,
        Err(errors) => return vec![format!("the tank is not reckoned: {errors}")],
    };
    let typeset = match manuscript.set(&own, Medium::Html) {
        Ok(typeset) => typeset,
        Err(errors) => return errors.0.iter().map(|error| format!("does not render: {error}")).collect(),
    };
    let tank = Tank::read_with("tank.toml", file, &edition.rules, &edition.catalogue).unwrap();
    let never = never_said(&tank);
    let mut wrong = Vec::new();
    let mut printed = Printed::of(&own.sheet);
    for (page, text) in manuscript.paths().zip(&typeset.contents) {
        // What is written as code is read too.
        let text_of_code = text.replace("```", "\u{0}").replace('`', "").replace('\u{0}', "```");
        let blocks: Vec<_> =
            plain::blocks(&text_of_code).iter().map(|block| block.text().replace('\u{a0}', " ")).collect();
        for block in &blocks {
            let lower = block.to_lowercase();
            let said = never.iter().filter(|(_, phrase)| lower.contains(phrase));
            wrong.extend(said.map(|(part, phrase)| {
                format!("{page}: the file names no {part}, but \"{phrase}\" is said: \"{block}\"")
            }));
            if let Some(broken) = BROKEN.iter().find(|broken| block.contains(**broken)) {
                wrong.push(format!("{page}: `{}` is left in the text: \"{block}\"", broken.escape_default()));
            }
        }
        for claim in claims.iter().filter(|claim| claim.page == page) {
            let holds = claims::holds(&claim.that, &own.sheet);
            if holds != Ok(Answer::Holds) && blocks.iter().any(|block| block.contains(&claim.words)) {
                wrong.push(format!(
                    "{page}: `{}` does not hold, but the page says \"{}\"",
                    claim.that, claim.words
                ));
            }
        }
        wrong.extend(printed.read(text).into_iter().map(|two_ways| format!("{page}: {two_ways}")));
    }
    for mistake in &mut wrong {
        *mistake = mistake.replace(&tank.name, "{tank}");
    }
    wrong.sort_unstable();
    wrong.dedup();
    wrong
}

/// The parts that a tank lacks, with what no page may say of it, in small letters.
fn never_said(tank: &Tank) -> Vec<(&'static str, String)> {
    let lacking = PARTS.iter().filter(|part| !(part.is_there)(tank));
    let phrases = lacking
        .flat_map(|part| part.phrases.iter().map(|phrase| (part.name, phrase.replace("{tank}", &tank.name))));
    phrases.map(|(name, phrase)| (name, phrase.to_lowercase())).collect()
}

/// Words that a page holds to figures.
struct Claim {
    page: String,
    that: String,
    /// The longest piece of its paragraph without tag or link in it.
    words: String,
}

/// The claims as the authors wrote them: not by way of the program that prints the pages.
fn claims_of(manuscript: &Manuscript) -> Vec<Claim> {
    const CALL: &str = "{= holds(that=\"";
    let mut claims = Vec::new();
    for (page, text) in manuscript.paths().zip(manuscript.texts()) {
        for (at, _) in text.match_indices(CALL) {
            let that = text[at + CALL.len()..].split('"').next().unwrap().to_owned();
            let paragraph = text[..at].rfind('\n').map_or(0, |at| at + 1)
                ..at + text[at..].find('\n').unwrap_or(text.len() - at);
            let pieces = text[paragraph]
                .split("{=")
                .flat_map(|piece| piece.rsplit("=}").next())
                .flat_map(|piece| piece.split(['[', ']', '*']));
            let words = pieces.map(str::trim).max_by_key(|piece| piece.len()).unwrap().to_owned();
            assert!(
                words.len() > 8,
                "{page}: the claim `{that}` stands beside no words that can be looked for: {words:?}"
            );
            claims.push(Claim { page: page.to_owned(), that, words });
        }
    }
    assert!(claims.len() > 10, "the chapters hold hardly any claim: are they still written as {CALL}?");
    claims
}

/// How each figure was printed so far.
struct Printed<'s> {
    /// Kind and SI value of every figure that a page may print, and which way it is rounded.
    known: BTreeMap<&'s str, (String, Rounding)>,
    by_id: BTreeMap<String, String>,
    by_value: BTreeMap<String, (String, String, Rounding)>,
}

impl<'s> Printed<'s> {
    fn of(sheet: &'s Sheet) -> Self {
        let all = sheet.figures().iter().chain(sheet.tables.values().flat_map(Table::figures));
        let value = |figure: &Figure| match &figure.value {
            Value::One(one) => Some(format!("{:?} {:e}", one.kind, one.si)),
            Value::Range(low, high) => Some(format!("{:?} {:e} to {:e}", low.kind, low.si, high.si)),
            Value::Words(_) => None,
        };
        let known =
            all.filter_map(|figure| Some((figure.id.as_str(), (value(figure)?, figure.rounding)))).collect();
        Printed { known, by_id: BTreeMap::new(), by_value: BTreeMap::new() }
    }

    /// Reads the figures of a page; tells those that were printed otherwise before.
    fn read(&mut self, html: &str) -> Vec<String> {
        let mut two_ways = Vec::new();
        for element in html.split("<data ").skip(1) {
            let element = element.split("</data>").next().unwrap();
            let id = element.split("data-figure=\"").nth(1).unwrap().split('"').next().unwrap();
            let text = element.split_once('>').unwrap().1.to_owned();
            let before = self.by_id.entry(id.to_owned()).or_insert_with(|| text.clone());
            if *before != text {
                two_ways.push(format!("{id} is printed as {before} and as {text}"));
            }
            let Some((value, rounding)) = self.known.get(id) else { continue };
            let first = || (id.to_owned(), text.clone(), *rounding);
            let (other, before, other_rounding) = self.by_value.entry(value.clone()).or_insert_with(first);
            // The most of one thing may be the least of another: each errs on its safe side.
            let opposite = matches!(
                (rounding, *other_rounding),
                (Rounding::Up, Rounding::Down) | (Rounding::Down, Rounding::Up)
            );
            if *before != text && !opposite {
                two_ways
                    .push(format!("{id} is printed as {text}, and {other} of the same value as {before}"));
            }
        }
        two_ways.iter().map(|text| plain::blocks(text).iter().map(plain::Block::text).collect()).collect()
    }
}

/// What comes of one page, for the book's own tank and for a reader's that has nothing but glass and soft
/// corals.
fn set(text: &str, readers: bool) -> Result<String, String> {
    const BARE: &str = "name = \"Bare\"\n[glass]\nshape = \"box\"\nlength = \"30 cm\"\nwidth = \"30 cm\"\nheight = \"30 cm\"\npane = \"5 mm\"\n\
                        [livestock]\nnow = \"soft\"\n";
    let settings =
        Settings { tank: Some("tanks/first_reef.toml".into()), rules: None, ..Settings::default() };
    let edition = Edition::load(&book(), &settings).unwrap_or_else(|errors| panic!("{errors}"));
    let edition = if readers {
        edition.around("bare.toml", BARE).unwrap_or_else(|errors| panic!("{errors}"))
    } else {
        edition
    };
    let chapter = Chapter {
        path: "a.md".to_owned(),
        source_path: Some("a.md".to_owned()),
        number: String::new(),
        content: text.to_owned(),
    };
    let typeset = Manuscript::new(&book(), Path::new("src"), &[chapter]).set(&edition, Medium::Markdown);
    typeset.map(|typeset| typeset.contents.concat()).map_err(|errors| errors.to_string())
}

#[test]
fn a_lacking_part_gives_way_to_its_reason_and_a_misspelt_one_stops_the_build() {
    let page = "Before.\n\n{= tank.name =} has sand of {= sand.grain =}.\n\n{= table(id=\"return_line_bores\") =}\n\nAfter.\n";
    let own = set(page, false).unwrap();
    assert!(own.contains("First Reef has sand of 1.5") && own.contains("Bore"), "{own}");
    let bare = set(page, true).unwrap();
    assert!(
        !bare.contains("has sand of")
            && !bare.contains("Bore")
            && bare.contains("Before.")
            && bare.contains("After."),
        "{bare}"
    );
    assert!(
        bare.contains("Bare has a bare floor")
            && bare.contains("&#91;sand&#93;")
            && bare.contains("no return line"),
        "{bare}"
    );
    for readers in [false, true] {
        let error = set("It is {= sand.grian =}.\n", readers);
        // What a lacking topic would hold is not known of a tank without it; the book's own tank tells.
        assert_eq!(error.is_err(), !readers, "{error:?}");
        let error = set("{= table(id=\"return_line_boers\") =}\n", readers).unwrap_err();
        assert!(error.contains("a.md:1:4") && error.contains("return_line_bores"), "{error}");
    }
}

#[test]
fn a_condition_asks_whether_the_tank_has_a_part() {
    let page = "{% if return_line is defined %}with{% else %}without{% endif %} {% if return_line.flow is defined %}flow{% endif %}\n\n\
                {% if return_line is not defined %}none{% endif %}\n";
    assert!(set(page, false).unwrap().starts_with("with flow\n"));
    let bare = set(page, true).unwrap();
    assert!(bare.starts_with("without \n") && bare.contains("none"), "{bare}");
    // A figure in a branch that is not taken makes no page lack anything.
    assert!(!bare.contains("return line"), "{bare}");
}

#[test]
fn an_item_may_begin_on_the_line_after_its_sign() {
    let page = "Before.\n\n-\n  Up comes {= return_line.flow =}.\n- It holds {= tank.water =}.\n";
    let own = set(page, false).unwrap();
    assert!(own.starts_with("Before.\n\n-\n  Up comes ") && own.contains("\n- It holds "), "{own}");
    let bare = set(page, true).unwrap();
    assert!(bare.starts_with("Before.\n\n- It holds ") && bare.contains("no return line"), "{bare}");
}

#[test]
fn words_that_are_not_true_of_a_readers_tank_are_left_out() {
    let page = "Before.\n\n- It is long.{= holds(that=\"tank.length > 1.5 * tank.width\") =}\n- It is there.\n\n\
                Much comes up.{= holds(that=\"return_line.flow > 0\") =}\n";
    let own = set(page, false).unwrap();
    assert!(own.contains("It is long.") && own.contains("Much comes up."), "{own}");
    let bare = set(page, true).unwrap();
    assert!(
        !bare.contains("It is long.") && bare.contains("- It is there.") && !bare.contains("Much comes up."),
        "{bare}"
    );
    assert!(bare.contains("no return line"), "{bare}");
    let error = set("It is wide.{= holds(that=\"tank.width > tank.length\") =}\n", false).unwrap_err();
    assert!(error.contains("a.md:1:15") && error.contains("does not hold"), "{error}");
}
