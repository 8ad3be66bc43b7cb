//! Streams: how the water that leaves a pump slows, widens and draws other water along.
//!
//! A propeller pushes a round stream, the slot of a cross-flow pump a sheet. Both keep their push and give it to ever more water, so
//! they slow as they widen. The laws were measured on smooth nozzles that blow into open, still water; a pump is no such nozzle, and
//! a tank is no open water. Rule `stream.spread` says how far a real stream can be off.
//!
//! Taken for granted throughout:
//!
//! - The exit speed is the flow over the whole opening. Behind a propeller, with its hub and its swirl, that is an effective value.
//! - The stream starts at the outlet: no virtual origin before or behind it.
//! - Nothing is in the way. A stream along glass or sand clings to it and widens less, and a stream that meets the far pane turns.

use std::f64::consts::{LN_2, PI, SQRT_2};

use uom::si::f64::{Area, KinematicViscosity, Length, Ratio, Velocity, VolumeRate};

use crate::catalogue::Outlet;
use crate::error::{Error, within};
use crate::quantity::{Dimension, Kind, Rounding, Share, System, show};
use crate::rules::{Band, Rules, Topic};
use crate::sheet::{Axis, Cell, Chart, Figure, Item, Op, Row, Sheet, Sum, Table, Working};
use crate::tank::Tank;

/// The rules of this topic, `calc/rules/stream.toml`.
#[derive(Debug, Clone)]
pub struct StreamRules {
    /// The coefficients of the laws.
    pub laws: Laws,
    /// Reynolds number at the outlet from which the laws hold.
    pub full_turbulence: Ratio,
    /// How far the stream of a real pump can be off the laws.
    pub spread: Share,
    /// The example propeller pump: its outlet and its flow.
    pub example_round: (Outlet, VolumeRate),
    /// The example cross-flow pump: its outlet and its flow.
    pub example_sheet: (Outlet, VolumeRate),
    /// Distances that the table lists.
    pub distances: Vec<Length>,
}

/// The coefficients of the laws of a stream.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Laws {
    /// `B`: the middle of a round stream moves at `B d / x` of the exit speed.
    pub round_decay: Ratio,
    /// `S`: half-width of a round stream for each length of way.
    pub round_half_width: Ratio,
    /// Flow a round stream carries, in flows of the pump, for each outlet diameter of way.
    pub round_entrainment: Ratio,
    /// `S` of a sheet.
    pub sheet_half_width: Ratio,
}

impl StreamRules {
    pub(crate) fn read(topic: &mut Topic<'_, '_>) -> Option<Self> {
        let round_decay = topic.one("round_decay", "5.5"..="6.5");
        let round_half_width = topic.one("round_half_width", "0.08"..="0.12");
        let round_entrainment = topic.one("round_entrainment", "0.2"..="0.45");
        let sheet_half_width = topic.one("sheet_half_width", "0.09"..="0.12");
        let full_turbulence = topic.one("full_turbulence", "1000"..="100000");
        let spread = topic.one("spread", "1 %"..="60 %");
        let example_flow = topic.one("example_flow", "500 L/h"..="20000 L/h");
        let example_outlet = topic.one("example_outlet", "2 cm"..="12 cm");
        let example_sheet_flow = topic.one("example_sheet_flow", "500 L/h"..="20000 L/h");
        let example_slot_height = topic.one("example_slot_height", "5 mm"..="3 cm");
        let example_slot_length = topic.one("example_slot_length", "6 cm"..="50 cm");
        let distances = topic.list("distances", "5 cm"..="10 m");
        let laws = Laws {
            round_decay: round_decay?,
            round_half_width: round_half_width?,
            round_entrainment: round_entrainment?,
            sheet_half_width: sheet_half_width?,
        };
        Some(StreamRules {
            laws,
            full_turbulence: full_turbulence?,
            spread: spread?,
            example_round: (Outlet::Round { diameter: example_outlet? }, example_flow?),
            example_sheet: (Outlet::Slot { height: example_slot_height?, length: example_slot_length? }, example_sheet_flow?),
            distances: distances?,
        })
    }

    /// What a reckoned speed may really be: so much less, or so much more.
    pub fn spread_of(&self, speed: Velocity) -> Band<Velocity> {
        Band { low: speed * (1.0 - self.spread.0), high: speed * (1.0 + self.spread.0) }
    }
}

/// The opening's area: what the exit speed is reckoned over.
pub fn outlet_area(outlet: Outlet) -> Area {
    match outlet {
        Outlet::Round { diameter } => diameter * diameter * (PI / 4.0),
        Outlet::Slot { height, length } => height * length,
    }
}

/// The stream of one pump.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stream {
    outlet: Outlet,
    flow: VolumeRate,
    laws: Laws,
}

impl Stream {
    /// A stream that leaves an outlet with a flow.
    ///
    /// - `outlet`: a round opening, or a slot at least twice as long as it is high
    /// - `flow`: the flow that the pump gives, clean or fouled as it is
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for an exit speed below 1 cm/s or above 20 m/s, or a slot whose long side is less than twice or more
    /// than 500 times its short one.
    pub fn new(outlet: Outlet, flow: VolumeRate, laws: Laws) -> Result<Self, Error> {
        if let Outlet::Slot { height, length } = outlet {
            within("how many times as long as high the slot is", length / height, Ratio::from_si(2.0)..=Ratio::from_si(500.0))?;
        }
        let stream = Stream { outlet, flow, laws };
        within("the speed at the outlet", stream.exit_speed(), Velocity::from_si(0.01)..=Velocity::from_si(20.0))?;
        Ok(stream)
    }

    /// The same pump at a setting: flow and exit speed go down with it alike.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a setting below 1 % or above 100 %, or so low that hardly a stream is left.
    pub fn at_setting(&self, setting: Share) -> Result<Self, Error> {
        let setting = within("the setting", setting, Share(0.01)..=Share(1.0))?;
        Stream::new(self.outlet, self.flow * setting.0, self.laws)
    }

    /// Speed at the outlet: `U₀ = Q / A`, the flow over the opening.
    ///
    /// For a propeller pump this is an effective value, see the module's assumptions.
    pub fn exit_speed(&self) -> Velocity {
        self.flow / outlet_area(self.outlet)
    }

    /// The speed in the middle of the stream at a distance `x` from the outlet.
    ///
    /// - round, diameter `d`: `U₀ B d / x`
    /// - sheet, slot height `b`: `U₀ K (b / x)^½`, with `K = [S (π / (2 ln 2))^½]^-½`, which keeps the push of a sheet with a bell
    ///   (Gauss) profile
    /// - sheet, farther than [`change_over`](Self::change_over): as a round stream of the slot's area
    /// - never above `U₀`: near the outlet there is a core that has not slowed yet
    ///
    /// # Range
    /// 0 to 20 m, and exit speeds above [`settled_from`](Self::settled_from); below it, round streams slow faster. Measured streams turn
    /// from core to slowing part in a round bend: at the end of the core they are up to 7 % slower than this.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a distance outside the range.
    ///
    /// # Source
    /// Hussein, Capp & George (1994) for `B`; a slot 10 mm high measured by Ahmed et al. still has 0.576 of its exit speed 20 heights
    /// away:
    /// ```
    /// use reckoner_calc::{Rules, catalogue::Outlet, quantity::{Dimension, parse}, stream::Stream};
    /// use uom::si::f64::VolumeRate;
    /// let laws = Rules::compiled_in().map_err(|_| "rules")?.stream.laws;
    /// let slot = Outlet::Slot { height: parse("10 mm")?, length: parse("190 mm")? };
    /// let stream = Stream::new(slot, VolumeRate::from_si(1e-3), laws)?;
    /// let left = stream.speed_at(parse("200 mm")?)?.si() / stream.exit_speed().si();
    /// assert!((left - 0.576).abs() < 0.05 * 0.576);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn speed_at(&self, distance: Length) -> Result<Velocity, Error> {
        let distance = in_reach("the distance from the outlet", distance)?;
        Ok(self.exit_speed() * self.share_left(distance.si()))
    }

    /// The speed beside the middle: `u exp(−ln 2 (r / w)²)`, with the half-width `w` of [`half_width`](Self::half_width).
    ///
    /// - `offset`: `r`, from the middle line of a round stream; for a sheet, across its thin side
    ///
    /// The bell is too thin at the stream's edge: where a measured round stream still has 7.1 % of its middle speed, the bell has 4.4 %
    /// (Hussein, Capp & George 1994). Within the core it stands in for a blunter profile.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a distance or an offset outside 0 to 20 m.
    pub fn speed_off_axis(&self, distance: Length, offset: Length) -> Result<Velocity, Error> {
        let offset = in_reach("the distance from the middle of the stream", offset)?;
        let widths = offset.si() / self.half_width(distance)?.si();
        Ok(self.speed_at(distance)? * libm::exp(-LN_2 * widths * widths))
    }

    /// Half-width at a distance: how far from the middle the water moves half as fast as in the middle.
    ///
    /// `S x`; for a sheet, across its thin side, with the sheet's `S` up to [`change_over`](Self::change_over) and the round stream's
    /// from there. Within the core it grows evenly from half the opening.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a distance outside 0 to 20 m.
    ///
    /// # Source
    /// Hussein, Capp & George (1994) for round streams, Gutmark & Wygnanski (1976) for sheets.
    pub fn half_width(&self, distance: Length) -> Result<Length, Error> {
        let distance = in_reach("the distance from the outlet", distance)?.si();
        let core = self.core().si();
        let (half_opening, slope) = match self.outlet {
            Outlet::Round { diameter } => (diameter.si() / 2.0, self.laws.round_half_width.si()),
            Outlet::Slot { height, .. } => (height.si() / 2.0, self.laws.sheet_half_width.si()),
        };
        if distance < core {
            return Ok(Length::from_si(half_opening + (slope * core - half_opening) * distance / core));
        }
        let change_over = self.change_over().map_or(distance, |at| at.si().min(distance));
        Ok(Length::from_si(slope * change_over + self.laws.round_half_width.si() * (distance - change_over)))
    }

    /// The flow that the stream carries at a distance: the pump's, and all that it has drawn along.
    ///
    /// - round: `Q₀ E x / d`
    /// - sheet: `Q₀ (√2 / K) (x / b)^½`, which follows from its bell profile; farther out as a round stream of the slot's area
    /// - never below the pump's flow `Q₀`
    ///
    /// Within some ten diameters of the outlet a stream draws less along than this (Hill 1972).
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a distance outside 0 to 20 m.
    ///
    /// # Source
    /// Ricou & Spalding (1961): ten diameters away a round stream carries 3.2 times the flow of its outlet.
    pub fn flow_at(&self, distance: Length) -> Result<VolumeRate, Error> {
        let distance = in_reach("the distance from the outlet", distance)?.si();
        let round = self.laws.round_entrainment.si() * distance / self.equal_diameter();
        let sheet = self.slot_height().map_or(0.0, |height| SQRT_2 / self.laws.sheet_decay() * (distance / height).sqrt());
        Ok(self.flow * round.max(sheet).max(1.0))
    }

    /// The distance at which the middle of the stream has slowed to a wanted speed: the inverse of [`speed_at`](Self::speed_at).
    ///
    /// For the exit speed itself this is the end of the core.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a speed outside 1 mm/s to 20 m/s, [`Error::NoAnswer`] for one that is above the exit speed.
    pub fn reach(&self, speed: Velocity) -> Result<Length, Error> {
        let speed = within("the wanted speed", speed, Velocity::from_si(1e-3)..=Velocity::from_si(20.0))?;
        if speed > self.exit_speed() {
            let exit = show(self.exit_speed().into(), Rounding::Nearest);
            return Err(Error::NoAnswer {
                what: "how far the stream is that fast",
                why: format!("it leaves the pump at only {exit}; ask for a slower speed"),
            });
        }
        let times = (self.exit_speed() / speed).si();
        let round = self.laws.round_decay.si() * self.equal_diameter() * times;
        let decay = self.laws.sheet_decay();
        let sheet = self.slot_height().map_or(f64::INFINITY, |height| decay * decay * height * times * times);
        Ok(Length::from_si(round.min(sheet)))
    }

    /// Length of the core that has not slowed yet: `B d` of a round stream, `K² b` of a sheet.
    pub fn core(&self) -> Length {
        let decay = self.laws.sheet_decay();
        let core = self.slot_height().map_or(self.laws.round_decay.si() * self.equal_diameter(), |height| decay * decay * height);
        Length::from_si(core)
    }

    /// Where a sheet turns into a round stream; `None` for a stream that is round from the start.
    ///
    /// Assumed to be where the laws of both give the same speed, `4 B² / (π K²)` times the slot's long side: six to seven times. The
    /// stream is then about as thick as it is wide. Slots of an aspect ratio below about twenty are no true sheets even before that
    /// (Deo, Mi & Nathan 2007).
    pub fn change_over(&self) -> Option<Length> {
        let Outlet::Slot { length, .. } = self.outlet else { return None };
        let ratio = self.laws.round_decay.si() / self.laws.sheet_decay();
        Some(length * (4.0 / PI * ratio * ratio))
    }

    /// The exit speed from which the laws of a round stream hold: `Re ν / d`. Below it a round stream slows faster.
    ///
    /// `None` for a sheet, for which no such speed is known here; the slots of small pumps lie below the Reynolds number 20100 of the
    /// sheet that was measured.
    ///
    /// - `viscosity`: kinematic viscosity `ν` of the water
    ///
    /// # Source
    /// Mi, Xu & Zhou (2013): from a Reynolds number of about ten thousand on.
    pub fn settled_from(&self, viscosity: KinematicViscosity, full_turbulence: Ratio) -> Option<Velocity> {
        let Outlet::Round { diameter } = self.outlet else { return None };
        Some(viscosity / diameter * full_turbulence.si())
    }

    /// The share of the exit speed that is left in the middle: the lowest of the three laws.
    fn share_left(&self, distance: f64) -> f64 {
        if distance <= self.core().si() {
            return 1.0;
        }
        let round = self.laws.round_decay.si() * self.equal_diameter() / distance;
        self.slot_height().map_or(round, |height| round.min(self.laws.sheet_decay() * (height / distance).sqrt()))
    }

    fn slot_height(&self) -> Option<f64> {
        match self.outlet {
            Outlet::Round { .. } => None,
            Outlet::Slot { height, .. } => Some(height.si()),
        }
    }

    /// The diameter of a round opening of the same area.
    fn equal_diameter(&self) -> f64 {
        (4.0 / PI * outlet_area(self.outlet).si()).sqrt()
    }
}

impl Laws {
    /// `K` of a sheet, from its half-width: the push that left the slot is the push that a bell profile of this width carries.
    fn sheet_decay(&self) -> f64 {
        1.0 / (self.sheet_half_width.si() * (PI / (2.0 * LN_2)).sqrt()).sqrt()
    }
}

fn in_reach(what: &'static str, distance: Length) -> Result<Length, Error> {
    within(what, distance, Length::from_si(0.0)..=Length::from_si(20.0))
}

/// The longest way a stream can go in a tank: from end to end, inside the glass.
pub(crate) fn run(tank: &Tank) -> Length {
    tank.glass.plan.length() - tank.glass.pane * 2.0
}

/// Adds the figures of this topic: `stream.…`, for the two example pumps in this tank.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank, viscosity: KinematicViscosity) -> Result<(), Error> {
    let rules = &rules.stream;
    let along = run(tank);
    sheet.put(
        Figure::new("stream.run", "Longest way a stream can go: from end to end inside the glass", along)
            .from("length − 2 × pane", &["tank.length", "tank.pane"]),
    );
    let (outlet, flow) = rules.example_round;
    let round = Stream::new(outlet, flow, rules.laws)?;
    let given = ["rule.stream.example_flow", "stream.round.outlet"];
    sheet.put(
        Figure::new("stream.round.outlet", "Outlet of the example propeller pump", outlet_area(outlet))
            .from("π ÷ 4 × diameter × diameter", &["rule.stream.example_outlet"])
            .rule("stream.example_outlet"),
    );
    put_stream(sheet, rules, &round, "round", "the example propeller pump", &given, along)?;
    let (outlet, flow) = rules.example_sheet;
    let slot = Stream::new(outlet, flow, rules.laws)?;
    let given = ["rule.stream.example_sheet_flow", "stream.sheet.outlet"];
    sheet.put(
        Figure::new("stream.sheet.outlet", "Slot of the example cross-flow pump", outlet_area(outlet))
            .from("short side × long side", &["rule.stream.example_slot_height", "rule.stream.example_slot_length"])
            .rule("stream.example_slot_height")
            .rule("stream.example_slot_length"),
    );
    put_stream(sheet, rules, &slot, "sheet", "the example cross-flow pump", &given, along)?;
    sheet.charts.insert("stream_speed", slowing_chart(&round, &slot, along)?);

    if let Some(speed) = round.settled_from(viscosity, rules.full_turbulence) {
        sheet.put(
            Figure::new("stream.round.settled_from", "Exit speed from which the laws hold for the example propeller pump", speed)
                .from(
                    "Reynolds number × viscosity ÷ diameter",
                    &["rule.stream.full_turbulence", "seawater.viscosity", "rule.stream.example_outlet"],
                )
                .rule("stream.full_turbulence"),
        );
    }
    if along > round.core() {
        let diameters = Ratio::from_si(along.si() / round.equal_diameter());
        sheet.put(
            Figure::new("stream.round.diameters", "From end to end of the tank, in outlets of the example propeller pump", diameters)
                .from("inside length ÷ diameter", &["stream.run", "rule.stream.example_outlet"])
                .rule("stream.example_outlet"),
        );
        sheet.workings.insert("stream_at_the_far_end", far_working(&round, diameters, rules));
    }
    sheet.workings.insert("exit_speed", exit_working(&round));
    sheet.tables.insert("stream_slowing", slowing_table("stream_slowing", rules, &round, &slot, Some(along))?);
    sheet.tables.insert("stream_reckoner", slowing_table("stream_reckoner", rules, &round, &slot, None)?);
    Ok(())
}

fn put_stream(
    sheet: &mut Sheet,
    rules: &StreamRules,
    stream: &Stream,
    key: &str,
    name: &str,
    given: &[&str],
    along: Length,
) -> Result<(), Error> {
    let id = |figure: &str| format!("stream.{key}.{figure}");
    let law = if key == "round" { "stream.round_decay" } else { "stream.sheet_half_width" };
    let exit = id("exit");
    sheet.put(Figure::new(exit.clone(), format!("Speed at the outlet of {name}"), stream.exit_speed()).from("flow ÷ area", given));
    sheet.put(
        Figure::new(id("core"), format!("Core that has not slowed yet, before {name}"), stream.core())
            .from("coefficient × width of the opening", &[])
            .rule(law),
    );
    let far = stream.speed_at(along)?;
    let inputs = [exit.as_str(), "stream.run"];
    sheet.put(
        Figure::new(id("far"), format!("Speed at the far end of the tank, before {name}"), far)
            .from("exit speed × share left", &inputs)
            .rule(law),
    );
    sheet.put(
        Figure::new(id("far_range"), format!("Speed to expect at the far end of the tank, before {name}"), rules.spread_of(far))
            .from("speed × (1 ± spread)", &[id("far").as_str()])
            .rule("stream.spread"),
    );
    sheet.put(
        Figure::new(
            id("far_width"),
            format!("Width of the stream at the far end of the tank, before {name}"),
            stream.half_width(along)? * 2.0,
        )
        .from("2 × half-width", &["stream.run"])
        .rule(if key == "round" { "stream.round_half_width" } else { "stream.sheet_half_width" }),
    );
    sheet.put(
        Figure::new(
            id("far_flow"),
            format!("Water that the stream carries at the far end of the tank, before {name}"),
            stream.flow_at(along)?,
        )
        .from("flow of the pump and all that it draws along", &[given[0], "stream.run"])
        .rule(if key == "round" { "stream.round_entrainment" } else { "stream.sheet_half_width" }),
    );
    Ok(())
}

fn exit_working(stream: &Stream) -> Working {
    let area = outlet_area(stream.outlet);
    let sum = |system, volume: Item, unit| {
        let flow = Item::of(stream.flow, system);
        let hour = Item::constant(3600.0, 0, "s/h");
        Sum::work(system, vec![(Op::First, flow), (Op::Times, volume), (Op::Over, hour), (Op::Over, Item::of(area, system))], unit)
    };
    Working {
        id: "exit_speed",
        title: "How fast the water leaves the pump",
        given: vec!["rule.stream.example_flow", "stream.round.outlet"],
        formula: "flow ÷ area of the outlet",
        sums: vec![
            sum(System::Metric, Item::constant(1000.0, 0, "cm³/L"), "cm/s"),
            // NIST Handbook 44, appendix C: 231 cubic inches make a US gallon.
            sum(System::Us, Item::constant(231.0, 0, "in³/US\u{a0}gal"), "in/s"),
        ],
        answer: "stream.round.exit",
        tell: "Half the flow, or twice the area, gives half the speed.",
    }
}

fn far_working(stream: &Stream, diameters: Ratio, rules: &StreamRules) -> Working {
    let sum = |system, unit| {
        let decay = Item::of(rules.laws.round_decay, system);
        let terms = vec![(Op::First, Item::of(stream.exit_speed(), system)), (Op::Times, decay), (Op::Over, Item::of(diameters, system))];
        Sum::work(system, terms, unit)
    };
    Working {
        id: "stream_at_the_far_end",
        title: "How fast the stream still is at the far end",
        given: vec!["stream.round.exit", "rule.stream.round_decay", "stream.round.diameters"],
        formula: "exit speed × coefficient ÷ distance in outlet diameters",
        sums: vec![sum(System::Metric, "cm/s"), sum(System::Us, "in/s")],
        answer: "stream.round.far",
        tell: "Twice as far away, the stream is half as fast.",
    }
}

/// Speed in the middle of both example streams against distance, as far as this tank goes.
fn slowing_chart(round: &Stream, slot: &Stream, along: Length) -> Result<Chart, Error> {
    let points = |stream: &Stream| {
        let at = |step: u32| {
            let distance = along * (0.02 + 0.98 * f64::from(step) / 48.0);
            Ok((distance.si(), stream.speed_at(distance)?.si()))
        };
        (0..=48).map(at).collect::<Result<Vec<_>, Error>>()
    };
    let fastest = if round.exit_speed() > slot.exit_speed() { round.exit_speed() } else { slot.exit_speed() };
    let chart = Chart::new(
        "stream_speed",
        "How the streams of the two example pumps slow on their way along the tank",
        "Both curves start level, at the speed of the outlet, and then fall, steeply at first and ever more gently.",
        Axis::new("Distance from the pump", Kind::Length, 0.0, along.si()),
        Axis::new("Speed in the middle of the stream", Kind::Speed, 0.0, fastest.si() * 1.05),
    );
    Ok(chart.line("Round stream", points(round)?).line("Sheet", points(slot)?))
}

/// Distance → speed of both example streams and width of the round one, as far as this tank goes or for every distance of the rule.
fn slowing_table(id: &'static str, rules: &StreamRules, round: &Stream, slot: &Stream, along: Option<Length>) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for distance in rules.distances.iter().filter(|distance| along.is_none_or(|along| **distance <= along)) {
        let head = Figure::new(format!("{id}.{}", rows.len() + 1), "Distance from the pump", *distance);
        let speed = |stream: &Stream, key: &str, law: &str| {
            let range = rules.spread_of(stream.speed_at(*distance)?);
            let figure = Figure::new(format!("{}.{key}", head.id), "Speed in the middle of the stream", range);
            let figure = figure.from("exit speed × share left × (1 ± spread)", &[format!("stream.{key}.exit").as_str(), head.id.as_str()]);
            Ok::<_, Error>(Cell::Figure(figure.rule(law).rule("stream.spread")))
        };
        let cells = vec![
            speed(round, "round", "stream.round_decay")?,
            speed(slot, "sheet", "stream.sheet_half_width")?,
            Cell::Figure(
                Figure::new(format!("{}.width", head.id), "Width of the round stream", round.half_width(*distance)? * 2.0)
                    .from("2 × half-width", &[head.id.as_str()])
                    .rule("stream.round_half_width"),
            ),
        ];
        rows.push(Row { head: Cell::Figure(head), cells });
    }
    let heads = ["Distance from the pump", "Round stream", "Sheet", "Width of the round stream"];
    Ok(Table {
        id,
        caption: "How the streams of the two example pumps slow on their way".to_owned(),
        heads: heads.map(str::to_owned).into(),
        rows,
    })
}

#[cfg(test)]
mod tests;
