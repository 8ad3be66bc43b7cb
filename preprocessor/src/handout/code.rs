//! The code that a phone's camera reads, as a drawing with the address beside it.

use std::io::Write as _;

use data_encoding::BASE64URL_NOPAD;
use flate2::Compression;
use flate2::write::DeflateEncoder;
use maud::{Markup, html};
use qrcodegen::{QrCode, QrCodeEcc};

use crate::diagnostic::{Diagnostic, Diagnostics};

/// The page of the book that takes a tank from a link, and what stands before the tank: `live.js` reads the same.
const YOUR_TANK: &str = "your-tank.html#tank=";
/// Light squares around the code, without which cameras do not find it.
const QUIET: i32 = 4;
/// How wide a square of a code with much in it is on paper, so that a phone tells one from the next.
const SQUARE_MM: f64 = 0.33;
/// The least width of a code.
const LEAST_MM: f64 = 22.0;

/// A code and what it says.
#[derive(Debug, Clone)]
pub struct Code {
    /// The address that is printed beside it.
    pub address: String,
    /// Whether it carries a tank behind the address.
    pub carries_tank: bool,
    /// How many squares it is wide, the light ones around it too.
    width: i32,
    /// Its dark squares, as a path.
    squares: String,
}

impl Code {
    /// The code of an address.
    ///
    /// # Errors
    /// The address is longer than a code can be.
    pub fn of(address: &str) -> Result<Self, Diagnostics> {
        let too_long =
            Diagnostic::plain("the address in club.toml is too long for a code that a phone can read");
        let code =
            QrCode::encode_text(address, QrCodeEcc::Medium).map_err(|_| too_long.hint("shorten it"))?;
        Ok(Code::drawn(address, false, &code))
    }

    /// The code of the link that opens the book with a tank.
    ///
    /// # Errors
    /// The tank is longer than a code can be.
    pub fn with_tank(address: &str, tank: &str) -> Result<Self, Diagnostics> {
        let too_long = Diagnostic::plain("the tank file is too long for a code that a phone can read")
            .hint("leave `--share-tank` out, or take remarks out of the file");
        let link = format!("{address}{YOUR_TANK}{}", squeezed(tank));
        let code = QrCode::encode_text(&link, QrCodeEcc::Low).map_err(|_| too_long)?;
        Ok(Code::drawn(address, true, &code))
    }

    fn drawn(address: &str, carries_tank: bool, code: &QrCode) -> Self {
        let size = code.size();
        let mut squares = String::new();
        for y in 0..size {
            let mut x = 0;
            while x < size {
                let dark = (x..size).take_while(|x| code.get_module(*x, y)).count() as i32;
                if dark > 0 {
                    squares.push_str(&format!("M{} {}h{dark}v1h-{dark}z", x + QUIET, y + QUIET));
                }
                x += dark.max(1);
            }
        }
        Code { address: address.to_owned(), carries_tank, width: size + 2 * QUIET, squares }
    }

    /// The drawing.
    pub fn drawing(&self) -> Markup {
        let width = (f64::from(self.width) * SQUARE_MM).max(LEAST_MM);
        let says = if self.carries_tank { "the book with this tank" } else { "the book" };
        html! {
            svg class="code" viewBox={ "0 0 " (self.width) " " (self.width) } style={ "width:" (format!("{width:.1}")) "mm" }
                role="img" aria-label={ "A code for a phone’s camera: it opens " (says) " at " (self.address) } {
                rect width=(self.width) height=(self.width) fill="#fff" {}
                path d=(self.squares) fill="#000" {}
            }
        }
    }
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
        let refused = Code::with_tank("https://a.example/", &noise).err().map(|why| why.to_string());
        assert!(refused.is_some_and(|why| why.contains("too long")));
        assert!(Code::of(&"a".repeat(4000)).is_err());
    }
}
