//! How long a pump plan takes with 500 models: prints milliseconds, for each tank and each way to rank.
//! `cargo bench -p reckoner-calc`.

// A bench that can not get what it needs has failed; it prints for people.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use std::fmt::Write as _;
use std::time::Instant;

use reckoner_calc::decide::plan::Task;
use reckoner_calc::quantity::{Currency, Money, SoundLevel};
use reckoner_calc::tank::{Rank, Wishes};
use reckoner_calc::{Catalogue, Rules, Tank};

/// Numbers from 0 to 1, the same on every machine.
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> f64 {
        // Knuth's multiplier for 64 bits.
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as f64) / f64::from(1_u32 << 31)
    }
}

fn catalogue(seed: u64) -> Catalogue {
    let mut numbers = Numbers(seed);
    let mut text = "currency = \"USD\"\n".to_owned();
    for at in 0..500 {
        let litres = 1300.0 * libm::pow(28_000.0 / 1300.0, numbers.next());
        let is_fixed = numbers.next() < 0.2;
        let exit = 0.5 + 0.5 * numbers.next();
        let outlet = (4.0 / std::f64::consts::PI * litres / 3.6e6 / exit).sqrt() * 1000.0;
        let price =
            if is_fixed { 20.0 + litres * 0.008 } else { 80.0 + litres * (0.02 + 0.02 * numbers.next()) };
        let (power, sound) = ((1.3 + 1.2 * numbers.next()) * litres / 1000.0, 24.0 + 14.0 * numbers.next());
        let kind = if is_fixed {
            "round-fixed\""
        } else {
            "round-controllable\"\nstanding_draw = \"0.8 W\"\nlowest_setting = \""
        };
        let lowest = if is_fixed { String::new() } else { format!("{:.1} %\"", 8.0 + 22.0 * numbers.next()) };
        writeln!(
            text,
            "[[pump]]\nmodel = \"Model {at}\"\nkind = \"{kind}{lowest}\nrated_flow = \"{litres:.0} L/h\"\noutlet = \"{outlet:.1} mm\"\npower = \"{power:.1} W\"\nsound = \"{sound:.1} dB\"\nprice = \"{price:.0} USD\"\nwet_end_price = \"{:.0} USD\"\nshaft = \"ceramic\"",
            price / 4.0
        )
        .unwrap();
    }
    Catalogue::read("bench", &text).unwrap()
}

fn main() {
    let rules = Rules::compiled_in().unwrap();
    println!("{:<60} {:>10}", "500 models", "ms");
    for seed in [1, 2, 3] {
        let catalogue = catalogue(seed);
        for (length, now, later) in [
            (40, "soft", "soft"),
            (90, "soft", "small_polyp"),
            (150, "large_polyp", "small_polyp"),
            (240, "small_polyp", "small_polyp"),
        ] {
            let (width, height) = (length / 2, 40 + length / 10);
            let text = format!(
                "name = \"Bench\"\n[glass]\nshape = \"box\"\nlength = \"{length} cm\"\nwidth = \"{width} cm\"\nheight = \"{height} cm\"\npane = \"8 mm\"\nfill_line = \"2 cm\"\n[sand]\ndepth = \"3 cm\"\ngrain = \"1 mm\"\n[livestock]\nnow = \"{now}\"\nlater = \"{later}\"\n"
            );
            let tank = Tank::read("bench", &text, &Rules::compiled_in().unwrap()).unwrap();
            let plain = Rank::ALL.map(|(name, rank)| (name.to_owned(), Wishes { rank, ..Wishes::default() }));
            // Wishes that are hard to meet, or can not be: the search must find that out.
            let money = |amount| Some(Money { amount, currency: Currency::USD });
            let hard = [34.0, 37.0, 40.0].map(|noise| {
                let wishes = Wishes {
                    noise: Some(SoundLevel(noise)),
                    budget: money(600.0),
                    spare: true,
                    ..Wishes::default()
                };
                (format!("{noise} dB, a budget and a spare"), wishes)
            });
            for (name, wishes) in plain.into_iter().chain(hard) {
                let start = Instant::now();
                let task = Task::new(&rules, &catalogue, &tank).unwrap();
                let set_up = start.elapsed();
                let sets = task.best(&wishes, 5).unwrap();
                let all = start.elapsed();
                let label = format!("seed {seed}, {length} cm, {name}, {} sets", sets.len());
                println!(
                    "{label:<60} {:>10.1}   of which set-up {:.1}",
                    all.as_secs_f64() * 1e3,
                    set_up.as_secs_f64() * 1e3
                );
            }
        }
    }
}
