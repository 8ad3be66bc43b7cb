//! Which pane of a tank the water bends hardest.

use uom::si::f64::{Length, MassDensity};

use crate::formulas::glass::{Pane, Rim};
use crate::formulas::volume::Outline;
use crate::quantity::Dimension;
use crate::tank::Tank;

/// The flat pane of a tank that is bent hardest, outside measures; `None` for a round one.
pub fn hardest_pane(tank: &Tank, water: MassDensity) -> Option<Pane> {
    let length = match tank.glass.outline {
        Outline::Box { length, width } => length.max(width),
        // The curve of a bow front makes it stiffer than the flat pane behind it.
        Outline::BowFront { length, .. } => length,
        Outline::Hexagon { across } => across / 3.0_f64.sqrt(),
        Outline::Cylinder { .. } => return None,
    };
    let height = tank.glass.height;
    // A pane that is narrower still is bent less than one of this shape; no tank is longer.
    let length = Length::from_si(length.si().clamp(0.1 * height.si(), 20.0 * height.si()));
    let rim = if tank.braced { Rim::Braced } else { Rim::Free };
    Some(Pane { length, height, rim, water })
}
