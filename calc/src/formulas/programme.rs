//! A day's programme: what each pump does, hour by hour.
//!
//! The day is cut into minutes. Stretches cover all of it for every pump; feedings are laid over them and end
//! by themselves. Flows are those of clean pumps: flow goes with the setting, as the first affinity law has
//! it.

mod clock;

use uom::si::f64::{Frequency, Time, VolumeRate};

use super::formula;
use crate::document::Places;
use crate::quantity::{Dimension, Share};

pub use clock::ClockTime;
pub(crate) use clock::DAY;

/// A day's programme, as a tank file lists it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Programme {
    /// What each pump does and when.
    pub stretches: Vec<Stretch>,
    /// When the pumps pause while the animals are fed.
    pub feedings: Vec<Feeding>,
}

/// What one pump does for a part of the day.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// The name of the pump.
    pub pump: String,
    /// When it begins.
    pub from: ClockTime,
    /// When it ends; before `from` where it runs past midnight.
    pub until: ClockTime,
    /// What the pump does.
    pub pattern: Pattern,
    /// Where the file says so.
    pub places: Places,
}

/// How a pump's setting goes in a stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pattern {
    /// One setting.
    Steady(Share),
    /// High and low in turn, a push every few seconds.
    Pulse(Swing),
    /// High and low in turn, each for minutes or hours, against a pump that starts at the other end.
    Alternate(Swing),
    /// A new setting each period, anywhere from low to high; which one, [`Pattern::setting_at`] tells.
    Wander(Swing),
    /// The pump stands still.
    Rest,
}

/// A setting that changes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Swing {
    /// The lowest setting.
    pub low: Share,
    /// The highest.
    pub high: Share,
    /// From change to change and back; for [`Pattern::Wander`] from change to change.
    pub period: Time,
    /// Whether it begins with the high half.
    pub starts_high: bool,
}

/// A pause for a feeding. The pumps start again by themselves when it ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Feeding {
    /// When.
    pub at: ClockTime,
    /// How long, in minutes.
    pub pause: u16,
    /// Which pumps pause; empty for all.
    pub pumps: Vec<String>,
    /// Where the file says so.
    pub places: Places,
}

/// When the lights are on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lights {
    /// When they go on.
    pub on: ClockTime,
    /// When they go off.
    pub off: ClockTime,
}

/// What a pump gives at a setting, when clean.
#[formula("rated flow × mean setting")]
pub fn flow_at(rated_flow: VolumeRate, mean_setting: Share) -> VolumeRate {
    rated_flow * mean_setting.0
}

/// The turnover that is left just before a cleaning.
#[formula("turnover × (1 − lost)")]
pub fn fouled(turnover: Frequency, lost: Share) -> Frequency {
    turnover * (1.0 - lost.0)
}

impl Pattern {
    /// The word in a tank file.
    pub fn word(self) -> &'static str {
        match self {
            Pattern::Steady(_) => "steady",
            Pattern::Pulse(_) => "pulse",
            Pattern::Alternate(_) => "alternate",
            Pattern::Wander(_) => "wander",
            Pattern::Rest => "rest",
        }
    }

    /// The lowest and the highest setting; nothing while the pump rests.
    pub fn ends(self) -> (Share, Share) {
        match self {
            Pattern::Steady(setting) => (setting, setting),
            Pattern::Pulse(swing) | Pattern::Alternate(swing) | Pattern::Wander(swing) => {
                (swing.low, swing.high)
            }
            Pattern::Rest => (Share(0.0), Share(0.0)),
        }
    }

    /// The mean setting: that of a steady pump; `(low + high) ÷ 2` of a pulse, of turns and of wandering;
    /// nothing at rest.
    ///
    /// A pulse and turns spend half of each period at either end. Wandering takes every setting between its
    /// ends alike, so that only a long stretch comes near the mean.
    pub fn mean(self) -> Share {
        let (low, high) = self.ends();
        Share((low.0 + high.0) / 2.0)
    }

    /// The mean of the setting's cube, which the draw goes with: `s³`; `(l³ + h³) ÷ 2` of a pulse and of
    /// turns; `(l + h)(l² + h²) ÷ 4` of wandering.
    pub fn mean_cube(self) -> f64 {
        let (Share(low), Share(high)) = self.ends();
        match self {
            Pattern::Wander(_) => (low + high) * (low * low + high * high) / 4.0,
            _ => (low * low * low + high * high * high) / 2.0,
        }
    }

    /// The share of a stretch of so many minutes in which a pulse or turns are high; half for what has no
    /// halves.
    ///
    /// A stretch may end in the middle of a period: turns of two hours spend four of seven hours in the half
    /// they begin with.
    fn high_share(self, minutes: u16) -> f64 {
        let (Pattern::Pulse(swing) | Pattern::Alternate(swing)) = self else { return 0.5 };
        let periods = f64::from(minutes.max(1)) * 60.0 / swing.period.si();
        let whole = libm::floor(periods);
        let first = 0.5 * whole + (periods - whole).min(0.5);
        (if swing.starts_high { first } else { periods - first }) / periods
    }

    /// The mean setting over a stretch of so many minutes, its last period cut where the stretch ends.
    pub fn mean_over(self, minutes: u16) -> Share {
        let (low, high) = self.ends();
        Share(low.0 + (high.0 - low.0) * self.high_share(minutes))
    }

    /// The mean of the setting's cube over such a stretch.
    pub fn mean_cube_over(self, minutes: u16) -> f64 {
        let cube = |share: Share| share.0 * share.0 * share.0;
        let (low, high) = self.ends();
        if let Pattern::Wander(_) = self {
            self.mean_cube()
        } else {
            cube(low) + (cube(high) - cube(low)) * self.high_share(minutes)
        }
    }

    /// The lowest and the highest setting some time after a stretch began: the one that holds, but both ends
    /// of what changes within seconds, or by chance.
    pub(crate) fn ends_at(self, since: Time) -> (Share, Share) {
        match self {
            Pattern::Pulse(_) | Pattern::Wander(_) => self.ends(),
            Pattern::Steady(_) | Pattern::Alternate(_) | Pattern::Rest => {
                let setting = self.setting_at(since, 0);
                (setting, setting)
            }
        }
    }

    /// What it comes to in a stretch of so many minutes: turns of which the first outlasts the stretch are
    /// one setting.
    pub(crate) fn within(self, minutes: u16) -> Pattern {
        match self {
            Pattern::Alternate(swing) if f64::from(minutes) * 120.0 <= swing.period.si() => {
                Pattern::Steady(if swing.starts_high { swing.high } else { swing.low })
            }
            _ => self,
        }
    }

    /// The setting some time after a stretch began; what cuts it, midnight or a feeding, begins it anew.
    ///
    /// - `since`: the beginning, from nothing on
    /// - `seed`: what wandering draws its settings from: the same seed, the same settings; [`seed`] makes one
    ///   of a pump's name
    pub fn setting_at(self, since: Time, seed: u64) -> Share {
        match self {
            Pattern::Steady(setting) => setting,
            Pattern::Rest => Share(0.0),
            Pattern::Pulse(swing) | Pattern::Alternate(swing) => {
                let periods = since.si() / swing.period.si();
                let first_half = periods - libm::floor(periods) < 0.5;
                if first_half == swing.starts_high { swing.high } else { swing.low }
            }
            Pattern::Wander(swing) => {
                let step = libm::floor(since.si() / swing.period.si()) as u64;
                Share(swing.low.0 + drawn(seed, step) * (swing.high.0 - swing.low.0))
            }
        }
    }

    /// How often the setting changes within so many minutes.
    pub(crate) fn changes(self, minutes: u16) -> f64 {
        let seconds = f64::from(minutes) * 60.0;
        // The stretch's own beginning is no change within it.
        let within = |change: f64| (libm::ceil(seconds / change - 1e-9) - 1.0).max(0.0);
        match self {
            Pattern::Steady(_) | Pattern::Rest => 0.0,
            Pattern::Pulse(swing) | Pattern::Alternate(swing) => within(swing.period.si() / 2.0),
            Pattern::Wander(swing) => within(swing.period.si()),
        }
    }
}

/// A seed of a pump's name, so that each pump wanders its own way and every run the same: the name's FNV-1a
/// hash.
pub fn seed(pump: &str) -> u64 {
    pump.bytes()
        .fold(0xcbf2_9ce4_8422_2325, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3))
}

/// The `step`th number from 0 to just below 1 that a seed gives, by the SplitMix64 generator.
fn drawn(seed: u64, step: u64) -> f64 {
    let mut mixed = seed.wrapping_add(step.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15));
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    mixed ^= mixed >> 31;
    (mixed >> 11) as f64 / (1_u64 << 53) as f64
}

/// What one pump does without a break, from 00:00 to 24:00: a bar of a timeline.
#[derive(Debug, Clone, PartialEq)]
pub struct Segment {
    /// The name of the pump.
    pub pump: String,
    /// When it begins.
    pub from: ClockTime,
    /// When it ends; always later than `from`.
    pub until: ClockTime,
    /// What the pump does; it rests while the animals are fed.
    pub pattern: Pattern,
    /// Whether this is a pause for a feeding.
    pub feeding: bool,
}

impl Segment {
    /// How long it lasts, in minutes.
    pub(crate) fn minutes(&self) -> u16 {
        self.until.minutes() - self.from.minutes()
    }
}

impl Programme {
    /// Whether it says nothing about what the pumps do; it may still list feedings.
    pub fn is_empty(&self) -> bool {
        self.stretches.is_empty()
    }

    /// What each of the pumps does, in their order, from 00:00 to 24:00.
    pub fn timeline(&self, pumps: &[&str]) -> Vec<Segment> {
        let mut segments = Vec::new();
        for pump in pumps {
            let minutes = self.minutes(pump);
            let mut from = 0;
            while from < minutes.len() {
                let doing = minutes[from];
                let until = from + minutes[from..].iter().take_while(|next| **next == doing).count();
                let (pattern, feeding) = match doing {
                    Doing::Feeding => (Some(Pattern::Rest), true),
                    Doing::Stretch(at) => (Some(self.stretches[at].pattern), false),
                    Doing::Untold => (None, false),
                };
                let (start, end) = (ClockTime::new(from as u16), ClockTime::new(until as u16));
                if let (Some(pattern), Some(from), Some(until)) = (pattern, start, end) {
                    segments.push(Segment { pump: (*pump).to_owned(), from, until, pattern, feeding });
                }
                from = until;
            }
        }
        segments
    }

    /// What one pump does in each minute of the day. Of two stretches for the same minute, the first counts.
    fn minutes(&self, pump: &str) -> Vec<Doing> {
        let mut minutes = vec![Doing::Untold; usize::from(DAY)];
        for (at, stretch) in self.stretches.iter().enumerate().filter(|(_, stretch)| stretch.pump == pump) {
            for minute in span_of(stretch.from, stretch.from.minutes_until(stretch.until)) {
                if minutes[minute] == Doing::Untold {
                    minutes[minute] = Doing::Stretch(at);
                }
            }
        }
        for feeding in self.feedings.iter().filter(|feeding| feeding.pauses(pump)) {
            for minute in span_of(feeding.at, feeding.pause) {
                minutes[minute] = Doing::Feeding;
            }
        }
        minutes
    }
}

/// What a pump does in a minute.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Doing {
    Untold,
    Stretch(usize),
    Feeding,
}

impl Stretch {
    pub(crate) fn covers(&self, minute: u16) -> bool {
        let from = self.from.minutes() % DAY;
        let since = if minute >= from { minute - from } else { minute + DAY - from };
        since < self.from.minutes_until(self.until)
    }
}

impl Feeding {
    pub(crate) fn pauses(&self, pump: &str) -> bool {
        self.pumps.is_empty() || self.pumps.iter().any(|named| named == pump)
    }
}

/// The minutes of a stretch, past midnight from the day's beginning again.
pub(crate) fn span_of(from: ClockTime, lasts: u16) -> impl Iterator<Item = usize> {
    (0..lasts).map(move |minute| usize::from(from.later(minute).minutes()))
}

/// The stretches of the day in which something holds; one that runs past midnight is one, and begins before
/// it.
pub(crate) fn runs(holds: impl Fn(u16) -> bool) -> Vec<(ClockTime, ClockTime)> {
    // Begin where nothing holds, so that no stretch is cut.
    let Some(first) = (0..DAY).find(|minute| !holds(*minute)) else {
        return vec![(ClockTime::START_OF_DAY, ClockTime::END_OF_DAY)];
    };
    let mut found = Vec::new();
    let mut since = None;
    for step in 0..=DAY {
        let minute = (first + step) % DAY;
        match (holds(minute), since) {
            (true, None) => since = Some(minute),
            (false, Some(from)) => {
                // A stretch that ends with the day ends at 24:00.
                let until = if minute == 0 { DAY } else { minute };
                found.extend(ClockTime::new(from).zip(ClockTime::new(until)));
                since = None;
            }
            _ => {}
        }
    }
    found
}

#[cfg(test)]
mod tests;
