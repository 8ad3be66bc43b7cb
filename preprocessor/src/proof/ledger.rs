//! The ledger: every figure that the book prints, where it came from, what it was checked against, and where
//! it stands.

use std::collections::BTreeMap;

use reckoner_calc::check::{Check, Outcome, Subject};
use reckoner_calc::quantity::{Quantity, System};
use reckoner_calc::rules::Basis;
use reckoner_calc::sheet::{Figure, Table, Value};
use reckoner_page::ledger::Behind;
use reckoner_page::listed::Concerns;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::chapter::plain::Block;
use crate::chapter::record::{ClaimEntry, TypedEntry};
use crate::edition::Edition;

/// The ledger of one build, as `ledger.json` holds it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Ledger {
    /// The layout of this file; readers refuse one they do not know.
    pub format: u32,
    /// The tank of the running example.
    pub tank: String,
    /// The figures, in the order in which they are reckoned.
    pub figures: Vec<Entry>,
    /// The checks, in the order of the book.
    pub checks: Vec<CheckEntry>,
    /// How many printed sums were worked again from their digits.
    pub sums: usize,
    /// The claims in words that were held against figures.
    pub claims: Vec<ClaimEntry>,
    /// The digits that an author typed, each with its reason.
    pub typed: Vec<TypedEntry>,
}

/// One printed figure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Entry {
    /// Its id, for instance `tank.water`.
    pub id: String,
    /// What it is, in plain words.
    pub title: String,
    /// The unit of `low` and `high`.
    pub unit: String,
    /// The value, or the low end of a range, in `unit`.
    pub low: f64,
    /// The value, or the high end of a range, in `unit`.
    pub high: f64,
    /// As printed in metric units.
    pub metric: String,
    /// As printed in US units.
    pub us: String,
    /// How it is reckoned, in words.
    pub formula: String,
    /// The ids of the figures that went in.
    pub inputs: Vec<String>,
    /// The ids of the rules that went in, directly or through its inputs.
    pub rules: Vec<String>,
    /// How far to trust those rules: each word once.
    pub basis: Vec<String>,
    /// The keys of the publications behind them.
    pub sources: Vec<String>,
    /// What it was checked by: subjects of `checks`.
    pub checks: Vec<String>,
    /// Where it is printed.
    pub places: Vec<Place>,
}

/// Where a figure is printed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Place {
    /// The page's path in the book's source folder.
    pub page: String,
    /// The sentence, item or cell as plain text.
    pub text: String,
}

/// One check.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct CheckEntry {
    /// What was checked.
    pub subject: String,
    /// The value as its source prints it.
    pub published: String,
    /// What we reckon.
    pub reckoned: String,
    /// Whether it passed.
    pub passed: bool,
    /// Why the two may differ, and by how much.
    pub tolerance: String,
    /// How far to trust the expected value.
    pub basis: String,
    /// The key of its source; empty unless published.
    pub source: String,
    /// Where in the source.
    pub place: String,
    /// The page that holds the check.
    pub page: String,
}

/// The layout of the ledger that this program writes and reads.
pub const FORMAT: u32 = 1;

impl CheckEntry {
    /// A check with what it found.
    pub fn new(check: &Check, outcome: &Outcome, page: &str) -> Self {
        let (source, place) = match &check.basis {
            Basis::Published { source, place } => (source.clone(), place.clone()),
            _ => (String::new(), String::new()),
        };
        CheckEntry {
            subject: check.what(),
            published: check.printed.clone(),
            reckoned: outcome.reckoned.clone(),
            passed: outcome.passed,
            tolerance: check.tolerance_in_words(),
            basis: check.basis.word().to_owned(),
            source,
            place,
            page: page.to_owned(),
        }
    }
}

/// A check that a chapter holds, with its page and what it found.
#[derive(Debug, Clone)]
pub struct Held {
    /// The check.
    pub check: Check,
    /// What it found.
    pub outcome: Outcome,
    /// The page's path.
    pub page: String,
}

impl Ledger {
    /// Gathers the ledger of a build. `blocks` holds each page's path and its plain text.
    pub fn gather(
        edition: &Edition,
        blocks: &[(String, Vec<Block>)],
        held: &[Held],
        sums: usize,
        claims: Vec<ClaimEntry>,
        typed: Vec<TypedEntry>,
    ) -> Self {
        let mut places: BTreeMap<&str, Vec<Place>> = BTreeMap::new();
        for (page, blocks) in blocks {
            for block in blocks {
                for id in &block.figures {
                    let place = Place { page: page.clone(), text: block.text().replace('\u{a0}', " ") };
                    let known = places.entry(id).or_default();
                    if !known.contains(&place) {
                        known.push(place);
                    }
                }
            }
        }
        let mut figures = Vec::new();
        for (prefix, sheet) in edition.sheets() {
            let behind = Behind::all(sheet, &edition.rules);
            for figure in sheet.figures().iter().chain(sheet.tables.values().flat_map(Table::figures)) {
                let id = format!("{prefix}{}", figure.id);
                if let Some(places) = places.remove(id.as_str()) {
                    figures.extend(entry(&id, figure, &behind, held, places));
                }
            }
        }
        let checks =
            held.iter().map(|held| CheckEntry::new(&held.check, &held.outcome, &held.page)).collect();
        Ledger { format: FORMAT, tank: edition.sheet.name.clone(), figures, checks, sums, claims, typed }
    }

    /// The same with what the sheets for paper print.
    ///
    /// - `folder`: where the sheets lie beside the chapters
    #[must_use]
    pub fn with_sheets(mut self, sheets: Ledger, folder: &str) -> Self {
        for mut entry in sheets.figures {
            entry.places.iter_mut().for_each(|place| place.page = format!("{folder}/{}", place.page));
            match self.figures.iter_mut().find(|known| known.id == entry.id) {
                Some(known) => known.places.append(&mut entry.places),
                None => self.figures.push(entry),
            }
        }
        self.sums += sheets.sums;
        self
    }

    /// As JSON, indented, so that two ledgers can be compared line by line.
    pub fn to_json(&self) -> String {
        // Strings, numbers and lists of them always serialise.
        serde_json::to_string_pretty(self).unwrap_or_default() + "\n"
    }

    /// The JSON Schema of the ledger.
    pub fn schema() -> String {
        serde_json::to_string_pretty(&schemars::schema_for!(Ledger)).unwrap_or_default() + "\n"
    }
}

/// Whom a check concerns.
pub fn concerns(check: &Check) -> Concerns {
    match &check.subject {
        Subject::Figure(checked) => Concerns::Figure(checked.clone()),
        Subject::Formula(formula, _) => Concerns::Formula(formula.name.to_owned()),
    }
}

fn entry(id: &str, figure: &Figure, behind: &Behind<'_>, held: &[Held], places: Vec<Place>) -> Option<Entry> {
    let shown = figure.shown()?;
    let (low, high): (Quantity, Quantity) = match figure.value {
        Value::One(value) => (value, value),
        Value::Range(low, high) => (low, high),
        Value::Words(_) => return None,
    };
    let rests = behind.rests(figure);
    let concerns = |held: &&Held| concerns(&held.check).figure(figure);
    Some(Entry {
        id: id.to_owned(),
        title: figure.title.clone(),
        unit: high.kind.si_unit().to_owned(),
        low: low.si,
        high: high.si,
        metric: shown.in_system(System::Metric).to_string(),
        us: shown.in_system(System::Us).to_string(),
        formula: figure.formula.to_owned(),
        inputs: figure.inputs.iter().map(String::from).collect(),
        rules: behind.ids(figure).into_iter().map(str::to_owned).collect(),
        basis: rests.basis.into_iter().map(str::to_owned).collect(),
        sources: rests.sources.into_iter().map(str::to_owned).collect(),
        checks: held.iter().filter(concerns).map(|held| held.check.what()).collect(),
        places,
    })
}
