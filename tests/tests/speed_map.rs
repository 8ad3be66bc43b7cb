//! The map of speeds of any tank: three hundred that chance made.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::PathBuf;

use reckoner_calc::decide::speed_map::{Asked, CELLS, Scene, share, speeds, zone_of, zones};
use reckoner_calc::quantity::Dimension;
use reckoner_calc::{Catalogue, Rules, Tank};
use reckoner_tests::random_tanks::{self, Dice};
use uom::si::f64::Length;

/// The tanks of the book and those that chance made, each with its scene.
fn scenes(count: usize, seed: u64) -> Vec<(Rules, Scene, f64)> {
    let rules = Rules::compiled_in().unwrap();
    let book = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../book");
    let read = |file: &str| fs::read_to_string(book.join(file)).unwrap();
    let catalogue = Catalogue::read("pumps.toml", &read("pumps.toml")).unwrap();
    let mut texts: Vec<_> =
        ["first_reef", "long_reef", "small_cube"].map(|tank| read(&format!("tanks/{tank}.toml"))).into();
    let mut dice = Dice::new(seed);
    texts.extend((0..count).map(|at| random_tanks::tank(&format!("Tank {at}"), &mut dice, &catalogue.pumps)));
    let scene = |text: &String| {
        let tank = Tank::read_with("tank", text, &rules, &catalogue).unwrap();
        let with_own = catalogue.with(&tank.models);
        let near = rules.sand.near_bed.si();
        Some((rules.clone(), Scene::of(&rules, &with_own, &tank).unwrap()?, near))
    };
    texts.iter().filter_map(scene).collect()
}

/// The push of a stream through the section so far on its way, over that which left the pump; `None` where it
/// meets the section at so flat a slant that a plane does not cut it once.
fn kept(scene: &Scene, at: usize, ahead: f64) -> Option<f64> {
    let (basin, course) = (scene.basin, scene.courses[at]);
    let goes = [course.to.x - course.from.x, course.to.y - course.from.y].map(|side| side.si());
    let sides = [basin.length.si(), basin.width.si()];
    let end = usize::from(goes[1].abs() / sides[1] > goes[0].abs() / sides[0]);
    let squarely = goes[end].abs() / course.way.si();
    if squarely < 0.6 {
        return None;
    }
    let from = [course.from.x, course.from.y][end].si() + goes[end] * ahead;
    let (low, high) = (basin.bed.si(), basin.water.si());
    let cells = 90;
    let middle =
        |low: f64, high: f64, cell: u32| low + (high - low) * (f64::from(cell) + 0.5) / f64::from(cells);
    let mut sum = 0.0;
    for (one, other) in (0..cells).flat_map(|one| (0..cells).map(move |other| (one, other))) {
        let mut place = [from, from, middle(low, high, other)];
        place[1 - end] = middle(0.0, sides[1 - end], one);
        let speed = scene.waters.free(at, place.map(Length::from_si)).si();
        sum += speed * speed;
    }
    let cell = sides[1 - end] * (high - low) / f64::from(cells * cells);
    Some(sum * cell * squarely / scene.waters.push(at))
}

#[test]
fn the_push_of_every_stream_is_kept_within_a_twentieth() {
    let (mut asked, mut worst) = (0, 0.0_f64);
    for (_, scene, _) in scenes(300, 0x5eed) {
        for at in 0..scene.pumps.len() {
            for ahead in [0.4, 0.8] {
                let Some(kept) = kept(&scene, at, ahead) else { continue };
                worst = worst.max((kept - 1.0).abs());
                assert!((kept - 1.0).abs() < 0.05, "{:?}: {kept}", scene.pumps[at]);
                asked += 1;
            }
        }
    }
    println!("{asked} sections, the worst {:.1} % off", worst * 100.0);
    assert!(asked > 500, "{asked}");
}

#[test]
fn a_grid_twice_as_fine_changes_no_zone_by_three_parts_of_a_hundred() {
    let (mut asked, mut most) = (0, 0.0_f64);
    for (rules, scene, near) in scenes(25, 0x9a1d) {
        let zones = zones(&rules);
        let times = vec![1.0; scene.pumps.len()];
        let floor = scene.basin.bed + Length::from_si(near);
        let off = *rules.speed_map.beside_rock;
        let of = |cells: usize| {
            [
                scene.above(scene.height(), cells).water(),
                scene.above(floor, cells).water(),
                scene.front(cells).water(),
                scene.beside_rock(off, cells),
            ]
        };
        // Finer than what is told, which is in whole per cents.
        let part = |of: &[Asked], at: usize| {
            let areas =
                |is: &dyn Fn(&&Asked) -> bool| of.iter().filter(is).map(|asked| asked.area).sum::<f64>();
            let all = areas(&|_| true);
            let found = areas(&|asked| zone_of(&zones, asked.moved.speed(&times)) == at);
            if all > 0.0 { found / all } else { 0.0 }
        };
        for (what, (coarse, fine)) in
            ["above", "floor", "front", "rock"].into_iter().zip(of(CELLS).iter().zip(&of(2 * CELLS)))
        {
            for (at, zone) in zones.iter().enumerate() {
                let change = (part(coarse, at) - part(fine, at)).abs();
                assert!(change < 0.03, "{change} of {what}, {}: {:?}", zone.name, scene.pumps);
                most = most.max(change);
                asked += 1;
            }
        }
    }
    println!("{asked} shares, the most changed by {:.1} %", most * 100.0);
}

#[test]
fn every_tank_has_a_map_without_a_hole() {
    let mut cells = 0;
    for (rules, scene, near) in scenes(300, 0xab1e) {
        let zones = zones(&rules);
        let times = vec![1.0; scene.pumps.len()];
        let floor = scene.basin.bed + Length::from_si(near);
        let maps = [scene.above(scene.height(), 24), scene.above(floor, 24), scene.front(24)];
        for map in &maps {
            assert_eq!(map.cells.len() % map.columns, 0);
            let water = map.water();
            for asked in &water {
                let speed = asked.moved.speed(&times).si();
                assert!(speed.is_finite() && (0.0..20.0).contains(&speed), "{speed}");
            }
            let all: f64 = (0..zones.len())
                .map(|at| share(&speeds(&water, &times), |speed| zone_of(&zones, speed) == at).0)
                .sum();
            assert!(water.is_empty() || (all - 1.0).abs() < 0.04, "{all}");
            cells += water.len();
        }
    }
    assert!(cells > 50_000, "{cells}");
}
