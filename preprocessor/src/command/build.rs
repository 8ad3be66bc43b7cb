//! `reckoner build`: the book, whole or not at all.

use std::path::Path;
use std::sync::PoisonError;

use reckoner_page::tank_file;

use crate::command::compare::{self, page};
use crate::command::{BookArgs, Opened};
use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::edition::{Texts, load_changes, load_club, load_rules};
use crate::files::shown_path;
use crate::handout::shelf;
use crate::proof::ledger::Ledger;
use crate::site;
use crate::site::dress;
use crate::site::engine::{self, ENGINE};
use crate::site::links::{LEDGER, LEDGER_SCHEMA, TANK_SCHEMA};
use crate::site::typeset::{Added, Reckoner};
use crate::wasm;

/// Builds the book with its ledger, into `output` or where `book.toml` says.
///
/// - `since`: an earlier book, as [`compare::with`] takes it; a page tells what changed since then
///
/// # Errors
/// As [`site::build_site`] and [`compare::with`].
pub fn run(book: &BookArgs, output: Option<&Path>, since: Option<&str>) -> Result<(), Diagnostics> {
    let opened = book.open()?;
    let added = since.map(|since| opened.told(what_changed(&opened, since))).transpose()?;
    let reckoner = Reckoner { added, ..opened.reckoner() };
    let output = output.or(opened.own.as_ref().map(|own| own.site.as_path()));
    let site = opened.told(site::build_site(&opened.root, reckoner.clone(), output, |folder| {
        add_files(folder, &opened.root, &reckoner)
    }))?;
    opened.told(opened.note_differences())?;
    for warning in site.warnings {
        eprintln!("warning: {warning}");
    }
    eprintln!("The book is in {}", shown_path(&site.folder.join("index.html")));
    Ok(())
}

/// The page about what changed since an earlier book.
fn what_changed(opened: &Opened, since: &str) -> Result<Added, Diagnostics> {
    let is_revision = !Path::new(since).exists();
    if is_revision && opened.own.is_some() {
        let message = format!("there is no folder of rules and no ledger `{since}`");
        let hint = "the edition of a club has no revisions: name the ledger.json of an earlier site, such as site/ledger.json";
        return Err(Diagnostic::plain(message).hint(hint).into());
    }
    let comparison = compare::with(since, &opened.root, &opened.settings)?;
    let settings = site::settings(&opened.root, &opened.settings)?;
    let log = load_changes(&opened.root, &settings, &load_rules(&opened.root, &settings)?)?;
    let markdown = page::page(&comparison, since, &log);
    Ok(Added { title: page::title(&comparison, since), path: page::FILE.to_owned(), markdown })
}

/// Puts beside the pages the ledger with its schema, that of tank files, and what the pages need to reckon a
/// reader's own tank; the sheets for paper; and dresses the pages as the club asks for.
pub(crate) fn add_files(folder: &Path, root: &Path, reckoner: &Reckoner) -> Result<(), Diagnostics> {
    let settings = site::settings(root, &reckoner.overrides)?;
    let rules = load_rules(root, &settings)?;
    let sheets = shelf::put(folder, root, &settings)?;
    dress::dress(folder, &load_club(&settings.club_file(root))?)?;
    write_file(&folder.join(TANK_SCHEMA), &tank_file::schema(&rules))?;
    let ledger = reckoner.ledger.lock().unwrap_or_else(PoisonError::into_inner);
    let ledger = ledger.as_ref().ok_or_else(|| Diagnostic::plain("the book was built without its ledger"))?;
    let ledger = ledger.clone().with_sheets(sheets, site::HANDOUTS);
    match wasm::fresh() {
        Some(wasm) => write_file(
            &folder.join(ENGINE),
            &engine::script(wasm, &Texts::read(root, &settings)?, &rules, &ledger.checks),
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
