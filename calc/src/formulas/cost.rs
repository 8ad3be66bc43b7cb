//! Cost: what a pump costs over the years, with its energy and its wearing parts.

use uom::si::f64::{Energy, Ratio, Time};

use super::{formula, power};
use crate::error::{Error, within};
use crate::quantity::{Currency, Dimension, Money, YEAR};

/// What is known of one pump before its cost is summed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Owned {
    /// Its price.
    pub price: Money,
    /// What it uses in a year.
    pub energy_per_year: Energy,
    /// Price of a wet end: the impeller, shaft and bearings.
    pub wet_end: Money,
    /// How long a wet end lasts, from a month to 50 years.
    pub wet_end_interval: Time,
}

/// What a pump costs over the years.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ownership {
    /// Its energy.
    pub energy: Money,
    /// How many wet ends are bought after the first, which comes with the pump.
    pub wet_ends: u32,
    /// What those cost.
    pub wear: Money,
    /// Price, energy and wear together.
    pub total: Money,
}

/// What a pump costs over the years: `price + years × energy × price of energy + wet ends × price of one`.
///
/// - `pump`: prices up to 100,000, energy up to 10 MWh a year
/// - `price_per_kwh`: price of a kilowatt hour, up to a thousand
/// - `years`: from a year to 50; a wet end that wears out just as they end is not replaced
///
/// A plain sum: neither interest nor dearer energy.
///
/// # Errors
/// [`Error::OutOfRange`] for a value outside those ranges; [`Error::NoAnswer`] for prices in several
/// currencies.
///
/// # Source
/// Arithmetic. A pump of 200 that uses 100 kWh a year at 0.30, with a wet end of 50 every two years, costs in
/// six years 200 + 6 × 30 + 2 × 50 = 480:
/// ```
/// use reckoner_calc::{formulas::cost::{Owned, ownership}, quantity::{Currency, Money, parse}};
/// let money = |amount| Money { amount, currency: Currency::USD };
/// let pump = Owned {
///     price: money(200.0),
///     energy_per_year: parse("100 kWh")?,
///     wet_end: money(50.0),
///     wet_end_interval: parse("2 years")?,
/// };
/// let six_years = ownership(pump, money(0.30), parse("6 years")?)?;
/// assert_eq!(six_years.wet_ends, 2);
/// assert!((six_years.total.amount - 480.0).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn ownership(pump: Owned, price_per_kwh: Money, years: Time) -> Result<Ownership, Error> {
    let currency = price_per_kwh.currency;
    if [pump.price, pump.wet_end].iter().any(|money| money.currency != currency) {
        let codes = [pump.price.currency, pump.wet_end.currency, currency].map(Currency::code).join(", ");
        let why =
            format!("the prices of pump, wet end and energy are in {codes}; write all three in one currency");
        return Err(Error::NoAnswer { what: "the cost of this pump", why });
    }
    let price = affordable("the price of the pump", pump.price)?;
    let wet_end = affordable("the price of a wet end", pump.wet_end)?;
    let energy =
        within("the energy in a year", pump.energy_per_year, Energy::from_si(0.0)..=Energy::from_si(3.6e10))?;
    let wet_ends = wet_ends(pump.wet_end_interval, years)?;
    let energy = power::cost(energy * (years.si() / YEAR), price_per_kwh)?;
    let wear = wear(wet_ends, wet_end);
    let money = |amount| Money { amount, currency };
    Ok(Ownership { energy, wet_ends, wear: money(wear), total: money(price + energy.amount + wear) })
}

fn affordable(what: &'static str, money: Money) -> Result<f64, Error> {
    Ok(within(what, Ratio::from_si(money.amount), Ratio::from_si(0.0)..=Ratio::from_si(100_000.0))?.si())
}

/// How many wet ends a pump needs after the one it comes with. One that wears out just as the years end is
/// not replaced.
fn wet_ends(interval: Time, years: Time) -> Result<u32, Error> {
    let interval =
        within("the life of a wet end", interval, Time::from_si(YEAR / 12.0)..=Time::from_si(YEAR * 50.0))?;
    let years = within("the years of the cost", years, Time::from_si(YEAR)..=Time::from_si(YEAR * 50.0))?;
    // A billionth less, so that the last bit of a quotient does not buy a wet end on the last day.
    let lives = libm::ceil((years / interval).si() - 1e-9);
    Ok((lives - 1.0).max(0.0) as u32)
}

/// What the wet ends of pumps cost over the years.
///
/// - `price`: of a wet end for each of the pumps, in any money
///
/// # Errors
/// [`Error::OutOfRange`] for years or a life as in [`ownership`].
#[formula(words "(years ÷ life of a wet end, rounded up, less the first) × price of each")]
pub fn wear_over(years: Time, interval: Time, price: f64) -> Result<f64, Error> {
    Ok(wear(wet_ends(interval, years)?, price))
}

fn wear(wet_ends: u32, price: f64) -> f64 {
    f64::from(wet_ends) * price
}

#[cfg(test)]
mod tests;
