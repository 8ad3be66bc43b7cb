//! Where a pump can hang: on which pane, how high, and where it then blows.
//!
//! Places are told in coordinates inside the glass: `x` along the front from the left, `y` from the front to the back, `z` up from the
//! base pane. A pump blows level. From an end pane it blows straight along the tank; from a corner of the back pane across to the front
//! pane, so that its stream meets the glass and turns back behind the rock; from elsewhere straight across.
//!
//! Two things bound the height. Below, the stream must not lift the sand, see [`sand`](crate::sand). Above, the pump must not draw air.

use uom::si::f64::{Length, Velocity};

use crate::catalogue::{Outlet, PumpModel};
use crate::error::{Error, within};
use crate::quantity::{Dimension, Share};
use crate::rules::{Band, Rules, Topic};
use crate::sand::{Grains, keep_below, lowest_safe_height};
use crate::seawater;
use crate::stream::{Stream, run};
use crate::tank::{Tank, Wall};
use crate::volume::Plan;

/// The rules of this topic, `calc/rules/placement.toml`.
#[derive(Debug, Clone)]
pub struct PlacementRules {
    /// Water to leave between a pump's opening and the surface.
    pub below_surface: Length,
    /// How far up the water a pump hangs, where nothing speaks against it.
    pub height_share: Share,
    /// Share of the back pane from its end that counts as a corner.
    pub corner: Share,
    /// Where in that corner a plan hangs a pump.
    pub corner_at: Share,
    /// How far along the front pane a pump in a back corner aims.
    pub corner_aim: Share,
    /// Where two pumps on one end pane hang.
    pub beside: Band<Share>,
    /// Steps in which settings are tried.
    pub dial_step: Share,
}

impl PlacementRules {
    pub(crate) fn read(topic: &mut Topic<'_, '_>) -> Option<Self> {
        let below_surface = topic.one("below_surface", "0 cm"..="30 cm");
        let height_share = topic.one("height_share", "10 %"..="100 %");
        let corner = topic.one("corner", "1 %"..="49 %");
        let corner_at = topic.one("corner_at", "0 %"..="49 %");
        let corner_aim = topic.one("corner_aim", "50 %"..="100 %");
        let beside = topic.band("beside", "0 %"..="100 %");
        let dial_step = topic.one("dial_step", "1 %"..="25 %");
        Some(PlacementRules {
            below_surface: below_surface?,
            height_share: height_share?,
            corner: corner?,
            corner_at: corner_at?,
            corner_aim: corner_aim?,
            beside: beside?,
            dial_step: dial_step?,
        })
    }
}

/// A point in the water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Along the front, from the left.
    pub x: Length,
    /// From the front to the back.
    pub y: Length,
    /// Up from the base pane.
    pub z: Length,
}

/// Where on the glass a pump hangs, but for its height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// The pane.
    pub wall: Wall,
    /// How far along that pane, from the left or from the front.
    pub along: Share,
}

/// The way of a stream from the pump to the glass that it meets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Course {
    /// Where it leaves the pump.
    pub from: Point,
    /// Where it meets the glass.
    pub to: Point,
    /// How far that is.
    pub way: Length,
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
    /// Depth of the sand, its grains in this water, and the speed near them to keep below.
    sand: Option<(Length, Grains, Velocity)>,
}

impl<'a> Room<'a> {
    /// The room in a tank.
    ///
    /// # Errors
    /// Those of the water and of the sand outside the ranges of their formulas.
    pub fn new(rules: &'a Rules, tank: &'a Tank) -> Result<Self, Error> {
        // A bed without depth is a bare floor.
        let sand = match tank.sand.filter(|bed| bed.depth > Length::default()) {
            None => None,
            Some(bed) => {
                let (salinity, temperature) = (tank.water.salinity, tank.water.temperature);
                let density = seawater::density(salinity, temperature, &rules.seawater)?;
                let viscosity = seawater::kinematic_viscosity(salinity, temperature, &rules.seawater)?;
                let grains = Grains::new(bed.grain, rules.volume.mineral_density, density, viscosity)?;
                let keep_below = keep_below(&grains, &rules.sand)? / rules.stream.edge.si();
                Some((bed.depth, grains, keep_below))
            }
        };
        Ok(Room { rules, tank, sand })
    }

    /// Whether there is sand to be lifted.
    pub fn has_sand(&self) -> bool {
        self.sand.is_some()
    }

    /// Inside length, inside depth at the ends, and height of the water.
    fn inside(&self) -> (Length, Length, Length) {
        let glass = &self.tank.glass;
        let panes = glass.pane * 2.0;
        let depth = match glass.plan {
            Plan::Box { width, .. } | Plan::BowFront { width, .. } => width,
            Plan::Cylinder { diameter } => diameter,
            Plan::Hexagon { across } => across,
        };
        (run(self.tank), depth - panes - self.tank.chamber_depth(), glass.water_height())
    }

    /// Where a plan hangs so many pumps, in the order in which the places are given out: opposite ends first, then the corners of the
    /// back pane, then side by side on the ends. In a round or six-sided tank the four sides.
    pub fn spots(&self, count: usize) -> Vec<Spot> {
        let rules = &self.rules.placement;
        let spot = |wall, along| Spot { wall, along };
        let middle = Share(0.5);
        if !matches!(self.tank.glass.plan, Plan::Box { .. } | Plan::BowFront { .. }) {
            return [Wall::Left, Wall::Right, Wall::Back, Wall::Front].into_iter().take(count).map(|wall| spot(wall, middle)).collect();
        }
        let corners = [spot(Wall::Back, rules.corner_at), spot(Wall::Back, Share(1.0 - rules.corner_at.0))];
        let ends = |wall, pair: bool| {
            let two = vec![spot(wall, rules.beside.low), spot(wall, rules.beside.high)];
            if pair { two } else { vec![spot(wall, middle)] }
        };
        let (left, right) = (ends(Wall::Left, count > 4), ends(Wall::Right, count > 5));
        let mut spots = vec![left[0], right[0]];
        spots.extend(corners);
        spots.extend(left.into_iter().skip(1).chain(right.into_iter().skip(1)));
        spots.truncate(count);
        spots
    }

    /// The way of a stream from a spot at a height.
    pub fn course(&self, spot: Spot, height: Length) -> Course {
        let (length, depth, _) = self.inside();
        let rules = &self.rules.placement;
        let point = |x: Length, y: Length| Point { x, y, z: height };
        let nothing = Length::default();
        let (from, to) = match spot.wall {
            Wall::Left => (point(nothing, depth * spot.along.0), point(length, depth * spot.along.0)),
            Wall::Right => (point(length, depth * spot.along.0), point(nothing, depth * spot.along.0)),
            Wall::Back | Wall::Front => {
                let (here, there) = if spot.wall == Wall::Back { (depth, nothing) } else { (nothing, depth) };
                let is_box = matches!(self.tank.glass.plan, Plan::Box { .. } | Plan::BowFront { .. });
                let aim = match spot.along.0 {
                    along if is_box && along <= rules.corner.0 => rules.corner_aim.0,
                    along if is_box && along >= 1.0 - rules.corner.0 => 1.0 - rules.corner_aim.0,
                    along => along,
                };
                (point(length * spot.along.0, here), point(length * aim, there))
            }
        };
        let (along, across) = ((to.x - from.x).si(), (to.y - from.y).si());
        Course { from, to, way: Length::from_si((along * along + across * across).sqrt()) }
    }

    /// The longest way that a stream of a plan has in this tank: what "the far glass" means before places are given out.
    pub fn longest_way(&self) -> Length {
        let ways = self.spots(4).into_iter().map(|spot| self.course(spot, Length::default()).way);
        ways.fold(Length::default(), |longest, way| if way > longest { way } else { longest })
    }

    /// The lowest height of a pump's outlet above the base: its stream lifts no sand anywhere on its way, even when it is faster than
    /// reckoned. Over bare glass the opening need only clear the floor. The slot of a cross-flow pump stands upright.
    ///
    /// # Errors
    /// As [`lowest_safe_height`].
    pub fn lowest(&self, stream: &Stream, outlet: Outlet, way: Length) -> Result<Length, Error> {
        let half = half_height(outlet);
        let Some((depth, grains, _)) = &self.sand else { return Ok(half) };
        let safe = lowest_safe_height(stream, self.rules.stream.edge, grains, way, &self.rules.sand)?;
        // A slot is counted from its lower end, a round stream from its middle.
        let end = if matches!(outlet, Outlet::Slot { .. }) { half } else { Length::default() };
        let clear_of_the_bed = *depth + half;
        let safe = *depth + safe + end;
        Ok(if safe > clear_of_the_bed { safe } else { clear_of_the_bed })
    }

    /// The greatest height of a pump's outlet above the base: so far under the surface that it draws no air.
    pub fn highest(&self, outlet: Outlet) -> Length {
        self.tank.glass.water_height() - self.rules.placement.below_surface - half_height(outlet)
    }

    /// The highest setting at which a model can hang anywhere with a way of this length and lift no sand, in steps of the dial from its
    /// lowest; `None` where not even the lowest will do.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for an outlet or a flow of which no stream can be reckoned.
    pub fn highest_setting(&self, model: &PumpModel, way: Length) -> Result<Option<Share>, Error> {
        let highest = self.highest(model.outlet);
        let full = Stream::new(model.outlet, model.rated_flow, self.rules.stream.laws)?;
        let safe = |setting: Share| {
            // No stream is anywhere wider than where it meets the glass: where even that much room is left, nothing more is asked.
            let stream = full.at_setting(setting)?;
            Ok::<_, Error>(self.surely_clear(&stream, model.outlet, way, highest)? || self.lowest(&stream, model.outlet, way)? <= highest)
        };
        if safe(Share(1.0))? {
            return Ok(Some(Share(1.0)));
        }
        let (lowest, step) = (model.lowest_setting.0, self.rules.placement.dial_step.0);
        if lowest >= 1.0 || !safe(model.lowest_setting)? {
            return Ok(None);
        }
        // The clearance grows with the setting: halve the steps between the lowest, which is safe, and full, which is not.
        let (mut low, mut high) = (0_u32, libm::ceil((1.0 - lowest) / step) as u32);
        while high - low > 1 {
            let middle = low.midpoint(high);
            if safe(Share(lowest + f64::from(middle) * step))? {
                low = middle;
            } else {
                high = middle;
            }
        }
        Ok(Some(Share(lowest + f64::from(low) * step)))
    }

    fn surely_clear(&self, stream: &Stream, outlet: Outlet, way: Length, highest: Length) -> Result<bool, Error> {
        let Some((depth, _, slow)) = &self.sand else { return Ok(half_height(outlet) <= highest) };
        let times = (stream.exit_speed() / *slow).si();
        let widest = if times > 1.0 {
            let reach = stream.reach(*slow)?;
            let width = stream.half_width(if reach < way { reach } else { way })?;
            let opening = stream.half_width(Length::default())?;
            (if width > opening { width } else { opening }) * libm::log2(times).sqrt()
        } else {
            Length::default()
        };
        let low = *depth + self.rules.sand.near_bed + widest + half_height(outlet);
        Ok(low <= highest)
    }

    /// A place for a pump at a setting: as high as the rule says, or as near to that as sand and surface allow.
    ///
    /// # Errors
    /// [`Error::NoAnswer`] where the stream would lift sand even from the greatest height, with what to do instead.
    pub fn place(&self, model: &PumpModel, setting: Share, spot: Spot) -> Result<Place, Error> {
        let setting = within("the setting", setting, Share(0.01)..=Share(1.0))?;
        let stream = Stream::new(model.outlet, model.rated_flow, self.rules.stream.laws)?.at_setting(setting)?;
        let way = self.course(spot, Length::default()).way;
        let heights = Band { low: self.lowest(&stream, model.outlet, way)?, high: self.highest(model.outlet) };
        if heights.low > heights.high {
            let why = format!("at this setting `{}` would lift the sand from any height; turn it down, or take coarser sand", model.model);
            return Err(Error::NoAnswer { what: "where to hang this pump", why });
        }
        let wanted = self.tank.glass.water_height() * self.rules.placement.height_share.0;
        let height = Length::from_si(wanted.si().clamp(heights.low.si(), heights.high.si()));
        Ok(Place { spot, course: self.course(spot, height), heights })
    }
}

/// How far the opening goes up and down from its middle; a slot stands upright.
fn half_height(outlet: Outlet) -> Length {
    match outlet {
        Outlet::Round { diameter } => diameter / 2.0,
        Outlet::Slot { length, .. } => length / 2.0,
    }
}

/// A spot in words: "left end", "back, near the left corner".
pub fn words(spot: Spot, rules: &PlacementRules) -> &'static str {
    let side = |low: &'static str, middle: &'static str, high: &'static str| match spot.along.0 {
        along if along <= rules.corner.0 => low,
        along if along >= 1.0 - rules.corner.0 => high,
        _ => middle,
    };
    match spot.wall {
        Wall::Left => "left end",
        Wall::Right => "right end",
        Wall::Back => side("back, in the left corner", "back", "back, in the right corner"),
        Wall::Front => side("front, in the left corner", "front", "front, in the right corner"),
    }
}

/// Where a pump at a spot aims, in words.
pub fn aim_words(spot: Spot, rules: &PlacementRules) -> &'static str {
    match words(spot, rules) {
        "left end" => "straight along the tank, at the right end",
        "right end" => "straight along the tank, at the left end",
        "back, in the left corner" => "across the tank, at the right half of the front pane",
        "back, in the right corner" => "across the tank, at the left half of the front pane",
        "back" => "straight at the front pane",
        "front, in the left corner" => "across the tank, at the right half of the back pane",
        "front, in the right corner" => "across the tank, at the left half of the back pane",
        _ => "straight at the back pane",
    }
}

#[cfg(test)]
mod tests;
