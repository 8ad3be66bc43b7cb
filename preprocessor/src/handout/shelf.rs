//! The sheets as pages of the site: read on a screen, turned to a reader's own tank, printed from there.

use std::fs;
use std::path::Path;

use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::edition::Settings;
use crate::files::files;
use crate::handout::in_site;
use crate::handout::page::Stand;
use crate::proof::ledger::Ledger;
use crate::site::SHEETS;

/// The scripts of the site that a sheet loads, as they are called before mdBook puts letters of their content behind:
/// the theme's, which has the switch of units and loads what reckons, and the sheet's own.
const SCRIPTS: [&str; 2] = ["theme/reckoner", "sheet"];

/// The page that leads to the sheets, and the first page for an edition without it.
const BACK: [&str; 2] = ["a-page-to-print.html", "index.html"];

/// Puts the sheets of the book in `root` into its finished site, and gives the figures that they print.
///
/// # Errors
/// As [`handout::make`](crate::handout::make); a file that can not be written.
pub fn put(site: &Path, root: &Path, settings: &Settings) -> Result<Ledger, Diagnostics> {
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
    let back = BACK.into_iter().find(|page| all.iter().any(|file| file == page)).unwrap_or_default();
    let stand = Stand::InSite { scripts, back: back.to_owned() };
    let (sheets, ledger) = in_site(root, settings, stand)?;
    let folder = site.join(SHEETS);
    if !sheets.is_empty() {
        fs::create_dir_all(&folder).map_err(|error| cannot(&folder, error))?;
    }
    for (name, page) in sheets {
        let file = folder.join(format!("{name}.html"));
        fs::write(&file, page).map_err(|error| cannot(&file, error))?;
    }
    Ok(ledger)
}
