//! What a page prints where its tank lacks a part: the reason, in place of every sentence that would need the part.
//!
//! While a page is rendered, a figure, table or drawing that the tank lacks prints a mark with its id. So does a claim in words that does
//! not hold for a reader's tank. Afterwards the whole block with a mark gives way, so that no half of a sentence is left: a paragraph or
//! heading becomes the reason; a list item, a row of a table or an entry of a glossary goes, and the reason comes behind its list or
//! table. A section tells each reason once.

use std::ops::Range;

use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use pulldown_cmark::{Event, Tag};
use reckoner_page::html::Medium;
use reckoner_page::text::{MARK, escaped};

/// What comes behind a block at the top, so that the next one is not taken for a part of it.
const BLANK_LINE: &str = "\n\n";

/// What stands in the page for a figure or part that the tank lacks: its id between two marks.
pub(crate) fn mark(id: &str) -> String {
    format!("{MARK}{id}{MARK}")
}

/// What stands beside words that are not true for this tank: their block goes, and nothing is said about it.
pub(crate) fn untrue() -> String {
    mark("")
}

/// Whether a text is the mark of something lacking.
pub(crate) fn is_mark(text: &str) -> bool {
    text.starts_with(MARK) && text.ends_with(MARK)
}

/// What a block is to the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// Gives way to the reason.
    Words,
    /// One of several of its parent, and goes without a trace.
    Part,
    /// Holds parts.
    Whole {
        ordered_from: Option<u64>,
    },
    Heading,
    Other,
}

#[derive(Debug)]
struct Block {
    kind: Kind,
    span: Range<usize>,
    parent: Option<usize>,
    /// The block at the top that it stands in: itself, or the outermost around it.
    top: usize,
    is_title: bool,
}

/// Replaces every block that holds a mark; `why` gives the reason for the id of a mark.
pub fn give_way(rendered: &str, medium: Medium, why: &dyn Fn(&str) -> Option<String>) -> String {
    if !rendered.contains(MARK) {
        return rendered.to_owned();
    }
    let blocks = blocks(rendered);
    let mut goes: Vec<(usize, Vec<&str>)> = Vec::new();
    for (id, span) in marks(rendered) {
        let Some(innermost) = blocks.iter().rposition(|block| block.span.start <= span.start && span.end <= block.span.end) else {
            continue;
        };
        let block = gives_way(&blocks, innermost);
        match goes.iter_mut().find(|(known, _)| *known == block) {
            Some((_, ids)) => ids.push(id),
            None => goes.push((block, vec![id])),
        }
    }
    // A list of which every item goes, goes itself.
    for (at, block) in blocks.iter().enumerate().rev() {
        let parts = || blocks.iter().enumerate().filter(|(_, part)| part.parent == Some(at) && part.kind == Kind::Part);
        if matches!(block.kind, Kind::Whole { .. }) && parts().count() > 0 {
            let gone = |part: usize| goes.iter().position(|(known, _)| *known == part);
            let all: Vec<_> = parts().filter_map(|(part, _)| gone(part)).collect();
            if all.len() == parts().count() && gone(at).is_none() {
                let ids = all.iter().flat_map(|at| goes[*at].1.clone()).collect();
                goes.push((at, ids));
            }
        }
    }
    // Of a block and one inside it, the outer one decides.
    let inside = |block: usize, other: usize| block != other && ancestors(&blocks, block).any(|above| above == other);
    let inner: Vec<_> = goes.iter().map(|(block, _)| goes.iter().any(|(other, _)| inside(*block, *other))).collect();
    let mut goes: Vec<_> = goes.into_iter().zip(inner).filter(|(_, inner)| !inner).map(|(going, _)| going).collect();
    goes.sort_by_key(|(block, _)| blocks[*block].span.start);
    write(rendered, medium, &blocks, &goes, why)
}

/// The marks of a text: the ids, and where they stand.
fn marks(text: &str) -> Vec<(&str, Range<usize>)> {
    let ends: Vec<_> = text.match_indices(MARK).map(|(at, _)| at).collect();
    ends.chunks_exact(2).map(|pair| (&text[pair[0] + MARK.len_utf8()..pair[1]], pair[0]..pair[1] + MARK.len_utf8())).collect()
}

fn blocks(rendered: &str) -> Vec<Block> {
    let mut blocks: Vec<Block> = Vec::new();
    let mut open: Vec<Option<usize>> = Vec::new();
    for (event, span) in new_cmark_parser(rendered, &MarkdownOptions::default()).into_offset_iter() {
        let kind = match &event {
            Event::Start(tag) => match tag {
                Tag::Paragraph | Tag::HtmlBlock | Tag::CodeBlock(_) => Some(Kind::Words),
                Tag::Heading { .. } => Some(Kind::Heading),
                Tag::Item | Tag::TableRow | Tag::DefinitionListDefinition | Tag::DefinitionListTitle => Some(Kind::Part),
                Tag::List(start) => Some(Kind::Whole { ordered_from: *start }),
                Tag::Table(_) | Tag::DefinitionList => Some(Kind::Whole { ordered_from: None }),
                Tag::BlockQuote(_) | Tag::FootnoteDefinition(_) | Tag::TableHead | Tag::TableCell => Some(Kind::Other),
                _ => None,
            },
            Event::End(_) => {
                open.pop();
                continue;
            }
            _ => continue,
        };
        let Some(kind) = kind else {
            open.push(open.iter().next_back().copied().flatten());
            continue;
        };
        let parent = open.iter().next_back().copied().flatten();
        let at = blocks.len();
        let is_title = matches!(event, Event::Start(Tag::DefinitionListTitle));
        blocks.push(Block { kind, span, parent, top: parent.map_or(at, |parent| blocks[parent].top), is_title });
        open.push(Some(at));
    }
    blocks
}

fn ancestors(blocks: &[Block], from: usize) -> impl Iterator<Item = usize> {
    std::iter::successors(blocks[from].parent, |above| blocks[*above].parent)
}

/// The block that goes because of a mark in `innermost`.
fn gives_way(blocks: &[Block], innermost: usize) -> usize {
    let above = std::iter::once(innermost).chain(ancestors(blocks, innermost));
    for block in above {
        match blocks[block].kind {
            // A paragraph of a list item takes the item with it, but one of a note does not.
            Kind::Words if blocks[block].parent.is_some_and(|parent| blocks[parent].kind == Kind::Part) => {}
            Kind::Words | Kind::Part | Kind::Heading | Kind::Whole { .. } => return block,
            Kind::Other => {}
        }
    }
    innermost
}

fn write(rendered: &str, medium: Medium, blocks: &[Block], goes: &[(usize, Vec<&str>)], why: &dyn Fn(&str) -> Option<String>) -> String {
    let section = |at: usize| {
        let before = blocks.iter().rfind(|block| block.kind == Kind::Heading && block.span.start <= at);
        before.map_or(0, |heading| heading.span.start)
    };
    let mut told: Vec<(usize, String)> = Vec::new();
    let mut tell = |ids: &[&str], at: usize| -> Vec<String> {
        let reasons = ids.iter().filter(|id| !id.is_empty()).filter_map(|id| why(id));
        let fresh = reasons.filter_map(|reason| {
            let entry = (section(at), reason.clone());
            let is_fresh = !told.contains(&entry);
            is_fresh.then(|| told.push(entry)).map(|()| reason)
        });
        fresh.collect()
    };
    // What is cut out, and what is put in its place.
    let mut edits: Vec<(Range<usize>, String)> = Vec::new();
    for (going, ids) in goes {
        let block = &blocks[*going];
        let reasons = tell(ids, block.span.start);
        let is_part = block.kind == Kind::Part;
        let span = if is_part { whole_lines(rendered, entry(blocks, *going)) } else { trimmed(rendered, block.span.clone()) };
        let is_top = block.top == *going;
        if is_part || !is_top && !matches!(block.kind, Kind::Words) {
            edits.push((span, String::new()));
            let end = trimmed(rendered, blocks[block.top].span.clone()).end;
            if !reasons.is_empty() {
                edits.push((end..end, format!("\n\n{}{BLANK_LINE}", paragraphs(&reasons, medium))));
            }
        } else {
            let after = if is_top { BLANK_LINE } else { "" };
            edits.push((span, paragraphs(&reasons, medium) + after));
        }
    }
    edits.extend(renumbered(rendered, blocks, goes));
    edits.sort_by_key(|(span, _)| (span.start, span.end));
    let mut out = String::with_capacity(rendered.len());
    let mut done = 0;
    for (span, text) in edits {
        if span.start >= done {
            out.push_str(&rendered[done..span.start]);
        }
        out.push_str(&text);
        done = done.max(span.end);
    }
    out.push_str(&rendered[done..]);
    // A mark outside every block would reach the reader.
    marks(&out.clone()).into_iter().fold(out, |text, (id, _)| text.replace(&mark(id), ""))
}

/// An entry of a glossary is its title and all that is said of it.
fn entry(blocks: &[Block], part: usize) -> Range<usize> {
    let span = blocks[part].span.clone();
    let siblings = || blocks.iter().filter(|block| block.parent == blocks[part].parent && block.kind == Kind::Part);
    if !siblings().any(|block| block.is_title) {
        return span;
    }
    let start = siblings().rfind(|block| block.is_title && block.span.start <= span.start).map_or(span.start, |block| block.span.start);
    let end = siblings().find(|block| block.is_title && block.span.start > start);
    let last = || siblings().next_back().map_or(span.end, |block| block.span.end);
    start..end.map_or_else(last, |next| next.span.start)
}

/// When the first item of a numbered list goes, the first that stays takes its number.
fn renumbered(rendered: &str, blocks: &[Block], goes: &[(usize, Vec<&str>)]) -> Vec<(Range<usize>, String)> {
    let gone = |at: usize| goes.iter().any(|(going, _)| *going == at);
    let mut edits = Vec::new();
    for (at, block) in blocks.iter().enumerate() {
        let Kind::Whole { ordered_from: Some(start) } = block.kind else { continue };
        let mut items = blocks.iter().enumerate().filter(|(_, item)| item.parent == Some(at) && item.kind == Kind::Part);
        let mut first_is_gone = false;
        let stays = items.find(|(item, _)| {
            let is_gone = gone(*item);
            first_is_gone |= is_gone;
            !is_gone
        });
        if let (true, Some((_, item))) = (first_is_gone, stays) {
            let digits = rendered[item.span.clone()].chars().take_while(char::is_ascii_digit).count();
            edits.push((item.span.start..item.span.start + digits, start.to_string()));
        }
    }
    edits
}

/// The span from the beginning of its line, without the blank lines behind it but with its own line end.
fn whole_lines(text: &str, span: Range<usize>) -> Range<usize> {
    let Range { start, end } = trimmed(text, span);
    let line = text[..start].rfind('\n').map_or(0, |at| at + 1);
    let start = if text[line..start].trim().is_empty() { line } else { start };
    let end = if text[end..].starts_with('\n') { end + 1 } else { end };
    start..end
}

fn trimmed(text: &str, span: Range<usize>) -> Range<usize> {
    span.start..span.start + text[span.clone()].trim_end().len()
}

fn paragraphs(reasons: &[String], medium: Medium) -> String {
    let one = |reason: &String| match medium {
        Medium::Html => format!("<p class=\"lacking\">{}</p>", escaped(reason)),
        Medium::Markdown => escaped(reason),
    };
    reasons.iter().map(one).collect::<Vec<_>>().join("\n\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is left; how many blank lines part two blocks means nothing.
    fn given(text: &str) -> String {
        let why = |id: &str| Some(format!("No {id}."));
        let mut left = give_way(&text.replace('@', "\u{2}"), Medium::Markdown, &why);
        while left.contains("\n\n\n") {
            left = left.replace("\n\n\n", "\n\n");
        }
        left.trim_matches('\n').to_owned() + "\n"
    }

    #[test]
    fn a_paragraph_gives_way_whole() {
        assert_eq!(given("Before.\n\nIt lasts @battery@\nand more.\n\nAfter.\n"), "Before.\n\nNo battery.\n\nAfter.\n");
        assert_eq!(given("It lasts @battery@:\n- one\n- two\n"), "No battery.\n\n- one\n- two\n");
        assert_eq!(given("@sand@ and @sump@\n"), "No sand.\n\nNo sump.\n");
    }

    #[test]
    fn words_that_are_not_true_go_in_silence() {
        assert_eq!(given("Before.\n\nMore than half.@@\n\nAfter.\n"), "Before.\n\nAfter.\n");
    }

    #[test]
    fn a_section_tells_a_reason_once() {
        assert_eq!(given("# A\n\n@sand@\n\nx\n\n@sand@ b\n\n## B\n\n@sand@\n"), "# A\n\nNo sand.\n\nx\n\n## B\n\nNo sand.\n");
    }

    #[test]
    fn an_item_is_left_out_and_the_reason_comes_behind_its_list() {
        assert_eq!(given("- one\n- @sand@ is\n- two\n\nAfter.\n"), "- one\n- two\n\nNo sand.\n\nAfter.\n");
        assert_eq!(given("- one\n- @sand@ is\n\n## After\n"), "- one\n\nNo sand.\n\n## After\n");
        assert_eq!(given("1. @sand@\n2. two\n3. three\n"), "1. two\n3. three\n\nNo sand.\n");
        assert_eq!(given("- one\n  - @sand@\n  - b\n- two\n"), "- one\n  - b\n- two\n\nNo sand.\n");
        assert_eq!(given("- one\n\n  @sand@\n\n- two\n"), "- two\n\nNo sand.\n");
    }

    #[test]
    fn behind_a_last_item_that_goes_the_next_paragraph_stands_alone() {
        assert_eq!(given("- one\n- @sand@\n\nSee [a](b).\n"), "- one\n\nNo sand.\n\nSee [a](b).\n");
        assert_eq!(given("1. one\n2. @sand@\n   [more](c)\n\n## Next\n"), "1. one\n\nNo sand.\n\n## Next\n");
    }

    #[test]
    fn a_list_without_items_is_none() {
        assert_eq!(given("For it:\n\n- @sand@\n- @sand@\n\nAfter.\n"), "For it:\n\nNo sand.\n\nAfter.\n");
    }

    #[test]
    fn a_row_is_left_out() {
        assert_eq!(
            given("| a | b |\n|---|---|\n| c | @sand@ |\n| d | e |\n\nAfter.\n"),
            "| a | b |\n|---|---|\n| d | e |\n\nNo sand.\n\nAfter.\n"
        );
        assert_eq!(given("| a | b |\n|---|---|\n| c | @sand@ |\n\nAfter.\n"), "No sand.\n\nAfter.\n");
        assert_eq!(
            given("| a | b |\n|---|---|\n| d | e |\n| c | @sand@ |\n\n## After\n"),
            "| a | b |\n|---|---|\n| d | e |\n\nNo sand.\n\n## After\n"
        );
        assert_eq!(given("| a | @sand@ |\n|---|---|\n| c | d |\n\nAfter.\n"), "No sand.\n\nAfter.\n");
    }

    #[test]
    fn an_entry_of_a_glossary_goes_with_its_word() {
        assert_eq!(given("a\n: first\n\nb\n: @sand@\n\nc\n: third\n"), "a\n: first\n\nc\n: third\n\nNo sand.\n");
    }

    #[test]
    fn html_gives_way_and_notes_keep_their_frame() {
        assert_eq!(given("<div>\n<p>@sand@</p>\n</div>\n\nAfter.\n"), "No sand.\n\nAfter.\n");
        assert_eq!(given("> [!NOTE]\n> a @sand@\n> b\n\nAfter.\n"), "> [!NOTE]\n> No sand.\n\nAfter.\n");
        assert_eq!(given("# The @sand@\n\nAfter.\n"), "No sand.\n\nAfter.\n");
    }

    #[test]
    fn a_reason_is_text_whatever_it_holds() {
        let why = |_: &str| Some("<b> *x* {{#include a}}".to_owned());
        let html = give_way("\u{2}a\u{2}", Medium::Html, &why);
        assert!(html.starts_with("<p class=\"lacking\">&#60;b&#62; &#42;x&#42;"), "{html}");
        assert!(!html.contains("{{"), "{html}");
    }
}
