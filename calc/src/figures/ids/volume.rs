//! Measures and volumes of the tank, and what it weighs.

use uom::si::f64::Volume;

super::ids! {
    /// Net water: what the pumps move.
    WATER: Volume = "tank.water";
    /// Inside the glass, up to the rim.
    GROSS: Volume = "tank.gross";
    /// The same of the display alone, where a rear chamber is behind it.
    DISPLAY_GROSS: Volume = "tank.display_gross";
}
