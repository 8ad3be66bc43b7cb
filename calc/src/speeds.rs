//! Speeds that animals meet: what suits them, and where along a stream it is too strong, right or too weak.
//!
//! The ranges are wide, because the literature supports no single best speed: corals caught most at speeds in between, and which
//! speeds those were differed from kind to kind. What a coral does is the better gauge: polyps out and swaying is right.

use uom::si::f64::{Length, Ratio, Velocity};

use crate::decide::stream::{range, run};
use crate::error::{Error, within};
use crate::formulas::stream::{Laws, Stream};
use crate::plan::zone;
use crate::quantity::{Dimension, Rounding, Share, show_range};
use crate::rules::livestock::Livestock;
use crate::rules::speeds::SpeedsRules;
use crate::rules::{Band, Rules};
use crate::sheet::{Cell, Figure, Row, Sheet, Table};
use crate::tank::Tank;
use crate::words::listed;

/// Where along the middle of a stream its speed suits an animal. Distances from the outlet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Zones {
    /// Up to here it may be too strong; nothing where it never is.
    pub too_strong_until: Length,
    /// From there up to here it is right; from here on too weak.
    pub right_until: Length,
    /// Length of the way.
    pub way: Length,
}

/// Where along its middle a stream is too strong, right, and too weak.
///
/// - `band`: the speeds that suit, from 1 mm/s to 20 m/s
/// - `spread`: what a real stream makes of the speed reckoned, rule `stream.spread`
/// - `way`: how far the stream can go, up to 20 m
///
/// Only the middle of the stream is asked; beside it the water is slower, see [`Stream::speed_off_axis`]. An animal must not be hurt by a
/// stream that is stronger than reckoned: too strong goes by the high end of the spread. Too weak goes by the speed reckoned.
///
/// # Errors
/// As [`Stream::reach`], and [`Error::OutOfRange`] for a way that is none.
pub fn zones(stream: &Stream, band: Band<Velocity>, spread: Band<Share>, way: Length) -> Result<Zones, Error> {
    let way = within("the length of the way", way, Length::from_si(0.01)..=Length::from_si(20.0))?;
    let until = |speed: Velocity| {
        if speed > stream.exit_speed() {
            return Ok(Length::default());
        }
        let reach = stream.reach(speed)?;
        Ok::<_, Error>(if reach > way { way } else { reach })
    };
    let (too_strong_until, right_until) = (until(band.high / spread.high.0)?, until(band.low)?);
    // In a narrow band a stream may be too strong until it is too weak.
    let right_until = if right_until > too_strong_until { right_until } else { too_strong_until };
    Ok(Zones { too_strong_until, right_until, way })
}

/// The speed of a fish that swims so many of its own lengths a second.
///
/// - `length`: of the fish, 5 mm to 1 m
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Korsmeyer, Steffensen & Herskin (2002): a parrotfish held 3.2 lengths a second for half an hour, at 20 cm that is 64 cm/s.
pub fn fish_speed(length: Length, lengths_a_second: Ratio) -> Result<Velocity, Error> {
    let length = within("the length of the fish", length, Length::from_si(5e-3)..=Length::from_si(1.0))?;
    Ok(Velocity::from_si(length.si() * lengths_a_second.si()))
}

/// Adds the figures of this topic: `speeds.…`, and its tables.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let way = (run(tank), range(tank, &rules.stream));
    for (when, stock) in [("now", tank.now), ("later", tank.later)] {
        let figure = Figure::new(format!("speeds.{when}"), format!("Speed of the water for {}", stock.words()), rules.speeds.band(stock));
        let with_rules = |figure: Figure| stock.asking().fold(figure, |figure, kind| figure.rule(&format!("speeds.{}", kind.key())));
        sheet.put(with_rules(figure));
        let each = |kind: Livestock| {
            let band = rules.speeds.band(kind);
            format!("{} for {}", show_range(band.low.into(), band.high.into(), Rounding::Nearest), kind.words())
        };
        let each: Vec<_> = stock.asking().map(each).collect();
        let title = format!("Speed of the water for each kind that is to live there {when}");
        sheet.put(with_rules(Figure::new(format!("speeds.{when}_each"), title, listed(&each).as_str())));
    }
    sheet.put(
        Figure::new(
            "speeds.deep_reef",
            "Speed below the waves on an outer reef slope, at the most",
            *rules.speeds.forereef * rules.speeds.deep_reef.0,
        )
        .from("speed where waves drive the water × share that is left", &["rule.speeds.forereef", "rule.speeds.deep_reef"])
        .rule("speeds.forereef")
        .rule("speeds.deep_reef"),
    );
    let examples = [
        ("speeds_round", "round", "the example propeller pump", crate::formulas::stream::example_round(&rules.stream)),
        ("speeds_sheet", "sheet", "the example cross-flow pump", crate::formulas::stream::example_sheet(&rules.stream)),
    ];
    for (id, key, name, (outlet, flow)) in examples {
        let stream = Stream::new(outlet, flow, Laws::of(&rules.stream))?;
        let exit = format!("stream.{key}.exit");
        sheet.put_table(zones_table(id, name, &exit, &stream, way, rules)?);
    }
    sheet.put_table(fish_table(&rules.speeds)?);
    Ok(())
}

/// Livestock → speeds that suit it, and where along a stream it can stand.
///
/// - `exit`: id of the figure for the stream's exit speed
/// - `way`: how far the stream goes, and how far its law holds
pub(crate) fn zones_table(
    id: &'static str,
    pump: &str,
    exit: &str,
    stream: &Stream,
    way: (Length, Length),
    rules: &Rules,
) -> Result<Table, Error> {
    let row = |livestock: Livestock| {
        let (rule, row) = (format!("speeds.{}", livestock.key()), format!("{id}.{}", livestock.key()));
        let band = rules.speeds.band(livestock);
        let suits = Figure::new(row, format!("Speed of the water for {}", livestock.words()), band).rule(&rule);
        let cells = std::iter::once(Cell::Figure(suits)).chain(zone(rules, stream, livestock, way, id, exit)?);
        Ok::<_, Error>(Row { head: Cell::Words(livestock.words().to_owned()), cells: cells.collect() })
    };
    Ok(Table {
        id,
        caption: format!("Where before {pump} the water suits: distance from the outlet, in the middle of the stream"),
        heads: ["What lives there", "Speed that suits", "Can stand from", "up to"].map(str::to_owned).into(),
        rows: Livestock::ALL.into_iter().map(row).collect::<Result<_, _>>()?,
        origin: crate::sheet::Origin::default(),
    })
}

/// Length of a fish → what it swims all day with either kind of fins, and what strong swimmers hold for half an hour.
fn fish_table(rules: &SpeedsRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for length in &*rules.fish_lengths {
        let head = Figure::new(format!("speeds_fish.{}", rows.len() + 1), "Length of the fish", *length);
        let holds = Band { low: fish_speed(*length, rules.fish_holds.low)?, high: fish_speed(*length, rules.fish_holds.high)? };
        let formula = "length × lengths a second";
        let all_day = |key: &str, fins: &str, lengths: Ratio| {
            let title = format!("Speed a fish with {fins} can swim all day");
            let figure = Figure::new(format!("{}.{key}", head.id), title, fish_speed(*length, lengths)?);
            Ok::<_, Error>(figure.from(formula, &[head.id.as_str()]).rule("speeds.fish_cruises").never_above())
        };
        let cells = vec![
            all_day("round_fins", "round fins", rules.fish_cruises.low)?,
            all_day("narrow_fins", "long, narrow fins", rules.fish_cruises.high)?,
            Figure::new(format!("{}.holds", head.id), "Speed a strong swimmer can hold for half an hour", holds)
                .from(formula, &[head.id.as_str()])
                .rule("speeds.fish_holds"),
        ];
        rows.push(Row { head: Cell::Figure(head), cells: cells.into_iter().map(Cell::Figure).collect() });
    }
    Ok(Table {
        id: "speeds_fish",
        caption: "What fish swim".to_owned(),
        heads: ["Length of the fish", "All day, with round fins", "All day, with long, narrow fins", "For half an hour"]
            .map(str::to_owned)
            .into(),
        rows,
        origin: crate::sheet::Origin::default(),
    })
}

#[cfg(test)]
mod tests;
