//! The parts of the book that show its proof: the ledger, the rules with their sources, the checks, and the digits typed by hand.
//! [`checks`] and [`sums`] are worked at each build; [`ledger`] holds what came of it.

use std::collections::{BTreeMap, BTreeSet};

use reckoner_calc::Sheet;
use reckoner_calc::quantity::Quantity;
use reckoner_calc::rules::{Basis, Rule, RuleValue, Source};
use reckoner_calc::sheet::Figure;
use reckoner_page::html::{Medium, escape};
use reckoner_page::text::escaped;

use crate::chapter::record::{ClaimEntry, Part, TypedEntry};
use crate::edition::Edition;
use crate::proof::ledger::{CheckEntry, Entry, Ledger};

pub mod checks;
pub mod ledger;
pub mod sums;

impl Part {
    /// Writes the part.
    pub fn write(self, edition: &Edition, ledger: &Ledger, medium: Medium) -> String {
        match (self, medium) {
            (Part::Ledger, Medium::Html) => ledger_html(edition, ledger),
            (Part::Rules, Medium::Html) => rules_html(edition, ledger),
            (Part::Sources, Medium::Html) => sources_html(edition),
            (Part::Checks, Medium::Html) => checks_html(edition, ledger),
            (Part::TypedNumbers, Medium::Html) => typed_html(ledger),
            (_, Medium::Markdown) => self.markdown(edition, ledger),
        }
    }

    fn markdown(self, edition: &Edition, ledger: &Ledger) -> String {
        match self {
            Part::Ledger => list(&ledger.figures, |entry| format!("{}: {} = {}", entry.id, entry.title, entry.metric)),
            Part::Rules => list(&edition.rules.all, |rule| {
                format!("{}: {}, {} ({})", rule.id, rule.title, value_text(rule, &edition.sheet), rule.basis.word())
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

fn page_links<'p>(pages: impl Iterator<Item = &'p str>) -> String {
    let mut seen: Vec<&str> = Vec::new();
    for page in pages {
        if !seen.contains(&page) {
            seen.push(page);
        }
    }
    let link = |page: &&str| {
        let name = page.trim_end_matches(".md").replace('-', " ");
        let mut letters = name.chars();
        let name: String = letters.next().into_iter().flat_map(char::to_uppercase).chain(letters).collect();
        format!("<a href=\"{}\">{}</a>", escape(&address(page)), escape(&name))
    };
    seen.iter().map(link).collect::<Vec<_>>().join(", ")
}

/// The id of a figure's line on the ledger page: cells of a table share the line of the table.
pub fn ledger_anchor(id: &str) -> String {
    format!("figure-{id}")
}

/// A table for each topic, then one with a line for each table of the book: its cells stand one by one in `ledger.json`.
fn ledger_html(edition: &Edition, ledger: &Ledger) -> String {
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
    let mut out = String::new();
    for (group, entries) in groups {
        let rows: String = entries.iter().map(|entry| ledger_row(entry, &printed, &edition.sheet)).collect();
        out.push_str(&table(
            &format!("ledger-{group}"),
            &format!("Figures: {}", group.replace(['.', '_'], " ")),
            &["Figure", "Value", "How it is reckoned", "Rests on", "Checked by", "Pages"],
            &rows,
        ));
    }
    out.push_str(&cells_html(edition, &cells));
    out
}

fn cells_html(edition: &Edition, cells: &[&Entry]) -> String {
    let row = |(id, caption): (&str, &str)| {
        let of_table: Vec<_> = cells.iter().filter(|entry| entry.id.split('.').next() == Some(id)).collect();
        let first = of_table.first()?;
        let mut formulas: Vec<_> = of_table.iter().map(|entry| entry.formula.as_str()).filter(|formula| !formula.is_empty()).collect();
        formulas.sort_unstable();
        formulas.dedup();
        let mut rules: Vec<_> = of_table.iter().flat_map(|entry| &entry.rules).map(String::as_str).collect();
        rules.sort_unstable();
        rules.dedup();
        Some(format!(
            "<tr id=\"{}\"><th scope=\"row\">{}<br><code>{}</code></th><td>{} figures</td><td>{}</td><td>{}</td><td>{}</td></tr>",
            escape(&ledger_anchor(id)),
            escape(caption),
            escape(id),
            of_table.len(),
            escape(&formulas.join("; ")),
            escape(&rules.join(", ")),
            page_links(first.places.iter().map(|place| place.page.as_str()))
        ))
    };
    let rows: String = edition.sheet.tables.values().filter_map(|table| row((table.id, &table.caption))).collect();
    table("ledger-tables", "The figures in tables", &["Table", "Figures", "How they are reckoned", "Rules", "Pages"], &rows)
}

fn group_of(id: &str) -> String {
    let mut parts = id.split('.');
    match (parts.next(), parts.next()) {
        (Some("demo"), Some(tank)) => format!("demo.{tank}"),
        (Some(first), _) => first.to_owned(),
        _ => String::new(),
    }
}

fn ledger_row(entry: &Entry, printed: &BTreeSet<&str>, sheet: &Sheet) -> String {
    let formula = if entry.formula.is_empty() { "given".to_owned() } else { entry.formula.clone() };
    let link = |id: &String| {
        let title = escape(sheet.any_figure(id).map_or(id.as_str(), |figure| &figure.title));
        // Not every figure that another rests on is printed, and cells share the line of their table.
        let line = if printed.contains(id.as_str()) {
            Some(id.as_str())
        } else {
            id.split('.').next().filter(|table| sheet.tables.contains_key(table))
        };
        line.map_or_else(
            || format!("<li>{title}</li>"),
            |line| format!("<li><a href=\"#{}\">{title}</a></li>", escape(&ledger_anchor(line))),
        )
    };
    let inputs: String = entry.inputs.iter().map(link).collect();
    let from = if inputs.is_empty() { String::new() } else { format!("<br>from<ul>{inputs}</ul>") };
    let rests_on = match (entry.basis.is_empty(), entry.sources.is_empty()) {
        (true, _) => "the tank's own measures".to_owned(),
        (false, true) => entry.basis.join(", "),
        (false, false) => format!("{} ({})", entry.basis.join(", "), entry.sources.join(", ")),
    };
    let checks = if entry.checks.is_empty() { "nothing in print".to_owned() } else { entry.checks.join("; ") };
    let value = if entry.metric == entry.us { escape(&entry.metric) } else { format!("{} ({})", escape(&entry.metric), escape(&entry.us)) };
    format!(
        "<tr id=\"{}\"><th scope=\"row\">{}<br><code>{}</code></th><td>{value}</td><td>{}{from}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
        escape(&ledger_anchor(&entry.id)),
        escape(&entry.title),
        escape(&entry.id),
        escape(&formula),
        escape(&rests_on),
        escape(&checks),
        page_links(entry.places.iter().map(|place| place.page.as_str()))
    )
}

fn rules_html(edition: &Edition, ledger: &Ledger) -> String {
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
    let mut out = String::new();
    for (topic, rules) in topics {
        let row = |rule: &&Rule| {
            let note = if rule.note.is_empty() { String::new() } else { format!("<br><small>{}</small>", escape(&rule.note)) };
            format!(
                "<tr id=\"rule-{id}\"><th scope=\"row\">{}<br><code>{id}</code>{note}</th><td>{}</td><td>{}</td><td>{}</td></tr>",
                escape(&rule.title),
                escape(&value_text(rule, &edition.sheet)),
                basis_html(&rule.basis),
                page_links(used.get(rule.id.as_str()).into_iter().flatten().copied()),
                id = escape(&rule.id)
            )
        };
        let rows: String = rules.iter().map(row).collect();
        let caption = format!("Rules in {topic}.toml");
        out.push_str(&table(&format!("rules-{topic}"), &caption, &["Rule", "Value", "Basis", "Pages"], &rows));
    }
    out
}

fn basis_html(basis: &Basis) -> String {
    match basis {
        Basis::Published { source, place } => format!("published: <a href=\"#source-{0}\">{0}</a>, {1}", escape(source), escape(place)),
        other => other.word().replace('-', " "),
    }
}

fn sources_html(edition: &Edition) -> String {
    let item = |(key, source): (&String, &Source)| {
        format!("<dt id=\"source-{0}\"><code>{0}</code></dt><dd>{1}</dd>", escape(key), escape(&cited(source)))
    };
    format!("<dl class=\"sources\">{}</dl>", edition.rules.sources.iter().map(item).collect::<String>())
}

fn cited(source: &Source) -> String {
    format!("{} ({}). {}. {}. Read: {}.", source.author.trim_end_matches('.'), source.year, source.title, source.published, source.seen)
}

fn checks_html(edition: &Edition, ledger: &Ledger) -> String {
    let row = |check: &CheckEntry| {
        let basis = match edition.rules.sources.get(&check.source) {
            Some(source) => format!("{} ({}), {}", source.author, source.year, check.place),
            None => check.basis.replace('-', " "),
        };
        format!(
            "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
            escape(&check.subject),
            escape(&check.published),
            escape(&check.reckoned),
            escape(&check.tolerance),
            escape(&basis),
            page_links(std::iter::once(check.page.as_str()))
        )
    };
    let rows: String = ledger.checks.iter().map(row).collect();
    let mut out =
        table("checks-values", "Values held against others", &["What", "Expected", "Reckoned", "Allowed", "Says who", "Page"], &rows);
    if !ledger.claims.is_empty() {
        let row = |claim: &ClaimEntry| {
            format!(
                "<tr><th scope=\"row\"><code>{}</code></th><td>{}</td></tr>",
                escape(&claim.that),
                page_links(std::iter::once(claim.page.as_str()))
            )
        };
        let rows: String = ledger.claims.iter().map(row).collect();
        out.push_str(&table("checks-claims", "Words held against figures", &["Condition", "Page"], &rows));
    }
    out
}

fn typed_html(ledger: &Ledger) -> String {
    let item = |typed: &TypedEntry| {
        format!(
            "<li>{}, because it is {} ({})</li>",
            escape(&typed.text),
            escape(&typed.because),
            page_links(std::iter::once(typed.page.as_str()))
        )
    };
    format!("<ul class=\"typed-numbers\">{}</ul>", ledger.typed.iter().map(item).collect::<String>())
}

/// A table that scrolls on a narrow screen, with its caption and head.
fn table(id: &str, caption: &str, heads: &[&str], rows: &str) -> String {
    let heads: String = heads.iter().map(|head| format!("<th scope=\"col\">{}</th>", escape(head))).collect();
    format!(
        "<div class=\"table-wrapper\" role=\"region\" tabindex=\"0\" aria-labelledby=\"{id}\"><table class=\"proof\"><caption id=\"{id}\">{}</caption><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>",
        escape(caption)
    )
}

/// What a rule says, as text in both systems: as its figure does.
fn value_text(rule: &Rule, sheet: &Sheet) -> String {
    match (&rule.value, sheet.figure(&format!("rule.{}", rule.id))) {
        (RuleValue::List(values), _) => {
            let text = |value: &Quantity| if value.kind.is_bare() { format!("{}", value.si) } else { sheet.shown(*value).to_string() };
            values.iter().map(text).collect::<Vec<_>>().join(", ")
        }
        (_, figure) => figure.map_or_else(String::new, Figure::text),
    }
}
