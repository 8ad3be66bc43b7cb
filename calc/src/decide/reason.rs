//! Reasons: why a decision fell as it did, with the two values that were held against each other.

use crate::quantity::Quantity;
use crate::trace::Traced;

/// One reason: words without digits, the value that was found and the limit that it was held against, each
/// with what it was reckoned from.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// The reason as a sentence without digits.
    pub words: String,
    /// The value that was found.
    pub is: Traced<Quantity>,
    /// What it was held against.
    pub limit: Traced<Quantity>,
}

impl Reason {
    /// A reason whose two values are reckoned here: what that reads stands behind each of them.
    pub fn of<I, L>(words: impl Into<String>, is: impl FnOnce() -> I, limit: impl FnOnce() -> L) -> Self
    where
        I: Into<Quantity>,
        L: Into<Quantity>,
    {
        let (is, limit) = (Traced::new(|| is().into()), Traced::new(|| limit().into()));
        Reason { words: words.into(), is, limit }
    }

    /// The same in other words.
    pub fn says(self, words: impl Into<String>) -> Self {
        Reason { words: words.into(), ..self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Dimension, Share};
    use crate::rules::Rules;
    use crate::trace::{Trace, record};

    /// The rules that a trace names.
    fn names<'r>(rules: &'r Rules, trace: &Trace) -> Vec<&'r str> {
        trace.rules().map(|place| rules.all[place].id.as_str()).collect()
    }

    #[test]
    fn each_value_keeps_what_it_was_reckoned_from() {
        let rules = Rules::compiled_in().unwrap();
        let length = Traced::figure("tank.length", Share(0.25));
        let reason = Reason::of("Less than alike", || *length, || *rules.plan.alike);
        assert_eq!(names(&rules, reason.is.trace()), Vec::<&str>::new());
        assert_eq!(reason.is.trace().figures().collect::<Vec<_>>(), ["tank.length"]);
        assert_eq!(names(&rules, reason.limit.trace()), ["plan.alike"]);
        let (limit, trace) = record(|| reason.clone().says("Other words").limit.si);
        assert_eq!(limit.to_bits(), rules.plan.alike.si().to_bits());
        assert_eq!(names(&rules, &trace), ["plan.alike"]);
    }
}
