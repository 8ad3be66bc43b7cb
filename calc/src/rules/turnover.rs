//! The rules of the topic `turnover`, `calc/rules/turnover.toml`.

use uom::si::f64::{Frequency, Volume, VolumeRate};

use crate::quantity::Share;
use super::livestock::{Livestock, Stock};
use super::{Band, rules};

rules! {
    /// The rules of this topic, `calc/rules/turnover.toml`.
    pub struct TurnoverRules in "turnover" {
        each {
            /// How often the water should pass the pumps, by livestock.
            "" bands: Livestock, Band<Frequency> => "0.1 per hour"..="500 per hour",
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
    /// The band of turnover for what lives in a tank: that of the kind that wants the most.
    pub fn band(&self, stock: impl Into<Stock>) -> Band<Frequency> {
        *self.bands[stock.into().most()]
    }

    /// The turnover to aim for within that band: lower where kinds are kept together that want unlike bands, so that those that want
    /// less find places.
    pub fn aimed_at(&self, stock: impl Into<Stock>) -> Frequency {
        let stock = stock.into();
        self.band(stock).at(if self.is_mixed(stock) { self.aim_mixed.0 } else { self.aim.0 })
    }

    /// Whether corals are kept together that want unlike bands. Fish go with any.
    pub fn is_mixed(&self, stock: Stock) -> bool {
        let most = self.band(stock);
        stock.kinds().any(|kind| kind != Livestock::FishOnly && self.band(kind) != most)
    }

    /// How far up its band that is.
    pub fn aim_share(&self, stock: impl Into<Stock>) -> Share {
        if self.is_mixed(stock.into()) { *self.aim_mixed } else { *self.aim }
    }
}
