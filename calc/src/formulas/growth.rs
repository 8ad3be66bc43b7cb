//! Growth: how corals that get wider leave less water between them, and how the flow to aim for follows.
//!
//! The model is the simplest that can be drawn: discs of one size, set at one distance, that get wider by the
//! same each year. A tank starts at the low end of the band of its animals and has reached the high end when
//! its colonies are grown. Nobody has measured this: it says when to look, not what one will see.

use std::f64::consts::PI;

use uom::si::f64::{Length, Time, VolumeRate};

use super::formula;
use crate::error::{Error, within};
use crate::quantity::{Dimension, Share, YEAR};
use crate::rules::Band;

/// How wide a colony is after a time.
///
/// - `a_year`: how much wider it gets in a year
///
/// # Source
/// An even growth. Branches that get 0.59 cm longer in a month, the low end of Xin and others, are 7.08 cm
/// longer in a year, as twelve months are:
/// ```
/// use reckoner_calc::{formulas::growth, quantity::{Dimension, parse}};
/// let size = growth::size(parse("0 cm")?, parse("7.08 cm")?, parse("1 months")?);
/// assert!((size.si() - 0.0059).abs() < 5e-5);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("at first + a year × time ÷ 31556952")]
pub fn size(at_first: Length, a_year: Length, time: Time) -> Length {
    at_first + a_year * (time.si() / YEAR)
}

/// How long a colony takes from one size to another; nothing where it has it already.
///
/// # Errors
/// [`Error::OutOfRange`] for a colony that does not grow.
#[formula("time in which it gets so much wider, nothing at the least")]
pub fn time_to(size: Length, at_first: Length, a_year: Length) -> Result<Time, Error> {
    let a_year = within("the growth in a year", a_year, Length::from_si(1e-4)..=Length::from_si(10.0))?;
    Ok(Time::from_si(((size - at_first) / a_year).si().max(0.0) * YEAR))
}

/// The water that is left between two colonies, from middle to middle so far apart; nothing where they touch.
#[formula("apart − size, nothing at the least")]
pub fn gap(apart: Length, size: Length) -> Length {
    (apart - size).max(Length::default())
}

/// Share of the floor below that such colonies keep the light from, one on each square: `π/4 (size ÷ apart)²`,
/// all of it at the most.
#[formula("π ÷ 4 × (size ÷ apart)², all of it at the most")]
pub fn shaded(apart: Length, size: Length) -> Share {
    let part = (size / apart).si();
    Share((PI / 4.0 * part * part).min(1.0))
}

/// The flow to aim for while colonies grow: from the low end of a band to its high end.
#[formula("low + (high − low) × share of its growth that a colony has made")]
pub fn flow_for(
    size: Length,
    at_first: Length,
    grown: Length,
    low: VolumeRate,
    high: VolumeRate,
) -> VolumeRate {
    let made = ((size - at_first) / (grown - at_first)).si().clamp(0.0, 1.0);
    low + (high - low) * made
}

/// How wide colonies are when a flow is just enough for them; `None` where it is enough for grown ones.
pub fn size_for(flow: VolumeRate, at_first: Length, grown: Length, band: Band<VolumeRate>) -> Option<Length> {
    if flow >= band.high {
        return None;
    }
    let made = ((flow - band.low) / (band.high - band.low)).si().max(0.0);
    Some(at_first + (grown - at_first) * made)
}

#[cfg(test)]
mod tests;
