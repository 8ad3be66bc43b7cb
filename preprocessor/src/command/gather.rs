//! `reckoner gather`: what many tanks measured, beside what was reckoned for each.

use std::collections::BTreeMap;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use reckoner_calc::Sheet;
use reckoner_calc::sheet::Value;
use reckoner_page::csv;
use tempfile::NamedTempFile;

use crate::command::{load, print};
use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::files::shown_path;

/// Of one figure, its title and the ratios of all tanks in which it was measured.
#[derive(Debug, Default)]
struct Ratios {
    title: String,
    ratios: Vec<f64>,
}

/// Prints, or writes to a file, how many times what was reckoned the tanks of some files measured: of each
/// figure the number of tanks, the median and the range.
///
/// # Errors
/// What is wrong in any file, all in one run; two files of one tank; files in which nothing was measured; a
/// file that can not be written.
pub fn run(
    files: &[PathBuf],
    rules: Option<PathBuf>,
    pumps: Option<PathBuf>,
    output: Option<&Path>,
) -> Result<(), Diagnostics> {
    let mut figures: BTreeMap<String, Ratios> = BTreeMap::new();
    let mut seen: BTreeMap<String, String> = BTreeMap::new();
    let (mut wrong, mut measured) = (Vec::new(), 0);
    for file in files {
        let name = shown_path(file);
        let sheet = match load(file, rules.clone(), pumps.clone()) {
            Ok((rules, catalogue, tank)) => {
                if let Some(other) = seen.insert(tank.id.clone(), name.clone()) {
                    wrong.push(twice(&name, &other, &tank.id));
                    continue;
                }
                Sheet::reckon(&rules, &catalogue, &tank)
                    .map_err(|error| Diagnostic::plain(format!("{name}: {error}")).into())
            }
            Err(errors) => Err(errors),
        };
        match sheet {
            Ok(sheet) if take(&sheet, &mut figures) => measured += 1,
            Ok(_) => eprintln!("{name}: nothing in it was measured that stands beside a sum"),
            // The rules and the catalogue are the same for all files, and are told once.
            Err(Diagnostics(errors)) => {
                for error in errors {
                    if !wrong.contains(&error) {
                        wrong.push(error);
                    }
                }
            }
        }
    }
    if !wrong.is_empty() {
        return Err(Diagnostics(wrong));
    }
    if measured == 0 {
        let message = "in none of these files was anything measured that stands beside a sum";
        let hint =
            "write a table [measured] into a tank file, with what a bucket, a stopwatch or a meter told";
        return Err(Diagnostic::plain(message).hint(hint).into());
    }
    let table = to_csv(&figures);
    match output {
        None => print(&table),
        Some(file) => {
            write_whole(file, &table)?;
            eprintln!("What {measured} of {} tanks measured is in {}", files.len(), shown_path(file));
            Ok(())
        }
    }
}

fn twice(name: &str, other: &str, id: &str) -> Diagnostic {
    Diagnostic::plain(format!("`{name}` and `{other}` are of one tank, `{id}`"))
        .hint("gather each tank once, or give each file an `id` of its own")
}

/// Takes the ratios of one tank; whether there were any.
fn take(sheet: &Sheet, figures: &mut BTreeMap<String, Ratios>) -> bool {
    let mut any = false;
    for figure in sheet.figures() {
        let named = figure.id.strip_prefix("measured.").and_then(|id| id.strip_suffix("_ratio"));
        if let (Some(key), Value::One(ratio)) = (named, &figure.value) {
            let of = figures.entry(key.to_owned()).or_default();
            of.title.clone_from(&figure.title);
            of.ratios.push(ratio.si);
            any = true;
        }
    }
    any
}

/// A line for each figure: `figure`, `title`, `tanks`, `median`, `lowest`, `highest`.
fn to_csv(figures: &BTreeMap<String, Ratios>) -> String {
    let mut table = csv::line(["figure", "title", "tanks", "median", "lowest", "highest"]);
    for (key, Ratios { title, ratios }) in figures {
        let mut ratios = ratios.clone();
        ratios.sort_by(f64::total_cmp);
        let (Some(lowest), Some(highest)) = (ratios.first(), ratios.last()) else { continue };
        let number = |value: f64| format!("{value:.3}");
        let values = [ratios.len().to_string(), number(median(&ratios)), number(*lowest), number(*highest)];
        table += &csv::line([key, title].into_iter().chain(&values));
    }
    table
}

/// The middle of sorted values; of two in the middle, the value halfway between.
fn median(sorted: &[f64]) -> f64 {
    let (low, high) = (sorted[(sorted.len() - 1) / 2], sorted[sorted.len() / 2]);
    0.5 * (low + high)
}

/// Writes a file whole, or leaves what was there.
fn write_whole(file: &Path, text: &str) -> Result<(), Diagnostics> {
    let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let written = NamedTempFile::new_in(folder).and_then(|mut whole| {
        whole.write_all(text.as_bytes())?;
        whole.persist(file).map_err(|error| error.error)
    });
    written
        .map(drop)
        .map_err(|error| Diagnostic::plain(format!("cannot write `{}`: {error}", shown_path(file))).into())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_median_is_in_the_middle() {
        assert!((median(&[0.5]) - 0.5).abs() < 1e-12);
        assert!((median(&[0.5, 0.7, 9.0]) - 0.7).abs() < 1e-12);
        assert!((median(&[0.5, 0.7, 0.9, 9.0]) - 0.8).abs() < 1e-12);
    }

    #[test]
    fn a_line_for_each_figure() {
        let ratios =
            |title: &str, ratios: &[f64]| Ratios { title: title.to_owned(), ratios: ratios.to_vec() };
        let figures = BTreeMap::from([
            ("swing".to_owned(), ratios("One swing, counted", &[1.0])),
            ("flow".to_owned(), ratios("Flow", &[1.25, 0.5, 0.75])),
        ]);
        assert_eq!(
            to_csv(&figures),
            "figure,title,tanks,median,lowest,highest\r\nflow,Flow,3,0.750,0.500,1.250\r\n\
             swing,\"One swing, counted\",1,1.000,1.000,1.000\r\n"
        );
    }
}
