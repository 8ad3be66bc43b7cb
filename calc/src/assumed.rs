//! What is assumed where a tank file leaves something out that a figure needs, such as the voltage of the sockets.
//!
//! Nothing that protects is ever assumed: no battery, sump, skimmer, lid, pump or residual-current device. What is assumed is a rule
//! with a basis, and the figure that shows it says so.

use uom::si::f64::{ElectricCurrent, ElectricPotential, Length, Power, Ratio, ThermodynamicTemperature};

use crate::error::Error;
use crate::quantity::{Currency, Dimension, Salinity, SoundLevel, UsDollars};
use crate::rules::Topic;
use crate::sheet::{Figure, Sheet};
use crate::tank::Tank;

/// The rules of this topic, `calc/rules/assumed.toml`.
#[derive(Debug, Clone)]
pub struct AssumedRules {
    /// Voltage of the sockets, where the money is that of a country with the lower mains voltage.
    pub voltage: ElectricPotential,
    /// Rating of the circuit's breaker there.
    pub breaker: ElectricCurrent,
    /// Voltage of the sockets with any other money.
    pub voltage_elsewhere: ElectricPotential,
    /// Rating of the circuit's breaker there.
    pub breaker_elsewhere: ElectricCurrent,
    /// Price of a kilowatt hour.
    pub price: UsDollars,
    /// From the tank to the nearest pillow.
    pub pillow: Length,
    /// Temperature of the water.
    pub temperature: ThermodynamicTemperature,
    /// Salinity of the water.
    pub salinity: Salinity,
    /// Elbows in the return pipe.
    pub elbows: u32,
    /// Sound level of a return pump at one metre.
    pub return_sound: SoundLevel,
    /// Sound level of a skimmer at one metre.
    pub skimmer_sound: SoundLevel,
    /// Power of a skimmer.
    pub skimmer_power: Power,
}

impl AssumedRules {
    pub(crate) fn read(topic: &mut Topic<'_, '_>) -> Option<Self> {
        let voltage = topic.one("voltage", "90 V"..="260 V");
        let breaker = topic.one("breaker", "2 A"..="63 A");
        let voltage_elsewhere = topic.one("voltage_elsewhere", "90 V"..="260 V");
        let breaker_elsewhere = topic.one("breaker_elsewhere", "2 A"..="63 A");
        let price = topic.one("price", "0.001"..="1000");
        let pillow = topic.one("pillow", "30 cm"..="50 m");
        let temperature = topic.one("temperature", "15 °C"..="35 °C");
        let salinity = topic.one("salinity", "20"..="42");
        let elbows = topic.one::<Ratio>("elbows", "0"..="1000");
        let return_sound = topic.one("return_sound", "5 dB"..="80 dB");
        let skimmer_sound = topic.one("skimmer_sound", "5 dB"..="80 dB");
        let skimmer_power = topic.one("skimmer_power", "0.5 W"..="500 W");
        Some(AssumedRules {
            voltage: voltage?,
            breaker: breaker?,
            voltage_elsewhere: voltage_elsewhere?,
            breaker_elsewhere: breaker_elsewhere?,
            price: price?,
            pillow: pillow?,
            temperature: temperature?,
            salinity: salinity?,
            elbows: elbows?.si() as u32,
            return_sound: return_sound?,
            skimmer_sound: skimmer_sound?,
            skimmer_power: skimmer_power?,
        })
    }
}

/// The currencies of countries whose sockets have the lower of the two usual mains voltages, wholly or in part.
const LOW_MAINS: [&str; 6] = ["BRL", "CAD", "COP", "JPY", "MXN", "USD"];

impl AssumedRules {
    /// Voltage of the sockets and rating of the breaker in a home that pays with this money.
    pub fn mains(&self, currency: Currency) -> (ElectricPotential, ElectricCurrent) {
        if has_low_mains(currency) { (self.voltage, self.breaker) } else { (self.voltage_elsewhere, self.breaker_elsewhere) }
    }
}

fn has_low_mains(currency: Currency) -> bool {
    LOW_MAINS.contains(&currency.code())
}

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
