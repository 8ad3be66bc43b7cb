use super::*;
use crate::diagnostic::Place;
use proptest::prelude::*;
use tera::{Kwargs, State};

const FIGURES: [&str; 4] = ["tank.water", "tank.glass", "flow.band", "flow.pumps"];

fn context(_: &Page) -> Context {
    let mut context = Context::new();
    context.insert("tank", &serde_json::json!({ "water": "171 L", "glass": "12 mm", "name": "Jo's <b>*big*</b> {{#include x}} tank" }));
    context.insert("flow", &serde_json::json!({ "band": "10 to 20", "pumps": ["a", "b"], "bare": 0.5 }));
    context
}

fn register(engine: &mut Tera) {
    engine.register_function("typed", |kwargs: Kwargs, _: &State<'_>| -> tera::TeraResult<String> {
        kwargs.must_get::<&str>("because")?;
        Ok(kwargs.must_get::<&str>("text")?.to_owned())
    });
    engine.register_function("mark", |_: Kwargs, _: &State<'_>| tera::Value::safe_string("<data>1</data>"));
    engine.register_function("fail", |_: Kwargs, _: &State<'_>| -> tera::TeraResult<String> {
        Err(tera::Error::message("there is no table `x`\nwrite another\nor none"))
    });
    engine.register_filter("show", |value: &str, _: Kwargs, _: &State<'_>| format!("~{value}"));
}

fn page(text: &str) -> Page {
    Page { file: "book/src/a.md".into(), path: "a.md".into(), text: text.into() }
}

fn render_all(texts: &[&str]) -> Result<Vec<String>, Diagnostics> {
    render_with(texts, &["tank", "flow"])
        .map(|rendered| rendered.into_iter().map(|rendered| rendered.text).collect())
}

fn render_with(texts: &[&str], fixed: &[&str]) -> Result<Vec<Rendered>, Diagnostics> {
    let figures = FIGURES.map(str::to_owned);
    let names = Names { figures: &figures, functions: &["typed", "mark", "fail"], filters: &["show"], fixed };
    let pages: Vec<Page> = texts.iter().map(|text| page(text)).collect();
    render_pages(&pages, names, &context, &register)
}

fn rendered(text: &str) -> String {
    render_all(&[text]).map_err(|errors| errors.to_string()).unwrap().remove(0)
}

/// The errors of a page: message, the text meant, hints.
fn errors(text: &str) -> Vec<(String, String, Vec<String>)> {
    let errors = render_all(&[text]).expect_err("should fail").0;
    let meant = |place: Place| place.text[place.span].to_owned();
    errors
        .into_iter()
        .map(|error| (error.message, error.place.map(meant).unwrap_or_default(), error.hints))
        .collect()
}

fn messages(text: &str) -> Vec<String> {
    errors(text).into_iter().map(|(message, ..)| message).collect()
}

#[test]
fn tags_are_rendered_and_mdbook_passes_through() {
    let text =
        "# Flow {#flow}\r\n{{#include a.md}} {= tank.water =} {* no *}{% if tank.water %}yes{% endif %}\n";
    assert_eq!(rendered(text), "# Flow {#flow}\r\n{{#include a.md}} 171 L yes\n");
}

#[test]
fn a_raw_block_shows_a_tag_to_the_reader() {
    assert_eq!(
        rendered("{% raw %}`{= tank.water =}`{% endraw %} is {= tank.water =}"),
        "`{= tank.water =}` is 171 L"
    );
}

#[test]
fn plain_strings_stay_plain_text_and_safe_ones_stay_markup() {
    let html = rendered("{= tank.name =}");
    assert!(!html.contains(['<', '>', '*', '{']), "{html}");
    let mut read = String::new();
    for event in new_cmark_parser(&html, &MarkdownOptions::default()) {
        match event {
            Event::Text(text) => read.push_str(&text),
            Event::Start(pulldown_cmark::Tag::Paragraph) | Event::End(pulldown_cmark::TagEnd::Paragraph) => {}
            other => panic!("{other:?}"),
        }
    }
    // mdBook rounds an apostrophe within a word, as it does in an author's words.
    assert_eq!(read, "Jo’s <b>*big*</b> {{#include x}} tank");
    assert_eq!(rendered("{= mark() =}"), "<data>1</data>");
}

#[test]
fn escaping_does_not_depend_on_the_name_of_the_page() {
    for path in ["a.md", "a.html", "a", "a.md.txt"] {
        let page = Page { file: path.into(), path: path.into(), text: "{= tank.name =}".into() };
        let rendered = render_pages(&[page], Names::default(), &context, &register).unwrap().remove(0).text;
        assert!(!rendered.contains('<'), "{path}: {rendered}");
    }
}

#[test]
fn all_misspelt_figures_of_a_page_are_reported_with_the_nearest_names() {
    let text = "a {= tank.watr =}\n{= tank.glss | show =}\n{% if flow.bnad %}b{% endif %} {= tank.water =}";
    let hint = |name: &str| vec![format!("did you mean `{name}`?")];
    let want = [
        ("there is no figure `tank.watr`".to_owned(), "tank.watr".to_owned(), hint("tank.water")),
        ("there is no figure `tank.glss`".to_owned(), "tank.glss".to_owned(), hint("tank.glass")),
        ("there is no figure `flow.bnad`".to_owned(), "flow.bnad".to_owned(), hint("flow.band")),
    ];
    assert_eq!(errors(text), want);
}

#[test]
fn all_pages_are_reported_in_their_order() {
    let errors = render_all(&["{= nothing =}", "fine", "{= tank. =}", "{= nobody =}"]).unwrap_err();
    let messages: Vec<&str> = errors.0.iter().map(|error| error.message.as_str()).collect();
    assert_eq!(messages.len(), 3, "{errors}");
    assert_eq!(messages[0], "there is no figure `nothing`");
    assert!(messages[1].starts_with("this tag cannot be read: "), "{errors}");
    assert_eq!(messages[2], "there is no figure `nobody`");
}

#[test]
fn a_name_that_may_be_missing_is_no_error() {
    assert_eq!(rendered("{= tank.lid or \"none\" =}{% if tank.lid is defined %}x{% endif %}"), "none");
    assert_eq!(rendered("{= tank.lid | default(value=\"none\") =}"), "none");
}

#[test]
fn variables_of_loops_are_known() {
    assert_eq!(rendered("{% for pump in flow.pumps %}{= loop.index =}{= pump =} {% endfor %}"), "1a 2b ");
    assert_eq!(messages("{% for pump in flow.pumps %}{= pump.no =}{% endfor %}{= tank.no =}").len(), 2);
}

#[test]
fn unknown_functions_and_filters_are_placed_and_nearest_names_given() {
    let errors = errors("{= tank.water | shwo =} {= typd(text=\"a\", because=\"b\") =} {= tank.watr =}");
    let want = [
        ("there is no filter `shwo`", "shwo", "did you mean `show`?"),
        ("there is no function `typd`", "typd", "did you mean `typed`?"),
        ("there is no figure `tank.watr`", "tank.watr", "did you mean `tank.water`?"),
    ];
    let got: Vec<(&str, &str, &str)> = errors
        .iter()
        .map(|(message, meant, hints)| (message.as_str(), meant.as_str(), hints[0].as_str()))
        .collect();
    assert_eq!(got, want);
}

#[test]
fn a_function_that_fails_is_placed_at_its_call_with_its_hints() {
    let errors = errors("é {= fail(a=1) =} and {= typed(text=\"a\") =}");
    assert_eq!(errors[0].0, "there is no table `x`");
    assert_eq!(errors[0].1, "fail(a=1)");
    assert_eq!(errors[0].2, ["write another", "or none"]);
    assert_eq!(errors[1].0, "missing keyword argument `because`");
    assert_eq!(errors.len(), 2);
}

#[test]
fn a_tag_that_cannot_be_read_says_what_was_probably_meant() {
    let errors = errors("{= typed(\"a\") =}");
    assert!(errors[0].0.starts_with("this tag cannot be read: "), "{errors:?}");
    assert!(errors[0].2[0].starts_with("arguments have names"), "{errors:?}");
    assert_eq!(errors.len(), 1, "{errors:?}");
}

#[test]
fn what_is_not_closed_is_told_at_its_opening() {
    for (text, message, meant, hint) in [
        (
            "a {= tank.water\n\nand {= tank.glass =}",
            "the tag that opens here with `{=` is not closed",
            "{=",
            "close it with `=}`",
        ),
        (
            "a {= tank.water } b",
            "the tag that opens here with `{=` is not closed",
            "{=",
            "close it with `=}`",
        ),
        (
            "a {% if tank.water }",
            "the tag that opens here with `{%` is not closed",
            "{%",
            "close it with `%}`",
        ),
        (
            "{= typed(text=\"a, because=\"b\") =}\n\nb \"c\" {= tank.water =}",
            "the tag that opens here with `{=` is not closed",
            "{=",
            "close it with `=}`, and the quotation mark in it with `\"`",
        ),
        (
            "{% if tank.water %}\n\nb",
            "this `if` has no end",
            "{% if tank.water %}",
            "write `{% endif %}` behind what it holds",
        ),
        ("{% raw %}{= a", "this `raw` has no end", "{% raw %}", "write `{% endraw %}` behind what it holds"),
        (
            "a {% endif %}",
            "this `endif` belongs to nothing",
            "{% endif %}",
            "take it out, or write what it belongs to before it",
        ),
    ] {
        let errors = errors(text);
        assert_eq!(errors[0], (message.to_owned(), meant.to_owned(), vec![hint.to_owned()]), "{text}");
        assert_eq!(errors.len(), 1, "{errors:?}");
    }
}

/// The one thing that Tera tells in words only, besides the hint above.
#[test]
fn a_field_that_is_not_there_is_no_figure() {
    let errors = errors("{% for pump in flow.pumps %}{= pump.no =}{% endfor %}");
    assert_eq!(errors[0].0, "there is no figure `pump.no`");
    assert_eq!(errors[0].1, "pump.no");
    let error = render_all(&["{% set pump = tank.none or none %}{= pump.no.no =}"]).unwrap_err();
    assert_eq!(error.0[0].message, "there is no figure `pump.no.no`");
}

#[test]
fn a_chapter_cannot_include_another() {
    let errors = errors("a {% include \"b.md\" %} {= tank.watr =}");
    assert_eq!(errors[0].0, "a chapter cannot `include` another");
    assert_eq!(errors[0].1, "{% include \"b.md\" %}");
    assert_eq!(errors[1].0, "there is no figure `tank.watr`");
    assert_eq!(errors.len(), 2);
}

#[test]
fn groups_and_bare_numbers_do_not_print() {
    assert_eq!(messages("{= tank =} {= flow.bare =} {= flow.pumps =}").len(), 3);
    assert_eq!(errors("{= tank =}")[0].2, ["name one of its figures, such as `tank.water` or `tank.glass`"]);
}

#[test]
fn leftovers_outside_code_are_errors_where_they_were_written() {
    assert_eq!(errors("a =} b")[0].1, "=}");
    assert_eq!(errors("a { = tank.water =}")[0].1, "=}");
    assert_eq!(errors("{% raw %}{= tank.water =}{% endraw %}")[0].1, "{=");
    let (message, meant, hints) = errors("it has {{ tank.water }} and").remove(0);
    assert_eq!(
        (meant.as_str(), hints[0].as_str()),
        ("{{ tank.water }}", "write `{= tank.water =}`"),
        "{message}"
    );
    for fine in [
        "`=}`",
        "```\n{{a}}\n```",
        "{{#include a.md}} \\{{#include b.md}}",
        "<!-- {{a}} -->",
        "<pre>{{a}}</pre>",
    ] {
        assert_eq!(rendered(fine), fine);
    }
}

#[test]
fn leftovers_of_rendering_are_shown_in_the_rendered_page() {
    let errors = render_all(&["{% set a = mark() %}{= \"{{a}}\" | safe =}"]).unwrap_err();
    assert_eq!(errors.0[0].place.as_ref().unwrap().file, "book/src/a.md (rendered)");
}

#[test]
fn what_asks_for_the_running_tank_stays_a_mark_in_its_place() {
    let text = "a{% if tank.water is defined %}b {% if flow.band is defined %}c{% else %}d{% endif -%}\n e{% endif %}";
    let rendered = render_with(&[text], &["flow"]).unwrap().remove(0);
    assert_eq!(rendered.text, "a\u{2}% if tank.water is defined %\u{2}b ce\u{2}% endif %\u{2}");
    let written: Vec<_> = rendered.statements.iter().map(|span| &text[span.clone()]).collect();
    assert_eq!(written, ["{% if tank.water is defined %}", "{% endif %}"]);
    let chain = "{%- if tank.a is defined or tank.b is defined -%}a{% elif not tank.c is defined %}b{% else %}c{% endif %}";
    assert_eq!(render_with(&[chain], &[]).unwrap()[0].statements.len(), 4);
}

#[test]
fn nothing_else_may_depend_on_the_running_tank() {
    for (text, message, meant) in [
        ("{% if tank.water %}a{% endif %}", "does not ask whether", "{% if tank.water %}"),
        (
            "{% if tank.water is defined and tank.water == 3 %}a{% endif %}",
            "does not ask whether",
            "{% if tank.water is",
        ),
        (
            "{% if tank.water is defined and flow.band is defined %}a{% endif %}",
            "not for both",
            "{% if tank.water is",
        ),
        (
            "{% if flow.band is defined %}a{% elif tank.water is defined %}b{% endif %}",
            "not for both",
            "{% elif",
        ),
        (
            "{% if tank.water is defined %}a{% elif flow.band is defined %}b{% endif %}",
            "not for both",
            "{% elif",
        ),
        (
            "{% for pump in flow.pumps %}{% if tank.water is defined %}a{% endif %}{% endfor %}",
            "what stands around it does not",
            "{% if",
        ),
        ("{% for pump in tank.water %}a{% endfor %}", "`for` does not go with", "{% for"),
        ("{% set a = tank.water %}", "`set` does not go with", "{% set"),
        ("{= tank.water | show =}", "stands alone in its tag", "{= tank.water"),
        ("{= tank.lid or \"none\" =}", "stands alone in its tag", "{= tank.lid"),
        ("{= typed(text=tank.name, because=\"a\") =}", "stands alone in its tag", "{= typed"),
    ] {
        let errors = render_with(&[text], &["flow"]).expect_err("should fail").0;
        let error = errors
            .iter()
            .find(|error| error.message.contains(message))
            .unwrap_or_else(|| panic!("{text}: {errors:?}"));
        let place = error.place.as_ref().unwrap();
        assert!(place.text[place.span.clone()].starts_with(meant) && !error.hints.is_empty(), "{error:?}");
    }
}

proptest! {
    /// Text outside tags passes byte for byte.
    #[test]
    fn text_outside_tags_is_unchanged(parts in prop::collection::vec("[ -~éß½\n\r\t]{0,30}", 1..6)) {
        // No brace: nothing can open a tag or be a leftover.
        let parts: Vec<String> = parts.iter().map(|part| part.replace(['{', '}', '%'], "")).collect();
        let text = parts.join("{= tank.water =}");
        prop_assert_eq!(rendered(&text), parts.join("171 L"));
    }

    /// Any text: an answer or errors with valid places, never a panic.
    #[test]
    fn any_text_is_rendered_or_refused(text in r#"([a-z .\n"'`]|\{=|=\}|\{%|%\}|\{\*|\*\}|\{\{|\}\}|raw|endraw|if |for |tank\.|\||\(|\)|é|½){0,40}"#) {
        if let Err(errors) = render_all(&[&text]) {
            prop_assert!(!errors.0.is_empty());
            prop_assert!(!errors.to_string().is_empty());
        }
    }
}
