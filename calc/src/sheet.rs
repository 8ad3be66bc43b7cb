//! A sheet: all figures, workings and tables of one tank.
//!
//! A figure is one reckoned quantity with an id such as `tank.water`, the formula and rules it came from, and the way it must be
//! rounded. Each topic adds its own: [`Sheet::reckon`] is the list of topics, in the order in which they build on each other.

mod chart;
mod drawing;
mod figures;
mod sides;
mod table;
mod working;

use std::collections::BTreeMap;

pub use chart::{Axis, BandArea, Chart, Level, Line, Step};
pub use drawing::{DrawnStream, Layout, Stretch, Timeline, TimelineRow};
pub use figures::{ASSUMED, Figure, Value};
pub use table::{Cell, Row, Table};
pub use working::{Item, Op, Sum, Working};

use crate::catalogue::Catalogue;
use crate::error::Error;
use crate::rules::{RuleValue, Rules};
use crate::seawater;
use crate::tank::Tank;

/// All figures, workings and tables of one tank under one set of rules.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// The tank's name.
    pub name: String,
    /// One sentence about the tank.
    pub about: String,
    figures: Vec<Figure>,
    index: BTreeMap<String, usize>,
    /// The worked examples by id.
    pub workings: BTreeMap<&'static str, Working>,
    /// The tables by id.
    pub tables: BTreeMap<&'static str, Table>,
    /// The charts by id.
    pub charts: BTreeMap<&'static str, Chart>,
    /// The tank drawings by id.
    pub layouts: BTreeMap<&'static str, Layout>,
    /// The days by id.
    pub timelines: BTreeMap<&'static str, Timeline>,
    lacks: BTreeMap<String, String>,
    sides: sides::Sides,
}

impl Sheet {
    /// Reckons everything. A catalogue without pumps leaves out the plan.
    ///
    /// # Errors
    /// The first formula that has no answer for this tank, with the reason.
    pub fn reckon(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Self, Error> {
        let mut sheet = Sheet {
            name: tank.name.clone(),
            about: tank.about.clone(),
            figures: Vec::new(),
            index: BTreeMap::new(),
            workings: BTreeMap::new(),
            tables: BTreeMap::new(),
            charts: BTreeMap::new(),
            layouts: BTreeMap::new(),
            timelines: BTreeMap::new(),
            sides: sides::Sides::default(),
            lacks: BTreeMap::new(),
        };
        sheet.put_rules(rules);
        crate::assumed::figures(&mut sheet, tank)?;
        crate::seawater::figures(&mut sheet, rules, tank)?;
        crate::volume::figures(&mut sheet, rules, tank)?;
        crate::glass::figures(&mut sheet, rules, tank)?;
        crate::turnover::figures(&mut sheet, rules, tank)?;
        crate::mixing::figures(&mut sheet, rules, tank)?;
        crate::oxygen::figures(&mut sheet, rules, tank)?;
        crate::upkeep::figures(&mut sheet, rules, tank)?;
        crate::power::figures(&mut sheet, rules, tank)?;
        crate::return_line::figures(&mut sheet, rules, tank)?;
        crate::sound::figures(&mut sheet, rules, catalogue, tank)?;
        let (salinity, temperature) = (tank.water.salinity, tank.water.temperature);
        let density = seawater::density(salinity, temperature, &rules.seawater)?;
        let viscosity = seawater::kinematic_viscosity(salinity, temperature, &rules.seawater)?;
        crate::stream::figures(&mut sheet, rules, tank, viscosity)?;
        crate::sand::figures(&mut sheet, rules, tank, density, viscosity)?;
        crate::settling::figures(&mut sheet, rules, tank, density, viscosity)?;
        crate::speeds::figures(&mut sheet, rules, tank)?;
        crate::waves::figures(&mut sheet, rules, tank)?;
        crate::plan::figures(&mut sheet, rules, catalogue, tank)?;
        crate::upkeep::several(&mut sheet, tank);
        crate::circuit::figures(&mut sheet, rules, catalogue, tank)?;
        crate::cost::figures(&mut sheet, rules, catalogue, tank)?;
        crate::fit::figures(&mut sheet, rules, catalogue, tank)?;
        crate::upgrade::figures(&mut sheet, rules, catalogue, tank)?;
        crate::team::figures(&mut sheet, rules, catalogue, tank)?;
        crate::programme::figures(&mut sheet, rules, catalogue, tank)?;
        crate::power_cut::figures(&mut sheet, rules, catalogue, tank)?;
        sheet.all_finite()?;
        sheet.settle();
        Ok(sheet)
    }

    /// No NaN and no infinity leaves this crate, whatever the rules and the tank.
    fn all_finite(&self) -> Result<(), Error> {
        let cells = self.tables.values().flat_map(Table::figures);
        let is_finite = |figure: &&Figure| match figure.value {
            Value::One(value) => value.si.is_finite(),
            Value::Range(low, high) => low.si.is_finite() && high.si.is_finite(),
            Value::Words(_) => true,
        };
        match self.figures.iter().chain(cells).find(|figure| !is_finite(figure)) {
            None => Ok(()),
            Some(figure) => {
                let why = format!(
                    "`{}` comes out as no number; check the measures of the tank, and the rules {}",
                    figure.id,
                    figure.rules.join(", ")
                );
                Err(Error::NoAnswer { what: "a figure of this tank", why })
            }
        }
    }

    /// The figures in the order in which they were reckoned.
    pub fn figures(&self) -> &[Figure] {
        &self.figures
    }

    /// The figure with the given id.
    pub fn figure(&self, id: &str) -> Option<&Figure> {
        self.index.get(id).map(|at| &self.figures[*at])
    }

    /// Adds a figure; a topic gives each id once.
    pub(crate) fn put(&mut self, figure: Figure) {
        debug_assert!(!self.index.contains_key(&figure.id), "two figures called {}", figure.id);
        self.index.insert(figure.id.clone(), self.figures.len());
        self.figures.push(figure);
    }

    /// Says why this tank lacks a part: the id of a figure, table, working, chart, layout or timeline, or the beginning of
    /// figure ids up to a dot (`battery` covers `battery.hours`). The reason is a whole sentence for a beginner, which names the tank and
    /// says what to write in its file to get the part. The first reason given for a part stands.
    pub(crate) fn lack(&mut self, part: &str, why: impl Into<String>) {
        debug_assert!(!part.is_empty() && !part.ends_with('.'), "`{part}` is no part of a sheet");
        self.lacks.entry(part.to_owned()).or_insert_with(|| why.into());
    }

    /// Why this tank lacks the part with the given id, if a topic left it out and said so; the closest part that covers it counts.
    pub fn lacking(&self, id: &str) -> Option<&str> {
        let ends = id.match_indices('.').map(|(at, _)| at).chain([id.len()]).rev();
        ends.map(|end| &id[..end]).find_map(|part| self.lacks.get(part)).map(String::as_str)
    }

    /// All parts that this tank lacks, and why, by id.
    pub fn lacks(&self) -> impl Iterator<Item = (&str, &str)> {
        self.lacks.iter().map(|(part, why)| (part.as_str(), why.as_str()))
    }

    /// Every rule that has a value a page can print is a figure too: `rule.turnover.fish_only`.
    fn put_rules(&mut self, rules: &Rules) {
        for rule in &rules.all {
            let value = match &rule.value {
                RuleValue::One(value) => Value::One(*value),
                RuleValue::Band(low, high) => Value::Range(*low, *high),
                RuleValue::List(_) => continue,
            };
            self.put(Figure::new(format!("rule.{}", rule.id), rule.title.clone(), value).rule(&rule.id));
        }
    }
}
