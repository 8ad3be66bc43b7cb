//! The power cut, reckoned as one chain: what keeps running and for how long, how the oxygen falls meanwhile, when hands must help, and
//! what to do first, second and third.
//!
//! One start, one demand and one set of limits, from [`oxygen`]; one backup, which is what the tank file names: a battery
//! with one of the tank's pumps on it, an air pump, both or nothing. Nothing that protects is taken for granted. Of the doubts of the
//! model only the worst count for advice. A tank whose animals gasp at the surface is out of time, whatever a table says.

mod sheet;
mod steps;

use std::cmp::Ordering;

use uom::si::f64::{Area, Length, Mass, MassConcentration, Power, Time, Volume, VolumeRate};

use crate::catalogue::{Catalogue, Outlet, PumpModel};
use crate::decide::return_line;
use crate::error::Error;
use crate::formulas::power;
use crate::formulas::stream::outlet_area;
use crate::oxygen::{self, Case, Course, Life, PowerCut, Stretch, Until};
use crate::quantity::{Dimension, Rounding, Share, TransferVelocity, show};
use crate::rules::oxygen::Limit;
use crate::rules::{Band, Rules};
use crate::seawater;
use crate::tank::{Output, Tank, Water};
use crate::volume::Contents;

pub(crate) use sheet::figures;
pub use steps::{Situation, Step, When, steps};

/// Something that goes on bringing oxygen in when the power has failed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Running {
    /// For how long.
    pub lasts: Time,
    /// How.
    pub brings: Brings,
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
    rules: &'a Rules,
    water: Volume,
    mass: Mass,
    surface: Area,
    state: Water,
    saturation: MassConcentration,
    start: Band<MassConcentration>,
    life: Life,
    still: TransferVelocity,
}

impl<'a> Chain<'a> {
    /// Where the chain begins: the water that is there, all life in it, and the oxygen at the start.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for water or life outside the ranges of their formulas.
    pub fn new(rules: &'a Rules, tank: &Tank) -> Result<Self, Error> {
        let water = Contents::of(tank, &rules.volume).net;
        let saturation = oxygen::saturation(tank.water(), rules)?;
        let share = oxygen::start_share(tank, &rules.oxygen);
        Ok(Chain {
            rules,
            water,
            mass: water * seawater::density(*tank.salinity, *tank.temperature, &rules.seawater)?,
            surface: tank.display_area(),
            state: tank.water(),
            saturation,
            start: Band { low: saturation * share.low.0, high: saturation * share.high.0 },
            life: Life::of(tank, rules)?,
            still: oxygen::still_transfer(*tank.temperature, &rules.oxygen)?,
        })
    }

    /// How fast oxygen passes the surface while streams of this power stir the water, as it is reckoned. A stream adds to what happens
    /// without one; it does not take away.
    fn transfer(&self, stirring: Power) -> Result<TransferVelocity, Error> {
        let stirred = oxygen::stirred_transfer(stirring, self.mass, self.state, self.rules)?;
        Ok(if stirred > self.still { stirred } else { self.still })
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
                    more += oxygen::bubbles(air, depth, case.supply(*rules.oxygen.bubbles), self.state.temperature, rules)?;
                }
                Brings::Pouring { flow, height } => {
                    stirring += oxygen::pouring_power(flow, height, self.state, rules)?;
                    more += flow * oxygen::taken_up_in_a_fall(height, self.state.temperature, &rules.oxygen)?.0 * off;
                }
            }
        }
        Ok(oxygen::through_surface(self.transfer(stirring)?, self.surface) * off + more)
    }

    /// How the oxygen goes while these run, each for its time, and then nothing.
    ///
    /// # Errors
    /// As [`oxygen::bubbles`] and [`oxygen::stirred_transfer`].
    pub fn course(&self, case: Case, running: &[Running]) -> Result<Course, Error> {
        let mut ends: Vec<_> = running.iter().map(|running| running.lasts).collect();
        ends.sort_by(|one, other| one.si().total_cmp(&other.si()));
        let mut stretches = Vec::new();
        for until in ends {
            let on: Vec<_> = running.iter().filter(|running| running.lasts >= until).map(|running| running.brings).collect();
            stretches.push(Stretch { until, exchange: self.exchange(case, &on)? });
        }
        let start = match case {
            Case::Worst => self.start.low,
            Case::Likely => self.start.at(0.5),
            Case::Best => self.start.high,
        };
        let exchange = self.exchange(case, &[])?;
        let cut = PowerCut { water: self.water, saturation: self.saturation, start, demand: self.life.demand(case), exchange };
        Ok(Course { cut, stretches })
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
        Ok(self.until(Limit::Danger, Case::Worst, running)?.seconds() >= self.rules.power_cut.wanted.si())
    }

    /// By when hands must move the water: by the share of rule `power_cut.act_share` of the time until the oxygen is down to what you aim
    /// for, at the worst. Where what runs keeps the animals out of danger for the wanted time, it is enough to come before danger.
    ///
    /// # Errors
    /// As [`Chain::course`].
    pub fn hands_by(&self, running: &[Running]) -> Result<Until, Error> {
        let limit = if self.is_enough(running)? && !running.is_empty() { Limit::Danger } else { Limit::Aim };
        Ok(match self.until(limit, Case::Worst, running)? {
            Until::Reached(time) => Until::Reached(time * self.rules.power_cut.act_share.0),
            never => never,
        })
    }

    /// How long all pumps may rest by day: no longer than hands may wait when the water is as full of oxygen as it gets, nor than until
    /// half-way to danger at any hour. The half is rule `power_cut.act_share`.
    ///
    /// # Errors
    /// As [`Chain::course`].
    pub fn rest(&self) -> Result<Until, Error> {
        let by_day = Chain { start: Band { low: self.start.high, high: self.start.high }, ..self.clone() };
        let (aim, danger) = (by_day.until(Limit::Aim, Case::Worst, &[])?, self.until(Limit::Danger, Case::Worst, &[])?);
        Ok(match if aim.seconds() < danger.seconds() { aim } else { danger } {
            Until::Reached(time) => Until::Reached(time * self.rules.power_cut.act_share.0),
            never => never,
        })
    }

    /// How long the pumps may rest for a feeding, in whole minutes: as long as rule `programme.feeding_pause` says, but no longer than
    /// [`Chain::rest`]. `None` where that is less than a minute: the pumps of such a tank must not rest.
    ///
    /// # Errors
    /// As [`Chain::course`].
    pub fn feeding_pause(&self) -> Result<Option<Time>, Error> {
        let minutes = libm::floor(self.rest()?.seconds().min(self.rules.programme.feeding_pause.si()) / MINUTE + 1e-6);
        Ok((minutes >= 1.0).then(|| Time::from_si(minutes * MINUTE)))
    }

    /// The jug for this tank: that of the rule, or a smaller one where that would take too much of its water.
    pub fn jug(&self) -> Volume {
        let rules = &self.rules.power_cut;
        // In steps that a jug shows.
        let most = Volume::from_si(libm::floor((self.water * rules.jug_share.0).si() / JUG_STEP).max(1.0) * JUG_STEP);
        if most < *rules.jug { most } else { *rules.jug }
    }

    /// What one person pours with that jug.
    fn poured(&self) -> Brings {
        let rules = &self.rules.power_cut;
        Brings::Pouring { flow: self.jug() * *rules.pour_rate, height: *rules.pour_height }
    }

    /// These, and hands that pour without a break beside them for the wanted time.
    fn poured_beside(&self, running: &[Running]) -> Vec<Running> {
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
        let needed = |limit: Limit| {
            let missing = (self.saturation - self.rules.oxygen.limit(limit)).si();
            // Water that could not hold the limit even in balance with the air is not brought there by pouring.
            if missing > 0.0 { self.life.demand(Case::Worst).si() / missing } else { f64::INFINITY }
        };
        if still.si() >= needed(Limit::Aim) {
            return Ok(Pouring::NotNeeded);
        }
        let share = (needed(Limit::Aim) - still.si()) / (pouring - still).si();
        if share < 1.0 {
            // From what you aim for down to danger is the longest pause; only a part of it is taken.
            let cut = PowerCut { start: *self.rules.oxygen.aim_limit, exchange: still, ..self.course(Case::Worst, &[])?.cut };
            let pause = cut.until(*self.rules.oxygen.danger_limit)?.seconds() * rules.act_share.0;
            let every = libm::floor((pause / (1.0 - share)).min(rules.by_hand.si()) / MINUTE);
            let pour = libm::ceil(share * every);
            if pour < every {
                return Ok(Pouring::Spells { pour: Time::from_si(pour * MINUTE), every: Time::from_si(every * MINUTE) });
            }
        }
        Ok(if pouring.si() >= needed(Limit::Danger) { Pouring::WithoutBreak } else { Pouring::NotEnough })
    }
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

/// A pump at a setting, on a battery.
#[derive(Debug, Clone, PartialEq)]
pub struct OnBattery {
    /// Which pump, in words: "the pump called left".
    pub pump: String,
    /// Its setting; `None` for a pump that can not be set.
    pub setting: Option<Share>,
    /// What it moves at that.
    pub flow: VolumeRate,
    /// What it draws at that, at the most that a meter should show.
    pub draw: Power,
    /// Power of its stream.
    pub stirring: Power,
}

impl OnBattery {
    fn running(&self, lasts: Time) -> Running {
        Running { lasts, brings: Brings::Stirring(self.stirring) }
    }

    /// The pump with its setting, in words.
    fn words(&self) -> String {
        match self.setting {
            Some(setting) => format!("{} at {}", self.pump, show(setting.into(), Rounding::Nearest)),
            None => self.pump.clone(),
        }
    }
}

/// Every pump that a battery with this output can run, at each setting of the dial from full to its lowest: those that hang in the tank,
/// and through an inverter all of them together, and the return pump too.
///
/// An inverter runs any pump; direct current only one with a socket for it.
fn candidates(tank: &Tank, catalogue: &Catalogue, output: Output, rules: &Rules) -> Result<Vec<OnBattery>, Error> {
    let mut found = Vec::new();
    for pump in &tank.pumps {
        if let Some(model) = catalogue.pump(&pump.model) {
            found.extend(of_model(&format!("the pump called {}", pump.name), model, tank, output, rules)?);
        }
    }
    if let Output::Inverter { .. } = output {
        let models: Vec<_> = tank.pumps.iter().filter_map(|pump| catalogue.pump(&pump.model)).collect();
        found.extend(of_all("all its pumps together", &models, tank, rules)?);
    }
    if let (Output::Inverter { .. }, Some(line)) = (output, &tank.return_line) {
        let flow = return_line::delivered(line, tank, rules)?;
        let stirring = oxygen::jet_power(flow, outlet_area(Outlet::Round { diameter: line.bore }), tank.water(), rules)?;
        found.push(OnBattery { pump: "the return pump".to_owned(), setting: None, flow, draw: line.pump_power, stirring });
    }
    Ok(found)
}

/// A pump of a model at each of its settings, where a battery with this output can run it.
fn of_model(name: &str, model: &PumpModel, tank: &Tank, output: Output, rules: &Rules) -> Result<Vec<OnBattery>, Error> {
    if output == Output::Direct && !model.battery_socket {
        return Ok(Vec::new());
    }
    dial(model.lowest_setting, rules).into_iter().map(|setting| at_setting(name, model, setting, tank, rules)).collect()
}

/// Several pumps at one setting of each, from full to the lowest that any of them has; nothing where there are not several.
fn of_all(name: &str, models: &[&PumpModel], tank: &Tank, rules: &Rules) -> Result<Vec<OnBattery>, Error> {
    if models.len() < 2 {
        return Ok(Vec::new());
    }
    let lowest = models.iter().map(|model| model.lowest_setting).fold(Share(1.0), |one, other| if other < one { other } else { one });
    let together = |setting: Share| {
        let none = OnBattery {
            pump: name.to_owned(),
            setting: (lowest.0 < 1.0).then_some(setting),
            flow: VolumeRate::default(),
            draw: Power::default(),
            stirring: Power::default(),
        };
        models.iter().try_fold(none, |all, model| {
            let own = if setting < model.lowest_setting { model.lowest_setting } else { setting };
            let one = at_setting(name, model, own, tank, rules)?;
            Ok(OnBattery { flow: all.flow + one.flow, draw: all.draw + one.draw, stirring: all.stirring + one.stirring, ..all })
        })
    };
    dial(lowest, rules).into_iter().map(together).collect()
}

/// The settings that are tried, from full to the lowest.
fn dial(lowest: Share, rules: &Rules) -> Vec<Share> {
    rules.power.dial.iter().copied().filter(|setting| *setting > lowest).chain([lowest]).collect()
}

fn at_setting(name: &str, model: &PumpModel, setting: Share, tank: &Tank, rules: &Rules) -> Result<OnBattery, Error> {
    let flow = power::affinity_flow(model.rated_flow, 1.0, setting.0)?;
    Ok(OnBattery {
        pump: name.to_owned(),
        setting: (model.lowest_setting.0 < 1.0).then_some(setting),
        flow,
        draw: power::draw_range(model.power, model.standing_draw.min(model.power), setting, *rules.power.saving_made)?.high,
        stirring: oxygen::jet_power(flow, outlet_area(model.outlet), tank.water(), rules)?,
    })
}

/// What keeps running in this tank: all that its file names, and nothing else.
#[derive(Debug, Clone, PartialEq)]
pub struct Backup {
    /// The pump on the battery, and how long the battery runs it, to count on.
    pub pump: Option<(OnBattery, Time)>,
    /// Whether an air pump runs beside it.
    pub air: Option<Running>,
}

impl Backup {
    /// Of all pumps and settings the battery can run, the one that keeps the animals out of danger the longest at the worst. Where that
    /// decides nothing, the one with more oxygen, then the one that lasts longer.
    ///
    /// # Errors
    /// As [`Chain::course`] and [`power::battery_lasts`].
    pub fn of(chain: &Chain<'_>, tank: &Tank, catalogue: &Catalogue) -> Result<Self, Error> {
        let air = tank.air_pump.map(|pump| Running { lasts: pump.lasts, brings: Brings::Air { air: pump.air, depth: pump.depth } });
        let mut best: Option<([f64; 3], OnBattery, Time)> = None;
        if let Some(battery) = tank.battery {
            for candidate in candidates(tank, catalogue, battery.output, chain.rules)? {
                let lasts = power::battery_lasts(battery, candidate.draw, &chain.rules.power)?;
                let running: Vec<_> = air.into_iter().chain([candidate.running(lasts)]).collect();
                let seconds = |limit| Ok::<_, Error>(chain.until(limit, Case::Worst, &running)?.seconds());
                let rank = [seconds(Limit::Danger)?, seconds(Limit::Aim)?, lasts.si()];
                let better = |other: &[f64; 3]| {
                    let mut pairs = rank.iter().zip(other).map(|(one, other)| one.total_cmp(other));
                    pairs.find(|order| order.is_ne()).is_some_and(Ordering::is_gt)
                };
                if best.as_ref().is_none_or(|(other, ..)| better(other)) {
                    best = Some((rank, candidate, lasts));
                }
            }
        }
        Ok(Backup { pump: best.map(|(_, pump, lasts)| (pump, lasts)), air })
    }

    /// What still runs so long after the power failed.
    fn at(&self, time: Time) -> Vec<Brings> {
        self.running().into_iter().filter(|running| running.lasts > time).map(|running| running.brings).collect()
    }

    /// All that runs.
    pub fn running(&self) -> Vec<Running> {
        self.pump.iter().map(|(pump, lasts)| pump.running(*lasts)).chain(self.air).collect()
    }
}

/// The thriftiest pump and setting that keeps the animals out of danger for the wanted time, at the worst, on a battery large enough;
/// `None` where none does.
fn least_that_holds(chain: &Chain<'_>, candidates: &[OnBattery]) -> Result<Option<OnBattery>, Error> {
    let wanted = *chain.rules.power_cut.wanted;
    let mut found: Option<&OnBattery> = None;
    for candidate in candidates {
        if chain.is_enough(&[candidate.running(wanted)])? && found.is_none_or(|found| candidate.draw < found.draw) {
            found = Some(candidate);
        }
    }
    Ok(found.cloned())
}

/// A small jug is told in steps of 50 mL.
const JUG_STEP: f64 = 50e-6;
/// Spells of pouring are told in whole minutes.
const MINUTE: f64 = 60.0;

#[cfg(test)]
mod tests;
