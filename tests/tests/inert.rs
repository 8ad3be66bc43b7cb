//! What somebody writes into a tank, club, catalogue or rule file is text, wherever it comes out: no
//! directive of mdBook, no HTML, no Markdown, no tag of ours, no sum of a spreadsheet and no property of a
//! calendar is made of it.
//!
//! Each field holds a payload between two marks. In every output the piece between the marks, read as that
//! output is read, must be the payload again, letter for letter.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use mdbook_reckoner::chapter::plain;
use mdbook_reckoner::command::compare::{compare, current};
use mdbook_reckoner::edition::{Edition, Settings};
use mdbook_reckoner::handout::shelf;
use mdbook_reckoner::site::typeset::Reckoner;
use mdbook_reckoner::site::{SHEETS, build_site, rendered_pages, settings as site_settings};
use reckoner_calc::formulas::calendar::Date;
use reckoner_calc::{Catalogue, Rules, Sheet, Tank};
use reckoner_page::calendar;
use reckoner_page::programme::ProgrammeFile;
use reckoner_page::sheet::{self, SheetFile};

/// What may go wrong, each in a way of its own.
const PAYLOADS: [&str; 15] = [
    "{{#include /etc/hostname}}",
    "{{ #playground ../book.toml }}",
    "{{#title Another title}}",
    "<script>alert()</script>",
    "<img src=x onerror=alert()>",
    "</svg></title></td></table><b>",
    "*strong* __under__ ~~gone~~",
    "[a link](javascript:alert) ![a picture](x.png)",
    "`code` | cell | $sum$ \\\\ \\*",
    "# A heading {#heading .class}",
    "{= tank.water =} {% raw %} {* gone *}",
    "&lt;b&gt; &#60;i&#62; &amp;",
    "\"quoted\" 'single' ´",
    "=cmd|calc,@sum;+x",
    "end:\\nEND:VEVENT;X-PROP=a,b",
];

const OPEN: &str = "QZQ";
const CLOSE: &str = "ZQZ";

fn book() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../book")
}

/// A payload in a field: the field's name tells the marks apart.
fn marked(field: &str, payload: &str) -> String {
    format!("{OPEN}{field}{payload}{CLOSE}")
}

/// The fields that hold a text, each by a letter that no payload begins with.
const FIELDS: [&str; 24] = [
    "A0", "A1", "A2", "A3", "A4", "A5", "A6", "A7", "A8", "A9", "B0", "B1", "B2", "B3", "B4", "B5", "B6",
    "B7", "B8", "B9", "C0", "C1", "C2", "C3",
];
/// Those that no output prints, so that they can only do harm where they are read.
const UNSEEN: [&str; 2] = ["B2", "B3"];

struct Files {
    book: tempfile::TempDir,
    tank: String,
    catalogue: String,
    rules: Vec<(String, String)>,
}

/// A copy of the book in which every field that holds a text holds the payload.
fn files(payload: &str) -> Files {
    let text = |field: usize| toml_text(&marked(FIELDS[field], payload));
    let folder = tempfile::tempdir().unwrap();
    copy(&book(), folder.path());
    let read = |path: &str| fs::read_to_string(book().join(path)).unwrap();
    let tank = read("tanks/first_reef.toml")
        .replace("\"First Reef\"", &text(0))
        .replace("\"An invented first tank: soft corals now, small-polyp corals one day.\"", &text(1))
        .replace("name = \"right\"", &format!("name = {}", text(2)))
        .replace("name = \"left\"", &format!("name = {}", text(3)))
        .replace("\"Beck 2\"", &text(4))
        .replace("\"Clownfish\"", &text(12))
        .replace("id = \"first-reef\"\n", "")
        .replace("\n[glass]", &format!("id = {}\n[glass]", text(13)));
    let catalogue = read("pumps.toml").replace("\"Beck 2\"", &text(4)).replace("\"Beck 3\"", &text(5));
    let club = read("club.toml")
        .replace("\"Lantern Bay Reef Club\"", &text(6))
        .replace("\"An invented club that stands in for yours.\"", &text(7));
    let rule = |file: &str, edits: &[(&str, String)]| {
        let compiled_in = reckoner_calc::rules::compiled_in(file).unwrap();
        let edited = edits.iter().fold(compiled_in.to_owned(), |text, (from, to)| {
            assert!(text.contains(from), "{from}");
            text.replace(from, to)
        });
        (file.to_owned(), edited)
    };
    let rules = vec![
        rule(
            "plan.toml",
            &[
                ("\"Most pumps in a plan\"", text(8)),
                (
                    "\"Every pump is a cable, a magnet and a thing to clean. Beyond this, larger pumps serve better.\"",
                    text(9),
                ),
            ],
        ),
        rule(
            "sources.toml",
            &[
                ("\"Millero, F. J. and Poisson, A.\"", text(10)),
                ("\"International one-atmosphere equation of state of seawater\"", text(11)),
                ("\"1981\"", text(14)),
                ("\"Deep-Sea Research 28A(6), 625-629\"", text(15)),
                ("\"the equation in four independent implementations that agree digit for digit\"", text(16)),
            ],
        ),
        rule("livestock.toml", &[("\"soft corals\"", text(18))]),
        rule(
            "words/turnover.toml",
            &[
                ("\"The flow to aim for\"", text(19)),
                ("\"How much flow a tank wants, by its water and its animals\"", text(20)),
            ],
        ),
        rule(
            "words/power_cut.toml",
            &[
                ("\"What happens\"", text(21)),
                ("\"How long the oxygen lasts when the power fails\"", text(22)),
                ("\"What runs when the power fails\"", text(23)),
            ],
        ),
        rule(
            "seawater.toml",
            &[("\"one-atmosphere equation of state, the terms without salinity\"", text(17))],
        ),
    ];
    fs::write(folder.path().join("tanks/first_reef.toml"), &tank).unwrap();
    fs::write(folder.path().join("pumps.toml"), &catalogue).unwrap();
    fs::write(folder.path().join("club.toml"), &club).unwrap();
    fs::create_dir_all(folder.path().join("own-rules/words")).unwrap();
    for (name, text) in &rules {
        fs::write(folder.path().join("own-rules").join(name), text).unwrap();
    }
    Files { book: folder, tank, catalogue, rules }
}

/// A text as TOML writes it.
fn toml_text(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}

fn copy(from: &Path, to: &Path) {
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            // What was built last is no part of the book.
            if !path.ends_with("book/book") {
                fs::create_dir_all(&target).unwrap();
                copy(&path, &target);
            }
        } else {
            fs::copy(&path, &target).unwrap();
        }
    }
}

/// The pieces between the marks, each with its field.
fn pieces<'t>(text: &'t str, place: &str) -> Vec<(&'t str, &'t str)> {
    let mut found = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find(OPEN) {
        let inside = &rest[at + OPEN.len()..];
        let end = inside.find(CLOSE).unwrap_or_else(|| {
            panic!("{place}: a mark that does not close: {:?}", &inside[..inside.len().min(80)])
        });
        assert!(FIELDS.contains(&&inside[..2]), "{place}: {:?}", &inside[..end]);
        found.push((&inside[..2], &inside[2..end]));
        rest = &inside[end + CLOSE.len()..];
    }
    found
}

/// HTML as it is read: nothing in it is a tag, nothing ends the attribute that it may stand in, and its
/// entities are characters.
fn as_html(html: &str, piece: &str, place: &str) -> String {
    let at = piece.as_ptr() as usize - html.as_ptr() as usize;
    let is_attribute = html[..at].rfind(['<', '>']).is_some_and(|sign| html.as_bytes()[sign] == b'<');
    assert!(
        !(piece.contains(['<', '>']) || is_attribute && piece.contains('"')),
        "{place}: markup in {piece:?}"
    );
    let mut out = String::new();
    let mut rest = piece;
    while let Some(at) = rest.find('&') {
        out.push_str(&rest[..at]);
        let end = at + rest[at..].find(';').unwrap_or_else(|| panic!("{place}: a bare & in {piece:?}"));
        let name = &rest[at + 1..end];
        let read = match name {
            "amp" => '&',
            "lt" => '<',
            "gt" => '>',
            "quot" => '"',
            "apos" => '\'',
            _ => {
                let digits = name.strip_prefix('#').unwrap_or_else(|| panic!("{place}: {name:?}"));
                let code = digits
                    .strip_prefix(['x', 'X'])
                    .map_or_else(|| digits.parse(), |hex| u32::from_str_radix(hex, 16));
                char::from_u32(code.unwrap()).unwrap()
            }
        };
        out.push(read);
        rest = &rest[end + 1..];
    }
    out + rest
}

/// A page without its drawings, in which a long name may be broken and cut short; and the drawings.
fn without_drawings<'h>(html: &'h str, place: &str) -> (String, Vec<&'h str>) {
    let (mut out, mut drawings) = (String::new(), Vec::new());
    let mut rest = html;
    while let Some(at) = rest.find("<svg") {
        let end = at
            + rest[at..].find("</svg>").unwrap_or_else(|| panic!("{place}: a drawing that does not end"))
            + "</svg>".len();
        out.push_str(&rest[..at]);
        drawings.push(&rest[at..end]);
        rest = &rest[end..];
    }
    (out + rest, drawings)
}

/// The elements of drawings, each with its attributes' names: whatever a text says, there are no others.
fn elements(drawing: &str) -> BTreeSet<String> {
    let events = svg::read(drawing).unwrap();
    let tags = events.filter_map(|event| match event {
        // A page in HTML writes them all small.
        svg::parser::Event::Tag(name, _, attributes) => Some((name.to_lowercase(), attributes)),
        svg::parser::Event::Error(error) => panic!("{error}: {drawing}"),
        _ => None,
    });
    tags.flat_map(|(name, attributes)| {
        std::iter::once(name.clone())
            .chain(attributes.into_keys().map(move |key| format!("{name} {}", key.to_lowercase())))
    })
    .collect()
}

/// The titles and descriptions of a drawing, which are whole.
fn titles(drawing: &str) -> Vec<&str> {
    let of = |element: &str| {
        let (opens, closes) = (format!("<{element} "), format!("</{element}>"));
        drawing
            .split(opens.as_str())
            .skip(1)
            .map(|rest| rest.split(closes.as_str()).next().unwrap())
            .collect::<Vec<_>>()
    };
    ["title", "desc"].into_iter().flat_map(of).collect()
}

#[test]
fn texts_of_files_are_text_in_every_output() {
    let hostname = fs::read_to_string("/etc/hostname").unwrap_or_default();
    let mut came_out = BTreeSet::new();
    let plain = current(&book(), &Settings::default()).unwrap_or_else(|errors| panic!("{errors}"));
    let pages =
        rendered_pages(&book(), Reckoner::default(), "html").unwrap_or_else(|errors| panic!("{errors}"));
    let of_page = |(page, html): &(String, String)| {
        without_drawings(html, page).1.into_iter().flat_map(elements).collect::<Vec<_>>()
    };
    let shelf_of_plain = tempfile::tempdir().unwrap();
    let of_plain = site_settings(&book(), &Settings::default()).unwrap();
    shelf::put(shelf_of_plain.path(), &book(), &of_plain).unwrap_or_else(|errors| panic!("{errors}"));
    let sheets = fs::read_dir(shelf_of_plain.path().join(SHEETS)).unwrap().map(|entry| {
        let path = entry.unwrap().path();
        (path.display().to_string(), fs::read_to_string(&path).unwrap())
    });
    let usual: BTreeSet<_> = pages.into_iter().chain(sheets).flat_map(|page| of_page(&page)).collect();
    for payload in PAYLOADS {
        let files = files(payload);
        let mut held = |field: &str, read: &str, place: &str| {
            // mdBook makes quotation marks and dashes round in running text; that is no markup.
            let plain = |text: &str| text.replace(['“', '”'], "\"").replace(['‘', '’'], "'");
            assert_eq!(plain(read), plain(payload), "{place}, field {field}");
            came_out.insert((place.split(' ').next().unwrap_or_default().to_owned(), field.to_owned()));
        };
        let settings =
            Settings { tank: None, rules: Some(files.book.path().join("own-rules")), ..Settings::default() };
        let reckoner =
            || Reckoner { overrides: settings.clone(), whatever_the_checks_say: true, ..Reckoner::default() };
        let ledger = reckoner();
        let handle = ledger.ledger.clone();
        let of_site = site_settings(files.book.path(), &settings).unwrap();
        let with_sheets = |folder: &Path| shelf::put(folder, files.book.path(), &of_site).map(|_| ());
        let site = build_site(files.book.path(), ledger, None, with_sheets)
            .unwrap_or_else(|errors| panic!("{payload:?}: {errors}"));
        assert!(site.warnings.is_empty(), "{payload:?}: {:?}", site.warnings);
        let entries = [&site.folder, &site.folder.join(SHEETS)].map(|folder| fs::read_dir(folder).unwrap());
        for entry in entries.into_iter().flatten() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|ending| ending == "html") {
                let mut html = fs::read_to_string(&path).unwrap();
                // A style sheet writes the signs of a name its own way; the room that writes it has a test of that.
                if let Some((before, rest)) = html.split_once("<style id=\"margins\">") {
                    html = before.to_owned() + rest.split_once("</style>").unwrap().1;
                }
                let place = format!("html {}", path.file_name().unwrap().to_string_lossy());
                assert!(
                    hostname.trim().is_empty() || !html.contains(&format!("{OPEN}{}", hostname.trim())),
                    "{place}: a file came in"
                );
                let (html, drawings) = without_drawings(&html, &place);
                for drawing in drawings {
                    let unusual: Vec<_> =
                        elements(drawing).into_iter().filter(|element| !usual.contains(element)).collect();
                    assert!(unusual.is_empty(), "{place}: {unusual:?} in a drawing");
                    for title in titles(drawing) {
                        for (field, piece) in pieces(title, &place) {
                            held(field, &as_html(title, piece, &place), "svg");
                        }
                    }
                }
                for (field, piece) in pieces(&html, &place) {
                    held(field, &as_html(&html, piece, &place), &place);
                }
            }
        }
        // Plain Markdown for other renderers: what a Markdown reader makes of it.
        for (path, markdown) in rendered_pages(files.book.path(), reckoner(), "markdown").unwrap() {
            for block in plain::blocks(&markdown) {
                for (field, piece) in pieces(&block.text(), &path) {
                    held(field, piece, &format!("markdown {path}"));
                }
            }
        }
        // What a comparison with the plain book says of all these texts.
        let now = current(files.book.path(), &settings).unwrap_or_else(|errors| panic!("{errors}"));
        let comparison = compare(&plain, &now);
        // A long name may be cut in a drawing: what does not close is no whole name.
        let is_whole = |text: &&str| text.matches(OPEN).count() == text.matches(CLOSE).count();
        for line in comparison.text().lines().filter(is_whole) {
            for (field, piece) in pieces(line, "compare-text") {
                held(field, piece, "compare-text");
            }
        }
        for block in plain::blocks(&comparison.markdown()) {
            for (field, piece) in
                pieces(Some(block.text().as_str()).filter(is_whole).unwrap_or_default(), "compare-markdown")
            {
                held(field, piece, "compare-markdown");
            }
        }
        let json = handle.lock().unwrap().as_ref().unwrap().to_json();
        for (field, piece) in pieces(&json, "ledger") {
            let read: String = serde_json::from_str(&format!("\"{piece}\"")).unwrap();
            held(field, &read, "ledger");
        }
        let rules = Rules::load(&files.rules).unwrap();
        let catalogue = Catalogue::read("pumps.toml", &files.catalogue).unwrap();
        let tank = Tank::read_with("tank.toml", &files.tank, &rules, &catalogue)
            .unwrap_or_else(|problems| panic!("{problems:?}"));
        let sheet = Sheet::reckon(&rules, &catalogue, &tank).unwrap();
        for (field, piece) in pieces(&sheet::text(&sheet).replace('\n', " "), "terminal") {
            // A long word may be broken over lines.
            held(field, piece, "terminal");
        }
        let programme = ProgrammeFile::of(&rules, &catalogue, &tank).unwrap();
        for (name, csv) in
            [("csv-sheet", SheetFile::of(&sheet).to_csv()), ("csv-programme", programme.to_csv())]
        {
            for line in csv.lines() {
                assert!(!line.starts_with(['=', '+', '-', '@']), "{name}: {line}");
            }
            for (field, piece) in pieces(&csv, name) {
                held(field, &piece.replace("\"\"", "\""), name);
            }
        }
        for (name, json) in
            [("json-sheet", SheetFile::of(&sheet).to_json()), ("json-programme", programme.to_json())]
        {
            for (field, piece) in pieces(&json, name) {
                let read: String = serde_json::from_str(&format!("\"{piece}\"")).unwrap();
                held(field, &read, name);
            }
        }
        let calendar =
            calendar::calendar(&rules, &tank, Date::parse("2027-01-01").unwrap(), calendar::Made::after(0))
                .replace("\r\n ", "");
        assert!(!calendar.lines().any(|line| line.starts_with("X-PROP")), "{calendar}");
        for (field, piece) in pieces(&calendar, "calendar") {
            let mut read = String::new();
            let mut chars = piece.chars();
            while let Some(c) = chars.next() {
                read.push(if c == '\\' { chars.next().unwrap() } else { c });
            }
            held(field, &read, "calendar");
        }
    }
    // Every field that is printed came out somewhere, and every output held some.
    let fields: BTreeSet<_> = came_out.iter().map(|(_, field)| field.as_str()).collect();
    let printed: BTreeSet<_> = FIELDS.into_iter().filter(|field| !UNSEEN.contains(field)).collect();
    assert_eq!(fields, printed);
    let outputs: BTreeSet<_> = came_out.iter().map(|(output, _)| output.as_str()).collect();
    assert_eq!(outputs.len(), 12, "{outputs:?}");
}

/// Characters that do not show: they could end a line, drive a terminal, or turn round the text beside them.
const HIDDEN: [&str; 9] =
    ["\0", "\u{1b}", "\u{7f}", "\n", "\u{85}", "\u{2028}", "\u{202e}", "\u{2066}", "\u{feff}"];

#[test]
fn what_does_not_show_is_refused_where_it_is_read() {
    for hidden in HIDDEN {
        let escaped: String = hidden.chars().map(|c| format!("\\u{:04X}", u32::from(c))).collect();
        let (files, fine) = (files("HIDDEN"), files("fine"));
        for (file, fields) in [
            ("tanks/first_reef.toml", &["A0", "A1", "A2", "A3", "A4", "B2", "B3"][..]),
            ("pumps.toml", &["A4", "A5"]),
            ("club.toml", &["A6", "A7"]),
            ("own-rules/plan.toml", &["A8", "A9"]),
            ("own-rules/sources.toml", &["B0", "B1", "B4", "B5", "B6"]),
            ("own-rules/seawater.toml", &["B7"]),
        ] {
            let text = fs::read_to_string(files.book.path().join(file)).unwrap();
            let place = fine.book.path().join(file);
            let usual = fs::read_to_string(&place).unwrap();
            for field in fields {
                let with = |word: &str| marked(field, word);
                let wrong = text.replace(&with("HIDDEN"), &with(&escaped)).replace("HIDDEN", "fine");
                assert!(wrong.contains(&escaped), "{file}: {field}");
                fs::write(&place, wrong).unwrap();
                let settings = Settings {
                    tank: Some("tanks/first_reef.toml".into()),
                    rules: Some("own-rules".into()),
                    ..Settings::default()
                };
                let errors = Edition::load(fine.book.path(), &settings).map(drop).unwrap_err();
                let code = format!("U+{:04X}", u32::from(hidden.chars().next().unwrap()));
                // A model that is refused in the catalogue is none that the tank could have.
                let told = errors.0.iter().any(|error| {
                    error.message.contains(&code)
                        && error.place.as_ref().is_some_and(|place| place.file.ends_with(file))
                });
                assert!(told, "{file}, {field}, {code}: {errors}");
                assert!(
                    !errors.to_string().contains(hidden) || hidden == "\n",
                    "{file}, {field}: {errors:?}"
                );
            }
            fs::write(&place, usual).unwrap();
        }
    }
}
