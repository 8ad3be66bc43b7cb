//! The water itself.

use uom::si::f64::{KinematicViscosity, MassDensity, ThermodynamicTemperature};

use crate::quantity::Salinity;

super::ids! {
    /// Temperature of the water.
    TEMPERATURE: ThermodynamicTemperature = "seawater.temperature";
    /// Salinity of the water.
    SALINITY: Salinity = "seawater.salinity";
    /// Density of the water.
    DENSITY: MassDensity = "seawater.density";
    /// Viscosity of the water, for its mass.
    VISCOSITY: KinematicViscosity = "seawater.viscosity";
}
