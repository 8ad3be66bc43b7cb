//! `reckoner rule`: rules as the book has them, to be changed in a folder of one's own.

use std::path::Path;

use reckoner_calc::rules::COMPILED_IN;

use crate::command::print;
use crate::diagnostic::{Diagnostic, Diagnostics, did_you_mean};
use crate::edition::difference::said;
use crate::edition::{Settings, load_rules};

/// The file that holds all rules of the kinds of livestock, and is sorted by them.
const LIVESTOCK: &str = "livestock.toml";

/// Prints the rules with these ids: the name of the file, and the table in it.
///
/// # Errors
/// An id that no rule has.
pub fn run(ids: &[String]) -> Result<(), Diagnostics> {
    let rules = load_rules(Path::new(""), &Settings::default())?;
    let (mut text, mut wrong) = (String::new(), Diagnostics::default());
    for id in ids {
        let Some((rule, (file, table))) = rules.rule(id).zip(written(id)) else {
            let near = did_you_mean(id, rules.all.iter().map(|rule| rule.id.as_str()));
            let list = || "the page \"The rules\" of the book has them all".to_owned();
            wrong
                .0
                .push(Diagnostic::plain(format!("there is no rule `{id}`")).hint(near.unwrap_or_else(list)));
            continue;
        };
        let blank = if text.is_empty() { "" } else { "\n" };
        text.push_str(&format!("{blank}# {file}\n{table}instead_of = \"{}\"\n", said(rule)));
    }
    wrong.or(())?;
    print(&text)
}

/// The file of a rule, and its table as it stands there.
fn written(id: &str) -> Option<(&'static str, String)> {
    let (topic, name) = id.split_once('.')?;
    let table = |file: &str, head: String| {
        let (file, text) = COMPILED_IN.iter().find(|(known, _)| *known == file)?;
        let mut lines = text.lines().skip_while(|line| *line != head);
        let first = lines.next()?;
        let rest = lines.take_while(|line| !line.starts_with('[') && !line.starts_with('#'));
        let table: Vec<_> = std::iter::once(first).chain(rest).collect();
        Some((*file, table.join("\n").trim_end().to_owned() + "\n"))
    };
    // A rule of a kind bears its name, such as `turnover.soft` or `oxygen.reef_soft`.
    let of_kind = || {
        let (_, text) = COMPILED_IN.iter().find(|(known, _)| *known == LIVESTOCK)?;
        let kind = |line: &'static str| line.strip_prefix('[')?.strip_suffix(']')?.split_once('.');
        let kinds = text.lines().filter_map(kind).filter(|(_, of)| *of == topic).map(|(kind, _)| kind);
        let kind = kinds.filter(|kind| name.ends_with(kind)).max_by_key(|kind| kind.len())?;
        table(LIVESTOCK, format!("[{kind}.{topic}]"))
    };
    table(&format!("{topic}.toml"), format!("[{name}]")).or_else(of_kind)
}
