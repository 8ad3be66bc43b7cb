//! The circuit on the sheet: what hangs on it, what is left, and how soon a residual-current device cuts it off.

use uom::si::f64::{ElectricCurrent, Power, Volume};

use super::ids::{circuit as id, plan, power};
use crate::catalogue::Catalogue;
use crate::error::Error;
use crate::formulas::circuit::{Verdict, continuous_limit, current_range, left, power_left, share, trip_time, verdict};
use crate::rules::circuit::CircuitRules;
use crate::rules::{Band, Rules};
use crate::sheet::{Cell, Figure, Origin, Reckoned, Row, Sheet, Table, figure, try_figure};
use crate::tank::Tank;
use crate::trace::Traced;

/// Adds the figures of this topic: `circuit.…`. What runs from the sockets of the tank and is in its file counts: the return pump, the
/// skimmer, the pumps that hang in the tank, at full, and what the file says of other loads. Where no pump hangs yet, those of the plan
/// count, so the plan goes first. Of nothing, nothing is told.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    let (rules, home) = (&rules.circuit, &tank.home);
    let voltage = figure(id::VOLTAGE, "Voltage of the sockets", || *home.voltage).assumes(tank, "home.voltage");
    let breaker = figure(id::BREAKER, "Rating of the breaker", || *home.breaker).assumes(tank, "home.breaker");
    let mut rows = vec![row(&voltage), row(&breaker)];
    sheet.put(voltage);
    let breaker = sheet.put(breaker);
    let title = "Current that may run for hours on this circuit";
    let limit = try_figure(id::LIMIT, title, || continuous_limit(*breaker, rules))?.never_above();
    let limit_row = row(&limit);
    sheet.put(limit);
    let loads = put_loads(sheet, catalogue, tank)?;
    rows.extend(loads.rows);
    let mut verdict = None;
    if loads.powers.is_empty() {
        let why = format!(
            "The file of {} names nothing that hangs on the circuit, so nothing is said of what it bears. Write the pumps, [return], \
             [skimmer], or other_load under [home] into it.",
            tank.name
        );
        let (load, current, verdict) = (id::LOAD.name(), id::CURRENT.name(), id::VERDICT.name());
        let parts = [load, current, id::SHARE.name(), id::LEFT.name(), id::LEFT_POWER.name(), verdict];
        parts.into_iter().for_each(|part| sheet.lack(part, &*why));
        rows.push(limit_row);
    } else {
        let (sum, borne) = put_load(sheet, rules, tank, &loads.powers, limit_row)?;
        rows.extend(sum);
        verdict = Some(borne);
    }
    sheet.tabulate(|| Ok(circuit_table(rows, verdict.as_ref())))?;
    sheet.put(figure(id::NOT_COUNTED, "What is not counted", || not_counted(tank)));
    let device = if home.residual_current {
        "the tank file says that a residual-current device guards them"
    } else {
        "the tank file names no residual-current device, so this book counts on none"
    };
    sheet.put(figure(id::DEVICE, "Whether a residual-current device guards the sockets", || device.to_owned()));
    sheet.tabulate(|| times_table(rules))
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
        self.rows.push(row(&load));
        self.powers.push(sheet.put(load));
    }
}

/// What the tank file puts on the circuit; the plan's pumps where none hang.
fn put_loads(sheet: &mut Sheet, catalogue: &Catalogue, tank: &Tank) -> Result<Loads, Error> {
    let mut loads = Loads::default();
    let other = tank.home.other_load;
    if other > Power::default() {
        loads.put(sheet, figure(id::OTHER_LOAD, "What else runs on the circuit for hours", || other));
    }
    if tank.return_line.is_some() {
        // Its figure stands on the sheet already.
        let pump = sheet.get(power::RETURN)?;
        loads.rows.push(row(&figure(power::RETURN, "Power of the return pump", || *pump).never_below()));
        loads.powers.push(pump);
    }
    if let Some(skimmer) = &tank.skimmer {
        let load = figure(id::SKIMMER, "Power of the skimmer", || *skimmer.power);
        loads.put(sheet, load.assumes(tank, "skimmer.power"));
    }
    let hung: Vec<_> = tank.pumps.iter().filter_map(|hung| catalogue.pump(&hung.model)).collect();
    if !hung.is_empty() {
        let all = || hung.iter().fold(Power::default(), |sum, pump| sum + pump.power);
        loads.put(sheet, figure(id::PUMPS, "Power of the pumps in the tank, at full", all).says("sum of their powers"));
    } else if let Some(full) = sheet.maybe(plan::POWER_FULL) {
        let title = "Power of the plan's pumps, at full: none hangs in the tank yet";
        loads.put(sheet, figure(id::PLAN_PUMPS, title, || *full).says("as the plan has it"));
    }
    Ok(loads)
}

/// What the loads come to, what is left beside them, and whether the circuit bears it.
fn put_load(
    sheet: &mut Sheet,
    rules: &CircuitRules,
    tank: &Tank,
    loads: &[Traced<Power>],
    limit_row: Row,
) -> Result<(Vec<Row>, Traced<Verdict>), Error> {
    let (voltage, breaker, limit) = (sheet.get(id::VOLTAGE)?, sheet.get(id::BREAKER)?, sheet.get(id::LIMIT)?);
    let all = || loads.iter().fold(Power::default(), |sum, power| sum + **power);
    let load = figure(id::LOAD, "All that is counted on the circuit", all).says("sum of the loads that are counted");
    let load = load.never_below();
    let mut rows = vec![row(&load)];
    let load = sheet.put(load);
    let taken = || current_range(*load, *voltage, *rules.power_factor);
    let taken = try_figure(id::CURRENT, "Current of that load", taken)?.never_below();
    rows.push(row(&taken));
    let taken = sheet.put(taken);
    let of_breaker = figure(id::SHARE, "Share of the breaker's rating that the load takes", || Band {
        low: share(taken.low, *breaker),
        high: share(taken.high, *breaker),
    });
    let of_breaker = of_breaker.never_below();
    rows.extend([row(&of_breaker), limit_row]);
    sheet.put(of_breaker);
    let rest = figure(id::LEFT, "Current left for more that runs for hours", || left(*limit, taken.high));
    if *rest.peek() > ElectricCurrent::default() {
        let rest = rest.never_above();
        rows.push(row(&rest));
        let rest = sheet.put(rest);
        let title = "Power left for more that runs for hours";
        let power = figure(id::LEFT_POWER, title, || power_left(*rest, *voltage, rules.power_factor.low)).never_above();
        rows.push(row(&power));
        sheet.put(power);
    } else {
        let why = format!("Nothing is left on the circuit of {}.", tank.name);
        sheet.lack(id::LEFT, &*why);
        sheet.lack(id::LEFT_POWER, why);
    }
    let verdict = Traced::new(|| verdict(*taken, *limit, *breaker));
    let compared = "current compared with limit and breaker";
    if *verdict.peek() != Verdict::Bears {
        let words = || verdict.words().to_owned();
        sheet.put(figure(id::OVERLOADED, "That the circuit is overloaded", words).says(compared));
    }
    let words = || verdict.words().to_owned();
    sheet.put(figure(id::VERDICT, "Whether the circuit bears it", words).says(compared));
    Ok((rows, verdict))
}

/// What hangs on most circuits of a tank, or belongs to what its file names, and is not in the file.
fn not_counted(tank: &Tank) -> String {
    let mut parts = Vec::new();
    if tank.home.other_load == Power::default() {
        parts.push("heater, lights");
    }
    if tank.return_line.is_none() && tank.sump > Volume::default() {
        parts.push("the return pump of the sump");
    }
    if tank.battery.is_some() {
        parts.push("the charger of the battery");
    }
    parts.push("whatever else hangs on the circuit");
    match parts.as_slice() {
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
        [] => String::new(),
    }
}

/// A row of the sum of the circuit: the figure once more.
fn row<T: Clone>(figure: &Reckoned<T>) -> Row {
    let mut title = String::new();
    let cell = figure.clone().with(|figure| {
        title.clone_from(&figure.title);
        let id = format!("circuit_sum.{}", figure.id.rsplit('.').next().unwrap_or_default());
        Figure { id, ..figure }
    });
    Row { head: Cell::Words(title), cells: vec![cell.into()] }
}

/// The sum of a circuit: what hangs on it, what that takes, and what is left; with the verdict where something is counted.
fn circuit_table(mut rows: Vec<Row>, verdict: Option<&Traced<Verdict>>) -> Table {
    rows.extend(verdict.map(|verdict| {
        let words = Cell::Words(verdict.words().to_owned());
        Row { head: Cell::Words("The circuit".to_owned()), cells: vec![words] }
    }));
    let is_loaded = verdict.is_some();
    let caption = if is_loaded { "What hangs on the circuit" } else { "The circuit, as nothing is known to hang on it" };
    let heads = ["What", "How much"].map(str::to_owned).into();
    Table { id: "circuit_sum", caption: caption.to_owned(), heads, rows, origin: Origin::default() }
}

/// How soon an interrupter must have switched off.
fn times_table(rules: &CircuitRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for residual in &*rules.faults {
        let head = figure(format!("circuit_times.{}", rows.len() + 1), "Residual current", || *residual);
        let current = head.value();
        let id = format!("{}.time", head.id());
        let time = try_figure(id, "Longest time until it is off", || trip_time(*current, rules))?.never_below();
        rows.push(Row { head: head.into(), cells: vec![time.into()] });
    }
    Ok(Table {
        id: "circuit_times",
        caption: "How soon a class A ground-fault circuit-interrupter must switch off".to_owned(),
        heads: ["Residual current", "At the latest after"].map(str::to_owned).into(),
        rows,
        origin: Origin::default(),
    })
}

#[cfg(test)]
mod tests;
