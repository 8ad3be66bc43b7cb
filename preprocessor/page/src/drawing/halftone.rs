//! The water of a tank as dots, the larger the faster: the cover, and what opens each part of the book.
//!
//! It is drawn from the same cells as the map of speeds, so it follows the tank and the rules. It is an
//! ornament: what there is to know stands on the map.

use maud::html;
use reckoner_calc::Sheet;
use reckoner_calc::quantity::Dimension;
use reckoner_calc::sheet::{MapCell, SpeedMap};
use svg::Document;
use svg::node::element::{Path, SVG};

use crate::chart::fixed;
use crate::html::{Medium, drawn, written};

/// How many dots stand beside each other.
const COLUMNS: usize = 75;
/// As many rows as a tank that is two and a half times as long as wide.
const ROWS: usize = 30;
/// The width of the smallest and of the largest dot, in parts of the way from one to the next.
const DOTS: [f64; 2] = [0.16, 0.86];

impl Medium {
    /// The water of a tank as dots, by the map with this id; all still where there is no such map.
    pub fn halftone(self, sheet: &Sheet, view: &str) -> String {
        match self {
            Medium::Markdown => String::new(),
            Medium::Html => written(&html! {
                div class="halftone" aria-hidden="true" { (drawn(&dots(sheet.maps.get(view)))) }
            }),
        }
    }
}

fn dots(map: Option<&SpeedMap>) -> SVG {
    let mut drawing = Document::new()
        .set("viewBox", format!("-.5 -.5 {COLUMNS} {ROWS}"))
        .set("preserveAspectRatio", "xMidYMid slice");
    let zones = map.map_or(1, |map| map.zones.len().max(1));
    let mut paths = vec![String::new(); zones];
    let mut rock = String::new();
    for row in 0..ROWS {
        for column in 0..COLUMNS {
            let (data, dot) = match map.map_or(MapCell::Zone(0), |map| cell(map, column, row)) {
                MapCell::Zone(zone) => (&mut paths[zone.min(zones - 1)], "h0"),
                MapCell::Rock => (&mut rock, "h.6"),
                MapCell::Outside => continue,
            };
            data.push_str(&format!("M{column} {row}{dot}"));
        }
    }
    for (zone, data) in paths.into_iter().enumerate().filter(|(_, data)| !data.is_empty()) {
        let strength = zone as f64 / (zones.max(2) - 1) as f64;
        let width = DOTS[0] + (DOTS[1] - DOTS[0]) * strength;
        drawing = drawing.add(Path::new().set("d", data).set("stroke-width", fixed(width)));
    }
    if rock.is_empty() { drawing } else { drawing.add(Path::new().set("d", rock).set("class", "rock")) }
}

/// What is at a dot of the drawing: the map fills it whole, and what does not fit is cut off above and below
/// or on both sides alike.
fn cell(map: &SpeedMap, column: usize, row: usize) -> MapCell {
    let rows = map.cells.len() / map.columns.max(1);
    let [across, up] = map.size.map(|side| side.si());
    let scale = (across / COLUMNS as f64).min(up / ROWS as f64);
    let part = |at: usize, of: usize, size: f64| 0.5 + (at as f64 + 0.5 - of as f64 / 2.0) * scale / size;
    // The first row of a map is that at the front or the floor, that of a drawing is at the top.
    let (x, y) = (part(column, COLUMNS, across), 1.0 - part(row, ROWS, up));
    let place = |part: f64, count: usize| ((part * count as f64) as usize).min(count.saturating_sub(1));
    let at = place(y, rows) * map.columns + place(x, map.columns);
    map.cells.get(at).copied().unwrap_or(MapCell::Outside)
}

#[cfg(test)]
mod tests {
    use super::*;
    use reckoner_calc::{Catalogue, Rules, Tank};

    #[test]
    fn faster_water_has_larger_dots_and_a_tank_without_a_map_is_still() {
        let rules = Rules::compiled_in().unwrap();
        let pumps = include_str!("../../../../book/pumps.toml");
        let text = include_str!("../../../../book/tanks/first_reef.toml");
        let catalogue = Catalogue::read("pumps.toml", pumps).unwrap();
        let tank = Tank::read_with("t.toml", text, &rules, &catalogue).unwrap();
        let sheet = Sheet::reckon(&rules, &catalogue, &tank).unwrap();
        let map = &sheet.maps["from_above"];
        let drawing = super::dots(Some(map)).to_string();
        let widths: Vec<f64> = drawing
            .split("stroke-width=\"")
            .skip(1)
            .filter_map(|rest| rest.split('"').next()?.parse().ok())
            .collect();
        assert!(widths.len() > 2 && widths.is_sorted_by(|thin, thick| thin < thick), "{widths:?}");
        assert!(super::dots(Some(&sheet.maps["near_floor"])).to_string().contains("class=\"rock\""));
        let dots = |drawing: &str| {
            let paths = drawing.split(" d=\"").skip(1).filter_map(|rest| rest.split('"').next());
            paths.map(|data| data.matches('M').count()).sum::<usize>()
        };
        assert_eq!(dots(&drawing), COLUMNS * ROWS);
        // In the middle of the drawing is the middle of the map.
        let middle = map.cells.len() / 2 + map.columns / 2;
        assert_eq!(cell(map, COLUMNS / 2, ROWS / 2 - 1), map.cells[middle]);
        let still = super::dots(None).to_string();
        assert_eq!((still.matches("<path").count(), dots(&still)), (1, COLUMNS * ROWS));
    }
}
