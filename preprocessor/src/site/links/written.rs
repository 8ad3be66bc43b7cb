//! The links of the chapters as their authors wrote them.
//!
//! A link to a file, a chapter or a heading is looked up at once. What else can be pointed at, such as a
//! table, a line of the ledger or a heading with a figure in it, is known when the chapters are rendered:
//! those links wait until then.

use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::ops::Range;
use std::path::Path;

use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use pulldown_cmark::{Event, LinkType, Parser, Tag, TagEnd};

use crate::chapter::template::Page;
use crate::diagnostic::{Diagnostic, did_you_mean, nearest};
use crate::prose::{html, tags};
use crate::site::links::{
    LEDGER, LEDGER_SCHEMA, LINKS, TANK_SCHEMA, decode, is_left_out, leaves_the_site, resolve, with_slashes,
};
use crate::site::protocol::Chapter;

/// What a build adds to the chapters and to the other files of their folder.
const MADE: [&str; 6] = [LEDGER, LEDGER_SCHEMA, TANK_SCHEMA, "index.html", "print.html", "404.html"];

/// The ending of a chapter's file, and that of its page.
const SOURCE: &str = ".md";
const PAGE: &str = ".html";

/// Links to anchors that no source has, to be looked for in the rendered chapters.
#[derive(Debug, Clone, Default)]
pub struct Waiting(Vec<Anchored>);

#[derive(Debug, Clone)]
struct Anchored {
    /// The page that holds the link, and where.
    from: usize,
    span: Range<usize>,
    /// The page it points at.
    to: usize,
    anchor: String,
}

/// Looks up the links of all pages. `files` are the names of all files in the folder of the chapters; links to
/// chapters that are `left_out` become text.
///
/// Gives the links that wait for the rendered chapters, and one error for each that leads nowhere.
pub fn check(
    pages: &[Page],
    chapters: &[Chapter],
    files: &BTreeSet<String>,
    left_out: &BTreeSet<String>,
) -> (Waiting, Vec<Diagnostic>) {
    let mut places = BTreeMap::new();
    for (at, chapter) in chapters.iter().enumerate() {
        for path in std::iter::once(&chapter.path).chain(&chapter.source_path) {
            places.insert(path.clone(), at);
            places.insert(page_name(path), at);
        }
    }
    let anchors: Vec<_> = pages.iter().map(|page| anchors(&tags::masked(&page.text))).collect();
    let book = Book { pages, places, files, anchors };
    let mut waiting = Vec::new();
    let mut errors = Vec::new();
    for (from, page) in pages.iter().enumerate() {
        let masked = tags::masked(&page.text);
        let tags = tags::tags(&page.text);
        let in_tag = |span: &Range<usize>| {
            let behind = tags.partition_point(|tag| tag.span.end <= span.start);
            tags.get(behind).is_some_and(|tag| tag.span.start < span.end)
        };
        for (span, address) in links(&masked) {
            // What a tag puts into an address is not the author's.
            let folder = Path::new(&page.path).parent().unwrap_or(Path::new(""));
            if in_tag(&span) || leaves_the_site(&address) || is_left_out(folder, &address, left_out) {
                continue;
            }
            match book.look_up(from, &span, &address) {
                Ok(anchored) => waiting.extend(anchored),
                Err(hints) => errors.push(nowhere(page, span, &address, hints)),
            }
        }
        errors.extend(undefined(page, &masked));
    }
    (Waiting(waiting), errors)
}

impl Waiting {
    /// One error for each link whose anchor the rendered chapters do not have either.
    pub fn check(&self, pages: &[Page], rendered: &[String]) -> Vec<Diagnostic> {
        let mut known: BTreeMap<usize, BTreeSet<String>> = BTreeMap::new();
        let mut errors = Vec::new();
        for Anchored { from, span, to, anchor } in &self.0 {
            let Some(text) = rendered.get(*to) else { continue };
            let anchors = known.entry(*to).or_insert_with(|| anchors(text));
            if !anchors.contains(anchor) {
                let page = &pages[*from];
                let headings =
                    anchors.iter().take(5).map(|known| format!("`{known}`")).collect::<Vec<_>>().join(", ");
                let hints = vec![
                    format!("{} has no heading or table `{anchor}`", pages[*to].path),
                    did_you_mean(anchor, anchors.iter())
                        .unwrap_or_else(|| format!("it has {headings} and others")),
                ];
                errors.push(nowhere(page, span.clone(), &page.text[span.clone()], hints));
            }
        }
        errors
    }
}

fn nowhere(page: &Page, span: Range<usize>, address: &str, hints: Vec<String>) -> Diagnostic {
    Diagnostic::new(&page.file, page.text.clone(), span, format!("the link `{address}` leads nowhere"))
        .hints(hints)
}

/// What links can point at before anything is rendered.
struct Book<'b> {
    pages: &'b [Page],
    /// The chapters by the names of their files and of their pages.
    places: BTreeMap<String, usize>,
    files: &'b BTreeSet<String>,
    anchors: Vec<BTreeSet<String>>,
}

impl Book<'_> {
    /// Nothing for a link that leads somewhere, one that has to wait for the rendered chapters, or hints for
    /// one that is dead.
    fn look_up(&self, from: usize, span: &Range<usize>, link: &str) -> Result<Option<Anchored>, Vec<String>> {
        let (address, anchor) = link.split_once('#').unwrap_or((link, ""));
        let address = decode(address.split('?').next().unwrap_or(address));
        let folder = Path::new(&self.pages[from].path).parent().unwrap_or(Path::new(""));
        let target = if address.is_empty() {
            self.pages[from].path.clone()
        } else {
            let above = || vec!["it points above the folder of the chapters".to_owned()];
            with_slashes(&resolve(folder, &address).ok_or_else(above)?)
        };
        let inside = [target.clone(), format!("{target}/index.md"), format!("{target}/README.md")];
        let Some(to) = inside.iter().find_map(|name| self.places.get(name)).copied() else {
            return if self.is_file(&target) { Ok(None) } else { Err(self.instead(&target)) };
        };
        let anchor = decode(anchor);
        let is_known = anchor.is_empty() || anchor == "top" || self.anchors[to].contains(&anchor);
        Ok((!is_known).then(|| Anchored { from, span: span.clone(), to, anchor }))
    }

    /// Whether a file that is no chapter stands in the site: Markdown is not copied into it.
    fn is_file(&self, name: &str) -> bool {
        MADE.contains(&name) || self.files.contains(name) && !name.ends_with(SOURCE)
    }

    fn instead(&self, target: &str) -> Vec<String> {
        if self.files.contains(target) {
            return vec![format!("`{target}` is there, but `SUMMARY.md` does not name it")];
        }
        let stem = |name: &str| name.rsplit_once('.').map_or(name, |(stem, _)| stem).to_owned();
        let chapters: BTreeMap<_, _> = self.pages.iter().map(|page| (stem(&page.path), &page.path)).collect();
        if target.ends_with(SOURCE) || target.ends_with(PAGE) || !target.contains('.') {
            let near = nearest(&stem(target), chapters.keys());
            let near = near.iter().filter_map(|stem| chapters.get(stem));
            or_else(
                near.map(|path| format!("there is a chapter `{path}`")),
                "no chapter in `SUMMARY.md` has such a name",
            )
        } else {
            let files = self.files.iter().map(String::as_str).filter(|name| self.is_file(name)).chain(MADE);
            let near = nearest(target, files).into_iter().map(|name| format!("there is a file `{name}`"));
            or_else(near, "no file beside the chapters has such a name")
        }
    }
}

/// What is near, or that nothing is.
fn or_else(near: impl Iterator<Item = String>, nothing: &str) -> Vec<String> {
    let near: Vec<_> = near.collect();
    if near.is_empty() { vec![nothing.to_owned()] } else { near }
}

fn page_name(chapter: &str) -> String {
    chapter.strip_suffix(SOURCE).map_or_else(|| chapter.to_owned(), |stem| format!("{stem}{PAGE}"))
}

/// The addresses in a text with masked tags, and where each is written. That of a reference stands in its
/// definition.
fn links(masked: &str) -> Vec<(Range<usize>, String)> {
    let parser = new_cmark_parser(masked, &MarkdownOptions::default());
    let definitions = parser.reference_definitions().iter();
    let mut links: Vec<_> = definitions
        .map(|(_, definition)| address(masked, definition.span.clone(), &definition.dest))
        .collect();
    for (event, span) in Parser::into_offset_iter(parser) {
        match event {
            Event::Start(
                Tag::Link { link_type: LinkType::Inline | LinkType::Autolink, dest_url, .. }
                | Tag::Image { link_type: LinkType::Inline, dest_url, .. },
            ) => links.push(address(masked, span, &dest_url)),
            Event::InlineHtml(_) | Event::Start(Tag::HtmlBlock) => {
                for tag in html::tags(masked, span) {
                    let element = html::name(&masked[tag.clone()]);
                    let addresses = html::attributes(masked, tag);
                    let addresses = addresses
                        .into_iter()
                        .filter(|(name, _)| LINKS.contains(&(element.as_str(), name.as_str())));
                    links.extend(addresses.map(|(_, value)| (value.clone(), masked[value].to_owned())));
                }
            }
            _ => {}
        }
    }
    links.sort_by_key(|(span, _)| span.start);
    links
}

/// Where an address is written in its link: the last place, because the words of a link may name it too.
fn address(masked: &str, link: Range<usize>, address: &str) -> (Range<usize>, String) {
    let written = masked[link.clone()].rfind(address).filter(|_| !address.is_empty());
    let span = written.map_or(link.clone(), |at| link.start + at..link.start + at + address.len());
    (span, address.to_owned())
}

/// References to labels and footnotes that the page does not define: a reader would see their brackets.
fn undefined(page: &Page, masked: &str) -> Vec<Diagnostic> {
    let parser = new_cmark_parser(masked, &MarkdownOptions::default());
    let labels: Vec<_> = parser.reference_definitions().iter().map(|(label, _)| label.to_owned()).collect();
    let mut footnotes = Vec::new();
    // Brackets come in texts of their own, one behind the other.
    let mut texts: Vec<Range<usize>> = Vec::new();
    let mut in_code = false;
    for (event, span) in Parser::into_offset_iter(parser) {
        match event {
            Event::Start(Tag::CodeBlock(_)) => in_code = true,
            Event::End(TagEnd::CodeBlock) => in_code = false,
            Event::Start(Tag::FootnoteDefinition(name)) => footnotes.push(name.to_string()),
            Event::Text(_) if !in_code => match texts.last_mut() {
                Some(text) if text.end == span.start => text.end = span.end,
                _ => texts.push(span),
            },
            _ => {}
        }
    }
    let mut errors = Vec::new();
    let mut error = |span: Range<usize>, what: &str, name: &str, known: &[String], form: String| {
        let near =
            did_you_mean(name, known).unwrap_or_else(|| format!("define it on a line of its own: `{form}`"));
        let message = format!("there is no {what} `{name}` on this page");
        errors.push(Diagnostic::new(&page.file, page.text.clone(), span, message).hint(near));
    };
    for text in texts {
        let words = &masked[text.clone()];
        let until =
            |from: usize| words[from..].find(['[', ']']).filter(|end| words[from + end..].starts_with(']'));
        for (at, mark) in words.match_indices("][").chain(words.match_indices("[^")) {
            let start = at + mark.len();
            let Some(length) = until(start).filter(|length| *length > 0) else { continue };
            let name = &words[start..start + length];
            let span = text.start + start..text.start + start + length;
            if mark == "[^" {
                error(span, "footnote", name, &footnotes, format!("[^{name}]: …"));
            } else {
                error(span, "reference", name, &labels, format!("[{name}]: chapter.md"));
            }
        }
    }
    errors
}

/// What a text gives to point at: its headings, terms and footnotes by the ids that mdBook gives them, and
/// the ids of its HTML.
fn anchors(text: &str) -> BTreeSet<String> {
    let mut anchors = BTreeSet::new();
    let mut used = HashSet::new();
    // The words of the title that is open.
    let mut title: Option<String> = None;
    let mut options = MarkdownOptions::default();
    // A book may round its quotation marks and dashes or not; a heading with a dash has the one id or the
    // other.
    for is_rounded in [true, false] {
        options.smart_punctuation = is_rounded;
        used.clear();
        for (event, span) in Parser::into_offset_iter(new_cmark_parser(text, &options)) {
            match event {
                Event::Start(Tag::Heading { id: Some(id), .. }) => _ = anchors.insert(id.to_string()),
                Event::Start(Tag::Heading { .. } | Tag::DefinitionListTitle) => title = Some(String::new()),
                Event::Start(Tag::FootnoteDefinition(name)) => _ = anchors.insert(format!("footnote-{name}")),
                Event::Text(words) | Event::Code(words) => {
                    title.iter_mut().for_each(|title| title.push_str(&words))
                }
                Event::End(TagEnd::Heading(_) | TagEnd::DefinitionListTitle) => {
                    anchors.extend(title.take().map(|title| unique(&id_of(&title), &mut used)));
                }
                Event::InlineHtml(_) | Event::Start(Tag::HtmlBlock) => {
                    for tag in html::tags(text, span) {
                        let is_link = html::name(&text[tag.clone()]) == "a";
                        let attributes = html::attributes(text, tag).into_iter();
                        let ids = attributes.filter(|(name, _)| name == "id" || is_link && name == "name");
                        anchors.extend(ids.map(|(_, value)| text[value].to_owned()));
                    }
                }
                _ => {}
            }
        }
    }
    anchors
}

/// The id that mdBook makes of a title.
fn id_of(title: &str) -> String {
    let sign = |c: char| match c {
        _ if c.is_alphanumeric() || c == '_' || c == '-' => Some(c),
        _ if c.is_whitespace() => Some('-'),
        _ => None,
    };
    title.trim().to_lowercase().chars().filter_map(sign).collect()
}

/// The second title of one name has a number behind it.
fn unique(id: &str, used: &mut HashSet<String>) -> String {
    let numbered = (1..).map(|number| format!("{id}-{number}"));
    let mut names = std::iter::once(id.to_owned()).chain(numbered);
    names.find(|name| used.insert(name.clone())).unwrap_or_default()
}

#[cfg(test)]
mod tests;
