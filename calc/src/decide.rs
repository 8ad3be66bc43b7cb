//! What is decided from rules, a tank and the catalogue, one file a topic. Nothing here knows of a sheet.

pub mod placement;
pub mod plan;
pub mod reason;
