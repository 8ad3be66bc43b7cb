//! Evaporation: how much water leaves a surface, and what that does to the salinity.
//!
//! Water leaves faster the warmer it is, and the drier the room. Two formulas of pools stand for the least
//! and the most: that of Shah for a surface that nothing stirs, and that of the heating engineers' handbook
//! for one that is in use. Between them lies about a factor of two, and each is off by a fifth from what was
//! measured. Splashing overflows and mist come on top. Pressure is one atmosphere.

use uom::si::f64::{Area, Mass, MassFlux, Pressure, ThermodynamicTemperature, Time, Velocity, Volume};
use uom::si::thermodynamic_temperature::degree_celsius;

use super::seawater::{SALINITIES, celsius};
use super::{Argument, formula};
use crate::error::{Error, within};
use crate::quantity::{Dimension, Salinity, Share};
use crate::rules::evaporation::EvaporationRules;

/// One atmosphere in Pa, exact by definition.
const ATMOSPHERE: f64 = 101_325.0;
/// The gas constant of dry air in J/(kg K): that of all gases over the molar mass of air.
const DRY_AIR: f64 = 287.055;
/// The molar mass of water over that of dry air.
const WATER_TO_AIR: f64 = 0.621_98;

/// The air of a room.
#[derive(Debug, Clone, Copy, PartialEq, Argument)]
pub struct Air {
    /// How warm it is, from 0 °C to 60 °C.
    pub room: ThermodynamicTemperature,
    /// Its relative humidity.
    pub humidity: Share,
}

/// Pressure of the vapour that stands over pure water: `p = a e^((b − t/c) t/(d + t))`, after Buck.
///
/// - `temperature`: t in °C, from 0 to 90
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// The coefficients are from memory. The library CoolProp 8.0.0 gives 3169.9 Pa at 25 °C, which this meets
/// within a twentieth of a per cent:
/// ```
/// use reckoner_calc::{Rules, formulas::evaporation, quantity::{Dimension, parse}};
/// let rules = Rules::compiled_in().expect("the compiled-in rules are sound").evaporation;
/// let pressure = evaporation::vapour_pressure(parse("25 °C")?, &rules)?;
/// assert!((pressure.si() / 3169.9 - 1.0).abs() < 5e-4);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("Buck's equation of the temperature")]
pub fn vapour_pressure(
    temperature: ThermodynamicTemperature,
    rules: &EvaporationRules,
) -> Result<Pressure, Error> {
    let t = within("the temperature", temperature, celsius(0.0)..=celsius(90.0))?.get::<degree_celsius>();
    let [a, b, c, d] = *rules.vapour_pressure;
    Ok(Pressure::from_si(a * libm::exp((b - t / c) * t / (d + t))))
}

/// What evaporates from water that nothing stirs, under air that nothing moves, after Shah: the larger of
/// `c ρw (ρr − ρw)^(1/3) (Ww − Wr)` and `d (pw − pr)`, in kg/(m² h). `ρ` is the dry air in each cubic metre,
/// `W` the vapour to each kilogram of it, and `p` the pressure of the vapour in Pa, at the water and in the
/// room.
///
/// - `water`: its temperature, from 0 °C to 90 °C
/// - `over_water`: pressure of the vapour over it, as a share of that over pure water
///
/// Air so humid that water settles out of it takes nothing away.
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// The form and its coefficients are from memory, after Shah (2014). His table, for fresh water, has 0.1360
/// kg/(m² h) for water and room at 28 °C and half humid:
/// ```
/// use reckoner_calc::{Rules, formulas::evaporation::{Air, still}, quantity::{Dimension, Share, parse}};
/// let rules = Rules::compiled_in().expect("the compiled-in rules are sound").evaporation;
/// let air = Air { room: parse("28 °C")?, humidity: Share(0.5) };
/// let flux = still(parse("28 °C")?, air, Share(1.0), &rules)?;
/// assert!((flux.si() * 3600.0 - 0.1360).abs() < 0.0005);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("Shah's equation of the water's and the room's temperature, and of the humidity")]
pub fn still(
    water: ThermodynamicTemperature,
    air: Air,
    over_water: Share,
    rules: &EvaporationRules,
) -> Result<MassFlux, Error> {
    let (at_water, in_room) = pressures(water, air, over_water, rules)?;
    let dry = |pressure: f64, temperature: ThermodynamicTemperature| {
        (ATMOSPHERE - pressure) / (DRY_AIR * temperature.si())
    };
    let vapour = |pressure: f64| WATER_TO_AIR * pressure / (ATMOSPHERE - pressure);
    let (lying_on_it, around) = (dry(at_water, water), dry(in_room, air.room));
    let [rising, lying] = *rules.still;
    let rises = (around - lying_on_it).max(0.0);
    let by_rising = rising * lying_on_it * libm::cbrt(rises) * (vapour(at_water) - vapour(in_room));
    Ok(per_hour(by_rising.max(lying * (at_water - in_room))))
}

/// What evaporates from water whose surface is in motion, by the handbook of the heating engineers: in
/// proportion to the difference of the vapour's pressures.
///
/// # Errors
/// As [`still`].
///
/// # Source
/// ASHRAE (2011), HVAC Applications, with an activity factor of one: a tenth of a pound for each hour, square
/// foot and inch of mercury, which is 3386.39 Pa.
/// ```
/// use reckoner_calc::{Rules, formulas::evaporation::{Air, stirred, vapour_pressure}, quantity::{Dimension, Share, parse}};
/// let rules = Rules::compiled_in().expect("the compiled-in rules are sound").evaporation;
/// let air = Air { room: parse("22 °C")?, humidity: Share(0.0) };
/// let flux = stirred(parse("26 °C")?, air, Share(1.0), &rules)?;
/// let inches = vapour_pressure(parse("26 °C")?, &rules)?.si() / 3386.39;
/// let pounds = 0.1 * inches * 0.453_592_37 / (0.3048 * 0.3048);
/// assert!((flux.si() * 3600.0 / pounds - 1.0).abs() < 1e-4);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("coefficient × (pressure over the water − pressure in the room)")]
pub fn stirred(
    water: ThermodynamicTemperature,
    air: Air,
    over_water: Share,
    rules: &EvaporationRules,
) -> Result<MassFlux, Error> {
    let (at_water, in_room) = pressures(water, air, over_water, rules)?;
    Ok(per_hour(rules.stirred[0] * 1e-3 * (at_water - in_room)))
}

/// The pressures of the vapour at the water and in the room, in Pa.
fn pressures(
    water: ThermodynamicTemperature,
    air: Air,
    over_water: Share,
    rules: &EvaporationRules,
) -> Result<(f64, f64), Error> {
    let humidity = within("the humidity of the room", air.humidity, Share(0.0)..=Share(1.0))?;
    within("the temperature of the room", air.room, celsius(0.0)..=celsius(60.0))?;
    within("the pressure over the water", over_water, Share(0.5)..=Share(1.0))?;
    let at_water = vapour_pressure(water, rules)?.si() * over_water.0;
    Ok((at_water, vapour_pressure(air.room, rules)?.si() * humidity.0))
}

/// From kg/(m² h); nothing where water would settle out of the air.
fn per_hour(flux: f64) -> MassFlux {
    MassFlux::from_si(flux.max(0.0) / 3600.0)
}

/// How many times as much evaporates under moving air: `(a + b v) ÷ a`, after Carrier.
///
/// - `speed`: of the air over the water, from nothing to 5 m/s
///
/// # Errors
/// [`Error::OutOfRange`].
#[formula("(a + b × speed) ÷ a")]
pub fn in_wind(speed: Velocity, rules: &EvaporationRules) -> Result<f64, Error> {
    let speed = within("the speed of the air", speed, Velocity::from_si(0.0)..=Velocity::from_si(5.0))?;
    let [calm, moving] = *rules.wind;
    Ok((calm + moving * speed.si()) / calm)
}

/// Fresh water that a surface loses in a time, as the litres to top up: a kilogram of it is a litre within
/// half a per cent.
#[formula("flux × surface × time ÷ 1000")]
pub fn lost(flux: MassFlux, surface: Area, time: Time) -> Volume {
    let mass: Mass = flux * surface * time;
    Volume::from_si(mass.si() / 1000.0)
}

/// Salinity of a body of water that has lost some of its water and none of its salt: `S m ÷ (m − lost)`.
///
/// - `water`: its mass
/// - `lost`: mass of what evaporated, up to half of it
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// The balance of the salt. A kilogram lost by 100 L at 25 °C, say 102.33 kg, makes 35 into 35.345:
/// ```
/// use reckoner_calc::{formulas::evaporation, quantity::{Salinity, parse}};
/// let after = evaporation::salinity_after(Salinity(35.0), parse("102.33 kg")?, parse("1 kg")?)?;
/// assert!((after.0 - 35.0 * 102.33 / 101.33).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("salinity × water ÷ (water − lost)")]
pub fn salinity_after(salinity: Salinity, water: Mass, lost: Mass) -> Result<Salinity, Error> {
    let salinity = within("the salinity", salinity, SALINITIES)?;
    let lost = within("the water that evaporated", lost, Mass::from_si(0.0)..=water / 2.0)?;
    Ok(Salinity(salinity.0 * (water / (water - lost)).si()))
}

/// Fresh water that is gone when the salinity has risen by so much: `m × rise ÷ (S + rise)`.
#[formula("water × rise ÷ (salinity + rise)")]
pub fn lost_by(salinity: Salinity, water: Mass, rise: Salinity) -> Mass {
    water * (rise.0 / (salinity.0 + rise.0))
}

/// How long a stock lasts that so much is taken from in a day.
///
/// # Errors
/// [`Error::NoAnswer`] where nothing is taken.
#[formula("stock ÷ a day × 86400")]
pub fn lasts(stock: Volume, a_day: Volume) -> Result<Time, Error> {
    if a_day.si() > 0.0 {
        return Ok(stock / a_day * Time::from_si(86_400.0));
    }
    let why = "nothing evaporates, so nothing runs low".to_owned();
    Err(Error::NoAnswer { what: "how long the stock lasts", why })
}

#[cfg(test)]
mod tests;
