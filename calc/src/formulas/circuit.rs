//! The circuit: how much of it a tank takes, and how soon a residual-current device cuts it off.
//!
//! These figures stand beside the caution on mains and water. They inform; they never replace the local code
//! or a licensed electrician.

use uom::si::f64::{ElectricCurrent, ElectricPotential, Power, Time};

use super::formula;
use crate::error::{Error, within};
use crate::quantity::{Dimension, Share};
use crate::rules::circuit::CircuitRules;
use crate::rules::{Band, words};

/// Current that a load takes: `I = P / (V × power factor)`.
///
/// - `load`: up to 50 kW
/// - `voltage`: from 90 V to 260 V, one phase
/// - `power_factor`: from 10 % up
///
/// # Errors
/// [`Error::OutOfRange`] for a value outside those ranges.
///
/// # Source
/// The definition of power and of the power factor.
#[formula("load ÷ voltage ÷ power factor")]
pub fn current(
    load: Power,
    voltage: ElectricPotential,
    power_factor: Share,
) -> Result<ElectricCurrent, Error> {
    let load = within("the load", load, Power::from_si(0.0)..=Power::from_si(50_000.0))?;
    let voltage =
        within("the voltage", voltage, ElectricPotential::from_si(90.0)..=ElectricPotential::from_si(260.0))?;
    let power_factor = within("the power factor", power_factor, Share(0.1)..=Share(1.0))?;
    Ok(load / voltage / power_factor.0)
}

/// The same from its lowest to its highest.
///
/// - `power_factor`: from rule `circuit.power_factor`
///
/// # Errors
/// As [`current`], and [`Error::OutOfRange`] for a band that is turned round.
pub fn current_range(
    load: Power,
    voltage: ElectricPotential,
    power_factor: Band<Share>,
) -> Result<Band<ElectricCurrent>, Error> {
    let high = current(load, voltage, power_factor.low)?;
    let best = within("the power factor", power_factor.high, power_factor.low..=Share(1.0))?;
    Ok(Band { low: current(load, voltage, best)?, high })
}

/// The current that may run for hours on a circuit: the breaker's rating over rule
/// `circuit.continuous_factor`.
///
/// - `breaker`: its rating, from 1 A to 125 A
///
/// # Errors
/// [`Error::OutOfRange`] for another rating.
///
/// # Source
/// NFPA 70 (National Electrical Code), 210.20(A): 125 % of a continuous load, so 12 A on 15 A and 16 A on 20
/// A.
/// ```
/// use reckoner_calc::{Rules, formulas::circuit, quantity::{Dimension, parse}};
/// let rules = Rules::compiled_in().map_err(|problems| format!("{problems:?}"))?;
/// assert!((circuit::continuous_limit(parse("15 A")?, &rules.circuit)?.si() - 12.0).abs() < 1e-12);
/// assert!((circuit::continuous_limit(parse("20 A")?, &rules.circuit)?.si() - 16.0).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("breaker ÷ what it must be rated for")]
pub fn continuous_limit(breaker: ElectricCurrent, rules: &CircuitRules) -> Result<ElectricCurrent, Error> {
    let breaker = within(
        "the rating of the breaker",
        breaker,
        ElectricCurrent::from_si(1.0)..=ElectricCurrent::from_si(125.0),
    )?;
    Ok(breaker / rules.continuous_factor.0)
}

/// Share of a breaker's rating that a current takes.
#[formula("current ÷ breaker")]
pub fn share(current: ElectricCurrent, breaker: ElectricCurrent) -> Share {
    Share((current / breaker).si())
}

/// Current that is left for more that runs for hours; nothing or less where none is.
#[formula("limit − highest current")]
pub fn left(limit: ElectricCurrent, highest_current: ElectricCurrent) -> ElectricCurrent {
    limit - highest_current
}

/// Power that is left for more that runs for hours.
#[formula("current left × voltage × lowest power factor")]
pub fn power_left(
    current_left: ElectricCurrent,
    voltage: ElectricPotential,
    lowest_power_factor: Share,
) -> Power {
    current_left * voltage * lowest_power_factor.0
}

/// The longest time that a class A ground-fault circuit-interrupter may take: `T = (20/I)^1.43` s with `I` in
/// mA.
///
/// - `residual`: the current that leaks, from 6 mA to 264 mA
///
/// # Errors
/// [`Error::OutOfRange`] for another current: below, it need not switch off; above, no time is stated.
///
/// # Source
/// UL 943: 5.59 s at 6 mA, 0.025 s at 264 mA.
/// ```
/// use reckoner_calc::{Rules, formulas::circuit, quantity::{Dimension, parse}};
/// let rules = Rules::compiled_in().map_err(|problems| format!("{problems:?}"))?;
/// assert!((circuit::trip_time(parse("6 mA")?, &rules.circuit)?.si() - 5.59).abs() <= 0.005);
/// assert!((circuit::trip_time(parse("264 mA")?, &rules.circuit)?.si() - 0.025).abs() <= 0.0005);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("(a ÷ residual current)^b, in mA and s")]
pub fn trip_time(residual: ElectricCurrent, rules: &CircuitRules) -> Result<Time, Error> {
    let residual = within("the residual current", residual, rules.gfci_range.low..=rules.gfci_range.high)?;
    let [milliamperes, exponent] = *rules.gfci_time;
    Ok(Time::from_si(libm::pow(milliamperes / (residual.si() * 1e3), exponent)))
}

/// Whether a circuit bears what hangs on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Even at the worst it stays within what may run for hours.
    Bears,
    /// At the worst power factor it passes what may run for hours, but not the breaker's rating.
    PastTheLimit,
    /// At the worst power factor it passes the breaker's rating.
    MayBeOverloaded,
    /// Even at the best power factor it passes the breaker's rating.
    IsOverloaded,
}

impl Verdict {
    /// In words, as the end of a sentence on the circuit.
    pub fn words(self, words: &words::Circuit) -> &str {
        match self {
            Verdict::Bears => words.bears(),
            Verdict::PastTheLimit => words.past_the_limit(),
            Verdict::MayBeOverloaded => words.may_be_overloaded(),
            Verdict::IsOverloaded => words.is_overloaded(),
        }
    }
}

/// Whether a circuit bears a current.
///
/// - `taken`: from the best power factor to the worst
/// - `limit`: what may run for hours, as [`continuous_limit`] gives it
/// - `breaker`: its rating
pub fn verdict(taken: Band<ElectricCurrent>, limit: ElectricCurrent, breaker: ElectricCurrent) -> Verdict {
    if taken.low > breaker {
        Verdict::IsOverloaded
    } else if taken.high > breaker {
        Verdict::MayBeOverloaded
    } else if taken.high > limit {
        Verdict::PastTheLimit
    } else {
        Verdict::Bears
    }
}

#[cfg(test)]
mod tests;
