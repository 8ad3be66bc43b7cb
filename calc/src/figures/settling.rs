//! How fast things sink, what keeps them moving, and what lifts waste off the floor, on the sheet.

use uom::si::f64::{KinematicViscosity, Length, MassDensity, Time, Velocity};

use super::ids::sand::{DEPTH, GRAIN};
use super::ids::seawater::{DENSITY, VISCOSITY};
use super::ids::settling as id;
use super::ids::volume::WATER_HEIGHT;
use crate::error::Error;
use crate::formulas::sand::Grains;
use crate::formulas::settling::{carrying_speed, depth, lifting_speed, sieved_grains, time_to_sink};
use crate::quantity::System;
use crate::rules::sand::Grade;
use crate::rules::settling::Floor;
use crate::rules::{Band, Rules};
use crate::sheet::{Cell, Item, Op, Row, Sheet, Sum, Table, Working, figure, try_figure};
use crate::trace::Traced;

/// The water that things sink through.
struct Water {
    depth: Traced<Length>,
    density: Traced<MassDensity>,
    viscosity: Traced<KinematicViscosity>,
}

/// Adds the figures of this topic: `settling.…`, the depth of the water, and the tables.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules) -> Result<(), Error> {
    let (height, sand, grain) = (sheet.get(WATER_HEIGHT)?, sheet.maybe(DEPTH), sheet.maybe(GRAIN));
    let fall = sheet
        .put(figure(id::TANK_DEPTH, || depth(*height, sand.map_or_else(Length::default, |depth| *depth))));
    let water = Water { depth: fall, density: sheet.get(DENSITY)?, viscosity: sheet.get(VISCOSITY)? };
    let (waste, pellets) = (&rules.settling.waste, &rules.settling.pellets);
    for (id, speeds) in [(id::WASTE_TIME, waste), (id::PELLETS_TIME, pellets)] {
        sheet.put(figure(id, || times_to_sink(*water.depth, **speeds)));
    }
    sheet.put(try_figure(id::WASTE_CARRY, || {
        let carries = |speed| carrying_speed(speed, *water.viscosity, &rules.settling, &rules.sand);
        Ok(Band { low: carries(waste.low)?, high: carries(waste.high)? })
    })?);
    let longest = figure(id::WASTE_LONGEST, || time_to_sink(*water.depth, waste.low));
    sheet.put(longest.never_below());
    sheet.tabulate(|| sinking_table(rules, &water))?;
    sheet.tabulate(|| lifting_table(rules, &water, grain))?;
    sheet.work(|| sinking_working(*water.depth, waste.low));
    Ok(())
}

/// How long things of these speeds take to sink, from the fastest to the slowest.
fn times_to_sink(depth: Length, speeds: Band<Velocity>) -> Band<Time> {
    Band { low: time_to_sink(depth, speeds.high), high: time_to_sink(depth, speeds.low) }
}

fn sinking_working(fall: Length, slowest: Velocity) -> Working {
    let terms =
        vec![(Op::First, Item::of(fall, System::Metric)), (Op::Over, Item::of(slowest, System::Metric))];
    Working::new(
        "sinking_time",
        "depth ÷ slowest settling speed",
        vec![Sum::work(System::Metric, terms, "s")],
        id::WASTE_LONGEST.name(),
    )
}

/// Sand of each grade, pellets, waste → settling speed and time to sink.
fn sinking_table(rules: &Rules, water: &Water) -> Result<Table, Error> {
    let words = &rules.words.settling;
    let sand = |grade: Grade| {
        let sizes = rules.sand.grade(grade);
        let speed = |size| {
            let grains = Grains::new(size, *rules.volume.mineral_density, *water.density, *water.viscosity)?;
            Ok(sieved_grains(grains, &rules.settling))
        };
        Ok(Band { low: speed(sizes.low)?, high: speed(sizes.high)? })
    };
    let row = |key: &str, sinks: &str, speeds: &dyn Fn() -> Result<Band<Velocity>, Error>| {
        let id = format!("settling_speeds.{key}");
        let speeds = try_figure(id.clone(), speeds)?.titled(words.settling_speed_of(sinks));
        let speed = speeds.value();
        let time = figure(format!("{id}.time"), || times_to_sink(*water.depth, *speed));
        let time = time.titled(words.time_for(sinks));
        Ok(Row { head: Cell::Words(sinks.to_owned()), cells: vec![speeds.into(), time.into()] })
    };
    let named = |grade: Grade| grade.words(&rules.words.sand);
    let grades = Grade::ALL.into_iter().map(|grade| row(grade.key(), named(grade), &|| sand(grade)));
    let mut rows = grades.collect::<Result<Vec<_>, Error>>()?;
    rows.push(row("pellets", words.pellets(), &|| Ok(*rules.settling.pellets))?);
    rows.push(row("waste", words.waste(), &|| Ok(*rules.settling.waste))?);
    Ok(Table::new("settling_speeds", rows))
}

/// Floor → stress and speed near the floor that pick fish waste up.
///
/// - `sand`: size of the grains of the tank's sand; fine ones where it has none
fn lifting_table(rules: &Rules, water: &Water, sand: Option<Traced<Length>>) -> Result<Table, Error> {
    let words = &rules.words.settling;
    let row = |floor: Floor| {
        let id = format!("settling_lifts.{}", floor.key());
        let grain = || match floor {
            Floor::Smooth => Length::default(),
            Floor::Sand => sand.as_ref().map_or_else(|| rules.sand.grade(Grade::Fine).low, |grain| **grain),
            Floor::Rubble => *rules.settling.rubble,
        };
        let named = floor.words(words);
        let stress = figure(id.clone(), || rules.settling.lifts_waste(floor));
        let stress = stress.titled(words.stress_that_lifts_from(named));
        let lifts = stress.value();
        let speed = try_figure(format!("{id}.speed"), || {
            lifting_speed(*lifts, grain(), *water.density, *water.viscosity, &rules.sand)
        })?
        .titled(words.speed_that_lifts_from(named));
        Ok(Row { head: Cell::Words(named.to_owned()), cells: vec![stress.into(), speed.into()] })
    };
    Ok(Table::new("settling_lifts", Floor::ALL.into_iter().map(row).collect::<Result<_, Error>>()?))
}
