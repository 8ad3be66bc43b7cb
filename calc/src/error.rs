//! Why a formula gives no answer: an input outside the range in which it holds, or a question without a
//! solution.

use std::fmt;
use std::ops::RangeInclusive;

use crate::quantity::{Dimension, Quantity, show_outside};

/// What went wrong in a formula, with the values in words a reader knows.
#[derive(Debug, Clone, PartialEq)]
pub enum Error {
    /// An input outside the range in which the formula holds.
    OutOfRange {
        /// The input, for instance "the temperature".
        what: &'static str,
        /// What it was, with as many digits as it takes to see that it lies outside, and what is answered.
        is: String,
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
            Error::OutOfRange { what, is } => write!(f, "{what} is {is}"),
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
    in_range(what, value.into(), (*range.start()).into(), (*range.end()).into())?;
    Ok(value)
}

fn in_range(what: &'static str, value: Quantity, low: Quantity, high: Quantity) -> Result<(), Error> {
    if (low.si..=high.si).contains(&value.si) {
        return Ok(());
    }
    let [got, low, high] = show_outside(value, low, high).map(|reading| reading.to_string());
    let got = if value.si.is_finite() { got } else { value.si.to_string() };
    Err(Error::OutOfRange { what, is: format!("{got}, but must be from {low} to {high}") })
}
