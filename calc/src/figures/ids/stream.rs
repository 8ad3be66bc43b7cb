//! How the example streams slow.

use uom::si::f64::{Area, Length, Ratio, Velocity, VolumeRate};

use crate::quantity::Share;
use crate::rules::Band;

super::ids! {
    /// Longest way a stream can go: from end to end inside the glass.
    RUN: Length = "stream.run";
    /// How far the law of a stream holds that goes from end to end.
    RANGE: Length = "stream.range";
    /// From there to the far end, where a stream is slower than its law has it.
    BEYOND: Length = "stream.beyond";
    /// Outlet of the example propeller pump.
    ROUND_OUTLET: Area = "stream.round.outlet";
    /// Speed at the outlet of the example propeller pump.
    ROUND_EXIT: Velocity = "stream.round.exit";
    /// Core that has hardly slowed yet, before the example propeller pump.
    ROUND_CORE: Length = "stream.round.core";
    /// Speed at the far end of the tank, before the example propeller pump.
    ROUND_FAR: Velocity = "stream.round.far";
    /// Speed to expect at the far end of the tank, before the example propeller pump.
    ROUND_FAR_RANGE: Band<Velocity> = "stream.round.far_range";
    /// Width of the stream at the far end of the tank, before the example propeller pump.
    ROUND_FAR_WIDTH: Length = "stream.round.far_width";
    /// Water that the stream carries at the far end of the tank, before the example propeller pump.
    ROUND_FAR_FLOW: VolumeRate = "stream.round.far_flow";
    /// Slot of the example cross-flow pump.
    SHEET_OUTLET: Area = "stream.sheet.outlet";
    /// Speed at the outlet of the example cross-flow pump.
    SHEET_EXIT: Velocity = "stream.sheet.exit";
    /// Core that has hardly slowed yet, before the example cross-flow pump.
    SHEET_CORE: Length = "stream.sheet.core";
    /// Speed at the far end of the tank, before the example cross-flow pump.
    SHEET_FAR: Velocity = "stream.sheet.far";
    /// Speed to expect at the far end of the tank, before the example cross-flow pump.
    SHEET_FAR_RANGE: Band<Velocity> = "stream.sheet.far_range";
    /// Width of the stream at the far end of the tank, before the example cross-flow pump.
    SHEET_FAR_WIDTH: Length = "stream.sheet.far_width";
    /// Water that the stream carries at the far end of the tank, before the example cross-flow pump.
    SHEET_FAR_FLOW: VolumeRate = "stream.sheet.far_flow";
    /// Exit speed from which the laws hold for the example propeller pump.
    ROUND_SETTLED_FROM: Velocity = "stream.round.settled_from";
    /// From end to end of the tank, in outlets of the example propeller pump.
    ROUND_DIAMETERS: Ratio = "stream.round.diameters";
    /// Part of its speed that is left at the far end of the tank, before the example propeller pump.
    ROUND_LEFT: Share = "stream.round.left";
    /// How far the core would go on behind the far end.
    ROUND_CORE_LEFT: Length = "stream.round.core_left";
}
