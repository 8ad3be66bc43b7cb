//! `reckoner sheet`: the figures of one tank.

use std::path::{Path, PathBuf};

use clap::ValueEnum;
use reckoner_page::sheet::{self, SheetFile};

use crate::command::{load, print};
use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::files::shown_path;

/// How the figures are printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SheetFormat {
    /// Figures, worked examples and tables
    Text,
    /// The same as JSON
    Json,
    /// The figures as comma-separated values
    Csv,
    /// The JSON Schema of the JSON
    Schema,
}

/// Prints the figures of the tank in `file`.
///
/// # Errors
/// What is wrong in the tank, the rules or the catalogue; a formula that has no answer.
pub fn run(
    file: &Path,
    rules: Option<PathBuf>,
    pumps: Option<PathBuf>,
    format: SheetFormat,
) -> Result<(), Diagnostics> {
    let (rules, catalogue, tank) = load(file, rules, pumps)?;
    let sheet = reckoner_calc::Sheet::reckon(&rules, &catalogue, &tank)
        .map_err(|error| Diagnostic::plain(format!("{}: {error}", shown_path(file))))?;
    print(&match format {
        SheetFormat::Text => sheet::text(&sheet),
        SheetFormat::Json => SheetFile::of(&sheet).to_json(),
        SheetFormat::Csv => SheetFile::of(&sheet).to_csv(),
        SheetFormat::Schema => SheetFile::schema(),
    })
}
