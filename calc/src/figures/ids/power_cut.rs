//! When the power fails.

use uom::si::f64::{Energy, Length, Power, Time, Volume, VolumeRate};

use crate::quantity::TransferVelocity;
use crate::rules::Band;
use crate::sheet::Value;

super::ids! {
    /// What runs when the power fails.
    PUMP: String = "power_cut.pump";
    /// How fast oxygen passes a still surface.
    STILL_TRANSFER: Band<TransferVelocity> = "power_cut.still_transfer";
    /// The setting that keeps the animals safe the longest.
    SETTING: Value = "power_cut.setting";
    /// Which pump the battery runs.
    ON_BATTERY: String = "power_cut.on_battery";
    /// What the pump draws at that, at the most.
    DRAW: Power = "power_cut.draw";
    /// How long the battery runs it, to count on.
    BATTERY_LASTS: Time = "power_cut.battery_lasts";
    /// Power of its stream.
    JET_POWER: Power = "power_cut.jet_power";
    /// How fast oxygen passes the surface that it stirs.
    STIRRED_TRANSFER: Band<TransferVelocity> = "power_cut.stirred_transfer";
    /// Time until the oxygen is down to what you aim for while nothing runs, at the worst.
    STILL_AIM_WORST: Value = "power_cut.still_aim_worst";
    /// Time until the oxygen is down to what you aim for while nothing runs, as is likely.
    STILL_AIM_LIKELY: Value = "power_cut.still_aim_likely";
    /// Time until the oxygen is down to what you aim for while nothing runs, at the best.
    STILL_AIM_BEST: Value = "power_cut.still_aim_best";
    /// Time until the oxygen is down to the danger level while nothing runs, at the worst.
    STILL_DANGER_WORST: Value = "power_cut.still_danger_worst";
    /// Time until the oxygen is down to the danger level while nothing runs, as is likely.
    STILL_DANGER_LIKELY: Value = "power_cut.still_danger_likely";
    /// Time until the oxygen is down to the danger level while nothing runs, at the best.
    STILL_DANGER_BEST: Value = "power_cut.still_danger_best";
    /// Time until the oxygen is down to what you aim for with all that this tank has for a power cut, at the
    /// worst.
    AIM_WORST: Value = "power_cut.aim_worst";
    /// Time until the oxygen is down to what you aim for with all that this tank has for a power cut, as is
    /// likely.
    AIM_LIKELY: Value = "power_cut.aim_likely";
    /// Time until the oxygen is down to what you aim for with all that this tank has for a power cut, at the
    /// best.
    AIM_BEST: Value = "power_cut.aim_best";
    /// Time until the oxygen is down to the danger level with all that this tank has for a power cut, at the
    /// worst.
    DANGER_WORST: Value = "power_cut.danger_worst";
    /// Time until the oxygen is down to the danger level with all that this tank has for a power cut, as is
    /// likely.
    DANGER_LIKELY: Value = "power_cut.danger_likely";
    /// Time until the oxygen is down to the danger level with all that this tank has for a power cut, at the
    /// best.
    DANGER_BEST: Value = "power_cut.danger_best";
    /// Whether the animals are out of danger for as long as you want to be ready for.
    ENOUGH: String = "power_cut.enough";
    /// Why.
    ENOUGH_BECAUSE: String = "power_cut.enough_because";
    /// How deep the stone of the example air pump lies.
    EXAMPLE_DEPTH: Length = "power_cut.example_depth";
    /// When hands should move the water at the latest.
    ACT_BY: Value = "power_cut.act_by";
    /// The same where nothing runs.
    ACT_BY_STILL: Value = "power_cut.act_by_still";
    /// From when to watch the animals closely.
    WATCH_FROM: Value = "power_cut.watch_from";
    /// How to pour by hand, at the worst.
    POUR: String = "power_cut.pour";
    /// The jug for this tank.
    JUG: Volume = "power_cut.jug";
    /// What hands must do, at the worst.
    HANDS: String = "power_cut.hands";
    /// How long to pour in each spell, at the worst.
    POUR_FOR: Time = "power_cut.pour_for";
    /// From the start of one spell to the next.
    POUR_EVERY: Time = "power_cut.pour_every";
    /// How long all pumps may rest by day, at the most.
    REST: Time = "power_cut.rest";
    /// How long the pumps may rest for a feeding by day, at the most.
    FEEDING_PAUSE: Time = "power_cut.feeding_pause";
    /// The thriftiest that keeps the animals out of danger for the wanted time, at the worst.
    LOAD_RUNS: String = "power_cut.load_runs";
    /// What that draws, at the most.
    LOAD: Power = "power_cut.load";
    /// Energy printed on a lead-acid battery that runs it for the wanted time.
    NEEDED_LEAD_ACID: Energy = "power_cut.needed_lead_acid";
    /// Energy printed on a lithium iron phosphate battery that runs it for the wanted time.
    NEEDED_LITHIUM_IRON_PHOSPHATE: Energy = "power_cut.needed_lithium_iron_phosphate";
    /// What a time that reads never means.
    NEVER: String = "power_cut.never";
    /// Air of the air pump on its battery.
    AIR_FLOW: VolumeRate = "power_cut.air.flow";
    /// How long its battery runs it.
    AIR_LASTS: Time = "power_cut.air.lasts";
    /// What is wrong with the feedings in the tank file.
    WARNS: String = "power_cut.warns";
}
