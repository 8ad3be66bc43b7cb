//! The rules of the topic `settling`, `calc/rules/settling.toml`.

use uom::si::f64::{Length, Pressure, Ratio, Velocity};

use super::{Band, Family, rules, words};

rules! {
    /// The rules of this topic, `calc/rules/settling.toml`.
    pub struct SettlingRules in "settling" {
        each {
            /// Ferguson and Church's coefficients, by the shape of the grains.
            "" shapes: Shape, [f64; 2],
            /// Stress that lifts what lies on each floor.
            "" lifts: Floor, Pressure => "0.001 Pa"..="5 Pa",
        }
        /// Soulsby's coefficients for sand.
        pub soulsby: [f64; 2],
        /// Rouse number below which particles stay in the water.
        pub suspension: Ratio => "0.5"..="5",
        /// Settling speed of pelleted fish food.
        pub pellets: Band<Velocity> => "0.1 cm/s"..="50 cm/s",
        /// Settling speed of fish waste.
        pub waste: Band<Velocity> => "0.01 cm/s"..="20 cm/s",
        /// Size of broken rock, for its roughness.
        pub rubble: Length => "2 mm"..="100 mm",
    }
}

impl SettlingRules {
    /// The coefficients `C1` and `C2` of Ferguson and Church for a shape.
    pub fn shape(&self, shape: Shape) -> [f64; 2] {
        *self.shapes[shape]
    }

    /// The stress that picks fish waste up from a floor.
    pub fn lifts_waste(&self, floor: Floor) -> Pressure {
        *self.lifts[floor]
    }
}

/// What grains look like, and how they were measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Shape {
    /// Natural grains, by the sieve.
    Sieved,
    /// Natural grains, by the diameter of a ball of the same volume.
    Nominal,
    /// Smooth balls.
    Ball,
}

impl Shape {
    /// All shapes.
    pub const ALL: [Shape; 3] = [Shape::Sieved, Shape::Nominal, Shape::Ball];

    /// The rule's key.
    pub fn key(self) -> &'static str {
        match self {
            Shape::Sieved => "sieved_grains",
            Shape::Nominal => "nominal_grains",
            Shape::Ball => "smooth_balls",
        }
    }
}

impl Family for Shape {
    const ALL: &'static [Self] = &Shape::ALL;

    fn key(self) -> &'static str {
        Shape::key(self)
    }
}

/// What waste lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Floor {
    /// Smooth as mud or slate. Bare glass is smoother still.
    Smooth,
    /// Sand.
    Sand,
    /// Broken rock.
    Rubble,
}

impl Floor {
    /// All floors, the smoothest first.
    pub const ALL: [Floor; 3] = [Floor::Smooth, Floor::Sand, Floor::Rubble];

    /// The key of the rule for the stress that picks waste up from it.
    pub fn key(self) -> &'static str {
        match self {
            Floor::Smooth => "waste_on_smooth",
            Floor::Sand => "waste_on_sand",
            Floor::Rubble => "waste_on_rubble",
        }
    }

    /// In words, as in the middle of a sentence.
    pub(crate) fn words(self, words: &words::Settling) -> &str {
        match self {
            Floor::Smooth => words.smooth(),
            Floor::Sand => words.sand(),
            Floor::Rubble => words.rubble(),
        }
    }
}

impl Family for Floor {
    const ALL: &'static [Self] = &Floor::ALL;

    fn key(self) -> &'static str {
        Floor::key(self)
    }
}
