//! Sound: what several pumps come to together, and what of it arrives at a pillow.
//!
//! In the open, sound thins out with the square of the distance. A room throws it back, so that it falls far
//! less there. How much less depends on how much of the sound the room's cloth and furniture swallow.
//!
//! A level that a maker states is taken as what is heard at one metre in such a room, so that nothing is ever
//! louder further away.

use std::f64::consts::PI;

use uom::si::f64::{Area, Length};

use super::formula;
use crate::error::{Error, within};
use crate::quantity::{Dimension, Share, SoundLevel};
use crate::rules::Band;

/// The distance at which makers state a pump's level.
pub(crate) const STATED_AT: f64 = 1.0;

/// What several sources come to together: `L = 10 log₁₀ Σ 10^(Lᵢ/10)`.
///
/// - `levels`: at least one, each from −20 to 140 dB
///
/// Assumes sources that do not keep time with each other, so that their energies add. Like pumps that run in
/// step can be up to 3 dB louder, and wander in and out of it.
///
/// # Errors
/// [`Error::OutOfRange`] for another level; [`Error::NoAnswer`] for no source at all.
///
/// # Source
/// US OSHA technical manual, noise appendix: 85, 83 and 88 dB come to 90.6 dB.
/// ```
/// use reckoner_calc::{quantity::SoundLevel, formulas::sound};
/// let together = sound::sum(&[SoundLevel(85.0), SoundLevel(83.0), SoundLevel(88.0)])?;
/// assert!((together.0 - 90.6).abs() <= 0.05);
/// # Ok::<(), reckoner_calc::Error>(())
/// ```
#[formula(words "10 log₁₀ Σ 10^(level ÷ 10)")]
pub fn sum(levels: &[SoundLevel]) -> Result<SoundLevel, Error> {
    if levels.is_empty() {
        return Err(Error::NoAnswer {
            what: "the level of these sources together",
            why: "there is no source".to_owned(),
        });
    }
    let mut energy = 0.0;
    for level in levels {
        energy += libm::pow(10.0, sane_level(*level)?.0 / 10.0);
    }
    Ok(SoundLevel(10.0 * libm::log10(energy)))
}

/// [`sum`] of two.
///
/// # Errors
/// As [`sum`].
#[formula("10 log₁₀ Σ 10^(level ÷ 10)")]
pub fn two_together(first: SoundLevel, second: SoundLevel) -> Result<SoundLevel, Error> {
    sum(&[first, second])
}

/// [`sum`] of three.
///
/// # Errors
/// As [`sum`].
#[formula("10 log₁₀ Σ 10^(level ÷ 10)")]
pub fn three_together(first: SoundLevel, second: SoundLevel, third: SoundLevel) -> Result<SoundLevel, Error> {
    sum(&[first, second, third])
}

/// What is left up to a limit beside a level, `10 log₁₀(10^(L₁ ÷ 10) − 10^(L₂ ÷ 10))`; `None` for less than
/// no decibel, which is nothing.
pub fn left(limit: SoundLevel, level: SoundLevel) -> Option<SoundLevel> {
    let left = libm::pow(10.0, limit.0 / 10.0) - libm::pow(10.0, level.0 / 10.0);
    (left >= 1.0).then(|| SoundLevel(10.0 * libm::log10(left)))
}

/// How much louder so many like sources are than one of them, whatever its level.
///
/// - `number`: from one on
#[formula("10 log₁₀(number)")]
pub fn louder(number: f64) -> SoundLevel {
    SoundLevel(10.0 * libm::log10(number))
}

/// Level at a setting: `L(s) = L₁ − fall × log₂(1/s)`, so that each halving of the speed takes the same
/// number of decibels off.
///
/// - `full`: the level at full, from −20 to 140 dB
/// - `setting`: the speed as a share of full speed, from 1 % to 100 %
/// - `fall`: what half the speed takes off, from rule `sound.half_speed`; its low end is the safe one
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// From memory; makers state the level at full alone.
#[formula(words "level at full + fall at half speed × log₂(setting)")]
pub fn at_setting(full: SoundLevel, setting: Share, fall: SoundLevel) -> Result<SoundLevel, Error> {
    let setting = within("the setting", setting, Share(0.01)..=Share(1.0))?;
    Ok(SoundLevel(sane_level(full)?.0 + fall.0 * libm::log2(setting.0)))
}

/// Level further away, in the open: `L₂ = L₁ − 20 log₁₀(r₂/r₁)`. In a room it is louder, see [`in_room`].
///
/// - `level`: at distance `from`, from −20 to 140 dB
/// - `from`, `to`: from 10 cm to 1 km from a source that is small beside them
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Minnesota Pollution Control Agency, A Guide to Noise Control (2008): 95 dB at 50 are 89 dB at 100 and 83
/// dB at 200.
/// ```
/// use reckoner_calc::{quantity::{SoundLevel, parse}, formulas::sound};
/// let level = sound::in_the_open(SoundLevel(95.0), parse("50 ft")?, parse("100 ft")?)?;
/// assert!((level.0 - 89.0).abs() <= 0.1);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("level − 20 log₁₀(to ÷ from)")]
pub fn in_the_open(level: SoundLevel, from: Length, to: Length) -> Result<SoundLevel, Error> {
    let (from, to) = (distance(from)?, distance(to)?);
    Ok(SoundLevel(sane_level(level)?.0 - 20.0 * libm::log10(to / from)))
}

/// Level further away, in a room: `L₂ = L₁ + 10 log₁₀(r₁²/r₂² + 16 π r₁²/A)`.
///
/// The first term in the brackets is [`in_the_open`]. The second is what the room throws back, the same in
/// its every corner; `A` is how much the room swallows, as an open window of that area would. The level at
/// `from` is the source's own, in open air.
///
/// - `absorption`: `A`, from 1 to 1000 m²
///
/// Assumes one room, walls that scatter the sound evenly, and a source that sends it out evenly. A pump that
/// shakes its stand adds a hum that no distance thins.
///
/// # Errors
/// As [`in_the_open`], and [`Error::OutOfRange`] for another absorption.
///
/// # Source
/// The diffuse field of room acoustics, from memory.
pub fn in_room(level: SoundLevel, from: Length, to: Length, absorption: Area) -> Result<SoundLevel, Error> {
    let absorption =
        within("the sound that the room swallows", absorption, Area::from_si(1.0)..=Area::from_si(1000.0))?;
    let open = in_the_open(level, from, to)?;
    let (from, to) = (distance(from)?, distance(to)?);
    let direct = from * from / (to * to);
    let thrown_back = 16.0 * PI * from * from / absorption.si();
    Ok(SoundLevel(open.0 + 10.0 * libm::log10(1.0 + thrown_back / direct)))
}

/// A level at one metre after a way: nothing is heard below 0 dB, so that no level is told below it.
pub fn heard(stated: SoundLevel, way: Band<SoundLevel>) -> Band<SoundLevel> {
    let after = |adds: SoundLevel| SoundLevel((stated.0 + adds.0).max(0.0));
    Band { low: after(way.low), high: after(way.high) }
}

fn sane_level(level: SoundLevel) -> Result<SoundLevel, Error> {
    within("the sound level", level, SoundLevel(-20.0)..=SoundLevel(140.0))
}

/// In metres.
fn distance(distance: Length) -> Result<f64, Error> {
    Ok(within("the distance from the source", distance, Length::from_si(0.1)..=Length::from_si(1000.0))?.si())
}
