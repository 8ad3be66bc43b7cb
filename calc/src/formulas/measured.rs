//! What is worked out of a bucket, a stopwatch and a count.

use uom::si::f64::{Length, Ratio, Time, Velocity, Volume, VolumeRate};

use super::formula;
use crate::error::{Error, within};
use crate::quantity::{Dimension, SoundLevel};

/// The flow that fills a bucket.
///
/// # Errors
/// [`Error::OutOfRange`] for no time.
///
/// ```
/// use reckoner_calc::{formulas::measured, quantity::{Dimension, parse}};
/// let flow = measured::flow_of(parse("10 L")?, parse("15 s")?)?;
/// assert!((flow.si() * 3.6e6 - 2400.0).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("bucket ÷ time")]
pub fn flow_of(bucket: Volume, time: Time) -> Result<VolumeRate, Error> {
    Ok(bucket / some(time)?)
}

/// The speed of what goes a way.
///
/// # Errors
/// [`Error::OutOfRange`] for no time.
#[formula("way ÷ time")]
pub fn speed_of(way: Length, time: Time) -> Result<Velocity, Error> {
    Ok(way / some(time)?)
}

/// The time of one swing, of several that were counted.
///
/// # Errors
/// [`Error::OutOfRange`] for no swing.
#[formula("time ÷ swings")]
pub fn period_of(swings: u32, time: Time) -> Result<Time, Error> {
    let swings =
        within("the swings", Ratio::from_si(f64::from(swings)), Ratio::from_si(1.0)..=Ratio::from_si(1e6))?;
    Ok(time / swings)
}

/// How many times what was reckoned was measured.
#[formula("measured ÷ reckoned")]
pub fn ratio_of(measured: f64, reckoned: f64) -> Result<Ratio, Error> {
    if reckoned.is_finite() && reckoned > 0.0 && measured.is_finite() {
        return Ok(Ratio::from_si(measured / reckoned));
    }
    let why = "nothing was reckoned that it could be held against".to_owned();
    Err(Error::NoAnswer { what: "how far measured and reckoned are apart", why })
}

/// How many times the sound of one level is that of another, as the power that arrives: 3 dB are twice as
/// much.
///
/// ```
/// use reckoner_calc::{formulas::measured, quantity::{Dimension, SoundLevel}};
/// assert!((measured::louder_by(SoundLevel(33.0), SoundLevel(30.0)).si() - 1.995).abs() < 5e-4);
/// ```
#[formula("10^((measured − reckoned) ÷ 10)")]
pub fn louder_by(measured: SoundLevel, reckoned: SoundLevel) -> Ratio {
    Ratio::from_si(libm::pow(10.0, (measured.0 - reckoned.0) / 10.0))
}

fn some(time: Time) -> Result<Time, Error> {
    within("the time", time, Time::from_si(1e-3)..=Time::from_si(1e7))
}

#[cfg(test)]
mod tests;
