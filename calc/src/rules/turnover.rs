//! The rules of the topic `turnover`, `calc/rules/turnover.toml`.

use uom::si::f64::{Frequency, Volume, VolumeRate};

use crate::quantity::{Dimension, Share};
use super::livestock::{Lives, Livestock};
use super::{Band, rules};

rules! {
    /// The rules of this topic, `calc/rules/turnover.toml`.
    pub struct TurnoverRules in "turnover" {
        kinds {
            /// How often the water should pass the pumps, by livestock.
            bands: Frequency,
        }
        /// Where in its band to aim: 0 is the low end.
        pub aim: Share => "0 %"..="100 %",
        /// The same for kinds that want unlike bands, kept together.
        pub aim_mixed: Share => "0 %"..="100 %",
        /// Flow that a pump loses between two cleanings.
        pub fouling_allowance: Share => "0 %"..="80 %",
        /// Smallest tank a beginner should start with.
        pub smallest_tank: Volume => "5 L"..="500 L",
        /// Rated flow of the pumps that are sold.
        pub pumps_on_the_market: Band<VolumeRate> => "10 L/h"..="500000 L/h",
        /// Usual tanks by the litre.
        pub usual_litres: Vec<Volume> => "5 L"..="20000 L",
        /// Usual tanks by the US gallon.
        pub usual_gallons: Vec<Volume> => "5 L"..="20000 L",
    }
}

impl TurnoverRules {
    /// The kinds of livestock, from the least water movement to the most.
    pub fn kinds(&self) -> impl Iterator<Item = &Livestock> {
        self.bands.kinds()
    }

    /// The band of turnover for what lives in a tank: that of the kind that wants the most.
    pub fn band(&self, stock: &impl Lives) -> Band<Frequency> {
        *self.bands[stock.most()]
    }

    /// From the least that any kind wants to the most.
    pub fn all_bands(&self) -> Band<Frequency> {
        let nothing = Band { low: Frequency::from_si(f64::INFINITY), high: Frequency::default() };
        self.kinds().map(|kind| self.band(kind)).fold(nothing, |all, band| Band {
            low: all.low.min(band.low),
            high: all.high.max(band.high),
        })
    }

    /// The turnover to aim for within that band: lower where kinds are kept together that want unlike bands,
    /// so that those that want less find places.
    pub fn aimed_at(&self, stock: &impl Lives) -> Frequency {
        self.band(stock).at(if self.is_mixed(stock) { self.aim_mixed.0 } else { self.aim.0 })
    }

    /// Whether corals are kept together that want unlike bands. Fish go with any.
    pub fn is_mixed(&self, stock: &impl Lives) -> bool {
        let most = self.band(stock);
        stock.kinds().iter().any(|kind| kind.is_coral() && self.band(kind) != most)
    }

    /// How far up its band that is.
    pub fn aim_share(&self, stock: &impl Lives) -> Share {
        if self.is_mixed(stock) { *self.aim_mixed } else { *self.aim }
    }
}
