//! A character as a reader reads it, and where its author wrote it.

use std::ops::Range;

/// What stands in a block where a tag prints something.
pub(crate) const FIGURE: char = '\u{fffc}';

/// A character as it is read, and where it is written.
#[derive(Debug, Clone)]
pub(crate) struct Glyph {
    pub(crate) c: char,
    pub(crate) span: Range<usize>,
    /// It stands in code of which a unit behind it could make prose.
    pub(crate) is_code: bool,
}

/// Text that is read as it is written.
pub(crate) fn glyphs(text: &str, span: Range<usize>) -> impl Iterator<Item = Glyph> {
    let start = span.start;
    let glyph = move |(at, c): (usize, char)| Glyph {
        c,
        span: start + at..start + at + c.len_utf8(),
        is_code: false,
    };
    text[span].char_indices().map(glyph)
}
