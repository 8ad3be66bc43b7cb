//! What keeps running when the power fails: which pump a battery runs, and at which setting.

use std::cmp::Ordering;
use std::ops::Add;

use uom::si::f64::{Power, Time, VolumeRate};

use super::{Brings, Chain, Running};
use crate::catalogue::{Catalogue, Outlet, PumpModel};
use crate::decide::return_line;
use crate::error::Error;
use crate::formulas::oxygen::{self, Case};
use crate::formulas::power;
use crate::formulas::stream::outlet_area;
use crate::quantity::{Dimension, Rounding, Share, show};
use crate::rules::oxygen::Limit;
use crate::rules::{Rules, words};
use crate::tank::{Output, Tank};
use crate::trace::Traced;

/// Which pump a battery runs, or which together.
#[derive(Debug, Clone, PartialEq)]
pub enum Which {
    /// The one of the tank with this name.
    Called(String),
    /// All that hang in the tank.
    All,
    /// That of the return line.
    Return,
    /// One of this model, which the plan hangs.
    OfPlan(String),
    /// All that the plan hangs.
    AllOfPlan,
}

impl Which {
    /// As in the middle of a sentence.
    pub(crate) fn words(&self, words: &words::PowerCut) -> String {
        match self {
            Which::Called(name) => words.pump_called(name),
            Which::All => words.all_its_pumps().to_owned(),
            Which::Return => words.return_pump().to_owned(),
            Which::OfPlan(model) => words.one_of_the_plan(model),
            Which::AllOfPlan => words.all_of_the_plan().to_owned(),
        }
    }
}

/// A pump at a setting, on a battery.
#[derive(Debug, Clone, PartialEq)]
pub struct OnBattery {
    /// Which pump.
    pub pump: Which,
    /// Its setting; `None` for a pump that can not be set.
    pub setting: Option<Share>,
    /// What it moves at that.
    pub flow: Traced<VolumeRate>,
    /// What it draws at that, at the most that a meter should show.
    pub draw: Traced<Power>,
    /// Power of its stream.
    pub stirring: Traced<Power>,
}

impl OnBattery {
    pub(crate) fn running(&self, lasts: Time) -> Running {
        Running { lasts, brings: Brings::Stirring(*self.stirring) }
    }

    /// The pump with its setting, in words.
    pub(crate) fn words(&self, words: &words::PowerCut) -> String {
        let pump = self.pump.words(words);
        match self.setting {
            Some(setting) => words.pump_at(pump, show(setting.into(), Rounding::Nearest)),
            None => pump,
        }
    }
}

/// Every pump that a battery with this output can run, at each setting of the dial from full to its lowest:
/// those that hang in the tank, and through an inverter all of them together, and the return pump too.
///
/// An inverter runs any pump; direct current only one with a socket for it.
pub(crate) fn candidates(
    tank: &Tank,
    catalogue: &Catalogue,
    output: Output,
    rules: &Rules,
) -> Result<Vec<OnBattery>, Error> {
    let mut found = Vec::new();
    for pump in &tank.pumps {
        if let Some(model) = catalogue.pump(&pump.model) {
            found.extend(of_model(&Which::Called(pump.name.clone()), model, tank, output, rules)?);
        }
    }
    if let Output::Inverter { .. } = output {
        let models: Vec<_> = tank.pumps.iter().filter_map(|pump| catalogue.pump(&pump.model)).collect();
        found.extend(of_all(&Which::All, &models, tank, rules)?);
    }
    if let (Output::Inverter { .. }, Some(line)) = (output, &tank.return_line) {
        let flow = Traced::ok(|| return_line::delivered(line, tank, rules))?;
        let outlet = outlet_area(Outlet::Round { diameter: line.bore });
        let stirring = Traced::ok(|| oxygen::jet_power(*flow, outlet, tank.water(), rules))?;
        let draw = Traced::given(line.drawn(&tank.measured));
        found.push(OnBattery { pump: Which::Return, setting: None, flow, draw, stirring });
    }
    Ok(found)
}

/// A pump of a model at each of its settings, where a battery with this output can run it.
pub(crate) fn of_model(
    pump: &Which,
    model: &PumpModel,
    tank: &Tank,
    output: Output,
    rules: &Rules,
) -> Result<Vec<OnBattery>, Error> {
    if output == Output::Direct && !model.battery_socket {
        return Ok(Vec::new());
    }
    dial(model.lowest_setting, rules)
        .into_iter()
        .map(|setting| at_setting(pump, model, setting, tank, rules))
        .collect()
}

/// Several pumps at one setting of each, from full to the lowest that any of them has; nothing where there
/// are not several.
pub(crate) fn of_all(
    pump: &Which,
    models: &[&PumpModel],
    tank: &Tank,
    rules: &Rules,
) -> Result<Vec<OnBattery>, Error> {
    if models.len() < 2 {
        return Ok(Vec::new());
    }
    let lowest = models
        .iter()
        .map(|model| model.lowest_setting)
        .fold(Share(1.0), |one, other| if other < one { other } else { one });
    let together = |setting: Share| {
        let own =
            |model: &PumpModel| if setting < model.lowest_setting { model.lowest_setting } else { setting };
        let each = models.iter().map(|model| at_setting(pump, model, own(model), tank, rules));
        let each = each.collect::<Result<Vec<_>, _>>()?;
        Ok(OnBattery {
            pump: pump.clone(),
            setting: (lowest.0 < 1.0).then_some(setting),
            flow: sum(each.iter().map(|one| &one.flow)),
            draw: sum(each.iter().map(|one| &one.draw)),
            stirring: sum(each.iter().map(|one| &one.stirring)),
        })
    };
    dial(lowest, rules).into_iter().map(together).collect()
}

fn sum<'t, D: Copy + Default + Add<Output = D> + 't>(each: impl Iterator<Item = &'t Traced<D>>) -> Traced<D> {
    Traced::new(|| each.fold(D::default(), |sum, one| sum + **one))
}

/// The settings that are tried, from full to the lowest.
fn dial(lowest: Share, rules: &Rules) -> Vec<Share> {
    rules.power.dial.iter().copied().filter(|setting| *setting > lowest).chain([lowest]).collect()
}

fn at_setting(
    pump: &Which,
    model: &PumpModel,
    setting: Share,
    tank: &Tank,
    rules: &Rules,
) -> Result<OnBattery, Error> {
    let flow = Traced::ok(|| power::affinity_flow(model.rated_flow, 1.0, setting.0))?;
    let standing = model.standing_draw.min(model.power);
    let draw = Traced::ok(|| power::draw_range(model.power, standing, setting, *rules.power.saving_made))?;
    let stirring = Traced::ok(|| oxygen::jet_power(*flow, outlet_area(model.outlet), tank.water(), rules))?;
    Ok(OnBattery {
        pump: pump.clone(),
        setting: (model.lowest_setting.0 < 1.0).then_some(setting),
        flow,
        draw: Traced::new(|| draw.high),
        stirring,
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
    /// Of all pumps and settings the battery can run, the one that keeps the animals out of danger the
    /// longest at the worst. Where that decides nothing, the one with more oxygen, then the one that lasts
    /// longer.
    ///
    /// # Errors
    /// As [`Chain::course`] and [`power::battery_lasts`].
    pub fn of(chain: &Chain<'_>, tank: &Tank, catalogue: &Catalogue) -> Result<Self, Error> {
        let air = tank.air_pump.map(|pump| Running {
            lasts: pump.lasts,
            brings: Brings::Air { air: pump.air, depth: pump.depth },
        });
        let mut best: Option<([f64; 3], OnBattery, Time)> = None;
        if let Some(battery) = tank.battery {
            for candidate in candidates(tank, catalogue, battery.output, chain.rules)? {
                let lasts = power::battery_lasts(battery, *candidate.draw, &chain.rules.power)?;
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

    /// All that runs.
    pub fn running(&self) -> Vec<Running> {
        self.pump.iter().map(|(pump, lasts)| pump.running(*lasts)).chain(self.air).collect()
    }
}

/// The thriftiest pump and setting that keeps the animals out of danger for the wanted time, at the worst, on
/// a battery large enough; `None` where none does.
pub(crate) fn thriftiest(chain: &Chain<'_>, candidates: &[OnBattery]) -> Result<Option<OnBattery>, Error> {
    let wanted = *chain.rules.power_cut.wanted;
    let mut found: Option<&OnBattery> = None;
    for candidate in candidates {
        if chain.is_enough(&[candidate.running(wanted)])?
            && found.is_none_or(|found| *candidate.draw < *found.draw)
        {
            found = Some(candidate);
        }
    }
    Ok(found.cloned())
}
