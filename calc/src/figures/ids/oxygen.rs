//! Oxygen, and who breathes it.

use uom::si::f64::{MassConcentration, MassRate, Time};

use crate::quantity::Share;
use crate::rules::Band;

super::ids! {
    /// Oxygen that the water holds in balance with the air.
    SATURATION: MassConcentration = "oxygen.saturation";
    /// Oxygen in the water when the power fails.
    START: Band<MassConcentration> = "oxygen.start";
    /// The same as a share of what the water could hold.
    START_SHARE: Band<Share> = "oxygen.start_share";
    /// Oxygen that the fish breathe at rest.
    REST: MassRate = "oxygen.rest";
    /// Oxygen that the fish breathe, from asleep to frightened.
    FISH: Band<MassRate> = "oxygen.fish";
    /// Oxygen that a reef of this floor's size and livestock breathes in the dark.
    FLOOR: Band<MassRate> = "oxygen.floor";
    /// Oxygen that the floor and all that is overgrown breathe in the dark.
    SAND_AND_ROCK: Band<MassRate> = "oxygen.sand_and_rock";
    /// Oxygen that all life in the tank breathes in the dark.
    DEMAND: Band<MassRate> = "oxygen.demand";
    /// Oxygen that all life in the tank breathes in the dark, at the worst.
    DEMAND_WORST: MassRate = "oxygen.demand_worst";
    /// Oxygen that all life in the tank breathes in the dark, as is likely.
    DEMAND_LIKELY: MassRate = "oxygen.demand_likely";
    /// Oxygen that all life in the tank breathes in the dark, at the best.
    DEMAND_BEST: MassRate = "oxygen.demand_best";
    /// Oxygen above what you aim for when the power fails, at the worst.
    SPARE: MassConcentration = "oxygen.spare";
    /// Time that the spare oxygen in the water lasts if none comes in, at the worst.
    STORE: Time = "oxygen.store";
}
