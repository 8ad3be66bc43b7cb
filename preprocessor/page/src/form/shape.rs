//! The tank as it is being typed, from above and from the front, to scale: a slip of the tape shows at once.

use maud::html;
use reckoner_calc::document::edit::values;
use reckoner_calc::quantity::{Kind, parse_as};
use svg::node::element::{Circle, Path, SVG, path::Data};

use crate::chart::{fixed, label, place};
use crate::drawing::{line, rectangle, sized};
use crate::html::{drawn, written};

/// What the measures are where none has been typed yet, in metres: those of a common tank.
const USUAL: [(&str, &str, f64); 7] = [
    ("length", "length", 0.9),
    ("width", "width", 0.45),
    ("middle_width", "width in the middle", 0.55),
    ("diameter", "diameter", 0.6),
    ("across", "across", 0.6),
    ("height", "height", 0.45),
    ("fill_line", "gap", 0.0),
];

/// A view is small enough for a phone; where there is room, two stand side by side.
const WIDTH: f64 = 360.0;
/// Room for what is drawn, with a line of words above it and one below.
const ROOM: (f64, f64) = (300.0, 240.0);
const TOP: f64 = 34.0;
const MIDDLE: f64 = WIDTH / 2.0;

/// One measure, as far as it has been typed.
struct Measure {
    metres: f64,
    /// Its name with what was typed; a question mark where that is no length yet.
    said: String,
}

/// The drawing of a tank file's shape; nothing where it names none.
///
/// - `place`: makes its ids unique
pub fn shape(text: &str, place: &str) -> String {
    let values = values(text);
    let typed = |key: &str| {
        values
            .iter()
            .find(|(path, _)| path.strip_prefix("glass.") == Some(key))
            .map(|(_, value)| value.as_str())
    };
    let measure = |key: &str| {
        let (_, name, usual) = USUAL.into_iter().find(|(known, ..)| *known == key)?;
        let read = typed(key).and_then(|text| parse_as(Kind::Length, text).ok());
        // What no tank measures would leave nothing to see.
        Some(
            match read.filter(|length| {
                (0.0..=20.0).contains(&length.si) && (key == "fill_line" || length.si >= 0.01)
            }) {
                Some(length) => {
                    Measure { metres: length.si, said: format!("{name} {}", typed(key).unwrap_or_default()) }
                }
                None => Measure { metres: usual, said: format!("{name}?") },
            },
        )
    };
    let drawing = match typed("shape") {
        Some("box") => Outline::of(measure("length"), measure("width"), None),
        Some("bow_front") => Outline::of(measure("length"), measure("middle_width"), measure("width")),
        Some("cylinder") => measure("diameter").map(Outline::Circle),
        Some("hexagon") => measure("across").map(Outline::Hexagon),
        _ => None,
    };
    match (drawing, measure("height"), measure("fill_line")) {
        (Some(outline), Some(height), Some(gap)) => {
            let [above, front] = views(&outline, &height, &gap, place);
            written(&html! {
                figure class="layout shape" {
                    div class="views" { (drawn(&above)) (drawn(&front)) }
                    figcaption { "The tank as you typed it so far, to scale." }
                }
            })
        }
        _ => String::new(),
    }
}

/// The line of the glass, seen from above.
enum Outline {
    Box {
        length: Measure,
        width: Measure,
        /// At the ends, where the front is bowed.
        ends: Option<Measure>,
    },
    Circle(Measure),
    Hexagon(Measure),
}

impl Outline {
    fn of(length: Option<Measure>, width: Option<Measure>, ends: Option<Measure>) -> Option<Self> {
        Some(Outline::Box { length: length?, width: width?, ends })
    }

    /// From left to right, and from front to back.
    fn size(&self) -> (f64, f64) {
        match self {
            Outline::Box { length, width, ends } => {
                (length.metres, ends.iter().fold(width.metres, |most, ends| most.max(ends.metres)))
            }
            Outline::Circle(across) => (across.metres, across.metres),
            // From flat side to flat side; the corners lie farther apart.
            Outline::Hexagon(across) => (across.metres, across.metres * 2.0 / 3.0_f64.sqrt()),
        }
    }

    fn measures(&self) -> Vec<&Measure> {
        match self {
            Outline::Box { length, width, ends } => [length, width].into_iter().chain(ends).collect(),
            Outline::Circle(across) | Outline::Hexagon(across) => vec![across],
        }
    }
}

/// From above and from the front, both to one scale.
fn views(outline: &Outline, height: &Measure, gap: &Measure, place: &str) -> [SVG; 2] {
    let (length, width) = outline.size();
    let scale = (ROOM.0 / length).min(ROOM.1 / width.max(height.metres));
    let (long, wide, high) = (length * scale, width * scale, height.metres * scale);
    let measures =
        outline.measures().into_iter().map(|measure| measure.said.as_str()).collect::<Vec<_>>().join(", ");
    let view = |name: &str, title: &str, down: f64, measures: &str| {
        let drawing =
            sized(&format!("{place}-{name}"), (WIDTH, TOP + down + 30.0), title, &format!("{measures}."));
        let drawing = drawing.add(label(MIDDLE, TOP - 12.0, "middle", title).set("class", "view"));
        drawing.add(label(MIDDLE, TOP + down + 20.0, "middle", measures))
    };
    let above = view("above", "From above, the front below", wide, &measures);
    let above = match outline {
        Outline::Box { ends: None, .. } => {
            above.add(rectangle(MIDDLE - long / 2.0, TOP, long, wide, "water"))
        }
        Outline::Box { width, ends: Some(ends), .. } => {
            let (ends, bow) = (ends.metres * scale, (width.metres - ends.metres).max(0.0) * scale);
            above.add(bowed(long, ends, bow))
        }
        Outline::Circle(_) => {
            let circle = Circle::new()
                .set("cx", fixed(MIDDLE))
                .set("cy", fixed(TOP + wide / 2.0))
                .set("r", fixed(long / 2.0));
            above.add(circle.set("class", "water"))
        }
        Outline::Hexagon(_) => above.add(hexagon(long, wide)),
    };
    let (left, right, gap) = (MIDDLE - long / 2.0, MIDDLE + long / 2.0, (gap.metres * scale).min(high));
    let mut front = view("front", "From the front", high, &height.said);
    front = front.add(rectangle(left, TOP + gap, long, high - gap, "water"));
    let (rim, base) = (TOP, TOP + high);
    for (from, to) in
        [((left, rim), (left, base)), ((left, base), (right, base)), ((right, base), (right, rim))]
    {
        front = front.add(line(from, to, "axis"));
    }
    [above, front]
}

/// A box whose front is an arc.
fn bowed(long: f64, ends: f64, bow: f64) -> Path {
    let (left, right) = (MIDDLE - long / 2.0, MIDDLE + long / 2.0);
    let front = TOP + ends;
    let data = Data::new()
        .move_to(place(left, front))
        .line_to(place(left, TOP))
        .line_to(place(right, TOP))
        .line_to(place(right, front));
    let half = long / 2.0;
    // The circle through both ends and the middle of the bow; more than half of one where it is deeper than
    // wide.
    let radius = (half * half + bow * bow) / (2.0 * bow.max(1e-6));
    let is_large = if bow > half { 1.0 } else { 0.0 };
    let data = if bow > 0.5 {
        data.elliptical_arc_to((fixed(radius), fixed(radius), 0.0, is_large, 1.0, fixed(left), fixed(front)))
    } else {
        data.close()
    };
    Path::new().set("d", data).set("class", "water")
}

fn hexagon(long: f64, wide: f64) -> Path {
    let (left, right) = (MIDDLE - long / 2.0, MIDDLE + long / 2.0);
    let [upper, lower] = [TOP + wide / 4.0, TOP + wide * 3.0 / 4.0];
    let corners =
        [(MIDDLE, TOP), (right, upper), (right, lower), (MIDDLE, TOP + wide), (left, lower), (left, upper)];
    let [first, others @ ..] = corners.map(|(x, y)| place(x, y));
    let data = others.into_iter().fold(Data::new().move_to(first), Data::line_to);
    Path::new().set("d", data.close()).set("class", "water")
}
