//! Where no set will do: what blocks it, the set that misses least, and why a model is in none.
//!
//! A demand is eased by a factor: a flow may be so many times as much or as little, a speed so many times as
//! fast or as slow. The nearest set is the best of those that come within the least factor that lets any set
//! through. First each demand is eased alone, and the one that needs the least decides; where none helps
//! alone, all are eased together.

use uom::si::f64::Velocity;

use super::{Ask, Candidate, Demand, PumpSet, SLACK, Task, Told, count, search, size_of};
use crate::decide::reason::Reason;
use crate::error::Error;
use crate::quantity::{Dimension, Kind, Share, Thickness};
use crate::tank::{Rank, Wishes};

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

    /// The set that comes nearest where the tank's own demands let none through, and which demands were eased
    /// for it.
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

    /// The set that misses least where none will do: of the wishes, where the tank's own demands can be met,
    /// else of the demands. `None` where there is a plan, or where there are too few models to make any set.
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
        let added: Vec<_> = set
            .models
            .iter()
            .filter_map(|model| self.all.iter().find(|candidate| candidate.model == *model))
            .collect();
        let pumps: Vec<&Candidate> = self.base.iter().chain(added.iter().copied()).collect();
        let words = self.words();
        let mut lacks = Vec::new();
        if let Some(weakest) = pumps.iter().filter_map(|pump| pump.weak_magnet).reduce(f64::min) {
            let held = || Thickness::from_si(weakest);
            lacks.push((Demand::Magnet, Reason::of(words.lacks_magnets(), held, || *self.asks.pane)));
        }
        if set.low.si() > self.top * SLACK {
            lacks.push((Demand::Gentle, Reason::of(words.lacks_low(), || set.low, || self.asks.first.high)));
        }
        if set.fouled.si() * SLACK < self.need {
            lacks.push((Demand::Strong, Reason::of(words.lacks_flow(), || set.fouled, || self.asks.need())));
        }
        let mut sand: Option<(f64, f64, &Candidate)> = None;
        let mut slow: Option<(f64, (f64, &Candidate, &Ask))> = None;
        let mut fast: Option<(f64, (f64, &Candidate, &Ask))> = None;
        let told = [set.now.as_ref(), Some(&set.later)].into_iter().flatten();
        let mut told = told.flat_map(|settings| settings.iter().zip(&added));
        let lifts = told.any(|(setting, pump)| setting.0 > pump.highest * SLACK);
        let runs =
            |pump: &&Candidate| Candidate { highest: if lifts { 1.0 } else { pump.highest }, ..**pump };
        let runs: Vec<_> = pumps.iter().map(runs).collect();
        let runs: Vec<_> = runs.iter().collect();
        for (stage, ask) in self.stages.iter().zip(&self.asks.steps) {
            let common = search::common_setting(&runs, stage.target).unwrap_or(1.0);
            for (pump, runs) in pumps.iter().zip(&runs) {
                let setting = search::clamped(runs, common);
                let bears = if pump.lifts { 0.0 } else { pump.highest };
                if setting > bears * SLACK && sand.is_none_or(|(_, least, _)| bears < least) {
                    sand = Some((setting, bears, *pump));
                }
                let speeds = pump.stream(pumps.len());
                let share = setting / speeds.reaches(stage);
                if share * SLACK < 1.0 && slow.is_none_or(|(least, _)| share < least) {
                    slow = Some((share, (setting, *pump, ask)));
                }
                let times = setting / speeds.bears(stage);
                if times > SLACK && fast.is_none_or(|(most, _)| times > most) {
                    fast = Some((times, (setting, *pump, ask)));
                }
            }
        }
        let size = size_of(pumps.len());
        if let Some((is, limit, pump)) = sand {
            let bears = || Share(self.seen(pump).map_or(limit, |seen| limit.min(seen.dial.highest)));
            lacks.push((Demand::Sand, Reason::of(words.lacks_sand(), || Share(is), bears)));
        }
        if let Some((_, (setting, pump, ask))) = slow {
            let slow = if self.meet[size] { words.lacks_reach_to_meet() } else { words.lacks_reach() };
            let reached =
                || Velocity::from_si(self.seen(pump).map_or(0.0, |seen| seen.reached[size]) * setting);
            lacks.push((Demand::Reach, Reason::of(slow, reached, || ask.speeds.low)));
        }
        if let Some((_, (setting, pump, ask))) = fast {
            let near =
                || Velocity::from_si(self.seen(pump).map_or(0.0, |seen| seen.near_most[size]) * setting);
            lacks.push((Demand::Calm, Reason::of(words.lacks_calm(), near, || ask.speeds.high)));
        }
        let is_unlike = |(at, one): (usize, &&Candidate)| {
            let mut others = self.base.iter().chain(added[..at].iter().copied());
            others.any(|other| !self.are_alike(one, other))
        };
        if added.iter().enumerate().any(is_unlike) {
            lacks.push((Demand::Alike, self.likeness(&pumps, words.lacks_likeness())));
        }
        lacks
    }

    /// How much alike some pumps are: the flow of the weakest, as a share of that of the strongest.
    pub(super) fn likeness(&self, pumps: &[&Candidate], words: &str) -> Reason {
        let weakest = pumps.iter().map(|pump| pump.flow).fold(f64::INFINITY, f64::min);
        let strongest = pumps.iter().map(|pump| pump.flow).fold(0.0, f64::max);
        let share = if strongest > 0.0 { weakest / strongest } else { 1.0 };
        Reason::of(words, || Share(share), || *self.rules.plan.alike)
    }

    /// What to add where nothing like the pumps that hang will do: the set that is as like them as can be,
    /// and how unlike they are.
    ///
    /// # Errors
    /// As [`Task::best`].
    pub(crate) fn most_alike(&self, wishes: &Wishes) -> Result<Option<(PumpSet, Reason)>, Error> {
        let Some((_, set)) = self.nearest_by(&[Demand::Alike], wishes)? else { return Ok(None) };
        let added =
            set.models.iter().filter_map(|model| self.all.iter().find(|candidate| candidate.model == *model));
        let pumps: Vec<_> = self.base.iter().chain(added).collect();
        let reason = self.likeness(&pumps, self.words().most_alike());
        Ok(Some((set, reason)))
    }

    /// What blocks a plan, and the nearest that would work: one reason for each wish that stands in the way,
    /// with what it would have to be. Where no wish does, what of the tank's own demands no set meets.
    /// Nothing where there is a plan.
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
        // Each wish dropped alone; where that does not help, it is told what it would have to be if it were
        // the only one.
        let (words, mut reasons) = (self.words(), Vec::new());
        for alone in [true, false] {
            let rest = if alone { *wishes } else { bare };
            if let Some(budget) = wishes.budget
                && let Some(set) = without(Wishes { budget: None, rank: Rank::Price, ..rest })?
                && set.price.amount > budget.amount
            {
                reasons.push(Reason::of(words.wish_budget(), || set.price, || budget));
            }
            if let Some(noise) = wishes.noise
                && let Some(set) = without(Wishes { noise: None, rank: Rank::Quiet, ..rest })?
                && set.sound.high > noise
            {
                let is_alone = *self.hum.peek() > 0.0 && self.at_pillow(0.0).high > noise;
                reasons.push(if is_alone {
                    Reason::of(words.wish_noise_of_hum(), || self.hum_heard(), || noise)
                } else {
                    Reason::of(words.wish_noise(), || self.heard(&set), || noise)
                });
            }
            if wishes.spare
                && let Some(set) = without(Wishes { spare: false, ..rest })?
                && set.one_stopped.si() < self.least
            {
                reasons.push(Reason::of(words.wish_spare(), || set.one_stopped, || self.asks.first.low));
            }
            if !reasons.is_empty() {
                return Ok(reasons);
            }
        }
        reasons.push(Reason::of(words.wishes_together(), || count(0), || count(1)));
        Ok(reasons)
    }

    /// Why there is no set even without wishes.
    fn no_set_at_all(&self, wishes: &Wishes) -> Result<Vec<Reason>, Error> {
        let words = self.words();
        let told = |(demand, reason): (Demand, Reason)| {
            reason.says(match demand {
                Demand::Magnet => words.none_magnets(),
                Demand::Sand => words.none_sand(),
                Demand::Gentle => words.none_strong(),
                Demand::Strong => words.none_weak(),
                Demand::Reach => words.none_slow(),
                Demand::Calm => words.none_fast(),
                Demand::Control => words.none_control(),
                Demand::Alike => words.none_alike(),
            })
        };
        let lacks = self.nearest(wishes)?.map(|nearest| nearest.lacks).unwrap_or_default();
        if lacks.is_empty() {
            let usable = || {
                self.most.note();
                count(self.all.len())
            };
            return Ok(vec![Reason::of(words.none_usable(), usable, || count(1))]);
        }
        Ok(lacks.into_iter().map(told).collect())
    }

    /// What rules a model out: by itself, or the demand or wish that every set with it misses, or that its
    /// best set is worse than the best of all. `None` for a model that the best set holds.
    ///
    /// - `best`: the best set; without one, only what models miss by themselves is told
    ///
    /// # Errors
    /// As [`Task::best`].
    pub fn ruled_out(
        &self,
        model: usize,
        best: Option<&PumpSet>,
        wishes: &Wishes,
    ) -> Result<Option<Reason>, Error> {
        self.ruled_out_by(model, best.map(Told::of).as_ref(), wishes)
    }

    /// The same for the best set as it is told.
    ///
    /// # Errors
    /// As [`Task::best`].
    pub(crate) fn ruled_out_by(
        &self,
        model: usize,
        best: Option<&Told>,
        wishes: &Wishes,
    ) -> Result<Option<Reason>, Error> {
        if best.is_some_and(|best| best.set.models.contains(&model)) {
            return Ok(None);
        }
        let words = self.words();
        if let Some((_, rated)) = self.unknown.iter().find(|(out, _)| *out == model) {
            let sold = &self.rules.turnover.pumps_on_the_market;
            return Ok(Some(Reason::of(words.model_unknown(), || *rated, || sold.high)));
        }
        let Some(candidate) = self.all.iter().find(|candidate| candidate.model == model) else {
            return Ok(None);
        };
        if let Some((demand, stage)) = self.alone(candidate) {
            return Ok(Some(self.alone_reason(candidate, demand, stage)));
        }
        let Some(best) = best else { return Ok(None) };
        let mut with = self.clone();
        with.base.push(*candidate);
        with.sift();
        let Some(theirs) = with.best(wishes, 1)?.into_iter().next() else {
            return with.no_set_with_it(wishes).map(Some);
        };
        let (number, ours) = (theirs.models.len() + 1, best.set.models.len());
        let is_as_cheap = theirs.cost.amount <= best.set.cost.amount;
        let reason = match wishes.rank {
            Rank::Price => Reason::of(words.behind_price(), || theirs.price, || *best.price),
            Rank::Quiet => Reason::of(words.behind_quiet(), || self.heard(&theirs), || *best.sound),
            Rank::Energy => Reason::of(words.behind_energy(), || theirs.power, || *best.power),
            Rank::Fewest if number != ours => {
                Reason::of(words.behind_fewest(), || count(number), || *best.count)
            }
            Rank::Cost if is_as_cheap => Reason::of(words.behind_number(), || count(number), || *best.count),
            _ => {
                let dearer = match self.watt > 0.0 {
                    true => words.behind_cost(),
                    false => words.behind_cost_without_energy(),
                };
                Reason::of(dearer, || theirs.cost, || *best.cost)
            }
        };
        Ok(Some(reason))
    }

    /// Which demand or wish every set misses that holds the last pump of the base.
    fn no_set_with_it(&self, wishes: &Wishes) -> Result<Reason, Error> {
        let words = self.words();
        let bare = Wishes { rank: wishes.rank, ..Wishes::default() };
        if !self.best(&bare, 1)?.is_empty() {
            let mut reasons = self.blocked(wishes)?;
            let reason = reasons.swap_remove(0);
            let missed = match reason.limit.kind {
                Kind::Money(_) => words.with_it_budget(),
                Kind::SoundLevel => words.with_it_noise(),
                Kind::Flow => words.with_it_spare(),
                _ => words.with_it_wishes(),
            };
            return Ok(reason.says(missed));
        }
        let lacks = self.nearest(&bare)?.map(|nearest| nearest.lacks).unwrap_or_default();
        let Some((demand, reason)) = lacks.into_iter().next() else {
            return Ok(Reason::of(words.with_it_places(), || count(*self.most), || count(*self.fewest)));
        };
        Ok(reason.says(match demand {
            Demand::Magnet => words.with_it_magnets(),
            Demand::Sand => words.with_it_sand(),
            Demand::Gentle => words.with_it_strong(),
            Demand::Strong => words.with_it_weak(),
            Demand::Reach => words.with_it_slow(),
            Demand::Calm => words.with_it_fast(),
            Demand::Control => words.with_it_control(),
            Demand::Alike => words.with_it_unlike(),
        }))
    }
}
