//! The tables and the chart of the power cut.

use super::{DRAW, UNTIL, Ways, time};
use uom::si::f64::Length;

use crate::catalogue::Outlet;
use crate::decide::power_cut::{Brings, Chain, MINUTE, OnBattery, Running, Step, When};
use crate::error::Error;
use crate::formulas::oxygen::{self, Case};
use crate::formulas::power;
use crate::formulas::stream::outlet_area;
use crate::quantity::{Dimension, Kind};
use crate::rules::oxygen::Limit;
use crate::rules::words;
use crate::sheet::{Axis, Cell, Chart, Row, Table, Value, figure, try_figure};
use crate::tank::Battery;
use crate::trace::Traced;

/// The id of the table of settings.
pub(super) const SETTINGS: &str = "power_cut_settings";
/// The id of the table of batteries to look for.
pub(super) const NEEDED: &str = "power_cut_needed";

/// Limit × with and without backup → worst, likely, best.
pub(super) fn times_table(ways: &Ways<'_>, words: &words::PowerCut) -> Table {
    let still = [words.still_aim(), words.still_danger()];
    let backup = [words.backup_aim(), words.backup_danger()];
    let mut rows = Vec::new();
    for ((prefix, heads), _, times) in ways.named(("still_", still), ("", backup)) {
        for (limit, head) in Limit::ALL.into_iter().zip(heads) {
            let cell = |(case, until): (Case, &Traced<_>)| {
                let id = format!("power_cut_times.{prefix}{}_{}", limit.key(), case.key());
                figure(id, || time(**until, words)).says(UNTIL).never_above().into()
            };
            let cells = Case::ALL.into_iter().zip(times.of(limit)).map(cell).collect();
            rows.push(Row { head: Cell::Words(head.to_owned()), cells });
        }
    }
    Table::new("power_cut_times", rows)
}

/// Time → oxygen at the worst and as is likely, with nothing and with what the tank has.
pub(super) fn hours_table(chain: &Chain<'_>, ways: &Ways<'_>) -> Result<Table, Error> {
    let words = &chain.rules.words.power_cut;
    let still = [words.still_worst(), words.still_likely(), words.still_best()];
    let backup = [words.backup_worst(), words.backup_likely(), words.backup_best()];
    let heads = [words.after()].into_iter().chain(ways.named(still, backup).flat_map(|(heads, ..)| heads));
    let mut rows = Vec::new();
    for hours in &*chain.rules.power_cut.hours {
        let head = figure(format!("power_cut_hours.{}", rows.len() + 1), || *hours);
        let after = head.value();
        let mut cells = Vec::new();
        for (key, running, _) in ways.named("still", "backup") {
            for case in Case::ALL {
                let id = format!("{}.{key}_{}", head.id(), case.key());
                let left = try_figure(id, || chain.course(case, running)?.after(*after))?;
                cells.push(
                    left.says("start − fall × (1 − e^(−a t)) ÷ a in each stretch").never_above().into(),
                );
            }
        }
        rows.push(Row { head: head.into(), cells });
    }
    Ok(Table::new("power_cut_hours", rows).headed(heads))
}

/// What brings oxygen in → the times at the worst and as is likely, for things that this tank has or could
/// have.
///
/// - `depth`: how deep the stone of the example air pump lies
pub(super) fn backups_table(chain: &Chain<'_>, depth: Traced<Length>) -> Result<Table, Error> {
    let (rules, words) = (&chain.rules.oxygen, &chain.rules.words.power_cut);
    let example = Traced::ok(|| {
        let outlet = outlet_area(Outlet::Round { diameter: *rules.backup_outlet });
        Ok::<_, Error>(Brings::Stirring(oxygen::jet_power(
            *rules.backup_flow,
            outlet,
            chain.state(),
            chain.rules,
        )?))
    })?;
    let air = Traced::new(|| Brings::Air { air: *rules.backup_air, depth: *depth });
    let ways = [
        ("nothing", words.alone_nothing(), None),
        ("jug", words.alone_jug(), Some(Traced::new(|| chain.poured()))),
        ("air", words.alone_air(), Some(air)),
        ("pump", words.alone_pump(), Some(example)),
    ];
    let mut rows = Vec::new();
    for (way, head, brings) in &ways {
        let mut cells = Vec::new();
        for (limit, case) in
            [(Limit::Aim, Case::Worst), (Limit::Danger, Case::Worst), (Limit::Danger, Case::Likely)]
        {
            let id = format!("power_cut_backups.{way}_{}_{}", limit.key(), case.key());
            let until = try_figure(id, || {
                let Some(brings) = brings else { return Ok(time(chain.until(limit, case, &[])?, words)) };
                let lasts = *chain.rules.power_cut.wanted;
                let until = chain.until(limit, case, &[Running { lasts, brings: **brings }])?;
                // No promise is made for longer than the wanted time.
                Ok(match *way {
                    _ if until.seconds() < lasts.si() => time(until, words),
                    "jug" => Value::from(words.not_while_poured()),
                    _ => Value::from(words.not_while_it_runs()),
                })
            })?;
            cells.push(until.says(UNTIL).never_above().into());
        }
        rows.push(Row { head: Cell::Words((*head).to_owned()), cells });
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
    let (rules, words) = (chain.rules, &chain.rules.words.power_cut);
    let mut rows = Vec::new();
    for on in on_offer.iter().filter(|on| on.pump == best.pump) {
        let id = format!("{SETTINGS}.{}", rows.len() + 1);
        let flow = figure(format!("{id}.flow"), || *on.flow).says("rated flow × setting");
        let draw = figure(format!("{id}.draw"), || *on.draw).says(DRAW).never_below();
        let load = draw.value();
        let lasts = || power::battery_lasts(battery, *load, &rules.power);
        let lasts = try_figure(format!("{id}.lasts"), lasts)?.never_above();
        let runs = lasts.value();
        let until = |limit: Limit| {
            let until = try_figure(format!("{id}.{}", limit.key()), || {
                let running: Vec<_> = air.into_iter().chain([on.running(*runs)]).collect();
                Ok(time(chain.until(limit, Case::Worst, &running)?, words))
            })?;
            Ok::<_, Error>(until.says(UNTIL).never_above().into())
        };
        let cells = vec![flow.into(), draw.into(), lasts.into(), until(Limit::Aim)?, until(Limit::Danger)?];
        let head = match on.setting {
            Some(setting) => figure(id, || setting).into(),
            None => Cell::Words(words.only_setting().to_owned()),
        };
        rows.push(Row { head, cells });
    }
    Ok(Table::new(SETTINGS, rows).captioned(words.settings_caption(best.pump.words(words))))
}

/// Oxygen against time after the pumps stop, with the two limits.
pub(super) fn left_chart(chain: &Chain<'_>, ways: &Ways<'_>) -> Result<Chart, Error> {
    let (hours, words) = (*chain.rules.power_cut.wanted, &chain.rules.words.power_cut);
    let x = Axis::new(Kind::Time, 0.0, hours.si());
    let y = Axis::new(Kind::Concentration, 0.0, chain.start.high.si() * 1.1);
    let mut chart = Chart::new("oxygen_left", x, y).never_above();
    let still = [words.still_worst(), words.still_likely()];
    let backup = [words.curve_worst(), words.curve_likely()];
    for (names, running, _) in ways.named(still, backup) {
        for (case, name) in [Case::Worst, Case::Likely].into_iter().zip(names) {
            let course = chain.course(case, running)?;
            let at = |step: u32| {
                let time = hours * (f64::from(step) / 48.0);
                Ok((time.si(), course.after(time)?.si()))
            };
            chart = chart.line(name, (0..=48).map(at).collect::<Result<Vec<_>, Error>>()?);
        }
    }
    let limits = &chain.rules.oxygen;
    Ok(chart.level(words.level_aim(), *limits.aim_limit).level(words.level_danger(), *limits.danger_limit))
}

/// When → what to do and why.
pub(super) fn steps_table(steps: Vec<Step>, words: &words::PowerCut) -> Table {
    let row = |(at, step): (usize, Step)| {
        let head = match step.when {
            When::After(time) if time.si() < MINUTE => Cell::Words(words.when_at_once().to_owned()),
            When::After(time) => figure(format!("power_cut_steps.{}", at + 1), || time).never_above().into(),
            When::PowerBack => Cell::Words(words.when_power_back().to_owned()),
        };
        Row { head, cells: vec![Cell::Words(step.what), Cell::Words(step.why)] }
    };
    Table::new("power_cut_steps", steps.into_iter().enumerate().map(row).collect())
}
