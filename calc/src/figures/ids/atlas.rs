//! The atlas of shapes and rock, on a sheet of its own.

use uom::si::f64::{Frequency, Velocity};

use crate::quantity::Quantity;

super::ids! {
    /// How often the two pumps together move the water of each tank.
    TURNOVER: Frequency = "atlas.turnover";
    /// Speed near the floor below which fresh waste lies.
    WASTE_SPEED: Velocity = "atlas.waste_speed";
    /// How many shapes there are.
    SHAPES: Quantity = "atlas.shapes";
    /// In how many of them a wall leaves less still floor than islands.
    WALL_BETTER: Quantity = "atlas.wall_better";
}
