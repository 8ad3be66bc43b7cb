//! The fit check: what the reader's own pumps do in the reader's tank.

use uom::si::f64::{Frequency, Length, Velocity, VolumeRate};

use super::placement::{Course, Room, last_that_holds};
use super::plan::{counted, find};
use super::reason::Reason;
use super::speeds::{Zones, zones};
use crate::catalogue::{Catalogue, PumpModel};
use crate::decide::sound;
use crate::error::Error;
use crate::formulas::fit::{just_before_a_cleaning, missing};
use crate::formulas::stream::Stream;
use crate::formulas::turnover;
use crate::quantity::{Dimension, Rounding, Share, SoundLevel, Thickness, show};
use crate::rules::livestock::{Lives, Livestock};
use crate::rules::{Band, Rules, words};
use crate::tank::{HungPump, Tank};
use crate::trace::Traced;

/// What the pumps of a tank do together.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Each pump's stream, in the order of the tank file.
    pub streams: Vec<StreamFit>,
    /// What they move together at their settings, clean.
    pub flow: VolumeRate,
    /// What they move together at full, clean; each no further up than the sand bears.
    pub full: Traced<VolumeRate>,
    /// What they still move at full just before a cleaning.
    pub fouled: Traced<VolumeRate>,
    /// How often they turn the water over at their settings.
    pub turnover: Traced<Frequency>,
    /// What that serves.
    pub serves: Traced<Vec<Livestock>>,
    /// Flow that is missing for later, at full just before a cleaning; nothing where none is.
    pub missing: Traced<VolumeRate>,
    /// What arrives at the pillow at these settings of all that hums, as [`sound::at_pillow_of`] has it.
    pub sound: Traced<Band<SoundLevel>>,
}

/// What one pump's stream does.
#[derive(Debug, Clone, PartialEq)]
pub struct StreamFit {
    /// What it moves at its setting.
    pub flow: VolumeRate,
    /// The stream at its setting.
    pub stream: Traced<Stream>,
    /// The way of its stream.
    pub course: Traced<Course>,
    /// The speed in its middle where it meets the glass, from the least to the most that it may be.
    pub far: Traced<Band<Velocity>>,
    /// Where along its middle it suits what lives there now.
    pub zones: Traced<Zones>,
    /// The heights at which it neither lifts sand nor draws air; turned round where there is none.
    pub heights: Traced<Band<Length>>,
    /// What to say of it.
    pub verdict: Traced<Verdict>,
}

/// What to say of a pump.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// What is wrong with it; nothing where all is well.
    pub faults: Vec<Reason>,
    /// What to do about a stream that is too strong, too weak or too near to the sand; nothing where the
    /// faults say it themselves.
    pub remedy: Option<String>,
    /// Whether some animals find calm water only beside it: its middle is too strong for more than half of
    /// its way, or for one of several kinds all of it.
    pub calm_beside: bool,
}

impl Verdict {
    /// In words.
    pub fn words(&self, words: &words::Fit) -> String {
        if self.faults.is_empty() {
            return if self.calm_beside { words.well_in_places() } else { words.well() }.to_owned();
        }
        let told: Vec<_> =
            self.faults.iter().map(|fault| fault.words.as_str()).chain(self.remedy.as_deref()).collect();
        told.join("; ")
    }
}

/// Checks the pumps of a tank; `None` for a tank without pumps.
///
/// # Errors
/// [`Error::NoAnswer`] for a model that the catalogue does not have, with the nearest names; those of the
/// formulas.
pub fn check(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Option<Fit>, Error> {
    if tank.pumps.is_empty() {
        return Ok(None);
    }
    let room = Room::new(rules, tank)?;
    let mut hung = Vec::new();
    for pump in &tank.pumps {
        hung.push((pump, &catalogue.pumps[find(catalogue, &pump.model)?]));
    }
    let full = Traced::ok(|| {
        let mut full = VolumeRate::default();
        for (_, model) in &hung {
            full += at_most(&room, model)?;
        }
        Ok::<_, Error>(full)
    })?;
    let mut flow = VolumeRate::default();
    let mut streams = Vec::new();
    for (pump, model) in &hung {
        let told = stream(rules, tank, &room, pump, model)?;
        flow += told.flow;
        streams.push(told);
    }
    let sound = Traced::ok(|| {
        let mut levels = Vec::new();
        for (pump, model) in &hung {
            levels.push(crate::formulas::sound::at_setting(
                model.sound,
                running(pump, model),
                rules.sound.half_speed.low,
            )?);
        }
        levels.extend(sound::beside_the_pumps(tank, &rules.sound).iter().map(|source| source.level));
        sound::at_pillow_of(&tank.home, &levels, &rules.sound)
    })?;
    let fouled = Traced::new(|| just_before_a_cleaning(*full, *rules.turnover.fouling_allowance));
    Ok(Some(Fit {
        flow,
        turnover: Traced::ok(|| turnover::turnover(flow, counted(tank, rules)))?,
        serves: Traced::ok(|| turnover::served(flow, counted(tank, rules), &rules.turnover))?,
        missing: Traced::ok(|| {
            let aim = turnover::flow(counted(tank, rules), rules.turnover.aimed_at(&tank.later))?;
            Ok::<_, Error>(missing(aim, *fouled))
        })?,
        fouled,
        full,
        streams,
        sound,
    }))
}

/// What a pump is really set to: one that can not be set so low runs at its lowest.
pub(crate) fn running(hung: &HungPump, model: &PumpModel) -> Share {
    Share(hung.setting.0.max(model.lowest_setting.0))
}

/// What a model moves, clean, as far up as the sand bears.
fn at_most(room: &Room<'_>, model: &PumpModel) -> Result<VolumeRate, Error> {
    let highest = room.highest_setting(model, room.longest_way())?.unwrap_or(model.lowest_setting);
    Ok(model.rated_flow * highest.0.max(model.lowest_setting.0))
}

/// The highest setting, in whole per cents, at which a pump leaves the livestock of now the calm that
/// [`check`] asks for and, where it hangs, lifts no sand; `None` where not even its lowest leaves that calm.
/// Sand that even the lowest setting lifts does not count: there the pump must hang higher.
///
/// # Errors
/// [`Error::OutOfRange`] for an outlet or a flow of which no stream can be reckoned.
pub fn most(
    rules: &Rules,
    tank: &Tank,
    room: &Room<'_>,
    hung: &HungPump,
    model: &PumpModel,
) -> Result<Option<Share>, Error> {
    let lowest = libm::ceil(model.lowest_setting.0 * 100.0 - 1e-6).max(1.0) as u32;
    let full = room.stream(model)?;
    let way = room.course_of(hung).way;
    let most = rules.speeds.band(&tank.now).high;
    let fastest = |at: Length| Ok::<_, Error>(rules.stream.spread_of(full.speed_at(at)?).high);
    // A speed goes with the setting.
    let calm = (most / fastest(room.calm_from(way))?).si();
    let highest = libm::floor(calm * 100.0 + 1e-6).min(100.0) as u32;
    if highest < lowest {
        return Ok(None);
    }
    let share = |percent: u32| Share(f64::from(percent) / 100.0);
    let lowest_outlet = |percent: u32| room.lowest(&full.at_setting(share(percent))?, model.outlet, way);
    let safe = |percent: u32| Ok::<_, Error>(lowest_outlet(percent)? <= hung.height);
    if safe(highest)? || !safe(lowest)? {
        return Ok(Some(share(highest)));
    }
    // Of the two ends, the lower is safe and the upper is not.
    Ok(Some(share(last_that_holds(lowest, highest, safe)?)))
}

fn stream(
    rules: &Rules,
    tank: &Tank,
    room: &Room<'_>,
    hung: &HungPump,
    model: &PumpModel,
) -> Result<StreamFit, Error> {
    let stream = Traced::ok(|| room.stream(model)?.at_setting(running(hung, model)))?;
    let course = Traced::new(|| room.course_of(hung));
    let heights = Traced::ok(|| {
        let low = room.lowest(&stream, model.outlet, course.way)?;
        Ok::<_, Error>(Band { low, high: room.highest(model.outlet) })
    })?;
    let far = Traced::ok(|| Ok::<_, Error>(rules.stream.spread_of(stream.speed_at(course.way)?)))?;
    let suits = Traced::new(|| rules.speeds.band(&tank.now));
    let zones = Traced::ok(|| zones(&stream, *suits, *rules.stream.spread, course.way))?;
    let mut told = StreamFit {
        flow: model.rated_flow * running(hung, model).0,
        stream,
        course,
        far,
        zones,
        heights,
        verdict: Traced::given(Verdict { faults: Vec::new(), remedy: None, calm_beside: false }),
    };
    told.verdict = Traced::ok(|| verdict(rules, tank, room, (hung, model), &told, &suits))?;
    Ok(told)
}

/// What is wrong with a pump, and what to do about it.
///
/// - `suits`: the speeds that suit what lives there now
fn verdict(
    rules: &Rules,
    tank: &Tank,
    room: &Room<'_>,
    (hung, model): (&HungPump, &PumpModel),
    told: &StreamFit,
    suits: &Traced<Band<Velocity>>,
) -> Result<Verdict, Error> {
    let StreamFit { stream, course, far, zones, heights, .. } = told;
    let (words, setting) = (&rules.words.fit, running(hung, model));
    let mut faults = Vec::new();
    if hung.setting.0 < model.lowest_setting.0 {
        faults.push(Reason::of(words.set_too_low(), || hung.setting, || model.lowest_setting));
    }
    let lifts = hung.height < heights.low;
    if lifts {
        let low = if room.has_sand() { words.lifts_sand() } else { words.near_floor() };
        faults.push(Reason::of(low, || hung.height, || heights.low));
    }
    if hung.height > heights.high {
        faults.push(Reason::of(words.draws_air(), || hung.height, || heights.high));
    }
    if let Some(largest) = model.largest_pane.filter(|_| !room.holds(model)) {
        faults.push(Reason::of(words.weak_magnets(), || Thickness(largest), || Thickness(tank.glass.pane)));
    }
    // Streams that face each other meet half-way.
    let reached = stream.speed_at(room.must_reach(tank.pumps.len(), course.way))?;
    if reached < suits.low {
        let faces = room.do_face(tank.pumps.len());
        let weak = if faces { words.too_weak_half_way() } else { words.too_weak() };
        faults.push(Reason::of(weak, || reached, || suits.low));
    }
    let too_strong = zones.too_strong_until > room.calm_from(course.way);
    if far.high > suits.high {
        faults.push(Reason::of(words.too_strong(), || far.high, || suits.high));
    } else if too_strong {
        let until = || zones.too_strong_until;
        faults.push(Reason::of(words.too_strong_on_its_way(), until, || room.calm_from(course.way)));
    }
    // The gentler of several kinds stand beside a stream that is for the hardiest.
    let calm_beside = zones.too_strong_until > course.way / 2.0
        || tank.now.asking().any(|kind| far.high > rules.speeds.band(kind).high);
    let enough = Share(libm::ceil(setting.0 * (suits.low / reached).si() * 100.0 - 1e-6) / 100.0);
    let percent = |share: Share| show(share.into(), Rounding::Nearest);
    let has_one_speed = model.lowest_setting.0 >= 1.0;
    let remedy = match most(rules, tank, room, hung, model)? {
        None if has_one_speed && lifts => Some(words.one_speed_and_low().to_owned()),
        None if has_one_speed => Some(words.one_speed().to_owned()),
        None if lifts => Some(words.no_setting_and_low().to_owned()),
        None => Some(words.no_setting().to_owned()),
        Some(most) if (too_strong || lifts) && most.0 < setting.0 => Some(words.turn_down(percent(most))),
        Some(_) if lifts => Some(words.hang_higher().to_owned()),
        Some(most) if reached < suits.low && enough.0 <= most.0 => Some(words.turn_up(percent(enough))),
        Some(_) => None,
    };
    Ok(Verdict { faults, remedy, calm_beside })
}

#[cfg(test)]
mod tests;
