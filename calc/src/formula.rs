//! The formulas by name, so that a check in the book can ask one of them with inputs of its own.

use std::collections::BTreeMap;

use uom::si::f64::{Length, Ratio, VolumeRate};

use crate::catalogue::Outlet;
use crate::error::{Error, within};
use crate::formulas::{Formula, Inputs};
use crate::quantity::{Dimension, Kind, Quantity, Share, SoundLevel};
use crate::rules::Rules;
use crate::rules::settling::Shape;
use crate::stream::{Laws, Stream, together};
use crate::{glass, return_line, sand, seawater, settling, sound, upkeep, volume, waves};

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
        name: "return_line.friction_factor",
        text: "",
        inputs: || vec![("reynolds", Kind::Ratio), ("relative_roughness", Kind::Ratio)],
        output: Kind::Ratio,
        reckon: |rules, inputs| {
            let (reynolds, roughness) = (inputs.get::<Ratio>("reynolds")?.si(), inputs.get::<Ratio>("relative_roughness")?.si());
            Ok(Quantity::new(Kind::Ratio, return_line::friction_factor(reynolds, roughness, &rules.return_line)?))
        },
    },
    Formula {
        name: "return_line.straight_pipe",
        text: "",
        inputs: || {
            vec![
                ("flow", Kind::Flow),
                ("bore", Kind::Length),
                ("length", Kind::Length),
                ("density", Kind::Density),
                ("viscosity", Kind::DynamicViscosity),
            ]
        },
        output: Kind::Length,
        reckon: |rules, inputs| {
            let rules = &rules.return_line;
            let (length, bore) = (inputs.get("length")?, inputs.get("bore")?);
            let pipe = return_line::Pipe { length, bore, roughness: *rules.roughness, elbows: 0, other_fittings: 0.0 };
            let fluid = return_line::Fluid { density: inputs.get("density")?, viscosity: inputs.get("viscosity")? };
            Ok(return_line::head_loss(inputs.get("flow")?, &pipe, fluid, rules)?.into())
        },
    },
    Formula {
        name: "return_line.elbow",
        text: "",
        inputs: || vec![("reynolds", Kind::Ratio), ("bore", Kind::Length)],
        output: Kind::Ratio,
        reckon: |rules, inputs| {
            let reynolds = inputs.get::<Ratio>("reynolds")?.si();
            Ok(Quantity::new(Kind::Ratio, return_line::elbow(reynolds, inputs.get("bore")?, &rules.return_line)?))
        },
    },
    Formula {
        name: "return_line.contraction",
        text: "",
        inputs: || vec![("narrow", Kind::Length), ("wide", Kind::Length)],
        output: Kind::Ratio,
        reckon: |rules, inputs| {
            let ratio = inputs.get::<Length>("narrow")? / inputs.get::<Length>("wide")?;
            Ok(Quantity::new(Kind::Ratio, return_line::contraction(ratio.si(), &rules.return_line)?))
        },
    },
    Formula {
        name: "sand.dimensionless_size",
        text: "",
        inputs: || GRAINS.to_vec(),
        output: Kind::Ratio,
        reckon: |_, inputs| Ok(grains(inputs)?.dimensionless_size().into()),
    },
    Formula {
        name: "sand.threshold",
        text: "",
        inputs: || GRAINS.to_vec(),
        output: Kind::Ratio,
        reckon: |rules, inputs| Ok(grains(inputs)?.threshold(&rules.sand)?.into()),
    },
    Formula {
        name: "sand.threshold_stress",
        text: "",
        inputs: || GRAINS.to_vec(),
        output: Kind::Stress,
        reckon: |rules, inputs| Ok(grains(inputs)?.threshold_stress(&rules.sand)?.into()),
    },
    Formula {
        name: "sand.threshold_speed",
        text: "",
        inputs: || GRAINS.to_vec(),
        output: Kind::Speed,
        reckon: |rules, inputs| Ok(grains(inputs)?.threshold_speed(*rules.sand.near_bed, &rules.sand)?.into()),
    },
    Formula {
        name: "sand.threshold_current",
        text: "",
        inputs: || GRAINS_AND_DEPTH.to_vec(),
        output: Kind::Speed,
        reckon: |rules, inputs| Ok(grains(inputs)?.threshold_current(inputs.get("depth")?, &rules.sand)?.into()),
    },
    Formula {
        name: "settling.soulsby",
        text: "",
        inputs: || GRAINS.to_vec(),
        output: Kind::Speed,
        reckon: |rules, inputs| Ok(settling::soulsby(&grains(inputs)?, &rules.settling).into()),
    },
    Formula {
        name: "settling.sieved_grains",
        text: "",
        inputs: || GRAINS.to_vec(),
        output: Kind::Speed,
        reckon: |rules, inputs| Ok(settling::ferguson_church(&grains(inputs)?, Shape::Sieved, &rules.settling).into()),
    },
    Formula {
        name: "settling.nominal_grains",
        text: "",
        inputs: || GRAINS.to_vec(),
        output: Kind::Speed,
        reckon: |rules, inputs| Ok(settling::ferguson_church(&grains(inputs)?, Shape::Nominal, &rules.settling).into()),
    },
    Formula {
        name: "settling.smooth_balls",
        text: "",
        inputs: || GRAINS.to_vec(),
        output: Kind::Speed,
        reckon: |rules, inputs| Ok(settling::ferguson_church(&grains(inputs)?, Shape::Ball, &rules.settling).into()),
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
    Formula {
        name: "stream.round_speed",
        text: "",
        inputs: || vec![("outlet", Kind::Length), ("distance", Kind::Length)],
        output: Kind::Ratio,
        reckon: |rules, inputs| {
            let stream = round_stream(rules, inputs)?;
            let speed = stream.speed_at(inputs.get("distance")?)?;
            Ok((speed / stream.exit_speed()).into())
        },
    },
    Formula {
        name: "stream.round_half_width",
        text: "",
        inputs: || vec![("outlet", Kind::Length), ("distance", Kind::Length)],
        output: Kind::Ratio,
        reckon: |rules, inputs| {
            let half_width = round_stream(rules, inputs)?.half_width(inputs.get("distance")?)?;
            Ok((half_width / inputs.get::<Length>("outlet")?).into())
        },
    },
    Formula {
        name: "stream.round_flow",
        text: "",
        inputs: || vec![("outlet", Kind::Length), ("distance", Kind::Length)],
        output: Kind::Ratio,
        reckon: |rules, inputs| Ok((round_stream(rules, inputs)?.flow_at(inputs.get("distance")?)? / any_flow()).into()),
    },
    Formula {
        name: "stream.round_beside",
        text: "",
        inputs: || vec![("outlet", Kind::Length), ("distance", Kind::Length), ("half_widths", Kind::Ratio)],
        output: Kind::Ratio,
        reckon: |rules, inputs| {
            let (stream, distance) = (round_stream(rules, inputs)?, inputs.get("distance")?);
            let offset = stream.half_width(distance)? * inputs.get::<Ratio>("half_widths")?.si();
            Ok((stream.speed_off_axis(distance, offset)? / stream.speed_at(distance)?).into())
        },
    },
    Formula {
        name: "stream.twin_speed",
        text: "",
        inputs: || vec![("outlet", Kind::Length), ("spacing", Kind::Length)],
        output: Kind::Ratio,
        reckon: |rules, inputs| {
            let (stream, spacing) = (round_stream(rules, inputs)?, inputs.get::<Length>("spacing")?);
            // Two bells midway are fastest where each alone has slowed in its middle to the outlet over the spacing.
            let slowed = stream.exit_speed() * (inputs.get::<Length>("outlet")? / spacing).si();
            let alone = stream.speed_off_axis(stream.reach(slowed)?, spacing / 2.0)?;
            Ok((together([alone; 2]) / stream.exit_speed()).into())
        },
    },
    Formula {
        name: "stream.sheet_speed",
        text: "",
        inputs: || vec![("slot_height", Kind::Length), ("slot_length", Kind::Length), ("distance", Kind::Length)],
        output: Kind::Ratio,
        reckon: |rules, inputs| {
            let outlet = Outlet::Slot { height: inputs.get("slot_height")?, length: inputs.get("slot_length")? };
            let stream = Stream::new(outlet, any_flow(), Laws::of(&rules.stream))?;
            let speed = stream.speed_at(inputs.get("distance")?)?;
            Ok((speed / stream.exit_speed()).into())
        },
    },
    Formula {
        name: "upkeep.citric_acid",
        text: "",
        inputs: || vec![("acid", Kind::Mass)],
        output: Kind::Mass,
        reckon: |rules, inputs| Ok(upkeep::scale_dissolved(upkeep::Acid::Citric, inputs.get("acid")?, &rules.upkeep)?.into()),
    },
    Formula {
        name: "upkeep.citric_crystals",
        text: "",
        inputs: || vec![("acid", Kind::Mass)],
        output: Kind::Mass,
        reckon: |rules, inputs| Ok(upkeep::scale_dissolved(upkeep::Acid::CitricMonohydrate, inputs.get("acid")?, &rules.upkeep)?.into()),
    },
    Formula {
        name: "upkeep.acetic_acid",
        text: "",
        inputs: || vec![("acid", Kind::Mass)],
        output: Kind::Mass,
        reckon: |rules, inputs| Ok(upkeep::scale_dissolved(upkeep::Acid::Acetic, inputs.get("acid")?, &rules.upkeep)?.into()),
    },
    Formula {
        name: "waves.slosh_period",
        text: "",
        inputs: || SLOSH.to_vec(),
        output: Kind::Time,
        reckon: |_, inputs| Ok(waves::slosh_period(inputs.get("length")?, inputs.get("depth")?, mode(inputs)?)?.into()),
    },
    Formula {
        name: "waves.shallow_period",
        text: "",
        inputs: || SLOSH.to_vec(),
        output: Kind::Time,
        reckon: |_, inputs| Ok(waves::shallow_period(inputs.get("length")?, inputs.get("depth")?, mode(inputs)?)?.into()),
    },
];

/// What grains under water need.
const GRAINS: &[(&str, Kind)] =
    &[("size", Kind::Length), ("grain_density", Kind::Density), ("water_density", Kind::Density), ("viscosity", Kind::KinematicViscosity)];

/// The same under a current of some depth.
const GRAINS_AND_DEPTH: &[(&str, Kind)] = &[GRAINS[0], GRAINS[1], GRAINS[2], GRAINS[3], ("depth", Kind::Length)];

fn grains(inputs: &Inputs) -> Result<sand::Grains, Error> {
    sand::Grains::new(inputs.get("size")?, inputs.get("grain_density")?, inputs.get("water_density")?, inputs.get("viscosity")?)
}

/// What a slosh needs.
const SLOSH: &[(&str, Kind)] = &[("length", Kind::Length), ("depth", Kind::Length), ("mode", Kind::Ratio)];

fn mode(inputs: &Inputs) -> Result<u32, Error> {
    let mode = within("the mode of the slosh", inputs.get::<Ratio>("mode")?, Ratio::from_si(1.0)..=Ratio::from_si(100.0))?;
    Ok(libm::rint(mode.si()) as u32)
}

/// The stream of a round outlet. Its flow cancels out of every share that is asked.
fn round_stream(rules: &Rules, inputs: &Inputs) -> Result<Stream, Error> {
    Stream::new(Outlet::Round { diameter: inputs.get("outlet")? }, any_flow(), Laws::of(&rules.stream))
}

fn any_flow() -> VolumeRate {
    VolumeRate::from_si(1e-3)
}

/// All formulas that a check can ask.
pub fn all() -> impl Iterator<Item = &'static Formula> {
    FORMULAS.iter().chain(crate::formulas::ALL)
}

/// The formula of the given name.
pub fn formula(name: &str) -> Option<&'static Formula> {
    all().find(|formula| formula.name == name)
}
