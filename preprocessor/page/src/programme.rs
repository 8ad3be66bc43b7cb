//! A tank's programme for whatever controller its reader has: as CSV and as JSON.
//!
//! # CSV columns
//!
//! One line for each stretch of a pump, cut at midnight and at feedings, so that `from` is always before
//! `until`.
//!
//! | column | holds |
//! | --- | --- |
//! | `pump` | the pump's name |
//! | `from`, `until` | times of the day, `00:00` to `24:00` |
//! | `pattern` | `steady`, `pulse`, `alternate`, `wander`, `rest` or `feeding` (a rest that ends by itself) |
//! | `low_percent`, `high_percent` | the settings between which it runs; the same for a steady pump |
//! | `period_s` | seconds from change to change and back, for `wander` from change to change; empty where nothing changes |
//! | `starts` | `high` or `low`: how a pulse or a turn begins; empty for the others |

use reckoner_calc::decide::plan;
use reckoner_calc::decide::programme::{self, lights};
use reckoner_calc::formulas::programme::{Pattern, Programme, Segment};
use reckoner_calc::quantity::Dimension;
use reckoner_calc::{Catalogue, Error, Rules, Tank};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::csv;

/// A programme, as its JSON file holds it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ProgrammeFile {
    /// The layout of this file; readers refuse one they do not know.
    pub format: u32,
    /// The tank's name.
    pub tank: String,
    /// Whether the tank file holds no programme, so that this one was made up from the rules.
    pub suggested: bool,
    /// When the lights go on, such as `10:00`.
    pub lights_on: String,
    /// When they go off.
    pub lights_off: String,
    /// What each pump does, pump by pump, from midnight to midnight.
    pub stretches: Vec<StretchEntry>,
}

/// What one pump does without a break.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct StretchEntry {
    /// The pump's name.
    pub pump: String,
    /// When it begins.
    pub from: String,
    /// When it ends, `24:00` at the latest.
    pub until: String,
    /// `steady`, `pulse`, `alternate`, `wander`, `rest` or `feeding`.
    pub pattern: String,
    /// The lowest setting, in per cent.
    pub low_percent: f64,
    /// The highest setting, in per cent.
    pub high_percent: f64,
    /// Seconds from change to change and back; for `wander` from change to change.
    pub period_s: Option<f64>,
    /// How a pulse or a turn begins: `high` or `low`.
    pub starts: Option<String>,
}

/// The layout of the JSON file.
pub const FORMAT: u32 = 1;

/// A tank as its programme is for: where no pump hangs in it, with those of the plan.
///
/// # Errors
/// As [`plan::hung`].
pub fn with_pumps(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Tank, Error> {
    let mut tank = tank.clone();
    if tank.pumps.is_empty() {
        tank.pumps = plan::hung(rules, catalogue, &tank)?;
    }
    Ok(tank)
}

/// Why a programme has no stretches, and what to write into the tank file.
pub fn without_pumps(tank: &Tank) -> (String, &'static str) {
    (format!("`{}` lists no pump of the catalogue", tank.name), "add a [[pump]] with its name and model")
}

impl ProgrammeFile {
    /// The programme of a tank, its own or a suggested one.
    ///
    /// # Errors
    /// As [`programme::of`].
    pub fn of(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Self, Error> {
        let lights = lights(tank, &rules.programme);
        let names: Vec<_> = tank.pumps.iter().map(|pump| pump.name.as_str()).collect();
        let programme: Programme = programme::of(rules, catalogue, tank)?;
        Ok(ProgrammeFile {
            format: FORMAT,
            tank: tank.name.clone(),
            suggested: tank.programme.is_empty(),
            lights_on: lights.on.to_string(),
            lights_off: lights.off.to_string(),
            stretches: programme.timeline(&names).iter().map(StretchEntry::of).collect(),
        })
    }

    /// As CSV, with its line of column names.
    pub fn to_csv(&self) -> String {
        let head = ["pump", "from", "until", "pattern", "low_percent", "high_percent", "period_s", "starts"];
        let row = |entry: &StretchEntry| {
            csv::line([
                entry.pump.clone(),
                entry.from.clone(),
                entry.until.clone(),
                entry.pattern.clone(),
                entry.low_percent.to_string(),
                entry.high_percent.to_string(),
                entry.period_s.map(|seconds| seconds.to_string()).unwrap_or_default(),
                entry.starts.clone().unwrap_or_default(),
            ])
        };
        csv::line(head) + &self.stretches.iter().map(row).collect::<String>()
    }

    /// As JSON, indented.
    pub fn to_json(&self) -> String {
        // Strings, numbers and lists of them always serialise.
        serde_json::to_string_pretty(self).unwrap_or_default() + "\n"
    }

    /// The JSON Schema of the file.
    pub fn schema() -> String {
        serde_json::to_string_pretty(&schemars::schema_for!(ProgrammeFile)).unwrap_or_default() + "\n"
    }
}

impl StretchEntry {
    fn of(segment: &Segment) -> Self {
        let (low, high) = segment.pattern.ends();
        let (period, starts) = match segment.pattern {
            Pattern::Pulse(swing) | Pattern::Alternate(swing) => {
                (Some(swing.period), Some(swing.starts_high))
            }
            Pattern::Wander(swing) => (Some(swing.period), None),
            Pattern::Steady(_) | Pattern::Rest => (None, None),
        };
        let word = if segment.feeding { "feeding" } else { segment.pattern.word() };
        StretchEntry {
            pump: segment.pump.clone(),
            from: segment.from.to_string(),
            until: segment.until.to_string(),
            pattern: word.to_owned(),
            low_percent: percent(low.si()),
            high_percent: percent(high.si()),
            period_s: period.map(|period| tidy(period.si())),
            starts: starts.map(|high| if high { "high" } else { "low" }.to_owned()),
        }
    }
}

/// A share in per cent.
fn percent(share: f64) -> f64 {
    tidy(share * 100.0)
}

/// To a millionth, so that a file shows 30 and not 30.000000000000004.
fn tidy(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}
