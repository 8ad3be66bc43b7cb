//! Upkeep: what an acid bath takes and dissolves, and what a pump loses between two cleanings.
//!
//! Baths are reckoned by complete reaction: no bath dissolves more, and a cold or short one dissolves less.
//! How a pump fouls is an assumption, stated at [`Fouling`].

use uom::si::f64::{Mass, MassConcentration, MolarMass, Ratio, Time, Volume};

use super::{Argument, formula};
use crate::error::{Error, within};
use crate::quantity::{Dimension, Share};
use crate::rules::upkeep::UpkeepRules;

/// The scale that citric acid without crystal water can dissolve when the reaction is complete:
/// `3 CaCO₃ + 2 H₃Cit → Ca₃Cit₂ + 3 CO₂ + 3 H₂O`.
///
/// - `acid`: its mass, from nothing to 100 kg
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Stoichiometry, with molar masses from the standard atomic weights. A hundred grams of it dissolve 78.14 g:
/// ```
/// use reckoner_calc::{Rules, formulas::upkeep::citric_acid, quantity::{Dimension, parse}};
/// let rules = Rules::compiled_in().expect("the compiled-in rules are sound").upkeep;
/// let scale = citric_acid(parse("100 g")?, &rules)?;
/// assert!((scale.si() * 1e3 - 78.14).abs() < 5e-3);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("acid ÷ molar mass of the acid × 3 ÷ 2 × molar mass of scale")]
pub fn citric_acid(acid: Mass, rules: &UpkeepRules) -> Result<Mass, Error> {
    dissolved(acid, *rules.citric_acid, 3.0 / 2.0, rules)
}

/// The same for citric acid as crystals that hold one water each.
///
/// # Errors
/// As [`citric_acid`].
#[formula("acid ÷ molar mass of the acid with its water × 3 ÷ 2 × molar mass of scale")]
pub fn citric_crystals(acid: Mass, rules: &UpkeepRules) -> Result<Mass, Error> {
    dissolved(acid, *rules.citric_monohydrate, 3.0 / 2.0, rules)
}

/// The same for the acid of vinegar, `CaCO₃ + 2 HAc → CaAc₂ + CO₂ + H₂O`.
///
/// # Errors
/// As [`citric_acid`].
#[formula("acid ÷ molar mass of the acid × 1 ÷ 2 × molar mass of scale")]
pub fn acetic_acid(acid: Mass, rules: &UpkeepRules) -> Result<Mass, Error> {
    dissolved(acid, *rules.acetic_acid, 1.0 / 2.0, rules)
}

/// Moles of scale go with moles of acid.
fn dissolved(
    acid: Mass,
    molar_mass: MolarMass,
    moles_of_scale: f64,
    rules: &UpkeepRules,
) -> Result<Mass, Error> {
    let acid = within("the mass of acid", acid, Mass::from_si(0.0)..=Mass::from_si(100.0))?;
    Ok(acid / molar_mass * moles_of_scale * *rules.scale)
}

/// Scale that citric acid can dissolve, for each of its own mass.
///
/// # Errors
/// As [`citric_acid`].
#[formula("3 ÷ 2 × molar mass of scale ÷ molar mass of the acid")]
pub fn citric_ratio(rules: &UpkeepRules) -> Result<Ratio, Error> {
    let one = Mass::from_si(1.0);
    Ok(citric_acid(one, rules)? / one)
}

/// Citric acid that a bath takes.
///
/// - `bath`: its size, from 10 mL to 200 L
///
/// # Errors
/// [`Error::OutOfRange`].
#[formula("bath × strength")]
pub fn citric_for(bath: Volume, strength: MassConcentration) -> Result<Mass, Error> {
    Ok(Mass::from_si(usable_bath(bath)?.si() * strength.si()))
}

/// The mass of as much citric acid where it comes as crystals that hold one water each.
#[formula("acid × molar mass with crystal water ÷ molar mass without")]
pub fn as_crystals(acid: Mass, rules: &UpkeepRules) -> Mass {
    acid * (*rules.citric_monohydrate / *rules.citric_acid)
}

/// Vinegar that a bath takes; water fills the rest.
///
/// - `bath`: its size, from 10 mL to 200 L
///
/// # Errors
/// [`Error::OutOfRange`].
#[formula("bath × share")]
pub fn vinegar_for(bath: Volume, share: Share) -> Result<Volume, Error> {
    Ok(usable_bath(bath)? * share.0)
}

/// The scale that vinegar can dissolve.
///
/// # Errors
/// As [`acetic_acid`].
#[formula("vinegar × its acid × 1 ÷ 2 × molar mass of scale ÷ molar mass of the acid")]
pub fn vinegar_scale(vinegar: Volume, rules: &UpkeepRules) -> Result<Mass, Error> {
    acetic_acid(Mass::from_si(vinegar.si() * rules.vinegar_acid.si()), rules)
}

fn usable_bath(bath: Volume) -> Result<Volume, Error> {
    within("the size of the bath", bath, Volume::from_si(1e-5)..=Volume::from_si(0.2))
}

/// How a pump loses flow between two cleanings.
///
/// We assume that it loses the same share of what is left each day, so that after the time `t` it gives
/// `(1 − lost)^(t ÷ between)` of its clean flow. No publication stands behind that: a snail or a scrap of
/// plastic stops a pump at once.
#[derive(Debug, Clone, Copy, PartialEq, Argument)]
pub struct Fouling {
    /// Share of its clean flow that it has lost just before a cleaning, from nothing to 80 %.
    pub lost: Share,
    /// The time between two cleanings, from an hour to ten years.
    pub between: Time,
}

impl Fouling {
    /// Share of its clean flow that a pump still gives.
    ///
    /// - `since`: the last cleaning, from nothing to ten years
    ///
    /// # Errors
    /// [`Error::OutOfRange`].
    #[formula("(1 − lost)^(since ÷ between)")]
    pub fn flow_left(&self, since: Time) -> Result<Share, Error> {
        let times = Time::from_si(0.0)..=Time::from_si(TEN_YEARS);
        let since = within("the time since the last cleaning", since, times)?;
        Ok(Share(libm::exp(-self.decay()? * since.si())))
    }

    /// How often to clean, so that a pump never gives less than the given share of its clean flow.
    ///
    /// - `kept`: from 10 % to 100 %
    ///
    /// # Errors
    /// [`Error::OutOfRange`], and [`Error::NoAnswer`] for a pump that loses nothing.
    #[formula("between × ln(kept) ÷ ln(1 − lost)")]
    pub fn interval_to_keep(&self, kept: Share) -> Result<Time, Error> {
        let kept = within("the share of flow to keep", kept, Share(0.1)..=Share(1.0))?;
        let decay = self.decay()?;
        if decay <= 0.0 {
            let why = "it never falls below any share; clean it at the usual interval".to_owned();
            return Err(Error::NoAnswer { what: "the interval for a pump that loses no flow", why });
        }
        Ok(Time::from_si(-libm::log(kept.0) / decay))
    }

    /// The share lost in a second.
    fn decay(&self) -> Result<f64, Error> {
        let lost = within("the share of flow lost to fouling", self.lost, Share(0.0)..=Share(0.8))?;
        let times = Time::from_si(3600.0)..=Time::from_si(TEN_YEARS);
        let between = within("the time between two cleanings", self.between, times)?;
        Ok(-libm::log1p(-lost.0) / between.si())
    }
}

const TEN_YEARS: f64 = 3.2e8;

#[cfg(test)]
mod tests;
