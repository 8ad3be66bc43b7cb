//! Power: what a pump draws at a setting, what that costs in a year, and how long a battery runs it.
//!
//! A pump follows the affinity laws: with its speed, the flow grows in step, the head with the square and the power with the cube.
//! The laws hold for one pump that moves water against nothing but friction, as a pump that hangs in the tank does. A return pump
//! must lift its water too; for that one, see [`return_line`](crate::formulas::return_line).

use uom::si::f64::{Energy, Length, Power, Ratio, Time, VolumeRate};

use crate::error::{Error, within};
use crate::quantity::{Dimension, Kind, Money, Rounding, Share, System, show};
use crate::rules::power::PowerRules;
use crate::rules::{Band, Rules};
use crate::sheet::{Axis, Cell, Chart, Figure, Item, Op, Row, Sheet, Sum, Table, Value, Working};
use crate::tank::{Battery, Chemistry, Output, Tank};
use crate::words::sentence_case;

/// A day has 24 hours.
const DAY: f64 = 24.0 * 3600.0;
/// A household's year of 365 days.
const DAYS_A_YEAR: f64 = 365.0;

/// Flow at another speed: `Q₂ = Q₁ n₂/n₁`, the first affinity law.
///
/// - `flow`: the flow at the first speed
/// - `flow`: nothing or more
/// - `speed`: the new speed over the first, from 0 to 2
///
/// # Errors
/// [`Error::OutOfRange`] for another speed, [`Error::NoAnswer`] for another flow.
///
/// # Source
/// Crane TP-410M, example 7.33: 400 US gallons a minute at 3500 turns a minute make 194.29 at 1700.
/// ```
/// use reckoner_calc::{power, quantity::{Dimension, parse}};
/// let flow = power::affinity_flow(parse("400 US gal/min")?, 1700.0 / 3500.0)?;
/// let printed: uom::si::f64::VolumeRate = parse("194.29 US gal/min")?;
/// assert!((flow.si() / printed.si() - 1.0).abs() < 1e-3);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn affinity_flow(flow: VolumeRate, speed: f64) -> Result<VolumeRate, Error> {
    at_speed(flow, speed, 1)
}

/// Head at another speed: `H₂ = H₁ (n₂/n₁)²`, the second affinity law.
///
/// # Errors
/// As [`affinity_flow`].
///
/// # Source
/// Crane TP-410M, example 7.33: 126 feet at 3500 turns a minute make 29.73 at 1700.
/// ```
/// use reckoner_calc::{power, quantity::{Dimension, parse}};
/// let head = power::affinity_head(parse("126 ft")?, 1700.0 / 3500.0)?;
/// let printed: uom::si::f64::Length = parse("29.73 ft")?;
/// assert!((head.si() / printed.si() - 1.0).abs() < 1e-3);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn affinity_head(head: Length, speed: f64) -> Result<Length, Error> {
    at_speed(head, speed, 2)
}

/// Power at another speed: `P₂ = P₁ (n₂/n₁)³`, the third affinity law.
///
/// # Errors
/// As [`affinity_flow`].
///
/// # Source
/// Crane TP-410M, example 7.33: 17.5 horsepower at 3500 turns a minute make 2.005 at 1700.
/// ```
/// use reckoner_calc::power;
/// use uom::si::{f64::Power, power::horsepower};
/// let power = power::affinity_power(Power::new::<horsepower>(17.5), 1700.0 / 3500.0)?;
/// assert!((power.get::<horsepower>() / 2.005 - 1.0).abs() < 1e-3);
/// # Ok::<(), reckoner_calc::Error>(())
/// ```
pub fn affinity_power(power: Power, speed: f64) -> Result<Power, Error> {
    at_speed(power, speed, 3)
}

fn at_speed<D: Dimension>(value: D, speed: f64, exponent: u8) -> Result<D, Error> {
    if !(value.si().is_finite() && value.si() >= 0.0) {
        let why = format!("{} is not what a pump can do at the first speed; it must be nothing or more", value.si());
        return Err(Error::NoAnswer { what: "the affinity laws", why });
    }
    let speed = within("the new speed over the first", Ratio::from_si(speed), Ratio::from_si(0.0)..=Ratio::from_si(2.0))?;
    Ok(D::from_si(value.si() * libm::pow(speed.si(), f64::from(exponent))))
}

/// What a pump draws at a setting: `P = P₀ + (P₁ − P₀) s³`.
///
/// - `full`: its draw at full, `P₁`, up to 5 kW
/// - `standing`: what its controller draws at any setting, `P₀`, from nothing to `full`
/// - `setting`: the speed as a share of full speed, `s`
///
/// Assumes that the dial sets the speed, and that the motor is as good at low speed as at full. It is not quite:
/// [`draw_range`] allows for that.
///
/// # Errors
/// [`Error::OutOfRange`] for a setting, draw or standing draw outside those ranges.
///
/// # Source
/// The third affinity law, as in [`affinity_power`].
pub fn draw(full: Power, standing: Power, setting: Share) -> Result<Power, Error> {
    let full = within("the draw at full", full, Power::from_si(0.0)..=Power::from_si(5000.0))?;
    let standing = within("the standing draw", standing, Power::from_si(0.0)..=full)?;
    let setting = within("the setting", setting, Share(0.0)..=Share(1.0))?;
    Ok(standing + affinity_power(full - standing, setting.0)?)
}

/// The lowest and the highest that a meter should show at a setting: [`draw`], with only a share of its saving made.
///
/// - `made`: share of the reckoned saving that is made, from rule `power.saving_made`
///
/// # Errors
/// As [`draw`].
pub fn draw_range(full: Power, standing: Power, setting: Share, made: Band<Share>) -> Result<Band<Power>, Error> {
    let saving = full - draw(full, standing, setting)?;
    Ok(Band { low: full - saving * made.high.0, high: full - saving * made.low.0 })
}

/// What a steady draw uses in a day of 24 hours.
pub fn energy_per_day(draw: Power) -> Energy {
    draw * Time::from_si(DAY)
}

/// What a steady draw uses in a year of 365 days.
pub fn energy_per_year(draw: Power) -> Energy {
    energy_per_day(draw) * DAYS_A_YEAR
}

/// What energy costs: `energy × price`.
///
/// - `price_per_kwh`: price of a kilowatt hour, up to a thousand
///
/// # Errors
/// [`Error::OutOfRange`] for another price, or for an energy that is negative or above a gigawatt hour.
pub fn cost(energy: Energy, price_per_kwh: Money) -> Result<Money, Error> {
    let energy = within("the energy", energy, Energy::from_si(0.0)..=Energy::from_si(3.6e12))?;
    let price = Ratio::from_si(price_per_kwh.amount);
    let price = within("the price of a kilowatt hour", price, Ratio::from_si(0.0)..=Ratio::from_si(1000.0))?;
    Ok(Money { amount: energy.si() / KILOWATT_HOUR * price.si(), currency: price_per_kwh.currency })
}

/// A kilowatt hour in joules, exactly.
const KILOWATT_HOUR: f64 = 3.6e6;

fn times(one: Band<Share>, other: Band<Share>) -> Band<Share> {
    Band { low: Share(one.low.0 * other.low.0), high: Share(one.high.0 * other.high.0) }
}

/// How long a battery runs a load, to count on: its least stored energy over the most that the load takes out of it.
///
/// # Errors
/// As [`run_time`].
pub fn battery_lasts(battery: Battery, draw: Power, rules: &PowerRules) -> Result<Time, Error> {
    run_time(battery.energy, rules.stored(battery.chemistry).low, rules.taken(draw, battery.output).high)
}

/// The energy to look for on a battery that runs a load for so long, counted on its least.
///
/// # Errors
/// As [`battery_for`].
pub fn battery_needed(draw: Power, time: Time, chemistry: Chemistry, output: Output, rules: &PowerRules) -> Result<Energy, Error> {
    battery_for(rules.taken(draw, output).high, time, rules.stored(chemistry).low)
}

/// How long a battery runs a load: `printed energy × usable share ÷ draw`.
///
/// - `printed`: the energy printed on it, from 1 Wh to 1 MWh
/// - `usable`: share of it that reaches the load, from 5 % up
/// - `draw`: the load, from 0.1 W to 5 kW
///
/// # Errors
/// [`Error::OutOfRange`] for a value outside those ranges.
///
/// # Source
/// The definition of power. Half of 100 watt hours runs 10 watts for 5 hours:
/// ```
/// use reckoner_calc::{power, quantity::{Dimension, Share, parse}};
/// let time = power::run_time(parse("100 Wh")?, Share(0.5), parse("10 W")?)?;
/// assert!((time.si() / 3600.0 - 5.0).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn run_time(printed: Energy, usable: Share, draw: Power) -> Result<Time, Error> {
    let printed = within("the energy of the battery", printed, Energy::from_si(3600.0)..=Energy::from_si(3.6e9))?;
    Ok(printed * usable_share(usable)?.0 / load(draw)?)
}

/// The battery that runs a load for so long: `draw × time ÷ usable share`, the inverse of [`run_time`].
///
/// - `time`: from a minute to a year
///
/// # Errors
/// [`Error::OutOfRange`] for a value outside that range or those of [`run_time`].
pub fn battery_for(draw: Power, time: Time, usable: Share) -> Result<Energy, Error> {
    let time = within("the time on the battery", time, Time::from_si(60.0)..=Time::from_si(366.0 * DAY))?;
    Ok(load(draw)? * time / usable_share(usable)?.0)
}

fn usable_share(usable: Share) -> Result<Share, Error> {
    within("the usable share of a battery", usable, Share(0.05)..=Share(1.0))
}

fn load(draw: Power) -> Result<Power, Error> {
    within("the load on the battery", draw, Power::from_si(0.1)..=Power::from_si(5000.0))
}

/// Adds the figures of this topic: `power.…`.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let rules = &rules.power;
    let price = Money { amount: *tank.home.price_per_kwh, currency: tank.home.currency };
    let watt = Power::from_si(1.0);
    let watt_year = energy_per_year(watt);
    sheet.put(Figure::new("power.price", "Price of a kilowatt hour", price).assumes(tank, "home.price_per_kwh"));
    sheet.put(Figure::new("power.watt_year", "What one watt uses in a year", watt_year).from("power × 24 hours × 365 days", &[]));
    sheet.put(
        Figure::new("power.watt_cost", "What one watt costs in a year", cost(watt_year, price)?)
            .from("energy × price", &["power.watt_year", "power.price"]),
    );
    sheet.workings.insert("watt_cost", watt_working(watt, price));
    sheet.put_chart(setting_chart()?);
    sheet.put_table(settings_table(rules)?);

    if let Some(line) = &tank.return_line {
        let year = energy_per_year(line.pump_power);
        sheet.put(Figure::new("power.return", "Power of the return pump", line.pump_power));
        sheet.put(
            Figure::new("power.return_day", "What the return pump uses in a day", energy_per_day(line.pump_power))
                .from("power × 24 hours", &["power.return"]),
        );
        sheet.put(
            Figure::new("power.return_year", "What the return pump uses in a year", year)
                .from("power × 24 hours × 365 days", &["power.return"]),
        );
        sheet.put(
            Figure::new("power.return_cost", "What the return pump costs in a year, in energy", cost(year, price)?)
                .from("energy × price", &["power.return_year", "power.price"]),
        );
    }
    for chemistry in CHEMISTRIES {
        let usable = Figure::new(
            format!("power.usable_{}", key(chemistry)),
            format!("Share of a {} battery's printed energy that reaches a pump", words(chemistry)),
            rules.usable(chemistry),
        );
        sheet.put(battery_rules(usable.from("kept × depth × conversion", &[]).never_above(), chemistry));
    }
    match tank.battery {
        Some(battery) => battery_figures(sheet, rules, battery)?,
        None => {
            let why = format!(
                "The file of {} names no battery, so none is counted on. If you have one, write it down under [battery].",
                tank.name
            );
            for part in ["power.battery", "power.battery_usable", "power.battery_output", "power.inverter", "power_battery_hours"] {
                sheet.lack(part, why.as_str());
            }
        }
    }
    sheet.put_table(needed_table(rules)?);
    Ok(())
}

fn battery_figures(sheet: &mut Sheet, rules: &PowerRules, battery: Battery) -> Result<(), Error> {
    let usable = rules.usable(battery.chemistry);
    let usable_id = format!("power.usable_{}", key(battery.chemistry));
    let output = match battery.output {
        Output::Direct => "as direct current, into the pump's own socket for a battery",
        Output::Inverter { .. } => "through an inverter, as mains power",
    };
    sheet.put(Figure::new("power.battery_output", "How the battery's power reaches a pump", output));
    match battery.output {
        Output::Direct => sheet.lack("power.inverter", "This battery needs no inverter: it feeds the pump with direct current."),
        Output::Inverter { idle } => {
            let figure = Figure::new("power.inverter", "What the inverter takes for itself", rules.idle(battery.output)).never_below();
            sheet.put(if idle.is_some() { figure } else { figure.rule("power.inverter_idle") });
        }
    }
    sheet.put(Figure::new("power.battery", "Energy printed on the battery", battery.energy));
    let energy = Band { low: battery.energy * usable.low.0, high: battery.energy * usable.high.0 };
    let figure = Figure::new("power.battery_usable", "Energy that the battery gives to pumps", energy);
    let figure = figure.from("printed energy × usable share", &["power.battery", usable_id.as_str()]).never_above();
    sheet.put(battery_rules(figure, battery.chemistry));

    let mut rows = Vec::new();
    for draw in &*rules.backup_loads {
        let head = Figure::new(format!("power_battery_hours.{}", rows.len() + 1), "Load on the battery", *draw).rule("power.backup_loads");
        let hours = Figure::new(format!("{}.hours", head.id), "Time to count on", battery_lasts(battery, *draw, rules)?);
        let hours = lasting(hours, battery, &head.id).never_above();
        rows.push(Row { head: Cell::Figure(head), cells: vec![Cell::Figure(hours)] });
    }
    let table = Table {
        id: "power_battery_hours",
        caption: "How long this battery runs a load: the time to count on".to_owned(),
        heads: vec!["Load".to_owned(), "Time".to_owned()],
        rows,
        origin: crate::sheet::Origin::default(),
    };
    sheet.tables.insert(table.id, table);
    Ok(())
}

/// How long a battery lasts: formula, figures and rules.
pub(crate) fn lasting(figure: Figure, battery: Battery, draw: &str) -> Figure {
    let figure = battery_rules(figure, battery.chemistry);
    match battery.output {
        Output::Direct => figure.from("printed energy × least kept × least depth × least share passed ÷ power", &["power.battery", draw]),
        Output::Inverter { .. } => figure.from(
            "printed energy × least kept × least depth ÷ (power ÷ least share passed + idle)",
            &["power.battery", draw, "power.inverter"],
        ),
    }
}

fn battery_rules(figure: Figure, chemistry: Chemistry) -> Figure {
    figure.rule(&format!("power.depth_{}", key(chemistry))).rule("power.kept_capacity").rule("power.conversion")
}

fn watt_working(watt: Power, price: Money) -> Working {
    let terms = vec![
        (Op::First, Item::of(watt, System::Metric)),
        (Op::Times, Item::constant(24.0, 0, "h a day")),
        (Op::Times, Item::constant(DAYS_A_YEAR, 0, "days")),
        (Op::Over, Item::constant(1000.0, 0, "W/kW")),
        (Op::Times, Item::of(price, System::Metric)),
    ];
    Working {
        id: "watt_cost",
        title: "What one watt costs in a year",
        given: ["power.price"].map(str::to_owned).into(),
        formula: "power × hours in a year × price of a kilowatt hour",
        sums: vec![Sum::work(System::Metric, terms, price.currency.code())],
        answer: "power.watt_cost",
        tell: "A pump's cost is so many times its watts. A meter at the plug shows the watts.",
    }
}

/// Flow, head and power against the setting, by the affinity laws.
fn setting_chart() -> Result<Chart, Error> {
    let whole = Power::from_si(1.0);
    let points = |law: &dyn Fn(f64) -> Result<f64, Error>| {
        let at = |step: u32| {
            let setting = f64::from(step) / 20.0;
            Ok((setting, law(setting)?))
        };
        (4..=20).map(at).collect::<Result<Vec<_>, Error>>()
    };
    let chart = Chart::new(
        "setting_power",
        "What is left of flow and power when a pump is turned down",
        "The line of the flow is straight. The curve of the power lies far below it: at half the setting little power is left.",
        Axis::new("Setting", Kind::Share, 0.2, 1.0),
        Axis::new("Part of what it is at full", Kind::Share, 0.0, 1.0),
    );
    let flow = points(&|setting| Ok(affinity_flow(VolumeRate::from_si(1e-3), setting)?.si() / 1e-3))?;
    let power = points(&|setting| Ok(affinity_power(whole, setting)?.si()))?;
    Ok(chart.line("Flow", flow).line("Power, by the cube law", power))
}

/// What turning a pump down does to its flow, its push and its draw.
fn settings_table(rules: &PowerRules) -> Result<Table, Error> {
    let whole = Share(1.0);
    // Shares of full are draws of a pump whose full draw is one watt, without a standing draw.
    let (full, standing) = (Power::from_si(1.0), Power::from_si(0.0));
    let mut rows = Vec::new();
    for setting in &*rules.dial {
        let head = Figure::new(format!("power_settings.{}", rows.len() + 1), "Setting", *setting).rule("power.dial");
        let drawn = draw_range(full, standing, *setting, *rules.saving_made)?;
        let drawn = Band { low: Share(drawn.low.si()), high: Share(drawn.high.si()) };
        let cell = |name: &str, title: &str, value: Value, formula| {
            Figure::new(format!("{}.{name}", head.id), title, value).from(formula, &[head.id.as_str()])
        };
        let cells = vec![
            Cell::Figure(cell("flow", "Flow, as a share of full", at_speed(whole, setting.0, 1)?.into(), "setting")),
            Cell::Figure(cell("head", "Push, as a share of full", at_speed(whole, setting.0, 2)?.into(), "setting × setting")),
            Cell::Figure(
                cell("draw", "Power, as a share of full", drawn.into(), "full − share made × (full − setting × setting × setting)")
                    .rule("power.saving_made"),
            ),
        ];
        rows.push(Row { head: Cell::Figure(head), cells });
    }
    Ok(Table {
        id: "power_settings",
        caption: "What turning a pump down does".to_owned(),
        heads: ["Setting", "Flow", "Push", "Power"].map(str::to_owned).into(),
        rows,
        origin: crate::sheet::Origin::default(),
    })
}

/// Hours → the energy that must be printed on a battery, for one load.
fn needed_table(rules: &PowerRules) -> Result<Table, Error> {
    let load = show((*rules.backup_load).into(), Rounding::Nearest);
    let caption = format!("The energy to look for on a battery, for a load of {load}");
    needed(NeededTable { id: "power_battery_needed", caption, draw: *rules.backup_load, behind: None, from: "power.backup_load" }, rules)
}

/// What a table of the energy to look for is about.
pub(crate) struct NeededTable {
    pub(crate) id: &'static str,
    pub(crate) caption: String,
    /// The load.
    pub(crate) draw: Power,
    /// The figure that is the load, if there is one.
    pub(crate) behind: Option<&'static str>,
    /// The rule behind the load.
    pub(crate) from: &'static str,
}

/// Hours → the energy that must be printed on a battery that runs a load, on direct current and through an inverter.
pub(crate) fn needed(table: NeededTable, rules: &PowerRules) -> Result<Table, Error> {
    let outputs = [("direct", Output::Direct, ""), ("inverter", Output::Inverter { idle: None }, ", through an inverter")];
    let mut heads = vec!["Time".to_owned()];
    for (_, _, how) in outputs {
        heads.extend(CHEMISTRIES.map(|chemistry| format!("{}{how}", sentence_case(words(chemistry)))));
    }
    let mut rows = Vec::new();
    for time in &*rules.backup_hours {
        let head = Figure::new(format!("{}.{}", table.id, rows.len() + 1), "Time on the battery", *time).rule("power.backup_hours");
        let mut cells = Vec::new();
        for (output_key, output, how) in outputs {
            for chemistry in CHEMISTRIES {
                let title = format!("Energy printed on a {} battery that does it{how}", words(chemistry));
                let energy = battery_needed(table.draw, *time, chemistry, output, rules)?;
                let inputs: Vec<_> = table.behind.into_iter().chain([head.id.as_str()]).collect();
                let cell = Figure::new(format!("{}.{output_key}_{}", head.id, key(chemistry)), title, energy)
                    .from("(load ÷ least share passed + idle) × time ÷ least kept ÷ least depth", &inputs);
                let cell = battery_rules(cell, chemistry).rule(table.from).never_below();
                cells.push(Cell::Figure(if output == Output::Direct { cell } else { cell.rule("power.inverter_idle") }));
            }
        }
        rows.push(Row { head: Cell::Figure(head), cells });
    }
    Ok(Table { id: table.id, caption: table.caption, heads, rows, origin: crate::sheet::Origin::default() })
}

pub(crate) const CHEMISTRIES: [Chemistry; 2] = [Chemistry::LeadAcid, Chemistry::LithiumIronPhosphate];

/// The end of a rule's key and of a figure's id.
pub(crate) fn key(chemistry: Chemistry) -> &'static str {
    match chemistry {
        Chemistry::LeadAcid => "lead_acid",
        Chemistry::LithiumIronPhosphate => "lithium_iron_phosphate",
    }
}

/// In words, as in the middle of a sentence.
pub(crate) fn words(chemistry: Chemistry) -> &'static str {
    match chemistry {
        Chemistry::LeadAcid => "lead-acid",
        Chemistry::LithiumIronPhosphate => "lithium iron phosphate",
    }
}

impl PowerRules {
    /// Share of a battery's printed energy that may be taken out of it: what age has left × how far it should be emptied.
    pub fn stored(&self, chemistry: Chemistry) -> Band<Share> {
        let depth = match chemistry {
            Chemistry::LeadAcid => *self.depth_lead_acid,
            Chemistry::LithiumIronPhosphate => *self.depth_lithium_iron_phosphate,
        };
        times(*self.kept_capacity, depth)
    }

    /// Share of a battery's printed energy that reaches a pump on direct current: [`stored`](Self::stored) × what a converter passes.
    pub fn usable(&self, chemistry: Chemistry) -> Band<Share> {
        times(self.stored(chemistry), *self.conversion)
    }

    /// What a load takes out of a battery: `draw ÷ share passed`, and what an inverter takes for itself on top.
    pub fn taken(&self, draw: Power, output: Output) -> Band<Power> {
        let idle = self.idle(output);
        Band { low: draw / self.conversion.high.0 + idle.low, high: draw / self.conversion.low.0 + idle.high }
    }

    /// What an inverter takes for itself: what the reader says, or the rule; nothing on direct current.
    pub fn idle(&self, output: Output) -> Band<Power> {
        match output {
            Output::Direct => Band { low: Power::default(), high: Power::default() },
            Output::Inverter { idle: Some(idle) } => Band { low: idle, high: idle },
            Output::Inverter { idle: None } => *self.inverter_idle,
        }
    }
}

#[cfg(test)]
mod tests;
