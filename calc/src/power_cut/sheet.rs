//! The power cut on the sheet: its figures, tables, chart and the card of steps.

use uom::si::f64::Time;

use super::{Backup, Brings, Chain, MINUTE, OnBattery, Pouring, Running, Situation, Step, When};
use super::{candidates, least_that_holds, of_all, of_model, steps};
use crate::catalogue::{Catalogue, Outlet};
use crate::decide::plan;
use crate::error::Error;
use crate::oxygen::{self, Case, Until};
use crate::power::{self, CHEMISTRIES, NeededTable, key, words};
use crate::quantity::{Dimension, Kind, Rounding, TransferVelocity, show};
use crate::rules::oxygen::Limit;
use crate::rules::{Band, Rules};
use crate::sheet::{Axis, Cell, Chart, Figure, Row, Sheet, Table, Value};
use crate::stream::outlet_area;
use crate::tank::{Battery, Chemistry, Output, Tank};

/// Adds the figures of this topic: `power_cut.…`.
///
/// # Errors
/// As [`Chain::course`], [`power::battery_lasts`] and [`power::battery_needed`].
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    let chain = Chain::new(rules, tank)?;
    let backup = Backup::of(&chain, tank, catalogue)?;
    let running = backup.running();
    put_backup(sheet, rules, catalogue, tank, &chain, &backup)?;
    put_times(sheet, &chain, "still_", "while nothing runs", &[])?;
    put_times(sheet, &chain, "", "with all that this tank has for a power cut", &running)?;
    let output = tank.battery.map_or(Output::Direct, |battery| battery.output);
    let on_offer = candidates(tank, catalogue, output, rules)?;
    let thrifty = least_that_holds(&chain, &on_offer)?;
    let (enough, why) = enough(&chain, &running, thrifty.is_some())?;
    sheet.put(
        Figure::new("power_cut.enough", "Whether the animals are out of danger for as long as you want to be ready for", enough)
            .from("time until danger, at the worst, compared with the wanted time", &["power_cut.danger_worst"])
            .rule("power_cut.wanted"),
    );
    sheet.put(Figure::new("power_cut.enough_because", "Why", why).from("", &["power_cut.danger_worst"]).rule("power_cut.wanted"));
    let hands = put_hands(sheet, tank, &chain, &backup)?;
    put_rest(sheet, tank, &chain)?;
    // Without pumps in its file, a tank is told what those of its plan would need.
    let planned = if tank.pumps.is_empty() { of_the_plan(tank, catalogue, output, rules)? } else { Vec::new() };
    let thrifty = if thrifty.is_none() { least_that_holds(&chain, &planned)? } else { thrifty };
    let on_offer: Vec<_> = on_offer.into_iter().chain(planned).collect();
    put_needed(sheet, &chain, tank, &on_offer, thrifty, output)?;
    let times = times_table(sheet, tank, &chain, &running)?;
    sheet.put_table(times);
    sheet.put_table(hours_table(&chain, &running)?);
    sheet.put_table(backups_table(&chain, tank)?);
    sheet.put_chart(left_chart(&chain, &running)?);
    let time = |until: Until| match until {
        Until::Reached(time) => Some(time),
        Until::Never(_) => None,
    };
    let situation = Situation {
        lid: tank.lid,
        idle_battery: tank.battery.is_some() && tank.pumps.is_empty() && backup.pump.is_none(),
        fish: !tank.fish.is_empty(),
        return_line: tank.return_line.is_some(),
        residual_current: tank.home.residual_current,
        pump: backup.pump.as_ref().map(|(pump, _)| pump.words()),
        inverter: output != Output::Direct,
        air: tank.air_pump.map(|pump| pump.lasts),
        jug: chain.jug(),
        aim: time(chain.until(Limit::Aim, Case::Worst, &running)?),
        danger: time(chain.until(Limit::Danger, Case::Worst, &running)?),
        hands,
        still_hands: time(chain.hands_by(&[])?).zip(Some(chain.pouring(&[])?)),
        danger_poured: time(chain.until(Limit::Danger, Case::Worst, &chain.poured_beside(&running))?),
    };
    sheet.put_table(steps_table(&steps(&situation, &rules.power_cut)));
    Ok(())
}

/// How long the pumps may rest while somebody feeds or cleans.
fn put_rest(sheet: &mut Sheet, tank: &Tank, chain: &Chain<'_>) -> Result<(), Error> {
    match chain.rest()? {
        Until::Reached(rest) if rest.si() >= MINUTE => sheet.put(
            Figure::new("power_cut.rest", "How long all pumps may rest by day, at the most", rest)
                .from(
                    "share × the lesser of the time until what you aim for by day and the time until danger, at the worst",
                    &["power_cut.still_danger_worst", "oxygen.start", "oxygen.demand_worst", "power_cut.still_transfer"],
                )
                .rule("power_cut.act_share")
                .never_above(),
        ),
        Until::Reached(_) => sheet.lack("power_cut.rest", never_rest(tank)),
        Until::Never(_) => sheet.lack(
            "power_cut.rest",
            format!("By day {} bears a rest of its pumps: even at the worst, enough oxygen comes in through its still surface.", tank.name),
        ),
    }
    let pause = chain.feeding_pause()?;
    match pause {
        Some(pause) => sheet.put(
            Figure::new("power_cut.feeding_pause", "How long the pumps may rest for a feeding by day, at the most", pause)
                .from("the lesser of the usual pause and what the oxygen bears, in whole minutes", &["rule.programme.feeding_pause"])
                .rule("programme.feeding_pause")
                .rule("power_cut.act_share")
                .never_above(),
        ),
        None => sheet.lack("power_cut.feeding_pause", never_rest(tank)),
    }
    let of_all = tank.programme.feedings.iter().filter(|feeding| tank.pumps.iter().all(|pump| feeding.pauses(&pump.name)));
    let longest = of_all.map(|feeding| f64::from(feeding.pause) * MINUTE).fold(0.0, f64::max);
    if longest > pause.map_or(0.0, |pause| pause.si()) {
        let words = match pause {
            Some(pause) => {
                format!("a feeding rests all pumps for longer than the oxygen bears: {} at the most", show(pause.into(), Rounding::Down))
            }
            None => "a feeding rests all pumps, but the oxygen bears no rest: feed while they run".to_owned(),
        };
        sheet.put(
            Figure::new("power_cut.warns", "What is wrong with the feedings in the tank file", words.as_str()).rule("power_cut.act_share"),
        );
    } else {
        sheet.lack("power_cut.warns", format!("No feeding of {} is too long.", tank.name));
    }
    Ok(())
}

/// Why no rest is told.
fn never_rest(tank: &Tank) -> String {
    format!(
        "So much breathes in {} that its pumps must never all rest. Feed while they run, and hang a spare before one comes out.",
        tank.name
    )
}

/// The pumps of the tank's plan on a battery.
fn of_the_plan(tank: &Tank, catalogue: &Catalogue, output: Output, rules: &Rules) -> Result<Vec<OnBattery>, Error> {
    let (mut found, mut models) = (Vec::new(), Vec::new());
    for pump in plan::hung(rules, catalogue, tank)? {
        let name = format!("one {} of the plan", pump.model);
        if let Some(model) = catalogue.pump(&pump.model).filter(|_| found.iter().all(|other: &OnBattery| other.pump != name)) {
            found.extend(of_model(&name, model, tank, output, rules)?);
        }
        models.extend(catalogue.pump(&pump.model));
    }
    if let Output::Inverter { .. } = output {
        found.extend(of_all("all pumps of the plan together", &models, tank, rules)?);
    }
    Ok(found)
}

/// What runs, and for how long.
fn put_backup(
    sheet: &mut Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
    chain: &Chain<'_>,
    backup: &Backup,
) -> Result<(), Error> {
    let mut runs: Vec<_> = backup.pump.iter().map(|(pump, _)| pump.words()).collect();
    if let Some(air) = tank.air_pump {
        runs.push(format!("an air pump on a battery of its own, for {}", show(air.lasts.into(), Rounding::Down)));
    }
    let runs = if runs.is_empty() { "nothing".to_owned() } else { runs.join(" and ") };
    sheet.put(Figure::new("power_cut.pump", "What runs when the power fails", Value::Words(runs)));
    let off = *rules.oxygen.transfer_off;
    let off = |transfer: TransferVelocity| Band {
        low: TransferVelocity::from_si(transfer.si() * off.low.si()),
        high: TransferVelocity::from_si(transfer.si() * off.high.si()),
    };
    sheet.put(
        Figure::new("power_cut.still_transfer", "How fast oxygen passes a still surface", off(chain.still))
            .from("k600 × √(600 ÷ Schmidt number) × how far it can be off", &["seawater.temperature"])
            .rule("oxygen.still_surface")
            .rule("oxygen.schmidt")
            .rule("oxygen.transfer_off"),
    );
    match (&backup.pump, tank.battery) {
        (Some((pump, lasts)), Some(battery)) => {
            let best = match pump.setting {
                Some(setting) => Value::from(setting),
                None => Value::from("its only one"),
            };
            sheet.put(
                Figure::new("power_cut.setting", "The setting that keeps the animals safe the longest", best)
                    .from("the longest time until danger at the worst", &["power.battery", "oxygen.demand_worst"])
                    .rule("power.dial"),
            );
            sheet.put(Figure::new("power_cut.on_battery", "Which pump the battery runs", pump.pump.as_str()));
            sheet.put(
                Figure::new("power_cut.draw", "What the pump draws at that, at the most", pump.draw)
                    .from("full − least share of the saving × (full − draw at the setting)", &["power_cut.setting"])
                    .rule("power.saving_made")
                    .never_below(),
            );
            let lasts = Figure::new("power_cut.battery_lasts", "How long the battery runs it, to count on", *lasts);
            sheet.put(power::lasting(lasts, battery, "power_cut.draw").never_above());
            sheet.put(
                Figure::new("power_cut.jet_power", "Power of its stream", pump.stirring)
                    .from("½ × density × flow × (flow ÷ outlet's area)²", &["power_cut.setting", "seawater.density"]),
            );
            sheet.put(
                Figure::new(
                    "power_cut.stirred_transfer",
                    "How fast oxygen passes the surface that it stirs",
                    off(chain.transfer(pump.stirring)?),
                )
                .from(
                    "c × (power ÷ mass × viscosity)^¼ ÷ √Schmidt number × how far it can be off",
                    &["power_cut.jet_power", "tank.water", "seawater.density", "seawater.viscosity"],
                )
                .rule("oxygen.renewal")
                .rule("oxygen.schmidt")
                .rule("oxygen.transfer_off"),
            );
            sheet.put_table(settings_table(chain, battery, &candidates(tank, catalogue, battery.output, rules)?, pump, backup.air)?);
        }
        (_, battery) => {
            let why = match battery {
                None => format!(
                    "The file of {} names no battery for a pump, so none is counted on when the power fails. A battery goes under [battery].",
                    tank.name
                ),
                Some(_) if tank.pumps.is_empty() => {
                    format!("{} has a battery, and no pump hangs yet that it could run. Its pumps go under [[pump]].", tank.name)
                }
                Some(Battery { output: Output::Direct, .. }) => format!(
                    "No pump of {} has a socket for its battery, so the battery runs none of them. A pump with such a socket, or an inverter, \
                     would change that.",
                    tank.name
                ),
                Some(_) => format!("{} has a battery but no pump that it could run. Its pumps go under [[pump]].", tank.name),
            };
            let parts =
                ["setting", "on_battery", "draw", "battery_lasts", "jet_power", "stirred_transfer"].map(|part| format!("power_cut.{part}"));
            for part in parts.iter().map(String::as_str).chain(["power_cut_settings"]) {
                sheet.lack(part, why.as_str());
            }
        }
    }
    match tank.air_pump {
        None => {
            let why = format!("The file of {} names no air pump with a battery of its own. One goes under [air_pump].", tank.name);
            sheet.lack("power_cut.air", why);
        }
        Some(air) => {
            sheet.put(Figure::new("power_cut.air.flow", "Air of the air pump on its battery", air.air));
            sheet.put(Figure::new("power_cut.air.lasts", "How long its battery runs it", air.lasts).never_above());
        }
    }
    Ok(())
}

/// The formula behind every time of this topic.
const UNTIL: &str = "−ln(1 − a u) ÷ a in each stretch, a = exchange ÷ water, u = fall ÷ first rate of fall";

/// A time, or "never".
fn time(until: Until) -> Value {
    match until {
        Until::Reached(time) if time.si() < 1.0 => Value::from("at once"),
        Until::Reached(time) => Value::from(time),
        Until::Never(_) => Value::from("never"),
    }
}

fn put_times(sheet: &mut Sheet, chain: &Chain<'_>, prefix: &str, how: &str, running: &[Running]) -> Result<(), Error> {
    for limit in Limit::ALL {
        for case in Case::ALL {
            sheet.put(time_figure(chain, &format!("power_cut.{prefix}{}_{}", limit.key(), case.key()), how, (limit, case), running)?);
        }
    }
    Ok(())
}

fn time_figure(chain: &Chain<'_>, id: &str, how: &str, (limit, case): (Limit, Case), running: &[Running]) -> Result<Figure, Error> {
    let title = format!("Time until the oxygen is down to {} {how}, {}", limit.words(), case.words());
    let demand = format!("oxygen.demand_{}", case.key());
    let mut inputs =
        vec!["oxygen.start", "oxygen.saturation", demand.as_str(), "power_cut.still_transfer", "tank.inside_area", "tank.water"];
    let has = |kind: fn(&Brings) -> bool| running.iter().any(|running| kind(&running.brings));
    if has(|brings| matches!(brings, Brings::Stirring(_))) {
        inputs.extend(["power_cut.stirred_transfer", "power_cut.battery_lasts"]);
    }
    let mut figure = Figure::new(id, title, time(chain.until(limit, case, running)?)).never_above();
    if has(|brings| matches!(brings, Brings::Air { .. })) {
        inputs.extend(["power_cut.air.flow", "power_cut.air.lasts"]);
        figure = figure.rule("oxygen.bubbles").rule("oxygen.air_oxygen").rule("oxygen.bubble_temperature");
    }
    Ok(figure.from(UNTIL, &inputs).rule("oxygen.transfer_off").rule(&format!("oxygen.{}_limit", limit.key())))
}

/// Whether the animals are out of danger for the wanted time at the worst, and why.
///
/// - `a_pump_would`: whether a pump of the tank would keep them so on a battery large enough
pub(super) fn enough(chain: &Chain<'_>, running: &[Running], a_pump_would: bool) -> Result<(&'static str, &'static str), Error> {
    if chain.is_enough(running)? {
        return Ok(("yes", "at the worst the oxygen stays above the danger level for that long"));
    }
    let for_ever: Vec<_> = running.iter().map(|running| Running { lasts: *chain.rules.power_cut.wanted, ..*running }).collect();
    Ok(match a_pump_would || chain.is_enough(&for_ever)? {
        _ if running.is_empty() => ("no", "nothing runs, and at the worst the oxygen does not last that long"),
        true => ("no", "the battery is empty too soon"),
        false => ("no", "at the worst what runs brings in too little, however long it runs"),
    })
}

/// What hands must do, and from when; `None` where they need not.
fn put_hands(sheet: &mut Sheet, tank: &Tank, chain: &Chain<'_>, backup: &Backup) -> Result<Option<(Time, Pouring)>, Error> {
    let running = backup.running();
    let by = |until: Until| match until {
        Until::Reached(time) if time.si() < MINUTE => Value::from("at once"),
        Until::Reached(time) => Value::from(time),
        Until::Never(_) => Value::from("no hurry"),
    };
    let share = chain.rules.power_cut.act_share.0;
    let watch = match chain.until(Limit::Aim, Case::Worst, &running)? {
        Until::Reached(time) => Until::Reached(time * share),
        never => never,
    };
    let hands = chain.hands_by(&running)?;
    let formula = "time until what you aim for, at the worst × share";
    let behind = if chain.is_enough(&running)? && !running.is_empty() { "power_cut.danger_worst" } else { "power_cut.aim_worst" };
    for (id, title, until, behind) in [
        ("power_cut.act_by", "When hands should move the water at the latest", hands, behind),
        ("power_cut.act_by_still", "The same where nothing runs", chain.hands_by(&[])?, "power_cut.still_aim_worst"),
        ("power_cut.watch_from", "From when to watch the animals closely", watch, "power_cut.aim_worst"),
    ] {
        sheet.put(Figure::new(id, title, by(until)).from(formula, &[behind]).rule("power_cut.act_share").never_above());
    }
    let at = match hands {
        Until::Reached(time) => Some(time),
        Until::Never(_) => None,
    };
    let pouring = chain.pouring(&at.map_or_else(Vec::new, |time| backup.at(time)))?;
    let words = match pouring {
        Pouring::NotNeeded => "not at all: enough comes in without it",
        Pouring::Spells { .. } => "in spells",
        Pouring::WithoutBreak => "without a break",
        Pouring::NotEnough => "without a break, and at the worst it is not enough",
    };
    let put = |figure: Figure| {
        let figure = figure.from(
            "(breathing ÷ what is missing at the limit − exchange without pouring) ÷ exchange by pouring",
            &["oxygen.demand_worst", "oxygen.saturation", "power_cut.still_transfer", "tank.inside_area"],
        );
        ["power_cut.jug", "power_cut.pour_height", "power_cut.pour_rate", "power_cut.by_hand", "oxygen.aim_limit", "oxygen.danger_limit"]
            .into_iter()
            .chain(["oxygen.fall", "oxygen.fall_quality", "oxygen.renewal", "oxygen.transfer_off"])
            .fold(figure, Figure::rule)
    };
    sheet.put(put(Figure::new("power_cut.pour", "How to pour by hand, at the worst", words)));
    let jug = Figure::new("power_cut.jug", "The jug for this tank", chain.jug())
        .from("the lesser of the jug and a share of the water", &["tank.water"]);
    sheet.put(jug.rule("power_cut.jug").rule("power_cut.jug_share"));
    let from = match hands {
        Until::Reached(time) if time.si() < MINUTE => "at once".to_owned(),
        Until::Reached(time) => format!("within {}", show(time.into(), Rounding::Down)),
        Until::Never(_) => String::new(),
    };
    let told = match pouring {
        _ if from.is_empty() => "no hands are needed: even at the worst enough comes in without them".to_owned(),
        Pouring::NotNeeded => "no hands are needed while that runs".to_owned(),
        Pouring::Spells { pour, every } => {
            let time = |time: Time| show(time.into(), Rounding::Nearest);
            format!("hands must move the water {from}, for {} in every {}", time(pour), time(every))
        }
        Pouring::WithoutBreak => format!("hands must move the water {from}, without a break"),
        Pouring::NotEnough => format!("hands must move the water {from}, without a break, and even that is not enough for long"),
    };
    sheet.put(put(Figure::new("power_cut.hands", "What hands must do, at the worst", Value::Words(told))));
    if let Pouring::Spells { pour, every } = pouring {
        sheet.put(put(Figure::new("power_cut.pour_for", "How long to pour in each spell, at the worst", pour)));
        sheet.put(put(Figure::new("power_cut.pour_every", "From the start of one spell to the next", every)));
    } else {
        let why = if pouring == Pouring::NotNeeded {
            format!("Nobody has to pour water in {}: even at the worst enough comes in without it.", tank.name)
        } else {
            format!("At the worst there is no time for pauses in {}: pour without a break, and take turns.", tank.name)
        };
        for part in ["power_cut.pour_for", "power_cut.pour_every"] {
            sheet.lack(part, why.as_str());
        }
    }
    Ok(at.zip(Some(pouring)))
}

/// The battery to look for.
///
/// - `on_offer`: every pump at every setting that there is to choose from
/// - `pump`: the thriftiest of them that holds at the worst
fn put_needed(
    sheet: &mut Sheet,
    chain: &Chain<'_>,
    tank: &Tank,
    on_offer: &[OnBattery],
    pump: Option<OnBattery>,
    output: Output,
) -> Result<(), Error> {
    let rules = chain.rules;
    let Some(pump) = pump else {
        let lasts = *rules.power_cut.wanted;
        let wanted = show(lasts.into(), Rounding::Nearest);
        let holds =
            |on: &OnBattery| Ok::<_, Error>(chain.until(Limit::Danger, Case::Likely, &[on.running(lasts)])?.seconds() >= lasts.si());
        let likely = on_offer.iter().map(holds).collect::<Result<Vec<_>, _>>()?.contains(&true);
        let else_do = if likely {
            "As is likely, one does. So a battery gains the animals much time, but no size of it is a promise: have a place with power to \
             bring them to."
        } else {
            "So no size of battery is told for it: have a place with power to bring the animals to."
        };
        let why = if on_offer.is_empty() {
            format!("{} has no pump with a socket for a battery, nor has its plan, so no size of battery is told for it.", tank.name)
        } else {
            let pump = if tank.pumps.is_empty() { "No pump of its plan" } else { "None of its pumps" };
            format!(
                "{pump}, on a battery and at any setting, keeps the animals of {} out of danger for {wanted} at the worst. {else_do}",
                tank.name
            )
        };
        for part in ["power_cut.load", "power_cut.load_runs", "power_cut.needed_lead_acid", "power_cut.needed_lithium_iron_phosphate"] {
            sheet.lack(part, why.as_str());
        }
        sheet.lack("power_cut_needed", why);
        return Ok(());
    };
    sheet.put(Figure::new(
        "power_cut.load_runs",
        "The thriftiest that keeps the animals out of danger for the wanted time, at the worst",
        Value::Words(pump.words()),
    ));
    sheet.put(
        Figure::new("power_cut.load", "What that draws, at the most", pump.draw)
            .from("full − least share of the saving × (full − draw at the setting)", &["power_cut.load_runs"])
            .rule("power.saving_made")
            .never_below(),
    );
    for chemistry in CHEMISTRIES {
        sheet.put(needed_figure(&pump, chemistry, output, rules)?);
    }
    let caption = format!("The energy to look for on a battery that runs {}", pump.words());
    let table = NeededTable { id: "power_cut_needed", caption, draw: pump.draw, behind: Some("power_cut.load"), from: "power.saving_made" };
    sheet.put_table(power::needed(table, &rules.power)?);
    Ok(())
}

fn needed_figure(pump: &OnBattery, chemistry: Chemistry, output: Output, rules: &Rules) -> Result<Figure, Error> {
    let energy = power::battery_needed(pump.draw, *rules.power_cut.wanted, chemistry, output, &rules.power)?;
    let id = format!("power_cut.needed_{}", key(chemistry));
    let title = format!("Energy printed on a {} battery that runs it for the wanted time", words(chemistry));
    let figure = Figure::new(id, title, energy)
        .from("(draw ÷ least share passed + idle) × time ÷ least kept ÷ least depth", &["power_cut.load"])
        .rule("power_cut.wanted")
        .rule(&format!("power.depth_{}", key(chemistry)))
        .rule("power.kept_capacity")
        .rule("power.conversion");
    Ok(if output == Output::Direct { figure } else { figure.rule("power.inverter_idle") }.never_below())
}

/// Limit × with and without backup → worst, likely, best.
fn times_table(sheet: &mut Sheet, tank: &Tank, chain: &Chain<'_>, running: &[Running]) -> Result<Table, Error> {
    let mut rows = Vec::new();
    let ways: &[(&str, &str, &[Running])] = &[("still_", "nothing runs", &[]), ("", "what this tank has runs", running)];
    for (prefix, how, running) in &ways[..if running.is_empty() { 1 } else { 2 }] {
        for limit in Limit::ALL {
            let mut cells = Vec::new();
            for case in Case::ALL {
                let id = format!("power_cut_times.{prefix}{}_{}", limit.key(), case.key());
                cells.push(Cell::Figure(time_figure(chain, &id, &format!("while {how}"), (limit, case), running)?));
            }
            let head = match limit {
                Limit::Aim => format!("Aim to act within, while {how}"),
                Limit::Danger => format!("Danger after, while {how}"),
            };
            rows.push(Row { head: Cell::Words(head), cells });
        }
    }
    let is_never = |row: &Row| row.cells.iter().any(|cell| matches!(cell, Cell::Figure(figure) if figure.value == Value::from("never")));
    let never = rows.iter().any(is_never);
    if never {
        let words = "as much oxygen comes in as is breathed";
        sheet.put(Figure::new("power_cut.never", "What a time that reads never means", words));
    } else {
        sheet.lack("power_cut.never", format!("In {} the oxygen runs down sooner or later, whatever is counted.", tank.name));
    }
    Ok(Table {
        id: "power_cut_times",
        caption: "How long the oxygen lasts when the power fails".to_owned(),
        heads: ["What happens", "At the worst", "As is likely", "At the best"].map(str::to_owned).into(),
        rows,
        origin: crate::sheet::Origin::default(),
    })
}

/// Time → oxygen at the worst and as is likely, with nothing and with what the tank has.
fn hours_table(chain: &Chain<'_>, running: &[Running]) -> Result<Table, Error> {
    let ways: &[(&str, &str, &[Running])] = &[("still", "Nothing runs", &[]), ("backup", "What this tank has runs", running)];
    let ways = &ways[..if running.is_empty() { 1 } else { 2 }];
    let mut heads = vec!["After".to_owned()];
    for (_, how, _) in ways {
        heads.extend(Case::ALL.map(|case| format!("{how}, {}", case.words())));
    }
    let mut rows = Vec::new();
    for hours in &*chain.rules.power_cut.hours {
        let head =
            Figure::new(format!("power_cut_hours.{}", rows.len() + 1), "Time since the power failed", *hours).rule("power_cut.hours");
        let mut cells = Vec::new();
        for (key, how, running) in ways {
            for case in Case::ALL {
                let left = chain.course(case, running)?.after(*hours)?;
                let id = format!("{}.{key}_{}", head.id, case.key());
                let figure = Figure::new(id, format!("Oxygen left: {}, {}", how.to_lowercase(), case.words()), left);
                let demand = format!("oxygen.demand_{}", case.key());
                let inputs = ["oxygen.start", "oxygen.saturation", demand.as_str(), "power_cut.still_transfer", head.id.as_str()];
                cells.push(Cell::Figure(figure.from("start − fall × (1 − e^(−a t)) ÷ a in each stretch", &inputs).never_above()));
            }
        }
        rows.push(Row { head: Cell::Figure(head), cells });
    }
    Ok(Table { id: "power_cut_hours", caption: "Oxygen hour by hour".to_owned(), heads, rows, origin: crate::sheet::Origin::default() })
}

/// What brings oxygen in → the times at the worst and as is likely, for things that this tank has or could have.
fn backups_table(chain: &Chain<'_>, tank: &Tank) -> Result<Table, Error> {
    let rules = chain.rules;
    let lasts = *rules.power_cut.wanted;
    let outlet = outlet_area(Outlet::Round { diameter: *rules.oxygen.backup_outlet });
    let example = oxygen::jet_power(*rules.oxygen.backup_flow, outlet, tank.water(), rules)?;
    let air = Brings::Air { air: *rules.oxygen.backup_air, depth: *rules.oxygen.backup_depth };
    let ways = [
        ("nothing", "Nothing", None, &[][..]),
        (
            "jug",
            "A jug, poured without a break",
            Some(chain.poured()),
            &["power_cut.jug", "power_cut.pour_rate", "power_cut.pour_height"][..],
        ),
        ("air", "The example air pump on a battery", Some(air), &["oxygen.backup_air", "oxygen.backup_depth", "oxygen.bubbles"][..]),
        ("pump", "The example pump on a battery", Some(Brings::Stirring(example)), &["oxygen.backup_flow", "oxygen.backup_outlet"][..]),
    ];
    let mut rows = Vec::new();
    for (way, name, brings, behind) in ways {
        let running: Vec<_> = brings.into_iter().map(|brings| Running { lasts: lasts, brings }).collect();
        let mut cells = Vec::new();
        for (limit, case) in [(Limit::Aim, Case::Worst), (Limit::Danger, Case::Worst), (Limit::Danger, Case::Likely)] {
            let id = format!("power_cut_backups.{way}_{}_{}", limit.key(), case.key());
            let until = chain.until(limit, case, &running)?;
            // No promise is made for longer than the wanted time.
            let value = match way {
                "jug" if until.seconds() >= lasts.si() => Value::from("not while you pour"),
                "air" | "pump" if until.seconds() >= lasts.si() => Value::from("not while it runs"),
                _ => time(until),
            };
            let title = format!("Time until {}, {}: {}", limit.words(), case.words(), name.to_lowercase());
            let figure = Figure::new(id, title, value).from(UNTIL, &["oxygen.start", "oxygen.saturation", "power_cut.still_transfer"]);
            cells.push(Cell::Figure(behind.iter().fold(figure.rule("power_cut.wanted"), |figure, rule| figure.rule(rule)).never_above()));
        }
        rows.push(Row { head: Cell::Words(name.to_owned()), cells });
    }
    Ok(Table {
        id: "power_cut_backups",
        caption: "What each does by itself, and for how long".to_owned(),
        heads: ["What runs", "Aim to act within, at the worst", "Danger after, at the worst", "Danger after, as is likely"]
            .map(str::to_owned)
            .into(),
        rows,
        origin: crate::sheet::Origin::default(),
    })
}

/// Setting → draw, time on the battery, and how long the animals have.
fn settings_table(
    chain: &Chain<'_>,
    battery: Battery,
    on_offer: &[OnBattery],
    best: &OnBattery,
    air: Option<Running>,
) -> Result<Table, Error> {
    let rules = chain.rules;
    let mut rows = Vec::new();
    for on in on_offer.iter().filter(|on| on.pump == best.pump) {
        let id = format!("power_cut_settings.{}", rows.len() + 1);
        let lasts = power::battery_lasts(battery, on.draw, &rules.power)?;
        let running: Vec<_> = air.into_iter().chain([on.running(lasts)]).collect();
        let draw = format!("{id}.draw");
        let until = |limit: Limit| {
            let inputs = ["oxygen.start", "oxygen.saturation", "oxygen.demand_worst", "power_cut.still_transfer", id.as_str()];
            let title = format!("Time until {}, at the worst", limit.words());
            let figure = Figure::new(format!("{id}.{}", limit.key()), title, time(chain.until(limit, Case::Worst, &running)?));
            Ok::<_, Error>(figure.from(UNTIL, &inputs).rule(&format!("oxygen.{}_limit", limit.key())).never_above())
        };
        let cells = vec![
            Figure::new(format!("{id}.flow"), "Flow, when clean", on.flow).from("rated flow × setting", &[id.as_str()]),
            Figure::new(draw.clone(), "Draw, at the most", on.draw)
                .from("full − least share of the saving × (full − draw at the setting)", &[id.as_str()])
                .rule("power.saving_made")
                .never_below(),
            power::lasting(Figure::new(format!("{id}.lasts"), "Time to count on", lasts), battery, &draw).never_above(),
            until(Limit::Aim)?,
            until(Limit::Danger)?,
        ];
        let head = match on.setting {
            Some(setting) => Cell::Figure(Figure::new(id, "Setting", setting).rule("power.dial")),
            None => Cell::Words("its only one".to_owned()),
        };
        rows.push(Row { head, cells: cells.into_iter().map(Cell::Figure).collect() });
    }
    Ok(Table {
        id: "power_cut_settings",
        caption: format!("What the battery does with {}", best.pump),
        heads: ["Setting", "Flow", "Draw at the most", "Battery lasts", "Aim to act within, at the worst", "Danger after, at the worst"]
            .map(str::to_owned)
            .into(),
        rows,
        origin: crate::sheet::Origin::default(),
    })
}

/// Oxygen against time after the pumps stop, with the two limits.
fn left_chart(chain: &Chain<'_>, running: &[Running]) -> Result<Chart, Error> {
    let hours = *chain.rules.power_cut.wanted;
    let mut chart = Chart::new(
        "oxygen_left",
        "Oxygen in the water after the pumps stop",
        "Curves that fall from the left, steeply at first, those at the worst faster than those that are likely. Two levels across: what \
         you aim for and, below it, the danger level.",
        Axis::new("Time since the power failed", Kind::Time, 0.0, hours.si()),
        Axis::new("Oxygen in the water", Kind::Concentration, 0.0, chain.start.high.si() * 1.1),
    )
    .never_above();
    let ways: &[(&str, &[Running])] = &[("Nothing runs", &[]), ("What it has runs", running)];
    for (name, running) in &ways[..if running.is_empty() { 1 } else { 2 }] {
        for case in [Case::Worst, Case::Likely] {
            let course = chain.course(case, running)?;
            let at = |step: u32| {
                let time = hours * (f64::from(step) / 48.0);
                Ok((time.si(), course.after(time)?.si()))
            };
            chart = chart.line(format!("{name}, {}", case.words()), (0..=48).map(at).collect::<Result<Vec<_>, Error>>()?);
        }
    }
    let limits = &chain.rules.oxygen;
    Ok(chart.level("What you aim for", *limits.aim_limit).level("Danger", *limits.danger_limit))
}

/// When → what to do and why.
fn steps_table(steps: &[Step]) -> Table {
    let row = |(at, step): (usize, &Step)| {
        let head = match step.when {
            When::After(time) if time.si() < MINUTE => Cell::Words("At once".to_owned()),
            When::After(time) => {
                let mut figure = Figure::new(format!("power_cut_steps.{}", at + 1), "Time since the power failed", time).never_above();
                figure.inputs = step.figures.iter().map(|id| (*id).to_owned()).collect();
                figure.rules = step.rules.iter().map(|id| (*id).to_owned()).collect();
                Cell::Figure(figure)
            }
            When::PowerBack => Cell::Words("Power back".to_owned()),
        };
        Row { head, cells: vec![Cell::Words(step.what.clone()), Cell::Words(step.why.to_owned())] }
    };
    Table {
        id: "power_cut_steps",
        caption: "What to do when the power fails".to_owned(),
        heads: ["After", "What to do", "Because"].map(str::to_owned).into(),
        rows: steps.iter().enumerate().map(row).collect(),
        origin: crate::sheet::Origin::default(),
    }
}
