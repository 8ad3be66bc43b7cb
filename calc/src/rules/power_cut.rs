//! The rules of the topic `power_cut`, `calc/rules/power_cut.toml`.

use uom::si::f64::{Frequency, Length, Time, Volume};

use crate::quantity::Share;
use super::rules;

rules! {
    /// The rules of this topic, `calc/rules/power_cut.toml`.
    pub struct PowerCutRules in "power_cut" {
        /// Share of the time until the oxygen is down to what you aim for by which hands should move the
        /// water.
        pub act_share: Share => "10 %"..="90 %",
        /// The longest time from one spell of pouring to the next.
        pub by_hand: Time => "2 min"..="2 h",
        /// The largest jug for a small tank, as a share of its water.
        pub jug_share: Share => "0.5 %"..="20 %",
        /// The jug.
        pub jug: Volume => "0.2 L"..="20 L",
        /// Height from which it is poured.
        pub pour_height: Length => "1 cm"..="1 m",
        /// Jugs that one person pours.
        pub pour_rate: Frequency => "10 per hour"..="2000 per hour",
        /// When to wrap the glass.
        pub wrap: Time => "10 min"..="24 h",
        /// Hours of power cut to be ready for.
        pub wanted: Time => "1 h"..="7 days",
        /// The least distance from a running generator to the house.
        pub generator_distance: Length => "3 m"..="50 m",
        /// Times in the table of oxygen hour by hour.
        pub hours: Vec<Time> => "1 min"..="7 days",
    }
}
