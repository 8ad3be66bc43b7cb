//! How hard the water bends the panes, on the sheet.

use super::ids::{glass as id, seawater, volume};
use crate::decide::glass::hardest_pane;
use crate::error::Error;
use crate::formulas::glass::{Pane, Rim, Verdict, compare, stress, stress_braced, thinnest};
use crate::formulas::volume::Outline;
use crate::quantity::Thickness;
use crate::rules::Rules;
use crate::rules::glass::GlassRules;
use crate::sheet::{Id, Sheet, figure, try_figure};
use crate::tank::{Material, Tank};
use crate::trace::Traced;

/// Adds the figures of this topic: `glass.…`.
///
/// # Errors
/// [`Error::OutOfRange`] for a tank that is too large for the sum.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let words = &rules.words.glass;
    let material = match tank.material {
        Material::Glass => words.glass(),
        Material::Acrylic => words.acrylic(),
    };
    sheet.put(figure(id::MATERIAL, || material.to_owned()));
    let rim = if tank.braced { words.braced() } else { words.free() };
    let rim = sheet.put(figure(id::RIM, || rim.to_owned()));
    let reached = match (tank.material, tank.glass.outline) {
        (Material::Acrylic, _) => words.reaches_no_acrylic(),
        (_, Outline::Cylinder { .. }) => words.reaches_no_curve(),
        (_, Outline::BowFront { .. }) => words.reaches_the_back_pane(),
        (_, Outline::Hexagon { .. }) => words.takes_seams_as_square(),
        (_, Outline::Box { .. }) => words.takes_the_longest_pane(),
    };
    sheet.put(figure(id::REACH, || reached.to_owned()));
    let (density, thickness) = (sheet.get(seawater::DENSITY)?, sheet.get(volume::PANE)?);
    let measures = [sheet.get(volume::LENGTH)?, sheet.get(volume::WIDTH)?, sheet.get(volume::HEIGHT)?];
    let pane = Traced::new(|| {
        let pane = hardest_pane(tank, *density.peek()).filter(|_| tank.material == Material::Glass)?;
        // Where the sum reaches no pane, none of these moves that.
        measures.iter().for_each(Traced::note);
        rim.note();
        density.note();
        Some(pane)
    });
    if pane.peek().is_some() {
        put_sums(sheet, rules, tank, &pane)?;
    }
    let verdict = Traced::ok(|| match *pane {
        None if tank.material == Material::Acrylic => Ok(Verdict::Acrylic),
        None => Ok(Verdict::Curved),
        Some(pane) => compare(&pane, thickness.0, &rules.glass),
    })?;
    if pane.peek().is_none() {
        let why = words.no_sum(&tank.name, verdict.peek().words(words));
        for part in [id::STRESS.name(), id::USUAL_PANE.name(), id::BRACED_PANE.name()] {
            sheet.lack(part, &*why);
        }
    }
    const COMPARED: &str = "pane compared with the usual ones";
    let told = || verdict.words(words).to_owned();
    let compared = figure(id::VERDICT, told);
    sheet.put(compared.says(COMPARED));
    // A page warns under the condition that one of these is there.
    for (odd, which) in
        [(id::LIMIT, Verdict::AtTheLimit), (id::THIN, Verdict::Thin), (id::THICK, Verdict::Thick)]
    {
        if *verdict.peek() == which {
            sheet.put(figure(odd, told).says(COMPARED));
        }
    }
    Ok(())
}

/// The stress in the hardest pane, and the panes that such a tank is usually built with.
fn put_sums(sheet: &mut Sheet, rules: &Rules, tank: &Tank, pane: &Traced<Option<Pane>>) -> Result<(), Error> {
    let (rules, words) = (&rules.glass, &rules.words.glass);
    let Some(hardest) = *pane.peek() else { return Ok(()) };
    let thickness = sheet.get(volume::PANE)?;
    let bent = || {
        pane.note();
        let Pane { length, height, rim, water } = hardest;
        match rim {
            Rim::Free => stress(length, height, thickness.0, water, rules),
            Rim::Braced => stress_braced(length, height, thickness.0, water, rules),
        }
    };
    sheet.put(try_figure(id::STRESS, bent)?.never_below());
    let told = Traced::ok(|| {
        pane.note();
        thinnest(&hardest, rules)
    })?;
    let braced = Traced::ok(|| {
        pane.note();
        thinnest(&Pane { rim: Rim::Braced, ..hardest }, rules)
    })?;
    put_usual(sheet, rules, id::USUAL_PANE, &told);
    if hardest.rim == Rim::Braced {
        sheet.lack(id::BRACED_PANE, words.is_braced_already(&tank.name));
    } else if *braced.peek() >= *told.peek() {
        sheet.lack(id::BRACED_PANE, words.braces_make_no_difference(&tank.name));
    } else {
        put_usual(sheet, rules, id::BRACED_PANE, &braced);
    }
    Ok(())
}

fn put_usual(sheet: &mut Sheet, rules: &GlassRules, id: Id<Thickness>, pane: &Traced<Thickness>) {
    let says = "√(factor × density × gravity × height³ ÷ most stress), no thinner than small panes";
    let thinnest = figure(id, || **pane).says(says);
    // Small panes are no sum, and print as their rule does.
    let is_sum = Traced::new(|| pane.0 > rules.small_panes.low.0);
    sheet.put(if *is_sum.peek() { thinnest.never_below() } else { thinnest });
}

#[cfg(test)]
mod tests;
