use super::*;
use crate::document::{Table, describe};

/// The keys of a small document with every sort of table.
fn keys() -> Vec<Key> {
    describe(|table| {
        table.text("name");
        table.maybe_text("about");
        table.table("glass", |table| {
            let length = table.quantity::<uom::si::f64::Length>("length", "1 cm"..="9 m");
            let width = table.quantity::<uom::si::f64::Length>("width", "1 cm"..="9 m");
            table.flag("lid");
            length.zip(width)
        });
        let sand = |table: &mut Table<'_>| {
            table.maybe_text("depth");
            table.maybe_text("grain")
        };
        table.maybe_table("sand", sand);
        table.tables("fish", |table| {
            table.text("name");
            table.count("count", "0"..="9");
            table.maybe_table("box", sand)
        });
        table.maybe_choices("now", &[("soft", 0), ("hard", 1)]);
        table.maybe_texts("pumps");
    })
}

fn set(text: &str, path: &str, value: &str) -> String {
    with(text, &keys(), path, value).unwrap_or_else(|why| panic!("{path}: {why}"))
}

const TEXT: &str = "# a tank\nname = 'My \"tank\"' # mine\nother = 1979-05-27\n\n[glass]\n# outside\nlength = \"90 cm\"  # or so\nlid = true\n\n\
                    [[fish]]\nname = \"Goby\"\ncount = 2\n\n# the second\n[[fish]]\nname = \"Tang\"\n\n[unknown]\nx = { a = [1, 2], b = \"c\" }\n";

#[test]
fn values_are_told_by_their_paths() {
    let told = values(TEXT);
    let told: Vec<_> = told.iter().map(|(path, text)| (path.as_str(), text.as_str())).collect();
    assert_eq!(
        told,
        [
            ("name", "My \"tank\""),
            ("other", "1979-05-27"),
            ("glass.length", "90 cm"),
            ("glass.lid", "true"),
            ("fish[0]", ""),
            ("fish[0].name", "Goby"),
            ("fish[0].count", "2"),
            ("fish[1]", ""),
            ("fish[1].name", "Tang"),
            ("unknown.x.a", "1, 2"),
            ("unknown.x.b", "c"),
        ]
    );
    assert_eq!(values("name = "), []);
}

#[test]
fn a_value_is_set_where_it_stands_and_all_else_stays() {
    let changes = [
        ("name", "a \\ \"b\"\u{7}", "name = 'My \"tank\"'", "name = \"a \\\\ \\\"b\\\"\\u0007\""),
        ("glass.length", " 36 in ", "length = \"90 cm\"", "length = \"36 in\""),
        ("glass.lid", "false", "lid = true", "lid = false"),
        ("fish[0].count", "3", "count = 2", "count = 3"),
        ("fish[0].count", "-3", "count = 2", "count = -3"),
        ("fish[0].count", "03", "count = 2", "count = \"03\""),
        ("fish[0].count", "many", "count = 2", "count = \"many\""),
        ("fish[1].name", "Wrasse", "\"Tang\"", "\"Wrasse\""),
        ("unknown.x.b", "d", "\"c\"", "\"d\""),
    ];
    for (path, value, old, new) in changes {
        assert_eq!(set(TEXT, path, value), TEXT.replace(old, new), "{path}");
    }
}

#[test]
fn a_new_key_stands_behind_those_that_come_before_it() {
    for (path, value, line, behind) in [
        ("about", "mine", "about = \"mine\"\n", "# mine\n"),
        ("now", "soft", "now = \"soft\"\n", "# mine\n"),
        ("now", "soft, hard", "now = [\"soft\", \"hard\"]\n", "# mine\n"),
        ("pumps", "left", "pumps = [\"left\"]\n", "# mine\n"),
        ("glass.width", "45 cm", "width = \"45 cm\"\n", "# or so\n"),
        ("fish[0].box.depth", "3 cm", "box.depth = \"3 cm\"\n", "count = 2\n"),
        ("fish[1].count", "7", "count = 7\n", "\"Tang\"\n"),
        ("fish[2].name", "Blenny", "\n[[fish]]\nname = \"Blenny\"\n", "\"Tang\"\n"),
        ("sand.depth", "3 cm", "\n[sand]\ndepth = \"3 cm\"\n", "b = \"c\" }\n"),
    ] {
        let changed = set(TEXT, path, value);
        assert_eq!(changed, TEXT.replace(behind, &format!("{behind}{line}")), "{path}");
        // What was added goes without a trace.
        let gone = if path == "fish[2].name" { "fish[2]" } else { path };
        assert_eq!(set(&changed, gone, ""), TEXT, "{path}");
    }
}

#[test]
fn what_is_emptied_goes_and_with_its_last_key_a_table_that_need_not_be_there() {
    assert_eq!(set(TEXT, "glass.lid", ""), TEXT.replace("lid = true\n", ""));
    assert_eq!(
        set(TEXT, "fish[1]", ""),
        TEXT.replace("\n# the second\n[[fish]]\nname = \"Tang\"\n", "\n# the second\n")
    );
    assert_eq!(set(TEXT, "fish[0]", ""), TEXT.replace("\n[[fish]]\nname = \"Goby\"\ncount = 2\n", ""));
    assert_eq!(set(TEXT, "fish[7]", ""), TEXT);
    assert_eq!(set(TEXT, "sand.depth", ""), TEXT);
    assert_eq!(set("[glass]\nlength = 1\n", "glass.length", ""), "[glass]\n");
    assert_eq!(set("[sand]\n# deep\ndepth = 1", "sand.depth", ""), "# deep\n");
}

#[test]
fn other_ways_to_write_a_table_are_kept() {
    for (text, path, value, changed) in [
        (
            "sand = { depth = \"1 cm\" }\n",
            "sand.grain",
            "1 mm",
            "sand = { depth = \"1 cm\", grain = \"1 mm\" }\n",
        ),
        (
            "sand = { depth = \"1 cm\", grain = \"1 mm\" }\n",
            "sand.depth",
            "",
            "sand = { grain = \"1 mm\" }\n",
        ),
        (
            "sand = { depth = \"1 cm\", grain = \"1 mm\" }\n",
            "sand.grain",
            "",
            "sand = { depth = \"1 cm\" }\n",
        ),
        ("name = \"a\"\nsand = { depth = \"1 cm\" }\n", "sand.depth", "", "name = \"a\"\n"),
        ("sand = {}\n", "sand.depth", "1 cm", "sand = { depth = \"1 cm\" }\n"),
        (
            "glass.length = 1\nname = \"a\"\n",
            "glass.width",
            "2 m",
            "glass.length = 1\nglass.width = \"2 m\"\nname = \"a\"\n",
        ),
        ("glass.length = 1\nglass.width = 2\n", "glass.length", "", "glass.width = 2\n"),
        ("fish = [{ name = \"a\" }]\n", "fish[1].name", "b", "fish = [{ name = \"a\" }, { name = \"b\" }]\n"),
        ("fish = [{ name = \"a\" }, { name = \"b\" }]\n", "fish[0]", "", "fish = [{ name = \"b\" }]\n"),
        ("fish = [{ name = \"a\" }, { name = \"b\" },]\n", "fish[1]", "", "fish = [{ name = \"a\" }, ]\n"),
        ("fish = []\n", "fish[0].name", "a", "fish = [{ name = \"a\" }]\n"),
        ("[glass]\r\nlength = 1\r\n", "glass.width", "2 m", "[glass]\r\nlength = 1\r\nwidth = \"2 m\"\r\n"),
        ("\u{feff}[glass]\n", "name", "a", "\u{feff}name = \"a\"\n[glass]\n"),
        ("name = \"a\"", "about", "b", "name = \"a\"\nabout = \"b\"\n"),
        ("", "sand.depth", "1 cm", "\n[sand]\ndepth = \"1 cm\"\n"),
        ("pumps = [\n  \"a\", # the first\n  \"b\",\n]\nname = \"c\"\n", "pumps", "", "name = \"c\"\n"),
        (
            "[[fish]]\nname = \"a\"\n[fish.box]\ndepth = 1\n",
            "fish[0].box.grain",
            "2",
            "[[fish]]\nname = \"a\"\n[fish.box]\ndepth = 1\ngrain = \"2\"\n",
        ),
        (
            "[[fish]]\nname = \"a\"\n[fish.box]\ndepth = 1\n",
            "fish[0].box.depth",
            "",
            "[[fish]]\nname = \"a\"\n",
        ),
        ("[[fish]]\nname = \"a\"\n[fish.box]\ndepth = 1\n", "fish[0]", "", ""),
    ] {
        assert_eq!(set(text, path, value), changed, "{text}");
    }
}

#[test]
fn what_can_not_be_changed_says_so_and_is_left_alone() {
    let refused = |text: &str, path: &str, value: &str| with(text, &keys(), path, value).unwrap_err();
    assert_eq!(refused("name = ", "name", "a"), "string values must be quoted, expected literal string");
    assert_eq!(refused(TEXT, "glass.heigth", "1 m"), "there is no key `glass.heigth`");
    assert_eq!(refused(TEXT, "glass", "1 m"), "`glass` is a table");
    assert_eq!(refused(TEXT, "fish[5].name", "a"), "`fish` has 2 tables so far");
    for (text, path, value) in [
        ("[[fish]]\nname = \"a\"\n[sand]\ndepth = 1\n[fish.box]\ndepth = 1\n", "fish[0]", ""),
        ("sand = { box.a = 1, depth = 2 }\n", "sand.box.a", ""),
        ("sand = \"deep\"\n", "sand.depth", "1 cm"),
    ] {
        assert_eq!(refused(text, path, value), OTHERWISE, "{text}");
    }
}
