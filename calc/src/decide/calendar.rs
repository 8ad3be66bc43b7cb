//! When each care is due.

use uom::si::f64::Time;

use crate::formulas::calendar::{DAY, Date, Repeat};
use crate::quantity::Dimension;
use crate::rules::Rules;
use crate::rules::upkeep::Care;
use crate::tank::Tank;

/// A care in the calendar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Due {
    /// Which.
    pub care: Care,
    /// For which pump, by its name; `None` for a care that is not one pump's.
    pub pump: Option<String>,
    /// What to do.
    pub title: String,
    /// What to know beside it.
    pub note: String,
    /// When it is due for the first time.
    pub first: Date,
    /// When again.
    pub repeat: Repeat,
}

/// Every care of a tank whose pumps are clean and whose devices were tried on the day on which the calendar
/// begins: each is due again after its interval. A care of one pump comes for one pump after the other, some
/// days apart. What the tank lacks needs no care, and the daily look needs no calendar.
pub fn due(rules: &Rules, tank: &Tank, from: Date) -> Vec<Due> {
    let between = libm::rint((*rules.upkeep.between_pumps / Time::from_si(DAY)).si()).max(0.0) as u32;
    let mut found = Vec::new();
    for care in Care::ALL.into_iter().filter(|care| *care != Care::Look && care.is_due_for(tank)) {
        let rule = rules.rule(&format!("upkeep.{}", care.key()));
        let (title, note) =
            rule.map_or_else(Default::default, |rule| (rule.title.clone(), rule.note.clone()));
        let mut add = |pump: Option<String>, from: Date| {
            let (begins, repeat) = Repeat::of(rules.upkeep.interval(care), from);
            found.push(Due {
                care,
                pump,
                title: title.clone(),
                note: note.clone(),
                first: repeat.after(begins),
                repeat,
            });
        };
        if care.is_of_one_pump() && !tank.pumps.is_empty() {
            for (at, pump) in (0_u32..).zip(&tank.pumps) {
                add(Some(pump.name.clone()), from.days_later(at * between));
            }
        } else {
            add(None, from);
        }
    }
    found
}

impl Care {
    /// Whether a tank has what it is about. A residual-current device belongs to every tank, named in its
    /// file or not.
    pub fn is_due_for(self, tank: &Tank) -> bool {
        self != Care::BatteryTest || tank.battery.is_some() || tank.air_pump.is_some()
    }
}

#[cfg(test)]
mod tests;
