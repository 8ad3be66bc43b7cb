//! Streams: how the water that leaves a pump slows, widens and draws other water along.
//!
//! A propeller pushes a round stream, the slot of a cross-flow pump a sheet. Both keep their push and give it
//! to ever more water, so they slow as they widen. One law serves both: each part of the opening hands on the
//! square of its speed, and what it hands on spreads as a bell (Gauss) whose width grows with the way, by the
//! same share `C` to all sides (Reichardt). Where streams overlap, squares add, never speeds: see
//! [`together`].
//!
//! `C` is chosen amid the experiments, not fitted to one; the same `C` serves round streams and sheets.
//! Against a round jet measured at a smooth nozzle the law is 0 to 14 % slow up to 25 diameters (Bridges &
//! Wernet 2011), against a measured slot it is within 3.4 % (Ahmed et al.). Rule `stream.spread` says how far
//! the stream of a real pump can be off, rule `stream.edge` how far the water beside its middle.
//!
//! Taken for granted throughout:
//!
//! - The exit speed is the flow over the whole opening. Behind a propeller, with its hub and its swirl, that
//!   is an effective value.
//! - These are means. From moment to moment the speed swings by about a quarter in the middle, and by more at
//!   the edge.
//! - Nothing is in the way, and the water around is open. A stream along glass or sand clings to it and slows
//!   less; a stream that meets the far pane turns; farther than rule `stream.range` times the root of the
//!   tank's section across the stream, the water that comes back eats it up.

use std::f64::consts::{LN_2, PI, SQRT_2};

use uom::si::f64::{Area, KinematicViscosity, Length, Ratio, Velocity, VolumeRate};

use super::formula;
use crate::error::{Error, within};
use crate::quantity::{Dimension, Rounding, Share, show};
use crate::rules::stream::StreamRules;
use crate::rules::{Band, Ruled};

/// Where the water leaves a pump.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outlet {
    /// A round opening.
    Round {
        /// Its diameter.
        diameter: Length,
    },
    /// A slot.
    Slot {
        /// Its short side.
        height: Length,
        /// Its long side.
        length: Length,
    },
}

/// The coefficients of the law of a stream, as the rules have them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Laws {
    /// `B`: far away, the middle of a round stream moves at `B d / (x − x₀)` of the exit speed.
    pub round_decay: Ruled<Ratio>,
    /// `x₀` of a round stream, in outlet diameters: where it seems to come from.
    pub origin: Ruled<Ratio>,
    /// Aspect ratios of a slot, from the one up to which its stream has the origin of a round one to the one
    /// from which it has none.
    pub origin_fades: Ruled<Band<Ratio>>,
}

impl Laws {
    /// The coefficients of these rules.
    pub fn of(rules: &StreamRules) -> Self {
        Laws { round_decay: rules.round_decay, origin: rules.origin, origin_fades: rules.origin_fades }
    }

    /// `C`: how much wider the bell of a point's push grows for each length of way. `B C = ½` keeps the push
    /// of a round stream.
    pub fn widening(&self) -> Ratio {
        0.5 / *self.round_decay
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

/// The speed of streams that run the same way, where they overlap: the root of the sum of their squares,
/// because pushes add.
///
/// Speeds never add: two like streams side by side are √2 times as fast as one, not twice. Good to 8 %
/// (Taddesse & Mathew 2022).
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

/// How a stream slows and widens on its way from an outlet, whatever its flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spreading {
    outlet: Outlet,
    laws: Laws,
}

impl Spreading {
    /// The spreading from an outlet.
    ///
    /// - `outlet`: a round opening, or a slot at least twice as long as it is high
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a slot whose long side is less than twice or more than 500 times its short
    /// one.
    pub fn new(outlet: Outlet, laws: Laws) -> Result<Self, Error> {
        if let Outlet::Slot { height, length } = outlet {
            let aspects = Ratio::from_si(2.0)..=Ratio::from_si(500.0);
            within("how many times as long as high the slot is", length / height, aspects)?;
        }
        Ok(Spreading { outlet, laws })
    }

    /// The share of its exit speed that a stream still has in its middle, see [`Stream::speed_at`].
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a distance outside 0 to 20 m.
    pub fn left(&self, distance: Length) -> Result<Ratio, Error> {
        Ok(Ratio::from_si(self.share_left(in_reach("the distance from the outlet", distance)?.si())))
    }

    /// Half-width at a distance: how far from the middle the water moves half as fast as in the middle; for a
    /// slot, across its short side.
    ///
    /// It is that of the bell that carries the push that left the outlet: `(2 ln 2)^½ d U₀ / (2 u)`, and for
    /// a slot `(2 ln 2)^½ h / (π^½ erf(h / (2 C s)))`. Far away both grow by `S = C (2 ln 2)^½`.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a distance outside 0 to 20 m.
    pub fn half_width(&self, distance: Length) -> Result<Length, Error> {
        Ok(self.bell(distance)?[0] * (2.0 * LN_2).sqrt())
    }

    /// How wide the bell is that carries the push at a distance: how far from the middle the square of the
    /// speed is down to one `e`th. Across the short side of a slot and along its long one; of a round stream
    /// both are the same.
    ///
    /// The square of the speed in the middle is that at the outlet, times the outlet's area, over `π` times
    /// both: that keeps the push.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a distance outside 0 to 20 m.
    pub fn bell(&self, distance: Length) -> Result<[Length; 2], Error> {
        let distance = in_reach("the distance from the outlet", distance)?.si();
        Ok(match self.outlet {
            Outlet::Round { diameter } => [diameter / 2.0 / self.share_left(distance); 2],
            Outlet::Slot { height, length } => {
                [height, length].map(|side| side / PI.sqrt() / self.side_left(side.si(), distance))
            }
        })
    }

    /// The width of a stream at a distance, from half the speed on one side to half the speed on the other.
    ///
    /// # Errors
    /// As [`half_width`](Self::half_width).
    #[formula(words "2 × half-width")]
    pub fn width(&self, distance: Length) -> Result<Length, Error> {
        Ok(self.half_width(distance)? * 2.0)
    }

    /// How many times the flow that left the outlet a stream carries at a distance: that, and all that it has
    /// drawn along.
    ///
    /// - round: `(U₀ / u) (1 + 2 C x / d)`, the bracket not above 2
    /// - slot: `(U₀ / u) (1 + C x / h) (1 + C x / w)`, neither bracket above √2
    ///
    /// The flow of the bells is `2 U₀ / u` of a round stream and `√2 U₀ / u` of a sheet; the brackets lead
    /// there from the blunt profile of the opening, which holds less.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a distance outside 0 to 20 m.
    ///
    /// # Source
    /// The brackets follow from the law. Ricou & Spalding (1961) measured 0.32 `x / d` for a round stream:
    /// within 9 % from twenty diameters on.
    pub fn gathered(&self, distance: Length) -> Result<Ratio, Error> {
        let distance = in_reach("the distance from the outlet", distance)?.si();
        let way = self.laws.widening().si() * distance;
        let blunt = match self.outlet {
            Outlet::Round { diameter } => (1.0 + 2.0 * way / diameter.si()).min(2.0),
            Outlet::Slot { height, length } => {
                let bracket = |side: Length| (1.0 + way / side.si()).min(SQRT_2);
                bracket(height) * bracket(length)
            }
        };
        Ok(Ratio::from_si(blunt / self.share_left(distance)))
    }

    /// Length of the core: up to here the middle of the stream has lost less than a hundredth of its exit
    /// speed.
    ///
    /// About six diameters of a round stream, as textbooks have it, and three and a half times the height of
    /// a slot.
    #[formula(words "way on which a hundredth of the speed is lost")]
    pub fn core(&self) -> Length {
        Length::from_si(self.way_to(CORE))
    }

    /// The share of the exit speed that is left in the middle.
    fn share_left(&self, distance: f64) -> f64 {
        match self.outlet {
            Outlet::Round { diameter } => {
                let times = diameter.si() / self.spread_over(distance);
                (-libm::expm1(-times * times)).sqrt()
            }
            Outlet::Slot { height, length } => {
                let [across, along] = [height, length].map(|side| self.side_left(side.si(), distance));
                (across * along).sqrt()
            }
        }
    }

    /// What the spreading across one side of a slot leaves in the middle of the square of the speed.
    fn side_left(&self, side: f64, distance: f64) -> f64 {
        libm::erf(side / self.spread_over(distance))
    }

    /// `2 C s`, nothing up to the origin. A length over nothing is without end, and `erf` and `expm1` of that
    /// are whole numbers.
    fn spread_over(&self, distance: f64) -> f64 {
        2.0 * self.laws.widening().si() * (distance - self.origin()).max(0.0)
    }

    /// `x₀`: where the stream seems to come from, after the outlet. For slots it goes in a straight line from
    /// that of a round stream to none, which is a judgement: nobody measured it.
    fn origin(&self) -> f64 {
        let round = self.laws.origin.si() * equal_diameter(outlet_area(self.outlet)).si();
        match self.outlet {
            Outlet::Round { .. } => round,
            Outlet::Slot { height, length } => {
                let Band { low, high } = *self.laws.origin_fades;
                round * (1.0 - ((length / height - low) / (high - low)).si().clamp(0.0, 1.0))
            }
        }
    }

    /// The distance at which a share of the exit speed, above nothing and up to all of it, is left in the
    /// middle.
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
}

/// The diameter of a round opening of an area.
pub(crate) fn equal_diameter(area: Area) -> Length {
    (4.0 / PI * area).sqrt()
}

/// The stream of one pump.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stream {
    spreading: Spreading,
    flow: VolumeRate,
}

impl Stream {
    /// A stream that leaves an outlet with a flow.
    ///
    /// - `outlet`: a round opening, or a slot at least twice as long as it is high
    /// - `flow`: the flow that the pump gives, clean or fouled as it is
    ///
    /// # Errors
    /// As [`Spreading::new`], and [`Error::OutOfRange`] for an exit speed below 1 cm/s or above 20 m/s.
    pub fn new(outlet: Outlet, flow: VolumeRate, laws: Laws) -> Result<Self, Error> {
        let stream = Stream { spreading: Spreading::new(outlet, laws)?, flow };
        let speeds = Velocity::from_si(0.01)..=Velocity::from_si(20.0);
        within("the speed at the outlet", stream.exit_speed(), speeds)?;
        Ok(stream)
    }

    /// The same pump at a setting: flow and exit speed go down with it alike.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a setting below 1 % or above 100 %, or so low that hardly a stream is left.
    pub fn at_setting(&self, setting: Share) -> Result<Self, Error> {
        let setting = within("the setting", setting, Share(0.01)..=Share(1.0))?;
        Stream::new(self.spreading.outlet, self.flow * setting.0, self.spreading.laws)
    }

    /// Where it leaves the pump.
    pub fn outlet(&self) -> Outlet {
        self.spreading.outlet
    }

    /// How it slows and widens, whatever its flow.
    pub fn spreading(&self) -> &Spreading {
        &self.spreading
    }

    /// Speed at the outlet: `U₀ = Q / A`, the flow over the opening.
    ///
    /// For a propeller pump this is an effective value, see the module's assumptions.
    pub fn exit_speed(&self) -> Velocity {
        self.flow / outlet_area(self.spreading.outlet)
    }

    /// The speed in the middle of the stream at a distance `x` from the outlet, with `s = x − x₀` and
    /// `C = 1 / (2 B)`:
    ///
    /// - round, diameter `d`: `U₀ [1 − exp(−(d / (2 C s))²)]^½`; far away that is `U₀ B d / s`
    /// - slot, short side `h`, long side `w`: `U₀ [erf(h / (2 C s)) erf(w / (2 C s))]^½`, first a sheet, far
    ///   away a round stream
    /// - up to `x₀`: `U₀`
    ///
    /// # Range
    /// 0 to 20 m, and exit speeds above [`settled_from`]; below it, round streams slow faster.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a distance outside the range.
    ///
    /// # Source
    /// A slot 10 mm high measured by Ahmed et al. still has 0.576 of its exit speed 20 heights away:
    /// ```
    /// use reckoner_calc::formulas::stream::{Laws, Outlet, Stream};
    /// use reckoner_calc::{Rules, quantity::{Dimension, parse}};
    /// use uom::si::f64::VolumeRate;
    /// let laws = Laws::of(&Rules::compiled_in().map_err(|_| "rules")?.stream);
    /// let slot = Outlet::Slot { height: parse("10 mm")?, length: parse("190 mm")? };
    /// let stream = Stream::new(slot, VolumeRate::from_si(1e-3), laws)?;
    /// let left = stream.speed_at(parse("200 mm")?)?.si() / stream.exit_speed().si();
    /// assert!((left - 0.576).abs() < 0.05 * 0.576);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn speed_at(&self, distance: Length) -> Result<Velocity, Error> {
        Ok(self.exit_speed() * self.spreading.left(distance)?)
    }

    /// The speed beside the middle: `u exp(−ln 2 (r / w)²)`, with the half-width `w` of
    /// [`half_width`](Self::half_width).
    ///
    /// - `offset`: `r`, from the middle line of a round stream; for a slot, across its short side
    ///
    /// This bell carries all the push that left the outlet. Up to one and a half half-widths it is within 3 %
    /// of what Panchapakesan & Lumley (1993) measured; farther out a stream has a ragged edge, and means say
    /// little. Near the outlet the bell stands in for a blunter profile.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a distance or an offset outside 0 to 20 m.
    pub fn speed_off_axis(&self, distance: Length, offset: Length) -> Result<Velocity, Error> {
        let offset = in_reach("the distance from the middle of the stream", offset)?;
        let widths = (offset / self.half_width(distance)?).si();
        Ok(self.speed_at(distance)? * libm::exp(-LN_2 * widths * widths))
    }

    /// Half-width at a distance, see [`Spreading::half_width`].
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a distance outside 0 to 20 m.
    pub fn half_width(&self, distance: Length) -> Result<Length, Error> {
        self.spreading.half_width(distance)
    }

    /// The flow that the stream carries at a distance: the pump's, and all that it has drawn along, see
    /// [`Spreading::gathered`].
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a distance outside 0 to 20 m.
    pub fn flow_at(&self, distance: Length) -> Result<VolumeRate, Error> {
        Ok(self.flow * self.spreading.gathered(distance)?)
    }

    /// The distance at which the middle of the stream has slowed to a wanted speed: the inverse of
    /// [`speed_at`](Self::speed_at).
    ///
    /// For the exit speed itself this is `x₀`, the place from which on the law lets the stream slow.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a speed outside 1 mm/s to 20 m/s, [`Error::NoAnswer`] for one that is above
    /// the exit speed.
    pub fn reach(&self, speed: Velocity) -> Result<Length, Error> {
        let speed = within("the wanted speed", speed, Velocity::from_si(1e-3)..=Velocity::from_si(20.0))?;
        if speed > self.exit_speed() {
            let exit = show(self.exit_speed().into(), Rounding::Nearest);
            return Err(Error::NoAnswer {
                what: "how far the stream is that fast",
                why: format!("it leaves the pump at only {exit}; ask for a slower speed"),
            });
        }
        Ok(Length::from_si(self.spreading.way_to((speed / self.exit_speed()).si())))
    }

    /// Length of the core, see [`Spreading::core`].
    pub fn core(&self) -> Length {
        self.spreading.core()
    }
}

/// At the end of its core the middle of a stream has this share of its exit speed.
const CORE: f64 = 0.99;

/// The `t` at which `erf(h t) erf(w t)` is the wanted product, which lies between nothing and one.
///
/// Newton's rule on the logarithms. They rise along an arc that only flattens, so that from below each step
/// comes nearer and none goes beyond; it begins below, because `erf z` is at the most `2 z / π^½` and at the
/// most one.
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

fn in_reach(what: &'static str, distance: Length) -> Result<Length, Error> {
    within(what, distance, Length::from_si(0.0)..=Length::from_si(20.0))
}

/// Area of a round opening.
#[formula("π ÷ 4 × diameter × diameter")]
pub fn round_area(diameter: Length) -> Area {
    outlet_area(Outlet::Round { diameter })
}

/// Area of a slot.
#[formula("short side × long side")]
pub fn slot_area(short_side: Length, long_side: Length) -> Area {
    outlet_area(Outlet::Slot { height: short_side, length: long_side })
}

/// Speed at an outlet: the flow over the opening.
#[formula("flow ÷ area")]
pub fn exit_speed(flow: VolumeRate, area: Area) -> Velocity {
    flow / area
}

/// Speed in the middle of a stream where a part of the exit speed is left.
#[formula("exit speed × part left")]
pub fn speed_left(exit_speed: Velocity, part_left: Ratio) -> Velocity {
    exit_speed * part_left
}

/// Part of its exit speed that a round stream still has in its middle at a distance, see
/// [`Stream::speed_at`].
///
/// # Errors
/// [`Error::OutOfRange`] for a distance outside 0 to 20 m.
#[formula("√(1 − e^(−(coefficient ÷ (distance in outlets − origin))²))")]
pub fn round_speed(outlet: Length, distance: Length, rules: &StreamRules) -> Result<Ratio, Error> {
    round_spreading(outlet, rules)?.left(distance)
}

/// Part of its exit speed that a sheet still has in its middle at a distance, see [`Stream::speed_at`].
///
/// # Errors
/// As [`Spreading::new`], and [`Error::OutOfRange`] for a distance outside 0 to 20 m.
#[formula("√(erf(coefficient × height ÷ way) × erf(coefficient × length ÷ way)), way = distance − origin")]
pub fn sheet_speed(
    slot_height: Length,
    slot_length: Length,
    distance: Length,
    rules: &StreamRules,
) -> Result<Ratio, Error> {
    Spreading::new(Outlet::Slot { height: slot_height, length: slot_length }, Laws::of(rules))?.left(distance)
}

/// Half-width of a round stream at a distance, in outlets, see [`Spreading::half_width`].
///
/// # Errors
/// [`Error::OutOfRange`] for a distance outside 0 to 20 m.
#[formula("√(2 × ln(2)) ÷ 2 ÷ part of the speed that is left")]
pub fn round_half_width(outlet: Length, distance: Length, rules: &StreamRules) -> Result<Ratio, Error> {
    Ok(round_spreading(outlet, rules)?.half_width(distance)? / outlet)
}

/// How many times the flow of its pump a round stream carries at a distance, see [`Spreading::gathered`].
///
/// # Errors
/// [`Error::OutOfRange`] for a distance outside 0 to 20 m.
#[formula("(1 + 2 × widening × distance in outlets, not above 2) ÷ part of the speed that is left")]
pub fn round_flow(outlet: Length, distance: Length, rules: &StreamRules) -> Result<Ratio, Error> {
    round_spreading(outlet, rules)?.gathered(distance)
}

/// Speed so many half-widths beside the middle of a round stream, over that in its middle, see
/// [`Stream::speed_off_axis`].
///
/// # Errors
/// [`Error::OutOfRange`] for a distance outside 0 to 20 m, or a place farther than that beside the middle.
#[formula("e^(−ln(2) × half widths²)")]
pub fn round_beside(
    outlet: Length,
    distance: Length,
    half_widths: Ratio,
    rules: &StreamRules,
) -> Result<Ratio, Error> {
    let stream = of_any_flow(outlet, rules)?;
    let offset = stream.half_width(distance)? * half_widths;
    Ok(stream.speed_off_axis(distance, offset)? / stream.speed_at(distance)?)
}

/// The highest speed midway between two like round streams side by side, over their exit speed.
///
/// # Errors
/// Those of the streams, for outlets that are no pump's.
#[formula("√(2) × speed of one beside its middle, where that has slowed to outlet ÷ spacing")]
pub fn twin_speed(outlet: Length, spacing: Length, rules: &StreamRules) -> Result<Ratio, Error> {
    let stream = of_any_flow(outlet, rules)?;
    // Two bells midway are fastest where each alone has slowed in its middle to the outlet over the spacing.
    let slowed = stream.exit_speed() * (outlet / spacing);
    let alone = stream.speed_off_axis(stream.reach(slowed)?, spacing / 2.0)?;
    Ok(together([alone; 2]) / stream.exit_speed())
}

fn round_spreading(outlet: Length, rules: &StreamRules) -> Result<Spreading, Error> {
    Spreading::new(Outlet::Round { diameter: outlet }, Laws::of(rules))
}

/// The stream of a round outlet. Its flow cancels out of every share that is asked.
fn of_any_flow(outlet: Length, rules: &StreamRules) -> Result<Stream, Error> {
    Stream::new(Outlet::Round { diameter: outlet }, VolumeRate::from_si(1e-3), Laws::of(rules))
}

/// The exit speed from which the laws of a round stream hold: `Re ν / d`. Below it a round stream slows
/// faster.
///
/// For a sheet no such speed is known here; the slots of small pumps lie below the Reynolds number 20100 of
/// the sheet that was measured.
///
/// - `viscosity`: kinematic viscosity `ν` of the water
/// - `diameter`: `d`, of the outlet
/// - `reynolds_number`: `Re`, rule `stream.full_turbulence`
///
/// # Source
/// Mi, Xu & Zhou (2013): from a Reynolds number of about ten thousand on.
#[formula("reynolds number × viscosity ÷ diameter")]
pub fn settled_from(viscosity: KinematicViscosity, diameter: Length, reynolds_number: Ratio) -> Velocity {
    viscosity / diameter * reynolds_number
}

/// The longest way a stream can go in a tank: from end to end, inside the glass.
#[formula("length − 2 × pane")]
pub fn run(length: Length, pane: Length) -> Length {
    length - pane * 2.0
}

/// A way in diameters of a round outlet of some area.
#[formula("distance ÷ √(4 ÷ π × area)")]
pub fn outlets_away(distance: Length, area: Area) -> Ratio {
    distance / equal_diameter(area)
}

/// How far the law of a stream holds: farther out, the water that comes back eats it up.
///
/// - `factor`: rule `stream.range`
/// - `across`: inside the glass, across the stream
/// - `depth`: of the water
#[formula("factor × √(across × depth)")]
pub fn range(factor: Ratio, across: Length, depth: Length) -> Length {
    factor * (across * depth).sqrt()
}

#[cfg(test)]
mod tests;
