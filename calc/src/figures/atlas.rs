//! The atlas of shapes and rock: the same water, rock and pumps in tanks of several shapes.

use uom::si::f64::Length;

use super::ids::atlas as id;
use crate::decide::atlas::{PUMPS, Shape, Stack, scene, tank};
use crate::decide::speed_map::{
    Cell as Place, Grid, Scene, Speeds, Zone, corals, share, speeds, zone_of, zones,
};
use crate::error::Error;

use crate::formulas::seawater::{density, kinematic_viscosity};
use crate::formulas::settling::lifting_speed;
use crate::formulas::turnover::turnover;
use crate::quantity::{Dimension, Kind, Quantity, Rounding, Share, show};
use crate::rules::Rules;
use crate::sheet::{
    Cell, DrawnShape, DrawnZone, MapCell, Reckoned, Row, Sheet, SpeedMap, Table, figure, try_figure,
};
use crate::tank::Tank;
use crate::trace::Traced;
use crate::words::{listed, sentence_case};

/// The tables: the tanks, and what each map comes to.
const TANKS: &str = "atlas_tanks";
const SHARES: &str = "atlas_shares";
/// The side of a cell of the maps, in metres.
const CELL: f64 = 0.035;

/// The id of a map.
fn map_id(shape: Shape, stack: Stack) -> &'static str {
    macro_rules! of {
        ($shape:literal) => {
            match stack {
                Stack::Hill => concat!("atlas_", $shape, "_hill"),
                Stack::Wall => concat!("atlas_", $shape, "_wall"),
                Stack::Islands => concat!("atlas_", $shape, "_islands"),
            }
        };
    }
    match shape {
        Shape::LongBox => of!("long_box"),
        Shape::Cube => of!("cube"),
        Shape::Tall => of!("tall"),
        Shape::Divider => of!("divider"),
        Shape::BowFront => of!("bow_front"),
        Shape::Cylinder => of!("cylinder"),
        Shape::AllInOne => of!("all_in_one"),
        Shape::Shallow => of!("shallow"),
    }
}

/// A tank with its rock: how fast the water is where.
struct Filled {
    shape: Shape,
    stack: Stack,
    scene: Traced<Scene>,
    floor: Traced<Grid>,
    on_the_floor: Traced<Speeds>,
    on_the_rock: Traced<Speeds>,
}

impl Filled {
    fn of(rules: &Rules, shape: Shape, stack: Stack) -> Result<Self, Error> {
        let scene = Traced::ok(|| scene(rules, shape, stack))?;
        let cells = Traced::new(|| {
            let longest = scene.basin.length.si().max(scene.basin.width.si());
            libm::rint(longest / CELL).max(1.0) as usize
        });
        let floor = Traced::new(|| scene.above(scene.basin.bed + *rules.sand.near_bed, *cells));
        let full = vec![1.0; PUMPS];
        let on_the_floor = Traced::new(|| speeds(&floor.water(), &full));
        let on_the_rock =
            Traced::new(|| speeds(&scene.beside_rock(*rules.speed_map.beside_rock, *cells), &full));
        Ok(Filled { shape, stack, scene, floor, on_the_floor, on_the_rock })
    }

    /// The id of a cell of the table of shares.
    fn id(&self, key: &str) -> String {
        format!("{SHARES}.{}.{}.{key}", self.shape.key(), self.stack.key())
    }

    fn still(&self, rules: &Rules) -> Share {
        let still = *rules.speed_map.still;
        share(&self.on_the_floor, |speed| speed < still)
    }
}

/// Adds the figures of this topic, `atlas.…`, with the maps and their tables; tells how they are drawn.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules) -> Result<Vec<DrawnShape>, Error> {
    let words = &rules.words.atlas;
    let of_shapes = |shape| Stack::ALL.map(|stack| Filled::of(rules, shape, stack));
    let filled: Vec<_> = Shape::ALL.into_iter().flat_map(of_shapes).collect::<Result<_, _>>()?;
    let base = Traced::ok(|| tank(rules, Shape::LongBox, Stack::Hill))?;
    let moved =
        try_figure(id::TURNOVER, || turnover(*rules.atlas.pump_flow * PUMPS as f64, *rules.atlas.water))?;
    sheet.put(moved);
    let waste = sheet.put(try_figure(id::WASTE_SPEED, || waste_speed(rules, &base))?);
    let zones = Traced::new(|| zones(rules));
    let count = |count: usize| Quantity::new(Kind::Ratio, count as f64);
    sheet.put(figure(id::SHAPES, || count(Shape::ALL.len())));
    let still: Vec<_> = filled.iter().map(|filled| Traced::new(|| filled.still(rules))).collect();
    let wall_better = figure(id::WALL_BETTER, || {
        let of = |stack| filled.iter().zip(&still).filter(move |(filled, _)| filled.stack == stack);
        let pairs = of(Stack::Islands).zip(of(Stack::Wall));
        count(pairs.filter(|((_, islands), (_, wall))| ***wall < ***islands).count())
    });
    sheet.put(wall_better.says("shapes in which a wall leaves less still floor than islands"));
    sheet.tabulate(|| tanks_table(rules, &still))?;
    sheet.tabulate(|| Ok(shares_table(rules, &filled, &zones, &waste)))?;
    for filled in &filled {
        sheet.map(|| Ok(drawn(rules, filled, &zones)))?;
    }
    let shape = |shape: Shape| {
        let glass = tank(rules, shape, Stack::Hill)?;
        Ok(DrawnShape {
            name: sentence_case(shape.words(words)),
            outline: glass.glass.outline,
            chamber: glass.chamber_depth(),
            is_divider: shape == Shape::Divider,
            maps: Stack::ALL.map(|stack| (sentence_case(stack.words(words)), map_id(shape, stack))).into(),
        })
    };
    Shape::ALL.into_iter().map(shape).collect()
}

/// How fast the water must be near a bare floor, which is the easiest to sweep, to move fresh waste again.
fn waste_speed(rules: &Rules, tank: &Tank) -> Result<uom::si::f64::Velocity, Error> {
    let (salinity, temperature) = (*tank.salinity, *tank.temperature);
    let water = density(salinity, temperature, &rules.seawater)?;
    let viscosity = kinematic_viscosity(salinity, temperature, &rules.seawater)?;
    lifting_speed(*rules.speed_map.waste_moves, Length::default(), water, viscosity, &rules.sand)
}

/// Shape → its measures, and the rockwork that leaves the least still floor.
fn tanks_table(rules: &Rules, still: &[Traced<Share>]) -> Result<Table, Error> {
    let words = &rules.words.atlas;
    let row = |(shape, still): (Shape, &[Traced<Share>])| {
        let id = |key: &str| format!("{TANKS}.{}.{key}", shape.key());
        let glass = Traced::ok(|| tank(rules, shape, Stack::Hill))?;
        let of = |key: &str, measure: fn(&Tank) -> Length| figure(id(key), || measure(&glass));
        let of_all = |key: &str, pick: fn(f64, f64) -> f64| {
            figure(id(key), || {
                let all = still.iter().map(|share| share.0);
                Share(all.reduce(pick).unwrap_or_default())
            })
        };
        let least = of_all("least", f64::min);
        let with = Stack::ALL.into_iter().zip(still).filter(|(_, share)| share.peek().0 <= least.peek().0);
        let with: Vec<_> = with.map(|(stack, _)| stack.words(words)).collect();
        Ok(Row {
            head: Cell::Words(sentence_case(shape.words(words))),
            cells: vec![
                of("length", |tank| tank.glass.outline.length()).into(),
                of("width", |tank| tank.glass.outline.width()).into(),
                of("depth", Tank::water_depth).into(),
                Cell::Words(sentence_case(&listed(&with))),
                least.says("the least of all rockworks").into(),
                of_all("most", f64::max).says("the most of all rockworks").into(),
            ],
        })
    };
    let rows = Shape::ALL.into_iter().zip(still.chunks(Stack::ALL.len())).map(row);
    let rows = rows.collect::<Result<_, Error>>()?;
    // What the words of the cells go by.
    still.iter().for_each(Traced::note);
    Ok(Table::new(TANKS, rows))
}

/// Shape and rockwork → what the floor and the rock are like.
fn shares_table(
    rules: &Rules,
    filled: &[Filled],
    zones: &Traced<Vec<Zone>>,
    waste: &Traced<uom::si::f64::Velocity>,
) -> Table {
    let words = &rules.words.atlas;
    let row = |filled: &Filled| {
        let lies = figure(filled.id("lies"), || {
            let waste = **waste;
            share(&filled.on_the_floor, |speed| speed < waste)
        });
        let calm = figure(filled.id("calm"), || {
            let zones = &**zones;
            share(&filled.on_the_floor, |speed| zones[zone_of(zones, speed)].key == "calm")
        });
        let still = figure(filled.id("still"), || filled.still(rules));
        let of_floor: [Reckoned<Share>; 3] = [still, calm, lies];
        let mut cells: Vec<Cell> =
            of_floor.map(|part| part.says("part of the floor ÷ all of it").into()).into();
        cells.extend(corals(rules).map(|kind| {
            let suits = figure(filled.id(kind.key()), || {
                let band = rules.speeds.band(kind);
                share(&filled.on_the_rock, |speed| band.contains(speed))
            });
            suits.says("rock where the speed is right ÷ rock").titled(words.rock_title(kind.words())).into()
        }));
        let name = words.map_title(filled.shape.words(words), filled.stack.words(words));
        Row { head: Cell::Words(sentence_case(&name)), cells }
    };
    let heads = [words.tank_head(), words.still_head(), words.calm_head(), words.lies_head()];
    let heads = heads.into_iter().map(str::to_owned);
    let heads: Vec<_> = heads.chain(corals(rules).map(|kind| words.rock_head(kind.words()))).collect();
    Table::new(SHARES, filled.iter().map(row).collect()).headed(heads)
}

/// The map of a floor.
fn drawn(rules: &Rules, filled: &Filled, zones: &Traced<Vec<Zone>>) -> SpeedMap {
    let words = &rules.words.atlas;
    let (scene, zones, floor) = (&*filled.scene, &**zones, &*filled.floor);
    let all = vec![1.0; PUMPS];
    let cell = |cell: &Place| match cell {
        Place::Water(moved) => MapCell::Zone(zone_of(zones, moved.speed(&all))),
        Place::Rock => MapCell::Rock,
        Place::Outside => MapCell::Outside,
    };
    let zone = |(at, zone): (usize, &Zone)| DrawnZone {
        name: zone.name.clone(),
        low: zone.low.into(),
        high: zone.high.map(Into::into),
        share: share(&filled.on_the_floor, |speed| zone_of(zones, speed) == at),
    };
    let drawn_zones: Vec<_> = zones.iter().enumerate().map(zone).collect();
    let told = |zone: &DrawnZone| {
        let share = || show(zone.share.into(), Rounding::Nearest);
        (zone.share.0 > 0.0).then(|| rules.words.speed_map.zone_share(&zone.name, share()))
    };
    let told: Vec<_> = drawn_zones.iter().filter_map(told).collect();
    let (shape, stack) = (filled.shape.words(words), filled.stack.words(words));
    SpeedMap {
        id: map_id(filled.shape, filled.stack),
        title: sentence_case(&words.map_title(shape, stack)),
        description: words.map_described(shape, stack, told.join("; ")),
        view: words.map_view().to_owned(),
        size: floor.size,
        columns: floor.columns,
        zones: drawn_zones,
        streams: scene
            .courses
            .iter()
            .map(|course| (String::new(), [course.from, course.to].map(|at| [at.x, at.y])))
            .collect(),
        rock: rules.words.speed_map.rock().to_owned(),
        cells: floor.cells.iter().map(cell).collect(),
        origin: Default::default(),
    }
}

#[cfg(test)]
mod tests;
