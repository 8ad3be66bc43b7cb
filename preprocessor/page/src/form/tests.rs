use super::*;
use reckoner_calc::tank::keys;

const PUMPS: &str = "currency = \"USD\"\n[[pump]]\nmodel = \"A <b>\"\nkind = \"round-fixed\"\nrated_flow = \"1000 L/h\"\noutlet = \"20 mm\"\npower = \"3 W\"\n\
                     sound = \"30 dB\"\nprice = \"25 USD\"\nwet_end_price = \"10 USD\"\nshaft = \"plastic\"\n";

fn made() -> String {
    form(&Rules::compiled_in().unwrap(), &Catalogue::read("pumps.toml", PUMPS).unwrap())
}

/// All values of an attribute in their order.
fn all<'h>(html: &'h str, attribute: &str) -> Vec<&'h str> {
    html.split(&format!(" {attribute}=\"")).skip(1).filter_map(|rest| rest.split('"').next()).collect()
}

#[test]
fn every_key_has_one_field_but_for_those_that_only_the_file_says() {
    let (html, rules) = (made(), Rules::compiled_in().unwrap());
    let mut wanted: Vec<_> =
        keys(&rules).into_iter().filter(|key| !key.wanted.is_table()).map(|key| key.path).collect();
    wanted.retain(|path| !IN_THE_FILE.iter().any(|table| path.starts_with(&format!("{table}[]"))));
    wanted.sort();
    wanted.dedup();
    let mut fields = all(&html, "data-path");
    fields.sort_unstable();
    assert_eq!(fields, wanted);
}

#[test]
fn every_field_has_a_label_a_hint_and_a_place_for_its_problem() {
    let html = made();
    let ids = all(&html, "id");
    let mut once = ids.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), ids.len(), "two elements of one id");
    for (attribute, least) in
        [("for", 60), ("aria-describedby", 60), ("aria-controls", 2), ("aria-labelledby", 2)]
    {
        let named = all(&html, attribute);
        assert!(named.len() >= least, "{attribute}: {}", named.len());
        for id in named.iter().flat_map(|ids| ids.split(' ')) {
            assert!(ids.contains(&id), "{attribute} names {id}");
        }
    }
    assert!(html.contains("<label for=\"tank-glass-length\">Length</label>"));
    assert!(html.contains("id=\"tank-glass-length-hint\">From left to right. Such as 90 cm or 36 in.</p>"));
}

#[test]
fn what_depends_on_a_choice_says_on_which() {
    let html = made();
    let of = |path: &str| {
        let field = html
            .split("<div class=\"field\"")
            .find(|field| field.starts_with(&format!(" data-path=\"{path}\"")))
            .unwrap();
        (all(field, "data-when").first().copied(), all(field, "data-of").first().copied())
    };
    assert_eq!(of("glass.length"), (Some("glass.shape"), Some("box bow_front")));
    assert_eq!(of("battery.idle"), (Some("battery.output"), Some("inverter")));
    assert_eq!((of("glass.height").0, of("rock.porosity").0), (None, None));
}

#[test]
fn what_a_catalogue_says_is_only_text() {
    let html = made();
    // One is to choose for a pump that is there, and one begins a new one.
    assert_eq!(
        html.matches("\">A &lt;b&gt;, 1000\u{a0}L/h (260\u{a0}US\u{a0}gal/h)</option>").count(),
        2,
        "{html}"
    );
    assert!(!html.contains('\n') && !html.contains("style=") && !html.contains("onclick"));
}

#[test]
fn a_new_fish_begins_with_what_such_a_fish_weighs() {
    let html = made();
    for option in [
        "<option value=\"Small goby\" data-key=\"name\" data-count=\"1\" data-mass=\"3 g\">Small goby, 3\u{a0}g (",
        "<option value=\"Fish\" data-key=\"name\" data-count=\"1\">another fish",
    ] {
        assert!(html.contains(option), "{option} is not in {html}");
    }
    assert!(all(&html, "data-mass").iter().all(|mass| mass.ends_with(" g")), "{:?}", all(&html, "data-mass"));
}

#[test]
fn the_shape_follows_what_is_typed() {
    let drawn = |glass: &str| shape(&format!("[glass]\n{glass}\n"), "your-tank");
    assert_eq!(drawn(""), "");
    assert_eq!(drawn("shape = \"ball\""), "");
    for (glass, said, element) in [
        ("shape = \"box\"\nlength = \"1 m\"\nwidth = \"2 ft\"", "length 1 m, width 2 ft.", "<rect"),
        ("shape = \"cylinder\"\ndiameter = \"60 cm\"\nheight = \"0,5 m\"", "diameter 60 cm.", "<circle"),
        (
            "shape = \"bow_front\"\nlength = \"9 km\"",
            "length?, width in the middle?, width?.",
            "A354.2,354.2,0,0,1,",
        ),
        ("shape = \"hexagon\"\nacross = \"much\"", "across?.", "<path"),
    ] {
        let html = drawn(glass);
        assert!(html.contains(&format!("<desc id=\"your-tank-above-desc\">{said}</desc>")), "{html}");
        assert!(html.contains(element), "{html}");
        assert!(!html.contains("NaN") && !html.contains("inf"), "{html}");
    }
    // A pane as long as the room for a view, its ends 45 cm deep, its middle 10 cm more.
    let bowed =
        drawn("shape = \"bow_front\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nmiddle_width = \"55 cm\"");
    assert!(bowed.contains(" d=\"M30,184 L30,34 L330,34 L330,184 A354.2,354.2,0,0,1,30,184\""), "{bowed}");
    // What was typed is only text.
    assert!(!drawn("shape = \"box\"\nlength = \"<b>1 m\"").contains("<b>"));
    // Twice as long is twice as long.
    let wide = |length: &str| {
        let html =
            drawn(&format!("shape = \"box\"\nlength = \"{length}\"\nwidth = \"1 m\"\nheight = \"1 m\""));
        all(&html, "width").first().unwrap().parse::<f64>().unwrap()
    };
    assert!((wide("1 m") - 2.0 * wide("50 cm")).abs() < 0.2);
}
