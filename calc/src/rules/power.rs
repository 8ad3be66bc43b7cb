//! The rules of the topic `power`, `calc/rules/power.toml`.

use uom::si::f64::{Power, Time};

use crate::quantity::Share;
use super::{Band, rules};

rules! {
    /// The rules of this topic, `calc/rules/power.toml`.
    pub struct PowerRules in "power" {
        /// Share of the reckoned saving that a pump makes when it is turned down.
        pub saving_made: Band<Share> => "0 %"..="100 %",
        /// Settings in the table of settings.
        pub dial: Vec<Share> => "1 %"..="100 %",
        /// How far a lead-acid battery should be emptied.
        pub depth_lead_acid: Band<Share> => "20 %"..="100 %",
        /// How far one of lithium iron phosphate should be emptied.
        pub depth_lithium_iron_phosphate: Band<Share> => "20 %"..="100 %",
        /// Share of the printed energy that a battery in use still holds.
        pub kept_capacity: Band<Share> => "50 %"..="100 %",
        /// Share of a battery's energy that comes out of its converter or inverter.
        pub conversion: Band<Share> => "50 %"..="100 %",
        /// Power that an inverter takes for itself.
        pub inverter_idle: Band<Power> => "0 W"..="100 W",
        /// Loads in the table of what a battery runs.
        pub backup_loads: Vec<Power> => "0.5 W"..="2 kW",
        /// The load in the table of the battery to look for.
        pub backup_load: Power => "0.5 W"..="2 kW",
        /// Hours in that table.
        pub backup_hours: Vec<Time> => "1 h"..="10 days",
    }
}

