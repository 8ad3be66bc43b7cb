//! The overflow's edge on the sheet: how thick the water runs over it, what runs down when the pump stops, and
//! what happens when it is blocked.

use super::ids::{evaporation, return_line, volume, weir as id};
use crate::error::Error;
use crate::formulas::return_line::run_down;
use crate::formulas::weir::{changes, rise, sheet as sheet_over};
use crate::quantity::{Rounding, Share, show};
use crate::rules::{Band, Rules};
use crate::sheet::{Row, Sheet, Table, figure, try_figure};
use crate::tank::Tank;

/// The table of sheets.
const SHEETS: &str = "weir_sheets";

/// Adds the figures of this topic: `weir.…`.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let words = &rules.words.weir;
    sheet.tabulate(|| sheets_table(rules))?;
    put_edge(sheet, rules, tank)?;
    let (flow, chamber) = (sheet.maybe(return_line::FLOW), sheet.maybe(volume::REAR_CHAMBER));
    match (flow, chamber) {
        (Some(flow), Some(chamber)) => {
            sheet.put(figure(id::CHAMBER_TURNOVER, || changes(*flow, *chamber)));
        }
        (None, Some(_)) => sheet.lack(id::CHAMBER_TURNOVER, rules.words.return_line.no_line(&tank.name)),
        (_, None) => sheet.lack(id::CHAMBER_TURNOVER, rules.words.volume.no_rear_chamber(&tank.name)),
    }
    let Some(spare) = sheet.maybe(evaporation::CHAMBER) else {
        let why = rules.words.evaporation.no_chamber(&tank.name);
        sheet.lack(id::BLOCKED_RISE, &*why);
        sheet.lack(id::BLOCKED_SAYS, why);
        return Ok(());
    };
    let (display, gap) = (sheet.get(volume::DISPLAY_AREA)?, sheet.get(volume::FILL_LINE)?);
    let blocked = sheet.put(figure(id::BLOCKED_RISE, || rise(*spare, *display)).never_below());
    let says = figure(id::BLOCKED_SAYS, || {
        let says = if *blocked < *gap { words.stays_below() } else { words.runs_over() };
        says.to_owned()
    });
    sheet.put(says.says("rise compared with the gap at the top"));
    Ok(())
}

/// The sheet over the tank's own edge, and what runs down when the pump stops.
fn put_edge(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let words = &rules.words.weir;
    let parts = [id::EDGE.name(), id::SHEET.name(), id::SAYS.name(), id::FALL.name(), id::RUNS_DOWN.name()];
    let (Some(edge), Some(line)) = (&tank.overflow, &tank.return_line) else {
        let why = match tank.overflow {
            None => words.no_edge(&tank.name),
            Some(_) => rules.words.return_line.no_line(&tank.name),
        };
        for part in parts.into_iter().chain([id::CHAMBER_RISE.name()]) {
            sheet.lack(part, &*why);
        }
        return Ok(());
    };
    let (flow, display) = (sheet.get(return_line::FLOW_RANGE)?, sheet.get(volume::DISPLAY_AREA)?);
    let length = sheet.put(figure(id::EDGE, || edge.edge));
    let thick = try_figure(id::SHEET, || {
        let open = if edge.comb { *rules.weir.comb } else { Band { low: Share(1.0), high: Share(1.0) } };
        let over = |flow, open: Share| sheet_over(flow, *length * open.0, &rules.weir);
        Ok(Band { low: over(flow.low, open.high)?, high: over(flow.high, open.low)? })
    })?;
    let thick = sheet.put(thick.says("(flow ÷ (c × open edge))^(2 ÷ 3), at the least and at the most"));
    let says = figure(id::SAYS, || {
        let skims = *rules.weir.skims;
        let says = if thick.high <= skims {
            words.skims()
        } else if thick.low > skims {
            words.too_thick()
        } else {
            words.may_skim()
        };
        says.to_owned()
    });
    sheet.put(says.says("sheet compared with one that skims well"));
    // A pipe that reaches deeper than the edge goes on drawing until its end stands dry.
    let fall = figure(id::FALL, || thick.high.max(line.outlet_depth.unwrap_or_default()));
    let fall =
        sheet.put(fall.says("the thickest sheet, or down to the outlet where that is deeper").never_below());
    let down = sheet.put(figure(id::RUNS_DOWN, || run_down(*display, *fall)).never_below());
    match tank.return_chamber {
        Some(chamber) => {
            let lifted = figure(id::CHAMBER_RISE, || rise(*down, chamber.length * chamber.width));
            sheet.put(lifted.never_below());
        }
        None => sheet.lack(id::CHAMBER_RISE, rules.words.evaporation.no_chamber(&tank.name)),
    }
    Ok(())
}

/// What runs over a piece of a plain edge → how thick the sheet is.
fn sheets_table(rules: &Rules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for flow in &*rules.weir.flows {
        let head = figure(format!("{SHEETS}.{}", rows.len() + 1), || *flow);
        let (id, flow) = (format!("{}.sheet", head.id()), head.value());
        let thick = try_figure(id, || sheet_over(*flow, *rules.weir.piece, &rules.weir))?;
        rows.push(Row { head: head.into(), cells: vec![thick.into()] });
    }
    let piece = show((*rules.weir.piece).into(), Rounding::Nearest);
    Ok(Table::new(SHEETS, rows).captioned(rules.words.weir.sheets_caption(piece)))
}

#[cfg(test)]
mod tests;
