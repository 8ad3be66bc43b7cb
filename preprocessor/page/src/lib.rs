//! What becomes of a sheet: HTML, SVG, CSV, JSON, iCalendar and plain text.
//!
//! The crate knows only `reckoner-calc`: no mdBook, no template engine, no Markdown parser, and it opens no
//! file. So it runs wherever the figures do. From the ground up: [`text`] makes any text harmless; [`html`]
//! prints figures, tables, worked examples and cautions, and [`chart`] and [`drawing`] the pictures; [`csv`],
//! [`sheet`], [`programme`] and [`calendar`] write one tank's results for other programs; [`claims`] holds
//! words against figures; [`tank_file`] writes tank files to begin with, and their schema, and [`form`] a form to type
//! one in.

pub mod calendar;
pub mod chart;
pub mod claims;
pub mod csv;
pub mod drawing;
pub mod form;
pub mod html;
pub mod programme;
pub mod sheet;
pub mod tank_file;
pub mod text;
