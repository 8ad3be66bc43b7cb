//! The rules of the topic `heat`, `calc/rules/heat.toml`.

use uom::si::f64::{Power, Ratio, ThermodynamicTemperature};

use super::rules;

rules! {
    /// The rules of this topic, `calc/rules/heat.toml`.
    pub struct HeatRules in "heat" {
        /// Coefficients of the heat that evaporating water takes along, kJ/kg.
        pub latent: [f64; 2],
        /// How much the air at a wall resists heat, m² K/W.
        pub air_film: [f64; 1],
        /// How well glass conducts heat, W/(m K).
        pub glass: Ratio => "0.1"..="10",
        /// How well acrylic does.
        pub acrylic: Ratio => "0.01"..="10",
        /// How well heat passes from the water's surface to the air, W/(m² K).
        pub surface_film: [f64; 1],
        /// Water in which a reef begins to suffer.
        pub too_warm: ThermodynamicTemperature => "24 °C"..="35 °C",
        /// Heat of a lamp that reaches the water.
        pub lamp: Power => "1 W"..="1000 W",
        /// Rooms in the table.
        pub rooms: Vec<ThermodynamicTemperature> => "5 °C"..="45 °C",
    }
}
