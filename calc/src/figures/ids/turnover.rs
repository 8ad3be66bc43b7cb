//! Turnover, and the flow that follows from it.

use uom::si::f64::{Frequency, Volume, VolumeRate};

use crate::quantity::Share;
use crate::rules::Band;

super::ids! {
    /// Which volume the turnover counts, in words.
    COUNTS: String = "tank.counts";
    /// That volume.
    COUNTED: Volume = "tank.counted";
    /// Volume of a tank that is smaller than a beginner should start with.
    SMALL: Volume = "tank.small";
    /// What lives in the tank now.
    LIVES_NOW: String = "livestock.now";
    /// What is to live there later.
    LIVES_LATER: String = "livestock.later";
    /// How that is to change.
    GROWS: String = "livestock.grows";
    /// The move to small-polyp corals.
    TO_SMALL_POLYP: String = "livestock.to_small_polyp";
    /// Kinds that are kept together and want unlike bands.
    MIXED: String = "livestock.mixed";
    /// Turnover for what lives there now.
    NOW: Band<Frequency> = "turnover.now";
    /// Turnover for what is to live there.
    LATER: Band<Frequency> = "turnover.later";
    /// Turnover to aim for, now and later.
    CHANGES: Band<Frequency> = "turnover.changes";
    /// Turnover to aim for.
    AIM: Frequency = "turnover.aim";
    /// How far up the band that is.
    AIM_SHARE: Share = "turnover.aim_share";
    /// What the example propeller pump alone would do.
    EXAMPLE: Frequency = "turnover.example";
    /// Flow for what lives there now.
    FLOW_NOW: Band<VolumeRate> = "flow.now";
    /// The same, counting the net water.
    FLOW_NOW_NET: Band<VolumeRate> = "flow.now_net";
    /// The same, counting the gross volume.
    FLOW_NOW_GROSS: Band<VolumeRate> = "flow.now_gross";
    /// Flow for what is to live there.
    FLOW_LATER: Band<VolumeRate> = "flow.later";
    /// The same, counting the net water.
    FLOW_LATER_NET: Band<VolumeRate> = "flow.later_net";
    /// The same, counting the gross volume.
    FLOW_LATER_GROSS: Band<VolumeRate> = "flow.later_gross";
    /// Flow to aim for.
    FLOW_AIM: VolumeRate = "flow.aim";
    /// Rated flow to buy.
    FLOW_BUY: VolumeRate = "flow.buy";
}
