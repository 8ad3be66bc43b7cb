use proptest::prelude::*;

use super::*;
use crate::cases::costly;
use crate::catalogue::{PumpKind, Shaft};
use crate::quantity::{SoundLevel, parse};
use uom::si::f64::VolumeRate;

fn tank(sand: &str) -> Tank {
    let text = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n{sand}\n[livestock]\nnow = \"soft\"\n"
    );
    Tank::read("t.toml", &text, &Rules::compiled_in().unwrap()).unwrap()
}

fn model(flow: &str, outlet: Outlet) -> PumpModel {
    PumpModel {
        model: "Test".to_owned(),
        kind: PumpKind::RoundControllable,
        rated_flow: parse::<VolumeRate>(flow).unwrap(),
        lowest_setting: Share(0.2),
        outlet,
        power: parse("10 W").unwrap(),
        standing_draw: parse("1 W").unwrap(),
        sound: SoundLevel(30.0),
        price: 100.0,
        wet_end_price: 20.0,
        stated_tank: None,
        largest_pane: None,
        shaft: Shaft::Ceramic,
        battery_socket: false,
        works_in_a_team: false,
    }
}

fn round(flow: &str) -> PumpModel {
    model(flow, Outlet::Round { diameter: parse("4 cm").unwrap() })
}

#[test]
fn a_pump_on_an_end_blows_along_the_tank_and_one_in_a_corner_across_it() {
    let (rules, tank) = (Rules::compiled_in().unwrap(), tank(""));
    let room = Room::new(&rules, &tank).unwrap();
    let height = parse("30 cm").unwrap();
    let course = |wall, along| room.course(Spot { wall, along: Share(along) }, height);
    // 90 cm less two panes of 8 mm.
    assert!((course(Wall::Left, 0.5).way.si() - 0.884).abs() < 1e-12);
    assert!((course(Wall::Right, 0.2).to.x.si()).abs() < 1e-12);
    let corner = course(Wall::Back, 0.0);
    assert!((corner.to.x.si() - 0.75 * 0.884).abs() < 1e-12 && corner.to.y.si().abs() < 1e-12);
    // Pythagoras: 66.3 cm along and 43.4 cm across.
    assert!((corner.way.si() - (0.663_f64 * 0.663 + 0.434 * 0.434).sqrt()).abs() < 1e-9);
    let mirrored = course(Wall::Back, 1.0);
    assert!((mirrored.to.x.si() - 0.25 * 0.884).abs() < 1e-12);
    assert!((course(Wall::Back, 0.5).way.si() - 0.434).abs() < 1e-12);
}

#[test]
fn the_sand_bounds_the_height_from_below_and_the_surface_from_above() {
    let rules = Rules::compiled_in().unwrap();
    let (bare, sandy) = (tank(""), tank("[sand]\ndepth = \"3 cm\"\ngrain = \"0.3 mm\""));
    let spot = Spot { wall: Wall::Left, along: Share(0.5) };
    let pump = round("3000 L/h");
    let on = |tank: &Tank| Room::new(&rules, tank).unwrap().place(&pump, Share(0.6), spot).unwrap();
    let (on_glass, on_sand) = (on(&bare), on(&sandy));
    assert!((on_glass.heights.low.si() - 0.02).abs() < 1e-12, "half an opening of 4 cm");
    assert!(on_sand.heights.low.si() > 0.03 + 0.05, "the bed, and the height at which the speed is told");
    // Water of 45 − 0.8 − 3 = 41.2 cm, 5 cm of it above the opening, half of which is 2 cm.
    assert!((on_sand.heights.high.si() - 0.342).abs() < 1e-12);
    for place in [on_glass, on_sand] {
        assert!(place.heights.low <= place.course.from.z && place.course.from.z <= place.heights.high);
    }
}

#[test]
fn a_pump_that_lifts_the_sand_from_any_height_is_refused_with_the_way_out() {
    let rules = Rules::compiled_in().unwrap();
    let tank = tank("[sand]\ndepth = \"25 cm\"\ngrain = \"0.2 mm\"");
    let room = Room::new(&rules, &tank).unwrap();
    let error = room.place(&round("8000 L/h"), Share(1.0), Spot { wall: Wall::Left, along: Share(0.5) }).unwrap_err();
    assert!(error.to_string().contains("turn it down"));
}

#[test]
fn sand_without_depth_is_a_bare_floor() {
    let rules = Rules::compiled_in().unwrap();
    let (mut tank, bare) = (tank("[sand]\ndepth = \"1 mm\"\ngrain = \"0.3 mm\""), tank(""));
    if let Some(sand) = &mut tank.sand {
        sand.depth = Length::default();
    }
    let spot = Spot { wall: Wall::Left, along: Share(0.5) };
    let on = |tank: &Tank| Room::new(&rules, tank).unwrap().place(&round("3000 L/h"), Share(0.6), spot).unwrap();
    assert_eq!(on(&tank), on(&bare));
}

#[test]
fn every_number_of_pumps_finds_as_many_different_spots() {
    let (rules, tank) = (Rules::compiled_in().unwrap(), tank(""));
    let room = Room::new(&rules, &tank).unwrap();
    for count in 1..=6 {
        let spots = room.spots(count);
        assert_eq!(spots.len(), count);
        for (at, spot) in spots.iter().enumerate() {
            assert!(!spots[..at].contains(spot), "{spot:?} twice among {count}");
        }
    }
}

/// The setting is told by halving; here every step of the dial is asked.
#[test]
fn the_highest_setting_is_the_last_step_that_is_safe() {
    costly(10, (1000.0..25_000.0_f64, 0.015..0.06_f64, 0.01..0.2_f64, 0.15..3.0_f64), |(litres, outlet, depth, grain)| {
        let rules = Rules::compiled_in().unwrap();
        let tank = tank(&format!("[sand]\ndepth = \"{depth:.3} m\"\ngrain = \"{grain:.2} mm\""));
        let room = Room::new(&rules, &tank).unwrap();
        let way = room.longest_way();
        let pump = model(&format!("{litres:.0} L/h"), Outlet::Round { diameter: Length::from_si(outlet) });
        let Ok(found) = room.highest_setting(&pump, way) else { return Ok(()) };
        let safe = |setting: f64| {
            let stream = Stream::new(pump.outlet, pump.rated_flow, rules.stream.laws).unwrap().at_setting(Share(setting)).unwrap();
            room.lowest(&stream, pump.outlet, way).unwrap() <= room.highest(pump.outlet)
        };
        let steps = (0..16).map(|step| 0.2 + 0.05 * f64::from(step)).chain([1.0]);
        let last = steps.filter(|setting| safe(setting.min(1.0))).fold(None, |_, setting| Some(setting));
        match (found, last) {
            (None, None) => {}
            (Some(found), Some(last)) => prop_assert!((found.0 - last.min(1.0)).abs() < 1e-9, "{found:?} is not {last}"),
            other => prop_assert!(false, "{other:?}"),
        }
        Ok(())
    });
}

proptest! {}
