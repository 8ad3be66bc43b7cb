//! How long a map of speeds takes: prints milliseconds, for each tank and number of pumps.
//! `cargo bench -p reckoner-calc --bench speed_map`.

// A bench that can not get what it needs has failed; it prints for people.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use std::time::Instant;

use reckoner_calc::decide::speed_map::change::{Asking, tried};
use reckoner_calc::decide::speed_map::{CELLS, Scene, speeds};
use reckoner_calc::quantity::parse;
use reckoner_calc::{Catalogue, Rules, Tank};

const PUMPS: &str = "currency = \"USD\"\n[[pump]]\nmodel = \"Weir\"\nkind = \"round-controllable\"\nrated_flow = \"3600 L/h\"\nlowest_setting = \"20 %\"\noutlet = \"40 mm\"\npower = \"8 W\"\nsound = \"30 dB\"\nprice = \"100 USD\"\nwet_end_price = \"30 USD\"\nshaft = \"ceramic\"\n";

/// So often each is reckoned; the mean is printed.
const TIMES: u32 = 20;

fn main() {
    let rules = Rules::compiled_in().unwrap();
    let catalogue = Catalogue::read("bench", PUMPS).unwrap();
    println!("{:<40} {:>10} {:>10} {:>10} {:>10} {:>10}", "ms", "above", "floor", "front", "rock", "changes");
    for (length, width, height) in [(40, 40, 40), (90, 45, 45), (150, 60, 60), (240, 80, 70)] {
        for pumps in [1, 2, 4] {
            let walls = ["left", "right", "back", "front"].into_iter().take(pumps);
            let hung: String = walls
                .map(|wall| {
                    format!("[[pump]]\nname = \"{wall}\"\nmodel = \"Weir\"\nwall = \"{wall}\"\nheight = \"25 cm\"\n")
                })
                .collect();
            let text = format!(
                "name = \"Bench\"\n[glass]\nshape = \"box\"\nlength = \"{length} cm\"\nwidth = \"{width} cm\"\nheight = \"{height} cm\"\npane = \"8 mm\"\n[sand]\ndepth = \"3 cm\"\ngrain = \"1 mm\"\n[rock]\nshare = \"10 %\"\nshape = \"islands\"\n[livestock]\nnow = \"soft\"\n{hung}"
            );
            let tank = Tank::read("bench", &text, &rules).unwrap();
            let scene = Scene::of(&rules, &catalogue, &tank).unwrap().unwrap();
            let taken = |reckon: &dyn Fn() -> usize| {
                let start = Instant::now();
                let found: usize = (0..TIMES).map(|_| reckon()).sum();
                assert!(found > 0);
                start.elapsed().as_secs_f64() * 1e3 / f64::from(TIMES)
            };
            let near = scene.basin.bed + *rules.sand.near_bed;
            let all = vec![1.0; pumps];
            let waste = parse("3 cm/s").unwrap();
            let asking = Asking { still: *rules.speed_map.still, waste, suits: rules.speeds.band(&tank.now) };
            let now = asking.outcome(
                &speeds(&scene.above(near, CELLS).water(), &all),
                &speeds(&scene.beside_rock(*rules.speed_map.beside_rock, CELLS), &all),
            );
            let parts = [
                taken(&|| scene.above(scene.height(), CELLS).cells.len()),
                taken(&|| scene.above(near, CELLS).cells.len()),
                taken(&|| scene.front(CELLS).cells.len()),
                taken(&|| scene.beside_rock(*rules.speed_map.beside_rock, CELLS).len()),
                taken(&|| tried(&scene, now, &asking, &rules, &catalogue, &tank).unwrap().len() + 1),
            ];
            let label = format!("{length} × {width} × {height} cm, {pumps} pumps");
            println!(
                "{label:<40} {:>10.2} {:>10.2} {:>10.2} {:>10.2} {:>10.2}",
                parts[0], parts[1], parts[2], parts[3], parts[4]
            );
        }
    }
}
