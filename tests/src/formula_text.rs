//! Works the text of a formula, such as `flow ÷ (1 − lost)`, with the values of its names.

/// What the text comes to in SI; `None` where it is words, or names something that is not given.
///
/// Names are those of the inputs, with spaces for underscores. The signs are those of the book:
/// `+ − × ÷ ^ √ | ( )`, `π`, `ln`, `log₁₀`, `tanh`, `e^`, the powers `²` and `³`, and the fractions `½` and
/// `¼`. A number may be of hours.
pub fn work(text: &str, given: &[(&str, f64)]) -> Option<f64> {
    let mut names: Vec<(String, f64)> =
        given.iter().map(|(name, value)| (name.replace('_', " "), *value)).collect();
    names.push(("π".to_owned(), std::f64::consts::PI));
    // The longest first, so that "water height" is not read as "water".
    names.sort_by_key(|(name, _)| std::cmp::Reverse(name.len()));
    let mut reader = Reader { rest: text, names: &names };
    let value = reader.sum()?;
    reader.rest.trim().is_empty().then_some(value)
}

struct Reader<'t> {
    rest: &'t str,
    names: &'t [(String, f64)],
}

impl Reader<'_> {
    fn takes(&mut self, sign: &str) -> bool {
        let rest = self.rest.trim_start();
        let taken = rest.strip_prefix(sign);
        self.rest = taken.unwrap_or(rest);
        taken.is_some()
    }

    fn sum(&mut self) -> Option<f64> {
        let mut value = self.product()?;
        loop {
            if self.takes("+") {
                value += self.product()?;
            } else if self.takes("−") {
                value -= self.product()?;
            } else {
                return Some(value);
            }
        }
    }

    fn product(&mut self) -> Option<f64> {
        let mut value = self.power()?;
        loop {
            if self.takes("×") {
                value *= self.power()?;
            } else if self.takes("÷") {
                value /= self.power()?;
            } else {
                return Some(value);
            }
        }
    }

    fn power(&mut self) -> Option<f64> {
        if self.takes("−") {
            return Some(-self.power()?);
        }
        let mut value = self.atom()?;
        loop {
            if self.takes("²") {
                value *= value;
            } else if self.takes("³") {
                value = value * value * value;
            } else if self.takes("^") {
                value = libm::pow(value, if self.takes("¼") { 0.25 } else { self.power()? });
            } else {
                return Some(value);
            }
        }
    }

    fn atom(&mut self) -> Option<f64> {
        if self.takes("(") {
            let value = self.sum()?;
            return self.takes(")").then_some(value);
        }
        if self.takes("|") {
            let value = self.sum()?;
            return self.takes("|").then_some(value.abs());
        }
        for (sign, function) in [
            ("√", f64::sqrt as fn(f64) -> f64),
            ("ln", libm::log),
            ("log₁₀", libm::log10),
            ("tanh", libm::tanh),
            ("e^", libm::exp),
        ] {
            let before = self.rest;
            // A function, not the beginning of a name.
            if self.takes(sign) && (sign == "√" || sign == "e^" || self.rest.trim_start().starts_with('('))
            {
                return Some(function(self.atom()?));
            }
            self.rest = before;
        }
        for (sign, value) in [("½", 0.5), ("¼", 0.25)] {
            if self.takes(sign) {
                return Some(value);
            }
        }
        let rest = self.rest.trim_start();
        let named = self.names.iter().find(|(name, _)| {
            rest.strip_prefix(name.as_str()).is_some_and(|after| {
                !after.starts_with(|next: char| next.is_alphabetic() || next.is_ascii_digit() || next == '\'')
            })
        });
        if let Some((name, value)) = named {
            self.rest = &rest[name.len()..];
            return Some(*value);
        }
        let digits = rest.find(|sign: char| !sign.is_ascii_digit() && sign != '.').unwrap_or(rest.len());
        let value = rest[..digits].parse().ok()?;
        self.rest = &rest[digits..];
        // "10 log₁₀(number)": a number right before a function is multiplied with it.
        if self.rest.trim_start().starts_with("log₁₀") {
            return Some(value * self.atom()?);
        }
        Some(if self.takes("hours") { value * 3600.0 } else { value })
    }
}

#[cfg(test)]
mod tests {
    use super::work;

    #[test]
    fn a_text_is_worked_as_a_reader_would() {
        let given = [("flow", 8.0), ("lost", 0.2), ("water_height", 3.0), ("water", 2.0)];
        let near = |text: &str, wanted: f64| {
            let got = work(text, &given).unwrap_or_else(|| panic!("{text} is not read"));
            assert!((got - wanted).abs() < 1e-12, "{text} comes to {got}, not {wanted}");
        };
        near("flow ÷ (1 − lost)", 10.0);
        near("water height × water + flow", 14.0);
        near("flow − water × water height", 2.0);
        near("−ln(1 − lost) ÷ water", -libm::log(0.8) / 2.0);
        near("1 − e^(−water × lost)", 1.0 - libm::exp(-0.4));
        near("√(flow × water) ÷ 2", 2.0);
        near("½ × water² + |lost − 1|", 2.8);
        near("10 log₁₀(flow ÷ water)", 10.0 * libm::log10(4.0));
        near("(flow × water)^¼", 2.0);
        near("water × 24 hours", 172_800.0);
    }

    #[test]
    fn words_and_unknown_names_come_to_nothing() {
        for text in ["equation of state of seawater", "flow ÷ volume", "flow ÷", "Σ flow", "flowing × 2", ""]
        {
            assert_eq!(work(text, &[("flow", 1.0)]), None, "{text}");
        }
    }
}
