//! Whatever a file holds, it is read or refused: no panic, no hang, and a place in the text for each error.
//!
//! The inputs are the book's own files with pieces cut out, doubled, swapped and overwritten by chance, and
//! files far too large.
//! `RECKONER_INPUTS=100000 cargo test --release -p reckoner-tests --test any_input -- --nocapture` tries more
//! of them than the usual number for each kind of file, and says how many and how long.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use mdbook_reckoner::diagnostic::{Diagnostic, Diagnostics};
use mdbook_reckoner::edition::{Edition, Settings, read_club};
use mdbook_reckoner::prose::lint::{MarkdownOptions, typed_numbers};
use mdbook_reckoner::site::protocol::Chapter;
use mdbook_reckoner::site::typeset::Manuscript;
use reckoner_calc::document::{self, Problem};
use reckoner_calc::quantity::parse;
use reckoner_calc::rules::COMPILED_IN;
use reckoner_calc::{Catalogue, Rules, Sheet, Tank};
use reckoner_page::html::Medium;
use reckoner_tests::random_tanks::{Dice, tank};
use uom::si::f64::Length;

/// The chance of these tests.
const SEED: u64 = 0x000f_11e5;
/// What no file may take.
const LONGEST: Duration = Duration::from_secs(5);

fn book() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../book")
}

/// How many files of a kind are read.
fn files() -> usize {
    std::env::var("RECKONER_INPUTS").map_or(1500, |number| number.parse().unwrap())
}

fn catalogue() -> String {
    fs::read_to_string(book().join("pumps.toml")).unwrap()
}

/// Pieces that a parser may stumble over.
const PIECES: &[&str] = &[
    "\"",
    "'",
    "\"\"\"",
    "[",
    "]",
    "[[",
    "]]",
    "{",
    "}",
    "=",
    ",",
    ".",
    "#",
    "\n",
    "\r\n",
    "\0",
    "\u{1b}[31m",
    "\u{202e}",
    "\u{feff}",
    "½",
    "−1",
    "1e999",
    "-1e-999",
    "nan",
    "inf",
    "0",
    "9999999999999999999999",
    "{{#include /etc/hostname}}",
    "{=",
    "=}",
    "{%",
    "%}",
    "<!--",
    "</svg>",
    "US gal",
    "gal",
    "cm",
    "°F",
    "%",
    " to ",
    "1/0 in",
    "\\u0000",
    "\\",
    "| a |\n|---|\n",
    "```check\n",
    "```",
    "[^1]",
    "&#x110000;",
    "\t",
];

/// A text with one to six pieces cut out, doubled, moved, or put in.
fn damaged(text: &str, dice: &mut Dice) -> String {
    let mut chars: Vec<char> = text.chars().collect();
    for _ in 0..=dice.below(6) {
        let length = chars.len().max(1);
        let from = dice.below(length).min(chars.len());
        let to = (from + dice.below(40)).min(chars.len());
        match dice.below(4) {
            0 => drop(chars.drain(from..to)),
            1 => {
                let piece: Vec<char> = chars[from..to].to_vec();
                let at = dice.below(chars.len() + 1);
                chars.splice(at..at, piece);
            }
            2 => {
                let piece = dice.pick(PIECES).chars();
                chars.splice(from..from, piece);
            }
            _ => {
                let piece = dice.pick(PIECES).chars();
                chars.splice(from..to, piece);
            }
        }
    }
    chars.into_iter().collect()
}

/// Reads `count` files by chance; `read` gives the problems of one. Every problem has a place in its text.
fn no_file_stumbles(kind: &str, count: usize, seeds: &[String], read: impl Fn(&str) -> Vec<Problem>) {
    let mut dice = Dice::new(SEED);
    let mut refused = 0;
    let (begin, mut longest) = (Instant::now(), Duration::ZERO);
    for _ in 0..count {
        let text = damaged(&seeds[dice.below(seeds.len())], &mut dice);
        let start = Instant::now();
        let problems = read(&text);
        longest = longest.max(start.elapsed());
        assert!(start.elapsed() < LONGEST, "{:?} for\n{text}", start.elapsed());
        refused += usize::from(!problems.is_empty());
        for problem in &problems {
            assert!(
                problem.span.start <= problem.span.end && problem.span.end <= text.len(),
                "{problem:?}\n{text}"
            );
        }
        let drawn =
            Diagnostics(problems.into_iter().map(|problem| placed(problem, &text)).collect()).to_string();
        assert!(!drawn.contains(['\0', '\u{1b}', '\u{202e}']), "{drawn:?}");
    }
    eprintln!("{kind}: {count} inputs, {refused} refused, in {:?}, the longest {longest:?}", begin.elapsed());
    assert!(refused > count / 4, "only {refused} of {count} files were damaged enough to be refused");
}

fn placed(problem: Problem, text: &str) -> Diagnostic {
    Diagnostic::new(problem.document, text.into(), problem.span, problem.message).hints(problem.help)
}

#[test]
fn tanks_are_reckoned_or_refused() {
    let rules = Rules::compiled_in().unwrap();
    let catalogue = Catalogue::read("pumps.toml", &catalogue()).unwrap();
    let seeds: Vec<_> = (0..40)
        .map(|number| tank(&format!("Tank {number}"), &mut Dice::new(SEED + number), &catalogue.pumps))
        .collect();
    no_file_stumbles("tanks", files(), &seeds, |text| {
        match Tank::read_with("tank.toml", text, &rules, &catalogue) {
            Ok(tank) => {
                // A sheet or a reason; never a panic.
                let _ = Sheet::reckon(&rules, &catalogue, &tank);
                Vec::new()
            }
            Err(problems) => problems,
        }
    });
}

#[test]
fn catalogues_are_read_or_refused() {
    no_file_stumbles("catalogues", files(), &[catalogue()], |text| {
        Catalogue::read("pumps.toml", text).err().unwrap_or_default()
    });
}

#[test]
fn clubs_are_read_or_refused() {
    let club = fs::read_to_string(book().join("club.toml")).unwrap();
    no_file_stumbles("clubs", files(), &[club], |text| {
        read_club("club.toml", text).err().unwrap_or_default()
    });
}

#[test]
fn rules_are_read_or_refused() {
    // All rules are read with each file, so fewer are tried.
    for (name, text) in COMPILED_IN {
        let read =
            |text: &str| Rules::load(&[((*name).to_owned(), text.to_owned())]).err().unwrap_or_default();
        // A problem that a damaged source makes in another file has its place there.
        let of_this =
            |text: &str| read(text).into_iter().filter(|problem| problem.document == *name).collect();
        no_file_stumbles(name, files().div_ceil(5 * COMPILED_IN.len()), &[(*text).to_owned()], of_this);
    }
}

/// The beginnings of the book's chapters.
fn chapters() -> Vec<String> {
    let pages = fs::read_dir(book().join("src"))
        .unwrap()
        .map(|entry| fs::read_to_string(entry.unwrap().path()).unwrap());
    pages.map(|page| page.chars().take(3000).collect()).collect()
}

#[test]
fn chapters_are_linted_whatever_they_hold() {
    no_file_stumbles("chapters, looked through", files(), &chapters(), |text| {
        let errors = typed_numbers("page.md", &Arc::from(text), &MarkdownOptions::default());
        errors.into_iter().map(problem).collect()
    });
}

/// The whole way of a chapter: lint, templates, checks, sums and what the tank lacks.
#[test]
fn chapters_are_set_or_refused() {
    let edition = edition();
    no_file_stumbles("chapters, set", files() / 10, &chapters(), |text| set(text, &edition));
}

fn edition() -> Edition {
    let settings =
        Settings { tank: Some("tanks/first_reef.toml".into()), rules: None, ..Settings::default() };
    Edition::load(&book(), &settings).unwrap_or_else(|errors| panic!("{errors}"))
}

/// What is wrong with a book of this one chapter.
fn set(text: &str, edition: &Edition) -> Vec<Problem> {
    let chapter = Chapter {
        path: "page.md".to_owned(),
        source_path: None,
        number: String::new(),
        content: text.to_owned(),
    };
    let set = Manuscript::new(Path::new("/"), Path::new("src"), &[chapter]).set(edition, Medium::Html);
    set.err().unwrap_or_default().0.into_iter().map(problem).collect()
}

/// An error as the problem that it came from; one without a place stands at the beginning.
fn problem(error: Diagnostic) -> Problem {
    let span = error.place.map_or(0..0, |place| place.span);
    Problem {
        document: "page.md".to_owned(),
        span,
        missing: String::new(),
        message: error.message,
        help: error.hints,
    }
}

#[test]
fn quantities_are_read_or_refused() {
    let mut dice = Dice::new(SEED);
    for _ in 0..20 * files() {
        let text = damaged(dice.pick(&["12 1/2 in", "2.5 cm", "3 ft 4 in", "1,200 mm", "−4 m"]), &mut dice);
        if let Ok(length) = parse::<Length>(&text) {
            assert!(length.value.is_finite(), "{text:?}");
        }
    }
}

#[test]
fn checks_are_read_or_refused() {
    let rules = Rules::compiled_in().unwrap();
    let seeds: Vec<_> = fs::read_dir(book().join("src"))
        .unwrap()
        .flat_map(|entry| {
            let page = fs::read_to_string(entry.unwrap().path()).unwrap();
            let blocks = page
                .split("```check\n")
                .skip(1)
                .map(|rest| rest.split("```").next().unwrap_or_default().to_owned());
            blocks.collect::<Vec<_>>()
        })
        .collect();
    assert!(seeds.len() > 50);
    no_file_stumbles("checks", files(), &seeds, |text| {
        let read =
            document::read("check", text, |table| reckoner_calc::check::Check::read(table, &rules, |_| None));
        read.err().unwrap_or_default()
    });
}

/// Gives what is wrong in a text.
type Reader<'r> = &'r dyn Fn(&str) -> Vec<Problem>;

/// Files of some ten million bytes, each too large in a way of its own. All but the good ones are refused.
#[test]
fn no_file_of_ten_megabytes_takes_five_seconds() {
    let rules = Rules::compiled_in().unwrap();
    let first_reef = fs::read_to_string(book().join("tanks/first_reef.toml")).unwrap();
    let pump = |number: usize| {
        format!(
            "[[pump]]\nmodel = \"Model {number}\"\nkind = \"round-fixed\"\nrated_flow = \"150 L/h\"\noutlet = \"12 mm\"\npower = \"1 W\"\nsound = \"24 dB\"\nprice = \"12 USD\"\nwet_end_price = \"5 USD\"\nshaft = \"plastic\"\n"
        )
    };
    let tank = |text: &str| Tank::read("tank.toml", text, &rules).err().unwrap_or_default();
    let catalogue = |text: &str| Catalogue::read("pumps.toml", text).err().unwrap_or_default();
    let club = |text: &str| read_club("club.toml", text).err().unwrap_or_default();
    let rule =
        |text: &str| Rules::load(&[("turnover.toml".to_owned(), text.to_owned())]).err().unwrap_or_default();
    let check = |text: &str| {
        document::read("check", text, |table| reckoner_calc::check::Check::read(table, &rules, |_| None))
            .err()
            .unwrap_or_default()
    };
    let edition = edition();
    let chapter = |text: &str| set(text, &edition);
    let numbered = |count: usize, line: &dyn Fn(usize) -> String| (0..count).map(line).collect::<String>();
    let keys = numbered(400_000, &|at| format!("a_key_that_nobody_reads_{at} = 1\n"));
    let pages = chapters().concat();
    let files: Vec<(&str, String, Reader<'_>)> = vec![
        ("unknown keys of a tank", keys.clone(), &tank),
        ("unknown keys of a club", keys.clone(), &club),
        ("unknown keys of rules", keys.clone(), &rule),
        ("unknown keys of a check", keys, &check),
        (
            "bad values",
            first_reef.clone()
                + &numbered(200_000, &|at| {
                    format!("[[fish]]\nname = \"{at}\"\ncount = -1\nmass = \"much\"\n")
                }),
            &tank,
        ),
        ("a long name", first_reef.replace("First Reef", &"n".repeat(10_000_000)), &tank),
        ("a long about", format!("name = \"A\"\nabout = \"{}\"\n", "a ".repeat(5_000_000)), &club),
        ("one long line", "name = [".to_owned() + &"[".repeat(1000) + &"1,".repeat(5_000_000), &tank),
        ("many models", "currency = \"USD\"\n".to_owned() + &numbered(60_000, &pump), &catalogue),
        ("the same model", "currency = \"USD\"\n".to_owned() + &numbered(60_000, &|_| pump(1)), &catalogue),
        (
            "many rules",
            numbered(150_000, &|at| {
                format!(
                    "[r{at}]\ntitle = \"R\"\nvalue = \"much\"\nbasis = \"invented\"\nused_by = \"pages\"\n"
                )
            }),
            &rule,
        ),
        ("many digits", first_reef.replace("90 cm", &"9".repeat(10_000_000)), &tank),
        ("many words", first_reef.replace("90 cm", &"12 cm ".repeat(1_700_000)), &tank),
        ("a long choice", first_reef.replace("small_polyp", &"small_".repeat(1_700_000)), &tank),
        ("a long key", first_reef.replace("fill_line", &"fill".repeat(2_500_000)), &tank),
        ("the book over and over", pages.repeat(10_000_000 / pages.len() + 1), &chapter),
        ("a deep quotation", "> ".repeat(5_000_000), &chapter),
    ];
    // A chapter of ten megabytes is refused before it is read; these are just short enough.
    let just = |piece: &str| piece.repeat(299_000 / piece.len());
    let chapters = [
        ("a chapter of tags that do not close", just("{= tank.water ")),
        ("a chapter of blocks that do not end", just("{% if tank.water %} ")),
        ("a chapter of comments that do not end", just("{* ")),
        ("a chapter of figures", just("{= tank.water =}\n\n")),
        ("a chapter of numbers", just("It holds 142 litres and forty fish.\n\n")),
        ("a chapter of deep quotations", just("> ")),
        ("a chapter of emphasis", just("*a **a _a ")),
        ("a chapter of links", just("[a](")),
        ("a chapter of checks", just("```check\n```\n\n")),
    ];
    let just = chapters.into_iter().map(|(name, text)| (name, text, &chapter as Reader<'_>));
    let files: Vec<_> = files.into_iter().chain(just).collect();
    let mut slow = Vec::new();
    for (name, text, read) in files {
        assert!(
            text.len() > if name.starts_with("a chapter") { 290_000 } else { 9_000_000 },
            "{name}: {} bytes",
            text.len()
        );
        let text: Arc<str> = text.into();
        let read = || {
            let start = Instant::now();
            let problems = read(&text);
            let errors = problems.iter().map(|problem| {
                Diagnostic::new(
                    problem.document.clone(),
                    text.clone(),
                    problem.span.clone(),
                    problem.message.clone(),
                )
                .hints(problem.help.clone())
            });
            let drawn = Diagnostics(errors.collect()).to_string();
            assert!(drawn.len() < 1_000_000, "{name}: {} bytes of errors", drawn.len());
            (problems.len(), start.elapsed())
        };
        // On a machine that has other work to do a file may take its time; what takes long three times takes
        // long.
        let (problems, mut took) = read();
        for _ in 0..2 {
            if took >= LONGEST {
                took = took.min(read().1);
            }
        }
        eprintln!("{name}: {problems} problems, {took:?}");
        if took >= LONGEST {
            slow.push((name, took));
        }
        assert!(problems > 0 || name.starts_with("a chapter"), "{name}");
    }
    assert!(slow.is_empty(), "{slow:?}");
}
