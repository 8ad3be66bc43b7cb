//! What the commands of `reckoner` do, one file each. Messages go to standard error, results to standard
//! output.

use std::io::{ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use clap::Args;
use reckoner_calc::{Catalogue, Rules, Tank};

use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::edition::{Settings, load_catalogue, load_rules, load_tank};
use crate::site::typeset::Reckoner;

pub mod build;
pub mod calendar;
pub mod check;
pub mod compare;
pub mod gather;
pub mod handout;
pub mod new;
pub mod preprocess;
pub mod programme;
pub mod sheet;

/// What every command that reads a book is told.
#[derive(Debug, Clone, Args)]
pub struct BookArgs {
    /// The folder of book.toml
    #[arg(long, value_name = "FOLDER", default_value = "book")]
    pub book: PathBuf,
    /// The tank that becomes the running example of the whole book
    #[arg(long, value_name = "FILE")]
    pub tank: Option<PathBuf>,
    /// A folder of rule files that take the place of those compiled in
    #[arg(long, value_name = "FOLDER")]
    pub rules: Option<PathBuf>,
}

impl BookArgs {
    /// The preprocessor with what the command line says in place of `book.toml`; its paths count from here,
    /// not from the book.
    fn reckoner(&self) -> Result<Reckoner, Diagnostics> {
        let from_here = |path: &Option<PathBuf>| match path {
            None => Ok(None),
            Some(path) => std::fs::canonicalize(path).map(Some).map_err(|error| {
                Diagnostics::from(Diagnostic::plain(format!("cannot read `{}`: {error}", path.display())))
            }),
        };
        let overrides = Settings { tank: from_here(&self.tank)?, rules: from_here(&self.rules)? };
        Ok(Reckoner { overrides, ..Reckoner::default() })
    }
}

/// Rules, catalogue and tank; all files are read before any is given up.
fn load(
    tank: &Path,
    rules: Option<PathBuf>,
    pumps: Option<PathBuf>,
) -> Result<(Rules, Catalogue, Tank), Diagnostics> {
    let rules = load_rules(Path::new(""), &Settings { rules, tank: None });
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
