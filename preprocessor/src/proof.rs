//! The parts of the book that show its proof: the ledger, the rules with their sources, the checks, and the
//! digits typed by hand. [`checks`] and [`sums`] are worked at each build; [`ledger`] holds what came of it.

use std::collections::BTreeMap;

use maud::{Markup, html};
use reckoner_calc::Sheet;
use reckoner_calc::sheet::Figure;
use reckoner_page::html::{Medium, scrolling, written};
use reckoner_page::ledger::{Behind, Line, anchor, page_links, topic_table};
use reckoner_page::listed::Listed;
use reckoner_page::passage::{Block, Kind, Passage, Piece};
use reckoner_page::rules::{cited, value_text};
use reckoner_page::text::escaped;

use crate::chapter::forme::Segment;
use crate::chapter::record::{Claim, Part};
use crate::edition::{ATLAS, Edition};
use crate::proof::ledger::{CheckEntry, Entry, Ledger};

pub mod checks;
pub mod ledger;
pub mod sums;

impl Part {
    /// The part, to be set for the running tank.
    ///
    /// - `listed`: what the book can print of any tank
    /// - `claims`: what its words are held to, with the conditions they stand under
    pub fn segments(
        self,
        edition: &Edition,
        ledger: &Ledger,
        listed: &Listed,
        claims: &[Claim],
        medium: Medium,
    ) -> Vec<Segment> {
        let plain = |markup: &Markup| vec![Segment::Plain(written(markup))];
        match (self, medium) {
            (Part::Ledger, Medium::Html) => ledger_segments(edition, ledger, listed),
            (Part::Rules, Medium::Html) => vec![of_tank("u", listed)],
            (Part::Sources, Medium::Html) => plain(&sources_markup(edition)),
            (Part::Checks, Medium::Html) => checks_segments(edition, ledger, claims),
            (Part::TypedNumbers, Medium::Html) => plain(&typed_markup(ledger)),
            (_, Medium::Markdown) => vec![Segment::Plain(self.markdown(edition, ledger))],
        }
    }

    fn markdown(self, edition: &Edition, ledger: &Ledger) -> String {
        match self {
            Part::Ledger => {
                list(&ledger.figures, |entry| format!("{}: {} = {}", entry.id, entry.title, entry.metric))
            }
            Part::Rules => list(&edition.rules.all, |rule| {
                format!(
                    "{}: {}, {} ({})",
                    rule.id,
                    rule.title,
                    value_text(rule, &edition.sheet),
                    rule.basis.word()
                )
            }),
            Part::Sources => {
                let sources: Vec<_> = edition.rules.sources.values().collect();
                list(&sources, |source| cited(source))
            }
            Part::Checks => list(&ledger.checks, |check| {
                format!("{}: {}, reckoned {}", check.subject, check.published, check.reckoned)
            }),
            Part::TypedNumbers => list(&ledger.typed, |typed| {
                format!("{}, because it is {} ({})", typed.text, typed.because, typed.page)
            }),
        }
    }
}

fn list<T>(items: &[T], line: impl Fn(&T) -> String) -> String {
    items.iter().map(|item| format!("- {}\n", escaped(&line(item)))).collect()
}

/// The ledger: the figures of the running tank, those of the tanks of the book, and a line for each table.
/// The cells stand one by one in `ledger.json`.
fn ledger_segments(edition: &Edition, ledger: &Ledger, listed: &Listed) -> Vec<Segment> {
    let of_demos = format!("\n\n{}\n\n", written(&demos_markup(edition, ledger)));
    // Each part carries no more of the list than it shows.
    let of_figures = Listed { rules: BTreeMap::new(), ..listed.clone() };
    let of_tables =
        Listed { pages: listed.pages.clone(), tables: listed.tables.clone(), ..Listed::default() };
    vec![of_tank("g", &of_figures), Segment::Plain(of_demos), of_tank("m", &of_tables)]
}

/// A part of the running tank that is made by a list.
fn of_tank(sort: &str, listed: &Listed) -> Segment {
    let pieces = vec![Piece::Gap(format!("{sort}:{listed}"))];
    passage(Block { kind: Kind::Words, opening: String::new(), pieces, closing: String::new() })
}

fn passage(block: Block) -> Segment {
    let markdown = Passage { begins_section: false, block };
    Segment::Passage { html: Some(markdown.clone()), markdown }
}

/// A table for each topic of each tank of the book and of the atlas, with the figures that are printed.
fn demos_markup(edition: &Edition, ledger: &Ledger) -> Markup {
    let printed: BTreeMap<&str, &Entry> =
        ledger.figures.iter().map(|entry| (entry.id.as_str(), entry)).collect();
    let of_demo = |prefix: &str, sheet: &Sheet| {
        let behind = Behind::all(sheet, &edition.rules);
        let anchor_of = |id: &str| {
            printed.contains_key(format!("{prefix}{id}").as_str()).then(|| anchor(&format!("{prefix}{id}")))
        };
        let line = |figure: &Figure| {
            let entry = printed.get(format!("{prefix}{}", figure.id).as_str())?;
            let checks = entry.checks.iter().map(String::as_str).collect();
            let pages = entry.places.iter().map(|place| place.page.as_str()).collect();
            Some(
                Line { prefix, figure, sheet, rests: behind.rests(figure), checks, pages }.markup(&anchor_of),
            )
        };
        sheet.figures().iter().filter_map(line).collect::<Vec<_>>()
    };
    let tables = edition.sheets().skip(1).filter_map(|(prefix, sheet)| {
        let lines = of_demo(&prefix, sheet);
        let name = if prefix.is_empty() { ATLAS } else { prefix.trim_end_matches('.') };
        (!lines.is_empty()).then(|| topic_table(name, &lines))
    });
    html! { @for table in tables { (table) } }
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

/// The values that were checked, and the words that are held to figures: those that are true of the running
/// tank.
fn checks_segments(edition: &Edition, ledger: &Ledger, claims: &[Claim]) -> Vec<Segment> {
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
    let heads = ["What", "Expected", "Reckoned", "Allowed", "Says who", "Page"];
    let values = written(&scrolling("proof", "checks-values", "Values held against others", &heads, &values));
    let row = |claim: &Claim| {
        let only =
            |(condition, holds): &(String, bool)| Piece::Only { condition: condition.clone(), holds: *holds };
        let cells = html! { th scope="row" { code { (claim.that) } } td { (page(&claim.page)) } };
        let pieces = claim
            .under
            .iter()
            .map(only)
            .chain([Piece::Claim(claim.that.clone()), Piece::Text(written(&cells))]);
        Piece::Block(Block {
            kind: Kind::Part,
            opening: "<tr>".to_owned(),
            pieces: pieces.collect(),
            closing: "</tr>".to_owned(),
        })
    };
    // The rows take the place of the mark in the table.
    const ROWS: &str = "ROWS";
    let around = written(&scrolling(
        "proof",
        "checks-claims",
        "Words held against figures",
        &["Condition", "Page"],
        &html! { (ROWS) },
    ));
    let (opening, closing) = around.split_once(ROWS).unwrap_or_default();
    let pieces = claims.iter().map(row).collect();
    let block = Block { kind: Kind::Whole, opening: opening.to_owned(), pieces, closing: closing.to_owned() };
    let claims = (!claims.is_empty()).then(|| passage(block));
    std::iter::once(Segment::Plain(values + "\n\n")).chain(claims).collect()
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
