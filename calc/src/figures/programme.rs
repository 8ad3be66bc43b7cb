//! The day of the pumps on the sheet.

mod tables;

use uom::si::f64::{Time, Volume, VolumeRate};

use super::ids::{power, programme as id, turnover as turnover_id};
use super::power_cut::chain;
use crate::catalogue::Catalogue;
use crate::decide::plan;
use crate::decide::programme::{Against, Day, Needs, Runner, fed, hung, is_bedroom, lights, stir, suggest};
use crate::decide::sound;
use crate::error::Error;
use crate::formulas::power::cost;
use crate::formulas::programme::{ClockTime, DAY, Pattern, Programme, Stretch, fouled};
use crate::formulas::turnover::turnover;
use crate::quantity::{Dimension, Kind, Quantity, Rounding, SoundLevel, show};
use crate::rules::{Band, Ruled, Rules, words};
use crate::sheet::{Id, Sheet, Value, figure, try_figure};
use crate::tank::Tank;
use crate::trace::Traced;
use crate::words::listed;
use tables::{day_table, day_timeline, pumps_table, turnover_chart};

/// How the level at the pillow is reckoned.
const SUMMED: &str = "levels of the pumps at their settings and of what else hums, summed; at the pillow";

/// Adds the figures of this topic, `programme.…`, for the tank's pumps, or where it has none for those of its
/// plan; and `lights.…`.
///
/// # Errors
/// As [`fed`], [`Day::energy`], [`sound::at_pillow_of`] and [`turnover`].
pub(crate) fn figures(
    sheet: &mut Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
) -> Result<(), Error> {
    let words = &rules.words.programme;
    let lights = Traced::new(|| lights(tank, &rules.programme));
    let hours = figure(id::LIGHTS_HOURS, || words.hours(lights.on, lights.off));
    sheet.put(hours.assumes(tank, "lights"));
    let on = figure(id::LIGHTS_ON, || lights.on.to_string());
    sheet.put(on.assumes(tank, "lights"));
    let off = figure(id::LIGHTS_OFF, || lights.off.to_string());
    sheet.put(off.assumes(tank, "lights"));
    let planned;
    let (tank, whose) = if !tank.pumps.is_empty() {
        (tank, if tank.programme.is_empty() { words.suggested() } else { words.from_its_file() })
    } else {
        // From here on everything is told of these pumps, so the rules that the plan reads count for all of
        // it.
        planned = Tank { pumps: plan::hung(rules, catalogue, tank)?, ..tank.clone() };
        (&planned, words.suggested_for_the_plan())
    };
    let pumps = hung(rules, catalogue, tank)?;
    if pumps.is_empty() {
        let why = words.no_day(&tank.name);
        let parts = [id::BY_TURNS.name(), id::STIR.name(), tables::DAY, tables::PUMPS, tables::TURNOVER];
        for part in ["programme"].into_iter().chain(parts) {
            sheet.lack(part, &*why);
        }
        return Ok(());
    }
    let counted = sheet.get(turnover_id::COUNTED)?;
    let suggested = if tank.programme.is_empty() {
        Traced::ok(|| Ok::<_, Error>(suggest(&pumps, Needs::of(*counted, rules, tank)?, &rules.programme)))?
    } else {
        Traced::given(tank.programme.clone())
    };
    let programme = if tank.programme.is_empty() {
        let chain = chain(sheet, rules)?;
        Traced::ok(|| fed((*suggested).clone(), tank, || chain.feeding_pause()))?
    } else {
        suggested.clone()
    };
    let day = Traced::new(|| Day::of(&programme, &pumps));
    sheet.put(figure(id::WHOSE, || whose.to_owned()));

    flow_figures(sheet, rules, tank, &day, &counted)?;
    energy_figures(sheet, rules, &day, &pumps)?;
    sound_figures(sheet, rules, tank, &day, &pumps)?;
    rest_figures(sheet, &day);
    turns_figure(sheet, tank, &suggested, &pumps, words);
    stir_figure(sheet, rules, tank, &pumps);
    held_figures(sheet, tank, &suggested, &pumps, &day, words)?;
    let names: Vec<_> = pumps.iter().map(|pump| pump.name.as_str()).collect();
    let segments = Traced::new(|| programme.timeline(&names));
    sheet.schedule(|| Ok(day_timeline(&segments, &pumps, *lights, &tank.name, words)))?;
    sheet.tabulate(|| Ok(day_table(&segments, &pumps, words)))?;
    sheet.tabulate(|| pumps_table(&day, &pumps, &rules.power))?;
    let band = sheet.get(turnover_id::NOW)?;
    sheet.plot(|| turnover_chart(&day, (*band, &tank.now.words()), *counted, words))
}

fn flow_figures(
    sheet: &mut Sheet,
    rules: &Rules,
    tank: &Tank,
    day: &Traced<Day>,
    counted: &Traced<Volume>,
) -> Result<(), Error> {
    let mean = figure(id::FLOW, || day.mean_flow());
    let mean = sheet.put(mean.says("Σ rated flow × mean setting"));
    sheet.put(try_figure(id::MEAN, || turnover(*mean, **counted))?);
    let mut end = |id: Id<_>, end: fn(Band<VolumeRate>) -> VolumeRate| {
        let turns = try_figure(id, || turnover(end(day.flow_range()), **counted))?;
        Ok::<_, Error>(sheet.put(turns.says("Σ rated flow × setting of the moment ÷ volume")))
    };
    let lowest = end(id::LOWEST, |range| range.low)?;
    end(id::HIGHEST, |range| range.high)?;
    let fouled = figure(id::LOWEST_FOULED, || fouled(*lowest, *rules.turnover.fouling_allowance));
    let fouled = sheet.put(fouled.never_above());
    let band = sheet.get(turnover_id::NOW)?;
    if fouled.peek() < &band.peek().low {
        let short = figure(id::SHORT_WHEN_FOULED, || band.low - *fouled);
        sheet.put(short.says("low end of the band − lowest turnover before a cleaning").never_below());
    } else {
        sheet.lack(id::SHORT_WHEN_FOULED, rules.words.programme.in_the_band());
    }
    let bands = [
        (id::OUTSIDE_NOW, turnover_id::FLOW_NOW, &tank.now),
        (id::OUTSIDE_LATER, turnover_id::FLOW_LATER, &tank.later),
    ];
    for (id, flow, livestock) in bands {
        let band = sheet.get(flow)?;
        let title = rules.words.programme.time_outside(livestock.words());
        let outside = figure(id, || Time::from_si(f64::from(DAY) * 60.0) - day.time_in(*band)).titled(title);
        sheet.put(outside.says("minutes in which the flow does not lie in the band").never_below());
    }
    Ok(())
}

fn energy_figures(
    sheet: &mut Sheet,
    rules: &Rules,
    day: &Traced<Day>,
    pumps: &[Runner],
) -> Result<(), Error> {
    let price = sheet.get(power::PRICE)?;
    let energy = try_figure(id::ENERGY_DAY, || day.energy(pumps, &rules.power))?;
    let energy = sheet.put(energy.says("Σ draw at the settings × time"));
    let year = try_figure(id::COST_YEAR, || {
        let year = |energy| cost(energy * 365.0, *price).map(Quantity::from);
        Ok(Value::Range(year(energy.low)?, year(energy.high)?))
    })?;
    sheet.put(year.says("energy in a day × 365 × price"));
    Ok(())
}

/// Takes the mean level of a night, or its peak.
type OfNight = fn([SoundLevel; 2]) -> SoundLevel;

fn sound_figures(
    sheet: &mut Sheet,
    rules: &Rules,
    tank: &Tank,
    day: &Traced<Day>,
    pumps: &[Runner],
) -> Result<(), Error> {
    let begins = Traced::new(|| ClockTime::after_midnight(*rules.programme.night));
    let minutes = Traced::new(|| (rules.programme.night_lasts.si() / 60.0) as u16);
    let words = &rules.words.programme;
    sheet.put(figure(id::NIGHT, || words.hours(*begins, begins.later(*minutes))));
    let levels = Traced::ok(|| day.night_levels(pumps, *begins, *minutes, &rules.sound))?;
    let beside = Traced::new(|| {
        let beside = sound::beside_the_pumps(tank, &rules.sound);
        beside.iter().map(|source| source.level).collect::<Vec<_>>()
    });
    if levels.peek().is_none() && beside.peek().is_empty() {
        let why = words.none_at_night(&tank.name);
        for part in [
            id::NIGHT_LEVEL.name(),
            id::NIGHT_LEVEL_SAYS.name(),
            id::NIGHT_PEAK.name(),
            id::NIGHT_PEAK_SAYS.name(),
        ] {
            sheet.lack(part, &*why);
        }
        return Ok(());
    }
    let mut put = |(id, says): (Id<Band<SoundLevel>>, Id<String>), of: OfNight, limit: &Ruled<SoundLevel>| {
        let at_pillow = try_figure(id, || {
            let all: Vec<_> = levels.map(of).into_iter().chain(beside.iter().copied()).collect();
            sound::at_pillow_of(&tank.home, &all, &rules.sound)
        })?;
        let at_pillow = sheet.put(at_pillow.says(SUMMED).never_below());
        let against = Traced::new(|| Against::of(*at_pillow, **limit));
        sheet.put(figure(says, || against.words(words).to_owned()).says("compared with the limit"));
        Ok::<_, Error>(*against.peek())
    };
    let night = put((id::NIGHT_LEVEL, id::NIGHT_LEVEL_SAYS), |[mean, _]| mean, &rules.sound.night_level)?;
    put((id::NIGHT_PEAK, id::NIGHT_PEAK_SAYS), |[_, peak]| peak, &rules.sound.night_peak)?;
    if night != Against::Keeps {
        sheet.warn(words.loud_night(night.words(words)));
    }
    Ok(())
}

fn rest_figures(sheet: &mut Sheet, day: &Traced<Day>) {
    let changes = figure(id::CHANGES, || {
        Quantity::new(Kind::Count, day.pumps.iter().map(|pump| pump.changes).fold(0.0, f64::max))
    });
    let words = "time ÷ half a period of pulses and turns, ÷ a period of wandering, and one at each change \
                 of stretch";
    sheet.put(changes.says(words));
    let rest = figure(id::LONGEST_REST, || {
        Time::from_si(day.pumps.iter().map(|pump| pump.longest_rest.si()).fold(0.0, f64::max))
    });
    sheet.put(rest.never_below());
    sheet.put(figure(id::LONGEST_STILL, || day.longest_still).never_below());
}

/// Which pumps take turns, where some do.
fn turns_figure(
    sheet: &mut Sheet,
    tank: &Tank,
    programme: &Traced<Programme>,
    pumps: &[Runner],
    words: &words::Programme,
) {
    let turns = Traced::new(|| {
        let takes_turns = |stretch: &&Stretch| matches!(stretch.pattern, Pattern::Alternate(_));
        let who: Vec<_> =
            programme.stretches.iter().filter(takes_turns).map(|stretch| stretch.pump.as_str()).collect();
        pumps.iter().map(|pump| pump.name.as_str()).filter(|pump| who.contains(pump)).collect::<Vec<_>>()
    });
    if turns.peek().len() > 1 {
        sheet.put(figure(id::BY_TURNS, || listed(&turns)));
    } else {
        let name = &tank.name;
        let why = if pumps.len() > 1 { words.no_turns(name) } else { words.turns_take_two(name) };
        sheet.lack(id::BY_TURNS, why);
    }
}

/// When the pumps stir more strongly, where they do.
fn stir_figure(sheet: &mut Sheet, rules: &Rules, tank: &Tank, pumps: &[Runner]) {
    let (name, words, rules) = (&tank.name, &rules.words.programme, &rules.programme);
    let bedroom = Traced::new(|| is_bedroom(tank, rules));
    let stirs = Traced::new(|| stir(lights(tank, rules), *bedroom, rules));
    match stirs.transpose() {
        _ if !tank.programme.is_empty() => sheet.lack(id::STIR, words.stirs_by_its_file(name)),
        _ if pumps.iter().all(Runner::is_fixed) => sheet.lack(id::STIR, words.none_can_stir(name)),
        Some(stirs) => {
            sheet.put(figure(id::STIR, || {
                let (from, until) = *stirs;
                words.hours(from, until)
            }));
        }
        None if *bedroom.peek() => sheet.lack(id::STIR, words.calm_in_a_bedroom(name)),
        None => sheet.lack(id::STIR, words.night_too_short(name)),
    }
}

/// What holds a pump back, and what comes of it.
fn held_figures(
    sheet: &mut Sheet,
    tank: &Tank,
    programme: &Traced<Programme>,
    pumps: &[Runner],
    day: &Traced<Day>,
    words: &words::Programme,
) -> Result<(), Error> {
    let name = &tank.name;
    let held = Traced::new(|| {
        pumps.iter().filter(|pump| pump.most.is_none_or(|most| most.0 < 1.0)).collect::<Vec<_>>()
    });
    if held.peek().is_empty() {
        sheet.lack(id::MOST, words.none_too_strong(name));
    } else {
        let most = figure(id::MOST, || {
            let told = |pump: &&Runner| match *pump.most {
                Some(most) => words.most(show(most.into(), Rounding::Down), &pump.name),
                None => words.no_setting(&pump.name),
            };
            listed(&held.iter().map(told).collect::<Vec<_>>())
        });
        sheet.put(most.says("most that suits ÷ fastest at full"));
    }
    let flow = sheet.get(turnover_id::FLOW_NOW)?;
    let short = Traced::new(|| flow.low - day.flow_range().high);
    if *short.peek() > VolumeRate::default() && !held.peek().is_empty() {
        let short = figure(id::SHORT, || {
            held.note();
            *short
        });
        sheet.put(short.says("low end of the flow for now − highest flow of the day").never_below());
    } else {
        sheet.lack(id::SHORT, words.none_held_back(name));
    }
    let above = Traced::new(|| {
        let above = |pump: &&&Runner| {
            let own = |stretch: &&Stretch| stretch.pump == pump.name && stretch.pattern != Pattern::Rest;
            let is_above =
                |stretch: &Stretch| pump.most.is_none_or(|most| stretch.pattern.ends().1.0 > most.0 + 1e-9);
            programme.stretches.iter().filter(own).any(is_above)
        };
        held.iter().filter(above).map(|pump| pump.name.as_str()).collect::<Vec<_>>()
    });
    if above.peek().is_empty() {
        sheet.lack(id::ABOVE, words.none_above(name));
    } else {
        sheet.put(figure(id::ABOVE, || listed(&above)));
    }
    Ok(())
}

#[cfg(test)]
mod tests;
