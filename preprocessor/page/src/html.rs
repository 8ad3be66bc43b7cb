//! Figures, tables, worked examples and cautions as HTML, or as plain Markdown for renderers that know none.
//!
//! Everything is one line without a blank one, because Markdown would end the HTML there.

use maud::{Markup, PreEscaped, html};
use reckoner_calc::quantity::{Quantity, Rounding, Shown, System};
use reckoner_calc::rules::Trust;
use reckoner_calc::sheet::{ASSUMED, Cell, Figure, Op, Sheet, Sum, Table, Value, Working};
use svg::node::element::SVG;

use crate::systems;
use crate::text::{MARK, escaped};

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

    /// A figure in a sentence: its value in metric, then in US units.
    ///
    /// HTML carries the figure's id and its SI value, so that a program can read what a person reads.
    /// `prefix` is the sheet's, and `line` leads to the figure's line in the ledger, where the book has one.
    pub fn figure(self, figure: &Figure, prefix: &str, line: Option<&str>) -> String {
        match self {
            Medium::Html => written(&figure_markup(figure, prefix, line)),
            Medium::Markdown => escaped(&figure.text()),
        }
    }

    /// A table with its caption; `place` makes its id unique in the book.
    pub fn table(self, table: &Table, place: &str) -> String {
        match self {
            Medium::Html => written(&table_markup(table, place)),
            Medium::Markdown => self.markdown_table(table),
        }
    }

    fn markdown_table(self, table: &Table) -> String {
        let heads: Vec<_> = table.heads.iter().map(|head| escaped(head)).collect();
        let mut out = format!(
            "**{}**\n\n| {} |\n|{}\n",
            escaped(&table.caption),
            heads.join(" | "),
            " --- |".repeat(heads.len())
        );
        for row in &table.rows {
            let cells: Vec<_> = std::iter::once(&row.head).chain(&row.cells).map(markdown_cell).collect();
            out.push_str(&format!("| {} |\n", cells.join(" | ")));
        }
        out
    }

    /// A worked example: given, formula, working, answer, how to tell.
    pub fn working(self, working: &Working, sheet: &Sheet) -> String {
        match self {
            Medium::Html => written(&working_markup(working, sheet)),
            Medium::Markdown => markdown_working(working, sheet),
        }
    }

    /// A caution: its signal word, the hazard, what it does, and how to avoid it.
    pub fn caution(self, word: SignalWord, hazard: &str, consequence: &str, avoid: &str) -> String {
        if self == Medium::Markdown {
            let [hazard, consequence, avoid] = [hazard, consequence, avoid].map(escaped);
            return format!("**{}: {hazard}** {consequence} {avoid}", word.text());
        }
        written(&html! {
            div class={ "caution caution-" (word.key()) } role="note" {
                p class="signal" {
                    // The triangle stands only with words that mean injury (ISO 3864-2, ANSI Z535.6).
                    @if word != SignalWord::Notice { (triangle()) }
                    span { (word.text()) }
                }
                p { strong { (hazard) } " " (consequence) }
                p { (avoid) }
            }
        })
    }
}

fn triangle() -> Markup {
    html! {
        svg viewBox="0 0 24 24" width="20" height="20" aria-hidden="true" focusable="false" {
            path d="M12 2 1 22h22z" fill="none" stroke="currentColor" stroke-width="2" stroke-linejoin="round" {}
            path d="M12 9v6m0 2v2" stroke="currentColor" stroke-width="2" {}
        }
    }
}

fn figure_markup(figure: &Figure, prefix: &str, line: Option<&str>) -> Markup {
    let words = || systems::words(&figure.text(), &escaped);
    let Some(shown) = figure.shown() else { return words() };
    let (value, unit) = match &figure.value {
        Value::One(value) => (number(*value), value.kind.si_unit()),
        Value::Range(low, high) => (format!("{}/{}", number(*low), number(*high)), high.kind.si_unit()),
        Value::Words(_) => return words(),
    };
    let basis = figure.trust.map(Trust::word);
    let data = html! {
        data class="figure" value=(value) data-unit=(unit) data-figure={ (prefix) (figure.id) } data-basis=[basis] title=(figure.title) {
            (readings(&shown))
        }
    };
    html! {
        @match line {
            Some(line) => a class="to-ledger" href=(line) { (data) },
            None => (data),
        }
        @if figure.assumed { span class="assumed" { (ASSUMED) } }
    }
}

/// A table that scrolls on a narrow screen, with its caption and the heads of its columns.
///
/// - `class`: what sort of table it is
/// - `id`: that of its caption, once in a page
pub fn scrolling(class: &str, id: &str, caption: &str, heads: &[impl AsRef<str>], rows: &Markup) -> Markup {
    html! {
        div class="table-wrapper" role="region" tabindex="0" aria-labelledby=(id) {
            table class=(class) {
                caption id=(id) { (said(caption)) }
                thead { tr { @for head in heads { th scope="col" { (said(head.as_ref())) } } } }
                tbody { (rows) }
            }
        }
    }
}

fn table_markup(table: &Table, place: &str) -> Markup {
    // Other words keep room for a few of them in a line.
    let is_short = |cell: &Cell| matches!(cell, Cell::Words(words) if words.chars().count() <= SHORT);
    let rows = html! {
        @for row in &table.rows {
            tr {
                th scope="row" { (cell_markup(&row.head)) }
                @for cell in &row.cells {
                    td class=[is_short(cell).then_some("short")] { (cell_markup(cell)) }
                }
            }
        }
    };
    scrolling("reckoned", &format!("{place}-{}", table.id), &table.caption, &table.heads, &rows)
}

fn cell_markup(cell: &Cell) -> Markup {
    match cell {
        Cell::Figure(figure) => figure_markup(figure, "", None),
        Cell::Words(words) => said(words),
    }
}

/// Words in which both readings of a value can be hidden by themselves.
fn said(words: &str) -> Markup {
    systems::words(words, &|text| html! { (text) }.into_string())
}

fn markdown_cell(cell: &Cell) -> String {
    match cell {
        Cell::Figure(figure) => escaped(&figure.text()),
        Cell::Words(words) => escaped(words),
    }
}

fn title_of<'s>(id: &str, sheet: &'s Sheet) -> &'s str {
    sheet.any_figure(id).map_or("", |figure| figure.title.as_str())
}

fn working_markup(working: &Working, sheet: &Sheet) -> Markup {
    let figure = |id: &str| sheet.any_figure(id).map(|figure| figure_markup(figure, "", None));
    html! {
        section class="working" {
            p class="working-title" { (working.title) }
            dl {
                dt { "Given" }
                dd { ul { @for id in &working.given { li { (title_of(id, sheet)) ": " (figure(id).unwrap_or_default()) } } } }
                dt { "Formula" }
                dd class="formula" { (math(title_of(working.answer, sheet), working.formula)) }
                dt { "Working" }
                dd { @for sum in &working.sums { p class={ "sum " (system_class(sum.system)) } { (sum_text(sum)) } } }
                dt { "Answer" }
                dd {
                    (title_of(working.answer, sheet)) ": " (figure(working.answer).unwrap_or_default())
                    @if let Some(answer) = sheet.figure(working.answer) { (note_markup(&note(working, answer))) }
                }
                dt { "How to tell" }
                dd { (working.tell) }
            }
        }
    }
}

fn markdown_working(working: &Working, sheet: &Sheet) -> String {
    let figure = |id: &str| sheet.any_figure(id).map_or_else(String::new, |figure| escaped(&figure.text()));
    let given: String = working
        .given
        .iter()
        .map(|id| format!("- Given: {}, {}\n", escaped(title_of(id, sheet)), figure(id)))
        .collect();
    let sums: String = working.sums.iter().map(|sum| format!("- Working: {}\n", sum_text(sum))).collect();
    let note = sheet.figure(working.answer).map_or_else(String::new, |answer| note(working, answer).text());
    let answer = format!("{}: {}{note}", escaped(title_of(working.answer, sheet)), figure(working.answer));
    let (title, tell) = (escaped(&working.title), escaped(&working.tell));
    format!(
        "**{title}**\n\n{given}- Formula: {}\n{sums}- Answer: {answer}\n- How to tell: {tell}\n",
        working.formula
    )
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
    pub const ALL: [SignalWord; 4] =
        [SignalWord::Danger, SignalWord::Warning, SignalWord::Caution, SignalWord::Notice];

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

/// Both readings, each in a span of its own, so that a reader can hide one; as text they read
/// `171 L (45 US gal)`.
pub fn readings(shown: &Shown) -> Markup {
    let metric = shown.metric.to_string();
    html! {
        @match &shown.us {
            None => (metric),
            Some(us) => {
                (systems::both(&html! { (metric) }, &html! { (us.to_string()) }))
            }
        }
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

/// What stands behind an answer.
struct Note {
    /// To which side it was rounded.
    side: &'static str,
    /// That the printed digits of its sum come to another value; and for whom, where only one system's do.
    digits: Option<(String, Option<System>)>,
}

impl Note {
    fn text(&self) -> String {
        let digits = self.digits.as_ref().map_or("", |(digits, _)| digits);
        format!("{}{digits}", self.side)
    }
}

fn note(working: &Working, figure: &Figure) -> Note {
    // A sum says more digits than anybody can use.
    let reads =
        |sum: &Sum| figure.shown().is_none_or(|shown| *shown.in_system(sum.system) == sum.answer.reading);
    let side = match figure.rounding {
        Rounding::Nearest if working.sums.iter().all(reads) => "",
        Rounding::Nearest => ", rounded",
        Rounding::Up => ", rounded up",
        Rounding::Down => ", rounded down",
    };
    let differs = |system| working.sums.iter().any(|sum| sum.system == system && sum.differs(figure));
    let is_in_both = working.sums.iter().any(|sum| sum.system == System::Us);
    let (words, system) = match (differs(System::Metric), differs(System::Us)) {
        (false, false) => return Note { side, digits: None },
        (true, false) if is_in_both => (" in metric units", Some(System::Metric)),
        (true, _) => ("", None),
        (false, true) => (" in US units", Some(System::Us)),
    };
    let why = "It was reckoned with all digits, the sum with the printed ones, so their last digits differ";
    Note { side, digits: Some((format!(". {why}{words}"), system)) }
}

fn note_markup(note: &Note) -> Markup {
    html! {
        (note.side)
        @match &note.digits {
            None => {},
            Some((digits, None)) => (digits),
            // Who reads one system only is not told of the other.
            Some((digits, Some(system))) => span class=(system_class(*system)) { (digits) },
        }
    }
}

/// A formula in words and signs as MathML: `volume × turnover`.
pub(crate) fn math(answer: &str, formula: &str) -> Markup {
    let mut parts: Vec<(bool, String)> = Vec::new();
    for word in formula.replace('(', " ( ").replace(')', " ) ").split_whitespace() {
        let is_sign = ["×", "÷", "+", "−", "=", "(", ")"].contains(&word);
        match parts.last_mut() {
            Some((false, words)) if !is_sign => {
                words.push(' ');
                words.push_str(word);
            }
            _ => parts.push((is_sign, word.to_owned())),
        }
    }
    let is_number = |text: &str| text.chars().all(|c| c.is_ascii_digit() || c == '.');
    html! {
        math {
            mtext { (answer.to_ascii_lowercase()) }
            mo { "=" }
            @for (is_sign, text) in &parts {
                @if *is_sign { mo { (text) } } @else if is_number(text) { mn { (text) } } @else { mtext { (text) } }
            }
        }
    }
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

/// Markup as a page takes it: on one line, and with nothing in it that mdBook would take for a directive,
/// since it looks for them after us; nor anything that would end the cell of a table, or that this program
/// would take for a mark of its own.
pub fn written(markup: &Markup) -> String {
    let html = &markup.0;
    let mut out = String::with_capacity(html.len());
    let mut plain = 0;
    for (at, byte) in html.bytes().enumerate() {
        let instead = match byte {
            b'\n' | b'\r' => " ",
            b'{' => "&#123;",
            b'}' => "&#125;",
            b'|' => "&#124;",
            byte if char::from(byte) == MARK => "\u{fffd}",
            _ => continue,
        };
        out.push_str(&html[plain..at]);
        out.push_str(instead);
        plain = at + 1;
    }
    out + &html[plain..]
}

/// A drawing that is moved sideways on a screen too narrow for its letters.
pub(crate) fn framed(drawing: &SVG, title: &str) -> Markup {
    html! { div class="drawing" role="group" tabindex="0" aria-label=(title) { (drawn(drawing)) } }
}

/// A drawing as markup.
pub(crate) fn drawn(drawing: &SVG) -> Markup {
    PreEscaped(drawing.to_string().replace('\n', ""))
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
        let sheet =
            Sheet::reckon(&rules, &Catalogue::empty(), &Tank::read("t.toml", text, &rules).unwrap()).unwrap();
        let figure = |medium: Medium, id: &str| medium.figure(sheet.figure(id).unwrap(), "", None);
        assert!(
            figure(Medium::Html, "circuit.voltage")
                .ends_with("120\u{a0}V</data><span class=\"assumed\">, assumed</span>")
        );
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
        let sheet =
            Sheet::reckon(&rules, &Catalogue::empty(), &Tank::read("t.toml", text, &rules).unwrap()).unwrap();
        let (mut told, mut plain) = (0, 0);
        for working in sheet.workings.values() {
            let figure = sheet.figure(working.answer).unwrap();
            let Some(shown) = figure.shown() else { continue };
            let printed = note(working, figure).text();
            if working.sums.iter().all(|sum| *shown.in_system(sum.system) == sum.answer.reading) {
                plain += 1;
                assert!(
                    figure.rounding != Rounding::Nearest || printed.is_empty(),
                    "{}: {printed}",
                    working.id
                );
            } else {
                told += 1;
                assert!(printed.starts_with(", rounded"), "{}: {printed}", working.id);
            }
        }
        assert!(told > 3 && plain > 0, "{told} told, {plain} plain");
    }
}
