//! What the book assumes of a tank whose file leaves something out.
//!
//! A page must have an example for every tank. The sheet of a reader's own tank assumes nothing; the book does, and says what.

use uom::si::f64::{Energy, Frequency, Length, Mass, MassConcentration, Power, VolumeRate};

use crate::catalogue::Catalogue;
use crate::error::Error;
use crate::plan;
use crate::quantity::Dimension;
use crate::rules::{Rules, Topic};
use crate::tank::{Battery, Chemistry, Fish, Output, ReturnLine, Sand, Tank};
use crate::volume::Contents;

/// The rules of this topic, `calc/rules/assumed.toml`.
#[derive(Debug, Clone)]
pub struct AssumedRules {
    fish: MassConcentration,
    one_fish: Mass,
    sand_grain: Length,
    lift: Length,
    pipe: Length,
    bore: Length,
    pump_head: Length,
    pump_turnover: Frequency,
    pump_power: Power,
    battery: Energy,
}

impl AssumedRules {
    pub(crate) fn read(topic: &mut Topic<'_, '_>) -> Option<Self> {
        let fish = topic.one("fish", "0.01 g/L"..="10 g/L");
        let one_fish = topic.one("one_fish", "0.1 g"..="5 kg");
        let sand_grain = topic.one("sand_grain", "0.05 mm"..="20 mm");
        let lift = topic.one("lift", "10 cm"..="5 m");
        let pipe = topic.one("pipe", "10 cm"..="20 m");
        let bore = topic.one("bore", "8 mm"..="15 cm");
        let pump_head = topic.one("pump_head", "20 cm"..="20 m");
        let pump_turnover = topic.one("pump_turnover", "0.5 per hour"..="50 per hour");
        let pump_power = topic.one("pump_power", "1 W"..="100 W");
        let battery = topic.one("battery", "10 Wh"..="100 kWh");
        Some(AssumedRules {
            fish: fish?,
            one_fish: one_fish?,
            sand_grain: sand_grain?,
            lift: lift?,
            pipe: pipe?,
            bore: bore?,
            pump_head: pump_head?,
            pump_turnover: pump_turnover?,
            pump_power: pump_power?,
            battery: battery?,
        })
    }
}

/// The tank with everything that the book needs, and what was assumed, in words.
///
/// # Errors
/// As [`plan::hung`], which gives a tank without pumps those of its plan.
pub fn completed(tank: &Tank, rules: &Rules, catalogue: &Catalogue) -> Result<(Tank, Vec<&'static str>), Error> {
    let (mut tank, all, rules) = (tank.clone(), rules, &rules.assumed);
    let mut assumed = Vec::new();
    if tank.sand.is_none() {
        // A bare floor stays bare; only the pages on sand need a grain to speak of.
        tank.sand = Some(Sand { depth: Length::from_si(0.0), grain: rules.sand_grain, porosity: None });
        assumed.push("grains for the pages on sand");
    }
    let net = Contents::of(&tank, &all.volume).net;
    if tank.fish.is_empty() {
        let count = libm::ceil(net.si() * rules.fish.si() / rules.one_fish.si()).max(1.0);
        tank.fish = vec![Fish { name: "Fish".to_owned(), count: count as u32, mass: rules.one_fish }];
        assumed.push("a few fish");
    }
    if tank.return_line.is_none() {
        let pump_flow = VolumeRate::from_si((net.si() * rules.pump_turnover.si()).max(500e-3 / 3600.0));
        tank.return_line = Some(ReturnLine {
            lift: rules.lift,
            length: rules.pipe,
            bore: rules.bore,
            elbows: 3,
            pump_flow,
            pump_head: rules.pump_head,
            pump_power: rules.pump_power * (pump_flow.si() * 3600.0).max(0.1),
        });
        assumed.push("a sump with its return line");
    }
    if tank.battery.is_none() {
        tank.battery = Some(Battery { energy: rules.battery, chemistry: Chemistry::LithiumIronPhosphate, output: Output::Direct });
        assumed.push("a battery");
    }
    if tank.pumps.is_empty() {
        tank.pumps = plan::hung(all, catalogue, &tank)?;
        if !tank.pumps.is_empty() {
            assumed.push("the pumps of the plan");
        }
    }
    Ok((tank, assumed))
}
