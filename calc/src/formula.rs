//! The formulas by name, so that a check in the book can ask one of them with inputs of its own.

use std::collections::BTreeMap;

use uom::si::f64::{Length, Ratio, VolumeRate};
use uom::si::molality::mole_per_kilogram;

use crate::catalogue::Outlet;
use crate::error::{Error, within};
use crate::quantity::{Dimension, Kind, Quantity, Share, SoundLevel};
use crate::rules::Rules;
use crate::stream::{Stream, together};
use crate::tank::Water;
use crate::{circuit, glass, mixing, oxygen, power, return_line, sand, seawater, settling, sound, turnover, upkeep, volume, waves};

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

/// A pane full of water.
fn pane(inputs: &Inputs, rim: glass::Rim) -> Result<glass::Pane, Error> {
    Ok(glass::Pane { length: inputs.get("length")?, height: inputs.get("height")?, rim, water: inputs.get("water")? })
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
        name: "glass.stress",
        inputs: &[("length", Kind::Length), ("height", Kind::Length), ("pane", Kind::Length), ("water", Kind::Density)],
        output: Kind::Stress,
        reckon: |rules, inputs| Ok(pane(inputs, glass::Rim::Free)?.stress(inputs.get("pane")?, &rules.glass)?.into()),
    },
    Formula {
        name: "glass.stress_braced",
        inputs: &[("length", Kind::Length), ("height", Kind::Length), ("pane", Kind::Length), ("water", Kind::Density)],
        output: Kind::Stress,
        reckon: |rules, inputs| Ok(pane(inputs, glass::Rim::Braced)?.stress(inputs.get("pane")?, &rules.glass)?.into()),
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
        name: "oxygen.reef",
        inputs: &[("floor", Kind::Area), ("temperature", Kind::Temperature)],
        output: Kind::MassRate,
        reckon: |rules, inputs| Ok(oxygen::reef(inputs.get("floor")?, inputs.get("temperature")?, &rules.oxygen)?.into()),
    },
    Formula {
        name: "oxygen.warmth",
        inputs: &[("temperature", Kind::Temperature), ("other", Kind::Temperature)],
        output: Kind::Ratio,
        reckon: |rules, inputs| {
            let at = |input| Ok::<_, Error>(oxygen::warmth(inputs.get(input)?, &rules.oxygen)?.si());
            Ok(Quantity::new(Kind::Ratio, at("temperature")? / at("other")?))
        },
    },
    Formula {
        name: "oxygen.bubbles",
        inputs: &[("air", Kind::Flow), ("depth", Kind::Length), ("share", Kind::Share), ("temperature", Kind::Temperature)],
        output: Kind::Flow,
        reckon: |rules, inputs| {
            let (air, depth, share) = (inputs.get("air")?, inputs.get("depth")?, inputs.get("share")?);
            Ok(oxygen::bubbles(air, depth, share, inputs.get("temperature")?, rules)?.into())
        },
    },
    Formula {
        name: "oxygen.taken_up_in_a_fall",
        inputs: &[("height", Kind::Length), ("temperature", Kind::Temperature)],
        output: Kind::Share,
        reckon: |rules, inputs| Ok(oxygen::taken_up_in_a_fall(inputs.get("height")?, inputs.get("temperature")?, &rules.oxygen)?.into()),
    },
    Formula {
        name: "oxygen.solubility",
        inputs: &[("salinity", Kind::Salinity), ("temperature", Kind::Temperature)],
        // In µmol/kg, as its source prints it; no page prints it in any other unit.
        output: Kind::Ratio,
        reckon: |rules, inputs| {
            let water = Water { temperature: inputs.get("temperature")?, salinity: inputs.get("salinity")? };
            Ok(Quantity::new(Kind::Ratio, oxygen::solubility(water, &rules.oxygen)?.get::<mole_per_kilogram>() * 1e6))
        },
    },
    Formula {
        name: "oxygen.stirred_transfer",
        inputs: &[("stirring", Kind::Power), ("mass", Kind::Mass), ("salinity", Kind::Salinity), ("temperature", Kind::Temperature)],
        output: Kind::TransferVelocity,
        reckon: |rules, inputs| {
            let water = Water { temperature: inputs.get("temperature")?, salinity: inputs.get("salinity")? };
            Ok(oxygen::stirred_transfer(inputs.get("stirring")?, inputs.get("mass")?, water, rules)?.into())
        },
    },
    Formula {
        name: "return_line.friction_factor",
        inputs: &[("reynolds", Kind::Ratio), ("relative_roughness", Kind::Ratio)],
        output: Kind::Ratio,
        reckon: |rules, inputs| {
            let (reynolds, roughness) = (inputs.get::<Ratio>("reynolds")?.si(), inputs.get::<Ratio>("relative_roughness")?.si());
            Ok(Quantity::new(Kind::Ratio, return_line::friction_factor(reynolds, roughness, &rules.return_line)?))
        },
    },
    Formula {
        name: "return_line.straight_pipe",
        inputs: &[
            ("flow", Kind::Flow),
            ("bore", Kind::Length),
            ("length", Kind::Length),
            ("density", Kind::Density),
            ("viscosity", Kind::DynamicViscosity),
        ],
        output: Kind::Length,
        reckon: |rules, inputs| {
            let rules = &rules.return_line;
            let (length, bore) = (inputs.get("length")?, inputs.get("bore")?);
            let pipe = return_line::Pipe { length, bore, roughness: rules.roughness, elbows: 0, other_fittings: 0.0 };
            let fluid = return_line::Fluid { density: inputs.get("density")?, viscosity: inputs.get("viscosity")? };
            Ok(return_line::head_loss(inputs.get("flow")?, &pipe, fluid, rules)?.into())
        },
    },
    Formula {
        name: "return_line.elbow",
        inputs: &[("reynolds", Kind::Ratio), ("bore", Kind::Length)],
        output: Kind::Ratio,
        reckon: |rules, inputs| {
            let reynolds = inputs.get::<Ratio>("reynolds")?.si();
            Ok(Quantity::new(Kind::Ratio, return_line::elbow(reynolds, inputs.get("bore")?, &rules.return_line)?))
        },
    },
    Formula {
        name: "return_line.contraction",
        inputs: &[("narrow", Kind::Length), ("wide", Kind::Length)],
        output: Kind::Ratio,
        reckon: |rules, inputs| {
            let ratio = inputs.get::<Length>("narrow")? / inputs.get::<Length>("wide")?;
            Ok(Quantity::new(Kind::Ratio, return_line::contraction(ratio.si(), &rules.return_line)?))
        },
    },
    Formula {
        name: "sand.dimensionless_size",
        inputs: GRAINS,
        output: Kind::Ratio,
        reckon: |_, inputs| Ok(grains(inputs)?.dimensionless_size().into()),
    },
    Formula {
        name: "sand.threshold",
        inputs: GRAINS,
        output: Kind::Ratio,
        reckon: |rules, inputs| Ok(grains(inputs)?.threshold(&rules.sand)?.into()),
    },
    Formula {
        name: "sand.threshold_stress",
        inputs: GRAINS,
        output: Kind::Stress,
        reckon: |rules, inputs| Ok(grains(inputs)?.threshold_stress(&rules.sand)?.into()),
    },
    Formula {
        name: "sand.threshold_speed",
        inputs: GRAINS,
        output: Kind::Speed,
        reckon: |rules, inputs| Ok(grains(inputs)?.threshold_speed(rules.sand.near_bed, &rules.sand)?.into()),
    },
    Formula {
        name: "sand.threshold_current",
        inputs: GRAINS_AND_DEPTH,
        output: Kind::Speed,
        reckon: |rules, inputs| Ok(grains(inputs)?.threshold_current(inputs.get("depth")?, &rules.sand)?.into()),
    },
    Formula {
        name: "settling.soulsby",
        inputs: GRAINS,
        output: Kind::Speed,
        reckon: |rules, inputs| Ok(settling::soulsby(&grains(inputs)?, &rules.settling).into()),
    },
    Formula {
        name: "settling.sieved_grains",
        inputs: GRAINS,
        output: Kind::Speed,
        reckon: |rules, inputs| Ok(settling::ferguson_church(&grains(inputs)?, settling::Shape::Sieved, &rules.settling).into()),
    },
    Formula {
        name: "settling.nominal_grains",
        inputs: GRAINS,
        output: Kind::Speed,
        reckon: |rules, inputs| Ok(settling::ferguson_church(&grains(inputs)?, settling::Shape::Nominal, &rules.settling).into()),
    },
    Formula {
        name: "settling.smooth_balls",
        inputs: GRAINS,
        output: Kind::Speed,
        reckon: |rules, inputs| Ok(settling::ferguson_church(&grains(inputs)?, settling::Shape::Ball, &rules.settling).into()),
    },
    Formula {
        name: "sound.two_together",
        inputs: &[("first", Kind::SoundLevel), ("second", Kind::SoundLevel)],
        output: Kind::SoundLevel,
        reckon: |_, inputs| Ok(sound::sum(&[inputs.get::<SoundLevel>("first")?, inputs.get("second")?])?.into()),
    },
    Formula {
        name: "sound.three_together",
        inputs: &[("first", Kind::SoundLevel), ("second", Kind::SoundLevel), ("third", Kind::SoundLevel)],
        output: Kind::SoundLevel,
        reckon: |_, inputs| Ok(sound::sum(&[inputs.get::<SoundLevel>("first")?, inputs.get("second")?, inputs.get("third")?])?.into()),
    },
    Formula {
        name: "sound.in_the_open",
        inputs: &[("level", Kind::SoundLevel), ("from", Kind::Length), ("to", Kind::Length)],
        output: Kind::SoundLevel,
        reckon: |_, inputs| Ok(sound::in_the_open(inputs.get("level")?, inputs.get("from")?, inputs.get("to")?)?.into()),
    },
    Formula {
        name: "power.affinity_flow",
        inputs: &[("flow", Kind::Flow), ("speed", Kind::Ratio), ("new_speed", Kind::Ratio)],
        output: Kind::Flow,
        reckon: |_, inputs| Ok(power::affinity_flow(inputs.get("flow")?, speeds(inputs)?)?.into()),
    },
    Formula {
        name: "power.affinity_head",
        inputs: &[("head", Kind::Length), ("speed", Kind::Ratio), ("new_speed", Kind::Ratio)],
        output: Kind::Length,
        reckon: |_, inputs| Ok(power::affinity_head(inputs.get("head")?, speeds(inputs)?)?.into()),
    },
    Formula {
        name: "power.affinity_power",
        inputs: &[("power", Kind::Power), ("speed", Kind::Ratio), ("new_speed", Kind::Ratio)],
        output: Kind::Power,
        reckon: |_, inputs| Ok(power::affinity_power(inputs.get("power")?, speeds(inputs)?)?.into()),
    },
    Formula {
        name: "circuit.continuous_limit",
        inputs: &[("breaker", Kind::Current)],
        output: Kind::Current,
        reckon: |rules, inputs| Ok(circuit::continuous_limit(inputs.get("breaker")?, &rules.circuit)?.into()),
    },
    Formula {
        name: "circuit.trip_time",
        inputs: &[("residual", Kind::Current)],
        output: Kind::Time,
        reckon: |rules, inputs| Ok(circuit::trip_time(inputs.get("residual")?, &rules.circuit)?.into()),
    },
    Formula {
        name: "stream.round_speed",
        inputs: &[("outlet", Kind::Length), ("distance", Kind::Length)],
        output: Kind::Ratio,
        reckon: |rules, inputs| {
            let stream = round_stream(rules, inputs)?;
            let speed = stream.speed_at(inputs.get("distance")?)?;
            Ok((speed / stream.exit_speed()).into())
        },
    },
    Formula {
        name: "stream.round_half_width",
        inputs: &[("outlet", Kind::Length), ("distance", Kind::Length)],
        output: Kind::Ratio,
        reckon: |rules, inputs| {
            let half_width = round_stream(rules, inputs)?.half_width(inputs.get("distance")?)?;
            Ok((half_width / inputs.get::<Length>("outlet")?).into())
        },
    },
    Formula {
        name: "stream.round_flow",
        inputs: &[("outlet", Kind::Length), ("distance", Kind::Length)],
        output: Kind::Ratio,
        reckon: |rules, inputs| Ok((round_stream(rules, inputs)?.flow_at(inputs.get("distance")?)? / any_flow()).into()),
    },
    Formula {
        name: "stream.round_beside",
        inputs: &[("outlet", Kind::Length), ("distance", Kind::Length), ("half_widths", Kind::Ratio)],
        output: Kind::Ratio,
        reckon: |rules, inputs| {
            let (stream, distance) = (round_stream(rules, inputs)?, inputs.get("distance")?);
            let offset = stream.half_width(distance)? * inputs.get::<Ratio>("half_widths")?.si();
            Ok((stream.speed_off_axis(distance, offset)? / stream.speed_at(distance)?).into())
        },
    },
    Formula {
        name: "stream.twin_speed",
        inputs: &[("outlet", Kind::Length), ("spacing", Kind::Length)],
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
        inputs: &[("slot_height", Kind::Length), ("slot_length", Kind::Length), ("distance", Kind::Length)],
        output: Kind::Ratio,
        reckon: |rules, inputs| {
            let outlet = Outlet::Slot { height: inputs.get("slot_height")?, length: inputs.get("slot_length")? };
            let stream = Stream::new(outlet, any_flow(), rules.stream.laws)?;
            let speed = stream.speed_at(inputs.get("distance")?)?;
            Ok((speed / stream.exit_speed()).into())
        },
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
    Formula {
        name: "waves.slosh_period",
        inputs: SLOSH,
        output: Kind::Time,
        reckon: |_, inputs| Ok(waves::slosh_period(inputs.get("length")?, inputs.get("depth")?, mode(inputs)?)?.into()),
    },
    Formula {
        name: "waves.shallow_period",
        inputs: SLOSH,
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

/// The new speed over the first, for the affinity laws.
fn speeds(inputs: &Inputs) -> Result<f64, Error> {
    let (first, new): (Ratio, Ratio) = (inputs.get("speed")?, inputs.get("new_speed")?);
    let first = within("the first speed", first, Ratio::from_si(1e-6)..=Ratio::from_si(1e6))?;
    Ok((new / first).si())
}

/// The stream of a round outlet. Its flow cancels out of every share that is asked.
fn round_stream(rules: &Rules, inputs: &Inputs) -> Result<Stream, Error> {
    Stream::new(Outlet::Round { diameter: inputs.get("outlet")? }, any_flow(), rules.stream.laws)
}

fn any_flow() -> VolumeRate {
    VolumeRate::from_si(1e-3)
}

/// The formula of the given name.
pub fn formula(name: &str) -> Option<&'static Formula> {
    FORMULAS.iter().find(|formula| formula.name == name)
}
