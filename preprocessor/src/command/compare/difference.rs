//! Two versions of a page side by side: which piece became which, which are new and which are gone.

use similar::{Algorithm, DiffOp, capture_diff_slices};

use super::printed::{Piece, Printed};

/// A piece that differs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Where it stands, as [`Piece::under`] says; where it stood, if it is gone.
    pub under: Vec<String>,
    /// What it said; nothing where it is new.
    pub from: Option<String>,
    /// What it says; nothing where it is gone.
    pub to: Option<String>,
    /// The ids of the figures in both.
    pub figures: Vec<String>,
}

impl Change {
    fn new(from: Option<&Piece>, to: Option<&Piece>) -> Self {
        let text = |piece: Option<&Piece>| piece.map(|piece| piece.text.clone());
        let mut figures: Vec<_> =
            to.into_iter().chain(from).flat_map(|piece| piece.figures.iter().cloned()).collect();
        let mut seen = std::collections::BTreeSet::new();
        figures.retain(|id| seen.insert(id.clone()));
        let under = to.or(from).map_or_else(Vec::new, |piece| piece.under.clone());
        Change { under, from: text(from), to: text(to), figures }
    }
}

/// The pieces that differ, in the order of the page.
pub fn changes(old: &[Piece], new: &[Piece]) -> Vec<Change> {
    let texts = |pieces: &[Piece]| pieces.iter().map(|piece| piece.text.clone()).collect::<Vec<_>>();
    let mut found = Vec::new();
    for op in capture_diff_slices(Algorithm::Myers, &texts(old), &texts(new)) {
        if !matches!(op, DiffOp::Equal { .. }) {
            pair(&old[op.old_range()], &new[op.new_range()], &mut found);
        }
    }
    found
}

/// The titles of the drawings whose lines are not the same.
pub fn redrawn(old: &Printed, new: &Printed) -> Vec<String> {
    let mut waiting = old.drawings.as_slice();
    let mut found = Vec::new();
    for drawing in &new.drawings {
        // One whose title is new is told by its title.
        if let Some(at) = waiting.iter().position(|before| before.title == drawing.title) {
            if waiting[at].shape != drawing.shape {
                found.push(drawing.title.clone());
            }
            waiting = &waiting[at + 1..];
        }
    }
    found
}

/// How far a piece is looked for among those that stood at its place.
const REACH: usize = 60;

/// Finds for each new piece the one that it was, in their order; what has none is new, and what is left over
/// is gone.
fn pair(old: &[Piece], new: &[Piece], found: &mut Vec<Change>) {
    let mut waiting = old;
    for piece in new {
        let before = waiting.iter().take(REACH).position(|before| is_like(before, piece));
        if let Some(at) = before {
            found.extend(waiting[..at].iter().map(|gone| Change::new(Some(gone), None)));
            found.push(Change::new(Some(&waiting[at]), Some(piece)));
            waiting = &waiting[at + 1..];
        } else {
            found.push(Change::new(None, Some(piece)));
        }
    }
    found.extend(waiting.iter().map(|gone| Change::new(Some(gone), None)));
}

/// A cell is the one that stood at its place; other pieces share at least half of their words.
fn is_like(old: &Piece, new: &Piece) -> bool {
    if old.under.len() > 1 && old.under == new.under {
        return true;
    }
    let mut words: Vec<_> = old.text.split(' ').collect();
    let (all, of_new) = (words.len(), new.text.split(' ').count());
    let shared = new.text.split(' ').filter(|word| {
        words.iter().position(|other| other == word).map(|at| words.swap_remove(at)).is_some()
    });
    2 * shared.count() >= all.max(of_new)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pieces(texts: &[&str]) -> Vec<Piece> {
        texts
            .iter()
            .map(|text| Piece { under: vec!["H".to_owned()], text: (*text).to_owned(), figures: Vec::new() })
            .collect()
    }

    fn told(old: &[&str], new: &[&str]) -> Vec<(Option<String>, Option<String>)> {
        changes(&pieces(old), &pieces(new)).into_iter().map(|change| (change.from, change.to)).collect()
    }

    fn text(text: &str) -> Option<String> {
        Some(text.to_owned())
    }

    #[test]
    fn what_is_the_same_is_not_told() {
        assert_eq!(told(&["a b", "c"], &["a b", "c"]), []);
        assert_eq!(told(&["a b c", "d"], &["a b e", "d"]), [(text("a b c"), text("a b e"))]);
    }

    #[test]
    fn what_is_new_or_gone_stands_alone() {
        assert_eq!(told(&["one two"], &["one two", "three"]), [(None, text("three"))]);
        assert_eq!(told(&["one two", "three"], &["one two"]), [(text("three"), None)]);
        // A sentence that has nothing of the old one is another.
        assert_eq!(
            told(&["one two"], &["three four"]),
            [(None, text("three four")), (text("one two"), None)]
        );
        let both = told(&["gone for good", "it is 4 L", "end"], &["it is 5 L", "end"]);
        assert_eq!(both, [(text("gone for good"), None), (text("it is 4 L"), text("it is 5 L"))]);
    }

    #[test]
    fn a_cell_is_known_by_its_place() {
        let cell = |row: &str, text: &str| Piece {
            under: vec!["T".to_owned(), row.to_owned()],
            text: text.to_owned(),
            figures: vec![format!("t.{row}")],
        };
        let found = changes(&[cell("a", "1"), cell("b", "2")], &[cell("b", "9")]);
        assert_eq!(found.len(), 2);
        assert_eq!((found[0].from.as_deref(), found[0].to.as_deref()), (Some("1"), None));
        assert_eq!((found[1].from.as_deref(), found[1].to.as_deref()), (Some("2"), Some("9")));
        assert_eq!(found[1].figures, ["t.b"]);
    }
}
