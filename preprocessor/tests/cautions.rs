//! Cautions that several pages share, as an author calls for them.

#![allow(clippy::unwrap_used)]

mod common;

use std::fs;

use common::{built, copied_book, reckoner, stderr, text};

#[test]
fn a_page_prints_a_shared_caution_and_may_say_its_own_hazard() {
    let book = copied_book();
    let cautions = "[glass]\nword = \"notice\"\nhazard = \"Thin <glass>.\"\nconsequence = \"It breaks.\"\navoid = \"Take thick.\"\nstep = \"Look at the glass.\"\n";
    let file = book.path().join("cautions.toml");
    let shared = fs::read_to_string(&file).unwrap();
    fs::write(&file, format!("{shared}\n{cautions}")).unwrap();
    let chapter = book.path().join("src/feeding.md");
    let own = "{= caution(id=\"glass\") =}\n\n{= caution(id=\"glass\", word=\"caution\", hazard=\"Old glass.\") =}\n\n1. {= step(id=\"glass\") =} Then go.\n";
    fs::write(&chapter, format!("# Feeding\n\n{own}")).unwrap();
    let page = text(&built(book.path(), &[]), "feeding.html").replace('\n', "");
    assert!(page.contains("<strong>Thin &lt;glass"), "{page}");
    assert!(page.contains("<strong>Old glass.</strong> It breaks.</p><p>Take thick."), "{page}");
    assert!(page.contains("caution-notice") && page.contains("caution-caution"), "{page}");
    assert!(page.contains("Look at the glass. Then go."), "{page}");
}

#[test]
fn a_caution_or_step_that_is_not_there_is_told_at_its_place() {
    let book = copied_book();
    let chapter = book.path().join("src/feeding.md");
    fs::write(
        &chapter,
        "# Feeding\n\n{= caution(id=\"hands_in_watr\") =}\n\n{= step(id=\"magnets\") =}\n\n{= caution(word=\"danger\") =}\n",
    )
    .unwrap();
    let output = reckoner(book.path(), &["check", "--book", "."]);
    assert_eq!(output.status.code(), Some(2));
    let message = stderr(&output);
    for part in [
        "there is no shared caution `hands_in_watr`",
        "did you mean `hands_in_water`?",
        "src/feeding.md:3:",
        "the caution `magnets` has no step",
        "src/feeding.md:5:",
        "src/feeding.md:7:",
    ] {
        assert!(message.contains(part), "no {part:?} in\n{message}");
    }
}

#[test]
fn a_number_typed_into_a_shared_caution_stops_the_build() {
    let book = copied_book();
    let file = book.path().join("cautions.toml");
    let shared = fs::read_to_string(&file).unwrap();
    fs::write(&file, shared.replacen("It can burn", "Within 40 seconds it can burn", 1)).unwrap();
    let output = reckoner(book.path(), &["check", "--book", "."]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("the number `40` was typed by hand"), "{}", stderr(&output));
    assert!(stderr(&output).contains("cautions.toml:"), "{}", stderr(&output));
}
