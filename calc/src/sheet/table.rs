//! A table of figures, ready to be printed.

use super::origin::Origin;
use super::{Figure, entitle};
use crate::rules::words::Words;
use crate::trace::Traced;

/// A table: its first column names the rows.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// Its id, for instance `reckoner_litres`.
    pub id: &'static str,
    /// What it shows.
    pub caption: String,
    /// The heads of the columns, the first one above the row names.
    pub heads: Vec<String>,
    /// The rows.
    pub rows: Vec<Row>,
    /// What it was reckoned from.
    pub origin: Origin,
}

impl Table {
    /// A table; its caption and heads stand in the words of its topic, by its id, unless they are given.
    pub(crate) fn new(id: &'static str, rows: Vec<Row>) -> Self {
        Table { id, caption: String::new(), heads: Vec::new(), rows, origin: Origin::default() }
    }

    /// Gives it a caption that is made of several parts.
    pub(crate) fn captioned(self, caption: impl Into<String>) -> Self {
        Table { caption: caption.into(), ..self }
    }

    /// Gives it heads that its tank decides.
    pub(crate) fn headed(self, heads: impl IntoIterator<Item = impl Into<String>>) -> Self {
        Table { heads: heads.into_iter().map(Into::into).collect(), ..self }
    }

    /// Fills in the words that its topic did not give.
    pub(super) fn say(&mut self, words: &Words) {
        if self.caption.is_empty() {
            words.caption(self.id).clone_into(&mut self.caption);
        }
        if self.heads.is_empty() {
            // A table may leave out its last columns, and then their heads.
            let columns = self.rows.iter().map(|row| 1 + row.cells.len()).max().unwrap_or(usize::MAX);
            self.heads = words.heads(self.id).iter().take(columns).cloned().collect();
        }
        self.figures_mut().for_each(|figure| entitle(figure, words));
    }

    /// The figures in its cells, row by row.
    pub fn figures(&self) -> impl Iterator<Item = &Figure> {
        let cells = self.rows.iter().flat_map(|row| std::iter::once(&row.head).chain(&row.cells));
        cells.filter_map(|cell| match cell {
            Cell::Figure(figure) => Some(figure),
            Cell::Words(_) => None,
        })
    }

    /// The same, to be changed.
    pub(super) fn figures_mut(&mut self) -> impl Iterator<Item = &mut Figure> {
        let cells = self.rows.iter_mut().flat_map(|row| std::iter::once(&mut row.head).chain(&mut row.cells));
        cells.filter_map(|cell| match cell {
            Cell::Figure(figure) => Some(figure),
            Cell::Words(_) => None,
        })
    }
}

/// One row of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What the row is about.
    pub head: Cell,
    /// One cell for each further column.
    pub cells: Vec<Cell>,
}

impl Row {
    /// A row of cells, the first of which is its head. Words carry no trace of their own: what they were
    /// reckoned from is noted here, for the table.
    pub(crate) fn told(cells: Vec<Traced<Cell>>) -> Self {
        let mut cells = cells.into_iter().map(|cell| match cell.peek() {
            Cell::Figure(_) => cell.peek().clone(),
            Cell::Words(_) => (*cell).clone(),
        });
        Row { head: cells.next().unwrap_or_else(|| Cell::Words(String::new())), cells: cells.collect() }
    }
}

/// One cell of a table.
#[expect(clippy::large_enum_variant, reason = "nearly all cells are figures")]
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// A figure; its id begins with the table's.
    Figure(Figure),
    /// Words.
    Words(String),
}
