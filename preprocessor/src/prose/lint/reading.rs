//! Reads a chapter as a reader does: which characters stand in one go, and where each is written.

use std::ops::Range;

use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use pulldown_cmark::{Event, LinkType, Parser, Tag, TagEnd};

use crate::prose::html;
use crate::prose::lint::glyph::{FIGURE, Glyph, glyphs};
use crate::prose::lint::numbers::is_number;
use crate::prose::tags::{self, Kind};

/// Attributes that a reader sees or hears.
const READABLE_ATTRIBUTES: [&str; 11] = [
    "alt",
    "aria-description",
    "aria-label",
    "aria-placeholder",
    "aria-roledescription",
    "aria-valuetext",
    "label",
    "placeholder",
    "srcdoc",
    "summary",
    "title",
];

/// Attributes that some elements show.
const SHOWN: [(&str, &str); 6] = [
    ("button", "value"),
    ("input", "value"),
    ("li", "value"),
    ("meter", "value"),
    ("ol", "start"),
    ("progress", "value"),
];

/// Elements whose content is no prose.
const CODE_ELEMENTS: [&str; 4] = ["code", "pre", "script", "style"];

/// Elements that part no word.
const WITHIN_WORDS: &str = "a abbr b bdi bdo big cite data del dfn em font i ins kbd label mark q \
    s samp small span strike strong sub sup time tspan tt u var wbr";

/// What nobody sees: a soft hyphen, joiners, marks of direction and of a variant.
const UNSEEN: [char; 8] =
    ['\u{ad}', '\u{200b}', '\u{200c}', '\u{200d}', '\u{200e}', '\u{2060}', '\u{fe0f}', '\u{feff}'];

/// What is read in one go, such as a paragraph or a cell: marks within a word, such as `*for*ty`, part
/// nothing.
///
/// `masked` is `text` with its tags masked.
pub(crate) fn blocks(text: &str, masked: &str, options: &MarkdownOptions) -> Vec<Vec<Glyph>> {
    let tags = tags::tags(text);
    // A tag is one sign: what it prints parts words, and so does a condition; a comment does not.
    let as_read = |mut glyph: Glyph| {
        let at = tags.partition_point(|tag| tag.span.end <= glyph.span.start);
        if let Some(tag) = tags.get(at).filter(|tag| tag.span.start <= glyph.span.start) {
            glyph.c = match tag.kind {
                _ if glyph.span.start > tag.span.start => return None,
                Kind::Expression => FIGURE,
                Kind::Statement => ' ',
                Kind::Comment => return None,
            };
        }
        (!UNSEEN.contains(&glyph.c)).then_some(glyph)
    };
    let pieces = prose(masked, options);
    let blocks = pieces.split(|piece| *piece == Piece::Break).map(|pieces| {
        let glyphs = pieces.iter().flat_map(|piece| piece.glyphs(masked));
        glyphs.filter_map(as_read).collect::<Vec<_>>()
    });
    blocks.filter(|block| !block.is_empty()).collect()
}

/// The scripts of a chapter, which could write numbers that nobody has looked at.
pub(crate) fn scripts(masked: &str, options: &MarkdownOptions) -> Vec<Range<usize>> {
    let events = Parser::into_offset_iter(new_cmark_parser(masked, options));
    let html =
        events.filter(|(event, _)| matches!(event, Event::InlineHtml(_) | Event::Start(Tag::HtmlBlock)));
    let tags = html.flat_map(|(_, span)| html::tags(masked, span));
    tags.filter(|tag| masked[tag.clone()].to_ascii_lowercase().starts_with("<script")).collect()
}

/// A stretch of prose, as its bytes in the masked text.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Piece {
    /// Text that reads as it is written.
    Plain(Range<usize>),
    /// A number in code.
    Code(Range<usize>),
    /// What is written otherwise than it reads: a character as `&name;`, the end of a line as a blank.
    Read(Range<usize>, String),
    /// The end of a paragraph, a cell, a heading: nothing runs across.
    Break,
}

impl Piece {
    fn glyphs(&self, masked: &str) -> Vec<Glyph> {
        match self {
            Piece::Break => Vec::new(),
            Piece::Plain(span) => glyphs(masked, span.clone()).collect(),
            Piece::Code(span) => {
                glyphs(masked, span.clone()).map(|glyph| Glyph { is_code: true, ..glyph }).collect()
            }
            Piece::Read(span, read) => {
                read.chars().map(|c| Glyph { c, span: span.clone(), is_code: false }).collect()
            }
        }
    }
}

/// Everything a reader reads, in order.
fn prose(masked: &str, options: &MarkdownOptions) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut skipped_links = 0;
    let mut in_code_block = false;
    // The element with code that is open among the text.
    let mut open: Option<String> = None;
    let parser = new_cmark_parser(masked, options);
    // Titles of links by reference stand in the definition; they are put in order at the end.
    let definitions = parser.reference_definitions().iter().map(|(_, definition)| definition.span.clone());
    let titles = definitions.filter_map(|span| title(masked, span));
    // What is read, but within no sentence.
    let mut apart: Vec<Piece> = titles.flat_map(|title| [Piece::Break, Piece::Plain(title)]).collect();
    for (event, span) in Parser::into_offset_iter(parser) {
        match event {
            Event::Start(Tag::CodeBlock(_)) => in_code_block = true,
            Event::End(TagEnd::CodeBlock) => in_code_block = false,
            Event::Start(Tag::HtmlBlock) => {
                pieces.push(Piece::Break);
                pieces.extend(html_prose(masked, span, &mut apart));
                pieces.push(Piece::Break);
            }
            Event::Start(
                Tag::Link { link_type, ref title, .. } | Tag::Image { link_type, ref title, .. },
            ) if !title.is_empty() && link_type == LinkType::Inline => {
                apart.extend(
                    self::title(masked, span)
                        .into_iter()
                        .flat_map(|title| [Piece::Break, Piece::Plain(title)]),
                );
            }
            Event::Start(Tag::Link { link_type: LinkType::Autolink | LinkType::Email, .. }) => {
                skipped_links += 1
            }
            Event::End(TagEnd::Link) => skipped_links = 0,
            Event::InlineHtml(_) => {
                let tag = &masked[span.clone()];
                let name = html::name(tag);
                if CODE_ELEMENTS.contains(&name.as_str()) {
                    open = (!tag.starts_with("</")).then_some(name);
                }
                pieces.extend(html_prose(masked, span, &mut apart));
            }
            Event::Text(_) if in_code_block || skipped_links > 0 => pieces.push(Piece::Break),
            Event::Text(read) => match open.as_deref() {
                None => pieces.push(text_piece(masked, span, &read)),
                Some("style") => pieces.extend(style_prose(masked, span)),
                Some(_) => pieces.push(code(masked, span)),
            },
            Event::Code(read) => {
                // The marks around it are of one length.
                let length = (span.len() - read.len()) / 2;
                pieces.push(code(masked, span.start + length..span.end - length));
            }
            Event::SoftBreak | Event::HardBreak => pieces.push(Piece::Read(span, " ".to_owned())),
            Event::Start(tag) if is_block(&tag.to_end()) => pieces.push(Piece::Break),
            Event::End(tag) if is_block(&tag) => {
                pieces.push(Piece::Break);
                open = None;
            }
            _ => {}
        }
    }
    pieces.extend(apart);
    pieces
}

fn is_block(tag: &TagEnd) -> bool {
    !matches!(tag, TagEnd::Emphasis | TagEnd::Strong | TagEnd::Strikethrough | TagEnd::Link | TagEnd::Image)
}

/// A text event. What reads otherwise than it is written is an entity (or a dash or quote made smart, which
/// is no digit either way).
fn text_piece(masked: &str, span: Range<usize>, read: &str) -> Piece {
    if masked[span.clone()].starts_with('&') && &masked[span.clone()] != read {
        Piece::Read(span, read.to_owned())
    } else {
        Piece::Plain(span)
    }
}

/// The title at the end of a link or of a link's definition: what stands between its last pair of quotes or
/// brackets.
fn title(masked: &str, span: Range<usize>) -> Option<Range<usize>> {
    let link = &masked[span.clone()];
    let inside = link.trim_end();
    // An inline link has its own closing bracket behind the title.
    let inside = if link.starts_with('[') && inside.contains("](") || link.starts_with('!') {
        inside.strip_suffix(')').unwrap_or(inside).trim_end()
    } else {
        inside
    };
    let open = match inside.chars().next_back()? {
        quote @ ('"' | '\'') => quote,
        ')' => '(',
        _ => return None,
    };
    let before = &inside[..inside.len() - 1];
    let start = before.rfind(open)? + 1;
    Some(span.start + start..span.start + before.len())
}

/// Code: a number alone can belong to the prose around it, all else can not.
fn code(masked: &str, span: Range<usize>) -> Piece {
    let is_number = masked.get(span.clone()).is_some_and(|code| is_number(code.trim()));
    if is_number { Piece::Code(span) } else { Piece::Break }
}

/// The texts of raw HTML; the readable attributes go `apart`.
fn html_prose(masked: &str, span: Range<usize>, apart: &mut Vec<Piece>) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let text = &masked[..span.end];
    let mut at = span.start;
    while at < span.end {
        let rest = &text[at..];
        if let Some(comment) = rest.strip_prefix("<!--") {
            at = comment.find("-->").map_or(span.end, |end| at + "<!--".len() + end + "-->".len());
        } else if html::is_tag(rest) {
            let end = at + html::tag_length(rest);
            let name = html::name(rest);
            apart.extend(readable_attributes(text, at..end, &name));
            if name == "br" {
                pieces.push(Piece::Read(at..end, " ".to_owned()));
            } else if !WITHIN_WORDS.split(' ').any(|known| known == name) && name != "code" {
                pieces.push(Piece::Break);
            }
            at = end;
            if CODE_ELEMENTS.contains(&name.as_str()) && !rest.starts_with("</") {
                let is_its = |end: &usize| {
                    text[*end + 2..].get(..name.len()).is_some_and(|of| of.eq_ignore_ascii_case(&name))
                };
                let mut ends = text[at..].match_indices("</").map(|(offset, _)| at + offset);
                let close = ends.find(is_its).unwrap_or(span.end);
                match name.as_str() {
                    "style" => pieces.extend(style_prose(text, at..close)),
                    "code" => pieces.push(code(text, at..close)),
                    _ => {}
                }
                at = close;
            }
        } else {
            let first = rest.chars().next().map_or(1, char::len_utf8);
            let length = rest[first..].find('<').map_or(rest.len(), |next| first + next);
            pieces.extend(html_text(text, at..at + length));
            at += length;
        }
    }
    pieces
}

/// What a style sheet writes into the page: the texts of its `content`.
fn style_prose(html: &str, span: Range<usize>) -> Vec<Piece> {
    let sheet = &html[span.clone()];
    let mut pieces = Vec::new();
    for (at, word) in sheet.match_indices("content") {
        let value = sheet[at + word.len()..].trim_start();
        let Some(value) = value.strip_prefix(':') else { continue };
        let mut at = sheet.len() - value.len();
        while let Some(open) = sheet[at..].find(['"', '\'', ';', '}']).map(|open| at + open) {
            let quote = &sheet[open..=open];
            let length = sheet[open + 1..].find(quote).filter(|_| !";}".contains(quote));
            let Some(length) = length else { break };
            pieces.extend([
                Piece::Break,
                Piece::Plain(span.start + open + 1..span.start + open + 1 + length),
                Piece::Break,
            ]);
            at = open + length + 2;
        }
    }
    pieces
}

fn readable_attributes(html: &str, tag: Range<usize>, element: &str) -> Vec<Piece> {
    let is_read = |name: &str| READABLE_ATTRIBUTES.contains(&name) || SHOWN.contains(&(element, name));
    let read = html::attributes(html, tag).into_iter().filter(|(name, _)| is_read(name));
    read.flat_map(|(_, value)| [vec![Piece::Break], html_text(html, value)].concat()).collect()
}

/// Text in raw HTML, its entities apart.
fn html_text(html: &str, span: Range<usize>) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut at = span.start;
    while at < span.end {
        let rest = &html[at..span.end];
        if let Some(length) = entity_length(rest) {
            pieces.push(Piece::Read(at..at + length, entity_text(&rest[..length])));
            at += length;
        } else {
            let first = rest.chars().next().map_or(1, char::len_utf8);
            let length = rest[first..].find('&').map_or(rest.len(), |next| first + next);
            pieces.push(Piece::Plain(at..at + length));
            at += length;
        }
    }
    pieces
}

fn entity_length(text: &str) -> Option<usize> {
    let name = text.strip_prefix('&')?;
    let length = name.find(';')?;
    let is_name = length > 0 && name[..length].chars().all(|c| c.is_ascii_alphanumeric() || c == '#');
    is_name.then_some(length + 2)
}

/// What an entity reads as. The Markdown parser knows all entities: ask it.
fn entity_text(entity: &str) -> String {
    let events = new_cmark_parser(entity, &MarkdownOptions::default());
    events
        .filter_map(|event| if let Event::Text(read) = event { Some(read.into_string()) } else { None })
        .collect()
}
