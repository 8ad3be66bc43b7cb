//! The rules as the book shows them: what each says, what it rests on, and the pages that print what follows
//! from it.

use std::collections::{BTreeMap, BTreeSet};

use maud::{Markup, html};
use reckoner_calc::quantity::Quantity;
use reckoner_calc::rules::{Basis, Rule, RuleValue, Rules, Source};
use reckoner_calc::sheet::{Figure, Sheet, Table};

use crate::html::{scrolling, written};
use crate::ledger::{Behind, page_links};
use crate::listed::Listed;

/// A table for each topic, with a line for each rule.
pub fn rules(listed: &Listed, behind: &Behind<'_>) -> String {
    let mut topics: Vec<(&str, Vec<&Rule>)> = Vec::new();
    for rule in &behind.rules.all {
        let topic = rule.id.split('.').next().unwrap_or_default();
        match topics.last_mut() {
            Some((last, rules)) if *last == topic => rules.push(rule),
            _ => topics.push((topic, vec![rule])),
        }
    }
    let used = used(listed, behind);
    let row = |rule: &Rule| {
        let pages: BTreeSet<_> = used
            .get(rule.id.as_str())
            .into_iter()
            .chain(listed.rules.get(rule.id.as_str()))
            .flatten()
            .copied()
            .collect();
        html! {
            tr id={ "rule-" (rule.id) } {
                th scope="row" {
                    (rule.title) br; code { (rule.id) }
                    @if !rule.note.is_empty() { br; small { (rule.note) } }
                }
                td { (value_text(rule, behind.sheet)) }
                td { (basis_markup(&rule.basis)) }
                td { (page_links(listed.names(&pages).into_iter())) }
            }
        }
    };
    let of_topic = |topic: &str, rules: &[&Rule]| {
        let rows = html! { @for rule in rules { (row(rule)) } };
        let caption = format!("Rules in {topic}.toml");
        scrolling("proof", &format!("rules-{topic}"), &caption, &["Rule", "Value", "Basis", "Pages"], &rows)
    };
    written(&html! { @for (topic, rules) in &topics { (of_topic(topic, rules)) } })
}

/// The pages that print what follows from a rule, by the rule's id.
fn used<'s>(listed: &Listed, behind: &Behind<'s>) -> BTreeMap<&'s str, BTreeSet<usize>> {
    let sheet = behind.sheet;
    let figures = sheet.figures().iter().map(|figure| (figure, listed.pages_of(&figure.id, sheet)));
    let of_table = |table: &'s Table| {
        listed.tables.get(table.id).map(|pages| table.figures().map(move |figure| (figure, pages.clone())))
    };
    let mut used: BTreeMap<&str, BTreeSet<usize>> = BTreeMap::new();
    for (figure, pages) in figures
        .chain(sheet.tables.values().filter_map(of_table).flatten())
        .filter(|(figure, _)| figure.shown().is_some())
    {
        for rule in behind.rules_of(figure) {
            used.entry(&rule.id).or_default().extend(&pages);
        }
    }
    used
}

fn basis_markup(basis: &Basis) -> Markup {
    html! {
        @match basis {
            Basis::Published { source, place } => {
                "published: " a href={ "#source-" (source) } { (source) } ", " (place)
            },
            other => (other.word().replace('-', " ")),
        }
    }
}

/// What a rule says, as text in both systems: as its figure does.
pub fn value_text(rule: &Rule, sheet: &Sheet) -> String {
    match (&rule.value, sheet.figure(&format!("rule.{}", rule.id))) {
        (RuleValue::List(values), _) => {
            let text = |value: &Quantity| {
                if value.kind.is_bare() { format!("{}", value.si) } else { sheet.shown(*value).to_string() }
            };
            values.iter().map(text).collect::<Vec<_>>().join(", ")
        }
        (_, figure) => figure.map_or_else(String::new, Figure::text),
    }
}

/// A basis as a reader reads it: who published it and where, or that it is common practice.
pub fn basis_text(basis: &Basis, rules: &Rules) -> String {
    match basis {
        Basis::Published { source, place } => {
            let cited = rules
                .sources
                .get(source)
                .map_or_else(|| source.clone(), |source| format!("{} ({})", source.author, source.year));
            format!("{cited}, {place}")
        }
        Basis::CommonPractice => "Common practice".to_owned(),
        Basis::FromMemory => "From memory".to_owned(),
        Basis::Invented => "Invented for the demo".to_owned(),
    }
}

/// A publication in full, and how it was read.
pub fn cited(source: &Source) -> String {
    format!(
        "{} ({}). {}. {}. Read: {}.",
        source.author.trim_end_matches('.'),
        source.year,
        source.title,
        source.published,
        source.seen
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::listed::tests::listed;
    use reckoner_calc::{Catalogue, Rules, Tank};

    #[test]
    fn each_rule_has_a_line_with_the_pages_that_rest_on_it() {
        let all = Rules::compiled_in().unwrap();
        let text = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n\
                    [livestock]\nnow = \"soft\"\n";
        let sheet =
            Sheet::reckon(&all, &Catalogue::empty(), &Tank::read("t.toml", text, &all).unwrap()).unwrap();
        let lines = rules(&listed(), &Behind::all(&sheet, &all));
        assert_eq!(lines.matches("<tr id=\"rule-").count(), all.all.len());
        let line = |id: &str| {
            lines.split("<tr id=\"rule-").find(|line| line.starts_with(&format!("{id}\""))).unwrap()
        };
        let pages = |id: &str| {
            line(id).matches("<a href=\"a.html\">").count() * 10
                + line(id).matches("<a href=\"b-c.html\">").count()
        };
        // The flow to aim for is on the first page and in the worked example of the second, and so is the
        // table with its band.
        assert_eq!(
            (pages("turnover.soft"), pages("turnover.fish_only"), pages("sand.band"), pages("stream.edge")),
            (11, 11, 1, 0)
        );
        assert!(line("turnover.soft").contains("common practice"));
    }
}
