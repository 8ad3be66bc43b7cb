//! The places of a page that depend on the tank, as a browser finds them.

use std::ops::Range;

/// A place in a page that depends on the tank.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place<'p> {
    /// What the page carries there.
    pub form: &'p str,
    /// What stands there: between the two comments.
    pub span: Range<usize>,
}

/// The places of a page, in its order.
///
/// # Panics
/// When a place has no end.
pub fn places(page: &str) -> Vec<Place<'_>> {
    const OPENS: &str = "<!--reckoner ";
    const CLOSES: &str = "<!--/reckoner-->";
    let place = |(at, _): (usize, &str)| {
        let form = at + OPENS.len()
            ..at + page[at..].find("-->").unwrap_or_else(|| panic!("a comment without an end at {at}"));
        let start = form.end + "-->".len();
        let end =
            start + page[start..].find(CLOSES).unwrap_or_else(|| panic!("no end: {}", &page[at..form.end]));
        Place { form: &page[form], span: start..end }
    };
    page.match_indices(OPENS).map(place).collect()
}
