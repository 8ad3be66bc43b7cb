//! Oxygen on the sheet: what the water holds, what all life in it breathes, and how long the spare oxygen
//! lasts.

use uom::si::f64::{Area, MassConcentration, MassRate, ThermodynamicTemperature, Time, Volume};

use super::ids::{measured, oxygen as id, seawater, volume};
use crate::decide::oxygen::{
    Life, fish, resting, sand_bed, share_of_the_fish, start_share, usual_start_share,
};
use crate::error::Error;
use crate::formulas::oxygen::{
    AT_START, Case, Water, at_start, reef_breathing, reef_share_breathing, sand_and_rock_breathing,
};
use crate::formulas::oxygen::{saturation, spare, store};
use crate::quantity::{Rounding, Salinity, System, shown_number};
use crate::rules::{Band, Rules};
use crate::sheet::{Cell, Item, Op, Row, Sheet, Sum, Table, Working, figure, try_figure};
use crate::tank::{Rock, Tank};
use crate::trace::Traced;
use crate::words::sentence_case;

/// Adds the figures of this topic: `oxygen.…`, what the water holds and what all life in it breathes.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let (temperature, salinity) = (sheet.get(seawater::TEMPERATURE)?, sheet.get(seawater::SALINITY)?);
    let held = sheet.put(
        try_figure(id::SATURATION, || {
            saturation(Water { temperature: *temperature, salinity: *salinity }, rules)
        })?
        .never_above(),
    );
    sheet.tabulate(|| saturation_table(rules, &salinity))?;
    let at_dawn = sheet.maybe(measured::OXYGEN);
    if at_dawn.is_some() {
        let usual = figure(measured::OXYGEN_RECKONED, || {
            let share = usual_start_share(tank, &rules.oxygen);
            Band { low: at_start(*held, share.low), high: at_start(*held, share.high) }
        });
        sheet.put(usual.says(AT_START.text));
    }
    let share = try_figure(id::START_SHARE, || {
        at_dawn.iter().for_each(Traced::note);
        start_share(tank, rules)
    })?;
    let at_share = share.value();
    let start = figure(id::START, || Band {
        low: at_start(*held, at_share.low),
        high: at_start(*held, at_share.high),
    });
    sheet.put(start.never_above());
    sheet.put(share);
    put_life(sheet, rules, tank)?;
    let floor = sheet.get(volume::DISPLAY_AREA)?;
    sheet.tabulate(|| reef_table(rules, &floor, &temperature))?;
    put_store(sheet, rules, tank)
}

/// What each part of the life in a tank breathes, and all of it.
fn put_life(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let (rules, words) = (&rules.oxygen, &rules.words.oxygen);
    let (temperature, display) = (sheet.get(seawater::TEMPERATURE)?, sheet.get(volume::DISPLAY_AREA)?);
    let mut breathed = None;
    if tank.fish.is_empty() {
        sheet.lack(id::REST, words.no_fish(&tank.name));
        sheet.lack(id::FISH, words.no_fish(&tank.name));
    } else {
        let rest = try_figure(id::REST, || resting(&tank.fish, *temperature, rules))?;
        let rest =
            sheet.put(rest.says("Σ count × e^(a + b × 1000 ÷ T) × (mass ÷ 50 g)^exponent").never_below());
        breathed = Some(sheet.put(figure(id::FISH, || fish(*rest, rules)).never_below()));
    }
    let floor = try_figure(id::FLOOR, || reef_breathing(*display, &tank.now, *temperature, rules))?;
    let floor = sheet.put(floor.never_below());
    let rock = sheet.maybe(volume::MASS_ROCK);
    let sand_and_rock = try_figure(id::SAND_AND_ROCK, || {
        // The figure of weighed rock was reckoned there and back, and can differ from its mass in the last
        // bit.
        let rock = match (tank.rock, &rock) {
            (Some(Rock::Weighed { mass, .. }), Some(figure)) => {
                figure.note();
                mass
            }
            (_, figure) => figure.as_deref().copied().unwrap_or_default(),
        };
        sand_and_rock_breathing(sand_bed(tank, *display), rock, *temperature, rules)
    })?;
    let sand_and_rock = sheet.put(sand_and_rock.never_below());
    let life = Traced::new(|| {
        let nothing = Band { low: MassRate::default(), high: MassRate::default() };
        let (fish, share) = match &breathed {
            Some(fish) => (**fish, share_of_the_fish(**fish, rules)),
            None => (nothing, nothing),
        };
        Life { fish, share, floor: *floor, sand_and_rock: *sand_and_rock }
    });
    let all = || Band { low: life.demand(Case::Best), high: life.demand(Case::Worst) };
    sheet.put(figure(id::DEMAND, all).never_below());
    for (id, case) in [id::DEMAND_WORST, id::DEMAND_LIKELY, id::DEMAND_BEST].into_iter().zip(Case::ALL) {
        sheet.put(figure(id, || life.demand(case)).never_below());
    }
    Ok(())
}

/// Livestock → share of what a living reef takes up, and what that is over this tank's floor.
fn reef_table(
    rules: &Rules,
    floor: &Traced<Area>,
    temperature: &Traced<ThermodynamicTemperature>,
) -> Result<Table, Error> {
    let (kinds, rules, words) = (&rules.livestock, &rules.oxygen, &rules.words.oxygen);
    let mut rows = Vec::new();
    for kind in kinds {
        let livestock = kind.words();
        let share = figure(format!("oxygen_reef.{}", kind.key()), || rules.reef_share(kind));
        let (id, of_slope) = (format!("{}.taken", share.id()), share.value());
        let taken = try_figure(id, || reef_share_breathing(**floor, *of_slope, **temperature, rules))?;
        let share = share.titled(words.reef_share(livestock));
        let taken = taken.titled(words.reef_taken(livestock)).never_below();
        let cells = vec![share.into(), taken.into()];
        rows.push(Row { head: Cell::Words(sentence_case(livestock)), cells });
    }
    Ok(Table::new("oxygen_reef", rows))
}

/// The sum a reader can check by hand: the oxygen above the limit, over what all life breathes, as if nothing
/// came in.
fn put_store(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let (rules, words) = (&rules.oxygen, &rules.words.oxygen);
    let (start, water, demand) =
        (sheet.get(id::START)?, sheet.get(volume::WATER)?, sheet.get(id::DEMAND_WORST)?);
    let above = sheet.put(figure(id::SPARE, || spare(start.low, *rules.aim_limit)).never_above());
    let lasts = sheet.put(figure(id::STORE, || store(*above, *water, *demand)).never_above());
    match store_working(*above.peek(), *water.peek(), *demand.peek(), *lasts.peek()) {
        Some(working) => sheet.work(|| working),
        None if *above.peek() > MassConcentration::default() => {
            sheet.lack(STORE, words.store_without_sum(&tank.name));
        }
        None => sheet.lack(STORE, words.nothing_spare(&tank.name)),
    }
    Ok(())
}

/// The worked example of the store.
const STORE: &str = "oxygen_store";

/// None where the time is one of seconds or months: no sum to show a beginner.
fn store_working(spare: MassConcentration, water: Volume, demand: MassRate, lasts: Time) -> Option<Working> {
    let mut terms = vec![
        (Op::First, Item::rounded(spare, System::Metric, Rounding::Down)),
        (Op::Times, Item::of(water, System::Metric)),
        (Op::Over, Item::rounded(demand, System::Metric, Rounding::Up)),
    ];
    let unit = shown_number(lasts.into(), System::Metric, Rounding::Down).1;
    match unit {
        "h" => {}
        "min" => terms.push((Op::Times, Item::constant(60.0, 0, "min/h"))),
        "days" => terms.push((Op::Over, Item::constant(24.0, 0, "h/day"))),
        _ => return None,
    }
    Some(Working::new(
        STORE,
        "spare oxygen × water ÷ what all life breathes",
        vec![Sum::work(System::Metric, terms, unit)],
        id::STORE.name(),
    ))
}

/// Temperature → saturation, at the tank's salinity.
fn saturation_table(rules: &Rules, salinity: &Traced<Salinity>) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for temperature in &*rules.oxygen.table_temperatures {
        let head = figure(format!("oxygen_saturation.{}", rows.len() + 1), || *temperature);
        let (id, temperature) = (format!("{}.held", head.id()), head.value());
        let water = || Water { temperature: *temperature, salinity: **salinity };
        let held = try_figure(id, || saturation(water(), rules))?;
        rows.push(Row { head: head.into(), cells: vec![held.never_above().into()] });
    }
    Ok(Table::new("oxygen_saturation", rows))
}

#[cfg(test)]
mod tests;
