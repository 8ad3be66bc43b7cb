//! The link that a code on a sheet says: to the book, or to the book with a tank.

use std::io::Write as _;

use data_encoding::BASE64URL_NOPAD;
use flate2::Compression;
use flate2::write::DeflateEncoder;
use reckoner_page::code::{Code, YOUR_TANK};

use crate::diagnostic::{Diagnostic, Diagnostics};

/// The code of an address.
///
/// # Errors
/// The address is longer than a code can be.
pub fn of_address(address: &str) -> Result<Code, Diagnostics> {
    let too_long = Diagnostic::plain("the address in club.toml is too long for a code that a phone can read");
    Code::of(address).ok_or_else(|| too_long.hint("shorten it").into())
}

/// The code of the link that opens the book with a tank.
///
/// # Errors
/// The tank is longer than a code can be.
pub fn with_tank(address: &str, tank: &str) -> Result<Code, Diagnostics> {
    let too_long = Diagnostic::plain("the tank file is too long for a code that a phone can read");
    Code::of(&format!("{address}{YOUR_TANK}{}", squeezed(&without_remarks(tank))))
        .ok_or_else(|| too_long.hint("leave `--share-tank` out").into())
}

/// A tank file without lines that only remark on others: they are most of a file that was begun with
/// `reckoner new tank`. One with a text of several lines stays whole. `live.js` does the same.
fn without_remarks(tank: &str) -> String {
    if tank.contains("\"\"\"") || tank.contains("'''") {
        return tank.to_owned();
    }
    let says = |line: &&str| !line.trim().is_empty() && !line.trim().starts_with('#');
    tank.lines().filter(says).map(|line| format!("{line}\n")).collect()
}

/// A tank file as links carry it.
fn squeezed(tank: &str) -> String {
    let mut encoder = DeflateEncoder::new(Vec::new(), Compression::best());
    // Writing into memory can not fail.
    let written = encoder.write_all(tank.as_bytes()).and_then(|()| encoder.finish());
    BASE64URL_NOPAD.encode(&written.unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_link_carries_the_tank_whole() {
        let tank = "name = \"Größe\"\n# a remark\n".repeat(5);
        let letters = squeezed(&tank);
        assert!(letters.chars().all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_'), "{letters}");
        let bytes = BASE64URL_NOPAD.decode(letters.as_bytes()).unwrap();
        let mut text = String::new();
        std::io::Read::read_to_string(&mut flate2::read::DeflateDecoder::new(bytes.as_slice()), &mut text)
            .unwrap();
        assert_eq!(text, tank);
    }

    #[test]
    fn remarks_stay_at_home() {
        assert_eq!(without_remarks("# a\nb = \"#1\" # c\n\n  # d\n[e]\n"), "b = \"#1\" # c\n[e]\n");
        let long = "a = \"\"\"\n# no remark\n\"\"\"\n";
        assert_eq!(without_remarks(long), long);
    }

    #[test]
    fn what_is_too_long_is_refused() {
        // Letters without any order, which no packing makes shorter.
        let mut state = 1_u32;
        let noise: String = std::iter::repeat_with(|| {
            state ^= state << 13;
            state ^= state >> 17;
            state ^= state << 5;
            char::from(b' ' + (state >> 8) as u8 % 94)
        })
        .take(9000)
        .collect();
        let refused = with_tank("https://a.example/", &noise).err().map(|why| why.to_string());
        assert!(refused.is_some_and(|why| why.contains("too long")));
        assert!(of_address(&"a".repeat(4000)).is_err());
    }
}
