//! `reckoner build`: the book, whole or not at all.

use std::path::Path;
use std::sync::PoisonError;

use reckoner_page::tank_file;

use crate::command::BookArgs;
use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::edition::load_rules;
use crate::files::shown_path;
use crate::proof::ledger::Ledger;
use crate::site;
use crate::site::links::{LEDGER, LEDGER_SCHEMA, TANK_SCHEMA};
use crate::site::typeset::Reckoner;

/// Builds the book with its ledger, into `output` or where `book.toml` says.
///
/// # Errors
/// As [`site::build_site`].
pub fn run(book: &BookArgs, output: Option<&Path>) -> Result<(), Diagnostics> {
    let reckoner = book.reckoner()?;
    let site = site::build_site(&book.book, reckoner.clone(), output, |folder| add_files(folder, book, &reckoner))?;
    for warning in site.warnings {
        eprintln!("warning: {warning}");
    }
    eprintln!("The book is in {}", shown_path(&site.folder.join("index.html")));
    Ok(())
}

/// Puts the ledger beside the pages, with its schema and that of tank files.
pub(crate) fn add_files(folder: &Path, book: &BookArgs, reckoner: &Reckoner) -> Result<(), Diagnostics> {
    let rules = load_rules(&book.book, &site::settings(&book.book, &reckoner.overrides)?)?;
    write_file(&folder.join(TANK_SCHEMA), &tank_file::schema(&rules))?;
    let ledger = reckoner.ledger.lock().unwrap_or_else(PoisonError::into_inner);
    let ledger = ledger.as_ref().ok_or_else(|| Diagnostic::plain("the book was built without its ledger"))?;
    write_file(&folder.join(LEDGER), &ledger.to_json())?;
    write_file(&folder.join(LEDGER_SCHEMA), &Ledger::schema())
}

fn write_file(file: &Path, text: &str) -> Result<(), Diagnostics> {
    std::fs::write(file, text).map_err(|error| Diagnostic::plain(format!("cannot write `{}`: {error}", file.display())).into())
}
