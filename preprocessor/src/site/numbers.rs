//! How a club's language writes numbers. The book is set with the decimal point; the figures of a finished page can be
//! given the comma. What somebody typed, a club's own words and what a source prints stay as they are.

use crate::edition::club::Numbers;
use crate::prose::html;

/// Between thousands where the comma is the decimal sign, by common practice: a narrow blank at which no line breaks.
const THOUSANDS: char = '\u{202f}';

/// The elements and the classes in which nothing but figures stands. `live.js` has the same.
const FIGURES: [&str; 2] = ["data", "svg"];
const OF_FIGURES: [&str; 4] = ["metric", "us", "reckoned", "working"];
/// What in them is for a program, or a name: `Table 12.3`.
const LITERAL: [&str; 5] = ["code", "pre", "script", "style", "textarea"];
const NAME: &str = "number";

/// A page with its figures as the club writes them. Attributes stay as they are, for they are read by programs.
pub fn written(page: String, numbers: Numbers) -> String {
    if numbers == Numbers::Point {
        return page;
    }
    let mut out = String::with_capacity(page.len());
    // The elements that are open, and whether figures stand in them.
    let mut open: Vec<(String, bool)> = Vec::new();
    let mut done = 0;
    for tag in html::tags(&page, 0..page.len()) {
        let has_figures = open.last().is_some_and(|(_, has)| *has);
        between(&page[done..tag.start], has_figures, &mut out);
        let (text, name) = (&page[tag.clone()], html::name(&page[tag.clone()]));
        if text.starts_with("</") {
            if let Some(at) = open.iter().rposition(|(of_open, _)| *of_open == name) {
                open.truncate(at);
            }
        } else if !text.ends_with("/>") && !html::VOID.contains(&name.as_str()) {
            let attributes = html::attributes(&page, tag.clone());
            let class = attributes.iter().find(|(name, _)| name == "class");
            let class = class.map_or("", |(_, value)| &page[value.clone()]);
            let has = |classes: &[&str]| class.split_whitespace().any(|class| classes.contains(&class));
            let begins = FIGURES.contains(&name.as_str()) || has(&OF_FIGURES);
            let ends = LITERAL.contains(&name.as_str()) || has(&[NAME]);
            open.push((name, (has_figures || begins) && !ends));
        }
        out.push_str(text);
        done = tag.end;
    }
    between(&page[done..], false, &mut out);
    out
}

/// What stands between two tags: text, and comments that stay as they are.
fn between(text: &str, has_figures: bool, out: &mut String) {
    if !has_figures {
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

/// A text with its numbers as the comma writes them.
fn with_commas(text: &str, out: &mut String) {
    let mut rest = text;
    while let Some(start) = rest.find(|c: char| c.is_ascii_digit()) {
        let length = rest[start..]
            .find(|c: char| !(c.is_ascii_digit() || ".,".contains(c)))
            .unwrap_or(rest.len() - start);
        let (before, number) = (&rest[..start], rest[start..start + length].trim_end_matches(['.', ',']));
        out.push_str(before);
        // Not what stands in a word, such as v1.5.
        if !before.ends_with(char::is_alphanumeric) && is_number(number) {
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
    fn figures_get_the_comma_and_nothing_else_does() {
        let page = "<p>We meet at 19.30, from 3.9. on.<br>It holds <data title=\"1.5\" value=\"1.5\">0.5 to <span class=\"us\">1,160.25 L</span></data>.</p>\
                    <code>a = 1.5</code><table class=\"reckoned\"><caption><span class=\"number\">Table 12.3</span> To 4.5 m</caption><tr><td>12,300<!--reckoner {t:1.5}-->\
                    </td><td><code>1.5</code> v1.5, 1.2.3 and 1,2,3</td></tr></table>sub-clause 415.1<svg viewBox=\"0 0 1.5 2\"><path d=\"M1.5 2\"/><text x=\"1.5\">2.5</text></svg> 2.5";
        assert_eq!(
            written(page.to_owned(), Numbers::Comma),
            page.replace("0.5 to", "0,5 to")
                .replace("1,160.25 L", "1\u{202f}160,25 L")
                .replace("To 4.5 m", "To 4,5 m")
                .replace("12,300", "12\u{202f}300")
                .replace(">2.5<", ">2,5<")
        );
        assert_eq!(written(page.to_owned(), Numbers::Point), page);
    }
}
