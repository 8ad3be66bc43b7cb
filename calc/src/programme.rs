//! A day's programme: what each pump does, hour by hour.
//!
//! The day is cut into minutes. Stretches that a tank file lists, or that [`suggest`] makes up, cover all of it for every pump; feedings
//! are laid over them and end by themselves. Flows are those of clean pumps: flow goes with the setting, as the first affinity law has
//! it, see [`power`](crate::power).

mod clock;
mod day;
mod suggest;

pub use clock::ClockTime;
pub(crate) use day::figures;
pub use day::{Day, KEEPS_TO_THE_LIMIT, PumpDay, Runner, hung};
pub use suggest::{Needs, suggest};

use std::ops::Range;

use uom::si::f64::Time;

use crate::catalogue::Catalogue;
use crate::decide::power_cut::Chain;
use crate::document::{Places, Problem, Table, did_you_mean};
use crate::error::Error;
use crate::quantity::{Dimension, Rounding, Share, show};
use crate::rules::Rules;
use crate::rules::programme::ProgrammeRules;
use crate::tank::Tank;
use clock::DAY;

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

impl Lights {
    /// The lights of a tank: what its file says, or the rules.
    pub fn of(tank: &Tank, rules: &ProgrammeRules) -> Self {
        let usual = || Lights { on: ClockTime::after_midnight(*rules.lights_on), off: ClockTime::after_midnight(*rules.lights_off) };
        tank.lights.unwrap_or_else(usual)
    }
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
            Pattern::Pulse(swing) | Pattern::Alternate(swing) | Pattern::Wander(swing) => (swing.low, swing.high),
            Pattern::Rest => (Share(0.0), Share(0.0)),
        }
    }

    /// The mean setting: that of a steady pump; `(low + high) ÷ 2` of a pulse, of turns and of wandering; nothing at rest.
    ///
    /// A pulse and turns spend half of each period at either end. Wandering takes every setting between its ends alike, so that only
    /// a long stretch comes near the mean.
    pub fn mean(self) -> Share {
        let (low, high) = self.ends();
        Share((low.0 + high.0) / 2.0)
    }

    /// The mean of the setting's cube, which the draw goes with: `s³`; `(l³ + h³) ÷ 2` of a pulse and of turns;
    /// `(l + h)(l² + h²) ÷ 4` of wandering.
    pub fn mean_cube(self) -> f64 {
        let (Share(low), Share(high)) = self.ends();
        match self {
            Pattern::Wander(_) => (low + high) * (low * low + high * high) / 4.0,
            _ => (low * low * low + high * high * high) / 2.0,
        }
    }

    /// The share of a stretch of so many minutes in which a pulse or turns are high; half for what has no halves.
    ///
    /// A stretch may end in the middle of a period: turns of two hours spend four of seven hours in the half they begin with.
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
        if let Pattern::Wander(_) = self { self.mean_cube() } else { cube(low) + (cube(high) - cube(low)) * self.high_share(minutes) }
    }

    /// The lowest and the highest setting some time after a stretch began: the one that holds, but both ends of what changes within
    /// seconds, or by chance.
    fn ends_at(self, since: Time) -> (Share, Share) {
        match self {
            Pattern::Pulse(_) | Pattern::Wander(_) => self.ends(),
            Pattern::Steady(_) | Pattern::Alternate(_) | Pattern::Rest => {
                let setting = self.setting_at(since, 0);
                (setting, setting)
            }
        }
    }

    /// What it comes to in a stretch of so many minutes: turns of which the first outlasts the stretch are one setting.
    fn within(self, minutes: u16) -> Pattern {
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
    /// - `seed`: what wandering draws its settings from: the same seed, the same settings; [`seed`] makes one of a pump's name
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
    fn changes(self, minutes: u16) -> f64 {
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

/// A seed of a pump's name, so that each pump wanders its own way and every run the same: the name's FNV-1a hash.
pub fn seed(pump: &str) -> u64 {
    pump.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3))
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

/// What a check needs to know of a pump.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dial<'a> {
    /// The pump's name.
    pub pump: &'a str,
    /// The lowest setting at which it runs; full for a pump with one speed.
    pub lowest: Share,
}

/// What is wrong in a programme.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// Where its file says so.
    pub span: Range<usize>,
    /// What is wrong.
    pub message: String,
    /// What would be right.
    pub help: String,
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

    /// Everything that is wrong: a pump that does not exist, a time told twice or not at all, a setting that its pump can not run at,
    /// a period that does not fit, a pause that is too long or meets another.
    ///
    /// - `pumps`: all pumps that hang in the tank
    /// - `longest_pause`: from rule `programme.feeding_pause`
    pub fn faults(&self, pumps: &[Dial<'_>], longest_pause: Time) -> Vec<Fault> {
        let mut faults = Vec::new();
        for stretch in &self.stretches {
            match pumps.iter().find(|dial| dial.pump == stretch.pump) {
                None => faults.push(unknown_pump(&stretch.pump, pumps, stretch.places.of("pump"))),
                Some(dial) => faults.extend(stretch.setting_faults(*dial)),
            }
            faults.extend(stretch.period_fault());
        }
        for dial in pumps {
            faults.extend(self.told_twice(dial.pump));
            if !self.is_empty() {
                faults.extend(self.gaps(dial.pump));
            }
        }
        for (at, feeding) in self.feedings.iter().enumerate() {
            for pump in feeding.pumps.iter().filter(|pump| !pumps.iter().any(|dial| dial.pump == pump.as_str())) {
                faults.push(unknown_pump(pump, pumps, feeding.places.of("pumps")));
            }
            faults.extend(feeding.too_long(longest_pause));
            faults.extend(self.feedings[..at].iter().filter_map(|earlier| feeding.meets(earlier)));
        }
        faults
    }

    /// Times for which a pump is told two things.
    fn told_twice(&self, pump: &str) -> Vec<Fault> {
        let mut faults = Vec::new();
        let stretches: Vec<_> = self.stretches.iter().filter(|stretch| stretch.pump == pump).collect();
        for (at, second) in stretches.iter().enumerate() {
            for first in &stretches[..at] {
                let both = |minute: u16| first.covers(minute) && second.covers(minute);
                if let Some((from, until)) = runs(both).into_iter().next() {
                    faults.push(Fault {
                        span: second.places.of("from"),
                        message: format!("`{pump}` is told two things from {from} until {until}"),
                        help: format!(
                            "the other stretch goes from {} until {}; let one end where the other begins",
                            first.from, first.until
                        ),
                    });
                }
            }
        }
        faults
    }

    /// Times for which a pump is told nothing.
    fn gaps(&self, pump: &str) -> Vec<Fault> {
        let covered = |minute: u16| self.stretches.iter().any(|stretch| stretch.pump == pump && stretch.covers(minute));
        let mut faults = Vec::new();
        for (from, until) in runs(|minute| !covered(minute)) {
            let before = self.stretches.iter().find(|stretch| stretch.pump == pump && stretch.until.later(0) == from.later(0));
            let (span, other) = match before {
                Some(stretch) => (stretch.places.of("until"), format!("write until = \"{until}\" here, or ")),
                None => (self.stretches.first().map_or(0..0, |first| first.places.of("pump")), String::new()),
            };
            faults.push(Fault {
                span,
                message: format!("`{pump}` has no programme from {from} until {until}"),
                help: format!("{other}add a [[programme]] with pump = \"{pump}\", from = \"{from}\" and until = \"{until}\""),
            });
        }
        faults
    }

    /// Reads `[[programme]]` and `[[feeding]]`, and notes what is wrong in them as far as the pumps' names tell.
    ///
    /// - `pumps`: the names of all pumps; `None` where one of them could not be read
    pub(crate) fn read(table: &mut Table<'_>, pumps: Option<&[&str]>) -> Self {
        let mut whole = true;
        let stretches = table.tables("programme", |table| {
            let stretch = read_stretch(table);
            whole &= stretch.is_some();
            stretch
        });
        let programme = Programme { stretches, feedings: table.tables("feeding", read_feeding) };
        // Where a part could not be read, what seems to be missing may be there.
        let Some(pumps) = pumps.filter(|_| whole) else { return programme };
        // What the pumps can do, and the rules, are not known yet; `check` looks at the rest.
        let dials: Vec<_> = pumps.iter().map(|pump| Dial { pump, lowest: Share(0.0) }).collect();
        for fault in programme.faults(&dials, Time::from_si(f64::from(DAY) * 60.0)) {
            table.refuse_at(fault.span, fault.message, fault.help);
        }
        programme
    }
}

/// What is wrong in a tank's programme once its pumps and the rules are known.
///
/// - `document`: the tank file's name, for the problems
pub fn check(document: &str, tank: &Tank, catalogue: &Catalogue, rules: &ProgrammeRules) -> Vec<Problem> {
    let dial = |pump: &'_ crate::tank::HungPump| catalogue.pump(&pump.model).map_or(Share(0.0), |model| model.lowest_setting);
    let dials: Vec<_> = tank.pumps.iter().map(|pump| Dial { pump: &pump.name, lowest: dial(pump) }).collect();
    let faults = tank.programme.faults(&dials, *rules.feeding_pause);
    let problem =
        |fault: Fault| Problem { document: document.to_owned(), span: fault.span, message: fault.message, help: vec![fault.help] };
    faults.into_iter().map(problem).collect()
}

/// The programme of a tank: its own, or where it has none the suggested one, with its own feedings if it lists any. Empty for a tank
/// without pumps.
///
/// # Errors
/// As [`suggest`].
pub fn of(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Programme, Error> {
    if !tank.programme.is_empty() {
        return Ok(tank.programme.clone());
    }
    let mut suggested = suggest(&hung(rules, catalogue, tank)?, Needs::of(rules, tank)?, &rules.programme);
    if !tank.programme.feedings.is_empty() {
        suggested.feedings.clone_from(&tank.programme.feedings);
    } else {
        // No longer than the oxygen allows.
        let pause = Chain::new(rules, tank)?.feeding_pause()?.map(|pause| (pause.si() / 60.0) as u16);
        suggested.feedings.retain(|_| pause.is_some());
        for feeding in &mut suggested.feedings {
            feeding.pause = feeding.pause.min(pause.unwrap_or_default());
        }
    }
    Ok(suggested)
}

/// What a pump does in a minute.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Doing {
    Untold,
    Stretch(usize),
    Feeding,
}

impl Stretch {
    fn covers(&self, minute: u16) -> bool {
        let from = self.from.minutes() % DAY;
        let since = if minute >= from { minute - from } else { minute + DAY - from };
        since < self.from.minutes_until(self.until)
    }

    /// Settings at which the pump does not run.
    fn setting_faults(&self, dial: Dial<'_>) -> Vec<Fault> {
        let (low, high) = self.pattern.ends();
        // A share is written with two digits at the most; the last bit does not decide.
        let too_low = |setting: Share| setting.0 < dial.lowest.0 - 1e-9;
        if self.pattern == Pattern::Rest || !too_low(low) && !too_low(high) {
            return Vec::new();
        }
        let Share(lowest) = dial.lowest;
        if lowest >= 1.0 {
            return vec![Fault {
                span: self.places.of("pattern"),
                message: format!("`{}` has one speed: it runs or it rests", self.pump),
                help: "write pattern = \"steady\" with setting = \"100 %\", or pattern = \"rest\"".to_owned(),
            }];
        }
        let lowest = show(dial.lowest.into(), Rounding::Up).metric.to_string().replace('\u{a0}', " ");
        let keys: &[(&str, Share)] =
            if matches!(self.pattern, Pattern::Steady(_)) { &[("setting", low)] } else { &[("low", low), ("high", high)] };
        let fault = |(key, setting): &(&str, Share)| Fault {
            span: self.places.of(key),
            message: format!("`{}` does not run at {}", self.pump, show((*setting).into(), Rounding::Nearest)),
            help: format!("its lowest setting is {lowest}; to stop it, write pattern = \"rest\""),
        };
        keys.iter().filter(|(_, setting)| too_low(*setting)).map(fault).collect()
    }

    /// A period that is longer than the stretch.
    fn period_fault(&self) -> Option<Fault> {
        let (Pattern::Pulse(swing) | Pattern::Alternate(swing) | Pattern::Wander(swing)) = self.pattern else { return None };
        let lasts = Time::from_si(f64::from(self.from.minutes_until(self.until)) * 60.0);
        (swing.period > lasts).then(|| Fault {
            span: self.places.of("period"),
            message: format!("the period is longer than the stretch, from {} until {}", self.from, self.until),
            help: format!("it can be {} at the most", show(lasts.into(), Rounding::Down)),
        })
    }
}

impl Feeding {
    pub(crate) fn pauses(&self, pump: &str) -> bool {
        self.pumps.is_empty() || self.pumps.iter().any(|named| named == pump)
    }

    /// A pause that the rule does not allow.
    fn too_long(&self, longest: Time) -> Option<Fault> {
        let pause = Time::from_si(f64::from(self.pause) * 60.0);
        // The rule may not be a whole number of minutes.
        (pause.si() > longest.si() + 1e-6).then(|| Fault {
            span: self.places.of("pause"),
            message: format!("the pumps stand still for {}", show(pause.into(), Rounding::Nearest)),
            help: format!("let them start again after {} at the most", show(longest.into(), Rounding::Down)),
        })
    }

    /// A pause that runs into another: the pumps would not start again in between.
    fn meets(&self, other: &Feeding) -> Option<Fault> {
        let touches = |one: &Feeding, two: &Feeding| one.at.minutes_until(two.at) % DAY <= one.pause;
        (touches(self, other) || touches(other, self)).then(|| Fault {
            span: self.places.of("at"),
            message: format!("this feeding runs into the one at {}", other.at),
            help: "let the pumps run in between, or make one feeding of the two".to_owned(),
        })
    }
}

/// The minutes of a stretch, past midnight from the day's beginning again.
fn span_of(from: ClockTime, lasts: u16) -> impl Iterator<Item = usize> {
    (0..lasts).map(move |minute| usize::from(from.later(minute).minutes()))
}

/// The stretches of the day in which something holds; one that runs past midnight is one, and begins before it.
fn runs(holds: impl Fn(u16) -> bool) -> Vec<(ClockTime, ClockTime)> {
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

fn unknown_pump(pump: &str, pumps: &[Dial<'_>], span: Range<usize>) -> Fault {
    let names: Vec<_> = pumps.iter().map(|dial| dial.pump).collect();
    let listed = names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
    let known = if names.is_empty() { "add a [[pump]] of that name".to_owned() } else { format!("the pumps are {listed}") };
    Fault { span, message: format!("no pump is called `{pump}`"), help: did_you_mean(pump, &names).unwrap_or(known) }
}

/// Reads a time of the day; 24:00 only where a stretch ends.
fn read_clock(table: &mut Table<'_>, key: &str, ends: bool) -> Option<ClockTime> {
    let text = table.text(key)?;
    let clock = ClockTime::parse(&text).filter(|clock| ends || *clock != ClockTime::END_OF_DAY);
    if clock.is_none() {
        let help = if text == "24:00" { "the day begins at \"00:00\"" } else { "write hours and minutes, for instance \"18:30\"" };
        table.refuse(key, format!("`{text}` is no time of the day"), help);
    }
    clock
}

fn read_stretch(table: &mut Table<'_>) -> Option<Stretch> {
    let pump = table.text("pump");
    let (from, until) = (read_clock(table, "from", false), read_clock(table, "until", true));
    let words = ["steady", "pulse", "alternate", "wander", "rest"].map(|word| (word, word));
    let word = table.choice("pattern", &words);
    let pattern = match word {
        Some("steady") => table.quantity("setting", "1 %"..="100 %").map(Pattern::Steady),
        Some("pulse") => read_swing(table, "0.2 s"..="2 min", true).map(Pattern::Pulse),
        Some("alternate") => read_swing(table, "1 min"..="12 h", true).map(Pattern::Alternate),
        Some("wander") => read_swing(table, "5 s"..="6 h", false).map(Pattern::Wander),
        Some(_) => Some(Pattern::Rest),
        None => {
            // Which of these belongs here depends on the pattern; none is called unknown while the pattern is.
            for key in ["setting", "low", "high", "period", "starts"] {
                table.has(key);
            }
            None
        }
    };
    let (from, until) = (from?, until?);
    if from == until {
        let help = "for the whole day write from = \"00:00\" and until = \"24:00\"";
        table.refuse("until", "the stretch ends when it begins", help);
        return None;
    }
    Some(Stretch { pump: pump?, from, until, pattern: pattern?, places: table.places() })
}

fn read_swing(table: &mut Table<'_>, periods: std::ops::RangeInclusive<&str>, halves: bool) -> Option<Swing> {
    let (low, high) = (table.quantity::<Share>("low", "1 %"..="100 %"), table.quantity::<Share>("high", "1 %"..="100 %"));
    let period = table.quantity("period", periods);
    let starts_high = if halves { table.maybe_choice("starts", &[("high", true), ("low", false)]).unwrap_or(true) } else { true };
    let (low, high) = (low?, high?);
    if low.0 >= high.0 {
        table.refuse("high", "`high` is not above `low`", "swap them, or write pattern = \"steady\" with one setting");
        return None;
    }
    Some(Swing { low, high, period: period?, starts_high })
}

fn read_feeding(table: &mut Table<'_>) -> Option<Feeding> {
    let at = read_clock(table, "at", false);
    let pause = table.quantity::<Time>("pause", "1 min"..="2 h");
    let pumps = table.maybe_texts("pumps").unwrap_or_default();
    let minutes = pause?.si() / 60.0;
    if (minutes - libm::rint(minutes)).abs() > 1e-6 {
        table.refuse("pause", "the pause is not a whole number of minutes", "round it");
        return None;
    }
    Some(Feeding { at: at?, pause: libm::rint(minutes) as u16, pumps, places: table.places() })
}

/// Reads `[lights]`.
pub(crate) fn read_lights(table: &mut Table<'_>) -> Option<Lights> {
    let (on, off) = (read_clock(table, "on", false), read_clock(table, "off", true));
    let (on, off) = (on?, off?);
    if on.later(0) == off.later(0) {
        table.refuse("off", "the lights go off when they go on", "corals need a day and a night");
        return None;
    }
    Some(Lights { on, off })
}

#[cfg(test)]
mod tests;
