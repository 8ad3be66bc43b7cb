//! Power on the sheet: what the return pump costs, what turning a pump down saves, and what a battery runs.

use uom::si::f64::{Length, Power, VolumeRate};

use super::ids::{measured, power as id};
use super::measured::AS_MEASURED;
use crate::error::Error;
use crate::formulas::power::{
    Battery, Chemistry, DAYS_A_YEAR, Output, affinity_flow, affinity_head, affinity_power, battery_lasts,
};
use crate::formulas::power::{
    battery_needed, cost, draw_range, energy_per_day, energy_per_year, usable_energy,
};
use crate::quantity::{Dimension, Kind, Money, Rounding, Share, System, show};
use crate::rules::power::PowerRules;
use crate::rules::{Band, Rules, words};
use crate::sheet::{Axis, Chart, Id, Item, Op, Row, Sheet, Sum, Table, Working, figure, try_figure};
use crate::tank::{ReturnLine, Tank};
use crate::trace::Traced;

/// Adds the figures of this topic: `power.…`.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let (rules, words) = (&rules.power, &rules.words.power);
    let home = &tank.home;
    let price = figure(id::PRICE, || Money { amount: *home.price_per_kwh, currency: home.currency });
    let price = sheet.put(price.assumes(tank, "home.price_per_kwh"));
    let watt = Power::from_si(1.0);
    let watt_year = sheet.put(figure(id::WATT_YEAR, || energy_per_year(watt)));
    sheet.put(try_figure(id::WATT_COST, || cost(*watt_year, *price))?);
    sheet.work(|| watt_working(watt, *price));
    sheet.plot(|| setting_chart(words))?;
    sheet.tabulate(|| settings_table(rules))?;
    if let Some(line) = &tank.return_line {
        return_figures(sheet, tank, line, &price)?;
    }
    for chemistry in Chemistry::ALL {
        sheet.put(figure(usable_id(chemistry), || rules.usable(chemistry)).never_above());
    }
    match tank.battery {
        Some(battery) => battery_figures(sheet, rules, battery, words)?,
        None => {
            let of_battery = [id::BATTERY.name(), id::BATTERY_USABLE.name(), id::BATTERY_OUTPUT.name()];
            for part in of_battery.into_iter().chain([id::INVERTER.name(), HOURS]) {
                sheet.lack(part, words.no_battery(&tank.name));
            }
        }
    }
    sheet.tabulate(|| {
        let load = Traced::new(|| *rules.backup_load);
        let caption = Traced::new(|| words.needed_caption(show((*load).into(), Rounding::Nearest)));
        needed_table("power_battery_needed", &caption, &load, rules)
    })
}

/// The table of how long the battery runs a load.
const HOURS: &str = "power_battery_hours";

fn usable_id(chemistry: Chemistry) -> Id<Band<Share>> {
    match chemistry {
        Chemistry::LeadAcid => id::USABLE_LEAD_ACID,
        Chemistry::LithiumIronPhosphate => id::USABLE_LITHIUM_IRON_PHOSPHATE,
    }
}

fn return_figures(
    sheet: &mut Sheet,
    tank: &Tank,
    line: &ReturnLine,
    price: &Traced<Money>,
) -> Result<(), Error> {
    let power = match sheet.maybe(measured::POWER) {
        Some(at_the_plug) => {
            let label = || Band { low: line.pump_power, high: line.pump_power };
            sheet.put(figure(measured::POWER_RECKONED, label));
            figure(id::RETURN, || *at_the_plug).says(AS_MEASURED)
        }
        None => figure(id::RETURN, || line.drawn(&tank.measured)),
    };
    let power = sheet.put(power);
    sheet.put(figure(id::RETURN_DAY, || energy_per_day(*power)));
    let year = sheet.put(figure(id::RETURN_YEAR, || energy_per_year(*power)));
    sheet.put(try_figure(id::RETURN_COST, || cost(*year, **price))?);
    Ok(())
}

fn battery_figures(
    sheet: &mut Sheet,
    rules: &PowerRules,
    battery: Battery,
    words: &words::Power,
) -> Result<(), Error> {
    let output = match battery.output {
        Output::Direct => words.output_direct(),
        Output::Inverter { .. } => words.output_inverter(),
    };
    sheet.put(figure(id::BATTERY_OUTPUT, || output.to_owned()));
    if battery.output == Output::Direct {
        sheet.lack(id::INVERTER, words.no_inverter());
    } else {
        let idle = figure(id::INVERTER, || rules.idle(battery.output));
        sheet.put(idle.never_below());
    }
    let printed = sheet.put(figure(id::BATTERY, || battery.energy));
    let usable = sheet.get(usable_id(battery.chemistry))?;
    let energy = figure(id::BATTERY_USABLE, || Band {
        low: usable_energy(*printed, usable.low),
        high: usable_energy(*printed, usable.high),
    });
    sheet.put(energy.never_above());
    let battery = on_the_sheet(sheet, battery)?;
    sheet.tabulate(|| hours_table(&battery, rules))
}

/// A battery by its figures, to count on.
pub(crate) fn on_the_sheet(sheet: &Sheet, battery: Battery) -> Result<Traced<Battery>, Error> {
    let (energy, idle) = (sheet.get(id::BATTERY)?, sheet.maybe(id::INVERTER));
    Ok(Traced::new(|| {
        let output = idle.as_ref().map_or(Output::Direct, |idle| Output::Inverter { idle: Some(idle.high) });
        Battery { energy: *energy, output, ..battery }
    }))
}

/// Load → how long a battery runs it.
fn hours_table(battery: &Traced<Battery>, rules: &PowerRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for draw in &*rules.backup_loads {
        let head = figure(format!("{HOURS}.{}", rows.len() + 1), || *draw);
        let (id, load) = (format!("{}.hours", head.id()), head.value());
        let hours = try_figure(id, || battery_lasts(**battery, *load, rules))?;
        rows.push(Row { head: head.into(), cells: vec![hours.never_above().into()] });
    }
    Ok(Table::new(HOURS, rows))
}

fn watt_working(watt: Power, price: Money) -> Working {
    let terms = vec![
        (Op::First, Item::of(watt, System::Metric)),
        (Op::Times, Item::constant(24.0, 0, "h a day")),
        (Op::Times, Item::constant(DAYS_A_YEAR, 0, "days")),
        (Op::Over, Item::constant(1000.0, 0, "W/kW")),
        (Op::Times, Item::of(price, System::Metric)),
    ];
    Working::new(
        "watt_cost",
        "power × hours in a year × price of a kilowatt hour",
        vec![Sum::work(System::Metric, terms, price.currency.code())],
        id::WATT_COST.name(),
    )
    .given(&[id::PRICE.name()])
}

/// Flow, head and power against the setting, by the affinity laws.
fn setting_chart(words: &words::Power) -> Result<Chart, Error> {
    let whole = Power::from_si(1.0);
    let points = |law: &dyn Fn(f64) -> Result<f64, Error>| {
        let at = |step: u32| {
            let setting = f64::from(step) / 20.0;
            Ok((setting, law(setting)?))
        };
        (4..=20).map(at).collect::<Result<Vec<_>, Error>>()
    };
    let chart =
        Chart::new("setting_power", Axis::new(Kind::Share, 0.2, 1.0), Axis::new(Kind::Share, 0.0, 1.0));
    let flow = points(&|setting| Ok(affinity_flow(VolumeRate::from_si(1e-3), 1.0, setting)?.si() / 1e-3))?;
    let power = points(&|setting| Ok(affinity_power(whole, 1.0, setting)?.si()))?;
    Ok(chart.line(words.curve_flow(), flow).line(words.curve_power(), power))
}

/// What turning a pump down does to its flow, its push and its draw.
fn settings_table(rules: &PowerRules) -> Result<Table, Error> {
    // Shares of full are those of a pump of one cubic metre a second, one metre and one watt at full, without
    // a standing draw.
    let (flow, head, full, standing) =
        (VolumeRate::from_si(1.0), Length::from_si(1.0), Power::from_si(1.0), Power::from_si(0.0));
    let mut rows = Vec::new();
    for setting in &*rules.dial {
        let row = figure(format!("power_settings.{}", rows.len() + 1), || *setting);
        let (setting, id) = (row.value(), |name: &str| format!("{}.{name}", row.id()));
        let flow = try_figure(id("flow"), || Ok(Share(affinity_flow(flow, 1.0, setting.0)?.si())))?;
        let push = try_figure(id("head"), || Ok(Share(affinity_head(head, 1.0, setting.0)?.si())))?;
        let drawn = try_figure(id("draw"), || {
            let drawn = draw_range(full, standing, *setting, *rules.saving_made)?;
            Ok(Band { low: Share(drawn.low.si()), high: Share(drawn.high.si()) })
        })?;
        let drawn = drawn.says("full − share made × (full − setting × setting × setting)");
        let cells = vec![flow.says("setting").into(), push.says("setting × setting").into(), drawn.into()];
        rows.push(Row { head: row.into(), cells });
    }
    Ok(Table::new("power_settings", rows))
}

/// Hours → the energy that must be printed on a battery that runs a load, on direct current and through an
/// inverter.
pub(crate) fn needed_table(
    id: &'static str,
    caption: &Traced<String>,
    load: &Traced<Power>,
    rules: &PowerRules,
) -> Result<Table, Error> {
    let outputs = [("direct", Output::Direct), ("inverter", Output::Inverter { idle: None })];
    let mut rows = Vec::new();
    for time in &*rules.backup_hours {
        let head = figure(format!("{id}.{}", rows.len() + 1), || *time);
        let time = head.value();
        let mut cells = Vec::new();
        for (output_key, output) in outputs {
            for chemistry in Chemistry::ALL {
                let id = format!("{}.{output_key}_{}", head.id(), chemistry.key());
                let energy = try_figure(id, || battery_needed(**load, *time, chemistry, output, rules))?;
                cells.push(energy.never_below().into());
            }
        }
        rows.push(Row { head: head.into(), cells });
    }
    Ok(Table::new(id, rows).captioned((**caption).clone()))
}

#[cfg(test)]
mod tests;
