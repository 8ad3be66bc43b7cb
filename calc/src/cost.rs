//! Cost: what a pump costs over the years, with its energy and its wearing parts.

use uom::si::f64::{Energy, Power, Ratio, Time};

use crate::catalogue::{Catalogue, PumpKind};
use crate::error::{Error, within};
use crate::formulas::power;
use crate::quantity::{Currency, Dimension, Kind, Money, Rounding, Share, UsDollars, show};
use crate::rules::cost::CostRules;
use crate::rules::power::PowerRules;
use crate::rules::{Band, Rules};
use crate::sheet::{Axis, Cell, Chart, Figure, Row, Sheet, Table, Value};
use crate::tank::{Home, Tank};

/// The mean Gregorian year, which "years" are in rules and tank files.
const YEAR: f64 = 365.2425 * (24.0 * 3600.0);

/// What is known of one pump before its cost is summed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Owned {
    /// Its price.
    pub price: Money,
    /// What it uses in a year.
    pub energy_per_year: Energy,
    /// Price of a wet end: the impeller, shaft and bearings.
    pub wet_end: Money,
    /// How long a wet end lasts, from a month to 50 years.
    pub wet_end_interval: Time,
}

/// What a pump costs over the years.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ownership {
    /// Its energy.
    pub energy: Money,
    /// How many wet ends are bought after the first, which comes with the pump.
    pub wet_ends: u32,
    /// What those cost.
    pub wear: Money,
    /// Price, energy and wear together.
    pub total: Money,
}

/// What a pump costs over the years: `price + years × energy × price of energy + wet ends × price of one`.
///
/// - `pump`: prices up to 100,000, energy up to 10 MWh a year
/// - `price_per_kwh`: price of a kilowatt hour, up to a thousand
/// - `years`: from a year to 50; a wet end that wears out just as they end is not replaced
///
/// A plain sum: neither interest nor dearer energy.
///
/// # Errors
/// [`Error::OutOfRange`] for a value outside those ranges; [`Error::NoAnswer`] for prices in several currencies.
///
/// # Source
/// Arithmetic. A pump of 200 that uses 100 kWh a year at 0.30, with a wet end of 50 every two years, costs in six years
/// 200 + 6 × 30 + 2 × 50 = 480:
/// ```
/// use reckoner_calc::{cost::{Owned, ownership}, quantity::{Currency, Money, parse}};
/// let money = |amount| Money { amount, currency: Currency::USD };
/// let pump = Owned {
///     price: money(200.0),
///     energy_per_year: parse("100 kWh")?,
///     wet_end: money(50.0),
///     wet_end_interval: parse("2 years")?,
/// };
/// let six_years = ownership(pump, money(0.30), parse("6 years")?)?;
/// assert_eq!(six_years.wet_ends, 2);
/// assert!((six_years.total.amount - 480.0).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn ownership(pump: Owned, price_per_kwh: Money, years: Time) -> Result<Ownership, Error> {
    let currency = price_per_kwh.currency;
    if [pump.price, pump.wet_end].iter().any(|money| money.currency != currency) {
        let codes = [pump.price.currency, pump.wet_end.currency, currency].map(Currency::code).join(", ");
        let why = format!("the prices of pump, wet end and energy are in {codes}; write all three in one currency");
        return Err(Error::NoAnswer { what: "the cost of this pump", why });
    }
    let price = affordable("the price of the pump", pump.price)?;
    let wet_end = affordable("the price of a wet end", pump.wet_end)?;
    let energy = within("the energy in a year", pump.energy_per_year, Energy::from_si(0.0)..=Energy::from_si(3.6e10))?;
    let wet_ends = wet_ends(pump.wet_end_interval, years)?;
    let energy = power::cost(energy * (years.si() / YEAR), price_per_kwh)?;
    let wear = f64::from(wet_ends) * wet_end;
    let money = |amount| Money { amount, currency };
    Ok(Ownership { energy, wet_ends, wear: money(wear), total: money(price + energy.amount + wear) })
}

fn affordable(what: &'static str, money: Money) -> Result<f64, Error> {
    Ok(within(what, Ratio::from_si(money.amount), Ratio::from_si(0.0)..=Ratio::from_si(100_000.0))?.si())
}

/// How many wet ends a pump needs after the one it comes with. One that wears out just as the years end is not replaced.
fn wet_ends(interval: Time, years: Time) -> Result<u32, Error> {
    let interval = within("the life of a wet end", interval, Time::from_si(YEAR / 12.0)..=Time::from_si(YEAR * 50.0))?;
    let years = within("the years of the cost", years, Time::from_si(YEAR)..=Time::from_si(YEAR * 50.0))?;
    // A billionth less, so that the last bit of a quotient does not buy a wet end on the last day.
    let lives = libm::ceil((years / interval).si() - 1e-9);
    Ok((lives - 1.0).max(0.0) as u32)
}

/// What counts as the cost of pumps over the years, as a sentence's middle: the energy only where it is paid in the money of their
/// prices, or where the tank file tells what the home's money buys in it.
pub(crate) fn counted_words(home: &Home, prices: Currency) -> String {
    if home.price_in(prices).is_some() {
        return "the price, the energy and the wet ends".to_owned();
    }
    let (prices, own) = (prices.code(), home.currency.code());
    format!("the price and the wet ends; the energy is left out, because it is paid in {own} and the pumps in {prices}")
}

/// Adds the figures and the table of this topic.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    let home = &tank.home;
    let counted = counted_words(home, catalogue.currency);
    sheet.put(Figure::new("cost.counted", "What counts as the cost of the catalogue's pumps over the years", counted.as_str()));
    let counted = counted_words(home, Currency::USD);
    sheet.put(Figure::new("cost.counted_kinds", "What counts as the cost of the trade's pumps over the years", counted.as_str()));
    if let Some(exchange) = home.exchange {
        let title = format!("What one {} buys", home.currency.code());
        sheet.put(Figure::new("cost.exchange", title, exchange));
    } else {
        let why = format!("The file of {} tells no exchange of money. Write exchange under [home] to have one.", tank.name);
        sheet.lack("cost.exchange", why);
    }
    if home.price_in(catalogue.currency).is_some() {
        sheet.lack("cost.advice", format!("Nothing has to be exchanged for {}: its energy is counted.", tank.name));
    } else {
        let (own, prices) = (home.currency.code(), catalogue.currency.code());
        let advice = format!("write exchange under [home] of the tank file, with what one {own} buys in {prices}");
        sheet.put(Figure::new("cost.advice", "What to write to have the energy counted", advice.as_str()));
    }
    own_table(sheet, &rules.cost, &rules.power, catalogue, tank)?;
    let prices = home.price_in(Currency::USD);
    let own = Money { amount: *home.price_per_kwh, currency: home.currency };
    sheet.put_chart(kinds_chart(&rules.cost, prices)?);
    sheet.put_table(kinds_table(&rules.cost, prices.unwrap_or(own))?);
    Ok(())
}

/// What the pumps of this tank cost: those that hang in it, or else those of its plan; and what the rest that runs all day uses.
fn own_table(sheet: &mut Sheet, rules: &CostRules, power: &PowerRules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    let mut told = if tank.pumps.is_empty() { plans_bills(sheet) } else { hung_bills(rules, power, catalogue, tank)? };
    if told.is_empty() {
        let why = format!("No pump hangs in {} yet, and no set of the catalogue suits it, so there is no bill to add up.", tank.name);
        sheet.lack("cost_own", why);
        return Ok(());
    }
    let price = Money { amount: *tank.home.price_per_kwh, currency: tank.home.currency };
    let others = [
        ("return_pump", "Energy of the return pump in a year", tank.return_line.as_ref().map(|line| line.pump_power)),
        ("skimmer", "Energy of the skimmer in a year", tank.skimmer.as_ref().map(|skimmer| *skimmer.power)),
    ];
    for (key, title, draw) in others {
        let Some(draw) = draw else { continue };
        let cost = power::cost(power::energy_per_year(draw), price)?;
        let figure = Figure::new(format!("cost_own.{key}"), title, cost).from("power × 24 hours × 365 days × price", &["power.price"]);
        let is_assumed = key == "skimmer" && tank.assumed.contains(&"skimmer.power");
        told.push(if is_assumed { figure.assumes(tank, "skimmer.power") } else { figure });
    }
    let is_something = |figure: &Figure| match figure.value {
        Value::One(value) => value.si > 0.0,
        Value::Range(_, high) => high.si > 0.0,
        Value::Words(_) => true,
    };
    let row = |figure: Figure| Row { head: Cell::Words(figure.title.clone()), cells: vec![Cell::Figure(figure)] };
    let rows: Vec<_> = told.into_iter().filter(is_something).map(row).collect();
    let caption = if tank.pumps.is_empty() {
        "The bills of the plan's pumps: none hangs in the tank yet"
    } else {
        "The bills of the pumps in the tank"
    };
    let heads = ["Bill", "How much"].map(str::to_owned).into();
    sheet.put_table(Table { id: "cost_own", caption: caption.to_owned(), heads, rows, origin: crate::sheet::Origin::default() });
    Ok(())
}

/// As the plan has them; nothing where there is no plan.
fn plans_bills(sheet: &Sheet) -> Vec<Figure> {
    ["price", "power", "energy", "energy_cost", "cost"]
        .into_iter()
        .filter_map(|key| {
            let mut figure = sheet.figure(&format!("plan.{key}"))?.clone();
            figure.inputs = vec![figure.id];
            figure.formula = "as the plan has it";
            figure.id = format!("cost_own.{key}");
            Some(figure)
        })
        .collect()
}

/// Of the pumps that hang in the tank, at their settings; wet ends as soon as the rules expect them.
fn hung_bills(rules: &CostRules, power: &PowerRules, catalogue: &Catalogue, tank: &Tank) -> Result<Vec<Figure>, Error> {
    let (mut price, mut wet_end) = (0.0, 0.0);
    let mut draw = Band { low: Power::default(), high: Power::default() };
    for hung in &tank.pumps {
        let Some(model) = catalogue.pump(&hung.model) else { continue };
        let setting = Share(hung.setting.0.max(model.lowest_setting.0));
        let standing = if model.standing_draw < model.power { model.standing_draw } else { model.power };
        let range = power::draw_range(model.power, standing, setting, *power.saving_made)?;
        draw = Band { low: draw.low + range.low, high: draw.high + range.high };
        (price, wet_end) = (price + model.price, wet_end + model.wet_end_price);
    }
    let wear = f64::from(wet_ends(rules.wet_end_interval.low, *rules.years)?) * wet_end;
    let money = |amount| Money { amount, currency: catalogue.currency };
    let year = Band { low: power::energy_per_year(draw.low), high: power::energy_per_year(draw.high) };
    let own = Money { amount: *tank.home.price_per_kwh, currency: tank.home.currency };
    let years = rules.years.si() / YEAR;
    let range = |low: Money, high: Money| Value::Range(low.into(), high.into());
    let of = |key: &str, title: &str, value: Value| Figure::new(format!("cost_own.{key}"), title, value);
    let mut told = vec![
        of("price", "Price of the pumps, when bought new", money(price).into()).from("sum of the prices", &[]),
        of("power", "What the pumps draw at their settings", draw.into())
            .from("standing draw + (draw at full − standing draw) × setting³", &[])
            .rule("power.saving_made"),
        of("energy", "What they use in a year", year.into()).from("power × 24 hours × 365 days", &["cost_own.power"]),
        of("energy_cost", "What their energy costs in a year", range(power::cost(year.low, own)?, power::cost(year.high, own)?))
            .from("energy × price", &["cost_own.energy", "power.price"]),
        of("wear", "Their wet ends over the years, at the most", money(wear).into())
            .from("(years ÷ life of a wet end, rounded up, less the first) × price of each", &[])
            .rule("cost.wet_end_interval")
            .rule("cost.years"),
    ];
    if let Some(in_prices) = tank.home.price_in(catalogue.currency) {
        let energy = |year: Energy| power::cost(year * years, in_prices).map(|cost| money(price + wear + cost.amount));
        told.push(
            of("cost", "The pumps over the years, all together, at the most", energy(year.high)?.into())
                .from("price + energy × years + wet ends", &["cost_own.price", "cost_own.energy", "cost_own.wear"])
                .rule("cost.years"),
        );
    }
    Ok(told)
}

/// What a pump of each kind has cost by the end of each year, at the middle of its bands.
fn kinds_chart(rules: &CostRules, price_per_kwh: Option<Money>) -> Result<Chart, Error> {
    let middle = |band: Band<UsDollars>| band.at(0.5).0;
    let kinds = [
        ("One speed", *rules.fixed_price, *rules.fixed_wet_end, *rules.fixed_power),
        ("Controllable, round", *rules.controllable_price, *rules.controllable_wet_end, *rules.controllable_power),
        ("Cross-flow", *rules.controllable_price, *rules.controllable_wet_end, *rules.cross_flow_power),
    ];
    let mut lines = Vec::new();
    let mut most: f64 = 0.0;
    for (name, price, wet_end, power) in kinds {
        let mut points = vec![(0.0, middle(price))];
        for step in 1..=24 {
            let time = *rules.years * (f64::from(step) / 24.0);
            let energy = power::energy_per_year(power.at(0.5)) * (time.si() / YEAR);
            let paid = price_per_kwh.map_or(Ok(0.0), |price| power::cost(energy, price).map(|money| money.amount))?;
            // A wet end is paid when the one before has worn out.
            let worn = libm::floor(time.si() / rules.wet_end_interval.at(0.5).si() * (1.0 - 1e-9));
            let total = middle(price) + paid + worn * middle(wet_end);
            points.push((time.si(), total));
            most = most.max(total);
        }
        lines.push((name, points));
    }
    let what = if price_per_kwh.is_some() { "Price, energy and wet ends together" } else { "Price and wet ends, without the energy" };
    let mut chart = Chart::new(
        "cost_by_kind",
        format!("What one pump of each kind costs as the years go by, at the middle of its range. {what}"),
        "Three rising lines, one for each kind of pump, with a step wherever a wet end is replaced.",
        Axis::new("Time", Kind::Time, 0.0, rules.years.si()),
        Axis::new(what, Kind::Money(Currency::USD), 0.0, most * 1.05),
    );
    for (name, points) in lines {
        chart = chart.line(name, points);
    }
    Ok(chart)
}

/// Kind of pump → price, energy and wear over the years; their sum too where energy is paid in the money of the rules.
fn kinds_table(rules: &CostRules, price_per_kwh: Money) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for kind in [PumpKind::RoundFixed, PumpKind::RoundControllable, PumpKind::CrossFlow] {
        rows.push(kind_row(kind, rules, price_per_kwh)?);
    }
    let years = show((*rules.years).into(), Rounding::Nearest);
    let mut heads = vec!["Kind of pump", "Price", "Energy", "Wet ends"];
    let mut caption = format!("What one pump costs in {years}");
    if price_per_kwh.currency == Currency::USD {
        heads.push("Together");
    } else {
        caption.push_str("; its energy is in another currency than its price, so they are not added up");
    }
    Ok(Table {
        id: "cost_kinds",
        caption,
        heads: heads.into_iter().map(str::to_owned).collect(),
        rows,
        origin: crate::sheet::Origin::default(),
    })
}

fn kind_row(kind: PumpKind, rules: &CostRules, price_per_kwh: Money) -> Result<Row, Error> {
    let fixed = (*rules.fixed_price, "fixed_price", *rules.fixed_wet_end, "fixed_wet_end");
    let controllable = (*rules.controllable_price, "controllable_price", *rules.controllable_wet_end, "controllable_wet_end");
    let (words, key, (price, price_rule, wet_end, wet_end_rule), draw, draw_rule) = match kind {
        PumpKind::RoundFixed => ("Round stream, one speed", "round_fixed", fixed, *rules.fixed_power, "fixed_power"),
        PumpKind::RoundControllable => {
            ("Round stream, controllable", "round_controllable", controllable, *rules.controllable_power, "controllable_power")
        }
        PumpKind::CrossFlow => ("Cross-flow", "cross_flow", controllable, *rules.cross_flow_power, "cross_flow_power"),
    };
    let id = |name: &str| format!("cost_kinds.{key}.{name}");
    let range = |low: Money, high: Money| Value::Range(low.into(), high.into());
    let energy = |draw: Power| power::cost(power::energy_per_year(draw) * (rules.years.si() / YEAR), price_per_kwh);
    let (energy_low, energy_high) = (energy(draw.low)?, energy(draw.high)?);
    // The cheapest wet ends are those that last longest.
    let wear = |interval: Time, price: UsDollars| Ok::<_, Error>(f64::from(wet_ends(interval, *rules.years)?) * price.0);
    let (wear_low, wear_high) = (wear(rules.wet_end_interval.high, wet_end.low)?, wear(rules.wet_end_interval.low, wet_end.high)?);
    let wear = Band { low: UsDollars(wear_low), high: UsDollars(wear_high) };
    let mut cells = vec![
        Figure::new(id("price"), "Price of the pump", price).rule(&format!("cost.{price_rule}")),
        Figure::new(id("energy"), "Its energy over the years", range(energy_low, energy_high))
            .from("power × 24 hours × 365 days × years × price of energy", &["power.price"])
            .rule(&format!("cost.{draw_rule}"))
            .rule("cost.years"),
        Figure::new(id("wear"), "Its wet ends over the years", wear)
            .from("(years ÷ life of a wet end, rounded up, less the first) × price of one", &[])
            .rule(&format!("cost.{wet_end_rule}"))
            .rule("cost.wet_end_interval")
            .rule("cost.years"),
    ];
    if price_per_kwh.currency == Currency::USD {
        let total = Band {
            low: UsDollars(price.low.0 + energy_low.amount + wear.low.0),
            high: UsDollars(price.high.0 + energy_high.amount + wear.high.0),
        };
        let inputs = ["price", "energy", "wear"].map(id);
        cells.push(
            Figure::new(id("total"), "All together over the years", total)
                .from("price + energy + wet ends", &inputs.each_ref().map(String::as_str)),
        );
    }
    Ok(Row { head: Cell::Words(words.to_owned()), cells: cells.into_iter().map(Cell::Figure).collect() })
}

#[cfg(test)]
mod tests;
