//! How a club's language writes numbers. The book is set with the decimal point; a finished page can be given the comma.

use crate::edition::club::Numbers;
use crate::prose::html;

/// Between thousands where the comma is the decimal sign, as ISO 80000-1 has it: a narrow blank at which no line breaks.
const THOUSANDS: char = '\u{202f}';

/// What stands in these is for a program, or is typed as it stands.
const LITERAL: [&str; 5] = ["code", "pre", "script", "style", "textarea"];

/// What stands before a number that is a name: `Table 12.3`.
const NAMES: [&str; 3] = ["Table", "Figure", "Edition"];

/// A page with its numbers as the club writes them. Attributes stay as they are, for they are read by programs.
pub fn written(page: String, numbers: Numbers) -> String {
    if numbers == Numbers::Point {
        return page;
    }
    let mut out = String::with_capacity(page.len());
    let mut literal = 0_usize;
    let mut done = 0;
    for tag in html::tags(&page, 0..page.len()) {
        between(&page[done..tag.start], literal > 0, &mut out);
        let tag_text = &page[tag.clone()];
        if LITERAL.contains(&html::name(tag_text).as_str()) && !tag_text.ends_with("/>") {
            literal = if tag_text.starts_with("</") { literal.saturating_sub(1) } else { literal + 1 };
        }
        out.push_str(tag_text);
        done = tag.end;
    }
    between(&page[done..], literal > 0, &mut out);
    out
}

/// What stands between two tags: text, and comments that stay as they are.
fn between(text: &str, is_literal: bool, out: &mut String) {
    if is_literal {
        out.push_str(text);
        return;
    }
    let mut rest = text;
    while let Some((before, comment)) = rest.split_once("<!--") {
        with_commas(before, out);
        let (comment, behind) = comment.split_once("-->").unwrap_or((comment, ""));
        out.push_str("<!--");
        out.push_str(comment);
        out.push_str("-->");
        rest = behind;
    }
    with_commas(rest, out);
}

/// A text with its numbers as the comma writes them. `live.js` does the same with what it reckons.
fn with_commas(text: &str, out: &mut String) {
    let mut rest = text;
    while let Some(start) = rest.find(|c: char| c.is_ascii_digit()) {
        let length = rest[start..]
            .find(|c: char| !(c.is_ascii_digit() || ".,".contains(c)))
            .unwrap_or(rest.len() - start);
        let (before, number) = (&rest[..start], rest[start..start + length].trim_end_matches(['.', ',']));
        out.push_str(before);
        let is_name = before.ends_with(char::is_alphanumeric)
            || NAMES.iter().any(|name| before.trim_end().ends_with(name));
        if !is_name && is_number(number) {
            out.extend(number.chars().map(|c| match c {
                ',' => THOUSANDS,
                '.' => ',',
                digit => digit,
            }));
        } else {
            out.push_str(number);
        }
        rest = &rest[start + number.len()..];
    }
    out.push_str(rest);
}

/// Whether this is one number: its thousands are three digits each, and it has one point at the most.
fn is_number(text: &str) -> bool {
    let (whole, decimals) = text.split_once('.').map_or((text, None), |(whole, rest)| (whole, Some(rest)));
    let mut groups = whole.split(',');
    let first = groups.next().unwrap_or_default();
    let groups: Vec<_> = groups.collect();
    let is_grouped = groups.iter().all(|group| group.len() == 3) && (groups.is_empty() || first.len() <= 3);
    is_grouped && decimals.is_none_or(|decimals| !decimals.is_empty() && !decimals.contains(['.', ',']))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_get_the_comma_and_nothing_else_does() {
        let page = "<p title=\"1.5\">It holds 0.5 to 1,160.25 L. In 2012, 3 pumps, v1.5, 1.2.3, 1,2,3 and Table\u{a0}12.3.</p>\
                    <code>a = 1.5</code><!--reckoner {t:1.5}--><td>12,300</td><style>a{b:1.5}</style><text x=\"1.5\">2.5</text>";
        assert_eq!(
            written(page.to_owned(), Numbers::Comma),
            "<p title=\"1.5\">It holds 0,5 to 1\u{202f}160,25 L. In 2012, 3 pumps, v1.5, 1.2.3, 1,2,3 and Table\u{a0}12.3.</p>\
             <code>a = 1.5</code><!--reckoner {t:1.5}--><td>12\u{202f}300</td><style>a{b:1.5}</style><text x=\"1.5\">2,5</text>"
        );
        assert_eq!(written(page.to_owned(), Numbers::Point), page);
    }
}
