//! The rules of the topic `return_line`, `calc/rules/return_line.toml`.

use uom::si::f64::{Frequency, Length, Ratio};

use crate::quantity::Share;
use super::{Band, rules};

rules! {
    /// The rules of this topic, `calc/rules/return_line.toml`.
    pub struct ReturnLineRules in "return_line" {
        /// Coefficients of the Colebrook equation.
        pub colebrook: [f64; 3],
        /// Reynolds number up to which the flow is laminar.
        pub laminar_up_to: Ratio => "500"..="4000",
        /// Height of the bumps on the wall of a plastic pipe.
        pub roughness: Length => "0 mm"..="0.2 mm",
        /// Loss where the water enters the pipe, in velocity heads.
        pub entrance: Ratio => "0"..="2",
        /// Loss where it leaves.
        pub exit: Ratio => "0"..="2",
        /// Coefficients of the loss in an elbow.
        pub elbow: [f64; 2],
        /// Coefficients of the loss in a sudden narrowing.
        pub contraction: [f64; 4],
        /// How far the reckoned flow can be off.
        pub flow_error: Share => "1 %"..="90 %",
        /// Water over the overflow, by the water in tank and sump.
        pub sump_turnover: Band<Frequency> => "0.1 per hour"..="100 per hour",
        /// The fall of the tank's surface for which the water that runs down is told.
        pub drop: Length => "1 mm"..="20 cm",
        /// Usual pipes, by their bore.
        pub usual_bores: Vec<Length> => "8 mm"..="15 cm",
        /// Narrow pieces, by their bore as a share of the pipe's.
        pub narrow_pieces: Vec<Share> => "30 %"..="99 %",
    }
}
