//! Check blocks: fenced TOML beside the claim it proves.
//!
//! ````markdown
//! ```check
//! formula = "turnover.flow"
//! inputs = { volume = "100 L", turnover = "10 per hour" }
//! expected = "1000 L/h"
//! basis = "common-practice"
//! ```
//! ````
//!
//! A block is run at each build and replaced by a short note. One that fails stops the build.

use std::ops::Range;

use maud::{PreEscaped, html};
use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use pulldown_cmark::{CodeBlockKind, Event, Tag, TagEnd};
use reckoner_calc::check::{Check, HALF_LAST_DIGIT, figure_value};
use reckoner_calc::document;
use reckoner_page::html::{Medium, written};
use reckoner_page::rules::basis_text;
use reckoner_page::text::escaped;

use crate::chapter::template::Page;
use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::edition::Edition;
use crate::proof::ledger::Held;

/// The info string of a check's fence.
const FENCE: &str = "check";

/// A fenced check: the whole block, and the text in it.
struct Fenced {
    block: Range<usize>,
    inside: Range<usize>,
}

fn fenced(markdown: &str) -> Vec<Fenced> {
    let mut found: Vec<Fenced> = Vec::new();
    let mut open: Option<Fenced> = None;
    for (event, span) in new_cmark_parser(markdown, &MarkdownOptions::default()).into_offset_iter() {
        match event {
            Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(info))) if &*info == FENCE => {
                open = Some(Fenced { block: span.clone(), inside: span.end..span.end });
            }
            Event::Text(_) => {
                if let Some(fenced) = &mut open {
                    fenced.inside = fenced.inside.start.min(span.start)..span.end;
                }
            }
            Event::End(TagEnd::CodeBlock) => found.extend(open.take()),
            _ => {}
        }
    }
    found
}

/// Reads and runs the checks of all pages, in their order.
///
/// # Errors
/// A check that can not be read, or whose formula has no answer. One that fails is no error here: see
/// [`failures`].
pub fn run(pages: &[Page], edition: &Edition) -> Result<Vec<(Held, Diagnostic)>, Diagnostics> {
    let mut checks = Vec::new();
    let mut errors = Diagnostics::default();
    for page in pages {
        for Fenced { block, inside } in fenced(&page.text) {
            let text = &page.text[inside.clone()];
            let kind = |id: &str| figure_value(&edition.sheet, id).map(|quantity| quantity.kind);
            let here = |span: Range<usize>, message: String| {
                Diagnostic::new(&page.file, page.text.clone(), span, message)
            };
            match document::read(&page.file, text, |table| Check::read(table, &edition.rules, kind)) {
                Ok(check) => match check.run(&edition.rules, &edition.sheet) {
                    Ok(outcome) => {
                        let message = format!(
                            "{} is {}, but {} is published",
                            check.what(),
                            outcome.reckoned,
                            check.printed
                        );
                        let failure = Diagnostic { is_failed_check: true, ..here(inside, message) }
                            .hint(format!("allowed is {}", check.tolerance_in_words()));
                        checks.push((Held { check, outcome, page: page.path.clone() }, failure));
                    }
                    Err(error) => errors.0.push(here(inside, error.to_string())),
                },
                Err(problems) => errors.0.extend(problems.into_iter().map(|problem| {
                    let span = inside.start + problem.span.start..inside.start + problem.span.end;
                    // A check without a place of its own, such as a missing key, is the whole block.
                    let span = if problem.span.is_empty() { block.clone() } else { span };
                    here(span, problem.message).hints(problem.help)
                })),
            }
        }
    }
    errors.or(checks)
}

/// The errors of the checks that failed.
pub fn failures(checks: &[(Held, Diagnostic)]) -> impl Iterator<Item = Diagnostic> {
    checks.iter().filter(|(held, _)| !held.outcome.passed).map(|(_, failure)| failure.clone())
}

/// Replaces the check blocks of a rendered page by their notes; in HTML, neighbours fold away together.
pub fn put_notes(rendered: &str, page: &str, checks: &[Held], edition: &Edition, medium: Medium) -> String {
    let mut out = String::with_capacity(rendered.len());
    let (mut done, mut notes) = (0, Vec::new());
    let of_page = checks.iter().filter(|held| held.page == page);
    for (fenced, held) in fenced(rendered).iter().zip(of_page) {
        let between = &rendered[done..fenced.block.start];
        if medium == Medium::Markdown || notes.is_empty() || !between.trim().is_empty() {
            out.push_str(&together(&mut notes, medium));
            out.push_str(between);
        }
        notes.push(note(held, edition, medium));
        done = fenced.block.end;
    }
    out.push_str(&together(&mut notes, medium));
    out.push_str(&rendered[done..]);
    out
}

/// The notes of neighbours, which are used up.
fn together(notes: &mut Vec<String>, medium: Medium) -> String {
    let all: String = notes.drain(..).collect();
    match medium {
        _ if all.is_empty() => all,
        Medium::Markdown => all + "\n",
        Medium::Html => {
            let folded = html! {
                details class="checked" { summary { "How this was checked" } (PreEscaped(all)) }
            };
            written(&folded) + "\n"
        }
    }
}

fn note(held: &Held, edition: &Edition, medium: Medium) -> String {
    let (published, reckoned) = (&held.check.printed, &held.outcome.reckoned);
    let basis = basis_text(&held.check.basis, &edition.rules);
    let what = held.check.what();
    let verb = if what.starts_with("rule.") { "this book uses" } else { "reckoned" };
    // Half the last digit needs no word; what goes beyond does.
    let reason = if held.check.reason == HALF_LAST_DIGIT {
        String::new()
    } else {
        format!(" Allowed {}.", held.check.tolerance_in_words())
    };
    match medium {
        Medium::Html => written(&html! {
            p class="check" {
                span { "Checked" } ": " (what) ". " (basis) ": " (published) "; " (verb) " " (reckoned) "." (reason)
            }
        }),
        Medium::Markdown => {
            format!(
                "*{}*\n",
                escaped(&format!("Checked: {what}. {basis}: {published}; {verb} {reckoned}.{reason}"))
            )
        }
    }
}
