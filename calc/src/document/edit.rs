//! A document as a text that somebody edits: its values by their paths, and the same text with one of them
//! changed.
//!
//! A path names a value as problems do: `glass.length`, `fish[0].mass`. Whatever is not changed stays as it
//! is, byte for byte: remarks, blanks, the order of keys, and keys that nobody reads.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use super::{Key, Wanted};

/// The values of a document in its order, each with its path and its text: what stands between the quotation
/// marks, and a list as words with commas between. Each table of a list is told by its path alone. Nothing,
/// where the document can not be read.
pub fn values(text: &str) -> Vec<(String, String)> {
    let (root, problems) = DeTable::parse_recoverable(text);
    let mut found = Vec::new();
    if problems.is_empty() {
        tell(root.get_ref(), "", text, &mut found);
    }
    found
}

fn tell(table: &DeTable<'_>, path: &str, text: &str, found: &mut Vec<(String, String)>) {
    for (key, value) in table.iter() {
        let path =
            if path.is_empty() { key.get_ref().to_string() } else { format!("{path}.{}", key.get_ref()) };
        match (value.get_ref(), tables(value)) {
            (DeValue::Table(table), _) => tell(table, &path, text, found),
            (_, Some(items)) => {
                for (at, item) in items.enumerate() {
                    let path = format!("{path}[{at}]");
                    found.push((path.clone(), String::new()));
                    tell(item, &path, text, found);
                }
            }
            (DeValue::Array(items), None) if items.is_empty() => {}
            (DeValue::Array(items), None) => {
                found.push((path, items.iter().map(|item| shown(item, text)).collect::<Vec<_>>().join(", ")));
            }
            _ => found.push((path, shown(value, text))),
        }
    }
}

/// The tables of a list of tables.
fn tables<'v>(value: &'v Spanned<DeValue<'v>>) -> Option<impl Iterator<Item = &'v DeTable<'v>>> {
    let items = value.get_ref().as_array()?;
    let is_of_tables = !items.is_empty() && items.iter().all(|item| item.get_ref().is_table());
    is_of_tables.then(|| items.iter().filter_map(|item| item.get_ref().as_table()))
}

fn shown(value: &Spanned<DeValue<'_>>, text: &str) -> String {
    value.get_ref().as_str().unwrap_or(&text[value.span()]).to_owned()
}

/// A value as a document has it.
pub fn written(wanted: &Wanted, value: &str) -> String {
    let parts = || value.split(',').map(str::trim).filter(|part| !part.is_empty());
    match wanted {
        Wanted::Flag if ["true", "false"].contains(&value) => value.to_owned(),
        Wanted::Quantity { kind, .. } if kind.is_bare() && is_number(value) => value.to_owned(),
        Wanted::Texts => format!("[{}]", parts().map(quoted).collect::<Vec<_>>().join(", ")),
        Wanted::Choices(_) if parts().count() > 1 => {
            format!("[{}]", parts().map(quoted).collect::<Vec<_>>().join(", "))
        }
        _ => quoted(value),
    }
}

/// Whether a text is a plain number as TOML writes it.
fn is_number(text: &str) -> bool {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let (whole, decimals) = digits.split_once('.').unwrap_or((digits, "0"));
    let is_whole = !whole.is_empty() && (whole == "0" || !whole.starts_with('0'));
    is_whole
        && !decimals.is_empty()
        && whole.bytes().chain(decimals.bytes()).all(|digit| digit.is_ascii_digit())
}

fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => out.push(c),
        }
    }
    out + "\""
}

/// A document with the value at a path set to what somebody typed, or removed where that is empty. A table
/// that is not there yet is added; one that needs not be there goes with its last key, and a table of a list
/// when its own path, such as `fish[1]`, is emptied.
///
/// - `keys`: those that the document may have
///
/// # Errors
/// A document that can not be read, a path that none of the keys has, and a text written in a way in which
/// this can not change it.
pub fn with(text: &str, keys: &[Key], path: &str, value: &str) -> Result<String, String> {
    let (root, problems) = DeTable::parse_recoverable(text);
    if let Some(problem) = problems.first() {
        return Err(problem.message().to_owned());
    }
    let value = value.trim();
    let edit = Edit { text, keys, root: root.get_ref() };
    let (span, new) = if value.is_empty() { edit.removed(path) } else { edit.set(path, value) }?;
    let changed = format!("{}{new}{}", &text[..span.start], &text[span.end..]);
    let is_right = DeTable::parse_recoverable(&changed).1.is_empty()
        && others(text, text, path) == others(&changed, text, path);
    if is_right { Ok(changed) } else { Err(OTHERWISE.to_owned()) }
}

/// The values of a text apart from those that a change at a path is about; lists may have moved.
///
/// - `before`: the text before the change
fn others(text: &str, before: &str, path: &str) -> Vec<(String, String)> {
    let known: Vec<_> = values(before).into_iter().map(|(path, _)| path).collect();
    let is_removed = |at: &str| {
        path.ends_with(']')
            && at.strip_prefix(path).is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
    };
    let is_meant = |at: &str| match path.ends_with(']') {
        true => text == before && is_removed(at),
        false => {
            at == path
                || path.strip_prefix(at).is_some_and(|rest| rest.starts_with('.'))
                    && !known.iter().any(|known| known == at)
        }
    };
    values(text).into_iter().filter(|(at, _)| !is_meant(at)).map(|(at, value)| (of_any(&at), value)).collect()
}

/// A path in any table of its lists: `fish[].mass` for `fish[2].mass`.
fn of_any(path: &str) -> String {
    let mut is_place = false;
    let kept = path.chars().filter(|c| {
        is_place = *c == '[' || is_place && *c != ']';
        !is_place || *c == '['
    });
    kept.collect()
}

/// What is said of a text that is right and yet can not be changed here.
const OTHERWISE: &str = "this is written in a way that only the file itself can be changed";

/// What of a text gives way to which new one.
type Change = (Range<usize>, String);

/// A document that is to be changed.
struct Edit<'e> {
    text: &'e str,
    keys: &'e [Key],
    root: &'e DeTable<'e>,
}

/// How a table is written.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Style {
    /// The document itself.
    Root,
    /// `[table]` or `[[table]]`, its keys below.
    Head,
    /// `table = { … }`.
    Inline,
    /// `table.key = …`.
    Dotted,
    /// Only named by the heads of tables within it.
    Implied,
}

/// A table within a document.
struct Found<'e> {
    entries: &'e DeTable<'e>,
    span: Range<usize>,
    style: Style,
}

impl<'e> Edit<'e> {
    fn set(&self, path: &str, value: &str) -> Result<Change, String> {
        let (table, name) = split(path);
        let key = self.key(path);
        if key.is_some_and(|key| key.wanted.is_table()) {
            return Err(format!("`{path}` is a table"));
        }
        let found = self.table(table);
        if let Some(old) = found.as_ref().and_then(|found| found.entries.get(name)) {
            let wanted = key.map_or(&Wanted::Text, |key| &key.wanted);
            let is_value = !old.get_ref().is_table() && tables(old).is_none();
            return if is_value {
                Ok((old.span(), written(wanted, value)))
            } else {
                Err(format!("`{path}` is a table"))
            };
        }
        let key = key.ok_or_else(|| format!("there is no key `{path}`"))?;
        self.added(table, name, &written(&key.wanted, value))
    }

    /// A key that is new in its table.
    fn added(&self, table: &str, name: &str, value: &str) -> Result<Change, String> {
        let line = format!("{name} = {value}{}", self.line_end());
        let found = match self.table(table) {
            Some(found) if found.style != Style::Implied => found,
            _ => return self.added_with_table(table, name, value),
        };
        let before = self.before(table, name, &found);
        match (found.style, before) {
            (Style::Inline, None) => {
                Ok((found.span.start + 1..found.span.start + 1, format!(" {name} = {value} ")))
            }
            (Style::Inline, Some((_, end))) => Ok((end..end, format!(", {name} = {value}"))),
            (Style::Dotted, Some((key, end))) => {
                let prefix = &self.text[self.line_start(key)..key];
                Ok(self.inserted(self.next_line(end), &format!("{prefix}{line}")))
            }
            (Style::Dotted, None) => Err(OTHERWISE.to_owned()),
            (Style::Root, None) => {
                let start = if self.text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
                Ok((start..start, line))
            }
            (_, None) => Ok(self.inserted(self.next_line(found.span.end), &line)),
            (_, Some((_, end))) => Ok(self.inserted(self.next_line(end), &line)),
        }
    }

    /// A key in a table that is not there yet.
    fn added_with_table(&self, table: &str, name: &str, value: &str) -> Result<Change, String> {
        let (outer, last) = split(table);
        let end = self.line_end();
        if !outer.is_empty() {
            // A table within another is written into it.
            let (last, at) = index(last);
            return if at.is_none() {
                self.added(outer, &format!("{last}.{name}"), value)
            } else {
                Err(OTHERWISE.to_owned())
            };
        }
        let (list, at) = index(last);
        let Some(at) = at else {
            return Ok(self.inserted(self.text.len(), &format!("{end}[{list}]{end}{name} = {value}{end}")));
        };
        let others = self.root.get(list);
        let items: &[_] = others.and_then(|list| list.get_ref().as_array()).map_or(&[], |items| items);
        if at != items.len() {
            return Err(format!("`{list}` has {} tables so far", items.len()));
        }
        let new = format!("{end}[[{list}]]{end}{name} = {value}{end}");
        match (others, items.last()) {
            (Some(_), Some(item)) if self.style(item) == Style::Head => {
                Ok(self.inserted(self.next_line(last_end(item)), &new))
            }
            (Some(_), Some(item)) => {
                Ok((item.span().end..item.span().end, format!(", {{ {name} = {value} }}")))
            }
            (Some(list), None) => Ok((list.span(), format!("[{{ {name} = {value} }}]"))),
            (None, _) => Ok(self.inserted(self.text.len(), &new)),
        }
    }

    fn removed(&self, path: &str) -> Result<Change, String> {
        let (table, name) = split(path);
        let Some(found) = self.table(table) else { return Ok((0..0, String::new())) };
        let (name, at) = index(name);
        let Some((key, value)) = found.entries.get_key_value(name) else { return Ok((0..0, String::new())) };
        if let Some(at) = at {
            let items: &[_] = value.get_ref().as_array().map_or(&[], |items| items);
            let Some(item) = items.get(at) else { return Ok((0..0, String::new())) };
            if self.style(item) != Style::Head {
                return Ok((self.with_comma(item.span()), String::new()));
            }
            return self.without_table(item);
        }
        if value.get_ref().is_table() || tables(value).is_some() {
            return Err(format!("`{path}` is a table"));
        }
        Ok(self.without_entry(table, &found, key, value))
    }

    /// An entry of the table at a path goes, and with the last one of a table that need not be there the
    /// table.
    fn without_entry(
        &self,
        table: &str,
        found: &Found<'_>,
        key: &Spanned<DeString<'_>>,
        value: &Spanned<DeValue<'_>>,
    ) -> Change {
        let is_last = found.entries.len() == 1
            && !table.ends_with(']')
            && self.key(table).is_some_and(|table| !table.required);
        let (outer, name) = split(table);
        match (found.style, self.table(outer)) {
            (Style::Inline, Some(outside)) if is_last => {
                if let Some((key, value)) = outside.entries.get_key_value(name) {
                    return self.without_entry(outer, &outside, key, value);
                }
            }
            (Style::Inline, _) => {
                return (self.with_comma(key.span().start..value.span().end), String::new());
            }
            (Style::Head, _) if is_last => {
                let (head, line) = (self.head(&found.span), self.line(key, value));
                // What stands between the head and its last key stays.
                return (head.start..line.end, self.text[head.end..line.start].to_owned());
            }
            _ => {}
        }
        (self.line(key, value), String::new())
    }

    /// A table of a list goes with all that stands in it.
    fn without_table(&self, item: &Spanned<DeValue<'_>>) -> Result<Change, String> {
        let head = self.head(&item.span());
        let gone = head.start..self.next_line(last_end(item));
        let mut others = Vec::new();
        heads(self.root, &mut others);
        let mut own = Vec::new();
        item.get_ref().as_table().into_iter().for_each(|table| heads(table, &mut own));
        let strange = others
            .iter()
            .any(|head| gone.contains(&head.start) && *head != item.span() && !own.contains(head));
        if strange { Err(OTHERWISE.to_owned()) } else { Ok((gone, String::new())) }
    }

    /// The key that stands at a path.
    fn key(&self, path: &str) -> Option<&'e Key> {
        let path = of_any(path);
        self.keys.iter().find(|key| key.path == path)
    }

    /// The table at a path, where there is one.
    fn table(&self, path: &str) -> Option<Found<'e>> {
        let mut found = Found { entries: self.root, span: 0..0, style: Style::Root };
        for name in path.split('.').filter(|name| !name.is_empty()) {
            let (name, at) = index(name);
            let value = found.entries.get(name)?;
            let value = match at {
                Some(at) => value.get_ref().as_array()?.get(at)?,
                None => value,
            };
            found =
                Found { entries: value.get_ref().as_table()?, span: value.span(), style: self.style(value) };
        }
        Some(found)
    }

    fn style(&self, value: &Spanned<DeValue<'_>>) -> Style {
        match self.text.as_bytes().get(value.span().start) {
            Some(b'[') => Style::Head,
            Some(b'{') => Style::Inline,
            _ => {
                let is_implied =
                    |table: &DeTable<'_>| table.values().all(|value| is_below_a_head(value, self.text));
                if value.get_ref().as_table().is_some_and(is_implied) {
                    Style::Implied
                } else {
                    Style::Dotted
                }
            }
        }
    }

    /// Start of the key and end of the value behind which a new key is written: the last of those that come
    /// before it in a well-written document, or of all of them in an inline or a dotted table.
    fn before(&self, table: &str, name: &str, found: &Found<'_>) -> Option<(usize, usize)> {
        let prefix = if table.is_empty() { String::new() } else { format!("{table}.") };
        let order = |name: &str| {
            let key = self.key(&format!("{prefix}{name}"));
            key.and_then(|key| self.keys.iter().position(|known| known.path == key.path))
        };
        let new = order(name);
        let any = matches!(found.style, Style::Inline | Style::Dotted);
        let own = found.entries.iter().filter(|(_, value)| !is_below_a_head(value, self.text));
        let earlier = own.filter(|(key, _)| {
            any || order(key.get_ref()).is_some_and(|order| new.is_none_or(|new| order < new))
        });
        earlier.map(|(key, value)| (key.span().start, last_end(value))).max_by_key(|(_, end)| *end)
    }

    /// A new line at the start of one, or behind a text whose last line does not end.
    fn inserted(&self, at: usize, new: &str) -> Change {
        let is_open = at > 0 && !self.text[..at].ends_with('\n');
        (at..at, if is_open { format!("{}{new}", self.line_end()) } else { new.to_owned() })
    }

    /// The lines of an entry.
    fn line(&self, key: &Spanned<DeString<'_>>, value: &Spanned<DeValue<'_>>) -> Range<usize> {
        self.line_start(key.span().start)..self.next_line(value.span().end)
    }

    /// The line of a head, with an empty one before it.
    fn head(&self, span: &Range<usize>) -> Range<usize> {
        let start = self.line_start(span.start);
        let is_empty = |line: &str| line.trim_end_matches(['\n', '\r']).is_empty();
        let before = if start == 0 { start } else { self.line_start(start - 1) };
        let start = if is_empty(&self.text[before..start]) { before } else { start };
        start..self.next_line(span.end)
    }

    /// An entry of a list or an inline table with the comma that parts it from the others.
    fn with_comma(&self, span: Range<usize>) -> Range<usize> {
        let (before, after) = (&self.text[..span.start], &self.text[span.end..]);
        let blank = |text: &str| text.len() - text.trim_start().len();
        if let Some(rest) = after.trim_start().strip_prefix(',') {
            return span.start..span.end + blank(after) + 1 + blank(rest);
        }
        let bare = before.trim_end();
        bare.strip_suffix(',').map_or(bare.len(), str::len)..span.end
    }

    fn line_start(&self, at: usize) -> usize {
        self.text[..at].rfind('\n').map_or(0, |end| end + 1)
    }

    fn next_line(&self, at: usize) -> usize {
        self.text[at..].find('\n').map_or(self.text.len(), |end| at + end + 1)
    }

    fn line_end(&self) -> &'static str {
        if self.text.find('\n').is_some_and(|end| self.text[..end].ends_with('\r')) { "\r\n" } else { "\n" }
    }
}

/// Whether a value stands below a head of its own, and not among the keys of its table.
fn is_below_a_head(value: &Spanned<DeValue<'_>>, text: &str) -> bool {
    let has_head = |value: &Spanned<DeValue<'_>>| text[value.span()].starts_with('[');
    match value.get_ref() {
        DeValue::Table(table) => {
            let is_named = text[value.span()].starts_with('{') || has_head(value);
            if is_named { has_head(value) } else { table.values().all(|value| is_below_a_head(value, text)) }
        }
        DeValue::Array(items) => items.first().is_some_and(|first| first.span() == value.span()),
        _ => false,
    }
}

/// The places of all heads within a table.
fn heads(table: &DeTable<'_>, found: &mut Vec<Range<usize>>) {
    for value in table.values() {
        match value.get_ref() {
            DeValue::Table(table) => {
                found.push(value.span());
                heads(table, found);
            }
            DeValue::Array(items) => {
                for item in items.iter() {
                    if let DeValue::Table(table) = item.get_ref() {
                        found.push(item.span());
                        heads(table, found);
                    }
                }
            }
            _ => {}
        }
    }
}

/// Where a value ends, with all that stands in it.
fn last_end(value: &Spanned<DeValue<'_>>) -> usize {
    let inside = match value.get_ref() {
        DeValue::Table(table) => table.values().map(last_end).max(),
        DeValue::Array(items) => items.iter().map(last_end).max(),
        _ => None,
    };
    inside.unwrap_or(0).max(value.span().end)
}

/// The table of a path, and the name in it: `fish[0]` and `mass`.
fn split(path: &str) -> (&str, &str) {
    path.rsplit_once('.').unwrap_or(("", path))
}

/// The name and the place of one table of a list: `fish[0]`.
fn index(name: &str) -> (&str, Option<usize>) {
    let indexed = name.strip_suffix(']').and_then(|name| name.split_once('['));
    indexed.and_then(|(name, at)| Some((name, Some(at.parse().ok()?)))).unwrap_or((name, None))
}

#[cfg(test)]
mod tests;
