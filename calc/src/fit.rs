//! The fit check: what the reader's own pumps do in the reader's tank.

use uom::si::f64::{Frequency, Length, Velocity, VolumeRate};

use crate::catalogue::{Catalogue, PumpModel};
use crate::decide::placement::{Course, Room, Spot, last_that_holds};
use crate::decide::plan::{Task, count, counted, find, set_words};
use crate::decide::reason::Reason;
use crate::decide::speeds::{Zones, zones};
use crate::decide::stream::range_on;
use crate::error::Error;
use crate::figures::zones::{too_strong_until, zone, zone_heads};
use crate::formulas::stream::{Laws, Stream};
use crate::formulas::turnover;
use crate::quantity::{Dimension, Rounding, Share, SoundLevel, Thickness, show};
use crate::rules::livestock::{Livestock, Stock};
use crate::rules::{Band, Rules};
use crate::sheet::{Cell, Figure, Row, Sheet, Table, figure};
use crate::sound;
use crate::tank::{HungPump, Tank};

/// What the pumps of a tank do together.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Each pump's stream, in the order of the tank file.
    pub streams: Vec<StreamFit>,
    /// What they move together at their settings, clean.
    pub flow: VolumeRate,
    /// What they move together at full, clean; each no further up than the sand bears.
    pub full: VolumeRate,
    /// What they still move at full just before a cleaning.
    pub fouled: VolumeRate,
    /// How often they turn the water over at their settings.
    pub turnover: Frequency,
    /// What that serves.
    pub serves: Vec<Livestock>,
    /// Flow that is missing for later, at full just before a cleaning; nothing where none is.
    pub missing: VolumeRate,
    /// What arrives at the pillow at these settings of all that hums, as [`sound::at_pillow_of`] has it.
    pub sound: Band<SoundLevel>,
}

/// What one pump's stream does.
#[derive(Debug, Clone, PartialEq)]
pub struct StreamFit {
    /// What it moves at its setting.
    pub flow: VolumeRate,
    /// The way of its stream.
    pub course: Course,
    /// The speed in its middle where it meets the glass.
    pub far: Velocity,
    /// Where along its middle it suits what lives there now.
    pub zones: Zones,
    /// The heights at which it neither lifts sand nor draws air; turned round where there is none.
    pub heights: Band<Length>,
    /// What is wrong with it; nothing where all is well.
    pub faults: Vec<Reason>,
    /// What to do about a stream that is too strong, too weak or too near to the sand; nothing where the faults say it themselves.
    pub remedy: Option<String>,
    /// Whether some animals find calm water only beside it: its middle is too strong for more than half of its way, or for one of several
    /// kinds all of it.
    pub calm_beside: bool,
}

/// Checks the pumps of a tank; `None` for a tank without pumps.
///
/// # Errors
/// [`Error::NoAnswer`] for a model that the catalogue does not have, with the nearest names; those of the formulas.
pub fn check(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Option<Fit>, Error> {
    if tank.pumps.is_empty() {
        return Ok(None);
    }
    let room = Room::new(rules, tank)?;
    let models: Vec<_> = tank.pumps.iter().map(|hung| hung.model.as_str()).collect();
    let full = Task::adding(rules, catalogue, tank, &models)?.kept_flow();
    let kept = 1.0 - rules.turnover.fouling_allowance.0;
    let (mut streams, mut levels) = (Vec::new(), Vec::new());
    let mut flow = VolumeRate::default();
    for hung in &tank.pumps {
        let model = &catalogue.pumps[find(catalogue, &hung.model)?];
        let stream = stream(rules, catalogue, tank, &room, hung)?;
        flow += stream.flow;
        levels.push(sound::at_setting(model.sound, running(hung, model), rules.sound.half_speed.low)?);
        streams.push(stream);
    }
    levels.extend(sound::beside_the_pumps(tank, &rules.sound).iter().map(|source| source.level));
    let water = counted(tank, rules);
    let aim = turnover::flow(water, rules.turnover.aimed_at(tank.later))?;
    let (fouled, nothing) = (full * kept, VolumeRate::default());
    Ok(Some(Fit {
        streams,
        flow,
        full,
        fouled,
        turnover: turnover::turnover(flow, water)?,
        serves: turnover::served(flow, water, &rules.turnover)?,
        missing: if aim > fouled { aim - fouled } else { nothing },
        sound: sound::at_pillow_of(&tank.home, &levels, &rules.sound)?,
    }))
}

/// What a pump is really set to: one that can not be set so low runs at its lowest.
pub(crate) fn running(hung: &HungPump, model: &PumpModel) -> Share {
    Share(hung.setting.0.max(model.lowest_setting.0))
}

/// The highest setting, in whole per cents, at which a pump leaves the livestock of now the calm that [`check`] asks for and, where it
/// hangs, lifts no sand; `None` where not even its lowest leaves that calm. Sand that even the lowest setting lifts does not count: there
/// the pump must hang higher.
///
/// # Errors
/// [`Error::OutOfRange`] for an outlet or a flow of which no stream can be reckoned.
pub fn most(rules: &Rules, tank: &Tank, room: &Room<'_>, hung: &HungPump, model: &PumpModel) -> Result<Option<Share>, Error> {
    let lowest = libm::ceil(model.lowest_setting.0 * 100.0 - 1e-6).max(1.0) as u32;
    let full = Stream::new(model.outlet, model.rated_flow, Laws::of(&rules.stream))?;
    let way = room.course(Spot { wall: hung.wall, along: hung.along }, hung.height).way;
    let most = rules.speeds.band(tank.now).high;
    let fastest = |at: Length| Ok::<_, Error>(rules.stream.spread_of(full.speed_at(at)?).high);
    // A speed goes with the setting.
    let calm = (most / fastest(room.calm_from(way))?).si();
    let highest = libm::floor(calm * 100.0 + 1e-6).min(100.0) as u32;
    if highest < lowest {
        return Ok(None);
    }
    let share = |percent: u32| Share(f64::from(percent) / 100.0);
    let safe = |percent: u32| Ok::<_, Error>(room.lowest(&full.at_setting(share(percent))?, model.outlet, way)? <= hung.height);
    if safe(highest)? || !safe(lowest)? {
        return Ok(Some(share(highest)));
    }
    // Of the two ends, the lower is safe and the upper is not.
    Ok(Some(share(last_that_holds(lowest, highest, safe)?)))
}

fn stream(rules: &Rules, catalogue: &Catalogue, tank: &Tank, room: &Room<'_>, hung: &HungPump) -> Result<StreamFit, Error> {
    let model = &catalogue.pumps[find(catalogue, &hung.model)?];
    let setting = running(hung, model);
    let mut faults = Vec::new();
    if hung.setting.0 < model.lowest_setting.0 {
        faults.push(Reason::new("can not be set so low, and runs at its lowest", hung.setting, model.lowest_setting));
    }
    let stream = Stream::new(model.outlet, model.rated_flow, Laws::of(&rules.stream))?.at_setting(setting)?;
    let course = room.course(Spot { wall: hung.wall, along: hung.along }, hung.height);
    let heights = Band { low: room.lowest(&stream, model.outlet, course.way)?, high: room.highest(model.outlet) };
    let lifts = hung.height < heights.low;
    if lifts {
        let words = if room.has_sand() { "hangs so low that it may lift the sand" } else { "hangs too near to the floor" };
        let reason = Reason::new(words, hung.height, heights.low);
        faults.push(if room.has_sand() { reason.from(&["sand.keep_below"]) } else { reason });
    }
    if hung.height > heights.high {
        faults.push(Reason::new("hangs so high that it may draw air", hung.height, heights.high).rule("placement.below_surface"));
    }
    if let Some(largest) = model.largest_pane.filter(|_| !room.holds(model)) {
        let words = "has magnets that do not hold through panes of this thickness";
        faults.push(Reason::new(words, Thickness(largest), Thickness(tank.glass.pane)).from(&["tank.pane"]));
    }
    let far = stream.speed_at(course.way)?;
    let band = rules.speeds.band(tank.now);
    // Streams that face each other meet half-way.
    let faces = room.do_face(tank.pumps.len());
    let reached = stream.speed_at(room.must_reach(tank.pumps.len(), course.way))?;
    if reached < band.low {
        let words = if faces { "is too weak half-way, where streams meet" } else { "is too weak when it meets the glass" };
        let reason = Reason::new(words, reached, band.low).from(&["speeds.now"]);
        faults.push(reason);
    }
    let zones = zones(&stream, band, *rules.stream.spread, course.way)?;
    let fastest = rules.stream.spread_of(far).high;
    if fastest > band.high {
        let reason = Reason::new("may still be too strong when it meets the glass", fastest, band.high).from(&["speeds.now"]);
        faults.push(reason.rule("stream.spread"));
    } else if zones.too_strong_until > room.calm_from(course.way) {
        let words = "may be too strong on too much of its way";
        let reason = Reason::new(words, zones.too_strong_until, room.calm_from(course.way)).from(&["speeds.now", "stream.run"]);
        faults.push(reason.rule("placement.calm_share").rule("stream.spread"));
    }
    // The gentler of several kinds stand beside a stream that is for the hardiest.
    let calm_beside = zones.too_strong_until > course.way / 2.0 || tank.now.asking().any(|kind| fastest > rules.speeds.band(kind).high);
    let most = most(rules, tank, room, hung, model)?;
    let too_strong = zones.too_strong_until > room.calm_from(course.way);
    let enough = Share(libm::ceil(setting.0 * (band.low / reached).si() * 100.0 - 1e-6) / 100.0);
    let percent = |share: Share| show(share.into(), Rounding::Nearest);
    let higher = if lifts { "hang it higher, and " } else { "" };
    let remedy = match most {
        None if model.lowest_setting.0 >= 1.0 => {
            Some(format!("it has one speed: {higher}turn it away from the animals, or hang a smaller pump"))
        }
        None => Some(format!("no setting is low enough: {higher}turn it away from the animals, or hang a smaller pump")),
        Some(most) if (too_strong || lifts) && most.0 < setting.0 => Some(format!("turn it down to {}", percent(most))),
        Some(_) if lifts => Some("hang it higher".to_owned()),
        Some(most) if reached < band.low && enough.0 <= most.0 => Some(format!("turn it up to {}", percent(enough))),
        Some(_) => None,
    };
    Ok(StreamFit { flow: model.rated_flow * setting.0, course, far, zones, heights, faults, remedy, calm_beside })
}

/// Why nothing is told of the pumps of a tank that has none.
pub(crate) fn no_pumps(tank: &Tank) -> String {
    format!(
        "The file of {} lists no pumps. Write a table [[pump]] into it for each pump that hangs in the tank, with its name, model, wall and \
         height, to have them checked.",
        tank.name
    )
}

/// Adds the figures of this topic, `fit.…`, where the tank has pumps, else why not.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    let Some(fit) = check(rules, catalogue, tank)? else {
        let why = no_pumps(tank);
        for part in ["fit", "fit_settings", "fit_zones"] {
            sheet.lack(part, &*why);
        }
        return Ok(());
    };
    let models = tank.pumps.iter().map(|hung| find(catalogue, &hung.model)).collect::<Result<Vec<_>, _>>()?;
    sheet.put(Figure::new("fit.pumps", "Pumps in the tank", set_words(catalogue, &models).as_str()));
    sheet.put(Figure::new("fit.count", "Number of pumps in the tank", count(tank.pumps.len())));
    sheet.put(
        Figure::new("fit.flow", "What the tank's pumps move together at their settings", fit.flow).from("sum of rated flow × setting", &[]),
    );
    sheet.put(
        Figure::new("fit.flow_full", "What they move together at full, clean", fit.full)
            .from("sum of the rated flows, no pump further up than the sand bears", &[])
            .never_above(),
    );
    sheet.put(
        Figure::new("fit.flow_fouled", "What they still move at full just before a cleaning", fit.fouled)
            .from("flow × (1 − share lost)", &["fit.flow_full"])
            .rule("turnover.fouling_allowance")
            .never_above(),
    );
    sheet.put(
        Figure::new("fit.turnover", "How often they turn the water over", fit.turnover)
            .from("flow ÷ volume", &["fit.flow", "tank.counted"]),
    );
    let serves: Vec<_> = fit.serves.iter().map(|livestock| livestock.words()).collect();
    let serves = if serves.is_empty() { "nothing: the flow is between two bands or outside them".to_owned() } else { serves.join(", ") };
    sheet.put(Figure::new("fit.serves", "What that flow serves", serves.as_str()));
    sheet.put(
        Figure::new("fit.missing", "Flow that is missing for later, at full just before a cleaning", fit.missing)
            .from("flow to aim for − flow at full just before a cleaning", &["flow.aim", "fit.flow_fouled"])
            .never_below(),
    );
    let sound = Figure::new("fit.sound", "What arrives at the pillow of them and all else that hums", fit.sound)
        .from("levels at the settings and of what else hums, summed; at the pillow", &["sound.counted", "sound.pillow"])
        .rule("sound.half_speed")
        .never_below();
    sheet.put(sound::rules_of(&tank.home).into_iter().fold(sound, Figure::rule));
    sheet.put_table(streams_table(rules, tank, &fit));
    sheet.put_table(settings_table(rules, catalogue, tank, &fit)?);
    sheet.put_table(zones_table(rules, catalogue, tank, &fit)?);
    Ok(())
}

/// Pump → where along its stream, at its setting, each kind of what lives there now or later can stand.
fn zones_table(rules: &Rules, catalogue: &Catalogue, tank: &Tank, fit: &Fit) -> Result<Table, Error> {
    let kinds: Vec<_> = Livestock::ALL
        .into_iter()
        .filter(|kind| [tank.now, tank.later].iter().any(|stock| stock.asking().any(|asking| asking == *kind)))
        .collect();
    let mut rows = Vec::new();
    for (at, (hung, told)) in tank.pumps.iter().zip(&fit.streams).enumerate() {
        let model = &catalogue.pumps[find(catalogue, &hung.model)?];
        let stream = Stream::new(model.outlet, model.rated_flow, Laws::of(&rules.stream))?.at_setting(running(hung, model))?;
        let (id, behind) = (format!("fit_zones.{}", at + 1), format!("fit.pump{}.setting", at + 1));
        let mut cells = Vec::new();
        for kind in &kinds {
            let holds = range_on(&told.course, tank, &rules.stream);
            let on = || {
                crate::trace::note_figure(&behind);
                Ok((stream, told.course.way, holds))
            };
            cells.extend(zone(rules, *kind, &id, on)?.peek().clone());
        }
        let setting = show(running(hung, model).into(), Rounding::Nearest);
        rows.push(Row { head: Cell::Words(format!("{}, {} at {setting}", hung.name, hung.model)), cells });
    }
    let caption = "Where along each stream, in its middle, animals can stand".to_owned();
    Ok(Table { id: "fit_zones", caption, heads: zone_heads(&kinds), rows, origin: crate::sheet::Origin::default() })
}
/// The verdicts on a pump without faults: with a calm part in its stream, and with one for some of the animals at the most.
pub const WELL: [&str; 2] = ["all is well", "well, with the animals in the places told below"];

fn streams_table(rules: &Rules, tank: &Tank, fit: &Fit) -> Table {
    let row = |(at, (hung, stream)): (usize, (&HungPump, &StreamFit))| {
        let id = |key: &str| format!("fit.pump{}.{key}", at + 1);
        let title = |what: &str| format!("{}, {}: {what}", hung.name, hung.model);
        let figures = vec![
            Figure::new(id("setting"), title("what it is set to"), hung.setting),
            Figure::new(id("flow"), title("what it moves at that"), stream.flow).from("rated flow × setting", &[]),
            Figure::new(id("height"), title("height of its outlet above the base pane"), hung.height),
            Figure::new(id("far"), title("speed of its stream where it meets the glass"), rules.stream.spread_of(stream.far))
                .rule("stream.round_decay")
                .rule("stream.spread"),
        ];
        let mut cells: Vec<_> = figures.into_iter().map(Cell::Figure).collect();
        cells.push(too_strong_until(&stream.zones, |until| {
            figure(id("too_strong"), title("up to here too strong for what lives there now"), || until)
        }));
        let told: Vec<_> = stream.faults.iter().map(|fault| fault.words.as_str()).chain(stream.remedy.as_deref()).collect();
        let well = WELL[usize::from(stream.calm_beside)];
        cells.push(Cell::Words(if stream.faults.is_empty() { well.to_owned() } else { told.join("; ") }));
        Row { head: Cell::Words(format!("{}, {}", hung.name, hung.model)), cells }
    };
    let heads = ["Pump", "Set to", "Flow", "Height", "Speed at the far glass", "Too strong up to", "Verdict"];
    Table {
        id: "fit",
        caption: "What each pump of the tank does; heights are those of the outlet's middle above the base pane".to_owned(),
        heads: heads.map(str::to_owned).into(),
        rows: tank.pumps.iter().zip(&fit.streams).enumerate().map(row).collect(),
        origin: crate::sheet::Origin::default(),
    }
}

/// Livestock → what the pumps that can be set would have to be set to, or the flow that is missing.
fn settings_table(rules: &Rules, catalogue: &Catalogue, tank: &Tank, fit: &Fit) -> Result<Table, Error> {
    let models: Vec<_> = tank.pumps.iter().map(|hung| hung.model.as_str()).collect();
    let task = Task::adding(rules, catalogue, tank, &models)?;
    let water = counted(tank, rules);
    let is_fixed = |hung: &HungPump| catalogue.pump(&hung.model).is_some_and(|model| model.lowest_setting.0 >= 1.0);
    let is_fixed = tank.pumps.iter().all(is_fixed);
    let mut rows = Vec::new();
    // Each kind by itself, and what the tank holds where that is several kinds together.
    let mut stocks: Vec<_> = Livestock::ALL.into_iter().map(|kind| (kind.key(), Stock::from(kind))).collect();
    for (key, stock) in [("now", tank.now), ("later", tank.later)] {
        if stocks.iter().all(|(_, known)| *known != stock) {
            stocks.push((key, stock));
        }
    }
    for (key, stock) in stocks {
        let aim = turnover::flow(water, rules.turnover.aimed_at(stock))?;
        let rule = format!("turnover.{}", stock.most().key());
        let id = format!("fit_settings.{key}");
        let wanted = Figure::new(id.clone(), format!("Flow to aim for with {}", stock.words()), aim)
            .from("volume × turnover", &["tank.counted"])
            .rule(&rule);
        let answer = match task.kept_setting(aim) {
            Some(setting) => Cell::Figure(
                Figure::new(format!("{id}.setting"), format!("Setting for {}, while the pumps are clean", stock.words()), setting)
                    .from("flow wanted ÷ flow at full, no pump below its lowest setting", &[&id, "fit.flow_full"]),
            ),
            None if fit.full < aim => Cell::Words("not even at full".to_owned()),
            None if is_fixed => Cell::Words("can not be set, and moves more".to_owned()),
            None => Cell::Words("more even turned right down".to_owned()),
        };
        let missing = if aim > fit.fouled {
            let title = format!("Flow missing for {} just before a cleaning", stock.words());
            Cell::Figure(
                Figure::new(format!("{id}.missing"), title, aim - fit.fouled)
                    .from("flow to aim for − flow at full just before a cleaning", &[&id, "fit.flow_fouled"])
                    .never_below(),
            )
        } else {
            Cell::Words("nothing".to_owned())
        };
        rows.push(Row { head: Cell::Words(stock.words()), cells: vec![Cell::Figure(wanted), answer, missing] });
    }
    Ok(Table {
        id: "fit_settings",
        caption: "What the tank's pumps serve, and at which setting".to_owned(),
        heads: ["What lives there", "Flow to aim for", "Set the pumps to", "Missing before a cleaning"].map(str::to_owned).into(),
        rows,
        origin: crate::sheet::Origin::default(),
    })
}

#[cfg(test)]
mod tests;
