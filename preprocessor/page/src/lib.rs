//! What becomes of a sheet: HTML, SVG, CSV, JSON, iCalendar and plain text.
//!
//! The crate knows only `reckoner-calc`: no mdBook, no template engine, no Markdown parser, and it opens no
//! file. So it runs wherever the figures do. From the ground up: [`text`] makes any text harmless; [`html`]
//! prints figures, tables, worked examples and cautions, and [`chart`] and [`drawing`] the pictures; [`rule`]
//! tells a rule, and [`why`] how a figure was reckoned; [`csv`], [`sheet`], [`programme`] and [`calendar`]
//! write one tank's results for other programs; [`claims`] holds words against figures.

pub mod calendar;
pub mod chart;
pub mod claims;
pub mod csv;
pub mod drawing;
pub mod html;
pub mod programme;
pub mod rule;
pub mod sheet;
pub mod text;
pub mod why;
