//! `SUMMARY.md`: the chapters that it names can be read, and their names hold no number typed by hand.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Component, Path};
use std::sync::Arc;

use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use pulldown_cmark::{Event, Tag};

use crate::diagnostic::{Diagnostic, nearest};
use crate::files::{Unread, files, read_text, shown_path};
use crate::prose::{hidden, lint};

/// The file in the folder of the chapters.
const SUMMARY: &str = "SUMMARY.md";

/// One error for each chapter that can not be read, at its line in the summary; mdBook names only the first,
/// and no line.
pub(crate) fn unreadable_chapters(src: &Path) -> Vec<Diagnostic> {
    let Some((file, text)) = read(src) else { return Vec::new() };
    let mut errors = Vec::new();
    let mut named = BTreeSet::new();
    for (event, span) in new_cmark_parser(&text, &MarkdownOptions::default()).into_offset_iter() {
        let Event::Start(Tag::Link { dest_url, .. }) = event else { continue };
        // A chapter that is yet to be written has no file.
        if dest_url.is_empty() {
            continue;
        }
        let path = dest_url.replace("%20", " ");
        let at = text[span.clone()]
            .rfind(&*dest_url)
            .map_or(span.clone(), |at| span.start + at..span.start + at + dest_url.len());
        let error = |message: String| Diagnostic::new(&file, text.clone(), at.clone(), message);
        let is_inside = Path::new(&path)
            .components()
            .all(|part| matches!(part, Component::Normal(_) | Component::CurDir));
        if !is_inside {
            errors.push(
                error(format!("the chapter `{path}` is outside the folder of the chapters"))
                    .hint(format!("move it into `{}`", shown_path(src))),
            );
        } else if !named.insert(path.clone()) {
            errors.push(
                error(format!("the chapter `{path}` is named twice")).hint("take one of its lines out"),
            );
        } else {
            errors.extend(unreadable(src, &path).map(|(message, hints)| error(message).hints(hints)));
        }
    }
    errors
}

/// Why a chapter can not be read, and what would be right.
fn unreadable(src: &Path, path: &str) -> Option<(String, Vec<String>)> {
    let file = src.join(path);
    let Unread { why, hint } = read_text(&file).err()?;
    let mut hints: Vec<_> = hint.into_iter().collect();
    if !file.exists() {
        let names = files(src).unwrap_or_default().into_iter().filter(|name| name != SUMMARY);
        // Without the ending, which all chapters share.
        let stems: Vec<_> = names.filter_map(|name| name.strip_suffix(".md").map(str::to_owned)).collect();
        let near = nearest(path.trim_end_matches(".md"), stems);
        hints.extend(near.into_iter().map(|near| format!("there is a file `{near}.md`")));
        hints.push(format!("write `{}`, or take this line out", shown_path(&file)));
    }
    Some((format!("the chapter `{path}` {why}"), hints))
}

/// The numbers typed into the names of chapters and parts, and the characters there that do not show.
pub(crate) fn lints(src: &Path, options: &MarkdownOptions) -> Vec<Diagnostic> {
    let Some((file, text)) = read(src) else { return Vec::new() };
    let mut wrong = lint::typed_numbers(&file, &text, options);
    wrong.extend(hidden::hidden(&file, &text));
    wrong
}

/// The summary as it is shown, and its text; where it can not be read, mdBook says so.
fn read(src: &Path) -> Option<(String, Arc<str>)> {
    let file = src.join(SUMMARY);
    Some((shown_path(&file), fs::read_to_string(&file).ok()?.into()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The errors for a folder of chapters: place, message and hints in one line each.
    fn found(summary: &str, files: &[(&str, &[u8])]) -> Vec<String> {
        let src = tempfile::tempdir().unwrap();
        fs::write(src.path().join(SUMMARY), summary).unwrap();
        for (name, bytes) in files {
            fs::write(src.path().join(name), bytes).unwrap();
        }
        let errors = unreadable_chapters(src.path()).into_iter();
        let shown = shown_path(src.path());
        let line = |error: Diagnostic| {
            let (line, column) = error.place.unwrap().line_column();
            format!("{line}:{column}: {}; {}", error.message, error.hints.join("; ")).replace(&shown, "src")
        };
        errors.map(line).collect()
    }

    #[test]
    fn chapters_that_can_not_be_read_are_told_with_their_lines() {
        let summary = "# Summary\n\n- [A](flwo.md)\n  - [B](latin.md)\n- [C](good.md)\n- [D]()\n- [E](good.md)\n- [F](../up.md)\n";
        let files: [(&str, &[u8]); 3] =
            [("flow.md", b"# A\n"), ("latin.md", b"# B\n\nf\xfcr\n"), ("good.md", "# Ü\n".as_bytes())];
        let want = [
            "3:7: the chapter `flwo.md` is missing; there is a file `flow.md`; write `src/flwo.md`, or take this line out",
            "4:9: the chapter `latin.md` is no text in UTF-8; line 3 of it holds a byte that is none: save the file as UTF-8",
            "7:7: the chapter `good.md` is named twice; take one of its lines out",
            "8:7: the chapter `../up.md` is outside the folder of the chapters; move it into `src`",
        ];
        assert_eq!(found(summary, &files), want);
    }

    #[test]
    fn numbers_in_names_are_found() {
        let src = tempfile::tempdir().unwrap();
        fs::write(src.path().join(SUMMARY), "# Part 3\n\n- [The 40 litre tank](tank-50.md)\n").unwrap();
        let errors = lints(src.path(), &MarkdownOptions::default());
        let numbers: Vec<_> = errors
            .into_iter()
            .filter_map(|error| error.place)
            .map(|place| place.text[place.span].to_owned())
            .collect();
        assert_eq!(numbers, ["3", "40"]);
    }
}
