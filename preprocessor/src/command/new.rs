//! `reckoner new`: files to begin with.

use std::collections::hash_map::RandomState;
use std::fs::{self, OpenOptions};
use std::hash::{BuildHasher as _, Hasher as _};
use std::io::{ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use reckoner_page::tank_file::{ID, example};

use crate::command::load_rules_here;
use crate::command::own::{RULES, SETTINGS, TANKS, VERSION};
use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::edition::club::PAGES;
use crate::edition::difference::said;
use crate::edition::{Settings, load_rules};
use crate::files::shown_path;

/// Writes the example tank file and says so.
///
/// # Errors
/// As [`write_tank`].
pub fn run(file: &Path, rules: Option<PathBuf>) -> Result<(), Diagnostics> {
    write_tank(file, rules)?;
    eprintln!("An example tank is in {}; change what differs from yours", shown_path(file));
    Ok(())
}

/// Writes the example tank file, with the livestock and the usual values of the rules.
///
/// # Errors
/// What is wrong in the rules; a file of that name that is there already, which stays as it is; a place that
/// can not be written to.
pub fn write_tank(file: &Path, rules: Option<PathBuf>) -> Result<(), Diagnostics> {
    let rules = load_rules_here(rules)?;
    let opened = OpenOptions::new().write(true).create_new(true).open(file);
    // No two files that are begun share an id, so that a calendar keeps their tanks apart.
    let id = format!("{:016x}", RandomState::new().build_hasher().finish());
    let text = example(&rules).replace(ID, &id);
    let written = opened.and_then(|mut file| file.write_all(text.as_bytes()));
    written.map_err(|error| {
        let name = shown_path(file);
        let told = match error.kind() {
            ErrorKind::AlreadyExists => Diagnostic::plain(format!("`{name}` is there already"))
                .hint("give another name: reckoner new tank FILE"),
            _ => Diagnostic::plain(format!("cannot write `{name}`: {error}")),
        };
        told.into()
    })
}

/// The files of a club's folder, but for its tank: the folder, the name, and the text.
const OF_CLUB: [(&str, &str, &str); 6] = [
    ("", "club.toml", include_str!("new/club.toml")),
    ("", SETTINGS, include_str!("new/reckoner.toml")),
    ("", "README.md", include_str!("new/README.md")),
    ("", ".gitignore", "/site/\n/.reckoner-*/\n"),
    (RULES, "livestock.toml", include_str!("new/livestock.toml")),
    (PAGES, "about-us.md", include_str!("new/about-us.md")),
];

/// Writes the folder of a club's own edition and says how it is built.
///
/// # Errors
/// As [`write_club`].
pub fn club(folder: &Path) -> Result<(), Diagnostics> {
    write_club(folder)?;
    let name = shown_path(folder);
    eprintln!("The folder of your club is {name}; its README.md says what is in it");
    eprintln!("Build its edition of the book: reckoner build --club {name}");
    Ok(())
}

/// Writes the folder of a club's own edition: its file, a tank, a page and a rule to change, and the settings.
///
/// # Errors
/// A folder that holds something already; a place that can not be written to.
pub fn write_club(folder: &Path) -> Result<(), Diagnostics> {
    let cannot =
        |error: std::io::Error| Diagnostic::plain(format!("cannot write `{}`: {error}", shown_path(folder)));
    if fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_some()) {
        let message = format!("`{}` holds files already", shown_path(folder));
        return Err(Diagnostic::plain(message).hint("name a new or an empty folder").into());
    }
    let rules = load_rules(Path::new(""), &Settings::default())?;
    // What the book says of the rule in the example, in its own words.
    let of_example = rules.rule("turnover.soft").map(said).unwrap_or_default();
    for (inside, name, text) in OF_CLUB {
        let text = text.replace("{version}", VERSION).replace("{instead_of}", &of_example);
        let folder = folder.join(inside);
        fs::create_dir_all(&folder).and_then(|()| fs::write(folder.join(name), text)).map_err(cannot)?;
    }
    fs::create_dir_all(folder.join(TANKS)).map_err(cannot)?;
    write_tank(&folder.join(TANKS).join("our_tank.toml"), None)
}
