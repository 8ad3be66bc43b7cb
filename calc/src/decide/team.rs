//! Which two pumps the table of teams is about.

use uom::si::f64::VolumeRate;

use crate::catalogue::{Catalogue, Outlet, PumpModel};
use crate::decide::fit::running;
use crate::decide::plan;
use crate::error::Error;
use crate::formulas::{stream, turnover};
use crate::ordered::sort_by;
use crate::quantity::{Dimension, Rounding, Share, show};
use crate::rules::Rules;
use crate::tank::Tank;

/// The two pumps of the table.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// Outlet and flow of lead and follower at their settings.
    pub sent: [(Outlet, VolumeRate); 2],
    /// Which they are.
    pub words: String,
    /// The lowest pulse that both can run at, of what they are set to.
    pub least: Share,
    /// Whether the tank, or its plan, has but one pump.
    pub is_alone: bool,
}

/// Outlet and flow of lead and follower at their settings, and in words which pumps they are: those of the
/// tank, those of its plan where it has none, and two of the catalogue where none of them can work in a team.
///
/// # Errors
/// Those of the plan.
pub fn pair(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Pair, Error> {
    let (words, own) = (&rules.words.team, !tank.pumps.is_empty());
    let pumps = if own { tank.pumps.clone() } else { plan::hung(rules, catalogue, tank)? };
    let hung = pumps.iter().filter_map(|pump| Some((pump, catalogue.pump(&pump.model)?)));
    let at = |setting: Share| show(setting.into(), Rounding::Nearest);
    let able: Vec<_> = hung
        .filter(|(_, model)| model.works_in_a_team)
        .take(2)
        .map(|(pump, model)| (pump, model, running(pump, model)))
        .collect();
    let sent = |model: &PumpModel, setting: Share| (model.outlet, model.rated_flow * setting.0);
    let least = |model: &PumpModel, setting: Share| model.lowest_setting.0 / setting.0.max(0.01);
    let (sent, told, least) = match able[..] {
        [(lead, one, lead_at), (follower, two, follower_at)] => (
            [sent(one, lead_at), sent(two, follower_at)],
            if own {
                words.own(&lead.name, at(lead_at), &follower.name, at(follower_at))
            } else {
                words.of_plan(&one.model, at(lead_at), &two.model, at(follower_at))
            },
            least(one, lead_at).max(least(two, follower_at)),
        ),
        [(only, model, setting)] => {
            let name = if own { &only.name } else { &model.model };
            ([sent(model, setting); 2], words.two_like(name, at(setting)), least(model, setting))
        }
        _ => match smallest_able(rules, catalogue, tank)? {
            Some((model, setting)) => {
                let told = words.of_catalogue(&model.model, at(setting));
                ([sent(model, setting); 2], told, least(model, setting))
            }
            None => ([stream::example_round(&rules.stream); 2], words.examples().to_owned(), 0.0),
        },
    };
    Ok(Pair { sent, words: told, least: Share(least), is_alone: pumps.len() == 1 })
}

/// The smallest model that works in a team and of which two can give the flow to aim for now, with the
/// setting that gives it; where none is strong enough the strongest at full. It is set so high that it can go
/// as low as the table's pulses do.
fn smallest_able<'c>(
    rules: &Rules,
    catalogue: &'c Catalogue,
    tank: &Tank,
) -> Result<Option<(&'c PumpModel, Share)>, Error> {
    let each = turnover::flow(plan::counted(tank, rules), rules.turnover.aimed_at(&tank.now))? / 2.0;
    let mut able: Vec<_> = catalogue.pumps.iter().filter(|pump| pump.works_in_a_team).collect();
    sort_by(&mut able, |one, other| one.rated_flow.si().total_cmp(&other.rated_flow.si()));
    let model = able.iter().find(|pump| pump.rated_flow >= each).or(able.last()).copied();
    Ok(model.map(|model| {
        (
            model,
            Share(
                (each / model.rated_flow)
                    .si()
                    .max(model.lowest_setting.0 / rules.team.example_low.0)
                    .min(1.0),
            ),
        )
    }))
}

#[cfg(test)]
mod tests;
