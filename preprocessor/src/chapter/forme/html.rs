//! A block of a page as mdBook writes it in HTML, for the page to carry.

use std::collections::HashSet;

use pulldown_cmark::{Alignment, CodeBlockKind, Event, LinkType, Tag, TagEnd};
use reckoner_page::passage::{Block, Kind, Piece};
use reckoner_page::text::MARK;

use crate::chapter::forme::Fault;
use crate::chapter::forme::frames::{Events, Frame, Frames, is_block_end};
use crate::chapter::forme::marks::Mark;

/// Writes a block at the top.
pub(super) fn block(
    text: &str,
    marks: &[Mark],
    events: &Events<'_>,
    ids: &mut Ids,
    faults: &mut Vec<Fault>,
) -> Option<Block> {
    let near = text[events[0].1.clone()].split(MARK).step_by(2).collect::<Vec<_>>().join(" ");
    let mut writer = Writer {
        frames: Frames::new(marks),
        marks,
        ids,
        near,
        columns: Vec::new(),
        column: 0,
        is_head: false,
        is_code: false,
    };
    for (at, (event, _)) in events.iter().enumerate() {
        writer.frames.close_entry(event);
        match event {
            Event::Start(tag) => writer.start(tag, &events[at..]),
            Event::End(tag) => writer.end(tag),
            Event::Text(text) => {
                writer.refuse_in_code(writer.is_code, text);
                writer.frames.put(text, &written);
            }
            Event::Code(code) => {
                writer.refuse_in_code(true, code);
                writer.put(&format!("<code>{}</code>", written(code)));
            }
            Event::Html(html) | Event::InlineHtml(html) => writer.frames.put(html, &without_braces),
            Event::SoftBreak => writer.put("\n"),
            Event::HardBreak => writer.put("<br>"),
            Event::Rule => {
                writer.frames.open(Frame::new(Kind::Words, "", ""));
                writer.put("<hr>");
                writer.frames.close();
            }
            Event::FootnoteReference(_) => writer.refuse("words with a footnote"),
            Event::TaskListMarker(_) => writer.refuse("a list of tasks"),
            Event::InlineMath(_) | Event::DisplayMath(_) => writer.refuse("a formula"),
        }
    }
    writer.frames.done(faults)
}

struct Writer<'w> {
    frames: Frames<'w>,
    marks: &'w [Mark],
    ids: &'w mut Ids,
    /// The words of the block, to be looked for where they were written.
    near: String,
    /// Of the table that is written: the sides of its columns, the column that comes next, and whether it is
    /// in the head.
    columns: Vec<Alignment>,
    column: usize,
    is_head: bool,
    /// Whether it is in a block of code.
    is_code: bool,
}

impl Writer<'_> {
    fn open(&mut self, kind: Kind, opening: impl Into<String>, closing: impl Into<String>) {
        self.frames.open(Frame::new(kind, opening, closing));
    }

    fn put(&mut self, html: &str) {
        self.frames.last().into_iter().for_each(|frame| frame.pieces.push(Piece::Text(html.to_owned())));
    }

    fn refuse(&mut self, what: &str) {
        let message = format!("{what} can not depend on the tank");
        let hint = "say it in a sentence, a list or a table".to_owned();
        self.frames.fault(Fault { statement: None, near: self.near.clone(), message, hint });
    }

    fn refuse_in_code(&mut self, is_code: bool, text: &str) {
        if is_code && text.contains(MARK) {
            self.refuse("code");
        }
    }

    /// Writes what the first of some events begins.
    fn start(&mut self, tag: &Tag<'_>, events: &Events<'_>) {
        match tag {
            // A part stands in no paragraph.
            Tag::Paragraph if self.is_part(events) => self.open(Kind::Words, "", ""),
            Tag::Paragraph => self.open(Kind::Words, "<p>", "</p>"),
            Tag::HtmlBlock => self.open(Kind::Words, "", ""),
            Tag::CodeBlock(code) => {
                self.is_code = true;
                let language = match code {
                    CodeBlockKind::Fenced(info) => info.split([' ', '\t', ',']).find(|word| !word.is_empty()),
                    CodeBlockKind::Indented => None,
                };
                let class = language
                    .map(|language| format!(" class=\"language-{}\"", written(language)))
                    .unwrap_or_default();
                self.open(Kind::Words, format!("<pre><code{class}>"), "</code></pre>");
            }
            Tag::Heading { level, id, .. } => {
                self.open_linked(&level.to_string(), Kind::Heading, id.as_deref(), events)
            }
            Tag::List(None) => self.open(Kind::Whole, "<ul>", "</ul>"),
            Tag::List(Some(1)) => self.open(Kind::Whole, "<ol>", "</ol>"),
            Tag::List(Some(start)) => self.open(Kind::Whole, format!("<ol start=\"{start}\">"), "</ol>"),
            Tag::Item => self.open(Kind::Part, "<li>", "</li>"),
            Tag::Table(columns) => {
                self.columns.clone_from(columns);
                self.open(Kind::Whole, "<div class=\"table-wrapper\"><table>", "</tbody></table></div>");
            }
            Tag::TableHead => {
                (self.is_head, self.column) = (true, 0);
                self.open(Kind::Other, "<thead><tr>", "</tr></thead><tbody>");
            }
            Tag::TableRow => {
                (self.is_head, self.column) = (false, 0);
                self.open(Kind::Part, "<tr>", "</tr>");
            }
            Tag::TableCell => {
                let side = match self.columns.get(self.column) {
                    Some(Alignment::Left) => " style=\"text-align: left\"",
                    Some(Alignment::Center) => " style=\"text-align: center\"",
                    Some(Alignment::Right) => " style=\"text-align: right\"",
                    Some(Alignment::None) | None => "",
                };
                self.column += 1;
                let name = if self.is_head { "th" } else { "td" };
                self.open(Kind::Other, format!("<{name}{side}>"), format!("</{name}>"));
            }
            Tag::DefinitionList => self.open(Kind::Whole, "<dl>", "</dl>"),
            Tag::DefinitionListTitle => {
                self.frames.open(Frame { is_entry: true, ..Frame::new(Kind::Part, "", "") });
                self.open_linked("dt", Kind::Other, None, events);
            }
            Tag::DefinitionListDefinition => self.open(Kind::Other, "<dd>", "</dd>"),
            Tag::BlockQuote(kind) => {
                if kind.is_some() {
                    self.refuse("a note");
                }
                self.open(Kind::Other, "<blockquote>", "</blockquote>");
            }
            Tag::FootnoteDefinition(_) => {
                self.refuse("a footnote");
                self.open(Kind::Other, "", "");
            }
            Tag::Link { link_type, dest_url, title, .. } => {
                let address = if *link_type == LinkType::Email {
                    format!("mailto:{dest_url}")
                } else {
                    of_page(dest_url)
                };
                let title =
                    if title.is_empty() { String::new() } else { format!(" title=\"{}\"", written(title)) };
                self.put(&format!("<a href=\"{}\"{title}>", written(&address)));
                self.deepen(1);
            }
            Tag::Image { .. } => {
                self.refuse("words with a picture");
                self.deepen(1);
            }
            other => {
                self.put(&format!("<{}>", element(&other.to_end())));
                self.deepen(1);
            }
        }
    }

    fn end(&mut self, tag: &TagEnd) {
        if is_block_end(tag) {
            self.is_code = false;
            self.frames.close();
            return;
        }
        self.deepen(-1);
        if !matches!(tag, TagEnd::Image) {
            self.put(&format!("</{}>", element(tag)));
        }
    }

    /// One element more, or less, is open in the line.
    fn deepen(&mut self, by: isize) {
        self.frames.last().into_iter().for_each(|frame| frame.depth = frame.depth.saturating_add_signed(by));
    }

    /// Opens a heading or a word of a glossary, which links to itself.
    fn open_linked(&mut self, name: &str, kind: Kind, id: Option<&str>, events: &Events<'_>) {
        let words = words_of(events);
        if id.is_none() && words.contains(MARK) {
            self.frames.fault(Fault {
                statement: None,
                near: self.near.clone(),
                message: "a heading that depends on the tank has no id of its own".to_owned(),
                hint: "write one behind it, such as `{#the-tank}`: links to it must not depend on the tank"
                    .to_owned(),
            });
        }
        let id = written(&id.map_or_else(|| self.ids.next(&words), str::to_owned));
        self.open(
            kind,
            format!("<{name} id=\"{id}\"><a class=\"header\" href=\"#{id}\">"),
            format!("</a></{name}>"),
        );
    }

    /// Whether a paragraph holds nothing but a part that is no figure.
    fn is_part(&self, events: &Events<'_>) -> bool {
        let words = words_of(events);
        let inside = words.trim().strip_prefix(MARK).and_then(|inside| inside.strip_suffix(MARK));
        let mark =
            inside.and_then(|number| number.parse::<usize>().ok()).and_then(|number| self.marks.get(number));
        matches!(mark, Some(Mark::Piece(Piece::Gap(key))) if !key.starts_with("f:"))
    }
}

/// The text up to the end of what the first event begins.
fn words_of(events: &Events<'_>) -> String {
    let (mut words, mut depth) = (String::new(), 0_usize);
    for (event, _) in events {
        match event {
            Event::Start(_) => depth += 1,
            Event::End(_) => depth -= 1,
            Event::Text(text) | Event::Code(text) => words.push_str(text),
            // An element of HTML is no part by itself.
            Event::InlineHtml(html) => words.push_str(if html.contains(MARK) { html } else { "" }),
            Event::SoftBreak => words.push('\n'),
            _ => {}
        }
        if depth == 0 {
            break;
        }
    }
    words
}

/// The element of something that stands in a line.
fn element(tag: &TagEnd) -> &'static str {
    match tag {
        TagEnd::Link => "a",
        TagEnd::Emphasis => "em",
        TagEnd::Strong => "strong",
        TagEnd::Strikethrough => "del",
        TagEnd::Superscript => "sup",
        TagEnd::Subscript => "sub",
        _ => "span",
    }
}

/// Words as HTML, with no brace in them.
fn written(words: &str) -> String {
    without_braces(
        &words.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;"),
    )
}

fn without_braces(html: &str) -> String {
    html.replace('{', "&#123;").replace('}', "&#125;")
}

/// The address of a page, for that of its chapter.
fn of_page(address: &str) -> String {
    let leaves = address
        .split_once(':')
        .is_some_and(|(scheme, _)| scheme.chars().all(|c| c.is_ascii_alphanumeric() || "+.-".contains(c)));
    let (chapter, anchor) = address.find('#').map_or((address, ""), |at| address.split_at(at));
    match chapter.strip_suffix(".md") {
        Some(stem) if !leaves => format!("{stem}.html{anchor}"),
        _ => address.to_owned(),
    }
}

/// The ids that mdBook gives to headings and to the words of a glossary.
#[derive(Default)]
pub(super) struct Ids(HashSet<String>);

impl Ids {
    /// That of the next one that has none of its own.
    fn next(&mut self, words: &str) -> String {
        let id: String = words
            .trim()
            .to_lowercase()
            .chars()
            .filter_map(|c| match c {
                c if c.is_alphanumeric() || matches!(c, '_' | '-') => Some(c),
                c if c.is_whitespace() => Some('-'),
                _ => None,
            })
            .collect();
        let others = (1..).map(|count| format!("{id}-{count}"));
        let free = std::iter::once(id.clone()).chain(others).find(|id| !self.0.contains(id)).unwrap_or(id);
        self.0.insert(free.clone());
        free
    }

    /// Passes the headings of a block that mdBook writes.
    pub(super) fn pass(&mut self, events: &Events<'_>) {
        for (at, (event, _)) in events.iter().enumerate() {
            if matches!(event, Event::Start(Tag::Heading { id: None, .. } | Tag::DefinitionListTitle)) {
                self.next(&words_of(&events[at..]));
            }
        }
    }
}
