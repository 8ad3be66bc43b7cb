//! A nomogram as data: two scales, and between them the one of their product. A ruler laid across reads it off.

use super::chart::{Axis, fill};
use super::origin::Origin;
use crate::quantity::Quantity;
use crate::rules::words::Words;

/// A nomogram: what stands on its left scale times what stands on its right one is on the one between them.
#[derive(Debug, Clone, PartialEq)]
pub struct Nomogram {
    /// Its id, for instance `flow`.
    pub id: &'static str,
    /// What it shows, as its caption.
    pub title: String,
    /// What a reader who can not see it is told.
    pub description: String,
    /// The left scale; none of the scales begins at nothing.
    pub left: Axis,
    /// The right scale.
    pub right: Axis,
    /// The scale between them.
    pub product: Axis,
    /// Stretches of the right scale, each with its name, its low and its high end in SI.
    pub bands: Vec<(String, f64, f64)>,
    /// One reading as an example: on the left, on the right, and between.
    pub example: [Quantity; 3],
    /// What it was reckoned from.
    pub origin: Origin,
}

impl Nomogram {
    /// Fills in the words that its topic did not give.
    pub(super) fn say(&mut self, words: &Words) {
        let Some(said) = words.picture(self.id) else { return };
        let own = [&mut self.title, &mut self.description, &mut self.left.label, &mut self.right.label];
        fill(own, [&said.title, &said.description, &said.x, &said.y]);
    }
}

/// How many powers of ten a scale spans.
pub fn span(axis: &Axis) -> f64 {
    libm::log10(axis.to / axis.from)
}

/// How far up its scale a value stands, from 0 to 1: equal ways are equal ratios.
pub fn share(axis: &Axis, value: f64) -> f64 {
    libm::log10(value / axis.from) / span(axis)
}
