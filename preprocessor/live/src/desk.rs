//! Answers questions in bytes, one after the other: what a page's script asks.
//!
//! A question is a run of texts, each behind its length, four bytes, the lowest first. The first text says
//! what is asked:
//!
//! | question | then | answer |
//! | --- | --- | --- |
//! | `open` | the catalogue, then name and text of each rule file | nothing; forgets the tank before |
//! | `reckon` | the tank file | the tank's name; forgets the tank before |
//! | `set` | the forms that a page carries | the HTML for each of its places |
//! | `sheet` | | the sheet as JSON |
//! | `programme` | | the day of the pumps as CSV |
//! | `calendar` | the first day, and now in seconds since 1970 | the care calendar as iCalendar |
//! | `why` | a figure's id | how it was reckoned, as HTML |
//! | `values` | a tank file | its values: path and text of each |
//! | `with` | a tank file, a path, a value | the file with the value at that path |
//! | `code` | a link | the code of the link for a phone's camera as HTML; nothing for one that is too long |
//! | `shape` | a tank file | a drawing of the tank's shape as HTML, empty where it names none |
//!
//! An answer is such a run too. Its first text is `+` where all went well, and the others are as above.
//! Otherwise it is `-`, and each fault has six: the document, the key, the line, the column, what is wrong,
//! and what would be right, a line each. What a fault has not is empty.

use reckoner_calc::document::edit;
use reckoner_page::code::Code;
use reckoner_page::form;

use crate::fault::Fault;
use crate::live::{Live, Reckoned};
use crate::message::{pack, unpack};

/// What has been read and reckoned so far.
#[derive(Debug, Clone, Default)]
pub struct Desk {
    live: Option<Live>,
    reckoned: Option<Reckoned>,
}

impl Desk {
    /// Answers a question.
    pub fn ask(&mut self, question: &[u8]) -> Vec<u8> {
        let texts = unpack(question).map_err(|why| misasked(format!("the question can not be read: {why}")));
        match texts.and_then(|texts| self.answer(&texts)) {
            Ok(texts) => pack(std::iter::once("+").chain(texts.iter().map(String::as_str))),
            Err(faults) => pack(std::iter::once("-".to_owned()).chain(faults.into_iter().flat_map(told))),
        }
    }

    fn answer(&mut self, question: &[&str]) -> Result<Vec<String>, Vec<Fault>> {
        match question {
            ["open", catalogue, rules @ ..] => {
                *self = Desk::default();
                self.live = Some(Live::open(&pairs(rules)?, catalogue)?);
                Ok(Vec::new())
            }
            ["reckon", tank] => {
                self.reckoned = None;
                let reckoned = self.live()?.reckon(tank)?;
                let reckoned = self.reckoned.insert(reckoned);
                Ok(vec![reckoned.name().to_owned()])
            }
            ["set", forms @ ..] => self.reckoned()?.set(forms),
            ["sheet"] => Ok(vec![self.reckoned()?.sheet_json()?]),
            ["programme"] => Ok(vec![self.reckoned()?.programme_csv()?]),
            ["calendar", from, seconds] => {
                let seconds =
                    seconds.parse().map_err(|_| misasked(format!("`{seconds}` is no number of seconds")))?;
                Ok(vec![self.reckoned()?.calendar(from, seconds)?])
            }
            ["why", id] => {
                let why = self.reckoned()?.why(id)?;
                Ok(vec![why.ok_or_else(|| misasked(format!("there is no figure `{id}`")))?])
            }
            ["values", tank] => {
                Ok(edit::values(tank).into_iter().flat_map(|(path, value)| [path, value]).collect())
            }
            ["with", tank, path, value] => Ok(vec![self.live()?.with(tank, path, value)?]),
            ["code", link] => {
                Ok(Code::of(link).map(|code| code.drawing().into_string()).into_iter().collect())
            }
            ["shape", tank] => Ok(vec![form::shape(tank, "your-tank")]),
            _ => Err(misasked("nobody knows this question")),
        }
    }

    fn live(&self) -> Result<&Live, Vec<Fault>> {
        self.live.as_ref().ok_or_else(|| misasked("no rules have been read"))
    }

    fn reckoned(&self) -> Result<&Reckoned, Vec<Fault>> {
        self.reckoned.as_ref().ok_or_else(|| misasked("no tank has been reckoned"))
    }
}

/// The fault of a script that asks what has no answer.
fn misasked(message: impl Into<String>) -> Vec<Fault> {
    vec![Fault::plain(message, "ask `open`, then `reckon`, then for the rest")]
}

/// Names and texts, by turns.
fn pairs(texts: &[&str]) -> Result<Vec<(String, String)>, Vec<Fault>> {
    let (pairs, rest) = texts.as_chunks();
    if rest.is_empty() {
        Ok(pairs.iter().map(|[name, text]| ((*name).to_owned(), (*text).to_owned())).collect())
    } else {
        Err(misasked("the last rule file has no text"))
    }
}

/// A fault as texts.
fn told(fault: Fault) -> [String; 6] {
    let Fault { document, key, place, message, help } = fault;
    let (line, column) =
        place.map_or_else(Default::default, |(line, column)| (line.to_string(), column.to_string()));
    [document, key, line, column, message, help.join("\n")]
}
