//! The rules of the topic `team`, `calc/rules/team.toml`.

use crate::quantity::Share;
use super::rules;

rules! {
    /// The rules of this topic, `calc/rules/team.toml`.
    pub struct TeamRules in "team" {
        /// The low setting of the pulses in the table.
        pub example_low: Share => "1 %"..="49 %",
        /// The high setting.
        pub example_high: Share => "50 %"..="100 %",
        /// How far off the place can be where two streams that face each other meet, as a share of the way
        /// from one of them.
        pub meeting: Share => "1 %"..="50 %",
    }
}
