//! What pumps cost, on the sheet: the bills of this tank's pumps, and those of one pump of each kind.

use uom::si::f64::{Energy, Power, Time};

use super::ids::{circuit, cost as id, plan, power as power_id};
use crate::catalogue::{Catalogue, PumpKind, PumpModel};
use crate::error::Error;
use crate::formulas::cost::{YEAR, wear_over};
use crate::formulas::power::{cost, draw_range, energy_per_year};
use crate::quantity::{Currency, Dimension, Kind, Money, Rounding, Share, UsDollars, show};
use crate::rules::cost::CostRules;
use crate::rules::power::PowerRules;
use crate::rules::{Band, Rules};
use crate::sheet::{Axis, Cell, Chart, Figure, Reckoned, Row, Sheet, Table, Value, figure, try_figure};
use crate::tank::{Home, HungPump, Tank};
use crate::trace::Traced;

/// Adds the figures and the tables of this topic: `cost.…`.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    let home = &tank.home;
    let own = sheet.get(power_id::PRICE)?;
    let exchange = home.exchange.map(|exchange| {
        let title = format!("What one {} buys", home.currency.code());
        sheet.put(figure(id::EXCHANGE, || exchange).titled(title))
    });
    if exchange.is_none() {
        let why = format!("The file of {} tells no exchange of money. Write exchange under [home] to have one.", tank.name);
        sheet.lack(id::EXCHANGE, why);
    }
    let paid = price_in(catalogue.currency, &own, exchange.as_ref());
    let paid_kinds = price_in(Currency::USD, &own, exchange.as_ref());
    sheet.put(figure(id::COUNTED, || counted_words(home, catalogue.currency, paid.is_some())));
    sheet.put(figure(id::COUNTED_KINDS, || counted_words(home, Currency::USD, paid_kinds.is_some())));
    if paid.is_some() {
        sheet.lack(id::ADVICE, format!("Nothing has to be exchanged for {}: its energy is counted.", tank.name));
    } else {
        let (own, prices) = (home.currency.code(), catalogue.currency.code());
        let advice = format!("write exchange under [home] of the tank file, with what one {own} buys in {prices}");
        sheet.put(figure(id::ADVICE, || advice));
    }
    let bills = own_bills(sheet, rules, catalogue, tank, paid.as_ref())?;
    if bills.peek().is_empty() {
        let why = format!("No pump hangs in {} yet, and no set of the catalogue suits it, so there is no bill to add up.", tank.name);
        sheet.lack(OWN, why);
    } else {
        sheet.tabulate(|| Ok(own_table((*bills).clone(), tank)))?;
    }
    sheet.plot(|| kinds_chart(&rules.cost, paid_kinds.as_ref()))?;
    sheet.tabulate(|| kinds_table(&rules.cost, paid_kinds.as_ref().unwrap_or(&own)))
}

/// The table of this tank's bills.
const OWN: &str = "cost_own";

/// What a kilowatt hour costs in a currency: the home's own, or the one that its exchange leads to.
fn price_in(currency: Currency, own: &Traced<Money>, exchange: Option<&Traced<Money>>) -> Option<Traced<Money>> {
    if own.peek().currency == currency {
        return Some(own.clone());
    }
    let exchange = exchange.filter(|money| money.peek().currency == currency)?;
    Some(Traced::new(|| Money { amount: own.amount * exchange.amount, currency }))
}

/// What counts as the cost of pumps over the years, as a sentence's middle: the energy only where it is paid in the money of their
/// prices, or where the tank file tells what the home's money buys in it.
fn counted_words(home: &Home, prices: Currency, energy_counts: bool) -> String {
    if energy_counts {
        return "the price, the energy and the wet ends".to_owned();
    }
    let (prices, own) = (prices.code(), home.currency.code());
    format!("the price and the wet ends; the energy is left out, because it is paid in {own} and the pumps in {prices}")
}

/// What the pumps of this tank cost: those that hang in it, or else those of its plan; and what the rest that runs all day uses. None
/// where it has no pumps.
fn own_bills(
    sheet: &Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
    paid: Option<&Traced<Money>>,
) -> Result<Traced<Vec<Row>>, Error> {
    let own = sheet.get(power_id::PRICE)?;
    Traced::ok(|| {
        let mut bills =
            if tank.pumps.is_empty() { plans_bills(sheet) } else { hung_bills(&rules.cost, &rules.power, catalogue, tank, (&own, paid))? };
        if bills.is_empty() {
            return Ok(bills);
        }
        if let Some(year) = sheet.maybe(power_id::RETURN_YEAR) {
            let title = "Energy of the return pump in a year";
            bills.extend(bill(try_figure(format!("{OWN}.return_pump"), || cost(*year, *own))?.titled(title)));
        }
        if let Some(draw) = sheet.maybe(circuit::SKIMMER) {
            let title = "Energy of the skimmer in a year";
            let energy = try_figure(format!("{OWN}.skimmer"), || cost(energy_per_year(*draw), *own))?.titled(title);
            bills.extend(bill(energy.says("power × 24 hours × 365 × price").assumes(tank, "skimmer.power")));
        }
        Ok(bills)
    })
}

/// A row of the bills; none for a bill of nothing.
fn bill(figure: impl Into<Cell>) -> Option<Row> {
    let cell = figure.into();
    let Cell::Figure(figure) = &cell else { return None };
    let is_something = match figure.value {
        Value::One(value) => value.si > 0.0,
        Value::Range(_, high) => high.si > 0.0,
        Value::Words(_) => true,
    };
    let head = Cell::Words(figure.title.clone());
    is_something.then(|| Row { head, cells: vec![cell] })
}

/// As the plan has them; nothing where there is no plan.
fn plans_bills(sheet: &Sheet) -> Vec<Row> {
    let (price, power, energy) = (plan::PRICE.name(), plan::POWER.name(), plan::ENERGY.name());
    let bill = |name: &str| {
        let figure = sheet.figure(name)?.clone();
        let id = format!("{OWN}.{}", name.rsplit('.').next().unwrap_or_default());
        bill(Cell::Figure(Figure { inputs: vec![figure.id], formula: "as the plan has it", id, ..figure }))
    };
    [price, power, energy, plan::ENERGY_COST.name(), plan::COST.name()].into_iter().filter_map(bill).collect()
}

/// Of the pumps that hang in the tank, at their settings; wet ends as soon as the rules expect them.
///
/// - `(own, paid)`: price of a kilowatt hour in the home's money, and in that of the catalogue
fn hung_bills(
    rules: &CostRules,
    power: &PowerRules,
    catalogue: &Catalogue,
    tank: &Tank,
    (own, paid): (&Traced<Money>, Option<&Traced<Money>>),
) -> Result<Vec<Row>, Error> {
    let hung: Vec<_> = tank.pumps.iter().filter_map(|hung| Some((hung, catalogue.pump(&hung.model)?))).collect();
    let sum = |price: fn(&PumpModel) -> f64| hung.iter().fold(0.0, |sum, (_, model)| sum + price(model));
    let money = |amount| Money { amount, currency: catalogue.currency };
    let id = |key: &str| format!("{OWN}.{key}");
    let price = figure(id("price"), || money(sum(|model| model.price))).titled("Price of the pumps, when bought new");
    let draw = try_figure(id("power"), || hung_draw(&hung, power))?.titled("What the pumps draw at their settings");
    let watts = draw.value();
    let energy = figure(id("energy"), || Band { low: energy_per_year(watts.low), high: energy_per_year(watts.high) })
        .titled("What they use in a year");
    let year = energy.value();
    let energy_cost = try_figure(id("energy_cost"), || Ok(Band { low: cost(year.low, **own)?, high: cost(year.high, **own)? }))?
        .titled("What their energy costs in a year");
    let wear =
        try_figure(id("wear"), || Ok(money(wear_over(*rules.years, rules.wet_end_interval.low, sum(|model| model.wet_end_price))?)))?
            .titled("Their wet ends over the years, at the most");
    let total = paid.map(|paid| {
        let (price, wear) = (price.value(), wear.value());
        let title = "The pumps over the years, all together, at the most";
        let total = try_figure(id("cost"), || {
            let energy = cost(year.high * (rules.years.si() / YEAR), **paid)?;
            Ok(money(price.amount + wear.amount + energy.amount))
        });
        Ok::<_, Error>(total?.titled(title).says("price + energy × years + wet ends"))
    });
    let price = price.says("sum of the prices");
    let bills = [bill(price), bill(draw), bill(energy), bill(energy_cost), bill(wear), total.transpose()?.and_then(bill)];
    Ok(bills.into_iter().flatten().collect())
}

/// What hung pumps draw together at their settings.
fn hung_draw(hung: &[(&HungPump, &PumpModel)], rules: &PowerRules) -> Result<Band<Power>, Error> {
    let mut draw = Band { low: Power::default(), high: Power::default() };
    for (hung, model) in hung {
        let setting = Share(hung.setting.0.max(model.lowest_setting.0));
        let standing = if model.standing_draw < model.power { model.standing_draw } else { model.power };
        let range = draw_range(model.power, standing, setting, *rules.saving_made)?;
        draw = Band { low: draw.low + range.low, high: draw.high + range.high };
    }
    Ok(draw)
}

fn own_table(rows: Vec<Row>, tank: &Tank) -> Table {
    let caption = if tank.pumps.is_empty() {
        "The bills of the plan's pumps: none hangs in the tank yet"
    } else {
        "The bills of the pumps in the tank"
    };
    Table::new(OWN, rows).captioned(caption)
}

/// What a pump of each kind has cost by the end of each year, at the middle of its bands.
fn kinds_chart(rules: &CostRules, price_per_kwh: Option<&Traced<Money>>) -> Result<Chart, Error> {
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
            let energy = energy_per_year(power.at(0.5)) * (time.si() / YEAR);
            let paid = price_per_kwh.map_or(Ok(0.0), |price| cost(energy, **price).map(|money| money.amount))?;
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
        Axis::new(Kind::Time, 0.0, rules.years.si()),
        Axis::new(Kind::Money(Currency::USD), 0.0, most * 1.05).labelled(what),
    )
    .titled(format!("What one pump of each kind costs as the years go by, at the middle of its range. {what}"));
    for (name, points) in lines {
        chart = chart.line(name, points);
    }
    Ok(chart)
}

/// Kind of pump → price, energy and wear over the years; their sum too where energy is paid in the money of the rules.
fn kinds_table(rules: &CostRules, price_per_kwh: &Traced<Money>) -> Result<Table, Error> {
    let kinds = [PumpKind::RoundFixed, PumpKind::RoundControllable, PumpKind::CrossFlow];
    let rows = kinds.into_iter().map(|kind| kind_row(kind, rules, price_per_kwh)).collect::<Result<_, _>>()?;
    let years = show((*rules.years).into(), Rounding::Nearest);
    let mut heads = vec!["Kind of pump", "Price", "Energy", "Wet ends"];
    let mut caption = format!("What one pump costs in {years}");
    if price_per_kwh.peek().currency == Currency::USD {
        heads.push("Together");
    } else {
        caption.push_str("; its energy is in another currency than its price, so they are not added up");
    }
    Ok(Table::new("cost_kinds", rows).captioned(caption).headed(heads))
}

fn kind_row(kind: PumpKind, rules: &CostRules, price_per_kwh: &Traced<Money>) -> Result<Row, Error> {
    let fixed = (&rules.fixed_price, &rules.fixed_wet_end);
    let controllable = (&rules.controllable_price, &rules.controllable_wet_end);
    let (words, key, (price, wet_end), draw) = match kind {
        PumpKind::RoundFixed => ("Round stream, one speed", "round_fixed", fixed, &rules.fixed_power),
        PumpKind::RoundControllable => ("Round stream, controllable", "round_controllable", controllable, &rules.controllable_power),
        PumpKind::CrossFlow => ("Cross-flow", "cross_flow", controllable, &rules.cross_flow_power),
    };
    let id = |name: &str| format!("cost_kinds.{key}.{name}");
    let price = figure(id("price"), || **price).titled("Price of the pump");
    let over_the_years = |draw: Power| -> Energy { energy_per_year(draw) * (rules.years.si() / YEAR) };
    let energy = try_figure(id("energy"), || {
        let paid = |draw| cost(over_the_years(draw), **price_per_kwh);
        Ok(Band { low: paid(draw.low)?, high: paid(draw.high)? })
    })?
    .titled("Its energy over the years");
    let energy = energy.says("power × 24 hours × 365 × years × price of energy");
    // The cheapest wet ends are those that last longest.
    let wear = try_figure(id("wear"), || {
        let wear = |interval: Time, price: UsDollars| wear_over(*rules.years, interval, price.0).map(UsDollars);
        let interval = &rules.wet_end_interval;
        Ok(Band { low: wear(interval.high, wet_end.low)?, high: wear(interval.low, wet_end.high)? })
    })?
    .titled("Its wet ends over the years");
    let total = (price_per_kwh.peek().currency == Currency::USD).then(|| {
        let (price, energy, wear) = (price.value(), energy.value(), wear.value());
        let total = figure(id("total"), || Band {
            low: UsDollars(price.low.0 + energy.low.amount + wear.low.0),
            high: UsDollars(price.high.0 + energy.high.amount + wear.high.0),
        })
        .titled("All together over the years");
        total.says("price + energy + wet ends")
    });
    let mut cells: Vec<Cell> = vec![price.into(), energy.into(), wear.into()];
    cells.extend(total.map(Reckoned::into));
    Ok(Row { head: Cell::Words(words.to_owned()), cells })
}

#[cfg(test)]
mod tests;
