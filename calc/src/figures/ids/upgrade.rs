//! Pumps to add.

use uom::si::f64::VolumeRate;

use crate::quantity::{Money, Share};

super::ids! {
    /// Pumps to add for later.
    PUMPS: String = "upgrade.pumps";
    /// What the added pumps cost.
    PRICE: Money = "upgrade.price";
    /// What all pumps then move at full just before a cleaning.
    FLOW_FOULED: VolumeRate = "upgrade.flow_fouled";
    /// What blocks an upgrade of the tank's pumps.
    BLOCKED: String = "upgrade.blocked";
    /// What to hang for later in the place of the tank's pumps.
    REPLACE: String = "upgrade.replace";
    /// What that costs.
    REPLACE_PRICE: Money = "upgrade.replace_price";
    /// How far what is added is unlike the pumps that hang.
    UNLIKE: String = "upgrade.unlike";
    /// Flow of the weakest pump, as a share of that of the strongest.
    LIKENESS: Share = "upgrade.likeness";
}
