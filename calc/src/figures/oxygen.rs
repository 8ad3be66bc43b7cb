//! Oxygen on the sheet: what the water holds, what all life in it breathes, and how long the spare oxygen lasts.

use uom::si::f64::{Area, MassConcentration, MassRate, ThermodynamicTemperature, Time, Volume};

use super::ids::{oxygen as id, seawater, volume};
use crate::decide::oxygen::{Life, fish, resting, sand_bed, share_of_the_fish, start_share};
use crate::error::Error;
use crate::formulas::oxygen::{Case, Water, at_start, reef_breathing, reef_share_breathing, sand_and_rock_breathing};
use crate::formulas::oxygen::{saturation, spare, store};
use crate::quantity::{Rounding, Salinity, System, shown_number};
use crate::rules::livestock::Livestock;
use crate::rules::oxygen::OxygenRules;
use crate::rules::{Band, Rules};
use crate::sheet::{Cell, Item, Op, Origin, Row, Sheet, Sum, Table, Working, figure, try_figure};
use crate::tank::{Rock, Tank};
use crate::trace::Traced;
use crate::words::sentence_case;

/// Adds the figures of this topic: `oxygen.…`, what the water holds and what all life in it breathes.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let (temperature, salinity) = (sheet.get(seawater::TEMPERATURE)?, sheet.get(seawater::SALINITY)?);
    let title = "Oxygen that the water holds in balance with the air";
    let held = sheet.put(
        try_figure(id::SATURATION, title, || saturation(Water { temperature: *temperature, salinity: *salinity }, rules))?.never_above(),
    );
    sheet.tabulate(|| saturation_table(rules, &salinity))?;
    let title = "The same as a share of what the water could hold";
    let share = figure(id::START_SHARE, title, || start_share(tank, &rules.oxygen));
    let at_share = share.value();
    let start = figure(id::START, "Oxygen in the water when the power fails", || Band {
        low: at_start(*held, at_share.low),
        high: at_start(*held, at_share.high),
    });
    sheet.put(start.never_above());
    sheet.put(share);
    put_life(sheet, &rules.oxygen, tank)?;
    let floor = sheet.get(volume::DISPLAY_AREA)?;
    sheet.tabulate(|| reef_table(&rules.oxygen, &floor, &temperature))?;
    put_store(sheet, &rules.oxygen, tank)
}

/// What each part of the life in a tank breathes, and all of it.
fn put_life(sheet: &mut Sheet, rules: &OxygenRules, tank: &Tank) -> Result<(), Error> {
    let (temperature, display) = (sheet.get(seawater::TEMPERATURE)?, sheet.get(volume::DISPLAY_AREA)?);
    let mut breathed = None;
    if tank.fish.is_empty() {
        let why = format!("The file of {} lists no fish, so what they breathe is not counted. Add them as [[fish]].", tank.name);
        sheet.lack(id::REST, why.as_str());
        sheet.lack(id::FISH, why.as_str());
    } else {
        let title = "Oxygen that the fish breathe at rest";
        let rest = try_figure(id::REST, title, || resting(&tank.fish, *temperature, rules))?;
        let rest = sheet.put(rest.says("Σ count × e^(a + b × 1000 ÷ T) × (mass ÷ 50 g)^exponent").never_below());
        let title = "Oxygen that the fish breathe, from asleep to frightened";
        breathed = Some(sheet.put(figure(id::FISH, title, || fish(*rest, rules)).never_below()));
    }
    let title = "Oxygen that a reef of this floor's size and livestock breathes in the dark";
    let floor = try_figure(id::FLOOR, title, || reef_breathing(*display, tank.now, *temperature, rules))?;
    let floor = sheet.put(floor.never_below());
    let rock = sheet.maybe(volume::MASS_ROCK);
    let title = "Oxygen that the floor and all that is overgrown breathe in the dark";
    let sand_and_rock = try_figure(id::SAND_AND_ROCK, title, || {
        // The figure of weighed rock was reckoned there and back, and can differ from its mass in the last bit.
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
    let title = "Oxygen that all life in the tank breathes in the dark";
    let all = || Band { low: life.demand(Case::Best), high: life.demand(Case::Worst) };
    sheet.put(figure(id::DEMAND, title, all).never_below());
    for (id, case) in [id::DEMAND_WORST, id::DEMAND_LIKELY, id::DEMAND_BEST].into_iter().zip(Case::ALL) {
        sheet.put(figure(id, format!("{title}, {}", case.words()), || life.demand(case)).never_below());
    }
    Ok(())
}

/// Livestock → share of what a living reef takes up, and what that is over this tank's floor.
fn reef_table(rules: &OxygenRules, floor: &Traced<Area>, temperature: &Traced<ThermodynamicTemperature>) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for kind in Livestock::ALL {
        let title = format!("Share of what a reef slope breathes: {}", kind.words());
        let share = figure(format!("oxygen_reef.{}", kind.key()), title, || rules.reef_share(kind.into()));
        let of_slope = share.value();
        let title = format!("Oxygen that this floor breathes in the dark: {}", kind.words());
        let taken = try_figure(format!("{}.taken", share.id()), title, || reef_share_breathing(**floor, *of_slope, **temperature, rules))?;
        let cells = vec![share.into(), taken.never_below().into()];
        rows.push(Row { head: Cell::Words(sentence_case(kind.words())), cells });
    }
    Ok(Table {
        id: "oxygen_reef",
        caption: "What corals, sand and rock of a floor like this breathe in the dark".to_owned(),
        heads: ["What lives there", "Share of what a reef slope breathes", "On this floor"].map(str::to_owned).to_vec(),
        rows,
        origin: Origin::default(),
    })
}

/// The sum a reader can check by hand: the oxygen above the limit, over what all life breathes, as if nothing came in.
fn put_store(sheet: &mut Sheet, rules: &OxygenRules, tank: &Tank) -> Result<(), Error> {
    let (start, water, demand) = (sheet.get(id::START)?, sheet.get(volume::WATER)?, sheet.get(id::DEMAND_WORST)?);
    let title = "Oxygen above what you aim for when the power fails, at the worst";
    let above = sheet.put(figure(id::SPARE, title, || spare(start.low, *rules.aim_limit)).never_above());
    let title = "Time that the spare oxygen in the water lasts if none comes in, at the worst";
    let lasts = sheet.put(figure(id::STORE, title, || store(*above, *water, *demand)).never_above());
    match store_working(*above.peek(), *water.peek(), *demand.peek(), *lasts.peek()) {
        Some(working) => sheet.work(working),
        None if *above.peek() > MassConcentration::default() => {
            let lasts = "lasts for too short or too long a time to make a sum of it";
            sheet.lack(STORE, format!("The spare oxygen of {} {lasts}.", tank.name));
        }
        None => {
            let why = format!(
                "At the worst the water of {} holds no spare oxygen at all when the power fails, so there is no sum to do: \
                 move it at once.",
                tank.name
            );
            sheet.lack(STORE, why);
        }
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
    Some(Working {
        id: STORE,
        title: "How long the spare oxygen in the water lasts by itself",
        given: Vec::new(),
        formula: "spare oxygen × water ÷ what all life breathes",
        sums: vec![Sum::work(System::Metric, terms, unit)],
        answer: id::STORE.name(),
        tell: "The table at the worst gives as much or more: it also counts what comes in through the surface.",
    })
}

/// Temperature → saturation, at the tank's salinity.
fn saturation_table(rules: &Rules, salinity: &Traced<Salinity>) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for temperature in &*rules.oxygen.table_temperatures {
        let head = figure(format!("oxygen_saturation.{}", rows.len() + 1), "Temperature of the water", || *temperature);
        let temperature = head.value();
        let held = try_figure(format!("{}.held", head.id()), "Oxygen that the water holds", || {
            saturation(Water { temperature: *temperature, salinity: **salinity }, rules)
        })?;
        rows.push(Row { head: head.into(), cells: vec![held.never_above().into()] });
    }
    Ok(Table {
        id: "oxygen_saturation",
        caption: "Warm water holds less oxygen".to_owned(),
        heads: ["Temperature", "Oxygen it holds"].map(str::to_owned).to_vec(),
        rows,
        origin: Origin::default(),
    })
}

#[cfg(test)]
mod tests;
