//! Text from a file, made harmless.

use std::io::{self, Write};

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
