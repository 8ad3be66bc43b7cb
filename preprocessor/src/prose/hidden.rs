//! Refuses characters that nobody sees: what overrides the direction of a text makes it read other than it is.

use std::sync::Arc;

use reckoner_calc::document::is_hidden;

use crate::diagnostic::Diagnostic;

/// One error for each such character, in the order of the text. Ends of lines, tabs and the mark with which
/// some editors begin a file are none.
pub fn hidden(file: &str, text: &Arc<str>) -> Vec<Diagnostic> {
    let found = text
        .char_indices()
        .filter(|(at, c)| is_hidden(*c) && !matches!(c, '\n' | '\r' | '\t') && (*at, *c) != (0, '\u{feff}'));
    let error = |(at, c): (usize, char)| {
        let message = format!("a character that does not show, U+{:04X}", u32::from(c));
        Diagnostic::new(file, text.clone(), at..at + c.len_utf8(), message)
            .hint("take it out; what this line shows is not what it says".to_owned())
    };
    found.map(error).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_of_direction_and_control_characters_are_told_with_their_places() {
        let text: Arc<str> = "\u{feff}# A page\r\n\n\tso\u{202e}on\n\u{7}x \u{feff}y\n".into();
        let told: Vec<_> = hidden("a.md", &text)
            .into_iter()
            .map(|error| (error.place.unwrap().line_column(), error.message))
            .collect();
        let told: Vec<_> =
            told.iter().map(|(place, message)| (*place, message.rsplit(' ').next().unwrap())).collect();
        assert_eq!(told, [((3, 4), "U+202E"), ((4, 1), "U+0007"), ((4, 4), "U+FEFF")]);
    }
}
