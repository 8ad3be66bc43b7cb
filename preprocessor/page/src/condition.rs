//! Conditions: whether a tank has something that a page speaks of.
//!
//! An author writes `tank.sump is defined or return_line is defined`. A page carries it short,
//! `tank.sump|return_line`: `|` stands for or, `&` for and, which binds closer, and `!` for not.

use std::fmt;

use reckoner_calc::Sheet;

/// A condition: one of its groups holds whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Condition(Vec<Vec<Has>>);

/// That a tank has something, or that it has not.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Has {
    /// The id of a figure, or the beginning of such ids up to a dot.
    name: String,
    is: bool,
}

impl Condition {
    /// Reads a condition as an author writes it.
    ///
    /// # Errors
    /// What is wrong in the first line, what would be right in the next.
    pub fn written(text: &str) -> Result<Self, String> {
        let words: Vec<_> = text.split_whitespace().collect();
        let groups = words
            .split(|word| *word == "or")
            .map(|group| group.split(|word| *word == "and").map(has).collect());
        groups.collect::<Option<_>>().map(Condition).ok_or_else(|| {
            format!("`{}` does not ask whether the tank has something\nwrite `NAME is defined`, with `not`, `and`, `or`", words.join(" "))
        })
    }

    /// Reads a condition as a page carries it.
    pub fn short(text: &str) -> Self {
        let has = |text: &str| {
            let name = text.trim_start_matches('!');
            Has { name: name.to_owned(), is: name.len() == text.len() }
        };
        Condition(text.split('|').map(|group| group.split('&').map(has).collect()).collect())
    }

    /// Whether it holds for the tank of a sheet.
    pub fn holds(&self, sheet: &Sheet) -> bool {
        self.0.iter().any(|group| group.iter().all(|one| is_there(&one.name, sheet) == one.is))
    }

    /// What it asks for.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.0.iter().flatten().map(|one| one.name.as_str())
    }
}

impl fmt::Display for Condition {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let has = |one: &Has| format!("{}{}", if one.is { "" } else { "!" }, one.name);
        let groups = self.0.iter().map(|group| group.iter().map(has).collect::<Vec<_>>().join("&"));
        f.write_str(&groups.collect::<Vec<_>>().join("|"))
    }
}

fn has(words: &[&str]) -> Option<Has> {
    let (name, is) = match words {
        [name, "is", "defined"] => (name, true),
        ["not", name, "is", "defined"] | [name, "is", "not", "defined"] => (name, false),
        _ => return None,
    };
    let is_name = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '.');
    name.chars().all(is_name).then(|| Has { name: (*name).to_owned(), is })
}

/// Whether a sheet has a figure, or any figure of a group.
fn is_there(name: &str, sheet: &Sheet) -> bool {
    let is_inside =
        |id: &str| id.strip_prefix(name).is_some_and(|rest| rest.is_empty() || rest.starts_with('.'));
    sheet.figures().iter().any(|figure| is_inside(&figure.id))
}

#[cfg(test)]
mod tests {
    use super::*;
    use reckoner_calc::{Catalogue, Rules, Tank};

    fn short(text: &str) -> Result<String, String> {
        Condition::written(text).map(|condition| condition.to_string())
    }

    #[test]
    fn what_an_author_writes_is_carried_short() {
        for (written, carried) in [
            ("return_line is defined", "return_line"),
            ("a.b is defined or not c is defined", "a.b|!c"),
            ("a is not defined and b is defined or c is defined", "!a&b|c"),
        ] {
            assert_eq!(short(written).as_deref(), Ok(carried));
            assert_eq!(Condition::short(carried), Condition::written(written).unwrap());
        }
        for wrong in ["tank.water", "tank.water > 3", "(a is defined)", "a is defined or", "a is none", ""] {
            let error = short(wrong).unwrap_err();
            assert!(error.contains("does not ask") && error.contains("is defined`"), "{error}");
        }
    }

    #[test]
    fn a_tank_has_a_figure_or_a_group_of_them() {
        let rules = Rules::compiled_in().unwrap();
        let text = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n\
                    [livestock]\nnow = \"soft\"\n";
        let sheet =
            Sheet::reckon(&rules, &Catalogue::empty(), &Tank::read("t.toml", text, &rules).unwrap()).unwrap();
        let holds = |text: &str| Condition::short(text).holds(&sheet);
        assert!(holds("tank.water") && holds("tank") && !holds("return_line") && !holds("tank.wat"));
        assert!(
            holds("!return_line&tank")
                && holds("return_line|tank")
                && !holds("tank&return_line")
                && !holds("!tank|return_line")
        );
    }
}
