//! The rules of the topic `placement`, `calc/rules/placement.toml`.

use uom::si::f64::Length;

use crate::quantity::Share;
use super::{Band, rules};

rules! {
    /// The rules of this topic, `calc/rules/placement.toml`.
    pub struct PlacementRules in "placement" {
        /// Water to leave between a pump's opening and the surface.
        pub below_surface: Length => "0 cm"..="30 cm",
        /// How far up the water a pump hangs, where nothing speaks against it.
        pub height_share: Share => "10 %"..="100 %",
        /// How much higher one of two pumps hangs than the other, as a share of the water's height.
        pub stagger: Share => "0 %"..="50 %",
        /// How far up a stream is aimed on its way, as a share of the water's height.
        pub aimed_up: Share => "0 %"..="50 %",
        /// How far beside the point opposite a pump on an end is aimed, as a share of the end pane.
        pub turned: Share => "0 %"..="50 %",
        /// Share of the back pane from its end that counts as a corner.
        pub corner: Share => "1 %"..="49 %",
        /// Where in that corner a plan hangs a pump.
        pub corner_at: Share => "0 %"..="49 %",
        /// How far along the front pane a pump in a back corner aims.
        pub corner_aim: Share => "50 %"..="100 %",
        /// Where two pumps on one end pane hang.
        pub beside: Band<Share> => "0 %"..="100 %",
        /// Share of its way on which each stream must have slowed to what suits the animals, at the least.
        pub calm_share: Share => "0 %"..="90 %",
        /// Gap between a pane and a wall that the outer half of a pump needs.
        pub gap: Length => "1 cm"..="50 cm",
        /// How much thicker than a magnet's largest a pane may be, so that a pane told in inches counts as
        /// the millimetres it is sold as.
        pub pane_slack: Share => "0 %"..="10 %",
        /// Steps in which settings are tried.
        pub dial_step: Share => "1 %"..="25 %",
    }
}
