//! What lives in a tank.

use super::Family;
use crate::words::listed;

/// What lives in a tank, from the least water movement to the most.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Livestock {
    /// Fish, no corals.
    FishOnly,
    /// Soft corals.
    Soft,
    /// Large-polyp stony corals.
    LargePolyp,
    /// Small-polyp stony corals.
    SmallPolyp,
    /// Small-polyp stony corals from the surf.
    SmallPolypStrong,
}

impl Livestock {
    /// All kinds, in the order of the water movement they want.
    pub const ALL: [Livestock; 5] =
        [Livestock::FishOnly, Livestock::Soft, Livestock::LargePolyp, Livestock::SmallPolyp, Livestock::SmallPolypStrong];

    /// The rule's key, and the word in a tank file.
    pub fn key(self) -> &'static str {
        match self {
            Livestock::FishOnly => "fish_only",
            Livestock::Soft => "soft",
            Livestock::LargePolyp => "large_polyp",
            Livestock::SmallPolyp => "small_polyp",
            Livestock::SmallPolypStrong => "small_polyp_strong",
        }
    }

    /// In words, as in the middle of a sentence.
    pub fn words(self) -> &'static str {
        match self {
            Livestock::FishOnly => "fish only",
            Livestock::Soft => "soft corals",
            Livestock::LargePolyp => "large-polyp stony corals",
            Livestock::SmallPolyp => "small-polyp stony corals",
            Livestock::SmallPolypStrong => "small-polyp stony corals from the surf",
        }
    }
}

/// All that lives in a tank: one kind of livestock or several at once, as in a mixed reef.
///
/// Whatever asks how much the whole tank must be moved goes by the kind that wants the most; the others get the quieter places.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Stock {
    /// One bit for each kind, in the order of [`Livestock::ALL`].
    kinds: u8,
}

impl Stock {
    /// These kinds; nothing at all counts as fish only.
    pub fn of(kinds: &[Livestock]) -> Self {
        let bits = kinds.iter().fold(0, |bits, kind| bits | 1 << (*kind as u8));
        Stock { kinds: if bits == 0 { 1 << (Livestock::FishOnly as u8) } else { bits } }
    }

    /// Its kinds, from the least water movement to the most.
    pub fn kinds(self) -> impl Iterator<Item = Livestock> {
        Livestock::ALL.into_iter().filter(move |kind| self.holds(*kind))
    }

    /// The kinds that ask something of the stream: the corals, or the fish where there are none.
    pub fn asking(self) -> impl Iterator<Item = Livestock> {
        let only_fish = self.most() == Livestock::FishOnly;
        self.kinds().filter(move |kind| only_fish || *kind != Livestock::FishOnly)
    }

    /// Whether a kind is among them.
    pub fn holds(self, kind: Livestock) -> bool {
        self.kinds & 1 << (kind as u8) != 0
    }

    /// The kind that wants the most movement.
    pub fn most(self) -> Livestock {
        self.kinds().last().unwrap_or(Livestock::FishOnly)
    }

    /// In words, as in the middle of a sentence: "soft corals and small-polyp stony corals".
    pub fn words(self) -> String {
        let alone = self.kinds().count() == 1;
        let word = |kind: Livestock| if kind == Livestock::FishOnly && !alone { "fish" } else { kind.words() };
        listed(&self.kinds().map(word).collect::<Vec<_>>())
    }
}

impl From<Livestock> for Stock {
    fn from(kind: Livestock) -> Self {
        Stock::of(&[kind])
    }
}

impl Family for Livestock {
    const ALL: &'static [Self] = &Livestock::ALL;

    fn key(self) -> &'static str {
        Livestock::key(self)
    }
}
