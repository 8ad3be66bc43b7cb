//! The lines of the ledger: each figure that the book can print of a tank, with what it was reckoned from.

use std::collections::{BTreeMap, BTreeSet};

use maud::{Markup, html};
use reckoner_calc::quantity::System;
use reckoner_calc::rules::{Basis, Rule, Rules};
use reckoner_calc::sheet::{Figure, Sheet, Table};

use crate::html::{scrolling, written};
use crate::listed::Listed;

/// The heads of a table of figures.
pub const HEADS: [&str; 6] = ["Figure", "Value", "How it is reckoned", "Rests on", "Checked by", "Pages"];

/// The rules behind each figure and cell of a sheet: those that went in directly or through what it was
/// reckoned from.
#[derive(Debug)]
pub struct Behind<'s> {
    /// The sheet.
    pub sheet: &'s Sheet,
    /// The rules it was reckoned by.
    pub rules: &'s Rules,
    /// The place of each rule among all, by its id.
    places: BTreeMap<&'s str, usize>,
    /// A bit for each rule, by the ids of the figures.
    known: BTreeMap<&'s str, Vec<u64>>,
}

impl<'s> Behind<'s> {
    /// Looks them all up.
    pub fn all(sheet: &'s Sheet, rules: &'s Rules) -> Self {
        let places = rules.all.iter().enumerate().map(|(place, rule)| (rule.id.as_str(), place)).collect();
        let mut behind = Behind { sheet, rules, places, known: BTreeMap::new() };
        for figure in sheet.figures().iter().chain(sheet.tables.values().flat_map(Table::figures)) {
            behind.look_up(figure);
        }
        behind
    }

    fn look_up(&mut self, figure: &'s Figure) {
        if self.known.contains_key(figure.id.as_str()) {
            return;
        }
        let mut bits = vec![0; self.rules.all.len().div_ceil(64)];
        // Nothing is reckoned from itself; but who asks twice must not ask for ever.
        self.known.insert(&figure.id, bits.clone());
        for place in figure.rules.iter().filter_map(|rule| self.places.get(rule.as_str())) {
            bits[place / 64] |= 1 << (place % 64);
        }
        for input in &figure.inputs {
            if !self.known.contains_key(input.as_str())
                && let Some(input) = self.sheet.any_figure(input)
            {
                self.look_up(input);
            }
            let of_input = self.known.get(input.as_str()).into_iter().flatten();
            bits.iter_mut().zip(of_input).for_each(|(bits, of_input)| *bits |= of_input);
        }
        self.known.insert(&figure.id, bits);
    }

    /// The rules behind a figure.
    pub fn rules_of(&self, figure: &Figure) -> impl Iterator<Item = &'s Rule> {
        let words = self.known.get(figure.id.as_str()).into_iter().flatten().copied().enumerate();
        let places = words.flat_map(|(at, mut word)| {
            std::iter::from_fn(move || {
                let bit = word.trailing_zeros();
                word &= word.wrapping_sub(1);
                (bit < u64::BITS).then_some(64 * at + bit as usize)
            })
        });
        places.filter_map(|place| self.rules.all.get(place))
    }

    /// Their ids, in the order of the alphabet.
    pub fn ids(&self, figure: &Figure) -> BTreeSet<&'s str> {
        self.rules_of(figure).map(|rule| rule.id.as_str()).collect()
    }

    /// What a figure rests on.
    pub fn rests(&self, figure: &Figure) -> Rests<'s> {
        let mut rests = Rests::default();
        for rule in self.rules_of(figure) {
            rests.basis.insert(rule.basis.word());
            if let Basis::Published { source, .. } = &rule.basis {
                rests.sources.insert(source);
            }
        }
        rests
    }
}

/// What a figure rests on.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Rests<'r> {
    /// How far to trust its rules: each word once.
    pub basis: BTreeSet<&'static str>,
    /// The keys of the publications behind them.
    pub sources: BTreeSet<&'r str>,
}

impl Rests<'_> {
    fn in_words(&self) -> String {
        fn list(words: &BTreeSet<&str>) -> String {
            words.iter().copied().collect::<Vec<_>>().join(", ")
        }
        match (self.basis.is_empty(), self.sources.is_empty()) {
            (true, _) => "the tank's own measures".to_owned(),
            (false, true) => list(&self.basis),
            (false, false) => format!("{} ({})", list(&self.basis), list(&self.sources)),
        }
    }
}

/// A table for each topic, with a line for each figure of the tank that the book prints.
pub fn figures(listed: &Listed, behind: &Behind<'_>) -> String {
    let sheet = behind.sheet;
    let lines: Vec<_> = sheet.figures().iter().filter(|figure| figure.shown().is_some()).collect();
    let lines: Vec<_> =
        lines.into_iter().map(|figure| (figure, listed.pages_of(&figure.id, sheet))).collect();
    let lines: Vec<_> = lines.into_iter().filter(|(_, pages)| !pages.is_empty()).collect();
    let on_page: BTreeSet<&str> = lines.iter().map(|(figure, _)| figure.id.as_str()).collect();
    let anchor_of = |id: &str| {
        let of_table = || {
            id.split('.')
                .next()
                .filter(|table| listed.tables.contains_key(*table) && sheet.tables.contains_key(table))
        };
        if on_page.contains(id) { Some(anchor(id)) } else { of_table().map(anchor) }
    };
    let mut topics: Vec<(&str, Vec<Markup>)> = Vec::new();
    for (figure, pages) in &lines {
        let checks = listed
            .checks
            .iter()
            .filter(|(concerns, _)| concerns.figure(figure))
            .map(|(_, what)| what.as_str())
            .collect();
        let line = Line {
            prefix: "",
            figure,
            sheet,
            rests: behind.rests(figure),
            checks,
            pages: listed.names(pages),
        }
        .markup(&anchor_of);
        let topic = figure.id.split('.').next().unwrap_or_default();
        match topics.iter_mut().find(|(known, _)| *known == topic) {
            Some((_, lines)) => lines.push(line),
            None => topics.push((topic, vec![line])),
        }
    }
    written(&html! { @for (topic, lines) in &topics { (topic_table(topic, lines)) } })
}

/// A table with a line for each table of the tank that the book prints.
pub fn tables(listed: &Listed, behind: &Behind<'_>) -> String {
    let sheet = behind.sheet;
    let row = |table: &Table| {
        let pages = listed.tables.get(table.id)?;
        let cells: Vec<_> = table.figures().filter(|figure| figure.shown().is_some()).collect();
        let ids: BTreeSet<_> = cells.iter().map(|figure| figure.id.as_str()).collect();
        let formulas: BTreeSet<_> =
            cells.iter().map(|figure| figure.formula).filter(|formula| !formula.is_empty()).collect();
        let rests: BTreeSet<_> =
            cells.iter().flat_map(|figure| behind.rules_of(figure)).map(|rule| rule.id.as_str()).collect();
        (!ids.is_empty()).then(|| {
            html! {
                tr id=(anchor(table.id)) {
                    th scope="row" { (table.caption) br; code { (table.id) } }
                    td { (ids.len()) " figures" }
                    td { (formulas.into_iter().collect::<Vec<_>>().join("; ")) }
                    td { (rests.into_iter().collect::<Vec<_>>().join(", ")) }
                    td { (page_links(listed.names(pages).into_iter())) }
                }
            }
        })
    };
    let rows = html! { @for row in sheet.tables.values().filter_map(row) { (row) } };
    let heads = ["Table", "Figures", "How they are reckoned", "Rules", "Pages"];
    written(&scrolling("proof", "ledger-tables", "The figures in tables", &heads, &rows))
}

/// The figures of one topic.
pub fn topic_table(topic: &str, lines: &[Markup]) -> Markup {
    let rows = html! { @for line in lines { (line) } };
    scrolling(
        "proof",
        &format!("ledger-{topic}"),
        &format!("Figures: {}", topic.replace(['.', '_'], " ")),
        &HEADS,
        &rows,
    )
}

/// One figure on the ledger.
pub struct Line<'l> {
    /// What stands before the ids of its sheet.
    pub prefix: &'l str,
    /// The figure.
    pub figure: &'l Figure,
    /// The sheet it stands on.
    pub sheet: &'l Sheet,
    /// What it rests on.
    pub rests: Rests<'l>,
    /// What it was checked by.
    pub checks: Vec<&'l str>,
    /// The pages that print it.
    pub pages: Vec<&'l str>,
}

impl Line<'_> {
    /// The line as a row; `anchor_of` gives the line of another figure of the sheet, where the ledger has it.
    pub fn markup(&self, anchor_of: &dyn Fn(&str) -> Option<String>) -> Markup {
        let figure = self.figure;
        let id = format!("{}{}", self.prefix, figure.id);
        let title =
            |id: &str| self.sheet.any_figure(id).map_or_else(|| id.to_owned(), |figure| figure.title.clone());
        let reading =
            |system| figure.shown().map_or_else(String::new, |shown| shown.in_system(system).to_string());
        let (metric, us) = (reading(System::Metric), reading(System::Us));
        html! {
            tr id=(anchor(&id)) {
                // What a rule is called stands on the page of the rules.
                th scope="row" { @if !id.starts_with("rule.") { (figure.title) br; } code { (id) } }
                td { (metric) @if metric != us { " (" (us) ")" } }
                td {
                    (if figure.formula.is_empty() { "given" } else { figure.formula })
                    @if !figure.inputs.is_empty() {
                        br; "from "
                        @for (at, id) in figure.inputs.iter().enumerate() {
                            @if at > 0 { "; " }
                            @match anchor_of(id) {
                                Some(line) => a href={ "#" (line) } { (title(id)) },
                                None => (title(id)),
                            }
                        }
                    }
                }
                td { (self.rests.in_words()) }
                td { (if self.checks.is_empty() { "nothing in print".to_owned() } else { self.checks.join("; ") }) }
                td { (page_links(self.pages.iter().copied())) }
            }
        }
    }
}

/// The id of a figure's line on the ledger page: cells of a table share the line of the table.
pub fn anchor(id: &str) -> String {
    format!("figure-{id}")
}

/// A page's address in the built book.
pub fn address(page: &str) -> String {
    page.strip_suffix(".md").map_or_else(|| page.to_owned(), |stem| format!("{stem}.html"))
}

/// Links to pages, each once.
pub fn page_links<'p>(pages: impl Iterator<Item = &'p str>) -> Markup {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::listed::tests::listed;
    use reckoner_calc::{Catalogue, Tank};

    #[test]
    fn the_ledger_has_the_figures_that_the_tank_has_and_the_book_prints() {
        let rules = Rules::compiled_in().unwrap();
        let text = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n\
                    [livestock]\nnow = \"soft\"\n";
        let sheet =
            Sheet::reckon(&rules, &Catalogue::empty(), &Tank::read("t.toml", text, &rules).unwrap()).unwrap();
        let behind = Behind::all(&sheet, &rules);
        let lines = figures(&listed(), &behind);
        let line = |id: &str| {
            let at = lines.find(&format!("<tr id=\"figure-{id}\">"))?;
            lines[at..].split("</tr>").next()
        };
        let aim = line("flow.aim").unwrap();
        assert!(aim.contains("<a href=\"a.html\">A</a>, <a href=\"b-c.html\">B c</a>"), "{aim}");
        assert!(aim.contains("the flow; turnover.flow"), "{aim}");
        // What the worked example prints is on it; what the tank lacks, or no page prints, is not.
        assert!(line("tank.counted").is_some_and(|line| line.contains(">B c</a>")), "{lines}");
        assert!(aim.contains("href=\"#figure-tank.counted\""), "{aim}");
        assert!(line("return_line.flow").is_none() && line("flow.now").is_none());
        let lines = tables(&listed(), &behind);
        assert!(lines.contains("id=\"figure-bands\"") && lines.matches("<tr id").count() == 1, "{lines}");
        for figure in sheet.figures().iter().chain(sheet.tables.values().flat_map(Table::figures)) {
            let one_by_one = sheet.behind(&figure.rules, &figure.inputs);
            assert_eq!(
                behind.ids(figure),
                one_by_one.iter().map(reckoner_calc::Name::as_str).collect(),
                "{}",
                figure.id
            );
            let weakest = behind.rules_of(figure).map(|rule| rule.basis.trust()).max();
            assert_eq!(figure.trust, weakest, "{}", figure.id);
        }
    }
}
