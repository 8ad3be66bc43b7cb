//! The ids of what stands on a sheet, each declared once, by topic.

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident: $value:ty = $id:literal;)*) => {
        $($(#[$doc])* pub(crate) const $name: $crate::sheet::Id<$value> = $crate::sheet::Id::new($id);)*

        /// All of them.
        #[cfg(test)]
        pub(super) const ALL: &[&str] = &[$($id),*];
    };
}

use ids;

pub(crate) mod assumed;
pub(crate) mod atlas;
pub(crate) mod circuit;
pub(crate) mod cost;
pub(crate) mod evaporation;
pub(crate) mod fit;
pub(crate) mod glass;
pub(crate) mod growth;
pub(crate) mod heat;
pub(crate) mod measured;
pub(crate) mod mixing;
pub(crate) mod oxygen;
pub(crate) mod plan;
pub(crate) mod power;
pub(crate) mod power_cut;
pub(crate) mod programme;
pub(crate) mod return_line;
pub(crate) mod sand;
pub(crate) mod seawater;
pub(crate) mod settling;
pub(crate) mod sound;
pub(crate) mod speed_map;
pub(crate) mod speeds;
pub(crate) mod stream;
pub(crate) mod team;
pub(crate) mod turnover;
pub(crate) mod upgrade;
pub(crate) mod upkeep;
pub(crate) mod volume;
pub(crate) mod waves;
pub(crate) mod weir;

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    #[test]
    fn no_id_is_declared_twice() {
        let all = [
            super::assumed::ALL,
            super::atlas::ALL,
            super::circuit::ALL,
            super::cost::ALL,
            super::evaporation::ALL,
            super::fit::ALL,
            super::glass::ALL,
            super::growth::ALL,
            super::heat::ALL,
            super::measured::ALL,
            super::mixing::ALL,
            super::oxygen::ALL,
            super::plan::ALL,
            super::power::ALL,
            super::power_cut::ALL,
            super::programme::ALL,
            super::return_line::ALL,
            super::sand::ALL,
            super::seawater::ALL,
            super::settling::ALL,
            super::sound::ALL,
            super::speed_map::ALL,
            super::speeds::ALL,
            super::stream::ALL,
            super::team::ALL,
            super::turnover::ALL,
            super::upgrade::ALL,
            super::upkeep::ALL,
            super::volume::ALL,
            super::waves::ALL,
            super::weir::ALL,
        ]
        .concat();
        assert_eq!(all.iter().collect::<BTreeSet<_>>().len(), all.len());
    }
}
