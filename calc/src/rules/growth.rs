//! The rules of the topic `growth`, `calc/rules/growth.toml`.

use uom::si::f64::{Length, Time};

use super::livestock::{Livestock, Stock};
use super::{Band, rules};
use crate::rules::livestock::Lives;

rules! {
    /// The rules of this topic, `calc/rules/growth.toml`.
    pub struct GrowthRules in "growth" {
        /// How much wider a branching colony gets in a year.
        pub branching: Band<Length> => "1 mm"..="50 cm",
        /// The same of a large-polyp or boulder coral.
        pub massive: Band<Length> => "1 mm"..="50 cm",
        /// The same of a soft coral.
        pub soft: Band<Length> => "1 mm"..="50 cm",
        /// Size of a coral when it is bought.
        pub frag: Length => "5 mm"..="20 cm",
        /// Size at which a colony counts as grown.
        pub colony: Length => "5 cm"..="1 m",
        /// How far apart corals are set.
        pub apart: Length => "5 cm"..="1 m",
        /// Times in the table.
        pub months: Vec<Time> => "0 days"..="20 years",
    }
}

impl GrowthRules {
    /// How much wider the corals of a stock get in a year: the fastest kind counts; `None` without corals.
    pub fn a_year(&self, stock: &Stock) -> Option<Band<Length>> {
        let corals = || stock.kinds().iter().filter(|kind| kind.is_coral());
        if corals().any(Livestock::is_small_polyp) {
            return Some(*self.branching);
        }
        if corals().any(|kind| !kind.is_stony()) {
            return Some(*self.soft);
        }
        corals().next().map(|_| *self.massive)
    }
}
