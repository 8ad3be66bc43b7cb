//! The formulas by name, so that a check in the book can ask one of them with inputs of its own.

use crate::error::Error;
use crate::formulas::{Formula, Inputs};
use crate::quantity::{Dimension, Kind, SoundLevel};
use crate::{glass, seawater, sound, volume};

/// A pane full of water.
fn pane(inputs: &Inputs, rim: glass::Rim) -> Result<glass::Pane, Error> {
    Ok(glass::Pane { length: inputs.get("length")?, height: inputs.get("height")?, rim, water: inputs.get("water")? })
}

/// All formulas that a check can ask, by topic.
pub(crate) const FORMULAS: &[Formula] = &[
    Formula {
        name: "volume.box",
        text: "",
        inputs: || vec![("length", Kind::Length), ("width", Kind::Length), ("height", Kind::Length)],
        output: Kind::Volume,
        reckon: |_, inputs| {
            let plan = volume::Plan::Box { length: inputs.get("length")?, width: inputs.get("width")? };
            let glass = volume::Glass::new(plan, inputs.get("height")?, Dimension::from_si(0.0), Dimension::from_si(0.0))?;
            Ok(glass.outside().into())
        },
    },
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
    Formula {
        name: "seawater.density",
        text: "",
        inputs: || vec![("salinity", Kind::Salinity), ("temperature", Kind::Temperature)],
        output: Kind::Density,
        reckon: |rules, inputs| Ok(seawater::density(inputs.get("salinity")?, inputs.get("temperature")?, &rules.seawater)?.into()),
    },
    Formula {
        name: "seawater.dynamic_viscosity",
        text: "",
        inputs: || vec![("salinity", Kind::Salinity), ("temperature", Kind::Temperature)],
        output: Kind::DynamicViscosity,
        reckon: |rules, inputs| {
            Ok(seawater::dynamic_viscosity(inputs.get("salinity")?, inputs.get("temperature")?, &rules.seawater)?.into())
        },
    },
    Formula {
        name: "seawater.kinematic_viscosity",
        text: "",
        inputs: || vec![("salinity", Kind::Salinity), ("temperature", Kind::Temperature)],
        output: Kind::KinematicViscosity,
        reckon: |rules, inputs| {
            Ok(seawater::kinematic_viscosity(inputs.get("salinity")?, inputs.get("temperature")?, &rules.seawater)?.into())
        },
    },
    Formula {
        name: "seawater.specific_gravity",
        text: "",
        inputs: || vec![("salinity", Kind::Salinity), ("sample", Kind::Temperature), ("water", Kind::Temperature)],
        output: Kind::SpecificGravity,
        reckon: |rules, inputs| {
            let convention = seawater::Convention { sample: inputs.get("sample")?, water: inputs.get("water")? };
            Ok(seawater::specific_gravity(inputs.get("salinity")?, convention, &rules.seawater)?.into())
        },
    },
    Formula {
        name: "sound.two_together",
        text: "",
        inputs: || vec![("first", Kind::SoundLevel), ("second", Kind::SoundLevel)],
        output: Kind::SoundLevel,
        reckon: |_, inputs| Ok(sound::sum(&[inputs.get::<SoundLevel>("first")?, inputs.get("second")?])?.into()),
    },
    Formula {
        name: "sound.three_together",
        text: "",
        inputs: || vec![("first", Kind::SoundLevel), ("second", Kind::SoundLevel), ("third", Kind::SoundLevel)],
        output: Kind::SoundLevel,
        reckon: |_, inputs| Ok(sound::sum(&[inputs.get::<SoundLevel>("first")?, inputs.get("second")?, inputs.get("third")?])?.into()),
    },
    Formula {
        name: "sound.in_the_open",
        text: "",
        inputs: || vec![("level", Kind::SoundLevel), ("from", Kind::Length), ("to", Kind::Length)],
        output: Kind::SoundLevel,
        reckon: |_, inputs| Ok(sound::in_the_open(inputs.get("level")?, inputs.get("from")?, inputs.get("to")?)?.into()),
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
