//! `reckoner programme`: the day's programme of one tank.

use std::path::{Path, PathBuf};

use clap::ValueEnum;
use reckoner_page::programme::{self, ProgrammeFile};

use crate::command::{load, print};
use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::edition::check_programme;
use crate::files::shown_path;

/// How the programme is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ProgrammeFormat {
    /// Comma-separated values, a line for each stretch
    Csv,
    /// The same as JSON
    Json,
    /// The JSON Schema of the JSON
    Schema,
}

/// Prints the programme of the tank in `file`, its own or a suggested one.
///
/// # Errors
/// What is wrong in the tank, the rules or the catalogue; a tank without a pump of the catalogue.
pub fn run(
    file: &Path,
    pumps: Option<PathBuf>,
    rules: Option<PathBuf>,
    format: ProgrammeFormat,
) -> Result<(), Diagnostics> {
    let (rules, catalogue, as_written) = load(file, rules, pumps)?;
    let no_plan = |error| Diagnostic::plain(format!("{}: {error}", shown_path(file)));
    let tank = programme::with_pumps(&rules, &catalogue, &as_written).map_err(no_plan)?;
    if tank.pumps.len() > as_written.pumps.len() {
        eprintln!("The file lists no pumps; this is a day for those of the plan");
    }
    check_programme(file, &tank, &catalogue, &rules)?;
    let programme =
        ProgrammeFile::of(&rules, &catalogue, &tank).map_err(|error| Diagnostic::plain(error.to_string()))?;
    if programme.stretches.is_empty() {
        let (message, hint) = programme::without_pumps(&tank);
        return Err(Diagnostic::plain(message).hint(hint).into());
    }
    print(&match format {
        ProgrammeFormat::Csv => programme.to_csv(),
        ProgrammeFormat::Json => programme.to_json(),
        ProgrammeFormat::Schema => ProgrammeFile::schema(),
    })
}
