//! What warms the water, and what cools it.

use uom::si::f64::{Area, Power, ThermodynamicTemperature};

use crate::rules::Band;

super::ids! {
    /// Heat that the pumps bring into the water.
    PUMPS: Power = "heat.pumps";
    /// Panes that stand in water.
    PANES: Area = "heat.panes";
    /// Heat that goes off with what evaporates.
    EVAPORATES: Band<Power> = "heat.evaporates";
    /// Heat that the tank loses in its room.
    LOSES: Band<Power> = "heat.loses";
    /// What the heater gives on average.
    HEATER: Band<Power> = "heat.heater";
    /// How warm the water gets in its room by the pumps alone.
    ALONE: Band<ThermodynamicTemperature> = "heat.alone";
    /// The same with a lamp whose heat reaches the water.
    WITH_LAMP: Band<ThermodynamicTemperature> = "heat.with_lamp";
    /// The room in which the water gets too warm.
    HOTTEST_ROOM: Band<ThermodynamicTemperature> = "heat.hottest_room";
    /// The same under a fan.
    HOTTEST_ROOM_FAN: Band<ThermodynamicTemperature> = "heat.hottest_room_fan";
}
