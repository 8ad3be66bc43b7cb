//! Claims without digits: a sentence says "more than half", and the condition beside it holds the words to
//! the figures.
//!
//! A condition compares two expressions of figures, numbers, `+ - * /` and brackets: `flow.buy > flow.aim`,
//! `tank.water < 0.9 * tank.outside`. The ends of a range are `flow.later.low` and `flow.later.high`. `about`
//! means within a tenth.

use reckoner_calc::check::figure_value;
use reckoner_calc::document::did_you_mean;
use reckoner_calc::sheet::Sheet;

/// What a sheet says to a condition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Answer {
    /// It is so.
    Holds,
    /// It is not so.
    Fails,
    /// The tank lacks this figure, so nobody can ask.
    Lacks(String),
}

/// Whether a condition holds.
///
/// # Errors
/// A condition that can not be read: what is wrong in the first line, what would be right in the next.
pub fn holds(condition: &str, sheet: &Sheet) -> Result<Answer, String> {
    let names = condition.split(|c| !in_name(c)).filter(|name| name.starts_with(char::is_alphabetic));
    let lacking = names.into_iter().find(|name| {
        figure_value(sheet, name).is_none() && sheet.figure(name).is_none() && sheet.lacking(name).is_some()
    });
    if let Some(lacking) = lacking {
        return Ok(Answer::Lacks(lacking.to_owned()));
    }
    const SIGNS: [&str; 5] = ["<=", ">=", "<", ">", " about "];
    let Some((at, sign)) = SIGNS.iter().find_map(|sign| condition.find(sign).map(|at| (at, *sign))) else {
        return Err("a condition compares two sides\nwrite one of < > <= >= or about between them".to_owned());
    };
    let (left, right) = (side(&condition[..at], sheet)?, side(&condition[at + sign.len()..], sheet)?);
    if let (Some(left), Some(right)) = (left.unit, right.unit)
        && left != right
    {
        return Err(format!("the sides are in {left} and {right}\ncompare like with like"));
    }
    let (left, right) = (left.value, right.value);
    let is_so = match sign {
        "<=" => left <= right,
        ">=" => left >= right,
        "<" => left < right,
        ">" => left > right,
        _ => (left - right).abs() <= 0.1 * right.abs(),
    };
    Ok(if is_so { Answer::Holds } else { Answer::Fails })
}

/// Whether a character can be in the id of a figure or in a number.
fn in_name(c: char) -> bool {
    c.is_alphanumeric() || matches!(c, '_' | '.')
}

/// A value, with its SI unit as long as only like was added to like or scaled by numbers.
#[derive(Clone, Copy)]
struct Term {
    value: f64,
    unit: Option<&'static str>,
}

fn side(text: &str, sheet: &Sheet) -> Result<Term, String> {
    let mut reader = Reader { rest: text.trim(), sheet };
    let value = reader.sum()?;
    if reader.rest.is_empty() {
        Ok(value)
    } else {
        Err(format!("`{}` can not be read here\nwrite + - * / between figures and numbers", reader.rest))
    }
}

struct Reader<'c> {
    rest: &'c str,
    sheet: &'c Sheet,
}

impl Reader<'_> {
    fn sum(&mut self) -> Result<Term, String> {
        let mut total = self.product()?;
        while let Some(sign) = self.eat(&['+', '-']) {
            let next = self.product()?;
            if total.unit != next.unit {
                return Err(
                    "only like can be added to like\ncheck the figures on both sides of + and -".to_owned()
                );
            }
            total.value += if sign == '+' { next.value } else { -next.value };
        }
        Ok(total)
    }

    fn product(&mut self) -> Result<Term, String> {
        let mut total = self.operand()?;
        while let Some(sign) = self.eat(&['*', '/']) {
            let next = self.operand()?;
            total = match (sign, total.unit, next.unit) {
                ('*', unit, None) | ('*', None, unit) => Term { value: total.value * next.value, unit },
                ('/', unit, None) => Term { value: total.value / next.value, unit },
                ('/', left, right) if left == right => Term { value: total.value / next.value, unit: None },
                _ => {
                    return Err(
                        "two quantities can not be multiplied here\nscale them by plain numbers only"
                            .to_owned(),
                    );
                }
            };
        }
        Ok(total)
    }

    fn operand(&mut self) -> Result<Term, String> {
        if self.eat(&['(']).is_some() {
            let value = self.sum()?;
            return if self.eat(&[')']).is_some() {
                Ok(value)
            } else {
                Err("a bracket is not closed\nwrite )".to_owned())
            };
        }
        let end = self.rest.find(|c| !in_name(c)).unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        self.rest = rest.trim_start();
        if let Ok(value) = word.parse() {
            return Ok(Term { value, unit: None });
        }
        match figure_value(self.sheet, word) {
            Some(quantity) => Ok(Term {
                value: quantity.si,
                unit: Some(quantity.kind.si_unit()).filter(|unit| *unit != "1"),
            }),
            None => {
                let ids: Vec<_> = self.sheet.figures().iter().map(|figure| figure.id.as_str()).collect();
                let hint = match self.sheet.figure(word) {
                    Some(_) => "a range needs its end: add .low or .high".to_owned(),
                    None => did_you_mean(word, &ids)
                        .unwrap_or_else(|| "`reckoner sheet TANK` lists the figures of a tank".to_owned()),
                };
                Err(format!("there is no figure `{word}` with one value\n{hint}"))
            }
        }
    }

    fn eat(&mut self, wanted: &[char]) -> Option<char> {
        let first = self.rest.chars().next().filter(|first| wanted.contains(first))?;
        self.rest = self.rest[first.len_utf8()..].trim_start();
        Some(first)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use reckoner_calc::{Rules, Tank};

    fn check(condition: &str) -> Result<Answer, String> {
        let tank = r#"
            name = "Test"
            glass = { shape = "box", length = "100 cm", width = "50 cm", height = "50 cm", pane = "10 mm" }
            livestock = { now = "soft" }"#;
        let sheet = Sheet::reckon(
            &Rules::compiled_in().unwrap(),
            &reckoner_calc::Catalogue::empty(),
            &Tank::read("test", tank, &Rules::compiled_in().unwrap()).unwrap(),
        )
        .unwrap();
        holds(condition, &sheet)
    }

    #[test]
    fn figures_are_held_to_the_words() {
        assert_eq!(check("tank.length about 2 * tank.width"), Ok(Answer::Holds));
        assert_eq!(check("tank.length > 2 * tank.width"), Ok(Answer::Fails));
        assert_eq!(check("tank.gross < tank.outside"), Ok(Answer::Holds));
        assert_eq!(check("flow.now.high >= 1.9 * flow.now.low"), Ok(Answer::Holds));
        assert_eq!(check("(tank.outside - tank.gross) / tank.outside < 0.1"), Ok(Answer::Holds));
    }

    #[test]
    fn what_the_tank_lacks_is_not_asked() {
        assert_eq!(check("return_line.flow > 1"), Ok(Answer::Lacks("return_line.flow".to_owned())));
        assert_eq!(
            check("1 < return_line.flow_range.low"),
            Ok(Answer::Lacks("return_line.flow_range.low".to_owned()))
        );
    }

    #[test]
    fn what_can_not_be_compared_says_why() {
        for (condition, part) in [
            ("tank.length > tank.water", "in m and m3"),
            ("tank.length", "compares two sides"),
            ("tank.lenght > 1", "did you mean `tank.length`"),
            ("flow.now > 1", "add .low or .high"),
            ("tank.length * tank.width > 1", "can not be multiplied"),
            ("(tank.length > 1", "not closed"),
            ("tank.length tank.width > 1", "can not be read here"),
        ] {
            let error = check(condition).unwrap_err();
            assert!(error.contains(part), "{condition}: {error}");
        }
    }
}
