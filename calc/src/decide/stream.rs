//! Where a stream goes in a tank, and how far its law holds there.

use uom::si::f64::Length;

use crate::formulas::stream;
use crate::quantity::Dimension;
use crate::rules::stream::StreamRules;
use crate::tank::Tank;

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

impl Course {
    /// The straight way from one point to another.
    pub fn between(from: Point, to: Point) -> Self {
        let (along, across, up) = ((to.x - from.x).si(), (to.y - from.y).si(), (to.z - from.z).si());
        Course { from, to, way: Length::from_si((along * along + across * across + up * up).sqrt()) }
    }
}

/// The longest way a stream can go in a tank: from end to end, inside the glass.
pub fn run(tank: &Tank) -> Length {
    stream::run(tank.glass.outline.length(), tank.glass.pane)
}

/// How far the law of a stream holds that goes from end to end of a tank.
pub fn range(tank: &Tank, rules: &StreamRules) -> Length {
    stream::range(*rules.range, across(tank), tank.water_depth())
}

/// How far it holds on any way: the section is the one across the stream. A way that leads more along the
/// tank than across it, such as one out of a corner, counts as one from end to end.
pub fn range_on(course: &Course, tank: &Tank, rules: &StreamRules) -> Length {
    let Course { from, to, .. } = course;
    let goes_along = (to.x - from.x).si().abs() >= (to.y - from.y).si().abs();
    stream::range(*rules.range, if goes_along { across(tank) } else { run(tank) }, tank.water_depth())
}

/// From the front to the back inside the glass, or to the false wall of a rear chamber.
pub(crate) fn across(tank: &Tank) -> Length {
    tank.glass.outline.width() - tank.glass.pane * 2.0 - tank.chamber_depth()
}

#[cfg(test)]
mod tests;
