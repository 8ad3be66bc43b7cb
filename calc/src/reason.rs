//! Reasons: why a decision fell as it did, with the two values that were held against each other.

use crate::quantity::Quantity;
use crate::sheet::{Cell, Figure, Row};

/// One reason: words without digits, the value that was found and the limit that it was held against.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// The reason as a sentence without digits.
    pub words: String,
    /// The value that was found.
    pub is: Quantity,
    /// What it was held against.
    pub limit: Quantity,
    /// Ids of the figures behind the limit.
    pub figures: Vec<String>,
    /// Ids of the rules behind both.
    pub rules: Vec<String>,
}

impl Reason {
    /// A reason with nothing behind it yet.
    pub fn new(words: impl Into<String>, is: impl Into<Quantity>, limit: impl Into<Quantity>) -> Self {
        Reason { words: words.into(), is: is.into(), limit: limit.into(), figures: Vec::new(), rules: Vec::new() }
    }

    /// Figures behind the limit.
    pub fn from(mut self, figures: &[&str]) -> Self {
        self.figures.extend(figures.iter().map(|id| (*id).to_owned()));
        self
    }

    /// A rule behind it.
    pub fn rule(mut self, id: &str) -> Self {
        self.rules.push(id.to_owned());
        self
    }

    /// The cells of a table: what was found, and the limit. Ids of the figures begin with `id`. Both take the rounding of the figures
    /// that they repeat, and as many digits as it takes to see which is the larger.
    pub(crate) fn cells(&self, id: &str) -> Vec<Cell> {
        let figure = |key: &str, title: &str, value: Quantity, other: Quantity| {
            let mut figure = Figure::new(format!("{id}.{key}"), format!("{}: {title}", self.words), value).against(other);
            figure.inputs.clone_from(&self.figures);
            figure.rules.clone_from(&self.rules);
            Cell::Figure(figure)
        };
        vec![figure("is", "what it is", self.is, self.limit), figure("limit", "what it is held against", self.limit, self.is)]
    }

    /// The row that begins with the reason itself.
    pub(crate) fn row(&self, id: &str) -> Row {
        Row { head: Cell::Words(self.words.clone()), cells: self.cells(id) }
    }
}
