//! What becomes of a sheet: HTML, SVG, CSV, JSON, iCalendar and plain text.
//!
//! The crate knows only `reckoner-calc`: no mdBook, no template engine, no Markdown parser, and it opens no
//! file. So it runs wherever the figures do. From the ground up: [`text`] makes any text harmless; [`html`]
//! prints figures, tables, worked examples and cautions, and [`chart`] and [`drawing`] the pictures; [`csv`],
//! [`sheet`], [`programme`] and [`calendar`] write one tank's results for other programs; [`claims`] holds
//! words against figures, and [`condition`] asks what the tank has; [`ledger`] and [`rules`] show what the
//! book rests on, by what is [`listed`], and [`why`] how a figure was reckoned. [`part`] finds all of these
//! by a key; a [`passage`] of a page has gaps for such parts, and is set for a tank; [`captions`] counts what
//! is set. [`tank_file`] writes tank files to begin with, and their schema, and [`form`] a form to type one
//! in; [`code`] is what a phone's camera reads.

pub mod calendar;
pub mod captions;
pub mod chart;
pub mod claims;
pub mod code;
pub mod condition;
pub mod csv;
pub mod drawing;
pub mod form;
pub mod html;
pub mod ledger;
pub mod listed;
pub mod part;
pub mod passage;
pub mod programme;
pub mod rules;
pub mod sheet;
pub mod systems;
pub mod tank_file;
pub mod text;
pub mod why;
