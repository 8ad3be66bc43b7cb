//! What a return pump brings up through its line.

use uom::si::f64::{Length, VolumeRate};

use crate::error::Error;
use crate::formulas::return_line::{Fluid, Pipe, PumpCurve, WorkingPoint, working_point};
use crate::formulas::seawater::{density, dynamic_viscosity};
use crate::ordered::sort_by;
use crate::quantity::Dimension;
use crate::rules::Rules;
use crate::rules::return_line::ReturnLineRules;
use crate::tank::{ReturnLine, Tank};

/// A return pump with its line, but for the bore of the pipe: what is asked is mostly what another bore would
/// do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// What the pump gives.
    pub pump: PumpCurve,
    /// From the water in the sump up to the outlet.
    pub lift: Length,
    /// Length of the pipe.
    pub length: Length,
    /// How many elbows.
    pub elbows: u32,
}

impl Line {
    /// The line of a tank file.
    pub fn of(line: &ReturnLine) -> Self {
        Line {
            pump: PumpCurve { max_flow: line.pump_flow, shut_off_head: line.pump_head },
            lift: line.lift,
            length: line.length,
            elbows: *line.elbows,
        }
    }

    /// Where the pump and a pipe of this bore meet.
    ///
    /// - `further`: what fittings lose beside the elbows and the two ends, in velocity heads
    ///
    /// # Errors
    /// As [`working_point`].
    pub fn meets(
        &self,
        bore: Length,
        further: f64,
        fluid: Fluid,
        rules: &ReturnLineRules,
    ) -> Result<WorkingPoint, Error> {
        let other_fittings = rules.entrance.si() + rules.exit.si() + further;
        let Line { pump, lift, length, elbows } = *self;
        let pipe = Pipe { length, bore, roughness: *rules.roughness, elbows, other_fittings };
        working_point(pump, lift, pipe, fluid, rules)
    }

    /// The narrowest usual pipe above a bore through which the pump brings up enough, with the flow that
    /// arrives through it; `None` where no usual pipe is wide enough.
    ///
    /// # Errors
    /// As [`working_point`].
    pub fn wider(
        &self,
        bore: Length,
        enough: VolumeRate,
        fluid: Fluid,
        rules: &ReturnLineRules,
    ) -> Result<Option<(Length, VolumeRate)>, Error> {
        let mut bores: Vec<_> = rules.usual_bores.iter().copied().filter(|usual| *usual > bore).collect();
        sort_by(&mut bores, |one, other| one.si().total_cmp(&other.si()));
        for bore in bores {
            let flow = self.meets(bore, 0.0, fluid, rules)?.flow;
            if flow >= enough {
                return Ok(Some((bore, flow)));
            }
        }
        Ok(None)
    }
}

/// What a return pump delivers through its line: what was measured, where it was.
///
/// # Errors
/// As [`working_point`].
pub fn delivered(line: &ReturnLine, tank: &Tank, rules: &Rules) -> Result<VolumeRate, Error> {
    if let Some(bucket) = tank.measured.flow() {
        return Ok(bucket);
    }
    let (salinity, temperature) = (*tank.salinity, *tank.temperature);
    let fluid = Fluid {
        density: density(salinity, temperature, &rules.seawater)?,
        viscosity: dynamic_viscosity(salinity, temperature, &rules.seawater)?,
    };
    Ok(Line::of(line).meets(line.bore, 0.0, fluid, &rules.return_line)?.flow)
}
