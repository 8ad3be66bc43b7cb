//! The rules of the topic `waves`, `calc/rules/waves.toml`.

use uom::si::f64::{Ratio, Time};

use crate::quantity::Share;
use super::rules;

rules! {
    /// The rules of this topic, `calc/rules/waves.toml`.
    pub struct WavesRules in "waves" {
        /// How near a pulse must come to a swing to drive it.
        pub resonance: Share => "1 %"..="40 %",
        /// Most swings between two pulses that still drive it.
        pub swings: Ratio => "1"..="10",
        /// Pulses that the table lists.
        pub pulses: Vec<Time> => "0.1 s"..="60 s",
    }
}
