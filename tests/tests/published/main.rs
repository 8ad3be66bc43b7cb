//! Every formula against values that stand in print: one module for each topic of `calc`.

#![allow(clippy::unwrap_used, reason = "a check that can not be reckoned must fail")]

mod circuit;
mod evaporation;
mod glass;
mod growth;
mod oxygen;
mod power;
mod return_line;
mod sand;
mod seawater;
mod settling;
mod sound;
mod speed_map;
mod speeds;
mod stream;
mod units;
mod waves;
