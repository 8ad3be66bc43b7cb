//! What is decided from rules, a tank and the catalogue, one file a topic. Nothing here knows of a sheet.

pub mod atlas;
pub mod calendar;
pub mod contents;
pub mod fit;
pub mod glass;
pub mod heat;
pub mod measured;
pub mod oxygen;
pub mod placement;
pub mod plan;
pub mod power_cut;
pub mod programme;
pub mod reason;
pub mod return_line;
pub mod sound;
pub mod speed_map;
pub mod speeds;
pub mod stream;
pub mod team;
pub mod upgrade;
