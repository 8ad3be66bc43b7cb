//! How the pumps that hang suit the tank, on the sheet.

use uom::si::f64::{Volume, VolumeRate};

use super::ids::fit as id;
use super::ids::turnover::{COUNTED, FLOW_AIM};
use super::zones::{too_strong_until, zone, zone_heads};
use crate::catalogue::Catalogue;
use crate::decide::fit::{Fit, StreamFit, check, running};
use crate::decide::plan::{Task, count, find, set_words};
use crate::decide::stream::range_on;
use crate::error::Error;
use crate::formulas::fit::{just_before_a_cleaning, missing};
use crate::formulas::turnover;
use crate::quantity::{Rounding, show};
use crate::rules::Rules;
use crate::rules::livestock::{Lives, Livestock, Stock};
use crate::sheet::{Cell, Row, Sheet, Table, figure, try_figure};
use crate::tank::{HungPump, Tank};
use crate::trace::{self, Traced};

/// The table of what each pump does.
const STREAMS: &str = "fit";
/// The table of settings.
const SETTINGS: &str = "fit_settings";
/// The table of places along the streams.
const ZONES: &str = "fit_zones";

/// Adds the figures of this topic, `fit.…`, where the tank has pumps, else why not.
pub(crate) fn figures(
    sheet: &mut Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
) -> Result<(), Error> {
    let words = &rules.words.fit;
    let Some(fit) = check(rules, catalogue, tank)? else {
        for part in [STREAMS, SETTINGS, ZONES] {
            sheet.lack(part, words.no_pumps(&tank.name));
        }
        return Ok(());
    };
    let models = tank.pumps.iter().map(|hung| find(catalogue, &hung.model)).collect::<Result<Vec<_>, _>>()?;
    sheet.put(figure(id::PUMPS, || set_words(catalogue, &models)));
    sheet.put(figure(id::COUNT, || count(tank.pumps.len())));
    let flow = figure(id::FLOW, || fit.flow);
    let flow = sheet.put(flow.says("sum of rated flow × setting"));
    let full = figure(id::FLOW_FULL, || *fit.full).never_above();
    let full = sheet.put(full.says("sum of the rated flows, no pump further up than the sand bears"));
    let fouled = figure(id::FLOW_FOULED, || just_before_a_cleaning(*full, *rules.turnover.fouling_allowance));
    let fouled = sheet.put(fouled.never_above());
    let (counted, aim) = (sheet.get(COUNTED)?, sheet.get(FLOW_AIM)?);
    sheet.put(try_figure(id::TURNOVER, || turnover::turnover(*flow, *counted))?);
    let serves = try_figure(id::SERVES, || {
        let serves = turnover::served(*flow, *counted, &rules.turnover)?;
        if serves.is_empty() {
            return Ok(words.serves_nothing().to_owned());
        }
        Ok(serves.iter().map(Livestock::words).collect::<Vec<_>>().join(", "))
    })?;
    sheet.put(serves.says("every kind in whose band the turnover lies"));
    sheet.put(figure(id::MISSING, || missing(*aim, *fouled)).never_below());
    let sound = figure(id::SOUND, || *fit.sound);
    let sound = sound.says("levels at the settings and of what else hums, summed; at the pillow");
    sheet.put(sound.never_below());
    for (hung, told) in
        tank.pumps.iter().zip(&fit.streams).filter(|(_, told)| !told.verdict.peek().faults.is_empty())
    {
        sheet.warn(words.warns(&hung.name, &hung.model, told.verdict.peek().words(words)));
    }
    sheet.tabulate(|| Ok(streams_table(rules, tank, &fit)))?;
    let flows = [&full, &fouled];
    sheet.tabulate(|| settings_table(rules, catalogue, tank, &counted, flows))?;
    sheet.tabulate(|| zones_table(rules, catalogue, tank, &fit))
}

/// Livestock → what the pumps that can be set would have to be set to, or the flow that is missing.
///
/// - `counted`: the water that is to be moved
/// - `full`, `fouled`: what the pumps move at full, clean and just before a cleaning
fn settings_table(
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
    counted: &Traced<Volume>,
    [full, fouled]: [&Traced<VolumeRate>; 2],
) -> Result<Table, Error> {
    let task = Traced::ok(|| {
        let models: Vec<_> = tank.pumps.iter().map(|hung| hung.model.as_str()).collect();
        Task::adding(rules, catalogue, tank, &models)
    })?;
    let is_fixed =
        |hung: &HungPump| catalogue.pump(&hung.model).is_some_and(|model| model.lowest_setting.0 >= 1.0);
    let is_fixed = tank.pumps.iter().all(is_fixed);
    let words = &rules.words.fit;
    let mut rows = Vec::new();
    for (key, stock) in stocks(rules, tank) {
        let id = format!("{SETTINGS}.{key}");
        let title = words.flow_to_aim_for(stock.words());
        let wanted = try_figure(id.as_str(), || turnover::flow(**counted, rules.turnover.aimed_at(&stock)))?
            .titled(title);
        let aim = wanted.value();
        let setting = Traced::new(|| {
            // All that the task reads for a setting is behind the flow at full.
            full.note();
            task.peek().kept_setting(*aim)
        });
        let answer = match setting.transpose() {
            Some(setting) => {
                let title = words.setting_for(stock.words());
                let setting = figure(format!("{id}.setting"), || *setting).titled(title);
                setting.says("flow wanted ÷ flow at full, no pump below its lowest setting").into()
            }
            None if full.peek() < aim.peek() => Cell::Words(words.not_even_at_full().to_owned()),
            None if is_fixed => Cell::Words(words.moves_more().to_owned()),
            None => Cell::Words(words.more_turned_down().to_owned()),
        };
        let lacks = if aim.peek() > fouled.peek() {
            let title = words.missing_for(stock.words());
            figure(format!("{id}.missing"), || missing(*aim, **fouled)).titled(title).never_below().into()
        } else {
            Cell::Words(words.nothing_missing().to_owned())
        };
        rows.push((aim, Row { head: Cell::Words(stock.words()), cells: vec![wanted.into(), answer, lacks] }));
    }
    // What the words of the cells go by.
    rows.iter().for_each(|(aim, _)| aim.note());
    [full, fouled].into_iter().for_each(Traced::note);
    Ok(Table::new(SETTINGS, rows.into_iter().map(|(_, row)| row).collect()))
}

/// Each kind of livestock by itself, and what the tank holds where that is several kinds together.
fn stocks<'r>(rules: &'r Rules, tank: &Tank) -> Vec<(&'r str, Stock)> {
    let mut stocks: Vec<_> =
        rules.livestock.iter().map(|kind| (kind.key(), Stock::from(kind.clone()))).collect();
    for (key, stock) in [("now", &tank.now), ("later", &tank.later)] {
        if stocks.iter().all(|(_, known)| known != stock) {
            stocks.push((key, stock.clone()));
        }
    }
    stocks
}

/// Pump → where along its stream, at its setting, each kind of what lives there now or later can stand.
fn zones_table(rules: &Rules, catalogue: &Catalogue, tank: &Tank, fit: &Fit) -> Result<Table, Error> {
    let lives = |kind: &&Livestock| {
        [&tank.now, &tank.later].iter().any(|stock| stock.asking().any(|asking| asking == *kind))
    };
    let kinds: Vec<_> = rules.livestock.iter().filter(lives).collect();
    let (mut rows, mut zones) = (Vec::new(), Vec::new());
    for (at, (hung, told)) in tank.pumps.iter().zip(&fit.streams).enumerate() {
        let (id, behind) = (format!("{ZONES}.{}", at + 1), format!("{STREAMS}.pump{}.setting", at + 1));
        let mut cells = Vec::new();
        for kind in &kinds {
            let on = || {
                trace::note_figure(&behind);
                Ok((*told.stream, told.course.way, range_on(&told.course, tank, &rules.stream)))
            };
            let zone = zone(rules, kind, &id, on)?;
            cells.extend(zone.peek().clone());
            zones.push(zone);
        }
        let setting = running(hung, &catalogue.pumps[find(catalogue, &hung.model)?]);
        let setting = show(setting.into(), Rounding::Nearest);
        let head = rules.words.fit.at_setting(&hung.name, &hung.model, setting);
        rows.push(Row { head: Cell::Words(head), cells });
    }
    // What the words of the cells go by.
    zones.iter().for_each(Traced::note);
    Ok(Table::new(ZONES, rows).headed(zone_heads(&kinds, &rules.words.zones)))
}

/// Pump → what its stream does.
fn streams_table(rules: &Rules, tank: &Tank, fit: &Fit) -> Table {
    let words = &rules.words.fit;
    let row = |(at, (hung, told)): (usize, (&HungPump, &StreamFit))| {
        let id = |key: &str| format!("{STREAMS}.pump{}.{key}", at + 1);
        let (pump, model) = (&hung.name, &hung.model);
        let flow = figure(id("flow"), || told.flow).titled(words.flow(pump, model));
        let too_strong = Traced::new(|| {
            let until = |until| figure(id("too_strong"), || until).titled(words.strong_until(pump, model));
            too_strong_until(&told.zones, &rules.words.zones, until)
        });
        let cells = vec![
            figure(id("setting"), || hung.setting).titled(words.setting(pump, model)).into(),
            flow.says("rated flow × setting").into(),
            figure(id("height"), || hung.height).titled(words.height(pump, model)).into(),
            figure(id("far"), || *told.far).titled(words.far(pump, model)).into(),
            too_strong.peek().clone(),
            Cell::Words(told.verdict.peek().words(words)),
        ];
        Row { head: Cell::Words(format!("{pump}, {model}")), cells }
    };
    let rows = tank.pumps.iter().zip(&fit.streams).enumerate().map(row).collect();
    // What the words of the cells go by.
    for told in &fit.streams {
        told.zones.note();
        told.verdict.note();
    }
    Table::new(STREAMS, rows)
}

#[cfg(test)]
mod tests;
