//! What to do first, second and third: one card of steps, the same on every page.

use std::cmp::Ordering;

use uom::si::f64::{Time, Volume};

use super::{MINUTE, Pouring};
use crate::formulas::power_cut::act_within;
use crate::quantity::{Dimension, Rounding, show};
use crate::rules::{Rules, words};

/// What decides the steps of a plan. Times are those at the worst; `None` where the oxygen never falls so
/// far.
#[derive(Debug, Clone, PartialEq)]
pub struct Situation {
    /// Whether a lid lies on the tank.
    pub lid: bool,
    /// Whether fish live in it.
    pub fish: bool,
    /// Whether a pipe runs from a sump back to the tank.
    pub return_line: bool,
    /// Whether a residual-current device guards the tank's sockets.
    pub residual_current: bool,
    /// The pump that the battery runs, with its setting, in words.
    pub pump: Option<String>,
    /// Whether there is a battery, but no pump hangs yet that it could run.
    pub idle_battery: bool,
    /// Whether it runs through an inverter.
    pub inverter: bool,
    /// How long the battery of an air pump lasts, if there is one.
    pub air: Option<Time>,
    /// The jug for this tank.
    pub jug: Volume,
    /// Until the oxygen is down to what you aim for, while all that the tank has for a power cut runs for its
    /// time.
    pub aim: Option<Time>,
    /// The same until the danger level.
    pub danger: Option<Time>,
    /// By when hands must move the water, and what they must do.
    pub hands: Option<(Time, Pouring)>,
    /// The same where nothing runs: a battery that has not started.
    pub still_hands: Option<(Time, Pouring)>,
    /// Until the danger level while hands pour without a break.
    pub danger_poured: Option<Time>,
}

/// When a step is due.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub enum When {
    /// So long after the power failed.
    After(Time),
    /// When the power is back.
    PowerBack,
}

/// One step of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// When it is due.
    pub when: When,
    /// What to do.
    pub what: String,
    /// Why.
    pub why: String,
}

fn step(when: When, what: impl Into<String>, why: &str) -> Step {
    Step { when, what: what.into(), why: why.to_owned() }
}

/// The steps of a plan, in the order in which they are due.
///
/// Hands begin as [`hands_by`](super::hands_by) says: always before danger. Where enough comes in without
/// them, nobody has to. Whoever has a backup that is enough still watches the animals from the time at which
/// hands would be due without a promise.
pub fn steps(situation: &Situation, rules: &Rules) -> Vec<Step> {
    let (words, rules) = (&rules.words.power_cut, &rules.power_cut);
    let at_once = When::After(Time::from_si(0.0));
    let residual_current = situation.residual_current;
    let device = if residual_current { words.circuit_device() } else { words.circuit_device_if_any() };
    let mut steps = vec![step(at_once, words.circuit(device), words.circuit_why())];
    if let Some(pump) = &situation.pump {
        let see = if situation.inverter { words.inverter_runs(pump) } else { words.battery_runs(pump) };
        let what = match situation.still_hands {
            Some((by, pouring)) if by.si() < MINUTE => words.not_started_at_once(see, spells(pouring, words)),
            Some((by, pouring)) => {
                let by = show(by.into(), Rounding::Down);
                words.not_started(see, by, spells(pouring, words))
            }
            None => see,
        };
        steps.push(step(at_once, what, words.battery_why()));
    }
    if situation.idle_battery {
        steps.push(step(at_once, words.idle_battery(), words.idle_battery_why()));
    }
    if let Some(lasts) = situation.air {
        let what = words.air_pump(show(lasts.into(), Rounding::Down));
        steps.push(step(at_once, what, words.air_pump_why()));
    }
    if let Some(aim) = situation.aim {
        let watch = act_within(aim, *rules.act_share);
        let what = if situation.fish { words.watch_fish() } else { words.watch_others() };
        let why = if aim.si() < MINUTE { words.watch_why_already() } else { words.watch_why() };
        // Where hands are at work from then on, that step says so.
        if !situation.hands.is_some_and(|(by, pouring)| by <= watch && pouring != Pouring::NotNeeded) {
            steps.push(step(When::After(watch), what, why));
        }
    }
    if let Some((by, pouring)) = situation.hands
        && pouring != Pouring::NotNeeded
    {
        let what = words.by_hand(spells(pouring, words), show(situation.jug.into(), Rounding::Nearest));
        steps.push(step(When::After(by), what, words.by_hand_why()));
    }
    // Behind whatever moves the water at once.
    steps.push(if situation.lid {
        step(at_once, words.feed_not_under_lid(), words.feed_not_under_lid_why())
    } else {
        step(at_once, words.feed_not(), words.feed_not_why())
    });
    let distance = show((*rules.generator_distance).into(), Rounding::Up);
    steps.push(step(at_once, words.generator(distance), words.generator_why()));
    match (situation.danger, situation.danger_poured, situation.hands) {
        (Some(danger), Some(poured), Some((_, Pouring::NotEnough))) => {
            let poured = show(poured.into(), Rounding::Down);
            let what = if situation.fish { words.bring_fish(poured) } else { words.bring_others(poured) };
            let when = When::After(act_within(danger, *rules.act_share));
            steps.push(step(when, what, words.bring_why()));
        }
        (Some(danger), ..) => {
            steps.push(step(When::After(danger), words.in_danger(), words.in_danger_why()));
        }
        (None, ..) => {}
    }
    steps.push(step(When::After(*rules.wrap), words.blankets(), words.blankets_why()));
    // A stable sort: what is due at the same time stays in the order above.
    steps.sort_by(|one, two| one.when.partial_cmp(&two.when).unwrap_or(Ordering::Equal));
    steps.push(if situation.return_line {
        step(When::PowerBack, words.power_back_sump(), words.power_back_sump_why())
    } else {
        step(When::PowerBack, words.power_back(), words.power_back_why())
    });
    let charges = situation.pump.is_some() || situation.air.is_some();
    let feed = if charges { words.feed_later_and_charge() } else { words.feed_later() };
    steps.push(step(When::PowerBack, feed, words.feed_later_why()));
    steps
}

/// How long and how often.
fn spells(pouring: Pouring, words: &words::PowerCut) -> String {
    let time = |time: Time| show(time.into(), Rounding::Nearest);
    match pouring {
        Pouring::NotNeeded => words.spells_rarely().to_owned(),
        Pouring::Spells { pour, every } => words.spells(time(pour), time(every)),
        Pouring::WithoutBreak => words.spells_without_break().to_owned(),
        Pouring::NotEnough => words.spells_not_enough().to_owned(),
    }
}
