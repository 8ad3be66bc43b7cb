//! What several pumps do together.

use uom::si::f64::{Length, Velocity};

use crate::quantity::Share;

super::ids! {
    /// The two pumps of the table of teams.
    PUMPS: String = "team.pumps";
    /// How low the pulses of the table go, of what each pump is set to.
    LOW: Share = "team.low";
    /// From either end of the tank to the point midway.
    WAY: Length = "team.way";
    /// Speed midway of the lead alone, at its setting.
    LEAD: Velocity = "team.lead";
    /// Speed midway of the follower alone, at its setting.
    FOLLOWER: Velocity = "team.follower";
    /// Speed midway of both side by side, at their settings.
    TOGETHER: Velocity = "team.together";
    /// Whether there is a team.
    ALONE: String = "team.alone";
}
