//! Where the template tags are in an author's text.
//!
//! Three kinds, none of which collides with mdBook's own `{{#include}}` or with heading ids `{#id}`:
//! `{= expression =}`, `{% statement %}` and `{* comment *}`. Between `{% raw %}` and `{% endraw %}` nothing is a tag.

use std::ops::Range;

/// The delimiters, opening and closing, as Tera is told them.
pub(crate) const EXPRESSION: (&str, &str) = ("{=", "=}");
pub(crate) const STATEMENT: (&str, &str) = ("{%", "%}");
pub(crate) const COMMENT: (&str, &str) = ("{*", "*}");

/// What a tag does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// `{= prints something =}`
    Expression,
    /// `{% if, for, set, raw and their ends %}`
    Statement,
    /// `{* not printed *}`
    Comment,
}

/// One tag.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tag {
    /// What it does.
    pub kind: Kind,
    /// Its bytes, delimiters included.
    pub span: Range<usize>,
    /// The bytes between the delimiters, without the dashes that trim blanks.
    pub body: Range<usize>,
}

/// All tags of a text, in order.
///
/// A tag that is never closed reaches to the end of its line: it is an error to Tera, and the rest of the page can still be looked at.
pub fn tags(text: &str) -> Vec<Tag> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some((start, kind)) = next_opening(text, at) {
        let (_, closing) = delimiters(kind);
        let inside = start + 2;
        let body_end = match kind {
            Kind::Comment => text[inside..].find(closing).map(|offset| inside + offset),
            Kind::Expression | Kind::Statement => closing_outside_quotes(text, inside, closing),
        };
        let (body_end, end) = match body_end {
            Some(end) => (end, end + 2),
            None => {
                let line_end = text[inside..].find('\n').map_or(text.len(), |offset| inside + offset);
                (line_end, line_end)
            }
        };
        let tag = Tag { kind, span: start..end, body: without_trim_dashes(text, inside..body_end) };
        at = if is_statement(text, &tag, "raw") { raw_end(text, end) } else { end };
        found.push(tag);
    }
    found
}

/// `text` with every tag, and every directive of mdBook's own (`{{#include …}}`), replaced by as many `x`.
///
/// Line ends stay, so every byte keeps its place and every line its Markdown meaning; blanks instead of `x` could turn a line into a block of code.
pub fn masked(text: &str) -> String {
    let mut bytes = text.as_bytes().to_vec();
    let tag_spans = tags(text).into_iter().map(|tag| tag.span);
    for span in tag_spans.chain(mdbook_directives(text)) {
        for byte in &mut bytes[span] {
            if !matches!(byte, b'\n' | b'\r') {
                *byte = b'x';
            }
        }
    }
    // The spans begin and end between characters, and `x` is one byte: this stays UTF-8.
    String::from_utf8_lossy(&bytes).into_owned()
}

/// Whether the tag is the statement `name`.
fn is_statement(text: &str, tag: &Tag, name: &str) -> bool {
    tag.kind == Kind::Statement && text[tag.body.clone()].trim() == name
}

fn delimiters(kind: Kind) -> (&'static str, &'static str) {
    match kind {
        Kind::Expression => EXPRESSION,
        Kind::Statement => STATEMENT,
        Kind::Comment => COMMENT,
    }
}

fn next_opening(text: &str, from: usize) -> Option<(usize, Kind)> {
    text[from..].match_indices('{').find_map(|(offset, _)| {
        let start = from + offset;
        [Kind::Expression, Kind::Statement, Kind::Comment]
            .into_iter()
            .find(|&kind| text[start..].starts_with(delimiters(kind).0))
            .map(|kind| (start, kind))
    })
}

/// The byte where `closing` stands, quoted text not looked at.
fn closing_outside_quotes(text: &str, from: usize, closing: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    let mut at = from;
    while at < bytes.len() {
        match bytes[at] {
            quote @ (b'"' | b'\'' | b'`') => {
                at += 1;
                while *bytes.get(at)? != quote {
                    at += if bytes[at] == b'\\' { 2 } else { 1 };
                }
                at += 1;
            }
            _ if bytes[at..].starts_with(closing.as_bytes()) => return Some(at),
            _ => at += 1,
        }
    }
    None
}

fn without_trim_dashes(text: &str, body: Range<usize>) -> Range<usize> {
    let inside = &text[body.clone()];
    let start = body.start + usize::from(inside.starts_with('-'));
    let end = body.end - usize::from(inside.len() > 1 && inside.ends_with('-'));
    start..end
}

/// Where `{% endraw %}` begins, or the end of the text.
fn raw_end(text: &str, from: usize) -> usize {
    let is_end = |start: usize| {
        let after = text[start + 2..].trim_start_matches('-').trim_start();
        let rest = after.strip_prefix("endraw").map(|rest| rest.trim_start().trim_start_matches('-'));
        rest.is_some_and(|rest| rest.starts_with(STATEMENT.1))
    };
    let mut openings = text[from..].match_indices(STATEMENT.0).map(|(offset, _)| from + offset);
    openings.find(|&start| is_end(start)).unwrap_or(text.len())
}

/// Directives that mdBook itself replaces: `{{#include …}}`, `{{#title …}}` and the like, on one line.
pub(crate) fn mdbook_directives(text: &str) -> Vec<Range<usize>> {
    let directive = |start: usize| {
        let length = text[start..].lines().next()?.find("}}")? + 2;
        is_mdbook_directive(&text[start..]).then_some(start..start + length)
    };
    text.match_indices("{{").filter_map(|(start, _)| directive(start)).collect()
}

/// Whether a text that begins with two braces begins one of mdBook's own directives.
pub(crate) fn is_mdbook_directive(text: &str) -> bool {
    text.strip_prefix("{{").is_some_and(|inside| inside.trim_start().starts_with('#'))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spans(text: &str) -> Vec<&str> {
        tags(text).into_iter().map(|tag| &text[tag.span]).collect()
    }

    #[test]
    fn finds_the_three_kinds() {
        let text = "a {= b =} c {%- if d -%} e {* f *}";
        assert_eq!(spans(text), ["{= b =}", "{%- if d -%}", "{* f *}"]);
        assert_eq!(&text[tags(text)[1].body.clone()], " if d ");
    }

    #[test]
    fn quotes_hide_delimiters() {
        assert_eq!(spans(r#"{= f(a="=} \" '") =} b"#), [r#"{= f(a="=} \" '") =}"#]);
    }

    #[test]
    fn nothing_is_a_tag_in_a_raw_block() {
        assert_eq!(spans("{% raw %}{= a =}{% endraw %}{= b =}"), ["{% raw %}", "{% endraw %}", "{= b =}"]);
        assert_eq!(spans("{%- raw -%}{% a %}{%- endraw -%}"), ["{%- raw -%}", "{%- endraw -%}"]);
    }

    #[test]
    fn an_unclosed_tag_ends_with_its_line() {
        assert_eq!(spans("{= a\n{= b =}"), ["{= a\n{= b =}"]);
        assert_eq!(spans("{= it's\nb"), ["{= it's"]);
        assert_eq!(spans("{= a \"\\"), ["{= a \"\\"]);
    }

    #[test]
    fn masks_keep_every_line_and_byte() {
        let text = "é {= \"½\n\" =} {{#include a:2}} {{b}} {#c2}\r\n";
        let mask = masked(text);
        assert_eq!(mask, "é xxxxxx\nxxxx xxxxxxxxxxxxxxxx {{b}} {#c2}\r\n");
        assert_eq!(mask.len(), text.len());
    }
}
