//! Sound: what several pumps come to together, and what of it arrives at a pillow.
//!
//! In the open, sound thins out with the square of the distance. A room throws it back, so that it is always louder there: the open
//! field is the least that can arrive. What a room adds depends on how much of the sound its cloth and furniture swallow.

use std::f64::consts::PI;

use uom::si::f64::{Area, Length};

use crate::error::{Error, within};
use crate::quantity::{Dimension, Kind, Quantity, Share, SoundLevel};
use crate::rules::{Band, Rules, Topic};
use crate::sheet::{Cell, Figure, Row, Sheet, Table};
use crate::tank::Tank;

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
        let usual_levels = topic.list("usual_levels", "0 dB"..="100 dB");
        let pumps_together = topic.list::<uom::si::f64::Ratio>("pumps_together", "1"..="100");
        Some(SoundRules {
            night_level: night_level?,
            night_peak: night_peak?,
            evening_level: evening_level?,
            half_speed: half_speed?,
            lined_room: lined_room?,
            ordinary_room: ordinary_room?,
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
/// Assumes one room, walls that scatter the sound evenly, and a source that sends it out evenly. A shut door between tank and bed
/// keeps much of it out; a pump that shakes its stand adds a hum that no distance thins.
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

/// What arrives at a pillow from pumps whose levels are stated at one metre: at the least what arrives in the open, at the most what
/// arrives in a room that swallows no more than `absorption.low`. Advice goes by the high end, rounded up.
///
/// # Errors
/// As [`sum`] and [`in_room`].
pub fn at_pillow(stated: &[SoundLevel], pillow: Length, absorption: Band<Area>) -> Result<Band<SoundLevel>, Error> {
    let (together, metre) = (sum(stated)?, Length::from_si(STATED_AT));
    Ok(Band { low: in_the_open(together, metre, pillow)?, high: in_room(together, metre, pillow, absorption.low)? })
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
    let (rules, pillow, metre) = (&rules.sound, tank.home.pillow, Length::from_si(STATED_AT));
    sheet.put(Figure::new("sound.pillow", "From the tank to the nearest pillow", pillow));
    let stated = SoundLevel(0.0);
    let open = in_the_open(stated, metre, pillow)?.0;
    sheet.put(
        Figure::new("sound.fall_open", "How much sound falls from one metre to the pillow, in the open", SoundLevel(-open))
            .from("20 log₁₀(distance ÷ 1 m)", &["sound.pillow"])
            .never_above(),
    );
    let mut limit = SoundLevel(f64::INFINITY);
    let rooms = [("lined", "a room full of cloth", rules.lined_room), ("ordinary", "a room with little cloth", rules.ordinary_room)];
    for (room, words, absorption) in rooms {
        // The room that swallows least adds most.
        let (most, least) = (in_room(stated, metre, pillow, absorption.low)?.0, in_room(stated, metre, pillow, absorption.high)?.0);
        let adds = Band { low: SoundLevel(least - open), high: SoundLevel(most - open) };
        let adds_id = format!("sound.adds_{room}");
        sheet.put(
            Figure::new(adds_id.clone(), format!("What {words} adds at the pillow to what would arrive in the open"), adds)
                .from("10 log₁₀(1 + 16π distance² ÷ absorption)", &["sound.pillow"])
                .rule(&format!("sound.{room}_room"))
                .never_below(),
        );
        let allowed = Band { low: SoundLevel(rules.night_level.0 - most), high: SoundLevel(rules.night_level.0 - least) };
        sheet.put(
            Figure::new(format!("sound.limit_{room}"), format!("What all pumps together may make at one metre, in {words}"), allowed)
                .from("night level + fall in the open − what the room adds", &["sound.fall_open", adds_id.as_str()])
                .rule("sound.night_level")
                .never_above(),
        );
        limit = SoundLevel(limit.0.min(allowed.low.0));
    }
    sheet.put(
        Figure::new("sound.limit", "What all pumps together may make at one metre in a bedroom: the safe end", limit)
            .from("the least of both rooms", &["sound.limit_lined", "sound.limit_ordinary"])
            .never_above(),
    );
    sheet.tables.insert("sound_pillow", pillow_table(pillow, rules)?);
    sheet.tables.insert("sound_together", together_table(limit, rules)?);
    Ok(())
}

/// What arrives at this tank's pillow of a level at one metre.
fn pillow_table(pillow: Length, rules: &SoundRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for level in &rules.usual_levels {
        let head = Figure::new(format!("sound_pillow.{}", rows.len() + 1), "Level of all pumps together at one metre", *level);
        let [lined, ordinary] = [rules.lined_room, rules.ordinary_room].map(|absorption| at_pillow(&[*level], pillow, absorption));
        let (lined, ordinary) = (lined?, ordinary?);
        let cell = |name: &str, title: &str, level: SoundLevel, formula| {
            let figure = Figure::new(format!("{}.{name}", head.id), title, level).from(formula, &[head.id.as_str(), "sound.pillow"]);
            figure.never_below()
        };
        let in_room = "level + 10 log₁₀((1 m)² ÷ distance² + 16π (1 m)² ÷ least absorption)";
        let cells = vec![
            cell("open", "At the pillow, in the open", lined.low, "level − 20 log₁₀(distance ÷ 1 m)"),
            cell("lined", "At the pillow, in a room full of cloth", lined.high, in_room).rule("sound.lined_room"),
            cell("ordinary", "At the pillow, in a room with little cloth", ordinary.high, in_room).rule("sound.ordinary_room"),
        ];
        rows.push(Row { head: Cell::Figure(head.rule("sound.usual_levels")), cells: cells.into_iter().map(Cell::Figure).collect() });
    }
    Ok(Table {
        id: "sound_pillow",
        caption: "What arrives at the pillow when the tank stands in the bedroom".to_owned(),
        heads: ["Pumps together, at one metre", "In the open", "Room full of cloth, at the most", "Room with little cloth, at the most"]
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
        caption: "Several like pumps in a bedroom".to_owned(),
        heads: ["Pumps", "Louder than one by", "Each at one metre, at the most"].map(str::to_owned).into(),
        rows,
    })
}

#[cfg(test)]
mod tests;
