//! The rules of the topic `volume`, `calc/rules/volume.toml`.

use uom::si::f64::MassDensity;

use crate::quantity::Share;
use super::{Band, rules};

rules! {
    /// The rules of this topic, `calc/rules/volume.toml`.
    pub struct VolumeRules in "volume" {
        /// Density of tank glass.
        pub glass_density: MassDensity => "2000 kg/m3"..="3000 kg/m3",
        /// Density of acrylic.
        pub acrylic_density: MassDensity => "1000 kg/m3"..="1500 kg/m3",
        /// Density of the mineral in coral sand and reef rock.
        pub mineral_density: MassDensity => "2000 kg/m3"..="3500 kg/m3",
        /// Share of a sand bed that is water between the grains.
        pub sand_porosity: Share => "20 %"..="70 %",
        /// Share of reef rock that is holes and pores.
        pub rock_porosity: Share => "5 %"..="85 %",
        /// Rock that fits a reef, by mass for each volume of tank.
        pub usual_rock: Band<MassDensity> => "1 kg/m3"..="500 kg/m3",
        /// How far the mass of rock can be off, as it is weighed at home.
        pub weighing_error: Share => "1 %"..="50 %",
    }
}
