//! Speeds that animals meet, on the sheet.

use uom::si::f64::Velocity;

use super::ids::speeds as id;
use super::ids::stream::{ROUND_EXIT, SHEET_EXIT};
use super::zones::zone;
use crate::decide::stream::{range, run};
use crate::error::Error;
use crate::formulas::speeds::{below_the_waves, fish_speed};
use crate::formulas::stream::{Laws, Stream, example_round, example_sheet};
use crate::quantity::{Rounding, show_range};
use crate::rules::livestock::{Lives, Livestock};
use crate::rules::speeds::SpeedsRules;
use crate::rules::{Band, Rules};
use crate::sheet::{Cell, Row, Sheet, Table, figure, try_figure};
use crate::tank::Tank;
use crate::trace::Traced;
use crate::words::listed;

/// Adds the figures of this topic: `speeds.…`, and its tables.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let (speeds, words) = (&rules.speeds, &rules.words.speeds);
    let times = [(id::NOW, id::NOW_EACH, &tank.now), (id::LATER, id::LATER_EACH, &tank.later)];
    for (all_id, each_id, stock) in times {
        sheet.put(figure(all_id, || speeds.band(stock)).titled(words.speed_for(stock.words())));
        let each = |kind: &Livestock| {
            let band = speeds.band(kind);
            words.each(show_range(band.low.into(), band.high.into(), Rounding::Nearest), kind.words())
        };
        sheet.put(figure(each_id, || listed(&stock.asking().map(each).collect::<Vec<_>>())));
    }
    sheet.put(figure(id::DEEP_REEF, || below_the_waves(*speeds.forereef, *speeds.deep_reef)));

    let stream = |(outlet, flow)| Stream::new(outlet, flow, Laws::of(&rules.stream));
    let round = Example { id: "speeds_round", exit: sheet.get(ROUND_EXIT)? };
    sheet.tabulate(|| round.zones_table(rules, tank, || stream(example_round(&rules.stream))))?;
    let slot = Example { id: "speeds_sheet", exit: sheet.get(SHEET_EXIT)? };
    sheet.tabulate(|| slot.zones_table(rules, tank, || stream(example_sheet(&rules.stream))))?;
    sheet.tabulate(|| fish_table(speeds))
}

/// An example pump, before which animals stand.
struct Example {
    /// The id of its table.
    id: &'static str,
    /// The speed at its outlet.
    exit: Traced<Velocity>,
}

impl Example {
    /// Livestock → speeds that suit it, and where along the stream it can stand.
    fn zones_table(
        &self,
        rules: &Rules,
        tank: &Tank,
        stream: impl Fn() -> Result<Stream, Error>,
    ) -> Result<Table, Error> {
        let mut told = Vec::new();
        let mut row = |livestock: &Livestock| {
            let words = livestock.words();
            let suits = figure(format!("{}.{}", self.id, livestock.key()), || rules.speeds.band(livestock));
            let suits = suits.titled(rules.words.speeds.speed_for(words));
            let zone = zone(rules, livestock, self.id, || {
                self.exit.note();
                Ok((stream()?, run(tank), range(tank, &rules.stream)))
            })?;
            let cells = std::iter::once(suits.into()).chain(zone.peek().iter().cloned()).collect();
            told.push(zone);
            Ok(Row { head: Cell::Words(words.to_owned()), cells })
        };
        let rows = rules.livestock.iter().map(&mut row).collect::<Result<_, Error>>()?;
        // What stands there in words only at the end: it counts for the table, and moves no other row.
        told.iter().for_each(Traced::note);
        Ok(Table::new(self.id, rows))
    }
}

/// Length of a fish → what it swims all day with either kind of fins, and what strong swimmers hold for half
/// an hour.
fn fish_table(rules: &SpeedsRules) -> Result<Table, Error> {
    let (cruises, holds) = (&rules.fish_cruises, &rules.fish_holds);
    let mut rows = Vec::new();
    for length in &*rules.fish_lengths {
        let head = figure(format!("speeds_fish.{}", rows.len() + 1), || *length);
        let fish = head.value();
        let id = |key: &str| format!("{}.{key}", head.id());
        let round = try_figure(id("round_fins"), || fish_speed(*fish, cruises.low))?;
        let narrow = try_figure(id("narrow_fins"), || fish_speed(*fish, cruises.high))?;
        let held = || Ok(Band { low: fish_speed(*fish, holds.low)?, high: fish_speed(*fish, holds.high)? });
        let strong = try_figure(id("holds"), held)?;
        let cells = vec![round.never_above().into(), narrow.never_above().into(), strong.into()];
        rows.push(Row { head: head.into(), cells });
    }
    Ok(Table::new("speeds_fish", rows))
}
