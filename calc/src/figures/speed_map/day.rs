//! The map through the day: what is still in which hours, and what is still in all of them.

use uom::si::f64::Velocity;

use super::super::ids::speed_map as id;
use super::{Map, where_rock};
use crate::catalogue::Catalogue;
use crate::decide::programme::without_feedings;
use crate::decide::speed_map::day::{Hours, Span, all_day, at_times, hours};
use crate::decide::speed_map::{Asked, Speeds, share, speeds};
use crate::error::Error;
use crate::quantity::{Rounding, show};
use crate::rules::words;
use crate::sheet::{Cell, Row, Sheet, Table, figure};
use crate::tank::Tank;
use crate::trace::Traced;
use crate::words::{listed, sentence_case};

/// The table of the parts of the day.
pub(super) const DAY: &str = "map_day";

/// The day, and the speeds in each part of it.
struct Through {
    hours: Traced<Vec<Hours>>,
    floor: Traced<Vec<Speeds>>,
    rock: Traced<Vec<Speeds>>,
}

/// Puts on the sheet what is still all day, and the table of its parts.
pub(super) fn figures(
    sheet: &mut Sheet,
    map: &Map<'_>,
    catalogue: &Catalogue,
    waste: &Traced<Velocity>,
) -> Result<(), Error> {
    let through = Through::of(map, catalogue)?;
    let rules = &map.rules.speed_map;
    let still = figure(id::STILL_ALL_DAY, || all_day(&through.floor, *rules.still));
    sheet.put(still.says("floor where the water is slower than still in every part of the day ÷ floor"));
    let at_times = figure(id::STILL_AT_TIMES, || at_times(&through.floor, *rules.still));
    sheet.put(at_times.says("floor where the water is slower than still in some part of the day ÷ floor"));
    let lies = figure(id::LIES_ALL_DAY, || all_day(&through.floor, **waste));
    sheet.put(lies.says("floor where the water is slower in every part of the day ÷ floor"));
    if map.scene.peek().has_rock() {
        let rock = figure(id::ROCK_STILL_ALL_DAY, || all_day(&through.rock, *rules.still));
        sheet.put(rock.says("rock where the water is slower than still in every part of the day ÷ rock"));
    } else {
        sheet.lack(id::ROCK_STILL_ALL_DAY.name(), map.rules.words.speed_map.rock_missing(&map.tank.name));
    }
    sheet.tabulate(|| Ok(through.table(map, waste)))
}

impl Through {
    fn of(map: &Map<'_>, catalogue: &Catalogue) -> Result<Self, Error> {
        let hours = Traced::ok(|| {
            let tank = Tank { pumps: map.scene.pumps.clone(), ..map.tank.clone() };
            let programme = without_feedings(map.rules, catalogue, &tank)?;
            let names: Vec<_> = tank.pumps.iter().map(|pump| pump.name.as_str()).collect();
            Ok::<_, Error>(hours(&programme, &names))
        })?;
        let times = Traced::ok(|| {
            let full = map.scene.full(catalogue)?;
            let of =
                |hours: &Hours| hours.settings.iter().zip(&full).map(|(set, full)| set.0 * full).collect();
            Ok::<_, Error>(hours.iter().map(of).collect::<Vec<Vec<f64>>>())
        })?;
        let all = |of: &Traced<Vec<Asked>>| {
            Traced::new(|| times.iter().map(|times| speeds(of, times)).collect::<Vec<_>>())
        };
        Ok(Through { floor: all(&map.of_floor), rock: all(&map.of_rock), hours })
    }

    /// Hours → what the pumps are set to then, what is still, where waste lies, and what suits.
    fn table(&self, map: &Map<'_>, waste: &Traced<Velocity>) -> Table {
        let words = &map.rules.words.speed_map;
        let row = |(at, hours): (usize, &Hours)| {
            let part = |key: &str, of: &Traced<Vec<Speeds>>, is_so: &dyn Fn(Velocity) -> bool| {
                let share = figure(format!("{DAY}.{}.{key}", at + 1), || share(&of[at], is_so));
                share.says("part of it where the water is so ÷ all of it")
            };
            let is_still = |speed: Velocity| speed < *map.rules.speed_map.still;
            let lies = |speed: Velocity| speed < **waste;
            let suits = |speed: Velocity| map.rules.speeds.band(&map.tank.now).contains(speed);
            let when: Vec<_> = hours.spans.iter().map(|span| told(*span, map.rules)).collect();
            let pumps = map.scene.peek().pumps.iter().zip(&hours.settings);
            let set: Vec<_> = pumps.map(|(pump, setting)| is_set(&pump.name, *setting, words)).collect();
            Row {
                head: Cell::Words(sentence_case(&listed(&when))),
                cells: vec![
                    Cell::Words(listed(&set)),
                    part("still", &self.floor, &is_still).into(),
                    part("lies", &self.floor, &lies).into(),
                    where_rock(map, || part("rock", &self.rock, &is_still)),
                    where_rock(map, || part("suits", &self.rock, &suits)),
                ],
            }
        };
        let rows = self.hours.peek().iter().enumerate().map(row).collect();
        self.hours.note();
        map.scene.note();
        Table::new(DAY, rows)
    }
}

/// A span of the day in words.
fn told(span: Span, rules: &crate::rules::Rules) -> String {
    let hours = rules.words.programme.hours(span.from, span.until);
    if span.by_turns { rules.words.speed_map.by_turns(hours) } else { hours }
}

/// What a pump does, in words.
fn is_set(pump: &str, setting: crate::quantity::Share, words: &words::SpeedMap) -> String {
    if setting.0 > 0.0 {
        words.is_set(pump, show(setting.into(), Rounding::Nearest))
    } else {
        words.rests(pump)
    }
}
