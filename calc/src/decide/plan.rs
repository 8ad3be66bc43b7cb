//! The pump plan: which pumps to buy for a tank, and what each is set to.
//!
//! A plan is a set of one to six pumps of a [`Catalogue`], the same model as often as it likes, and in a
//! short tank no more than find room beside each other. It must meet these [`Demand`]s:
//!
//! - give the flow to aim for later, even when every pump has lost the share that fouling takes;
//! - get down into the band for now when every pump is turned right down;
//! - send every stream to the far glass, or where pumps face each other to the middle, at the settings for
//!   now and for later: there it is in its middle still as fast as the least that suits the livestock;
//! - leave a calm part: each stream, even one that is stronger than reckoned, slows to the most that suits
//!   the livestock a share of its way before the far glass. Where several kinds of coral live together that
//!   is what suits the hardiest: the gentler ones stand beside the streams;
//! - leave the sand alone, from a height at which no pump draws air;
//! - hold on by magnets through the panes;
//! - have at least two pumps in a tank longer than one pump stirs, and for stony corals, which want water
//!   from changing sides;
//! - have pumps that are alike: of one kind, and of much the same flow;
//! - have pumps that can be controlled: one of one speed only where it is the only one.
//!
//! Besides it keeps to the [`Wishes`]: money, noise at the pillow, a spare.
//!
//! Settings: all pumps that can be set share one setting, the one at which the set gives the flow wanted, but
//! no pump is set below its lowest or above what the sand bears. Power, noise and cost are those at the
//! setting for later, with the least saving that the rules expect of turned-down pumps, wet ends as soon as
//! the rules expect them, and the loudest that the home's room and door let through.
//!
//! The search is exact: no set that it leaves out is better than the ones it tells. It walks all sets as a
//! tree, and turns back where a bound says that nothing below can be good enough; the module `bound` says why
//! each bound holds. Where no set will do, the module `nearest` finds the one that misses least, and names
//! what it misses.

mod asks;
mod bound;
mod limits;
mod nearest;
mod places;
mod reasons;
mod search;
mod told;

use std::sync::Arc;

use uom::si::f64::{Energy, Length, Power, Time, Velocity, VolumeRate};

use crate::catalogue::{Catalogue, PumpKind, PumpModel};
use crate::decide::contents::{display_gross, net};
use crate::decide::placement::Room;
use crate::decide::reason::Reason;
use crate::decide::sound;
use crate::document::did_you_mean;
use crate::error::Error;
use crate::formulas::{cost, power};
use crate::ordered::sort_few;
use crate::quantity::{Currency, Dimension, Kind, Money, Quantity, Share, SoundLevel, Thickness, YEAR};
use crate::rules::livestock::{Lives, Livestock, Stock};
use crate::rules::{Band, Rules, words};
use crate::tank::{Counts, Rank, Tank, Wishes};
use crate::trace::Traced;
use crate::words::listed;

pub(crate) use asks::{Ask, Asks};
use limits::Limits;
pub use nearest::Nearest;
pub use places::hung;
pub(crate) use places::spots;
pub(crate) use told::Told;

/// A set of pumps that fits a tank, with its settings.
#[derive(Debug, Clone, PartialEq)]
pub struct PumpSet {
    /// Where in the catalogue its models are, in that order; a model as often as it is bought.
    pub models: Vec<usize>,
    /// What each is set to now; `None` for pumps that are added for later.
    pub now: Option<Vec<Share>>,
    /// What each is set to later.
    pub later: Vec<Share>,
    /// What they move together at full, clean; each no further up than the sand bears.
    pub full: VolumeRate,
    /// What they still move at full just before a cleaning.
    pub fouled: VolumeRate,
    /// What they move together turned right down.
    pub low: VolumeRate,
    /// What they still move at full just before a cleaning when the strongest stops.
    pub one_stopped: VolumeRate,
    /// Their price.
    pub price: Money,
    /// What they cost over the years; without their energy where that is paid in another currency.
    pub cost: Money,
    /// What they draw at the setting for later.
    pub power: Power,
    /// What arrives at the pillow at that setting of all that hums, as [`sound::at_pillow_of`] has it. The
    /// most counts.
    pub sound: Band<SoundLevel>,
}

/// What a tank asks of a set of pumps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Demand {
    /// Its magnets hold through the panes.
    Magnet,
    /// It lifts no sand.
    Sand,
    /// Turned right down it moves no more than the most for what lives there first.
    Gentle,
    /// Just before a cleaning it still moves the flow to aim for.
    Strong,
    /// Its streams reach the far glass.
    Reach,
    /// Its streams leave a calm part.
    Calm,
    /// Its pumps are alike.
    Alike,
    /// Its pumps can be controlled, where it has several.
    Control,
}

/// One flow that a plan must be set to.
#[derive(Debug, Clone, Copy)]
struct Stage {
    /// The flow.
    target: f64,
    /// What the middle of each stream must have as far as it must reach, at the least.
    slowest: f64,
    /// What it must have slowed to where the calm part begins.
    fastest: f64,
}

/// One model as this tank sees it, in SI units.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    /// Where in the catalogue.
    model: usize,
    kind: PumpKind,
    /// Whether it hangs already: then it is taken as it is.
    hangs: bool,
    /// Flow at full.
    flow: f64,
    /// Lowest setting.
    lowest: f64,
    /// Highest setting that the sand bears, not below the lowest.
    highest: f64,
    /// Whether it lifts sand even at its lowest.
    lifts: bool,
    /// The thickest pane that its magnets hold through, where that is too little.
    weak_magnet: Option<f64>,
    /// Its stream at full, in sets of one pump, of two, and of more: they hang in other places.
    streams: [Speeds; SIZES],
    price: f64,
    /// Wet ends over the years.
    wear: f64,
    /// Draw at any setting, and what comes on top at full.
    standing: f64,
    rise: f64,
    /// Sound energy at one metre at full.
    loud: f64,
}

/// How many sizes of sets are told apart by where their pumps hang.
const SIZES: usize = 3;

/// Which of those sizes a set of so many pumps is.
fn size_of(pumps: usize) -> usize {
    pumps.clamp(1, SIZES) - 1
}

/// Speeds of a stream at full, on the ways that it has where its pump may hang.
#[derive(Debug, Clone, Copy)]
struct Speeds {
    /// As far as it must reach.
    reached: f64,
    /// Of a stream that is stronger than reckoned, where the calm part must begin.
    near_most: f64,
}

impl Speeds {
    /// The highest setting at which the stream leaves what a stage asks to be calm.
    fn bears(&self, stage: &Stage) -> f64 {
        stage.fastest / self.near_most
    }

    /// The lowest setting at which the stream reaches as far as it must.
    fn reaches(&self, stage: &Stage) -> f64 {
        stage.slowest / self.reached
    }
}

/// The ways that streams have in a tank, in sets of each size.
struct Ways {
    /// How far each must reach, where that is farthest.
    must_reach: Traced<[Length; SIZES]>,
    /// Where the calm part must begin, where that is nearest.
    calm_from: Traced<[Length; SIZES]>,
    /// The longest way of any.
    longest: Traced<Length>,
}

impl Ways {
    fn of(rules: &Rules, room: &Room<'_>) -> Self {
        let sizes = || [1, 2, *rules.plan.most_pumps];
        Ways {
            must_reach: Traced::new(|| sizes().map(|pumps| room.must_reach(pumps, room.ways(pumps).high))),
            calm_from: Traced::new(|| sizes().map(|pumps| room.calm_from(room.ways(pumps).low))),
            longest: Traced::new(|| room.longest_way()),
        }
    }
}

impl Seen {
    fn of(rules: &Rules, model: &PumpModel, room: &Room<'_>, ways: &Ways) -> Result<Self, Error> {
        let stream = Traced::ok(|| room.stream(model))?;
        let reached = Traced::ok(|| {
            let [one, two, more] = *ways.must_reach;
            let reached = |way| Ok::<_, Error>(stream.speed_at(way)?.si());
            Ok::<_, Error>([reached(one)?, reached(two)?, reached(more)?])
        })?;
        let near_most = Traced::ok(|| {
            let [one, two, more] = *ways.calm_from;
            let most = |way| Ok::<_, Error>(rules.stream.spread_of(stream.speed_at(way)?).high.si());
            Ok::<_, Error>([most(one)?, most(two)?, most(more)?])
        })?;
        let dial = Traced::ok(|| {
            let (way, lowest) = (*ways.longest, model.lowest_setting);
            if let Some(highest) = room.highest_setting(model, way)? {
                return Ok::<_, Error>(Dial { highest: highest.0.max(lowest.0), lifts: None });
            }
            let needed = room.lowest(&stream.at_setting(lowest)?, model.outlet, way)?;
            Ok(Dial { highest: lowest.0, lifts: Some((needed, room.highest(model.outlet))) })
        })?;
        Ok(Seen { dial, reached, near_most })
    }
}

impl Candidate {
    /// Its stream in a set of so many pumps.
    fn stream(&self, pumps: usize) -> &Speeds {
        &self.streams[size_of(pumps)]
    }
}

/// What the reasons tell of a model, each part with what it was reckoned from.
#[derive(Debug, Clone)]
struct Seen {
    /// The highest setting that the sand bears.
    dial: Traced<Dial>,
    /// What its stream at full has as far as it must reach, in sets of each size.
    reached: Traced<[f64; SIZES]>,
    /// What one that is stronger than reckoned has where the calm part must begin.
    near_most: Traced<[f64; SIZES]>,
}

/// How far up a model can be set over the sand.
#[derive(Debug, Clone, Copy)]
struct Dial {
    /// Not below its lowest.
    highest: f64,
    /// Where it lifts sand even at its lowest: the height that it would have to have, and the greatest it
    /// can.
    lifts: Option<(Length, Length)>,
}

/// The question a plan answers, with all that the tank and the rules say to it.
#[derive(Debug, Clone)]
pub struct Task<'a> {
    rules: &'a Rules,
    /// What the tank asks.
    asks: Asks,
    /// The models whose stream can be reckoned, by their place in the catalogue.
    seen: Arc<[Option<Seen>]>,
    /// Every model whose stream can be reckoned.
    all: Vec<Candidate>,
    /// Those of them that can be in a plan at all.
    candidates: Vec<Candidate>,
    /// Models whose stream no formula reckons, with their rated flow.
    unknown: Vec<(usize, VolumeRate)>,
    /// Pumps that are in every set.
    base: Vec<Candidate>,
    stages: Vec<Stage>,
    /// What the set must still give at full, fouled.
    need: f64,
    /// What it must get down to, and what must be left of it when one pump stops where a spare is wished for.
    top: f64,
    least: f64,
    /// Flow of the weakest of like pumps, as a share of that of the strongest: as it is asked, and as the
    /// rule has it.
    alike: f64,
    alike_by_rule: f64,
    /// What fouling leaves of a flow.
    kept: f64,
    /// How the sound energy of a pump goes with its setting: as this power of it.
    sound_exponent: f64,
    /// Demands that are let go, while the nearest set is sought.
    let_go: Vec<Demand>,
    fewest: Traced<usize>,
    most: Traced<usize>,
    /// Whether streams meet, so that each need only reach the middle: in sets of each size.
    meet: [bool; SIZES],
    /// What one watt costs over the years.
    watt: f64,
    /// What the way to the pillow adds to the level at one metre.
    pillow: Traced<Band<SoundLevel>>,
    /// Sound energy at one metre of what hums beside the pumps.
    hum: Traced<f64>,
    currency: Currency,
}

impl<'a> Task<'a> {
    /// The plan for a tank: from its livestock now to that of later, with pumps of the catalogue.
    ///
    /// # Errors
    /// Those of the formulas, where the tank lies outside their ranges.
    pub fn new(rules: &'a Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Self, Error> {
        Task::asking(rules, catalogue, tank, Asks::of(rules, tank, &[&tank.now, &tank.later])?, &[])
    }

    /// What to add to pumps that hang already, once the livestock of later has come: the flow is that for
    /// later, and the set need only get down into its band. The pumps that hang are taken as they are, and
    /// cost nothing; what is added can be controlled, and is like them and like each other.
    ///
    /// - `kept`: the models of the pumps that hang; without any, all pumps that are bought for later anew
    ///
    /// # Errors
    /// As [`Task::new`], and [`Error::NoAnswer`] for a model that the catalogue does not have.
    pub fn adding(
        rules: &'a Rules,
        catalogue: &Catalogue,
        tank: &Tank,
        kept: &[&str],
    ) -> Result<Self, Error> {
        Task::asking(rules, catalogue, tank, Asks::of(rules, tank, &[&tank.later])?, kept)
    }

    /// The plan for what a tank asks, with the models that hang already.
    ///
    /// # Errors
    /// As [`Task::adding`].
    pub(crate) fn asking(
        rules: &'a Rules,
        catalogue: &Catalogue,
        tank: &Tank,
        asks: Asks,
        kept: &[&str],
    ) -> Result<Self, Error> {
        // Before anything is read here, so that each model keeps to itself what it was reckoned from.
        let room = Room::new(rules, tank)?;
        let models = || catalogue.pumps.iter().enumerate();
        let ways = Ways::of(rules, &room);
        // A stream that no formula reckons is in no plan.
        let seen: Vec<_> = models().map(|(_, model)| Seen::of(rules, model, &room, &ways).ok()).collect();
        let length = tank.glass.outline.length();
        let is_stony = asks.steps.iter().any(|step| is_stony(&step.stock));
        let fewest = Traced::new(|| {
            let for_length = if length > *rules.plan.one_pump_up_to { 2 } else { 1 };
            if is_stony { for_length.max(*rules.plan.two_sides) } else { for_length }
        });
        let most = Traced::new(|| rules.plan.most_in(length).min(room.spots(*rules.plan.most_pumps).len()));
        let home = &tank.home;
        let pillow = Traced::ok(|| sound::way_to_pillow(home, &rules.sound))?;
        let hum = Traced::new(|| {
            let beside = sound::beside_the_pumps(tank, &rules.sound);
            beside.iter().map(|source| libm::pow(10.0, source.level.0 / 10.0)).sum::<f64>()
        });
        [&fewest, &most].into_iter().for_each(Traced::note);
        pillow.note();
        hum.note();
        let stage = |ask: &Ask| Stage {
            target: ask.flow.si(),
            slowest: ask.speeds.low.si(),
            fastest: ask.speeds.high.si(),
        };
        let alike = rules.plan.alike.0;
        let mut task = Task {
            rules,
            seen: seen.into(),
            all: Vec::new(),
            candidates: Vec::new(),
            unknown: Vec::new(),
            base: Vec::new(),
            stages: asks.steps.iter().map(stage).collect(),
            need: asks.need().si(),
            top: asks.first.high.si(),
            least: asks.first.low.si(),
            asks,
            alike,
            alike_by_rule: alike,
            kept: 1.0 - rules.turnover.fouling_allowance.0,
            sound_exponent: rules.sound.half_speed.low.0 / (10.0 * libm::log10(2.0)),
            let_go: Vec::new(),
            fewest,
            most,
            meet: [1, 2, *rules.plan.most_pumps].map(|pumps| room.do_face(pumps)),
            watt: price_of_a_watt(rules, catalogue, tank)?,
            pillow,
            hum,
            currency: catalogue.currency,
        };
        for model in kept {
            let at = find(catalogue, model)?;
            let model = &catalogue.pumps[at];
            // Here its own error is the answer.
            let seen = Seen::of(rules, model, &room, &ways)?;
            task.base.push(Candidate { price: 0.0, hangs: true, ..task.candidate(at, model, &room, &seen)? });
        }
        for (at, model) in models() {
            let seen = task.seen[at].as_ref().map(|seen| task.candidate(at, model, &room, seen));
            match seen {
                Some(Ok(candidate)) => task.all.push(candidate),
                _ => task.unknown.push((at, model.rated_flow)),
            }
        }
        if !kept.is_empty() {
            task.all.retain(|candidate| candidate.kind != PumpKind::RoundFixed);
        }
        task.sift();
        Ok(task)
    }

    fn candidate(
        &self,
        at: usize,
        model: &PumpModel,
        room: &Room<'_>,
        seen: &Seen,
    ) -> Result<Candidate, Error> {
        let rules = self.rules;
        // The least saving is the most that a meter may show: part of the reckoned saving stays as a draw at
        // any setting.
        let standing = least(model.standing_draw, model.power);
        let range = power::draw_range(model.power, standing, Share(0.0), *rules.power.saving_made)?;
        let money = |amount| Money { amount, currency: self.currency };
        let owned = cost::Owned {
            price: money(model.price),
            energy_per_year: Energy::default(),
            wet_end: money(model.wet_end_price),
            wet_end_interval: rules.cost.wet_end_interval.low,
        };
        let wear = cost::ownership(owned, money(0.0), *rules.cost.years)?.wear.amount;
        let (reached, near_most) = (*seen.reached, *seen.near_most);
        Ok(Candidate {
            model: at,
            kind: model.kind,
            hangs: false,
            flow: model.rated_flow.si(),
            lowest: model.lowest_setting.0,
            highest: seen.dial.highest,
            lifts: seen.dial.lifts.is_some(),
            weak_magnet: if room.holds(model) { None } else { model.largest_pane.map(Dimension::si) },
            streams: std::array::from_fn(|at| Speeds { reached: reached[at], near_most: near_most[at] }),
            price: model.price,
            wear,
            standing: range.high.si(),
            rise: (model.power - range.high).si(),
            loud: libm::pow(10.0, model.sound.0 / 10.0),
        })
    }

    /// Takes the candidates that can be in a plan at all, each by itself.
    fn sift(&mut self) {
        let fit = |candidate: &&Candidate| {
            self.alone(candidate).is_none() && self.base.iter().all(|pump| self.are_alike(pump, candidate))
        };
        self.candidates = self.all.iter().filter(fit).copied().collect();
    }

    /// The first demand that a model misses by itself, whatever stands beside it, with the stage that asks
    /// it.
    fn alone(&self, candidate: &Candidate) -> Option<(Demand, usize)> {
        let Candidate { flow, lowest, highest, .. } = *candidate;
        if candidate.weak_magnet.is_some() && !self.let_go.contains(&Demand::Magnet) {
            return Some((Demand::Magnet, 0));
        }
        if candidate.kind == PumpKind::RoundFixed && *self.fewest.peek() > 1 {
            return Some((Demand::Control, 0));
        }
        if flow * lowest > self.top * SLACK {
            return Some((Demand::Gentle, 0));
        }
        if candidate.lifts && !self.let_go.contains(&Demand::Sand) {
            return Some((Demand::Sand, 0));
        }
        let misses = |speeds: &Speeds| {
            self.stages.iter().enumerate().find_map(|(at, stage)| {
                if speeds.reaches(stage) > highest * SLACK {
                    return Some((Demand::Reach, at));
                }
                (speeds.bears(stage) * SLACK < lowest).then_some((Demand::Calm, at))
            })
        };
        // In a larger set it hangs in other places, which may suit it better.
        let mut sizes =
            candidate.streams.iter().take(size_of(*self.most.peek()) + 1).skip(size_of(*self.fewest.peek()));
        let first = sizes.next().and_then(misses)?;
        sizes.all(|speeds| misses(speeds).is_some()).then_some(first)
    }

    /// Why a model misses a demand by itself.
    fn alone_reason(&self, candidate: &Candidate, demand: Demand, at: usize) -> Reason {
        let Candidate { flow, lowest, .. } = *candidate;
        let words = self.words();
        let (Some(stage), Some(seen)) = (self.asks.steps.get(at), self.seen(candidate)) else {
            return Reason::of(words.model_unasked(), || count(0), || count(1));
        };
        match demand {
            Demand::Magnet => {
                let held = Thickness::from_si(candidate.weak_magnet.unwrap_or(0.0));
                Reason::of(words.model_magnets(), || held, || *self.asks.pane)
            }
            Demand::Sand => {
                let heights = || seen.dial.lifts.unwrap_or_default();
                Reason::of(words.model_sand(), || heights().0, || heights().1)
            }
            Demand::Reach => {
                let meet = self.meet[size_of(*self.fewest.peek())];
                let slow = if meet { words.model_slow_to_meet() } else { words.model_slow() };
                let reached = || Velocity::from_si(seen.reached[size_of(*self.fewest)] * seen.dial.highest);
                Reason::of(slow, reached, || stage.speeds.low)
            }
            Demand::Calm => {
                let near = || Velocity::from_si(seen.near_most[size_of(*self.fewest)] * lowest);
                Reason::of(words.model_fast(), near, || stage.speeds.high)
            }
            Demand::Control => Reason::of(words.model_control(), || count(1), || count(*self.fewest)),
            Demand::Gentle | Demand::Strong | Demand::Alike => {
                let is_fixed = candidate.kind == PumpKind::RoundFixed;
                let strong = if is_fixed { words.model_strong_fixed() } else { words.model_strong() };
                Reason::of(strong, || VolumeRate::from_si(flow * lowest), || self.asks.first.high)
            }
        }
    }

    /// The words of its reasons.
    pub(crate) fn words(&self) -> &'a words::Plan {
        &self.rules.words.plan
    }

    /// What the reasons tell of a pump.
    fn seen(&self, pump: &Candidate) -> Option<&Seen> {
        self.seen.get(pump.model)?.as_ref()
    }

    /// The most that arrives at the pillow of a set.
    fn heard(&self, set: &PumpSet) -> SoundLevel {
        self.hum.note();
        self.pillow.note();
        set.sound.high
    }

    /// The most that arrives there of what hums beside the pumps alone.
    fn hum_heard(&self) -> SoundLevel {
        self.hum.note();
        self.pillow.note();
        self.at_pillow(0.0).high
    }

    /// Whether two pumps may be in one set: like kinds that can be controlled, and flows that are much the
    /// same. Pumps that hang already are taken as they are: one that can not be controlled may stay beside
    /// like ones that can.
    fn are_alike(&self, one: &Candidate, other: &Candidate) -> bool {
        if one.hangs && other.hangs {
            return true;
        }
        if [one, other].iter().any(|pump| !pump.hangs && pump.kind == PumpKind::RoundFixed) {
            return false;
        }
        let is_round = |pump: &Candidate| pump.kind != PumpKind::CrossFlow;
        let is_like_kind =
            one.kind == other.kind || (one.hangs || other.hangs) && is_round(one) && is_round(other);
        let is_eased = (one.hangs || other.hangs) && self.alike < self.alike_by_rule;
        (is_like_kind || is_eased)
            && one.flow.min(other.flow) * SLACK >= one.flow.max(other.flow) * self.alike
    }

    /// The best sets under the wishes, best first; none where no set will do.
    ///
    /// # Errors
    /// [`Error::NoAnswer`] for a budget in another currency than the catalogue's.
    pub fn best(&self, wishes: &Wishes, count: usize) -> Result<Vec<PumpSet>, Error> {
        if let Some(budget) = wishes.budget.filter(|budget| budget.currency != self.currency) {
            let why = format!(
                "it is in {}, the catalogue in {}; write both in one currency",
                budget.currency.code(),
                self.currency.code()
            );
            return Err(Error::NoAnswer { what: "the budget", why });
        }
        Ok(search::best(self, &Limits::of(self, wishes), wishes.rank, count))
    }

    /// The sets that a plan lists, best first: as [`Task::best`], but of sets that cost about as much over
    /// the years as the cheapest, one whose pumps pair up goes first, and of those the one with the fewest. A
    /// pump less to clean is worth a little money.
    ///
    /// # Errors
    /// As [`Task::best`].
    pub fn listed(&self, wishes: &Wishes, count: usize) -> Result<Vec<PumpSet>, Error> {
        let mut sets = self.best(wishes, count.max(*self.rules.plan.best_sets))?;
        if let (Rank::Cost, Some(cheapest)) = (wishes.rank, sets.first()) {
            let close = cheapest.cost.amount * (1.0 + self.rules.plan.close_cost.0) * SLACK;
            let near = sets.iter().take_while(|set| set.cost.amount <= close).enumerate();
            // Three or five can not all face each other. Of as many pumps the cheapest: the first.
            let is_odd = |set: &PumpSet| set.models.len() > 1 && set.models.len() % 2 == 1;
            if let Some((at, _)) = near.min_by_key(|(at, set)| (is_odd(set), set.models.len(), *at)) {
                sets[..=at].rotate_right(1);
            }
        }
        sets.truncate(count);
        Ok(sets)
    }

    /// The same task for pumps that hang: what they lack of the flow to aim for may be so little that it is
    /// not worth another pump.
    pub(crate) fn closely(&self) -> Self {
        Task { need: self.need * (1.0 - self.rules.plan.close_enough.0), ..self.clone() }
    }

    /// Reckons one set, and says whether it will do: `None` where it breaks a constraint or a wish.
    ///
    /// - `models`: where in the catalogue, in any order
    ///
    /// # Errors
    /// As [`Task::best`].
    pub fn set_of(&self, models: &[usize], wishes: &Wishes) -> Result<Option<PumpSet>, Error> {
        let mut members = Vec::new();
        for model in models {
            match self.candidates.iter().position(|candidate| candidate.model == *model) {
                Some(at) => members.push(at),
                None => return Ok(None),
            }
        }
        sort_few(&mut members, Ord::cmp);
        if wishes.budget.is_some_and(|budget| budget.currency != self.currency) {
            return self.best(wishes, 1).map(|_| None);
        }
        let limits = Limits::of(self, wishes);
        let scored = search::score(self, &limits, wishes.rank, &members);
        Ok(scored.map(|_| self.pump_set(&members)))
    }

    /// Where in the catalogue the models are that can be in a plan at all.
    pub fn candidates(&self) -> Vec<usize> {
        self.candidates.iter().map(|candidate| candidate.model).collect()
    }

    /// The set of these candidates, with the pumps that are in every set counted in.
    fn pump_set(&self, members: &[usize]) -> PumpSet {
        let all: Vec<_> = self.all(members).collect();
        let settings = |stage: &Stage| {
            let setting = search::common_setting(&all, stage.target).unwrap_or(1.0);
            let chosen = all.iter().skip(self.base.len());
            chosen.map(|pump| Share(search::clamped(pump, setting))).collect::<Vec<_>>()
        };
        let sums = search::Totals::of(self, &all);
        let money = |amount| Money { amount, currency: self.currency };
        PumpSet {
            models: members.iter().map(|at| self.candidates[*at].model).collect(),
            now: (self.stages.len() > 1).then(|| self.stages.first().map(settings)).flatten(),
            later: self.stages.last().map(settings).unwrap_or_default(),
            full: VolumeRate::from_si(sums.full),
            fouled: VolumeRate::from_si(sums.fouled),
            low: VolumeRate::from_si(sums.low),
            one_stopped: VolumeRate::from_si(sums.fouled - sums.strongest),
            price: money(sums.price),
            cost: money(sums.cost),
            power: Power::from_si(sums.power),
            sound: self.at_pillow(sums.loud),
        }
    }

    /// What the pumps that are in every set move together at full, clean, each no further up than the sand
    /// bears.
    pub(crate) fn kept_flow(&self) -> VolumeRate {
        VolumeRate::from_si(self.base.iter().map(|pump| pump.flow * pump.highest).sum())
    }

    /// What a model moves at full, clean, no further up than the sand bears; nothing for a model that is in
    /// no set.
    pub(crate) fn gives(&self, model: usize) -> VolumeRate {
        let candidate = self.all.iter().find(|candidate| candidate.model == model);
        VolumeRate::from_si(candidate.map_or(0.0, |pump| pump.flow * pump.highest))
    }

    /// What the pumps that are in every set would have to be set to for a flow; `None` where they can not.
    pub(crate) fn kept_setting(&self, wanted: VolumeRate) -> Option<Share> {
        let set: Vec<_> = self.base.iter().collect();
        let lowest: f64 = set.iter().map(|pump| pump.flow * pump.lowest).sum();
        let setting = search::common_setting(&set, wanted.si())?;
        (lowest <= wanted.si() * SLACK).then_some(Share(setting))
    }

    /// The pumps of a set: those that are in every set, then the members in the order of the catalogue.
    fn all<'s>(&'s self, members: &'s [usize]) -> impl Iterator<Item = &'s Candidate> {
        self.base.iter().chain(members.iter().map(|at| &self.candidates[*at]))
    }

    /// The level at the pillow of pumps of this sound energy at one metre, and of what hums beside them.
    fn at_pillow(&self, loud: f64) -> Band<SoundLevel> {
        let loud = loud + self.hum.peek();
        // No pump at all counts as one of no decibel.
        let metre = if loud > 0.0 { 10.0 * libm::log10(loud) } else { 0.0 };
        crate::formulas::sound::heard(SoundLevel(metre), *self.pillow.peek())
    }
}

/// A billionth, so that the last bit of a sum never decides.
const SLACK: f64 = 1.0 + 1e-9;

fn least(one: Power, other: Power) -> Power {
    if one < other { one } else { other }
}

/// Whether some of what lives in a tank are stony corals, which can not bend and want water from changing
/// sides.
pub(crate) fn is_stony(stock: &Stock) -> bool {
    stock.kinds().iter().any(Livestock::is_stony)
}

/// What one watt costs over the years. Money of two currencies is not added up where no exchange is known:
/// there the energy is told beside the cost.
fn price_of_a_watt(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<f64, Error> {
    let Some(price) = tank.home.price_in(catalogue.currency) else { return Ok(0.0) };
    let a_year = power::energy_per_year(Power::from_si(1.0));
    Ok(power::cost(a_year * (*rules.cost.years / Time::from_si(YEAR)).si(), price)?.amount)
}

/// So many, as a quantity.
pub(crate) fn count(number: usize) -> Quantity {
    Quantity::new(Kind::Count, number as f64)
}

/// A set in words: "two Beck 3 and one Skerry 1".
pub(crate) fn set_words(catalogue: &Catalogue, models: &[usize]) -> String {
    const NUMBERS: [&str; 7] = ["no", "one", "two", "three", "four", "five", "six"];
    let mut parts: Vec<(usize, usize)> = Vec::new();
    for model in models {
        match parts.iter_mut().find(|(at, _)| at == model) {
            Some((_, number)) => *number += 1,
            None => parts.push((*model, 1)),
        }
    }
    let parts: Vec<_> = parts
        .into_iter()
        .filter_map(|(at, number)| {
            Some(format!("{} {}", NUMBERS.get(number)?, catalogue.pumps.get(at)?.model))
        })
        .collect();
    if parts.is_empty() { "nothing".to_owned() } else { listed(&parts) }
}

/// The volume that the turnover of a tank counts.
pub(crate) fn counted(tank: &Tank, rules: &Rules) -> uom::si::f64::Volume {
    match tank.counts {
        Counts::Net => net(tank, &rules.volume),
        Counts::Gross => display_gross(tank),
    }
}

/// Where in the catalogue a model is.
pub(crate) fn find(catalogue: &Catalogue, model: &str) -> Result<usize, Error> {
    catalogue
        .pumps
        .iter()
        .position(|pump| pump.model == model)
        .ok_or_else(|| Error::NoAnswer { what: "a pump of this tank", why: no_such_model(catalogue, model) })
}

/// What to say of a model that the catalogue does not have, with the nearest names.
pub(crate) fn no_such_model(catalogue: &Catalogue, model: &str) -> String {
    let names = catalogue.pumps.iter().map(|pump| pump.model.as_str());
    let near = did_you_mean(model, names).map_or_else(String::new, |near| format!("; {near}"));
    format!("the catalogue has no `{model}`{near}")
}

#[cfg(test)]
mod tests;
