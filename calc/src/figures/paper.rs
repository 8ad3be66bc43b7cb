//! Tables for pen and paper: what a reader without a browser looks up for a tank that nobody reckoned.

use uom::si::f64::{Area, Mass, MassConcentration, MassRate, ThermodynamicTemperature, Volume};

use super::ids::{oxygen, seawater};
use crate::catalogue::{Catalogue, PumpKind, PumpModel};
use crate::decide::oxygen::{fish, share_of_the_fish};
use crate::error::Error;
use crate::formulas::oxygen::{
    at_start, demand, reef_breathing, respiration, sand_and_rock_breathing, spare, store,
};
use crate::formulas::power_cut::act_within;
use crate::formulas::volume::rock_displacement;
use crate::quantity::{Money, Rounding, show};
use crate::rules::Rules;
use crate::sheet::{Cell, Row, Sheet, Table, figure, try_figure};
use crate::trace::Traced;

/// The list of pumps.
const PUMPS: &str = "paper_pumps";

/// Adds the tables of this topic: `paper_…`.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue) -> Result<(), Error> {
    sheet.tabulate(|| Ok(rock_table(rules)))?;
    let (held, temperature) = (sheet.get(oxygen::SATURATION)?, sheet.get(seawater::TEMPERATURE)?);
    sheet.tabulate(|| minutes_table(rules, &held, &temperature))?;
    if catalogue.pumps.is_empty() {
        sheet.lack(PUMPS, rules.words.paper.no_pumps());
        return Ok(());
    }
    sheet.tabulate(|| Ok(pumps_table(rules, catalogue)))
}

/// Rock → the water that it pushes aside.
fn rock_table(rules: &Rules) -> Table {
    let volume = &rules.volume;
    let row = |(at, mass): (usize, &Mass)| {
        let head = figure(format!("paper_rock.{}", at + 1), || *mass);
        let mass = head.value();
        let aside = figure(format!("{}.aside", head.id()), || {
            rock_displacement(*mass, *volume.mineral_density, *volume.rock_porosity)
        });
        Row {
            head: head.into(),
            cells: vec![aside.says("rock mass ÷ mineral density ÷ (1 − porosity)").into()],
        }
    };
    Table::new("paper_rock", rules.paper.rock_masses.iter().enumerate().map(row).collect())
}

/// Net water × fish → the time by which help should be at work: as if no oxygen came in from the air, with what
/// breathes the most of all that may live in such a tank, and as little oxygen at the start as is usual with a
/// sump or a skimmer.
fn minutes_table(
    rules: &Rules,
    held: &Traced<MassConcentration>,
    temperature: &Traced<ThermodynamicTemperature>,
) -> Result<Table, Error> {
    let (own, words) = (&rules.paper, &rules.words.paper);
    let mut rows = Vec::new();
    for water in &*rules.turnover.usual_litres {
        let head = figure(format!("paper_minutes.{}", rows.len() + 1), || *water);
        let water = head.value();
        let mut cells = Vec::new();
        for mass in &*own.fish_masses {
            let title = words.lasts_for(show((*mass).into(), Rounding::Nearest));
            let lasts = try_figure(format!("{}.{}", head.id(), cells.len() + 1), || {
                let above = spare(at_start(**held, rules.oxygen.start.low), *rules.oxygen.danger_limit);
                let lasts = store(above, *water, breathing(rules, *water, *mass, **temperature)?);
                Ok(act_within(lasts, *rules.power_cut.act_share))
            })?;
            cells.push(lasts.titled(title).never_above().into());
        }
        rows.push(Row { head: head.into(), cells });
    }
    let mut heads = vec![words.net_water().to_owned()];
    heads.extend(own.fish_masses.iter().map(|mass| words.fish(show((*mass).into(), Rounding::Nearest))));
    Ok(Table::new("paper_minutes", rows).headed(heads))
}

/// What all life breathes at the most in so much water with so much fish.
fn breathing(
    rules: &Rules,
    water: Volume,
    fishes: Mass,
    temperature: ThermodynamicTemperature,
) -> Result<MassRate, Error> {
    let own = &rules.oxygen;
    let each = *rules.paper.fish;
    let rest = respiration(each, temperature, own)? * (fishes / each);
    let fish = fish(rest, own);
    let floor: Area = water / *rules.paper.water_depth;
    let mut of_floor = MassRate::default();
    for kind in &rules.livestock {
        let most = reef_breathing(floor, kind, temperature, own)?.high;
        of_floor = if most > of_floor { most } else { of_floor };
    }
    let rock = sand_and_rock_breathing(floor, water * rules.volume.usual_rock.high, temperature, own)?;
    Ok(demand(fish.high, share_of_the_fish(fish, own).high, of_floor, rock.high))
}

/// The pumps of the catalogue, as their boxes tell of them.
fn pumps_table(rules: &Rules, catalogue: &Catalogue) -> Table {
    const OF_THE_BOX: &str = "as the list of pumps has it";
    let words = &rules.words.cost;
    let row = |(at, model): (usize, &PumpModel)| {
        let id = |part: &str| format!("{PUMPS}.{}.{part}", at + 1);
        let kind = match model.kind {
            PumpKind::RoundFixed => words.round_fixed(),
            PumpKind::RoundControllable => words.round_controllable(),
            PumpKind::CrossFlow => words.cross_flow(),
        };
        let price = Money { amount: model.price, currency: catalogue.currency };
        Row {
            head: Cell::Words(model.model.clone()),
            cells: vec![
                Cell::Words(kind.to_owned()),
                figure(id("flow"), || model.rated_flow).says(OF_THE_BOX).into(),
                figure(id("lowest"), || model.lowest_setting).says(OF_THE_BOX).into(),
                figure(id("power"), || model.power).says(OF_THE_BOX).into(),
                figure(id("sound"), || model.sound).says(OF_THE_BOX).into(),
                figure(id("price"), || price).says(OF_THE_BOX).into(),
            ],
        }
    };
    Table::new(PUMPS, catalogue.pumps.iter().enumerate().map(row).collect())
}

#[cfg(test)]
mod tests;
