//! Sound: what several pumps come to together, and what of it arrives at a pillow.
//!
//! In the open, sound thins out with the square of the distance. A room throws it back, so that it is always louder there: the open
//! field is the least that can arrive. What a room adds depends on how much of the sound its cloth and furniture swallow. A shut door
//! between tank and pillow keeps part of it out.
//!
//! A home has one room: [`at_pillow_of`] is the one way from levels at one metre to a pillow, for the plan, the fit, the programme and
//! the limits alike.

use std::f64::consts::PI;

use uom::si::f64::{Area, Length};

use crate::error::{Error, within};
use crate::quantity::{Dimension, Kind, Quantity, Share, SoundLevel};
use crate::rules::{Band, Rules, Topic};
use crate::sheet::{Cell, Figure, Row, Sheet, Table};
use crate::tank::{Furnishing, Home, Tank};

/// The distance at which makers state a pump's level.
const STATED_AT: f64 = 1.0;

/// The rules of this topic, `calc/rules/sound.toml`.
#[derive(Debug, Clone)]
pub struct SoundRules {
    /// Sound to stay below in a bedroom at night, on average.
    pub night_level: SoundLevel,
    /// The same at any moment.
    pub night_peak: SoundLevel,
    /// The same by day and in the evening, on average.
    pub evening_level: SoundLevel,
    /// How much quieter a pump is at half its speed.
    pub half_speed: Band<SoundLevel>,
    /// How much sound a room with carpet, curtains and a bed swallows.
    pub lined_room: Band<Area>,
    /// How much a room with a hard floor and little cloth does.
    pub ordinary_room: Band<Area>,
    /// What a shut door between tank and pillow keeps out.
    pub door: Band<SoundLevel>,
    /// What an overflow makes at one metre.
    pub overflow: SoundLevel,
    /// Levels in the table of levels at the pillow.
    pub usual_levels: Vec<SoundLevel>,
    /// Numbers of pumps in the table of like pumps.
    pub pumps_together: Vec<f64>,
}

impl SoundRules {
    pub(crate) fn read(topic: &mut Topic<'_, '_>) -> Option<Self> {
        let night_level = topic.one("night_level", "10 dB"..="60 dB");
        let night_peak = topic.one("night_peak", "10 dB"..="80 dB");
        let evening_level = topic.one("evening_level", "10 dB"..="70 dB");
        let half_speed = topic.band("half_speed", "4 dB"..="20 dB");
        let lined_room = topic.band("lined_room", "1 m2"..="500 m2");
        let ordinary_room = topic.band("ordinary_room", "1 m2"..="500 m2");
        let door = topic.band("door", "1 dB"..="60 dB");
        let overflow = topic.one("overflow", "5 dB"..="80 dB");
        let usual_levels = topic.list("usual_levels", "0 dB"..="100 dB");
        let pumps_together = topic.list::<uom::si::f64::Ratio>("pumps_together", "1"..="100");
        Some(SoundRules {
            night_level: night_level?,
            night_peak: night_peak?,
            evening_level: evening_level?,
            half_speed: half_speed?,
            lined_room: lined_room?,
            ordinary_room: ordinary_room?,
            door: door?,
            overflow: overflow?,
            usual_levels: usual_levels?,
            pumps_together: pumps_together?.into_iter().map(Dimension::si).collect(),
        })
    }
}

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
/// how much the room swallows, as an open window of that area would. The level at `from` is the source's own, as stated by its maker
/// for open air.
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
/// At the least it is what arrives in the open, less the most that a shut door keeps out; at the most what arrives in the room that
/// swallows least of the home's kind, less the least that the door keeps out. Advice goes by the high end, rounded up.
///
/// - `stated`: at least one level
///
/// # Errors
/// As [`sum`] and [`in_room`].
pub fn at_pillow_of(home: &Home, stated: &[SoundLevel], rules: &SoundRules) -> Result<Band<SoundLevel>, Error> {
    at_pillow(sum(stated)?, home, home.room, rules)
}

/// As [`at_pillow_of`], in a room that is furnished so.
fn at_pillow(level: SoundLevel, home: &Home, room: Furnishing, rules: &SoundRules) -> Result<Band<SoundLevel>, Error> {
    let (metre, pillow, absorption) = (Length::from_si(STATED_AT), home.pillow, absorption(room, rules));
    let kept_out = if home.door { rules.door } else { Band { low: SoundLevel(0.0), high: SoundLevel(0.0) } };
    let (least, most) = (in_the_open(level, metre, pillow)?, in_room(level, metre, pillow, absorption.low)?);
    Ok(Band { low: SoundLevel(least.0 - kept_out.high.0), high: SoundLevel(most.0 - kept_out.low.0) })
}

fn absorption(room: Furnishing, rules: &SoundRules) -> Band<Area> {
    match room {
        Furnishing::FullOfCloth => rules.lined_room,
        Furnishing::LittleCloth => rules.ordinary_room,
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
    if let Some(line) = tank.return_line {
        sources.push(Source { key: "return_pump", words: "the return pump", level: line.sound });
        if tank.rear_chamber.is_none() {
            sources.push(Source { key: "overflow", words: "the overflow", level: rules.overflow });
        }
    }
    if let Some(skimmer) = tank.skimmer {
        sources.push(Source { key: "skimmer", words: "the skimmer", level: skimmer.sound });
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
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let (rules, home, metre) = (&rules.sound, &tank.home, Length::from_si(STATED_AT));
    let room = match home.room {
        Furnishing::FullOfCloth => "full of cloth",
        Furnishing::LittleCloth => "one with little cloth",
    };
    let door = if home.door { "a shut door between tank and pillow" } else { "no shut door between tank and pillow" };
    sheet.put(Figure::new("sound.pillow", "From the tank to the nearest pillow", home.pillow).assumes(tank, "home.pillow"));
    sheet.put(Figure::new("sound.room", "How the room is furnished", room).assumes(tank, "home.room"));
    sheet.put(Figure::new("sound.door", "Whether a shut door stands between tank and pillow", door));
    let stated = SoundLevel(0.0);
    let open = in_the_open(stated, metre, home.pillow)?.0;
    sheet.put(
        Figure::new("sound.fall_open", "How much sound falls from one metre to the pillow, in the open", SoundLevel(-open))
            .from("20 log₁₀(distance ÷ 1 m)", &["sound.pillow"])
            .never_above(),
    );
    let rooms =
        [("lined", "a room full of cloth", Furnishing::FullOfCloth), ("ordinary", "a room with little cloth", Furnishing::LittleCloth)];
    for (key, words, room) in rooms {
        // The room that swallows least adds most.
        let swallows = absorption(room, rules);
        let adds = |absorption| Ok::<_, Error>(SoundLevel(in_room(stated, metre, home.pillow, absorption)?.0 - open));
        sheet.put(
            Figure::new(
                format!("sound.adds_{key}"),
                format!("What {words} adds at the pillow to what would arrive in the open"),
                Band { low: adds(swallows.high)?, high: adds(swallows.low)? },
            )
            .from("10 log₁₀(1 + 16π distance² ÷ absorption)", &["sound.pillow"])
            .rule(&format!("sound.{key}_room"))
            .never_below(),
        );
        let most = at_pillow(stated, home, room, rules)?.high.0;
        let allowed = Figure::new(
            format!("sound.limit_{key}"),
            format!("What all that hums may make together at one metre, in {words}: the safe end"),
            SoundLevel(rules.night_level.0 - most),
        );
        let allowed = allowed
            .from(
                "night level + fall in the open − what the room adds + what a shut door keeps out",
                &["sound.fall_open", &format!("sound.adds_{key}")],
            )
            .rule("sound.night_level")
            .never_above();
        sheet.put(if home.door { allowed.rule("sound.door") } else { allowed });
    }
    let limit = SoundLevel(rules.night_level.0 - at_pillow_of(home, &[stated], rules)?.high.0);
    let same = if home.room == Furnishing::FullOfCloth { "sound.limit_lined" } else { "sound.limit_ordinary" };
    sheet.put(
        Figure::new("sound.limit", "What all that hums may make together at one metre at night, in this home: the safe end", limit)
            .from("as in a room that is furnished so", &[same, "sound.room"])
            .never_above(),
    );
    beside_figures(sheet, rules, tank, limit)?;
    sheet.tables.insert("sound_pillow", pillow_table(home, rules)?);
    sheet.tables.insert("sound_together", together_table(limit, rules)?);
    Ok(())
}

/// The return pump, the overflow and the skimmer: what they make, and what they leave to the pumps in the tank.
fn beside_figures(sheet: &mut Sheet, rules: &SoundRules, tank: &Tank, limit: SoundLevel) -> Result<(), Error> {
    let sources = beside_the_pumps(tank, rules);
    for Source { key, words, level } in &sources {
        let figure = Figure::new(format!("sound.{key}"), format!("Sound level of {words} at one metre"), *level);
        sheet.put(match *key {
            "return_pump" => figure.assumes(tank, "return.sound"),
            "skimmer" => figure.assumes(tank, "skimmer.sound"),
            _ => figure.rule("sound.overflow"),
        });
    }
    let names: Vec<_> = sources.iter().map(|source| source.words).collect();
    let counted = match names.as_slice() {
        [] => "nothing but the pumps in the tank: the tank file has no return pump and no skimmer".to_owned(),
        [one] => format!("the pumps in the tank and {one}"),
        [first @ .., last] => format!("the pumps in the tank, {} and {last}", first.join(", ")),
    };
    sheet.put(Figure::new("sound.counted", "What counts as sound", counted.as_str()));
    if sources.is_empty() {
        let why =
            format!("The file of {} has neither a return pump nor a skimmer: write a table [return] or [skimmer] into it.", tank.name);
        sheet.lack("sound.beside", &*why);
        sheet.lack("sound.beside_says", &*why);
        sheet.lack("sound.left", why);
        return Ok(());
    }
    let levels: Vec<_> = sources.iter().map(|source| source.level).collect();
    let together = sum(&levels)?;
    let inputs: Vec<_> = sources.iter().map(|source| format!("sound.{}", source.key)).collect();
    let inputs: Vec<_> = inputs.iter().map(String::as_str).collect();
    sheet.put(
        Figure::new("sound.beside", "What return pump, overflow and skimmer make together at one metre", together)
            .from("10 log₁₀ Σ 10^(level ÷ 10)", &inputs)
            .never_below(),
    );
    let left = libm::pow(10.0, limit.0 / 10.0) - libm::pow(10.0, together.0 / 10.0);
    let verdict = if left > 0.0 { "stays below what this home allows at night" } else { "is more than this home allows at night" };
    sheet.put(
        Figure::new("sound.beside_says", "Whether return pump, overflow and skimmer alone are quiet enough", verdict)
            .from("compared with the limit", &["sound.beside", "sound.limit"]),
    );
    if left > 0.0 {
        sheet.put(
            Figure::new("sound.left", "What they leave to the pumps in the tank, at one metre", SoundLevel(10.0 * libm::log10(left)))
                .from("10 log₁₀(10^(limit ÷ 10) − 10^(level ÷ 10))", &["sound.limit", "sound.beside"])
                .never_above(),
        );
    } else {
        sheet.lack("sound.left", format!("In {} they leave nothing to the pumps in the tank.", tank.name));
    }
    Ok(())
}

/// What arrives at this home's pillow of a level at one metre.
fn pillow_table(home: &Home, rules: &SoundRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    let with_door = |figure: Figure| if home.door { figure.rule("sound.door") } else { figure };
    for level in &rules.usual_levels {
        let head = Figure::new(format!("sound_pillow.{}", rows.len() + 1), "Level of all that hums together at one metre", *level);
        let at = |room| at_pillow(*level, home, room, rules);
        let (lined, ordinary) = (at(Furnishing::FullOfCloth)?, at(Furnishing::LittleCloth)?);
        let cell = |name: &str, title: &str, level: SoundLevel, formula| {
            let figure = Figure::new(format!("{}.{name}", head.id), title, level).from(formula, &[head.id.as_str(), "sound.pillow"]);
            with_door(figure.never_below())
        };
        let in_room = "level + 10 log₁₀((1 m)² ÷ distance² + 16π (1 m)² ÷ least absorption) − what a shut door keeps out";
        let cells = vec![
            cell("open", "At the pillow, in the open", lined.low, "level − 20 log₁₀(distance ÷ 1 m) − what a shut door keeps out"),
            cell("lined", "At the pillow, in a room full of cloth", lined.high, in_room).rule("sound.lined_room"),
            cell("ordinary", "At the pillow, in a room with little cloth", ordinary.high, in_room).rule("sound.ordinary_room"),
        ];
        rows.push(Row { head: Cell::Figure(head.rule("sound.usual_levels")), cells: cells.into_iter().map(Cell::Figure).collect() });
    }
    let place = if home.door { "behind a shut door" } else { "in the same room as the tank" };
    Ok(Table {
        id: "sound_pillow",
        caption: format!("What arrives at the pillow, {place}"),
        heads: ["All together, at one metre", "As in the open", "Room full of cloth, at the most", "Room with little cloth, at the most"]
            .map(str::to_owned)
            .into(),
        rows,
    })
}

/// How much louder like pumps are than one, and how loud each may be.
fn together_table(limit: SoundLevel, rules: &SoundRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for count in &rules.pumps_together {
        // So many like sources are louder than one by 10 log₁₀ of their number, whatever their level.
        let more = SoundLevel(10.0 * libm::log10(*count));
        let head = Figure::new(format!("sound_together.{}", rows.len() + 1), "Like pumps", Quantity::new(Kind::Count, *count));
        let louder =
            Figure::new(format!("{}.louder", head.id), "Louder than one of them by", more).from("10 log₁₀(number)", &[head.id.as_str()]);
        let each = Figure::new(format!("{}.each", head.id), "What each may make at one metre", SoundLevel(limit.0 - more.0))
            .from("limit − 10 log₁₀(number)", &["sound.limit", head.id.as_str()])
            .never_above();
        let cells = vec![Cell::Figure(louder), Cell::Figure(each)];
        rows.push(Row { head: Cell::Figure(head.rule("sound.pumps_together")), cells });
    }
    Ok(Table {
        id: "sound_together",
        caption: "Several like pumps at night, where nothing else hums".to_owned(),
        heads: ["Pumps", "Louder than one by", "Each at one metre, at the most"].map(str::to_owned).into(),
        rows,
    })
}

#[cfg(test)]
mod tests;
