//! Streams: how the water that leaves a pump slows, widens and draws other water along.
//!
//! A propeller pushes a round stream, the slot of a cross-flow pump a sheet. Both keep their push and give it to ever more water, so
//! they slow as they widen. One law serves both: each part of the opening hands on the square of its speed, and what it hands on
//! spreads as a bell (Gauss) whose width grows with the way, by the same share `C` to all sides (Reichardt). Where streams overlap,
//! squares add, never speeds: see [`together`].
//!
//! `C` is chosen amid the experiments, not fitted to one; the same `C` serves round streams and sheets. Against a round jet measured
//! at a smooth nozzle the law is 0 to 14 % slow up to 25 diameters (Bridges & Wernet 2011), against a measured slot it is within
//! 3.4 % (Ahmed et al.). Rule `stream.spread` says how far the stream of a real pump can be off, rule `stream.edge` how far the water
//! beside its middle.
//!
//! Taken for granted throughout:
//!
//! - The exit speed is the flow over the whole opening. Behind a propeller, with its hub and its swirl, that is an effective value.
//! - These are means. From moment to moment the speed swings by about a quarter in the middle, and by more at the edge.
//! - Nothing is in the way, and the water around is open. A stream along glass or sand clings to it and slows less; a stream that meets
//!   the far pane turns; farther than rule `stream.range` times the root of the tank's section across the stream, the water that comes
//!   back eats it up, see the rule `stream.range`.

use std::f64::consts::{LN_2, PI, SQRT_2};

use uom::si::f64::{Area, KinematicViscosity, Length, Ratio, Velocity, VolumeRate};

use crate::catalogue::Outlet;
use crate::decide::placement::Course;
use crate::error::{Error, within};
use crate::quantity::{Dimension, Kind, Rounding, Share, System, show};
use crate::rules::stream::StreamRules;
use crate::rules::{Band, Rules};
use crate::settling;
use crate::sheet::{Axis, Cell, Chart, Figure, Item, Op, Row, Sheet, Sum, Table, Working};
use crate::tank::Tank;

/// The coefficients of the law of a stream.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Laws {
    /// `B`: far away, the middle of a round stream moves at `B d / (x − x₀)` of the exit speed.
    pub round_decay: Ratio,
    /// `x₀` of a round stream, in outlet diameters: where it seems to come from.
    pub origin: Ratio,
    /// Aspect ratios of a slot, from the one up to which its stream has the origin of a round one to the one from which it has none.
    pub origin_fades: Band<Ratio>,
}

impl Laws {
    /// The coefficients as the rules have them.
    pub fn of(rules: &StreamRules) -> Self {
        Laws { round_decay: *rules.round_decay, origin: *rules.origin, origin_fades: *rules.origin_fades }
    }
}

/// The example propeller pump: its outlet and its flow.
pub fn example_round(rules: &StreamRules) -> (Outlet, VolumeRate) {
    (Outlet::Round { diameter: *rules.example_outlet }, *rules.example_flow)
}

/// The example cross-flow pump: its outlet and its flow.
pub fn example_sheet(rules: &StreamRules) -> (Outlet, VolumeRate) {
    let slot = Outlet::Slot { height: *rules.example_slot_height, length: *rules.example_slot_length };
    (slot, *rules.example_sheet_flow)
}

/// The speed of streams that run the same way, where they overlap: the root of the sum of their squares, because pushes add.
///
/// Speeds never add: two like streams side by side are √2 times as fast as one, not twice. Good to 8 % (Taddesse & Mathew 2022).
pub fn together(speeds: impl IntoIterator<Item = Velocity>) -> Velocity {
    Velocity::from_si(speeds.into_iter().map(|speed| speed.si() * speed.si()).sum::<f64>().sqrt())
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

    /// The speed in the middle of the stream at a distance `x` from the outlet, with `s = x − x₀` and `C = 1 / (2 B)`:
    ///
    /// - round, diameter `d`: `U₀ [1 − exp(−(d / (2 C s))²)]^½`; far away that is `U₀ B d / s`
    /// - slot, short side `h`, long side `w`: `U₀ [erf(h / (2 C s)) erf(w / (2 C s))]^½`, first a sheet, far away a round stream
    /// - up to `x₀`: `U₀`
    ///
    /// # Range
    /// 0 to 20 m, and exit speeds above [`settled_from`](Self::settled_from); below it, round streams slow faster.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a distance outside the range.
    ///
    /// # Source
    /// A slot 10 mm high measured by Ahmed et al. still has 0.576 of its exit speed 20 heights away:
    /// ```
    /// use reckoner_calc::{Rules, catalogue::Outlet, quantity::{Dimension, parse}, stream::Stream};
    /// use uom::si::f64::VolumeRate;
    /// let laws = Rules::compiled_in().map_err(|_| "rules")?.Laws::of(&stream);
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
    /// - `offset`: `r`, from the middle line of a round stream; for a slot, across its short side
    ///
    /// This bell carries all the push that left the outlet. Up to one and a half half-widths it is within 3 % of what Panchapakesan &
    /// Lumley (1993) measured; farther out a stream has a ragged edge, and means say little. Near the outlet the bell stands in for a
    /// blunter profile.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a distance or an offset outside 0 to 20 m.
    pub fn speed_off_axis(&self, distance: Length, offset: Length) -> Result<Velocity, Error> {
        let offset = in_reach("the distance from the middle of the stream", offset)?;
        let widths = offset.si() / self.half_width(distance)?.si();
        Ok(self.speed_at(distance)? * libm::exp(-LN_2 * widths * widths))
    }

    /// Half-width at a distance: how far from the middle the water moves half as fast as in the middle; for a slot, across its short
    /// side.
    ///
    /// It is that of the bell that carries the push that left the outlet: `(2 ln 2)^½ d U₀ / (2 u)`, and for a slot
    /// `(2 ln 2)^½ h / (π^½ erf(h / (2 C s)))`. Far away both grow by `S = C (2 ln 2)^½`.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a distance outside 0 to 20 m.
    pub fn half_width(&self, distance: Length) -> Result<Length, Error> {
        let distance = in_reach("the distance from the outlet", distance)?.si();
        let bell = match self.outlet {
            Outlet::Round { diameter } => diameter.si() / 2.0 / self.share_left(distance),
            Outlet::Slot { height, .. } => height.si() / PI.sqrt() / self.side_left(height.si(), distance),
        };
        Ok(Length::from_si((2.0 * LN_2).sqrt() * bell))
    }

    /// The flow that the stream carries at a distance: the pump's, and all that it has drawn along.
    ///
    /// - round: `Q₀ (U₀ / u) (1 + 2 C x / d)`, the bracket not above 2
    /// - slot: `Q₀ (U₀ / u) (1 + C x / h) (1 + C x / w)`, neither bracket above √2
    ///
    /// The flow of the bells is `2 U₀ / u` of a round stream and `√2 U₀ / u` of a sheet; the brackets lead there from the blunt profile
    /// of the opening, which holds less.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a distance outside 0 to 20 m.
    ///
    /// # Source
    /// The brackets follow from the law. Ricou & Spalding (1961) measured 0.32 `x / d` for a round stream: within 9 % from twenty
    /// diameters on.
    pub fn flow_at(&self, distance: Length) -> Result<VolumeRate, Error> {
        let distance = in_reach("the distance from the outlet", distance)?.si();
        let way = self.laws.widening().si() * distance;
        let blunt = match self.outlet {
            Outlet::Round { diameter } => (1.0 + 2.0 * way / diameter.si()).min(2.0),
            Outlet::Slot { height, length } => [height, length].map(|side| (1.0 + way / side.si()).min(SQRT_2)).into_iter().product(),
        };
        Ok(self.flow * (blunt / self.share_left(distance)))
    }

    /// The distance at which the middle of the stream has slowed to a wanted speed: the inverse of [`speed_at`](Self::speed_at).
    ///
    /// For the exit speed itself this is `x₀`, the place from which on the law lets the stream slow.
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
        Ok(Length::from_si(self.way_to((speed / self.exit_speed()).si())))
    }

    /// Length of the core: up to here the middle of the stream has lost less than a hundredth of its exit speed.
    ///
    /// About six diameters of a round stream, as textbooks have it, and three and a half times the height of a slot.
    pub fn core(&self) -> Length {
        Length::from_si(self.way_to(CORE))
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

    /// The share of the exit speed that is left in the middle.
    fn share_left(&self, distance: f64) -> f64 {
        match self.outlet {
            Outlet::Round { diameter } => {
                let times = diameter.si() / self.spread_over(distance);
                (-libm::expm1(-times * times)).sqrt()
            }
            Outlet::Slot { height, length } => (self.side_left(height.si(), distance) * self.side_left(length.si(), distance)).sqrt(),
        }
    }

    /// What the spreading across one side of a slot leaves in the middle of the square of the speed.
    fn side_left(&self, side: f64, distance: f64) -> f64 {
        libm::erf(side / self.spread_over(distance))
    }

    /// `2 C s`, nothing up to the origin. A length over nothing is without end, and `erf` and `expm1` of that are whole numbers.
    fn spread_over(&self, distance: f64) -> f64 {
        2.0 * self.laws.widening().si() * (distance - self.origin()).max(0.0)
    }

    /// `x₀`: where the stream seems to come from, after the outlet. For slots it goes in a straight line from that of a round stream
    /// to none, which is a judgement: nobody measured it.
    fn origin(&self) -> f64 {
        let round = self.laws.origin.si() * self.equal_diameter();
        match self.outlet {
            Outlet::Round { .. } => round,
            Outlet::Slot { height, length } => {
                let Band { low, high } = self.laws.origin_fades;
                round * (1.0 - ((length / height - low) / (high - low)).si().clamp(0.0, 1.0))
            }
        }
    }

    /// The distance at which a share of the exit speed, above nothing and up to all of it, is left in the middle.
    fn way_to(&self, share: f64) -> f64 {
        if share >= 1.0 {
            return self.origin();
        }
        let squares = share * share;
        // 1 / (2 C s)
        let over = match self.outlet {
            Outlet::Round { diameter } => (-libm::log1p(-squares)).sqrt() / diameter.si(),
            Outlet::Slot { height, length } => over_sides(squares, height.si(), length.si()),
        };
        self.origin() + 1.0 / (2.0 * self.laws.widening().si() * over)
    }

    /// The diameter of a round opening of the same area.
    fn equal_diameter(&self) -> f64 {
        (4.0 / PI * outlet_area(self.outlet).si()).sqrt()
    }
}

/// At the end of its core the middle of a stream has this share of its exit speed.
const CORE: f64 = 0.99;

/// The `t` at which `erf(h t) erf(w t)` is the wanted product, which lies between nothing and one.
///
/// Newton's rule on the logarithms. They rise along an arc that only flattens, so that from below each step comes nearer and none goes
/// beyond; it begins below, because `erf z` is at the most `2 z / π^½` and at the most one.
fn over_sides(product: f64, height: f64, length: f64) -> f64 {
    let mut over = (PI / 4.0 * product / (height * length)).sqrt().max(PI.sqrt() / 2.0 * product / height);
    for _ in 0..100 {
        let (mut left, mut slope) = (libm::log(product), 0.0);
        for z in [height * over, length * over] {
            let erf = libm::erf(z);
            left -= libm::log(erf);
            slope += 2.0 / PI.sqrt() * z * libm::exp(-z * z) / erf;
        }
        // Where the last bit is reached, or `erf` is one to the last bit, no step is left.
        if left <= 0.0 || slope <= 0.0 {
            break;
        }
        let next = over * libm::exp(left / slope);
        if next <= over {
            break;
        }
        over = next;
    }
    over
}

impl Laws {
    /// `C`: how much wider the bell of a point's push grows for each length of way. `B C = ½` keeps the push of a round stream.
    pub fn widening(&self) -> Ratio {
        Ratio::from_si(0.5 / self.round_decay.si())
    }
}

fn in_reach(what: &'static str, distance: Length) -> Result<Length, Error> {
    within(what, distance, Length::from_si(0.0)..=Length::from_si(20.0))
}

/// The longest way a stream can go in a tank: from end to end, inside the glass.
pub(crate) fn run(tank: &Tank) -> Length {
    tank.glass.plan.length() - tank.glass.pane * 2.0
}

/// How far the law of a stream holds that goes from end to end of a tank: farther out, the water that comes back eats it up.
pub(crate) fn range(tank: &Tank, rules: &StreamRules) -> Length {
    let across = tank.glass.plan.width() - tank.glass.pane * 2.0 - tank.chamber_depth();
    range_in(across, tank, rules)
}

/// How far it holds on any way: the section is the one across the stream. A way that leads more along the tank than across it, such as one
/// out of a corner, counts as one from end to end.
pub(crate) fn range_on(course: &Course, tank: &Tank, rules: &StreamRules) -> Length {
    let (along, across) = ((course.to.x - course.from.x).si().abs(), (course.to.y - course.from.y).si().abs());
    if along >= across { range(tank, rules) } else { range_in(run(tank), tank, rules) }
}

fn range_in(across: Length, tank: &Tank, rules: &StreamRules) -> Length {
    Length::from_si(rules.range.si() * (across * settling::depth(tank)).si().sqrt())
}

/// Adds the figures of this topic: `stream.…`, for the two example pumps in this tank.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank, viscosity: KinematicViscosity) -> Result<(), Error> {
    let rules = &rules.stream;
    let along = run(tank);
    sheet.put(
        Figure::new("stream.run", "Longest way a stream can go: from end to end inside the glass", along)
            .from("length − 2 × pane", &["tank.length", "tank.pane"]),
    );
    let holds = range(tank, rules);
    sheet.put(
        Figure::new("stream.range", "How far the law of a stream holds that goes from end to end", holds)
            .from("factor × √(inside width × depth of the water)", &["tank.width", "tank.pane", "tank.depth"])
            .rule("stream.range")
            .never_above(),
    );
    if holds < along {
        sheet.put(
            Figure::new("stream.beyond", "From there to the far end, where a stream is slower than its law has it", along - holds)
                .from("longest way − how far the law holds", &["stream.run", "stream.range"]),
        );
    } else {
        sheet.lack("stream.beyond", format!("The law of a stream holds from end to end of {}.", tank.name));
    }
    let holds = if holds < along { holds } else { along };
    let (outlet, flow) = example_round(rules);
    let round = Stream::new(outlet, flow, Laws::of(&rules))?;
    let given = ["rule.stream.example_flow", "stream.round.outlet"];
    sheet.put(
        Figure::new("stream.round.outlet", "Outlet of the example propeller pump", outlet_area(outlet))
            .from("π ÷ 4 × diameter × diameter", &["rule.stream.example_outlet"])
            .rule("stream.example_outlet"),
    );
    put_stream(sheet, rules, &round, "round", "the example propeller pump", &given, along)?;
    let (outlet, flow) = example_sheet(rules);
    let slot = Stream::new(outlet, flow, Laws::of(&rules))?;
    let given = ["rule.stream.example_sheet_flow", "stream.sheet.outlet"];
    sheet.put(
        Figure::new("stream.sheet.outlet", "Slot of the example cross-flow pump", outlet_area(outlet))
            .from("short side × long side", &["rule.stream.example_slot_height", "rule.stream.example_slot_length"])
            .rule("stream.example_slot_height")
            .rule("stream.example_slot_length"),
    );
    put_stream(sheet, rules, &slot, "sheet", "the example cross-flow pump", &given, along)?;
    if round.core() >= along {
        sheet.put(
            Figure::new("stream.round.core_left", "How far the core would go on behind the far end", round.core() - along)
                .from("core − longest way", &["stream.round.core", "stream.run"]),
        );
    } else {
        sheet.lack("stream.round.core_left", "The core of the example propeller pump ends before the far end.");
    }
    sheet.put_chart(slowing_chart(&round, &slot, holds)?);

    if let Some(speed) = round.settled_from(viscosity, *rules.full_turbulence) {
        sheet.put(
            Figure::new("stream.round.settled_from", "Exit speed from which the laws hold for the example propeller pump", speed)
                .from(
                    "Reynolds number × viscosity ÷ diameter",
                    &["rule.stream.full_turbulence", "seawater.viscosity", "rule.stream.example_outlet"],
                )
                .rule("stream.full_turbulence"),
        );
    }
    let diameters = Ratio::from_si(along.si() / round.equal_diameter());
    sheet.put(
        Figure::new("stream.round.diameters", "From end to end of the tank, in outlets of the example propeller pump", diameters)
            .from("inside length ÷ diameter", &["stream.run", "rule.stream.example_outlet"])
            .rule("stream.example_outlet"),
    );
    let left = Share(round.share_left(along.si()));
    sheet.put(
        Figure::new(
            "stream.round.left",
            "Part of its speed that is left at the far end of the tank, before the example propeller pump",
            left,
        )
        .from("√(1 − e^(−(coefficient ÷ (distance in outlets − origin))²))", &["stream.round.diameters"])
        .rule("stream.round_decay")
        .rule("stream.origin"),
    );
    sheet.workings.insert("stream_at_the_far_end", far_working(&round, left));
    sheet.workings.insert("exit_speed", exit_working(&round));
    sheet.put_table(slowing_table("stream_slowing", rules, &round, &slot, Some(holds))?);
    sheet.put_table(slowing_table("stream_reckoner", rules, &round, &slot, None)?);
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
    // The origin of a slot's stream has faded in one as long as the example's.
    let lawful = |figure: Figure| {
        let figure = figure.rule("stream.round_decay");
        if key == "round" { figure.rule("stream.origin") } else { figure.rule("stream.origin_fades") }
    };
    let exit = id("exit");
    sheet.put(Figure::new(exit.clone(), format!("Speed at the outlet of {name}"), stream.exit_speed()).from("flow ÷ area", given));
    sheet.put(lawful(
        Figure::new(id("core"), format!("Core that has hardly slowed yet, before {name}"), stream.core())
            .from("way on which a hundredth of the speed is lost", &[exit.as_str()]),
    ));
    let far = stream.speed_at(along)?;
    let inputs = [exit.as_str(), "stream.run"];
    sheet.put(lawful(
        Figure::new(id("far"), format!("Speed at the far end of the tank, before {name}"), far).from("exit speed × part left", &inputs),
    ));
    sheet.put(
        Figure::new(id("far_range"), format!("Speed to expect at the far end of the tank, before {name}"), rules.spread_of(far))
            .from("speed × spread", &[id("far").as_str()])
            .rule("stream.spread"),
    );
    let width = stream.half_width(along)? * 2.0;
    sheet.put(lawful(
        Figure::new(id("far_width"), format!("Width of the stream at the far end of the tank, before {name}"), width)
            .from("2 × half-width", &["stream.run"]),
    ));
    let flow = stream.flow_at(along)?;
    sheet.put(lawful(
        Figure::new(id("far_flow"), format!("Water that the stream carries at the far end of the tank, before {name}"), flow)
            .from("flow of the pump and all that it draws along", &[given[0], "stream.run"]),
    ));
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
        given: ["rule.stream.example_flow", "stream.round.outlet"].map(str::to_owned).into(),
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

fn far_working(stream: &Stream, left: Share) -> Working {
    let sum = |system, unit| {
        let terms = vec![(Op::First, Item::of(stream.exit_speed(), system)), (Op::Times, Item::part(left, system))];
        Sum::work(system, terms, unit)
    };
    Working {
        id: "stream_at_the_far_end",
        title: "How fast the stream still is at the far end",
        given: ["stream.round.exit", "stream.round.diameters", "stream.round.left"].map(str::to_owned).into(),
        formula: "exit speed × part that is left so many outlets away",
        sums: vec![sum(System::Metric, "cm/s"), sum(System::Us, "in/s")],
        answer: "stream.round.far",
        tell: "The answer is less than the speed at the outlet. Only where the whole way lies in the core is it about the same.",
    }
}

/// Speed in the middle of both example streams against distance, as far as this tank goes and the law holds.
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

/// Distance → speed of both example streams and width of the round one, as far as this tank goes and the law holds, or for every distance of the rule.
fn slowing_table(id: &'static str, rules: &StreamRules, round: &Stream, slot: &Stream, along: Option<Length>) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for distance in rules.distances.iter().filter(|distance| along.is_none_or(|along| **distance <= along)) {
        let head = Figure::new(format!("{id}.{}", rows.len() + 1), "Distance from the pump", *distance);
        let speed = |stream: &Stream, key: &str, origin: &str| {
            let range = rules.spread_of(stream.speed_at(*distance)?);
            let figure = Figure::new(format!("{}.{key}", head.id), "Speed in the middle of the stream", range);
            let figure = figure.from("exit speed × part left × spread", &[format!("stream.{key}.exit").as_str(), head.id.as_str()]);
            Ok::<_, Error>(Cell::Figure(figure.rule("stream.round_decay").rule(origin).rule("stream.spread")))
        };
        let cells = vec![
            speed(round, "round", "stream.origin")?,
            speed(slot, "sheet", "stream.origin_fades")?,
            Cell::Figure(
                Figure::new(format!("{}.width", head.id), "Width of the round stream", round.half_width(*distance)? * 2.0)
                    .from("2 × half-width", &[head.id.as_str()])
                    .rule("stream.round_decay"),
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
        origin: crate::sheet::Origin::default(),
    })
}

#[cfg(test)]
mod tests;
