//! The pump plan: which pumps to buy for a tank, and what each is set to.
//!
//! A plan is a set of one to six pumps of a [`Catalogue`], the same model as often as it likes, and in a short tank no more than find room
//! beside each other. It must meet these [`Demand`]s:
//!
//! - give the flow to aim for later, even when every pump has lost the share that fouling takes;
//! - get down into the band for now when every pump is turned right down;
//! - send every stream to the far glass, or where pumps face each other to the middle, at the settings for now and for later: there it
//!   is in its middle still as fast as the least that suits the livestock;
//! - leave a calm part: each stream, even one that is stronger than reckoned, slows to the most that suits the livestock a share of its
//!   way before the far glass. Where several kinds of coral live together that is what suits the hardiest: the gentler ones stand beside
//!   the streams;
//! - leave the sand alone, from a height at which no pump draws air;
//! - hold on by magnets through the panes;
//! - have at least two pumps in a tank longer than one pump stirs, and for stony corals, which want water from changing sides;
//! - have pumps that are alike: of one kind, and of much the same flow;
//! - have pumps that can be controlled: one of one speed only where it is the only one.
//!
//! Besides it keeps to the [`Wishes`]: money, noise at the pillow, a spare.
//!
//! Settings: all pumps that can be set share one setting, the one at which the set gives the flow wanted, but no pump is set below its
//! lowest or above what the sand bears. Power, noise and cost are those at the setting for later, with the least saving that the rules
//! expect of turned-down pumps, wet ends as soon as the rules expect them, and the loudest that the home's room and door let through.
//!
//! The search is exact: no set that it leaves out is better than the ones it tells. It walks all sets as a tree, and turns back where
//! a bound says that nothing below can be good enough; the module `bound` says why each bound holds. Where no set will do, the module
//! `nearest` finds the one that misses least, and names what it misses.

mod bound;
mod nearest;
mod search;
mod sheet;

use uom::si::f64::{Energy, Length, Power, Time, VolumeRate};

use crate::catalogue::{Catalogue, PumpKind, PumpModel};
use crate::decide::placement::Room;
use crate::decide::reason::Reason;
use crate::document::{Table, did_you_mean};
use crate::error::Error;
use crate::formulas::stream::{Laws, Stream};
use crate::formulas::turnover::flow;
use crate::formulas::{cost, power};
use crate::quantity::{Currency, Dimension, Kind, Money, Quantity, Share, SoundLevel, Thickness};
use crate::rules::livestock::{Livestock, Stock};
use crate::rules::{Band, Rules};
use crate::sound;
use crate::tank::{Counts, Tank};
use crate::volume::{Contents, display_gross};

pub use nearest::Nearest;
pub use sheet::hung;
pub(crate) use sheet::{figures, set_words, too_strong_until, zone, zone_heads};

/// What a reader wants of a plan: the table `[wishes]` of a tank file.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Wishes {
    /// The most that the pumps may cost together.
    pub budget: Option<Money>,
    /// The most that may arrive at the pillow.
    pub noise: Option<SoundLevel>,
    /// What makes one plan better than another.
    pub rank: Rank,
    /// Whether the set must still move the low end of the band for now when any one pump stops. Where it need not, such a set goes
    /// before another that is as good.
    pub spare: bool,
}

/// What makes one plan better than another. Where two are equal in it, the cheaper over the years goes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum Rank {
    /// What it costs over the years: price, energy and wet ends.
    #[default]
    Cost,
    /// Its price.
    Price,
    /// How quiet it is.
    Quiet,
    /// How little power it takes.
    Energy,
    /// How few pumps it has.
    Fewest,
}

impl Rank {
    /// Every way to rank, as a tank file names it.
    pub const ALL: [(&'static str, Rank); 5] =
        [("cost", Rank::Cost), ("price", Rank::Price), ("quiet", Rank::Quiet), ("energy", Rank::Energy), ("fewest", Rank::Fewest)];
}

impl Wishes {
    pub(crate) fn read(table: &mut Table<'_>, currency: Currency) -> Option<Self> {
        let budget = table.maybe_quantity_of("budget", Kind::Money(currency), "1"..="1000000");
        let noise = table.maybe_quantity("noise", "5 dB"..="80 dB");
        let rank = table.maybe_choice("rank", &Rank::ALL).unwrap_or_default();
        let spare = table.flag("spare");
        Some(Wishes { budget: budget.map(|money| Money { amount: money.si, currency }), noise, rank, spare })
    }
}

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
    /// What arrives at the pillow at that setting of all that hums, as [`sound::at_pillow_of`] has it. The most counts.
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
    /// What lives there then.
    stock: Stock,
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
    /// Whether it lifts sand even at its lowest; then the heights that it would have to have and can have.
    lifts: Option<(f64, f64)>,
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

impl Candidate {
    /// Its stream in a set of so many pumps.
    fn stream(&self, pumps: usize) -> &Speeds {
        &self.streams[size_of(pumps)]
    }
}

/// The question a plan answers, with all that the tank and the rules say to it.
#[derive(Debug, Clone)]
pub struct Task<'a> {
    rules: &'a Rules,
    /// Every model whose stream can be reckoned.
    all: Vec<Candidate>,
    /// Those of them that can be in a plan at all.
    candidates: Vec<Candidate>,
    /// Models whose stream no formula reckons, and why.
    unknown: Vec<(usize, Reason)>,
    /// Pumps that are in every set.
    base: Vec<Candidate>,
    stages: Vec<Stage>,
    /// What the set must still give at full, fouled.
    need: f64,
    /// What it must get down to, and what must be left of it when one pump stops where a spare is wished for.
    top: f64,
    least: f64,
    /// Flow of the weakest of like pumps, as a share of that of the strongest.
    alike: f64,
    /// Demands that are let go, while the nearest set is sought.
    let_go: Vec<Demand>,
    fewest: usize,
    most: usize,
    /// Whether streams meet, so that each need only reach the middle: in sets of each size.
    meet: [bool; SIZES],
    /// Thickness of the panes.
    pane: f64,
    /// What one watt costs over the years.
    watt: f64,
    /// What the way to the pillow adds to the level at one metre.
    pillow: Band<SoundLevel>,
    /// Sound energy at one metre of what hums beside the pumps.
    hum: f64,
    /// The rules by which sound reaches the pillow.
    room_rules: Vec<&'static str>,
    currency: Currency,
}

impl<'a> Task<'a> {
    /// The plan for a tank: from its livestock now to that of later, with pumps of the catalogue.
    ///
    /// # Errors
    /// Those of the formulas, where the tank lies outside their ranges.
    pub fn new(rules: &'a Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Self, Error> {
        Task::with(rules, catalogue, tank, &[tank.now, tank.later], &[])
    }

    /// What to add to pumps that hang already, once the livestock of later has come: the flow is that for later, and the set need only
    /// get down into its band. The pumps that hang are taken as they are, and cost nothing; what is added can be controlled, and is like
    /// them and like each other.
    ///
    /// - `kept`: the models of the pumps that hang; without any, all pumps that are bought for later anew
    ///
    /// # Errors
    /// As [`Task::new`], and [`Error::NoAnswer`] for a model that the catalogue does not have.
    pub fn adding(rules: &'a Rules, catalogue: &Catalogue, tank: &Tank, kept: &[&str]) -> Result<Self, Error> {
        Task::with(rules, catalogue, tank, &[tank.later], kept)
    }

    fn with(rules: &'a Rules, catalogue: &Catalogue, tank: &Tank, steps: &[Stock], kept: &[&str]) -> Result<Self, Error> {
        let water = counted(tank, rules);
        let mut stages = Vec::new();
        for stock in steps {
            let speeds = rules.speeds.band(*stock);
            let target = flow(water, rules.turnover.aimed_at(*stock))?.si();
            stages.push(Stage { stock: *stock, target, slowest: speeds.low.si(), fastest: speeds.high.si() });
        }
        let first = rules.turnover.band(steps.first().copied().unwrap_or(tank.now));
        let home = &tank.home;
        let years = *rules.cost.years;
        let kilowatt_hours = power::energy_per_year(Power::from_si(1.0)) * (years / Time::from_si(YEAR)).si();
        // Money of two currencies is not added up where no exchange is known: the energy is told beside the cost.
        let watt = match home.price_in(catalogue.currency) {
            Some(price) => power::cost(kilowatt_hours, price)?.amount,
            None => 0.0,
        };
        let room = Room::new(rules, tank)?;
        let for_length = if tank.glass.plan.length() > *rules.plan.one_pump_up_to { 2 } else { 1 };
        let for_corals = if steps.iter().any(|stock| is_stony(*stock)) { *rules.plan.two_sides } else { 1 };
        let mut task = Task {
            rules,
            all: Vec::new(),
            candidates: Vec::new(),
            unknown: Vec::new(),
            base: Vec::new(),
            need: stages.iter().map(|stage| stage.target).fold(0.0, f64::max),
            stages,
            top: flow(water, first.high)?.si(),
            least: flow(water, first.low)?.si(),
            alike: rules.plan.alike.0,
            let_go: Vec::new(),
            fewest: for_length.max(for_corals),
            most: rules.plan.most_in(tank.glass.plan.length()).min(room.spots(*rules.plan.most_pumps).len()),
            meet: [1, 2, *rules.plan.most_pumps].map(|pumps| room.do_face(pumps)),
            pane: tank.glass.pane.si(),
            watt,
            pillow: sound::way_to_pillow(home, &rules.sound)?,
            hum: sound::beside_the_pumps(tank, &rules.sound).iter().map(|source| libm::pow(10.0, source.level.0 / 10.0)).sum(),
            room_rules: sound::rules_of(home),
            currency: catalogue.currency,
        };
        for model in kept {
            let at = find(catalogue, model)?;
            let kept = task.candidate(at, &catalogue.pumps[at], &room)?;
            task.base.push(Candidate { price: 0.0, hangs: true, ..kept });
        }
        for (at, model) in catalogue.pumps.iter().enumerate() {
            match task.candidate(at, model, &room) {
                Ok(candidate) => task.all.push(candidate),
                // A stream that no formula reckons is in no plan.
                Err(_) => {
                    let words = "Its flow and its opening are outside what the laws of streams cover";
                    let reason = Reason::new(words, model.rated_flow, rules.turnover.pumps_on_the_market.high);
                    task.unknown.push((at, reason.rule("turnover.pumps_on_the_market")));
                }
            }
        }
        if !kept.is_empty() {
            task.all.retain(|candidate| candidate.kind != PumpKind::RoundFixed);
        }
        task.sift();
        Ok(task)
    }

    fn candidate(&self, at: usize, model: &PumpModel, room: &Room<'_>) -> Result<Candidate, Error> {
        let rules = self.rules;
        let way = room.longest_way();
        let stream = Stream::new(model.outlet, model.rated_flow, Laws::of(&rules.stream))?;
        // The least saving is the most that a meter may show: part of the reckoned saving stays as a draw at any setting.
        let range = power::draw_range(model.power, least(model.standing_draw, model.power), Share(0.0), *rules.power.saving_made)?;
        let owned = cost::Owned {
            price: Money { amount: model.price, currency: self.currency },
            energy_per_year: Energy::default(),
            wet_end: Money { amount: model.wet_end_price, currency: self.currency },
            wet_end_interval: rules.cost.wet_end_interval.low,
        };
        let wear = cost::ownership(owned, Money { amount: 0.0, currency: self.currency }, *rules.cost.years)?.wear.amount;
        let in_sets_of = |pumps: usize| {
            let ways = room.ways(pumps);
            let most = |way| Ok::<_, Error>(rules.stream.spread_of(stream.speed_at(way)?).high.si());
            let reached = stream.speed_at(room.must_reach(pumps, ways.high))?.si();
            Ok::<_, Error>(Speeds { reached, near_most: most(room.calm_from(ways.low))? })
        };
        let streams = [in_sets_of(1)?, in_sets_of(2)?, in_sets_of(*rules.plan.most_pumps)?];
        let lowest = model.lowest_setting.0;
        let highest = room.highest_setting(model, way)?;
        let lifts = match highest {
            Some(_) => None,
            None => {
                Some((room.lowest(&stream.at_setting(model.lowest_setting)?, model.outlet, way)?.si(), room.highest(model.outlet).si()))
            }
        };
        Ok(Candidate {
            model: at,
            kind: model.kind,
            hangs: false,
            flow: model.rated_flow.si(),
            lowest,
            highest: highest.map_or(lowest, |setting| setting.0.max(lowest)),
            lifts,
            weak_magnet: if room.holds(model) { None } else { model.largest_pane.map(Dimension::si) },
            streams,
            price: model.price,
            wear,
            standing: range.high.si(),
            rise: (model.power - range.high).si(),
            loud: libm::pow(10.0, model.sound.0 / 10.0),
        })
    }

    /// Takes the candidates that can be in a plan at all, each by itself.
    fn sift(&mut self) {
        let fit = |candidate: &&Candidate| self.alone(candidate).is_none() && self.base.iter().all(|pump| self.are_alike(pump, candidate));
        self.candidates = self.all.iter().filter(fit).copied().collect();
    }

    /// The first demand that a model misses by itself, whatever stands beside it, with the stage that asks it.
    fn alone(&self, candidate: &Candidate) -> Option<(Demand, usize)> {
        let Candidate { flow, lowest, highest, .. } = *candidate;
        if candidate.weak_magnet.is_some() && !self.let_go.contains(&Demand::Magnet) {
            return Some((Demand::Magnet, 0));
        }
        if candidate.kind == PumpKind::RoundFixed && self.fewest > 1 {
            return Some((Demand::Control, 0));
        }
        if flow * lowest > self.top * SLACK {
            return Some((Demand::Gentle, 0));
        }
        if candidate.lifts.is_some() && !self.let_go.contains(&Demand::Sand) {
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
        let mut sizes = candidate.streams.iter().take(size_of(self.most) + 1).skip(size_of(self.fewest));
        let first = sizes.next().and_then(misses)?;
        sizes.all(|speeds| misses(speeds).is_some()).then_some(first)
    }

    /// Why a model misses a demand by itself.
    fn alone_reason(&self, candidate: &Candidate, demand: Demand, at: usize) -> Reason {
        let Candidate { flow, lowest, highest, .. } = *candidate;
        let Some(stage) = self.stages.get(at) else { return Reason::new("No livestock asks for it", count(0), count(1)) };
        match demand {
            Demand::Magnet => {
                let held = Thickness::from_si(candidate.weak_magnet.unwrap_or(0.0));
                Reason::new("Its magnets do not hold through panes of this thickness", held, Thickness::from_si(self.pane))
                    .from(&["tank.pane"])
            }
            Demand::Sand => {
                let words = "Even turned right down it would lift the sand from any height at which it draws no air";
                let (needed, possible) = candidate.lifts.unwrap_or((0.0, 0.0));
                sand_rules(Reason::new(words, Length::from_si(needed), Length::from_si(possible)).from(&["sand.keep_below"]))
                    .rule("placement.below_surface")
            }
            Demand::Reach => {
                let words = format!("Even at full its stream is too weak {}", self.where_it_must_reach(self.fewest));
                self.speed(&words, candidate.stream(self.fewest).reached * highest, stage.slowest, at)
            }
            Demand::Calm => {
                let words = "Even turned right down its stream is still too strong shortly before the far glass";
                self.speed(words, candidate.stream(self.fewest).near_most * lowest, stage.fastest, at)
                    .rule("placement.calm_share")
                    .rule("stream.spread")
            }
            Demand::Control => {
                let words = "It can not be turned down, so it is of use only alone, and this tank needs more than one";
                Reason::new(words, count(1), count(self.fewest)).rule("plan.two_sides").rule("plan.one_pump_up_to")
            }
            Demand::Gentle | Demand::Strong | Demand::Alike => {
                let words = if candidate.kind == PumpKind::RoundFixed {
                    "It can not be turned down, and moves more than the most for the livestock"
                } else {
                    "Turned right down it still moves more than the most for the livestock"
                };
                let is = VolumeRate::from_si(flow * lowest);
                Reason::new(words, is, VolumeRate::from_si(self.top)).from(&[self.flow_figure()]).rule(&self.turnover_rule())
            }
        }
    }

    /// A reason about the speed of a stream at a stage.
    fn speed(&self, words: &str, is: f64, limit: f64, stage: usize) -> Reason {
        let speed = uom::si::f64::Velocity::from_si;
        let reason = Reason::new(words, speed(is), speed(limit)).from(&[self.speeds_figure(stage)]);
        let Some(stage) = self.stages.get(stage) else { return reason };
        speed_rules(reason, stage.stock)
    }

    /// Where a stream must still be fast enough, in words.
    fn where_it_must_reach(&self, pumps: usize) -> &'static str {
        if self.meet[size_of(pumps)] { "where the streams meet" } else { "when it reaches the far glass" }
    }

    /// The id of the speeds that suit the livestock of a stage.
    fn speeds_figure(&self, stage: usize) -> &'static str {
        if stage + 1 < self.stages.len() { "speeds.now" } else { "speeds.later" }
    }

    /// The id of the band of flow for the livestock of the first stage.
    fn flow_figure(&self) -> &'static str {
        if self.stages.len() > 1 { "flow.now" } else { "flow.later" }
    }

    /// The rule of turnover for the livestock of the first stage.
    fn turnover_rule(&self) -> String {
        format!("turnover.{}", self.stages.first().map_or("fish_only", |stage| stage.stock.most().key()))
    }

    /// Whether two pumps may be in one set: like kinds that can be controlled, and flows that are much the same. Pumps that hang already
    /// are taken as they are: one that can not be controlled may stay beside like ones that can.
    fn are_alike(&self, one: &Candidate, other: &Candidate) -> bool {
        if one.hangs && other.hangs {
            return true;
        }
        if [one, other].iter().any(|pump| !pump.hangs && pump.kind == PumpKind::RoundFixed) {
            return false;
        }
        let is_round = |pump: &Candidate| pump.kind != PumpKind::CrossFlow;
        let is_like_kind = one.kind == other.kind || (one.hangs || other.hangs) && is_round(one) && is_round(other);
        let is_eased = (one.hangs || other.hangs) && self.alike < self.rules.plan.alike.0;
        (is_like_kind || is_eased) && one.flow.min(other.flow) * SLACK >= one.flow.max(other.flow) * self.alike
    }

    /// The best sets under the wishes, best first; none where no set will do.
    ///
    /// # Errors
    /// [`Error::NoAnswer`] for a budget in another currency than the catalogue's.
    pub fn best(&self, wishes: &Wishes, count: usize) -> Result<Vec<PumpSet>, Error> {
        if let Some(budget) = wishes.budget.filter(|budget| budget.currency != self.currency) {
            let why = format!("it is in {}, the catalogue in {}; write both in one currency", budget.currency.code(), self.currency.code());
            return Err(Error::NoAnswer { what: "the budget", why });
        }
        Ok(search::best(self, &search::Limits::of(self, wishes), wishes.rank, count))
    }

    /// The sets that a plan lists, best first: as [`Task::best`], but of sets that cost about as much over the years as the cheapest, one
    /// whose pumps pair up goes first, and of those the one with the fewest. A pump less to clean is worth a little money.
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

    /// The same task for pumps that hang: what they lack of the flow to aim for may be so little that it is not worth another pump.
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
        members.sort_unstable();
        if wishes.budget.is_some_and(|budget| budget.currency != self.currency) {
            return self.best(wishes, 1).map(|_| None);
        }
        let limits = search::Limits::of(self, wishes);
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
        let sums = search::Sums::of(self, &all);
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

    /// What the pumps that are in every set move together at full, clean, each no further up than the sand bears.
    pub(crate) fn kept_flow(&self) -> VolumeRate {
        VolumeRate::from_si(self.base.iter().map(|pump| pump.flow * pump.highest).sum())
    }

    /// What a model moves at full, clean, no further up than the sand bears; nothing for a model that is in no set.
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
        let loud = loud + self.hum;
        // No pump at all counts as one of no decibel.
        let metre = if loud > 0.0 { 10.0 * libm::log10(loud) } else { 0.0 };
        sound::heard(SoundLevel(metre), self.pillow)
    }

    /// How the sound energy of a pump goes with its setting: as this power of it.
    fn sound_exponent(&self) -> f64 {
        self.rules.sound.half_speed.low.0 / (10.0 * libm::log10(2.0))
    }
}

/// The mean Gregorian year, which "years" are in rules.
const YEAR: f64 = 365.2425 * 24.0 * 3600.0;
/// A billionth, so that the last bit of a sum never decides.
const SLACK: f64 = 1.0 + 1e-9;

fn least(one: Power, other: Power) -> Power {
    if one < other { one } else { other }
}

/// Whether some of what lives in a tank are stony corals, which can not bend and want water from changing sides.
pub(crate) fn is_stony(stock: Stock) -> bool {
    stock.most() >= Livestock::LargePolyp
}

/// The rules of the speeds that suit what lives in a tank.
pub(crate) fn speed_rules(reason: Reason, stock: Stock) -> Reason {
    stock.asking().fold(reason, |reason, kind| reason.rule(&format!("speeds.{}", kind.key())))
}

/// The rules of what a stream does to sand.
pub(crate) fn sand_rules(reason: Reason) -> Reason {
    reason.rule("sand.band").rule("stream.edge")
}

pub(crate) fn count(number: usize) -> Quantity {
    Quantity::new(Kind::Count, number as f64)
}

/// The volume that the turnover of a tank counts.
pub(crate) fn counted(tank: &Tank, rules: &Rules) -> uom::si::f64::Volume {
    match tank.counts {
        Counts::Net => Contents::of(tank, &rules.volume).net,
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
