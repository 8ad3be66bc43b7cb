//! The circuit that the pumps hang on.

use uom::si::f64::{ElectricCurrent, ElectricPotential, Power};

use crate::quantity::Share;
use crate::rules::Band;

super::ids! {
    /// Whether the circuit bears it.
    VERDICT: String = "circuit.verdict";
    /// Voltage of the sockets.
    VOLTAGE: ElectricPotential = "circuit.voltage";
    /// Rating of the breaker.
    BREAKER: ElectricCurrent = "circuit.breaker";
    /// All that is counted on the circuit.
    LOAD: Power = "circuit.load";
    /// Current of that load.
    CURRENT: Band<ElectricCurrent> = "circuit.current";
    /// Share of the breaker's rating that the load takes.
    SHARE: Band<Share> = "circuit.share";
    /// Current that may run for hours on this circuit.
    LIMIT: ElectricCurrent = "circuit.limit";
    /// Current left for more that runs for hours.
    LEFT: ElectricCurrent = "circuit.left";
    /// Power left for more that runs for hours.
    LEFT_POWER: Power = "circuit.left_power";
    /// What else runs on the circuit for hours.
    OTHER_LOAD: Power = "circuit.other_load";
    /// Power of the pumps that stir the tank, at full: its own, or those of its plan.
    PUMPS: Power = "circuit.pumps";
    /// What is not counted.
    NOT_COUNTED: String = "circuit.not_counted";
    /// Whether a residual-current device guards the sockets.
    DEVICE: String = "circuit.device";
    /// That the circuit is overloaded.
    OVERLOADED: String = "circuit.overloaded";
    /// Power of the plan's pumps, at full: none hangs in the tank yet.
    PLAN_PUMPS: Power = "circuit.plan_pumps";
    /// Power of the skimmer.
    SKIMMER: Power = "circuit.skimmer";
}
