//! How soon the water has passed the pumps, on the sheet.

use uom::si::f64::{Frequency, Ratio, Time};

use super::ids::{mixing as id, turnover};
use crate::error::Error;
use crate::formulas::mixing::{share_passed, time_to_pass, turnovers_to_pass};
use crate::quantity::{Dimension, Kind, Rounding, System, show, shown_number};
use crate::rules::mixing::MixingRules;
use crate::rules::{Rules, words};
use crate::sheet::{Axis, Cell, Chart, Item, Op, Row, Sheet, Sum, Table, Working, figure, try_figure};

/// Adds the figures of this topic: `mixing.…`.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules) -> Result<(), Error> {
    let (rules, words) = (&rules.mixing, &rules.words.mixing);
    let aim = sheet.get(turnover::AIM)?;
    sheet.put(
        try_figure(id::ONE_TURNOVER, || share_passed(*aim, 1.0 / *aim))?.says("1 − 1 ÷ e").never_above(),
    );
    let turnovers = sheet.put(try_figure(id::TURNOVERS, || turnovers_to_pass(*rules.nearly_all))?);
    let nearly_all = try_figure(id::NEARLY_ALL, || time_to_pass(*rules.nearly_all, *aim))?;
    let nearly_all = sheet.put(nearly_all);
    sheet.plot(|| passed_chart(rules, *nearly_all))?;
    sheet.work(|| nearly_all_working(*turnovers, *aim, *nearly_all));
    sheet.tabulate(|| passed_table(rules, words))
}

/// Share of the water that has passed against time, for the turnovers of the table.
fn passed_chart(rules: &MixingRules, nearly_all: Time) -> Result<Chart, Error> {
    let slowest = rules
        .table_turnovers
        .iter()
        .copied()
        .fold(Frequency::from_si(1.0), |least, turnover| if turnover < least { turnover } else { least });
    let end = Time::from_si((nearly_all.si() * 3.0).max(2.0 / slowest.si()));
    let mut chart =
        Chart::new("water_passed", Axis::new(Kind::Time, 0.0, end.si()), Axis::new(Kind::Share, 0.0, 1.0));
    for turnover in &*rules.table_turnovers {
        let at = |step: u32| {
            let time = end * (f64::from(step) / 48.0);
            Ok((time.si(), share_passed(*turnover, time)?.0))
        };
        let points = (0..=48).map(at).collect::<Result<Vec<_>, Error>>()?;
        chart = chart.line(show((*turnover).into(), Rounding::Nearest).metric.to_string(), points);
    }
    Ok(chart)
}

/// Only where the answer is printed in minutes: a sum of hours or seconds would need other terms.
fn nearly_all_working(turnovers: Ratio, aim: Frequency, answer: Time) -> Option<Working> {
    let unit = |quantity| shown_number(quantity, System::Metric, Rounding::Nearest).1;
    if (unit(aim.into()), unit(answer.into())) != ("times an hour", "min") {
        return None;
    }
    let terms = vec![
        (Op::First, Item::of(turnovers, System::Metric)),
        (Op::Over, Item::of(aim, System::Metric)),
        (Op::Times, Item::constant(60.0, 0, "min/h")),
    ];
    Some(
        Working::new(
            "mixing_nearly_all",
            "turnovers it takes ÷ turnover",
            vec![Sum::work(System::Metric, terms, "min")],
            id::NEARLY_ALL.name(),
        )
        .given(&["mixing.turnovers", "turnover.aim"]),
    )
}

/// Turnover × time → share that has passed.
fn passed_table(rules: &MixingRules, words: &words::Mixing) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for turnover in &*rules.table_turnovers {
        let head = figure(format!("mixing_passed.{}", rows.len() + 1), || *turnover);
        let turns = head.value();
        let mut cells = Vec::new();
        for time in &*rules.table_times {
            let id = format!("{}.{}", head.id(), cells.len() + 1);
            let after = words.share_passed_after(show((*time).into(), Rounding::Nearest));
            let share = try_figure(id, || share_passed(*turns, *time))?.titled(after);
            // "100 %" would be untrue at any time.
            let is_nearly_all = share.peek().0 >= 0.995;
            let trace = || Cell::Words(words.all_but_a_trace().to_owned());
            cells.push(if is_nearly_all { trace() } else { share.never_above().into() });
        }
        rows.push(Row { head: head.into(), cells });
    }
    let mut heads = vec![words.turnover().to_owned()];
    heads.extend(rules.table_times.iter().map(|time| words.after(show((*time).into(), Rounding::Nearest))));
    Ok(Table::new("mixing_passed", rows).headed(heads))
}
