//! The pumps to buy.

use uom::si::f64::{Energy, Power, VolumeRate};

use crate::quantity::{Money, Quantity, SoundLevel};
use crate::rules::Band;
use crate::sheet::Value;

super::ids! {
    /// What makes one pump plan better than another.
    RANK: String = "plan.rank";
    /// Pumps of the plan.
    PUMPS: String = "plan.pumps";
    /// Number of pumps in the plan.
    COUNT: Quantity = "plan.count";
    /// What the plan's pumps move together at full, clean.
    FLOW_FULL: VolumeRate = "plan.flow_full";
    /// What they still move at full just before a cleaning.
    FLOW_FOULED: VolumeRate = "plan.flow_fouled";
    /// What they still move turned right down.
    FLOW_LOW: VolumeRate = "plan.flow_low";
    /// What they still move at full just before a cleaning when the strongest stops.
    FLOW_ONE_STOPPED: VolumeRate = "plan.flow_one_stopped";
    /// Flow to set the pumps to now.
    AIM_NOW: VolumeRate = "plan.aim_now";
    /// What the pumps are set to now.
    SETTING_NOW: Value = "plan.setting_now";
    /// What the pumps are set to later.
    SETTING_LATER: Value = "plan.setting_later";
    /// What arrives at the pillow of all that hums, at the setting for later.
    SOUND: Band<SoundLevel> = "plan.sound";
    /// Price of the plan's pumps.
    PRICE: Money = "plan.price";
    /// What the plan costs over the years.
    COST: Money = "plan.cost";
    /// What the pumps draw at the setting for later.
    POWER: Band<Power> = "plan.power";
    /// What the pumps draw at full.
    POWER_FULL: Power = "plan.power_full";
    /// What the pumps use in a year.
    ENERGY: Band<Energy> = "plan.energy";
    /// What their energy costs in a year.
    ENERGY_COST: Band<Money> = "plan.energy_cost";
    /// What to mind with acrylic panes.
    PLACES_SCRATCHES: String = "places.scratches";
    /// The most that the pumps may cost together.
    BUDGET: Money = "plan.budget";
    /// What blocks a pump plan.
    BLOCKED: String = "plan.blocked";
    /// The set of pumps that comes nearest.
    NEAREST: String = "plan.nearest";
    /// Its price.
    NEAREST_PRICE: Money = "plan.nearest_price";
    /// The most that may arrive at the pillow.
    NOISE_LIMIT: SoundLevel = "plan.noise_limit";
}
