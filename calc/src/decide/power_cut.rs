//! The power cut, reckoned as one chain: what keeps running and for how long, how the oxygen falls meanwhile,
//! when hands must help, and what to do first, second and third.
//!
//! One start, one demand and one set of limits, from [`oxygen`]; one backup, which is what the tank file
//! names: a battery with one of the tank's pumps on it, an air pump, both or nothing. Nothing that protects
//! is taken for granted. Of the doubts of the model only the worst count for advice. A tank whose animals
//! gasp at the surface is out of time, whatever a table says.

mod backup;
mod steps;

use uom::si::f64::{
    Area, Length, Mass, MassConcentration, MassRate, Power, ThermodynamicTemperature, Time, Volume,
    VolumeRate,
};

use crate::decide::contents;
use crate::decide::oxygen::Life;
use crate::error::Error;
use crate::formulas::oxygen::{self, Case, Course, PowerCut, Stretch, Until};
use crate::formulas::power_cut::{self as formulas, act_within, exchange_to_hold, share_poured};
use crate::formulas::seawater;
use crate::ordered::sort_by;
use crate::quantity::{Dimension, Salinity, TransferVelocity};
use crate::rules::oxygen::Limit;
use crate::rules::power_cut::PowerCutRules;
use crate::rules::{Band, Rules, words};
use crate::tank::{Tank, Water};
use crate::trace::Traced;

pub use backup::{Backup, OnBattery, Which};
pub(crate) use backup::{candidates, of_all, of_model, thriftiest};
pub use steps::{Situation, Step, When, steps};

/// Something that goes on bringing oxygen in when the power has failed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Running {
    /// For how long.
    pub lasts: Time,
    /// How.
    pub brings: Brings,
}

/// What still runs so long after the power failed.
pub fn runs_at(time: Time, running: &[Running]) -> Vec<Brings> {
    running.iter().filter(|running| running.lasts > time).map(|running| running.brings).collect()
}

/// How oxygen is brought in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Brings {
    /// A stream of this power stirs the water.
    Stirring(Power),
    /// Bubbles.
    Air {
        /// So much air.
        air: VolumeRate,
        /// From this depth.
        depth: Length,
    },
    /// Water is poured from a height.
    Pouring {
        /// So much water.
        flow: VolumeRate,
        /// From this height.
        height: Length,
    },
}

/// The tank as a power cut finds it.
#[derive(Debug, Clone)]
pub struct Chain<'a> {
    pub(crate) rules: &'a Rules,
    /// The water that is there, and its mass.
    pub(crate) water: Traced<Volume>,
    pub(crate) mass: Traced<Mass>,
    /// Its surface.
    pub(crate) surface: Traced<Area>,
    pub(crate) temperature: Traced<ThermodynamicTemperature>,
    pub(crate) salinity: Traced<Salinity>,
    /// Oxygen that it holds in balance with the air.
    pub(crate) saturation: Traced<MassConcentration>,
    /// Oxygen in it when the power fails.
    pub(crate) start: Traced<Band<MassConcentration>>,
    /// What all life in it breathes, in each of [`Case::ALL`].
    pub(crate) demand: [Traced<MassRate>; 3],
    /// How fast oxygen passes its surface while nothing stirs it.
    pub(crate) still: Traced<TransferVelocity>,
}

impl<'a> Chain<'a> {
    /// Where the chain begins: the water that is there, all life in it, and the oxygen at the start.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for water or life outside the ranges of their formulas.
    pub fn new(rules: &'a Rules, tank: &Tank) -> Result<Self, Error> {
        let (temperature, salinity) = (&tank.temperature, &tank.salinity);
        let water = Traced::new(|| contents::net(tank, &rules.volume));
        let density = Traced::ok(|| seawater::density(**salinity, **temperature, &rules.seawater))?;
        let saturation = Traced::ok(|| oxygen::saturation(tank.water(), rules))?;
        let start = Traced::ok(|| {
            let share = crate::decide::oxygen::start_share(tank, rules)?;
            Ok::<_, Error>(Band { low: *saturation * share.low.0, high: *saturation * share.high.0 })
        })?;
        let life = Traced::ok(|| Life::of(tank, rules))?;
        Ok(Chain {
            rules,
            mass: Traced::new(|| *water * *density),
            water,
            surface: Traced::new(|| tank.display_area()),
            temperature: *temperature,
            salinity: *salinity,
            saturation,
            start,
            demand: Case::ALL.map(|case| Traced::new(|| life.demand(case))),
            still: Traced::ok(|| oxygen::still_transfer(**temperature, &rules.oxygen))?,
        })
    }

    pub(crate) fn state(&self) -> Water {
        Water { temperature: *self.temperature, salinity: *self.salinity }
    }

    fn demand(&self, case: Case) -> MassRate {
        let [worst, likely, best] = &self.demand;
        match case {
            Case::Worst => **worst,
            Case::Likely => **likely,
            Case::Best => **best,
        }
    }

    /// How fast oxygen passes the surface while streams of this power stir the water, as it is reckoned. A
    /// stream adds to what happens without one; it does not take away.
    pub(crate) fn transfer(&self, stirring: Power) -> Result<TransferVelocity, Error> {
        let stirred = oxygen::stirred_transfer(stirring, *self.mass, self.state(), self.rules)?;
        Ok(if stirred > *self.still { stirred } else { *self.still })
    }

    /// What comes in while all of this runs.
    fn exchange(&self, case: Case, running: &[Brings]) -> Result<VolumeRate, Error> {
        let rules = self.rules;
        let off = case.supply(*rules.oxygen.transfer_off);
        let (mut stirring, mut more) = (Power::default(), VolumeRate::default());
        for brings in running {
            match *brings {
                Brings::Stirring(power) => stirring += power,
                Brings::Air { air, depth } => {
                    more += oxygen::bubbles(
                        air,
                        depth,
                        case.supply(*rules.oxygen.bubbles),
                        *self.temperature,
                        rules,
                    )?;
                }
                Brings::Pouring { flow, height } => {
                    stirring += oxygen::pouring_power(flow, height, self.state(), rules)?;
                    more +=
                        flow * oxygen::taken_up_in_a_fall(height, *self.temperature, &rules.oxygen)?.0 * off;
                }
            }
        }
        // Nothing that stirs adds nothing: then how a stream would is not asked.
        let transfer = if stirring > Power::default() { self.transfer(stirring)? } else { *self.still };
        Ok(oxygen::through_surface(transfer, *self.surface) * off + more)
    }

    /// How the oxygen goes while these run, each for its time, and then nothing.
    ///
    /// # Errors
    /// As [`oxygen::bubbles`] and [`oxygen::stirred_transfer`].
    pub fn course(&self, case: Case, running: &[Running]) -> Result<Course, Error> {
        let mut ends: Vec<_> = running.iter().map(|running| running.lasts).collect();
        sort_by(&mut ends, |one, other| one.si().total_cmp(&other.si()));
        let mut stretches = Vec::new();
        for until in ends {
            let on: Vec<_> = running
                .iter()
                .filter(|running| running.lasts >= until)
                .map(|running| running.brings)
                .collect();
            stretches.push(Stretch { until, exchange: self.exchange(case, &on)? });
        }
        Ok(Course { cut: self.cut(case, &[])?, stretches })
    }

    /// The power cut while all of this runs on and on.
    fn cut(&self, case: Case, running: &[Brings]) -> Result<PowerCut, Error> {
        let start = match case {
            Case::Worst => self.start.low,
            Case::Likely => self.start.at(0.5),
            Case::Best => self.start.high,
        };
        let exchange = self.exchange(case, running)?;
        Ok(PowerCut {
            water: *self.water,
            saturation: *self.saturation,
            start,
            demand: self.demand(case),
            exchange,
        })
    }

    /// When the oxygen has fallen to a limit.
    ///
    /// # Errors
    /// As [`Chain::course`].
    pub fn until(&self, limit: Limit, case: Case, running: &[Running]) -> Result<Until, Error> {
        self.course(case, running)?.until(self.rules.oxygen.limit(limit))
    }

    /// Whether the animals are out of danger for the wanted time, at the worst.
    ///
    /// # Errors
    /// As [`Chain::course`].
    pub fn is_enough(&self, running: &[Running]) -> Result<bool, Error> {
        Ok(is_enough(self.until(Limit::Danger, Case::Worst, running)?, &self.rules.power_cut))
    }

    /// How long all pumps may rest by day: no longer than hands may wait when the water is as full of oxygen
    /// as it gets, nor than until half-way to danger at any hour. The half is rule `power_cut.act_share`.
    ///
    /// # Errors
    /// As [`Chain::course`].
    pub fn rest(&self) -> Result<Until, Error> {
        let full = Traced::new(|| Band { low: self.start.high, high: self.start.high });
        let by_day = Chain { start: full, ..self.clone() };
        let (aim, danger) =
            (by_day.until(Limit::Aim, Case::Worst, &[])?, self.until(Limit::Danger, Case::Worst, &[])?);
        let first = if aim.seconds() < danger.seconds() { aim } else { danger };
        Ok(act_before(first, &self.rules.power_cut))
    }

    /// How long the pumps may rest for a feeding: [`feeding_pause`] of [`Chain::rest`].
    ///
    /// # Errors
    /// As [`Chain::course`].
    pub fn feeding_pause(&self) -> Result<Option<Time>, Error> {
        Ok(feeding_pause(self.rest()?, self.rules))
    }

    /// The jug for this tank: that of the rule, or a smaller one where that would take too much of its water.
    pub fn jug(&self) -> Volume {
        let rules = &self.rules.power_cut;
        formulas::jug(*self.water, *rules.jug, *rules.jug_share)
    }

    /// What one person pours with that jug.
    pub(crate) fn poured(&self) -> Brings {
        let rules = &self.rules.power_cut;
        Brings::Pouring { flow: self.jug() * *rules.pour_rate, height: *rules.pour_height }
    }

    /// These, and hands that pour without a break beside them for the wanted time.
    pub(crate) fn poured_beside(&self, running: &[Running]) -> Vec<Running> {
        let pouring = Running { lasts: *self.rules.power_cut.wanted, brings: self.poured() };
        running.iter().copied().chain([pouring]).collect()
    }

    /// What hands must do at the worst, while these run beside them.
    ///
    /// # Errors
    /// As [`Chain::course`].
    pub fn pouring(&self, beside: &[Brings]) -> Result<Pouring, Error> {
        let rules = &self.rules.power_cut;
        let still = self.exchange(Case::Worst, beside)?;
        let pouring = self.exchange(Case::Worst, &[beside, &[self.poured()]].concat())?;
        // Water that could not hold the limit even in balance with the air is not brought there by pouring.
        let needed = |limit: Limit| {
            exchange_to_hold(self.demand(Case::Worst), *self.saturation, self.rules.oxygen.limit(limit)).ok()
        };
        let aimed_at = needed(Limit::Aim);
        if aimed_at.is_some_and(|needed| still >= needed) {
            return Ok(Pouring::NotNeeded);
        }
        let share = aimed_at.and_then(|needed| share_poured(needed, still, pouring).ok()).map(Dimension::si);
        if let Some(share) = share.filter(|share| *share < 1.0) {
            // From what you aim for down to danger is the longest pause; only a part of it is taken.
            let cut = PowerCut {
                start: *self.rules.oxygen.aim_limit,
                exchange: still,
                ..self.cut(Case::Worst, &[])?
            };
            let pause = cut.until(*self.rules.oxygen.danger_limit)?.seconds() * rules.act_share.0;
            let every = libm::floor((pause / (1.0 - share)).min(rules.by_hand.si()) / MINUTE);
            let pour = libm::ceil(share * every);
            if pour < every {
                return Ok(Pouring::Spells {
                    pour: Time::from_si(pour * MINUTE),
                    every: Time::from_si(every * MINUTE),
                });
            }
        }
        let is_held = needed(Limit::Danger).is_some_and(|needed| pouring >= needed);
        Ok(if is_held { Pouring::WithoutBreak } else { Pouring::NotEnough })
    }

    /// Why what runs is enough or not for the wanted time, at the worst.
    ///
    /// - `danger`: until the oxygen is down to the danger level while it runs
    /// - `a_pump_would`: whether a pump of the tank would keep the animals so on a battery large enough
    ///
    /// # Errors
    /// As [`Chain::course`].
    pub(crate) fn because(
        &self,
        danger: Until,
        running: &[Running],
        a_pump_would: bool,
    ) -> Result<&'a str, Error> {
        let words = &self.rules.words.power_cut;
        if is_enough(danger, &self.rules.power_cut) {
            return Ok(words.stays_above_danger());
        }
        if running.is_empty() {
            return Ok(words.nothing_lasts());
        }
        let wanted = || *self.rules.power_cut.wanted;
        let for_ever: Vec<_> =
            running.iter().map(|running| Running { lasts: wanted(), ..*running }).collect();
        let lasts_too_short = a_pump_would || self.is_enough(&for_ever)?;
        Ok(if lasts_too_short { words.battery_too_small() } else { words.brings_too_little() })
    }
}

/// Whether the animals are out of danger for the wanted time.
pub fn is_enough(danger: Until, rules: &PowerCutRules) -> bool {
    danger.seconds() >= rules.wanted.si()
}

/// By when to act before something comes: at the share of the time that rule `power_cut.act_share` gives.
pub fn act_before(until: Until, rules: &PowerCutRules) -> Until {
    match until {
        Until::Reached(time) => Until::Reached(act_within(time, *rules.act_share)),
        never => never,
    }
}

/// By when hands must move the water: [`act_before`] the oxygen is down to what you aim for. Where what runs
/// keeps the animals out of danger for the wanted time, it is enough to come before danger.
///
/// - `aim`, `danger`: until the oxygen is down to either, at the worst
/// - `runs`: whether anything does
pub fn hands_by(aim: &Traced<Until>, danger: &Traced<Until>, runs: bool, rules: &PowerCutRules) -> Until {
    let holds = runs && is_enough(**danger, rules);
    act_before(if holds { **danger } else { **aim }, rules)
}

/// How long the pumps may rest for a feeding, in whole minutes: as long as rule `programme.feeding_pause`
/// says, but no longer than [`Chain::rest`]. `None` where that is less than a minute: the pumps of such a
/// tank must not rest.
pub fn feeding_pause(rest: Until, rules: &Rules) -> Option<Time> {
    let minutes = libm::floor(rest.seconds().min(rules.programme.feeding_pause.si()) / MINUTE + 1e-6);
    (minutes >= 1.0).then(|| Time::from_si(minutes * MINUTE))
}

/// What hands must do, at the worst.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pouring {
    /// Nothing: enough comes in without them.
    NotNeeded,
    /// Pour in spells.
    Spells {
        /// For so long.
        pour: Time,
        /// From the start of one spell to the start of the next.
        every: Time,
    },
    /// Pour without a break: it keeps the oxygen above the danger level.
    WithoutBreak,
    /// Pour without a break, and get help: at the worst it is not enough.
    NotEnough,
}

impl Pouring {
    /// How to pour, in words.
    pub(crate) fn words(self, words: &words::PowerCut) -> &str {
        match self {
            Pouring::NotNeeded => words.pour_not(),
            Pouring::Spells { .. } => words.pour_in_spells(),
            Pouring::WithoutBreak => words.pour_without_break(),
            Pouring::NotEnough => words.pour_not_enough(),
        }
    }
}

/// Spells of pouring are told in whole minutes.
pub(crate) const MINUTE: f64 = 60.0;

#[cfg(test)]
pub(crate) mod tests;
