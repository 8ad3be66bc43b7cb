//! The tank's own slosh on the sheet.

use uom::si::f64::{Length, Time};

use super::ids::measured;
use super::ids::settling::TANK_DEPTH;
use super::ids::stream::RUN;
use super::ids::waves as id;
use super::measured::AS_MEASURED;
use super::stream::inside_width;
use crate::error::Error;
use crate::formulas::waves::{SLOSH_PERIOD, meets_swing, rocks, shallow_period, slosh_period};
use crate::quantity::{Dimension, Kind};
use crate::rules::waves::WavesRules;
use crate::rules::{Band, Rules, words};
use crate::sheet::{Axis, Cell, Chart, Id, Row, Sheet, Table, figure, try_figure};
use crate::tank::Tank;
use crate::trace::Traced;

/// A way in which the water swings.
struct Way<'w> {
    /// The key of its rows.
    key: &'static str,
    /// In words, as in the middle of a sentence.
    words: &'w str,
    /// The head of its column.
    head: &'w str,
    /// How long the water is along it.
    length: &'w Traced<Length>,
    swing: Id<Time>,
    rocks: Id<Band<Time>>,
}

/// Adds the figures of this topic, `waves.…`, for tanks that are boxes.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    // A tank of another shape than a box swings about as a box of its length and width does; a round one a
    // twelfth faster.
    let (long, wide, depth) = (sheet.get(RUN)?, inside_width(sheet)?, sheet.get(TANK_DEPTH)?);
    let (rules, words) = (&rules.waves, &rules.words.waves);
    let (side_to_side, head) = (words.from_side_to_side(), words.side_to_side());
    let along =
        Way { key: "long", words: side_to_side, head, length: &long, swing: id::LONG, rocks: id::LONG_ROCKS };
    // In a square the water swings alike both ways: that is told once.
    let ways = if (*long.peek() - *wide.peek()).si().abs() < 1e-9 {
        let why = words.is_square(&tank.name);
        sheet.lack(id::WIDE, &*why);
        sheet.lack(id::WIDE_ROCKS, why);
        vec![Way { words: words.either_way(), head: words.either_way_head(), ..along }]
    } else {
        let (words, head) = (words.from_front_to_back(), words.front_to_back());
        vec![along, Way { key: "wide", words, head, length: &wide, swing: id::WIDE, rocks: id::WIDE_ROCKS }]
    };
    let mut swings = Vec::new();
    for way in &ways {
        let swing = match (way.key, sheet.maybe(measured::SWING)) {
            ("long", Some(counted)) => {
                let reckoned = try_figure(measured::SWING_RECKONED, || {
                    let period = slosh_period(**way.length, *depth, 1)?;
                    Ok(Band { low: period, high: period })
                })?;
                sheet.put(reckoned.says(SLOSH_PERIOD.text));
                figure(way.swing, || *counted).says(AS_MEASURED)
            }
            _ => try_figure(way.swing, || slosh_period(**way.length, *depth, 1))?,
        };
        let swing = sheet.put(swing.titled(words.one_swing_of_the_water(way.words)));
        let pulses = figure(way.rocks, || rocks(*swing, *rules.resonance));
        sheet.put(pulses.titled(words.pulses_that_rock(way.words)));
        swings.push((way.head, swing));
    }
    sheet.tabulate(|| slosh_table(&ways, &depth, words))?;
    sheet.plot(|| swing_chart(*depth, *long, words))?;
    sheet.tabulate(|| Ok(pulses_table(&swings, rules, words)))
}

/// Each way in which the water swings, whole and in parts → time of one swing.
fn slosh_table(ways: &[Way<'_>], depth: &Traced<Length>, words: &words::Waves) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for Way { key, words: way, length, .. } in ways {
        let parts = [words.the_whole_water(way), words.middle_against_ends(way), words.in_three_parts(way)];
        for (mode, part) in (1..).zip(parts) {
            let id = format!("waves_slosh.{key}.{mode}");
            let shallow_id = format!("{id}.shallow");
            let exact = try_figure(id, || slosh_period(***length, **depth, mode))?;
            let shallow = try_figure(shallow_id, || shallow_period(***length, **depth, mode))?;
            let exact = exact.titled(words.one_swing(way));
            rows.push(Row { head: Cell::Words(part), cells: vec![exact.into(), shallow.into()] });
        }
    }
    Ok(Table::new("waves_slosh", rows))
}

/// Time of one swing against the length of the tank, at this tank's depth; at least as far as this tank is
/// long.
fn swing_chart(depth: Length, own: Length, words: &words::Waves) -> Result<Chart, Error> {
    let (shortest, longest_tank) = (0.3_f64.min(own.si()), 2.0_f64.max(own.si()));
    let points = |period: &dyn Fn(Length) -> Result<Time, Error>| {
        let at = |step: u32| {
            let length = Length::from_si(shortest + (longest_tank - shortest) * f64::from(step) / 34.0);
            Ok((length.si(), period(length)?.si()))
        };
        (0..=34).map(at).collect::<Result<Vec<_>, Error>>()
    };
    let exact = points(&|length| slosh_period(length, depth, 1))?;
    let shallow = points(&|length| shallow_period(length, depth, 1))?;
    let longest = exact.last().map_or(1.0, |(_, period)| *period);
    let chart = Chart::new(
        "swing_by_length",
        Axis::new(Kind::Length, shortest, longest_tank),
        Axis::new(Kind::Time, 0.0, longest * 1.1),
    );
    Ok(chart.line(words.exact(), exact).line(words.shallow(), shallow))
}

/// Pulse → whether it rocks the tank, a column for each way in which its water swings: its head, and the time
/// of one swing.
fn pulses_table(swings: &[(&str, Traced<Time>)], rules: &WavesRules, words: &words::Waves) -> Table {
    let head = |at: usize| figure(format!("waves_pulses.{}", at + 1), || rules.pulses[at]).into();
    let told = |pulse: Time, swing: Time| {
        Cell::Words(match meets_swing(pulse, swing, rules) {
            None => words.clear_of_it().to_owned(),
            Some(1) => words.rocks_with_each_swing().to_owned(),
            Some(2) => words.rocks_with_every_second().to_owned(),
            Some(3) => words.rocks_with_every_third().to_owned(),
            Some(nth) => words.rocks_with_one_in(nth),
        })
    };
    // The heads first: what the words rest on moves no pulse.
    let heads: Vec<Cell> = (0..rules.pulses.len()).map(head).collect();
    let row = |(head, pulse): (Cell, &Time)| {
        let cells = swings.iter().map(|(_, swing)| told(*pulse, **swing)).collect();
        Row { head, cells }
    };
    let rows = heads.into_iter().zip(&*rules.pulses).map(row).collect();
    let heads = std::iter::once(words.pulse()).chain(swings.iter().map(|(head, _)| *head));
    Table::new("waves_pulses", rows).headed(heads)
}

#[cfg(test)]
mod tests;
