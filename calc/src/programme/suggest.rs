//! A programme for a tank whose file has none.

use uom::si::f64::{Time, VolumeRate};

use super::clock::{ClockTime, DAY};
use super::{Feeding, Lights, Pattern, Programme, Runner, Stretch, Swing};
use crate::decide::plan::counted;
use crate::document::Places;
use crate::error::Error;
use crate::formulas::turnover;
use crate::quantity::{Dimension, Share};
use crate::rules::programme::ProgrammeRules;
use crate::rules::{Band, Rules};
use crate::tank::Tank;

/// What a programme must do for a tank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Needs {
    /// The flow that the livestock of now wants.
    pub flow: Band<VolumeRate>,
    /// Where in that band to aim.
    pub aim: VolumeRate,
    /// When the lights are on.
    pub lights: Lights,
    /// Whether the tank stands in a bedroom.
    pub bedroom: bool,
    /// The steps of a dial, from rule `placement.dial_step`.
    pub step: Share,
}

impl Needs {
    /// What a tank needs for the livestock of now.
    ///
    /// # Errors
    /// As [`turnover::flow`].
    pub fn of(rules: &Rules, tank: &Tank) -> Result<Self, Error> {
        let volume = counted(tank, rules);
        let mut band = rules.turnover.band(tank.now);
        // Kinds that want unlike bands are aimed at low in the highest one, and stirred no further above the aim than they go below it:
        // the gentle ones must bear the stirring too.
        if rules.turnover.is_mixed(tank.now) {
            band.high = band.at((2.0 * rules.turnover.aim_mixed.0).min(1.0));
        }
        Ok(Needs {
            flow: Band { low: turnover::flow(volume, band.low)?, high: turnover::flow(volume, band.high)? },
            aim: turnover::flow(volume, rules.turnover.aimed_at(tank.now))?,
            lights: Lights::of(tank, &rules.programme),
            bedroom: *tank.home.pillow < *rules.programme.bedroom && !tank.home.door,
            step: *rules.placement.dial_step,
        })
    }
}

/// A day's programme for some pumps.
///
/// - by day the pumps together give the flow aimed for; two or more change sides, a single one wanders
/// - at dawn and dusk they run half-way between the night's flow and the day's
/// - after dark they stir for a while at the high end of the band, then go down to the low end; in a bedroom the whole night is calm
/// - once a day they pause for a feeding
///
/// Settings are steps of the dial, or whole per cents where those are too coarse. They never leave the band nor what a pump can do, where
/// one of the two allows, and no pump goes above [`Runner::most`] while it can be turned down. Pumps with one speed always run, and the others make up what is left.
pub fn suggest(pumps: &[Runner], needs: Needs, rules: &ProgrammeRules) -> Programme {
    let fixed: VolumeRate = sum(pumps.iter().filter(|pump| pump.is_fixed()));
    let controllable = sum(pumps.iter().filter(|pump| !pump.is_fixed()));
    let share = |flow: VolumeRate| if controllable.si() > 0.0 { ((flow - fixed) / controllable).si() } else { 0.0 };
    let dials = Settings { low: share(needs.flow.low), aim: share(needs.aim), high: share(needs.flow.high) };
    let day = DayParts::of(needs, rules);
    let together = pumps.iter().filter(|pump| !pump.is_fixed()).count();
    let mut programme = Programme::default();
    let mut nth = 0;
    for pump in pumps {
        let mut add = |(from, until): (ClockTime, ClockTime), pattern| {
            programme.stretches.push(Stretch { pump: pump.name.clone(), from, until, pattern, places: Places::default() });
        };
        if pump.is_fixed() {
            add((ClockTime::START_OF_DAY, ClockTime::END_OF_DAY), Pattern::Steady(Share(1.0)));
            continue;
        }
        let settings = dials.for_pump(pump, needs.step);
        let by_day = settings.by_day(together, nth, day.minutes(), rules);
        nth += 1;
        add(day.day, by_day);
        if let (Some(dawn), Some(dusk)) = (day.dawn, day.dusk) {
            let between = Pattern::Steady(Share(up((settings.low + settings.aim) / 2.0, settings.step)));
            add(dusk, between);
            add(dawn, between);
        }
        if let Some(stir) = day.stir {
            add(stir, Pattern::Steady(Share(settings.high)));
        }
        add(day.calm, Pattern::Steady(Share(settings.low)));
    }
    if !pumps.is_empty() {
        let pause = libm::floor(rules.feeding_pause.si() / 60.0 + 1e-6).max(1.0) as u16;
        let before_dark = ClockTime::after_midnight(*rules.feeding_before_dark).minutes();
        let at = needs.lights.off.later(DAY - before_dark);
        programme.feedings.push(Feeding { at, pause, pumps: Vec::new(), places: Places::default() });
    }
    programme
}

/// When the suggested day stirs more strongly; `None` where it does not.
pub(super) fn stir(needs: Needs, rules: &ProgrammeRules) -> Option<(ClockTime, ClockTime)> {
    DayParts::of(needs, rules).stir
}

fn sum<'a>(pumps: impl Iterator<Item = &'a Runner>) -> VolumeRate {
    pumps.fold(VolumeRate::from_si(0.0), |sum, pump| sum + pump.rated_flow)
}

/// Settings as shares of full that would give all pumps together the flow wanted.
#[derive(Debug, Clone, Copy)]
struct Settings {
    low: f64,
    aim: f64,
    high: f64,
}

/// Settings that one pump can have.
#[derive(Debug, Clone, Copy)]
struct Dialled {
    low: f64,
    aim: f64,
    high: f64,
    step: f64,
}

/// The finest step that any dial is taken to have.
const FINEST: f64 = 0.01;

impl Settings {
    fn for_pump(self, pump: &Runner, step: Share) -> Dialled {
        let stepped = |step: f64| {
            let lowest = up(pump.lowest.0.max(FINEST), FINEST);
            let most = pump.most.map_or(lowest, |most| down(most.0, step).clamp(lowest, 1.0));
            let (low, high) = (up(self.low, step).clamp(lowest, most), down(self.high, step));
            // Where the stream must be held back, the middle of what is left takes the place of the aim, so that there is change by day.
            let aim = if high > most { self.aim.min((low + most) / 2.0) } else { self.aim };
            let high = high.clamp(low, most);
            Dialled { low, aim: nearest(aim, step).clamp(low, high), high, step }
        };
        // A band that no step of the dial lies in asks for a finer hand.
        let fits = up(self.low, step.0) <= down(self.high, step.0) + FINEST / 2.0;
        stepped(if fits { step.0 } else { FINEST })
    }
}

impl Dialled {
    /// Around the aim, as far as the nearer end of the band.
    fn by_day(self, together: usize, nth: usize, minutes: u16, rules: &ProgrammeRules) -> Pattern {
        let swing = (self.aim - self.low).min(self.high - self.aim);
        let period = if together > 1 { *rules.turns } else { *rules.wander };
        // No dial has a finer step, and a period must fit into the day.
        if swing < FINEST - 1e-9 || period.si() > f64::from(minutes) * 60.0 {
            return Pattern::Steady(Share(self.aim));
        }
        let percent = |share: f64| Share(nearest(share, FINEST));
        let swing =
            Swing { low: percent(self.aim - swing), high: percent(self.aim + swing), period: period, starts_high: nth.is_multiple_of(2) };
        if together > 1 { Pattern::Alternate(swing) } else { Pattern::Wander(swing) }
    }
}

/// The next step of a dial up; the last bit of a sum does not decide. Steps are whole per cents, so that a setting reads as it is.
fn up(share: f64, step: f64) -> f64 {
    whole(libm::ceil(share / step - 1e-6) * step)
}

/// The next step down.
fn down(share: f64, step: f64) -> f64 {
    whole(libm::floor(share / step + 1e-6) * step)
}

/// The nearest step.
fn nearest(share: f64, step: f64) -> f64 {
    whole(libm::rint(share / step) * step)
}

/// A sum of steps without the last bit's dust: to a millionth.
fn whole(share: f64) -> f64 {
    libm::rint(share * 1e6) / 1e6
}

/// The parts of the day, in order: each ends where the next begins.
struct DayParts {
    dawn: Option<(ClockTime, ClockTime)>,
    day: (ClockTime, ClockTime),
    dusk: Option<(ClockTime, ClockTime)>,
    stir: Option<(ClockTime, ClockTime)>,
    calm: (ClockTime, ClockTime),
}

impl DayParts {
    fn of(needs: Needs, rules: &ProgrammeRules) -> Self {
        let (on, off) = (needs.lights.on, needs.lights.off.later(0));
        let (light, dusk, stir) = (on.minutes_until(off), minutes(*rules.dusk), minutes(*rules.stir));
        // Short days have no dawn, and short nights no stir.
        let (dawn_ends, dusk_begins) = if light > 2 * dusk { (on.later(dusk), off.later(DAY - dusk)) } else { (on, off) };
        let calm_begins = if !needs.bedroom && DAY - light > stir { off.later(stir) } else { off };
        let part = |from: ClockTime, until: ClockTime| (from != until).then_some((from, until));
        DayParts {
            dawn: part(on, dawn_ends),
            day: (dawn_ends, dusk_begins),
            dusk: part(dusk_begins, off),
            stir: part(off, calm_begins),
            calm: (calm_begins, on),
        }
    }

    /// How long the day proper lasts.
    fn minutes(&self) -> u16 {
        self.day.0.minutes_until(self.day.1)
    }
}

fn minutes(time: Time) -> u16 {
    libm::floor(time.si() / 60.0 + 1e-6).clamp(0.0, f64::from(DAY)) as u16
}
