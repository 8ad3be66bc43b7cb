//! The `reckoner` command as a child process: what a person, mdBook and CI meet.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

mod common;

use std::fs;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

use common::{built, copied_book, files, reckoner, repository, stderr, text};
use mdbook_driver::MDBook;
use mdbook_preprocessor::PreprocessorContext;

#[test]
fn two_builds_give_identical_bytes() {
    let book = copied_book();
    let first = built(book.path(), &[]);
    let second = built(book.path(), &[]);
    assert!(first.len() > 10);
    assert_eq!(first.keys().collect::<Vec<_>>(), second.keys().collect::<Vec<_>>());
    for (path, bytes) in &first {
        assert!(bytes == &second[path], "{} differs", path.display());
    }
}

#[test]
fn stock_mdbook_gives_the_same_pages() {
    let book = copied_book();
    let ours = built(book.path(), &[]);
    fs::remove_dir_all(book.path().join("book")).unwrap();
    // The library that the `mdbook` command is made of, calling our command as `book.toml` would.
    let mut stock = MDBook::load(book.path()).unwrap();
    let command = format!("{} preprocess", env!("CARGO_BIN_EXE_reckoner").replace('\\', "/"));
    stock.config.set("preprocessor.reckoner.command", command).unwrap();
    let stock = MDBook::load_with_config(book.path(), stock.config.clone()).unwrap();
    stock.build().unwrap();
    let theirs = files(&book.path().join("book"));
    // The sheets for paper come with our build only.
    let is_page = |path: &&std::path::PathBuf| {
        path.extension().is_some_and(|extension| extension == "html") && !path.starts_with("sheets")
    };
    let pages: Vec<_> = ours.keys().filter(is_page).collect();
    assert!(pages.len() > 8);
    for page in pages {
        assert!(ours[page] == theirs[page], "{} differs", page.display());
    }
}

#[test]
fn mdbooks_own_json_comes_back_with_only_the_content_changed() {
    let root = repository().join("book");
    let book = MDBook::load(&root).unwrap();
    let context = PreprocessorContext::new(root, book.config.clone(), "html".to_owned());
    let before = serde_json::to_value(&book.book).unwrap();
    let input = serde_json::to_string(&(context, &book.book)).unwrap();
    let mut child = Command::new(env!("CARGO_BIN_EXE_reckoner"))
        .arg("preprocess")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success(), "{}", stderr(&output));
    assert_eq!(stderr(&output), "", "a message frightens people");
    let mut after: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert!(after.to_string().contains("data-figure=\\\"tank.water\\\""));
    let (mut before, mut changed) = (before, 0);
    blank_contents(&mut before, &mut 0);
    blank_contents(&mut after, &mut changed);
    assert!(changed > 8);
    assert_eq!(before, after);
}

fn blank_contents(value: &mut serde_json::Value, count: &mut usize) {
    match value {
        serde_json::Value::Object(map) => {
            for (key, value) in map {
                if key == "content" {
                    *value = serde_json::Value::Null;
                    *count += 1;
                } else {
                    blank_contents(value, count);
                }
            }
        }
        serde_json::Value::Array(items) => items.iter_mut().for_each(|item| blank_contents(item, count)),
        _ => {}
    }
}

#[test]
fn every_renderer_is_served_and_other_input_is_refused_in_one_line() {
    for renderer in ["html", "markdown", "epub"] {
        assert!(reckoner(Path::new("."), &["preprocess", "supports", renderer]).status.success());
    }
    let output = reckoner(Path::new("."), &["preprocess"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).starts_with("error: expected mdBook's [context, book] on standard input"),
        "{}",
        stderr(&output)
    );
    assert!(output.stdout.is_empty());
}

#[test]
fn a_rule_changed_at_run_time_changes_the_pages() {
    let book = copied_book();
    let before = built(book.path(), &[]);
    let compiled_in = fs::read_to_string(repository().join("calc/rules/livestock.toml")).unwrap();
    let changed = compiled_in.replacen(
        "[small_polyp.turnover]\ntitle = \"Small-polyp stony corals\"\nlow = \"20",
        "[small_polyp.turnover]\ntitle = \"Small-polyp stony corals\"\nlow = \"25",
        1,
    );
    assert_ne!(compiled_in, changed);
    fs::create_dir(book.path().join("our-rules")).unwrap();
    fs::write(book.path().join("our-rules/livestock.toml"), changed).unwrap();
    let after = built(book.path(), &["--rules", "our-rules"]);
    assert!(text(&before, "decide-what-will-live-there.html").contains("20 to 40\u{a0}times"));
    assert!(text(&after, "decide-what-will-live-there.html").contains("25 to 40\u{a0}times"));
    assert_ne!(text(&before, "ready-reckoner.html"), text(&after, "ready-reckoner.html"));
}

/// A kind that nobody keeps: all that is said of it stands in one file of a folder of rules.
const SEA_FANS: &str = "\
[sea_fans]
order = 25
words = \"sea fans\"
coral = true

[sea_fans.turnover]
title = \"Sea fans\"
low = \"15 per hour\"
high = \"30 per hour\"
basis = \"invented\"

[sea_fans.speeds]
title = \"Speed of the water past sea fans\"
low = \"8 cm/s\"
high = \"30 cm/s\"
basis = \"invented\"

[sea_fans.oxygen]
title = \"Share of that which the floor of a tank with sea fans takes up\"
low = \"12 %\"
high = \"60 %\"
basis = \"invented\"
";

#[test]
fn a_kind_of_livestock_that_a_folder_of_rules_adds_is_in_the_sheet_and_in_the_whole_book() {
    let book = copied_book();
    let rules = book.path().join("our-rules");
    fs::create_dir(&rules).unwrap();
    fs::write(rules.join("livestock.toml"), SEA_FANS).unwrap();
    let tank = |livestock: &str| {
        let first_reef = fs::read_to_string(book.path().join("tanks/first_reef.toml")).unwrap();
        let (before, after) = first_reef.split_once("[livestock]\n").unwrap();
        let after = after.split_once("\n\n").unwrap().1;
        fs::write(book.path().join("fans.toml"), format!("{before}[livestock]\n{livestock}\n\n{after}"))
            .unwrap();
    };
    tank("now = \"soft\"\nlater = [\"sea_fans\", \"soft\"]");
    let sheet = reckoner(
        book.path(),
        &["sheet", "fans.toml", "--pumps", "pumps.toml", "--rules", "our-rules", "--format", "csv"],
    );
    let said = String::from_utf8(sheet.stdout.clone()).unwrap();
    assert!(sheet.status.success() && said.contains("soft corals and sea fans"), "{}{said}", stderr(&sheet));
    // Without these rules nobody knows the kind, and its name is told with those that are known.
    let unknown = stderr(&reckoner(book.path(), &["sheet", "fans.toml", "--pumps", "pumps.toml"]));
    assert!(
        unknown.contains("`later` can not be \"sea_fans\"") && unknown.contains("small_polyp_strong"),
        "{unknown}"
    );

    let site = built(book.path(), &["--tank", "fans.toml", "--rules", "our-rules"]);
    for (page, words) in [
        ("decide-what-will-live-there.html", "Sea fans</th>"),
        (
            "moving-to-small-polyp.html",
            "is to hold soft corals and sea fans, so it needs no move to small-polyp corals",
        ),
        ("ready-reckoner.html", "Sea fans</th>"),
        ("rules.html", "Share of that which the floor of a tank with sea fans takes up"),
    ] {
        assert!(text(&site, page).contains(words), "{words:?} is not on {page}");
    }
    assert!(text(&site, "ready-reckoner.html").contains("data-figure=\"reckoner_own.1.sea_fans\""));
    // It may be all that lives in a tank.
    tank("now = \"sea_fans\"");
    let alone =
        reckoner(book.path(), &["check", "--book", ".", "--tank", "fans.toml", "--rules", "our-rules"]);
    assert!(alone.status.success(), "{}", stderr(&alone));
}

#[test]
fn another_tank_becomes_the_running_example() {
    let book = copied_book();
    let site = built(book.path(), &["--tank", "tanks/long_reef.toml"]);
    assert!(text(&site, "from-volume-to-flow.html").contains("Long Reef"));
    assert!(!text(&site, "from-volume-to-flow.html").contains("First Reef"));
}

#[test]
fn a_tank_of_any_shape_that_leaves_most_out_makes_a_whole_book() {
    let book = copied_book();
    for (name, plan) in [
        ("round", "shape = \"cylinder\"\ndiameter = \"50 cm\""),
        ("bow", "shape = \"bow_front\"\nlength = \"48 in\"\nwidth = \"16 in\"\nmiddle_width = \"20 in\""),
        ("six", "shape = \"hexagon\"\nacross = \"60 cm\""),
        ("vast", "shape = \"box\"\nlength = \"4 m\"\nwidth = \"120 cm\""),
        ("tiny", "shape = \"box\"\nlength = \"30 cm\"\nwidth = \"20 cm\""),
    ] {
        let height = if name == "tiny" { "25 cm" } else { "60 cm" };
        let tank = format!(
            "name = \"{name}\"\n[glass]\n{plan}\nheight = \"{height}\"\npane = \"8 mm\"\n[livestock]\nnow = \"fish_only\"\ncounts = \"gross\"\n[home]\ncurrency = \"CHF\"\nprice_per_kwh = \"0.25 CHF\"\n"
        );
        fs::write(book.path().join("my-tank.toml"), tank).unwrap();
        let output = reckoner(book.path(), &["check", "--book", ".", "--tank", "my-tank.toml"]);
        assert!(output.status.success(), "{name}: {}", stderr(&output));
    }
}

#[test]
fn all_mistakes_come_in_one_run_and_nothing_is_written() {
    let book = copied_book();
    let chapter = book.path().join("src/from-volume-to-flow.md");
    let text = fs::read_to_string(&chapter).unwrap();
    fs::write(&chapter, format!("{text}\n\nIt holds about 40 litres and {{= tank.watr =}}.\n")).unwrap();
    let output = reckoner(book.path(), &["build", "--book", "."]);
    assert_eq!(output.status.code(), Some(2));
    let line = text.lines().count() + 3;
    let message = stderr(&output);
    for part in [
        &format!("src/from-volume-to-flow.md:{line}:16"),
        "It holds about 40 litres and {= tank.watr =}.",
        "there is no figure `tank.watr`",
        "did you mean `tank.water`",
        "2 errors; nothing was written",
    ] {
        assert!(message.contains(part), "{part:?} is not in:\n{message}");
    }
    assert!(!book.path().join("book").exists());

    // Rules, tanks and chapters are all looked at before anything is said.
    fs::write(book.path().join("tanks/first_reef.toml"), "name = \"First\"\n").unwrap();
    fs::create_dir(book.path().join("our-rules")).unwrap();
    fs::write(book.path().join("our-rules/turnover.toml"), "[fish_only]\nlow = 5\n").unwrap();
    let message = stderr(&reckoner(book.path(), &["check", "--book", ".", "--rules", "our-rules"]));
    for part in [
        "our-rules/turnover.toml:2:7",
        "`5` has no unit",
        "tanks/first_reef.toml",
        "`glass` is missing",
        "typed by hand",
    ] {
        assert!(message.contains(part), "{part:?} is not in:\n{message}");
    }
}

#[test]
fn a_demo_tank_that_can_not_be_reckoned_ends_the_build_though_the_example_can() {
    let book = copied_book();
    let high = "name = \"High\"\nlivestock = { now = \"soft\" }\n\
                glass = { shape = \"box\", length = \"80 cm\", width = \"40 cm\", height = \"50 cm\", pane = \"8 mm\" }\n\
                [return]\nlift = \"3.2 m\"\nlength = \"4 m\"\nbore = \"21.2 mm\"\nelbows = 3\npump_flow = \"2500 L/h\"\n\
                pump_head = \"3 m\"\npump_power = \"30 W\"\n";
    fs::write(book.path().join("tanks/high.toml"), high).unwrap();
    let output = reckoner(book.path(), &["build", "--book", "."]);
    assert_eq!(output.status.code(), Some(2));
    let message = stderr(&output);
    assert!(
        message.contains("tanks/high.toml: the flow of the return line: the pump lifts water"),
        "{message}"
    );
    assert!(!book.path().join("book").exists());
}

#[test]
fn an_unknown_key_in_the_books_own_file_is_told_at_its_place() {
    let book = copied_book();
    let file = book.path().join("book.toml");
    let text = fs::read_to_string(&file).unwrap();
    fs::write(&file, text.replace("tank = \"tanks", "tnak = \"tanks")).unwrap();
    for command in ["check", "build"] {
        let output = reckoner(book.path(), &[command, "--book", "."]);
        assert_eq!(output.status.code(), Some(2));
        let message = stderr(&output);
        let line = text.lines().position(|line| line.starts_with("tank =")).unwrap() + 1;
        for part in [&*format!("book.toml:{line}:1"), "unknown field `tnak`", "`tank`", "1 error"] {
            assert!(message.contains(part), "{part:?} is not in:\n{message}");
        }
    }
    assert!(!book.path().join("book").exists());
}

#[test]
fn what_is_wrong_with_links_and_markup_is_told_once_at_its_place() {
    let book = copied_book();
    let chapter = book.path().join("src/feeding.md");
    let text = fs::read_to_string(&chapter).unwrap();
    fs::write(&chapter, format!("{text}\n\n[a](saefty.md) [b](safety.md#none) c <b>d.\n")).unwrap();
    let line = text.lines().count() + 3;
    for command in ["check", "build"] {
        let output = reckoner(book.path(), &[command, "--book", "."]);
        assert_eq!(output.status.code(), Some(2));
        let message = stderr(&output);
        for (fault, column) in
            [("the link `saefty.md`", 5), ("the link `safety.md#none`", 20), ("the tag `<b>`", 38)]
        {
            assert_eq!(message.matches(&format!("error: {fault}")).count(), 1, "{message}");
            assert!(message.contains(&format!("src/feeding.md:{line}:{column}\n")), "{message}");
        }
        assert!(message.contains("there is a chapter `safety.md`"), "{message}");
        assert!(message.ends_with("3 errors; nothing was written\n"), "{message}");
    }
}

#[test]
fn a_missing_catalogue_is_told_as_missing() {
    let book = copied_book();
    fs::remove_file(book.path().join("pumps.toml")).unwrap();
    let message = stderr(&reckoner(book.path(), &["check", "--book", "."]));
    assert!(message.starts_with("error: `pumps.toml` is missing\n"), "{message}");
    // A sheet needs a catalogue only for a tank with pumps.
    let message = stderr(&reckoner(book.path(), &["sheet", "tanks/first_reef.toml"]));
    assert!(message.starts_with("error: `book/pumps.toml`, the catalogue in which"), "{message}");
    assert!(message.ends_with("1 error; nothing was written\n"), "{message}");
    let bare = "name = \"Bare\"\nlivestock = { now = \"fish_only\" }\n\
                glass = { shape = \"box\", length = \"80 cm\", width = \"40 cm\", height = \"50 cm\", pane = \"8 mm\" }\n";
    fs::write(book.path().join("bare.toml"), bare).unwrap();
    assert!(reckoner(book.path(), &["sheet", "bare.toml"]).status.success());
}

#[test]
fn a_sheet_is_printed_for_any_tank() {
    let output = reckoner(&repository(), &["sheet", "book/tanks/small_cube.toml"]);
    assert!(output.status.success(), "{}", stderr(&output));
    let sheet = String::from_utf8(output.stdout).unwrap();
    assert!(sheet.starts_with("Small Cube\n"));
    assert!(sheet.contains("Flow to aim for"));
    assert_eq!(reckoner(&repository(), &["sheet", "no-such-tank.toml"]).status.code(), Some(2));
    assert_eq!(reckoner(&repository(), &["shet"]).status.code(), Some(2));
}

#[test]
fn a_reader_who_has_read_enough_is_no_error() {
    let mut command = Command::new(env!("CARGO_BIN_EXE_reckoner"));
    let command = command.args(["sheet", "book/tanks/first_reef.toml"]).current_dir(repository());
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    // More than a pipe holds is still to be written, or nothing at all: in both cases nobody reads it.
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success(), "{}", stderr(&output));
    assert_eq!(stderr(&output), "");
}

#[test]
fn the_notes_of_neighbouring_checks_fold_away_together() {
    let book = copied_book();
    let site = built(book.path(), &[]);
    let page = text(&site, "the-map-of-speeds.html");
    let source = fs::read_to_string(book.path().join("src/the-map-of-speeds.md")).unwrap();
    let folds: Vec<_> = page.split("<details class=\"checked\">").skip(1).collect();
    let notes: Vec<_> = folds
        .iter()
        .map(|fold| fold.split("</details>").next().unwrap().matches("<p class=\"check\">").count())
        .collect();
    // Each note is in a fold; those with words between them are in two.
    assert_eq!(notes.iter().sum::<usize>(), source.matches("```check").count());
    assert_eq!(
        notes.len(),
        source
            .split("```check")
            .skip(1)
            .filter(|check| {
                !check.split_once("\n```\n").is_some_and(|(_, behind)| behind.trim().is_empty())
            })
            .count()
    );
    assert!(notes.iter().any(|count| *count > 1), "{notes:?}");
}

/// Short sentences without a pause read like a list, long ones lose a beginner: a chapter keeps between the two.
#[test]
fn the_chapters_read_neither_choppy_nor_long() {
    let out = reckoner(&repository(), &["check", "--reading"]);
    assert_eq!(out.status.code(), Some(0), "{}", stderr(&out));
    let table = String::from_utf8(out.stdout).unwrap();
    let sentence = |page: &str| {
        let line = table.lines().find(|line| line.split(' ').next() == Some(page))?;
        line.split_whitespace().nth(3)?.parse::<f64>().ok()
    };
    let summary = fs::read_to_string(repository().join("book/src/SUMMARY.md")).unwrap();
    let (chapters, _) = summary.split_once("# Reference").unwrap();
    let pages = chapters.lines().filter_map(|line| line.strip_prefix("- ")?.split(['(', ')']).nth(1));
    let means: Vec<_> =
        pages.map(|page| (page, sentence(page).unwrap_or_else(|| panic!("{page} in {table}")))).collect();
    assert!(means.len() > 30, "{means:?}");
    let odd: Vec<_> = means.iter().filter(|(_, mean)| !(12.0..=14.0).contains(mean)).collect();
    assert!(odd.is_empty(), "words to a sentence: {odd:?}");
}
