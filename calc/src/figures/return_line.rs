//! The return line and the overflow on the sheet.

use uom::si::f64::{Length, VolumeRate};

use super::ids::return_line as id;
use super::ids::{measured, power, seawater, volume};
use super::measured::AS_MEASURED;
use crate::decide::return_line::Line;
use crate::error::Error;
use crate::formulas::return_line::{
    Fluid, HEAD_LOSS, PumpCurve, WORKING_POINT, flow_range, narrow_bore, narrow_piece, run_down,
    share_arriving, speed, total_head,
};
use crate::formulas::seawater::dynamic_viscosity;
use crate::formulas::turnover;
use crate::quantity::{Kind, Quantity, System};
use crate::rules::return_line::ReturnLineRules;
use crate::rules::{Band, Rules, words};
use crate::sheet::{Item, Op, Row, Sheet, Sum, Table, Working, figure, try_figure};
use crate::tank::{ReturnLine, Tank};
use crate::trace::Traced;

/// The table of usual pipes.
const BORES: &str = "return_line_bores";
/// The table of narrow pieces.
const NARROW: &str = "return_line_narrow";
/// The worked example.
const SUMP_TURNOVER: &str = "sump_turnover";

/// Adds the figures of this topic, `return_line.…`, for a tank that has one, or says that it has none.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let drop = sheet.put(figure(id::OVERFLOW_DROP, || *rules.return_line.drop));
    let surface = sheet.get(volume::DISPLAY_AREA)?;
    sheet.put(figure(id::OVERFLOW_DROP_WATER, || run_down(*surface, *drop)).never_below());
    let Some(own) = &tank.return_line else {
        let why = rules.words.return_line.no_line(&tank.name);
        let power = [
            power::RETURN.name(),
            power::RETURN_DAY.name(),
            power::RETURN_YEAR.name(),
            power::RETURN_COST.name(),
        ];
        for part in ["return_line", BORES, NARROW, SUMP_TURNOVER].into_iter().chain(power) {
            sheet.lack(part, &*why);
        }
        return Ok(());
    };
    let line = put_line(sheet, own, tank);
    let (salinity, temperature) = (sheet.get(seawater::SALINITY)?, sheet.get(seawater::TEMPERATURE)?);
    let density = sheet.get(seawater::DENSITY)?;
    let fluid = Traced::ok(|| {
        let viscosity = dynamic_viscosity(*salinity, *temperature, &rules.seawater)?;
        Ok(Fluid { density: *density, viscosity })
    })?;
    let (rules, words) = (&rules.return_line, &rules.words.return_line);
    let (bore, lift) = (sheet.get(id::BORE)?, sheet.get(id::LIFT)?);
    let point = Traced::ok(|| line.meets(*bore, 0.0, *fluid, rules))?;
    let pump_flow = sheet.get(id::PUMP_FLOW)?;
    let flow = match sheet.maybe(measured::FLOW) {
        // What a bucket tells goes before the sum.
        Some(bucket) => {
            let range = figure(measured::FLOW_RECKONED, || flow_range(point.flow, *pump_flow, rules));
            sheet.put(range.says(WORKING_POINT.text));
            sheet.put(figure(id::FLOW_RANGE, || Band { low: *bucket, high: *bucket }).says(AS_MEASURED));
            sheet.put(figure(id::FLOW, || *bucket).says(AS_MEASURED))
        }
        None => {
            let flow = sheet.put(figure(id::FLOW, || point.flow).says(WORKING_POINT.text));
            sheet.put(figure(id::FLOW_RANGE, || flow_range(*flow, *pump_flow, rules)));
            flow
        }
    };
    sheet.put(figure(id::SHARE, || share_arriving(*flow, *pump_flow)));
    sheet.put(try_figure(id::SPEED, || speed(*flow, *bore))?);
    let losses = figure(id::LOSS, || point.head - *lift).says(HEAD_LOSS.text);
    let losses = sheet.put(losses);
    sheet.put(figure(id::HEAD, || total_head(*lift, *losses)));
    let system = sheet.get(volume::SYSTEM)?;
    sheet.put(try_figure(id::TURNOVER, || turnover::turnover(*flow, *system))?);
    let wanted = try_figure(id::WANTED, || {
        let Band { low, high } = *rules.sump_turnover;
        Ok(Band { low: turnover::flow(*system, low)?, high: turnover::flow(*system, high)? })
    })?;
    let wanted = sheet.put(wanted);
    put_comparison(sheet, (tank, words), (&line, &bore, &fluid, rules), &flow, &wanted)?;

    let (flow, system) = (Item::of(*flow.peek(), System::Metric), Item::of(*system.peek(), System::Metric));
    let terms = vec![(Op::First, flow), (Op::Over, system)];
    let sum = Sum::work(System::Metric, terms, "times\u{a0}an\u{a0}hour");
    sheet.work(|| {
        Working::new(SUMP_TURNOVER, "flow that arrives ÷ all water", vec![sum], id::TURNOVER.name())
    });
    sheet.tabulate(|| bores_table(&line, &fluid, rules))?;
    sheet.tabulate(|| narrow_table(&line, &bore, &fluid, rules))
}

/// Puts what the tank file says of the line on the sheet, and hands it back.
fn put_line(sheet: &mut Sheet, own: &ReturnLine, tank: &Tank) -> Traced<Line> {
    let lift = sheet.put(figure(id::LIFT, || own.lift));
    let length = sheet.put(figure(id::LENGTH, || own.length));
    sheet.put(figure(id::BORE, || own.bore));
    let count = || Quantity::new(Kind::Count, f64::from(*own.elbows));
    let elbows = figure(id::ELBOWS, count).assumes(tank, "return.elbows");
    let elbows = sheet.put(elbows);
    let max_flow = sheet.put(figure(id::PUMP_FLOW, || own.pump_flow));
    let shut_off_head = sheet.put(figure(id::PUMP_HEAD, || own.pump_head));
    Traced::new(|| Line {
        pump: PumpCurve { max_flow: *max_flow, shut_off_head: *shut_off_head },
        lift: *lift,
        length: *length,
        elbows: elbows.si as u32,
    })
}

/// How the flow that arrives compares with what is usual, and which wider pipe would help where it is too
/// little.
fn put_comparison(
    sheet: &mut Sheet,
    (tank, words): (&Tank, &words::ReturnLine),
    (line, bore, fluid, rules): (&Traced<Line>, &Traced<Length>, &Traced<Fluid>, &ReturnLineRules),
    flow: &Traced<VolumeRate>,
    wanted: &Traced<Band<VolumeRate>>,
) -> Result<(), Error> {
    let says = figure(id::SAYS, || {
        let says = if **flow < wanted.low {
            words.less_than_usual()
        } else if **flow > wanted.high {
            words.more_than_usual()
        } else {
            words.as_usual()
        };
        says.to_owned()
    });
    sheet.put(says.says("flow compared with what is usual"));
    let too_little = Traced::new(|| **flow < wanted.low);
    if !*too_little.peek() {
        let why = words.enough(&tank.name);
        for part in [id::WIDER.name(), id::WIDER_FLOW.name(), id::WEAK.name()] {
            sheet.lack(part, &*why);
        }
        return Ok(());
    }
    let wider = Traced::ok(|| {
        too_little.note();
        line.wider(**bore, wanted.low, **fluid, rules)
    })?;
    let Some(wider) = wider.transpose() else {
        let figure = figure(id::WEAK, || {
            wider.note();
            words.weak().to_owned()
        });
        sheet.put(figure.says("flow through the widest usual pipe, compared with what is usual"));
        let why = words.none_wide_enough(&tank.name);
        sheet.lack(id::WIDER, &*why);
        sheet.lack(id::WIDER_FLOW, why);
        return Ok(());
    };
    sheet.put(figure(id::WIDER, || wider.0).says("the first with which the flow is usual"));
    sheet.put(figure(id::WIDER_FLOW, || wider.1).says(WORKING_POINT.text));
    sheet.lack(id::WEAK, words.wider_is_enough(&tank.name));
    Ok(())
}

/// The same pump, lift, length and elbows with other pipes.
fn bores_table(line: &Traced<Line>, fluid: &Traced<Fluid>, rules: &ReturnLineRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for bore in &*rules.usual_bores {
        let head = figure(format!("{BORES}.{}", rows.len() + 1), || *bore);
        let bore = head.value();
        let point = Traced::ok(|| line.meets(*bore, 0.0, **fluid, rules))?;
        let flow = figure(format!("{}.flow", head.id()), || point.flow);
        let arrives = flow.value();
        let losses = figure(format!("{}.loss", head.id()), || point.head - line.lift);
        let speed = try_figure(format!("{}.speed", head.id()), || speed(*arrives, *bore))?;
        let cells =
            vec![flow.says(WORKING_POINT.text).into(), losses.says(HEAD_LOSS.text).into(), speed.into()];
        rows.push(Row { head: head.into(), cells });
    }
    Ok(Table::new(BORES, rows))
}

/// One narrow piece in the line, such as a hose tail: a sudden narrowing, then a sudden widening.
fn narrow_table(
    line: &Traced<Line>,
    whole: &Traced<Length>,
    fluid: &Traced<Fluid>,
    rules: &ReturnLineRules,
) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for share in &*rules.narrow_pieces {
        let head = figure(format!("{NARROW}.{}", rows.len() + 1), || *share);
        let share = head.value();
        let bore = figure(format!("{}.bore", head.id()), || narrow_bore(*share, **whole));
        let arrives = || Ok(line.meets(**whole, narrow_piece(*share, rules)?, **fluid, rules)?.flow);
        let flow = try_figure(format!("{}.flow", head.id()), arrives)?;
        let flow = flow.says("as return_line.flow, with a narrowing and a widening");
        rows.push(Row { head: head.into(), cells: vec![bore.into(), flow.into()] });
    }
    Ok(Table::new(NARROW, rows))
}

#[cfg(test)]
mod tests;
