//! The plan for a power cut: how long the stock has, what the battery buys, and what to do first, second and third.
//!
//! The hours come from [`oxygen`](crate::oxygen), the battery from [`power`]. Both are models with wide margins; here only
//! their safe ends count. A tank whose animals gasp at the surface is out of time, whatever a table says.

use uom::si::f64::{Power, Time};

use crate::catalogue::{Catalogue, PumpModel};
use crate::error::Error;
use crate::power::{self, CHEMISTRIES, key, words};
use crate::quantity::{Dimension, Rounding, Share, show};
use crate::rules::{Rules, Topic};
use crate::sheet::{Cell, Figure, Row, Sheet, Table, Value};
use crate::tank::{Battery, Chemistry, Tank};

/// The rules of this topic, `calc/rules/power_cut.toml`.
#[derive(Debug, Clone)]
pub struct PowerCutRules {
    /// Share of the time until the oxygen limit by which the water should move again.
    pub act_share: Share,
    /// How often to move the surface by hand.
    pub by_hand: Time,
    /// When to wrap the glass.
    pub wrap: Time,
    /// Hours of power cut to be ready for.
    pub wanted: Time,
}

impl PowerCutRules {
    pub(crate) fn read(topic: &mut Topic<'_, '_>) -> Option<Self> {
        let (act_share, by_hand) = (topic.one("act_share", "10 %"..="100 %"), topic.one("by_hand", "1 min"..="2 h"));
        let (wrap, wanted) = (topic.one("wrap", "10 min"..="24 h"), topic.one("wanted", "1 h"..="7 days"));
        Some(PowerCutRules { act_share: act_share?, by_hand: by_hand?, wrap: wrap?, wanted: wanted? })
    }
}

/// What decides the steps of a plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Situation {
    /// Until the oxygen is down to the limit for growth while nothing stirs the water, at the worst; `None` where it never is.
    pub growth: Option<Time>,
    /// The same for survival.
    pub survival: Option<Time>,
    /// As `growth`, while a small pump stirs the water.
    pub stirred: Option<Time>,
    /// How long the battery runs a pump, to count on; `None` without a battery.
    pub battery: Option<Time>,
    /// Whether a pipe runs from a sump back to the tank.
    pub return_line: bool,
}

/// When a step is due.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub enum When {
    /// So long after the power failed.
    After(Time),
    /// When the power is back.
    PowerBack,
}

/// One step of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// When it is due.
    pub when: When,
    /// What to do.
    pub what: String,
    /// Why.
    pub why: &'static str,
    /// Ids of the figures behind the time.
    pub figures: &'static [&'static str],
    /// Ids of the rules behind it.
    pub rules: &'static [&'static str],
}

/// The steps of a plan, in the order in which they are due.
///
/// Whoever has no battery starts to move the water by hand by the time of rule `power_cut.act_share`; whoever has one does when it is
/// empty, or at that same time where it is empty before. Where the surface alone lets in enough, nobody has to.
pub fn steps(situation: Situation, rules: &PowerCutRules) -> Vec<Step> {
    const NONE: &[&str] = &[];
    let at_once = When::After(Time::from_si(0.0));
    let step = |when, what: &str, why, figures, rules| Step { when, what: what.to_owned(), why, figures, rules };
    let mut steps = vec![
        step(
            at_once,
            "Look whether only the tank's circuit is out. If so touch nothing wet: switch that circuit off at the board, unplug the tank's \
             devices, switch it on and press the residual-current device back in once. If it trips again leave it off and call a \
             licensed electrician",
            "a device that trips again is telling of a fault that can kill",
            NONE,
            NONE,
        ),
        step(at_once, "If you run a generator, run it outdoors, far from doors and windows", "its fumes kill without a smell", NONE, NONE),
        step(at_once, "Do not feed, and open the lid", "food and a shut lid use up oxygen", NONE, NONE),
    ];
    let by = situation.growth.map(|growth| growth * rules.act_share.0);
    if let Some(lasts) = situation.battery {
        steps.push(step(
            at_once,
            "See that the battery has taken over, on one pump aimed at the surface",
            "the surface is where oxygen comes in; the lowest setting lasts longest, and a higher one stirs more",
            &["power_cut.battery_lasts"],
            NONE,
        ));
        // A stirred tank may run short too, long before its battery is empty.
        if let Some(stirred) = situation.stirred {
            steps.push(step(
                When::After(stirred * rules.act_share.0),
                "Watch the fish. If they breathe fast or gasp at the surface, turn the pump up and move the surface by hand too",
                "at the worst a small pump alone does not let in enough",
                &["oxygen.stirred_growth_worst"],
                &["power_cut.act_share"],
            ));
        }
        // An empty battery before that time is no reason to wait less than the limit allows.
        if let Some(by) = by {
            let from = if lasts > by { lasts } else { by };
            steps.push(by_hand(When::After(from), rules, &["power_cut.battery_lasts", "power_cut.act_by"]));
        }
    } else if let Some(by) = by {
        steps.push(by_hand(When::After(by), rules, &["power_cut.act_by"]));
    }
    steps.push(step(
        When::After(rules.wrap),
        "If the room is cold, wrap the glass in blankets and leave the top open",
        "warmth is lost slowly, and air matters more",
        NONE,
        &["power_cut.wrap"],
    ));
    if situation.battery.is_none() {
        if let Some(growth) = situation.growth {
            steps.push(step(
                When::After(growth),
                "Watch the fish. If they gasp at the surface, keep moving the water without a break",
                "from here on a still tank may be short of oxygen",
                &["oxygen.still_growth_worst"],
                NONE,
            ));
        }
        if let Some(survival) = situation.survival {
            steps.push(step(
                When::After(survival),
                "By now the water must have been moved for long. If it can not be, bring the fish to a tank that has power",
                "in a still tank fish may begin to die from here on",
                &["oxygen.still_survival_worst"],
                NONE,
            ));
        }
    }
    // A stable sort: what is due at the same time stays in the order above.
    steps.sort_by(|one, two| one.when.partial_cmp(&two.when).unwrap_or(std::cmp::Ordering::Equal));
    let back = if situation.return_line {
        "Plug the pumps in one after the other, the return pump first, and watch the water in the sump and in the tank"
    } else {
        "Plug the pumps in one after the other"
    };
    steps.push(step(
        When::PowerBack,
        back,
        "a pump that has run dry or jammed shows at once, and so does a sump that runs over",
        NONE,
        NONE,
    ));
    steps.push(step(
        When::PowerBack,
        "Feed nothing for the rest of the day, and charge the battery",
        "the filter's bacteria have been short of oxygen too",
        NONE,
        NONE,
    ));
    steps
}

fn by_hand(when: When, rules: &PowerCutRules, figures: &'static [&'static str]) -> Step {
    let every = show(rules.by_hand.into(), Rounding::Down);
    Step {
        when,
        what: format!("Move the surface by hand every {every}: lift water with a clean jug and pour it back from a hand's breadth"),
        why: "each pour carries air down and stirs the surface",
        figures,
        rules: &["power_cut.by_hand", "power_cut.act_share"],
    }
}

/// What a pump on the battery draws at a setting, at the most that a meter should show.
///
/// # Errors
/// As [`power::draw_range`].
fn draw_to_count_on(pump: &PumpModel, setting: Share, rules: &Rules) -> Result<Power, Error> {
    Ok(power::draw_range(pump.power, pump.standing_draw.min(pump.power), setting, rules.power.saving_made)?.high)
}

/// The pump of a tank that lasts longest on a battery: of those with a socket for one, the least draw at its lowest setting.
fn backup_pump<'a>(tank: &'a Tank, catalogue: &'a Catalogue, rules: &Rules) -> Result<Option<(&'a str, &'a PumpModel, Power)>, Error> {
    let mut best: Option<(&str, &PumpModel, Power)> = None;
    for pump in &tank.pumps {
        let Some(model) = catalogue.pump(&pump.model).filter(|model| model.battery_socket) else { continue };
        let draw = draw_to_count_on(model, model.lowest_setting, rules)?;
        if best.is_none_or(|(_, _, least)| draw < least) {
            best = Some((&pump.name, model, draw));
        }
    }
    Ok(best)
}

/// Adds the figures of this topic: `power_cut.…`.
///
/// # Errors
/// As [`power::run_time`] and [`power::battery_for`].
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    let backup = backup_pump(tank, catalogue, rules)?;
    let (draw, runs) = match backup {
        Some((name, _, draw)) => (draw, format!("{name}, at its lowest setting")),
        None => (rules.power.backup_load, "a small pump with a battery of its own".to_owned()),
    };
    sheet.put(Figure::new("power_cut.pump", "What runs on the battery", Value::Words(runs)));
    let figure = Figure::new("power_cut.draw", "What that draws, at the most", draw).never_below();
    sheet.put(match backup {
        Some(_) => figure.from("full − least share of the saving × (full − draw at the setting)", &[]).rule("power.saving_made"),
        None => figure.rule("power.backup_load"),
    });
    let mut battery_lasts = None;
    if let Some(battery) = tank.battery {
        let lasts = power::run_time(battery.energy, rules.power.usable(battery.chemistry).low, draw)?;
        battery_lasts = Some(lasts);
        sheet.put(
            Figure::new("power_cut.battery_lasts", "How long the battery runs it, to count on", lasts)
                .from("printed energy × least usable share ÷ draw", &["power.battery", usable_id(battery.chemistry), "power_cut.draw"])
                .never_above(),
        );
        let enough = if lasts >= rules.power_cut.wanted { "yes" } else { "no" };
        sheet.put(
            Figure::new("power_cut.enough", "Whether that is as long as you want to be ready for", enough)
                .from("compared with the wanted time", &["power_cut.battery_lasts"])
                .rule("power_cut.wanted"),
        );
        if let Some((name, model, _)) = backup {
            sheet.tables.insert("power_cut_settings", settings_table(name, model, battery, rules)?);
        }
    }
    for chemistry in CHEMISTRIES {
        let (key, words) = (key(chemistry), words(chemistry));
        let needed = power::battery_for(draw, rules.power_cut.wanted, rules.power.usable(chemistry).low)?;
        sheet.put(
            Figure::new(
                format!("power_cut.needed_{key}"),
                format!("Energy printed on a {words} battery that lasts the wanted time"),
                needed,
            )
            .from("draw × time ÷ least usable share", &["power_cut.draw", usable_id(chemistry)])
            .rule("power_cut.wanted")
            .never_below(),
        );
    }
    sheet.tables.insert("power_cut_needed", needed_table(draw, rules)?);

    let time = |id: &str| match sheet.figure(id).map(|figure| &figure.value) {
        Some(Value::One(time)) => Some(Some(Time::from_si(time.si))),
        Some(_) => Some(None),
        None => None,
    };
    let stirred = time("oxygen.stirred_growth_worst").flatten();
    // Without fish nothing is known of the hours.
    let (Some(growth), Some(survival)) = (time("oxygen.still_growth_worst"), time("oxygen.still_survival_worst")) else { return Ok(()) };
    let act_by = growth.map_or(Value::from("no hurry"), |growth| Value::from(growth * rules.power_cut.act_share.0));
    sheet.put(
        Figure::new("power_cut.act_by", "When the water should be moving again at the latest", act_by)
            .from("time until the limit for growth, at the worst × share", &["oxygen.still_growth_worst"])
            .rule("power_cut.act_share")
            .never_above(),
    );
    let situation = Situation { growth, survival, stirred, battery: battery_lasts, return_line: tank.return_line.is_some() };
    sheet.tables.insert("power_cut_steps", steps_table(&steps(situation, &rules.power_cut)));
    Ok(())
}

/// The figure of the share of a battery's energy that counts.
fn usable_id(chemistry: Chemistry) -> &'static str {
    match chemistry {
        Chemistry::LeadAcid => "power.usable_lead_acid",
        Chemistry::LithiumIronPhosphate => "power.usable_lithium_iron_phosphate",
    }
}

/// Setting → draw and time on the battery.
fn settings_table(name: &str, pump: &PumpModel, battery: Battery, rules: &Rules) -> Result<Table, Error> {
    let mut settings: Vec<_> = rules.power.dial.iter().copied().filter(|setting| *setting > pump.lowest_setting).collect();
    settings.push(pump.lowest_setting);
    let mut rows = Vec::new();
    for setting in settings {
        let id = format!("power_cut_settings.{}", rows.len() + 1);
        let draw = draw_to_count_on(pump, setting, rules)?;
        let lasts = power::run_time(battery.energy, rules.power.usable(battery.chemistry).low, draw)?;
        let cells = vec![
            Figure::new(format!("{id}.flow"), "Flow, when clean", power::affinity_flow(pump.rated_flow, setting.0)?)
                .from("rated flow × setting", &[id.as_str()]),
            Figure::new(format!("{id}.draw"), "Draw, at the most", draw)
                .from("full − least share of the saving × (full − draw at the setting)", &[id.as_str()])
                .rule("power.saving_made")
                .never_below(),
            Figure::new(format!("{id}.lasts"), "Time to count on", lasts)
                .from("printed energy × least usable share ÷ draw", &["power.battery", usable_id(battery.chemistry), &format!("{id}.draw")])
                .never_above(),
        ];
        rows.push(Row {
            head: Cell::Figure(Figure::new(id, "Setting", setting).rule("power.dial")),
            cells: cells.into_iter().map(Cell::Figure).collect(),
        });
    }
    Ok(Table {
        id: "power_cut_settings",
        caption: format!("How long the battery runs the pump called {name}"),
        heads: ["Setting", "Flow", "Draw at the most", "Time to count on"].map(str::to_owned).into(),
        rows,
    })
}

/// Hours → the energy that must be printed on a battery for this tank's load.
fn needed_table(draw: Power, rules: &Rules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for time in &rules.power.backup_hours {
        let head = Figure::new(format!("power_cut_needed.{}", rows.len() + 1), "Time on the battery", *time).rule("power.backup_hours");
        let mut cells = Vec::new();
        for chemistry in CHEMISTRIES {
            let title = format!("Energy printed on a {} battery that does it", words(chemistry));
            let needed = power::battery_for(draw, *time, rules.power.usable(chemistry).low)?;
            let figure = Figure::new(format!("{}.{}", head.id, key(chemistry)), title, needed);
            let inputs = ["power_cut.draw", head.id.as_str(), usable_id(chemistry)];
            cells.push(Cell::Figure(figure.from("draw × time ÷ least usable share", &inputs).never_below()));
        }
        rows.push(Row { head: Cell::Figure(head), cells });
    }
    Ok(Table {
        id: "power_cut_needed",
        caption: "The energy to look for on a battery for this tank".to_owned(),
        heads: ["Time", "Lead-acid", "Lithium iron phosphate"].map(str::to_owned).into(),
        rows,
    })
}

/// When → what to do and why.
fn steps_table(steps: &[Step]) -> Table {
    let row = |(at, step): (usize, &Step)| {
        let head = match step.when {
            When::After(time) if time.si() <= 0.0 => Cell::Words("At once".to_owned()),
            When::After(time) => {
                let mut figure = Figure::new(format!("power_cut_steps.{}", at + 1), "Time since the power failed", time).never_above();
                figure.inputs = step.figures.iter().map(|id| (*id).to_owned()).collect();
                figure.rules = step.rules.iter().map(|id| (*id).to_owned()).collect();
                Cell::Figure(figure)
            }
            When::PowerBack => Cell::Words("When the power is back".to_owned()),
        };
        Row { head, cells: vec![Cell::Words(step.what.clone()), Cell::Words(step.why.to_owned())] }
    };
    Table {
        id: "power_cut_steps",
        caption: "What to do when the power fails".to_owned(),
        heads: ["After", "What to do", "Because"].map(str::to_owned).into(),
        rows: steps.iter().enumerate().map(row).collect(),
    }
}

#[cfg(test)]
mod tests;
