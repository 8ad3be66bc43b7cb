//! Checks: a reckoned value beside the one that somebody else published.

use crate::document::{Table, did_you_mean};
use crate::error::Error;
use crate::formulas::{self, Formula, Inputs};
use crate::quantity::{Kind, Quantity, last_part, minus, parse_as};
use crate::rules::{Basis, Rules, read_basis};
use crate::sheet::{Sheet, Value};

/// A statement that a figure or a formula gives a published value within a tolerance.
#[derive(Debug, Clone)]
pub struct Check {
    /// What is checked.
    pub subject: Subject,
    /// The inputs as the check gives them: name and entry.
    asked: Vec<(String, String)>,
    /// The value as its source prints it, with its unit.
    pub printed: String,
    expected: Quantity,
    /// How far the reckoned value may be off, in the printed unit.
    tolerance: f64,
    /// Why it may be that far off.
    pub reason: String,
    /// Where the expected value comes from.
    pub basis: Basis,
}

/// The reason of a tolerance that needs no other.
pub const HALF_LAST_DIGIT: &str = "half the last printed digit";

/// What a check is about.
#[derive(Debug, Clone)]
pub enum Subject {
    /// A figure of the running example, or one of its ends: `turnover.later.low`.
    Figure(String),
    /// A formula with inputs.
    Formula(&'static Formula, Inputs),
}

/// What a check found.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The reckoned value in the printed unit, with a digit more than the source prints.
    pub reckoned: String,
    /// Whether it lies within the tolerance.
    pub passed: bool,
}

impl Check {
    /// Reads a check from a TOML table.
    ///
    /// `figure`, or `formula` with a table `inputs`; `expected` as printed, with its unit; `basis` with its
    /// source, as a rule has it. Without `tolerance` and `because`, half the last printed digit is allowed.
    pub fn read(
        table: &mut Table<'_>,
        rules: &Rules,
        kind_of_figure: impl Fn(&str) -> Option<Kind>,
    ) -> Option<Self> {
        let named = (table.maybe_text("figure"), table.maybe_text("formula"));
        let (subject, kind) = match named {
            (Some(id), None) => match kind_of_figure(&id) {
                Some(kind) => Some((Subject::Figure(id), kind)),
                None => {
                    table.refuse(
                        "figure",
                        format!("there is no figure `{id}` with one value"),
                        "a range is checked by its ends: add .low or .high",
                    );
                    None
                }
            },
            (None, Some(name)) => match formulas::named(&name) {
                Some(formula) => read_inputs(table, formula)
                    .map(|inputs| (Subject::Formula(formula, inputs), formula.output)),
                None => {
                    let names: Vec<_> = formulas::ALL.iter().map(|formula| formula.name).collect();
                    let help = did_you_mean(&name, &names)
                        .unwrap_or_else(|| format!("there are {}", names.join(", ")));
                    table.has("inputs");
                    table.refuse("formula", format!("there is no formula `{name}`"), help);
                    None
                }
            },
            _ => {
                table.refuse(
                    "figure",
                    "a check is about one figure or one formula",
                    "write figure = \"tank.water\" or formula = \"turnover.flow\"",
                );
                None
            }
        }
        .map_or((None, None), |(subject, kind)| (Some(subject), Some(kind)));
        let printed = table.text("expected");
        let tolerance = table.maybe_text("tolerance");
        let because = table.maybe_text("because");
        let basis = read_basis(table, &rules.sources);
        let (subject, kind, printed, basis) = (subject?, kind?, printed?, basis?);
        let expected = match parse_as(kind, &printed) {
            Ok(expected) => expected,
            Err(error) => {
                table.refuse("expected", error.to_string(), error.help());
                return None;
            }
        };
        let (tolerance, reason) = match (tolerance, because) {
            (None, None) => (half_last_digit(kind, &printed), HALF_LAST_DIGIT.to_owned()),
            (Some(tolerance), Some(because)) => match crate::quantity::parse_number(&tolerance) {
                Ok(tolerance) if tolerance > 0.0 => (tolerance, because),
                _ => {
                    table.refuse(
                        "tolerance",
                        "a tolerance is a number above zero, in the unit of `expected`",
                        "for instance \"0.05\"",
                    );
                    return None;
                }
            },
            _ => {
                table.refuse(
                    "tolerance",
                    "a tolerance needs its reason, and a reason its tolerance",
                    "write tolerance = \"0.05\" and because = \"...\"",
                );
                return None;
            }
        };
        let asked = match &subject {
            Subject::Figure(_) => Vec::new(),
            Subject::Formula(formula, _) => {
                let entry = |(name, _): &(&str, Kind)| {
                    ((*name).replace('_', " "), table.entry_text("inputs", name).unwrap_or_default())
                };
                (formula.inputs)().iter().map(entry).collect()
            }
        };
        Some(Check { subject, asked, printed, expected, tolerance, reason, basis })
    }

    /// Reckons the value and compares.
    ///
    /// # Errors
    /// The formula's own, when an input lies outside its range.
    pub fn run(&self, rules: &Rules, sheet: &Sheet) -> Result<Outcome, Error> {
        let reckoned = match &self.subject {
            Subject::Figure(id) => figure_value(sheet, id)
                .ok_or(Error::NoAnswer { what: "the figure", why: format!("there is no `{id}`") })?,
            Subject::Formula(formula, inputs) => (formula.reckon)(rules, inputs)?,
        };
        let unit = last_part(self.expected.kind, &self.printed).map(|(_, unit)| unit);
        let scaled = |quantity: Quantity| {
            quantity.si / unit.map_or(1.0, |unit| unit.si) - unit.map_or(0.0, |unit| unit.offset)
        };
        let off = (scaled(reckoned) - scaled(self.expected)).abs();
        // The printed digits are decimal, the comparison binary: a millionth of the tolerance is no
        // difference.
        let passed = off <= self.tolerance * (1.0 + 1e-6);
        let decimals = decimals(self.expected.kind, &self.printed) + usize::from(!passed);
        let symbol = unit.map_or("", |unit| unit.symbol);
        let space = if symbol.is_empty() { "" } else { "\u{a0}" };
        Ok(Outcome {
            reckoned: format!("{}{space}{symbol}", minus_fixed(scaled(reckoned), decimals)),
            passed,
        })
    }

    /// How far the reckoned value may be off, and why.
    pub fn tolerance_in_words(&self) -> String {
        let places = libm::ceil(-libm::log10(self.tolerance)).max(0.0) as usize + 1;
        format!("±{}: {}", minus(self.tolerance, places), self.reason)
    }

    /// What is checked, in words, its inputs as they were typed.
    pub fn what(&self) -> String {
        match &self.subject {
            Subject::Figure(id) => id.clone(),
            Subject::Formula(formula, _) => {
                let given: Vec<_> =
                    self.asked.iter().map(|(name, entry)| format!("{name} {entry}")).collect();
                format!("{} for {}", formula.name, given.join(", "))
            }
        }
    }
}

/// The value of a figure with one value, or of one end of a range: `turnover.later.low`.
pub fn figure_value(sheet: &Sheet, id: &str) -> Option<Quantity> {
    match sheet.figure(id).map(|figure| &figure.value) {
        Some(Value::One(quantity)) => Some(*quantity),
        Some(_) => None,
        None => {
            match (sheet.figure(id.rsplit_once('.')?.0).map(|figure| &figure.value)?, id.rsplit_once('.')?.1)
            {
                (Value::Range(low, _), "low") => Some(*low),
                (Value::Range(_, high), "high") => Some(*high),
                _ => None,
            }
        }
    }
}

fn read_inputs(table: &mut Table<'_>, formula: &'static Formula) -> Option<Inputs> {
    table.table("inputs", |table| {
        let read: Vec<_> = (formula.inputs)()
            .iter()
            .map(|(name, kind)| Some(((*name).to_owned(), table.quantity_of_any_size(name, *kind)?)))
            .collect();
        let read: Option<Vec<_>> = read.into_iter().collect();
        Some(Inputs(read?.into_iter().collect()))
    })
}

/// How many digits stand after the point of a printed value; of its last number, which is that of the
/// smallest unit.
fn decimals(kind: Kind, printed: &str) -> usize {
    let number = last_part(kind, printed).map_or_else(String::new, |(number, _)| number);
    number.replace(',', ".").split_once('.').map_or(0, |(_, digits)| digits.len())
}

fn half_last_digit(kind: Kind, printed: &str) -> f64 {
    0.5 * libm::pow(10.0, -(decimals(kind, printed) as f64))
}

/// As [`minus`], with all decimals kept, so that the digits stand under those of the source.
fn minus_fixed(value: f64, decimals: usize) -> String {
    let text = minus(value, decimals);
    let have = text.split_once('.').map_or(0, |(_, digits)| digits.len());
    let point = if have == 0 && decimals > 0 { "." } else { "" };
    format!("{text}{point}{}", "0".repeat(decimals - have))
}

#[cfg(test)]
mod tests;
