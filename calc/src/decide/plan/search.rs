//! The exact search: every set of pumps as a tree, cut where nothing below can be good enough.

use super::bound::{Group, Items};
use super::limits::Limits;
use super::{Candidate, Demand, PumpSet, SLACK, Task};
use crate::ordered::{sort_few, sorted};
use crate::tank::Rank;

/// What the pumps of a set come to together, at the setting for later where a setting counts.
pub(super) struct Totals {
    pub(super) full: f64,
    pub(super) fouled: f64,
    /// The greatest that one pump gives to `fouled`.
    pub(super) strongest: f64,
    pub(super) low: f64,
    pub(super) price: f64,
    pub(super) cost: f64,
    pub(super) power: f64,
    pub(super) loud: f64,
}

impl Totals {
    pub(super) fn of(task: &Task<'_>, set: &[&Candidate]) -> Self {
        let kept = task.kept;
        let later = task.stages.last().map_or(0.0, |stage| stage.target);
        let setting = common_setting(set, later).unwrap_or(1.0);
        let mut sums = Totals {
            full: 0.0,
            fouled: 0.0,
            strongest: 0.0,
            low: 0.0,
            price: 0.0,
            cost: 0.0,
            power: 0.0,
            loud: 0.0,
        };
        let exponent = task.sound_exponent;
        for pump in set {
            let setting = clamped(pump, setting);
            let full = pump.flow * pump.highest;
            sums.full += full;
            sums.fouled += kept * full;
            sums.strongest = sums.strongest.max(kept * full);
            sums.low += pump.flow * pump.lowest;
            sums.price += pump.price;
            sums.cost += pump.price + pump.wear;
            sums.power += pump.standing + pump.rise * setting * setting * setting;
            sums.loud += pump.loud * libm::pow(setting, exponent);
        }
        sums.cost += task.watt * sums.power;
        sums
    }
}

/// A pump's own setting where the common one is `setting`.
pub(super) fn clamped(pump: &Candidate, setting: f64) -> f64 {
    setting.clamp(pump.lowest, pump.highest)
}

fn flow_at(set: &[&Candidate], setting: f64) -> f64 {
    set.iter().map(|pump| pump.flow * clamped(pump, setting)).sum()
}

/// The common setting at which a set gives a flow, or its lowest where even that gives more; `None` where its
/// highest gives less.
pub(super) fn common_setting(set: &[&Candidate], target: f64) -> Option<f64> {
    let together: f64 = set.iter().map(|pump| pump.flow).sum();
    let plain = target / together;
    if set.iter().all(|pump| pump.lowest <= plain && plain <= pump.highest) {
        return Some(plain);
    }
    // The flow grows in straight pieces between the settings at which some pump stops following.
    let mut bends: Vec<f64> = set.iter().flat_map(|pump| [pump.lowest, pump.highest]).collect();
    sort_few(&mut bends, f64::total_cmp);
    let mut last: Option<(f64, f64)> = None;
    for bend in bends {
        let flow = flow_at(set, bend);
        if flow * SLACK >= target {
            return Some(match last {
                Some((setting, before)) if flow > before => {
                    (setting + (bend - setting) * (target - before) / (flow - before)).min(bend)
                }
                _ => bend,
            });
        }
        last = Some((bend, flow));
    }
    None
}

/// A set with what it is ranked by: smaller is better, from left to right.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Scored {
    pub(super) first: f64,
    no_spare: bool,
    cost: f64,
    price: f64,
    pub(super) members: Vec<usize>,
}

impl Scored {
    fn order(&self, other: &Self) -> std::cmp::Ordering {
        let key = |a: f64, b: f64| a.total_cmp(&b);
        key(self.first, other.first)
            .then(self.no_spare.cmp(&other.no_spare))
            .then(key(self.cost, other.cost))
            .then(key(self.price, other.price))
            .then(self.members.len().cmp(&other.members.len()))
            .then_with(|| self.members.cmp(&other.members))
    }
}

/// What a set is ranked by, or `None` where it will not do.
///
/// - `members`: in the order of the candidates, so that the same set always gives the same bits
pub(super) fn score(task: &Task<'_>, limits: &Limits, rank: Rank, members: &[usize]) -> Option<Scored> {
    let set: Vec<_> = task.all(members).collect();
    if set.len() < *task.fewest.peek() || set.len() > *task.most.peek() {
        return None;
    }
    if !are_alike(task, members)
        || (!task.let_go.contains(&Demand::Sand) && task.base.iter().any(|pump| pump.lifts))
    {
        return None;
    }
    let kept = task.kept;
    let (mut fouled, mut strongest, mut low, mut price) = (0.0, 0.0_f64, 0.0, 0.0);
    for pump in &set {
        let part = kept * (pump.flow * pump.highest);
        fouled += part;
        strongest = strongest.max(part);
        low += pump.flow * pump.lowest;
        price += pump.price;
    }
    let spare = set.len() > 1 && (fouled - strongest) * SLACK >= task.least;
    if fouled * SLACK < task.need
        || low > task.top * SLACK
        || limits.price.is_some_and(|limit| price > limit * SLACK)
        || (limits.spare && !spare)
    {
        return None;
    }
    for stage in &task.stages {
        // Only where less than the flow wanted is asked for does a set run at full without giving it.
        let setting = common_setting(&set, stage.target).unwrap_or(1.0);
        for pump in &set {
            let setting = clamped(pump, setting);
            let speeds = pump.stream(set.len());
            if setting * SLACK < speeds.reaches(stage) || setting > speeds.bears(stage) * SLACK {
                return None;
            }
        }
    }
    let sums = Totals::of(task, &set);
    if limits.loud.is_some_and(|limit| sums.loud > limit * SLACK) {
        return None;
    }
    let first = match rank {
        Rank::Cost => sums.cost,
        Rank::Price => sums.price,
        Rank::Quiet => sums.loud,
        Rank::Energy => sums.power,
        Rank::Fewest => set.len() as f64,
    };
    Some(Scored { first, no_spare: !spare, cost: sums.cost, price: sums.price, members: members.to_vec() })
}

/// Whether the pumps of a set are alike, each to each. More pumps never mend it. Pumps that hang are enough
/// as they are while none is added.
fn are_alike(task: &Task<'_>, members: &[usize]) -> bool {
    let added = || members.iter().map(|at| &task.candidates[*at]);
    added()
        .enumerate()
        .all(|(at, one)| task.base.iter().chain(added().take(at)).all(|other| task.are_alike(one, other)))
}

/// The best sets, best first.
///
/// Sets are searched in groups: those of so many pumps whose weakest is a given one. A group whose bound is
/// not good enough is left out whole; in the others the bound cuts the tree.
pub(super) fn best(task: &Task<'_>, limits: &Limits, rank: Rank, count: usize) -> Vec<PumpSet> {
    if task.base.len() > *task.most.peek() || count == 0 {
        return Vec::new();
    }
    let free = *task.most.peek() - task.base.len();
    let mut search = Search {
        task,
        limits,
        rank,
        count,
        found: Vec::new(),
        items: Items::new(task, limits, rank, 1),
        pumps: 1,
    };
    search.keep(&[]);
    // Sets of one model first: they are quickly tried, and a good one found early cuts the more.
    for at in 0..task.candidates.len() {
        for number in 1..=free {
            search.keep(&vec![at; number]);
        }
    }
    let flow = |at: usize| task.candidates[at].flow;
    let order = sorted(task.candidates.len(), &|one, other| flow(one).total_cmp(&flow(other)));
    for number in task.fewest.peek().saturating_sub(task.base.len()).max(1)..=free {
        search.pumps = task.base.len() + number;
        search.items = Items::new(task, limits, rank, search.pumps);
        for (at, first) in order.iter().enumerate() {
            // What is like the weakest; candidates that are not like the pumps in every set are none.
            let weakest = &task.candidates[*first];
            let strongest = order[at..]
                .partition_point(|other| weakest.flow * SLACK >= task.candidates[*other].flow * task.alike);
            let among: Vec<_> = order[at..at + strongest]
                .iter()
                .copied()
                .filter(|other| task.are_alike(weakest, &task.candidates[*other]))
                .collect();
            search.group(*first, &among, number);
        }
    }
    search.found.iter().map(|scored| task.pump_set(&scored.members)).collect()
}

struct Search<'s, 'a> {
    task: &'s Task<'a>,
    limits: &'s Limits,
    rank: Rank,
    count: usize,
    found: Vec<Scored>,
    items: Items,
    /// How many pumps the sets have that are being searched, those in every set counted in.
    pumps: usize,
}

impl Search<'_, '_> {
    /// What a set must not be above to be among the best.
    fn worst(&self) -> f64 {
        if self.found.len() < self.count {
            f64::INFINITY
        } else {
            self.found.last().map_or(f64::INFINITY, |scored| scored.first)
        }
    }

    fn keep(&mut self, members: &[usize]) {
        let mut members = members.to_vec();
        sort_few(&mut members, Ord::cmp);
        let Some(scored) = score(self.task, self.limits, self.rank, &members) else { return };
        let at = self.found.partition_point(|found| found.order(&scored).is_lt());
        if at < self.count && self.found.get(at).is_none_or(|found| found.members != scored.members) {
            self.found.insert(at, scored);
            self.found.truncate(self.count);
        }
    }

    /// Tries every set of a group that may be among the best.
    fn group(&mut self, first: usize, among: &[usize], number: usize) {
        if among.is_empty() {
            return;
        }
        let Some(group) = Group::of(&self.items, first, among, number, self.worst()) else { return };
        let held = self.items.base.and(&self.items.items[first]);
        self.below(&group, &mut vec![first], 0, &held, group.start, number - 1);
    }

    /// Tries every set with these members and `free` more, none of which comes before `from` in the group.
    ///
    /// - `sums`, `bound`: those of the members
    fn below(
        &mut self,
        group: &Group,
        members: &mut Vec<usize>,
        from: usize,
        sums: &super::bound::Weights,
        bound: f64,
        free: usize,
    ) {
        if free == 0 {
            if self.items.least(sums) <= self.worst() * SLACK {
                self.keep(members);
            }
            return;
        }
        let more = (free - 1) as f64;
        for (at, (candidate, adds)) in group.adds.iter().enumerate().skip(from) {
            // All that follow add no less than this one.
            if !group.may_be(bound + adds + more * adds, self.worst()) {
                return;
            }
            let child = sums.and(&self.items.items[*candidate]);
            if !self.items.may_keep(&child, &group.least, more) {
                continue;
            }
            members.push(*candidate);
            if !self.streams_too_weak(members) {
                self.below(group, members, at, &child, bound + adds, free - 1);
            }
            members.pop();
        }
    }

    /// Whether the streams can only reach the far glass at a setting at which the set moves too much. More
    /// pumps make it worse: they leave each of them less of the flow.
    fn streams_too_weak(&self, members: &[usize]) -> bool {
        self.task.stages.iter().any(|stage| {
            let mut setting = 0.0_f64;
            for pump in self.task.all(members) {
                let wanted = pump.stream(self.pumps).reaches(stage);
                // A pump that is fast enough at its lowest asks nothing of the others.
                if wanted > pump.lowest * SLACK {
                    setting = setting.max(wanted / SLACK);
                }
            }
            let least: f64 = self.task.all(members).map(|pump| pump.flow * clamped(pump, setting)).sum();
            // Pumps whose lowest settings move more than the flow wanted run at them all the same.
            let lowest: f64 = self.task.all(members).map(|pump| pump.flow * pump.lowest).sum();
            least > stage.target * SLACK * SLACK && least > lowest * SLACK
        })
    }
}
