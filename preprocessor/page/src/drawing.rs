//! Drawings of a tank to scale, of a day and of the rhythm of care, as inline SVG in the theme's own ink,
//! like the charts.

mod halftone;
mod map;
mod nomogram;

use maud::{Markup, html};
use reckoner_calc::Sheet;
use reckoner_calc::check::figure_value;
use reckoner_calc::ordered::sort_by;
use reckoner_calc::quantity::{Dimension, Kind, Quantity, Rounding, parse_as, show_range};
use reckoner_calc::sheet::{Layout, Stretch, Timeline};
use svg::Document;
use svg::node::element::{Circle, Line, Path, Rectangle, SVG, path::Data};

use crate::chart::{LONGEST_NAME, fixed, label, place, titled, wrapped};
use crate::html::{Medium, drawn, framed, readings, scrolling, written};
use crate::text::escaped;

/// The width of a drawing in its own units; its height follows.
const WIDTH: f64 = 720.0;
const MARGIN: f64 = 16.0;

impl Medium {
    /// A tank from above and from the front; `place` makes its ids unique in the book.
    pub fn layout(self, layout: &Layout, place: &str) -> String {
        match self {
            Medium::Markdown => format!("**{}** {}\n", escaped(&layout.title), escaped(&layout.description)),
            Medium::Html => {
                let id = format!("{place}-{}-drawing", layout.id);
                figure(&id, "layout", &layout_svg(layout, &id), &layout.title, None)
            }
        }
    }

    /// A day as a row for each pump; `place` makes its ids unique in the book.
    pub fn timeline(self, timeline: &Timeline, sheet: &Sheet, place: &str) -> String {
        match self {
            Medium::Markdown => {
                let rows: String = timeline
                    .rows
                    .iter()
                    .flat_map(|row| {
                        row.stretches.iter().map(move |stretch| {
                            format!("- {}: {}\n", escaped(&row.name), escaped(&stretch_text(stretch, sheet)))
                        })
                    })
                    .collect();
                format!("**{}** {}\n\n{rows}", escaped(&timeline.title), escaped(&timeline.description))
            }
            Medium::Html => {
                let id = format!("{place}-{}-day", timeline.id);
                figure(
                    &id,
                    "timeline",
                    &timeline_svg(timeline, &id),
                    &timeline.title,
                    Some(timeline_values(timeline, sheet, &id)),
                )
            }
        }
    }
}

/// The tasks of care in a word or two, by the keys of their rules.
const CARE: [(&str, &str); 6] = [
    ("look", "look"),
    ("wipe", "wipe"),
    ("residual_current_test", "test the RCD"),
    ("acid_bath", "acid bath"),
    ("battery_test", "test the battery"),
    ("wear_parts", "wear parts"),
];

/// A task of care: its name, the time from one to the next in seconds, and the same in words.
struct Task {
    name: &'static str,
    between: f64,
    how_often: String,
}

/// The tasks that a tank has, the most frequent first.
fn tasks(sheet: &Sheet) -> Vec<Task> {
    let task = |(key, name): (&str, &'static str)| {
        let how_often = sheet.figure(&format!("upkeep.every_{key}"))?.text();
        let between = figure_value(sheet, &format!("rule.upkeep.{key}"))?.si;
        (between > 0.0).then_some(Task { name, between, how_often })
    };
    let mut tasks: Vec<_> = CARE.into_iter().filter_map(task).collect();
    sort_by(&mut tasks, |one, other| one.between.total_cmp(&other.between));
    tasks
}

impl Medium {
    /// The tasks of care as marks along a line of time, up to the first of the one that comes least often;
    /// `place` makes its ids unique in the book.
    pub fn rhythm(self, sheet: &Sheet, place: &str) -> String {
        const TITLE: &str = "Small things often, large things seldom. RCD is the residual-current device, in North America the GFCI.";
        let tasks = tasks(sheet);
        match self {
            Medium::Markdown => {
                let rows: String = tasks
                    .iter()
                    .map(|task| format!("- {}: {}\n", escaped(task.name), escaped(&task.how_often)))
                    .collect();
                format!("**{}**\n\n{rows}", escaped(TITLE))
            }
            Medium::Html => {
                let id = format!("{place}-rhythm-drawing");
                figure(&id, "rhythm", &rhythm_svg(&tasks, sheet, &id), TITLE, None)
            }
        }
    }
}

fn rhythm_svg(tasks: &[Task], sheet: &Sheet, id: &str) -> SVG {
    const ROW: f64 = 30.0;
    /// The room for the half of "6 months" that stands beyond the last mark.
    const BEYOND: f64 = 40.0;
    const LONGEST_STEPS: f64 = 8.0;
    let span = tasks.last().map_or(1.0, |task| task.between);
    let x = |time: f64| NAMES + time / span * (WIDTH - NAMES - BEYOND);
    let bottom = MARGIN + ROW * tasks.len() as f64;
    let rows: Vec<_> = tasks.iter().map(|task| format!("{}, {}", task.name, task.how_often)).collect();
    let description = format!(
        "Rows of marks along a line of time, from the closest to the farthest apart: {}.",
        rows.join("; ")
    );
    let mut drawing = svg(id, bottom + 34.0, "The rhythm of care", &description);
    // The smallest step of a calendar that leaves room for its labels.
    let steps = ["1 day", "1 week", "1 month", "3 months", "1 year", "5 years"];
    let mut steps = steps.into_iter().filter_map(|step| parse_as(Kind::Time, step).ok()).map(|step| step.si);
    let step = steps.find(|step| span / step <= LONGEST_STEPS).unwrap_or(span);
    for count in 0..=(span / step + 1e-6).floor() as u32 {
        let (at, time) =
            (x(f64::from(count) * step), Quantity { kind: Kind::Time, si: f64::from(count) * step });
        drawing = drawing.add(line((at, MARGIN), (at, bottom + 5.0), "grid"));
        let words = if count == 0 { "now".to_owned() } else { sheet.shown(time).metric.to_string() };
        drawing = drawing.add(label(at, bottom + 20.0, "middle", &words).set("class", "mark"));
    }
    for (at, task) in tasks.iter().enumerate() {
        let middle = MARGIN + ROW * (at as f64 + 0.5);
        drawing = drawing.add(label(NAMES - 8.0, middle + 5.0, "end", task.name));
        drawing = drawing.add(line((NAMES, middle), (WIDTH - BEYOND, middle), "axis"));
        // Marks that would run together are drawn as what they look like from afar.
        let apart = x(task.between) - x(0.0);
        if apart < 1.5 {
            drawing = drawing.add(rectangle(x(0.0), middle - 8.0, x(span) - x(0.0), 16.0, "due"));
            continue;
        }
        for count in 1..=(span / task.between + 1e-6).floor() as u32 {
            let at = x(f64::from(count) * task.between);
            let wide = (apart * 0.4).min(6.0);
            drawing = drawing
                .add(line((at, middle - 8.0), (at, middle + 8.0), "due").set("stroke-width", fixed(wide)));
        }
    }
    drawing
}

fn figure(id: &str, class: &str, drawing: &SVG, caption: &str, values: Option<Markup>) -> String {
    written(&html! {
        figure class=(class) id=(id) {
            @if class == "layout" { (drawn(drawing)) } @else { (framed(drawing, caption)) }
            figcaption { (caption) }
            @if let Some(values) = values { details { summary { "The same as a table" } (values) } }
        }
    })
}

fn svg(id: &str, height: f64, title: &str, description: &str) -> SVG {
    sized(id, (WIDTH, height), title, description)
}

/// An empty drawing of a size in its own units.
pub(crate) fn sized(id: &str, (width, height): (f64, f64), title: &str, description: &str) -> SVG {
    Document::new()
        .set("viewBox", (0, 0, width as i32, height.ceil() as i32))
        .set("role", "img")
        .set("aria-labelledby", format!("{id}-title {id}-desc"))
        .add(titled("title", &format!("{id}-title"), title))
        .add(titled("desc", &format!("{id}-desc"), description))
}

fn layout_svg(layout: &Layout, id: &str) -> SVG {
    let (length, width, water) = (layout.length.si(), layout.width.si(), layout.water.si());
    // One scale for both views; a very tall tank is drawn smaller, so that both fit a page.
    let scale = ((WIDTH - 2.0 * MARGIN) / length).min(640.0 / (width + water));
    let left = (WIDTH - length * scale) / 2.0;
    let above_top = MARGIN + 20.0;
    let front_top = above_top + width * scale + 56.0;
    let height = front_top + water * scale + MARGIN;
    let mut drawing = svg(id, height, &layout.title, &layout.description);

    // From above: the back pane is at the top, as a reader in front of the tank would draw it.
    let above = |x: f64, y: f64| (left + x * scale, above_top + (width - y) * scale);
    let front = |x: f64, z: f64| (left + x * scale, front_top + (water - z) * scale);
    drawing = drawing
        .add(label(left, above_top - 8.0, "start", "From above, the back at the top").set("class", "view"));
    drawing = drawing.add(rectangle(left, above_top, length * scale, width * scale, "water"));
    drawing = drawing.add(label(left, front_top - 8.0, "start", "From the front").set("class", "view"));
    drawing = drawing.add(rectangle(left, front_top, length * scale, water * scale, "water"));
    let sand = layout.sand.si() * scale;
    drawing = drawing.add(rectangle(left, front_top + water * scale - sand, length * scale, sand, "sand"));
    for (at, stream) in layout.streams.iter().enumerate() {
        let [from, to] = [stream.from, stream.to].map(|point| point.map(Dimension::si));
        let half = stream.half_width.si() * scale;
        for (start, end) in
            [(above(from[0], from[1]), above(to[0], to[1])), (front(from[0], from[2]), front(to[0], to[2]))]
        {
            drawing = drawing.add(wedge(start, end, half).set("class", format!("stream stream-{}", at % 5)));
            drawing = drawing.add(line(start, end, "axis-of-stream"));
            drawing = drawing.add(
                Circle::new()
                    .set("cx", fixed(start.0))
                    .set("cy", fixed(start.1))
                    .set("r", 7)
                    .set("class", "pump"),
            );
            let (anchor, shift) = if start.0 > WIDTH / 2.0 { ("end", -12.0) } else { ("start", 12.0) };
            drawing = drawing.add(label(start.0 + shift, start.1 - 10.0, anchor, &stream.name));
        }
    }
    drawing
}

pub(crate) fn rectangle(x: f64, y: f64, width: f64, height: f64, class: &str) -> Rectangle {
    Rectangle::new()
        .set("x", fixed(x))
        .set("y", fixed(y))
        .set("width", fixed(width))
        .set("height", fixed(height))
        .set("class", class)
}

pub(crate) fn line(from: (f64, f64), to: (f64, f64), class: &str) -> Line {
    Line::new()
        .set("x1", fixed(from.0))
        .set("y1", fixed(from.1))
        .set("x2", fixed(to.0))
        .set("y2", fixed(to.1))
        .set("class", class)
}

/// A stream that widens from its pump to its end.
fn wedge(from: (f64, f64), to: (f64, f64), half: f64) -> Path {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let long = (dx * dx + dy * dy).sqrt().max(1e-6);
    let (across_x, across_y) = (-dy / long * half, dx / long * half);
    let data = Data::new()
        .move_to(place(from.0, from.1))
        .line_to(place(to.0 + across_x, to.1 + across_y))
        .line_to(place(to.0 - across_x, to.1 - across_y))
        .close();
    Path::new().set("d", data)
}

/// The room for the names, and the size of a row.
const NAMES: f64 = 132.0;
const ROW: f64 = 64.0;
const DAY: f64 = 1440.0;
/// The room for the half of "24:00" that stands beyond the end of the day.
const BEYOND_THE_DAY: f64 = 26.0;

fn timeline_svg(timeline: &Timeline, id: &str) -> SVG {
    let x = |minute: u16| NAMES + f64::from(minute) / DAY * (WIDTH - NAMES - BEYOND_THE_DAY);
    let top = 30.0;
    let bottom = top + ROW * timeline.rows.len() as f64;
    let mut drawing = svg(id, bottom + 34.0, &timeline.title, &timeline.description);
    // The dark hours, behind everything.
    let (on, off) = timeline.lights;
    let dark = if on <= off { vec![(0, on), (off, 1440)] } else { vec![(off, on)] };
    for (from, until) in dark.into_iter().filter(|(from, until)| from < until) {
        drawing = drawing.add(rectangle(x(from), top, x(until) - x(from), bottom - top, "dark"));
        drawing =
            drawing.add(label((x(from) + x(until)) / 2.0, top - 8.0, "middle", "dark").set("class", "mark"));
    }
    for hour in (0..=24).step_by(4) {
        let at = x(hour * 60);
        drawing = drawing.add(line((at, top), (at, bottom + 5.0), "grid"));
        drawing =
            drawing.add(label(at, bottom + 20.0, "middle", &format!("{hour:02}:00")).set("class", "mark"));
    }
    for (at, row) in timeline.rows.iter().enumerate() {
        let base = top + ROW * (at + 1) as f64 - 6.0;
        let high = ROW - 14.0;
        let name = in_lines(&row.name);
        for (line, words) in name.iter().enumerate() {
            let middle = line as f64 - (name.len() - 1) as f64 / 2.0;
            drawing = drawing.add(label(NAMES - 8.0, base - high / 2.0 + 5.0 + 15.0 * middle, "end", words));
        }
        for stretch in &row.stretches {
            let (left, wide) = (x(stretch.from), x(stretch.until) - x(stretch.from));
            // The whole bar to the highest setting, its lower part solid up to the lowest.
            let (up_to_high, up_to_low) = (high * stretch.high.0, high * stretch.low.0);
            drawing = drawing.add(rectangle(left, base - up_to_high, wide, up_to_high, "setting"));
            drawing = drawing.add(rectangle(left, base - up_to_low, wide, up_to_low, "setting lowest"));
            if wide > 7.5 * stretch.word.chars().count() as f64 {
                drawing = drawing.add(
                    label(left + wide / 2.0, base - up_to_high - 3.0, "middle", &stretch.word)
                        .set("class", "mark"),
                );
            }
        }
        drawing = drawing.add(line((NAMES, base), (WIDTH - BEYOND_THE_DAY, base), "axis"));
    }
    drawing
}

/// A name in at most as many lines as its row has room for, each as long as the margin; what finds no room
/// ends in dots.
fn in_lines(name: &str) -> Vec<String> {
    const LINES: usize = 3;
    let mut lines = wrapped(name);
    let is_cut = lines.len() > LINES;
    lines.truncate(LINES);
    let last = lines.len().saturating_sub(1);
    for (at, line) in lines.iter_mut().enumerate() {
        let is_long = line.chars().count() > LONGEST_NAME;
        if is_long || is_cut && at == last {
            *line = line.chars().take(LONGEST_NAME - 1).chain(['…']).collect();
        }
    }
    lines
}

fn timeline_values(timeline: &Timeline, sheet: &Sheet, id: &str) -> Markup {
    let rows = html! {
        @for pump in &timeline.rows {
            @for stretch in &pump.stretches {
                tr {
                    th scope="row" { (pump.name) }
                    td { (clock(stretch.from)) }
                    td { (clock(stretch.until)) }
                    td { (stretch.word) }
                    td { (readings(&setting(stretch, sheet))) }
                }
            }
        }
    };
    let heads = ["Pump", "From", "Until", "What it does", "Setting"];
    scrolling("reckoned", &format!("{id}-values"), &timeline.title, &heads, &rows)
}

fn stretch_text(stretch: &Stretch, sheet: &Sheet) -> String {
    format!(
        "{} to {}, {}, at {}",
        clock(stretch.from),
        clock(stretch.until),
        stretch.word,
        setting(stretch, sheet)
    )
}

fn setting(stretch: &Stretch, sheet: &Sheet) -> reckoner_calc::quantity::Shown {
    let (low, high): (Quantity, Quantity) = (stretch.low.into(), stretch.high.into());
    if stretch.low == stretch.high { sheet.shown(high) } else { show_range(low, high, Rounding::Nearest) }
}

fn clock(minute: u16) -> String {
    format!("{:02}:{:02}", minute / 60, minute % 60)
}
