//! How long the book takes, and what of it is ours: `cargo bench --bench build`.
//!
//! Plain mdBook renders the same text, with every figure written out already, so that the ratio tells what
//! the reckoning costs.

// A bench that can not get what it needs has failed.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use mdbook_driver::MDBook;
use mdbook_reckoner::edition::Settings;
use mdbook_reckoner::handout::shelf;
use mdbook_reckoner::site::typeset::Reckoner;
use mdbook_reckoner::site::{self, build_site, rendered_pages};

const ROUNDS: u32 = 7;

fn main() {
    let book = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../book");
    let folder = tempfile::tempdir().unwrap();
    let pages =
        rendered_pages(&book, Reckoner::default(), "html").unwrap_or_else(|errors| panic!("{errors}"));
    let plain = plain_copy(&book, folder.path(), &pages);

    let settings = site::settings(&book, &Settings::default()).unwrap_or_else(|errors| panic!("{errors}"));

    let check = median(|| {
        drop(rendered_pages(&book, Reckoner::default(), "html").map(|pages| assert!(!pages.is_empty())))
    });
    let ours = median(|| {
        let sheets = |site: &Path| shelf::put(site, &book, &settings).map(|_| ());
        build_site(&book, Reckoner::default(), Some(&folder.path().join("ours")), sheets)
            .unwrap_or_else(|errors| panic!("{errors}"));
    });
    let theirs = median(|| MDBook::load(&plain).unwrap().build().unwrap());
    let sizes: Vec<_> = pages
        .iter()
        .map(|(path, _)| size(&folder.path().join("ours").join(path).with_extension("html")))
        .collect();
    let (largest, page) =
        sizes.iter().zip(&pages).map(|(size, (path, _))| (*size, path.as_str())).max().unwrap();

    println!("{} pages, median of {ROUNDS} rounds", pages.len());
    println!("check, all proofs, nothing written   {:>8.1} ms", milliseconds(check));
    println!("build with reckoner                  {:>8.1} ms", milliseconds(ours));
    println!("plain mdBook, the same text          {:>8.1} ms", milliseconds(theirs));
    println!("ratio                                {:>8.2}", milliseconds(ours) / milliseconds(theirs));
    println!("largest page                         {:>8.0} KB  {page}", largest as f64 / 1000.0);
}

/// The book with its rendered Markdown in place of the chapters, and no preprocessor of ours.
fn plain_copy(book: &Path, folder: &Path, pages: &[(String, String)]) -> PathBuf {
    let plain = folder.join("plain");
    fs::create_dir_all(plain.join("src")).unwrap();
    let settings = fs::read_to_string(book.join("book.toml")).unwrap();
    let (before, after) = settings.split_once("[preprocessor.reckoner]").unwrap();
    let after = &after[after.find("[output").unwrap()..];
    fs::write(plain.join("book.toml"), format!("{before}{after}")).unwrap();
    for (path, text) in pages {
        fs::write(plain.join("src").join(path), text).unwrap();
    }
    fs::copy(book.join("src/SUMMARY.md"), plain.join("src/SUMMARY.md")).unwrap();
    fs::create_dir(plain.join("theme")).unwrap();
    for entry in fs::read_dir(book.join("theme")).unwrap() {
        let entry = entry.unwrap();
        fs::copy(entry.path(), plain.join("theme").join(entry.file_name())).unwrap();
    }
    plain
}

fn median(mut work: impl FnMut()) -> Duration {
    let mut times: Vec<_> = (0..ROUNDS)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed()
        })
        .collect();
    times.sort();
    times[times.len() / 2]
}

fn milliseconds(time: Duration) -> f64 {
    time.as_secs_f64() * 1000.0
}

fn size(file: &Path) -> u64 {
    fs::metadata(file).map_or(0, |metadata| metadata.len())
}
