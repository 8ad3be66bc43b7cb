//! Seawater: how dense it is, how viscous, and what a hydrometer reads in it.
//!
//! Temperatures are on today's scale (ITS-90), salinity is practical salinity, pressure is one atmosphere: no
//! tank is deep enough for its own water to matter.

use std::ops::RangeInclusive;

use uom::si::f64::{DynamicViscosity, KinematicViscosity, MassDensity, Ratio, ThermodynamicTemperature};
use uom::si::thermodynamic_temperature::{degree_celsius, degree_fahrenheit};

use super::{Argument, formula};
use crate::error::{Error, within};
use crate::quantity::{Dimension, Salinity, SpecificGravity};
use crate::rules::seawater::SeawaterRules;

/// Density of seawater at one atmosphere (EOS-80).
///
/// `ρ = ρw + A S + B S√S + C S²`, with `ρw`, `A` and `B` polynomials in the temperature.
///
/// - `salinity`: practical salinity S, from 0 to 42
/// - `temperature`: from −2 °C to 40 °C, on today's scale; the equation itself wants the scale of 1968, so
///   that `t68 = 1.00024 t90`
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Millero & Poisson (1981). UNESCO's check value at salinity 35 and 0 °C, where both scales agree, is
/// 1028.10633141 kg/m³:
/// ```
/// use reckoner_calc::{Rules, formulas::seawater, quantity::{Dimension, Salinity, parse}};
/// let rules = Rules::compiled_in().expect("the compiled-in rules are sound").seawater;
/// let density = seawater::density(Salinity(35.0), parse("0 °C")?, &rules)?;
/// assert!((density.si() - 1028.10633141).abs() < 1e-6);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("equation of state of seawater at one atmosphere")]
pub fn density(
    salinity: Salinity,
    temperature: ThermodynamicTemperature,
    rules: &SeawaterRules,
) -> Result<MassDensity, Error> {
    let salinity = within("the salinity", salinity, SALINITIES)?.0;
    let temperature = within("the temperature of the water", temperature, celsius(-2.0)..=celsius(40.0))?;
    let t = T68_PER_T90 * temperature.get::<degree_celsius>();
    let salt = polynomial(&*rules.salt, t) * salinity
        + polynomial(&*rules.salt_root, t) * salinity * salinity.sqrt()
        + rules.salt_squared[0] * salinity * salinity;
    Ok(MassDensity::from_si(polynomial(&*rules.water, t) + salt))
}

/// Dynamic viscosity of seawater, good to 1.5 %.
///
/// `μ = μw (1 + A S + B S²)` with S in kilograms of salt per kilogram, and `μw = a + 1 ÷ (b (t + c)² + d)`
/// for pure water.
///
/// - `salinity`: practical salinity, from 0 to 42; 35 makes 35.16504 g/kg
/// - `temperature`: from 0 °C to 40 °C
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Sharqawy, Lienhard & Zubair (2010), eqs 22 and 23, of which this is the part that a tank can be in.
#[formula("viscosity of pure water × (1 + A S + B S²)")]
pub fn dynamic_viscosity(
    salinity: Salinity,
    temperature: ThermodynamicTemperature,
    rules: &SeawaterRules,
) -> Result<DynamicViscosity, Error> {
    let s = within("the salinity", salinity, SALINITIES)?.0 * rules.salt_mass[0] / 35.0 * 1e-3;
    let t = within("the temperature of the water", temperature, celsius(0.0)..=celsius(40.0))?
        .get::<degree_celsius>();
    let [a, b, c, d] = *rules.water_viscosity;
    let water = a + 1.0 / (b * (t + c) * (t + c) + d);
    let salt = 1.0
        + polynomial(&*rules.salt_viscosity, t) * s
        + polynomial(&*rules.salt_squared_viscosity, t) * s * s;
    Ok(DynamicViscosity::from_si(water * salt))
}

/// Kinematic viscosity of seawater, `ν = μ / ρ`; ranges and errors as [`dynamic_viscosity`].
///
/// # Source
/// As its two parts. ITTC procedure 7.5-02-01-03 (2011) prints 0.93713 mm²/s for standard seawater at 25 °C,
/// to be met within 0.05 %:
/// ```
/// use reckoner_calc::{Rules, formulas::seawater, quantity::{Dimension, Salinity, parse}};
/// let rules = Rules::compiled_in().expect("the compiled-in rules are sound").seawater;
/// let viscosity = seawater::kinematic_viscosity(Salinity(35.0), parse("25 °C")?, &rules)?;
/// assert!((viscosity.si() / 0.93713e-6 - 1.0).abs() < 5e-4);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("viscosity of pure water × (1 + A S + B S²) ÷ density")]
pub fn kinematic_viscosity(
    salinity: Salinity,
    temperature: ThermodynamicTemperature,
    rules: &SeawaterRules,
) -> Result<KinematicViscosity, Error> {
    let dynamic = dynamic_viscosity(salinity, temperature, rules)?;
    Ok(KinematicViscosity::from_si(dynamic.si() / density(salinity, temperature, rules)?.si()))
}

/// Which two densities a specific gravity compares. It means nothing without them: 1.025 is salinity 32.6 on
/// an instrument marked 60 °F/60 °F and 35.9 where the sample is read at 25 °C against water at 60 °F.
#[derive(Debug, Clone, Copy, PartialEq, Argument)]
pub struct Convention {
    /// The temperature of the sample.
    pub sample: ThermodynamicTemperature,
    /// The temperature of the pure water it is compared with.
    pub water: ThermodynamicTemperature,
}

impl Convention {
    /// Those that instruments are marked with.
    pub fn usual() -> [Convention; 5] {
        let sixty = ThermodynamicTemperature::new::<degree_fahrenheit>(60.0);
        [
            (celsius(25.0), celsius(25.0)),
            (celsius(20.0), celsius(20.0)),
            (sixty, sixty),
            (celsius(25.0), sixty),
            (celsius(25.0), celsius(4.0)),
        ]
        .map(|(sample, water)| Convention { sample, water })
    }
}

/// Specific gravity of seawater: its density over that of pure water, each at its temperature.
///
/// - `salinity`: from 0 to 42
/// - `convention`: both temperatures from −2 °C to 40 °C
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// The definition, with [`density`].
#[formula("density of the sample ÷ density of pure water")]
pub fn specific_gravity(
    salinity: Salinity,
    convention: Convention,
    rules: &SeawaterRules,
) -> Result<SpecificGravity, Error> {
    let sample = density(salinity, convention.sample, rules)?;
    let ratio: Ratio = sample / density(Salinity(0.0), convention.water, rules)?;
    Ok(SpecificGravity(ratio.si()))
}

/// Salinity of a sample from its specific gravity: the inverse of [`specific_gravity`].
///
/// # Errors
/// [`Error::OutOfRange`] for a temperature outside its range, or a reading that no salinity from 0 to 42
/// gives.
#[formula("the salinity that gives the reading")]
pub fn salinity(
    gravity: SpecificGravity,
    convention: Convention,
    rules: &SeawaterRules,
) -> Result<Salinity, Error> {
    let (mut low, mut high) = (*SALINITIES.start(), *SALINITIES.end());
    let ends = specific_gravity(low, convention, rules)?..=specific_gravity(high, convention, rules)?;
    let gravity = within("the specific gravity", gravity, ends)?;
    // Density rises with salinity at every temperature, so halving the range closes in on the one answer;
    // sixty halvings of it leave less than a double can tell apart.
    for _ in 0..60 {
        let middle = Salinity(0.5 * (low.0 + high.0));
        if specific_gravity(middle, convention, rules)? < gravity {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(Salinity(0.5 * (low.0 + high.0)))
}

/// The temperature scale of 1968 over that of 1990, in °C, by the convention for equations that were fitted
/// on the older one.
const T68_PER_T90: f64 = 1.00024;
/// Where the equation of state holds.
pub(crate) const SALINITIES: RangeInclusive<Salinity> = Salinity(0.0)..=Salinity(42.0);

pub(crate) fn celsius(degrees: f64) -> ThermodynamicTemperature {
    ThermodynamicTemperature::new::<degree_celsius>(degrees)
}

/// `c₀ + c₁ x + c₂ x² + …`
pub(crate) fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, coefficient| sum * x + coefficient)
}

#[cfg(test)]
mod tests;
