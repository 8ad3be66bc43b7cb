//! The rules of the topic `atlas`, `calc/rules/atlas.toml`.

use uom::si::f64::{Length, Volume, VolumeRate};

use crate::quantity::Share;
use super::rules;

rules! {
    /// The rules of this topic, `calc/rules/atlas.toml`.
    pub struct AtlasRules in "atlas" {
        /// Water that the pumps move in each tank.
        pub water: Volume => "20 L"..="2000 L",
        /// Rated flow of each pump.
        pub pump_flow: VolumeRate => "100 L/h"..="50000 L/h",
        /// Outlet of each pump, across.
        pub pump_outlet: Length => "5 mm"..="20 cm",
        /// Rock, as a share of the display's inside up to the water.
        pub rock: Share => "1 %"..="20 %",
        /// Length of a single hill, as a share of the tank's.
        pub hill_length: Share => "5 %"..="95 %",
        /// Its width, as a share of the tank's.
        pub hill_width: Share => "10 %"..="95 %",
        /// Length of the long box and of the divider.
        pub long_box_length: Length => "20 cm"..="3 m",
        /// Their width.
        pub long_box_width: Length => "20 cm"..="3 m",
        /// Side of the cube.
        pub cube_side: Length => "20 cm"..="3 m",
        /// Length of the tall tank.
        pub tall_length: Length => "20 cm"..="3 m",
        /// Its width.
        pub tall_width: Length => "20 cm"..="3 m",
        /// Length of the bow front.
        pub bow_front_length: Length => "20 cm"..="3 m",
        /// Its width at the ends.
        pub bow_front_width: Length => "20 cm"..="3 m",
        /// How far it swings out in the middle.
        pub bow: Length => "1 cm"..="10 cm",
        /// Diameter of the cylinder.
        pub cylinder_across: Length => "20 cm"..="3 m",
        /// Length of the all-in-one tank.
        pub all_in_one_length: Length => "20 cm"..="3 m",
        /// Its width, chamber and all.
        pub all_in_one_width: Length => "30 cm"..="3 m",
        /// Depth of its rear chamber.
        pub chamber: Length => "2 cm"..="14 cm",
        /// Length of the shallow tank.
        pub shallow_length: Length => "20 cm"..="3 m",
        /// Its width.
        pub shallow_width: Length => "20 cm"..="3 m",
    }
}
