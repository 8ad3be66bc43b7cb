//! What a chapter leaves for the proof: typed digits, written down while it is rendered, claims, and markers
//! for the parts that come last.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What the functions write down while the pages are rendered.
#[derive(Debug, Clone, Default)]
pub struct Record {
    /// Typed digits with their reasons.
    pub typed: Vec<TypedEntry>,
}

/// A claim in words that a page holds to figures.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Claim {
    /// The condition of its words.
    pub that: String,
    /// What the tank must have for them to be read: conditions, short, and what each must come to.
    pub under: Vec<(String, bool)>,
    /// The page.
    pub page: String,
}

/// One claim in words that was held against figures.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ClaimEntry {
    /// The condition.
    pub that: String,
    /// The page that states it.
    pub page: String,
}

/// Digits that an author typed and gave a reason for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct TypedEntry {
    /// The digits and what stands around them.
    pub text: String,
    /// Why they are no figure.
    pub because: String,
    /// The page.
    pub page: String,
}

/// A part of the book that shows its proof. It can only be written when every page is rendered, so a chapter
/// that calls for one gets a marker first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Every printed figure.
    Ledger,
    /// Every rule.
    Rules,
    /// Every publication.
    Sources,
    /// Every check and claim.
    Checks,
    /// The digits typed by hand.
    TypedNumbers,
}

impl Part {
    /// All of them.
    pub const ALL: [Part; 5] = [Part::Ledger, Part::Rules, Part::Sources, Part::Checks, Part::TypedNumbers];

    /// The function that calls for it.
    pub fn name(self) -> &'static str {
        match self {
            Part::Ledger => "ledger",
            Part::Rules => "rules",
            Part::Sources => "sources",
            Part::Checks => "checks",
            Part::TypedNumbers => "typed_numbers",
        }
    }

    /// What stands in the page until the part is written. No chapter can hold the character: a keyboard has
    /// none.
    pub fn marker(self) -> String {
        format!("\u{1}{}\u{1}", self.name())
    }
}
