//! Reasons in the cells of tables.

use crate::decide::reason::Reason;
use crate::quantity::Quantity;
use crate::sheet::{Cell, Row, figure};
use crate::trace::Traced;

/// The cells of a reason: what was found, and the limit. Ids of the figures begin with `id`. Both take the
/// rounding of the figures that they repeat, and as many digits as it takes to see which is the larger.
pub(crate) fn cells(reason: &Reason, id: &str) -> Vec<Cell> {
    let cell = |key: &str, title: &str, value: &Traced<Quantity>, other: &Traced<Quantity>| {
        let title = format!("{}: {title}", reason.words);
        // Its digits depend on what it is held against.
        let value = figure(format!("{id}.{key}"), || {
            other.note();
            **value
        })
        .titled(title);
        value.against(*other.peek()).into()
    };
    let (is, limit) = (&reason.is, &reason.limit);
    vec![cell("is", "what it is", is, limit), cell("limit", "what it is held against", limit, is)]
}

/// The row that begins with the reason itself.
pub(crate) fn row(reason: &Reason, id: &str) -> Row {
    Row { head: Cell::Words(reason.words.clone()), cells: cells(reason, id) }
}
