//! The return line: what head its pump works against, how much water arrives, and how often that turns the system over.
//!
//! The pump must lift the water, push it through the pipe and push it through the fittings. The last two grow with about the square
//! of the flow, and the pump gives less the more is asked of it: the flow that arrives is where both meet.

use std::f64::consts::PI;

use uom::si::f64::{DynamicViscosity, Length, MassDensity, Ratio, Velocity, VolumeRate};

use crate::error::{Error, within};
use crate::formulas::turnover;
use crate::quantity::{Dimension, Kind, Quantity, Rounding, Share, System, show};
use crate::rules::return_line::ReturnLineRules;
use crate::rules::{Band, Rules};
use crate::seawater;
use crate::sheet::{Cell, Figure, Item, Op, Row, Sheet, Sum, Table, Working};
use crate::tank::{ReturnLine, Tank};
use crate::volume::Contents;

/// Standard gravity in m/s², exact by definition (CGPM 1901).
const GRAVITY: f64 = 9.806_65;
/// An inch in metres, exactly; Hooper's elbow measures bores in it.
const INCH: f64 = 0.0254;
/// The friction factor of a laminar pipe flow times its Reynolds number: exact, from the law of Hagen and Poiseuille.
const LAMINAR: f64 = 64.0;

/// The largest flow that is answered, 100 m³/h, in m³/s.
const MOST_FLOW: f64 = 100.0 / 3600.0;

/// What flows through a pipe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fluid {
    /// Its density, from 900 to 1100 kg/m³.
    pub density: MassDensity,
    /// Its dynamic viscosity, from 0.2 to 3 mPa s.
    pub viscosity: DynamicViscosity,
}

/// A run of pipe with its fittings.
#[derive(Debug, Clone, Copy, PartialEq)]
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

impl Pipe {
    /// Speed of the water: `v = Q / (π D² / 4)`.
    ///
    /// - `flow`: from nothing to 100 m³/h
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for another flow, or a bore that is none.
    pub fn speed(&self, flow: VolumeRate) -> Result<Velocity, Error> {
        let flow = within("the flow in the pipe", flow, VolumeRate::from_si(0.0)..=VolumeRate::from_si(MOST_FLOW))?;
        let bore = usable_bore(self.bore)?;
        Ok(flow / (bore * bore * (PI / 4.0)))
    }

    /// Reynolds number: `Re = ρ v D / μ`.
    ///
    /// # Errors
    /// As [`Pipe::speed`], and [`Error::OutOfRange`] for a density or viscosity that is not water's.
    pub fn reynolds(&self, flow: VolumeRate, fluid: Fluid) -> Result<f64, Error> {
        let density = within("the density of the water", fluid.density, MassDensity::from_si(900.0)..=MassDensity::from_si(1100.0))?;
        let viscosities = DynamicViscosity::from_si(0.2e-3)..=DynamicViscosity::from_si(3e-3);
        let viscosity = within("the viscosity of the water", fluid.viscosity, viscosities)?;
        Ok((density * self.speed(flow)? * self.bore / viscosity).si())
    }
}

/// Darcy friction factor of a pipe.
///
/// Laminar: `f = 64 / Re`. Turbulent, after Colebrook: `1/√f = −2 log₁₀(ε/(3.7 D) + 2.51/(Re √f))`, iterated until it stands still.
///
/// - `reynolds`: above 0, up to 10⁸
/// - `relative_roughness`: height of the bumps over the bore, `ε/D`, from 0 (smooth) to 0.05
///
/// Between rule `return_line.laminar_up_to` and about 4000 the flow can be of either kind; the answer is the turbulent one, which is
/// the larger.
///
/// # Errors
/// [`Error::OutOfRange`] for a value outside those ranges; [`Error::NoAnswer`] when the iteration does not settle, which no value
/// inside them brings about.
///
/// # Source
/// Lindeburg, example 17.2: at Re 4 × 10⁵ and ε/D 0.004, the Colebrook equation gives 0.0287.
/// ```
/// use reckoner_calc::{Rules, return_line};
/// let rules = Rules::compiled_in().map_err(|problems| format!("{problems:?}"))?;
/// let f = return_line::friction_factor(4e5, 0.004, &rules.return_line)?;
/// assert!((f - 0.0287).abs() <= 0.00005);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn friction_factor(reynolds: f64, relative_roughness: f64, rules: &ReturnLineRules) -> Result<f64, Error> {
    let ratio = Ratio::from_si;
    let reynolds = within("the Reynolds number", ratio(reynolds), ratio(f64::MIN_POSITIVE)..=ratio(1e8))?.si();
    let rough = within("the roughness over the bore", ratio(relative_roughness), ratio(0.0)..=ratio(0.05))?.si();
    if reynolds <= rules.laminar_up_to.si() {
        return Ok(LAMINAR / reynolds);
    }
    let [factor, roughness, smooth] = *rules.colebrook;
    // With x = 1/√f the equation reads x = g(x), and |g'| stays below a quarter: each step adds a digit or more.
    let mut x = 8.0;
    for _ in 0..100 {
        let next = -factor * libm::log10(rough / roughness + smooth * x / reynolds);
        if (next - x).abs() <= 1e-14 * x {
            return Ok(1.0 / (next * next));
        }
        x = next;
    }
    let why = format!("the iteration does not settle at a Reynolds number of {reynolds} and a relative roughness of {rough}");
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
/// The coefficients are from memory. The library fluids 1.3.1 gives 0.895 for them in a bore of 21.2 mm at Re 5 × 10⁴:
/// ```
/// use reckoner_calc::{Rules, quantity::parse, return_line};
/// let rules = Rules::compiled_in().map_err(|problems| format!("{problems:?}"))?;
/// let loss = return_line::elbow(5e4, parse("21.2 mm")?, &rules.return_line)?;
/// assert!((loss - 0.895).abs() <= 0.0005);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn elbow(reynolds: f64, bore: Length, rules: &ReturnLineRules) -> Result<f64, Error> {
    let bore = usable_bore(bore)?;
    let reynolds = Ratio::from_si(reynolds);
    let reynolds = within("the Reynolds number", reynolds, Ratio::from_si(f64::MIN_POSITIVE)..=Ratio::from_si(1e8))?;
    let [viscous, wide] = *rules.elbow;
    Ok(viscous / reynolds.si() + wide * (1.0 + INCH / bore.si()))
}

/// Loss in a sudden narrowing, in velocity heads of the narrow side: `K = k₄ (1 − β⁵) λ² + (λ − 1)²` with
/// `λ = 1 + k₁ (1 − k₂ β² − k₃ β⁵)`, after Rennels.
///
/// - `ratio`: narrow bore over wide bore, `β`, from 0 (a pipe that leaves a sump) to 1
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// The coefficients are from memory. The library fluids 1.3.1 gives 0.4198 from 32 to 20 mm:
/// ```
/// use reckoner_calc::{Rules, return_line};
/// let rules = Rules::compiled_in().map_err(|problems| format!("{problems:?}"))?;
/// assert!((return_line::contraction(20.0 / 32.0, &rules.return_line)? - 0.4198).abs() <= 0.00005);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn contraction(ratio: f64, rules: &ReturnLineRules) -> Result<f64, Error> {
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
/// # use reckoner_calc::return_line;
/// assert!((return_line::expansion(20.0 / 32.0)? - 0.3713).abs() <= 0.00005);
/// # Ok::<(), reckoner_calc::Error>(())
/// ```
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
/// The library fluids 1.3.1: 3000 L/h of seawater at 25 °C lose 0.2795 m for each metre of a smooth plastic pipe of 21.2 mm.
/// ```
/// use reckoner_calc::{Rules, quantity::{Dimension, parse}, return_line::{Fluid, Pipe, head_loss}};
/// let rules = Rules::compiled_in().map_err(|problems| format!("{problems:?}"))?;
/// let pipe = Pipe { length: parse("1 m")?, bore: parse("21.2 mm")?, roughness: parse("0.0015 mm")?, elbows: 0, other_fittings: 0.0 };
/// let fluid = Fluid { density: parse("1023.34 kg/m3")?, viscosity: parse("0.9588 mPa s")? };
/// let head = head_loss(parse("3000 L/h")?, &pipe, fluid, &rules.return_line)?;
/// assert!((head.si() - 0.2795).abs() <= 0.00005);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn head_loss(flow: VolumeRate, pipe: &Pipe, fluid: Fluid, rules: &ReturnLineRules) -> Result<Length, Error> {
    let (speed, reynolds, bore) = (pipe.speed(flow)?.si(), pipe.reynolds(flow, fluid)?, pipe.bore);
    let length = within("the length of the pipe", pipe.length, Length::from_si(0.0)..=Length::from_si(100.0))?;
    let roughness = within("the roughness of the pipe", pipe.roughness, Length::from_si(0.0)..=bore * 0.05)?;
    let others = within("the loss in the fittings", Ratio::from_si(pipe.other_fittings), Ratio::from_si(0.0)..=Ratio::from_si(1e4))?;
    if reynolds < f64::MIN_POSITIVE {
        return Ok(Length::from_si(0.0));
    }
    let friction = friction_factor(reynolds, (roughness / bore).si(), rules)? * (length / bore).si();
    let losses = friction + f64::from(pipe.elbows) * elbow(reynolds, bore, rules)? + others.si();
    Ok(Length::from_si(losses * speed * speed / (2.0 * GRAVITY)))
}

/// What a pump gives against a head: `H = H₀ (1 − (Q/Q₀)²)`.
///
/// Assumes this simple shape between the two values that are printed on every pump's box. Real curves bulge above it or sag below
/// it; rule `return_line.flow_error` allows for that.
#[derive(Debug, Clone, Copy, PartialEq)]
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
    /// [`Error::OutOfRange`] for a flow beyond it, or a pump that is not one of 0.1 L/h to 100 m³/h and 1 cm to 50 m.
    pub fn head(&self, flow: VolumeRate) -> Result<Length, Error> {
        let (max_flow, top) = self.checked()?;
        let flow = within("the flow of the pump", flow, VolumeRate::from_si(0.0)..=max_flow)?;
        let share = flow.si() / max_flow.si();
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
/// The line's head grows with the flow and the pump's falls, so there is one such flow; it is found by halving.
///
/// # Errors
/// [`Error::NoAnswer`] when the pump can not lift the water so high; [`Error::OutOfRange`] as [`head_loss`].
pub fn working_point(pump: PumpCurve, lift: Length, pipe: &Pipe, fluid: Fluid, rules: &ReturnLineRules) -> Result<WorkingPoint, Error> {
    let (max_flow, top) = pump.checked()?;
    let lift = within("the lift of the return line", lift, Length::from_si(0.0)..=Length::from_si(50.0))?;
    if lift >= top {
        let metric = |length: Length| show(length.into(), Rounding::Nearest).metric.to_string();
        let why = format!("the pump lifts water {} at the most, and the outlet is {} up; take a stronger pump", metric(top), metric(lift));
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
    Ok(within("the narrow bore over the wide one", Ratio::from_si(ratio), Ratio::from_si(0.0)..=Ratio::from_si(1.0))?.si())
}

/// What a return pump delivers through its line.
///
/// # Errors
/// As [`working_point`].
pub(crate) fn delivered(line: &ReturnLine, tank: &Tank, rules: &Rules) -> Result<VolumeRate, Error> {
    Ok(Reckoned::new(line, line.bore, 0.0, fluid_of(tank, rules)?, &rules.return_line)?.point.flow)
}

/// The water of a tank, as a pipe feels it.
fn fluid_of(tank: &Tank, rules: &Rules) -> Result<Fluid, Error> {
    let (salinity, temperature) = (*tank.salinity, *tank.temperature);
    Ok(Fluid {
        density: seawater::density(salinity, temperature, &rules.seawater)?,
        viscosity: seawater::dynamic_viscosity(salinity, temperature, &rules.seawater)?,
    })
}

/// Adds the figures of this topic, `return_line.…`, for a tank that has one, or says that it has none.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let drop = *rules.return_line.drop;
    sheet.put(Figure::new("overflow.drop", "A fall of the tank's surface", drop).rule("return_line.drop"));
    sheet.put(
        Figure::new("overflow.drop_water", "What runs down when the tank's surface falls by so much", tank.display_area() * drop)
            .from("surface × fall", &["tank.display_area", "overflow.drop"])
            .never_below(),
    );
    let Some(line) = &tank.return_line else {
        let why = format!(
            "{} has no return line in its file. Write a table [return] into it, with the lift, the pipe and the pump, to have it reckoned.",
            tank.name
        );
        let own = ["return_line", "return_line_bores", "return_line_narrow", "sump_turnover"];
        let power = ["power.return", "power.return_day", "power.return_year", "power.return_cost"];
        for part in own.iter().chain(&power) {
            sheet.lack(*part, &*why);
        }
        return Ok(());
    };
    let system = Contents::of(tank, &rules.volume).system(tank);
    let fluid = fluid_of(tank, rules)?;
    let rules = &rules.return_line;
    let reckoned = Reckoned::new(&line, line.bore, 0.0, fluid, rules)?;
    let WorkingPoint { flow, head } = reckoned.point;
    sheet.put(Figure::new("return_line.lift", "From the water in the sump up to the outlet", line.lift));
    sheet.put(Figure::new("return_line.length", "Length of the return pipe", line.length));
    sheet.put(Figure::new("return_line.bore", "Inside diameter of the return pipe", line.bore));
    let count = Quantity::new(Kind::Count, f64::from(*line.elbows));
    sheet.put(Figure::new("return_line.elbows", "Elbows in the return pipe", count).assumes(tank, "return.elbows"));
    sheet.put(Figure::new("return_line.pump_flow", "What the return pump gives at no height", line.pump_flow));
    sheet.put(Figure::new("return_line.pump_head", "The height at which the return pump gives nothing", line.pump_head));

    let line_inputs = ["return_line.lift", "return_line.length", "return_line.bore", "return_line.elbows"];
    let flow_inputs = ["return_line.pump_flow", "return_line.pump_head", line_inputs[0], line_inputs[1], line_inputs[2], line_inputs[3]];
    let losses = ["colebrook", "laminar_up_to", "roughness", "entrance", "exit", "elbow"];
    let with_losses = |figure: Figure| losses.iter().fold(figure, |figure, rule| figure.rule(&format!("return_line.{rule}")));
    sheet.put(with_losses(
        Figure::new("return_line.flow", "Flow that arrives from the sump", flow)
            .from("where pump head × (1 − (flow ÷ pump flow)²) = lift + friction + fittings", &flow_inputs),
    ));
    let range = Band { low: flow * (1.0 - rules.flow_error.0), high: (flow * (1.0 + rules.flow_error.0)).min(line.pump_flow) };
    sheet.put(
        Figure::new("return_line.flow_range", "Flow that arrives from the sump, with what the reckoning can be off", range)
            .from("flow ± share it can be off, the pump's flow at the most", &["return_line.flow", "return_line.pump_flow"])
            .rule("return_line.flow_error"),
    );
    let share = Share(flow.si() / line.pump_flow.si());
    sheet.put(
        Figure::new("return_line.share", "Share of the pump's printed flow that arrives", share)
            .from("flow ÷ printed flow", &["return_line.flow", "return_line.pump_flow"]),
    );
    sheet.put(
        Figure::new("return_line.speed", "Speed of the water in the return pipe", reckoned.pipe.speed(flow)?)
            .from("flow ÷ (π × bore² ÷ 4)", &["return_line.flow", "return_line.bore"]),
    );
    sheet.put(with_losses(
        Figure::new("return_line.loss", "Head that friction and fittings take", head - line.lift)
            .from("(friction factor × length ÷ bore + fittings) × speed² ÷ 2g", &["return_line.speed", line_inputs[1], line_inputs[2]]),
    ));
    sheet.put(
        Figure::new("return_line.head", "Head that the return pump works against", head)
            .from("lift + losses", &["return_line.lift", "return_line.loss"]),
    );
    sheet.put(
        Figure::new("return_line.turnover", "How often the system's water goes over the overflow", turnover::turnover(flow, system)?)
            .from("flow ÷ all water", &["return_line.flow", "tank.system"]),
    );
    let wanted = Band { low: turnover::flow(system, rules.sump_turnover.low)?, high: turnover::flow(system, rules.sump_turnover.high)? };
    sheet.put(
        Figure::new("return_line.wanted", "Flow through the sump that is usual for this system", wanted)
            .from("all water × usual turnover", &["tank.system"])
            .rule("return_line.sump_turnover"),
    );
    put_comparison(sheet, tank, (&line, fluid, rules), flow, wanted)?;

    let terms = vec![(Op::First, Item::of(flow, System::Metric)), (Op::Over, Item::of(system, System::Metric))];
    let working = Working {
        id: "sump_turnover",
        title: "How often the system's water goes over the overflow",
        given: ["return_line.flow", "tank.system"].map(str::to_owned).into(),
        formula: "flow that arrives ÷ all water",
        sums: vec![Sum::work(System::Metric, terms, "times\u{a0}an\u{a0}hour")],
        answer: "return_line.turnover",
        tell: "Time how long the return takes to fill a bucket of known size: that is the flow that arrives.",
    };
    sheet.workings.insert(working.id, working);
    sheet.put_table(bores_table(&line, fluid, rules)?);
    sheet.put_table(narrow_table(&line, fluid, rules)?);
    Ok(())
}

/// How the flow that arrives compares with what is usual, and which wider pipe would help where it is too little.
fn put_comparison(
    sheet: &mut Sheet,
    tank: &Tank,
    (line, fluid, rules): (&ReturnLine, Fluid, &ReturnLineRules),
    flow: VolumeRate,
    wanted: Band<VolumeRate>,
) -> Result<(), Error> {
    let says = if flow < wanted.low {
        "less than is usual"
    } else if flow > wanted.high {
        "more than is usual: turn the pump down, at its dial or with a valve behind it"
    } else {
        "as much as is usual"
    };
    sheet.put(
        Figure::new("return_line.says", "How the flow that arrives compares with what is usual", says)
            .from("flow compared with what is usual", &["return_line.flow", "return_line.wanted"]),
    );
    if flow >= wanted.low {
        let why = format!("The return pump of {} brings up enough through the pipe it has.", tank.name);
        for part in ["wider", "wider_flow", "weak"] {
            sheet.lack(&format!("return_line.{part}"), &*why);
        }
        return Ok(());
    }
    let mut bores: Vec<_> = rules.usual_bores.iter().copied().filter(|bore| *bore > line.bore).collect();
    bores.sort_by(|one, other| one.si().total_cmp(&other.si()));
    for bore in bores {
        let more = Reckoned::new(line, bore, 0.0, fluid, rules)?.point.flow;
        if more >= wanted.low {
            let inputs = ["return_line.pump_flow", "return_line.pump_head", "return_line.lift", "return_line.length", "return_line.elbows"];
            sheet.put(
                Figure::new("return_line.wider", "The narrowest usual pipe through which the pump brings up enough", bore)
                    .from("the first with which the flow is usual", &["return_line.wanted"])
                    .rule("return_line.usual_bores"),
            );
            sheet.put(
                Figure::new("return_line.wider_flow", "Flow that arrives through that pipe", more).from("as return_line.flow", &inputs),
            );
            sheet.lack("return_line.weak", format!("A wider pipe is enough for {}.", tank.name));
            return Ok(());
        }
    }
    let weak = "no usual pipe is wide enough for it: take a stronger pump, or let the outlet end lower";
    sheet.put(
        Figure::new("return_line.weak", "What to do where no pipe is wide enough", weak)
            .from("flow through the widest usual pipe, compared with what is usual", &["return_line.wanted"])
            .rule("return_line.usual_bores"),
    );
    for part in ["wider", "wider_flow"] {
        sheet.lack(&format!("return_line.{part}"), format!("For the return pump of {} {weak}.", tank.name));
    }
    Ok(())
}

/// A tank's return line with its working point.
struct Reckoned {
    pipe: Pipe,
    point: WorkingPoint,
}

impl Reckoned {
    /// With a bore that may differ from the line's own, and with what further fittings lose, in velocity heads of that bore.
    fn new(line: &ReturnLine, bore: Length, further: f64, fluid: Fluid, rules: &ReturnLineRules) -> Result<Self, Error> {
        let other_fittings = rules.entrance.si() + rules.exit.si() + further;
        let pipe = Pipe { length: line.length, bore, roughness: *rules.roughness, elbows: *line.elbows, other_fittings };
        let pump = PumpCurve { max_flow: line.pump_flow, shut_off_head: line.pump_head };
        Ok(Reckoned { pipe, point: working_point(pump, line.lift, &pipe, fluid, rules)? })
    }
}

/// The same pump, lift, length and elbows with other pipes.
fn bores_table(line: &ReturnLine, fluid: Fluid, rules: &ReturnLineRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for bore in &*rules.usual_bores {
        let Reckoned { pipe, point } = Reckoned::new(line, *bore, 0.0, fluid, rules)?;
        let head = Figure::new(format!("return_line_bores.{}", rows.len() + 1), "Inside diameter of the pipe", *bore);
        let flow = Figure::new(format!("{}.flow", head.id), "Flow that arrives", point.flow)
            .from("as return_line.flow", &[head.id.as_str(), "return_line.flow"]);
        let loss = Figure::new(format!("{}.loss", head.id), "Head that friction and fittings take", point.head - line.lift)
            .from("as return_line.loss", &[flow.id.as_str(), "return_line.loss"]);
        let speed = Figure::new(format!("{}.speed", head.id), "Speed of the water in the pipe", pipe.speed(point.flow)?)
            .from("flow ÷ (π × bore² ÷ 4)", &[flow.id.as_str(), head.id.as_str()]);
        let cells = vec![Cell::Figure(flow), Cell::Figure(loss), Cell::Figure(speed)];
        rows.push(Row { head: Cell::Figure(head.rule("return_line.usual_bores")), cells });
    }
    Ok(Table {
        id: "return_line_bores",
        caption: "What the bore of the return pipe does, with this pump and this lift".to_owned(),
        heads: ["Bore", "Flow that arrives", "Head lost in the pipe", "Speed in the pipe"].map(str::to_owned).into(),
        rows,
        origin: crate::sheet::Origin::default(),
    })
}

/// One narrow piece in the line, such as a hose tail: a sudden narrowing, then a sudden widening.
fn narrow_table(line: &ReturnLine, fluid: Fluid, rules: &ReturnLineRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for share in &*rules.narrow_pieces {
        let beta = share.0;
        // Its losses count velocity heads of the narrow bore, where the water is faster by the ratio of the areas.
        let further = (contraction(beta, rules)? + expansion(beta)?) / libm::pow(beta, 4.0);
        let Reckoned { point, .. } = Reckoned::new(line, line.bore, further, fluid, rules)?;
        let head = Figure::new(format!("return_line_narrow.{}", rows.len() + 1), "Bore of the narrow piece, of the pipe's", *share);
        let bore = Figure::new(format!("{}.bore", head.id), "Bore of the narrow piece", line.bore * beta)
            .from("share × bore", &[head.id.as_str(), "return_line.bore"]);
        let flow = Figure::new(format!("{}.flow", head.id), "Flow that arrives", point.flow)
            .from("as return_line.flow, with a narrowing and a widening", &[bore.id.as_str(), "return_line.flow"])
            .rule("return_line.contraction");
        let cells = vec![Cell::Figure(bore), Cell::Figure(flow)];
        rows.push(Row { head: Cell::Figure(head.rule("return_line.narrow_pieces")), cells });
    }
    Ok(Table {
        id: "return_line_narrow",
        caption: "What one narrow piece in this return line does".to_owned(),
        heads: ["Share of the pipe's bore", "Its bore", "Flow that arrives"].map(str::to_owned).into(),
        rows,
        origin: crate::sheet::Origin::default(),
    })
}

#[cfg(test)]
mod tests;
