//! What is in the glass of a tank: sand, rock, and the water that is left.

use uom::si::f64::{Mass, Volume};

use crate::formulas::volume::{rock_displacement, sand_displacement};
use crate::rules::volume::VolumeRules;
use crate::tank::{Rock, Tank};

/// What is in the glass.
#[derive(Debug, Clone, Copy)]
pub struct Contents {
    /// The sand bed.
    pub sand: Solid,
    /// The rock.
    pub rock: Solid,
    /// The water in the rear chamber.
    pub chamber: Volume,
    /// The net water: filled, less the rear chamber, and less what sand and rock push aside.
    pub net: Volume,
}

impl Contents {
    /// Reckons what a tank holds.
    pub fn of(tank: &Tank, rules: &VolumeRules) -> Self {
        let (sand, rock) = (Solid::of_sand(tank, rules), Solid::of_rock(tank, rules));
        let chamber = chamber(tank);
        let net = tank.glass.filled() - chamber - sand.pushed_aside - rock.pushed_aside;
        Contents { sand, rock, chamber, net }
    }

    /// All water that is warmed and cleaned together: the net water, that of the rear chamber, and that of the sump.
    pub fn system(&self, tank: &Tank) -> Volume {
        self.net + self.chamber + tank.sump
    }
}

/// The water in the rear chamber; nothing for a tank without one.
pub fn chamber(tank: &Tank) -> Volume {
    tank.glass.back_strip(tank.chamber_depth()) * tank.glass.water_height()
}

/// Volume of the display inside the glass, up to the rim: gross, less a rear chamber.
pub fn display_gross(tank: &Tank) -> Volume {
    tank.display_area() * (tank.glass.height - tank.glass.pane)
}

/// Sand or rock in the tank.
#[derive(Debug, Clone, Copy, Default)]
pub struct Solid {
    /// The water it takes the place of.
    pub pushed_aside: Volume,
    /// The water in its pores that is not part of the net water.
    pub water_within: Volume,
    /// Its mass when dry.
    pub dry: Mass,
}

impl Solid {
    /// The water that a tank's sand takes the place of.
    pub fn of_sand_aside(tank: &Tank, rules: &VolumeRules) -> Volume {
        tank.sand.map_or_else(Volume::default, |sand| {
            let porosity = sand.porosity.unwrap_or_else(|| *rules.sand_porosity);
            sand_displacement(tank.display_area(), sand.depth, porosity)
        })
    }

    /// The water that a tank's rock takes the place of.
    pub fn of_rock_aside(tank: &Tank, rules: &VolumeRules) -> Volume {
        match tank.rock {
            None => Volume::default(),
            Some(Rock::Weighed { mass, porosity }) => {
                let porosity = porosity.unwrap_or_else(|| *rules.rock_porosity);
                rock_displacement(mass, *rules.mineral_density, porosity)
            }
            Some(Rock::Judged(share)) => tank.display_area() * tank.glass.water_height() * share.0,
        }
    }

    /// The sand of a tank; nothing for one without.
    pub fn of_sand(tank: &Tank, rules: &VolumeRules) -> Self {
        if tank.sand.is_none() {
            return Solid::default();
        }
        let grains = Solid::of_sand_aside(tank, rules);
        // The water between the grains is part of the net volume already.
        Solid { pushed_aside: grains, water_within: Volume::default(), dry: grains * *rules.mineral_density }
    }

    /// The rock of a tank; nothing for one without.
    pub fn of_rock(tank: &Tank, rules: &VolumeRules) -> Self {
        let porosity = match tank.rock {
            None => return Solid::default(),
            Some(Rock::Weighed { porosity, .. }) => porosity.unwrap_or_else(|| *rules.rock_porosity),
            Some(Rock::Judged(_)) => *rules.rock_porosity,
        };
        let outer = Solid::of_rock_aside(tank, rules);
        let pores = outer * porosity.0;
        Solid { pushed_aside: outer, water_within: pores, dry: (outer - pores) * *rules.mineral_density }
    }
}
