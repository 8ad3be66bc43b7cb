//! Speeds that animals meet: what suits them, and where along a stream it is too strong, right or too weak.
//!
//! The ranges are wide, because the literature supports no single best speed: corals caught most at speeds in
//! between, and which speeds those were differed from kind to kind. What a coral does is the better gauge:
//! polyps out and swaying is right.

use uom::si::f64::{Length, Velocity};

use crate::error::{Error, within};
use crate::formulas::stream::Stream;
use crate::quantity::{Dimension, Share};
use crate::rules::Band;

/// Where along the middle of a stream its speed suits an animal. Distances from the outlet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Zones {
    /// Up to here it may be too strong; nothing where it never is.
    pub too_strong_until: Length,
    /// From there up to here it is right; from here on too weak.
    pub right_until: Length,
    /// Length of the way.
    pub way: Length,
}

/// Where along its middle a stream is too strong, right, and too weak.
///
/// - `band`: the speeds that suit, from 1 mm/s to 20 m/s
/// - `spread`: what a real stream makes of the speed reckoned, rule `stream.spread`
/// - `way`: how far the stream can go, up to 20 m
///
/// Only the middle of the stream is asked; beside it the water is slower, see [`Stream::speed_off_axis`]. An
/// animal must not be hurt by a stream that is stronger than reckoned: too strong goes by the high end of the
/// spread. Too weak goes by the speed reckoned.
///
/// # Errors
/// As [`Stream::reach`], and [`Error::OutOfRange`] for a way that is none.
pub fn zones(
    stream: &Stream,
    band: Band<Velocity>,
    spread: Band<Share>,
    way: Length,
) -> Result<Zones, Error> {
    let way = within("the length of the way", way, Length::from_si(0.01)..=Length::from_si(20.0))?;
    let until = |speed: Velocity| {
        if speed > stream.exit_speed() {
            return Ok(Length::default());
        }
        let reach = stream.reach(speed)?;
        Ok::<_, Error>(if reach > way { way } else { reach })
    };
    let (too_strong_until, right_until) = (until(band.high / spread.high.0)?, until(band.low)?);
    // In a narrow band a stream may be too strong until it is too weak.
    let right_until = if right_until > too_strong_until { right_until } else { too_strong_until };
    Ok(Zones { too_strong_until, right_until, way })
}

#[cfg(test)]
mod tests;
