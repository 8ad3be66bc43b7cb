//! What is in the glass of a tank: sand, rock, and the water that is left. Each reads the rules that move it,
//! and no other.

use uom::si::f64::{Mass, Volume};

use crate::formulas::volume::{rock_displacement, sand_displacement};
use crate::quantity::Share;
use crate::rules::volume::VolumeRules;
use crate::tank::{Rock, Tank};

/// The net water: filled, less the rear chamber, and less what sand and rock push aside.
pub fn net(tank: &Tank, rules: &VolumeRules) -> Volume {
    tank.glass.filled() - chamber(tank) - sand_aside(tank, rules) - rock_aside(tank, rules)
}

/// The water in the rear chamber; nothing for a tank without one.
pub fn chamber(tank: &Tank) -> Volume {
    tank.glass.back_strip(tank.chamber_depth()) * tank.glass.water_height()
}

/// Volume of the display inside the glass, up to the rim: gross, less a rear chamber.
pub fn display_gross(tank: &Tank) -> Volume {
    tank.display_area() * (tank.glass.height - tank.glass.pane)
}

/// The water that the sand takes the place of: that of its grains. The water between them is part of the net
/// water.
pub fn sand_aside(tank: &Tank, rules: &VolumeRules) -> Volume {
    tank.sand.map_or_else(Volume::default, |sand| {
        let porosity = sand.porosity.unwrap_or_else(|| *rules.sand_porosity);
        sand_displacement(tank.display_area(), sand.depth, porosity)
    })
}

/// The water that the rock takes the place of, its pores and all.
pub fn rock_aside(tank: &Tank, rules: &VolumeRules) -> Volume {
    match tank.rock {
        None => Volume::default(),
        Some(rock @ Rock::Weighed { mass, .. }) => {
            rock_displacement(mass, *rules.mineral_density, rock_porosity(rock, rules))
        }
        Some(Rock::Judged(share)) => tank.display_area() * tank.glass.water_height() * share.0,
    }
}

/// Share of the rock that is pores: the reader's own, or that of the rule. Their water is no part of the net
/// water.
pub fn rock_porosity(rock: Rock, rules: &VolumeRules) -> Share {
    match rock {
        Rock::Weighed { porosity: Some(own), .. } => own,
        Rock::Weighed { porosity: None, .. } | Rock::Judged(_) => *rules.rock_porosity,
    }
}

/// Mass of the dry rock, by what it pushes aside.
pub fn dry_rock(tank: &Tank, rules: &VolumeRules) -> Mass {
    tank.rock.map_or_else(Mass::default, |rock| {
        let outer = rock_aside(tank, rules);
        (outer - outer * rock_porosity(rock, rules).0) * *rules.mineral_density
    })
}

#[cfg(test)]
mod tests;
