//! Rounds and prints quantities: the one place where a value becomes digits.
//!
//! Each kind has a ladder of units for each of the two systems, and each unit the steps a person would use with it: nobody sets a
//! pump to 1,734 L/h. No step keeps more than three significant digits. Numbers from five digits on are grouped with commas.

use std::fmt;

use super::{Kind, Quantity, unit};

/// The two systems in which every figure is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum System {
    /// Litres, centimetres, kilograms.
    Metric,
    /// US gallons, inches, pounds.
    Us,
}

/// Which way a value is rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Rounding {
    /// To the nearest step, halves away from zero.
    #[default]
    Nearest,
    /// Up: for a figure that is unsafe when it is too small, such as a load.
    Up,
    /// Down: for a figure that is unsafe when it is too large, such as the hours a stock has.
    Down,
}

/// A value as it is printed in one system.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The digits, for instance `1700`; a range reads `570 to 1140`.
    pub number: String,
    /// The unit's symbol; empty for a plain number.
    pub unit: &'static str,
}

impl fmt::Display for Reading {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.unit.is_empty() { f.write_str(&self.number) } else { write!(f, "{}\u{a0}{}", self.number, self.unit) }
    }
}

/// A value as it is printed in both systems; `us` is `None` where both read the same.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    /// The metric reading.
    pub metric: Reading,
    /// The US reading, where it differs.
    pub us: Option<Reading>,
}

impl Shown {
    /// The reading in one system.
    pub fn in_system(&self, system: System) -> &Reading {
        match system {
            System::Metric => &self.metric,
            System::Us => self.us.as_ref().unwrap_or(&self.metric),
        }
    }
}

impl fmt::Display for Shown {
    /// Metric first, US in brackets: `171 L (45 US gal)`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.metric)?;
        if let Some(us) = &self.us {
            write!(f, " ({us})")?;
        }
        Ok(())
    }
}

/// A quantity in both systems.
///
/// ```
/// use reckoner_calc::quantity::{Rounding, parse, show};
/// use uom::si::f64::Volume;
/// let volume = parse::<Volume>("50 US gal")?;
/// assert_eq!(show(volume.into(), Rounding::Nearest).to_string(), "189\u{a0}L (50\u{a0}US\u{a0}gal)");
/// # Ok::<(), reckoner_calc::quantity::ParseError>(())
/// ```
pub fn show(quantity: Quantity, rounding: Rounding) -> Shown {
    let reading = |system| {
        let (scaled, rung) = scale(quantity, system, rounding);
        let number = digits(round(scaled, rung.step(scaled), rounding), rung.step(scaled));
        let unit = printed_symbol(rung.symbol(quantity.kind), &number);
        Reading { number, unit }
    };
    both(reading, quantity.kind)
}

/// A range in both systems: `570 to 1140 L/h`. Ends that differ never print alike: the step is made finer until they do not.
pub fn show_range(low: Quantity, high: Quantity, rounding: Rounding) -> Shown {
    let reading = |system| {
        let (high_scaled, rung) = scale(high, system, rounding);
        let low_scaled = to_unit(low, &rung);
        // The low end rounds down and the high end up only where a safety figure asks for it; both ends use one rule.
        let (mut low_step, mut high_step) = (rung.step(low_scaled), rung.step(high_scaled));
        let text = |low_step: f64, high_step: f64| {
            (digits(round(low_scaled, low_step, rounding), low_step), digits(round(high_scaled, high_step, rounding), high_step))
        };
        let mut ends = text(low_step, high_step);
        for _ in 0..6 {
            if ends.0 != ends.1 || low.si >= high.si {
                break;
            }
            (low_step, high_step) = (low_step / 10.0, high_step / 10.0);
            ends = text(low_step, high_step);
        }
        let number = if ends.0 == ends.1 { ends.0 } else { format!("{} to {}", ends.0, ends.1) };
        let unit = printed_symbol(rung.symbol(high.kind), &number);
        Reading { number, unit }
    };
    both(reading, high.kind)
}

/// A quantity in the unit in which another of its kind is printed, so that the marks of an axis share one unit.
pub fn show_like(quantity: Quantity, like: Quantity, system: System) -> Reading {
    let (_, rung) = scale_on(rows_of(like.kind, system), like, Rounding::Nearest);
    let scaled = to_unit(quantity, &rung);
    // What is at most a hundred millionth of the axis is nothing.
    let scaled = if scaled.abs() < 1e-8 * to_unit(like, &rung).abs() { 0.0 } else { scaled };
    let number = digits(round(scaled, rung.step(scaled), Rounding::Nearest), rung.step(scaled));
    Reading { number, unit: printed_symbol(rung.symbol(quantity.kind), "") }
}

/// The value of the digits that [`show`] prints, in the printed unit, with that unit: what a reader types into a calculator.
pub fn shown_number(quantity: Quantity, system: System, rounding: Rounding) -> (f64, &'static str) {
    let (scaled, rung) = scale(quantity, system, rounding);
    (round(scaled, rung.step(scaled), rounding), rung.symbol(quantity.kind))
}

/// A number's digits with a true minus sign, at most `decimals` of them after the point, grouped from five digits on.
pub fn minus(value: f64, decimals: usize) -> String {
    digits(value, libm::pow(10.0, -(decimals as f64)))
}

fn both(reading: impl Fn(System) -> Reading, kind: Kind) -> Shown {
    let metric = reading(System::Metric);
    let us = ladder(kind, System::Us).map(|_| reading(System::Us));
    Shown { metric, us }
}

/// One unit of a ladder: used from `from` of it upwards, rounded to the step of the first row whose bound the value is below.
struct Rung {
    symbol: &'static str,
    from: f64,
    steps: &'static [(f64, f64)],
    /// One unit in SI, and the offset of a temperature.
    scale: (f64, f64),
}

impl Rung {
    fn step(&self, value: f64) -> f64 {
        let size = value.abs();
        self.steps.iter().find(|(below, _)| size < *below).map_or_else(
            // Past the last row: three significant digits.
            || if size > 0.0 { libm::pow(10.0, libm::floor(libm::log10(size)) - 2.0) } else { 1.0 },
            |(_, step)| *step,
        )
    }

    fn symbol(&self, kind: Kind) -> &'static str {
        match kind {
            Kind::Money(currency) => currency.code(),
            _ => self.symbol,
        }
    }
}

/// The unit in which a value is printed, and the value in it. The largest unit of which the rounded value makes enough.
fn scale(quantity: Quantity, system: System, rounding: Rounding) -> (f64, Rung) {
    scale_on(whole_days(quantity).unwrap_or_else(|| rows_of(quantity.kind, system)), quantity, rounding)
}

/// The ladder of a kind in a system, the metric one where both read the same.
fn rows_of(kind: Kind, system: System) -> &'static [Row] {
    ladder(kind, system).or_else(|| ladder(kind, System::Metric)).unwrap_or(PLAIN)
}

fn scale_on(rows: &'static [Row], quantity: Quantity, rounding: Rounding) -> (f64, Rung) {
    let mut chosen = None;
    for (symbol, from, steps) in rows {
        let (size, offset) = unit(quantity.kind, symbol).map_or((1.0, 0.0), |unit| (unit.si, unit.offset));
        let rung = Rung { symbol, from: *from, steps, scale: (size, offset) };
        let scaled = to_unit(quantity, &rung);
        let enough = round(scaled, rung.step(scaled), rounding).abs() >= rung.from;
        chosen = Some((scaled, rung));
        if enough {
            break;
        }
    }
    chosen.unwrap_or((quantity.si, Rung { symbol: "", from: 0.0, steps: SIGNIFICANT, scale: (1.0, 0.0) }))
}

/// A day, two days or a week is said as such, not as 24 hours or 7 days.
fn whole_days(quantity: Quantity) -> Option<&'static [Row]> {
    const DAY: f64 = 86_400.0;
    let days = quantity.si / DAY;
    let is_whole = quantity.kind == Kind::Time && (0.5..7.5).contains(&days) && (days - libm::rint(days)).abs() < 1e-9;
    match libm::rint(days) as u8 {
        7 if is_whole => Some(&[("weeks", 0.0, WHOLE)]),
        1..=6 if is_whole => Some(&[("days", 0.0, WHOLE)]),
        _ => None,
    }
}

fn to_unit(quantity: Quantity, rung: &Rung) -> f64 {
    quantity.si / rung.scale.0 - rung.scale.1
}

/// To a multiple of `step`. A value within a billionth of a step's half or whole counts as on it, so that the last bit of a sum
/// never decides what is printed.
fn round(value: f64, step: f64, rounding: Rounding) -> f64 {
    let steps = value / step;
    let slack = 1e-9 * (1.0 + steps.abs());
    let whole = match rounding {
        Rounding::Nearest => libm::copysign(libm::floor(steps.abs() + 0.5 + slack), steps),
        Rounding::Up => libm::ceil(steps - slack),
        Rounding::Down => libm::floor(steps + slack),
    };
    // Dividing by a whole number of parts keeps 0.1 steps exact to print.
    if step < 1.0 { whole / libm::rint(1.0 / step) } else { whole * step }
}

fn digits(value: f64, step: f64) -> String {
    let decimals = if step >= 1.0 { 0 } else { libm::ceil(-libm::log10(step) - 1e-9) as usize };
    let text = format!("{:.decimals$}", value.abs());
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    let (whole, fraction) = text.split_once('.').map_or((text, ""), |(whole, fraction)| (whole, fraction));
    let mut out = String::new();
    if value < 0.0 && text != "0" {
        out.push('−');
    }
    for (at, c) in whole.chars().enumerate() {
        if whole.len() > 4 && at > 0 && (whole.len() - at) % 3 == 0 {
            out.push(',');
        }
        out.push(c);
    }
    if !fraction.is_empty() {
        out.push('.');
        out.push_str(fraction);
    }
    out
}

/// A unit of several words holds together in print, and one of a thing is no plural.
fn printed_symbol(symbol: &'static str, number: &str) -> &'static str {
    match symbol {
        "years" if number == "1" => "year",
        "months" if number == "1" => "month",
        "weeks" if number == "1" => "week",
        "days" if number == "1" => "day",
        "times an hour" if number == "1" => "time\u{a0}an\u{a0}hour",
        "times a day" if number == "1" => "time\u{a0}a\u{a0}day",
        "US gal" => "US\u{a0}gal",
        "US fl oz" => "US\u{a0}fl\u{a0}oz",
        "US gal/h" => "US\u{a0}gal/h",
        "lb/sq ft" => "lb/sq\u{a0}ft",
        "sq ft" => "sq\u{a0}ft",
        "sq in" => "sq\u{a0}in",
        "times an hour" => "times\u{a0}an\u{a0}hour",
        "times a day" => "times\u{a0}a\u{a0}day",
        "mPa s" => "mPa\u{a0}s",
        "mg/(m² h)" => "mg/(m²\u{a0}h)",
        other => other,
    }
}

type Row = (&'static str, f64, &'static [(f64, f64)]);

/// Three significant digits, whatever the size.
const SIGNIFICANT: &[(f64, f64)] = &[];
const PLAIN: &[Row] = &[("", 0.0, SIGNIFICANT)];
/// Whole numbers from a hundred, tenths below: centimetres, inches, kilograms.
const TENTHS: &[(f64, f64)] = &[(1.0, 0.01), (100.0, 0.1), (1000.0, 1.0)];
/// Fine enough that no length prints in metres that would not be read back so.
const METRES: &[(f64, f64)] = &[(10.0, 0.01), (100.0, 0.1), (1000.0, 1.0)];
/// The roughness of a pipe needs finer steps than a pane.
const FINE: &[(f64, f64)] = &[(0.01, 0.0001), (1.0, 0.01), (100.0, 0.1), (1000.0, 1.0)];
/// What people read off a jug or a tank's label.
const VOLUMES: &[(f64, f64)] = &[(1.0, 0.01), (20.0, 0.1), (1000.0, 1.0)];
/// What a pump's dial or box says.
const FLOWS: &[(f64, f64)] = &[(10.0, 0.1), (100.0, 1.0), (1000.0, 10.0), (10_000.0, 50.0), (100_000.0, 500.0)];
const WHOLE: &[(f64, f64)] = &[(10.0, 0.1), (1000.0, 1.0)];

/// The units of a kind in one system, largest first; no US ladder where both systems read the same.
fn ladder(kind: Kind, system: System) -> Option<&'static [Row]> {
    let rows: &'static [Row] = match (kind, system) {
        (Kind::Length, System::Metric) => &[("m", 2.5, METRES), ("cm", 1.0, TENTHS), ("mm", 0.0, FINE)],
        (Kind::Length, System::Us) => &[("ft", 8.3, TENTHS), ("in", 0.0, TENTHS)],
        (Kind::Area, System::Metric) => &[("m²", 0.1, SIGNIFICANT), ("cm²", 0.0, SIGNIFICANT)],
        (Kind::Area, System::Us) => &[("sq ft", 1.0, SIGNIFICANT), ("sq in", 0.0, SIGNIFICANT)],
        (Kind::Volume, System::Metric) => &[("L", 1.0, VOLUMES), ("mL", 0.0, SIGNIFICANT)],
        (Kind::Volume, System::Us) => &[("US gal", 0.25, VOLUMES), ("US fl oz", 0.0, TENTHS)],
        (Kind::Mass, System::Metric) => &[("kg", 1.0, TENTHS), ("g", 0.1, TENTHS), ("mg", 0.0, SIGNIFICANT)],
        (Kind::Mass, System::Us) => &[("lb", 1.0, TENTHS), ("oz", 0.0, SIGNIFICANT)],
        (Kind::Time, System::Metric) => &[
            ("years", 1.0, WHOLE),
            ("months", 2.0, WHOLE),
            ("weeks", 2.0, WHOLE),
            ("days", 3.0, WHOLE),
            ("h", 1.5, WHOLE),
            ("min", 2.0, WHOLE),
            ("s", 0.0, SIGNIFICANT),
        ],
        (Kind::Speed, System::Metric) => &[("cm/s", 0.0, TENTHS)],
        (Kind::Speed, System::Us) => &[("in/s", 0.0, TENTHS)],
        (Kind::TransferVelocity, System::Metric) => &[("cm/h", 0.0, TENTHS)],
        (Kind::Flow, System::Metric) => &[("L/h", 0.0, FLOWS)],
        (Kind::Flow, System::Us) => &[("US gal/h", 0.0, FLOWS)],
        (Kind::Rate, System::Metric) => &[("times an hour", 0.3, WHOLE), ("times a day", 0.0, WHOLE)],
        (Kind::Temperature, System::Metric) => &[("°C", -300.0, TENTHS)],
        (Kind::Temperature, System::Us) => &[("°F", -500.0, TENTHS)],
        (Kind::Density, System::Metric) => &[("kg/m³", 0.0, &[(10_000.0, 1.0)])],
        (Kind::KinematicViscosity, System::Metric) => &[("mm²/s", 0.0, SIGNIFICANT)],
        (Kind::DynamicViscosity, System::Metric) => &[("mPa s", 0.0, SIGNIFICANT)],
        (Kind::Stress, System::Metric) => &[("kPa", 1.0, SIGNIFICANT), ("Pa", 0.0, SIGNIFICANT)],
        (Kind::FloorLoad, System::Metric) => &[("kg/m²", 0.0, FLOWS)],
        (Kind::FloorLoad, System::Us) => &[("lb/sq ft", 0.0, WHOLE)],
        (Kind::Power, System::Metric) => &[("kW", 1.0, SIGNIFICANT), ("W", 0.0, TENTHS)],
        (Kind::Energy, System::Metric) => &[("kWh", 1.0, TENTHS), ("Wh", 0.0, WHOLE)],
        (Kind::Voltage, System::Metric) => &[("V", 0.0, WHOLE)],
        (Kind::Current, System::Metric) => &[("A", 1.0, TENTHS), ("mA", 0.0, WHOLE)],
        (Kind::Concentration, System::Metric) => &[("g/L", 1.0, SIGNIFICANT), ("mg/L", 0.0, TENTHS)],
        (Kind::MassRate, System::Metric) => &[("mg/h", 0.0, SIGNIFICANT)],
        (Kind::UptakeByArea, System::Metric) => &[("mg/(m² h)", 0.0, SIGNIFICANT)],
        (Kind::MolarMass, System::Metric) => &[("g/mol", 0.0, SIGNIFICANT)],
        (Kind::SoundLevel, System::Metric) => &[("dB", -1000.0, &[(1000.0, 1.0)])],
        (Kind::Salinity, System::Metric) => &[("", 0.0, TENTHS)],
        // The fourth digit is the one that a hydrometer is read for.
        (Kind::SpecificGravity, System::Metric) => &[("", 0.0, &[(10.0, 0.001)])],
        (Kind::Share, System::Metric) => &[("%", 0.0, &[(1.0, 0.01), (10.0, 0.1), (1000.0, 1.0)])],
        (Kind::Ratio, System::Metric) => PLAIN,
        (Kind::Count, System::Metric) => &[("", 0.0, &[(1e15, 1.0)])],
        // Below one, a tenth of a cent counts: kilowatt hours are priced that finely.
        (Kind::Money(_), System::Metric) => &[("", 0.0, &[(1.0, 0.001), (20.0, 0.1), (1000.0, 1.0)])],
        _ => return None,
    };
    Some(rows)
}
