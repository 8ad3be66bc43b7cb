//! The rules of the topic `speed_map`, `calc/rules/speed_map.toml`.

use uom::si::f64::{Length, Pressure, Ratio, Velocity};

use crate::quantity::Share;
use super::rules;

rules! {
    /// The rules of this topic, `calc/rules/speed_map.toml`.
    pub struct SpeedMapRules in "speed_map" {
        /// `k`: along a pane that a stream has met close by it moves at `k d / r` of its exit speed.
        pub wall_near: Ratio => "0.5"..="3",
        /// The same where the pane is farther off.
        pub wall_far: Ratio => "0.5"..="3",
        /// How many outlet diameters count as close by.
        pub wall_nearby: Ratio => "1"..="50",
        /// How much the half-width of a stream along a pane grows for each length of way.
        pub wall_growth: Ratio => "0.02"..="0.3",
        /// How much faster a stream can be that hugs a pane.
        pub hugging: Share => "100 %"..="142 %",
        /// Water that comes back, as a multiple of `U₀ d / √A`.
        pub return_speed: Ratio => "0"..="2",
        /// How many times the root of the section a stream goes until nothing of it comes back.
        pub return_reach: Ratio => "1.6"..="10",
        /// How much the speed swings, of what the streams come to that meet.
        pub swing: Share => "0 %"..="100 %",
        /// What is left of the speed close behind rock.
        pub lee: Share => "0 %"..="90 %",
        /// Coefficients of how long the lee behind a block is.
        pub lee_length: [f64; 3],
        /// Exponent of how the speed comes back behind the lee.
        pub lee_recovers: Ratio => "0.5"..="4",
        /// How far aside the end of a stream goes when its pump is turned a little, as a share of its way.
        pub turned_by: Share => "2 %"..="60 %",
        /// How far down it goes when its pump is tilted a little, as a share of its way.
        pub tilted_by: Share => "2 %"..="60 %",
        /// How much higher or lower a pump is hung, as a share of the water's height.
        pub hung_by: Share => "2 %"..="50 %",
        /// How far a pump is moved along its pane, as a share of it.
        pub moved_by: Share => "2 %"..="50 %",
        /// How much of the floor or the rock a change must better to count.
        pub counts_from: Share => "1 %"..="20 %",
        /// Slower water counts as still.
        pub still: Velocity => "0.1 cm/s"..="5 cm/s",
        /// Stress on the floor that moves fresh waste again.
        pub waste_moves: Pressure => "0.001 Pa"..="1 Pa",
        /// How far off the rock its speeds are told.
        pub beside_rock: Length => "5 mm"..="10 cm",
        /// Share of a pile of rock that is rock.
        pub packing: Share => "10 %"..="100 %",
        /// Length of a wall of rock, as a share of the tank's.
        pub wall_length: Share => "10 %"..="95 %",
        /// Its width, as a share of the tank's.
        pub wall_width: Share => "10 %"..="80 %",
        /// Gap between it and the back pane.
        pub wall_gap: Length => "0 cm"..="30 cm",
        /// How many islands of rock there are.
        pub islands: usize => "1"..="9",
        /// Length of each, as a share of the tank's.
        pub island_length: Share => "5 %"..="95 %",
        /// Its width, as a share of the tank's.
        pub island_width: Share => "10 %"..="95 %",
        /// How far up the water rock reaches at the most.
        pub rock_top: Share => "10 %"..="100 %",
    }
}
