//! A club's own edition: its folder holds the club's file, rules, tanks and pages, and the program brings the
//! book.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use reckoner_calc::document::{self, Problem};
use tempfile::TempDir;

use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::edition::club::PAGES;
use crate::edition::{BOOK, Settings};
use crate::files::{files, placed, read_file, shown_path, toml_files};

/// The file by which a folder is that of a club's own edition.
pub const SETTINGS: &str = "reckoner.toml";
/// The folder of a club's rules, in its own.
pub const RULES: &str = "rules";
/// The folder of a club's tanks.
pub const TANKS: &str = "tanks";
/// Where a book is looked for.
pub const BOOK_FOLDER: &str = "book";
/// Where the site of a club goes, in its folder.
pub const SITE: &str = "site";

/// The version of this program and of the book that it brings.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

/// The files of the book that the program brings: the path of each in the folder of the book, and what it holds.
pub type Carried = &'static [(&'static str, &'static [u8])];

/// A club's edition, ready to be built.
#[derive(Debug)]
pub struct Own {
    /// The folder with the book and the club's pages; it is thrown away when the edition is.
    book: TempDir,
    /// The club's folder, as messages name it.
    shown: String,
    /// What takes the place of the book's settings.
    pub settings: Settings,
    /// The folder in which the site is put.
    pub site: PathBuf,
    /// What whoever builds it should know.
    pub notes: Vec<String>,
}

/// The rules that the command line names; else those of the club in whose folder this is called, where it has any.
pub fn rules_here(named: Option<PathBuf>) -> Option<PathBuf> {
    named.or_else(|| is_here(Path::new(BOOK_FOLDER)).then(|| rules_of(Path::new(""))).flatten())
}

/// Whether this is called in the folder of a club, and there is no book where it would be.
pub fn is_here(book: &Path) -> bool {
    !book.join(BOOK).exists() && Path::new(SETTINGS).is_file()
}

/// The rules of the club in a folder, where it has any.
fn rules_of(club: &Path) -> Option<PathBuf> {
    let rules = club.join(RULES);
    // One that can not be read is told by whoever reads it.
    let is_empty = !rules.is_dir() || toml_files(&rules).is_ok_and(|files| files.is_empty());
    (!is_empty).then_some(rules)
}

/// What the settings file of a club says.
#[derive(Debug, PartialEq, Eq)]
struct Said {
    version: String,
    tank: Option<PathBuf>,
}

impl Own {
    /// Puts together the edition of the club in `folder`.
    ///
    /// # Errors
    /// A settings file that is missing or wrong, a page without a heading, a file that can not be read; a
    /// program that brings no book.
    pub fn open(folder: &Path, carried: Carried) -> Result<Self, Diagnostics> {
        if carried.is_empty() {
            return Err(Diagnostic::plain("this program brings no book").into());
        }
        let file = folder.join(SETTINGS);
        if !file.is_file() {
            let message = format!("`{}` is no folder of a club: it has no {SETTINGS}", shown_path(folder));
            let hint = format!("begin one: reckoner new club {}", shown_path(folder));
            return Err(Diagnostic::plain(message).hint(hint).into());
        }
        let cannot = |what: &Path, error: &io::Error| cannot(what, error);
        let folder = fs::canonicalize(folder).map_err(|error| cannot(folder, &error))?;
        let (name, text) = (shown_path(&file), read_file(&file)?);
        let said = read_settings(&name, &text)
            .map_err(|problems| placed(problems, |name| (name.to_owned(), text.clone())))?;
        let settings = Settings {
            tank: said.tank.map(|tank| folder.join(tank)),
            rules: rules_of(&folder),
            club: Some(folder.clone()),
            book_rules: None,
        };
        let mut notes = Vec::new();
        if said.version != VERSION {
            let begun = &said.version;
            notes.push(format!(
                "`{name}` names version {begun} of the book, and this program brings {VERSION}: see what differs, then write \
                 version = \"{VERSION}\""
            ));
        }
        let book = tempfile::tempdir().map_err(|error| cannot(&std::env::temp_dir(), &error))?;
        for (path, content) in carried {
            write(&book.path().join(path), content)?;
        }
        let own = Own { book, shown: shown_path(&folder), settings, site: folder.join(SITE), notes };
        own.add_pages(&folder.join(PAGES))?;
        Ok(own)
    }

    /// The folder of the book.
    pub fn root(&self) -> &Path {
        self.book.path()
    }

    /// Puts the club's pages, by the names of their files, behind the last chapter of the book.
    fn add_pages(&self, pages: &Path) -> Result<(), Diagnostics> {
        if !pages.is_dir() {
            return Ok(());
        }
        let src = self.root().join("src");
        let (mut lines, mut errors) = (String::new(), Diagnostics::default());
        for name in files(pages).map_err(|error| cannot(pages, &error))? {
            let file = pages.join(&name);
            let content = fs::read(&file).map_err(|error| cannot(&file, &error))?;
            write(&src.join(PAGES).join(&name), &content)?;
            if !name.ends_with(".md") {
                continue;
            }
            let text = read_file(&file)?;
            match text.lines().next().and_then(|line| line.strip_prefix("# ")) {
                Some(title) => {
                    let title = title.trim().replace('[', "\\[").replace(']', "\\]");
                    lines.push_str(&format!("- [{title}]({PAGES}/{})\n", name.replace(' ', "%20")));
                }
                None => errors.0.push(
                    Diagnostic::new(shown_path(&file), text.as_str().into(), 0..0, "the page has no heading")
                        .hint("begin it with a line such as `# Our pump library`"),
                ),
            }
        }
        if !lines.is_empty() {
            let summary = src.join("SUMMARY.md");
            let text = format!("{}\n# From your club\n\n{lines}", read_file(&summary)?);
            write(&summary, text.as_bytes())?;
        }
        errors.or(())
    }

    /// Errors with the names of files as the club knows them: its pages, and those of the book that the program
    /// brings.
    pub fn named(&self, mut errors: Diagnostics) -> Diagnostics {
        let whole = fs::canonicalize(self.root()).unwrap_or_else(|_| self.root().to_owned());
        let of = |path: &Path| path.to_string_lossy().replace('\\', "/");
        let pages =
            if self.shown.is_empty() { format!("{PAGES}/") } else { format!("{}/{PAGES}/", self.shown) };
        let name = |text: &mut String| {
            for root in [of(&whole), of(self.root())] {
                *text = text
                    .replace(&format!("{root}/src/{PAGES}/"), &pages)
                    .replace(&format!("{root}/"), "book/");
            }
        };
        for error in &mut errors.0 {
            name(&mut error.message);
            error.hints.iter_mut().for_each(name);
            if let Some(place) = &mut error.place {
                name(&mut place.file);
            }
        }
        errors
    }
}

fn read_settings(name: &str, text: &str) -> Result<Said, Vec<Problem>> {
    document::read(name, text, |table| {
        let (version, tank) = (table.text("version"), table.maybe_text("tank"));
        Some(Said { version: version?, tank: tank.map(PathBuf::from) })
    })
}

fn write(file: &Path, content: &[u8]) -> Result<(), Diagnostics> {
    let folder = file.parent().unwrap_or(Path::new(""));
    let written = fs::create_dir_all(folder).and_then(|()| fs::write(file, content));
    written.map_err(|error| cannot(file, &error).into())
}

fn cannot(what: &Path, error: &io::Error) -> Diagnostic {
    Diagnostic::plain(format!("cannot use `{}`: {error}", shown_path(what)))
}
