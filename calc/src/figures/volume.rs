//! Measures and volumes of a tank on the sheet, and what it weighs.

use uom::si::f64::{Length, Mass, Ratio, Volume};

use super::ids::{seawater, volume as id};
use crate::decide::contents;
use crate::error::Error;
use crate::formulas::volume::{Glass, Outline, floor_load};
use crate::quantity::{Dimension, Rounding, Share, System, Thickness, shown_number, shown_step};
use crate::rules::{Band, Rules, words};
use crate::sheet::{Figure, Item, Op, Sheet, Sum, Working, figure};
use crate::tank::{Material, RearChamber, Rock, Tank};
use crate::trace::Traced;

/// Adds the figures of this topic: `tank.…` for measures and volumes, `mass.…` for what the tank weighs.
///
/// # Errors
/// [`Error::NoAnswer`] for a tank in which sand and rock leave no water.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let glass = &tank.glass;
    let length = sheet.put(figure(id::LENGTH, || glass.outline.length()));
    let width = sheet.put(figure(id::WIDTH, || glass.outline.width()));
    let height = sheet.put(figure(id::HEIGHT, || glass.height));
    let pane = sheet.put(figure(id::PANE, || Thickness(glass.pane)));
    let fill_line = sheet.put(figure(id::FILL_LINE, || glass.fill_line));
    let noted = |measures: &[&Traced<Length>]| measures.iter().for_each(|measure| measure.note());
    let water_height = figure(id::WATER_HEIGHT, || *height - pane.0 - *fill_line);
    let water_height = sheet.put(water_height.says("height − pane − fill line"));
    let outside = figure(id::OUTSIDE, || {
        noted(&[&length, &width, &height]);
        glass.outside()
    });
    sheet.put(outside.says("floor plan × height"));
    let inside = figure(id::INSIDE_AREA, || {
        noted(&[&length, &width]);
        pane.note();
        glass.inside_area()
    });
    let inside = sheet.put(inside.says("floor plan, one pane in from each side"));
    let gross = figure(id::GROSS, || *inside * (*height - pane.0));
    sheet.put(gross.says("inside floor × (height − pane)"));
    let net = Traced::new(|| contents::net(tank, &rules.volume));
    let filled = figure(id::FILLED, || *inside * *water_height);
    let finer = digits_more(*filled.peek(), *net.peek());
    let filled = filled.says("inside floor × water height").with(|filled| Figure {
        finer,
        printed_like: vec![id::WATER.name().into()],
        ..filled
    });
    let filled = sheet.put(filled);
    let mut display = figure(id::DISPLAY_AREA, || {
        inside.note();
        tank.display_area()
    });
    let mut chamber_water = None;
    if let Some(RearChamber { depth }) = tank.rear_chamber {
        let depth = sheet.put(figure(id::REAR_CHAMBER_DEPTH, || depth));
        display = figure(id::DISPLAY_AREA, || {
            depth.note();
            inside.note();
            tank.display_area()
        });
        let water = figure(id::REAR_CHAMBER, || {
            noted(&[&depth, &water_height]);
            inside.note();
            contents::chamber(tank)
        });
        chamber_water = Some(sheet.put(water.says("floor of the chamber × water height")));
    }
    let display = sheet.put(display.says("inside floor − floor of the rear chamber"));
    if tank.rear_chamber.is_some() {
        let gross = figure(id::DISPLAY_GROSS, || {
            display.note();
            height.note();
            pane.note();
            contents::display_gross(tank)
        });
        sheet.put(gross.says("floor of the display × (height − pane)"));
    } else {
        let why = rules.words.volume.no_rear_chamber(&tank.name);
        sheet.lack(id::DISPLAY_GROSS, &*why);
        sheet.lack(id::REAR_CHAMBER, &*why);
        sheet.lack(id::REAR_CHAMBER_DEPTH, why);
    }
    if *net.peek() <= Volume::from_si(1e-3) {
        let why = "sand and rock take up all of it; check the depth of the sand and the mass of the rock"
            .to_owned();
        return Err(Error::NoAnswer { what: "there is no water in this tank", why });
    }
    let glass_volume = InGlass { filled, chamber: chamber_water };
    let sand = sand_figures(sheet, rules, tank, &glass_volume);
    let rock = rock_figures(sheet, rules, tank, &glass_volume);
    water_figures(sheet, tank, &glass_volume, [&sand, &rock], &rules.words.volume);
    mass_figures(sheet, rules, tank, [&sand, &rock])?;
    sheet.work(|| filled_volume_working(glass));
    unit_figures(sheet);
    Ok(())
}

/// The water that the glass holds, and what of it stands in the rear chamber.
struct InGlass {
    filled: Traced<Volume>,
    chamber: Option<Traced<Volume>>,
}

impl InGlass {
    /// The filled volume of the display.
    fn display(&self) -> Volume {
        *self.filled - self.chamber.as_ref().map_or_else(Volume::default, |chamber| **chamber)
    }
}

/// Sand or rock as its figures tell it.
struct Told {
    pushed_aside: Option<Traced<Volume>>,
    dry: Option<Traced<Mass>>,
}

impl Told {
    fn pushed_aside(&self) -> Volume {
        self.pushed_aside.as_ref().map_or_else(Volume::default, |volume| **volume)
    }

    fn dry(&self) -> Mass {
        self.dry.as_ref().map_or_else(Mass::default, |mass| **mass)
    }
}

/// How many digits more than usual the first of two volumes needs to be printed as finely as the second, so
/// that a reader can take what lies between them from it.
fn digits_more(whole: Volume, part: Volume) -> u32 {
    // Steps of two units, such as gallons and fluid ounces, do not compare.
    let step = |volume: Volume, system| {
        (
            shown_number(volume.into(), system, Rounding::Nearest).1,
            shown_step(volume.into(), system, Rounding::Nearest),
        )
    };
    let is_coarser = |system| {
        let ((unit, coarse), (other, fine)) = (step(whole, system), step(part, system));
        unit == other && coarse > fine * (1.0 + 1e-9)
    };
    u32::from([System::Metric, System::Us].into_iter().any(is_coarser))
}

/// What the sand pushes aside and weighs.
fn sand_figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank, glass: &InGlass) -> Told {
    if tank.sand.is_none() {
        let why = rules.words.sand.bare_floor(&tank.name);
        for part in [id::SAND.name(), id::SAND_SHARE.name(), id::MASS_SAND.name()] {
            sheet.lack(part, &*why);
        }
        return Told { pushed_aside: None, dry: None };
    }
    let (display, rules) = (sheet.maybe(id::DISPLAY_AREA), &rules.volume);
    let pushed_aside = figure(id::SAND, || {
        display.iter().for_each(Traced::note);
        contents::sand_aside(tank, rules)
    });
    let pushed_aside = sheet.put(pushed_aside.says("floor of the display × depth × (1 − porosity)"));
    let share = || Share((*pushed_aside / *glass.filled).si());
    let share = figure(id::SAND_SHARE, share);
    sheet.put(share.says("water pushed aside ÷ filled volume"));
    let dry = figure(id::MASS_SAND, || *pushed_aside * *rules.mineral_density);
    let dry = sheet.put(dry.says("grains × density"));
    Told { pushed_aside: Some(pushed_aside), dry: Some(dry) }
}

/// What the rock pushes aside and weighs, and how it compares with what is usual.
fn rock_figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank, glass: &InGlass) -> Told {
    let (rules, words) = (&rules.volume, &rules.words.volume);
    let usual = || Band {
        low: glass.display() * rules.usual_rock.low,
        high: glass.display() * rules.usual_rock.high,
    };
    let usual = figure(id::USUAL_ROCK, usual);
    let usual = sheet.put(usual.says("filled volume of the display × usual rock"));
    let Some(rock) = tank.rock else {
        let why = words.no_rock(&tank.name);
        let (share, says) = (id::ROCK_SHARE.name(), id::ROCK_SAYS.name());
        for part in [id::ROCK.name(), id::ROCK_JUDGED.name(), share, says, id::MASS_ROCK.name()] {
            sheet.lack(part, &*why);
        }
        return Told { pushed_aside: None, dry: None };
    };
    let by_volume = Traced::new(|| contents::dry_rock(tank, rules));
    // Of rock that was judged the mass is only a guess, and no scale can be told to have erred.
    let (pushed_aside, dry, too_much) = if let Rock::Judged(share) = rock {
        let judged = sheet.put(figure(id::ROCK_JUDGED, || share));
        let pushed_aside = figure(id::ROCK, || {
            judged.note();
            glass.filled.note();
            glass.chamber.iter().for_each(Traced::note);
            contents::rock_aside(tank, rules)
        });
        let pushed_aside = sheet.put(pushed_aside.says("filled volume of the display × share"));
        let dry = figure(id::MASS_ROCK, || {
            pushed_aside.note();
            *by_volume
        });
        let dry = sheet.put(dry.says("water pushed aside × (1 − porosity) × mineral density"));
        (pushed_aside, dry, words.too_much_judged())
    } else {
        sheet.lack(id::ROCK_JUDGED, words.rock_was_weighed(&tank.name));
        let dry = sheet.put(figure(id::MASS_ROCK, || *by_volume));
        let pushed_aside = figure(id::ROCK, || {
            dry.note();
            contents::rock_aside(tank, rules)
        });
        let pushed_aside = sheet.put(pushed_aside.says("rock mass ÷ mineral density ÷ (1 − porosity)"));
        (pushed_aside, dry, words.too_much_weighed())
    };
    let share = || Share((*pushed_aside / *glass.filled).si());
    let share = figure(id::ROCK_SHARE, share);
    sheet.put(share.says("water pushed aside ÷ filled volume"));
    let says = figure(id::ROCK_SAYS, || {
        let off = rules.weighing_error.0;
        let says = if *dry > usual.high * (1.0 + off) {
            too_much
        } else if *dry < usual.low * (1.0 - off) {
            words.little_rock()
        } else {
            words.usual_rock()
        };
        says.to_owned()
    });
    sheet.put(says.says("rock compared with what is usual, give or take what a weighing can be off"));
    Told { pushed_aside: Some(pushed_aside), dry: Some(dry) }
}

/// The net water, and all that is warmed and cleaned with it, by what the tank has.
fn water_figures(
    sheet: &mut Sheet,
    tank: &Tank,
    glass: &InGlass,
    [sand, rock]: [&Told; 2],
    words: &words::Volume,
) {
    let net = || glass.display() - sand.pushed_aside() - rock.pushed_aside();
    let net = figure(id::WATER, net);
    let net = sheet.put(net.says("filled − rear chamber − sand − rock, as far as there are any"));
    let mut sump = None;
    if tank.sump > Volume::default() {
        sump = Some(sheet.put(figure(id::SUMP, || tank.sump)));
    } else {
        let why = words.no_sump(&tank.name);
        sheet.lack(id::SUMP, &*why);
        sheet.lack(id::MASS_SUMP, why);
    }
    let (title, says) = match (tank.rear_chamber.is_some(), sump.is_some()) {
        (false, false) => (words.all_water_of_the_tank(), "net"),
        (false, true) => (words.all_water_with_sump(), "net + sump"),
        (true, false) => (words.all_water_with_chamber(), "net + rear chamber"),
        (true, true) => (words.all_water_with_both(), "net + rear chamber + sump"),
    };
    let more = |water: &Option<Traced<Volume>>| water.as_ref().map_or_else(Volume::default, |water| **water);
    sheet.put(figure(id::SYSTEM, || *net + more(&glass.chamber) + more(&sump)).titled(title).says(says));
}

/// What the filled tank weighs, with the water of its sump, which mostly stands beneath it on the same floor.
fn mass_figures(
    sheet: &mut Sheet,
    rules: &Rules,
    tank: &Tank,
    [sand, rock]: [&Told; 2],
) -> Result<(), Error> {
    let (rules, words) = (&rules.volume, &rules.words.volume);
    let (net, density) = (sheet.get(id::WATER)?, sheet.get(seawater::DENSITY)?);
    let chamber = sheet.maybe(id::REAR_CHAMBER);
    let water = || {
        let chamber = chamber.as_ref().map_or_else(Volume::default, |chamber| **chamber);
        // The water between the grains of sand is part of the net water already.
        let in_rock = tank.rock.map_or_else(Volume::default, |kind| {
            rock.pushed_aside() * contents::rock_porosity(kind, rules).0
        });
        (*net + chamber + in_rock) * *density
    };
    let water = figure(id::MASS_WATER, water);
    let water = sheet.put(water.says("all water in the glass × density"));
    let measures = [sheet.get(id::LENGTH)?, sheet.get(id::WIDTH)?, sheet.get(id::HEIGHT)?];
    let pane = sheet.get(id::PANE)?;
    let panes = figure(id::MASS_GLASS, || {
        measures.iter().for_each(Traced::note);
        pane.note();
        let density = match tank.material {
            Material::Glass => *rules.glass_density,
            Material::Acrylic => *rules.acrylic_density,
        };
        tank.glass.mass(density)
    });
    let panes = sheet.put(panes.says("(walls + base) × density"));
    let mut titles = [words.filled_tank(), words.presses()];
    let sump = sheet.maybe(id::SUMP);
    let sump = sump.map(|sump| {
        titles = [words.filled_tank_with_sump(), words.presses_with_sump()];
        sheet.put(figure(id::MASS_SUMP, || *sump * *density).says("water × density"))
    });
    let total = figure(id::MASS_TOTAL, || {
        let sump = sump.as_ref().map_or_else(Mass::default, |sump| **sump);
        *water + *panes + sand.dry() + rock.dry() + sump
    })
    .titled(titles[0]);
    let total = sheet.put(total.says("water + panes + sand + rock + water in the sump").never_below());
    let load = figure(id::MASS_FLOOR_LOAD, || {
        measures[..2].iter().for_each(Traced::note);
        floor_load(*total, tank.glass.footprint())
    })
    .titled(titles[1]);
    sheet.put(load.never_below());
    Ok(())
}

/// The gallons, for pages that tell them apart.
fn unit_figures(sheet: &mut Sheet) {
    sheet.put(figure(id::UNIT_US_GALLON, || volume_of("1 US gal")));
    sheet.put(figure(id::UNIT_IMPERIAL_GALLON, || volume_of("1 imp gal")));
    let inches = || Ratio::from_si(CUBIC_INCHES_IN_A_US_GALLON);
    sheet.put(figure(id::UNIT_US_GALLON_IN_CUBIC_INCHES, inches));
}

/// The size of a unit that is written in the code, so that it can always be read.
fn volume_of(entry: &str) -> Volume {
    crate::quantity::parse(entry).unwrap_or_default()
}

/// NIST Handbook 44, appendix C.
const CUBIC_INCHES_IN_A_US_GALLON: f64 = 231.0;

/// Floor × water height inside the glass, with a tape measure's digits; a box's floor is its length × width.
fn filled_volume_working(glass: &Glass) -> Working {
    let floor = |system| match glass.outline {
        Outline::Box { length, width } => {
            let inside = |side: Length| Item::of(side - glass.pane * 2.0, system);
            vec![(Op::First, inside(length)), (Op::Times, inside(width))]
        }
        // No tape measure gives the floor of another shape: its area stands for it, in the small unit that
        // suits the height.
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
    let formula = match glass.outline {
        Outline::Box { .. } => "inside length × inside width × water height",
        _ => "floor inside the glass × water height",
    };
    Working::new(
        "filled_volume",
        formula,
        vec![
            sum(System::Metric, Item::constant(1000.0, 0, "cm³/L"), "L"),
            sum(System::Us, Item::constant(CUBIC_INCHES_IN_A_US_GALLON, 0, "in³/US\u{a0}gal"), "US\u{a0}gal"),
        ],
        id::FILLED.name(),
    )
    .given(&[
        id::LENGTH.name(),
        id::WIDTH.name(),
        id::HEIGHT.name(),
        id::PANE.name(),
        id::FILL_LINE.name(),
    ])
}

#[cfg(test)]
mod tests;
