//! The atlas as data: tanks of several shapes, and for each the maps of its floor with the rock stacked in
//! several ways.

use uom::si::f64::Length;

use super::Sheet;
use crate::formulas::volume::Outline;

/// The atlas of shapes and rock. It is about no reader's tank.
#[derive(Debug, Clone)]
pub struct Atlas {
    /// What its picture shows, as its caption.
    pub title: String,
    /// Its figures, tables and maps.
    pub sheet: Sheet,
    /// Its shapes, in their order.
    pub shapes: Vec<DrawnShape>,
}

/// A tank of the atlas as it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnShape {
    /// What it is called.
    pub name: String,
    /// Its floor plan, inside the glass.
    pub outline: Outline,
    /// Depth of the chamber behind its back wall, if it has one.
    pub chamber: Length,
    /// Whether only its left end stands to a wall of the room.
    pub is_divider: bool,
    /// Its maps: the name of the rockwork, and the id of the map on the sheet.
    pub maps: Vec<(String, &'static str)>,
}
