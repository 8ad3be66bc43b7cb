//! The rules of the topic `mixing`, `calc/rules/mixing.toml`.

use uom::si::f64::{Frequency, Time};

use crate::quantity::Share;
use super::rules;

rules! {
    /// The rules of this topic, `calc/rules/mixing.toml`.
    pub struct MixingRules in "mixing" {
        /// Share of the water that counts as nearly all.
        pub nearly_all: Share => "50 %"..="99.9 %",
        /// Turnovers in the table.
        pub table_turnovers: Vec<Frequency> => "0.1 per hour"..="500 per hour",
        /// Times in the table.
        pub table_times: Vec<Time> => "1 min"..="1 week",
    }
}
