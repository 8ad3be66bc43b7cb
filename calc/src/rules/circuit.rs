//! The rules of the topic `circuit`, `calc/rules/circuit.toml`.

use uom::si::f64::ElectricCurrent;

use crate::quantity::Share;
use super::{Band, rules};

rules! {
    /// The rules of this topic, `calc/rules/circuit.toml`.
    pub struct CircuitRules in "circuit" {
        /// What a circuit must be rated for, of a load that runs for hours.
        pub continuous_factor: Share => "100 %"..="200 %",
        /// Power factor of small power supplies.
        pub power_factor: Band<Share> => "20 %"..="100 %",
        /// Residual current of additional protection for people.
        pub rcd_additional_protection: ElectricCurrent => "1 mA"..="500 mA",
        /// Sockets that must have it in the United Kingdom, up to this rating.
        pub rcd_sockets: ElectricCurrent => "1 A"..="125 A",
        /// Residual current at which a class A interrupter switches off.
        pub gfci_trips: ElectricCurrent => "1 mA"..="500 mA",
        /// Residual current below which it stays on.
        pub gfci_holds: ElectricCurrent => "1 mA"..="500 mA",
        /// Numbers in the longest time it may take.
        pub gfci_time: [f64; 2],
        /// Residual currents for which that time is set.
        pub gfci_range: Band<ElectricCurrent> => "1 mA"..="1 A",
        /// Residual currents in the table of times.
        pub faults: Vec<ElectricCurrent> => "1 mA"..="1 A",
    }
}
