//! Charts as inline SVG: no fixed colours but the theme's, readable without colour, each with its words and
//! its numbers.
//!
//! Every chart carries a title and a description, names its curves beside them, marks its axes in both unit
//! systems, and is followed by a table of its values. Lines differ by their dashes, so that a grey print can
//! be read.

use maud::{Markup, html};
use reckoner_calc::Sheet;
use reckoner_calc::ordered::sort_by;
use reckoner_calc::quantity::{Quantity, Rounding, Shown, System, show_like, show_range, unit};
use reckoner_calc::sheet::{Axis, BandArea, Chart, Step};
use svg::node::element::{Group, Path, SVG, TSpan, Text, path::Data};
use svg::{Document, Node};

use crate::html::{Medium, framed, readings, scrolling, written};
use crate::text::escaped;

/// The size of the drawing, and the frame inside it, in its own units.
const WIDTH: f64 = 720.0;
const HEIGHT: f64 = 420.0;
const LEFT: f64 = 72.0;
const RIGHT: f64 = 165.0;
const TOP: f64 = 44.0;
const BOTTOM: f64 = 76.0;
/// How curves differ without colour.
const DASHES: [&str; 6] = ["", "9 5", "3 4", "12 4 3 4", "1 5", "18 4 3 4 3 4"];

impl Medium {
    /// A chart of a sheet with its caption and its values; `place` makes its ids unique in the book.
    pub fn chart(self, chart: &Chart, sheet: &Sheet, place: &str) -> String {
        match self {
            Medium::Markdown => {
                format!(
                    "**{}** {}\n\n{}",
                    escaped(&chart.title),
                    escaped(&chart.description),
                    markdown_values(chart, sheet)
                )
            }
            Medium::Html => {
                let id = format!("{place}-{}-chart", chart.id);
                written(&html! {
                    figure class="chart" id=(id) {
                        (framed(&drawing(chart, &id), &chart.title))
                        figcaption { (chart.title) }
                        details { summary { "The values as a table" } (values_markup(chart, sheet, &id)) }
                    }
                })
            }
        }
    }
}

/// Where values lie in the drawing.
struct Frame<'c> {
    x: &'c Axis,
    y: &'c Axis,
}

impl Frame<'_> {
    fn x(&self, value: f64) -> f64 {
        LEFT + (value - self.x.from) / (self.x.to - self.x.from) * (WIDTH - LEFT - RIGHT)
    }

    fn y(&self, value: f64) -> f64 {
        let share = ((value - self.y.from) / (self.y.to - self.y.from)).clamp(0.0, 1.0);
        HEIGHT - BOTTOM - share * (HEIGHT - TOP - BOTTOM)
    }
}

fn drawing(chart: &Chart, id: &str) -> SVG {
    let frame = Frame { x: &chart.x, y: &chart.y };
    let mut document = Document::new()
        .set("viewBox", (0, 0, WIDTH as i32, HEIGHT as i32))
        .set("role", "img")
        .set("aria-labelledby", format!("{id}-title {id}-desc"))
        .add(titled("title", &format!("{id}-title"), &chart.title))
        .add(titled("desc", &format!("{id}-desc"), &chart.description));
    for (at, band) in chart.bands.iter().enumerate() {
        let mut data = Data::new();
        for (step, (x, low, _)) in band.points.iter().enumerate() {
            let point = place(frame.x(*x), frame.y(*low));
            data = if step == 0 { data.move_to(point) } else { data.line_to(point) };
        }
        for (x, _, high) in band.points.iter().rev() {
            data = data.line_to(place(frame.x(*x), frame.y(*high)));
        }
        document =
            document.add(Path::new().set("d", data.close()).set("class", format!("band band-{}", at % 5)));
    }
    document = document.add(axes(&frame));
    for level in &chart.levels {
        let y = frame.y(level.at.si);
        let data = Data::new().move_to(place(LEFT, y)).line_to(place(WIDTH - RIGHT, y));
        document = document.add(Path::new().set("d", data).set("class", "level"));
        document = document.add(label(WIDTH - RIGHT - 6.0, y - 5.0, "end", &level.name));
    }
    let mut names: Vec<Name> = Vec::new();
    for (at, line) in chart.lines.iter().enumerate() {
        let mut data = Data::new();
        for (step, (x, y)) in line.points.iter().enumerate() {
            let point = place(frame.x(*x), frame.y(*y));
            data = if step == 0 { data.move_to(point) } else { data.line_to(point) };
        }
        document = document.add(curve(data, at));
        if let Some((_, y)) = line.points.last() {
            names.push(Name { y: frame.y(*y), text: line.name.clone(), line: Some(at) });
        }
    }
    for band in &chart.bands {
        if let Some((_, low, high)) = band.points.last() {
            names.push(Name {
                y: (frame.y(*low) + frame.y(*high)) / 2.0,
                text: band.name.clone(),
                line: None,
            });
        }
    }
    for name in spread(names) {
        let mut left = WIDTH - RIGHT + 8.0;
        if let Some(at) = name.line {
            // A piece of the curve, so that names of curves that end alike can be told apart.
            let sample = Data::new().move_to(place(left, name.y)).line_to(place(left + SAMPLE, name.y));
            document = document.add(curve(sample, at));
            left += SAMPLE + 6.0;
        }
        for (line, words) in wrapped(&name.text).into_iter().enumerate() {
            document = document.add(label(left, name.y + 5.0 + 15.0 * line as f64, "start", &words));
        }
    }
    document
}

/// The length of the piece of a curve beside its name.
const SAMPLE: f64 = 26.0;

/// A name at the right edge, beside the end of what it names.
struct Name {
    y: f64,
    text: String,
    /// Which curve it names; `None` for an area.
    line: Option<usize>,
}

/// A curve, its dashes by its number.
fn curve(data: Data, at: usize) -> Path {
    let path = Path::new()
        .set("d", data)
        .set("class", format!("line line-{}", at % DASHES.len()))
        .set("fill", "none");
    if DASHES[at % DASHES.len()].is_empty() {
        path
    } else {
        path.set("stroke-dasharray", DASHES[at % DASHES.len()])
    }
}

/// Names moved apart, so that none hides another.
fn spread(mut names: Vec<Name>) -> Vec<Name> {
    // Of curves that end alike, the last given is named first: it is the highest before.
    names.reverse();
    sort_by(&mut names, |a, b| a.y.total_cmp(&b.y));
    let tall = |name: &Name| 17.0 * wrapped(&name.text).len() as f64;
    let mut lowest = TOP;
    for name in &mut names {
        name.y = name.y.max(lowest);
        lowest = name.y + tall(name);
    }
    // What was pushed below the frame goes up again, and pushes what is above it.
    let mut bottom = HEIGHT - BOTTOM + 17.0;
    for name in names.iter_mut().rev() {
        name.y = name.y.min(bottom - tall(name));
        bottom = name.y;
    }
    names
}

/// So many characters of a name stand in one line of a margin.
pub(crate) const LONGEST_NAME: usize = 16;

/// A name in lines that fit the right margin.
pub(crate) fn wrapped(name: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in name.split(' ') {
        match lines.last_mut() {
            Some(line) if line.chars().count() + word.chars().count() < LONGEST_NAME => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

fn axes(frame: &Frame<'_>) -> Group {
    let mut group = Group::new().set("class", "axes");
    let corner = Data::new()
        .move_to(place(LEFT, TOP))
        .line_to(place(LEFT, HEIGHT - BOTTOM))
        .line_to(place(WIDTH - RIGHT, HEIGHT - BOTTOM));
    group = group.add(Path::new().set("d", corner).set("class", "axis").set("fill", "none"));
    for mark in marks(frame.x) {
        let x = frame.x(mark.si);
        let tick = Data::new().move_to(place(x, HEIGHT - BOTTOM)).line_to(place(x, HEIGHT - BOTTOM + 6.0));
        group = group.add(Path::new().set("d", tick).set("class", "axis"));
        group = mark_texts(group, mark, frame.x, (x, HEIGHT - BOTTOM + 22.0), "middle");
    }
    for mark in marks(frame.y) {
        let y = frame.y(mark.si);
        let rule = Data::new().move_to(place(LEFT, y)).line_to(place(WIDTH - RIGHT, y));
        group = group.add(Path::new().set("d", rule).set("class", "grid"));
        group = mark_texts(group, mark, frame.y, (LEFT - 8.0, y + 2.0), "end");
    }
    let middle = LEFT + (WIDTH - LEFT - RIGHT) / 2.0;
    let group = group.add(axis_label(frame.x, middle, HEIGHT - 10.0, "middle").set("class", "axis-label"));
    group.add(axis_label(frame.y, 4.0, 18.0, "start").set("class", "axis-label"))
}

/// The label of an axis with its units, the metric one first, as its marks stand.
pub(crate) fn axis_label(axis: &Axis, x: f64, y: f64, anchor: &str) -> Text {
    let end = Quantity::new(axis.kind, axis.to);
    let (metric, us) = (show_like(end, end, System::Metric).unit, show_like(end, end, System::Us).unit);
    if metric == us {
        let unit = if metric.is_empty() { String::new() } else { format!(" ({metric})") };
        return label(x, y, anchor, &format!("{}{unit}", axis.label));
    }
    let part = |class: &str, text: &str| TSpan::new(text).set("class", class);
    label(x, y, anchor, &format!("{} (", axis.label))
        .add(part("metric", metric))
        .add(part("both", ", below in "))
        .add(part("us", us))
        .add(TSpan::new(")"))
}

/// The metric number of a mark, and the US one below it where it differs.
fn mark_texts(mut group: Group, mark: Quantity, axis: &Axis, (x, y): (f64, f64), anchor: &str) -> Group {
    let end = Quantity::new(axis.kind, axis.to);
    let (metric, us) = (show_like(mark, end, System::Metric), show_like(mark, end, System::Us));
    group = group.add(label(x, y, anchor, &metric.number).set("class", "mark metric"));
    if us.unit != metric.unit && us.number != metric.number {
        group = group.add(label(x, y + 15.0, anchor, &us.number).set("class", "mark us"));
    }
    group
}

/// Round values along an axis, in its metric unit: steps of one, two or five.
fn marks(axis: &Axis) -> Vec<Quantity> {
    let end = Quantity::new(axis.kind, axis.to);
    let symbol = show_like(end, end, System::Metric).unit.replace('\u{a0}', " ");
    let size = unit(axis.kind, &symbol).map_or(1.0, |unit| unit.si);
    let (from, to) = (axis.from / size, axis.to / size);
    let rough = (to - from) / 5.0;
    let mut power = 1.0;
    while power * 10.0 <= rough {
        power *= 10.0;
    }
    while power > rough && power > 1e-12 {
        power /= 10.0;
    }
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|step| step * power)
        .find(|step| *step >= rough)
        .unwrap_or(10.0 * power);
    let mut marks = Vec::new();
    let mut count = (from / step).ceil();
    while count * step <= to * (1.0 + 1e-9) {
        marks.push(Quantity::new(axis.kind, count * step * size));
        count += 1.0;
    }
    marks
}

/// Where along the bottom of a chart a row of its values stands.
enum Across {
    /// At a value.
    Value(Shown),
    /// In a step, from here to there.
    Step(String),
}

/// The values behind the curves: each step of one that goes in steps, else at most nine rows.
fn rows(chart: &Chart, sheet: &Sheet) -> Vec<(Across, Vec<Option<Shown>>)> {
    if !chart.steps.is_empty() {
        let band =
            |area: &BandArea| area.points.first().map(|(_, low, high)| area_reading(chart, *low, *high));
        let row = |step: &Step| {
            let of_bands = chart.bands.iter().map(band);
            let level = Some(on_axis(sheet, &chart.y, step.y, chart.rounding));
            (
                Across::Step(format!("{} to {}", step.from, step.until)),
                std::iter::once(level).chain(of_bands).collect(),
            )
        };
        return chart.steps.iter().map(row).collect();
    }
    let xs: Vec<f64> = match (chart.lines.first(), chart.bands.first()) {
        (Some(line), _) => line.points.iter().map(|(x, _)| *x).collect(),
        (None, Some(band)) => band.points.iter().map(|(x, ..)| *x).collect(),
        (None, None) => Vec::new(),
    };
    let every = xs.len().div_ceil(9).max(1);
    let chosen = xs.iter().enumerate().filter(|(at, _)| at % every == 0 || at + 1 == xs.len());
    let reading = |value: f64| on_axis(sheet, &chart.y, value, chart.rounding);
    let row = |x: f64| {
        let lines = chart
            .lines
            .iter()
            .map(|line| line.points.iter().find(|(at, _)| (at - x).abs() < 1e-12).map(|(_, y)| reading(*y)));
        let bands = chart.bands.iter().map(|band| {
            let found = band.points.iter().find(|(at, ..)| (at - x).abs() < 1e-12);
            found.map(|(_, low, high)| area_reading(chart, *low, *high))
        });
        (Across::Value(on_axis(sheet, &chart.x, x, Rounding::Nearest)), lines.chain(bands).collect())
    };
    // Nothing of nothing is no news.
    let is_nothing = |x: f64| {
        let of_lines = chart.lines.iter().flat_map(|line| line.points.iter().copied());
        let of_bands =
            chart.bands.iter().flat_map(|band| band.points.iter().map(|(at, _, high)| (*at, *high)));
        x == 0.0 && of_lines.chain(of_bands).all(|(at, y)| at != 0.0 || y == 0.0)
    };
    chosen.filter(|(_, x)| !is_nothing(**x)).map(|(_, x)| row(*x)).collect()
}

/// From the lower edge of an area to the upper.
fn area_reading(chart: &Chart, low: f64, high: f64) -> Shown {
    let quantity = |value| Quantity::new(chart.y.kind, value);
    show_range(quantity(low), quantity(high), Rounding::Nearest)
}

/// A value as the sheet's figures print it; nothing of it in the unit of its axis, because zero has no size
/// to choose one by.
fn on_axis(sheet: &Sheet, axis: &Axis, value: f64, rounding: Rounding) -> Shown {
    if value != 0.0 {
        return sheet.shown_to(Quantity::new(axis.kind, value), rounding);
    }
    let (value, end) = (Quantity::new(axis.kind, value), Quantity::new(axis.kind, axis.to));
    let (metric, us) = (show_like(value, end, System::Metric), show_like(value, end, System::Us));
    Shown { us: (us != metric).then_some(us), metric }
}

fn heads(chart: &Chart) -> Vec<String> {
    let curves = chart
        .lines
        .iter()
        .map(|line| line.name.clone())
        .chain(chart.bands.iter().map(|band| band.name.clone()));
    let across = if chart.steps.is_empty() { chart.x.label.clone() } else { "From, to".to_owned() };
    std::iter::once(across).chain(curves).collect()
}

fn values_markup(chart: &Chart, sheet: &Sheet, id: &str) -> Markup {
    let rows = html! {
        @for (across, cells) in rows(chart, sheet) {
            tr {
                th scope="row" {
                    @match across {
                        Across::Value(shown) => (readings(&shown)),
                        Across::Step(words) => (words),
                    }
                }
                @for cell in cells { td { @if let Some(shown) = cell { (readings(&shown)) } } }
            }
        }
    };
    let caption = format!("{}: {}", chart.y.label, chart.title);
    scrolling("reckoned", &format!("{id}-values"), &caption, &heads(chart), &rows)
}

fn markdown_values(chart: &Chart, sheet: &Sheet) -> String {
    let heads: Vec<_> = heads(chart).iter().map(|head| escaped(head)).collect();
    let mut out = format!("| {} |\n|{}\n", heads.join(" | "), " --- |".repeat(heads.len()));
    for (x, cells) in rows(chart, sheet) {
        let cells: Vec<_> =
            cells.iter().map(|cell| cell.as_ref().map_or_else(String::new, Shown::to_string)).collect();
        let across = match x {
            Across::Value(shown) => shown.to_string(),
            Across::Step(words) => escaped(&words),
        };
        out.push_str(&format!("| {across} | {} |\n", cells.join(" | ")));
    }
    out
}

pub(crate) fn titled(element: &str, id: &str, text: &str) -> svg::node::element::Element {
    let mut element = svg::node::element::Element::new(element);
    element.assign("id", id);
    element.append(svg::node::Text::new(text));
    element
}

pub(crate) fn label(x: f64, y: f64, anchor: &str, text: &str) -> Text {
    Text::new(text).set("x", fixed(x)).set("y", fixed(y)).set("text-anchor", anchor)
}

/// A point with one decimal, so that every machine writes the same digits.
pub(crate) fn place(x: f64, y: f64) -> (f32, f32) {
    (fixed(x), fixed(y))
}

pub(crate) fn fixed(value: f64) -> f32 {
    ((value * 10.0).round() / 10.0) as f32
}
