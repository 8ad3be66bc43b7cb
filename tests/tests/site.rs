//! Builds small books in temporary folders: the site appears whole or not at all.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a helper of a test may panic like the test")]

use mdbook_driver::book::{Book, BookItem};
use mdbook_preprocessor::{Preprocessor, PreprocessorContext};
use mdbook_reckoner::diagnostic::{Diagnostic, Diagnostics};
use mdbook_reckoner::site::{Site, build_site};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

const BOOK: &str = "[book]\ntitle = \"Reef\"\n[preprocessor.reckoner]\nbefore = [\"links\"]\n";

/// A chapter with everything that makes mdBook write links of its own.
const GOOD: &str = "# A\n\nIt holds FIGURE.[^n] See [b](part/b.md#b) and [itself](#a).\n\n> [!NOTE]\n> Note.\n\n\
    term\n: meaning\n\n## Über uns & more\n\n[up](#über-uns--more)\n\n```rust\nfn main() {}\n```\n\n[^n]: Foot.\n";

/// Replaces `FIGURE` by a number, or fails on `FAIL`.
struct Stub;

impl Preprocessor for Stub {
    fn name(&self) -> &str {
        "reckoner"
    }

    fn run(
        &self,
        _: &PreprocessorContext,
        mut book: Book,
    ) -> Result<Book, mdbook_preprocessor::errors::Error> {
        let mut errors = Diagnostics::default();
        book.for_each_mut(|item| {
            if let BookItem::Chapter(chapter) = item {
                if let Some(at) = chapter.content.find("FAIL") {
                    let error = Diagnostic::new(
                        "src/a.md",
                        chapter.content.as_str().into(),
                        at..at + 4,
                        "it fails here",
                    );
                    errors.0.push(error);
                }
                chapter.content = chapter.content.replace("FIGURE", "171 L");
            }
        });
        Ok(errors.or(book)?)
    }
}

/// A book with the chapter `a.md`, and others as given.
fn book(chapter: &str, others: &[(&str, &str)]) -> TempDir {
    let root = tempfile::tempdir().unwrap();
    let summary = "# Summary\n\n- [A](a.md)\n- [B](part/b.md)\n";
    let files =
        [("book.toml", BOOK), ("src/SUMMARY.md", summary), ("src/a.md", chapter), ("src/part/b.md", "# B\n")];
    for (path, text) in files.iter().chain(others) {
        let path = root.path().join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
    root
}

fn build(root: &Path) -> Result<Site, Diagnostics> {
    build_site(root, Stub, None, |_| Ok(()))
}

fn page(site: &Site) -> String {
    fs::read_to_string(site.folder.join("a.html")).unwrap()
}

/// All files below a folder, with their bytes.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    fn walk(folder: &Path, top: &Path, found: &mut BTreeMap<String, Vec<u8>>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, top, found);
            } else {
                found.insert(path.strip_prefix(top).unwrap().display().to_string(), fs::read(&path).unwrap());
            }
        }
    }
    let mut found = BTreeMap::new();
    walk(folder, folder, &mut found);
    found
}

/// The errors of a build that must fail and must leave the folder as it was.
fn failure(root: &Path) -> String {
    let before = files(root);
    let error = build(root).expect_err("the build should fail").to_string();
    assert!(files(root) == before, "the failed build changed the folder:\n{error}");
    assert!(!hidden_left(root), "a hidden folder was left behind");
    error
}

fn hidden_left(root: &Path) -> bool {
    fs::read_dir(root)
        .unwrap()
        .any(|entry| entry.unwrap().file_name().to_string_lossy().starts_with(".reckoner-"))
}

#[test]
fn a_good_book_becomes_a_site() {
    let book = book(GOOD, &[]);
    let site = build(book.path()).map_err(|errors| errors.to_string()).unwrap();
    assert_eq!(site.folder, fs::canonicalize(book.path()).unwrap().join("book"));
    assert_eq!(site.warnings, Vec::<String>::new());
    assert!(page(&site).contains("It holds 171 L."));
    assert!(page(&site).contains("<title>A - Reef</title>"));
    assert!(!hidden_left(book.path()));
}

/// Runs the test above again in a process with an environment that would change a stock build.
#[test]
fn the_environment_changes_nothing() {
    let run = std::process::Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "a_good_book_becomes_a_site"])
        .env("MDBOOK_BOOK__TITLE", "Leak")
        .output()
        .unwrap();
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stdout));
    assert!(String::from_utf8_lossy(&run.stdout).contains("1 passed"));
}

/// `mdbook serve` looks at the text, the theme, `book.toml` and what that lists; whatever else the book is
/// made from must be listed, or a change of it is not seen.
#[test]
fn everything_the_book_is_made_from_is_watched_by_serve() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../book");
    let config = mdbook_driver::config::Config::from_disk(root.join("book.toml")).unwrap();
    let mut watched = vec![config.book.src, "theme".into(), "book.toml".into()];
    watched.extend(config.build.extra_watch_dirs);
    watched.sort();
    let entries = fs::read_dir(&root).unwrap().map(|entry| PathBuf::from(entry.unwrap().file_name()));
    // What is built is made from the rest.
    let mut made_from: Vec<_> = entries.filter(|name| *name != config.build.build_dir).collect();
    made_from.sort();
    assert_eq!(watched, made_from);
}

#[test]
fn two_builds_give_identical_bytes() {
    let book = book("# A\n\nIt holds FIGURE.\n", &[]);
    let folder = build(book.path()).unwrap().folder;
    let first = files(&folder);
    build(book.path()).unwrap();
    assert!(first == files(&folder), "the second build differs");
    // A page that is no longer in the book goes.
    fs::write(book.path().join("src/SUMMARY.md"), "# Summary\n\n- [A](a.md)\n").unwrap();
    build(book.path()).unwrap();
    assert!(!folder.join("part/b.html").exists());
    assert!(first.len() > 10);
}

#[test]
fn a_failing_preprocessor_leaves_the_old_site() {
    let book = book("# A\n", &[]);
    build(book.path()).unwrap();
    fs::write(book.path().join("src/a.md"), "# A\n\nFAIL\n").unwrap();
    let error = failure(book.path());
    assert!(error.contains("error: it fails here\n --> src/a.md:3:1\n"), "{error}");
    assert!(book.path().join("book/a.html").is_file());
}

#[test]
fn a_failing_first_build_leaves_nothing() {
    let book = book("# A\n\nFAIL\n", &[]);
    failure(book.path());
    assert!(!book.path().join("book").exists());
}

#[test]
fn a_missing_include_fails_with_its_reason() {
    let book = book("# A\n\n{{#include none.md}}\n", &[]);
    let error = failure(book.path());
    assert!(error.contains("{{#include none.md}}"), "{error}");
    assert!(error.contains("= help: because: "), "{error}");
    assert!(error.ends_with("1 error; nothing was written"), "{error}");
}

#[test]
fn dead_links_images_and_anchors_fail_with_their_pages() {
    let book = book("# A\n\n[x](none.html) [y](part/b.md#none) ![z](none.png)\n", &[]);
    let error = failure(book.path());
    for link in ["none.html", "part/b.html#none", "none.png"] {
        assert!(error.contains(&format!("error: a.html: `{link}` leads nowhere")), "{error}");
    }
}

/// The page of a chapter, its copy as the first of the book, and the print of all say the same.
#[test]
fn a_dead_link_of_the_site_is_told_once() {
    let book = book("# A\n\n[x](none.html) [y](part/b.md#none)\n", &[]);
    let error = failure(book.path());
    assert_eq!(error.matches("error: ").count(), 2, "{error}");
}

#[test]
fn markup_that_mdbook_warns_of_ends_the_build() {
    let book = book("# A\n\nB <b>c.\n\n[^d]: e\n", &[]);
    let error = failure(book.path());
    assert!(error.contains("error: unclosed HTML tag `<b>` found in `a.md`"), "{error}");
    assert!(error.contains("error: footnote `d` in `a.md` is defined but not referenced"), "{error}");
}

#[test]
fn a_chapter_without_a_file_fails_at_its_line_and_is_not_created() {
    let book = book("# A\n", &[("src/SUMMARY.md", "- [A](a.md)\n- [New](new.md)\n")]);
    let error = failure(book.path());
    assert!(error.contains("error: the chapter `new.md` is missing"), "{error}");
    assert!(error.contains("src/SUMMARY.md:2:9"), "{error}");
}

#[test]
fn a_book_without_our_table_is_refused() {
    let book = book("# A\n", &[("book.toml", "[book]\ntitle = \"Reef\"\n")]);
    assert!(failure(book.path()).contains("has no table [preprocessor.reckoner]"));
}

#[test]
fn finish_adds_files_before_the_links_are_checked() {
    let book = book("# A\n\n[all figures](ledger.json)\n", &[]);
    failure(book.path());
    let add = |folder: &Path| {
        fs::write(folder.join("ledger.json"), "[]")
            .map_err(|error| Diagnostic::plain(error.to_string()).into())
    };
    let site = build_site(book.path(), Stub, None, add).map_err(|errors| errors.to_string()).unwrap();
    assert!(site.folder.join("ledger.json").is_file());
    build_site(book.path(), Stub, None, |_| Err(Diagnostic::plain("no room").into())).unwrap_err();
    assert!(site.folder.join("ledger.json").is_file());
}

#[test]
fn another_output_folder_is_used_but_nothing_else_is_replaced() {
    let book = book("# A\n", &[]);
    let elsewhere = tempfile::tempdir().unwrap();
    let letters = elsewhere.path().join("letters");
    fs::create_dir(&letters).unwrap();
    fs::write(letters.join("dear.txt"), "dear").unwrap();
    let error = build_site(book.path(), Stub, Some(&letters), |_| Ok(())).unwrap_err();
    assert!(error.to_string().contains("holds something else than a site"), "{error}");
    assert!(letters.join("dear.txt").is_file());

    let error = build_site(book.path(), Stub, Some(book.path()), |_| Ok(())).unwrap_err();
    assert!(error.to_string().contains("holds the book's own text"), "{error}");

    let fresh = elsewhere.path().join("deep/site");
    for _ in 0..2 {
        build_site(book.path(), Stub, Some(&fresh), |_| Ok(())).map_err(|errors| errors.to_string()).unwrap();
        assert!(fresh.join("a.html").is_file());
    }
    assert!(!book.path().join("book").exists());
}

#[test]
fn other_outputs_of_the_book_are_built_too() {
    let book =
        book("# A\n\nFIGURE\n", &[("book.toml", &format!("{BOOK}[output.html]\n[output.markdown]\n"))]);
    let folder = build(book.path()).map_err(|errors| errors.to_string()).unwrap().folder;
    assert!(folder.join("html/a.html").is_file());
    assert_eq!(fs::read_to_string(folder.join("markdown/a.md")).unwrap(), "# A\n\n171 L\n");
}
