//! The page of a sheet. One for the printer holds no script and nothing from elsewhere; one that stands in the site
//! has a bar above it, and turns to a reader's own tank as the chapters do.

use maud::{DOCTYPE, Markup, PreEscaped, html};
use reckoner_calc::formulas::calendar::Date;
use reckoner_page::code::Code;
use reckoner_page::part::NAME;

use crate::edition::club::{Paper, Units};

/// What every sheet says of itself.
#[derive(Debug, Clone)]
pub struct Imprint {
    /// The book's title.
    pub book: String,
    /// The club's name.
    pub club: String,
    /// The tank's name.
    pub tank: String,
    /// A few letters that tell one edition from another: of rules, pumps and texts; and behind a dash of the tank.
    pub edition: String,
    /// The day, where one was given.
    pub date: Option<Date>,
    /// Where the newest stands.
    pub code: Option<Code>,
    /// What it is printed on.
    pub paper: Paper,
    /// The units that are printed.
    pub units: Units,
    /// The style of all sheets.
    pub style: String,
    /// Where it stands.
    pub stand: Stand,
}

/// Where a sheet stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Stand {
    /// In a file of its own, for the printer.
    Alone,
    /// In the site, one folder below its top.
    InSite {
        /// The scripts that it loads, from the top of the site.
        scripts: Vec<String>,
        /// The page that leads to the sheets, from there too.
        back: String,
    },
}

/// The licence of the book, as `LICENSE` has it.
const LICENCE: &str = env!("CARGO_PKG_LICENSE");

/// What a mark behind a figure says: the basis as a figure carries it, and in words. The style draws the marks.
const BASES: [(&str, &str); 4] = [
    ("published", "published"),
    ("common-practice", "common practice"),
    ("from-memory", "from memory"),
    ("invented", "invented"),
];

/// The page of one sheet.
///
/// - `name`: what the style calls it
/// - `body`: its HTML
pub fn sheet(name: &str, body: &str, imprint: &Imprint) -> String {
    page(
        name,
        &title_of(body),
        body,
        &html! { (head(imprint)) main { (PreEscaped(body)) } (foot(body, imprint)) },
        imprint,
    )
}

/// What stands at the head of a sheet.
fn head(imprint: &Imprint) -> Markup {
    html! { header class="head" { b { (tank(imprint)) } span { (imprint.club) " · " (imprint.book) } } }
}

/// The tank's name: in the site a place that turns to a reader's own, as `live.js` finds them.
fn tank(imprint: &Imprint) -> Markup {
    let name = html! { (imprint.tank) };
    match imprint.stand {
        Stand::Alone => name,
        Stand::InSite { .. } => {
            let place = PreEscaped(format!("<!--reckoner {{{NAME}}}-->"));
            html! { (place) (name) (PreEscaped("<!--/reckoner-->")) }
        }
    }
}

/// What stands above a sheet of the site, on the screen alone. Its script adds what can be chosen.
fn bar(back: &str) -> Markup {
    html! {
        nav class="sheet-bar" aria-label="This sheet" {
            a href=(format!("../{back}")) { "Back to the book" }
            span class="choices" {}
        }
    }
}

/// A page of whatever is printed as one.
///
/// - `name`: what the style calls it
/// - `title`: what it is called
/// - `text`: all that is printed
pub(crate) fn page(name: &str, title: &str, text: &str, inside: &Markup, imprint: &Imprint) -> String {
    let title = if title.is_empty() { imprint.book.clone() } else { format!("{title} · {}", imprint.book) };
    let class = format!("handout {name}{}", if is_marked(text) { " marked" } else { "" });
    let units = (imprint.stand == Stand::Alone).then(|| imprint.units.word());
    html! {
        (DOCTYPE)
        html lang="en" data-units=[units] {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(&imprint.style)) }
                style id="margins" { (PreEscaped(margins(name, imprint))) }
            }
            body class=(class) {
                @if let Stand::InSite { back, .. } = &imprint.stand { (bar(back)) }
                (inside)
                @if let Stand::InSite { scripts, .. } = &imprint.stand {
                    @for script in scripts { script src=(format!("../{script}")) {} }
                }
            }
        }
    }
    .into_string()
        + "\n"
}

/// What stands at the foot of a sheet: what the marks mean, what the sheet is, and where the newest is.
pub(crate) fn foot(text: &str, imprint: &Imprint) -> Markup {
    html! {
        footer class="imprint" {
            @if let Some(code) = &imprint.code { (code.drawing()) }
            div {
                @if is_marked(text) { (legend(text, &imprint.stand)) }
                p {
                    b { (imprint.book) } ", handed out by " (imprint.club) ". Reckoned for " (tank(imprint)) ". "
                    "Edition " span class="edition" { (imprint.edition) }
                    @if let Some(date) = imprint.date { ", " time datetime=(date.to_string()) { (day(date)) } }
                    @if imprint.stand != Stand::Alone { span class="day" {} }
                    ". You may copy it: " (LICENCE) " licence."
                }
                @if let Some(code) = &imprint.code {
                    p {
                        "This copy may be old. The newest is at " span class="address" { (code.address()) }
                        @if code.carries_tank() || imprint.stand != Stand::Alone {
                            span class="with-tank" hidden[!code.carries_tank()] { "; the code opens it with this tank" }
                        }
                        "."
                    }
                }
                p { "The sums are sums: your animals and the rules of your home country come first." }
            }
        }
    }
}

/// What the marks mean that stand behind figures of this text; all of them where it may turn to another tank.
fn legend(text: &str, stand: &Stand) -> Markup {
    let has = |basis: &str| *stand != Stand::Alone || text.contains(&format!("data-basis=\"{basis}\""));
    html! {
        p class="legend" {
            "A figure rests at its weakest on what is "
            @for (basis, words) in BASES.iter().filter(|(basis, _)| has(basis)) {
                span data-basis=(basis) { (words) } " "
            }
        }
    }
}

fn is_marked(text: &str) -> bool {
    text.contains("data-basis=\"")
}

/// What stands in the margins of every side, and how large the side is.
fn margins(name: &str, imprint: &Imprint) -> String {
    let Imprint { book, club, edition, date, .. } = imprint;
    let date = date.map_or_else(String::new, |date| format!(" · {}", day(date)));
    let left = in_style(&format!("{book} · {club} · edition {edition}{date}"));
    let turned = if name == "care" { " landscape" } else { "" };
    format!(
        "@page {{ size: {}{turned}; @bottom-left {{ content: \"{left}\"; }} @bottom-right {{ content: \"page \" counter(page) \" of \" \
         counter(pages); }} }}\n",
        imprint.paper.word()
    )
}

/// A text in quotation marks of a style sheet, which stands in a page.
fn in_style(text: &str) -> String {
    let sign = |c: char| match c {
        '"' | '\\' | '<' | '>' | '&' => format!("\\{:x} ", u32::from(c)),
        c if c.is_control() => " ".to_owned(),
        c => c.to_string(),
    };
    text.chars().map(sign).collect()
}

/// A day as people write it.
fn day(date: Date) -> String {
    const MONTHS: [&str; 12] = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ];
    let (year, month, day) = date.parts();
    let month = usize::from(month).checked_sub(1).and_then(|at| MONTHS.get(at)).copied().unwrap_or_default();
    format!("{day} {month} {year}")
}

/// The words of the first heading.
pub(crate) fn title_of(body: &str) -> String {
    let heading = body.split_once("<h1>").and_then(|(_, rest)| rest.split_once("</h1>"));
    heading.map_or_else(String::new, |(heading, _)| words(heading))
}

/// A piece of HTML without its tags.
pub(crate) fn words(html: &str) -> String {
    let mut out = String::new();
    let mut done = 0;
    for tag in crate::prose::html::tags(html, 0..html.len()) {
        out.push_str(&html[done..tag.start]);
        done = tag.end;
    }
    let plain = out + &html[done..];
    let plain = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&amp;", "&")]
        .iter()
        .fold(plain, |text, (coded, sign)| text.replace(coded, sign));
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_can_not_leave_the_style() {
        assert_eq!(in_style("a \"b\" </style>\n\\"), "a \\22 b\\22  \\3c /style\\3e  \\5c ");
    }

    #[test]
    fn a_day_is_told_in_words() {
        assert_eq!(Date::parse("2027-03-01").map(day).as_deref(), Some("1 March 2027"));
    }

    #[test]
    fn words_are_read_from_html() {
        assert_eq!(title_of("<p>x</p><h1>A <b>big</b>\n&amp; <i>b</i></h1><h1>c</h1>"), "A big & b");
        assert_eq!(title_of("<p>x</p>"), "");
    }
}
