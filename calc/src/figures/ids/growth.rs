//! How corals grow into the water.

use uom::si::f64::{Length, Time};

use crate::rules::Band;

super::ids! {
    /// How much wider the corals get in a year.
    A_YEAR: Band<Length> = "growth.a_year";
    /// How long it takes until they are grown.
    GROWN_IN: Band<Time> = "growth.grown_in";
    /// How long what hangs is enough for them.
    ENOUGH_FOR: Band<Time> = "growth.enough_for";
    /// That what hangs is too little already.
    TOO_LITTLE: String = "growth.too_little";
}
