//! How hard the water bends the panes.

use uom::si::f64::Pressure;

use crate::quantity::Thickness;

super::ids! {
    /// What the panes are made of.
    MATERIAL: String = "glass.material";
    /// How the rim is held.
    RIM: String = "glass.rim";
    /// What the sum on the panes reaches.
    REACH: String = "glass.reach";
    /// Highest stress in the panes, with the water to the rim.
    STRESS: Pressure = "glass.stress";
    /// The thinnest panes that such a tank is usually built with.
    USUAL_PANE: Thickness = "glass.usual_pane";
    /// The thinnest panes that such a tank is usually built with where its rim is braced.
    BRACED_PANE: Thickness = "glass.braced_pane";
    /// How the panes compare with those of such tanks.
    VERDICT: String = "glass.verdict";
    /// What is odd about the panes.
    THIN: String = "glass.thin";
    /// What is odd about the panes.
    LIMIT: String = "glass.limit";
    /// What is odd about the panes.
    THICK: String = "glass.thick";
}
