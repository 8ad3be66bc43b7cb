//! Speeds that animals meet.

use uom::si::f64::Velocity;

use crate::rules::Band;

super::ids! {
    /// Speed of the water for soft corals.
    NOW: Band<Velocity> = "speeds.now";
    /// Speed of the water for each kind that is to live there now.
    NOW_EACH: String = "speeds.now_each";
    /// Speed of the water for small-polyp stony corals.
    LATER: Band<Velocity> = "speeds.later";
    /// Speed of the water for each kind that is to live there later.
    LATER_EACH: String = "speeds.later_each";
    /// Speed below the waves on an outer reef slope, at the most.
    DEEP_REEF: Velocity = "speeds.deep_reef";
}
