//! The rules of the topic `assumed`, `calc/rules/assumed.toml`.

use uom::si::f64::{ElectricCurrent, ElectricPotential, Length, Power, ThermodynamicTemperature};

use crate::quantity::{Currency, Money, Salinity, Share, SoundLevel};
use super::rules;

rules! {
    /// The rules of this topic, `calc/rules/assumed.toml`.
    pub struct AssumedRules in "assumed" {
        /// Voltage of the sockets, where the money is that of a country with the lower mains voltage.
        pub voltage: ElectricPotential => "90 V"..="260 V",
        /// Rating of the circuit's breaker there.
        pub breaker: ElectricCurrent => "2 A"..="63 A",
        /// Voltage of the sockets with any other money.
        pub voltage_elsewhere: ElectricPotential => "90 V"..="260 V",
        /// Rating of the circuit's breaker there.
        pub breaker_elsewhere: ElectricCurrent => "2 A"..="63 A",
        /// Price of a kilowatt hour, in the money that a home is taken to pay with.
        pub price: Money => "0.001"..="1000",
        /// From the tank to the nearest pillow.
        pub pillow: Length => "30 cm"..="50 m",
        /// Temperature of the water.
        pub temperature: ThermodynamicTemperature => "15 °C"..="35 °C",
        /// Salinity of the water.
        pub salinity: Salinity => "20"..="42",
        /// Elbows in the return pipe.
        pub elbows: usize => "0"..="1000",
        /// Sound level of a return pump at one metre.
        pub return_sound: SoundLevel => "5 dB"..="80 dB",
        /// Sound level of a skimmer at one metre.
        pub skimmer_sound: SoundLevel => "5 dB"..="80 dB",
        /// Power of a skimmer.
        pub skimmer_power: Power => "0.5 W"..="500 W",
        /// Temperature of the room.
        pub room: ThermodynamicTemperature => "5 °C"..="45 °C",
        /// Relative humidity of the room.
        pub humidity: Share => "5 %"..="100 %",
    }
}

/// The currencies of countries whose sockets have the lower of the two usual mains voltages, wholly or in
/// part.
const LOW_MAINS: [&str; 6] = ["BRL", "CAD", "COP", "JPY", "MXN", "USD"];

impl AssumedRules {
    /// Voltage of the sockets in a home that pays with this money.
    pub fn mains_voltage(&self, currency: Currency) -> ElectricPotential {
        if has_low_mains(currency) { *self.voltage } else { *self.voltage_elsewhere }
    }

    /// Rating of the breaker there.
    pub fn mains_breaker(&self, currency: Currency) -> ElectricCurrent {
        if has_low_mains(currency) { *self.breaker } else { *self.breaker_elsewhere }
    }
}

/// Whether a home that pays with this money is taken to have the lower mains voltage.
fn has_low_mains(currency: Currency) -> bool {
    LOW_MAINS.contains(&currency.code())
}
