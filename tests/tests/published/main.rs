//! Every formula against values that somebody else published or computed: one module for each topic of `calc`.

#![allow(clippy::unwrap_used, reason = "a check that can not be reckoned must fail")]

mod calendar;
mod circuit;
mod glass;
mod mixing;
mod oxygen;
mod power;
mod return_line;
mod sand;
mod seawater;
mod settling;
mod sound;
mod speeds;
mod stream;
mod turnover;
mod units;
mod upkeep;
mod volume;
mod waves;
