//! The day on the map: what the pumps are set to at the same time, and when.
//!
//! Feedings are left out: their pause is short, and then all water rests.

use uom::si::f64::{Time, Velocity};

use super::{Speeds, told};
use crate::formulas::programme::{ClockTime, DAY, Programme, runs};
use crate::ordered::sort_by;
use crate::quantity::{Dimension, Share};

/// Settings that the pumps have at the same time.
#[derive(Debug, Clone, PartialEq)]
pub struct Hours {
    /// Of each pump, in their order; nothing at rest. Of what changes within seconds or by chance it is the
    /// mean.
    pub settings: Vec<Share>,
    /// When that is so, in the order of the day.
    pub spans: Vec<Span>,
}

/// From one time of the day to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    /// When it begins.
    pub from: ClockTime,
    /// When it ends; before `from` where it runs past midnight.
    pub until: ClockTime,
    /// Whether pumps take turns in it, so that only a part of it has these settings.
    pub by_turns: bool,
}

/// A day by what the pumps are set to: each of their common settings once, in the order of the day.
///
/// - `pumps`: their names
pub fn hours(programme: &Programme, pumps: &[&str]) -> Vec<Hours> {
    let segments = programme.timeline(pumps);
    let mut doing = vec![vec![None; pumps.len()]; usize::from(DAY)];
    for segment in &segments {
        let Some(pump) = pumps.iter().position(|pump| *pump == segment.pump) else { continue };
        for minute in segment.from.minutes()..segment.until.minutes() {
            doing[usize::from(minute)][pump] = Some(segment);
        }
    }
    let patterns: Vec<Vec<_>> = doing
        .iter()
        .map(|pumps| pumps.iter().map(|segment| segment.map(|segment| segment.pattern)).collect())
        .collect();
    let (mut found, mut firsts): (Vec<Hours>, Vec<usize>) = (Vec::new(), Vec::new());
    for first in 0..patterns.len() {
        if firsts.iter().any(|known| patterns[*known] == patterns[first]) {
            continue;
        }
        firsts.push(first);
        let is_alike = |minute: u16| patterns[usize::from(minute)] == patterns[first];
        let mut several: Vec<Vec<Share>> = Vec::new();
        for minute in (0..DAY).filter(|minute| is_alike(*minute)) {
            // The shortest turns last for half a minute.
            for second in [15.0, 45.0] {
                let settings: Vec<_> = doing[usize::from(minute)]
                    .iter()
                    .map(|segment| {
                        let Some(segment) = segment else { return Share(0.0) };
                        let since = 60.0 * f64::from(minute - segment.from.minutes()) + second;
                        let (low, high) = segment.pattern.ends_at(Time::from_si(since));
                        Share((low.0 + high.0) / 2.0)
                    })
                    .collect();
                if !several.contains(&settings) {
                    several.push(settings);
                }
            }
        }
        let by_turns = several.len() > 1;
        let spans = runs(is_alike).into_iter().map(|(from, until)| Span { from, until, by_turns });
        let spans: Vec<_> = spans.collect();
        for settings in several {
            match found.iter_mut().find(|hours| hours.settings == settings) {
                Some(hours) => hours.spans.extend(&spans),
                None => found.push(Hours { settings, spans: spans.clone() }),
            }
        }
    }
    for hours in &mut found {
        sort_by(&mut hours.spans, |one, other| one.from.cmp(&other.from));
    }
    found
}

/// The share of some places at which the water is slower than so all day.
///
/// - `of`: their speeds in each part of the day, in the same order of places
pub fn all_day(of: &[Speeds], than: Velocity) -> Share {
    share_of(of, |parts, at| parts.iter().all(|part| part[at].0 < than))
}

/// The share at which it is slower than so at some time of the day.
pub fn at_times(of: &[Speeds], than: Velocity) -> Share {
    share_of(of, |parts, at| parts.iter().any(|part| part[at].0 < than))
}

fn share_of(of: &[Speeds], is_so: impl Fn(&[Speeds], usize) -> bool) -> Share {
    let Some(first) = of.first() else { return Share(0.0) };
    let (mut found, mut all) = (0.0, 0.0);
    for (at, (_, area)) in first.iter().enumerate() {
        all += area;
        if is_so(of, at) {
            found += area;
        }
    }
    told(if all > 0.0 { found / all } else { 0.0 })
}

#[cfg(test)]
mod tests;
