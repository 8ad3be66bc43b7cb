//! How much water a tank holds, and what it weighs: glass of four shapes, a fill line, sand and rock.
//!
//! All glass is measured outside, as a tape measure finds it. Four volumes are told apart:
//!
//! - *outside*: length × width × height, the number on most labels,
//! - *gross*: inside the glass, up to the rim,
//! - *filled*: inside the glass, up to the fill line,
//! - *net*: filled, less a rear chamber, and less what sand and rock push aside. This is the water that the
//!   pumps move.
//!
//! The rear chamber of an all-in-one tank is part of its glass and its weight, and its water part of the
//! system; but no pump in the display moves it. Sand and rock lie in the display alone. The false wall is
//! taken to be thin.

use std::f64::consts::PI;

use uom::si::f64::{Area, ArealMassDensity, Length, Mass, MassDensity, Ratio, Volume};

use super::formula;
use crate::error::Error;
use crate::quantity::{Dimension, Share};

/// The floor plan of a tank, outside measures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outline {
    /// A rectangle.
    Box {
        /// Along the front.
        length: Length,
        /// Front to back.
        width: Length,
    },
    /// A circle.
    Cylinder {
        /// Across the middle.
        diameter: Length,
    },
    /// A rectangle whose front swings out in an arc.
    BowFront {
        /// Along the back.
        length: Length,
        /// Front to back at the ends.
        width: Length,
        /// Front to back in the middle.
        middle_width: Length,
    },
    /// A regular hexagon.
    Hexagon {
        /// From one pane to the opposite one.
        across: Length,
    },
}

impl Outline {
    /// From end to end, outside measure: along a box, across a circle, from pane to pane of a hexagon.
    pub fn length(&self) -> Length {
        match *self {
            Outline::Box { length, .. } | Outline::BowFront { length, .. } => length,
            Outline::Cylinder { diameter } => diameter,
            Outline::Hexagon { across } => across,
        }
    }

    /// Front to back, outside measure: the widest.
    pub fn width(&self) -> Length {
        match *self {
            Outline::Box { width, .. } => width,
            Outline::BowFront { middle_width, .. } => middle_width,
            Outline::Cylinder { diameter } => diameter,
            Outline::Hexagon { across } => across,
        }
    }

    /// Front to back, outside measure, where it is least: at the ends of a bow front.
    pub fn end_width(&self) -> Length {
        match *self {
            Outline::BowFront { width, .. } => width,
            _ => self.width(),
        }
    }

    /// The length of its outside edge: how fast the area grows when the edge moves out.
    pub fn perimeter(&self) -> Length {
        let step = Length::from_si(1e-4);
        (self.area(-step) - self.area(step)) / (step * 2.0)
    }

    /// The area within the line that runs `inset` inside the outside edge; an inset of nothing gives the
    /// footprint.
    ///
    /// A bow front's arc keeps its centre when its pane is taken off, so its inner radius is the outer one
    /// less the pane.
    pub(crate) fn area(&self, inset: Length) -> Area {
        let inset = inset.si();
        let square_metres = match *self {
            Outline::Box { length, width } => (length.si() - 2.0 * inset) * (width.si() - 2.0 * inset),
            Outline::Cylinder { diameter } => {
                let radius = diameter.si() / 2.0 - inset;
                PI * radius * radius
            }
            Outline::BowFront { length, width, middle_width } => {
                let (half, bow) = (length.si() / 2.0, middle_width.si() - width.si());
                // The circle through both front corners and the middle of the front.
                let outer_radius = (half * half + bow * bow) / (2.0 * bow);
                let centre = middle_width.si() - outer_radius;
                let (half, radius) = (half - inset, outer_radius - inset);
                let under_arc = half * (radius * radius - half * half).max(0.0).sqrt()
                    + radius * radius * libm::asin((half / radius).min(1.0));
                2.0 * half * (centre - inset) + under_arc
            }
            Outline::Hexagon { across } => {
                let across = across.si() - 2.0 * inset;
                3.0_f64.sqrt() / 2.0 * across * across
            }
        };
        Area::from_si(square_metres)
    }
}

/// A glass tank, open at the top, its base pane as large as its footprint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Glass {
    /// Its floor plan.
    pub outline: Outline,
    /// Outside, from the base to the rim.
    pub height: Length,
    /// Thickness of the panes.
    pub pane: Length,
    /// From the rim down to the water.
    pub fill_line: Length,
}

impl Glass {
    /// Checks that there is room for water between the panes. Each side is above zero; pane and fill line may
    /// be nothing.
    ///
    /// # Errors
    /// [`Error::NoAnswer`] with the measure that does not fit.
    pub fn new(outline: Outline, height: Length, pane: Length, fill_line: Length) -> Result<Self, Error> {
        let refuse =
            |why: &str| Err(Error::NoAnswer { what: "this tank can not hold water", why: why.to_owned() });
        let narrowest = if let Outline::BowFront { width, .. } = outline { width } else { outline.width() };
        let is_size = |side: Length| side.si().is_finite() && side.si() > 0.0;
        if ![outline.length(), outline.width(), narrowest, height].into_iter().all(is_size) {
            return refuse("each side must be a length above zero; check the sides and `height`");
        }
        if ![pane, fill_line].into_iter().all(|measure| measure.si().is_finite() && measure.si() >= 0.0) {
            return refuse(
                "panes and fill line must be lengths, nothing or more; check `pane` and `fill_line`",
            );
        }
        if outline.length() <= pane * 2.0 || narrowest <= pane * 2.0 {
            return refuse("the panes are thicker than the tank is wide; check `pane`");
        }
        if height <= pane + fill_line {
            return refuse("the water would be below the base; check `height` and `fill_line`");
        }
        if let Outline::BowFront { length, width, middle_width } = outline {
            if middle_width <= width {
                return refuse(
                    "the middle of a bow front is wider than its ends; swap `width` and `middle_width`, or call it a box",
                );
            }
            if middle_width - width > length / 2.0 {
                return refuse("the bow is deeper than half a circle; check `middle_width`");
            }
        }
        Ok(Glass { outline, height, pane, fill_line })
    }

    /// Height of the water above the base pane.
    pub fn water_height(&self) -> Length {
        self.height - self.pane - self.fill_line
    }

    /// The floor that the tank stands on.
    pub fn footprint(&self) -> Area {
        self.outline.area(Length::from_si(0.0))
    }

    /// The water's surface, and the floor inside the glass.
    pub fn inside_area(&self) -> Area {
        self.outline.area(self.pane)
    }

    /// The floor between the back pane and a false wall that stands so far in front of it: up to half of the
    /// inside, and in a bow front no further than its ends are deep.
    ///
    /// Of a circle it is the segment `r² acos((r − d)/r) − (r − d) √(2 r d − d²)`; of a hexagon, whose back
    /// pane is flat, a trapezium.
    pub fn back_strip(&self, depth: Length) -> Area {
        let (depth, panes) = (depth.si(), 2.0 * self.pane.si());
        Area::from_si(match self.outline {
            Outline::Box { length, .. } | Outline::BowFront { length, .. } => (length.si() - panes) * depth,
            Outline::Cylinder { diameter } => {
                let radius = (diameter.si() - panes) / 2.0;
                let inner = radius - depth;
                radius * radius * libm::acos(inner / radius)
                    - inner * (radius * radius - inner * inner).max(0.0).sqrt()
            }
            Outline::Hexagon { across } => {
                let side = (across.si() - panes) / 3.0_f64.sqrt();
                depth * (side + depth / 3.0_f64.sqrt())
            }
        })
    }

    /// Volume by the outside measures: what labels count.
    ///
    /// NIST Handbook 44 defines the US gallon as 231 cubic inches, so a tank of 24 × 12 × 16 inches is
    /// labelled 20 gallons:
    /// ```
    /// use reckoner_calc::{formulas::volume::{Glass, Outline}, quantity::{Quantity, Rounding, System, parse, shown_number}};
    /// use uom::si::f64::{Length, Volume};
    /// let inches = |text| parse::<Length>(text);
    /// let outline = Outline::Box { length: inches("24 in")?, width: inches("12 in")? };
    /// let glass = Glass::new(outline, inches("16 in")?, inches("6 mm")?, inches("1 in")?)?;
    /// let (gallons, _) = shown_number(glass.outside().into(), System::Us, Rounding::Nearest);
    /// assert!((gallons - 24.0 * 12.0 * 16.0 / 231.0).abs() < 0.1);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn outside(&self) -> Volume {
        self.footprint() * self.height
    }

    /// Volume inside the glass, up to the rim.
    pub fn gross(&self) -> Volume {
        self.inside_area() * (self.height - self.pane)
    }

    /// Volume inside the glass, up to the fill line.
    pub fn filled(&self) -> Volume {
        self.inside_area() * self.water_height()
    }

    /// Mass of the panes: a base pane of the whole footprint, walls standing on it. Braces and a false wall
    /// come on top.
    pub fn mass(&self, density: MassDensity) -> Mass {
        let walls = (self.footprint() - self.inside_area()) * (self.height - self.pane);
        let base = self.footprint() * self.pane;
        (walls + base) * density
    }
}

/// What the grains of a sand bed push aside: its bulk volume less the water between the grains.
///
/// - `floor`: the floor that the sand covers
/// - `depth`: its depth, from nothing to the water's height
/// - `porosity`: share of the bed that is water
#[formula("floor × depth × (1 − porosity)")]
pub fn sand_displacement(floor: Area, depth: Length, porosity: Share) -> Volume {
    floor * depth * (1.0 - porosity.0)
}

/// What rock pushes aside: its outer volume. The water in its pores hardly moves, so no pump has to move it.
///
/// - `mass`: dry mass of the rock
/// - `mineral`: density of the mineral it is made of
/// - `porosity`: share of its outer volume that is pores, below 1
#[formula("mass ÷ mineral ÷ (1 − porosity)")]
pub fn rock_displacement(mass: Mass, mineral: MassDensity, porosity: Share) -> Volume {
    mass / mineral / Ratio::from_si(1.0 - porosity.0)
}

/// What the filled tank presses on the floor with: its mass over its footprint.
#[formula("mass ÷ footprint")]
pub fn floor_load(mass: Mass, footprint: Area) -> ArealMassDensity {
    mass / footprint
}

/// Volume of a box: its three outside measures multiplied.
#[formula("length × width × height")]
pub fn r#box(length: Length, width: Length, height: Length) -> Result<Volume, Error> {
    let glass = Glass::new(Outline::Box { length, width }, height, Length::default(), Length::default())?;
    Ok(glass.outside())
}

#[cfg(test)]
mod tests;
