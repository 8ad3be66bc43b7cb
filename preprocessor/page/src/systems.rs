//! Words in which a value is told in both systems of units, `about 2 L (0.53 US gal)`: each reading in a span of
//! its own, as [figures](crate::html::readings) have them, so that a reader can hide one.

use maud::{Markup, PreEscaped, html};
use reckoner_calc::quantity::{System, UNITS};

/// What stands between a number and its unit.
const JOINED: char = '\u{a0}';

/// A piece of a text.
#[derive(Debug, PartialEq)]
enum Piece<'w> {
    Words(&'w str),
    Both { metric: &'w str, us: &'w str },
}

/// A text of ours as HTML.
///
/// - `escaped`: makes words safe where they are put
pub(crate) fn words(text: &str, escaped: &dyn Fn(&str) -> String) -> Markup {
    html! {
        @for piece in pieces(text) {
            @match piece {
                Piece::Words(words) => (PreEscaped(escaped(words))),
                Piece::Both { metric, us } => (both(&PreEscaped(escaped(metric)), &PreEscaped(escaped(us)))),
            }
        }
    }
}

/// A text of ours in one system of units: of a value that is told in both, only that reading.
pub fn only(text: &str, system: System) -> String {
    let said = |piece| match (piece, system) {
        (Piece::Words(words), _) | (Piece::Both { metric: words, .. }, System::Metric) => words,
        (Piece::Both { us, .. }, System::Us) => us,
    };
    pieces(text).into_iter().map(said).collect()
}

/// Both readings of one value, the second in brackets.
pub(crate) fn both(metric: &Markup, us: &Markup) -> Markup {
    html! {
        span class="metric" { (metric) }
        span class="both" { " (" }
        span class="us" { (us) }
        span class="both" { ")" }
    }
}

fn pieces(text: &str) -> Vec<Piece<'_>> {
    let mut pieces = Vec::new();
    let mut from = 0;
    for (open, bracket) in text.match_indices(" (") {
        let inside = open + bracket.len();
        let Some(us) = text[inside..].split(')').next().filter(|us| inside + us.len() < text.len()) else {
            break;
        };
        let Some((metric, unit)) = text.get(from..open).and_then(reading_at_end) else { continue };
        if !reading(us).is_some_and(|other| measure_alike(unit, &other)) {
            continue;
        }
        let start = open - metric.len();
        pieces.extend((from < start).then(|| Piece::Words(&text[from..start])));
        pieces.push(Piece::Both { metric, us });
        from = inside + us.len() + 1;
    }
    pieces.extend((from < text.len()).then(|| Piece::Words(&text[from..])));
    pieces
}

fn is_number(text: &str) -> bool {
    text.contains(|letter: char| letter.is_ascii_digit()) && text.chars().all(is_of_number)
}

fn is_of_number(letter: char) -> bool {
    letter.is_ascii_digit() || ['.', ',', '-', '−'].contains(&letter)
}

/// A value or a range with which a text ends, and its unit.
fn reading_at_end(text: &str) -> Option<(&str, &str)> {
    let (numbers, unit) = text.rsplit_once(JOINED)?;
    let of_last = |text: &str| text.trim_end_matches(is_of_number).len();
    let mut start = of_last(numbers);
    if !is_number(&numbers[start..]) {
        return None;
    }
    if let Some(low) = numbers[..start].strip_suffix(" to ").filter(|low| is_number(&low[of_last(low)..])) {
        start = of_last(low);
    }
    Some((&text[start..], unit))
}

/// The unit of a text that is a value or a range and nothing else.
fn reading(text: &str) -> Option<String> {
    let (numbers, unit) = text.split_once(JOINED)?;
    numbers.split(" to ").all(is_number).then(|| unit.replace(JOINED, " "))
}

/// Whether two symbols are units of one kind.
fn measure_alike(one: &str, other: &str) -> bool {
    UNITS.iter().filter(|unit| unit.symbol == one).any(|unit| {
        UNITS.iter().any(|second| second.kind == unit.kind && second.symbol == other && other != one)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use reckoner_calc::quantity::Kind;
    use reckoner_calc::quantity::{Quantity, Rounding, parse_as, show, show_range};

    fn told(text: &str) -> Vec<(&str, &str)> {
        let both = |piece| match piece {
            Piece::Both { metric, us } => Some((metric, us)),
            Piece::Words(_) => None,
        };
        pieces(text).into_iter().filter_map(both).collect()
    }

    #[test]
    fn every_value_as_it_is_printed_is_found_in_words() {
        for (kind, low, high) in [
            (Kind::Volume, "2 L", "31000 L"),
            (Kind::Flow, "1400 L/h", "2850 L/h"),
            (Kind::Speed, "10 cm/s", "40 cm/s"),
            (Kind::Length, "6.1 m", "200 mm"),
            (Kind::Mass, "30 g", "12 kg"),
            (Kind::Area, "0.1 m2", "2 m2"),
            (Kind::Temperature, "-2 °C", "31 °C"),
        ] {
            let [low, high]: [Quantity; 2] = [low, high].map(|text| parse_as(kind, text).unwrap());
            for shown in [show(low, Rounding::Nearest), show_range(low, high, Rounding::Nearest)] {
                let us = shown.us.as_ref().unwrap().to_string();
                let metric = shown.metric.to_string();
                let text = format!("a jug (or two) of about {shown} by its handle, or {shown}");
                assert_eq!(told(&text), [(&*metric, &*us); 2], "{text}");
            }
        }
    }

    #[test]
    fn other_brackets_stay_as_they_are() {
        for text in [
            "",
            "the residual-current device (GFCI)",
            "2\u{a0}L (0.53\u{a0}US\u{a0}gal",
            "2\u{a0}L (0.53\u{a0}in)",
            "2\u{a0}L (2\u{a0}L)",
            "2\u{a0}L (about 0.53\u{a0}US\u{a0}gal)",
            "L (0.53\u{a0}US\u{a0}gal)",
            "\u{a0}L (\u{a0}US\u{a0}gal)",
        ] {
            assert_eq!(told(text), [], "{text}");
        }
    }

    #[test]
    fn one_reading_is_told_alone() {
        let text = "a jug of 2\u{a0}L (0.53\u{a0}US\u{a0}gal) (or two)";
        assert_eq!(only(text, System::Metric), "a jug of 2\u{a0}L (or two)");
        assert_eq!(only(text, System::Us), "a jug of 0.53\u{a0}US\u{a0}gal (or two)");
    }

    #[test]
    fn what_the_words_say_is_only_text() {
        let made =
            words("<b> 2\u{a0}L (0.53\u{a0}US\u{a0}gal) & more", &|text| html! { (text) }.into_string());
        assert_eq!(
            made.into_string(),
            "&lt;b&gt; <span class=\"metric\">2\u{a0}L</span><span class=\"both\"> (</span><span class=\"us\">0.53\u{a0}US\u{a0}gal</span>\
             <span class=\"both\">)</span> &amp; more"
        );
    }
}
