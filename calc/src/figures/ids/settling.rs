//! How fast things sink.

use uom::si::f64::{Length, Time, Velocity};

use crate::rules::Band;

super::ids! {
    /// Depth of the water: from its surface to the floor or the sand.
    TANK_DEPTH: Length = "tank.depth";
    /// Time for fish waste to sink to the floor in still water.
    WASTE_TIME: Band<Time> = "settling.waste.time";
    /// Time for food pellets to sink to the floor in still water.
    PELLETS_TIME: Band<Time> = "settling.pellets.time";
    /// Speed near a smooth floor that carries fish waste along in the water.
    WASTE_CARRY: Band<Velocity> = "settling.waste.carry";
    /// Longest time for fish waste to sink to the floor in still water.
    WASTE_LONGEST: Time = "settling.waste.longest";
}
