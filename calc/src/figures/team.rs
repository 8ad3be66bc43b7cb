//! What several pumps do together, on the sheet.

use uom::si::f64::{Length, Velocity, VolumeRate};

use super::ids::stream::RUN;
use super::ids::team as id;
use crate::catalogue::Catalogue;
use crate::decide::team::{Pair, pair};
use crate::error::Error;
use crate::formulas::stream::{self, Laws, Stream};
use crate::formulas::team::{Aims, Mode, Team};
use crate::quantity::Share;
use crate::rules::Rules;
use crate::sheet::{Cell, Row, Sheet, Table, figure, try_figure};
use crate::tank::Tank;
use crate::trace::Traced;

/// The table of teams.
const MODES: &str = "team_modes";

/// Adds the figures of this topic: `team.…`, for the first two pumps of the tank, or of its plan, that work
/// in a team, two like the only one that does, or two of the catalogue. Each is reckoned at its setting; the
/// table's pulses are shares of that.
///
/// # Errors
/// As [`Stream::new`].
pub(crate) fn figures(
    sheet: &mut Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
) -> Result<(), Error> {
    let words = &rules.words.team;
    let pair = Traced::ok(|| pair(rules, catalogue, tank))?;
    sheet.put(figure(id::PUMPS, || pair.words.clone()));
    if pair.peek().is_alone {
        sheet.put(figure(id::ALONE, || {
            pair.note();
            if tank.pumps.is_empty() { words.single_in_plan(&tank.name) } else { words.single(&tank.name) }
        }));
    } else {
        sheet.lack(id::ALONE, words.not_single(&tank.name));
    }
    // No pulse goes below what its pump can run at.
    let low = figure(id::LOW, || {
        let (wished, high) = (*rules.team.example_low, *rules.team.example_high);
        Share(pair.least.0.max(wished.0).min(high.0))
    });
    let low = sheet.put(low.says("low of the example, or lowest setting ÷ setting"));
    let run = sheet.get(RUN)?;
    let way = figure(id::WAY, || *run / 2.0);
    let way = sheet.put(way.says("inside length ÷ 2"));
    let alone = |at: usize, midway: Length| {
        let (outlet, flow) = pair.sent[at];
        Stream::new(outlet, flow, Laws::of(&rules.stream))?.speed_at(midway)
    };
    let mut speeds = Vec::new();
    for (at, id) in [id::LEAD, id::FOLLOWER].into_iter().enumerate() {
        let speed = try_figure(id, || alone(at, *way))?.never_below();
        speeds.push(sheet.put(speed.says("exit speed at its setting × what is left at that distance")));
    }
    let speeds = || [0, 1].map(|at: usize| *speeds[at]);
    let together = figure(id::TOGETHER, || stream::together(speeds())).never_below();
    sheet.put(together.says("√(lead's speed² + follower's speed²)"));
    sheet.tabulate(|| modes_table(rules, &pair, &low, &speeds))
}

/// Mode → what the two do midway.
fn modes_table(
    rules: &Rules,
    pair: &Traced<Pair>,
    low: &Traced<Share>,
    speeds: &impl Fn() -> [Velocity; 2],
) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for aims in [Aims::Facing, Aims::SameWay] {
        for mode in Mode::ALL {
            let team = Traced::ok(|| Team::new(mode, aims, **low, *rules.team.example_high))?;
            rows.push(row(&team, rules, pair, speeds));
        }
    }
    Ok(Table::new(MODES, rows))
}

fn row(team: &Traced<Team>, rules: &Rules, pair: &Traced<Pair>, speeds: &impl Fn() -> [Velocity; 2]) -> Row {
    // How they run and how they point was not reckoned from anything.
    let Team { mode, aims, .. } = *team.peek();
    let words = &rules.words.team;
    let (key, points, formula) = match aims {
        Aims::Facing => {
            let formula = "√|(lead's speed × its setting)² − (follower's speed × its setting)²|, or both where they meet";
            ("facing", words.facing(), formula)
        }
        Aims::SameWay => {
            let formula = "√((lead's speed × its setting)² + (follower's speed × its setting)²)";
            ("same_way", words.side_by_side(), formula)
        }
    };
    let id = |name: &str| format!("{MODES}.{key}_{}.{name}", mode.key());
    let speed = figure(id("speed"), || team.speeds(speeds(), &rules.team)).says(formula);
    let flows = || pair.sent.map(|(_, flow): (_, VolumeRate)| flow);
    let flow = figure(id("flow"), || team.flows(flows()));
    // The push is that of two like pumps at any settings.
    let push = figure(id("push"), || team.peek().push());
    Row {
        head: Cell::Words(format!("{points}, {}", mode.words(words))),
        cells: vec![speed.into(), flow.into(), push.into(), Cell::Words(team.peek().says(words).to_owned())],
    }
}

#[cfg(test)]
mod tests;
