//! The page of one tank, set for another, is the page of that other: what every page carries is enough for a
//! browser to make it the reader's own.
//!
//! A browser goes over a page as [`set_for`] does. In words:
//!
//! 1. Once a page: go through its comments. One that begins with `reckoner ` opens a place; the rest of its
//!    text is a form. The next comment `/reckoner` closes the place. Places do not lie in one another. Keep
//!    the forms in the order of the page.
//! 2. Whenever the tank changes: give all forms of the page to `reckoner_page::passage::set` in one call. It
//!    answers with one piece of HTML for each. The page that holds the whole book is no exception: where a
//!    chapter begins, a form says so.
//! 3. For each place whose answer is another than the last time: remove the nodes between its two comments
//!    and put the answer there, read as the inside of a `<template>`. An answer may be empty, an element,
//!    several, or a piece of a line.
//!
//! Nothing else in a page depends on the tank. The search index does: it finds the words of the tank that the
//! book was built for.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::{Duration, Instant};

use html5ever::tokenizer::{
    BufferQueue, TagKind, Token, TokenSink, TokenSinkResult, Tokenizer, TokenizerOpts,
};
use mdbook_reckoner::chapter::plain;
use mdbook_reckoner::edition::{Edition, Settings};
use mdbook_reckoner::handout::shelf;
use mdbook_reckoner::site::links::{LEDGER, LEDGER_SCHEMA};
use mdbook_reckoner::site::typeset::{Manuscript, Reckoner};
use mdbook_reckoner::site::{SHEETS, build_site, manuscript, settings};
use reckoner_calc::Sheet;
use reckoner_page::html::Medium;
use reckoner_page::part::{Part, Printer, part};
use reckoner_page::passage::{Form, Piece, set};
use reckoner_tests::places::{Place, places};
use reckoner_tests::random_tanks::{Dice, tank};

/// The chance of this test. Another seed gives other tanks; a failure names its tank.
const SEED: u64 = 0x0071_e50f;
const TANKS: u64 = 120;

/// A page with other answers in its places.
fn with(page: &str, places: &[Place<'_>], answers: &[String]) -> String {
    let (mut out, mut done) = (String::new(), 0);
    for (place, answer) in places.iter().zip(answers) {
        out.push_str(&page[done..place.span.start]);
        // A block stands between blank lines, or Markdown would read on in it.
        let is_block = page[place.span.clone()].starts_with("\n\n");
        out.push_str(&if is_block { format!("\n\n{answer}\n\n") } else { answer.clone() });
        done = place.span.end;
    }
    out + &page[done..]
}

/// A page as a browser sets it for another tank.
fn set_for(page: &str, sheet: &Sheet, edition: &Edition) -> String {
    let places = places(page);
    let forms: Vec<_> = places.iter().map(|place| place.form).collect();
    let printer = Printer::new(Medium::Html, sheet, &edition.rules);
    with(page, &places, &set(&forms, &|key| printer.part(key)))
}

/// A page without what it carries and what is set of it.
fn fixed(page: &str) -> String {
    let places = places(page);
    let nothing = vec![String::new(); places.len()];
    with(page, &places, &nothing)
}

fn book() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../book")
}

fn edition() -> Edition {
    let settings =
        Settings { tank: Some("tanks/first_reef.toml".into()), rules: None, ..Settings::default() };
    Edition::load(&book(), &settings).unwrap_or_else(|errors| panic!("{errors}"))
}

/// An edition around a tank that chance made, and the tank's file.
fn chance(edition: &Edition, number: u64) -> (String, Edition) {
    let file = tank(&format!("Chance {number}"), &mut Dice::new(SEED + number), &edition.catalogue.pumps);
    let own = edition.around("tank.toml", &file).unwrap_or_else(|errors| panic!("{errors}\n{file}"));
    (file, own)
}

/// The blocks of a page as a reader sees them, with the figures in each.
fn read(page: &str) -> Vec<(String, Vec<String>)> {
    // The reader of Markdown makes quotes and dashes round, which the book does not.
    let straight = |text: String| {
        text.replace(['‘', '’'], "'").replace(['“', '”'], "\"").replace('…', "...").replace('–', "--")
    };
    // What is written as code is read too.
    let page = page.replace("```", "\u{0}").replace('`', "").replace('\u{0}', "```");
    plain::blocks(&page).into_iter().map(|block| (straight(block.text()), block.figures)).collect()
}

/// Where two pages read differently first, if they do.
fn differs(one: &str, other: &str) -> Option<String> {
    let (one, other) = (read(one), read(other));
    let at = one
        .iter()
        .zip(&other)
        .position(|(one, other)| one != other)
        .or((one.len() != other.len()).then(|| one.len().min(other.len())))?;
    Some(format!("{:?}\nand not\n{:?}", one.get(at), other.get(at)))
}

/// The book set for a tank: the pages by their paths.
fn pages(manuscript: &Manuscript, edition: &Edition) -> Vec<(String, String)> {
    let typeset = manuscript
        .set(edition, Medium::Html)
        .unwrap_or_else(|errors| panic!("{}: {errors}", edition.sheet.name));
    manuscript.paths().map(str::to_owned).zip(typeset.contents).collect()
}

/// Does the same for each tank that chance made, on all processors; gives what came of each.
fn for_each_tank<T: Send>(edition: &Edition, work: impl Fn(&str, &Edition) -> T + Sync) -> Vec<T> {
    let done = Mutex::new(Vec::new());
    let workers = std::thread::available_parallelism().map_or(1, |workers| workers.get() as u64);
    std::thread::scope(|scope| {
        for worker in 0..workers {
            let (done, work) = (&done, &work);
            scope.spawn(move || {
                for number in (worker..TANKS).step_by(workers as usize) {
                    let (file, own) = chance(edition, number);
                    let outcome = work(&file, &own);
                    done.lock().unwrap().push((number, outcome));
                }
            });
        }
    });
    let mut done = done.into_inner().unwrap();
    done.sort_by_key(|(number, _)| *number);
    done.into_iter().map(|(_, outcome)| outcome).collect()
}

/// The tanks of the book, as readers' tanks.
fn tanks_of_the_book(edition: &Edition) -> Vec<Edition> {
    let own = |name: &String| {
        let file = fs::read_to_string(book().join(format!("tanks/{name}.toml"))).unwrap();
        edition.around("tank.toml", &file).unwrap_or_else(|errors| panic!("{errors}"))
    };
    edition.demos.keys().map(own).collect()
}

#[test]
fn every_page_set_for_another_tank_is_the_page_of_that_tank() {
    let manuscript = manuscript(&book()).unwrap_or_else(|errors| panic!("{errors}"));
    let edition = edition();
    let of_book = pages(&manuscript, &edition);
    let setting = Mutex::new(Duration::ZERO);
    let look_at = |file: &str, own: &Edition| -> Vec<String> {
        let mut wrong = Vec::new();
        for ((path, page), (_, other)) in of_book.iter().zip(pages(&manuscript, own)) {
            let start = Instant::now();
            let set = set_for(page, &own.sheet, own);
            *setting.lock().unwrap() += start.elapsed();
            let told =
                |what: &str, more: String| format!("{path}: {what} for {}:\n{more}\n{file}", own.sheet.name);
            if fixed(page) != fixed(&other)
                || places(page)
                    .iter()
                    .map(|place| place.form)
                    .ne(places(&other).iter().map(|place| place.form))
            {
                wrong.push(told("what should be the same for every tank differs", String::new()));
            }
            wrong.extend(differs(&set, &other).map(|difference| told("the page set reads", difference)));
        }
        wrong
    };
    let mut wrong: Vec<_> = tanks_of_the_book(&edition).iter().flat_map(|own| look_at("", own)).collect();
    wrong.extend(for_each_tank(&edition, look_at).into_iter().flatten());
    let a_book = setting.into_inner().unwrap() / (TANKS as u32 + 3);
    println!(
        "{TANKS} tanks from the seed {SEED:#x}; to set all pages took {:.1} ms a tank",
        a_book.as_secs_f64() * 1000.0
    );
    let mut by_page: BTreeMap<&str, (usize, &str)> = BTreeMap::new();
    for told in &wrong {
        by_page.entry(told.split(':').next().unwrap()).or_insert((0, told)).0 += 1;
    }
    let first: Vec<_> = by_page.values().map(|(times, first)| format!("{times} times {first}")).collect();
    assert!(wrong.is_empty(), "{} pages differ:\n\n{}", wrong.len(), first.join("\n\n"));
}

/// A part that stood in a page without its form would keep the words of the first tank. The test above would
/// see it, whichever it is.
#[test]
fn a_part_without_its_form_would_be_found() {
    let manuscript = manuscript(&book()).unwrap_or_else(|errors| panic!("{errors}"));
    let edition = edition();
    let of_book = pages(&manuscript, &edition);
    let own: Vec<_> = tanks_of_the_book(&edition)
        .into_iter()
        .chain((0..12).map(|number| chance(&edition, number).1))
        .collect();
    let others: Vec<_> = own.iter().map(|own| pages(&manuscript, own)).collect();
    let (mut found, mut missed) = (0, Vec::new());
    for (at, (path, page)) in of_book.iter().enumerate() {
        let all = places(page);
        let forms: Vec<_> = all.iter().map(|place| place.form).collect();
        let answers: Vec<_> =
            own.iter().map(|own| set(&forms, &|key| part(&own.sheet, &edition.rules, key))).collect();
        for (number, place) in all.iter().enumerate() {
            let here = page[place.span.clone()].trim_matches('\n');
            // Not every part of every tank is another: a table may hold rules only.
            let Some(other) = (0..own.len()).find(|other| read(&answers[*other][number]) != read(here))
            else {
                continue;
            };
            let mut kept = answers[other].clone();
            here.clone_into(&mut kept[number]);
            if differs(&with(page, &all, &kept), &others[other][at].1).is_some() {
                found += 1;
            } else {
                missed.push(format!("{path}: {}", place.form));
            }
        }
    }
    assert!(missed.is_empty(), "these could keep their words:\n{}", missed.join("\n"));
    assert!(found > 250, "only {found} places read otherwise for another tank");
}

/// Every question that a page asks has two answers, and every gap is filled or tells why it is not.
#[test]
fn every_condition_decides_something_and_every_key_is_known() {
    let manuscript = manuscript(&book()).unwrap_or_else(|errors| panic!("{errors}"));
    let edition = edition();
    let (mut conditions, mut keys) = (BTreeSet::new(), BTreeSet::new());
    for (path, page) in pages(&manuscript, &edition) {
        for place in places(&page) {
            let form = Form::read(place.form).unwrap_or_else(|| panic!("{path}: {}", place.form));
            let Form::Passage(passage) = form else { continue };
            passage.walk(&mut |path, piece| {
                conditions.extend(path.iter().map(|(condition, _)| format!("?:{condition}")));
                match piece {
                    Piece::Gap(key) => drop(keys.insert(key.clone())),
                    Piece::Claim(claim) => drop(keys.insert(format!("!:{claim}"))),
                    _ => {}
                }
            });
        }
    }
    assert!(
        conditions.len() > 40 && keys.len() > 400,
        "{} conditions, {} keys",
        conditions.len(),
        keys.len()
    );
    let answers = for_each_tank(&edition, |_, own| {
        let of = |key: &String| part(&own.sheet, &own.rules, key);
        let unknown = keys
            .iter()
            .filter(|key| !key.starts_with("!:") && of(key) == Part::No)
            .cloned()
            .collect::<Vec<_>>();
        (conditions.iter().map(|condition| of(condition) == Part::Yes).collect::<Vec<_>>(), unknown)
    });
    let mut unknown: BTreeMap<String, usize> = BTreeMap::new();
    for key in answers.iter().flat_map(|(_, unknown)| unknown) {
        *unknown.entry(key.clone()).or_default() += 1;
    }
    assert!(unknown.is_empty(), "neither there nor lacking for a reason, for so many tanks: {unknown:?}");
    let both = |at: usize| {
        [true, false].iter().all(|answer| answers.iter().any(|(of_tank, _)| of_tank[at] == *answer))
    };
    let one_sided: Vec<_> =
        conditions.iter().enumerate().filter(|(at, _)| !both(*at)).map(|(_, condition)| condition).collect();
    assert!(one_sided.is_empty(), "these conditions have one answer for all of {TANKS} tanks: {one_sided:?}");
}

/// The tags and the words of a page, without what makes no difference to a browser.
#[derive(Default)]
struct Words(std::cell::RefCell<Vec<String>>);

impl TokenSink for Words {
    type Handle = ();

    fn process_token(&self, token: Token, _: u64) -> TokenSinkResult<()> {
        let mut words = self.0.borrow_mut();
        match token {
            Token::TagToken(tag) => {
                let mut attributes: Vec<_> = tag
                    .attrs
                    .iter()
                    .map(|attribute| format!(" {}={}", attribute.name.local, attribute.value))
                    .collect();
                attributes.sort();
                let end = if tag.kind == TagKind::EndTag { "/" } else { "" };
                words.push(format!("<{end}{}{}>", tag.name, attributes.concat()));
            }
            Token::CharacterTokens(text) => match words.last_mut().filter(|last| !last.starts_with('<')) {
                Some(last) => last.push_str(&text),
                None => words.push(text.to_string()),
            },
            _ => {}
        }
        TokenSinkResult::Continue
    }
}

/// A page as its tags and words. Blanks between tags, and how many there are, mean nothing.
fn tokens(html: &str) -> Vec<String> {
    let queue = BufferQueue::default();
    queue.push_back(html.into());
    let tokenizer = Tokenizer::new(Words::default(), TokenizerOpts::default());
    while let html5ever::TokenizerResult::Script(()) = tokenizer.feed(&queue) {}
    tokenizer.end();
    let words = tokenizer.sink.0.into_inner().into_iter();
    let words = words.map(|word| {
        if word.starts_with('<') { word } else { word.split_ascii_whitespace().collect::<Vec<_>>().join(" ") }
    });
    words.filter(|word| !word.is_empty()).collect()
}

/// The book, built for a tank of the book or for a reader's: the pages of the site, and the sheets for paper.
fn site(tank: &Path) -> BTreeMap<String, String> {
    let folder = tempfile::tempdir().unwrap();
    let overrides = Settings { tank: Some(tank.to_owned()), rules: None, ..Settings::default() };
    let of_site = settings(&book(), &overrides).unwrap_or_else(|errors| panic!("{errors}"));
    let reckoner = Reckoner { overrides, ..Reckoner::default() };
    // Its files are not there for the links to them.
    let made = |folder: &Path| {
        for file in [LEDGER, LEDGER_SCHEMA] {
            fs::write(folder.join(file), "{}").unwrap();
        }
        shelf::put(folder, &book(), &of_site).map(|_| ())
    };
    let site = build_site(&book(), reckoner, Some(&folder.path().join("site")), made)
        .unwrap_or_else(|errors| panic!("{errors}"));
    let pages = ["", SHEETS]
        .into_iter()
        .flat_map(|under| fs::read_dir(site.folder.join(under)).unwrap())
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "html"));
    pages
        .map(|path| {
            let name = path.strip_prefix(&site.folder).unwrap().to_string_lossy().into_owned();
            (name, fs::read_to_string(&path).unwrap())
        })
        .collect()
}

/// What a page holds beside the frame that mdBook puts around it.
fn inside(page: &str) -> &str {
    page.split("<main>").nth(1).and_then(|rest| rest.split("</main>").next()).unwrap_or_default()
}

/// Tag for tag as mdBook makes it.
#[test]
fn a_built_page_set_for_another_tank_is_what_mdbook_makes_of_it() {
    let edition = edition();
    let folder = tempfile::tempdir().unwrap();
    let mut tanks: Vec<_> = ["first_reef", "long_reef", "small_cube"]
        .map(|name| (book().join(format!("tanks/{name}.toml")), edition.demos[name].clone()))
        .into();
    for number in 0..5 {
        let (text, own) = chance(&edition, number);
        let file = folder.path().join(format!("{number}.toml"));
        fs::write(&file, text).unwrap();
        tanks.push((file, own.sheet.clone()));
    }
    let sites: Vec<_> = tanks.iter().map(|(file, sheet)| (sheet, site(file))).collect();
    let mut compared = 0;
    for (from, of_one) in &sites[..3] {
        for (to, of_other) in &sites {
            for (name, page) in of_one {
                // Here the links of all chapters lead into the page itself, and no id stands twice.
                let plain = |tokens: Vec<String>| {
                    if name == "print.html" {
                        tokens.iter().map(|token| without_addresses(token)).collect()
                    } else {
                        tokens
                    }
                };
                let set = plain(tokens(inside(&set_for(page, to, &edition))));
                let built = plain(tokens(inside(&of_other[name])));
                let at = set.iter().zip(&built).position(|(one, other)| one != other);
                let around = |tokens: &[String], at: usize| {
                    tokens[at.saturating_sub(6)..(at + 3).min(tokens.len())].join("")
                };
                if let Some(at) = at {
                    panic!(
                        "{name} of {}, set for {}:\n{}\nand not\n{}",
                        from.name,
                        to.name,
                        around(&set, at),
                        around(&built, at)
                    );
                }
                assert_eq!(set.len(), built.len(), "{name} of {}, set for {}", from.name, to.name);
                compared += 1;
            }
        }
    }
    assert!(compared > 700, "only {compared} pages were compared");
}

fn without_addresses(token: &str) -> String {
    let words = token
        .split(' ')
        .filter(|word| !["href=", "id=", "aria-labelledby="].iter().any(|start| word.starts_with(start)));
    words.collect::<Vec<_>>().join(" ")
}

#[test]
fn no_page_is_too_large_for_a_phone() {
    for (name, page) in site(&book().join("tanks/first_reef.toml")) {
        // The whole book; the pages that list everything; a page to read.
        let most = match name.as_str() {
            "print.html" => 3_000_000,
            "ledger.html" | "rules.html" | "ready-reckoner.html" => 400 * 1024,
            _ => 200_000,
        };
        assert!(page.len() < most, "{name} has {} bytes", page.len());
    }
}
