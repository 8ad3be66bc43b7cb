//! A club's own edition: begun by `reckoner new club`, and built by the program without the sources of the book.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

mod common;

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use common::{files, reckoner, repository, stderr, text};
use mdbook_reckoner::edition::colour::{DARK, LIGHT};
use tempfile::TempDir;

/// A folder with the edition of a club in `our-club`, as the program begins it.
fn begun() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let output = reckoner(folder.path(), &["new", "club", "our-club"]);
    assert!(output.status.success(), "{}", stderr(&output));
    folder
}

fn write(folder: &TempDir, name: &str, text: &str) {
    let file = folder.path().join("our-club").join(name);
    fs::create_dir_all(file.parent().unwrap()).unwrap();
    fs::write(file, text).unwrap();
}

/// Takes away the # before the lines of the example that are no remarks.
fn use_example(folder: &TempDir, name: &str) {
    let file = folder.path().join("our-club").join(name);
    let example = fs::read_to_string(&file).unwrap();
    let line = |line: &str| match line.strip_prefix('#') {
        Some(rest) if !rest.is_empty() && !rest.starts_with(' ') => rest.to_owned(),
        _ => line.to_owned(),
    };
    let used = example.lines().map(|text| line(text) + "\n").collect::<String>();
    assert_ne!(used, example, "{name} has no example");
    fs::write(file, used).unwrap();
}

/// The site, and what was said.
fn built(folder: &TempDir, arguments: &[&str]) -> (BTreeMap<PathBuf, Vec<u8>>, String) {
    let output = reckoner(folder.path(), &[&["build", "--club", "our-club"], arguments].concat());
    assert!(output.status.success(), "{}", stderr(&output));
    (files(&folder.path().join("our-club/site")), stderr(&output))
}

/// A page with plain blanks.
fn plain(site: &BTreeMap<PathBuf, Vec<u8>>, page: &str) -> String {
    text(site, page).replace('\u{a0}', " ")
}

/// What is said of an edition that can not be built.
fn refused(folder: &TempDir) -> String {
    let output = reckoner(folder.path(), &["build", "--club", "our-club"]);
    assert_eq!(output.status.code(), Some(2), "{}", stderr(&output));
    assert!(!folder.path().join("our-club/site").exists());
    stderr(&output)
}

#[test]
fn what_is_begun_is_built_with_the_one_command_of_its_readme() {
    let folder = begun();
    let club = folder.path().join("our-club");
    let readme = fs::read_to_string(club.join("README.md")).unwrap();
    assert!(readme.contains("```console\nreckoner build\n```"), "{readme}");
    let output = reckoner(&club, &["build"]);
    assert!(output.status.success(), "{}", stderr(&output));
    assert!(!stderr(&output).contains("note:"), "{}", stderr(&output));
    let site = files(&club.join("site"));
    // As many pages as the book has, and one of the club's own, which comes last; and the sheets for paper.
    let pages = |name: &Path| {
        name.extension().is_some_and(|extension| extension == "html") && !name.starts_with("sheets")
    };
    assert!(site.contains_key(Path::new("sheets/sitter.html")));
    let summary = fs::read_to_string(repository().join("book/src/SUMMARY.md")).unwrap();
    let chapters = summary.matches(".md)").count();
    let beside = ["index.html", "print.html", "404.html", "toc.html"];
    let told = site.keys().filter(|name| pages(name) && !beside.contains(&name.to_str().unwrap())).count();
    assert_eq!(told, chapters + 1);
    assert!(text(&site, "pages/about-us.html").contains("Our Reef Club hands it out."));
    let contents = text(&site, "toc.html");
    let at = |what: &str| contents.find(what).unwrap_or_else(|| panic!("no {what}"));
    assert!(
        at("typed-numbers.html") < at("From your club") && at("From your club") < at("pages/about-us.html")
    );
    assert!(text(&site, "introduction.html").contains("This copy comes from Our Reef Club."));
    // The tank is the club's, and the folder is left alone otherwise.
    let tank = fs::read_to_string(club.join("tanks/our_tank.toml")).unwrap();
    let name = tank.lines().find_map(|line| line.strip_prefix("name = \"")).unwrap().trim_end_matches('"');
    assert!(text(&site, "introduction.html").contains(name), "{name}");
    assert!(!club.join("src").exists() && !club.join("book.toml").exists());
    // A folder with something in it is not written into.
    let again = reckoner(folder.path(), &["new", "club", "our-club"]);
    assert_eq!(again.status.code(), Some(2));
    assert!(stderr(&again).contains("`our-club` holds files already"), "{}", stderr(&again));
    // Where neither a book nor a club is, that is said.
    let nowhere = reckoner(folder.path(), &["build", "--club", "."]);
    assert!(
        stderr(&nowhere).contains("is no folder of a club: it has no reckoner.toml"),
        "{}",
        stderr(&nowhere)
    );
}

#[test]
fn every_key_of_the_example_does_what_its_remark_says() {
    let folder = begun();
    use_example(&folder, "club.toml");
    let (site, _) = built(&folder, &[]);
    let first = text(&site, "introduction.html");
    assert!(first.contains("Every first Friday, in the hall behind the library."));
    assert!(first.contains("<li>Questions about pumps: +00 000 0000, pumps@reef.example</li>"), "contacts");
    for page in ["introduction.html", "power-cuts.html", "pages/about-us.html"] {
        let page = text(&site, page);
        assert!(page.contains("<html data-units-first=\"metric\" "));
        assert!(page.contains("html.light,html.rust{--links:#5b2a86;--accent:#5b2a86"));
        assert!(
            page.contains("html.coal,html.navy,html.ayu{--links:#d9b8f5") && page.contains("@page{size:a4}")
        );
    }
    // Four chapters, what stands before the first, and the proof; numbered in one row.
    let numbers: Vec<_> = ["measure-your-tank", "from-volume-to-flow", "hanging-pumps", "power-cuts"].into();
    for (at, chapter) in numbers.iter().enumerate() {
        let contents = text(&site, "toc.html");
        let link = contents.split(&format!("href=\"{chapter}.html\"")).nth(1).unwrap();
        assert!(link[..80].contains(&format!(">{}.</strong>", at + 1)), "{}", &link[..80]);
    }
    for (page, is_there) in
        [("floor.html", false), ("safety.html", true), ("rules.html", true), ("ledger.html", true)]
    {
        assert_eq!(site.contains_key(Path::new(page)), is_there, "{page}");
    }
    // The links to the others are text; the check of the finished site found no dead one.
    for (name, page) in &site {
        let is_page = name.extension().is_some_and(|extension| extension == "html");
        assert!(
            !(is_page && String::from_utf8_lossy(page).contains("href=\"floor.html")),
            "{}",
            name.display()
        );
    }
    // A tank without a price pays the club's.
    assert!(text(&site, "rules.html").contains("0.28\u{a0}EUR"));
    // A figure has the club's decimal sign: on sheets too, and not in files for programs.
    let sheet = text(&site, "sheets/plan.html");
    assert!(sheet.contains(" data-numbers=\"comma\" "));
    // Whether a length in centimetres is written with this sign.
    let has = |page: &str, sign: char| {
        page.match_indices("\u{a0}cm").any(|(at, _)| {
            let number = page[..at].trim_end_matches(|c: char| c.is_ascii_digit());
            number.len() < at && number.ends_with(sign)
        })
    };
    assert!(has(&sheet, ',') && !has(&sheet, '.'), "a sheet");
    let ledger = text(&site, "ledger.json");
    assert!(ledger.contains(".5\u{a0}cm\"") && !ledger.contains(",5\u{a0}cm\""), "the ledger");
    let made = reckoner(folder.path(), &["handout", "plan", "--club", "our-club", "--no-pdf"]);
    assert!(made.status.success(), "{}", stderr(&made));
    let paper = fs::read_to_string(folder.path().join("handouts/plan.html")).unwrap();
    assert!(has(&paper, ',') && !has(&paper, '.'), "paper");
}

#[test]
fn an_edition_goes_on_when_the_rules_of_the_book_move_under_it() {
    let folder = begun();
    use_example(&folder, "rules/livestock.toml");
    let pillow = "[pillow]\ntitle = \"To the pillow\"\nvalue = \"7 m\"\nbasis = \"common-practice\"\n";
    write(&folder, "rules/assumed.toml", pillow);
    let (site, said) = built(&folder, &[]);
    let moved = "rule `turnover.soft`: the book says ";
    assert!(said.contains(moved) && said.contains("you say 6 to 12 times an hour"), "{said}");
    assert!(
        said.contains("note: rule `assumed.pillow`: the book says 5 m (16.4 ft), you say 7 m (23 ft)"),
        "{said}"
    );
    assert!(!said.contains("no longer"), "{said}");
    assert!(plain(&site, "rules.html").contains("6 to 12 times an hour"));
    // A later book says something else of the first, and of a rule that the club does not name.
    let book = fs::read_to_string(repository().join("calc/rules/livestock.toml")).unwrap();
    let soft = book.split("[soft.turnover]").nth(1).unwrap();
    let high = soft.lines().find_map(|line| line.strip_prefix("high = ")).unwrap();
    let later = soft.replacen(high, "\"18 per hour\"", 1).replacen(
        "low = \"20 per hour\"",
        "low = \"22 per hour\"",
        1,
    );
    assert_ne!(soft, later);
    let rules = folder.path().join("later");
    fs::create_dir(&rules).unwrap();
    fs::write(rules.join("livestock.toml"), book.replacen(soft, &later, 1)).unwrap();
    let (site, said) = built(&folder, &["--book-rules", "later"]);
    assert!(said.contains("18 times an hour now, no longer"), "{said}");
    assert!(
        said.contains("you say 6 to 12 times an hour. Where yours is to stay, write instead_of = "),
        "{said}"
    );
    assert!(
        said.contains("note: rule `assumed.pillow`: the book says 5 m (16.4 ft), you say 7 m (23 ft)\n"),
        "{said}"
    );
    // The club's rule stands, and the rest follows the book.
    let rules = plain(&site, "rules.html");
    assert!(rules.contains("6 to 12 times an hour") && rules.contains("22 to 40 times an hour"));
}

#[test]
fn a_version_that_is_not_that_of_the_program_is_told() {
    let folder = begun();
    let settings = fs::read_to_string(folder.path().join("our-club/reckoner.toml")).unwrap();
    let own = format!("version = \"{}\"", env!("CARGO_PKG_VERSION"));
    write(&folder, "reckoner.toml", &settings.replace(&own, "version = \"0.0.1\""));
    let (_, said) = built(&folder, &[]);
    assert!(said.contains("note: `our-club/reckoner.toml` names version 0.0.1 of the book"), "{said}");
    assert!(said.contains(&format!("then write {own}")), "{said}");
}

#[test]
fn a_rule_that_the_book_does_not_have_is_named_with_the_nearest() {
    let folder = begun();
    let rule = "title = \"A\"\nvalue = \"7 m\"\nbasis = \"common-practice\"\n";
    write(&folder, "rules/assumed.toml", &format!("[pilow]\n{rule}"));
    write(
        &folder,
        "rules/livestock.toml",
        "[sotf.turnover]\ntitle = \"A\"\nlow = \"6 per hour\"\nhigh = \"8 per hour\"\nbasis = \"invented\"\n",
    );
    let said = refused(&folder);
    assert!(
        said.contains("error: the book has no rule `assumed.pilow`\n --> our-club/rules/assumed.toml:1:2"),
        "{said}"
    );
    assert!(said.contains("did you mean `pillow`?"), "{said}");
    assert!(
        said.contains(
            "error: the book has no kind of livestock `sotf`\n --> our-club/rules/livestock.toml:1:"
        ),
        "{said}"
    );
    assert!(
        said.contains("did you mean `soft`?") && said.ends_with("2 errors; nothing was written\n"),
        "{said}"
    );
}

#[test]
fn what_is_wrong_is_told_by_the_names_of_the_club() {
    let folder = begun();
    write(
        &folder,
        "club.toml",
        "name = \"A\"\nabout = \"B\"\nunits = \"feet\"\nchapters = [\"flor.md\"]\n[colours]\nlight = \"#ffee00\"\n",
    );
    write(&folder, "pages/b.md", "# Another page\n\nWe have 40 litres, and [this](../nothing.md).\n");
    let said = refused(&folder);
    for part in [
        "`units` can not be \"feet\"\n --> our-club/club.toml:3:9",
        "`#ffee00` can not be read on the ",
        " --> our-club/club.toml:6:9",
        "the number `40` was typed by hand\n --> our-club/pages/b.md:3:9",
        "the link `../nothing.md` leads nowhere\n --> our-club/pages/b.md:3:",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    write(&folder, "club.toml", "name = \"A\"\nabout = \"B\"\nchapters = [\"flor.md\"]\n");
    write(&folder, "pages/b.md", "# Another page\n");
    let said = refused(&folder);
    assert!(said.contains("the book has no chapter `flor.md`\n --> our-club/club.toml:3:13"), "{said}");
    assert!(said.contains("there is a chapter `floor.md`"), "{said}");
    write(&folder, "pages/b.md", "No heading.\n");
    assert!(refused(&folder).contains("the page has no heading\n --> our-club/pages/b.md:1:1"));
}

#[test]
fn what_a_club_says_of_itself_is_text() {
    let folder = begun();
    let hostile = "<b>x</b> [y](z.md) *w* {{#include club.toml}} {= tank.water =}";
    write(
        &folder,
        "club.toml",
        &format!(
            "name = \"A\"\nabout = \"B\"\nmeeting = \"{hostile}\"\n[[contacts]]\nname = \"{hostile}\"\nmail = \"a<b>@reef.example\"\n"
        ),
    );
    let (site, _) = built(&folder, &[]);
    let page = text(&site, "introduction.html");
    let shown = "&lt;b&gt;x&lt;/b&gt; [y](z.md) *w* {{#include club.toml}} {= tank.water =}";
    assert_eq!(page.matches(shown).count(), 2);
    assert!(page.contains("a&lt;b&gt;@reef.example"));
}

#[test]
fn a_page_tells_what_changed_since_an_earlier_site() {
    let folder = begun();
    let (site, _) = built(&folder, &[]);
    assert!(!site.contains_key(Path::new("what-changed.html")));
    fs::write(folder.path().join("old.json"), &site[Path::new("ledger.json")]).unwrap();
    use_example(&folder, "rules/livestock.toml");
    let (site, _) = built(&folder, &["--since", "old.json"]);
    let page = text(&site, "what-changed.html");
    assert!(page.contains("What changed since the edition before") && page.contains("6 to 12 times an hour"));
    assert!(text(&site, "toc.html").contains("what-changed.html"));
    let output = reckoner(folder.path(), &["build", "--club", "our-club", "--since", "HEAD"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("the edition of a club has no revisions"), "{}", stderr(&output));
}

/// What the contrast of a colour is held against is what the pages lay under it.
#[test]
fn the_grounds_are_those_of_the_themes() {
    let folder = begun();
    let (site, _) = built(&folder, &[]);
    let css = |name: &str| {
        let is_it = |path: &&PathBuf| {
            path.to_string_lossy().contains(name) && path.extension().is_some_and(|e| e == "css")
        };
        String::from_utf8_lossy(&site[site.keys().find(is_it).unwrap()]).into_owned()
    };
    let (of_mdbook, own) = (css("variables"), css("reckoner"));
    for ground in LIGHT.iter().chain(&DARK) {
        let colour = ground.colour.css();
        let is_of_mdbook = of_mdbook.lines().any(|line| {
            line.trim()
                .strip_prefix("--bg: hsl(")
                .is_some_and(|hsl| hex_of(hsl.trim_end_matches([')', ';'])) == colour)
        });
        assert!(is_of_mdbook || own.contains(&colour), "{}: {colour}", ground.what);
    }
}

/// A colour of CSS, `210, 25%, 8%`, in hexadecimal.
fn hex_of(hsl: &str) -> String {
    let parts: Vec<f64> = hsl.split(", ").map(|part| part.trim_end_matches('%').parse().unwrap()).collect();
    let (hue, saturation, light) = (parts[0], parts[1] / 100.0, parts[2] / 100.0);
    let reach = saturation * light.min(1.0 - light);
    // As CSS Color 3 turns hue, saturation and lightness into red, green and blue.
    let channel = |n: f64| {
        let k = (n + hue / 30.0) % 12.0;
        let value = light - reach * (k - 3.0).min(9.0 - k).clamp(-1.0, 1.0);
        format!("{:02x}", (255.0 * value).round() as u8)
    };
    format!("#{}{}{}", channel(0.0), channel(8.0), channel(4.0))
}

#[test]
fn a_rule_is_printed_as_it_is_to_be_changed() {
    let folder = begun();
    let printed = |ids: &[&str]| reckoner(folder.path(), &[&["rule"], ids].concat());
    let output = printed(&["assumed.pillow", "turnover.soft"]);
    assert!(output.status.success(), "{}", stderr(&output));
    let said = String::from_utf8(output.stdout).unwrap();
    let (pillow, soft) = said.split_once("\n\n").unwrap();
    assert!(pillow.starts_with("# assumed.toml\n[pillow]\n"), "{said}");
    assert!(soft.starts_with("# livestock.toml\n[soft.turnover]\n"), "{said}");
    // As it stands it changes nothing; with another value it is a difference.
    write(&folder, "rules/assumed.toml", pillow);
    let (_, told) = built(&folder, &[]);
    assert!(!told.contains("note: rule"), "{told}");
    write(&folder, "rules/assumed.toml", &pillow.replace("\"5 m\"", "\"7 m\""));
    let (_, told) = built(&folder, &[]);
    assert!(told.contains("rule `assumed.pillow`: the book says 5 m (16.4 ft), you say 7 m"), "{told}");
    let output = printed(&["assumed.pilow", "turnover.none_such"]);
    assert_eq!(output.status.code(), Some(2));
    let told = stderr(&output);
    assert!(told.contains("did you mean `assumed.pillow`") && told.contains("2 errors"), "{told}");
    // Every rule can be had so.
    let rules = reckoner_calc::Rules::compiled_in().unwrap();
    let ids: Vec<_> = rules.all.iter().map(|rule| rule.id.as_str()).collect();
    let output = printed(&ids);
    assert!(output.status.success(), "{}", stderr(&output));
    // All of them together are the book.
    let mut files: BTreeMap<String, String> = BTreeMap::new();
    let said = String::from_utf8(output.stdout).unwrap();
    for table in said.split("\n\n") {
        let (file, table) = table.strip_prefix("# ").and_then(|table| table.split_once('\n')).unwrap();
        let text = files.entry(file.to_owned()).or_default();
        text.push_str(table);
        text.push_str("\n\n");
    }
    assert!(files.len() > 20, "{:?}", files.keys());
    let files: Vec<_> = files.into_iter().collect();
    let own = reckoner_calc::Rules::load(&files).unwrap_or_else(|problems| panic!("{problems:#?}"));
    for (own, rule) in own.all.iter().zip(&rules.all) {
        let plain = |rule: &reckoner_calc::rules::Rule| {
            (rule.id.clone(), rule.title.clone(), rule.value.clone(), rule.note.clone())
        };
        assert_eq!(plain(own), plain(rule));
    }
    assert_eq!(own.all.len(), rules.all.len());
}

#[test]
fn other_commands_know_the_club_in_whose_folder_they_are_called() {
    let folder = begun();
    let club = folder.path().join("our-club");
    write(
        &folder,
        "rules/assumed.toml",
        "[pillow]\ntitle = \"To the pillow\"\nvalue = \"7 m\"\nbasis = \"from-memory\"\n",
    );
    let output = reckoner(&club, &["sheet", "tanks/our_tank.toml", "--format", "csv"]);
    assert!(output.status.success(), "{}", stderr(&output));
    let here = String::from_utf8(output.stdout).unwrap();
    let output = reckoner(folder.path(), &["sheet", "our-club/tanks/our_tank.toml", "--format", "csv"]);
    assert!(here != String::from_utf8(output.stdout).unwrap(), "the club's rule changes nothing");
    // Its own page goes to paper by its name; a chapter that it leaves out does not.
    let made = reckoner(&club, &["handout", "about-us", "--no-pdf", "--out", "paper"]);
    assert!(made.status.success(), "{}", stderr(&made));
    assert!(club.join("paper/about-us.html").is_file());
    let file = club.join("club.toml");
    let text = fs::read_to_string(&file).unwrap();
    fs::write(&file, text + "chapters = [\"floor.md\"]\n").unwrap();
    let made = reckoner(&club, &["handout", "quiet-nights", "--no-pdf"]);
    assert!(stderr(&made).contains("there is no sheet and no chapter `quiet-nights`"), "{}", stderr(&made));
    // Its figures are numbered as in the site.
    let made = reckoner(&club, &["handout", "floor", "--no-pdf", "--out", "paper"]);
    assert!(made.status.success(), "{}", stderr(&made));
    let page = fs::read_to_string(club.join("paper/floor.html")).unwrap();
    assert!(page.contains("Table\u{a0}1.1<") || page.contains("Table 1.1<"), "{}", &page[..400]);
}
