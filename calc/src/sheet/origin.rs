//! What a part of the sheet was reckoned from.

use crate::name::Name;
use crate::rules::Rules;
use crate::trace::Trace;

/// What a table, a chart or a drawing was reckoned from.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Origin {
    trace: Trace,
    /// The ids of the rules that were read for it.
    pub rules: Vec<Name>,
    /// The ids of the figures that were read for it.
    pub figures: Vec<Name>,
}

impl Origin {
    pub(super) fn of(trace: Trace) -> Self {
        Origin { trace, ..Origin::default() }
    }

    /// The same with more behind it.
    pub(super) fn and(mut self, trace: &Trace) -> Self {
        self.trace.extend(trace);
        self
    }

    /// Tells the rules and figures that were read by their ids.
    pub(super) fn name(&mut self, rules: &Rules) {
        self.rules = names(&self.trace, rules);
        self.figures = self.trace.figures().cloned().collect();
    }
}

/// The ids of the rules that a trace names.
pub(super) fn names(trace: &Trace, rules: &Rules) -> Vec<Name> {
    trace.rules().filter_map(|place| rules.all.get(place)).map(|rule| rule.id.clone()).collect()
}
