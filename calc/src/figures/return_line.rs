//! The return line and the overflow on the sheet.

use uom::si::f64::{Length, VolumeRate};

use super::ids::return_line as id;
use super::ids::{power, seawater, volume};
use crate::decide::return_line::Line;
use crate::error::Error;
use crate::formulas::return_line::{
    Fluid, HEAD_LOSS, PumpCurve, WORKING_POINT, flow_range, narrow_bore, narrow_piece, run_down, share_arriving, speed, total_head,
};
use crate::formulas::seawater::dynamic_viscosity;
use crate::formulas::turnover;
use crate::quantity::{Kind, Quantity, System};
use crate::rules::return_line::ReturnLineRules;
use crate::rules::{Band, Rules};
use crate::sheet::{Item, Op, Origin, Row, Sheet, Sum, Table, Working, figure, try_figure};
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
    let drop = sheet.put(figure(id::OVERFLOW_DROP, "A fall of the tank's surface", || *rules.return_line.drop));
    let surface = sheet.get(volume::DISPLAY_AREA)?;
    let title = "What runs down when the tank's surface falls by so much";
    sheet.put(figure(id::OVERFLOW_DROP_WATER, title, || run_down(*surface, *drop)).never_below());
    let Some(own) = &tank.return_line else {
        let why = format!(
            "{} has no return line in its file. Write a table [return] into it, with the lift, the pipe and the pump, to \
             have it reckoned.",
            tank.name
        );
        let power = [power::RETURN.name(), power::RETURN_DAY.name(), power::RETURN_YEAR.name(), power::RETURN_COST.name()];
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
    let rules = &rules.return_line;
    let (bore, lift) = (sheet.get(id::BORE)?, sheet.get(id::LIFT)?);
    let point = Traced::ok(|| line.meets(*bore, 0.0, *fluid, rules))?;
    let flow = figure(id::FLOW, "Flow that arrives from the sump", || point.flow).says(WORKING_POINT.text);
    let flow = sheet.put(flow);
    let pump_flow = sheet.get(id::PUMP_FLOW)?;
    let title = "Flow that arrives from the sump, with what the reckoning can be off";
    sheet.put(figure(id::FLOW_RANGE, title, || flow_range(*flow, *pump_flow, rules)));
    let title = "Share of the pump's printed flow that arrives";
    sheet.put(figure(id::SHARE, title, || share_arriving(*flow, *pump_flow)));
    sheet.put(try_figure(id::SPEED, "Speed of the water in the return pipe", || speed(*flow, *bore))?);
    let losses = figure(id::LOSS, "Head that friction and fittings take", || point.head - *lift).says(HEAD_LOSS.text);
    let losses = sheet.put(losses);
    sheet.put(figure(id::HEAD, "Head that the return pump works against", || total_head(*lift, *losses)));
    let system = sheet.get(volume::SYSTEM)?;
    let title = "How often the system's water goes over the overflow";
    sheet.put(try_figure(id::TURNOVER, title, || turnover::turnover(*flow, *system))?);
    let wanted = try_figure(id::WANTED, "Flow through the sump that is usual for this system", || {
        let Band { low, high } = *rules.sump_turnover;
        Ok(Band { low: turnover::flow(*system, low)?, high: turnover::flow(*system, high)? })
    })?;
    let wanted = sheet.put(wanted);
    put_comparison(sheet, tank, (&line, &bore, &fluid, rules), &flow, &wanted)?;

    let (flow, system) = (Item::of(*flow.peek(), System::Metric), Item::of(*system.peek(), System::Metric));
    let terms = vec![(Op::First, flow), (Op::Over, system)];
    sheet.work(Working {
        id: SUMP_TURNOVER,
        title,
        given: Vec::new(),
        formula: "flow that arrives ÷ all water",
        sums: vec![Sum::work(System::Metric, terms, "times\u{a0}an\u{a0}hour")],
        answer: id::TURNOVER.name(),
        tell: "Time how long the return takes to fill a bucket of known size: that is the flow that arrives.",
    });
    sheet.tabulate(|| bores_table(&line, &fluid, rules))?;
    sheet.tabulate(|| narrow_table(&line, &bore, &fluid, rules))
}

/// Puts what the tank file says of the line on the sheet, and hands it back.
fn put_line(sheet: &mut Sheet, own: &ReturnLine, tank: &Tank) -> Traced<Line> {
    let lift = sheet.put(figure(id::LIFT, "From the water in the sump up to the outlet", || own.lift));
    let length = sheet.put(figure(id::LENGTH, "Length of the return pipe", || own.length));
    sheet.put(figure(id::BORE, "Inside diameter of the return pipe", || own.bore));
    let count = || Quantity::new(Kind::Count, f64::from(*own.elbows));
    let elbows = figure(id::ELBOWS, "Elbows in the return pipe", count).assumes(tank, "return.elbows");
    let elbows = sheet.put(elbows);
    let max_flow = sheet.put(figure(id::PUMP_FLOW, "What the return pump gives at no height", || own.pump_flow));
    let title = "The height at which the return pump gives nothing";
    let shut_off_head = sheet.put(figure(id::PUMP_HEAD, title, || own.pump_head));
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
    tank: &Tank,
    (line, bore, fluid, rules): (&Traced<Line>, &Traced<Length>, &Traced<Fluid>, &ReturnLineRules),
    flow: &Traced<VolumeRate>,
    wanted: &Traced<Band<VolumeRate>>,
) -> Result<(), Error> {
    let says = figure(id::SAYS, "How the flow that arrives compares with what is usual", || {
        let says = if **flow < wanted.low {
            "less than is usual"
        } else if **flow > wanted.high {
            "more than is usual: turn the pump down, at its dial or with a valve behind it"
        } else {
            "as much as is usual"
        };
        says.to_owned()
    });
    sheet.put(says.says("flow compared with what is usual"));
    let too_little = Traced::new(|| **flow < wanted.low);
    if !*too_little.peek() {
        let why = format!("The return pump of {} brings up enough through the pipe it has.", tank.name);
        for part in [id::WIDER.name(), id::WIDER_FLOW.name(), id::WEAK.name()] {
            sheet.lack(part, &*why);
        }
        return Ok(());
    }
    let wider = Traced::ok(|| {
        too_little.note();
        line.wider(**bore, wanted.low, **fluid, rules)
    })?;
    let Some(wider) = wider.clone().transpose() else {
        let weak = "no usual pipe is wide enough for it: take a stronger pump, or let the outlet end lower";
        let figure = figure(id::WEAK, "What to do where no pipe is wide enough", || {
            wider.note();
            weak.to_owned()
        });
        sheet.put(figure.says("flow through the widest usual pipe, compared with what is usual"));
        for part in [id::WIDER.name(), id::WIDER_FLOW.name()] {
            sheet.lack(part, format!("For the return pump of {} {weak}.", tank.name));
        }
        return Ok(());
    };
    let title = "The narrowest usual pipe through which the pump brings up enough";
    sheet.put(figure(id::WIDER, title, || wider.0).says("the first with which the flow is usual"));
    sheet.put(figure(id::WIDER_FLOW, "Flow that arrives through that pipe", || wider.1).says(WORKING_POINT.text));
    sheet.lack(id::WEAK, format!("A wider pipe is enough for {}.", tank.name));
    Ok(())
}

/// The same pump, lift, length and elbows with other pipes.
fn bores_table(line: &Traced<Line>, fluid: &Traced<Fluid>, rules: &ReturnLineRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for bore in &*rules.usual_bores {
        let head = figure(format!("{BORES}.{}", rows.len() + 1), "Inside diameter of the pipe", || *bore);
        let bore = head.value();
        let point = Traced::ok(|| line.meets(*bore, 0.0, **fluid, rules))?;
        let flow = figure(format!("{}.flow", head.id()), "Flow that arrives", || point.flow);
        let arrives = flow.value();
        let title = "Head that friction and fittings take";
        let losses = figure(format!("{}.loss", head.id()), title, || point.head - line.lift);
        let title = "Speed of the water in the pipe";
        let speed = try_figure(format!("{}.speed", head.id()), title, || speed(*arrives, *bore))?;
        let cells = vec![flow.says(WORKING_POINT.text).into(), losses.says(HEAD_LOSS.text).into(), speed.into()];
        rows.push(Row { head: head.into(), cells });
    }
    Ok(Table {
        id: BORES,
        caption: "What the bore of the return pipe does, with this pump and this lift".to_owned(),
        heads: ["Bore", "Flow that arrives", "Head lost in the pipe", "Speed in the pipe"].map(str::to_owned).into(),
        rows,
        origin: Origin::default(),
    })
}

/// One narrow piece in the line, such as a hose tail: a sudden narrowing, then a sudden widening.
fn narrow_table(line: &Traced<Line>, whole: &Traced<Length>, fluid: &Traced<Fluid>, rules: &ReturnLineRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for share in &*rules.narrow_pieces {
        let title = "Bore of the narrow piece, of the pipe's";
        let head = figure(format!("{NARROW}.{}", rows.len() + 1), title, || *share);
        let share = head.value();
        let title = "Bore of the narrow piece";
        let bore = figure(format!("{}.bore", head.id()), title, || narrow_bore(*share, **whole));
        let flow = try_figure(format!("{}.flow", head.id()), "Flow that arrives", || {
            Ok(line.meets(**whole, narrow_piece(*share, rules)?, **fluid, rules)?.flow)
        })?;
        let flow = flow.says("as return_line.flow, with a narrowing and a widening");
        rows.push(Row { head: head.into(), cells: vec![bore.into(), flow.into()] });
    }
    Ok(Table {
        id: NARROW,
        caption: "What one narrow piece in this return line does".to_owned(),
        heads: ["Share of the pipe's bore", "Its bore", "Flow that arrives"].map(str::to_owned).into(),
        rows,
        origin: Origin::default(),
    })
}

#[cfg(test)]
mod tests;
