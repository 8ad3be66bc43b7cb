//! Reads what a person writes: `"190 L"`, `"50 US gal"`, `"2 ft 6 in"`, `"17 1/2 in"`, `"1,5 L"`.

use std::fmt;

use super::{Dimension, Kind, Quantity, UNITS, Unit};

/// Why an entry could not be read. [`ParseError::help`] says what would be right.
#[derive(Debug, Clone, PartialEq)]
pub enum ParseError {
    /// Nothing was written.
    Empty {
        /// The kind that was asked for.
        wanted: Kind,
    },
    /// No number where one was due.
    NoNumber {
        /// The entry.
        text: String,
        /// The kind that was asked for.
        wanted: Kind,
    },
    /// A number without its unit.
    NoUnit {
        /// The number as written.
        number: String,
        /// The kind that was asked for.
        wanted: Kind,
    },
    /// A unit that nobody here knows.
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// The kind that was asked for.
        wanted: Kind,
    },
    /// "gal" alone: a US and an imperial gallon differ by a fifth.
    BareGallon {
        /// The number as written.
        number: String,
        /// What follows the gallon: empty for a volume, `/h` or `/min` for a flow.
        per: &'static str,
    },
    /// "1,000": a thousand to some readers, one to others.
    AmbiguousComma {
        /// The number as written.
        number: String,
    },
    /// Parts that do not belong to one measure, such as `"2 in 6 ft"` or `"2 L 3 h"`.
    MixedParts {
        /// The entry.
        text: String,
    },
    /// A right entry of the wrong kind: a length where a volume was asked for.
    WrongKind {
        /// The kind that was written.
        found: Kind,
        /// The kind that was asked for.
        wanted: Kind,
        /// The entry.
        text: String,
    },
    /// Too large to be a number.
    NotFinite {
        /// The entry.
        text: String,
    },
}

impl ParseError {
    /// What would be right.
    pub fn help(&self) -> String {
        match self {
            ParseError::BareGallon { number, per } => {
                format!(
                    "write \"{number} US gal{per}\" or \"{number} imp gal{per}\": the imperial gallon is a fifth larger"
                )
            }
            ParseError::AmbiguousComma { number } => {
                let (whole, thousandths) = number.split_once(',').unwrap_or((number, ""));
                format!(
                    "write {whole}{thousandths} for the thousands, or {whole}.{thousandths} for the decimal number"
                )
            }
            ParseError::MixedParts { .. } => {
                "write the larger unit first, for instance \"2 ft 6 in\"".to_owned()
            }
            ParseError::NoUnit { number, wanted: Kind::Money(currency) } => {
                format!("say in which currency: \"{number} {}\"", currency.code())
            }
            ParseError::NoUnit { number, wanted } => {
                let units: Vec<_> =
                    UNITS.iter().filter(|unit| unit.kind == *wanted).map(|unit| unit.symbol).collect();
                format!(
                    "say in which unit: \"{number} {}\"; {} can be in {}",
                    units.first().unwrap_or(&""),
                    wanted.name(),
                    units.join(", ")
                )
            }
            ParseError::Empty { wanted }
            | ParseError::NoNumber { wanted, .. }
            | ParseError::UnknownUnit { wanted, .. }
            | ParseError::WrongKind { wanted, .. } => {
                format!("write {}, for instance {}", wanted.name(), wanted.example())
            }
            ParseError::NotFinite { .. } => "write a number of a size that occurs".to_owned(),
        }
    }
}

impl fmt::Display for ParseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ParseError::Empty { wanted } => write!(f, "{} is missing", wanted.name()),
            ParseError::NoNumber { text, .. } => {
                write!(f, "`{text}` can not be read as one number with its unit")
            }
            ParseError::NoUnit { number, .. } => write!(f, "`{number}` has no unit"),
            ParseError::UnknownUnit { unit, wanted } => {
                write!(f, "`{unit}` is not a unit of {}", wanted.name())
            }
            ParseError::BareGallon { per, .. } => write!(f, "`gal{per}` alone does not say which gallon"),
            ParseError::AmbiguousComma { number } => write!(f, "`{number}` can be read in two ways"),
            ParseError::MixedParts { text } => write!(f, "the parts of `{text}` do not make one measure"),
            ParseError::WrongKind { found, wanted, text } => {
                write!(f, "`{text}` is {}, but {} is wanted", found.name(), wanted.name())
            }
            ParseError::NotFinite { text } => write!(f, "`{text}` is too large"),
        }
    }
}

impl std::error::Error for ParseError {}

/// Reads an entry of the kind that `D` measures.
///
/// # Errors
/// Every [`ParseError`] but [`ParseError::NotFinite`] for ordinary slips; nothing is guessed.
///
/// ```
/// use reckoner_calc::quantity::parse;
/// use uom::si::{f64::{Length, Volume}, length::inch, volume::liter};
/// // NIST Handbook 44, appendix C: one US gallon is 3.785 411 784 L exactly.
/// assert!((parse::<Volume>("1 US gal")?.get::<liter>() - 3.785_411_784).abs() < 1e-12);
/// assert!((parse::<Length>("2 ft 6 in")?.get::<inch>() - 30.0).abs() < 1e-12);
/// assert!(parse::<Volume>("50 gal").is_err());
/// # Ok::<(), reckoner_calc::quantity::ParseError>(())
/// ```
pub fn parse<D: Dimension>(text: &str) -> Result<D, ParseError> {
    Ok(D::from_si(parse_as(D::KIND, text)?.si))
}

/// Reads an entry of a kind that is known at run time only.
///
/// # Errors
/// As [`parse`].
pub fn parse_as(kind: Kind, text: &str) -> Result<Quantity, ParseError> {
    let mixed = || ParseError::MixedParts { text: text.trim().to_owned() };
    // A sign stands before the whole: −2 ft 6 in is two and a half feet below.
    let (negative, unsigned) = match text.trim().strip_prefix(['-', '−']) {
        Some(rest) => (true, rest),
        None => (false, text),
    };
    let parts = split(unsigned, kind)?;
    let mut total = 0.0;
    let mut last: Option<&Unit> = None;
    for (number, unit_text) in &parts {
        let value = parse_number(number).map_err(|error| match error {
            ParseError::NoNumber { .. } => {
                ParseError::NoNumber { text: text.trim().to_owned(), wanted: kind }
            }
            other => other,
        })?;
        let unit = find_unit(kind, number, unit_text, text)?;
        if value < 0.0 || last.is_some_and(|before| unit.si >= before.si || unit.offset != 0.0) {
            return Err(mixed());
        }
        last = Some(unit);
        let signed = if negative { -value } else { value };
        total += (signed + unit.offset) * unit.si;
    }
    if total.is_finite() {
        Ok(Quantity::new(kind, total))
    } else {
        Err(ParseError::NotFinite { text: text.trim().to_owned() })
    }
}

/// The last number of an entry with its unit: `6` and inches of `"2 ft 6 in"`.
pub fn last_part(kind: Kind, text: &str) -> Option<(String, &'static Unit)> {
    let (number, unit) = split(text.trim().trim_start_matches(['-', '−']), kind).ok()?.pop()?;
    let unit = find_unit(kind, &number, &unit, text).ok()?;
    Some((number, unit))
}

/// Reads a number without a unit: `"12"`, `"1.5"`, `"1,5"`, `"1/2"`, `"17 1/2"`, `"17½"`, `"−3"`.
///
/// # Errors
/// [`ParseError::NoNumber`], [`ParseError::AmbiguousComma`] or [`ParseError::NotFinite`].
pub fn parse_number(text: &str) -> Result<f64, ParseError> {
    let text = text.trim();
    let no_number = || ParseError::NoNumber { text: text.to_owned(), wanted: Kind::Ratio };
    let (negative, digits) = match text.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest.trim_start()),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let mut total = 0.0;
    let mut words = 0;
    for word in spaced_fractions(digits).split_whitespace() {
        words += 1;
        let value = match word.split_once('/') {
            Some((above, below)) => {
                let (above, below) =
                    (decimal(above).ok_or_else(no_number)?, decimal(below).ok_or_else(no_number)?);
                if below == 0.0 {
                    return Err(no_number());
                }
                above / below
            }
            None if words == 1 => {
                if is_ambiguous(word) {
                    return Err(ParseError::AmbiguousComma { number: word.to_owned() });
                }
                decimal(&word.replace(',', ".")).ok_or_else(no_number)?
            }
            None => return Err(no_number()),
        };
        total += value;
    }
    match words {
        1 | 2 if f64::is_finite(total) => Ok(if negative { -total } else { total }),
        1 | 2 => Err(ParseError::NotFinite { text: text.to_owned() }),
        _ => Err(no_number()),
    }
}

/// Cuts `"2 ft 6 in"` into `[("2", "ft"), ("6", "in")]`; a number may hold a fraction after a space.
fn split(text: &str, wanted: Kind) -> Result<Vec<(String, String)>, ParseError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(ParseError::Empty { wanted });
    }
    let starts_number = |c: char| c.is_numeric() || matches!(c, '-' | '−' | '+' | '.');
    if !text.starts_with(starts_number) {
        return Err(ParseError::NoNumber { text: text.to_owned(), wanted });
    }
    let in_number = |c: char| starts_number(c) || matches!(c, ',' | '/' | ' ' | '\u{a0}' | '\u{202f}');
    let mut parts = Vec::new();
    let mut rest = text;
    while !rest.is_empty() {
        // A slash that a letter follows belongs to the unit ("1/h"), one that a digit follows to a fraction
        // ("1/2").
        let end = rest.find(|c: char| !in_number(c)).unwrap_or(rest.len());
        let mut number = &rest[..end];
        if let Some(bare) = number.strip_suffix('/') {
            number = bare;
        }
        let after = &rest[number.len()..];
        // Inside a unit a digit is an exponent ("m2"); only a digit after a space starts the next part.
        let mut unit_end = after.len();
        let mut before = ' ';
        for (at, c) in after.char_indices() {
            let new_part = starts_number(c)
                && (before.is_whitespace() || matches!(before, '\'' | '"' | '′' | '″'))
                && at > 0;
            if new_part {
                unit_end = at;
                break;
            }
            before = c;
        }
        parts.push((number.trim().to_owned(), normal(&after[..unit_end])));
        rest = after[unit_end..].trim_start();
    }
    Ok(parts)
}

/// Lower case, one space between words, no full stops: `"US  Gal."` is `"us gal"`.
fn normal(unit: &str) -> String {
    let lower = unit.to_ascii_lowercase().replace('.', "");
    lower.split_whitespace().collect::<Vec<_>>().join(" ").replace(" /", "/").replace("/ ", "/")
}

fn find_unit(kind: Kind, number: &str, written: &str, text: &str) -> Result<&'static Unit, ParseError> {
    let matches = |unit: &&Unit| unit.names.contains(&written);
    if let Some(unit) = UNITS.iter().filter(|unit| unit.kind == kind).find(matches) {
        return Ok(unit);
    }
    if let Kind::Money(currency) = kind
        && written.eq_ignore_ascii_case(currency.code())
    {
        return UNITS.iter().find(|unit| unit.kind == Kind::Ratio).ok_or(ParseError::Empty { wanted: kind });
    }
    let gallon_per = match written {
        "gal" | "gals" | "gallon" | "gallons" => Some(""),
        "gal/h" | "gal/hr" | "gph" | "gallons per hour" | "gallons an hour" => Some("/h"),
        "gal/min" | "gpm" => Some("/min"),
        _ => None,
    };
    match gallon_per {
        Some(per) => Err(ParseError::BareGallon { number: number.to_owned(), per }),
        None if written.is_empty() => Err(ParseError::NoUnit { number: number.to_owned(), wanted: kind }),
        None => Err(match UNITS.iter().find(matches) {
            Some(other) => {
                ParseError::WrongKind { found: other.kind, wanted: kind, text: text.trim().to_owned() }
            }
            None => ParseError::UnknownUnit { unit: written.to_owned(), wanted: kind },
        }),
    }
}

/// Exactly three digits after a lone comma, and a whole part that could be thousands.
fn is_ambiguous(word: &str) -> bool {
    word.split_once(',').is_some_and(|(whole, rest)| {
        rest.len() == 3
            && rest.bytes().all(|b| b.is_ascii_digit())
            && (1..=3).contains(&whole.len())
            && !whole.starts_with('0')
            && whole.bytes().all(|b| b.is_ascii_digit())
    })
}

/// Digits with at most one point; no exponents, no `inf`, no `nan`.
fn decimal(word: &str) -> Option<f64> {
    let plain =
        word.bytes().all(|b| b.is_ascii_digit() || b == b'.') && word.bytes().any(|b| b.is_ascii_digit());
    if plain { word.parse().ok() } else { None }
}

/// `"17½"` becomes `"17 1/2"`.
fn spaced_fractions(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 4);
    for c in text.chars() {
        match c {
            '½' => out.push_str(" 1/2"),
            '¼' => out.push_str(" 1/4"),
            '¾' => out.push_str(" 3/4"),
            '⅛' => out.push_str(" 1/8"),
            '⅜' => out.push_str(" 3/8"),
            '⅝' => out.push_str(" 5/8"),
            '⅞' => out.push_str(" 7/8"),
            other => out.push(other),
        }
    }
    out
}
