//! Growth on the sheet: how wide the corals get, what is left between them, and how long the pumps are enough.

use uom::si::f64::{Length, VolumeRate};

use super::ids::{fit, growth as id, plan, turnover};
use crate::error::Error;
use crate::formulas::growth::{flow_for, gap, shaded, size, size_for, time_to};
use crate::rules::{Band, Rules};
use crate::sheet::{Row, Sheet, Table, figure, try_figure};
use crate::tank::Tank;
use crate::trace::Traced;

/// The table of growth.
const MONTHS: &str = "growth_months";

/// Adds the figures of this topic: `growth.…`, for what is to live in the tank.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let (of, words) = (&rules.growth, &rules.words.growth);
    let a_year = Traced::new(|| of.a_year(&tank.later)).transpose();
    let Some(a_year) = a_year else {
        let why = words.no_corals(&tank.name);
        for part in ["growth", MONTHS] {
            sheet.lack(part, &*why);
        }
        return Ok(());
    };
    let a_year = sheet.put(figure(id::A_YEAR, || *a_year));
    // The fastest is there first.
    let band = |colony: Length| {
        let time = |a_year| time_to(colony, *of.frag, a_year);
        Ok::<_, Error>(Band { low: time(a_year.high)?, high: time(a_year.low)? })
    };
    sheet.put(try_figure(id::GROWN_IN, || band(*of.colony))?.says("(grown − at first) ÷ growth in a year"));
    let later = sheet.get(turnover::FLOW_LATER)?;
    let hung = sheet.maybe(fit::FLOW_FOULED).or_else(|| sheet.maybe(plan::FLOW_FOULED));
    match hung {
        None => {
            sheet.lack(id::ENOUGH_FOR, words.no_pumps(&tank.name));
            sheet.lack(id::TOO_LITTLE, words.no_pumps(&tank.name));
        }
        Some(hung) => {
            let too_little = Traced::new(|| *hung < later.low);
            let until = Traced::new(|| size_for(*hung, *of.frag, *of.colony, *later));
            match (*too_little.peek(), until.transpose()) {
                (true, _) => {
                    let says = figure(id::TOO_LITTLE, || {
                        too_little.note();
                        words.too_little().to_owned()
                    });
                    sheet.put(says.says("flow of the pumps compared with the least for these animals"));
                    sheet.lack(id::ENOUGH_FOR, words.too_little_already(&tank.name));
                }
                (false, None) => {
                    sheet.lack(id::TOO_LITTLE, words.enough_for_good(&tank.name));
                    sheet.lack(id::ENOUGH_FOR, words.enough_for_good(&tank.name));
                }
                (false, Some(until)) => {
                    sheet.lack(id::TOO_LITTLE, words.enough_at_first(&tank.name));
                    let time = try_figure(id::ENOUGH_FOR, || band(*until))?;
                    sheet.put(time.says("until the flow to aim for is more than the pumps give"));
                }
            }
        }
    }
    sheet.tabulate(|| months_table(rules, &a_year, &later))
}

/// Time → how wide colonies are, what is left between them, what they shade, and the flow to aim for.
fn months_table(
    rules: &Rules,
    a_year: &Traced<Band<Length>>,
    later: &Traced<Band<VolumeRate>>,
) -> Result<Table, Error> {
    let of = &rules.growth;
    let mut rows = Vec::new();
    for time in &*of.months {
        let head = figure(format!("{MONTHS}.{}", rows.len() + 1), || *time);
        let (id, time) = (|name: &str| format!("{}.{name}", head.id()), head.value());
        let wide = figure(id("size"), || Band {
            low: size(*of.frag, a_year.low, *time),
            high: size(*of.frag, a_year.high, *time),
        });
        let sizes = wide.value();
        let between =
            figure(id("gap"), || Band { low: gap(*of.apart, sizes.high), high: gap(*of.apart, sizes.low) });
        let shade = figure(id("shade"), || Band {
            low: shaded(*of.apart, sizes.low),
            high: shaded(*of.apart, sizes.high),
        });
        let aim = figure(id("flow"), || {
            let aim = |size| flow_for(size, *of.frag, *of.colony, later.low, later.high);
            Band { low: aim(sizes.low), high: aim(sizes.high) }
        });
        let cells = vec![
            wide.says("at first + growth in a year × time").into(),
            between.says("how far apart − size, nothing at the least").into(),
            shade.says("π ÷ 4 × (size ÷ how far apart)², all of it at the most").into(),
            aim.says("low + (high − low) × share of its growth that a colony has made").into(),
        ];
        rows.push(Row { head: head.into(), cells });
    }
    Ok(Table::new(MONTHS, rows))
}

#[cfg(test)]
mod tests;
