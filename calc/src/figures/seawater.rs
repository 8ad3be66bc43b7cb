//! The water on the sheet, and what instruments read in it.

use super::ids::seawater as id;
use crate::error::Error;
use crate::formulas::seawater::{Convention, density, kinematic_viscosity, salinity, specific_gravity};
use crate::quantity::{Rounding, Salinity, show};
use crate::rules::Rules;
use crate::sheet::{Row, Sheet, Table, figure, try_figure};
use crate::tank::Tank;
use crate::trace::Traced;

/// Adds the figures of this topic: `seawater.…`.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let temperature = figure(id::TEMPERATURE, || *tank.temperature);
    let temperature = sheet.put(temperature.assumes(tank, "water.temperature"));
    let salinity = figure(id::SALINITY, || *tank.salinity);
    let salinity = sheet.put(salinity.assumes(tank, "water.salinity"));
    sheet.put(try_figure(id::DENSITY, || density(*salinity, *temperature, &rules.seawater))?);
    let viscosity = || kinematic_viscosity(*salinity, *temperature, &rules.seawater);
    sheet.put(try_figure(id::VISCOSITY, viscosity)?);
    sheet.tabulate(|| gravity_table(&salinity, rules))
}

/// What instruments of each marking read in this water, and the salinity that a usual reading means on each.
fn gravity_table(tank: &Traced<Salinity>, rules: &Rules) -> Result<Table, Error> {
    let (rules, words) = (&rules.seawater, &rules.words.seawater);
    let mut rows = Vec::new();
    for convention in Convention::usual() {
        let head = figure(format!("seawater_gravity.{}", rows.len() + 1), || convention.sample);
        let id = |key: &str| format!("{}.{key}", head.id());
        let water = figure(id("water"), || convention.water);
        let marked = (head.value(), water.value());
        let convention = || Convention { sample: *marked.0, water: *marked.1 };
        let reads = || specific_gravity(**tank, convention(), rules);
        let reads = try_figure(id("reads"), reads)?;
        let mut cells = vec![water.into(), reads.into()];
        for at in 0..rules.usual_readings.len() {
            let means = || salinity(rules.usual_readings[at], convention(), rules);
            let means = try_figure(id(&format!("means_{}", at + 1)), means)?;
            cells.push(means.titled(words.salinity_meant()).into());
        }
        rows.push(Row { head: head.into(), cells });
    }
    let heads = [words.sample_at(), words.pure_water_at(), words.reads_in_this_tank()];
    let mut heads: Vec<_> = heads.map(str::to_owned).into();
    let means = |reading| words.salinity_where_it_reads(show(reading, Rounding::Nearest));
    heads.extend(rules.usual_readings.iter().map(|reading| means((*reading).into())));
    Ok(Table::new("seawater_gravity", rows).headed(heads))
}
