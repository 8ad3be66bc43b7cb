//! A day's programme for a tank: the one of its file, or a suggested one.

mod day;
mod suggest;

use uom::si::f64::Time;

use crate::catalogue::Catalogue;
use crate::decide::fit;
use crate::decide::placement::Room;
use crate::decide::plan::counted;
use crate::decide::power_cut::Chain;
use crate::document::Problem;
use crate::error::Error;
use crate::formulas::programme::{ClockTime, Lights, Programme};
use crate::quantity::{Dimension, Share, SoundLevel};
use crate::rules::programme::ProgrammeRules;
use crate::rules::{Band, Rules, words};
use crate::tank::programme::{Dial, Fault};
use crate::tank::{HungPump, Tank};
use crate::trace::Traced;

pub use day::{Day, PumpDay, Runner};
pub use suggest::{Needs, suggest};
pub(crate) use suggest::{is_bedroom, stir};

/// The lights of a tank: what its file says, or the rules.
pub fn lights(tank: &Tank, rules: &ProgrammeRules) -> Lights {
    tank.lights.unwrap_or_else(|| Lights {
        on: ClockTime::after_midnight(*rules.lights_on),
        off: ClockTime::after_midnight(*rules.lights_off),
    })
}

/// The pumps that hang in a tank, as the catalogue knows them; one whose model it does not know is left out.
///
/// # Errors
/// As [`fit::most`].
pub fn hung(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Vec<Runner>, Error> {
    let catalogue = catalogue.with(&tank.models);
    let room = Traced::ok(|| Room::new(rules, tank))?;
    let runner = |pump: &HungPump| {
        let model = catalogue.pump(&pump.model)?;
        Some(Traced::ok(|| fit::most(rules, tank, &room, pump, model)).map(|most| Runner {
            name: pump.name.clone(),
            rated_flow: model.rated_flow,
            lowest: model.lowest_setting,
            most,
            power: model.power,
            standing_draw: model.standing_draw,
            sound: model.sound,
        }))
    };
    tank.pumps.iter().filter_map(runner).collect()
}

/// The programme of a tank: its own, or where it has none the suggested one, with its own feedings if it
/// lists any. Empty for a tank without pumps.
///
/// # Errors
/// As [`hung`], [`Needs::of`] and [`Chain::feeding_pause`].
pub fn of(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Programme, Error> {
    if !tank.programme.is_empty() {
        return Ok(tank.programme.clone());
    }
    fed(suggested(rules, catalogue, tank)?, tank, || Chain::new(rules, tank)?.feeding_pause())
}

/// The same without feedings.
///
/// # Errors
/// As [`hung`] and [`Needs::of`].
pub(crate) fn without_feedings(
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
) -> Result<Programme, Error> {
    let own = (!tank.programme.is_empty()).then(|| tank.programme.clone());
    let programme = own.map_or_else(|| suggested(rules, catalogue, tank), Ok)?;
    Ok(Programme { feedings: Vec::new(), ..programme })
}

fn suggested(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Programme, Error> {
    let needs = Needs::of(counted(tank, rules), rules, tank)?;
    Ok(suggest(&hung(rules, catalogue, tank)?, needs, &rules.programme))
}

/// A suggested programme with the feedings of the tank file, or, where it lists none, with pauses that are no
/// longer than the oxygen bears.
///
/// # Errors
/// Those of `pause`.
pub(crate) fn fed(
    suggested: Programme,
    tank: &Tank,
    pause: impl FnOnce() -> Result<Option<Time>, Error>,
) -> Result<Programme, Error> {
    let mut programme = suggested;
    if !tank.programme.feedings.is_empty() {
        programme.feedings.clone_from(&tank.programme.feedings);
        return Ok(programme);
    }
    let pause = pause()?.map(|pause| (pause.si() / 60.0) as u16);
    programme.feedings.retain(|_| pause.is_some());
    for feeding in &mut programme.feedings {
        feeding.pause = feeding.pause.min(pause.unwrap_or_default());
    }
    Ok(programme)
}

/// How the sound at the pillow compares with a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Against {
    /// All of it lies below.
    Keeps,
    /// All of it lies above.
    Above,
    /// The limit lies within what it may be.
    MayBeAbove,
}

impl Against {
    pub(crate) fn of(at_pillow: Band<SoundLevel>, allowed: SoundLevel) -> Self {
        if at_pillow.high.0 <= allowed.0 {
            Against::Keeps
        } else if at_pillow.low.0 > allowed.0 {
            Against::Above
        } else {
            Against::MayBeAbove
        }
    }

    pub(crate) fn words(self, words: &words::Programme) -> &str {
        match self {
            Against::Keeps => words.keeps_to_the_limit(),
            Against::Above => words.above_the_limit(),
            Against::MayBeAbove => words.may_be_above_the_limit(),
        }
    }
}

/// What is wrong in a tank's programme once its pumps and the rules are known.
///
/// - `document`: the tank file's name, for the problems
pub fn check(document: &str, tank: &Tank, catalogue: &Catalogue, rules: &ProgrammeRules) -> Vec<Problem> {
    let catalogue = catalogue.with(&tank.models);
    let dial = |pump: &HungPump| catalogue.pump(&pump.model).map_or(Share(0.0), |model| model.lowest_setting);
    let dials: Vec<_> = tank.pumps.iter().map(|pump| Dial { pump: &pump.name, lowest: dial(pump) }).collect();
    let faults = tank.programme.faults(&dials, *rules.feeding_pause);
    let problem = |Fault { span, message, help }| {
        let (document, missing) = (document.to_owned(), String::new());
        Problem { document, span, missing, message, help: vec![help] }
    };
    faults.into_iter().map(problem).collect()
}

#[cfg(test)]
pub(crate) mod tests;
