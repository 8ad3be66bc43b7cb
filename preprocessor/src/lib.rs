//! The mdBook preprocessor of the Reef Reckoner.
//!
//! A build goes through these modules in this order. [`edition`] reads the rules and tanks and reckons their figures. [`typeset`] takes
//! each chapter through [`lint`] and [`stories`], which refuse numbers typed by hand and stories about the reader's tank, and [`template`], which puts the figures in as [`html`] draws
//! them. [`site`] builds the whole book with mdBook, and [`links`] checks it; [`protocol`] does the same for a stock `mdbook build`.
//! [`sheet`], [`programme`] and [`calendar`] write one tank's results for other programs, and [`new`] a file to begin with.
//! [`tags`] tells where the template tags are; [`diagnostic`] says what is wrong and where.

pub mod calendar;
pub mod captions;
pub mod cautions;
pub mod chart;
pub mod checks;
pub mod claims;
pub mod compare;
pub mod csv;
pub mod diagnostic;
pub mod drawing;
pub mod edition;
pub mod functions;
pub mod html;
pub mod lacking;
pub mod ledger;
pub mod links;
pub mod lint;
mod names;
pub mod new;
pub mod plain;
pub mod programme;
pub mod proof;
pub mod protocol;
pub mod reading;
pub mod sheet;
pub mod site;
pub mod stories;
pub mod sums;
pub mod tags;
pub mod template;
pub mod typeset;
