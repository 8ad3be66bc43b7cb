//! Why a set is a good one.

use uom::si::f64::{Velocity, VolumeRate};

use super::{Candidate, PumpSet, Task, Told, count, is_stony, size_of};
use crate::decide::reason::Reason;
use crate::quantity::{Dimension, Share};
use crate::rules::livestock::Lives;
use crate::tank::Wishes;

impl Task<'_> {
    /// What must be left of the flow when a pump stops: the least for what lives there first.
    pub(crate) fn left_of_a_spare(&self) -> VolumeRate {
        self.asks.first.low
    }

    /// Why a set is a good one: what it had to keep to, and how it does.
    pub fn reasons(&self, set: &PumpSet, wishes: &Wishes) -> Vec<Reason> {
        self.reasons_for(&Told::of(set), wishes)
    }

    /// The same for a set as it is told.
    pub(crate) fn reasons_for(&self, told: &Told, wishes: &Wishes) -> Vec<Reason> {
        let set = &told.set;
        let chosen = |model: &usize| self.candidates.iter().find(|candidate| candidate.model == *model);
        let pumps: Vec<_> = set.models.iter().filter_map(chosen).collect();
        let is_stony = self.asks.steps.iter().any(|step| is_stony(&step.stock));
        let words = self.words();
        let enough = if is_stony { words.good_two_sides() } else { words.good_length() };
        let mut reasons = vec![
            Reason::of(words.good_flow(), || *told.fouled, || self.asks.need()),
            Reason::of(words.good_low(), || *told.low, || self.asks.first.high),
            Reason::of(enough, || *told.count, || count(*self.fewest)),
        ];
        if pumps.len() > 1 {
            reasons.push(self.likeness(&pumps, words.good_alike()));
        }
        reasons.extend(self.streams_suit(set, &pumps));
        let stopped = if set.models.len() == 1 {
            words.only_stops()
        } else if set.one_stopped >= self.asks.first.peek().low {
            words.others_move_enough()
        } else {
            words.others_move_less()
        };
        reasons.push(Reason::of(stopped, || *told.one_stopped, || self.left_of_a_spare()));
        if let Some(budget) = wishes.budget {
            reasons.push(Reason::of(words.good_budget(), || *told.price, || budget));
        }
        if let Some(noise) = wishes.noise {
            reasons.push(Reason::of(words.good_noise(), || *told.sound, || noise));
        }
        reasons
    }

    /// That at the setting for later its streams are neither too weak nor too strong.
    fn streams_suit(&self, set: &PumpSet, pumps: &[&Candidate]) -> Vec<Reason> {
        let (Some(stage), Some(ask)) = (self.stages.last(), self.asks.steps.last()) else {
            return Vec::new();
        };
        let size = size_of(pumps.len());
        let with_settings = || pumps.iter().zip(&set.later);
        let slowness = |(pump, setting): &(&&Candidate, &Share)| pump.streams[size].reached * setting.0;
        let hardness = |(pump, setting): &(&&Candidate, &Share)| setting.0 / pump.streams[size].bears(stage);
        let weakest = with_settings().min_by(|one, other| slowness(one).total_cmp(&slowness(other)));
        let hardest = with_settings().max_by(|one, other| hardness(one).total_cmp(&hardness(other)));
        let (Some((weakest, low)), Some((hardest, high))) = (weakest, hardest) else { return Vec::new() };
        let words = self.words();
        let reaches = match pumps.len() {
            1 => words.good_reach(),
            number if self.meet[size_of(number)] => words.good_weakest_meet(),
            _ => words.good_weakest_reach(),
        };
        let slows = match (pumps.len(), ask.stock.asking().count()) {
            (1, 1) => words.good_calm(),
            (1, _) => words.good_calm_hardiest(),
            (_, 1) => words.good_strongest_calm(),
            _ => words.good_strongest_calm_hardiest(),
        };
        let reached = || Velocity::from_si(self.seen(weakest).map_or(0.0, |seen| seen.reached[size]) * low.0);
        let near = || Velocity::from_si(self.seen(hardest).map_or(0.0, |seen| seen.near_most[size]) * high.0);
        vec![Reason::of(reaches, reached, || ask.speeds.low), Reason::of(slows, near, || ask.speeds.high)]
    }
}
