//! The sheets as pages of the site: read on a screen, turned to a reader's own tank, printed from there.

use std::fs;
use std::path::Path;

use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::edition::Settings;
use crate::files::files;
use crate::handout::page::Stand;
use crate::handout::{Order, in_site};
use crate::site::SHEETS;

/// The scripts of the site that a sheet loads, as they are called before mdBook puts letters of their content behind:
/// the theme's, which has the switch of units and loads what reckons, and the sheet's own.
const SCRIPTS: [&str; 2] = ["theme/reckoner", "sheet"];

/// Puts the sheets of the book in `root` into its finished site.
///
/// # Errors
/// As [`handout::make`](crate::handout::make); a file that can not be written.
pub fn put(site: &Path, root: &Path, settings: &Settings) -> Result<(), Diagnostics> {
    let cannot = |file: &Path, error: std::io::Error| {
        Diagnostics::from(Diagnostic::plain(format!("cannot write `{}`: {error}", file.display())))
    };
    let all = files(site).map_err(|error| cannot(site, error))?;
    let script = |name: &str| {
        all.iter().find(|file| {
            let rest = file.strip_prefix(name).and_then(|rest| rest.strip_suffix(".js"));
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('-'))
        })
    };
    let scripts = SCRIPTS.iter().filter_map(|name| script(name).cloned()).collect();
    let sheets = in_site(root, settings, &Order::default(), Stand::InSite(scripts))?;
    let folder = site.join(SHEETS);
    if !sheets.is_empty() {
        fs::create_dir_all(&folder).map_err(|error| cannot(&folder, error))?;
    }
    for (name, page) in sheets {
        let file = folder.join(format!("{name}.html"));
        fs::write(&file, page).map_err(|error| cannot(&file, error))?;
    }
    Ok(())
}
