//! The upgrade: what to add to the pumps that hang already when the livestock of later comes, and in which
//! order.
//!
//! The pumps of the tank stay. What is added is the best set of the catalogue with which they make a plan for
//! later, see [`plan`](crate::decide::plan): pumps that can be controlled, like those that hang and like each
//! other; where none are so like, the set that is as like as can be. The strongest is bought first, because
//! each step then brings the most. Where the pumps that hang can not be part of any set that suits, replacing
//! them is better, and the upgrade says by what. Where they lack next to nothing, nothing is added.

use uom::si::f64::VolumeRate;

use super::plan::{PumpSet, Task, counted};
use super::reason::Reason;
use crate::catalogue::Catalogue;
use crate::error::Error;
use crate::formulas::turnover;
use crate::ordered::sort_by;
use crate::quantity::{Dimension, Money};
use crate::rules::Rules;
use crate::rules::livestock::Livestock;
use crate::tank::{Tank, Wishes};

/// What to add.
#[derive(Debug, Clone, PartialEq)]
pub struct Upgrade {
    /// The pumps to add; their flows count the pumps that stay.
    pub added: PumpSet,
    /// One pump after the other.
    pub steps: Vec<Step>,
    /// Where nothing like the pumps that hang will do: how unlike this is.
    pub unlike: Option<Reason>,
}

/// Why nothing can be added.
#[derive(Debug, Clone, PartialEq)]
pub struct Refusal {
    /// What blocks it.
    pub blocked: Vec<Reason>,
    /// What to hang in the place of the pumps that hang; `None` where no set does.
    pub replace_by: Option<PumpSet>,
}

/// One pump more.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Where in the catalogue its model is.
    pub model: usize,
    /// What all pumps then move at full just before a cleaning.
    pub fouled: VolumeRate,
    /// The livestock that asks for the most and for which that is enough.
    pub enough_for: Option<Livestock>,
    /// What has been spent so far.
    pub spent: Money,
}

/// What to add to the pumps of a tank, or what blocks it. The wishes count for what is added.
///
/// # Errors
/// [`Error::NoAnswer`] for a model that the catalogue does not have; those of the formulas.
pub fn upgrade(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Result<Upgrade, Refusal>, Error> {
    let kept: Vec<_> = tank.pumps.iter().map(|hung| hung.model.as_str()).collect();
    let task = Task::adding(rules, catalogue, tank, &kept)?;
    let wishes = &tank.wishes;
    // What lacks a little only is kept as it is.
    let closely = task.closely().best(wishes, 1)?.into_iter().find(|set| set.models.is_empty());
    let (added, unlike) =
        match closely.map_or_else(|| task.listed(wishes, 1), |kept| Ok(vec![kept]))?.into_iter().next() {
            Some(added) => (added, None),
            None => {
                // Where a wish stands in the way, and nothing else, neither unlike pumps nor new ones are the
                // answer.
                let is_wish = !task.best(&Wishes { rank: wishes.rank, ..Wishes::default() }, 1)?.is_empty();
                match if is_wish { None } else { task.most_alike(wishes)? } {
                    Some((added, unlike)) => (added, Some(unlike)),
                    None => {
                        let anew = Task::adding(rules, catalogue, tank, &[])?;
                        let replace_by =
                            if is_wish { None } else { anew.listed(wishes, 1)?.into_iter().next() };
                        return Ok(Err(Refusal { blocked: task.blocked(wishes)?, replace_by }));
                    }
                }
            }
        };
    let water = counted(tank, rules);
    let share = 1.0 - rules.turnover.fouling_allowance.0;
    let mut fouled = task.kept_flow() * share;
    let mut order = added.models.clone();
    let rated = |model: usize| catalogue.pumps[model].rated_flow.si();
    sort_by(&mut order, |one, other| rated(*other).total_cmp(&rated(*one)));
    let mut steps = Vec::new();
    let mut spent = 0.0;
    for model in order {
        fouled += task.gives(model) * share;
        spent += catalogue.pumps[model].price;
        let mut enough_for = None;
        for livestock in &rules.livestock {
            if turnover::flow(water, rules.turnover.aimed_at(livestock))? <= fouled {
                enough_for = Some(livestock.clone());
            }
        }
        let spent = Money { amount: spent, currency: catalogue.currency };
        steps.push(Step { model, fouled, enough_for, spent });
    }
    Ok(Ok(Upgrade { added, steps, unlike }))
}

#[cfg(test)]
mod tests;
