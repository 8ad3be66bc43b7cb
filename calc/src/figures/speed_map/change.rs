//! What a small change of a pump makes of the map.

use uom::si::f64::Velocity;

use super::super::ids::speed_map as id;
use super::{Map, where_rock};
use crate::catalogue::Catalogue;
use crate::decide::speed_map::change::{Asking, Change, Outcome, Tried, Way, best, tried};
use crate::error::Error;
use crate::quantity::{Quantity, Rounding, Share, show};
use crate::rules::Rules;
use crate::sheet::{Cell, Row, Sheet, Table, figure};
use crate::tank::{HungPump, Wall};
use crate::trace::Traced;
use crate::words::sentence_case;

/// The table of the changes.
pub(super) const CHANGES: &str = "map_changes";

/// Puts on the sheet what becomes of each change, and which one is best.
pub(super) fn figures(
    sheet: &mut Sheet,
    map: &Map<'_>,
    catalogue: &Catalogue,
    waste: &Traced<Velocity>,
) -> Result<(), Error> {
    let (rules, tank) = (map.rules, map.tank);
    let words = &rules.words.speed_map;
    let asking = Traced::new(|| Asking {
        still: *rules.speed_map.still,
        waste: **waste,
        suits: rules.speeds.band(&tank.now),
    });
    let now = Traced::new(|| asking.outcome(&map.on_the_floor, &map.on_the_rock));
    let tried = Traced::ok(|| tried(&map.scene, *now, &asking, rules, catalogue, tank))?;
    let pumps = &map.scene.peek().pumps;
    let best_change = figure(id::BEST_CHANGE, || {
        let Some(best) = best(&tried) else { return words.none_helps(&tank.name) };
        let change = sentence_case(&changed(&best.change, pumps, rules));
        let [still, lies, suits] = shown(best.after);
        let [still_now, lies_now, suits_now] = shown(now.told());
        let floor = words.then_floor(lies, lies_now, still, still_now);
        let has_rock = map.scene.has_rock();
        let then = if has_rock { words.then_rock(floor, suits, suits_now) } else { floor };
        words.helps_most(change, written(best.change.way, rules), then)
    });
    sheet.put(best_change);
    if tried.peek().is_empty() {
        sheet.lack(CHANGES, words.nothing_moves(&tank.name));
        return Ok(());
    }
    sheet.tabulate(|| {
        let row = |key: &str, head: String, write: Cell, outcome: &dyn Fn() -> Outcome<Share>| {
            let part = |part: &str, of: fn(Outcome<Share>) -> Share| {
                let share = figure(format!("{CHANGES}.{key}.{part}"), || of(outcome()));
                share.says("as the pumps hang + places after − places before")
            };
            let suits = where_rock(map, || part("suits", |outcome| outcome.suits));
            let [still, lies] =
                [part("still", |outcome| outcome.still), part("lies", |outcome| outcome.lies)];
            Row { head: Cell::Words(head), cells: vec![still.into(), lies.into(), suits, write] }
        };
        let of_change = |(at, Tried { change, .. }): (usize, &Tried)| {
            let key = format!("pump{}_{}", change.pump + 1, key(change.way));
            let write = figure(format!("{CHANGES}.{key}.write"), || {
                tried.note();
                written(change.way, rules)
            });
            let head = sentence_case(&changed(change, pumps, rules));
            row(&key, head, write.into(), &|| tried[at].after)
        };
        let as_now = || {
            tried.note();
            now.told()
        };
        let as_it_is = Cell::Words(words.nothing_written().to_owned());
        let first = row("now", words.as_they_hang().to_owned(), as_it_is, &as_now);
        let rows = std::iter::once(first).chain(tried.peek().iter().enumerate().map(of_change)).collect();
        // What the words of the cells go by.
        tried.note();
        map.scene.note();
        Ok(Table::new(CHANGES, rows))
    })
}

fn shown(outcome: Outcome<Share>) -> [String; 3] {
    outcome.all().map(|share| show(share.into(), Rounding::Nearest).to_string())
}

/// What ids call it.
fn key(way: Way) -> &'static str {
    match way {
        Way::TurnedDown(_) => "turned_down",
        Way::TurnedUp(_) => "turned_up",
        Way::Tilted(_) => "tilted",
        Way::Lower(_) => "lower",
        Way::Higher(_) => "higher",
        Way::MovedDown(_) => "moved_down",
        Way::MovedUp(_) => "moved_up",
    }
}

/// A change in words: "left, turned to the back".
fn changed(change: &Change, pumps: &[HungPump], rules: &Rules) -> String {
    let words = &rules.words.speed_map;
    let HungPump { name, wall, .. } = &pumps[change.pump];
    let [down, up] = match wall {
        Wall::Left | Wall::Right => [words.to_the_front(), words.to_the_back()],
        Wall::Back | Wall::Front => [words.to_the_left(), words.to_the_right()],
    };
    match change.way {
        Way::TurnedDown(_) => words.turned(name, down),
        Way::TurnedUp(_) => words.turned(name, up),
        Way::Tilted(_) => words.tilted(name),
        Way::Lower(_) => words.lower(name),
        Way::Higher(_) => words.higher(name),
        Way::MovedDown(_) => words.moved(name, down),
        Way::MovedUp(_) => words.moved(name, up),
    }
}

/// What to write of it, by the key of the form.
fn written(way: Way, rules: &Rules) -> String {
    let (key, value): (&str, Quantity) = match way {
        Way::TurnedDown(along) | Way::TurnedUp(along) => ("pump[].aim_along", along.into()),
        Way::Tilted(height) => ("pump[].aim_height", height.into()),
        Way::Lower(height) | Way::Higher(height) => ("pump[].height", height.into()),
        Way::MovedDown(along) | Way::MovedUp(along) => ("pump[].along", along.into()),
    };
    let label = rules.words.key(key).map_or(key, |words| &words.label);
    rules.words.speed_map.write(label, show(value, Rounding::Nearest))
}
