//! What is assumed where a tank file leaves something out that a figure needs, such as the voltage of the sockets.
//!
//! Nothing that protects is ever assumed: no battery, sump, skimmer, lid, pump or residual-current device. What is assumed
//! is a rule with a basis, which the value of the tank names itself, and the figure that shows it says so.

/// A key or table that a tank file may leave out: what it is called there, and what it is in words.
///
/// A door that no file names is taken to be missing, which needs no rule.
pub const KEYS: [(&str, &str); 13] = [
    ("water.temperature", "the temperature of the water"),
    ("water.salinity", "its salinity"),
    ("return.elbows", "the elbows in the return pipe"),
    ("return.sound", "the sound of the return pump"),
    ("skimmer.power", "the power of the skimmer"),
    ("skimmer.sound", "the sound of the skimmer"),
    ("home.price_per_kwh", "the price of electricity"),
    ("home.pillow", "how far the nearest pillow is"),
    ("home.room", "how much cloth the bedroom holds"),
    ("home.door", "that no door between tank and pillow is shut at night"),
    ("home.voltage", "the voltage of the sockets"),
    ("home.breaker", "the rating of the breaker"),
    ("lights", "the hours of the lights"),
];
