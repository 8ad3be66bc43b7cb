//! The rules of the topic `cost`, `calc/rules/cost.toml`.

use uom::si::f64::{Power, Time};

use crate::quantity::UsDollars;
use super::{Band, rules};

rules! {
    /// The rules of this topic, `calc/rules/cost.toml`.
    pub struct CostRules in "cost" {
        /// Price of a pump with one speed.
        pub fixed_price: Band<UsDollars> => "0"..="100000",
        /// Price of a pump whose speed a controller sets.
        pub controllable_price: Band<UsDollars> => "0"..="100000",
        /// Price of a new impeller for a pump with one speed.
        pub fixed_wet_end: Band<UsDollars> => "0"..="100000",
        /// Price of a new wet end for a pump whose speed a controller sets.
        pub controllable_wet_end: Band<UsDollars> => "0"..="100000",
        /// How long a wet end lasts.
        pub wet_end_interval: Band<Time> => "1 months"..="50 years",
        /// Power of a pump with one speed.
        pub fixed_power: Band<Power> => "0.1 W"..="1 kW",
        /// Power of a round pump whose speed a controller sets.
        pub controllable_power: Band<Power> => "0.1 W"..="1 kW",
        /// Power of a cross-flow pump.
        pub cross_flow_power: Band<Power> => "0.1 W"..="1 kW",
        /// Years over which the cost is summed.
        pub years: Time => "1 years"..="50 years",
    }
}
