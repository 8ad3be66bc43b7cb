//! The circuit: how much of it a tank takes, and how soon a residual-current device cuts it off.
//!
//! These figures stand beside the caution on mains and water. They inform; they never replace the local code or a licensed
//! electrician.

use uom::si::f64::{ElectricCurrent, ElectricPotential, Power, Time};

use crate::catalogue::Catalogue;
use crate::error::{Error, within};
use crate::quantity::{Dimension, Share};
use crate::rules::circuit::CircuitRules;
use crate::rules::{Band, Rules};
use crate::sheet::{Cell, Figure, Row, Sheet, Table, Value};
use crate::tank::Tank;

/// Current that a load takes: `I = P / (V × power factor)`, from its lowest to its highest.
///
/// - `load`: up to 50 kW
/// - `voltage`: from 90 V to 260 V, one phase
/// - `power_factor`: from rule `circuit.power_factor`, its low end above 0
///
/// # Errors
/// [`Error::OutOfRange`] for a value outside those ranges.
///
/// # Source
/// The definition of power and of the power factor.
pub fn current(load: Power, voltage: ElectricPotential, power_factor: Band<Share>) -> Result<Band<ElectricCurrent>, Error> {
    let load = within("the load", load, Power::from_si(0.0)..=Power::from_si(50_000.0))?;
    let voltage = within("the voltage", voltage, ElectricPotential::from_si(90.0)..=ElectricPotential::from_si(260.0))?;
    let worst = within("the power factor", power_factor.low, Share(0.1)..=Share(1.0))?;
    let best = within("the power factor", power_factor.high, worst..=Share(1.0))?;
    let real = load / voltage;
    Ok(Band { low: real / best.0, high: real / worst.0 })
}

/// The current that may run for hours on a circuit: the breaker's rating over rule `circuit.continuous_factor`.
///
/// - `breaker`: its rating, from 1 A to 125 A
///
/// # Errors
/// [`Error::OutOfRange`] for another rating.
///
/// # Source
/// NFPA 70 (National Electrical Code), 210.20(A): 125 % of a continuous load, so 12 A on 15 A and 16 A on 20 A.
/// ```
/// use reckoner_calc::{Rules, circuit, quantity::{Dimension, parse}};
/// let rules = Rules::compiled_in().map_err(|problems| format!("{problems:?}"))?;
/// assert!((circuit::continuous_limit(parse("15 A")?, &rules.circuit)?.si() - 12.0).abs() < 1e-12);
/// assert!((circuit::continuous_limit(parse("20 A")?, &rules.circuit)?.si() - 16.0).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn continuous_limit(breaker: ElectricCurrent, rules: &CircuitRules) -> Result<ElectricCurrent, Error> {
    let breaker = within("the rating of the breaker", breaker, ElectricCurrent::from_si(1.0)..=ElectricCurrent::from_si(125.0))?;
    Ok(breaker / rules.continuous_factor.0)
}

/// The longest time that a class A ground-fault circuit-interrupter may take: `T = (20/I)^1.43` s with `I` in mA.
///
/// - `residual`: the current that leaks, from 6 mA to 264 mA
///
/// # Errors
/// [`Error::OutOfRange`] for another current: below, it need not switch off; above, no time is stated.
///
/// # Source
/// UL 943: 5.59 s at 6 mA, 0.025 s at 264 mA.
/// ```
/// use reckoner_calc::{Rules, circuit, quantity::{Dimension, parse}};
/// let rules = Rules::compiled_in().map_err(|problems| format!("{problems:?}"))?;
/// assert!((circuit::trip_time(parse("6 mA")?, &rules.circuit)?.si() - 5.59).abs() <= 0.005);
/// assert!((circuit::trip_time(parse("264 mA")?, &rules.circuit)?.si() - 0.025).abs() <= 0.0005);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn trip_time(residual: ElectricCurrent, rules: &CircuitRules) -> Result<Time, Error> {
    let residual = within("the residual current", residual, rules.gfci_range.low..=rules.gfci_range.high)?;
    let [milliamperes, exponent] = *rules.gfci_time;
    Ok(Time::from_si(libm::pow(milliamperes / (residual.si() * 1e3), exponent)))
}

/// Adds the figures of this topic: `circuit.…`. What runs from the sockets of the tank and is in its file counts: the return pump, the
/// skimmer, the pumps that hang in the tank, at full, and what the file says of other loads. Where no pump hangs yet, those of the plan
/// count, so the plan goes first. Of nothing, nothing is told.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    let (rules, home) = (&rules.circuit, &tank.home);
    let limit = continuous_limit(*home.breaker, rules)?;
    let mut told = vec![
        Figure::new("circuit.voltage", "Voltage of the sockets", *home.voltage).assumes(tank, "home.voltage"),
        Figure::new("circuit.breaker", "Rating of the breaker", *home.breaker).assumes(tank, "home.breaker"),
    ];
    let limit_figure = Figure::new("circuit.limit", "Current that may run for hours on this circuit", limit)
        .from("breaker ÷ what it must be rated for", &["circuit.breaker"])
        .rule("circuit.continuous_factor")
        .never_above();
    let loads = loads(sheet, catalogue, tank);
    let mut rows = told.clone();
    if loads.is_empty() {
        let why = format!(
            "The file of {} names nothing that hangs on the circuit, so nothing is said of what it bears. Write the pumps, [return], \
             [skimmer], or other_load under [home] into it.",
            tank.name
        );
        for part in ["load", "current", "share", "left", "left_power", "verdict"] {
            sheet.lack(&format!("circuit.{part}"), &*why);
        }
        told.push(limit_figure.clone());
        rows.push(limit_figure);
        sheet.put_table(circuit_table(&rows, None));
    } else {
        let verdict = load_figures(sheet, rules, tank, &loads, (limit, limit_figure), &mut told)?;
        rows.extend(loads.into_iter().map(|(figure, _)| figure));
        // The figures of other topics stand on the sheet already.
        let own: Vec<_> = rows.iter().skip(2).filter(|load| sheet.figure(&load.id).is_none()).cloned().collect();
        rows.extend(told.iter().skip(2).cloned());
        sheet.put_table(circuit_table(&rows, Some(verdict)));
        told.extend(own);
    }
    told.into_iter().for_each(|figure| sheet.put(figure));
    let not_counted = not_counted(tank);
    sheet.put(Figure::new("circuit.not_counted", "What is not counted", not_counted.as_str()));
    let device = if home.residual_current {
        "the tank file says that a residual-current device guards them"
    } else {
        "the tank file names no residual-current device, so this book counts on none"
    };
    sheet.put(Figure::new("circuit.device", "Whether a residual-current device guards the sockets", device));
    sheet.put_table(times_table(rules)?);
    Ok(())
}

/// What the loads come to, what is left beside them, and whether the circuit bears it.
fn load_figures(
    sheet: &mut Sheet,
    rules: &CircuitRules,
    tank: &Tank,
    loads: &[(Figure, Power)],
    (limit, limit_figure): (ElectricCurrent, Figure),
    told: &mut Vec<Figure>,
) -> Result<Verdict, Error> {
    let home = &tank.home;
    let load = loads.iter().fold(Power::default(), |sum, (_, power)| sum + *power);
    let inputs: Vec<_> = loads.iter().map(|(figure, _)| figure.id.as_str()).collect();
    let taken = current(load, *home.voltage, *rules.power_factor)?;
    let share = Band { low: Share((taken.low / *home.breaker).si()), high: Share((taken.high / *home.breaker).si()) };
    told.push(
        Figure::new("circuit.load", "All that is counted on the circuit", load)
            .from("sum of the loads that are counted", &inputs)
            .never_below(),
    );
    told.push(
        Figure::new("circuit.current", "Current of that load", taken)
            .from("load ÷ voltage ÷ power factor", &["circuit.load", "circuit.voltage"])
            .rule("circuit.power_factor")
            .never_below(),
    );
    told.push(
        Figure::new("circuit.share", "Share of the breaker's rating that the load takes", share)
            .from("current ÷ breaker", &["circuit.current", "circuit.breaker"])
            .never_below(),
    );
    told.push(limit_figure);
    let left = limit - taken.high;
    if left > ElectricCurrent::default() {
        told.push(
            Figure::new("circuit.left", "Current left for more that runs for hours", left)
                .from("limit − highest current", &["circuit.limit", "circuit.current"])
                .never_above(),
        );
        told.push(
            Figure::new("circuit.left_power", "Power left for more that runs for hours", left * *home.voltage * rules.power_factor.low.0)
                .from("current left × voltage × lowest power factor", &["circuit.left", "circuit.voltage"])
                .rule("circuit.power_factor")
                .never_above(),
        );
    } else {
        let why = format!("Nothing is left on the circuit of {}.", tank.name);
        sheet.lack("circuit.left", &*why);
        sheet.lack("circuit.left_power", why);
    }
    let compared =
        |figure: Figure| figure.from("current compared with limit and breaker", &["circuit.current", "circuit.limit", "circuit.breaker"]);
    let verdict = verdict(taken, limit, *home.breaker);
    if verdict != Verdict::Bears {
        sheet.put(compared(Figure::new("circuit.overloaded", "That the circuit is overloaded", verdict.words())));
    }
    sheet.put(compared(Figure::new("circuit.verdict", "Whether the circuit bears it", verdict.words())));
    Ok(verdict)
}

/// What hangs on most circuits of a tank, or belongs to what its file names, and is not in the file.
fn not_counted(tank: &Tank) -> String {
    let mut parts = Vec::new();
    if tank.home.other_load == Power::default() {
        parts.push("heater, lights");
    }
    if tank.return_line.is_none() && tank.sump > uom::si::f64::Volume::default() {
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

/// Whether a circuit bears what hangs on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Even at the worst it stays within what may run for hours.
    Bears,
    /// At the worst power factor it passes what may run for hours, but not the breaker's rating.
    PastTheLimit,
    /// At the worst power factor it passes the breaker's rating.
    MayBeOverloaded,
    /// Even at the best power factor it passes the breaker's rating.
    IsOverloaded,
}

impl Verdict {
    /// In words, as the end of a sentence on the circuit.
    pub fn words(self) -> &'static str {
        match self {
            Verdict::Bears => "bears what is counted here, even at the worst power factor",
            Verdict::PastTheLimit => "is overloaded for hours on end at the worst power factor",
            Verdict::MayBeOverloaded => "is overloaded at the worst power factor: the breaker may trip",
            Verdict::IsOverloaded => "is overloaded: the breaker will trip",
        }
    }
}

/// Whether a circuit bears a current.
///
/// - `taken`: from the best power factor to the worst
/// - `limit`: what may run for hours, as [`continuous_limit`] gives it
/// - `breaker`: its rating
pub fn verdict(taken: Band<ElectricCurrent>, limit: ElectricCurrent, breaker: ElectricCurrent) -> Verdict {
    if taken.low > breaker {
        Verdict::IsOverloaded
    } else if taken.high > breaker {
        Verdict::MayBeOverloaded
    } else if taken.high > limit {
        Verdict::PastTheLimit
    } else {
        Verdict::Bears
    }
}

/// What the tank file puts on the circuit, with a figure for each; the plan's pumps where none hang.
fn loads(sheet: &Sheet, catalogue: &Catalogue, tank: &Tank) -> Vec<(Figure, Power)> {
    let mut loads = Vec::new();
    let mut add = |figure: Figure, power| loads.push((figure.never_below(), power));
    let other = tank.home.other_load;
    if other > Power::default() {
        add(Figure::new("circuit.other_load", "What else runs on the circuit for hours", other), other);
    }
    if let Some(line) = &tank.return_line {
        add(Figure::new("power.return", "Power of the return pump", line.pump_power), line.pump_power);
    }
    if let Some(skimmer) = &tank.skimmer {
        add(Figure::new("circuit.skimmer", "Power of the skimmer", *skimmer.power).assumes(tank, "skimmer.power"), *skimmer.power);
    }
    let hung: Vec<_> = tank.pumps.iter().filter_map(|hung| catalogue.pump(&hung.model)).collect();
    if !hung.is_empty() {
        let power = hung.iter().fold(Power::default(), |sum, pump| sum + pump.power);
        add(Figure::new("circuit.pumps", "Power of the pumps in the tank, at full", power).from("sum of their powers", &[]), power);
    } else if let Some(Value::One(full)) = sheet.figure("plan.power_full").map(|figure| &figure.value) {
        let power = Power::from_si(full.si);
        let title = "Power of the plan's pumps, at full: none hangs in the tank yet";
        add(Figure::new("circuit.plan_pumps", title, power).from("as the plan has it", &["plan.power_full"]), power);
    }
    loads
}

/// The sum of a circuit: what hangs on it, what that takes, and what is left; with the verdict where something is counted.
fn circuit_table(figures: &[Figure], verdict: Option<Verdict>) -> Table {
    let row = |figure: &Figure| {
        let mut cell = figure.clone();
        cell.id = format!("circuit_sum.{}", figure.id.rsplit('.').next().unwrap_or_default());
        Row { head: Cell::Words(figure.title.clone()), cells: vec![Cell::Figure(cell)] }
    };
    let mut rows: Vec<_> = figures.iter().map(row).collect();
    rows.extend(
        verdict.map(|verdict| Row { head: Cell::Words("The circuit".to_owned()), cells: vec![Cell::Words(verdict.words().to_owned())] }),
    );
    let caption = if verdict.is_some() { "What hangs on the circuit" } else { "The circuit, as nothing is known to hang on it" };
    let heads = ["What", "How much"].map(str::to_owned).into();
    Table { id: "circuit_sum", caption: caption.to_owned(), heads, rows, origin: crate::sheet::Origin::default() }
}

/// How soon an interrupter must have switched off.
fn times_table(rules: &CircuitRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for residual in &*rules.faults {
        let head = Figure::new(format!("circuit_times.{}", rows.len() + 1), "Residual current", *residual).rule("circuit.faults");
        let time = Figure::new(format!("{}.time", head.id), "Longest time until it is off", trip_time(*residual, rules)?)
            .from("(20 mA ÷ current) to the power 1.43, in seconds", &[head.id.as_str()])
            .rule("circuit.gfci_time")
            .rule("circuit.gfci_range")
            .never_below();
        rows.push(Row { head: Cell::Figure(head), cells: vec![Cell::Figure(time)] });
    }
    Ok(Table {
        id: "circuit_times",
        caption: "How soon a class A ground-fault circuit-interrupter must switch off".to_owned(),
        heads: ["Residual current", "At the latest after"].map(str::to_owned).into(),
        rows,
        origin: crate::sheet::Origin::default(),
    })
}

#[cfg(test)]
mod tests;
