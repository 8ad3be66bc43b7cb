//! The marks in what a template gives: how they are written, and how they are read.

use reckoner_page::condition::Condition;
use reckoner_page::passage::Piece;
use reckoner_page::text::{MARK, escaped};

use crate::chapter::forme::Fault;

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

/// A mark, read.
#[derive(Debug, Clone)]
pub(super) enum Mark {
    Piece(Piece),
    Statement(Statement),
}

/// A statement that asks what the tank has, or belongs to one that does.
#[derive(Debug, Clone)]
pub(super) struct Statement {
    /// Its place among those of the page.
    pub(super) place: usize,
    pub(super) does: Does,
}

#[derive(Debug, Clone)]
pub(super) enum Does {
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

/// An `if` that is open: the conditions that lead into the branch that is gone through, and those of the
/// branches before.
pub(super) struct Branch {
    pub(super) path: Vec<(String, bool)>,
    before: Vec<String>,
    /// Whether it stands around items or rows.
    of_lines: bool,
}

/// Goes on to the branch that a statement begins.
pub(super) fn branch(open: &mut Vec<Branch>, statement: &Statement) {
    let not_before =
        |before: &[String]| before.iter().map(|condition| (condition.clone(), false)).collect::<Vec<_>>();
    match &statement.does {
        Does::If(condition) => {
            open.push(Branch {
                path: vec![(condition.clone(), true)],
                before: vec![condition.clone()],
                of_lines: false,
            });
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

/// The text with a number in each mark in place of its words, which Markdown might read, and the marks. What
/// stands around items and rows is in them now.
pub(super) fn numbered(text: &str, why: &dyn Fn(&str) -> Option<String>) -> (String, Vec<Mark>, Vec<Fault>) {
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
                    let sign = open
                        .iter()
                        .any(|branch| branch.of_lines)
                        .then(|| sign(line))
                        .flatten()
                        .filter(|_| is_start);
                    let (sign, rest) = line.split_at(sign.unwrap_or(0));
                    out.push_str(sign);
                    if !sign.is_empty() {
                        for (condition, holds) in open
                            .iter()
                            .filter(|branch| branch.of_lines)
                            .flat_map(|branch| branch.path.clone())
                        {
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
        let behind = tokens[at + 1..]
            .iter()
            .find(|token| !matches!(token, Token::Mark(words) if self::statement(words).is_some()));
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
pub(super) fn sign(line: &str) -> Option<usize> {
    let inside = line.trim_start_matches(' ');
    let digits = inside.len() - inside.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let sign = match &inside.as_bytes()[digits..] {
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
    let short =
        || Condition::written(condition).map_or_else(|_| String::new(), |condition| condition.to_string());
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
