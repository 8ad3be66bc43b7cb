//! Sound on the sheet: what this home allows at night, what of it is taken, and what arrives at the pillow.

use uom::si::f64::{Length, Ratio};

use super::ids::sound as id;
use crate::catalogue::Catalogue;
use crate::decide::sound::{Hums, Source, beside_the_pumps, way_in};
use crate::error::Error;
use crate::formulas::sound::{STATED_AT, at_setting, heard, in_the_open, left, louder, sum};
use crate::ordered::sort_by;
use crate::quantity::{Dimension, Kind, Quantity, Share, SoundLevel};
use crate::rules::sound::SoundRules;
use crate::rules::{Band, Rules, words};
use crate::sheet::{Cell, Row, Sheet, Table, figure, try_figure};
use crate::tank::{Furnishing, Home, Tank};
use crate::trace::Traced;
use crate::words::listed;

/// Adds the figures of this topic: `sound.…`.
///
/// # Errors
/// [`Error::OutOfRange`] for a pillow that is no pillow.
pub(crate) fn figures(
    sheet: &mut Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
) -> Result<(), Error> {
    let (words, home) = (&rules.words.sound, &tank.home);
    let room = match home.room {
        Furnishing::FullOfCloth => words.full_of_cloth(),
        Furnishing::LittleCloth => words.little_cloth(),
    };
    let door = if home.door { words.door() } else { words.no_door() };
    let pillow = figure(id::PILLOW, || *home.pillow);
    let pillow = sheet.put(pillow.assumes(tank, "home.pillow"));
    let room = figure(id::ROOM, || room.to_owned());
    sheet.put(room.assumes(tank, "home.room"));
    let door = figure(id::DOOR, || door.to_owned());
    sheet.put(door.assumes(tank, "home.door"));
    // Whatever goes by the way to the pillow rests on the figure of its length.
    let home = &Home { pillow, ..home.clone() };
    way_figures(sheet, rules, home)?;
    let same = if home.room == Furnishing::FullOfCloth { id::LIMIT_LINED } else { id::LIMIT_ORDINARY };
    let same = sheet.get(same)?;
    let limit = figure(id::LIMIT, || *same).says("as in a room that is furnished so").never_above();
    let limit = sheet.put(limit);
    let left = beside_figures(sheet, rules, tank, &limit)?;
    loudest_figures(sheet, rules, catalogue, tank)?;
    sheet.tabulate(|| pillow_table(home, rules))?;
    sheet.tabulate(|| adding_table(&rules.sound))?;
    sheet.tabulate(|| Ok(together_table(left.as_ref(), tank.pumps.len(), rules)))
}

/// How much a room changes sound on its way to the pillow.
const WAY: &str =
    "10 log₁₀ of ((1 m)² ÷ distance² + 16π (1 m)² ÷ absorption) ÷ (1 + 16π (1 m)² ÷ absorption)";

/// What the way to the pillow takes or adds, in the open and in each room, and what that leaves at one metre.
fn way_figures(sheet: &mut Sheet, rules: &Rules, home: &Home) -> Result<(), Error> {
    let (rules, words) = (&rules.sound, &rules.words.sound);
    let (metre, stated) = (Length::from_si(STATED_AT), SoundLevel(0.0));
    let open = Traced::ok(|| in_the_open(stated, metre, *home.pillow))?;
    // A pillow may be nearer than the metre of the makers. Less than a decibel is not worth a word.
    let (falls, rises) = (open.peek().0 <= -1.0, open.peek().0 >= 1.0);
    let way = "20 log₁₀(distance ÷ 1 m)";
    if falls {
        sheet.put(figure(id::FALL_OPEN, || SoundLevel(-open.0)).says(way).never_above());
    } else {
        sheet.lack(id::FALL_OPEN, words.no_fall());
    }
    if rises {
        sheet.put(figure(id::RISE_OPEN, || *open).says(way).never_below());
    } else {
        sheet.lack(id::RISE_OPEN, words.no_rise());
    }
    let rooms = [
        (Furnishing::FullOfCloth, id::FALL_LINED, id::RISE_LINED, id::LIMIT_LINED),
        (Furnishing::LittleCloth, id::FALL_ORDINARY, id::RISE_ORDINARY, id::LIMIT_ORDINARY),
    ];
    for (furnished, fall, rise, limit) in rooms {
        let shut = Home { door: false, ..home.clone() };
        let without_door = Traced::ok(|| way_in(&shut, furnished, rules))?;
        if falls {
            let turned =
                || Band { low: SoundLevel(-without_door.high.0), high: SoundLevel(-without_door.low.0) };
            sheet.put(figure(fall, turned).says(WAY));
        } else {
            sheet.lack(fall, words.no_fall());
        }
        if rises {
            sheet.put(figure(rise, || *without_door).says(WAY));
        } else {
            sheet.lack(rise, words.no_rise());
        }
        let allowed = || Ok(SoundLevel(rules.night_level.0 - way_in(home, furnished, rules)?.high.0));
        let says =
            "night level − what the way to the pillow adds, or + what it takes + what a shut door keeps out";
        sheet.put(try_figure(limit, allowed)?.says(says).never_above());
    }
    Ok(())
}

/// The return pump, the overflow and the skimmer: what they make, and what they leave to the pumps in the
/// tank; `None` for nothing.
fn beside_figures(
    sheet: &mut Sheet,
    rules: &Rules,
    tank: &Tank,
    limit: &Traced<SoundLevel>,
) -> Result<Option<Traced<SoundLevel>>, Error> {
    let (rules, words) = (&rules.sound, &rules.words.sound);
    // The level of each is read within its own figure.
    let sources = Traced::new(|| beside_the_pumps(tank, rules));
    let sources = sources.peek();
    let mut levels = Vec::new();
    for Source { what, level } in sources {
        let (source_id, assumes) = match what {
            Hums::ReturnPump => (id::RETURN_PUMP, Some("return.sound")),
            Hums::Skimmer => (id::SKIMMER, Some("skimmer.sound")),
            Hums::Overflow => (id::OVERFLOW, None),
        };
        let level = || match (what, &tank.return_line, &tank.skimmer) {
            (Hums::ReturnPump, Some(line), _) => *line.sound,
            (Hums::Skimmer, _, Some(skimmer)) => *skimmer.sound,
            (Hums::Overflow, ..) => *rules.overflow,
            _ => *level,
        };
        let level = figure(source_id, level);
        levels.push(sheet.put(match assumes {
            Some(key) => level.assumes(tank, key),
            None => level,
        }));
    }
    let names: Vec<_> = sources.iter().map(|source| source.what.words(words)).collect();
    sheet.put(figure(id::COUNTED, || counted(tank, &names, words)));
    if sources.is_empty() {
        let why = words.nothing_beside(&tank.name);
        for part in [id::BESIDE.name(), id::BESIDE_SAYS.name(), id::BESIDE_WORDS.name()] {
            sheet.lack(part, &*why);
        }
        return Ok(Some(sheet.put(figure(id::LEFT, || **limit).says("all of the limit").never_above())));
    }
    let make = || match names.as_slice() {
        [one] => words.makes(one),
        several => words.together_make(listed(several)),
    };
    sheet.put(figure(id::BESIDE_WORDS, make));
    let together = || sum(&levels.iter().map(|level| **level).collect::<Vec<_>>());
    let together = try_figure(id::BESIDE, together)?;
    let together = sheet.put(together.never_below());
    let rest = Traced::new(|| left(**limit, *together));
    let verdict = figure(id::BESIDE_SAYS, || {
        let says = match *rest {
            Some(_) => words.below_the_limit(),
            None if *together > **limit => words.above_the_limit(),
            None => words.at_the_limit(),
        };
        says.to_owned()
    });
    sheet.put(verdict.says("compared with the limit"));
    let Some(left) = *rest.peek() else {
        sheet.lack(id::LEFT, words.nothing_left(&tank.name));
        return Ok(None);
    };
    let left = figure(id::LEFT, || {
        rest.note();
        left
    });
    Ok(Some(sheet.put(left.says("10 log₁₀(10^(limit ÷ 10) − 10^(level ÷ 10))").never_above())))
}

/// What counts as sound, in words.
///
/// - `names`: what hums beside the pumps in the tank
fn counted(tank: &Tank, names: &[&str], words: &words::Sound) -> String {
    let pumps = if tank.pumps.is_empty() { words.pumps_to_hang() } else { words.pumps_in_the_tank() };
    let counted = match names {
        [] => words.only_the_pumps(pumps),
        [..] => listed(&[&[pumps], names].concat()),
    };
    if tank.return_line.is_none() && tank.sump.si() > 0.0 {
        return words.without_the_return_pump(counted);
    }
    counted
}

/// Which of all that the tank file names hums loudest, the pumps at their settings.
fn loudest_figures(
    sheet: &mut Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
) -> Result<(), Error> {
    let (rules, words) = (&rules.sound, &rules.words.sound);
    let voices = Traced::ok(|| {
        let voice = |source: Source| (source.what.words(words).to_owned(), source.level);
        let mut voices: Vec<_> = beside_the_pumps(tank, rules).into_iter().map(voice).collect();
        for hung in &tank.pumps {
            let Some(model) = catalogue.pump(&hung.model) else { continue };
            let setting = Share(hung.setting.0.max(model.lowest_setting.0));
            let level = at_setting(model.sound, setting, rules.half_speed.low)?;
            voices.push((words.the_pump(&hung.name, &hung.model), level));
        }
        Ok(voices)
    })?;
    let Some(most) = voices.peek().iter().map(|voice| voice.1.0).reduce(f64::max) else {
        let why = words.nothing_hums(&tank.name);
        sheet.lack(id::LOUDEST, &*why);
        sheet.lack(id::LOUDEST_LEVEL, why);
        return Ok(());
    };
    let loudest = figure(id::LOUDEST, || {
        let loudest = voices.iter().filter(|voice| most - voice.1.0 < 1e-9);
        let names: Vec<_> = loudest.map(|voice| voice.0.as_str()).collect();
        if names.len() > 1 { words.alike(listed(&names)) } else { listed(&names) }
    });
    sheet.put(loudest.says("the highest level"));
    let level = figure(id::LOUDEST_LEVEL, || {
        voices.note();
        SoundLevel(most.max(0.0))
    });
    sheet.put(level.says("the highest level, each pump at its setting").never_below());
    Ok(())
}

/// What arrives at this home's pillow of a level at one metre.
fn pillow_table(home: &Home, rules: &Rules) -> Result<Table, Error> {
    let (rules, words) = (&rules.sound, &rules.words.sound);
    let mut rows = Vec::new();
    for at in 0..rules.usual_levels.len() {
        let head = figure(format!("sound_pillow.{}", rows.len() + 1), || rules.usual_levels[at]);
        let level = head.value();
        let in_room = |name: &str, room| {
            let arrives = || Ok(heard(*level, way_in(home, room, rules)?));
            let says =
                "level + what the way from one metre adds, or − what it takes − what a shut door keeps out";
            let arrives = try_figure(format!("{}.{name}", head.id()), arrives)?;
            Ok::<Cell, Error>(arrives.says(says).never_below().into())
        };
        let lined = in_room("lined", Furnishing::FullOfCloth)?;
        let ordinary = in_room("ordinary", Furnishing::LittleCloth)?;
        rows.push(Row { head: head.into(), cells: vec![lined, ordinary] });
    }
    let caption = if home.door { words.with_the_door_shut() } else { words.with_no_door() };
    Ok(Table::new("sound_pillow", rows).captioned(caption))
}

/// Two levels together, by how much they differ.
fn adding_table(rules: &SoundRules) -> Result<Table, Error> {
    // Only the difference counts; this is about what a pump makes.
    const LOUDER: SoundLevel = SoundLevel(40.0);
    let mut rows = Vec::new();
    for difference in &*rules.differences {
        let head = figure(format!("sound_adding.{}", rows.len() + 1), || *difference);
        let differ = head.value();
        let more = try_figure(format!("{}.louder", head.id()), || {
            Ok(SoundLevel(sum(&[LOUDER, SoundLevel(LOUDER.0 - differ.0)])?.0 - LOUDER.0))
        })?;
        rows.push(Row { head: head.into(), cells: vec![more.into()] });
    }
    Ok(Table::new("sound_adding", rows))
}

/// How much louder like pumps are than one, and how loud each may be beside all else that hums.
///
/// - `left`: what is left to the pumps; where that is nothing, no column tells how loud each may be
/// - `own`: how many pumps the tank has, which have a row too
fn together_table(left: Option<&Traced<SoundLevel>>, own: usize, rules: &Rules) -> Table {
    let (rules, words) = (&rules.sound, &rules.words.sound);
    let mut counts = (*rules.pumps_together).clone();
    let own = Ratio::from_si(own as f64);
    if own.si() > 0.0 && !counts.contains(&own) {
        counts.push(own);
        sort_by(&mut counts, |one, other| one.si().total_cmp(&other.si()));
    }
    let mut rows = Vec::new();
    for count in counts {
        let like = || Quantity::new(Kind::Count, count.si());
        let head = figure(format!("sound_together.{}", rows.len() + 1), like);
        let number = head.value();
        let more = figure(format!("{}.louder", head.id()), || louder(number.si));
        let mut cells = Vec::new();
        let each = left.map(|left| {
            let each = figure(format!("{}.each", head.id()), || SoundLevel(left.0 - louder(number.si).0));
            if each.peek().0 < 0.0 {
                return Cell::Words(words.nothing_that_hums().to_owned());
            }
            each.says("what is left − 10 log₁₀(number)").never_above().into()
        });
        cells.push(more.into());
        cells.extend(each);
        rows.push(Row { head: head.into(), cells });
    }
    Table::new("sound_together", rows)
}

#[cfg(test)]
mod tests;
