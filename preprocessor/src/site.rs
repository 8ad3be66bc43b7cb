//! Builds the site, whole or not at all.
//!
//! The site is rendered into a hidden folder beside its place, checked there, and moved into place only when
//! nothing is wrong. Whatever fails, the site that stood there before still stands, and the hidden folder is
//! gone.
//!
//! `MDBOOK_…` environment variables, which change a stock build, are not read: the same files give the same
//! site on every machine.

use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::edition::Settings;
use crate::files::{files, read_file};
use crate::site::protocol::{Chapter, PREPROCESSOR};
use crate::site::typeset::Manuscript;
use mdbook_driver::MDBook;
use mdbook_driver::config::Config;
use mdbook_preprocessor::Preprocessor;
use mdbook_preprocessor::book::BookItem;
use mdbook_renderer::{RenderContext, Renderer};
use std::fmt::{self, Write};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use tempfile::TempDir;
use tracing::field::{Field, Visit};
use tracing::{Event, Level, Subscriber};
use tracing_subscriber::Registry;
use tracing_subscriber::layer::{Context, Layer, SubscriberExt};

pub mod dress;
pub mod engine;
pub mod links;
pub mod numbers;
pub mod protocol;
pub mod selection;
pub(crate) mod summary;
pub mod typeset;

/// A site that was built.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Site {
    /// Where it stands.
    pub folder: PathBuf,
    /// How many chapters it has.
    pub pages: usize,
    /// What mdBook warned about, for standard error.
    pub warnings: Vec<String>,
}

/// Builds the book in `book_root` and puts it at `output`, or where `book.toml` says.
///
/// `preprocessor` takes the place of the command of `[preprocessor.reckoner]`; it must have that name. Other
/// outputs that `book.toml` lists are built too. `finish` is given the folder of the fresh HTML, to add files
/// to it, before the links are checked; only with HTML output.
///
/// # Errors
/// The book cannot be read, the preprocessor fails, mdBook fails or logs an error (a missing include, for
/// one), `finish` fails, a link of the site leads nowhere, a template tag is left over, or the site cannot be
/// put into its place. An `output` that holds files but no site is refused, because it would be replaced.
pub fn build_site(
    book_root: &Path,
    preprocessor: impl Preprocessor + 'static,
    output: Option<&Path>,
    finish: impl FnOnce(&Path) -> Result<(), Diagnostics>,
) -> Result<Site, Diagnostics> {
    debug_assert_eq!(preprocessor.name(), PREPROCESSOR);
    let root = fs::canonicalize(book_root).map_err(|error| cannot("open the folder", book_root, &error))?;
    let mut config = read_config(&root)?;
    let target = target(&root, &config, output)?;
    let parent = target
        .parent()
        .ok_or_else(|| Diagnostic::plain("the top of the file system is no place for a site"))?;
    fs::create_dir_all(parent).map_err(|error| cannot("create", parent, &error))?;
    sweep(parent, &target);
    // Dropping it, on whatever way out, removes it and all it holds.
    let (hidden, _at_work) = hidden(parent).map_err(|error| cannot("write into", parent, &error))?;
    // A folder inside, because a temporary folder is closed to other users.
    let fresh = hidden.path().join(NEW);
    config.build.create_missing = false;
    config.build.build_dir = fresh.clone();
    let html = html_folder(&config, &fresh)?;

    let (pages, warnings) = logged(|| {
        let mut book = open(&root, config)?;
        book.with_preprocessor(preprocessor);
        book.build()?;
        Ok(book.book.chapters().filter(|chapter| chapter.path.is_some()).count())
    })?;

    if let Some(html) = html {
        finish(&html)?;
        let wrong = links::built::check_site(&html).map_err(|error| cannot("read", &html, &error))?;
        Diagnostics(wrong).or(())?;
    }
    let made = files(&fresh).map_err(|error| cannot("read", &fresh, &error))?;
    fs::write(fresh.join(MARK), made.iter().map(|file| format!("{file}\n")).collect::<String>())
        .map_err(|error| cannot("write into", &fresh, &error))?;
    swap(&fresh, hidden, &target)?;
    Ok(Site { folder: target, pages, warnings })
}

/// The chapters of the book in `book_root` as the preprocessors leave them for a renderer: path and Markdown,
/// in the book's order. Nothing is written.
///
/// # Errors
/// As [`build_site`], but for what only the finished site shows.
pub fn rendered_pages(
    book_root: &Path,
    preprocessor: impl Preprocessor + 'static,
    renderer: &'static str,
) -> Result<Vec<(String, String)>, Diagnostics> {
    let root = fs::canonicalize(book_root).map_err(|error| cannot("open the folder", book_root, &error))?;
    let mut config = read_config(&root)?;
    config.build.create_missing = false;
    let (pages, _) = logged(|| {
        let mut book = open(&root, config)?;
        book.with_preprocessor(preprocessor);
        let (book, _) = book.preprocess_book(&Named(renderer))?;
        let pages = book.chapters().filter_map(|chapter| {
            let path = chapter.path.as_ref()?.to_string_lossy().replace('\\', "/");
            Some((path, chapter.content.clone()))
        });
        Ok(pages.collect())
    })?;
    Ok(pages)
}

/// What `book.toml` settles for us, but for what goes before it.
///
/// # Errors
/// It can not be read.
pub fn settings(book_root: &Path, overrides: &Settings) -> Result<Settings, Diagnostics> {
    let config = read_config(book_root)?;
    typeset::read_settings(&config, overrides)
        .map_err(|error| Diagnostic::plain(format!("book.toml: {error:#}")).into())
}

/// The chapters of the book in `book_root` as their authors wrote them, to be set for any tank.
///
/// # Errors
/// The book cannot be read.
pub fn manuscript(book_root: &Path) -> Result<Manuscript, Diagnostics> {
    manuscript_of(book_root, &Settings::default())
}

/// The same, of those chapters that the club of the settings hands out.
///
/// # Errors
/// As [`manuscript`].
pub fn manuscript_of(book_root: &Path, settings: &Settings) -> Result<Manuscript, Diagnostics> {
    let root = fs::canonicalize(book_root).map_err(|error| cannot("open the folder", book_root, &error))?;
    let mut config = read_config(&root)?;
    config.build.create_missing = false;
    let (src, smart) = (config.book.src.clone(), typeset::smart_punctuation(&config));
    let (mut book, _) = logged(|| open(&root, config))?;
    let selection = selection::select_of(&mut book.book, &root, settings);
    let chapters = typeset::chapters(&book.book);
    Ok(Manuscript::of_selection(&root, &src, &chapters, selection).with_smart_punctuation(smart))
}

/// The sheets in the folder `handouts` of the book in `book_root` as their authors wrote them, to be set for
/// any tank as chapters are. A book without the folder has none.
///
/// # Errors
/// A sheet cannot be read.
pub fn handouts(book_root: &Path) -> Result<Manuscript, Diagnostics> {
    let root = fs::canonicalize(book_root).map_err(|error| cannot("open the folder", book_root, &error))?;
    let smart = typeset::smart_punctuation(&read_config(&root)?);
    let folder = root.join(HANDOUTS);
    let names = if folder.is_dir() { files(&folder) } else { Ok(Vec::new()) };
    let (mut sheets, mut wrong) = (Vec::new(), Diagnostics::default());
    for path in names.map_err(|error| cannot("read", &folder, &error))? {
        if path.ends_with(".md") {
            match read_file(&folder.join(&path)) {
                Ok(content) => {
                    sheets.push(Chapter { path, source_path: None, number: String::new(), content })
                }
                Err(errors) => wrong.0.extend(errors.0),
            }
        }
    }
    wrong.or(Manuscript::new(&root, Path::new(HANDOUTS), &sheets).with_smart_punctuation(smart))
}

/// The chapters that the club of the settings hands out, in the order of the book: path, name, and the part of the
/// book that each stands in, where it stands in one.
///
/// # Errors
/// The book cannot be read.
pub fn contents(
    book_root: &Path,
    settings: &Settings,
) -> Result<Vec<(String, String, Option<String>)>, Diagnostics> {
    let root = fs::canonicalize(book_root).map_err(|error| cannot("open the folder", book_root, &error))?;
    let mut config = read_config(&root)?;
    config.build.create_missing = false;
    let (mut book, _) = logged(|| open(&root, config))?;
    selection::select_of(&mut book.book, &root, settings);
    let (mut found, mut part) = (Vec::new(), None);
    for item in book.iter() {
        match item {
            BookItem::PartTitle(title) => part = Some(title.clone()),
            BookItem::Chapter(chapter) => {
                found.extend(chapter.path.as_ref().map(|path| {
                    (path.to_string_lossy().replace('\\', "/"), chapter.name.clone(), part.clone())
                }))
            }
            BookItem::Separator => part = None,
        }
    }
    Ok(found)
}

/// What the book in `book_root` is called.
///
/// # Errors
/// `book.toml` cannot be read.
pub fn title(book_root: &Path) -> Result<String, Diagnostics> {
    Ok(read_config(book_root)?.book.title.unwrap_or_default())
}

/// The folder of the sheets to hand out, beside that of the chapters.
pub const HANDOUTS: &str = "handouts";

/// The folder of the same sheets in a site.
pub const SHEETS: &str = "sheets";

/// Reads the chapters, once all of them can be read.
fn open(root: &Path, config: Config) -> mdbook_driver::errors::Result<MDBook> {
    Diagnostics(summary::unreadable_chapters(&root.join(&config.book.src))).or(())?;
    MDBook::load_with_config(root, config)
}

/// A renderer that is only a name, so that the preprocessors know for whom they work.
struct Named(&'static str);

impl Renderer for Named {
    fn name(&self) -> &str {
        self.0
    }

    fn render(&self, _: &RenderContext) -> mdbook_driver::errors::Result<()> {
        Ok(())
    }
}

/// Does what mdBook does, and takes what it logs as an error for one. Gives the warnings beside the result.
fn logged<T>(
    work: impl FnOnce() -> mdbook_driver::errors::Result<T>,
) -> Result<(T, Vec<String>), Diagnostics> {
    let log = Log::default();
    let done = tracing::subscriber::with_default(Registry::default().with(log.clone()), work);
    let Events { mut errors, warnings } = log.take();
    match done {
        Ok(done) => return Diagnostics(errors).or((done, warnings)),
        Err(error) => match error.downcast::<Diagnostics>() {
            Ok(diagnostics) => errors.extend(diagnostics.0),
            Err(error) => errors.push(Diagnostic::plain(format!("{error:#}"))),
        },
    }
    Err(Diagnostics(errors))
}

fn read_config(root: &Path) -> Result<Config, Diagnostics> {
    let file = root.join("book.toml");
    let config = Config::from_disk(&file)
        .map_err(|error| Diagnostic::plain(format!("{}: {error:#}", file.display())))?;
    let text = fs::read_to_string(&file).map_err(|error| cannot("read", &file, &error))?;
    if let Some(fault) = Settings::fault_in("book.toml", &text) {
        Err(fault.into())
    } else if config.contains_key(&format!("preprocessor.{PREPROCESSOR}")) {
        Ok(config)
    } else {
        let message = format!("{} has no table [preprocessor.{PREPROCESSOR}]", file.display());
        Err(Diagnostic::plain(message)
            .hint("add it, with before = [\"links\"], so that mdbook build makes the same book")
            .into())
    }
}

/// Where the site goes: an absolute path that is safe to replace.
fn target(root: &Path, config: &Config, output: Option<&Path>) -> Result<PathBuf, Diagnostics> {
    let wanted = output.map_or_else(|| root.join(&config.build.build_dir), Path::to_owned);
    let target = match fs::canonicalize(&wanted) {
        Ok(existing) => existing,
        Err(_) => std::path::absolute(&wanted).map_err(|error| cannot("find", &wanted, &error))?,
    };
    let own = [config.book.src.as_path(), Path::new(HANDOUTS), Path::new("tanks"), Path::new("theme")]
        .map(|part| root.join(part));
    if root.starts_with(&target)
        || own.iter().any(|part| target.starts_with(part) || part.starts_with(&target))
    {
        let message =
            format!("`{}` holds the book's own text, which the site would replace", target.display());
        return Err(Diagnostic::plain(message).hint("choose a folder beside it").into());
    }
    if let [first, ..] = foreign(&target).as_slice() {
        let message =
            format!("`{}` holds files that no build put there, such as `{first}`", target.display());
        return Err(Diagnostic::plain(message)
            .hint("move them elsewhere: the folder is replaced as a whole")
            .into());
    }
    if output.is_some() && target.exists() && !is_our_site_or_empty(&target) {
        let message = format!("`{}` holds something else than a site", target.display());
        return Err(Diagnostic::plain(message)
            .hint("choose a new or an empty folder: what is there would be replaced")
            .into());
    }
    Ok(target)
}

/// A file that every site made here holds, with the names of all others in it: so a folder can be told from
/// one that holds other people's work, and what somebody put into a site later is found.
const MARK: &str = ".reckoner-site";
/// What the names of the hidden folders begin with.
const HIDDEN: &str = ".reckoner-";
/// A file in a hidden folder that is locked as long as its build is at work.
const AT_WORK: &str = "at-work";
/// The fresh site in a hidden folder, and the one whose place it takes.
const NEW: &str = "new";
const OLD: &str = "old";

/// A hidden folder, and the file that says so long as it is open that a build works in it.
fn hidden(parent: &Path) -> io::Result<(TempDir, fs::File)> {
    loop {
        let hidden = tempfile::Builder::new().prefix(HIDDEN).tempdir_in(parent)?;
        match fs::File::create(hidden.path().join(AT_WORK)) {
            Ok(file) => {
                file.try_lock()?;
                return Ok((hidden, file));
            }
            // Another build took it for one that was cut off.
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            Err(error) => return Err(error),
        }
    }
}

/// Whether a build puts something of this name into its hidden folder.
fn is_of_a_build(name: &std::ffi::OsStr) -> bool {
    [NEW, OLD, AT_WORK].iter().any(|ours| name == *ours)
}

/// Removes hidden folders whose builds were cut off; a site that waited in one comes back where none stands.
/// Whatever can not be removed stays: it harms nobody.
fn sweep(parent: &Path, target: &Path) {
    for entry in fs::read_dir(parent).into_iter().flatten().flatten() {
        let hidden = entry.path();
        let holds_ours = || {
            fs::read_dir(&hidden).is_ok_and(|mut inside| {
                inside.all(|entry| entry.is_ok_and(|entry| is_of_a_build(&entry.file_name())))
            })
        };
        let is_ours =
            entry.file_name().to_string_lossy().starts_with(HIDDEN) && hidden.is_dir() && holds_ours();
        // Without that file a build has been cut off before it wrote it, or while it removed it.
        let is_idle = || fs::File::open(hidden.join(AT_WORK)).map_or(true, |file| file.try_lock().is_ok());
        if is_ours && is_idle() {
            let old = hidden.join(OLD);
            if old.join(MARK).is_file() && !target.exists() {
                let _ = fs::rename(old, target);
            }
            let _ = fs::remove_dir_all(hidden);
        }
    }
}

/// The files in a site that no build put there.
fn foreign(site: &Path) -> Vec<String> {
    let Ok(made) = fs::read_to_string(site.join(MARK)) else { return Vec::new() };
    let made: std::collections::BTreeSet<_> = made.lines().collect();
    // A site of an earlier version names no files.
    let found = if made.is_empty() { Vec::new() } else { files(site).unwrap_or_default() };
    found.into_iter().filter(|file| file != MARK && !made.contains(file.as_str())).collect()
}

fn is_our_site_or_empty(folder: &Path) -> bool {
    let is_empty = fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_none());
    is_empty || folder.join(MARK).is_file() && !folder.join(".git").exists()
}

/// Where mdBook puts the HTML: alone at the top, beside other outputs in a folder of its own.
fn html_folder(config: &Config, fresh: &Path) -> Result<Option<PathBuf>, Diagnostics> {
    let outputs = config
        .outputs::<toml::Table>()
        .map_err(|error| Diagnostic::plain(format!("book.toml, table [output]: {error:#}")))?;
    Ok(match outputs.len() {
        0 => Some(fresh.to_owned()),
        1 => outputs.contains_key("html").then(|| fresh.to_owned()),
        _ => outputs.contains_key("html").then(|| fresh.join("html")),
    })
}

/// Lets two folders take each other's place at one instant, where the system can.
fn exchange(one: &Path, other: &Path) -> bool {
    #[cfg(target_os = "linux")]
    {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        renameat_with(CWD, one, CWD, other, RenameFlags::EXCHANGE).is_ok()
    }
    #[cfg(not(target_os = "linux"))]
    {
        let _ = (one, other);
        false
    }
}

/// Moves `fresh` to `target`. What stood there waits in `hidden` until the new site stands, and comes back if
/// it cannot.
fn swap(fresh: &Path, hidden: TempDir, target: &Path) -> Result<(), Diagnostics> {
    let old = hidden.path().join(OLD);
    let replaces = target.exists();
    if replaces && exchange(fresh, target) {
        return Ok(());
    }
    if replaces {
        fs::rename(target, &old).map_err(|error| cannot("replace", target, &error))?;
    }
    let Err(error) = fs::rename(fresh, target) else {
        return Ok(());
    };
    let mut failed = cannot("write", target, &error);
    if replaces && fs::rename(&old, target).is_err() {
        let kept = hidden.keep().join(OLD);
        failed = failed.hint(format!("the site that stood there is now at `{}`", kept.display()));
    }
    Err(failed.into())
}

fn cannot(verb: &str, path: &Path, error: &io::Error) -> Diagnostic {
    Diagnostic::plain(format!("cannot {verb} `{}`: {error}", path.display()))
}

/// Where mdBook makes HTML of the chapters: what is logged there is wrong with a page.
const OF_PAGES: &str = "mdbook_html::html::";

/// mdBook logs errors and builds on. This keeps what it logs.
#[derive(Clone, Default)]
struct Log(Arc<Mutex<Events>>);

#[derive(Default)]
struct Events {
    errors: Vec<Diagnostic>,
    warnings: Vec<String>,
}

impl Log {
    fn take(&self) -> Events {
        std::mem::take(&mut *self.0.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

impl<S: Subscriber> Layer<S> for Log {
    fn on_event(&self, event: &Event<'_>, _: Context<'_, S>) {
        let mut message = Message::default();
        event.record(&mut message);
        let Message(message) = message;
        let mut events = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        // What it finds wrong with a page it mends as it can, and only warns; the first line says what and
        // where.
        if *event.metadata().level() == Level::WARN && event.metadata().target().starts_with(OF_PAGES) {
            let mut lines = message.lines().map(str::to_owned);
            let error = Diagnostic::plain(lines.next().unwrap_or_default());
            events.errors.push(error.hints(lines));
            return;
        }
        match (*event.metadata().level(), message.strip_prefix("Caused By: "), events.errors.last_mut()) {
            (Level::ERROR, ..) => events.errors.push(Diagnostic::plain(message)),
            // mdBook warns of the causes of the error before.
            (Level::WARN, Some(cause), Some(error)) => error.hints.push(format!("because: {cause}")),
            (Level::WARN, ..) => events.warnings.push(message),
            _ => {}
        }
    }
}

/// The text of an event.
#[derive(Default)]
struct Message(String);

impl Visit for Message {
    fn record_debug(&mut self, field: &Field, value: &dyn fmt::Debug) {
        if field.name() == "message" {
            // Writing to a string cannot fail.
            let _ = write!(self.0, "{value:?}");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_old_site_comes_back_when_the_new_one_cannot_stand() {
        let parent = tempfile::tempdir().unwrap();
        let target = parent.path().join("book");
        fs::create_dir(&target).unwrap();
        fs::write(target.join("a.html"), "old").unwrap();
        let hidden = tempfile::tempdir_in(parent.path()).unwrap();
        let missing = hidden.path().join("new");

        let error = swap(&missing, hidden, &target).unwrap_err().to_string();
        assert!(error.starts_with("error: cannot write `"), "{error}");
        assert_eq!(fs::read_to_string(target.join("a.html")).unwrap(), "old");
        assert_eq!(fs::read_dir(parent.path()).unwrap().count(), 1);
    }

    #[test]
    fn what_mdbook_logs_is_kept_with_its_causes() {
        let log = Log::default();
        tracing::subscriber::with_default(Registry::default().with(log.clone()), || {
            tracing::warn!("search index is very large");
            tracing::error!("Error updating \"{}\"", "x");
            tracing::warn!("Caused By: {}", "no such file");
            tracing::info!("not kept");
        });
        let events = log.take();
        assert_eq!(events.warnings, ["search index is very large"]);
        assert_eq!(events.errors, [Diagnostic::plain("Error updating \"x\"").hint("because: no such file")]);
    }
}
