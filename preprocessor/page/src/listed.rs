//! What the book can print of a tank, whatever the tank: the list from which the ledger and the rules are
//! shown.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use reckoner_calc::sheet::{Figure, Sheet};

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
    /// The rules behind what the book prints of its own tanks.
    pub rules: BTreeMap<String, BTreeSet<usize>>,
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
                checked == &figure.id
                    || checked.strip_prefix(&figure.id).is_some_and(|end| [".low", ".high"].contains(&end))
            }
            Concerns::Formula(name) => figure.uses(name),
        }
    }
}

/// One item a line, its fields between tabs: so a page can carry the list.
impl fmt::Display for Listed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for page in &self.pages {
            writeln!(f, "page\t{page}")?;
        }
        let items = [
            ("figure", &self.figures),
            ("working", &self.workings),
            ("table", &self.tables),
            ("rule", &self.rules),
        ];
        for (sort, items) in items {
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
                "rule" => drop(listed.rules.insert(id, pages())),
                "check" => listed.checks.push((Concerns::Figure(id), last.to_owned())),
                "formula" => listed.checks.push((Concerns::Formula(id), last.to_owned())),
                _ => {}
            }
        }
        listed
    }

    /// The pages that print a figure of this tank.
    pub fn pages_of(&self, id: &str, sheet: &Sheet) -> BTreeSet<usize> {
        let prints = |working: &str| {
            let working = sheet.workings.get(working);
            working
                .is_some_and(|working| working.answer == id || working.given.iter().any(|given| given == id))
        };
        let of_workings =
            self.workings.iter().filter(|(working, _)| prints(working)).flat_map(|(_, pages)| pages);
        self.figures.get(id).into_iter().flatten().chain(of_workings).copied().collect()
    }

    /// Pages by their places.
    pub fn names(&self, pages: &BTreeSet<usize>) -> Vec<&str> {
        pages.iter().filter_map(|page| self.pages.get(*page)).map(String::as_str).collect()
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// A list of what little the tests print.
    pub(crate) fn listed() -> Listed {
        let pages = |pages: &[usize]| pages.iter().copied().collect::<BTreeSet<_>>();
        Listed {
            pages: vec!["a.md".to_owned(), "b-c.md".to_owned()],
            figures: [("flow.aim".to_owned(), pages(&[0])), ("return_line.flow".to_owned(), pages(&[1]))]
                .into(),
            workings: [("flow_to_aim_for".to_owned(), pages(&[1]))].into(),
            tables: [("bands".to_owned(), pages(&[0, 1]))].into(),
            rules: [("sand.band".to_owned(), pages(&[1]))].into(),
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
}
