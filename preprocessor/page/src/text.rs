//! Text from a file: made harmless, and where something stands in it.

use std::io::{self, Write};
use std::ops::Range;

/// What marks something in a page that is put in or taken out later. No chapter can hold it: a keyboard has
/// none; what a tank file says is printed without it.
pub const MARK: char = '\u{2}';

/// A text in which no mark can hide.
pub fn without_marks(text: &str) -> String {
    text.replace(MARK, "\u{fffd}")
}

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
    let text = without_marks(text);
    let mut before = ' ';
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        // Within a word these two mean nothing.
        let is_within = "_'".contains(c) && before.is_alphanumeric() && chars.peek().is_some_and(|next| next.is_alphanumeric());
        before = c;
        if !is_within && "&<>\"'*_`[]|~\\#{}$\n\r".contains(c) {
            write!(out, "&#{};", u32::from(c))?;
        } else {
            write!(out, "{c}")?;
        }
    }
    Ok(())
}

/// Line and column of the first byte of a span, both from 1; the column counts characters, and a byte order mark is none.
pub fn line_column(text: &str, span: &Range<usize>) -> (usize, usize) {
    let (text, span) = within(text, span);
    let before = &text[..span.start];
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
}

/// A text without byte order mark, and a span of it on character boundaries inside it. The end of a text is the end of its last written line.
pub fn within<'t>(text: &'t str, span: &Range<usize>) -> (&'t str, Range<usize>) {
    let shown = text.strip_prefix('\u{feff}').unwrap_or(text);
    let shift = text.len() - shown.len();
    let last = shown.trim_end_matches(['\r', '\n']).len();
    let end = shown.ceil_char_boundary(span.end.saturating_sub(shift)).min(last);
    let start = shown.floor_char_boundary(span.start.saturating_sub(shift)).min(end);
    (shown, start..end)
}
