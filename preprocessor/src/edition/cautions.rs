//! Cautions that several pages give: their words stand in one place, `cautions.toml` of the book, so that no
//! page says less than another.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use reckoner_calc::document::{self, Table};
use reckoner_page::html::SignalWord;

use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::files::{placed, read_file, shown_path};
use crate::prose::lint::{self, MarkdownOptions};

/// The keys whose texts people read.
const WORDS: [&str; 4] = ["hazard", "consequence", "avoid", "step"];

/// A caution with its words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// How bad it is.
    pub word: SignalWord,
    /// The hazard.
    pub hazard: String,
    /// What happens if nobody avoids it.
    pub consequence: String,
    /// How to avoid it.
    pub avoid: String,
    /// The same as one step of a list or a table; empty where no list needs it.
    pub step: String,
}

/// The shared cautions by their ids.
pub type Cautions = BTreeMap<String, Caution>;

/// Reads the shared cautions of a book; a book without the file has none. Numbers typed by hand are refused
/// as in a chapter.
///
/// # Errors
/// Every problem in the file; a file that can not be read.
pub fn load(file: &Path) -> Result<Cautions, Diagnostics> {
    if !file.exists() {
        return Ok(Cautions::new());
    }
    let (shown, text) = (shown_path(file), read_file(file)?);
    let mut errors = Vec::new();
    let read = document::read(&shown, &text, |root| {
        let mut cautions = Cautions::new();
        for id in root.keys() {
            if let Some(caution) = root.table(&id, |table| read_one(table, &shown, &text, &mut errors)) {
                cautions.insert(id, caution);
            }
        }
        Some(cautions)
    });
    let cautions = read.map_err(|problems| placed(problems, |name| (name.to_owned(), text.clone())))?;
    Diagnostics(errors).or(cautions)
}

fn read_one(table: &mut Table<'_>, shown: &str, text: &str, errors: &mut Vec<Diagnostic>) -> Option<Caution> {
    let words = SignalWord::ALL.map(|word| (word.key(), word));
    let word = table.choice("word", &words);
    let (hazard, consequence, avoid) = (table.text("hazard"), table.text("consequence"), table.text("avoid"));
    let step = table.maybe_text("step").unwrap_or_default();
    let places = table.places();
    for key in WORDS.into_iter().filter(|key| table.has(key)) {
        errors.extend(typed_numbers(shown, text, places.of(key)));
    }
    Some(Caution { word: word?, hazard: hazard?, consequence: consequence?, avoid: avoid?, step })
}

/// The numbers typed into the value at `span`, at their places in the file.
fn typed_numbers(shown: &str, text: &str, span: std::ops::Range<usize>) -> Vec<Diagnostic> {
    let whole: Arc<str> = text.into();
    let found = lint::typed_numbers(shown, &text[span.clone()].into(), &MarkdownOptions::default());
    let in_file = |mut error: Diagnostic| {
        if let Some(place) = &mut error.place {
            place.span = place.span.start + span.start..place.span.end + span.start;
            place.text = whole.clone();
        }
        error
    };
    found.into_iter().map(in_file).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a file with the given text is read as.
    fn read(text: &str) -> Result<Cautions, Diagnostics> {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("cautions.toml");
        std::fs::write(&file, text).unwrap();
        load(&file)
    }

    #[test]
    fn a_caution_is_read_with_its_words() {
        let cautions =
            read("[glass]\nword = \"warning\"\nhazard = \"A\"\nconsequence = \"B\"\navoid = \"C\"\n")
                .unwrap();
        let want = Caution {
            word: SignalWord::Warning,
            hazard: "A".into(),
            consequence: "B".into(),
            avoid: "C".into(),
            step: String::new(),
        };
        assert_eq!(cautions, Cautions::from([("glass".to_owned(), want)]));
    }

    #[test]
    fn a_book_without_the_file_has_no_shared_cautions() {
        let folder = tempfile::tempdir().unwrap();
        assert_eq!(load(&folder.path().join("cautions.toml")).unwrap(), Cautions::new());
    }

    #[test]
    fn every_word_must_be_there_and_the_signal_word_one_of_the_standard() {
        let errors = read("[glass]\nword = \"beware\"\nhazard = \"A\"\nconsequence = \"\"\navoids = \"C\"\n")
            .unwrap_err();
        let lines: Vec<usize> =
            errors.0.iter().map(|error| error.place.as_ref().unwrap().line_column().0).collect();
        assert!(lines.contains(&2) && lines.contains(&4), "{errors}");
        assert!(errors.to_string().contains("avoid"), "{errors}");
    }

    #[test]
    fn a_number_typed_into_a_caution_is_refused_at_its_place() {
        let errors = read(
            "# å\n[glass]\nword = \"notice\"\nhazard = \"A\"\nconsequence = \"B\"\navoid = \"Wait 5 hours.\"\nstep = \"two pumps\"\n",
        );
        let errors = errors.unwrap_err();
        let places: Vec<_> = errors.0.iter().filter_map(|error| error.place.as_ref()).collect();
        assert_eq!(
            places.iter().map(|place| place.line_column()).collect::<Vec<_>>(),
            [(6, 15), (7, 9)],
            "{errors}"
        );
        assert_eq!(&places[0].text[places[0].span.clone()], "5");
        assert_eq!(&places[1].text[places[1].span.clone()], "two");
    }
}
