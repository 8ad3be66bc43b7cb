//! `reckoner build`: the book, whole or not at all.

use std::path::Path;
use std::sync::PoisonError;

use reckoner_page::tank_file;

use crate::command::BookArgs;
use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::edition::{Texts, load_rules};
use crate::files::shown_path;
use crate::proof::ledger::Ledger;
use crate::site;
use crate::site::engine::{self, ENGINE};
use crate::site::links::{LEDGER, LEDGER_SCHEMA, TANK_SCHEMA};
use crate::site::typeset::Reckoner;
use crate::wasm;

/// Builds the book with its ledger, into `output` or where `book.toml` says.
///
/// # Errors
/// As [`site::build_site`].
pub fn run(book: &BookArgs, output: Option<&Path>) -> Result<(), Diagnostics> {
    let reckoner = book.reckoner()?;
    let site =
        site::build_site(&book.book, reckoner.clone(), output, |folder| add_files(folder, book, &reckoner))?;
    for warning in site.warnings {
        eprintln!("warning: {warning}");
    }
    eprintln!("The book is in {}", shown_path(&site.folder.join("index.html")));
    Ok(())
}

/// Puts beside the pages the ledger with its schema, that of tank files, and what the pages need to reckon a
/// reader's own tank.
pub(crate) fn add_files(folder: &Path, book: &BookArgs, reckoner: &Reckoner) -> Result<(), Diagnostics> {
    let settings = site::settings(&book.book, &reckoner.overrides)?;
    let rules = load_rules(&book.book, &settings)?;
    write_file(&folder.join(TANK_SCHEMA), &tank_file::schema(&rules))?;
    let ledger = reckoner.ledger.lock().unwrap_or_else(PoisonError::into_inner);
    let ledger = ledger.as_ref().ok_or_else(|| Diagnostic::plain("the book was built without its ledger"))?;
    match wasm::fresh() {
        Some(wasm) => write_file(
            &folder.join(ENGINE),
            &engine::script(wasm, &Texts::read(&book.book, &settings)?, &rules, &ledger.checks),
        )?,
        None => eprintln!("warning: the pages reckon no reader's tank: {}", wasm::STALE),
    }
    write_file(&folder.join(LEDGER), &ledger.to_json())?;
    write_file(&folder.join(LEDGER_SCHEMA), &Ledger::schema())
}

fn write_file(file: &Path, text: &str) -> Result<(), Diagnostics> {
    std::fs::write(file, text)
        .map_err(|error| Diagnostic::plain(format!("cannot write `{}`: {error}", file.display())).into())
}
