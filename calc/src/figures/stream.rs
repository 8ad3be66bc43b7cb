//! How the streams of the two example pumps slow, on the sheet.

use uom::si::f64::{Area, Length, Ratio, Velocity, VolumeRate};

use super::ids::seawater::VISCOSITY;
use super::ids::settling::TANK_DEPTH;
use super::ids::stream as id;
use super::ids::volume::{LENGTH, PANE, REAR_CHAMBER_DEPTH, WIDTH};
use crate::error::Error;
use crate::formulas::stream::{
    Laws, Outlet, Spreading, exit_speed, outlets_away, range, round_area, round_flow, round_speed, run,
    settled_from, sheet_speed, slot_area, speed_left,
};
use crate::quantity::{Dimension, Kind, Share, System};
use crate::rules::stream::StreamRules;
use crate::rules::{Band, Rules, words};
use crate::sheet::{Axis, Chart, Id, Item, Op, Row, Sheet, Sum, Table, Working, figure, try_figure};
use crate::tank::Tank;
use crate::trace::Traced;

/// An example pump before this tank's far end: what it is, and the ids of its figures.
struct Example<'r> {
    rules: &'r StreamRules,
    is_round: bool,
    /// The key of its cells.
    key: &'static str,
    exit: Id<Velocity>,
    core: Id<Length>,
    far: Id<Velocity>,
    far_range: Id<Band<Velocity>>,
    far_width: Id<Length>,
    far_flow: Id<VolumeRate>,
}

impl<'r> Example<'r> {
    fn round(rules: &'r StreamRules) -> Self {
        Example {
            rules,
            is_round: true,
            key: "round",
            exit: id::ROUND_EXIT,
            core: id::ROUND_CORE,
            far: id::ROUND_FAR,
            far_range: id::ROUND_FAR_RANGE,
            far_width: id::ROUND_FAR_WIDTH,
            far_flow: id::ROUND_FAR_FLOW,
        }
    }

    fn sheet(rules: &'r StreamRules) -> Self {
        Example {
            rules,
            is_round: false,
            key: "sheet",
            exit: id::SHEET_EXIT,
            core: id::SHEET_CORE,
            far: id::SHEET_FAR,
            far_range: id::SHEET_FAR_RANGE,
            far_width: id::SHEET_FAR_WIDTH,
            far_flow: id::SHEET_FAR_FLOW,
        }
    }

    fn flow(&self) -> VolumeRate {
        if self.is_round { *self.rules.example_flow } else { *self.rules.example_sheet_flow }
    }

    fn spreading(&self) -> Result<Spreading, Error> {
        let outlet = if self.is_round {
            Outlet::Round { diameter: *self.rules.example_outlet }
        } else {
            Outlet::Slot { height: *self.rules.example_slot_height, length: *self.rules.example_slot_length }
        };
        Spreading::new(outlet, Laws::of(self.rules))
    }

    /// Part of the exit speed that is left in the middle.
    fn left(&self, distance: Length) -> Result<Ratio, Error> {
        let rules = self.rules;
        if self.is_round {
            round_speed(*rules.example_outlet, distance, rules)
        } else {
            sheet_speed(*rules.example_slot_height, *rules.example_slot_length, distance, rules)
        }
    }

    /// How many times its flow the stream carries.
    fn gathered(&self, distance: Length) -> Result<Ratio, Error> {
        if self.is_round {
            return round_flow(*self.rules.example_outlet, distance, self.rules);
        }
        self.spreading()?.gathered(distance)
    }

    /// Puts its figures on the sheet; gives back the speed at its outlet and the length of its core.
    fn put(&self, sheet: &mut Sheet, area: &Traced<Area>, along: &Traced<Length>) -> Result<Start, Error> {
        let exit = sheet.put(figure(self.exit, || exit_speed(self.flow(), **area)));
        let core = sheet.put(try_figure(self.core, || Ok(self.spreading()?.core()))?);
        let left = Traced::ok(|| self.left(**along))?;
        let far = sheet.put(figure(self.far, || speed_left(*exit, *left)));
        sheet.put(figure(self.far_range, || self.rules.spread_of(*far)).says("speed × spread"));
        sheet.put(try_figure(self.far_width, || self.spreading()?.width(**along))?);
        let flow = try_figure(self.far_flow, || Ok(self.flow() * self.gathered(**along)?))?;
        sheet.put(flow.says("flow of the pump and all that it draws along"));
        Ok((exit, core))
    }
}

/// How a stream starts: the speed at its outlet, and the length of its core.
type Start = (Traced<Velocity>, Traced<Length>);

/// Adds the figures of this topic: `stream.…`, for the two example pumps in this tank.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let (rules, words) = (&rules.stream, &rules.words.stream);
    let (length, pane, viscosity) = (sheet.get(LENGTH)?, sheet.get(PANE)?, sheet.get(VISCOSITY)?);
    let along = sheet.put(figure(id::RUN, || run(*length, pane.0)));
    let across = inside_width(sheet)?;
    // Its own topic puts it on the sheet later on.
    let depth = Traced::figure(TANK_DEPTH.name(), tank.water_depth());
    let holds = sheet.put(figure(id::RANGE, || range(*rules.range, *across, *depth)).never_above());
    let falls_short = Traced::new(|| *holds < *along);
    if *falls_short.peek() {
        let beyond = figure(id::BEYOND, || {
            falls_short.note();
            *along - *holds
        });
        sheet.put(beyond.says("longest way − how far the law holds"));
    } else {
        sheet.lack(id::BEYOND, words.law_holds(&tank.name));
    }
    let holds = Traced::new(|| if *holds < *along { *holds } else { *along });

    let (round, slot) = (Example::round(rules), Example::sheet(rules));
    let outlet = sheet.put(figure(id::ROUND_OUTLET, || round_area(*rules.example_outlet)));
    let (exit, core) = round.put(sheet, &outlet, &along)?;
    let slot_outlet =
        figure(id::SHEET_OUTLET, || slot_area(*rules.example_slot_height, *rules.example_slot_length));
    let slot_outlet = sheet.put(slot_outlet);
    let (slot_exit, _) = slot.put(sheet, &slot_outlet, &along)?;
    let goes_on = Traced::new(|| *core >= *along);
    if *goes_on.peek() {
        let core_left = figure(id::ROUND_CORE_LEFT, || {
            goes_on.note();
            *core - *along
        });
        sheet.put(core_left.says("core − longest way"));
    } else {
        sheet.lack(id::ROUND_CORE_LEFT, words.core_ends());
    }
    let pumps = [(&round, &exit), (&slot, &slot_exit)];
    sheet.plot(|| slowing_chart(pumps, *holds, words))?;

    let from = || settled_from(*viscosity, *rules.example_outlet, *rules.full_turbulence);
    sheet.put(figure(id::ROUND_SETTLED_FROM, from));
    sheet.put(figure(id::ROUND_DIAMETERS, || outlets_away(*along, *outlet)));
    let left = try_figure(id::ROUND_LEFT, || Ok(Share(round.left(*along)?.si())))?;
    let left = sheet.put(left);
    sheet.tabulate(|| slowing_table("stream_slowing", pumps, rules, Some(*holds)))?;
    sheet.tabulate(|| slowing_table("stream_reckoner", pumps, rules, None))?;
    sheet.work(|| far_working(*exit, *left));
    sheet.work(|| exit_working(round.flow(), *outlet));
    Ok(())
}

/// From the front to the back inside the glass, or to the false wall of a rear chamber.
pub(super) fn inside_width(sheet: &Sheet) -> Result<Traced<Length>, Error> {
    let (width, pane, chamber) = (sheet.get(WIDTH)?, sheet.get(PANE)?, sheet.maybe(REAR_CHAMBER_DEPTH));
    Ok(Traced::new(|| *width - pane.0 * 2.0 - chamber.map_or_else(Length::default, |depth| *depth)))
}

fn exit_working(flow: VolumeRate, area: Area) -> Working {
    let sum = |system, volume: Item, unit| {
        let flow = Item::of(flow, system);
        let hour = Item::constant(3600.0, 0, "s/h");
        let area = Item::of(area, system);
        Sum::work(
            system,
            vec![(Op::First, flow), (Op::Times, volume), (Op::Over, hour), (Op::Over, area)],
            unit,
        )
    };
    Working::new(
        "exit_speed",
        "flow ÷ area of the outlet",
        vec![
            sum(System::Metric, Item::constant(1000.0, 0, "cm³/L"), "cm/s"),
            // NIST Handbook 44, appendix C: 231 cubic inches make a US gallon.
            sum(System::Us, Item::constant(231.0, 0, "in³/US\u{a0}gal"), "in/s"),
        ],
        id::ROUND_EXIT.name(),
    )
    .given(&["rule.stream.example_flow", id::ROUND_OUTLET.name()])
}

fn far_working(exit: Velocity, left: Share) -> Working {
    let sum = |system, unit| {
        let terms = vec![(Op::First, Item::of(exit, system)), (Op::Times, Item::part(left, system))];
        Sum::work(system, terms, unit)
    };
    Working::new(
        "stream_at_the_far_end",
        "exit speed × part that is left so many outlets away",
        vec![sum(System::Metric, "cm/s"), sum(System::Us, "in/s")],
        id::ROUND_FAR.name(),
    )
    .given(&[id::ROUND_EXIT.name(), id::ROUND_DIAMETERS.name(), id::ROUND_LEFT.name()])
}

/// Both example pumps, each with the speed at its outlet.
type Both<'e, 'r> = [(&'e Example<'r>, &'e Traced<Velocity>); 2];

/// Speed in the middle of both example streams against distance, as far as this tank goes and the law holds.
fn slowing_chart(pumps: Both<'_, '_>, along: Length, words: &words::Stream) -> Result<Chart, Error> {
    let fastest = pumps.map(|(_, exit)| exit.si()).into_iter().fold(0.0, f64::max);
    let mut chart = Chart::new(
        "stream_speed",
        Axis::new(Kind::Length, 0.0, along.si()),
        Axis::new(Kind::Speed, 0.0, fastest * 1.05),
    );
    for (name, (pump, exit)) in [words.round_stream(), words.sheet_stream()].into_iter().zip(pumps) {
        let at = |step: u32| {
            let distance = along * (0.02 + 0.98 * f64::from(step) / 48.0);
            Ok((distance.si(), speed_left(**exit, pump.left(distance)?).si()))
        };
        chart = chart.line(name, (0..=48).map(at).collect::<Result<Vec<_>, Error>>()?);
    }
    Ok(chart)
}

/// Distance → speed of both example streams and width of the round one, as far as this tank goes and the law
/// holds, or for every distance of the rule.
fn slowing_table(
    id: &'static str,
    pumps: Both<'_, '_>,
    rules: &StreamRules,
    along: Option<Length>,
) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for distance in rules.distances.iter().filter(|distance| along.is_none_or(|along| **distance <= along)) {
        let head = figure(format!("{id}.{}", rows.len() + 1), || *distance);
        let way = head.value();
        let mut cells = Vec::new();
        for (pump, exit) in pumps {
            let left = || pump.left(*way);
            let spread = || Ok(rules.spread_of(speed_left(**exit, left()?)));
            let speed = try_figure(format!("{}.{}", head.id(), pump.key), spread)?;
            cells.push(speed.says("exit speed × part left × spread").into());
        }
        let (round, _) = pumps[0];
        cells.push(try_figure(format!("{}.width", head.id()), || round.spreading()?.width(*way))?.into());
        rows.push(Row { head: head.into(), cells });
    }
    Ok(Table::new(id, rows))
}

#[cfg(test)]
mod tests;
