//! Worked examples: given, formula, sums, answer.
//!
//! A sum is worked with the digits that are printed, so that a reader with a pocket calculator gets the
//! printed answer. It is done once in metric and once in US units.

use super::sides::Side;
use super::{Figure, Value};
use crate::quantity::{Quantity, Reading, Rounding, Share, System, finer_number, minus, parse_as};
use crate::rules::words::Words;

/// A worked example.
#[derive(Debug, Clone, PartialEq)]
pub struct Working {
    /// Its id, for instance `flow_to_aim_for`.
    pub id: &'static str,
    /// The question it answers.
    pub title: String,
    /// The ids of the figures that are given; empty until the sheet is done, unless its topic lists them
    /// itself.
    pub given: Vec<String>,
    /// The formula in words.
    pub formula: &'static str,
    /// The sums, one for each system in which the answer is printed.
    pub sums: Vec<Sum>,
    /// The id of the figure that is the answer.
    pub answer: &'static str,
    /// How a reader can tell that the answer is right.
    pub tell: String,
}

/// A sum with its answer: `171 L × 15 an hour = 2565 L/h`.
#[derive(Debug, Clone, PartialEq)]
pub struct Sum {
    /// The system of its units.
    pub system: System,
    /// The terms, with the sign before each but the first.
    pub terms: Vec<(Op, Item)>,
    /// What the printed digits come to.
    pub answer: Item,
}

/// A number with its unit, as printed.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// What the printed digits count for.
    pub value: f64,
    /// The printed digits and unit.
    pub reading: Reading,
    /// The quantity that it prints, the side to which it rounds of itself, and what turns the printed number
    /// into its value.
    of: Option<(Quantity, Side, f64)>,
}

/// The sign before a term.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Op {
    /// The first term has none.
    First,
    /// ×
    Times,
    /// ÷
    Over,
    /// +
    Plus,
    /// −
    Minus,
}

impl Working {
    /// A worked example of these sums; what it asks and how to tell stand in the words of its topic, by its
    /// id.
    pub(crate) fn new(id: &'static str, formula: &'static str, sums: Vec<Sum>, answer: &'static str) -> Self {
        Working { id, title: String::new(), given: Vec::new(), formula, sums, answer, tell: String::new() }
    }

    /// Lists what is given, where that is less than what the answer was reckoned from.
    pub(crate) fn given(self, figures: &[&str]) -> Self {
        Working { given: figures.iter().map(|figure| (*figure).to_owned()).collect(), ..self }
    }

    /// Fills in what its topic did not say.
    pub(super) fn say(&mut self, words: &Words) {
        if let Some(said) = words.working(self.id) {
            super::chart::fill([&mut self.title, &mut self.tell], [&said.title, &said.tell]);
        }
    }
}

impl Op {
    /// As it is printed.
    pub fn sign(self) -> &'static str {
        match self {
            Op::First => "",
            Op::Times => "×",
            Op::Over => "÷",
            Op::Plus => "+",
            Op::Minus => "−",
        }
    }
}

impl Item {
    /// A quantity as it is printed in one system. When the sheet is done, it takes the side of the figure
    /// that it repeats.
    pub fn of(quantity: impl Into<Quantity>, system: System) -> Self {
        Item::rounded(quantity, system, Rounding::Nearest)
    }

    /// A quantity as it is printed in one system, rounded its own way where no figure has its value.
    pub fn rounded(quantity: impl Into<Quantity>, system: System, rounding: Rounding) -> Self {
        Item::counting(quantity.into(), system, Side { rounding, finer: 0 }, 1.0)
    }

    /// A share by which something is multiplied: 80 % is printed, 0.8 is reckoned with.
    pub fn part(share: Share, system: System) -> Self {
        Item::counting(share.into(), system, Side::default(), 0.01)
    }

    fn counting(quantity: Quantity, system: System, side: Side, counts: f64) -> Self {
        let (number, reading) = finer_number(quantity, system, side.rounding, side.finer);
        Item { value: number * counts, reading, of: Some((quantity, side, counts)) }
    }

    /// A plain number that stands in a formula by definition, such as the 231 cubic inches of a US gallon.
    pub fn constant(value: f64, decimals: usize, unit: &'static str) -> Self {
        Item { value, reading: Reading { number: minus(value, decimals), unit }, of: None }
    }

    /// The same number in a unit of several parts that no kind has, such as g/L.
    pub fn in_unit(mut self, unit: &'static str) -> Self {
        self.reading.unit = unit;
        self.of = None;
        self
    }

    /// The quantity that it prints and the side to which it rounds it; none for a constant.
    pub(super) fn rounded_to(&self) -> Option<(Quantity, Rounding)> {
        self.of.map(|(quantity, side, _)| (quantity, side.rounding))
    }

    /// The quantity that it prints; none for a constant.
    pub fn quantity(&self) -> Option<Quantity> {
        self.of.map(|(quantity, ..)| quantity)
    }
}

impl Sum {
    /// Works the sum from its printed digits: × and ÷ before + and −, from left to right, as a calculator
    /// with a memory does.
    ///
    /// The answer keeps four significant digits at the most, in the given unit.
    pub fn work(system: System, terms: Vec<(Op, Item)>, unit: &'static str) -> Self {
        let answer = answer(&terms, unit);
        Sum { system, terms, answer }
    }

    /// Whether the figure that it is the sum of reads differently than the sum's answer, rounded as that
    /// figure is. The figure was reckoned with all digits, the sum with the printed ones.
    pub fn differs(&self, figure: &Figure) -> bool {
        let Value::One(value) = figure.value else { return false };
        let answer = parse_as(value.kind, &self.answer.reading.to_string().replace(',', ""));
        answer.is_ok_and(|answer| {
            figure.shows(answer).in_system(self.system) != figure.shows(value).in_system(self.system)
        })
    }

    /// Prints each term as its figure is printed, and works the sum again.
    pub(super) fn settle(&mut self, side: impl Fn(Quantity) -> Side) {
        for (_, item) in &mut self.terms {
            if let Some((quantity, own, counts)) = item.of {
                let asked = side(quantity);
                let rounding =
                    if asked.rounding == Rounding::Nearest { own.rounding } else { asked.rounding };
                *item = Item::counting(quantity, self.system, Side { rounding, finer: asked.finer }, counts);
            }
        }
        self.answer = answer(&self.terms, self.answer.reading.unit);
    }
}

fn answer(terms: &[(Op, Item)], unit: &'static str) -> Item {
    let (mut total, mut product) = (0.0, 0.0);
    for (op, item) in terms {
        match op {
            Op::First => product = item.value,
            Op::Times => product *= item.value,
            Op::Over => product /= item.value,
            Op::Plus | Op::Minus => {
                total += product;
                product = if *op == Op::Minus { -item.value } else { item.value };
            }
        }
    }
    let exact = total + product;
    let decimals = if exact == 0.0 { 0.0 } else { (3.0 - libm::floor(libm::log10(exact.abs()))).max(0.0) };
    let number = minus(exact, decimals as usize);
    // What is printed is what counts from here on.
    let value = number.replace(',', "").replace('−', "-").parse().unwrap_or(exact);
    Item { value, reading: Reading { number, unit }, of: None }
}
