//! What is wrong, where it stands, and what would be right.
//!
//! A [`Diagnostic`] is data first; its `Display` draws it the way compilers do: the sentence, the place, the
//! line with a mark under it, and the help. [`Diagnostics`] is everything that one run found.

use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};
use std::fmt;
use std::ops::Range;
use std::sync::Arc;

pub use reckoner_calc::document::{did_you_mean, nearest};
use reckoner_page::text;

/// One error, with its place if it has one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diagnostic {
    /// What is wrong, in one sentence without a full stop.
    pub message: String,
    /// Where; `None` for an error that is in no text, such as a folder that cannot be written.
    pub place: Option<Place>,
    /// A few words beside the mark.
    pub label: Option<String>,
    /// What would be right, one `help:` line each.
    pub hints: Vec<String>,
    /// Whether it is a check that failed, rather than an input that cannot be used.
    pub is_failed_check: bool,
}

/// A stretch of text in a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The file as its author knows it, with forward slashes: `book/src/flow.md`.
    pub file: String,
    /// The whole file.
    pub text: Arc<str>,
    /// The bytes meant. A span that ends outside the text or inside a character is widened or cut to fit when
    /// it is drawn.
    pub span: Range<usize>,
}

impl Diagnostic {
    /// An error at a place.
    pub fn new(
        file: impl Into<String>,
        text: Arc<str>,
        span: Range<usize>,
        message: impl Into<String>,
    ) -> Self {
        let place = Place { file: file.into(), text, span };
        Self { place: Some(place), ..Self::plain(message) }
    }

    /// An error without a place.
    pub fn plain(message: impl Into<String>) -> Self {
        Self { message: message.into(), place: None, label: None, hints: Vec::new(), is_failed_check: false }
    }

    /// Writes a few words beside the mark.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = Some(label.into());
        self
    }

    /// Adds a line that says what would be right.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hints.push(hint.into());
        self
    }

    /// Adds several such lines.
    #[must_use]
    pub fn hints(mut self, hints: impl IntoIterator<Item = String>) -> Self {
        self.hints.extend(hints);
        self
    }
}

impl Place {
    /// Line and column of the first byte, both from 1; the column counts characters, and a byte order mark is
    /// none.
    pub fn line_column(&self) -> (usize, usize) {
        text::line_column(&self.text, &self.span)
    }
}

impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut group = Group::with_title(Level::ERROR.primary_title(self.message.as_str()));
        if let Some(place) = &self.place {
            let (text, span) = text::within(&place.text, &place.span);
            // Only the lines meant: a drawing that looks through a large file for each of its errors takes
            // minutes.
            let from = text[..span.start].rfind('\n').map_or(0, |at| at + 1);
            let to = text[span.end..].find('\n').map_or(text.len(), |at| span.end + at);
            let to = if text[from..to].ends_with('\r') { to - 1 } else { to }.max(span.end);
            let line = text[..from].bytes().filter(|byte| *byte == b'\n').count() + 1;
            if to - from > LONGEST_LINE {
                let column = text[from..span.start].chars().count() + 1;
                group = group.element(Origin::path(place.file.as_str()).line(line).char_column(column));
                return self.finish(f, group);
            }
            let mark =
                AnnotationKind::Primary.span(span.start - from..span.end - from).label(self.label.as_deref());
            group = group.element(
                Snippet::source(&text[from..to]).line_start(line).path(place.file.as_str()).annotation(mark),
            );
        }
        self.finish(f, group)
    }
}

impl Diagnostic {
    fn finish<'a>(&'a self, f: &mut fmt::Formatter<'_>, mut group: Group<'a>) -> fmt::Result {
        for hint in &self.hints {
            group = group.element(Level::HELP.message(hint.as_str()));
        }
        let drawing = Renderer::plain().render(&[group]);
        // A mark on an empty line leaves blanks behind it.
        let lines: Vec<&str> = drawing.lines().map(str::trim_end).collect();
        f.write_str(&lines.join("\n"))
    }
}

/// A longer line than this is not drawn; nobody wrote it.
const LONGEST_LINE: usize = 10_000;

/// So many errors are drawn; whoever has more mends these first.
const MOST: usize = 100;

/// All errors of one run, in the order of the book.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Diagnostics(pub Vec<Diagnostic>);

impl Diagnostics {
    /// `value` if nothing is wrong, otherwise the errors.
    ///
    /// # Errors
    /// `self`, unless it is empty.
    pub fn or<T>(self, value: T) -> Result<T, Self> {
        if self.0.is_empty() { Ok(value) } else { Err(self) }
    }
}

impl From<Diagnostic> for Diagnostics {
    fn from(diagnostic: Diagnostic) -> Self {
        Self(vec![diagnostic])
    }
}

impl fmt::Display for Diagnostics {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for diagnostic in self.0.iter().take(MOST) {
            writeln!(f, "{diagnostic}\n")?;
        }
        if self.0.len() > MOST {
            writeln!(f, "... and {} more, of the {} that were found\n", self.0.len() - MOST, self.0.len())?;
        }
        let errors = if self.0.len() == 1 { "error" } else { "errors" };
        write!(f, "{} {errors}; nothing was written", self.0.len())
    }
}

impl std::error::Error for Diagnostics {}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(text: &str, span: Range<usize>) -> String {
        Diagnostic::new("book/src/flow.md", text.into(), span, "this is wrong").to_string()
    }

    #[test]
    fn draws_place_line_mark_and_help() {
        let text: Arc<str> = "# Flow\n\nIt holds 40 litres.\n".into();
        let drawing = Diagnostic::new("book/src/flow.md", text, 17..19, "the number `40` was typed by hand")
            .label("typed by hand")
            .hint("use a figure")
            .hint("or give a reason")
            .to_string();
        let want = "\
error: the number `40` was typed by hand
 --> book/src/flow.md:3:10
  |
3 | It holds 40 litres.
  |          ^^ typed by hand
  |
  = help: use a figure
  = help: or give a reason";
        assert_eq!(drawing, want);
    }

    #[test]
    fn the_column_counts_characters() {
        let text = "é½\tzwei 40";
        let at = text.find("40").unwrap();
        assert!(drawn(text, at..at + 2).contains("flow.md:1:9\n"), "{}", drawn(text, at..at + 2));
        let place = Place { file: String::new(), text: text.into(), span: at..at + 2 };
        assert_eq!(place.line_column(), (1, 9));
    }

    #[test]
    fn wide_characters_count_once() {
        let text = "水槽 40";
        let at = text.find("40").unwrap();
        assert!(drawn(text, at..at + 2).contains("flow.md:1:4\n"), "{}", drawn(text, at..at + 2));
    }

    #[test]
    fn carriage_returns_and_byte_order_mark_do_not_move_the_place() {
        let text = "\u{feff}one\r\ntwo 40\r\n";
        let at = text.find("40").unwrap();
        let drawing = drawn(text, at..at + 2);
        assert!(drawing.contains("flow.md:2:5\n"), "{drawing}");
        assert!(drawing.contains("2 | two 40\n  |     ^^"), "{drawing}");
    }

    #[test]
    fn a_byte_order_mark_is_no_column() {
        let text = "\u{feff}40";
        assert!(drawn(text, 3..5).contains("flow.md:1:1\n"), "{}", drawn(text, 3..5));
    }

    #[test]
    fn empty_files_and_ends_of_files_have_a_place() {
        for (text, span, place) in [
            ("", 0..0, "1:1"),
            ("", 5..9, "1:1"),
            ("ab", 2..2, "1:3"),
            ("ab\n", 3..3, "1:3"),
            ("ab\n", 90..95, "1:3"),
            ("é", 1..1, "1:1"),
        ] {
            let drawing = drawn(text, span.clone());
            assert!(drawing.contains(&format!("flow.md:{place}")), "{text:?} {span:?}:\n{drawing}");
            let place_alone = Place { file: String::new(), text: text.into(), span };
            let (line, column) = place_alone.line_column();
            assert_eq!(format!("{line}:{column}"), place);
        }
    }

    #[test]
    fn an_error_without_a_place_is_its_sentence_and_help() {
        let error = Diagnostic::plain("`book` cannot be written").hint("free some space");
        assert_eq!(error.to_string(), "error: `book` cannot be written\n |\n = help: free some space");
    }

    #[test]
    fn the_last_line_counts_the_errors() {
        let one = Diagnostic::plain("a");
        assert_eq!(Diagnostics(vec![one.clone()]).to_string(), "error: a\n\n1 error; nothing was written");
        assert!(
            Diagnostics(vec![one.clone(), one]).to_string().ends_with("\n\n2 errors; nothing was written")
        );
    }

    #[test]
    fn nearest_finds_slips_and_parts_but_nothing_far_off() {
        let ids = ["tank.water", "tank.glass", "flow.band", "water"];
        assert_eq!(nearest("tank.watr", ids), ["tank.water"]);
        assert_eq!(nearest("tank.wtaer", ids), ["tank.water"]);
        assert_eq!(nearest("sump.water", ids), ["tank.water", "water"]);
        assert_eq!(nearest("salinity", ids), Vec::<String>::new());
        assert_eq!(did_you_mean("flow.bnad", ids).unwrap(), "did you mean `flow.band`?");
    }
}
