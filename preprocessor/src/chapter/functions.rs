//! The functions that chapters can call.

use std::sync::{Arc, Mutex, PoisonError};

use reckoner_calc::Sheet;
use reckoner_page::claims;
use reckoner_page::html::{Medium, SignalWord};
use tera::{Error, Kwargs, State, Tera, Value};

use crate::chapter::forme;
use crate::chapter::record::{Part, Record, TypedEntry};
use crate::diagnostic::{Diagnostics, did_you_mean};
use crate::edition::cautions::{Caution, Cautions};
use crate::edition::{ATLAS, Edition};

/// Their names, for "did you mean".
pub const NAMES: &[&str] = &[
    "atlas",
    "caution",
    "chart",
    "checks",
    "form",
    "halftone",
    "holds",
    "layout",
    "map",
    "ledger",
    "nomogram",
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
    let part = |engine: &mut Tera, name: &'static str, sort: &'static str, what: &'static str, has: Has| {
        let sheet = edition.sheet.clone();
        engine.register_function(name, move |kwargs: Kwargs, state: &State<'_>| {
            let id: String = kwargs.must_get("id")?;
            part(sort, what, &id, &sheet, has, &page_id(&page(state)?))
        });
    };
    part(engine, "layout", "l", "tank drawing", |sheet| sheet.layouts.keys().copied().collect());
    part(engine, "map", "z", "map of speeds", |sheet| sheet.maps.keys().copied().collect());
    part(engine, "nomogram", "n", "nomogram", |sheet| sheet.nomograms.keys().copied().collect());
    part(engine, "timeline", "d", "day", |sheet| sheet.timelines.keys().copied().collect());
    part(engine, "chart", "c", "chart", |sheet| sheet.charts.keys().copied().collect());
    let (sheet, of_atlas) = (edition.sheet.clone(), edition.clone());
    engine.register_function("table", move |kwargs: Kwargs, state: &State<'_>| {
        let (id, place): (String, _) = (kwargs.must_get("id")?, page_id(&page(state)?));
        if id.starts_with(ATLAS) {
            let tables = &of_atlas.atlas().map_err(told)?.sheet.tables;
            let table = tables.get(id.as_str()).ok_or_else(|| unknown("table", &id, tables.keys()))?;
            return Ok(Value::safe_string(&medium.table(table, &place)));
        }
        self::part("t", "table", &id, &sheet, |sheet| sheet.tables.keys().copied().collect(), &place)
    });
    let of_atlas = edition.clone();
    engine.register_function("atlas", move |_: Kwargs, state: &State<'_>| -> Result<Value, Error> {
        let atlas = of_atlas.atlas().map_err(told)?;
        Ok(Value::safe_string(&medium.atlas(atlas, &page_id(&page(state)?))))
    });
    part(engine, "working", "w", "worked example", |sheet| sheet.workings.keys().copied().collect());
    let (rules, catalogue) = (edition.rules.clone(), edition.catalogue.clone());
    engine.register_function("form", move |_: Kwargs, _: &State<'_>| {
        Value::safe_string(&medium.form(&rules, &catalogue))
    });

    let views: Vec<_> = edition.sheet.maps.keys().copied().collect();
    engine.register_function("halftone", move |kwargs: Kwargs, _: &State<'_>| -> Result<Value, Error> {
        let view: String = kwargs.must_get("view")?;
        // A tank without pumps has no map, and its water is still.
        if !views.is_empty() && !views.contains(&view.as_str()) {
            return Err(unknown("map of speeds", &view, views.iter()));
        }
        Ok(Value::safe_string(&forme::gap(&format!("h:{view}"))))
    });

    engine.register_function("rhythm", |_: Kwargs, state: &State<'_>| -> Result<Value, Error> {
        Ok(Value::safe_string(&forme::gap(&format!("r:@{}", page_id(&page(state)?)))))
    });

    let shared = edition.cautions.clone();
    let of_step = shared.clone();
    engine
        .register_function("caution", move |kwargs: Kwargs, _: &State<'_>| caution(&kwargs, &shared, medium));
    engine.register_function("step", move |kwargs: Kwargs, _: &State<'_>| step(&kwargs, &of_step));

    let sheet = edition.sheet.clone();
    engine.register_function("holds", move |kwargs: Kwargs, _: &State<'_>| hold(&kwargs, &sheet));

    let to = record.clone();
    engine.register_function("typed", move |kwargs: Kwargs, state: &State<'_>| typed(&kwargs, state, &to));

    for part in Part::ALL {
        engine.register_function(part.name(), move |_: Kwargs, _: &State<'_>| {
            Value::safe_string(&part.marker())
        });
    }
}

/// The ids of the parts of one sort that a sheet has.
type Has = fn(&Sheet) -> Vec<&'static str>;

/// The mark of a part, once it is known that the tank has it or says why it lacks it.
///
/// - `sort`, `place`: what its key begins with, and what its ids do
fn part(sort: &str, what: &str, id: &str, sheet: &Sheet, has: Has, place: &str) -> Result<Value, Error> {
    let parts = has(sheet);
    if parts.contains(&id) || sheet.lacking(id).is_some() {
        return Ok(Value::safe_string(&forme::gap(&format!("{sort}:{id}@{place}"))));
    }
    let names: Vec<_> = parts.iter().copied().chain(sheet.lacks().map(|(part, _)| part)).collect();
    let near =
        did_you_mean(id, &names).map(|near| Error::message(format!("there is no {what} `{id}`\n{near}")));
    Err(near.unwrap_or_else(|| unknown(what, id, parts.iter())))
}

/// The signal word and the three things that every caution must say: those of the shared caution `id`, but
/// for what the call says itself.
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
            Err(Error::message(format!(
                "`{key}` is empty\nsay the hazard, its consequence and how to avoid it"
            )))
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
            of_key.ok_or_else(|| {
                unknown("signal word", &word, SignalWord::ALL.iter().map(|known| known.key()))
            })?
        }
    };
    Ok(Value::safe_string(&medium.caution(word, &hazard, &consequence, &avoid)))
}

/// What a shared caution asks for, as one step of a list or a table.
fn step(kwargs: &Kwargs, shared: &Cautions) -> Result<Value, Error> {
    let id: String = kwargs.must_get("id")?;
    let caution = shared_caution(&id, shared)?;
    if caution.step.is_empty() {
        return Err(Error::message(format!(
            "the caution `{id}` has no step\nwrite step = \"…\" for it in cautions.toml"
        )));
    }
    Ok(Value::normal_string(&caution.step))
}

fn shared_caution<'c>(id: &str, shared: &'c Cautions) -> Result<&'c Caution, Error> {
    shared.get(id).ok_or_else(|| unknown("shared caution", id, shared.keys()))
}

/// The mark of a claim that can be read. Whether it holds is asked when its words are set.
fn hold(kwargs: &Kwargs, sheet: &Sheet) -> Result<Value, Error> {
    let that: String = kwargs.must_get("that")?;
    claims::holds(&that, sheet).map_err(Error::message)?;
    Ok(Value::safe_string(&forme::claim(&that)))
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

/// What is wrong elsewhere, at the call that needed it.
fn told(errors: Diagnostics) -> Error {
    Error::message(errors.0.into_iter().map(|error| error.message).collect::<Vec<_>>().join("\n"))
}

fn page(state: &State<'_>) -> Result<String, Error> {
    Ok(state.get::<String>(PAGE)?.unwrap_or_default())
}

/// A page's path as the start of an HTML id: every id is unique in the whole book, because mdBook also prints
/// it as one page.
pub fn page_id(path: &str) -> String {
    path.trim_end_matches(".md").replace(['/', ' '], "-")
}

fn unknown<S: AsRef<str>>(what: &str, id: &str, known: impl Iterator<Item = S>) -> Error {
    let known: Vec<_> = known.map(|key| key.as_ref().to_owned()).collect();
    let all = || {
        if known.is_empty() {
            "the book has none".to_owned()
        } else {
            format!("there are {}", known.join(", "))
        }
    };
    let hint = did_you_mean(id, &known).unwrap_or_else(all);
    Error::message(format!("there is no {what} `{id}`\n{hint}"))
}
