//! How soon the water has passed the pumps.

use uom::si::f64::{Ratio, Time};

use crate::quantity::Share;

super::ids! {
    /// Share of the water that has passed after one turnover.
    ONE_TURNOVER: Share = "mixing.one_turnover";
    /// Turnovers until nearly all has passed.
    TURNOVERS: Ratio = "mixing.turnovers";
    /// Time until nearly all has passed.
    NEARLY_ALL: Time = "mixing.nearly_all";
}
