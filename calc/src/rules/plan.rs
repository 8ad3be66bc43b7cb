//! The rules of the topic `plan`, `calc/rules/plan.toml`.

use uom::si::f64::Length;

use crate::quantity::Share;
use super::rules;

rules! {
    /// The rules of this topic, `calc/rules/plan.toml`.
    pub struct PlanRules in "plan" {
        /// Most pumps in a plan.
        pub most_pumps: usize => "1"..="6",
        /// Length of a tank for each pump of a plan, where that is more than two.
        pub length_per_pump: Length => "10 cm"..="5 m",
        /// Longest tank that one pump stirs.
        pub one_pump_up_to: Length => "10 cm"..="5 m",
        /// Pumps that stony corals need at the least.
        pub two_sides: usize => "1"..="4",
        /// Flow of the weakest pump, as a share of that of the strongest, at the least.
        pub alike: Share => "0 %"..="100 %",
        /// How much more than the cheapest set one with fewer pumps may cost and still go first.
        pub close_cost: Share => "0 %"..="50 %",
        /// How much of the flow to aim for pumps that hang may lack just before a cleaning without being
        /// called too weak.
        pub close_enough: Share => "0 %"..="50 %",
        /// Sets of pumps that a plan lists.
        pub best_sets: usize => "1"..="20",
    }
}

impl PlanRules {
    /// Most pumps in a plan for a tank of this length: two in the shortest.
    pub fn most_in(&self, length: Length) -> usize {
        let by_length = (length / *self.length_per_pump).value.floor();
        (by_length as usize).clamp(2, self.most_pumps.max(2)).min(*self.most_pumps)
    }
}
