//! How much water a tank holds, and what it weighs: glass of four shapes, a fill line, sand and rock.
//!
//! All glass is measured outside, as a tape measure finds it. Four volumes are told apart:
//!
//! - *outside*: length × width × height, the number on most labels,
//! - *gross*: inside the glass, up to the rim,
//! - *filled*: inside the glass, up to the fill line,
//! - *net*: filled, less a rear chamber, and less what sand and rock push aside. This is the water that the pumps move.
//!
//! The rear chamber of an all-in-one tank is part of its glass and its weight, and its water part of the system; but no pump in the
//! display moves it. Sand and rock lie in the display alone. The false wall is taken to be thin.

use std::f64::consts::PI;

use uom::si::f64::{Area, ArealMassDensity, Length, Mass, MassDensity, Ratio, Volume};

use crate::error::Error;
use crate::formulas::seawater;
use crate::quantity::{Dimension, Rounding, Share, System, Thickness, shown_number, shown_step};
use crate::rules::volume::VolumeRules;
use crate::rules::{Band, Rules};
use crate::sheet::{Figure, Item, Op, Sheet, Sum, Working};
use crate::tank::{Material, RearChamber, Rock, Tank};

/// The floor plan of a tank, outside measures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Plan {
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

impl Plan {
    /// From end to end, outside measure: along a box, across a circle, from pane to pane of a hexagon.
    pub fn length(&self) -> Length {
        match *self {
            Plan::Box { length, .. } | Plan::BowFront { length, .. } => length,
            Plan::Cylinder { diameter } => diameter,
            Plan::Hexagon { across } => across,
        }
    }

    /// Front to back, outside measure: the widest.
    pub fn width(&self) -> Length {
        match *self {
            Plan::Box { width, .. } => width,
            Plan::BowFront { middle_width, .. } => middle_width,
            Plan::Cylinder { diameter } => diameter,
            Plan::Hexagon { across } => across,
        }
    }

    /// Front to back, outside measure, where it is least: at the ends of a bow front.
    pub fn end_width(&self) -> Length {
        match *self {
            Plan::BowFront { width, .. } => width,
            _ => self.width(),
        }
    }

    /// The area within the line that runs `inset` inside the outside edge; an inset of nothing gives the footprint.
    ///
    /// A bow front's arc keeps its centre when its pane is taken off, so its inner radius is the outer one less the pane.
    fn area(&self, inset: Length) -> Area {
        let inset = inset.si();
        let square_metres = match *self {
            Plan::Box { length, width } => (length.si() - 2.0 * inset) * (width.si() - 2.0 * inset),
            Plan::Cylinder { diameter } => {
                let radius = diameter.si() / 2.0 - inset;
                PI * radius * radius
            }
            Plan::BowFront { length, width, middle_width } => {
                let (half, bow) = (length.si() / 2.0, middle_width.si() - width.si());
                // The circle through both front corners and the middle of the front.
                let outer_radius = (half * half + bow * bow) / (2.0 * bow);
                let centre = middle_width.si() - outer_radius;
                let (half, radius) = (half - inset, outer_radius - inset);
                let under_arc =
                    half * (radius * radius - half * half).max(0.0).sqrt() + radius * radius * libm::asin((half / radius).min(1.0));
                2.0 * half * (centre - inset) + under_arc
            }
            Plan::Hexagon { across } => {
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
    pub plan: Plan,
    /// Outside, from the base to the rim.
    pub height: Length,
    /// Thickness of the panes.
    pub pane: Length,
    /// From the rim down to the water.
    pub fill_line: Length,
}

impl Glass {
    /// Checks that there is room for water between the panes. Each side is above zero; pane and fill line may be nothing.
    ///
    /// # Errors
    /// [`Error::NoAnswer`] with the measure that does not fit.
    pub fn new(plan: Plan, height: Length, pane: Length, fill_line: Length) -> Result<Self, Error> {
        let refuse = |why: &str| Err(Error::NoAnswer { what: "this tank can not hold water", why: why.to_owned() });
        let narrowest = if let Plan::BowFront { width, .. } = plan { width } else { plan.width() };
        let is_size = |side: Length| side.si().is_finite() && side.si() > 0.0;
        if ![plan.length(), plan.width(), narrowest, height].into_iter().all(is_size) {
            return refuse("each side must be a length above zero; check the sides and `height`");
        }
        if ![pane, fill_line].into_iter().all(|measure| measure.si().is_finite() && measure.si() >= 0.0) {
            return refuse("panes and fill line must be lengths, nothing or more; check `pane` and `fill_line`");
        }
        if plan.length() <= pane * 2.0 || narrowest <= pane * 2.0 {
            return refuse("the panes are thicker than the tank is wide; check `pane`");
        }
        if height <= pane + fill_line {
            return refuse("the water would be below the base; check `height` and `fill_line`");
        }
        if let Plan::BowFront { length, width, middle_width } = plan {
            if middle_width <= width {
                return refuse("the middle of a bow front is wider than its ends; swap `width` and `middle_width`, or call it a box");
            }
            if middle_width - width > length / 2.0 {
                return refuse("the bow is deeper than half a circle; check `middle_width`");
            }
        }
        Ok(Glass { plan, height, pane, fill_line })
    }

    /// Height of the water above the base pane.
    pub fn water_height(&self) -> Length {
        self.height - self.pane - self.fill_line
    }

    /// The floor that the tank stands on.
    pub fn footprint(&self) -> Area {
        self.plan.area(Length::from_si(0.0))
    }

    /// The water's surface, and the floor inside the glass.
    pub fn inside_area(&self) -> Area {
        self.plan.area(self.pane)
    }

    /// The floor between the back pane and a false wall that stands so far in front of it: up to half of the inside, and in a bow front
    /// no further than its ends are deep.
    ///
    /// Of a circle it is the segment `r² acos((r − d)/r) − (r − d) √(2 r d − d²)`; of a hexagon, whose back pane is flat, a trapezium.
    pub fn back_strip(&self, depth: Length) -> Area {
        let (depth, panes) = (depth.si(), 2.0 * self.pane.si());
        Area::from_si(match self.plan {
            Plan::Box { length, .. } | Plan::BowFront { length, .. } => (length.si() - panes) * depth,
            Plan::Cylinder { diameter } => {
                let radius = (diameter.si() - panes) / 2.0;
                let inner = radius - depth;
                radius * radius * libm::acos(inner / radius) - inner * (radius * radius - inner * inner).max(0.0).sqrt()
            }
            Plan::Hexagon { across } => {
                let side = (across.si() - panes) / 3.0_f64.sqrt();
                depth * (side + depth / 3.0_f64.sqrt())
            }
        })
    }

    /// Volume by the outside measures: what labels count.
    ///
    /// NIST Handbook 44 defines the US gallon as 231 cubic inches, so a tank of 24 × 12 × 16 inches is labelled 20 gallons:
    /// ```
    /// use reckoner_calc::{quantity::{Quantity, Rounding, System, parse, shown_number}, volume::{Glass, Plan}};
    /// use uom::si::f64::{Length, Volume};
    /// let inches = |text| parse::<Length>(text);
    /// let plan = Plan::Box { length: inches("24 in")?, width: inches("12 in")? };
    /// let glass = Glass::new(plan, inches("16 in")?, inches("6 mm")?, inches("1 in")?)?;
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

    /// Mass of the panes: a base pane of the whole footprint, walls standing on it. Braces and a false wall come on top.
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
pub fn sand_displacement(floor: Area, depth: Length, porosity: Share) -> Volume {
    floor * depth * (1.0 - porosity.0)
}

/// What rock pushes aside: its outer volume. The water in its pores hardly moves, so no pump has to move it.
///
/// - `mass`: dry mass of the rock
/// - `mineral`: density of the mineral it is made of
/// - `porosity`: share of its outer volume that is pores, below 1
pub fn rock_displacement(mass: Mass, mineral: MassDensity, porosity: Share) -> Volume {
    mass / mineral / Ratio::from_si(1.0 - porosity.0)
}

/// What the filled tank presses on the floor with: its mass over its footprint.
pub fn floor_load(mass: Mass, footprint: Area) -> ArealMassDensity {
    mass / footprint
}

/// Adds the figures of this topic: `tank.…` for measures and volumes, `mass.…` for what the tank weighs.
///
/// # Errors
/// [`Error::OutOfRange`] for water that [`seawater::density`] does not know.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let seawater_density = seawater::density(*tank.salinity, *tank.temperature, &rules.seawater)?;
    let (glass, rules) = (&tank.glass, &rules.volume);
    sheet.put(Figure::new("tank.length", "Length of the tank, outside", glass.plan.length()));
    sheet.put(Figure::new("tank.width", "Width of the tank, outside", glass.plan.width()));
    sheet.put(Figure::new("tank.height", "Height of the tank, outside", glass.height));
    sheet.put(Figure::new("tank.pane", "Thickness of the panes", Thickness(glass.pane)));
    sheet.put(Figure::new("tank.fill_line", "From the rim down to the water", glass.fill_line));
    sheet.put(
        Figure::new("tank.water_height", "Height of the water", glass.water_height())
            .from("height − pane − fill line", &["tank.height", "tank.pane", "tank.fill_line"]),
    );
    let measures = ["tank.length", "tank.width", "tank.height"];
    sheet.put(Figure::new("tank.outside", "Volume by the outside measures", glass.outside()).from("floor plan × height", &measures));
    sheet.put(
        Figure::new("tank.inside_area", "Floor inside the glass", glass.inside_area())
            .from("floor plan, one pane in from each side", &["tank.length", "tank.width", "tank.pane"]),
    );
    sheet.put(
        Figure::new("tank.gross", "Gross volume: inside the glass, up to the rim", glass.gross())
            .from("inside floor × (height − pane)", &["tank.inside_area", "tank.height", "tank.pane"]),
    );
    let Contents { sand, rock, chamber, net } = Contents::of(tank, rules);
    let filled = Figure::new("tank.filled", "Filled volume: inside the glass, up to the fill line", glass.filled())
        .from("inside floor × water height", &["tank.inside_area", "tank.water_height"]);
    sheet.put(Figure { finer: digits_more(glass.filled(), net), ..filled });
    let display_filled = glass.filled() - chamber;
    sheet.put(
        Figure::new("tank.display_area", "Floor of the display, and its water's surface", tank.display_area())
            .from("inside floor − floor of the rear chamber", &["tank.inside_area"]),
    );
    if let Some(RearChamber { depth }) = tank.rear_chamber {
        sheet.put(Figure::new("tank.rear_chamber_depth", "From the false wall to the back pane", depth));
        sheet.put(
            Figure::new("tank.rear_chamber", "Water in the rear chamber", chamber)
                .from("floor of the chamber × water height", &["tank.rear_chamber_depth", "tank.inside_area", "tank.water_height"]),
        );
        sheet.put(
            Figure::new("tank.display_gross", "Gross volume of the display, without the rear chamber", display_gross(tank))
                .from("floor of the display × (height − pane)", &["tank.display_area", "tank.height", "tank.pane"]),
        );
    } else {
        let why = format!(
            "{} has no rear chamber in its file. Write a table [rear_chamber] into it, with its depth, if it is an all-in-one tank.",
            tank.name
        );
        sheet.lack("tank.display_gross", &*why);
        sheet.lack("tank.rear_chamber", &*why);
        sheet.lack("tank.rear_chamber_depth", why);
    }
    if net <= Volume::from_si(1e-3) {
        let why = "sand and rock take up all of it; check the depth of the sand and the mass of the rock".to_owned();
        return Err(Error::NoAnswer { what: "there is no water in this tank", why });
    }
    solid_figures(sheet, rules, tank, (sand, rock), display_filled);
    water_figures(sheet, rules, tank, net);
    mass_figures(sheet, rules, tank, seawater_density);
    sheet.workings.insert("filled_volume", filled_volume_working(glass));
    unit_figures(sheet);
    Ok(())
}

/// How many digits more than usual the first of two volumes needs to be printed as finely as the second, so that a reader can take
/// what lies between them from it.
fn digits_more(whole: Volume, part: Volume) -> u32 {
    // Steps of two units, such as gallons and fluid ounces, do not compare.
    let step = |volume: Volume, system| {
        (shown_number(volume.into(), system, Rounding::Nearest).1, shown_step(volume.into(), system, Rounding::Nearest))
    };
    let is_coarser = |system| {
        let ((unit, coarse), (other, fine)) = (step(whole, system), step(part, system));
        unit == other && coarse > fine * (1.0 + 1e-9)
    };
    u32::from([System::Metric, System::Us].into_iter().any(is_coarser))
}

/// What sand and rock push aside and weigh, as far as there are any, and how the rock compares with what is usual.
fn solid_figures(sheet: &mut Sheet, rules: &VolumeRules, tank: &Tank, (sand, rock): (Solid, Solid), display_filled: Volume) {
    let filled = tank.glass.filled();
    let share = |solid: Solid| Share((solid.pushed_aside / filled).si());
    if tank.sand.is_some() {
        sheet.put(
            Figure::new("tank.sand", "Water that the sand pushes aside", sand.pushed_aside)
                .from("floor of the display × depth × (1 − porosity)", &["tank.display_area"])
                .rule("volume.sand_porosity"),
        );
        let of_filled = "water pushed aside ÷ filled volume";
        sheet.put(
            Figure::new("tank.sand_share", "What the sand takes of the filled volume", share(sand))
                .from(of_filled, &["tank.sand", "tank.filled"]),
        );
        sheet.put(
            Figure::new("mass.sand", "Mass of the dry sand", sand.dry)
                .from("grains × density", &["tank.sand"])
                .rule("volume.mineral_density"),
        );
    } else {
        let why = crate::figures::sand::bare_floor(tank);
        for part in ["tank.sand", "tank.sand_share", "mass.sand"] {
            sheet.lack(part, &*why);
        }
    }
    let usual = Band { low: display_filled * rules.usual_rock.low, high: display_filled * rules.usual_rock.high };
    sheet.put(
        Figure::new("tank.usual_rock", "Rock that fits this tank", usual)
            .from("filled volume of the display × usual rock", &["tank.filled"])
            .rule("volume.usual_rock"),
    );
    if tank.rock.is_none() {
        let why =
            format!("{} has no rock in its file. Write a table [rock] into it, with its mass or its share, to have it counted.", tank.name);
        for part in ["tank.rock", "tank.rock_judged", "tank.rock_share", "tank.rock_says", "mass.rock"] {
            sheet.lack(part, &*why);
        }
        return;
    }
    let pushed_aside = Figure::new("tank.rock", "Water that the rock pushes aside", rock.pushed_aside);
    let dry = Figure::new("mass.rock", "Mass of the dry rock", rock.dry);
    // Of rock that was judged the mass is only a guess, and no scale can be told to have erred.
    let (pushed_aside, dry, too_much) = if let Some(Rock::Judged(share)) = tank.rock {
        sheet.put(Figure::new("tank.rock_judged", "What the rock takes of the filled volume of the display, as judged", share));
        (
            pushed_aside.from("filled volume of the display × share", &["tank.rock_judged", "tank.filled"]),
            dry.from("water pushed aside × (1 − porosity) × mineral density", &["tank.rock"])
                .rule("volume.mineral_density")
                .rule("volume.rock_porosity"),
            "more than is usual: judge it again or weigh it, and mind the corners that no stream reaches",
        )
    } else {
        sheet.lack("tank.rock_judged", format!("The rock of {} was weighed.", tank.name));
        let pushed_aside = pushed_aside.from("rock mass ÷ mineral density ÷ (1 − porosity)", &["mass.rock"]);
        (
            pushed_aside.rule("volume.mineral_density").rule("volume.rock_porosity"),
            dry,
            "more than is usual: weigh it again, and mind the corners that no stream reaches",
        )
    };
    sheet.put(pushed_aside);
    sheet.put(
        Figure::new("tank.rock_share", "What the rock takes of the filled volume", share(rock))
            .from("water pushed aside ÷ filled volume", &["tank.rock", "tank.filled"]),
    );
    sheet.put(dry);
    let off = rules.weighing_error.0;
    let says = if rock.dry > usual.high * (1.0 + off) {
        too_much
    } else if rock.dry < usual.low * (1.0 - off) {
        "less than is usual: it leaves more water, and less room for corals and for the life that cleans the water"
    } else {
        "as much as is usual"
    };
    sheet.put(
        Figure::new("tank.rock_says", "How the rock compares with what is usual", says)
            .from("rock compared with what is usual, give or take what a weighing can be off", &["mass.rock", "tank.usual_rock"])
            .rule("volume.weighing_error"),
    );
}

/// The net water, and all that is warmed and cleaned with it, by what the tank has.
fn water_figures(sheet: &mut Sheet, rules: &VolumeRules, tank: &Tank, net: Volume) {
    let mut inputs = vec!["tank.filled"];
    inputs.extend(tank.rear_chamber.map(|_| "tank.rear_chamber"));
    inputs.extend(tank.sand.map(|_| "tank.sand"));
    inputs.extend(tank.rock.map(|_| "tank.rock"));
    sheet.put(
        Figure::new("tank.water", "Net water: what the pumps move", net)
            .from("filled − rear chamber − sand − rock, as far as there are any", &inputs),
    );
    let has_sump = tank.sump > Volume::default();
    if has_sump {
        sheet.put(Figure::new("tank.sump", "Water in the sump", tank.sump));
    } else {
        let why = format!("{} has no sump in its file. Write a table [sump] into it, with its water, if there is one.", tank.name);
        sheet.lack("tank.sump", &*why);
        sheet.lack("mass.sump", why);
    }
    let (title, formula, inputs): (_, _, &[&str]) = match (tank.rear_chamber.is_some(), has_sump) {
        (false, false) => ("All water: that of the tank, which has no sump", "net", &["tank.water"]),
        (false, true) => ("All water: tank and sump", "net + sump", &["tank.water", "tank.sump"]),
        (true, false) => ("All water: display and rear chamber", "net + rear chamber", &["tank.water", "tank.rear_chamber"]),
        (true, true) => {
            ("All water: display, rear chamber and sump", "net + rear chamber + sump", &["tank.water", "tank.rear_chamber", "tank.sump"])
        }
    };
    sheet.put(Figure::new("tank.system", title, Contents::of(tank, rules).system(tank)).from(formula, inputs));
}

/// What the filled tank weighs, with the water of its sump, which mostly stands beneath it on the same floor.
fn mass_figures(sheet: &mut Sheet, rules: &VolumeRules, tank: &Tank, seawater: MassDensity) {
    let Contents { sand, rock, chamber, net } = Contents::of(tank, rules);
    let water = (net + chamber + sand.water_within + rock.water_within) * seawater;
    let (density, density_rule) = match tank.material {
        Material::Glass => (*rules.glass_density, "volume.glass_density"),
        Material::Acrylic => (*rules.acrylic_density, "volume.acrylic_density"),
    };
    let (panes, sump) = (tank.glass.mass(density), tank.sump * seawater);
    let total = water + panes + sand.dry + rock.dry + sump;
    sheet.put(
        Figure::new("mass.water", "Mass of the water in the glass", water)
            .from("all water in the glass × density", &["tank.water", "seawater.density"]),
    );
    sheet.put(
        Figure::new("mass.glass", "Mass of the panes", panes)
            .from("(walls + base) × density", &["tank.length", "tank.width", "tank.height", "tank.pane"])
            .rule(density_rule),
    );
    let mut inputs = vec!["mass.water", "mass.glass"];
    inputs.extend(tank.sand.map(|_| "mass.sand"));
    inputs.extend(tank.rock.map(|_| "mass.rock"));
    let mut titles = ["Mass of the filled tank, without its stand", "What the tank presses on the floor with, without its stand"];
    if tank.sump > Volume::default() {
        sheet.put(
            Figure::new("mass.sump", "Mass of the water in the sump", sump).from("water × density", &["tank.sump", "seawater.density"]),
        );
        inputs.push("mass.sump");
        titles = [
            "Mass of the filled tank and of the water in its sump, without the stand",
            "What the tank and the water in its sump press on the floor with, without the stand",
        ];
    }
    sheet.put(Figure::new("mass.total", titles[0], total).from("water + panes + sand + rock + water in the sump", &inputs).never_below());
    sheet.put(
        Figure::new("mass.floor_load", titles[1], floor_load(total, tank.glass.footprint()))
            .from("mass ÷ footprint", &["mass.total", "tank.length", "tank.width"])
            .never_below(),
    );
}

/// The gallons, for pages that tell them apart.
fn unit_figures(sheet: &mut Sheet) {
    sheet.put(Figure::new("unit.us_gallon", "One US gallon", volume_of("1 US gal")));
    sheet.put(Figure::new("unit.imperial_gallon", "One imperial gallon", volume_of("1 imp gal")));
    sheet.put(Figure::new("unit.us_gallon_in_cubic_inches", "Cubic inches in a US gallon", Ratio::from_si(CUBIC_INCHES_IN_A_US_GALLON)));
}

/// The size of a unit that is written in the code, so that it can always be read.
fn volume_of(entry: &str) -> Volume {
    crate::quantity::parse(entry).unwrap_or_default()
}

/// NIST Handbook 44, appendix C.
const CUBIC_INCHES_IN_A_US_GALLON: f64 = 231.0;

/// What is in the glass.
#[derive(Debug, Clone, Copy)]
pub struct Contents {
    /// The sand bed.
    pub sand: Solid,
    /// The rock.
    pub rock: Solid,
    /// The water in the rear chamber.
    pub chamber: Volume,
    /// The net water: filled, less the rear chamber, and less what sand and rock push aside.
    pub net: Volume,
}

impl Contents {
    /// Reckons what a tank holds.
    pub fn of(tank: &Tank, rules: &VolumeRules) -> Self {
        let (sand, rock) = (Solid::of_sand(tank, rules), Solid::of_rock(tank, rules));
        let chamber = tank.glass.back_strip(tank.chamber_depth()) * tank.glass.water_height();
        Contents { sand, rock, chamber, net: tank.glass.filled() - chamber - sand.pushed_aside - rock.pushed_aside }
    }

    /// All water that is warmed and cleaned together: the net water, that of the rear chamber, and that of the sump.
    pub fn system(&self, tank: &Tank) -> Volume {
        self.net + self.chamber + tank.sump
    }
}

/// Volume of the display inside the glass, up to the rim: gross, less a rear chamber.
pub fn display_gross(tank: &Tank) -> Volume {
    tank.display_area() * (tank.glass.height - tank.glass.pane)
}

/// Sand or rock in the tank.
#[derive(Debug, Clone, Copy, Default)]
pub struct Solid {
    /// The water it takes the place of.
    pub pushed_aside: Volume,
    /// The water in its pores that is not part of the net water.
    pub water_within: Volume,
    /// Its mass when dry.
    pub dry: Mass,
}

impl Solid {
    fn of_sand(tank: &Tank, rules: &VolumeRules) -> Self {
        let Some(sand) = tank.sand else { return Solid::default() };
        let porosity = sand.porosity.unwrap_or(*rules.sand_porosity);
        let grains = sand_displacement(tank.display_area(), sand.depth, porosity);
        // The water between the grains is part of the net volume already.
        Solid { pushed_aside: grains, water_within: Volume::default(), dry: grains * *rules.mineral_density }
    }

    fn of_rock(tank: &Tank, rules: &VolumeRules) -> Self {
        let (outer, porosity) = match tank.rock {
            None => return Solid::default(),
            Some(Rock::Weighed { mass, porosity }) => {
                let porosity = porosity.unwrap_or(*rules.rock_porosity);
                (rock_displacement(mass, *rules.mineral_density, porosity), porosity)
            }
            Some(Rock::Judged(share)) => (tank.display_area() * tank.glass.water_height() * share.0, *rules.rock_porosity),
        };
        let pores = outer * porosity.0;
        Solid { pushed_aside: outer, water_within: pores, dry: (outer - pores) * *rules.mineral_density }
    }
}

/// Floor × water height inside the glass, with a tape measure's digits; a box's floor is its length × width.
fn filled_volume_working(glass: &Glass) -> Working {
    let floor = |system| match glass.plan {
        Plan::Box { length, width } => {
            let inside = |side: Length| Item::of(side - glass.pane * 2.0, system);
            vec![(Op::First, inside(length)), (Op::Times, inside(width))]
        }
        // No tape measure gives the floor of another shape: its area stands for it, in the small unit that suits the height.
        _ => {
            let (small_unit, symbol) = match system {
                System::Metric => (1e-4, "cm²"),
                System::Us => (0.0254 * 0.0254, "sq\u{a0}in"),
            };
            vec![(Op::First, Item::constant(libm::rint(glass.inside_area().si() / small_unit), 0, symbol))]
        }
    };
    let sum = |system, per_unit: Item, unit| {
        let mut terms = floor(system);
        terms.extend([(Op::Times, Item::of(glass.water_height(), system)), (Op::Over, per_unit)]);
        Sum::work(system, terms, unit)
    };
    let formula = match glass.plan {
        Plan::Box { .. } => "inside length × inside width × water height",
        _ => "floor inside the glass × water height",
    };
    Working {
        id: "filled_volume",
        title: "How much water stands in the glass",
        given: ["tank.length", "tank.width", "tank.height", "tank.pane", "tank.fill_line"].map(str::to_owned).into(),
        formula,
        sums: vec![
            sum(System::Metric, Item::constant(1000.0, 0, "cm³/L"), "L"),
            sum(System::Us, Item::constant(CUBIC_INCHES_IN_A_US_GALLON, 0, "in³/US\u{a0}gal"), "US\u{a0}gal"),
        ],
        answer: "tank.filled",
        tell: "The answer is less than the number on the tank's label, which counts the outside of the glass up to the rim.",
    }
}

#[cfg(test)]
mod tests;
