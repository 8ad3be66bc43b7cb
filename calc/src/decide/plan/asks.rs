//! What a tank asks of its pumps, each with what it was reckoned from.

use uom::si::f64::{Velocity, VolumeRate};

use super::counted;
use crate::error::Error;
use crate::formulas::turnover::flow;
use crate::quantity::Thickness;
use crate::rules::livestock::Stock;
use crate::rules::{Band, Rules};
use crate::tank::Tank;
use crate::trace::Traced;

/// What a tank asks of its pumps.
#[derive(Debug, Clone)]
pub(crate) struct Asks {
    /// The band of flow for what lives there first.
    pub(crate) first: Traced<Band<VolumeRate>>,
    /// What each step asks, in the order in which they come.
    pub(crate) steps: Vec<Ask>,
    /// How thick the panes are.
    pub(crate) pane: Traced<Thickness>,
}

/// What one step asks: the livestock of now, or that of later.
#[derive(Debug, Clone)]
pub(crate) struct Ask {
    /// What lives there then.
    pub(crate) stock: Stock,
    /// The flow to aim for.
    pub(crate) flow: Traced<VolumeRate>,
    /// The speeds that suit it.
    pub(crate) speeds: Traced<Band<Velocity>>,
}

impl Asks {
    /// What a tank asks while each of these lives there, one after the other.
    ///
    /// # Errors
    /// Those of [`flow`].
    pub(crate) fn of(rules: &Rules, tank: &Tank, steps: &[&Stock]) -> Result<Self, Error> {
        let water = Traced::new(|| counted(tank, rules));
        let first = steps.first().copied().unwrap_or(&tank.now);
        let step = |stock: &&Stock| {
            let flow = Traced::ok(|| flow(*water, rules.turnover.aimed_at(*stock)))?;
            Ok(Ask { stock: (*stock).clone(), flow, speeds: Traced::new(|| rules.speeds.band(*stock)) })
        };
        let first = Traced::ok(|| {
            let band = rules.turnover.band(first);
            Ok::<_, Error>(Band { low: flow(*water, band.low)?, high: flow(*water, band.high)? })
        })?;
        let pane = Traced::given(Thickness(tank.glass.pane));
        Ok(Asks { first, steps: steps.iter().map(step).collect::<Result<_, Error>>()?, pane })
    }

    /// What the pumps must still give just before a cleaning: the most that a step aims for.
    pub(crate) fn need(&self) -> VolumeRate {
        self.steps.iter().fold(VolumeRate::default(), |most, step| most.max(*step.flow))
    }
}
