//! Where no set will do: what blocks it, the set that misses least, and why a model is in none.
//!
//! A demand is eased by a factor: a flow may be so many times as much or as little, a speed so many times as fast or as slow. The
//! nearest set is the best of those that come within the least factor that lets any set through. First each demand is eased alone, and
//! the one that needs the least decides; where none helps alone, all are eased together.

use uom::si::f64::VolumeRate;

use super::{Candidate, Demand, PumpSet, Rank, SLACK, Task, Wishes, count, sand_rules, search};
use crate::decide::reason::Reason;
use crate::error::Error;
use crate::quantity::{Dimension, Share, Thickness};

/// The set that misses least of what is asked, and what it misses.
#[derive(Debug, Clone, PartialEq)]
pub struct Nearest {
    /// The set.
    pub set: PumpSet,
    /// What it misses, each with what it would have to be.
    pub lacks: Vec<(Demand, Reason)>,
}

/// From one step of easing to the next.
const STEP: f64 = 1.05;
/// Steps of easing; the last one is far beyond what any pump misses.
const STEPS: u32 = 200;
/// Demands that can be eased by a factor.
const BY_DEGREES: [Demand; 5] = [Demand::Gentle, Demand::Calm, Demand::Strong, Demand::Reach, Demand::Alike];
/// Demands that are kept or let go.
const ALL_OR_NOTHING: [Demand; 2] = [Demand::Sand, Demand::Magnet];

impl Task<'_> {
    /// The same task with some demands eased by a factor, or let go where there are no degrees.
    fn eased(&self, demands: &[Demand], factor: f64) -> Self {
        let mut task = self.clone();
        for demand in demands {
            match demand {
                Demand::Gentle => task.top *= factor,
                Demand::Strong => task.need /= factor,
                Demand::Alike => task.alike /= factor,
                Demand::Reach => task.stages.iter_mut().for_each(|stage| stage.slowest /= factor),
                Demand::Calm => task.stages.iter_mut().for_each(|stage| stage.fastest *= factor),
                Demand::Sand => task.all.iter_mut().chain(&mut task.base).for_each(|pump| pump.highest = 1.0),
                Demand::Magnet | Demand::Control => {}
            }
        }
        task.let_go.extend(demands.iter().filter(|demand| ALL_OR_NOTHING.contains(demand)));
        task.sift();
        task
    }

    /// The best set with these demands eased by as few steps as let any set through, and how many those are.
    fn nearest_by(&self, demands: &[Demand], wishes: &Wishes) -> Result<Option<(u32, PumpSet)>, Error> {
        let at = |step: u32| {
            let mut factor = 1.0;
            for _ in 0..step {
                factor *= STEP;
            }
            Ok::<_, Error>(self.eased(demands, factor).best(wishes, 1)?.into_iter().next())
        };
        let Some(mut found) = at(STEPS)? else { return Ok(None) };
        if demands.iter().all(|demand| ALL_OR_NOTHING.contains(demand)) {
            return Ok(Some((0, found)));
        }
        let (mut low, mut high) = (0, STEPS);
        while high - low > 1 {
            let middle = low.midpoint(high);
            match at(middle)? {
                Some(set) => (high, found) = (middle, set),
                None => low = middle,
            }
        }
        Ok(Some((high, found)))
    }

    /// The set that comes nearest where the tank's own demands let none through, and which demands were eased for it.
    fn nearest_to_demands(&self, wishes: &Wishes) -> Result<Option<PumpSet>, Error> {
        let mut best: Option<(u32, PumpSet)> = None;
        for demand in BY_DEGREES {
            if let Some((steps, set)) = self.nearest_by(&[demand], wishes)?
                && best.as_ref().is_none_or(|(fewest, _)| steps < *fewest)
            {
                best = Some((steps, set));
            }
        }
        for demands in [&ALL_OR_NOTHING[..1], &ALL_OR_NOTHING[1..], &BY_DEGREES[..]] {
            if best.is_none() {
                best = self.nearest_by(demands, wishes)?;
            }
        }
        if best.is_none() {
            best = self.nearest_by(&[&BY_DEGREES[..], &ALL_OR_NOTHING[..]].concat(), wishes)?;
        }
        Ok(best.map(|(_, set)| set))
    }

    /// The set that misses least where none will do: of the wishes, where the tank's own demands can be met, else of the demands. `None`
    /// where there is a plan, or where there are too few models to make any set.
    ///
    /// # Errors
    /// As [`Task::best`].
    pub fn nearest(&self, wishes: &Wishes) -> Result<Option<Nearest>, Error> {
        if !self.best(wishes, 1)?.is_empty() {
            return Ok(None);
        }
        let bare = Wishes { rank: wishes.rank, ..Wishes::default() };
        let best = |wishes: Wishes| self.best(&wishes, 1).map(|sets| sets.into_iter().next());
        let mut set = None;
        // Each wish dropped alone, then all of them.
        let dropped = [
            Wishes { budget: None, rank: Rank::Price, ..*wishes },
            Wishes { noise: None, rank: Rank::Quiet, ..*wishes },
            Wishes { spare: false, ..*wishes },
            bare,
        ];
        for wishes in dropped {
            if set.is_none() {
                set = best(wishes)?;
            }
        }
        if set.is_none() {
            set = self.nearest_to_demands(&bare)?;
        }
        Ok(set.map(|set| Nearest { lacks: self.lacks(&set), set }))
    }

    /// Which of the tank's demands a set misses, and what it would have to be.
    fn lacks(&self, set: &PumpSet) -> Vec<(Demand, Reason)> {
        let added: Vec<_> = set.models.iter().filter_map(|model| self.all.iter().find(|candidate| candidate.model == *model)).collect();
        let pumps: Vec<&Candidate> = self.base.iter().chain(added.iter().copied()).collect();
        let mut lacks = Vec::new();
        let flow = VolumeRate::from_si;
        if let Some(weakest) = pumps.iter().filter_map(|pump| pump.weak_magnet).reduce(f64::min) {
            let reason = Reason::new(
                "The magnets of a pump do not hold through the panes",
                Thickness::from_si(weakest),
                Thickness::from_si(self.pane),
            );
            lacks.push((Demand::Magnet, reason.from(&["tank.pane"])));
        }
        if set.low.si() > self.top * SLACK {
            let reason = Reason::new("Turned right down it moves more than the most for what lives there", set.low, flow(self.top));
            lacks.push((Demand::Gentle, reason.from(&[self.flow_figure()]).rule(&self.turnover_rule())));
        }
        if set.fouled.si() * SLACK < self.need {
            let reason =
                Reason::new("Just before a cleaning, at full, it moves less than the flow to aim for", set.fouled, flow(self.need));
            lacks.push((Demand::Strong, reason.from(&["flow.aim"]).rule("turnover.fouling_allowance")));
        }
        let mut sand: Option<(f64, f64)> = None;
        let mut slow: Option<(f64, f64, usize)> = None;
        let mut fast: Option<(f64, f64, f64, usize)> = None;
        let told = [set.now.as_ref(), Some(&set.later)].into_iter().flatten();
        let lifts = told.flat_map(|settings| settings.iter().zip(&added)).any(|(setting, pump)| setting.0 > pump.highest * SLACK);
        let runs = pumps.iter().map(|pump| Candidate { highest: if lifts { 1.0 } else { pump.highest }, ..**pump }).collect::<Vec<_>>();
        let runs: Vec<_> = runs.iter().collect();
        for (at, stage) in self.stages.iter().enumerate() {
            let common = search::common_setting(&runs, stage.target).unwrap_or(1.0);
            for (pump, runs) in pumps.iter().zip(&runs) {
                let setting = search::clamped(runs, common);
                let bears = if pump.lifts.is_some() { 0.0 } else { pump.highest };
                if setting > bears * SLACK && sand.is_none_or(|(_, least)| bears < least) {
                    sand = Some((setting, bears));
                }
                let speeds = pump.stream(pumps.len());
                let share = setting / speeds.reaches(stage);
                if share * SLACK < 1.0 && slow.is_none_or(|(is, limit, _)| share < is / limit) {
                    slow = Some((speeds.reached * setting, stage.slowest, at));
                }
                let times = setting / speeds.bears(stage);
                if times > SLACK && fast.is_none_or(|(most, ..)| times > most) {
                    fast = Some((times, speeds.near_most * setting, stage.fastest, at));
                }
            }
        }
        if let Some((is, limit)) = sand {
            let reason = Reason::new("At the setting that it needs, a pump lifts the sand from any height", Share(is), Share(limit));
            lacks.push((Demand::Sand, sand_rules(reason.from(&["sand.keep_below"])).rule("placement.below_surface")));
        }
        if let Some((is, limit, at)) = slow {
            lacks.push((
                Demand::Reach,
                self.speed(&format!("Its weakest stream is too slow {}", self.where_it_must_reach(pumps.len())), is, limit, at),
            ));
        }
        if let Some((_, is, limit, at)) = fast {
            let reason = self.speed("Its strongest stream is still too strong shortly before the far glass", is, limit, at);
            lacks.push((Demand::Calm, reason.rule("placement.calm_share").rule("stream.spread")));
        }
        if added
            .iter()
            .enumerate()
            .any(|(at, one)| self.base.iter().chain(added[..at].iter().copied()).any(|other| !self.are_alike(one, other)))
        {
            lacks.push((Demand::Alike, self.likeness(&pumps, "Its pumps are unlike: the weakest gives too little beside the strongest")));
        }
        lacks
    }

    /// How much alike some pumps are: the flow of the weakest, as a share of that of the strongest.
    pub(super) fn likeness(&self, pumps: &[&Candidate], words: &str) -> Reason {
        let weakest = pumps.iter().map(|pump| pump.flow).fold(f64::INFINITY, f64::min);
        let strongest = pumps.iter().map(|pump| pump.flow).fold(0.0, f64::max);
        let share = if strongest > 0.0 { weakest / strongest } else { 1.0 };
        Reason::new(words, Share(share), *self.rules.plan.alike).rule("plan.alike")
    }

    /// What to add where nothing like the pumps that hang will do: the set that is as like them as can be, and how unlike they are.
    ///
    /// # Errors
    /// As [`Task::best`].
    pub(crate) fn most_alike(&self, wishes: &Wishes) -> Result<Option<(PumpSet, Reason)>, Error> {
        let Some((_, set)) = self.nearest_by(&[Demand::Alike], wishes)? else { return Ok(None) };
        let added = set.models.iter().filter_map(|model| self.all.iter().find(|candidate| candidate.model == *model));
        let pumps: Vec<_> = self.base.iter().chain(added).collect();
        let reason = self.likeness(&pumps, "No pump that is like those that hang will do; this is the nearest");
        Ok(Some((set, reason)))
    }

    /// What blocks a plan, and the nearest that would work: one reason for each wish that stands in the way, with what it would have to
    /// be. Where no wish does, what of the tank's own demands no set meets. Nothing where there is a plan.
    ///
    /// # Errors
    /// As [`Task::best`].
    pub fn blocked(&self, wishes: &Wishes) -> Result<Vec<Reason>, Error> {
        if !self.best(wishes, 1)?.is_empty() {
            return Ok(Vec::new());
        }
        let without = |relaxed: Wishes| self.best(&relaxed, 1).map(|sets| sets.into_iter().next());
        let bare = Wishes { rank: wishes.rank, ..Wishes::default() };
        if without(bare)?.is_none() {
            return self.no_set_at_all(wishes);
        }
        // Each wish dropped alone; where that does not help, it is told what it would have to be if it were the only one.
        let mut reasons = Vec::new();
        for alone in [true, false] {
            let rest = if alone { *wishes } else { bare };
            if let Some(budget) = wishes.budget
                && let Some(set) = without(Wishes { budget: None, rank: Rank::Price, ..rest })?
                && set.price.amount > budget.amount
            {
                reasons.push(Reason::new("The budget is too small: the cheapest set that works costs more", set.price, budget));
            }
            if let Some(noise) = wishes.noise
                && let Some(set) = without(Wishes { noise: None, rank: Rank::Quiet, ..rest })?
                && set.sound.high > noise
            {
                let alone = self.at_pillow(0.0).high;
                let reason = if self.hum > 0.0 && alone > noise {
                    let words = "No set is so quiet at the pillow: what hums beside the pumps is louder alone";
                    Reason::new(words, alone, noise).from(&["sound.beside"])
                } else {
                    let words = "No set is so quiet at the pillow: the quietest that works is louder";
                    Reason::new(words, set.sound.high, noise).rule("sound.half_speed")
                };
                reasons.push(self.room_rules.iter().copied().fold(reason, Reason::rule));
            }
            if wishes.spare
                && let Some(set) = without(Wishes { spare: false, ..rest })?
                && set.one_stopped.si() < self.least
            {
                let words = "The best set without a spare moves too little when one pump stops";
                reasons.push(Reason::new(words, set.one_stopped, VolumeRate::from_si(self.least)).from(&[self.flow_figure()]));
            }
            if !reasons.is_empty() {
                return Ok(reasons);
            }
        }
        reasons.push(Reason::new("Each wish can be met, but not all of them together", count(0), count(1)));
        Ok(reasons)
    }

    /// Why there is no set even without wishes.
    fn no_set_at_all(&self, wishes: &Wishes) -> Result<Vec<Reason>, Error> {
        let told = |(demand, reason): (Demand, Reason)| {
            let words = match demand {
                Demand::Magnet => "The magnets of all pumps that would do are too weak for panes of this thickness",
                Demand::Sand => "All sets that would do need a setting at which they lift the sand from any height",
                Demand::Gentle => {
                    "All of these pumps are too strong for this tank: turned right down, even the nearest set moves more than the most for what lives there"
                }
                Demand::Strong => {
                    "All of these pumps are too weak for this tank: just before a cleaning, even the nearest set moves less than the flow to aim for"
                }
                Demand::Reach => {
                    "The streams of all these pumps are too weak for this tank: even those of the nearest set are too slow as far as they must reach"
                }
                Demand::Calm => {
                    "The streams of all these pumps are too strong for what lives there: even those of the nearest set leave no calm part"
                }
                Demand::Control => "None of these pumps can be controlled, and this tank needs more than one",
                Demand::Alike => "No set of like pumps will do: in the nearest the weakest gives too little beside the strongest",
            };
            Reason { words: words.to_owned(), ..reason }
        };
        let lacks = self.nearest(wishes)?.map(|nearest| nearest.lacks).unwrap_or_default();
        if lacks.is_empty() {
            let words = "None of these pumps can be reckoned with, or there are too few places for them";
            return Ok(vec![Reason::new(words, count(self.all.len()), count(1)).rule("plan.most_pumps").rule("plan.length_per_pump")]);
        }
        Ok(lacks.into_iter().map(told).collect())
    }

    /// What rules a model out: by itself, or the demand or wish that every set with it misses, or that its best set is worse than the best
    /// of all. `None` for a model that the best set holds.
    ///
    /// - `best`: the best set; without one, only what models miss by themselves is told
    ///
    /// # Errors
    /// As [`Task::best`].
    pub fn ruled_out(&self, model: usize, best: Option<&PumpSet>, wishes: &Wishes) -> Result<Option<Reason>, Error> {
        if best.is_some_and(|best| best.models.contains(&model)) {
            return Ok(None);
        }
        if let Some((_, reason)) = self.unknown.iter().find(|(out, _)| *out == model) {
            return Ok(Some(reason.clone()));
        }
        let Some(candidate) = self.all.iter().find(|candidate| candidate.model == model) else { return Ok(None) };
        if let Some((demand, stage)) = self.alone(candidate) {
            return Ok(Some(self.alone_reason(candidate, demand, stage)));
        }
        let Some(best) = best else { return Ok(None) };
        let mut with = self.clone();
        with.base.push(*candidate);
        with.sift();
        let Some(theirs) = with.best(wishes, 1)?.into_iter().next() else { return with.no_set_with_it(wishes).map(Some) };
        let pumps = |set: &PumpSet, more: usize| count(set.models.len() + more);
        let reason = match wishes.rank {
            Rank::Price => Reason::new("The cheapest set with it costs more", theirs.price, best.price).from(&["plan.price"]),
            Rank::Quiet => {
                Reason::new("The quietest set with it is louder at the pillow", theirs.sound.high, best.sound.high).from(&["plan.sound"])
            }
            Rank::Energy => Reason::new("The thriftiest set with it draws more", theirs.power, best.power).from(&["plan.power"]),
            Rank::Fewest if theirs.models.len() + 1 != best.models.len() => {
                Reason::new("The smallest set with it has more pumps", pumps(&theirs, 1), pumps(best, 0)).from(&["plan.count"])
            }
            Rank::Cost if theirs.cost.amount <= best.cost.amount => Reason::new(
                "The best set with it has more pumps or an odd number of them, for about as much money",
                pumps(&theirs, 1),
                pumps(best, 0),
            )
            .from(&["plan.count"])
            .rule("plan.close_cost"),
            _ => {
                let words = match self.watt > 0.0 {
                    true => "The best set with it costs more over the years",
                    false => "The best set with it costs more over the years, the energy left out",
                };
                Reason::new(words, theirs.cost, best.cost).from(&["plan.cost"])
            }
        };
        Ok(Some(reason))
    }

    /// Which demand or wish every set misses that holds the last pump of the base.
    fn no_set_with_it(&self, wishes: &Wishes) -> Result<Reason, Error> {
        let bare = Wishes { rank: wishes.rank, ..Wishes::default() };
        if !self.best(&bare, 1)?.is_empty() {
            let mut reasons = self.blocked(wishes)?;
            let reason = reasons.swap_remove(0);
            let words = match reason.limit.kind {
                crate::quantity::Kind::Money(_) => "Even the cheapest set with it costs more than the budget",
                crate::quantity::Kind::SoundLevel => "Even the quietest set with it is louder at the pillow than wished",
                crate::quantity::Kind::Flow => "In the sets with it too little flow is left when one pump stops",
                _ => "The wishes can not all be met by a set with it",
            };
            return Ok(Reason { words: words.to_owned(), ..reason });
        }
        let lacks = self.nearest(&bare)?.map(|nearest| nearest.lacks).unwrap_or_default();
        let Some((demand, reason)) = lacks.into_iter().next() else {
            let words = "There are too few places for a set with it";
            return Ok(Reason::new(words, count(self.most), count(self.fewest)).rule("plan.most_pumps").rule("plan.length_per_pump"));
        };
        let words = match demand {
            Demand::Magnet => "The magnets of what must stand beside it do not hold through the panes",
            Demand::Sand => "Every set with it needs a setting at which it lifts the sand",
            Demand::Gentle => "Every set with it moves more than the most for the livestock, even turned right down",
            Demand::Strong => "Even the strongest set with it moves less than the flow to aim for, just before a cleaning",
            Demand::Reach => "In every set with it some stream is too slow as far as it must reach",
            Demand::Calm => "In every set with it some stream is too strong on too much of its way",
            Demand::Control => "Only pumps that can not be controlled could stand beside it",
            Demand::Alike => "No set with it is of like pumps",
        };
        Ok(Reason { words: words.to_owned(), ..reason })
    }
}
