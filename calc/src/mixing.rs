//! Mixing: how much of a tank's water has passed the pumps, or the filter, after a while.
//!
//! The model is the perfectly mixed tank: what has passed mixes at once with what has not, so that one turnover moves as much water
//! as the tank holds and still misses a good third of it. A tank with still corners is slower; none is faster than its pumps mix.

use uom::si::f64::{Frequency, Time};

use crate::error::{Error, within};
use crate::quantity::{Dimension, Kind, Quantity, Rounding, Share, System, show, shown_number};
use crate::rules::{Rules, Topic};
use crate::sheet::{Axis, Cell, Chart, Figure, Item, Op, Row, Sheet, Sum, Table, Working};
use crate::tank::Tank;

/// The rules of this topic, `calc/rules/mixing.toml`.
#[derive(Debug, Clone)]
pub struct MixingRules {
    /// Share of the water that counts as nearly all.
    pub nearly_all: Share,
    /// Turnovers in the table.
    pub table_turnovers: Vec<Frequency>,
    /// Times in the table.
    pub table_times: Vec<Time>,
}

impl MixingRules {
    pub(crate) fn read(topic: &mut Topic<'_, '_>) -> Option<Self> {
        let nearly_all = topic.one("nearly_all", "50 %"..="99.9 %");
        let table_turnovers = topic.list("table_turnovers", "0.1 per hour"..="500 per hour");
        let table_times = topic.list("table_times", "1 min"..="1 week");
        Some(MixingRules { nearly_all: nearly_all?, table_turnovers: table_turnovers?, table_times: table_times? })
    }
}

/// Share of a tank's water that has passed the pumps at least once: `F = 1 − e^(−n t)`.
///
/// - `turnover`: how often the flow turns the water over, `n`, from nothing to 1000 times an hour
/// - `time`: since the pumps were started, `t`, from nothing to a good year
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// The stirred tank of Levenspiel (1999), pp. 322 and 327. After one turnover `1 − 1/e` has passed, 63.2 %:
/// ```
/// use reckoner_calc::{mixing, quantity::parse};
/// let share = mixing::share_passed(parse("5 per hour")?, parse("12 min")?)?;
/// assert!((share.0 - 0.632121).abs() < 5e-7);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn share_passed(turnover: Frequency, time: Time) -> Result<Share, Error> {
    let turnover = within("the turnover", turnover, per_hour(0.0)..=per_hour(MOST_AN_HOUR))?;
    let time = within("the time", time, Time::from_si(0.0)..=Time::from_si(3.2e7))?;
    Ok(Share(-libm::expm1(-turnover.si() * time.si())))
}

/// How many turnovers it takes until a share of the water has passed: `n t = −ln(1 − F)`.
///
/// # Errors
/// [`Error::OutOfRange`] for a share that is none, [`Error::NoAnswer`] for all of the water: that never happens.
pub fn turnovers_to_pass(share: Share) -> Result<f64, Error> {
    let share = within("the share of the water", share, Share(0.0)..=Share(1.0))?;
    if share.0 >= 1.0 {
        let why = "some of the water always stays behind; ask for less, such as 95 %".to_owned();
        return Err(Error::NoAnswer { what: "the time until all of the water has passed", why });
    }
    Ok(-libm::log1p(-share.0))
}

/// The time until a share of the water has passed: the inverse of [`share_passed`].
///
/// - `share`: from nothing to less than all
/// - `turnover`: from once in a thousand hours to 1000 times an hour
///
/// # Errors
/// [`Error::OutOfRange`], [`Error::NoAnswer`] as [`turnovers_to_pass`].
pub fn time_to_pass(share: Share, turnover: Frequency) -> Result<Time, Error> {
    let turnover = within("the turnover", turnover, per_hour(1e-3)..=per_hour(MOST_AN_HOUR))?;
    Ok(Time::from_si(turnovers_to_pass(share)? / turnover.si()))
}

/// Share of the water that has passed against time, for the turnovers of the table.
fn passed_chart(rules: &MixingRules, nearly_all: Time) -> Result<Chart, Error> {
    let slowest = rules
        .table_turnovers
        .iter()
        .copied()
        .fold(Frequency::from_si(1.0), |least, turnover| if turnover < least { turnover } else { least });
    let end = Time::from_si((nearly_all.si() * 3.0).max(2.0 / slowest.si()));
    let mut chart = Chart::new(
        "water_passed",
        "How soon the water of a tank has passed the pumps",
        "Each curve rises fast at first and then ever more slowly towards the whole. The higher the turnover, the steeper the start. None ever quite reaches the whole; what is very near it is written as the whole.",
        Axis::new("Time", Kind::Time, 0.0, end.si()),
        Axis::new("Share of the water that has passed", Kind::Share, 0.0, 1.0),
    );
    for turnover in &rules.table_turnovers {
        let at = |step: u32| {
            let time = end * (f64::from(step) / 48.0);
            Ok((time.si(), share_passed(*turnover, time)?.0))
        };
        let points = (0..=48).map(at).collect::<Result<Vec<_>, Error>>()?;
        chart = chart.line(show((*turnover).into(), Rounding::Nearest).metric.to_string(), points);
    }
    Ok(chart)
}

/// Adds the figures of this topic: `mixing.…`.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let aim = rules.turnover.aimed_at(tank.later);
    let rules = &rules.mixing;
    let one_turnover = share_passed(aim, Time::from_si(1.0 / aim.si()))?;
    sheet.put(
        Figure::new("mixing.one_turnover", "Share of the water that has passed the pumps after one turnover", one_turnover)
            .from("1 − 1 ÷ e", &[])
            .never_above(),
    );
    sheet.put(
        Figure::new(
            "mixing.turnovers",
            "Turnovers until nearly all of the water has passed",
            Quantity::new(Kind::Ratio, turnovers_to_pass(rules.nearly_all)?),
        )
        .from("−ln(1 − share)", &[])
        .rule("mixing.nearly_all"),
    );
    let nearly_all = time_to_pass(rules.nearly_all, aim)?;
    sheet.put(
        Figure::new("mixing.nearly_all", "Time until nearly all of the water has passed the pumps", nearly_all)
            .from("turnovers ÷ turnover", &["mixing.turnovers", "turnover.aim"])
            .rule("mixing.nearly_all"),
    );
    sheet.charts.insert("water_passed", passed_chart(rules, nearly_all)?);
    if let Some(working) = nearly_all_working(rules.nearly_all, aim, nearly_all)? {
        sheet.workings.insert(working.id, working);
    }
    sheet.tables.insert("mixing_passed", passed_table(rules)?);
    Ok(())
}

/// Only where the answer is printed in minutes: a sum of hours or seconds would need other terms.
fn nearly_all_working(share: Share, aim: Frequency, answer: Time) -> Result<Option<Working>, Error> {
    let unit = |quantity| shown_number(quantity, System::Metric, Rounding::Nearest).1;
    if (unit(aim.into()), unit(answer.into())) != ("times an hour", "min") {
        return Ok(None);
    }
    let terms = vec![
        (Op::First, Item::of(Quantity::new(Kind::Ratio, turnovers_to_pass(share)?), System::Metric)),
        (Op::Over, Item::of(aim, System::Metric)),
        (Op::Times, Item::constant(60.0, 0, "min/h")),
    ];
    Ok(Some(Working {
        id: "mixing_nearly_all",
        title: "How soon nearly all of the water has passed the pumps",
        given: vec!["mixing.turnovers", "turnover.aim"],
        formula: "turnovers it takes ÷ turnover",
        sums: vec![Sum::work(System::Metric, terms, "min")],
        answer: "mixing.nearly_all",
        tell: "Longer than one turnover, since the pumps take in water again that has passed already.",
    }))
}

/// Turnover × time → share that has passed.
fn passed_table(rules: &MixingRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for turnover in &rules.table_turnovers {
        let id = format!("mixing_passed.{}", rows.len() + 1);
        let mut cells = Vec::new();
        for time in &rules.table_times {
            let share = share_passed(*turnover, *time)?;
            // "100 %" would be untrue at any time.
            cells.push(if share.0 >= 0.995 {
                Cell::Words("all but a trace".to_owned())
            } else {
                let cell_id = format!("{id}.{}", cells.len() + 1);
                let title = format!("Share that has passed after {}", show((*time).into(), Rounding::Nearest));
                let cell = Figure::new(cell_id, title, share).from("1 − e^(−turnover × time)", &[id.as_str()]);
                Cell::Figure(cell.rule("mixing.table_times").never_above())
            });
        }
        let head = Figure::new(id, "Turnover", *turnover).rule("mixing.table_turnovers");
        rows.push(Row { head: Cell::Figure(head), cells });
    }
    let mut heads = vec!["Turnover".to_owned()];
    heads.extend(rules.table_times.iter().map(|time| format!("After {}", show((*time).into(), Rounding::Nearest))));
    Ok(Table { id: "mixing_passed", caption: "How much of the water has passed at least once".to_owned(), heads, rows })
}

const MOST_AN_HOUR: f64 = 1000.0;

fn per_hour(times: f64) -> Frequency {
    Frequency::from_si(times / 3600.0)
}

#[cfg(test)]
mod tests;
