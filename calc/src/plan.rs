//! The pump plan: which pumps to buy for a tank, and what each is set to.
//!
//! A plan is a set of one to six pumps of a [`Catalogue`], the same model as often as it likes. It must
//!
//! - give the flow to aim for later, even when every pump has lost the share that fouling takes;
//! - get down to the low end of the band for now when every pump is turned right down;
//! - send every stream to the far glass, at the settings for now and for later: in its middle still as fast as the least that suits
//!   the livestock, and no longer faster than the most;
//! - leave the sand alone, from a height at which no pump draws air;
//! - have at least two pumps in a tank longer than one pump stirs, and pumps that are much alike;
//! - keep to the [`Wishes`]: money, noise at the pillow, a spare.
//!
//! Settings: all pumps that can be set share one setting, the one at which the set gives the flow wanted, but no pump is set below its
//! lowest or above what the sand bears. Power, noise and cost are those at the setting for later, with the least saving that the rules
//! expect of turned-down pumps, wet ends as soon as the rules expect them, and the loudest that the home's room and door let through.
//!
//! The search is exact: no set that it leaves out is better than the ones it tells. It walks all sets as a tree, and turns back where
//! a bound says that nothing below can be good enough; the module `bound` says why each bound holds.

mod bound;
mod search;
mod sheet;

use uom::si::f64::{Energy, Length, Power, Ratio, Time, VolumeRate};

use crate::catalogue::{Catalogue, PumpKind, PumpModel};
use crate::document::{Table, did_you_mean};
use crate::error::Error;
use crate::placement::Room;
use crate::quantity::{Currency, Dimension, Kind, Money, Quantity, Share, SoundLevel};
use crate::reason::Reason;
use crate::rules::{Band, Rules, Topic};
use crate::sound;
use crate::stream::Stream;
use crate::tank::{Counts, Tank};
use crate::turnover::{Stock, flow};
use crate::volume::{Contents, display_gross};
use crate::{cost, power};

pub use sheet::hung;
pub(crate) use sheet::{figures, set_words};

/// The rules of this topic, `calc/rules/plan.toml`.
#[derive(Debug, Clone)]
pub struct PlanRules {
    /// Most pumps in a plan.
    pub most_pumps: usize,
    /// Longest tank that one pump stirs.
    pub one_pump_up_to: Length,
    /// Flow of the weakest pump, as a share of that of the strongest, at the least.
    pub alike: Share,
    /// Sets of pumps that a plan lists.
    pub best_sets: usize,
}

impl PlanRules {
    pub(crate) fn read(topic: &mut Topic<'_, '_>) -> Option<Self> {
        let most_pumps = topic.one::<Ratio>("most_pumps", "1"..="6");
        let one_pump_up_to = topic.one("one_pump_up_to", "10 cm"..="5 m");
        let alike = topic.one("alike", "0 %"..="100 %");
        let best_sets = topic.one::<Ratio>("best_sets", "1"..="20");
        let whole = |count: Ratio| count.si() as usize;
        Some(PlanRules { most_pumps: whole(most_pumps?), one_pump_up_to: one_pump_up_to?, alike: alike?, best_sets: whole(best_sets?) })
    }
}

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

/// One flow that a plan must be set to.
#[derive(Debug, Clone, Copy)]
struct Stage {
    /// The flow.
    target: f64,
    /// The speeds between which the middle of each stream must be reckoned at the far glass: the fastest leaves room for a stream that
    /// is stronger than reckoned.
    slowest: f64,
    fastest: f64,
}

/// One model as this tank sees it, in SI units.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    /// Where in the catalogue.
    model: usize,
    /// Flow at full.
    flow: f64,
    /// Lowest setting.
    lowest: f64,
    /// Highest setting that the sand bears.
    highest: f64,
    /// Speed at the far glass at full; nothing for a pump that hangs already and is taken as it is.
    far: f64,
    price: f64,
    /// Wet ends over the years.
    wear: f64,
    /// Draw at any setting, and what comes on top at full.
    standing: f64,
    rise: f64,
    /// Sound energy at one metre at full.
    loud: f64,
}

/// The question a plan answers, with all that the tank and the rules say to it.
#[derive(Debug, Clone)]
pub struct Task<'a> {
    rules: &'a Rules,
    candidates: Vec<Candidate>,
    /// Models that are in no plan, and why.
    out: Vec<(usize, Reason)>,
    /// Pumps that are in every set.
    base: Vec<Candidate>,
    stages: Vec<Stage>,
    /// What the set must get down to.
    low: f64,
    fewest: usize,
    most: usize,
    /// What one watt costs over the years.
    watt: f64,
    /// What the way to the pillow adds to the level at one metre.
    pillow: Band<SoundLevel>,
    /// Sound energy at one metre of what hums beside the pumps.
    hum: f64,
    /// The rules by which sound reaches the pillow.
    room_rules: Vec<&'static str>,
    currency: Currency,
    now: Stock,
    later: Stock,
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
    /// get down to the low end of its band. The pumps that hang are taken as they are, and cost nothing.
    ///
    /// - `kept`: the models of the pumps that hang
    ///
    /// # Errors
    /// As [`Task::new`], and [`Error::NoAnswer`] for a model that the catalogue does not have.
    pub fn adding(rules: &'a Rules, catalogue: &Catalogue, tank: &Tank, kept: &[&str]) -> Result<Self, Error> {
        Task::with(rules, catalogue, tank, &[tank.later], kept)
    }

    fn with(rules: &'a Rules, catalogue: &Catalogue, tank: &Tank, steps: &[Stock], kept: &[&str]) -> Result<Self, Error> {
        let water = counted(tank, rules);
        let mut stages = Vec::new();
        for livestock in steps {
            let speeds = rules.speeds.band(*livestock);
            let target = flow(water, rules.turnover.aimed_at(*livestock))?;
            stages.push(Stage { target: target.si(), slowest: speeds.low.si(), fastest: speeds.high.si() / rules.stream.spread.high.0 });
        }
        let first = steps.first().copied().unwrap_or(tank.now);
        let home = &tank.home;
        let years = rules.cost.years;
        let kilowatt_hours = power::energy_per_year(Power::from_si(1.0)) * (years / Time::from_si(YEAR)).si();
        // Money of two currencies is not added up where no exchange is known: the energy is told beside the cost.
        let watt = match home.price_in(catalogue.currency) {
            Some(price) => power::cost(kilowatt_hours, price)?.amount,
            None => 0.0,
        };
        let room = Room::new(rules, tank)?;
        let silent = SoundLevel(0.0);
        let mut task = Task {
            rules,
            candidates: Vec::new(),
            out: Vec::new(),
            base: Vec::new(),
            stages,
            low: flow(water, rules.turnover.band(first).low)?.si(),
            fewest: if tank.glass.plan.length() > rules.plan.one_pump_up_to { 2 } else { 1 },
            most: rules.plan.most_pumps.min(room.spots(rules.plan.most_pumps).len()),
            watt,
            pillow: sound::at_pillow_of(home, &[silent], &rules.sound)?,
            hum: sound::beside_the_pumps(tank, &rules.sound).iter().map(|source| libm::pow(10.0, source.level.0 / 10.0)).sum(),
            room_rules: sound::rules_of(home),
            currency: catalogue.currency,
            now: first,
            later: tank.later,
        };
        let way = room.longest_way();
        for model in kept {
            let at = find(catalogue, model)?;
            let kept = task.candidate(at, &catalogue.pumps[at], &room, way)?;
            task.base.push(Candidate { price: 0.0, wear: kept.wear, far: 0.0, highest: kept.highest.max(kept.lowest), ..kept });
        }
        for (at, model) in catalogue.pumps.iter().enumerate() {
            match task.candidate(at, model, &room, way).map(|candidate| task.judge(model, candidate, &room, way)) {
                Ok(Ok(candidate)) => task.candidates.push(candidate),
                Ok(Err(reason)) => task.out.push((at, *reason)),
                // A stream that no formula reckons is in no plan.
                Err(_) => {
                    let words = "Its flow and its opening are outside what the laws of streams cover";
                    let reason = Reason::new(words, model.rated_flow, rules.turnover.pumps_on_the_market.high);
                    task.out.push((at, reason.rule("turnover.pumps_on_the_market")));
                }
            }
        }
        Ok(task)
    }

    fn candidate(&self, at: usize, model: &PumpModel, room: &Room<'_>, way: Length) -> Result<Candidate, Error> {
        let rules = self.rules;
        let stream = Stream::new(model.outlet, model.rated_flow, rules.stream.laws)?;
        // The least saving is the most that a meter may show: part of the reckoned saving stays as a draw at any setting.
        let range = power::draw_range(model.power, least(model.standing_draw, model.power), Share(0.0), rules.power.saving_made)?;
        let owned = cost::Owned {
            price: Money { amount: model.price, currency: self.currency },
            energy_per_year: Energy::default(),
            wet_end: Money { amount: model.wet_end_price, currency: self.currency },
            wet_end_interval: rules.cost.wet_end_interval.low,
        };
        let wear = cost::ownership(owned, Money { amount: 0.0, currency: self.currency }, rules.cost.years)?.wear.amount;
        Ok(Candidate {
            model: at,
            flow: model.rated_flow.si(),
            lowest: model.lowest_setting.0,
            highest: room.highest_setting(model, way)?.map_or(0.0, |setting| setting.0),
            far: stream.speed_at(way)?.si(),
            price: model.price,
            wear,
            standing: range.high.si(),
            rise: (model.power - range.high).si(),
            loud: libm::pow(10.0, model.sound.0 / 10.0),
        })
    }

    /// Whether a model can be in any plan at all, by itself.
    fn judge(&self, model: &PumpModel, candidate: Candidate, room: &Room<'_>, way: Length) -> Result<Candidate, Box<Reason>> {
        let Candidate { flow, lowest, highest, far, .. } = candidate;
        if flow * lowest > self.low * SLACK {
            let words = match model.kind {
                PumpKind::RoundFixed => "It can not be turned down, and moves more than the least for the livestock",
                _ => "Turned right down it still moves more than the least for the livestock",
            };
            let reason = Reason::new(words, VolumeRate::from_si(flow * lowest), VolumeRate::from_si(self.low));
            return Err(Box::new(reason.from(&["flow.now"]).rule(&format!("turnover.{}", self.now.most().key()))));
        }
        if highest < lowest {
            let words = "Even turned right down it would lift the sand from any height at which it draws no air";
            let at_lowest =
                Stream::new(model.outlet, model.rated_flow, self.rules.stream.laws).and_then(|s| s.at_setting(model.lowest_setting));
            let lowest = at_lowest.and_then(|stream| room.lowest(&stream, model.outlet, way)).unwrap_or_default();
            let reason = Reason::new(words, lowest, room.highest(model.outlet));
            return Err(Box::new(reason.from(&["sand.keep_below"]).rule("placement.below_surface").rule("sand.band").rule("stream.edge")));
        }
        let speed = uom::si::f64::Velocity::from_si;
        for (stage, (figure, livestock)) in self.stages.iter().zip(self.livestock_of_stages()) {
            let rule = format!("speeds.{}", livestock.most().key());
            let told =
                |words: &str, is: f64, limit: f64| Err(Box::new(Reason::new(words, speed(is), speed(limit)).from(&[figure]).rule(&rule)));
            if far * highest < stage.slowest / SLACK {
                return told("Even at full its stream is too weak when it reaches the far glass", far * highest, stage.slowest);
            }
            if far * lowest > stage.fastest * SLACK {
                let words = "Even turned right down its stream may still be too strong when it reaches the far glass";
                let most = self.rules.stream.spread.high.0;
                return told(words, far * lowest * most, stage.fastest * most);
            }
        }
        Ok(candidate)
    }

    fn livestock_of_stages(&self) -> impl Iterator<Item = (&'static str, Stock)> {
        let stages = [("speeds.now", self.now), ("speeds.later", self.later)];
        stages.into_iter().skip(2 - self.stages.len())
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
        Ok(search::best(self, &search::Limits::of(self, wishes), search::Aim::Rank(wishes.rank), count))
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
        let scored = search::score(self, &limits, search::Aim::Rank(wishes.rank), &members);
        Ok(scored.map(|_| self.pump_set(&members)))
    }

    /// Where in the catalogue the models are that can be in a plan at all.
    pub fn candidates(&self) -> Vec<usize> {
        self.candidates.iter().map(|candidate| candidate.model).collect()
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
            return Ok(vec![self.no_set_at_all()]);
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
                && set.one_stopped.si() < self.low
            {
                let words = "The best set without a spare moves too little when one pump stops";
                reasons.push(Reason::new(words, set.one_stopped, VolumeRate::from_si(self.low)).from(&["flow.now"]));
            }
            if !reasons.is_empty() {
                return Ok(reasons);
            }
        }
        reasons.push(Reason::new("Each wish can be met, but not all of them together", count(0), count(1)));
        Ok(reasons)
    }

    /// Why there is no set even without wishes.
    fn no_set_at_all(&self) -> Reason {
        let need = self.stages.last().map_or(0.0, |stage| stage.target);
        let kept = 1.0 - self.rules.turnover.fouling_allowance.0;
        let strongest = self.candidates.iter().map(|candidate| candidate.flow * candidate.highest).fold(0.0, f64::max);
        let free = self.most - self.base.len().min(self.most);
        let most = kept * (strongest * free as f64 + self.base.iter().map(|pump| pump.flow * pump.highest).sum::<f64>());
        if most * SLACK < need {
            let words = "Even the most pumps that a plan may hold, of the strongest that suit this tank, move too little later";
            let reason = Reason::new(words, VolumeRate::from_si(most), VolumeRate::from_si(need));
            return reason.from(&["flow.aim"]).rule("plan.most_pumps").rule("turnover.fouling_allowance");
        }
        let any_low = search::Limits { any_low: true, ..search::Limits::default() };
        if let Some(set) = search::best(self, &any_low, search::Aim::LowestFlow, 1).first() {
            let words = "Every set that is strong enough for later still moves too much now when it is turned right down";
            let reason = Reason::new(words, set.low, VolumeRate::from_si(self.low));
            return reason.from(&["flow.now", "flow.aim"]).rule("turnover.fouling_allowance");
        }
        let words = "No set of these pumps sends every stream to the far glass at a speed that suits the livestock";
        Reason::new(words, count(0), count(1)).from(&["speeds.now", "speeds.later"]).rule("plan.most_pumps")
    }

    /// What rules a model out: by itself, or because its best set is worse than the best of all.
    ///
    /// # Errors
    /// As [`Task::best`].
    pub fn ruled_out(&self, model: usize, best: &PumpSet, wishes: &Wishes) -> Result<Option<Reason>, Error> {
        if best.models.contains(&model) {
            return Ok(None);
        }
        if let Some((_, reason)) = self.out.iter().find(|(out, _)| *out == model) {
            return Ok(Some(reason.clone()));
        }
        let Some(candidate) = self.candidates.iter().find(|candidate| candidate.model == model) else { return Ok(None) };
        let mut with = self.clone();
        with.base.push(*candidate);
        let Some(theirs) = with.best(wishes, 1)?.into_iter().next() else {
            let words = "No set with it keeps to all demands and wishes";
            return Ok(Some(Reason::new(words, count(0), count(1)).rule("plan.most_pumps")));
        };
        let pumps = |set: &PumpSet, more: usize| count(set.models.len() + more);
        let reason = match wishes.rank {
            Rank::Price => Reason::new("The cheapest set with it costs more", theirs.price, best.price).from(&["plan.price"]),
            Rank::Quiet => {
                Reason::new("The quietest set with it is louder at the pillow", theirs.sound.high, best.sound.high).from(&["plan.sound"])
            }
            Rank::Energy => Reason::new("The thriftiest set with it draws more", theirs.power, best.power).from(&["plan.power"]),
            Rank::Fewest if theirs.models.len() + self.base.len() + 1 != best.models.len() + self.base.len() => {
                Reason::new("The smallest set with it has more pumps", pumps(&theirs, 1), pumps(best, 0)).from(&["plan.count"])
            }
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
        Band { low: SoundLevel(metre + self.pillow.low.0), high: SoundLevel(metre + self.pillow.high.0) }
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
