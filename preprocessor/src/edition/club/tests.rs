use super::*;

const ALL: &str = "\
name = \"Test Reef Club\"
about = \"An invented club.\"
address = \"https://reef.example/book/\"
meeting = \"Every first Friday in the old boathouse\"
units = \"us\"
price_per_kwh = \"0.28 EUR\"
paper = \"letter\"
chapters = [\"floor.md\", \"cleaning.md\"]

[[contacts]]
name = \"Pumps\"
telephone = \"+00 000 0000\"
mail = \"pumps@reef.example\"

[[contacts]]
name = \"All else\"
mail = \"club@reef.example\"

[colours]
light = \"#5b2a86\"
dark = \"#d9b8f5\"
";

#[test]
fn all_keys_are_read() {
    let club = read_club("club.toml", ALL).unwrap();
    assert_eq!(club.address.as_deref(), Some("https://reef.example/book/"));
    assert_eq!(
        club.contacts.iter().map(Contact::line).collect::<Vec<_>>(),
        ["+00 000 0000, pumps@reef.example", "club@reef.example"]
    );
    let price = club.price_per_kwh.unwrap();
    assert_eq!(
        (price.currency.code(), club.units, club.paper),
        ("EUR", Some(Units::Us), Some(Paper::Letter))
    );
    assert!((price.amount - 0.28).abs() < 1e-12);
    assert_eq!(club.colours.light.map(Colour::css).as_deref(), Some("#5b2a86"));
    let chapters = club.chapters.unwrap();
    assert_eq!(
        chapters.iter().map(|chapter| chapter.file.as_str()).collect::<Vec<_>>(),
        ["floor.md", "cleaning.md"]
    );
}

#[test]
fn name_and_about_are_enough() {
    let club = read_club("club.toml", "name = \"A\"\nabout = \"B\"\n").unwrap();
    assert_eq!(club, Club { name: "A".to_owned(), about: "B".to_owned(), ..Club::default() });
}

/// What a file with one line changed is told, and the text that is marked.
fn told(from: &str, to: &str) -> (String, String) {
    let text = ALL.replace(from, to);
    assert_ne!(text, ALL, "{from}");
    let mut problems = read_club("club.toml", &text).unwrap_err();
    assert_eq!(problems.len(), 1, "{problems:?}");
    let problem = problems.remove(0);
    (format!("{}; {}", problem.message, problem.help.join("; ")), text[problem.span].to_owned())
}

#[test]
fn what_can_not_be_used_is_told_at_its_place() {
    let cases = [
        (
            "https://reef",
            "http://reef",
            "`http://reef.example/book/` is no address that begins with https://; write all of it, such as \"https://reef.example/book/\"",
            "\"http://reef.example/book/\"",
        ),
        (
            "\"us\"",
            "\"imperial\"",
            "`units` can not be \"imperial\"; write one of both, metric, us",
            "\"imperial\"",
        ),
        ("\"letter\"", "\"lettre\"", "`paper` can not be \"lettre\"; did you mean `letter`?", "\"lettre\""),
        (
            "+00 000 0000",
            "call us",
            "`call us` is no number to call; write digits, with + and blanks, such as \"+00 000 0000\"",
            "\"call us\"",
        ),
        (
            "club@reef.example",
            "club at reef",
            "`club at reef` is no address to write to; write it as \"pumps@reef.example\"",
            "\"club at reef\"",
        ),
        (
            "#5b2a86",
            "purple",
            "`purple` is no colour; write # and six digits from 0 to f, such as \"#08606b\"",
            "\"purple\"",
        ),
        (
            "cleaning.md",
            "floor.md",
            "`chapters` names `floor.md` twice; name it once",
            "[\"floor.md\", \"floor.md\"]",
        ),
        (
            "https://reef.example/book/",
            "https://reef.example/our book/",
            "there is a blank in `https://reef.example/our book/`; write it as it stands in the browser, where a blank is %20",
            "\"https://reef.example/our book/\"",
        ),
    ];
    for (from, to, want, marked) in cases {
        assert_eq!(told(from, to), (want.to_owned(), marked.to_owned()));
    }
}

/// Yellow can not be read on white, nor navy blue on black.
#[test]
fn a_colour_that_can_not_be_read_is_refused_with_its_contrast() {
    let (message, marked) = told("#5b2a86", "#ffd400");
    assert!(message.starts_with("`#ffd400` can not be read on the heads of tables of the theme rust of the light themes: a contrast of 1."), "{message}");
    assert!(message.ends_with("take a darker colour: WCAG 2 asks for 4.5 to 1"), "{message}");
    assert_eq!(marked, "\"#ffd400\"");
    let (message, _) = told("#d9b8f5", "#000080");
    assert!(
        message.contains("of the dark themes")
            && message.ends_with("take a lighter colour: WCAG 2 asks for 4.5 to 1"),
        "{message}"
    );
}

#[test]
fn a_contact_says_how_to_reach_it_and_a_price_its_money() {
    let (message, _) = told("mail = \"club@reef.example\"\n", "");
    assert_eq!(message, "nothing says how to reach this contact; add telephone = \"…\" or mail = \"…\"");
    let (message, marked) = told("0.28 EUR", "0.28");
    let want = "`price_per_kwh` is `0.28`, and that is no price; write the amount and the three capitals of its money, such as \"0.28 EUR\"";
    assert_eq!(message, want);
    assert_eq!(marked, "\"0.28\"");
}
