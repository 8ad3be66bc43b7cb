//! What `compare` tells is the difference of the pages, no more and no less: for many changed rules the
//! pieces that it prints turn the old text of each page into the new one.
//!
//! The text of a page is read here by another reader than that of `compare`, and the pages are set another
//! way.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use mdbook_reckoner::chapter::plain;
use mdbook_reckoner::command::compare::{Comparison, Version, compare, current};
use mdbook_reckoner::edition::Settings;
use mdbook_reckoner::site::typeset::{Reckoner, typeset_whatever_the_checks_say};
use mdbook_reckoner::site::{handouts, rendered_pages, settings};
use reckoner_calc::rules::{COMPILED_IN, Rules};
use reckoner_page::html::Medium;
use reckoner_tests::nudges::{Way, nudged};

/// So many of the nudged rules are tried, from all files; some of them the book refuses, since its words no
/// longer hold. So many must be left.
const NUDGES: usize = 56;
const ENOUGH: usize = 48;

/// How often each sentence stands on each page.
type Texts = BTreeMap<String, BTreeMap<String, i64>>;

fn book() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../book")
}

/// The sentences, cells and words of drawings that the pages and the sheets of the book print with a folder of rules.
fn printed(rules: &Path) -> Texts {
    let overrides = Settings { tank: None, rules: Some(rules.to_owned()), ..Settings::default() };
    let settings = settings(&book(), &overrides).unwrap_or_else(|errors| panic!("{errors}"));
    let sheets = handouts(&book()).unwrap_or_else(|errors| panic!("{errors}"));
    let names: Vec<_> = sheets.paths().map(|path| format!("handouts/{path}")).collect();
    let sheets = typeset_whatever_the_checks_say(sheets, &book(), &settings, Medium::Html);
    let sheets = names.into_iter().zip(sheets.unwrap_or_else(|errors| panic!("{errors}")).contents);
    let reckoner = Reckoner { overrides, whatever_the_checks_say: true, ..Reckoner::default() };
    let pages = rendered_pages(&book(), reckoner, "html").unwrap_or_else(|errors| panic!("{errors}"));
    let read = |(page, markdown): (String, String)| {
        let mut texts = BTreeMap::new();
        let blocks = plain::blocks(&markdown).into_iter().map(|block| block.text());
        for text in blocks.chain(words_of_drawings(&markdown)) {
            for sentence in sentences(&text.replace('\u{a0}', " ")) {
                *texts.entry(sentence).or_default() += 1;
            }
        }
        (page, texts)
    };
    pages.into_iter().chain(sheets).map(read).collect()
}

/// The words of drawings, and those of labels, which the reader of blocks passes over.
fn words_of_drawings(html: &str) -> Vec<String> {
    let mut found = Vec::new();
    for drawing in html.split("<svg").skip(1) {
        let drawing = drawing.split("</svg>").next().unwrap();
        for element in ["text", "title", "desc"] {
            for piece in drawing.split(&format!("<{element}")).skip(1) {
                let inside = piece.split(&format!("</{element}>")).next().unwrap();
                let mut words = String::new();
                for part in inside.replace("<tspan", " <tspan").split('<') {
                    words.push_str(part.split_once('>').map_or("", |(_, text)| text));
                }
                let words = words
                    .replace("&lt;", "<")
                    .replace("&gt;", ">")
                    .replace("&quot;", "\"")
                    .replace("&amp;", "&");
                found.push(words.split_ascii_whitespace().collect::<Vec<_>>().join(" "));
            }
        }
    }
    // What is read to those who do not see a page.
    for label in html.split(" aria-label=\"").skip(1) {
        found.push(
            label.split('"').next().unwrap().replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&"),
        );
    }
    found
}

/// A text cut behind each full stop, question mark, exclamation mark or colon that a capital or a digit
/// follows.
fn sentences(text: &str) -> Vec<String> {
    let mut found = vec![String::new()];
    let words: Vec<&str> = text.split(' ').collect();
    for (at, word) in words.iter().enumerate() {
        let sentence = found.last_mut().unwrap();
        if !sentence.is_empty() {
            sentence.push(' ');
        }
        sentence.push_str(word);
        let ends = word.trim_end_matches([')', '”', '"', '’', '\'']).ends_with(['.', '?', '!', ':']);
        let next = words
            .get(at + 1)
            .and_then(|next| next.trim_start_matches(['(', '“', '"', '‘', '\'']).chars().next());
        if ends && next.is_some_and(|next| next.is_uppercase() || next.is_numeric()) {
            found.push(String::new());
        }
    }
    found.retain(|sentence| !sentence.is_empty());
    found
}

/// What differs: each sentence with how often more, or less, it stands on its page.
fn difference(old: &Texts, new: &Texts) -> Texts {
    let mut found = new.clone();
    for (page, texts) in old {
        for (text, times) in texts {
            *found.entry(page.clone()).or_default().entry(text.clone()).or_default() -= times;
        }
    }
    tidy(found)
}

fn tidy(mut texts: Texts) -> Texts {
    texts.values_mut().for_each(|texts| texts.retain(|_, times| *times != 0));
    texts.retain(|_, texts| !texts.is_empty());
    texts
}

/// The same, as the printed comparison tells it.
fn told(comparison: &Comparison) -> Texts {
    let mut found = Texts::new();
    let mut page = String::new();
    for line in comparison.text().lines() {
        if line.ends_with(".md") && !line.starts_with(' ') {
            line.clone_into(&mut page);
        }
        for (sign, by) in [("    - ", -1), ("    + ", 1)] {
            if let Some(text) = line.strip_prefix(sign) {
                *found.entry(page.clone()).or_default().entry(text.to_owned()).or_default() += by;
            }
        }
    }
    tidy(found)
}

/// Rule files that differ from those compiled in, with what was done to them.
fn edits() -> Vec<(String, &'static str, String)> {
    let text = |file: &str| COMPILED_IN.iter().find(|(name, _)| *name == file).unwrap().1;
    let edit = |what: &str, file: &'static str, from: &str, to: &str| {
        assert!(text(file).contains(from), "{from:?} is not in {file}");
        (what.to_owned(), file, text(file).replacen(from, to, 1))
    };
    let source = "\n[club_notes]\nauthor = \"The club\"\nyear = \"2020\"\ntitle = \"Notes\"\npublished = \"a leaflet\"\nseen = \"in the original\"\n";
    let rule = "\n[our_evenings]\ntitle = \"Evenings on which we meet\"\nvalue = \"3\"\nbasis = \"invented\"\nused_by = \"pages\"\n";
    let mut edits = vec![
        edit("the day's timeline", "livestock.toml", "high = \"20 per hour\"", "high = \"25 per hour\""),
        edit("a title", "livestock.toml", "\"Soft corals\"", "\"Soft-bodied corals\""),
        edit("a note", "turnover.toml", "leaves room to turn up", "leaves some room to turn up"),
        edit("a basis", "turnover.toml", "basis = \"common-practice\"", "basis = \"from-memory\""),
        edit(
            "an author",
            "sources.toml",
            "\"Millero, F. J. and Poisson, A.\"",
            "\"Poisson, A. and Millero, F. J.\"",
        ),
        ("a source that is added".to_owned(), "sources.toml", text("sources.toml").to_owned() + source),
        ("a rule that is added".to_owned(), "upkeep.toml", text("upkeep.toml").to_owned() + rule),
    ];
    let rules = Rules::compiled_in().unwrap();
    let nudges: Vec<_> = COMPILED_IN
        .iter()
        .filter(|(file, _)| *file != "sources.toml")
        .flat_map(|(file, text)| {
            let nudged = nudged(file.trim_end_matches(".toml"), text, &rules, Way::Up).into_iter();
            nudged.map(move |(rule, changed)| (rule, *file, changed))
        })
        // Nudged, a rule may turn its band round, which is refused.
        .filter(|(_, file, changed)| Rules::load(&[((*file).to_owned(), changed.clone())]).is_ok())
        .collect();
    assert!(nudges.len() > NUDGES);
    edits.extend((0..NUDGES).map(|at| nudges[at * nudges.len() / NUDGES].clone()));
    edits
}

/// The book with a folder of rules; none where a statement of its prose is no longer true.
fn version(rules: &Path) -> Option<Version> {
    current(&book(), &Settings { tank: None, rules: Some(rules.to_owned()), ..Settings::default() }).ok()
}

#[test]
fn what_is_told_is_what_differs() {
    let edits = edits();
    let nothing = tempfile::tempdir().unwrap();
    fs::write(nothing.path().join("turnover.toml"), "").unwrap();
    let (before, texts_before) = (version(nothing.path()).unwrap(), printed(nothing.path()));
    let wrong = |(what, file, changed): &(String, &str, String)| {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join(file), changed).unwrap();
        let now = version(folder.path())?;
        let really = difference(&texts_before, &printed(folder.path()));
        let forth = compare(&before, &now);
        let mut found = Vec::new();
        // The way back: a rule that was added is one that is removed.
        for (way, comparison, sign) in [("", &forth, 1), (", undone", &compare(&now, &before), -1)] {
            let mut really = really.clone();
            really.values_mut().flat_map(|texts| texts.values_mut()).for_each(|times| *times *= sign);
            let told = told(comparison);
            if told != really {
                found.push(format!("{what}{way}: told wrongly or not\n{:#?}", difference(&told, &really)));
            }
            if really.is_empty() {
                found.push(format!("{what}{way}: nothing differs, so nothing was tried"));
            }
        }
        let named = forth.rules.len();
        if named != usize::from(*file != "sources.toml") {
            found.push(format!("{what}: {named} rules are named"));
        }
        Some((found, really.keys().cloned().collect::<BTreeSet<_>>()))
    };
    let threads = std::thread::available_parallelism().map_or(2, usize::from);
    let results: Vec<_> = std::thread::scope(|scope| {
        let work: Vec<_> = edits
            .chunks(edits.len().div_ceil(threads))
            .map(|part| scope.spawn(|| part.iter().filter_map(&wrong).collect::<Vec<_>>()))
            .collect();
        work.into_iter().flat_map(|part| part.join().unwrap()).collect()
    });
    assert!(results.len() >= ENOUGH, "only {} of {} edits left a book", results.len(), edits.len());
    let wrong: Vec<_> = results.iter().flat_map(|(found, _)| found.clone()).collect();
    assert!(wrong.is_empty(), "{} of {} edits:\n{}", wrong.len(), edits.len(), wrong.join("\n"));
    // The edits reached most of the book, so that much was held against much.
    let pages: BTreeSet<_> = results.iter().flat_map(|(_, pages)| pages).collect();
    assert!(pages.len() > 20, "{pages:?}");
}

#[test]
fn the_same_book_differs_in_nothing() {
    let before = current(&book(), &Settings::default()).unwrap_or_else(|errors| panic!("{errors}"));
    let comparison = compare(&before, &before);
    assert_eq!(comparison, Comparison::default());
    assert_eq!(
        comparison.text(),
        "0 places on 0 pages differ: 0 figures moved, 0 new, 0 gone, 0 checks failing\n"
    );
}
