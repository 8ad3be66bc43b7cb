//! Speeds that animals meet: what fish swim, and what is left of the waves deeper down.

use uom::si::f64::{Length, Ratio, Time, Velocity};

use super::formula;
use crate::error::{Error, within};
use crate::quantity::{Dimension, Share};

/// The speed of a fish that swims so many of its own lengths a second.
///
/// - `length`: of the fish, 5 mm to 1 m
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Korsmeyer, Steffensen & Herskin (2002): a parrotfish held 3.2 lengths a second for half an hour, at 20 cm
/// that is 64 cm/s.
#[formula("length × lengths a second")]
pub fn fish_speed(length: Length, lengths_a_second: Ratio) -> Result<Velocity, Error> {
    let length = within("the length of the fish", length, Length::from_si(5e-3)..=Length::from_si(1.0))?;
    Ok(length * lengths_a_second / Time::from_si(1.0))
}

/// The speed below the waves on a reef, from that where they drive the water.
#[formula("speed where waves drive the water × share that is left")]
pub fn below_the_waves(speed_where_waves_drive_the_water: Velocity, share_that_is_left: Share) -> Velocity {
    speed_where_waves_drive_the_water * share_that_is_left.0
}

#[cfg(test)]
mod tests;
