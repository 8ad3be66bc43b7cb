//! The circuit: how much of it a tank takes, and how soon a residual-current device cuts it off.
//!
//! These figures stand beside the caution on mains and water. They inform; they never replace the local code or a licensed
//! electrician.

use uom::si::f64::{ElectricCurrent, ElectricPotential, Power, Time};

use crate::error::{Error, within};
use crate::quantity::{Dimension, Share};
use crate::rules::{Band, Rules, Topic};
use crate::sheet::{Cell, Figure, Row, Sheet, Table};
use crate::tank::Tank;

/// The rules of this topic, `calc/rules/circuit.toml`.
#[derive(Debug, Clone)]
pub struct CircuitRules {
    /// What a circuit must be rated for, of a load that runs for hours.
    pub continuous_factor: Share,
    /// Power factor of small power supplies.
    pub power_factor: Band<Share>,
    /// Residual current of additional protection for people.
    pub rcd_additional_protection: ElectricCurrent,
    /// Sockets that must have it in the United Kingdom, up to this rating.
    pub rcd_sockets: ElectricCurrent,
    /// Residual current at which a class A interrupter switches off.
    pub gfci_trips: ElectricCurrent,
    /// Residual current below which it stays on.
    pub gfci_holds: ElectricCurrent,
    /// Numbers in the longest time it may take.
    pub gfci_time: [f64; 2],
    /// Residual currents for which that time is set.
    pub gfci_range: Band<ElectricCurrent>,
    /// Residual currents in the table of times.
    pub faults: Vec<ElectricCurrent>,
}

impl CircuitRules {
    pub(crate) fn read(topic: &mut Topic<'_, '_>) -> Option<Self> {
        let continuous_factor = topic.one("continuous_factor", "100 %"..="200 %");
        let power_factor = topic.band("power_factor", "20 %"..="100 %");
        let rcd_additional_protection = topic.one("rcd_additional_protection", "1 mA"..="500 mA");
        let rcd_sockets = topic.one("rcd_sockets", "1 A"..="125 A");
        let gfci_trips = topic.one("gfci_trips", "1 mA"..="500 mA");
        let gfci_holds = topic.one("gfci_holds", "1 mA"..="500 mA");
        let gfci_time = topic.coefficients("gfci_time");
        let gfci_range = topic.band("gfci_range", "1 mA"..="1 A");
        let faults = topic.list("faults", "1 mA"..="1 A");
        Some(CircuitRules {
            continuous_factor: continuous_factor?,
            power_factor: power_factor?,
            rcd_additional_protection: rcd_additional_protection?,
            rcd_sockets: rcd_sockets?,
            gfci_trips: gfci_trips?,
            gfci_holds: gfci_holds?,
            gfci_time: gfci_time?,
            gfci_range: gfci_range?,
            faults: faults?,
        })
    }
}

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
    let [milliamperes, exponent] = rules.gfci_time;
    Ok(Time::from_si(libm::pow(milliamperes / (residual.si() * 1e3), exponent)))
}

/// Adds the figures of this topic: `circuit.…`. The pumps that hang in the tank are not among the loads here.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let (rules, home) = (&rules.circuit, &tank.home);
    let limit = continuous_limit(home.breaker, rules)?;
    sheet.put(Figure::new("circuit.voltage", "Voltage of the sockets", home.voltage));
    sheet.put(Figure::new("circuit.breaker", "Rating of the breaker", home.breaker));
    sheet.put(
        Figure::new("circuit.limit", "Current that may run for hours on this circuit", limit)
            .from("breaker ÷ what it must be rated for", &["circuit.breaker"])
            .rule("circuit.continuous_factor")
            .never_above(),
    );
    sheet.put(Figure::new("circuit.other_load", "What else runs on the circuit for hours", home.other_load).never_below());
    let mut load = home.other_load;
    let mut inputs = vec!["circuit.other_load"];
    if let Some(line) = tank.return_line {
        load += line.pump_power;
        // The figures of the power topic hold the return pump's draw.
        inputs.push("power.return");
    }
    sheet.put(
        Figure::new("circuit.load", "Load on the circuit, without the pumps that hang in the tank", load)
            .from("other load + return pump", &inputs)
            .never_below(),
    );
    let taken = current(load, home.voltage, rules.power_factor)?;
    sheet.put(
        Figure::new("circuit.current", "Current of that load", taken)
            .from("load ÷ voltage ÷ power factor", &["circuit.load", "circuit.voltage"])
            .rule("circuit.power_factor")
            .never_below(),
    );
    let share = Band { low: Share((taken.low / home.breaker).si()), high: Share((taken.high / home.breaker).si()) };
    sheet.put(
        Figure::new("circuit.share", "Share of the breaker's rating that the load takes", share)
            .from("current ÷ breaker", &["circuit.current", "circuit.breaker"])
            .never_below(),
    );
    // Nothing is left on a circuit that is overloaded already.
    let left = ElectricCurrent::from_si((limit - taken.high).si().max(0.0));
    sheet.put(
        Figure::new("circuit.left", "Current left for hours of pumps and heaters", left)
            .from("limit − highest current, nothing at the least", &["circuit.limit", "circuit.current"])
            .never_above(),
    );
    sheet.put(
        Figure::new("circuit.left_power", "Power left for hours of pumps and heaters", left * home.voltage * rules.power_factor.low.0)
            .from("current left × voltage × lowest power factor", &["circuit.left", "circuit.voltage"])
            .rule("circuit.power_factor")
            .never_above(),
    );
    sheet.tables.insert("circuit_times", times_table(rules)?);
    Ok(())
}

/// How soon an interrupter must have switched off.
fn times_table(rules: &CircuitRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for residual in &rules.faults {
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
    })
}

#[cfg(test)]
mod tests;
