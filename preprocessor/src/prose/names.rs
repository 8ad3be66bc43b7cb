//! The names that a template tag uses: values, functions, filters, tests, and the variables it makes.
//!
//! Tera tells the first unknown name of a page; this reading of the tags finds all of them, with their
//! places.

use crate::prose::tags::{Kind, Tag};
use std::ops::Range;

/// What a name is used for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Role {
    /// A value to be looked up: `tank.water`.
    Value,
    /// `name(…)`
    Function,
    /// `… | name`
    Filter,
    /// `… is name`
    Test,
    /// A variable made here: `for name in …`, `set name = …`.
    Binding,
}

/// One use of a name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Use<'a> {
    pub(crate) role: Role,
    pub(crate) name: &'a str,
    pub(crate) span: Range<usize>,
    /// The author provides for a missing value: `x or "d"`, `x?.a`, `x | default(…)`, `x is defined`.
    pub(crate) may_be_missing: bool,
}

/// Statements whose bodies are expressions; the others (`block`, `include`, `filter`, all ends) hold names of
/// other kinds.
const STATEMENTS_WITH_VALUES: [&str; 5] = ["if", "elif", "for", "set", "set_global"];

/// Words of the template language itself.
const KEYWORDS: [&str; 13] =
    ["and", "or", "not", "in", "is", "if", "else", "elif", "true", "false", "none", "True", "False"];

/// The names used in a tag, in order.
pub(crate) fn uses<'a>(text: &'a str, tag: &Tag) -> Vec<Use<'a>> {
    let body = &text[tag.body.clone()];
    let first_word = body.split_whitespace().next().unwrap_or_default();
    let has_values = match tag.kind {
        _ if !tag.is_closed => false,
        Kind::Comment => false,
        Kind::Statement => STATEMENTS_WITH_VALUES.contains(&first_word),
        // `<` opens a component, which is markup.
        Kind::Expression => !first_word.starts_with('<'),
    };
    if !has_values {
        return Vec::new();
    }
    let tokens = tokens(body);
    let mut uses = Vec::new();
    let mut binding = false;
    for (at, token) in tokens.iter().enumerate() {
        let before = at.checked_sub(1).map_or("", |at| tokens[at].text);
        let behind: Vec<&str> = tokens[at + 1..].iter().take(2).map(|token| token.text).collect();
        let next = behind.first().copied().unwrap_or_default();
        match token.text {
            "for" | "set" | "set_global" => binding = true,
            "in" | "=" => binding = false,
            _ => {}
        }
        let is_statement_name = tag.kind == Kind::Statement && at == 0;
        if !token.is_name || is_statement_name || token.text == "for" || KEYWORDS.contains(&token.text) {
            continue;
        }
        let role = match (before, next) {
            ("|", _) => Role::Filter,
            ("is", _) => Role::Test,
            ("not", _) if at > 1 && tokens[at - 2].text == "is" => Role::Test,
            (_, "(") => Role::Function,
            _ if binding => Role::Binding,
            // An attribute behind a bracket, or the name of an argument.
            (".", _) | ("?.", _) => continue,
            ("(" | ",", "=") => continue,
            _ => Role::Value,
        };
        let may_be_missing = matches!(
            (next, behind.get(1).copied().unwrap_or_default()),
            ("or" | "?." | "?[" | "is", _) | ("|", "default")
        );
        let span = tag.body.start + token.start..tag.body.start + token.start + token.text.len();
        uses.push(Use { role, name: token.text, span, may_be_missing });
    }
    uses
}

/// Digits or a text in quotation marks that an author wrote into a tag.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Literal<'a> {
    pub(crate) span: Range<usize>,
    /// The function or filter that it is given to, and the name of the argument.
    pub(crate) argument: Option<(&'a str, &'a str)>,
}

/// What is written into a tag that prints something, in order; a condition prints nothing.
pub(crate) fn literals<'a>(text: &'a str, tag: &Tag) -> Vec<Literal<'a>> {
    let body = &text[tag.body.clone()];
    let first_word = body.split_whitespace().next().unwrap_or_default();
    let prints = match tag.kind {
        _ if !tag.is_closed => false,
        Kind::Comment => false,
        Kind::Statement => ["for", "set", "set_global"].contains(&first_word),
        Kind::Expression => true,
    };
    let tokens = if prints { tokens(body) } else { Vec::new() };
    let mut calls: Vec<&str> = Vec::new();
    let mut literals = Vec::new();
    for (at, token) in tokens.iter().enumerate() {
        let back = |by: usize| at.checked_sub(by).map(|at| &tokens[at]);
        match token.text.chars().next().unwrap_or_default() {
            '(' => calls.push(back(1).filter(|before| before.is_name).map_or("", |before| before.text)),
            ')' => _ = calls.pop(),
            '"' | '\'' | '`' | '0'..='9' => {
                let name =
                    back(2).filter(|name| name.is_name && back(1).is_some_and(|sign| sign.text == "="));
                // Tera itself refuses `f("text")`.
                let is_nameless =
                    back(1).is_some_and(|sign| sign.text == "(") && back(2).is_some_and(|call| call.is_name);
                if is_nameless {
                    continue;
                }
                let argument = calls
                    .last()
                    .filter(|call| !call.is_empty())
                    .zip(name)
                    .map(|(call, name)| (*call, name.text));
                let start = tag.body.start + token.start;
                literals.push(Literal { span: start..start + token.text.len(), argument });
            }
            _ => {}
        }
    }
    literals
}

/// The dotted name that stands around a span.
pub(crate) fn path_around(text: &str, span: Range<usize>) -> Range<usize> {
    let in_path = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '.';
    let (Some(before), Some(after)) = (text.get(..span.start), text.get(span.start..)) else {
        return span;
    };
    let start = before.trim_end_matches(in_path).len();
    let end = text.len() - after.trim_start_matches(in_path).len();
    if start == end { span } else { start..end }
}

struct Token<'a> {
    text: &'a str,
    start: usize,
    is_name: bool,
}

/// Names with their dots, and the signs between them; text in quotes is one sign.
fn tokens(body: &str) -> Vec<Token<'_>> {
    let mut tokens = Vec::new();
    let mut at = 0;
    while let Some(first) = body[at..].chars().next() {
        let rest = &body[at..];
        let (length, is_name) = match first {
            'a'..='z' | 'A'..='Z' | '_' => (path_length(rest), true),
            '0'..='9' => (rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len()), false),
            '"' | '\'' | '`' => (quoted_length(rest, first), false),
            _ => {
                let pair =
                    ["?.", "?[", "==", "!=", "<=", ">="].into_iter().find(|pair| rest.starts_with(pair));
                (pair.map_or(first.len_utf8(), str::len), false)
            }
        };
        if !first.is_whitespace() {
            tokens.push(Token { text: &rest[..length], start: at, is_name });
        }
        at += length;
    }
    tokens
}

fn path_length(text: &str) -> usize {
    let end = text.find(|c: char| !c.is_ascii_alphanumeric() && c != '_' && c != '.').unwrap_or(text.len());
    text[..end].trim_end_matches('.').len()
}

fn quoted_length(text: &str, quote: char) -> usize {
    let mut escaped = false;
    for (at, c) in text.char_indices().skip(1) {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            _ if c == quote => return at + 1,
            _ => {}
        }
    }
    text.len()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::prose::tags::tags;

    fn used(text: &str, role: Role) -> Vec<&str> {
        let tags = tags(text);
        let uses = tags.iter().flat_map(|tag| uses(text, tag));
        uses.filter(|found| found.role == role).map(|found| &text[found.span]).collect()
    }

    #[test]
    fn every_name_has_its_role() {
        let text = r#"{= tank.water | show(unit="tank.no", places=n) =}{= f(id=tank.glass)["u"].x =}{% if a.b is not defined and c %}"#;
        assert_eq!(used(text, Role::Value), ["tank.water", "n", "tank.glass", "a.b", "c"]);
        assert_eq!(used(text, Role::Filter), ["show"]);
        assert_eq!(used(text, Role::Function), ["f"]);
        assert_eq!(used(text, Role::Test), ["defined"]);
    }

    #[test]
    fn loops_and_settings_make_variables() {
        let text =
            "{% for key, pump in pumps %}{= pump.flow =}{% endfor %}{% set x = y.z %}{= [q for q in qs] =}";
        assert_eq!(used(text, Role::Binding), ["key", "pump", "x", "q"]);
        assert_eq!(used(text, Role::Value), ["pumps", "pump.flow", "y.z", "q", "qs"]);
    }

    #[test]
    fn a_missing_value_may_be_provided_for() {
        let text = r#"{= a or "d" =}{= b?.c =}{= d | default(value="e") =}{= e is defined =}{= f | show =}"#;
        let tags = tags(text);
        let uses = tags.iter().flat_map(|tag| uses(text, tag)).filter(|found| found.role == Role::Value);
        let missing: Vec<(&str, bool)> = uses.map(|found| (found.name, found.may_be_missing)).collect();
        assert_eq!(missing, [("a", true), ("b", true), ("d", true), ("e", true), ("f", false)]);
    }

    #[test]
    fn the_path_around_a_span_is_the_whole_name() {
        let text = "{= tank.watr | show =}";
        assert_eq!(&text[path_around(text, 8..12)], "tank.watr");
        assert_eq!(&text[path_around(text, 3..7)], "tank.watr");
    }
}
