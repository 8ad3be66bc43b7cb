//! `reckoner handout`: each sheet for each demo tank, on both papers, in each choice of units; the code on it
//! read back; and where a browser is found, what it prints. Without one those tests say so and look at nothing.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used, clippy::print_stderr)]

use std::collections::BTreeMap;
use std::fs;
use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::thread;

use data_encoding::BASE64URL_NOPAD;
use flate2::read::DeflateDecoder;
use mdbook_reckoner::edition::Settings;
use mdbook_reckoner::edition::club::{Paper, Units};
use mdbook_reckoner::handout::browser::Browser;
use mdbook_reckoner::handout::{Handout, Made, Order, make, pdf};
use mdbook_reckoner::proof::ledger::{Entry, Ledger};
use reckoner_calc::formulas::calendar::Date;

mod common;
use common::{copied_book, files, reckoner, repository, stderr};

/// The sheets, and how many sides each has.
const SHEETS: [(&str, usize); 6] =
    [("ready-reckoner", 1), ("sitter", 2), ("survival-card", 1), ("plan", 2), ("care", 1), ("workbook", 5)];
const TANKS: [&str; 3] = ["first_reef", "small_cube", "long_reef"];
const PAPERS: [Paper; 2] = [Paper::A4, Paper::Letter];
const UNITS: [Units; 3] = [Units::Metric, Units::Us, Units::Both];
const ADDRESS: &str = "https://lantern-bay.example/reef/";

fn book() -> PathBuf {
    repository().join("book")
}

fn order(names: &[&str]) -> Order {
    Order {
        names: names.iter().map(|name| (*name).to_owned()).collect(),
        is_booklet: false,
        paper: None,
        units: None,
        date: Date::parse("2027-03-01"),
        shares_tank: false,
    }
}

fn all() -> Order {
    order(&SHEETS.map(|(name, _)| name))
}

fn settings(tank: &str) -> Settings {
    Settings { tank: Some(book().join(format!("tanks/{tank}.toml"))), ..Settings::default() }
}

fn made(tank: &str, order: &Order) -> Vec<Handout> {
    make(&book(), &settings(tank), order).unwrap_or_else(|errors| panic!("{tank}: {errors}"))
}

fn page(handout: &Handout) -> String {
    match &handout.page {
        Made::Whole(page) => page.clone(),
        Made::Booklet(booklet) => booklet.page(&BTreeMap::new()),
    }
}

/// What of a page people read: its texts, without style.
fn text(page: &str) -> String {
    let body = page.split_once("<body").unwrap().1;
    let mut text = String::new();
    for part in body.split('<').skip(1) {
        text.push(' ');
        text.push_str(part.split_once('>').unwrap().1);
    }
    text.replace("&amp;", "&").replace("&quot;", "\"")
}

/// The values of a text that are told in one system of units, as `23.5 in`.
fn told_in(text: &str, system: Units) -> Vec<String> {
    // Not what has no counterpart: milligrams in water are told so everywhere.
    const METRIC: [&str; 16] = [
        "mm", "cm", "m", "km", "cm²", "m²", "mL", "L", "L/h", "L/min", "L/day", "g", "kg", "°C", "cm/s",
        "m/s",
    ];
    const US: [&str; 12] = ["in", "ft", "sq", "cu", "US", "fl", "oz", "lb", "°F", "in/s", "ft/s", "psi"];
    let units: &[&str] = if system == Units::Metric { &METRIC } else { &US };
    let value = |(at, _): (usize, &str)| {
        let number = text[..at].chars().next_back()?;
        let unit: String =
            text[at..].chars().skip(1).take_while(|c| !c.is_whitespace() && !",;)<".contains(*c)).collect();
        let unit = unit.trim_end_matches(['.', ':']);
        (number.is_ascii_digit() && units.contains(&unit)).then(|| {
            text[..at].chars().rev().take(20).collect::<Vec<_>>().into_iter().rev().collect::<String>()
                + " "
                + unit
        })
    };
    text.match_indices('\u{a0}').filter_map(value).collect()
}

#[test]
fn each_sheet_is_whole_by_itself_and_in_the_units_asked_for() {
    let mut looked = 0;
    for tank in TANKS {
        for paper in PAPERS {
            for units in UNITS {
                let made = made(tank, &Order { paper: Some(paper), units: Some(units), ..all() });
                assert_eq!(
                    made.iter().map(|made| made.name.as_str()).collect::<Vec<_>>(),
                    SHEETS.map(|(name, _)| name)
                );
                for handout in &made {
                    let (page, what) =
                        (page(handout), format!("{} of {tank}, {paper:?}, {units:?}", handout.name));
                    looked += 1;
                    // Nothing from elsewhere, nothing that runs, nothing to press.
                    for none in [
                        "<script", "<link", "<img", "<a ", "<form", "@import", "url(", "<!--", " href=",
                        " src=",
                    ] {
                        assert!(!page.contains(none), "{what}: {none}");
                    }
                    let words = text(&page);
                    let (metric, us) = (told_in(&words, Units::Metric), told_in(&words, Units::Us));
                    // A title of a value, or a remark that a pointer shows, would be in the source.
                    let (source_metric, source_us) =
                        (told_in(&page, Units::Metric), told_in(&page, Units::Us));
                    let has_values = !["care"].contains(&handout.name.as_str()) || units == Units::Both;
                    match units {
                        Units::Metric => assert_eq!((us.len(), source_us), (0, Vec::new()), "{what}"),
                        Units::Us => assert_eq!((metric.len(), source_metric), (0, Vec::new()), "{what}"),
                        Units::Both => assert!(!metric.is_empty() && !us.is_empty(), "{what}"),
                    }
                    assert!(!(has_values && metric.is_empty() && us.is_empty()), "{what}: no value at all");
                    assert_eq!(page.matches("class=\"metric\"").count() == 0, units == Units::Us, "{what}");
                    assert_eq!(page.matches("class=\"us\"").count() == 0, units == Units::Metric, "{what}");
                    // The foot says what the sheet is.
                    let foot = text(&format!("<body>{}", page.split_once("<footer").unwrap().1));
                    let foot = foot.split_whitespace().collect::<Vec<_>>().join(" ");
                    for said in
                        ["The Reef Reckoner", "Lantern Bay Reef Club", "1 March 2027", "MIT licence", ADDRESS]
                    {
                        assert!(foot.contains(said), "{what}: {said} in {foot}");
                    }
                    let edition = page.split_once("class=\"edition\">").unwrap().1.split('<').next().unwrap();
                    assert!(
                        edition.len() == 13
                            && edition
                                .chars()
                                .enumerate()
                                .all(|(at, c)| (at == 8 && c == '-') || c.is_ascii_hexdigit()),
                        "{what}: {edition}"
                    );
                    let size = if paper == Paper::A4 { "size: a4" } else { "size: letter" };
                    let turned = handout.name == "care";
                    for part in [
                        size,
                        "\"page \" counter(page) \" of \" counter(pages)",
                        &format!("edition {edition} · 1 March 2027"),
                    ] {
                        assert!(page.contains(part), "{what}: {part}");
                    }
                    assert_eq!(page.contains("landscape;"), turned, "{what}");
                    assert_eq!(read_code(&page), ADDRESS, "{what}");
                }
            }
        }
    }
    assert_eq!(looked, 108);
}

#[test]
fn the_same_order_gives_the_same_bytes_and_no_day_is_invented() {
    let pages = |order: &Order| made("first_reef", order).iter().map(page).collect::<Vec<_>>();
    assert_eq!(pages(&all()), pages(&all()));
    let without = pages(&Order { date: None, ..all() });
    assert!(
        without.iter().all(|page| !page.contains("<time") && !text(page).contains(" 202")),
        "{without:?}"
    );
}

/// The letters that tell one edition from another.
fn edition(root: &Path, tank: &str) -> String {
    let settings = Settings { tank: Some(root.join(format!("tanks/{tank}.toml"))), ..Settings::default() };
    let made = make(root, &settings, &order(&["care"])).unwrap_or_else(|errors| panic!("{errors}"));
    page(&made[0]).split_once("class=\"edition\">").unwrap().1.split('<').next().unwrap().to_owned()
}

#[test]
fn an_edition_is_another_where_rule_tank_or_text_is() {
    let copy = copied_book();
    let first = edition(copy.path(), "first_reef");
    assert_eq!(first, edition(copy.path(), "first_reef"));
    // The letters of the book are the same for another tank.
    let other = edition(copy.path(), "small_cube");
    assert!(first != other && first[..8] == other[..8], "{first} and {other}");
    let add = |file: &str, more: &str| {
        let file = copy.path().join(file);
        let text = fs::read_to_string(&file).unwrap();
        fs::write(file, text + more).unwrap();
    };
    let mut seen = vec![first];
    for (file, more) in [
        ("handouts/care.md", "\nMore words.\n"),
        ("tanks/first_reef.toml", "# a remark\n"),
        ("pumps.toml", "# a remark\n"),
    ] {
        add(file, more);
        let now = edition(copy.path(), "first_reef");
        assert!(!seen.contains(&now), "{file}");
        seen.push(now);
    }
}

/// What the code on a page says, read by a library that shares no line with the one that drew it: from a bitmap of
/// the drawing.
fn read_code(page: &str) -> String {
    let drawing = page.split_once("<svg class=\"code\"").unwrap().1.split_once("</svg>").unwrap().0;
    let value = |from: &str, key: &str| from.split_once(key).unwrap().1.split('"').next().unwrap().to_owned();
    let size: usize = value(drawing, "viewBox=\"0 0 ").split(' ').next().unwrap().parse().unwrap();
    let squares = value(drawing, "path d=\"");
    let mut dark = vec![vec![false; size]; size];
    for run in squares.split('M').skip(1) {
        let numbers: Vec<usize> = run
            .split(|c: char| !c.is_ascii_digit())
            .filter(|part| !part.is_empty())
            .map(|part| part.parse().unwrap())
            .collect();
        // `x y h length v 1 h-length z`
        dark[numbers[1]][numbers[0]..numbers[0] + numbers[2]].fill(true);
    }
    const TIMES: usize = 4;
    let mut image = rqrr::PreparedImage::prepare_from_greyscale(size * TIMES, size * TIMES, |x, y| {
        if dark[y / TIMES][x / TIMES] { 0 } else { 255 }
    });
    let grids = image.detect_grids();
    assert_eq!(grids.len(), 1, "{} codes", grids.len());
    grids[0].decode().unwrap().1
}

#[test]
fn a_readers_tank_goes_into_the_code_only_when_it_is_shared() {
    let folder = tempfile::tempdir().unwrap();
    let tank = folder.path().join("mine.toml");
    let text = fs::read_to_string(book().join("tanks/long_reef.toml"))
        .unwrap()
        .replace("Long Reef", "Mine & <only>");
    fs::write(&tank, &text).unwrap();
    let settings = Settings { tank: Some(tank), ..Settings::default() };
    let code = |settings: &Settings, shares_tank| {
        let made = make(&book(), settings, &Order { shares_tank, ..order(&["plan"]) })
            .unwrap_or_else(|errors| panic!("{errors}"));
        let page = page(&made[0]);
        (read_code(&page), page)
    };
    let (plain, page) = code(&settings, false);
    assert_eq!(plain, ADDRESS);
    assert!(page.contains("Mine &amp; &lt;only&gt;") && !page.contains("<only>"), "a name is a text");
    let (link, page) = code(&settings, true);
    assert!(page.contains("opens it with this tank"));
    let letters = link.strip_prefix(&format!("{ADDRESS}your-tank.html#tank=")).unwrap();
    let mut carried = String::new();
    let bytes = BASE64URL_NOPAD.decode(letters.as_bytes()).unwrap();
    DeflateDecoder::new(bytes.as_slice()).read_to_string(&mut carried).unwrap();
    // Without remarks, which are most of a file that was begun with `reckoner new tank`.
    let says = |line: &&str| !line.is_empty() && !line.starts_with('#');
    assert_eq!(carried.lines().collect::<Vec<_>>(), text.lines().filter(says).collect::<Vec<_>>());
    // A tank of the book is no secret, and none is carried.
    assert_eq!(code(&self::settings("long_reef"), true).0, ADDRESS);
}

#[test]
fn chapters_are_bound_without_what_is_folded_away() {
    let page = page(&made("first_reef", &order(&["from-volume-to-flow", "power-cuts"]))[0]);
    for none in [
        "class=\"deeper\"",
        "<details",
        "<summary",
        "href=\"http",
        ".html\"",
        ".md\"",
        "reckoner-",
        "The values as a table",
        "{=",
    ] {
        assert!(!page.contains(none), "{none}");
    }
    for part in ["Contents", "href=\"#c0-0\"", "<h1 id=\"c1-0\">Power cuts</h1>", "Lantern Bay Reef Club"] {
        assert!(page.contains(part), "{part}");
    }
    let marks = page.matches("<h2 id=\"c").count();
    assert!(marks > 6 && page.matches("class=\"section\"").count() == marks, "{marks}");
    for link in page.split("href=\"#").skip(1).map(|rest| rest.split('"').next().unwrap()) {
        assert!(page.contains(&format!(" id=\"{link}\"")), "{link}");
    }
    let alone = &made("first_reef", &order(&["power-cuts"]))[0];
    assert_eq!(alone.name, "power-cuts");
    assert!(!self::page(alone).contains("Contents"));
}

#[test]
fn the_whole_book_is_bound_without_its_reference_part() {
    let whole = made("first_reef", &Order { is_booklet: true, ..order(&[]) });
    let page = page(&whole[0]);
    assert_eq!((whole.len(), whole[0].name.as_str()), (1, "booklet"));
    assert!(page.contains(">Stay safe</h1>") && page.contains(">Moving to small-polyp corals</h1>"));
    assert!(!page.contains("The ledger</h1>") && !page.contains("A page to print</h1>"));
    assert!(!page.contains("<form") && !page.contains("<input"));
}

#[test]
fn what_is_wrong_is_told_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let told = |arguments: &[&str]| {
        let book = book();
        let mut all = vec!["handout", "--book", book.to_str().unwrap(), "--no-pdf"];
        all.extend(arguments);
        let output = reckoner(folder.path(), &all);
        (output.status.code(), stderr(&output))
    };
    for (arguments, says) in [
        (&["siter"][..], "did you mean `sitter`"),
        (&["power-cut"][..], "did you mean `power-cuts`"),
        (&["zzzzzz"][..], "the sheets are care, plan"),
        (&["sitter", "sitter"][..], "named twice"),
        (&[][..], "nothing is named"),
        (&["sitter", "--tank", "none.toml"][..], "none.toml"),
        (&["sitter", "--date", "tomorrow"][..], "2026-03-01"),
        (&["sitter", "--paper", "a5"][..], "letter"),
    ] {
        let (code, said) = told(arguments);
        assert_eq!(code, Some(2), "{arguments:?}: {said}");
        assert!(said.contains(says), "{arguments:?}: {said}");
        assert_eq!(files(folder.path()).len(), 0, "{arguments:?}");
    }
    let (code, said) = told(&["sitter", "care", "--out", "here/there"]);
    assert_eq!(code, Some(0), "{said}");
    let there: Vec<_> = files(folder.path()).into_keys().collect();
    assert_eq!(there, [PathBuf::from("here/there/care.html"), PathBuf::from("here/there/sitter.html")]);
}

#[test]
fn a_number_typed_into_a_sheet_is_refused_as_in_a_chapter() {
    let copy = copied_book();
    let file = copy.path().join("handouts/care.md");
    let text = fs::read_to_string(&file).unwrap();
    fs::write(&file, text + "\nWait for 3 minutes.\n").unwrap();
    for arguments in [&["check", "--book", "."][..], &["handout", "sitter", "--book", ".", "--no-pdf"]] {
        let output = reckoner(copy.path(), arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(stderr(&output).contains("the number `3` was typed by hand"), "{}", stderr(&output));
        assert!(stderr(&output).contains("handouts/care.md"), "{}", stderr(&output));
    }
}

#[test]
fn without_a_browser_there_is_html_and_it_is_said() {
    if cfg!(not(target_os = "linux")) {
        eprintln!("skipped: browsers stand in places of their own here");
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_reckoner"))
        .args(["handout", "sitter", "--book"])
        .arg(book())
        .current_dir(folder.path())
        .env("PATH", folder.path())
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", stderr(&output));
    assert!(stderr(&output).contains("No PDF: neither Chromium nor Chrome was found"), "{}", stderr(&output));
    assert_eq!(files(folder.path()).into_keys().collect::<Vec<_>>(), [PathBuf::from("handouts/sitter.html")]);
}

/// A browser; or `None`, and a line that says what was not looked at.
fn browser() -> Option<Browser> {
    let found = Browser::find().unwrap();
    if found.is_none() {
        eprintln!("skipped: no Chromium and no Chrome on this machine, so nothing was printed");
    }
    found
}

/// What a program of others reads in a PDF; `None` where it is not there.
fn read_by(program: &str, arguments: &[&str], file: &Path) -> Option<String> {
    let output = Command::new(program).args(arguments).arg(file).arg("-").output().ok()?;
    Some(String::from_utf8_lossy(&output.stdout).into_owned())
}

#[test]
fn what_is_printed_has_its_sides_its_fonts_and_the_units_asked_for() {
    if browser().is_none() {
        return;
    }
    // In both units a sheet is longest; in one its PDF must not tell the other.
    let mut asked: Vec<(&str, Paper, Units)> =
        TANKS.iter().flat_map(|tank| PAPERS.map(|paper| (*tank, paper, Units::Both))).collect();
    asked.extend([("first_reef", Paper::A4, Units::Metric), ("first_reef", Paper::Letter, Units::Us)]);
    let wrong: Vec<String> = thread::scope(|scope| {
        let half = asked.len().div_ceil(2);
        let printing: Vec<_> =
            asked.chunks(half).map(|asked| scope.spawn(move || printed_wrong(asked))).collect();
        printing.into_iter().flat_map(|done| done.join().unwrap()).collect()
    });
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// What is wrong with the sheets as they are printed.
fn printed_wrong(asked: &[(&str, Paper, Units)]) -> Vec<String> {
    let browser = browser().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let mut wrong = Vec::new();
    for (tank, paper, units) in asked {
        for (handout, (_, sides)) in
            made(tank, &Order { paper: Some(*paper), units: Some(*units), ..all() }).iter().zip(SHEETS)
        {
            let what = format!("{} of {tank}, {paper:?}, {units:?}", handout.name);
            let (html, file) = (folder.path().join("sheet.html"), folder.path().join("sheet.pdf"));
            let page = page(handout);
            fs::write(&html, &page).unwrap();
            let printed = browser.print(&html).unwrap_or_else(|errors| panic!("{what}: {errors}"));
            fs::File::create(&file).unwrap().write_all(&printed).unwrap();
            let count = pdf::count(&printed);
            if count != Some(sides) {
                wrong.push(format!("{what}: {count:?} sides and not {sides}"));
            }
            let plain = String::from_utf8_lossy(&printed);
            let fonts = plain.matches("/Type /FontDescriptor").count();
            let embedded = plain.matches("/FontFile2 ").count() + plain.matches("/FontFile3 ").count();
            if fonts == 0 || embedded < fonts {
                wrong.push(format!("{what}: {embedded} of {fonts} fonts are in the file"));
            }
            let Some(words) = read_by("pdftotext", &["-raw"], &file) else {
                eprintln!("skipped: no pdftotext on this machine, so no word of {what} was read back");
                continue;
            };
            let others = match units {
                Units::Metric => told_in(&words.replace(' ', "\u{a0}"), Units::Us),
                Units::Us => told_in(&words.replace(' ', "\u{a0}"), Units::Metric),
                Units::Both => Vec::new(),
            };
            if !others.is_empty() {
                wrong.push(format!("{what}: {others:?}"));
            }
            let last = words.trim_end_matches('\u{c}').rsplit('\u{c}').next().unwrap_or_default();
            if last.split_whitespace().count() < 60 {
                wrong.push(format!("{what}: little on its last side: {last}"));
            }
            let Some(shown) = shown_words(&html, &page) else {
                eprintln!(
                    "skipped: no browser is called chromium here, so {what} was not held against its print"
                );
                continue;
            };
            let missing = not_in(&shown, &words);
            if !missing.is_empty() {
                wrong.push(format!("{what}: on the screen and not on paper: {missing:?}"));
            }
            if !words.contains(&format!("page {sides} of {sides}")) {
                wrong.push(format!("{what}: no number of the page"));
            }
        }
    }
    wrong
}

/// The words of a page that its style shows, as a browser tells them; `None` where there is none of that name.
fn shown_words(file: &Path, page: &str) -> Option<String> {
    const TELL: &str =
        "<script>const text = document.body.innerText; document.body.textContent = text;</script></body>";
    fs::write(file, page.replace("</body>", TELL)).unwrap();
    let profile = tempfile::tempdir().unwrap();
    let output = Command::new("chromium")
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--dump-dom"])
        .arg(format!("--user-data-dir={}", profile.path().display()))
        .arg(file)
        .output()
        .ok()?;
    let told = String::from_utf8_lossy(&output.stdout).into_owned();
    let body = told.split_once("<body").and_then(|(_, rest)| rest.split_once('>')).map(|(_, rest)| rest);
    let body =
        body.and_then(|rest| rest.split_once("</body>")).unwrap_or_else(|| panic!("no page: {told}")).0;
    Some(body.replace("&nbsp;", " ").replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&"))
}

/// The words of a text that another lacks, or has fewer of. A mark behind a figure may part it from its full stop.
fn not_in(text: &str, other: &str) -> Vec<String> {
    let count = |text: &str| {
        let mut words: BTreeMap<String, usize> = BTreeMap::new();
        for word in text.split_whitespace() {
            let word = word.trim_matches(|c: char| c.is_ascii_punctuation() || c == '×');
            if !word.is_empty() {
                *words.entry(word.to_owned()).or_default() += 1;
            }
        }
        words
    };
    let there = count(other);
    let lacks = |(word, times): &(String, usize)| there.get(word).is_none_or(|there| there < times);
    count(text).into_iter().filter(lacks).map(|(word, _)| word).collect()
}

#[test]
fn a_word_that_paper_lacks_is_found() {
    assert_eq!(
        not_in("Aim for 300 L/h, and 300 L.", "× Aim 300\nL/h for and L\u{a0}. 300×"),
        Vec::<String>::new()
    );
    assert_eq!(not_in("a b 300 300", "a 300"), ["300", "b"]);
}

#[test]
fn what_is_cut_from_the_print_is_found() {
    let Some(browser) = browser() else { return };
    let folder = tempfile::tempdir().unwrap();
    let (html, file) = (folder.path().join("sheet.html"), folder.path().join("sheet.pdf"));
    let page = page(&made("first_reef", &order(&["care"]))[0]);
    let cut = page
        .replace("</head>", "<style>@media print { .thirds { display: none !important } }</style></head>");
    assert_ne!(page, cut);
    fs::write(&html, &cut).unwrap();
    fs::write(&file, browser.print(&html).unwrap()).unwrap();
    let (Some(words), Some(shown)) = (read_by("pdftotext", &["-raw"], &file), shown_words(&html, &cut))
    else {
        eprintln!("skipped: no pdftotext, or no browser that is called chromium");
        return;
    };
    assert!(not_in(&shown, &words).contains(&"vinegar".to_owned()), "{words}");
}

/// The figures of a page: id, and what is printed in metric and in US units.
fn figures(page: &str) -> Vec<(String, [String; 2])> {
    let plain = |html: &str| text(&format!("<body><i>{html}")).replace(' ', "");
    let one = |rest: &str| {
        let (tag, inside) = rest.split_once('>').unwrap();
        let id = tag.split_once("data-figure=\"").unwrap().1.split('"').next().unwrap();
        let inside = inside.split("</data>").next().unwrap();
        let of = |system: &str| {
            let part = inside.split_once(&format!("<span class=\"{system}\">")).map(|(_, rest)| rest);
            plain(part.map_or(inside, |rest| rest.split("</span>").next().unwrap()))
        };
        (id.to_owned(), [of("metric"), of("us")])
    };
    page.split("<data class=\"figure\"").skip(1).map(one).collect()
}

#[test]
fn a_sheet_shows_the_figures_of_the_ledger_and_of_the_chapters() {
    let copy = copied_book();
    let built = common::built(copy.path(), &[]);
    let ledger: Ledger = serde_json::from_slice(&built[Path::new("ledger.json")]).unwrap();
    let plain = |text: &str| text.replace(' ', "");
    let line = |entry: &Entry| (entry.id.clone(), [plain(&entry.metric), plain(&entry.us)]);
    let lines: BTreeMap<String, [String; 2]> = ledger.figures.iter().map(line).collect();
    let made = make(copy.path(), &Settings::default(), &Order { units: Some(Units::Both), ..all() }).unwrap();
    let mut compared = 0;
    for handout in &made {
        let paper = figures(&page(handout));
        let in_site = figures(&common::text(&built, &format!("sheets/{}.html", handout.name)));
        for (id, printed) in &paper {
            assert_eq!(Some(printed), lines.get(id), "{}: {id}", handout.name);
            compared += 1;
        }
        assert!(paper.iter().all(|figure| in_site.contains(figure)), "{}", handout.name);
    }
    assert!(compared > 600, "only {compared} figures");
    // The ledger says on which sheets a figure stands.
    let water = ledger.figures.iter().find(|entry| entry.id == "tank.water").unwrap();
    assert!(water.places.iter().any(|place| place.page == "handouts/sitter.md"), "{:?}", water.places);
}

#[test]
fn the_site_has_each_sheet_with_what_turns_it_to_another_tank() {
    let copy = copied_book();
    let site = common::built(copy.path(), &[]);
    for (name, _) in SHEETS {
        let page = common::text(&site, &format!("sheets/{name}.html"));
        for part in [
            "<!--reckoner {tank.name}-->",
            "<!--reckoner {=|",
            "src=\"../theme/reckoner-",
            "src=\"../sheet",
            "href=\"../a-page-to-print.html\"",
        ] {
            assert!(page.contains(part), "{name}: {part}");
        }
        // The switch of units on the page says which are shown.
        assert!(!page.contains("<html lang=\"en\" data-units"), "{name}");
        assert_eq!(read_code(&page), ADDRESS, "{name}");
    }
}

#[test]
fn a_code_with_a_tank_in_it_makes_no_sheet_longer() {
    let Some(browser) = browser() else { return };
    let folder = tempfile::tempdir().unwrap();
    let tank = folder.path().join("mine.toml");
    fs::copy(book().join("tanks/first_reef.toml"), &tank).unwrap();
    let settings = Settings { tank: Some(tank), ..Settings::default() };
    let html = folder.path().join("sheet.html");
    for paper in PAPERS {
        let order = Order { paper: Some(paper), units: Some(Units::Both), shares_tank: true, ..all() };
        let made = make(&book(), &settings, &order).unwrap_or_else(|errors| panic!("{errors}"));
        for (handout, (name, sides)) in made.iter().zip(SHEETS) {
            let page = page(handout);
            assert!(read_code(&page).contains("#tank="), "{name}");
            fs::write(&html, page).unwrap();
            let printed = browser.print(&html).unwrap_or_else(|errors| panic!("{name}: {errors}"));
            assert_eq!(pdf::count(&printed), Some(sides), "{name}, {paper:?}");
        }
    }
}

#[test]
fn two_runs_print_the_same_bytes_and_contents_lead_to_their_pages() {
    if browser().is_none() {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let book = book();
    let print = |out: &str| {
        let arguments = [
            "handout",
            "care",
            "shapes-and-rock",
            "quiet-nights",
            "--book",
            book.to_str().unwrap(),
            "--out",
            out,
            "--units",
            "us",
        ];
        let output = reckoner(folder.path(), &arguments);
        assert!(output.status.success() && !stderr(&output).contains("warning"), "{}", stderr(&output));
        files(&folder.path().join(out))
    };
    let (first, second) = (print("one"), print("two"));
    let names: Vec<String> = first.keys().map(|name| name.display().to_string()).collect();
    assert_eq!(names, ["booklet.html", "booklet.pdf", "care.html", "care.pdf"]);
    for (name, bytes) in &first {
        assert!(bytes == &second[name], "{}", name.display());
    }
    let page = common::text(&first, "booklet.html");
    let numbers: Vec<usize> = page
        .split("class=\"page\">")
        .skip(1)
        .map(|rest| rest.split('<').next().unwrap().parse().unwrap())
        .collect();
    assert!(numbers.len() > 6 && numbers.is_sorted() && numbers[0] > 2, "{numbers:?}");
    let Some(words) = read_by("pdftotext", &["-layout"], &folder.path().join("one/booklet.pdf")) else {
        eprintln!("skipped: no pdftotext on this machine, so no page was read back");
        return;
    };
    let sides: Vec<_> = words.split('\u{c}').collect();
    for (title, number) in page
        .split("<li class=\"")
        .skip(1)
        .zip(&numbers)
        .filter(|(line, _)| line.starts_with("chapter"))
        .map(|(line, number)| {
            (line.split_once("\">").unwrap().1.split_once('>').unwrap().1.split('<').next().unwrap(), number)
        })
    {
        assert!(sides[*number - 1].contains(title), "{title} is not on page {number}");
    }
}
