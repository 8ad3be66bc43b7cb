//! The lines of the ledger: each figure that the book can print of a tank, with what it was reckoned from.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use maud::{Markup, html};
use reckoner_calc::quantity::System;
use reckoner_calc::rules::{Basis, Rules};
use reckoner_calc::sheet::{Figure, Sheet, Table};

use crate::html::{scrolling, written};

/// The heads of a table of figures.
pub const HEADS: [&str; 6] = ["Figure", "Value", "How it is reckoned", "Rests on", "Checked by", "Pages"];

/// What a figure rests on.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Rests {
    /// The ids of the rules that went in, directly or through its inputs.
    pub rules: BTreeSet<String>,
    /// How far to trust them: each word once.
    pub basis: BTreeSet<String>,
    /// The keys of the publications behind them.
    pub sources: BTreeSet<String>,
}

impl Rests {
    /// What a figure of a sheet rests on.
    pub fn of(figure: &Figure, sheet: &Sheet, rules: &Rules) -> Self {
        let ids = sheet.behind(&figure.rules, &figure.inputs);
        let bases: Vec<_> = ids.iter().filter_map(|id| rules.rule(id)).map(|rule| &rule.basis).collect();
        let source = |basis: &&Basis| match basis {
            Basis::Published { source, .. } => Some(source.clone()),
            _ => None,
        };
        let basis = bases.iter().map(|basis| basis.word().to_owned()).collect();
        Rests { basis, sources: bases.iter().filter_map(source).collect(), rules: ids }
    }

    fn in_words(&self) -> String {
        let list = |words: &BTreeSet<String>| words.iter().cloned().collect::<Vec<_>>().join(", ");
        match (self.basis.is_empty(), self.sources.is_empty()) {
            (true, _) => "the tank's own measures".to_owned(),
            (false, true) => list(&self.basis),
            (false, false) => format!("{} ({})", list(&self.basis), list(&self.sources)),
        }
    }
}

/// What the book can print of a tank, whatever the tank, and on which pages.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Listed {
    /// The pages, in the order of the book.
    pub pages: Vec<String>,
    /// The figures by id, each with the places of its pages among the pages.
    pub figures: BTreeMap<String, BTreeSet<usize>>,
    /// The worked examples, which print what is given and the answer.
    pub workings: BTreeMap<String, BTreeSet<usize>>,
    /// The tables.
    pub tables: BTreeMap<String, BTreeSet<usize>>,
    /// The checks: whom each concerns, and what was checked.
    pub checks: Vec<(Concerns, String)>,
}

/// Whom a check concerns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Concerns {
    /// The figure with this id, or with this one before `.low` or `.high`.
    Figure(String),
    /// Every figure that this formula was used for.
    Formula(String),
}

impl Concerns {
    /// Whether it concerns a figure.
    pub fn figure(&self, figure: &Figure) -> bool {
        match self {
            Concerns::Figure(checked) => {
                checked == &figure.id || checked.strip_prefix(&figure.id).is_some_and(|end| [".low", ".high"].contains(&end))
            }
            Concerns::Formula(name) => figure.formulas.contains(&name.as_str()),
        }
    }
}

/// One item a line, its fields between tabs: so a page can carry the list.
impl fmt::Display for Listed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for page in &self.pages {
            writeln!(f, "page\t{page}")?;
        }
        for (sort, items) in [("figure", &self.figures), ("working", &self.workings), ("table", &self.tables)] {
            for (id, pages) in items {
                let pages: Vec<_> = pages.iter().map(usize::to_string).collect();
                writeln!(f, "{sort}\t{id}\t{}", pages.join(" "))?;
            }
        }
        for (concerns, what) in &self.checks {
            match concerns {
                Concerns::Figure(id) => writeln!(f, "check\t{id}\t{what}")?,
                Concerns::Formula(name) => writeln!(f, "formula\t{name}\t{what}")?,
            }
        }
        Ok(())
    }
}

impl Listed {
    /// Reads a list as a page carries it.
    pub fn read(text: &str) -> Self {
        let mut listed = Listed::default();
        for line in text.lines() {
            let fields: Vec<_> = line.split('\t').collect();
            let (sort, id) = (fields[0], fields.get(1).copied().unwrap_or_default().to_owned());
            let last = fields.get(2).copied().unwrap_or_default();
            let pages = || last.split(' ').filter_map(|page| page.parse().ok()).collect();
            match sort {
                "page" => listed.pages.push(id),
                "figure" => drop(listed.figures.insert(id, pages())),
                "working" => drop(listed.workings.insert(id, pages())),
                "table" => drop(listed.tables.insert(id, pages())),
                "check" => listed.checks.push((Concerns::Figure(id), last.to_owned())),
                "formula" => listed.checks.push((Concerns::Formula(id), last.to_owned())),
                _ => {}
            }
        }
        listed
    }

    /// The pages that print a figure of this tank.
    fn pages_of(&self, id: &str, sheet: &Sheet) -> BTreeSet<usize> {
        let prints = |working: &str| {
            let working = sheet.workings.get(working);
            working.is_some_and(|working| working.answer == id || working.given.iter().any(|given| given == id))
        };
        let of_workings = self.workings.iter().filter(|(working, _)| prints(working)).flat_map(|(_, pages)| pages);
        self.figures.get(id).into_iter().flatten().chain(of_workings).copied().collect()
    }

    fn names(&self, pages: &BTreeSet<usize>) -> Vec<&str> {
        pages.iter().filter_map(|page| self.pages.get(*page)).map(String::as_str).collect()
    }

    /// A table for each topic, with a line for each figure of the tank.
    pub fn figures_of(&self, sheet: &Sheet, rules: &Rules) -> String {
        let lines: Vec<_> = sheet.figures().iter().filter(|figure| figure.shown().is_some()).collect();
        let lines: Vec<_> = lines.into_iter().map(|figure| (figure, self.pages_of(&figure.id, sheet))).collect();
        let lines: Vec<_> = lines.into_iter().filter(|(_, pages)| !pages.is_empty()).collect();
        let on_page: BTreeSet<&str> = lines.iter().map(|(figure, _)| figure.id.as_str()).collect();
        let anchor_of = |id: &str| {
            let of_table = || id.split('.').next().filter(|table| self.tables.contains_key(*table) && sheet.tables.contains_key(*table));
            if on_page.contains(id) { Some(anchor(id)) } else { of_table().map(anchor) }
        };
        let mut topics: Vec<(&str, Vec<Markup>)> = Vec::new();
        for (figure, pages) in &lines {
            let checks = self.checks.iter().filter(|(concerns, _)| concerns.figure(figure)).map(|(_, what)| what.as_str()).collect();
            let line = Line { prefix: "", figure, sheet, rules, checks, pages: self.names(pages) }.markup(&anchor_of);
            let topic = figure.id.split('.').next().unwrap_or_default();
            match topics.iter_mut().find(|(known, _)| *known == topic) {
                Some((_, lines)) => lines.push(line),
                None => topics.push((topic, vec![line])),
            }
        }
        written(&html! { @for (topic, lines) in &topics { (topic_table(topic, lines)) } })
    }

    /// A table with a line for each table of the tank.
    pub fn tables_of(&self, sheet: &Sheet, rules: &Rules) -> String {
        let row = |table: &Table| {
            let pages = self.tables.get(table.id)?;
            let cells: Vec<_> = table.figures().filter(|figure| figure.shown().is_some()).collect();
            let ids: BTreeSet<_> = cells.iter().map(|figure| figure.id.as_str()).collect();
            let formulas: BTreeSet<_> = cells.iter().map(|figure| figure.formula).filter(|formula| !formula.is_empty()).collect();
            let rests: BTreeSet<_> = cells.iter().flat_map(|figure| Rests::of(figure, sheet, rules).rules).collect();
            (!ids.is_empty()).then(|| {
                html! {
                    tr id=(anchor(table.id)) {
                        th scope="row" { (table.caption) br; code { (table.id) } }
                        td { (ids.len()) " figures" }
                        td { (formulas.into_iter().collect::<Vec<_>>().join("; ")) }
                        td { (rests.into_iter().collect::<Vec<_>>().join(", ")) }
                        td { (page_links(self.names(pages).into_iter())) }
                    }
                }
            })
        };
        let rows = html! { @for row in sheet.tables.values().filter_map(row) { (row) } };
        let heads = ["Table", "Figures", "How they are reckoned", "Rules", "Pages"];
        written(&scrolling("proof", "ledger-tables", "The figures in tables", &heads, &rows))
    }
}

/// The figures of one topic.
pub fn topic_table(topic: &str, lines: &[Markup]) -> Markup {
    let rows = html! { @for line in lines { (line) } };
    scrolling("proof", &format!("ledger-{topic}"), &format!("Figures: {}", topic.replace(['.', '_'], " ")), &HEADS, &rows)
}

/// One figure on the ledger.
pub struct Line<'l> {
    /// What stands before the ids of its sheet.
    pub prefix: &'l str,
    /// The figure.
    pub figure: &'l Figure,
    /// The sheet it stands on.
    pub sheet: &'l Sheet,
    /// The rules of the sheet.
    pub rules: &'l Rules,
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
        let title = |id: &str| self.sheet.any_figure(id).map_or_else(|| id.to_owned(), |figure| figure.title.clone());
        let reading = |system| figure.shown().map_or_else(String::new, |shown| shown.in_system(system).to_string());
        let (metric, us) = (reading(System::Metric), reading(System::Us));
        html! {
            tr id=(anchor(&id)) {
                th scope="row" { (figure.title) br; code { (id) } }
                td { (metric) @if metric != us { " (" (us) ")" } }
                td {
                    (if figure.formula.is_empty() { "given" } else { figure.formula })
                    @if !figure.inputs.is_empty() {
                        br; "from"
                        ul {
                            @for id in &figure.inputs {
                                li {
                                    @match anchor_of(id) {
                                        Some(line) => a href={ "#" (line) } { (title(id)) },
                                        None => (title(id)),
                                    }
                                }
                            }
                        }
                    }
                }
                td { (Rests::of(figure, self.sheet, self.rules).in_words()) }
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
    use reckoner_calc::{Catalogue, Tank};

    fn listed() -> Listed {
        let pages = |pages: &[usize]| pages.iter().copied().collect::<BTreeSet<_>>();
        Listed {
            pages: vec!["a.md".to_owned(), "b-c.md".to_owned()],
            figures: [("flow.aim".to_owned(), pages(&[0])), ("return_line.flow".to_owned(), pages(&[1]))].into(),
            workings: [("flow_to_aim_for".to_owned(), pages(&[1]))].into(),
            tables: [("bands".to_owned(), pages(&[0, 1]))].into(),
            checks: vec![
                (Concerns::Figure("flow.aim".to_owned()), "the flow".to_owned()),
                (Concerns::Formula("turnover.flow".to_owned()), "turnover.flow (volume = 100 L)".to_owned()),
            ],
        }
    }

    #[test]
    fn a_page_can_carry_the_list() {
        assert_eq!(Listed::read(&listed().to_string()), listed());
    }

    #[test]
    fn the_ledger_has_the_figures_that_the_tank_has_and_the_book_prints() {
        let rules = Rules::compiled_in().unwrap();
        let text = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n\
                    [livestock]\nnow = \"soft\"\n";
        let sheet = Sheet::reckon(&rules, &Catalogue::empty(), &Tank::read("t.toml", text, &rules).unwrap()).unwrap();
        let figures = listed().figures_of(&sheet, &rules);
        let line = |id: &str| {
            let at = figures.find(&format!("<tr id=\"figure-{id}\">"))?;
            figures[at..].split("</tr>").next()
        };
        let aim = line("flow.aim").unwrap();
        assert!(aim.contains("<a href=\"a.html\">A</a>, <a href=\"b-c.html\">B c</a>"), "{aim}");
        assert!(aim.contains("the flow; turnover.flow"), "{aim}");
        // What the worked example prints is on it; what the tank lacks, or no page prints, is not.
        assert!(line("tank.counted").is_some_and(|line| line.contains(">B c</a>")), "{figures}");
        assert!(aim.contains("href=\"#figure-tank.counted\""), "{aim}");
        assert!(line("return_line.flow").is_none() && line("flow.now").is_none());
        let tables = listed().tables_of(&sheet, &rules);
        assert!(tables.contains("id=\"figure-bands\"") && tables.matches("<tr id").count() == 1, "{tables}");
    }
}
