//! The pipe from the sump back to the tank, and the overflow.

use uom::si::f64::{Frequency, Length, Velocity, Volume, VolumeRate};

use crate::quantity::{Quantity, Share};
use crate::rules::Band;

super::ids! {
    /// A fall of the tank's surface.
    OVERFLOW_DROP: Length = "overflow.drop";
    /// What runs down when the tank's surface falls by so much.
    OVERFLOW_DROP_WATER: Volume = "overflow.drop_water";
    /// From the water in the sump up to the outlet.
    LIFT: Length = "return_line.lift";
    /// Length of the return pipe.
    LENGTH: Length = "return_line.length";
    /// Inside diameter of the return pipe.
    BORE: Length = "return_line.bore";
    /// Elbows in the return pipe.
    ELBOWS: Quantity = "return_line.elbows";
    /// What the return pump gives at no height.
    PUMP_FLOW: VolumeRate = "return_line.pump_flow";
    /// The height at which the return pump gives nothing.
    PUMP_HEAD: Length = "return_line.pump_head";
    /// Flow that arrives from the sump.
    FLOW: VolumeRate = "return_line.flow";
    /// Flow that arrives from the sump, with what the reckoning can be off.
    FLOW_RANGE: Band<VolumeRate> = "return_line.flow_range";
    /// Share of the pump's printed flow that arrives.
    SHARE: Share = "return_line.share";
    /// Speed of the water in the return pipe.
    SPEED: Velocity = "return_line.speed";
    /// Head that friction and fittings take.
    LOSS: Length = "return_line.loss";
    /// Head that the return pump works against.
    HEAD: Length = "return_line.head";
    /// How often the system's water goes over the overflow.
    TURNOVER: Frequency = "return_line.turnover";
    /// Flow through the sump that is usual for this system.
    WANTED: Band<VolumeRate> = "return_line.wanted";
    /// How the flow that arrives compares with what is usual.
    SAYS: String = "return_line.says";
    /// What to do where no pipe is wide enough.
    WEAK: String = "return_line.weak";
    /// The narrowest usual pipe through which the pump brings up enough.
    WIDER: Length = "return_line.wider";
    /// Flow that arrives through that pipe.
    WIDER_FLOW: VolumeRate = "return_line.wider_flow";
}
