//! Sand: which grains a stream lifts, and how high a pump must hang so that it lifts none.
//!
//! A grain starts to roll when the stress of the water on the bed passes a threshold (Shields; the curve is Soulsby's). The stress
//! follows from the speed a little above the bed through the logarithmic profile of a steady flow over a flat bed.
//!
//! Taken for granted throughout:
//!
//! - Loose, clean, solid grains of one size. Reef sand is broken shell and coral: at like size, shape and density it starts to move like
//!   quartz (Prager et al. 1996), but porous grains are lighter than their mineral and platy ones move earlier.
//! - The curve tells when many grains move. Single ones go before: rule `sand.band` reaches down to them.
//! - Away from the edges of the tank: a stream that meets a pane turns down and digs where the model sees none.

use uom::si::f64::{KinematicViscosity, Length, MassDensity, Pressure, Ratio, Velocity};

use crate::decide::stream::run;
use crate::error::{Error, within};
use crate::formulas::stream::{Laws, Stream};
use crate::quantity::{Dimension, Rounding, Share, System};
use crate::rules::sand::{Grade, SandRules};
use crate::rules::{Band, Rules};
use crate::sheet::{Cell, Figure, Item, Level, Op, Row, Sheet, Sum, Table, Working};
use crate::tank::Tank;

/// The acceleration of gravity with which Soulsby's book and the tables checked against it work, m/s². Standard gravity is 0.03 % less.
const GRAVITY: f64 = 9.81;

/// Loose grains of one size under water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grains {
    size: Length,
    density: MassDensity,
    water: MassDensity,
    viscosity: KinematicViscosity,
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
    pub fn new(size: Length, density: MassDensity, water: MassDensity, viscosity: KinematicViscosity) -> Result<Self, Error> {
        let water = within("the density of the water", water, MassDensity::from_si(950.0)..=MassDensity::from_si(1100.0))?;
        let mm2_per_s = KinematicViscosity::from_si(0.3e-6)..=KinematicViscosity::from_si(2e-6);
        Ok(Grains {
            size: within("the size of the grains", size, Length::from_si(0.02e-3)..=Length::from_si(0.02))?,
            density: within("the density of the grains", density, water + MassDensity::from_si(1.0)..=MassDensity::from_si(4000.0))?,
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
    pub fn threshold(&self, rules: &SandRules) -> Result<Ratio, Error> {
        let size = self.dimensionless_size();
        let size = within("the dimensionless size of the grains", size, Ratio::from_si(0.1)..=Ratio::from_si(1e4))?.si();
        let [fine, slope, coarse, rise] = *rules.threshold;
        Ok(Ratio::from_si(fine / (1.0 + slope * size) + coarse * (1.0 - libm::exp(-rise * size))))
    }

    /// Stress on the bed that starts to move the grains: `τ = θ (ρₛ − ρ) g d`.
    ///
    /// # Errors
    /// As [`threshold`](Self::threshold).
    pub fn threshold_stress(&self, rules: &SandRules) -> Result<Pressure, Error> {
        let buoyant = (self.density - self.water).si() * GRAVITY * self.size.si();
        Ok(Pressure::from_si(self.threshold(rules)?.si() * buoyant))
    }

    /// Speed at a height above a bed of these grains at which they start to move, by the logarithmic profile.
    ///
    /// - `height`: above the bed, from 5 mm (and above the roughness) to 10 m
    ///
    /// # Errors
    /// As [`threshold`](Self::threshold) and [`speed_at_height`].
    pub fn threshold_speed(&self, height: Length, rules: &SandRules) -> Result<Velocity, Error> {
        let friction = friction_velocity(self.threshold_stress(rules)?, self.water);
        speed_at_height(friction, roughness(self.size, self.viscosity, friction), height, rules)
    }

    /// Mean speed over the depth of a wide current that starts to move the grains: `U = 7 (h / d)^(1/7) [g (s − 1) d θ]^½`.
    ///
    /// - `depth`: `h`, from 5 cm to 100 m
    ///
    /// # Errors
    /// As [`threshold`](Self::threshold), and [`Error::OutOfRange`] for a depth outside the range.
    ///
    /// # Source
    /// Soulsby (1997). His Example 6.1: grains of 0.2 mm under 5 m of seawater at 10 °C start to move at 0.39 m/s.
    /// ```
    /// use reckoner_calc::{Rules, quantity::{Dimension, parse}, sand::Grains};
    /// let rules = Rules::compiled_in().map_err(|_| "rules")?.sand;
    /// let grains = Grains::new(parse("0.2 mm")?, parse("2650 kg/m3")?, parse("1027 kg/m3")?, parse("1.36 mm2/s")?)?;
    /// let speed = grains.threshold_current(parse("5 m")?, &rules)?;
    /// assert!((speed.si() - 0.39).abs() <= 0.005);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn threshold_current(&self, depth: Length, rules: &SandRules) -> Result<Velocity, Error> {
        let depth = within("the depth of the current", depth, Length::from_si(0.05)..=Length::from_si(100.0))?;
        let shear = (self.buoyant_gravity() * self.size.si() * self.threshold(rules)?.si()).sqrt();
        Ok(Velocity::from_si(7.0 * libm::pow((depth / self.size).si(), 1.0 / 7.0) * shear))
    }
}

/// The friction velocity that goes with a stress on the bed: `u* = (τ / ρ)^½`.
pub fn friction_velocity(stress: Pressure, water: MassDensity) -> Velocity {
    Velocity::from_si((stress.si().max(0.0) / water.si()).sqrt())
}

/// Roughness length of a bed: `z₀ = d / 12 + ν / (9 u*)`.
///
/// The first part is that of the grains; the second that of smooth water, which counts where grains are fine, and alone on bare glass
/// (`grain` of nothing).
///
/// - `friction`: friction velocity `u*`, above nothing
///
/// # Source
/// Soulsby (1997), with 2.5 grain diameters for the height of the bumps.
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
pub fn speed_at_height(friction: Velocity, roughness: Length, height: Length, rules: &SandRules) -> Result<Velocity, Error> {
    let lowest = Length::from_si((3.0 * roughness.si()).max(5e-3));
    let height = within("the height above the bed", height, lowest..=Length::from_si(10.0))?;
    Ok(friction * (libm::log((height / roughness).si()) / rules.von_karman.si()))
}

/// The mean speed over the depth of a wide current: `U = (u* / κ) (ln(h / z₀) − 1)`, the mean of the logarithmic profile.
///
/// # Errors
/// As [`speed_at_height`].
pub fn depth_mean(friction: Velocity, roughness: Length, depth: Length, rules: &SandRules) -> Result<Velocity, Error> {
    Ok(speed_at_height(friction, roughness, depth, rules)? - friction / rules.von_karman.si())
}

/// How far beside its middle a stream is anywhere still as fast as a given speed, on a way of given length: the greatest
/// `w (ln(u / speed) / ln 2)^½` along the way, with the stream's own half-width `w` and middle speed `u`.
///
/// Nothing where the stream never reaches that speed. The bell of [`Stream::speed_off_axis`] is behind this. The place asked for lies
/// well inside the bell: a round stream is widest at a speed where its middle makes `√e` times that speed, and a sheet where its middle
/// makes between `√√e` and `√e` times of it. So only the way between those two places is searched.
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

/// The lowest safe height of a pump's outlet above the sand, when it blows level along the tank: the stream stays below the speed to
/// keep below everywhere on its way, even where the water beside its middle is so many times as fast as reckoned.
///
/// The clearance is counted from [`SandRules::near_bed`] up, where the speed to keep below is told. For the slot of a cross-flow pump
/// that stands upright, count from the slot's lower end.
///
/// - `edge`: how many times as fast as reckoned the water beside the middle can be, 1 to 10
///
/// # Errors
/// As [`clearance`] and [`keep_below`], and [`Error::OutOfRange`] for an edge outside its range.
pub fn lowest_safe_height(stream: &Stream, edge: Ratio, grains: &Grains, way: Length, rules: &SandRules) -> Result<Length, Error> {
    let edge = within("how many times as fast the water can be", edge, Ratio::from_si(1.0)..=Ratio::from_si(10.0))?;
    let reckoned = keep_below(grains, rules)? / edge.si();
    Ok(*rules.near_bed + clearance(stream, reckoned, way)?)
}

/// The speed near the bed to keep below: the low end of the rule's band about the threshold.
///
/// # Errors
/// As [`Grains::threshold_speed`].
pub fn keep_below(grains: &Grains, rules: &SandRules) -> Result<Velocity, Error> {
    Ok(grains.threshold_speed(*rules.near_bed, rules)? * rules.band.low.0)
}

/// Why a tank lacks what rests on its sand.
pub(crate) fn bare_floor(tank: &Tank) -> String {
    format!(
        "{} has a bare floor: its file names no sand. Write a table [sand] into it, with depth and grain, to have the sand reckoned.",
        tank.name
    )
}

/// Adds the figures of this topic: `sand.…` where the tank has sand, else why not, and the tables of the grades.
pub(crate) fn figures(
    sheet: &mut Sheet,
    rules: &Rules,
    tank: &Tank,
    water: MassDensity,
    viscosity: KinematicViscosity,
) -> Result<(), Error> {
    let mineral = *rules.volume.mineral_density;
    let grains = |size: Length| Grains::new(size, mineral, water, viscosity);
    let way = run(tank);
    let (outlet, flow) = crate::formulas::stream::example_round(&rules.stream);
    let full = Stream::new(outlet, flow, Laws::of(&rules.stream))?;
    sheet.put_table(lifts_table(grains, &rules.sand)?);
    sheet.put_table(heights_table(grains, &full, *rules.stream.edge, way, &rules.sand)?);

    let Some(bed) = tank.sand else {
        let why = bare_floor(tank);
        for part in ["sand", "sand_keep_below"] {
            sheet.lack(part, &*why);
        }
        return Ok(());
    };
    let (edge, rules) = (*rules.stream.edge, &rules.sand);
    let grains = grains(bed.grain)?;
    let grade = rules.grade_of(bed.grain).map_or("a size outside the grades", Grade::words);
    sheet.put(Figure::new("sand.depth", "Depth of the sand", bed.depth));
    sheet.put(Figure::new("sand.grain", "Size of the sand's grains", bed.grain));
    sheet.put(Figure::new("sand.grade", "What such sand is sold as", grade));
    sheet.put(
        Figure::new("sand.stress", "Stress on the bed that starts to move the sand", grains.threshold_stress(rules)?)
            .from(
                "threshold × (density of the grains − density of the water) × gravity × size",
                &["sand.grain", "seawater.density", "seawater.viscosity"],
            )
            .rule("sand.threshold")
            .rule("volume.mineral_density"),
    );
    let lifts = grains.threshold_speed(*rules.near_bed, rules)?;
    sheet.put(
        Figure::new("sand.lifts", "Speed near the bed that lifts the sand", lifts)
            .from("friction velocity ÷ von Kármán's constant × ln(height ÷ roughness)", &["sand.stress", "rule.sand.near_bed"])
            .rule("sand.von_karman")
            .rule("sand.near_bed")
            .never_above(),
    );
    let range = Band { low: lifts * rules.band.low.0, high: lifts * rules.band.high.0 };
    sheet.put(
        Figure::new("sand.lifts_range", "Speed near the bed at which the sand may start to move", range)
            .from("speed × band", &["sand.lifts"])
            .rule("sand.band"),
    );
    sheet.put(
        Figure::new("sand.keep_below", "Speed near the bed to keep below", keep_below(&grains, rules)?)
            .from("speed × low end of the band", &["sand.lifts"])
            .rule("sand.band")
            .never_above(),
    );
    sheet.put(
        Figure::new(
            "sand.lowest_height",
            "Lowest safe height above the sand for the example propeller pump",
            lowest_safe_height(&full, edge, &grains, way, rules)?,
        )
        .from(
            "height near the bed + how far beside its middle the stream is too fast",
            &["sand.keep_below", "stream.round.exit", "stream.run"],
        )
        .rule("sand.near_bed")
        .rule("stream.round_decay")
        .rule("stream.origin")
        .rule("stream.edge")
        .never_below(),
    );
    if let Some(chart) = sheet.charts.get_mut("stream_speed") {
        chart.levels.push(Level { name: "Above this, the sand may move".to_owned(), at: keep_below(&grains, rules)?.into() });
    }
    sheet.workings.insert("sand_keep_below", keep_below_working(lifts, rules.band.low));
    Ok(())
}

fn keep_below_working(lifts: Velocity, low: Share) -> Working {
    let sum = |system, unit| {
        let share = Item::part(low, system);
        Sum::work(system, vec![(Op::First, Item::rounded(lifts, system, Rounding::Down)), (Op::Times, share)], unit)
    };
    Working {
        id: "sand_keep_below",
        title: "How fast the water near the sand may be",
        given: ["sand.lifts", "rule.sand.band"].map(str::to_owned).into(),
        formula: "speed that lifts the sand × low end of the band",
        sums: vec![sum(System::Metric, "cm/s"), sum(System::Us, "in/s")],
        answer: "sand.keep_below",
        tell: "Look at the sand in front of a new pump every day for a week. Ripples or a bare patch mean that it is too fast.",
    }
}

/// Grade → size, speed that lifts it, speed to keep below.
fn lifts_table(grains: impl Fn(Length) -> Result<Grains, Error>, rules: &SandRules) -> Result<Table, Error> {
    let row = |grade: Grade| {
        let (id, rule) = (format!("sand_lifts.{}", grade.key()), format!("sand.{}", grade.key()));
        let sizes = rules.grade(grade);
        let (finest, coarsest) = (grains(sizes.low)?, grains(sizes.high)?);
        let speed = |grains: &Grains| grains.threshold_speed(*rules.near_bed, rules);
        let lifts = Band { low: speed(&finest)?, high: speed(&coarsest)? };
        let formula = "friction velocity ÷ von Kármán's constant × ln(height ÷ roughness)";
        let cells = vec![
            Figure::new(format!("{id}.size"), "Size of the grains", sizes).rule(&rule),
            Figure::new(format!("{id}.speed"), format!("Speed near the bed that lifts {}", grade.words()), lifts)
                .from(formula, &[format!("{id}.size").as_str(), "rule.sand.near_bed"])
                .rule("sand.threshold")
                .rule("sand.von_karman"),
            Figure::new(
                format!("{id}.keep_below"),
                format!("Speed near the bed to keep below over {}", grade.words()),
                keep_below(&finest, rules)?,
            )
            .from("lowest speed × low end of the band", &[format!("{id}.speed").as_str()])
            .rule("sand.band")
            .never_above(),
        ];
        Ok::<_, Error>(Row { head: Cell::Words(grade.words().to_owned()), cells: cells.into_iter().map(Cell::Figure).collect() })
    };
    Ok(Table {
        id: "sand_lifts",
        caption: "How fast the water near the bed must be to lift sand".to_owned(),
        heads: ["Sand", "Size of the grains", "Speed that lifts it", "Keep below"].map(str::to_owned).into(),
        rows: Grade::ALL.into_iter().map(row).collect::<Result<_, _>>()?,
        origin: crate::sheet::Origin::default(),
    })
}

/// Setting of the example propeller pump → lowest safe height above each grade, by its finest grains.
fn heights_table(
    grains: impl Fn(Length) -> Result<Grains, Error>,
    full: &Stream,
    edge: Ratio,
    way: Length,
    rules: &SandRules,
) -> Result<Table, Error> {
    let row = |setting: Share| {
        let stream = full.at_setting(setting)?;
        let id = format!("sand_heights.{:.0}", setting.0 * 100.0);
        let mut cells = vec![Cell::Figure(
            Figure::new(format!("{id}.exit"), "Speed at the outlet", stream.exit_speed())
                .from("exit speed × setting", &["stream.round.exit", &id]),
        )];
        for grade in Grade::ALL {
            let height = lowest_safe_height(&stream, edge, &grains(rules.grade(grade).low)?, way, rules)?;
            cells.push(Cell::Figure(
                Figure::new(format!("{id}.{}", grade.key()), format!("Lowest safe height above {}", grade.words()), height)
                    .from(
                        "height near the bed + how far beside its middle the stream is too fast",
                        &[format!("{id}.exit").as_str(), "stream.run"],
                    )
                    .rule(&format!("sand.{}", grade.key()))
                    .rule("sand.band")
                    .rule("stream.edge")
                    .never_below(),
            ));
        }
        Ok::<_, Error>(Row { head: Cell::Figure(Figure::new(id.clone(), "Setting of the example propeller pump", setting)), cells })
    };
    let mut heads = vec!["Setting".to_owned(), "Speed at the outlet".to_owned()];
    heads.extend(Grade::ALL.map(|grade| match grade {
        // No height is sure over grains that a gust, a turn at the glass or a fish's tail lifts.
        Grade::SugarFine => format!("Above {}, with care", grade.words()),
        _ => format!("Above {}", grade.words()),
    }));
    Ok(Table {
        id: "sand_heights",
        caption: "Lowest safe height of the example propeller pump above the sand, blowing along the tank".to_owned(),
        heads,
        rows: [0.25, 0.5, 0.75, 1.0].map(Share).into_iter().map(row).collect::<Result<_, _>>()?,
        origin: crate::sheet::Origin::default(),
    })
}

#[cfg(test)]
mod tests;
