//! A map of speeds as inline SVG: each zone with a shade, a pattern and a number, and beside it a list that
//! tells them in words and in both units.

mod atlas;

use maud::{Markup, html};
use reckoner_calc::quantity::{Dimension, Rounding, show, show_range};
use reckoner_calc::sheet::{DrawnZone, MapCell, SpeedMap};
use svg::node::element::{Circle, Definitions, Path, Pattern, SVG, path::Data};

use super::{MARGIN, WIDTH, line, rectangle, svg};
use crate::chart::{fixed, label};
use crate::html::{Medium, drawn, readings, written};
use crate::text::escaped;

/// The highest that a map is drawn.
const HIGHEST: f64 = 520.0;
/// The side of a tile of a pattern.
const TILE: f64 = 12.0;

impl Medium {
    /// A map of speeds; `place` makes its ids unique in the book.
    pub fn map(self, map: &SpeedMap, place: &str) -> String {
        match self {
            Medium::Markdown => format!("**{}** {}\n", escaped(&map.title), escaped(&map.description)),
            Medium::Html => {
                let id = format!("{place}-{}-map", map.id);
                written(&html! {
                    figure class="layout speed-map" id=(id) {
                        (drawn(&map_svg(map, &id)))
                        (legend(map, &id))
                        figcaption { (map.title) }
                    }
                })
            }
        }
    }
}

/// What each pattern on the map means.
fn legend(map: &SpeedMap, id: &str) -> Markup {
    let shown = map.zones.iter().enumerate().filter(|(at, _)| map.cells.contains(&MapCell::Zone(*at)));
    html! {
        ul class="zones" {
            @for (at, zone) in shown {
                li {
                    svg viewBox="0 0 36 24" aria-hidden="true" {
                        rect width="36" height="24" fill={ "url(#" (pattern_id(id, at)) ")" } {}
                    }
                    span { b { (at + 1) } " " (zone.name) ": " (zone_speeds(zone)) ", " (readings(&show(zone.share.into(), Rounding::Nearest))) }
                }
            }
        }
    }
}

/// The speeds of a zone.
fn zone_speeds(zone: &DrawnZone) -> Markup {
    match zone.high {
        Some(high) => readings(&show_range(zone.low, high, Rounding::Nearest)),
        None => html! { "over " (readings(&show(zone.low, Rounding::Nearest))) },
    }
}

fn pattern_id(id: &str, zone: usize) -> String {
    format!("{id}-zone-{zone}")
}

fn map_svg(map: &SpeedMap, id: &str) -> SVG {
    let [across, up] = map.size.map(|side| side.si());
    let scale = ((WIDTH - 2.0 * MARGIN) / across).min(HIGHEST / up);
    let (left, top) = ((WIDTH - across * scale) / 2.0, MARGIN + 20.0);
    let at = |[x, y]: [f64; 2]| (left + x * scale, top + (up - y) * scale);
    let mut drawing = svg(id, top + up * scale + MARGIN, &map.title, &map.description);
    let mut patterns = Definitions::new();
    for zone in 0..map.zones.len() {
        patterns = patterns.add(pattern(&pattern_id(id, zone), zone, map.zones.len()));
    }
    drawing = drawing.add(patterns).add(label(left, top - 8.0, "start", &map.view).set("class", "view"));
    let rows = map.cells.len() / map.columns.max(1);
    let cell = [across / map.columns as f64, up / rows.max(1) as f64];
    let corner = |column: usize, row: usize| at([column as f64 * cell[0], row as f64 * cell[1]]);
    let kinds = (0..map.zones.len()).map(MapCell::Zone).chain([MapCell::Rock]);
    let mut names = Vec::new();
    for kind in kinds {
        let patches = patches(map, kind);
        let Some(largest) = patches.iter().max_by_key(|patch| patch.size()) else { continue };
        let mut data = Data::new();
        for patch in &patches {
            let (x, bottom) = corner(patch.left, patch.low);
            let (right, y) = corner(patch.right, patch.high);
            let [x, y, right, bottom] = [x, y, right, bottom].map(fixed);
            data = data
                .move_to((x, y))
                .horizontal_line_to(right)
                .vertical_line_to(bottom)
                .horizontal_line_to(x)
                .close();
        }
        let path = Path::new().set("d", data);
        let (one, other) = (corner(largest.left, largest.low), corner(largest.right, largest.high));
        let middle = ((one.0 + other.0) / 2.0, (one.1 + other.1) / 2.0 + 5.0);
        let (path, name) = match kind {
            MapCell::Zone(zone) => (
                path.set("class", format!("zone zone-{zone}"))
                    .set("fill", format!("url(#{})", pattern_id(id, zone))),
                (zone + 1).to_string(),
            ),
            _ => (path.set("class", "rock"), map.rock.clone()),
        };
        names.push(label(middle.0, middle.1, "middle", &name).set("class", "name"));
        drawing = drawing.add(path);
    }
    drawing = drawing.add(rectangle(left, top, across * scale, up * scale, "pane"));
    for (name, [from, to]) in &map.streams {
        let [from, to] = [from, to].map(|point| at(point.map(|side| side.si())));
        drawing = drawing.add(line(from, to, "axis-of-stream")).add(
            Circle::new().set("cx", fixed(from.0)).set("cy", fixed(from.1)).set("r", 7).set("class", "pump"),
        );
        let (anchor, shift) = if from.0 > WIDTH / 2.0 { ("end", -12.0) } else { ("start", 12.0) };
        names.push(label(from.0 + shift, from.1 - 10.0, anchor, name).set("class", "name"));
    }
    names.into_iter().fold(drawing, SVG::add)
}

/// A rectangle of like cells: from a column and a row up to others.
struct Patch {
    left: usize,
    right: usize,
    low: usize,
    high: usize,
}

impl Patch {
    fn size(&self) -> usize {
        (self.right - self.left) * (self.high - self.low)
    }
}

/// The places of a kind, as rectangles.
fn patches(map: &SpeedMap, kind: MapCell) -> Vec<Patch> {
    let mut patches: Vec<Patch> = Vec::new();
    for (row, cells) in map.cells.chunks(map.columns.max(1)).enumerate() {
        let mut left = 0;
        for run in cells.chunk_by(|one, other| one == other) {
            let right = left + run.len();
            if run[0] == kind {
                let below = |patch: &&mut Patch| (patch.left, patch.right, patch.high) == (left, right, row);
                match patches.iter_mut().find(below) {
                    Some(patch) => patch.high = row + 1,
                    None => patches.push(Patch { left, right, low: row, high: row + 1 }),
                }
            }
            left = right;
        }
    }
    patches
}

/// The pattern of a zone: the stronger, the darker; and each with other marks, from dots to a grid.
fn pattern(id: &str, zone: usize, of: usize) -> Pattern {
    let strength = zone as f64 / (of.max(2) - 1) as f64;
    let half = TILE / 2.0;
    let ground = rectangle(0.0, 0.0, TILE, TILE, "shade").set("fill-opacity", fixed(0.8 * strength));
    let pattern = Pattern::new()
        .set("id", id)
        .set("width", TILE)
        .set("height", TILE)
        .set("patternUnits", "userSpaceOnUse")
        .add(ground);
    let mark = |from: (f64, f64), to: (f64, f64)| line(from, to, "mark");
    let up = || mark((0.0, TILE), (TILE, 0.0));
    let down = || mark((0.0, 0.0), (TILE, TILE));
    let dot = || Circle::new().set("cx", half).set("cy", half).set("r", 1.5).set("class", "dot");
    // The first and the last are always the same; those between take turns.
    if zone + 1 == of {
        return pattern.add(up()).add(down());
    }
    match zone {
        0 => pattern.add(dot()),
        _ => match (zone - 1) % 5 {
            0 => pattern,
            1 => pattern.add(mark((2.0, half), (TILE - 2.0, half))),
            2 => pattern.add(up()),
            3 => pattern.add(mark((half, 0.0), (half, TILE))),
            _ => pattern.add(mark((0.0, half), (TILE, half))).add(mark((half, 0.0), (half, TILE))),
        },
    }
}
