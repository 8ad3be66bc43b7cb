//! What breathes in a tank, and how much oxygen its water starts with when the power fails.

use uom::si::f64::{Area, Length, Mass, MassRate, ThermodynamicTemperature, Volume};

use crate::decide::contents::dry_rock;
use crate::error::Error;
use crate::formulas::oxygen::{
    Case, active, demand, reef_breathing, respiration, sand_and_rock_breathing, saturation,
};
use crate::quantity::{Dimension, Share};
use crate::rules::oxygen::OxygenRules;
use crate::rules::{Band, Rules};
use crate::tank::{Fish, Rock, Tank};

/// What breathes in a tank in the dark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Life {
    /// The fish, from asleep to frightened.
    pub fish: Band<MassRate>,
    /// All else at the least, as its share of what the fish breathe.
    pub share: Band<MassRate>,
    /// All else, as a reef of the floor's size.
    pub floor: Band<MassRate>,
    /// All else, as its sand and rock.
    pub sand_and_rock: Band<MassRate>,
}

impl Life {
    /// All life in a tank. Corals count by what lives there now.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a fish, a floor or a temperature outside the ranges of their formulas.
    pub fn of(tank: &Tank, rules: &Rules) -> Result<Self, Error> {
        let (all, rules, temperature) = (rules, &rules.oxygen, *tank.temperature);
        let fish = fish(resting(&tank.fish, temperature, rules)?, rules);
        let floor = tank.display_area();
        Ok(Life {
            fish,
            share: share_of_the_fish(fish, rules),
            floor: reef_breathing(floor, &tank.now, temperature, rules)?,
            sand_and_rock: sand_and_rock_breathing(
                sand_bed(tank, floor),
                rock_mass(tank, all),
                temperature,
                rules,
            )?,
        })
    }

    /// What all of it breathes: the fish, and of the three ways to reckon all else the one that takes the
    /// most.
    pub fn demand(&self, case: Case) -> MassRate {
        let [fish, share, floor, sand_and_rock] =
            [self.fish, self.share, self.floor, self.sand_and_rock].map(|band| case.demand(band));
        demand(fish, share, floor, sand_and_rock)
    }
}

/// What fish breathe at rest.
///
/// # Errors
/// As [`respiration`].
pub fn resting(
    fish: &[Fish],
    temperature: ThermodynamicTemperature,
    rules: &OxygenRules,
) -> Result<MassRate, Error> {
    let mut rest = MassRate::from_si(0.0);
    for fish in fish {
        rest += respiration(fish.mass, temperature, rules)? * f64::from(fish.count);
    }
    Ok(rest)
}

/// What fish breathe, from asleep to frightened.
///
/// - `rest`: what they breathe at rest
pub fn fish(rest: MassRate, rules: &OxygenRules) -> Band<MassRate> {
    Band { low: active(rest, rules.activity.low), high: active(rest, rules.activity.high) }
}

/// What everything else breathes at the least.
pub fn share_of_the_fish(fish: Band<MassRate>, rules: &OxygenRules) -> Band<MassRate> {
    Band { low: fish.low * rules.others.low.0, high: fish.high * rules.others.high.0 }
}

/// Area of the sand bed: the floor of the display, or nothing where there is none.
pub fn sand_bed(tank: &Tank, floor: Area) -> Area {
    if tank.sand.is_some_and(|bed| bed.depth > Length::default()) { floor } else { Area::default() }
}

/// Dry mass of the rock; of rock that was judged by eye, by what it pushes aside.
fn rock_mass(tank: &Tank, rules: &Rules) -> Mass {
    match tank.rock {
        None => Mass::default(),
        Some(Rock::Weighed { mass, .. }) => mass,
        Some(Rock::Judged(_)) => dry_rock(tank, &rules.volume),
    }
}

/// Oxygen in a tank when the power fails, as a share of saturation: what was measured at dawn, or what is
/// usual, which is lower where neither sump nor skimmer adds to it.
///
/// # Errors
/// As [`saturation`].
pub fn start_share(tank: &Tank, rules: &Rules) -> Result<Band<Share>, Error> {
    let Some(at_dawn) = tank.measured.dawn_oxygen else { return Ok(usual_start_share(tank, &rules.oxygen)) };
    // What is above balance with the air soon leaves.
    let share = Share((at_dawn.si() / saturation(tank.water(), rules)?.si()).min(1.0));
    Ok(Band { low: share, high: share })
}

/// The same where nobody measured it.
pub fn usual_start_share(tank: &Tank, rules: &OxygenRules) -> Band<Share> {
    let has_either = tank.sump > Volume::default() || tank.skimmer.is_some();
    if has_either { *rules.start } else { *rules.start_plain }
}
