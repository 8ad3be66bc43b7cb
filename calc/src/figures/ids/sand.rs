//! When a stream lifts the sand.

use uom::si::f64::{Length, Pressure, Velocity};

use crate::rules::Band;

super::ids! {
    /// Depth of the sand.
    DEPTH: Length = "sand.depth";
    /// Size of the sand's grains.
    GRAIN: Length = "sand.grain";
    /// What such sand is sold as.
    GRADE: String = "sand.grade";
    /// Stress on the bed that starts to move the sand.
    STRESS: Pressure = "sand.stress";
    /// Speed near the bed that lifts the sand.
    LIFTS: Velocity = "sand.lifts";
    /// Speed near the bed at which the sand may start to move.
    LIFTS_RANGE: Band<Velocity> = "sand.lifts_range";
    /// Speed near the bed to keep below.
    KEEP_BELOW: Velocity = "sand.keep_below";
    /// Lowest safe height above the sand for the example propeller pump.
    LOWEST_HEIGHT: Length = "sand.lowest_height";
}
