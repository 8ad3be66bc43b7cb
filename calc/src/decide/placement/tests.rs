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
    // 90 cm less two panes of 8 mm; 15 % of 43.4 cm to the back, and 10 % of 41.2 cm up.
    let up = 0.1 * 0.412;
    let left = course(Wall::Left, 0.5);
    assert!((left.way.si() - (0.884_f64 * 0.884 + 0.0651 * 0.0651 + up * up).sqrt()).abs() < 1e-9);
    assert!((left.to.y - left.from.y).si() > 0.06 && ((left.to.z - left.from.z).si() - up).abs() < 1e-9);
    let right = course(Wall::Right, 0.2);
    assert!(right.to.x.si().abs() < 1e-12 && (right.to.y.si() - 0.05 * 0.434).abs() < 1e-9);
    // Close under the surface a stream is not aimed out of the water.
    let close = room.course(Spot { wall: Wall::Left, along: Share(0.5) }, parse("41 cm").unwrap());
    assert!((close.to.z - tank.glass.water_height()).si().abs() < 1e-12);
    let corner = course(Wall::Back, 0.0);
    assert!((corner.to.x.si() - 0.75 * 0.884).abs() < 1e-12 && corner.to.y.si().abs() < 1e-12);
    // Pythagoras: 66.3 cm along and 43.4 cm across.
    assert!((corner.way.si() - (0.663_f64 * 0.663 + 0.434 * 0.434 + up * up).sqrt()).abs() < 1e-9);
    let mirrored = course(Wall::Back, 1.0);
    assert!((mirrored.to.x.si() - 0.25 * 0.884).abs() < 1e-12);
    assert!((course(Wall::Back, 0.5).way.si() - (0.434_f64 * 0.434 + up * up).sqrt()).abs() < 1e-12);
}

#[test]
fn the_sand_bounds_the_height_from_below_and_the_surface_from_above() {
    let rules = Rules::compiled_in().unwrap();
    let (bare, sandy) = (tank(""), tank("[sand]\ndepth = \"3 cm\"\ngrain = \"0.3 mm\""));
    let spot = Spot { wall: Wall::Left, along: Share(0.5) };
    let pump = round("3000 L/h");
    let on =
        |tank: &Tank| Room::new(&rules, tank).unwrap().place(&pump, Share(0.6), spot, Among::Others).unwrap();
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
    let error = room
        .place(&round("8000 L/h"), Share(1.0), Spot { wall: Wall::Left, along: Share(0.5) }, Among::Nobody)
        .unwrap_err();
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
    let on = |tank: &Tank| {
        Room::new(&rules, tank).unwrap().place(&round("3000 L/h"), Share(0.6), spot, Among::Others).unwrap()
    };
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

/// A tank that stands or is built otherwise.
fn other(glass: &str, more: &str) -> Tank {
    let text = format!(
        "name = \"T\"\n[glass]\n{glass}\nheight = \"50 cm\"\npane = \"8 mm\"\n{more}\n[livestock]\nnow = \"soft\"\n"
    );
    Tank::read("t.toml", &text, &Rules::compiled_in().unwrap()).unwrap()
}

const LONG: &str = "shape = \"box\"\nlength = \"120 cm\"\nwidth = \"50 cm\"";

#[test]
fn a_pair_never_hangs_level_nor_blows_head_on() {
    let rules = Rules::compiled_in().unwrap();
    for glass in
        [LONG, "shape = \"cylinder\"\ndiameter = \"60 cm\"", "shape = \"hexagon\"\nacross = \"60 cm\""]
    {
        for more in [
            "",
            "[stand]\nplace = \"room_divider\"",
            "[rear_chamber]\ndepth = \"12 cm\"",
            "[sand]\ndepth = \"4 cm\"\ngrain = \"0.4 mm\"",
        ] {
            let tank = other(glass, more);
            let room = Room::new(&rules, &tank).unwrap();
            for count in 2..=6 {
                let places: Vec<_> = room
                    .spots(count)
                    .into_iter()
                    .map(|spot| room.place(&round("2400 L/h"), Share(0.4), spot, Among::Others).unwrap())
                    .collect();
                for (at, one) in places.iter().enumerate() {
                    for other in &places[..at] {
                        let facing = matches!(
                            (one.spot.wall, other.spot.wall),
                            (Wall::Left, Wall::Right) | (Wall::Right, Wall::Left)
                        );
                        let beside = one.spot.wall == other.spot.wall;
                        if facing && (one.spot.along.0 - other.spot.along.0).abs() < 0.1 || beside {
                            let apart = (one.course.from.z - other.course.from.z).si().abs();
                            assert!(apart > 0.03, "{apart} m between {:?} and {:?}", one.spot, other.spot);
                        }
                        if facing {
                            // Neither is aimed at the other.
                            assert!(
                                (one.course.to.y - other.course.from.y).si().abs() > 0.02
                                    || (one.course.to.z - other.course.from.z).si().abs() > 0.02
                            );
                        }
                    }
                }
            }
        }
    }
}

#[test]
fn a_pump_by_itself_hangs_just_as_high_as_the_rule_says() {
    let rules = Rules::compiled_in().unwrap();
    let tank = other(LONG, "");
    let room = Room::new(&rules, &tank).unwrap();
    let place = room.place(&round("2400 L/h"), Share(0.4), room.spots(1)[0], Among::pumps(1)).unwrap();
    assert!(
        ((place.course.from.z / tank.glass.water_height()).si() - rules.placement.height_share.0).abs()
            < 1e-12
    );
    let of_two = room.place(&round("2400 L/h"), Share(0.4), room.spots(2)[0], Among::pumps(2)).unwrap();
    assert!((place.course.from.z - of_two.course.from.z).si() > 0.01);
}

#[test]
fn a_room_divider_hangs_its_pumps_on_the_end_at_the_wall_first() {
    let rules = Rules::compiled_in().unwrap();
    let tank = other(LONG, "[stand]\nplace = \"room_divider\"");
    let room = Room::new(&rules, &tank).unwrap();
    let walls = |count| room.spots(count).into_iter().map(|spot| spot.wall).collect::<Vec<_>>();
    assert_eq!(walls(2), [Wall::Left, Wall::Left]);
    assert_eq!(walls(6), [Wall::Left, Wall::Left, Wall::Right, Wall::Right], "nothing on the long panes");
    let why = |at: usize| {
        room.why(
            room.place(&round("2400 L/h"), Share(0.3), room.spots(4)[at], Among::Others).unwrap(),
            Among::Others,
        )
    };
    assert!(why(0).contains("out of sight") && why(0).contains("gap to the wall"), "{}", why(0));
    assert!(
        why(2).contains("in sight, because the end at the wall is full") && !why(2).contains("gap"),
        "{}",
        why(2)
    );
}

#[test]
fn a_rear_chamber_takes_the_back_pane_and_some_depth() {
    let rules = Rules::compiled_in().unwrap();
    let (plain, all_in_one) = (other(LONG, ""), other(LONG, "[rear_chamber]\ndepth = \"10 cm\""));
    let (plain, all_in_one) = (Room::new(&rules, &plain).unwrap(), Room::new(&rules, &all_in_one).unwrap());
    assert!(plain.spots(4).iter().any(|spot| spot.wall == Wall::Back));
    assert!(all_in_one.spots(6).iter().all(|spot| spot.wall != Wall::Back));
    assert!(((plain.inside().1 - all_in_one.inside().1).si() - 0.1).abs() < 1e-12);
}

#[test]
fn in_a_corner_the_outer_halves_at_both_walls_need_a_gap() {
    let rules = Rules::compiled_in().unwrap();
    let tank = other(LONG, "[stand]\nplace = \"in_a_corner\"");
    let room = Room::new(&rules, &tank).unwrap();
    for spot in room.spots(4) {
        let why =
            room.why(room.place(&round("2400 L/h"), Share(0.3), spot, Among::Others).unwrap(), Among::Others);
        assert_eq!(why.contains("gap to the wall"), spot.wall != Wall::Right, "{spot:?}: {why}");
    }
}

#[test]
fn a_magnet_holds_up_to_its_largest_pane() {
    let (rules, tank) = (Rules::compiled_in().unwrap(), tank(""));
    let room = Room::new(&rules, &tank).unwrap();
    let with = |largest: Option<&str>| PumpModel {
        largest_pane: largest.map(|text| parse(text).unwrap()),
        ..round("2400 L/h")
    };
    assert!(room.holds(&with(Some("8 mm"))) && room.holds(&with(None)) && !room.holds(&with(Some("7.8 mm"))));
    // A pane of 3/4 in is sold as 19 mm, and is 19.05 mm by the inch.
    let mut inches = tank.clone();
    inches.glass.pane = parse("3/4 in").unwrap();
    assert!(Room::new(&rules, &inches).unwrap().holds(&with(Some("19 mm"))));
}

/// The setting is told by halving; here every step of the dial is asked.
#[test]
fn the_highest_setting_is_the_last_step_that_is_safe() {
    costly(
        10,
        (1000.0..25_000.0_f64, 0.015..0.06_f64, 0.01..0.2_f64, 0.15..3.0_f64),
        |(litres, outlet, depth, grain)| {
            let rules = Rules::compiled_in().unwrap();
            let tank = tank(&format!("[sand]\ndepth = \"{depth:.3} m\"\ngrain = \"{grain:.2} mm\""));
            let room = Room::new(&rules, &tank).unwrap();
            let way = room.longest_way();
            let pump =
                model(&format!("{litres:.0} L/h"), Outlet::Round { diameter: Length::from_si(outlet) });
            let Ok(found) = room.highest_setting(&pump, way) else { return Ok(()) };
            let safe = |setting: f64| {
                let stream = Stream::new(pump.outlet, pump.rated_flow, Laws::of(&rules.stream))
                    .unwrap()
                    .at_setting(Share(setting))
                    .unwrap();
                room.lowest(&stream, pump.outlet, way).unwrap() <= room.highest(pump.outlet)
            };
            let steps = (0..16).map(|step| 0.2 + 0.05 * f64::from(step)).chain([1.0]);
            let last = steps.filter(|setting| safe(setting.min(1.0))).fold(None, |_, setting| Some(setting));
            match (found, last) {
                (None, None) => {}
                (Some(found), Some(last)) => {
                    prop_assert!((found.0 - last.min(1.0)).abs() < 1e-9, "{found:?} is not {last}")
                }
                other => prop_assert!(false, "{other:?}"),
            }
            Ok(())
        },
    );
}

#[test]
fn a_spot_at_the_edge_of_a_corner_is_in_it() {
    let rules = Rules::compiled_in().unwrap();
    let corner = rules.placement.corner.0;
    let words = |along: f64| Spot { wall: Wall::Back, along: Share(along) }.words(&rules).to_owned();
    let [left, middle, right] = [0.0, 0.5, 1.0].map(words);
    assert!(left != middle && middle != right && left != right);
    assert_eq!([words(corner), words(1.0 - corner)], [left, right]);
    assert_eq!([words(corner + 0.01), words(0.99 - corner)], [middle.clone(), middle]);
}
