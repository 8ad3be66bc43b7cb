//! Settling: how fast sand, food and waste sink through still water, what keeps them moving, and what lifts
//! waste off the floor.
//!
//! Taken for granted throughout: single grains in still, clear water, far from the glass; a steady current
//! over a flat floor. A slimy film, or waste that has lain for days, needs more than the stress given here; a
//! fish's fin needs no current at all.

use uom::si::f64::{KinematicViscosity, Length, MassDensity, Pressure, Ratio, Time, Velocity};

use super::formula;
use super::sand::{Grains, near_bed_speed, roughness, speed_at_height};
use crate::error::{Error, within};
use crate::quantity::Dimension;
use crate::rules::sand::SandRules;
use crate::rules::settling::{SettlingRules, Shape};

/// Settling speed of natural sand: `w = (ν / d) [(10.36² + 1.049 D*³)^½ − 10.36]`.
///
/// # Range
/// That of [`Grains::new`]. Against Ferguson and Church it is within 15 % from 0.05 to 10 mm.
///
/// # Source
/// Soulsby (1997), equation 102. A technical note checked against a manual that names it prints 0.1173 m/s
/// for 1 mm:
/// ```
/// use reckoner_calc::{Rules, formulas::{sand::Grains, settling}, quantity::{Dimension, parse}};
/// let rules = Rules::compiled_in().map_err(|_| "rules")?.settling;
/// let grains = Grains::new(parse("1 mm")?, parse("2650 kg/m3")?, parse("1025 kg/m3")?, parse("1.05 mm2/s")?)?;
/// assert!((settling::soulsby(grains, &rules).si() - 0.1173).abs() <= 0.00005);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("viscosity ÷ size × (√(drag² + weight × dimensionless size³) − drag)")]
pub fn soulsby(grains: Grains, rules: &SettlingRules) -> Velocity {
    let [drag, weight] = *rules.soulsby;
    let size = grains.dimensionless_size().si();
    let times = (drag * drag + weight * size * size * size).sqrt() - drag;
    grains.viscosity() / grains.size() * times
}

/// Settling speed of grains of a shape: `w = R g d² / (C1 ν + (0.75 C2 R g d³)^½)`, with the weight under
/// water `R g`.
///
/// Fine grains sink as Stokes has it, `R g d² / (C1 ν)`; coarse ones with a constant drag.
///
/// # Range
/// That of [`Grains::new`]. For smooth balls of 0.2 mm to 2 mm it is up to 24 % too fast against a full drag
/// law.
///
/// # Source
/// Ferguson & Church (2004).
pub fn ferguson_church(grains: &Grains, shape: Shape, rules: &SettlingRules) -> Velocity {
    let [slow, fast] = rules.shape(shape);
    let (size, weight) = (grains.size().si(), grains.buoyant_gravity());
    let drag = slow * grains.viscosity().si() + (0.75 * fast * weight * size * size * size).sqrt();
    Velocity::from_si(weight * size * size / drag)
}

/// Settling speed of natural grains whose size is that of a sieve, see [`ferguson_church`].
#[formula("weight × size² ÷ (slow × viscosity + √(0.75 × fast × weight × size³))")]
pub fn sieved_grains(grains: Grains, rules: &SettlingRules) -> Velocity {
    ferguson_church(&grains, Shape::Sieved, rules)
}

/// Settling speed of natural grains whose size is that of a ball of their volume, see [`ferguson_church`].
#[formula("weight × size² ÷ (slow × viscosity + √(0.75 × fast × weight × size³))")]
pub fn nominal_grains(grains: Grains, rules: &SettlingRules) -> Velocity {
    ferguson_church(&grains, Shape::Nominal, rules)
}

/// Settling speed of smooth balls, see [`ferguson_church`].
#[formula("weight × size² ÷ (slow × viscosity + √(0.75 × fast × weight × size³))")]
pub fn smooth_balls(grains: Grains, rules: &SettlingRules) -> Velocity {
    ferguson_church(&grains, Shape::Ball, rules)
}

/// Rouse number `w / (κ u*)`: how much sinking there is for each stirring. Below about 2.5 particles stay in
/// the water.
///
/// # Errors
/// [`Error::OutOfRange`] for a friction velocity outside 0.1 mm/s to 1 m/s.
///
/// # Source
/// From memory.
pub fn rouse_number(settling: Velocity, friction: Velocity, sand: &SandRules) -> Result<Ratio, Error> {
    let friction =
        within("the friction velocity", friction, Velocity::from_si(1e-4)..=Velocity::from_si(1.0))?;
    Ok(settling / friction / sand.von_karman.si())
}

/// The friction velocity at which a current just carries particles along: `u* = w / (2.5 κ)`, the inverse of
/// [`rouse_number`].
///
/// # Errors
/// [`Error::OutOfRange`] for a settling speed outside 0.1 mm/s to 1 m/s.
pub fn carrying_friction(
    settling: Velocity,
    rules: &SettlingRules,
    sand: &SandRules,
) -> Result<Velocity, Error> {
    let settling = within("the settling speed", settling, Velocity::from_si(1e-4)..=Velocity::from_si(1.0))?;
    Ok(settling / (rules.suspension.si() * sand.von_karman.si()))
}

/// The speed at a height above a floor at which the stress picks fish waste up.
///
/// - `grain`: size of the floor's grains; nothing for a smooth floor
///
/// # Errors
/// As [`speed_at_height`].
///
/// # Source
/// The stress: Carvajalino-Fernández et al. (2020), with the waste of salmon. The profile: Soulsby (1997).
#[formula("friction velocity ÷ von Kármán's constant × ln(height ÷ roughness)")]
pub fn lifting_speed(
    stress: Pressure,
    grain: Length,
    water: MassDensity,
    viscosity: KinematicViscosity,
    sand: &SandRules,
) -> Result<Velocity, Error> {
    let stress =
        within("the stress on the floor", stress, Pressure::from_si(1e-3)..=Pressure::from_si(10.0))?;
    near_bed_speed(stress, water, grain, viscosity, sand)
}

/// The speed near a smooth floor at which a current just carries particles along.
///
/// # Errors
/// As [`carrying_friction`] and [`speed_at_height`].
#[formula("friction velocity ÷ von Kármán's constant × ln(height ÷ roughness)")]
pub fn carrying_speed(
    settling: Velocity,
    viscosity: KinematicViscosity,
    rules: &SettlingRules,
    sand: &SandRules,
) -> Result<Velocity, Error> {
    let friction = carrying_friction(settling, rules, sand)?;
    speed_at_height(friction, roughness(Length::default(), viscosity, friction), *sand.near_bed, sand)
}

/// The time to sink through still water.
#[formula("depth ÷ settling speed")]
pub fn time_to_sink(depth: Length, settling_speed: Velocity) -> Time {
    depth / settling_speed
}

/// Depth of the water: from its surface to the floor or the sand.
#[formula("water height − depth of the sand")]
pub fn depth(water_height: Length, depth_of_the_sand: Length) -> Length {
    water_height - depth_of_the_sand
}

#[cfg(test)]
mod tests;
