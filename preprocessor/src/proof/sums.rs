//! Printed sums: works every `a × b = c` of a text again from its printed digits, as a reader with a pocket
//! calculator does.
//!
//! A sum may have several terms, the signs × · ÷ / + − %, brackets, and a unit after each number. The answer
//! must be right to its last printed digit.

/// A sum whose printed answer is not what its printed digits come to.
#[derive(Debug, Clone, PartialEq)]
pub struct WrongSum {
    /// The sum as printed.
    pub sum: String,
    /// What it comes to.
    pub comes_to: f64,
}

/// What was found in a text.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sums {
    /// How many sums were worked again.
    pub worked: usize,
    /// Those that are wrong.
    pub wrong: Vec<WrongSum>,
}

/// Works every sum of a text again.
pub fn work(text: &str) -> Sums {
    let tokens = tokens(text);
    let mut sums = Sums::default();
    for (at, token) in tokens.iter().enumerate() {
        if token.kind != Kind::Equals {
            continue;
        }
        let (Some(left), Some(answer)) = (expression_before(&tokens[..at]), tokens.get(at + 1)) else {
            continue;
        };
        let Kind::Number { value, last_place } = answer.kind else { continue };
        // A longer expression on the right is a step of a chain; the last step is worked from there.
        if tokens.get(at + 2).is_some_and(|next| is_operator(next.kind)) {
            continue;
        }
        let Some(comes_to) = evaluate(&tokens[left..at]) else { continue };
        sums.worked += 1;
        if (comes_to - value).abs() > 0.5 * last_place * (1.0 + 1e-9) {
            let sum = text[tokens[left].start..answer.end].to_owned();
            sums.wrong.push(WrongSum { sum, comes_to });
        }
    }
    sums
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Kind {
    /// A number and the value of one of its last printed digit.
    Number {
        value: f64,
        last_place: f64,
    },
    Sign(char),
    Open,
    Close,
    Equals,
    Unit,
    /// What no sum can go across.
    Stop,
}

#[derive(Debug, Clone, Copy)]
struct Token {
    kind: Kind,
    start: usize,
    end: usize,
}

fn is_operator(kind: Kind) -> bool {
    matches!(kind, Kind::Sign(_))
}

fn tokens(text: &str) -> Vec<Token> {
    let mut tokens: Vec<Token> = Vec::new();
    let mut chars = text.char_indices().peekable();
    while let Some((start, c)) = chars.next() {
        let mut end = start + c.len_utf8();
        let mut eat = |wanted: &dyn Fn(char) -> bool| {
            while let Some((at, next)) = chars.next_if(|(_, next)| wanted(*next)) {
                end = at + next.len_utf8();
            }
            end
        };
        let kind = if c.is_ascii_digit() {
            eat(&|next| next.is_ascii_digit() || next == '.' || next == ',');
            // A full stop or comma at the end belongs to the sentence.
            end = start + text[start..end].trim_end_matches(['.', ',']).len();
            number(&text[start..end])
        } else if c.is_whitespace() {
            continue;
        } else {
            match c {
                '×' | '·' | '÷' | '+' | '−' => Kind::Sign(c),
                '-' | '/' if tokens.last().is_some_and(|last| last.end < start) => Kind::Sign(c),
                '(' => Kind::Open,
                ')' => Kind::Close,
                '=' => Kind::Equals,
                '%' => {
                    if let Some(Token { kind: Kind::Number { value, last_place }, end: number_end, .. }) =
                        tokens.last_mut()
                    {
                        (*value, *last_place) = (*value / 100.0, *last_place / 100.0);
                        *number_end = end;
                    }
                    continue;
                }
                _ if c.is_alphabetic() || matches!(c, '°' | '³' | '²' | '\'' | '/') => {
                    eat(&|next| next.is_alphanumeric() || matches!(next, '/' | '³' | '²' | '°' | '-'));
                    Kind::Unit
                }
                _ => Kind::Stop,
            }
        };
        tokens.push(Token { kind, start, end });
    }
    tokens
}

fn number(digits: &str) -> Kind {
    let plain = digits.replace(',', "");
    let decimals = plain.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    match (plain.parse(), format!("1e-{decimals}").parse()) {
        (Ok(value), Ok(last_place)) => Kind::Number { value, last_place },
        _ => Kind::Stop,
    }
}

/// Where the expression that ends with the last token starts; `None` where there is none, or only a lone
/// number.
fn expression_before(tokens: &[Token]) -> Option<usize> {
    let mut at = tokens.len();
    let mut signs = 0;
    loop {
        at = operand_before(&tokens[..at])?;
        match at.checked_sub(1).map(|before| tokens[before].kind) {
            Some(Kind::Sign(_)) => {
                signs += 1;
                at -= 1;
            }
            _ => return (signs > 0).then_some(at),
        }
    }
}

/// Where the number or bracket that ends with the last token starts, its unit passed over.
fn operand_before(tokens: &[Token]) -> Option<usize> {
    const MOST_WORDS_IN_A_UNIT: usize = 5;
    let mut at = tokens.len();
    let mut words = 0;
    while at > 0 && tokens[at - 1].kind == Kind::Unit && words < MOST_WORDS_IN_A_UNIT {
        (at, words) = (at - 1, words + 1);
    }
    match tokens.get(at.checked_sub(1)?)?.kind {
        Kind::Number { .. } => Some(at - 1),
        Kind::Close => {
            let mut depth = 0;
            while at > 0 {
                at -= 1;
                match tokens[at].kind {
                    Kind::Close => depth += 1,
                    Kind::Open => depth -= 1,
                    _ => {}
                }
                if depth == 0 {
                    return Some(at);
                }
            }
            None
        }
        _ => None,
    }
}

/// × and ÷ before + and −, brackets first; `None` where it is no expression after all.
fn evaluate(tokens: &[Token]) -> Option<f64> {
    let mut parser = Parser { tokens, at: 0 };
    let value = parser.sum()?;
    (parser.at == tokens.len() && value.is_finite()).then_some(value)
}

struct Parser<'t> {
    tokens: &'t [Token],
    at: usize,
}

impl Parser<'_> {
    fn sum(&mut self) -> Option<f64> {
        let mut total = self.product()?;
        while let Some(sign) = self.sign(&['+', '−', '-']) {
            let next = self.product()?;
            total = if sign == '+' { total + next } else { total - next };
        }
        Some(total)
    }

    fn product(&mut self) -> Option<f64> {
        let mut total = self.operand()?;
        while let Some(sign) = self.sign(&['×', '·', '÷', '/']) {
            let next = self.operand()?;
            total = if matches!(sign, '×' | '·') { total * next } else { total / next };
        }
        Some(total)
    }

    fn operand(&mut self) -> Option<f64> {
        let value = match self.tokens.get(self.at)?.kind {
            Kind::Number { value, .. } => {
                self.at += 1;
                value
            }
            Kind::Open => {
                self.at += 1;
                let value = self.sum()?;
                if self.tokens.get(self.at)?.kind != Kind::Close {
                    return None;
                }
                self.at += 1;
                value
            }
            _ => return None,
        };
        while self.tokens.get(self.at).is_some_and(|token| token.kind == Kind::Unit) {
            self.at += 1;
        }
        Some(value)
    }

    fn sign(&mut self, wanted: &[char]) -> Option<char> {
        match self.tokens.get(self.at)?.kind {
            Kind::Sign(sign) if wanted.contains(&sign) => {
                self.at += 1;
                Some(sign)
            }
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wrong(text: &str) -> Vec<String> {
        work(text).wrong.into_iter().map(|wrong| wrong.sum).collect()
    }

    #[test]
    fn right_sums_pass() {
        for text in [
            "So 142 L × 30 times an hour = 4260 L/h.",
            "88.4 cm × 43.4 cm × 41.2 cm ÷ 1000 cm³/L = 158.1 L",
            "4250 L/h ÷ 80 % = 5313 L/h, a little more.",
            "1 − 20 % = 80 %",
            "2 × (3 + 4) = 14",
            "10 / 4 = 2.5; and 3 + 4 × 5 = 23.",
            "26,000 L/h + 1 L/h = 26,001 L/h",
            "1 ÷ 3 = 0.333",
        ] {
            assert_eq!(work(text), Sums { worked: text.matches('=').count(), wrong: vec![] }, "{text}");
        }
    }

    #[test]
    fn wrong_sums_are_named() {
        assert_eq!(wrong("So 142 L × 30 times an hour = 4250 L/h."), ["142 L × 30 times an hour = 4250"]);
        assert_eq!(wrong("1 ÷ 3 = 0.334"), ["1 ÷ 3 = 0.334"]);
        assert!((work("2 × 2 = 5").wrong[0].comes_to - 4.0).abs() < 1e-12);
        assert_eq!(wrong("Three pumps of 5 W: 3 × 5 W = 16 W"), ["3 × 5 W = 16"]);
    }

    #[test]
    fn what_is_no_sum_is_left_alone() {
        for text in
            ["Q = 5", "flow = volume × turnover", "10 to 20", "a = b × 2", "x × 2 = y", "= 5", "3 = 3"]
        {
            assert_eq!(work(text), Sums::default(), "{text}");
        }
    }
}
