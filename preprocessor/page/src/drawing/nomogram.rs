//! A nomogram as inline SVG: three upright scales, drawn so that a straight line across them multiplies.
//!
//! A scale is as long as the drawing, whatever it spans, so the closer two of its values stand, the more it
//! spans. Where the one of the product has to stand follows from that: as far from the left scale, against
//! the whole way to the right one, as the right one spans of what both span together.

use reckoner_calc::ordered::sort_by;
use reckoner_calc::quantity::{Quantity, System, show_like, unit};
use reckoner_calc::sheet::Axis;
use reckoner_calc::sheet::nomogram::{Nomogram, share, span};
use svg::node::element::{Circle, Group, Path, SVG, path::Data};

use super::{figure, line, sized};
use crate::chart::{fixed, label, place, wrapped};
use crate::html::Medium;
use crate::text::escaped;

const WIDTH: f64 = 720.0;
const HEIGHT: f64 = 640.0;
const TOP: f64 = 56.0;
const BOTTOM: f64 = 14.0;
/// Where the outer scales stand.
const LEFT: f64 = 66.0;
const RIGHT: f64 = 490.0;
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

/// Where the scale of the product stands.
fn middle(nomogram: &Nomogram) -> f64 {
    LEFT + span(&nomogram.right) / span(&nomogram.product) * (RIGHT - LEFT)
}

fn height(axis: &Axis, value: f64) -> f64 {
    HEIGHT - BOTTOM - share(axis, value) * (HEIGHT - TOP - BOTTOM)
}

fn drawing(nomogram: &Nomogram, id: &str) -> SVG {
    let middle = middle(nomogram);
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
        let dot =
            Circle::new().set("cx", fixed(x)).set("cy", fixed(y)).set("r", 5).set("class", "example-dot");
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
        .map(|(at, (name, low, high))| (name.clone(), at, height(&nomogram.right, (low * high).sqrt())))
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
    group = group.add(label(x, 18.0, "middle", &axis.label).set("class", "axis-label"));
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
        let unit = label(x + side * 6.0, 38.0, anchor, units(system));
        group = group.add(unit.set("class", format!("mark{class}")));
        for (mark, digit) in marks(axis, units(system)) {
            let y = height(axis, mark.si);
            let long = if digit == 1 {
                10.0
            } else if digit == 5 {
                8.0
            } else {
                5.0
            };
            group = group.add(line((x, y), (x + side * long, y), &format!("axis{class}")));
            if matches!(digit, 1 | 2 | 3 | 5) {
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

#[cfg(test)]
mod tests {
    use super::*;
    use reckoner_calc::{Catalogue, Rules, Sheet, Tank};

    fn nomogram() -> Nomogram {
        let rules = Rules::compiled_in().unwrap();
        let text = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n\
                    [livestock]\nnow = \"soft\"\n";
        let tank = Tank::read("t.toml", text, &rules).unwrap();
        let sheet = Sheet::reckon(&rules, &Catalogue::empty(), &tank).unwrap();
        sheet.nomograms["flow"].clone()
    }

    #[test]
    fn a_ruler_across_it_multiplies() {
        let nomogram = nomogram();
        let middle = middle(&nomogram);
        let (left, right) = (&nomogram.left, &nomogram.right);
        for water in [left.from, 3.0 * left.from, left.to] {
            for turnover in [right.from, 2.0 * right.from, right.to] {
                let (one, other) = (height(left, water), height(right, turnover));
                let ruler = one + (middle - LEFT) / (RIGHT - LEFT) * (other - one);
                let read = height(&nomogram.product, water * turnover);
                assert!((ruler - read).abs() < 1e-6, "{water} × {turnover}: {ruler} {read}");
            }
        }
    }

    #[test]
    fn marks_are_round_in_their_own_unit_and_lie_on_the_scale() {
        let nomogram = nomogram();
        for axis in [&nomogram.left, &nomogram.product] {
            let end = Quantity::new(axis.kind, axis.to);
            for system in [System::Metric, System::Us] {
                let marks = marks(axis, show_like(end, end, system).unit);
                assert!(marks.len() > 15, "{}", marks.len());
                for (mark, digit) in marks {
                    assert!((axis.from * 0.999..=axis.to * 1.001).contains(&mark.si));
                    let printed = show_like(mark, end, system).number;
                    assert!(printed.starts_with(&digit.to_string()), "{printed} {digit}");
                }
            }
        }
    }
}
