//! A chart as data: what its axes measure, and its lines and bands. How it looks is the book's.

use super::origin::Origin;
use crate::quantity::{Kind, Quantity, Rounding};
use crate::rules::words::Words;

/// A chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// Its id, for instance `stream_speed`.
    pub id: &'static str,
    /// What it shows, as its caption.
    pub title: String,
    /// What a reader who can not see it is told: the shape of the curves, in words.
    pub description: String,
    /// Along the bottom.
    pub x: Axis,
    /// Up the side.
    pub y: Axis,
    /// Areas between two curves, drawn first.
    pub bands: Vec<BandArea>,
    /// Curves.
    pub lines: Vec<Line>,
    /// Where its one curve goes in steps: each with its two ends in words, for the table of its values; else
    /// empty.
    pub steps: Vec<Step>,
    /// Levels to compare with: a limit, a wish.
    pub levels: Vec<Level>,
    /// To which side the values of its curves are rounded where they stand as numbers.
    pub rounding: Rounding,
    /// What it was reckoned from.
    pub origin: Origin,
}

/// An axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// What it measures, without the unit.
    pub label: String,
    /// Its kind: it decides the units of its marks.
    pub kind: Kind,
    /// Where it starts, in SI.
    pub from: f64,
    /// Where it ends, in SI.
    pub to: f64,
}

/// A curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its name, written beside its end.
    pub name: String,
    /// Its points from left to right, in SI.
    pub points: Vec<(f64, f64)>,
}

/// A step of a curve, level from one end to the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Where it begins, in words.
    pub from: String,
    /// Where it ends, in words.
    pub until: String,
    /// Its height, in SI.
    pub y: f64,
}

/// An area between a lower and an upper curve.
#[derive(Debug, Clone, PartialEq)]
pub struct BandArea {
    /// Its name, written inside its right end.
    pub name: String,
    /// Its points from left to right, in SI: where, lower, upper.
    pub points: Vec<(f64, f64, f64)>,
}

/// A level across the chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Level {
    /// Its name, written above it.
    pub name: String,
    /// The level on the y axis.
    pub at: Quantity,
}

impl Chart {
    /// Fills in the words that its topic did not give.
    pub(super) fn say(&mut self, words: &Words) {
        let Some(said) = words.picture(self.id) else { return };
        let own = [&mut self.title, &mut self.description, &mut self.x.label, &mut self.y.label];
        fill(own, [&said.title, &said.description, &said.x, &said.y]);
    }

    /// A chart without curves yet; what is written on it stands in the words of its topic, by its id, unless
    /// it is given.
    pub fn new(id: &'static str, x: Axis, y: Axis) -> Self {
        Chart {
            id,
            title: String::new(),
            description: String::new(),
            x,
            y,
            bands: Vec::new(),
            lines: Vec::new(),
            steps: Vec::new(),
            levels: Vec::new(),
            rounding: Rounding::Nearest,
            origin: Origin::default(),
        }
    }

    /// Gives it a title that is made of several parts.
    pub fn titled(self, title: impl Into<String>) -> Self {
        Chart { title: title.into(), ..self }
    }

    /// Its values are unsafe when they are printed too large, such as the oxygen that is left.
    pub fn never_above(mut self) -> Self {
        self.rounding = Rounding::Down;
        self
    }

    /// Adds a curve.
    pub fn line(mut self, name: impl Into<String>, points: Vec<(f64, f64)>) -> Self {
        self.lines.push(Line { name: name.into(), points });
        self
    }

    /// Tells the steps of its one curve.
    pub fn steps(mut self, steps: Vec<Step>) -> Self {
        self.steps = steps;
        self
    }

    /// Adds an area.
    pub fn band(mut self, name: impl Into<String>, points: Vec<(f64, f64, f64)>) -> Self {
        self.bands.push(BandArea { name: name.into(), points });
        self
    }

    /// Adds a level.
    pub fn level(mut self, name: impl Into<String>, at: impl Into<Quantity>) -> Self {
        self.levels.push(Level { name: name.into(), at: at.into() });
        self
    }
}

impl Axis {
    /// An axis from one value to another, in SI.
    pub fn new(kind: Kind, from: f64, to: f64) -> Self {
        Axis { label: String::new(), kind, from, to }
    }

    /// Gives it a label that its tank decides.
    pub fn labelled(self, label: impl Into<String>) -> Self {
        Axis { label: label.into(), ..self }
    }
}

/// Fills in what is empty.
pub(super) fn fill<const N: usize>(own: [&mut String; N], said: [&String; N]) {
    for (own, said) in own.into_iter().zip(said).filter(|(own, _)| own.is_empty()) {
        own.clone_from(said);
    }
}
