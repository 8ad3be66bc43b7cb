//! What a reader says of its keys when it is run without a document.

use std::ops::RangeInclusive;

use crate::quantity::Kind;

/// A key of a document, as its reader asks for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Key {
    /// Where it stands: `glass.length`, and `fish[].mass` in each table of a list.
    pub path: String,
    /// What its value must be.
    pub wanted: Wanted,
    /// Whether it must be there where its table is.
    pub required: bool,
    /// What is taken when it is left out, as a person would write it; `None` where nothing is.
    pub default: Option<String>,
    /// With what it belongs here; with anything when there is nothing.
    ///
    /// A key that means one thing with one choice and another with the next is told once for each.
    pub when: Option<When>,
}

/// The choices of another key with which a key belongs where it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct When {
    /// The path of the other key.
    pub key: String,
    /// Its choices; none where it is enough that the key is there.
    pub words: Vec<String>,
}

/// What the value of a key must be.
#[derive(Debug, Clone, PartialEq)]
pub enum Wanted {
    /// A text.
    Text,
    /// A list of texts.
    Texts,
    /// True or false.
    Flag,
    /// A quantity.
    Quantity {
        /// What it measures.
        kind: Kind,
        /// The ends of its range, as a person would write them.
        range: Option<[String; 2]>,
    },
    /// A list of quantities.
    Quantities(Kind),
    /// A list of plain numbers.
    Numbers,
    /// One of a few words.
    Choice(Vec<String>),
    /// One of a few words, or a list of them.
    Choices(Vec<String>),
    /// A table.
    Table,
    /// A list of tables.
    Tables,
}

impl Wanted {
    pub(super) fn quantity(kind: Kind, range: &RangeInclusive<&str>) -> Self {
        Wanted::Quantity { kind, range: Some([range.start(), range.end()].map(|end| (*end).to_owned())) }
    }

    pub(super) fn choice(words: &[&str]) -> Self {
        Wanted::Choice(words.iter().map(|word| (*word).to_owned()).collect())
    }

    pub(super) fn choices(words: &[&str]) -> Self {
        Wanted::Choices(words.iter().map(|word| (*word).to_owned()).collect())
    }

    /// The words of which it is one, or several; none where it is something else.
    pub fn words(&self) -> &[String] {
        match self {
            Wanted::Choice(words) | Wanted::Choices(words) => words,
            _ => &[],
        }
    }

    /// Whether other keys stand in it.
    pub fn is_table(&self) -> bool {
        matches!(self, Wanted::Table | Wanted::Tables)
    }
}

impl Key {
    /// Its name within its table: `length` of `glass.length`.
    pub fn name(&self) -> &str {
        self.path.rsplit('.').next().unwrap_or_default()
    }

    /// The path of the table that it stands in, such as `glass` or `fish[]`; empty at the top.
    pub fn table(&self) -> &str {
        self.path.rsplit_once('.').map_or("", |(table, _)| table)
    }
}

/// The keys as they were noted, those that several choices share told once.
pub(super) fn merged(noted: Vec<Key>) -> Vec<Key> {
    let mut keys: Vec<Key> = Vec::new();
    for key in noted {
        let same = |known: &&mut Key| {
            (&known.path, &known.wanted, known.required) == (&key.path, &key.wanted, key.required)
        };
        match (keys.iter_mut().find(same).and_then(|known| known.when.as_mut()), &key.when) {
            (Some(known), Some(when)) if known.key == when.key => {
                known.words.extend(when.words.iter().cloned())
            }
            // What a key means with another choice stands beside what it means with the first.
            _ => match keys.iter().rposition(|known| known.path == key.path) {
                Some(last) => keys.insert(last + 1, key),
                None => keys.push(key),
            },
        }
    }
    keys
}
