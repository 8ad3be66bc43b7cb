//! Figures, tables, worked examples and cautions as HTML, or as plain Markdown for renderers that know none.
//!
//! Everything is one line without a blank one, because Markdown would end the HTML there.

use reckoner_calc::quantity::{Quantity, Rounding, Shown, System};
use reckoner_calc::sheet::{ASSUMED, Cell, Figure, Op, Sheet, Sum, Table, Value, Working};
use svg::node::element::SVG;

use crate::text::{escaped, without_marks};

/// What the pages are made for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Medium {
    /// HTML, with both readings of every figure marked up.
    Html,
    /// Plain Markdown: the same words.
    Markdown,
}

/// So many characters stand in one line of a cell.
const SHORT: usize = 14;

impl Medium {
    /// The medium of mdBook's renderer of the given name.
    pub fn of_renderer(renderer: &str) -> Self {
        if renderer == "html" { Medium::Html } else { Medium::Markdown }
    }

    /// Words from a file, in a block of this medium.
    fn words(self, text: &str) -> String {
        if self == Medium::Html { escape(text) } else { escaped(text) }
    }

    /// A figure in a sentence: its value in metric, then in US units.
    ///
    /// HTML carries the figure's id and its SI value, so that a program can read what a person reads. `prefix` is the sheet's, and
    /// `line` leads to the figure's line in the ledger, where the book has one.
    pub fn figure(self, figure: &Figure, prefix: &str, line: Option<&str>) -> String {
        let (Medium::Html, Some(shown)) = (self, figure.shown()) else { return escaped(&figure.text()) };
        let (value, unit) = match &figure.value {
            Value::One(value) => (number(*value), value.kind.si_unit()),
            Value::Range(low, high) => (format!("{}/{}", number(*low), number(*high)), high.kind.si_unit()),
            Value::Words(_) => return escaped(&figure.text()),
        };
        let (id, title) = (escape(&format!("{prefix}{}", figure.id)), escape(&figure.title));
        let data = format!(
            "<data class=\"figure\" value=\"{value}\" data-unit=\"{unit}\" data-figure=\"{id}\" title=\"{title}\">{}</data>",
            readings(&shown)
        );
        let assumed = if figure.assumed { format!("<span class=\"assumed\">{ASSUMED}</span>") } else { String::new() };
        match line {
            Some(line) => format!("<a class=\"to-ledger\" href=\"{}\">{data}</a>{assumed}", escape(line)),
            None => data + &assumed,
        }
    }

    /// A table with its caption; `place` makes its id unique in the book.
    pub fn table(self, table: &Table, place: &str) -> String {
        match self {
            Medium::Html => self.html_table(table, place),
            Medium::Markdown => self.markdown_table(table),
        }
    }

    fn html_table(self, table: &Table, place: &str) -> String {
        let id = format!("{place}-{}", table.id);
        let mut out = format!(
            "<div class=\"table-wrapper\" role=\"region\" tabindex=\"0\" aria-labelledby=\"{id}\"><table class=\"reckoned\"><caption id=\"{id}\">{}</caption><thead><tr>",
            escape(&table.caption)
        );
        for head in &table.heads {
            out.push_str(&format!("<th scope=\"col\">{}</th>", escape(head)));
        }
        out.push_str("</tr></thead><tbody>");
        for row in &table.rows {
            out.push_str(&format!("<tr><th scope=\"row\">{}</th>", self.cell(&row.head)));
            for cell in &row.cells {
                // Other words keep room for a few of them in a line.
                let is_short = matches!(cell, Cell::Words(words) if words.chars().count() <= SHORT);
                out.push_str(&format!("<td{}>{}</td>", if is_short { " class=\"short\"" } else { "" }, self.cell(cell)));
            }
            out.push_str("</tr>");
        }
        out.push_str("</tbody></table></div>");
        out
    }

    fn markdown_table(self, table: &Table) -> String {
        let heads: Vec<_> = table.heads.iter().map(|head| escaped(head)).collect();
        let mut out = format!("**{}**\n\n| {} |\n|{}\n", escaped(&table.caption), heads.join(" | "), " --- |".repeat(heads.len()));
        for row in &table.rows {
            let cells: Vec<_> = std::iter::once(&row.head).chain(&row.cells).map(|cell| self.cell(cell)).collect();
            out.push_str(&format!("| {} |\n", cells.join(" | ")));
        }
        out
    }

    fn cell(self, cell: &Cell) -> String {
        match cell {
            Cell::Figure(figure) => self.figure(figure, "", None),
            Cell::Words(words) => self.words(words),
        }
    }

    /// A worked example: given, formula, working, answer, how to tell.
    pub fn working(self, working: &Working, sheet: &Sheet) -> String {
        let figure = |id: &str| sheet.figure(id).map_or_else(String::new, |figure| self.figure(figure, "", None));
        let title = |id: &str| sheet.figure(id).map_or("", |figure| figure.title.as_str());
        let given: Vec<_> = working.given.iter().map(|id| (self.words(title(id)), figure(id))).collect();
        let sums: Vec<_> = working.sums.iter().map(|sum| (system_class(sum.system), sum_text(sum))).collect();
        let note = sheet.figure(working.answer).map_or_else(String::new, |figure| note(working, figure, self));
        let answer = format!("{}: {}{note}", self.words(title(working.answer)), figure(working.answer));
        if self == Medium::Markdown {
            let given: String = given.iter().map(|(title, figure)| format!("- Given: {title}, {figure}\n")).collect();
            let sums: String = sums.iter().map(|(_, sum)| format!("- Working: {sum}\n")).collect();
            return format!(
                "**{}**\n\n{given}- Formula: {}\n{sums}- Answer: {answer}\n- How to tell: {}\n",
                working.title, working.formula, working.tell
            );
        }
        let given: String = given.iter().map(|(title, figure)| format!("<li>{title}: {figure}</li>")).collect();
        let sums: String = sums.iter().map(|(class, sum)| format!("<p class=\"sum {class}\">{sum}</p>")).collect();
        format!(
            "<section class=\"working\"><p class=\"working-title\">{}</p><dl><dt>Given</dt><dd><ul>{given}</ul></dd><dt>Formula</dt><dd class=\"formula\">{}</dd><dt>Working</dt><dd>{sums}</dd><dt>Answer</dt><dd>{answer}</dd><dt>How to tell</dt><dd>{}</dd></dl></section>",
            escape(working.title),
            math(title(working.answer), working.formula),
            escape(working.tell)
        )
    }

    /// A caution: its signal word, the hazard, what it does, and how to avoid it.
    pub fn caution(self, word: SignalWord, hazard: &str, consequence: &str, avoid: &str) -> String {
        let (hazard, consequence, avoid) = (self.words(hazard), self.words(consequence), self.words(avoid));
        if self == Medium::Markdown {
            return format!("**{}: {hazard}** {consequence} {avoid}", word.text());
        }
        // The triangle stands only with words that mean injury (ISO 3864-2, ANSI Z535.6).
        let triangle = if word == SignalWord::Notice {
            ""
        } else {
            "<svg viewBox=\"0 0 24 24\" width=\"20\" height=\"20\" aria-hidden=\"true\" focusable=\"false\"><path d=\"M12 2 1 22h22z\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"2\" stroke-linejoin=\"round\"/><path d=\"M12 9v6m0 2v2\" stroke=\"currentColor\" stroke-width=\"2\"/></svg>"
        };
        format!(
            "<div class=\"caution caution-{}\" role=\"note\"><p class=\"signal\">{triangle}<span>{}</span></p><p><strong>{hazard}</strong> {consequence}</p><p>{avoid}</p></div>",
            word.key(),
            word.text()
        )
    }
}

/// The signal words of ISO 3864-2 and ANSI Z535.6, by what they mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SignalWord {
    /// Will kill or badly injure unless avoided.
    Danger,
    /// Could kill or badly injure.
    Warning,
    /// Could injure lightly.
    Caution,
    /// No injury: harm to things or animals.
    Notice,
}

impl SignalWord {
    /// All of them, the gravest first.
    pub const ALL: [SignalWord; 4] = [SignalWord::Danger, SignalWord::Warning, SignalWord::Caution, SignalWord::Notice];

    /// As an author writes it.
    pub fn key(self) -> &'static str {
        match self {
            SignalWord::Danger => "danger",
            SignalWord::Warning => "warning",
            SignalWord::Caution => "caution",
            SignalWord::Notice => "notice",
        }
    }

    /// As it is printed.
    pub fn text(self) -> &'static str {
        match self {
            SignalWord::Danger => "DANGER",
            SignalWord::Warning => "WARNING",
            SignalWord::Caution => "CAUTION",
            SignalWord::Notice => "NOTICE",
        }
    }
}

/// Both readings, each in a span of its own, so that a reader can hide one; as text they read `171 L (45 US gal)`.
pub fn readings(shown: &Shown) -> String {
    let metric = shown.metric.to_string();
    match &shown.us {
        None => metric,
        Some(us) => format!(
            "<span class=\"metric\">{metric}</span><span class=\"both\"> (</span><span class=\"us\">{us}</span><span class=\"both\">)</span>"
        ),
    }
}

/// A sum as it is printed, with its answer.
pub(crate) fn sum_text(sum: &Sum) -> String {
    let mut out = String::new();
    for (op, item) in &sum.terms {
        if *op != Op::First {
            out.push_str(&format!(" {} ", op.sign()));
        }
        out.push_str(&item.reading.to_string());
    }
    format!("{out} = {}", sum.answer.reading)
}

/// What stands behind an answer: to which side it was rounded, and where the printed digits of its sum come to another value.
fn note(working: &Working, figure: &Figure, medium: Medium) -> String {
    // A sum says more digits than anybody can use.
    let reads = |sum: &Sum| figure.shown().is_none_or(|shown| *shown.in_system(sum.system) == sum.answer.reading);
    let side = match figure.rounding {
        Rounding::Nearest if working.sums.iter().all(reads) => "",
        Rounding::Nearest => ", rounded",
        Rounding::Up => ", rounded up",
        Rounding::Down => ", rounded down",
    };
    let differs = |system| working.sums.iter().any(|sum| sum.system == system && sum.differs(figure));
    let is_in_both = working.sums.iter().any(|sum| sum.system == System::Us);
    let (words, class) = match (differs(System::Metric), differs(System::Us)) {
        (false, false) => return side.to_owned(),
        (true, false) if is_in_both => (" in metric units", Some(System::Metric)),
        (true, _) => ("", None),
        (false, true) => (" in US units", Some(System::Us)),
    };
    let digits = format!(". It was reckoned with all digits, the sum with the printed ones, so their last digits differ{words}");
    match class {
        // Who reads one system only is not told of the other.
        Some(system) if medium == Medium::Html => format!("{side}<span class=\"{}\">{digits}</span>", system_class(system)),
        _ => format!("{side}{digits}"),
    }
}

/// A formula in words and signs as MathML: `volume × turnover`.
fn math(answer: &str, formula: &str) -> String {
    let mut parts = vec![format!("<mtext>{}</mtext><mo>=</mo>", escape(&answer.to_lowercase()))];
    let mut words: Vec<&str> = Vec::new();
    let flush = |words: &mut Vec<&str>, parts: &mut Vec<String>| {
        if !words.is_empty() {
            let text = words.join(" ");
            let element = if text.chars().all(|c| c.is_ascii_digit() || c == '.') { "mn" } else { "mtext" };
            parts.push(format!("<{element}>{}</{element}>", escape(&text)));
            words.clear();
        }
    };
    let spaced = formula.replace('(', " ( ").replace(')', " ) ");
    for word in spaced.split_whitespace() {
        if ["×", "÷", "+", "−", "=", "(", ")"].contains(&word) {
            flush(&mut words, &mut parts);
            parts.push(format!("<mo>{word}</mo>"));
        } else {
            words.push(word);
        }
    }
    flush(&mut words, &mut parts);
    format!("<math>{}</math>", parts.concat())
}

fn system_class(system: System) -> &'static str {
    match system {
        System::Metric => "metric",
        System::Us => "us",
    }
}

/// The plain SI number with all its digits, for the `value` attribute.
fn number(quantity: Quantity) -> String {
    format!("{}", quantity.si)
}

/// Text as HTML.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in without_marks(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // mdBook looks for its directives after us.
            '{' => out.push_str("&#123;"),
            '}' => out.push_str("&#125;"),
            _ => out.push(c),
        }
    }
    out
}

/// A drawing on one line, with nothing in it that mdBook would take for a directive: it looks for them after us.
pub(crate) fn on_one_line(drawing: &SVG) -> String {
    drawing.to_string().replace('\n', "").replace('{', "&#123;").replace('}', "&#125;")
}

#[cfg(test)]
mod tests {
    use super::*;
    use reckoner_calc::{Catalogue, Rules, Tank};

    #[test]
    fn a_value_that_the_tank_file_leaves_out_says_so_behind_it() {
        let rules = Rules::compiled_in().unwrap();
        let text = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n\
                    [livestock]\nnow = \"soft\"\n[home]\nbreaker = \"16 A\"\n";
        let sheet = Sheet::reckon(&rules, &Catalogue::empty(), &Tank::read("t.toml", text, &rules).unwrap()).unwrap();
        let figure = |medium: Medium, id: &str| medium.figure(sheet.figure(id).unwrap(), "", None);
        assert!(figure(Medium::Html, "circuit.voltage").ends_with("120\u{a0}V</data><span class=\"assumed\">, assumed</span>"));
        assert_eq!(figure(Medium::Markdown, "circuit.voltage"), "120\u{a0}V, assumed");
        assert!(figure(Medium::Html, "circuit.breaker").ends_with("16\u{a0}A</data>"));
        assert_eq!(figure(Medium::Markdown, "circuit.breaker"), "16\u{a0}A");
        assert_eq!(figure(Medium::Html, "sound.room"), "one with little cloth, assumed");
    }

    #[test]
    fn an_answer_that_is_not_its_sum_to_the_digit_says_why() {
        let rules = Rules::compiled_in().unwrap();
        let text = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"91 cm\"\nwidth = \"46 cm\"\nheight = \"47 cm\"\npane = \"8 mm\"\n\
                    [livestock]\nnow = \"soft\"\n";
        let sheet = Sheet::reckon(&rules, &Catalogue::empty(), &Tank::read("t.toml", text, &rules).unwrap()).unwrap();
        let (mut told, mut plain) = (0, 0);
        for working in sheet.workings.values() {
            let figure = sheet.figure(working.answer).unwrap();
            let Some(shown) = figure.shown() else { continue };
            let printed = note(working, figure, Medium::Markdown);
            if working.sums.iter().all(|sum| *shown.in_system(sum.system) == sum.answer.reading) {
                plain += 1;
                assert!(figure.rounding != Rounding::Nearest || printed.is_empty(), "{}: {printed}", working.id);
            } else {
                told += 1;
                assert!(printed.starts_with(", rounded"), "{}: {printed}", working.id);
            }
        }
        assert!(told > 3 && plain > 0, "{told} told, {plain} plain");
    }
}
