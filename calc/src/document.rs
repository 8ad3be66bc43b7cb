//! Reads a TOML document and gathers every problem in it, each with its place.
//!
//! The rules, the tanks and the pump catalogue are all read through [`Table`]: reading a key also declares
//! it, so that a key nobody reads is reported with the nearest one that exists. A reader asks for everything
//! it needs before it gives up, so that one run shows all mistakes. The same reader, run without a document,
//! tells all keys that a document may have: see [`describe`].

pub mod edit;
mod keys;

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::ops::{Range, RangeInclusive};

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::ordered::sort_by;
pub use keys::{Key, Wanted, When};

use crate::quantity::{
    Dimension, Kind, ParseError, Quantity, Rounding, parse_as, parse_number, show, show_outside,
};

/// More tables than a person writes into one list: beyond them a file is a mistake, and its messages would take
/// long.
const MOST_TABLES: usize = 2000;
/// A longer text than a page prints in one place.
const LONGEST_TEXT: usize = 2000;

/// So many unknown keys are told the nearest one that exists; whoever has more did not mean this file.
const MOST_UNKNOWN: usize = 100;

/// One mistake in a document.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// The document's name as the caller gave it.
    pub document: String,
    /// Where: bytes of its text.
    pub span: Range<usize>,
    /// The key that is not there, of the table at the place; empty where what is wrong stands in the text.
    pub missing: String,
    /// What is wrong.
    pub message: String,
    /// What would be right.
    pub help: Vec<String>,
}

impl Problem {
    /// The whole key that it is about, such as `glass.length` or `pump[0].height`; empty where it is about
    /// the document.
    ///
    /// - `text`: that of the document
    pub fn key(&self, text: &str) -> String {
        let (root, _) = DeTable::parse_recoverable(text);
        let at = if self.span.is_empty() { None } else { key_at(root.get_ref(), &self.span) };
        let missing = Some(self.missing.clone()).filter(|key| !key.is_empty());
        at.into_iter().chain(missing).collect::<Vec<_>>().join(".")
    }
}

/// The key of the innermost value, or table, that stands at a place.
fn key_at(table: &DeTable<'_>, place: &Range<usize>) -> Option<String> {
    table.iter().find_map(|(key, value)| {
        let name = key.get_ref().to_string();
        value_at(&name, value, place).or_else(|| holds(&key.span(), place).then_some(name))
    })
}

fn value_at(name: &str, value: &Spanned<DeValue<'_>>, place: &Range<usize>) -> Option<String> {
    let inside = match value.get_ref() {
        DeValue::Table(table) => key_at(table, place).map(|key| format!("{name}.{key}")),
        DeValue::Array(items) => {
            items.iter().enumerate().find_map(|(at, item)| value_at(&format!("{name}[{at}]"), item, place))
        }
        _ => None,
    };
    inside.or_else(|| holds(&value.span(), place).then(|| name.to_owned()))
}

fn holds(span: &Range<usize>, place: &Range<usize>) -> bool {
    span.start <= place.start && place.end <= span.end
}

/// Reads a document with `reader`.
///
/// # Errors
/// Every problem found, in the order of the document.
pub fn read<T>(
    name: &str,
    text: &str,
    reader: impl FnOnce(&mut Table<'_>) -> Option<T>,
) -> Result<T, Vec<Problem>> {
    let (mut reader, mut value) = (Some(reader), None);
    let found = problems(name, text, &mut |table| value = reader.take().and_then(|reader| reader(table)));
    match value {
        Some(value) if found.is_empty() => Ok(value),
        _ => Err(found),
    }
}

/// What is wrong in a document that `reader` reads, in its order.
pub(crate) fn problems(name: &str, text: &str, reader: &mut dyn FnMut(&mut Table<'_>)) -> Vec<Problem> {
    let (root, syntax) = DeTable::parse_recoverable(text);
    let problems: RefCell<Vec<Problem>> = RefCell::default();
    for error in syntax {
        let span = error.span().unwrap_or(0..0);
        let (message, help) = (error.message().to_owned(), Vec::new());
        problems.borrow_mut().push(Problem {
            document: name.to_owned(),
            span,
            missing: String::new(),
            message,
            help,
        });
    }
    if !problems.borrow().is_empty() {
        return problems.into_inner();
    }
    let mut table =
        Table::new(name, String::new(), Some(root.get_ref()), 0..0, Pen { problems: &problems, keys: None });
    reader(&mut table);
    table.finish();
    let mut found = problems.into_inner();
    sort_by(&mut found, |one, other| one.span.start.cmp(&other.span.start));
    found
}

/// All keys that `reader` reads, in the order in which it asks for them: it is run without a document. Those
/// that depend on a choice say on which.
pub fn describe(reader: impl FnOnce(&mut Table<'_>)) -> Vec<Key> {
    let (problems, keys) = (RefCell::default(), RefCell::default());
    let mut table = Table::new("", String::new(), None, 0..0, Pen { problems: &problems, keys: Some(&keys) });
    reader(&mut table);
    keys::merged(keys.into_inner())
}

/// Where a table and its values stand: kept for checks that can only be made when more has been read.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Places {
    whole: Range<usize>,
    keys: Vec<(String, Range<usize>)>,
}

impl Places {
    /// The place of a key's value, or the table's head where the key is not there.
    pub fn of(&self, key: &str) -> Range<usize> {
        self.keys.iter().find(|(name, _)| name == key).map_or(&self.whole, |(_, place)| place).clone()
    }
}

/// One table of a document, being read.
pub struct Table<'d> {
    document: &'d str,
    path: String,
    /// What it holds; nothing where it is not there and yet read.
    entries: Option<&'d DeTable<'d>>,
    /// Where the table starts: the place of a missing key.
    span: Range<usize>,
    known: Known,
    /// What a key that nobody asked for is called, up to its name; an unknown key where nothing else is said.
    unknown: Option<String>,
    /// The choice that what is read belongs to.
    when: Option<When>,
    pen: Pen<'d>,
}

/// Where a reader's notes go.
#[derive(Clone, Copy)]
struct Pen<'d> {
    problems: &'d RefCell<Vec<Problem>>,
    /// The keys, where there is no document and they are what is asked for.
    keys: Option<&'d RefCell<Vec<Key>>>,
}

/// The keys that somebody reads: a file may hold very many.
#[derive(Default)]
struct Known {
    in_order: Vec<String>,
    all: BTreeSet<String>,
}

impl<'d> Table<'d> {
    fn new(
        document: &'d str,
        path: String,
        entries: Option<&'d DeTable<'d>>,
        span: Range<usize>,
        pen: Pen<'d>,
    ) -> Self {
        Table { document, path, entries, span, known: Known::default(), unknown: None, when: None, pen }
    }

    /// Calls a key that nobody asked for something else than an unknown key: what is said of it, up to its
    /// name.
    pub(crate) fn call_unknown(&mut self, unknown: String) {
        self.unknown = Some(unknown);
    }

    /// The keys in the order of the document.
    pub fn keys(&self) -> Vec<String> {
        self.entries.into_iter().flat_map(DeTable::keys).map(|key| key.get_ref().to_string()).collect()
    }

    /// Whether the key is there; asking declares it.
    pub fn has(&mut self, key: &str) -> bool {
        self.declare(key);
        self.entry(key).is_some()
    }

    /// A text that must be there and must not be empty.
    pub fn text(&mut self, key: &str) -> Option<String> {
        let value = self.required(key, "a text in quotation marks", &|| Wanted::Text)?;
        self.as_text(key, value)
    }

    /// A text that may be left out.
    pub fn maybe_text(&mut self, key: &str) -> Option<String> {
        let value = self.optional(key, &|| Wanted::Text)?;
        self.as_text(key, value)
    }

    /// True or false; false when left out.
    pub fn flag(&mut self, key: &str) -> bool {
        let Some(value) = self.optional(key, &|| Wanted::Flag) else { return false };
        value.get_ref().as_bool().unwrap_or_else(|| {
            self.problem(value.span(), format!("`{key}` must be true or false"), []);
            false
        })
    }

    /// A quantity that must be there and lie in the range, whose ends are written as a person would:
    /// `"5 cm"..="5 m"`.
    pub fn quantity<D: Dimension>(&mut self, key: &str, range: RangeInclusive<&str>) -> Option<D> {
        self.quantity_of(key, D::KIND, range).map(|quantity| D::from_si(quantity.si))
    }

    /// A quantity that may be left out.
    pub fn maybe_quantity<D: Dimension>(&mut self, key: &str, range: RangeInclusive<&str>) -> Option<D> {
        self.maybe_quantity_of(key, D::KIND, range).map(|quantity| D::from_si(quantity.si))
    }

    /// A quantity; `default` when left out.
    pub fn quantity_or<D: Dimension>(&mut self, key: &str, range: RangeInclusive<&str>, default: D) -> D {
        let said = self.maybe_quantity(key, range);
        self.assumes(key, || default.into());
        said.unwrap_or(default)
    }

    /// A quantity of a kind known at run time; as [`Table::quantity`].
    pub fn quantity_of(&mut self, key: &str, kind: Kind, range: RangeInclusive<&str>) -> Option<Quantity> {
        let value = self.required(key, kind.example(), &|| Wanted::quantity(kind, &range))?;
        self.as_quantity(key, value, kind, &range)
    }

    /// A quantity of a kind known at run time that may be left out.
    pub fn maybe_quantity_of(
        &mut self,
        key: &str,
        kind: Kind,
        range: RangeInclusive<&str>,
    ) -> Option<Quantity> {
        let value = self.optional(key, &|| Wanted::quantity(kind, &range))?;
        self.as_quantity(key, value, kind, &range)
    }

    /// How many of something: a whole number.
    pub fn count(&mut self, key: &str, range: RangeInclusive<&str>) -> Option<u32> {
        let count = self.quantity_of(key, Kind::Count, range)?;
        self.as_count(key, count)
    }

    /// How many of something, or nothing.
    pub fn maybe_count(&mut self, key: &str, range: RangeInclusive<&str>) -> Option<u32> {
        let count = self.maybe_quantity_of(key, Kind::Count, range)?;
        self.as_count(key, count)
    }

    /// Says what is taken where a key is left out, to whoever asks for the keys.
    pub fn assumes(&self, key: &str, value: impl Fn() -> Quantity) {
        self.takes(key, &|| show(value(), Rounding::Nearest).to_string().replace('\u{a0}', " "));
    }

    /// A quantity of whatever size: the formula that takes it knows its own range.
    pub fn quantity_of_any_size(&mut self, key: &str, kind: Kind) -> Option<Quantity> {
        let value = self.required(key, kind.example(), &|| Wanted::Quantity { kind, range: None })?;
        self.as_read(key, value, kind)
    }

    /// A list of quantities, each in the range; at least one.
    pub fn quantities(
        &mut self,
        key: &str,
        kind: Kind,
        range: RangeInclusive<&str>,
    ) -> Option<Vec<Quantity>> {
        let value = self.required(key, "a list", &|| Wanted::Quantities(kind))?;
        let Some(items) = value.get_ref().as_array().filter(|items| !items.is_empty()) else {
            self.problem(
                value.span(),
                format!("`{key}` must be a list, with at least one entry"),
                [format!("for instance [{}]", kind.example())],
            );
            return None;
        };
        let read: Vec<_> = items.iter().map(|item| self.as_quantity(key, item, kind, &range)).collect();
        read.into_iter().collect()
    }

    /// A list of plain numbers, exponents allowed: the coefficients of a formula.
    pub fn numbers(&mut self, key: &str) -> Option<Vec<f64>> {
        let value = self.required(key, "a list of numbers", &|| Wanted::Numbers)?;
        let number = |item: &Spanned<DeValue<'_>>| match item.get_ref() {
            DeValue::Integer(number) => number.as_str().replace('_', "").parse().ok(),
            DeValue::Float(number) => number.as_str().replace('_', "").parse().ok(),
            _ => None,
        };
        let numbers: Option<Vec<f64>> =
            value.get_ref().as_array().and_then(|items| items.iter().map(number).collect());
        let numbers = numbers.filter(|numbers| numbers.iter().all(|number| number.is_finite()));
        if numbers.is_none() {
            self.problem(
                value.span(),
                format!("`{key}` must be a list of numbers"),
                ["for instance [1.25, -3e-4]".to_owned()],
            );
        }
        numbers
    }

    /// One of a few words.
    pub fn choice<T: Copy>(&mut self, key: &str, choices: &[(&str, T)]) -> Option<T> {
        let words = words(choices);
        let value =
            self.required(key, &format!("one of {}", words.join(", ")), &|| Wanted::choice(&words))?;
        self.as_choice(key, value, choices)
    }

    /// One of a few words, or nothing.
    pub fn maybe_choice<T: Copy>(&mut self, key: &str, choices: &[(&str, T)]) -> Option<T> {
        let value = self.optional(key, &|| Wanted::choice(&words(choices)))?;
        self.as_choice(key, value, choices)
    }

    /// One of a few words; `default` when left out, and nothing when it is none of them.
    pub fn choice_or<T: Copy + PartialEq>(
        &mut self,
        key: &str,
        choices: &[(&str, T)],
        default: T,
    ) -> Option<T> {
        let value = self.optional(key, &|| Wanted::choice(&words(choices)));
        self.takes(key, &|| word_of(choices, default));
        match value {
            Some(value) => self.as_choice(key, value, choices),
            None => self.pen.keys.is_none().then_some(default),
        }
    }

    /// One word of a fixed set, or a list of such words, none of them twice.
    pub fn choices<T: Copy>(&mut self, key: &str, choices: &[(&str, T)]) -> Option<Vec<T>> {
        let words = words(choices);
        let value =
            self.required(key, &format!("one of {}, or a list of them", words.join(", ")), &|| {
                Wanted::choices(&words)
            })?;
        self.as_choices(key, value, choices)
    }

    /// As [`choices`](Self::choices), for a key that may be left out.
    pub fn maybe_choices<T: Copy>(&mut self, key: &str, choices: &[(&str, T)]) -> Option<Vec<T>> {
        let value = self.optional(key, &|| Wanted::choices(&words(choices)))?;
        self.as_choices(key, value, choices)
    }

    /// One of a few words, and what `reader` reads beside it: other keys belong there with each. None of them
    /// is called unknown while the word is wrong.
    pub fn by_choice<C: Copy, T>(
        &mut self,
        key: &str,
        choices: &[(&str, C)],
        mut reader: impl FnMut(&mut Self, C) -> Option<T>,
    ) -> Option<T> {
        let chosen = self.choice(key, choices);
        self.depending(key, choices, chosen, &mut reader)
    }

    /// As [`by_choice`](Self::by_choice), with a word that counts when none is there.
    pub fn by_choice_or<C: Copy + PartialEq, T>(
        &mut self,
        key: &str,
        choices: &[(&str, C)],
        default: C,
        mut reader: impl FnMut(&mut Self, C) -> Option<T>,
    ) -> Option<T> {
        let chosen = self.choice_or(key, choices, default);
        self.depending(key, choices, chosen, &mut reader)
    }

    /// Just one of several keys, and what `reader` reads with it; other keys belong there with each.
    ///
    /// - `none`, `several`: what is wrong, and what would be right, where none of them is there, or more than
    ///   one
    pub fn by_key<T>(
        &mut self,
        keys: &[&str],
        none: [&str; 2],
        several: [&str; 2],
        mut reader: impl FnMut(&mut Self, &str) -> Option<T>,
    ) -> Option<T> {
        let there: Vec<&str> = keys.iter().copied().filter(|key| self.has(key)).collect();
        match there[..] {
            [one] => return reader(self, one),
            [first, second, ..] => {
                reader(self, first);
                self.refuse(second, several[0], several[1]);
            }
            [] => self.refuse(keys[0], none[0], none[1]),
        }
        for key in keys {
            let when = When { key: self.full(key), words: Vec::new() };
            self.aside(when, &mut |table| _ = reader(table, key));
        }
        None
    }

    /// Reads what depends on a choice; where there is none, what depends on each is only declared.
    fn depending<C: Copy, T>(
        &mut self,
        key: &str,
        choices: &[(&str, C)],
        chosen: Option<C>,
        reader: &mut dyn FnMut(&mut Self, C) -> Option<T>,
    ) -> Option<T> {
        if let Some(choice) = chosen {
            return reader(self, choice);
        }
        for (word, choice) in choices {
            let when = When { key: self.full(key), words: vec![(*word).to_owned()] };
            self.aside(when, &mut |table| _ = reader(table, *choice));
        }
        None
    }

    /// Has keys read as if none were there: so they are declared, and nothing else is said of them.
    fn aside(&mut self, when: When, reader: &mut dyn FnMut(&mut Self)) {
        let (entries, before) = (self.entries.take(), self.when.replace(when));
        let problems = self.pen.problems.borrow().len();
        reader(self);
        self.pen.problems.borrow_mut().truncate(problems);
        (self.entries, self.when) = (entries, before);
    }

    /// A table that must be there.
    pub fn table<T>(&mut self, key: &str, reader: impl FnOnce(&mut Table<'d>) -> Option<T>) -> Option<T> {
        let value = self.required_table(key);
        self.as_table(key, value, reader)
    }

    /// A table that may be left out.
    pub fn maybe_table<T>(
        &mut self,
        key: &str,
        reader: impl FnOnce(&mut Table<'d>) -> Option<T>,
    ) -> Option<T> {
        let value = self.optional(key, &|| Wanted::Table);
        self.as_table(key, value, reader)
    }

    /// A table that says no more when it is left out than when it is empty.
    pub fn table_or_empty<T>(
        &mut self,
        key: &str,
        reader: impl FnOnce(&mut Table<'d>) -> Option<T>,
    ) -> Option<T> {
        if let Some(value) = self.optional(key, &|| Wanted::Table) {
            return self.as_table(key, Some(value), reader);
        }
        reader(&mut Table::new(self.document, self.full(key), None, self.span.clone(), self.pen))
    }

    /// A list of tables, `[[key]]`; empty when left out.
    pub fn tables<T>(&mut self, key: &str, mut reader: impl FnMut(&mut Table<'d>) -> Option<T>) -> Vec<T> {
        let Some(value) = self.optional(key, &|| Wanted::Tables) else {
            self.as_table(&format!("{key}[]"), None, reader);
            return Vec::new();
        };
        let Some(items) = value.get_ref().as_array() else {
            self.problem(
                value.span(),
                format!("`{key}` must be a list of tables"),
                [format!("write [[{}]]", self.full(key))],
            );
            return Vec::new();
        };
        if items.len() > MOST_TABLES {
            let message = format!("`{key}` is a list of {} tables", items.len());
            self.problem(value.span(), message, [format!("keep it to {MOST_TABLES} at the most")]);
            return Vec::new();
        }
        items.iter().filter_map(|item| self.as_table(key, Some(item), &mut reader)).collect()
    }

    /// What was written for a key of a table within this one, without quotation marks.
    pub fn entry_text(&self, table: &str, key: &str) -> Option<String> {
        let value = self.entry(table)?.get_ref().as_table()?.get(key)?;
        Some(value_text(value.get_ref()).trim_matches('"').to_owned())
    }

    /// Notes a problem at the value of a key, or at the table's head when the key is not there.
    pub fn refuse(&self, key: &str, message: impl Into<String>, help: impl Into<String>) {
        match self.entry(key) {
            Some(value) => self.problem(value.span(), message.into(), [help.into()]),
            None => self.note(self.span.clone(), key, message.into(), [help.into()]),
        }
    }

    /// Notes a problem at a place that was kept.
    pub fn refuse_at(&self, span: Range<usize>, message: impl Into<String>, help: impl Into<String>) {
        self.problem(span, message.into(), [help.into()]);
    }

    /// Where the table and its values stand.
    pub fn places(&self) -> Places {
        let entries = self.entries.into_iter().flat_map(DeTable::iter);
        let keys = entries.map(|(key, value)| (key.get_ref().to_string(), value.span()));
        Places { whole: self.span.clone(), keys: keys.collect() }
    }

    /// A list of texts that may be left out; none of them empty.
    pub fn maybe_texts(&mut self, key: &str) -> Option<Vec<String>> {
        let value = self.optional(key, &|| Wanted::Texts)?;
        let texts = value
            .get_ref()
            .as_array()
            .map(|items| items.iter().map(|item| item.get_ref().as_str().map(str::to_owned)).collect());
        let texts: Option<Vec<String>> = texts.flatten().filter(|texts: &Vec<String>| {
            !texts.is_empty() && texts.iter().all(|text| !text.trim().is_empty())
        });
        if texts.iter().flatten().any(|text| !self.is_plain(key, text, value.span())) {
            return None;
        }
        if texts.is_none() {
            self.problem(
                value.span(),
                format!("`{key}` must be a list of texts, with at least one entry and none of them empty"),
                ["for instance [\"left\"]".to_owned()],
            );
        }
        texts
    }

    fn as_text(&self, key: &str, value: &Spanned<DeValue<'_>>) -> Option<String> {
        match value.get_ref().as_str() {
            Some(text) if !text.trim().is_empty() => {
                self.is_plain(key, text, value.span()).then(|| text.to_owned())
            }
            _ => {
                self.problem(
                    value.span(),
                    format!("`{key}` must be a text"),
                    [format!("write {key} = \"...\"")],
                );
                None
            }
        }
    }

    /// Whether a text holds only what shows on a page; what does not could start a line of its own there, or
    /// turn round what follows.
    fn is_plain(&self, key: &str, text: &str, span: Range<usize>) -> bool {
        let length = text.chars().count();
        if length > LONGEST_TEXT {
            self.problem(
                span,
                format!("`{key}` is {length} characters long"),
                [format!("write at most {LONGEST_TEXT} characters")],
            );
            return false;
        }
        let Some(hidden) = text.chars().find(|c| is_hidden(*c)) else { return true };
        let message = format!("`{key}` holds a character that does not show, U+{:04X}", u32::from(hidden));
        self.problem(
            span,
            message,
            ["write it in one line, without control characters and marks of direction".to_owned()],
        );
        false
    }

    fn as_choice<T: Copy>(
        &self,
        key: &str,
        value: &Spanned<DeValue<'_>>,
        choices: &[(&str, T)],
    ) -> Option<T> {
        let written = value.get_ref().as_str().unwrap_or_default();
        let found = choices.iter().find(|(word, _)| *word == written).map(|(_, choice)| *choice);
        if found.is_none() {
            let words = words(choices);
            let message = format!("`{key}` can not be {}", value_text(value.get_ref()));
            self.problem(
                value.span(),
                message,
                [did_you_mean(written, &words)
                    .unwrap_or_else(|| format!("write one of {}", words.join(", ")))],
            );
        }
        found
    }

    fn as_choices<T: Copy>(
        &self,
        key: &str,
        value: &'d Spanned<DeValue<'d>>,
        choices: &[(&str, T)],
    ) -> Option<Vec<T>> {
        let Some(items) = value.get_ref().as_array() else {
            return self.as_choice(key, value, choices).map(|choice| vec![choice]);
        };
        if items.is_empty() {
            self.problem(
                value.span(),
                format!("`{key}` is an empty list"),
                [format!("name at least one, such as \"{}\"", choices[0].0)],
            );
            return None;
        }
        let mut found = Vec::new();
        for (at, item) in items.iter().enumerate() {
            if items.iter().take(at).any(|before| before.get_ref().as_str() == item.get_ref().as_str()) {
                self.problem(
                    item.span(),
                    format!("`{key}` names {} twice", value_text(item.get_ref())),
                    ["name it once".to_owned()],
                );
            } else {
                found.push(self.as_choice(key, item, choices));
            }
        }
        found.into_iter().collect()
    }

    /// Reads a table where it is there, or where the keys are what is asked for.
    fn as_table<T>(
        &self,
        key: &str,
        value: Option<&'d Spanned<DeValue<'d>>>,
        reader: impl FnOnce(&mut Table<'d>) -> Option<T>,
    ) -> Option<T> {
        let mut table = self.within(key, value)?;
        let read = reader(&mut table);
        table.finish();
        read
    }

    fn within(&self, key: &str, value: Option<&'d Spanned<DeValue<'d>>>) -> Option<Table<'d>> {
        let path = self.full(key);
        let Some(value) = value else {
            return self.pen.keys.map(|_| Table::new(self.document, path, None, 0..0, self.pen));
        };
        let Some(entries) = value.get_ref().as_table() else {
            self.problem(
                value.span(),
                format!("`{key}` must be a table"),
                [format!("write [{path}] on a line of its own, its keys below")],
            );
            return None;
        };
        Some(Table::new(self.document, path, Some(entries), value.span(), self.pen))
    }

    fn as_count(&self, key: &str, count: Quantity) -> Option<u32> {
        if count.si.fract() == 0.0 {
            return Some(count.si as u32);
        }
        self.refuse(key, format!("`{key}` is not a whole number"), "count them");
        None
    }

    fn as_read(&self, key: &str, value: &Spanned<DeValue<'_>>, kind: Kind) -> Option<Quantity> {
        let written = match value.get_ref() {
            DeValue::String(text) => parse_as(kind, text),
            DeValue::Integer(_) | DeValue::Float(_) if !kind.is_bare() => {
                Err(ParseError::NoUnit { number: value_text(value.get_ref()), wanted: kind })
            }
            DeValue::Integer(number) => decimal(number.as_str(), kind),
            DeValue::Float(number) => decimal(number.as_str(), kind),
            other => {
                self.problem(
                    value.span(),
                    format!("`{key}` must be {}, not {}", kind.name(), value_text(other)),
                    [format!("write {}", kind.example())],
                );
                return None;
            }
        };
        written.map_err(|error| self.problem(value.span(), format!("`{key}`: {error}"), [error.help()])).ok()
    }

    fn as_quantity(
        &self,
        key: &str,
        value: &Spanned<DeValue<'_>>,
        kind: Kind,
        range: &RangeInclusive<&str>,
    ) -> Option<Quantity> {
        let quantity = self.as_read(key, value, kind)?;
        // The ends of a range of money are bare numbers, whatever the currency.
        let end =
            |text: &str| parse_as(if matches!(kind, Kind::Money(_)) { Kind::Ratio } else { kind }, text);
        let (low, high) = (end(range.start()), end(range.end()));
        let (Ok(low), Ok(high)) = (low, high) else {
            self.problem(value.span(), format!("the range of `{key}` can not be read: {range:?}"), []);
            return None;
        };
        if (low.si..=high.si).contains(&quantity.si) {
            return Some(quantity);
        }
        let [shown, ..] = show_outside(quantity, Quantity::new(kind, low.si), Quantity::new(kind, high.si));
        self.problem(
            value.span(),
            format!("`{key}` is {shown}"),
            [format!("it must be from {} to {}", range.start(), range.end())],
        );
        None
    }

    fn required(
        &mut self,
        key: &str,
        example: &str,
        wanted: &dyn Fn() -> Wanted,
    ) -> Option<&'d Spanned<DeValue<'d>>> {
        self.required_as(key, &format!("write {key} = {example}"), wanted)
    }

    fn required_table(&mut self, key: &str) -> Option<&'d Spanned<DeValue<'d>>> {
        self.required_as(key, &format!("add a table [{}]", self.full(key)), &|| Wanted::Table)
    }

    fn required_as(
        &mut self,
        key: &str,
        help: &str,
        wanted: &dyn Fn() -> Wanted,
    ) -> Option<&'d Spanned<DeValue<'d>>> {
        let found = self.ask(key, true, wanted);
        if found.is_none() {
            self.note(self.span.clone(), key, format!("`{}` is missing", self.full(key)), [help.to_owned()]);
        }
        found
    }

    fn optional(&mut self, key: &str, wanted: &dyn Fn() -> Wanted) -> Option<&'d Spanned<DeValue<'d>>> {
        self.ask(key, false, wanted)
    }

    /// Looks for a key, and notes what it is where that is what is asked for.
    fn ask(
        &mut self,
        key: &str,
        required: bool,
        wanted: &dyn Fn() -> Wanted,
    ) -> Option<&'d Spanned<DeValue<'d>>> {
        self.declare(key);
        if let Some(keys) = self.pen.keys {
            keys.borrow_mut().push(Key {
                path: self.full(key),
                wanted: wanted(),
                required,
                default: None,
                when: self.when.clone(),
            });
        }
        self.entry(key)
    }

    /// Notes what is taken where a key is left out that was just asked for.
    fn takes(&self, key: &str, default: &dyn Fn() -> String) {
        let Some(keys) = self.pen.keys else { return };
        let path = self.full(key);
        if let Some(key) = keys.borrow_mut().iter_mut().rev().find(|known| known.path == path) {
            key.default = Some(default());
        }
    }

    fn entry(&self, key: &str) -> Option<&'d Spanned<DeValue<'d>>> {
        self.entries?.get(key)
    }

    fn declare(&mut self, key: &str) {
        if self.known.all.insert(key.to_owned()) {
            self.known.in_order.push(key.to_owned());
        }
    }

    fn finish(&self) {
        let known: Vec<_> = self.known.in_order.iter().map(String::as_str).collect();
        let keys = self.entries.into_iter().flat_map(DeTable::keys);
        let unknown = keys.filter(|key| !self.known.all.contains(&**key.get_ref()));
        for (at, key) in unknown.enumerate() {
            let message = match &self.unknown {
                Some(unknown) => format!("{unknown}{}`", key.get_ref()),
                None => format!("unknown key `{}`", self.full(key.get_ref())),
            };
            if at >= MOST_UNKNOWN {
                self.problem(key.span(), message, []);
            } else {
                let help = did_you_mean(key.get_ref(), &known)
                    .unwrap_or_else(|| format!("the keys here are {}", known.join(", ")));
                self.problem(key.span(), message, [help]);
            }
        }
    }

    /// A key with the tables that it stands in: `glass.length`.
    fn full(&self, key: &str) -> String {
        if self.path.is_empty() { key.to_owned() } else { format!("{}.{key}", self.path) }
    }

    fn problem<const N: usize>(&self, span: Range<usize>, message: String, help: [String; N]) {
        self.note(span, "", message, help);
    }

    fn note<const N: usize>(&self, span: Range<usize>, missing: &str, message: String, help: [String; N]) {
        let (document, missing) = (self.document.to_owned(), missing.to_owned());
        let (message, help) = (shortened(message), help.map(shortened).into());
        self.pen.problems.borrow_mut().push(Problem { document, span, missing, message, help });
    }
}

/// A message that repeats what somebody wrote, without its middle where that is very long.
fn shortened(message: String) -> String {
    let length = message.chars().count();
    if length <= LONGEST_TEXT {
        return message;
    }
    let end: String = message.chars().skip(length - LONGEST_TEXT / 4).collect();
    message.chars().take(LONGEST_TEXT / 2).chain(" … ".chars()).collect::<String>() + &end
}

/// Whether a character is a control character, ends a line or a paragraph, or overrides the direction of the
/// text around it.
pub fn is_hidden(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
}

fn words<'c, T>(choices: &[(&'c str, T)]) -> Vec<&'c str> {
    choices.iter().map(|(word, _)| *word).collect()
}

fn word_of<T: PartialEq>(choices: &[(&str, T)], wanted: T) -> String {
    choices
        .iter()
        .find(|(_, choice)| *choice == wanted)
        .map_or_else(String::new, |(word, _)| (*word).to_owned())
}

fn decimal(number: &str, kind: Kind) -> Result<Quantity, ParseError> {
    // TOML lets digits be grouped with underscores.
    parse_number(&number.replace('_', "")).map(|value| Quantity::new(kind, value))
}

fn value_text(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) => format!("\"{text}\""),
        DeValue::Integer(number) => number.as_str().to_owned(),
        DeValue::Float(number) => number.as_str().to_owned(),
        DeValue::Boolean(value) => value.to_string(),
        DeValue::Datetime(date) => date.to_string(),
        DeValue::Array(_) => "a list".to_owned(),
        DeValue::Table(_) => "a table".to_owned(),
    }
}

/// The candidates that `wanted` may be a slip of, nearest first, three at the most.
///
/// A slip is up to one wrong, missing, extra or swapped letter in three; upper and lower case are the same. A
/// candidate whose last part (after the last dot) is what was written counts as one slip away.
pub fn nearest<S: AsRef<str>>(wanted: &str, candidates: impl IntoIterator<Item = S>) -> Vec<String> {
    let wanted = wanted.to_ascii_lowercase();
    let letters = wanted.chars().count();
    let allowed = (letters / 3).clamp(1, 4);
    let mut found: Vec<(usize, String)> = candidates
        .into_iter()
        .filter_map(|candidate| {
            let candidate = candidate.as_ref();
            let lower = candidate.to_ascii_lowercase();
            let same_end = lower.rsplit('.').next() == wanted.rsplit('.').next();
            // Of two names that differ much in length no slip makes one, however long the longer is.
            let is_near = lower.chars().count().abs_diff(letters) <= allowed;
            let slips = match same_end {
                true => 1,
                false if is_near => strsim::damerau_levenshtein(&wanted, &lower),
                false => return None,
            };
            (slips <= allowed).then(|| (slips, candidate.to_owned()))
        })
        .collect();
    sort_by(&mut found, Ord::cmp);
    found.dedup();
    found.truncate(3);
    found.into_iter().map(|(_, candidate)| candidate).collect()
}

/// The hint `did you mean ...?` for [`nearest`], if there is anything near.
pub fn did_you_mean<S: AsRef<str>>(wanted: &str, candidates: impl IntoIterator<Item = S>) -> Option<String> {
    let near: Vec<String> = nearest(wanted, candidates).iter().map(|name| format!("`{name}`")).collect();
    (!near.is_empty()).then(|| format!("did you mean {}?", near.join(" or ")))
}

#[cfg(test)]
mod tests;
