//! One figure.

use crate::name::Name;
use crate::quantity::{Dimension, Money, Quantity, Rounding, Shown, show_finer, show_range};
use crate::rules::{Band, Trust};
use crate::tank::Tank;
use crate::trace::{self, Call, Trace};

/// What a figure says.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// One quantity.
    One(Quantity),
    /// From a lowest to a highest.
    Range(Quantity, Quantity),
    /// Words, such as a kind of livestock.
    Words(String),
}

impl<D: Dimension> From<D> for Value {
    fn from(value: D) -> Self {
        Value::One(value.into())
    }
}

impl From<Quantity> for Value {
    fn from(value: Quantity) -> Self {
        Value::One(value)
    }
}

impl From<Money> for Value {
    fn from(money: Money) -> Self {
        Value::One(money.into())
    }
}

impl<D: Dimension> From<Band<D>> for Value {
    fn from(band: Band<D>) -> Self {
        Value::Range(band.low.into(), band.high.into())
    }
}

impl From<&str> for Value {
    fn from(words: &str) -> Self {
        Value::Words(words.to_owned())
    }
}

/// What stands behind a value that the tank file leaves out.
pub const ASSUMED: &str = ", assumed";

/// One reckoned quantity, and where it came from.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Topic and name, for instance `tank.water`.
    pub id: String,
    /// What it is, in plain words.
    pub title: String,
    /// What it says.
    pub value: Value,
    /// Which way it is rounded. A figure that chose no side takes that of one with the same value, when the
    /// sheet is done.
    pub rounding: Rounding,
    /// How many digits more than usual it keeps, so that it can be told from what it is held against.
    pub finer: u32,
    /// What it is held against, in a reason.
    pub against: Option<Quantity>,
    /// How it is reckoned, in words and signs.
    pub formula: &'static str,
    /// The figures that went in.
    pub inputs: Vec<Name>,
    /// What it was reckoned from.
    pub(crate) trace: Trace,
    /// The ids of the rules that were read for it.
    pub rules: Vec<Name>,
    /// The least firm of all that it rests on, through every figure that went in; `None` where that is nothing
    /// but the tank file.
    pub trust: Option<Trust>,
    /// The figures whose values say how many digits it keeps, beside those with its own value: see
    /// [`Sheet::printed_like`](super::Sheet::printed_like).
    pub(crate) printed_like: Vec<Name>,
    /// The rounding and the digits that it asked for itself, before it took over those of its value.
    pub(crate) asked: (Rounding, u32),
    /// Whether the tank file leaves it out, so that it comes from a rule of [`assumed`](crate::assumed); told
    /// wherever it is printed.
    pub assumed: bool,
}

impl Figure {
    /// A figure, rounded to the nearest step.
    pub fn new(id: impl Into<String>, title: impl Into<String>, value: impl Into<Value>) -> Self {
        Figure::bare(id.into(), title.into(), value.into(), trace::current().without_calls())
    }

    fn bare(id: String, title: String, value: Value, trace: Trace) -> Self {
        Figure {
            id,
            title,
            value,
            rounding: Rounding::Nearest,
            finer: 0,
            against: None,
            formula: "",
            inputs: Vec::new(),
            trace,
            rules: Vec::new(),
            trust: None,
            printed_like: Vec::new(),
            asked: (Rounding::Nearest, 0),
            assumed: false,
        }
    }

    /// A figure with what it was reckoned from, and without a title yet.
    pub(super) fn reckoned(id: String, value: Value, trace: Trace) -> Self {
        let formula = match trace.calls() {
            [only] => only.text,
            _ => "",
        };
        let inputs = trace.figures().cloned().collect();
        Figure { formula, inputs, ..Figure::bare(id, String::new(), value, trace) }
    }

    /// How it is reckoned, and from which figures.
    pub fn from(mut self, formula: &'static str, inputs: &[&str]) -> Self {
        self.formula = formula;
        self.inputs = inputs.iter().map(|input| Name::from(*input)).collect();
        self
    }

    /// A value of the tank file: marked as assumed, with the rules it then comes from, where the file leaves
    /// `key` out.
    ///
    /// - `key`: one of [`assumed::KEYS`](crate::assumed::KEYS)
    pub fn assumes(mut self, tank: &Tank, key: &str) -> Self {
        if tank.assumed.contains(&key) {
            self.assumed = true;
        }
        self
    }

    /// A figure that is unsafe when it is printed too small, such as a load: always rounded up.
    pub fn never_below(mut self) -> Self {
        self.rounding = Rounding::Up;
        self
    }

    /// A figure that is unsafe when it is printed too large, such as the hours a stock has: always rounded
    /// down.
    pub fn never_above(mut self) -> Self {
        self.rounding = Rounding::Down;
        self
    }

    /// A value that is held against another: it keeps as many digits as it takes to see which is the larger.
    pub fn against(mut self, other: Quantity) -> Self {
        self.against = Some(other);
        self
    }

    /// The names of the formulas that were used for it.
    pub fn formulas(&self) -> Vec<&'static str> {
        self.trace.formulas()
    }

    /// Whether this formula was used for it.
    pub fn uses(&self, formula: &str) -> bool {
        self.trace.uses(formula)
    }

    /// The formulas that its reckoning used itself, with what went in and what came out.
    pub fn calls(&self) -> &[Call] {
        self.trace.calls()
    }

    /// Another value as this figure would print it.
    pub fn shows(&self, value: Quantity) -> Shown {
        show_finer(value, self.rounding, self.finer)
    }

    /// As a page prints it; `None` for words.
    pub fn shown(&self) -> Option<Shown> {
        match &self.value {
            Value::One(value) => Some(self.shows(*value)),
            Value::Range(low, high) => Some(show_range(*low, *high, self.rounding)),
            Value::Words(_) => None,
        }
    }

    /// The printed words in both systems, as plain text; a value that was assumed says so.
    pub fn text(&self) -> String {
        let text = match (&self.value, self.shown()) {
            (Value::Words(words), _) => words.clone(),
            (_, Some(shown)) => shown.to_string(),
            (_, None) => String::new(),
        };
        if self.assumed { text + ASSUMED } else { text }
    }
}
