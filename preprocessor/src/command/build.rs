//! `reckoner build`: the book, whole or not at all.

use std::path::Path;
use std::sync::{Mutex, PoisonError};

use crate::command::BookArgs;
use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::files::shown_path;
use crate::proof::ledger::Ledger;
use crate::site;
use crate::site::links::{LEDGER, LEDGER_SCHEMA};

/// Builds the book with its ledger, into `output` or where `book.toml` says.
///
/// # Errors
/// As [`site::build_site`].
pub fn run(book: &BookArgs, output: Option<&Path>) -> Result<(), Diagnostics> {
    let reckoner = book.reckoner()?;
    let ledger = reckoner.ledger.clone();
    let site = site::build_site(&book.book, reckoner, output, |folder| add_ledger(folder, &ledger))?;
    for warning in site.warnings {
        eprintln!("warning: {warning}");
    }
    eprintln!("The book is in {}", shown_path(&site.folder.join("index.html")));
    Ok(())
}

/// Puts the ledger and its schema beside the pages.
pub(crate) fn add_ledger(folder: &Path, ledger: &Mutex<Option<Ledger>>) -> Result<(), Diagnostics> {
    let ledger = ledger.lock().unwrap_or_else(PoisonError::into_inner);
    let ledger = ledger.as_ref().ok_or_else(|| Diagnostic::plain("the book was built without its ledger"))?;
    write_file(&folder.join(LEDGER), &ledger.to_json())?;
    write_file(&folder.join(LEDGER_SCHEMA), &Ledger::schema())
}

fn write_file(file: &Path, text: &str) -> Result<(), Diagnostics> {
    std::fs::write(file, text).map_err(|error| Diagnostic::plain(format!("cannot write `{}`: {error}", file.display())).into())
}
