//! Refuses numbers that an author typed by hand.
//!
//! A typed number goes stale when the rule behind it changes. So prose, headings, table cells, link and image texts, footnotes
//! and the texts inside raw HTML hold no digit, and no number word beside a unit or a thing counted. Figures come from
//! `{= tank.water =}`; digits that are part of a name come from `{= typed(text="…", because="…") =}`. Both are tags, which are not
//! looked into.
//!
//! Not prose: code, addresses, link labels and heading ids, HTML names and comments, list markers, mdBook's own directives.

use crate::diagnostic::Diagnostic;
use crate::prose::names;
use crate::prose::tags;
use mdbook_markdown::new_cmark_parser;
use pulldown_cmark::{Event, LinkType, Parser, Tag, TagEnd};
use std::collections::HashMap;
use std::ops::Range;
use std::sync::{Arc, LazyLock};

pub use mdbook_markdown::MarkdownOptions;

/// Attributes that a reader sees or hears.
const READABLE_ATTRIBUTES: [&str; 3] = ["alt", "title", "aria-label"];

/// Elements whose content is no prose.
const CODE_ELEMENTS: [&str; 4] = ["code", "pre", "script", "style"];

/// What may stand between the digits of one number or one range: `1,000`, `2.5`, `10-20`, `10:30`, `4 000` with a narrow space.
const JOINERS: [char; 11] = ['.', ',', ':', '/', '-', '–', '−', '×', '\u{a0}', '\u{2009}', '\u{202f}'];

/// What a word can be to this lint.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Class {
    /// A number before units and things.
    Number,
    /// A number before units only: "one pump" is English, "one litre" is a figure.
    Part,
    /// Joins number words to one run: "two to three", "two and a half".
    Joiner,
    /// A unit.
    Unit,
    /// A thing one counts.
    Thing,
    /// Not an adjective: ends the search for the thing counted.
    Stop,
}

/// All words known to the lint.
const WORDS: &[(Class, &str)] = &[
    (
        Class::Number,
        "two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen \
         nineteen twenty thirty forty fifty sixty seventy eighty ninety hundred thousand",
    ),
    (Class::Part, "one half quarter quarters dozen"),
    (Class::Joiner, "to or and a an of"),
    (
        Class::Unit,
        "litre litres liter liters gallon gallons hour hours minute minutes second seconds day days week weeks month months \
         year years metre metres meter meters centimetre centimetres centimeter centimeters millimetre millimetres \
         millimeter millimeters inch inches foot feet watt watts degree degrees percent cent kilogram kilograms gram grams \
         pound pounds ounce ounces decibel decibels volt volts amp amps ampere amperes dollar dollars euro euros times \
         turnover turnovers",
    ),
    (
        Class::Thing,
        "pump pumps powerhead powerheads tank tanks sump sumps fish fishes coral corals frag frags snail snails crab crabs \
         shrimp shrimps pane panes magnet magnets filter filters heater heaters skimmer skimmers nozzle nozzles \
         battery batteries socket sockets rock rocks",
    ),
    (Class::Stop, "in at on for from with by as than then is are was were the this that these those each every"),
];

/// Words that make a number of a measure: "double the flow".
const TIMES: [&str; 7] = ["double", "triple", "treble", "quadruple", "twice", "thrice", "half"];
const MEASURES: &[&str] = &[
    "flow", "turnover", "volume", "speed", "height", "depth", "length", "width", "power", "price", "cost", "time", "current", "load",
    "mass", "weight", "setting", "water", "energy",
];

/// Formulas of chemistry that hold digits and are names, whatever the rules say.
const FORMULAS: [&str; 12] = ["CO2", "H2O", "O2", "O3", "N2", "NO2", "NO3", "NH3", "NH4", "PO4", "CaCO3", "H2S"];

const MONTHS: [&str; 12] =
    ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];

/// What looks like Roman digits and is a sign of the trade: direct current, cubic centimetres, millimetres, a compact disc, a size.
const NOT_ROMAN: [&str; 8] = ["DC", "CC", "MM", "CD", "XL", "LCD", "MI", "DI"];

/// Arguments of functions that no reader sees.
const NOT_READ: [&str; 3] = ["id", "that", "because"];

static CLASSES: LazyLock<HashMap<&str, Class>> = LazyLock::new(|| {
    let words = WORDS.iter().flat_map(|(class, words)| words.split_whitespace().map(|word| (word, *class)));
    words.collect()
});

/// One error for each number typed into `text`, in the order of the text.
///
/// `file` is the name shown in the errors. `options` are those of the book, so that the text is read as mdBook reads it.
pub fn typed_numbers(file: &str, text: &Arc<str>, options: &MarkdownOptions) -> Vec<Diagnostic> {
    let masked = tags::masked(text);
    let mut found: Vec<Diagnostic> = Vec::new();
    for block in blocks(&masked, &prose(&masked, options)) {
        found.extend(numbers(&block).into_iter().map(|span| typed_by_hand(file, text, span)));
    }
    found.extend(literals(file, text));
    found.extend(directives(file, text, &masked, options));
    found.sort_by_key(|error| error.place.as_ref().map(|place| (place.span.start, place.span.end)));
    found.dedup();
    found
}

/// What is typed into a tag: a text given to a function is prose, but for names and reasons; all else comes from figures.
fn literals(file: &str, text: &Arc<str>) -> Vec<Diagnostic> {
    let mut errors = Vec::new();
    let tags = tags::tags(text);
    for literal in tags.iter().flat_map(|tag| names::literals(text, tag)) {
        let is_text = text[literal.span.clone()].starts_with(['"', '\'', '`']);
        match literal.argument {
            Some((function, argument)) if is_text => {
                if !NOT_READ.contains(&argument) && (function, argument) != ("typed", "text") {
                    let written = &text[literal.span.clone()];
                    // An author may have forgotten the closing quotation mark.
                    let is_closed = written.len() > 1 && written.as_bytes().first() == written.as_bytes().last();
                    let inside = literal.span.start + 1..literal.span.end - usize::from(is_closed);
                    let block: Vec<_> = glyphs(text, inside).collect();
                    errors.extend(numbers(&block).into_iter().map(|span| typed_by_hand(file, text, span)));
                }
            }
            // How something is printed, not what.
            Some((_, argument)) if argument != "value" => {}
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

/// Files that mdBook would put into prose: nobody has looked for numbers in them.
fn directives(file: &str, text: &Arc<str>, masked: &str, options: &MarkdownOptions) -> Vec<Diagnostic> {
    let code = code_blocks(masked, options);
    let in_prose = tags::mdbook_directives(text).into_iter().filter(|span| !code.iter().any(|code| code.contains(&span.start)));
    let brings_text = |span: &Range<usize>| !text[span.clone()].trim_start_matches(['{', ' ']).starts_with("#title");
    let error = |span| {
        Diagnostic::new(file, text.clone(), span, "a file is put into prose, where its numbers would go unseen")
            .hint("put it into a fenced block of code, or write its words into this page")
    };
    in_prose.filter(brings_text).map(error).collect()
}

fn code_blocks(masked: &str, options: &MarkdownOptions) -> Vec<Range<usize>> {
    let events = Parser::into_offset_iter(new_cmark_parser(masked, options));
    events.filter(|(event, _)| matches!(event, Event::Start(Tag::CodeBlock(_)))).map(|(_, span)| span).collect()
}

fn typed_by_hand(file: &str, text: &Arc<str>, span: Range<usize>) -> Diagnostic {
    let number = text[span.clone()].split_whitespace().collect::<Vec<_>>().join(" ");
    Diagnostic::new(file, text.clone(), span, format!("the number `{number}` was typed by hand"))
        .label("typed by hand")
        .hint("use a figure, such as `{= tank.water =}`")
        .hint(format!("where it is part of a name: `{{= typed(text=\"{number}\", because=\"why it cannot change\") =}}`"))
}

/// A stretch of prose, as its bytes in the masked text.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Piece {
    /// Text that reads as it is written.
    Plain(Range<usize>),
    /// What is written otherwise than it reads: a character as `&name;`, the end of a line as a blank.
    Entity(Range<usize>, String),
    /// The end of a paragraph, a cell, a heading: nothing runs across.
    Break,
}

/// Everything a reader reads, in order.
fn prose(masked: &str, options: &MarkdownOptions) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut skipped_links = 0;
    let mut in_code_block = false;
    let mut open_html_code = 0;
    let parser = new_cmark_parser(masked, options);
    // Titles of links by reference stand in the definition; they are put in order at the end.
    let definitions = parser.reference_definitions().iter().map(|(_, definition)| definition.span.clone());
    let mut titles: Vec<Range<usize>> = definitions.filter_map(|span| title(masked, span)).collect();
    for (event, span) in Parser::into_offset_iter(parser) {
        match event {
            Event::Start(Tag::CodeBlock(_)) => in_code_block = true,
            Event::End(TagEnd::CodeBlock) => in_code_block = false,
            Event::Start(Tag::HtmlBlock) => {
                pieces.push(Piece::Break);
                pieces.extend(html_prose(masked, span));
                pieces.push(Piece::Break);
            }
            Event::Start(Tag::Link { link_type, ref title, .. }) if !title.is_empty() && link_type == LinkType::Inline => {
                titles.extend(self::title(masked, span));
            }
            Event::Start(Tag::Image { link_type, ref title, .. }) if !title.is_empty() && link_type == LinkType::Inline => {
                titles.extend(self::title(masked, span));
            }
            Event::Start(Tag::Link { link_type: LinkType::Autolink | LinkType::Email, .. }) => skipped_links += 1,
            Event::End(TagEnd::Link) => skipped_links = 0,
            Event::InlineHtml(_) => {
                let tag = &masked[span.clone()];
                let name = html_name(tag);
                if CODE_ELEMENTS.contains(&name.as_str()) {
                    open_html_code = i32::from(!tag.starts_with("</"));
                }
                pieces.extend(html_prose(masked, span));
            }
            Event::Text(read) if !in_code_block && skipped_links == 0 && open_html_code == 0 => {
                pieces.push(text_piece(masked, span, &read));
            }
            Event::SoftBreak | Event::HardBreak => pieces.push(Piece::Entity(span, " ".to_owned())),
            Event::Text(_) | Event::Code(_) => pieces.push(Piece::Break),
            Event::Start(tag) if is_block(&tag.to_end()) => pieces.push(Piece::Break),
            Event::End(tag) if is_block(&tag) => {
                pieces.push(Piece::Break);
                open_html_code = 0;
            }
            _ => {}
        }
    }
    for title in titles {
        pieces.push(Piece::Break);
        pieces.push(Piece::Plain(title));
    }
    pieces
}

fn is_block(tag: &TagEnd) -> bool {
    !matches!(tag, TagEnd::Emphasis | TagEnd::Strong | TagEnd::Strikethrough | TagEnd::Link | TagEnd::Image)
}

/// A text event. What reads otherwise than it is written is an entity (or a dash or quote made smart, which is no digit either way).
fn text_piece(masked: &str, span: Range<usize>, read: &str) -> Piece {
    if masked[span.clone()].starts_with('&') && &masked[span.clone()] != read {
        Piece::Entity(span, read.to_owned())
    } else {
        Piece::Plain(span)
    }
}

/// The title at the end of a link or of a link's definition: what stands between its last pair of quotes or brackets.
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

/// The texts and readable attributes of raw HTML.
fn html_prose(masked: &str, span: Range<usize>) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let html = &masked[..span.end];
    let mut at = span.start;
    while at < span.end {
        let rest = &html[at..];
        if let Some(comment) = rest.strip_prefix("<!--") {
            at = comment.find("-->").map_or(span.end, |end| at + "<!--".len() + end + "-->".len());
        } else if rest.starts_with('<') && rest[1..].starts_with(|c: char| c.is_ascii_alphabetic() || "/!?".contains(c)) {
            let end = at + html_tag_length(rest);
            pieces.extend(readable_attributes(html, at..end));
            let name = html_name(rest);
            at = end;
            if CODE_ELEMENTS.contains(&name.as_str()) && !rest.starts_with("</") {
                let closing = format!("</{name}");
                at = html[at..].to_ascii_lowercase().find(&closing).map_or(span.end, |length| at + length);
            }
        } else {
            let first = rest.chars().next().map_or(1, char::len_utf8);
            let length = rest[first..].find('<').map_or(rest.len(), |next| first + next);
            pieces.extend(html_text(html, at..at + length));
            at += length;
        }
    }
    pieces
}

/// The lower-case name of the HTML tag that `html` begins with.
fn html_name(html: &str) -> String {
    let name = html.trim_start_matches(['<', '/']);
    name.chars().take_while(char::is_ascii_alphanumeric).collect::<String>().to_ascii_lowercase()
}

/// How long the tag is that `html` begins with; quoted values may hold `>`.
fn html_tag_length(html: &str) -> usize {
    let mut quote = None;
    for (at, c) in html.char_indices() {
        match quote {
            Some(open) if c == open => quote = None,
            Some(_) => {}
            None if c == '"' || c == '\'' => quote = Some(c),
            None if c == '>' => return at + 1,
            None => {}
        }
    }
    html.len()
}

fn readable_attributes(html: &str, tag: Range<usize>) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut at = tag.start + 1;
    while let Some(equals) = html[at..tag.end].find('=').map(|offset| at + offset) {
        let name = html[at..equals].trim_end();
        let name = name.rsplit(|c: char| c.is_whitespace() || "\"'/".contains(c)).next().unwrap_or(name);
        let value_start = equals + 1 + html[equals + 1..tag.end].len() - html[equals + 1..tag.end].trim_start().len();
        let rest = &html[value_start..tag.end];
        let value = match rest.chars().next() {
            Some(quote @ ('"' | '\'')) => {
                let length = rest[1..].find(quote).unwrap_or(rest.len() - 1);
                value_start + 1..value_start + 1 + length
            }
            _ => {
                let length = rest.find(|c: char| c.is_whitespace() || c == '>').unwrap_or(rest.len());
                value_start..value_start + length
            }
        };
        if READABLE_ATTRIBUTES.contains(&name.to_ascii_lowercase().as_str()) {
            pieces.push(Piece::Break);
            pieces.extend(html_text(html, value.clone()));
            pieces.push(Piece::Break);
        }
        at = value.end;
    }
    pieces
}

/// Text in raw HTML, its entities apart.
fn html_text(html: &str, span: Range<usize>) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut at = span.start;
    while at < span.end {
        let rest = &html[at..span.end];
        if let Some(length) = entity_length(rest) {
            pieces.push(Piece::Entity(at..at + length, entity_text(&rest[..length])));
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
    events.filter_map(|event| if let Event::Text(read) = event { Some(read.into_string()) } else { None }).collect()
}

/// A character as it is read, and where it is written.
#[derive(Debug, Clone)]
struct Glyph {
    c: char,
    span: Range<usize>,
}

fn glyphs(text: &str, span: Range<usize>) -> impl Iterator<Item = Glyph> {
    let start = span.start;
    text[span].char_indices().map(move |(at, c)| Glyph { c, span: start + at..start + at + c.len_utf8() })
}

/// What is read in one go: marks within a word, such as `*for*ty`, part nothing.
fn blocks(masked: &str, pieces: &[Piece]) -> Vec<Vec<Glyph>> {
    let mut blocks = vec![Vec::new()];
    for piece in pieces {
        match piece {
            Piece::Break => blocks.push(Vec::new()),
            Piece::Plain(span) => blocks.last_mut().into_iter().for_each(|block| block.extend(glyphs(masked, span.clone()))),
            Piece::Entity(span, read) => {
                let read = read.chars().map(|c| Glyph { c, span: span.clone() });
                blocks.last_mut().into_iter().for_each(|block| block.extend(read.clone()));
            }
        }
    }
    blocks.retain(|block| !block.is_empty());
    blocks
}

/// The numbers of a block, in digits and in words, each run of them once.
fn numbers(block: &[Glyph]) -> Vec<Range<usize>> {
    let mut found = digits(block);
    found.extend(number_words(block));
    let span = |run: Range<usize>| block[run.start].span.start..block[run.end - 1].span.end;
    found.into_iter().map(span).collect()
}

/// The numbers written in digits.
fn digits(block: &[Glyph]) -> Vec<Range<usize>> {
    let mut runs: Vec<Range<usize>> = Vec::new();
    for (at, _) in block.iter().enumerate().filter(|(_, glyph)| glyph.c.is_numeric()) {
        match runs.last_mut() {
            Some(run) if joins(&block[run.end..at]) => run.end = at + 1,
            _ => runs.push(at..at + 1),
        }
    }
    runs.retain(|run| !is_name(block, run));
    runs
}

/// Whether what stands between two digits makes one number or range of them.
fn joins(between: &[Glyph]) -> bool {
    between.len() <= 2 && between.iter().all(|glyph| JOINERS.contains(&glyph.c))
}

/// Whether digits are part of a name that no rule can change: a formula of chemistry, a date, a place in an order, "around the clock".
fn is_name(block: &[Glyph], run: &Range<usize>) -> bool {
    let text = |range: Range<usize>| block[range].iter().map(|glyph| plain_digit(glyph.c)).collect::<String>();
    let number = text(run.clone());
    let before = block[..run.start].iter().rev().take_while(|glyph| glyph.c.is_alphanumeric()).count();
    let behind = block[run.end..].iter().take_while(|glyph| glyph.c.is_alphanumeric()).count();
    let whole = text(run.start - before..run.end + behind);
    if FORMULAS.contains(&whole.as_str()) || number == "24/7" && before + behind == 0 {
        return true;
    }
    let ending = text(run.end..run.end + behind);
    let is_short = number.len() <= 2 && number.chars().all(|c| c.is_ascii_digit());
    if is_short && before == 0 && ["st", "nd", "rd", "th"].contains(&ending.as_str()) {
        return true;
    }
    let word = |glyphs: &mut dyn Iterator<Item = &Glyph>| {
        glyphs
            .skip_while(|glyph| glyph.c.is_whitespace())
            .take_while(|glyph| glyph.c.is_alphabetic())
            .map(|glyph| glyph.c)
            .collect::<String>()
    };
    let next = word(&mut block[run.end..].iter());
    let last: String = word(&mut block[..run.start].iter().rev()).chars().rev().collect();
    let is_year = number.len() == 4 && (number.starts_with("19") || number.starts_with("20"));
    let is_iso =
        number.len() == 10 && number.starts_with("20") && number.bytes().enumerate().all(|(at, c)| (c == b'-') == (at == 4 || at == 7));
    let is_month = |word: &str| MONTHS.contains(&word);
    before + behind == 0 && (is_iso || is_short && (is_month(&next) || is_month(&last)) || is_year && is_month(&last))
}

/// A digit set low or high as the digit it is.
fn plain_digit(c: char) -> char {
    match c {
        '₀'..='₉' => char::from_digit(u32::from(c) - u32::from('₀'), 10).unwrap_or(c),
        _ => c,
    }
}

/// A word of the prose.
struct Word {
    /// Where in its block.
    run: Range<usize>,
    lower: String,
    class: Option<Class>,
    /// Only blanks or a hyphen stand between it and the word before.
    follows: bool,
}

/// The number words beside a unit or a thing counted.
fn number_words(block: &[Glyph]) -> Vec<Range<usize>> {
    let words = words(block);
    let mut found = Vec::new();
    let mut at = 0;
    while at < words.len() {
        let whole = |end: usize| words[at].run.start..words[end - 1].run.end;
        let says = |from: usize, wanted: &[&str]| {
            wanted
                .iter()
                .enumerate()
                .all(|(offset, wanted)| words.get(from + offset).is_some_and(|word| word.follows && word.lower == *wanted))
        };
        // "a score of", "double the flow", "tenfold".
        if words[at].lower == "a" && says(at + 1, &["score", "of"]) {
            found.push(whole(at + 2));
            at += 3;
        } else if TIMES.contains(&words[at].lower.as_str())
            && says(at + 1, &["the"])
            && words.get(at + 2).is_some_and(|word| word.follows && MEASURES.contains(&word.lower.as_str()))
        {
            found.push(whole(at + 1));
            at += 3;
        } else if is_fold(&words[at].lower) {
            found.push(whole(at + 1));
            at += 1;
        } else if let Some((end, only_before_units)) = number_run(&words, at) {
            let is_some_day = end == at + 1 && words[at].lower == "one" && says(end, &["day"]);
            let counted_from = if says(end, &["or", "so"]) { end + 2 } else { end };
            if !is_some_day && counts_something(&words, counted_from, only_before_units) {
                found.push(whole(end));
            }
            at = end;
        } else {
            at += 1;
        }
    }
    found
}

/// "tenfold": a number word with "fold" at its end.
fn is_fold(word: &str) -> bool {
    word.strip_suffix("fold").is_some_and(|number| CLASSES.get(number.trim_end_matches('-')) == Some(&Class::Number))
}

fn words(block: &[Glyph]) -> Vec<Word> {
    let mut words: Vec<Word> = Vec::new();
    let (mut follows, mut at) = (false, 0);
    while at < block.len() {
        let c = block[at].c;
        if c.is_alphabetic() {
            let length = block[at..].iter().take_while(|glyph| glyph.c.is_alphabetic() || glyph.c == '\'' || glyph.c == '’').count();
            let written: String = block[at..at + length].iter().map(|glyph| glyph.c).collect();
            let lower = written.to_lowercase();
            let class = if is_roman(&written) { Some(Class::Part) } else { CLASSES.get(lower.as_str()).copied() };
            words.push(Word { run: at..at + length, lower, class, follows });
            follows = true;
            at += length;
        } else {
            follows &= c.is_whitespace() || c == '-' || c == '\u{2011}';
            at += 1;
        }
    }
    words
}

/// Whether a word is a number in Roman digits: from thousands down to ones, as they are written. "DC" and the like are the trade's.
fn is_roman(word: &str) -> bool {
    let mut rest = word;
    for (digit, five, ten) in [("M", "", ""), ("C", "D", "M"), ("X", "L", "C"), ("I", "V", "X")] {
        let nine = format!("{digit}{ten}");
        let four = format!("{digit}{five}");
        let (shorter, may_repeat) = if !ten.is_empty() && rest.starts_with(&nine) {
            (&rest[nine.len()..], false)
        } else if !five.is_empty() && rest.starts_with(&four) {
            (&rest[four.len()..], false)
        } else {
            (rest.strip_prefix(five).unwrap_or(rest), true)
        };
        let ones = if may_repeat { shorter.bytes().take(3).take_while(|byte| digit.as_bytes() == [*byte]).count() } else { 0 };
        rest = &shorter[ones..];
    }
    word.len() > 1 && rest.is_empty() && !NOT_ROMAN.contains(&word)
}

/// The word behind the run of number words that begins at `start`, and whether the run counts before units only.
fn number_run(words: &[Word], start: usize) -> Option<(usize, bool)> {
    let is_number = |at: usize| matches!(words.get(at).and_then(|word| word.class), Some(Class::Number | Class::Part));
    if !is_number(start) {
        return None;
    }
    let mut end = start + 1;
    loop {
        // Up to two words may join: "two to three", "two and a half".
        let next = (end..end + 3)
            .find(|&at| is_number(at))
            .filter(|&next| (end..=next).all(|at| words[at].follows) && (end..next).all(|at| words[at].class == Some(Class::Joiner)));
        match next {
            Some(next) => end = next + 1,
            None => break,
        }
    }
    let only_parts = words[start..end].iter().all(|word| word.class != Some(Class::Number));
    Some((end, only_parts))
}

/// Whether a unit or a thing follows at `at`: at once, behind one other word ("two small pumps"), or behind "of an" or "a" ("half an hour").
fn counts_something(words: &[Word], at: usize, only_before_units: bool) -> bool {
    let word = |at: usize| words.get(at).filter(|word| word.follows);
    let counted = |at: usize| match word(at).and_then(|word| word.class) {
        Some(Class::Unit) => true,
        Some(Class::Thing) => !only_before_units,
        _ => false,
    };
    if counted(at) {
        return true;
    }
    let Some(next) = word(at) else { return false };
    match next.class {
        None => counted(at + 1),
        Some(Class::Joiner) if only_before_units => {
            let joiners = (at..at + 2).take_while(|&at| word(at).is_some_and(|word| word.class == Some(Class::Joiner)));
            counted(at + joiners.count())
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The numbers found, as written.
    fn found(text: &str) -> Vec<String> {
        let errors = typed_numbers("a.md", &text.into(), &MarkdownOptions::default());
        errors.into_iter().filter_map(|error| error.place).map(|place| place.text[place.span].to_owned()).collect()
    }

    #[test]
    fn digits_in_anything_readable_are_found() {
        assert_eq!(found("It holds 40 litres."), ["40"]);
        assert_eq!(found("# Part 3 {#part-3}"), ["3"]);
        assert_eq!(found("| a | b |\n|---|--:|\n| x | 7 |"), ["7"]);
        assert_eq!(found("[see 8](x9.md) ![alt 10](y11.png)"), ["8", "10"]);
        assert_eq!(found("a[^n2]\n\n[^n2]: in 1990"), ["1990"]);
        assert_eq!(found("term 5\n: meaning 6"), ["5", "6"]);
        assert_eq!(found("> [!NOTE]\n> 7 of them"), ["7"]);
        assert_eq!(found("- [ ] do 8"), ["8"]);
    }

    #[test]
    fn a_run_is_one_number() {
        assert_eq!(found("1,000 or 2.5 or 10-20 or 10--20 or 5–6, 7. 8"), ["1,000", "2.5", "10-20", "10--20", "5–6", "7", "8"]);
        assert_eq!(found("**4** 5"), ["4", "5"]);
        assert_eq!(found("4**5** and 1<b>2</b>"), ["4**5", "1<b>2"]);
    }

    #[test]
    fn hidden_digits_are_found() {
        assert_eq!(found("½ m²"), ["½", "²"]);
        assert_eq!(found("&#52;0 and &frac12; and &half;"), ["&#52;0", "&frac12;", "&half;"]);
        assert_eq!(found("it&#39;s &amp; that"), Vec::<String>::new());
    }

    #[test]
    fn html_is_read_like_a_reader_reads_it() {
        assert_eq!(found("<h1 id=\"a2\" title='b 3'>c 4</h1>"), ["3", "4"]);
        assert_eq!(found("x <img src=a5.png alt=\"6 of\"> <span class=c7>8</span> <!-- 9 -->"), ["6", "8"]);
        assert_eq!(found("<pre>1</pre><code>2</code>3"), ["3"]);
        assert_eq!(found("a <code>2</code> 3"), ["3"]);
        assert_eq!(found("<div>\n<!-- 1\n2 -->\n&#51; &#39;\n</div>"), ["&#51;"]);
        assert_eq!(found("<p aria-label=\"é 1\">é 2 < 3</p>"), ["1", "2", "3"]);
    }

    #[test]
    fn link_titles_are_readable_and_addresses_are_not() {
        assert_eq!(found("[a](b1.md \"c 2\") [d][e]\n\n[e]: f3.md 'g 4'"), ["2", "4"]);
        assert_eq!(found("[a](b1.md) <https://example.org/2> [d][e]\n\n[e]: f3.md"), Vec::<String>::new());
    }

    #[test]
    fn what_is_not_prose_passes() {
        for text in [
            "1. first\n2. second",
            "`40`",
            "```\n40\n```",
            "    40",
            "{= typed(text=\"ISO 3864-2\", because=\"a name\") =} {* 4 *} {% if a > 4 %}",
            "{= tank.water =} holds `4`",
            "{% raw %}`{= 4 =}`{% endraw %}",
        ] {
            assert_eq!(found(text), Vec::<String>::new(), "{text}");
        }
    }

    #[test]
    fn a_tag_at_the_start_of_a_line_makes_no_code_of_it() {
        assert_eq!(found("{= tank.water =} in 40 days"), ["40"]);
    }

    #[test]
    fn number_words_beside_units_and_things_are_found() {
        for (text, number) in [
            ("Wait two hours.", "two"),
            ("two small pumps", "two"),
            ("**Two** {= pump.name =} pumps", "Two"),
            ("a three-hour break", "three"),
            ("twenty-five\nlitres", "twenty-five"),
            ("one hundred and fifty litres", "one hundred and fifty"),
            ("two to three hours", "two to three"),
            ("one or two pumps", "one or two"),
            ("two and a half hours", "two and a half"),
            ("one litre", "one"),
            ("half an hour", "half"),
            ("a quarter of an hour", "quarter"),
            ("*for*ty litres", "for*ty"),
            ("f&#111;rty litres", "f&#111;rty"),
            ("forty or so litres", "forty"),
            ("two dozen snails", "two dozen"),
            ("a dozen litres", "dozen"),
            ("CXLII litres", "CXLII"),
            ("XL litres of MCMXCIX grams", "MCMXCIX"),
            ("a score of fish", "a score"),
            ("a tenfold rise", "tenfold"),
            ("double the flow", "double"),
            ("half the power", "half"),
            ("ten times", "ten"),
            ("ten per cent", "ten"),
        ] {
            assert_eq!(found(text), [number], "{text}");
        }
    }

    #[test]
    fn number_words_elsewhere_pass() {
        for text in [
            "one pump",
            "half of the tank",
            "no one",
            "one of the pumps",
            "these two agree",
            "two. Pumps hum.",
            "one, two: tanks",
            "on the one hand",
            "two\n\ntanks",
            "`two` tanks",
            "a second pump",
            "the first day",
            "a dozen snails",
            "one day",
            "keep score of it",
            "double the dose is too much",
            "a DC volt meter",
        ] {
            assert_eq!(found(text), Vec::<String>::new(), "{text}");
        }
    }

    #[test]
    fn digits_of_names_pass() {
        for text in ["on 3 March 2026", "in March 2026", "2026-03-03", "CO2, CO₂ and H2O", "CaCO3", "the 2nd pump", "open 24/7", "*H*2O"]
        {
            assert_eq!(found(text), Vec::<String>::new(), "{text}");
        }
        for (text, numbers) in [
            ("the 142nd litre", vec!["142"]),
            ("142 March", vec!["142"]),
            ("March 1423", vec!["1423"]),
            ("CO3", vec!["3"]),
            ("24/8", vec!["24/8"]),
            ("2026-03-034", vec!["2026-03-034"]),
        ] {
            assert_eq!(found(text), numbers, "{text}");
        }
    }

    #[test]
    fn what_is_typed_into_a_tag_is_found() {
        for (text, numbers) in [
            ("{= 42 =} litres", vec!["42"]),
            ("{= \"142\" =}", vec!["\"142\""]),
            ("{= 6*7 =}", vec!["6", "7"]),
            ("{% set x = 42 %}{= x =}", vec!["42"]),
            ("{% set x = \"forty\" %}{= x =} litres", vec!["\"forty\""]),
            ("{% for x in [1, 2] %}{= x =}{% endfor %}", vec!["1", "2"]),
            ("{= tank.water ~ \"142\" =}", vec!["\"142\""]),
            ("{= caution(hazard=\"142 volts\", consequence=\"forty litres\") =}", vec!["142", "forty"]),
            ("{= tank.water | default(value=\"142 L\") =}", vec!["142"]),
            ("{= tank.water | default(value=142) =}", vec!["142"]),
        ] {
            assert_eq!(found(text), numbers, "{text}");
        }
        for text in [
            "{= table(id=\"bands3\") =}",
            "{= holds(that=\"a.b > 3\") =}",
            "{= tank.water | show(places=2) =}",
            "{% if fit.count > 3 %}{% endif %}",
            "{= typed(text=\"ISO 3864-2\", because=\"a name of 2 parts\") =}",
        ] {
            assert_eq!(found(text), Vec::<String>::new(), "{text}");
        }
    }

    #[test]
    fn a_file_comes_into_code_only() {
        assert_eq!(found("{{#include ../tanks/first_reef.toml}}"), ["{{#include ../tanks/first_reef.toml}}"]);
        assert_eq!(found("```toml\n{{#include ../tanks/first_reef.toml}}\n```\n"), Vec::<String>::new());
        assert_eq!(found("{{#title A title}}"), Vec::<String>::new());
    }

    #[test]
    fn the_classes_do_not_overlap() {
        let listed: usize = WORDS.iter().map(|(_, words)| words.split_whitespace().count()).sum();
        assert_eq!(CLASSES.len(), listed);
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
