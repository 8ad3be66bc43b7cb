//! Reasons in the cells of tables.

use crate::decide::reason::Reason;
use crate::quantity::Quantity;
use crate::rules::words;
use crate::sheet::{Cell, Row, figure};
use crate::trace::Traced;

/// The cells of a reason: what was found, and the limit. Ids of the figures begin with `id`. Both take the
/// rounding of the figures that they repeat, and as many digits as it takes to see which is the larger.
pub(crate) fn cells(reason: &Reason, id: &str, words: &words::Plan) -> Vec<Cell> {
    let cell = |key: &str, title: String, value: &Traced<Quantity>, other: &Traced<Quantity>| {
        // Its digits depend on what it is held against.
        let value = figure(format!("{id}.{key}"), || {
            other.note();
            **value
        })
        .titled(title);
        value.against(*other.peek()).into()
    };
    let Reason { words: told, is, limit } = reason;
    vec![cell("is", words.found(told), is, limit), cell("limit", words.held_against(told), limit, is)]
}

/// The row that begins with the reason itself.
pub(crate) fn row(reason: &Reason, id: &str, words: &words::Plan) -> Row {
    Row { head: Cell::Words(reason.words.clone()), cells: cells(reason, id, words) }
}
