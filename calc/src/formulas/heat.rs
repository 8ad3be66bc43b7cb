//! Heat: what a tank loses to its room, and how warm its water gets.
//!
//! All power of a pump under water ends as heat in it. The water grows warmer until it loses as much: through
//! the panes, from its surface to the air, and with what evaporates. Base and lid count as closed to heat,
//! the sump is left out, and sunshine and lamps are not reckoned. So a tank with a large sump stays cooler.

use std::ops::RangeInclusive;

use uom::si::available_energy::kilojoule_per_kilogram;
use uom::si::f64::{
    Area, AvailableEnergy, HeatTransfer, Length, MassFlux, Power, TemperatureInterval,
    ThermodynamicTemperature,
};
use uom::si::heat_transfer::watt_per_square_meter_kelvin;
use uom::si::temperature_interval::kelvin;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::evaporation::{self, Air};
use super::seawater::celsius;
use super::{Answer, formula};
use crate::error::{Error, within};
use crate::quantity::{Dimension, Kind, Quantity, Share};
use crate::rules::Rules;
use crate::rules::heat::HeatRules;

/// In W/(m² K); no page prints it in any other unit.
impl Answer for HeatTransfer {
    const KIND: Kind = Kind::Ratio;

    fn quantity(&self) -> Option<Quantity> {
        Some(Quantity::new(Kind::Ratio, self.get::<watt_per_square_meter_kelvin>()))
    }
}

/// In kJ/kg; no page prints it in any other unit.
impl Answer for AvailableEnergy {
    const KIND: Kind = Kind::Ratio;

    fn quantity(&self) -> Option<Quantity> {
        Some(Quantity::new(Kind::Ratio, self.get::<kilojoule_per_kilogram>()))
    }
}

/// Heat that a kilogram of water takes along when it evaporates: `a − b t`.
///
/// - `temperature`: t in °C, from 0 to 90
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// The coefficients are from memory. The library CoolProp 8.0.0 gives 2441.7 kJ/kg at 25 °C:
/// ```
/// use reckoner_calc::{Rules, formulas::heat, quantity::parse};
/// use uom::si::available_energy::kilojoule_per_kilogram;
/// let rules = Rules::compiled_in().expect("the compiled-in rules are sound").heat;
/// let latent = heat::latent(parse("25 °C")?, &rules)?.get::<kilojoule_per_kilogram>();
/// assert!((latent - 2441.7).abs() < 0.35);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("a − b × temperature")]
pub fn latent(temperature: ThermodynamicTemperature, rules: &HeatRules) -> Result<AvailableEnergy, Error> {
    let t = within("the temperature", temperature, celsius(0.0)..=celsius(90.0))?.get::<degree_celsius>();
    let [at_freezing, by_degree] = *rules.latent;
    Ok(AvailableEnergy::new::<kilojoule_per_kilogram>(at_freezing - by_degree * t))
}

/// How well heat passes a pane between two films: `1 ÷ (inside + pane ÷ conductivity + outside)`.
///
/// - `pane`: its thickness, up to 10 cm
/// - `conductivity`: of the pane, W/(m K), above nothing
/// - `inside`, `outside`: how much the film on either side resists heat, m² K/W; nothing for water
///
/// # Errors
/// [`Error::OutOfRange`]; [`Error::NoAnswer`] for films and panes that resist nothing.
///
/// # Source
/// Resistances in a row add. A single pane of 4 mm in a house wall passes 5.8 W/(m² K), by the films 0.13 and
/// 0.04 of the standards:
/// ```
/// use reckoner_calc::{formulas::heat, quantity::{Dimension, parse}};
/// use uom::si::heat_transfer::watt_per_square_meter_kelvin;
/// let passes = heat::passes(parse("4 mm")?, 1.0, 0.13, 0.04)?.get::<watt_per_square_meter_kelvin>();
/// assert!((passes - 5.8).abs() <= 0.06);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("1 ÷ (inside + pane ÷ conductivity + outside)")]
pub fn passes(pane: Length, conductivity: f64, inside: f64, outside: f64) -> Result<HeatTransfer, Error> {
    let pane = within("the thickness of the pane", pane, Length::from_si(0.0)..=Length::from_si(0.1))?.si();
    let resists = inside + pane / conductivity + outside;
    if resists.is_finite() && resists > 0.0 {
        return Ok(HeatTransfer::new::<watt_per_square_meter_kelvin>(1.0 / resists));
    }
    let why = "pane and films must resist it a little, and not without end".to_owned();
    Err(Error::NoAnswer { what: "how well heat passes a pane", why })
}

/// Heat that evaporating water takes along: `flux × surface × latent heat`.
///
/// # Errors
/// As [`latent`].
#[formula("flux × surface × heat of evaporation")]
pub fn taken_along(
    flux: MassFlux,
    surface: Area,
    temperature: ThermodynamicTemperature,
    rules: &HeatRules,
) -> Result<Power, Error> {
    Ok(flux * surface * latent(temperature, rules)?)
}

/// Which formula of evaporation counts, and what changes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surface {
    /// The water's surface.
    pub area: Area,
    /// Whether it counts as stirred.
    pub stirred: bool,
    /// What a cover lets through.
    pub open: Share,
    /// How many times as much evaporates as in still air.
    pub wind: f64,
}

/// What a tank loses heat through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outside {
    /// The panes that stand in water, without the base.
    pub panes: Area,
    /// How well heat passes them.
    pub passes: HeatTransfer,
    /// The water's surface.
    pub surface: Surface,
}

impl Surface {
    /// What evaporates from each of its square metres.
    ///
    /// # Errors
    /// As [`evaporation::still`].
    pub fn flux(&self, water: ThermodynamicTemperature, air: Air, rules: &Rules) -> Result<MassFlux, Error> {
        let calm = if self.stirred { evaporation::stirred } else { evaporation::still };
        Ok(calm(water, air, *rules.evaporation.seawater, &rules.evaporation)? * (self.wind * self.open.0))
    }
}

/// Heat that a tank loses to its room, less what it gains from a warmer one.
///
/// # Errors
/// As [`evaporation::still`] and [`latent`].
#[formula(words "(panes × what passes them + surface × its film) × (water − room) + heat of what evaporates")]
pub fn loss(
    outside: &Outside,
    water: ThermodynamicTemperature,
    air: Air,
    rules: &Rules,
) -> Result<Power, Error> {
    let Outside { panes, passes, surface } = *outside;
    let film = HeatTransfer::new::<watt_per_square_meter_kelvin>(rules.heat.surface_film[0]);
    let warmer = TemperatureInterval::new::<kelvin>(water.si() - air.room.si());
    let dry = (panes * passes + surface.area * film * surface.open.0) * warmer;
    let flux = surface.flux(water, air, rules)?;
    Ok(dry + taken_along(flux, surface.area, water, &rules.heat)?)
}

/// How warm the water can be for which an answer is sought.
const WATERS: RangeInclusive<f64> = 0.0..=80.0;
/// The same of rooms.
const ROOMS: RangeInclusive<f64> = 0.0..=60.0;

/// How warm the water gets when so much heat goes into it and nothing else warms or cools it; `None` where
/// that is hotter or colder than any tank.
///
/// # Errors
/// As [`loss`].
pub fn settles_at(
    outside: &Outside,
    power: Power,
    air: Air,
    rules: &Rules,
) -> Result<Option<ThermodynamicTemperature>, Error> {
    // The warmer the water, the more it loses.
    crossing(WATERS, |water| Ok(loss(outside, water, air, rules)? - power))
}

/// The room in which the water settles at a temperature; `None` where no room does it.
///
/// # Errors
/// As [`loss`].
pub fn room_for(
    outside: &Outside,
    power: Power,
    water: ThermodynamicTemperature,
    humidity: Share,
    rules: &Rules,
) -> Result<Option<ThermodynamicTemperature>, Error> {
    // The warmer the room, the less the water loses.
    crossing(ROOMS, |room| Ok(power - loss(outside, water, Air { room, humidity }, rules)?))
}

/// The temperature at which a power that grows with it is none; `None` where it is above or below that all
/// through the range.
///
/// The chord between the two ends is drawn where it crosses, and that place becomes an end. An end that
/// stays twice counts half, so that the other end moves too (the Illinois rule).
fn crossing(
    range: RangeInclusive<f64>,
    power: impl Fn(ThermodynamicTemperature) -> Result<Power, Error>,
) -> Result<Option<ThermodynamicTemperature>, Error> {
    let power = |at: f64| power(ThermodynamicTemperature::from_si(at)).map(|power| power.si());
    let (mut old, mut new) = (celsius(*range.start()).si(), celsius(*range.end()).si());
    let (mut at_old, mut at_new) = (power(old)?, power(new)?);
    if at_old >= 0.0 || at_new < 0.0 {
        return Ok(None);
    }
    for _ in 0..MOST_CHORDS {
        let step = at_new * (new - old) / (at_new - at_old);
        if step.abs() <= SETTLED {
            break;
        }
        let next = new - step;
        let at_next = power(next)?;
        if at_next * at_new < 0.0 {
            (old, at_old) = (new, at_new);
        } else {
            at_old *= 0.5;
        }
        (new, at_new) = (next, at_next);
    }
    Ok(Some(ThermodynamicTemperature::from_si(new)))
}

/// A step of so many kelvins is none.
const SETTLED: f64 = 1e-11;
/// It takes about ten.
const MOST_CHORDS: u32 = 60;

#[cfg(test)]
mod tests;
