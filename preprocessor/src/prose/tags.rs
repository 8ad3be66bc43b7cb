//! Where the template tags are in an author's text.
//!
//! Three kinds, none of which collides with mdBook's own `{{#include}}` or with heading ids `{#id}`:
//! `{= expression =}`, `{% statement %}` and `{* comment *}`. Between `{% raw %}` and `{% endraw %}` nothing
//! is a tag.

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
    /// Whether its closing delimiter is there.
    pub is_closed: bool,
}

/// All tags of a text, in order.
///
/// A tag that is never closed reaches to the end of its line, or to the next opening on it: it is an error to
/// Tera, and the rest of the page can still be looked at.
pub fn tags(text: &str) -> Vec<Tag> {
    let mut found = Vec::new();
    let mut at = 0;
    // Nothing closes a comment that begins later: looked for once, so that a long text of openings takes no
    // longer than another.
    let mut is_past_comments = false;
    while let Some((start, kind)) = next_opening(text, at) {
        let (_, closing) = delimiters(kind);
        let inside = start + 2;
        let body_end = match kind {
            Kind::Comment if is_past_comments => None,
            Kind::Comment => {
                let end = text[inside..].find(closing).map(|offset| inside + offset);
                is_past_comments = end.is_none();
                end
            }
            Kind::Expression | Kind::Statement => closing_outside_quotes(text, inside, closing),
        };
        let (body_end, end) = match body_end {
            Some(end) => (end, end + 2),
            None => {
                let next = next_opening(text, inside).map_or(text.len(), |(next, _)| next);
                let end = text[inside..next].find('\n').map_or(next, |offset| inside + offset);
                (end, end)
            }
        };
        let body = without_trim_dashes(text, inside..body_end);
        let tag = Tag { kind, span: start..end, body, is_closed: end > body_end };
        at = if is_statement(text, &tag, "raw") { raw_end(text, end) } else { end };
        found.push(tag);
    }
    found
}

/// `text` with every tag, and every directive of mdBook's own (`{{#include …}}`), replaced by as many `x`.
///
/// Line ends stay, so every byte keeps its place and every line its Markdown meaning; blanks instead of `x`
/// could turn a line into a block of code.
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

/// Statements that hold what stands up to their end, such as `endif`.
const HOLDERS: [&str; 6] = ["if", "for", "raw", "filter", "block", "component"];

/// A statement without its counterpart: the place of its tag among the tags, and what it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Unpaired<'t> {
    pub(crate) tag: usize,
    pub(crate) statement: &'t str,
    /// It opens something that nothing closes; otherwise it closes what nothing opened.
    pub(crate) opens: bool,
}

/// The statements whose end or beginning is missing, in their order.
pub(crate) fn unpaired<'t>(text: &'t str, tags: &[Tag]) -> Vec<Unpaired<'t>> {
    let mut open: Vec<Unpaired<'_>> = Vec::new();
    let mut unpaired = Vec::new();
    for (tag, found) in
        tags.iter().enumerate().filter(|(_, tag)| tag.kind == Kind::Statement && tag.is_closed)
    {
        let body = text[found.body.clone()].trim();
        let statement = body.split_whitespace().next().unwrap_or_default();
        let of_this = Unpaired { tag, statement, opens: true };
        // `set x = …` holds nothing, `set x` all up to its end.
        let is_set = ["set", "set_global"].contains(&statement) && !body.contains('=');
        if HOLDERS.contains(&statement) || is_set {
            open.push(of_this);
        } else if let Some(holder) = statement.strip_prefix("end") {
            let is_its = |opened: &Unpaired<'_>| {
                opened.statement == holder || holder == "set" && opened.statement == "set_global"
            };
            match open.iter().rposition(is_its) {
                Some(at) => unpaired.extend(open.drain(at..).skip(1)),
                None => unpaired.push(Unpaired { opens: false, ..of_this }),
            }
        } else if ["else", "elif"].contains(&statement) && open.is_empty() {
            unpaired.push(Unpaired { opens: false, ..of_this });
        }
    }
    unpaired.extend(open);
    unpaired.sort_by_key(|unpaired| unpaired.tag);
    unpaired
}

/// Whether the tag is the statement `name`.
fn is_statement(text: &str, tag: &Tag, name: &str) -> bool {
    tag.kind == Kind::Statement && text[tag.body.clone()].trim() == name
}

/// The opening and the closing delimiter.
pub(crate) fn delimiters(kind: Kind) -> (&'static str, &'static str) {
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

/// The byte where `closing` stands, quoted text not looked at. `None` where another tag opens first, or where
/// quoted text goes on behind an empty line: then its quotation mark was forgotten, and what follows is
/// prose.
fn closing_outside_quotes(text: &str, from: usize, closing: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    let is_opening = |at: usize| {
        [EXPRESSION.0, STATEMENT.0].iter().any(|opening| bytes[at..].starts_with(opening.as_bytes()))
    };
    let mut at = from;
    while at < bytes.len() {
        match bytes[at] {
            quote @ (b'"' | b'\'' | b'`') => {
                at += 1;
                while *bytes.get(at)? != quote {
                    if ends_paragraph(&bytes[at..]) {
                        return None;
                    }
                    at += if bytes[at] == b'\\' { 2 } else { 1 };
                }
                at += 1;
            }
            _ if bytes[at..].starts_with(closing.as_bytes()) => return Some(at),
            _ if is_opening(at) => return None,
            _ => at += 1,
        }
    }
    None
}

/// Whether the end of a line and an empty line begin here.
fn ends_paragraph(bytes: &[u8]) -> bool {
    let first = bytes
        .strip_prefix(b"\n")
        .and_then(|rest| rest.iter().find(|byte| !matches!(byte, b' ' | b'\t' | b'\r')));
    first == Some(&b'\n')
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
    fn an_unclosed_tag_ends_with_its_line_or_at_the_next_opening() {
        assert_eq!(spans("{= a\n{= b =}"), ["{= a", "{= b =}"]);
        assert_eq!(spans("{= a {% if b %}"), ["{= a ", "{% if b %}"]);
        assert_eq!(spans("{= f(a=\"b) =} c\n \nd \"e\" {= g =}"), ["{= f(a=\"b) =} c", "{= g =}"]);
        // A quotation mark that was forgotten ends with its paragraph; the next one is prose.
        assert_eq!(spans("{= f(a=\"b) =} c\n\nd \"e =} f"), ["{= f(a=\"b) =} c"]);
        let closed = |text| tags(text).iter().map(|tag| tag.is_closed).collect::<Vec<_>>();
        assert_eq!(closed("{= a {= b =} {* c"), [false, true, false]);
        assert_eq!(spans("{= it's\nb"), ["{= it's"]);
        assert_eq!(spans("{= a \"\\"), ["{= a \"\\"]);
    }

    #[test]
    fn statements_without_counterpart_are_found() {
        let unpaired = |text| {
            let found = super::unpaired(text, &tags(text));
            found
                .into_iter()
                .map(|found| format!("{}{}", if found.opens { "+" } else { "-" }, found.statement))
                .collect::<Vec<_>>()
        };
        assert_eq!(
            unpaired("{% if a %}{% elif b %}{% else %}{% for c in d %}{% endfor %}{% endif %}"),
            Vec::<String>::new()
        );
        assert_eq!(
            unpaired("{% set a = b %}{% set c %}d{% endset %}{% raw %}{% if %}{% endraw %}"),
            Vec::<String>::new()
        );
        assert_eq!(unpaired("{% if a %}{% if b %}{% endif %}"), ["+if"]);
        assert_eq!(unpaired("{% if a %}{% for b in c %}{% endif %} {% raw %}"), ["+for", "+raw"]);
        assert_eq!(unpaired("{% else %}{% endif %}{% endfor %}"), ["-else", "-endif", "-endfor"]);
    }

    #[test]
    fn masks_keep_every_line_and_byte() {
        let text = "é {= \"½\n\" =} {{#include a:2}} {{b}} {#c2}\r\n";
        let mask = masked(text);
        assert_eq!(mask, "é xxxxxx\nxxxx xxxxxxxxxxxxxxxx {{b}} {#c2}\r\n");
        assert_eq!(mask.len(), text.len());
    }
}
