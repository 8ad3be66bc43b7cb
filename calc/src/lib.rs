//! Reckons the figures of the Reef Reckoner: what a tank holds, how much its water must move, and the physics behind it.
//!
//! Rules and a tank go in, a [`Sheet`] of figures comes out. The crate opens no file, prints nothing, knows no Markdown, and takes
//! neither time nor chance from outside. Quantities are `uom` types in every public formula; exponentials, logarithms, powers and
//! trigonometry go through `libm`, so that every target reckons the same bits.
//!
//! From the ground up; nothing knows what stands above it:
//!
//! | module | what it holds |
//! | --- | --- |
//! | [`quantity`], [`document`] | units, reading what people write, printing; TOML with every problem placed |
//! | [`trace`] | what a value was reckoned from, noted while it is reckoned |
//! | [`rules`] | the rules and their bases |
//! | [`formulas`] | the physics and the sums, pure, one file a topic; asking them by name |
//! | [`tank`], [`catalogue`], [`assumed`] | a reader's tank, the pumps on offer, what is assumed where a file says nothing |
//! | [`decide`] | which pumps, where, when, and what to do without power |
//! | [`sheet`] | all figures, workings, tables, charts and drawings of one tank |
//! | [`check`] | checks of figures and formulas against published values |
//! | [`tank`] | a reader's tank file |
//! | [`catalogue`] | the pumps on offer |
//! | [`assumed`] | what is assumed where a tank file leaves something out that a figure needs |
//! | [`formula`], [`check`] | formulas by name, and checks of them against published values |
//! | [`sheet`] | all figures, workings and tables of one tank |
//! | [`volume`], [`turnover`], [`mixing`] | how much water there is, and how often it must move |
//! | [`glass`] | how hard the water bends the panes |
//! | [`seawater`] | the water itself |
//! | [`oxygen`] | what lives in it |
//! | [`programme`], [`power_cut`] | what the pumps do and when, and what to do when they stop |
//! | [`oxygen`], [`upkeep`], [`calendar`] | what lives in it, what keeps it clean, and when that is due |
//! | [`team`], [`programme`], [`power_cut`](decide::power_cut) | what the pumps do and when, and what to do when they stop |
//! | [`oxygen`](formulas::oxygen), [`upkeep`], [`calendar`] | what lives in it, what keeps it clean, and when that is due |
//! | [`team`], [`programme`], [`power_cut`] | what the pumps do and when, and what to do when they stop |
//! | [`seawater`], [`stream`], [`sand`], [`settling`], [`speeds`], [`waves`] | the physics of moving water |
//! | [`oxygen`](formulas::oxygen), [`upkeep`](formulas::upkeep), [`calendar`](decide::calendar) | what lives in it, what keeps it clean, and when that is due |
//! | [`team`](decide::team), [`programme`](decide::programme), [`power_cut`](decide::power_cut) | what the pumps do and when, and what to do when they stop |
//! | [`placement`], [`plan`], [`fit`], [`upgrade`], [`reason`] | which pumps, where, and why |
//! | [`power`], [`sound`], [`circuit`], [`cost`] | what moving it takes |
//! | [`decide::placement`], [`decide::plan`], [`fit`], [`upgrade`], [`decide::reason`] | which pumps, where, and why |
//! | [`power`], [`return_line`], [`sound`], [`circuit`], [`cost`] | what moving it takes |

pub mod assumed;
#[cfg(test)]
mod cases;
pub mod catalogue;
pub mod check;
pub mod decide;
pub mod document;
mod error;
mod figures;
pub mod formula;
pub mod formulas;
pub mod glass;
pub mod quantity;
pub mod rules;
pub mod seawater;
pub mod sheet;
pub mod sound;
pub mod tank;
pub mod trace;
pub mod volume;
mod words;

pub use catalogue::Catalogue;
pub use error::{Error, within};
pub use rules::Rules;
pub use sheet::Sheet;
pub use tank::Tank;
