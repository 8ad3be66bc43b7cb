//! `reckoner check`: all checks, and nothing written.
//!
//! The site is built in a folder of its own, which is thrown away: what mdBook finds wrong with a page, and
//! which links of the finished site are dead, is known only then.

use std::sync::PoisonError;

use crate::chapter::plain;
use crate::chapter::reading::{self, Reading};
use crate::command::build::add_files;
use crate::command::{BookArgs, print};
use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::handout;
use crate::site;

/// Takes the book through all checks; with `reading` it also tells how hard each page is to read.
///
/// # Errors
/// Everything that is wrong; a book that checks nothing.
pub fn run(book: &BookArgs, reading: bool) -> Result<(), Diagnostics> {
    let opened = book.open()?;
    let reckoner = opened.reckoner();
    let thrown_away = tempfile::tempdir()
        .map_err(|error| Diagnostic::plain(format!("there is no room to build in: {error}")))?;
    let folder = thrown_away.path().join("site");
    let site = site::build_site(&opened.root, reckoner.clone(), Some(&folder), |folder| {
        add_files(folder, &opened.root, &reckoner)
    });
    let sheets = site::settings(&opened.root, &reckoner.overrides)
        .and_then(|settings| handout::check(&opened.root, &settings));
    let (site, sheets) = opened.told(both(site, sheets))?;
    opened.told(opened.note_differences())?;
    for warning in site.warnings {
        eprintln!("warning: {warning}");
    }
    let ledger = reckoner.ledger.lock().unwrap_or_else(PoisonError::into_inner).take();
    let Some(ledger) = ledger.filter(|ledger| !ledger.checks.is_empty()) else {
        let hint = "a book that checks nothing proves nothing: add a fenced `check` block";
        return Err(Diagnostic::plain("the book holds no check").hint(hint).into());
    };
    eprintln!(
        "{} pages and {} sheets to hand out, {} figures: {} checks, {} sums and {} claims in words hold; nothing was written",
        site.pages,
        sheets.count,
        ledger.figures.len(),
        ledger.checks.len(),
        ledger.sums + sheets.ledger.sums,
        ledger.claims.len() + sheets.ledger.claims.len()
    );
    if reading {
        print(&reading_table(&site::rendered_pages(&opened.root, reckoner, "html")?))
    } else {
        Ok(())
    }
}

/// Both, or everything that is wrong with either; what is wrong with what both are made from is told once.
fn both<A, B>(one: Result<A, Diagnostics>, other: Result<B, Diagnostics>) -> Result<(A, B), Diagnostics> {
    match (one, other) {
        (Ok(one), Ok(other)) => Ok((one, other)),
        (one, other) => {
            let mut errors = one.err().unwrap_or_default();
            let more = other.err().unwrap_or_default().0.into_iter();
            let more: Vec<_> = more.filter(|error| !errors.0.contains(error)).collect();
            errors.0.extend(more);
            Err(errors)
        }
    }
}

/// Page by page: the grade, words a sentence, the longest sentence, the share of very short ones.
fn reading_table(pages: &[(String, String)]) -> String {
    let mut out = format!(
        "{:<40} {:>6} {:>6} {:>9} {:>8} {:>6}\n",
        "page", "words", "grade", "sentence", "longest", "short"
    );
    for (path, text) in pages {
        if let Some(Reading { words, words_a_sentence, longest, short, grade }) =
            reading::measure(&plain::blocks(text))
        {
            let short = format!("{:.0} %", 100.0 * short);
            out.push_str(&format!(
                "{path:<40} {words:>6} {grade:>6.1} {words_a_sentence:>9.1} {longest:>8} {short:>6}\n"
            ));
        }
    }
    out
}
