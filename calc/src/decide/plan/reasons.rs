//! Why a set is a good one.

use uom::si::f64::{Velocity, VolumeRate};

use super::{Candidate, PumpSet, Task, Told, count, is_stony, size_of};
use crate::decide::reason::Reason;
use crate::quantity::{Dimension, Share};
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
        let strong = "Just before a cleaning, at full, it still moves the flow to aim for later";
        let gentle = "Turned right down, it moves no more than the most for now";
        let enough = if self.stages.iter().any(|stage| is_stony(stage.stock)) {
            "It has pumps enough to bring water to stony corals from two sides"
        } else {
            "It has pumps enough for a tank of this length"
        };
        let mut reasons = vec![
            Reason::of(strong, || *told.fouled, || self.asks.need()),
            Reason::of(gentle, || *told.low, || self.asks.first.high),
            Reason::of(enough, || *told.count, || count(*self.fewest)),
        ];
        if pumps.len() > 1 {
            let alike = "Its pumps are alike: the weakest gives about as much as the strongest";
            reasons.push(self.likeness(&pumps, alike));
        }
        reasons.extend(self.streams_suit(set, &pumps));
        let words = if set.models.len() == 1 {
            "When the only pump stops, nothing moves: have a spare at hand"
        } else if set.one_stopped >= self.asks.first.peek().low {
            "When the strongest pump stops, the others still move the least for now"
        } else {
            "When the strongest pump stops, the others move less than the least for now: have a spare at hand"
        };
        reasons.push(Reason::of(words, || *told.one_stopped, || self.left_of_a_spare()));
        if let Some(budget) = wishes.budget {
            reasons.push(Reason::of("It keeps to the budget", || *told.price, || budget));
        }
        if let Some(noise) = wishes.noise {
            reasons.push(Reason::of("It is quiet enough at the pillow", || *told.sound, || noise));
        }
        reasons
    }

    /// That at the setting for later its streams are neither too weak nor too strong.
    fn streams_suit(&self, set: &PumpSet, pumps: &[&Candidate]) -> Vec<Reason> {
        let (Some(stage), Some(ask)) = (self.stages.last(), self.asks.steps.last()) else { return Vec::new() };
        let size = size_of(pumps.len());
        let with_settings = || pumps.iter().zip(&set.later);
        let slowness = |(pump, setting): &(&&Candidate, &Share)| pump.streams[size].reached * setting.0;
        let hardness = |(pump, setting): &(&&Candidate, &Share)| setting.0 / pump.streams[size].bears(stage);
        let weakest = with_settings().min_by(|one, other| slowness(one).total_cmp(&slowness(other)));
        let hardest = with_settings().max_by(|one, other| hardness(one).total_cmp(&hardness(other)));
        let (Some((weakest, low)), Some((hardest, high))) = (weakest, hardest) else { return Vec::new() };
        let its = |which: &str| if pumps.len() > 1 { format!("its {which} stream") } else { "its stream".to_owned() };
        let kinds = stage.stock.asking().count();
        let whom = if kinds > 1 { "the hardiest of what lives there" } else { "what lives there" };
        let reaches =
            format!("At the setting for later, {} is still fast enough {}", its("weakest"), self.where_it_must_reach(pumps.len()));
        let slows = format!("Shortly before the far glass, {} has slowed to what suits {whom}", its("strongest"));
        let reached = || Velocity::from_si(self.seen(weakest).map_or(0.0, |seen| seen.reached[size]) * low.0);
        let near = || Velocity::from_si(self.seen(hardest).map_or(0.0, |seen| seen.near_most[size]) * high.0);
        vec![Reason::of(reaches, reached, || ask.speeds.low), Reason::of(slows, near, || ask.speeds.high)]
    }
}
