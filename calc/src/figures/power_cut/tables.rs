//! The tables and the chart of the power cut.

use super::{DRAW, UNTIL, Ways, time};
use crate::catalogue::Outlet;
use crate::decide::power_cut::{Brings, Chain, MINUTE, OnBattery, Running, Step, When};
use crate::error::Error;
use crate::formulas::oxygen::{self, Case};
use crate::formulas::power;
use crate::formulas::stream::outlet_area;
use crate::quantity::{Dimension, Kind};
use crate::rules::oxygen::Limit;
use crate::sheet::{Axis, Cell, Chart, Row, Table, Value, figure, try_figure};
use crate::tank::Battery;
use crate::trace::Traced;

/// The id of the table of settings.
pub(super) const SETTINGS: &str = "power_cut_settings";
/// The id of the table of batteries to look for.
pub(super) const NEEDED: &str = "power_cut_needed";

/// Limit × with and without backup → worst, likely, best.
pub(super) fn times_table(ways: &Ways<'_>) -> Table {
    let mut rows = Vec::new();
    for ((prefix, how), _, times) in ways.named(("still_", "nothing runs"), ("", "what this tank has runs")) {
        for limit in Limit::ALL {
            let cell = |(case, until): (Case, &Traced<_>)| {
                let id = format!("power_cut_times.{prefix}{}_{}", limit.key(), case.key());
                let title = format!("Time until the oxygen is down to {} while {how}, {}", limit.words(), case.words());
                figure(id, || time(**until)).titled(title).says(UNTIL).never_above().into()
            };
            let head = match limit {
                Limit::Aim => format!("Aim to act within, while {how}"),
                Limit::Danger => format!("Danger after, while {how}"),
            };
            rows.push(Row { head: Cell::Words(head), cells: Case::ALL.into_iter().zip(times.of(limit)).map(cell).collect() });
        }
    }
    Table::new("power_cut_times", rows)
}

/// Time → oxygen at the worst and as is likely, with nothing and with what the tank has.
pub(super) fn hours_table(chain: &Chain<'_>, ways: &Ways<'_>) -> Result<Table, Error> {
    let named = || ways.named(("still", "Nothing runs"), ("backup", "What this tank has runs"));
    let mut heads = vec!["After".to_owned()];
    for ((_, how), ..) in named() {
        heads.extend(Case::ALL.map(|case| format!("{how}, {}", case.words())));
    }
    let mut rows = Vec::new();
    for hours in &*chain.rules.power_cut.hours {
        let head = figure(format!("power_cut_hours.{}", rows.len() + 1), || *hours).titled("Time since the power failed");
        let after = head.value();
        let mut cells = Vec::new();
        for ((key, how), running, _) in named() {
            for case in Case::ALL {
                let id = format!("{}.{key}_{}", head.id(), case.key());
                let title = format!("Oxygen left: {}, {}", how.to_lowercase(), case.words());
                let left = try_figure(id, || chain.course(case, running)?.after(*after))?.titled(title);
                cells.push(left.says("start − fall × (1 − e^(−a t)) ÷ a in each stretch").never_above().into());
            }
        }
        rows.push(Row { head: head.into(), cells });
    }
    Ok(Table::new("power_cut_hours", rows).headed(heads))
}

/// What brings oxygen in → the times at the worst and as is likely, for things that this tank has or could
/// have.
pub(super) fn backups_table(chain: &Chain<'_>) -> Result<Table, Error> {
    let rules = &chain.rules.oxygen;
    let example = Traced::ok(|| {
        let outlet = outlet_area(Outlet::Round { diameter: *rules.backup_outlet });
        Ok::<_, Error>(Brings::Stirring(oxygen::jet_power(*rules.backup_flow, outlet, chain.state(), chain.rules)?))
    })?;
    let ways = [
        ("nothing", "Nothing", None),
        ("jug", "A jug, poured without a break", Some(Traced::new(|| chain.poured()))),
        (
            "air",
            "The example air pump on a battery",
            Some(Traced::new(|| Brings::Air { air: *rules.backup_air, depth: *rules.backup_depth })),
        ),
        ("pump", "The example pump on a battery", Some(example)),
    ];
    let mut rows = Vec::new();
    for (way, name, brings) in &ways {
        let mut cells = Vec::new();
        for (limit, case) in [(Limit::Aim, Case::Worst), (Limit::Danger, Case::Worst), (Limit::Danger, Case::Likely)] {
            let id = format!("power_cut_backups.{way}_{}_{}", limit.key(), case.key());
            let title = format!("Time until {}, {}: {}", limit.words(), case.words(), name.to_lowercase());
            let until = try_figure(id, || {
                let Some(brings) = brings else { return Ok(time(chain.until(limit, case, &[])?)) };
                let lasts = *chain.rules.power_cut.wanted;
                let until = chain.until(limit, case, &[Running { lasts, brings: **brings }])?;
                // No promise is made for longer than the wanted time.
                Ok(match *way {
                    _ if until.seconds() < lasts.si() => time(until),
                    "jug" => Value::from("not while you pour"),
                    _ => Value::from("not while it runs"),
                })
            })?
            .titled(title);
            cells.push(until.says(UNTIL).never_above().into());
        }
        rows.push(Row { head: Cell::Words((*name).to_owned()), cells });
    }
    Ok(Table::new("power_cut_backups", rows))
}

/// Setting → draw, time on the battery, and how long the animals have.
///
/// - `on_offer`: every pump of the tank at every setting
/// - `best`: the one of them that the battery runs
pub(super) fn settings_table(
    chain: &Chain<'_>,
    battery: Battery,
    on_offer: &[OnBattery],
    best: &OnBattery,
    air: Option<Running>,
) -> Result<Table, Error> {
    let rules = chain.rules;
    let mut rows = Vec::new();
    for on in on_offer.iter().filter(|on| on.pump == best.pump) {
        let id = format!("{SETTINGS}.{}", rows.len() + 1);
        let flow = figure(format!("{id}.flow"), || *on.flow).titled("Flow, when clean").says("rated flow × setting");
        let draw = figure(format!("{id}.draw"), || *on.draw).titled("Draw, at the most").says(DRAW).never_below();
        let load = draw.value();
        let lasts = || power::battery_lasts(battery, *load, &rules.power);
        let lasts = try_figure(format!("{id}.lasts"), lasts)?.titled("Time to count on").never_above();
        let runs = lasts.value();
        let until = |limit: Limit| {
            let title = format!("Time until {}, at the worst", limit.words());
            let until = try_figure(format!("{id}.{}", limit.key()), || {
                let running: Vec<_> = air.into_iter().chain([on.running(*runs)]).collect();
                Ok(time(chain.until(limit, Case::Worst, &running)?))
            })?
            .titled(title);
            Ok::<_, Error>(until.says(UNTIL).never_above().into())
        };
        let cells = vec![flow.into(), draw.into(), lasts.into(), until(Limit::Aim)?, until(Limit::Danger)?];
        let head = match on.setting {
            Some(setting) => figure(id, || setting).titled("Setting").into(),
            None => Cell::Words("its only one".to_owned()),
        };
        rows.push(Row { head, cells });
    }
    Ok(Table::new(SETTINGS, rows).captioned(format!("What the battery does with {}", best.pump)))
}

/// Oxygen against time after the pumps stop, with the two limits.
pub(super) fn left_chart(chain: &Chain<'_>, ways: &Ways<'_>) -> Result<Chart, Error> {
    let hours = *chain.rules.power_cut.wanted;
    let mut chart =
        Chart::new("oxygen_left", Axis::new(Kind::Time, 0.0, hours.si()), Axis::new(Kind::Concentration, 0.0, chain.start.high.si() * 1.1))
            .never_above();
    for (name, running, _) in ways.named("Nothing runs", "What it has runs") {
        for case in [Case::Worst, Case::Likely] {
            let course = chain.course(case, running)?;
            let at = |step: u32| {
                let time = hours * (f64::from(step) / 48.0);
                Ok((time.si(), course.after(time)?.si()))
            };
            chart = chart.line(format!("{name}, {}", case.words()), (0..=48).map(at).collect::<Result<Vec<_>, Error>>()?);
        }
    }
    let limits = &chain.rules.oxygen;
    Ok(chart.level("What you aim for", *limits.aim_limit).level("Danger", *limits.danger_limit))
}

/// When → what to do and why.
pub(super) fn steps_table(steps: Vec<Step>) -> Table {
    let row = |(at, step): (usize, Step)| {
        let head = match step.when {
            When::After(time) if time.si() < MINUTE => Cell::Words("At once".to_owned()),
            When::After(time) => {
                figure(format!("power_cut_steps.{}", at + 1), || time).titled("Time since the power failed").never_above().into()
            }
            When::PowerBack => Cell::Words("Power back".to_owned()),
        };
        Row { head, cells: vec![Cell::Words(step.what), Cell::Words(step.why.to_owned())] }
    };
    Table::new("power_cut_steps", steps.into_iter().enumerate().map(row).collect())
}
