//! Turnover and flow on the sheet.

use uom::si::f64::{Frequency, Ratio, Volume, VolumeRate};

use super::ids::turnover as id;
use super::ids::volume::{DISPLAY_GROSS, GROSS, WATER};
use crate::error::Error;
use crate::formulas::stream::example_round;
use crate::formulas::turnover::{flow, served, turnover, with_allowance};
use crate::quantity::{Dimension, Kind, Share, System};
use crate::rules::livestock::{Lives, Livestock, Stock};
use crate::rules::turnover::TurnoverRules;
use crate::rules::{Band, Rules};
use crate::sheet::nomogram::Nomogram;
use crate::sheet::{
    Axis, Cell, Chart, Item, Op, Origin, Row, Sheet, Sum, Table, Working, figure, try_figure,
};
use crate::tank::{Counts, Tank};
use crate::trace::Traced;
use crate::words::sentence_case;

/// Adds the figures of this topic: `turnover.…` and `flow.…`.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let words = &rules.words.turnover;
    let net = sheet.get(WATER)?;
    let gross = sheet.get(if tank.rear_chamber.is_some() { DISPLAY_GROSS } else { GROSS })?;
    let (counts, counted) = match tank.counts {
        Counts::Net => (words.net_water(), &net),
        Counts::Gross => (words.gross_volume(), &gross),
    };
    sheet.put(figure(id::COUNTS, || counts.to_owned()));
    let counted = figure(id::COUNTED, || **counted).says("as the tank file says");
    let counted = sheet.put(counted);
    livestock_figures(sheet, rules, tank, &gross);
    let now = [id::FLOW_NOW, id::FLOW_NOW_NET, id::FLOW_NOW_GROSS];
    let later = [id::FLOW_LATER, id::FLOW_LATER_NET, id::FLOW_LATER_GROSS];
    for (band_id, flow_ids, stock) in [(id::NOW, now, &tank.now), (id::LATER, later, &tank.later)] {
        let lives = stock.words();
        let band = figure(band_id, || rules.turnover.band(stock));
        let band = sheet.put(band.titled(words.turnover_for(&lives)));
        let titles = [words.flow_for(&lives), words.flow_for_by_net(&lives), words.flow_for_by_gross(&lives)];
        let volumes = [&counted, &net, &gross];
        for (flow_id, (volume, title)) in flow_ids.into_iter().zip(volumes.into_iter().zip(titles)) {
            sheet.put(try_figure(flow_id, || flows(**volume, *band))?.titled(title));
        }
    }
    let share = sheet.put(figure(id::AIM_SHARE, || rules.turnover.aim_share(&tank.later)));
    let later = sheet.get(id::LATER)?;
    let aim = sheet.put(figure(id::AIM, || later.at(share.0)).says("low + share × (high − low)"));
    let example = Traced::new(|| example_round(&rules.stream).1);
    let too_strong = Traced::ok(|| Ok(*example > flow(*counted, later.high)?))?;
    if *too_strong.peek() {
        sheet.put(try_figure(id::EXAMPLE, || {
            too_strong.note();
            turnover(*example, *counted)
        })?);
    } else {
        sheet.lack(id::EXAMPLE, words.example_is_not_too_strong(&tank.name));
    }
    let flow_aim = sheet.put(try_figure(id::FLOW_AIM, || flow(*counted, *aim))?);
    let buy = try_figure(id::FLOW_BUY, || with_allowance(*flow_aim, *rules.turnover.fouling_allowance))?;
    sheet.put(buy.never_below());

    let usual = &rules.turnover;
    sheet.plot(|| flow_chart(*counted, usual))?;
    sheet.nomogram(|| flow_nomogram(*counted, *aim, *flow_aim, rules))?;
    sheet.work(|| aim_working(*counted, *aim));
    sheet.work(|| buy_working(*flow_aim, *usual.fouling_allowance));
    sheet.tabulate(|| ready_reckoner("reckoner_own", &[*counted], rules))?;
    sheet.tabulate(|| ready_reckoner("reckoner_litres", &usual.usual_litres, rules))?;
    sheet.tabulate(|| ready_reckoner("reckoner_gallons", &usual.usual_gallons, rules))?;
    sheet.tabulate(|| Ok(bands_table(rules)))?;
    sheet.tabulate(|| pumps_table(*counted, rules))?;
    Ok(())
}

fn flows(volume: Volume, band: Band<Frequency>) -> Result<Band<VolumeRate>, Error> {
    Ok(Band { low: flow(volume, band.low)?, high: flow(volume, band.high)? })
}

/// How what lives in the tank later goes beyond what lives there now.
fn livestock_figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank, gross: &Traced<Volume>) {
    let (rules, words) = (&rules.turnover, &rules.words.turnover);
    let (now, later, name) = (tank.now.words(), tank.later.words(), &tank.name);
    sheet.put(figure(id::LIVES_NOW, || now.clone()));
    sheet.put(figure(id::LIVES_LATER, || later.clone()));
    if tank.now == tank.later {
        sheet.lack(id::GROWS, words.stays(name, &now));
    } else {
        sheet.put(figure(id::GROWS, || words.grows(&now, &later)));
    }
    let changes = figure(id::CHANGES, || {
        let (now, later) = (rules.aimed_at(&tank.now), rules.aimed_at(&tank.later));
        if now < later { Band { low: now, high: later } } else { Band { low: later, high: now } }
    });
    if changes.peek().low == changes.peek().high {
        sheet.lack(id::CHANGES, words.same_turnover(name));
    } else {
        sheet.put(changes.says("low + share × (high − low)"));
    }
    let has_small_polyp = |stock: &Stock| stock.kinds().iter().any(Livestock::is_small_polyp);
    let why = match (has_small_polyp(&tank.now), has_small_polyp(&tank.later)) {
        (false, true) => None,
        (true, _) => Some(words.is_small_polyp_already(name)),
        (false, false) => Some(words.needs_no_move(name, &later)),
    };
    match why {
        None => {
            sheet.put(figure(id::TO_SMALL_POLYP, || words.moves(&now, &later)));
        }
        Some(why) => sheet.lack(id::TO_SMALL_POLYP, why),
    }
    let small = Traced::new(|| **gross < *rules.smallest_tank);
    if *small.peek() {
        sheet.put(figure(id::SMALL, || {
            small.note();
            **gross
        }));
    } else {
        sheet.lack(id::SMALL, words.is_not_too_small(name));
    }
    let mixed = Traced::new(|| rules.is_mixed(&tank.later));
    if *mixed.peek() {
        sheet.put(figure(id::MIXED, || {
            mixed.note();
            later.clone()
        }));
    } else {
        sheet.lack(id::MIXED, words.wants_one_band(name));
    }
}

fn aim_working(volume: Volume, aim: Frequency) -> Working {
    let sum = |system, unit| {
        let times = Item::of(aim, system);
        Sum::work(system, vec![(Op::First, Item::of(volume, system)), (Op::Times, times)], unit)
    };
    Working::new(
        "flow_to_aim_for",
        "volume × turnover",
        vec![sum(System::Metric, "L/h"), sum(System::Us, "US\u{a0}gal/h")],
        id::FLOW_AIM.name(),
    )
}

fn buy_working(aim: VolumeRate, lost: Share) -> Working {
    let sum = |system, unit| {
        let kept = Item::of(Ratio::from_si(1.0 - lost.0), system);
        Sum::work(system, vec![(Op::First, Item::of(aim, system)), (Op::Over, kept)], unit)
    };
    Working::new(
        "flow_to_buy",
        "flow to aim for ÷ part that is left just before a cleaning",
        vec![sum(System::Metric, "L/h"), sum(System::Us, "US\u{a0}gal/h")],
        id::FLOW_BUY.name(),
    )
}

/// Flow against water up to twice that of this tank, a band for each kind of livestock.
fn flow_chart(counted: Volume, rules: &TurnoverRules) -> Result<Chart, Error> {
    let largest = counted * 2.0;
    let top = flow(largest, rules.all_bands().high)?;
    let mut chart = Chart::new(
        "flow_by_volume",
        Axis::new(Kind::Volume, 0.0, largest.si()),
        Axis::new(Kind::Flow, 0.0, top.si()),
    );
    for (name, band) in named_bands(rules) {
        let at = |volume: f64| (volume, volume * band.low.si(), volume * band.high.si());
        let points = (0..=8).map(|step| at(largest.si() * f64::from(step) / 8.0)).collect();
        chart = chart.band(name, points);
    }
    Ok(chart)
}

/// The bands from the least, each with the kinds that have it.
fn named_bands(rules: &TurnoverRules) -> Vec<(String, Band<Frequency>)> {
    let mut named: Vec<(String, Band<Frequency>)> = Vec::new();
    for kind in rules.kinds() {
        let band = rules.band(kind);
        match named.iter_mut().find(|(_, known)| *known == band) {
            Some((names, _)) => *names = format!("{names}, {}", kind.words()),
            None => named.push((sentence_case(kind.words()), band)),
        }
    }
    named
}

/// Water × turnover → flow with a ruler, for usual tanks and this one.
fn flow_nomogram(
    counted: Volume,
    aim: Frequency,
    flow_aim: VolumeRate,
    rules: &Rules,
) -> Result<Nomogram, Error> {
    let (words, rules) = (&rules.words.turnover, &rules.turnover);
    let usual = rules.usual_litres.iter().chain(&*rules.usual_gallons);
    let waters = usual.fold(Band { low: counted, high: counted }, |all, water| Band {
        low: all.low.min(*water),
        high: all.high.max(*water),
    });
    let bands = rules.all_bands();
    let (left, right) = (
        Axis::new(Kind::Volume, waters.low.si(), waters.high.si()),
        Axis::new(Kind::Rate, bands.low.si(), bands.high.si()),
    );
    let ends = [flow(waters.low, bands.low)?, flow(waters.high, bands.high)?];
    let product = Axis::new(Kind::Flow, ends[0].si(), ends[1].si()).labelled(words.flow_together());
    let named =
        named_bands(rules).into_iter().map(|(name, band)| (name, band.low.si(), band.high.si())).collect();
    Ok(Nomogram {
        id: "flow",
        title: String::new(),
        description: String::new(),
        left,
        right,
        product,
        bands: named,
        example: [counted.into(), aim.into(), flow_aim.into()],
        origin: Origin::default(),
    })
}

/// Usual tanks × livestock → flow.
fn ready_reckoner(id: &'static str, sizes: &[Volume], rules: &Rules) -> Result<Table, Error> {
    let (rules, words) = (&rules.turnover, &rules.words.turnover);
    let mut rows = Vec::new();
    for size in sizes {
        let head = figure(format!("{id}.{}", rows.len() + 1), || *size);
        let volume = head.value();
        let mut cells = Vec::new();
        for kind in rules.kinds() {
            let flow =
                try_figure(format!("{}.{}", head.id(), kind.key()), || flows(*volume, rules.band(kind)))?;
            cells.push(flow.titled(words.flow_for(kind.words())).into());
        }
        rows.push(Row { head: head.into(), cells });
    }
    let mut heads = vec![words.water_in_the_tank().to_owned()];
    heads.extend(rules.kinds().map(|kind| sentence_case(kind.words())));
    Ok(Table::new(id, rows).headed(heads))
}

/// The bands themselves.
fn bands_table(rules: &Rules) -> Table {
    let (rules, words) = (&rules.turnover, &rules.words.turnover);
    let row = |kind: &Livestock| {
        let band = figure(format!("bands.{}", kind.key()), || rules.band(kind));
        let band = band.titled(words.turnover_for(kind.words()));
        Row { head: Cell::Words(sentence_case(kind.words())), cells: vec![band.into()] }
    };
    Table::new("bands", rules.kinds().map(row).collect())
}

/// The same the other way round: what a pump of a given flow serves in this tank.
fn pumps_table(volume: Volume, rules: &Rules) -> Result<Table, Error> {
    let (rules, words) = (&rules.turnover, &rules.words.turnover);
    // From the least anybody wants in this tank to the most, each step half as much again: a row for every
    // dial mark that matters.
    let step = |flow: &Traced<VolumeRate>| Traced::new(|| **flow * 1.5);
    let mut rated = Traced::ok(|| flow(volume, rules.all_bands().low))?;
    let most = Traced::ok(|| flow(volume, rules.all_bands().high))?;
    let mut rows = Vec::new();
    while rated.peek() <= most.peek() {
        let head = figure(format!("pumps_serve.{}", rows.len() + 1), || {
            most.note();
            *rated
        });
        let flow = head.value();
        let times = try_figure(format!("{}.turnover", head.id()), || turnover(*flow, volume))?;
        let serves = served(*rated, volume, rules)?;
        let serves: Vec<_> = serves.iter().map(Livestock::words).collect();
        let serves = if serves.is_empty() { words.between_two_bands().to_owned() } else { serves.join(", ") };
        rows.push(Row { head: head.into(), cells: vec![times.into(), Cell::Words(sentence_case(&serves))] });
        rated = step(&rated);
    }
    Ok(Table::new("pumps_serve", rows))
}
