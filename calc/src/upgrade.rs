//! The upgrade: what to add to the pumps that hang already when the livestock of later comes, and in which order.
//!
//! The pumps of the tank stay. What is added is the best set of the catalogue with which they make a plan for later, see
//! [`plan`](crate::decide::plan): pumps that can be controlled, like those that hang and like each other; where none are so like, the set that is
//! as like as can be. The strongest is bought first, because each step then brings the most. Where the pumps that hang can not be part of
//! any set that suits, replacing them is better, and the upgrade says by what. Where they lack next to nothing, nothing is added.

use uom::si::f64::VolumeRate;

use crate::catalogue::Catalogue;
use crate::decide::plan::{PumpSet, Task, counted, set_words};
use crate::decide::reason::Reason;
use crate::error::Error;
use crate::fit;
use crate::formulas::turnover;
use crate::quantity::{Dimension, Money, Rounding, show};
use crate::rules::Rules;
use crate::rules::livestock::Livestock;
use crate::sheet::{Cell, Figure, Row, Sheet, Table};
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
    let (added, unlike) = match closely.map_or_else(|| task.listed(wishes, 1), |kept| Ok(vec![kept]))?.into_iter().next() {
        Some(added) => (added, None),
        None => {
            // Where a wish stands in the way, and nothing else, neither unlike pumps nor new ones are the answer.
            let is_wish = !task.best(&Wishes { rank: wishes.rank, ..Wishes::default() }, 1)?.is_empty();
            match if is_wish { None } else { task.most_alike(wishes)? } {
                Some((added, unlike)) => (added, Some(unlike)),
                None => {
                    let anew = Task::adding(rules, catalogue, tank, &[])?;
                    let replace_by = if is_wish { None } else { anew.listed(wishes, 1)?.into_iter().next() };
                    return Ok(Err(Refusal { blocked: task.blocked(wishes)?, replace_by }));
                }
            }
        }
    };
    let water = counted(tank, rules);
    let share = 1.0 - rules.turnover.fouling_allowance.0;
    let mut fouled = task.kept_flow() * share;
    let mut order = added.models.clone();
    order.sort_by(|one, other| catalogue.pumps[*other].rated_flow.si().total_cmp(&catalogue.pumps[*one].rated_flow.si()));
    let mut steps = Vec::new();
    let mut spent = 0.0;
    for model in order {
        fouled += task.gives(model) * share;
        spent += catalogue.pumps[model].price;
        let mut enough_for = None;
        for livestock in Livestock::ALL {
            if turnover::flow(water, rules.turnover.aimed_at(livestock))? <= fouled {
                enough_for = Some(livestock);
            }
        }
        steps.push(Step { model, fouled, enough_for, spent: Money { amount: spent, currency: catalogue.currency } });
    }
    Ok(Ok(Upgrade { added, steps, unlike }))
}

/// Adds the figures of this topic, `upgrade.…`, where the tank has pumps and the catalogue helps, else why not.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    if tank.pumps.is_empty() {
        sheet.lack("upgrade", fit::no_pumps(tank));
        return Ok(());
    }
    let upgrade = match upgrade(rules, catalogue, tank)? {
        Ok(upgrade) => upgrade,
        Err(refusal) => {
            let told: Vec<_> = refusal.blocked.iter().map(|reason| reason.words.as_str()).collect();
            let told = told.join(". ");
            sheet.put(Figure::new("upgrade.blocked", "What blocks an upgrade of the tank's pumps", told.as_str()));
            let why = format!("No pump of the catalogue, added to those of {}, gives what is wanted later. {told}.", tank.name);
            sheet.lack("upgrade", why);
            if let Some(set) = &refusal.replace_by {
                let words = set_words(catalogue, &set.models);
                sheet.put(Figure::new("upgrade.replace", "What to hang for later in the place of the tank's pumps", words.as_str()));
                let price = Figure::new("upgrade.replace_price", "What that costs", set.price);
                sheet.put(price.from("sum of the prices", &["upgrade.replace"]));
            }
            return Ok(());
        }
    };
    for part in ["upgrade.blocked", "upgrade.replace", "upgrade.replace_price"] {
        sheet.lack(part, format!("The pumps of {} can stay.", tank.name));
    }
    if upgrade.added.models.is_empty() {
        let lacks = fit::check(rules, catalogue, tank)?.is_some_and(|fit| fit.missing.si() > 0.0);
        let enough = if lacks {
            format!(
                "Just before a cleaning the pumps of {} give a little less than the flow to aim for later: not even {} of it is missing. \
                 Clean them a little sooner, and add nothing.",
                tank.name,
                show((*rules.plan.close_enough).into(), Rounding::Nearest)
            )
        } else {
            format!("The pumps of {} can give what is to live there later all the flow it needs, so there is nothing to add.", tank.name)
        };
        let why = format!("{enough} To see what other animals would ask for, write them as `later` under [livestock] in its file.");
        sheet.lack("upgrade", why);
        return Ok(());
    }
    sheet.put(Figure::new("upgrade.pumps", "Pumps to add for later", set_words(catalogue, &upgrade.added.models).as_str()));
    sheet.put(Figure::new("upgrade.price", "What the added pumps cost", upgrade.added.price).from("sum of the prices", &["upgrade.pumps"]));
    match &upgrade.unlike {
        Some(reason) => {
            let words = Figure::new("upgrade.unlike", "How far what is added is unlike the pumps that hang", reason.words.as_str());
            sheet.put(words.rule("plan.alike"));
            let share = Figure::new("upgrade.likeness", "Flow of the weakest pump, as a share of that of the strongest", *reason.is);
            sheet.put(share.from("flow of the weakest ÷ flow of the strongest", &["upgrade.pumps"]).never_above());
        }
        None => {
            for part in ["upgrade.unlike", "upgrade.likeness"] {
                sheet.lack(part, format!("What is added to the pumps of {} is like them.", tank.name));
            }
        }
    }
    sheet.put(
        Figure::new("upgrade.flow_fouled", "What all pumps then move at full just before a cleaning", upgrade.added.fouled)
            .from("flow at full of the tank's pumps and of the added ones × (1 − share lost)", &["upgrade.pumps", "fit.flow_fouled"])
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
        origin: crate::sheet::Origin::default(),
    };
    sheet.put_table(table);
    Ok(())
}

#[cfg(test)]
mod tests;
