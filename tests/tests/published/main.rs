//! Every formula against values that somebody else published or computed: one module for each topic of `calc`.

mod mixing;
mod oxygen;
mod seawater;
mod turnover;
mod units;
mod upkeep;
mod volume;
