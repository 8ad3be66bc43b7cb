//! The rules of the topic `paper`, `calc/rules/paper.toml`.

use uom::si::f64::{Length, Mass};

use super::rules;

rules! {
    /// The rules of this topic, `calc/rules/paper.toml`.
    pub struct PaperRules in "paper" {
        /// Masses of rock in the table.
        pub rock_masses: Vec<Mass> => "0.1 kg"..="1000 kg",
        /// Masses of all fish in the table.
        pub fish_masses: Vec<Mass> => "1 g"..="10 kg",
        /// Mass of one of the fish.
        pub fish: Mass => "1 g"..="500 g",
        /// Depth of the water.
        pub water_depth: Length => "10 cm"..="2 m",
        /// Lengths of tanks in the table.
        pub lengths: Vec<Length> => "20 cm"..="6 m",
    }
}
