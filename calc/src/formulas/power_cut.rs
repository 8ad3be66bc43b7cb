//! The power cut: by when to act, and what hands that pour must bring.

use uom::si::f64::{MassConcentration, MassRate, Ratio, Time, Volume, VolumeRate};

use super::formula;
use crate::error::Error;
use crate::quantity::{Dimension, Share};

/// By when to act, so that it is never too late: a share of the time that is left.
#[formula("time × share")]
pub fn act_within(time: Time, share: Share) -> Time {
    time * share.0
}

/// What must come in for the oxygen to stay at a limit, as the flow of water in balance with the air that
/// would bring as much.
///
/// # Errors
/// [`Error::NoAnswer`] for water that could not hold the limit even in balance with the air.
#[formula("breathing ÷ (saturation − limit)")]
pub fn exchange_to_hold(
    breathing: MassRate,
    saturation: MassConcentration,
    limit: MassConcentration,
) -> Result<VolumeRate, Error> {
    let missing = saturation - limit;
    if missing > MassConcentration::default() {
        return Ok(breathing / missing);
    }
    let why = "the water holds no more than the limit even in balance with the air".to_owned();
    Err(Error::NoAnswer { what: "the exchange that keeps the oxygen at a limit", why })
}

/// The share of the time in which hands must pour: what is missing without them, over what they add.
///
/// - `needed`: what must come in
/// - `without`: what comes in while nobody pours
/// - `pouring`: what comes in while somebody pours
///
/// # Errors
/// [`Error::NoAnswer`] where pouring adds nothing.
#[formula("(needed − without) ÷ (pouring − without)")]
pub fn share_poured(needed: VolumeRate, without: VolumeRate, pouring: VolumeRate) -> Result<Ratio, Error> {
    if pouring > without {
        return Ok((needed - without) / (pouring - without));
    }
    let why = "pouring brings no more than comes in without it".to_owned();
    Err(Error::NoAnswer { what: "the share of the time in which to pour", why })
}

/// The jug for a tank: the usual one, or a smaller one, in steps that a jug shows, where that would take too
/// much of the water.
///
/// - `most`: the share of the water that a jug may take
#[formula(words "the lesser of the jug and a share of the water")]
pub fn jug(water: Volume, usual: Volume, most: Share) -> Volume {
    let most = Volume::from_si(libm::floor((water * most.0).si() / JUG_STEP).max(1.0) * JUG_STEP);
    if most < usual { most } else { usual }
}

/// A small jug is told in steps of 50 mL.
const JUG_STEP: f64 = 50e-6;

#[cfg(test)]
mod tests;
