//! The parts of a page that depend on the tank, each by its key.
//!
//! | key | part |
//! | --- | --- |
//! | `f:tank.water` | a figure; `f:tank.water@ledger.html` with a link to its line there |
//! | `t:bands@page` `c:…` `l:…` `z:…` `n:…` `d:…` `r:@page` | a table, a chart, the drawing of a tank, a map of speeds, a nomogram, a day, the rhythm of care; the page begins their ids |
//! | `h:from_above` | the water of a map as dots |
//! | `w:oxygen_store` | a worked example |
//! | `?:tank.sump\|return_line` | whether the tank has something: a [condition](crate::condition) |
//! | `!:flow.buy > flow.aim` | whether a [claim](crate::claims) holds |
//! | `g:…` `m:…` `u:…` | the ledger's lines for figures and for tables, and the rules, by the [list](Listed) behind the colon |

use std::cell::OnceCell;

use reckoner_calc::ordered::Map;
use reckoner_calc::rules::Rules;
use reckoner_calc::sheet::{Figure, Sheet};

use crate::claims::{self, Answer};
use crate::condition::Condition;
use crate::html::Medium;
use crate::ledger::{self, Behind, anchor};
use crate::listed::Listed;
use crate::rules;
use crate::text::escaped;

/// The figures that are no figures of the sheet: what the tank is called, and a sentence about it.
pub const NAME: &str = "tank.name";
/// See [`NAME`].
pub const ABOUT: &str = "tank.about";

/// What a tank has for a key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Part {
    /// The part as it is printed: HTML, or what the medium takes.
    Printed(String),
    /// It is so.
    Yes,
    /// It is not so, or there is no such part and nothing to say about it.
    No,
    /// The tank lacks the part; why, in a sentence.
    Lacks(String),
}

/// The part of a sheet with the given key, as HTML.
pub fn part(sheet: &Sheet, rules: &Rules, key: &str) -> Part {
    Printer::new(Medium::Html, sheet, rules).part(key)
}

/// Prints the parts of one sheet.
#[derive(Debug)]
pub struct Printer<'p> {
    medium: Medium,
    sheet: &'p Sheet,
    rules: &'p Rules,
    /// Looked up once for all lines of the ledger and all rules.
    behind: OnceCell<Behind<'p>>,
}

impl<'p> Printer<'p> {
    /// A printer for the parts of one sheet, reckoned by these rules.
    pub fn new(medium: Medium, sheet: &'p Sheet, rules: &'p Rules) -> Self {
        Printer { medium, sheet, rules, behind: OnceCell::new() }
    }

    /// The part with the given key.
    pub fn part(&self, key: &str) -> Part {
        let (sheet, medium) = (self.sheet, self.medium);
        let Some((sort, what)) = key.split_once(':') else { return Part::No };
        let (id, place) = what.rsplit_once('@').unwrap_or((what, ""));
        match sort {
            "f" => self.figure(id, place),
            "t" => self.of(&sheet.tables, id, |table| medium.table(table, place)),
            "w" => self.of(&sheet.workings, id, |working| medium.working(working, sheet)),
            "c" => self.of(&sheet.charts, id, |chart| medium.chart(chart, sheet, place)),
            "l" => self.of(&sheet.layouts, id, |layout| medium.layout(layout, place)),
            "z" => self.of(&sheet.maps, id, |map| medium.map(map, place)),
            "n" => self.of(&sheet.nomograms, id, |nomogram| medium.nomogram(nomogram, place)),
            "d" => self.of(&sheet.timelines, id, |timeline| medium.timeline(timeline, sheet, place)),
            "h" => Part::Printed(medium.halftone(sheet, id)),
            "r" => Part::Printed(medium.rhythm(sheet, place)),
            "?" => yes_or_no(Condition::short(what).holds(sheet)),
            "!" => match claims::holds(what, sheet) {
                Ok(Answer::Lacks(id)) => self.lacking(&id),
                answer => yes_or_no(answer == Ok(Answer::Holds)),
            },
            "g" => Part::Printed(ledger::figures(&Listed::read(what), self.behind())),
            "m" => Part::Printed(ledger::tables(&Listed::read(what), self.behind())),
            "u" => Part::Printed(rules::rules(&Listed::read(what), self.behind())),
            _ => Part::No,
        }
    }

    fn figure(&self, id: &str, ledger: &str) -> Part {
        let printed = |figure: &Figure| {
            let line = (!ledger.is_empty()).then(|| format!("{ledger}#{}", anchor(id)));
            self.medium.figure(figure, "", line.as_deref())
        };
        match (id, self.sheet.figure(id)) {
            (NAME, _) => Part::Printed(escaped(&self.sheet.name)),
            (ABOUT, _) => Part::Printed(escaped(&self.sheet.about)),
            (_, Some(figure)) => Part::Printed(printed(figure)),
            (_, None) => self.lacking(id),
        }
    }

    fn of<P>(&self, parts: &Map<&'static str, P>, id: &str, print: impl FnOnce(&P) -> String) -> Part {
        parts.get(id).map_or_else(|| self.lacking(id), |part| Part::Printed(print(part)))
    }

    fn behind(&self) -> &Behind<'p> {
        self.behind.get_or_init(|| Behind::all(self.sheet, self.rules))
    }

    fn lacking(&self, id: &str) -> Part {
        self.sheet.lacking(id).map_or(Part::No, |why| Part::Lacks(why.to_owned()))
    }
}

fn yes_or_no(is_so: bool) -> Part {
    if is_so { Part::Yes } else { Part::No }
}

#[cfg(test)]
mod tests {
    use super::*;
    use reckoner_calc::{Catalogue, Tank};

    #[test]
    fn a_part_is_found_by_its_key() {
        let rules = Rules::compiled_in().unwrap();
        let text = "name = \"<b> {x}\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n\
                    [livestock]\nnow = \"soft\"\n";
        let sheet =
            Sheet::reckon(&rules, &Catalogue::empty(), &Tank::read("t.toml", text, &rules).unwrap()).unwrap();
        let of = |key: &str| part(&sheet, &rules, key);
        let printed = |key: &str| match of(key) {
            Part::Printed(text) => text,
            other => panic!("{key}: {other:?}"),
        };
        assert!(printed("f:tank.water").starts_with("<data class=\"figure\" value=\""));
        assert!(
            printed("f:tank.water@../ledger.html")
                .starts_with("<a class=\"to-ledger\" href=\"../ledger.html#figure-tank.water\"><data")
        );
        assert_eq!(printed("f:tank.name"), "&#60;b&#62; &#123;x&#125;");
        assert_eq!(printed("f:tank.about"), "");
        assert_eq!(printed("f:livestock.now"), "soft corals");
        assert!(printed("t:bands@a-page").contains("id=\"a-page-bands\""));
        assert!(printed("w:flow_to_aim_for").starts_with("<section class=\"working\">"));
        assert!(printed("c:stream_speed@a-page").contains("id=\"a-page-stream_speed-chart\""));
        assert!(printed("r:@a-page").contains("id=\"a-page-rhythm-drawing\""));
        assert_eq!((of("?:tank.water"), of("?:return_line|battery")), (Part::Yes, Part::No));
        assert_eq!((of("!:flow.buy > flow.aim"), of("!:flow.buy < flow.aim")), (Part::Yes, Part::No));
        for lacking in ["f:return_line.flow", "t:return_line_bores@a", "!:return_line.flow > 0"] {
            assert!(matches!(of(lacking), Part::Lacks(why) if why.contains("return")), "{lacking}");
        }
        for nothing in
            ["f:tank.watr", "t:bnads", "x:tank.water", "tank.water", "!:tank.length > tank.water", ""]
        {
            assert_eq!(of(nothing), Part::No, "{nothing}");
        }
    }
}
