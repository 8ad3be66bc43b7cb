//! Waves: the tank's own slosh, and the pulses that drive it.
//!
//! Water in a box swings from end to end with periods of its own. Pumps that push in time with such a swing
//! build it up, as one does on a playground swing. How high the crest grows is not modelled: it depends on
//! damping that nobody knows beforehand. A rocking tank throws water over its rim and works on its seams and
//! its stand; a wave is raised slowly, watched, and stopped well below the rim.
//!
//! Taken for granted throughout: an open box with upright panes, small waves, no rock in the way. Rock makes
//! real periods a little longer.

use std::f64::consts::PI;

use uom::si::f64::{Length, Ratio, Time};

use super::formula;
use crate::error::{Error, within};
use crate::quantity::{Dimension, Share};
use crate::rules::Band;
use crate::rules::waves::WavesRules;

/// Standard gravity, m/s²: exact by definition.
const GRAVITY: f64 = 9.806_65;

/// Period of a box's own slosh: `T = 2 π / ω`, `ω² = g k tanh(k h)`, `k = n π / L`.
///
/// - `length`: `L`, of the water along the way it swings, 1 cm to 100 km
/// - `depth`: `h`, 1 mm to 1 km
/// - `mode`: `n`, how many times the surface crosses its level from end to end, 1 to 100
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Linear wave theory, exact for small waves. Where the depth no longer counts, half a wave of `L` has
/// `T² = 4 π L / g`:
/// ```
/// use reckoner_calc::{formulas::waves, quantity::{Dimension, parse}};
/// let period = waves::slosh_period(parse("0.5 m")?, parse("10 m")?, 1)?.si();
/// assert!((period * period / (4.0 * std::f64::consts::PI * 0.5 / 9.80665) - 1.0).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("2 × π ÷ √(9.80665 × mode × π ÷ length × tanh(mode × π ÷ length × depth))")]
pub fn slosh_period(length: Length, depth: Length, mode: u32) -> Result<Time, Error> {
    let (length, depth, mode) = basin(length, depth, mode)?;
    let wave_number = mode * PI / length;
    Ok(Time::from_si(2.0 * PI / (GRAVITY * wave_number * libm::tanh(wave_number * depth)).sqrt()))
}

/// Merian's period of the same slosh in shallow water: `T = 2 L / (n (g h)^½)`.
///
/// For comparison only: a tank is far from shallow, and this is a quarter too short for a usual one.
///
/// # Errors
/// As [`slosh_period`].
#[formula("2 × length ÷ (mode × √(9.80665 × depth))")]
pub fn shallow_period(length: Length, depth: Length, mode: u32) -> Result<Time, Error> {
    let (length, depth, mode) = basin(length, depth, mode)?;
    Ok(Time::from_si(2.0 * length / (mode * (GRAVITY * depth).sqrt())))
}

/// Length of a travelling wave, crest to crest, from its period: the root `k` of `ω² = g k tanh(k h)`, and
/// `2 π / k`.
///
/// - `period`: 0.1 s to 100 s
/// - `depth`: 1 mm to 1 km
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Linear wave theory. The root is found by Newton's method.
pub fn wavelength(period: Time, depth: Length) -> Result<Length, Error> {
    let period = within("the period of the wave", period, Time::from_si(0.1)..=Time::from_si(100.0))?.si();
    let depth = water_depth(depth)?;
    let omega = 2.0 * PI / period;
    let wanted = omega * omega * depth / GRAVITY;
    // From Eckart's guess, within 5 % of the root, eight rounds of Newton are more than enough.
    let mut kh = wanted / libm::tanh(wanted).sqrt();
    for _ in 0..8 {
        let tanh = libm::tanh(kh);
        kh -= (kh * tanh - wanted) / (tanh + kh * (1.0 - tanh * tanh));
    }
    Ok(Length::from_si(2.0 * PI * depth / kh))
}

/// The pulses that rock a tank: those about as long as one swing of its water.
///
/// - `nearness`: rule `waves.resonance`
#[formula(words "time of one swing × (1 ± nearness)")]
pub fn rocks(swing: Time, nearness: Share) -> Band<Time> {
    Band { low: swing * (1.0 - nearness.0), high: swing * (1.0 + nearness.0) }
}

/// On which swing a pulse meets a slosh: 1 where it pushes every swing, 2 every second one, and so on; `None`
/// where it meets none.
///
/// - `pulse`: from push to push
/// - `slosh`: period of the slosh, above nothing
pub fn meets_swing(pulse: Time, slosh: Time, rules: &WavesRules) -> Option<u32> {
    let swings = (pulse / slosh).si();
    (1..=rules.swings.si() as u32).find(|nth| (swings / f64::from(*nth) - 1.0).abs() <= rules.resonance.0)
}

fn basin(length: Length, depth: Length, mode: u32) -> Result<(f64, f64, f64), Error> {
    let length = within("the length of the water", length, Length::from_si(0.01)..=Length::from_si(1e5))?;
    let mode = within(
        "the mode of the slosh",
        Ratio::from_si(f64::from(mode)),
        Ratio::from_si(1.0)..=Ratio::from_si(100.0),
    )?;
    Ok((length.si(), water_depth(depth)?, mode.si()))
}

fn water_depth(depth: Length) -> Result<f64, Error> {
    Ok(within("the depth of the water", depth, Length::from_si(1e-3)..=Length::from_si(1e3))?.si())
}

#[cfg(test)]
mod tests;
