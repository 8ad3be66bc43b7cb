//! Bounds for the search: what no set of a group can beat.
//!
//! What a set is ranked by has two parts. The first adds up over its pumps: price, wet ends, what a pump
//! draws at any setting. The second depends on the settings, `Σ cᵢ sᵢᵖ`, where the set gives the flow wanted,
//! `Σ Qᵢ sᵢ = F`: power goes with the cube, sound with a power of its own. However the flow is shared out,
//! the second part is at least `Fᵖ / (Σ Wᵢ)ᵖ⁻¹` with `Wᵢ = (Qᵢᵖ / cᵢ)^(1/(p−1))`: that is where all pumps
//! gain alike from a little more setting (Hölder's inequality). `W` adds up.
//!
//! Every demand is a sum over the pumps too, or follows from one that is: see [`Weights`]. So a lower bound that
//! adds up pump by pump is
//!
//! - the first part,
//! - the tangent of the second at any `W*`: it curves upward, so that it lies above each of its tangents,
//! - for each demand, any price of zero or more for each unit by which it is missed (Lagrange multipliers).
//!
//! Prices and `W*` only make the bound better or worse, never wrong. They are sought for each group, by steps
//! along the steepest ascent; see [`Group::of`].

use super::limits::Limits;
use super::{Candidate, SLACK, Task};
use crate::ordered::sort_by;
use crate::tank::Rank;

/// How many demands there are, see [`Items::new`].
const DEMANDS: usize = 8;
/// Steps in which the prices of the demands are sought, at the most.
const ASCENT: usize = 40;

/// What some pumps weigh in the bound, added up.
#[derive(Debug, Clone, Copy)]
pub(super) struct Weights {
    /// What adds up of that by which sets are ranked.
    plain: f64,
    /// `W`.
    gain: f64,
    /// What each demand asks for, in parts of its limit: what is too much when it is above one, and the
    /// negative of what is too little when it is below one. So every demand reads: no more than its limit.
    demands: [f64; DEMANDS],
}

impl Weights {
    const NOTHING: Weights = Weights { plain: 0.0, gain: 0.0, demands: [0.0; DEMANDS] };

    pub(super) fn and(&self, other: &Weights) -> Weights {
        let demands = std::array::from_fn(|at| self.demands[at] + other.demands[at]);
        Weights { plain: self.plain + other.plain, gain: self.gain + other.gain, demands }
    }
}

/// `Fᵖ / Wᵖ⁻¹`.
#[derive(Debug, Clone, Copy)]
struct Bend {
    /// `Fᵖ`, in the units of what is ranked; nothing where no setting counts.
    scale: f64,
    exponent: f64,
}

impl Bend {
    /// `W` of a pump; endless where nothing depends on its setting.
    fn gain(&self, pump: &Candidate, coefficient: f64) -> f64 {
        if coefficient <= 0.0 {
            return f64::INFINITY;
        }
        libm::pow(libm::pow(pump.flow, self.exponent) / coefficient, 1.0 / (self.exponent - 1.0))
    }

    fn least(&self, gain: f64) -> f64 {
        if self.scale <= 0.0 || gain <= 0.0 || gain.is_infinite() {
            return 0.0;
        }
        let square = (self.exponent - 3.0).abs() < 1e-12;
        self.scale / if square { gain * gain } else { libm::pow(gain, self.exponent - 1.0) }
    }
}

/// All candidates with their sums, and what the pumps come to that are in every set.
pub(super) struct Items {
    pub(super) items: Vec<Weights>,
    pub(super) base: Weights,
    limits: [f64; DEMANDS],
    bend: Bend,
}

impl Items {
    /// - `pumps`: how many each set has, those in every set counted in
    pub(super) fn new(task: &Task<'_>, limits: &Limits, rank: Rank, pumps: usize) -> Self {
        let kept = task.kept;
        // At the setting for later a set gives the flow wanted, or all it has: never less than what it must
        // give when fouled.
        let flow = task.stages.last().map_or(0.0, |stage| stage.target.min(task.need));
        let sound = Bend { scale: libm::pow(flow, task.sound_exponent), exponent: task.sound_exponent };
        let bend = match rank {
            Rank::Cost => Bend { scale: task.watt * flow * flow * flow, exponent: 3.0 },
            Rank::Energy => Bend { scale: flow * flow * flow, exponent: 3.0 },
            Rank::Quiet => sound,
            Rank::Price | Rank::Fewest => Bend { scale: 0.0, exponent: 3.0 },
        };
        // So much `W` of its sound a set must have to be as quiet as wished.
        let quiet = limits.loud.map(|loud| libm::pow(sound.scale / loud, 1.0 / (sound.exponent - 1.0)));
        let part = |value: f64, limit: f64| if limit > 0.0 { value / limit } else { 0.0 };
        let sums = |pump: &Candidate| {
            let mut demands = [0.0; DEMANDS];
            // Not too little flow later, just before a cleaning; not too much when turned right down; the
            // price; the noise.
            demands[0] = -part(kept * (pump.flow * pump.highest), task.need);
            demands[1] = part(pump.flow * pump.lowest, task.top);
            demands[2] = limits.price.map_or(0.0, |price| part(pump.price, price));
            demands[3] = quiet.map_or(0.0, |quiet| -part(sound.gain(pump, pump.loud), quiet));
            // At each stage, not too much flow at the setting at which its stream just reaches the far glass,
            // and not too little at the one at which it just leaves the calm part. One setting serves the
            // whole set.
            for (at, stage) in task.stages.iter().take(2).enumerate() {
                let at_setting =
                    |setting: f64| part(pump.flow * setting.clamp(pump.lowest, pump.highest), stage.target);
                demands[4 + 2 * at] = at_setting(pump.stream(pumps).reaches(stage));
                demands[5 + 2 * at] = -at_setting(pump.stream(pumps).bears(stage));
            }
            let coefficient = if rank == Rank::Quiet { pump.loud } else { pump.rise };
            Weights {
                plain: match rank {
                    Rank::Cost => pump.price + pump.wear + task.watt * pump.standing,
                    Rank::Price => pump.price,
                    Rank::Quiet => 0.0,
                    Rank::Energy => pump.standing,
                    Rank::Fewest => 1.0,
                },
                gain: bend.gain(pump, coefficient),
                demands,
            }
        };
        let items: Vec<_> = task.candidates.iter().map(sums).collect();
        let base = task.base.iter().map(sums).fold(Weights::NOTHING, |all, pump| all.and(&pump));
        let mut most = [1.0; DEMANDS];
        most[0] = -1.0;
        most[3] = if quiet.is_some() { -1.0 } else { 0.0 };
        for at in 0..2 {
            // A set gives the flow wanted; or more, where even its lowest is more, which is at the most what
            // it must get down to; or less, where less is asked for and it is at full.
            let stage = task.stages.get(at).filter(|stage| stage.target > 0.0);
            most[4 + 2 * at] = stage.map_or(0.0, |stage| (task.top / stage.target).max(1.0));
            most[5 + 2 * at] = stage.map_or(0.0, |stage| -(task.need / stage.target).min(1.0));
        }
        Items { items, base, limits: most, bend }
    }

    /// Whether sums with at best `least` more keep to all demands.
    pub(super) fn may_keep(&self, sums: &Weights, least: &[f64; DEMANDS], more: f64) -> bool {
        let slack = SLACK - 1.0;
        (0..DEMANDS).all(|at| {
            sums.demands[at] + more * least[at] <= self.limits[at] + slack * (1.0 + sums.demands[at].abs())
        })
    }

    /// What a set with these sums is ranked by, at the least.
    pub(super) fn least(&self, sums: &Weights) -> f64 {
        sums.plain + self.bend.least(sums.gain)
    }
}

/// All sets of so many pumps out of some candidates, one of which is in each: with a bound that adds up over
/// the pumps.
pub(super) struct Group {
    /// The candidates and what each adds to the bound, the least first.
    pub(super) adds: Vec<(usize, f64)>,
    /// The bound of the pumps that are in every set of the group, and of the demands themselves.
    pub(super) start: f64,
    /// The least that any candidate adds to each demand.
    pub(super) least: [f64; DEMANDS],
    /// Whether the bound is one of what sets are ranked by; else it only asks whether the demands can be met
    /// together.
    asks_rank: bool,
    /// So much above what it must not be above it may be, for the last bits of sums.
    slack: f64,
}

impl Group {
    /// The group of all sets of `number` pumps that hold `first`, and for the rest pumps of `among`; `None`
    /// where no set of it can be better than `worst`.
    ///
    /// - `worst`: endless while there is no set to compare with; then the bound only asks whether the demands
    ///   can be met together
    pub(super) fn of(
        items: &Items,
        first: usize,
        among: &[usize],
        number: usize,
        worst: f64,
    ) -> Option<Self> {
        let more = (number - 1) as f64;
        let mut least = [f64::INFINITY; DEMANDS];
        for at in among {
            for (least, one) in least.iter_mut().zip(&items.items[*at].demands) {
                *least = least.min(*one);
            }
        }
        let held = items.base.and(&items.items[first]);
        if !items.may_keep(&held, &least, more) {
            return None;
        }
        let asks_rank = worst.is_finite();
        // Where nothing is ranked yet, a bound above nothing says that the demands exclude each other.
        let (target, plain) = if asks_rank { (worst, 1.0) } else { (0.0, 0.0) };
        let unit = if asks_rank { worst.abs().max(f64::MIN_POSITIVE) } else { 1.0 };
        let mut prices = [0.0; DEMANDS];
        let mut best: Option<(f64, [f64; DEMANDS], f64, f64)> = None;
        let mut around = held.gain + more * items.items[first].gain;
        for _ in 0..ASCENT {
            let bends = asks_rank && items.bend.scale > 0.0 && around.is_finite() && around > 0.0;
            let height = if bends { items.bend.least(around) } else { 0.0 };
            let slope = if bends { (items.bend.exponent - 1.0) * height / around } else { 0.0 };
            let adds = |sums: &Weights| {
                let priced: f64 =
                    prices.iter().zip(&sums.demands).map(|(price, demand)| price * demand).sum();
                plain * sums.plain - if bends { slope * sums.gain } else { 0.0 } + priced
            };
            let cheapest = among
                .iter()
                .map(|at| (*at, adds(&items.items[*at])))
                .min_by(|(_, one), (_, other)| one.total_cmp(other))?;
            let owed: f64 = prices
                .iter()
                .zip(&items.limits)
                .filter(|(price, _)| **price > 0.0)
                .map(|(price, limit)| price * limit)
                .sum();
            let start = adds(&held) + height + slope * if bends { around } else { 0.0 } - owed;
            let bound = start + more * cheapest.1;
            let slack = slack_of(unit, start, &prices);
            if bound > target + slack {
                return None;
            }
            if best.is_none_or(|(most, ..)| bound > most) {
                best = Some((bound, prices, slope, start));
            }
            // Where each demand stands at the cheapest choice: how steep the bound is along its price.
            let chosen = &items.items[cheapest.0];
            let steep: [f64; DEMANDS] =
                std::array::from_fn(|at| held.demands[at] + more * chosen.demands[at] - items.limits[at]);
            let steep: [f64; DEMANDS] =
                std::array::from_fn(|at| if prices[at] > 0.0 || steep[at] > 0.0 { steep[at] } else { 0.0 });
            let size: f64 = steep.iter().map(|one| one * one).sum();
            if size <= 0.0 && !bends {
                break;
            }
            if size > 0.0 {
                let gap = if asks_rank { target - bound } else { (1e-3 - bound).max(1e-3) };
                for (price, steep) in prices.iter_mut().zip(&steep) {
                    *price = (*price + (gap + 1e-3 * unit) / size * steep).max(0.0);
                }
            }
            around = 0.5 * (around + held.gain + more * chosen.gain);
        }
        let (_, prices, slope, start) = best?;
        let adds = |at: usize| {
            let sums = &items.items[at];
            let priced: f64 = prices.iter().zip(&sums.demands).map(|(price, demand)| price * demand).sum();
            plain * sums.plain - if slope > 0.0 { slope * sums.gain } else { 0.0 } + priced
        };
        let mut adds: Vec<_> = among.iter().map(|at| (*at, adds(*at))).collect();
        sort_by(&mut adds, |(_, one), (_, other)| one.total_cmp(other));
        Some(Group { adds, start, least, asks_rank, slack: slack_of(unit, start, &prices) })
    }

    /// Whether a set with this bound may be one that is no worse than `worst`.
    pub(super) fn may_be(&self, bound: f64, worst: f64) -> bool {
        bound <= if self.asks_rank { worst } else { 0.0 } + self.slack
    }
}

/// What the last bits of the sums in a bound can make of it, and the billionth by which a set may miss each
/// demand.
fn slack_of(unit: f64, start: f64, prices: &[f64; DEMANDS]) -> f64 {
    2.0 * (SLACK - 1.0) * (unit + start.abs() + prices.iter().sum::<f64>())
}
