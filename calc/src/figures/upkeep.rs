//! Care of the pumps on the sheet: how often each is due, what an acid bath takes, and what a pump loses
//! meanwhile.

use uom::si::f64::{Mass, Ratio, Time};

use super::ids::plan;
use super::ids::upkeep as id;
use crate::error::Error;
use crate::formulas::upkeep::{
    Fouling, as_crystals, citric_acid, citric_for, citric_ratio, vinegar_for, vinegar_scale,
};
use crate::quantity::{Dimension, Kind, Quantity, Rounding, System, show, unit};
use crate::rules::upkeep::{Care, UpkeepRules};
use crate::rules::{Rules, words};
use crate::sheet::{
    Axis, Cell, Chart, Id, Item, Names, Op, Reckoned, Row, Sheet, Sum, Table, Working, figure, try_figure,
};
use crate::tank::Tank;
use crate::trace::Traced;

/// The table of cares.
const CARE: &str = "upkeep_care";
/// The table of baths.
const BATHS: &str = "upkeep_baths";
/// The table of what a pump still gives.
const FLOW_LEFT: &str = "upkeep_flow_left";

/// Adds the figures of this topic: `upkeep.…`.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let words = &rules.words.upkeep;
    let why = words.no_battery(&tank.name);
    for care in Care::ALL {
        if care.is_due_for(tank) {
            sheet.put(every(id_of(care), care, rules));
        } else {
            sheet.lack(id_of(care), &*why);
        }
    }
    sheet.tabulate(|| Ok(care_table(rules, tank)))?;
    let allowance = &rules.turnover.fouling_allowance;
    let fouling =
        Traced::new(|| Fouling { lost: **allowance, between: rules.upkeep.interval(Care::AcidBath) });
    sheet.plot(|| fouling_chart(*fouling, words))?;
    let rules = &rules.upkeep;
    let acid = sheet.put(try_figure(id::CITRIC_ACID, || citric_for(*rules.bath, *rules.citric_strength))?);
    sheet.put(figure(id::CITRIC_CRYSTALS, || as_crystals(*acid, rules)));
    let ratio = sheet.put(try_figure(id::CITRIC_RATIO, || citric_ratio(rules))?.never_above());
    sheet.put(try_figure(id::CITRIC_SCALE, || citric_acid(*acid, rules))?.never_above());
    let vinegar = sheet.put(try_figure(id::VINEGAR, || vinegar_for(*rules.bath, *rules.vinegar_share))?);
    sheet.put(try_figure(id::VINEGAR_SCALE, || vinegar_scale(*vinegar, rules))?.never_above());
    // A rule of no loss leaves nothing to say about an interval.
    if fouling.peek().lost.0 > 0.0 {
        let interval = try_figure(id::KEEP_INTERVAL, || fouling.interval_to_keep(*rules.wanted_flow))?;
        sheet.put(interval.never_above());
    }
    sheet.tabulate(|| baths_table(rules))?;
    sheet.tabulate(|| flow_left_table(&fouling, rules))?;
    sheet.work(|| acid_working(*acid, rules));
    sheet.work(|| scale_working(*acid, *ratio));
    Ok(())
}

/// Adds `upkeep.several` where two pumps or more hang in the tank, or in its plan if it has none: then the
/// others run on while one is out. Comes after the plan.
pub(crate) fn several(sheet: &mut Sheet, rules: &Rules, tank: &Tank) {
    let words = &rules.words.upkeep;
    let planned = sheet.maybe(plan::COUNT);
    let several = Traced::new(|| match tank.pumps.len() {
        0 => planned.as_ref().is_some_and(|count| count.si > 1.5),
        hung => hung > 1,
    });
    if *several.peek() {
        let figure = figure(id::SEVERAL, || {
            several.note();
            words.others_run_on().to_owned()
        });
        sheet.put(figure.says("pumps in the tank, or else in its plan, are two or more"));
    } else {
        sheet.lack(id::SEVERAL, words.no_second_pump(&tank.name));
    }
}

fn id_of(care: Care) -> Id<String> {
    match care {
        Care::Look => id::EVERY_LOOK,
        Care::Wipe => id::EVERY_WIPE,
        Care::AcidBath => id::EVERY_ACID_BATH,
        Care::WearParts => id::EVERY_WEAR_PARTS,
        Care::ResidualCurrentTest => id::EVERY_RESIDUAL_CURRENT_TEST,
        Care::BatteryTest => id::EVERY_BATTERY_TEST,
    }
}

/// How often a care is due, as people say it: `every 2 months`, but `every day`.
fn every(id: impl Names<String>, care: Care, rules: &Rules) -> Reckoned<String> {
    let words = &rules.words.upkeep;
    figure(id, || {
        let interval = show(rules.upkeep.interval(care).into(), Rounding::Nearest).metric;
        if interval.number == "1" { words.every(interval.unit) } else { words.every(interval) }
    })
    .titled(care_title(care, rules))
}

/// What to do, as its rule is called.
fn care_title(care: Care, rules: &Rules) -> &str {
    rules.rule(&format!("upkeep.{}", care.key())).map_or("", |rule| rule.title.as_str())
}

/// Care → how often.
fn care_table(rules: &Rules, tank: &Tank) -> Table {
    let row = |care: Care| {
        let head = Cell::Words(care_title(care, rules).to_owned());
        Row { head, cells: vec![every(format!("{CARE}.{}", care.key()), care, rules).into()] }
    };
    Table::new(CARE, Care::ALL.into_iter().filter(|care| care.is_due_for(tank)).map(row).collect())
}

/// The flow of a pump through three cleanings: a saw.
fn fouling_chart(fouling: Fouling, words: &words::Upkeep) -> Result<Chart, Error> {
    let between = fouling.between;
    let mut points = Vec::new();
    for tooth in 0..3 {
        for step in 0..=4 {
            let since = between * (f64::from(step) / 4.0);
            points.push((between.si() * f64::from(tooth) + since.si(), fouling.flow_left(since)?.0));
        }
    }
    let chart = Chart::new(
        "fouling",
        Axis::new(Kind::Time, 0.0, between.si() * 3.0),
        Axis::new(Kind::Share, 0.0, 1.0),
    );
    Ok(chart.line(words.flow(), points))
}

/// Bath × strength. `None` where a bath is so small or large that its printed units differ from those of the
/// strength.
fn acid_working(acid: Mass, rules: &UpkeepRules) -> Option<Working> {
    let sum = |system| {
        let size = Item::of(*rules.bath, system);
        let (volume_unit, mass_unit) = (size.reading.unit, Item::of(acid, system).reading.unit);
        let strength_unit = match (mass_unit, volume_unit) {
            ("g", "L") => "g/L",
            ("kg", "L") => "kg/L",
            ("oz", "US\u{a0}gal") => "oz/US\u{a0}gal",
            ("lb", "US\u{a0}gal") => "lb/US\u{a0}gal",
            _ => return None,
        };
        // The printed units, as the units table knows them.
        let volume = unit(Kind::Volume, &volume_unit.replace('\u{a0}', " "))?.si;
        let strength = rules.citric_strength.si() * volume / unit(Kind::Mass, mass_unit)?.si;
        let strength = Quantity::new(Kind::Ratio, strength);
        let strength = Item::of(strength, System::Metric).in_unit(strength_unit);
        Some(Sum::work(system, vec![(Op::First, size), (Op::Times, strength)], mass_unit))
    };
    Some(
        Working::new(
            "upkeep_citric_acid",
            "bath × strength",
            vec![sum(System::Metric)?, sum(System::Us)?],
            id::CITRIC_ACID.name(),
        )
        .given(&["rule.upkeep.bath", "rule.upkeep.citric_strength"]),
    )
}

fn scale_working(acid: Mass, ratio: Ratio) -> Working {
    let sum = |system| {
        let acid = Item::of(acid, system);
        let unit = acid.reading.unit;
        let ratio = Item::rounded(ratio, system, Rounding::Down);
        Sum::work(system, vec![(Op::First, acid), (Op::Times, ratio)], unit)
    };
    Working::new(
        "upkeep_citric_scale",
        "acid × scale for each of its mass",
        vec![sum(System::Metric), sum(System::Us)],
        id::CITRIC_SCALE.name(),
    )
    .given(&[id::CITRIC_ACID.name(), id::CITRIC_RATIO.name()])
}

/// Bath → what goes in and what it can dissolve.
fn baths_table(rules: &UpkeepRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for size in &*rules.table_baths {
        let head = figure(format!("{BATHS}.{}", rows.len() + 1), || *size);
        let bath = head.value();
        let id = |name: &str| format!("{}.{name}", head.id());
        let acid = try_figure(id("citric_acid"), || citric_for(*bath, *rules.citric_strength))?;
        let acid_scale = try_figure(id("citric_scale"), || citric_acid(*acid.value(), rules))?.never_above();
        let vinegar = try_figure(id("vinegar"), || vinegar_for(*bath, *rules.vinegar_share))?;
        let scale = try_figure(id("vinegar_scale"), || vinegar_scale(*vinegar.value(), rules))?.never_above();
        let cells = vec![acid.into(), acid_scale.into(), vinegar.into(), scale.into()];
        rows.push(Row { head: head.into(), cells });
    }
    Ok(Table::new(BATHS, rows))
}

/// Time since the last cleaning → share of the flow that is left.
fn flow_left_table(fouling: &Traced<Fouling>, rules: &UpkeepRules) -> Result<Table, Error> {
    let row = |(at, since): (usize, &Time)| {
        let head = figure(format!("{FLOW_LEFT}.{}", at + 1), || *since);
        let since = head.value();
        let left = try_figure(format!("{}.left", head.id()), || fouling.flow_left(*since))?;
        Ok(Row { head: head.into(), cells: vec![left.into()] })
    };
    Ok(Table::new(FLOW_LEFT, rules.table_since.iter().enumerate().map(row).collect::<Result<_, Error>>()?))
}

#[cfg(test)]
mod tests;
