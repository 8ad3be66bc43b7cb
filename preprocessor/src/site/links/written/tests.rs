use std::sync::Arc;

use super::*;

/// The pages of a book with these chapters and other files.
fn pages(texts: &[(&str, &str)]) -> (Vec<Page>, Vec<Chapter>) {
    let page = |(path, text): &(&str, &str)| Page {
        file: format!("src/{path}"),
        path: (*path).into(),
        text: Arc::from(*text),
    };
    let chapter = |(path, text): &(&str, &str)| Chapter {
        path: (*path).into(),
        source_path: Some(path.replace("index.md", "README.md")),
        number: String::new(),
        content: (*text).into(),
    };
    (texts.iter().map(page).collect(), texts.iter().map(chapter).collect())
}

/// The errors before and after the pages are rendered, one line each. `rendered` takes the place of the last
/// page.
fn found(texts: &[(&str, &str)], files: &[&str], rendered: Option<&str>) -> Vec<String> {
    let (pages, chapters) = pages(texts);
    let files = files.iter().copied().chain(texts.iter().map(|(path, _)| *path)).map(str::to_owned).collect();
    let (waiting, mut errors) = check(&pages, &chapters, &files, &BTreeSet::new());
    let mut contents: Vec<_> = texts.iter().map(|(_, text)| (*text).to_owned()).collect();
    if let (Some(rendered), Some(last)) = (rendered, contents.last_mut()) {
        *last = rendered.to_owned();
    }
    errors.extend(waiting.check(&pages, &contents));
    let line = |error: Diagnostic| {
        let place = error.place.unwrap();
        let (line, column) = place.line_column();
        format!(
            "{}:{line}:{column} {}; {}",
            place.file,
            &place.text[place.span.clone()],
            error.hints.join("; ")
        )
    };
    errors.into_iter().map(line).collect()
}

#[test]
fn links_that_lead_somewhere_pass() {
    let flow = "# The flow\n\n## Aim {#aim}\n\n## Aim\n\n## Aim\n\nTerm\n: meaning\n\n<p id=\"raw\">a</p> b[^n]\n\n[^n]: c\n";
    let text = "[a](flow.md) [b](flow.md#the-flow) [c](flow.md#aim) [d](flow.md#aim-1) [e](flow.md#term) [f](flow.md#raw)\n\
                [g](flow.html#aim) [h](ledger.json) ![i](my%20fish.png) [j](#here) [k][l] [m] [n][] <https://example.org/none>\n\
                [o](https://example.org) [p](mailto:a@example.org) [q](/none) [r](#) [s](part/) [t](part/README.md#p) [u](./part/../flow.md)\n\
                <a href=\"flow.html#raw\">v</a> <a href='part/index.html'>w</a> <img src=my%20fish.png> [x]({= demo.page =}.md#y) [z](data.csv?a=b)\n\n\
                `[x](none.md)` <!-- <a href=\"none.md\"> --> [footnote](flow.md#footnote-n) [the top](#top)\n\n\
                ## Here\n\n[l]: flow.md#aim\n[m]: flow.md 'title'\n[n]: <flow.md>\n";
    let texts = [
        ("a.md", text),
        ("flow.md", flow),
        ("part/index.md", "# P\n\n[a](../a.md#here) ![i](../my%20fish.png)\n"),
    ];
    assert_eq!(found(&texts, &["my fish.png", "data.csv"], None), Vec::<String>::new());
}

#[test]
fn dead_links_are_told_at_their_places_with_what_is_near() {
    let text = "# A\n\né [none.md](floww.md) [b](flow.md#iam) ![c](fish.pgn) [d](notes.md)\n\n\
                [e][f] [g](../up.md)\n\n<a href=\"flow.html#iam\">h</a>\n\n<div>\n<img src=\"none.svg\">\n</div>\n\n[f]: floow.md#x 'floow.md'\n";
    let texts = [("a.md", text), ("flow.md", "# Flow\n\n## Aim {#aim}\n")];
    let want = [
        "src/a.md:3:13 floww.md; there is a chapter `flow.md`",
        "src/a.md:3:45 fish.pgn; there is a file `fish.png`",
        "src/a.md:3:59 notes.md; `notes.md` is there, but `SUMMARY.md` does not name it",
        "src/a.md:5:12 ../up.md; it points above the folder of the chapters",
        "src/a.md:10:11 none.svg; no file beside the chapters has such a name",
        "src/a.md:13:6 floow.md#x; there is a chapter `flow.md`",
        "src/a.md:3:27 flow.md#iam; flow.md has no heading or table `iam`; did you mean `aim`?",
        "src/a.md:7:10 flow.html#iam; flow.md has no heading or table `iam`; did you mean `aim`?",
    ];
    assert_eq!(found(&texts, &["fish.png", "notes.md"], None), want);
}

#[test]
fn what_is_generated_is_known_when_it_is_rendered() {
    let texts = [
        ("a.md", "[a](b.md#bands) [b](b.md#in-first-reef) [c](b.md#in-frist-reef)"),
        ("b.md", "# In {= tank.name =}\n\n{= table(id=\"bands\") =}\n"),
    ];
    let rendered = "# In First Reef\n\n<table><caption id=\"bands\">A</caption></table>\n";
    let want = [
        "src/a.md:1:45 b.md#in-frist-reef; b.md has no heading or table `in-frist-reef`; did you mean `in-first-reef`?",
    ];
    assert_eq!(found(&texts, &[], Some(rendered)), want);
    assert_eq!(found(&texts, &[], None).len(), 3);
}

#[test]
fn where_nothing_is_near_the_headings_are_told() {
    let texts = [("a.md", "[a](#tide) [b](tides/high.md)\n\n# One\n\n# Two\n")];
    let want = [
        "src/a.md:1:16 tides/high.md; no chapter in `SUMMARY.md` has such a name",
        "src/a.md:1:5 #tide; a.md has no heading or table `tide`; it has `one`, `two` and others",
    ];
    assert_eq!(found(&texts, &[], None), want);
}

#[test]
fn a_heading_that_gives_way_is_no_dead_link() {
    let texts =
        [("a.md", "{% if power.battery is defined %}[a](b.md#battery){% endif %}"), ("b.md", "## Battery\n")];
    assert_eq!(found(&texts, &[], Some("")), Vec::<String>::new());
}

#[test]
fn references_that_are_not_defined_are_told() {
    let text = "[a][flwo] b[^noet] [c][d]\n\n`[e][f]`\n\n[flow]: #\n[d]: #\n\n[^note]: g[^note]\n";
    let want = ["src/a.md:1:5 flwo; did you mean `flow`?", "src/a.md:1:14 noet; did you mean `note`?"];
    assert_eq!(found(&[("a.md", text)], &[], None), want);
}

#[test]
fn a_heading_has_the_id_that_mdbook_gives_it() {
    let text = "# One & *two* `three`\n\n## A -- b\n\n## _c_ d!\n\n## One & two three\n\n## Ä\n";
    let anchors = anchors(text);
    for id in ["one--two-three", "one--two-three-1", "a--b", "a----b", "c-d", "ä"] {
        assert!(anchors.contains(id), "{id} is not in {anchors:?}");
    }
}
