//! What a reader wants of a pump plan.

use crate::document::Table;
use crate::quantity::{Currency, Kind, Money, SoundLevel};

/// What a reader wants of a plan: the table `[wishes]` of a tank file.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Wishes {
    /// The most that the pumps may cost together.
    pub budget: Option<Money>,
    /// The most that may arrive at the pillow.
    pub noise: Option<SoundLevel>,
    /// What makes one plan better than another.
    pub rank: Rank,
    /// Whether the set must still move the low end of the band for now when any one pump stops. Where it need
    /// not, such a set goes before another that is as good.
    pub spare: bool,
}

/// What makes one plan better than another. Where two are equal in it, the cheaper over the years goes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum Rank {
    /// What it costs over the years: price, energy and wet ends.
    #[default]
    Cost,
    /// Its price.
    Price,
    /// How quiet it is.
    Quiet,
    /// How little power it takes.
    Energy,
    /// How few pumps it has.
    Fewest,
}

impl Rank {
    /// Every way to rank, as a tank file names it.
    pub const ALL: [(&'static str, Rank); 5] = [
        ("cost", Rank::Cost),
        ("price", Rank::Price),
        ("quiet", Rank::Quiet),
        ("energy", Rank::Energy),
        ("fewest", Rank::Fewest),
    ];
}

impl Wishes {
    pub(super) fn read(table: &mut Table<'_>, currency: Currency) -> Option<Self> {
        let budget = table.maybe_quantity_of("budget", Kind::Money(currency), "1"..="1000000");
        let noise = table.maybe_quantity("noise", "5 dB"..="80 dB");
        let rank = table.choice_or("rank", &Rank::ALL, Rank::default());
        let spare = table.flag("spare");
        Some(Wishes {
            budget: budget.map(|money| Money { amount: money.si, currency }),
            noise,
            rank: rank?,
            spare,
        })
    }
}
