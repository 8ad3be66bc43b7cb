//! What to do first, second and third: one card of steps, the same on every page.

use std::cmp::Ordering;

use uom::si::f64::{Time, Volume};

use super::{MINUTE, Pouring};
use crate::formulas::power_cut::act_within;
use crate::ordered::sort_by;
use crate::quantity::{Dimension, Rounding, show};
use crate::rules::power_cut::PowerCutRules;

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
    pub why: &'static str,
}

/// The steps of a plan, in the order in which they are due.
///
/// Hands begin as [`hands_by`](super::hands_by) says: always before danger. Where enough comes in without
/// them, nobody has to. Whoever has a backup that is enough still watches the animals from the time at which
/// hands would be due without a promise.
pub fn steps(situation: &Situation, rules: &PowerCutRules) -> Vec<Step> {
    let at_once = When::After(Time::from_si(0.0));
    let step = |when, what: &str, why| Step { when, what: what.to_owned(), why };
    let device = if situation.residual_current { "the residual-current device" } else { "the residual-current device, if there is one," };
    let mut steps = vec![step(
        at_once,
        &format!(
            "Look whether only the tank's circuit is out. If so touch nothing wet: switch that circuit off \
             at the main panel, unplug the tank's devices, switch it on and press {device} back in once. If \
             it holds, plug in one device after the other. If it trips again leave it off and call a \
             licensed electrician"
        ),
        "a device that trips again is telling of a fault that can kill",
    )];
    if let Some(pump) = &situation.pump {
        let or_else = match situation.still_hands {
            Some((by, pouring)) if by.si() < MINUTE => {
                format!(". If it has not started, move the surface by hand at once, {}", spells(pouring))
            }
            Some((by, pouring)) => {
                let by = show(by.into(), Rounding::Down);
                format!(". If it has not started, move the surface by hand within {by}, {}", spells(pouring))
            }
            None => String::new(),
        };
        steps.push(step(
            at_once,
            &if situation.inverter {
                format!(
                    "See that this runs on the inverter: {pump}. A plain inverter starts nothing: switch it \
                     on and plug in, with dry hands{or_else}"
                )
            } else {
                format!("See that the battery runs {pump}, aimed at the surface{or_else}")
            },
            "so the battery keeps the animals safe the longest; the surface is where oxygen comes in",
        ));
    }
    if situation.idle_battery {
        let what = "The battery has no pump to run yet. Once one hangs in the tank, switch the battery or \
                    its inverter on and plug the pump in, with dry hands";
        steps.push(step(at_once, what, "the surface is where oxygen comes in"));
    }
    if let Some(lasts) = situation.air {
        let what = format!(
            "Switch on the air pump on its battery, and see bubbles rise in the tank. Its battery lasts {}: \
             look at it before then",
            show(lasts.into(), Rounding::Down)
        );
        steps.push(step(at_once, &what, "each bubble brings oxygen, and the plume stirs the surface"));
    }
    if let Some(aim) = situation.aim {
        let watch = act_within(aim, *rules.act_share);
        let what = if situation.fish {
            "Look at the animals every few minutes. If fish breathe fast or hang at the surface, pour \
             without a break"
        } else {
            "Look at the animals every few minutes. If snails or shrimps climb to the surface, pour without \
             a break"
        };
        let why = if aim.si() < MINUTE {
            "at the worst the water holds less than you aim for already"
        } else {
            "soon the water may hold less than you aim for"
        };
        // Where hands are at work from then on, that step says so.
        if !situation.hands.is_some_and(|(by, pouring)| by <= watch && pouring != Pouring::NotNeeded) {
            steps.push(step(When::After(watch), what, why));
        }
    }
    if let Some((by, pouring)) = situation.hands
        && pouring != Pouring::NotNeeded
    {
        steps.push(Step {
            when: When::After(by),
            what: by_hand(pouring, situation.jug),
            why: "each pour carries air down and stirs the surface; wet hands beside a live device can kill",
        });
    }
    // Behind whatever moves the water at once.
    let feed = if situation.lid { "Do not feed, and take the lid off" } else { "Do not feed" };
    let why = if situation.lid { "food and a shut lid use up oxygen" } else { "food uses up oxygen" };
    steps.push(step(at_once, feed, why));
    steps.push(step(
        at_once,
        &format!(
            "If you run a generator, run it outdoors, {} or more from the house, its exhaust pointed away \
             from windows, doors and vents, and have a carbon monoxide alarm awake on each floor where \
             people sleep",
            show((*rules.generator_distance).into(), Rounding::Up)
        ),
        "its carbon monoxide kills, and nobody can see or smell it",
    ));
    match (situation.danger, situation.danger_poured, situation.hands) {
        (Some(danger), Some(poured), Some((_, Pouring::NotEnough))) => {
            let poured = show(poured.into(), Rounding::Down);
            let unless = if situation.fish { "Unless the fish breathe calmly" } else { "Unless the power is back soon" };
            steps.push(step(
                When::After(act_within(danger, *rules.act_share)),
                &format!(
                    "{unless}, bring the animals to a tank that has power. Even where you pour without a \
                     break, at the worst they are in danger after {poured}"
                ),
                "what hands can do is not enough at the worst",
            ));
        }
        (Some(danger), ..) => steps.push(step(
            When::After(danger),
            "From here on animals may be in danger wherever nobody moved the water. If you cannot go on, \
             bring them to a tank that has power",
            "that is how far the oxygen goes without hands, at the worst",
        )),
        (None, ..) => {}
    }
    steps.push(step(
        When::After(*rules.wrap),
        "If the room is cold, wrap the sides of the tank in blankets and leave the top open",
        "air matters more than warmth",
    ));
    // A stable sort: what is due at the same time stays in the order above.
    sort_by(&mut steps, |one, two| one.when.partial_cmp(&two.when).unwrap_or(Ordering::Equal));
    let back = if situation.return_line {
        "Look for water on the floor before you touch a plug. Then, with dry hands, plug the pumps in one \
         after the other, the return pump first, and watch the water in the sump and in the tank"
    } else {
        "Look for water on the floor before you touch a plug. Then, with dry hands, plug the pumps in one \
         after the other"
    };
    let why = if situation.return_line {
        "a pump that has run dry or jammed shows at once, and so does a sump that runs over"
    } else {
        "a pump that has run dry or jammed shows at once"
    };
    steps.push(step(When::PowerBack, back, why));
    let charge = if situation.pump.is_some() || situation.air.is_some() { ", and charge the battery" } else { "" };
    steps.push(step(
        When::PowerBack,
        &format!("Feed nothing for the rest of the day{charge}"),
        "the filter's bacteria have been short of oxygen too",
    ));
    steps
}

/// What hands do, and that they stay out of the water.
fn by_hand(pouring: Pouring, jug: Volume) -> String {
    format!(
        "Move the surface by hand, {}: dip a clean jug of about {} by its handle, lift it and pour the water \
         back from a hand's breadth. Watch the animals meanwhile, and keep your hands out of the water. If \
         one must go in, pull every plug before, and switch off and unplug battery, UPS and inverter too",
        spells(pouring),
        show(jug.into(), Rounding::Nearest)
    )
}

/// How long and how often.
fn spells(pouring: Pouring) -> String {
    let time = |time: Time| show(time.into(), Rounding::Nearest);
    match pouring {
        Pouring::NotNeeded => "now and then".to_owned(),
        Pouring::Spells { pour, every } => format!("for {} in every {}", time(pour), time(every)),
        Pouring::WithoutBreak => "without a break, taking turns".to_owned(),
        Pouring::NotEnough => "without a break, taking turns, and call for help now, since at the worst pouring alone is not \
             enough"
            .to_owned(),
    }
}
