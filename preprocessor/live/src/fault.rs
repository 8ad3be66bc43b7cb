//! What is wrong with a text that was handed in.

use reckoner_calc::document::Problem;
use reckoner_page::text::line_column;

/// So many are told; whoever has more mends these first.
const MOST: usize = 100;

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The text it is in, such as `pumps.toml`; empty where it is in none.
    pub document: String,
    /// The whole key that it is about, such as `glass.length` or `pump[0].height`; empty where it is about no
    /// one key.
    pub key: String,
    /// Line and column, both from 1; none where it has no place.
    pub place: Option<(usize, usize)>,
    /// What is wrong.
    pub message: String,
    /// What would be right.
    pub help: Vec<String>,
}

impl Fault {
    /// A fault without a place.
    pub fn plain(message: impl Into<String>, help: impl Into<String>) -> Self {
        let (document, key, help) = (String::new(), String::new(), vec![help.into()]);
        Fault { document, key, place: None, message: message.into(), help }
    }

    /// A problem of a document with the given text.
    fn of(problem: Problem, text: &str) -> Self {
        let (key, place) = (problem.key(text), line_column(text, &problem.span));
        Fault {
            document: problem.document,
            key,
            place: Some(place),
            message: problem.message,
            help: problem.help,
        }
    }
}

/// Gives each problem its place; `text` finds that of a document.
pub(crate) fn faults<'t>(problems: Vec<Problem>, text: impl Fn(&str) -> &'t str) -> Vec<Fault> {
    let fault = |problem: Problem| {
        let text = text(&problem.document);
        Fault::of(problem, text)
    };
    problems.into_iter().take(MOST).map(fault).collect()
}
