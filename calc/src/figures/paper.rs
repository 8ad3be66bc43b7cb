//! Tables for pen and paper: what a reader without a browser looks up for a tank that nobody reckoned.

use uom::si::f64::{Area, Length, Mass, MassConcentration, MassRate, ThermodynamicTemperature, Volume};

use super::ids::{oxygen, seawater};
use crate::catalogue::{Catalogue, PumpKind, PumpModel};
use crate::decide::oxygen::{fish, share_of_the_fish};
use crate::error::Error;
use crate::formulas::oxygen::{
    at_start, demand, reef_breathing, respiration, sand_and_rock_breathing, spare, store,
};
use crate::formulas::power_cut::act_within;
use crate::formulas::stream::{Laws, Outlet, Stream, example_round};
use crate::formulas::volume::rock_displacement;
use crate::quantity::{Dimension, Kind, Money, Quantity, Rounding, Share, Thickness, show};
use crate::rules::Rules;
use crate::rules::livestock::Livestock;
use crate::sheet::{Cell, Row, Sheet, Table, figure, try_figure};
use crate::trace::Traced;
use crate::words::sentence_case;

/// The list of pumps.
const PUMPS: &str = "paper_pumps";

/// Adds the tables of this topic: `paper_…`.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue) -> Result<(), Error> {
    sheet.tabulate(|| Ok(rock_table(rules)))?;
    let (held, temperature) = (sheet.get(oxygen::SATURATION)?, sheet.get(seawater::TEMPERATURE)?);
    sheet.tabulate(|| minutes_table(rules, &held, &temperature))?;
    sheet.tabulate(|| lengths_table(rules))?;
    sheet.tabulate(|| Ok(lowest_table(rules)))?;
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

/// Net water × fish → the time by which hands should move the water, half-way to the oxygen to aim for: as if no oxygen came in from the air, with what
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
                let above = spare(at_start(**held, rules.oxygen.start.low), *rules.oxygen.aim_limit);
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

/// Length → how many pumps, and how strong each, with the outlet of the example pump: its stream must still
/// suit the corals in the middle of the tank where it meets another, or at the far glass.
fn lengths_table(rules: &Rules) -> Result<Table, Error> {
    const SCALED: &str = "rated flow of the example × speed wanted ÷ speed of its stream there";
    let words = &rules.words.paper;
    let corals = || rules.livestock.iter().filter(|kind| kind.is_coral());
    let count = |pumps: usize| Quantity::new(Kind::Count, pumps as f64);
    let mut rows = Vec::new();
    for length in &*rules.paper.lengths {
        let head = figure(format!("paper_lengths.{}", rows.len() + 1), || *length);
        let length = head.value();
        let fewest = Traced::new(|| if *length > *rules.plan.one_pump_up_to { 2 } else { 1 });
        let stony = || (*fewest).max(*rules.plan.two_sides);
        let id = |part: &str| format!("{}.{part}", head.id());
        let reach = figure(id("reach"), || if *fewest > 1 { *length * 0.5 } else { *length });
        let way = reach.value();
        let mut cells = vec![
            figure(id("least"), || count(*fewest)).into(),
            figure(id("stony"), || count(stony())).into(),
            figure(id("most"), || count(rules.plan.most_in(*length))).into(),
            reach.into(),
        ];
        for kind in corals() {
            let enough = try_figure(id(kind.key()), || {
                let (outlet, flow) = example_round(&rules.stream);
                let there = Stream::new(outlet, flow, Laws::of(&rules.stream))?.speed_at(*way)?;
                Ok(flow * (rules.speeds.band(kind).low / there))
            });
            cells.push(match enough {
                Ok(flow) => flow.says(SCALED).titled(words.strong_enough(kind.words())).never_below().into(),
                Err(_) => Cell::Words(words.too_far().to_owned()),
            });
        }
        rows.push(Row { head: head.into(), cells });
    }
    let fixed = [words.length(), words.least(), words.least_stony(), words.most(), words.reach()];
    let mut heads: Vec<_> = fixed.map(str::to_owned).into();
    heads.extend(corals().map(|kind| words.enough(kind.words())));
    Ok(Table::new("paper_lengths", rows).headed(heads))
}

/// What lives there now × later → the lowest setting that pumps must have which are bought for later.
fn lowest_table(rules: &Rules) -> Table {
    const OF_THE_BANDS: &str =
        "high end of the band now × part left just before a cleaning ÷ turnover to aim for later";
    let words = &rules.words.paper;
    let kinds = &rules.livestock;
    let row = |now: &Livestock| {
        let cell = |later: &Livestock| {
            let lowest = figure(format!("paper_lowest.{}.{}", now.key(), later.key()), || {
                let kept = 1.0 - rules.turnover.fouling_allowance.0;
                let share = rules.turnover.band(now).high / rules.turnover.aimed_at(later) * kept;
                Share(share.si().min(1.0))
            });
            let title = words.turns_down(now.words(), later.words());
            lowest.says(OF_THE_BANDS).titled(title).never_above().into()
        };
        Row { head: Cell::Words(sentence_case(now.words())), cells: kinds.iter().map(cell).collect() }
    };
    let mut heads = vec![words.lives_now().to_owned()];
    heads.extend(kinds.iter().map(|kind| words.later(kind.words())));
    Table::new("paper_lowest", kinds.iter().map(row).collect()).headed(heads)
}

/// The pumps of the catalogue, as their boxes tell of them.
fn pumps_table(rules: &Rules, catalogue: &Catalogue) -> Table {
    const OF_THE_BOX: &str = "as the list of pumps has it";
    let (words, own) = (&rules.words.cost, &rules.words.paper);
    let in_words = |length: Length| show(length.into(), Rounding::Nearest);
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
                match model.outlet {
                    Outlet::Round { diameter } => figure(id("outlet"), || diameter).says(OF_THE_BOX).into(),
                    Outlet::Slot { height, length } => {
                        Cell::Words(own.slot(in_words(height), in_words(length)))
                    }
                },
                match model.largest_pane {
                    Some(pane) => figure(id("pane"), || Thickness(pane)).says(OF_THE_BOX).into(),
                    None => Cell::Words(own.not_told().to_owned()),
                },
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
