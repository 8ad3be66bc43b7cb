//! The plan on the sheet: its figures, tables and workings.

use uom::si::f64::{Length, Power, VolumeRate};

use super::{PumpSet, Rank, Task, Wishes, count, is_stony};
use crate::catalogue::{Catalogue, PumpModel};
use crate::decide::placement::{Among, Place, Room, aim_words, words};
use crate::decide::reason::Reason;
use crate::decide::speeds::{Zones, zones};
use crate::decide::stream::range_on;
use crate::error::Error;
use crate::formulas::power;
use crate::formulas::stream::{Laws, Stream};
use crate::quantity::{Dimension, Money, Rounding, Share, System};
use crate::rules::livestock::Livestock;
use crate::rules::{Band, Rules};
use crate::sheet::{Cell, DrawnStream, Figure, Item, Layout, Op, Row, Sheet, Sum, Table, Value, Working};
use crate::sound;
use crate::tank::{Home, HungPump, Material, Tank};

/// Adds the figures of this topic: `plan.…`, with the tables of the best sets, the reasons, the models ruled out, and the places.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    const TABLES: [&str; 5] = ["plan", "plan_best", "plan_capacity", "places", "places_zones"];
    if catalogue.pumps.is_empty() {
        let why = format!(
            "There is no pump to choose for {}: the catalogue is empty. Write the pumps that you can buy into pumps.toml.",
            tank.name
        );
        for part in TABLES.iter().chain(&["plan_reasons", "plan_ruled_out", "plan_nearest"]) {
            sheet.lack(*part, &*why);
        }
        return Ok(());
    }
    let task = Task::new(rules, catalogue, tank)?;
    let wishes = &tank.wishes;
    put_wishes(sheet, wishes, tank.home.price_in(catalogue.currency).is_some());
    let sets = task.listed(wishes, *rules.plan.best_sets)?;
    let Some(best) = sets.first() else {
        let blocked = task.blocked(wishes)?;
        let told: Vec<_> = blocked.iter().map(|reason| reason.words.as_str()).collect();
        let told = told.join(". ");
        sheet.put(Figure::new("plan.blocked", "What blocks a pump plan", told.as_str()));
        for part in TABLES {
            sheet.lack(part, format!("No set of pumps of the catalogue suits {}. {told}.", tank.name));
        }
        let caption = "What blocks a pump plan, and the nearest that would work";
        sheet.put_table(reasons_table("plan_reasons", caption, &blocked));
        put_nearest(sheet, catalogue, tank, &task)?;
        put_ruled_out(sheet, catalogue, tank, &task, None)?;
        return Ok(());
    };
    for part in ["plan.blocked", "plan.nearest", "plan.nearest_price", "plan_nearest"] {
        sheet.lack(part, format!("A set of pumps of the catalogue suits {}, so nothing blocks its plan.", tank.name));
    }
    put_best(sheet, rules, catalogue, tank, best)?;
    sheet.put_table(best_table(catalogue, &tank.home, &sets));
    sheet.put_table(reasons_table("plan_reasons", "Why these pumps", &task.reasons(best, wishes)));
    put_ruled_out(sheet, catalogue, tank, &task, Some(best))?;
    sheet.put_table(places_table(rules, catalogue, tank, best)?);
    sheet.put_table(places_zones(rules, catalogue, tank, best)?);
    sheet.put_layout(places_layout(rules, catalogue, tank, best)?);
    if tank.material == Material::Acrylic {
        let words =
            "A grain of sand between a magnet and an acrylic pane scratches it. Rinse both halves, and wipe the pane, before they meet";
        sheet.put(Figure::new("places.scratches", "What to mind with acrylic panes", words));
    } else {
        sheet.lack("places.scratches", format!("The panes of {} are of glass.", tank.name));
    }
    Ok(())
}

/// The set that misses least where none will do, and what it misses.
fn put_nearest(sheet: &mut Sheet, catalogue: &Catalogue, tank: &Tank, task: &Task<'_>) -> Result<(), Error> {
    let wishes = &tank.wishes;
    let Some(nearest) = task.nearest(wishes)? else {
        sheet.lack("plan_nearest", format!("No set of pumps of the catalogue comes near what {} needs.", tank.name));
        return Ok(());
    };
    let set = &nearest.set;
    sheet.put(Figure::new("plan.nearest", "The set of pumps that comes nearest", set_words(catalogue, &set.models).as_str()));
    sheet.put(Figure::new("plan.nearest_price", "Its price", set.price).from("sum of the prices", &["plan.nearest"]));
    let mut lacks: Vec<_> = nearest.lacks.iter().map(|(_, reason)| reason.clone()).collect();
    if let Some(budget) = wishes.budget.filter(|budget| set.price.amount > budget.amount) {
        lacks.push(Reason::new("It costs more than the budget", set.price, budget).from(&["plan.nearest_price", "plan.budget"]));
    }
    if let Some(noise) = wishes.noise.filter(|noise| set.sound.high > *noise) {
        lacks.push(Reason::new("It is louder at the pillow than wished", set.sound.high, noise).from(&["plan.noise_limit"]));
    }
    let least = task.left_of_a_spare();
    if wishes.spare && set.one_stopped < least {
        lacks.push(Reason::new("When the strongest pump stops, too little flow is left", set.one_stopped, least).from(&["flow.now"]));
    }
    sheet.put_table(reasons_table("plan_nearest", "What the nearest set of pumps lacks", &lacks));
    Ok(())
}

/// The table of the models that no set holds, where there are any.
fn put_ruled_out(sheet: &mut Sheet, catalogue: &Catalogue, tank: &Tank, task: &Task<'_>, best: Option<&PumpSet>) -> Result<(), Error> {
    let mut rows = Vec::new();
    for (at, model) in catalogue.pumps.iter().enumerate() {
        if let Some(reason) = task.ruled_out(at, best, &tank.wishes)? {
            let id = format!("plan_ruled_out.{}", at + 1);
            let mut cells = vec![Cell::Words(reason.words.clone())];
            cells.extend(crate::figures::reasons::cells(&reason, &id));
            rows.push(Row { head: Cell::Words(model.model.clone()), cells });
        }
    }
    if rows.is_empty() {
        let why = format!("No model of the catalogue is ruled out for {} by itself, nor by a better one.", tank.name);
        sheet.lack("plan_ruled_out", why);
        return Ok(());
    }
    let heads = ["Model", "Why not", "What it is", "Held against"].map(str::to_owned).into();
    let caption =
        if best.is_some() { "What rules the other models out, or puts them behind" } else { "What rules models out by themselves" };
    sheet.put_table(Table { id: "plan_ruled_out", caption: caption.to_owned(), heads, rows, origin: crate::sheet::Origin::default() });
    Ok(())
}

fn put_wishes(sheet: &mut Sheet, wishes: &Wishes, energy_counts: bool) {
    let rank = match wishes.rank {
        Rank::Cost if energy_counts => "what it costs over the years",
        Rank::Cost => "what it costs over the years, its energy left out",
        Rank::Price => "its price",
        Rank::Quiet => "how quiet it is",
        Rank::Energy => "how little power it takes",
        Rank::Fewest => "how few pumps it has",
    };
    sheet.put(Figure::new("plan.rank", "What makes one pump plan better than another", rank));
    if let Some(budget) = wishes.budget {
        sheet.put(Figure::new("plan.budget", "The most that the pumps may cost together", budget));
    }
    if let Some(noise) = wishes.noise {
        sheet.put(Figure::new("plan.noise_limit", "The most that may arrive at the pillow", noise));
    }
}

fn put_best(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue, tank: &Tank, best: &PumpSet) -> Result<(), Error> {
    sheet.put(Figure::new("plan.pumps", "Pumps of the plan", set_words(catalogue, &best.models).as_str()));
    sheet.put(Figure::new("plan.count", "Number of pumps in the plan", count(best.models.len())));
    sheet.put(
        Figure::new("plan.flow_full", "What the plan's pumps move together at full, clean", best.full)
            .from("sum of the rated flows", &["plan.pumps"])
            .never_above(),
    );
    sheet.put(
        Figure::new("plan.flow_fouled", "What they still move at full just before a cleaning", best.fouled)
            .from("flow × (1 − share lost)", &["plan.flow_full"])
            .rule("turnover.fouling_allowance")
            .never_above(),
    );
    sheet.put(
        Figure::new("plan.flow_low", "What they still move turned right down", best.low)
            .from("sum of rated flow × lowest setting", &["plan.pumps"])
            .never_below(),
    );
    sheet.put(
        Figure::new(
            "plan.flow_one_stopped",
            "What they still move at full just before a cleaning when the strongest stops",
            best.one_stopped,
        )
        .from("flow of all − flow of the strongest", &["plan.flow_fouled"])
        .never_above(),
    );
    let aim_now = crate::formulas::turnover::flow(super::counted(tank, rules), rules.turnover.aimed_at(tank.now))?;
    sheet.put(
        Figure::new("plan.aim_now", "Flow to set the pumps to now", aim_now)
            .from("volume × (low + share × (high − low))", &["tank.counted", "turnover.now"])
            .rule("turnover.aim"),
    );
    let setting = "flow wanted ÷ flow at full, no pump below its lowest setting";
    if let Some(now) = &best.now {
        sheet.put(
            Figure::new("plan.setting_now", "What the pumps are set to now", settings(now))
                .from(setting, &["plan.aim_now", "plan.flow_full"]),
        );
    }
    sheet.put(
        Figure::new("plan.setting_later", "What the pumps are set to later", settings(&best.later))
            .from(setting, &["flow.aim", "plan.flow_full"]),
    );
    let sound = Figure::new("plan.sound", "What arrives at the pillow of all that hums, at the setting for later", best.sound)
        .from(
            "levels at the setting and of what else hums, summed; at the pillow",
            &["plan.setting_later", "sound.counted", "sound.pillow"],
        )
        .rule("sound.half_speed")
        .never_below();
    sheet.put(sound::rules_of(&tank.home).into_iter().fold(sound, Figure::rule));
    sheet.put(Figure::new("plan.price", "Price of the plan's pumps", best.price).from("sum of the prices", &["plan.pumps"]));
    let energy_counts = tank.home.price_in(catalogue.currency).is_some();
    let title = if energy_counts { "What the plan costs over the years" } else { "What the plan costs over the years, without its energy" };
    sheet.put(
        Figure::new("plan.cost", title, best.cost)
            .from(
                if energy_counts { "price + energy × years + wet ends" } else { "price + wet ends" },
                if energy_counts { &["plan.price", "plan.energy_cost"] } else { &["plan.price"] },
            )
            .rule("cost.years")
            .rule("cost.wet_end_interval")
            .never_below(),
    );
    let mut draw = Band { low: Power::default(), high: Power::default() };
    for (model, setting) in best.models.iter().zip(&best.later) {
        let pump = &catalogue.pumps[*model];
        let standing = super::least(pump.standing_draw, pump.power);
        let range = power::draw_range(pump.power, standing, *setting, *rules.power.saving_made)?;
        draw = Band { low: draw.low + range.low, high: draw.high + range.high };
    }
    sheet.put(
        Figure::new("plan.power", "What the pumps draw at the setting for later", draw)
            .from("standing draw + (draw at full − standing draw) × setting³", &["plan.setting_later"])
            .rule("power.saving_made")
            .never_below(),
    );
    let full = best.models.iter().fold(Power::default(), |sum, model| sum + catalogue.pumps[*model].power);
    sheet.put(
        Figure::new("plan.power_full", "What the pumps draw at full", full).from("sum of their powers", &["plan.pumps"]).never_below(),
    );
    let year = Band { low: power::energy_per_year(draw.low), high: power::energy_per_year(draw.high) };
    let energy = Figure::new("plan.energy", "What the pumps use in a year", year).from("power × 24 hours × 365 days", &["plan.power"]);
    sheet.put(energy.never_below());
    let price = Money { amount: *tank.home.price_per_kwh, currency: tank.home.currency };
    let (low, high) = (power::cost(year.low, price)?, power::cost(year.high, price)?);
    sheet.put(
        Figure::new("plan.energy_cost", "What their energy costs in a year", Value::Range(low.into(), high.into()))
            .from("energy × price", &["plan.energy", "power.price"])
            .never_below(),
    );
    put_workings(sheet, rules, best);
    Ok(())
}

fn put_workings(sheet: &mut Sheet, rules: &Rules, best: &PumpSet) {
    let kept = Share(1.0 - rules.turnover.fouling_allowance.0);
    let sum = |system, unit| {
        let share = Item::part(kept, system);
        Sum::work(system, vec![(Op::First, Item::rounded(best.full, system, Rounding::Down)), (Op::Times, share)], unit)
    };
    sheet.workings.insert(
        "plan_capacity",
        Working {
            id: "plan_capacity",
            title: "Whether the pumps are strong enough just before a cleaning",
            given: ["plan.flow_full", "rule.turnover.fouling_allowance", "flow.aim"].map(str::to_owned).into(),
            formula: "flow at full × share that is left just before a cleaning",
            sums: vec![sum(System::Metric, "L/h"), sum(System::Us, "US\u{a0}gal/h")],
            answer: "plan.flow_fouled",
            tell: "The answer is not less than the flow to aim for.",
        },
    );
}

impl Task<'_> {
    /// What must be left of the flow when a pump stops: the least for what lives there first.
    fn left_of_a_spare(&self) -> VolumeRate {
        VolumeRate::from_si(self.least)
    }

    /// Why a set is a good one: what it had to keep to, and how it does.
    pub fn reasons(&self, set: &PumpSet, wishes: &Wishes) -> Vec<Reason> {
        let low = self.left_of_a_spare();
        let pumps: Vec<_> =
            set.models.iter().filter_map(|model| self.candidates.iter().find(|candidate| candidate.model == *model)).collect();
        let enough = count(set.models.len());
        let mut reasons = vec![
            Reason::new(
                "Just before a cleaning, at full, it still moves the flow to aim for later",
                set.fouled,
                VolumeRate::from_si(self.need),
            )
            .from(&["plan.flow_fouled", "flow.aim"])
            .rule("turnover.fouling_allowance"),
            Reason::new("Turned right down, it moves no more than the most for now", set.low, VolumeRate::from_si(self.top))
                .from(&["plan.flow_low", self.flow_figure()])
                .rule(&self.turnover_rule()),
            if self.stages.iter().any(|stage| is_stony(stage.stock)) {
                let words = "It has pumps enough to bring water to stony corals from two sides";
                Reason::new(words, enough, count(self.fewest)).from(&["plan.count"]).rule("plan.two_sides").rule("plan.one_pump_up_to")
            } else {
                let words = "It has pumps enough for a tank of this length";
                Reason::new(words, enough, count(self.fewest)).from(&["plan.count", "tank.length"]).rule("plan.one_pump_up_to")
            },
        ];
        if pumps.len() > 1 {
            reasons.push(self.likeness(&pumps, "Its pumps are alike: the weakest gives about as much as the strongest"));
        }
        if let Some(stage) = self.stages.last() {
            let with_settings = || pumps.iter().map(|pump| pump.stream(pumps.len())).zip(&set.later);
            let slowest = with_settings().map(|(pump, setting)| pump.reached * setting.0).fold(f64::INFINITY, f64::min);
            let hardest = with_settings()
                .max_by(|(one, at), (other, other_at)| (at.0 / one.bears(stage)).total_cmp(&(other_at.0 / other.bears(stage))));
            let at = self.stages.len() - 1;
            if let Some((pump, setting)) = hardest {
                let its = |which: &str| if pumps.len() > 1 { format!("its {which} stream") } else { "its stream".to_owned() };
                let whom = if stage.stock.asking().count() > 1 { "the hardiest of what lives there" } else { "what lives there" };
                let words =
                    format!("At the setting for later, {} is still fast enough {}", its("weakest"), self.where_it_must_reach(pumps.len()));
                reasons.push(self.speed(&words, slowest, stage.slowest, at).rule("stream.round_decay"));
                let words = format!("Shortly before the far glass, {} has slowed to what suits {whom}", its("strongest"));
                let reason = self.speed(&words, pump.near_most * setting.0, stage.fastest, at);
                reasons.push(reason.rule("placement.calm_share").rule("stream.round_decay").rule("stream.spread"));
            }
        }
        let words = if set.models.len() == 1 {
            "When the only pump stops, nothing moves: have a spare at hand"
        } else if set.one_stopped >= low {
            "When the strongest pump stops, the others still move the least for now"
        } else {
            "When the strongest pump stops, the others move less than the least for now: have a spare at hand"
        };
        reasons.push(Reason::new(words, set.one_stopped, low).from(&["plan.flow_one_stopped", self.flow_figure()]));
        if let Some(budget) = wishes.budget {
            reasons.push(Reason::new("It keeps to the budget", set.price, budget).from(&["plan.price", "plan.budget"]));
        }
        if let Some(noise) = wishes.noise {
            reasons.push(Reason::new("It is quiet enough at the pillow", set.sound.high, noise).from(&["plan.sound", "plan.noise_limit"]));
        }
        reasons
    }
}

/// One setting, or from the lowest to the highest where they differ.
fn settings(settings: &[Share]) -> Value {
    let low = settings.iter().fold(1.0_f64, |low, setting| low.min(setting.0));
    let high = settings.iter().fold(0.0_f64, |high, setting| high.max(setting.0));
    if high - low < 1e-9 { Share(high).into() } else { Band { low: Share(low), high: Share(high) }.into() }
}

/// A set in words: "two Beck 3 and one Skerry 1".
pub(crate) fn set_words(catalogue: &Catalogue, models: &[usize]) -> String {
    const NUMBERS: [&str; 7] = ["no", "one", "two", "three", "four", "five", "six"];
    let mut parts: Vec<(usize, usize)> = Vec::new();
    for model in models {
        match parts.iter_mut().find(|(at, _)| at == model) {
            Some((_, number)) => *number += 1,
            None => parts.push((*model, 1)),
        }
    }
    let parts: Vec<_> =
        parts.into_iter().filter_map(|(at, number)| Some(format!("{} {}", NUMBERS.get(number)?, catalogue.pumps.get(at)?.model))).collect();
    match parts.as_slice() {
        [] => "nothing".to_owned(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

fn best_table(catalogue: &Catalogue, home: &Home, sets: &[PumpSet]) -> Table {
    let energy_counts = home.price_in(catalogue.currency).is_some();
    let title = if energy_counts { "What they cost over the years" } else { "What they cost over the years, without their energy" };
    let row = |(at, set): (usize, &PumpSet)| {
        let id = |key: &str| format!("plan_best.{}.{key}", at + 1);
        let mut cells = vec![
            Figure::new(id("price"), "Price of the pumps", set.price),
            Figure::new(id("cost"), title, set.cost).rule("cost.years").rule("cost.wet_end_interval").never_below(),
            Figure::new(id("power"), "What they draw at the setting for later, at the most", set.power)
                .rule("power.saving_made")
                .never_below(),
            sound::rules_of(home)
                .into_iter()
                .fold(Figure::new(id("sound"), "What arrives at the pillow of all that hums", set.sound), Figure::rule)
                .rule("sound.half_speed")
                .never_below(),
        ];
        if let Some(now) = &set.now {
            cells.push(Figure::new(id("now"), "Setting now", settings(now)).from("flow wanted ÷ flow at full", &["plan.aim_now"]));
        }
        cells.push(Figure::new(id("later"), "Setting later", settings(&set.later)).from("flow wanted ÷ flow at full", &["flow.aim"]));
        Row { head: Cell::Words(set_words(catalogue, &set.models)), cells: cells.into_iter().map(Cell::Figure).collect() }
    };
    let cost = if energy_counts { "Cost over the years" } else { "Cost over the years, without energy" };
    let heads = ["Pumps", "Price", cost, "Power", "At the pillow", "Setting now", "Setting later"];
    Table {
        id: "plan_best",
        caption: "The best sets of pumps for this tank, the best one first".to_owned(),
        heads: heads.map(str::to_owned).into(),
        rows: sets.iter().enumerate().map(row).collect(),
        origin: crate::sheet::Origin::default(),
    }
}

fn reasons_table(id: &'static str, caption: &str, reasons: &[Reason]) -> Table {
    Table {
        id,
        caption: caption.to_owned(),
        heads: ["Why", "What it is", "Held against"].map(str::to_owned).into(),
        rows: reasons.iter().enumerate().map(|(at, reason)| crate::figures::reasons::row(reason, &format!("{id}.{}", at + 1))).collect(),
        origin: crate::sheet::Origin::default(),
    }
}

/// The places of a set, the strongest pumps at the ends: with each its setting for later.
///
/// # Errors
/// As [`Room::place`].
pub(crate) fn places<'c>(
    rules: &Rules,
    catalogue: &'c Catalogue,
    tank: &Tank,
    set: &PumpSet,
) -> Result<Vec<(&'c PumpModel, Share, Place)>, Error> {
    let room = Room::new(rules, tank)?;
    let mut pumps: Vec<_> = set.models.iter().zip(&set.later).map(|(model, setting)| (&catalogue.pumps[*model], *setting)).collect();
    pumps.sort_by(|(one, at), (other, other_at)| (other.rated_flow.si() * other_at.0).total_cmp(&(one.rated_flow.si() * at.0)));
    let (spots, among) = (room.spots(pumps.len()), Among::pumps(pumps.len()));
    let placed = pumps.into_iter().zip(spots).map(|((pump, setting), spot)| Ok((pump, setting, room.place(pump, setting, spot, among)?)));
    placed.collect()
}

fn places_table(rules: &Rules, catalogue: &Catalogue, tank: &Tank, best: &PumpSet) -> Result<Table, Error> {
    let mut rows = Vec::new();
    let room = Room::new(rules, tank)?;
    let has_sand = room.has_sand();
    let among = Among::pumps(best.models.len());
    for (pump, setting, place) in places(rules, catalogue, tank, best)? {
        let id = format!("places.{}", rows.len() + 1);
        let stream = Stream::new(pump.outlet, pump.rated_flow, Laws::of(&rules.stream))?.at_setting(setting)?;
        // Up to where it is too strong for all that is to live there: what the gentler kinds bear is in the table of zones.
        let zones = zones(&stream, rules.speeds.band(tank.later), *rules.stream.spread, place.course.way)?;
        let figure = |key: &str, title: &str, value: Value| Figure::new(format!("{id}.{key}"), format!("{}: {title}", pump.model), value);
        let sand = |figure: Figure| {
            if has_sand { figure.rule("sand.band").rule("stream.edge") } else { figure }
        };
        let along = match place.spot.wall {
            crate::tank::Wall::Left | crate::tank::Wall::Right => place.course.from.y,
            crate::tank::Wall::Back | crate::tank::Wall::Front => place.course.from.x,
        };
        let figures = vec![
            figure("along", "its place along that pane, from the front or from the left", along.into()),
            figure("height", "height of its outlet above the base pane", place.course.from.z.into())
                .rule("placement.height_share")
                .rule("placement.stagger"),
            sand(
                figure("lowest", "lowest height at which it lifts no sand", place.heights.low.into())
                    .from("clear of the floor or the sand", &["sand.keep_below"])
                    .against(place.heights.high.into())
                    .never_below(),
            ),
            figure("highest", "greatest height at which it draws no air", place.heights.high.into())
                .from("so far below the surface", &[])
                .rule("placement.below_surface")
                .against(place.heights.low.into())
                .never_above(),
            figure("way", "how far its stream goes until it meets the glass", place.course.way.into())
                .rule("placement.aimed_up")
                .rule("placement.turned"),
        ];
        let mut cells = vec![Cell::Words(words(place.spot, &rules.placement).to_owned())];
        cells.extend(figures.into_iter().map(Cell::Figure));
        cells.push(too_strong_until(&zones, |until| {
            figure("too_strong", "up to here too strong in the middle for what is to live there later", until.into())
                .from("distance at which the stream has slowed enough", &["plan.setting_later", "speeds.later"])
                .rule(&format!("speeds.{}", tank.later.most().key()))
                .rule("stream.spread")
        }));
        cells.push(Cell::Words(aim_words(place.spot, &rules.placement).to_owned()));
        cells.push(Cell::Words(room.why(place, among)));
        rows.push(Row { head: Cell::Words(pump.model.clone()), cells });
    }
    let heads = ["Pump", "Where", "Along", "Height", "Lowest", "Highest", "Way to the glass", "Too strong up to", "Aim", "Why there"];
    Ok(Table {
        id: "places",
        caption: "Where the plan's pumps hang; heights are those of the outlet's middle above the base pane".to_owned(),
        heads: heads.map(str::to_owned).into(),
        rows,
        origin: crate::sheet::Origin::default(),
    })
}

/// Pump → where along its stream each kind of what is to live there can stand.
fn places_zones(rules: &Rules, catalogue: &Catalogue, tank: &Tank, best: &PumpSet) -> Result<Table, Error> {
    let kinds: Vec<_> = tank.later.asking().collect();
    let mut rows = Vec::new();
    for (pump, setting, place) in places(rules, catalogue, tank, best)? {
        let stream = Stream::new(pump.outlet, pump.rated_flow, Laws::of(&rules.stream))?.at_setting(setting)?;
        let id = format!("places_zones.{}", rows.len() + 1);
        let mut cells = Vec::new();
        for kind in &kinds {
            let holds = range_on(&place.course, tank, &rules.stream);
            cells.extend(zone(rules, &stream, *kind, (place.course.way, holds), &id, "plan.setting_later")?);
        }
        let head = format!("{}, {}", pump.model, words(place.spot, &rules.placement));
        rows.push(Row { head: Cell::Words(head), cells });
    }
    let caption = "Where along each stream of the plan, in its middle, the animals of later can stand".to_owned();
    Ok(Table { id: "places_zones", caption, heads: zone_heads(&kinds), rows, origin: crate::sheet::Origin::default() })
}

/// The heads of a table of zones: the pump, then for each kind where its place begins and where it ends.
pub(crate) fn zone_heads(kinds: &[Livestock]) -> Vec<String> {
    let capital = |words: &str| {
        let mut letters = words.chars();
        letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
    };
    let of_kind = |kind: &Livestock| [format!("{} from", capital(kind.words())), "up to".to_owned()];
    std::iter::once("Pump".to_owned()).chain(kinds.iter().flat_map(of_kind)).collect()
}

/// Where along the middle of a stream a kind can stand: where its place begins and where it ends, or in words that it has none. Both
/// ends are rounded away from the pump: too strong is worse than too weak. Farther out than the law of a stream holds, it is slower than
/// reckoned, so no place is told to reach beyond that.
///
/// - `way`: how far the stream goes, and how far its law holds
/// - `id`: the row's
/// - `behind`: id of the figure of the setting
pub(crate) fn zone(
    rules: &Rules,
    stream: &Stream,
    kind: Livestock,
    (way, holds): (Length, Length),
    id: &str,
    behind: &str,
) -> Result<[Cell; 2], Error> {
    let zones = zones(stream, rules.speeds.band(kind), *rules.stream.spread, way)?;
    // However gently a stream leaves its pump, no coral grows into the opening.
    let least = if kind == Livestock::FishOnly { Length::default() } else { *rules.speeds.least_distance };
    let begins_at = if zones.too_strong_until > least { zones.too_strong_until } else { least };
    if zones.right_until <= begins_at {
        let is_strong = begins_at >= zones.way;
        let words = if is_strong { "beside the stream only" } else { "nowhere: too weak" };
        return Ok([words, "–"].map(|words| Cell::Words(words.to_owned())));
    }
    let figure = |key: &str, title: &str, at: Length| {
        let title = format!("{title} along the stream {} can stand", kind.words());
        Figure::new(format!("{id}.{}.{key}", kind.key()), title, at)
            .from("distance at which the stream has slowed to an end of the band", &[behind])
            .rule(&format!("speeds.{}", kind.key()))
            .rule("stream.spread")
    };
    let begins = if begins_at > Length::default() {
        let from = figure("from", "From where", begins_at).never_below();
        Cell::Figure(if begins_at > zones.too_strong_until { from.rule("speeds.least_distance") } else { from })
    } else {
        Cell::Words("the outlet".to_owned())
    };
    let ends = if begins_at >= holds {
        Cell::Words("as you find it: slower than reckoned there".to_owned())
    } else if zones.right_until > holds {
        let figure = figure("up_to", "Up to where it is reckoned", holds).rule("stream.range");
        Cell::Figure(figure.never_above())
    } else if zones.right_until < zones.way {
        Cell::Figure(figure("up_to", "Up to where", zones.right_until).never_below())
    } else {
        Cell::Words("the far glass".to_owned())
    };
    Ok([begins, ends])
}

/// Up to where a stream is too strong, or in words that it is so all the way.
///
/// - `figure`: the cell's, where it is not
pub(crate) fn too_strong_until(zones: &Zones, figure: impl FnOnce(Length) -> Figure) -> Cell {
    if zones.too_strong_until >= zones.way {
        Cell::Words("the far glass".to_owned())
    } else if zones.too_strong_until > Length::default() {
        Cell::Figure(figure(zones.too_strong_until).never_below())
    } else {
        Cell::Words("nowhere".to_owned())
    }
}

/// The plan's pumps in the tank, to scale, with their streams as far as the glass.
fn places_layout(rules: &Rules, catalogue: &Catalogue, tank: &Tank, best: &PumpSet) -> Result<Layout, Error> {
    let mut streams = Vec::new();
    let mut told = Vec::new();
    for (pump, setting, place) in places(rules, catalogue, tank, best)? {
        let stream = Stream::new(pump.outlet, pump.rated_flow, Laws::of(&rules.stream))?.at_setting(setting)?;
        let point = |point: crate::decide::placement::Point| [point.x, point.y, point.z];
        told.push(format!(
            "{} at the {}, aimed {}",
            pump.model,
            words(place.spot, &rules.placement),
            aim_words(place.spot, &rules.placement)
        ));
        streams.push(DrawnStream {
            name: pump.model.clone(),
            from: point(place.course.from),
            to: point(place.course.to),
            half_width: stream.half_width(place.course.way)?,
        });
    }
    let (length, width, water) = Room::new(rules, tank)?.inside();
    Ok(Layout {
        id: "places",
        title: format!("Where the pumps of the plan hang in {}, to scale", tank.name),
        description: format!("The tank from above and from the front. {}. Each stream widens until it meets the glass.", told.join("; ")),
        length,
        // A bow front is drawn as wide as its middle.
        width: width.max(tank.glass.plan.width() - tank.glass.pane * 2.0 - tank.chamber_depth()),
        water,
        sand: tank.sand.map_or_else(Length::default, |sand| sand.depth),
        streams,
        origin: crate::sheet::Origin::default(),
    })
}

/// The plan's pumps as they hang in the tank, set for what lives there now, or for later where they cannot be turned down so far; none
/// where no set fits.
///
/// # Errors
/// As [`Task::new`] and [`Task::best`].
pub fn hung(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Vec<HungPump>, Error> {
    if catalogue.pumps.is_empty() {
        return Ok(Vec::new());
    }
    let task = Task::new(rules, catalogue, tank)?;
    let Some(best) = task.listed(&tank.wishes, 1)?.into_iter().next() else { return Ok(Vec::new()) };
    let settings = best.now.clone().unwrap_or_else(|| best.later.clone());
    // The places go by the strength of the pumps, the settings by the catalogue; pumps of one model share one setting.
    let setting_of = |pump: &PumpModel| {
        let mut set = best.models.iter().zip(&settings);
        set.find(|(model, _)| catalogue.pumps[**model].model == pump.model).map_or(Share(1.0), |(_, setting)| *setting)
    };
    let hang = |(pump, _, place): (&PumpModel, Share, Place)| HungPump {
        name: words(place.spot, &rules.placement).to_owned(),
        model: pump.model.clone(),
        setting: setting_of(pump),
        wall: place.spot.wall,
        along: place.spot.along,
        height: place.course.from.z,
    };
    Ok(places(rules, catalogue, tank, &best)?.into_iter().map(hang).collect())
}
