//! Every formula against values that others reckoned, mostly with a library that shares no line with ours:
//! one module for each topic.

#![allow(clippy::unwrap_used, reason = "a check that can not be reckoned must fail")]

mod calendar;
mod evaporation;
mod glass;
mod heat;
mod mixing;
mod oxygen;
mod power;
mod return_line;
mod sand;
mod seawater;
mod settling;
mod sound;
mod stream;
mod units;
mod upkeep;
mod volume;
mod waves;
mod weir;
