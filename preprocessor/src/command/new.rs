//! `reckoner new`: files to begin with.

use std::collections::hash_map::RandomState;
use std::fs::OpenOptions;
use std::hash::{BuildHasher as _, Hasher as _};
use std::io::{ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use reckoner_page::tank_file::{ID, example};

use crate::diagnostic::{Diagnostic, Diagnostics};
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
    let rules = load_rules(Path::new(""), &Settings { rules, tank: None })?;
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
