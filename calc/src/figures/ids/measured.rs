//! What the reader measured, beside what is reckoned.

use uom::si::f64::{MassConcentration, Power, Ratio, Time, Velocity, Volume, VolumeRate};

use crate::quantity::SoundLevel;
use crate::rules::Band;

super::ids! {
    /// Flow of the return, by a bucket.
    FLOW: VolumeRate = "measured.flow";
    /// The same as reckoned.
    FLOW_RECKONED: Band<VolumeRate> = "measured.flow_reckoned";
    /// Measured ÷ reckoned.
    FLOW_RATIO: Ratio = "measured.flow_ratio";
    /// What it may mean.
    FLOW_SAYS: String = "measured.flow_says";
    /// Power of the return pump, at the plug.
    POWER: Power = "measured.power";
    /// The same by its label.
    POWER_RECKONED: Band<Power> = "measured.power_reckoned";
    /// Measured ÷ label.
    POWER_RATIO: Ratio = "measured.power_ratio";
    /// What it may mean.
    POWER_SAYS: String = "measured.power_says";
    /// Speed of a crumb in a stream.
    CRUMB: Velocity = "measured.crumb";
    /// The same as reckoned.
    CRUMB_RECKONED: Band<Velocity> = "measured.crumb_reckoned";
    /// Measured ÷ reckoned.
    CRUMB_RATIO: Ratio = "measured.crumb_ratio";
    /// What it may mean.
    CRUMB_SAYS: String = "measured.crumb_says";
    /// Time of one swing from side to side, counted.
    SWING: Time = "measured.swing";
    /// The same as reckoned.
    SWING_RECKONED: Band<Time> = "measured.swing_reckoned";
    /// Measured ÷ reckoned.
    SWING_RATIO: Ratio = "measured.swing_ratio";
    /// What it may mean.
    SWING_SAYS: String = "measured.swing_says";
    /// Oxygen at dawn.
    OXYGEN: MassConcentration = "measured.oxygen";
    /// The same as is usual.
    OXYGEN_RECKONED: Band<MassConcentration> = "measured.oxygen_reckoned";
    /// Measured ÷ usual.
    OXYGEN_RATIO: Ratio = "measured.oxygen_ratio";
    /// What it may mean.
    OXYGEN_SAYS: String = "measured.oxygen_says";
    /// Level at the pillow.
    PILLOW: SoundLevel = "measured.pillow";
    /// The same as reckoned.
    PILLOW_RECKONED: Band<SoundLevel> = "measured.pillow_reckoned";
    /// Measured ÷ reckoned, as the power that arrives.
    PILLOW_RATIO: Ratio = "measured.pillow_ratio";
    /// What it may mean.
    PILLOW_SAYS: String = "measured.pillow_says";
    /// Fresh water topped up in a day.
    TOP_UP: Volume = "measured.top_up";
    /// The same as reckoned.
    TOP_UP_RECKONED: Band<Volume> = "measured.top_up_reckoned";
    /// Measured ÷ reckoned.
    TOP_UP_RATIO: Ratio = "measured.top_up_ratio";
    /// What it may mean.
    TOP_UP_SAYS: String = "measured.top_up_says";
}
