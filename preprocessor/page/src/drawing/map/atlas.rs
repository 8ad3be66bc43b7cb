//! The atlas as many small maps to one scale: a row for each shape of tank, a column for each way to stack the
//! rock. Their patterns are those of the large maps, told once for all.

use std::fmt::Write as _;

use maud::{Markup, html};
use reckoner_calc::Atlas;
use reckoner_calc::formulas::volume::Outline;
use reckoner_calc::quantity::{Dimension, Kind, Quantity, Rounding, show};
use reckoner_calc::sheet::{DrawnShape, DrawnZone, MapCell, SpeedMap};
use svg::node::element::{Circle, Definitions, Path, SVG};

use super::super::{line, rectangle, sized};
use super::{TILE, patches, pattern, pattern_id, zone_speeds};
use crate::html::{Medium, drawn, readings, written};
use crate::text::escaped;

/// Units of the drawings for a metre.
const SCALE: f64 = 300.0;
/// Room around a tank, for its panes and for the wall at a divider's end.
const ROOM: f64 = 10.0;
/// Length of the line that tells the scale, in metres.
const RULER: f64 = 0.5;

impl Medium {
    /// The atlas of shapes and rock; `place` makes its ids unique in the book.
    pub fn atlas(self, atlas: &Atlas, place: &str) -> String {
        let id = format!("{place}-atlas");
        match self {
            Medium::Markdown => {
                let maps = maps(atlas)
                    .map(|(_, _, map)| format!("- {}: {}\n", escaped(&map.title), escaped(&map.description)));
                format!("**{}**\n\n{}", escaped(&atlas.title), maps.collect::<String>())
            }
            Medium::Html => written(&figure(atlas, &id)),
        }
    }
}

/// Every map with its shape and the name of its rockwork.
fn maps(atlas: &Atlas) -> impl Iterator<Item = (&DrawnShape, &str, &SpeedMap)> {
    atlas.shapes.iter().flat_map(move |shape| {
        let maps = shape.maps.iter();
        maps.filter_map(move |(name, id)| Some((shape, name.as_str(), atlas.sheet.maps.get(id)?)))
    })
}

fn figure(atlas: &Atlas, id: &str) -> Markup {
    // The widest drawing is as wide as its column, the others as they are to it.
    let widest = atlas.shapes.iter().map(|shape| size(shape).0).fold(1.0, f64::max);
    let wide = |units: f64| format!("width:{:.3}%", units / widest * 100.0);
    let ruler = Quantity { kind: Kind::Length, si: RULER };
    html! {
        figure class="layout speed-map atlas" id=(id) {
            (legend(atlas, id))
            div class="ruler" {
                div {
                    i style=(wide(RULER * SCALE)) {}
                    span { (readings(&show(ruler, Rounding::Nearest))) }
                }
            }
            @for shape in &atlas.shapes {
                div class="shape" {
                    p { (shape.name) }
                    @for (_, name, map) in maps(atlas).filter(|(of, ..)| of.name == shape.name) {
                        div {
                            div style=(wide(size(shape).0)) { (drawn(&map_svg(shape, map, id))) }
                            p { (name) }
                        }
                    }
                }
            }
            figcaption { (atlas.title) }
        }
    }
}

/// What each pattern means; the patterns themselves stand in its first drawing.
fn legend(atlas: &Atlas, id: &str) -> Markup {
    let zones = maps(atlas).next().map_or(&[][..], |(_, _, map)| &map.zones);
    let shown = |at: usize| maps(atlas).any(|(_, _, map)| map.cells.contains(&MapCell::Zone(at)));
    let shown: Vec<(usize, &DrawnZone)> = zones.iter().enumerate().filter(|(at, _)| shown(*at)).collect();
    // Small maps bear small marks.
    let small =
        |at: usize| pattern(&pattern_id(id, at), at, zones.len()).set("patternTransform", "scale(0.75)");
    let patterns = shown.iter().map(|(at, _)| small(*at)).fold(Definitions::new(), Definitions::add);
    html! {
        ul class="zones" {
            @for (place, (at, zone)) in shown.iter().enumerate() {
                li {
                    svg viewBox={ "0 0 " (3.0 * TILE) " " (2.0 * TILE) } aria-hidden="true" {
                        @if place == 0 { (maud::PreEscaped(patterns.to_string().replace('\n', ""))) }
                        rect width=(3.0 * TILE) height=(2.0 * TILE) fill={ "url(#" (pattern_id(id, *at)) ")" } {}
                    }
                    span { (zone.name) ": " (zone_speeds(zone)) }
                }
            }
            @if let Some((_, _, map)) = maps(atlas).next() {
                li {
                    svg viewBox={ "0 0 " (3.0 * TILE) " " (2.0 * TILE) } aria-hidden="true" {
                        rect class="rock" width=(3.0 * TILE) height=(2.0 * TILE) {}
                    }
                    span { (map.rock) }
                }
            }
        }
    }
}

/// How wide and how high a shape is drawn, with the room around it.
fn size(shape: &DrawnShape) -> (f64, f64) {
    let [across, up] = [shape.outline.length(), shape.outline.width()].map(|side| side.si() * SCALE);
    (across + 2.0 * ROOM, up + 2.0 * ROOM)
}

fn map_svg(shape: &DrawnShape, map: &SpeedMap, id: &str) -> SVG {
    let (width, height) = size(shape);
    // The front of the box that is mapped: before it a bow swings out.
    let bow = (shape.outline.width() - shape.outline.end_width()).si();
    let at = |[x, y]: [f64; 2]| (ROOM + x * SCALE, height - ROOM - (y + bow) * SCALE);
    let drawing_id = format!("{id}-{}", map.id);
    let mut drawing = sized(&drawing_id, (width.ceil(), height), &map.title, &map.description);
    let rows = map.cells.len() / map.columns.max(1);
    let [across, up] = map.size.map(|side| side.si());
    let cell = [across / map.columns.max(1) as f64, up / rows.max(1) as f64];
    let corner = |column: usize, row: usize| at([column as f64 * cell[0], row as f64 * cell[1]]);
    for kind in (0..map.zones.len()).map(MapCell::Zone).chain([MapCell::Rock]) {
        let mut data = String::new();
        for patch in patches(map, kind) {
            let (x, bottom) = corner(patch.left, patch.low);
            let (right, y) = corner(patch.right, patch.high);
            let [x, y, right, bottom] = [x, y, right, bottom].map(round);
            // Writing to a string cannot fail.
            let _ = write!(data, "M{x} {y}H{right}V{bottom}H{x}z");
        }
        if data.is_empty() {
            continue;
        }
        let path = Path::new().set("d", data);
        drawing = drawing.add(match kind {
            MapCell::Zone(zone) => path
                .set("class", format!("zone zone-{zone}"))
                .set("fill", format!("url(#{})", pattern_id(id, zone))),
            _ => path.set("class", "rock"),
        });
    }
    drawing = panes(drawing, shape, &at);
    for (_, [from, to]) in &map.streams {
        let [from, to] = [from, to].map(|point| at(point.map(|side| side.si())));
        let pump = Circle::new().set("cx", round(from.0)).set("cy", round(from.1)).set("r", 6);
        drawing = drawing.add(line(from, to, "axis-of-stream")).add(pump.set("class", "pump"));
    }
    drawing
}

/// The panes of a tank with what stands behind and beside them.
fn panes(drawing: SVG, shape: &DrawnShape, at: &impl Fn([f64; 2]) -> (f64, f64)) -> SVG {
    let (width, height) = size(shape);
    let (across, up) = (width - 2.0 * ROOM, height - 2.0 * ROOM);
    let drawing = if shape.is_divider {
        drawing.add(rectangle(0.0, 0.0, ROOM * 0.6, height, "room-wall"))
    } else {
        drawing
    };
    let chamber = shape.chamber.si() * SCALE;
    let drawing =
        if chamber > 0.0 { drawing.add(rectangle(ROOM, ROOM, across, chamber, "chamber")) } else { drawing };
    match shape.outline {
        Outline::Box { .. } | Outline::Hexagon { .. } => {
            drawing.add(rectangle(ROOM, ROOM, across, up, "pane"))
        }
        Outline::Cylinder { .. } => drawing.add(
            Circle::new()
                .set("cx", round(width / 2.0))
                .set("cy", round(height / 2.0))
                .set("r", round(across / 2.0))
                .set("class", "pane"),
        ),
        Outline::BowFront { .. } => {
            let [left, right] = [[0.0, 0.0], [across / SCALE, 0.0]].map(at);
            let (half, bow) = (across / 2.0, height - ROOM - left.1);
            let radius = round((half * half + bow * bow) / (2.0 * bow));
            let [x, y, end] = [left.0, left.1, right.0].map(round);
            let data =
                format!("M{x} {y}V{0}H{end}V{y}A{radius} {radius} 0 0 1 {x} {y}M{x} {y}H{end}", round(ROOM));
            drawing.add(Path::new().set("d", data).set("class", "pane"))
        }
    }
}

/// To whole units, a third of a centimetre.
fn round(units: f64) -> i32 {
    units.round() as i32
}
