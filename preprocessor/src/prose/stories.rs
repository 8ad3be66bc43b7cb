//! Refuses stories that are told of the reader's tank.
//!
//! The book is built again around each reader's tank. What somebody did with a pump is true of a demo tank
//! and of no other, so a sentence that names the running tank must rest on it: it prints one of its figures,
//! is held to them by a claim, or stands in a condition. A label, such as the head of a column, is no
//! sentence, and words that end with a colon rest on what comes behind them. A block that does none of these
//! names a demo tank: `{= demo.first_reef.tank.name =}`.

use std::ops::Range;
use std::sync::Arc;

use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use pulldown_cmark::{Event, Parser, Tag as Markdown};

use crate::diagnostic::Diagnostic;
use crate::prose::names::{self, Role};
use crate::prose::tags::{self, Kind, Tag};

/// The name of the running tank.
const NAME: &str = "tank.name";
/// What the ids of figures begin with that are the same whatever the running tank is.
const OF_NO_TANK: [&str; 5] = ["demo.", "rule.", "unit.", "club.", "atlas."];
/// The functions that hold words to figures or print figures.
const OF_THE_TANK: [&str; 7] = ["holds", "table", "working", "chart", "layout", "map", "timeline"];

/// One error for each block that names the running tank and rests on none of its figures, in the order of the
/// text.
pub fn stories(file: &str, text: &Arc<str>, options: &MarkdownOptions) -> Vec<Diagnostic> {
    let tags = tags::tags(text);
    let masked = tags::masked(text);
    let blocks = blocks(&masked, options);
    let mut depth = 0_usize;
    let mut errors: Vec<Diagnostic> = Vec::new();
    let mut told: Vec<&Range<usize>> = Vec::new();
    for tag in &tags {
        match (tag.kind, text[tag.body.clone()].split_whitespace().next()) {
            (Kind::Statement, Some("if")) => depth += 1,
            (Kind::Statement, Some("endif")) => depth = depth.saturating_sub(1),
            _ => {}
        }
        let Some(name) = values(text, tag).find(|(name, _)| *name == NAME).map(|(_, span)| span) else {
            continue;
        };
        let Some(block) =
            blocks.iter().rev().find(|block| block.start <= tag.span.start && tag.span.end <= block.end)
        else {
            continue;
        };
        let leads_in = masked[block.clone()].trim_end().ends_with(':');
        let behind = blocks.iter().find(|other| leads_in && other.start >= block.end);
        let rests = [Some(block), behind].into_iter().flatten().any(|block| {
            let mut inside =
                tags.iter().filter(|other| block.start <= other.span.start && other.span.end <= block.end);
            inside.any(|other| rests_on_the_tank(text, other))
        });
        if depth == 0 && !told.contains(&block) && !rests && !is_label(&masked[block.clone()]) {
            told.push(block);
            errors.push(
                Diagnostic::new(file, text.clone(), name, "a story about the reader's tank")
                    .label("true of no other tank")
                    .hint("tell it of a tank of the book, such as `{= demo.first_reef.tank.name =}`")
                    .hint("or print a figure of the tank beside its name, or put the words into a condition"),
            );
        }
    }
    errors
}

/// Whether a block holds nothing but the name: a heading, its own id aside, or the head of a column.
fn is_label(masked: &str) -> bool {
    let words = masked.split("{#").next().unwrap_or_default();
    words.trim_matches(|c: char| c == '#' || c == 'x' || c.is_whitespace()).is_empty()
}

/// Whether a tag prints or asks for a figure of the running tank beside its name.
fn rests_on_the_tank(text: &str, tag: &Tag) -> bool {
    let calls = || {
        names::uses(text, tag)
            .iter()
            .any(|found| found.role == Role::Function && OF_THE_TANK.contains(&found.name))
    };
    values(text, tag).any(|(name, _)| name != NAME && !OF_NO_TANK.iter().any(|start| name.starts_with(start)))
        || calls()
}

fn values<'t>(text: &'t str, tag: &Tag) -> impl Iterator<Item = (&'t str, Range<usize>)> {
    let values = names::uses(text, tag).into_iter().filter(|found| found.role == Role::Value);
    values.map(|found| (found.name, found.span)).collect::<Vec<_>>().into_iter()
}

/// What a reader takes as one piece: paragraphs, items, rows, the heads of columns, headings. The innermost
/// comes last.
fn blocks(masked: &str, options: &MarkdownOptions) -> Vec<Range<usize>> {
    let mut in_head = false;
    let mut blocks = Vec::new();
    for (event, span) in Parser::into_offset_iter(new_cmark_parser(masked, options)) {
        match event {
            Event::Start(Markdown::TableHead) => in_head = true,
            Event::Start(Markdown::TableRow) => {
                in_head = false;
                blocks.push(span);
            }
            Event::Start(Markdown::TableCell) if in_head => blocks.push(span),
            Event::Start(
                Markdown::Paragraph
                | Markdown::Heading { .. }
                | Markdown::Item
                | Markdown::List(_)
                | Markdown::Table(_)
                | Markdown::HtmlBlock
                | Markdown::DefinitionListTitle
                | Markdown::DefinitionListDefinition,
            ) => blocks.push(span),
            _ => {}
        }
    }
    blocks
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(text: &str) -> Vec<(usize, usize)> {
        let errors = stories("a.md", &text.into(), &MarkdownOptions::default());
        errors.into_iter().filter_map(|error| error.place).map(|place| place.line_column()).collect()
    }

    #[test]
    fn a_story_about_the_readers_tank_is_found() {
        assert_eq!(found("Once.\n\n{= tank.name =} has a pump.\n"), [(3, 4)]);
        assert_eq!(found("- {= tank.name =} here\n- {= tank.water =} there\n"), [(1, 6)]);
        assert_eq!(
            found("{= tank.name =} and {= demo.long_reef.tank.water =} and {= rule.plan.alike =}"),
            [(1, 4)]
        );
        assert_eq!(found("| a | In {= tank.name =} |\n|---|---|\n| b | {= flow.aim =} |\n"), [(1, 13)]);
        assert_eq!(found("## In {= tank.name =}\n\n{= tank.water =}\n"), [(1, 10)]);
        assert_eq!(found("Here is {= tank.name =}:\n\nIt has pumps.\n\n{= tank.water =}\n"), [(1, 12)]);
        assert_eq!(
            found("{% if fit is defined %}a{% endif %}\n\n{= tank.name =} and {= tank.name =}\n"),
            [(3, 4)]
        );
    }

    #[test]
    fn what_rests_on_the_tank_passes() {
        for text in [
            "{= tank.name =} holds {= tank.water =}.",
            "{= tank.name =} has many.{= holds(that=\"fit.count > 3\") =}",
            "{% if fit is defined %}\n\n{= tank.name =} has pumps.\n\n{% endif %}",
            "{= demo.first_reef.tank.name =} has a pump.",
            "## {= tank.name =}",
            "## {= tank.name =} {#the-tank}",
            "| a | {= tank.name =} |\n|---|---|\n| b | {= flow.aim =} |\n",
            "Here is {= tank.name =}:\n\n{= table(id=\"bands\") =}\n",
            "Here is {= tank.name =}:\n\n| a | b |\n|---|---|\n| c | {= flow.aim =} |\n",
            "{% raw %}`{= tank.name =}`{% endraw %}",
        ] {
            assert_eq!(found(text), [], "{text}");
        }
    }
}
