//! The rules of the topic `glass`, `calc/rules/glass.toml`.

use uom::si::f64::{Pressure, Ratio};

use crate::quantity::{Share, Thickness};
use super::{Band, rules};

rules! {
    /// The rules of this topic, `calc/rules/glass.toml`.
    pub struct GlassRules in "glass" {
        /// Poisson's ratio of glass.
        pub poisson: Ratio => "0"..="0.5",
        /// Stress at which annealed glass breaks under a short load.
        pub strength: Pressure => "10 MPa"..="200 MPa",
        /// Stress up to which panes that bear water for decades are built.
        pub most_stress: Pressure => "1 MPa"..="40 MPa",
        /// Stress below which a pane is far thicker than needed.
        pub least_stress: Pressure => "0.1 MPa"..="10 MPa",
        /// Panes of the smallest tanks, whatever the stress.
        pub small_panes: Band<Thickness> => "2 mm"..="20 mm",
        /// How far the thickness that the sum asks for can be off.
        pub sum_error: Share => "1 %"..="30 %",
    }
}
