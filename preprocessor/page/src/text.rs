//! Text from a file: made harmless, and where something stands in it.

use std::io::{self, Write};
use std::iter::Peekable;
use std::ops::Range;
use std::str::CharIndices;

/// What marks something in a page that is put in or taken out later. No chapter can hold it: a keyboard has
/// none; what a tank file says is printed without it.
pub const MARK: char = '\u{2}';

/// What is printed in place of a mark.
const UNKNOWN: char = '\u{fffd}';

/// `text` written so that HTML, Markdown and mdBook all read it as the same plain text.
pub fn escaped(text: &str) -> String {
    let mut out = Vec::new();
    // Writing to memory can not fail.
    let _ = escape(text, &mut out);
    String::from_utf8_lossy(&out).into_owned()
}

/// Writes `text` so that HTML, Markdown and mdBook all read it as the same plain text.
///
/// # Errors
/// What `out` says.
pub fn escape(text: &str, out: &mut dyn Write) -> io::Result<()> {
    let mut before = ' ';
    // What can stay as it is goes out in one piece.
    let mut plain = 0;
    let mut chars = text.char_indices().peekable();
    while let Some((at, c)) = chars.next() {
        // Within a word these two mean nothing.
        let is_within = |chars: &mut Peekable<CharIndices<'_>>| {
            matches!(c, '_' | '\'')
                && before.is_alphanumeric()
                && chars.peek().is_some_and(|(_, next)| next.is_alphanumeric())
        };
        let means = matches!(
            c,
            '&' | '<'
                | '>'
                | '"'
                | '\''
                | '*'
                | '_'
                | '`'
                | '['
                | ']'
                | '|'
                | '~'
                | '\\'
                | '#'
                | '{'
                | '}'
                | '$'
                | '\n'
                | '\r'
        );
        if c == MARK || means && !is_within(&mut chars) {
            out.write_all(&text.as_bytes()[plain..at])?;
            plain = at + c.len_utf8();
            if c == MARK { write!(out, "{UNKNOWN}")? } else { write!(out, "&#{};", u32::from(c))? }
        }
        before = c;
    }
    out.write_all(&text.as_bytes()[plain..])
}

/// Line and column of the first byte of a span, both from 1; the column counts characters, and a byte order
/// mark is none.
pub fn line_column(text: &str, span: &Range<usize>) -> (usize, usize) {
    let (text, span) = within(text, span);
    let before = &text[..span.start];
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
}

/// A text without byte order mark, and a span of it on character boundaries inside it. The end of a text is
/// the end of its last written line.
pub fn within<'t>(text: &'t str, span: &Range<usize>) -> (&'t str, Range<usize>) {
    let shown = text.strip_prefix('\u{feff}').unwrap_or(text);
    let shift = text.len() - shown.len();
    let last = shown.trim_end_matches(['\r', '\n']).len();
    let end = shown.ceil_char_boundary(span.end.saturating_sub(shift)).min(last);
    let start = shown.floor_char_boundary(span.start.saturating_sub(shift)).min(end);
    (shown, start..end)
}
