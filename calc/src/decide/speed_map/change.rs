//! What could be changed about a pump: turned, tilted, hung or moved a little, as far as its place allows, and
//! what the water does then.
//!
//! A change is told as a tank file has it, so that whoever writes it there gets the same. Places are asked half
//! as closely as on the maps, before and after, and only the difference is told: it is surer than the two.

use uom::si::f64::{Length, Velocity};

use super::{Asked, CELLS, Scene, Speeds, jet, part, speeds, told};
use crate::catalogue::Catalogue;
use crate::decide::placement::{Course, Room};
use crate::decide::plan::find;
use crate::error::Error;
use crate::quantity::{Dimension, Share};
use crate::rules::{Band, Rules};
use crate::tank::{Aim, HungPump, Tank, Wall};

/// How a pump is changed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Way {
    /// Turned to the front or to the left: it points so far along the pane opposite.
    TurnedDown(Share),
    /// The same to the back or to the right.
    TurnedUp(Share),
    /// Tilted down: it points so high.
    Tilted(Length),
    /// Hung so high, which is lower.
    Lower(Length),
    /// Hung so high, which is higher.
    Higher(Length),
    /// Moved to the front or to the left: it hangs so far along its pane.
    MovedDown(Share),
    /// The same to the back or to the right.
    MovedUp(Share),
}

/// A change of one pump.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// Which one.
    pub pump: usize,
    /// How.
    pub way: Way,
    /// As it hangs then.
    pub hung: HungPump,
}

/// What the water does near the floor and beside the rock.
#[derive(Debug, Clone)]
pub struct Places {
    floor: Vec<Asked>,
    rock: Vec<Asked>,
}

/// Where the water is still, where waste lies, and where it suits what lives there: shares of the floor, of the
/// floor and of the rock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outcome<T> {
    /// Of the floor.
    pub still: T,
    /// Of the floor.
    pub lies: T,
    /// Of the rock.
    pub suits: T,
}

impl<T: Copy> Outcome<T> {
    fn with<U: Copy, V>(self, other: Outcome<U>, with: impl Fn(T, U) -> V) -> Outcome<V> {
        Outcome {
            still: with(self.still, other.still),
            lies: with(self.lies, other.lies),
            suits: with(self.suits, other.suits),
        }
    }

    /// All three.
    pub fn all(self) -> [T; 3] {
        [self.still, self.lies, self.suits]
    }
}

impl Outcome<f64> {
    /// As it is told.
    pub fn told(self) -> Outcome<Share> {
        self.with(self, |part, _| told(part))
    }
}

/// What decides about a place.
#[derive(Debug, Clone, Copy)]
pub struct Asking {
    /// Slower water is still.
    pub still: Velocity,
    /// In slower water waste lies.
    pub waste: Velocity,
    /// What suits that which lives there now.
    pub suits: Band<Velocity>,
}

impl Asking {
    /// What comes of these speeds near the floor and beside the rock.
    pub fn outcome(&self, floor: &Speeds, rock: &Speeds) -> Outcome<f64> {
        Outcome {
            still: part(floor, |speed| speed < self.still),
            lies: part(floor, |speed| speed < self.waste),
            suits: part(rock, |speed| self.suits.contains(speed)),
        }
    }
}

impl Places {
    /// Near the floor and beside the rock of a tank.
    pub fn of(scene: &Scene, rules: &Rules) -> Self {
        let cells = CELLS / 2;
        Places {
            floor: scene.above(scene.basin.bed + *rules.sand.near_bed, cells).water(),
            rock: scene.beside_rock(*rules.speed_map.beside_rock, cells),
        }
    }

    /// The same places once a pump is changed.
    ///
    /// # Errors
    /// Those of a stream that does not cross the tank.
    pub fn after(
        &self,
        change: &Change,
        scene: &Scene,
        rules: &Rules,
        room: &Room<'_>,
    ) -> Result<Self, Error> {
        let at = change.pump;
        let jet = jet(scene.jets[at].stream, &room.course_of(&change.hung));
        let waters = scene.waters.with(at, &jet, *rules.stream.range, &rules.speed_map)?;
        let anew = |of: &[Asked]| {
            let asked = |asked: &Asked| Asked { moved: waters.at_anew(asked.at, at, &asked.moved), ..*asked };
            of.iter().map(asked).collect()
        };
        Ok(Places { floor: anew(&self.floor), rock: anew(&self.rock) })
    }

    fn outcome(&self, asking: &Asking, pumps: usize) -> Outcome<f64> {
        let all = vec![1.0; pumps];
        asking.outcome(&speeds(&self.floor, &all), &speeds(&self.rock, &all))
    }
}

/// A change, and what comes of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// The change.
    pub change: Change,
    /// What comes of it.
    pub after: Outcome<Share>,
    /// How much better it makes the tank: what is no longer still, where no waste lies any more, and what of
    /// the rock suits now. `None` where one of the three is worse.
    pub gain: Option<f64>,
}

/// All changes of all pumps of which the map can tell that they change something.
///
/// - `now`: what the map tells of the pumps as they hang
///
/// # Errors
/// Those of [`changes`] and [`Places::after`].
pub fn tried(
    scene: &Scene,
    now: Outcome<f64>,
    asking: &Asking,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
) -> Result<Vec<Tried>, Error> {
    let room = Room::new(rules, tank)?;
    let before = Places::of(scene, rules);
    let pumps = scene.pumps.len();
    let outcome = before.outcome(asking, pumps);
    let counts = rules.speed_map.counts_from.0 - 1e-9;
    let mut found = Vec::new();
    for change in changes(scene, &room, rules, catalogue)? {
        let then = before.after(&change, scene, rules, &room)?.outcome(asking, pumps);
        let after = now.with(then.with(outcome, |then, before| then - before), |now, more| told(now + more));
        let better = after.with(now, |after, now| after.0 - told(now).0);
        let better = Outcome { still: -better.still, lies: -better.lies, ..better }.all();
        if better.iter().any(|better| better.abs() >= counts) {
            let is_no_worse = better.iter().all(|better| *better > -counts);
            let gain = better.iter().sum::<f64>();
            found.push(Tried { change, after, gain: (is_no_worse && gain >= counts).then_some(gain) });
        }
    }
    Ok(found)
}

/// Which of them makes the tank best, where one does.
pub fn best(tried: &[Tried]) -> Option<&Tried> {
    let better = tried.iter().filter(|tried| tried.gain.is_some());
    better.fold(None, |best: Option<&Tried>, tried| match best {
        Some(best) if best.gain >= tried.gain => Some(best),
        _ => Some(tried),
    })
}

/// The changes of all pumps that their places allow: streams keep off the sand and pumps under the surface,
/// and neither leaves its pane.
///
/// # Errors
/// Those of a model that the catalogue does not have, and of the sand.
pub fn changes(
    scene: &Scene,
    room: &Room<'_>,
    rules: &Rules,
    catalogue: &Catalogue,
) -> Result<Vec<Change>, Error> {
    let mut found = Vec::new();
    for (at, pump) in scene.pumps.iter().enumerate() {
        let model = &catalogue.pumps[find(catalogue, &pump.model)?];
        let stream = &scene.jets[at].stream;
        let lowest = |course: &Course| room.lowest(stream, model.outlet, course.way);
        let is_clear = |course: &Course, low: Length| course.from.z >= low && course.to.z >= low;
        let course = scene.courses[at];
        let heights = Band { low: lowest(&course)?, high: room.highest(model.outlet) };
        for (way, hung) in ways(scene, pump, &course, heights, room.is_long(), rules) {
            let then = room.course_of(&hung);
            // What lifts sand as it hangs is not kept from being better.
            if !is_clear(&course, heights.low) || is_clear(&then, lowest(&then)?) {
                found.push(Change { pump: at, way, hung });
            }
        }
    }
    Ok(found)
}

/// The ways to change a pump that are more than nothing.
///
/// - `heights`: at which its outlet can be
/// - `has_ends`: whether the tank is no round one, along whose panes nothing moves
fn ways(
    scene: &Scene,
    pump: &HungPump,
    course: &Course,
    heights: Band<Length>,
    has_ends: bool,
    rules: &Rules,
) -> Vec<(Way, HungPump)> {
    let own = &rules.speed_map;
    let goes = [course.to.x - course.from.x, course.to.y - course.from.y].map(|side| side.si().abs());
    let (ahead, side, aimed) = match pump.wall {
        Wall::Left | Wall::Right => (goes[0], scene.basin.width, course.to.y),
        Wall::Back | Wall::Front => (goes[1], scene.basin.length, course.to.x),
    };
    let aimed = (aimed / side).si();
    let aside = own.turned_by.0 * ahead / side.si();
    let turned = |to: f64, way: fn(Share) -> Way| {
        let to = percent(to, 0.0);
        let aim = Aim { along: Some(to), ..pump.aim };
        ((to.0 - aimed).abs() > LEAST_SHARE).then(|| (way(to), HungPump { aim, ..pump.clone() }))
    };
    let corner = rules.placement.corner_at.0;
    let moved = |by: f64, way: fn(Share) -> Way| {
        let along = percent(pump.along.0 + by, corner);
        let is_moved = has_ends && (along.0 - pump.along.0) * by.signum() > LEAST_SHARE;
        is_moved.then(|| (way(along), HungPump { along, ..pump.clone() }))
    };
    let hung = |by: Length, way: fn(Length) -> Way| {
        let height = within(pump.height + by, heights)?;
        let is_moved = (height - pump.height).si() * by.si().signum() > LEAST_HEIGHT;
        is_moved.then(|| (way(height), HungPump { height, ..pump.clone() }))
    };
    let tilted = || {
        let down = own.tilted_by.0 * (goes[0] * goes[0] + goes[1] * goes[1]).sqrt();
        let height = within(course.to.z - Length::from_si(down), heights)?;
        let aim = Aim { height: Some(height), ..pump.aim };
        let is_lower = (course.to.z - height).si() > LEAST_HEIGHT;
        is_lower.then(|| (Way::Tilted(height), HungPump { aim, ..pump.clone() }))
    };
    let step = scene.basin.water * own.hung_by.0;
    let all = [
        turned(aimed - aside, Way::TurnedDown),
        turned(aimed + aside, Way::TurnedUp),
        tilted(),
        hung(-step, Way::Lower),
        hung(step, Way::Higher),
        moved(-own.moved_by.0, Way::MovedDown),
        moved(own.moved_by.0, Way::MovedUp),
    ];
    all.into_iter().flatten().collect()
}

/// What is no more than this is no change.
const LEAST_SHARE: f64 = 0.015;
/// The same of a height, in metres.
const LEAST_HEIGHT: f64 = 0.009;

/// A share of a pane, in whole per cents, so far from its ends at the least.
fn percent(share: f64, from_the_ends: f64) -> Share {
    Share(libm::rint(share.clamp(from_the_ends, 1.0 - from_the_ends) * 100.0) / 100.0)
}

/// The nearest height within some, in whole centimetres; `None` where no such height is within them.
fn within(height: Length, heights: Band<Length>) -> Option<Length> {
    let [low, height, high] = [heights.low, height, heights.high].map(|height| height.si() * 100.0);
    let (low, high) = (libm::ceil(low - 1e-6), libm::floor(high + 1e-6));
    (low <= high).then(|| Length::from_si(libm::rint(height).clamp(low, high) / 100.0))
}

#[cfg(test)]
mod tests;
