//! mdBook's preprocessor protocol: `[context, book]` as JSON in, the book as JSON out.
//!
//! Read leniently and written back faithfully: only the `content` of chapters is replaced, every other value
//! leaves as it came, whatever it is. So the book of mdBook 0.4 (`sections`) and of 0.5 (`items`) both work,
//! and fields not known here pass.

use crate::diagnostic::{Diagnostic, Diagnostics};
use serde_json::Value;
use std::path::PathBuf;

/// The name under which `book.toml` configures our preprocessor: `[preprocessor.reckoner]`.
pub const PREPROCESSOR: &str = "reckoner";

/// One chapter that has a file. Drafts have none and are left alone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chapter {
    /// Where it goes in the book, relative to the source folder, with forward slashes: `flow.md`.
    pub path: String,
    /// Where it came from, which differs for a `README.md`; `None` for a chapter made by another
    /// preprocessor.
    pub source_path: Option<String>,
    /// Its number in the summary, such as `4` or `4.2`; empty for one without.
    pub number: String,
    /// Its Markdown.
    pub content: String,
}

/// What mdBook asks.
#[derive(Debug, Clone, PartialEq)]
pub struct Request {
    /// The folder of `book.toml`.
    pub root: PathBuf,
    /// The source folder, relative to `root`; `src` unless the book says otherwise.
    pub src: String,
    /// The renderer this is for: `html`, `markdown`.
    pub renderer: String,
    /// The table `[preprocessor.reckoner]`, or `null`.
    pub settings: Value,
    /// Whether mdBook is to make straight quotes and dashes round.
    pub smart_punctuation: bool,
    /// The mdBook that asks.
    pub mdbook_version: String,
    /// The chapters, depth first, in the order of the summary.
    pub chapters: Vec<Chapter>,
    /// The book as it came.
    book: Value,
}

impl Request {
    /// Reads standard input.
    ///
    /// # Errors
    /// The input is not mdBook's.
    pub fn read(input: &str) -> Result<Self, Diagnostics> {
        let parsed: Value =
            serde_json::from_str(input.trim_start_matches('\u{feff}')).map_err(|_| not_ours())?;
        let Value::Array(pair) = parsed else {
            return Err(not_ours());
        };
        let Ok([context, mut book]) = <[Value; 2]>::try_from(pair) else {
            return Err(not_ours());
        };
        let text = |value: &Value| value.as_str().map(str::to_owned);
        let (Some(root), Some(renderer)) = (text(&context["root"]), text(&context["renderer"])) else {
            return Err(not_ours());
        };
        let chapters = chapters(items(&mut book).ok_or_else(not_ours)?);
        Ok(Self {
            root: root.into(),
            src: text(&context["config"]["book"]["src"]).unwrap_or_else(|| "src".to_owned()),
            renderer,
            settings: context["config"]["preprocessor"]["reckoner"].clone(),
            smart_punctuation: context["config"]["output"]["html"]["smart-punctuation"]
                .as_bool()
                .unwrap_or(true),
            mdbook_version: text(&context["mdbook_version"]).unwrap_or_default(),
            chapters,
            book,
        })
    }

    /// Lets `select` take chapters out of the items of the book.
    pub fn select<T: Default>(&mut self, select: impl FnOnce(&mut Vec<Value>) -> T) -> T {
        let Some(items) = items(&mut self.book) else { return T::default() };
        let selection = select(items);
        self.chapters = chapters(items);
        selection
    }

    /// The book as JSON, with `contents` in place of what its chapters held.
    ///
    /// # Errors
    /// There is not one text for each chapter.
    pub fn answer(mut self, contents: Vec<String>) -> Result<String, Diagnostics> {
        if contents.len() != self.chapters.len() {
            let message = format!(
                "{} chapters were rendered, but the book has {}",
                contents.len(),
                self.chapters.len()
            );
            return Err(Diagnostic::plain(message).into());
        }
        let mut contents = contents.into_iter();
        each_chapter(items(&mut self.book).ok_or_else(not_ours)?, &mut |chapter| {
            if chapter["path"].is_string()
                && let Some(content @ Value::String(_)) = chapter.get_mut("content")
                && let Some(rendered) = contents.next()
            {
                *content = Value::String(rendered);
            }
        });
        Ok(self.book.to_string())
    }

    /// A sentence for standard error if this mdBook is neither 0.4 nor 0.5. Patch versions never matter.
    pub fn version_warning(&self) -> Option<String> {
        let known = self.mdbook_version.starts_with("0.4.") || self.mdbook_version.starts_with("0.5.");
        (!known).then(|| {
            format!(
                "warning: this preprocessor was made for mdBook 0.4 and 0.5; this is mdBook `{}`",
                self.mdbook_version
            )
        })
    }
}

/// The whole exchange: reads `input`, lets `render` turn the request into one text for each chapter, gives
/// what goes to standard output.
///
/// # Errors
/// The input is not mdBook's, or `render` fails.
pub fn preprocess(
    input: &str,
    render: impl FnOnce(&mut Request) -> Result<Vec<String>, Diagnostics>,
) -> Result<String, Diagnostics> {
    let mut request = Request::read(input)?;
    let contents = render(&mut request)?;
    request.answer(contents)
}

fn not_ours() -> Diagnostics {
    Diagnostic::plain("expected mdBook's [context, book] on standard input; run this through mdbook build")
        .into()
}

/// The top of the book: `items` since mdBook 0.5, `sections` before.
fn items(book: &mut Value) -> Option<&mut Vec<Value>> {
    let key = if book.get("items").is_some() { "items" } else { "sections" };
    book.get_mut(key)?.as_array_mut()
}

/// The chapters that have a file.
fn chapters(items: &mut [Value]) -> Vec<Chapter> {
    let mut chapters = Vec::new();
    each_chapter(items, &mut |chapter| {
        let path = |key: &str| chapter[key].as_str().map(|path| path.replace('\\', "/"));
        if let (Some(path), source_path, Some(content)) =
            (path("path"), path("source_path"), chapter["content"].as_str().map(str::to_owned))
        {
            let numbers = chapter["number"].as_array().map(Vec::as_slice).unwrap_or_default();
            let number = numbers.iter().map(Value::to_string).collect::<Vec<_>>().join(".");
            chapters.push(Chapter { path, source_path, number, content });
        }
    });
    chapters
}

/// Calls `visit` for every chapter, depth first. Part titles and separators are other kinds of items.
fn each_chapter(items: &mut [Value], visit: &mut dyn FnMut(&mut Value)) {
    for item in items {
        let Some(chapter) = item.get_mut("Chapter") else {
            continue;
        };
        visit(chapter);
        if let Some(sub_items) = chapter.get_mut("sub_items").and_then(Value::as_array_mut) {
            each_chapter(sub_items, visit);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    /// A book in the shape of the given version, with a draft, a part title, a separator, a nested chapter
    /// and unknown fields.
    fn input(items: &str, version: &str) -> Value {
        let chapter = |path: Value, content: &str, sub_items: Value| {
            json!({ "Chapter": {
                "zeta": [1.5, null, { "b": 1, "a": 2 }], "name": "A", "content": content, "number": [1, 2], "sub_items": sub_items,
                "path": path, "source_path": path, "parent_names": []
            } })
        };
        let inner = chapter(json!("part/inner.md"), "inner", json!([]));
        let items_value = json!([
            chapter(json!("README.md"), "one", json!([inner])),
            { "PartTitle": "P" },
            "Separator",
            chapter(json!(null), "", json!([chapter(json!("part\\deep.md"), "deep", json!([]))])),
        ]);
        json!([
            { "root": "/books/b", "renderer": "html", "mdbook_version": version,
              "config": { "book": { "src": "text" }, "preprocessor": { "reckoner": { "tank": "a.toml" } } } },
            { items: items_value, "__non_exhaustive": null },
        ])
    }

    #[test]
    fn both_shapes_are_read() {
        for (items, version) in [("items", "0.5.4"), ("sections", "0.4.52")] {
            let request = Request::read(&input(items, version).to_string()).unwrap();
            assert_eq!(request.root, PathBuf::from("/books/b"));
            assert_eq!((request.src.as_str(), request.renderer.as_str()), ("text", "html"));
            assert_eq!(request.settings, json!({ "tank": "a.toml" }));
            let paths: Vec<&str> = request.chapters.iter().map(|chapter| chapter.path.as_str()).collect();
            assert_eq!(paths, ["README.md", "part/inner.md", "part/deep.md"]);
            assert_eq!(request.version_warning(), None);
        }
    }

    #[test]
    fn only_content_changes() {
        for items in ["items", "sections"] {
            let input = input(items, "0.5.4");
            let render = |request: &mut Request| {
                Ok(request.chapters.iter().map(|chapter| chapter.content.to_uppercase()).collect())
            };
            let output = preprocess(&input.to_string(), render).unwrap();
            // The same bytes, keys in the same order, but for the three texts.
            let want = input[1]
                .to_string()
                .replace("\"one\"", "\"ONE\"")
                .replace("\"inner\"", "\"INNER\"")
                .replace("\"deep\"", "\"DEEP\"");
            assert_eq!(output, want);
        }
    }

    #[test]
    fn an_unchanged_book_leaves_as_it_came() {
        let input = input("items", "0.5.4");
        let same = |request: &mut Request| {
            Ok(request.chapters.iter().map(|chapter| chapter.content.clone()).collect())
        };
        assert_eq!(preprocess(&input.to_string(), same).unwrap(), input[1].to_string());
    }

    #[test]
    fn other_input_is_refused_in_one_line() {
        for input in [
            "",
            "hello",
            "{}",
            "[]",
            "[1, 2]",
            "[{}, {}, {}]",
            r#"[{"root": "/", "renderer": "html"}, {"items": 3}]"#,
        ] {
            let error = preprocess(input, |_| Ok(Vec::new())).unwrap_err();
            assert_eq!(
                error.0[0].message,
                "expected mdBook's [context, book] on standard input; run this through mdbook build"
            );
        }
    }

    #[test]
    fn a_missing_text_is_refused() {
        let error = preprocess(&input("items", "0.5.4").to_string(), |_| Ok(vec!["a".into()])).unwrap_err();
        assert_eq!(error.0[0].message, "1 chapters were rendered, but the book has 3");
    }

    #[test]
    fn only_another_minor_version_is_warned_about() {
        for (version, known) in
            [("0.4.1", true), ("0.5.99", true), ("0.6.0", false), ("1.0.0", false), ("", false)]
        {
            let request = Request::read(&input("items", version).to_string()).unwrap();
            assert_eq!(request.version_warning().is_none(), known, "{version}");
        }
    }
}
