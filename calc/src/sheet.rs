//! A sheet: all figures, workings and tables of one tank.
//!
//! A figure is one reckoned quantity with an id such as `tank.water`, the formula and rules it came from, and
//! the way it must be rounded. [`Sheet::reckon`] is the list of topics that put figures on it.

mod atlas;
mod chart;
mod drawing;
mod figures;
mod id;
pub mod nomogram;
mod origin;
mod reckoned;
mod sides;
mod table;
mod working;

use std::collections::BTreeSet;
use std::sync::Arc;

pub use atlas::{Atlas, DrawnShape};
pub use chart::{Axis, BandArea, Chart, Level, Line, Step};
pub use drawing::{DrawnStream, DrawnZone, Layout, MapCell, SpeedMap, Stretch, Timeline, TimelineRow};
pub use figures::{ASSUMED, Figure, Value};
pub use id::Id;
use nomogram::Nomogram;
pub use origin::Origin;
pub(crate) use reckoned::{Names, Reckoned, figure, try_figure};
pub use table::{Cell, Row, Table};
pub use working::{Item, Op, Sum, Working};

use crate::error::Error;
use crate::name::Name;
use crate::ordered::{Map, place};
use crate::rules::words::Words;
use crate::rules::{RuleValue, Rules, Trust};
use crate::tank::Tank;
use crate::trace;

/// All figures, workings and tables of one tank under one set of rules.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// The tank's name.
    pub name: String,
    /// One sentence about the tank.
    pub about: String,
    figures: Vec<Figure>,
    /// The places of the figures in the order of their ids.
    index: Vec<usize>,
    /// The worked examples by id.
    pub workings: Map<&'static str, Working>,
    /// The tables by id.
    pub tables: Map<&'static str, Table>,
    /// The charts by id.
    pub charts: Map<&'static str, Chart>,
    /// The tank drawings by id.
    pub layouts: Map<&'static str, Layout>,
    /// The maps of speeds by id.
    pub maps: Map<&'static str, SpeedMap>,
    /// The nomograms by id.
    pub nomograms: Map<&'static str, Nomogram>,
    /// The days by id.
    pub timelines: Map<&'static str, Timeline>,
    /// What is wrong, or may be, in the order of the topics: each as a reader is told it beside the figures.
    pub warnings: Vec<String>,
    lacks: Map<String, String>,
    sides: sides::Sides,
    words: Arc<Words>,
}

/// Gives a figure the title of its id, unless its topic gave it one.
fn entitle(figure: &mut Figure, words: &Words) {
    if figure.title.is_empty() {
        words.title(&figure.id).clone_into(&mut figure.title);
    }
}

impl Sheet {
    /// A sheet on which nothing stands yet.
    pub(crate) fn empty(rules: &Rules, tank: &Tank) -> Self {
        Sheet::named(rules, &tank.name, &tank.about)
    }

    /// The same for what is no reader's tank.
    pub(crate) fn named(rules: &Rules, name: &str, about: &str) -> Self {
        Sheet {
            name: name.to_owned(),
            about: about.to_owned(),
            figures: Vec::new(),
            index: Vec::new(),
            workings: Map::default(),
            tables: Map::default(),
            charts: Map::default(),
            layouts: Map::default(),
            maps: Map::default(),
            nomograms: Map::default(),
            timelines: Map::default(),
            warnings: Vec::new(),
            sides: sides::Sides::default(),
            lacks: Map::default(),
            words: rules.words.clone(),
        }
    }

    /// Puts what a topic has to say on the sheet.
    ///
    /// # Errors
    /// Those of the topic.
    pub(crate) fn topic(&mut self, put: impl FnOnce(&mut Sheet) -> Result<(), Error>) -> Result<(), Error> {
        trace::record(|| put(self)).0
    }

    /// Makes the sheet ready for its readers, when all topics have had their say.
    ///
    /// # Errors
    /// A figure that came out as no number.
    pub(crate) fn finish(mut self, rules: &Rules) -> Result<Self, Error> {
        self.name_rules(rules);
        self.weigh(rules);
        self.all_finite()?;
        self.settle();
        self.all_known()?;
        Ok(self)
    }

    /// Each figure that a worked example names stands on the sheet.
    fn all_known(&self) -> Result<(), Error> {
        let named = self.workings.values().flat_map(|working| {
            working.given.iter().map(String::as_str).chain([working.answer]).map(move |id| (working.id, id))
        });
        match { named }.find(|(_, id)| self.any_figure(id).is_none()) {
            None => Ok(()),
            Some((working, id)) => {
                let why =
                    format!("the worked example `{working}` names `{id}`, which is no figure of the sheet");
                Err(Error::NoAnswer { what: "a figure of a worked example", why })
            }
        }
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

    /// What the figure of the given id is.
    pub(crate) fn title<'s>(&'s self, id: &'s str) -> &'s str {
        self.words.title(id)
    }

    /// The figures in the order in which they were reckoned.
    pub fn figures(&self) -> &[Figure] {
        &self.figures
    }

    /// The figure with the given id.
    pub fn figure(&self, id: &str) -> Option<&Figure> {
        trace::note_figure(id);
        self.place(id).ok().map(|at| &self.figures[self.index[at]])
    }

    /// Where a figure stands in the index, or would stand.
    fn place(&self, id: &str) -> Result<usize, usize> {
        place(self.index.len(), &|at| &self.figures[self.index[at]].id, id)
    }

    /// The rules behind some figures and rules: those themselves, and those of all that went into the
    /// figures.
    ///
    /// - `rules`, `figures`: ids, such as those of an [`Origin`] or a [`Figure`]; cells of tables count as
    ///   figures
    pub fn behind(&self, rules: &[Name], figures: &[Name]) -> BTreeSet<Name> {
        let mut found: BTreeSet<_> = rules.iter().cloned().collect();
        let mut open: Vec<&str> = figures.iter().map(|id| &**id).collect();
        let mut seen = BTreeSet::new();
        while let Some(id) = open.pop() {
            if let Some(figure) = self.any_figure(id).filter(|_| seen.insert(id)) {
                found.extend(figure.rules.iter().cloned());
                open.extend(figure.inputs.iter().map(|id| &**id));
            }
        }
        found
    }

    /// The figure or the cell of a table with the given id.
    pub fn any_figure(&self, id: &str) -> Option<&Figure> {
        let of_sheet = self.place(id).ok().map(|at| &self.figures[self.index[at]]);
        of_sheet.or_else(|| self.tables.get(id.split('.').next()?)?.figures().find(|figure| figure.id == id))
    }

    fn put_figure(&mut self, mut figure: Figure) {
        entitle(&mut figure, &self.words);
        let place = self.place(&figure.id);
        debug_assert!(place.is_err(), "two figures called {}", figure.id);
        match place {
            Ok(at) => self.index[at] = self.figures.len(),
            Err(at) => self.index.insert(at, self.figures.len()),
        }
        self.figures.push(figure);
    }

    /// Adds a table; what `make` reads is what it was made from.
    ///
    /// # Errors
    /// Those of `make`.
    pub(crate) fn tabulate(&mut self, make: impl FnOnce() -> Result<Table, Error>) -> Result<(), Error> {
        let (table, trace) = trace::record(make);
        let mut table = table?;
        table.say(&self.words);
        self.tables.insert(table.id, Table { origin: Origin::of(trace), ..table });
        Ok(())
    }

    /// Adds a chart; what `make` reads is what it was made from.
    ///
    /// # Errors
    /// Those of `make`.
    pub(crate) fn plot(&mut self, make: impl FnOnce() -> Result<Chart, Error>) -> Result<(), Error> {
        let (chart, trace) = trace::record(make);
        let mut chart = chart?;
        chart.say(&self.words);
        self.charts.insert(chart.id, Chart { origin: Origin::of(trace), ..chart });
        Ok(())
    }

    /// Adds something of another topic to a chart, if it is there; what `change` reads is then behind the
    /// chart too.
    pub(crate) fn add_to_chart(&mut self, id: &str, change: impl FnOnce(Chart) -> Chart) {
        if let Some(chart) = self.charts.remove(id) {
            let (chart, trace) = trace::record(|| change(chart));
            self.charts.insert(chart.id, Chart { origin: chart.origin.and(&trace), ..chart });
        }
    }

    /// Adds a drawing of the tank; what `make` reads is what it was made from.
    ///
    /// # Errors
    /// Those of `make`.
    pub(crate) fn draw(&mut self, make: impl FnOnce() -> Result<Layout, Error>) -> Result<(), Error> {
        let (layout, trace) = trace::record(make);
        let mut layout = layout?;
        layout.say(&self.words);
        self.layouts.insert(layout.id, Layout { origin: Origin::of(trace), ..layout });
        Ok(())
    }

    /// Adds a map of speeds; what `make` reads is what it was made from.
    ///
    /// # Errors
    /// Those of `make`.
    pub(crate) fn map(&mut self, make: impl FnOnce() -> Result<SpeedMap, Error>) -> Result<(), Error> {
        let (map, trace) = trace::record(make);
        let map = map?;
        self.maps.insert(map.id, SpeedMap { origin: Origin::of(trace), ..map });
        Ok(())
    }

    /// Adds a nomogram; what `make` reads is what it was made from.
    ///
    /// # Errors
    /// Those of `make`.
    pub(crate) fn nomogram(&mut self, make: impl FnOnce() -> Result<Nomogram, Error>) -> Result<(), Error> {
        let (nomogram, trace) = trace::record(make);
        let mut nomogram = nomogram?;
        nomogram.say(&self.words);
        self.nomograms.insert(nomogram.id, Nomogram { origin: Origin::of(trace), ..nomogram });
        Ok(())
    }

    /// Adds a day; what `make` reads is what it was made from.
    ///
    /// # Errors
    /// Those of `make`.
    pub(crate) fn schedule(&mut self, make: impl FnOnce() -> Result<Timeline, Error>) -> Result<(), Error> {
        let (timeline, trace) = trace::record(make);
        let mut timeline = timeline?;
        timeline.say(&self.words);
        self.timelines.insert(timeline.id, Timeline { origin: Origin::of(trace), ..timeline });
        Ok(())
    }

    /// Adds a worked example, where there is one. What is given is what its answer was reckoned from; what the
    /// example itself reads counts for nothing else.
    pub(crate) fn work<W: Into<Option<Working>>>(&mut self, working: impl FnOnce() -> W) {
        let (working, _) = trace::record(working);
        if let Some(mut working) = working.into() {
            working.say(&self.words);
            self.workings.insert(working.id, working);
        }
    }

    /// Tells the rules that were read by their ids.
    fn name_rules(&mut self, rules: &Rules) {
        let cells = self.tables.values_mut().flat_map(Table::figures_mut);
        for figure in self.figures.iter_mut().chain(cells) {
            figure.rules = origin::names(&figure.trace, rules);
        }
        self.tables.values_mut().for_each(|table| table.origin.name(rules));
        self.charts.values_mut().for_each(|chart| chart.origin.name(rules));
        self.layouts.values_mut().for_each(|layout| layout.origin.name(rules));
        self.maps.values_mut().for_each(|map| map.origin.name(rules));
        self.nomograms.values_mut().for_each(|nomogram| nomogram.origin.name(rules));
        self.timelines.values_mut().for_each(|timeline| timeline.origin.name(rules));
        let given: Vec<_> = self.workings.values().map(|working| self.given(working)).collect();
        for (working, given) in self.workings.values_mut().zip(given) {
            working.given = given;
        }
    }

    /// Tells each figure the least firm of what it rests on. Most figures read only what stands before them, so
    /// few rounds do.
    fn weigh(&mut self, rules: &Rules) {
        let cells = self.tables.values_mut().flat_map(Table::figures_mut);
        for figure in self.figures.iter_mut().chain(cells) {
            let read = figure.trace.rules().filter_map(|place| rules.all.get(place));
            figure.trust = read.map(|rule| rule.basis.trust()).max();
        }
        loop {
            let mut moved = false;
            let mut weigh = |own: Option<Trust>, weakest: Option<Trust>| {
                moved |= weakest > own;
                own.max(weakest)
            };
            for at in 0..self.figures.len() {
                self.figures[at].trust = weigh(self.figures[at].trust, self.inputs_trust(&self.figures[at]));
            }
            let of_cells: Vec<_> =
                self.tables.values().flat_map(Table::figures).map(|cell| self.inputs_trust(cell)).collect();
            for (cell, weakest) in self.tables.values_mut().flat_map(Table::figures_mut).zip(of_cells) {
                cell.trust = weigh(cell.trust, weakest);
            }
            if !moved {
                return;
            }
        }
    }

    /// The least firm of the figures that went into one.
    fn inputs_trust(&self, figure: &Figure) -> Option<Trust> {
        figure.inputs.iter().filter_map(|id| self.any_figure(id)?.trust).max()
    }

    /// What is given in a worked example: what its topic lists, or what its answer was reckoned from.
    fn given(&self, working: &Working) -> Vec<String> {
        let (true, Some(answer)) = (working.given.is_empty(), self.any_figure(working.answer)) else {
            return working.given.clone();
        };
        let of_rules =
            answer.rules.iter().map(|rule| format!("rule.{rule}")).filter(|rule| self.place(rule).is_ok());
        answer.inputs.iter().map(|id| id.to_string()).chain(of_rules).collect()
    }

    /// Says why this tank lacks a part: the id of a figure, table, working, chart, layout, map, nomogram or timeline, or the
    /// beginning of figure ids up to a dot (`battery` covers `battery.hours`). The reason is a whole sentence
    /// for a beginner, which names the tank and says what to write in its file to get the part. The first
    /// reason given for a part stands.
    pub(crate) fn lack(&mut self, part: impl Into<String>, why: impl Into<String>) {
        let part = part.into();
        debug_assert!(!part.is_empty() && !part.ends_with('.'), "`{part}` is no part of a sheet");
        if !self.lacks.contains_key(&part) {
            self.lacks.insert(part, why.into());
        }
    }

    /// Tells a reader of something that is wrong, or may be.
    pub(crate) fn warn(&mut self, words: impl Into<String>) {
        self.warnings.push(words.into());
    }

    /// Why this tank lacks the part with the given id, if a topic left it out and said so; the closest part
    /// that covers it counts.
    pub fn lacking(&self, id: &str) -> Option<&str> {
        let ends = id.match_indices('.').map(|(at, _)| at).chain([id.len()]).rev();
        ends.map(|end| &id[..end]).find_map(|part| self.lacks.get(part)).map(String::as_str)
    }

    /// All parts that this tank lacks, and why, by id.
    pub fn lacks(&self) -> impl Iterator<Item = (&str, &str)> {
        self.lacks.iter().map(|(part, why)| (part.as_str(), why.as_str()))
    }

    /// Every rule that has a value a page can print is a figure too: `rule.turnover.fish_only`.
    pub(crate) fn put_rules(&mut self, rules: &Rules) {
        for (place, rule) in rules.all.iter().enumerate() {
            let value = match &rule.value {
                RuleValue::One(value) => Value::One(*value),
                RuleValue::Band(low, high) => Value::Range(*low, *high),
                RuleValue::List(_) => continue,
            };
            let id = format!("rule.{}", rule.id);
            let ((), trace) = trace::record(|| trace::note_rule(place));
            self.put(Figure { trace, ..Figure::new(id, rule.title.clone(), value) });
        }
    }
}
