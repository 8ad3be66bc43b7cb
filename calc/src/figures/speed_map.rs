//! The map of speeds on the sheet: where the water is still, where it suits whom, where it is too strong.

mod change;
mod day;

use uom::si::f64::Length;

use super::ids::seawater::{DENSITY, VISCOSITY};
use super::ids::speed_map as id;
use crate::catalogue::Catalogue;
use crate::decide::fit::running;
use crate::decide::placement::Point;
use crate::decide::plan::find;
use crate::decide::speed_map::{
    Asked, CELLS, Cell as Place, Grid, Scene, Speeds, Zone, corals, share, speeds, zone_of, zones,
};
use crate::error::Error;
use crate::formulas::settling::lifting_speed;
use crate::quantity::{Rounding, Share, show};
use crate::rules::Rules;
use crate::sheet::{Cell, DrawnZone, MapCell, Reckoned, Row, Sheet, SpeedMap, Table, figure, try_figure};
use crate::tank::Tank;
use crate::trace::Traced;
use crate::words::{listed, sentence_case};

/// The tables: the zones, the kinds of coral, and what is still without each pump.
const ZONES: &str = "map_zones";
const KINDS: &str = "map_kinds";
const OUT: &str = "map_out";
/// The maps.
const ABOVE: &str = "from_above";
const FLOOR: &str = "near_floor";
const FRONT: &str = "from_front";
/// All that this topic puts on the sheet: ids, and what the ids of figures begin with.
pub(crate) const PARTS: [&str; 9] =
    ["map", ZONES, KINDS, OUT, day::DAY, change::CHANGES, ABOVE, FLOOR, FRONT];

/// Adds the figures of this topic: `map.…`, with the maps and their tables.
pub(crate) fn figures(
    sheet: &mut Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
) -> Result<(), Error> {
    let words = &rules.words.speed_map;
    let scene = Traced::ok(|| Scene::of(rules, catalogue, tank))?;
    let Some(scene) = scene.transpose() else {
        for part in PARTS {
            sheet.lack(part, words.no_pumps(&tank.name));
        }
        return Ok(());
    };
    let named = |at: usize| -> Result<String, Error> {
        let pump = &scene.pumps[at];
        let setting = running(pump, &catalogue.pumps[find(catalogue, &pump.model)?]);
        let setting = show(setting.into(), Rounding::Nearest);
        Ok(rules.words.fit.at_setting(&pump.name, &pump.model, setting))
    };
    let pumps = try_figure(id::PUMPS, || {
        Ok(listed(&(0..scene.pumps.len()).map(named).collect::<Result<Vec<_>, Error>>()?))
    })?;
    sheet.put(pumps);
    if scene.peek().own {
        sheet.lack(id::OF_PLAN.name(), words.own_pumps(&tank.name));
    } else {
        sheet.put(figure(id::OF_PLAN, || {
            scene.note();
            words.of_plan(&tank.name)
        }));
    }
    let height = figure(id::HEIGHT, || tank.map_height.unwrap_or_else(|| scene.height()));
    let height = sheet.put(height.says("that of the tank file, or the middle of the streams' ways"));
    let (density, viscosity) = (sheet.get(DENSITY)?, sheet.get(VISCOSITY)?);
    let waste = try_figure(id::WASTE_SPEED, || {
        // On a smooth floor: it is the easiest to sweep.
        let smooth = Length::default();
        lifting_speed(*rules.speed_map.waste_moves, smooth, *density, *viscosity, &rules.sand)
    })?;
    let waste = sheet.put(waste);
    let zones = Traced::new(|| zones(rules));
    let above = Traced::new(|| scene.above(*height, CELLS));
    let floor = Traced::new(|| scene.above(scene.basin.bed + *rules.sand.near_bed, CELLS));
    let front = Traced::new(|| scene.front(CELLS));
    let of_floor = Traced::new(|| floor.water());
    let of_rock = Traced::new(|| scene.beside_rock(*rules.speed_map.beside_rock, CELLS));
    let all = vec![1.0; scene.peek().pumps.len()];
    let map = Map {
        rules,
        tank,
        on_the_map: Traced::new(|| speeds(&above.water(), &all)),
        on_the_floor: Traced::new(|| speeds(&of_floor, &all)),
        on_the_rock: Traced::new(|| speeds(&of_rock, &all)),
        all,
        of_floor,
        of_rock,
        scene,
        zones,
    };
    let lies = figure(id::FLOOR_LIES, || share(&map.on_the_floor, |speed| speed < *waste));
    sheet.put(lies.says("floor where the water is slower ÷ floor"));
    let full = try_figure(id::FLOOR_LIES_FULL, || {
        let times = map.scene.full(catalogue)?;
        Ok(share(&speeds(&map.of_floor, &times), |speed| speed < *waste))
    })?;
    sheet.put(full.says("floor where the water is slower with all pumps at full ÷ floor"));
    let floor_still = figure(id::FLOOR_STILL, || map.still(&map.on_the_floor));
    sheet.put(floor_still.says("floor where the water is slower than still ÷ floor"));
    if map.scene.peek().has_rock() {
        let rock_still = figure(id::ROCK_STILL, || map.still(&map.on_the_rock));
        sheet.put(rock_still.says("rock where the water is slower than still ÷ rock"));
        let suits = figure(id::ROCK_SUITS, || {
            let band = rules.speeds.band(&tank.now);
            share(&map.on_the_rock, |speed| band.contains(speed))
        });
        sheet.put(suits.says("rock where the speed is right ÷ rock"));
        let strong = figure(id::ROCK_TOO_STRONG, || {
            let most = rules.speeds.band(&tank.now).high;
            share(&map.on_the_rock, |speed| speed > most)
        });
        sheet.put(strong.says("rock where the water is too fast ÷ rock"));
    } else {
        for part in [id::ROCK_STILL.name(), id::ROCK_SUITS.name(), id::ROCK_TOO_STRONG.name()] {
            sheet.lack(part, words.rock_missing(&tank.name));
        }
    }
    sheet.tabulate(|| Ok(map.zones_table()))?;
    sheet.tabulate(|| Ok(map.kinds_table()))?;
    if map.all.len() > 1 {
        sheet.tabulate(|| Ok(map.out_table()))?;
    } else {
        sheet.lack(OUT, words.single(&tank.name));
    }
    day::figures(sheet, &map, catalogue, &waste)?;
    change::figures(sheet, &map, catalogue, &waste)?;
    let title = words.above_title(&tank.name);
    sheet.map(|| Ok(map.drawn(ABOVE, title, words.above_view(), &above, |at| [at.x, at.y])))?;
    let title = words.floor_title(&tank.name);
    sheet.map(|| Ok(map.drawn(FLOOR, title, words.floor_view(), &floor, |at| [at.x, at.y])))?;
    let title = words.front_title(&tank.name);
    sheet.map(|| Ok(map.drawn(FRONT, title, words.front_view(), &front, |at| [at.x, at.z])))
}

/// A share of the rock, as a cell; words where there is none.
fn where_rock(map: &Map<'_>, reckon: impl FnOnce() -> Reckoned<Share>) -> Cell {
    if map.scene.peek().has_rock() {
        return reckon().into();
    }
    Cell::Words(map.rules.words.speed_map.no_rock().to_owned())
}

/// What is asked of the map.
struct Map<'t> {
    rules: &'t Rules,
    tank: &'t Tank,
    scene: Traced<Scene>,
    zones: Traced<Vec<Zone>>,
    of_floor: Traced<Vec<Asked>>,
    of_rock: Traced<Vec<Asked>>,
    /// All pumps at their settings.
    all: Vec<f64>,
    /// The speeds then.
    on_the_map: Traced<Speeds>,
    on_the_floor: Traced<Speeds>,
    on_the_rock: Traced<Speeds>,
}

impl Map<'_> {
    /// The share that is slower than still.
    fn still(&self, of: &Traced<Speeds>) -> Share {
        let still = *self.rules.speed_map.still;
        share(of, |speed| speed < still)
    }

    /// Zone → its speeds, and how much of the map, of the floor and of the rock it takes up.
    fn zones_table(&self) -> Table {
        let words = &self.rules.words.speed_map;
        let row = |(at, zone): (usize, &Zone)| {
            let id = |key: &str| format!("{ZONES}.{}.{key}", zone.key);
            let part = |key: &str, of: &Traced<Speeds>| {
                figure(id(key), || {
                    let zones = &*self.zones;
                    share(of, |speed| zone_of(zones, speed) == at)
                })
                .says("part of it in this zone ÷ all of it")
            };
            let up_to = zone.high.map_or_else(
                || Cell::Words(words.no_end().to_owned()),
                |high| {
                    figure(id("up_to"), || {
                        self.zones.note();
                        high
                    })
                    .into()
                },
            );
            let from = figure(id("from"), || {
                self.zones.note();
                zone.low
            });
            Row {
                head: Cell::Words(sentence_case(&zone.name)),
                cells: vec![
                    from.into(),
                    up_to,
                    part("above", &self.on_the_map).into(),
                    part("floor", &self.on_the_floor).into(),
                    where_rock(self, || part("rock", &self.on_the_rock)),
                ],
            }
        };
        let rows = self.zones.peek().iter().enumerate().map(row).collect();
        // What the words of the cells go by.
        self.zones.note();
        self.scene.note();
        Table::new(ZONES, rows)
    }

    /// Kind of coral → how much of the rock and of the floor suits it.
    fn kinds_table(&self) -> Table {
        let speeds = &self.rules.speeds;
        let row = |kind: &crate::rules::livestock::Livestock| {
            let id = |key: &str| format!("{KINDS}.{}.{key}", kind.key());
            let part = |key: &str, of: &Traced<Speeds>| {
                figure(id(key), || {
                    let band = speeds.band(kind);
                    share(of, |speed| band.contains(speed))
                })
                .says("part of it where the speed is right ÷ all of it")
            };
            Row {
                head: Cell::Words(sentence_case(kind.words())),
                cells: vec![
                    figure(id("speeds"), || speeds.band(kind)).into(),
                    where_rock(self, || part("rock", &self.on_the_rock)),
                    part("floor", &self.on_the_floor).into(),
                ],
            }
        };
        let rows = corals(self.rules).map(row).collect();
        self.scene.note();
        Table::new(KINDS, rows)
    }

    /// Pump that stops → how much of the floor and the rock is still then, and what still suits.
    fn out_table(&self) -> Table {
        let words = &self.rules.words.speed_map;
        let row = |(key, name, times): (String, String, Vec<f64>)| {
            let id = |part: &str| format!("{OUT}.{key}.{part}");
            let on_the_floor = Traced::new(|| speeds(&self.of_floor, &times));
            let on_the_rock = Traced::new(|| speeds(&self.of_rock, &times));
            let still = |part: &str, of: &Traced<Speeds>| {
                figure(id(part), || self.still(of))
                    .says("part of it where the water is slower than still ÷ all of it")
            };
            let suits = || {
                figure(id("suits"), || {
                    let band = self.rules.speeds.band(&self.tank.now);
                    share(&on_the_rock, |speed| band.contains(speed))
                })
                .says("part of it where the speed is right ÷ all of it")
            };
            let cells = vec![
                still("floor", &on_the_floor).into(),
                where_rock(self, || still("rock", &on_the_rock)),
                where_rock(self, suits),
            ];
            Row { head: Cell::Words(sentence_case(&name)), cells }
        };
        let pumps = self.scene.peek().pumps.iter().enumerate();
        let without = pumps.map(|(at, pump)| {
            let mut times = self.all.clone();
            times[at] = 0.0;
            (format!("pump{}", at + 1), words.without(&pump.name), times)
        });
        let all = ("all".to_owned(), words.all_run().to_owned(), self.all.clone());
        let rows = std::iter::once(all).chain(without).map(row).collect();
        self.scene.note();
        Table::new(OUT, rows)
    }

    /// A map as it is drawn.
    ///
    /// - `flat`: what of a point is seen on it
    fn drawn(
        &self,
        id: &'static str,
        title: String,
        view: &str,
        grid: &Grid,
        flat: impl Fn(Point) -> [Length; 2],
    ) -> SpeedMap {
        let words = &self.rules.words.speed_map;
        let (zones, scene) = (&*self.zones, &*self.scene);
        let cell = |cell: &Place| match cell {
            Place::Water(moved) => MapCell::Zone(zone_of(zones, moved.speed(&self.all))),
            Place::Rock => MapCell::Rock,
            Place::Outside => MapCell::Outside,
        };
        let cells: Vec<_> = grid.cells.iter().map(cell).collect();
        let water = speeds(&grid.water(), &self.all);
        let drawn = |(at, zone): (usize, &Zone)| DrawnZone {
            name: zone.name.clone(),
            low: zone.low.into(),
            high: zone.high.map(Into::into),
            share: share(&water, |speed| zone_of(zones, speed) == at),
        };
        let drawn_zones: Vec<_> = zones.iter().enumerate().map(drawn).collect();
        let told = |zone: &DrawnZone| {
            (zone.share.0 > 0.0)
                .then(|| words.zone_share(&zone.name, show(zone.share.into(), Rounding::Nearest)))
        };
        let told: Vec<_> = drawn_zones.iter().filter_map(told).collect();
        let streams = scene.pumps.iter().zip(&scene.courses);
        SpeedMap {
            id,
            title,
            description: words.described(told.join("; ")),
            view: view.to_owned(),
            size: grid.size,
            columns: grid.columns,
            zones: drawn_zones,
            streams: streams
                .map(|(pump, course)| (pump.name.clone(), [flat(course.from), flat(course.to)]))
                .collect(),
            rock: words.rock().to_owned(),
            cells,
            origin: Default::default(),
        }
    }
}

#[cfg(test)]
mod tests;
