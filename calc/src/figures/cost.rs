//! What pumps cost, on the sheet: the bills of this tank's pumps, and those of one pump of each kind.

use uom::si::f64::{Energy, Power, Time};

use super::ids::{circuit, cost as id, plan, power as power_id};
use crate::catalogue::{Catalogue, PumpModel};
use crate::error::Error;
use crate::formulas::cost::wear_over;
use crate::formulas::power::{cost, draw_range, energy_per_year};
use crate::quantity::{Currency, Dimension, Kind, Money, Rounding, Share, UsDollars, YEAR, show};
use crate::rules::cost::CostRules;
use crate::rules::power::PowerRules;
use crate::rules::{Band, Ruled, Rules, words};
use crate::sheet::{Axis, Cell, Chart, Figure, Reckoned, Row, Sheet, Table, Value, figure, try_figure};
use crate::tank::{Home, HungPump, Tank};
use crate::trace::Traced;

/// Adds the figures and the tables of this topic: `cost.…`.
pub(crate) fn figures(
    sheet: &mut Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
) -> Result<(), Error> {
    let (home, words) = (&tank.home, &rules.words.cost);
    let own = sheet.get(power_id::PRICE)?;
    let exchange = home.exchange.map(|exchange| {
        let title = words.exchange(home.currency.code());
        sheet.put(figure(id::EXCHANGE, || exchange).titled(title))
    });
    if exchange.is_none() {
        sheet.lack(id::EXCHANGE, words.no_exchange(&tank.name));
    }
    let paid = price_in(catalogue.currency, &own, exchange.as_ref());
    let paid_kinds = price_in(Currency::USD, &own, exchange.as_ref());
    sheet.put(figure(id::COUNTED, || counted_words(home, catalogue.currency, paid.is_some(), words)));
    sheet.put(figure(id::COUNTED_KINDS, || counted_words(home, Currency::USD, paid_kinds.is_some(), words)));
    if paid.is_some() {
        sheet.lack(id::ADVICE, words.nothing_to_exchange(&tank.name));
    } else {
        let advice = words.write_exchange(home.currency.code(), catalogue.currency.code());
        sheet.put(figure(id::ADVICE, || advice));
    }
    let bills = own_bills(sheet, rules, catalogue, tank, paid.as_ref())?;
    if bills.peek().is_empty() {
        sheet.lack(OWN, words.no_bill(&tank.name));
    } else {
        sheet.tabulate(|| Ok(own_table((*bills).clone(), tank, words)))?;
    }
    sheet.plot(|| kinds_chart(rules, paid_kinds.as_ref()))?;
    sheet.tabulate(|| kinds_table(rules, paid_kinds.as_ref().unwrap_or(&own)))
}

/// The table of this tank's bills.
const OWN: &str = "cost_own";

/// What a kilowatt hour costs in a currency: the home's own, or the one that its exchange leads to.
fn price_in(
    currency: Currency,
    own: &Traced<Money>,
    exchange: Option<&Traced<Money>>,
) -> Option<Traced<Money>> {
    if own.peek().currency == currency {
        return Some(*own);
    }
    let exchange = exchange.filter(|money| money.peek().currency == currency)?;
    Some(Traced::new(|| Money { amount: own.amount * exchange.amount, currency }))
}

/// What counts as the cost of pumps over the years, as a sentence's middle: the energy only where it is paid
/// in the money of their prices, or where the tank file tells what the home's money buys in it.
fn counted_words(home: &Home, prices: Currency, energy_counts: bool, words: &words::Cost) -> String {
    if energy_counts {
        return words.all_counts().to_owned();
    }
    words.energy_left_out(home.currency.code(), prices.code())
}

/// What the pumps of this tank cost: those that hang in it, or else those of its plan; and what the rest that
/// runs all day uses. None where it has no pumps.
fn own_bills(
    sheet: &Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
    paid: Option<&Traced<Money>>,
) -> Result<Traced<Vec<Row>>, Error> {
    let own = sheet.get(power_id::PRICE)?;
    Traced::ok(|| {
        let mut bills = match tank.pumps.as_slice() {
            [] => plans_bills(sheet),
            _ => hung_bills(sheet, rules, catalogue, tank, (&own, paid))?,
        };
        if bills.is_empty() {
            return Ok(bills);
        }
        if let Some(year) = sheet.maybe(power_id::RETURN_YEAR) {
            bills.extend(bill(sheet, try_figure(format!("{OWN}.return_pump"), || cost(*year, *own))?));
        }
        if let Some(draw) = sheet.maybe(circuit::SKIMMER) {
            let energy = try_figure(format!("{OWN}.skimmer"), || cost(energy_per_year(*draw), *own))?;
            let energy = energy.says("power × 24 hours × 365 × price").assumes(tank, "skimmer.power");
            bills.extend(bill(sheet, energy));
        }
        Ok(bills)
    })
}

/// A row of the bills; none for a bill of nothing.
fn bill(sheet: &Sheet, figure: impl Into<Cell>) -> Option<Row> {
    let cell = figure.into();
    let Cell::Figure(figure) = &cell else { return None };
    let is_something = match figure.value {
        Value::One(value) => value.si > 0.0,
        Value::Range(_, high) => high.si > 0.0,
        Value::Words(_) => true,
    };
    let title = if figure.title.is_empty() { sheet.title(&figure.id) } else { &figure.title };
    let head = Cell::Words(title.to_owned());
    is_something.then(|| Row { head, cells: vec![cell] })
}

/// As the plan has them; nothing where there is no plan.
fn plans_bills(sheet: &Sheet) -> Vec<Row> {
    let (price, power, energy) = (plan::PRICE.name(), plan::POWER.name(), plan::ENERGY.name());
    let bill = |name: &str| {
        let figure = sheet.figure(name)?.clone();
        let id = format!("{OWN}.{}", name.rsplit('.').next().unwrap_or_default());
        let figure = Figure { inputs: vec![figure.id.into()], formula: "as the plan has it", id, ..figure };
        bill(sheet, Cell::Figure(figure))
    };
    [price, power, energy, plan::ENERGY_COST.name(), plan::COST.name()].into_iter().filter_map(bill).collect()
}

/// Of the pumps that hang in the tank, at their settings; wet ends as soon as the rules expect them.
///
/// - `(own, paid)`: price of a kilowatt hour in the home's money, and in that of the catalogue
fn hung_bills(
    sheet: &Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
    (own, paid): (&Traced<Money>, Option<&Traced<Money>>),
) -> Result<Vec<Row>, Error> {
    let hung: Vec<_> =
        tank.pumps.iter().filter_map(|hung| Some((hung, catalogue.pump(&hung.model)?))).collect();
    let sum = |price: fn(&PumpModel) -> f64| hung.iter().fold(0.0, |sum, (_, model)| sum + price(model));
    let money = |amount| Money { amount, currency: catalogue.currency };
    let id = |key: &str| format!("{OWN}.{key}");
    let price = figure(id("price"), || money(sum(|model| model.price)));
    let draw = try_figure(id("power"), || hung_draw(&hung, &rules.power))?;
    let watts = draw.value();
    let used = || Band { low: energy_per_year(watts.low), high: energy_per_year(watts.high) };
    let energy = figure(id("energy"), used);
    let year = energy.value();
    let costs = || Ok(Band { low: cost(year.low, **own)?, high: cost(year.high, **own)? });
    let energy_cost = try_figure(id("energy_cost"), costs)?;
    let rules = &rules.cost;
    let wear = || wear_over(*rules.years, rules.wet_end_interval.low, sum(|model| model.wet_end_price));
    let wear = try_figure(id("wear"), || Ok(money(wear()?)))?;
    let total = paid.map(|paid| {
        let (price, wear) = (price.value(), wear.value());
        let total = try_figure(id("cost"), || {
            let energy = cost(year.high * (rules.years.si() / YEAR), **paid)?;
            Ok(money(price.amount + wear.amount + energy.amount))
        });
        Ok::<_, Error>(total?.says("price + energy × years + wet ends"))
    });
    let price = price.says("sum of the prices");
    let bills: [Cell; 5] = [price.into(), draw.into(), energy.into(), energy_cost.into(), wear.into()];
    let bills = bills.into_iter().chain(total.transpose()?.map(Cell::from));
    Ok(bills.filter_map(|cell| bill(sheet, cell)).collect())
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

fn own_table(rows: Vec<Row>, tank: &Tank, words: &words::Cost) -> Table {
    let caption = if tank.pumps.is_empty() { words.bills_of_the_plan() } else { words.bills_of_the_tank() };
    Table::new(OWN, rows).captioned(caption)
}

/// What the trade's pumps of a kind cost and draw.
struct OfKind<'r> {
    key: &'static str,
    /// The name of its line in the chart.
    line: &'r str,
    /// The head of its row.
    head: &'r str,
    price: &'r Ruled<Band<UsDollars>>,
    wet_end: &'r Ruled<Band<UsDollars>>,
    power: &'r Ruled<Band<Power>>,
}

fn kinds(rules: &Rules) -> [OfKind<'_>; 3] {
    let (rules, words) = (&rules.cost, &rules.words.cost);
    let fixed = OfKind {
        key: "round_fixed",
        line: words.line_fixed(),
        head: words.round_fixed(),
        price: &rules.fixed_price,
        wet_end: &rules.fixed_wet_end,
        power: &rules.fixed_power,
    };
    let controllable = OfKind {
        key: "round_controllable",
        line: words.line_controllable(),
        head: words.round_controllable(),
        price: &rules.controllable_price,
        wet_end: &rules.controllable_wet_end,
        power: &rules.controllable_power,
    };
    let (line, head) = (words.cross_flow(), words.cross_flow());
    let cross_flow = OfKind { key: "cross_flow", line, head, power: &rules.cross_flow_power, ..controllable };
    [fixed, controllable, cross_flow]
}

/// What a pump of each kind has cost by the end of each year, at the middle of its bands.
fn kinds_chart(rules: &Rules, price_per_kwh: Option<&Traced<Money>>) -> Result<Chart, Error> {
    let (kinds, words, rules) = (kinds(rules), &rules.words.cost, &rules.cost);
    let middle = |band: Band<UsDollars>| band.at(0.5).0;
    let mut lines = Vec::new();
    let mut most: f64 = 0.0;
    for kind in kinds {
        let price = middle(**kind.price);
        let mut points = vec![(0.0, price)];
        for step in 1..=24 {
            let time = *rules.years * (f64::from(step) / 24.0);
            let energy = energy_per_year(kind.power.at(0.5)) * (time.si() / YEAR);
            let paid =
                price_per_kwh.map_or(Ok(0.0), |price| cost(energy, **price).map(|money| money.amount))?;
            // A wet end is paid when the one before has worn out.
            let worn = libm::floor(time.si() / rules.wet_end_interval.at(0.5).si() * (1.0 - 1e-9));
            let total = price + paid + worn * middle(**kind.wet_end);
            points.push((time.si(), total));
            most = most.max(total);
        }
        lines.push((kind.line, points));
    }
    let counted = match price_per_kwh {
        Some(_) => words.price_energy_and_wear(),
        None => words.price_and_wear(),
    };
    let mut chart = Chart::new(
        "cost_by_kind",
        Axis::new(Kind::Time, 0.0, rules.years.si()),
        Axis::new(Kind::Money(Currency::USD), 0.0, most * 1.05).labelled(counted),
    )
    .titled(words.as_the_years_go_by(counted));
    for (name, points) in lines {
        chart = chart.line(name, points);
    }
    Ok(chart)
}

/// Kind of pump → price, energy and wear over the years; their sum too where energy is paid in the money of
/// the rules.
fn kinds_table(rules: &Rules, price_per_kwh: &Traced<Money>) -> Result<Table, Error> {
    let row = |kind: &OfKind<'_>| kind_row(kind, &rules.cost, price_per_kwh);
    let rows = kinds(rules).iter().map(row).collect::<Result<_, _>>()?;
    let (years, words) = (show((*rules.cost.years).into(), Rounding::Nearest), &rules.words.cost);
    let caption = if adds_up(price_per_kwh) { words.one_costs(years) } else { words.one_costs_apart(years) };
    Ok(Table::new("cost_kinds", rows).captioned(caption))
}

/// Whether energy is paid in the money of the rules.
fn adds_up(price_per_kwh: &Traced<Money>) -> bool {
    price_per_kwh.peek().currency == Currency::USD
}

fn kind_row(kind: &OfKind<'_>, rules: &CostRules, price_per_kwh: &Traced<Money>) -> Result<Row, Error> {
    let id = |name: &str| format!("cost_kinds.{}.{name}", kind.key);
    let (wet_end, draw) = (kind.wet_end, kind.power);
    let price = figure(id("price"), || **kind.price);
    let over_the_years = |draw: Power| -> Energy { energy_per_year(draw) * (rules.years.si() / YEAR) };
    let energy = try_figure(id("energy"), || {
        let paid = |draw| cost(over_the_years(draw), **price_per_kwh);
        Ok(Band { low: paid(draw.low)?, high: paid(draw.high)? })
    })?;
    let energy = energy.says("power × 24 hours × 365 × years × price of energy");
    // The cheapest wet ends are those that last longest.
    let wear = try_figure(id("wear"), || {
        let wear =
            |interval: Time, price: UsDollars| wear_over(*rules.years, interval, price.0).map(UsDollars);
        let interval = &rules.wet_end_interval;
        Ok(Band { low: wear(interval.high, wet_end.low)?, high: wear(interval.low, wet_end.high)? })
    })?;
    let total = adds_up(price_per_kwh).then(|| {
        let (price, energy, wear) = (price.value(), energy.value(), wear.value());
        let total = figure(id("total"), || Band {
            low: UsDollars(price.low.0 + energy.low.amount + wear.low.0),
            high: UsDollars(price.high.0 + energy.high.amount + wear.high.0),
        });
        total.says("price + energy + wet ends")
    });
    let mut cells: Vec<Cell> = vec![price.into(), energy.into(), wear.into()];
    cells.extend(total.map(Reckoned::into));
    Ok(Row { head: Cell::Words(kind.head.to_owned()), cells })
}

#[cfg(test)]
mod tests;
