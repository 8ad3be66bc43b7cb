//! The upgrade: what to add to the pumps that hang already when the livestock of later comes, and in which order.
//!
//! The pumps of the tank stay. What is added is the cheapest set of the catalogue with which they make a plan for later, see
//! [`plan`](crate::plan); the strongest is bought first, because each step then brings the most.

use uom::si::f64::VolumeRate;

use crate::catalogue::Catalogue;
use crate::error::Error;
use crate::fit;
use crate::plan::{PumpSet, Rank, Task, Wishes, counted, find, set_words};
use crate::quantity::{Dimension, Money};
use crate::reason::Reason;
use crate::rules::Rules;
use crate::sheet::{Cell, Figure, Row, Sheet, Table};
use crate::tank::Tank;
use crate::turnover::{self, Livestock};

/// What to add.
#[derive(Debug, Clone, PartialEq)]
pub struct Upgrade {
    /// The pumps to add; their flows count the pumps that stay.
    pub added: PumpSet,
    /// One pump after the other.
    pub steps: Vec<Step>,
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

/// What to add to the pumps of a tank, or what blocks it. The wishes count, but for their rank: the cheapest additions win.
///
/// # Errors
/// [`Error::NoAnswer`] for a model that the catalogue does not have; those of the formulas.
pub fn upgrade(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Result<Upgrade, Vec<Reason>>, Error> {
    let kept: Vec<_> = tank.pumps.iter().map(|hung| hung.model.as_str()).collect();
    let task = Task::adding(rules, catalogue, tank, &kept)?;
    let wishes = Wishes { rank: Rank::Price, ..tank.wishes };
    let Some(added) = task.best(&wishes, 1)?.into_iter().next() else { return Ok(Err(task.blocked(&wishes)?)) };
    let water = counted(tank, rules);
    let share = 1.0 - rules.turnover.fouling_allowance.0;
    let mut fouled = VolumeRate::default();
    for model in &kept {
        fouled += catalogue.pumps[find(catalogue, model)?].rated_flow * share;
    }
    let mut order = added.models.clone();
    order.sort_by(|one, other| catalogue.pumps[*other].rated_flow.si().total_cmp(&catalogue.pumps[*one].rated_flow.si()));
    let mut steps = Vec::new();
    let mut spent = 0.0;
    for model in order {
        fouled += catalogue.pumps[model].rated_flow * share;
        spent += catalogue.pumps[model].price;
        let mut enough_for = None;
        for livestock in Livestock::ALL {
            if turnover::flow(water, rules.turnover.aimed_at(livestock))? <= fouled {
                enough_for = Some(livestock);
            }
        }
        steps.push(Step { model, fouled, enough_for, spent: Money { amount: spent, currency: catalogue.currency } });
    }
    Ok(Ok(Upgrade { added, steps }))
}

/// Adds the figures of this topic, `upgrade.…`, where the tank has pumps and the catalogue helps, else why not.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    if tank.pumps.is_empty() {
        sheet.lack("upgrade", fit::no_pumps(tank));
        return Ok(());
    }
    let upgrade = match upgrade(rules, catalogue, tank)? {
        Ok(upgrade) => upgrade,
        Err(blocked) => {
            let told: Vec<_> = blocked.iter().map(|reason| reason.words.as_str()).collect();
            let told = told.join(". ");
            sheet.put(Figure::new("upgrade.blocked", "What blocks an upgrade of the tank's pumps", told.as_str()));
            let why = format!("No pump of the catalogue, added to those of {}, gives what is wanted later. {told}.", tank.name);
            sheet.lack("upgrade", why);
            return Ok(());
        }
    };
    if upgrade.added.models.is_empty() {
        let why = format!(
            "The pumps of {} can give what is to live there later all the flow it needs, so there is nothing to add. To see what other \
             animals would ask for, write them as `later` under [livestock] in its file.",
            tank.name
        );
        sheet.lack("upgrade", why);
        return Ok(());
    }
    sheet.put(Figure::new("upgrade.pumps", "Pumps to add for later", set_words(catalogue, &upgrade.added.models).as_str()));
    sheet.put(Figure::new("upgrade.price", "What the added pumps cost", upgrade.added.price).from("sum of the prices", &["upgrade.pumps"]));
    sheet.put(
        Figure::new("upgrade.flow_fouled", "What all pumps then move at full just before a cleaning", upgrade.added.fouled)
            .from("flow × (1 − share lost)", &["upgrade.pumps", "fit.flow_fouled"])
            .rule("turnover.fouling_allowance")
            .never_above(),
    );
    let row = |(at, step): (usize, &Step)| {
        let id = |key: &str| format!("upgrade.step{}.{key}", at + 1);
        let fouled = Figure::new(id("flow"), "What all pumps then move at full just before a cleaning", step.fouled)
            .rule("turnover.fouling_allowance")
            .never_above();
        let spent = Figure::new(id("spent"), "Spent so far", step.spent);
        let serves = step.enough_for.map_or("nothing yet", Livestock::words);
        let cells = vec![Cell::Figure(fouled), Cell::Words(serves.to_owned()), Cell::Figure(spent)];
        Row { head: Cell::Words(catalogue.pumps[step.model].model.clone()), cells }
    };
    let table = Table {
        id: "upgrade",
        caption: "What to add for later, in this order".to_owned(),
        heads: ["Add", "Flow of all before a cleaning", "Enough for", "Spent so far"].map(str::to_owned).into(),
        rows: upgrade.steps.iter().enumerate().map(row).collect(),
    };
    sheet.tables.insert("upgrade", table);
    Ok(())
}

#[cfg(test)]
mod tests;
