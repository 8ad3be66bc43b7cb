//! What a set must keep to besides the tank's own demands.

use super::Task;
use crate::tank::Wishes;

/// The wishes for a set, in SI units.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Limits {
    pub(super) price: Option<f64>,
    /// Sound energy at one metre.
    pub(super) loud: Option<f64>,
    pub(super) spare: bool,
}

impl Limits {
    pub(super) fn of(task: &Task<'_>, wishes: &Wishes) -> Self {
        // Where what hums beside the pumps is too loud already, next to nothing is left to them.
        let left = |most: f64| {
            (libm::pow(10.0, (most - task.pillow.peek().high.0) / 10.0) - task.hum.peek()).max(1e-30)
        };
        Limits {
            price: wishes.budget.map(|budget| budget.amount),
            loud: wishes.noise.map(|noise| left(noise.0)),
            spare: wishes.spare,
        }
    }
}
