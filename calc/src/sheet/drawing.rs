//! Drawings as data: a tank from above and from the front with its streams, a map of its speeds, and a day as
//! a row of stretches.
//! How they look is the book's.

use uom::si::f64::Length;

use super::chart::fill;
use super::origin::Origin;
use crate::quantity::{Quantity, Share};
use crate::rules::words::Words;

/// A tank to scale, from above and from the front.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Its id, for instance `places`.
    pub id: &'static str,
    /// What it shows, as its caption.
    pub title: String,
    /// What a reader who can not see it is told.
    pub description: String,
    /// Inside the glass, from end to end.
    pub length: Length,
    /// Inside the glass, from front to back.
    pub width: Length,
    /// From the floor to the surface.
    pub water: Length,
    /// Depth of the sand.
    pub sand: Length,
    /// The streams of its pumps.
    pub streams: Vec<DrawnStream>,
    /// What it was reckoned from.
    pub origin: Origin,
}

/// A pump and the stream that leaves it.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnStream {
    /// The pump's name.
    pub name: String,
    /// Where it hangs: along, front to back, above the floor.
    pub from: [Length; 3],
    /// Where its stream ends: at the glass, or where it has become weak.
    pub to: [Length; 3],
    /// Half the width of the stream at its end.
    pub half_width: Length,
}

/// A cut through a tank to scale, with the zone of speeds at each of its places.
#[derive(Debug, Clone, PartialEq)]
pub struct SpeedMap {
    /// Its id, for instance `from_above`.
    pub id: &'static str,
    /// What it shows, as its caption.
    pub title: String,
    /// What a reader who can not see it is told.
    pub description: String,
    /// What stands above it: from where the tank is seen.
    pub view: String,
    /// From left to right, and from front to back or from the floor to the surface.
    pub size: [Length; 2],
    /// How many cells stand in a row.
    pub columns: usize,
    /// Its cells row by row, from the front or the floor, each row from the left.
    pub cells: Vec<MapCell>,
    /// The zones, from still to strong.
    pub zones: Vec<DrawnZone>,
    /// The streams of its pumps, of which only this view is drawn: each with its name, from where and to
    /// where.
    pub streams: Vec<(String, [[Length; 2]; 2])>,
    /// What rock is called.
    pub rock: String,
    /// What it was reckoned from.
    pub origin: Origin,
}

/// What is at a place of a map.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MapCell {
    /// Water of this zone.
    Zone(usize),
    /// Rock.
    Rock,
    /// Sand, or no part of the tank.
    Outside,
}

/// A zone of speeds.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnZone {
    /// Whom it suits.
    pub name: String,
    /// From this speed.
    pub low: Quantity,
    /// Up to this one; the strongest has no end.
    pub high: Option<Quantity>,
    /// Its share of the water on the map.
    pub share: Share,
}

/// A day, from midnight to midnight, one row for each pump.
#[derive(Debug, Clone, PartialEq)]
pub struct Timeline {
    /// Its id, for instance `programme`.
    pub id: &'static str,
    /// What it shows, as its caption.
    pub title: String,
    /// What a reader who can not see it is told.
    pub description: String,
    /// When the lights go on and off, in minutes of the day.
    pub lights: (u16, u16),
    /// One row for each pump.
    pub rows: Vec<TimelineRow>,
    /// What it was reckoned from.
    pub origin: Origin,
}

/// What one pump does through the day.
#[derive(Debug, Clone, PartialEq)]
pub struct TimelineRow {
    /// The pump's name.
    pub name: String,
    /// Its stretches, in the order of the day.
    pub stretches: Vec<Stretch>,
}

/// A stretch of the day in which a pump does one thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// From this minute of the day.
    pub from: u16,
    /// Until this one; midnight is 1440.
    pub until: u16,
    /// What it does, in a word.
    pub word: String,
    /// The lowest setting in it.
    pub low: Share,
    /// The highest.
    pub high: Share,
}

impl Layout {
    /// Fills in the words that its topic did not give.
    pub(super) fn say(&mut self, words: &Words) {
        if let Some(said) = words.picture(self.id) {
            fill([&mut self.title, &mut self.description], [&said.title, &said.description]);
        }
    }
}

impl Timeline {
    /// Fills in the words that its topic did not give.
    pub(super) fn say(&mut self, words: &Words) {
        if let Some(said) = words.picture(self.id) {
            fill([&mut self.title, &mut self.description], [&said.title, &said.description]);
        }
    }
}
