//! The rules of the topic `sand`, `calc/rules/sand.toml`.

use uom::si::f64::{Length, Ratio};

use crate::quantity::Share;
use super::{Band, Family, rules, words};

rules! {
    /// The rules of this topic, `calc/rules/sand.toml`.
    pub struct SandRules in "sand" {
        each {
            /// Sizes of the grains, by grade.
            "" grades: Grade, Band<Length> => "0.05 mm"..="20 mm",
        }
        /// Soulsby's coefficients of the threshold, in the order of his equation.
        pub threshold: [f64; 4],
        /// Von Kármán's constant.
        pub von_karman: Ratio => "0.35"..="0.45",
        /// Height above the sand at which a speed is told.
        pub near_bed: Length => "2 cm"..="20 cm",
        /// What the speed that really lifts sand can be of the speed reckoned, from the least to the most.
        pub band: Band<Share> => "20 %"..="200 %",
    }
}

impl SandRules {
    /// The sizes of a grade's grains.
    pub fn grade(&self, grade: Grade) -> Band<Length> {
        *self.grades[grade]
    }

    /// The grade that grains of a size are sold as, where two meet the coarser, as its column of heights has
    /// it: that goes by its finest grains. `None` outside all of them.
    pub fn grade_of(&self, size: Length) -> Option<Grade> {
        Grade::ALL.into_iter().rev().find(|grade| self.grade(*grade).contains(size))
    }
}

/// The grades that sand is sold in, from the finest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Grade {
    /// As fine as sugar.
    SugarFine,
    /// Fine.
    Fine,
    /// Medium.
    Medium,
    /// Coarse.
    Coarse,
}

impl Grade {
    /// All grades, the finest first.
    pub const ALL: [Grade; 4] = [Grade::SugarFine, Grade::Fine, Grade::Medium, Grade::Coarse];

    /// The rule's key.
    pub fn key(self) -> &'static str {
        match self {
            Grade::SugarFine => "sugar_fine",
            Grade::Fine => "fine",
            Grade::Medium => "medium",
            Grade::Coarse => "coarse",
        }
    }

    /// In words, as in the middle of a sentence.
    pub(crate) fn words(self, words: &words::Sand) -> &str {
        match self {
            Grade::SugarFine => words.sugar_fine(),
            Grade::Fine => words.fine(),
            Grade::Medium => words.medium(),
            Grade::Coarse => words.coarse(),
        }
    }
}

impl Family for Grade {
    const ALL: &'static [Self] = &Grade::ALL;

    fn key(self) -> &'static str {
        Grade::key(self)
    }
}
