//! Sound on the sheet: what this home allows at night, what of it is taken, and what arrives at the pillow.

use uom::si::f64::{Length, Ratio};

use super::ids::sound as id;
use crate::catalogue::Catalogue;
use crate::decide::sound::{Source, beside_the_pumps, way_in};
use crate::error::Error;
use crate::formulas::sound::{STATED_AT, at_setting, heard, in_the_open, left, louder, sum};
use crate::ordered::sort_by;
use crate::quantity::{Dimension, Kind, Quantity, Share, SoundLevel};
use crate::rules::sound::SoundRules;
use crate::rules::{Band, Rules};
use crate::sheet::{Cell, Id, Origin, Row, Sheet, Table, figure, try_figure};
use crate::tank::{Furnishing, Home, Tank};
use crate::trace::Traced;
use crate::words::listed;

/// Adds the figures of this topic: `sound.…`.
///
/// # Errors
/// [`Error::OutOfRange`] for a pillow that is no pillow.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    let (rules, home) = (&rules.sound, &tank.home);
    let room = match home.room {
        Furnishing::FullOfCloth => "full of cloth",
        Furnishing::LittleCloth => "one with little cloth",
    };
    let door = if home.door { "a door that is shut at night" } else { "no door that is shut at night" };
    let pillow = figure(id::PILLOW, "From the tank to the nearest pillow", || *home.pillow);
    let pillow = sheet.put(pillow.assumes(tank, "home.pillow"));
    let room = figure(id::ROOM, "How the room is furnished", || room.to_owned());
    sheet.put(room.assumes(tank, "home.room"));
    let door = figure(id::DOOR, "What stands between tank and pillow", || door.to_owned());
    sheet.put(door.assumes(tank, "home.door"));
    // Whatever goes by the way to the pillow rests on the figure of its length.
    let home = &Home { pillow, ..home.clone() };
    way_figures(sheet, rules, home)?;
    let same = if home.room == Furnishing::FullOfCloth { id::LIMIT_LINED } else { id::LIMIT_ORDINARY };
    let same = sheet.get(same)?;
    let title = "What all that hums may make together at one metre at night, in this home: the safe end";
    let limit = figure(id::LIMIT, title, || *same).says("as in a room that is furnished so").never_above();
    let limit = sheet.put(limit);
    let left = beside_figures(sheet, rules, tank, &limit)?;
    loudest_figures(sheet, rules, catalogue, tank)?;
    sheet.tabulate(|| pillow_table(home, rules))?;
    sheet.tabulate(|| Ok(together_table(left.as_ref(), tank.pumps.len(), rules)))
}

/// The rooms that a home can have: how it is furnished, in words, and the ids of what is told of it.
struct Room {
    furnished: Furnishing,
    words: &'static str,
    fall: Id<Band<SoundLevel>>,
    rise: Id<Band<SoundLevel>>,
    limit: Id<SoundLevel>,
}

const ROOMS: [Room; 2] = [
    Room {
        furnished: Furnishing::FullOfCloth,
        words: "a room full of cloth",
        fall: id::FALL_LINED,
        rise: id::RISE_LINED,
        limit: id::LIMIT_LINED,
    },
    Room {
        furnished: Furnishing::LittleCloth,
        words: "a room with little cloth",
        fall: id::FALL_ORDINARY,
        rise: id::RISE_ORDINARY,
        limit: id::LIMIT_ORDINARY,
    },
];

/// How much a room changes sound on its way to the pillow.
const WAY: &str = "10 log₁₀ of ((1 m)² ÷ distance² + 16π (1 m)² ÷ absorption) ÷ (1 + 16π (1 m)² ÷ absorption)";

/// What the way to the pillow takes or adds, in the open and in each room, and what that leaves at one metre.
fn way_figures(sheet: &mut Sheet, rules: &SoundRules, home: &Home) -> Result<(), Error> {
    let (metre, stated) = (Length::from_si(STATED_AT), SoundLevel(0.0));
    let open = Traced::ok(|| in_the_open(stated, metre, *home.pillow))?;
    // A pillow may be nearer than the metre of the makers. Less than a decibel is not worth a word.
    let (falls, rises) = (open.peek().0 <= -1.0, open.peek().0 >= 1.0);
    let way = "20 log₁₀(distance ÷ 1 m)";
    let no_fall = "The pillow is no further from the tank than a metre, so sound does not fall on its way.";
    let no_rise = "The pillow is no nearer to the tank than a metre, so sound does not rise on its way.";
    if falls {
        let title = "How much sound falls from one metre to the pillow, in the open";
        sheet.put(figure(id::FALL_OPEN, title, || SoundLevel(-open.0)).says(way).never_above());
    } else {
        sheet.lack(id::FALL_OPEN, no_fall);
    }
    if rises {
        let title = "How much louder it is at the pillow than at one metre, in the open";
        sheet.put(figure(id::RISE_OPEN, title, || *open).says(way).never_below());
    } else {
        sheet.lack(id::RISE_OPEN, no_rise);
    }
    for Room { furnished, words, fall, rise, limit } in ROOMS {
        let shut = Home { door: false, ..home.clone() };
        let without_door = Traced::ok(|| way_in(&shut, furnished, rules))?;
        if falls {
            let title = format!("How much sound falls from one metre to the pillow, in {words}");
            let turned = || Band { low: SoundLevel(-without_door.high.0), high: SoundLevel(-without_door.low.0) };
            sheet.put(figure(fall, title, turned).says(WAY));
        } else {
            sheet.lack(fall, no_fall);
        }
        if rises {
            let title = format!("How much louder it is at the pillow than at one metre, in {words}");
            sheet.put(figure(rise, title, || *without_door).says(WAY));
        } else {
            sheet.lack(rise, no_rise);
        }
        let title = format!("What all that hums may make together at one metre, in {words}: the safe end");
        let allowed = || Ok(SoundLevel(rules.night_level.0 - way_in(home, furnished, rules)?.high.0));
        let says = "night level − what the way to the pillow adds, or + what it takes + what a shut door keeps out";
        sheet.put(try_figure(limit, title, allowed)?.says(says).never_above());
    }
    Ok(())
}

/// The return pump, the overflow and the skimmer: what they make, and what they leave to the pumps in the tank; `None` for
/// nothing.
fn beside_figures(
    sheet: &mut Sheet,
    rules: &SoundRules,
    tank: &Tank,
    limit: &Traced<SoundLevel>,
) -> Result<Option<Traced<SoundLevel>>, Error> {
    // The level of each is read within its own figure.
    let sources = Traced::new(|| beside_the_pumps(tank, rules));
    let sources = sources.peek();
    let mut levels = Vec::new();
    for (at, Source { key, words, .. }) in sources.iter().enumerate() {
        let (source_id, assumes) = match *key {
            "return_pump" => (id::RETURN_PUMP, Some("return.sound")),
            "skimmer" => (id::SKIMMER, Some("skimmer.sound")),
            _ => (id::OVERFLOW, None),
        };
        let level = || match (*key, &tank.return_line, &tank.skimmer) {
            ("return_pump", Some(line), _) => *line.sound,
            ("skimmer", _, Some(skimmer)) => *skimmer.sound,
            ("overflow", ..) => *rules.overflow,
            _ => sources[at].level,
        };
        let level = figure(source_id, format!("Sound level of {words} at one metre"), level);
        levels.push(sheet.put(match assumes {
            Some(key) => level.assumes(tank, key),
            None => level,
        }));
    }
    let names: Vec<_> = sources.iter().map(|source| source.words.to_owned()).collect();
    sheet.put(figure(id::COUNTED, "What counts as sound", || counted(tank, &names)));
    let left_title = "What is left to the pumps in the tank, at one metre";
    if sources.is_empty() {
        let why =
            format!("The file of {} has neither a return pump nor a skimmer: write a table [return] or [skimmer] into it.", tank.name);
        for part in [id::BESIDE.name(), id::BESIDE_SAYS.name(), id::BESIDE_WORDS.name()] {
            sheet.lack(part, &*why);
        }
        return Ok(Some(sheet.put(figure(id::LEFT, left_title, || **limit).says("all of the limit").never_above())));
    }
    let make = if names.len() == 1 { "makes" } else { "together make" };
    let hums = || format!("{} {make}", listed(&names));
    sheet.put(figure(id::BESIDE_WORDS, "What hums beside the pumps in the tank", hums));
    let together = || sum(&levels.iter().map(|level| **level).collect::<Vec<_>>());
    let together = try_figure(id::BESIDE, "What hums beside the pumps in the tank makes at one metre", together)?;
    let together = sheet.put(together.never_below());
    let rest = Traced::new(|| left(**limit, *together));
    let verdict = figure(id::BESIDE_SAYS, "Whether what hums beside the pumps is quiet enough alone", || {
        let words = match *rest {
            Some(_) => "stays below what this home allows at night",
            None if *together > **limit => "is more than this home allows at night",
            None => "is all that this home allows at night",
        };
        words.to_owned()
    });
    sheet.put(verdict.says("compared with the limit"));
    let Some(left) = *rest.peek() else {
        sheet.lack(id::LEFT, format!("In {} nothing is left to the pumps in the tank.", tank.name));
        return Ok(None);
    };
    let left = figure(id::LEFT, left_title, || {
        rest.note();
        left
    });
    Ok(Some(sheet.put(left.says("10 log₁₀(10^(limit ÷ 10) − 10^(level ÷ 10))").never_above())))
}

/// What counts as sound, in words.
fn counted(tank: &Tank, names: &[String]) -> String {
    let pumps = if tank.pumps.is_empty() { "the pumps that you hang" } else { "the pumps in the tank" };
    let counted = match names {
        [] => format!("only {pumps}, because the tank file has no return pump and no skimmer"),
        [..] => listed(&[&[pumps.to_owned()], names].concat()),
    };
    if tank.return_line.is_none() && tank.sump.si() > 0.0 {
        return counted + "; a return pump belongs to the sump and comes on top, but the tank file tells of none";
    }
    counted
}

/// Which of all that the tank file names hums loudest, the pumps at their settings.
fn loudest_figures(sheet: &mut Sheet, rules: &SoundRules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    let voices = Traced::ok(|| {
        let sources = beside_the_pumps(tank, rules).into_iter();
        let mut voices: Vec<_> = sources.map(|source| (source.words.to_owned(), source.level)).collect();
        for hung in &tank.pumps {
            let Some(model) = catalogue.pump(&hung.model) else { continue };
            let setting = Share(hung.setting.0.max(model.lowest_setting.0));
            let level = at_setting(model.sound, setting, rules.half_speed.low)?;
            voices.push((format!("the pump {} ({})", hung.name, hung.model), level));
        }
        Ok(voices)
    })?;
    let Some(most) = voices.peek().iter().map(|voice| voice.1.0).reduce(f64::max) else {
        let why = format!("The file of {} names nothing yet that hums. Write [[pump]], [return] or [skimmer] into it.", tank.name);
        sheet.lack(id::LOUDEST, &*why);
        sheet.lack(id::LOUDEST_LEVEL, why);
        return Ok(());
    };
    let loudest = figure(id::LOUDEST, "What hums loudest", || {
        let loudest = voices.iter().filter(|voice| most - voice.1.0 < 1e-9);
        let names: Vec<_> = loudest.map(|voice| voice.0.clone()).collect();
        listed(&names) + if names.len() > 1 { " alike" } else { "" }
    });
    sheet.put(loudest.says("the highest level"));
    let level = figure(id::LOUDEST_LEVEL, "Level of what hums loudest, at one metre", || {
        voices.note();
        SoundLevel(most.max(0.0))
    });
    sheet.put(level.says("the highest level, each pump at its setting").never_below());
    Ok(())
}

/// What arrives at this home's pillow of a level at one metre.
fn pillow_table(home: &Home, rules: &SoundRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for at in 0..rules.usual_levels.len() {
        let (id, title) = (format!("sound_pillow.{}", rows.len() + 1), "Level of all that hums together at one metre");
        let head = figure(id, title, || rules.usual_levels[at]);
        let level = head.value();
        let in_room = |name: &str, title: &str, room| {
            let arrives = || Ok(heard(*level, way_in(home, room, rules)?));
            let says = "level + what the way from one metre adds, or − what it takes − what a shut door keeps out";
            let arrives = try_figure(format!("{}.{name}", head.id()), title, arrives)?;
            Ok::<Cell, Error>(arrives.says(says).never_below().into())
        };
        let cells = vec![
            in_room("lined", "At the pillow, in a room full of cloth", Furnishing::FullOfCloth)?,
            in_room("ordinary", "At the pillow, in a room with little cloth", Furnishing::LittleCloth)?,
        ];
        rows.push(Row { head: head.into(), cells });
    }
    let place = if home.door { "with the door shut" } else { "with no shut door between" };
    let heads = ["All together, at one metre", "In a room full of cloth", "In a room with little cloth"];
    Ok(Table {
        id: "sound_pillow",
        caption: format!("What arrives at the pillow, {place}"),
        heads: heads.map(str::to_owned).into(),
        rows,
        origin: Origin::default(),
    })
}

/// How much louder like pumps are than one, and how loud each may be beside all else that hums.
///
/// - `left`: what is left to the pumps; where that is nothing, no column tells how loud each may be
/// - `own`: how many pumps the tank has, which have a row too
fn together_table(left: Option<&Traced<SoundLevel>>, own: usize, rules: &SoundRules) -> Table {
    let mut counts = (*rules.pumps_together).clone();
    let own = Ratio::from_si(own as f64);
    if own.si() > 0.0 && !counts.contains(&own) {
        counts.push(own);
        sort_by(&mut counts, |one, other| one.si().total_cmp(&other.si()));
    }
    let mut rows = Vec::new();
    for count in counts {
        let like = || Quantity::new(Kind::Count, count.si());
        let head = figure(format!("sound_together.{}", rows.len() + 1), "Like pumps", like);
        let number = head.value();
        let more = figure(format!("{}.louder", head.id()), "Louder than one of them by", || louder(number.si));
        let mut cells = Vec::new();
        let each = left.map(|left| {
            let title = "What each may make at one metre";
            let each = figure(format!("{}.each", head.id()), title, || SoundLevel(left.0 - louder(number.si).0));
            if each.peek().0 < 0.0 {
                return Cell::Words("nothing that hums".to_owned());
            }
            each.says("what is left − 10 log₁₀(number)").never_above().into()
        });
        cells.push(more.into());
        cells.extend(each);
        rows.push(Row { head: head.into(), cells });
    }
    let mut heads = vec!["Pumps", "Louder than one by"];
    heads.extend(left.map(|_| "Each at one metre, at the most"));
    Table {
        id: "sound_together",
        caption: "Several like pumps at night".to_owned(),
        heads: heads.into_iter().map(str::to_owned).collect(),
        rows,
        origin: Origin::default(),
    }
}

#[cfg(test)]
mod tests;
