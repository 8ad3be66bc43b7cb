//! The rules of the topic `upkeep`, `calc/rules/upkeep.toml`.

use uom::si::f64::{MassConcentration, MolarMass, Time, Volume};

use crate::quantity::Share;
use super::{Band, Family, rules};

rules! {
    /// The rules of this topic, `calc/rules/upkeep.toml`.
    pub struct UpkeepRules in "upkeep" {
        each {
            /// How often each care is due.
            "" intervals: Care, Time => "1 h"..="5 years",
        }
        /// From the bath of one pump to that of the next.
        pub between_pumps: Time => "1 day"..="60 days",
        /// Citric acid in a bath.
        pub citric_strength: MassConcentration => "1 g/L"..="300 g/L",
        /// Acetic acid in vinegar, at the least.
        pub vinegar_acid: MassConcentration => "10 g/L"..="250 g/L",
        /// Share of a vinegar bath that is vinegar.
        pub vinegar_share: Share => "1 %"..="100 %",
        /// A bath that covers a small pump.
        pub bath: Volume => "1 L"..="100 L",
        /// Time in the bath.
        pub soak: Band<Time> => "1 min"..="1 week",
        /// Baths in the table.
        pub table_baths: Vec<Volume> => "100 mL"..="200 L",
        /// Mass of a mole of anhydrous citric acid.
        pub citric_acid: MolarMass => "10 g/mol"..="500 g/mol",
        /// Mass of a mole of citric acid with its crystal water.
        pub citric_monohydrate: MolarMass => "10 g/mol"..="500 g/mol",
        /// Mass of a mole of acetic acid.
        pub acetic_acid: MolarMass => "10 g/mol"..="500 g/mol",
        /// Mass of a mole of lime scale, calcium carbonate.
        pub scale: MolarMass => "10 g/mol"..="500 g/mol",
        /// Share of a clean pump's flow to keep at all times.
        pub wanted_flow: Share => "10 %"..="99 %",
        /// Times since the last cleaning in the table.
        pub table_since: Vec<Time> => "1 day"..="5 years",
    }
}

impl UpkeepRules {
    /// How often a care is due.
    pub fn interval(&self, care: Care) -> Time {
        *self.intervals[care]
    }
}

/// A care that comes round again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Care {
    /// Look at every pump.
    Look,
    /// Wipe the intakes and outlets.
    Wipe,
    /// Take a pump apart and bathe it in acid.
    AcidBath,
    /// Check what wears.
    WearParts,
    /// Press the test button of the residual-current device.
    ResidualCurrentTest,
    /// See that what has a battery runs on it.
    BatteryTest,
}

impl Care {
    /// All of them: the pumps' from the most frequent on, then the two tests.
    pub const ALL: [Care; 6] = [Care::Look, Care::Wipe, Care::AcidBath, Care::WearParts, Care::ResidualCurrentTest, Care::BatteryTest];

    /// The rule's key.
    pub fn key(self) -> &'static str {
        match self {
            Care::Look => "look",
            Care::Wipe => "wipe",
            Care::AcidBath => "acid_bath",
            Care::WearParts => "wear_parts",
            Care::ResidualCurrentTest => "residual_current_test",
            Care::BatteryTest => "battery_test",
        }
    }

    /// Whether it is done for one pump after the other, not for all at once.
    pub fn is_of_one_pump(self) -> bool {
        matches!(self, Care::AcidBath | Care::WearParts)
    }
}

impl Family for Care {
    const ALL: &'static [Self] = &Care::ALL;

    fn key(self) -> &'static str {
        Care::key(self)
    }
}
