//! The mdBook preprocessor of the Reef Reckoner.
//!
//! An author's chapter passes through these modules in this order: [`lint`] refuses numbers typed by hand, [`template`]
//! renders the figures into the text, [`protocol`] hands the chapter back to mdBook, [`site`] builds the whole book
//! and [`links`] checks it. [`tags`] tells where the template tags are; [`diagnostic`] says what is wrong and where.

pub mod diagnostic;
pub mod links;
pub mod lint;
mod names;
pub mod protocol;
pub mod site;
pub mod tags;
pub mod template;
