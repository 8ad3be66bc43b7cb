//! The tank's own slosh.

use uom::si::f64::Time;

use crate::rules::Band;

super::ids! {
    /// Time of one swing of the water from side to side.
    LONG: Time = "waves.long";
    /// Pulses that rock the tank: the water swings from side to side with each.
    LONG_ROCKS: Band<Time> = "waves.long_rocks";
    /// Time of one swing of the water from front to back.
    WIDE: Time = "waves.wide";
    /// Pulses that rock the tank: the water swings from front to back with each.
    WIDE_ROCKS: Band<Time> = "waves.wide_rocks";
}
