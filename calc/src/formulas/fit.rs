//! What pumps still give, and what is missing.

use uom::si::f64::VolumeRate;

use super::formula;
use crate::quantity::Share;

/// What pumps still move just before a cleaning.
///
/// - `lost`: the share of its clean flow that a pump has lost by then
#[formula("flow × (1 − lost)")]
pub fn just_before_a_cleaning(flow: VolumeRate, lost: Share) -> VolumeRate {
    flow * (1.0 - lost.0)
}

/// The flow that is missing; nothing where there is enough.
///
/// - `wanted`: the flow to aim for
/// - `given`: what there is
#[formula(words "flow to aim for − flow at full just before a cleaning, not below nothing")]
pub fn missing(wanted: VolumeRate, given: VolumeRate) -> VolumeRate {
    if wanted > given { wanted - given } else { VolumeRate::default() }
}
