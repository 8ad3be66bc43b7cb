//! The water on the sheet, and what instruments read in it.

use super::ids::seawater as id;
use crate::error::Error;
use crate::formulas::seawater::{Convention, density, kinematic_viscosity, salinity, specific_gravity};
use crate::quantity::{Rounding, Salinity, show};
use crate::rules::Rules;
use crate::rules::seawater::SeawaterRules;
use crate::sheet::{Row, Sheet, Table, figure, try_figure};
use crate::tank::Tank;
use crate::trace::Traced;

/// Adds the figures of this topic: `seawater.…`.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let rules = &rules.seawater;
    let temperature = figure(id::TEMPERATURE, || *tank.temperature);
    let temperature = sheet.put(temperature.assumes(tank, "water.temperature"));
    let salinity = figure(id::SALINITY, || *tank.salinity);
    let salinity = sheet.put(salinity.assumes(tank, "water.salinity"));
    sheet.put(try_figure(id::DENSITY, || density(*salinity, *temperature, rules))?);
    let viscosity = || kinematic_viscosity(*salinity, *temperature, rules);
    sheet.put(try_figure(id::VISCOSITY, viscosity)?);
    sheet.tabulate(|| gravity_table(&salinity, rules))
}

/// What instruments of each marking read in this water, and the salinity that a usual reading means on each.
fn gravity_table(tank: &Traced<Salinity>, rules: &SeawaterRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for convention in Convention::usual() {
        let head = figure(format!("seawater_gravity.{}", rows.len() + 1), || convention.sample).titled("Temperature of the sample");
        let id = |key: &str| format!("{}.{key}", head.id());
        let water = figure(id("water"), || convention.water).titled("Temperature of the pure water");
        let marked = (head.value(), water.value());
        let convention = || Convention { sample: *marked.0, water: *marked.1 };
        let reads = || specific_gravity(**tank, convention(), rules);
        let reads = try_figure(id("reads"), reads)?.titled("Reading in this tank's water");
        let mut cells = vec![water.into(), reads.into()];
        for at in 0..rules.usual_readings.len() {
            let means = || salinity(rules.usual_readings[at], convention(), rules);
            cells.push(try_figure(id(&format!("means_{}", at + 1)), means)?.titled("Salinity that the reading means").into());
        }
        rows.push(Row { head: head.into(), cells });
    }
    let mut heads = ["Sample at", "Pure water at", "Reads in this tank"].map(str::to_owned).to_vec();
    let means = |reading| format!("Salinity where it reads {}", show(reading, Rounding::Nearest));
    heads.extend(rules.usual_readings.iter().map(|reading| means((*reading).into())));
    Ok(Table::new("seawater_gravity", rows).headed(heads))
}
