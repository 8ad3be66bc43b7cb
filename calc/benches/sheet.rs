//! How long a whole sheet takes, with the maps of speeds and without: prints milliseconds.
//! `cargo bench -p reckoner-calc --bench sheet`.

// A bench that can not get what it needs has failed; it prints for people.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use std::time::Instant;

use reckoner_calc::{Catalogue, Rules, Sheet, Tank};

const PUMPS: &str = include_str!("../../book/pumps.toml");
const TANK: &str = include_str!("../../book/tanks/first_reef.toml");

/// So often each is reckoned; the mean is printed.
const TIMES: u32 = 100;

fn main() {
    let rules = Rules::compiled_in().unwrap();
    let catalogue = Catalogue::read("pumps.toml", PUMPS).unwrap();
    let tank = Tank::read_with("tank.toml", TANK, &rules, &catalogue).unwrap();
    let taken = |name: &str, reckon: &dyn Fn() -> usize| {
        let start = Instant::now();
        let found: usize = (0..TIMES).map(|_| reckon()).sum();
        assert!(found > 0);
        println!("{name:<20} {:>8.2} ms", start.elapsed().as_secs_f64() * 1e3 / f64::from(TIMES));
    };
    taken("read the tank", &|| Tank::read_with("tank.toml", TANK, &rules, &catalogue).unwrap().pumps.len());
    taken("without maps", &|| Sheet::reckon_without_maps(&rules, &catalogue, &tank).unwrap().figures().len());
    taken("with maps", &|| Sheet::reckon(&rules, &catalogue, &tank).unwrap().figures().len());
}
