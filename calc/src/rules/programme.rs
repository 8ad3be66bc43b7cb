//! The rules of the topic `programme`, `calc/rules/programme.toml`.

use uom::si::f64::{Length, Time};

use super::rules;

rules! {
    /// The rules of this topic, `calc/rules/programme.toml`.
    pub struct ProgrammeRules in "programme" {
        /// When the lights go on where a tank file does not say, after midnight.
        pub lights_on: Time => "0 h"..="11 h",
        /// When they go off.
        pub lights_off: Time => "12 h"..="23 h",
        /// How long dawn lasts, and dusk.
        pub dusk: Time => "10 min"..="6 h",
        /// How long the pumps stir more strongly after the lights are off.
        pub stir: Time => "10 min"..="12 h",
        /// Time in which two pumps change sides and back.
        pub turns: Time => "2 min"..="12 h",
        /// How long a single pump keeps one speed.
        pub wander: Time => "1 min"..="6 h",
        /// How long the pumps pause for a feeding, at the most.
        pub feeding_pause: Time => "1 min"..="1 h",
        /// How long before dark the suggested programme feeds.
        pub feeding_before_dark: Time => "0 h"..="12 h",
        /// A tank nearer to the pillow stands in the bedroom.
        pub bedroom: Length => "50 cm"..="20 m",
        /// When people go to bed, after midnight.
        pub night: Time => "0 h"..="23 h",
        /// How long the night lasts.
        pub night_lasts: Time => "1 h"..="16 h",
    }
}
