//! A rule in words: what it says, how far to trust it, and who published it.

use reckoner_calc::Rules;
use reckoner_calc::quantity::Quantity;
use reckoner_calc::rules::{Basis, Rule, RuleValue, Source};
use reckoner_calc::sheet::{Figure, Sheet};

/// What a rule says, as text in both systems: as its figure does.
pub fn says(rule: &Rule, sheet: &Sheet) -> String {
    match (&rule.value, sheet.figure(&format!("rule.{}", rule.id))) {
        (RuleValue::List(values), _) => {
            let text = |value: &Quantity| if value.kind.is_bare() { format!("{}", value.si) } else { sheet.shown(*value).to_string() };
            values.iter().map(text).collect::<Vec<_>>().join(", ")
        }
        (_, figure) => figure.map_or_else(String::new, Figure::text),
    }
}

/// A basis as a reader reads it: who published it and where, or that it is common practice.
pub fn basis(basis: &Basis, rules: &Rules) -> String {
    match basis {
        Basis::Published { source, place } => {
            let cited = rules.sources.get(source).map_or_else(|| source.clone(), |source| format!("{} ({})", source.author, source.year));
            format!("{cited}, {place}")
        }
        Basis::CommonPractice => "Common practice".to_owned(),
        Basis::FromMemory => "From memory".to_owned(),
        Basis::Invented => "Invented for the demo".to_owned(),
    }
}

/// A publication in full, and how it was read.
pub fn cited(source: &Source) -> String {
    format!("{} ({}). {}. {}. Read: {}.", source.author.trim_end_matches('.'), source.year, source.title, source.published, source.seen)
}
