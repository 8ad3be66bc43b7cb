//! Finds the WebAssembly, and looks whether it was made from the sources that this program is made from.

use std::path::Path;

use reckoner_stamp::{STAMP, Stamp, WASM, watched};

fn main() {
    let own = Path::new(env!("CARGO_MANIFEST_DIR"));
    let root = own.join("..");
    for path in watched() {
        println!("cargo::rerun-if-changed={}", root.join(path).display());
    }
    // A package of this crate alone has a copy of its own, and not the sources. Who publishes it has held them
    // together: the tests do.
    let (wasm, is_fresh) = if root.join(WASM).is_file() {
        (root.join(WASM), Stamp::is_fresh(&root))
    } else {
        let packed = |name: &str| own.join("packed").join(Path::new(name).file_name().unwrap_or_default());
        (packed(WASM), Stamp::is_of(&packed(STAMP), &packed(WASM)))
    };
    println!("cargo::rustc-env=RECKONER_WASM_FILE={}", wasm.display());
    // A stamp that can not be read is that of no sources.
    println!("cargo::rustc-env=RECKONER_WASM={}", if is_fresh.unwrap_or(false) { "fresh" } else { "stale" });
}
