//! What lives in a tank: the kinds of livestock, `calc/rules/livestock.toml`.
//!
//! One table there holds all of a kind: its words, what advice goes by, and a rule for each topic that asks
//! for one. That of `[soft.turnover]` is `turnover.soft`. A folder of rules may change any part of a kind,
//! and add kinds of its own.

use std::ops::{Index, Range, RangeInclusive};
use std::slice;
use std::sync::Arc;

use uom::si::f64::Ratio;

use super::ruled::read_band;
use super::{Band, Rule, RuleValue, Ruled, Source, Tables, Topic, read_rule};
use crate::document::{Problem, Table, did_you_mean};
use crate::ordered::{Map, sort_by};
use crate::quantity::{Dimension, Kind};
use crate::words::listed;

/// A kind of livestock, with all that is said of it.
#[derive(Debug, Clone)]
pub struct Livestock(Arc<Said>);

#[derive(Debug)]
struct Said {
    key: String,
    order: f64,
    words: String,
    beside: String,
    is_coral: bool,
    is_stony: bool,
    is_small_polyp: bool,
}

impl Livestock {
    /// The name of its table, and the word in a tank file.
    pub fn key(&self) -> &str {
        &self.0.key
    }

    /// In words, as in the middle of a sentence.
    pub fn words(&self) -> &str {
        &self.0.words
    }

    /// Whether it is coral: only that asks something of the stream, and grows into no opening of a pump.
    pub fn is_coral(&self) -> bool {
        self.0.is_coral
    }

    /// Whether it is stony coral: that wants streams from two sides.
    pub fn is_stony(&self) -> bool {
        self.0.is_stony
    }

    /// Whether it is small-polyp coral: the move to that is one of its own.
    pub fn is_small_polyp(&self) -> bool {
        self.0.is_small_polyp
    }
}

impl PartialEq for Livestock {
    fn eq(&self, other: &Self) -> bool {
        self.key() == other.key()
    }
}

impl Eq for Livestock {}

/// What lives somewhere: one kind of livestock or several at once, as in a mixed reef.
///
/// Whatever asks how much the whole tank must be moved goes by the kind that wants the most; the others get
/// the quieter places.
pub trait Lives {
    /// Its kinds, from the least water movement to the most.
    fn kinds(&self) -> &[Livestock];

    /// The kind that wants the most movement.
    fn most(&self) -> &Livestock;

    /// The kinds that ask something of the stream: the corals, or all where there are none.
    fn asking(&self) -> impl Iterator<Item = &Livestock> {
        let has_corals = self.kinds().iter().any(Livestock::is_coral);
        self.kinds().iter().filter(move |kind| kind.is_coral() || !has_corals)
    }
}

impl Lives for Livestock {
    fn kinds(&self) -> &[Livestock] {
        slice::from_ref(self)
    }

    fn most(&self) -> &Livestock {
        self
    }
}

/// All that lives in a tank.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stock {
    kinds: Arc<[Livestock]>,
    most: Livestock,
}

impl Stock {
    /// These kinds, in any order; `None` where there are none.
    pub fn of(kinds: impl IntoIterator<Item = Livestock>) -> Option<Self> {
        let mut kinds: Vec<_> = kinds.into_iter().collect();
        put_in_order(&mut kinds);
        kinds.dedup();
        let most = kinds.last()?.clone();
        Some(Stock { kinds: kinds.into(), most })
    }

    /// In words, as in the middle of a sentence: "soft corals and small-polyp stony corals".
    pub fn words(&self) -> String {
        let is_alone = self.kinds.len() == 1;
        let word = |kind: &Livestock| if is_alone { kind.0.words.clone() } else { kind.0.beside.clone() };
        listed(&self.kinds.iter().map(word).collect::<Vec<_>>())
    }
}

impl Lives for Stock {
    fn kinds(&self) -> &[Livestock] {
        &self.kinds
    }

    fn most(&self) -> &Livestock {
        &self.most
    }
}

impl From<Livestock> for Stock {
    fn from(kind: Livestock) -> Self {
        Stock { kinds: Arc::from([kind.clone()]), most: kind }
    }
}

/// From the least water movement to the most.
fn put_in_order(kinds: &mut Vec<Livestock>) {
    sort_by(kinds, |one, other| {
        one.0.order.total_cmp(&other.0.order).then_with(|| one.key().cmp(other.key()))
    });
}

/// A rule that a topic asks of each kind: a band.
struct Asked {
    /// The topic, which also names the rule's table within that of a kind.
    topic: &'static str,
    /// What the key of the rule begins with; the kind follows.
    prefix: &'static str,
    of: Kind,
    range: RangeInclusive<&'static str>,
}

const ASKED: [Asked; 3] = [
    Asked { topic: "turnover", prefix: "", of: Kind::Rate, range: "0.1 per hour"..="500 per hour" },
    Asked { topic: "speeds", prefix: "", of: Kind::Speed, range: "0.1 cm/s"..="200 cm/s" },
    Asked { topic: "oxygen", prefix: "reef_", of: Kind::Share, range: "0 %"..="1000 %" },
];

impl Asked {
    fn key(&self, kind: &str) -> String {
        format!("{}{kind}", self.prefix)
    }

    fn id(&self, kind: &str) -> String {
        format!("{}.{}", self.topic, self.key(kind))
    }

    fn read(&self, table: &mut Table<'_>) -> Option<RuleValue> {
        let (low, high) = read_band(table, self.of, Some(self.range.clone()))?;
        Some(RuleValue::Band(low, high))
    }
}

/// The rules of a kind: the topic of each, and its id.
pub fn rule_ids(kind: &str) -> impl Iterator<Item = (&'static str, String)> {
    ASKED.iter().map(move |asked| (asked.topic, asked.id(kind)))
}

/// The name of the file.
pub const FILE: &str = "livestock.toml";

/// More kinds than a table has room for.
const MOST_KINDS: usize = 50;

/// Rows that stand beside those of the kinds in a table, and so can not be the name of one.
const NO_KINDS: [&str; 2] = ["now", "later"];

const NAME: &str = "write another name, in small letters and with _ between its words";

type Sources = Map<String, Source>;

/// The kinds as they were read, with the rules that their topics take up.
#[derive(Default)]
pub(super) struct Kinds {
    pub(super) all: Vec<Livestock>,
    rules: Vec<Rule>,
    /// Where each kind stands in the file that says it.
    places: Map<String, Range<usize>>,
}

impl Kinds {
    pub(super) fn read(mut tables: Tables<'_, '_, '_>, sources: &Sources) -> Option<Self> {
        let keys = tables.keys();
        let (keys, beyond) = keys.split_at(keys.len().min(MOST_KINDS));
        let mut kinds = Kinds::default();
        let mut read: Vec<_> = keys.iter().map(|key| kinds.read_kind(key, &mut tables, sources)).collect();
        if let Some(first) = beyond.first() {
            let help = format!("keep it to {MOST_KINDS} at the most: tables have a column for each");
            tables.refuse(first, format!("`{first}` is one kind too many"), &help);
            read.push(None);
        }
        // Known, so that those after it are not told one by one.
        beyond.iter().for_each(|key| tables.said(key, |_| ()));
        put_in_order(&mut kinds.all);
        read.iter().all(Option::is_some).then_some(kinds)
    }

    fn read_kind(&mut self, key: &str, tables: &mut Tables<'_, '_, '_>, sources: &Sources) -> Option<()> {
        if !is_name(key) || NO_KINDS.contains(&key) {
            tables.refuse(key, format!("`{key}` can not be the name of a kind"), NAME);
            return None;
        }
        // A table that says neither was written to change a kind of the book.
        if tables.is_new_without(key, &["order", "words"]) {
            let known: Vec<_> = tables.table.keys();
            let near = did_you_mean(key, &known).map_or_else(String::new, |near| format!("; {near}"));
            let help = format!("say all of a new kind: its order, words and rules{near}");
            tables.refuse(key, format!("the book has no kind of livestock `{key}`"), &help);
            return None;
        }
        self.places.insert(key.to_owned(), tables.place(key));
        tables.within(key, |mut of| {
            let order = of.said("order", |table| table.quantity::<Ratio>("order", "0"..="1000000"));
            let words = of.said("words", |table| table.text("words"));
            let beside = of.said("beside", |table| table.maybe_text("beside"));
            let mut flag = |key| of.said(key, |table| table.flag(key));
            let (is_coral, is_stony, is_small_polyp) = (flag("coral"), flag("stony"), flag("small_polyp"));
            let mut rule = |asked: &Asked| {
                let read = |table: &mut Table<'_>| {
                    read_rule(asked.id(key), table, sources, &mut |table| asked.read(table))
                };
                of.table(asked.topic, read)
            };
            let rules: Vec<_> = ASKED.iter().map(&mut rule).collect();
            self.rules.extend(rules.into_iter().collect::<Option<Vec<_>>>()?);
            let (key, order, words) = (key.to_owned(), order?.si(), words?);
            let beside = beside.unwrap_or_else(|| words.clone());
            let said = Said { key, order, words, beside, is_coral, is_stony, is_small_polyp };
            self.all.push(Livestock(Arc::new(said)));
            Some(())
        })
    }

    /// Refuses kinds whose rules have the ids of other rules.
    ///
    /// - `all`: the rules of all topics
    pub(super) fn refuse_doubled(&self, all: &[Rule], problems: &mut Vec<Problem>) {
        for kind in &self.all {
            let key = kind.key();
            let is_doubled = |id: &String| all.iter().filter(|rule| *rule.id == **id).count() > 1;
            if let Some((_, id)) = rule_ids(key).find(|(_, id)| is_doubled(id)) {
                let message = format!("`{key}` can not be the name of a kind: `{id}` is another rule");
                let (span, help) = (self.places.get(key).cloned().unwrap_or_default(), vec![NAME.to_owned()]);
                problems.push(Problem {
                    document: FILE.to_owned(),
                    span,
                    missing: String::new(),
                    message,
                    help,
                });
            }
        }
    }
}

/// Whether a name can stand in a tank file and in the ids of figures.
fn is_name(key: &str) -> bool {
    let is_letter = |c: char| c.is_ascii_lowercase();
    key.starts_with(is_letter) && key.chars().all(|c| is_letter(c) || c.is_ascii_digit() || c == '_')
}

/// A band for each kind of livestock: a rule of a topic.
#[derive(Debug, Clone)]
pub struct OfKinds<D> {
    bands: Vec<(Livestock, Ruled<Band<D>>)>,
}

impl<D> OfKinds<D> {
    /// The kinds, from the least water movement to the most.
    pub fn kinds(&self) -> impl Iterator<Item = &Livestock> {
        self.bands.iter().map(|(kind, _)| kind)
    }
}

impl<D> Index<&Livestock> for OfKinds<D> {
    type Output = Ruled<Band<D>>;

    /// The band of a kind that these rules have; a sheet is refused to a tank with another.
    fn index(&self, kind: &Livestock) -> &Ruled<Band<D>> {
        &self.bands[self.kinds().position(|other| other == kind).unwrap_or_default()].1
    }
}

impl Topic<'_, '_, '_> {
    /// The rule of each kind for this topic. A file of the topic that goes before the one compiled in may say
    /// it too, by its key.
    pub(super) fn of_kinds<D: Dimension>(&mut self) -> Option<OfKinds<D>> {
        let asked = ASKED.iter().find(|asked| asked.topic == self.name)?;
        let kinds = self.kinds;
        let bands = kinds.all.iter().map(|kind| Some((kind.clone(), self.of_kind(asked, kind)?)));
        let bands: Vec<_> = bands.collect();
        Some(OfKinds { bands: bands.into_iter().collect::<Option<_>>()? })
    }

    fn of_kind<D: Dimension>(&mut self, asked: &Asked, kind: &Livestock) -> Option<Ruled<Band<D>>> {
        let key = asked.key(kind.key());
        if self.tables.is_replaced(&key) {
            return self.rule(&key, Some(asked.range.clone()));
        }
        let id = asked.id(kind.key());
        let rule = self.kinds.rules.iter().find(|rule| *rule.id == *id)?;
        let RuleValue::Band(low, high) = rule.value else { return None };
        Some(self.push(Band { low: D::from_si(low.si), high: D::from_si(high.si) }, rule.clone()))
    }
}
