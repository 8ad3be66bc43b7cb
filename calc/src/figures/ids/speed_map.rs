//! The map of speeds.

use uom::si::f64::{Length, Velocity};

use crate::quantity::Share;

super::ids! {
    /// The pumps whose streams it shows.
    PUMPS: String = "map.pumps";
    /// Whose pumps they are, where they are those of a plan.
    OF_PLAN: String = "map.of_plan";
    /// Its height, seen from above.
    HEIGHT: Length = "map.height";
    /// Speed near the floor below which fresh waste lies.
    WASTE_SPEED: Velocity = "map.waste_speed";
    /// Share of the floor on which it lies.
    FLOOR_LIES: Share = "map.floor_lies";
    /// The same while all pumps run at full.
    FLOOR_LIES_FULL: Share = "map.floor_lies_full";
    /// Share of the floor where the water is still.
    FLOOR_STILL: Share = "map.floor_still";
    /// Share of the rock where the water is still.
    ROCK_STILL: Share = "map.rock_still";
    /// Share of the rock where a stream is too strong for all that is to live there.
    ROCK_TOO_STRONG: Share = "map.rock_too_strong";
    /// Share of the rock that suits what lives there now.
    ROCK_SUITS: Share = "map.rock_suits";
    /// Share of the floor where the water is still all day.
    STILL_ALL_DAY: Share = "map.still_all_day";
    /// Share of the floor where it is still at some time of the day.
    STILL_AT_TIMES: Share = "map.still_at_times";
    /// Share of the floor on which waste lies all day.
    LIES_ALL_DAY: Share = "map.lies_all_day";
    /// Share of the rock where the water is still all day.
    ROCK_STILL_ALL_DAY: Share = "map.rock_still_all_day";
    /// Which small change of a pump helps most.
    BEST_CHANGE: String = "map.best_change";
}
