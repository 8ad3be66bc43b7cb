//! Where the pumps of a set hang.

use super::{PumpSet, Task};
use crate::catalogue::{Catalogue, PumpModel};
use crate::decide::placement::{Among, Room, Spot};
use crate::error::Error;
use crate::ordered::sort_by;
use crate::quantity::{Dimension, Share};
use crate::rules::Rules;
use crate::tank::{Aim, HungPump, Tank};

/// The spots of a set's pumps, the strongest at the ends: with each its setting for later.
pub(crate) fn spots<'c>(
    room: &Room<'_>,
    catalogue: &'c Catalogue,
    set: &PumpSet,
) -> Vec<(&'c PumpModel, Share, Spot)> {
    let pumps = set.models.iter().zip(&set.later);
    let mut pumps: Vec<_> = pumps.map(|(model, setting)| (&catalogue.pumps[*model], *setting)).collect();
    let strength = |(pump, setting): &(&PumpModel, Share)| pump.rated_flow.si() * setting.0;
    sort_by(&mut pumps, |one, other| strength(other).total_cmp(&strength(one)));
    let spots = room.spots(pumps.len());
    pumps.into_iter().zip(spots).map(|((pump, setting), spot)| (pump, setting, spot)).collect()
}

/// The plan's pumps as they hang in the tank, set for what lives there now, or for later where they cannot be
/// turned down so far; none where no set fits.
///
/// # Errors
/// As [`Task::new`], [`Task::best`] and [`Room::place`].
pub fn hung(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Vec<HungPump>, Error> {
    let catalogue = &catalogue.with(&tank.models);
    if catalogue.pumps.is_empty() {
        return Ok(Vec::new());
    }
    let task = Task::new(rules, catalogue, tank)?;
    let Some(best) = task.listed(&tank.wishes, 1)?.into_iter().next() else { return Ok(Vec::new()) };
    let settings = best.now.as_ref().unwrap_or(&best.later);
    // The places go by the strength of the pumps, the settings by the catalogue; pumps of one model share one
    // setting.
    let setting_of = |pump: &PumpModel| {
        let mut set = best.models.iter().zip(settings);
        let own = set.find(|(model, _)| catalogue.pumps[**model].model == pump.model);
        own.map_or(Share(1.0), |(_, setting)| *setting)
    };
    let room = Room::new(rules, tank)?;
    let hang = |(pump, later, spot): (&PumpModel, Share, Spot)| {
        let place = room.place(pump, later, spot, Among::pumps(best.models.len()))?;
        Ok(HungPump {
            name: spot.words(rules).to_owned(),
            model: pump.model.clone(),
            setting: setting_of(pump),
            wall: spot.wall,
            along: spot.along,
            height: place.course.from.z,
            aim: Aim::default(),
        })
    };
    spots(&room, catalogue, &best).into_iter().map(hang).collect()
}
