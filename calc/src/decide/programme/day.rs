//! What a programme comes to over a day: flow, energy, sound, wear and rest.

use uom::si::f64::{Energy, Power, Time, VolumeRate};

use crate::error::Error;
use crate::formulas::power;
use crate::formulas::programme::{ClockTime, DAY, Pattern, Programme, Segment, runs, span_of};
use crate::quantity::{Dimension, Share, SoundLevel};
use crate::rules::Band;
use crate::rules::power::PowerRules;
use crate::rules::sound::SoundRules;
use crate::trace::Traced;

/// What a programme needs to know of a pump that hangs in a tank.
#[derive(Debug, Clone, PartialEq)]
pub struct Runner {
    /// What the reader calls it.
    pub name: String,
    /// What it gives at full, when clean.
    pub rated_flow: VolumeRate,
    /// The lowest setting at which it runs; full for a pump with one speed.
    pub lowest: Share,
    /// The highest setting at which, where it hangs, its stream neither is too strong for the livestock of
    /// now nor lifts the sand; `None` where not even its lowest will do.
    pub most: Traced<Option<Share>>,
    /// Power at full.
    pub power: Power,
    /// Power that its controller draws whatever the setting.
    pub standing_draw: Power,
    /// Sound level at one metre, at full.
    pub sound: SoundLevel,
}

impl Runner {
    /// Whether it has one speed.
    pub fn is_fixed(&self) -> bool {
        self.lowest.0 >= 1.0
    }

    /// What it draws on average while it does something for so many minutes, at the least and at the most:
    /// the mean of [`power::draw_range`].
    fn mean_draw(&self, pattern: Pattern, minutes: u16, rules: &PowerRules) -> Result<Band<Power>, Error> {
        if pattern == Pattern::Rest {
            return Ok(Band { low: self.standing_draw, high: self.standing_draw });
        }
        // The steady setting that draws as much as the changing one does on average.
        let equal = Share(libm::cbrt(pattern.mean_cube_over(minutes)).min(1.0));
        power::draw_range(self.power, self.standing_draw.min(self.power), equal, *rules.saving_made)
    }
}

/// What a programme comes to over a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Day {
    /// Flow of all pumps together, minute by minute: turns as they go, and the means of what changes within
    /// seconds or by chance.
    pub flow: Vec<VolumeRate>,
    /// The least and the most that it may be in that minute.
    ends: Vec<Band<VolumeRate>>,
    /// Minutes in which a feeding is going on for some pump.
    feeding: Vec<bool>,
    /// Of each pump, in their order.
    pub pumps: Vec<PumpDay>,
    /// The longest time in which no pump runs.
    pub longest_still: Time,
    segments: Vec<Segment>,
}

/// What a programme comes to over a day for one pump.
#[derive(Debug, Clone, PartialEq)]
pub struct PumpDay {
    /// Its mean setting.
    pub mean: Share,
    /// How often its speed changes.
    pub changes: f64,
    /// The longest time in which it rests.
    pub longest_rest: Time,
}

impl Day {
    /// Reckons a programme for the pumps that it names.
    pub fn of(programme: &Programme, pumps: &[Runner]) -> Self {
        let names: Vec<_> = pumps.iter().map(|pump| pump.name.as_str()).collect();
        let segments = programme.timeline(&names);
        let mut flow = vec![VolumeRate::from_si(0.0); usize::from(DAY)];
        let mut ends =
            vec![Band { low: VolumeRate::from_si(0.0), high: VolumeRate::from_si(0.0) }; usize::from(DAY)];
        let mut feeding = vec![false; usize::from(DAY)];
        let mut moves = vec![false; usize::from(DAY)];
        let mut days = Vec::new();
        for pump in pumps {
            let own: Vec<_> = segments.iter().filter(|segment| segment.pump == pump.name).collect();
            let mut rests = vec![true; usize::from(DAY)];
            let (mut mean, mut changes) = (0.0, 0.0);
            for (at, segment) in own.iter().enumerate() {
                let (from, until) =
                    (usize::from(segment.from.minutes()), usize::from(segment.until.minutes()));
                let minutes = segment.until.minutes() - segment.from.minutes();
                let share = segment.pattern.mean_over(minutes);
                for minute in from..until {
                    // The middle of the minute speaks for it.
                    let (low, high) =
                        segment.pattern.ends_at(Time::from_si(60.0 * (minute - from) as f64 + 30.0));
                    flow[minute] += pump.rated_flow * ((low.0 + high.0) / 2.0);
                    ends[minute].low += pump.rated_flow * low.0;
                    ends[minute].high += pump.rated_flow * high.0;
                    feeding[minute] |= segment.feeding;
                    rests[minute] = segment.pattern == Pattern::Rest;
                    moves[minute] |= !rests[minute];
                }
                mean += share.0 * f64::from(minutes) / f64::from(DAY);
                let next = own[(at + 1) % own.len()];
                // The day begins as it ended, unless its programme changes at midnight.
                let turns = f64::from(u8::from(next.pattern != segment.pattern));
                changes += segment.pattern.changes(minutes) + turns;
            }
            days.push(PumpDay { mean: Share(mean), changes, longest_rest: longest(&rests) });
        }
        let still: Vec<_> = moves.iter().map(|moves| !moves).collect();
        Day { flow, ends, feeding, pumps: days, longest_still: longest(&still), segments }
    }

    /// Mean flow over the whole day.
    pub fn mean_flow(&self) -> VolumeRate {
        self.flow.iter().fold(VolumeRate::from_si(0.0), |sum, flow| sum + *flow) / f64::from(DAY)
    }

    /// The lowest flow at any moment, feedings left out, and the highest.
    pub fn flow_range(&self) -> Band<VolumeRate> {
        let awake = self
            .ends
            .iter()
            .zip(&self.feeding)
            .filter(|(_, feeding)| !**feeding)
            .map(|(ends, _)| ends.low.si());
        let low = awake.fold(f64::INFINITY, f64::min);
        let high = self.ends.iter().map(|ends| ends.high.si()).fold(0.0, f64::max);
        // A day that is all feeding is refused long before; no infinity leaves here all the same.
        Band {
            low: VolumeRate::from_si(if low.is_finite() { low } else { 0.0 }),
            high: VolumeRate::from_si(high),
        }
    }

    /// How long the flow lies in a band.
    pub fn time_in(&self, band: Band<VolumeRate>) -> Time {
        Time::from_si(self.flow.iter().filter(|flow| band.contains(**flow)).count() as f64 * 60.0)
    }

    /// What a pump uses, at the least and at the most.
    ///
    /// # Errors
    /// As [`power::draw_range`], for a pump that is none.
    pub fn energy_of(&self, pump: &Runner, rules: &PowerRules) -> Result<Band<Energy>, Error> {
        let mut energy = Band { low: Energy::default(), high: Energy::default() };
        for segment in self.segments.iter().filter(|segment| segment.pump == pump.name) {
            let lasts = Time::from_si(f64::from(segment.minutes()) * 60.0);
            let draw = pump.mean_draw(segment.pattern, segment.minutes(), rules)?;
            energy = Band { low: energy.low + draw.low * lasts, high: energy.high + draw.high * lasts };
        }
        Ok(energy)
    }

    /// What all pumps together use.
    ///
    /// # Errors
    /// As [`Day::energy_of`].
    pub fn energy(&self, pumps: &[Runner], rules: &PowerRules) -> Result<Band<Energy>, Error> {
        let mut sum = Band { low: Energy::default(), high: Energy::default() };
        for pump in pumps {
            let own = self.energy_of(pump, rules)?;
            sum = Band { low: sum.low + own.low, high: sum.high + own.high };
        }
        Ok(sum)
    }

    /// Level of all pumps together at one metre in the hours from `from` on: the mean over those hours, and
    /// the highest; `None` where none runs. Of rule `sound.half_speed` the low end counts, the loud side.
    ///
    /// Within a stretch whose setting changes, the mean is that of the energies of both ends, which is the
    /// safe side for wandering.
    ///
    /// # Errors
    /// As [`crate::formulas::sound::at_setting`].
    pub fn night_levels(
        &self,
        pumps: &[Runner],
        from: ClockTime,
        minutes: u16,
        rules: &SoundRules,
    ) -> Result<Option<[SoundLevel; 2]>, Error> {
        let mut means = vec![0.0; usize::from(DAY)];
        let mut peaks = means.clone();
        for pump in pumps {
            for segment in self
                .segments
                .iter()
                .filter(|segment| segment.pump == pump.name && segment.pattern != Pattern::Rest)
            {
                let (low, high) = segment.pattern.ends();
                let energy = |setting| {
                    Ok::<_, Error>(libm::pow(
                        10.0,
                        crate::formulas::sound::at_setting(pump.sound, setting, rules.half_speed.low)?.0
                            / 10.0,
                    ))
                };
                let (low, high) = (energy(low)?, energy(high)?);
                for minute in segment.from.minutes()..segment.until.minutes() {
                    means[usize::from(minute)] += (low + high) / 2.0;
                    peaks[usize::from(minute)] += high;
                }
            }
        }
        let night: Vec<_> = span_of(from, minutes.min(DAY)).collect();
        let mean = night.iter().map(|minute| means[*minute]).sum::<f64>() / night.len().max(1) as f64;
        let peak = night.iter().map(|minute| peaks[*minute]).fold(0.0, f64::max);
        Ok((mean > 0.0).then(|| [mean, peak].map(|energy| SoundLevel(10.0 * libm::log10(energy)))))
    }
}

/// The longest time in which something holds without a break; midnight is none.
fn longest(holds: &[bool]) -> Time {
    let runs = runs(|minute| holds[usize::from(minute)]);
    let minutes = runs.into_iter().map(|(from, until)| from.minutes_until(until)).max().unwrap_or(0);
    Time::from_si(f64::from(minutes) * 60.0)
}
