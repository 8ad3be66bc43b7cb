//! Waves: the tank's own slosh, and the pulses that drive it.
//!
//! Water in a box swings from end to end with periods of its own. Pumps that push in time with such a swing build it up, as one does on
//! a playground swing. How high the crest grows is not modelled: it depends on damping that nobody knows beforehand. A rocking tank
//! throws water over its rim and works on its seams and its stand; a wave is raised slowly, watched, and stopped well below the rim.
//!
//! Taken for granted throughout: an open box with upright panes, small waves, no rock in the way. Rock makes real periods a little
//! longer.

use std::f64::consts::PI;

use uom::si::f64::{Length, Ratio, Time};

use crate::error::{Error, within};
use crate::quantity::{Dimension, Kind};
use crate::rules::waves::WavesRules;
use crate::rules::{Band, Rules};
use crate::sheet::{Axis, Cell, Chart, Figure, Row, Sheet, Table};
use crate::tank::Tank;

/// Standard gravity, m/s²: exact by definition.
const GRAVITY: f64 = 9.806_65;

/// Period of a box's own slosh: `T = 2 π / ω`, `ω² = g k tanh(k h)`, `k = n π / L`.
///
/// - `length`: `L`, of the water along the way it swings, 1 cm to 100 km
/// - `depth`: `h`, 1 mm to 1 km
/// - `mode`: `n`, how many times the surface crosses its level from end to end, 1 to 100
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Linear wave theory, exact for small waves. Where the depth no longer counts, half a wave of `L` has `T² = 4 π L / g`:
/// ```
/// use reckoner_calc::{quantity::{Dimension, parse}, waves};
/// let period = waves::slosh_period(parse("0.5 m")?, parse("10 m")?, 1)?.si();
/// assert!((period * period / (4.0 * std::f64::consts::PI * 0.5 / 9.80665) - 1.0).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn slosh_period(length: Length, depth: Length, mode: u32) -> Result<Time, Error> {
    let (length, depth, mode) = basin(length, depth, mode)?;
    let wave_number = mode * PI / length;
    Ok(Time::from_si(2.0 * PI / (GRAVITY * wave_number * libm::tanh(wave_number * depth)).sqrt()))
}

/// Merian's period of the same slosh in shallow water: `T = 2 L / (n (g h)^½)`.
///
/// For comparison only: a tank is far from shallow, and this is a quarter too short for a usual one.
///
/// # Errors
/// As [`slosh_period`].
pub fn shallow_period(length: Length, depth: Length, mode: u32) -> Result<Time, Error> {
    let (length, depth, mode) = basin(length, depth, mode)?;
    Ok(Time::from_si(2.0 * length / (mode * (GRAVITY * depth).sqrt())))
}

/// Length of a travelling wave, crest to crest, from its period: the root `k` of `ω² = g k tanh(k h)`, and `2 π / k`.
///
/// - `period`: 0.1 s to 100 s
/// - `depth`: 1 mm to 1 km
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Linear wave theory. The root is found by Newton's method.
pub fn wavelength(period: Time, depth: Length) -> Result<Length, Error> {
    let period = within("the period of the wave", period, Time::from_si(0.1)..=Time::from_si(100.0))?.si();
    let depth = water_depth(depth)?;
    let omega = 2.0 * PI / period;
    let wanted = omega * omega * depth / GRAVITY;
    // From Eckart's guess, within 5 % of the root, eight rounds of Newton are more than enough.
    let mut kh = wanted / libm::tanh(wanted).sqrt();
    for _ in 0..8 {
        let tanh = libm::tanh(kh);
        kh -= (kh * tanh - wanted) / (tanh + kh * (1.0 - tanh * tanh));
    }
    Ok(Length::from_si(2.0 * PI * depth / kh))
}

/// On which swing a pulse meets a slosh: 1 where it pushes every swing, 2 every second one, and so on; `None` where it meets none.
///
/// - `pulse`: from push to push
/// - `slosh`: period of the slosh, above nothing
pub fn meets_swing(pulse: Time, slosh: Time, rules: &WavesRules) -> Option<u32> {
    let swings = (pulse / slosh).si();
    (1..=rules.swings.si() as u32).find(|nth| (swings / f64::from(*nth) - 1.0).abs() <= rules.resonance.0)
}

fn basin(length: Length, depth: Length, mode: u32) -> Result<(f64, f64, f64), Error> {
    let length = within("the length of the water", length, Length::from_si(0.01)..=Length::from_si(1e5))?;
    let mode = within("the mode of the slosh", Ratio::from_si(f64::from(mode)), Ratio::from_si(1.0)..=Ratio::from_si(100.0))?;
    Ok((length.si(), water_depth(depth)?, mode.si()))
}

fn water_depth(depth: Length) -> Result<f64, Error> {
    Ok(within("the depth of the water", depth, Length::from_si(1e-3)..=Length::from_si(1e3))?.si())
}

/// Adds the figures of this topic, `waves.…`, for tanks that are boxes.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    // A tank of another shape than a box swings about as a box of its length and width does; a round one a twelfth faster.
    let (length, width) = (tank.glass.plan.length(), tank.glass.plan.width());
    let (depth, panes, rules) = (tank.water_depth(), tank.glass.pane * 2.0, &rules.waves);
    let (long, wide) = (length - panes, width - panes - tank.chamber_depth());
    // In a square the water swings alike both ways: that is told once.
    let ways = if (long - wide).si().abs() < 1e-9 {
        let why = format!("Inside, {} is as wide as long. So its water swings from front to back as it does from side to side.", tank.name);
        sheet.lack("waves.wide", &*why);
        sheet.lack("waves.wide_rocks", why);
        vec![("long", "either way", "Either way", long)]
    } else {
        vec![("long", "from side to side", "Side to side", long), ("wide", "from front to back", "Front to back", wide)]
    };
    let mut rows = Vec::new();
    let mut swings = Vec::new();
    for (key, words, head, way) in ways {
        let (id, measure) = (format!("waves.{key}"), if key == "long" { "tank.length" } else { "tank.width" });
        let inputs = [measure, "tank.pane", "tank.depth"];
        let period = slosh_period(way, depth, 1)?;
        swings.push((head, period));
        sheet.put(
            Figure::new(id.clone(), format!("Time of one swing of the water {words}"), period)
                .from("2 × π ÷ √(gravity × k × tanh(k × depth)), k = π ÷ inside measure", &inputs),
        );
        let avoid = Band { low: period * (1.0 - rules.resonance.0), high: period * (1.0 + rules.resonance.0) };
        sheet.put(
            Figure::new(format!("{id}_rocks"), format!("Pulses that rock the tank: the water swings {words} with each"), avoid)
                .from("time of one swing × (1 ± nearness)", &[id.as_str()])
                .rule("waves.resonance"),
        );
        for mode in 1..=3 {
            let row = format!("waves_slosh.{key}.{mode}");
            let exact = Figure::new(row.clone(), format!("Time of one swing {words}"), slosh_period(way, depth, mode)?);
            let shallow =
                Figure::new(format!("{row}.shallow"), "The same by the rule for shallow water", shallow_period(way, depth, mode)?);
            let cells = vec![
                exact.from("2 × π ÷ √(gravity × k × tanh(k × depth)), k = mode × π ÷ inside measure", &inputs),
                shallow.from("2 × inside measure ÷ (mode × √(gravity × depth))", &inputs),
            ];
            let head = match mode {
                1 => format!("{words}, the whole water"),
                2 => format!("{words}, middle against ends"),
                _ => format!("{words}, in three parts"),
            };
            rows.push(Row { head: Cell::Words(head), cells: cells.into_iter().map(Cell::Figure).collect() });
        }
    }
    sheet.put_table(Table {
        id: "waves_slosh",
        caption: "How the water of this tank swings by itself".to_owned(),
        heads: ["The swing", "Time of one swing", "By the rule for shallow water"].map(str::to_owned).into(),
        rows,
        origin: crate::sheet::Origin::default(),
    });
    sheet.put_chart(swing_chart(depth, length - panes)?);
    sheet.put_table(pulses_table(&swings, rules));
    Ok(())
}

/// Time of one swing against the length of the tank, at this tank's depth; at least as far as this tank is long.
fn swing_chart(depth: Length, own: Length) -> Result<Chart, Error> {
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
        "How long one swing of the water takes, by the length of the tank",
        "Both curves rise: the longer the tank, the slower its water swings. The rule for shallow water lies below the exact curve, the more so the shorter the tank.",
        Axis::new("Inside length of the tank", Kind::Length, shortest, longest_tank),
        Axis::new("Time of one swing", Kind::Time, 0.0, longest * 1.1),
    );
    Ok(chart.line("Exact", exact).line("Rule for shallow water", shallow))
}

/// Pulse → whether it rocks the tank, a column for each way in which its water swings: its head, and the time of one swing.
fn pulses_table(swings: &[(&str, Time)], rules: &WavesRules) -> Table {
    let row = |(at, pulse): (usize, &Time)| {
        let head = Figure::new(format!("waves_pulses.{}", at + 1), "Pulse, from push to push", *pulse);
        let words = |slosh| {
            Cell::Words(match meets_swing(*pulse, slosh, rules) {
                None => "clear of it".to_owned(),
                Some(1) => "rocks it: a push with each swing".to_owned(),
                Some(2) => "rocks it: a push with every second swing".to_owned(),
                Some(3) => "rocks it: a push with every third swing".to_owned(),
                Some(nth) => format!("rocks it: a push with one swing in {nth}"),
            })
        };
        Row { head: Cell::Figure(head), cells: swings.iter().map(|(_, slosh)| words(*slosh)).collect() }
    };
    Table {
        id: "waves_pulses",
        caption: "Which pulses rock this tank".to_owned(),
        heads: std::iter::once("Pulse, from push to push").chain(swings.iter().map(|(head, _)| *head)).map(str::to_owned).collect(),
        rows: rules.pulses.iter().enumerate().map(row).collect(),
        origin: crate::sheet::Origin::default(),
    }
}

#[cfg(test)]
mod tests;
