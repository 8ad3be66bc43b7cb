//! The edge over which water leaves the tank.

use uom::si::f64::{Frequency, Length, Volume};

use crate::rules::Band;

super::ids! {
    /// The edge over which the water falls.
    EDGE: Length = "weir.edge";
    /// How thick the sheet of water over it is.
    SHEET: Band<Length> = "weir.sheet";
    /// Whether such a sheet skims well.
    SAYS: String = "weir.says";
    /// How far the surface falls when the pump stops, at the most.
    FALL: Length = "weir.fall";
    /// What runs down then, at the most.
    RUNS_DOWN: Volume = "weir.runs_down";
    /// How far that lifts the level in the return pump's chamber, if it stays there.
    CHAMBER_RISE: Length = "weir.chamber_rise";
    /// How far the display rises when its edge is blocked, until the pump draws air.
    BLOCKED_RISE: Length = "weir.blocked_rise";
    /// Whether that runs over the rim.
    BLOCKED_SAYS: String = "weir.blocked_says";
    /// How often the water of the rear chamber is changed.
    CHAMBER_TURNOVER: Frequency = "weir.chamber_turnover";
}
