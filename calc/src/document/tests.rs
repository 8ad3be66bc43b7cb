use super::*;

/// A text and a list of texts, each where it is there.
type Texts = (Option<String>, Option<Vec<String>>);

fn texts(toml: &str) -> Result<Texts, Vec<Problem>> {
    read("file.toml", toml, |table| Some((table.maybe_text("name"), table.maybe_texts("pumps"))))
}

#[test]
fn a_text_that_hides_something_is_refused_with_its_place() {
    for hidden in ["\\n", "\\r", "\\t", "\\u0000", "\\u001b", "\\u0085", "\\u2028", "\\u202e", "\\u2066", "\\ufeff"] {
        let problems = texts(&format!("name = \"First{hidden}Reef\"\n")).unwrap_err();
        assert_eq!(problems.len(), 1, "{hidden}");
        assert!(problems[0].message.starts_with("`name` holds a character that does not show, U+"), "{}", problems[0].message);
        assert_eq!(problems[0].span.start, 7);
        assert_eq!(texts(&format!("pumps = [\"left\", \"ri{hidden}ght\"]\n")).unwrap_err().len(), 1, "{hidden}");
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
            root.tables("pump", |pump| Some((pump.text("model"), pump.quantities("at", Kind::Share, "0 %"..="100 %"))));
            Some(())
        });
        problems.unwrap_err().iter().map(|problem| problem.key(text)).collect::<Vec<_>>()
    };
    assert_eq!(read(""), ["glass"]);
    assert_eq!(read("name = 3\nnane = 4\n[glass]\nlength = \"1 cm\"\nlenght = 5\n"), ["name", "nane", "glass.length", "glass.lenght"]);
    assert_eq!(read("name = \"a\"\n[glass]\n"), ["glass.length"]);
    assert_eq!(read("glass = {}\nname = 3"), ["glass.length", "name"]);
    assert_eq!(read("glass.length = 1\nname = 3"), ["glass.length", "name"]);
    let pumps = "[glass]\nlength = \"1 m\"\n[[pump]]\nmodel = \"a\"\nat = [\"10 %\", \"200 %\"]\n[[pump]]\nat = \"a\"\n";
    assert_eq!(read(pumps), ["pump[0].at[1]", "pump[1].model", "pump[1].at"]);
}
