//! Care of the pumps.

use uom::si::f64::{Mass, Ratio, Time, Volume};

super::ids! {
    /// Look at every pump: does it run, does it sound as usual?.
    EVERY_LOOK: String = "upkeep.every_look";
    /// Wipe slime and algae off the intakes, their guards and the outlets.
    EVERY_WIPE: String = "upkeep.every_wipe";
    /// Take the pump apart and bathe it in a weak acid.
    EVERY_ACID_BATH: String = "upkeep.every_acid_bath";
    /// Check shaft, bearings, cable and rubber feet for wear.
    EVERY_WEAR_PARTS: String = "upkeep.every_wear_parts";
    /// Press the test button of the residual-current device.
    EVERY_RESIDUAL_CURRENT_TEST: String = "upkeep.every_residual_current_test";
    /// With the mains off, see that what has a battery runs on it.
    EVERY_BATTERY_TEST: String = "upkeep.every_battery_test";
    /// Citric acid for the bath.
    CITRIC_ACID: Mass = "upkeep.citric_acid";
    /// Citric acid for the bath where the packet says monohydrate.
    CITRIC_CRYSTALS: Mass = "upkeep.citric_crystals";
    /// Scale that citric acid can dissolve, for each of its own mass.
    CITRIC_RATIO: Ratio = "upkeep.citric_ratio";
    /// Scale that the citric acid can dissolve at the most.
    CITRIC_SCALE: Mass = "upkeep.citric_scale";
    /// Vinegar for the bath.
    VINEGAR: Volume = "upkeep.vinegar";
    /// Scale that the vinegar can dissolve at the most.
    VINEGAR_SCALE: Mass = "upkeep.vinegar_scale";
    /// How often to clean to keep the wanted share of the flow.
    KEEP_INTERVAL: Time = "upkeep.keep_interval";
    /// Whether other pumps run on while one is cleaned.
    SEVERAL: String = "upkeep.several";
}
