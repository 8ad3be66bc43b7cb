//! What each topic puts on the sheet, one file a topic.

mod ids;
pub(crate) mod mixing;
pub(crate) mod plan;
pub(crate) mod reasons;
pub(crate) mod turnover;
pub(crate) mod zones;
