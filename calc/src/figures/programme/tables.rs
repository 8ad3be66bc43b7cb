//! The tables, the chart and the drawing of the day.

use uom::si::f64::{Frequency, Volume};

use crate::decide::programme::{Day, Runner};
use crate::error::Error;
use crate::formulas::programme::{ClockTime, DAY as MINUTES, Lights, Pattern, Segment, flow_at};
use crate::formulas::turnover::turnover;
use crate::quantity::{Dimension, Kind, Quantity, Rounding, show};
use crate::rules::power::PowerRules;
use crate::rules::{Band, words};
use crate::sheet::{Axis, Cell, Chart, Row, Step, Stretch, Table, Timeline, TimelineRow, figure, try_figure};

/// The id of the table of what each pump does.
pub(super) const DAY: &str = "programme_day";
/// The id of the table of the pumps.
pub(super) const PUMPS: &str = "programme_pumps";
/// The id of the chart of the turnover.
pub(super) const TURNOVER: &str = "programme_turnover";

/// The day as a drawing: a row for each pump, its settings as bars.
pub(super) fn day_timeline(
    segments: &[Segment],
    pumps: &[Runner],
    lights: Lights,
    tank: &str,
    words: &words::Programme,
) -> Timeline {
    let rows = pumps.iter().map(|pump| {
        let of_pump = segments.iter().filter(|segment| segment.pump == pump.name);
        let stretch = |segment: &Segment| {
            let pattern = segment.pattern.within(segment.minutes());
            let (low, high) = pattern.ends();
            let word = if segment.feeding { words.feeding() } else { word(pattern, words) };
            Stretch {
                from: segment.from.minutes(),
                until: segment.until.minutes(),
                word: word.to_owned(),
                low,
                high,
            }
        };
        TimelineRow { name: pump.name.clone(), stretches: of_pump.map(stretch).collect() }
    });
    Timeline {
        id: "programme",
        title: words.the_day(tank),
        description: String::new(),
        lights: (lights.on.minutes(), lights.off.minutes()),
        rows: rows.collect(),
        origin: crate::sheet::Origin::default(),
    }
}

/// A pattern in a word, for its bar.
fn word(pattern: Pattern, words: &words::Programme) -> &str {
    match pattern {
        Pattern::Steady(_) => words.steady(),
        Pattern::Pulse(_) => words.pulse(),
        Pattern::Alternate(_) => words.alternate(),
        Pattern::Wander(_) => words.wander(),
        Pattern::Rest => words.rest(),
    }
}

/// Pump and hours → what it does.
pub(super) fn day_table(segments: &[Segment], pumps: &[Runner], words: &words::Programme) -> Table {
    let mut rows = Vec::new();
    for segment in segments {
        let Some(pump) = pumps.iter().find(|pump| pump.name == segment.pump) else { continue };
        let id = format!("{DAY}.{}.flow", rows.len() + 1);
        let mean = segment.pattern.mean_over(segment.minutes());
        let flow = figure(id, || flow_at(pump.rated_flow, mean));
        let cells = vec![
            Cell::Words(segment.from.to_string()),
            Cell::Words(segment.until.to_string()),
            Cell::Words(doing(segment, words)),
            flow.into(),
        ];
        rows.push(Row { head: Cell::Words(segment.pump.clone()), cells });
    }
    Table::new(DAY, rows)
}

/// What a pump does in a segment, as a sentence's middle.
fn doing(segment: &Segment, words: &words::Programme) -> String {
    let shown = |quantity: Quantity| show(quantity, Rounding::Nearest);
    let pattern = segment.pattern.within(segment.minutes());
    let (low, high) = pattern.ends();
    let (low, high) = (shown(low.into()), shown(high.into()));
    match pattern {
        Pattern::Steady(_) if pattern != segment.pattern => words.outlasts_the_stretch(high),
        Pattern::Steady(_) => words.runs_at(high),
        Pattern::Pulse(swing) => words.pulses(low, high, shown(swing.period.into())),
        Pattern::Alternate(swing) => {
            let (first, then) = if swing.starts_high { (high, low) } else { (low, high) };
            words.by_turns(first, then, shown(swing.period.into()))
        }
        Pattern::Wander(swing) => words.wanders(low, high, shown(swing.period.into())),
        Pattern::Rest if segment.feeding => words.pauses().to_owned(),
        Pattern::Rest => words.rests().to_owned(),
    }
}

/// Pump → its day in sum.
pub(super) fn pumps_table(day: &Day, pumps: &[Runner], rules: &PowerRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for (pump, own) in pumps.iter().zip(&day.pumps) {
        let id = format!("{PUMPS}.{}", rows.len() + 1);
        let energy = try_figure(format!("{id}.energy"), || day.energy_of(pump, rules))?;
        let changes = || Quantity::new(Kind::Count, own.changes);
        let cells = vec![
            figure(format!("{id}.mean"), || own.mean).says("Σ mean setting × time ÷ a day").into(),
            energy.says("Σ draw at the settings × time").into(),
            figure(format!("{id}.changes"), changes).into(),
            figure(format!("{id}.rest"), || own.longest_rest).never_below().into(),
        ];
        rows.push(Row { head: Cell::Words(pump.name.clone()), cells });
    }
    Ok(Table::new(PUMPS, rows))
}

/// Hour → turnover, over the band for what lives there now.
pub(super) fn turnover_chart(
    day: &Day,
    (band, livestock): (Band<Frequency>, &str),
    volume: Volume,
    words: &words::Programme,
) -> Result<Chart, Error> {
    let seconds = f64::from(MINUTES) * 60.0;
    let mut points: Vec<(f64, f64)> = Vec::new();
    let mut steps: Vec<Step> = Vec::new();
    for (minute, flow) in day.flow.iter().enumerate() {
        let turns = turnover(*flow, volume)?.si();
        let at = minute as f64 * 60.0;
        let until = ClockTime::new(minute as u16 + 1).unwrap_or(ClockTime::END_OF_DAY);
        match steps.last_mut() {
            Some(step) if (step.y - turns).abs() <= 1e-12 => step.until = until.to_string(),
            _ => {
                let from = ClockTime::new(minute as u16).unwrap_or(ClockTime::START_OF_DAY);
                steps.push(Step { from: from.to_string(), until: until.to_string(), y: turns });
            }
        }
        match points.last().copied() {
            // A step up or down: the old level ends where the new one begins.
            Some((_, last)) if (last - turns).abs() > 1e-12 => points.extend([(at, last), (at, turns)]),
            Some(_) => {}
            None => points.push((at, turns)),
        }
    }
    points.extend(points.last().copied().map(|(_, last)| (seconds, last)));
    let top = points.iter().map(|(_, turns)| *turns).fold(band.high.si(), f64::max) * 1.1;
    Ok(Chart::new(TURNOVER, Axis::new(Kind::Time, 0.0, seconds), Axis::new(Kind::Rate, 0.0, top))
        .band(livestock, vec![(0.0, band.low.si(), band.high.si()), (seconds, band.low.si(), band.high.si())])
        .line(words.all_pumps(), points)
        .steps(steps))
}
