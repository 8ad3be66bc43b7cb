//! What people read on a sheet stands in the words beside the rules, and nowhere in the code.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::str::FromStr;

use proc_macro2::{Delimiter, TokenStream, TokenTree};
use reckoner_calc::rules::{Rules, compiled_in, file_names};
use reckoner_calc::sheet::Table;
use reckoner_calc::{Catalogue, Sheet, Tank};

/// Rooms of calc that know what is said, and say it by a key.
const ROOMS: [&str; 3] = ["decide", "figures", "sheet"];

/// Pieces of messages about a file that can not be used, which are put into an error further on.
const OF_ERRORS: [&str; 7] = [
    "the worked example `{working}` names `{id}`, which is no figure of the sheet",
    "turn it down, or take coarser sand",
    "at this setting `{}` would lift the sand from any height; {instead}",
    "it is in {}, the catalogue in {}; write both in one currency",
    "the catalogue has no `{model}`{near}",
    "sand and rock take up all of it; check the depth of the sand and the mass of the rock",
    "`{}` comes out as no number; check the measures of the tank, and the rules {}",
];

/// How formulas are told in words and signs.
const FORMULAS: [&str; 4] =
    ["price + wet ends", "net + rear chamber", "net + rear chamber + sump", "times an hour"];

fn repository() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// The words of a text that stand outside braces.
fn words(text: &str) -> usize {
    let mut outside = String::new();
    let mut depth = 0;
    for c in text.chars() {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            _ if depth == 0 => outside.push(c),
            _ => {}
        }
    }
    outside.split_whitespace().filter(|word| word.chars().filter(|c| c.is_alphabetic()).count() >= 2).count()
}

/// The texts of a file that a reader would take for prose.
///
/// - `formulas`: the names of constants that hold a formula
fn prose(tokens: TokenStream, formulas: &BTreeSet<String>, found: &mut Vec<String>) {
    let tokens: Vec<_> = tokens.into_iter().collect();
    let word = |at: usize, back: usize| match at.checked_sub(back).map(|at| &tokens[at]) {
        Some(TokenTree::Ident(ident)) => ident.to_string(),
        Some(TokenTree::Punct(punct)) => punct.as_char().to_string(),
        _ => String::new(),
    };
    let mut of_tests = false;
    for (at, token) in tokens.iter().enumerate() {
        match token {
            TokenTree::Group(group) => {
                let is_attribute =
                    group.delimiter() == Delimiter::Bracket && matches!(&*word(at, 1), "#" | "!");
                if is_attribute {
                    of_tests |= group.stream().to_string().replace(' ', "") == "cfg(test)";
                    continue;
                }
                if of_tests && group.delimiter() == Delimiter::Brace {
                    of_tests = false;
                    continue;
                }
                // A formula, an error, the name of a limit, or what only a programmer sees.
                let is_said_elsewhere = matches!(&*word(at, 1), "says" | "within")
                    || word(at, 4) == "Error"
                    || (word(at, 1) == "!" && word(at, 2).contains("assert"));
                if !is_said_elsewhere {
                    prose(group.stream(), formulas, found);
                }
            }
            TokenTree::Literal(literal) => {
                let text = literal.to_string();
                let is_formula = text.contains(['÷', '×', '−', '√']) || word(at, 2) == "formula";
                let is_constant_formula =
                    word(at, 1) == "=" && word(at, 2) == "str" && formulas.contains(&word(at, 5));
                if text.starts_with('"') && words(&text) >= 3 && !is_formula && !is_constant_formula {
                    found.push(text.trim_matches('"').to_owned());
                }
            }
            _ => {}
        }
    }
}

/// The names of the constants by which a file says how figures are reckoned.
fn formulas(text: &str) -> impl Iterator<Item = String> {
    text.split(".says(").skip(1).filter_map(|rest| Some(rest.split_once(')')?.0.to_owned()))
}

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        match path.is_dir() {
            true if name != "tests" && name != "ids" => sources(&path, found),
            false if name.ends_with(".rs") && name != "tests.rs" => found.push(path),
            _ => {}
        }
    }
}

#[test]
fn no_code_that_fills_a_sheet_holds_prose() {
    let src = repository().join("calc/src");
    let mut files = Vec::new();
    for room in ROOMS {
        files.push(src.join(format!("{room}.rs")));
        sources(&src.join(room), &mut files);
    }
    assert!(files.len() > 60, "only {} files were found", files.len());
    let files: Vec<_> = files.into_iter().map(|file| (fs::read_to_string(&file).unwrap(), file)).collect();
    let formulas = files.iter().flat_map(|(text, _)| formulas(text)).collect();
    let mut wrong = Vec::new();
    for (text, file) in files {
        let mut found = Vec::new();
        prose(TokenStream::from_str(&text).unwrap(), &formulas, &mut found);
        let is_known = |text: &str| OF_ERRORS.contains(&text) || FORMULAS.contains(&text);
        wrong.extend(
            found
                .into_iter()
                .filter(|text| !is_known(text))
                .map(|text| format!("{}: {text}", file.display())),
        );
    }
    assert!(wrong.is_empty(), "put these into calc/rules/words:\n{}", wrong.join("\n"));
}

#[test]
fn prose_is_told_from_formulas_and_errors() {
    let code = r#"
        /// A doc that nobody prints.
        const SUM: &str = "sum of all flows";
        const KEEPS: &str = "keeps to the limit";
        fn one() { sheet.lack("id", format!("{} has no pump yet", name)); figure.says(SUM).titled("What it moves"); }
        fn two() { return Err(Error::NoAnswer { what: "where to hang it", why }); }
        #[cfg(test)]
        mod tests { fn three() { let text = "not for any reader"; } }
        fn four() { row("flow × share of it") }
    "#;
    let mut found = Vec::new();
    prose(TokenStream::from_str(code).unwrap(), &formulas(code).collect(), &mut found);
    assert_eq!(found, ["keeps to the limit", "{} has no pump yet", "What it moves"]);
}

/// A file of words, or of rules, with a mark before each text that people read.
fn marked(name: &str, text: &str) -> String {
    let is_read = |key: &str| name.starts_with("words/") || ["title", "words", "beside"].contains(&key);
    let mark = |line: &str| match line.split_once(" = ").filter(|(key, _)| is_read(key)) {
        Some((key, list)) if list.starts_with('[') => {
            format!("{key} = {}", list.replace("[\"", "[\"¤ ").replace(", \"", ", \"¤ "))
        }
        Some((key, value)) => format!("{key} = {}", value.replacen('"', "\"¤ ", 1)),
        None => line.to_owned(),
    };
    text.lines().map(|line| if line.starts_with('#') { line.to_owned() } else { mark(line) } + "\n").collect()
}

#[test]
fn whatever_is_said_can_be_said_otherwise_without_a_compiler() {
    let files = file_names().into_iter().filter(|name| name != "sources.toml");
    let files: Vec<_> =
        files.map(|name| (name.clone(), marked(&name, compiled_in(&name).unwrap()))).collect();
    assert!(files.len() > 40, "{}", files.len());
    let rules = Rules::load(&files).unwrap_or_else(|problems| panic!("{problems:#?}"));
    let book = repository().join("book");
    let catalogue =
        Catalogue::read("pumps.toml", &fs::read_to_string(book.join("pumps.toml")).unwrap()).unwrap();
    let mut said = 0;
    for tank in fs::read_dir(book.join("tanks")).unwrap() {
        let tank = tank.unwrap().path();
        let tank = Tank::read_with("tank", &fs::read_to_string(tank).unwrap(), &rules, &catalogue).unwrap();
        let sheet = Sheet::reckon(&rules, &catalogue, &tank).unwrap();
        let figures = sheet
            .figures()
            .iter()
            .filter(|figure| !figure.id.starts_with("rule."))
            .chain(sheet.tables.values().flat_map(Table::figures));
        let mut texts: Vec<(String, &str)> =
            figures.map(|figure| (figure.id.clone(), figure.title.as_str())).collect();
        for (id, table) in &sheet.tables {
            texts.push((format!("caption of {id}"), &table.caption));
            texts.extend(table.heads.iter().map(|head| (format!("head of {id}"), head.as_str())));
        }
        for (id, chart) in &sheet.charts {
            let lines =
                chart.lines.iter().map(|line| &line.name).chain(chart.levels.iter().map(|level| &level.name));
            let own = [&chart.title, &chart.description, &chart.x.label, &chart.y.label];
            texts.extend(own.into_iter().chain(lines).map(|text| (format!("chart {id}"), text.as_str())));
        }
        texts.extend(sheet.workings.values().flat_map(|working| {
            [&working.title, &working.tell].map(|text| (format!("working {}", working.id), text.as_str()))
        }));
        texts.extend(sheet.layouts.values().flat_map(|layout| {
            [&layout.title, &layout.description].map(|text| (layout.id.to_owned(), text.as_str()))
        }));
        texts.extend(sheet.nomograms.values().flat_map(|nomogram| {
            let scales = [&nomogram.left, &nomogram.right, &nomogram.product].map(|scale| &scale.label);
            let own = [&nomogram.title, &nomogram.description];
            own.into_iter()
                .chain(scales)
                .map(|text| (nomogram.id.to_owned(), text.as_str()))
                .collect::<Vec<_>>()
        }));
        texts.extend(sheet.maps.values().flat_map(|map| {
            let names = map.zones.iter().map(|zone| &zone.name);
            let own = [&map.title, &map.description, &map.view, &map.rock];
            own.into_iter().chain(names).map(|text| (map.id.to_owned(), text.as_str())).collect::<Vec<_>>()
        }));
        texts.extend(
            sheet.timelines.values().flat_map(|day| {
                [&day.title, &day.description].map(|text| (day.id.to_owned(), text.as_str()))
            }),
        );
        texts.extend(sheet.warnings.iter().map(|text| ("a warning".to_owned(), text.as_str())));
        texts.extend(sheet.lacks().map(|(part, why)| (format!("why no {part}"), why)));
        // A curve may be named by its value alone.
        let is_words = |text: &str| text.starts_with(|first: char| !first.is_ascii_digit());
        let fixed: Vec<_> = texts.iter().filter(|(_, text)| is_words(text) && !text.contains('¤')).collect();
        assert!(
            fixed.is_empty(),
            "{}: {} of {} texts stay as they were: {fixed:#?}",
            sheet.name,
            fixed.len(),
            texts.len()
        );
        said += texts.len();
    }
    assert!(said > 3000, "{said}");
}
