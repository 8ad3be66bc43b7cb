//! What each topic puts on the sheet, one file a topic.

mod ids;
pub(crate) mod mixing;
pub(crate) mod sand;
pub(crate) mod settling;
pub(crate) mod stream;
pub(crate) mod turnover;
pub(crate) mod waves;
