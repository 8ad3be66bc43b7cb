//! Turnover and flow on the sheet.

use uom::si::f64::{Frequency, Ratio, Volume, VolumeRate};

use super::ids::turnover as id;
use super::ids::volume::{DISPLAY_GROSS, GROSS, WATER};
use crate::error::Error;
use crate::formulas::stream::example_round;
use crate::formulas::turnover::{flow, served, turnover, with_allowance};
use crate::quantity::{Dimension, Kind, Share, System};
use crate::rules::livestock::{Livestock, Stock};
use crate::rules::turnover::TurnoverRules;
use crate::rules::{Band, Rules};
use crate::sheet::{Axis, Cell, Chart, Item, Op, Row, Sheet, Sum, Table, Working, figure, try_figure};
use crate::tank::{Counts, Tank};
use crate::trace::Traced;
use crate::words::sentence_case;

/// Adds the figures of this topic: `turnover.…` and `flow.…`.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let net = sheet.get(WATER)?;
    let gross = sheet.get(if tank.rear_chamber.is_some() { DISPLAY_GROSS } else { GROSS })?;
    let (counts, counted) = match tank.counts {
        Counts::Net => ("net water", &net),
        Counts::Gross => ("gross volume", &gross),
    };
    sheet.put(figure(id::COUNTS, || counts.to_owned()));
    let counted = figure(id::COUNTED, || **counted).says("as the tank file says");
    let counted = sheet.put(counted);
    livestock_figures(sheet, &rules.turnover, tank, &gross);
    let now = [id::FLOW_NOW, id::FLOW_NOW_NET, id::FLOW_NOW_GROSS];
    let later = [id::FLOW_LATER, id::FLOW_LATER_NET, id::FLOW_LATER_GROSS];
    for (band_id, flow_ids, stock) in [(id::NOW, now, tank.now), (id::LATER, later, tank.later)] {
        let lives = stock.words();
        let band = sheet.put(figure(band_id, || rules.turnover.band(stock)).titled(format!("Turnover for {lives}")));
        let volumes = [(&counted, ""), (&net, ", counting the net water"), (&gross, ", counting the gross volume")];
        for (flow_id, (volume, counting)) in flow_ids.into_iter().zip(volumes) {
            sheet.put(try_figure(flow_id, || flows(**volume, *band))?.titled(format!("Flow for {lives}{counting}")));
        }
    }
    let share = sheet.put(figure(id::AIM_SHARE, || rules.turnover.aim_share(tank.later)));
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
        sheet.lack(id::EXAMPLE, format!("The example propeller pump is not too strong for {}.", tank.name));
    }
    let flow_aim = sheet.put(try_figure(id::FLOW_AIM, || flow(*counted, *aim))?);
    let buy = try_figure(id::FLOW_BUY, || with_allowance(*flow_aim, *rules.turnover.fouling_allowance))?;
    sheet.put(buy.never_below());

    let rules = &rules.turnover;
    sheet.plot(|| flow_chart(*counted, rules))?;
    sheet.work(aim_working(*counted, *aim));
    sheet.work(buy_working(*flow_aim, *rules.fouling_allowance));
    sheet.tabulate(|| ready_reckoner("reckoner_own", "Flow for the water of this tank", &[*counted], rules))?;
    sheet.tabulate(|| ready_reckoner("reckoner_litres", "Flow for usual tanks, by the litre", &rules.usual_litres, rules))?;
    let gallons = "Flow for usual tanks, by the US gallon";
    sheet.tabulate(|| ready_reckoner("reckoner_gallons", gallons, &rules.usual_gallons, rules))?;
    sheet.tabulate(|| Ok(bands_table(rules)))?;
    sheet.tabulate(|| pumps_table(*counted, rules))?;
    Ok(())
}

fn flows(volume: Volume, band: Band<Frequency>) -> Result<Band<VolumeRate>, Error> {
    Ok(Band { low: flow(volume, band.low)?, high: flow(volume, band.high)? })
}

/// How what lives in the tank later goes beyond what lives there now.
fn livestock_figures(sheet: &mut Sheet, rules: &TurnoverRules, tank: &Tank, gross: &Traced<Volume>) {
    let (now, later, name) = (tank.now.words(), tank.later.words(), &tank.name);
    sheet.put(figure(id::LIVES_NOW, || now.clone()));
    sheet.put(figure(id::LIVES_LATER, || later.clone()));
    if tank.now == tank.later {
        sheet.lack(id::GROWS, format!("{name} is to hold later what it holds now: {now}."));
    } else {
        sheet.put(figure(id::GROWS, || format!("from {now} now to {later} later")));
    }
    let changes = figure(id::CHANGES, || {
        let (now, later) = (rules.aimed_at(tank.now), rules.aimed_at(tank.later));
        if now < later { Band { low: now, high: later } } else { Band { low: later, high: now } }
    });
    if changes.peek().low == changes.peek().high {
        sheet.lack(id::CHANGES, format!("{name} is to have the same turnover later as now."));
    } else {
        sheet.put(changes.says("low + share × (high − low)"));
    }
    let small = |stock: Stock| stock.most() >= Livestock::SmallPolyp;
    let why = match (small(tank.now), small(tank.later)) {
        (false, true) => None,
        (true, _) => Some(format!("{name} is a tank of small-polyp corals already.")),
        (false, false) => Some(format!("{name} is to hold {later}, so it needs no move to small-polyp corals.")),
    };
    match why {
        None => {
            sheet.put(figure(id::TO_SMALL_POLYP, || format!("from {now} to {later}")));
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
        sheet.lack(id::SMALL, format!("{name} is not too small for a beginner."));
    }
    let mixed = Traced::new(|| rules.is_mixed(tank.later));
    if *mixed.peek() {
        sheet.put(figure(id::MIXED, || {
            mixed.note();
            later.clone()
        }));
    } else {
        sheet.lack(id::MIXED, format!("What {name} is to hold wants one band."));
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
    let top = flow(largest, rules.band(Livestock::SmallPolypStrong).high)?;
    let mut chart = Chart::new("flow_by_volume", Axis::new(Kind::Volume, 0.0, largest.si()), Axis::new(Kind::Flow, 0.0, top.si()));
    // Large-polyp corals share the band of soft ones; drawn once, it keeps its name.
    for livestock in Livestock::ALL.into_iter().filter(|livestock| *livestock != Livestock::LargePolyp) {
        let band = rules.band(livestock);
        let at = |volume: f64| (volume, volume * band.low.si(), volume * band.high.si());
        let points = (0..=8).map(|step| at(largest.si() * f64::from(step) / 8.0)).collect();
        chart = chart.band(sentence_case(livestock.words()), points);
    }
    Ok(chart)
}

/// Usual tanks × livestock → flow.
fn ready_reckoner(id: &'static str, caption: &str, sizes: &[Volume], rules: &TurnoverRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for size in sizes {
        let head = figure(format!("{id}.{}", rows.len() + 1), || *size).titled("Usual tank");
        let volume = head.value();
        let mut cells = Vec::new();
        for livestock in Livestock::ALL {
            let (id, title) = (format!("{}.{}", head.id(), livestock.key()), format!("Flow for {}", livestock.words()));
            cells.push(try_figure(id, || flows(*volume, rules.band(livestock)))?.titled(title).into());
        }
        rows.push(Row { head: head.into(), cells });
    }
    let mut heads = vec!["Water in the tank".to_owned()];
    heads.extend(Livestock::ALL.map(|livestock| sentence_case(livestock.words())));
    Ok(Table::new(id, rows).captioned(caption).headed(heads))
}

/// The bands themselves.
fn bands_table(rules: &TurnoverRules) -> Table {
    let row = |livestock: Livestock| {
        let (id, title) = (format!("bands.{}", livestock.key()), format!("Turnover for {}", livestock.words()));
        let band = figure(id, || rules.band(livestock)).titled(title);
        Row { head: Cell::Words(sentence_case(livestock.words())), cells: vec![band.into()] }
    };
    Table::new("bands", Livestock::ALL.map(row).into()).headed(vec!["What lives in the tank".to_owned(), "Turnover".to_owned()])
}

/// The same the other way round: what a pump of a given flow serves in this tank.
fn pumps_table(volume: Volume, rules: &TurnoverRules) -> Result<Table, Error> {
    // From the least anybody wants in this tank to the most, each step half as much again: a row for every dial mark that matters.
    let step = |flow: &Traced<VolumeRate>| Traced::new(|| **flow * 1.5);
    let mut rated = Traced::ok(|| flow(volume, rules.band(Livestock::FishOnly).low))?;
    let most = Traced::ok(|| flow(volume, rules.band(Livestock::SmallPolypStrong).high))?;
    let mut rows = Vec::new();
    while rated.peek() <= most.peek() {
        let head = figure(format!("pumps_serve.{}", rows.len() + 1), || {
            most.note();
            *rated
        })
        .titled("Flow of the pumps together");
        let flow = head.value();
        let times = try_figure(format!("{}.turnover", head.id()), || turnover(*flow, volume))?.titled("Turnover in this tank");
        let words: Vec<_> = served(*rated, volume, rules)?.into_iter().map(Livestock::words).collect();
        let words = if words.is_empty() { "between two bands".to_owned() } else { words.join(", ") };
        rows.push(Row { head: head.into(), cells: vec![times.into(), Cell::Words(sentence_case(&words))] });
        rated = step(&rated);
    }
    Ok(Table::new("pumps_serve", rows).headed(vec!["Flow of the pumps together".to_owned(), "Turnover".to_owned(), "Serves".to_owned()]))
}
