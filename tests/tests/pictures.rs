//! Pictures read back: every point, area, mark, pump and stretch that is drawn, turned back into a value, is
//! the value it stands for.
//!
//! Nothing here knows where the drawing puts its frame. A chart is read as a reader reads it, by the marks on
//! its axes; a tank by the rectangle of its water; a day by its hours. Half a unit of the drawing is allowed:
//! about half a pixel on a page.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::path::PathBuf;
use std::sync::OnceLock;

use reckoner_calc::check::figure_value;
use reckoner_calc::quantity::{Dimension, Kind, parse, unit};
use reckoner_calc::sheet::{Axis, Chart, Layout, MapCell, Sheet, SpeedMap, Timeline};
use reckoner_calc::{Atlas, Catalogue, Rules, Tank};
use reckoner_page::html::Medium;
use reckoner_tests::random_tanks::{Dice, tank};
use svg::parser::Event;
use uom::si::f64::{Length, Time};

/// The chance of these tests. Another seed gives other tanks; a failure names its tank.
const SEED: u64 = 4100;
const TANKS: u64 = 40;
/// Units of the drawing.
const HALF_A_PIXEL: f64 = 0.5;
/// How wide a letter of a label is at the most, on the average of a word, and how high a line; the labels are
/// 14 units high.
const LETTER: f64 = 7.4;
const LINE: f64 = 13.0;

/// The demo tanks, and tanks that chance made.
fn sheets() -> &'static [(String, Sheet)] {
    static SHEETS: OnceLock<Vec<(String, Sheet)>> = OnceLock::new();
    SHEETS.get_or_init(|| {
        let book = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../book");
        let rules = Rules::compiled_in().unwrap();
        let catalogue =
            Catalogue::read("pumps.toml", &std::fs::read_to_string(book.join("pumps.toml")).unwrap())
                .unwrap();
        let demo = ["small_cube", "first_reef", "long_reef"]
            .map(|name| std::fs::read_to_string(book.join(format!("tanks/{name}.toml"))).unwrap());
        let chance = (0..TANKS)
            .map(|number| tank(&format!("Tank {number}"), &mut Dice::new(SEED + number), &catalogue.pumps));
        let texts: Vec<_> = demo.into_iter().chain(chance).collect();
        let sheet = |text: String| {
            let tank = Tank::read_with("tank.toml", &text, &rules, &catalogue)
                .unwrap_or_else(|problems| panic!("{problems:?}\n{text}"));
            (tank.name.clone(), Sheet::reckon(&rules, &catalogue, &tank).unwrap())
        };
        texts.into_iter().map(sheet).collect()
    })
}

/// A label.
#[derive(Debug, Clone)]
struct Label {
    class: String,
    x: f64,
    y: f64,
    anchor: String,
    text: String,
}

impl Label {
    /// Its left and right end, its top and its bottom.
    fn edges(&self) -> [f64; 4] {
        let wide = LETTER * self.text.chars().count() as f64;
        let left = match self.anchor.as_str() {
            "middle" => self.x - wide / 2.0,
            "end" => self.x - wide,
            _ => self.x,
        };
        [left, left + wide, self.y - LINE + 2.0, self.y + 2.0]
    }

    fn covers(&self, other: &Label) -> bool {
        let (one, other) = (self.edges(), other.edges());
        one[0] < other[1] && other[0] < one[1] && one[2] < other[3] && other[2] < one[3]
    }
}

/// A path, a rectangle, a line or a circle: its class, its points and its dashes.
#[derive(Debug, Clone)]
struct Shape {
    class: String,
    points: Vec<(f64, f64)>,
    dashes: String,
}

/// What a drawing holds.
#[derive(Debug, Default)]
struct Drawn {
    size: (f64, f64),
    labels: Vec<Label>,
    shapes: Vec<Shape>,
}

impl Drawn {
    /// Reads the drawing in a piece of a page.
    fn read(html: &str) -> Self {
        let start = html.find("<svg").unwrap();
        let end = html.find("</svg>").unwrap() + "</svg>".len();
        let mut drawn = Drawn::default();
        let mut label: Option<Label> = None;
        for event in svg::read(&html[start..end]).unwrap() {
            match event {
                Event::Tag(name, _, attributes) => {
                    let text = |key: &str| attributes.get(key).map(ToString::to_string).unwrap_or_default();
                    let number = |key: &str| {
                        text(key)
                            .parse::<f64>()
                            .unwrap_or_else(|_| panic!("{name} has no {key}: {attributes:?}"))
                    };
                    let mut shape = |points: Vec<(f64, f64)>| {
                        drawn.shapes.push(Shape {
                            class: text("class"),
                            points,
                            dashes: text("stroke-dasharray"),
                        });
                    };
                    match name {
                        "svg" if drawn.size == (0.0, 0.0) => {
                            let sizes: Vec<f64> =
                                text("viewBox").split([' ', ',']).map(|part| part.parse().unwrap()).collect();
                            drawn.size = (sizes[2], sizes[3]);
                        }
                        "path" => shape(points(&text("d"))),
                        "rect" => {
                            let (x, y) = (number("x"), number("y"));
                            shape(vec![(x, y), (x + number("width"), y + number("height"))]);
                        }
                        "line" => shape(vec![(number("x1"), number("y1")), (number("x2"), number("y2"))]),
                        "circle" => shape(vec![(number("cx"), number("cy"))]),
                        "text" if attributes.contains_key("x") => {
                            label = Some(Label {
                                class: text("class"),
                                x: number("x"),
                                y: number("y"),
                                anchor: text("text-anchor"),
                                text: String::new(),
                            });
                        }
                        "text" => drawn.labels.extend(label.take()),
                        _ => {}
                    }
                }
                Event::Text(text) => {
                    if let Some(label) = &mut label {
                        label.text.push_str(text.trim_matches('\n'));
                    }
                }
                _ => {}
            }
        }
        drawn
    }

    fn of_class(&self, class: &str) -> Vec<&Shape> {
        self.shapes.iter().filter(|shape| shape.class.split(' ').any(|of| of == class)).collect()
    }

    fn labels(&self, class: &str) -> Vec<&Label> {
        self.labels.iter().filter(|label| label.class == class).collect()
    }

    /// Whether something of this class has a point here, by one of its coordinates.
    fn has(&self, class: &str, near: impl Fn((f64, f64)) -> bool) -> bool {
        self.of_class(class).iter().any(|shape| shape.points.iter().any(|point| near(*point)))
    }

    /// No label covers another, and none leaves the drawing.
    fn labels_are_clear(&self, place: &str) {
        for (at, one) in self.labels.iter().enumerate() {
            let [left, right, top, bottom] = one.edges();
            let inside =
                left >= -1.0 && right <= self.size.0 + 1.0 && top >= -1.0 && bottom <= self.size.1 + 1.0;
            assert!(inside, "{place}: {:?} leaves the drawing", one.text);
            for other in &self.labels[..at] {
                assert!(!one.covers(other), "{place}: {one:?} covers {other:?}");
            }
        }
    }
}

/// The points of a path of straight lines.
fn points(data: &str) -> Vec<(f64, f64)> {
    let numbers =
        data.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-')).filter(|part| !part.is_empty());
    let numbers: Vec<f64> = numbers.map(|part| part.parse().unwrap()).collect();
    numbers.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
}

/// Where values lie along an axis, read off two of its marks.
#[derive(Debug, Clone, Copy)]
struct Scale {
    value: f64,
    at: f64,
    per_value: f64,
}

impl Scale {
    /// - `marks`: the printed numbers in the unit of the axis, and where they stand
    fn read(axis: &Axis, drawn: &Drawn, marks: &[(f64, f64)], place: &str) -> Self {
        assert!(marks.len() >= 2, "{place}: fewer than two marks");
        let (first, last) = (marks[0], marks[marks.len() - 1]);
        let labels = drawn.labels("axis-label");
        let label = labels
            .iter()
            .find(|label| label.text.starts_with(&axis.label))
            .unwrap_or_else(|| panic!("{place}: no {}", axis.label));
        let in_brackets = label.text[axis.label.len()..].trim().trim_matches(['(', ')']).to_owned();
        let symbol = in_brackets.split(", below in").next().unwrap_or_default().replace('\u{a0}', " ");
        // Money and plain numbers have one size.
        let size = match axis.kind {
            Kind::Money(_) | Kind::Count => 1.0,
            kind => unit(kind, &symbol).unwrap_or_else(|| panic!("{place}: no unit {symbol:?}")).si,
        };
        let scale = Scale {
            value: first.0 * size,
            at: first.1,
            per_value: (last.1 - first.1) / ((last.0 - first.0) * size),
        };
        // Every mark in between stands where the two say.
        for (value, at) in marks {
            assert!(
                (scale.place(value * size) - at).abs() <= HALF_A_PIXEL,
                "{place}: the mark {value} at {at}"
            );
        }
        scale
    }

    fn place(self, value: f64) -> f64 {
        self.at + (value - self.value) * self.per_value
    }
}

/// A printed number.
fn number(text: &str) -> f64 {
    text.replace(',', "").parse().unwrap_or_else(|_| panic!("{text:?} is no number"))
}

fn read_chart(chart: &Chart, sheet: &Sheet, place: &str) {
    let drawn = Drawn::read(&Medium::Html.chart(chart, sheet, "p"));
    let marks = drawn.labels("mark metric");
    let below: Vec<_> = marks.iter().filter(|mark| mark.anchor == "middle").collect();
    let beside: Vec<_> = marks.iter().filter(|mark| mark.anchor == "end").collect();
    for mark in &below {
        assert!(
            drawn.has("axis", |(x, _)| (x - mark.x).abs() <= HALF_A_PIXEL),
            "{place}: no tick above {}",
            mark.text
        );
    }
    // The number stands beside its line, a little below it.
    let line_of = |mark: &Label| {
        let lines = drawn.of_class("grid");
        let near = lines.iter().map(|line| line.points[0].1).find(|y| (mark.y - y).abs() < 8.0);
        near.unwrap_or_else(|| panic!("{place}: no line beside {}", mark.text))
    };
    // Numbers of the upright axis end before it.
    let axis = drawn
        .of_class("axis")
        .iter()
        .flat_map(|shape| &shape.points)
        .map(|(x, _)| *x)
        .fold(f64::MAX, f64::min);
    assert!(beside.iter().all(|mark| mark.x < axis), "{place}: a number runs into the axis at {axis}");
    let below: Vec<_> = below.iter().map(|mark| (number(&mark.text), mark.x)).collect();
    let beside: Vec<_> = beside.iter().map(|mark| (number(&mark.text), line_of(mark))).collect();
    let (across, up) =
        (Scale::read(&chart.x, &drawn, &below, place), Scale::read(&chart.y, &drawn, &beside, place));
    // What is above or below the axis is drawn at its end.
    let height = |value: f64| up.place(value.clamp(chart.y.from, chart.y.to));
    let same = |drawn: &[(f64, f64)], meant: &[(f64, f64)], what: &str| {
        assert_eq!(drawn.len(), meant.len(), "{place}, {what}");
        for ((x, y), (to_right, value)) in drawn.iter().zip(meant) {
            let far = ((x - across.place(*to_right)).abs()).max((y - height(*value)).abs());
            assert!(far <= HALF_A_PIXEL, "{place}, {what}: ({to_right}, {value}) is drawn at ({x}, {y})");
        }
    };
    let frame = [chart.x.from, chart.x.to].map(|end| across.place(end));
    let curves: Vec<_> = drawn
        .of_class("line")
        .into_iter()
        .filter(|shape| shape.points.iter().all(|(x, _)| *x <= frame[1] + 1.0))
        .collect();
    assert_eq!(curves.len(), chart.lines.len(), "{place}");
    for (curve, line) in curves.iter().zip(&chart.lines) {
        same(&curve.points, &line.points, &line.name);
    }
    for (at, curve) in curves.iter().enumerate() {
        assert!(
            curves[..at].iter().all(|other| other.dashes != curve.dashes),
            "{place}: two curves look alike in grey"
        );
        // The piece of the curve beside its name looks as it does.
        let samples = drawn.of_class(&format!("line-{at}"));
        assert!(
            samples.len() == 2 && samples.iter().all(|sample| sample.dashes == curve.dashes),
            "{place}: the sample of curve {at}"
        );
    }
    let areas = drawn.of_class("band");
    assert_eq!(areas.len(), chart.bands.len(), "{place}");
    for (area, band) in areas.iter().zip(&chart.bands) {
        let low = band.points.iter().map(|(x, low, _)| (*x, *low));
        let round: Vec<_> = low.chain(band.points.iter().rev().map(|(x, _, high)| (*x, *high))).collect();
        same(&area.points, &round, &band.name);
    }
    let levels = drawn.of_class("level");
    assert_eq!(levels.len(), chart.levels.len(), "{place}");
    for (line, level) in levels.iter().zip(&chart.levels) {
        for ((x, y), end) in line.points.iter().zip(frame) {
            assert!(
                (x - end).abs() <= HALF_A_PIXEL && (y - height(level.at.si)).abs() <= HALF_A_PIXEL,
                "{place}, {}",
                level.name
            );
        }
    }
    // Each curve has its name beside it, behind a piece of the curve at the height of the name.
    for (at, line) in chart.lines.iter().enumerate() {
        let samples = drawn.of_class(&format!("line-{at}"));
        let (x, y) = samples[1].points[1];
        let first = line.name.split(' ').next().unwrap_or_default();
        let is_named = |label: &&Label| {
            label.text.starts_with(first) && label.x >= x && (label.y - y).abs() < LINE / 2.0
        };
        assert!(
            drawn.labels.iter().any(|label| is_named(&label)),
            "{place}: no name behind the piece of {}",
            line.name
        );
    }
    drawn.labels_are_clear(place);
}

#[test]
fn charts_show_the_values_they_stand_for() {
    let mut charts = 0;
    for (tank, sheet) in sheets() {
        for (id, chart) in &sheet.charts {
            read_chart(chart, sheet, &format!("{tank}, {id}"));
            charts += 1;
        }
    }
    assert!(charts > 100, "{charts} charts");
}

fn read_layout(layout: &Layout, place: &str) {
    let drawn = Drawn::read(&Medium::Html.layout(layout, "p"));
    let water = drawn.of_class("water");
    let [above, front] = water.as_slice() else { panic!("{place}: two views") };
    let size = |view: &Shape| [view.points[1].0 - view.points[0].0, view.points[1].1 - view.points[0].1];
    for view in [above, front] {
        let margins = (view.points[0].0, drawn.size.0 - view.points[1].0);
        assert!(
            (margins.0 - margins.1).abs() <= 2.0 * HALF_A_PIXEL,
            "{place}: not in the middle, {margins:?}"
        );
    }
    let scale = size(above)[0] / layout.length.si();
    let right = |drawn: f64, meant: f64| (drawn - meant * scale).abs() <= 2.0 * HALF_A_PIXEL;
    assert!(right(size(above)[1], layout.width.si()), "{place}: the width");
    assert!(
        right(size(front)[0], layout.length.si()) && right(size(front)[1], layout.water.si()),
        "{place}: the front"
    );
    let sand = drawn.of_class("sand");
    assert!(
        right(size(sand[0])[1], layout.sand.si())
            && (sand[0].points[1].1 - front.points[1].1).abs() <= HALF_A_PIXEL,
        "{place}: sand"
    );
    // Where a point of the water is drawn: from above the back is at the top, from the front the surface.
    let from_above =
        |point: [f64; 3]| (above.points[0].0 + point[0] * scale, above.points[1].1 - point[1] * scale);
    let from_front =
        |point: [f64; 3]| (front.points[0].0 + point[0] * scale, front.points[1].1 - point[2] * scale);
    let near = |drawn: (f64, f64), meant: (f64, f64)| {
        (drawn.0 - meant.0).abs() <= 2.0 * HALF_A_PIXEL && (drawn.1 - meant.1).abs() <= 2.0 * HALF_A_PIXEL
    };
    let (pumps, axes) = (drawn.of_class("pump"), drawn.of_class("axis-of-stream"));
    assert_eq!([pumps.len(), axes.len()], [2 * layout.streams.len(); 2], "{place}");
    for (at, stream) in layout.streams.iter().enumerate() {
        let [from, to] = [stream.from, stream.to].map(|point| point.map(Dimension::si));
        for (view, place_of) in [(0, &from_above as &dyn Fn([f64; 3]) -> (f64, f64)), (1, &from_front)] {
            let (pump, axis) = (pumps[2 * at + view], axes[2 * at + view]);
            assert!(
                near(pump.points[0], place_of(from)),
                "{place}: {} is drawn at {:?}",
                stream.name,
                pump.points
            );
            assert!(
                near(axis.points[0], place_of(from)) && near(axis.points[1], place_of(to)),
                "{place}: {} blows elsewhere",
                stream.name
            );
            // The stream is as wide at its end as it is told.
            let wedges = drawn.of_class("stream");
            let [tip, one, other] = wedges[2 * at + view].points[..] else {
                panic!("{place}: three corners")
            };
            let (across, down) = (one.0 - other.0, one.1 - other.1);
            let wide = (across * across + down * down).sqrt();
            assert!(near(tip, place_of(from)), "{place}: {}", stream.name);
            assert!(
                (wide - 2.0 * stream.half_width.si() * scale).abs() <= 3.0 * HALF_A_PIXEL,
                "{place}: {} is {wide} wide",
                stream.name
            );
            let middle = ((one.0 + other.0) / 2.0, (one.1 + other.1) / 2.0);
            assert!(near(middle, place_of(to)), "{place}: {} ends elsewhere", stream.name);
            // It ends square to its axis.
            let (along_x, along_y) = (middle.0 - tip.0, middle.1 - tip.1);
            let long = (along_x * along_x + along_y * along_y).sqrt();
            assert!(
                (across * along_x + down * along_y).abs() <= 3.0 * HALF_A_PIXEL * (long + wide),
                "{place}: {} is skew",
                stream.name
            );
        }
    }
}

#[test]
fn tanks_are_drawn_to_scale() {
    let mut layouts = 0;
    for (tank, sheet) in sheets() {
        for (id, layout) in &sheet.layouts {
            read_layout(layout, &format!("{tank}, {id}"));
            layouts += 1;
        }
    }
    assert!(layouts > 25, "{layouts} drawings");
}

/// The rectangles that a path of a map is made of: left, top, right, bottom.
fn rectangles(data: &str) -> Vec<[f64; 4]> {
    let numbers =
        data.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-')).filter(|part| !part.is_empty());
    let numbers: Vec<f64> = numbers.map(|part| part.parse().unwrap()).collect();
    assert_eq!(numbers.len() % 5, 0, "a corner, three sides, and back");
    numbers.chunks(5).map(|part| [part[0], part[1], part[2], part[3]]).collect()
}

fn read_map(map: &SpeedMap, place: &str) {
    let html = Medium::Html.map(map, "p");
    let drawn = Drawn::read(&html);
    let [frame] = drawn.of_class("pane")[..] else { panic!("{place}: one frame") };
    let [(left, top), (right, bottom)] = frame.points[..] else { panic!("{place}: a rectangle") };
    let sides = map.size.map(|side| side.si());
    assert!(
        ((right - left) / (bottom - top) - sides[0] / sides[1]).abs() < 0.02,
        "{place}: it is not to scale"
    );
    // Each cell lies in an area of its own zone, and in no other.
    let areas = |class: &str| -> Vec<[f64; 4]> {
        let tag = html.split("<path").find(|tag| tag.contains(&format!("class=\"{class}\"")));
        let data = tag.and_then(|tag| tag.split(" d=\"").nth(1)).and_then(|rest| rest.split('"').next());
        data.map(rectangles).unwrap_or_default()
    };
    let mut kinds: Vec<_> =
        (0..map.zones.len()).map(|at| (MapCell::Zone(at), areas(&format!("zone zone-{at}")))).collect();
    kinds.push((MapCell::Rock, areas("rock")));
    let rows = map.cells.len() / map.columns;
    for (at, cell) in map.cells.iter().enumerate() {
        let (column, row) = (at % map.columns, at / map.columns);
        let x = left + (right - left) * (column as f64 + 0.5) / map.columns as f64;
        let y = bottom - (bottom - top) * (row as f64 + 0.5) / rows as f64;
        let holds = |areas: &[[f64; 4]]| {
            let holds = |[left, top, right, bottom]: &&[f64; 4]| {
                (*left..*right).contains(&x) && (*top..*bottom).contains(&y)
            };
            areas.iter().filter(holds).count()
        };
        for (kind, areas) in &kinds {
            assert_eq!(holds(areas), usize::from(kind == cell), "{place}: cell {column}, {row}");
        }
    }
    // The list tells every zone that is drawn, and each has a pattern of its own.
    for (at, zone) in map.zones.iter().enumerate() {
        let is_drawn = map.cells.contains(&MapCell::Zone(at));
        assert_eq!(
            html.contains(&format!("<b>{}</b> {}", at + 1, zone.name)),
            is_drawn,
            "{place}: {}",
            zone.name
        );
        assert!(
            html.contains(&format!("<pattern height=\"12\" id=\"p-{}-map-zone-{at}\"", map.id)),
            "{html}"
        );
    }
    // Each zone that is drawn has its number, and the rock its name, in an area of its own.
    for (kind, areas) in kinds.iter().filter(|(_, areas)| !areas.is_empty()) {
        let name = match kind {
            MapCell::Zone(at) => (at + 1).to_string(),
            _ => map.rock.clone(),
        };
        let is_inside = |label: &&&Label| {
            let inside = |[left, top, right, bottom]: &[f64; 4]| {
                (*left..*right).contains(&label.x) && (*top..*bottom + 5.0).contains(&label.y)
            };
            label.text == name && areas.iter().any(inside)
        };
        assert_eq!(drawn.labels("name").iter().filter(is_inside).count(), 1, "{place}: the name {name}");
    }
    let pumps = drawn.of_class("pump");
    let axes = drawn.of_class("axis-of-stream");
    for (at, (name, [from, to])) in map.streams.iter().enumerate() {
        let drawn_at = |[x, y]: [Length; 2]| {
            (left + (right - left) * x.si() / sides[0], bottom - (bottom - top) * y.si() / sides[1])
        };
        let near = |drawn: (f64, f64), meant: (f64, f64)| {
            (drawn.0 - meant.0).abs() <= HALF_A_PIXEL && (drawn.1 - meant.1).abs() <= HALF_A_PIXEL
        };
        assert!(near(pumps[at].points[0], drawn_at(*from)), "{place}: {name}");
        assert!(near(axes[at].points[1], drawn_at(*to)), "{place}: {name} points elsewhere");
    }
}

#[test]
fn maps_of_speeds_show_each_place_in_its_zone() {
    let mut maps = 0;
    for (tank, sheet) in sheets() {
        for (id, map) in &sheet.maps {
            read_map(map, &format!("{tank}, {id}"));
            maps += 1;
        }
    }
    assert!(maps > 80, "{maps} maps");
}

fn read_day(day: &Timeline, sheet: &Sheet, place: &str) {
    let drawn = Drawn::read(&Medium::Html.timeline(day, sheet, "p"));
    let hours: Vec<_> =
        drawn.labels("mark").into_iter().filter(|label| label.text.ends_with(":00")).collect();
    let (first, last) = (hours[0], hours[hours.len() - 1]);
    assert_eq!([first.text.as_str(), last.text.as_str()], ["00:00", "24:00"], "{place}");
    let at = |minute: f64| first.x + minute / 1440.0 * (last.x - first.x);
    for hour in &hours {
        let minute = 60.0 * number(&hour.text[..2]);
        assert!((hour.x - at(minute)).abs() <= HALF_A_PIXEL, "{place}: {}", hour.text);
    }
    let wide_as = |shape: &Shape, from: u16, until: u16| {
        [(shape.points[0].0, from), (shape.points[1].0, until)]
            .iter()
            .all(|(x, minute)| (x - at(f64::from(*minute))).abs() <= HALF_A_PIXEL)
    };
    let (on, off) = day.lights;
    let dark = if on <= off { vec![(0, on), (off, 1440)] } else { vec![(off, on)] };
    let dark: Vec<_> = dark.into_iter().filter(|(from, until)| from < until).collect();
    let drawn_dark = drawn.of_class("dark");
    assert_eq!(drawn_dark.len(), dark.len(), "{place}");
    assert!(
        drawn_dark.iter().zip(&dark).all(|(shape, (from, until))| wide_as(shape, *from, *until)),
        "{place}: the dark hours"
    );
    let stretches: Vec<_> = day.rows.iter().flat_map(|row| &row.stretches).collect();
    let bars = drawn.of_class("setting");
    assert_eq!(bars.len(), 2 * stretches.len(), "{place}");
    // How high a bar for the full setting is: the same for all, read off the highest.
    let height = |shape: &Shape| shape.points[1].1 - shape.points[0].1;
    let tallest = bars.iter().zip(stretches.iter().flat_map(|stretch| [stretch.high.0, stretch.low.0]));
    let full = tallest
        .max_by(|(_, one), (_, other)| one.total_cmp(other))
        .map_or(1.0, |(bar, setting)| height(bar) / setting.max(1e-9));
    for (bars, stretch) in bars.chunks(2).zip(&stretches) {
        assert!(bars.iter().all(|bar| wide_as(bar, stretch.from, stretch.until)), "{place}: {stretch:?}");
        for (bar, setting) in bars.iter().zip([stretch.high.0, stretch.low.0]) {
            assert!(
                (height(bar) - full * setting).abs() <= 2.0 * HALF_A_PIXEL,
                "{place}: {stretch:?} is {} high",
                height(bar)
            );
        }
        assert!(
            (bars[0].points[1].1 - bars[1].points[1].1).abs() <= HALF_A_PIXEL,
            "{place}: both bars stand on one line"
        );
    }
    // The lines of each pump's name stand beside the middle of its bar, around the same height.
    let names: Vec<_> = drawn.labels.iter().filter(|label| label.anchor == "end").collect();
    let bases: Vec<_> = drawn.of_class("axis").iter().map(|axis| axis.points[0].1).collect();
    assert_eq!(bases.len(), day.rows.len(), "{place}");
    let mut above = bases.iter().map(|base| {
        let near =
            names.iter().filter(|name| name.y < *base + 8.0 && name.y > base - full).map(|name| name.y);
        let (count, sum) = near.fold((0, 0.0), |(count, sum), y| (count + 1, sum + y));
        assert!(count > 0, "{place}: a row without a name");
        base - sum / f64::from(count)
    });
    let first = above.next().unwrap_or_default();
    assert!((first - (full / 2.0 - 5.0)).abs() < 2.0, "{place}: names are {first} above their lines");
    assert!(above.all(|other| (other - first).abs() < HALF_A_PIXEL), "{place}: a name out of line");
    drawn.labels_are_clear(place);
}

#[test]
fn days_show_the_hours_and_settings_they_stand_for() {
    let mut days = 0;
    for (tank, sheet) in sheets() {
        for (id, day) in &sheet.timelines {
            read_day(day, sheet, &format!("{tank}, {id}"));
            days += 1;
        }
    }
    assert!(days > 25, "{days} days");
}

/// The tasks by the labels of their rows, the rules of their intervals, and the figures that a tank with such
/// a task has.
const TASKS: [(&str, &str); 6] = [
    ("look", "look"),
    ("wipe", "wipe"),
    ("test the RCD", "residual_current_test"),
    ("acid bath", "acid_bath"),
    ("test the battery", "battery_test"),
    ("wear parts", "wear_parts"),
];

/// Reads the rhythm of care: each mark is a whole number of its task's intervals from the start, and none is
/// missing.
fn read_rhythm(sheet: &Sheet, place: &str) {
    let drawn = Drawn::read(&Medium::Html.rhythm(sheet, "p"));
    let times: Vec<_> = drawn.labels("mark");
    let (start, last) = (times[0], times[times.len() - 1]);
    assert_eq!(start.text, "now", "{place}");
    let seconds = parse::<Time>(&last.text).unwrap().si();
    let scale = (last.x - start.x) / seconds;
    let interval = |rule: &str| figure_value(sheet, &format!("rule.upkeep.{rule}")).unwrap().si;
    let due = TASKS.into_iter().filter(|(_, rule)| sheet.figure(&format!("upkeep.every_{rule}")).is_some());
    let mut due: Vec<_> = due.map(|(name, rule)| (name, interval(rule))).collect();
    due.sort_by(|one, other| one.1.total_cmp(&other.1));
    let span = due[due.len() - 1].1;
    let names: Vec<_> = drawn.labels("").into_iter().filter(|label| label.anchor == "end").collect();
    assert_eq!(
        names.iter().map(|label| label.text.as_str()).collect::<Vec<_>>(),
        due.iter().map(|(name, _)| *name).collect::<Vec<_>>(),
        "{place}"
    );
    let mut marks = 0;
    for (label, (name, between)) in names.iter().zip(&due) {
        let of_row: Vec<_> = drawn
            .of_class("due")
            .into_iter()
            .filter(|mark| (mark.points[0].1..=mark.points[1].1).contains(&(label.y - LINE / 2.0)))
            .collect();
        assert_eq!(of_row.len(), (span / between + 1e-6) as usize, "{place}: {name}");
        for (count, mark) in (1..).zip(&of_row) {
            let meant = start.x + scale * between * f64::from(count);
            assert!(
                (mark.points[0].0 - meant).abs() <= HALF_A_PIXEL,
                "{place}: {name} is drawn at {:?}, not {meant}",
                mark.points[0]
            );
        }
        marks += of_row.len();
    }
    assert_eq!(marks, drawn.of_class("due").len(), "{place}: every mark belongs to a row");
    drawn.labels_are_clear(place);
}

#[test]
fn the_rhythm_of_care_is_that_of_the_rules() {
    for (tank, sheet) in sheets() {
        read_rhythm(sheet, tank);
    }
    // Another rule, another picture.
    let upkeep = reckoner_calc::rules::COMPILED_IN.iter().find(|(name, _)| *name == "upkeep.toml").unwrap().1;
    let text = upkeep.replacen("value = \"1 week\"", "value = \"3 months\"", 1);
    assert_ne!(text, upkeep);
    let rules = Rules::load(&[("upkeep.toml".to_owned(), text)]).unwrap();
    let tank = "name = \"Bare\"\nlivestock = { now = \"fish_only\" }\n\
                glass = { shape = \"box\", length = \"80 cm\", width = \"40 cm\", height = \"50 cm\", pane = \"8 mm\" }\n";
    let sheet =
        Sheet::reckon(&rules, &Catalogue::empty(), &Tank::read("bare.toml", tank, &rules).unwrap()).unwrap();
    read_rhythm(&sheet, "wiping every three months");
}

/// The share of its column that is wide, in per cent, which is told last before here.
fn wide(before: &str) -> f64 {
    let (_, style) = before.rsplit_once("width:").unwrap();
    style.split('%').next().unwrap().parse().unwrap()
}

#[test]
fn the_atlas_has_one_scale_and_shows_each_place_in_its_zone() {
    let atlas = Atlas::reckon(&Rules::compiled_in().unwrap()).unwrap();
    let html = Medium::Html.atlas(&atlas, "p");
    // A metre in per cent of a column, by the line that tells the scale.
    let (before, after) = html.split_once("%\"></i>").unwrap();
    assert!(after.contains("50\u{a0}cm"), "{after}");
    let metre = wide(before) / 0.5;
    let mut maps = 0;
    for shape in &atlas.shapes {
        for (_, id) in &shape.maps {
            let map = &atlas.sheet.maps[*id];
            let titled =
                html.find(&format!("aria-labelledby=\"p-atlas-{id}-title p-atlas-{id}-desc\"")).unwrap();
            let start = html[..titled].rfind("<svg").unwrap();
            let svg = &html[start..];
            let drawn = Drawn::read(svg);
            // Units for a metre.
            let unit = drawn.size.0 / wide(&html[..start]) * metre;
            let near = |drawn: f64, meant: f64| (drawn - meant).abs() <= 2.0 * HALF_A_PIXEL;
            let [across, up] = map.size.map(|side| side.si() * unit);
            let rows = map.cells.len() / map.columns;
            let areas: Vec<_> = (0..map.zones.len())
                .map(|at| (MapCell::Zone(at), format!("zone zone-{at}")))
                .chain([(MapCell::Rock, "rock".to_owned())])
                .map(|(kind, class)| {
                    let svg = svg.split("</svg>").next().unwrap();
                    let tag = svg.split("<path").find(|tag| tag.contains(&format!("class=\"{class}\"")));
                    let data =
                        tag.and_then(|tag| tag.split(" d=\"").nth(1)).and_then(|rest| rest.split('"').next());
                    (kind, data.map(rectangles).unwrap_or_default())
                })
                .collect();
            // The left front corner of what is mapped: all panes stand within the room around the drawing.
            let glass = [shape.outline.length(), shape.outline.width()].map(|side| side.si() * unit);
            let room = (drawn.size.0 - glass[0]) / 2.0;
            let bow = (shape.outline.width() - shape.outline.end_width()).si() * unit;
            let (left, bottom) = (room, drawn.size.1 - room - bow);
            for (at, cell) in map.cells.iter().enumerate() {
                let (column, row) = (at % map.columns, at / map.columns);
                let x = left + across * (column as f64 + 0.5) / map.columns as f64;
                let y = bottom - up * (row as f64 + 0.5) / rows as f64;
                for (kind, areas) in &areas {
                    let holds = |[left, top, right, bottom]: &&[f64; 4]| {
                        (*left..*right).contains(&x) && (*top..*bottom).contains(&y)
                    };
                    assert_eq!(
                        areas.iter().filter(holds).count(),
                        usize::from(kind == cell),
                        "{id}: {column}, {row}"
                    );
                }
            }
            if let Some([(left, top), (right, bottom)]) =
                drawn.of_class("pane").first().map(|pane| &pane.points[..])
            {
                assert!(
                    near(right - left, glass[0]) && near(bottom - top, glass[1]),
                    "{id}: {:?}",
                    drawn.size
                );
            }
            for (pump, (_, [from, _])) in drawn.of_class("pump").iter().zip(&map.streams) {
                let [x, y] = from.map(|side| side.si() * unit);
                let at = pump.points[0];
                assert!(near(at.0, left + x) && near(at.1, bottom - y), "{id}: {at:?}");
            }
            assert_eq!(drawn.of_class("pump").len(), map.streams.len(), "{id}");
            maps += 1;
        }
    }
    assert_eq!(maps, 24);
}
