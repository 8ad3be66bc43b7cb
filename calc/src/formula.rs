//! The formulas by name, so that a check in the book can ask one of them with inputs of its own.

use std::collections::BTreeMap;

use crate::error::Error;
use crate::quantity::{Dimension, Kind, Quantity, Share};
use crate::rules::Rules;
use crate::tank::Water;
use crate::{mixing, oxygen, seawater, turnover, upkeep, volume};

/// A formula that a check can ask.
#[derive(Debug, Clone, Copy)]
pub struct Formula {
    /// Topic and name, for instance `turnover.flow`.
    pub name: &'static str,
    /// Its inputs: name and kind.
    pub inputs: &'static [(&'static str, Kind)],
    /// What it gives.
    pub output: Kind,
    /// Reckons it.
    pub reckon: fn(&Rules, &Inputs) -> Result<Quantity, Error>,
}

/// The inputs of one question, by name, each of the kind that the formula asks for.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Inputs(pub BTreeMap<String, Quantity>);

impl Inputs {
    /// An input as a `uom` type. The reader of a check has seen to it that it is there and of its kind.
    fn get<D: Dimension>(&self, name: &'static str) -> Result<D, Error> {
        let given = self.0.get(name).and_then(|quantity| quantity.get().ok());
        given.ok_or(Error::NoAnswer { what: name, why: "this input is missing".to_owned() })
    }
}

/// All formulas that a check can ask, by topic.
pub const FORMULAS: &[Formula] = &[
    Formula {
        name: "turnover.flow",
        inputs: &[("volume", Kind::Volume), ("turnover", Kind::Rate)],
        output: Kind::Flow,
        reckon: |_, inputs| Ok(turnover::flow(inputs.get("volume")?, inputs.get("turnover")?)?.into()),
    },
    Formula {
        name: "turnover.turnover",
        inputs: &[("flow", Kind::Flow), ("volume", Kind::Volume)],
        output: Kind::Rate,
        reckon: |_, inputs| Ok(turnover::turnover(inputs.get("flow")?, inputs.get("volume")?)?.into()),
    },
    Formula {
        name: "turnover.with_allowance",
        inputs: &[("flow", Kind::Flow), ("lost", Kind::Share)],
        output: Kind::Flow,
        reckon: |_, inputs| Ok(turnover::with_allowance(inputs.get("flow")?, inputs.get::<Share>("lost")?)?.into()),
    },
    Formula {
        name: "volume.box",
        inputs: &[("length", Kind::Length), ("width", Kind::Length), ("height", Kind::Length)],
        output: Kind::Volume,
        reckon: |_, inputs| {
            let plan = volume::Plan::Box { length: inputs.get("length")?, width: inputs.get("width")? };
            let glass = volume::Glass::new(plan, inputs.get("height")?, Dimension::from_si(0.0), Dimension::from_si(0.0))?;
            Ok(glass.outside().into())
        },
    },
    Formula {
        name: "seawater.density",
        inputs: &[("salinity", Kind::Salinity), ("temperature", Kind::Temperature)],
        output: Kind::Density,
        reckon: |rules, inputs| Ok(seawater::density(inputs.get("salinity")?, inputs.get("temperature")?, &rules.seawater)?.into()),
    },
    Formula {
        name: "seawater.dynamic_viscosity",
        inputs: &[("salinity", Kind::Salinity), ("temperature", Kind::Temperature)],
        output: Kind::DynamicViscosity,
        reckon: |rules, inputs| {
            Ok(seawater::dynamic_viscosity(inputs.get("salinity")?, inputs.get("temperature")?, &rules.seawater)?.into())
        },
    },
    Formula {
        name: "seawater.kinematic_viscosity",
        inputs: &[("salinity", Kind::Salinity), ("temperature", Kind::Temperature)],
        output: Kind::KinematicViscosity,
        reckon: |rules, inputs| {
            Ok(seawater::kinematic_viscosity(inputs.get("salinity")?, inputs.get("temperature")?, &rules.seawater)?.into())
        },
    },
    Formula {
        name: "seawater.specific_gravity",
        inputs: &[("salinity", Kind::Salinity), ("sample", Kind::Temperature), ("water", Kind::Temperature)],
        output: Kind::SpecificGravity,
        reckon: |rules, inputs| {
            let convention = seawater::Convention { sample: inputs.get("sample")?, water: inputs.get("water")? };
            Ok(seawater::specific_gravity(inputs.get("salinity")?, convention, &rules.seawater)?.into())
        },
    },
    Formula {
        name: "mixing.share_passed",
        inputs: &[("turnover", Kind::Rate), ("time", Kind::Time)],
        output: Kind::Share,
        reckon: |_, inputs| Ok(mixing::share_passed(inputs.get("turnover")?, inputs.get("time")?)?.into()),
    },
    Formula {
        name: "mixing.time_to_pass",
        inputs: &[("share", Kind::Share), ("turnover", Kind::Rate)],
        output: Kind::Time,
        reckon: |_, inputs| Ok(mixing::time_to_pass(inputs.get("share")?, inputs.get("turnover")?)?.into()),
    },
    Formula {
        name: "oxygen.saturation",
        inputs: &[("salinity", Kind::Salinity), ("temperature", Kind::Temperature)],
        output: Kind::Concentration,
        reckon: |rules, inputs| {
            let water = Water { temperature: inputs.get("temperature")?, salinity: inputs.get("salinity")? };
            Ok(oxygen::saturation(water, rules)?.into())
        },
    },
    Formula {
        name: "oxygen.respiration",
        inputs: &[("mass", Kind::Mass), ("temperature", Kind::Temperature)],
        output: Kind::MassRate,
        reckon: |rules, inputs| Ok(oxygen::respiration(inputs.get("mass")?, inputs.get("temperature")?, &rules.oxygen)?.into()),
    },
    Formula {
        name: "oxygen.schmidt",
        inputs: &[("temperature", Kind::Temperature)],
        output: Kind::Ratio,
        reckon: |rules, inputs| Ok(Quantity::new(Kind::Ratio, oxygen::schmidt(inputs.get("temperature")?, &rules.oxygen)?)),
    },
    Formula {
        name: "oxygen.still_transfer",
        inputs: &[("temperature", Kind::Temperature)],
        output: Kind::TransferVelocity,
        reckon: |rules, inputs| Ok(oxygen::still_transfer(inputs.get("temperature")?, &rules.oxygen)?.into()),
    },
    Formula {
        name: "upkeep.citric_acid",
        inputs: &[("acid", Kind::Mass)],
        output: Kind::Mass,
        reckon: |rules, inputs| Ok(upkeep::scale_dissolved(upkeep::Acid::Citric, inputs.get("acid")?, &rules.upkeep)?.into()),
    },
    Formula {
        name: "upkeep.citric_crystals",
        inputs: &[("acid", Kind::Mass)],
        output: Kind::Mass,
        reckon: |rules, inputs| Ok(upkeep::scale_dissolved(upkeep::Acid::CitricMonohydrate, inputs.get("acid")?, &rules.upkeep)?.into()),
    },
    Formula {
        name: "upkeep.acetic_acid",
        inputs: &[("acid", Kind::Mass)],
        output: Kind::Mass,
        reckon: |rules, inputs| Ok(upkeep::scale_dissolved(upkeep::Acid::Acetic, inputs.get("acid")?, &rules.upkeep)?.into()),
    },
];

/// The formula of the given name.
pub fn formula(name: &str) -> Option<&'static Formula> {
    FORMULAS.iter().find(|formula| formula.name == name)
}
