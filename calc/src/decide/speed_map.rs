//! The map of speeds of a tank: its water with rock and streams, the zones that speeds are told in, and the
//! places at which they are asked.
//!
//! The pumps are those that hang, or those of the plan where none does. A bowed front is taken as straight,
//! and every tank as standing in the box around it; places outside its outline are left out.
//!
//! [`day`] tells what the pumps are set to through the day, and [`change`] what could be changed about them.

pub mod change;
pub mod day;

use uom::si::f64::{Length, Velocity};

use super::contents;
use super::fit::running;
use super::placement::{Course, Point, Room};
use super::plan::{find, hung};
use crate::catalogue::Catalogue;
use crate::error::Error;
use crate::formulas::speed_map::{Basin, Form, Jet, Moved, Piece, Place, Waters};
use crate::formulas::stream::Stream;
use crate::formulas::volume::Outline;
use crate::ordered::sort_by;
use crate::quantity::{Dimension, Share};
use crate::rules::livestock::Livestock;
use crate::rules::{Band, Rules};
use crate::tank::{HungPump, Rockwork, Tank};
use crate::words::listed;

/// A range of speeds, by whom it suits.
#[derive(Debug, Clone, PartialEq)]
pub struct Zone {
    /// What the ids of its figures end in.
    pub key: String,
    /// What it is called.
    pub name: String,
    /// Its speeds; the last one has no end.
    pub low: Velocity,
    /// See `low`.
    pub high: Option<Velocity>,
}

/// From still water to what is too strong for all: cut where one kind of coral after the other has had enough.
/// Each zone is named by those for whom all of it is right.
pub fn zones(rules: &Rules) -> Vec<Zone> {
    let words = &rules.words.speed_map;
    let mut corals: Vec<(&Livestock, Band<Velocity>)> =
        corals(rules).map(|kind| (kind, rules.speeds.band(kind))).collect();
    sort_by(&mut corals, |(_, one), (_, other)| one.high.si().total_cmp(&other.high.si()));
    let least = corals.iter().map(|(_, band)| band.low.si()).fold(f64::INFINITY, f64::min);
    let zone = |key: &str, name: &str, low: f64, high: f64| Zone {
        key: key.to_owned(),
        name: name.to_owned(),
        low: Velocity::from_si(low),
        high: high.is_finite().then(|| Velocity::from_si(high)),
    };
    let still = rules.speed_map.still.si();
    let mut zones =
        vec![zone("still", words.still(), 0.0, still), zone("calm", words.calm(), still, least.max(still))];
    let mut from = least.max(still);
    for (last, band) in &corals {
        let until = band.high.si();
        let all_right =
            |band: &Band<Velocity>| band.low.si() <= from + 1e-9 && band.high.si() >= until - 1e-9;
        let mut named: Vec<_> =
            corals.iter().filter(|(_, band)| all_right(band)).map(|(kind, _)| kind.words()).collect();
        if named.is_empty() {
            named.push(last.words());
        }
        zones.push(zone(last.key(), &words.suits(listed(&named)), from, until));
        from = from.max(until);
    }
    zones.push(zone("too_strong", words.too_strong(), from, f64::INFINITY));
    // Of two kinds that have enough at the same speed one zone tells.
    zones.retain(|zone| zone.high.is_none_or(|high| high > zone.low));
    zones
}

/// Which of the zones a speed lies in.
pub fn zone_of(zones: &[Zone], speed: Velocity) -> usize {
    zones.iter().position(|zone| zone.high.is_none_or(|high| speed < high)).unwrap_or_default()
}

/// The kinds of coral.
pub fn corals(rules: &Rules) -> impl Iterator<Item = &Livestock> {
    rules.livestock.iter().filter(|kind| kind.is_coral())
}

/// A tank with its rock and its streams.
#[derive(Debug, Clone)]
pub struct Scene {
    /// The pumps, as they hang.
    pub pumps: Vec<HungPump>,
    /// The way of each one's stream.
    pub courses: Vec<Course>,
    /// Whether they are those of the tank file, not of a plan.
    pub own: bool,
    /// The water between the panes.
    pub basin: Basin,
    /// The same with what moves it.
    pub waters: Waters,
    jets: Vec<Jet>,
    rock: Vec<Piece>,
    outline: Outline,
    pane: Length,
}

/// What the pumps do at a place, and how much of the floor or of the rock it stands for.
#[derive(Debug, Clone)]
pub struct Asked {
    /// Where it is.
    pub at: Place,
    /// What each stream does there.
    pub moved: Moved,
    /// Its area.
    pub area: f64,
}

/// What is at a place on a map.
#[derive(Debug, Clone)]
pub enum Cell {
    /// Water.
    Water(Moved),
    /// Rock.
    Rock,
    /// Sand, or no part of the tank.
    Outside,
}

/// A map: its cells in rows, from the left front, or from the left end of the floor.
#[derive(Debug, Clone)]
pub struct Grid {
    /// How many stand in a row.
    pub columns: usize,
    /// From the left, and from the front or the floor.
    pub size: [Length; 2],
    /// All of them.
    pub cells: Vec<Cell>,
    /// Where each of them is.
    places: Vec<Place>,
}

/// How many cells the longer side of a tank has. Twice as many change no share by three parts of a hundred.
pub const CELLS: usize = 60;

impl Scene {
    /// The scene in a tank; `None` where no pump hangs there and no plan fits.
    ///
    /// # Errors
    /// Those of the plan, of the streams and of [`Waters::new`].
    pub fn of(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Option<Self>, Error> {
        let own = !tank.pumps.is_empty();
        let pumps = if own { tank.pumps.clone() } else { hung(rules, catalogue, tank)? };
        if pumps.is_empty() {
            return Ok(None);
        }
        let room = Room::new(rules, tank)?;
        let (length, width, water) = room.inside();
        let bed = tank.sand.map_or_else(Length::default, |sand| sand.depth);
        let basin = Basin { length, width, bed, water };
        let (mut jets, mut courses) = (Vec::new(), Vec::new());
        for pump in &pumps {
            let model = &catalogue.pumps[find(catalogue, &pump.model)?];
            let course = room.course_of(pump);
            jets.push(jet(room.stream(model)?.at_setting(running(pump, model))?, &course));
            courses.push(course);
        }
        let rock = rock(rules, tank, &basin);
        let waters = Waters::new(basin, &rock, &jets, *rules.stream.range, &rules.speed_map)?;
        let (outline, pane) = (tank.glass.outline, tank.glass.pane);
        Ok(Some(Scene { pumps, courses, own, basin, waters, jets, rock, outline, pane }))
    }

    /// How many times as fast as they are set the pumps are at full.
    ///
    /// # Errors
    /// Those of a model that the catalogue does not have.
    pub fn full(&self, catalogue: &Catalogue) -> Result<Vec<f64>, Error> {
        let times =
            |pump: &HungPump| Ok(1.0 / running(pump, &catalogue.pumps[find(catalogue, &pump.model)?]).0);
        self.pumps.iter().map(times).collect()
    }

    /// How high the streams run, on the whole.
    pub fn height(&self) -> Length {
        let sum =
            self.courses.iter().fold(Length::default(), |sum, course| sum + course.from.z + course.to.z);
        sum / (2 * self.courses.len()) as f64
    }

    /// Whether there is rock.
    pub fn has_rock(&self) -> bool {
        !self.rock.is_empty()
    }

    /// From above, at a height; at the surface or in the sand as near to them as makes no difference.
    pub fn above(&self, height: Length, cells: usize) -> Grid {
        let Basin { length, width, bed, water } = self.basin;
        let height = height.si().clamp(bed.si(), water.si());
        self.grid([length, width], cells, |[x, y]| [x, y, Length::from_si(height)])
    }

    /// From the front, cut half-way to the back.
    pub fn front(&self, cells: usize) -> Grid {
        let Basin { length, width, water, .. } = self.basin;
        self.grid([length, water], cells, |[x, z]| [x, width / 2.0, z])
    }

    fn grid(&self, size: [Length; 2], cells: usize, place: impl Fn([Length; 2]) -> Place) -> Grid {
        let cell = self.basin.length.si().max(self.basin.width.si()) / cells as f64;
        let [columns, rows] = size.map(|side| libm::ceil(side.si() / cell - 1e-9).max(1.0) as usize);
        let middle = |side: Length, at: usize, count: usize| side * ((at as f64 + 0.5) / count as f64);
        let all = (0..rows).flat_map(|row| (0..columns).map(move |column| (column, row)));
        let places: Vec<_> = all
            .map(|(column, row)| place([middle(size[0], column, columns), middle(size[1], row, rows)]))
            .collect();
        Grid { columns, size, cells: places.iter().map(|place| self.cell(*place)).collect(), places }
    }

    fn cell(&self, place: Place) -> Cell {
        if !self.holds(place) {
            Cell::Outside
        } else if self.waters.is_rock(place) {
            Cell::Rock
        } else {
            Cell::Water(self.waters.at(place))
        }
    }

    /// Whether a place is within the tank and above its sand.
    fn holds(&self, [x, y, z]: Place) -> bool {
        let Basin { length, width, bed, water } = self.basin;
        let side = |at: Length, end: Length| at >= Length::default() && at <= end;
        let in_the_box = side(x, length) && side(y, width) && z >= bed && z <= water;
        let (x, y) = ((x - length / 2.0).si(), y.si());
        let half = |across: Length| (across / 2.0 - self.pane).si();
        in_the_box
            && match self.outline {
                Outline::Box { .. } | Outline::BowFront { .. } => true,
                Outline::Cylinder { diameter } => {
                    let radius = half(diameter);
                    x * x + (y - radius) * (y - radius) <= radius * radius
                }
                // Its back and its front are flat, and between them it widens to a corner on each side.
                Outline::Hexagon { across } => {
                    let half = half(across);
                    let from_flat = half - (y - half).abs();
                    x.abs() <= (half + from_flat) / 3.0_f64.sqrt()
                }
            }
    }

    /// What the pumps do so far off the faces of the rock, where those are in the water.
    pub fn beside_rock(&self, off: Length, cells: usize) -> Vec<Asked> {
        let step = self.basin.length.si().max(self.basin.width.si()) / cells as f64;
        let mut asked = Vec::new();
        for piece in &self.rock {
            let size = piece.size.map(|side| side.si());
            let from = piece.from.map(|side| side.si());
            let faces = match piece.form {
                Form::Block => block_faces(size, step),
                Form::Mound => mound_faces(size, cells / 4),
            };
            for Face { at, outward, area } in faces {
                let at = std::array::from_fn(|axis| {
                    Length::from_si(from[axis] + at[axis] + outward[axis] * off.si())
                });
                if let Cell::Water(moved) = self.cell(at) {
                    asked.push(Asked { at, moved, area });
                }
            }
        }
        asked
    }
}

impl Grid {
    /// The water on it.
    pub fn water(&self) -> Vec<Asked> {
        let water = |(cell, at): (&Cell, &Place)| match cell {
            Cell::Water(moved) => Some(Asked { at: *at, moved: moved.clone(), area: 1.0 }),
            Cell::Rock | Cell::Outside => None,
        };
        self.cells.iter().zip(&self.places).filter_map(water).collect()
    }
}

/// How fast the water is at some places, and how much of the floor or of the rock each stands for.
pub type Speeds = Vec<(Velocity, f64)>;

/// How fast the water is at some places, with the pumps so many times as fast as they are set.
pub fn speeds(at: &[Asked], times: &[f64]) -> Speeds {
    at.iter().map(|asked| (asked.moved.speed(times), asked.area)).collect()
}

/// The share of some places whose speed is as asked; nothing where there is no place. In whole per cents:
/// finer a map of this kind does not know it.
pub fn share(of: &[(Velocity, f64)], is_as_asked: impl Fn(Velocity) -> bool) -> Share {
    told(part(of, is_as_asked))
}

/// The same as finely as it is reckoned.
fn part(of: &[(Velocity, f64)], is_as_asked: impl Fn(Velocity) -> bool) -> f64 {
    let (mut found, mut all) = (0.0, 0.0);
    for (speed, area) in of {
        all += area;
        if is_as_asked(*speed) {
            found += area;
        }
    }
    if all > 0.0 { found / all } else { 0.0 }
}

/// A share as it is told: in whole per cents.
fn told(part: f64) -> Share {
    Share(libm::rint(part.clamp(0.0, 1.0) * 100.0) / 100.0)
}

/// A stream on its way.
fn jet(stream: Stream, course: &Course) -> Jet {
    let place = |point: Point| [point.x, point.y, point.z];
    Jet { stream, from: place(course.from), to: place(course.to) }
}

/// A part of a face of rock: where, from the piece's low end, which way it faces, and how large it is.
struct Face {
    at: [f64; 3],
    outward: [f64; 3],
    area: f64,
}

fn block_faces(size: [f64; 3], step: f64) -> Vec<Face> {
    let mut faces = Vec::new();
    // Its top and its four sides.
    for (axis, end) in [(2, 1.0), (0, 0.0), (0, 1.0), (1, 0.0), (1, 1.0)] {
        let (one, other) = ((axis + 1) % 3, (axis + 2) % 3);
        // A small piece is asked as closely as a large one.
        let count = |side: f64| libm::ceil(side / step).max(8.0) as usize;
        let (columns, rows) = (count(size[one]), count(size[other]));
        let area = size[one] * size[other] / (columns * rows) as f64;
        for (column, row) in (0..rows).flat_map(|row| (0..columns).map(move |column| (column, row))) {
            let (mut at, mut outward) = ([0.0; 3], [0.0; 3]);
            at[axis] = size[axis] * end;
            at[one] = size[one] * (column as f64 + 0.5) / columns as f64;
            at[other] = size[other] * (row as f64 + 0.5) / rows as f64;
            outward[axis] = 2.0 * end - 1.0;
            faces.push(Face { at, outward, area });
        }
    }
    faces
}

fn mound_faces(size: [f64; 3], rings: usize) -> Vec<Face> {
    let half = [size[0] / 2.0, size[1] / 2.0, size[2]];
    let (rings, spokes) = (rings.max(4), 4 * rings.max(4));
    let (down, round) = (std::f64::consts::FRAC_PI_2 / rings as f64, std::f64::consts::TAU / spokes as f64);
    let mut faces = Vec::new();
    for (ring, spoke) in (0..rings).flat_map(|ring| (0..spokes).map(move |spoke| (ring, spoke))) {
        let (out, up) = libm::sincos((ring as f64 + 0.5) * down);
        let (y, x) = libm::sincos((spoke as f64 + 0.5) * round);
        let on_ball = [out * x, out * y, up];
        let normal: [f64; 3] = std::array::from_fn(|axis| on_ball[axis] / half[axis]);
        let steep = normal.iter().map(|side| side * side).sum::<f64>().sqrt();
        faces.push(Face {
            at: std::array::from_fn(|axis| {
                half[axis] * on_ball[axis] + if axis == 2 { 0.0 } else { half[axis] }
            }),
            outward: normal.map(|side| side / steep),
            area: half[0] * half[1] * half[2] * steep * out * down * round,
        });
    }
    faces
}

/// The rock of a tank: its pieces as the file lists them; else a wall or islands that its volume fills.
fn rock(rules: &Rules, tank: &Tank, basin: &Basin) -> Vec<Piece> {
    let floor = basin.bed;
    if !tank.pieces.is_empty() {
        let piece = |piece: &crate::tank::RockPiece| Piece {
            form: piece.form,
            from: [piece.left, piece.front, floor],
            size: [piece.length, piece.width, piece.height],
        };
        return tank.pieces.iter().map(piece).collect();
    }
    if tank.rock.is_none() {
        return Vec::new();
    }
    let own = &rules.speed_map;
    let pile = contents::rock_aside(tank, &rules.volume) / own.packing.0;
    let most = basin.water * own.rock_top.0 - floor;
    // A pile that is too low to see is none.
    let height = |height: Length| {
        let height = if height < most { height } else { most };
        (height.si() > 5e-3).then_some(height)
    };
    match tank.rockwork {
        Rockwork::Wall => {
            let (length, width) = (basin.length * own.wall_length.0, basin.width * own.wall_width.0);
            let room = basin.width - width;
            let gap = if *own.wall_gap < room { *own.wall_gap } else { room };
            let Some(height) = height(pile / (length * width)) else { return Vec::new() };
            let from = [(basin.length - length) / 2.0, room - gap, floor];
            vec![Piece { form: Form::Block, from, size: [length, width, height] }]
        }
        Rockwork::Islands => {
            let count = *own.islands as f64;
            let share = own.island_length.0.min(1.0 / count);
            let (length, width) = (basin.length * share, basin.width * own.island_width.0);
            // Half an egg fills so much of the box around it.
            let fills = std::f64::consts::PI / 6.0;
            let Some(height) = height(pile / (count * fills) / (length * width)) else { return Vec::new() };
            let island = |at: usize| {
                let middle = basin.length * ((at as f64 + 0.5) / count);
                let from = [middle - length / 2.0, (basin.width - width) / 2.0, floor];
                Piece { form: Form::Mound, from, size: [length, width, height] }
            };
            (0..*own.islands).map(island).collect()
        }
    }
}

#[cfg(test)]
mod tests;
