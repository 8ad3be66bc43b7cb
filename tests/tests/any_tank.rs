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

use mdbook_reckoner::claims::{self, Answer};
use mdbook_reckoner::edition::{Edition, Settings};
use mdbook_reckoner::html::Medium;
use mdbook_reckoner::plain;
use mdbook_reckoner::site::manuscript;
use mdbook_reckoner::typeset::Manuscript;
use reckoner_calc::sheet::{Figure, Sheet, Table, Value};
use reckoner_calc::{Rules, Tank};
use reckoner_tests::random_tanks::{Dice, tank};

/// The chance of this test. Another seed gives other tanks; a failure names its tank.
const SEED: u64 = 0x5eaf_7009;
const TANKS: usize = 300;

/// A part that a tank file may leave out, and words that only a page about a tank with that part may print. `{tank}` is its name.
struct Part {
    name: &'static str,
    is_there: fn(&Tank) -> bool,
    phrases: &'static [&'static str],
}

const PARTS: &[Part] = &[
    Part {
        name: "battery",
        is_there: |tank| tank.battery.is_some(),
        phrases: &["{tank} has a battery", "the battery of {tank}", "the battery has taken over", "the battery of your tank"],
    },
    Part {
        name: "return line",
        is_there: |tank| tank.return_line.is_some(),
        phrases: &["{tank} has a return line", "the return pump of {tank}", "the return line of {tank}", "the label of the pump says"],
    },
    Part { name: "sand", is_there: |tank| tank.sand.is_some(), phrases: &["the sand of {tank}", "{tank} has sand"] },
    Part {
        name: "pumps",
        is_there: |tank| !tank.pumps.is_empty(),
        phrases: &["the pumps of {tank}", "{tank} has a pump", "its own pumps", "{tank} to have"],
    },
    Part { name: "fish", is_there: |tank| !tank.fish.is_empty(), phrases: &["the fish of {tank}"] },
    Part { name: "skimmer", is_there: |tank| tank.skimmer.is_some(), phrases: &["the skimmer of {tank}", "{tank} has a skimmer"] },
    Part { name: "lid", is_there: |tank| tank.lid, phrases: &["the lid of {tank}", "{tank} has a lid"] },
    Part { name: "air pump", is_there: |tank| tank.air_pump.is_some(), phrases: &["the air pump of {tank}", "{tank} has an air pump"] },
    Part {
        name: "residual-current device",
        is_there: |tank| tank.home.residual_current,
        phrases: &["the residual-current device of {tank}", "{tank} has a residual-current device"],
    },
];

/// What is left of a sentence when a value in it is missing.
const BROKEN: [&str; 8] = ["\u{1}", "\u{2}", " .", " ,", "( )", "()", "**", "{="];

fn book() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../book")
}

#[test]
fn every_page_is_true_for_any_tank() {
    let start = Instant::now();
    let manuscript = manuscript(&book()).unwrap_or_else(|errors| panic!("{errors}"));
    let settings = Settings { tank: Some("tanks/first_reef.toml".into()), rules: None };
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
    let mut out = format!("{} of {TANKS} tanks from the seed {SEED:#x} are told something wrong:\n", failures.len());
    for (mistake, (first, times)) in kinds {
        let _ = writeln!(out, "- {times} tanks, the first is number {first}: {mistake}");
    }
    if let Some((number, (file, _))) = failures.iter().next() {
        let _ = writeln!(out, "\nTank number {number}:\n{file}");
    }
    out
}

/// Everything that is wrong in the book about one tank. The tank's name is told as `{tank}`, so that like mistakes read alike.
fn look_at(manuscript: &Manuscript, edition: &Edition, claims: &[Claim], file: &str) -> Vec<String> {
    let own = match edition.around("tank.toml", file) {
        Ok(own) => own,
        Err(errors) => return vec![format!("the tank is not reckoned: {errors}")],
    };
    let typeset = match manuscript.set(&own, Medium::Html) {
        Ok(typeset) => typeset,
        Err(errors) => return errors.0.iter().map(|error| format!("does not render: {error}")).collect(),
    };
    let tank = Tank::read_with("tank.toml", file, &edition.catalogue).unwrap();
    let mut wrong = Vec::new();
    let mut printed = Printed::of(&own.sheet, &own.rules);
    for (page, text) in manuscript.paths().zip(&typeset.contents) {
        let blocks: Vec<_> = plain::blocks(text).iter().map(|block| block.text().replace('\u{a0}', " ")).collect();
        for block in &blocks {
            wrong.extend(false_words(&tank, block).map(|why| format!("{page}: {why}: \"{block}\"")));
            if let Some(broken) = BROKEN.iter().find(|broken| block.contains(**broken)) {
                wrong.push(format!("{page}: `{}` is left of a sentence: \"{block}\"", broken.escape_default()));
            }
        }
        for claim in claims.iter().filter(|claim| claim.page == page) {
            let holds = claims::holds(&claim.that, &own.sheet);
            if holds != Ok(Answer::Holds) && blocks.iter().any(|block| block.contains(&claim.words)) {
                wrong.push(format!("{page}: `{}` does not hold, but the page says \"{}\"", claim.that, claim.words));
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

/// Phrases in a block that only a tank with a part may read which this one lacks.
fn false_words<'b>(tank: &'b Tank, block: &'b str) -> impl Iterator<Item = String> + 'b {
    let lower = block.to_lowercase();
    PARTS.iter().filter(|part| !(part.is_there)(tank)).flat_map(move |part| {
        let name = tank.name.to_lowercase();
        let said: Vec<_> = part.phrases.iter().filter(|phrase| lower.contains(&phrase.replace("{tank}", &name).to_lowercase())).collect();
        said.into_iter().map(|phrase| format!("the file names no {}, but a page says \"{phrase}\"", part.name)).collect::<Vec<_>>()
    })
}

/// Words that a page holds to figures.
struct Claim {
    page: String,
    that: String,
    /// What stands before the claim, back to the tag before it or to the beginning of its sentence.
    words: String,
}

/// The claims as the authors wrote them: not by way of the program that prints the pages.
fn claims_of(manuscript: &Manuscript) -> Vec<Claim> {
    const CALL: &str = "{= holds(that=\"";
    let mut claims = Vec::new();
    for (page, text) in manuscript.paths().zip(manuscript.texts()) {
        for (at, _) in text.match_indices(CALL) {
            let that = text[at + CALL.len()..].split('"').next().unwrap().to_owned();
            let before = &text[..at];
            let sentence = before.trim_end_matches(['.', '!', '?']);
            let start = [". ", "\n", "=}", "%}", "](", "*"].iter().filter_map(|end| sentence.rfind(end).map(|at| at + end.len())).max();
            let words = before[start.unwrap_or(0)..].trim().to_owned();
            assert!(words.len() > 8, "{page}: the claim `{that}` stands beside no words that can be looked for: {words:?}");
            claims.push(Claim { page: page.to_owned(), that, words });
        }
    }
    assert!(claims.len() > 10, "the chapters hold hardly any claim: are they still written as {CALL}?");
    claims
}

/// How each figure was printed so far.
struct Printed<'s> {
    /// Unit, SI value and kind of every figure that a page may print.
    known: BTreeMap<&'s str, String>,
    by_id: BTreeMap<String, String>,
    by_value: BTreeMap<String, (String, String)>,
}

impl<'s> Printed<'s> {
    fn of(sheet: &'s Sheet, _: &Rules) -> Self {
        let all = sheet.figures().iter().chain(sheet.tables.values().flat_map(Table::figures));
        let value = |figure: &Figure| match &figure.value {
            Value::One(one) => Some(format!("{:?} {:e}", one.kind, one.si)),
            Value::Range(low, high) => Some(format!("{:?} {:e} to {:e}", low.kind, low.si, high.si)),
            Value::Words(_) => None,
        };
        let known = all.filter_map(|figure| Some((figure.id.as_str(), value(figure)?))).collect();
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
            let Some(value) = self.known.get(id) else { continue };
            let (other, before) = self.by_value.entry(value.clone()).or_insert_with(|| (id.to_owned(), text.clone()));
            if *before != text {
                two_ways.push(format!("{id} is printed as {text}, and {other} of the same value as {before}"));
            }
        }
        two_ways.iter().map(|text| plain::blocks(text).iter().map(plain::Block::text).collect()).collect()
    }
}
