//! Reckons the figures of the Reef Reckoner: what a tank holds, how much its water must move, and the physics
//! behind it.
//!
//! Rules and a tank go in, a [`Sheet`] of figures comes out. The crate opens no file, prints nothing, knows
//! no Markdown, and takes neither time nor chance from outside. Quantities are `uom` types in every public
//! formula; exponentials, logarithms, powers and trigonometry go through `libm`, so that every target reckons
//! the same bits.
//!
//! From the ground up; nothing knows what stands above it:
//!
//! | module | what it holds |
//! | --- | --- |
//! | [`ordered`] | sorting, and maps by name |
//! | [`quantity`], [`document`] | units, reading what people write, printing; TOML with every problem placed |
//! | [`trace`] | what a value was reckoned from, noted while it is reckoned |
//! | [`rules`] | the rules and their bases |
//! | [`formulas`] | the physics and the sums, pure, one file a topic; asking them by name |
//! | [`tank`], [`catalogue`], [`assumed`] | a reader's tank, the pumps on offer, what is assumed where a file says nothing |
//! | [`decide`] | which pumps, where, when, and what to do without power |
//! | [`sheet`] | all figures, workings, tables, charts and drawings of one tank |
//! | [`check`] | checks of figures and formulas against published values |

pub mod assumed;
#[cfg(test)]
mod cases;
pub mod catalogue;
pub mod check;
pub mod decide;
pub mod document;
mod error;
mod figures;
pub mod formulas;
mod name;
pub mod ordered;
pub mod quantity;
mod reckon;
pub mod rules;
pub mod sheet;
pub mod tank;
pub mod trace;
mod words;

pub use catalogue::Catalogue;
pub use error::{Error, within};
pub use name::Name;
pub use rules::Rules;
pub use sheet::{Atlas, Sheet};
pub use tank::Tank;
