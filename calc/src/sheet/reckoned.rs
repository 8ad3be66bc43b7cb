//! Reckoning a figure, with what it was reckoned from.

use super::{Cell, Figure, Id, Sheet, Value};
use crate::error::Error;
use crate::quantity::{Dimension, Money, Quantity, Rounding};
use crate::rules::Band;
use crate::tank::Tank;
use crate::trace::{self, Traced};

/// A figure that was reckoned just now, and its value.
#[derive(Debug, Clone)]
pub struct Reckoned<T> {
    figure: Figure,
    value: T,
}

/// Reckons a figure: what `reckon` reads is what it was reckoned from.
///
/// - `id`: an [`Id`] of the type that `reckon` gives, or for the cell of a table any string
///
/// Its title stands in the words of its topic, by its id, unless it is [given](Reckoned::titled).
pub(crate) fn figure<T: Figured, I: Names<T>>(id: I, reckon: impl FnOnce() -> T) -> Reckoned<T> {
    let (value, trace) = trace::record(reckon);
    Reckoned { figure: Figure::reckoned(id.into(), value.to_value(), trace), value }
}

/// The same where the reckoning can fail.
///
/// # Errors
/// Those of the reckoning.
pub(crate) fn try_figure<T: Figured, I: Names<T>>(
    id: I,
    reckon: impl FnOnce() -> Result<T, Error>,
) -> Result<Reckoned<T>, Error> {
    let (value, trace) = trace::record(reckon);
    let value = value?;
    Ok(Reckoned { figure: Figure::reckoned(id.into(), value.to_value(), trace), value })
}

/// What can name a figure of this type: its [`Id`], or for cells of tables any string.
pub(crate) trait Names<T>: Into<String> {}

impl<T> Names<T> for Id<T> {}
impl<T> Names<T> for String {}
impl<T> Names<T> for &str {}

impl<T> Reckoned<T> {
    /// A figure that is unsafe when it is printed too small: see [`Figure::never_below`].
    pub(crate) fn never_below(mut self) -> Self {
        self.figure.rounding = Rounding::Up;
        self
    }

    /// A figure that is unsafe when it is printed too large: see [`Figure::never_above`].
    pub(crate) fn never_above(mut self) -> Self {
        self.figure.rounding = Rounding::Down;
        self
    }

    /// A value that is held against another: see [`Figure::against`].
    pub(crate) fn against(mut self, other: impl Into<Quantity>) -> Self {
        self.figure.against = Some(other.into());
        self
    }

    /// A value of the tank file, marked as assumed where the file leaves out `key`.
    pub(crate) fn assumes(self, tank: &Tank, key: &str) -> Self {
        self.with(|figure| figure.assumes(tank, key))
    }

    /// What it is, in plain words, where that is made of several parts.
    pub(crate) fn titled(self, title: impl Into<String>) -> Self {
        let title = title.into();
        self.with(|figure| Figure { title, ..figure })
    }

    /// How it is reckoned, in words, where no one formula says it.
    pub(crate) fn says(mut self, words: &'static str) -> Self {
        self.figure.formula = words;
        self
    }

    /// Anything else about how it is printed.
    pub(crate) fn with(self, change: impl FnOnce(Figure) -> Figure) -> Self {
        Reckoned { figure: change(self.figure), value: self.value }
    }

    /// Its value, to reckon further with: that notes this figure.
    pub(crate) fn value(&self) -> Traced<T>
    where
        T: Clone,
    {
        Traced::figure(&self.figure.id, self.value.clone())
    }

    /// Its value, to choose whether it is put on the sheet.
    pub(crate) fn peek(&self) -> &T {
        &self.value
    }

    /// Its id.
    pub(crate) fn id(&self) -> &str {
        &self.figure.id
    }
}

impl<T> From<Reckoned<T>> for Cell {
    fn from(reckoned: Reckoned<T>) -> Self {
        Cell::Figure(reckoned.figure)
    }
}

/// What [`Sheet::put`] takes.
pub(crate) trait Put {
    /// What is left in the hands of whoever puts it.
    type Left;
    /// Puts it on the sheet.
    fn put(self, sheet: &mut Sheet) -> Self::Left;
}

impl<T> Put for Reckoned<T> {
    type Left = Traced<T>;

    fn put(self, sheet: &mut Sheet) -> Traced<T> {
        let value = Traced::figure(&self.figure.id, self.value);
        sheet.put_figure(self.figure);
        value
    }
}

impl Put for Figure {
    type Left = ();

    fn put(mut self, sheet: &mut Sheet) {
        self.trace.extend(&trace::current());
        sheet.put_figure(self);
    }
}

/// What the value of a figure can be.
pub(crate) trait Figured: Sized {
    /// As a figure holds it.
    fn to_value(&self) -> Value;
    /// Out of a figure; `None` for another kind of value.
    fn from_value(value: &Value) -> Option<Self>;
}

impl<D: Dimension> Figured for D {
    fn to_value(&self) -> Value {
        Value::One((*self).into())
    }

    fn from_value(value: &Value) -> Option<Self> {
        match value {
            Value::One(quantity) => quantity.get().ok(),
            _ => None,
        }
    }
}

impl<D: Dimension> Figured for Band<D> {
    fn to_value(&self) -> Value {
        Value::Range(self.low.into(), self.high.into())
    }

    fn from_value(value: &Value) -> Option<Self> {
        match value {
            Value::Range(low, high) => Some(Band { low: low.get().ok()?, high: high.get().ok()? }),
            _ => None,
        }
    }
}

impl Figured for Band<Money> {
    fn to_value(&self) -> Value {
        Value::Range(self.low.into(), self.high.into())
    }

    fn from_value(value: &Value) -> Option<Self> {
        let money = |end: &Quantity| Money::from_value(&Value::One(*end));
        match value {
            Value::Range(low, high) => Some(Band { low: money(low)?, high: money(high)? }),
            _ => None,
        }
    }
}

impl Figured for Money {
    fn to_value(&self) -> Value {
        Value::One((*self).into())
    }

    fn from_value(value: &Value) -> Option<Self> {
        match value {
            Value::One(Quantity { kind: crate::quantity::Kind::Money(currency), si }) => {
                Some(Money { amount: *si, currency: *currency })
            }
            _ => None,
        }
    }
}

/// A plain count, or a quantity of a kind that no type stands for.
impl Figured for Quantity {
    fn to_value(&self) -> Value {
        Value::One(*self)
    }

    fn from_value(value: &Value) -> Option<Self> {
        match value {
            Value::One(quantity) => Some(*quantity),
            _ => None,
        }
    }
}

/// Words.
impl Figured for String {
    fn to_value(&self) -> Value {
        Value::Words(self.clone())
    }

    fn from_value(value: &Value) -> Option<Self> {
        match value {
            Value::Words(words) => Some(words.clone()),
            _ => None,
        }
    }
}

/// A value that is of one of several sorts: a time or "never", one setting or a range.
impl Figured for Value {
    fn to_value(&self) -> Value {
        self.clone()
    }

    fn from_value(value: &Value) -> Option<Self> {
        Some(value.clone())
    }
}

impl Sheet {
    /// Puts a figure on the sheet; a topic gives each id once.
    pub(crate) fn put<P: Put>(&mut self, part: P) -> P::Left {
        part.put(self)
    }

    /// The value of a figure of this sheet, to reckon further with: reading it notes that figure.
    ///
    /// # Errors
    /// [`Error::NoAnswer`] where the sheet has no such figure yet.
    pub(crate) fn get<T: Figured>(&self, id: Id<T>) -> Result<Traced<T>, Error> {
        let missing =
            || Error::NoAnswer { what: "a figure that another needs", why: format!("`{id}` is not there") };
        self.maybe(id).ok_or_else(missing)
    }

    /// The same for a figure that this tank may lack.
    pub(crate) fn maybe<T: Figured>(&self, id: Id<T>) -> Option<Traced<T>> {
        let value = T::from_value(&self.figures[self.index[self.place(id.name()).ok()?]].value)?;
        Some(Traced::figure(id.name(), value))
    }
}
