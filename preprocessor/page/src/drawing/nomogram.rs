//! A nomogram as inline SVG: three upright scales, drawn so that a straight line across them multiplies.
//!
//! A scale is as long as the drawing, whatever it spans, so the closer two of its values stand, the more it
//! spans. Where the one of the product has to stand follows from that: as far from the left scale, against
//! the whole way, as the left scale spans of what both span together.

use reckoner_calc::ordered::sort_by;
use reckoner_calc::quantity::{Quantity, System, show_like, unit};
use reckoner_calc::sheet::nomogram::{Nomogram, share, span};
use reckoner_calc::sheet::Axis;
use svg::node::element::{Circle, Group, Path, SVG, path::Data};

use super::{figure, line, sized};
use crate::chart::{axis_label, fixed, label, place, wrapped};
use crate::html::Medium;
use crate::text::escaped;

const WIDTH: f64 = 720.0;
const HEIGHT: f64 = 640.0;
const TOP: f64 = 48.0;
const BOTTOM: f64 = 14.0;
/// Where the outer scales stand.
const LEFT: f64 = 76.0;
const RIGHT: f64 = 470.0;
/// From the right scale to the first bracket, and from one to the next.
const TO_BRACKETS: f64 = 14.0;
const BRACKET: f64 = 10.0;

impl Medium {
    /// A nomogram; `place` makes its ids unique in the book.
    pub fn nomogram(self, nomogram: &Nomogram, place: &str) -> String {
        match self {
            Medium::Markdown => {
                format!("**{}** {}\n", escaped(&nomogram.title), escaped(&nomogram.description))
            }
            Medium::Html => {
                let id = format!("{place}-{}-nomogram", nomogram.id);
                figure(&id, "chart nomogram", &drawing(nomogram, &id), &nomogram.title, None)
            }
        }
    }
}

fn height(axis: &Axis, value: f64) -> f64 {
    HEIGHT - BOTTOM - share(axis, value) * (HEIGHT - TOP - BOTTOM)
}

fn drawing(nomogram: &Nomogram, id: &str) -> SVG {
    let middle = LEFT + span(&nomogram.left) / span(&nomogram.product) * (RIGHT - LEFT);
    let scales = [(&nomogram.left, LEFT), (&nomogram.product, middle), (&nomogram.right, RIGHT)];
    let mut drawing = sized(id, (WIDTH, HEIGHT), &nomogram.title, &nomogram.description);
    for (axis, x) in scales {
        drawing = drawing.add(scale(axis, x));
    }
    for (at, (_, low, high)) in nomogram.bands.iter().enumerate() {
        let x = RIGHT + TO_BRACKETS + BRACKET * at as f64;
        let [bottom, top] = [low, high].map(|end| height(&nomogram.right, *end));
        let data = Data::new()
            .move_to(place(x - 5.0, bottom))
            .line_to(place(x, bottom))
            .line_to(place(x, top))
            .line_to(place(x - 5.0, top));
        drawing = drawing.add(Path::new().set("d", data).set("class", "bracket").set("fill", "none"));
    }
    let beside = RIGHT + TO_BRACKETS + BRACKET * nomogram.bands.len() as f64 + 4.0;
    for (name, bracket, y) in names(nomogram) {
        let x = RIGHT + TO_BRACKETS + BRACKET * bracket as f64;
        drawing = drawing.add(line((x, y), (beside, y), "grid"));
        for (at, words) in wrapped(&name).iter().enumerate() {
            drawing = drawing.add(label(beside + 4.0, y + 5.0 + 15.0 * at as f64, "start", words));
        }
    }
    let [left, right, product] = nomogram.example.map(|value| value.si);
    let ends = [(LEFT, height(&nomogram.left, left)), (RIGHT, height(&nomogram.right, right))];
    drawing = drawing.add(line(ends[0], ends[1], "example"));
    for (x, y) in [ends[0], (middle, height(&nomogram.product, product)), ends[1]] {
        let dot = Circle::new().set("cx", fixed(x)).set("cy", fixed(y)).set("r", 5).set("class", "example-dot");
        drawing = drawing.add(dot);
    }
    drawing
}

/// The names of the bands from the top, each with its bracket and where it stands, so that none hides another.
fn names(nomogram: &Nomogram) -> Vec<(String, usize, f64)> {
    let mut names: Vec<_> = nomogram
        .bands
        .iter()
        .enumerate()
        .map(|(at, (name, low, high))| {
            (name.clone(), at, height(&nomogram.right, (low * high).sqrt()))
        })
        .collect();
    sort_by(&mut names, |one, other| one.2.total_cmp(&other.2));
    let mut free = TOP;
    for (name, _, y) in &mut names {
        *y = y.max(free);
        free = *y + 15.0 * wrapped(name).len() as f64 + 4.0;
    }
    names
}

/// A scale with its marks: the metric ones to the left, the US ones, where they differ, to the right.
fn scale(axis: &Axis, x: f64) -> Group {
    let mut group = Group::new().set("class", "axes");
    group = group.add(line((x, TOP), (x, HEIGHT - BOTTOM), "axis"));
    group = group.add(axis_label(axis, x, 18.0, "middle").set("class", "axis-label"));
    let end = Quantity::new(axis.kind, axis.to);
    let units = |system| show_like(end, end, system).unit;
    let is_one = units(System::Metric) == units(System::Us);
    for (system, class, side, anchor) in
        [(System::Metric, " metric", -1.0, "end"), (System::Us, " us", 1.0, "start")]
    {
        if is_one && system == System::Us {
            continue;
        }
        let class = if is_one { "" } else { class };
        for (mark, digit) in marks(axis, units(system)) {
            let y = height(axis, mark.si);
            let long = if digit == 1 { 10.0 } else if digit == 5 { 8.0 } else { 5.0 };
            group = group.add(line((x, y), (x + side * long, y), &format!("axis{class}")));
            if matches!(digit, 1 | 2 | 5) {
                let number = show_like(mark, end, system).number;
                let words = label(x + side * 14.0, y + 5.0, anchor, &number);
                group = group.add(words.set("class", format!("mark{class}")));
            }
        }
    }
    group
}

/// The round values along a scale in the given unit, one to nine times each power of ten, each with its digit.
fn marks(axis: &Axis, symbol: &str) -> Vec<(Quantity, u32)> {
    let size = unit(axis.kind, &symbol.replace('\u{a0}', " ")).map_or(1.0, |unit| unit.si);
    let mut power = 1.0;
    while power * size > axis.from {
        power /= 10.0;
    }
    let mut marks = Vec::new();
    while power * size <= axis.to {
        for digit in 1..10 {
            let value = f64::from(digit) * power * size;
            if value >= axis.from * (1.0 - 1e-9) && value <= axis.to * (1.0 + 1e-9) {
                marks.push((Quantity::new(axis.kind, value), digit));
            }
        }
        power *= 10.0;
    }
    marks
}
