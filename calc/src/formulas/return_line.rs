//! The return line: what head its pump works against, how much water arrives, and how often that turns the
//! system over.
//!
//! The pump must lift the water, push it through the pipe and push it through the fittings. The last two grow
//! with about the square of the flow, and the pump gives less the more is asked of it: the flow that arrives
//! is where both meet.

use std::f64::consts::PI;

use uom::si::f64::{Area, DynamicViscosity, Length, MassDensity, Ratio, Velocity, Volume, VolumeRate};

use super::{Answer, Argument, formula};
use crate::error::{Error, within};
use crate::quantity::{Dimension, Kind, Quantity, Rounding, Share, show};
use crate::rules::Band;
use crate::rules::return_line::ReturnLineRules;

/// Standard gravity in m/s², exact by definition (CGPM 1901).
const GRAVITY: f64 = 9.806_65;
/// An inch in metres, exactly; Hooper's elbow measures bores in it.
const INCH: f64 = 0.0254;
/// The friction factor of a laminar pipe flow times its Reynolds number: exact, from the law of Hagen and
/// Poiseuille.
const LAMINAR: f64 = 64.0;

/// The largest flow that is answered, 100 m³/h, in m³/s.
const MOST_FLOW: f64 = 100.0 / 3600.0;

/// What flows through a pipe.
#[derive(Debug, Clone, Copy, PartialEq, Argument)]
pub struct Fluid {
    /// Its density, from 900 to 1100 kg/m³.
    pub density: MassDensity,
    /// Its dynamic viscosity, from 0.2 to 3 mPa s.
    pub viscosity: DynamicViscosity,
}

/// A run of pipe with its fittings.
#[derive(Debug, Clone, Copy, PartialEq, Argument)]
pub struct Pipe {
    /// Its length, up to 100 m.
    pub length: Length,
    /// Its inside diameter, from 3 mm to 30 cm.
    pub bore: Length,
    /// Height of the bumps on its wall, up to a twentieth of the bore.
    pub roughness: Length,
    /// How many right-angled elbows.
    pub elbows: u32,
    /// The loss coefficients of all its other fittings together, in velocity heads of this bore.
    pub other_fittings: f64,
}

/// Speed of the water in a pipe: `v = Q / (π D² / 4)`.
///
/// - `flow`: from nothing to 100 m³/h
/// - `bore`: inside diameter, from 3 mm to 30 cm
///
/// # Errors
/// [`Error::OutOfRange`] for another flow, or a bore that is none.
#[formula("flow ÷ (π × bore² ÷ 4)")]
pub fn speed(flow: VolumeRate, bore: Length) -> Result<Velocity, Error> {
    let flow =
        within("the flow in the pipe", flow, VolumeRate::from_si(0.0)..=VolumeRate::from_si(MOST_FLOW))?;
    let bore = usable_bore(bore)?;
    Ok(flow / (bore * bore * (PI / 4.0)))
}

/// Reynolds number of the water in a pipe: `Re = ρ v D / μ`.
///
/// # Errors
/// As [`speed`], and [`Error::OutOfRange`] for a density or viscosity that is not water's.
#[formula("density × flow ÷ (π × bore² ÷ 4) × bore ÷ viscosity")]
pub fn reynolds(flow: VolumeRate, bore: Length, fluid: Fluid) -> Result<f64, Error> {
    let densities = MassDensity::from_si(900.0)..=MassDensity::from_si(1100.0);
    let density = within("the density of the water", fluid.density, densities)?;
    let viscosities = DynamicViscosity::from_si(0.2e-3)..=DynamicViscosity::from_si(3e-3);
    let viscosity = within("the viscosity of the water", fluid.viscosity, viscosities)?;
    Ok((density * speed(flow, bore)? * bore / viscosity).si())
}

/// Darcy friction factor of a pipe.
///
/// Laminar: `f = 64 / Re`. Turbulent, after Colebrook: `1/√f = −2 log₁₀(ε/(3.7 D) + 2.51/(Re √f))`, iterated
/// until it stands still.
///
/// - `reynolds`: above 0, up to 10⁸
/// - `relative_roughness`: height of the bumps over the bore, `ε/D`, from 0 (smooth) to 0.05
///
/// Between rule `return_line.laminar_up_to` and about 4000 the flow can be of either kind; the answer is the
/// turbulent one, which is the larger.
///
/// # Errors
/// [`Error::OutOfRange`] for a value outside those ranges; [`Error::NoAnswer`] when the iteration does not
/// settle, which no value inside them brings about.
///
/// # Source
/// Lindeburg, example 17.2: at Re 4 × 10⁵ and ε/D 0.004, the Colebrook equation gives 0.0287.
/// ```
/// use reckoner_calc::{Rules, formulas::return_line};
/// let rules = Rules::compiled_in().map_err(|problems| format!("{problems:?}"))?;
/// let f = return_line::friction_factor(4e5, 0.004, &rules.return_line)?;
/// assert!((f - 0.0287).abs() <= 0.00005);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula(
    "Colebrook's equation of roughness ÷ bore and Reynolds number; 64 ÷ Reynolds number where the water glides"
)]
pub fn friction_factor(
    reynolds: f64,
    relative_roughness: f64,
    rules: &ReturnLineRules,
) -> Result<f64, Error> {
    let ratio = Ratio::from_si;
    let reynolds =
        within("the Reynolds number", ratio(reynolds), ratio(f64::MIN_POSITIVE)..=ratio(1e8))?.si();
    let rough =
        within("the roughness over the bore", ratio(relative_roughness), ratio(0.0)..=ratio(0.05))?.si();
    if reynolds <= rules.laminar_up_to.si() {
        return Ok(LAMINAR / reynolds);
    }
    let [factor, roughness, smooth] = *rules.colebrook;
    // With x = 1/√f the equation reads x = g(x), and |g'| stays below a quarter: each step adds a digit or
    // more.
    let mut x = 8.0;
    for _ in 0..100 {
        let next = -factor * libm::log10(rough / roughness + smooth * x / reynolds);
        if (next - x).abs() <= 1e-14 * x {
            return Ok(1.0 / (next * next));
        }
        x = next;
    }
    let why = format!(
        "the iteration does not settle at a Reynolds number of {reynolds} and a relative roughness of {rough}"
    );
    Err(Error::NoAnswer { what: "the friction of this pipe", why })
}

/// Loss in a right-angled elbow, in velocity heads: `K = K₁/Re + K∞ (1 + 1 in/D)`, after Hooper.
///
/// - `reynolds`: above 0
/// - `bore`: inside diameter `D`, from 3 mm to 30 cm
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// The coefficients are from memory. The library fluids 1.3.1 gives 0.895 for them in a bore of 21.2 mm at Re
/// 5 × 10⁴:
/// ```
/// use reckoner_calc::{Rules, formulas::return_line, quantity::parse};
/// let rules = Rules::compiled_in().map_err(|problems| format!("{problems:?}"))?;
/// let loss = return_line::elbow(5e4, parse("21.2 mm")?, &rules.return_line)?;
/// assert!((loss - 0.895).abs() <= 0.0005);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("Hooper's equation of Reynolds number and bore")]
pub fn elbow(reynolds: f64, bore: Length, rules: &ReturnLineRules) -> Result<f64, Error> {
    let bore = usable_bore(bore)?;
    let reynolds = Ratio::from_si(reynolds);
    let reynolds =
        within("the Reynolds number", reynolds, Ratio::from_si(f64::MIN_POSITIVE)..=Ratio::from_si(1e8))?;
    let [viscous, wide] = *rules.elbow;
    Ok(viscous / reynolds.si() + wide * (1.0 + INCH / bore.si()))
}

/// Loss where a pipe suddenly narrows from one bore to another, in velocity heads of the narrow side:
/// [`narrowing`] by the two bores.
///
/// # Errors
/// As [`narrowing`].
///
/// # Source
/// The coefficients are from memory. The library fluids 1.3.1 gives 0.4198 from 32 to 20 mm:
/// ```
/// use reckoner_calc::{Rules, formulas::return_line, quantity::parse};
/// let rules = Rules::compiled_in().map_err(|problems| format!("{problems:?}"))?;
/// let loss = return_line::contraction(parse("20 mm")?, parse("32 mm")?, &rules.return_line)?;
/// assert!((loss - 0.4198).abs() <= 0.00005);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("Rennels' equation of narrow ÷ wide")]
pub fn contraction(narrow: Length, wide: Length, rules: &ReturnLineRules) -> Result<f64, Error> {
    narrowing((narrow / wide).si(), rules)
}

/// Loss in a sudden narrowing, in velocity heads of the narrow side: `K = k₄ (1 − β⁵) λ² + (λ − 1)²` with
/// `λ = 1 + k₁ (1 − k₂ β² − k₃ β⁵)`, after Rennels.
///
/// - `ratio`: narrow bore over wide bore, `β`, from 0 (a pipe that leaves a sump) to 1
///
/// # Errors
/// [`Error::OutOfRange`].
#[formula("Rennels' equation of the ratio")]
pub fn narrowing(ratio: f64, rules: &ReturnLineRules) -> Result<f64, Error> {
    let beta = bore_ratio(ratio)?;
    let [jet, square, fifth, friction] = *rules.contraction;
    let (beta_2, beta_5) = (beta * beta, libm::pow(beta, 5.0));
    let lambda = 1.0 + jet * (1.0 - square * beta_2 - fifth * beta_5);
    Ok(friction * (1.0 - beta_5) * lambda * lambda + (lambda - 1.0) * (lambda - 1.0))
}

/// Loss in a sudden widening, in velocity heads of the narrow side: `K = (1 − β²)²`, after Borda and Carnot.
///
/// - `ratio`: narrow bore over wide bore, `β`, from 0 (a pipe that ends in a tank: all is lost) to 1
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// The balance of momentum. The library fluids 1.3.1 gives 0.3713 from 20 to 32 mm:
/// ```
/// # use reckoner_calc::formulas::return_line;
/// assert!((return_line::expansion(20.0 / 32.0)? - 0.3713).abs() <= 0.00005);
/// # Ok::<(), reckoner_calc::Error>(())
/// ```
#[formula("(1 − ratio²)²")]
pub fn expansion(ratio: f64) -> Result<f64, Error> {
    let beta = bore_ratio(ratio)?;
    let lost = 1.0 - beta * beta;
    Ok(lost * lost)
}

/// Head lost in a pipe and its fittings: `h = (f L/D + Σ K) v²/2g`, after Darcy and Weisbach.
///
/// - `flow`: from nothing to 100 m³/h
/// - `pipe`, `fluid`: each value in the range its type states
///
/// # Errors
/// [`Error::OutOfRange`] with the value that is not; [`Error::NoAnswer`] as [`friction_factor`].
///
/// # Source
/// The library fluids 1.3.1: 3000 L/h of seawater at 25 °C lose 0.2795 m for each metre of a smooth plastic
/// pipe of 21.2 mm.
/// ```
/// use reckoner_calc::{Rules, formulas::return_line::{Fluid, Pipe, head_loss}, quantity::{Dimension, parse}};
/// let rules = Rules::compiled_in().map_err(|problems| format!("{problems:?}"))?;
/// let pipe = Pipe { length: parse("1 m")?, bore: parse("21.2 mm")?, roughness: parse("0.0015 mm")?, elbows: 0, other_fittings: 0.0 };
/// let fluid = Fluid { density: parse("1023.34 kg/m3")?, viscosity: parse("0.9588 mPa s")? };
/// let head = head_loss(parse("3000 L/h")?, pipe, fluid, &rules.return_line)?;
/// assert!((head.si() - 0.2795).abs() <= 0.00005);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("(friction factor × length ÷ bore + fittings) × speed² ÷ 2g")]
pub fn head_loss(
    flow: VolumeRate,
    pipe: Pipe,
    fluid: Fluid,
    rules: &ReturnLineRules,
) -> Result<Length, Error> {
    let bore = pipe.bore;
    let (speed, reynolds) = (speed(flow, bore)?.si(), reynolds(flow, bore, fluid)?);
    let lengths = Length::from_si(0.0)..=Length::from_si(100.0);
    let length = within("the length of the pipe", pipe.length, lengths)?;
    let roughness = within("the roughness of the pipe", pipe.roughness, Length::from_si(0.0)..=bore * 0.05)?;
    let others = Ratio::from_si(pipe.other_fittings);
    let others = within("the loss in the fittings", others, Ratio::from_si(0.0)..=Ratio::from_si(1e4))?;
    if reynolds < f64::MIN_POSITIVE {
        return Ok(Length::from_si(0.0));
    }
    let friction = friction_factor(reynolds, (roughness / bore).si(), rules)? * (length / bore).si();
    let losses = friction + f64::from(pipe.elbows) * elbow(reynolds, bore, rules)? + others.si();
    Ok(Length::from_si(losses * speed * speed / (2.0 * GRAVITY)))
}

/// Head lost in a straight plastic pipe: [`head_loss`] without fittings, with the roughness of the rules.
///
/// # Errors
/// As [`head_loss`].
#[formula("friction factor × length ÷ bore × speed² ÷ 2g")]
pub fn straight_pipe(
    flow: VolumeRate,
    bore: Length,
    length: Length,
    fluid: Fluid,
    rules: &ReturnLineRules,
) -> Result<Length, Error> {
    head_loss(
        flow,
        Pipe { length, bore, roughness: *rules.roughness, elbows: 0, other_fittings: 0.0 },
        fluid,
        rules,
    )
}

/// What a pump gives against a head: `H = H₀ (1 − (Q/Q₀)²)`.
///
/// Assumes this simple shape between the two values that are printed on every pump's box. Real curves bulge
/// above it or sag below it; rule `return_line.flow_error` allows for that.
#[derive(Debug, Clone, Copy, PartialEq, Argument)]
pub struct PumpCurve {
    /// What it gives at no head, `Q₀`.
    pub max_flow: VolumeRate,
    /// The head at which it gives nothing, `H₀`.
    pub shut_off_head: Length,
}

impl PumpCurve {
    /// The head against which it gives a flow, from nothing to the most it gives.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a flow beyond it, or a pump that is not one of 0.1 L/h to 100 m³/h and 1 cm
    /// to 50 m.
    #[formula("shut off head × (1 − (flow ÷ max flow)²)")]
    pub fn head(&self, flow: VolumeRate) -> Result<Length, Error> {
        let (max_flow, top) = self.checked()?;
        let flow = within("the flow of the pump", flow, VolumeRate::from_si(0.0)..=max_flow)?;
        let share = (flow / max_flow).si();
        Ok(top * (1.0 - share * share))
    }

    fn checked(&self) -> Result<(VolumeRate, Length), Error> {
        // The least is 0.1 L/h.
        let flows = VolumeRate::from_si(0.1e-3 / 3600.0)..=VolumeRate::from_si(MOST_FLOW);
        let max_flow = within("the flow that the pump gives at no head", self.max_flow, flows)?;
        let heads = Length::from_si(0.01)..=Length::from_si(50.0);
        Ok((max_flow, within("the head at which the pump gives nothing", self.shut_off_head, heads)?))
    }
}

/// Where a pump and its line meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorkingPoint {
    /// The flow that arrives.
    pub flow: VolumeRate,
    /// The head the pump works against: lift and losses.
    pub head: Length,
}

/// The flow at which the head that a pump gives is the head that its line asks for: lift + [`head_loss`].
///
/// - `pump`: a pump of 0.1 L/h to 100 m³/h and 1 cm to 50 m
/// - `lift`: from the water in the sump up to the outlet, from nothing to below the pump's shut-off head
///
/// The line's head grows with the flow and the pump's falls, so there is one such flow; it is found by
/// halving.
///
/// # Errors
/// [`Error::NoAnswer`] when the pump can not lift the water so high; [`Error::OutOfRange`] as [`head_loss`].
#[formula("where pump head × (1 − (flow ÷ pump flow)²) = lift + friction + fittings")]
pub fn working_point(
    pump: PumpCurve,
    lift: Length,
    pipe: Pipe,
    fluid: Fluid,
    rules: &ReturnLineRules,
) -> Result<WorkingPoint, Error> {
    let (max_flow, top) = pump.checked()?;
    let lift = within("the lift of the return line", lift, Length::from_si(0.0)..=Length::from_si(50.0))?;
    if lift >= top {
        let metric = |length: Length| show(length.into(), Rounding::Nearest).metric.to_string();
        let (top, lift) = (metric(top), metric(lift));
        let why = format!(
            "the pump lifts water {top} at the most, and the outlet is {lift} up; take a stronger pump"
        );
        return Err(Error::NoAnswer { what: "the flow of the return line", why });
    }
    let (mut low, mut high) = (VolumeRate::from_si(0.0), max_flow);
    while high - low > max_flow * 1e-12 {
        let middle = (low + high) * 0.5;
        if lift + head_loss(middle, pipe, fluid, rules)? > pump.head(middle)? {
            high = middle;
        } else {
            low = middle;
        }
    }
    Ok(WorkingPoint { flow: low, head: pump.head(low)? })
}

fn usable_bore(bore: Length) -> Result<Length, Error> {
    within("the bore of the pipe", bore, Length::from_si(3e-3)..=Length::from_si(0.3))
}

fn bore_ratio(ratio: f64) -> Result<f64, Error> {
    Ok(within(
        "the narrow bore over the wide one",
        Ratio::from_si(ratio),
        Ratio::from_si(0.0)..=Ratio::from_si(1.0),
    )?
    .si())
}

/// The head that a line asks for: what the water is lifted, and what friction and fittings take.
#[formula("lift + losses")]
pub fn total_head(lift: Length, losses: Length) -> Length {
    lift + losses
}

/// Share of the flow printed on the pump that arrives.
#[formula("flow ÷ printed flow")]
pub fn share_arriving(flow: VolumeRate, printed_flow: VolumeRate) -> Share {
    Share((flow / printed_flow).si())
}

/// The flow with what the reckoning can be off, and not above what the pump gives at no height.
#[formula("flow ± share it can be off, the pump's flow at the most")]
pub fn flow_range(flow: VolumeRate, pump_flow: VolumeRate, rules: &ReturnLineRules) -> Band<VolumeRate> {
    let off = rules.flow_error.0;
    Band { low: flow * (1.0 - off), high: (flow * (1.0 + off)).min(pump_flow) }
}

/// What one narrow piece in a line loses, such as a hose tail: a sudden narrowing, then a sudden widening. It
/// counts velocity heads of the pipe; in the narrow bore the water is faster by the ratio of the areas.
///
/// - `share`: the bore of the piece as a share of the pipe's
///
/// # Errors
/// As [`narrowing`].
#[formula("(narrowing + widening) ÷ share^4")]
pub fn narrow_piece(share: Share, rules: &ReturnLineRules) -> Result<f64, Error> {
    Ok((narrowing(share.0, rules)? + expansion(share.0)?) / libm::pow(share.0, 4.0))
}

/// The bore of a piece that is given as a share of the pipe's.
#[formula("share × bore")]
pub fn narrow_bore(share: Share, bore: Length) -> Length {
    bore * share.0
}

/// What runs down over the overflow when the tank's surface falls.
#[formula("surface × fall")]
pub fn run_down(surface: Area, fall: Length) -> Volume {
    surface * fall
}

/// Of a working point, its flow.
impl Answer for WorkingPoint {
    const KIND: Kind = Kind::Flow;

    fn quantity(&self) -> Option<Quantity> {
        Some(self.flow.into())
    }
}

#[cfg(test)]
mod tests;
