//! Whatever a file holds, it is read or refused: no panic, no hang, and a place in the text for each error.
//!
//! The inputs are the book's own files with pieces cut out, doubled, swapped and overwritten by chance, and files far too large.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

use mdbook_reckoner::diagnostic::{Diagnostic, Diagnostics};
use mdbook_reckoner::prose::lint::{MarkdownOptions, typed_numbers};
use reckoner_calc::document::{self, Problem};
use reckoner_calc::quantity::parse;
use reckoner_calc::rules::COMPILED_IN;
use reckoner_calc::{Catalogue, Rules, Sheet, Tank};
use reckoner_tests::random_tanks::{Dice, tank};
use uom::si::f64::Length;

/// The chance of these tests, and how many files each of them reads.
const SEED: u64 = 0x000f_11e5;
const FILES: usize = 1500;
/// What no file may take.
const LONGEST: Duration = Duration::from_secs(5);

fn book() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../book")
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

/// Reads files by chance; `read` gives the problems of one. Every problem has a place in its text.
fn no_file_stumbles(seeds: &[String], read: impl Fn(&str) -> Vec<Problem>) {
    let mut dice = Dice::new(SEED);
    let mut refused = 0;
    for _ in 0..FILES {
        let text = damaged(&seeds[dice.below(seeds.len())], &mut dice);
        let start = Instant::now();
        let problems = read(&text);
        assert!(start.elapsed() < LONGEST, "{:?} for\n{text}", start.elapsed());
        refused += usize::from(!problems.is_empty());
        for problem in &problems {
            assert!(problem.span.start <= problem.span.end && problem.span.end <= text.len(), "{problem:?}\n{text}");
        }
        let drawn = Diagnostics(problems.into_iter().map(|problem| placed(problem, &text)).collect()).to_string();
        assert!(!drawn.contains(['\0', '\u{1b}', '\u{202e}']), "{drawn:?}");
    }
    assert!(refused > FILES / 4, "only {refused} of {FILES} files were damaged enough to be refused");
}

fn placed(problem: Problem, text: &str) -> Diagnostic {
    Diagnostic::new(problem.document, text.into(), problem.span, problem.message).hints(problem.help)
}

#[test]
fn tanks_are_reckoned_or_refused() {
    let rules = Rules::compiled_in().unwrap();
    let catalogue = Catalogue::read("pumps.toml", &catalogue()).unwrap();
    let seeds: Vec<_> = (0..40).map(|number| tank(&format!("Tank {number}"), &mut Dice::new(SEED + number), &catalogue.pumps)).collect();
    no_file_stumbles(&seeds, |text| match Tank::read_with("tank.toml", text, &rules, &catalogue) {
        Ok(tank) => {
            // A sheet or a reason; never a panic.
            let _ = Sheet::reckon(&rules, &catalogue, &tank);
            Vec::new()
        }
        Err(problems) => problems,
    });
}

#[test]
fn catalogues_are_read_or_refused() {
    no_file_stumbles(&[catalogue()], |text| Catalogue::read("pumps.toml", text).err().unwrap_or_default());
}

#[test]
fn rules_are_read_or_refused() {
    let seeds: Vec<_> = COMPILED_IN.iter().map(|(_, text)| (*text).to_owned()).collect();
    let mut dice = Dice::new(SEED);
    let mut refused = 0;
    for _ in 0..FILES / 5 {
        let which = dice.below(seeds.len());
        let text = damaged(&seeds[which], &mut dice);
        let file = (COMPILED_IN[which].0.to_owned(), text.clone());
        let start = Instant::now();
        refused += usize::from(Rules::load(&[file]).is_err());
        assert!(start.elapsed() < LONGEST, "{:?} for\n{text}", start.elapsed());
    }
    assert!(refused > FILES / 20, "{refused}");
}

#[test]
fn chapters_are_linted_whatever_they_hold() {
    let pages = fs::read_dir(book().join("src")).unwrap().map(|entry| fs::read_to_string(entry.unwrap().path()).unwrap());
    let seeds: Vec<_> = pages.map(|page| page.chars().take(3000).collect::<String>()).collect();
    no_file_stumbles(&seeds, |text| {
        let errors = typed_numbers("page.md", &Arc::from(text), &MarkdownOptions::default());
        let problem = |error: Diagnostic| {
            let span = error.place.unwrap().span;
            Problem { document: "page.md".to_owned(), span, message: error.message, help: error.hints }
        };
        errors
            .into_iter()
            .map(problem)
            .chain(std::iter::once(Problem { document: String::new(), span: 0..0, message: String::new(), help: Vec::new() }))
            .collect()
    });
}

#[test]
fn quantities_are_read_or_refused() {
    let mut dice = Dice::new(SEED);
    for _ in 0..20 * FILES {
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
            let blocks = page.split("```check\n").skip(1).map(|rest| rest.split("```").next().unwrap_or_default().to_owned());
            blocks.collect::<Vec<_>>()
        })
        .collect();
    assert!(seeds.len() > 50);
    no_file_stumbles(&seeds, |text| {
        let read = document::read("check", text, |table| reckoner_calc::check::Check::read(table, &rules, |_| None));
        read.err().unwrap_or_default()
    });
}

/// Files of some ten million bytes, each too large in a way of its own.
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
    let numbered = |count: usize, line: &dyn Fn(usize) -> String| (0..count).map(line).collect::<String>();
    let files: Vec<(&str, Vec<Problem>, Duration)> = vec![
        ("unknown keys", numbered(400_000, &|at| format!("a_key_that_nobody_reads_{at} = 1\n")), true),
        (
            "bad values",
            first_reef.clone() + &numbered(200_000, &|at| format!("[[fish]]\nname = \"{at}\"\ncount = -1\nmass = \"much\"\n")),
            true,
        ),
        ("a long name", first_reef.replace("First Reef", &"n".repeat(10_000_000)), true),
        ("one long line", "name = [".to_owned() + &"[".repeat(1000) + &"1,".repeat(5_000_000), true),
        ("many models", "currency = \"USD\"\n".to_owned() + &numbered(60_000, &pump), false),
        ("the same model", "currency = \"USD\"\n".to_owned() + &numbered(60_000, &|_| pump(1)), false),
    ]
    .into_iter()
    .map(|(name, text, is_tank)| {
        assert!(text.len() > 9_000_000, "{name}: {} bytes", text.len());
        let text: Arc<str> = text.into();
        let read = || {
            let start = Instant::now();
            let problems = if is_tank { tank(&text) } else { catalogue(&text) };
            let errors = problems.iter().map(|problem| {
                Diagnostic::new(problem.document.clone(), text.clone(), problem.span.clone(), problem.message.clone())
                    .hints(problem.help.clone())
            });
            let drawn = Diagnostics(errors.collect()).to_string();
            assert!(drawn.len() < 1_000_000, "{name}: {} bytes of errors", drawn.len());
            (problems, start.elapsed())
        };
        // On a machine that has other work to do a file may take its time; what takes long three times takes long.
        let (problems, mut took) = read();
        for _ in 0..2 {
            if took >= LONGEST {
                took = took.min(read().1);
            }
        }
        (name, problems, took)
    })
    .collect();
    for (name, problems, took) in files {
        assert!(!problems.is_empty(), "{name}");
        assert!(took < LONGEST, "{name}: {took:?}");
    }
}
