//! The plan on the sheet: its figures, tables and workings.

use uom::si::f64::{Length, Power, Velocity};

use super::ids::{plan as id, power, speeds, turnover, volume};
use super::reasons;
use super::zones::{too_strong_until, zone, zone_heads};
use crate::catalogue::{Catalogue, PumpModel};
use crate::decide::placement::{Among, Place, Point, Room, Spot};
use crate::decide::plan::{Ask, Asks, PumpSet, Task, Told, count, set_words, spots};
use crate::decide::reason::Reason;
use crate::decide::speeds::zones;
use crate::decide::stream::range_on;
use crate::error::Error;
use crate::formulas::power::{cost, draw_range, energy_per_year};
use crate::formulas::stream::Stream;
use crate::formulas::turnover::flow;
use crate::quantity::{Rounding, Share, System};
use crate::rules::livestock::Lives;
use crate::rules::{Band, Rules, words};
use crate::sheet::{
    Cell, DrawnStream, Item, Layout, Op, Origin, Row, Sheet, Sum, Table, Value, Working, figure, try_figure,
};
use crate::tank::{Home, Material, Rank, Tank, Wishes};
use crate::trace::Traced;

/// Of the tables: the best sets, why the best one is good, what rules the other models out, and where its
/// pumps hang.
const BEST: &str = "plan_best";
const REASONS: &str = "plan_reasons";
const RULED_OUT: &str = "plan_ruled_out";
const NEAREST: &str = "plan_nearest";
const PLACES: &str = "places";
const PLACES_ZONES: &str = "places_zones";
/// Of the heads of the best sets where their energy is not counted.
const BEST_WITHOUT_ENERGY: &str = "plan_best_without_energy";
/// Of the worked example.
const CAPACITY: &str = "plan_capacity";

/// What goes with a plan, and is not there without one.
const OF_A_PLAN: [&str; 5] = ["plan", BEST, CAPACITY, PLACES, PLACES_ZONES];

/// Adds the figures of this topic: `plan.…`, with the tables of the best sets, the reasons, the models ruled
/// out, and the places.
pub(crate) fn figures(
    sheet: &mut Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
) -> Result<(), Error> {
    let words = &rules.words.plan;
    if catalogue.pumps.is_empty() {
        for part in OF_A_PLAN.iter().chain(&[REASONS, RULED_OUT, NEAREST]) {
            sheet.lack(*part, words.empty_catalogue(&tank.name));
        }
        return Ok(());
    }
    let asks = asks(sheet, rules, tank)?;
    let task = Traced::ok(|| Task::asking(rules, catalogue, tank, asks, &[]))?;
    put_wishes(sheet, &tank.wishes, catalogue, &tank.home, words);
    let sets = Traced::ok(|| task.listed(&tank.wishes, *rules.plan.best_sets))?;
    // What is told of the task stands behind the figure that names the set, or says what blocks one.
    let task = task.peek();
    let Some(best) = sets.peek().first() else { return put_blocked(sheet, catalogue, tank, (task, &sets)) };
    for part in [id::BLOCKED.name(), id::NEAREST.name(), id::NEAREST_PRICE.name(), NEAREST] {
        sheet.lack(part, words.nothing_blocks(&tank.name));
    }
    let named = figure(id::PUMPS, || {
        sets.note();
        set_words(catalogue, &best.models)
    });
    let named = sheet.put(named);
    let best = Traced::new(|| {
        named.note();
        best.clone()
    });
    let (told, later) = put_best(sheet, rules, catalogue, tank, &best)?;
    sheet.tabulate(|| {
        named.note();
        Ok(best_table(rules, catalogue, &tank.home, sets.peek()))
    })?;
    let why = task.reasons_for(&told, &tank.wishes);
    sheet.tabulate(|| {
        named.note();
        Ok(reasons_table(REASONS, &why, words))
    })?;
    put_ruled_out(sheet, catalogue, tank, task, (Some(&told), &named))?;
    put_places(sheet, rules, catalogue, tank, &later)?;
    let words = &rules.words.placement;
    if tank.material == Material::Acrylic {
        sheet.put(figure(id::PLACES_SCRATCHES, || words.acrylic_scratches().to_owned()));
    } else {
        sheet.lack(id::PLACES_SCRATCHES, words.panes_of_glass(&tank.name));
    }
    Ok(())
}

/// What the tank asks of its pumps, as the sheet has it.
fn asks(sheet: &Sheet, rules: &Rules, tank: &Tank) -> Result<Asks, Error> {
    let counted = sheet.get(turnover::COUNTED)?;
    let aim_now = Traced::ok(|| flow(*counted, rules.turnover.aimed_at(&tank.now)))?;
    let (aim, aims) = (sheet.get(turnover::FLOW_AIM)?, tank.now == tank.later);
    let now = Ask {
        stock: tank.now.clone(),
        flow: if aims { aim } else { aim_now },
        speeds: sheet.get(speeds::NOW)?,
    };
    let later = Ask { stock: tank.later.clone(), flow: aim, speeds: sheet.get(speeds::LATER)? };
    Ok(Asks {
        first: sheet.get(turnover::FLOW_NOW)?,
        steps: vec![now, later],
        pane: sheet.get(volume::PANE)?,
    })
}

fn put_wishes(sheet: &mut Sheet, wishes: &Wishes, catalogue: &Catalogue, home: &Home, words: &words::Plan) {
    let rank = match wishes.rank {
        Rank::Cost if counts_energy(home, catalogue) => words.rank_cost(),
        Rank::Cost => words.rank_cost_without_energy(),
        Rank::Price => words.rank_price(),
        Rank::Quiet => words.rank_quiet(),
        Rank::Energy => words.rank_energy(),
        Rank::Fewest => words.rank_fewest(),
    };
    sheet.put(figure(id::RANK, || rank.to_owned()));
    if let Some(budget) = wishes.budget {
        sheet.put(figure(id::BUDGET, || budget));
    }
    if let Some(noise) = wishes.noise {
        sheet.put(figure(id::NOISE_LIMIT, || noise));
    }
}

/// Whether energy is paid in the money of the catalogue, or in one that can be changed into it.
fn counts_energy(home: &Home, catalogue: &Catalogue) -> bool {
    home.rate_to(catalogue.currency).is_some()
}

/// What blocks a plan, and the set that misses least.
///
/// - `sets`: none, with all that this was reckoned from
fn put_blocked(
    sheet: &mut Sheet,
    catalogue: &Catalogue,
    tank: &Tank,
    (task, sets): (&Task<'_>, &Traced<Vec<PumpSet>>),
) -> Result<(), Error> {
    let words = task.words();
    let blocked = Traced::ok(|| task.blocked(&tank.wishes))?;
    let told: Vec<_> = blocked.peek().iter().map(|reason| reason.words.as_str()).collect();
    let told = told.join(". ");
    let says = sheet.put(figure(id::BLOCKED, || {
        sets.note();
        blocked.note();
        told.clone()
    }));
    for part in OF_A_PLAN {
        sheet.lack(part, words.no_set(&tank.name, &told));
    }
    sheet.tabulate(|| {
        says.note();
        Ok(reasons_table(REASONS, blocked.peek(), words).captioned(words.what_blocks()))
    })?;
    put_nearest(sheet, catalogue, tank, (task, &says))?;
    put_ruled_out(sheet, catalogue, tank, task, (None, &says))
}

/// The set that misses least where none will do, and what it misses.
fn put_nearest(
    sheet: &mut Sheet,
    catalogue: &Catalogue,
    tank: &Tank,
    (task, blocked): (&Task<'_>, &Traced<String>),
) -> Result<(), Error> {
    let (wishes, words) = (&tank.wishes, task.words());
    let nearest = Traced::ok(|| task.nearest(wishes))?;
    let Some(nearest) = nearest.peek() else {
        sheet.lack(NEAREST, words.nothing_near(&tank.name));
        return Ok(());
    };
    let named = sheet.put(figure(id::NEAREST, || {
        blocked.note();
        set_words(catalogue, &nearest.set.models)
    }));
    let set = Traced::new(|| {
        named.note();
        nearest.set.clone()
    });
    let price = figure(id::NEAREST_PRICE, || set.price).says("sum of the prices");
    let price = sheet.put(price);
    let mut lacks: Vec<_> = nearest.lacks.iter().map(|(_, reason)| reason.clone()).collect();
    if let Some(budget) = wishes.budget.filter(|budget| set.peek().price.amount > budget.amount) {
        lacks.push(Reason::of(words.lacks_budget(), || *price, || budget));
    }
    if let Some(noise) = wishes.noise.filter(|noise| set.peek().sound.high > *noise) {
        lacks.push(Reason::of(words.lacks_quiet(), || set.sound.high, || noise));
    }
    let least = Traced::new(|| task.left_of_a_spare());
    if wishes.spare && set.peek().one_stopped < *least.peek() {
        lacks.push(Reason::of(words.lacks_spare(), || set.one_stopped, || *least));
    }
    sheet.tabulate(|| {
        named.note();
        Ok(reasons_table(NEAREST, &lacks, words))
    })
}

/// The table of the models that no set holds, where there are any.
///
/// - `best`, `named`: the best set, and the figure that names it or says why there is none
fn put_ruled_out(
    sheet: &mut Sheet,
    catalogue: &Catalogue,
    tank: &Tank,
    task: &Task<'_>,
    (best, named): (Option<&Told>, &Traced<String>),
) -> Result<(), Error> {
    let words = task.words();
    let mut out = Vec::new();
    for (at, model) in catalogue.pumps.iter().enumerate() {
        let reason = Traced::ok(|| task.ruled_out_by(at, best, &tank.wishes))?;
        out.extend(reason.peek().clone().map(|reason| (at, &model.model, reason)));
    }
    if out.is_empty() {
        sheet.lack(RULED_OUT, words.none_ruled_out(&tank.name));
        return Ok(());
    }
    let row = |(at, model, reason): &(usize, &String, Reason)| {
        let mut cells = vec![Cell::Words(reason.words.clone())];
        cells.extend(reasons::cells(reason, &format!("{RULED_OUT}.{}", at + 1), words));
        Row { head: Cell::Words((*model).clone()), cells }
    };
    sheet.tabulate(|| {
        named.note();
        let table = Table::new(RULED_OUT, out.iter().map(row).collect());
        Ok(if best.is_some() { table } else { table.captioned(words.ruled_out_by_themselves()) })
    })
}

/// The figures of the best set. Gives the set as the figures tell it, and as it stands at the setting for
/// later.
fn put_best(
    sheet: &mut Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
    best: &Traced<PumpSet>,
) -> Result<(Told, Traced<PumpSet>), Error> {
    let count = sheet.put(figure(id::COUNT, || count(best.models.len())));
    let full = figure(id::FLOW_FULL, || best.full);
    sheet.put(full.says("sum of the rated flows").never_above());
    let fouled = figure(id::FLOW_FOULED, || best.fouled).says("flow × (1 − share lost)");
    let fouled = sheet.put(fouled.never_above());
    let low = figure(id::FLOW_LOW, || best.low);
    let low = sheet.put(low.says("sum of rated flow × lowest setting").never_below());
    let stopped = figure(id::FLOW_ONE_STOPPED, || best.one_stopped);
    let one_stopped = sheet.put(stopped.says("flow of all − flow of the strongest").never_above());
    let counted = sheet.get(turnover::COUNTED)?;
    let aim_now = try_figure(id::AIM_NOW, || flow(*counted, rules.turnover.aimed_at(&tank.now)))?;
    sheet.put(aim_now);
    let setting = "flow wanted ÷ flow at full, no pump below its lowest setting";
    if let Some(now) = &best.peek().now {
        let now = figure(id::SETTING_NOW, || {
            best.note();
            settings(now)
        });
        sheet.put(now.says(setting));
    }
    let later = figure(id::SETTING_LATER, || settings(&best.later));
    let later = sheet.put(later.says(setting));
    let later = Traced::new(|| {
        later.note();
        best.peek().clone()
    });
    let sound = figure(id::SOUND, || later.sound).never_below();
    let sound = sheet.put(sound.says("levels at the setting and of what else hums, summed; at the pillow"));
    let price = figure(id::PRICE, || best.price).says("sum of the prices");
    let price = sheet.put(price);
    let words = &rules.words.plan;
    let (title, says) = match counts_energy(&tank.home, catalogue) {
        true => (words.cost(), "price + energy × years + wet ends"),
        false => (words.cost_without_energy(), "price + wet ends"),
    };
    let cost = sheet.put(figure(id::COST, || later.cost).titled(title).says(says).never_below());
    let power = put_power(sheet, rules, catalogue, &later)?;
    let power = Traced::new(|| {
        power.note();
        best.peek().power
    });
    let sound = Traced::new(|| sound.high);
    sheet.work(|| capacity_working(rules, best));
    let set = best.peek().clone();
    Ok((Told { set, count, fouled, low, one_stopped, price, cost, power, sound }, later))
}

/// What the pumps of the plan draw, and what their energy costs. Gives what they draw.
fn put_power(
    sheet: &mut Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    later: &Traced<PumpSet>,
) -> Result<Traced<Band<Power>>, Error> {
    let draw = try_figure(id::POWER, || {
        let nothing = Band { low: Power::default(), high: Power::default() };
        later.models.iter().zip(&later.later).try_fold(nothing, |sum, (model, setting)| {
            let pump = &catalogue.pumps[*model];
            let standing = pump.standing_draw.min(pump.power);
            let draw = draw_range(pump.power, standing, *setting, *rules.power.saving_made)?;
            Ok(Band { low: sum.low + draw.low, high: sum.high + draw.high })
        })
    })?;
    let draw = draw.says("standing draw + (draw at full − standing draw) × setting³");
    let draw = sheet.put(draw.never_below());
    let full = figure(id::POWER_FULL, || {
        later.models.iter().fold(Power::default(), |sum, model| sum + catalogue.pumps[*model].power)
    });
    sheet.put(full.says("sum of their powers").never_below());
    let year =
        figure(id::ENERGY, || Band { low: energy_per_year(draw.low), high: energy_per_year(draw.high) });
    let year = sheet.put(year.says("power × 24 hours × 365 days").never_below());
    let price = sheet.get(power::PRICE)?;
    let money = try_figure(id::ENERGY_COST, || {
        Ok(Band { low: cost(year.low, *price)?, high: cost(year.high, *price)? })
    })?;
    sheet.put(money.says("energy × price").never_below());
    Ok(draw)
}

fn capacity_working(rules: &Rules, best: &PumpSet) -> Working {
    let kept = Traced::new(|| Share(1.0 - rules.turnover.fouling_allowance.0));
    let sum = |system, unit| {
        let full = Item::rounded(best.full, system, Rounding::Down);
        Sum::work(system, vec![(Op::First, full), (Op::Times, Item::part(*kept.peek(), system))], unit)
    };
    Working::new(
        CAPACITY,
        "flow at full × share that is left just before a cleaning",
        vec![sum(System::Metric, "L/h"), sum(System::Us, "US\u{a0}gal/h")],
        id::FLOW_FOULED.name(),
    )
    .given(&[id::FLOW_FULL.name(), "rule.turnover.fouling_allowance", turnover::FLOW_AIM.name()])
}

/// One setting, or from the lowest to the highest where they differ.
fn settings(settings: &[Share]) -> Value {
    let low = settings.iter().fold(1.0_f64, |low, setting| low.min(setting.0));
    let high = settings.iter().fold(0.0_f64, |high, setting| high.max(setting.0));
    if high - low < 1e-9 { Share(high).into() } else { Band { low: Share(low), high: Share(high) }.into() }
}

fn best_table(rules: &Rules, catalogue: &Catalogue, home: &Home, sets: &[PumpSet]) -> Table {
    let words = &rules.words.plan;
    let (cost, heads) = match counts_energy(home, catalogue) {
        true => (words.set_cost(), BEST),
        false => (words.set_cost_without_energy(), BEST_WITHOUT_ENERGY),
    };
    let row = |(at, set): (usize, &PumpSet)| {
        let id = |key: &str| format!("{BEST}.{}.{key}", at + 1);
        let setting = "flow wanted ÷ flow at full";
        let mut cells: Vec<Cell> = vec![
            figure(id("price"), || set.price).into(),
            figure(id("cost"), || set.cost).titled(cost).never_below().into(),
            figure(id("power"), || set.power).never_below().into(),
            figure(id("sound"), || set.sound).never_below().into(),
        ];
        if let Some(now) = &set.now {
            cells.push(figure(id("now"), || settings(now)).says(setting).into());
        }
        cells.push(figure(id("later"), || settings(&set.later)).says(setting).into());
        Row { head: Cell::Words(set_words(catalogue, &set.models)), cells }
    };
    Table::new(BEST, sets.iter().enumerate().map(row).collect()).headed(rules.words.heads(heads))
}

fn reasons_table(id: &'static str, told: &[Reason], words: &words::Plan) -> Table {
    let row = |(at, reason): (usize, &Reason)| reasons::row(reason, &format!("{id}.{}", at + 1), words);
    Table::new(id, told.iter().enumerate().map(row).collect())
}

/// A pump of the plan, what it is set to, and where it hangs but for its height.
type Hung<'c> = (&'c PumpModel, Share, Spot);

/// Where the plan's pumps hang, and what their streams do there.
fn put_places(
    sheet: &mut Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
    later: &Traced<PumpSet>,
) -> Result<(), Error> {
    let room = Room::new(rules, tank)?;
    let pumps = Traced::new(|| spots(&room, catalogue, later));
    let hangs = Hangs { rules, tank, room: &room, pumps: &pumps, suits: sheet.get(speeds::LATER)? };
    let placed = (0..pumps.peek().len()).map(|at| hangs.place_row(at));
    let (rows, heights): (Vec<_>, Vec<_>) = placed.collect::<Result<Vec<_>, _>>()?.into_iter().unzip();
    sheet.tabulate(|| Ok(Table::new(PLACES, rows.into_iter().map(Row::told).collect())))?;
    let zoned = heights.iter().enumerate().map(|(at, height)| hangs.zones_row(at, height));
    let rows = zoned.collect::<Result<Vec<_>, _>>()?;
    let kinds: Vec<_> = tank.later.asking().collect();
    sheet.tabulate(|| {
        let rows = rows.into_iter().map(Row::told).collect();
        Ok(Table::new(PLACES_ZONES, rows).headed(zone_heads(&kinds, &rules.words.zones)))
    })?;
    sheet.draw(|| hangs.layout(&heights))
}

/// The plan's pumps as they hang.
struct Hangs<'t, 'c> {
    rules: &'t Rules,
    tank: &'t Tank,
    room: &'t Room<'t>,
    pumps: &'t Traced<Vec<Hung<'c>>>,
    /// The speeds that suit what is to live there later.
    suits: Traced<Band<Velocity>>,
}

impl Hangs<'_, '_> {
    /// The stream of a pump at its setting.
    fn stream(&self, at: usize) -> Result<Stream, Error> {
        let (pump, setting, _) = self.pumps[at];
        self.room.stream(pump)?.at_setting(setting)
    }

    /// Pump → where it hangs, how high, and why there. Gives the height too.
    fn place_row(&self, at: usize) -> Result<(Vec<Traced<Cell>>, Traced<Length>), Error> {
        let Hangs { rules, room, pumps, .. } = *self;
        let among = Among::pumps(pumps.peek().len());
        let (words, name) = (&rules.words.placement, &pumps.peek()[at].0.model);
        let id = |key: &str| format!("{PLACES}.{}.{key}", at + 1);
        let heights = Traced::ok(|| {
            let (pump, setting, spot) = pumps[at];
            room.heights(pump, setting, spot)
        })?;
        let lowest = figure(id("lowest"), || heights.low).titled(words.lowest(name));
        let lowest = lowest.says("clear of the floor or the sand").against(heights.peek().high).never_below();
        let highest = figure(id("highest"), || heights.high).titled(words.highest(name));
        let highest = highest.says("so far below the surface").against(heights.peek().low).never_above();
        let (low, high) = (lowest.value(), highest.value());
        let allowed = || Band { low: *low, high: *high };
        let height = figure(id("height"), || room.height(pumps[at].2, allowed(), among));
        let height = height.titled(words.height(name));
        let hangs_at = height.value();
        let along = figure(id("along"), || room.along(pumps[at].2)).titled(words.along(name));
        let way = figure(id("way"), || room.course(pumps[at].2, *hangs_at).way).titled(words.way(name));
        let goes = way.value();
        // Up to where it is too strong for all that is to live there: what the gentler kinds bear is in the
        // table of zones.
        let too_strong = Traced::ok(|| {
            let zones = zones(&self.stream(at)?, *self.suits, *rules.stream.spread, *goes)?;
            let until = |until| figure(id("too_strong"), || until).titled(words.too_strong(name));
            Ok::<_, Error>(too_strong_until(&zones, &rules.words.zones, until))
        })?;
        let why = Traced::new(|| {
            let spot = pumps[at].2;
            let place = Place { spot, course: room.course(spot, *hangs_at), heights: allowed() };
            Cell::Words(room.why(place, among))
        });
        let cells = vec![
            self.words(|| name.clone()),
            self.words(|| pumps[at].2.words(rules).to_owned()),
            Traced::given(along.into()),
            Traced::given(height.into()),
            Traced::given(lowest.into()),
            Traced::given(highest.into()),
            Traced::given(way.into()),
            too_strong,
            self.words(|| pumps[at].2.aim_words(rules).to_owned()),
            why,
        ];
        Ok((cells, hangs_at))
    }

    /// A cell of words about the pumps.
    fn words(&self, say: impl FnOnce() -> String) -> Traced<Cell> {
        Traced::new(|| {
            self.pumps.note();
            Cell::Words(say())
        })
    }

    /// Pump → where along its stream each kind of what is to live there can stand.
    fn zones_row(&self, at: usize, height: &Traced<Length>) -> Result<Vec<Traced<Cell>>, Error> {
        let Hangs { rules, tank, room, pumps, .. } = *self;
        let name = &pumps.peek()[at].0.model;
        let mut cells = vec![self.words(|| format!("{name}, {}", pumps[at].2.words(rules)))];
        for kind in tank.later.asking() {
            let row = format!("{PLACES_ZONES}.{}", at + 1);
            let ends = zone(rules, kind, &row, || {
                let course = room.course(pumps[at].2, **height);
                Ok((self.stream(at)?, course.way, range_on(&course, tank, &rules.stream)))
            })?;
            cells.extend(ends.each());
        }
        Ok(cells)
    }

    /// The plan's pumps in the tank, to scale, with their streams as far as the glass.
    fn layout(&self, heights: &[Traced<Length>]) -> Result<Layout, Error> {
        let Hangs { rules, tank, room, pumps, .. } = *self;
        let words = &rules.words.placement;
        let mut streams = Vec::new();
        let mut told = Vec::new();
        for (at, ((pump, _, spot), height)) in pumps.iter().zip(heights).enumerate() {
            let course = room.course(*spot, **height);
            let point = |point: Point| [point.x, point.y, point.z];
            told.push(words.drawn_pump(&pump.model, spot.words(rules), spot.aim_words(rules)));
            streams.push(DrawnStream {
                name: pump.model.clone(),
                from: point(course.from),
                to: point(course.to),
                half_width: self.stream(at)?.half_width(course.way)?,
            });
        }
        let (length, width, water) = room.inside();
        Ok(Layout {
            id: PLACES,
            title: words.drawing(&tank.name),
            description: words.drawing_described(told.join("; ")),
            length,
            // A bow front is drawn as wide as its middle.
            width: width.max(tank.glass.outline.width() - tank.glass.pane * 2.0 - tank.chamber_depth()),
            water,
            sand: tank.sand.map_or_else(Length::default, |sand| sand.depth),
            streams,
            origin: Origin::default(),
        })
    }
}

#[cfg(test)]
mod tests;
