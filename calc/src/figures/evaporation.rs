//! Evaporation on the sheet: litres a day, what that does to the salinity, and how long the chamber of the
//! return pump lasts.

use uom::si::f64::{Mass, MassFlux, Time, Volume};

use super::ids::{evaporation as id, measured, seawater, volume};
use super::measured::AS_MEASURED;
use crate::decide::heat::{DAY, evaporates, sump_surface};
use crate::error::Error;
use crate::formulas::evaporation::{Air, lasts, lost, lost_by, salinity_after, still, stirred};
use crate::formulas::return_line::run_down;
use crate::quantity::Dimension;
use crate::rules::{Band, Rules};
use crate::sheet::{Row, Sheet, Table, figure, try_figure};
use crate::tank::Tank;
use crate::trace::Traced;

/// The table of what evaporates by the surface.
const SURFACES: &str = "evaporation_surfaces";

/// Adds the figures of this topic: `evaporation.…`.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let room = figure(id::ROOM, || *tank.home.temperature).assumes(tank, "home.temperature");
    let room = sheet.put(room);
    let humidity = figure(id::HUMIDITY, || *tank.home.humidity).assumes(tank, "home.humidity");
    let humidity = sheet.put(humidity);
    let warmth = sheet.get(seawater::TEMPERATURE)?;
    let inside = sheet.get(volume::INSIDE_AREA)?;
    let sump = sheet.maybe(volume::SUMP);
    let noted = || {
        [&room, &warmth].into_iter().for_each(Traced::note);
        humidity.note();
        inside.note();
    };
    if let Some(sump) = &sump {
        sheet.put(figure(id::SUMP_SURFACE, || {
            sump.note();
            sump_surface(tank, rules)
        }));
    } else {
        sheet.lack(id::SUMP_SURFACE, rules.words.volume.no_sump(&tank.name));
    }
    let reckoned = |fan: bool| {
        noted();
        sump.iter().for_each(Traced::note);
        evaporates(tank, fan, rules)
    };
    let a_day = match sheet.maybe(measured::TOP_UP) {
        // What the jug tells goes before the sum.
        Some(jug) => {
            let own = try_figure(measured::TOP_UP_RECKONED, || reckoned(tank.fan))?;
            sheet.put(own.says(A_DAY_SAYS));
            figure(id::A_DAY, || Band { low: *jug, high: *jug }).says(AS_MEASURED)
        }
        None => try_figure(id::A_DAY, || reckoned(tank.fan))?.says(A_DAY_SAYS),
    };
    let a_day = sheet.put(a_day);
    sheet.put(figure(id::A_WEEK, || Band { low: a_day.low * 7.0, high: a_day.high * 7.0 }).says("a day × 7"));
    let with_fan = try_figure(id::WITH_FAN, || reckoned(true))?;
    sheet.put(with_fan.says(A_DAY_SAYS));
    let fall = figure(id::FALL, || Band { low: a_day.low / *inside, high: a_day.high / *inside });
    sheet.put(fall.says("what evaporates in a day ÷ surface"));
    put_salinity(sheet, rules, tank, &a_day)?;
    put_chamber(sheet, rules, tank, &a_day)?;
    sheet.tabulate(|| {
        let of = &rules.evaporation;
        surfaces_table(rules, || {
            let air = Air { room: *room, humidity: *humidity };
            Ok([still(*warmth, air, *of.seawater, of)?, stirred(*warmth, air, *of.seawater, of)?])
        })
    })
}

/// How what evaporates is reckoned.
const A_DAY_SAYS: &str = "evaporation of each square metre × surface × a day, at the least and at the most";

/// What the salinity does without topping up.
fn put_salinity(
    sheet: &mut Sheet,
    rules: &Rules,
    tank: &Tank,
    a_day: &Traced<Band<Volume>>,
) -> Result<(), Error> {
    let (salinity, density) = (sheet.get(seawater::SALINITY)?, sheet.get(seawater::DENSITY)?);
    let system = sheet.get(volume::SYSTEM)?;
    let mass = || *system * *density;
    let gone = |days: f64| Mass::from_si(a_day.high.si() * 1000.0 * days).min(mass() / 2.0);
    for (id, days) in [(id::AFTER_DAY, 1.0), (id::AFTER_WEEK, 7.0)] {
        let after = try_figure(id, || salinity_after(*salinity, mass(), gone(days)))?;
        sheet.put(after.never_below());
    }
    if a_day.peek().high <= Volume::default() {
        sheet.lack(id::RISE_TIME, rules.words.evaporation.nothing_evaporates(&tank.name));
        return Ok(());
    }
    let time = try_figure(id::RISE_TIME, || {
        let lost = lost_by(*salinity, mass(), *rules.evaporation.rise_to_act);
        lasts(Volume::from_si(lost.si() / 1000.0), a_day.high)
    })?;
    sheet.put(
        time.says("water × rise ÷ (salinity + rise) ÷ what evaporates in a day, at the most").never_above(),
    );
    Ok(())
}

/// How long the chamber of the return pump lasts.
fn put_chamber(
    sheet: &mut Sheet,
    rules: &Rules,
    tank: &Tank,
    a_day: &Traced<Band<Volume>>,
) -> Result<(), Error> {
    let words = &rules.words.evaporation;
    let Some(chamber) = tank.return_chamber else {
        let why = words.no_chamber(&tank.name);
        sheet.lack(id::CHAMBER, &*why);
        sheet.lack(id::CHAMBER_LASTS, why);
        return Ok(());
    };
    let spare = figure(id::CHAMBER, || run_down(chamber.length * chamber.width, chamber.fall));
    let spare = sheet.put(spare.never_above());
    if a_day.peek().low <= Volume::default() {
        sheet.lack(id::CHAMBER_LASTS, words.nothing_evaporates(&tank.name));
        return Ok(());
    }
    let time = try_figure(id::CHAMBER_LASTS, || {
        Ok(Band { low: lasts(*spare, a_day.high)?, high: lasts(*spare, a_day.low)? })
    })?;
    sheet.put(time.says("water above where the pump draws air ÷ what evaporates in a day").never_above());
    Ok(())
}

/// Surface → what evaporates from it in a day, in this room and from water as warm as this.
fn surfaces_table(rules: &Rules, fluxes: impl Fn() -> Result<[MassFlux; 2], Error>) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for surface in &*rules.evaporation.surfaces {
        let head = figure(format!("{SURFACES}.{}", rows.len() + 1), || *surface);
        let (id, surface) = (format!("{}.a_day", head.id()), head.value());
        let a_day = try_figure(id, || {
            let [low, high] = fluxes()?.map(|flux| lost(flux, *surface, Time::from_si(DAY)));
            Ok(Band { low, high })
        })?;
        rows.push(Row { head: head.into(), cells: vec![a_day.says(A_DAY_SAYS).into()] });
    }
    Ok(Table::new(SURFACES, rows))
}

#[cfg(test)]
mod tests;
