//! What changed since an earlier book, as a page of the book.

use std::fmt::Write as _;

use reckoner_page::text::escaped;

use super::{Comparison, PLACES, PageChanges, RuleChange, count, place, readings};
use crate::edition::changes::Change as Logged;

/// The file of the page.
pub const FILE: &str = "what-changed.md";

/// The page: each rule that changed with the reason in the log, then what is printed otherwise, page by page, and
/// the figures behind.
///
/// - `since`: the earlier book, as a title names it
/// - `log`: what was changed in the rules, and why
pub fn page(comparison: &Comparison, since: &str, log: &[Logged]) -> String {
    let mut out = format!("# {}\n\n", escaped(&title(comparison, since)));
    // Writing to a string can not fail.
    let printed = format!(
        "{} on {}",
        count(comparison.pages.iter().map(places).sum(), PLACES),
        count(comparison.pages.len(), ["page", "pages"])
    );
    if comparison.is_of_ledgers {
        let _ = writeln!(
            out,
            "{} changed since then. Only what was printed with a figure is known of the earlier book: its rules and \
             its other words are not.",
            capital(&printed)
        );
    } else {
        let rules = capital(&count(comparison.rules.len(), ["rule", "rules"]));
        let _ = writeln!(out, "{rules} changed since then, and {printed} say something else.");
    }
    if !comparison.rules.is_empty() {
        out.push_str("\n## The rules\n\n| rule | then | now | why |\n| --- | --- | --- | --- |\n");
    }
    for rule in &comparison.rules {
        let RuleChange { id, title, from, to } = rule;
        let why: Vec<_> = log.iter().filter(|logged| logged.rule == *id).map(told).collect();
        let why = if why.is_empty() { "The log does not say.".to_owned() } else { why.join("<br>") };
        let said = |text: &Option<String>| text.as_deref().map_or_else(|| "–".to_owned(), escaped);
        // Where the value is the same, its words or what it rests on differ.
        let now = if from == to { "the same, in other words".to_owned() } else { said(to) };
        let _ = writeln!(out, "| {}<br>`{id}` | {} | {now} | {why} |", escaped(title), said(from));
    }
    if !comparison.pages.is_empty() {
        out.push_str("\n## The pages\n");
    }
    for changed in &comparison.pages {
        let PageChanges { title, changes, redrawn, .. } = changed;
        let number = count(places(changed), PLACES);
        let _ = writeln!(out, "\n<details><summary>{}: {number}</summary>\n", escaped(title));
        // A ledger does not know where on a page a sentence stands.
        let knows_where = !comparison.is_of_ledgers;
        if !changes.is_empty() {
            let head = if knows_where { "| where | then | now |\n| --- " } else { "| then | now |\n" };
            let _ = writeln!(out, "{head}| --- | --- |");
        }
        for change in changes {
            let cell = |text: &Option<String>| text.as_deref().map_or_else(|| "–".to_owned(), escaped);
            let (from, to) = (cell(&change.from), cell(&change.to));
            let under =
                if knows_where { format!("| {} ", escaped(&place(&change.under))) } else { String::new() };
            let _ = writeln!(out, "{under}| {from} | {to} |");
        }
        for drawing in redrawn {
            let _ = writeln!(out, "\nThe lines of the drawing differ: {}", escaped(drawing));
        }
        out.push_str("\n</details>\n");
    }
    if !comparison.moved.is_empty() {
        out.push_str("\n## The figures\n\n| figure | then | now |\n| --- | --- | --- |\n");
    }
    for moved in &comparison.moved {
        let [title, from, to] = [&moved.title, &moved.from, &moved.to].map(|text| escaped(text));
        let _ = writeln!(out, "| {title}<br>`{}` | {from} | {to} |", moved.id);
    }
    for (word, entries) in [("New", &comparison.added), ("Gone", &comparison.removed)] {
        for entry in entries {
            let _ = writeln!(out, "\n{word}: {}, {}", escaped(&entry.title), escaped(&readings(entry)));
        }
    }
    out
}

/// What the page is called: where on a disk a ledger lies tells a reader nothing.
pub fn title(comparison: &Comparison, since: &str) -> String {
    let named = if comparison.is_of_ledgers { "the edition before" } else { since };
    format!("What changed since {named}")
}

fn places(page: &PageChanges) -> usize {
    page.changes.len() + page.redrawn.len()
}

fn told(logged: &Logged) -> String {
    format!("{}: {}", logged.date, escaped(&logged.why))
}

/// A number at the beginning of a sentence: no rule is "No rule".
fn capital(count: &str) -> String {
    count.strip_prefix("0 ").map_or_else(|| count.to_owned(), |what| format!("No {what}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::command::compare::difference::Change;
    use reckoner_calc::formulas::calendar::Date;

    #[test]
    fn each_rule_has_its_reason_and_what_it_moved() {
        let text = |text: &str| Some(text.to_owned());
        let rule =
            |id: &str, from, to| RuleChange { id: id.to_owned(), title: "A <rule>".to_owned(), from, to };
        let change = Change {
            under: vec!["Bands".to_owned()],
            from: text("It is 4."),
            to: text("It is 5."),
            figures: Vec::new(),
        };
        let comparison = Comparison {
            rules: vec![
                rule("a.moved", text("4 L"), text("5 L")),
                rule("a.new", None, text("1 L")),
                rule("a.gone", text("1 L"), None),
                rule("a.worded", text("1 L"), text("1 L")),
            ],
            pages: vec![PageChanges {
                page: "flow.md".to_owned(),
                title: "Flow".to_owned(),
                changes: vec![change],
                redrawn: vec!["A tank".to_owned()],
            }],
            ..Comparison::default()
        };
        let logged = |rule: &str, why: &str| Logged {
            date: Date::parse("2026-03-01").unwrap(),
            rule: rule.to_owned(),
            why: why.to_owned(),
        };
        let log = [logged("a.moved", "It was *too* low."), logged("a.other", "Not of this.")];
        let page = page(&comparison, "v1", &log);
        let want = "# What changed since v1\n\n4 rules changed since then, and 2 places on 1 page say something else.\n\n## The rules\n\n\
                    | rule | then | now | why |\n| --- | --- | --- | --- |\n\
                    | A &#60;rule&#62;<br>`a.moved` | 4 L | 5 L | 2026-03-01: It was &#42;too&#42; low. |\n\
                    | A &#60;rule&#62;<br>`a.new` | – | 1 L | The log does not say. |\n\
                    | A &#60;rule&#62;<br>`a.gone` | 1 L | – | The log does not say. |\n\
                    | A &#60;rule&#62;<br>`a.worded` | 1 L | the same, in other words | The log does not say. |\n\n## The pages\n\n\
                    <details><summary>Flow: 2 places</summary>\n\n| where | then | now |\n| --- | --- | --- |\n| Bands | It is 4. | It is 5. |\n\n\
                    The lines of the drawing differ: A tank\n\n</details>\n";
        assert_eq!(page, want);
    }

    #[test]
    fn of_a_ledger_only_what_it_knows_is_told() {
        let text = |text: &str| Some(text.to_owned());
        let change =
            Change { under: Vec::new(), from: text("It is 4."), to: text("It is 5."), figures: Vec::new() };
        let changed = PageChanges {
            page: "flow.md".to_owned(),
            title: "flow.md".to_owned(),
            changes: vec![change],
            redrawn: Vec::new(),
        };
        let comparison = Comparison { pages: vec![changed], is_of_ledgers: true, ..Comparison::default() };
        let page = page(&comparison, "../old/ledger.json", &[]);
        let want = "# What changed since the edition before\n\n1 place on 1 page changed since then. Only what was printed with a figure \
                    is known of the earlier book: its rules and its other words are not.\n\n## The pages\n\n\
                    <details><summary>flow.md: 1 place</summary>\n\n| then | now |\n| --- | --- |\n| It is 4. | It is 5. |\n\n</details>\n";
        assert_eq!(page, want);
    }

    #[test]
    fn where_nothing_changed_it_says_so() {
        let page = page(&Comparison::default(), "v1", &[]);
        assert!(
            page.ends_with("No rules changed since then, and 0 places on 0 pages say something else.\n"),
            "{page}"
        );
    }
}
