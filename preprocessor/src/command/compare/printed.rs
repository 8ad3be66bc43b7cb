//! A rendered page as the pieces that a change can touch: sentences, headings, cells, lines of code, and the
//! words, marks and shapes of drawings; each with where it stands and the figures in it.

use std::cell::RefCell;
use std::hash::{DefaultHasher, Hash, Hasher};

use html5ever::tokenizer::states::RawKind;
use html5ever::tokenizer::{
    BufferQueue, Tag, TagKind, Token, TokenSink, TokenSinkResult, Tokenizer, TokenizerOpts,
};
use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use pulldown_cmark::html::push_html;

/// What one page prints.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Printed {
    /// Its pieces, in the order of the page.
    pub pieces: Vec<Piece>,
    /// Its drawings, in the order of the page.
    pub drawings: Vec<Drawing>,
}

/// A sentence, heading, cell, line of code, or text of a drawing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// Where it stands, from the outside in: the heading above it or the title of its drawing; for a cell the
    /// table's caption, the head of its row and that of its column.
    pub under: Vec<String>,
    /// Its text.
    pub text: String,
    /// The ids of the figures printed in it.
    pub figures: Vec<String>,
}

/// A drawing.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Drawing {
    /// Its title.
    pub title: String,
    /// A number that stands for all its lines and places.
    pub shape: u64,
}

/// What a page prints, from the Markdown that goes to the renderer.
pub fn page(markdown: &str) -> Printed {
    let mut html = String::new();
    push_html(&mut html, new_cmark_parser(markdown, &MarkdownOptions::default()));
    let queue = BufferQueue::default();
    queue.push_back(html.as_str().into());
    let tokenizer = Tokenizer::new(Reader::default(), TokenizerOpts::default());
    while let html5ever::TokenizerResult::Script(()) = tokenizer.feed(&queue) {}
    tokenizer.end();
    let mut at = tokenizer.sink.0.into_inner();
    at.end_block();
    at.printed
}

/// The sentences of a text: each ends with its mark, before a blank and a capital or a digit.
fn sentences(text: &str) -> Vec<(usize, &str)> {
    let mut found = Vec::new();
    let mut start = 0;
    for (blank, _) in text.match_indices(' ') {
        let ends = text[..blank].trim_end_matches([')', '”', '"', '’', '\'']).ends_with(['.', '?', '!', ':']);
        let begins = text[blank + 1..].trim_start_matches(['(', '“', '"', '‘', '\'']).chars().next();
        if ends && begins.is_some_and(|first| first.is_uppercase() || first.is_numeric()) {
            found.push((start, &text[start..blank]));
            start = blank + 1;
        }
    }
    found.push((start, &text[start..]));
    found
}

/// Elements that begin or end a block of text.
const BLOCKS: [&str; 34] = [
    "address",
    "article",
    "aside",
    "blockquote",
    "br",
    "caption",
    "dd",
    "desc",
    "details",
    "div",
    "dl",
    "dt",
    "figcaption",
    "figure",
    "h1",
    "h2",
    "h3",
    "h4",
    "h5",
    "h6",
    "hr",
    "li",
    "ol",
    "p",
    "pre",
    "section",
    "summary",
    "svg",
    "table",
    "td",
    "text",
    "th",
    "title",
    "tr",
];
/// The element that stands for a line of a text in a drawing: a word ends there.
const LINE: &str = "tspan";
/// Attributes that are read to people in place of a text.
const SPOKEN: [&str; 2] = ["alt", "aria-label"];

/// A table that is being read.
#[derive(Default)]
struct Table {
    caption: String,
    heads: Vec<String>,
    is_in_head: bool,
    /// The text of the row's first cell.
    row: String,
    /// The number of the cell in its row, the first being one.
    column: usize,
}

/// Gathers the pieces of a page while its tokens come in.
#[derive(Default)]
struct Place {
    printed: Printed,
    /// The text of the block that is open, with single blanks.
    text: String,
    /// The figures in it, and where in the text each begins.
    figures: Vec<(usize, String)>,
    /// The element that opened the block.
    block: String,
    heading: String,
    tables: Vec<Table>,
    drawing: Option<(String, DefaultHasher)>,
    is_code: bool,
    /// A script or a style is open: it prints nothing, and its text is no markup.
    is_silent: bool,
}

impl Place {
    fn characters(&mut self, text: &str) {
        for c in text.chars() {
            match c {
                '\n' if self.is_code => self.end_block(),
                c if c.is_ascii_whitespace() => self.blank(),
                c => self.text.push(c),
            }
        }
    }

    fn blank(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with(' ') {
            self.text.push(' ');
        }
    }

    fn tag(&mut self, tag: &Tag) {
        let (name, opens) = (&*tag.name, tag.kind == TagKind::StartTag);
        if BLOCKS.contains(&name) {
            self.end_block();
            // A break leaves its block open.
            if name != "br" {
                self.block = if opens { name.to_owned() } else { String::new() };
            }
        }
        if name == LINE {
            self.blank();
        }
        match (name, opens) {
            ("svg", true) => self.drawing = Some(Default::default()),
            ("svg", false) => {
                if let Some((title, shape)) = self.drawing.take() {
                    self.printed.drawings.push(Drawing { title, shape: shape.finish() });
                }
            }
            ("pre", opens) => self.is_code = opens,
            ("table", true) => self.tables.push(Table::default()),
            ("table", false) => drop(self.tables.pop()),
            ("thead" | "tr" | "td" | "th", opens) => {
                if let Some(table) = self.tables.last_mut() {
                    table.tag(
                        name,
                        opens,
                        attribute(tag, "colspan").and_then(|columns| columns.parse().ok()),
                    );
                }
            }
            ("data", true) => {
                let at = self.text.len();
                self.figures.extend(attribute(tag, "data-figure").map(|id| (at, id)));
            }
            _ => {}
        }
        for attribute in tag.attrs.iter().filter(|_| opens) {
            let (key, value) = (&*attribute.name.local, attribute.value.to_string());
            if SPOKEN.contains(&key) {
                let piece =
                    Piece { under: self.under(), text: value.replace('\u{a0}', " "), figures: Vec::new() };
                self.printed.pieces.push(piece);
            } else if let Some((_, shape)) = &mut self.drawing
                // Addresses are not drawn.
                && key != "id"
                && !key.starts_with("aria-")
            {
                (name, key, value).hash(shape);
            }
        }
    }

    fn end_block(&mut self) {
        let text = std::mem::take(&mut self.text);
        let text = text.trim_end();
        let figures = std::mem::take(&mut self.figures);
        if text.is_empty() {
            return;
        }
        let plain = text.replace('\u{a0}', " ");
        let mut under = self.under();
        match (self.block.as_str(), self.tables.last_mut(), &mut self.drawing) {
            ("h1" | "h2" | "h3" | "h4" | "h5" | "h6", ..) => {
                self.heading = plain;
                under.clear();
            }
            ("title", _, Some((title, _))) => *title = plain,
            ("caption", Some(table), _) => table.caption = plain,
            ("td" | "th", Some(table), _) if table.is_in_head => {
                if let Some(head) = table.heads.last_mut() {
                    *head = plain;
                }
            }
            ("td" | "th", Some(table), _) if table.column == 1 && table.row.is_empty() => table.row = plain,
            _ => {}
        }
        for (start, sentence) in sentences(text) {
            let is_inside = |(at, _): &&(usize, String)| (start..=start + sentence.len()).contains(at);
            let figures = figures.iter().filter(is_inside).map(|(_, id)| id.clone()).collect();
            self.printed.pieces.push(Piece {
                under: under.clone(),
                text: sentence.replace('\u{a0}', " "),
                figures,
            });
        }
    }

    fn under(&self) -> Vec<String> {
        let places = match (&self.drawing, self.tables.last()) {
            (Some((title, _)), _) => vec![title.clone()],
            (None, Some(table)) => table.place(&self.heading),
            (None, None) => vec![self.heading.clone()],
        };
        places.into_iter().filter(|place| !place.is_empty()).collect()
    }
}

impl Table {
    fn tag(&mut self, name: &str, opens: bool, columns: Option<usize>) {
        match (name, opens) {
            ("thead", opens) => self.is_in_head = opens,
            ("tr", true) => {
                self.column = 0;
                self.row.clear();
            }
            ("td" | "th", true) => {
                let columns = columns.unwrap_or(1);
                self.column += columns;
                if self.is_in_head {
                    self.heads.resize(self.heads.len() + columns, String::new());
                }
            }
            _ => {}
        }
    }

    fn place(&self, heading: &str) -> Vec<String> {
        let table = if self.caption.is_empty() { heading } else { &self.caption };
        let column =
            self.column.checked_sub(1).and_then(|column| self.heads.get(column)).filter(|_| !self.is_in_head);
        let row = if self.column > 1 { self.row.clone() } else { String::new() };
        vec![table.to_owned(), row, column.cloned().unwrap_or_default()]
    }
}

fn attribute(tag: &Tag, name: &str) -> Option<String> {
    tag.attrs
        .iter()
        .find(|attribute| &*attribute.name.local == name)
        .map(|attribute| attribute.value.to_string())
}

#[derive(Default)]
struct Reader(RefCell<Place>);

impl TokenSink for Reader {
    type Handle = ();

    fn process_token(&self, token: Token, _line: u64) -> TokenSinkResult<()> {
        let mut place = self.0.borrow_mut();
        match token {
            Token::CharacterTokens(text) if !place.is_silent => place.characters(&text),
            Token::TagToken(tag) => {
                place.is_silent = tag.kind == TagKind::StartTag && ["script", "style"].contains(&&*tag.name);
                if place.is_silent {
                    return TokenSinkResult::RawData(RawKind::Rawtext);
                }
                place.tag(&tag);
            }
            _ => {}
        }
        TokenSinkResult::Continue
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(markdown: &str) -> Vec<String> {
        let pieces = page(markdown).pieces.into_iter();
        pieces
            .map(|piece| format!("{}: {} {}", piece.under.join(" > "), piece.text, piece.figures.join(" ")))
            .collect()
    }

    #[test]
    fn sentences_end_where_a_new_one_begins() {
        let figure = "<data class=\"figure\" data-figure=\"a.b\">2.5\u{a0}L</data>";
        let text =
            format!("# Flow\n\nIt holds {figure} of\nwater, i.e. little. “Much?” Yes.\n\n- one\n- *t*wo\n");
        let want = [
            ": Flow ",
            "Flow: It holds 2.5 L of water, i.e. little. a.b",
            "Flow: “Much?” ",
            "Flow: Yes. ",
            "Flow: one ",
            "Flow: two ",
        ];
        assert_eq!(told(&text), want);
    }

    #[test]
    fn a_cell_stands_in_its_row_and_column() {
        let markdown = "## Bands\n\n| Kind | Low | High |\n| --- | --- | --- |\n| Soft | 1 | 2 |\n";
        let want = [
            ": Bands ",
            "Bands: Kind ",
            "Bands: Low ",
            "Bands: High ",
            "Bands > Kind: Soft ",
            "Bands > Soft > Low: 1 ",
            "Bands > Soft > High: 2 ",
        ];
        assert_eq!(told(markdown), want);
        let html = "<table><caption>All</caption><thead><tr><th></th><th>L</th></tr></thead><tr><th>S<br>s.x</th><td>1 &lt; 2</td></tr></table>";
        assert_eq!(told(html), [": All ", "All: L ", "All: S ", "All: s.x ", "All > S > L: 1 < 2 "]);
    }

    #[test]
    fn drawings_have_words_and_a_shape() {
        let drawing = |y: &str, id: &str| {
            format!(
                "<svg id=\"{id}\"><title id=\"{id}-t\">Speed</title><path d=\"M 0 {y}\"/><text x=\"1\"><tspan>20</tspan><tspan>L</tspan></text></svg>\n"
            )
        };
        assert_eq!(told(&drawing("1", "a")), [": Speed ", "Speed: 20 L "]);
        let shape = |y: &str, id: &str| page(&drawing(y, id)).drawings;
        assert_eq!(shape("1", "a")[0].title, "Speed");
        assert_eq!(shape("1", "a"), shape("1", "b"));
        assert_ne!(shape("1", "a"), shape("2", "a"));
    }

    #[test]
    fn code_is_read_line_by_line_and_scripts_are_not_read() {
        let markdown = "```toml\nx = 1\ny = \"<b>\"\n```\n\n<script>x</script><style>y</style>\n\n<img src=\"a.png\" alt=\"A pump\">\n";
        assert_eq!(told(markdown), [": x = 1 ", ": y = \"<b>\" ", ": A pump "]);
    }
}
