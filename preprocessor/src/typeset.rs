//! Turns the authors' chapters into Markdown with figures: the whole way from `book/` to what mdBook renders.
//!
//! The lint reads the authors' own text, the template engine puts the figures in, and what can only be known when every page is done,
//! such as the list of typed numbers, is filled in last. All errors of a run come together, in the order of the book.

use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

use mdbook_preprocessor::book::{Book, BookItem};
use mdbook_preprocessor::{Preprocessor, PreprocessorContext};
use reckoner_calc::Sheet;
use reckoner_calc::sheet::{Figure, Value as FigureValue};
use tera::value::Key;
use tera::{Context, Kwargs, Map, State, Tera, Value};

use crate::diagnostic::{Diagnostic, Diagnostics, did_you_mean};
use crate::edition::{Edition, Settings, shown_path};
use crate::html::{Medium, SignalWord, escape};
use crate::lint::{self, MarkdownOptions};
use crate::protocol::{Chapter, Request};
use crate::template::{Names, Page, render_pages};

/// The preprocessor as mdBook runs it inside `reckoner build`.
#[derive(Debug, Clone, Default)]
pub struct Reckoner {
    /// What the command line says in place of `book.toml`.
    pub overrides: Settings,
}

impl Preprocessor for Reckoner {
    fn name(&self) -> &str {
        crate::site::PREPROCESSOR
    }

    fn run(&self, context: &PreprocessorContext, mut book: Book) -> mdbook_preprocessor::errors::Result<Book> {
        let mut settings: Settings = context.config.get(&format!("preprocessor.{}", self.name()))?.unwrap_or_default();
        settings.tank = self.overrides.tank.clone().or(settings.tank);
        settings.rules = self.overrides.rules.clone().or(settings.rules);
        let mut chapters = Vec::new();
        book.for_each_mut(|item| {
            if let BookItem::Chapter(chapter) = item
                && let Some(path) = &chapter.path
            {
                let slashes = |path: &Path| path.to_string_lossy().replace('\\', "/");
                chapters.push(Chapter {
                    path: slashes(path),
                    source_path: chapter.source_path.as_deref().map(slashes),
                    content: chapter.content.clone(),
                });
            }
        });
        let medium = Medium::of_renderer(&context.renderer);
        let mut contents = typeset(&context.root, &context.config.book.src, &settings, medium, &chapters)?.into_iter();
        book.for_each_mut(|item| {
            if let BookItem::Chapter(chapter) = item
                && chapter.path.is_some()
                && let Some(content) = contents.next()
            {
                chapter.content = content;
            }
        });
        Ok(book)
    }
}

/// The same over mdBook's protocol, for a stock `mdbook build`.
///
/// # Errors
/// As [`typeset`]; a settings table that can not be read.
pub fn typeset_request(request: &Request) -> Result<Vec<String>, Diagnostics> {
    let settings = match &request.settings {
        serde_json::Value::Null => Settings::default(),
        table => serde_json::from_value(table.clone())
            .map_err(|error| Diagnostic::plain(format!("book.toml, table [preprocessor.reckoner]: {error}")))?,
    };
    typeset(&request.root, Path::new(&request.src), &settings, Medium::of_renderer(&request.renderer), &request.chapters)
}

/// One text for each chapter.
///
/// # Errors
/// Everything that is wrong in the rules, the tanks, the club file and the chapters.
pub fn typeset(root: &Path, src: &Path, settings: &Settings, medium: Medium, chapters: &[Chapter]) -> Result<Vec<String>, Diagnostics> {
    let page = |chapter: &Chapter| {
        let source = chapter.source_path.as_ref().unwrap_or(&chapter.path);
        Page { file: shown_path(&root.join(src).join(source)), path: chapter.path.clone(), text: Arc::from(chapter.content.as_str()) }
    };
    let pages: Vec<_> = chapters.iter().map(page).collect();
    let options = MarkdownOptions::default();
    let mut errors: Vec<_> = pages.iter().flat_map(|page| lint::typed_numbers(&page.file, &page.text, &options)).collect();
    let rendered = match Edition::load(root, settings) {
        Ok(edition) => keep(&mut errors, render(&edition, medium, &pages)),
        Err(found) => {
            // Rules and tanks come before the book.
            errors.splice(0..0, found.0);
            None
        }
    };
    in_book_order(&mut errors, &pages);
    match rendered {
        Some(rendered) if errors.is_empty() => Ok(rendered),
        _ => Err(Diagnostics(errors)),
    }
}

fn keep<T>(errors: &mut Vec<Diagnostic>, result: Result<T, Diagnostics>) -> Option<T> {
    result.map_err(|found| errors.extend(found.0)).ok()
}

/// By chapter, then by place; errors that are in no chapter stay in front.
fn in_book_order(errors: &mut [Diagnostic], pages: &[Page]) {
    errors.sort_by_key(|error| {
        let place = error.place.as_ref();
        let page = place.and_then(|place| pages.iter().position(|page| page.file == place.file));
        page.map_or((0, 0), |page| (page + 1, place.map_or(0, |place| place.span.start)))
    });
}

/// The functions that chapters can call.
const FUNCTIONS: &[&str] = &["caution", "table", "typed", "typed_numbers", "working"];
/// Where in the context the functions find the page they are called from.
const PAGE: &str = "page_path";

fn render(edition: &Edition, medium: Medium, pages: &[Page]) -> Result<Vec<String>, Diagnostics> {
    let (values, ids) = values(edition, medium);
    let typed: Arc<Mutex<Vec<Typed>>> = Arc::default();
    let names = Names { figures: &ids, functions: FUNCTIONS, filters: &[] };
    let context = |page: &Page| {
        let mut context = Context::new();
        for (key, value) in &values {
            context.insert_value(key.to_string(), value.clone());
        }
        context.insert_value(PAGE, Value::normal_string(&page.path));
        context
    };
    let mut rendered = render_pages(pages, names, &context, &|engine| register(engine, edition, medium, &typed))?;
    let typed = typed.lock().unwrap_or_else(PoisonError::into_inner);
    for text in &mut rendered {
        if text.contains(TYPED_NUMBERS) {
            *text = text.replace(TYPED_NUMBERS, &typed_list(&typed, medium, pages));
        }
    }
    Ok(rendered)
}

/// What the templates can name, as nested maps, and all ids.
fn values(edition: &Edition, medium: Medium) -> (Map, Vec<String>) {
    let mut values = Map::new();
    let mut ids = Vec::new();
    let mut put = |id: String, value: Value| {
        insert(&mut values, &id, value);
        ids.push(id);
    };
    let sheets = std::iter::once((String::new(), &edition.sheet));
    let demos = edition.demos.iter().map(|(stem, sheet)| (format!("demo.{stem}."), sheet));
    for (prefix, sheet) in sheets.chain(demos) {
        put(format!("{prefix}tank.name"), Value::normal_string(&sheet.name));
        put(format!("{prefix}tank.about"), Value::normal_string(&sheet.about));
        for figure in sheet.figures() {
            // The rules are the same for every tank.
            if prefix.is_empty() || !figure.id.starts_with("rule.") {
                put(format!("{prefix}{}", figure.id), figure_value(figure, medium));
            }
        }
    }
    put("club.name".to_owned(), Value::normal_string(&edition.club.name));
    put("club.about".to_owned(), Value::normal_string(&edition.club.about));
    (values, ids)
}

fn figure_value(figure: &Figure, medium: Medium) -> Value {
    match &figure.value {
        FigureValue::Words(words) => Value::normal_string(words),
        _ => Value::safe_string(&medium.figure(figure)),
    }
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

fn register(engine: &mut Tera, edition: &Edition, medium: Medium, typed: &Arc<Mutex<Vec<Typed>>>) {
    let sheet = Arc::new(edition.sheet.clone());

    let of = sheet.clone();
    engine.register_function("table", move |kwargs: Kwargs, state: &State<'_>| {
        let id: String = kwargs.must_get("id")?;
        let table = of.tables.get(id.as_str()).ok_or_else(|| unknown("table", &id, of.tables.keys()))?;
        Ok::<_, tera::Error>(Value::safe_string(&medium.table(table, &page_id(state)?)))
    });

    let of: Arc<Sheet> = sheet;
    engine.register_function("working", move |kwargs: Kwargs, _: &State<'_>| {
        let id: String = kwargs.must_get("id")?;
        let working = of.workings.get(id.as_str()).ok_or_else(|| unknown("worked example", &id, of.workings.keys()))?;
        Ok::<_, tera::Error>(Value::safe_string(&medium.working(working, &of)))
    });

    engine.register_function("caution", move |kwargs: Kwargs, _: &State<'_>| {
        let word: String = kwargs.must_get("word")?;
        let part = |key| -> Result<String, tera::Error> { kwargs.must_get(key) };
        let (hazard, consequence, avoid) = (part("hazard")?, part("consequence")?, part("avoid")?);
        let words = SignalWord::ALL.map(|word| word.text().to_lowercase());
        let Some(at) = words.iter().position(|known| *known == word) else {
            return Err(unknown("signal word", &word, words.iter()));
        };
        Ok(Value::safe_string(&medium.caution(SignalWord::ALL[at], &hazard, &consequence, &avoid)))
    });

    let list = typed.clone();
    engine.register_function("typed", move |kwargs: Kwargs, state: &State<'_>| {
        let (text, because): (String, String) = (kwargs.must_get("text")?, kwargs.must_get("because")?);
        if because.trim().is_empty() {
            return Err(tera::Error::message("`because` is empty\nsay why these digits are no figure"));
        }
        let page = state.get::<String>(PAGE)?.unwrap_or_default();
        let entry = Typed { text: text.clone(), because, page };
        let mut list = list.lock().unwrap_or_else(PoisonError::into_inner);
        if !list.contains(&entry) {
            list.push(entry);
        }
        Ok(Value::normal_string(&text))
    });

    engine.register_function("typed_numbers", |_: Kwargs, _: &State<'_>| Value::safe_string(TYPED_NUMBERS));
}

/// The page's path as the start of an HTML id: every id is unique in the whole book, because mdBook also prints it as one page.
fn page_id(state: &State<'_>) -> Result<String, tera::Error> {
    let path = state.get::<String>(PAGE)?.unwrap_or_default();
    Ok(path.trim_end_matches(".md").replace(['/', ' '], "-"))
}

fn unknown<S: AsRef<str>>(what: &str, id: &str, known: impl Iterator<Item = S>) -> tera::Error {
    let known: Vec<_> = known.map(|key| key.as_ref().to_owned()).collect();
    let hint = did_you_mean(id, &known).unwrap_or_else(|| format!("there are {}", known.join(", ")));
    tera::Error::message(format!("there is no {what} `{id}`\n{hint}"))
}

/// Digits that an author typed and gave a reason for.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Typed {
    text: String,
    because: String,
    page: String,
}

/// Stands in the page until every page is rendered. No chapter can hold it: authors' braces and comments are escaped or refused.
const TYPED_NUMBERS: &str = "\u{1}typed numbers\u{1}";

fn typed_list(typed: &[Typed], medium: Medium, pages: &[Page]) -> String {
    let place = |entry: &Typed| pages.iter().position(|page| page.path == entry.page);
    let mut typed: Vec<_> = typed.iter().collect();
    typed.sort_by_key(|entry| place(entry));
    let item = |entry: &&Typed| match medium {
        Medium::Html => {
            let page = escape(&entry.page.replace(".md", ".html"));
            format!("<li>{}, because it is {} (<a href=\"{page}\">{page}</a>)</li>", escape(&entry.text), escape(&entry.because))
        }
        Medium::Markdown => format!("- {}, because it is {} ({})\n", entry.text, entry.because, entry.page),
    };
    let items: String = typed.iter().map(item).collect();
    match medium {
        Medium::Html => format!("<ul class=\"typed-numbers\">{items}</ul>"),
        Medium::Markdown => items,
    }
}
