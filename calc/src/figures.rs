//! What each topic puts on the sheet, one file a topic.

mod ids;
pub(crate) mod mixing;
pub(crate) mod power_cut;
pub(crate) mod programme;
pub(crate) mod turnover;
