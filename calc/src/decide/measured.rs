//! What a crumb's way says, and whether what was measured is near what was reckoned.

use uom::si::f64::{Length, Time, Velocity};

use crate::catalogue::Catalogue;
use crate::error::Error;
use crate::formulas::stream::{Laws, Stream};
use crate::quantity::{Dimension, Share};
use crate::rules::Band;
use crate::rules::stream::StreamRules;
use crate::tank::{Crumb, Tank};

/// What was measured beside what was reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beside {
    /// Less than can be by chance.
    Less,
    /// Near it.
    Near,
    /// More than can be by chance.
    More,
}

/// How a value stands to a range that was reckoned, widened by a share.
pub fn beside<D: Dimension>(measured: D, reckoned: Band<D>, near: Share) -> Beside {
    within(measured.si(), reckoned.low.si() * (1.0 - near.0), reckoned.high.si() * (1.0 + near.0))
}

/// How a value stands to two ends.
pub fn within(value: f64, low: f64, high: f64) -> Beside {
    if value < low {
        Beside::Less
    } else if value > high {
        Beside::More
    } else {
        Beside::Near
    }
}

/// The middle of a range: what it is off by on either side is a factor, unless it begins at nothing; `None`
/// for a range of nothing.
pub fn middle<D: Dimension>(band: Band<D>) -> Option<f64> {
    let (low, high) = (band.low.si(), band.high.si());
    (high > 0.0).then(|| if low > 0.0 { (low * high).sqrt() } else { high / 2.0 })
}

/// The mean speed of a crumb in the middle of the stream of its pump, as the pump is set, with what the law of
/// a stream can be off; `None` for a pump that no catalogue has.
///
/// # Errors
/// Those of the stream.
pub fn crumb_speed(
    crumb: &Crumb,
    tank: &Tank,
    catalogue: &Catalogue,
    rules: &StreamRules,
) -> Result<Option<Band<Velocity>>, Error> {
    let hung = tank.pumps.iter().find(|pump| pump.name == crumb.pump);
    let Some((hung, model)) = hung.and_then(|hung| Some((hung, catalogue.pump(&hung.model)?))) else {
        return Ok(None);
    };
    let setting = Share(hung.setting.0.max(model.lowest_setting.0));
    let stream = Stream::new(model.outlet, model.rated_flow, Laws::of(rules))?.at_setting(setting)?;
    let time = time_along(&stream, crumb.from, crumb.to)?;
    Ok(Some(rules.spread_of((crumb.to - crumb.from) / time)))
}

/// How long a crumb takes in the middle of a stream from one distance to another: `∫ dx ÷ u`, by Simpson's
/// rule.
fn time_along(stream: &Stream, from: Length, to: Length) -> Result<Time, Error> {
    const STEPS: u32 = 64;
    let step = (to - from) / f64::from(STEPS);
    let mut sum = Time::default();
    for at in 0..=STEPS {
        let weight = match at {
            0 | STEPS => 1.0,
            odd if odd % 2 == 1 => 4.0,
            _ => 2.0,
        };
        sum += step / stream.speed_at(from + step * f64::from(at))? * weight;
    }
    Ok(sum / 3.0)
}

#[cfg(test)]
mod tests {
    use uom::si::f64::VolumeRate;

    use super::*;
    use crate::formulas::stream::Outlet;
    use crate::rules::Rules;

    #[test]
    fn a_crumb_takes_as_long_as_the_law_of_a_round_stream_has_it() {
        // Far from its outlet a round stream slows with the distance: u = k ÷ x, so that the time is
        // (b² − a²) ÷ 2k.
        let rules = Rules::compiled_in().unwrap();
        let outlet = Outlet::Round { diameter: Length::from_si(0.02) };
        let stream = Stream::new(outlet, VolumeRate::from_si(5e-4), Laws::of(&rules.stream)).unwrap();
        let (a, b) = (Length::from_si(1.0), Length::from_si(2.0));
        let k = stream.speed_at(b).unwrap().si() * b.si();
        let time = time_along(&stream, a, b).unwrap().si();
        let by_hand = (b.si() * b.si() - a.si() * a.si()) / (2.0 * k);
        assert!((time / by_hand - 1.0).abs() < 0.02, "{time} against {by_hand}");
        // Two parts of the way take as long as the whole.
        let half = Length::from_si(1.4);
        let parts = time_along(&stream, a, half).unwrap() + time_along(&stream, half, b).unwrap();
        assert!((parts.si() / time - 1.0).abs() < 1e-6);
    }

    #[test]
    fn near_is_the_range_and_a_little_more() {
        let band = Band { low: Share(0.4), high: Share(0.5) };
        let told = |value| beside(Share(value), band, Share(0.2));
        assert_eq!(
            [0.31, 0.33, 0.45, 0.59, 0.61].map(told),
            [Beside::Less, Beside::Near, Beside::Near, Beside::Near, Beside::More]
        );
    }
}
