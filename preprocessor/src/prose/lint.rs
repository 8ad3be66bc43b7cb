//! Refuses numbers that an author typed by hand.
//!
//! A typed number goes stale when the rule behind it changes. So prose, headings, table cells, link and image
//! texts, footnotes and the texts inside raw HTML hold no digit, and no number word beside a unit, a measure
//! or a thing counted. Figures come from `{= tank.water =}`; digits that are part of a name come from
//! `{= typed(text="…", because="…") =}`. A tag that holds a number or a text of its own, in place of a
//! figure, is refused as well, and so is what brings text that nobody has looked at: a file put into prose, a
//! script.
//!
//! Not prose: code, addresses, link labels and heading ids, HTML names and comments, list markers, mdBook's
//! own directives.
//!
//! `reading` tells what a reader reads, `numbers` which of it is a number.

use std::ops::Range;
use std::sync::Arc;

use mdbook_markdown::new_cmark_parser;
use pulldown_cmark::{Event, Parser, Tag};

use crate::diagnostic::Diagnostic;
use crate::prose::lint::glyph::{Glyph, glyphs};
use crate::prose::lint::numbers::numbers;
use crate::prose::lint::reading::{blocks, scripts};
use crate::prose::names;
use crate::prose::tags;

pub use mdbook_markdown::MarkdownOptions;

mod glyph;
mod numbers;
mod reading;

/// Arguments of functions that no reader sees.
const NOT_READ: [&str; 3] = ["id", "that", "because"];

/// Arguments with numbers that say how something is printed, not what.
const HOW: [&str; 4] = ["places", "precision", "length", "width"];

/// One error for each number typed into `text`, in the order of the text.
///
/// `file` is the name shown in the errors. `options` are those of the book, so that the text is read as
/// mdBook reads it.
pub fn typed_numbers(file: &str, text: &Arc<str>, options: &MarkdownOptions) -> Vec<Diagnostic> {
    let masked = tags::masked(text);
    let mut found: Vec<Diagnostic> = Vec::new();
    for block in blocks(text, &masked, options) {
        found.extend(in_block(file, text, &block));
    }
    found.extend(literals(file, text));
    found.extend(without_figure(file, text));
    found.extend(directives(file, text, &masked, options));
    found.extend(scripts(&masked, options).into_iter().map(|span| {
        Diagnostic::new(file, text.clone(), span, "a script could write numbers that nobody has looked at")
            .hint("scripts of the whole book stand in its theme; a chapter has words, tags and pictures")
    }));
    found.sort_by_key(|error| error.place.as_ref().map(|place| (place.span.start, place.span.end)));
    found.dedup();
    found
}

fn in_block(file: &str, text: &Arc<str>, block: &[Glyph]) -> Vec<Diagnostic> {
    numbers(block).into_iter().map(|span| typed_by_hand(file, text, span)).collect()
}

/// What is typed into a tag: a text given to a function is prose, but for names and reasons; all else comes
/// from figures.
fn literals(file: &str, text: &Arc<str>) -> Vec<Diagnostic> {
    let mut errors = Vec::new();
    let tags = tags::tags(text);
    for literal in tags.iter().flat_map(|tag| names::literals(text, tag)) {
        let is_text = text[literal.span.clone()].starts_with(['"', '\'', '`']);
        match literal.argument {
            Some((function, argument)) if is_text => {
                if !NOT_READ.contains(&argument) && (function, argument) != ("typed", "text") {
                    errors.extend(in_block(file, text, &quoted(text, literal.span)));
                }
            }
            Some((_, argument)) if HOW.contains(&argument) => {}
            _ if is_text => errors.push(
                Diagnostic::new(file, text.clone(), literal.span, "a text was typed into a tag")
                    .label("reaches no figure")
                    .hint("write it outside the tag, as prose"),
            ),
            _ => errors.push(typed_by_hand(file, text, literal.span)),
        }
    }
    errors
}

/// Tags that print something and reach no figure: the template language's own words.
fn without_figure(file: &str, text: &Arc<str>) -> Vec<Diagnostic> {
    let is_own = |word: &str| {
        word.starts_with("__tera") || ["true", "false", "none"].contains(&word.to_lowercase().as_str())
    };
    let of_tag = |tag: &tags::Tag| {
        let first = text[tag.body.clone()].trim().split(|c: char| !c.is_alphanumeric() && c != '_').next();
        (tag.kind == tags::Kind::Expression && tag.is_closed && first.is_some_and(is_own))
            .then(|| tag.span.clone())
    };
    let told = |span| {
        Diagnostic::new(file, text.clone(), span, "this tag prints no figure")
            .hint("a tag names a figure, a rule or a function, such as `{= tank.water =}`")
    };
    tags::tags(text).iter().filter_map(of_tag).map(told).collect()
}

/// What a text in quotation marks reads as: `\n` and the like are blanks.
fn quoted(text: &str, span: Range<usize>) -> Vec<Glyph> {
    let written = &text[span.clone()];
    // An author may have forgotten the closing quotation mark.
    let is_closed = written.len() > 1 && written.as_bytes().first() == written.as_bytes().last();
    let mut read: Vec<Glyph> = Vec::new();
    let mut is_escaped = false;
    for glyph in glyphs(text, span.start + 1..span.end - usize::from(is_closed)) {
        match (is_escaped, glyph.c) {
            (false, '\\') => is_escaped = true,
            (true, 'n' | 'r' | 't') => {
                is_escaped = false;
                read.push(Glyph { c: ' ', ..glyph });
            }
            _ => {
                is_escaped = false;
                read.push(glyph);
            }
        }
    }
    read
}

/// Files that mdBook would put into prose: nobody has looked for numbers in them. The title of a page is read
/// as all else.
fn directives(file: &str, text: &Arc<str>, masked: &str, options: &MarkdownOptions) -> Vec<Diagnostic> {
    let code = code_blocks(masked, options);
    let in_prose = tags::mdbook_directives(text)
        .into_iter()
        .filter(|span| !code.iter().any(|code| code.contains(&span.start)));
    let error = |span: Range<usize>| {
        let inside = text[span.clone()].trim_start_matches(['{', ' ']);
        if let Some(title) = inside.strip_prefix("#title") {
            let title: Vec<_> = glyphs(text, span.end - title.len()..span.end - "}}".len()).collect();
            return in_block(file, text, &title);
        }
        let message = "a file is put into prose, where its numbers would go unseen";
        let hint = "put it into a fenced block of code, or write its words into this page";
        vec![Diagnostic::new(file, text.clone(), span, message).hint(hint)]
    };
    in_prose.flat_map(error).collect()
}

fn code_blocks(masked: &str, options: &MarkdownOptions) -> Vec<Range<usize>> {
    let events = Parser::into_offset_iter(new_cmark_parser(masked, options));
    events
        .filter(|(event, _)| matches!(event, Event::Start(Tag::CodeBlock(_))))
        .map(|(_, span)| span)
        .collect()
}

fn typed_by_hand(file: &str, text: &Arc<str>, span: Range<usize>) -> Diagnostic {
    let number = text[span.clone()].split_whitespace().collect::<Vec<_>>().join(" ");
    Diagnostic::new(file, text.clone(), span, format!("the number `{number}` was typed by hand"))
        .label("typed by hand")
        .hint("use a figure, such as `{= tank.water =}`")
        .hint(format!(
            "where it is part of a name: `{{= typed(text=\"{number}\", because=\"why it cannot change\") =}}`"
        ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The numbers found, as written.
    fn found(text: &str) -> Vec<String> {
        let errors = typed_numbers("a.md", &text.into(), &MarkdownOptions::default());
        errors
            .into_iter()
            .filter_map(|error| error.place)
            .map(|place| place.text[place.span].to_owned())
            .collect()
    }

    #[test]
    fn a_text_in_a_tag_is_told_from_a_number_there() {
        let told = |text: &str| {
            let errors = typed_numbers("a.md", &text.into(), &MarkdownOptions::default());
            errors.into_iter().map(|error| error.message).collect::<Vec<_>>()
        };
        assert_eq!(told("{= \"142\" =}"), ["a text was typed into a tag"]);
        assert_eq!(told("{= 142 =}"), ["the number `142` was typed by hand"]);
    }

    proptest! {
        /// Any text at all: no panic, and every span lies on character boundaries of the text.
        #[test]
        fn any_text_gives_valid_spans(text in r#"([ -~\n]|[é½²　–]|\{=|=\}|\{%|%\}|<!--|<p title="|\]\(|&#5|;|two |litres|\r\n|\PC){0,60}"#) {
            let text: Arc<str> = text.into();
            for error in typed_numbers("a.md", &text, &MarkdownOptions::default()) {
                let span = error.place.expect("a place").span;
                prop_assert!(text.get(span.clone()).is_some_and(|number| !number.is_empty()), "{span:?}");
            }
        }

        /// A digit written into plain words is always found.
        #[test]
        fn a_digit_among_words_is_found(before in "[a-z]{1,8}( [a-z]{1,8}){0,5}", number in "[0-9]{1,6}", after in "( [a-z]{1,8}){0,5}") {
            let text = format!("{before} {number}{after}");
            prop_assert!(found(&text).contains(&number), "{text}");
        }
    }
}
