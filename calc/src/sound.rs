//! Sound: what several pumps come to together, and what of it arrives at a pillow.
//!
//! In the open, sound thins out with the square of the distance. A room throws it back, so that it falls far less there. How much less
//! depends on how much of the sound the room's cloth and furniture swallow. A shut door between tank and pillow keeps part of it out.
//!
//! A level that a maker states is taken as what is heard at one metre in such a room, so that nothing is ever louder further away.
//!
//! A home has one room: [`at_pillow_of`] is the one way from levels at one metre to a pillow, for the plan, the fit, the programme and
//! the limits alike.

use std::f64::consts::PI;

use uom::si::f64::{Area, Length, Ratio};

use crate::catalogue::Catalogue;
use crate::error::{Error, within};
use crate::quantity::{Dimension, Kind, Quantity, Share, SoundLevel};
use crate::rules::sound::SoundRules;
use crate::rules::{Band, Rules};
use crate::sheet::{Cell, Figure, Row, Sheet, Table};
use crate::tank::{Furnishing, Home, Tank};

/// The distance at which makers state a pump's level.
const STATED_AT: f64 = 1.0;

/// What several sources come to together: `L = 10 log₁₀ Σ 10^(Lᵢ/10)`.
///
/// - `levels`: at least one, each from −20 to 140 dB
///
/// Assumes sources that do not keep time with each other, so that their energies add. Like pumps that run in step can be up to 3 dB
/// louder, and wander in and out of it.
///
/// # Errors
/// [`Error::OutOfRange`] for another level; [`Error::NoAnswer`] for no source at all.
///
/// # Source
/// US OSHA technical manual, noise appendix: 85, 83 and 88 dB come to 90.6 dB.
/// ```
/// use reckoner_calc::{quantity::SoundLevel, sound};
/// let together = sound::sum(&[SoundLevel(85.0), SoundLevel(83.0), SoundLevel(88.0)])?;
/// assert!((together.0 - 90.6).abs() <= 0.05);
/// # Ok::<(), reckoner_calc::Error>(())
/// ```
pub fn sum(levels: &[SoundLevel]) -> Result<SoundLevel, Error> {
    if levels.is_empty() {
        return Err(Error::NoAnswer { what: "the level of these sources together", why: "there is no source".to_owned() });
    }
    let mut energy = 0.0;
    for level in levels {
        energy += libm::pow(10.0, sane_level(*level)?.0 / 10.0);
    }
    Ok(SoundLevel(10.0 * libm::log10(energy)))
}

/// Level at a setting: `L(s) = L₁ − fall × log₂(1/s)`, so that each halving of the speed takes the same number of decibels off.
///
/// - `full`: the level at full, from −20 to 140 dB
/// - `setting`: the speed as a share of full speed, from 1 % to 100 %
/// - `fall`: what half the speed takes off, from rule `sound.half_speed`; its low end is the safe one
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// From memory; makers state the level at full alone.
pub fn at_setting(full: SoundLevel, setting: Share, fall: SoundLevel) -> Result<SoundLevel, Error> {
    let setting = within("the setting", setting, Share(0.01)..=Share(1.0))?;
    Ok(SoundLevel(sane_level(full)?.0 + fall.0 * libm::log2(setting.0)))
}

/// Level further away, in the open: `L₂ = L₁ − 20 log₁₀(r₂/r₁)`. In a room it is louder, see [`in_room`].
///
/// - `level`: at distance `from`, from −20 to 140 dB
/// - `from`, `to`: from 10 cm to 1 km from a source that is small beside them
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Minnesota Pollution Control Agency, A Guide to Noise Control (2008): 95 dB at 50 are 89 dB at 100 and 83 dB at 200.
/// ```
/// use reckoner_calc::{quantity::{SoundLevel, parse}, sound};
/// let level = sound::in_the_open(SoundLevel(95.0), parse("50 ft")?, parse("100 ft")?)?;
/// assert!((level.0 - 89.0).abs() <= 0.1);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn in_the_open(level: SoundLevel, from: Length, to: Length) -> Result<SoundLevel, Error> {
    let (from, to) = (distance(from)?, distance(to)?);
    Ok(SoundLevel(sane_level(level)?.0 - 20.0 * libm::log10(to / from)))
}

/// Level further away, in a room: `L₂ = L₁ + 10 log₁₀(r₁²/r₂² + 16 π r₁²/A)`.
///
/// The first term in the brackets is [`in_the_open`]. The second is what the room throws back, the same in its every corner; `A` is
/// how much the room swallows, as an open window of that area would. The level at `from` is the source's own, in open air.
///
/// - `absorption`: `A`, from 1 to 1000 m²
///
/// Assumes one room, walls that scatter the sound evenly, and a source that sends it out evenly. A pump that shakes its stand adds a
/// hum that no distance thins.
///
/// # Errors
/// As [`in_the_open`], and [`Error::OutOfRange`] for another absorption.
///
/// # Source
/// The diffuse field of room acoustics, from memory.
pub fn in_room(level: SoundLevel, from: Length, to: Length, absorption: Area) -> Result<SoundLevel, Error> {
    let absorption = within("the sound that the room swallows", absorption, Area::from_si(1.0)..=Area::from_si(1000.0))?;
    let open = in_the_open(level, from, to)?;
    let (from, to) = (distance(from)?, distance(to)?);
    let direct = from * from / (to * to);
    let thrown_back = 16.0 * PI * from * from / absorption.si();
    Ok(SoundLevel(open.0 + 10.0 * libm::log10(1.0 + thrown_back / direct)))
}

/// What arrives at the pillow of a home from sources whose levels are stated at one metre.
///
/// Both ends are of the home's own room: at the least what arrives in the room that swallows most of its kind, less the most that a
/// shut door keeps out; at the most what arrives in the one that swallows least, less the least that the door keeps out. Advice goes by
/// the high end, rounded up.
///
/// - `stated`: at least one level
///
/// # Errors
/// As [`sum`] and [`in_room`].
pub fn at_pillow_of(home: &Home, stated: &[SoundLevel], rules: &SoundRules) -> Result<Band<SoundLevel>, Error> {
    Ok(heard(sum(stated)?, way_to_pillow(home, rules)?))
}

/// A level at one metre after a way: nothing is heard below 0 dB, so that no level is told below it.
pub fn heard(stated: SoundLevel, way: Band<SoundLevel>) -> Band<SoundLevel> {
    let after = |adds: SoundLevel| SoundLevel((stated.0 + adds.0).max(0.0));
    Band { low: after(way.low), high: after(way.high) }
}

/// What the way from one metre to the pillow of a home adds to a level, or, below nothing, takes from it.
///
/// What is heard at one metre has its part from the room too: beyond a metre the way never adds.
///
/// # Errors
/// As [`in_room`].
pub fn way_to_pillow(home: &Home, rules: &SoundRules) -> Result<Band<SoundLevel>, Error> {
    way_in(home, home.room, rules)
}

/// As [`way_to_pillow`], in a room that is furnished so.
fn way_in(home: &Home, room: Furnishing, rules: &SoundRules) -> Result<Band<SoundLevel>, Error> {
    let (metre, pillow, absorption) = (Length::from_si(STATED_AT), *home.pillow, absorption(room, rules));
    let kept_out = if home.door { *rules.door } else { Band { low: SoundLevel(0.0), high: SoundLevel(0.0) } };
    let adds = |absorption| {
        let at = |distance| in_room(SoundLevel(0.0), metre, distance, absorption);
        Ok::<_, Error>(at(pillow)?.0 - at(metre)?.0)
    };
    // The room that swallows more takes more on the way out from a metre, and gives more on the way in.
    let (one, other) = (adds(absorption.low)?, adds(absorption.high)?);
    Ok(Band { low: SoundLevel(one.min(other) - kept_out.high.0), high: SoundLevel(one.max(other) - kept_out.low.0) })
}

fn absorption(room: Furnishing, rules: &SoundRules) -> Band<Area> {
    match room {
        Furnishing::FullOfCloth => *rules.lined_room,
        Furnishing::LittleCloth => *rules.ordinary_room,
    }
}

/// The rules by which [`at_pillow_of`] goes in a home: that of its room, and that of its door.
pub fn rules_of(home: &Home) -> Vec<&'static str> {
    let room = match home.room {
        Furnishing::FullOfCloth => "sound.lined_room",
        Furnishing::LittleCloth => "sound.ordinary_room",
    };
    if home.door { vec![room, "sound.door"] } else { vec![room] }
}

/// A source of sound that runs all day beside the pumps in the tank, at one metre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Source {
    /// What it is, as the end of a figure's id.
    pub key: &'static str,
    /// What it is, in words.
    pub words: &'static str,
    /// Its level.
    pub level: SoundLevel,
}

/// What runs all day beside the pumps in the tank, as far as its file has it: return pump, overflow and skimmer.
///
/// A tank with a return line has an overflow; one with a rear chamber has it too, but its water falls no deeper than a hand.
pub fn beside_the_pumps(tank: &Tank, rules: &SoundRules) -> Vec<Source> {
    let mut sources = Vec::new();
    if let Some(line) = &tank.return_line {
        sources.push(Source { key: "return_pump", words: "the return pump", level: *line.sound });
        if tank.rear_chamber.is_none() {
            sources.push(Source { key: "overflow", words: "the overflow", level: *rules.overflow });
        }
    }
    if let Some(skimmer) = &tank.skimmer {
        sources.push(Source { key: "skimmer", words: "the skimmer", level: *skimmer.sound });
    }
    sources
}

fn sane_level(level: SoundLevel) -> Result<SoundLevel, Error> {
    within("the sound level", level, SoundLevel(-20.0)..=SoundLevel(140.0))
}

/// In metres.
fn distance(distance: Length) -> Result<f64, Error> {
    Ok(within("the distance from the source", distance, Length::from_si(0.1)..=Length::from_si(1000.0))?.si())
}

/// Adds the figures of this topic: `sound.…`.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    let (rules, home) = (&rules.sound, &tank.home);
    let room = match home.room {
        Furnishing::FullOfCloth => "full of cloth",
        Furnishing::LittleCloth => "one with little cloth",
    };
    let door = if home.door { "a door that is shut at night" } else { "no door that is shut at night" };
    sheet.put(Figure::new("sound.pillow", "From the tank to the nearest pillow", *home.pillow).assumes(tank, "home.pillow"));
    sheet.put(Figure::new("sound.room", "How the room is furnished", room).assumes(tank, "home.room"));
    sheet.put(Figure::new("sound.door", "What stands between tank and pillow", door).assumes(tank, "home.door"));
    way_figures(sheet, rules, home)?;
    let limit = SoundLevel(rules.night_level.0 - way_to_pillow(home, rules)?.high.0);
    let same = if home.room == Furnishing::FullOfCloth { "sound.limit_lined" } else { "sound.limit_ordinary" };
    sheet.put(
        Figure::new("sound.limit", "What all that hums may make together at one metre at night, in this home: the safe end", limit)
            .from("as in a room that is furnished so", &[same, "sound.room"])
            .never_above(),
    );
    let left = beside_figures(sheet, rules, tank, limit)?;
    loudest_figures(sheet, rules, catalogue, tank)?;
    sheet.put_table(pillow_table(home, rules)?);
    sheet.put_table(together_table(left, tank.pumps.len(), rules));
    Ok(())
}

/// What the way to the pillow does to sound, in the open and in rooms of both kinds, and what it allows.
fn way_figures(sheet: &mut Sheet, rules: &SoundRules, home: &Home) -> Result<(), Error> {
    let (metre, stated) = (Length::from_si(STATED_AT), SoundLevel(0.0));
    let open = in_the_open(stated, metre, *home.pillow)?.0;
    // A pillow may be nearer than the metre of the makers. Less than a decibel is not worth a word.
    let way = "20 log₁₀(distance ÷ 1 m)";
    if open <= -1.0 {
        let falls = "How much sound falls from one metre to the pillow, in the open";
        sheet.put(Figure::new("sound.fall_open", falls, SoundLevel(-open)).from(way, &["sound.pillow"]).never_above());
    } else {
        sheet.lack("sound.fall_open", "The pillow is no further from the tank than a metre, so sound does not fall on its way.");
    }
    if open >= 1.0 {
        let rises = "How much louder it is at the pillow than at one metre, in the open";
        sheet.put(Figure::new("sound.rise_open", rises, SoundLevel(open)).from(way, &["sound.pillow"]).never_below());
    } else {
        sheet.lack("sound.rise_open", "The pillow is no nearer to the tank than a metre, so sound does not rise on its way.");
    }
    let rooms =
        [("lined", "a room full of cloth", Furnishing::FullOfCloth), ("ordinary", "a room with little cloth", Furnishing::LittleCloth)];
    for (key, words, room) in rooms {
        let without_door = way_in(&Home { door: false, ..home.clone() }, room, rules)?;
        let (falls, rises) = (format!("sound.fall_{key}"), format!("sound.rise_{key}"));
        let from = "10 log₁₀ of ((1 m)² ÷ distance² + 16π (1 m)² ÷ absorption) ÷ (1 + 16π (1 m)² ÷ absorption)";
        let told = |id: &str, what: &str, band: Band<f64>| {
            let band = Band { low: SoundLevel(band.low), high: SoundLevel(band.high) };
            Figure::new(id, format!("How much {what}, in {words}"), band).from(from, &["sound.pillow"]).rule(&format!("sound.{key}_room"))
        };
        if open <= -1.0 {
            let band = Band { low: -without_door.high.0, high: -without_door.low.0 };
            sheet.put(told(&falls, "sound falls from one metre to the pillow", band));
        } else {
            sheet.lack(&falls, "The pillow is no further from the tank than a metre, so sound does not fall on its way.");
        }
        if open >= 1.0 {
            let band = Band { low: without_door.low.0, high: without_door.high.0 };
            sheet.put(told(&rises, "louder it is at the pillow than at one metre", band));
        } else {
            sheet.lack(&rises, "The pillow is no nearer to the tank than a metre, so sound does not rise on its way.");
        }
        let allowed = Figure::new(
            format!("sound.limit_{key}"),
            format!("What all that hums may make together at one metre, in {words}: the safe end"),
            SoundLevel(rules.night_level.0 - way_in(home, room, rules)?.high.0),
        );
        let allowed = allowed
            .from("night level − what the way to the pillow adds, or + what it takes + what a shut door keeps out", &["sound.pillow"])
            .rule("sound.night_level")
            .rule(&format!("sound.{key}_room"))
            .never_above();
        sheet.put(if home.door { allowed.rule("sound.door") } else { allowed });
    }
    Ok(())
}

/// Names in a row: `one`, `one and two`, `one, two and three`.
fn in_a_row(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// The return pump, the overflow and the skimmer: what they make, and what they leave to the pumps in the tank; `None` for nothing.
fn beside_figures(sheet: &mut Sheet, rules: &SoundRules, tank: &Tank, limit: SoundLevel) -> Result<Option<SoundLevel>, Error> {
    let sources = beside_the_pumps(tank, rules);
    for Source { key, words, level } in &sources {
        let figure = Figure::new(format!("sound.{key}"), format!("Sound level of {words} at one metre"), *level);
        sheet.put(match *key {
            "return_pump" => figure.assumes(tank, "return.sound"),
            "skimmer" => figure.assumes(tank, "skimmer.sound"),
            _ => figure.rule("sound.overflow"),
        });
    }
    let names: Vec<_> = sources.iter().map(|source| source.words.to_owned()).collect();
    let pumps = if tank.pumps.is_empty() { "the pumps that you hang" } else { "the pumps in the tank" };
    let mut counted = match names.as_slice() {
        [] => format!("only {pumps}, because the tank file has no return pump and no skimmer"),
        [..] => in_a_row(&[&[pumps.to_owned()], names.as_slice()].concat()),
    };
    if tank.return_line.is_none() && tank.sump.si() > 0.0 {
        counted += "; a return pump belongs to the sump and comes on top, but the tank file tells of none";
    }
    sheet.put(Figure::new("sound.counted", "What counts as sound", counted.as_str()));
    let left_title = "What is left to the pumps in the tank, at one metre";
    if sources.is_empty() {
        let why =
            format!("The file of {} has neither a return pump nor a skimmer: write a table [return] or [skimmer] into it.", tank.name);
        for part in ["sound.beside", "sound.beside_says", "sound.beside_words"] {
            sheet.lack(part, &*why);
        }
        sheet.put(Figure::new("sound.left", left_title, limit).from("all of the limit", &["sound.limit"]).never_above());
        return Ok(Some(limit));
    }
    let make = if names.len() == 1 { "makes" } else { "together make" };
    let words = format!("{} {make}", in_a_row(&names));
    sheet.put(Figure::new("sound.beside_words", "What hums beside the pumps in the tank", words.as_str()));
    let levels: Vec<_> = sources.iter().map(|source| source.level).collect();
    let together = sum(&levels)?;
    let inputs: Vec<_> = sources.iter().map(|source| format!("sound.{}", source.key)).collect();
    let inputs: Vec<_> = inputs.iter().map(String::as_str).collect();
    sheet.put(
        Figure::new("sound.beside", "What hums beside the pumps in the tank makes at one metre", together)
            .from("10 log₁₀ Σ 10^(level ÷ 10)", &inputs)
            .never_below(),
    );
    // Less than no decibel is nothing.
    let left = libm::pow(10.0, limit.0 / 10.0) - libm::pow(10.0, together.0 / 10.0);
    let left = (left >= 1.0).then(|| SoundLevel(10.0 * libm::log10(left)));
    let verdict = match left {
        Some(_) => "stays below what this home allows at night",
        None if together > limit => "is more than this home allows at night",
        None => "is all that this home allows at night",
    };
    sheet.put(
        Figure::new("sound.beside_says", "Whether what hums beside the pumps is quiet enough alone", verdict)
            .from("compared with the limit", &["sound.beside", "sound.limit"]),
    );
    let Some(left) = left else {
        sheet.lack("sound.left", format!("In {} nothing is left to the pumps in the tank.", tank.name));
        return Ok(None);
    };
    sheet.put(
        Figure::new("sound.left", left_title, left)
            .from("10 log₁₀(10^(limit ÷ 10) − 10^(level ÷ 10))", &["sound.limit", "sound.beside"])
            .never_above(),
    );
    Ok(Some(left))
}

/// Which of all that the tank file names hums loudest, the pumps at their settings.
fn loudest_figures(sheet: &mut Sheet, rules: &SoundRules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    let mut voices: Vec<_> =
        beside_the_pumps(tank, rules).into_iter().map(|source| (source.words.to_owned(), source.level, "sound.counted")).collect();
    for hung in &tank.pumps {
        let Some(model) = catalogue.pump(&hung.model) else { continue };
        let level = at_setting(model.sound, Share(hung.setting.0.max(model.lowest_setting.0)), rules.half_speed.low)?;
        voices.push((format!("the pump {} ({})", hung.name, hung.model), level, "sound.half_speed"));
    }
    let Some(most) = voices.iter().map(|voice| voice.1.0).reduce(f64::max) else {
        let why = format!("The file of {} names nothing yet that hums. Write [[pump]], [return] or [skimmer] into it.", tank.name);
        sheet.lack("sound.loudest", &*why);
        sheet.lack("sound.loudest_level", why);
        return Ok(());
    };
    let loudest: Vec<_> = voices.into_iter().filter(|voice| most - voice.1.0 < 1e-9).collect();
    let turned_down = loudest.iter().any(|voice| voice.2 == "sound.half_speed");
    let names: Vec<_> = loudest.into_iter().map(|voice| voice.0).collect();
    let loudest = in_a_row(&names) + if names.len() > 1 { " alike" } else { "" };
    sheet.put(Figure::new("sound.loudest", "What hums loudest", loudest.as_str()).from("the highest level", &["sound.counted"]));
    let level = Figure::new("sound.loudest_level", "Level of what hums loudest, at one metre", SoundLevel(most.max(0.0)));
    let level = level.from("the highest level, each pump at its setting", &["sound.loudest"]).never_below();
    sheet.put(if turned_down { level.rule("sound.half_speed") } else { level });
    Ok(())
}

/// What arrives at this home's pillow of a level at one metre.
fn pillow_table(home: &Home, rules: &SoundRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for level in &*rules.usual_levels {
        let head = Figure::new(format!("sound_pillow.{}", rows.len() + 1), "Level of all that hums together at one metre", *level);
        let in_room = |name: &str, title: &str, room| {
            let arrives = heard(*level, way_in(home, room, rules)?);
            let figure = Figure::new(format!("{}.{name}", head.id), title, arrives)
                .from(
                    "level + what the way from one metre adds, or − what it takes − what a shut door keeps out",
                    &[head.id.as_str(), "sound.pillow"],
                )
                .rule(&format!("sound.{name}_room"))
                .never_below();
            Ok::<_, Error>(Cell::Figure(if home.door { figure.rule("sound.door") } else { figure }))
        };
        let cells = vec![
            in_room("lined", "At the pillow, in a room full of cloth", Furnishing::FullOfCloth)?,
            in_room("ordinary", "At the pillow, in a room with little cloth", Furnishing::LittleCloth)?,
        ];
        rows.push(Row { head: Cell::Figure(head.rule("sound.usual_levels")), cells });
    }
    let place = if home.door { "with the door shut" } else { "with no shut door between" };
    Ok(Table {
        id: "sound_pillow",
        caption: format!("What arrives at the pillow, {place}"),
        heads: ["All together, at one metre", "In a room full of cloth", "In a room with little cloth"].map(str::to_owned).into(),
        rows,
        origin: crate::sheet::Origin::default(),
    })
}

/// How much louder like pumps are than one, and how loud each may be beside all else that hums.
///
/// - `left`: what is left to the pumps; where that is nothing, no column tells how loud each may be
/// - `own`: how many pumps the tank has, which have a row too
fn together_table(left: Option<SoundLevel>, own: usize, rules: &SoundRules) -> Table {
    let mut counts = rules.pumps_together.clone();
    if own > 0 && !counts.contains(&Ratio::from_si(own as f64)) {
        counts.push(Ratio::from_si(own as f64));
        counts.sort_by(|one, other| one.si().total_cmp(&other.si()));
    }
    let mut rows = Vec::new();
    for count in &*counts {
        // So many like sources are louder than one by 10 log₁₀ of their number, whatever their level.
        let more = SoundLevel(10.0 * libm::log10(count.si()));
        let head = Figure::new(format!("sound_together.{}", rows.len() + 1), "Like pumps", Quantity::new(Kind::Count, count.si()));
        let louder =
            Figure::new(format!("{}.louder", head.id), "Louder than one of them by", more).from("10 log₁₀(number)", &[head.id.as_str()]);
        let mut cells = vec![Cell::Figure(louder)];
        cells.extend(left.map(|left| {
            let each = left.0 - more.0;
            if each < 0.0 {
                return Cell::Words("nothing that hums".to_owned());
            }
            let each = Figure::new(format!("{}.each", head.id), "What each may make at one metre", SoundLevel(each));
            Cell::Figure(each.from("what is left − 10 log₁₀(number)", &["sound.left", head.id.as_str()]).never_above())
        }));
        rows.push(Row { head: Cell::Figure(head.rule("sound.pumps_together")), cells });
    }
    let mut heads = vec!["Pumps", "Louder than one by"];
    heads.extend(left.map(|_| "Each at one metre, at the most"));
    let heads = heads.into_iter().map(str::to_owned).collect();
    Table { id: "sound_together", caption: "Several like pumps at night".to_owned(), heads, rows, origin: crate::sheet::Origin::default() }
}

#[cfg(test)]
mod tests;
