//! What is decided from rules, a tank and the catalogue, one file a topic. Nothing here knows of a sheet.

pub mod power_cut;
pub mod programme;
