//! The formulas by name, so that a check in the book can ask one of them with inputs of its own.

use crate::error::Error;
use crate::formulas::{Formula, Inputs};
use crate::glass;
use crate::quantity::{Dimension, Kind};

/// A pane full of water.
fn pane(inputs: &Inputs, rim: glass::Rim) -> Result<glass::Pane, Error> {
    Ok(glass::Pane { length: inputs.get("length")?, height: inputs.get("height")?, rim, water: inputs.get("water")? })
}

/// All formulas that a check can ask, by topic.
pub(crate) const FORMULAS: &[Formula] = &[
    Formula {
        name: "glass.stress",
        text: "",
        inputs: || vec![("length", Kind::Length), ("height", Kind::Length), ("pane", Kind::Length), ("water", Kind::Density)],
        output: Kind::Stress,
        reckon: |rules, inputs| Ok(pane(inputs, glass::Rim::Free)?.stress(inputs.get("pane")?, &rules.glass)?.into()),
    },
    Formula {
        name: "glass.stress_braced",
        text: "",
        inputs: || vec![("length", Kind::Length), ("height", Kind::Length), ("pane", Kind::Length), ("water", Kind::Density)],
        output: Kind::Stress,
        reckon: |rules, inputs| Ok(pane(inputs, glass::Rim::Braced)?.stress(inputs.get("pane")?, &rules.glass)?.into()),
    },
];

/// All formulas that a check can ask.
pub fn all() -> impl Iterator<Item = &'static Formula> {
    FORMULAS.iter().chain(crate::formulas::ALL)
}

/// The formula of the given name.
pub fn formula(name: &str) -> Option<&'static Formula> {
    all().find(|formula| formula.name == name)
}
