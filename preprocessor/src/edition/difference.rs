//! In which rules an edition differs from the book, so that a club sees where the book moved on.

use std::fmt;

use reckoner_calc::Rules;
use reckoner_calc::quantity::{Quantity, Rounding, show, show_range};
use reckoner_calc::rules::{Rule, RuleValue};

/// A rule that says something else than that of the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// The id of the rule.
    pub id: String,
    /// What the book says.
    pub book: String,
    /// What the edition says.
    pub own: String,
    /// What the book said when the edition began to differ; empty where nobody wrote it down.
    pub instead_of: String,
}

impl Difference {
    /// The book has moved on since the edition began to differ. The value in one system of units is enough to write down, and what tells
    /// two like values apart is not asked for.
    pub fn has_moved(&self) -> bool {
        let is_same = |rest: &str| rest.is_empty() || rest.starts_with(" (") || rest.starts_with(EXACTLY);
        !self.instead_of.is_empty() && !self.book.strip_prefix(&self.instead_of).is_some_and(is_same)
    }
}

impl fmt::Display for Difference {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Difference { id, book, own, instead_of } = self;
        if self.has_moved() {
            write!(
                f,
                "rule `{id}`: the book says {book} now, no longer {instead_of}; you say {own}. Where yours is to \
                 stay, write instead_of = \"{book}\""
            )
        } else {
            write!(f, "rule `{id}`: the book says {book}, you say {own}")
        }
    }
}

/// What stands before the whole number of a value that prints like another.
const EXACTLY: &str = ", exactly ";

/// The rules whose values differ.
pub fn between(book: &Rules, own: &Rules) -> Vec<Difference> {
    let difference = |rule: &Rule| {
        let of_book = book.rule(&rule.id).filter(|of_book| of_book.value != rule.value)?;
        let [book, own] = said_apart(of_book, rule);
        Some(Difference { id: rule.id.to_string(), book, own, instead_of: rule.instead_of.clone() })
    };
    own.all.iter().filter_map(difference).collect()
}

/// What a rule says, as it is printed, with plain blanks.
pub fn said(rule: &Rule) -> String {
    let text = |value: &Quantity| match value.kind.is_bare() {
        true => format!("{}", value.si),
        false => show(*value, Rounding::Nearest).to_string(),
    };
    let text = match &rule.value {
        RuleValue::One(value) => text(value),
        RuleValue::Band(low, high) => show_range(*low, *high, Rounding::Nearest).to_string(),
        RuleValue::List(values) => values.iter().map(text).collect::<Vec<_>>().join(", "),
    };
    text.replace('\u{a0}', " ")
}

/// What two rules say. Where their values differ by less than is printed, each has the whole number behind it, in the
/// unit of the SI.
pub fn said_apart(one: &Rule, other: &Rule) -> [String; 2] {
    let [first, second] = [one, other].map(said);
    if first != second || one.value == other.value {
        return [first, second];
    }
    let exact = |rule: &Rule| {
        let values = match &rule.value {
            RuleValue::One(value) => vec![*value],
            RuleValue::Band(low, high) => vec![*low, *high],
            RuleValue::List(values) => values.clone(),
        };
        values.iter().map(|value| value.si.to_string()).collect::<Vec<_>>().join(", ")
    };
    [(first, one), (second, other)].map(|(said, rule)| format!("{said}{EXACTLY}{}", exact(rule)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn differences(file: &str, text: &str) -> Vec<String> {
        let own = Rules::load(&[(file.to_owned(), text.to_owned())]).unwrap();
        between(&Rules::compiled_in().unwrap(), &own).iter().map(Difference::to_string).collect()
    }

    #[test]
    fn what_differs_is_said_from_both_sides() {
        let rule = "[price]\ntitle = \"P\"\nvalue = \"0.28 EUR\"\nbasis = \"invented\"\n";
        assert_eq!(
            differences("assumed.toml", rule),
            ["rule `assumed.price`: the book says 0.3 USD, you say 0.28 EUR"]
        );
        let same = rule.replace("0.28 EUR", "0.30 USD");
        assert_eq!(differences("assumed.toml", &same), Vec::<String>::new());
        let near = rule.replace("0.28 EUR", "0.3000001 USD");
        assert_eq!(
            differences("assumed.toml", &near),
            ["rule `assumed.price`: the book says 0.3 USD, exactly 0.3, you say 0.3 USD, exactly 0.3000001"]
        );
        let told = differences("assumed.toml", &(near + "instead_of = \"0.3 USD\"\n"));
        assert!(told.len() == 1 && !told[0].contains("no longer"), "{told:?}");
        let pillow = "[pillow]\ntitle = \"P\"\nvalue = \"7 m\"\nbasis = \"invented\"\ninstead_of = \"5 m\"\n";
        let told = differences("assumed.toml", pillow);
        assert_eq!(told, ["rule `assumed.pillow`: the book says 5 m (16.4 ft), you say 7 m (23 ft)"]);
        let moved = rule.to_owned() + "instead_of = \"0.25 USD\"\n";
        assert_eq!(
            differences("assumed.toml", &moved),
            [
                "rule `assumed.price`: the book says 0.3 USD now, no longer 0.25 USD; you say 0.28 EUR. Where yours is to \
                 stay, write instead_of = \"0.3 USD\""
            ]
        );
        let still = rule.to_owned() + "instead_of = \"0.3 USD\"\n";
        assert_eq!(
            differences("assumed.toml", &still),
            ["rule `assumed.price`: the book says 0.3 USD, you say 0.28 EUR"]
        );
    }
}
