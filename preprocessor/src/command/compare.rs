//! `reckoner compare`: everything printed that moved, from what to what, for a contributor to read before
//! asking for a review.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::{Arc, Mutex, PoisonError};

use mdbook_preprocessor::book::Book;
use mdbook_preprocessor::{Preprocessor, PreprocessorContext};
use reckoner_calc::rules::{Rule, livestock};
use reckoner_page::html::Medium;
use reckoner_page::text::escaped;

use crate::command::{BookArgs, print};
use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::edition::difference::{said, said_apart};
use crate::edition::{Edition, Settings};
use crate::files::{read_file, shown_path, toml_files};
use crate::proof::ledger::{CheckEntry, Entry, FORMAT, Ledger};
use crate::site::protocol::PREPROCESSOR;
use crate::site::selection;
use crate::site::typeset::{self, Manuscript, Typeset};
use crate::site::{self, HANDOUTS};

use self::difference::Change;
use self::printed::{Piece, Printed};

pub mod difference;
pub mod page;
pub mod printed;

/// Prints what moved since `old`: a `ledger.json`, a folder of rule files, or a git revision.
///
/// # Errors
/// Neither is there; a ledger of another layout; a book, then or now, that this program can not build.
pub fn run(old: &str, book: &BookArgs, markdown: bool) -> Result<(), Diagnostics> {
    let opened = book.open()?;
    let comparison = opened.told(with(old, &opened.root, &opened.settings))?;
    print(&if markdown { comparison.markdown() } else { comparison.text() })
}

/// What differs between the book in `root` and what `old` names.
///
/// # Errors
/// As [`run`].
pub fn with(old: &str, root: &Path, overrides: &Settings) -> Result<Comparison, Diagnostics> {
    let path = Path::new(old);
    if path.is_file() {
        let before = Version::of_ledger(from_file(path)?);
        let now = Version::of_ledger(current(root, overrides)?.ledger);
        return Ok(Comparison { is_of_ledgers: true, ..compare(&before, &now) });
    }
    if path.is_dir() {
        let rules = Some(fs::canonicalize(path).map_err(|error| cannot("read", path, &error))?);
        let before = current(root, &Settings { rules, ..overrides.clone() })?;
        return Ok(compare(&before, &current(root, overrides)?));
    }
    let checkout = Checkout::around(root, overrides)?;
    let settings = Settings { rules: checkout.now.folder.clone(), ..overrides.clone() };
    Ok(compare(&checkout.at(old, overrides)?, &version(root, &settings, checkout.now.is_whole)?))
}

/// A book as it is, or as it was.
#[derive(Debug, Clone)]
pub struct Version {
    /// Its rules, but those that it did not have yet.
    pub rules: Vec<Rule>,
    /// Its pages and its sheets for paper: path, and what is printed.
    pub pages: Vec<(String, Printed)>,
    /// Its ledger.
    pub ledger: Ledger,
}

impl Version {
    /// As much of a book as its ledger holds: the sentences and cells with figures in them.
    fn of_ledger(ledger: Ledger) -> Self {
        let mut pages: BTreeMap<String, Vec<Piece>> = BTreeMap::new();
        for entry in &ledger.figures {
            for place in &entry.places {
                let pieces = pages.entry(place.page.clone()).or_default();
                match pieces.iter_mut().find(|piece| piece.text == place.text) {
                    Some(piece) => piece.figures.push(entry.id.clone()),
                    None => pieces.push(Piece {
                        under: Vec::new(),
                        text: place.text.clone(),
                        figures: vec![entry.id.clone()],
                    }),
                }
            }
        }
        let printed = |(page, pieces)| (page, Printed { pieces, drawings: Vec::new() });
        Version { rules: Vec::new(), pages: pages.into_iter().map(printed).collect(), ledger }
    }
}

/// What differs between two versions of a book.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Comparison {
    /// The rules that are not the same, those that only the new version has, and those that only the old one has.
    pub rules: Vec<RuleChange>,
    /// The pages on which something differs, in the order of the book.
    pub pages: Vec<PageChanges>,
    /// Figures that are printed in both, but not with the same digits.
    pub moved: Vec<Moved>,
    /// Figures that only the new ledger has.
    pub added: Vec<Entry>,
    /// Figures that only the old ledger has.
    pub removed: Vec<Entry>,
    /// Checks that fail now.
    pub failing: Vec<CheckEntry>,
    /// Only ledgers were compared: they know the figures with their sentences, and none of the other words.
    pub is_of_ledgers: bool,
}

/// A rule that differs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleChange {
    /// Its id.
    pub id: String,
    /// What it is.
    pub title: String,
    /// What it said; nothing where it is new.
    pub from: Option<String>,
    /// What it says; nothing where it is gone.
    pub to: Option<String>,
}

impl RuleChange {
    fn new(from: Option<&Rule>, to: Option<&Rule>) -> Option<Self> {
        let rule = to.or(from)?;
        let (id, title) = (rule.id.to_string(), rule.title.clone());
        let (from, to) = match (from, to) {
            (Some(from), Some(to)) => {
                let [from, to] = said_apart(from, to);
                (Some(from), Some(to))
            }
            (from, to) => (from.map(said), to.map(said)),
        };
        Some(RuleChange { id, title, from, to })
    }
}

/// What differs on a page.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PageChanges {
    /// The page's path in the book's source folder.
    pub page: String,
    /// Its heading; its path where only the ledgers are known.
    pub title: String,
    /// The pieces that differ, with the figures in them that moved, came or went.
    pub changes: Vec<Change>,
    /// The titles of the drawings whose lines differ.
    pub redrawn: Vec<String>,
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
}

/// Puts two versions of a book side by side.
pub fn compare(old: &Version, new: &Version) -> Comparison {
    let mut comparison = figures(&old.ledger, &new.ledger);
    let rule = |rules: &'_ [Rule], id: &str| rules.iter().position(|rule| rule.id == id);
    for now in &new.rules {
        let before = rule(&old.rules, &now.id).map(|at| &old.rules[at]);
        if before != Some(now) {
            comparison.rules.extend(RuleChange::new(before, Some(now)));
        }
    }
    let gone = old.rules.iter().filter(|before| rule(&new.rules, &before.id).is_none());
    comparison.rules.extend(gone.filter_map(|before| RuleChange::new(Some(before), None)));

    let moved = comparison.moved.iter().map(|moved| &moved.id);
    let others = comparison.added.iter().chain(&comparison.removed).map(|entry| &entry.id);
    let behind: BTreeSet<&String> = moved.chain(others).collect();
    let nothing = Printed::default();
    let of_page = |version: &Version, page: &str| version.pages.iter().position(|(path, _)| path == page);
    let is_gone = |(page, _): &&(String, Printed)| of_page(new, page).is_none();
    let mut pages = Vec::new();
    for (page, _) in new.pages.iter().chain(old.pages.iter().filter(is_gone)) {
        let printed = |version| of_page(version, page).map_or(&nothing, |at| &version.pages[at].1);
        let (before, now) = (printed(old), printed(new));
        let mut changes = difference::changes(&before.pieces, &now.pieces);
        for change in &mut changes {
            change.figures.retain(|id| behind.contains(id));
        }
        let redrawn = difference::redrawn(before, now);
        if !(changes.is_empty() && redrawn.is_empty()) {
            let heading = now.pieces.first().or(before.pieces.first()).filter(|_| !new.rules.is_empty());
            let title = heading.map_or_else(|| page.clone(), |piece| piece.text.clone());
            pages.push(PageChanges { page: page.clone(), title, changes, redrawn });
        }
    }
    comparison.pages = pages;
    comparison
}

/// What moved from ledger to ledger.
fn figures(old: &Ledger, new: &Ledger) -> Comparison {
    let failing = new.checks.iter().filter(|check| !check.passed).cloned().collect();
    let mut comparison = Comparison { failing, ..Comparison::default() };
    let by_id = |ledger: &'_ Ledger| -> BTreeMap<String, usize> {
        ledger.figures.iter().enumerate().map(|(at, entry)| (entry.id.clone(), at)).collect()
    };
    let (of_old, of_new) = (by_id(old), by_id(new));
    for entry in &new.figures {
        match of_old.get(&entry.id).map(|at| &old.figures[*at]) {
            None => comparison.added.push(entry.clone()),
            Some(before) if (&before.metric, &before.us) != (&entry.metric, &entry.us) => {
                comparison.moved.push(Moved {
                    id: entry.id.clone(),
                    title: entry.title.clone(),
                    from: readings(before),
                    to: readings(entry),
                })
            }
            Some(_) => {}
        }
    }
    comparison.removed =
        old.figures.iter().filter(|entry| !of_new.contains_key(&entry.id)).cloned().collect();
    comparison
}

fn readings(entry: &Entry) -> String {
    let text = if entry.metric == entry.us {
        entry.metric.clone()
    } else {
        format!("{} ({})", entry.metric, entry.us)
    };
    text.replace('\u{a0}', " ")
}

impl Comparison {
    /// For the terminal: by page what was said, with `-`, and what is said, with `+`; then the figures
    /// behind.
    pub fn text(&self) -> String {
        let mut out = String::new();
        // Writing to a string can not fail.
        for (word, ids) in self.rule_lists() {
            let _ = writeln!(out, "rules {word}: {}", ids.join(", "));
        }
        for PageChanges { page, changes, redrawn, .. } in &self.pages {
            let _ = writeln!(out, "{page}");
            for change in changes {
                let figures = if change.figures.is_empty() {
                    String::new()
                } else {
                    format!(" [{}]", change.figures.join(", "))
                };
                let _ = writeln!(out, "  {}{figures}", place(&change.under));
                for (sign, text) in [('-', &change.from), ('+', &change.to)] {
                    if let Some(text) = text {
                        let _ = writeln!(out, "    {sign} {text}");
                    }
                }
            }
            for title in redrawn {
                let _ = writeln!(out, "  {title}\n    the lines of the drawing differ");
            }
        }
        for moved in &self.moved {
            let _ = writeln!(out, "{} ({})\n  {} -> {}", moved.id, moved.title, moved.from, moved.to);
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
        for (word, ids) in self.rule_lists() {
            let _ = writeln!(out, "\nRules {word}: `{}`", ids.join("`, `"));
        }
        for PageChanges { page, changes, redrawn, .. } in &self.pages {
            let _ = writeln!(
                out,
                "\n<details><summary>{page}: {}</summary>\n",
                count(changes.len() + redrawn.len(), PLACES)
            );
            if !changes.is_empty() {
                out.push_str("| where | before | now | figures |\n| --- | --- | --- | --- |\n");
            }
            for Change { under, from, to, figures } in changes {
                let cell = |text: &Option<String>| text.as_deref().map_or_else(String::new, escaped);
                let figures: Vec<_> = figures.iter().map(|id| format!("`{id}`")).collect();
                let place = escaped(&place(under));
                let _ = writeln!(out, "| {place} | {} | {} | {} |", cell(from), cell(to), figures.join(", "));
            }
            for title in redrawn {
                let _ = writeln!(out, "\nThe lines of the drawing differ: {}", escaped(title));
            }
            out.push_str("\n</details>\n");
        }
        if !self.moved.is_empty() {
            out.push_str("\n| figure | before | now |\n| --- | --- | --- |\n");
        }
        for moved in &self.moved {
            let [title, from, to] = [&moved.title, &moved.from, &moved.to].map(|text| escaped(text));
            let _ = writeln!(out, "| `{}` {title} | {from} | {to} |", moved.id);
        }
        out.push('\n');
        for (word, entries) in [("New", &self.added), ("Gone", &self.removed)] {
            for entry in entries {
                let _ = writeln!(
                    out,
                    "- {word}: `{}` {}, {}",
                    entry.id,
                    escaped(&entry.title),
                    escaped(&readings(entry))
                );
            }
        }
        for check in &self.failing {
            let [subject, published, reckoned] =
                [&check.subject, &check.published, &check.reckoned].map(|text| escaped(text));
            let _ = writeln!(
                out,
                "- **Check fails** in {}: {subject}, published {published}, reckoned {reckoned}",
                check.page
            );
        }
        out
    }

    /// The rules that differ, came and went.
    fn rule_lists(&self) -> impl Iterator<Item = (&'static str, Vec<&str>)> {
        let lists =
            [("that differ", true, true), ("that are new", false, true), ("that are gone", true, false)];
        let ids = |(word, was, is)| {
            let of = self.rules.iter().filter(|rule| (rule.from.is_some(), rule.to.is_some()) == (was, is));
            (word, of.map(|rule| rule.id.as_str()).collect::<Vec<_>>())
        };
        lists.into_iter().map(ids).filter(|(_, ids)| !ids.is_empty())
    }

    fn summary(&self) -> String {
        let places = self.pages.iter().map(|page| page.changes.len() + page.redrawn.len()).sum();
        let note =
            "; a ledger knows only figures: name a git revision or a folder of rules to see every word";
        format!(
            "{} on {} differ: {} moved, {} new, {} gone, {} failing{}",
            count(places, PLACES),
            count(self.pages.len(), ["page", "pages"]),
            count(self.moved.len(), ["figure", "figures"]),
            self.added.len(),
            self.removed.len(),
            count(self.failing.len(), ["check", "checks"]),
            if self.is_of_ledgers { note } else { "" }
        )
    }
}

/// The folder of what people read, in a folder of rules.
const WORDS: &str = "words";
const PLACES: [&str; 2] = ["place", "places"];

fn count(number: usize, [one, many]: [&str; 2]) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// Where a piece stands, in words.
fn place(under: &[String]) -> String {
    if under.is_empty() { "at the top".to_owned() } else { under.join(" > ") }
}

/// The book in `root` as it stands; a failing check is written into its ledger.
///
/// # Errors
/// Everything else that would stop the build.
pub fn current(root: &Path, overrides: &Settings) -> Result<Version, Diagnostics> {
    version(root, overrides, false)
}

/// - `is_whole`: the folder of rules of the settings holds all rules of that time. Those that were compiled
///   in later must not be listed.
fn version(root: &Path, overrides: &Settings, is_whole: bool) -> Result<Version, Diagnostics> {
    let settings = site::settings(root, overrides)?;
    let mut edition = Edition::load(root, &settings)?;
    if let Some(folder) = settings.rules.as_ref().filter(|_| is_whole) {
        let listed = listed(&root.join(folder))?;
        let rules = Arc::make_mut(&mut edition.rules);
        rules.all.retain(|rule| listed.contains(rule.id.as_str()));
        rules.sources.retain(|key, _| listed.contains(&format!("sources.{key}")));
    }
    let rules = edition.rules.all.clone();
    // The sheets for paper come behind the chapters.
    let manuscript = site::handouts(root)?.whatever_was_typed();
    let sheets = manuscript.set(&edition, Medium::Html)?;
    let printed = manuscript.paths().map(|path| format!("{HANDOUTS}/{path}")).zip(sheets.contents);
    let typeset = Arc::new(Mutex::new(None));
    let pages = site::rendered_pages(root, Setter { edition, settings, typeset: typeset.clone() }, "html")?;
    let pages = pages.into_iter().chain(printed).map(|(path, text)| (path, printed::page(&text))).collect();
    let typeset: Option<Typeset> = typeset.lock().unwrap_or_else(PoisonError::into_inner).take();
    let Some(Typeset { ledger, .. }) = typeset else {
        return Err(Diagnostic::plain("the book has no chapters").into());
    };
    Ok(Version { rules, pages, ledger: ledger.with_sheets(sheets.ledger, HANDOUTS) })
}

/// The preprocessor with an edition that is there already.
struct Setter {
    edition: Edition,
    settings: Settings,
    typeset: Arc<Mutex<Option<Typeset>>>,
}

impl Preprocessor for Setter {
    fn name(&self) -> &str {
        PREPROCESSOR
    }

    fn run(
        &self,
        context: &PreprocessorContext,
        mut book: Book,
    ) -> mdbook_preprocessor::errors::Result<Book> {
        let selection = selection::select_of(&mut book, &context.root, &self.settings);
        let chapters = typeset::chapters(&book);
        let manuscript =
            Manuscript::of_selection(&context.root, &context.config.book.src, &chapters, selection)
                .whatever_was_typed();
        let set = manuscript.set(&self.edition, Medium::Html)?;
        typeset::put(&mut book, &set.contents);
        *self.typeset.lock().unwrap_or_else(PoisonError::into_inner) = Some(set);
        Ok(book)
    }
}

fn from_file(file: &Path) -> Result<Ledger, Diagnostics> {
    let shown = shown_path(file);
    let text = fs::read_to_string(file).map_err(|error| cannot("read", file, &error))?;
    let ledger: Ledger = serde_json::from_str(&text).map_err(|error| {
        Diagnostic::plain(format!("`{shown}` is no ledger: {error}"))
            .hint("a build writes ledger.json into the folder of the site")
    })?;
    if ledger.format == FORMAT {
        Ok(ledger)
    } else {
        let message = format!("`{shown}` has layout {}, this program reads layout {FORMAT}", ledger.format);
        Err(Diagnostic::plain(message).hint("compare with a git revision instead").into())
    }
}

/// The git repository of a book.
struct Checkout {
    top: PathBuf,
    /// The book's folder, from the top.
    book: PathBuf,
    /// The rules of the book as it is: the folder that the command names, else that of the book's settings,
    /// else that of this project where the repository holds it, so that a rule can be compared before it is
    /// compiled in.
    now: RuleFolder,
    /// The rules that the book had without those that the command names.
    before: RuleFolder,
}

/// The folder in which a book's rules stand.
#[derive(Debug, Clone)]
struct RuleFolder {
    /// `None` for the rules that are compiled in.
    folder: Option<PathBuf>,
    /// It is that of this project, which holds all rules.
    is_whole: bool,
}

impl Checkout {
    fn around(root: &Path, overrides: &Settings) -> Result<Self, Diagnostics> {
        let root = fs::canonicalize(root).map_err(|error| cannot("open", root, &error))?;
        let top = git(&root, &["rev-parse", "--show-toplevel"])?;
        let top = PathBuf::from(String::from_utf8_lossy(&top).trim());
        let top = fs::canonicalize(&top).unwrap_or(top);
        let outside = || Diagnostic::plain("the book is outside its git repository");
        let book = root.strip_prefix(&top).map_err(|_| outside())?.to_owned();
        let of_project = Some(top.join("calc/rules")).filter(|folder| folder.is_dir());
        let rules_by = |overrides: &Settings| {
            let named = site::settings(&root, overrides)?.rules.map(|rules| root.join(rules));
            let named = named.map(|rules| fs::canonicalize(&rules).unwrap_or(rules));
            let is_whole = named.is_none() && of_project.is_some();
            Ok::<_, Diagnostics>(RuleFolder { folder: named.or_else(|| of_project.clone()), is_whole })
        };
        let (now, before) = (rules_by(overrides)?, rules_by(&Settings { rules: None, ..overrides.clone() })?);
        Ok(Checkout { top, book, now, before })
    }

    /// The book as it stood at a revision, with the rules and the tank as they stood.
    fn at(&self, revision: &str, overrides: &Settings) -> Result<Version, Diagnostics> {
        let folder =
            tempfile::tempdir().map_err(|error| cannot("write into", &std::env::temp_dir(), &error))?;
        let below = |path: &Option<PathBuf>| {
            path.as_ref().and_then(|path| path.strip_prefix(&self.top).ok().map(Path::to_owned))
        };
        let (rules, others, tank) =
            (below(&self.now.folder), below(&self.before.folder), below(&overrides.tank));
        let wanted = [Some(&self.book), rules.as_ref(), others.as_ref(), tank.as_ref()];
        self.export(revision, &wanted.into_iter().flatten().collect::<Vec<_>>(), folder.path())?;
        let then = |path: &Option<PathBuf>| {
            path.as_ref().map(|path| folder.path().join(path)).filter(|path| path.exists())
        };
        // A folder of rules that the command names may be in the revision too. One that is not stands only on the
        // side of today: the book then had its own. A tank outside the repository is the same then and now.
        let (rules, is_whole) = match then(&rules) {
            Some(rules) => (Some(rules), self.now.is_whole),
            None => (then(&others).or_else(|| self.before.folder.clone()), self.before.is_whole),
        };
        let settings =
            Settings { tank: then(&tank).or_else(|| overrides.tank.clone()), rules, ..overrides.clone() };
        let book = folder.path().join(&self.book);
        let built = version(&book, &settings, is_whole).or_else(|errors| {
            if !drop_words(&errors)? {
                return Err(errors);
            }
            eprintln!(
                "Words of {revision} are in a form that this program does not read: today's stand there"
            );
            version(&book, &settings, is_whole)
        });
        built.map_err(|errors| {
            let note =
                Diagnostic::plain(format!("the book of `{revision}` can not be built by this program"));
            let mut errors: Vec<_> = std::iter::once(note).chain(errors.0).collect();
            let exported = format!("{}/", shown_path(folder.path()));
            for place in errors.iter_mut().filter_map(|error| error.place.as_mut()) {
                if let Some(path) = place.file.strip_prefix(&exported) {
                    place.file = format!("{revision}:{path}");
                }
            }
            Diagnostics(errors)
        })
    }

    /// Writes the files of a revision that lie in `wanted` into `folder`.
    fn export(&self, revision: &str, wanted: &[&PathBuf], folder: &Path) -> Result<(), Diagnostics> {
        let revision =
            git(&self.top, &["rev-parse", "--verify", "--end-of-options", &format!("{revision}^{{tree}}")])?;
        let tree = String::from_utf8_lossy(&revision).trim().to_owned();
        // An index of our own: that of the repository is none of our business.
        let index = folder.join(".index");
        let prefix = format!("--prefix={}/", folder.display());
        let mut list = vec!["ls-files", "-z", "--"];
        let wanted: Vec<_> = wanted.iter().map(|path| path.to_string_lossy().replace('\\', "/")).collect();
        list.extend(wanted.iter().map(|path| if path.is_empty() { "." } else { path.as_str() }));
        let with_index =
            |arguments: &[&str], input: &[u8]| git_with(&self.top, arguments, Some(&index), input);
        with_index(&["read-tree", &tree], b"")?;
        let names = with_index(&list, b"")?;
        with_index(&["checkout-index", "-z", "--stdin", &prefix], &names)?;
        Ok(())
    }
}

/// Removes the files of words in which errors stand, from a folder that is ours; whether there was any.
fn drop_words(errors: &Diagnostics) -> Result<bool, Diagnostics> {
    let files = errors.0.iter().filter_map(|error| error.place.as_ref()).map(|place| Path::new(&place.file));
    let is_of_words = |file: &&Path| file.parent().is_some_and(|folder| folder.ends_with(WORDS));
    let words: BTreeSet<_> = files.filter(is_of_words).collect();
    for file in &words {
        fs::remove_file(file).map_err(|error| cannot("remove", file, &error))?;
    }
    Ok(!words.is_empty())
}

/// The rules and the publications that the files of a folder hold, as `topic.key` and `sources.key`.
fn listed(folder: &Path) -> Result<BTreeSet<String>, Diagnostics> {
    let mut found = BTreeSet::new();
    for file in toml_files(folder)? {
        let topic = file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        // What can not be read has been told when the rules were.
        let tables: toml::Table = read_file(&file)?.parse().unwrap_or_default();
        if file.ends_with(livestock::FILE) {
            found.extend(tables.keys().flat_map(|kind| livestock::rule_ids(kind)).map(|(_, id)| id));
        } else {
            found.extend(tables.keys().map(|key| format!("{topic}.{key}")));
        }
    }
    Ok(found)
}

fn cannot(verb: &str, path: &Path, error: &std::io::Error) -> Diagnostic {
    Diagnostic::plain(format!("cannot {verb} `{}`: {error}", shown_path(path)))
}

fn git(folder: &Path, arguments: &[&str]) -> Result<Vec<u8>, Diagnostics> {
    git_with(folder, arguments, None, b"")
}

/// What git says, with an index in place of the repository's own, and `input` to read.
fn git_with(
    folder: &Path,
    arguments: &[&str],
    index: Option<&Path>,
    input: &[u8],
) -> Result<Vec<u8>, Diagnostics> {
    let cannot_run = |error: std::io::Error| no_revision(format!("cannot run git: {error}"));
    let mut command = Command::new("git");
    command.arg("-C").arg(folder).args(arguments);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command.envs(index.map(|index| ("GIT_INDEX_FILE", index)));
    let mut child = command.spawn().map_err(cannot_run)?;
    if let Some(mut stdin) = child.stdin.take() {
        // A git that reads no more has failed, and says why.
        let _ = stdin.write_all(input);
    }
    let output = child.wait_with_output().map_err(cannot_run)?;
    if output.status.success() {
        Ok(output.stdout)
    } else {
        Err(no_revision(format!("git: {}", String::from_utf8_lossy(&output.stderr).trim())))
    }
}

fn no_revision(message: String) -> Diagnostics {
    Diagnostic::plain(message)
        .hint("name a ledger.json, a folder of rules, or a git revision such as HEAD")
        .into()
}
