//! The rules of the topic `weir`, `calc/rules/weir.toml`.

use uom::si::f64::{Length, VolumeRate};

use crate::quantity::Share;
use super::{Band, rules};

rules! {
    /// The rules of this topic, `calc/rules/weir.toml`.
    pub struct WeirRules in "weir" {
        /// Coefficient of the flow over a sharp edge, in metres and seconds.
        pub francis: [f64; 1],
        /// What the gaps of a comb leave of its edge.
        pub comb: Band<Share> => "10 %"..="100 %",
        /// Thickness of a sheet that still skims well.
        pub skims: Length => "2 mm"..="5 cm",
        /// Piece of an edge in the table.
        pub piece: Length => "1 cm"..="5 m",
        /// Flows in the table.
        pub flows: Vec<VolumeRate> => "50 L/h"..="50000 L/h",
    }
}
