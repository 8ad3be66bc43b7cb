//! Reads files, names them in messages, and gives what is wrong in one its place.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::{fs, io};

use reckoner_calc::document::Problem;

use crate::diagnostic::{Diagnostic, Diagnostics};

/// A path as a reader of messages knows it: from the working directory where it lies below, with forward
/// slashes.
pub fn shown_path(path: &Path) -> String {
    let here = std::env::current_dir().unwrap_or_default();
    let here = fs::canonicalize(&here).unwrap_or(here);
    let whole = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let shown = whole.strip_prefix(&here).map_or_else(|_| path.to_owned(), Path::to_owned);
    shown.to_string_lossy().replace('\\', "/")
}

/// Reads a file as text.
///
/// # Errors
/// It can not be read, or holds no text.
pub fn read_file(file: &Path) -> Result<String, Diagnostics> {
    read_text(file).map_err(|Unread { why, hint }| {
        Diagnostic::plain(format!("`{}` {why}", shown_path(file))).hints(hint).into()
    })
}

/// Why a file could not be read as text: the end of a sentence about it, and what would be right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Unread {
    pub(crate) why: String,
    pub(crate) hint: Option<String>,
}

/// As [`read_file`], for those who name the file themselves.
pub(crate) fn read_text(file: &Path) -> Result<String, Unread> {
    let unread = |why: &str, hint| Unread { why: why.to_owned(), hint };
    let bytes = fs::read(file).map_err(|error| match error.kind() {
        io::ErrorKind::NotFound => unread("is missing", None),
        _ => unread(&format!("cannot be read: {error}"), None),
    })?;
    String::from_utf8(bytes).map_err(|wrong| {
        let before = &wrong.as_bytes()[..wrong.utf8_error().valid_up_to()];
        let line = before.iter().filter(|byte| **byte == b'\n').count() + 1;
        let hint = format!("line {line} of it holds a byte that is none: save the file as UTF-8");
        unread("is no text in UTF-8", Some(hint))
    })
}

/// The `.toml` files of a folder, by name.
///
/// # Errors
/// The folder can not be read.
pub fn toml_files(folder: &Path) -> Result<Vec<PathBuf>, Diagnostics> {
    let cannot = |error| {
        Diagnostics::from(Diagnostic::plain(format!(
            "cannot read the folder `{}`: {error}",
            shown_path(folder)
        )))
    };
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).map_err(cannot)? {
        let path = entry.map_err(cannot)?.path();
        if path.extension().is_some_and(|extension| extension == "toml") {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}

/// Gives each problem its file and text; all problems of a document share its text.
pub fn placed(problems: Vec<Problem>, place: impl Fn(&str) -> (String, String)) -> Diagnostics {
    let mut documents: BTreeMap<String, (String, Arc<str>)> = BTreeMap::new();
    let place_one = |problem: Problem| {
        let known = documents.entry(problem.document).or_insert_with_key(|document| {
            let (file, text) = place(document);
            (file, Arc::from(text))
        });
        let (file, text) = known.clone();
        Diagnostic::new(file, text, problem.span, problem.message).hints(problem.help)
    };
    Diagnostics(problems.into_iter().map(place_one).collect())
}

/// The names of all files in a folder, with forward slashes, in their order.
///
/// # Errors
/// A folder can not be read.
pub fn files(folder: &Path) -> io::Result<Vec<String>> {
    let mut found = Vec::new();
    let mut folders = vec![String::new()];
    while let Some(inside) = folders.pop() {
        for entry in fs::read_dir(folder.join(&inside))? {
            let entry = entry?;
            let name = entry.file_name().to_string_lossy().into_owned();
            let path = if inside.is_empty() { name } else { format!("{inside}/{name}") };
            if entry.file_type()?.is_dir() { folders.push(path) } else { found.push(path) }
        }
    }
    found.sort();
    Ok(found)
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use super::*;

    /// A hundred thousand problems of one document would else hold it as often.
    #[test]
    fn all_problems_of_a_document_share_its_text() {
        let problem = |document: &str, at: usize| Problem {
            document: document.to_owned(),
            span: at..at + 1,
            missing: String::new(),
            message: format!("number {at}"),
            help: Vec::new(),
        };
        let problems = vec![problem("a", 0), problem("b", 0), problem("a", 3)];
        let asked = Cell::new(0);
        let errors = placed(problems, |document| {
            asked.set(asked.get() + 1);
            (format!("{document}.toml"), "x = 1\n".to_owned())
        });
        let places: Vec<_> = errors.0.iter().map(|error| error.place.as_ref().unwrap()).collect();
        assert_eq!(
            places.iter().map(|place| place.file.as_str()).collect::<Vec<_>>(),
            ["a.toml", "b.toml", "a.toml"]
        );
        assert!(Arc::ptr_eq(&places[0].text, &places[2].text));
        assert!(!Arc::ptr_eq(&places[0].text, &places[1].text));
        assert_eq!(asked.get(), 2);
    }
}
