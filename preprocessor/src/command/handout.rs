//! `reckoner handout`: sheets and chapters for paper, all of them or none.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

use crate::command::BookArgs;
use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::files::shown_path;
use crate::handout::browser::Browser;
use crate::handout::{self, Made, Order, pdf};

/// Writes what is asked for into a folder: HTML, and PDF where a browser is found and wanted.
///
/// # Errors
/// As [`handout::make`]; a browser that does not print; a file that can not be written.
pub fn run(book: &BookArgs, order: &Order, folder: &Path, with_pdf: bool) -> Result<(), Diagnostics> {
    if order.names.is_empty() && !order.is_booklet {
        let hint = "name sheets or chapters, or ask for the whole book with `--booklet`";
        return Err(Diagnostic::plain("nothing is named").hint(hint).into());
    }
    let opened = book.open()?;
    let made = opened.told(handout::make(&opened.root, &opened.settings, order))?;
    let browser = if with_pdf { Browser::find()? } else { None };
    let cannot = |path: &Path, error: std::io::Error| {
        Diagnostics::from(Diagnostic::plain(format!("cannot write `{}`: {error}", shown_path(path))))
    };
    fs::create_dir_all(folder).map_err(|error| cannot(folder, error))?;
    let hidden = tempfile::Builder::new()
        .prefix(".reckoner-")
        .tempdir_in(folder)
        .map_err(|error| cannot(folder, error))?;
    // The browser is given whole paths.
    let work = fs::canonicalize(hidden.path()).map_err(|error| cannot(folder, error))?;
    let mut written = Vec::new();
    for handout in made {
        let page = match &handout.page {
            Made::Whole(page) => page.clone(),
            Made::Booklet(booklet) => booklet.page(&BTreeMap::new()),
        };
        let html = work.join(format!("{}.html", handout.name));
        fs::write(&html, &page).map_err(|error| cannot(&html, error))?;
        written.push(format!("{}.html", handout.name));
        let Some(browser) = &browser else { continue };
        let mut printed = browser.print(&html)?;
        if let Made::Booklet(booklet) = &handout.page {
            match pdf::pages_of_marks(&printed) {
                Some(pages) => {
                    fs::write(&html, booklet.page(&pages)).map_err(|error| cannot(&html, error))?;
                    printed = browser.print(&html)?;
                }
                None => eprintln!(
                    "warning: the contents of {} have no page numbers: this browser prints in a way that this program can not read",
                    handout.name
                ),
            }
        }
        if !pdf::settle(&mut printed, order.date) {
            eprintln!(
                "warning: {}.pdf bears the time of printing: this browser writes it in a way that this program can not read",
                handout.name
            );
        }
        let file = work.join(format!("{}.pdf", handout.name));
        fs::write(&file, printed).map_err(|error| cannot(&file, error))?;
        written.push(format!("{}.pdf", handout.name));
    }
    put(&hidden, &written, folder)?;
    for name in &written {
        eprintln!("{}", shown_path(&folder.join(name)));
    }
    if with_pdf && browser.is_none() {
        eprintln!(
            "No PDF: neither Chromium nor Chrome was found. Open the HTML in any browser and print it from there."
        );
    }
    Ok(())
}

/// Moves files into their folder; where one can not be moved, all that stood there before stands there again.
fn put(hidden: &TempDir, names: &[String], folder: &Path) -> Result<(), Diagnostics> {
    let old = hidden.path().join("old");
    let mut moved: Vec<(PathBuf, Option<PathBuf>)> = Vec::new();
    let done = fs::create_dir(&old).and_then(|()| {
        names.iter().try_for_each(|name| {
            let (to, kept) = (folder.join(name), old.join(name));
            let stood = to.exists();
            if stood {
                fs::rename(&to, &kept)?;
            }
            moved.push((to.clone(), stood.then_some(kept)));
            fs::rename(hidden.path().join(name), &to)
        })
    });
    done.map_err(|error| {
        for (to, kept) in moved.iter().rev() {
            // Whatever can be put back is.
            _ = fs::remove_file(to);
            if let Some(kept) = kept {
                _ = fs::rename(kept, to);
            }
        }
        Diagnostic::plain(format!("cannot write into `{}`: {error}", shown_path(folder))).into()
    })
}
