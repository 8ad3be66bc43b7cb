//! Rules and pumps, read once; and a tank, reckoned with them.

use std::cell::OnceCell;
use std::sync::Arc;

use reckoner_calc::decide::programme;
use reckoner_calc::document::{Key, edit};
use reckoner_calc::{Catalogue, Error, Rules, Sheet, Tank, tank};
use reckoner_page::calendar::{self, Made};
use reckoner_page::html::Medium;
use reckoner_page::part::Printer;
use reckoner_page::passage;
use reckoner_page::programme::{ProgrammeFile, with_pumps, without_pumps};
use reckoner_page::sheet::SheetFile;
use reckoner_page::why;

use crate::fault::{Fault, faults};

/// What messages call the texts that are handed in.
const CATALOGUE: &str = "pumps.toml";
const TANK: &str = "my_tank.toml";

/// A longer tank file than this nobody wrote.
pub const LONGEST_TANK: usize = 64 * 1024;

/// The rules and the pumps on offer.
#[derive(Debug, Clone)]
pub struct Live {
    rules: Arc<Rules>,
    catalogue: Arc<Catalogue>,
    /// What a tank file may hold.
    keys: Arc<[Key]>,
}

impl Live {
    /// Reads the rules, as [`Rules::load`] takes them, and the catalogue.
    ///
    /// # Errors
    /// Every fault in any of the texts.
    pub fn open(rules: &[(String, String)], catalogue: &str) -> Result<Self, Vec<Fault>> {
        // Of two texts for one file, the second is the one that somebody writes.
        let of_rules = |name: &str| {
            rules.iter().rev().find(|(given, _)| given == name).map_or("", |(_, text)| text.as_str())
        };
        let read = Rules::load(rules).map_err(|problems| faults(problems, of_rules));
        let catalogue =
            Catalogue::read(CATALOGUE, catalogue).map_err(|problems| faults(problems, |_| catalogue));
        match (read, catalogue) {
            (Ok(rules), Ok(catalogue)) => {
                let keys = tank::keys(&rules).into();
                Ok(Live { rules: Arc::new(rules), catalogue: Arc::new(catalogue), keys })
            }
            (rules, catalogue) => {
                Err([rules.err(), catalogue.err()].into_iter().flatten().flatten().collect())
            }
        }
    }

    /// Reads a tank file and reckons everything.
    ///
    /// # Errors
    /// Every fault in the text, a text that is too long, a formula that has no answer for the tank.
    pub fn reckon(&self, text: &str) -> Result<Reckoned, Vec<Fault>> {
        if text.len() > LONGEST_TANK {
            let message = format!("the tank file is {} bytes long", text.len());
            return Err(vec![Fault::plain(message, format!("keep it to {LONGEST_TANK} at the most"))]);
        }
        let tank = Tank::read_with(TANK, text, &self.rules, &self.catalogue)
            .map_err(|problems| faults(problems, |_| text))?;
        self.check_programme(&tank, text)?;
        let quick = Sheet::reckon_without_maps(&self.rules, &self.catalogue, &tank).map_err(no_answer)?;
        Ok(Reckoned { live: self.clone(), tank, text: text.to_owned(), quick, whole: OnceCell::new() })
    }

    /// A tank file with one value changed, or removed where it is empty: see [`edit::with`].
    ///
    /// # Errors
    /// Why it can not be changed so.
    pub fn with(&self, text: &str, path: &str, value: &str) -> Result<String, Vec<Fault>> {
        let changed = edit::with(text, &self.keys, path, value);
        changed.map_err(|why| {
            vec![Fault { key: path.to_owned(), ..Fault::plain(why, "change it in the file itself") }]
        })
    }

    fn check_programme(&self, tank: &Tank, text: &str) -> Result<(), Vec<Fault>> {
        let problems = programme::check(TANK, tank, &self.catalogue, &self.rules.programme);
        if problems.is_empty() { Ok(()) } else { Err(faults(problems, |_| text)) }
    }
}

fn no_answer(error: Error) -> Vec<Fault> {
    vec![Fault {
        document: TANK.to_owned(),
        ..Fault::plain(error.to_string(), "check the measures in the tank file")
    }]
}

/// A tank with its sheet.
#[derive(Debug, Clone)]
pub struct Reckoned {
    live: Live,
    tank: Tank,
    text: String,
    /// Without the maps: few pages show them, and somebody is typing.
    quick: Sheet,
    whole: OnceCell<Sheet>,
}

impl Reckoned {
    /// What the tank is called.
    pub fn name(&self) -> &str {
        &self.quick.name
    }

    /// Its sheet.
    ///
    /// # Errors
    /// A formula that has no answer for the tank.
    pub fn sheet(&self) -> Result<&Sheet, Vec<Fault>> {
        if let Some(whole) = self.whole.get() {
            return Ok(whole);
        }
        let Live { rules, catalogue, .. } = &self.live;
        let whole = Sheet::reckon(rules, catalogue, &self.tank).map_err(no_answer)?;
        Ok(self.whole.get_or_init(|| whole))
    }

    /// What stands in the places of a page, by the forms that it carries there: see [`passage::set`].
    ///
    /// # Errors
    /// Those of [`sheet`](Reckoned::sheet), for a page with a map.
    pub fn set(&self, forms: &[&str]) -> Result<Vec<String>, Vec<Fault>> {
        let sheet = if forms.iter().any(|form| asks_for_all(form)) { self.sheet()? } else { &self.quick };
        let printer = Printer::new(Medium::Html, sheet, &self.live.rules);
        Ok(passage::set(forms, &|key| printer.part(key)))
    }

    /// The sheet as JSON, as `reckoner sheet --format json` prints it.
    ///
    /// # Errors
    /// Those of [`sheet`](Reckoned::sheet).
    pub fn sheet_json(&self) -> Result<String, Vec<Fault>> {
        Ok(SheetFile::of(self.sheet()?).to_json())
    }

    /// The day of its pumps, or of those of the plan where none hang in it, as `reckoner programme` prints
    /// it.
    ///
    /// # Errors
    /// What is wrong in the programme; that neither tank nor plan has a pump.
    pub fn programme_csv(&self) -> Result<String, Vec<Fault>> {
        let Live { rules, catalogue, .. } = &self.live;
        let tank = with_pumps(rules, catalogue, &self.tank).map_err(no_answer)?;
        self.live.check_programme(&tank, &self.text)?;
        let programme = ProgrammeFile::of(rules, catalogue, &tank).map_err(no_answer)?;
        if programme.stretches.is_empty() {
            let (message, help) = without_pumps(&tank);
            return Err(vec![Fault::plain(message, help)]);
        }
        Ok(programme.to_csv())
    }

    /// Its care calendar from a day on, as `reckoner calendar --from DATE` prints it.
    ///
    /// - `seconds`: when it is made, in seconds since the year 1970 began
    ///
    /// # Errors
    /// A date that is none.
    pub fn calendar(&self, from: &str, seconds: u64) -> Result<String, Vec<Fault>> {
        let from = calendar::read_date(from)
            .map_err(|help| vec![Fault::plain(format!("`{from}` is no date"), help)])?;
        Ok(calendar::calendar(&self.live.rules, &self.tank, from, Made::at(seconds)))
    }

    /// Why a figure is what it is, as HTML; `None` where the sheet has no such figure.
    ///
    /// # Errors
    /// Those of [`sheet`](Reckoned::sheet).
    pub fn why(&self, id: &str) -> Result<Option<String>, Vec<Fault>> {
        Ok(why::why(self.sheet()?, &self.live.rules, id))
    }
}

/// Whether a form names a part of the maps, or lists all figures. One too many costs time only.
fn asks_for_all(form: &str) -> bool {
    let is_of_id = |letter: char| letter.is_ascii_alphanumeric() || letter == '_' || letter == '.';
    let lists = ["{g:", "{m:", "{u:"].iter().any(|list| form.contains(list));
    lists || form.split(|letter| !is_of_id(letter)).any(Sheet::is_of_maps)
}
