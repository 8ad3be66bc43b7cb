use std::sync::LazyLock;

use proptest::prelude::*;

use super::super::stream::{Laws as StreamLaws, Outlet};
use super::*;
use crate::cases::costly;
use crate::quantity::Share;
use crate::rules::Rules;

static RULES: LazyLock<Rules> = LazyLock::new(|| Rules::compiled_in().unwrap());

fn metres(value: f64) -> Length {
    Length::from_si(value)
}

fn place(x: f64, y: f64, z: f64) -> Place {
    [x, y, z].map(metres)
}

fn stream(outlet: Outlet, speed: f64) -> Stream {
    let flow = outlet_area(outlet) * Velocity::from_si(speed);
    Stream::new(outlet, flow, StreamLaws::of(&RULES.stream)).unwrap()
}

fn round(diameter: f64, speed: f64) -> Stream {
    stream(Outlet::Round { diameter: metres(diameter) }, speed)
}

fn jet(stream: Stream, from: Place, to: Place) -> Jet {
    Jet { stream, from, to }
}

fn basin(length: f64, width: f64, bed: f64, water: f64) -> Basin {
    Basin { length: metres(length), width: metres(width), bed: metres(bed), water: metres(water) }
}

fn waters(basin: Basin, rock: &[Piece], jets: &[Jet]) -> Waters {
    Waters::new(basin, rock, jets, *RULES.stream.range, &RULES.speed_map).unwrap()
}

/// A tank of 90 × 43 × 40 cm.
fn tank() -> Basin {
    basin(0.9, 0.43, 0.03, 0.4)
}

/// A pump in the middle of its left end that blows straight along it.
fn from_the_left(speed: f64) -> Jet {
    jet(round(0.04, speed), place(0.0, 0.215, 0.25), place(0.9, 0.215, 0.25))
}

fn from_the_right(speed: f64) -> Jet {
    jet(round(0.04, speed), place(0.9, 0.215, 0.25), place(0.0, 0.215, 0.25))
}

fn block(from: [f64; 3], size: [f64; 3]) -> Piece {
    Piece { form: Form::Block, from: from.map(metres), size: size.map(metres) }
}

fn speed(waters: &Waters, x: f64, y: f64, z: f64) -> f64 {
    waters.at(place(x, y, z)).speed(&vec![1.0; waters.jets.len()]).si()
}

/// The push through the section at a place along the tank, over that which left the pump: the sum over cells
/// of the square of the speed, times how squarely the stream meets the section.
fn kept(waters: &Waters, stream: usize, ahead: f64) -> f64 {
    let course = &waters.jets[stream];
    let (end, across) = (course.end, 1 - course.end);
    let start = course.from[end];
    let at = start + (course.foot[end] - start) * ahead;
    let cells = 240;
    let (wide, high) = (waters.high[across] - waters.low[across], waters.high[2] - waters.low[2]);
    let mut sum = 0.0;
    for one in 0..cells {
        for other in 0..cells {
            let mut point = [at; 3];
            point[across] = waters.low[across] + wide * (f64::from(one) + 0.5) / f64::from(cells);
            point[2] = waters.low[2] + high * (f64::from(other) + 0.5) / f64::from(cells);
            let speed = waters.free(stream, point.map(metres)).si();
            sum += speed * speed;
        }
    }
    let cell = wide * high / f64::from(cells * cells);
    sum * cell * course.frame[0][end].abs() / waters.push(stream)
}

#[test]
fn the_push_of_a_stream_is_kept_along_its_way_whatever_panes_are_beside_it() {
    let outlets = prop_oneof![
        (0.012..0.09_f64).prop_map(|diameter| Outlet::Round { diameter: metres(diameter) }),
        (0.008..0.02_f64, 4.0..15.0_f64).prop_map(|(height, times)| Outlet::Slot {
            height: metres(height),
            length: metres(height * times)
        }),
    ];
    let tanks = (0.3..2.4_f64, 0.25..0.9_f64, 0.25..0.7_f64, 0.0..0.06_f64);
    let ways = (0.1..0.9_f64, 0.3..0.9_f64, 0.2..0.8_f64, 0.3..1.0_f64);
    costly(16, (outlets, tanks, ways, 0.25..0.9_f64), |(outlet, tank, way, ahead)| {
        let (length, width, water, bed) = tank;
        let (along, height, aim, aim_height) = way;
        let z = |share: f64| bed + (water - bed) * share;
        let jet = jet(
            stream(outlet, 0.6),
            place(0.0, width * along, z(height)),
            place(length, width * aim, z(aim_height)),
        );
        let waters = waters(basin(length, width, bed, water), &[], &[jet]);
        // A slot longer than the water is deep is no pump for that tank.
        if let Outlet::Slot { length, .. } = outlet
            && length.si() > water - bed
        {
            return Ok(());
        }
        let kept = kept(&waters, 0, ahead);
        prop_assert!((kept - 1.0).abs() < 0.05, "{kept}");
        Ok(())
    });
}

#[test]
fn in_open_water_the_map_is_the_law_of_a_stream() {
    let sea = waters(
        basin(9.0, 8.0, 0.0, 8.0),
        &[],
        &[jet(round(0.05, 1.0), place(0.0, 4.0, 4.0), place(9.0, 4.0, 4.0))],
    );
    let law = round(0.05, 1.0);
    for (ahead, beside) in [(0.1, 0.0), (0.5, 0.02), (1.0, 0.1), (3.0, 0.3), (3.0, 0.0)] {
        let want = law.speed_off_axis(metres(ahead), metres(beside)).unwrap().si();
        for (y, z) in [(4.0 + beside, 4.0), (4.0, 4.0 - beside)] {
            let got = speed(&sea, ahead, y, z);
            assert!((got / want - 1.0).abs() < 0.01, "{ahead} {beside}: {got} for {want}");
        }
    }
}

#[test]
fn a_tank_seen_in_a_mirror_is_the_mirror_of_the_tank() {
    let rock = [block([0.2, 0.25, 0.03], [0.3, 0.1, 0.2])];
    let turned = [block([0.4, 0.25, 0.03], [0.3, 0.1, 0.2])];
    let one = waters(tank(), &rock, &[jet(round(0.04, 0.5), place(0.0, 0.1, 0.2), place(0.9, 0.3, 0.3))]);
    let other = waters(tank(), &turned, &[jet(round(0.04, 0.5), place(0.9, 0.1, 0.2), place(0.0, 0.3, 0.3))]);
    for (x, y, z) in [(0.1, 0.1, 0.2), (0.55, 0.4, 0.1), (0.85, 0.05, 0.35), (0.6, 0.21, 0.05)] {
        let (here, there) = (speed(&one, x, y, z), speed(&other, 0.9 - x, y, z));
        assert!((here - there).abs() < 1e-12, "{x} {y} {z}: {here} and {there}");
    }
}

#[test]
fn twice_the_setting_is_twice_the_speed_everywhere() {
    let rock = [block([0.3, 0.2, 0.03], [0.3, 0.1, 0.2])];
    let slow = waters(tank(), &rock, &[from_the_left(0.3), from_the_right(0.2)]);
    let fast = waters(tank(), &rock, &[from_the_left(0.6), from_the_right(0.4)]);
    for x in 1..9 {
        for y in 1..8 {
            let at = place(0.1 * f64::from(x), 0.05 * f64::from(y), 0.2);
            let (one, two) = (slow.at(at).speed(&[1.0, 1.0]), fast.at(at).speed(&[1.0, 1.0]));
            // Below a millimetre a second nothing is reckoned.
            assert!((2.0 * one.si() - two.si()).abs() < 2e-3, "{at:?}");
            assert!((slow.at(at).speed(&[2.0, 2.0]) / one - Ratio::from_si(2.0)).si().abs() < 1e-12);
        }
    }
}

#[test]
fn a_stream_slows_on_its_way() {
    let waters = waters(tank(), &[], &[from_the_left(0.5)]);
    let speeds: Vec<_> = (1..80).map(|x| speed(&waters, 0.01 * f64::from(x), 0.215, 0.25)).collect();
    // What comes back along the panes takes off a hair of it.
    assert!(speeds.windows(2).all(|pair| pair[1] <= pair[0] + 1e-5), "{speeds:?}");
    assert!(speeds[0] > 0.499 && speeds[78] < 0.3);
}

#[test]
fn streams_that_meet_head_on_bring_the_mean_to_rest_and_not_the_water() {
    let pair = waters(tank(), &[], &[from_the_left(0.5), from_the_right(0.5)]);
    let alone = waters(tank(), &[], &[from_the_left(0.5)]);
    let (met, one) = (speed(&pair, 0.45, 0.215, 0.25), speed(&alone, 0.45, 0.215, 0.25));
    let swing = RULES.speed_map.swing.0 * one * 2.0_f64.sqrt();
    assert!((met / swing - 1.0).abs() < 0.02, "{met} where one alone is {one}");
    // With one of them off the other goes on.
    let left = pair.at(place(0.45, 0.215, 0.25)).speed(&[1.0, 0.0]).si();
    assert!((left / one - 1.0).abs() < 1e-9);
    // A stronger one meets a weaker where both are as fast, by their pushes.
    let unlike = waters(tank(), &[], &[from_the_left(0.6), from_the_right(0.4)]);
    let slowest = (10..80).map(|x| 0.01 * f64::from(x)).min_by(|one, other| {
        speed(&unlike, *one, 0.215, 0.25).total_cmp(&speed(&unlike, *other, 0.215, 0.25))
    });
    let at = slowest.unwrap();
    let free = |stream: usize| unlike.free(stream, place(at, 0.215, 0.25)).si();
    assert!(at > 0.5 && (free(0) / free(1) - 1.0).abs() < 0.06, "{at}: {} and {}", free(0), free(1));
}

#[test]
fn streams_side_by_side_add_their_pushes() {
    let beside = |y: f64| jet(round(0.03, 0.5), place(0.0, y, 0.25), place(0.9, y, 0.25));
    let pair = waters(tank(), &[], &[beside(0.185), beside(0.245)]);
    let at = place(0.6, 0.215, 0.25);
    let (both, one) = (pair.at(at).speed(&[1.0, 1.0]).si(), pair.at(at).speed(&[1.0, 0.0]).si());
    assert!((both / one / 2.0_f64.sqrt() - 1.0).abs() < 0.01, "{both} {one}");
}

#[test]
fn a_stream_that_hugs_a_pane_is_faster_and_never_more_than_the_rule_says() {
    let at = |y: f64| jet(round(0.04, 0.5), place(0.0, y, 0.25), place(0.9, y, 0.25));
    let (hugs, free) = (waters(tank(), &[], &[at(0.01)]), waters(tank(), &[], &[at(0.215)]));
    let (near, open) = (speed(&hugs, 0.7, 0.011, 0.25), speed(&free, 0.7, 0.216, 0.25));
    assert!(near > 1.1 * open && near <= RULES.speed_map.hugging.0 * open * 1.0001, "{near} {open}");
}

#[test]
fn a_pane_turns_a_stream_to_all_sides_and_keeps_what_comes_at_a_slant_going() {
    let waters_ = |to: Place| waters(tank(), &[], &[jet(round(0.04, 0.5), place(0.0, 0.215, 0.215), to)]);
    let straight = waters_(place(0.9, 0.215, 0.215));
    // Close to the far pane, as far to the front as to the back.
    let (front, back) = (speed(&straight, 0.897, 0.06, 0.215), speed(&straight, 0.897, 0.37, 0.215));
    assert!((front / back - 1.0).abs() < 1e-6 && front > 0.03, "{front} {back}");
    // It goes on round the corner, slower.
    let on = speed(&straight, 0.8, 0.003, 0.215);
    assert!(on < front && on > 0.01, "{on} {front}");
    // From the back corner at a slant to the front pane: more goes on than comes back.
    let slant =
        waters(tank(), &[], &[jet(round(0.04, 0.5), place(0.1, 0.43, 0.215), place(0.5, 0.0, 0.215))]);
    let (on, back) = (speed(&slant, 0.8, 0.003, 0.215), speed(&slant, 0.2, 0.003, 0.215));
    assert!(on > 1.5 * back, "{on} {back}");
}

#[test]
fn the_most_water_comes_back_where_the_stream_has_taken_along_the_most() {
    let long = waters(
        basin(2.4, 0.43, 0.0, 0.4),
        &[],
        &[jet(round(0.04, 0.5), place(0.0, 0.215, 0.3), place(2.4, 0.215, 0.3))],
    );
    let section = (0.43_f64 * 0.4).sqrt();
    let at = |sections: f64| long.jets[0].back([sections * section, 0.1, 0.01]).sqrt();
    let most = 0.56 * 0.5 * 0.04 / section;
    assert!((at(1.5) / most - 1.0).abs() < 1e-6, "{} for {most}", at(1.5));
    assert!((at(0.75) / most - 0.5).abs() < 1e-6 && (at(2.25) / most - 0.5).abs() < 1e-6);
    assert!(at(0.1) < 0.1 * most && at(3.1) < 1e-12 && at(-0.1) < 1e-12);
}

#[test]
fn rock_stops_a_stream_and_leaves_a_lee_that_fills_again() {
    let rock = [block([0.3, 0.165, 0.03], [0.1, 0.1, 0.32])];
    let (open, with) =
        (waters(tank(), &[], &[from_the_left(0.5)]), waters(tank(), &rock, &[from_the_left(0.5)]));
    assert!((speed(&open, 0.29, 0.215, 0.25) - speed(&with, 0.29, 0.215, 0.25)).abs() < 1e-12);
    // Close behind it there is a tenth of what there was, or of what comes back.
    let (before, behind) = (speed(&open, 0.45, 0.215, 0.25), speed(&with, 0.45, 0.215, 0.25));
    assert!(behind < 0.11 * before, "{behind} of {before}");
    assert!(speed(&with, 0.8, 0.215, 0.25) > 2.0 * behind);
    // Past its side the stream itself goes on as before; only less of it comes back from the far pane.
    let (without, past) = (speed(&open, 0.45, 0.09, 0.25), speed(&with, 0.45, 0.09, 0.25));
    assert!((past / without - 1.0).abs() < 0.15, "{past} for {without}");
    assert!(with.is_rock(place(0.35, 0.2, 0.2)) && !with.is_rock(place(0.45, 0.2, 0.2)));
    // A mound stops what goes through it, and nothing above it.
    let mound = [Piece { form: Form::Mound, ..rock[0] }];
    let mound = waters(tank(), &mound, &[from_the_left(0.5)]);
    assert!(mound.is_rock(place(0.35, 0.215, 0.34)) && !mound.is_rock(place(0.31, 0.215, 0.34)));
    assert!(speed(&mound, 0.45, 0.215, 0.2) < 0.2 * speed(&open, 0.45, 0.215, 0.2));
    assert!(mound.shade([0.0, 0.215, 0.37], [0.9, 0.215, 0.37]) > 1.0 - 1e-12);
}

#[test]
fn lees_are_as_long_as_print_has_them() {
    // Block of 10 cm: a cube, a thin plate as wide as high, and one eight times as wide as high.
    for (along, across, want) in [(0.1, 0.1, 1.45), (0.03, 0.1, 2.08), (0.1, 0.8, 4.93), (0.3, 0.1, 1.04)] {
        let lee = lee_length(metres(along), metres(across), metres(0.1), &RULES.speed_map).si() / 0.1;
        assert!((lee - want).abs() < 0.006, "{lee} for {want}");
    }
    let left = |distance: f64| lee_left(metres(distance), metres(0.2), &RULES.speed_map).si();
    assert!((left(0.1) - RULES.speed_map.lee.0).abs() < 1e-12);
    assert!((left(0.6) - (1.0 - 27.0_f64.sqrt().recip())).abs() < 1e-9);
    assert!(left(0.5) < left(0.6) && left(50.0) > 0.99);
}

#[test]
fn nowhere_is_no_number_and_nothing_is_faster_than_what_drives_it() {
    let pieces = (0.0..0.6_f64, 0.0..0.3_f64, 0.05..0.5_f64, 0.05..0.4_f64, 0.02..0.4_f64, any::<bool>());
    let jets = (0.0..1.0_f64, 0.1..0.9_f64, 0.0..1.0_f64, 0.0..1.0_f64, 0.02..3.0_f64, 0..4_usize);
    let at = (0.0..1.0_f64, 0.0..1.0_f64, 0.0..1.0_f64);
    proptest!(|(rock in proptest::collection::vec(pieces, 0..4), pumps in proptest::collection::vec(jets, 1..5), at in at)| {
        let tank = tank();
        let rock: Vec<_> = rock.iter().map(|(x, y, length, width, height, is_block)| {
            let form = if *is_block { Form::Block } else { Form::Mound };
            Piece { form, ..block([*x, *y, 0.03], [*length, *width, *height]) }
        }).collect();
        let jets: Vec<_> = pumps.iter().map(|(along, height, aim, aim_height, speed, wall)| {
            let z = |share: f64| 0.03 + 0.37 * share;
            let (from, to) = match wall {
                0 => (place(0.0, 0.43 * along, z(*height)), place(0.9, 0.43 * aim, z(*aim_height))),
                1 => (place(0.9, 0.43 * along, z(*height)), place(0.0, 0.43 * aim, z(*aim_height))),
                2 => (place(0.9 * along, 0.43, z(*height)), place(0.9 * aim, 0.0, z(*aim_height))),
                _ => (place(0.9 * along, 0.0, z(*height)), place(0.9 * aim, 0.43, z(*aim_height))),
            };
            jet(round(0.03, *speed), from, to)
        }).collect();
        let waters = waters(tank, &rock, &jets);
        let speed = speed(&waters, 0.9 * at.0, 0.43 * at.1, 0.03 + 0.37 * at.2);
        let all = pumps.iter().map(|pump| pump.4 * pump.4).sum::<f64>().sqrt();
        prop_assert!(speed.is_finite() && speed >= 0.0 && speed <= 2.0 * all, "{speed} of {all}");
    });
}

#[test]
fn what_does_not_cross_the_tank_and_a_tank_without_water_are_refused() {
    let lost = jet(round(0.04, 0.5), place(0.0, 0.2, 0.2), place(0.2, 0.2, 0.2));
    assert!(Waters::new(tank(), &[], &[lost], *RULES.stream.range, &RULES.speed_map).is_err());
    assert!(Waters::new(basin(0.9, 0.4, 0.4, 0.4), &[], &[], *RULES.stream.range, &RULES.speed_map).is_err());
    let mut rules = RULES.speed_map.clone();
    *rules.lee = Share(0.5);
    let half = waters(tank(), &[], &[]);
    assert_eq!(half.at(place(0.1, 0.1, 0.1)).speed(&[]), Velocity::default());
    assert!(Waters::new(tank(), &[], &[from_the_left(0.5)], *RULES.stream.range, &rules).is_ok());
}

#[test]
fn one_stream_on_another_way_leaves_the_others_as_they_were() {
    let rock = [block([0.4, 0.1, 0.03], [0.15, 0.2, 0.2])];
    let before = waters(tank(), &rock, &[from_the_left(0.5), from_the_right(0.4)]);
    let aside = jet(round(0.04, 0.4), place(0.9, 0.215, 0.25), place(0.0, 0.05, 0.12));
    let turned = before.with(1, &aside, *RULES.stream.range, &RULES.speed_map).unwrap();
    let anew = waters(tank(), &rock, &[from_the_left(0.5), aside]);
    for at in 0..20 {
        let at = f64::from(at);
        let there = place(0.02 + 0.045 * at, 0.03 + 0.019 * at, 0.05 + 0.015 * at);
        assert_eq!(turned.at_anew(there, 1, &before.at(there)), anew.at(there));
    }
    // What is no stream of these changes nothing.
    let there = place(0.3, 0.2, 0.2);
    assert_eq!(turned.at_anew(there, 7, &before.at(there)), before.at(there));
}
