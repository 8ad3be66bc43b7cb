//! Where along a stream animals can stand, in the cells of tables.

use uom::si::f64::Length;

use crate::decide::speeds::{Zones, zones};
use crate::error::Error;
use crate::formulas::stream::Stream;
use crate::rules::livestock::Livestock;
use crate::rules::{Rules, words};
use crate::sheet::{Cell, Reckoned, figure};
use crate::trace::Traced;
use crate::words::sentence_case;

/// The heads of a table of zones: the pump, then for each kind where its place begins and where it ends.
pub(crate) fn zone_heads(kinds: &[&Livestock], words: &words::Zones) -> Vec<String> {
    let of_kind = |kind: &&Livestock| [words.begins(sentence_case(kind.words())), words.ends().to_owned()];
    std::iter::once(words.pump().to_owned()).chain(kinds.iter().flat_map(of_kind)).collect()
}

/// Where along the middle of a stream a kind can stand: where its place begins and where it ends, or in words
/// that it has none. Both ends are rounded away from the pump: too strong is worse than too weak. Farther out
/// than the law of a stream holds, it is slower than reckoned, so no place is told to reach beyond that.
///
/// - `id`: the row's
/// - `on`: the stream, how far it goes, and how far its law holds
pub(crate) fn zone<F>(rules: &Rules, kind: &Livestock, id: &str, on: F) -> Result<Traced<[Cell; 2]>, Error>
where
    F: FnOnce() -> Result<(Stream, Length, Length), Error>,
{
    let words = &rules.words.zones;
    Traced::ok(|| {
        let (stream, way, holds) = on()?;
        let zones = zones(&stream, rules.speeds.band(kind), *rules.stream.spread, way)?;
        // However gently a stream leaves its pump, no coral grows into the opening.
        let least = if kind.is_coral() { *rules.speeds.least_distance } else { Length::default() };
        let begins_at = zones.too_strong_until.max(least);
        if zones.right_until <= begins_at {
            let only = if begins_at >= zones.way { words.beside_only() } else { words.too_weak() };
            return Ok([only, "–"].map(|words| Cell::Words(words.to_owned())));
        }
        let end = |key: &str, title: String, at: Length| {
            let end = figure(format!("{id}.{}.{key}", kind.key()), || at).titled(title);
            end.says("distance at which the stream has slowed to an end of the band")
        };
        let begins = if begins_at > Length::default() {
            end("from", words.from(kind.words()), begins_at).never_below().into()
        } else {
            Cell::Words(words.outlet().to_owned())
        };
        let ends = if begins_at >= holds {
            Cell::Words(words.slower_than_reckoned().to_owned())
        } else if zones.right_until > holds {
            end("up_to", words.up_to_reckoned(kind.words()), holds).never_above().into()
        } else if zones.right_until < zones.way {
            end("up_to", words.up_to(kind.words()), zones.right_until).never_below().into()
        } else {
            Cell::Words(words.far_glass().to_owned())
        };
        Ok([begins, ends])
    })
}

/// Up to where a stream is too strong, or in words that it is so all the way or nowhere.
///
/// - `figure`: the cell's, where it is so on a part of its way
pub(crate) fn too_strong_until<F>(zones: &Zones, words: &words::Zones, figure: F) -> Cell
where
    F: FnOnce(Length) -> Reckoned<Length>,
{
    if zones.too_strong_until >= zones.way {
        Cell::Words(words.far_glass().to_owned())
    } else if zones.too_strong_until > Length::default() {
        let until = figure(zones.too_strong_until);
        until.says("distance at which the stream has slowed enough").never_below().into()
    } else {
        Cell::Words(words.nowhere().to_owned())
    }
}
