//! What to add for later, on the sheet.

use super::ids::fit::{FLOW_FULL, MISSING};
use super::ids::upgrade as id;
use crate::catalogue::Catalogue;
use crate::decide::fit::no_pumps;
use crate::decide::plan::set_words;
use crate::decide::upgrade::{Refusal, Step, Upgrade, upgrade};
use crate::error::Error;
use crate::quantity::{Dimension, Rounding, Share, show};
use crate::rules::Rules;
use crate::rules::livestock::Livestock;
use crate::sheet::{Cell, Row, Sheet, Table, figure};
use crate::tank::Tank;
use crate::trace::Traced;

/// The topic as a whole, and its table.
const UPGRADE: &str = "upgrade";

/// Adds the figures of this topic, `upgrade.…`, where the tank has pumps and the catalogue helps, else why
/// not.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    if tank.pumps.is_empty() {
        sheet.lack(UPGRADE, no_pumps(tank));
        return Ok(());
    }
    let decided = Traced::ok(|| upgrade(rules, catalogue, tank))?;
    let upgrade = match decided.peek() {
        Ok(upgrade) => upgrade,
        Err(refusal) => {
            put_refusal(sheet, catalogue, tank, refusal, &decided);
            return Ok(());
        }
    };
    for part in [id::BLOCKED.name(), id::REPLACE.name(), id::REPLACE_PRICE.name()] {
        sheet.lack(part, format!("The pumps of {} can stay.", tank.name));
    }
    if upgrade.added.models.is_empty() {
        let enough = if sheet.get(MISSING)?.peek().si() > 0.0 {
            format!(
                "Just before a cleaning the pumps of {} give a little less than the flow to aim for later: not even {} of it \
                 is missing. Clean them a little sooner, and add nothing.",
                tank.name,
                show((*rules.plan.close_enough).into(), Rounding::Nearest)
            )
        } else {
            format!("The pumps of {} can give what is to live there later all the flow it needs, so there is nothing to add.", tank.name)
        };
        let other = "To see what other animals would ask for, write them as `later` under [livestock] in its file.";
        sheet.lack(UPGRADE, format!("{enough} {other}"));
        return Ok(());
    }
    let pumps = figure(id::PUMPS, || {
        decided.note();
        set_words(catalogue, &upgrade.added.models)
    });
    // All that was decided stands behind the pumps.
    let pumps = sheet.put(pumps);
    let price = figure(id::PRICE, || {
        pumps.note();
        upgrade.added.price
    });
    sheet.put(price.says("sum of the prices"));
    put_likeness(sheet, tank, upgrade, &pumps);
    let full = sheet.get(FLOW_FULL)?;
    let fouled = figure(id::FLOW_FOULED, || {
        pumps.note();
        full.note();
        upgrade.added.fouled
    });
    let fouled = fouled.says("flow at full of the tank's pumps and of the added ones × (1 − share lost)");
    sheet.put(fouled.never_above());
    sheet.tabulate(|| Ok(steps_table(catalogue, upgrade, &pumps)))
}

/// What blocks an upgrade, and what to hang in the place of the pumps that hang.
fn put_refusal(sheet: &mut Sheet, catalogue: &Catalogue, tank: &Tank, refusal: &Refusal, decided: &Traced<Result<Upgrade, Refusal>>) {
    let told: Vec<_> = refusal.blocked.iter().map(|reason| reason.words.as_str()).collect();
    let told = told.join(". ");
    sheet.put(figure(id::BLOCKED, || {
        decided.note();
        told.clone()
    }));
    let why = format!("No pump of the catalogue, added to those of {}, gives what is wanted later. {told}.", tank.name);
    sheet.lack(UPGRADE, why);
    if let Some(set) = &refusal.replace_by {
        let replace = figure(id::REPLACE, || {
            decided.note();
            set_words(catalogue, &set.models)
        });
        let replace = sheet.put(replace);
        let price = figure(id::REPLACE_PRICE, || {
            replace.note();
            set.price
        });
        sheet.put(price.says("sum of the prices"));
    }
}

/// How far what is added is unlike the pumps that hang.
fn put_likeness(sheet: &mut Sheet, tank: &Tank, upgrade: &Upgrade, pumps: &Traced<String>) {
    let Some(reason) = &upgrade.unlike else {
        for part in [id::UNLIKE.name(), id::LIKENESS.name()] {
            sheet.lack(part, format!("What is added to the pumps of {} is like them.", tank.name));
        }
        return;
    };
    sheet.put(figure(id::UNLIKE, || {
        pumps.note();
        reason.is.note();
        reason.limit.note();
        reason.words.clone()
    }));
    let share = figure(id::LIKENESS, || {
        pumps.note();
        Share(reason.is.si)
    });
    sheet.put(share.says("flow of the weakest ÷ flow of the strongest").never_above());
}

/// What to buy first, and what is then enough for.
fn steps_table(catalogue: &Catalogue, upgrade: &Upgrade, pumps: &Traced<String>) -> Table {
    let row = |(at, step): (usize, &Step)| {
        let id = |key: &str| format!("{UPGRADE}.step{}.{key}", at + 1);
        let fouled = figure(id("flow"), || {
            pumps.note();
            step.fouled
        })
        .titled("What all pumps then move at full just before a cleaning");
        let spent = figure(id("spent"), || {
            pumps.note();
            step.spent
        })
        .titled("Spent so far");
        let serves = step.enough_for.map_or("nothing yet", Livestock::words);
        let cells = vec![
            fouled.says("flow at full of all pumps so far × (1 − share lost)").never_above().into(),
            Cell::Words(serves.to_owned()),
            spent.says("sum of the prices so far").into(),
        ];
        Row { head: Cell::Words(catalogue.pumps[step.model].model.clone()), cells }
    };
    let rows = upgrade.steps.iter().enumerate().map(row).collect();
    // The words of the cells go by the same.
    pumps.note();
    Table::new(UPGRADE, rows)
}
