//! The rooms of each crate stand on one another, and nobody looks up: a file names its own room and those
//! below it, and no two files of a room name each other in a circle. Tests may look anywhere.
//!
//! To give another crate its rooms, move its line from `WITHOUT_ROOMS` to `HOUSES`.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// The rooms of each crate, from the ground up. A room is a module of the crate's root: `proof.rs` and what
/// lies in `proof/`.
const HOUSES: [(&str, &[&str]); 4] = [
    (
        "calc",
        &[
            "name",
            "ordered",
            "quantity",
            "error",
            "words",
            "document",
            "trace",
            "rules",
            "formulas",
            "catalogue",
            "tank",
            "assumed",
            "decide",
            "sheet",
            "figures",
            "reckon",
            "check",
        ],
    ),
    (
        "preprocessor/page",
        &[
            "text",
            "systems",
            "code",
            "html",
            "chart",
            "drawing",
            "csv",
            "claims",
            "condition",
            "listed",
            "ledger",
            "rules",
            "why",
            "part",
            "captions",
            "passage",
            "sheet",
            "programme",
            "calendar",
            "tank_file",
            "form",
        ],
    ),
    ("preprocessor/live", &["fault", "live", "message", "desk", "boundary"]),
    (
        "preprocessor",
        &[
            "diagnostic",
            "wasm",
            "files",
            "prose",
            "edition",
            "chapter",
            "proof",
            "site",
            "handout",
            "command",
        ],
    ),
];

/// Members of the workspace that have no rooms.
const WITHOUT_ROOMS: [&str; 3] = ["calc/macros", "preprocessor/live/stamp", "tests"];

/// All that `reckoner-page` may know beside the standard library, so that it runs where there are neither
/// files nor mdBook.
const PAGE_KNOWS: [&str; 7] =
    ["reckoner-calc", "maud", "qrcodegen", "schemars", "serde", "serde_json", "svg"];

/// What of the standard library needs a machine with files.
const NEEDS_FILES: [&str; 5] = ["std::env", "std::fs", "std::net", "std::path", "std::process"];

#[test]
fn arrows_between_rooms_go_down() {
    for (house, rooms) in HOUSES {
        let files = sources(house);
        let faults = faults(rooms, &files);
        assert!(faults.is_empty(), "{house}:\n{}", faults.join("\n"));
        // The same house upside down must be full of faults, or nothing was read.
        let turned: Vec<_> = rooms.iter().rev().copied().collect();
        let found = self::faults(&turned, &files);
        assert!(found.len() >= rooms.len() / 2, "{house}: only {} arrows were found", found.len());
    }
}

#[test]
fn every_crate_has_rooms_or_is_known_to_have_none() {
    let text = fs::read_to_string(repository().join("Cargo.toml")).unwrap();
    let members = text.lines().find_map(|line| line.strip_prefix("members = ")).unwrap();
    let members: BTreeSet<_> = members.split('"').skip(1).step_by(2).collect();
    let known: BTreeSet<_> = HOUSES.iter().map(|(house, _)| *house).chain(WITHOUT_ROOMS).collect();
    assert_eq!(members, known);
}

#[test]
fn the_page_knows_neither_mdbook_nor_files() {
    let text = fs::read_to_string(repository().join("preprocessor/page/Cargo.toml")).unwrap();
    let (_, dependencies) = text.split_once("[dependencies]\n").unwrap();
    let names: Vec<_> = dependencies
        .lines()
        .take_while(|line| !line.is_empty())
        .map(|line| line.split(['.', ' ']).next().unwrap())
        .collect();
    assert_eq!(names, PAGE_KNOWS);
    for (file, text) in sources("preprocessor/page") {
        let used = NEEDS_FILES.iter().find(|used| text.contains(**used));
        assert_eq!(used, None, "{file}");
    }
}

fn repository() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// The source files of a crate with their texts, named from its `src`.
fn sources(house: &str) -> Vec<(String, String)> {
    let src = repository().join(house).join("src");
    let mut found = Vec::new();
    let mut folders = vec![String::new()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(src.join(&folder)).unwrap() {
            let entry = entry.unwrap();
            let path = format!("{folder}{}", entry.file_name().to_string_lossy());
            if entry.file_type().unwrap().is_dir() {
                folders.push(path + "/");
            } else if path.ends_with(".rs") {
                let text = fs::read_to_string(entry.path()).unwrap();
                found.push((path, text));
            }
        }
    }
    found.sort();
    found
}

/// A module's path from the crate's root.
type Module = Vec<String>;

/// A source file, read.
struct Source {
    file: String,
    module: Module,
    tokens: Vec<Token>,
    /// What is compiled only for tests: modules in files of their own.
    tests: Vec<Module>,
}

/// What is wrong with a house, as `file:line: what`.
fn faults(rooms: &[&str], files: &[(String, String)]) -> Vec<String> {
    let mut read: Vec<Source> = files.iter().map(|(file, text)| source(file, text)).collect();
    let tests: Vec<Module> = read.iter().flat_map(|source| source.tests.clone()).collect();
    read.retain(|source| !tests.iter().any(|test| source.module.starts_with(test)));
    let modules: BTreeSet<Module> = read.iter().map(|source| source.module.clone()).collect();
    let floor =
        |module: &Module| module.first().and_then(|room| rooms.iter().position(|known| known == room));
    let exported: BTreeMap<String, Module> =
        read.iter().filter(|source| source.file == "lib.rs").flat_map(exports).collect();

    let empty = rooms
        .iter()
        .filter(|room| !modules.iter().any(|module| module.first().is_some_and(|first| first == *room)));
    let mut faults: Vec<String> = empty.map(|room| format!("no file belongs to the room `{room}`")).collect();
    let mut arrows: BTreeMap<Module, BTreeMap<Module, String>> = BTreeMap::new();
    // The list of rooms, and the door of a program.
    for source in read.iter().filter(|source| !["lib.rs", "main.rs"].contains(&source.file.as_str())) {
        let Some(from) = floor(&source.module) else {
            faults.push(format!("{}:1: belongs to no room", source.file));
            continue;
        };
        for (line, path) in paths(source, &modules) {
            let place = format!("{}:{line}", source.file);
            let path = match path.first().and_then(|name| exported.get(name)) {
                Some(module) if !modules.contains(&path[..1]) => module,
                _ => &path,
            };
            let known = (1..=path.len())
                .rev()
                .map(|end| path[..end].to_vec())
                .find(|module| modules.contains(module));
            match known.as_ref().and_then(|module| Some((module, floor(module)?))) {
                None => faults.push(format!("{place}: `crate::{}` is in no room", path.join("::"))),
                Some((module, to)) if to > from => {
                    let names = (rooms[from], module.join("::"), rooms[to]);
                    faults.push(format!(
                        "{place}: the room `{}` knows `{}`, but `{}` stands above it",
                        names.0, names.1, names.2
                    ));
                }
                // A file and the folder of its name are one.
                Some((module, to))
                    if to == from
                        && !module.starts_with(&source.module)
                        && !source.module.starts_with(module) =>
                {
                    arrows.entry(source.module.clone()).or_default().entry(module.clone()).or_insert(place);
                }
                Some(_) => {}
            }
        }
    }
    for (from, known) in &arrows {
        for (to, place) in known {
            if leads_to(&arrows, to, from) {
                faults.push(format!(
                    "{place}: `{}` and `{}` know each other",
                    from.join("::"),
                    to.join("::")
                ));
            }
        }
    }
    faults
}

/// Whether arrows lead from one module to another.
fn leads_to(arrows: &BTreeMap<Module, BTreeMap<Module, String>>, from: &Module, to: &Module) -> bool {
    let (mut open, mut seen) = (vec![from], BTreeSet::new());
    while let Some(module) = open.pop() {
        if module == to {
            return true;
        }
        if seen.insert(module) {
            open.extend(arrows.get(module).into_iter().flat_map(BTreeMap::keys));
        }
    }
    false
}

/// What the crate's root gives a shorter name: `pub use sheet::Sheet`.
fn exports(root: &Source) -> Vec<(String, Module)> {
    let tokens = &root.tokens;
    let starts = (0..tokens.len()).filter(|at| tokens[*at].text == "use");
    let trees = starts.flat_map(|at| tree(tokens, at + 1));
    let from_root = |path: &Module| {
        path.iter().skip_while(|name| ["crate", "self"].contains(&name.as_str())).cloned().collect()
    };
    trees.filter_map(|(_, path)| Some((path.last()?.clone(), from_root(&path)))).collect()
}

/// The paths inside the crate that a file names, from the crate's root, each with its line.
fn paths(source: &Source, modules: &BTreeSet<Module>) -> Vec<(usize, Module)> {
    let (tokens, module) = (&source.tokens, &source.module);
    let mut found = Vec::new();
    for (at, token) in tokens.iter().enumerate() {
        let is_path = tokens.get(at + 1).is_some_and(|next| next.text == "::");
        if !is_path || at > 0 && tokens[at - 1].text == "::" {
            continue;
        }
        let child: Module = module.iter().cloned().chain([token.text.clone()]).collect();
        if !["crate", "self", "super"].contains(&token.text.as_str()) && !modules.contains(&child) {
            continue;
        }
        for (line, path) in tree(tokens, at) {
            let ups = path.iter().take_while(|name| *name == "super").count();
            let (base, rest) = match path[0].as_str() {
                "crate" => (&module[..0], &path[1..]),
                "self" => (&module[..], &path[1..]),
                _ => (&module[..module.len().saturating_sub(ups)], &path[ups..]),
            };
            found.push((line, base.iter().chain(rest).cloned().collect()));
        }
    }
    found
}

/// All paths of the tree that begins at a token, `a::{b, c::d}`, each with its line.
fn tree(tokens: &[Token], start: usize) -> Vec<(usize, Module)> {
    let mut found = Vec::new();
    branch(tokens, start, &[], &mut found);
    found
}

/// Reads one branch behind `stem`; gives the token behind it.
fn branch(tokens: &[Token], start: usize, stem: &[String], found: &mut Vec<(usize, Module)>) -> usize {
    let text = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    let (mut path, mut at) = (stem.to_vec(), start);
    loop {
        if text(at) == "{" {
            at += 1;
            while !["}", ""].contains(&text(at)) {
                at = branch(tokens, at, &path, found);
                // What a name is called here, and the comma.
                while ![",", "}", ""].contains(&text(at)) {
                    at += 1;
                }
                at += usize::from(text(at) == ",");
            }
            return at + 1;
        }
        let is_name = text(at).starts_with(|c: char| c.is_alphabetic() || c == '_');
        // `{self}` is the stem.
        if is_name && (text(at) != "self" || path.is_empty()) {
            path.push(text(at).to_owned());
        }
        if text(at + 1) != "::" || !is_name {
            break;
        }
        at += 2;
    }
    found.push((tokens.get(at).map_or(0, |token| token.line), path));
    at + 1
}

/// A word or sign of a source.
struct Token {
    text: String,
    line: usize,
}

/// Reads a file, without what is compiled only for tests.
fn source(file: &str, text: &str) -> Source {
    let parts = file.trim_end_matches(".rs").split('/').map(str::to_owned);
    let mut module: Module = parts.collect();
    if module.last().is_some_and(|name| name == "mod") || module == ["lib"] {
        module.pop();
    }
    let all = tokens(text);
    let (mut kept, mut tests, mut at) = (Vec::new(), Vec::new(), 0);
    while at < all.len() {
        let is_for_tests = ["#", "[", "cfg", "(", "test", ")", "]"].iter().enumerate().all(|(more, sign)| {
            let token = all.get(at + more);
            token.is_some_and(|token| token.text == *sign)
        });
        if !is_for_tests {
            kept.push(Token { text: all[at].text.clone(), line: all[at].line });
            at += 1;
            continue;
        }
        let end = item_end(&all, at + 7);
        let words: Vec<&str> = all[at + 7..end].iter().map(|token| token.text.as_str()).collect();
        if let [.., "mod", name, ";"] = words.as_slice() {
            tests.push(module.iter().cloned().chain([(*name).to_owned()]).collect());
        }
        at = end;
    }
    Source { file: file.to_owned(), module, tokens: kept, tests }
}

/// The token behind an item: its `;`, or the end of its first block.
fn item_end(tokens: &[Token], start: usize) -> usize {
    let mut depth = 0_usize;
    for (at, token) in tokens.iter().enumerate().skip(start) {
        match token.text.as_str() {
            "{" | "(" | "[" => depth += 1,
            "}" | ")" | "]" => {
                depth = depth.saturating_sub(1);
                if depth == 0 && token.text == "}" {
                    return at + 1;
                }
            }
            ";" if depth == 0 => return at + 1,
            _ => {}
        }
    }
    tokens.len()
}

/// The words and signs of a source, without remarks and texts.
fn tokens(text: &str) -> Vec<Token> {
    let mut found = Vec::new();
    let (mut rest, mut line) = (text, 1);
    while let Some(first) = rest.chars().next() {
        let length = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if rest.starts_with("/*") {
            remark(rest)
        } else if let Some(length) = literal(rest) {
            length
        } else if first.is_alphanumeric() || first == '_' {
            let length = rest.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(rest.len());
            found.push(Token { text: rest[..length].to_owned(), line });
            length
        } else {
            let length = if rest.starts_with("::") { 2 } else { first.len_utf8() };
            if !first.is_whitespace() {
                found.push(Token { text: rest[..length].to_owned(), line });
            }
            length
        };
        line += rest[..length].matches('\n').count();
        rest = &rest[length..];
    }
    found
}

/// The length of the remark that a text begins with; remarks can hold others.
fn remark(text: &str) -> usize {
    let (mut depth, mut at) = (0_usize, 0);
    while at < text.len() {
        let rest = &text.as_bytes()[at..];
        match rest {
            [b'/', b'*', ..] => (depth, at) = (depth + 1, at + 2),
            [b'*', b'/', ..] if depth == 1 => return at + 2,
            [b'*', b'/', ..] => (depth, at) = (depth - 1, at + 2),
            _ => at += 1,
        }
    }
    text.len()
}

/// The length of the text, character or lifetime that a source begins with.
fn literal(source: &str) -> Option<usize> {
    let inside = source.strip_prefix('b').unwrap_or(source);
    let shift = source.len() - inside.len();
    if let Some(raw) = inside.strip_prefix('r') {
        let signs = raw.len() - raw.trim_start_matches('#').len();
        if raw[signs..].starts_with('"') {
            let close = format!("\"{}", "#".repeat(signs));
            let body = shift + 1 + signs + 1;
            return Some(source[body..].find(&close).map_or(source.len(), |at| body + at + close.len()));
        }
        return None;
    }
    let quote = inside.chars().next().filter(|quote| ['"', '\''].contains(quote))?;
    let body = &inside[1..];
    // `'a` without a second mark is a lifetime.
    if quote == '\'' && !body.starts_with('\\') && body.chars().nth(1) != Some('\'') {
        return Some(shift + 1);
    }
    let mut is_escaped = false;
    for (at, c) in body.char_indices() {
        if c == quote && !is_escaped {
            return Some(shift + 1 + at + 1);
        }
        is_escaped = c == '\\' && !is_escaped;
    }
    Some(source.len())
}

/// The faults of a made-up house with the rooms `ground`, `middle` and `top`, where the named file has the
/// given text.
fn made_up(file: &str, text: &str) -> Vec<String> {
    let mut files: BTreeMap<String, String> = [
        "lib.rs",
        "ground.rs",
        "ground/a.rs",
        "ground/b.rs",
        "middle.rs",
        "middle/a.rs",
        "top.rs",
        "top/a.rs",
    ]
    .map(|file| (file.to_owned(), String::new()))
    .into();
    files.insert("lib.rs".to_owned(), "pub use crate::top::a::{Thing, Other as Renamed};".to_owned());
    files.insert("ground/b.rs".to_owned(), "use super::a::Small;".to_owned());
    files.insert(file.to_owned(), text.to_owned());
    faults(&["ground", "middle", "top"], &files.into_iter().collect::<Vec<_>>())
}

#[test]
fn an_arrow_that_is_turned_round_is_found_with_its_place() {
    let up = "the room `middle` knows `top::a`, but `top` stands above it";
    for (text, line) in [
        ("//! Words.\n\nuse crate::top::a::Thing;\n", 3),
        ("use crate::{ground,\n  top::{self, a::Thing as Other}};\n", 2),
        ("fn f() {\n    crate::top::a::f::<u8>();\n}\n", 2),
        ("use super::\n  super::top::a;\n", 2),
        ("fn f<'a>(_: &'a str, _: char) { f(\"\\\"\", '\"');\ncrate::top::a::g() }\n", 2),
        ("/* /* */ \" */\nuse crate::top::a;\n", 2),
        ("#[cfg(test)]\nmod tests { fn f() {} }\nuse crate::top::a;\n", 3),
        ("#[cfg(test)]\nuse crate::top::a;\nuse crate::top::a;\n", 3),
        ("use crate::Thing;\n", 1),
    ] {
        let found = made_up("middle/a.rs", text);
        assert!(found.contains(&format!("middle/a.rs:{line}: {up}")), "{text}: {found:?}");
    }
    assert_eq!(made_up("middle.rs", "use crate::top::Thing;").len(), 1);
}

#[test]
fn arrows_down_and_those_of_tests_are_no_fault() {
    for text in [
        "",
        "use crate::ground::a::{self, Thing};\nuse super::super::ground::b;\nuse crate::middle::a;\n",
        "/// See [`crate::top::a`].\n// crate::top::a\nconst T: &str = \"crate::top::a\";\nconst R: &str = r#\"\"crate::top::a\"#;\n",
        "#[cfg(test)]\nmod tests {\n    use crate::top::a::Thing;\n}\n",
        "pub(crate) fn f() {}\n",
    ] {
        assert_eq!(made_up("middle/a.rs", text), Vec::<String>::new(), "{text}");
    }
}

#[test]
fn tests_in_a_file_of_their_own_may_look_up() {
    let files = [
        ("ground.rs", "#[cfg(test)]\nmod tests;\n"),
        ("ground/tests.rs", "use crate::top::Thing;\n"),
        ("top.rs", ""),
    ];
    let mut files = files.map(|(file, text)| (file.to_owned(), text.to_owned()));
    assert_eq!(faults(&["ground", "top"], &files), Vec::<String>::new());
    files[0].1 = "mod tests;\n".to_owned();
    assert_eq!(
        faults(&["ground", "top"], &files),
        ["ground/tests.rs:1: the room `ground` knows `top`, but `top` stands above it"]
    );
}

#[test]
fn files_of_a_room_that_know_each_other_are_found() {
    let found = made_up("ground/a.rs", "\nuse crate::ground::b::Thing;\n");
    let want = [
        "ground/a.rs:2: `ground::a` and `ground::b` know each other",
        "ground/b.rs:1: `ground::b` and `ground::a` know each other",
    ];
    assert_eq!(found, want);
}

#[test]
fn a_file_without_a_room_and_a_room_without_a_file_are_found() {
    assert_eq!(made_up("attic.rs", ""), ["attic.rs:1: belongs to no room"]);
    assert_eq!(
        made_up("middle/a.rs", "use crate::attic::Thing;"),
        ["middle/a.rs:1: `crate::attic::Thing` is in no room"]
    );
    assert_eq!(faults(&["ground"], &[]), ["no file belongs to the room `ground`"]);
}
