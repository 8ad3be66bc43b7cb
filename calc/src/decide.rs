//! What is decided for a tank: from rules, formulas, the tank and the catalogue, before anything is put on a sheet.

pub mod oxygen;
