//! A day's programme in a tank file: how it is read, and what can be wrong in it.

use std::ops::Range;

use uom::si::f64::Time;

use crate::document::{Table, did_you_mean};
use crate::formulas::programme::{ClockTime, DAY, Feeding, Lights, Pattern, Programme, Stretch, Swing, runs};
use crate::quantity::{Dimension, Rounding, Share, show};

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
    /// Everything that is wrong: a pump that does not exist, a time told twice or not at all, a setting that
    /// its pump can not run at, a period that does not fit, a pause that is too long or meets another.
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
            for pump in
                feeding.pumps.iter().filter(|pump| !pumps.iter().any(|dial| dial.pump == pump.as_str()))
            {
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
        let covered =
            |minute: u16| self.stretches.iter().any(|stretch| stretch.pump == pump && stretch.covers(minute));
        let mut faults = Vec::new();
        for (from, until) in runs(|minute| !covered(minute)) {
            let before = self
                .stretches
                .iter()
                .find(|stretch| stretch.pump == pump && stretch.until.later(0) == from.later(0));
            let (span, other) = match before {
                Some(stretch) => (stretch.places.of("until"), format!("write until = \"{until}\" here, or ")),
                None => (self.stretches.first().map_or(0..0, |first| first.places.of("pump")), String::new()),
            };
            faults.push(Fault {
                span,
                message: format!("`{pump}` has no programme from {from} until {until}"),
                help: format!(
                    "{other}add a [[programme]] with pump = \"{pump}\", from = \"{from}\" and \
                               until = \"{until}\""
                ),
            });
        }
        faults
    }

    /// Reads `[[programme]]` and `[[feeding]]`, and notes what is wrong in them as far as the pumps' names
    /// tell.
    ///
    /// - `pumps`: the names of all pumps; `None` where one of them could not be read
    pub(super) fn read(table: &mut Table<'_>, pumps: Option<&[&str]>) -> Self {
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

impl Stretch {
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
        let keys: &[(&str, Share)] = if matches!(self.pattern, Pattern::Steady(_)) {
            &[("setting", low)]
        } else {
            &[("low", low), ("high", high)]
        };
        let fault = |(key, setting): &(&str, Share)| Fault {
            span: self.places.of(key),
            message: format!(
                "`{}` does not run at {}",
                self.pump,
                show((*setting).into(), Rounding::Nearest)
            ),
            help: format!("its lowest setting is {lowest}; to stop it, write pattern = \"rest\""),
        };
        keys.iter().filter(|(_, setting)| too_low(*setting)).map(fault).collect()
    }

    /// A period that is longer than the stretch.
    fn period_fault(&self) -> Option<Fault> {
        let (Pattern::Pulse(swing) | Pattern::Alternate(swing) | Pattern::Wander(swing)) = self.pattern
        else {
            return None;
        };
        let lasts = Time::from_si(f64::from(self.from.minutes_until(self.until)) * 60.0);
        (swing.period > lasts).then(|| Fault {
            span: self.places.of("period"),
            message: format!(
                "the period is longer than the stretch, from {} until {}",
                self.from, self.until
            ),
            help: format!("it can be {} at the most", show(lasts.into(), Rounding::Down)),
        })
    }
}

impl Feeding {
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

fn unknown_pump(pump: &str, pumps: &[Dial<'_>], span: Range<usize>) -> Fault {
    let names: Vec<_> = pumps.iter().map(|dial| dial.pump).collect();
    let listed = names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
    let known = if names.is_empty() {
        "add a [[pump]] of that name".to_owned()
    } else {
        format!("the pumps are {listed}")
    };
    Fault {
        span,
        message: format!("no pump is called `{pump}`"),
        help: did_you_mean(pump, &names).unwrap_or(known),
    }
}

/// Reads a time of the day; 24:00 only where a stretch ends.
fn read_clock(table: &mut Table<'_>, key: &str, ends: bool) -> Option<ClockTime> {
    let text = table.text(key)?;
    let clock = ClockTime::parse(&text).filter(|clock| ends || *clock != ClockTime::END_OF_DAY);
    if clock.is_none() {
        let help = if text == "24:00" {
            "the day begins at \"00:00\""
        } else {
            "write hours and minutes, for instance \"18:30\""
        };
        table.refuse(key, format!("`{text}` is no time of the day"), help);
    }
    clock
}

fn read_stretch(table: &mut Table<'_>) -> Option<Stretch> {
    let pump = table.text("pump");
    let (from, until) = (read_clock(table, "from", false), read_clock(table, "until", true));
    let words = ["steady", "pulse", "alternate", "wander", "rest"].map(|word| (word, word));
    let pattern = table.by_choice("pattern", &words, |table, word| match word {
        "steady" => table.quantity("setting", "1 %"..="100 %").map(Pattern::Steady),
        "pulse" => read_swing(table, "0.2 s"..="2 min", true).map(Pattern::Pulse),
        "alternate" => read_swing(table, "1 min"..="12 h", true).map(Pattern::Alternate),
        "wander" => read_swing(table, "5 s"..="6 h", false).map(Pattern::Wander),
        _ => Some(Pattern::Rest),
    });
    let (from, until) = (from?, until?);
    if from == until {
        let help = "for the whole day write from = \"00:00\" and until = \"24:00\"";
        table.refuse("until", "the stretch ends when it begins", help);
        return None;
    }
    Some(Stretch { pump: pump?, from, until, pattern: pattern?, places: table.places() })
}

fn read_swing(table: &mut Table<'_>, periods: std::ops::RangeInclusive<&str>, halves: bool) -> Option<Swing> {
    let (low, high) =
        (table.quantity::<Share>("low", "1 %"..="100 %"), table.quantity::<Share>("high", "1 %"..="100 %"));
    let period = table.quantity("period", periods);
    let starts_high =
        if halves { table.choice_or("starts", &[("high", true), ("low", false)], true) } else { Some(true) };
    let (low, high) = (low?, high?);
    if low.0 >= high.0 {
        table.refuse(
            "high",
            "`high` is not above `low`",
            "swap them, or write pattern = \"steady\" with one setting",
        );
        return None;
    }
    Some(Swing { low, high, period: period?, starts_high: starts_high? })
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
pub(super) fn read_lights(table: &mut Table<'_>) -> Option<Lights> {
    let (on, off) = (read_clock(table, "on", false), read_clock(table, "off", true));
    let (on, off) = (on?, off?);
    if on.later(0) == off.later(0) {
        table.refuse("off", "the lights go off when they go on", "corals need a day and a night");
        return None;
    }
    Some(Lights { on, off })
}
