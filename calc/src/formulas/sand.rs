//! Sand: which grains a stream lifts, and how high a pump must hang so that it lifts none.
//!
//! A grain starts to roll when the stress of the water on the bed passes a threshold (Shields; the curve is
//! Soulsby's). The stress follows from the speed a little above the bed through the logarithmic profile of a
//! steady flow over a flat bed.
//!
//! Taken for granted throughout:
//!
//! - Loose, clean, solid grains of one size. Reef sand is broken shell and coral: at like size, shape and
//!   density it starts to move like quartz (Prager et al. 1996), but porous grains are lighter than their
//!   mineral and platy ones move earlier.
//! - The curve tells when many grains move. Single ones go before: rule `sand.band` reaches down to them.
//! - Away from the edges of the tank: a stream that meets a pane turns down and digs where the model sees
//!   none.

use uom::si::f64::{KinematicViscosity, Length, MassDensity, Pressure, Ratio, Velocity};

use super::stream::Stream;
use super::{Argument, Inputs, formula};
use crate::error::{Error, within};
use crate::quantity::{Dimension, Kind, Quantity, Share};
use crate::rules::sand::SandRules;

/// The acceleration of gravity with which Soulsby's book and the tables checked against it work, m/s².
/// Standard gravity is 0.03 % less.
const GRAVITY: f64 = 9.81;

/// Loose grains of one size under water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grains {
    size: Length,
    density: MassDensity,
    water: MassDensity,
    viscosity: KinematicViscosity,
}

impl Argument for Grains {
    fn list(_: &'static str, inputs: &mut Vec<(&'static str, Kind)>) {
        Length::list("size", inputs);
        MassDensity::list("grain_density", inputs);
        MassDensity::list("water_density", inputs);
        KinematicViscosity::list("viscosity", inputs);
    }

    fn take(_: &'static str, inputs: &Inputs) -> Result<Self, Error> {
        Grains::new(
            inputs.get("size")?,
            inputs.get("grain_density")?,
            inputs.get("water_density")?,
            inputs.get("viscosity")?,
        )
    }

    fn tell(&self, _: &'static str, inputs: &mut Vec<(&'static str, Quantity)>) {
        self.size.tell("size", inputs);
        self.density.tell("grain_density", inputs);
        self.water.tell("water_density", inputs);
        self.viscosity.tell("viscosity", inputs);
    }
}

impl Grains {
    /// Grains in water.
    ///
    /// - `size`: by the sieve, 0.02 to 20 mm
    /// - `density`: of a grain, heavier than the water and up to 4000 kg/m³
    /// - `water`: density of the water, 950 to 1100 kg/m³
    /// - `viscosity`: its kinematic viscosity, 0.3 to 2 mm²/s
    ///
    /// # Errors
    /// [`Error::OutOfRange`].
    pub fn new(
        size: Length,
        density: MassDensity,
        water: MassDensity,
        viscosity: KinematicViscosity,
    ) -> Result<Self, Error> {
        let water = within(
            "the density of the water",
            water,
            MassDensity::from_si(950.0)..=MassDensity::from_si(1100.0),
        )?;
        let mm2_per_s = KinematicViscosity::from_si(0.3e-6)..=KinematicViscosity::from_si(2e-6);
        Ok(Grains {
            size: within("the size of the grains", size, Length::from_si(0.02e-3)..=Length::from_si(0.02))?,
            density: within(
                "the density of the grains",
                density,
                water + MassDensity::from_si(1.0)..=MassDensity::from_si(4000.0),
            )?,
            water,
            viscosity: within("the viscosity of the water", viscosity, mm2_per_s)?,
        })
    }

    /// Size by the sieve.
    pub fn size(&self) -> Length {
        self.size
    }

    /// Kinematic viscosity of the water.
    pub fn viscosity(&self) -> KinematicViscosity {
        self.viscosity
    }

    /// Weight under water, for each mass of water pushed aside: `g (s − 1)`, m/s².
    pub(crate) fn buoyant_gravity(&self) -> f64 {
        GRAVITY * ((self.density / self.water).si() - 1.0)
    }

    /// Dimensionless size `D* = d [g (s − 1) / ν²]^⅓`, with the density ratio `s` of grain and water.
    ///
    /// # Source
    /// Soulsby (1997), equation 75.
    #[formula("size × (9.81 × (grain density ÷ water density − 1) ÷ viscosity²)^(1 ÷ 3)")]
    pub fn dimensionless_size(&self) -> Ratio {
        let viscosity = self.viscosity.si();
        Ratio::from_si(self.size.si() * libm::cbrt(self.buoyant_gravity() / (viscosity * viscosity)))
    }

    /// Threshold Shields parameter `θ = 0.30 / (1 + 1.2 D*) + 0.055 [1 − exp(−0.020 D*)]`.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] below `D*` of 0.1, where the curve ends.
    ///
    /// # Source
    /// Soulsby (1997), equation 77.
    #[formula("fine ÷ (1 + slope × dimensionless size) + coarse × (1 − e^(−rise × dimensionless size))")]
    pub fn threshold(&self, rules: &SandRules) -> Result<Ratio, Error> {
        let size = self.dimensionless_size();
        let size =
            within("the dimensionless size of the grains", size, Ratio::from_si(0.1)..=Ratio::from_si(1e4))?
                .si();
        let [fine, slope, coarse, rise] = *rules.threshold;
        Ok(Ratio::from_si(fine / (1.0 + slope * size) + coarse * (1.0 - libm::exp(-rise * size))))
    }

    /// Stress on the bed that starts to move the grains: `τ = θ (ρₛ − ρ) g d`.
    ///
    /// # Errors
    /// As [`threshold`](Self::threshold).
    #[formula("threshold × (density of the grains − density of the water) × gravity × size")]
    pub fn threshold_stress(&self, rules: &SandRules) -> Result<Pressure, Error> {
        let buoyant = (self.density - self.water).si() * GRAVITY * self.size.si();
        Ok(Pressure::from_si(self.threshold(rules)?.si() * buoyant))
    }

    /// Speed near a bed of these grains, at the height of the rule, at which they start to move.
    ///
    /// # Errors
    /// As [`threshold`](Self::threshold) and [`speed_at_height`].
    #[formula("friction velocity ÷ von Kármán's constant × ln(height ÷ roughness)")]
    pub fn threshold_speed(&self, rules: &SandRules) -> Result<Velocity, Error> {
        self.threshold_speed_at(*rules.near_bed, rules)
    }

    /// Speed at a height above a bed of these grains at which they start to move, by the logarithmic profile.
    ///
    /// - `height`: above the bed, from 5 mm (and above the roughness) to 10 m
    ///
    /// # Errors
    /// As [`threshold`](Self::threshold) and [`speed_at_height`].
    pub fn threshold_speed_at(&self, height: Length, rules: &SandRules) -> Result<Velocity, Error> {
        speed_of_stress(self.threshold_stress(rules)?, self.water, self.size, self.viscosity, height, rules)
    }

    /// Mean speed over the depth of a wide current that starts to move the grains:
    /// `U = 7 (h / d)^(1/7) [g (s − 1) d θ]^½`.
    ///
    /// - `depth`: `h`, from 5 cm to 100 m
    ///
    /// # Errors
    /// As [`threshold`](Self::threshold), and [`Error::OutOfRange`] for a depth outside the range.
    ///
    /// # Source
    /// Soulsby (1997). His Example 6.1: grains of 0.2 mm under 5 m of seawater at 10 °C start to move at 0.39
    /// m/s.
    /// ```
    /// use reckoner_calc::{Rules, formulas::sand::Grains, quantity::{Dimension, parse}};
    /// let rules = Rules::compiled_in().map_err(|_| "rules")?.sand;
    /// let grains = Grains::new(parse("0.2 mm")?, parse("2650 kg/m3")?, parse("1027 kg/m3")?, parse("1.36 mm2/s")?)?;
    /// let speed = grains.threshold_current(parse("5 m")?, &rules)?;
    /// assert!((speed.si() - 0.39).abs() <= 0.005);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[formula("7 × (depth ÷ size)^(1 ÷ 7) × √(weight under water × size × threshold)")]
    pub fn threshold_current(&self, depth: Length, rules: &SandRules) -> Result<Velocity, Error> {
        let depth =
            within("the depth of the current", depth, Length::from_si(0.05)..=Length::from_si(100.0))?;
        let shear = (self.buoyant_gravity() * self.size.si() * self.threshold(rules)?.si()).sqrt();
        Ok(Velocity::from_si(7.0 * libm::pow((depth / self.size).si(), 1.0 / 7.0) * shear))
    }
}

/// The friction velocity that goes with a stress on the bed: `u* = (τ / ρ)^½`.
#[formula("√(stress ÷ water density)")]
pub fn friction_velocity(stress: Pressure, water_density: MassDensity) -> Velocity {
    Velocity::from_si((stress.si().max(0.0) / water_density.si()).sqrt())
}

/// Roughness length of a bed: `z₀ = d / 12 + ν / (9 u*)`.
///
/// The first part is that of the grains; the second that of smooth water, which counts where grains are fine,
/// and alone on bare glass (`grain` of nothing).
///
/// - `friction`: friction velocity `u*`, above nothing
///
/// # Source
/// Soulsby (1997), with 2.5 grain diameters for the height of the bumps.
#[formula("grain ÷ 12 + viscosity ÷ (9 × friction)")]
pub fn roughness(grain: Length, viscosity: KinematicViscosity, friction: Velocity) -> Length {
    grain / 12.0 + viscosity / friction / 9.0
}

/// The speed at a height above a bed: `u = (u* / κ) ln(z / z₀)`.
///
/// # Errors
/// [`Error::OutOfRange`] for a height below 5 mm, below three roughness lengths, or above 10 m.
///
/// # Source
/// The logarithmic profile, Soulsby (1997).
#[formula("friction ÷ von Kármán's constant × ln(height ÷ roughness)")]
pub fn speed_at_height(
    friction: Velocity,
    roughness: Length,
    height: Length,
    rules: &SandRules,
) -> Result<Velocity, Error> {
    let lowest = Length::from_si((3.0 * roughness.si()).max(5e-3));
    let height = within("the height above the bed", height, lowest..=Length::from_si(10.0))?;
    Ok(friction * (libm::log((height / roughness).si()) / rules.von_karman.si()))
}

/// The speed at a height above a bed that goes with a stress on it.
fn speed_of_stress(
    stress: Pressure,
    water_density: MassDensity,
    grain: Length,
    viscosity: KinematicViscosity,
    height: Length,
    rules: &SandRules,
) -> Result<Velocity, Error> {
    let friction = friction_velocity(stress, water_density);
    speed_at_height(friction, roughness(grain, viscosity, friction), height, rules)
}

/// The speed near a bed, at the height of the rule, that goes with a stress on it.
///
/// - `grain`: size of the bed's grains; nothing for a smooth floor
///
/// # Errors
/// As [`speed_at_height`].
#[formula("friction velocity ÷ von Kármán's constant × ln(height ÷ roughness)")]
pub fn near_bed_speed(
    stress: Pressure,
    water_density: MassDensity,
    grain: Length,
    viscosity: KinematicViscosity,
    rules: &SandRules,
) -> Result<Velocity, Error> {
    speed_of_stress(stress, water_density, grain, viscosity, *rules.near_bed, rules)
}

/// The mean speed over the depth of a wide current: `U = (u* / κ) (ln(h / z₀) − 1)`, the mean of the
/// logarithmic profile.
///
/// # Errors
/// As [`speed_at_height`].
pub fn depth_mean(
    friction: Velocity,
    roughness: Length,
    depth: Length,
    rules: &SandRules,
) -> Result<Velocity, Error> {
    Ok(speed_at_height(friction, roughness, depth, rules)? - friction / rules.von_karman.si())
}

/// How far beside its middle a stream is anywhere still as fast as a given speed, on a way of given length:
/// the greatest `w (ln(u / speed) / ln 2)^½` along the way, with the stream's own half-width `w` and middle
/// speed `u`.
///
/// Nothing where the stream never reaches that speed. The bell of [`Stream::speed_off_axis`] is behind this.
/// The place asked for lies well inside the bell: a round stream is widest at a speed where its middle makes
/// `√e` times that speed, and a sheet where its middle makes between `√√e` and `√e` times of it. So only the
/// way between those two places is searched.
///
/// # Errors
/// As [`Stream::speed_at`], and [`Error::OutOfRange`] for a speed that is not at least 1 mm/s.
pub fn clearance(stream: &Stream, speed: Velocity, way: Length) -> Result<Length, Error> {
    let speed = within("the speed to stay below", speed, Velocity::from_si(1e-3)..=Velocity::from_si(20.0))?;
    let at_the_glass = (stream.speed_at(way)? / speed).si();
    let beside = |distance: Length| {
        let times = (stream.speed_at(distance)? / speed).si();
        let widths = if times > 1.0 { libm::log2(times).sqrt() } else { 0.0 };
        Ok::<_, Error>((stream.half_width(distance)? * widths).si())
    };
    // Where the middle is so many times as fast: the outlet where it never is, the glass where it still is.
    let place = |times: f64| match speed * times {
        wanted if wanted > stream.exit_speed() => Ok(0.0),
        _ if times <= at_the_glass => Ok(way.si()),
        wanted => Ok::<_, Error>(stream.reach(wanted)?.si()),
    };
    let (mut near, mut far) = (place(libm::exp(0.5))?, place(libm::exp(0.25))?);
    let mut widest = beside(Length::from_si(near))?.max(beside(Length::from_si(far))?);
    // The golden section leaves a part of the way each time: 40 of them leave less than a hundred millionth.
    let golden = (5.0_f64.sqrt() - 1.0) / 2.0;
    for _ in 0..40 {
        let (left, right) = (far - golden * (far - near), near + golden * (far - near));
        let (at_left, at_right) = (beside(Length::from_si(left))?, beside(Length::from_si(right))?);
        widest = widest.max(at_left).max(at_right);
        if at_left > at_right {
            far = right;
        } else {
            near = left;
        }
    }
    Ok(Length::from_si(widest))
}

/// The lowest safe height of a pump's outlet above the sand, when it blows level along the tank: the stream
/// stays below the speed to keep below everywhere on its way, even where the water beside its middle is so
/// many times as fast as reckoned.
///
/// The clearance is counted from [`SandRules::near_bed`] up, where the speed to keep below is told. For the
/// slot of a cross-flow pump that stands upright, count from the slot's lower end.
///
/// - `edge`: how many times as fast as reckoned the water beside the middle can be, 1 to 10
///
/// # Errors
/// As [`clearance`] and [`keep_below`], and [`Error::OutOfRange`] for an edge outside its range.
pub fn lowest_safe_height(
    stream: &Stream,
    edge: Ratio,
    grains: &Grains,
    way: Length,
    rules: &SandRules,
) -> Result<Length, Error> {
    lowest_height(stream, edge, keep_below(grains, rules)?, way, rules)
}

/// The same for a speed to keep below that is known.
///
/// # Errors
/// As [`clearance`], and [`Error::OutOfRange`] for an edge outside its range.
#[formula(words "height near the bed + how far beside its middle the stream is too fast")]
pub fn lowest_height(
    stream: &Stream,
    edge: Ratio,
    keep_below: Velocity,
    way: Length,
    rules: &SandRules,
) -> Result<Length, Error> {
    let edges = Ratio::from_si(1.0)..=Ratio::from_si(10.0);
    let edge = within("how many times as fast the water can be", edge, edges)?;
    Ok(*rules.near_bed + clearance(stream, keep_below / edge, way)?)
}

/// The speed near the bed to keep below: the low end of the rule's band about the threshold.
///
/// # Errors
/// As [`Grains::threshold_speed`].
pub fn keep_below(grains: &Grains, rules: &SandRules) -> Result<Velocity, Error> {
    Ok(low_end(grains.threshold_speed(rules)?, rules.band.low))
}

/// The low end of the band about a speed that lifts sand.
#[formula("speed × low end of the band")]
pub fn low_end(speed: Velocity, low_end_of_the_band: Share) -> Velocity {
    speed * low_end_of_the_band.0
}

#[cfg(test)]
mod tests;
