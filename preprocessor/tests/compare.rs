//! `reckoner compare`: what it says moved is what moved on the pages.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

mod common;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use common::{built, copied_book, reckoner, repository, stderr, text};

/// A rule file with one value replaced, in a folder of its own.
fn changed_rules(book: &Path, file: &str, from: &str, to: &str) -> PathBuf {
    let original = fs::read_to_string(repository().join("calc/rules").join(file)).unwrap();
    let changed = original.replacen(from, to, 1);
    assert_ne!(original, changed, "{from:?} is not in {file}");
    let folder = book.join("our-rules");
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join(file), changed).unwrap();
    folder
}

/// Every figure of a site: its id, and what is printed.
fn figures(site: &BTreeMap<PathBuf, Vec<u8>>) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    for (path, _) in
        site.iter().filter(|(path, _)| path.extension().is_some_and(|extension| extension == "html"))
    {
        // The print page repeats the others; the ledger page is made from what is compared.
        if ["print.html", "ledger.html"].contains(&path.to_str().unwrap()) {
            continue;
        }
        let page = text(site, path.to_str().unwrap());
        for part in page.split("data-figure=\"").skip(1) {
            let id = part.split('"').next().unwrap();
            let printed = part.split("</data>").next().unwrap().split_once('>').unwrap().1;
            found.insert(id.to_owned(), printed.to_owned());
        }
    }
    found
}

#[test]
fn the_list_of_what_moved_is_the_difference_of_the_pages() {
    let book = copied_book();
    let before = built(book.path(), &[]);
    fs::copy(book.path().join("book/ledger.json"), book.path().join("old.json")).unwrap();
    changed_rules(book.path(), "livestock.toml", "low = \"20 per hour\"", "low = \"23 per hour\"");
    let after = built(book.path(), &["--rules", "our-rules"]);
    let (before, after) = (figures(&before), figures(&after));
    let really: BTreeSet<_> = after
        .iter()
        .filter(|(id, printed)| before.get(*id).is_some_and(|old| old != *printed))
        .map(|(id, _)| id.as_str())
        .collect();
    assert!(really.len() > 10, "{really:?}");

    let output = reckoner(book.path(), &["compare", "old.json", "--book", ".", "--rules", "our-rules"]);
    assert!(output.status.success(), "{}", stderr(&output));
    let said = String::from_utf8(output.stdout).unwrap();
    let listed: BTreeSet<_> = said
        .lines()
        .filter(|line| !line.starts_with(' ') && line.contains(" ("))
        .map(|line| line.split(" (").next().unwrap())
        .collect();
    assert_eq!(listed, really);
    assert!(said.contains("20 to 40 times an hour -> 23 to 40 times an hour"), "{said}");
    let end = "; a ledger knows only figures: name a git revision or a folder of rules to see every word\n";
    assert!(
        said.ends_with(&format!(": {} figures moved, 0 new, 0 gone, 0 checks failing{end}", really.len())),
        "{said}"
    );
    // Each with the sentences in which it stands.
    let band = "The band for small-polyp stony corals is {} to 40 times an hour";
    let [was, is] = ["20", "23"].map(|low| band.replace("{}", low));
    let line = |sign: &str, sentence: &str| {
        said.lines().any(|line| line.starts_with(sign) && line.contains(sentence))
    };
    assert!(line("    - ", &was) && line("    + ", &is), "{said}");

    let output =
        reckoner(book.path(), &["compare", "old.json", "--book", ".", "--rules", "our-rules", "--markdown"]);
    let markdown = String::from_utf8(output.stdout).unwrap();
    assert!(markdown.contains("| `turnover.later` "), "{markdown}");
}

/// A git repository in which the book and the rules of this project are committed.
struct Checkout(tempfile::TempDir);

impl Checkout {
    fn new() -> Self {
        let checkout = Checkout(tempfile::tempdir().unwrap());
        let [book, rules] = ["book", "calc/rules"].map(|path| checkout.0.path().join(path));
        fs::create_dir_all(&book).unwrap();
        common::copy_book_to(&book);
        common::copy(&repository().join("calc/rules"), &rules);
        checkout.git(&["init", "-q"]);
        checkout.git(&["add", "."]);
        checkout.git(&["commit", "-q", "-m", "The book"]);
        checkout
    }

    fn git(&self, arguments: &[&str]) -> String {
        let identity = [
            "-c",
            "user.name=Test",
            "-c",
            "user.email=test@invalid",
            "-c",
            "init.defaultBranch=main",
            "-c",
            "commit.gpgsign=false",
        ];
        let done =
            Command::new("git").args(identity).args(arguments).current_dir(self.0.path()).output().unwrap();
        assert!(done.status.success(), "{}", stderr(&done));
        String::from_utf8(done.stdout).unwrap()
    }

    fn edit(&self, file: &str, from: &str, to: &str) {
        let file = self.0.path().join(file);
        let text = fs::read_to_string(&file).unwrap();
        assert!(text.contains(from), "{from:?} is not in {file:?}");
        fs::write(&file, text.replacen(from, to, 1)).unwrap();
    }

    /// Commits the book as it is but for one file, which then is again as before. Gives its text.
    fn commit_with(&self, file: &str, change: impl FnOnce(&str) -> String) -> String {
        let file = self.0.path().join(file);
        let today = fs::read_to_string(&file).unwrap();
        fs::write(&file, change(&today)).unwrap();
        self.git(&["commit", "-qam", "Before"]);
        fs::write(&file, &today).unwrap();
        today
    }

    /// What `compare` says of a revision: its code, its result and its messages.
    fn compare(&self, revision: &str) -> (Option<i32>, String, String) {
        let output = reckoner(self.0.path(), &["compare", revision]);
        (output.status.code(), String::from_utf8(output.stdout.clone()).unwrap(), stderr(&output))
    }
}

const NOTHING: &str = "0 places on 0 pages differ: 0 figures moved, 0 new, 0 gone, 0 checks failing\n";

#[test]
fn nothing_moves_against_the_same_revision_and_a_change_does() {
    let checkout = Checkout::new();
    let (code, said, error) = checkout.compare("HEAD");
    assert_eq!((code, said.as_str()), (Some(0), NOTHING), "{error}");

    checkout.edit("book/tanks/first_reef.toml", "length = \"90 cm\"", "length = \"100 cm\"");
    checkout.edit(
        "book/src/ledger.md",
        "a merchant writes every sum",
        "a shop with 3 doors writes every sum",
    );
    let (_, said, _) = checkout.compare("HEAD");
    assert!(said.contains("90 cm (35.4 in) -> 100 cm (39.4 in)"), "{said}");
    // A sheet for paper is told beside the chapters.
    let plan = said.split("\nhandouts/plan.md\n").nth(1).unwrap_or_else(|| panic!("{said}"));
    assert!(plan.contains("- 90\u{a0}cm (35.4\u{a0}in)") || plan.contains("- 90 cm (35.4 in)"), "{plan}");
    // A build refuses the digit; a comparison tells it, since an old text may hold what was allowed then.
    let [was, is] = ["a merchant", "a shop with 3 doors"]
        .map(|who| format!("A ledger is the book in which {who} writes every sum."));
    assert!(said.contains(&format!("    - {was}\n    + {is}\n")), "{said}");
    // The repository's own index is as it was.
    assert_eq!(
        checkout.git(&["status", "--porcelain"]),
        " M book/src/ledger.md\n M book/tanks/first_reef.toml\n"
    );

    for wrong in ["no-such-thing", "--all", "HEAD:no-such-file"] {
        let output = reckoner(checkout.0.path(), &["compare", "--", wrong]);
        assert_eq!(output.status.code(), Some(2), "{wrong}");
        let error = stderr(&output);
        assert!(
            error.contains("name a ledger.json, a folder of rules, or a git revision such as HEAD"),
            "{error}"
        );
    }
}

/// The rules of the working tree and those of the revision are read where they stand: nothing is compiled
/// again.
#[test]
fn a_rule_that_was_edited_added_or_removed_is_told_without_a_compiler() {
    let checkout = Checkout::new();
    let evenings = "\n[our_evenings]\ntitle = \"Evenings on which we meet\"\nvalue = \"3\"\nbasis = \"invented\"\nused_by = \"pages\"\n";
    let upkeep = checkout.0.path().join("calc/rules/upkeep.toml");
    let plain = fs::read_to_string(&upkeep).unwrap();
    fs::write(&upkeep, plain.clone() + evenings).unwrap();
    checkout.edit("calc/rules/livestock.toml", "high = \"20 per hour\"", "high = \"25 per hour\"");
    let (code, said, error) = checkout.compare("HEAD");
    assert_eq!(code, Some(0), "{error}");
    assert!(
        said.starts_with("rules that differ: turnover.soft\nrules that are new: upkeep.our_evenings\n"),
        "{said}"
    );
    assert!(said.contains("    + Evenings on which we meet\n"), "{said}");
    // The cells and the drawing of a day change where no sentence does.
    let day = said.split("a-days-programme.md\n").nth(1).unwrap();
    assert!(day.contains("  The day of the pumps in First Reef > left > Setting\n"), "{said}");
    assert!(said.contains("    the lines of the drawing differ\n"), "{said}");

    checkout.git(&["commit", "-qam", "Other rules"]);
    fs::write(&upkeep, plain).unwrap();
    let (code, said, error) = checkout.compare("HEAD");
    assert_eq!(code, Some(0), "{error}");
    assert!(said.starts_with("rules that are gone: upkeep.our_evenings\n"), "{said}");
    assert!(said.contains("    - Evenings on which we meet\n") && !said.contains("turnover.soft"), "{said}");
}

/// A revision from before this program asked for a rule: it gets today's, which is told as new.
#[test]
fn a_revision_that_lacks_a_rule_of_today_is_filled_up() {
    let checkout = Checkout::new();
    checkout.commit_with("calc/rules/turnover.toml", |today| {
        let from = today.find("[smallest_tank]").unwrap();
        let to = from + today[from..].find("\n[").unwrap() + 1;
        today[..from].to_owned() + &today[to..]
    });
    let (code, said, error) = checkout.compare("HEAD");
    assert_eq!(code, Some(0), "{error}");
    assert!(said.starts_with("rules that are new: turnover.smallest_tank\nrules.md\n"), "{said}");
    assert!(said.contains("    + Smallest tank a beginner should start with\n"), "{said}");
    assert!(said.ends_with(": 0 figures moved, 0 new, 0 gone, 0 checks failing\n"), "{said}");
    // The lists have a new row; no chapter says anything else.
    let pages: Vec<_> = said.lines().filter(|line| line.ends_with(".md")).collect();
    assert_eq!(pages, ["rules.md", "ledger.md"], "{said}");
    // What the other folder of rules lacks is told too, without git.
    let folder = checkout.0.path().join("club");
    fs::create_dir(&folder).unwrap();
    let kinds = fs::read_to_string(checkout.0.path().join("calc/rules/livestock.toml")).unwrap();
    fs::write(
        folder.join("livestock.toml"),
        kinds.replacen("high = \"20 per hour\"", "high = \"25 per hour\"", 1),
    )
    .unwrap();
    let output = reckoner(checkout.0.path(), &["compare", "calc/rules", "--rules", "club"]);
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(said.starts_with("rules that differ: turnover.soft\n"), "{said}{}", stderr(&output));
}

/// A revision in whose rules a kind of livestock was not yet one table: its rules stood in the files of their
/// topics.
#[test]
fn a_revision_whose_kinds_stood_in_the_files_of_their_topics_is_read() {
    let checkout = Checkout::new();
    let folder = checkout.0.path().join("calc/rules");
    let kinds = fs::read_to_string(folder.join("livestock.toml")).unwrap();
    let today: BTreeMap<_, _> = ["turnover.toml", "speeds.toml", "oxygen.toml"]
        .map(|file| (file, fs::read_to_string(folder.join(file)).unwrap()))
        .into();
    let mut before = today.clone();
    for table in kinds.split("\n[").filter(|table| table.contains("basis")) {
        let (name, text) = table.split_once("]\n").unwrap();
        let (kind, topic) = name.split_once('.').unwrap();
        let prefix = if topic == "oxygen" { "reef_" } else { "" };
        let file = before.get_mut(format!("{topic}.toml").as_str()).unwrap();
        file.push_str(&format!(
            "\n[{prefix}{kind}]\n{}",
            text.replace("high = \"20 per hour\"", "high = \"21 per hour\"")
        ));
    }
    before.iter().for_each(|(file, text)| fs::write(folder.join(file), text).unwrap());
    fs::remove_file(folder.join("livestock.toml")).unwrap();
    checkout.git(&["add", "-A"]);
    checkout.git(&["commit", "-qm", "Kinds in the files of their topics"]);
    today.iter().for_each(|(file, text)| fs::write(folder.join(file), text).unwrap());
    fs::write(folder.join("livestock.toml"), kinds).unwrap();
    let (code, said, error) = checkout.compare("HEAD");
    assert_eq!(code, Some(0), "{error}");
    assert!(said.starts_with("rules that differ: turnover.soft, turnover.large_polyp\n"), "{said}");
    assert!(!said.contains("rules that are new") && !said.contains("rules that are gone"), "{said}");
}

/// A revision whose words were of another form gets today's; what else is wrong with it is told as of then.
#[test]
fn a_revision_with_words_of_another_form_is_read_and_one_that_is_broken_is_named() {
    let checkout = Checkout::new();
    checkout.commit_with("calc/rules/words/weir.toml", |today| {
        format!("once_said = \"a phrase that nobody says any more\"\n{today}")
    });
    let (code, said, error) = checkout.compare("HEAD");
    assert_eq!((code, said.as_str()), (Some(0), NOTHING), "{error}");
    assert!(error.contains("Words of HEAD are in a form that this program does not read"), "{error}");

    let chapter =
        checkout.commit_with("book/src/feeding.md", |today| format!("{today}\nOf {{= no.such_figure =}}.\n"));
    let (code, said, error) = checkout.compare("HEAD");
    let line = chapter.lines().count() + 2;
    assert_eq!((code, said.as_str()), (Some(2), ""), "{error}");
    assert!(error.contains(&format!("HEAD:book/src/feeding.md:{line}:")), "{error}");
    assert!(error.contains("the book of `HEAD` can not be built by this program"), "{error}");
}

/// Rules of a club's own stand against those that the book had.
#[test]
fn rules_that_the_command_names_are_those_of_today_only() {
    let checkout = Checkout::new();
    changed_rules(
        &checkout.0.path().join("book"),
        "livestock.toml",
        "high = \"20 per hour\"",
        "high = \"25 per hour\"",
    );
    let output = reckoner(checkout.0.path(), &["compare", "HEAD", "--rules", "book/our-rules"]);
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(said.starts_with("rules that differ: turnover.soft\n"), "{said}{}", stderr(&output));
    // The same when the revision has that folder.
    checkout.git(&["add", "."]);
    checkout.git(&["commit", "-qm", "Our rules"]);
    let output = reckoner(checkout.0.path(), &["compare", "HEAD", "--rules", "book/our-rules"]);
    assert_eq!(String::from_utf8_lossy(&output.stdout), NOTHING, "{}", stderr(&output));
}

/// Without being asked for there is no such page; with the rules of an earlier book it names each rule, from what
/// to what and why, and the sentences that followed it.
#[test]
fn a_page_tells_each_rule_that_changed_with_its_reason() {
    let book = copied_book();
    changed_rules(book.path(), "livestock.toml", "high = \"20 per hour\"", "high = \"17 per hour\"");
    let log = "[[change]]\ndate = \"2026-03-01\"\nrule = \"turnover.soft\"\nwhy = \"Our <members> found *more*.\"\n";
    let now = book.path().join("now");
    fs::create_dir(&now).unwrap();
    fs::write(now.join("changes.toml"), log).unwrap();
    let plain = built(book.path(), &[]);
    assert!(!plain.contains_key(Path::new("what-changed.html")));
    let site = built(book.path(), &["--rules", "now", "--since", "our-rules"]);
    let page = text(&site, "what-changed.html");
    let row = page.split("<code>turnover.soft</code>").nth(1).unwrap().split("</tr>").next().unwrap();
    for part in
        ["to 17 times an hour", "to 20 times an hour", "2026-03-01: Our &lt;members&gt; found *more*."]
    {
        assert!(row.contains(part), "{part}: {row}");
    }
    // The same places as `compare` tells.
    let output = reckoner(book.path(), &["compare", "our-rules", "--book", ".", "--rules", "now"]);
    let said = String::from_utf8(output.stdout).unwrap();
    let summary = said.lines().last().unwrap();
    let places = summary.split(" differ").next().unwrap();
    let told = format!("1 rule changed since then, and {places} say something else.");
    assert!(page.contains(&told), "{told}: {page}");
    let sentence = said.lines().find_map(|line| line.strip_prefix("    + ")).unwrap();
    assert!(
        page.contains(&sentence.replace('"', "&quot;").replace('\'', "&#39;")) || page.contains(sentence),
        "{sentence}"
    );
}

#[test]
fn a_log_that_names_no_rule_stops_the_build_at_its_place() {
    let book = copied_book();
    let folder =
        changed_rules(book.path(), "livestock.toml", "high = \"20 per hour\"", "high = \"17 per hour\"");
    let log = "[[change]]\ndate = \"2026-03-01\"\nrule = \"turnover.sotf\"\nwhy = \"A slip.\"\n";
    fs::write(folder.join("changes.toml"), log).unwrap();
    let output = reckoner(book.path(), &["build", "--book", ".", "--rules", "our-rules"]);
    assert_eq!(output.status.code(), Some(2));
    let said = stderr(&output);
    assert!(said.contains("there is no rule `turnover.sotf`\n --> our-rules/changes.toml:3:8"), "{said}");
    assert!(said.contains("did you mean `turnover.soft`"), "{said}");
}

#[test]
fn a_page_tells_what_changed_since_a_revision() {
    let checkout = Checkout::new();
    let output = reckoner(checkout.0.path(), &["build", "--since", "HEAD"]);
    assert!(output.status.success(), "{}", stderr(&output));
    let page = fs::read_to_string(checkout.0.path().join("book/book/what-changed.html")).unwrap();
    assert!(
        page.contains("What changed since HEAD") && page.contains("No rules changed since then"),
        "{page}"
    );
}

#[test]
fn a_constant_that_is_one_per_cent_off_stops_the_build_and_names_the_check() {
    let book = copied_book();
    changed_rules(book.path(), "seawater.toml", "999.842594", "1009.84");
    let output = reckoner(book.path(), &["build", "--book", ".", "--rules", "our-rules"]);
    assert_eq!(output.status.code(), Some(1));
    let message = stderr(&output);
    assert!(message.contains("seawater.density for") && message.contains("is published"), "{message}");
    assert!(!book.path().join("book").exists());
    // The comparison shows it in place of stopping.
    let fine = built(book.path(), &[]);
    fs::write(book.path().join("old.json"), &fine[Path::new("ledger.json")]).unwrap();
    let output = reckoner(book.path(), &["compare", "old.json", "--book", ".", "--rules", "our-rules"]);
    assert!(String::from_utf8_lossy(&output.stdout).contains("check fails in "), "{}", stderr(&output));
}

#[test]
fn the_ledger_keeps_to_its_published_schema() {
    let book = copied_book();
    let site = built(book.path(), &[]);
    let ledger: serde_json::Value = serde_json::from_slice(&site[Path::new("ledger.json")]).unwrap();
    let schema: serde_json::Value = serde_json::from_slice(&site[Path::new("ledger.schema.json")]).unwrap();
    assert_eq!(common::faults(&ledger, &schema), Vec::<String>::new());
    // Beside it stands that of tank files, with what this edition of the rules assumes.
    let rules = reckoner_calc::Rules::compiled_in().unwrap();
    assert_eq!(common::text(&site, "tank.schema.json"), reckoner_page::tank_file::schema(&rules));
    for figure in ledger["figures"].as_array().unwrap() {
        assert!(!figure["places"].as_array().unwrap().is_empty(), "{figure}");
        assert!(figure["low"].as_f64().unwrap() <= figure["high"].as_f64().unwrap(), "{figure}");
    }
}
