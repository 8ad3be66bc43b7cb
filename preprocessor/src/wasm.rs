//! The WebAssembly that reckons a reader's own tank in the browser, as it lies in the repository.

/// The WebAssembly, packed with gzip, unless it was made from other sources than this program: what such a
/// one reckons may differ.
pub fn fresh() -> Option<&'static [u8]> {
    // The build script looked when this program was made.
    (env!("RECKONER_WASM") == "fresh").then_some(include_bytes!(env!("RECKONER_WASM_FILE")))
}

/// What is said where there is none.
pub const STALE: &str =
    "the WebAssembly was made from other sources than this program; `bash .ci/wasm` makes it anew";
