//! What the whole book must say the same way on every page: before hands go into the water, plugs, battery,
//! UPS and inverter are all off; and nobody touches a plug that got wet.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::path::PathBuf;

use mdbook_reckoner::chapter::plain;
use mdbook_reckoner::edition::cautions;
use mdbook_reckoner::site::rendered_pages;
use mdbook_reckoner::site::typeset::Reckoner;

/// Pages that only list rules and figures.
const LISTS: [&str; 2] = ["rules.md", "ledger.md"];

/// Words that speak of hands in the water, or of the plugs pulled before.
const HANDS: &[&str] = &[
    "hands in",
    "hands into",
    "hands go in",
    "hand in the water",
    "hand into",
    "reach in",
    "reaching in",
    "reaching for",
    "hang the pump",
    "move a pump",
    "moving a pump",
    "take a pump out",
    "taking a pump out",
    "tilt the pump",
    "plugs out",
];

/// Passages that speak of plugs but ask for no hand in the water: the page, its words and the reason.
const NO_HANDS: &[(&str, &str, &str)] = &[
    (
        "electricity-and-water.md",
        "Pulling the plug cuts off what comes from the wall",
        "says what a pulled plug does not do",
    ),
    ("what-the-words-mean.md", "the plug is pulled, its own sockets stay live", "says what a UPS does"),
    ("quiet-nights.md", "Pull one plug at a time and name each noise", "done by somebody who only listens"),
    ("quiet-nights.md", "let somebody pull the plugs for a moment", "done by somebody who only listens"),
    ("feeding.md", "Never pull the plug to feed", "says not to"),
    ("feeding.md", "Pulling the plug and forgetting it", "says not to"),
];

/// Words that speak of water where power is.
const WET: &[&str] = &[
    "got wet",
    "reached a plug",
    "reaches plugs",
    "water is near a plug",
    "onto plugs",
    "water on a plug",
    "on the floor",
    "touches live",
];

fn book() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../book")
}

/// Every paragraph, list item, cell and caution of the book as its readers see it, with its page.
fn passages() -> Vec<(String, String)> {
    let pages =
        rendered_pages(&book(), Reckoner::default(), "markdown").unwrap_or_else(|errors| panic!("{errors}"));
    let pages = pages.into_iter().filter(|(page, _)| !LISTS.contains(&page.as_str()));
    let of_page = |(page, text): (String, String)| {
        let blocks = plain::blocks(&text);
        blocks
            .into_iter()
            .map(move |block| (page.clone(), block.text()))
            .filter(|(_, text)| !text.is_empty())
            .collect::<Vec<_>>()
    };
    pages.flat_map(of_page).collect()
}

/// Whether a passage asks for a pulled plug, or for hands in the water.
fn speaks_of_hands(text: &str) -> bool {
    let text = text.to_lowercase();
    (text.contains("plug") && text.contains("pull")) || HANDS.iter().any(|words| text.contains(words))
}

/// Whether it names all that gives power without the wall socket, uses the book's word for that, or keeps
/// hands out.
fn is_safe(text: &str) -> bool {
    let text = text.to_lowercase();
    let words: Vec<_> = text.split(|c: char| !c.is_alphabetic()).collect();
    ["battery", "ups", "inverter"].iter().all(|word| words.contains(word))
        || text.contains("all power off")
        || text.contains("hands out of the water")
}

#[test]
fn before_hands_go_in_every_passage_names_battery_ups_and_inverter() {
    let passages = passages();
    let excepted =
        |page: &str, text: &str| NO_HANDS.iter().any(|(of, words, _)| *of == page && text.contains(words));
    let unsafe_ones: Vec<_> =
        passages.iter().filter(|(_, text)| speaks_of_hands(text) && !is_safe(text)).collect();
    let missing: Vec<_> = unsafe_ones
        .iter()
        .filter(|(page, text)| !excepted(page, text))
        .map(|(page, text)| format!("{page}: {text}"))
        .collect();
    assert!(
        missing.is_empty(),
        "say it with step(id=\"hands_in_water\") or as \"all power off\":\n  {}",
        missing.join("\n  ")
    );
    for (page, words, reason) in NO_HANDS {
        let used = unsafe_ones.iter().any(|(of, text)| of == page && text.contains(words));
        assert!(used, "no passage of {page} needs the exception {words:?} ({reason})");
    }
}

#[test]
fn nobody_is_told_to_touch_a_plug_that_got_wet() {
    let passages = passages();
    let wet: Vec<_> = passages
        .iter()
        .filter(|(_, text)| WET.iter().any(|words| text.to_lowercase().contains(words)))
        .collect();
    assert!(wet.len() > 5, "only {} passages speak of water where power is", wet.len());
    for (page, text) in wet {
        let lower = text.to_lowercase();
        let touches = ["pull", "unplug", "switch off"].iter().any(|verb| lower.contains(verb));
        let sends_to_the_caution = ["danger above", "next caution"].iter().any(|words| lower.contains(words));
        assert!(!touches || lower.contains("main panel") || sends_to_the_caution, "{page}: {text}");
    }
}

#[test]
fn the_shared_cautions_say_it_all() {
    let cautions = cautions::load(&book().join("cautions.toml")).unwrap_or_else(|errors| panic!("{errors}"));
    let hands = &cautions["hands_in_water"];
    let water = &cautions["water_on_plugs"];
    for text in [&hands.avoid, &hands.step] {
        assert!(is_safe(text) && text.contains("Pull the plugs of everything in the water"), "{text}");
    }
    for text in [&water.avoid, &water.step] {
        assert!(
            text.contains("Do not touch anything") && text.contains("main panel") && is_safe(text),
            "{text}"
        );
        assert!(!text.to_lowercase().contains("pull"), "{text}");
    }
}

#[test]
fn every_shared_caution_is_printed() {
    let cautions = cautions::load(&book().join("cautions.toml")).unwrap_or_else(|errors| panic!("{errors}"));
    let passages = passages();
    for (id, caution) in &cautions {
        assert!(
            passages.iter().any(|(_, text)| text.contains(caution.avoid.trim())),
            "no page prints the caution `{id}`"
        );
    }
}

#[test]
fn the_words_are_found() {
    assert!(speaks_of_hands("Pull the plug, rinse it.") && speaks_of_hands("Never reach in."));
    assert!(!speaks_of_hands("Press the plug home."));
    assert!(!is_safe("Pull all plugs.") && !is_safe("Mind the battery and the inverter, upstairs."));
    assert!(is_safe("Pull all plugs; battery, UPS and inverter off."));
}
