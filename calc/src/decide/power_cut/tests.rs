use proptest::prelude::*;

use super::*;
use crate::catalogue::Catalogue;
use crate::quantity::parse;
use crate::tank::Output;

pub(crate) const PUMPS: &str = r#"
currency = "USD"
[[pump]]
model = "Dial"
kind = "round-controllable"
rated_flow = "4000 L/h"
lowest_setting = "20 %"
outlet = "5 cm"
power = "10 W"
standing_draw = "1 W"
sound = "34 dB"
price = "150 USD"
wet_end_price = "50 USD"
shaft = "ceramic"
battery_socket = true
[[pump]]
model = "Plain"
kind = "round-fixed"
rated_flow = "1000 L/h"
outlet = "3 cm"
power = "1 W"
sound = "30 dB"
price = "30 USD"
wet_end_price = "10 USD"
shaft = "ceramic"
"#;

pub(crate) const TANK: &str = r#"
name = "Test"
glass = { shape = "box", length = "90 cm", width = "45 cm", height = "45 cm", pane = "8 mm", fill_line = "3 cm" }
livestock = { now = "soft" }
battery = { energy = "300 Wh", chemistry = "lithium-iron-phosphate" }
fish = [{ name = "Tang", count = 2, mass = "60 g" }]
pump = [
    { name = "left", model = "Dial", wall = "left", height = "30 cm" },
    { name = "right", model = "Plain", wall = "right", height = "30 cm" },
]
"#;

pub(crate) fn rules() -> Rules {
    Rules::compiled_in().unwrap()
}

// The tanks of which the book once said something false or dangerous, each with what it is told now.

pub(crate) fn tank(name: &str, glass: &str, rest: &str) -> String {
    format!("name = \"{name}\"\nglass = {{ {glass} }}\n{rest}\n")
}

pub(crate) const CUT_PUMP: &str =
    "pump = [{ name = \"left\", model = \"Dial\", wall = \"left\", height = \"20 cm\" }]\n";

/// A tank in which so much breathes that the oxygen is what holds its pauses.
pub(crate) fn crowded(fish: u32) -> String {
    crowd_of(TANK, fish)
}

/// The same tank with so many fish of 200 g.
pub(crate) fn crowd_of(tank: &str, fish: u32) -> String {
    tank.replace("count = 2, mass = \"60 g\"", &format!("count = {fish}, mass = \"200 g\""))
}

#[test]
fn no_feeding_pause_outlasts_the_oxygen() {
    let mut pauses = Vec::new();
    for fish in (1..120).step_by(7) {
        let tank = Tank::read("tank.toml", &crowded(fish), &rules()).unwrap();
        let rules = rules();
        let chain = Chain::new(&rules, &tank).unwrap();
        let full = Chain {
            start: Traced::given(Band { low: chain.start.high, high: chain.start.high }),
            ..chain.clone()
        };
        let half =
            |chain: &Chain<'_>, limit| chain.until(limit, Case::Worst, &[]).unwrap().seconds() / 60.0 / 2.0;
        let pause = chain.feeding_pause().unwrap().map_or(0.0, |pause| pause.si() / 60.0);
        assert!(
            pause <= 10.0 && pause <= half(&full, Limit::Aim) && pause <= half(&chain, Limit::Danger),
            "{fish} fish: {pause} min"
        );
        // Nor is it shorter than it must be.
        assert!(
            pause + 1.0 > half(&full, Limit::Aim).min(half(&chain, Limit::Danger)).min(10.0),
            "{fish} fish: {pause} min"
        );
        pauses.push(pause);
    }
    assert!(pauses.windows(2).all(|pair| pair[0] >= pair[1]), "{pauses:?}");
    assert!(
        pauses[0] > 9.5 && pauses.iter().any(|pause| (1.0..10.0).contains(pause)) && pauses.ends_with(&[0.0]),
        "{pauses:?}"
    );
}

/// Two alike pumps stir twice as much as one and draw twice as much; an inverter feeds both where that serves
/// the animals better.
#[test]
fn an_inverter_can_run_all_pumps_together() {
    let both = TANK.replace("model = \"Plain\"", "model = \"Dial\"");
    let rules = rules();
    let catalogue = Catalogue::read("pumps.toml", PUMPS).unwrap();
    let tank = Tank::read("tank.toml", &both, &rules).unwrap();
    let inverter = Output::Inverter { idle: None };
    let on_offer = candidates(&tank, &catalogue, inverter, &rules).unwrap();
    let at_full = |pump: &Which| {
        let is_it = |on: &&OnBattery| on.pump == *pump && on.setting.is_some_and(|setting| setting.0 >= 1.0);
        on_offer.iter().find(is_it).unwrap()
    };
    let (one, all) = (at_full(&Which::Called("left".to_owned())), at_full(&Which::All));
    let twice = |all: Power, one: Power| ((all / one).si() - 2.0).abs() < 1e-9;
    assert!(twice(*all.draw, *one.draw) && twice(*all.stirring, *one.stirring));
    let direct = candidates(&tank, &catalogue, Output::Direct, &rules).unwrap();
    assert!(direct.iter().all(|on| on.pump != Which::All));
}

/// The whole grid of tanks, life, warmth and backups: what is promised holds, and moves the way it must.
#[test]
fn on_a_grid_of_tanks_the_chain_is_safe_and_moves_the_right_way() {
    let rules = rules();
    let catalogue = Catalogue::read("pumps.toml", PUMPS).unwrap();
    let glasses = [
        "shape = \"box\", length = \"30 cm\", width = \"30 cm\", height = \"30 cm\", pane = \"5 mm\"",
        "shape = \"box\", length = \"90 cm\", width = \"45 cm\", height = \"45 cm\", pane = \"8 mm\"",
        "shape = \"cylinder\", diameter = \"70 cm\", height = \"70 cm\", pane = \"12 mm\"",
        "shape = \"box\", length = \"200 cm\", width = \"70 cm\", height = \"70 cm\", pane = \"15 mm\"",
    ];
    let backups = [
        "",
        "air_pump = { air = \"60 L/h\", depth = \"20 cm\", lasts = \"20 h\" }\n",
        "battery = { energy = \"300 Wh\", chemistry = \"lithium-iron-phosphate\" }\n",
        "battery = { energy = \"300 Wh\", chemistry = \"lead-acid\", output = \"inverter\" }\n",
        "battery = { energy = \"2 kWh\", chemistry = \"lithium-iron-phosphate\" }\nair_pump = { air = \"60 L/h\", depth = \"20 cm\", lasts = \"20 h\" }\n",
    ];
    let kinds = ["fish_only", "soft", "large_polyp", "small_polyp", "small_polyp_strong"];
    let masses = ["", "5 g", "60 g", "500 g"];
    let degrees = ["22 °C", "26 °C", "30 °C"];
    let (mut tried, mut rose) = (0, 0);
    // Time until danger at the worst, by where in the grid.
    let mut danger = std::collections::BTreeMap::new();
    for (g, glass) in glasses.iter().enumerate() {
        for (b, backup) in backups.iter().enumerate() {
            for (k, kind) in kinds.iter().enumerate() {
                for (m, mass) in masses.iter().enumerate() {
                    for (d, degrees) in degrees.iter().enumerate() {
                        let fish = if mass.is_empty() {
                            String::new()
                        } else {
                            format!("fish = [{{ name = \"Fish\", count = 3, mass = \"{mass}\" }}]\n")
                        };
                        let text = tank(
                            "Grid",
                            glass,
                            &format!(
                                "livestock = {{ now = \"{kind}\" }}\nwater = {{ temperature = \"{degrees}\" }}\n{fish}{backup}{CUT_PUMP}"
                            ),
                        );
                        let tank = Tank::read("grid.toml", &text, &rules).unwrap();
                        let chain = Chain::new(&rules, &tank).unwrap();
                        let backup = Backup::of(&chain, &tank, &catalogue).unwrap();
                        let running = backup.running();
                        let until = |limit, case, running: &[Running]| {
                            chain.until(limit, case, running).unwrap().seconds()
                        };
                        let (aim, worst) = (
                            until(Limit::Aim, Case::Worst, &running),
                            until(Limit::Danger, Case::Worst, &running),
                        );
                        // Enough is said only where the oxygen at the worst outlasts the cut.
                        let enough = chain.is_enough(&running).unwrap();
                        let left = chain
                            .course(Case::Worst, &running)
                            .unwrap()
                            .after(*rules.power_cut.wanted)
                            .unwrap();
                        assert_eq!(enough, worst >= rules.power_cut.wanted.si(), "{text}");
                        assert!(
                            !enough || left >= *rules.oxygen.danger_limit * (1.0 - 1e-9),
                            "{text}: {left:?} left"
                        );
                        // Hands come before danger.
                        let hands = aim * rules.power_cut.act_share.0;
                        assert!(
                            hands < worst || worst <= 0.0 || worst.is_infinite(),
                            "{text}: hands after {hands} s, danger after {worst} s"
                        );
                        // The cases are in their order, and whatever runs is never worse than nothing.
                        for limit in Limit::ALL {
                            let at = |case| until(limit, case, &running);
                            assert!(
                                at(Case::Worst) <= at(Case::Likely) && at(Case::Likely) <= at(Case::Best),
                                "{text}"
                            );
                            assert!(until(limit, Case::Worst, &[]) <= at(Case::Worst) + 1e-6, "{text}");
                        }
                        // More stirring never leaves less time, and somewhere more.
                        if b == 0 {
                            let stirred = [1e-3, 1e-2, 0.1, 1.0].map(|watts| {
                                let brings = Brings::Stirring(Power::from_si(watts));
                                until(
                                    Limit::Danger,
                                    Case::Worst,
                                    &[Running { lasts: *rules.power_cut.wanted, brings }],
                                )
                            });
                            assert!(stirred.is_sorted(), "{text}: {stirred:?}");
                            rose += usize::from(stirred[3] > stirred[0]);
                        }
                        danger.insert((g, b, k, m, d), worst);
                        tried += 1;
                    }
                }
            }
        }
    }
    assert_eq!(tried, 4 * 5 * 5 * 4 * 3);
    assert!(rose > 200, "{rose} of 240 tanks gain by stirring");
    let falls =
        |name: &str, from: (usize, usize, usize, usize, usize), to: (usize, usize, usize, usize, usize)| {
            let (before, after) = (danger[&from], danger[&to]);
            assert!(after <= before * (1.0 + 1e-9), "{name}: {from:?} has {before} s, {to:?} {after} s");
            after < before
        };
    let mut fell = [0; 3];
    for key @ (g, b, k, m, d) in danger.keys().copied() {
        fell[0] += usize::from(m > 0 && falls("more fish", (g, b, k, m - 1, d), key));
        fell[1] += usize::from(k > 0 && falls("more coral", (g, b, k - 1, m, d), key));
        fell[2] += usize::from(d > 0 && falls("more warmth", (g, b, k, m, d - 1), key));
    }
    // And they really fall, but where the fish's share, the reef or the surface decides alone.
    assert!(fell[0] > 400 && fell[1] > 400 && fell[2] > 400, "{fell:?}");
}

fn hours(hours: f64) -> Time {
    Time::from_si(hours * 3600.0)
}

fn situation(aim: Option<f64>) -> Situation {
    Situation {
        lid: true,
        idle_battery: false,
        fish: true,
        return_line: true,
        residual_current: false,
        pump: None,
        inverter: false,
        air: None,
        jug: parse("2 L").unwrap(),
        aim: aim.map(hours),
        danger: aim.map(|aim| hours(2.0 * aim)),
        hands: aim.map(|aim| {
            (
                hours(0.5 * aim),
                Pouring::Spells { pour: parse("6 min").unwrap(), every: parse("12 min").unwrap() },
            )
        }),
        still_hands: aim.map(|aim| (hours(0.25 * aim), Pouring::WithoutBreak)),
        danger_poured: aim.map(|aim| hours(3.0 * aim)),
    }
}

#[test]
fn hands_move_the_water_by_half_of_the_time() {
    let rules = rules();
    let steps = steps(&situation(Some(4.0)), &rules);
    let by_hand = steps
        .iter()
        .find(|step| step.what.starts_with("Move the surface by hand, for 6\u{a0}min in every 12\u{a0}min"))
        .unwrap();
    assert_eq!(by_hand.when, When::After(hours(2.0)));
    assert!(steps.iter().any(|step| step.what.contains("return pump first")));
    assert!(steps.iter().any(|step| step.what == "Do not feed, and take the lid off"));
    assert!(steps[0].what.contains("licensed electrician"));
}

/// A battery that has not started is no battery: the card says by when hands must move the water then.
#[test]
fn who_has_a_battery_is_told_what_to_do_when_it_has_not_started() {
    let with = Situation { pump: Some("the pump called left".to_owned()), ..situation(Some(4.0)) };
    let steps = steps(&with, &rules());
    let see = steps
        .iter()
        .find(|step| step.what.starts_with("See that the battery runs the pump called left"))
        .unwrap();
    assert!(
        see.what.ends_with("move the surface by hand within 60\u{a0}min, without a break, taking turns"),
        "{}",
        see.what
    );
    assert!(steps.iter().any(|step| step.what.ends_with("charge the battery")));
}

#[test]
fn a_tank_without_fish_is_told_of_none() {
    for hands in [None, Some((hours(1.0), Pouring::NotEnough))] {
        let told = |fish: bool| {
            let steps = steps(&Situation { fish, hands, ..situation(Some(4.0)) }, &rules());
            steps.iter().filter(|step| step.what.to_lowercase().contains("fish")).count()
        };
        assert_eq!((told(false), told(true)), (0, 1));
    }
}

#[test]
fn where_the_surface_lets_in_enough_nobody_has_to_pour() {
    let none = Situation { return_line: false, ..situation(None) };
    let steps = steps(&none, &rules());
    assert!(
        !steps.iter().any(
            |step| step.what.starts_with("Move the surface by hand") || step.what.contains("return pump")
        )
    );
}

proptest! {
    #[test]
    fn steps_come_in_the_order_in_which_they_are_due(aim in prop::option::of(0.0..100.0), pump in prop::bool::ANY, air in prop::bool::ANY) {
        let rules = rules();
        let situation = Situation { pump: pump.then(|| "the pump".to_owned()), air: air.then(|| hours(5.0)), ..situation(aim) };
        let steps = steps(&situation, &rules);
        prop_assert!(steps.is_sorted_by(|one, two| one.when <= two.when));
        prop_assert_eq!(steps.last().unwrap().when, When::PowerBack);
        if let (Some(aim), Some(danger)) = (situation.aim, situation.danger) {
            let moved = steps.iter().find(|step| step.what.starts_with("Move the surface by hand")).unwrap();
            let When::After(at) = moved.when else { panic!("by hand when the power is back") };
            prop_assert!(at <= aim && at <= danger);
        }
    }
}
