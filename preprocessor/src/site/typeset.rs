//! Turns the authors' chapters into Markdown with figures: the whole way from `book/` to what mdBook renders.
//!
//! The lint reads the authors' own text, the template engine puts the figures in, and what can only be known
//! when every page is done, such as the list of typed numbers, is filled in last. All errors of a run come
//! together, in the order of the book.

use std::collections::{BTreeSet, HashMap};
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

use mdbook_preprocessor::book::{Book, BookItem, Chapter as BookChapter};
use mdbook_preprocessor::config::Config;
use mdbook_preprocessor::{Preprocessor, PreprocessorContext};
use reckoner_calc::check::figure_value;
use reckoner_calc::quantity::System;
use reckoner_calc::sheet::{Sheet, Value as FigureValue};
use reckoner_page::captions::Captions;
use reckoner_page::claims::{self, Answer};
use reckoner_page::html::Medium;
use reckoner_page::ledger::{address, anchor};
use reckoner_page::listed::Listed;
use reckoner_page::part::{ABOUT, NAME, Part as Answered, Printer};
use reckoner_page::passage::{Form, Piece, Setting, carried};
use tera::value::Key;
use tera::{Context, Map, Value};

use crate::chapter::forme::{self, Fault, Forme, Segment};
use crate::chapter::functions;
use crate::chapter::plain::{self, Block};
use crate::chapter::record::{Claim, ClaimEntry, Part, Record};
use crate::chapter::template::{Names, Page, Rendered, render_pages, value_names};
use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::edition::club::{Club, Contact};
use crate::edition::{ATLAS, Edition, Settings};
use crate::files::{files, shown_path};
use crate::proof::ledger::{Held, Ledger, concerns};
use crate::proof::{checks, sums};
use crate::prose::lint::{self, MarkdownOptions};
use crate::prose::names::{self, Role};
use crate::prose::{hidden, markup, stories, tags};
use crate::site::links::written as links;
use crate::site::protocol::{Chapter, PREPROCESSOR, Request};
use crate::site::selection::{self, Selection};
use crate::site::summary;
use crate::site::{HANDOUTS, SHEETS};

/// The preprocessor as mdBook runs it inside `reckoner build`.
#[derive(Debug, Clone, Default)]
pub struct Reckoner {
    /// What the command line says in place of `book.toml`.
    pub overrides: Settings,
    /// A page that comes behind the last of the book as it is, such as what changed.
    pub added: Option<Added>,
    /// Write a failed check into the ledger in place of stopping.
    pub whatever_the_checks_say: bool,
    /// The ledger of the last run.
    pub ledger: Arc<Mutex<Option<Ledger>>>,
}

/// A page that nobody wrote as a chapter: it is not looked through.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Added {
    /// What the contents call it.
    pub title: String,
    /// Its path among the chapters.
    pub path: String,
    /// Its text.
    pub markdown: String,
}

impl Preprocessor for Reckoner {
    fn name(&self) -> &str {
        PREPROCESSOR
    }

    fn run(
        &self,
        context: &PreprocessorContext,
        mut book: Book,
    ) -> mdbook_preprocessor::errors::Result<Book> {
        let settings = read_settings(&context.config, &self.overrides)?;
        let selection = selection::select_of(&mut book, &context.root, &settings);
        let chapters = chapters(&book);
        let medium = Medium::of_renderer(&context.renderer);
        let typeset = if self.whatever_the_checks_say { typeset_whatever_the_checks_say } else { typeset };
        let smart = smart_punctuation(&context.config);
        let manuscript =
            Manuscript::of_selection(&context.root, &context.config.book.src, &chapters, selection)
                .with_smart_punctuation(smart);
        let typeset = typeset(manuscript, &context.root, &settings, medium)?;
        *self.ledger.lock().unwrap_or_else(PoisonError::into_inner) = Some(typeset.ledger);
        put(&mut book, &typeset.contents);
        if let Some(Added { title, path, markdown }) = &self.added {
            book.push_item(BookItem::Separator);
            book.push_item(BookChapter::new(title, markdown.clone(), path, Vec::new()));
        }
        Ok(book)
    }
}

/// What `book.toml` settles, but for what goes before it.
///
/// # Errors
/// The table can not be read.
pub fn read_settings(config: &Config, overrides: &Settings) -> mdbook_preprocessor::errors::Result<Settings> {
    let settings: Settings = config.get(&format!("preprocessor.{PREPROCESSOR}"))?.unwrap_or_default();
    Ok(settings.or(overrides))
}

/// Whether mdBook is to make straight quotes and dashes round, as it does where `book.toml` says nothing.
pub fn smart_punctuation(config: &Config) -> bool {
    config.get("output.html.smart-punctuation").ok().flatten().unwrap_or(true)
}

/// Puts a text into each chapter of a book that has a file, in the order of [`chapters`].
pub fn put(book: &mut Book, contents: &[String]) {
    let mut contents = contents.iter();
    book.for_each_mut(|item| {
        if let BookItem::Chapter(chapter) = item
            && chapter.path.is_some()
            && let Some(content) = contents.next()
        {
            chapter.content.clone_from(content);
        }
    });
}

/// The chapters of a book that have a file, depth first, in the order of its summary.
pub fn chapters(book: &Book) -> Vec<Chapter> {
    let slashes = |path: &Path| path.to_string_lossy().replace('\\', "/");
    let chapter = |chapter: &mdbook_preprocessor::book::Chapter| {
        Some(Chapter {
            path: slashes(chapter.path.as_deref()?),
            source_path: chapter.source_path.as_deref().map(slashes),
            number: chapter
                .number
                .as_ref()
                .map_or_else(String::new, |number| number.to_string().trim_end_matches('.').to_owned()),
            content: chapter.content.clone(),
        })
    };
    book.chapters().filter_map(chapter).collect()
}

/// The same over mdBook's protocol, for a stock `mdbook build`.
///
/// # Errors
/// As [`typeset`]; a settings table that can not be read.
pub fn typeset_request(request: &mut Request) -> Result<Vec<String>, Diagnostics> {
    let settings = match &request.settings {
        serde_json::Value::Null => Settings::default(),
        table => serde_json::from_value(table.clone()).map_err(|error| {
            Diagnostic::plain(format!("book.toml, table [preprocessor.reckoner]: {error}"))
        })?,
    };
    let medium = Medium::of_renderer(&request.renderer);
    let root = request.root.clone();
    let selection = request.select(|items| selection::select(items, &root, &settings));
    let manuscript = Manuscript::of_selection(&root, Path::new(&request.src), &request.chapters, selection);
    Ok(typeset(
        manuscript.with_smart_punctuation(request.smart_punctuation),
        &request.root,
        &settings,
        medium,
    )?
    .contents)
}

/// What comes of the chapters.
#[derive(Debug, Clone)]
pub struct Typeset {
    /// One text for each chapter.
    pub contents: Vec<String>,
    /// The figures they print.
    pub ledger: Ledger,
    /// The checks that failed. [`typeset`] takes one for an error; a comparison wants to see them all.
    failures: Vec<Diagnostic>,
}

/// Takes all chapters through the lint, the templates and the checks.
///
/// # Errors
/// Everything that is wrong in the rules, the tanks, the club file and the chapters; every check that fails.
pub fn typeset(
    manuscript: Manuscript,
    root: &Path,
    settings: &Settings,
    medium: Medium,
) -> Result<Typeset, Diagnostics> {
    let typeset = typeset_whatever_the_checks_say(manuscript, root, settings, medium)?;
    if typeset.failures.is_empty() { Ok(typeset) } else { Err(Diagnostics(typeset.failures)) }
}

/// As [`typeset`], but a failed check is no error: it stands in the ledger.
///
/// # Errors
/// As [`typeset`], but for the checks.
pub fn typeset_whatever_the_checks_say(
    manuscript: Manuscript,
    root: &Path,
    settings: &Settings,
    medium: Medium,
) -> Result<Typeset, Diagnostics> {
    match Edition::load(root, settings) {
        Ok(edition) => manuscript.set(&edition, medium),
        Err(mut errors) => {
            // Rules and tanks come before the book.
            errors.0.extend(manuscript.wrong);
            Err(errors)
        }
    }
}

/// More bytes than anybody writes into one chapter.
const LONGEST: usize = 300_000;

/// The chapters of a book as their authors wrote them, looked through once, to be set for any tank.
#[derive(Debug, Clone)]
pub struct Manuscript {
    pages: Vec<Page>,
    /// The chapters' numbers in the summary.
    numbers: Vec<String>,
    /// The names of all values that the pages use.
    names: BTreeSet<String>,
    /// The links to what only a rendered page has.
    links: links::Waiting,
    /// The paths of the chapters of the book that are none of these.
    left_out: BTreeSet<String>,
    /// What is wrong whatever the tank.
    wrong: Vec<Diagnostic>,
    smart_punctuation: bool,
}

impl Manuscript {
    /// The manuscript of some chapters.
    ///
    /// - `root`, `src`: the folder of `book.toml`, and the folder of the chapters in it, for the messages
    pub fn new(root: &Path, src: &Path, chapters: &[Chapter]) -> Self {
        Manuscript::of_selection(root, src, chapters, Selection::default())
    }

    /// The same, where some chapters of the book were left out.
    pub fn of_selection(root: &Path, src: &Path, chapters: &[Chapter], selection: Selection) -> Self {
        let Selection { left_out, wrong: wrongly_chosen } = selection;
        let page = |chapter: &Chapter| {
            let source = chapter.source_path.as_ref().unwrap_or(&chapter.path);
            // What is refused below is not looked through.
            let text = if chapter.content.len() > LONGEST { "" } else { chapter.content.as_str() };
            Page {
                file: shown_path(&root.join(src).join(source)),
                path: chapter.path.clone(),
                text: Arc::from(text),
            }
        };
        let pages: Vec<_> = chapters.iter().map(page).collect();
        let is_too_long = |(chapter, page): (&Chapter, &Page)| {
            let length = chapter.content.len();
            let message = format!("cannot read `{}`: it holds {length} bytes", page.file);
            let refused =
                Diagnostic::plain(message).hint(format!("write at most {LONGEST} into one chapter"));
            (length > LONGEST).then_some(refused)
        };
        let options = MarkdownOptions::default();
        let look = |page: &Page| {
            let mut wrong = lint::typed_numbers(&page.file, &page.text, &options);
            wrong.extend(stories::stories(&page.file, &page.text, &options));
            wrong.extend(hidden::hidden(&page.file, &page.text));
            wrong
        };
        let src = root.join(src);
        let mut wrong = wrongly_chosen;
        wrong.extend(chapters.iter().zip(&pages).filter_map(is_too_long));
        wrong.extend(summary::lints(&src, &options));
        wrong.extend(pages.iter().flat_map(look));
        // A folder that can not be read has been told by whoever read the chapters.
        let beside = files(&src).unwrap_or_default().into_iter();
        let sheets = files(&root.join(HANDOUTS)).unwrap_or_default();
        let sheets =
            sheets.iter().filter_map(|name| Some(format!("{SHEETS}/{}.html", name.strip_suffix(".md")?)));
        let (links, dead) = links::check(&pages, chapters, &beside.chain(sheets).collect(), &left_out);
        wrong.extend(dead);
        in_book_order(&mut wrong, &pages);
        let names = pages.iter().flat_map(value_names).collect();
        let numbers = chapters.iter().map(|chapter| chapter.number.clone()).collect();
        Manuscript { numbers, names, links, left_out, pages, wrong, smart_punctuation: true }
    }

    /// The same, for a book in which quotes and dashes become round, or stay as they are typed.
    #[must_use]
    pub fn with_smart_punctuation(self, smart_punctuation: bool) -> Self {
        Manuscript { smart_punctuation, ..self }
    }

    /// Whether its quotes and dashes become round.
    pub fn has_smart_punctuation(&self) -> bool {
        self.smart_punctuation
    }

    /// The same, whatever its authors typed by hand: an old text may hold what was allowed when it was
    /// written.
    #[must_use]
    pub fn whatever_was_typed(self) -> Self {
        Manuscript { wrong: Vec::new(), ..self }
    }

    /// The chapters' paths in the book's source folder, in its order.
    pub fn paths(&self) -> impl Iterator<Item = &str> {
        self.pages.iter().map(|page| page.path.as_str())
    }

    /// The chapters as they were written, in the book's order.
    pub fn texts(&self) -> impl Iterator<Item = &str> {
        self.pages.iter().map(|page| page.text.as_ref())
    }

    /// Sets all chapters with the figures of an edition. A failed check is no error: it stands in the ledger.
    ///
    /// # Errors
    /// Everything that is wrong in the chapters.
    pub fn set(&self, edition: &Edition, medium: Medium) -> Result<Typeset, Diagnostics> {
        let mut errors = self.wrong.clone();
        let typeset = self.render(edition, medium, &mut errors);
        in_book_order(&mut errors, &self.pages);
        match typeset {
            Some(typeset) if errors.is_empty() => Ok(typeset),
            _ => Err(Diagnostics(errors)),
        }
    }
}

/// By chapter, then by place; errors that are in no chapter stay in front.
fn in_book_order(errors: &mut [Diagnostic], pages: &[Page]) {
    errors.sort_by_key(|error| {
        let place = error.place.as_ref();
        let page = place.and_then(|place| pages.iter().position(|page| page.file == place.file));
        page.map_or((0, 0), |page| (page + 1, place.map_or(0, |place| place.span.start)))
    });
}

impl Manuscript {
    fn render(&self, edition: &Edition, medium: Medium, errors: &mut Vec<Diagnostic>) -> Option<Typeset> {
        let pages = self.pages.as_slice();
        let checks = checks::run(pages, edition).map_err(|found| errors.extend(found.0)).ok();
        let ledger_page = pages
            .iter()
            .find(|page| page.text.contains(&format!("{}()", Part::Ledger.name())))
            .map(|page| &*page.path);
        let record: Arc<Mutex<Record>> = Arc::default();
        let rendered = match self.rendered(edition, medium, ledger_page, &record) {
            Ok(rendered) => rendered,
            Err(found) => {
                errors.extend(found.0);
                errors.extend(self.not_so(edition));
                return None;
            }
        };
        let checks = checks?;

        let failures = checks::failures(&checks).collect();
        let held: Vec<Held> = checks.into_iter().map(|(held, _)| held).collect();
        let formes =
            self.formes(&rendered, &held, edition, medium).map_err(|found| errors.extend(found)).ok()?;
        let printer = Printer::new(medium, &edition.sheet, &edition.rules);
        let answer = |key: &str| printer.part(key);
        let claims: Vec<_> =
            pages.iter().zip(&formes).flat_map(|(page, forme)| claims(&page.path, forme)).collect();
        let is_read = |claim: &&Claim| {
            claim.under.iter().all(|(asks, holds)| (answer(&format!("?:{asks}")) == Answered::Yes) == *holds)
        };
        let mut true_claims: Vec<ClaimEntry> = Vec::new();
        for claim in claims.iter().filter(is_read) {
            let entry = ClaimEntry { that: claim.that.clone(), page: claim.page.clone() };
            match claims::holds(&claim.that, &edition.sheet) {
                Ok(Answer::Holds) if !true_claims.contains(&entry) => true_claims.push(entry),
                // Words that are not true of a reader's tank are left out; those about a tank of the book
                // have to be changed.
                Ok(Answer::Fails) if !edition.is_readers => {
                    errors.extend(self.is_not_so(claim, &edition.sheet))
                }
                _ => {}
            }
        }

        let ledger_address =
            |page: &Page| ledger_page.map_or_else(String::new, |ledger| from_page(page, &address(ledger)));
        let mut set: Vec<Vec<Set>> = pages
            .iter()
            .zip(&formes)
            .map(|(page, forme)| {
                set_all(&forme.segments, &mut Setting::new(medium, &answer, &ledger_address(page)))
            })
            .collect();
        let blocks: Vec<_> = pages
            .iter()
            .zip(&set)
            .map(|(page, set)| {
                (page.path.clone(), plain::blocks(&set.iter().map(Set::text).collect::<String>()))
            })
            .collect();
        let mut record = record.lock().unwrap_or_else(PoisonError::into_inner);
        let place = |path: &str| pages.iter().position(|page| page.path == path);
        record.typed.sort_by_key(|entry| place(&entry.page));
        let sums = work_sums(pages, &blocks, errors);
        let ledger = Ledger::gather(edition, &blocks, &held, sums, true_claims, record.typed.clone());
        let listed = self.listed(&formes, &held, &ledger);
        for (page, set) in pages.iter().zip(&mut set) {
            let mut setting = Setting::new(medium, &answer, &ledger_address(page));
            let proven = |part: Set, setting: &mut Setting<'_>| match part {
                Set::Proof(part) => {
                    set_all(&part.segments(edition, &ledger, &listed, &claims, medium), setting)
                }
                other => vec![other],
            };
            *set = std::mem::take(set).into_iter().flat_map(|part| proven(part, &mut setting)).collect();
        }
        let mut contents: Vec<String> = set.iter().map(|set| set.iter().map(Set::text).collect()).collect();
        if medium == Medium::Html {
            errors.extend(pages.iter().zip(&contents).flat_map(|(page, text)| unmatched_markup(page, text)));
            // A reader's tank may lack a table together with the words that point at it: there the finished
            // site tells.
            if !edition.is_readers {
                errors.extend(self.links.check(pages, &contents));
            }
            contents = pages
                .iter()
                .zip(&self.numbers)
                .zip(&set)
                .map(|((page, number), set)| with_forms(set, number, &ledger_address(page)))
                .collect();
        }
        Some(Typeset { contents, ledger, failures })
    }

    /// The chapters as Markdown with marks, the same for every tank.
    fn rendered(
        &self,
        edition: &Edition,
        medium: Medium,
        ledger_page: Option<&str>,
        record: &Arc<Mutex<Record>>,
    ) -> Result<Vec<Rendered>, Diagnostics> {
        // Whoever names one of its figures has it reckoned; a function does it by itself.
        if self.names.iter().any(|name| name.split('.').next() == Some(ATLAS)) {
            edition.atlas()?;
        }
        let mut by_depth: HashMap<usize, Map> = HashMap::new();
        for page in &self.pages {
            let depth = page.path.matches('/').count();
            by_depth.entry(depth).or_insert_with(|| self.values(edition, medium, depth, ledger_page));
        }
        let ids = ids(edition);
        let names = Names { figures: &ids, functions: functions::NAMES, filters: &[], fixed: &FIXED };
        let context = |page: &Page| {
            let mut context = Context::new();
            for (key, value) in by_depth.get(&page.path.matches('/').count()).into_iter().flatten() {
                context.insert_value(key.to_string(), value.clone());
            }
            context.insert_value(functions::PAGE, Value::normal_string(&page.path));
            context
        };
        let mut rendered = render_pages(&self.pages, names, &context, &|engine| {
            functions::register(engine, edition, medium, record)
        })?;
        for (page, rendered) in self.pages.iter().zip(&mut rendered).filter(|_| !self.left_out.is_empty()) {
            rendered.text = selection::unlinked(&rendered.text, &page.path, &self.left_out);
        }
        Ok(rendered)
    }

    /// The chapters, locked up with the notes of their checks.
    fn formes(
        &self,
        rendered: &[Rendered],
        held: &[Held],
        edition: &Edition,
        medium: Medium,
    ) -> Result<Vec<Forme>, Vec<Diagnostic>> {
        let mut options = MarkdownOptions::default();
        options.smart_punctuation = self.smart_punctuation;
        let why = |id: &str| edition.lacking(id).map(str::to_owned);
        let (mut formes, mut errors) = (Vec::new(), Vec::new());
        for (page, rendered) in self.pages.iter().zip(rendered) {
            let text = checks::put_notes(&rendered.text, &page.path, held, edition, medium);
            match forme::lock(&text, &options, medium == Medium::Html, &why) {
                Ok(forme) => formes.push(forme),
                Err(faults) => {
                    errors.extend(faults.into_iter().map(|fault| not_locked(page, rendered, fault)))
                }
            }
        }
        if errors.is_empty() { Ok(formes) } else { Err(errors) }
    }

    /// What the book can print of any tank, and the rules behind what it prints of its own.
    fn listed(&self, formes: &[Forme], held: &[Held], ledger: &Ledger) -> Listed {
        let mut listed = Listed { pages: self.paths().map(str::to_owned).collect(), ..Listed::default() };
        for (at, forme) in formes.iter().enumerate() {
            forme.walk(&mut |_, piece| {
                let Piece::Gap(key) = piece else { return };
                let (sort, id) = key.split_once(':').unwrap_or_default();
                let to = match sort {
                    "f" => &mut listed.figures,
                    "w" => &mut listed.workings,
                    "t" => &mut listed.tables,
                    _ => return,
                };
                to.entry(id.split('@').next().unwrap_or_default().to_owned()).or_default().insert(at);
            });
        }
        for entry in
            ledger.figures.iter().filter(|entry| entry.id.starts_with("demo.") || entry.id.starts_with(ATLAS))
        {
            let places =
                entry.places.iter().filter_map(|place| self.paths().position(|path| path == place.page));
            let places: BTreeSet<_> = places.collect();
            for rule in &entry.rules {
                listed.rules.entry(rule.clone()).or_default().extend(&places);
            }
        }
        for check in held.iter().map(|held| &held.check) {
            let entry = (concerns(check), check.what().replace(['{', '}', '\t', '\n'], " "));
            if !listed.checks.contains(&entry) {
                listed.checks.push(entry);
            }
        }
        listed
    }

    /// Words that their figures do not bear out, as they were written: where pages can not be rendered one
    /// run tells them beside the rest. Those under a condition wait for the next.
    fn not_so(&self, edition: &Edition) -> Vec<Diagnostic> {
        let mut found = Vec::new();
        for page in self.pages.iter().filter(|_| !edition.is_readers) {
            let mut depth = 0_usize;
            for tag in tags::tags(&page.text) {
                let body = page.text[tag.body.clone()].trim();
                match body.split_whitespace().next() {
                    Some("if") if tag.kind == tags::Kind::Statement => depth += 1,
                    Some("endif") if tag.kind == tags::Kind::Statement => depth = depth.saturating_sub(1),
                    _ => {}
                }
                let said = names::literals(&page.text, &tag)
                    .into_iter()
                    .filter(|literal| literal.argument == Some(("holds", "that")));
                for literal in said.filter(|_| depth == 0) {
                    let that = page.text[literal.span].trim_matches(['"', '\'', '`']).to_owned();
                    if claims::holds(&that, &edition.sheet) == Ok(Answer::Fails) {
                        found.extend(self.is_not_so(
                            &Claim { that, under: Vec::new(), page: page.path.clone() },
                            &edition.sheet,
                        ));
                    }
                }
            }
        }
        found
    }

    /// What is wrong with words that their figures do not bear out.
    fn is_not_so(&self, claim: &Claim, sheet: &Sheet) -> Option<Diagnostic> {
        let page = self.pages.iter().find(|page| page.path == claim.page)?;
        let tags = tags::tags(&page.text);
        let calls = tags.iter().filter(|tag| page.text[tag.body.clone()].contains(&claim.that));
        let call =
            calls.flat_map(|tag| names::uses(&page.text, tag).into_iter().map(move |found| (tag, found)));
        let (tag, call) = call.into_iter().find(|(_, found)| found.role == Role::Function)?;
        let span = call.span.start..tag.body.start + page.text[tag.body.clone()].trim_end().len();
        let error =
            Diagnostic::new(&page.file, page.text.clone(), span, format!("`{}` does not hold", claim.that));
        Some(
            error
                .hints(figures_of(&claim.that, sheet))
                .hint("change the words, or see why the figures changed"),
        )
    }

    /// What the templates can name: a mark for each figure of the running tank, also for those that a page
    /// names and the tank lacks.
    fn values(&self, edition: &Edition, medium: Medium, depth: usize, ledger_page: Option<&str>) -> Map {
        let mut values = values(edition, medium, depth, ledger_page);
        let lacks = |name: &&String| look_up(&values, name).is_none() && edition.lacking(name).is_some();
        let lacking: Vec<_> = self.names.iter().filter(lacks).collect();
        for id in lacking {
            let is_running = !FIXED.contains(&id.split('.').next().unwrap_or_default());
            let mark = if is_running { forme::gap(&format!("f:{id}")) } else { forme::lacking(id) };
            insert(&mut values, id, Value::safe_string(&mark));
        }
        values
    }
}

/// What the names of values begin with that are the same whatever the running tank is.
const FIXED: [&str; 4] = ["demo", ATLAS, "club", functions::PAGE];

/// A piece of a page as it is set.
#[derive(Debug, Default)]
enum Set {
    Plain(String),
    /// What is set of a passage, and the passage as the page carries it.
    Passage(String, Form),
    Proof(Part),
    #[default]
    Nothing,
}

impl Set {
    fn text(&self) -> &str {
        match self {
            Set::Plain(text) | Set::Passage(text, _) => text,
            Set::Proof(_) | Set::Nothing => "",
        }
    }
}

fn set_all(segments: &[Segment], setting: &mut Setting<'_>) -> Vec<Set> {
    let set = segments.iter().map(|segment| match segment {
        Segment::Plain(text) => Set::Plain(text.clone()),
        Segment::Proof(part) => Set::Proof(*part),
        Segment::Passage { markdown, html } => {
            let text = setting.set(markdown);
            match html {
                Some(passage) => Set::Passage(text, Form::Passage(passage.clone())),
                None => Set::Plain(text),
            }
        }
    });
    set.collect()
}

/// A page with its captions numbered, and with the forms of what a browser sets for another tank.
fn with_forms(set: &[Set], number: &str, ledger: &str) -> String {
    let mut captions = Captions::of(number);
    let page = Form::Page { number: number.to_owned(), ledger: ledger.to_owned() };
    let mut out = carried(&page, "") + "\n\n";
    for part in set {
        match part {
            Set::Plain(text) => {
                out.push_str(
                    &captions
                        .number_as(text, &|word, number| carried(&Form::Number(word.to_owned()), number)),
                );
            }
            Set::Passage(text, form) => {
                out.push_str(&carried(form, &format!("\n\n{}\n\n", captions.number(text))))
            }
            Set::Proof(_) | Set::Nothing => {}
        }
    }
    out
}

/// The claims of a page, in its order.
fn claims(page: &str, forme: &Forme) -> Vec<Claim> {
    let mut claims: Vec<Claim> = Vec::new();
    forme.walk(&mut |path, piece| {
        let Piece::Claim(that) = piece else { return };
        let under = path.iter().map(|(condition, holds)| ((*condition).to_owned(), *holds)).collect();
        let claim = Claim { that: that.clone(), under, page: page.to_owned() };
        if !claims.contains(&claim) {
            claims.push(claim);
        }
    });
    claims
}

/// What the figures of a claim are, a line each.
fn figures_of(claim: &str, sheet: &Sheet) -> Vec<String> {
    let mut lines = Vec::new();
    for name in claim.split(|c: char| !c.is_alphanumeric() && !matches!(c, '_' | '.')) {
        if let Some(quantity) = figure_value(sheet, name) {
            let line = format!("`{name}` is {}", sheet.shown(quantity));
            if !lines.contains(&line) {
                lines.push(line);
            }
        }
    }
    lines
}

/// A fault of a page where its author wrote it.
fn not_locked(page: &Page, rendered: &Rendered, fault: Fault) -> Diagnostic {
    let statement = fault.statement.and_then(|place| rendered.statements.get(place));
    let span = statement.cloned().unwrap_or_else(|| place_of(&page.text, &fault));
    let error = Diagnostic::new(&page.file, page.text.clone(), span, fault.message).hint(fault.hint);
    if statement.is_some() { error } else { error.label("most likely from here") }
}

/// Where the author most likely wrote what a fault is about: a heading may have no word of its own.
fn place_of(text: &str, fault: &Fault) -> std::ops::Range<usize> {
    let is_heading =
        |line: &&str| line.starts_with('#') && line.contains(tags::EXPRESSION.0) && !line.contains("{#");
    let heading =
        text.lines().find(is_heading).and_then(|line| text.find(line).map(|start| start..start + line.len()));
    heading.filter(|_| fault.near.trim().is_empty()).unwrap_or_else(|| line_of(text, &fault.near))
}

/// An address in the book as a page writes it.
fn from_page(page: &Page, address: &str) -> String {
    format!("{}{address}", "../".repeat(page.path.matches('/').count()))
}

fn look_up<'v>(values: &'v Map, id: &str) -> Option<&'v Value> {
    let (root, rest) = id.split_once('.').map_or((id, None), |(root, rest)| (root, Some(rest)));
    let value = values.get(&Key::from(root.to_owned()))?;
    match rest {
        None => Some(value),
        Some(rest) => look_up(value.as_map()?, rest),
    }
}

/// What is wrong with the HTML of a rendered page, where its author wrote it if that is wrong by itself.
fn unmatched_markup(page: &Page, rendered: &str) -> Vec<Diagnostic> {
    let options = MarkdownOptions::default();
    let found = markup::unmatched(&format!("{} (rendered)", page.file), &rendered.into(), &options);
    let written =
        if found.is_empty() { Vec::new() } else { markup::unmatched(&page.file, &page.text, &options) };
    if written.is_empty() { found } else { written }
}

/// Works every printed sum again, as readers of each system see it.
fn work_sums(pages: &[Page], blocks: &[(String, Vec<Block>)], errors: &mut Vec<Diagnostic>) -> usize {
    let mut worked = 0;
    for (page, (_, blocks)) in pages.iter().zip(blocks) {
        for block in blocks {
            let (metric, us) = (block.in_system(System::Metric), block.in_system(System::Us));
            let both = if metric == us { vec![metric] } else { vec![metric, us] };
            for text in both {
                let found = sums::work(&text);
                worked += found.worked;
                errors.extend(found.wrong.into_iter().map(|wrong| {
                    let message = format!("the sum `{}` does not come out", wrong.sum);
                    Diagnostic::new(&page.file, page.text.clone(), line_of(&page.text, &text), message)
                        .label("most likely from here")
                        .hint(format!("the printed digits come to {}", reckoned(wrong.comes_to)))
                }));
            }
        }
    }
    worked
}

/// A number with at most six decimals, for a message.
fn reckoned(value: f64) -> String {
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The author's line that a block of a rendered page most likely came from: the one with most of its words.
fn line_of(text: &str, block: &str) -> std::ops::Range<usize> {
    let words: Vec<_> =
        block.split_whitespace().filter(|word| word.chars().all(char::is_alphabetic)).collect();
    let mut best = (0, 0..0);
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let trimmed = line.trim_end();
        let shared =
            words.iter().filter(|word| trimmed.split_whitespace().any(|of_line| of_line == **word)).count()
                + usize::from(trimmed.contains('=') && !trimmed.starts_with('#'));
        if shared > best.0 {
            best = (shared, start..start + trimmed.len());
        }
        start += line.len();
    }
    best.1
}

/// All ids, for "did you mean".
fn ids(edition: &Edition) -> Vec<String> {
    let mut ids =
        ["name", "about", "address", "meeting", "contacts"].map(|key| format!("club.{key}")).to_vec();
    for (prefix, sheet) in edition.sheets() {
        ids.extend(["tank.name", "tank.about"].map(|id| format!("{prefix}{id}")));
        let is_own = |id: &&str| prefix.is_empty() || !id.starts_with("rule.");
        ids.extend(
            sheet
                .figures()
                .iter()
                .map(|figure| figure.id.as_str())
                .filter(is_own)
                .map(|id| format!("{prefix}{id}")),
        );
    }
    ids
}

/// What the templates can name, as nested maps: the running tank's figures as marks, all else as it is
/// printed.
fn values(edition: &Edition, medium: Medium, depth: usize, ledger_page: Option<&str>) -> Map {
    let mut values = Map::new();
    put_club(&mut values, &edition.club);
    let running = edition.sheet.figures().iter().map(|figure| figure.id.as_str());
    for id in running.chain([NAME, ABOUT]) {
        insert(&mut values, id, Value::safe_string(&forme::gap(&format!("f:{id}"))));
    }
    for (prefix, sheet) in edition.sheets().skip(1) {
        if !prefix.is_empty() {
            insert(&mut values, &format!("{prefix}{NAME}"), Value::normal_string(&sheet.name));
            insert(&mut values, &format!("{prefix}{ABOUT}"), Value::normal_string(&sheet.about));
        }
        // The rules are the same for every tank.
        for figure in sheet.figures().iter().filter(|figure| !figure.id.starts_with("rule.")) {
            let id = format!("{prefix}{}", figure.id);
            let line =
                ledger_page.map(|page| format!("{}{}#{}", "../".repeat(depth), address(page), anchor(&id)));
            let value = match &figure.value {
                FigureValue::Words(_) => Value::normal_string(&figure.text()),
                _ => Value::safe_string(&medium.figure(figure, &prefix, line.as_deref())),
            };
            insert(&mut values, &id, value);
        }
    }
    values
}

/// What the templates can name of the club.
fn put_club(values: &mut Map, club: &Club) {
    // What a club leaves out is empty, which is no for a condition.
    let [address, meeting] = [&club.address, &club.meeting].map(|text| text.as_deref().unwrap_or_default());
    for (key, text) in
        [("name", club.name.as_str()), ("about", &club.about), ("address", address), ("meeting", meeting)]
    {
        insert(values, &format!("club.{key}"), Value::normal_string(text));
    }
    let contact = |contact: &Contact| {
        let mut of = Map::new();
        insert(&mut of, "name", Value::normal_string(&contact.name));
        insert(&mut of, "line", Value::normal_string(&contact.line()));
        Value::from(of)
    };
    insert(values, "club.contacts", Value::from(club.contacts.iter().map(contact).collect::<Vec<_>>()));
}

fn insert(map: &mut Map, id: &str, value: Value) {
    match id.split_once('.') {
        None => {
            map.insert(id.to_owned().into(), value);
        }
        Some((root, rest)) => {
            let key = Key::from(root.to_owned());
            let mut inner = map.swap_remove(&key).and_then(Value::into_map).unwrap_or_default();
            insert(&mut inner, rest, value);
            map.insert(key, Value::from(inner));
        }
    }
}
