//! Rounds and prints quantities: the one place where a value becomes digits.
//!
//! The rules, once for the whole project:
//!
//! 1. Each kind has a ladder of units for each of the two systems, and each unit the steps a person would use
//!    with it: nobody sets a pump to 1,734 L/h. Below the steps of a unit stand as many digits as a slide
//!    rule gives: three after a leading one, else two. So nothing but nothing prints as zero, and no print is
//!    more than 3 % off, but for a share, which is read to the whole per cent. Levels (decibels) and
//!    temperatures count from a zero that is not nothing: they have one step.
//! 2. The unit is chosen after rounding, by the printed number. What is printed can be read back, and prints
//!    the same again.
//! 3. A figure is rounded to the nearest step, or to the side on which it is safe: [`Rounding`]. Each
//!    system's reading keeps to that side by itself.
//! 4. A range rounds outward, whatever its figure asks for: its low end down, its high end up.
//! 5. One value prints in one way on a sheet: `Sheet::reckon` gives every figure, cell and term of a sum that
//!    repeats a value the side of the figure that chose one.
//!
//! Numbers from five digits on are grouped with commas.

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
        if self.unit.is_empty() {
            f.write_str(&self.number)
        } else {
            write!(f, "{}\u{a0}{}", self.number, self.unit)
        }
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
    both(|system| print(quantity, system, rounding).reading(), quantity.kind)
}

/// As [`show`], with so many digits more than the steps of its kind give.
pub fn show_finer(quantity: Quantity, rounding: Rounding, digits: u32) -> Shown {
    both(
        |system| print(quantity, system, rounding).finer(quantity, rounding, digits).reading(),
        quantity.kind,
    )
}

/// Whether the prints of two values, each with its rounding and its digits more than usual, tell in both
/// systems which is the larger.
pub(crate) fn is_told_apart(one: (Quantity, Rounding, u32), other: (Quantity, Rounding, u32)) -> bool {
    let order = one.0.si.total_cmp(&other.0.si);
    let read = |(quantity, rounding, digits): (Quantity, Rounding, u32), system| {
        print(quantity, system, rounding).finer(quantity, rounding, digits).quantity().si
    };
    // Two prints of one number may differ in the last bit.
    let is_apart = |one: f64, other: f64| (one - other).abs() > 1e-9 * one.abs().max(other.abs());
    [System::Metric, System::Us].into_iter().all(|system| {
        let (one, other) = (read(one, system), read(other, system));
        is_apart(one, other) && one.total_cmp(&other) == order
    })
}

/// A range in both systems: `550 to 1150 L/h`. Its low end is rounded down and its high end up, so that it
/// never says less than it holds and never prints as one value; a range whose ends are equal prints as one
/// value, rounded as its figure is.
pub fn show_range(low: Quantity, high: Quantity, rounding: Rounding) -> Shown {
    if low.si >= high.si {
        return show(high, rounding);
    }
    let reading = |system| {
        let rung = rung_of_range(low, high, system);
        let (low, high) = (rung.print(low, Rounding::Down), rung.print(high, Rounding::Up));
        // Ends that differ by less than a billionth of a step are equal.
        if low.digits() == high.digits() {
            return low.reading();
        }
        let number = format!("{} to {}", low.digits(), high.digits());
        Reading { number, unit: printed_symbol(low.rung.symbol(), "") }
    };
    both(reading, high.kind)
}

/// A value that lies outside a range, and the ends of the range, in metric units: with as many digits as it
/// takes to see that it does.
pub fn show_outside(value: Quantity, low: Quantity, high: Quantity) -> [Reading; 3] {
    let all =
        |digits| [value, low, high].map(|quantity| show_finer(quantity, Rounding::Nearest, digits).metric);
    let tells = |[value, low, high]: &[Reading; 3]| value != low && value != high;
    (0..12).map(all).find(tells).unwrap_or_else(|| {
        let [_, low, high] = all(0);
        let rung = on_ladder(value, System::Metric, Rounding::Nearest).rung;
        // Past the end by the last bit: all its digits.
        [
            Reading {
                number: to_unit(value, rung.scale).to_string(),
                unit: printed_symbol(rung.symbol(), ""),
            },
            low,
            high,
        ]
    })
}

/// A quantity in the unit in which another of its kind is printed, so that the marks of an axis share one
/// unit.
pub fn show_like(quantity: Quantity, like: Quantity, system: System) -> Reading {
    let rung = on_ladder(like, system, Rounding::Nearest).rung;
    // What is at most a hundred millionth of the axis is nothing.
    let is_nothing = to_unit(quantity, rung.scale).abs() < 1e-8 * to_unit(like, rung.scale).abs();
    let printed = if is_nothing {
        Printed { number: 0.0, step: 1.0, rung }
    } else {
        rung.print(quantity, Rounding::Nearest)
    };
    Reading { number: printed.digits(), unit: printed_symbol(rung.symbol(), "") }
}

/// The value of the digits that [`show`] prints, in the printed unit, with that unit: what a reader types
/// into a calculator.
pub fn shown_number(quantity: Quantity, system: System, rounding: Rounding) -> (f64, &'static str) {
    let printed = print(quantity, system, rounding);
    (printed.number, printed.rung.symbol())
}

/// The reading that [`show_finer`] gives in one system, and the value of its digits.
pub(crate) fn finer_number(
    quantity: Quantity,
    system: System,
    rounding: Rounding,
    digits: u32,
) -> (f64, Reading) {
    let printed = print(quantity, system, rounding).finer(quantity, rounding, digits);
    (printed.number, printed.reading())
}

/// The step to which [`show`] rounds, in the unit in which it prints.
pub(crate) fn shown_step(quantity: Quantity, system: System, rounding: Rounding) -> f64 {
    print(quantity, system, rounding).step
}

/// A number's digits with a true minus sign, at most `decimals` of them after the point, grouped from five
/// digits on.
pub fn minus(value: f64, decimals: usize) -> String {
    digits(value, libm::pow(10.0, -(decimals as f64)))
}

fn both(reading: impl Fn(System) -> Reading, kind: Kind) -> Shown {
    let metric = reading(System::Metric);
    let us = ladder(kind, System::Us).map(|_| reading(System::Us));
    Shown { metric, us }
}

/// What a difference of two equal sums may leave over, in any unit: it is nothing.
const DUST: f64 = 1e-9;

/// One unit of a ladder.
#[derive(Debug, Clone, Copy)]
struct Rung {
    kind: Kind,
    row: &'static Row,
    /// One unit in SI, and the offset of a temperature.
    scale: (f64, f64),
}

/// A number as it is printed: a multiple of its step in one unit.
#[derive(Debug, Clone, Copy)]
struct Printed {
    number: f64,
    step: f64,
    rung: Rung,
}

impl Rung {
    fn new(kind: Kind, row: &'static Row) -> Self {
        let scale = unit(kind, row.symbol).map_or((1.0, 0.0), |unit| (unit.si, unit.offset));
        Rung { kind, row, scale }
    }

    fn symbol(&self) -> &'static str {
        match self.kind {
            Kind::Money(currency) => currency.code(),
            _ => self.row.symbol,
        }
    }

    fn print(self, quantity: Quantity, rounding: Rounding) -> Printed {
        let value = to_unit(quantity, self.scale);
        let value = if value.abs() < DUST { 0.0 } else { value };
        let step = self.row.steps.at(value);
        Printed { number: round(value, step, rounding), step, rung: self }
    }
}

impl Printed {
    /// The quantity that a reader of the digits has.
    fn quantity(&self) -> Quantity {
        let (size, offset) = self.rung.scale;
        Quantity::new(self.rung.kind, (self.number + offset) * size)
    }

    /// The same quantity with more digits, in the same unit.
    fn finer(self, quantity: Quantity, rounding: Rounding, digits: u32) -> Printed {
        if digits == 0 {
            return self;
        }
        let step = self.step * libm::pow(10.0, -f64::from(digits));
        Printed { number: round(to_unit(quantity, self.rung.scale), step, rounding), step, rung: self.rung }
    }

    fn digits(&self) -> String {
        digits(self.number, self.step)
    }

    fn reading(&self) -> Reading {
        let number = self.digits();
        let unit = printed_symbol(self.rung.symbol(), &number);
        Reading { number, unit }
    }
}

/// A quantity as it is printed: in its unit of the ladder, or in words such as "1 week" where the digits come
/// to just that.
fn print(quantity: Quantity, system: System, rounding: Rounding) -> Printed {
    let printed = on_ladder(quantity, system, rounding);
    if quantity.kind != Kind::Time {
        return printed;
    }
    // A month is the only span with a name of its own that no ladder meets: thirty days and a bit.
    let month = Rung::new(Kind::Time, &A_MONTH).print(quantity, Rounding::Nearest);
    if month.digits() == "1" && (month.quantity().si - quantity.si).abs() < 1e-9 * quantity.si {
        return month;
    }
    let said = SPANS
        .iter()
        .find(|(symbol, _, many)| *symbol == printed.rung.row.symbol && many.contains(&printed.number));
    said.map_or(printed, |(_, row, _)| {
        let said = Rung::new(Kind::Time, row);
        // It was rounded in the unit of the ladder, to that unit's step.
        let step = printed.step * printed.rung.scale.0 / said.scale.0;
        Printed { step, ..said.print(printed.quantity(), Rounding::Nearest) }
    })
}

/// The smallest unit of the ladder in which the printed number is not too large. A larger one is taken only
/// where its own print would lead there again, so that the choice does not change when the print is read
/// back.
fn on_ladder(quantity: Quantity, system: System, rounding: Rounding) -> Printed {
    let rows = rows_of(quantity.kind, system);
    let mut printed = Rung::new(quantity.kind, &rows[0]).print(quantity, rounding);
    for row in &rows[1..] {
        let rung = printed.rung;
        let is_too_large = |printed: Printed| printed.number.abs() >= rung.row.below;
        let next = Rung::new(quantity.kind, row).print(quantity, rounding);
        if !(is_too_large(printed) && is_too_large(rung.print(next.quantity(), rounding))) {
            break;
        }
        printed = next;
    }
    printed
}

/// The one unit for both ends of a range: that of its high end, unless the low end would be a small part of
/// it.
fn rung_of_range(low: Quantity, high: Quantity, system: System) -> Rung {
    let both = |print: fn(Quantity, System, Rounding) -> Printed| {
        (print(low, system, Rounding::Down), print(high, system, Rounding::Up))
    };
    let (low_said, high_said) = both(print);
    if low_said.rung.row.symbol == high_said.rung.row.symbol {
        return high_said.rung;
    }
    let (low_printed, high_printed) = both(on_ladder);
    // Ten litres are a part of a cubic metre that one can read, ten minutes no part of an hour.
    let is_small_part = high.kind == Kind::Time || to_unit(low, high_printed.rung.scale).abs() < 0.1;
    let fits = low.si != 0.0 && to_unit(high, low_printed.rung.scale).abs() < 1000.0;
    if is_small_part && fits { low_printed.rung } else { high_printed.rung }
}

/// The ladder of a kind in a system, the metric one where both read the same.
fn rows_of(kind: Kind, system: System) -> &'static [Row] {
    ladder(kind, system).or_else(|| ladder(kind, System::Metric)).unwrap_or(PLAIN)
}

fn to_unit(quantity: Quantity, (size, offset): (f64, f64)) -> f64 {
    quantity.si / size - offset
}

/// To a multiple of `step`. A value within a billionth of a step's half or whole counts as on it, so that the
/// last bit of a sum never decides what is printed.
fn round(value: f64, step: f64, rounding: Rounding) -> f64 {
    let steps = value / step;
    let slack = 1e-9 * (1.0 + steps.abs());
    // So many digits are asked for that the next ones count.
    let slack = if slack < 1e-3 { slack } else { 0.0 };
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

/// A unit of a ladder, used while its printed number is below a bound.
#[derive(Debug)]
struct Row {
    symbol: &'static str,
    below: f64,
    steps: Steps,
}

/// The steps of a unit: from `from` on the step of the first row whose bound the value is below, past the
/// last row three significant digits, and below `from` what a slide rule gives: three digits after a leading
/// one, else two.
#[derive(Debug, Clone, Copy)]
struct Steps {
    from: f64,
    rows: &'static [(f64, f64)],
}

impl Steps {
    fn at(&self, value: f64) -> f64 {
        let size = value.abs();
        let decade = || libm::pow(10.0, libm::floor(libm::log10(size)));
        match self.rows.iter().find(|(below, _)| size < *below) {
            _ if size == 0.0 => 1.0,
            _ if size < self.from && size < 2.0 * decade() => decade() / 100.0,
            _ if size < self.from => decade() / 10.0,
            Some((_, step)) => *step,
            None => decade() / 100.0,
        }
    }
}

const fn steps(from: f64, rows: &'static [(f64, f64)]) -> Steps {
    Steps { from, rows }
}

/// The last unit of a ladder.
const fn last(symbol: &'static str, steps: Steps) -> Row {
    Row { symbol, below: f64::INFINITY, steps }
}

const fn below(below: f64, symbol: &'static str, steps: Steps) -> Row {
    Row { symbol, below, steps }
}

/// Three significant digits, whatever the size.
const SIGNIFICANT: Steps = steps(0.0, &[]);
const PLAIN: &[Row] = &[last("", SIGNIFICANT)];
/// Whole numbers from a hundred, tenths below: centimetres, inches, kilograms.
const TENTHS: Steps = steps(2.0, &[(100.0, 0.1), (1000.0, 1.0)]);
/// Fine enough that no length prints in metres that would not be read back so.
const METRES: Steps = steps(2.0, &[(10.0, 0.01), (100.0, 0.1), (1000.0, 1.0)]);
/// What people read off a jug or a tank's label.
const VOLUMES: Steps = steps(2.0, &[(20.0, 0.1), (1000.0, 1.0)]);
/// What a pump's dial or box says.
const FLOWS: Steps = steps(
    2.0,
    &[
        (10.0, 0.1),
        (20.0, 0.5),
        (100.0, 1.0),
        (200.0, 5.0),
        (1000.0, 10.0),
        (10_000.0, 50.0),
        (100_000.0, 500.0),
    ],
);
const WHOLE: Steps = steps(2.0, &[(10.0, 0.1), (20.0, 0.5), (1000.0, 1.0)]);
/// A clock with a second hand: whole numbers from twenty on.
const SECONDS: Steps = steps(10.0, WHOLE.rows);
/// As whole numbers, and no finer just below the two at which a span changes its unit.
const SPAN: Steps = steps(1.0, WHOLE.rows);
/// A thermometer has the same marks above and below its zero.
const DEGREES: Steps = steps(0.0, &[(100.0, 0.1), (1000.0, 1.0)]);

/// Spans that have a name: the unit of the ladder, the name, and how many of the unit are said so.
const SPANS: &[(&str, Row, &[f64])] = &[
    ("h", last("days", SPAN), &[24.0, 48.0]),
    ("days", last("weeks", SPAN), &[7.0, 14.0, 21.0, 28.0, 35.0, 42.0, 49.0, 56.0]),
    ("months", last("years", SPAN), &[12.0]),
];
const A_MONTH: Row = last("months", SPAN);

/// The units of a kind in one system, smallest first; no US ladder where both systems read the same. The
/// bound of a unit lies on a step of the next, and the next has the coarser steps there, so that no number
/// falls between two units.
fn ladder(kind: Kind, system: System) -> Option<&'static [Row]> {
    let rows: &'static [Row] = match (kind, system) {
        (Kind::Length, System::Metric) => {
            const { &[below(10.0, "mm", TENTHS), below(250.0, "cm", TENTHS), last("m", METRES)] }
        }
        // 99.6 in are 8.3 ft.
        (Kind::Length, System::Us) => const { &[below(99.6, "in", TENTHS), last("ft", TENTHS)] },
        (Kind::Thickness, System::Metric) => const { &[last("mm", TENTHS)] },
        (Kind::Thickness, System::Us) => const { &[last("in", TENTHS)] },
        (Kind::Area, System::Metric) => {
            const { &[below(1000.0, "cm²", SIGNIFICANT), last("m²", SIGNIFICANT)] }
        }
        (Kind::Area, System::Us) => {
            const { &[below(144.0, "sq in", SIGNIFICANT), last("sq ft", SIGNIFICANT)] }
        }
        (Kind::Volume, System::Metric) => const { &[below(1000.0, "mL", SIGNIFICANT), last("L", VOLUMES)] },
        (Kind::Volume, System::Us) => const { &[below(32.0, "US fl oz", TENTHS), last("US gal", VOLUMES)] },
        (Kind::Mass, System::Metric) => {
            const { &[below(100.0, "mg", SIGNIFICANT), below(1000.0, "g", TENTHS), last("kg", TENTHS)] }
        }
        (Kind::Mass, System::Us) => const { &[below(16.0, "oz", SIGNIFICANT), last("lb", TENTHS)] },
        (Kind::Time, System::Metric) => {
            const {
                &[
                    // The device that trips in time is told of in these; nothing else here is so quick.
                    below(100.0, "ms", SIGNIFICANT),
                    below(120.0, "s", SECONDS),
                    below(120.0, "min", SPAN),
                    below(72.0, "h", SPAN),
                    below(60.0, "days", SPAN),
                    below(24.0, "months", SPAN),
                    last("years", SPAN),
                ]
            }
        }
        (Kind::Speed, System::Metric) => const { &[last("cm/s", TENTHS)] },
        (Kind::Speed, System::Us) => const { &[last("in/s", TENTHS)] },
        (Kind::TransferVelocity, System::Metric) => const { &[last("cm/h", TENTHS)] },
        (Kind::Flow, System::Metric) => const { &[last("L/h", FLOWS)] },
        (Kind::Flow, System::Us) => const { &[last("US gal/h", FLOWS)] },
        (Kind::Rate, System::Metric) => {
            const { &[below(7.2, "times a day", WHOLE), last("times an hour", WHOLE)] }
        }
        (Kind::Temperature, System::Metric) => const { &[last("°C", DEGREES)] },
        (Kind::Temperature, System::Us) => const { &[last("°F", DEGREES)] },
        (Kind::Density, System::Metric) => {
            const { &[last("kg/m³", steps(2.0, &[(100.0, 0.1), (10_000.0, 1.0)]))] }
        }
        (Kind::KinematicViscosity, System::Metric) => const { &[last("mm²/s", SIGNIFICANT)] },
        (Kind::DynamicViscosity, System::Metric) => const { &[last("mPa s", SIGNIFICANT)] },
        (Kind::Stress, System::Metric) => {
            const {
                &[
                    below(1000.0, "Pa", SIGNIFICANT),
                    below(1000.0, "kPa", SIGNIFICANT),
                    last("MPa", SIGNIFICANT),
                ]
            }
        }
        (Kind::FloorLoad, System::Metric) => const { &[last("kg/m²", FLOWS)] },
        (Kind::FloorLoad, System::Us) => const { &[last("lb/sq ft", WHOLE)] },
        (Kind::Power, System::Metric) => const { &[below(1000.0, "W", TENTHS), last("kW", SIGNIFICANT)] },
        (Kind::Energy, System::Metric) => const { &[below(1000.0, "Wh", WHOLE), last("kWh", TENTHS)] },
        (Kind::Voltage, System::Metric) => const { &[last("V", WHOLE)] },
        (Kind::Current, System::Metric) => const { &[below(1000.0, "mA", WHOLE), last("A", TENTHS)] },
        (Kind::Concentration, System::Metric) => {
            const { &[below(1000.0, "mg/L", TENTHS), last("g/L", SIGNIFICANT)] }
        }
        (Kind::MassRate, System::Metric) => const { &[last("mg/h", SIGNIFICANT)] },
        (Kind::UptakeByArea, System::Metric) => const { &[last("mg/(m² h)", SIGNIFICANT)] },
        (Kind::MolarMass, System::Metric) => const { &[last("g/mol", SIGNIFICANT)] },
        // A level counts from a zero that is not nothing.
        (Kind::SoundLevel, System::Metric) => const { &[last("dB", steps(0.0, &[(1000.0, 1.0)]))] },
        (Kind::Salinity, System::Metric) => const { &[last("", TENTHS)] },
        // The fourth digit is the one that a hydrometer is read for.
        (Kind::SpecificGravity, System::Metric) => const { &[last("", steps(0.2, &[(10.0, 0.001)]))] },
        // A dial is set to the whole per cent.
        (Kind::Share, System::Metric) => const { &[last("%", steps(2.0, &[(10.0, 0.1), (1000.0, 1.0)]))] },
        (Kind::Ratio, System::Metric) => PLAIN,
        // There is no half of a pump.
        (Kind::Count, System::Metric) => const { &[last("", steps(0.0, &[(1e15, 1.0)]))] },
        // Below one, a tenth of a cent counts: kilowatt hours are priced that finely.
        (Kind::Money(_), System::Metric) => {
            const { &[last("", steps(0.1, &[(1.0, 0.001), (2.0, 0.01), (20.0, 0.1), (1000.0, 1.0)]))] }
        }
        _ => return None,
    };
    Some(rows)
}
