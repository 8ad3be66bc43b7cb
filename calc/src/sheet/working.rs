//! Worked examples: given, formula, sums, answer.
//!
//! A sum is worked with the digits that are printed, so that a reader with a pocket calculator gets the printed answer. It is done
//! once in metric and once in US units.

use crate::quantity::{Quantity, Reading, Rounding, System, minus, shown_number};

/// A worked example.
#[derive(Debug, Clone, PartialEq)]
pub struct Working {
    /// Its id, for instance `flow_to_aim_for`.
    pub id: &'static str,
    /// The question it answers.
    pub title: &'static str,
    /// The ids of the figures that are given.
    pub given: Vec<&'static str>,
    /// The formula in words.
    pub formula: &'static str,
    /// The sums, one for each system in which the answer is printed.
    pub sums: Vec<Sum>,
    /// The id of the figure that is the answer.
    pub answer: &'static str,
    /// How a reader can tell that the answer is right.
    pub tell: &'static str,
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
    /// The value of the printed digits.
    pub value: f64,
    /// The printed digits and unit.
    pub reading: Reading,
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
    /// A quantity as it is printed in one system.
    pub fn of(quantity: impl Into<Quantity>, system: System) -> Self {
        Item::rounded(quantity, system, Rounding::Nearest)
    }

    /// A quantity as it is printed in one system, rounded its own way.
    pub fn rounded(quantity: impl Into<Quantity>, system: System, rounding: Rounding) -> Self {
        let quantity = quantity.into();
        let (value, _) = shown_number(quantity, system, rounding);
        Item { value, reading: crate::quantity::show(quantity, rounding).in_system(system).clone() }
    }

    /// A plain number that stands in a formula by definition, such as the 231 cubic inches of a US gallon.
    pub fn constant(value: f64, decimals: usize, unit: &'static str) -> Self {
        Item { value, reading: Reading { number: minus(value, decimals), unit } }
    }
}

impl Sum {
    /// Works the sum from its printed digits: × and ÷ before + and −, from left to right, as a calculator with a memory does.
    ///
    /// The answer keeps four significant digits at the most, in the given unit.
    pub fn work(system: System, terms: Vec<(Op, Item)>, unit: &'static str) -> Self {
        let (mut total, mut product) = (0.0, 0.0);
        for (op, item) in &terms {
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
        Sum { system, terms, answer: Item { value, reading: Reading { number, unit } } }
    }
}
