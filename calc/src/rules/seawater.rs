//! The rules of the topic `seawater`, `calc/rules/seawater.toml`.

use crate::quantity::SpecificGravity;
use super::rules;

rules! {
    /// The rules of this topic, `calc/rules/seawater.toml`.
    pub struct SeawaterRules in "seawater" {
        /// Density of pure water: coefficients of t⁰ to t⁵.
        pub water: [f64; 6],
        /// Density from salt: coefficients of t⁰ S to t⁴ S.
        pub salt: [f64; 5],
        /// Density from salt: coefficients of t⁰ S√S to t² S√S.
        pub salt_root: [f64; 3],
        /// Density from salt: coefficient of S².
        pub salt_squared: [f64; 1],
        /// Grams of salt in a kilogram of seawater of salinity 35.
        pub salt_mass: [f64; 1],
        /// Viscosity of pure water: a, b, c and d of a + 1 ÷ (b (t + c)² + d).
        pub water_viscosity: [f64; 4],
        /// Viscosity from salt: coefficients of t⁰ S to t² S.
        pub salt_viscosity: [f64; 3],
        /// Viscosity from salt: coefficients of t⁰ S² to t² S².
        pub salt_squared_viscosity: [f64; 3],
        /// Readings of a hydrometer that keepers aim for.
        pub usual_readings: Vec<SpecificGravity> => "1.015"..="1.030",
    }
}
