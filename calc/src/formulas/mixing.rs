//! Mixing: how much of a tank's water has passed the pumps, or the filter, after a while.
//!
//! The model is the perfectly mixed tank: what has passed mixes at once with what has not, so that one
//! turnover moves as much water as the tank holds and still misses a good third of it. A tank with still
//! corners is slower; none is faster than its pumps mix.

use uom::si::f64::{Frequency, Ratio, Time};

use super::formula;
use crate::error::{Error, within};
use crate::quantity::{Dimension, Share};

/// Share of a tank's water that has passed the pumps at least once: `F = 1 − e^(−n t)`.
///
/// - `turnover`: how often the flow turns the water over, `n`, from nothing to 1000 times an hour
/// - `time`: since the pumps were started, `t`, from nothing to a good year
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// The stirred tank of Levenspiel (1999), pp. 322 and 327. After one turnover `1 − 1/e` has passed, 63.2 %:
/// ```
/// use reckoner_calc::{formulas::mixing, quantity::parse};
/// let share = mixing::share_passed(parse("5 per hour")?, parse("12 min")?)?;
/// assert!((share.0 - 0.632121).abs() < 5e-7);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("1 − e^(−turnover × time)")]
pub fn share_passed(turnover: Frequency, time: Time) -> Result<Share, Error> {
    let turnover = within("the turnover", turnover, per_hour(0.0)..=per_hour(MOST_AN_HOUR))?;
    let time = within("the time", time, Time::from_si(0.0)..=Time::from_si(3.2e7))?;
    Ok(Share(-libm::expm1(-(turnover * time).si())))
}

/// How many turnovers it takes until a share of the water has passed: `n t = −ln(1 − F)`.
///
/// # Errors
/// [`Error::OutOfRange`] for a share that is none, [`Error::NoAnswer`] for all of the water: that never
/// happens.
#[formula("−ln(1 − share)")]
pub fn turnovers_to_pass(share: Share) -> Result<Ratio, Error> {
    let share = within("the share of the water", share, Share(0.0)..=Share(1.0))?;
    if share.0 >= 1.0 {
        let why = "some of the water always stays behind; ask for less, such as 95 %".to_owned();
        return Err(Error::NoAnswer { what: "the time until all of the water has passed", why });
    }
    Ok(Ratio::from_si(-libm::log1p(-share.0)))
}

/// The time until a share of the water has passed: the inverse of [`share_passed`].
///
/// - `share`: from nothing to less than all
/// - `turnover`: from once in a thousand hours to 1000 times an hour
///
/// # Errors
/// [`Error::OutOfRange`], [`Error::NoAnswer`] as [`turnovers_to_pass`].
#[formula("−ln(1 − share) ÷ turnover")]
pub fn time_to_pass(share: Share, turnover: Frequency) -> Result<Time, Error> {
    let turnover = within("the turnover", turnover, per_hour(1e-3)..=per_hour(MOST_AN_HOUR))?;
    Ok(turnovers_to_pass(share)? / turnover)
}

const MOST_AN_HOUR: f64 = 1000.0;

fn per_hour(times: f64) -> Frequency {
    Frequency::from_si(times / 3600.0)
}

#[cfg(test)]
mod tests;
