//! A programme for a tank whose file has none.

use uom::si::f64::{Time, Volume, VolumeRate};

use super::Runner;
use crate::document::Places;
use crate::error::Error;
use crate::formulas::programme::{ClockTime, DAY, Feeding, Lights, Pattern, Programme, Stretch, Swing};
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
    /// - `volume`: the one that its turnover counts
    ///
    /// # Errors
    /// As [`turnover::flow`].
    pub fn of(volume: Volume, rules: &Rules, tank: &Tank) -> Result<Self, Error> {
        let mut band = rules.turnover.band(&tank.now);
        // Kinds that want unlike bands are aimed at low in the highest one, and stirred no further above the
        // aim than they go below it: the gentle ones must bear the stirring too.
        if rules.turnover.is_mixed(&tank.now) {
            band.high = band.at((2.0 * rules.turnover.aim_mixed.0).min(1.0));
        }
        Ok(Needs {
            flow: Band { low: turnover::flow(volume, band.low)?, high: turnover::flow(volume, band.high)? },
            aim: turnover::flow(volume, rules.turnover.aimed_at(&tank.now))?,
            lights: super::lights(tank, &rules.programme),
            bedroom: is_bedroom(tank, &rules.programme),
            step: *rules.placement.dial_step,
        })
    }
}

/// Whether a tank stands in a bedroom.
pub(crate) fn is_bedroom(tank: &Tank, rules: &ProgrammeRules) -> bool {
    *tank.home.pillow < *rules.bedroom && !tank.home.door
}

/// A day's programme for some pumps.
///
/// - by day the pumps together give the flow aimed for; two or more change sides, a single one wanders
/// - at dawn and dusk they run half-way between the night's flow and the day's
/// - after dark they stir for a while at the high end of the band, then go down to the low end; in a bedroom
///   the whole night is calm
/// - once a day they pause for a feeding
///
/// Settings are steps of the dial, or whole per cents where those are too coarse. They never leave the band
/// nor what a pump can do, where one of the two allows, and no pump goes above [`Runner::most`] while it can
/// be turned down. Pumps with one speed always run, and the others make up what is left.
pub fn suggest(pumps: &[Runner], needs: Needs, rules: &ProgrammeRules) -> Programme {
    let fixed: VolumeRate = sum(pumps.iter().filter(|pump| pump.is_fixed()));
    let controllable = sum(pumps.iter().filter(|pump| !pump.is_fixed()));
    let share =
        |flow: VolumeRate| if controllable.si() > 0.0 { ((flow - fixed) / controllable).si() } else { 0.0 };
    let dials = Settings { low: share(needs.flow.low), aim: share(needs.aim), high: share(needs.flow.high) };
    let day = DayParts::of(needs.lights, needs.bedroom, rules);
    let together = pumps.iter().filter(|pump| !pump.is_fixed()).count();
    let mut programme = Programme::default();
    let mut nth = 0;
    for pump in pumps {
        let mut add = |(from, until): (ClockTime, ClockTime), pattern| {
            programme.stretches.push(Stretch {
                pump: pump.name.clone(),
                from,
                until,
                pattern,
                places: Places::default(),
            });
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

/// When the suggested day stirs more strongly; `None` where it does not: in a bedroom, or where the night is
/// too short for it.
pub(crate) fn stir(lights: Lights, bedroom: bool, rules: &ProgrammeRules) -> Option<(ClockTime, ClockTime)> {
    if bedroom {
        return None;
    }
    let (off, lasts) = (lights.off.later(0), minutes(*rules.stir));
    let stirs = DAY - lights.on.minutes_until(off) > lasts && lasts > 0;
    stirs.then(|| (off, off.later(lasts)))
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
            let most = (*pump.most).map_or(lowest, |most| down(most.0, step).clamp(lowest, 1.0));
            let (low, high) = (up(self.low, step).clamp(lowest, most), down(self.high, step));
            // Where the stream must be held back, the middle of what is left takes the place of the aim, so
            // that there is change by day.
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
        let (low, high) = (percent(self.aim - swing), percent(self.aim + swing));
        let swing = Swing { low, high, period, starts_high: nth.is_multiple_of(2) };
        if together > 1 { Pattern::Alternate(swing) } else { Pattern::Wander(swing) }
    }
}

/// The next step of a dial up; the last bit of a sum does not decide. Steps are whole per cents, so that a
/// setting reads as it is.
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
    fn of(lights: Lights, bedroom: bool, rules: &ProgrammeRules) -> Self {
        let (on, off) = (lights.on, lights.off.later(0));
        let (light, dusk) = (on.minutes_until(off), minutes(*rules.dusk));
        // Short days have no dawn.
        let (dawn_ends, dusk_begins) =
            if light > 2 * dusk { (on.later(dusk), off.later(DAY - dusk)) } else { (on, off) };
        let part = |from: ClockTime, until: ClockTime| (from != until).then_some((from, until));
        let stir = stir(lights, bedroom, rules);
        DayParts {
            dawn: part(on, dawn_ends),
            day: (dawn_ends, dusk_begins),
            dusk: part(dusk_begins, off),
            stir,
            calm: (stir.map_or(off, |(_, until)| until), on),
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
