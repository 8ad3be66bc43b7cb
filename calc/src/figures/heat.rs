//! Heat on the sheet: what the pumps bring, what the room takes, how warm the water gets, and what a fan does.

use uom::si::f64::{Power, ThermodynamicTemperature};

use super::ids::{circuit, evaporation, heat as id, power, seawater, volume};
use crate::decide::heat::{heater, outsides};
use crate::error::Error;
use crate::formulas::evaporation::Air;
use crate::formulas::heat::{Outside, loss, room_for, settles_at, taken_along};
use crate::quantity::Share;
use crate::rules::{Band, Rules};
use crate::sheet::{Cell, Id, Row, Sheet, Table, figure, try_figure};
use crate::tank::Tank;
use crate::trace::Traced;

/// The table of rooms.
const ROOMS: &str = "heat_rooms";

/// What a tank loses heat through at the least and at the most, as the sheet has it.
type Outsides = Traced<[Outside; 2]>;

/// Adds the figures of this topic: `heat.…`. What hangs on the circuit warms the water, so that goes first.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let words = &rules.words.heat;
    let pumps = put_pumps(sheet, rules, tank);
    let (room, humidity) = (sheet.get(evaporation::ROOM)?, sheet.get(evaporation::HUMIDITY)?);
    let (water, inside) = (sheet.get(seawater::TEMPERATURE)?, sheet.get(volume::INSIDE_AREA)?);
    let height = sheet.get(volume::WATER_HEIGHT)?;
    let sides = [sheet.get(volume::LENGTH)?, sheet.get(volume::WIDTH)?];
    let panes = figure(id::PANES, || {
        sides.iter().for_each(Traced::note);
        tank.glass.outline.perimeter() * *height
    });
    let panes = sheet.put(panes.says("outline of the tank × height of the water"));
    let through = |fan: bool| {
        Traced::ok(|| {
            panes.note();
            inside.note();
            outsides(tank, fan, rules)
        })
    };
    let (own, with_fan) = (through(tank.fan)?, through(true)?);
    let air = Traced::new(|| Air { room: *room, humidity: *humidity });
    let evaporates = try_figure(id::EVAPORATES, || {
        let [low, high] = own.map(|outside| {
            let flux = outside.surface.flux(*water, *air, rules)?;
            taken_along(flux, outside.surface.area, *water, &rules.heat)
        });
        Ok(Band { low: low?, high: high? })
    })?;
    sheet.put(evaporates.says("what evaporates × its heat"));
    let loses = |water: ThermodynamicTemperature, air: Air, outsides: &Outsides| {
        let [low, high] = outsides.map(|outside| loss(&outside, water, air, rules));
        Ok::<_, Error>(Band { low: low?, high: high? })
    };
    let lost = sheet.put(try_figure(id::LOSES, || loses(*water, *air, &own))?.says(LOSS_SAYS));
    let given = || Band { low: heater(lost.low, pumps.power()), high: heater(lost.high, pumps.power()) };
    sheet.put(
        figure(id::HEATER, given)
            .says("what the tank loses − what the pumps bring, nothing at the least")
            .never_below(),
    );
    let settles = |power: Power, air: Air, outsides: &Outsides| {
        // Where it loses least, it gets warmest.
        let [warm, cool] = outsides.map(|outside| settles_at(&outside, power, air, rules));
        Ok::<_, Error>(cool?.zip(warm?).map(|(low, high)| Band { low, high }))
    };
    let alone = Traced::ok(|| settles(pumps.power(), *air, &own))?;
    put_or_lack(sheet, id::ALONE, alone, || words.too_hot(&tank.name));
    let with_lamp = Traced::ok(|| settles(pumps.power() + *rules.heat.lamp, *air, &own))?;
    put_or_lack(sheet, id::WITH_LAMP, with_lamp, || words.too_hot(&tank.name));
    for (id, outsides) in [(id::HOTTEST_ROOM, &own), (id::HOTTEST_ROOM_FAN, &with_fan)] {
        let hottest = Traced::ok(|| hottest_room(&pumps, outsides, *humidity, rules))?;
        put_or_lack(sheet, id, hottest, || words.no_room(&tank.name));
    }
    sheet.tabulate(|| {
        let mut rows = Vec::new();
        for room in &*rules.heat.rooms {
            let head = figure(format!("{ROOMS}.{}", rows.len() + 1), || *room);
            let (id, room) = (|name: &str| format!("{}.{name}", head.id()), head.value());
            let air = Traced::new(|| Air { room: *room, humidity: *humidity });
            let warm = |name: &str, outsides: &Outsides| -> Result<Cell, Error> {
                let settled = Traced::ok(|| settles(pumps.power(), *air, outsides))?;
                if settled.peek().is_none() {
                    settled.note();
                }
                Ok(match settled.transpose() {
                    Some(settled) => figure(id(name), || *settled).says(SETTLES_SAYS).into(),
                    None => Cell::Words(words.too_hot_in_short().to_owned()),
                })
            };
            let given = try_figure(id("heater"), || {
                let lost = loses(*water, *air, &own)?;
                Ok(Band { low: heater(lost.low, pumps.power()), high: heater(lost.high, pumps.power()) })
            })?;
            let cells = vec![
                warm("alone", &own)?,
                warm("with_fan", &with_fan)?,
                given
                    .says("what the tank loses − what the pumps bring, nothing at the least")
                    .never_below()
                    .into(),
            ];
            rows.push(Row { head: head.into(), cells });
        }
        Ok(Table::new(ROOMS, rows))
    })
}

/// How the loss is reckoned.
const LOSS_SAYS: &str =
    "(panes × what passes them + surface × its film) × (water − room) + heat of what evaporates";
/// How the warmth of the water is found.
const SETTLES_SAYS: &str = "the temperature at which the tank loses what the pumps bring";

/// What the pumps bring: nothing where none is known.
struct Pumps(Option<Traced<Power>>);

impl Pumps {
    fn power(&self) -> Power {
        self.0.as_ref().map_or_else(Power::default, |power| **power)
    }
}

/// What runs under water: the pumps that hang, or those of the plan, the return pump and the skimmer's.
fn put_pumps(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Pumps {
    let parts = [circuit::PUMPS, circuit::PLAN_PUMPS, circuit::SKIMMER, power::RETURN];
    let powers: Vec<_> = parts.into_iter().filter_map(|id| sheet.maybe(id)).collect();
    if powers.is_empty() {
        sheet.lack(id::PUMPS, rules.words.heat.no_pump(&tank.name));
        return Pumps(None);
    }
    let all = figure(id::PUMPS, || powers.iter().fold(Power::default(), |sum, power| sum + **power));
    Pumps(Some(sheet.put(all.says("sum of their powers, at full"))))
}

/// The room in which the water gets too warm: the cooler one where the tank loses least.
fn hottest_room(
    pumps: &Pumps,
    outsides: &Outsides,
    humidity: Share,
    rules: &Rules,
) -> Result<Option<Band<ThermodynamicTemperature>>, Error> {
    let room = |outside| room_for(&outside, pumps.power(), *rules.heat.too_warm, humidity, rules);
    let [cool, warm] = outsides.map(room);
    Ok(cool?.zip(warm?).map(|(low, high)| Band { low, high }))
}

/// Puts what was found on the sheet, or says why nothing was.
fn put_or_lack(
    sheet: &mut Sheet,
    id: Id<Band<ThermodynamicTemperature>>,
    found: Traced<Option<Band<ThermodynamicTemperature>>>,
    why: impl FnOnce() -> String,
) {
    match found.transpose() {
        Some(found) => {
            sheet.put(figure(id, || *found).says(SETTLES_SAYS));
        }
        None => sheet.lack(id, why()),
    }
}

#[cfg(test)]
mod tests;
