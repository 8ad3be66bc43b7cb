//! The functions that chapters can call.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use reckoner_calc::Sheet;
use reckoner_calc::check::figure_value;
use reckoner_page::claims::{self, Answer};
use reckoner_page::html::{Medium, SignalWord};
use tera::{Error, Kwargs, State, Tera, Value};

use crate::chapter::lacking;
use crate::chapter::record::{ClaimEntry, Part, Record, TypedEntry};
use crate::diagnostic::did_you_mean;
use crate::edition::Edition;
use crate::edition::cautions::{Caution, Cautions};

/// Their names, for "did you mean".
pub const NAMES: &[&str] = &[
    "caution",
    "chart",
    "checks",
    "form",
    "holds",
    "layout",
    "ledger",
    "rhythm",
    "rules",
    "sources",
    "step",
    "table",
    "timeline",
    "typed",
    "typed_numbers",
    "working",
];

/// Where in the context a function finds the page it is called from.
pub const PAGE: &str = "page_path";

/// Adds all functions to the template engine.
pub fn register(engine: &mut Tera, edition: &Edition, medium: Medium, record: &Arc<Mutex<Record>>) {
    let (sheet, of_holds) = (edition.sheet.clone(), edition.clone());
    let (of_table, of_working, of_chart) = (sheet.clone(), sheet.clone(), sheet.clone());
    let (of_layout, of_rhythm, of_timeline) = (sheet.clone(), sheet.clone(), sheet);

    engine.register_function("layout", move |kwargs: Kwargs, state: &State<'_>| {
        let id: String = kwargs.must_get("id")?;
        let place = page_id(&page(state)?);
        part("tank drawing", &id, &of_layout, &of_layout.layouts, |layout| medium.layout(layout, &place))
    });

    let (rules, catalogue) = (edition.rules.clone(), edition.catalogue.clone());
    engine.register_function("form", move |_: Kwargs, _: &State<'_>| Value::safe_string(&medium.form(&rules, &catalogue)));

    engine.register_function("rhythm", move |_: Kwargs, state: &State<'_>| -> Result<Value, Error> {
        Ok(Value::safe_string(&medium.rhythm(&of_rhythm, &page_id(&page(state)?))))
    });

    engine.register_function("timeline", move |kwargs: Kwargs, state: &State<'_>| {
        let id: String = kwargs.must_get("id")?;
        let place = page_id(&page(state)?);
        part("day", &id, &of_timeline, &of_timeline.timelines, |timeline| medium.timeline(timeline, &of_timeline, &place))
    });

    engine.register_function("chart", move |kwargs: Kwargs, state: &State<'_>| {
        let id: String = kwargs.must_get("id")?;
        let place = page_id(&page(state)?);
        part("chart", &id, &of_chart, &of_chart.charts, |chart| medium.chart(chart, &of_chart, &place))
    });

    engine.register_function("table", move |kwargs: Kwargs, state: &State<'_>| {
        let id: String = kwargs.must_get("id")?;
        let place = page_id(&page(state)?);
        part("table", &id, &of_table, &of_table.tables, |table| medium.table(table, &place))
    });

    engine.register_function("working", move |kwargs: Kwargs, _: &State<'_>| {
        let id: String = kwargs.must_get("id")?;
        part("worked example", &id, &of_working, &of_working.workings, |working| medium.working(working, &of_working))
    });

    let shared = edition.cautions.clone();
    let of_step = shared.clone();
    engine.register_function("caution", move |kwargs: Kwargs, _: &State<'_>| caution(&kwargs, &shared, medium));
    engine.register_function("step", move |kwargs: Kwargs, _: &State<'_>| step(&kwargs, &of_step));

    let to = record.clone();
    engine.register_function("holds", move |kwargs: Kwargs, state: &State<'_>| hold(&kwargs, state, &of_holds, &to));

    let to = record.clone();
    engine.register_function("typed", move |kwargs: Kwargs, state: &State<'_>| typed(&kwargs, state, &to));

    for part in Part::ALL {
        engine.register_function(part.name(), move |_: Kwargs, _: &State<'_>| Value::safe_string(&part.marker()));
    }
}

/// A part of the sheet as it is printed, or the mark of one that the tank lacks.
fn part<P>(
    what: &str,
    id: &str,
    sheet: &Sheet,
    parts: &BTreeMap<&'static str, P>,
    print: impl FnOnce(&P) -> String,
) -> Result<Value, Error> {
    match parts.get(id) {
        Some(part) => Ok(Value::safe_string(&print(part))),
        None if sheet.lacking(id).is_some() => Ok(Value::safe_string(&lacking::mark(id))),
        None => {
            let names: Vec<_> = parts.keys().copied().chain(sheet.lacks().map(|(part, _)| part)).collect();
            let near = did_you_mean(id, &names).map(|near| Error::message(format!("there is no {what} `{id}`\n{near}")));
            Err(near.unwrap_or_else(|| unknown(what, id, parts.keys())))
        }
    }
}

/// The signal word and the three things that every caution must say: those of the shared caution `id`, but for what the call says itself.
fn caution(kwargs: &Kwargs, shared: &Cautions, medium: Medium) -> Result<Value, Error> {
    let shared = match kwargs.get::<String>("id")? {
        Some(id) => Some(shared_caution(&id, shared)?),
        None => None,
    };
    let part = |key, of_shared: fn(&Caution) -> &String| {
        let text = match (kwargs.get::<String>(key)?, shared) {
            (None, Some(shared)) => of_shared(shared).clone(),
            _ => kwargs.must_get(key)?,
        };
        if text.trim().is_empty() {
            Err(Error::message(format!("`{key}` is empty\nsay the hazard, its consequence and how to avoid it")))
        } else {
            Ok(text)
        }
    };
    let hazard = part("hazard", |shared| &shared.hazard)?;
    let consequence = part("consequence", |shared| &shared.consequence)?;
    let avoid = part("avoid", |shared| &shared.avoid)?;
    let word = match (kwargs.get::<String>("word")?, shared) {
        (None, Some(shared)) => shared.word,
        _ => {
            let word: String = kwargs.must_get("word")?;
            let of_key = SignalWord::ALL.into_iter().find(|known| known.key() == word);
            of_key.ok_or_else(|| unknown("signal word", &word, SignalWord::ALL.iter().map(|known| known.key())))?
        }
    };
    Ok(Value::safe_string(&medium.caution(word, &hazard, &consequence, &avoid)))
}

/// What a shared caution asks for, as one step of a list or a table.
fn step(kwargs: &Kwargs, shared: &Cautions) -> Result<Value, Error> {
    let id: String = kwargs.must_get("id")?;
    let caution = shared_caution(&id, shared)?;
    if caution.step.is_empty() {
        return Err(Error::message(format!("the caution `{id}` has no step\nwrite step = \"…\" for it in cautions.toml")));
    }
    Ok(Value::normal_string(&caution.step))
}

fn shared_caution<'c>(id: &str, shared: &'c Cautions) -> Result<&'c Caution, Error> {
    shared.get(id).ok_or_else(|| unknown("shared caution", id, shared.keys()))
}

/// Prints nothing where the figures bear out the claim. Where they do not, it refuses one about a tank of the book; one about a reader's
/// tank is marked, so that the words beside it are not printed.
fn hold(kwargs: &Kwargs, state: &State<'_>, edition: &Edition, record: &Mutex<Record>) -> Result<Value, Error> {
    let that: String = kwargs.must_get("that")?;
    match claims::holds(&that, &edition.sheet).map_err(Error::message)? {
        Answer::Holds => {}
        Answer::Lacks(id) => return Ok(Value::safe_string(&lacking::mark(&id))),
        Answer::Fails if edition.is_readers => return Ok(Value::safe_string(&lacking::untrue())),
        Answer::Fails => {
            let values = claims_figures(&that, &edition.sheet).join("\n");
            let message = format!("`{that}` does not hold\n{values}\nchange the words, or see why the figures changed");
            return Err(Error::message(message));
        }
    }
    let entry = ClaimEntry { that, page: page(state)? };
    let mut record = record.lock().unwrap_or_else(PoisonError::into_inner);
    if !record.claims.contains(&entry) {
        record.claims.push(entry);
    }
    Ok(Value::safe_string(""))
}

/// What the figures of a condition are, a line each.
fn claims_figures(that: &str, sheet: &Sheet) -> Vec<String> {
    let mut lines = Vec::new();
    for name in that.split(|c: char| !c.is_alphanumeric() && !matches!(c, '_' | '.')) {
        if let Some(quantity) = figure_value(sheet, name) {
            let line = format!("`{name}` is {}", sheet.shown(quantity));
            if !lines.contains(&line) {
                lines.push(line);
            }
        }
    }
    lines
}

/// Prints its text; writes it down with its reason.
fn typed(kwargs: &Kwargs, state: &State<'_>, record: &Mutex<Record>) -> Result<Value, Error> {
    let (text, because): (String, String) = (kwargs.must_get("text")?, kwargs.must_get("because")?);
    if because.trim().is_empty() {
        return Err(Error::message("`because` is empty\nsay why these digits are no figure"));
    }
    let entry = TypedEntry { text: text.clone(), because, page: page(state)? };
    let mut record = record.lock().unwrap_or_else(PoisonError::into_inner);
    if !record.typed.contains(&entry) {
        record.typed.push(entry);
    }
    Ok(Value::normal_string(&text))
}

fn page(state: &State<'_>) -> Result<String, Error> {
    Ok(state.get::<String>(PAGE)?.unwrap_or_default())
}

/// A page's path as the start of an HTML id: every id is unique in the whole book, because mdBook also prints it as one page.
pub fn page_id(path: &str) -> String {
    path.trim_end_matches(".md").replace(['/', ' '], "-")
}

fn unknown<S: AsRef<str>>(what: &str, id: &str, known: impl Iterator<Item = S>) -> Error {
    let known: Vec<_> = known.map(|key| key.as_ref().to_owned()).collect();
    let all = || if known.is_empty() { "the book has none".to_owned() } else { format!("there are {}", known.join(", ")) };
    let hint = did_you_mean(id, &known).unwrap_or_else(all);
    Error::message(format!("there is no {what} `{id}`\n{hint}"))
}
