//! How the pumps that hang suit the tank.

use uom::si::f64::{Frequency, VolumeRate};

use crate::quantity::{Quantity, SoundLevel};
use crate::rules::Band;

super::ids! {
    /// Pumps in the tank.
    PUMPS: String = "fit.pumps";
    /// Number of pumps in the tank.
    COUNT: Quantity = "fit.count";
    /// What the tank's pumps move together at their settings.
    FLOW: VolumeRate = "fit.flow";
    /// What they move together at full, clean.
    FLOW_FULL: VolumeRate = "fit.flow_full";
    /// What they still move at full just before a cleaning.
    FLOW_FOULED: VolumeRate = "fit.flow_fouled";
    /// How often they turn the water over.
    TURNOVER: Frequency = "fit.turnover";
    /// What that flow serves.
    SERVES: String = "fit.serves";
    /// Flow that is missing for later, at full just before a cleaning.
    MISSING: VolumeRate = "fit.missing";
    /// What arrives at the pillow of them and all else that hums.
    SOUND: Band<SoundLevel> = "fit.sound";
}
