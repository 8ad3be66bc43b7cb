//! The formulas: pure functions on quantities, one file a topic, and asking them by name.
//!
//! A function that is marked as a formula is noted when a figure uses it, and can be asked by a check in the
//! book with inputs of its own.

use std::collections::BTreeMap;

pub(crate) use reckoner_macros::{Argument, formula};
use uom::si::f64::Ratio;

use crate::error::Error;
use crate::quantity::{Dimension, Kind, Quantity};
use crate::rules::{Band, Rules};

pub mod calendar;
pub mod circuit;
pub mod cost;
pub mod evaporation;
pub mod fit;
pub mod glass;
pub mod growth;
pub mod heat;
pub mod measured;
pub mod mixing;
pub mod oxygen;
pub mod power;
pub mod power_cut;
pub mod programme;
pub mod return_line;
pub mod sand;
pub mod seawater;
pub mod settling;
pub mod sound;
pub mod speed_map;
pub mod speeds;
pub mod stream;
pub mod team;
pub mod turnover;
pub mod upkeep;
pub mod volume;
pub mod waves;
pub mod weir;

/// A formula that a check can ask.
#[derive(Debug, Clone, Copy)]
pub struct Formula {
    /// Topic and name, for instance `turnover.flow`.
    pub name: &'static str,
    /// What it says, in words and signs.
    pub text: &'static str,
    /// Its inputs: name and kind.
    pub inputs: fn() -> Vec<(&'static str, Kind)>,
    /// What it gives.
    pub output: Kind,
    /// Reckons it.
    pub reckon: fn(&Rules, &Inputs) -> Result<Quantity, Error>,
}

/// All formulas that a check can ask, by topic.
pub const ALL: &[Formula] = &[
    circuit::CONTINUOUS_LIMIT,
    circuit::CURRENT,
    circuit::LEFT,
    circuit::POWER_LEFT,
    circuit::SHARE,
    circuit::TRIP_TIME,
    evaporation::IN_WIND,
    evaporation::LASTS,
    evaporation::LOST,
    evaporation::LOST_BY,
    evaporation::SALINITY_AFTER,
    evaporation::STILL,
    evaporation::STIRRED,
    evaporation::VAPOUR_PRESSURE,
    fit::JUST_BEFORE_A_CLEANING,
    glass::STRESS,
    glass::STRESS_BRACED,
    growth::FLOW_FOR,
    growth::GAP,
    growth::SHADED,
    growth::SIZE,
    growth::TIME_TO,
    heat::LATENT,
    heat::PASSES,
    heat::TAKEN_ALONG,
    measured::FLOW_OF,
    measured::LOUDER_BY,
    measured::PERIOD_OF,
    measured::RATIO_OF,
    measured::SPEED_OF,
    mixing::SHARE_PASSED,
    mixing::TIME_TO_PASS,
    mixing::TURNOVERS_TO_PASS,
    oxygen::ACTIVE,
    oxygen::AT_START,
    oxygen::BUBBLES,
    oxygen::JET_POWER,
    oxygen::POURING_POWER,
    oxygen::REEF,
    oxygen::RESPIRATION,
    oxygen::SATURATION,
    oxygen::SCHMIDT,
    oxygen::SOLUBILITY,
    oxygen::STILL_TRANSFER,
    oxygen::STIRRED_TRANSFER,
    oxygen::STORE,
    oxygen::TAKEN_UP_IN_A_FALL,
    oxygen::THROUGH_SURFACE,
    oxygen::WARMTH,
    power::AFFINITY_FLOW,
    power::AFFINITY_HEAD,
    power::AFFINITY_POWER,
    power::BATTERY_FOR,
    power::DRAW,
    power::DRAW_SAVING,
    power::ENERGY_PER_DAY,
    power::ENERGY_PER_YEAR,
    power::LASTS,
    power::NEEDED,
    power::RUN_TIME,
    power::USABLE,
    power::USABLE_ENERGY,
    power_cut::ACT_WITHIN,
    power_cut::EXCHANGE_TO_HOLD,
    power_cut::SHARE_POURED,
    programme::FLOW_AT,
    programme::FOULED,
    return_line::CONTRACTION,
    return_line::ELBOW,
    return_line::EXPANSION,
    return_line::FLOW_RANGE,
    return_line::FRICTION_FACTOR,
    return_line::HEAD_LOSS,
    return_line::NARROWING,
    return_line::NARROW_BORE,
    return_line::NARROW_PIECE,
    return_line::PumpCurve::HEAD,
    return_line::REYNOLDS,
    return_line::RUN_DOWN,
    return_line::SHARE_ARRIVING,
    return_line::SPEED,
    return_line::STRAIGHT_PIPE,
    return_line::TOTAL_HEAD,
    return_line::WORKING_POINT,
    sand::FRICTION_VELOCITY,
    sand::Grains::DIMENSIONLESS_SIZE,
    sand::Grains::THRESHOLD,
    sand::Grains::THRESHOLD_CURRENT,
    sand::Grains::THRESHOLD_SPEED,
    sand::Grains::THRESHOLD_STRESS,
    sand::LOW_END,
    sand::NEAR_BED_SPEED,
    sand::ROUGHNESS,
    sand::SPEED_AT_HEIGHT,
    seawater::DENSITY,
    seawater::DYNAMIC_VISCOSITY,
    seawater::KINEMATIC_VISCOSITY,
    seawater::SALINITY,
    seawater::SPECIFIC_GRAVITY,
    settling::CARRYING_SPEED,
    settling::DEPTH,
    settling::LIFTING_SPEED,
    settling::NOMINAL_GRAINS,
    settling::SIEVED_GRAINS,
    settling::SMOOTH_BALLS,
    settling::SOULSBY,
    settling::TIME_TO_SINK,
    sound::IN_THE_OPEN,
    sound::LOUDER,
    sound::THREE_TOGETHER,
    sound::TWO_TOGETHER,
    speed_map::ALONG_PANE,
    speed_map::COMES_BACK,
    speed_map::LEE_LEFT,
    speed_map::LEE_LENGTH,
    speeds::BELOW_THE_WAVES,
    speeds::FISH_SPEED,
    stream::EXIT_SPEED,
    stream::OUTLETS_AWAY,
    stream::RANGE,
    stream::ROUND_AREA,
    stream::ROUND_BESIDE,
    stream::ROUND_FLOW,
    stream::ROUND_HALF_WIDTH,
    stream::ROUND_SPEED,
    stream::RUN,
    stream::SETTLED_FROM,
    stream::SHEET_SPEED,
    stream::SLOT_AREA,
    stream::SPEED_LEFT,
    stream::TWIN_SPEED,
    turnover::FLOW,
    turnover::TURNOVER,
    turnover::WITH_ALLOWANCE,
    upkeep::ACETIC_ACID,
    upkeep::AS_CRYSTALS,
    upkeep::CITRIC_ACID,
    upkeep::CITRIC_CRYSTALS,
    upkeep::CITRIC_FOR,
    upkeep::CITRIC_RATIO,
    upkeep::Fouling::FLOW_LEFT,
    upkeep::Fouling::INTERVAL_TO_KEEP,
    upkeep::VINEGAR_FOR,
    upkeep::VINEGAR_SCALE,
    volume::BOX,
    volume::FLOOR_LOAD,
    volume::ROCK_DISPLACEMENT,
    volume::SAND_DISPLACEMENT,
    waves::SHALLOW_PERIOD,
    waves::SLOSH_PERIOD,
    weir::CHANGES,
    weir::OVER_EDGE,
    weir::RISE,
    weir::SHEET,
];

/// The formula of the given name.
pub fn named(name: &str) -> Option<&'static Formula> {
    ALL.iter().find(|formula| formula.name == name)
}

/// The inputs of one question, by name, each of the kind that the formula asks for.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Inputs(pub BTreeMap<String, Quantity>);

impl Inputs {
    /// An input as a `uom` type. The reader of a check has seen to it that it is there and of its kind.
    pub(crate) fn get<D: Dimension>(&self, name: &'static str) -> Result<D, Error> {
        let given = self.0.get(name).and_then(|quantity| quantity.get().ok());
        given.ok_or(Error::NoAnswer { what: name, why: "this input is missing".to_owned() })
    }
}

/// What can go into a formula: a quantity, or several that belong together.
pub trait Argument: Sized {
    /// Names the inputs that it takes; the parameter itself is called `name`.
    fn list(name: &'static str, inputs: &mut Vec<(&'static str, Kind)>);
    /// Takes its value out of the inputs.
    ///
    /// # Errors
    /// [`Error::NoAnswer`] for an input that is not there or not of its kind.
    fn take(name: &'static str, inputs: &Inputs) -> Result<Self, Error>;
    /// Tells its value.
    fn tell(&self, name: &'static str, inputs: &mut Vec<(&'static str, Quantity)>);
}

impl<D: Dimension> Argument for D {
    fn list(name: &'static str, inputs: &mut Vec<(&'static str, Kind)>) {
        inputs.push((name, D::KIND));
    }

    fn take(name: &'static str, inputs: &Inputs) -> Result<Self, Error> {
        inputs.get(name)
    }

    fn tell(&self, name: &'static str, inputs: &mut Vec<(&'static str, Quantity)>) {
        told(name, (*self).into(), inputs);
    }
}

/// A plain number.
impl Argument for f64 {
    fn list(name: &'static str, inputs: &mut Vec<(&'static str, Kind)>) {
        inputs.push((name, Kind::Ratio));
    }

    fn take(name: &'static str, inputs: &Inputs) -> Result<Self, Error> {
        Ok(inputs.get::<Ratio>(name)?.si())
    }

    fn tell(&self, name: &'static str, inputs: &mut Vec<(&'static str, Quantity)>) {
        told(name, Quantity::new(Kind::Ratio, *self), inputs);
    }
}

/// How many. A share of one more is none.
impl Argument for u32 {
    fn list(name: &'static str, inputs: &mut Vec<(&'static str, Kind)>) {
        inputs.push((name, Kind::Ratio));
    }

    fn take(name: &'static str, inputs: &Inputs) -> Result<Self, Error> {
        let number = f64::take(name, inputs)?;
        if (0.0..=1e6).contains(&number) && number.fract() == 0.0 {
            return Ok(number as u32);
        }
        Err(Error::NoAnswer { what: name, why: "this must be a whole number from 0 to a million".to_owned() })
    }

    fn tell(&self, name: &'static str, inputs: &mut Vec<(&'static str, Quantity)>) {
        told(name, Quantity::new(Kind::Ratio, f64::from(*self)), inputs);
    }
}

/// Adds an input that is told to the others.
fn told(name: &'static str, value: Quantity, inputs: &mut Vec<(&'static str, Quantity)>) {
    inputs.push((name, value));
}

/// What can come out of a formula.
pub trait Answer: Sized {
    /// What sort of thing it is.
    const KIND: Kind;
    /// As a quantity; `None` where there is none.
    fn quantity(&self) -> Option<Quantity>;
    /// The same as the answer to a check.
    ///
    /// # Errors
    /// The formula's own.
    fn answer(self) -> Result<Quantity, Error> {
        self.quantity()
            .ok_or(Error::NoAnswer { what: "this formula", why: "it has no answer here".to_owned() })
    }
}

impl<D: Dimension> Answer for D {
    const KIND: Kind = D::KIND;

    fn quantity(&self) -> Option<Quantity> {
        Some((*self).into())
    }
}

impl Answer for f64 {
    const KIND: Kind = Kind::Ratio;

    fn quantity(&self) -> Option<Quantity> {
        Some(Quantity::new(Kind::Ratio, *self))
    }
}

/// Of a band, its high end stands for it.
impl<D: Dimension> Answer for Band<D> {
    const KIND: Kind = D::KIND;

    fn quantity(&self) -> Option<Quantity> {
        Some(self.high.into())
    }
}

impl<A: Answer> Answer for Result<A, Error> {
    const KIND: Kind = A::KIND;

    fn quantity(&self) -> Option<Quantity> {
        self.as_ref().ok()?.quantity()
    }

    fn answer(self) -> Result<Quantity, Error> {
        self?.answer()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::parse;

    #[test]
    fn what_comes_out_of_a_formula_is_a_quantity_or_nothing() {
        assert_eq!(1.25_f64.quantity(), Some(Quantity::new(Kind::Ratio, 1.25)));
        let band = Band { low: parse::<uom::si::f64::Length>("1 m").unwrap(), high: parse("2 m").unwrap() };
        assert_eq!(band.quantity(), Some(band.high.into()));
        let nothing = Err::<f64, _>(Error::NoAnswer { what: "this", why: "it has none".to_owned() });
        assert!(nothing.quantity().is_none() && nothing.answer().is_err());
    }
}
