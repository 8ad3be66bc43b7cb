//! A rendered page as the plain text that a reader sees, block by block, with the figures printed in each.

use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use pulldown_cmark::{Event, Tag, TagEnd};
use reckoner_calc::quantity::System;

/// A paragraph, list item, table cell or heading.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Block {
    pieces: Vec<(Seen, String)>,
    /// The ids of the figures printed in it, in their order.
    pub figures: Vec<String>,
}

/// Who sees a piece of text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Seen {
    ByAll,
    In(System),
    /// What stands between two readings: seen only beside both.
    BesideBoth,
}

impl Block {
    /// The text with both readings of each figure, as the page prints it.
    pub fn text(&self) -> String {
        self.seen(|_| true)
    }

    /// The text as a reader of one system only sees it.
    pub fn in_system(&self, system: System) -> String {
        self.seen(|seen| seen == Seen::ByAll || seen == Seen::In(system))
    }

    fn seen(&self, by: impl Fn(Seen) -> bool) -> String {
        let whole: String =
            self.pieces.iter().filter(|(seen, _)| by(*seen)).map(|(_, text)| text.as_str()).collect();
        // No-break spaces stay: they hold a number and its unit together.
        whole.split_ascii_whitespace().collect::<Vec<_>>().join(" ")
    }
}

/// The blocks of a rendered page. Code is left out.
pub fn blocks(markdown: &str) -> Vec<Block> {
    let mut reader = Reader::default();
    let mut in_code = false;
    for event in new_cmark_parser(markdown, &MarkdownOptions::default()) {
        match event {
            Event::Start(Tag::CodeBlock(_)) => in_code = true,
            Event::End(TagEnd::CodeBlock) => in_code = false,
            Event::Text(text) if !in_code => reader.text(&text),
            Event::Html(html) | Event::InlineHtml(html) => reader.html(&html),
            Event::SoftBreak | Event::HardBreak => reader.text(" "),
            Event::End(
                TagEnd::Paragraph
                | TagEnd::Heading(_)
                | TagEnd::Item
                | TagEnd::TableCell
                | TagEnd::DefinitionListTitle
                | TagEnd::DefinitionListDefinition
                | TagEnd::HtmlBlock,
            ) => reader.end_block(),
            _ => {}
        }
    }
    reader.end_block();
    reader.blocks
}

/// Elements that end a block of text.
const BLOCKS: &[&str] = &[
    "p",
    "div",
    "section",
    "ul",
    "ol",
    "li",
    "dl",
    "dt",
    "dd",
    "table",
    "caption",
    "tr",
    "th",
    "td",
    "figure",
    "figcaption",
    "br",
];
/// Elements whose text is no prose.
const SILENT: &[&str] = &["svg", "math", "style", "script"];
/// What nobody reads.
const COMMENT: (&str, &str) = ("<!--", "-->");
/// Elements that can say by their class who sees their text.
const MARKED: &[&str] = &["span", "p"];

#[derive(Default)]
struct Reader {
    blocks: Vec<Block>,
    block: Block,
    /// Who sees the text of each open marked element.
    open: Vec<Seen>,
    /// How many silent elements are open.
    silent: usize,
    /// A tag whose end comes with the next piece of HTML.
    unfinished: String,
}

impl Reader {
    fn text(&mut self, text: &str) {
        if self.silent == 0 {
            let seen =
                self.open.iter().rev().copied().find(|seen| *seen != Seen::ByAll).unwrap_or(Seen::ByAll);
            self.block.pieces.push((seen, text.to_owned()));
        }
    }

    fn html(&mut self, html: &str) {
        let joined = std::mem::take(&mut self.unfinished) + html;
        let mut rest = joined.as_str();
        while let Some(start) = rest.find('<') {
            self.decoded(&rest[..start]);
            let is_comment = rest[start..].starts_with(COMMENT.0);
            let close = if is_comment { COMMENT.1 } else { ">" };
            let Some(end) = rest[start..].find(close).map(|end| start + end) else {
                self.unfinished = rest[start..].to_owned();
                return;
            };
            if !is_comment {
                self.tag(&rest[start + 1..end]);
            }
            rest = &rest[end + close.len()..];
        }
        self.decoded(rest);
    }

    fn decoded(&mut self, text: &str) {
        if !text.is_empty() {
            let named = text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"");
            self.text(&by_number(&named).replace("&amp;", "&"));
        }
    }

    fn tag(&mut self, tag: &str) {
        let closing = tag.starts_with('/');
        let name = tag
            .trim_start_matches('/')
            .split(|c: char| !c.is_ascii_alphanumeric())
            .next()
            .unwrap_or_default();
        if BLOCKS.contains(&name) {
            self.end_block();
        }
        if SILENT.contains(&name) && !tag.ends_with('/') {
            self.silent = if closing { self.silent.saturating_sub(1) } else { self.silent + 1 };
        }
        if MARKED.contains(&name) {
            if closing {
                self.open.pop();
            } else {
                self.open.push(seen_by_class(attribute(tag, "class").unwrap_or_default()));
            }
        }
        if name == "data" && !closing {
            self.block.figures.extend(attribute(tag, "data-figure").map(str::to_owned));
        }
    }

    fn end_block(&mut self) {
        let block = std::mem::take(&mut self.block);
        if !block.text().is_empty() {
            self.blocks.push(block);
        }
    }
}

/// A text with the characters that are written by their numbers.
fn by_number(text: &str) -> String {
    let mut parts = text.split("&#");
    let mut out = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let written = part
            .split_once(';')
            .and_then(|(number, rest)| Some((char::from_u32(number.parse().ok()?)?, rest)));
        match written {
            Some((c, rest)) => {
                out.push(c);
                out.push_str(rest);
            }
            None => {
                out.push_str("&#");
                out.push_str(part);
            }
        }
    }
    out
}

fn seen_by_class(classes: &str) -> Seen {
    classes
        .split(' ')
        .find_map(|class| match class {
            "metric" => Some(Seen::In(System::Metric)),
            "us" => Some(Seen::In(System::Us)),
            "both" => Some(Seen::BesideBoth),
            _ => None,
        })
        .unwrap_or(Seen::ByAll)
}

fn attribute<'t>(tag: &'t str, name: &str) -> Option<&'t str> {
    let from = tag.find(&format!("{name}=\""))? + name.len() + 2;
    Some(&tag[from..from + tag[from..].find('"')?])
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAGE: &str = "# Flow\n\nIt holds <data class=\"figure\" data-figure=\"tank.water\"><span class=\"metric\">142\u{a0}L</span><span class=\"both\"> \
                        (</span><span class=\"us\">37\u{a0}US\u{a0}gal</span><span class=\"both\">)</span></data> of\nwater.\n\n```toml\nx = 1\n```\n\n\
                        <dl><!-- <p>37\n</p> --><dd><p class=\"sum us\">37 × 2 = 74</p></dd><dd>a &lt; b &#124; &#91;c&#93; &#; &#x</dd></dl>\n\n- one\n- two\n";

    #[test]
    fn a_page_is_cut_into_what_people_read() {
        let texts: Vec<_> = blocks(PAGE).iter().map(Block::text).collect();
        assert_eq!(
            texts,
            [
                "Flow",
                "It holds 142\u{a0}L (37\u{a0}US\u{a0}gal) of water.",
                "37 × 2 = 74",
                "a < b | [c] &#; &#x",
                "one",
                "two"
            ]
        );
        assert_eq!(blocks(PAGE)[1].figures, ["tank.water"]);
    }

    #[test]
    fn a_reader_of_one_system_sees_no_brackets() {
        let seen = |system| blocks(PAGE).iter().map(|block| block.in_system(system)).collect::<Vec<_>>();
        assert_eq!(seen(System::Metric)[1..3], ["It holds 142\u{a0}L of water.", ""]);
        assert_eq!(seen(System::Us)[1..3], ["It holds 37\u{a0}US\u{a0}gal of water.", "37 × 2 = 74"]);
    }
}
