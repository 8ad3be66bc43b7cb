//! Refuses HTML whose tags do not match: mdBook mends it as it can, and only warns.

use std::ops::Range;
use std::sync::Arc;

use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use pulldown_cmark::{Event, Parser, Tag, TagEnd};

use crate::diagnostic::Diagnostic;
use crate::prose::{html, tags};

/// What is open: something of Markdown's, or a tag.
enum Open {
    Markdown,
    Tag { name: String, span: Range<usize> },
}

/// One error for each tag without its counterpart, in the order of the text. Template tags are not looked
/// into, so a text that opens an element in each of two branches has to be looked at when it is rendered.
pub fn unmatched(file: &str, text: &Arc<str>, options: &MarkdownOptions) -> Vec<Diagnostic> {
    let masked = tags::masked(text);
    let mut open: Vec<Open> = Vec::new();
    let mut errors = Vec::new();
    let error = |span: Range<usize>, message: String, hint: String| {
        Diagnostic::new(file, text.clone(), span, message).hint(hint)
    };
    let unclosed = |name: &str, span: Range<usize>| {
        let hint = format!("write `</{name}>` before the end of the paragraph, item or cell that holds it");
        error(span, format!("the tag `<{name}>` is not closed"), hint)
    };
    for (event, span) in Parser::into_offset_iter(new_cmark_parser(&masked, options)) {
        match event {
            Event::InlineHtml(_) | Event::Start(Tag::HtmlBlock) => {
                for tag in html::tags(&masked, span) {
                    let written = &masked[tag.clone()];
                    let name = html::name(written);
                    if !written.starts_with("</") {
                        let is_element = written[1..].starts_with(|c: char| c.is_ascii_alphabetic());
                        if is_element && !written.ends_with("/>") && !html::VOID.contains(&name.as_str()) {
                            open.push(Open::Tag { name, span: tag });
                        }
                        continue;
                    }
                    match open.last() {
                        Some(Open::Tag { name: last, .. }) if *last == name => _ = open.pop(),
                        Some(Open::Tag { name: last, .. }) => {
                            let hint = format!("`<{last}>` was opened last: close it first");
                            errors.push(error(tag, format!("`</{name}>` does not close the last tag"), hint));
                        }
                        _ => {
                            let hint =
                                "take it out, or open it in the same paragraph, item or cell".to_owned();
                            errors.push(error(tag, format!("`</{name}>` closes nothing"), hint));
                        }
                    }
                }
            }
            Event::End(TagEnd::HtmlBlock) => {}
            Event::Start(_) => open.push(Open::Markdown),
            Event::End(_) => {
                while let Some(Open::Tag { name, span }) = open.pop() {
                    errors.push(unclosed(&name, span));
                }
            }
            _ => {}
        }
    }
    for open in open {
        if let Open::Tag { name, span } = open {
            errors.push(unclosed(&name, span));
        }
    }
    errors.sort_by_key(|error| error.place.as_ref().map(|place| place.span.start));
    errors
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(text: &str) -> Vec<(usize, usize, String)> {
        let errors = unmatched("a.md", &text.into(), &MarkdownOptions::default());
        let place = |error: Diagnostic| {
            let (line, column) = error.place.unwrap().line_column();
            (line, column, error.message)
        };
        errors.into_iter().map(place).collect()
    }

    #[test]
    fn tags_that_match_pass() {
        for text in [
            "a <b>c</b> <br> <img src=\"d\"> <svg/> <!-- <i> -->",
            "<div>\n\na\n\n- b <span>c</span>\n\n</div>\n",
            "`<b>` {= mark() =}\n\n```html\n<b>\n```\n",
            "<svg><style>a > b</style><path d=\"M1\"/></svg>",
            "1 < 2 and <https://example.org>",
        ] {
            assert_eq!(found(text), [], "{text}");
        }
    }

    #[test]
    fn tags_without_counterpart_are_found_at_their_places() {
        let message = |line, column, message: &str| (line, column, message.to_owned());
        assert_eq!(
            found("a\n\nb <b>c\n\nd</b>"),
            [message(3, 3, "the tag `<b>` is not closed"), message(5, 2, "`</b>` closes nothing"),]
        );
        assert_eq!(
            found("<b><i>a</b></i>"),
            [
                message(1, 1, "the tag `<b>` is not closed"),
                message(1, 8, "`</b>` does not close the last tag"),
            ]
        );
        assert_eq!(
            found("<div>\n\n| a |\n|---|\n| <u>b |\n"),
            [message(1, 1, "the tag `<div>` is not closed"), message(5, 3, "the tag `<u>` is not closed"),]
        );
    }
}
