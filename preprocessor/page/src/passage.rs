//! Passages: the blocks of a page that depend on the tank, and how they are set for one.
//!
//! A passage is a block at the top of a page, a paragraph, heading, list or table, with a gap for each part
//! of the tank in it. It is the same for every tank. [`Setting`] sets it for one: it fills the gaps and
//! chooses between words. Where the tank lacks a part, the whole block with the gap gives way, so that no
//! half of a sentence is left: a paragraph or heading becomes the reason; a list item, a row of a table or an
//! entry of a glossary goes, and the reason comes behind its list or table. A section tells each reason once.
//! Words that are held to figures which do not bear them out go in silence.
//!
//! The pages of the book carry their passages, so that a browser can [`set`] them for the reader's own tank;
//! [`Form`] is what they carry.

use std::collections::BTreeSet;
use std::fmt::{self, Write as _};

use crate::captions::Captions;
use crate::html::Medium;
use crate::part::Part;
use crate::text::escaped;

/// What a block is to the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A paragraph, or HTML by itself: gives way to the reason.
    Words,
    /// One of several of its whole, such as an item or a row: goes without a trace.
    Part,
    /// A list, a table or a glossary: holds parts.
    Whole,
    /// A heading: begins a section.
    Heading,
    /// A cell, a note: what is in it belongs to the block around it.
    Other,
}

/// A block, with what stands before and behind its pieces: tags, or marks of Markdown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Block {
    /// What it is to the others.
    pub kind: Kind,
    /// What opens it.
    pub opening: String,
    /// What it holds.
    pub pieces: Vec<Piece>,
    /// What closes it.
    pub closing: String,
}

/// A piece of a block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece {
    /// HTML or Markdown that is the same for every tank.
    Text(String),
    /// A place for a part of the tank, by its [key](crate::part).
    Gap(String),
    /// Something that a tank of the book lacks; why, as it is printed.
    Lacks(String),
    /// Words beside it are held to figures: a [claim](crate::claims).
    Claim(String),
    /// Its block is there only for tanks of which a [condition](crate::condition) holds, or does not hold.
    Only {
        /// The condition, short.
        condition: String,
        /// What it must come to.
        holds: bool,
    },
    /// One of two, as a condition holds or not.
    Choice {
        /// The condition, short.
        condition: String,
        /// Where it holds.
        yes: Vec<Piece>,
        /// Where it does not.
        no: Vec<Piece>,
    },
    /// The number of an item, as its author wrote it. The first that stays takes that of the first.
    Ordinal(String),
    /// A block inside.
    Block(Block),
}

/// A block at the top of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Passage {
    /// Whether a heading that is there for every tank stands between it and the passage before.
    pub begins_section: bool,
    /// The block.
    pub block: Block,
}

/// What an answer to a condition, and the words of [`Passage::walk`], hang on: a condition, and what it must
/// come to.
pub type Path<'p> = Vec<(&'p str, bool)>;

impl Passage {
    /// Goes through all its pieces, those inside others too, each with the conditions it stands under.
    pub fn walk<'p>(&'p self, see: &mut dyn FnMut(&Path<'p>, &'p Piece)) {
        walk(&self.block.pieces, &mut Vec::new(), see);
    }
}

fn walk<'p>(pieces: &'p [Piece], path: &mut Path<'p>, see: &mut dyn FnMut(&Path<'p>, &'p Piece)) {
    let outside = path.len();
    path.extend(pieces.iter().filter_map(|piece| match piece {
        Piece::Only { condition, holds } => Some((condition.as_str(), *holds)),
        _ => None,
    }));
    for piece in pieces {
        see(path, piece);
        match piece {
            Piece::Choice { condition, yes, no } => {
                for (pieces, holds) in [(yes, true), (no, false)] {
                    path.push((condition, holds));
                    walk(pieces, path, see);
                    path.pop();
                }
            }
            Piece::Block(block) => walk(&block.pieces, path, see),
            _ => {}
        }
    }
    path.truncate(outside);
}

/// What comes of a block.
#[derive(Debug)]
enum Outcome {
    Stays(Vec<Out>),
    /// It gives way to these reasons, or to none where words are not true.
    Goes(Vec<String>),
    /// It is not there for this tank, and nothing is said about it.
    Absent,
}

/// A piece of what is printed.
#[derive(Debug)]
enum Out {
    Text(String),
    /// A section begins.
    Section,
    /// Reasons, and where they stand.
    Reasons(Vec<String>, Where),
}

#[derive(Debug, Clone, Copy)]
enum Where {
    /// In place of the block at the top.
    Top,
    /// In place of a block inside.
    Here,
    /// Behind the block at the top.
    Behind,
}

/// A block as it is gone through.
#[derive(Debug, Default)]
struct Going {
    out: Vec<Out>,
    /// Why it must give way.
    whys: Vec<String>,
    gives_way: bool,
    is_absent: bool,
    /// The parts of a whole: how many, and the reasons of those that went. `None` for one that was not there.
    parts: usize,
    gone: Vec<Option<Vec<String>>>,
    /// The number of the first item.
    first: Option<String>,
}

/// Sets the passages of a page for one tank, in the order of the page.
pub struct Setting<'a> {
    medium: Medium,
    /// What the tank has for a key.
    answer: &'a dyn Fn(&str) -> Part,
    /// The address of the ledger from the page, where the book has one.
    ledger: String,
    /// The reasons that the section has told.
    told: BTreeSet<String>,
}

impl<'a> Setting<'a> {
    /// Begins a page.
    ///
    /// - `answer`: gives the parts of the tank by their keys
    /// - `ledger`: the address of the ledger from the page, or nothing
    pub fn new(medium: Medium, answer: &'a dyn Fn(&str) -> Part, ledger: &str) -> Self {
        Setting { medium, answer, ledger: ledger.to_owned(), told: BTreeSet::new() }
    }

    /// Sets the next passage.
    pub fn set(&mut self, passage: &Passage) -> String {
        /// What comes behind a block that gave way, so that the next one is not taken for a part of it.
        const BLANK_LINE: &str = "\n\n";
        if passage.begins_section {
            self.told.clear();
        }
        let mut page = Going::default();
        self.block(&passage.block, None, &mut page);
        let (mut text, mut behind) = (String::new(), Vec::new());
        for out in page.out {
            match out {
                Out::Text(piece) => text.push_str(&piece),
                Out::Section => self.told.clear(),
                Out::Reasons(whys, place) => {
                    let fresh: Vec<_> =
                        whys.into_iter().filter(|why| self.told.insert(why.clone())).collect();
                    match place {
                        Where::Top => text.push_str(&(self.paragraphs(&fresh) + BLANK_LINE)),
                        Where::Here => text.push_str(&self.paragraphs(&fresh)),
                        Where::Behind => behind.extend(fresh),
                    }
                }
            }
        }
        if !behind.is_empty() {
            text = format!("{}{BLANK_LINE}{}{BLANK_LINE}", text.trim_end(), self.paragraphs(&behind));
        }
        if text.trim().is_empty() { String::new() } else { text }
    }

    fn paragraphs(&self, whys: &[String]) -> String {
        let one = |why: &String| match self.medium {
            Medium::Html => format!("<p class=\"lacking\">{why}</p>"),
            Medium::Markdown => why.clone(),
        };
        whys.iter().map(one).collect::<Vec<_>>().join("\n\n")
    }

    /// Whether a condition holds.
    fn asks(&self, condition: &str) -> bool {
        (self.answer)(&format!("?:{condition}")) == Part::Yes
    }

    fn pieces(&self, pieces: &[Piece], kind: Kind, going: &mut Going) {
        for piece in pieces {
            match piece {
                Piece::Text(text) => going.out.push(Out::Text(text.clone())),
                Piece::Gap(key) if key.starts_with("f:") && !self.ledger.is_empty() => {
                    going.take((self.answer)(&format!("{key}@{}", self.ledger)));
                }
                Piece::Gap(key) => going.take((self.answer)(key)),
                Piece::Claim(claim) => going.take((self.answer)(&format!("!:{claim}"))),
                Piece::Lacks(why) => going.lacks(why.clone()),
                Piece::Only { condition, holds } => going.is_absent |= self.asks(condition) != *holds,
                Piece::Choice { condition, yes, no } => {
                    self.pieces(if self.asks(condition) { yes } else { no }, kind, going)
                }
                Piece::Ordinal(own) => {
                    let number = going.first.take().unwrap_or_else(|| own.clone());
                    going.out.push(Out::Text(number));
                }
                Piece::Block(block) => self.block(block, Some(kind), going),
            }
        }
    }

    /// Sets a block inside one of kind `around`, or at the top.
    fn block(&self, block: &Block, around: Option<Kind>, outer: &mut Going) {
        let mut inner = Going::default();
        if block.kind == Kind::Heading {
            inner.out.push(Out::Section);
        }
        // Items before it that went leave it the first number.
        if block.kind == Kind::Part && outer.gone.len() == outer.parts {
            outer.first = outer.first.take().or_else(|| ordinal(&block.pieces));
            inner.first.clone_from(&outer.first);
        }
        self.pieces(&block.pieces, block.kind, &mut inner);
        inner.out.insert(0, Out::Text(block.opening.clone()));
        inner.out.push(Out::Text(block.closing.clone()));
        // A paragraph of a list item takes the item with it, but one of a note does not.
        let belongs_to_outer = match block.kind {
            Kind::Other => around.is_some(),
            Kind::Words => around == Some(Kind::Part),
            Kind::Part | Kind::Whole | Kind::Heading => false,
        };
        if belongs_to_outer {
            outer.gives_way |= inner.gives_way;
            outer.is_absent |= inner.is_absent;
            outer.whys.append(&mut inner.whys);
            outer.out.append(&mut inner.out);
            return;
        }
        let outcome = inner.comes_to(block.kind);
        if block.kind == Kind::Part {
            outer.parts += 1;
            match &outcome {
                Outcome::Stays(_) => {}
                Outcome::Goes(whys) => outer.gone.push(Some(whys.clone())),
                Outcome::Absent => outer.gone.push(None),
            }
        }
        match outcome {
            Outcome::Stays(mut out) => outer.out.append(&mut out),
            Outcome::Goes(whys) => {
                if block.kind == Kind::Heading {
                    outer.out.push(Out::Section);
                }
                let place = match (around, block.kind) {
                    (None, _) => Where::Top,
                    (Some(_), Kind::Words) => Where::Here,
                    (Some(_), _) => Where::Behind,
                };
                outer.out.push(Out::Reasons(whys, place));
            }
            Outcome::Absent => {}
        }
    }
}

/// The number that an item begins with.
fn ordinal(pieces: &[Piece]) -> Option<String> {
    pieces.iter().find_map(|piece| match piece {
        Piece::Ordinal(own) => Some(own.clone()),
        _ => None,
    })
}

impl Going {
    fn take(&mut self, part: Part) {
        match part {
            Part::Printed(text) => self.out.push(Out::Text(text)),
            Part::Yes => {}
            Part::No => self.gives_way = true,
            Part::Lacks(why) => self.lacks(escaped(&why)),
        }
    }

    fn lacks(&mut self, why: String) {
        self.gives_way = true;
        self.whys.push(why);
    }

    fn comes_to(self, kind: Kind) -> Outcome {
        // The first and the last are what opens and closes it.
        let inside = self.out.get(1..self.out.len().saturating_sub(1)).unwrap_or_default();
        let says_nothing = inside.iter().all(|out| matches!(out, Out::Text(text) if text.trim().is_empty()));
        let all_gone = kind == Kind::Whole && self.parts > 0 && self.gone.len() == self.parts;
        if self.is_absent {
            Outcome::Absent
        } else if self.gives_way {
            Outcome::Goes(self.whys)
        } else if all_gone && self.gone.iter().any(Option::is_some) {
            Outcome::Goes(self.gone.into_iter().flatten().flatten().collect())
        } else if all_gone || says_nothing && matches!(kind, Kind::Words | Kind::Part) {
            Outcome::Absent
        } else {
            Outcome::Stays(self.out)
        }
    }
}

/// What a page of the book carries for a browser. Braces mark what is no HTML: no other brace is in it.
///
/// | form | what it is |
/// | --- | --- |
/// | `{=4\|ledger.html}` | a page begins: its number, the address of the ledger |
/// | `{n:Figure}` | the number of a caption that stands outside all passages |
/// | `{#}` | before a passage: a section begins |
/// | `{[p<p>}…{]</p>}` | a block, its kind and its tags: `w`ords, `p`art, `l`ist, `h`eading, `o`ther |
/// | `{tank.water}`, `{t:bands@page}` | a gap; a figure without its `f:` |
/// | `{?condition}…{:}…{;}` | a choice |
/// | `{&condition}`, `{^condition}` | only where it holds, only where it does not |
/// | `{!claim}`, `{-why}` | a claim; what a tank of the book lacks |
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Form {
    /// A page begins.
    Page {
        /// Its number in the summary.
        number: String,
        /// The address of the ledger from there.
        ledger: String,
    },
    /// The number of a caption, by the word before it.
    Number(String),
    /// A passage, its pieces in HTML.
    Passage(Passage),
}

impl fmt::Display for Form {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Form::Page { number, ledger } => write!(f, "{{={number}|{ledger}}}"),
            Form::Number(word) => write!(f, "{{n:{word}}}"),
            Form::Passage(passage) => {
                f.write_str(if passage.begins_section { "{#}" } else { "" })?;
                write_block(f, &passage.block)
            }
        }
    }
}

fn write_block(f: &mut fmt::Formatter<'_>, block: &Block) -> fmt::Result {
    let kind = match block.kind {
        Kind::Words => 'w',
        Kind::Part => 'p',
        Kind::Whole => 'l',
        Kind::Heading => 'h',
        Kind::Other => 'o',
    };
    write!(f, "{{[{kind}{}}}", block.opening)?;
    write_pieces(f, &block.pieces)?;
    write!(f, "{{]{}}}", block.closing)
}

fn write_pieces(f: &mut fmt::Formatter<'_>, pieces: &[Piece]) -> fmt::Result {
    for piece in pieces {
        match piece {
            Piece::Text(text) => f.write_str(text)?,
            Piece::Gap(key) => write!(f, "{{{}}}", key.strip_prefix("f:").unwrap_or(key))?,
            Piece::Lacks(why) => write!(f, "{{-{why}}}")?,
            Piece::Claim(claim) => write!(f, "{{!{claim}}}")?,
            Piece::Only { condition, holds } => {
                write!(f, "{{{}{condition}}}", if *holds { '&' } else { '^' })?
            }
            Piece::Choice { condition, yes, no } => {
                write!(f, "{{?{condition}}}")?;
                write_pieces(f, yes)?;
                f.write_str("{:}")?;
                write_pieces(f, no)?;
                f.write_str("{;}")?;
            }
            // A browser counts the items.
            Piece::Ordinal(_) => {}
            Piece::Block(block) => write_block(f, block)?,
        }
    }
    Ok(())
}

impl Form {
    /// Reads a form as [`Display`](fmt::Display) writes it; `None` where it is none.
    pub fn read(text: &str) -> Option<Self> {
        if let Some(page) = braced(text, "{=") {
            let (number, ledger) = page.split_once('|')?;
            return Some(Form::Page { number: number.to_owned(), ledger: ledger.to_owned() });
        }
        if let Some(word) = braced(text, "{n:") {
            return Some(Form::Number(word.to_owned()));
        }
        let (begins_section, text) = text.strip_prefix("{#}").map_or((false, text), |rest| (true, rest));
        let mut reader = Reader { rest: text };
        let mut pieces = reader.pieces()?;
        match (pieces.pop(), pieces.is_empty(), reader.rest) {
            (Some(Piece::Block(block)), true, "") => Some(Form::Passage(Passage { begins_section, block })),
            _ => None,
        }
    }
}

fn braced<'t>(text: &'t str, opening: &str) -> Option<&'t str> {
    text.strip_prefix(opening)?.strip_suffix('}')
}

struct Reader<'t> {
    rest: &'t str,
}

impl<'t> Reader<'t> {
    /// The pieces up to what closes or divides those around them, which stays.
    fn pieces(&mut self) -> Option<Vec<Piece>> {
        let mut pieces = Vec::new();
        loop {
            let at = self.rest.find('{').unwrap_or(self.rest.len());
            if at > 0 {
                pieces.push(Piece::Text(self.rest[..at].to_owned()));
                self.rest = &self.rest[at..];
            }
            if self.rest.is_empty() || ["{:", "{;", "{]"].iter().any(|end| self.rest.starts_with(end)) {
                return Some(pieces);
            }
            let mark = self.mark()?;
            let mut chars = mark.chars();
            let first = chars.next()?;
            let behind = chars.as_str().to_owned();
            pieces.push(match first {
                '-' => Piece::Lacks(behind),
                '!' => Piece::Claim(behind),
                '&' => Piece::Only { condition: behind, holds: true },
                '^' => Piece::Only { condition: behind, holds: false },
                '?' => {
                    let yes = self.pieces()?;
                    let no = if self.mark()? == ":" { self.pieces()? } else { return None };
                    if self.mark()? != ";" {
                        return None;
                    }
                    Piece::Choice { condition: behind, yes, no }
                }
                '[' => {
                    let kind = match behind.chars().next()? {
                        'w' => Kind::Words,
                        'p' => Kind::Part,
                        'l' => Kind::Whole,
                        'h' => Kind::Heading,
                        'o' => Kind::Other,
                        _ => return None,
                    };
                    let pieces = self.pieces()?;
                    let closing = self.mark()?.strip_prefix(']')?.to_owned();
                    Piece::Block(Block { kind, opening: behind[1..].to_owned(), pieces, closing })
                }
                _ if mark.contains(':') => Piece::Gap(mark.to_owned()),
                _ => Piece::Gap(format!("f:{mark}")),
            });
        }
    }

    /// What stands in the braces that come next.
    fn mark(&mut self) -> Option<&'t str> {
        let (mark, rest) = self.rest.strip_prefix('{')?.split_once('}')?;
        self.rest = rest;
        Some(mark)
    }
}

/// Sets forms in their order, as HTML: those of a page, or of several one behind the other. What is no form
/// comes to nothing.
///
/// - `answer`: gives the parts of the tank by their keys
pub fn set(forms: &[&str], answer: &dyn Fn(&str) -> Part) -> Vec<String> {
    let mut setting = Setting::new(Medium::Html, answer, "");
    let mut captions = Captions::default();
    let set = forms.iter().map(|form| match Form::read(form) {
        Some(Form::Page { number, ledger }) => {
            setting = Setting::new(Medium::Html, answer, &ledger);
            captions = Captions::of(&number);
            String::new()
        }
        Some(Form::Number(word)) => captions.next(&word),
        Some(Form::Passage(passage)) => captions.number(setting.set(&passage).trim_end()),
        None => String::new(),
    });
    set.collect()
}

/// What begins a comment that carries a form in a page, and the comment behind what is set of it.
const OPENS: &str = "<!--reckoner ";
const CLOSES: &str = "<!--/reckoner-->";

/// A form in a page, with what is set of it for the tank of the page.
///
/// The form stands in a comment: nobody reads or finds it, and it needs no place of its own among the
/// elements.
pub fn carried(form: &Form, set: &str) -> String {
    // In a comment two dashes could be its end; in HTML they can be written otherwise.
    let mut out = OPENS.to_owned();
    let _ = write!(out, "{}", form.to_string().replace("--", "&#45;-"));
    out + "-->" + set + CLOSES
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(text: &str) -> Piece {
        Piece::Text(text.to_owned())
    }

    fn gap(key: &str) -> Piece {
        Piece::Gap(key.to_owned())
    }

    fn block(kind: Kind, tag: &str, pieces: Vec<Piece>) -> Block {
        Block { kind, opening: format!("<{tag}>"), pieces, closing: format!("</{tag}>") }
    }

    /// A tank that has water, and lacks sand, battery and sump for a reason.
    fn answer(key: &str) -> Part {
        match key {
            "f:water" | "f:water@l.html" => Part::Printed("9 L".to_owned()),
            "f:sand" | "f:sand@l.html" => Part::Lacks("No sand.".to_owned()),
            "f:battery" => Part::Lacks("No <battery>.".to_owned()),
            "t:bands@p" => Part::Printed("<table><caption>Bands</caption></table>".to_owned()),
            "?:water" | "!:water > 0" => Part::Yes,
            _ => Part::No,
        }
    }

    fn set_alone(block: Block) -> String {
        let set = Setting::new(Medium::Html, &answer, "").set(&Passage { begins_section: false, block });
        set.trim_end_matches("\n\n").to_owned()
    }

    #[test]
    fn gaps_are_filled_and_words_chosen() {
        let choice = |condition: &str| Piece::Choice {
            condition: condition.to_owned(),
            yes: vec![text(" and "), gap("f:water")],
            no: vec![text(" or "), gap("f:sand")],
        };
        let words = |pieces| set_alone(block(Kind::Words, "p", pieces));
        assert_eq!(words(vec![gap("f:water"), choice("water")]), "<p>9 L and 9 L</p>");
        assert_eq!(words(vec![gap("f:water"), choice("sand")]), "<p class=\"lacking\">No sand.</p>");
        // What is not chosen lacks nothing, and what says nothing is not there.
        let empty = Piece::Choice { condition: "sand".to_owned(), yes: vec![gap("f:sand")], no: Vec::new() };
        assert_eq!(words(vec![text("a"), empty.clone()]), "<p>a</p>");
        assert_eq!(words(vec![empty, text(" ")]), "");
        assert_eq!(words(vec![text("a"), gap("f:nothing")]), "");
        assert_eq!(
            words(vec![text("a"), gap("f:battery")]),
            "<p class=\"lacking\">No &#60;battery&#62;.</p>"
        );
    }

    #[test]
    fn claims_and_conditions_decide_of_their_block() {
        let words = |piece| set_alone(block(Kind::Words, "p", vec![text("a"), piece]));
        assert_eq!(words(Piece::Claim("water > 0".to_owned())), "<p>a</p>");
        assert_eq!(words(Piece::Claim("water > 9".to_owned())), "");
        assert_eq!(words(Piece::Lacks("Not so.".to_owned())), "<p class=\"lacking\">Not so.</p>");
        for (condition, holds, is_there) in
            [("water", true, true), ("water", false, false), ("sand", true, false), ("sand", false, true)]
        {
            let only = Piece::Only { condition: condition.to_owned(), holds };
            assert_eq!(!words(only).is_empty(), is_there, "{condition} {holds}");
        }
        // Nothing is said about a block that is not for this tank.
        let row = |pieces| Piece::Block(block(Kind::Part, "li", pieces));
        let only = Piece::Only { condition: "sand".to_owned(), holds: true };
        let list =
            block(Kind::Whole, "ul", vec![row(vec![text("a")]), row(vec![only.clone(), gap("f:sand")])]);
        assert_eq!(set_alone(list), "<ul><li>a</li></ul>");
        assert_eq!(set_alone(block(Kind::Whole, "ul", vec![row(vec![only, text("b")])])), "");
    }

    #[test]
    fn parts_go_and_the_reason_comes_behind_their_whole() {
        let row = |pieces| Piece::Block(block(Kind::Part, "li", pieces));
        let list = |pieces| block(Kind::Whole, "ul", pieces);
        assert_eq!(
            set_alone(list(vec![row(vec![text("a")]), row(vec![gap("f:sand")])])),
            "<ul><li>a</li></ul>\n\n<p class=\"lacking\">No sand.</p>"
        );
        assert_eq!(
            set_alone(list(vec![row(vec![gap("f:sand")]), row(vec![gap("f:sand")])])),
            "<p class=\"lacking\">No sand.</p>"
        );
        // A list inside goes alone; an item takes what is in it along, with its reasons.
        let inside = Piece::Block(list(vec![row(vec![gap("f:sand")])]));
        assert_eq!(
            set_alone(list(vec![row(vec![text("a"), inside.clone()])])),
            "<ul><li>a</li></ul>\n\n<p class=\"lacking\">No sand.</p>"
        );
        assert_eq!(
            set_alone(list(vec![row(vec![gap("f:battery"), inside]), row(vec![text("b")])])),
            "<ul><li>b</li></ul>\n\n<p class=\"lacking\">No &#60;battery&#62;.</p>"
        );
    }

    #[test]
    fn a_section_tells_a_reason_once() {
        let words =
            |begins_section| Passage { begins_section, block: block(Kind::Words, "p", vec![gap("f:sand")]) };
        let heading =
            Passage { begins_section: false, block: block(Kind::Heading, "h2", vec![gap("f:water")]) };
        let mut setting = Setting::new(Medium::Markdown, &answer, "");
        let passages = [words(false), words(false), words(true), heading, words(false)];
        let set: Vec<_> = passages.iter().map(|passage| setting.set(passage).trim_end().to_owned()).collect();
        assert_eq!(set, ["No sand.", "", "No sand.", "<h2>9 L</h2>", "No sand."]);
    }

    #[test]
    fn the_first_item_that_stays_has_the_first_number() {
        let item = |number: &str, piece| {
            let ordinal = Piece::Ordinal(number.to_owned());
            Piece::Block(Block {
                kind: Kind::Part,
                opening: String::new(),
                pieces: vec![ordinal, text(". "), piece],
                closing: "\n".to_owned(),
            })
        };
        let list = |pieces| {
            set_alone(Block { kind: Kind::Whole, opening: String::new(), pieces, closing: String::new() })
        };
        assert_eq!(
            list(vec![item("1", text("a")), item("2", gap("f:nothing")), item("3", text("c"))]),
            "1. a\n3. c\n"
        );
        assert_eq!(
            list(vec![item("4", gap("f:nothing")), item("5", text("b")), item("6", text("c"))]),
            "4. b\n6. c\n"
        );
    }

    fn everything() -> Form {
        let choice = Piece::Choice {
            condition: "a|b".to_owned(),
            yes: vec![
                text("x"),
                Piece::Choice { condition: "!c".to_owned(), yes: Vec::new(), no: vec![gap("t:bands@p")] },
            ],
            no: Vec::new(),
        };
        let pieces = vec![
            Piece::Only { condition: "a".to_owned(), holds: true },
            Piece::Only { condition: "b&c".to_owned(), holds: false },
            text("one -- two"),
            gap("f:tank.water"),
            choice,
            Piece::Claim("a.b > 1".to_owned()),
            Piece::Lacks("why".to_owned()),
            Piece::Block(block(Kind::Other, "em", vec![Piece::Block(block(Kind::Part, "li", Vec::new()))])),
        ];
        Form::Passage(Passage { begins_section: true, block: block(Kind::Whole, "ul", pieces) })
    }

    #[test]
    fn a_form_is_read_as_it_is_written() {
        for form in [
            everything(),
            Form::Page { number: "4".to_owned(), ledger: "../ledger.html".to_owned() },
            Form::Number("Figure".to_owned()),
            Form::Passage(Passage { begins_section: false, block: block(Kind::Heading, "h2", Vec::new()) }),
        ] {
            assert_eq!(Form::read(&form.to_string()).as_ref(), Some(&form), "{form}");
        }
        for text in [
            "",
            "text",
            "{[w<p>}a",
            "{[w<p>}a{]</p>}b",
            "{[w<p>}{?a}b{]</p>}",
            "{[x}{]}",
            "{[w}{{]}",
            "{=4}",
            "a{[w}{]}",
        ] {
            assert_eq!(Form::read(text), None, "{text}");
        }
        let carried = carried(&everything(), "set");
        assert!(
            carried.starts_with("<!--reckoner {#}{[l<ul>}{&a}")
                && carried.ends_with("-->set<!--/reckoner-->"),
            "{carried}"
        );
        assert_eq!(carried.matches("--").count(), 4, "{carried}");
    }

    #[test]
    fn any_text_is_a_form_or_none() {
        let pieces = [
            "{", "}", "{[w", "{]", "{?a}", "{:}", "{;}", "{#}", "{=", "|", "{n:", "a", "é", "{-", "{!", "<p>",
        ];
        let mut state = 7_u64;
        for _ in 0..20_000 {
            let mut text = String::new();
            for _ in 0..8 {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                text.push_str(pieces[(state >> 33) as usize % pieces.len()]);
            }
            if let Some(form) = Form::read(&text) {
                assert_eq!(Form::read(&form.to_string()), Some(form), "{text}");
            }
            set(&[&text], &answer);
        }
    }

    #[test]
    fn forms_are_set_page_by_page() {
        let paragraph = "{[w<p>}{water}{]</p>}";
        let table = "{[w}{t:bands@p}{]}";
        let lacking = "{[w<p>}{sand}{]</p>}";
        let forms = [
            "{=4|l.html}",
            paragraph,
            "{n:Table}",
            table,
            lacking,
            lacking,
            "{=|}",
            table,
            lacking,
            "no form",
        ];
        let linked = |key: &str| match (key, answer(key)) {
            ("f:water@l.html", Part::Printed(text)) => Part::Printed(format!("[{text}]")),
            (_, part) => part,
        };
        let want = [
            "",
            "<p>[9 L]</p>",
            "<span class=\"number\">Table 4.1</span> ",
            "<table><caption><span class=\"number\">Table 4.2</span> Bands</caption></table>",
            "<p class=\"lacking\">No sand.</p>",
            "",
            "",
            "<table><caption><span class=\"number\">Table 1</span> Bands</caption></table>",
            "<p class=\"lacking\">No sand.</p>",
            "",
        ];
        assert_eq!(set(&forms, &linked), want);
    }
}
