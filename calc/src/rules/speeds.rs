//! The rules of the topic `speeds`, `calc/rules/speeds.toml`.

use uom::si::f64::{Length, Ratio, Time, Velocity};

use crate::quantity::Share;
use super::livestock::{Lives, Livestock};
use super::{Band, rules};

rules! {
    /// The rules of this topic, `calc/rules/speeds.toml`.
    pub struct SpeedsRules in "speeds" {
        kinds {
            /// How fast the water may move past each kind of livestock.
            bands: Velocity,
        }
        /// How near to an outlet a coral may stand at the least.
        pub least_distance: Length => "1 cm"..="1 m",
        /// Speed on an outer reef slope where waves drive the water.
        pub forereef: Velocity => "1 cm/s"..="500 cm/s",
        /// Share of it that is left deeper down.
        pub deep_reef: Share => "1 %"..="100 %",
        /// Speeds at which a sheet-forming coral was tried.
        pub tried: Band<Velocity> => "0.1 cm/s"..="200 cm/s",
        /// What a reef fish holds for half an hour, in its own lengths a second.
        pub fish_holds: Band<Ratio> => "0.5"..="20",
        /// What fish do all day, in their own lengths a second: from those with round fins to those with
        /// long, narrow ones.
        pub fish_cruises: Band<Ratio> => "0.2"..="10",
        /// Speed of the stream in which fish were tried with and without shelter.
        pub shelter_stream: Velocity => "1 cm/s"..="500 cm/s",
        /// How long they held out in the open.
        pub without_shelter: Band<Time> => "1 min"..="100 h",
        /// How long they held out with a hole to rest in.
        pub with_shelter: Band<Time> => "1 min"..="1000 h",
        /// How much slower the water is in such a hole.
        pub shelter_slows: Band<Share> => "1 %"..="100 %",
        /// Lengths of fish that the table lists.
        pub fish_lengths: Vec<Length> => "1 cm"..="1 m",
    }
}

impl SpeedsRules {
    /// The speeds that suit what lives in a tank. Of several kinds of coral each has its own part of the
    /// stream: from the least that suits one of them to the most that suits another.
    pub fn band(&self, stock: &impl Lives) -> Band<Velocity> {
        let of = |kind: &Livestock| *self.bands[kind];
        stock.asking().map(of).fold(of(stock.most()), |one, other| Band {
            low: if other.low < one.low { other.low } else { one.low },
            high: if other.high > one.high { other.high } else { one.high },
        })
    }
}
