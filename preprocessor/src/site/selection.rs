//! A club's own choice of chapters: which of a book stay, and what becomes of the links to the others.
//!
//! What the contents list without a number stays, such as how to stay safe, and so do the chapters by which a
//! reader can check the book, and the club's own pages.

use std::collections::BTreeSet;
use std::ops::Range;
use std::path::Path;
use std::sync::Arc;

use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use mdbook_preprocessor::book::Book;
use pulldown_cmark::{Event, LinkType, Parser, Tag};
use serde_json::{Value, json};

use crate::chapter::record::Part;
use crate::diagnostic::{Diagnostic, nearest};
use crate::edition::club::PAGES;
use crate::edition::{Settings, load_club};
use crate::files::{read_file, shown_path};
use crate::prose::html;
use crate::site::links::is_left_out;

/// What a club's choice makes of a book.
#[derive(Debug, Clone, Default)]
pub struct Selection {
    /// The paths of the chapters that are left out.
    pub left_out: BTreeSet<String>,
    /// What is wrong with the choice; then all chapters stay.
    pub wrong: Vec<Diagnostic>,
}

/// Takes what the club of a book leaves out from its items, and numbers the rest anew. A club file that can
/// not be read leaves out nothing here: whoever reads it for the edition tells why.
///
/// - `items`: as mdBook writes them in JSON
pub fn select(items: &mut Vec<Value>, root: &Path, settings: &Settings) -> Selection {
    let file = settings.club_file(root);
    let Some(wanted) = load_club(&file).ok().and_then(|club| club.chapters) else {
        return Selection::default();
    };
    let mut all = Vec::new();
    chapters(items, &mut |chapter| all.push(chapter.clone()));
    let path = |chapter: &Value| chapter["path"].as_str().map(|path| path.replace('\\', "/"));
    let paths: BTreeSet<String> = all.iter().filter_map(path).collect();
    let mut selection = Selection::default();
    for unknown in wanted.iter().filter(|wanted| !paths.contains(&wanted.file)) {
        let text: Arc<str> = read_file(&file).unwrap_or_default().into();
        // The list holds its name in quotation marks.
        let quoted = format!("\"{}\"", unknown.file);
        let span = text.get(unknown.span.clone()).and_then(|list| list.find(&quoted)).map_or_else(
            || unknown.span.clone(),
            |at| unknown.span.start + at..unknown.span.start + at + quoted.len(),
        );
        let stems = paths.iter().filter_map(|path| path.strip_suffix(".md"));
        let near = nearest(unknown.file.trim_end_matches(".md"), stems);
        let hints: Vec<_> = near.into_iter().map(|near| format!("there is a chapter `{near}.md`")).collect();
        let message = format!("the book has no chapter `{}`", unknown.file);
        let error = Diagnostic::new(shown_path(&file), text, span, message);
        selection.wrong.push(if hints.is_empty() {
            error.hint("`SUMMARY.md` of the book names all chapters")
        } else {
            error.hints(hints)
        });
    }
    if !selection.wrong.is_empty() {
        return selection;
    }
    let own = settings.club.as_ref().map(|_| format!("{PAGES}/"));
    let is_kept = |chapter: &Value| {
        let content = chapter["content"].as_str().unwrap_or_default();
        chapter["number"].is_null()
            || Part::ALL.iter().any(|part| content.contains(&format!("{}()", part.name())))
            || path(chapter).is_none_or(|path| {
                wanted.iter().any(|wanted| wanted.file == path)
                    || own.as_ref().is_some_and(|own| path.starts_with(own))
            })
    };
    selection.left_out = all.iter().filter(|chapter| !is_kept(chapter)).filter_map(path).collect();
    take_out(items, &is_kept);
    number(items, &[]);
    selection
}

/// As [`select`], for a book that mdBook has read.
pub fn select_of(book: &mut Book, root: &Path, settings: &Settings) -> Selection {
    // A book was JSON once and can be again.
    let Ok(Value::Array(mut items)) = serde_json::to_value(&book.items) else { return Selection::default() };
    let selection = select(&mut items, root, settings);
    if !selection.left_out.is_empty()
        && let Ok(items) = serde_json::from_value(Value::Array(items))
    {
        book.items = items;
    }
    selection
}

fn chapters(items: &[Value], visit: &mut dyn FnMut(&Value)) {
    for chapter in items.iter().filter_map(|item| item.get("Chapter")) {
        visit(chapter);
        chapters(chapter["sub_items"].as_array().map_or(&[], Vec::as_slice), visit);
    }
}

/// A chapter with a part that stays does so too, and a part's title goes with its last chapter.
fn take_out(items: &mut Vec<Value>, is_kept: &dyn Fn(&Value) -> bool) {
    items.retain_mut(|item| {
        let Some(chapter) = item.get_mut("Chapter") else { return true };
        let mut has_parts = false;
        if let Some(parts) = chapter.get_mut("sub_items").and_then(Value::as_array_mut) {
            take_out(parts, is_kept);
            has_parts = !parts.is_empty();
        }
        has_parts || is_kept(chapter)
    });
    // From the end, so that what follows a title is known.
    let mut has_chapter = false;
    let mut kept = Vec::with_capacity(items.len());
    for item in items.drain(..).rev() {
        let is_title = item.get("PartTitle").is_some();
        if !is_title || has_chapter {
            has_chapter = !is_title && (has_chapter || item.get("Chapter").is_some());
            kept.push(item);
        }
    }
    kept.reverse();
    *items = kept;
}

/// Numbers the chapters that have a number, those of all parts in one row.
fn number(items: &mut [Value], above: &[usize]) {
    let mut count = 0;
    for chapter in items.iter_mut().filter_map(|item| item.get_mut("Chapter")) {
        if chapter["number"].is_null() {
            continue;
        }
        count += 1;
        let own = [above, &[count]].concat();
        chapter["number"] = json!(own);
        if let Some(parts) = chapter.get_mut("sub_items").and_then(Value::as_array_mut) {
            number(parts, &own);
        }
    }
}

/// A page's Markdown with the links to chapters that are left out as plain text.
///
/// - `path`: the page's own in the book's source folder
pub fn unlinked(markdown: &str, path: &str, left_out: &BTreeSet<String>) -> String {
    let folder = Path::new(path).parent().unwrap_or(Path::new(""));
    let is_out = |link: &str| is_left_out(folder, link, left_out);
    let mut cuts: Vec<Range<usize>> = Vec::new();
    for (event, span) in Parser::into_offset_iter(new_cmark_parser(markdown, &MarkdownOptions::default())) {
        match event {
            Event::Start(Tag::Link { link_type: LinkType::Inline, dest_url, .. }) if is_out(&dest_url) => {
                if let Some(end) = markdown[span.clone()].rfind("](") {
                    cuts.extend([span.start..span.start + 1, span.start + end..span.end]);
                }
            }
            Event::InlineHtml(_) | Event::Start(Tag::HtmlBlock) => {
                for tag in html::tags(markdown, span) {
                    let is_link = html::name(&markdown[tag.clone()]) == "a";
                    let mut attributes = html::attributes(markdown, tag.clone()).into_iter();
                    if is_link && attributes.any(|(name, value)| name == "href" && is_out(&markdown[value])) {
                        let close = markdown[tag.end..].find("</a>").map(|at| tag.end + at..tag.end + at + 4);
                        cuts.extend(std::iter::once(tag).chain(close));
                    }
                }
            }
            _ => {}
        }
    }
    cuts.sort_by_key(|cut| cut.start);
    let mut out = String::with_capacity(markdown.len());
    let mut at = 0;
    for cut in cuts {
        out.push_str(markdown.get(at..cut.start).unwrap_or_default());
        at = at.max(cut.end);
    }
    out.push_str(&markdown[at..]);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chapter(path: &str, number: Value, content: &str, parts: Value) -> Value {
        json!({ "Chapter": { "path": path, "number": number, "content": content, "sub_items": parts } })
    }

    fn shown(items: &[Value]) -> Vec<String> {
        let mut found = Vec::new();
        for item in items {
            match item.get("Chapter") {
                None => found.push(item.to_string()),
                Some(chapter) => {
                    found.push(format!("{} {}", chapter["path"].as_str().unwrap(), chapter["number"]));
                    found.extend(shown(chapter["sub_items"].as_array().unwrap()));
                }
            }
        }
        found
    }

    /// A folder with a club's file, and a book of two parts.
    fn selected(chapters: &str) -> (Vec<String>, Selection) {
        let root = tempfile::tempdir().unwrap();
        let club = format!("name = \"A\"\nabout = \"B\"\n{chapters}");
        std::fs::write(root.path().join("club.toml"), club).unwrap();
        let mut items = vec![
            chapter("safety.md", json!(null), "", json!([])),
            json!({ "PartTitle": "One" }),
            chapter("a.md", json!([1]), "", json!([chapter("a-in.md", json!([1, 1]), "", json!([]))])),
            chapter("b.md", json!([2]), "", json!([])),
            json!({ "PartTitle": "Two" }),
            chapter("c.md", json!([3]), "", json!([])),
            json!({ "PartTitle": "Three" }),
            chapter("d.md", json!([4]), "", json!([])),
            chapter("ledger.md", json!([5]), "{= ledger() =}", json!([])),
        ];
        let selection = select(&mut items, root.path(), &Settings::default());
        (shown(&items), selection)
    }

    #[test]
    fn what_a_club_leaves_out_goes_with_its_part_and_the_rest_is_numbered_anew() {
        let (items, selection) = selected("chapters = [\"b.md\"]\n");
        let want = [
            "safety.md null",
            "{\"PartTitle\":\"One\"}",
            "b.md [1]",
            "{\"PartTitle\":\"Three\"}",
            "ledger.md [2]",
        ];
        assert_eq!(items, want);
        assert_eq!(selection.left_out.into_iter().collect::<Vec<_>>(), ["a-in.md", "a.md", "c.md", "d.md"]);
        let (items, _) = selected("chapters = [\"a-in.md\", \"d.md\"]\n");
        assert_eq!(items[2..4], ["a.md [1]", "a-in.md [1,1]"]);
        let (items, selection) = selected("");
        assert_eq!((items.len(), selection.left_out.len()), (10, 0));
    }

    #[test]
    fn a_chapter_that_is_not_there_is_told_at_its_place() {
        let (items, selection) = selected("chapters = [\"b.md\", \"saftey.md\"]\n");
        assert_eq!(items.len(), 10);
        let error = &selection.wrong[0];
        assert_eq!(error.message, "the book has no chapter `saftey.md`");
        assert_eq!(error.hints, ["there is a chapter `safety.md`"]);
        let place = error.place.as_ref().unwrap();
        assert_eq!((place.line_column(), &place.text[place.span.clone()]), ((3, 21), "\"saftey.md\""));
    }

    #[test]
    fn links_to_what_is_left_out_become_text() {
        let left_out = BTreeSet::from(["floor.md".to_owned(), "in/a.md".to_owned()]);
        let text = "See [the *floor*](floor.md#sand), [it](floor.html) and [more](safety.md); <a class=\"x\" href=\"floor.html\">so</a> it is. [A](in/a.md) `[A](floor.md)`\n";
        let want = "See the *floor*, it and [more](safety.md); so it is. A `[A](floor.md)`\n";
        assert_eq!(unlinked(text, "b.md", &left_out), want);
        assert_eq!(
            unlinked("[A](a.md) [F](../floor.md) [G](floor.md)", "in/b.md", &left_out),
            "A F [G](floor.md)"
        );
        assert_eq!(unlinked(text, "b.md", &BTreeSet::new()), text);
    }
}
