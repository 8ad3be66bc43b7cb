//! The forme of a page: its Markdown, locked up once for every tank, with gaps for the parts of one.
//!
//! What the [template](crate::chapter::template) gives is Markdown with marks: for a figure or part of the
//! running tank, a claim, a condition, something that a tank of the book lacks. Here the blocks at the top of
//! the page that hold marks, or stand in a condition, become [passages](reckoner_page::passage): in Markdown,
//! to be set for the tank of a build, and in HTML as mdBook writes it, for the page to carry. All else is the
//! same for every tank and stays as it is.
//!
//! A condition stands around whole blocks, its tags on lines of their own; before an item or a row, around
//! whole ones; or around words of one block.

use std::collections::HashSet;

use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use pulldown_cmark::{Event, Tag};
use reckoner_page::passage::{Block, Passage, Path, Piece};
use reckoner_page::text::MARK;

pub(crate) use crate::chapter::forme::marks::{claim, gap, is_lacking, lacking};

use crate::chapter::forme::frames::Events;
use crate::chapter::forme::html::Ids;
use crate::chapter::forme::markdown::trimmed;
use crate::chapter::forme::marks::{Branch, Mark, Statement, branch, numbered};
use crate::chapter::record;

mod frames;
mod html;
mod markdown;
mod marks;

/// A page, locked up.
#[derive(Debug, Clone, Default)]
pub struct Forme {
    /// Its pieces, in their order.
    pub segments: Vec<Segment>,
}

impl Forme {
    /// Goes through all pieces of its passages, each with the conditions it stands under.
    pub fn walk<'p>(&'p self, see: &mut dyn FnMut(&Path<'p>, &'p Piece)) {
        for segment in &self.segments {
            if let Segment::Passage { markdown, .. } = segment {
                markdown.walk(see);
            }
        }
    }
}

/// A piece of a page.
#[derive(Debug, Clone)]
pub enum Segment {
    /// Markdown that is the same for every tank.
    Plain(String),
    /// A block that depends on the tank.
    Passage {
        /// Its pieces in Markdown.
        markdown: Passage,
        /// Its pieces in HTML, where the page is made for that.
        html: Option<Passage>,
    },
    /// A part of the book that shows its proof.
    Proof(record::Part),
}

/// Something wrong with a page that only its whole text shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The statement meant, by its place among those of the page; else `near` tells where.
    pub statement: Option<usize>,
    /// What stands around it.
    pub near: String,
    /// What is wrong.
    pub message: String,
    /// What would be right.
    pub hint: String,
}

/// Locks up a page.
///
/// - `text`: its Markdown with marks
/// - `options`: how its Markdown is read
/// - `is_html`: whether it is made for HTML
/// - `why`: why a tank of the book lacks something, by its id
///
/// # Errors
/// Conditions that stand otherwise than they may, and what can not depend on the tank.
pub fn lock(
    text: &str,
    options: &MarkdownOptions,
    is_html: bool,
    why: &dyn Fn(&str) -> Option<String>,
) -> Result<Forme, Vec<Fault>> {
    let (text, marks, mut faults) = numbered(text, why);
    let events: Vec<_> = new_cmark_parser(&text, options).into_offset_iter().collect();
    let mut ids = Ids::default();
    let mut forme = Forme::default();
    let (mut plain, mut done) = (String::new(), 0);
    let mut open: Vec<Branch> = Vec::new();
    let mut begins_section = false;
    let tops = at_the_top(&events);
    for (at, events) in tops.iter().enumerate() {
        let next = tops.get(at + 1).map_or(text.len(), |next| next[0].1.start);
        let span = trimmed(&text, events[0].1.start..events[0].1.end.min(next).max(events[0].1.start));
        let here = &text[span.clone()];
        plain.push_str(&text[done..span.start.max(done)]);
        done = span.end;
        if let Some(statements) = only_statements(here, &marks) {
            for statement in statements {
                branch(&mut open, statement);
            }
            continue;
        }
        let proof = record::Part::ALL.into_iter().find(|part| here == part.marker());
        let whens: Vec<_> = open.iter().flat_map(|branch| branch.path.iter().cloned()).collect();
        let is_heading = matches!(events[0].0, Event::Start(Tag::Heading { .. }));
        if !here.contains(MARK) && whens.is_empty() {
            ids.pass(events);
            begins_section |= is_heading;
            match proof {
                None => plain.push_str(here),
                Some(part) => {
                    forme.segments.extend([Segment::Plain(std::mem::take(&mut plain)), Segment::Proof(part)]);
                }
            }
            continue;
        }
        let only = |(condition, holds)| Piece::Only { condition, holds };
        let passage = |block: Option<Block>| {
            let mut block = block?;
            block.pieces.splice(0..0, whens.iter().cloned().map(only));
            Some(Passage { begins_section, block })
        };
        let markdown = passage(markdown::block(&text[..next], &marks, events, &mut faults));
        let html =
            if is_html { passage(html::block(&text, &marks, events, &mut ids, &mut faults)) } else { None };
        begins_section = false;
        if let Some(markdown) = markdown {
            forme
                .segments
                .extend([Segment::Plain(std::mem::take(&mut plain)), Segment::Passage { markdown, html }]);
        }
    }
    plain.push_str(&text[done..]);
    forme.segments.push(Segment::Plain(plain));
    // The same thing wrong in Markdown and in HTML is wrong once.
    let mut told = HashSet::new();
    faults.retain(|fault| fault.statement.is_none() || told.insert(fault.statement));
    if faults.is_empty() { Ok(forme) } else { Err(faults) }
}

/// The events of each block at the top, in the order of the page.
fn at_the_top<'e, 't>(events: &'e Events<'t>) -> Vec<&'e Events<'t>> {
    let (mut tops, mut depth, mut from) = (Vec::new(), 0_usize, 0);
    for (at, (event, _)) in events.iter().enumerate() {
        match event {
            Event::Start(_) => depth += 1,
            Event::End(_) => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            tops.push(&events[from..=at]);
            from = at + 1;
        }
    }
    tops
}

/// The statements of a block that holds nothing else.
fn only_statements<'m>(text: &str, marks: &'m [Mark]) -> Option<Vec<&'m Statement>> {
    let parts: Vec<_> = text.split(MARK).collect();
    let numbers = parts
        .iter()
        .skip(1)
        .step_by(2)
        .map(|number| number.parse::<usize>().ok().and_then(|number| marks.get(number)));
    let statements: Option<Vec<_>> = numbers
        .map(|mark| match mark {
            Some(Mark::Statement(statement)) => Some(statement),
            _ => None,
        })
        .collect();
    let holds_nothing_else = parts.iter().step_by(2).all(|words| words.trim().is_empty());
    statements.filter(|statements| holds_nothing_else && !statements.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;
    use reckoner_page::html::Medium;
    use reckoner_page::part::Part;
    use reckoner_page::passage::Setting;

    /// A tank without any part, but for water.
    fn answer(key: &str) -> Part {
        match key.split_once(':') {
            Some(("f", "water")) => Part::Printed("9 L".to_owned()),
            Some(("f", id)) => Part::Lacks(format!("No {id}.")),
            Some(("?", "water" | "!sand")) => Part::Yes,
            Some(("t", _)) => Part::Printed("<table></table>".to_owned()),
            _ => Part::No,
        }
    }

    fn locked(text: &str, is_html: bool) -> Result<Forme, Vec<Fault>> {
        // `@sand@` is a figure, `@@` words that are not true, `@if …@` a condition.
        let marked = text.split('@').enumerate().map(|(at, part)| match (at % 2, part) {
            (0, text) => text.to_owned(),
            (_, "") => claim("1 > 2"),
            (_, statement)
                if ["if", "elif", "else", "end"].iter().any(|start| statement.starts_with(start)) =>
            {
                format!("{MARK}% {statement} %{MARK}")
            }
            (_, key) if key.contains(':') => gap(key),
            (_, id) => gap(&format!("f:{id}")),
        });
        lock(&marked.collect::<String>(), &MarkdownOptions::default(), is_html, &|id| {
            Some(format!("No {id}."))
        })
    }

    /// What is left; how many blank lines part two blocks means nothing.
    fn given(text: &str) -> String {
        let forme = locked(text, false).unwrap();
        let mut setting = Setting::new(Medium::Markdown, &answer, "");
        let set = forme.segments.iter().map(|segment| match segment {
            Segment::Plain(text) => text.clone(),
            Segment::Passage { markdown, .. } => setting.set(markdown),
            Segment::Proof(part) => part.name().to_owned(),
        });
        let mut left: String = set.collect();
        while left.contains("\n\n\n") {
            left = left.replace("\n\n\n", "\n\n");
        }
        left.trim_matches('\n').to_owned() + "\n"
    }

    /// What a page carries, set as HTML.
    fn html(text: &str) -> String {
        let forme = locked(text, true).unwrap();
        let mut setting = Setting::new(Medium::Html, &answer, "");
        let passages = forme.segments.iter().filter_map(|segment| match segment {
            Segment::Passage { html, .. } => html.as_ref(),
            _ => None,
        });
        passages.map(|passage| setting.set(passage)).collect::<String>().trim_end().to_owned()
    }

    #[test]
    fn a_paragraph_gives_way_whole() {
        assert_eq!(
            given("Before.\n\nIt lasts @battery@\nand more.\n\nAfter.\n"),
            "Before.\n\nNo battery.\n\nAfter.\n"
        );
        assert_eq!(given("It lasts @battery@:\n- one\n- two\n"), "No battery.\n\n- one\n- two\n");
        assert_eq!(given("@sand@ and @sump@\n"), "No sand.\n\nNo sump.\n");
    }

    #[test]
    fn words_that_are_not_true_go_in_silence() {
        assert_eq!(given("Before.\n\nMore than half.@@\n\nAfter.\n"), "Before.\n\nAfter.\n");
    }

    #[test]
    fn a_section_tells_a_reason_once() {
        assert_eq!(
            given("# A\n\n@sand@\n\nx\n\n@sand@ b\n\n## B\n\n@sand@\n"),
            "# A\n\nNo sand.\n\nx\n\n## B\n\nNo sand.\n"
        );
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
        assert_eq!(
            given("a\n: first\n\nb\n: @sand@\n\nc\n: third\n"),
            "a\n: first\n\nc\n: third\n\nNo sand.\n"
        );
        assert_eq!(given("a\n: @water@\n\nAfter @water@.\n\n- b\n"), "a\n: 9 L\n\nAfter 9 L.\n\n- b\n");
    }

    #[test]
    fn html_gives_way_and_notes_keep_their_frame() {
        assert_eq!(given("<div>\n<p>@sand@</p>\n</div>\n\nAfter.\n"), "No sand.\n\nAfter.\n");
        assert_eq!(given("> [!NOTE]\n> a @sand@\n> b\n\nAfter.\n"), "> [!NOTE]\n> No sand.\n\nAfter.\n");
        assert_eq!(given("# The @sand@\n\nAfter.\n"), "No sand.\n\nAfter.\n");
    }

    #[test]
    fn conditions_stand_around_blocks_items_rows_or_words() {
        let both = "@if sand is defined@\n\nA.\n\n- B\n\n@else@\n\nC.\n\n@endif@\n\nD.\n";
        assert_eq!(given(both), "C.\n\nD.\n");
        assert_eq!(given(&both.replace("sand", "water")), "A.\n\n- B\n\nD.\n");
        let chain = "@if sand is defined@a@elif not sump is defined and sand is defined@b@elif water is defined@c@else@d@endif@ e\n";
        assert_eq!(given(chain), "c e\n");
        assert_eq!(given(&chain.replace("water", "sump")), "d e\n");
        let items = "- a\n@if sand is defined -@\n- b\n  more\n- c\n@endif -@\n- d\n";
        assert_eq!(given(&items.replace(" -@", "@").replace("@\n- ", "@- ")), "- a\n- d\n");
        assert_eq!(
            given(&items.replace(" -@", "@").replace("@\n- ", "@- ").replace("sand", "water")),
            "- a\n- b\n  more\n- c\n- d\n"
        );
        let rows = "| a | b |\n|---|---|\n@if sand is defined@| c | @sand@ |\n@else@| e | f@if water is defined@ g@endif@ |\n@endif@| h | i |\n";
        assert_eq!(given(rows), "| a | b |\n|---|---|\n| e | f g |\n| h | i |\n");
        // A paragraph that says nothing is none, and a heading that is not there begins no section.
        assert_eq!(given("A.\n\n@if sand is defined@B.@endif@\n\nC.\n"), "A.\n\nC.\n");
        let heading = "@sand@\n\n@if sand is defined@\n\n## B\n\n@endif@\n\n@sand@ c\n\n## D\n\n@sand@\n";
        assert_eq!(given(heading), "No sand.\n\n## D\n\nNo sand.\n");
    }

    #[test]
    fn a_dash_takes_blanks_away() {
        let text = format!("a\n\n{MARK}%- if water is defined -%{MARK}\n b\n{MARK}%- endif %{MARK}\nc\n");
        let forme = lock(&text, &MarkdownOptions::default(), false, &|_| None).unwrap();
        let Some(Segment::Passage { markdown, .. }) = forme.segments.get(1) else { panic!("{forme:?}") };
        assert_eq!(Setting::new(Medium::Markdown, &answer, "").set(markdown), "ab\nc");
    }

    #[test]
    fn conditions_that_cut_a_block_in_two_are_refused() {
        let faults = |text: &str| {
            let faults = locked(text, true).unwrap_err();
            faults
                .iter()
                .map(|fault| {
                    (fault.statement, fault.message.split(' ').take(3).collect::<Vec<_>>().join(" "))
                })
                .collect::<Vec<_>>()
        };
        let cut = |statement| (Some(statement), "this condition begins".to_owned());
        assert_eq!(faults("A @if sand is defined@b.\n\nC @endif@d.\n"), [cut(0), cut(1)]);
        assert_eq!(faults("A @if sand is defined@*b @endif@c*.\n"), [cut(1), cut(0)]);
        assert_eq!(faults("| a | b |\n|---|---|\n| c @if sand is defined@| d@endif@ |\n"), [cut(0), cut(1)]);
        assert_eq!(
            faults("- a\n@if sand is defined@- b @endif@\n- c\n"),
            [(Some(1), "a condition around".to_owned())]
        );
        for (text, what) in [
            ("> [!NOTE]\n> a @sand@\n", "a note"),
            ("a `@sand@` b\n", "code"),
            ("```\n@sand@\n```\n", "code"),
            ("a ![b](c) @sand@\n", "words with a picture"),
            ("# A @sand@\n", "a heading"),
        ] {
            let fault = locked(text, true).unwrap_err().remove(0);
            assert!(fault.message.starts_with(what) && !fault.hint.is_empty(), "{fault:?}");
        }
    }

    #[test]
    fn html_is_what_mdbook_writes() {
        assert_eq!(
            html("Plain.\n\nIt *holds* @water@, `x<y` & [more](a.md#b).\n"),
            "<p>It <em>holds</em> 9 L, <code>x&lt;y</code> &amp; <a href=\"a.html#b\">more</a>.</p>"
        );
        assert_eq!(html("@t:bands@\n"), "<table></table>");
        assert_eq!(
            html("1. a @water@\n2. @sand@\n"),
            "<ol><li>a 9 L</li></ol>\n\n<p class=\"lacking\">No sand.</p>"
        );
        assert_eq!(
            html("| a | b |\n|--:|---|\n| c | @water@ |\n"),
            "<div class=\"table-wrapper\"><table><thead><tr><th style=\"text-align: right\">a</th><th>b</th></tr></thead><tbody>\
             <tr><td style=\"text-align: right\">c</td><td>9 L</td></tr></tbody></table></div>"
        );
        assert_eq!(
            html("# Two words\n\n@if water is defined@\n\n## Two words\n\n@endif@\n"),
            "<h2 id=\"two-words-1\"><a class=\"header\" href=\"#two-words-1\">Two words</a></h2>"
        );
        assert_eq!(
            html("a\n: @water@\n"),
            "<dl><dt id=\"a\"><a class=\"header\" href=\"#a\">a</a></dt><dd>9 L</dd></dl>"
        );
        assert_eq!(
            html("## The @water@ {#x}\n"),
            "<h2 id=\"x\"><a class=\"header\" href=\"#x\">The 9 L</a></h2>"
        );
    }

    #[test]
    fn a_reason_is_text_whatever_it_holds() {
        let text = format!("{}\n", lacking("a"));
        let forme =
            lock(&text, &MarkdownOptions::default(), true, &|_| Some("<b> *x* {{#include a}}".to_owned()))
                .unwrap();
        let Some(Segment::Passage { markdown, html }) = forme.segments.get(1) else { panic!("{forme:?}") };
        for passage in [markdown, html.as_ref().unwrap()] {
            let set = Setting::new(Medium::Html, &answer, "").set(passage);
            assert!(set.starts_with("<p class=\"lacking\">&#60;b&#62; &#42;x&#42;"), "{set}");
            assert!(!set.contains("{{"), "{set}");
        }
    }
}
