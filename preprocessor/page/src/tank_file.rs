//! The tank file as its own reader describes it: an example to begin with, and a JSON Schema for editors.

mod example;
mod schema;

pub use example::{ID, example};
pub use schema::schema;

use reckoner_calc::Rules;
use reckoner_calc::document::{Key, Wanted};
use reckoner_calc::rules::livestock::Livestock;
use reckoner_calc::rules::words::KeyWords;
use reckoner_calc::tank;

/// A key with what is said of it.
pub(crate) struct Entry<'r> {
    pub(crate) key: Key,
    pub(crate) words: &'r KeyWords,
    kinds: &'r [Livestock],
}

impl Entry<'_> {
    /// A choice in words.
    pub(crate) fn choice<'w>(&'w self, word: &'w str) -> &'w str {
        let kind = self
            .kinds
            .iter()
            .find(|kind| kind.key() == word && matches!(self.key.wanted, Wanted::Choices(_)));
        kind.map_or_else(|| self.words.choice(word), Livestock::words)
    }

    /// What belongs here with the given key alone: one of several in whose place the others may stand.
    pub(crate) fn is_alternative(&self) -> bool {
        self.key.when.as_ref().is_some_and(|when| when.key == self.key.path)
    }
}

/// All keys of a tank file in the order of writing.
pub(crate) fn entries(rules: &Rules) -> Vec<Entry<'_>> {
    let keys = tank::keys(rules).into_iter();
    keys.filter_map(|key| Some(Entry { words: rules.words.key(&key.path)?, kinds: &rules.livestock, key }))
        .collect()
}

/// The entries of one table, such as `glass` or `fish[]`; empty for those at the top.
pub(crate) fn of_table<'e, 'r>(entries: &'e [Entry<'r>], table: &str) -> Vec<&'e Entry<'r>> {
    entries.iter().filter(|entry| entry.key.table() == table).collect()
}

/// The path under which the entries of a table or of a list of tables stand.
pub(crate) fn inside(key: &Key) -> String {
    if key.wanted == Wanted::Tables { format!("{}[]", key.path) } else { key.path.clone() }
}
