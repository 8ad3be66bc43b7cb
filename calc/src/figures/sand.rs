//! When a stream lifts the sand, on the sheet.

use uom::si::f64::{KinematicViscosity, Length, MassDensity, Velocity};

use super::ids::sand as id;
use super::ids::seawater::{DENSITY, VISCOSITY};
use super::ids::stream::{ROUND_OUTLET, RUN};
use crate::error::Error;
use crate::formulas::sand::{Grains, low_end, lowest_height, near_bed_speed};
use crate::formulas::stream::{Laws, Stream, example_round, exit_speed};
use crate::quantity::{Rounding, Share, System};
use crate::rules::sand::Grade;
use crate::rules::{Band, Rules};
use crate::sheet::{Cell, Item, Level, Op, Row, Sheet, Sum, Table, Working, figure, try_figure};
use crate::tank::Tank;
use crate::trace::Traced;

/// The water, and what grains of some size are in it.
struct Water<'r> {
    rules: &'r Rules,
    density: Traced<MassDensity>,
    viscosity: Traced<KinematicViscosity>,
}

impl Water<'_> {
    fn grains(&self, size: Length) -> Result<Grains, Error> {
        Grains::new(size, *self.rules.volume.mineral_density, *self.density, *self.viscosity)
    }
}

/// Adds the figures of this topic: `sand.…` where the tank has sand, else why not, and the tables of the
/// grades.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let words = &rules.words.sand;
    let water = Water { rules, density: sheet.get(DENSITY)?, viscosity: sheet.get(VISCOSITY)? };
    let mut grades = Vec::new();
    sheet.tabulate(|| lifts_table(&water, &mut grades))?;
    heights_table(sheet, rules, &grades)?;

    let Some(bed) = tank.sand else {
        let why = words.bare_floor(&tank.name);
        for part in ["sand", KEEP_BELOW_WORKING] {
            sheet.lack(part, &*why);
        }
        return Ok(());
    };
    sheet.put(figure(id::DEPTH, || bed.depth));
    let grain = sheet.put(figure(id::GRAIN, || bed.grain));
    let grade = || rules.sand.grade_of(*grain).map_or(words.outside_the_grades(), |grade| grade.words(words));
    sheet.put(figure(id::GRADE, || grade().to_owned()));
    let stress = try_figure(id::STRESS, || water.grains(*grain)?.threshold_stress(&rules.sand))?;
    let stress = sheet.put(stress);
    let lifts = try_figure(id::LIFTS, || {
        near_bed_speed(*stress, *water.density, *grain, *water.viscosity, &rules.sand)
    })?;
    let lifts = sheet.put(lifts.never_above());
    let band = &rules.sand.band;
    let range = figure(id::LIFTS_RANGE, || Band { low: *lifts * band.low.0, high: *lifts * band.high.0 });
    sheet.put(range.says("speed × band"));
    let keep_below = figure(id::KEEP_BELOW, || low_end(*lifts, band.low));
    let keep_below = sheet.put(keep_below.never_above());
    let (stream, run) = (example(rules)?, sheet.get(RUN)?);
    let height = try_figure(id::LOWEST_HEIGHT, || {
        lowest_height(&stream, *rules.stream.edge, *keep_below, *run, &rules.sand)
    })?;
    sheet.put(height.never_below());
    sheet.add_to_chart("stream_speed", |mut chart| {
        chart.levels.push(Level { name: words.sand_may_move().to_owned(), at: (*keep_below).into() });
        chart
    });
    sheet.work(|| keep_below_working(*lifts, band.low));
    Ok(())
}

/// The stream of the example propeller pump.
fn example(rules: &Rules) -> Result<Traced<Stream>, Error> {
    Traced::ok(|| {
        let (outlet, flow) = example_round(&rules.stream);
        Stream::new(outlet, flow, Laws::of(&rules.stream))
    })
}

const KEEP_BELOW_WORKING: &str = "sand_keep_below";

fn keep_below_working(lifts: Velocity, low: Share) -> Working {
    let sum = |system, unit| {
        let share = Item::part(low, system);
        Sum::work(
            system,
            vec![(Op::First, Item::rounded(lifts, system, Rounding::Down)), (Op::Times, share)],
            unit,
        )
    };
    Working::new(
        KEEP_BELOW_WORKING,
        "speed that lifts the sand × low end of the band",
        vec![sum(System::Metric, "cm/s"), sum(System::Us, "in/s")],
        id::KEEP_BELOW.name(),
    )
}

/// Grade → size, speed that lifts it, speed to keep below.
///
/// - `grades`: is given the speed to keep below over each grade
fn lifts_table(water: &Water<'_>, grades: &mut Vec<(Grade, Traced<Velocity>)>) -> Result<Table, Error> {
    let (rules, words) = (&water.rules.sand, &water.rules.words.sand);
    let mut row = |grade: Grade| {
        let (id, sand) = (format!("sand_lifts.{}", grade.key()), grade.words(words));
        let size = figure(format!("{id}.size"), || rules.grade(grade));
        let sizes = size.value();
        let lifts = try_figure(format!("{id}.speed"), || {
            let speed = |size: Length| water.grains(size)?.threshold_speed(rules);
            Ok(Band { low: speed(sizes.low)?, high: speed(sizes.high)? })
        })?
        .titled(words.speed_that_lifts(sand));
        let speeds = lifts.value();
        let keep = figure(format!("{id}.keep_below"), || low_end(speeds.low, rules.band.low)).never_above();
        let keep = keep.titled(words.keep_below_over(sand));
        grades.push((grade, keep.value()));
        Ok(Row { head: Cell::Words(sand.to_owned()), cells: vec![size.into(), lifts.into(), keep.into()] })
    };
    Ok(Table::new("sand_lifts", Grade::ALL.into_iter().map(&mut row).collect::<Result<_, Error>>()?))
}

/// Setting of the example propeller pump → lowest safe height above each grade, by its finest grains.
///
/// - `grades`: with the speed to keep below over each
fn heights_table(
    sheet: &mut Sheet,
    rules: &Rules,
    grades: &[(Grade, Traced<Velocity>)],
) -> Result<(), Error> {
    let words = &rules.words.sand;
    let (full, run, outlet) = (example(rules)?, sheet.get(RUN)?, sheet.get(ROUND_OUTLET)?);
    let row = |setting: f64| {
        let id = format!("sand_heights.{:.0}", setting * 100.0);
        let head = figure(id.clone(), || Share(setting));
        let setting = head.value();
        let flow = || *rules.stream.example_flow * setting.0;
        let exit = figure(format!("{id}.exit"), || exit_speed(flow(), *outlet));
        let mut cells = vec![exit.says("exit speed × setting").into()];
        for (grade, keep_below) in grades {
            let height = try_figure(format!("{id}.{}", grade.key()), || {
                lowest_height(
                    &full.at_setting(*setting)?,
                    *rules.stream.edge,
                    **keep_below,
                    *run,
                    &rules.sand,
                )
            })?
            .titled(words.lowest_height_above(grade.words(words)));
            cells.push(height.never_below().into());
        }
        Ok(Row { head: head.into(), cells })
    };
    let mut heads = vec![words.setting().to_owned(), words.speed_at_the_outlet().to_owned()];
    heads.extend(Grade::ALL.map(|grade| match grade {
        // No height is sure over grains that a gust, a turn at the glass or a fish's tail lifts.
        Grade::SugarFine => words.above_with_care(grade.words(words)),
        _ => words.above(grade.words(words)),
    }));
    sheet.tabulate(|| {
        Ok(Table::new(
            "sand_heights",
            [0.25, 0.5, 0.75, 1.0].into_iter().map(row).collect::<Result<_, Error>>()?,
        )
        .headed(heads))
    })
}
