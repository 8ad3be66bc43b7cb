//! What evaporates, and the salt that stays.

use uom::si::f64::{Area, Length, ThermodynamicTemperature, Time, Volume};

use crate::quantity::{Salinity, Share};
use crate::rules::Band;

super::ids! {
    /// Temperature of the room.
    ROOM: ThermodynamicTemperature = "evaporation.room";
    /// Relative humidity of its air.
    HUMIDITY: Share = "evaporation.humidity";
    /// What evaporates in a day.
    A_DAY: Band<Volume> = "evaporation.a_day";
    /// What evaporates in a week.
    A_WEEK: Band<Volume> = "evaporation.a_week";
    /// What evaporates in a day under a fan.
    WITH_FAN: Band<Volume> = "evaporation.with_fan";
    /// How far the surface falls in a day where no chamber takes the loss.
    FALL: Band<Length> = "evaporation.fall";
    /// Salinity after a day without topping up, at the most.
    AFTER_DAY: Salinity = "evaporation.after_day";
    /// Salinity after a week without topping up, at the most.
    AFTER_WEEK: Salinity = "evaporation.after_week";
    /// How long it takes at the least until the salinity has risen so far that one must act.
    RISE_TIME: Time = "evaporation.rise_time";
    /// The surface of the sump, by the depth that water in sumps mostly has.
    SUMP_SURFACE: Area = "evaporation.sump_surface";
    /// Water in the return pump's chamber, from its usual level down to where the pump draws air.
    CHAMBER: Volume = "evaporation.chamber";
    /// How long that lasts without topping up.
    CHAMBER_LASTS: Band<Time> = "evaporation.chamber_lasts";
}
