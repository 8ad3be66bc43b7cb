//! The WebAssembly in the repository, run as a browser runs it: what it answers is what the same sources
//! answer here, byte for byte.
//!
//! `RECKONER_TANKS=50 cargo test --release -p reckoner-tests --test live` tries more tanks than usual.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::fs;
use std::io::Read as _;
use std::path::{Path, PathBuf};

use flate2::read::GzDecoder;
use mdbook_reckoner::edition::{Edition, Settings};
use mdbook_reckoner::site::manuscript;
use reckoner_calc::Catalogue;
use reckoner_calc::rules::{Rules, compiled_in, file_names};
use reckoner_live::desk::Desk;
use reckoner_live::live::{LONGEST_TANK, Live};
use reckoner_page::html::Medium;
use reckoner_page::part::part;
use reckoner_page::passage;
use reckoner_stamp::{Stamp, WASM};
use reckoner_tests::places::places;
use reckoner_tests::random_tanks::{Dice, tank};
use wasmi::{Engine, Linker, Memory, Module, Store, TypedFunc};

/// The chance of this test. Another seed gives other tanks; a failure prints its tank.
const SEED: u64 = 0x0b5e_55ed;
/// So many tanks are tried unless somebody asks for more.
const TANKS: usize = 20;

/// The most that the WebAssembly may weigh, as it is and packed.
const MOST_BYTES: usize = 1_750_000;
const MOST_PACKED: usize = 630_000;

fn repository() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn read(file: &str) -> String {
    fs::read_to_string(repository().join(file)).unwrap()
}

fn packed_wasm() -> Vec<u8> {
    fs::read(repository().join(WASM)).unwrap()
}

fn wasm() -> Vec<u8> {
    let mut wasm = Vec::new();
    GzDecoder::new(&packed_wasm()[..]).read_to_end(&mut wasm).unwrap();
    wasm
}

/// Texts as they cross the boundary.
fn packed(texts: &[&str]) -> Vec<u8> {
    texts.iter().flat_map(|text| (text.len() as u32).to_le_bytes().into_iter().chain(text.bytes())).collect()
}

fn unpacked(mut bytes: &[u8]) -> Vec<String> {
    let mut texts = Vec::new();
    while let Some((length, rest)) = bytes.split_first_chunk() {
        let (text, rest) = rest.split_at(u32::from_le_bytes(*length) as usize);
        texts.push(String::from_utf8(text.to_vec()).unwrap());
        bytes = rest;
    }
    assert!(bytes.is_empty());
    texts
}

/// A page with the WebAssembly in it.
struct Page {
    store: Store<()>,
    memory: Memory,
    alloc: TypedFunc<u32, u32>,
    free: TypedFunc<(u32, u32), ()>,
    ask: TypedFunc<(u32, u32), u32>,
    answer_length: TypedFunc<(), u32>,
}

impl Page {
    fn new() -> Self {
        let engine = Engine::default();
        let module = Module::new(&engine, wasm()).unwrap();
        assert_eq!(module.imports().count(), 0, "it needs something of the page");
        let mut store = Store::new(&engine, ());
        let instance = Linker::new(&engine).instantiate_and_start(&mut store, &module).unwrap();
        Page {
            memory: instance.get_memory(&store, "memory").unwrap(),
            alloc: instance.get_typed_func(&store, "alloc").unwrap(),
            free: instance.get_typed_func(&store, "free").unwrap(),
            ask: instance.get_typed_func(&store, "ask").unwrap(),
            answer_length: instance.get_typed_func(&store, "answer_length").unwrap(),
            store,
        }
    }

    /// A page that has read the rules and the pumps of the repository.
    fn opened() -> Self {
        let mut page = Page::new();
        assert_eq!(unpacked(&page.ask(&opening(&[]))), ["+"]);
        page
    }

    fn ask(&mut self, question: &[u8]) -> Vec<u8> {
        let length = question.len() as u32;
        let room = self.alloc.call(&mut self.store, length).unwrap();
        self.memory.write(&mut self.store, room as usize, question).unwrap();
        let start = self
            .ask
            .call(&mut self.store, (room, length))
            .unwrap_or_else(|trap| panic!("it gave up: {trap}"));
        let mut answer = vec![0; self.answer_length.call(&mut self.store, ()).unwrap() as usize];
        self.memory.read(&self.store, start as usize, &mut answer).unwrap();
        self.free.call(&mut self.store, (room, length)).unwrap();
        answer
    }
}

/// The question that hands in the pumps and the rules of the repository, with more rule files behind.
fn opening(more: &[(&str, &str)]) -> Vec<u8> {
    let (names, pumps) = (file_names(), read("book/pumps.toml"));
    let files = names.iter().map(|name| (name.as_str(), compiled_in(name).unwrap()));
    let files = files.chain(more.iter().copied()).flat_map(|(name, text)| [name, text]);
    packed(&["open", &pumps].into_iter().chain(files).collect::<Vec<_>>())
}

/// The tanks of the book, then some that chance made.
fn tanks() -> Vec<String> {
    let count = std::env::var("RECKONER_TANKS").map_or(TANKS, |count| count.parse().unwrap());
    let models = Catalogue::read("pumps.toml", &read("book/pumps.toml")).unwrap().pumps;
    let mut dice = Dice::new(SEED);
    let of_book =
        ["first_reef", "long_reef", "small_cube"].map(|name| read(&format!("book/tanks/{name}.toml")));
    of_book
        .into_iter()
        .chain((0..count).map(|at| tank(&format!("Chance {at}"), &mut dice, &models)))
        .collect()
}

/// The forms that each page of the book carries.
fn forms() -> Vec<Vec<String>> {
    let book = repository().join("book");
    let settings =
        Settings { tank: Some("tanks/first_reef.toml".into()), rules: None, ..Settings::default() };
    let edition = Edition::load(&book, &settings).unwrap_or_else(|errors| panic!("{errors}"));
    let manuscript = manuscript(&book).unwrap_or_else(|errors| panic!("{errors}"));
    let typeset = manuscript.set(&edition, Medium::Html).unwrap_or_else(|errors| panic!("{errors}"));
    typeset
        .contents
        .iter()
        .map(|page| places(page).iter().map(|place| place.form.to_owned()).collect())
        .collect()
}

#[test]
fn what_a_page_is_answered_is_what_the_same_sources_answer_here() {
    let (mut page, mut desk) = (Page::opened(), Desk::default());
    desk.ask(&opening(&[]));
    let live = Live::open(&[], &read("book/pumps.toml")).unwrap();
    let rules = Rules::compiled_in().unwrap();
    let pages = forms();
    assert!(pages.iter().flatten().count() > 400, "{} forms", pages.iter().flatten().count());
    let mut told = 0;
    for (number, tank) in tanks().into_iter().enumerate() {
        let mut same = |question: &[&str]| {
            let (there, here) = (page.ask(&packed(question)), desk.ask(&packed(question)));
            assert!(there == here, "{}: {}\n{tank}", question[0], question.get(1).unwrap_or(&""));
            told += 1;
            unpacked(&here)
        };
        assert_eq!(same(&["reckon", &tank])[0], "+", "{tank}");
        let reckoned = live.reckon(&tank).unwrap();
        assert_eq!(same(&["sheet"]), ["+", &reckoned.sheet_json().unwrap()]);
        let programme = same(&["programme"]);
        match reckoned.programme_csv() {
            Ok(csv) => assert_eq!(programme, ["+", &csv]),
            Err(faults) => assert_eq!((programme[0].as_str(), &programme[5]), ("-", &faults[0].message)),
        }
        assert_eq!(
            same(&["calendar", "2026-03-01", "1772000000"])[1],
            reckoned.calendar("2026-03-01", 1_772_000_000).unwrap()
        );
        // Every page for the tanks of the book, and some for each of the others.
        for forms in pages
            .iter()
            .enumerate()
            .filter(|(at, _)| number < 3 || (at + number) % 8 == 0)
            .map(|(_, forms)| forms)
        {
            let forms: Vec<_> = forms.iter().map(String::as_str).collect();
            let set = same(&[&["set"], forms.as_slice()].concat());
            // Where no map is asked for, none is reckoned; it makes no difference.
            let (sheet, rules) = (reckoned.sheet().unwrap(), &rules);
            let whole = passage::set(&forms, &|key| part(sheet, rules, key));
            assert!(set[1..] == whole, "{tank}");
        }
        for [question, text] in [["values", &tank], ["shape", &tank]] {
            assert_eq!(same(&[question, text])[0], "+");
        }
        let renamed = same(&["with", &tank, "name", "Ours \"2\""]);
        assert_eq!(live.reckon(&renamed[1]).unwrap().name(), "Ours \"2\"", "{}", renamed[1]);
        for figure in reckoned.sheet().unwrap().figures().iter().step_by(7) {
            assert_eq!(same(&["why", &figure.id])[1], reckoned.why(&figure.id).unwrap().unwrap());
        }
    }
    assert!(told > 500, "only {told} answers were compared");
}

#[test]
fn rules_that_go_before_others_are_those_of_the_command_line() {
    let own = (
        "turnover.toml",
        "[fouling_allowance]\ntitle = \"Ours\"\nvalue = \"30 %\"\nbasis = \"common-practice\"\n",
    );
    let given = [(own.0.to_owned(), own.1.to_owned())];
    assert_ne!(Rules::load(&given).unwrap().all, Rules::compiled_in().unwrap().all);
    let (tank, pumps) = (read("book/tanks/first_reef.toml"), read("book/pumps.toml"));
    let live = Live::open(&given, &pumps).unwrap();
    let mut page = Page::new();
    assert_eq!(unpacked(&page.ask(&opening(&[own]))), ["+"]);
    page.ask(&packed(&["reckon", &tank]));
    assert_eq!(
        unpacked(&page.ask(&packed(&["sheet"]))),
        ["+", &live.reckon(&tank).unwrap().sheet_json().unwrap()]
    );
    // What is wrong in it is told there, as on the command line.
    let wrong = ("turnover.toml", "[fouling_allowence]\n");
    let told = unpacked(&page.ask(&opening(&[wrong])));
    let here = Live::open(&[(wrong.0.to_owned(), wrong.1.to_owned())], &pumps).unwrap_err();
    assert_eq!((told[0].as_str(), told[1].as_str(), &told[5]), ("-", "turnover.toml", &here[0].message));
    assert!(told[6].contains("fouling_allowance"), "{told:?}");
}

#[test]
fn what_is_wrong_in_a_tank_is_told_at_its_key() {
    let mut page = Page::opened();
    let right = read("book/tanks/first_reef.toml");
    let wrong = right.replace("\nlength = \"", "\nlength = \"-");
    let told = unpacked(&page.ask(&packed(&["reckon", &wrong])));
    let here = Live::open(&[], &read("book/pumps.toml")).unwrap().reckon(&wrong).unwrap_err();
    let (line, column) = here[0].place.unwrap();
    assert_eq!((told[0].as_str(), told[2].as_str()), ("-", "glass.length"), "{told:?}");
    let fault = here[0].clone();
    let texts = [
        fault.document,
        fault.key,
        line.to_string(),
        column.to_string(),
        fault.message,
        fault.help.join("\n"),
    ];
    assert_eq!(told[1..7], texts);
    // No tank is left that a page could show in its place.
    assert_eq!(unpacked(&page.ask(&packed(&["sheet"])))[5], "no tank has been reckoned");
    let longer = format!("{right}# {}", "a".repeat(LONGEST_TANK));
    let told = unpacked(&page.ask(&packed(&["reckon", &longer])));
    assert!(told[5].contains("bytes long") && told[6].contains(&LONGEST_TANK.to_string()), "{told:?}");
}

#[test]
fn whatever_is_asked_has_an_answer() {
    let (mut page, mut desk) = (Page::opened(), Desk::default());
    desk.ask(&opening(&[]));
    let mut dice = Dice::new(SEED);
    let seeds = tanks();
    for at in 0..100 {
        let mut bytes = packed(&["reckon", &seeds[at % 3]]);
        match dice.below(4) {
            0 => bytes.truncate(dice.below(bytes.len())),
            1 => bytes = (0..dice.below(300)).map(|_| dice.below(256) as u8).collect(),
            _ => (0..=dice.below(6)).for_each(|_| {
                let place = dice.below(bytes.len());
                bytes[place] = dice.below(256) as u8;
            }),
        }
        assert!(page.ask(&bytes) == desk.ask(&bytes), "{bytes:?}");
    }
    // Rules that lack a file are told, and no later question breaks off.
    let (names, pumps) = (file_names(), read("book/pumps.toml"));
    for missing in &names {
        let files = names
            .iter()
            .filter(|name| *name != missing)
            .flat_map(|name| [name.as_str(), compiled_in(name).unwrap()]);
        let question = packed(&["open", &pumps].into_iter().chain(files).collect::<Vec<_>>());
        page.ask(&question);
        page.ask(&packed(&["reckon", &seeds[0]]));
    }
    page.ask(&opening(&[]));
    // What nests as deeply as there is room.
    for text in ["a=[", "a.", "a={", "[[", "\"\"\""] {
        let question = packed(&["reckon", &text.repeat(LONGEST_TANK / text.len())]);
        assert!(page.ask(&question) == desk.ask(&question), "{text}");
    }
}

#[test]
fn it_holds_no_rules_no_words_and_no_pumps() {
    let wasm = wasm();
    let holds = |text: &str| wasm.windows(text.len()).any(|part| part == text.as_bytes());
    assert!(holds("must be a list of tables"), "texts of the program are not found");
    let (mut looked_for, names) = (0, file_names());
    for file in &names {
        let text = compiled_in(file).unwrap();
        // What stands between quotation marks; a short one may be a word of the program, and what has places is cut.
        let texts = text
            .split('"')
            .skip(1)
            .step_by(2)
            .filter(|text| text.len() > 30 && text.contains(' ') && !text.contains(['{', '\\']));
        for text in texts {
            assert!(!holds(text), "{file}: {text}");
            looked_for += 1;
        }
    }
    assert!(looked_for > 1000, "{looked_for} texts");
    for pump in Catalogue::read("pumps.toml", &read("book/pumps.toml")).unwrap().pumps {
        assert!(!holds(&pump.model), "{}", pump.model);
    }
}

#[test]
fn it_is_small_enough_to_be_loaded() {
    let (wasm, packed) = (wasm(), packed_wasm().len());
    println!("{} bytes, {packed} packed", wasm.len());
    assert!(wasm.len() <= MOST_BYTES, "{} bytes", wasm.len());
    assert!(packed <= MOST_PACKED, "{packed} bytes packed");
}

#[test]
fn it_is_made_from_these_sources() {
    let root = repository();
    let written = Stamp::written(&root)
        .unwrap()
        .unwrap_or_else(|| panic!("the stamp can not be read: bash .ci/wasm makes it anew"));
    let now = Stamp::now(&root, &written.rustc).unwrap();
    assert_eq!(written, now, "the WebAssembly was made from other sources: bash .ci/wasm makes it anew");
    assert!(mdbook_reckoner::wasm::fresh().is_some_and(|fresh| fresh == packed_wasm()));
}
