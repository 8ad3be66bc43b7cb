//! A tank file to begin with, a remark on every key: what need not be there is switched off.

use reckoner_calc::Rules;
use reckoner_calc::document::edit::written;
use reckoner_calc::document::{Key, Wanted};

use super::{Entry, entries, inside, of_table};

/// What stands in the example in the place of the id.
pub const ID: &str = "a-name-that-no-other-tank-has";

/// What the example begins with.
const HEAD: &str = "\
# A tank for the Reef Reckoner. Change what differs from yours.
#
# A value carries its unit, in the units you have: \"90 cm\" or \"36 in\", \"12 kg\" or \"26 lb\", \"200 L\" or \"53 US gal\".
# A line that begins with # and a blank is a remark. A line that begins with # alone is an entry that is switched off: take the # away
# where you have such a thing, and that before the name in [brackets] above it. What is true or false counts as false when left out.
# `reckoner sheet FILE` prints the figures of this tank, and says what is wrong in it.

";

/// So many characters stand in one line.
const WIDTH: usize = 138;

/// The example.
pub fn example(rules: &Rules) -> String {
    let mut out = HEAD.to_owned();
    section(&entries(rules), "", true, &mut out);
    out
}

/// Writes the entries of a table, with the tables in it.
fn section(entries: &[Entry<'_>], table: &str, is_on: bool, out: &mut String) {
    let (tables, own): (Vec<_>, Vec<_>) =
        of_table(entries, table).into_iter().partition(|entry| entry.key.wanted.is_table());
    for (at, entry) in own.iter().enumerate() {
        if own[..at].iter().all(|before| before.key.path != entry.key.path) {
            value(entry, &own, is_on, out);
        }
    }
    // What stood behind a table would be in it.
    for entry in tables {
        let key = &entry.key;
        let is_on = is_on && key.required;
        let head = if key.wanted == Wanted::Tables {
            format!("[[{}]]", bare(&key.path))
        } else {
            format!("[{}]", bare(&key.path))
        };
        out.push('\n');
        remark(&said(entry), out);
        line(&head, is_on, out);
        section(entries, &inside(key), is_on, out);
    }
}

/// Writes one entry with its remark.
fn value(entry: &Entry<'_>, own: &[&Entry<'_>], is_on: bool, out: &mut String) {
    let key = &entry.key;
    let mut says = said(entry);
    if let Some(default) = &key.default {
        let default = if key.wanted.words().is_empty() { default.clone() } else { format!("\"{default}\"") };
        says.push_str(&format!(" Left out, it counts as {default}."));
    }
    let words = key.wanted.words();
    let speak_for_themselves =
        words.iter().all(|word| entry.choice(word) == word && depending(own, key, word).is_empty());
    if !words.is_empty() && speak_for_themselves {
        says.push_str(&format!(" One of {}.", words.join(", ")));
    }
    let shown = format!("{} = {}", key.name(), written(&key.wanted, &typical(entry)));
    let shown = match entry.words.examples.get(1) {
        Some(other) => format!("{shown}  # or {}", written(&key.wanted, other)),
        None => shown,
    };
    let other = without(entry, own);
    remark(&format!("{says}{}", other.as_ref().map_or("", |other| other)), out);
    if !speak_for_themselves {
        let widest = words.iter().map(String::len).max().unwrap_or_default() + 2;
        for word in words {
            let with = depending(own, key, word);
            let with = if with.is_empty() { String::new() } else { format!(": {}", with.join(", ")) };
            out.push_str(&format!("#   {:widest$}  {}{with}\n", format!("\"{word}\""), entry.choice(word)));
        }
    }
    if let (Wanted::Choices(words), [_, one, two, ..]) = (&key.wanted, words) {
        debug_assert!(!words.is_empty());
        out.push_str(&format!("# Several make a list: {} = [\"{one}\", \"{two}\"]\n", key.name()));
    }
    match other {
        Some(_) => out.push_str(&format!("#   {shown}\n")),
        None => line(&shown, is_on && (key.required || key.path == "id"), out),
    }
}

/// What stands in its place in the example, where it does not belong into it: only one choice can be made
/// there.
fn without(entry: &Entry<'_>, own: &[&Entry<'_>]) -> Option<String> {
    let when = entry.key.when.as_ref()?;
    let alternatives: Vec<_> = own.iter().filter(|entry| entry.is_alternative()).collect();
    if when.words.is_empty() {
        let first = alternatives.first().filter(|first| first.key.path != when.key)?;
        return Some(format!(" In the place of {}:", first.key.name()));
    }
    let other = own.iter().find(|other| other.key.path == when.key)?;
    let mut of_any =
        own.iter().filter(|same| same.key.path == entry.key.path).filter_map(|same| same.key.when.as_ref());
    let is_chosen = of_any.any(|when| when.words.contains(&typical(other)));
    let words: Vec<_> = other
        .key
        .wanted
        .words()
        .iter()
        .filter(|word| depending(own, &other.key, word).contains(&entry.key.name()))
        .collect();
    let words = words.iter().map(|word| format!("\"{word}\"")).collect::<Vec<_>>().join(" or ");
    (!is_chosen).then(|| format!(" Only with {} = {words}:", other.key.name()))
}

/// The names of the keys that belong there with a choice.
fn depending<'e>(own: &[&'e Entry<'_>], key: &Key, word: &str) -> Vec<&'e str> {
    let depends = |entry: &&&Entry<'_>| {
        entry
            .key
            .when
            .as_ref()
            .is_some_and(|when| when.key == key.path && when.words.iter().any(|known| known == word))
    };
    own.iter().filter(depends).map(|entry| entry.key.name()).collect()
}

/// What the example says: the first example, or what is not taken anyway.
fn typical(entry: &Entry<'_>) -> String {
    let words = entry.key.wanted.words();
    let other = || words.iter().find(|word| Some(*word) != entry.key.default.as_ref()).or(words.first());
    let flag = || "true".to_owned();
    entry.words.examples.first().or_else(other).cloned().unwrap_or_else(flag)
}

fn said(entry: &Entry<'_>) -> String {
    let words = entry.words;
    if words.remark.is_empty() {
        format!("{}.", words.label)
    } else {
        format!("{}. {}", words.label, words.remark)
    }
}

/// Writes a line, switched off unless it is on.
fn line(text: &str, is_on: bool, out: &mut String) {
    out.push_str(if is_on { "" } else { "#" });
    out.push_str(text);
    out.push('\n');
}

/// Writes a remark, broken into lines.
fn remark(text: &str, out: &mut String) {
    let mut width = 0;
    for word in text.split_whitespace() {
        let more = word.chars().count() + 1;
        if width == 0 || width + more > WIDTH {
            out.push_str(if width == 0 { "#" } else { "\n#" });
            width = 1;
        }
        out.push(' ');
        out.push_str(word);
        width += more;
    }
    out.push('\n');
}

/// A path as the head of a table has it.
fn bare(path: &str) -> String {
    path.replace("[]", "")
}
