//! Properties whose every case takes milliseconds: they try a share of the cases that the others try.

use std::panic::Location;

use proptest::prelude::*;
use proptest::test_runner::{TestCaseResult, TestRunner};

/// So many cases are always tried.
const LEAST: u32 = 64;

/// Tries a property on one case where others try `cost`, but on no fewer than [`LEAST`]. `PROPTEST_CASES`
/// says how many the others try; it would overrule the number of cases that a `proptest!` block asks for.
#[track_caller]
pub(crate) fn costly<S: Strategy>(cost: u32, strategy: S, property: impl Fn(S::Value) -> TestCaseResult) {
    let asked = ProptestConfig::default();
    let cases = (asked.cases / cost).max(LEAST.min(asked.cases));
    let config = ProptestConfig { cases, source_file: Some(Location::caller().file()), ..asked };
    TestRunner::new(config).run(&strategy, property).unwrap_or_else(|failure| panic!("{failure}"));
}
