//! Looks whether the WebAssembly in the repository was made from the sources that this program is made from.

use std::path::Path;

use reckoner_stamp::{Stamp, watched};

fn main() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    for path in watched() {
        println!("cargo::rerun-if-changed={}", root.join(path).display());
    }
    // A stamp that can not be read is that of no sources.
    let is_fresh = Stamp::is_fresh(&root).unwrap_or(false);
    println!("cargo::rustc-env=RECKONER_WASM={}", if is_fresh { "fresh" } else { "stale" });
}
