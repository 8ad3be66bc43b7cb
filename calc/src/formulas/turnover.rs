//! Turnover: how many times an hour the pumps move the tank's whole volume, and the flow that follows from
//! it.
//!
//! The bands are facts of the trade, by what lives in the tank. They count the flow of the pumps that stand
//! in the tank.

use uom::si::f64::{Frequency, Volume, VolumeRate};

use super::formula;
use crate::error::{Error, within};
use crate::quantity::{Dimension, Share};
use crate::rules::livestock::Livestock;
use crate::rules::turnover::TurnoverRules;

/// The flow that turns a volume over so many times: `Q = n V`.
///
/// - `volume`: the water to be moved, from 1 L to 100 m³
/// - `turnover`: how many times an hour, up to a thousand
///
/// # Errors
/// [`Error::OutOfRange`] for a volume that is no tank, or a turnover that no pump makes.
///
/// # Source
/// The definition of turnover; common practice. A hundred litres at ten times an hour is a thousand litres an
/// hour:
/// ```
/// use reckoner_calc::{formulas::turnover, quantity::{Dimension, parse}};
/// use uom::si::f64::VolumeRate;
/// let flow = turnover::flow(parse("100 L")?, parse("10 per hour")?)?;
/// assert!((flow.si() / parse::<VolumeRate>("1000 L/h")?.si() - 1.0).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("volume × turnover")]
pub fn flow(volume: Volume, turnover: Frequency) -> Result<VolumeRate, Error> {
    let volume = tank_volume(volume)?;
    let turnover =
        within("the turnover", turnover, Frequency::from_si(0.0)..=Frequency::from_si(1000.0 / 3600.0))?;
    Ok(volume * turnover)
}

/// How many times an hour a flow turns a volume over: `n = Q / V`, the inverse of [`flow`].
///
/// - `flow`: from nothing to 100 m³/s
/// - `volume`: from 1 L to 100 m³
///
/// # Errors
/// As [`flow`].
#[formula("flow ÷ volume")]
pub fn turnover(flow: VolumeRate, volume: Volume) -> Result<Frequency, Error> {
    let volume = tank_volume(volume)?;
    Ok(pumped(flow)? / volume)
}

/// The rated flow to buy, so that a pump that has lost a share of its flow still gives the flow aimed for:
/// `Q / (1 − share)`.
///
/// # Errors
/// [`Error::OutOfRange`] for a share above 80 %: clean the pump instead.
#[formula("flow ÷ (1 − lost)")]
pub fn with_allowance(flow: VolumeRate, lost: Share) -> Result<VolumeRate, Error> {
    let lost = within("the share of flow lost to fouling", lost, Share(0.0)..=Share(0.8))?;
    Ok(pumped(flow)? / (1.0 - lost.0))
}

/// What a pump's flow serves in a tank: every kind of livestock in whose band the turnover lies.
///
/// # Errors
/// As [`flow`].
pub fn served(flow: VolumeRate, volume: Volume, rules: &TurnoverRules) -> Result<Vec<Livestock>, Error> {
    let turnover = turnover(flow, volume)?;
    let serves = |kind: &&Livestock| rules.band(*kind).contains(turnover);
    Ok(rules.kinds().filter(serves).cloned().collect())
}

fn pumped(flow: VolumeRate) -> Result<VolumeRate, Error> {
    within("the flow", flow, VolumeRate::from_si(0.0)..=VolumeRate::from_si(100.0))
}

fn tank_volume(volume: Volume) -> Result<Volume, Error> {
    within("the volume of water", volume, Volume::from_si(1e-3)..=Volume::from_si(100.0))
}

#[cfg(test)]
mod tests;
