//! The blocks of a page that are open while it is read, one in the other.

use std::ops::Range;

use pulldown_cmark::{Event, Tag, TagEnd};
use reckoner_page::passage::{Block, Kind, Piece};
use reckoner_page::text::MARK;

use crate::chapter::forme::Fault;
use crate::chapter::forme::marks::{Does, Mark, Statement};

/// The events of a block at the top, each with its place in the text.
pub(super) type Events<'t> = [(Event<'t>, Range<usize>)];

/// The pieces of a block, as they are read.
#[derive(Default)]
pub(super) struct Pieces {
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
    pub(super) fn push(&mut self, piece: Piece) {
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
pub(super) struct Frame {
    pub(super) kind: Kind,
    pub(super) opening: String,
    pub(super) closing: String,
    pub(super) pieces: Pieces,
    /// Up to where its Markdown is read.
    pub(super) done: usize,
    /// How many elements of the line are open in it.
    pub(super) depth: usize,
    /// It holds a word of a glossary and what is said of it.
    pub(super) is_entry: bool,
}

impl Frame {
    pub(super) fn new(kind: Kind, opening: impl Into<String>, closing: impl Into<String>) -> Self {
        let (opening, closing) = (opening.into(), closing.into());
        Frame { kind, opening, closing, pieces: Pieces::default(), done: 0, depth: 0, is_entry: false }
    }
}

/// The blocks that are open, from the outermost to the one that is read.
pub(super) struct Frames<'m> {
    marks: &'m [Mark],
    open: Vec<Frame>,
    faults: Vec<Fault>,
    /// The block at the top, once it is closed.
    block: Option<Block>,
}

impl<'m> Frames<'m> {
    pub(super) fn new(marks: &'m [Mark]) -> Self {
        Frames { marks, open: Vec::new(), faults: Vec::new(), block: None }
    }

    pub(super) fn open(&mut self, frame: Frame) {
        self.open.push(frame);
    }

    pub(super) fn last(&mut self) -> Option<&mut Frame> {
        self.open.last_mut()
    }

    pub(super) fn fault(&mut self, fault: Fault) {
        self.faults.push(fault);
    }

    /// Puts a text with marks into the last block; `write` says how its words are written.
    pub(super) fn put(&mut self, text: &str, write: &dyn Fn(&str) -> String) {
        let Some(frame) = self.open.last_mut() else { return };
        for (at, part) in text.split(MARK).enumerate() {
            let mark = if at % 2 == 1 {
                part.parse::<usize>().ok().and_then(|number| self.marks.get(number))
            } else {
                None
            };
            match mark {
                None => frame.pieces.push(Piece::Text(write(part))),
                Some(Mark::Piece(piece)) => frame.pieces.push(piece.clone()),
                Some(Mark::Statement(statement)) => {
                    if frame.pieces.statement(statement, frame.depth).is_err() {
                        self.faults.push(crossing(statement.place));
                    }
                }
            }
        }
    }

    /// Closes the last block into the one around it.
    pub(super) fn close(&mut self) {
        let Some(mut frame) = self.open.pop() else { return };
        while let Some(choice) = frame.pieces.open.pop() {
            self.faults.push(crossing(choice.statement));
        }
        let Frame { kind, opening, closing, pieces: Pieces { done: pieces, .. }, done, .. } = frame;
        let block = Block { kind, opening, pieces, closing };
        match self.open.last_mut() {
            None => self.block = Some(block),
            Some(outer) => {
                outer.pieces.push(Piece::Block(block));
                outer.done = outer.done.max(done);
            }
        }
    }

    /// Closes the entry of a glossary where the next one begins, or the glossary ends.
    pub(super) fn close_entry(&mut self, event: &Event<'_>) {
        let ends =
            matches!(event, Event::Start(Tag::DefinitionListTitle) | Event::End(TagEnd::DefinitionList));
        if ends && self.open.last().is_some_and(|frame| frame.is_entry) {
            self.close();
        }
    }

    /// The block at the top; what is wrong with it goes to `faults`.
    pub(super) fn done(self, faults: &mut Vec<Fault>) -> Option<Block> {
        faults.extend(self.faults);
        self.block
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

/// What a block is to the others; `None` for what stands in a line.
pub(super) fn kind(tag: &Tag<'_>) -> Option<Kind> {
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

/// Whether a block ends, and not something that stands in a line.
pub(super) fn is_block_end(tag: &TagEnd) -> bool {
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
