//! The code that a phone's camera reads, as a drawing.

use maud::{Markup, html};
use qrcodegen::{QrCode, QrCodeEcc};

/// The page of the book that takes a tank from a link, and what stands before the tank: `live.js` reads the same.
pub const YOUR_TANK: &str = "your-tank.html#tank=";
/// Light squares around the code, without which cameras do not find it.
const QUIET: i32 = 4;
/// How wide a square of a code with much in it is on paper, so that a phone tells one from the next.
const SQUARE_MM: f64 = 0.33;
/// The least width of a code.
const LEAST_MM: f64 = 22.0;

/// A code and what it says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code {
    /// What the code says.
    pub link: String,
    /// How many squares it is wide, the light ones around it too.
    width: i32,
    /// Its dark squares, as a path.
    squares: String,
}

impl Code {
    /// The code of a link; `None` for one that is longer than a code can be. A short one bears more dirt and wear
    /// than one with a tank in it, which must stay small.
    pub fn of(link: &str) -> Option<Self> {
        let bears = if carries_tank(link) { QrCodeEcc::Low } else { QrCodeEcc::Medium };
        let code = QrCode::encode_text(link, bears).ok()?;
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
        Some(Code { link: link.to_owned(), width: size + 2 * QUIET, squares })
    }

    /// Whether the link carries a tank.
    pub fn carries_tank(&self) -> bool {
        carries_tank(&self.link)
    }

    /// The address of the book in the link, without the tank.
    pub fn address(&self) -> &str {
        self.link.split_once(YOUR_TANK).map_or(&self.link, |(address, _)| address)
    }

    /// The drawing.
    pub fn drawing(&self) -> Markup {
        let width = (f64::from(self.width) * SQUARE_MM).max(LEAST_MM);
        let says = if self.carries_tank() { "the book with this tank" } else { "the book" };
        html! {
            svg class="code" viewBox={ "0 0 " (self.width) " " (self.width) } style={ "width:" (format!("{width:.1}")) "mm" }
                role="img" aria-label={ "A code for a phone’s camera: it opens " (says) " at " (self.address()) } {
                rect width=(self.width) height=(self.width) fill="#fff" {}
                path d=(self.squares) fill="#000" {}
            }
        }
    }
}

fn carries_tank(link: &str) -> bool {
    link.contains(YOUR_TANK)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_link_is_told_from_its_tank() {
        let plain = Code::of("https://a.example/").unwrap();
        assert_eq!((plain.address(), plain.carries_tank()), ("https://a.example/", false));
        let with = Code::of("https://a.example/your-tank.html#tank=AbC_-").unwrap();
        assert_eq!((with.address(), with.carries_tank()), ("https://a.example/", true));
        assert!(
            with.drawing().into_string().contains("opens the book with this tank at https://a.example/\"")
        );
    }

    #[test]
    fn what_is_too_long_has_no_code() {
        assert_eq!(Code::of(&"a".repeat(4000)), None);
    }
}
