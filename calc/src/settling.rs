//! Settling: how fast sand, food and waste sink through still water, what keeps them moving, and what lifts waste off the floor.
//!
//! Taken for granted throughout: single grains in still, clear water, far from the glass; a steady current over a flat floor. A slimy
//! film, or waste that has lain for days, needs more than the stress given here; a fish's fin needs no current at all.

use uom::si::f64::{KinematicViscosity, Length, MassDensity, Pressure, Ratio, Velocity};

use crate::error::{Error, within};
use crate::quantity::{Dimension, System};
use crate::rules::sand::{Grade, SandRules};
use crate::rules::settling::{Floor, SettlingRules, Shape};
use crate::rules::{Band, Rules};
use crate::sand::{Grains, friction_velocity, roughness, speed_at_height};
use crate::sheet::{Cell, Figure, Item, Op, Row, Sheet, Sum, Table, Working};
use crate::tank::Tank;

/// Settling speed of natural sand: `w = (ν / d) [(10.36² + 1.049 D*³)^½ − 10.36]`.
///
/// # Range
/// That of [`Grains::new`]. Against Ferguson and Church it is within 15 % from 0.05 to 10 mm.
///
/// # Source
/// Soulsby (1997), equation 102. A technical note checked against a manual that names it prints 0.1173 m/s for 1 mm:
/// ```
/// use reckoner_calc::{Rules, quantity::{Dimension, parse}, sand::Grains, settling};
/// let rules = Rules::compiled_in().map_err(|_| "rules")?.settling;
/// let grains = Grains::new(parse("1 mm")?, parse("2650 kg/m3")?, parse("1025 kg/m3")?, parse("1.05 mm2/s")?)?;
/// assert!((settling::soulsby(&grains, &rules).si() - 0.1173).abs() <= 0.00005);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn soulsby(grains: &Grains, rules: &SettlingRules) -> Velocity {
    let [drag, weight] = *rules.soulsby;
    let size = grains.dimensionless_size().si();
    let times = (drag * drag + weight * size * size * size).sqrt() - drag;
    grains.viscosity() / grains.size() * times
}

/// Settling speed of grains of a shape: `w = R g d² / (C1 ν + (0.75 C2 R g d³)^½)`, with the weight under water `R g`.
///
/// Fine grains sink as Stokes has it, `R g d² / (C1 ν)`; coarse ones with a constant drag.
///
/// # Range
/// That of [`Grains::new`]. For smooth balls of 0.2 mm to 2 mm it is up to 24 % too fast against a full drag law.
///
/// # Source
/// Ferguson & Church (2004).
pub fn ferguson_church(grains: &Grains, shape: Shape, rules: &SettlingRules) -> Velocity {
    let [slow, fast] = rules.shape(shape);
    let (size, weight) = (grains.size().si(), grains.buoyant_gravity());
    let drag = slow * grains.viscosity().si() + (0.75 * fast * weight * size * size * size).sqrt();
    Velocity::from_si(weight * size * size / drag)
}

/// Rouse number `w / (κ u*)`: how much sinking there is for each stirring. Below about 2.5 particles stay in the water.
///
/// # Errors
/// [`Error::OutOfRange`] for a friction velocity outside 0.1 mm/s to 1 m/s.
///
/// # Source
/// From memory.
pub fn rouse_number(settling: Velocity, friction: Velocity, sand: &SandRules) -> Result<Ratio, Error> {
    let friction = within("the friction velocity", friction, Velocity::from_si(1e-4)..=Velocity::from_si(1.0))?;
    Ok(settling / friction / sand.von_karman.si())
}

/// The friction velocity at which a current just carries particles along: `u* = w / (2.5 κ)`, the inverse of [`rouse_number`].
///
/// # Errors
/// [`Error::OutOfRange`] for a settling speed outside 0.1 mm/s to 1 m/s.
pub fn carrying_friction(settling: Velocity, rules: &SettlingRules, sand: &SandRules) -> Result<Velocity, Error> {
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
pub fn lifting_speed(
    stress: Pressure,
    grain: Length,
    water: MassDensity,
    viscosity: KinematicViscosity,
    sand: &SandRules,
) -> Result<Velocity, Error> {
    let stress = within("the stress on the floor", stress, Pressure::from_si(1e-3)..=Pressure::from_si(10.0))?;
    let friction = friction_velocity(stress, water);
    speed_at_height(friction, roughness(grain, viscosity, friction), *sand.near_bed, sand)
}

/// Adds the figures of this topic: `settling.…`, the depth of the water, and the tables.
pub(crate) fn figures(
    sheet: &mut Sheet,
    rules: &Rules,
    tank: &Tank,
    water: MassDensity,
    viscosity: KinematicViscosity,
) -> Result<(), Error> {
    let fall = tank.water_depth();
    let table = sinking_table(rules, fall, |size| Grains::new(size, *rules.volume.mineral_density, water, viscosity))?;
    sheet.put(
        Figure::new("tank.depth", "Depth of the water: from its surface to the floor or the sand", fall)
            .from("water height − depth of the sand", &["tank.water_height"]),
    );
    for (key, name, speeds) in [("waste", "fish waste", *rules.settling.waste), ("pellets", "food pellets", *rules.settling.pellets)] {
        let time = Band { low: fall / speeds.high, high: fall / speeds.low };
        sheet.put(
            Figure::new(format!("settling.{key}.time"), format!("Time for {name} to sink to the floor in still water"), time)
                .from("depth ÷ settling speed", &["tank.depth", &format!("rule.settling.{key}")])
                .rule(&format!("settling.{key}")),
        );
    }
    let carries = |settling: Velocity| {
        let friction = carrying_friction(settling, &rules.settling, &rules.sand)?;
        let smooth = roughness(Length::default(), viscosity, friction);
        speed_at_height(friction, smooth, *rules.sand.near_bed, &rules.sand)
    };
    let waste = *rules.settling.waste;
    sheet.put(
        Figure::new(
            "settling.waste.carry",
            "Speed near a smooth floor that carries fish waste along in the water",
            Band { low: carries(waste.low)?, high: carries(waste.high)? },
        )
        .from("friction velocity ÷ von Kármán's constant × ln(height ÷ roughness)", &["rule.settling.waste", "rule.sand.near_bed"])
        .rule("settling.waste")
        .rule("settling.suspension")
        .rule("sand.von_karman"),
    );
    let grain = tank.sand.map_or(rules.sand.grade(Grade::Fine).low, |sand| sand.grain);
    let lift = lifting_table(rules, grain, water, viscosity)?;
    sheet.workings.insert("sinking_time", sinking_working(fall, rules.settling.waste.low));
    let slowest = Figure::new(
        "settling.waste.longest",
        "Longest time for fish waste to sink to the floor in still water",
        fall / rules.settling.waste.low,
    );
    sheet.put(slowest.from("depth ÷ settling speed", &["tank.depth"]).rule("settling.waste").never_below());
    sheet.put_table(table);
    sheet.put_table(lift);
    Ok(())
}

fn sinking_working(fall: Length, slowest: Velocity) -> Working {
    let terms = vec![(Op::First, Item::of(fall, System::Metric)), (Op::Over, Item::of(slowest, System::Metric))];
    Working {
        id: "sinking_time",
        title: "How long the pumps have to catch a crumb of waste",
        given: ["tank.depth", "rule.settling.waste"].map(str::to_owned).into(),
        formula: "depth ÷ slowest settling speed",
        sums: vec![Sum::work(System::Metric, terms, "s")],
        answer: "settling.waste.longest",
        tell: "Stop the pumps for feeding and watch: most of what sinks has reached the floor by then.",
    }
}

/// Sand of each grade, pellets, waste → settling speed and time to sink.
fn sinking_table(rules: &Rules, fall: Length, grains: impl Fn(Length) -> Result<Grains, Error>) -> Result<Table, Error> {
    let mut kinds = Vec::new();
    for grade in Grade::ALL {
        let sizes = rules.sand.grade(grade);
        let speed = |size| Ok::<_, Error>(ferguson_church(&grains(size)?, Shape::Sieved, &rules.settling));
        let speeds = Band { low: speed(sizes.low)?, high: speed(sizes.high)? };
        kinds.push((grade.key(), grade.words(), speeds, "settling.sieved_grains".to_owned()));
    }
    kinds.push(("pellets", "pelleted food", *rules.settling.pellets, "settling.pellets".to_owned()));
    kinds.push(("waste", "fish waste", *rules.settling.waste, "settling.waste".to_owned()));
    let row = |(key, words, speeds, rule): (&str, &str, Band<Velocity>, String)| {
        let id = format!("settling_speeds.{key}");
        let time = Band { low: fall / speeds.high, high: fall / speeds.low };
        let cells = vec![
            Cell::Figure(Figure::new(id.clone(), format!("Settling speed of {words}"), speeds).rule(&rule)),
            Cell::Figure(
                Figure::new(format!("{id}.time"), format!("Time for {words} to sink to the floor"), time)
                    .from("depth ÷ settling speed", &["tank.depth", id.as_str()])
                    .rule(&rule),
            ),
        ];
        Row { head: Cell::Words(words.to_owned()), cells }
    };
    Ok(Table {
        id: "settling_speeds",
        caption: "How fast things sink in still water, and how long they take in this tank".to_owned(),
        heads: ["What sinks", "Settling speed", "Time to the floor"].map(str::to_owned).into(),
        rows: kinds.into_iter().map(row).collect(),
        origin: crate::sheet::Origin::default(),
    })
}

/// Floor → stress and speed near the floor that pick fish waste up.
fn lifting_table(rules: &Rules, grain: Length, water: MassDensity, viscosity: KinematicViscosity) -> Result<Table, Error> {
    let row = |floor: Floor| {
        let (rule, id) = (format!("settling.{}", floor.key()), format!("settling_lifts.{}", floor.key()));
        let grain = match floor {
            Floor::Smooth => Length::default(),
            Floor::Sand => grain,
            Floor::Rubble => *rules.settling.rubble,
        };
        let stress = rules.settling.lifts_waste(floor);
        let speed = lifting_speed(stress, grain, water, viscosity, &rules.sand)?;
        let cells = vec![
            Cell::Figure(Figure::new(id.clone(), format!("Stress that picks waste up from {}", floor.words()), stress).rule(&rule)),
            Cell::Figure(
                Figure::new(format!("{id}.speed"), format!("Speed near {} that picks waste up", floor.words()), speed)
                    .from("friction velocity ÷ von Kármán's constant × ln(height ÷ roughness)", &[id.as_str(), "rule.sand.near_bed"])
                    .rule(&rule)
                    .rule("sand.von_karman"),
            ),
        ];
        Ok::<_, Error>(Row { head: Cell::Words(floor.words().to_owned()), cells })
    };
    Ok(Table {
        id: "settling_lifts",
        caption: "What picks fish waste up again".to_owned(),
        heads: ["Floor", "Stress on the floor", "Speed near the floor"].map(str::to_owned).into(),
        rows: Floor::ALL.into_iter().map(row).collect::<Result<_, _>>()?,
        origin: crate::sheet::Origin::default(),
    })
}

#[cfg(test)]
mod tests;
