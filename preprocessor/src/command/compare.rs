//! `reckoner compare`: what a change moved, two ledgers side by side, for a contributor to read before asking for a review.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::command::{BookArgs, print};
use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::edition::Settings;
use crate::files::shown_path;
use crate::proof::ledger::{CheckEntry, Entry, FORMAT, Ledger, Place};
use crate::site;
use crate::site::typeset::Reckoner;

/// Prints what moved since `old`, which [`old`] reads.
///
/// # Errors
/// As [`old`] and [`current`].
pub fn run(old: &str, book: &BookArgs, markdown: bool) -> Result<(), Diagnostics> {
    let overrides = book.reckoner()?.overrides;
    let before = self::old(old, &book.book, &overrides)?;
    let now = current(&book.book, overrides)?;
    let comparison = compare(&before, &now);
    print(&if markdown { comparison.markdown() } else { comparison.text() })
}

/// What differs between two ledgers.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Comparison {
    /// Figures that are printed in both, but not with the same digits.
    pub moved: Vec<Moved>,
    /// Figures that only the new ledger has.
    pub added: Vec<Entry>,
    /// Figures that only the old ledger has.
    pub removed: Vec<Entry>,
    /// Checks that fail now.
    pub failing: Vec<CheckEntry>,
}

/// A figure that prints other digits than before.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// Its id.
    pub id: String,
    /// What it is.
    pub title: String,
    /// As it was printed: metric, then US where that differs.
    pub from: String,
    /// As it is printed now.
    pub to: String,
    /// Where it is printed now.
    pub places: Vec<Place>,
}

/// Puts two ledgers side by side.
pub fn compare(old: &Ledger, new: &Ledger) -> Comparison {
    let mut comparison =
        Comparison { failing: new.checks.iter().filter(|check| !check.passed).cloned().collect(), ..Comparison::default() };
    for entry in &new.figures {
        match old.figures.iter().find(|before| before.id == entry.id) {
            None => comparison.added.push(entry.clone()),
            Some(before) if (&before.metric, &before.us) != (&entry.metric, &entry.us) => comparison.moved.push(Moved {
                id: entry.id.clone(),
                title: entry.title.clone(),
                from: readings(before),
                to: readings(entry),
                places: entry.places.clone(),
            }),
            Some(_) => {}
        }
    }
    let gone = |before: &&Entry| !new.figures.iter().any(|entry| entry.id == before.id);
    comparison.removed = old.figures.iter().filter(gone).cloned().collect();
    comparison
}

fn readings(entry: &Entry) -> String {
    let text = if entry.metric == entry.us { entry.metric.clone() } else { format!("{} ({})", entry.metric, entry.us) };
    text.replace('\u{a0}', " ")
}

impl Comparison {
    /// For the terminal.
    pub fn text(&self) -> String {
        let mut out = String::new();
        // Writing to a string can not fail.
        for moved in &self.moved {
            let _ = writeln!(out, "{} ({})\n  {} -> {}", moved.id, moved.title, moved.from, moved.to);
            for place in &moved.places {
                let _ = writeln!(out, "    {}: {}", place.page, place.text);
            }
        }
        for (word, entries) in [("new", &self.added), ("gone", &self.removed)] {
            for entry in entries {
                let _ = writeln!(out, "{} ({})\n  {word}: {}", entry.id, entry.title, readings(entry));
            }
        }
        for check in &self.failing {
            let _ = writeln!(
                out,
                "check fails in {}: {}\n  published {}, reckoned {}",
                check.page, check.subject, check.published, check.reckoned
            );
        }
        let _ = writeln!(out, "{}", self.summary());
        out
    }

    /// For a comment on a review.
    pub fn markdown(&self) -> String {
        let mut out = format!("**{}**\n", self.summary());
        if !self.moved.is_empty() {
            out.push_str("\n| figure | before | now | where |\n| --- | --- | --- | --- |\n");
            for moved in &self.moved {
                let mut pages: Vec<_> = moved.places.iter().map(|place| place.page.as_str()).collect();
                pages.dedup();
                let _ = writeln!(out, "| `{}` {} | {} | {} | {} |", moved.id, moved.title, moved.from, moved.to, pages.join(", "));
            }
            out.push_str("\n<details><summary>The sentences and cells</summary>\n\n");
            for moved in &self.moved {
                for place in &moved.places {
                    let _ = writeln!(out, "- {}: {}", place.page, place.text);
                }
            }
            out.push_str("\n</details>\n");
        }
        for (word, entries) in [("New", &self.added), ("Gone", &self.removed)] {
            for entry in entries {
                let _ = writeln!(out, "- {word}: `{}` {}, {}", entry.id, entry.title, readings(entry));
            }
        }
        for check in &self.failing {
            let _ = writeln!(
                out,
                "- **Check fails** in {}: {}, published {}, reckoned {}",
                check.page, check.subject, check.published, check.reckoned
            );
        }
        out
    }

    fn summary(&self) -> String {
        let count = |number: usize, one: &str, many: &str| format!("{number} {}", if number == 1 { one } else { many });
        format!(
            "{} moved, {} new, {} gone, {} failing",
            count(self.moved.len(), "figure", "figures"),
            self.added.len(),
            self.removed.len(),
            count(self.failing.len(), "check", "checks")
        )
    }
}

/// The ledger of the book in `root` as it stands; a failing check is written into it.
///
/// # Errors
/// Everything else that would stop the build.
pub fn current(root: &Path, overrides: Settings) -> Result<Ledger, Diagnostics> {
    let reckoner = Reckoner { overrides, whatever_the_checks_say: true, ..Reckoner::default() };
    let ledger = reckoner.ledger.clone();
    site::rendered_pages(root, reckoner, "html")?;
    let ledger = ledger.lock().unwrap_or_else(std::sync::PoisonError::into_inner).take();
    ledger.ok_or_else(|| Diagnostic::plain("the book has no chapters").into())
}

/// The ledger that `old` names: a `ledger.json`, or a git revision of the book in `root`.
///
/// # Errors
/// Neither is there; a ledger of another layout; a revision whose book this program can not build.
pub fn old(old: &str, root: &Path, overrides: &Settings) -> Result<Ledger, Diagnostics> {
    let file = Path::new(old);
    if file.is_file() { from_file(file) } else { from_revision(old, root, overrides) }
}

fn from_file(file: &Path) -> Result<Ledger, Diagnostics> {
    let shown = shown_path(file);
    let text = fs::read_to_string(file).map_err(|error| Diagnostic::plain(format!("cannot read `{shown}`: {error}")))?;
    let ledger: Ledger = serde_json::from_str(&text).map_err(|error| {
        Diagnostic::plain(format!("`{shown}` is no ledger: {error}")).hint("a build writes ledger.json into the folder of the site")
    })?;
    if ledger.format == FORMAT {
        Ok(ledger)
    } else {
        let message = format!("`{shown}` has layout {}, this program reads layout {FORMAT}", ledger.format);
        Err(Diagnostic::plain(message).hint("compare with a git revision instead").into())
    }
}

/// Builds the book as it stood, with the rules as they stood, in a temporary folder.
fn from_revision(revision: &str, root: &Path, overrides: &Settings) -> Result<Ledger, Diagnostics> {
    let root = fs::canonicalize(root).map_err(|error| Diagnostic::plain(format!("cannot open `{}`: {error}", root.display())))?;
    let top = git(&root, &["rev-parse", "--show-toplevel"])?;
    let top = PathBuf::from(String::from_utf8_lossy(&top).trim());
    let top = fs::canonicalize(&top).unwrap_or(top);
    let below = |path: &Path| path.strip_prefix(&top).map(|path| path.to_string_lossy().replace('\\', "/")).ok();
    let book = below(&root).ok_or_else(|| Diagnostic::plain("the book is outside its git repository"))?;
    let rules = overrides.rules.as_deref().map_or_else(|| Some("calc/rules".to_owned()), below);
    // Rules and a tank outside the repository are the same then and now.
    let tank = overrides.tank.as_deref().and_then(below);

    let folder = tempfile::tempdir().map_err(|error| Diagnostic::plain(format!("cannot make a temporary folder: {error}")))?;
    for path in [Some(&book), rules.as_ref(), tank.as_ref()].into_iter().flatten() {
        export(&top, revision, path, folder.path())?;
    }
    let then = |path: &Option<String>| path.as_ref().map(|path| folder.path().join(path)).filter(|path| path.exists());
    let settings = Settings {
        tank: then(&tank).or_else(|| overrides.tank.clone()),
        rules: then(&rules).or_else(|| overrides.rules.clone().filter(|_| rules.is_none())),
    };
    current(&folder.path().join(&book), settings).map_err(|errors| {
        let note = Diagnostic::plain(format!("the book of `{revision}` can not be built by this program"));
        Diagnostics(std::iter::once(note).chain(errors.0).collect())
    })
}

/// Writes the files of a revision below `path` into `folder`.
fn export(top: &Path, revision: &str, path: &str, folder: &Path) -> Result<(), Diagnostics> {
    let listed = git(top, &["ls-tree", "-r", "-z", "--name-only", revision, "--", path])?;
    for name in String::from_utf8_lossy(&listed).split('\0').filter(|name| !name.is_empty()) {
        let content = git(top, &["show", &format!("{revision}:{name}")])?;
        let target = folder.join(name);
        let parent = target.parent().unwrap_or(folder);
        let written = fs::create_dir_all(parent).and_then(|()| fs::write(&target, content));
        written.map_err(|error| Diagnostic::plain(format!("cannot write `{}`: {error}", target.display())))?;
    }
    Ok(())
}

fn git(folder: &Path, arguments: &[&str]) -> Result<Vec<u8>, Diagnostics> {
    let output = Command::new("git").arg("-C").arg(folder).args(arguments).output();
    match output {
        Ok(output) if output.status.success() => Ok(output.stdout),
        Ok(output) => Err(no_revision(format!("git: {}", String::from_utf8_lossy(&output.stderr).trim()))),
        Err(error) => Err(no_revision(format!("cannot run git: {error}"))),
    }
}

fn no_revision(message: String) -> Diagnostics {
    Diagnostic::plain(message).hint("name a ledger.json, or a git revision such as HEAD").into()
}
