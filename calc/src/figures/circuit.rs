//! The circuit on the sheet: what hangs on it, what is left, and how soon a residual-current device cuts it
//! off.

use uom::si::f64::{ElectricCurrent, Power, Volume};

use super::ids::{circuit as id, plan, power};
use crate::catalogue::Catalogue;
use crate::error::Error;
use crate::formulas::circuit::{
    Verdict, continuous_limit, current_range, left, power_left, share, trip_time, verdict,
};
use crate::rules::circuit::CircuitRules;
use crate::rules::{Band, Rules, words};
use crate::sheet::{Cell, Figure, Reckoned, Row, Sheet, Table, figure, try_figure};
use crate::tank::Tank;
use crate::trace::Traced;
use crate::words::listed;

/// Adds the figures of this topic: `circuit.…`. What runs from the sockets of the tank and is in its file
/// counts: the return pump, the skimmer, the pumps that hang in the tank, at full, and what the file says of
/// other loads. Where no pump hangs yet, those of the plan count, so the plan goes first. Of nothing, nothing
/// is told.
pub(crate) fn figures(
    sheet: &mut Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
) -> Result<(), Error> {
    let (home, words) = (&tank.home, &rules.words.circuit);
    let voltage = figure(id::VOLTAGE, || *home.voltage).assumes(tank, "home.voltage");
    let breaker = figure(id::BREAKER, || *home.breaker).assumes(tank, "home.breaker");
    let mut rows = vec![row(sheet, &voltage), row(sheet, &breaker)];
    sheet.put(voltage);
    let breaker = sheet.put(breaker);
    let limit = try_figure(id::LIMIT, || continuous_limit(*breaker, &rules.circuit))?.never_above();
    let limit_row = row(sheet, &limit);
    sheet.put(limit);
    let loads = put_loads(sheet, catalogue, tank)?;
    rows.extend(loads.rows);
    let mut verdict = None;
    if loads.powers.is_empty() {
        let why = words.nothing_hangs(&tank.name);
        let (load, current, verdict) = (id::LOAD.name(), id::CURRENT.name(), id::VERDICT.name());
        let parts = [load, current, id::SHARE.name(), id::LEFT.name(), id::LEFT_POWER.name(), verdict];
        parts.into_iter().for_each(|part| sheet.lack(part, &*why));
        rows.push(limit_row);
    } else {
        let (sum, borne) = put_load(sheet, rules, tank, &loads.powers, limit_row)?;
        rows.extend(sum);
        verdict = Some(borne);
    }
    sheet.tabulate(|| Ok(circuit_table(rows, verdict.as_ref(), words)))?;
    sheet.put(figure(id::NOT_COUNTED, || not_counted(tank, words)));
    let device = if home.residual_current { words.device() } else { words.no_device() };
    sheet.put(figure(id::DEVICE, || device.to_owned()));
    sheet.tabulate(|| times_table(&rules.circuit))
}

/// What hangs on the circuit: a row of the table for each, and its power.
#[derive(Default)]
struct Loads {
    rows: Vec<Row>,
    powers: Vec<Traced<Power>>,
}

impl Loads {
    fn put(&mut self, sheet: &mut Sheet, load: Reckoned<Power>) {
        let load = load.never_below();
        self.rows.push(row(sheet, &load));
        self.powers.push(sheet.put(load));
    }
}

/// What the tank file puts on the circuit; the plan's pumps where none hang.
fn put_loads(sheet: &mut Sheet, catalogue: &Catalogue, tank: &Tank) -> Result<Loads, Error> {
    let mut loads = Loads::default();
    let other = tank.home.other_load;
    if other > Power::default() {
        loads.put(sheet, figure(id::OTHER_LOAD, || other));
    }
    if tank.return_line.is_some() {
        // Its figure stands on the sheet already.
        let pump = sheet.get(power::RETURN)?;
        loads.rows.push(row(sheet, &figure(power::RETURN, || *pump).never_below()));
        loads.powers.push(pump);
    }
    if let Some(skimmer) = &tank.skimmer {
        let load = figure(id::SKIMMER, || *skimmer.power);
        loads.put(sheet, load.assumes(tank, "skimmer.power"));
    }
    let hung: Vec<_> = tank.pumps.iter().filter_map(|hung| catalogue.pump(&hung.model)).collect();
    if !hung.is_empty() {
        let all = || hung.iter().fold(Power::default(), |sum, pump| sum + pump.power);
        loads.put(sheet, figure(id::PUMPS, all).says("sum of their powers"));
    } else if let Some(full) = sheet.maybe(plan::POWER_FULL) {
        loads.put(sheet, figure(id::PLAN_PUMPS, || *full).says("as the plan has it"));
    }
    Ok(loads)
}

/// How the verdict is found.
const COMPARED: &str = "current compared with limit and breaker";

/// What the loads come to, what is left beside them, and whether the circuit bears it.
fn put_load(
    sheet: &mut Sheet,
    rules: &Rules,
    tank: &Tank,
    loads: &[Traced<Power>],
    limit_row: Row,
) -> Result<(Vec<Row>, Traced<Verdict>), Error> {
    let (rules, words) = (&rules.circuit, &rules.words.circuit);
    let (voltage, breaker, limit) = (sheet.get(id::VOLTAGE)?, sheet.get(id::BREAKER)?, sheet.get(id::LIMIT)?);
    let all = || loads.iter().fold(Power::default(), |sum, power| sum + **power);
    let load = figure(id::LOAD, all).says("sum of the loads that are counted");
    let load = load.never_below();
    let mut rows = vec![row(sheet, &load)];
    let load = sheet.put(load);
    let taken = || current_range(*load, *voltage, *rules.power_factor);
    let taken = try_figure(id::CURRENT, taken)?.never_below();
    rows.push(row(sheet, &taken));
    let taken = sheet.put(taken);
    let of_breaker =
        figure(id::SHARE, || Band { low: share(taken.low, *breaker), high: share(taken.high, *breaker) });
    let of_breaker = of_breaker.never_below();
    rows.extend([row(sheet, &of_breaker), limit_row]);
    sheet.put(of_breaker);
    let rest = figure(id::LEFT, || left(*limit, taken.high));
    if *rest.peek() > ElectricCurrent::default() {
        let rest = rest.never_above();
        rows.push(row(sheet, &rest));
        let rest = sheet.put(rest);
        let power =
            figure(id::LEFT_POWER, || power_left(*rest, *voltage, rules.power_factor.low)).never_above();
        rows.push(row(sheet, &power));
        sheet.put(power);
    } else {
        let why = words.nothing_is_left(&tank.name);
        sheet.lack(id::LEFT, &*why);
        sheet.lack(id::LEFT_POWER, why);
        sheet.warn(words.nothing_left_for_hours());
    }
    let verdict = Traced::new(|| verdict(*taken, *limit, *breaker));
    let told = || verdict.words(words).to_owned();
    if *verdict.peek() != Verdict::Bears {
        sheet.put(figure(id::OVERLOADED, told).says(COMPARED));
    }
    sheet.put(figure(id::VERDICT, told).says(COMPARED));
    Ok((rows, verdict))
}

/// What hangs on most circuits of a tank, or belongs to what its file names, and is not in the file.
fn not_counted(tank: &Tank, words: &words::Circuit) -> String {
    let mut parts = Vec::new();
    if tank.home.other_load == Power::default() {
        parts.extend([words.heater(), words.lights()]);
    }
    if tank.return_line.is_none() && tank.sump > Volume::default() {
        parts.push(words.pump_of_the_sump());
    }
    if tank.battery.is_some() {
        parts.push(words.charger());
    }
    parts.push(words.whatever_else());
    listed(&parts)
}

/// A row of the sum of the circuit: the figure once more.
fn row<T: Clone>(sheet: &Sheet, figure: &Reckoned<T>) -> Row {
    let title = sheet.title(figure.id()).to_owned();
    let id = format!("circuit_sum.{}", figure.id().rsplit('.').next().unwrap_or_default());
    let cell = figure.clone().titled(title.as_str()).with(|figure| Figure { id, ..figure });
    Row { head: Cell::Words(title), cells: vec![cell.into()] }
}

/// The sum of a circuit: what hangs on it, what that takes, and what is left; with the verdict where
/// something is counted.
fn circuit_table(mut rows: Vec<Row>, verdict: Option<&Traced<Verdict>>, words: &words::Circuit) -> Table {
    rows.extend(verdict.map(|verdict| {
        let told = Cell::Words(verdict.words(words).to_owned());
        Row { head: Cell::Words(words.the_circuit().to_owned()), cells: vec![told] }
    }));
    let caption = if verdict.is_some() { words.what_hangs() } else { words.nothing_known() };
    Table::new("circuit_sum", rows).captioned(caption)
}

/// How soon an interrupter must have switched off.
fn times_table(rules: &CircuitRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for residual in &*rules.faults {
        let head = figure(format!("circuit_times.{}", rows.len() + 1), || *residual);
        let current = head.value();
        let id = format!("{}.time", head.id());
        let time = try_figure(id, || trip_time(*current, rules))?.never_below();
        rows.push(Row { head: head.into(), cells: vec![time.into()] });
    }
    Ok(Table::new("circuit_times", rows))
}

#[cfg(test)]
mod tests;
