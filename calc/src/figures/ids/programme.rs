//! What the pumps do through the day.

use uom::si::f64::{Energy, Frequency, Time, VolumeRate};

use crate::quantity::{Quantity, SoundLevel};
use crate::rules::Band;
use crate::sheet::Value;

super::ids! {
    /// When the lights are on.
    LIGHTS_HOURS: String = "lights.hours";
    /// When the lights go on.
    LIGHTS_ON: String = "lights.on";
    /// When the lights go off.
    LIGHTS_OFF: String = "lights.off";
    /// Where the programme comes from.
    WHOSE: String = "programme.whose";
    /// Mean flow of the pumps over the day, when clean.
    FLOW: VolumeRate = "programme.flow";
    /// Mean turnover over the day.
    MEAN: Frequency = "programme.mean";
    /// Lowest turnover of the day, feedings left out.
    LOWEST: Frequency = "programme.lowest";
    /// Highest turnover of the day.
    HIGHEST: Frequency = "programme.highest";
    /// Lowest turnover of the day just before a cleaning.
    LOWEST_FOULED: Frequency = "programme.lowest_fouled";
    /// How far that lies below the band for what lives there now.
    SHORT_WHEN_FOULED: Frequency = "programme.short_when_fouled";
    /// Time of the day outside the band for soft corals, pauses counted in.
    OUTSIDE_NOW: Time = "programme.outside_now";
    /// Time of the day outside the band for small-polyp stony corals, pauses counted in.
    OUTSIDE_LATER: Time = "programme.outside_later";
    /// What the pumps use in a day.
    ENERGY_DAY: Band<Energy> = "programme.energy_day";
    /// What that costs in a year.
    COST_YEAR: Value = "programme.cost_year";
    /// The night for which sound is reckoned.
    NIGHT: String = "programme.night";
    /// Sound at the pillow over the night, on average.
    NIGHT_LEVEL: Band<SoundLevel> = "programme.night_level";
    /// Sound at the pillow over the night, on average: against the limit.
    NIGHT_LEVEL_SAYS: String = "programme.night_level_says";
    /// Sound at the pillow in the loudest minute of the night.
    NIGHT_PEAK: Band<SoundLevel> = "programme.night_peak";
    /// Sound at the pillow in the loudest minute of the night: against the limit.
    NIGHT_PEAK_SAYS: String = "programme.night_peak_says";
    /// Speed changes in a day of the pump that has the most.
    CHANGES: Quantity = "programme.changes";
    /// The longest that any pump rests.
    LONGEST_REST: Time = "programme.longest_rest";
    /// The longest that no pump runs.
    LONGEST_STILL: Time = "programme.longest_still";
    /// Pumps that take turns.
    BY_TURNS: String = "programme.by_turns";
    /// When the pumps stir more strongly.
    STIR: String = "programme.stir";
    /// Highest setting at which a stream is neither too strong nor lifts sand.
    MOST: String = "programme.most";
    /// Flow that the day's highest falls short of the least for what lives there now.
    SHORT: VolumeRate = "programme.short";
    /// Pumps that go above that in the day.
    ABOVE: String = "programme.above";
}
