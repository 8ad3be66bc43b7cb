//! The rules of the topic `stream`, `calc/rules/stream.toml`.

use uom::si::f64::{Length, Ratio, Velocity, VolumeRate};

use crate::quantity::Share;
use super::{Band, rules};

rules! {
    /// The rules of this topic, `calc/rules/stream.toml`.
    pub struct StreamRules in "stream" {
        /// `B`: far away, the middle of a round stream moves at `B d / (x − x₀)` of the exit speed.
        pub round_decay: Ratio => "5"..="7.5",
        /// `x₀` of a round stream, in outlet diameters: where it seems to come from.
        pub origin: Ratio => "0"..="5",
        /// Aspect ratios of a slot, from the one up to which its stream has the origin of a round one to the
        /// one from which it has none.
        pub origin_fades: Band<Ratio> => "1"..="100",
        /// How many times the root of the tank's section across a stream its law holds for.
        pub range: Ratio => "0.5"..="5",
        /// Reynolds number at the outlet from which the laws hold.
        pub full_turbulence: Ratio => "1000"..="100000",
        /// What the middle of a real pump's stream makes of the speed reckoned, from the slowest to the
        /// fastest.
        pub spread: Band<Share> => "20 %"..="200 %",
        /// How many times as fast as reckoned the water beside the middle of a stream can be.
        pub edge: Ratio => "1"..="4",
        /// Flow of the example propeller pump.
        pub example_flow: VolumeRate => "500 L/h"..="20000 L/h",
        /// Its outlet.
        pub example_outlet: Length => "2 cm"..="12 cm",
        /// Flow of the example cross-flow pump.
        pub example_sheet_flow: VolumeRate => "500 L/h"..="20000 L/h",
        /// Short side of its slot.
        pub example_slot_height: Length => "5 mm"..="3 cm",
        /// Long side of its slot.
        pub example_slot_length: Length => "6 cm"..="50 cm",
        /// Distances that the table lists.
        pub distances: Vec<Length> => "5 cm"..="10 m",
    }
}

impl StreamRules {
    /// What a speed reckoned for the middle of a stream may really be.
    pub fn spread_of(&self, speed: Velocity) -> Band<Velocity> {
        Band { low: speed * self.spread.low.0, high: speed * self.spread.high.0 }
    }
}
