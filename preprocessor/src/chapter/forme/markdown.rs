//! A block of a page as its author wrote it.

use std::ops::Range;

use pulldown_cmark::{Event, Tag, TagEnd};
use reckoner_page::passage::{Block, Kind, Piece};

use crate::chapter::forme::Fault;
use crate::chapter::forme::frames::{Events, Frame, Frames, is_block_end, kind};
use crate::chapter::forme::marks::{Mark, sign};

/// Reads a block at the top.
///
/// - `text`: the page up to the next block; the parser takes what follows a glossary for a part of it
pub(super) fn block(
    text: &str,
    marks: &[Mark],
    events: &Events<'_>,
    faults: &mut Vec<Fault>,
) -> Option<Block> {
    let mut reader = Reader { text, frames: Frames::new(marks), is_ordered: Vec::new() };
    for (at, (event, span)) in events.iter().enumerate() {
        let span = within(text, span);
        reader.frames.close_entry(event);
        match event {
            Event::Start(tag) => {
                if matches!(tag, Tag::DefinitionListTitle) {
                    reader.open(
                        Kind::Part,
                        whole_lines(text, within(text, &(span.start..entry_end(&events[at..])))).start,
                    );
                    reader.frames.last().into_iter().for_each(|frame| frame.is_entry = true);
                }
                reader.start(tag, span);
            }
            Event::End(tag) if is_block_end(tag) => reader.end(tag, span),
            Event::Rule if events.len() == 1 => {
                reader.open(Kind::Words, span.start);
                reader.read_to(span.end);
                reader.frames.close();
            }
            _ => {}
        }
    }
    reader.frames.done(faults)
}

struct Reader<'t> {
    text: &'t str,
    frames: Frames<'t>,
    /// For each list that is open, whether its items have numbers.
    is_ordered: Vec<bool>,
}

impl Reader<'_> {
    fn start(&mut self, tag: &Tag<'_>, span: Range<usize>) {
        if let Tag::List(start) = tag {
            self.is_ordered.push(start.is_some());
        }
        let Some(kind) = kind(tag) else { return };
        // The blanks before its first sign belong to a list inside another.
        let takes_lines = matches!(kind, Kind::Part | Kind::Whole);
        let start = if takes_lines { whole_lines(self.text, span.clone()).start } else { span.start };
        self.open(kind, start);
        if matches!(tag, Tag::Item) {
            self.read_sign(span.start);
        }
    }

    fn end(&mut self, tag: &TagEnd, span: Range<usize>) {
        if matches!(tag, TagEnd::List(_)) {
            self.is_ordered.pop();
        }
        let takes_lines = matches!(tag, TagEnd::Item | TagEnd::TableRow);
        self.read_to(if takes_lines { whole_lines(self.text, span) } else { trimmed(self.text, span) }.end);
        self.frames.close();
    }

    /// Reads the Markdown of the last block up to a place.
    fn read_to(&mut self, to: usize) {
        if let Some(frame) = self.frames.last().filter(|frame| frame.done < to) {
            let from = std::mem::replace(&mut frame.done, to);
            self.frames.put(&self.text[from..to], &str::to_owned);
        }
    }

    /// Opens a block that begins at a place.
    fn open(&mut self, kind: Kind, start: usize) {
        self.read_to(start);
        let done = self.frames.last().map_or(start, |outer| outer.done.max(start));
        self.frames.open(Frame { done, ..Frame::new(kind, "", "") });
    }

    /// Reads the sign of an item: what opens it, and its number apart.
    fn read_sign(&mut self, at: usize) {
        let is_ordered = self.is_ordered.last() == Some(&true);
        let Some(frame) = self.frames.last() else { return };
        let at = at.max(frame.done);
        let digits = self.text[at..].chars().take_while(char::is_ascii_digit).count();
        if is_ordered {
            frame.opening = self.text[frame.done..at].to_owned();
            frame.pieces.push(Piece::Ordinal(self.text[at..at + digits].to_owned()));
            frame.done = at + digits;
        } else {
            let sign = sign(&self.text[frame.done..]).unwrap_or(at - frame.done);
            frame.opening = self.text[frame.done..frame.done + sign].to_owned();
            frame.done += sign;
        }
    }
}

/// Where the entry of a glossary ends whose title is the first event.
fn entry_end(events: &Events<'_>) -> usize {
    let mut depth = 0_usize;
    let mut end = 0;
    for (at, (event, span)) in events.iter().enumerate() {
        match event {
            Event::Start(Tag::DefinitionListTitle) if depth == 0 && at > 0 => break,
            Event::Start(_) => depth += 1,
            Event::End(_) if depth == 0 => break,
            Event::End(_) => {
                depth -= 1;
                end = if depth == 0 { span.end } else { end };
            }
            _ => {}
        }
    }
    end
}

/// The span as far as the text goes.
fn within(text: &str, span: &Range<usize>) -> Range<usize> {
    span.start.min(text.len())..span.end.min(text.len())
}

/// The span without the blanks at its end.
pub(super) fn trimmed(text: &str, span: Range<usize>) -> Range<usize> {
    span.start..span.start + text[span.clone()].trim_end().len()
}

/// The span from the beginning of its line, without the blank lines behind it but with its own line end.
fn whole_lines(text: &str, span: Range<usize>) -> Range<usize> {
    let Range { start, end } = trimmed(text, span);
    let line = text[..start].rfind('\n').map_or(0, |at| at + 1);
    let start = if text[line..start].trim().is_empty() { line } else { start };
    let end = if text[end..].starts_with('\n') { end + 1 } else { end };
    start..end
}
