//! Where a pump can hang: on which pane, how high, and where it then blows.
//!
//! Places are told in coordinates inside the glass: `x` along the front from the left, `y` from the front to
//! the back, `z` up from the base pane. From an end pane a pump blows along the tank; from a corner of the
//! back pane across to the front pane, so that its stream meets the glass and turns back behind the rock;
//! from elsewhere across.
//!
//! Streams are not sent head on at each other: each is aimed a little up, one from the left end a little to
//! the back, one from the right end a little to the front, and pumps that face each other hang at unlike
//! heights. Where a tank file tells where a pump hangs, and not where it points, it is taken to aim like this
//! too.
//!
//! How the tank stands decides which panes are used. In a corner all are, with a gap to the wall for the
//! outer halves. A room divider is seen from three sides: its pumps hang on the end at the wall, and on the
//! far end only where that end is full. An all-in-one tank has its chamber behind the back pane, so none
//! hangs there.
//!
//! Two things bound the height. Below, the stream must not lift the sand, see
//! [`sand`](crate::formulas::sand); it is reckoned level there, which is the safe side. Above, the pump must
//! not draw air.

use uom::si::f64::{Length, Velocity};

use crate::catalogue::{Outlet, PumpModel};
use crate::decide::stream::run;
pub use crate::decide::stream::{Course, Point};
use crate::error::{Error, within};
use crate::formulas::sand::{Grains, keep_below, lowest_safe_height};
use crate::formulas::seawater;
use crate::formulas::stream::{Laws, Stream};
use crate::formulas::volume::Outline;
use crate::quantity::{Dimension, Share};
use crate::rules::{Band, Rules};
use crate::tank::{HungPump, Stands, Tank, Wall};
use crate::trace::Traced;

/// Where on the glass a pump hangs, but for its height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// The pane.
    pub wall: Wall,
    /// How far along that pane, from the left or from the front.
    pub along: Share,
}

impl Spot {
    /// In words: "left end", "back, in the left corner".
    pub fn words(self, rules: &Rules) -> &str {
        let (words, rules) = (&rules.words.placement, &rules.placement);
        let (near, far) = match self.wall {
            Wall::Left | Wall::Right => (rules.beside.low, rules.beside.high),
            Wall::Back | Wall::Front => (*rules.corner, Share(1.0 - rules.corner.0)),
        };
        let [low, middle, high] = match self.wall {
            Wall::Left => [words.left_end_front(), words.left_end(), words.left_end_back()],
            Wall::Right => [words.right_end_front(), words.right_end(), words.right_end_back()],
            Wall::Back => [words.back_left(), words.back(), words.back_right()],
            Wall::Front => [words.front_left(), words.front(), words.front_right()],
        };
        match self.along.0 {
            along if along <= near.0 + 1e-9 => low,
            along if along >= far.0 - 1e-9 => high,
            _ => middle,
        }
    }

    /// Where a pump there aims, in words.
    pub fn aim_words(self, rules: &Rules) -> &str {
        let words = &rules.words.placement;
        let [left, middle, right] = match self.wall {
            Wall::Left => return words.aim_left(),
            Wall::Right => return words.aim_right(),
            Wall::Back => [words.aim_back_left(), words.aim_back(), words.aim_back_right()],
            Wall::Front => [words.aim_front_left(), words.aim_front(), words.aim_front_right()],
        };
        let corner = rules.placement.corner.0;
        match self.along.0 {
            along if along <= corner => left,
            along if along >= 1.0 - corner => right,
            _ => middle,
        }
    }
}

/// Which pumps a pump hangs among: one by itself has nobody to hang higher or lower than.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Among {
    /// It hangs by itself.
    Nobody,
    /// Others hang in the same tank.
    Others,
}

impl Among {
    /// For one of so many pumps.
    pub fn pumps(count: usize) -> Self {
        if count > 1 { Among::Others } else { Among::Nobody }
    }
}

/// A place for one pump at one setting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Where on the glass.
    pub spot: Spot,
    /// The way of its stream, at its height.
    pub course: Course,
    /// The heights at which it neither lifts sand nor draws air.
    pub heights: Band<Length>,
}

/// The tank as a pump finds it: glass, sand and water.
#[derive(Debug, Clone)]
pub struct Room<'a> {
    rules: &'a Rules,
    tank: &'a Tank,
    /// Nothing over a bare floor.
    bed: Traced<Option<Bed>>,
}

/// A bed of sand in the water of its tank.
#[derive(Debug, Clone)]
struct Bed {
    depth: Length,
    grains: Grains,
    /// What the middle of a stream must have slowed to near the bed, so that even its edge lifts nothing.
    keep_below: Velocity,
}

impl<'a> Room<'a> {
    /// The room in a tank.
    ///
    /// # Errors
    /// Those of the water and of the sand outside the ranges of their formulas.
    pub fn new(rules: &'a Rules, tank: &'a Tank) -> Result<Self, Error> {
        // A bed without depth is a bare floor.
        let sand = tank.sand.filter(|sand| sand.depth > Length::default());
        let bed = Traced::ok(|| {
            let Some(sand) = sand else { return Ok(None) };
            let (salinity, temperature) = (*tank.salinity, *tank.temperature);
            let density = seawater::density(salinity, temperature, &rules.seawater)?;
            let viscosity = seawater::kinematic_viscosity(salinity, temperature, &rules.seawater)?;
            let grains = Grains::new(sand.grain, *rules.volume.mineral_density, density, viscosity)?;
            let keep_below = keep_below(&grains, &rules.sand)? / rules.stream.edge.si();
            Ok::<_, Error>(Some(Bed { depth: sand.depth, grains, keep_below }))
        })?;
        Ok(Room { rules, tank, bed })
    }

    /// Whether there is sand to be lifted.
    pub fn has_sand(&self) -> bool {
        self.bed.peek().is_some()
    }

    /// Inside length, inside depth at the ends up to the false wall of a rear chamber, and height of the
    /// water.
    pub(crate) fn inside(&self) -> (Length, Length, Length) {
        let glass = &self.tank.glass;
        let panes = glass.pane * 2.0;
        let depth = match glass.outline {
            Outline::Box { width, .. } | Outline::BowFront { width, .. } => width,
            Outline::Cylinder { diameter } => diameter,
            Outline::Hexagon { across } => across,
        };
        (run(self.tank), depth - panes - self.tank.chamber_depth(), glass.water_height())
    }

    /// Where a plan hangs so many pumps, in the order in which the places are given out; fewer where the tank
    /// has no more places.
    ///
    /// Opposite ends first, then the corners of the back pane, then side by side on the ends; in a round or
    /// six-sided tank the four sides. A room divider has both places of the end at the wall first, then those
    /// of the far end.
    pub fn spots(&self, count: usize) -> Vec<Spot> {
        let rules = &self.rules.placement;
        let spot = |wall, along| Spot { wall, along };
        let middle = Share(0.5);
        let is_divider = self.tank.stands == Stands::RoomDivider;
        let has_back = self.tank.rear_chamber.is_none() && !is_divider;
        if !self.is_long() {
            let walls = [Wall::Left, Wall::Right, Wall::Back, Wall::Front].into_iter();
            let used = walls.filter(|wall| match wall {
                Wall::Left | Wall::Right => true,
                Wall::Back => has_back,
                Wall::Front => !is_divider,
            });
            return used.take(count).map(|wall| spot(wall, middle)).collect();
        }
        let end = |wall, pumps: usize| {
            if pumps > 1 {
                let beside = *rules.beside;
                vec![spot(wall, beside.low), spot(wall, beside.high)]
            } else {
                vec![spot(wall, middle)]
            }
        };
        let mut spots;
        if is_divider {
            spots = end(Wall::Left, count);
            spots.extend(end(Wall::Right, count.saturating_sub(2)));
        } else {
            let on_the_back = if has_back { 2 } else { 0 };
            let left = end(Wall::Left, count.saturating_sub(on_the_back + 1));
            let right = end(Wall::Right, count.saturating_sub(on_the_back + 2));
            spots = vec![left[0], right[0]];
            if has_back && count > 2 {
                let corners = [*rules.corner_at, Share(1.0 - rules.corner_at.0)];
                spots.extend(corners.map(|along| spot(Wall::Back, along)));
            }
            spots.extend(left.into_iter().skip(1).chain(right.into_iter().skip(1)));
        }
        spots.truncate(count);
        spots
    }

    /// Whether the tank has ends: a box, or a box with a swung front.
    pub(crate) fn is_long(&self) -> bool {
        matches!(self.tank.glass.outline, Outline::Box { .. } | Outline::BowFront { .. })
    }

    /// How far along its pane a spot is: from the front on the ends, from the left on the long panes.
    pub fn along(&self, spot: Spot) -> Length {
        let (length, depth, _) = self.inside();
        let side = if matches!(spot.wall, Wall::Left | Wall::Right) { depth } else { length };
        side * spot.along.0
    }

    /// The way of a stream from a spot at a height: along or across the tank, a little up and a little aside.
    pub fn course(&self, spot: Spot, height: Length) -> Course {
        let (length, depth, water) = self.inside();
        let rules = &self.rules.placement;
        let nothing = Length::default();
        // It ends under the surface, and never lower than it began.
        let aimed_at = (height + water * rules.aimed_up.0).si();
        let risen = Length::from_si(aimed_at.min(water.si()).max(height.si()));
        let turned = |by: f64| Share((spot.along.0 + by).clamp(0.0, 1.0));
        let (from, to) = match spot.wall {
            Wall::Left => ((nothing, self.along(spot)), (length, depth * turned(rules.turned.0).0)),
            Wall::Right => ((length, self.along(spot)), (nothing, depth * turned(-rules.turned.0).0)),
            Wall::Back | Wall::Front => {
                let (here, there) = if spot.wall == Wall::Back { (depth, nothing) } else { (nothing, depth) };
                let aim = match spot.along.0 {
                    along if self.is_long() && along <= rules.corner.0 => rules.corner_aim.0,
                    along if self.is_long() && along >= 1.0 - rules.corner.0 => 1.0 - rules.corner_aim.0,
                    along => along,
                };
                ((self.along(spot), here), (length * aim, there))
            }
        };
        Course::between(Point { x: from.0, y: from.1, z: height }, Point { x: to.0, y: to.1, z: risen })
    }

    /// The way of the stream of a pump that hangs: where its file says where it points, there.
    pub fn course_of(&self, hung: &HungPump) -> Course {
        let (length, depth, _) = self.inside();
        let Course { from, mut to, .. } =
            self.course(Spot { wall: hung.wall, along: hung.along }, hung.height);
        if let Some(along) = hung.aim.along {
            match hung.wall {
                Wall::Left | Wall::Right => to.y = depth * along.0,
                Wall::Back | Wall::Front => to.x = length * along.0,
            }
        }
        to.z = hung.aim.height.unwrap_or(to.z);
        Course::between(from, to)
    }

    /// How far a stream may be too strong on a way of this length: all of it but its calm share.
    pub fn calm_from(&self, way: Length) -> Length {
        way * (1.0 - self.rules.placement.calm_share.0)
    }

    /// The shortest and the longest way that a stream of so many pumps has, hung as a plan hangs them, at
    /// whatever height.
    pub fn ways(&self, pumps: usize) -> Band<Length> {
        let spots = self.spots(pumps);
        // Close under the surface no stream rises, so that its way is the shortest.
        let (floor, surface) = (Length::default(), self.inside().2);
        let ways = |height| spots.iter().map(move |spot| self.course(*spot, height).way.si());
        let shortest = ways(surface).fold(f64::INFINITY, f64::min);
        let longest = ways(floor).fold(0.0, f64::max);
        Band { low: Length::from_si(shortest), high: Length::from_si(longest) }
    }

    /// How far each of so many streams must reach: to the far glass; where pumps face each other, to the
    /// middle, where they meet.
    pub fn must_reach(&self, pumps: usize, way: Length) -> Length {
        way * if self.do_face(pumps) { 0.5 } else { 1.0 }
    }

    /// Whether some of so many pumps face each other. The first two of a room divider hang side by side.
    pub fn do_face(&self, pumps: usize) -> bool {
        pumps > if self.tank.stands == Stands::RoomDivider { 2 } else { 1 }
    }

    /// Whether the magnets of a model hold through the panes; taken for granted of a model whose catalogue
    /// does not say.
    pub fn holds(&self, model: &PumpModel) -> bool {
        let slack = 1.0 + self.rules.placement.pane_slack.0;
        model.largest_pane.is_none_or(|largest| self.tank.glass.pane <= largest * slack)
    }

    /// The longest way that any stream of a plan has in this tank.
    pub fn longest_way(&self) -> Length {
        let ways = self.spots(4).into_iter().map(|spot| self.course(spot, Length::default()).way);
        ways.fold(Length::default(), |longest, way| if way > longest { way } else { longest })
    }

    /// The lowest height of a pump's outlet above the base: its stream lifts no sand anywhere on its way,
    /// even when it is faster than reckoned. Over bare glass the opening need only clear the floor. The slot
    /// of a cross-flow pump stands upright.
    ///
    /// # Errors
    /// As [`lowest_safe_height`].
    pub fn lowest(&self, stream: &Stream, outlet: Outlet, way: Length) -> Result<Length, Error> {
        let half = half_height(outlet);
        let Some(Bed { depth, grains, .. }) = &*self.bed else { return Ok(half) };
        let safe = lowest_safe_height(stream, *self.rules.stream.edge, grains, way, &self.rules.sand)?;
        // A slot is counted from its lower end, a round stream from its middle.
        let end = if matches!(outlet, Outlet::Slot { .. }) { half } else { Length::default() };
        let clear_of_the_bed = *depth + half;
        let safe = *depth + safe + end;
        Ok(if safe > clear_of_the_bed { safe } else { clear_of_the_bed })
    }

    /// The greatest height of a pump's outlet above the base: so far under the surface that it draws no air.
    pub fn highest(&self, outlet: Outlet) -> Length {
        self.tank.glass.water_height() - *self.rules.placement.below_surface - half_height(outlet)
    }

    /// The highest setting at which a model can hang anywhere with a way of this length and lift no sand, in
    /// steps of the dial from its lowest; `None` where not even the lowest will do.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for an outlet or a flow of which no stream can be reckoned.
    pub fn highest_setting(&self, model: &PumpModel, way: Length) -> Result<Option<Share>, Error> {
        let highest = self.highest(model.outlet);
        let full = self.stream(model)?;
        let safe = |setting: Share| {
            // No stream is anywhere wider than where it meets the glass: where even that much room is left,
            // nothing more is asked.
            let stream = full.at_setting(setting)?;
            let clear = self.surely_clear(&stream, model.outlet, (way, highest))?;
            Ok::<_, Error>(clear || self.lowest(&stream, model.outlet, way)? <= highest)
        };
        if safe(Share(1.0))? {
            return Ok(Some(Share(1.0)));
        }
        let (lowest, step) = (model.lowest_setting.0, self.rules.placement.dial_step.0);
        if lowest >= 1.0 || !safe(model.lowest_setting)? {
            return Ok(None);
        }
        // The clearance grows with the setting: halve the steps between the lowest, which is safe, and full,
        // which is not.
        let at = |steps: u32| Share(lowest + f64::from(steps) * step);
        let last = last_that_holds(0, libm::ceil((1.0 - lowest) / step) as u32, |steps| safe(at(steps)))?;
        Ok(Some(at(last)))
    }

    fn surely_clear(
        &self,
        stream: &Stream,
        outlet: Outlet,
        (way, highest): (Length, Length),
    ) -> Result<bool, Error> {
        let half = half_height(outlet);
        let Some(Bed { depth, keep_below, .. }) = &*self.bed else { return Ok(half <= highest) };
        let times = (stream.exit_speed() / *keep_below).si();
        let widest = if times > 1.0 {
            let reach = stream.reach(*keep_below)?;
            let width = stream.half_width(if reach < way { reach } else { way })?;
            let opening = stream.half_width(Length::default())?;
            (if width > opening { width } else { opening }) * libm::log2(times).sqrt()
        } else {
            Length::default()
        };
        let low = *depth + *self.rules.sand.near_bed + widest + half;
        Ok(low <= highest)
    }

    /// A place for a pump at a setting: as high as the rule says, among others one of two higher than the
    /// other, or as near to that as sand and surface allow.
    ///
    /// # Errors
    /// [`Error::NoAnswer`] where the stream would lift sand even from the greatest height, with what to do
    /// instead.
    pub fn place(&self, model: &PumpModel, setting: Share, spot: Spot, among: Among) -> Result<Place, Error> {
        let heights = self.heights(model, setting, spot)?;
        Ok(Place { spot, course: self.course(spot, self.height(spot, heights, among)), heights })
    }

    /// The stream of a model at full.
    ///
    /// # Errors
    /// As [`Stream::new`].
    pub fn stream(&self, model: &PumpModel) -> Result<Stream, Error> {
        Stream::new(model.outlet, model.rated_flow, Laws::of(&self.rules.stream))
    }

    /// The heights at which a pump at a setting neither lifts sand nor draws air.
    ///
    /// # Errors
    /// As [`place`](Self::place).
    pub fn heights(&self, model: &PumpModel, setting: Share, spot: Spot) -> Result<Band<Length>, Error> {
        let setting = within("the setting", setting, Share(0.01)..=Share(1.0))?;
        let stream = self.stream(model)?.at_setting(setting)?;
        let way = self.course(spot, Length::default()).way;
        let heights =
            Band { low: self.lowest(&stream, model.outlet, way)?, high: self.highest(model.outlet) };
        if heights.low > heights.high {
            let instead = "turn it down, or take coarser sand";
            let why =
                format!("at this setting `{}` would lift the sand from any height; {instead}", model.model);
            return Err(Error::NoAnswer { what: "where to hang this pump", why });
        }
        Ok(heights)
    }

    /// How high a pump hangs at a spot where it can hang at these heights.
    pub fn height(&self, spot: Spot, heights: Band<Length>, among: Among) -> Length {
        staggered(self.wanted_height(), heights, self.stagger(among), level(spot))
    }

    /// How high pumps hang where nothing speaks against it, in the middle between the higher and the lower
    /// ones.
    fn wanted_height(&self) -> Length {
        self.tank.glass.water_height() * self.rules.placement.height_share.0
    }

    fn stagger(&self, among: Among) -> Length {
        match among {
            Among::Nobody => Length::default(),
            Among::Others => self.tank.glass.water_height() * self.rules.placement.stagger.0,
        }
    }

    /// Why a pump hangs at just this height and side, in words.
    pub fn why(&self, place: Place, among: Among) -> String {
        let wanted = self.wanted_height() + self.stagger(among) * level(place.spot);
        let is_end = matches!(place.spot.wall, Wall::Left | Wall::Right);
        let words = &self.rules.words.placement;
        let mut why = vec![if wanted < place.heights.low {
            words.lower_lifts_sand()
        } else if wanted > place.heights.high {
            words.higher_draws_air()
        } else if is_end {
            words.whole_length()
        } else {
            words.crosses()
        }];
        if self.tank.stands == Stands::RoomDivider {
            why.push(if place.spot.wall == Wall::Left { words.out_of_sight() } else { words.in_sight() });
        }
        if self.is_at_a_wall(place.spot.wall) {
            why.push(words.needs_gap());
        }
        why.join("; ")
    }

    /// Whether a pane stands to a wall of the room.
    fn is_at_a_wall(&self, pane: Wall) -> bool {
        match self.tank.stands {
            Stands::AgainstAWall => pane == Wall::Back,
            Stands::InACorner => matches!(pane, Wall::Back | Wall::Left),
            Stands::RoomDivider => pane == Wall::Left,
        }
    }
}

/// The last whole number for which something holds, by halving: it holds for `low`, and from some number up
/// to `high` on no longer.
pub(crate) fn last_that_holds<F>(mut low: u32, mut high: u32, holds: F) -> Result<u32, Error>
where
    F: Fn(u32) -> Result<bool, Error>,
{
    while high - low > 1 {
        let middle = low.midpoint(high);
        if holds(middle)? {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(low)
}

/// Where between the higher and the lower pumps one at this spot hangs, from −½ to ½: never level with the
/// one that it faces, nor with the one beside it.
fn level(spot: Spot) -> f64 {
    let is_far = spot.along.0 > 0.5;
    match (spot.wall, is_far) {
        (Wall::Left, false) | (Wall::Right, true) => -0.5,
        (Wall::Left, true) | (Wall::Right, false) => 0.5,
        (Wall::Back, false) | (Wall::Front, true) => 0.5,
        (Wall::Back, true) | (Wall::Front, false) => -0.5,
    }
}

/// The height of a pump: its `level` of the `stagger` above or below the wanted height, within what is
/// allowed.
fn staggered(wanted: Length, allowed: Band<Length>, stagger: Length, level: f64) -> Length {
    let (low, high) = (allowed.low.si(), allowed.high.si());
    let stagger = stagger.si().min((allowed.high - allowed.low).si());
    let middle = wanted.si().clamp(low + stagger / 2.0, (high - stagger / 2.0).max(low + stagger / 2.0));
    Length::from_si((middle + stagger * level).clamp(low, high))
}

/// How far the opening goes up and down from its middle; a slot stands upright.
fn half_height(outlet: Outlet) -> Length {
    match outlet {
        Outlet::Round { diameter } => diameter / 2.0,
        Outlet::Slot { length, .. } => length / 2.0,
    }
}

#[cfg(test)]
mod tests;
