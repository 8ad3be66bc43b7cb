//! What to add for later, on the sheet.

use super::ids::fit::{FLOW_FULL, MISSING};
use super::ids::upgrade as id;
use crate::catalogue::Catalogue;
use crate::decide::plan::set_words;
use crate::decide::upgrade::{Refusal, Step, Upgrade, upgrade};
use crate::error::Error;
use crate::quantity::{Dimension, Rounding, Share, show};
use crate::rules::{Rules, words};
use crate::sheet::{Cell, Row, Sheet, Table, figure};
use crate::tank::Tank;
use crate::trace::Traced;

/// The topic as a whole, and its table.
const UPGRADE: &str = "upgrade";

/// Adds the figures of this topic, `upgrade.…`, where the tank has pumps and the catalogue helps, else why
/// not.
pub(crate) fn figures(
    sheet: &mut Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
) -> Result<(), Error> {
    let words = &rules.words.upgrade;
    if tank.pumps.is_empty() {
        sheet.lack(UPGRADE, rules.words.fit.no_pumps(&tank.name));
        return Ok(());
    }
    let decided = Traced::ok(|| upgrade(rules, catalogue, tank))?;
    let upgrade = match decided.peek() {
        Ok(upgrade) => upgrade,
        Err(refusal) => {
            put_refusal(sheet, catalogue, tank, (refusal, &decided), words);
            return Ok(());
        }
    };
    for part in [id::BLOCKED.name(), id::REPLACE.name(), id::REPLACE_PRICE.name()] {
        sheet.lack(part, words.can_stay(&tank.name));
    }
    if upgrade.added.models.is_empty() {
        let enough = if sheet.get(MISSING)?.peek().si() > 0.0 {
            words.nearly_enough(&tank.name, show((*rules.plan.close_enough).into(), Rounding::Nearest))
        } else {
            words.enough(&tank.name)
        };
        sheet.lack(UPGRADE, format!("{enough} {}", words.other_animals()));
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
    put_likeness(sheet, tank, upgrade, &pumps, words);
    let full = sheet.get(FLOW_FULL)?;
    let fouled = figure(id::FLOW_FOULED, || {
        pumps.note();
        full.note();
        upgrade.added.fouled
    });
    let fouled = fouled.says("flow at full of the tank's pumps and of the added ones × (1 − share lost)");
    sheet.put(fouled.never_above());
    sheet.tabulate(|| Ok(steps_table(catalogue, upgrade, &pumps, words)))
}

/// What blocks an upgrade, and what to hang in the place of the pumps that hang.
fn put_refusal(
    sheet: &mut Sheet,
    catalogue: &Catalogue,
    tank: &Tank,
    (refusal, decided): (&Refusal, &Traced<Result<Upgrade, Refusal>>),
    words: &words::Upgrade,
) {
    let told: Vec<_> = refusal.blocked.iter().map(|reason| reason.words.as_str()).collect();
    let told = told.join(". ");
    sheet.put(figure(id::BLOCKED, || {
        decided.note();
        told.clone()
    }));
    sheet.lack(UPGRADE, words.no_pump_helps(&tank.name, told));
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
fn put_likeness(
    sheet: &mut Sheet,
    tank: &Tank,
    upgrade: &Upgrade,
    pumps: &Traced<String>,
    words: &words::Upgrade,
) {
    let Some(reason) = &upgrade.unlike else {
        for part in [id::UNLIKE.name(), id::LIKENESS.name()] {
            sheet.lack(part, words.is_alike(&tank.name));
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
fn steps_table(
    catalogue: &Catalogue,
    upgrade: &Upgrade,
    pumps: &Traced<String>,
    words: &words::Upgrade,
) -> Table {
    let row = |(at, step): (usize, &Step)| {
        let id = |key: &str| format!("{UPGRADE}.step{}.{key}", at + 1);
        let fouled = figure(id("flow"), || {
            pumps.note();
            step.fouled
        });
        let spent = figure(id("spent"), || {
            pumps.note();
            step.spent
        });
        let serves = step.enough_for.as_ref().map_or(words.nothing_yet(), |kind| kind.words());
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
