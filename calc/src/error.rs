//! Why a formula gives no answer: an input outside the range in which it holds, or a question without a solution.

use std::fmt;
use std::ops::RangeInclusive;

use crate::quantity::{Dimension, Rounding, show};

/// What went wrong in a formula, with the values in words a reader knows.
#[derive(Debug, Clone, PartialEq)]
pub enum Error {
    /// An input outside the range in which the formula holds.
    OutOfRange {
        /// The input, for instance "the temperature".
        what: &'static str,
        /// What it was.
        got: String,
        /// The lowest value that is answered.
        low: String,
        /// The highest.
        high: String,
    },
    /// A question that has no answer, and what would have one.
    NoAnswer {
        /// What was asked.
        what: &'static str,
        /// Why there is none, and the nearest thing that would work.
        why: String,
    },
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::OutOfRange { what, got, low, high } => write!(f, "{what} is {got}, but must be from {low} to {high}"),
            Error::NoAnswer { what, why } => write!(f, "{what}: {why}"),
        }
    }
}

impl std::error::Error for Error {}

/// Passes a value on if it lies in the range in which a formula holds. A NaN never does.
///
/// # Errors
/// [`Error::OutOfRange`].
pub fn within<D: Dimension>(what: &'static str, value: D, range: RangeInclusive<D>) -> Result<D, Error> {
    if (range.start().si()..=range.end().si()).contains(&value.si()) {
        return Ok(value);
    }
    let text = |value: D| {
        let si = value.si();
        if si.is_finite() { show(value.into(), Rounding::Nearest).metric.to_string() } else { si.to_string() }
    };
    Err(Error::OutOfRange { what, got: text(value), low: text(*range.start()), high: text(*range.end()) })
}
