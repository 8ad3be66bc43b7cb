//! What each topic puts on the sheet, one file a topic.

pub(crate) mod assumed;
pub(crate) mod circuit;
pub(crate) mod cost;
pub(crate) mod fit;
pub(crate) mod ids;
pub(crate) mod mixing;
pub(crate) mod oxygen;
pub(crate) mod plan;
pub(crate) mod power;
pub(crate) mod power_cut;
pub(crate) mod programme;
pub(crate) mod reasons;
pub(crate) mod return_line;
pub(crate) mod sand;
pub(crate) mod seawater;
pub(crate) mod settling;
pub(crate) mod sound;
pub(crate) mod speeds;
pub(crate) mod stream;
pub(crate) mod team;
pub(crate) mod turnover;
pub(crate) mod upgrade;
pub(crate) mod upkeep;
pub(crate) mod volume;
pub(crate) mod waves;
pub(crate) mod zones;
