//! Oxygen: how much the water holds, how much all life in it breathes in the dark, what comes in, and how
//! long it lasts when the pumps stop.
//!
//! The model of a power cut is one well-mixed body of water. What lives in it breathes the same all the time,
//! and what comes in grows with what is missing. Inputs are uncertain by factors, so every answer has a
//! worst, a likely and a best case. Pressure is one atmosphere: a kilometre up, the water holds a good tenth
//! less.

mod course;

use uom::si::acceleration::standard_gravity;
use uom::si::f64::{
    Acceleration, Area, Length, Mass, MassConcentration, MassFlux, MassRate, Molality, Power, Ratio,
};
use uom::si::f64::{ThermodynamicTemperature, Time, Velocity, Volume, VolumeRate};
use uom::si::molality::mole_per_kilogram;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::{Answer, Argument, formula};
use crate::error::{Error, within};
use crate::formulas::seawater::{self, celsius, polynomial};
use crate::quantity::{Dimension, Kind, Quantity, Salinity, Share, TransferVelocity};
use crate::rules::livestock::Lives;
use crate::rules::oxygen::OxygenRules;
use crate::rules::{Band, Rules};

pub use course::{Course, PowerCut, Stretch, Until};

/// The water in a tank.
#[derive(Debug, Clone, Copy, PartialEq, Argument)]
pub struct Water {
    /// Its practical salinity.
    pub salinity: Salinity,
    /// Its temperature.
    pub temperature: ThermodynamicTemperature,
}

/// In µmol/kg, as its sources print it; no page prints it in any other unit.
impl Answer for Molality {
    const KIND: Kind = Kind::Ratio;

    fn quantity(&self) -> Option<Quantity> {
        Some(Quantity::new(Kind::Ratio, self.get::<mole_per_kilogram>() * 1e6))
    }
}

/// How the doubts of a model are taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Case {
    /// Every doubt against the animals.
    Worst,
    /// Each doubt in its middle.
    Likely,
    /// Every doubt for them.
    Best,
}

impl Case {
    /// All cases, the worst first.
    pub const ALL: [Case; 3] = [Case::Worst, Case::Likely, Case::Best];

    /// What an id says.
    pub fn key(self) -> &'static str {
        match self {
            Case::Worst => "worst",
            Case::Likely => "likely",
            Case::Best => "best",
        }
    }

    /// Of a band whose high end is bad for the animals. The middle of a doubt that is a factor is the
    /// geometric one.
    pub(crate) fn demand<D: Dimension>(self, band: Band<D>) -> D {
        match self {
            Case::Worst => band.high,
            Case::Likely => D::from_si((band.low.si() * band.high.si()).sqrt()),
            Case::Best => band.low,
        }
    }

    /// Of a band whose high end is good for them.
    pub(crate) fn supply<D: Dimension>(self, band: Band<D>) -> D {
        match self {
            Case::Worst => band.low,
            Case::Likely => D::from_si((band.low.si() * band.high.si()).sqrt()),
            Case::Best => band.high,
        }
    }
}

/// Oxygen in seawater that is in balance with moist air at one atmosphere, for each kilogram of water.
///
/// `ln C = A0 + … + A5 Ts⁵ + S (B0 + … + B3 Ts³) + C0 S²` with `Ts = ln((298.15 − t) ÷ (273.15 + t))`, C in
/// µmol/kg, t in °C.
///
/// - `water`: salinity from 0 to 42, temperature from −2 °C to 40 °C
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Garcia & Gordon (1992), eq. 8 without the stray term it was printed with, fitted to the data of Benson and
/// Krause. Their check value at 10 °C and salinity 35 is 274.610 µmol/kg:
/// ```
/// use reckoner_calc::{Rules, formulas::oxygen, quantity::{Salinity, parse}, tank::Water};
/// use uom::si::molality::mole_per_kilogram;
/// let rules = Rules::compiled_in().expect("the compiled-in rules are sound").oxygen;
/// let water = Water { temperature: parse("10 °C")?, salinity: Salinity(35.0) };
/// let oxygen = oxygen::solubility(water, &rules)?.get::<mole_per_kilogram>() * 1e6;
/// assert!((oxygen - 274.610).abs() < 5e-4);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("e^(a polynomial in a logarithm of the temperature, and in the salinity)")]
pub fn solubility(water: Water, rules: &OxygenRules) -> Result<Molality, Error> {
    let s = within("the salinity", water.salinity, seawater::SALINITIES)?.0;
    let t = within("the temperature of the water", water.temperature, celsius(-2.0)..=celsius(40.0))?
        .get::<degree_celsius>();
    let scaled = libm::log((298.15 - t) / (273.15 + t));
    let logarithm = polynomial(&*rules.saturation_temperature, scaled)
        + s * polynomial(&*rules.saturation_salinity, scaled)
        + rules.saturation_salinity_squared[0] * s * s;
    Ok(Molality::new::<mole_per_kilogram>(libm::exp(logarithm) * 1e-6))
}

/// The same for each litre: [`solubility`] times the molar mass of oxygen and the density of the water.
///
/// # Errors
/// As [`solubility`].
#[formula("solubility × molar mass × density")]
pub fn saturation(water: Water, rules: &Rules) -> Result<MassConcentration, Error> {
    let moles = solubility(water, &rules.oxygen)?.get::<mole_per_kilogram>();
    let density = seawater::density(water.salinity, water.temperature, &rules.seawater)?;
    Ok(MassConcentration::from_si(moles * rules.oxygen.molar_mass.si() * density.si()))
}

/// Oxygen that one resting fish breathes: `R = e^(a + b × 1000 ÷ T) × (M ÷ 50 g)^0.80`, in mmol/h.
///
/// - `mass`: of the fish, from 0.1 g to 20 kg
/// - `temperature`: from 0 °C to 35 °C; the species behind the relation live over a span of some 40 °C
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Clarke & Johnston (1999) give the line with temperature for a fish of 50 g, and the exponent 0.80 for all
/// sizes. Putting the two together is our own step: an estimate for fish of other sizes. The paper's own
/// summary is that a fish at 30 °C needs about six times what one at 0 °C does:
/// ```
/// use reckoner_calc::{Rules, formulas::oxygen, quantity::{Dimension, parse}};
/// let rules = Rules::compiled_in().expect("the compiled-in rules are sound").oxygen;
/// let at = |temperature| Ok::<_, Box<dyn std::error::Error>>(oxygen::respiration(parse("50 g")?, parse(temperature)?, &rules)?.si());
/// assert!((at("30 °C")? / at("0 °C")? - 6.0).abs() < 0.5);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("e^(a + b × 1000 ÷ T) × (mass ÷ 50 g)^exponent")]
pub fn respiration(
    mass: Mass,
    temperature: ThermodynamicTemperature,
    rules: &OxygenRules,
) -> Result<MassRate, Error> {
    let mass = within("the mass of a fish", mass, Mass::from_si(1e-4)..=Mass::from_si(20.0))?;
    let temperature = within("the temperature of the water", temperature, celsius(0.0)..=celsius(35.0))?;
    let [a, b] = *rules.respiration_temperature;
    let millimoles_an_hour = libm::exp(a + b * 1000.0 / temperature.si())
        * libm::pow(mass.si() / 0.050, rules.respiration_exponent[0]);
    Ok(MassRate::from_si(millimoles_an_hour * 1e-3 / 3600.0 * rules.molar_mass.si()))
}

/// Schmidt number of oxygen in seawater of salinity 35: the water's viscosity over the diffusivity of the
/// gas. A polynomial in °C.
///
/// - `temperature`: from −2 °C to 40 °C
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Wanninkhof (2014).
#[formula("a polynomial in the temperature")]
pub fn schmidt(temperature: ThermodynamicTemperature, rules: &OxygenRules) -> Result<f64, Error> {
    let temperature = within("the temperature of the water", temperature, celsius(-2.0)..=celsius(40.0))?;
    Ok(polynomial(&*rules.schmidt, temperature.get::<degree_celsius>()))
}

/// How fast oxygen passes a surface that nothing stirs, in still air: `k = k600 (Sc ÷ 600)^−½`.
///
/// # Errors
/// As [`schmidt`].
///
/// # Source
/// Cole & Caraco (1998), their relation with wind speed at no wind; the conversion from one gas to another is
/// standard.
#[formula("k600 × √(600 ÷ Schmidt number)")]
pub fn still_transfer(
    temperature: ThermodynamicTemperature,
    rules: &OxygenRules,
) -> Result<TransferVelocity, Error> {
    let schmidt = schmidt(temperature, rules)?;
    Ok(TransferVelocity::from_si(rules.still_surface.si() / (schmidt / 600.0).sqrt()))
}

/// How fast oxygen passes a surface that is stirred from below: `k = c (ε ν)^¼ Sc^−½`, with `ε` the stirring
/// power over the mass of the water. All of the power counts as if it reached the surface: an upper bound.
///
/// - `stirring`: power of the streams in the water, from nothing to 1 kW; see [`jet_power`]
/// - `mass`: of the water, from 1 g to 100 t
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Zappa et al. (2007), the constant c = 0.29 as Read et al. (2012) use it.
#[formula("c × (power ÷ mass × viscosity)^¼ ÷ √Schmidt number")]
pub fn stirred_transfer(
    stirring: Power,
    mass: Mass,
    water: Water,
    rules: &Rules,
) -> Result<TransferVelocity, Error> {
    let stirring = within("the stirring power", stirring, Power::from_si(0.0)..=Power::from_si(1000.0))?;
    let mass = within("the mass of the water", mass, Mass::from_si(1e-3)..=Mass::from_si(1e5))?;
    let dissipation = stirring.si() / mass.si();
    let viscosity = seawater::kinematic_viscosity(water.salinity, water.temperature, &rules.seawater)?;
    let schmidt = schmidt(water.temperature, &rules.oxygen)?;
    let fourth_root = (dissipation * viscosity.si()).sqrt().sqrt();
    Ok(TransferVelocity::from_si(rules.oxygen.renewal[0] * fourth_root / schmidt.sqrt()))
}

/// Power of a stream where it leaves its outlet: `½ ρ Q U²` with `U = Q ÷ A`. In the end all of it stirs the
/// water.
///
/// - `flow`: from nothing to 200,000 L/h
/// - `outlet`: area of the outlet, from 3 mm² to 0.2 m²
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Mechanics: the kinetic energy that passes the outlet each second.
#[formula("½ × density × flow × (flow ÷ outlet's area)²")]
pub fn jet_power(flow: VolumeRate, outlet: Area, water: Water, rules: &Rules) -> Result<Power, Error> {
    let flow = within("the flow", flow, VolumeRate::from_si(0.0)..=VolumeRate::from_si(200.0 / 3600.0))?;
    let outlet = within("the outlet", outlet, Area::from_si(3e-6)..=Area::from_si(0.2))?;
    let density = seawater::density(water.salinity, water.temperature, &rules.seawater)?;
    let speed: Velocity = flow / outlet;
    Ok(0.5 * density * flow * speed * speed)
}

/// What passes the surface, as the flow of water in balance with the air that would bring as much: `k A`.
#[formula("transfer × surface")]
pub fn through_surface(transfer: TransferVelocity, surface: Area) -> VolumeRate {
    transfer.0 * surface
}

/// What bubbles bring, as the flow of water in balance with the air that would bring as much:
/// `air × oxygen in air × share per metre × depth × 1.024^(t − 20) ÷ Cs₂₀`, with the oxygen that fresh water
/// holds at 20 °C.
///
/// - `air`: from nothing to 5000 L/h
/// - `depth`: at which the bubbles leave, up to 3 m; a bubble gives no more than all it has
/// - `share`: of the oxygen in a bubble that goes into the water for each metre, from rule `oxygen.bubbles`
/// - `temperature`: of the water, from 0 °C to 40 °C
///
/// The stirring of the surface by the plume comes on top; it is not counted.
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// The standard transfer of aeration practice, from memory; the factor with temperature is common practice.
#[formula("air × oxygen in air ÷ oxygen in fresh water × share × depth × warmth")]
pub fn bubbles(
    air: VolumeRate,
    depth: Length,
    share: Share,
    temperature: ThermodynamicTemperature,
    rules: &Rules,
) -> Result<VolumeRate, Error> {
    let air = within("the air", air, VolumeRate::from_si(0.0)..=VolumeRate::from_si(5.0 / 3600.0))?;
    let depth = within("the depth of the bubbles", depth, Length::from_si(0.0)..=Length::from_si(3.0))?;
    let degrees = within("the temperature of the water", temperature, celsius(0.0)..=celsius(40.0))?
        .get::<degree_celsius>();
    let given = within("the share that bubbles give away", share, Share(0.0)..=Share(1.0))?.0 * depth.si();
    let fresh = saturation(Water { temperature: celsius(20.0), salinity: Salinity(0.0) }, rules)?;
    let faster = libm::pow(rules.oxygen.bubble_temperature.si(), degrees - 20.0);
    Ok(air * (*rules.oxygen.air_oxygen / fresh) * given.min(1.0) * faster)
}

/// The share of what is missing that falling water takes up: `1 − 1 ÷ r`,
/// `r = 1 + c a b h (1 − d h) (1 + e t)`, t in °C.
///
/// - `height`: of the fall `h`, up to 3 m
/// - `temperature`: of the water `t`, from 0 °C to 40 °C
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// The form for weirs of Gameson and of the Water Research Laboratory, from memory. Tested on rivers: for a
/// jug, an order of magnitude.
#[formula("1 − 1 ÷ (1 + c × a × b × height × (1 − d × height) × (1 + e × t))")]
pub fn taken_up_in_a_fall(
    height: Length,
    temperature: ThermodynamicTemperature,
    rules: &OxygenRules,
) -> Result<Share, Error> {
    let height = within("the height of the fall", height, Length::from_si(0.0)..=Length::from_si(3.0))?.si();
    let degrees = within("the temperature of the water", temperature, celsius(0.0)..=celsius(40.0))?
        .get::<degree_celsius>();
    let ([c, d, e], [a, b]) = (*rules.fall, *rules.fall_quality);
    Ok(Share(1.0 - 1.0 / (1.0 + c * a * b * height * (1.0 - d * height) * (1.0 + e * degrees))))
}

/// Power of water that is poured from a height: `ρ g h Q`.
///
/// - `flow`: what is poured, up to 10,000 L/h
/// - `height`: up to 3 m
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Mechanics.
#[formula("density × g × height × flow")]
pub fn pouring_power(flow: VolumeRate, height: Length, water: Water, rules: &Rules) -> Result<Power, Error> {
    let flow = within("what is poured", flow, VolumeRate::from_si(0.0)..=VolumeRate::from_si(10.0 / 3600.0))?;
    let height = within("the height of the fall", height, Length::from_si(0.0)..=Length::from_si(3.0))?;
    let density = seawater::density(water.salinity, water.temperature, &rules.seawater)?;
    Ok(density * flow * Acceleration::new::<standard_gravity>(1.0) * height)
}

/// How many times more corals, sand and rock breathe at one temperature than at another:
/// `Q₁₀^((t − t₀) ÷ 10)`.
///
/// # Errors
/// [`Error::OutOfRange`] for a temperature outside 0 °C to 40 °C.
#[formula("q10^((temperature − other) ÷ 10)")]
pub fn warmth(
    temperature: ThermodynamicTemperature,
    other: ThermodynamicTemperature,
    rules: &OxygenRules,
) -> Result<Ratio, Error> {
    let at = |temperature| within("the temperature of the water", temperature, celsius(0.0)..=celsius(40.0));
    let (temperature, other) = (at(temperature)?, at(other)?);
    Ok(Ratio::from_si(libm::pow(rules.night_q10.si(), (temperature.si() - other.si()) / 10.0)))
}

/// What a living reef slope takes up in the dark: `area × rate × warmth`.
///
/// - `floor`: seen from above, up to 1000 m²
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Long et al. (2013): 590 mmol a square metre and day. Half a square metre of such a reef takes up 590 ÷ 24
/// × 31.9988 ÷ 2 = 393.32 mg an hour:
/// ```
/// use reckoner_calc::{Rules, formulas::oxygen, quantity::{Dimension, parse}};
/// use uom::si::f64::{Area, MassRate};
/// let rules = Rules::compiled_in().map_err(|_| "rules")?.oxygen;
/// let taken = oxygen::reef(Area::from_si(0.5), *rules.night_temperature, &rules)?;
/// assert!((taken.si() / parse::<MassRate>("393.32 mg/h")?.si() - 1.0).abs() < 2e-5);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("floor × rate of a reef slope × warmth")]
pub fn reef(
    floor: Area,
    temperature: ThermodynamicTemperature,
    rules: &OxygenRules,
) -> Result<MassRate, Error> {
    reef_taken(floor, Share(1.0), temperature, rules)
}

/// What a floor takes up in the dark that takes up a share of what a reef slope does.
///
/// # Errors
/// As [`reef`].
#[formula(words "floor × rate of a reef slope × share × warmth")]
fn reef_taken(
    floor: Area,
    share: Share,
    temperature: ThermodynamicTemperature,
    rules: &OxygenRules,
) -> Result<MassRate, Error> {
    let floor = within("the floor", floor, Area::from_si(0.0)..=Area::from_si(1000.0))?;
    Ok(*rules.reef_night * floor * warmth(temperature, *rules.night_temperature, rules)? * share.0)
}

/// What the floor of a tank takes up in the dark with all that stands on it: [`reef`] × its share.
///
/// - `stock`: what lives there; the kind that takes up the most counts
///
/// # Errors
/// As [`reef`].
pub fn reef_breathing(
    floor: Area,
    stock: &impl Lives,
    temperature: ThermodynamicTemperature,
    rules: &OxygenRules,
) -> Result<Band<MassRate>, Error> {
    reef_share_breathing(floor, rules.reef_share(stock), temperature, rules)
}

/// The same for a share of what a reef slope takes up.
///
/// # Errors
/// As [`reef`].
pub fn reef_share_breathing(
    floor: Area,
    share: Band<Share>,
    temperature: ThermodynamicTemperature,
    rules: &OxygenRules,
) -> Result<Band<MassRate>, Error> {
    let taken = |share| reef_taken(floor, share, temperature, rules);
    Ok(Band { low: taken(share.low)?, high: taken(share.high)? })
}

/// What a bed of sand and overgrown rock take up in the dark.
///
/// - `sand`: area of the bed, up to 1000 m²
/// - `rock`: its dry mass, up to 100 t
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// The data of Silbiger et al. (2018): reef sand and rubble.
pub fn sand_and_rock_breathing(
    sand: Area,
    rock: Mass,
    temperature: ThermodynamicTemperature,
    rules: &OxygenRules,
) -> Result<Band<MassRate>, Error> {
    let taken = |of_sand, of_rock, surface| {
        sand_and_rock_taken(sand, rock, (of_sand, of_rock, surface), temperature, rules)
    };
    Ok(Band {
        low: taken(rules.sand_night.low, rules.rock_night.low, rules.rock_surface.low)?,
        high: taken(rules.sand_night.high, rules.rock_night.high, rules.rock_surface.high)?,
    })
}

/// The same with one rate of sand, one of rock, and one surface of a kilogram of rock.
#[formula(words "(area × rate of sand + mass × surface × rate of rock) × warmth")]
fn sand_and_rock_taken(
    sand: Area,
    rock: Mass,
    rates: (MassFlux, MassFlux, Area),
    temperature: ThermodynamicTemperature,
    rules: &OxygenRules,
) -> Result<MassRate, Error> {
    let sand = within("the area of the sand", sand, Area::from_si(0.0)..=Area::from_si(1000.0))?;
    let rock = within("the mass of the rock", rock, Mass::from_si(0.0)..=Mass::from_si(1e5))?;
    let kilograms = (rock / Mass::from_si(1.0)).si();
    let (of_sand, of_rock, surface) = rates;
    let warmth = warmth(temperature, *rules.night_temperature, rules)?;
    Ok((of_sand * sand + of_rock * surface * kilograms) * warmth)
}

/// What fish breathe that do more than rest.
#[formula("at rest × activity")]
pub fn active(at_rest: MassRate, activity: Ratio) -> MassRate {
    at_rest * activity
}

/// What all life breathes: the fish, and of the three ways to reckon all else the one that takes the most.
#[formula(words "fish + the most of: share of the fish, floor, sand and rock")]
pub fn demand(
    fish: MassRate,
    share_of_the_fish: MassRate,
    floor: MassRate,
    sand_and_rock: MassRate,
) -> MassRate {
    let most = |one: MassRate, other: MassRate| if other > one { other } else { one };
    fish + most(most(share_of_the_fish, floor), sand_and_rock)
}

/// Oxygen in the water when the power fails.
#[formula("saturation × share")]
pub fn at_start(saturation: MassConcentration, share: Share) -> MassConcentration {
    saturation * share.0
}

/// Oxygen above a limit; nothing where there is none.
#[formula(words "least oxygen at the start − limit")]
pub fn spare(least: MassConcentration, limit: MassConcentration) -> MassConcentration {
    MassConcentration::from_si((least - limit).si().max(0.0))
}

/// How long spare oxygen lasts if none comes in.
#[formula("spare oxygen × water ÷ breathing")]
pub fn store(spare_oxygen: MassConcentration, water: Volume, breathing: MassRate) -> Time {
    spare_oxygen * water / breathing
}

#[cfg(test)]
mod tests;
