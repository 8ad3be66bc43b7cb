//! What the reader measured, on the sheet: first, so that other topics take it in the place of what they
//! reckon; and at the end beside that.

use uom::si::f64::Ratio;

use super::ids::{fit, measured as id};
use crate::catalogue::Catalogue;
use crate::decide::measured::{Beside, beside as beside_of, crumb_speed, middle, within};
use crate::error::Error;
use crate::formulas::measured::{flow_of, louder_by, period_of, ratio_of, speed_of};
use crate::quantity::{Dimension, SoundLevel};
use crate::rules::measured::MeasuredRules;
use crate::rules::{Band, Rules};
use crate::sheet::{Cell, Id, Row, Sheet, Table, figure, try_figure};
use crate::tank::{Measured, Tank};
use crate::trace::Traced;
use crate::words::sentence_case;

/// How a figure is found that was measured.
pub(super) const AS_MEASURED: &str = "as measured";

/// The table of all that was measured.
const BESIDE: &str = "measured_beside";

/// Adds what was measured: `measured.…`.
pub(crate) fn figures(sheet: &mut Sheet, tank: &Tank) -> Result<(), Error> {
    let Measured { bucket, return_power, crumb, swings, dawn_oxygen, pillow, top_up } = &tank.measured;
    if let Some((water, time)) = *bucket {
        sheet.put(try_figure(id::FLOW, || flow_of(water, time))?);
    }
    if let Some(power) = *return_power {
        sheet.put(figure(id::POWER, || power));
    }
    if let Some(crumb) = crumb {
        sheet.put(try_figure(id::CRUMB, || speed_of(crumb.to - crumb.from, crumb.time))?);
    }
    if let Some((swings, time)) = *swings {
        sheet.put(try_figure(id::SWING, || period_of(swings, time))?);
    }
    if let Some(oxygen) = *dawn_oxygen {
        sheet.put(figure(id::OXYGEN, || oxygen));
    }
    if let Some(level) = *pillow {
        sheet.put(figure(id::PILLOW, || level));
    }
    if let Some(water) = *top_up {
        sheet.put(figure(id::TOP_UP, || water));
    }
    Ok(())
}

/// Puts what was measured beside what was reckoned, when all topics have had their say.
pub(crate) fn beside(
    sheet: &mut Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
) -> Result<(), Error> {
    let words = &rules.words.measured;
    if tank.measured == Measured::default() {
        for part in ["measured", BESIDE] {
            sheet.lack(part, words.nothing_measured(&tank.name));
        }
        return Ok(());
    }
    if let Some(crumb) = &tank.measured.crumb {
        let speed = Traced::ok(|| crumb_speed(crumb, tank, catalogue, &rules.stream))?;
        if let Some(speed) = speed.transpose() {
            let speed = figure(id::CRUMB_RECKONED, || *speed);
            sheet.put(speed.says("way ÷ time that a crumb takes in the middle of the stream × spread"));
        }
    }
    if let (Some(_), Some(sound)) = (tank.measured.pillow, sheet.maybe(fit::SOUND)) {
        sheet.put(figure(id::PILLOW_RECKONED, || *sound).says("as the pumps are set"));
    }
    let mut told = Told { sheet, rules, tank, rows: Vec::new() };
    let says = [words.flow(), words.flow_less(), words.flow_near(), words.flow_more()];
    told.put("flow", (id::FLOW, id::FLOW_RECKONED, id::FLOW_RATIO, id::FLOW_SAYS), by_factor, says)?;
    let says = [words.power(), words.power_less(), words.power_near(), words.power_more()];
    told.put("power", (id::POWER, id::POWER_RECKONED, id::POWER_RATIO, id::POWER_SAYS), by_factor, says)?;
    let says = [words.crumb(), words.crumb_less(), words.crumb_near(), words.crumb_more()];
    told.put("crumb", (id::CRUMB, id::CRUMB_RECKONED, id::CRUMB_RATIO, id::CRUMB_SAYS), by_factor, says)?;
    let says = [words.swing(), words.swing_less(), words.swing_near(), words.swing_more()];
    told.put("swing", (id::SWING, id::SWING_RECKONED, id::SWING_RATIO, id::SWING_SAYS), by_factor, says)?;
    let says = [words.oxygen(), words.oxygen_less(), words.oxygen_near(), words.oxygen_more()];
    told.put(
        "oxygen",
        (id::OXYGEN, id::OXYGEN_RECKONED, id::OXYGEN_RATIO, id::OXYGEN_SAYS),
        by_factor,
        says,
    )?;
    let says = [words.pillow(), words.pillow_less(), words.pillow_near(), words.pillow_more()];
    told.put("pillow", (id::PILLOW, id::PILLOW_RECKONED, id::PILLOW_RATIO, id::PILLOW_SAYS), by_level, says)?;
    let says = [words.top_up(), words.top_up_less(), words.top_up_near(), words.top_up_more()];
    told.put(
        "top_up",
        (id::TOP_UP, id::TOP_UP_RECKONED, id::TOP_UP_RATIO, id::TOP_UP_SAYS),
        by_factor,
        says,
    )?;
    let Told { sheet, rows, .. } = told;
    sheet.tabulate(|| Ok(Table::new(BESIDE, rows)))
}

/// The ids of one thing that can be measured: it, what is reckoned, their ratio, and what that may mean.
type Ids<D> = (Id<D>, Id<Band<D>>, Id<Ratio>, Id<String>);

/// How far apart two are, and whether that can be by chance; `None` where nothing was reckoned to be.
type Apart<D> = fn(D, Band<D>, &MeasuredRules) -> Result<Option<(Ratio, Beside)>, Error>;

fn by_factor<D: Dimension>(
    measured: D,
    reckoned: Band<D>,
    rules: &MeasuredRules,
) -> Result<Option<(Ratio, Beside)>, Error> {
    let Some(middle) = middle(reckoned) else { return Ok(None) };
    Ok(Some((ratio_of(measured.si(), middle)?, beside_of(measured, reckoned, *rules.near))))
}

fn by_level(
    measured: SoundLevel,
    reckoned: Band<SoundLevel>,
    rules: &MeasuredRules,
) -> Result<Option<(Ratio, Beside)>, Error> {
    let (near, low, high) = (rules.near_sound.0, reckoned.low.0, reckoned.high.0);
    let ratio = louder_by(measured, SoundLevel((low + high) / 2.0));
    Ok(Some((ratio, within(measured.0, low - near, high + near))))
}

/// What was told so far.
struct Told<'a> {
    sheet: &'a mut Sheet,
    rules: &'a Rules,
    tank: &'a Tank,
    rows: Vec<Row>,
}

impl Told<'_> {
    /// Tells of one thing, or why not.
    ///
    /// - `says`: what it is, and what it may mean to be less, near or more
    fn put<D: Dimension>(
        &mut self,
        key: &str,
        (measured, reckoned, ratio, meaning): Ids<D>,
        apart: Apart<D>,
        [what, less, near, more]: [&str; 4],
    ) -> Result<(), Error> {
        let (sheet, words) = (&mut *self.sheet, &self.rules.words.measured);
        let (own, sums) = (sheet.maybe(measured), sheet.maybe(reckoned));
        let how = match (&own, &sums) {
            (Some(own), Some(sums)) => Traced::ok(|| apart(**own, **sums, &self.rules.measured))?.transpose(),
            _ => None,
        };
        let (Some(own), Some(sums), Some(how)) = (&own, &sums, how) else {
            let why = match own {
                None => words.not_measured(&self.tank.name, what),
                Some(_) => words.not_reckoned(&self.tank.name, what),
            };
            for part in [measured.name(), reckoned.name(), ratio.name(), meaning.name()] {
                if sheet.any_figure(part).is_none() {
                    sheet.lack(part, &*why);
                }
            }
            return Ok(());
        };
        let times = sheet.put(figure(ratio, || how.0).says("measured ÷ reckoned"));
        let meant = sheet.put(figure(meaning, || {
            let says = match how.1 {
                Beside::Less => less,
                Beside::Near => near,
                Beside::More => more,
            };
            says.to_owned()
        }));
        let id = |name: &str| format!("{BESIDE}.{key}.{name}");
        let cells = vec![
            figure(id("measured"), || **own).into(),
            figure(id("reckoned"), || **sums).into(),
            figure(id("ratio"), || *times).into(),
            figure(id("says"), || (*meant).clone()).into(),
        ];
        self.rows.push(Row { head: Cell::Words(sentence_case(what)), cells });
        Ok(())
    }
}

#[cfg(test)]
mod tests;
