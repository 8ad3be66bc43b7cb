//! The map of speeds: what the streams of all pumps come to at any place in a tank.
//!
//! Every stream carries the square of its speed, as [`stream`](super::stream) has it, and where several come
//! to a place their pushes add as arrows: the speed there is the root of the length of their sum. Streams
//! that meet head on bring the mean to rest but not the water, so a share of what they come to is left.
//!
//! - **Panes beside a stream, the floor and the surface** throw back what would pass through them, as mirrors
//!   do. That keeps the push whole. What is told of a stream that hugs a pane is less: it spreads sideways.
//! - **The pane that a stream meets** turns it to all sides. Its push along the pane is kept: what comes at a
//!   slant mostly goes on. Along the pane, and round the corner along the next one, it slows with the way.
//! - **Rock** stops what would pass through it. Behind it is a lee, which fills again with the way.
//! - **Elsewhere** the water comes back that the streams take along.
//!
//! Taken for granted throughout: these are means; panes are flat and stand at right angles, also those of a
//! round tank; rock is whole; what leaves a tank through its overflow, and what comes in, is left out. The
//! map ranks places and measures none of them: beside a stream it can be off by half, in a lee by more.

use std::f64::consts::{LN_2, PI};

use uom::si::f64::{Area, Length, Ratio, Velocity};

use super::formula;
use super::stream::{Stream, equal_diameter, outlet_area};
use crate::error::{Error, within};
use crate::quantity::Dimension;
use crate::rules::speed_map::SpeedMapRules;

/// A place in a tank: along the front from the left, from the front to the back, up from the base pane.
pub type Place = [Length; 3];

type Point = [f64; 3];

/// The water between the panes, from the sand to the surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Basin {
    /// Inside, along the front.
    pub length: Length,
    /// Inside, from the front to the back.
    pub width: Length,
    /// Height of the sand above the base pane.
    pub bed: Length,
    /// Height of the surface above the base pane.
    pub water: Length,
}

/// How a piece of rock is shaped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// A block with upright faces.
    Block,
    /// A mound: the upper half of an egg.
    Mound,
}

/// A piece of rock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Piece {
    /// How it is shaped.
    pub form: Form,
    /// Its left, front and lower end.
    pub from: Place,
    /// Its length, width and height.
    pub size: Place,
}

/// The stream of a pump that hangs in a tank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jet {
    /// The stream, at the pump's setting.
    pub stream: Stream,
    /// Where it leaves the pump.
    pub from: Place,
    /// Where it meets the pane opposite.
    pub to: Place,
}

/// The water of a tank, as its pumps move it.
#[derive(Debug, Clone)]
pub struct Waters {
    low: Point,
    high: Point,
    rock: Vec<Stone>,
    jets: Vec<Course>,
    laws: Laws,
}

/// What each stream does at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    streams: Vec<Part>,
    swing: f64,
}

/// What one stream does at a place, in squares of speed.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Part {
    push: Point,
    gross: f64,
    back: f64,
}

#[derive(Debug, Clone, Copy)]
struct Laws {
    hugging: f64,
    swing: f64,
    lee: f64,
    lee_length: [f64; 3],
    lee_recovers: f64,
    wall_growth: f64,
}

#[derive(Debug, Clone)]
struct Stone {
    form: Form,
    middle: Point,
    half: Point,
}

/// A stream on its way.
#[derive(Debug, Clone)]
struct Course {
    from: Point,
    /// Ahead, across, and upright to both.
    frame: [Point; 3],
    /// The square of the exit speed times the area of the outlet, over `π`.
    push: f64,
    /// The bell at every step of the way.
    bells: Vec<[f64; 2]>,
    step: f64,
    /// Farther than this beside its middle nothing of it is left, up to the pane that it meets.
    widest: f64,
    /// The pane that it meets: along which axis, and where.
    end: usize,
    pane: f64,
    foot: Point,
    /// Along that pane the square of its speed is this over that of the way, and at the most the second.
    along_pane: f64,
    most: f64,
    /// Which way along that pane it came, how much of its push goes on so, and how much more than to all
    /// sides alike goes there.
    slant: Point,
    kept: f64,
    most_spread: f64,
    /// The fastest of the water that comes back because of it, how far ahead that is, and up to where there is
    /// any.
    back: f64,
    fills: f64,
    ends: f64,
}

impl Moved {
    /// The speed there when the pumps run at other settings: each stream is so many times as fast.
    pub fn speed(&self, times: &[f64]) -> Velocity {
        let (mut push, mut gross, mut back) = ([0.0; 3], 0.0, 0.0);
        for (part, times) in self.streams.iter().zip(times) {
            let square = times * times;
            push = add(push, part.push, square);
            gross += part.gross * square;
            back += part.back * square;
        }
        let swing = self.swing * gross.sqrt();
        Velocity::from_si(length(push).sqrt().max(swing).max(back.sqrt()))
    }
}

impl Waters {
    /// The water of a tank with these pieces of rock and these streams.
    ///
    /// - `range`: rule `stream.range`: where a stream has taken along the most
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a tank without water or longer than 10 m, [`Error::NoAnswer`] for a stream
    /// that does not cross it.
    pub fn new(
        basin: Basin,
        rock: &[Piece],
        jets: &[Jet],
        range: Ratio,
        rules: &SpeedMapRules,
    ) -> Result<Self, Error> {
        let side = |what, side: Length| within(what, side, Length::from_si(0.01)..=Length::from_si(10.0));
        side("the length inside the glass", basin.length)?;
        side("the width inside the glass", basin.width)?;
        side("the depth of the water", basin.water - basin.bed)?;
        let mut waters = Waters {
            low: [0.0, 0.0, basin.bed.si()],
            high: [basin.length.si(), basin.width.si(), basin.water.si()],
            rock: rock.iter().map(Stone::of).collect(),
            jets: Vec::new(),
            laws: Laws {
                hugging: rules.hugging.0,
                swing: rules.swing.0,
                lee: rules.lee.0,
                lee_length: *rules.lee_length,
                lee_recovers: rules.lee_recovers.si(),
                wall_growth: rules.wall_growth.si(),
            },
        };
        for jet in jets {
            let course = waters.course(jet, range, rules)?;
            waters.jets.push(course);
        }
        Ok(waters)
    }

    /// The same water with one of its streams on another way.
    ///
    /// # Errors
    /// As [`Waters::new`] for a stream that does not cross the tank.
    pub fn with(&self, stream: usize, jet: &Jet, range: Ratio, rules: &SpeedMapRules) -> Result<Self, Error> {
        let course = self.course(jet, range, rules)?;
        let mut waters = self.clone();
        if let Some(before) = waters.jets.get_mut(stream) {
            *before = course;
        }
        Ok(waters)
    }

    /// Whether rock is at a place.
    pub fn is_rock(&self, place: Place) -> bool {
        let place = place.map(|side| side.si());
        self.rock.iter().any(|stone| stone.holds(place))
    }

    /// What each stream does at a place in the water.
    pub fn at(&self, place: Place) -> Moved {
        let place = place.map(|side| side.si());
        let streams = self.jets.iter().map(|jet| self.part(jet, place)).collect();
        Moved { streams, swing: self.laws.swing }
    }

    /// What each stream does at a place of which this is told in other waters, from which these differ in one
    /// stream alone.
    pub fn at_anew(&self, place: Place, stream: usize, before: &Moved) -> Moved {
        let mut moved = before.clone();
        if let (Some(part), Some(jet)) = (moved.streams.get_mut(stream), self.jets.get(stream)) {
            *part = self.part(jet, place.map(|side| side.si()));
        }
        moved
    }

    /// The speed of one stream alone at a place, as the mirrors have it: with nothing in its way, and the
    /// pane that it meets far off. Its square, summed over the section across it, is the push that left the
    /// pump.
    pub fn free(&self, stream: usize, place: Place) -> Velocity {
        let place = place.map(|side| side.si());
        Velocity::from_si(self.jets.get(stream).map_or(0.0, |jet| self.mirrored(jet, place)[0].sqrt()))
    }

    /// The push of a stream where it leaves its pump, over the density of the water: the square of its speed
    /// times the outlet's area, in m⁴/s².
    pub fn push(&self, stream: usize) -> f64 {
        self.jets.get(stream).map_or(0.0, |jet| jet.push * PI)
    }

    fn part(&self, jet: &Course, place: Point) -> Part {
        let [mirrored, alone] = self.mirrored(jet, place);
        let square = mirrored.min(alone * self.laws.hugging * self.laws.hugging);
        let back = jet.back(place);
        let mut part = Part::default();
        if square.max(back) >= SLOWEST {
            let shade = self.shade(jet.from, place);
            let passed = shade * shade;
            part = Part {
                push: times(jet.frame[0], square * passed),
                gross: square * passed,
                back: back * passed,
            };
        }
        self.turned(jet, place, |square, ahead, turned| {
            let shade = self.shade(turned, place);
            part.push = add(part.push, unit(ahead), square * shade * shade);
            part.gross += square * shade * shade;
        });
        part
    }

    /// The square of a stream's speed with all that the panes beside it throw back, and without.
    fn mirrored(&self, jet: &Course, place: Point) -> [f64; 2] {
        let [across, up] = [1 - jet.end, 2];
        let mut sum = 0.0;
        for one in self.mirrors(across, place[across], jet) {
            for other in self.mirrors(up, place[up], jet) {
                let mut image = place;
                (image[across], image[up]) = (one, other);
                sum += jet.square(image);
            }
        }
        [sum, jet.square(place)]
    }

    /// Where a place stands in the mirrors at both ends of an axis, as far as a stream comes.
    fn mirrors(&self, axis: usize, at: f64, jet: &Course) -> impl Iterator<Item = f64> {
        let (low, high) = (self.low[axis], self.high[axis]);
        let round = 2.0 * (high - low);
        let most = libm::ceil(jet.widest / round) as i32;
        let (one, other) = (jet.from[axis], jet.foot[axis]);
        let reached = one.min(other) - jet.widest..=one.max(other) + jet.widest;
        (-most..=most).flat_map(move |times| {
            let by = f64::from(times) * round;
            let reached = reached.clone();
            [at + by, 2.0 * low - at + by].into_iter().filter(move |image| reached.contains(image))
        })
    }

    /// What of a stream comes by a place after the pane that it met has turned it: on that pane, and round
    /// each of its edges. Tells the square of its speed, which way it goes, and from where it comes.
    fn turned(&self, jet: &Course, place: Point, mut tell: impl FnMut(f64, Point, Point)) {
        let end = jet.end;
        let off = (place[end] - jet.pane).abs();
        let mut ahead = minus(place, jet.foot);
        ahead[end] = 0.0;
        let square = self.along(jet, ahead, off);
        if square >= SLOWEST {
            tell(square, ahead, jet.foot);
        }
        let inward = if jet.pane > self.low[end] { -1.0 } else { 1.0 };
        for (axis, beside) in [(1 - end, 2), (2, 1 - end)] {
            for side in [self.low[axis], self.high[axis]] {
                // The way to the edge and on from there, laid flat.
                let to_edge = side - jet.foot[axis];
                let mut ahead = [0.0; 3];
                ahead[axis] = to_edge + off.copysign(to_edge);
                ahead[beside] = place[beside] - jet.foot[beside];
                let square = self.along(jet, ahead, (place[axis] - side).abs());
                if square < SLOWEST {
                    continue;
                }
                let mut edge = place;
                edge[end] = jet.pane;
                edge[beside] -= ahead[beside] * off / (to_edge.abs() + off).max(1e-9);
                // Round the edge what went to the side goes back along the tank.
                (ahead[end], ahead[axis]) = (inward * ahead[axis].abs(), 0.0);
                tell(square, ahead, edge);
            }
        }
    }

    /// The square of a stream's speed along a pane, so far ahead of where it met it, and so far off the pane.
    fn along(&self, jet: &Course, ahead: Point, off: f64) -> f64 {
        let way = length(ahead).max(1e-3);
        let half = self.laws.wall_growth * way;
        let fastest = jet.along_pane * jet.most_spread / (way * way);
        if off > 4.0 * half || fastest < SLOWEST {
            return 0.0;
        }
        // What comes at a slant mostly goes on: this spread to all sides keeps the push along the pane.
        let kept = jet.kept;
        let towards = dot(jet.slant, ahead) / way;
        let spread = (1.0 - kept * kept) / (1.0 - 2.0 * kept * towards + kept * kept);
        let bell = libm::exp(-2.0 * LN_2 * (off / half) * (off / half));
        (jet.along_pane * spread / (way * way)).min(jet.most) * bell
    }

    /// What rock leaves of a speed on its way from one place to another.
    fn shade(&self, from: Point, to: Point) -> f64 {
        let laws = &self.laws;
        let left = |stone: &Stone| {
            let Some(leaves) = stone.crossed(from, to) else { return 1.0 };
            let ahead = minus(to, from);
            let lee = stone.lee(ahead, laws.lee_length);
            left_behind((1.0 - leaves) * length(ahead), lee, laws.lee, laws.lee_recovers)
        };
        self.rock.iter().map(left).fold(1.0, f64::min)
    }

    /// Makes a stream ready to be asked.
    fn course(&self, jet: &Jet, range: Ratio, rules: &SpeedMapRules) -> Result<Course, Error> {
        let (from, to) = (jet.from.map(|side| side.si()), jet.to.map(|side| side.si()));
        let goes = minus(to, from);
        let share = |axis: usize| goes[axis].abs() / (self.high[axis] - self.low[axis]);
        let end = usize::from(share(1) > share(0));
        let way = length(goes);
        if share(end) < 0.5 {
            let why = "it does not reach the pane opposite".to_owned();
            return Err(Error::NoAnswer { what: "where this stream goes", why });
        }
        let ahead = unit(goes);
        let across = unit([ahead[1], -ahead[0], 0.0]);
        let up = cross(across, ahead);
        let (exit, opening) = (jet.stream.exit_speed(), outlet_area(jet.stream.outlet()));
        let outlet = equal_diameter(opening);
        let diagonal = length(minus(self.high, self.low));
        let step = diagonal / STEPS as f64;
        let bells = (0..=STEPS + 1).map(|at| {
            let bell = jet.stream.spreading().bell(Length::from_si(step * at as f64))?;
            Ok(bell.map(|width| width.si()))
        });
        let section = (self.high[1 - end] - self.low[1 - end]) * (self.high[2] - self.low[2]);
        let back = comes_back(exit, outlet, Area::from_si(section), *rules.return_speed).si();
        let near = way <= rules.wall_nearby.si() * outlet.si();
        let along = if near { *rules.wall_near } else { *rules.wall_far };
        let along = along_pane(exit, outlet, Length::from_si(1.0), along).si();
        let slant = std::array::from_fn(|axis| if axis == end { 0.0 } else { ahead[axis] });
        let kept = length(slant).min(STEEPEST);
        let mut course = Course {
            from,
            frame: [ahead, across, up],
            push: exit.si() * exit.si() * opening.si() / PI,
            bells: bells.collect::<Result<_, Error>>()?,
            step,
            widest: 0.0,
            end,
            pane: if goes[end] > 0.0 { self.high[end] } else { self.low[end] },
            foot: to,
            along_pane: 0.0,
            most: 0.0,
            slant: unit(slant),
            kept,
            most_spread: (1.0 + kept) / (1.0 - kept),
            back,
            fills: range.si() * section.sqrt(),
            ends: rules.return_reach.si() * section.sqrt(),
        };
        let bell = course.bell(way);
        course.widest = 3.0 * bell[0].max(bell[1]);
        // What rock on the way has stopped is not there to be turned: equal parts of the push are asked.
        let asked = |(ring, at): (f64, u32)| {
            let (sine, cosine) = libm::sincos(f64::from(at) * PI / 3.0);
            let beside = add(times(across, ring * bell[0] * cosine), up, ring * bell[1] * sine);
            let shade = self.shade(from, self.within(add(to, beside, 1.0)));
            shade * shade
        };
        let parts: Vec<_> =
            std::iter::once((0.0, 0)).chain((0..6).flat_map(|at| [(0.65, at), (1.35, at)])).collect();
        let passed = parts.iter().copied().map(asked).sum::<f64>() / parts.len() as f64;
        course.along_pane = along * along * passed;
        course.most = course.push / (bell[0] * bell[1]) * passed;
        Ok(course)
    }

    /// The nearest place in the water.
    fn within(&self, place: Point) -> Point {
        std::array::from_fn(|axis| place[axis].clamp(self.low[axis], self.high[axis]))
    }
}

/// Steps of the way at which a bell is kept; between two of them it grows evenly.
const STEPS: usize = 128;
/// Slower than a millimetre a second nothing is worth the reckoning.
const SLOWEST: f64 = 1e-6;
/// How much of a push goes on along a pane at the most: a stream is not thinner than that.
const STEEPEST: f64 = 0.9;

impl Course {
    /// The bell so far ahead.
    fn bell(&self, ahead: f64) -> [f64; 2] {
        let at = ahead / self.step;
        let below = (at as usize).min(self.bells.len() - 2);
        let share = at - below as f64;
        std::array::from_fn(|side| {
            self.bells[below][side] * (1.0 - share) + self.bells[below + 1][side] * share
        })
    }

    /// The square of the speed at which water comes back beside it: the more, the more the stream has taken
    /// along up to there.
    fn back(&self, place: Point) -> f64 {
        let ahead = dot(self.frame[0], minus(place, self.from));
        let share = (ahead / self.fills).min((self.ends - ahead) / (self.ends - self.fills)).max(0.0);
        let speed = self.back * share;
        speed * speed
    }

    /// The square of the speed at a place, in open water.
    fn square(&self, place: Point) -> f64 {
        let off = minus(place, self.from);
        let [ahead, across, up] = self.frame.map(|axis| dot(axis, off));
        if ahead <= 0.0 {
            return 0.0;
        }
        let [wide, high] = self.bell(ahead);
        let widths = (across / wide) * (across / wide) + (up / high) * (up / high);
        if widths > 20.0 { 0.0 } else { self.push / (wide * high) * libm::exp(-widths) }
    }
}

impl Stone {
    fn of(piece: &Piece) -> Self {
        let half = piece.size.map(|side| side.si().max(1e-3) / 2.0);
        let mut stone = Stone {
            form: piece.form,
            half,
            middle: std::array::from_fn(|axis| piece.from[axis].si() + half[axis]),
        };
        if piece.form == Form::Mound {
            // The lower half of the egg lies in the ground.
            stone.middle[2] -= half[2];
            stone.half[2] *= 2.0;
        }
        stone
    }

    /// A place as seen from the middle, in half sizes.
    fn seen(&self, place: Point) -> Point {
        std::array::from_fn(|axis| (place[axis] - self.middle[axis]) / self.half[axis])
    }

    fn holds(&self, place: Point) -> bool {
        let seen = self.seen(place);
        match self.form {
            Form::Block => seen.iter().all(|side| side.abs() < 1.0),
            Form::Mound => dot(seen, seen) < 1.0,
        }
    }

    /// The share of the way from one place to another at which it leaves the rock, where it goes through.
    fn crossed(&self, from: Point, to: Point) -> Option<f64> {
        let (start, goes) = (self.seen(from), minus(self.seen(to), self.seen(from)));
        let (enters, leaves) = match self.form {
            Form::Block => (0..3).fold((0.0, 1.0), |(enters, leaves): (f64, f64), axis| {
                if goes[axis].abs() < 1e-12 {
                    return if start[axis].abs() < 1.0 { (enters, leaves) } else { (1.0, 0.0) };
                }
                let [one, other] = [-1.0, 1.0].map(|side| (side - start[axis]) / goes[axis]);
                (enters.max(one.min(other)), leaves.min(one.max(other)))
            }),
            Form::Mound => {
                let (square, half) = (dot(goes, goes).max(1e-12), dot(start, goes));
                let root = half * half - square * (dot(start, start) - 1.0);
                let root = if root > 0.0 { root.sqrt() } else { return None };
                (((-half - root) / square).max(0.0), ((-half + root) / square).min(1.0))
            }
        };
        (enters < leaves).then_some(leaves)
    }

    /// How long its lee is behind a stream that goes so.
    fn lee(&self, ahead: Point, coefficients: [f64; 3]) -> f64 {
        let (x, y) = (ahead[0].abs(), ahead[1].abs());
        let flat = (x * x + y * y).sqrt().max(1e-9);
        let along = 2.0 * (self.half[0] * x + self.half[1] * y) / flat;
        let across = 2.0 * (self.half[0] * y + self.half[1] * x) / flat;
        let height = if self.form == Form::Mound { self.half[2] } else { 2.0 * self.half[2] };
        cavity(along, across, height, coefficients)
    }
}

/// How fast a stream still is along a pane that it has met, so far from where it met it.
///
/// - `times`: rule `speed_map.wall_near` or `speed_map.wall_far`
///
/// Never faster than the stream was when it met the pane.
///
/// # Source
/// A round stream that strikes a plate slows so: five traverses of Cooper et al. (1993) lie within 8 % from one
/// and a half outlets on.
#[formula("times × exit speed × outlet ÷ way along")]
pub fn along_pane(exit_speed: Velocity, outlet: Length, way_along: Length, times: Ratio) -> Velocity {
    exit_speed * times * (outlet / way_along)
}

/// How fast the water comes back beside a stream at the most: where it has taken along the most.
///
/// - `section`: of the water, across the stream
/// - `times`: rule `speed_map.return_speed`
#[formula("times × exit speed × outlet ÷ √(section)")]
pub fn comes_back(exit_speed: Velocity, outlet: Length, section: Area, times: Ratio) -> Velocity {
    exit_speed * times * (outlet / section.sqrt())
}

/// How long the lee behind a block is, from its back: `1.8 W / ((L/H)^0.3 (1 + 0.24 W/H))`, with `L/H` held
/// within 0.3 to 3.
///
/// - `along`, `across`: its sides along the stream and across it, `L` and `W`
/// - `height`: `H`
///
/// # Source
/// Fackrell (1984). For a cube it is 1.45 heights.
#[formula("first × across ÷ ((along ÷ height, from 0.3 to 3)^second × (1 + third × across ÷ height))")]
pub fn lee_length(along: Length, across: Length, height: Length, rules: &SpeedMapRules) -> Length {
    Length::from_si(cavity(along.si(), across.si(), height.si(), *rules.lee_length))
}

fn cavity(along: f64, across: f64, height: f64, [first, second, third]: [f64; 3]) -> f64 {
    let slender = libm::pow((along / height).clamp(0.3, 3.0), second);
    first * across / (slender * (1.0 + third * across / height))
}

/// The part of a speed that is left so far behind a block: little within its lee, then more and more.
///
/// # Source
/// From memory, after models of wind in towns.
#[formula("1 − (lee ÷ distance)^exponent, not below what is left close behind")]
pub fn lee_left(distance: Length, lee: Length, rules: &SpeedMapRules) -> Ratio {
    Ratio::from_si(left_behind(distance.si(), lee.si(), rules.lee.0, rules.lee_recovers.si()))
}

fn left_behind(distance: f64, lee: f64, least: f64, exponent: f64) -> f64 {
    if distance <= lee { least } else { (1.0 - libm::pow(lee / distance, exponent)).max(least) }
}

fn dot(one: Point, other: Point) -> f64 {
    one[0] * other[0] + one[1] * other[1] + one[2] * other[2]
}

fn cross(one: Point, other: Point) -> Point {
    std::array::from_fn(|axis| {
        let (next, last) = ((axis + 1) % 3, (axis + 2) % 3);
        one[next] * other[last] - one[last] * other[next]
    })
}

fn length(of: Point) -> f64 {
    dot(of, of).sqrt()
}

fn times(of: Point, by: f64) -> Point {
    of.map(|side| side * by)
}

fn add(to: Point, what: Point, by: f64) -> Point {
    std::array::from_fn(|axis| to[axis] + what[axis] * by)
}

fn minus(from: Point, what: Point) -> Point {
    add(from, what, -1.0)
}

fn unit(of: Point) -> Point {
    times(of, 1.0 / length(of).max(1e-9))
}

#[cfg(test)]
mod tests;
