//! Renders chapters: an author's text with tags in, Markdown out.
//!
//! A tag is `{= expression =}`, `{% statement %}` or `{* comment *}`; everything else passes byte for byte.
//! To show a tag to the reader, put it into code inside a raw block: ``{% raw %}`{= tank.water =}`{% endraw
//! %}``.
//!
//! **One text for every tank.** A figure of the running tank is a mark in what comes out, and so is a
//! condition that asks what the tank has: both branches stand there. [`forme`] reads
//! the marks. So such a figure stands alone in its tag, and such a condition asks `NAME is defined` and no
//! more. What is [fixed](Names::fixed), a tank of the book or the club, is Tera's.
//!
//! **Escaping.** Every value that is a plain string is escaped, on every page. Names and notes come from a
//! reader's own tank file, and must stay text whatever characters they hold: not HTML, not Markdown, not one
//! of mdBook's directives. Functions and filters that print HTML say so with `Value::safe_string`.
//!
//! **Errors.** All pages are rendered whatever happens to the first, and every tag is looked at, so one run
//! reports everything.

use crate::chapter::forme;
use crate::diagnostic::{Diagnostic, Diagnostics, did_you_mean};
use crate::prose::names::{self, Role, Use};
use crate::prose::tags::{self, Kind, Tag};
use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use pulldown_cmark::{Event, Parser};
use reckoner_page::condition::Condition;
use reckoner_page::text::{MARK, escape};
use std::collections::HashSet;
use std::ops::Range;
use std::sync::Arc;
use tera::{Context, Delimiters, ErrorKind, Kwargs, State, Tera, Value};

/// One chapter as its author wrote it.
#[derive(Debug, Clone)]
pub struct Page {
    /// The file as shown in errors: `book/src/flow.md`.
    pub file: String,
    /// The chapter's path in the book's source folder, with forward slashes: `flow.md`.
    pub path: String,
    /// Its text.
    pub text: Arc<str>,
}

/// The names an author can use, for "did you mean".
#[derive(Debug, Clone, Copy, Default)]
pub struct Names<'a> {
    /// The ids of the figures: `tank.water`.
    pub figures: &'a [String],
    /// The functions that `register` adds.
    pub functions: &'a [&'a str],
    /// The filters that `register` adds.
    pub filters: &'a [&'a str],
    /// What the names of values begin with, up to a dot, that are the same whatever the running tank is.
    pub fixed: &'a [&'a str],
}

/// A page as it comes out, for every tank.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rendered {
    /// Its Markdown, with marks.
    pub text: String,
    /// Where its author wrote each statement that is a mark in the text, in the order of the text.
    pub statements: Vec<Range<usize>>,
}

/// Renders all pages, in their order.
///
/// `context` gives the values of one page; `register` adds functions and filters. A function or filter of
/// ours that fails says what is wrong in the first line of its message and what would be right in the others;
/// it is placed at its call.
///
/// # Errors
/// Everything that is wrong on any page: a tag that cannot be read, a name that does not exist, a function
/// that fails, a value that cannot be printed as it is, a delimiter or a pair of braces that would reach the
/// reader.
pub fn render_pages(
    pages: &[Page],
    names: Names<'_>,
    context: &dyn Fn(&Page) -> Context,
    register: &dyn Fn(&mut Tera),
) -> Result<Vec<Rendered>, Diagnostics> {
    let mut engine = engine().map_err(|error| Diagnostics::from(Diagnostic::plain(error.to_string())))?;
    register(&mut engine);
    let mut rendered = Vec::with_capacity(pages.len());
    let mut errors = Diagnostics::default();
    for page in pages {
        match render(page, names, &context(page), engine.clone()) {
            Ok(text) => rendered.push(text),
            Err(found) => errors.0.extend(found),
        }
    }
    errors.or(rendered)
}

/// Tera with our delimiters, escaping on every page.
fn engine() -> Result<Tera, tera::Error> {
    let mut engine = Tera::default();
    engine.set_delimiters(Delimiters {
        block_start: tags::STATEMENT.0.into(),
        block_end: tags::STATEMENT.1.into(),
        variable_start: tags::EXPRESSION.0.into(),
        variable_end: tags::EXPRESSION.1.into(),
        comment_start: tags::COMMENT.0.into(),
        comment_end: tags::COMMENT.1.into(),
    })?;
    // Every name ends with nothing.
    engine.autoescape_on([""]);
    engine.set_escape_fn(escape);
    // What a tank of the book lacks is a mark, so that a sentence without a condition is seen to need it.
    engine.register_test("defined", is_there);
    engine.register_test("undefined", |value: &Value, kwargs: Kwargs, state: &State<'_>| {
        !is_there(value, kwargs, state)
    });
    Ok(engine)
}

fn render(
    page: &Page,
    names: Names<'_>,
    context: &Context,
    mut engine: Tera,
) -> Result<Rendered, Vec<Diagnostic>> {
    let tags = tags::tags(&page.text);
    let locals = locals(&page.text, &tags);
    let mut errors: Vec<Diagnostic> =
        tags.iter().flat_map(|tag| check_names(page, tag, &locals, context, names)).collect();

    errors.extend(tags.iter().filter_map(|tag| check_stands_alone(page, tag)));
    let statements = match of_the_tank(page, &tags, &locals, names) {
        Ok(statements) => statements,
        Err(found) => {
            errors.extend(found);
            Vec::new()
        }
    };
    let (not_closed, text) = (not_closed(page, &tags), marked(&page.text, &statements));
    let added = engine.add_raw_template(&page.path, &text);
    if added.is_err() || !not_closed.is_empty() {
        if let Err(ErrorKind::SyntaxError(report)) = added.as_ref().map_err(tera::Error::kind) {
            // What stands behind a tag that cannot be read may be read wrongly.
            errors.retain(|earlier| starts_at(earlier) < report.span().range.start);
        }
        match added {
            Err(error) if not_closed.is_empty() => {
                errors.extend(not_a_template(page, &tags, names, &error, &engine))
            }
            _ => errors.extend(not_closed),
        }
        return Err(in_order(errors));
    }
    match engine.render(&page.path, context) {
        Ok(text) if errors.is_empty() => {
            let strays = strays(page, &text);
            if strays.is_empty() { Ok(Rendered { text, statements }) } else { Err(strays) }
        }
        Ok(_) => Err(in_order(errors)),
        Err(error) => {
            errors.push(not_rendered(page, names, 0, &error));
            errors.extend(render_alone(page, &tags, &locals, names, context, &engine));
            Err(in_order(errors))
        }
    }
}

/// By place; of several at one place, the first found says it best.
fn in_order(mut errors: Vec<Diagnostic>) -> Vec<Diagnostic> {
    errors.sort_by_key(starts_at);
    errors.dedup_by(|later, earlier| {
        let (Some(later), Some(earlier)) = (&later.place, &earlier.place) else {
            return false;
        };
        later.span.start < earlier.span.end.max(earlier.span.start + 1)
    });
    errors
}

fn starts_at(error: &Diagnostic) -> usize {
    error.place.as_ref().map_or(0, |place| place.span.start)
}

/// Renders each `{= … =}` on its own, because Tera stops at the first error. Tags that use a loop's variable
/// make no sense alone.
fn render_alone(
    page: &Page,
    tags: &[Tag],
    locals: &HashSet<&str>,
    names: Names<'_>,
    context: &Context,
    engine: &Tera,
) -> Vec<Diagnostic> {
    let makes_sense_alone = |tag: &&Tag| {
        let paths = names::uses(&page.text, tag).into_iter().filter(|found| found.role == Role::Value);
        tag.kind == Kind::Expression && !paths.map(|path| root(path.name)).any(|root| locals.contains(root))
    };
    let alone = tags.iter().filter(makes_sense_alone);
    alone
        .filter_map(|tag| {
            let error = engine.render_str(&page.text[tag.span.clone()], context, true).err()?;
            Some(not_rendered(page, names, tag.span.start, &error))
        })
        .collect()
}

/// The variables that the page's own `for` and `set` make.
fn locals<'a>(text: &'a str, tags: &[Tag]) -> HashSet<&'a str> {
    let bound =
        tags.iter().flat_map(|tag| names::uses(text, tag)).filter(|found| found.role == Role::Binding);
    bound.map(|found| found.name).chain(["loop", "__tera_context"]).collect()
}

/// Values that do not exist, also where Tera would take "undefined" for "no", and values that do not print.
fn check_names(
    page: &Page,
    tag: &Tag,
    locals: &HashSet<&str>,
    context: &Context,
    names: Names<'_>,
) -> Vec<Diagnostic> {
    let mut errors = Vec::new();
    for path in names::uses(&page.text, tag).into_iter().filter(|found| found.role == Role::Value) {
        if locals.contains(root(path.name)) {
            continue;
        }
        match look_up(context, path.name) {
            None if path.may_be_missing => {}
            None => errors.push(no_such_figure(page, path.span, names)),
            Some(value) => errors.extend(check_prints(page, tag, &path, value, names)),
        }
    }
    errors
}

/// Chapters know nothing of each other.
fn check_stands_alone(page: &Page, tag: &Tag) -> Option<Diagnostic> {
    let first_word = page.text[tag.body.clone()].split_whitespace().next()?;
    let includes = tag.kind == Kind::Statement && ["include", "extends"].contains(&first_word);
    includes.then(|| {
        let message = format!("a chapter cannot `{first_word}` another");
        Diagnostic::new(&page.file, page.text.clone(), tag.span.clone(), message)
            .hint("to show a file, put mdBook's `{{#include FILE}}` into a block of code")
    })
}

/// The values that a page prints or asks for, but for the variables that it makes itself.
pub fn value_names(page: &Page) -> Vec<String> {
    let tags = tags::tags(&page.text);
    let locals = locals(&page.text, &tags);
    let used =
        tags.iter().flat_map(|tag| names::uses(&page.text, tag)).filter(|found| found.role == Role::Value);
    used.map(|found| found.name.to_owned()).filter(|name| !locals.contains(root(name))).collect()
}

/// What is wrong with a condition about the running tank and something else.
const BOTH: &str = "a condition asks for what is the tank's or for what is not, and not for both";
const ONE_IN_THE_OTHER: &str = "write two conditions, one in the other";

/// The statements that ask what the running tank has, with what belongs to them: where each stands, in order.
///
/// # Errors
/// Every tag in which a figure of the running tank does something else than stand there or be asked for.
fn of_the_tank(
    page: &Page,
    tags: &[Tag],
    locals: &HashSet<&str>,
    names: Names<'_>,
) -> Result<Vec<Range<usize>>, Vec<Diagnostic>> {
    let is_fixed = |name: &str| locals.contains(root(name)) || names.fixed.contains(&root(name));
    let (mut statements, mut errors) = (Vec::new(), Vec::new());
    // Whether each holder that is open, such as `if` or `for`, asks what the tank has.
    let mut open: Vec<bool> = Vec::new();
    for tag in tags.iter().filter(|tag| tag.is_closed) {
        let body = page.text[tag.body.clone()].trim();
        let statement =
            if tag.kind == Kind::Statement { body.split_whitespace().next().unwrap_or_default() } else { "" };
        let values: Vec<_> =
            names::uses(&page.text, tag).into_iter().filter(|found| found.role == Role::Value).collect();
        let of_tank = values.iter().find(|value| !is_fixed(value.name));
        let error = |message: &str| Diagnostic::new(&page.file, page.text.clone(), tag.span.clone(), message);
        let asks = match (statement, of_tank) {
            ("else" | "endif" | "endfor", None) => open.last().copied().unwrap_or_default(),
            ("elif", None) if open.last() == Some(&true) => {
                errors.push(error(BOTH).hint(ONE_IN_THE_OTHER));
                false
            }
            ("if" | "elif", Some(value)) => {
                let condition = body.strip_prefix(statement).unwrap_or_default();
                if statement == "elif" && open.last() == Some(&false)
                    || values.iter().any(|value| is_fixed(value.name))
                {
                    errors.push(error(BOTH).hint(ONE_IN_THE_OTHER));
                } else if open.contains(&false) {
                    let message =
                        format!("`{}` depends on the tank, and what stands around it does not", value.name);
                    errors.push(error(&message).hint("ask what the tank has first, outside"));
                } else if let Err(why) = Condition::written(condition) {
                    let mut lines = why.lines();
                    errors.push(error(lines.next().unwrap_or_default()).hints(lines.map(str::to_owned)));
                }
                true
            }
            ("", Some(value)) if body != value.name => {
                let hint = format!(
                    "print it as it is, `{{= {} =}}`, and ask before it with `{{% if {} is defined %}}`",
                    value.name, value.name
                );
                errors.push(error("a figure of the tank stands alone in its tag").hint(hint));
                false
            }
            (statement, Some(_)) if !statement.is_empty() => {
                errors.push(
                    error(&format!("`{statement}` does not go with figures of the tank"))
                        .hint("ask with `{% if NAME is defined %}`"),
                );
                false
            }
            _ => false,
        };
        match statement {
            "if" | "for" => open.push(asks),
            "endif" | "endfor" => drop(open.pop()),
            _ => {}
        }
        if asks {
            statements.push(tag.span.clone());
        }
    }
    if errors.is_empty() { Ok(statements) } else { Err(errors) }
}

/// A text in which some statements are marks, each as long as it was, so that every byte keeps its place.
fn marked(text: &str, statements: &[Range<usize>]) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for span in statements {
        // What opens and closes a tag is one byte each, and so is the mark.
        bytes[span.start] = MARK as u8;
        bytes[span.end - 1] = MARK as u8;
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

/// Whether a value stands for something: a group of which the tank lacks every figure does not.
fn is_there(value: &Value, _: Kwargs, _: &State<'_>) -> bool {
    fn holds(value: &Value) -> bool {
        match value.as_map() {
            Some(group) => group.values().any(holds),
            None => !value.is_undefined() && !value.as_str().is_some_and(forme::is_lacking),
        }
    }
    holds(value)
}

fn root(path: &str) -> &str {
    path.split('.').next().unwrap_or(path)
}

fn look_up<'a>(context: &'a Context, path: &'a str) -> Option<&'a Value> {
    match path.split_once('.') {
        None => context.get(path),
        Some((root, rest)) => context.get(root)?.get_from_path(rest),
    }
    .filter(|value| !value.is_undefined())
}

/// A tag that is nothing but a name must name something a reader can read.
fn check_prints(
    page: &Page,
    tag: &Tag,
    path: &Use<'_>,
    value: &Value,
    names: Names<'_>,
) -> Option<Diagnostic> {
    if tag.kind != Kind::Expression || page.text[tag.body.clone()].trim() != path.name {
        return None;
    }
    let error = |message: String| Diagnostic::new(&page.file, page.text.clone(), path.span.clone(), message);
    if value.is_map() || value.is_array() {
        let inside = format!("{}.", path.name);
        let examples: Vec<String> = names
            .figures
            .iter()
            .filter(|id| id.starts_with(&inside))
            .take(3)
            .map(|id| format!("`{id}`"))
            .collect();
        let hint = (!examples.is_empty())
            .then(|| format!("name one of its figures, such as {}", examples.join(" or ")));
        Some(error(format!("`{}` is a group, not one figure", path.name)).hints(hint))
    } else if value.is_f64() {
        Some(
            error(format!("`{}` is a bare number, without unit or rounding", path.name))
                .hint("print it through a filter"),
        )
    } else {
        None
    }
}

fn no_such_figure(page: &Page, span: Range<usize>, names: Names<'_>) -> Diagnostic {
    let path = &page.text[span.clone()];
    Diagnostic::new(&page.file, page.text.clone(), span.clone(), format!("there is no figure `{path}`"))
        .hints(did_you_mean(path, names.figures))
}

/// Tags and statements that nobody closed, at their opening: Tera tells where it gave up, which can be far
/// behind.
fn not_closed(page: &Page, tags: &[Tag]) -> Vec<Diagnostic> {
    let text = &page.text;
    let error = |span: Range<usize>, message: String, hint: String| {
        Diagnostic::new(&page.file, text.clone(), span, message).hint(hint)
    };
    let tag_error = |tag: &Tag| {
        let (opening, closing) = tags::delimiters(tag.kind);
        let span = tag.span.start..tag.span.start + opening.len();
        let quotes = text[tag.body.clone()].matches('"').count();
        let hint = if quotes % 2 == 1 {
            format!("close it with `{closing}`, and the quotation mark in it with `\"`")
        } else {
            format!("close it with `{closing}`")
        };
        error(span, format!("the tag that opens here with `{opening}` is not closed"), hint)
    };
    let unpaired = tags::unpaired(text, tags).into_iter().map(|unpaired| {
        let (span, statement) = (tags[unpaired.tag].span.clone(), unpaired.statement);
        if unpaired.opens {
            let end = statement.trim_end_matches("_global");
            error(
                span,
                format!("this `{statement}` has no end"),
                format!("write `{{% end{end} %}}` behind what it holds"),
            )
        } else {
            error(
                span,
                format!("this `{statement}` belongs to nothing"),
                "take it out, or write what it belongs to before it".to_owned(),
            )
        }
    });
    tags.iter().filter(|tag| !tag.is_closed).map(tag_error).chain(unpaired).collect()
}

/// What Tera says when it adds a template.
fn not_a_template(
    page: &Page,
    tags: &[Tag],
    names: Names<'_>,
    error: &tera::Error,
    engine: &Tera,
) -> Vec<Diagnostic> {
    match error.kind() {
        ErrorKind::SyntaxError(report) => {
            let message = format!("this tag cannot be read: {}", sentence(report.message()));
            let hint = message
                .contains(NOT_A_NAME)
                .then(|| "arguments have names: `typed(text=\"…\", because=\"…\")`".to_owned());
            vec![
                Diagnostic::new(&page.file, page.text.clone(), report.span().range.clone(), message)
                    .hints(hint),
            ]
        }
        _ => {
            let unknown = unknown_calls(page, tags, names, engine);
            let includes = tags.iter().any(|tag| check_stands_alone(page, tag).is_some());
            if unknown.is_empty() && !includes { vec![at_start(page, &error.to_string())] } else { unknown }
        }
    }
}

/// Tera's own words, where it says what is wrong in no other way. A test of this file's notices when they
/// change.
const NOT_A_NAME: &str = "but expected identifier";
const NOT_DEFINED: [&str; 2] = ["Variable `", "Field `"];

/// Functions, filters and tests that Tera does not know. It tells them as text only, so it is asked for each
/// by a template of its own.
fn unknown_calls(page: &Page, tags: &[Tag], names: Names<'_>, engine: &Tera) -> Vec<Diagnostic> {
    let mut errors = Vec::new();
    let (open, close) = tags::EXPRESSION;
    for call in tags.iter().flat_map(|tag| names::uses(&page.text, tag)) {
        let name = call.name;
        let (kind, known, alone) = match call.role {
            Role::Function => ("function", names.functions, format!("{open} {name}() {close}")),
            Role::Filter => ("filter", names.filters, format!("{open} a | {name} {close}")),
            Role::Test => ("test", &[] as &[&str], format!("{open} a is {name} {close}")),
            Role::Value | Role::Binding => continue,
        };
        if engine.clone().add_raw_template("alone", &alone).is_err() {
            let error = Diagnostic::new(
                &page.file,
                page.text.clone(),
                call.span,
                format!("there is no {kind} `{name}`"),
            );
            errors.push(error.hints(did_you_mean(name, known.iter())));
        }
    }
    errors
}

/// What Tera says when it renders; `shift` is where the rendered text begins in the page.
fn not_rendered(page: &Page, names: Names<'_>, shift: usize, error: &tera::Error) -> Diagnostic {
    let ErrorKind::RenderingError(report) = error.kind() else {
        return at_start(page, &error.to_string());
    };
    let range = &report.span().range;
    let span = range.start + shift..range.end + shift;
    let message = report.message();
    if NOT_DEFINED.iter().any(|start| message.starts_with(start)) {
        return no_such_figure(page, names::path_around(&page.text, span), names);
    }
    let mut lines = message.lines();
    let first = sentence(lines.next().unwrap_or_default());
    Diagnostic::new(&page.file, page.text.clone(), span, first).hints(lines.map(str::to_owned))
}

fn at_start(page: &Page, message: &str) -> Diagnostic {
    let message = sentence(message.trim_start_matches("error: ").lines().next().unwrap_or_default());
    Diagnostic::new(&page.file, page.text.clone(), 0..0, message)
}

/// A message of Tera's in the form of ours: a small letter first, no full stop.
fn sentence(message: &str) -> String {
    let mut chars = message.trim_end_matches('.').chars();
    chars.next().map_or_else(String::new, |first| first.to_lowercase().chain(chars).collect())
}

/// Delimiters and braces that a reader would see outside code. They are looked for where the author wrote
/// them; what only the rendered page holds is shown there.
fn strays(page: &Page, rendered: &str) -> Vec<Diagnostic> {
    let written = strays_in(&page.file, &page.text);
    if written.is_empty() {
        strays_in(&format!("{} (rendered)", page.file), &rendered.into())
    } else {
        written
    }
}

fn strays_in(file: &str, text: &Arc<str>) -> Vec<Diagnostic> {
    let masked = tags::masked(text);
    let code = code(&masked);
    let mut errors = Vec::new();
    for mark in [tags::EXPRESSION.0, tags::EXPRESSION.1, tags::STATEMENT.0, tags::STATEMENT.1, "{{"] {
        for (at, _) in masked.match_indices(mark).filter(|(at, _)| !code.iter().any(|span| span.contains(at)))
        {
            let error =
                |length: usize, message: &str| Diagnostic::new(file, text.clone(), at..at + length, message);
            errors.push(if mark == "{{" {
                let length =
                    masked[at..].lines().next().and_then(|line| line.find("}}")).map_or(2, |end| end + 2);
                let name = masked[at..at + length].trim_matches(['{', '}']).trim();
                let name = if name.is_empty() { "tank.water" } else { name };
                error(length, "double braces are no tag here and would reach the reader")
                    .hint(format!("write `{{= {name} =}}`"))
            } else {
                error(2, &format!("`{mark}` is left over and would reach the reader"))
                    .hint("a tag is `{= … =}` or `{% … %}`; to show one, put it into code in a raw block")
            });
        }
    }
    in_order(errors)
}

/// Where code is: spans, blocks, and HTML that is code, script, style or comment.
fn code(masked: &str) -> Vec<Range<usize>> {
    let events = Parser::into_offset_iter(new_cmark_parser(masked, &MarkdownOptions::default()));
    let code = events.filter_map(|(event, span)| match event {
        Event::Code(_) | Event::Start(pulldown_cmark::Tag::CodeBlock(_)) => Some(span),
        Event::InlineHtml(_) | Event::Start(pulldown_cmark::Tag::HtmlBlock) => {
            let html = masked[span.clone()].to_ascii_lowercase();
            ["<!--", "<pre", "<script", "<style"].iter().any(|start| html.starts_with(start)).then_some(span)
        }
        _ => None,
    });
    code.collect()
}

#[cfg(test)]
mod tests;
