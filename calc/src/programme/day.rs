//! What a programme comes to over a day: flow, energy, sound, wear and rest.

use uom::si::f64::{Energy, Power, Time, Volume, VolumeRate};

use super::clock::{ClockTime, DAY};
use super::{Pattern, Programme, Segment};
use crate::catalogue::Catalogue;
use crate::decide::placement::Room;
use crate::decide::plan;
use crate::decide::plan::counted;
use crate::error::Error;
use crate::fit;
use crate::formulas::power;
use crate::formulas::turnover;
use crate::quantity::{Dimension, Kind, Money, Quantity, Rounding, Share, SoundLevel, show};
use crate::rules::{Band, Rules};
use crate::sheet::{Axis, Cell, Chart, Figure, Row, Sheet, Step, Stretch, Table, Timeline, TimelineRow, Value};
use crate::sound;
use crate::tank::Tank;
use crate::words::listed;

/// What a programme needs to know of a pump that hangs in a tank.
#[derive(Debug, Clone, PartialEq)]
pub struct Runner {
    /// What the reader calls it.
    pub name: String,
    /// What it gives at full, when clean.
    pub rated_flow: VolumeRate,
    /// The lowest setting at which it runs; full for a pump with one speed.
    pub lowest: Share,
    /// The highest setting at which, where it hangs, its stream neither is too strong for the livestock of now nor lifts the sand; `None`
    /// where not even its lowest will do.
    pub most: Option<Share>,
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

    /// What it draws on average while it does something for so many minutes, at the least and at the most: the mean of [`power::draw_range`].
    fn mean_draw(&self, pattern: Pattern, minutes: u16, rules: &Rules) -> Result<Band<Power>, Error> {
        if pattern == Pattern::Rest {
            return Ok(Band { low: self.standing_draw, high: self.standing_draw });
        }
        // The steady setting that draws as much as the changing one does on average.
        let equal = Share(libm::cbrt(pattern.mean_cube_over(minutes)).min(1.0));
        power::draw_range(self.power, self.standing_draw.min(self.power), equal, *rules.power.saving_made)
    }
}

/// The pumps that hang in a tank, as the catalogue knows them; one whose model it does not know is left out.
///
/// # Errors
/// As [`fit::most`].
pub fn hung(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Vec<Runner>, Error> {
    let room = Room::new(rules, tank)?;
    let runner = |pump: &crate::tank::HungPump| {
        let model = catalogue.pump(&pump.model)?;
        Some(fit::most(rules, tank, &room, pump, model).map(|most| Runner {
            name: pump.name.clone(),
            rated_flow: model.rated_flow,
            lowest: model.lowest_setting,
            most,
            power: model.power,
            standing_draw: model.standing_draw,
            sound: model.sound,
        }))
    };
    tank.pumps.iter().filter_map(runner).collect()
}

/// What a programme comes to over a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Day {
    /// Flow of all pumps together, minute by minute: turns as they go, and the means of what changes within seconds or by chance.
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
    /// What it uses, at the least and at the most.
    pub energy: Band<Energy>,
    /// How often its speed changes.
    pub changes: f64,
    /// The longest time in which it rests.
    pub longest_rest: Time,
}

impl Day {
    /// Reckons a programme for the pumps that it names.
    ///
    /// # Errors
    /// As [`power::draw_range`], for a pump that is none.
    pub fn of(programme: &Programme, pumps: &[Runner], rules: &Rules) -> Result<Self, Error> {
        let names: Vec<_> = pumps.iter().map(|pump| pump.name.as_str()).collect();
        let segments = programme.timeline(&names);
        let mut flow = vec![VolumeRate::from_si(0.0); usize::from(DAY)];
        let mut ends = vec![Band { low: VolumeRate::from_si(0.0), high: VolumeRate::from_si(0.0) }; usize::from(DAY)];
        let mut feeding = vec![false; usize::from(DAY)];
        let mut moves = vec![false; usize::from(DAY)];
        let mut days = Vec::new();
        for pump in pumps {
            let own: Vec<_> = segments.iter().filter(|segment| segment.pump == pump.name).collect();
            let mut rests = vec![true; usize::from(DAY)];
            let (mut mean, mut changes) = (0.0, 0.0);
            let mut energy = Band { low: Energy::from_si(0.0), high: Energy::from_si(0.0) };
            for (at, segment) in own.iter().enumerate() {
                let (from, until) = (usize::from(segment.from.minutes()), usize::from(segment.until.minutes()));
                let minutes = segment.until.minutes() - segment.from.minutes();
                let (share, lasts) = (segment.pattern.mean_over(minutes), Time::from_si(f64::from(minutes) * 60.0));
                for minute in from..until {
                    // The middle of the minute speaks for it.
                    let (low, high) = segment.pattern.ends_at(Time::from_si(60.0 * (minute - from) as f64 + 30.0));
                    flow[minute] += pump.rated_flow * ((low.0 + high.0) / 2.0);
                    ends[minute].low += pump.rated_flow * low.0;
                    ends[minute].high += pump.rated_flow * high.0;
                    feeding[minute] |= segment.feeding;
                    rests[minute] = segment.pattern == Pattern::Rest;
                    moves[minute] |= !rests[minute];
                }
                mean += share.0 * f64::from(minutes) / f64::from(DAY);
                let draw = pump.mean_draw(segment.pattern, minutes, rules)?;
                energy = Band { low: energy.low + draw.low * lasts, high: energy.high + draw.high * lasts };
                let next = own[(at + 1) % own.len()];
                // The day begins as it ended, unless its programme changes at midnight.
                let turns = f64::from(u8::from(next.pattern != segment.pattern));
                changes += segment.pattern.changes(minutes) + turns;
            }
            days.push(PumpDay { mean: Share(mean), energy, changes, longest_rest: longest(&rests) });
        }
        let still: Vec<_> = moves.iter().map(|moves| !moves).collect();
        Ok(Day { flow, ends, feeding, pumps: days, longest_still: longest(&still), segments })
    }

    /// Mean flow over the whole day.
    pub fn mean_flow(&self) -> VolumeRate {
        self.flow.iter().fold(VolumeRate::from_si(0.0), |sum, flow| sum + *flow) / f64::from(DAY)
    }

    /// The lowest flow at any moment, feedings left out, and the highest.
    pub fn flow_range(&self) -> Band<VolumeRate> {
        let awake = self.ends.iter().zip(&self.feeding).filter(|(_, feeding)| !**feeding).map(|(ends, _)| ends.low.si());
        let low = awake.fold(f64::INFINITY, f64::min);
        let high = self.ends.iter().map(|ends| ends.high.si()).fold(0.0, f64::max);
        // A day that is all feeding is refused long before; no infinity leaves here all the same.
        Band { low: VolumeRate::from_si(if low.is_finite() { low } else { 0.0 }), high: VolumeRate::from_si(high) }
    }

    /// How long the flow lies in a band.
    pub fn time_in(&self, band: Band<VolumeRate>) -> Time {
        Time::from_si(self.flow.iter().filter(|flow| band.contains(**flow)).count() as f64 * 60.0)
    }

    /// Energy of all pumps together.
    pub fn energy(&self) -> Band<Energy> {
        let zero = Energy::from_si(0.0);
        self.pumps
            .iter()
            .fold(Band { low: zero, high: zero }, |sum, pump| Band { low: sum.low + pump.energy.low, high: sum.high + pump.energy.high })
    }

    /// Level of all pumps together at one metre in the hours from `from` on: the mean over those hours, and the highest; `None` where
    /// none runs. Of rule `sound.half_speed` the low end counts, the loud side.
    ///
    /// Within a stretch whose setting changes, the mean is that of the energies of both ends, which is the safe side for wandering.
    ///
    /// # Errors
    /// As [`sound::at_setting`].
    pub fn night_levels(&self, pumps: &[Runner], from: ClockTime, minutes: u16, rules: &Rules) -> Result<Option<[SoundLevel; 2]>, Error> {
        let mut means = vec![0.0; usize::from(DAY)];
        let mut peaks = means.clone();
        for pump in pumps {
            for segment in self.segments.iter().filter(|segment| segment.pump == pump.name && segment.pattern != Pattern::Rest) {
                let (low, high) = segment.pattern.ends();
                let energy =
                    |setting| Ok::<_, Error>(libm::pow(10.0, sound::at_setting(pump.sound, setting, rules.sound.half_speed.low)?.0 / 10.0));
                let (low, high) = (energy(low)?, energy(high)?);
                for minute in segment.from.minutes()..segment.until.minutes() {
                    means[usize::from(minute)] += (low + high) / 2.0;
                    peaks[usize::from(minute)] += high;
                }
            }
        }
        let night: Vec<_> = super::span_of(from, minutes.min(DAY)).collect();
        let mean = night.iter().map(|minute| means[*minute]).sum::<f64>() / night.len().max(1) as f64;
        let peak = night.iter().map(|minute| peaks[*minute]).fold(0.0, f64::max);
        Ok((mean > 0.0).then(|| [mean, peak].map(|energy| SoundLevel(10.0 * libm::log10(energy)))))
    }
}

/// The longest time in which something holds without a break; midnight is none.
fn longest(holds: &[bool]) -> Time {
    let runs = super::runs(|minute| holds[usize::from(minute)]);
    let minutes = runs.into_iter().map(|(from, until)| from.minutes_until(until)).max().unwrap_or(0);
    Time::from_si(f64::from(minutes) * 60.0)
}

/// Adds the figures of this topic, `programme.…`, for the tank's pumps, or where it has none for those of its plan; and `lights.hours`.
///
/// # Errors
/// As [`Day::of`], [`sound::at_pillow`] and [`turnover::turnover`].
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    let lights = super::Lights::of(tank, &rules.programme);
    let hours = Value::Words(format!("{} to {}", lights.on, lights.off));
    sheet.put(Figure::new("lights.hours", "When the lights are on", hours).assumes(tank, "lights"));
    for (key, title, at) in [("on", "When the lights go on", lights.on), ("off", "When the lights go off", lights.off)] {
        let figure = Figure::new(format!("lights.{key}"), title, Value::Words(at.to_string()));
        sheet.put(figure.assumes(tank, "lights"));
    }
    let planned;
    let (tank, whose) = if !tank.pumps.is_empty() {
        (tank, if tank.programme.is_empty() { "suggested for its pumps" } else { "from its file" })
    } else {
        planned = Tank { pumps: plan::hung(rules, catalogue, tank)?, ..tank.clone() };
        (&planned, "suggested for the pumps of the plan")
    };
    let pumps = hung(rules, catalogue, tank)?;
    if pumps.is_empty() {
        let why = format!(
            "{} has no pumps, and no plan that would give it some, so there is no day to show. Write a table [[pump]] into its file for each \
             pump that hangs in it.",
            tank.name
        );
        for part in ["programme", "programme.by_turns", "programme.stir", "programme_day", "programme_pumps", "programme_turnover"] {
            sheet.lack(part, &*why);
        }
        return Ok(());
    }
    let programme = super::of(rules, catalogue, tank)?;
    let day = Day::of(&programme, &pumps, rules)?;
    sheet.put(Figure::new("programme.whose", "Where the programme comes from", whose));

    let volume = counted(tank, rules);
    flow_figures(sheet, rules, tank, &day, volume)?;
    energy_figures(sheet, tank, &day)?;
    sound_figures(sheet, rules, tank, &day, &pumps)?;
    rest_figures(sheet, &day);
    parts_figures(sheet, rules, tank, &programme, &pumps, day.flow_range().high)?;
    let names: Vec<_> = pumps.iter().map(|pump| pump.name.as_str()).collect();
    let segments = programme.timeline(&names);
    sheet.put_timeline(day_timeline(&segments, &pumps, lights, &tank.name));
    sheet.put_table(day_table(&segments, &pumps));
    sheet.put_table(pumps_table(&day, &pumps));
    sheet.put_chart(turnover_chart(&day, rules, tank, volume)?);
    Ok(())
}

fn flow_figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank, day: &Day, volume: Volume) -> Result<(), Error> {
    let turns = |flow| turnover::turnover(flow, volume);
    let range = day.flow_range();
    sheet.put(
        Figure::new("programme.flow", "Mean flow of the pumps over the day, when clean", day.mean_flow())
            .from("Σ rated flow × mean setting", &[]),
    );
    sheet.put(
        Figure::new("programme.mean", "Mean turnover over the day", turns(day.mean_flow())?)
            .from("mean flow ÷ volume", &["programme.flow", "tank.counted"]),
    );
    let ends =
        [("lowest", "Lowest turnover of the day, feedings left out", range.low), ("highest", "Highest turnover of the day", range.high)];
    for (key, title, flow) in ends {
        sheet.put(
            Figure::new(format!("programme.{key}"), title, turns(flow)?)
                .from("Σ rated flow × setting of the moment ÷ volume", &["tank.counted"]),
        );
    }
    let lowest = turns(range.low)?;
    let fouled = lowest * (1.0 - rules.turnover.fouling_allowance.0);
    sheet.put(
        Figure::new("programme.lowest_fouled", "Lowest turnover of the day just before a cleaning", fouled)
            .from("lowest turnover × (1 − share lost)", &["programme.lowest"])
            .rule("turnover.fouling_allowance")
            .never_above(),
    );
    let least = rules.turnover.band(tank.now).low;
    if fouled < least {
        sheet.put(
            Figure::new("programme.short_when_fouled", "How far that lies below the band for what lives there now", least - fouled)
                .from("low end of the band − lowest turnover before a cleaning", &["turnover.now", "programme.lowest_fouled"])
                .never_below(),
        );
    } else {
        sheet.lack("programme.short_when_fouled", "Even just before a cleaning, the least flow of the day stays in the band.");
    }
    for (when, livestock) in [("now", tank.now), ("later", tank.later)] {
        let band = rules.turnover.band(livestock);
        let band = Band { low: turnover::flow(volume, band.low)?, high: turnover::flow(volume, band.high)? };
        let outside = Time::from_si(f64::from(DAY) * 60.0) - day.time_in(band);
        sheet.put(
            Figure::new(
                format!("programme.outside_{when}"),
                format!("Time of the day outside the band for {}, pauses counted in", livestock.words()),
                outside,
            )
            .from("minutes in which the flow does not lie in the band", &[&format!("flow.{when}")])
            .rule(&format!("turnover.{}", livestock.most().key()))
            .never_below(),
        );
    }
    Ok(())
}

fn energy_figures(sheet: &mut Sheet, tank: &Tank, day: &Day) -> Result<(), Error> {
    let price = Money { amount: *tank.home.price_per_kwh, currency: tank.home.currency };
    let energy = day.energy();
    sheet.put(
        Figure::new("programme.energy_day", "What the pumps use in a day", energy)
            .from("Σ draw at the settings × time", &[])
            .rule("power.saving_made"),
    );
    let year = |energy: Energy| power::cost(energy * 365.0, price).map(Quantity::from);
    sheet.put(
        Figure::new("programme.cost_year", "What that costs in a year", Value::Range(year(energy.low)?, year(energy.high)?))
            .from("energy in a day × 365 × price", &["programme.energy_day", "power.price"])
            .rule("power.saving_made"),
    );
    Ok(())
}

/// What is said of a night that is quiet enough.
pub const KEEPS_TO_THE_LIMIT: &str = "keeps to the limit";

fn sound_figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank, day: &Day, pumps: &[Runner]) -> Result<(), Error> {
    let from = ClockTime::after_midnight(*rules.programme.night);
    let minutes = (rules.programme.night_lasts.si() / 60.0) as u16;
    let night = format!("{from} to {}", from.later(minutes));
    sheet.put(
        Figure::new("programme.night", "The night for which sound is reckoned", Value::Words(night))
            .rule("programme.night")
            .rule("programme.night_lasts"),
    );
    let pumps = day.night_levels(pumps, from, minutes, rules)?;
    let beside: Vec<_> = sound::beside_the_pumps(tank, &rules.sound).iter().map(|source| source.level).collect();
    if pumps.is_none() && beside.is_empty() {
        let why = format!("By its programme no pump of {} runs at night, so none is heard at the pillow.", tank.name);
        for part in ["programme.night_level", "programme.night_level_says", "programme.night_peak", "programme.night_peak_says"] {
            sheet.lack(part, &*why);
        }
        return Ok(());
    }
    let kinds = [
        ("level", "Sound at the pillow over the night, on average", "night_level"),
        ("peak", "Sound at the pillow in the loudest minute of the night", "night_peak"),
    ];
    for (at, (key, title, limit)) in kinds.into_iter().enumerate() {
        let levels: Vec<_> = pumps.iter().map(|levels| levels[at]).chain(beside.iter().copied()).collect();
        let at_pillow = sound::at_pillow_of(&tank.home, &levels, &rules.sound)?;
        let figure = Figure::new(format!("programme.night_{key}"), title, at_pillow)
            .from("levels of the pumps at their settings and of what else hums, summed; at the pillow", &["sound.counted", "sound.pillow"])
            .rule("sound.half_speed")
            .rule("programme.night")
            .rule("programme.night_lasts")
            .never_below();
        sheet.put(sound::rules_of(&tank.home).into_iter().fold(figure, Figure::rule));
        let allowed = if limit == "night_level" { *rules.sound.night_level } else { *rules.sound.night_peak };
        let words = if at_pillow.high.0 <= allowed.0 {
            KEEPS_TO_THE_LIMIT
        } else if at_pillow.low.0 > allowed.0 {
            "is above the limit"
        } else {
            "may be above the limit: listen at the pillow"
        };
        sheet.put(
            Figure::new(format!("programme.night_{key}_says"), format!("{title}: against the limit"), words)
                .from("compared with the limit", &[&format!("programme.night_{key}")])
                .rule(&format!("sound.{limit}")),
        );
    }
    Ok(())
}

/// The parts of the day that not every programme has: turns, stirring, and what holds a pump back.
fn parts_figures(
    sheet: &mut Sheet,
    rules: &Rules,
    tank: &Tank,
    programme: &Programme,
    pumps: &[Runner],
    highest: VolumeRate,
) -> Result<(), Error> {
    let name = &tank.name;
    let takes_turns = |stretch: &&super::Stretch| matches!(stretch.pattern, Pattern::Alternate(_));
    let who: Vec<_> = programme.stretches.iter().filter(takes_turns).map(|stretch| stretch.pump.as_str()).collect();
    let turns: Vec<_> = pumps.iter().map(|pump| pump.name.as_str()).filter(|pump| who.contains(pump)).collect();
    if turns.len() > 1 {
        sheet.put(Figure::new("programme.by_turns", "Pumps that take turns", Value::Words(listed(&turns))));
    } else {
        let why = if pumps.len() > 1 { "no two of its pumps take turns" } else { "there is one pump, and turns take two" };
        sheet.lack("programme.by_turns", format!("In the day of {name}, {why}."));
    }
    let needs = super::Needs::of(rules, tank)?;
    match super::suggest::stir(needs, &rules.programme) {
        _ if !tank.programme.is_empty() => {
            sheet.lack("programme.stir", format!("Whether {name} is stirred after dark stands in its file's own programme."));
        }
        _ if pumps.iter().all(Runner::is_fixed) => {
            sheet.lack("programme.stir", format!("No pump of {name} can be set, so none stirs more strongly after dark."));
        }
        Some((from, until)) => {
            let figure = Figure::new("programme.stir", "When the pumps stir more strongly", Value::Words(format!("{from} to {until}")));
            sheet.put(figure.rule("programme.stir"));
        }
        None if needs.bedroom => {
            let why = "stands in a bedroom, so its pumps do not stir after dark: they go straight to the night's calm.";
            sheet.lack("programme.stir", format!("{name} {why}"));
        }
        None => sheet.lack("programme.stir", format!("The nights of {name} are too short to stir after dark.")),
    }
    let held: Vec<_> = pumps.iter().filter(|pump| pump.most.is_none_or(|most| most.0 < 1.0)).collect();
    if held.is_empty() {
        sheet.lack("programme.most", format!("No pump of {name} is too strong at full, nor lifts sand where it hangs."));
    } else {
        let told = |pump: &&Runner| match pump.most {
            Some(most) => format!("{} for {}", show(most.into(), Rounding::Down), pump.name),
            None => format!("none for {}", pump.name),
        };
        let told: Vec<_> = held.iter().map(told).collect();
        sheet.put(
            Figure::new(
                "programme.most",
                "Highest setting at which a stream is neither too strong nor lifts sand",
                Value::Words(listed(&told)),
            )
            .from("most that suits ÷ fastest at full", &["speeds.now"])
            .rule("stream.spread")
            .rule("placement.calm_share"),
        );
    }
    let asked = turnover::flow(counted(tank, rules), rules.turnover.band(tank.now).low)?;
    if highest < asked && !held.is_empty() {
        sheet.put(
            Figure::new(
                "programme.short",
                "Flow that the day's highest falls short of the least for what lives there now",
                asked - highest,
            )
            .from("low end of the flow for now − highest flow of the day", &["flow.now"])
            .never_below(),
        );
    } else {
        sheet.lack("programme.short", format!("No pump of {name} is held back so far that the flow falls short of its band."));
    }
    let above = |pump: &&&Runner| {
        let own = |stretch: &&super::Stretch| stretch.pump == pump.name;
        programme
            .stretches
            .iter()
            .filter(own)
            .any(|stretch| stretch.pattern != Pattern::Rest && pump.most.is_none_or(|most| stretch.pattern.ends().1.0 > most.0 + 1e-9))
    };
    let above: Vec<_> = held.iter().filter(above).map(|pump| pump.name.as_str()).collect();
    if above.is_empty() {
        sheet.lack("programme.above", format!("In the day of {name}, no pump goes so high that its stream is too strong."));
    } else {
        sheet.put(Figure::new("programme.above", "Pumps that go above that in the day", Value::Words(listed(&above))));
    }
    Ok(())
}

fn rest_figures(sheet: &mut Sheet, day: &Day) {
    let most = day.pumps.iter().map(|pump| pump.changes).fold(0.0, f64::max);
    sheet.put(
        Figure::new("programme.changes", "Speed changes in a day of the pump that has the most", Quantity::new(Kind::Count, most))
            .from("time ÷ half a period of pulses and turns, ÷ a period of wandering, and one at each change of stretch", &[]),
    );
    let rest = day.pumps.iter().map(|pump| pump.longest_rest.si()).fold(0.0, f64::max);
    sheet.put(Figure::new("programme.longest_rest", "The longest that any pump rests", Time::from_si(rest)).never_below());
    sheet.put(Figure::new("programme.longest_still", "The longest that no pump runs", day.longest_still).never_below());
}

/// Pump and hours → what it does.
/// The same as a drawing: a row for each pump, its settings as bars.
fn day_timeline(segments: &[Segment], pumps: &[Runner], lights: super::Lights, tank: &str) -> Timeline {
    let rows = pumps.iter().map(|pump| {
        let of_pump = segments.iter().filter(|segment| segment.pump == pump.name);
        let stretch = |segment: &Segment| {
            let pattern = segment.pattern.within(segment.minutes());
            let (low, high) = pattern.ends();
            let word = if segment.feeding { "feeding" } else { pattern.word() };
            Stretch { from: segment.from.minutes(), until: segment.until.minutes(), word: word.to_owned(), low, high }
        };
        TimelineRow { name: pump.name.clone(), stretches: of_pump.map(stretch).collect() }
    });
    Timeline {
        id: "programme",
        title: format!("The day of the pumps in {tank}"),
        description:
            "One row for each pump, from midnight to midnight. The height of a bar is the setting; where it changes, the solid part \
                      reaches to the lowest. The dark hours are shaded."
                .to_owned(),
        lights: (lights.on.minutes(), lights.off.minutes()),
        rows: rows.collect(),
        origin: crate::sheet::Origin::default(),
    }
}

fn day_table(segments: &[Segment], pumps: &[Runner]) -> Table {
    let mut rows = Vec::new();
    for segment in segments {
        let Some(pump) = pumps.iter().find(|pump| pump.name == segment.pump) else { continue };
        let id = format!("programme_day.{}", rows.len() + 1);
        let flow =
            Figure::new(format!("{id}.flow"), "Mean flow, when clean", pump.rated_flow * segment.pattern.mean_over(segment.minutes()).0)
                .from("rated flow × mean setting", &[]);
        let cells = vec![
            Cell::Words(segment.from.to_string()),
            Cell::Words(segment.until.to_string()),
            Cell::Words(doing_in_words(segment)),
            Cell::Figure(flow),
        ];
        rows.push(Row { head: Cell::Words(segment.pump.clone()), cells });
    }
    Table {
        id: "programme_day",
        caption: "What each pump does through the day".to_owned(),
        heads: ["Pump", "From", "Until", "What it does", "Mean flow"].map(str::to_owned).into(),
        rows,
        origin: crate::sheet::Origin::default(),
    }
}

/// What a pump does in a segment, as a sentence's middle.
fn doing_in_words(segment: &Segment) -> String {
    let shown = |quantity: Quantity| show(quantity, Rounding::Nearest);
    let pattern = segment.pattern.within(segment.minutes());
    let (low, high) = pattern.ends();
    let (low, high) = (shown(low.into()), shown(high.into()));
    match pattern {
        Pattern::Steady(_) if pattern != segment.pattern => format!("runs at {high}: its first turn outlasts this stretch"),
        Pattern::Steady(_) => format!("runs at {high}"),
        Pattern::Pulse(swing) => format!("pulses between {low} and {high}, a push every {}", shown(swing.period.into())),
        Pattern::Alternate(swing) => {
            let (first, then) = if swing.starts_high { (high, low) } else { (low, high) };
            format!("runs at {first} and {then} by turns, {} for both", shown(swing.period.into()))
        }
        Pattern::Wander(swing) => format!("wanders between {low} and {high}, a new setting every {}", shown(swing.period.into())),
        Pattern::Rest if segment.feeding => "pauses for the feeding, and starts again by itself".to_owned(),
        Pattern::Rest => "rests".to_owned(),
    }
}

/// Pump → its day in sum.
fn pumps_table(day: &Day, pumps: &[Runner]) -> Table {
    let row = |(at, (pump, own)): (usize, (&Runner, &PumpDay))| {
        let id = format!("programme_pumps.{}", at + 1);
        let cells = vec![
            Figure::new(format!("{id}.mean"), "Mean setting", own.mean).from("Σ mean setting × time ÷ a day", &[]),
            Figure::new(format!("{id}.energy"), "Energy in a day", own.energy)
                .from("Σ draw at the settings × time", &[])
                .rule("power.saving_made"),
            Figure::new(format!("{id}.changes"), "Speed changes in a day", Quantity::new(Kind::Count, own.changes)),
            Figure::new(format!("{id}.rest"), "Longest rest", own.longest_rest).never_below(),
        ];
        Row { head: Cell::Words(pump.name.clone()), cells: cells.into_iter().map(Cell::Figure).collect() }
    };
    Table {
        id: "programme_pumps",
        caption: "Each pump's day in sum".to_owned(),
        heads: ["Pump", "Mean setting", "Energy in a day", "Speed changes", "Longest rest"].map(str::to_owned).into(),
        rows: pumps.iter().zip(&day.pumps).enumerate().map(row).collect(),
        origin: crate::sheet::Origin::default(),
    }
}

/// Hour → turnover, over the band for what lives there now.
fn turnover_chart(day: &Day, rules: &Rules, tank: &Tank, volume: Volume) -> Result<Chart, Error> {
    let seconds = f64::from(DAY) * 60.0;
    let band = rules.turnover.band(tank.now);
    let mut points: Vec<(f64, f64)> = Vec::new();
    let mut steps: Vec<Step> = Vec::new();
    for (minute, flow) in day.flow.iter().enumerate() {
        let turns = turnover::turnover(*flow, volume)?.si();
        let at = minute as f64 * 60.0;
        let until = ClockTime::new(minute as u16 + 1).unwrap_or(ClockTime::END_OF_DAY);
        match steps.last_mut() {
            Some(step) if (step.y - turns).abs() <= 1e-12 => step.until = until.to_string(),
            _ => {
                let from = ClockTime::new(minute as u16).unwrap_or(ClockTime::START_OF_DAY);
                steps.push(Step { from: from.to_string(), until: until.to_string(), y: turns });
            }
        }
        match points.last().copied() {
            // A step up or down: the old level ends where the new one begins.
            Some((_, last)) if (last - turns).abs() > 1e-12 => points.extend([(at, last), (at, turns)]),
            Some(_) => {}
            None => points.push((at, turns)),
        }
    }
    points.extend(points.last().copied().map(|(_, last)| (seconds, last)));
    let top = points.iter().map(|(_, turns)| *turns).fold(band.high.si(), f64::max) * 1.1;
    Ok(Chart::new(
        "programme_turnover",
        "Turnover through the day",
        "A line through the day that steps where the programme changes. The band is that for what lives in the tank now.",
        Axis::new("Time since midnight", Kind::Time, 0.0, seconds),
        Axis::new("Turnover", Kind::Rate, 0.0, top),
    )
    .band(tank.now.words(), vec![(0.0, band.low.si(), band.high.si()), (seconds, band.low.si(), band.high.si())])
    .line("all pumps together", points)
    .steps(steps))
}
