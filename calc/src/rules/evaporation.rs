//! The rules of the topic `evaporation`, `calc/rules/evaporation.toml`.

use uom::si::f64::{Area, Length, Velocity};

use crate::quantity::{Salinity, Share};
use super::{Band, rules};

rules! {
    /// The rules of this topic, `calc/rules/evaporation.toml`.
    pub struct EvaporationRules in "evaporation" {
        /// Coefficients of the pressure of water vapour.
        pub vapour_pressure: [f64; 4],
        /// That over seawater, as a share of that over pure water.
        pub seawater: Share => "90 %"..="100 %",
        /// Coefficients of what evaporates from a still surface.
        pub still: [f64; 2],
        /// What evaporates from a stirred surface, kg/(m² h kPa).
        pub stirred: [f64; 1],
        /// Coefficients of what moving air adds.
        pub wind: [f64; 2],
        /// Speed of the air that a fan sends over the water.
        pub fan_speed: Band<Velocity> => "0 m/s"..="5 m/s",
        /// What a lid lets through.
        pub lid_passes: Band<Share> => "0 %"..="100 %",
        /// How deep the water in a sump mostly stands.
        pub sump_depth: Length => "5 cm"..="1 m",
        /// Rise of the salinity after which to act.
        pub rise_to_act: Salinity => "0.1"..="5",
        /// Surfaces in the table.
        pub surfaces: Vec<Area> => "100 cm2"..="20 m2",
    }
}
