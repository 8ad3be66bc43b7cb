//! Whether a colour can be read on a ground, by the contrast ratio of WCAG 2.

/// A colour of sRGB.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Colour(u32);

/// What a colour stands on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ground {
    /// What it is, in words.
    pub what: &'static str,
    /// Its colour.
    pub colour: Colour,
}

const fn ground(what: &'static str, colour: u32) -> Ground {
    Ground { what, colour: Colour(colour) }
}

/// The grounds of the light themes: mdBook's pages, and what `theme/reckoner.css` lays under boxes and tables.
pub const LIGHT: [Ground; 5] = [
    ground("page", 0xfefdfb),
    ground("boxes", 0xeaf3f3),
    ground("heads of tables", 0xdcebec),
    ground("page of the theme rust", 0xe1e1db),
    ground("heads of tables of the theme rust", 0xcfd4cf),
];

/// The grounds of the dark themes.
pub const DARK: [Ground; 8] = [
    ground("page of the theme ayu", 0x0f141a),
    ground("page of the theme coal", 0x131516),
    ground("page of the theme navy", 0x161923),
    ground("page without scripts", 0x14181a),
    ground("boxes", 0x1c2b33),
    ground("heads of tables", 0x22343d),
    ground("boxes of the theme navy", 0x1d2a3d),
    ground("heads of tables of the theme navy", 0x26364d),
];

/// What WCAG 2 asks for between a text and its ground, at level AA (success criterion 1.4.3); from memory.
const ENOUGH: f64 = 4.5;

impl Colour {
    /// Reads `"#08606b"`.
    pub fn parse(text: &str) -> Option<Self> {
        let digits = text.strip_prefix('#').filter(|digits| digits.len() == 6)?;
        let all_hex = digits.bytes().all(|digit| digit.is_ascii_hexdigit());
        u32::from_str_radix(digits, 16).ok().filter(|_| all_hex).map(Colour)
    }

    /// As CSS writes it.
    pub fn css(self) -> String {
        format!("#{:06x}", self.0)
    }

    /// The ground on which it is read the worst, and the contrast there; `None` where it is read well on all.
    pub fn least_contrast(self, grounds: &[Ground]) -> Option<(Ground, f64)> {
        let on = grounds.iter().map(|ground| (*ground, contrast(self, ground.colour)));
        on.min_by(|(_, one), (_, other)| one.total_cmp(other)).filter(|(_, contrast)| *contrast < ENOUGH)
    }

    /// Relative luminance, from 0 for black to 1 for white, as WCAG 2 defines it for sRGB; from memory.
    fn luminance(self) -> f64 {
        let linear = |shift: u32| {
            let value = f64::from(self.0 >> shift & 0xff) / 255.0;
            if value <= 0.040_45 { value / 12.92 } else { libm::pow((value + 0.055) / 1.055, 2.4) }
        };
        0.2126 * linear(16) + 0.7152 * linear(8) + 0.0722 * linear(0)
    }
}

/// The contrast ratio of two colours, from 1 to 21, as WCAG 2 defines it; from memory.
fn contrast(one: Colour, other: Colour) -> f64 {
    let (one, other) = (one.luminance(), other.luminance());
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Black on white is the most there is, and of the greys on white `#767676` is the lightest that passes
    /// and `#777777` the darkest that does not: both from memory, as they are often quoted.
    #[test]
    fn the_contrast_is_that_of_wcag() {
        let [black, white, passes, fails] =
            ["#000000", "#ffffff", "#767676", "#777777"].map(|text| Colour::parse(text).unwrap());
        assert!((contrast(black, white) - 21.0).abs() < 1e-9);
        assert!((contrast(white, white) - 1.0).abs() < 1e-9);
        assert!((contrast(passes, white) - 4.54).abs() < 0.005, "{}", contrast(passes, white));
        assert!((contrast(white, fails) - 4.48).abs() < 0.005, "{}", contrast(fails, white));
    }

    #[test]
    fn only_six_digits_are_a_colour() {
        assert_eq!(Colour::parse("#08606B").map(Colour::css).as_deref(), Some("#08606b"));
        for text in ["08606b", "#08606", "#08606bb", "#08606g", "#+8606b", "teal", ""] {
            assert_eq!(Colour::parse(text), None, "{text}");
        }
    }

    #[test]
    fn the_colours_of_the_book_can_be_read_on_all_its_grounds() {
        let [light, dark] = ["#08606b", "#7fcbd6"].map(|text| Colour::parse(text).unwrap());
        assert_eq!((light.least_contrast(&LIGHT), dark.least_contrast(&DARK)), (None, None));
        assert!(light.least_contrast(&DARK).is_some() && dark.least_contrast(&LIGHT).is_some());
    }
}
