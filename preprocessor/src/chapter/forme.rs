//! The forme of a page: its Markdown, locked up once for every tank, with gaps for the parts of one.
//!
//! What the [template](crate::chapter::template) gives is Markdown with marks: for a figure or part of the running tank, a claim, a
//! condition, something that a tank of the book lacks. Here the blocks at the top of the page that hold marks, or stand in a condition,
//! become [passages](reckoner_page::passage): in Markdown, to be set for the tank of a build, and in HTML as mdBook writes it, for the
//! page to carry. All else is the same for every tank and stays as it is.
//!
//! A condition stands around whole blocks, its tags on lines of their own; before an item or a row, around whole ones; or around words of
//! one block.

use std::collections::HashSet;
use std::ops::Range;

use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use pulldown_cmark::{Alignment, CodeBlockKind, Event, LinkType, Tag, TagEnd};
use reckoner_page::condition::Condition;
use reckoner_page::passage::{Block, Kind, Passage, Path, Piece};
use reckoner_page::text::{MARK, escaped};

use crate::chapter::record;

/// What stands in a page for a part of the running tank, by its key.
pub(crate) fn gap(key: &str) -> String {
    format!("{MARK}{key}{MARK}")
}

/// What stands beside words that are held to figures.
pub(crate) fn claim(that: &str) -> String {
    format!("{MARK}!{that}{MARK}")
}

/// What stands in a page for something that a tank of the book lacks, by its id.
pub(crate) fn lacking(id: &str) -> String {
    format!("{MARK}-{id}{MARK}")
}

/// Whether a text is the mark of something lacking.
pub(crate) fn is_lacking(text: &str) -> bool {
    text.strip_prefix(MARK).is_some_and(|inside| inside.starts_with('-'))
}

/// A page, locked up.
#[derive(Debug, Clone, Default)]
pub struct Forme {
    /// Its pieces, in their order.
    pub segments: Vec<Segment>,
}

impl Forme {
    /// Goes through all pieces of its passages, each with the conditions it stands under.
    pub fn walk<'p>(&'p self, see: &mut dyn FnMut(&Path<'p>, &'p Piece)) {
        for segment in &self.segments {
            if let Segment::Passage { markdown, .. } = segment {
                markdown.walk(see);
            }
        }
    }
}

/// A piece of a page.
#[derive(Debug, Clone)]
pub enum Segment {
    /// Markdown that is the same for every tank.
    Plain(String),
    /// A block that depends on the tank.
    Passage {
        /// Its pieces in Markdown.
        markdown: Passage,
        /// Its pieces in HTML, where the page is made for that.
        html: Option<Passage>,
    },
    /// A part of the book that shows its proof.
    Proof(record::Part),
}

/// Something wrong with a page that only its whole text shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The statement meant, by its place among those of the page; else `near` tells where.
    pub statement: Option<usize>,
    /// What stands around it.
    pub near: String,
    /// What is wrong.
    pub message: String,
    /// What would be right.
    pub hint: String,
}

/// Locks up a page.
///
/// - `text`: its Markdown with marks
/// - `options`: how its Markdown is read
/// - `is_html`: whether it is made for HTML
/// - `why`: why a tank of the book lacks something, by its id
///
/// # Errors
/// Conditions that stand otherwise than they may, and what can not depend on the tank.
pub fn lock(text: &str, options: &MarkdownOptions, is_html: bool, why: &dyn Fn(&str) -> Option<String>) -> Result<Forme, Vec<Fault>> {
    let (text, marks, mut faults) = numbered(text, why);
    let events: Vec<_> = new_cmark_parser(&text, options).into_offset_iter().collect();
    let mut ids = Ids::default();
    let mut forme = Forme::default();
    let (mut plain, mut done) = (String::new(), 0);
    let mut open: Vec<Branch> = Vec::new();
    let mut begins_section = false;
    let tops = at_the_top(&events);
    for (at, events) in tops.iter().enumerate() {
        // The parser takes what follows a glossary for a part of it.
        let next = tops.get(at + 1).map_or(text.len(), |next| next[0].1.start);
        let span = trimmed(&text, events[0].1.start..events[0].1.end.min(next));
        let here = &text[span.clone()];
        plain.push_str(&text[done..span.start.max(done)]);
        done = span.end;
        if let Some(statements) = only_statements(here, &marks) {
            for statement in statements {
                branch(&mut open, statement);
            }
            continue;
        }
        let proof = record::Part::ALL.into_iter().find(|part| here == part.marker());
        let whens: Vec<_> = open.iter().flat_map(|branch| branch.path.iter().cloned()).collect();
        let is_heading = matches!(events[0].0, Event::Start(Tag::Heading { .. }));
        if !here.contains(MARK) && whens.is_empty() {
            ids.pass(events);
            begins_section |= is_heading;
            match proof {
                None => plain.push_str(here),
                Some(part) => {
                    forme.segments.extend([Segment::Plain(std::mem::take(&mut plain)), Segment::Proof(part)]);
                }
            }
            continue;
        }
        let only = |(condition, holds)| Piece::Only { condition, holds };
        let passage = |block: Option<Block>| {
            let mut block = block?;
            block.pieces.splice(0..0, whens.iter().cloned().map(only));
            Some(Passage { begins_section, block })
        };
        let reader = Reader { text: &text, marks: &marks, end: next };
        let markdown = passage(reader.markdown(events, &mut faults));
        let html = if is_html { passage(reader.html(events, &mut ids, &mut faults)) } else { None };
        begins_section = false;
        if let Some(markdown) = markdown {
            forme.segments.extend([Segment::Plain(std::mem::take(&mut plain)), Segment::Passage { markdown, html }]);
        }
    }
    plain.push_str(&text[done..]);
    forme.segments.push(Segment::Plain(plain));
    // The same thing wrong in Markdown and in HTML is wrong once.
    let mut told = HashSet::new();
    faults.retain(|fault| fault.statement.is_none() || told.insert(fault.statement));
    if faults.is_empty() { Ok(forme) } else { Err(faults) }
}

/// A mark, read.
#[derive(Debug, Clone)]
enum Mark {
    Piece(Piece),
    Statement(Statement),
}

/// A statement that asks what the tank has, or belongs to one that does.
#[derive(Debug, Clone)]
struct Statement {
    /// Its place among those of the page.
    place: usize,
    does: Does,
}

#[derive(Debug, Clone)]
enum Does {
    If(String),
    Elif(String),
    Else,
    End,
}

/// A text and its marks, in turn.
enum Token<'t> {
    Text(String),
    Mark(&'t str),
}

/// An `if` that is open: the conditions that lead into the branch that is gone through, and those of the branches before.
struct Branch {
    path: Vec<(String, bool)>,
    before: Vec<String>,
    /// Whether it stands around items or rows.
    of_lines: bool,
}

/// Goes on to the branch that a statement begins.
fn branch(open: &mut Vec<Branch>, statement: &Statement) {
    let not_before = |before: &[String]| before.iter().map(|condition| (condition.clone(), false)).collect::<Vec<_>>();
    match &statement.does {
        Does::If(condition) => {
            open.push(Branch { path: vec![(condition.clone(), true)], before: vec![condition.clone()], of_lines: false });
        }
        Does::End => drop(open.pop()),
        Does::Elif(condition) => {
            if let Some(branch) = open.last_mut() {
                branch.path = not_before(&branch.before);
                branch.path.push((condition.clone(), true));
                branch.before.push(condition.clone());
            }
        }
        Does::Else => {
            if let Some(branch) = open.last_mut() {
                branch.path = not_before(&branch.before);
            }
        }
    }
}

/// The text with a number in each mark in place of its words, which Markdown might read, and the marks. What stands around items and rows
/// is in them now.
fn numbered(text: &str, why: &dyn Fn(&str) -> Option<String>) -> (String, Vec<Mark>, Vec<Fault>) {
    let tokens = tokens(text);
    let mut out = String::with_capacity(text.len());
    let (mut marks, mut faults) = (Vec::new(), Vec::new());
    let mut open: Vec<Branch> = Vec::new();
    let mut place = 0;
    for (at, token) in tokens.iter().enumerate() {
        let is_line_start = out.is_empty() || out.ends_with('\n');
        let mut put = |mark: Mark, out: &mut String| {
            out.push_str(&gap(&marks.len().to_string()));
            marks.push(mark);
        };
        let words = match token {
            Token::Text(text) => {
                for line in text.split_inclusive('\n') {
                    let is_start = out.is_empty() || out.ends_with('\n');
                    let sign = open.iter().any(|branch| branch.of_lines).then(|| sign(line)).flatten().filter(|_| is_start);
                    let (sign, rest) = line.split_at(sign.unwrap_or(0));
                    out.push_str(sign);
                    if !sign.is_empty() {
                        for (condition, holds) in open.iter().filter(|branch| branch.of_lines).flat_map(|branch| branch.path.clone()) {
                            put(Mark::Piece(Piece::Only { condition, holds }), &mut out);
                        }
                    }
                    out.push_str(rest);
                }
                continue;
            }
            Token::Mark(words) => *words,
        };
        let Some(does) = statement(words) else {
            put(Mark::Piece(piece(words, why)), &mut out);
            continue;
        };
        let statement = Statement { place, does };
        place += 1;
        let is_if = matches!(statement.does, Does::If(_));
        let behind = tokens[at + 1..].iter().find(|token| !matches!(token, Token::Mark(words) if self::statement(words).is_some()));
        let of_lines = match behind {
            _ if !is_if => open.last().is_some_and(|branch| branch.of_lines),
            Some(Token::Text(text)) => is_line_start && sign(text).is_some(),
            _ => false,
        };
        branch(&mut open, &statement);
        if is_if && let Some(branch) = open.last_mut() {
            branch.of_lines = of_lines;
        }
        if !of_lines {
            put(Mark::Statement(statement), &mut out);
        } else if !is_line_start {
            faults.push(Fault {
                statement: Some(statement.place),
                near: String::new(),
                message: "a condition around items or rows ends in the middle of a line".to_owned(),
                hint: "write the tag at the beginning of the next line".to_owned(),
            });
        }
    }
    (out, marks, faults)
}

/// Cuts a text at its marks, and takes away the blanks that the dash of a statement takes away.
fn tokens(text: &str) -> Vec<Token<'_>> {
    let mut tokens: Vec<Token<'_>> = Vec::new();
    let mut trims = false;
    for (at, part) in text.split(MARK).enumerate() {
        if at % 2 == 0 {
            tokens.push(Token::Text(if trims { part.trim_start() } else { part }.to_owned()));
            trims = false;
            continue;
        }
        if part.starts_with("%-")
            && let Some(Token::Text(before)) = tokens.last_mut()
        {
            before.truncate(before.trim_end().len());
        }
        trims = part.starts_with('%') && part.ends_with("-%");
        tokens.push(Token::Mark(part));
    }
    tokens.retain(|token| !matches!(token, Token::Text(text) if text.is_empty()));
    tokens
}

/// How long the sign is with which a line begins an item or a row, the blanks before it included.
fn sign(line: &str) -> Option<usize> {
    let inside = line.trim_start_matches(' ');
    let digits = inside.len() - inside.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let sign = match inside[digits..].as_bytes() {
        [b'|', ..] if digits == 0 => 1,
        [b'-' | b'*' | b'+', b' ', ..] if digits == 0 => 2,
        [b'.' | b')', b' ', ..] if digits > 0 => digits + 2,
        _ => return None,
    };
    Some(line.len() - inside.len() + sign)
}

/// What a mark of a statement does.
fn statement(words: &str) -> Option<Does> {
    let body = words.strip_prefix('%')?.strip_suffix('%')?.trim_matches('-').trim();
    let (name, condition) = body.split_once(char::is_whitespace).unwrap_or((body, ""));
    // What can not be read was refused where it is written.
    let short = || Condition::written(condition).map_or_else(|_| String::new(), |condition| condition.to_string());
    match name {
        "if" => Some(Does::If(short())),
        "elif" => Some(Does::Elif(short())),
        "else" => Some(Does::Else),
        "endif" => Some(Does::End),
        _ => None,
    }
}

/// What any other mark stands for.
fn piece(words: &str, why: &dyn Fn(&str) -> Option<String>) -> Piece {
    if let Some(claim) = words.strip_prefix('!') {
        return Piece::Claim(claim.to_owned());
    }
    match words.strip_prefix('-') {
        Some(id) => Piece::Lacks(escaped(&why(id).unwrap_or_default())),
        None => Piece::Gap(words.to_owned()),
    }
}

type Events<'t> = [(Event<'t>, Range<usize>)];

/// The events of each block at the top, in the order of the page.
fn at_the_top<'e, 't>(events: &'e Events<'t>) -> Vec<&'e Events<'t>> {
    let (mut tops, mut depth, mut from) = (Vec::new(), 0_usize, 0);
    for (at, (event, _)) in events.iter().enumerate() {
        match event {
            Event::Start(_) => depth += 1,
            Event::End(_) => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            tops.push(&events[from..=at]);
            from = at + 1;
        }
    }
    tops
}

/// The statements of a block that holds nothing else.
fn only_statements<'m>(text: &str, marks: &'m [Mark]) -> Option<Vec<&'m Statement>> {
    let parts: Vec<_> = text.split(MARK).collect();
    let numbers = parts.iter().skip(1).step_by(2).map(|number| number.parse::<usize>().ok().and_then(|number| marks.get(number)));
    let statements: Option<Vec<_>> = numbers
        .map(|mark| match mark {
            Some(Mark::Statement(statement)) => Some(statement),
            _ => None,
        })
        .collect();
    let holds_nothing_else = parts.iter().step_by(2).all(|words| words.trim().is_empty());
    statements.filter(|statements| holds_nothing_else && !statements.is_empty())
}

fn trimmed(text: &str, span: Range<usize>) -> Range<usize> {
    span.start..span.start + text[span.clone()].trim_end().len()
}

/// The span from the beginning of its line, without the blank lines behind it but with its own line end.
fn whole_lines(text: &str, span: Range<usize>) -> Range<usize> {
    let Range { start, end } = trimmed(text, span);
    let line = text[..start].rfind('\n').map_or(0, |at| at + 1);
    let start = if text[line..start].trim().is_empty() { line } else { start };
    let end = if text[end..].starts_with('\n') { end + 1 } else { end };
    start..end
}

/// The pieces of a block, as they are read.
#[derive(Default)]
struct Pieces {
    done: Vec<Piece>,
    open: Vec<Choice>,
}

/// A choice that is open.
struct Choice {
    condition: String,
    yes: Vec<Piece>,
    /// Where it does not hold, once that is reached.
    no: Option<Vec<Piece>>,
    /// Whether it goes on from another, and ends with that.
    goes_on: bool,
    /// How many elements of the line were open where it began.
    depth: usize,
    statement: usize,
}

impl Pieces {
    fn push(&mut self, piece: Piece) {
        let to = match self.open.last_mut() {
            None => &mut self.done,
            Some(choice) => choice.no.as_mut().unwrap_or(&mut choice.yes),
        };
        match (to.last_mut(), piece) {
            (Some(Piece::Text(last)), Piece::Text(text)) => last.push_str(&text),
            (_, Piece::Text(text)) if text.is_empty() => {}
            (_, piece) => to.push(piece),
        }
    }

    /// `Err` where the statement belongs to nothing in this block.
    fn statement(&mut self, statement: &Statement, depth: usize) -> Result<(), ()> {
        let choice = |condition: &String, goes_on| {
            let (condition, statement) = (condition.clone(), statement.place);
            Choice { condition, yes: Vec::new(), no: None, goes_on, depth, statement }
        };
        if let Does::If(condition) = &statement.does {
            self.open.push(choice(condition, false));
            return Ok(());
        }
        let last = self.open.last_mut().filter(|last| last.depth == depth).ok_or(())?;
        match &statement.does {
            Does::If(_) => {}
            Does::Else => last.no = Some(Vec::new()),
            Does::Elif(condition) => {
                last.no = Some(Vec::new());
                self.open.push(choice(condition, true));
            }
            Does::End => {
                while let Some(Choice { condition, yes, no, goes_on, .. }) = self.open.pop() {
                    self.push(Piece::Choice { condition, yes, no: no.unwrap_or_default() });
                    if !goes_on {
                        break;
                    }
                }
            }
        }
        Ok(())
    }
}

/// A block that is open.
struct Frame {
    kind: Kind,
    opening: String,
    closing: String,
    pieces: Pieces,
    /// Up to where its Markdown is read.
    done: usize,
    /// How many elements of the line are open in it.
    depth: usize,
    /// It holds a word of a glossary and what is said of it.
    is_entry: bool,
}

impl Frame {
    fn new(kind: Kind, opening: impl Into<String>, closing: impl Into<String>) -> Self {
        let (opening, closing) = (opening.into(), closing.into());
        Frame { kind, opening, closing, pieces: Pieces::default(), done: 0, depth: 0, is_entry: false }
    }
}

fn kind(tag: &Tag<'_>) -> Option<Kind> {
    match tag {
        Tag::Paragraph | Tag::HtmlBlock | Tag::CodeBlock(_) => Some(Kind::Words),
        Tag::Heading { .. } => Some(Kind::Heading),
        Tag::Item | Tag::TableRow => Some(Kind::Part),
        Tag::List(_) | Tag::Table(_) | Tag::DefinitionList => Some(Kind::Whole),
        Tag::BlockQuote(_)
        | Tag::FootnoteDefinition(_)
        | Tag::TableHead
        | Tag::TableCell
        | Tag::DefinitionListTitle
        | Tag::DefinitionListDefinition => Some(Kind::Other),
        _ => None,
    }
}

fn is_block_end(tag: &TagEnd) -> bool {
    matches!(
        tag,
        TagEnd::Paragraph
            | TagEnd::HtmlBlock
            | TagEnd::CodeBlock
            | TagEnd::Heading(_)
            | TagEnd::Item
            | TagEnd::TableRow
            | TagEnd::List(_)
            | TagEnd::Table
            | TagEnd::DefinitionList
            | TagEnd::BlockQuote(_)
            | TagEnd::FootnoteDefinition
            | TagEnd::TableHead
            | TagEnd::TableCell
            | TagEnd::DefinitionListTitle
            | TagEnd::DefinitionListDefinition
    )
}

/// Where the entry of a glossary ends whose title is the first event.
fn entry_end(events: &Events<'_>) -> usize {
    let mut depth = 0_usize;
    let mut end = 0;
    for (at, (event, span)) in events.iter().enumerate() {
        match event {
            Event::Start(Tag::DefinitionListTitle) if depth == 0 && at > 0 => break,
            Event::Start(_) => depth += 1,
            Event::End(_) if depth == 0 => break,
            Event::End(_) => {
                depth -= 1;
                end = if depth == 0 { span.end } else { end };
            }
            _ => {}
        }
    }
    end
}

/// Reads the events of a block at the top.
struct Reader<'t> {
    text: &'t str,
    marks: &'t [Mark],
    /// Where the next block begins.
    end: usize,
}

impl Reader<'_> {
    /// Puts a text with marks into a frame; `write` says how its words are written.
    fn put(&self, frame: &mut Frame, text: &str, write: &dyn Fn(&str) -> String, faults: &mut Vec<Fault>) {
        for (at, part) in text.split(MARK).enumerate() {
            let mark = if at % 2 == 1 { part.parse::<usize>().ok().and_then(|number| self.marks.get(number)) } else { None };
            match mark {
                None => frame.pieces.push(Piece::Text(write(part))),
                Some(Mark::Piece(piece)) => frame.pieces.push(piece.clone()),
                Some(Mark::Statement(statement)) => {
                    if frame.pieces.statement(statement, frame.depth).is_err() {
                        faults.push(crossing(statement.place));
                    }
                }
            }
        }
    }

    /// Closes the last frame into the one around it, or gives it as the block that is done.
    fn close(frames: &mut Vec<Frame>, faults: &mut Vec<Fault>) -> Option<Block> {
        let mut frame = frames.pop()?;
        while let Some(choice) = frame.pieces.open.pop() {
            faults.push(crossing(choice.statement));
        }
        let Frame { kind, opening, closing, pieces: Pieces { done: pieces, .. }, done, .. } = frame;
        let block = Block { kind, opening, pieces, closing };
        match frames.last_mut() {
            None => Some(block),
            Some(outer) => {
                outer.pieces.push(Piece::Block(block));
                outer.done = outer.done.max(done);
                None
            }
        }
    }

    /// The block as it is written.
    fn markdown(&self, events: &Events<'_>, faults: &mut Vec<Fault>) -> Option<Block> {
        let as_it_is = |words: &str| words.to_owned();
        let mut frames: Vec<Frame> = Vec::new();
        let mut block = None;
        let mut is_ordered = Vec::new();
        // Reads the Markdown of the last frame up to a place.
        let read_to = |frames: &mut Vec<Frame>, to: usize, faults: &mut Vec<Fault>| {
            if let Some(frame) = frames.last_mut().filter(|frame| frame.done < to) {
                let from = std::mem::replace(&mut frame.done, to);
                self.put(frame, &self.text[from..to], &as_it_is, faults);
            }
        };
        for (at, (event, span)) in events.iter().enumerate() {
            let span = span.start..span.end.min(self.end);
            let is_title = matches!(event, Event::Start(Tag::DefinitionListTitle));
            if (is_title || matches!(event, Event::End(TagEnd::DefinitionList))) && frames.last().is_some_and(|frame| frame.is_entry) {
                Self::close(&mut frames, faults);
            }
            match event {
                Event::Start(tag) => {
                    match tag {
                        Tag::List(start) => is_ordered.push(start.is_some()),
                        Tag::DefinitionListTitle => {
                            let lines = whole_lines(self.text, span.start..entry_end(&events[at..]).min(self.end));
                            self.open(&mut frames, Kind::Part, lines.start, &read_to, faults);
                            if let Some(frame) = frames.last_mut() {
                                frame.is_entry = true;
                            }
                        }
                        _ => {}
                    }
                    let Some(kind) = kind(tag) else { continue };
                    // The blanks before its first sign belong to a list inside another.
                    let takes_lines = matches!(kind, Kind::Part | Kind::Whole);
                    let lines = if takes_lines { whole_lines(self.text, span.clone()) } else { trimmed(self.text, span.clone()) };
                    self.open(&mut frames, kind, lines.start, &read_to, faults);
                    if let (Tag::Item, Some(frame)) = (tag, frames.last_mut()) {
                        self.read_sign(frame, span.start, is_ordered.last() == Some(&true));
                    }
                }
                Event::End(tag) if is_block_end(tag) => {
                    if matches!(tag, TagEnd::List(_)) {
                        is_ordered.pop();
                    }
                    let is_part = matches!(tag, TagEnd::Item | TagEnd::TableRow);
                    let lines = if is_part { whole_lines(self.text, span.clone()) } else { trimmed(self.text, span.clone()) };
                    read_to(&mut frames, lines.end, faults);
                    block = Self::close(&mut frames, faults).or(block);
                }
                Event::Rule if frames.is_empty() => {
                    let pieces = vec![Piece::Text(self.text[span].to_owned())];
                    block = Some(Block { kind: Kind::Words, opening: String::new(), pieces, closing: String::new() });
                }
                _ => {}
            }
        }
        block
    }

    /// Opens the frame of a block that begins at a place.
    fn open(
        &self,
        frames: &mut Vec<Frame>,
        kind: Kind,
        start: usize,
        read_to: &dyn Fn(&mut Vec<Frame>, usize, &mut Vec<Fault>),
        faults: &mut Vec<Fault>,
    ) {
        read_to(frames, start, faults);
        let done = frames.last().map_or(start, |outer| outer.done.max(start));
        frames.push(Frame { done, ..Frame::new(kind, "", "") });
    }

    /// Reads the sign of an item: what opens it, and its number apart.
    fn read_sign(&self, frame: &mut Frame, at: usize, is_ordered: bool) {
        let at = at.max(frame.done);
        let digits = self.text[at..].chars().take_while(char::is_ascii_digit).count();
        if is_ordered {
            frame.opening = self.text[frame.done..at].to_owned();
            frame.pieces.push(Piece::Ordinal(self.text[at..at + digits].to_owned()));
            frame.done = at + digits;
        } else {
            let sign = sign(&self.text[frame.done..]).unwrap_or(at - frame.done);
            frame.opening = self.text[frame.done..frame.done + sign].to_owned();
            frame.done += sign;
        }
    }

    /// The block as mdBook writes it in HTML.
    fn html(&self, events: &Events<'_>, ids: &mut Ids, faults: &mut Vec<Fault>) -> Option<Block> {
        let mut frames: Vec<Frame> = Vec::new();
        let mut block = None;
        let (mut aligned, mut column, mut is_head) = (Vec::new(), 0, false);
        let mut is_code = false;
        let near = || self.words(&events[0].1);
        for (at, (event, _)) in events.iter().enumerate() {
            let is_title = matches!(event, Event::Start(Tag::DefinitionListTitle));
            if (is_title || matches!(event, Event::End(TagEnd::DefinitionList))) && frames.last().is_some_and(|frame| frame.is_entry) {
                Self::close(&mut frames, faults);
            }
            match event {
                Event::Start(tag) => match tag {
                    Tag::Table(alignments) => {
                        aligned.clone_from(alignments);
                        frames.push(Frame::new(Kind::Whole, "<div class=\"table-wrapper\"><table>", "</tbody></table></div>"));
                    }
                    Tag::TableHead => {
                        (is_head, column) = (true, 0);
                        frames.push(Frame::new(Kind::Other, "<thead><tr>", "</tr></thead><tbody>"));
                    }
                    Tag::TableRow => {
                        (is_head, column) = (false, 0);
                        frames.push(Frame::new(Kind::Part, "<tr>", "</tr>"));
                    }
                    Tag::TableCell => {
                        let align = match aligned.get(column) {
                            Some(Alignment::Left) => " style=\"text-align: left\"",
                            Some(Alignment::Center) => " style=\"text-align: center\"",
                            Some(Alignment::Right) => " style=\"text-align: right\"",
                            Some(Alignment::None) | None => "",
                        };
                        column += 1;
                        let name = if is_head { "th" } else { "td" };
                        frames.push(Frame::new(Kind::Other, format!("<{name}{align}>"), format!("</{name}>")));
                    }
                    Tag::DefinitionListTitle => {
                        frames.push(Frame { is_entry: true, ..Frame::new(Kind::Part, "", "") });
                        frames.push(self.linked("dt", Kind::Other, None, &events[at..], ids, faults));
                    }
                    Tag::Heading { level, id, .. } => {
                        frames.push(self.linked(&level.to_string(), Kind::Heading, id.as_deref(), &events[at..], ids, faults));
                    }
                    Tag::Paragraph => {
                        // A part stands in no paragraph.
                        let is_part = self.is_part(&events[at..]);
                        frames.push(if is_part { Frame::new(Kind::Words, "", "") } else { Frame::new(Kind::Words, "<p>", "</p>") });
                    }
                    Tag::CodeBlock(code) => {
                        is_code = true;
                        let language = match code {
                            CodeBlockKind::Fenced(info) => info.split([' ', '\t', ',']).find(|word| !word.is_empty()),
                            CodeBlockKind::Indented => None,
                        };
                        let class = language.map(|language| format!(" class=\"language-{}\"", written(language))).unwrap_or_default();
                        frames.push(Frame::new(Kind::Words, format!("<pre><code{class}>"), "</code></pre>"));
                    }
                    Tag::HtmlBlock => frames.push(Frame::new(Kind::Words, "", "")),
                    Tag::List(None) => frames.push(Frame::new(Kind::Whole, "<ul>", "</ul>")),
                    Tag::List(Some(start)) => {
                        let start = if *start == 1 { String::new() } else { format!(" start=\"{start}\"") };
                        frames.push(Frame::new(Kind::Whole, format!("<ol{start}>"), "</ol>"));
                    }
                    Tag::Item => frames.push(Frame::new(Kind::Part, "<li>", "</li>")),
                    Tag::DefinitionList => frames.push(Frame::new(Kind::Whole, "<dl>", "</dl>")),
                    Tag::DefinitionListDefinition => frames.push(Frame::new(Kind::Other, "<dd>", "</dd>")),
                    Tag::BlockQuote(None) => frames.push(Frame::new(Kind::Other, "<blockquote>", "</blockquote>")),
                    Tag::BlockQuote(Some(_)) => {
                        faults.push(not_in("a note", near()));
                        return None;
                    }
                    Tag::FootnoteDefinition(_) => {
                        faults.push(not_in("a footnote", near()));
                        return None;
                    }
                    Tag::Image { .. } => {
                        faults.push(not_in("words with a picture", near()));
                        return None;
                    }
                    Tag::Link { link_type, dest_url, title, .. } => {
                        let address = if *link_type == LinkType::Email { format!("mailto:{dest_url}") } else { of_page(dest_url) };
                        let title = if title.is_empty() { String::new() } else { format!(" title=\"{}\"", written(title)) };
                        self.inline(&mut frames, &format!("<a href=\"{}\"{title}>", written(&address)), true);
                    }
                    other => self.inline(&mut frames, &format!("<{}>", inline_name(other)), true),
                },
                Event::End(tag) if is_block_end(tag) => {
                    is_code = false;
                    block = Self::close(&mut frames, faults).or(block);
                }
                Event::End(TagEnd::Link) => self.inline(&mut frames, "</a>", false),
                Event::End(tag) => self.inline(&mut frames, &format!("</{}>", inline_end(tag)), false),
                Event::Code(code) => {
                    if code.contains(MARK) {
                        faults.push(not_in("code", near()));
                    }
                    self.inline(&mut frames, &format!("<code>{}</code>", written(code)), false);
                }
                Event::Text(text) => {
                    if is_code && text.contains(MARK) {
                        faults.push(not_in("code", near()));
                    }
                    if let Some(frame) = frames.last_mut() {
                        self.put(frame, text, &written, faults);
                    }
                }
                Event::Html(html) | Event::InlineHtml(html) => {
                    if let Some(frame) = frames.last_mut() {
                        self.put(frame, html, &without_braces, faults);
                    }
                }
                Event::SoftBreak => self.inline(&mut frames, "\n", false),
                Event::HardBreak => self.inline(&mut frames, "<br>", false),
                Event::Rule if frames.is_empty() => {
                    let pieces = vec![Piece::Text("<hr>".to_owned())];
                    block = Some(Block { kind: Kind::Words, opening: String::new(), pieces, closing: String::new() });
                }
                Event::Rule => self.inline(&mut frames, "<hr>", false),
                Event::FootnoteReference(_) => {
                    faults.push(not_in("words with a footnote", near()));
                    return None;
                }
                Event::TaskListMarker(_) | Event::InlineMath(_) | Event::DisplayMath(_) => {
                    faults.push(not_in("a list of tasks or a formula", near()));
                    return None;
                }
            }
        }
        block
    }

    /// Puts a piece of a line into the last frame.
    fn inline(&self, frames: &mut [Frame], html: &str, opens: bool) {
        if let Some(frame) = frames.last_mut() {
            let closes = html.starts_with("</");
            frame.depth = if closes { frame.depth.saturating_sub(1) } else { frame.depth + usize::from(opens) };
            frame.pieces.push(Piece::Text(html.to_owned()));
        }
    }

    /// The frame of a heading or a word of a glossary, which links to itself.
    fn linked(&self, name: &str, kind: Kind, id: Option<&str>, events: &Events<'_>, ids: &mut Ids, faults: &mut Vec<Fault>) -> Frame {
        let words = words_of(events);
        if id.is_none() && words.contains(MARK) {
            faults.push(Fault {
                statement: None,
                near: self.words(&events[0].1),
                message: "a heading that depends on the tank has no id of its own".to_owned(),
                hint: "write one behind it, such as `{#the-tank}`: links to it must not depend on the tank".to_owned(),
            });
        }
        let id = id.map_or_else(|| ids.next(&words), str::to_owned);
        let id = written(&id);
        Frame::new(kind, format!("<{name} id=\"{id}\"><a class=\"header\" href=\"#{id}\">"), format!("</a></{name}>"))
    }

    /// Whether a paragraph holds nothing but a part that is no figure.
    fn is_part(&self, events: &Events<'_>) -> bool {
        let words = words_of(events);
        let inside = words.trim().strip_prefix(MARK).and_then(|inside| inside.strip_suffix(MARK));
        let mark = inside.and_then(|number| number.parse::<usize>().ok()).and_then(|number| self.marks.get(number));
        matches!(mark, Some(Mark::Piece(Piece::Gap(key))) if !key.starts_with("f:"))
    }

    /// The words of a block, to be looked for where they were written.
    fn words(&self, span: &Range<usize>) -> String {
        self.text[span.clone()].split(MARK).step_by(2).collect::<Vec<_>>().join(" ")
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

fn inline_name(tag: &Tag<'_>) -> &'static str {
    match tag {
        Tag::Emphasis => "em",
        Tag::Strong => "strong",
        Tag::Strikethrough => "del",
        Tag::Superscript => "sup",
        Tag::Subscript => "sub",
        _ => "span",
    }
}

fn inline_end(tag: &TagEnd) -> &'static str {
    match tag {
        TagEnd::Emphasis => "em",
        TagEnd::Strong => "strong",
        TagEnd::Strikethrough => "del",
        TagEnd::Superscript => "sup",
        TagEnd::Subscript => "sub",
        _ => "span",
    }
}

fn crossing(statement: usize) -> Fault {
    Fault {
        statement: Some(statement),
        near: String::new(),
        message: "this condition begins in one block of the page and ends in another, or cuts one in two".to_owned(),
        hint: "put its tags on lines of their own, with empty lines around them, or all of them into one sentence, item or row".to_owned(),
    }
}

fn not_in(what: &str, near: String) -> Fault {
    let message = format!("{what} can not depend on the tank");
    Fault { statement: None, near, message, hint: "say it in a sentence, a list or a table".to_owned() }
}

/// Words as HTML, with no brace in them.
fn written(words: &str) -> String {
    without_braces(&words.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;"))
}

fn without_braces(html: &str) -> String {
    html.replace('{', "&#123;").replace('}', "&#125;")
}

/// The address of a page, for that of its chapter.
fn of_page(address: &str) -> String {
    let leaves = address.split_once(':').is_some_and(|(scheme, _)| scheme.chars().all(|c| c.is_ascii_alphanumeric() || "+.-".contains(c)));
    let (chapter, anchor) = address.find('#').map_or((address, ""), |at| address.split_at(at));
    match chapter.strip_suffix(".md") {
        Some(stem) if !leaves => format!("{stem}.html{anchor}"),
        _ => address.to_owned(),
    }
}

/// The ids that mdBook gives to headings and to the words of a glossary.
#[derive(Default)]
struct Ids(HashSet<String>);

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
    fn pass(&mut self, events: &Events<'_>) {
        for (at, (event, _)) in events.iter().enumerate() {
            if matches!(event, Event::Start(Tag::Heading { id: None, .. } | Tag::DefinitionListTitle)) {
                self.next(&words_of(&events[at..]));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use reckoner_page::html::Medium;
    use reckoner_page::part::Part;
    use reckoner_page::passage::Setting;

    /// A tank without any part, but for water.
    fn answer(key: &str) -> Part {
        match key.split_once(':') {
            Some(("f", "water")) => Part::Printed("9 L".to_owned()),
            Some(("f", id)) => Part::Lacks(format!("No {id}.")),
            Some(("?", "water" | "!sand")) => Part::Yes,
            Some(("t", _)) => Part::Printed("<table></table>".to_owned()),
            _ => Part::No,
        }
    }

    fn locked(text: &str, is_html: bool) -> Result<Forme, Vec<Fault>> {
        // `@sand@` is a figure, `@@` words that are not true, `@if …@` a condition.
        let marked = text.split('@').enumerate().map(|(at, part)| match (at % 2, part) {
            (0, text) => text.to_owned(),
            (_, "") => claim("1 > 2"),
            (_, statement) if ["if", "elif", "else", "end"].iter().any(|start| statement.starts_with(start)) => {
                format!("{MARK}% {statement} %{MARK}")
            }
            (_, key) if key.contains(':') => gap(key),
            (_, id) => gap(&format!("f:{id}")),
        });
        lock(&marked.collect::<String>(), &MarkdownOptions::default(), is_html, &|id| Some(format!("No {id}.")))
    }

    /// What is left; how many blank lines part two blocks means nothing.
    fn given(text: &str) -> String {
        let forme = locked(text, false).unwrap();
        let mut setting = Setting::new(Medium::Markdown, &answer, "");
        let set = forme.segments.iter().map(|segment| match segment {
            Segment::Plain(text) => text.clone(),
            Segment::Passage { markdown, .. } => setting.set(markdown),
            Segment::Proof(part) => part.name().to_owned(),
        });
        let mut left: String = set.collect();
        while left.contains("\n\n\n") {
            left = left.replace("\n\n\n", "\n\n");
        }
        left.trim_matches('\n').to_owned() + "\n"
    }

    /// What a page carries, set as HTML.
    fn html(text: &str) -> String {
        let forme = locked(text, true).unwrap();
        let mut setting = Setting::new(Medium::Html, &answer, "");
        let passages = forme.segments.iter().filter_map(|segment| match segment {
            Segment::Passage { html, .. } => html.as_ref(),
            _ => None,
        });
        passages.map(|passage| setting.set(passage)).collect::<String>().trim_end().to_owned()
    }

    #[test]
    fn a_paragraph_gives_way_whole() {
        assert_eq!(given("Before.\n\nIt lasts @battery@\nand more.\n\nAfter.\n"), "Before.\n\nNo battery.\n\nAfter.\n");
        assert_eq!(given("It lasts @battery@:\n- one\n- two\n"), "No battery.\n\n- one\n- two\n");
        assert_eq!(given("@sand@ and @sump@\n"), "No sand.\n\nNo sump.\n");
    }

    #[test]
    fn words_that_are_not_true_go_in_silence() {
        assert_eq!(given("Before.\n\nMore than half.@@\n\nAfter.\n"), "Before.\n\nAfter.\n");
    }

    #[test]
    fn a_section_tells_a_reason_once() {
        assert_eq!(given("# A\n\n@sand@\n\nx\n\n@sand@ b\n\n## B\n\n@sand@\n"), "# A\n\nNo sand.\n\nx\n\n## B\n\nNo sand.\n");
    }

    #[test]
    fn an_item_is_left_out_and_the_reason_comes_behind_its_list() {
        assert_eq!(given("- one\n- @sand@ is\n- two\n\nAfter.\n"), "- one\n- two\n\nNo sand.\n\nAfter.\n");
        assert_eq!(given("- one\n- @sand@ is\n\n## After\n"), "- one\n\nNo sand.\n\n## After\n");
        assert_eq!(given("1. @sand@\n2. two\n3. three\n"), "1. two\n3. three\n\nNo sand.\n");
        assert_eq!(given("- one\n  - @sand@\n  - b\n- two\n"), "- one\n  - b\n- two\n\nNo sand.\n");
        assert_eq!(given("- one\n\n  @sand@\n\n- two\n"), "- two\n\nNo sand.\n");
    }

    #[test]
    fn behind_a_last_item_that_goes_the_next_paragraph_stands_alone() {
        assert_eq!(given("- one\n- @sand@\n\nSee [a](b).\n"), "- one\n\nNo sand.\n\nSee [a](b).\n");
        assert_eq!(given("1. one\n2. @sand@\n   [more](c)\n\n## Next\n"), "1. one\n\nNo sand.\n\n## Next\n");
    }

    #[test]
    fn a_list_without_items_is_none() {
        assert_eq!(given("For it:\n\n- @sand@\n- @sand@\n\nAfter.\n"), "For it:\n\nNo sand.\n\nAfter.\n");
    }

    #[test]
    fn a_row_is_left_out() {
        assert_eq!(
            given("| a | b |\n|---|---|\n| c | @sand@ |\n| d | e |\n\nAfter.\n"),
            "| a | b |\n|---|---|\n| d | e |\n\nNo sand.\n\nAfter.\n"
        );
        assert_eq!(given("| a | b |\n|---|---|\n| c | @sand@ |\n\nAfter.\n"), "No sand.\n\nAfter.\n");
        assert_eq!(
            given("| a | b |\n|---|---|\n| d | e |\n| c | @sand@ |\n\n## After\n"),
            "| a | b |\n|---|---|\n| d | e |\n\nNo sand.\n\n## After\n"
        );
        assert_eq!(given("| a | @sand@ |\n|---|---|\n| c | d |\n\nAfter.\n"), "No sand.\n\nAfter.\n");
    }

    #[test]
    fn an_entry_of_a_glossary_goes_with_its_word() {
        assert_eq!(given("a\n: first\n\nb\n: @sand@\n\nc\n: third\n"), "a\n: first\n\nc\n: third\n\nNo sand.\n");
        assert_eq!(given("a\n: @water@\n\nAfter @water@.\n\n- b\n"), "a\n: 9 L\n\nAfter 9 L.\n\n- b\n");
    }

    #[test]
    fn html_gives_way_and_notes_keep_their_frame() {
        assert_eq!(given("<div>\n<p>@sand@</p>\n</div>\n\nAfter.\n"), "No sand.\n\nAfter.\n");
        assert_eq!(given("> [!NOTE]\n> a @sand@\n> b\n\nAfter.\n"), "> [!NOTE]\n> No sand.\n\nAfter.\n");
        assert_eq!(given("# The @sand@\n\nAfter.\n"), "No sand.\n\nAfter.\n");
    }

    #[test]
    fn conditions_stand_around_blocks_items_rows_or_words() {
        let both = "@if sand is defined@\n\nA.\n\n- B\n\n@else@\n\nC.\n\n@endif@\n\nD.\n";
        assert_eq!(given(both), "C.\n\nD.\n");
        assert_eq!(given(&both.replace("sand", "water")), "A.\n\n- B\n\nD.\n");
        let chain = "@if sand is defined@a@elif not sump is defined and sand is defined@b@elif water is defined@c@else@d@endif@ e\n";
        assert_eq!(given(chain), "c e\n");
        assert_eq!(given(&chain.replace("water", "sump")), "d e\n");
        let items = "- a\n@if sand is defined -@\n- b\n  more\n- c\n@endif -@\n- d\n";
        assert_eq!(given(&items.replace(" -@", "@").replace("@\n- ", "@- ")), "- a\n- d\n");
        assert_eq!(given(&items.replace(" -@", "@").replace("@\n- ", "@- ").replace("sand", "water")), "- a\n- b\n  more\n- c\n- d\n");
        let rows =
            "| a | b |\n|---|---|\n@if sand is defined@| c | @sand@ |\n@else@| e | f@if water is defined@ g@endif@ |\n@endif@| h | i |\n";
        assert_eq!(given(rows), "| a | b |\n|---|---|\n| e | f g |\n| h | i |\n");
        // A paragraph that says nothing is none, and a heading that is not there begins no section.
        assert_eq!(given("A.\n\n@if sand is defined@B.@endif@\n\nC.\n"), "A.\n\nC.\n");
        let heading = "@sand@\n\n@if sand is defined@\n\n## B\n\n@endif@\n\n@sand@ c\n\n## D\n\n@sand@\n";
        assert_eq!(given(heading), "No sand.\n\n## D\n\nNo sand.\n");
    }

    #[test]
    fn a_dash_takes_blanks_away() {
        let text = format!("a\n\n{MARK}%- if water is defined -%{MARK}\n b\n{MARK}%- endif %{MARK}\nc\n");
        let forme = lock(&text, &MarkdownOptions::default(), false, &|_| None).unwrap();
        let Some(Segment::Passage { markdown, .. }) = forme.segments.get(1) else { panic!("{forme:?}") };
        assert_eq!(Setting::new(Medium::Markdown, &answer, "").set(markdown), "ab\nc");
    }

    #[test]
    fn conditions_that_cut_a_block_in_two_are_refused() {
        let faults = |text: &str| {
            let faults = locked(text, true).unwrap_err();
            faults.iter().map(|fault| (fault.statement, fault.message.split(' ').take(3).collect::<Vec<_>>().join(" "))).collect::<Vec<_>>()
        };
        let cut = |statement| (Some(statement), "this condition begins".to_owned());
        assert_eq!(faults("A @if sand is defined@b.\n\nC @endif@d.\n"), [cut(0), cut(1)]);
        assert_eq!(faults("A @if sand is defined@*b @endif@c*.\n"), [cut(1), cut(0)]);
        assert_eq!(faults("| a | b |\n|---|---|\n| c @if sand is defined@| d@endif@ |\n"), [cut(0), cut(1)]);
        assert_eq!(faults("- a\n@if sand is defined@- b @endif@\n- c\n"), [(Some(1), "a condition around".to_owned())]);
        for (text, what) in [
            ("> [!NOTE]\n> a @sand@\n", "a note"),
            ("a `@sand@` b\n", "code"),
            ("```\n@sand@\n```\n", "code"),
            ("a ![b](c) @sand@\n", "words with a picture"),
            ("# A @sand@\n", "a heading"),
        ] {
            let fault = locked(text, true).unwrap_err().remove(0);
            assert!(fault.message.starts_with(what) && !fault.hint.is_empty(), "{fault:?}");
        }
    }

    #[test]
    fn html_is_what_mdbook_writes() {
        assert_eq!(
            html("Plain.\n\nIt *holds* @water@, `x<y` & [more](a.md#b).\n"),
            "<p>It <em>holds</em> 9 L, <code>x&lt;y</code> &amp; <a href=\"a.html#b\">more</a>.</p>"
        );
        assert_eq!(html("@t:bands@\n"), "<table></table>");
        assert_eq!(html("1. a @water@\n2. @sand@\n"), "<ol><li>a 9 L</li></ol>\n\n<p class=\"lacking\">No sand.</p>");
        assert_eq!(
            html("| a | b |\n|--:|---|\n| c | @water@ |\n"),
            "<div class=\"table-wrapper\"><table><thead><tr><th style=\"text-align: right\">a</th><th>b</th></tr></thead><tbody>\
             <tr><td style=\"text-align: right\">c</td><td>9 L</td></tr></tbody></table></div>"
        );
        assert_eq!(
            html("# Two words\n\n@if water is defined@\n\n## Two words\n\n@endif@\n"),
            "<h2 id=\"two-words-1\"><a class=\"header\" href=\"#two-words-1\">Two words</a></h2>"
        );
        assert_eq!(html("a\n: @water@\n"), "<dl><dt id=\"a\"><a class=\"header\" href=\"#a\">a</a></dt><dd>9 L</dd></dl>");
        assert_eq!(html("## The @water@ {#x}\n"), "<h2 id=\"x\"><a class=\"header\" href=\"#x\">The 9 L</a></h2>");
    }

    #[test]
    fn a_reason_is_text_whatever_it_holds() {
        let text = format!("{}\n", lacking("a"));
        let forme = lock(&text, &MarkdownOptions::default(), true, &|_| Some("<b> *x* {{#include a}}".to_owned())).unwrap();
        let Some(Segment::Passage { markdown, html }) = forme.segments.get(1) else { panic!("{forme:?}") };
        for passage in [markdown, html.as_ref().unwrap()] {
            let set = Setting::new(Medium::Html, &answer, "").set(passage);
            assert!(set.starts_with("<p class=\"lacking\">&#60;b&#62; &#42;x&#42;"), "{set}");
            assert!(!set.contains("{{"), "{set}");
        }
    }
}
