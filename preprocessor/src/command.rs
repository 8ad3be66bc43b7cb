//! What the commands of `reckoner` do, one file each. Messages go to standard error, results to standard
//! output.

use std::io::{ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use clap::Args;
use reckoner_calc::{Catalogue, Rules, Tank};

use crate::command::own::{Carried, Own};
use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::edition::{Settings, load_catalogue, load_differences, load_rules, load_tank};
use crate::site;
use crate::site::typeset::Reckoner;

pub mod build;
pub mod calendar;
pub mod check;
pub mod compare;
pub mod gather;
pub mod handout;
pub mod new;
pub mod own;
pub mod preprocess;
pub mod programme;
pub mod rule;
pub mod sheet;

/// What every command that reads a book is told.
#[derive(Debug, Clone, Args)]
pub struct BookArgs {
    /// The folder of book.toml
    #[arg(long, value_name = "FOLDER", default_value = own::BOOK_FOLDER)]
    pub book: PathBuf,
    /// The tank that becomes the running example of the whole book
    #[arg(long, value_name = "FILE")]
    pub tank: Option<PathBuf>,
    /// A folder of rule files that take the place of those compiled in
    #[arg(long, value_name = "FOLDER")]
    pub rules: Option<PathBuf>,
    /// The folder of a club's own edition, as `reckoner new club` begins one: the program brings the book; this
    /// folder, where it is one and holds no book
    #[arg(long, value_name = "FOLDER", conflicts_with = "book")]
    pub club: Option<PathBuf>,
    /// A folder of rule files that stand for the book's own, below those of --rules or of a club: what another
    /// version of the book makes of an edition
    #[arg(long, value_name = "FOLDER")]
    pub book_rules: Option<PathBuf>,
    /// The book that the program brings.
    #[arg(skip)]
    pub carried: Carried,
}

/// A book that is there to be read.
struct Opened {
    /// The folder of `book.toml`.
    root: PathBuf,
    /// What takes the place of the settings there.
    settings: Settings,
    /// The edition of a club, where it is one.
    own: Option<Own>,
}

impl BookArgs {
    /// The book that the command line names, or the edition of a club.
    fn open(&self) -> Result<Opened, Diagnostics> {
        let club = self.club.clone().or_else(|| own::is_here(&self.book).then(|| PathBuf::from(".")));
        let settings = self.overrides()?;
        Ok(match club {
            None => Opened { root: self.book.clone(), settings, own: None },
            Some(folder) => {
                let own = Own::open(&folder, self.carried)?;
                Opened {
                    root: own.root().to_owned(),
                    settings: own.settings.clone().or(&settings),
                    own: Some(own),
                }
            }
        })
    }

    /// What the command line says in place of `book.toml`; its paths count from here, not from the book.
    fn overrides(&self) -> Result<Settings, Diagnostics> {
        let from_here = |path: &Option<PathBuf>| match path {
            None => Ok(None),
            Some(path) => std::fs::canonicalize(path).map(Some).map_err(|error| {
                Diagnostics::from(Diagnostic::plain(format!("cannot read `{}`: {error}", path.display())))
            }),
        };
        Ok(Settings {
            tank: from_here(&self.tank)?,
            rules: from_here(&self.rules)?,
            book_rules: from_here(&self.book_rules)?,
            club: None,
        })
    }
}

impl Opened {
    fn reckoner(&self) -> Reckoner {
        Reckoner { overrides: self.settings.clone(), ..Reckoner::default() }
    }

    /// What is wrong, with the names of files as whoever wrote them knows them.
    fn told<T>(&self, result: Result<T, Diagnostics>) -> Result<T, Diagnostics> {
        result.map_err(|errors| self.own.as_ref().map_or(errors.clone(), |own| own.named(errors)))
    }

    /// Says where the edition differs from the book.
    fn note_differences(&self) -> Result<(), Diagnostics> {
        for note in self.own.iter().flat_map(|own| &own.notes) {
            eprintln!("note: {note}");
        }
        for difference in load_differences(&self.root, &site::settings(&self.root, &self.settings)?)? {
            eprintln!("note: {difference}");
        }
        Ok(())
    }
}

/// Rules, catalogue and tank; all files are read before any is given up.
fn load(
    tank: &Path,
    rules: Option<PathBuf>,
    pumps: Option<PathBuf>,
) -> Result<(Rules, Catalogue, Tank), Diagnostics> {
    let rules = load_rules_here(rules);
    let usual = PathBuf::from("book/pumps.toml");
    let named = pumps.or_else(|| usual.is_file().then(|| usual.clone()));
    let catalogue = match &named {
        Some(file) => load_catalogue(file),
        None => Ok(Catalogue::empty()),
    };
    // Where the rules are wrong the tank is read by those compiled in, so that one run tells the problems of
    // both.
    let fallback = if rules.is_err() { Rules::compiled_in().ok() } else { None };
    let tank = match rules.as_ref().ok().or(fallback.as_ref()) {
        // Without any catalogue a tank whose pumps have models is told what is missing, not that each of them
        // is.
        Some(rules) if named.is_none() => load_tank(tank, rules, None)
            .and_then(|_| load_tank(tank, rules, catalogue.as_ref().ok()).map_err(|_| no_catalogue(&usual))),
        Some(rules) => load_tank(tank, rules, catalogue.as_ref().ok()),
        None => Err(Diagnostics::default()),
    };
    match (rules, catalogue, tank) {
        (Ok(rules), Ok(catalogue), Ok(tank)) => Ok((rules, catalogue, tank)),
        (rules, catalogue, tank) => {
            let found =
                [rules.err(), catalogue.err(), tank.err()].into_iter().flatten().flat_map(|errors| errors.0);
            Err(Diagnostics(found.collect()))
        }
    }
}

/// The rules of a folder that the command line names, of the club in whose folder this is called, or those compiled in.
fn load_rules_here(named: Option<PathBuf>) -> Result<Rules, Diagnostics> {
    load_rules(Path::new(""), &Settings { rules: own::rules_here(named), ..Settings::default() })
}

fn no_catalogue(usual: &Path) -> Diagnostics {
    let message =
        format!("`{}`, the catalogue in which the pumps of a tank stand, is missing", usual.display());
    Diagnostic::plain(message)
        .hint("run this where the book is, or name another catalogue with `--pumps FILE`")
        .into()
}

fn print(text: &str) -> Result<(), Diagnostics> {
    let mut out = std::io::stdout().lock();
    let written = out.write_all(text.as_bytes()).and_then(|()| out.flush());
    match written {
        // Whoever reads has read enough, such as a pager or `head`.
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(()),
        written => written
            .map_err(|error| Diagnostic::plain(format!("cannot write to standard output: {error}")).into()),
    }
}
