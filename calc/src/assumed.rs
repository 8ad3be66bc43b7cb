//! What is assumed where a tank file leaves something out that a figure needs, such as the voltage of the
//! sockets.
//!
//! Nothing that protects is ever assumed: no battery, sump, skimmer, lid, pump or residual-current device.
//! What is assumed is a rule with a basis, which the value of the tank names itself, and the figure that
//! shows it says so.

use crate::rules::words::Assumed;

/// What says a key of [`KEYS`] in words.
pub type Say = fn(&Assumed) -> &str;

/// A key or table that a tank file may leave out: what it is called there, and what it is in words.
///
/// A door that no file names is taken to be missing, which needs no rule.
pub const KEYS: [(&str, Say); 15] = [
    ("water.temperature", Assumed::temperature),
    ("water.salinity", Assumed::salinity),
    ("return.elbows", Assumed::elbows),
    ("return.sound", Assumed::return_sound),
    ("skimmer.power", Assumed::skimmer_power),
    ("skimmer.sound", Assumed::skimmer_sound),
    ("home.price_per_kwh", Assumed::price),
    ("home.pillow", Assumed::pillow),
    ("home.room", Assumed::room),
    ("home.door", Assumed::door),
    ("home.temperature", Assumed::room_temperature),
    ("home.humidity", Assumed::humidity),
    ("home.voltage", Assumed::voltage),
    ("home.breaker", Assumed::breaker),
    ("lights", Assumed::lights),
];
