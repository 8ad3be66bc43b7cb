use super::*;

/// A text and a list of texts, each where it is there.
type Texts = (Option<String>, Option<Vec<String>>);

fn texts(toml: &str) -> Result<Texts, Vec<Problem>> {
    read("file.toml", toml, |table| Some((table.maybe_text("name"), table.maybe_texts("pumps"))))
}

#[test]
fn a_text_that_hides_something_is_refused_with_its_place() {
    for hidden in
        ["\\n", "\\r", "\\t", "\\u0000", "\\u001b", "\\u0085", "\\u2028", "\\u202e", "\\u2066", "\\ufeff"]
    {
        let problems = texts(&format!("name = \"First{hidden}Reef\"\n")).unwrap_err();
        assert_eq!(problems.len(), 1, "{hidden}");
        assert!(
            problems[0].message.starts_with("`name` holds a character that does not show, U+"),
            "{}",
            problems[0].message
        );
        assert_eq!(problems[0].span.start, 7);
        assert_eq!(
            texts(&format!("pumps = [\"left\", \"ri{hidden}ght\"]\n")).unwrap_err().len(),
            1,
            "{hidden}"
        );
    }
}

#[test]
fn what_nobody_writes_by_hand_is_refused() {
    let long = "a".repeat(2001);
    let problems = texts(&format!("name = \"{long}\"\n")).unwrap_err();
    assert_eq!(problems[0].message, "`name` is 2001 characters long");
    let many = "[[fish]]\n".repeat(2001);
    let problems = read("file.toml", &many, |table| Some(table.tables("fish", |_| Some(())))).unwrap_err();
    assert_eq!(problems[0].message, "`fish` is a list of 2001 tables");
}

#[test]
fn a_text_of_nothing_is_refused() {
    for nothing in ["", "  "] {
        assert_eq!(
            texts(&format!("name = \"{nothing}\"\n")).unwrap_err()[0].message,
            "`name` must be a text"
        );
    }
}

#[test]
fn a_text_in_any_script_is_taken() {
    for name in ["Große Röhre №2", "水槽", "חוף", "👩‍🚀 reef", "a {{#b}} & <c>"] {
        assert_eq!(texts(&format!("name = \"{name}\"\n")).unwrap().0.as_deref(), Some(name));
    }
}

#[test]
fn a_problem_names_the_whole_key_that_it_is_about() {
    let read = |text: &str| {
        let problems = read("file.toml", text, |root| {
            root.maybe_text("name");
            root.table("glass", |glass| glass.quantity::<uom::si::f64::Length>("length", "5 cm"..="5 m"));
            root.tables("pump", |pump| {
                Some((pump.text("model"), pump.quantities("at", Kind::Share, "0 %"..="100 %")))
            });
            Some(())
        });
        problems.unwrap_err().iter().map(|problem| problem.key(text)).collect::<Vec<_>>()
    };
    assert_eq!(read(""), ["glass"]);
    assert_eq!(
        read("name = 3\nnane = 4\n[glass]\nlength = \"1 cm\"\nlenght = 5\n"),
        ["name", "nane", "glass.length", "glass.lenght"]
    );
    assert_eq!(read("name = \"a\"\n[glass]\n"), ["glass.length"]);
    assert_eq!(read("glass = {}\nname = 3"), ["glass.length", "name"]);
    assert_eq!(read("glass.length = 1\nname = 3"), ["glass.length", "name"]);
    let pumps = "[glass]\nlength = \"1 m\"\n[[pump]]\nmodel = \"a\"\nat = [\"10 %\", \"200 %\"]\n[[pump]]\nat = \"a\"\n";
    assert_eq!(read(pumps), ["pump[0].at[1]", "pump[1].model", "pump[1].at"]);
}

/// A pump of either kind, in a list; the second reads no key of the first.
fn pump(table: &mut Table<'_>) -> Option<()> {
    table.text("name")?;
    table.by_choice("kind", &[("round", 0), ("slot", 1), ("jet", 2)], |table, kind| match kind {
        1 => table.quantity("slot", "1 mm"..="1 cm").map(|_: uom::si::f64::Length| ()),
        _ => table.quantity("outlet", "1 mm"..="9 cm").map(|_: uom::si::f64::Length| ()),
    })
}

#[test]
fn a_reader_without_a_document_tells_its_keys() {
    let keys =
        describe(|table| {
            table.tables("pump", |table| {
                table.by_choice_or("kind", &[("round", 0), ("slot", 1), ("jet", 2)], 0, |table, kind| {
                    match kind {
                        1 => table.quantity::<uom::si::f64::Length>("slot", "1 mm"..="1 cm").map(|_| ()),
                        _ => table.quantity::<uom::si::f64::Length>("outlet", "1 mm"..="9 cm").map(|_| ()),
                    }
                })
            });
            table.table_or_empty("home", |table| table.maybe_table("room", |table| Some(table.flag("door"))));
            table.by_key(&["mass", "share"], ["", ""], ["", ""], |table, key| table.maybe_text(key));
        });
    let told: Vec<_> = keys
        .iter()
        .map(|key| {
            let when = key
                .when
                .as_ref()
                .map_or_else(String::new, |when| format!(" when {} {}", when.key, when.words.join("/")));
            let default = key.default.as_ref().map_or_else(String::new, |default| format!(" or {default}"));
            format!("{}{}{default}{when}", key.path, if key.required { "!" } else { "" })
        })
        .collect();
    assert_eq!(
        told,
        [
            "pump",
            "pump[].kind or round",
            "pump[].outlet! when pump[].kind round/jet",
            "pump[].slot! when pump[].kind slot",
            "home",
            "home.room",
            "home.room.door",
            "mass when mass ",
            "share when share ",
        ]
    );
    assert_eq!(keys[1].wanted.words(), ["round", "slot", "jet"]);
    let range = Some(["1 mm".to_owned(), "9 cm".to_owned()]);
    assert_eq!(keys[2].wanted, Wanted::Quantity { kind: Kind::Length, range });
    assert_eq!((keys[2].name(), keys[2].table(), keys[4].table()), ("outlet", "pump[]", ""));
}

#[test]
fn what_depends_on_a_choice_is_known_only_with_it_unless_the_choice_is_wrong() {
    let read = |text: &str| match read("file.toml", text, pump) {
        Ok(()) => Vec::new(),
        Err(problems) => problems.iter().map(|problem| problem.message.clone()).collect::<Vec<_>>(),
    };
    assert_eq!(read("name = \"a\"\nkind = \"slot\"\nslot = \"2 mm\""), Vec::<String>::new());
    assert_eq!(
        read("name = \"a\"\nkind = \"slot\"\nslot = \"2 mm\"\noutlet = \"2 mm\""),
        ["unknown key `outlet`"]
    );
    assert_eq!(
        read("name = \"a\"\nkind = \"slat\"\nslot = \"2 km\"\noutlet = \"2 mm\""),
        ["`kind` can not be \"slat\""]
    );
    assert_eq!(read("name = \"a\"\nslot = \"2 mm\"\nhole = 3"), ["`kind` is missing", "unknown key `hole`"]);
}

#[test]
fn just_one_of_several_keys_may_be_there() {
    let rock = |text: &str| {
        let read = read("file.toml", text, |table| {
            table.by_key(&["mass", "share"], ["none", ""], ["both", ""], |table, key| match key {
                "mass" => {
                    let (mass, pores) = (table.text("mass"), table.maybe_text("pores"));
                    Some((mass?, pores))
                }
                _ => table.text("share").map(|share| (share, None)),
            })
        });
        read.map_err(|problems| {
            problems.iter().map(|problem| (problem.key(text), problem.message.clone())).collect::<Vec<_>>()
        })
    };
    let told = |key: &str, message: &str| Err(vec![(key.to_owned(), message.to_owned())]);
    assert_eq!(rock("mass = \"a\"\npores = \"b\""), Ok(("a".to_owned(), Some("b".to_owned()))));
    assert_eq!(rock("share = \"a\""), Ok(("a".to_owned(), None)));
    assert_eq!(rock("share = \"a\"\npores = \"b\""), told("pores", "unknown key `pores`"));
    assert_eq!(rock("share = \"a\"\nmass = \"b\""), told("share", "both"));
    assert_eq!(rock("pores = \"a\""), told("mass", "none"));
}
