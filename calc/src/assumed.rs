//! What is assumed where a tank file leaves something out that a figure needs, such as the voltage of the sockets.
//!
//! Nothing that protects is ever assumed: no battery, sump, skimmer, lid, pump or residual-current device. What is assumed is a rule
//! with a basis, and the figure that shows it says so.

use crate::error::Error;
use crate::rules::assumed::has_low_mains;
use crate::sheet::{Figure, Sheet};
use crate::tank::Tank;

/// A key or table that a tank file may leave out: what it is called there, the rules that then count, and what it is in words.
///
/// A door that no file names is taken to be missing, which needs no rule.
pub const KEYS: [(&str, &[&str], &str); 13] = [
    ("water.temperature", &["assumed.temperature"], "the temperature of the water"),
    ("water.salinity", &["assumed.salinity"], "its salinity"),
    ("return.elbows", &["assumed.elbows"], "the elbows in the return pipe"),
    ("return.sound", &["assumed.return_sound"], "the sound of the return pump"),
    ("skimmer.power", &["assumed.skimmer_power"], "the power of the skimmer"),
    ("skimmer.sound", &["assumed.skimmer_sound"], "the sound of the skimmer"),
    ("home.price_per_kwh", &["assumed.price"], "the price of electricity"),
    ("home.pillow", &["assumed.pillow"], "how far the nearest pillow is"),
    ("home.room", &["sound.ordinary_room"], "how much cloth the bedroom holds"),
    ("home.door", &[], "that no door between tank and pillow is shut at night"),
    ("home.voltage", &["assumed.voltage"], "the voltage of the sockets"),
    ("home.breaker", &["assumed.breaker"], "the rating of the breaker"),
    ("lights", &["programme.lights_on", "programme.lights_off"], "the hours of the lights"),
];

/// The rules that count where the file of a tank leaves out a key, one of [`KEYS`].
pub fn rules_of(tank: &Tank, key: &str) -> &'static [&'static str] {
    match key {
        "home.voltage" if !has_low_mains(tank.home.currency) => &["assumed.voltage_elsewhere"],
        "home.breaker" if !has_low_mains(tank.home.currency) => &["assumed.breaker_elsewhere"],
        _ => KEYS.iter().find(|(known, ..)| *known == key).map_or(&[], |(_, rules, _)| *rules),
    }
}

/// Adds the figure of this topic: what was assumed of the tank, in words.
pub(crate) fn figures(sheet: &mut Sheet, tank: &Tank) -> Result<(), Error> {
    let assumed: Vec<_> = KEYS.iter().filter(|(key, ..)| tank.assumed.contains(key)).collect();
    let words: Vec<_> = assumed.iter().map(|(.., words)| *words).collect();
    let told = match words.as_slice() {
        [] => "nothing".to_owned(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    };
    let figure = Figure::new("tank.assumed", "What the tank file leaves out and the book assumes", told.as_str());
    let rules = assumed.iter().flat_map(|(key, ..)| rules_of(tank, key));
    sheet.put(rules.fold(figure, |figure, rule| figure.rule(rule)));
    Ok(())
}
