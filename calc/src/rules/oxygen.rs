//! The rules of the topic `oxygen`, `calc/rules/oxygen.toml`.

use uom::si::f64::{Area, Length, MassConcentration, MassFlux, MolarMass, Ratio, ThermodynamicTemperature, VolumeRate};

use crate::quantity::{Share, TransferVelocity};
use super::livestock::Lives;
use super::{Band, rules};

rules! {
    /// The rules of this topic, `calc/rules/oxygen.toml`.
    pub struct OxygenRules in "oxygen" {
        kinds {
            /// Share of what a reef slope takes up that the floor of a tank does, by livestock.
            reef_shares: Share,
        }
        /// Oxygen in saturated water: A0 to A5.
        pub saturation_temperature: [f64; 6],
        /// Oxygen in saturated water: B0 to B3.
        pub saturation_salinity: [f64; 4],
        /// Oxygen in saturated water: C0.
        pub saturation_salinity_squared: [f64; 1],
        /// Mass of a mole of oxygen.
        pub molar_mass: MolarMass => "31.9 g/mol"..="32.1 g/mol",
        /// Breathing of a resting fish of 50 g: a and b of ln(mmol/h) = a + b × 1000 ÷ T.
        pub respiration_temperature: [f64; 2],
        /// How breathing grows with a fish's mass: the exponent.
        pub respiration_exponent: [f64; 1],
        /// What fish breathe, awake and fed, over what they breathe at rest.
        pub activity: Band<Ratio> => "0.5"..="30",
        /// What everything else breathes at the least, as a share of what the fish breathe.
        pub others: Band<Share> => "0 %"..="1000 %",
        /// What a reef slope takes up in the dark, by area seen from above.
        pub reef_night: MassFlux => "10 mmol/m2/d"..="5000 mmol/m2/d",
        /// What sand takes up in the dark.
        pub sand_night: Band<MassFlux> => "0.01 mmol/m2/h"..="50 mmol/m2/h",
        /// What overgrown rock takes up in the dark, by its outer surface.
        pub rock_night: Band<MassFlux> => "0.01 mmol/m2/h"..="50 mmol/m2/h",
        /// Outer surface of a kilogram of rock.
        pub rock_surface: Band<Area> => "50 cm2"..="1 m2",
        /// How many times more corals, sand and rock breathe ten degrees warmer.
        pub night_q10: Ratio => "1"..="5",
        /// Temperature at which that was measured.
        pub night_temperature: ThermodynamicTemperature => "15 °C"..="35 °C",
        /// Schmidt number of oxygen in seawater: coefficients of t⁰ to t⁴.
        pub schmidt: [f64; 5],
        /// Gas transfer through a surface in still air, at a Schmidt number of 600.
        pub still_surface: TransferVelocity => "0.1 cm/h"..="50 cm/h",
        /// Gas transfer through a stirred surface: the constant.
        pub renewal: [f64; 1],
        /// How far the gas transfer of a tank can be off the reckoned one, as a factor.
        pub transfer_off: Band<Ratio> => "0.01"..="100",
        /// Oxygen when the power fails, as a share of saturation, with a sump or a skimmer.
        pub start: Band<Share> => "20 %"..="150 %",
        /// The same with neither.
        pub start_plain: Band<Share> => "20 %"..="150 %",
        /// Oxygen to keep above.
        pub aim_limit: MassConcentration => "0.5 mg/L"..="10 mg/L",
        /// Oxygen below which animals are in danger.
        pub danger_limit: MassConcentration => "0.5 mg/L"..="10 mg/L",
        /// Share of the oxygen in a bubble that goes into the water for each metre that it rises.
        pub bubbles: Band<Share> => "0.1 %"..="50 %",
        /// Oxygen in a volume of air.
        pub air_oxygen: MassConcentration => "0.1 g/L"..="0.5 g/L",
        /// How many times faster bubbles give oxygen away for each degree above 20 °C.
        pub bubble_temperature: Ratio => "1"..="1.2",
        /// The coefficients of water that falls.
        pub fall: [f64; 3],
        /// Clean water, free fall.
        pub fall_quality: [f64; 2],
        /// Flow of the example pump on a battery.
        pub backup_flow: VolumeRate => "10 L/h"..="20000 L/h",
        /// Outlet of the example pump on a battery.
        pub backup_outlet: Length => "3 mm"..="15 cm",
        /// Air of the example air pump on a battery.
        pub backup_air: VolumeRate => "5 L/h"..="2000 L/h",
        /// Depth at which its bubbles leave.
        pub backup_depth: Length => "1 cm"..="2 m",
        /// Temperatures in the table.
        pub table_temperatures: Vec<ThermodynamicTemperature> => "0 °C"..="40 °C",
    }
}

impl OxygenRules {
    /// Share of what a reef slope takes up that the floor of a tank does: that of the kind that takes up the
    /// most.
    pub fn reef_share(&self, stock: &impl Lives) -> Band<Share> {
        *self.reef_shares[stock.most()]
    }

    /// The limit for the given meaning.
    pub fn limit(&self, limit: Limit) -> MassConcentration {
        match limit {
            Limit::Aim => *self.aim_limit,
            Limit::Danger => *self.danger_limit,
        }
    }
}

/// What a limit of oxygen means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// Keep above it.
    Aim,
    /// Below it animals are in danger.
    Danger,
}

impl Limit {
    /// Both, the higher first.
    pub const ALL: [Limit; 2] = [Limit::Aim, Limit::Danger];

    /// What an id says.
    pub fn key(self) -> &'static str {
        match self {
            Limit::Aim => "aim",
            Limit::Danger => "danger",
        }
    }
}
