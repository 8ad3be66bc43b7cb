//! Overflow edges: how thick the sheet of water is that runs over one.
//!
//! The law holds for a sharp, straight edge with air behind the falling sheet. In a tank the sheet is so thin
//! that the water's skin counts, and teeth narrow the edge: what comes out is an estimate.

use uom::si::f64::{Area, Frequency, Length, Volume, VolumeRate};

use super::formula;
use crate::error::{Error, within};
use crate::quantity::Dimension;
use crate::rules::weir::WeirRules;

/// What runs over an edge: `Q = c b h^1.5`, after Francis.
///
/// - `sheet`: height of the still water over the edge, from nothing to 1 m
/// - `edge`: its length, above nothing
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// The coefficient is from memory. The library fluids 1.3.1 gives 0.05841 m³/s for a sheet of 10 cm over an
/// edge of 1 m, half a metre above the floor, after Kindsvater and Carter; Francis comes within half a per cent:
/// ```
/// use reckoner_calc::{Rules, formulas::weir, quantity::{Dimension, parse}};
/// let rules = Rules::compiled_in().expect("the compiled-in rules are sound").weir;
/// let flow = weir::over_edge(parse("10 cm")?, parse("1 m")?, &rules)?;
/// assert!((flow.si() / 0.05841 - 1.0).abs() < 5e-3);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("c × edge × sheet^1.5")]
pub fn over_edge(sheet: Length, edge: Length, rules: &WeirRules) -> Result<VolumeRate, Error> {
    let sheet = within("the sheet over the edge", sheet, Length::from_si(0.0)..=Length::from_si(1.0))?;
    let edge = usable(edge)?;
    Ok(VolumeRate::from_si(rules.francis[0] * edge.si() * libm::pow(sheet.si(), 1.5)))
}

/// How thick the sheet over an edge gets: the inverse of [`over_edge`].
///
/// - `flow`: from nothing to 100 m³/h
///
/// # Errors
/// As [`over_edge`].
#[formula("(flow ÷ (c × edge))^(2 ÷ 3)")]
pub fn sheet(flow: VolumeRate, edge: Length, rules: &WeirRules) -> Result<Length, Error> {
    let flows = VolumeRate::from_si(0.0)..=VolumeRate::from_si(100.0 / 3600.0);
    let flow = within("the flow over the edge", flow, flows)?;
    let edge = usable(edge)?;
    Ok(Length::from_si(libm::pow(flow.si() / (rules.francis[0] * edge.si()), 2.0 / 3.0)))
}

fn usable(edge: Length) -> Result<Length, Error> {
    within("the length of the edge", edge, Length::from_si(1e-3)..=Length::from_si(20.0))
}

/// How far a level rises when so much water comes on top.
#[formula("water ÷ floor")]
pub fn rise(water: Volume, floor: Area) -> Length {
    water / floor
}

/// How often a flow changes the water of a chamber.
#[formula("flow ÷ water")]
pub fn changes(flow: VolumeRate, water: Volume) -> Frequency {
    flow / water
}

#[cfg(test)]
mod tests;
