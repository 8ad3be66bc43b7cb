//! The rules of the topic `measured`, `calc/rules/measured.toml`.

use super::rules;
use crate::quantity::{Share, SoundLevel};

rules! {
    /// The rules of this topic, `calc/rules/measured.toml`.
    pub struct MeasuredRules in "measured" {
        /// How far what is measured may be from what is reckoned without meaning anything.
        pub near: Share => "1 %"..="90 %",
        /// The same of a sound level.
        pub near_sound: SoundLevel => "0 dB"..="20 dB",
    }
}
