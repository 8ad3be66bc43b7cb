//! The rules of the topic `sound`, `calc/rules/sound.toml`.

use uom::si::f64::{Area, Ratio};

use crate::quantity::SoundLevel;
use super::{Band, rules};

rules! {
    /// The rules of this topic, `calc/rules/sound.toml`.
    pub struct SoundRules in "sound" {
        /// Sound to stay below in a bedroom at night, on average.
        pub night_level: SoundLevel => "10 dB"..="60 dB",
        /// The same at any moment.
        pub night_peak: SoundLevel => "10 dB"..="80 dB",
        /// The same by day and in the evening, on average.
        pub evening_level: SoundLevel => "10 dB"..="70 dB",
        /// How much quieter a pump is at half its speed.
        pub half_speed: Band<SoundLevel> => "4 dB"..="20 dB",
        /// How much sound a room with carpet, curtains and a bed swallows.
        pub lined_room: Band<Area> => "1 m2"..="500 m2",
        /// How much a room with a hard floor and little cloth does.
        pub ordinary_room: Band<Area> => "1 m2"..="500 m2",
        /// What a shut door between tank and pillow keeps out.
        pub door: Band<SoundLevel> => "1 dB"..="60 dB",
        /// What an overflow makes at one metre.
        pub overflow: SoundLevel => "5 dB"..="80 dB",
        /// Levels in the table of levels at the pillow.
        pub usual_levels: Vec<SoundLevel> => "0 dB"..="100 dB",
        /// Numbers of pumps in the table of like pumps.
        pub pumps_together: Vec<Ratio> => "1"..="100",
        /// Differences in the table that adds two levels.
        pub differences: Vec<SoundLevel> => "0 dB"..="30 dB",
    }
}
