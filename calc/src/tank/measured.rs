//! What a reader measured of a tank: the table `[measured]`.

use uom::si::f64::{Length, MassConcentration, Power, Time, Volume, VolumeRate};

use crate::document::{Table, did_you_mean};
use crate::quantity::SoundLevel;

/// What a reader measured.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Measured {
    /// What filled of a bucket under the return, and in what time.
    pub bucket: Option<(Volume, Time)>,
    /// What the return pump draws at the plug.
    pub return_power: Option<Power>,
    /// How a crumb went with a stream.
    pub crumb: Option<Crumb>,
    /// How many swings of the surface were counted, and in what time.
    pub swings: Option<(u32, Time)>,
    /// Oxygen in the water before the lights go on.
    pub dawn_oxygen: Option<MassConcentration>,
    /// What is heard at the pillow at night.
    pub pillow: Option<SoundLevel>,
    /// Fresh water topped up in a day.
    pub top_up: Option<Volume>,
}

/// How a crumb went with a stream.
#[derive(Debug, Clone, PartialEq)]
pub struct Crumb {
    /// The name of the pump.
    pub pump: String,
    /// How far from its outlet the count began.
    pub from: Length,
    /// How far from it the count stopped.
    pub to: Length,
    /// How long that took.
    pub time: Time,
}

impl Measured {
    /// Reads the table.
    ///
    /// - `hung`: the names of the pumps that hang in the tank
    pub(super) fn read(table: &mut Table<'_>, hung: &[&str]) -> Option<Self> {
        let bucket = table.maybe_quantity("bucket", "0.1 L"..="200 L");
        let bucket_time = table.maybe_quantity("bucket_time", "0.5 s"..="2 h");
        let return_power = table.maybe_quantity("return_power", "0.5 W"..="2000 W");
        let crumb = read_crumb(table, hung);
        let swings = table.maybe_count("swings", "1"..="1000");
        let swings_time = table.maybe_quantity("swings_time", "0.5 s"..="1 h");
        let dawn_oxygen = table.maybe_quantity("dawn_oxygen", "0.5 mg/L"..="15 mg/L");
        let pillow = table.maybe_quantity("pillow", "5 dB"..="80 dB");
        let top_up = table.maybe_quantity("top_up", "10 mL"..="500 L");
        go_together(table, &["bucket", "bucket_time"])?;
        go_together(table, &["swings", "swings_time"])?;
        Some(Measured {
            bucket: bucket.zip(bucket_time),
            return_power,
            crumb: crumb?,
            swings: swings.zip(swings_time),
            dawn_oxygen,
            pillow,
            top_up,
        })
    }

    /// The flow that a bucket tells.
    pub fn flow(&self) -> Option<VolumeRate> {
        self.bucket.map(|(water, time)| water / time)
    }
}

/// Reads how a crumb went; `None` inside where nobody threw one.
fn read_crumb(table: &mut Table<'_>, hung: &[&str]) -> Option<Option<Crumb>> {
    let pump = table.maybe_text("crumb_pump");
    let from = table.maybe_quantity("crumb_from", "0 cm"..="5 m");
    let to = table.maybe_quantity("crumb_to", "1 cm"..="5 m");
    let time = table.maybe_quantity("crumb_time", "0.1 s"..="10 min");
    go_together(table, &["crumb_pump", "crumb_from", "crumb_to", "crumb_time"])?;
    let (Some(pump), Some(from), Some(to), Some(time)) = (pump, from, to, time) else { return Some(None) };
    if !hung.contains(&pump.as_str()) {
        let all = || format!("its pumps are {}", hung.join(", "));
        let help = did_you_mean(&pump, hung).unwrap_or_else(|| {
            if hung.is_empty() { "write the pumps that hang in it as [[pump]]".to_owned() } else { all() }
        });
        table.refuse("crumb_pump", format!("no pump of this tank is called `{pump}`"), help);
        return None;
    }
    let way: Length = to - from;
    if way <= Length::default() {
        table.refuse(
            "crumb_to",
            "the crumb went no way",
            "`crumb_to` is farther from the outlet than `crumb_from`",
        );
        return None;
    }
    Some(Some(Crumb { pump, from, to, time }))
}

/// Refuses some of several keys that mean nothing without the others.
fn go_together(table: &mut Table<'_>, keys: &[&str]) -> Option<()> {
    let there: Vec<_> = keys.iter().filter(|key| table.has(key)).collect();
    let (Some(first), Some(missing)) = (there.first(), keys.iter().find(|key| !there.contains(key))) else {
        return Some(());
    };
    table.refuse(
        first,
        format!("`{first}` needs `{missing}` beside it"),
        format!("write both, or leave `{first}` out"),
    );
    None
}
