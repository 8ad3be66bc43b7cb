//! `reckoner calendar`: the care calendar of one tank.

use std::path::{Path, PathBuf};

use reckoner_calc::formulas::calendar::Date;
use reckoner_page::calendar;

use crate::command::{load_rules_here, print};
use crate::diagnostic::Diagnostics;
use crate::edition::load_tank;
use crate::files::shown_path;

/// Prints the care calendar of a tank on which all was clean and tried on the day `from`.
///
/// # Errors
/// What is wrong in the tank or the rules.
pub fn run(tank: &Path, from: Date, rules: Option<PathBuf>) -> Result<(), Diagnostics> {
    let rules = load_rules_here(rules)?;
    let file = shown_path(tank);
    let tank = load_tank(tank, &rules, None)?;
    if tank.id == tank.name {
        eprintln!(
            "{file} has no `id`, so a calendar takes it for another tank when its name changes: write one, such as \
             id = \"our-reef-in-the-hall\""
        );
    }
    print(&calendar::calendar(&rules, &tank, from, calendar::Made::now()))
}
