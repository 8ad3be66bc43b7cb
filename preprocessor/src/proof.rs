//! The parts of the book that show its proof: the ledger, the rules with their sources, the checks, and the digits typed by hand.
//! [`checks`] and [`sums`] are worked at each build; [`ledger`] holds what came of it.

use std::collections::{BTreeMap, BTreeSet};

use maud::{Markup, html};
use reckoner_calc::Sheet;
use reckoner_calc::rules::{Basis, Rule};
use reckoner_page::html::{Medium, scrolling, written};
use reckoner_page::rule::{cited, says};
use reckoner_page::text::escaped;

use crate::chapter::record::Part;
use crate::edition::Edition;
use crate::proof::ledger::{CheckEntry, Entry, Ledger};

pub mod checks;
pub mod ledger;
pub mod sums;

impl Part {
    /// Writes the part.
    pub fn write(self, edition: &Edition, ledger: &Ledger, medium: Medium) -> String {
        match (self, medium) {
            (Part::Ledger, Medium::Html) => written(&ledger_markup(edition, ledger)),
            (Part::Rules, Medium::Html) => written(&rules_markup(edition, ledger)),
            (Part::Sources, Medium::Html) => written(&sources_markup(edition)),
            (Part::Checks, Medium::Html) => written(&checks_markup(edition, ledger)),
            (Part::TypedNumbers, Medium::Html) => written(&typed_markup(ledger)),
            (_, Medium::Markdown) => self.markdown(edition, ledger),
        }
    }

    fn markdown(self, edition: &Edition, ledger: &Ledger) -> String {
        match self {
            Part::Ledger => list(&ledger.figures, |entry| format!("{}: {} = {}", entry.id, entry.title, entry.metric)),
            Part::Rules => list(&edition.rules.all, |rule| {
                format!("{}: {}, {} ({})", rule.id, rule.title, says(rule, &edition.sheet), rule.basis.word())
            }),
            Part::Sources => {
                let sources: Vec<_> = edition.rules.sources.values().collect();
                list(&sources, |source| cited(source))
            }
            Part::Checks => list(&ledger.checks, |check| format!("{}: {}, reckoned {}", check.subject, check.published, check.reckoned)),
            Part::TypedNumbers => list(&ledger.typed, |typed| format!("{}, because it is {} ({})", typed.text, typed.because, typed.page)),
        }
    }
}

fn list<T>(items: &[T], line: impl Fn(&T) -> String) -> String {
    items.iter().map(|item| format!("- {}\n", escaped(&line(item)))).collect()
}

/// The page's address in the built book.
pub fn address(page: &str) -> String {
    page.strip_suffix(".md").map_or_else(|| page.to_owned(), |stem| format!("{stem}.html"))
}

fn page_links<'p>(pages: impl Iterator<Item = &'p str>) -> Markup {
    let mut seen: Vec<&str> = Vec::new();
    for page in pages {
        if !seen.contains(&page) {
            seen.push(page);
        }
    }
    let name = |page: &str| {
        let name = page.trim_end_matches(".md").replace('-', " ");
        let mut letters = name.chars();
        letters.next().into_iter().flat_map(char::to_uppercase).chain(letters).collect::<String>()
    };
    html! {
        @for (at, page) in seen.iter().enumerate() {
            @if at > 0 { ", " }
            a href=(address(page)) { (name(page)) }
        }
    }
}

/// The id of a figure's line on the ledger page: cells of a table share the line of the table.
pub fn ledger_anchor(id: &str) -> String {
    format!("figure-{id}")
}

/// A table for each topic, then one with a line for each table of the book: its cells stand one by one in `ledger.json`.
fn ledger_markup(edition: &Edition, ledger: &Ledger) -> Markup {
    // A topic can have a table of its own name: its figures stand on the sheet, the cells do not.
    let in_table = |id: &str| id.split('.').next().is_some_and(|table| edition.sheet.tables.contains_key(table));
    let is_cell = |entry: &&Entry| in_table(&entry.id) && edition.sheet.figure(&entry.id).is_none();
    let (cells, figures): (Vec<&Entry>, Vec<&Entry>) = ledger.figures.iter().partition(is_cell);
    let printed: BTreeSet<_> = figures.iter().map(|entry| entry.id.as_str()).collect();
    let mut groups: Vec<(String, Vec<&Entry>)> = Vec::new();
    for entry in figures {
        let group = group_of(&entry.id);
        match groups.iter_mut().find(|(name, _)| *name == group) {
            Some((_, entries)) => entries.push(entry),
            None => groups.push((group, vec![entry])),
        }
    }
    let heads = ["Figure", "Value", "How it is reckoned", "Rests on", "Checked by", "Pages"];
    let of_group = |(group, entries): &(String, Vec<&Entry>)| {
        let rows = html! { @for entry in entries { (ledger_row(entry, &printed, &edition.sheet)) } };
        let caption = format!("Figures: {}", group.replace(['.', '_'], " "));
        scrolling("proof", &format!("ledger-{group}"), &caption, &heads, &rows)
    };
    html! {
        @for group in &groups { (of_group(group)) }
        (cells_markup(edition, &cells))
    }
}

fn cells_markup(edition: &Edition, cells: &[&Entry]) -> Markup {
    let row = |id: &str, caption: &str| {
        let of_table: Vec<_> = cells.iter().filter(|entry| entry.id.split('.').next() == Some(id)).collect();
        let first = of_table.first()?;
        let formulas = once_each(of_table.iter().map(|entry| entry.formula.as_str()), "; ");
        let rules = once_each(of_table.iter().flat_map(|entry| &entry.rules).map(String::as_str), ", ");
        Some(html! {
            tr id=(ledger_anchor(id)) {
                th scope="row" { (caption) br; code { (id) } }
                td { (of_table.len()) " figures" }
                td { (formulas) }
                td { (rules) }
                td { (page_links(first.places.iter().map(|place| place.page.as_str()))) }
            }
        })
    };
    let rows = html! { @for table in edition.sheet.tables.values() { (row(table.id, &table.caption).unwrap_or_default()) } };
    let heads = ["Table", "Figures", "How they are reckoned", "Rules", "Pages"];
    scrolling("proof", "ledger-tables", "The figures in tables", &heads, &rows)
}

/// Words in the order of the alphabet, each once.
fn once_each<'w>(words: impl Iterator<Item = &'w str>, between: &str) -> String {
    words.filter(|word| !word.is_empty()).collect::<BTreeSet<_>>().into_iter().collect::<Vec<_>>().join(between)
}

fn group_of(id: &str) -> String {
    let mut parts = id.split('.');
    match (parts.next(), parts.next()) {
        (Some("demo"), Some(tank)) => format!("demo.{tank}"),
        (Some(first), _) => first.to_owned(),
        _ => String::new(),
    }
}

fn ledger_row(entry: &Entry, printed: &BTreeSet<&str>, sheet: &Sheet) -> Markup {
    let formula = if entry.formula.is_empty() { "given" } else { &entry.formula };
    let title = |id: &str| sheet.any_figure(id).map_or_else(|| id.to_owned(), |figure| figure.title.clone());
    // Not every figure that another rests on is printed, and cells share the line of their table.
    let line = |id: &str| {
        let table = id.split('.').next().filter(|table| sheet.tables.contains_key(table));
        if printed.contains(id) { Some(ledger_anchor(id)) } else { table.map(ledger_anchor) }
    };
    let rests_on = match (entry.basis.is_empty(), entry.sources.is_empty()) {
        (true, _) => "the tank's own measures".to_owned(),
        (false, true) => entry.basis.join(", "),
        (false, false) => format!("{} ({})", entry.basis.join(", "), entry.sources.join(", ")),
    };
    let checks = if entry.checks.is_empty() { "nothing in print".to_owned() } else { entry.checks.join("; ") };
    html! {
        tr id=(ledger_anchor(&entry.id)) {
            th scope="row" { (entry.title) br; code { (entry.id) } }
            td { (entry.metric) @if entry.metric != entry.us { " (" (entry.us) ")" } }
            td {
                (formula)
                @if !entry.inputs.is_empty() {
                    br; "from"
                    ul {
                        @for id in &entry.inputs {
                            li {
                                @match line(id) {
                                    Some(line) => a href={ "#" (line) } { (title(id)) },
                                    None => (title(id)),
                                }
                            }
                        }
                    }
                }
            }
            td { (rests_on) }
            td { (checks) }
            td { (page_links(entry.places.iter().map(|place| place.page.as_str()))) }
        }
    }
}

fn rules_markup(edition: &Edition, ledger: &Ledger) -> Markup {
    let mut topics: Vec<(&str, Vec<&Rule>)> = Vec::new();
    for rule in &edition.rules.all {
        let topic = rule.id.split('.').next().unwrap_or_default();
        match topics.last_mut() {
            Some((last, rules)) if *last == topic => rules.push(rule),
            _ => topics.push((topic, vec![rule])),
        }
    }
    let mut used: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for entry in &ledger.figures {
        for rule in &entry.rules {
            used.entry(rule).or_default().extend(entry.places.iter().map(|place| place.page.as_str()));
        }
    }
    let row = |rule: &Rule| {
        html! {
            tr id={ "rule-" (rule.id) } {
                th scope="row" {
                    (rule.title) br; code { (rule.id) }
                    @if !rule.note.is_empty() { br; small { (rule.note) } }
                }
                td { (says(rule, &edition.sheet)) }
                td { (basis_markup(&rule.basis)) }
                td { (page_links(used.get(rule.id.as_str()).into_iter().flatten().copied())) }
            }
        }
    };
    let of_topic = |topic: &str, rules: &[&Rule]| {
        let rows = html! { @for rule in rules { (row(rule)) } };
        let caption = format!("Rules in {topic}.toml");
        scrolling("proof", &format!("rules-{topic}"), &caption, &["Rule", "Value", "Basis", "Pages"], &rows)
    };
    html! { @for (topic, rules) in &topics { (of_topic(topic, rules)) } }
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

fn sources_markup(edition: &Edition) -> Markup {
    html! {
        dl class="sources" {
            @for (key, source) in &edition.rules.sources {
                dt id={ "source-" (key) } { code { (key) } }
                dd { (cited(source)) }
            }
        }
    }
}

fn checks_markup(edition: &Edition, ledger: &Ledger) -> Markup {
    let basis = |check: &CheckEntry| match edition.rules.sources.get(&check.source) {
        Some(source) => format!("{} ({}), {}", source.author, source.year, check.place),
        None => check.basis.replace('-', " "),
    };
    let page = |page: &str| page_links(std::iter::once(page));
    let values = html! {
        @for check in &ledger.checks {
            tr {
                th scope="row" { (check.subject) }
                @for said in [&check.published, &check.reckoned, &check.tolerance, &basis(check)] { td { (said) } }
                td { (page(&check.page)) }
            }
        }
    };
    let claims = html! {
        @for claim in &ledger.claims {
            tr { th scope="row" { code { (claim.that) } } td { (page(&claim.page)) } }
        }
    };
    let heads = ["What", "Expected", "Reckoned", "Allowed", "Says who", "Page"];
    html! {
        (scrolling("proof", "checks-values", "Values held against others", &heads, &values))
        @if !ledger.claims.is_empty() {
            (scrolling("proof", "checks-claims", "Words held against figures", &["Condition", "Page"], &claims))
        }
    }
}

fn typed_markup(ledger: &Ledger) -> Markup {
    html! {
        ul class="typed-numbers" {
            @for typed in &ledger.typed {
                li { (typed.text) ", because it is " (typed.because) " (" (page_links(std::iter::once(typed.page.as_str()))) ")" }
            }
        }
    }
}
