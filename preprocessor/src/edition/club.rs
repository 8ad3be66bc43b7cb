//! The club that hands a book out, `club.toml`: who it is, and what its edition of the book looks like.

use clap::ValueEnum;
use reckoner_calc::document::{self, Problem, Table, did_you_mean};
use reckoner_calc::quantity::{Currency, Kind, Money};

use super::colour::{Colour, DARK, Ground, LIGHT};

/// The name of the file.
pub const FILE: &str = "club.toml";
/// The folder of a club's own pages, in its folder and among the chapters of the book.
pub const PAGES: &str = "pages";

/// The club that hands the book out. All but its name and a sentence about it may be left out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Club {
    /// Its name.
    pub name: String,
    /// One sentence about it.
    pub about: String,
    /// Where the book stands in the net: an address that begins with `https://`.
    pub address: Option<String>,
    /// When and where it meets.
    pub meeting: Option<String>,
    /// Whom to ask.
    pub contacts: Vec<Contact>,
    /// The colours of its edition.
    pub colours: Colours,
    /// The units that the site shows to a reader who has chosen none.
    pub units: Option<Units>,
    /// The price of a kilowatt hour, for a tank file that names none.
    pub price_per_kwh: Option<Money>,
    /// How the numbers of its edition are written.
    pub numbers: Numbers,
    /// The paper that pages are printed on.
    pub paper: Option<Paper>,
    /// The chapters of its edition, by the names of their files; all of the book where it names none.
    pub chapters: Option<Vec<ChapterName>>,
}

/// Somebody to ask.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Contact {
    /// Who, or for what.
    pub name: String,
    /// The number to call.
    pub telephone: Option<String>,
    /// The address to write to.
    pub mail: Option<String>,
}

impl Contact {
    /// How to reach them, in one line.
    pub fn line(&self) -> String {
        [&self.telephone, &self.mail].into_iter().flatten().map(String::as_str).collect::<Vec<_>>().join(", ")
    }
}

/// The colour of links and lines, on the light grounds and on the dark ones; the book's own where there is
/// none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Colours {
    /// On light grounds.
    pub light: Option<Colour>,
    /// On dark grounds.
    pub dark: Option<Colour>,
}

/// The units that a page shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Units {
    /// Metric, then US
    Both,
    /// Litres and centimetres alone
    Metric,
    /// US gallons and inches alone
    Us,
}

impl Units {
    /// All of them, by the words of the file.
    pub const ALL: [(&str, Units); 3] = [("both", Units::Both), ("metric", Units::Metric), ("us", Units::Us)];

    /// The word for it.
    pub fn word(self) -> &'static str {
        Units::ALL.iter().find(|(_, units)| *units == self).map_or("both", |(word, _)| word)
    }
}

/// How numbers are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Numbers {
    /// 1,160.5
    #[default]
    Point,
    /// 1 160,5
    Comma,
}

impl Numbers {
    /// All of them, by the words of the file.
    pub const ALL: [(&str, Numbers); 2] = [("point", Numbers::Point), ("comma", Numbers::Comma)];
}

/// A size of paper, as CSS names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Paper {
    /// ISO 216: 210 mm × 297 mm
    A4,
    /// North America: 8.5 in × 11 in
    Letter,
}

impl Paper {
    /// All of them, by the words of the file, which CSS understands too.
    pub const ALL: [(&str, Paper); 2] = [("a4", Paper::A4), ("letter", Paper::Letter)];

    /// The word for it.
    pub fn word(self) -> &'static str {
        Paper::ALL.iter().find(|(_, paper)| *paper == self).map_or("a4", |(word, _)| word)
    }
}

/// The name of a chapter's file, and where it is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChapterName {
    /// The name, such as `floor.md`.
    pub file: String,
    /// Where the list with it stands in the club's file.
    pub span: std::ops::Range<usize>,
}

/// Reads the text of a club file.
///
/// # Errors
/// Every problem in it.
pub fn read_club(name: &str, text: &str) -> Result<Club, Vec<Problem>> {
    document::read(name, text, |table| {
        let (name, about) = (table.text("name"), table.text("about"));
        let club = Club {
            address: read_address(table),
            meeting: table.maybe_text("meeting"),
            contacts: table.tables("contacts", read_contact),
            colours: table.maybe_table("colours", read_colours).unwrap_or_default(),
            units: table.maybe_choice("units", &Units::ALL),
            price_per_kwh: read_price(table),
            numbers: table.maybe_choice("numbers", &Numbers::ALL).unwrap_or_default(),
            paper: table.maybe_choice("paper", &Paper::ALL),
            chapters: read_chapters(table),
            ..Club::default()
        };
        Some(Club { name: name?, about: about?, ..club })
    })
}

fn read_address(table: &mut Table<'_>) -> Option<String> {
    let address = table.maybe_text("address")?;
    if address.contains(char::is_whitespace) {
        let help = "write it as it stands in the browser, where a blank is %20";
        table.refuse("address", format!("there is a blank in `{address}`"), help);
        return None;
    }
    let host = address.strip_prefix("https://").and_then(|rest| rest.split('/').next()).unwrap_or_default();
    if host.is_empty() || address.contains(|c: char| c.is_whitespace() || "<>\"'`\\".contains(c)) {
        let help = "write all of it, such as \"https://reef.example/book/\"";
        table.refuse("address", format!("`{address}` is no address that begins with https://"), help);
        return None;
    }
    Some(address)
}

fn read_contact(table: &mut Table<'_>) -> Option<Contact> {
    let name = table.text("name");
    let (telephone, mail) = (table.maybe_text("telephone"), table.maybe_text("mail"));
    let mut is_wrong = false;
    let dials = |text: &String| {
        text.chars().any(|c| c.is_ascii_digit())
            && text.chars().all(|c| c.is_ascii_digit() || " +-()/.".contains(c))
    };
    if let Some(text) = telephone.as_ref().filter(|text| !dials(text)) {
        let help = "write digits, with + and blanks, such as \"+00 000 0000\"";
        table.refuse("telephone", format!("`{text}` is no number to call"), help);
        is_wrong = true;
    }
    let writes = |text: &String| {
        let halves = text.split_once('@');
        halves.is_some_and(|(who, host)| !who.is_empty() && host.contains('.') && !host.contains('@'))
            && !text.contains(char::is_whitespace)
    };
    if let Some(text) = mail.as_ref().filter(|text| !writes(text)) {
        let help = "write it as \"pumps@reef.example\"";
        table.refuse("mail", format!("`{text}` is no address to write to"), help);
        is_wrong = true;
    }
    if is_wrong {
        return None;
    }
    if telephone.is_none() && mail.is_none() && !table.has("telephone") && !table.has("mail") {
        let help = "add telephone = \"…\" or mail = \"…\"";
        table.refuse("telephone", "nothing says how to reach this contact", help);
        return None;
    }
    Some(Contact { name: name?, telephone, mail })
}

fn read_colours(table: &mut Table<'_>) -> Option<Colours> {
    let mut colour = |key: &str, grounds: &[Ground]| {
        let text = table.maybe_text(key)?;
        let Some(colour) = Colour::parse(&text) else {
            let help = "write # and six digits from 0 to f, such as \"#08606b\"";
            table.refuse(key, format!("`{text}` is no colour"), help);
            return None;
        };
        if let Some((ground, contrast)) = colour.least_contrast(grounds) {
            let message = format!(
                "`{text}` can not be read on the {} of the {key} themes: a contrast of {contrast:.2} to 1",
                ground.what
            );
            let darker = if key == "light" { "darker" } else { "lighter" };
            table.refuse(key, message, format!("take a {darker} colour: WCAG 2 asks for 4.5 to 1"));
            return None;
        }
        Some(colour)
    };
    Some(Colours { light: colour("light", &LIGHT), dark: colour("dark", &DARK) })
}

fn read_price(table: &mut Table<'_>) -> Option<Money> {
    let text = table.maybe_text("price_per_kwh")?;
    let Some(currency) = Currency::of_amount(&text) else {
        let help = "write the amount and the three capitals of its money, such as \"0.28 EUR\"";
        table.refuse("price_per_kwh", format!("`price_per_kwh` is `{text}`, and that is no price"), help);
        return None;
    };
    let amount = table.maybe_quantity_of("price_per_kwh", Kind::Money(currency), "0.001"..="1000")?.si;
    Some(Money { amount, currency })
}

fn read_chapters(table: &mut Table<'_>) -> Option<Vec<ChapterName>> {
    let files = table.maybe_texts("chapters")?;
    let span = table.places().of("chapters");
    let mut is_wrong = false;
    for (at, file) in files.iter().enumerate() {
        if files[..at].contains(file) {
            table.refuse("chapters", format!("`chapters` names `{file}` twice"), "name it once");
            is_wrong = true;
        }
        if !file.ends_with(".md") {
            let help = did_you_mean(file, [format!("{file}.md")]);
            let help = help.unwrap_or_else(|| "write the name of its file, such as \"floor.md\"".to_owned());
            table.refuse("chapters", format!("`{file}` is no file of a chapter"), help);
            is_wrong = true;
        }
    }
    (!is_wrong).then_some(())?;
    Some(files.into_iter().map(|file| ChapterName { file, span: span.clone() }).collect())
}

#[cfg(test)]
mod tests;
