//! The best set as it is told: what reasons hold against other values.

use uom::si::f64::{Power, VolumeRate};

use super::{PumpSet, count};
use crate::quantity::{Money, Quantity, SoundLevel};
use crate::trace::Traced;

/// A set with what it comes to, each part with what it was reckoned from.
#[derive(Debug, Clone)]
pub(crate) struct Told {
    pub(crate) set: PumpSet,
    /// How many pumps it has.
    pub(crate) count: Traced<Quantity>,
    pub(crate) fouled: Traced<VolumeRate>,
    pub(crate) low: Traced<VolumeRate>,
    pub(crate) one_stopped: Traced<VolumeRate>,
    pub(crate) price: Traced<Money>,
    pub(crate) cost: Traced<Money>,
    pub(crate) power: Traced<Power>,
    /// The most that arrives at the pillow.
    pub(crate) sound: Traced<SoundLevel>,
}

impl Told {
    /// A set whose parts nothing stands behind but the search that found it.
    pub(super) fn of(set: &PumpSet) -> Self {
        Told {
            count: Traced::given(count(set.models.len())),
            fouled: Traced::given(set.fouled),
            low: Traced::given(set.low),
            one_stopped: Traced::given(set.one_stopped),
            price: Traced::given(set.price),
            cost: Traced::given(set.cost),
            power: Traced::given(set.power),
            sound: Traced::given(set.sound.high),
            set: set.clone(),
        }
    }
}
