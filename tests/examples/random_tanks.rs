//! Writes the demo tanks and tanks that chance made into a folder, for the test in a browser:
//! `random_tanks FOLDER COUNT`.

// Who runs this sees what went wrong.
#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::Path;

use reckoner_calc::Catalogue;
use reckoner_tests::random_tanks::{Dice, tank};

/// The chance of these tanks. Another seed gives others.
const SEED: u64 = 0x0b5e_55ed;

fn main() {
    let mut args = std::env::args().skip(1);
    let folder = args.next().unwrap_or_else(|| panic!("name a folder"));
    let count: usize =
        args.next().and_then(|count| count.parse().ok()).unwrap_or_else(|| panic!("say how many tanks"));
    let book = Path::new(env!("CARGO_MANIFEST_DIR")).join("../book");
    fs::create_dir_all(&folder).unwrap();
    for name in ["long_reef", "small_cube"] {
        fs::copy(book.join(format!("tanks/{name}.toml")), Path::new(&folder).join(format!("{name}.toml")))
            .unwrap();
    }
    let models =
        Catalogue::read("pumps.toml", &fs::read_to_string(book.join("pumps.toml")).unwrap()).unwrap().pumps;
    let mut dice = Dice::new(SEED);
    for at in 0..count {
        fs::write(
            Path::new(&folder).join(format!("chance_{at:03}.toml")),
            tank(&format!("Chance {at}"), &mut dice, &models),
        )
        .unwrap();
    }
}
