//! Measures and volumes of the tank, and what it weighs.

use uom::si::f64::{Area, ArealMassDensity, Length, Mass, Ratio, Volume};

use crate::quantity::{Share, Thickness};
use crate::rules::Band;

super::ids! {
    /// Length of the tank, outside.
    LENGTH: Length = "tank.length";
    /// Width of the tank, outside.
    WIDTH: Length = "tank.width";
    /// Height of the tank, outside.
    HEIGHT: Length = "tank.height";
    /// Thickness of the panes.
    PANE: Thickness = "tank.pane";
    /// From the rim down to the water.
    FILL_LINE: Length = "tank.fill_line";
    /// Height of the water.
    WATER_HEIGHT: Length = "tank.water_height";
    /// Volume by the outside measures.
    OUTSIDE: Volume = "tank.outside";
    /// Floor inside the glass.
    INSIDE_AREA: Area = "tank.inside_area";
    /// Gross volume: inside the glass, up to the rim.
    GROSS: Volume = "tank.gross";
    /// Filled volume: inside the glass, up to the fill line.
    FILLED: Volume = "tank.filled";
    /// Floor of the display, and its water's surface.
    DISPLAY_AREA: Area = "tank.display_area";
    /// Water that the sand pushes aside.
    SAND: Volume = "tank.sand";
    /// What the sand takes of the filled volume.
    SAND_SHARE: Share = "tank.sand_share";
    /// Mass of the dry sand.
    MASS_SAND: Mass = "mass.sand";
    /// Rock that fits this tank.
    USUAL_ROCK: Band<Mass> = "tank.usual_rock";
    /// Water that the rock pushes aside.
    ROCK: Volume = "tank.rock";
    /// What the rock takes of the filled volume.
    ROCK_SHARE: Share = "tank.rock_share";
    /// Mass of the dry rock.
    MASS_ROCK: Mass = "mass.rock";
    /// How the rock compares with what is usual.
    ROCK_SAYS: String = "tank.rock_says";
    /// Net water: what the pumps move.
    WATER: Volume = "tank.water";
    /// Water in the sump.
    SUMP: Volume = "tank.sump";
    /// All water: tank and sump.
    SYSTEM: Volume = "tank.system";
    /// Mass of the water in the glass.
    MASS_WATER: Mass = "mass.water";
    /// Mass of the panes.
    MASS_GLASS: Mass = "mass.glass";
    /// Mass of the water in the sump.
    MASS_SUMP: Mass = "mass.sump";
    /// Mass of the filled tank and of the water in its sump, without the stand.
    MASS_TOTAL: Mass = "mass.total";
    /// What the tank and the water in its sump press on the floor with, without the stand.
    MASS_FLOOR_LOAD: ArealMassDensity = "mass.floor_load";
    /// One US gallon.
    UNIT_US_GALLON: Volume = "unit.us_gallon";
    /// One imperial gallon.
    UNIT_IMPERIAL_GALLON: Volume = "unit.imperial_gallon";
    /// Cubic inches in a US gallon.
    UNIT_US_GALLON_IN_CUBIC_INCHES: Ratio = "unit.us_gallon_in_cubic_inches";
    /// What the rock takes of the filled volume of the display, as judged.
    ROCK_JUDGED: Share = "tank.rock_judged";
    /// From the false wall to the back pane.
    REAR_CHAMBER_DEPTH: Length = "tank.rear_chamber_depth";
    /// Water in the rear chamber.
    REAR_CHAMBER: Volume = "tank.rear_chamber";
    /// Gross volume of the display, without the rear chamber.
    DISPLAY_GROSS: Volume = "tank.display_gross";
}
