//! The JSON Schema of a tank file, so that an editor knows its keys.
//!
//! What only the whole file tells, such as a pump that hangs above the water, it leaves to `reckoner sheet`.

use reckoner_calc::Rules;
use reckoner_calc::document::{Key, Wanted};
use reckoner_calc::quantity::{CURRENCIES, Kind, UNITS};
use serde_json::{Map, Value, json};

use super::{Entry, entries, inside, of_table};

/// The schema, ready to be written.
pub fn schema(rules: &Rules) -> String {
    let entries = entries(rules);
    let mut schema = json!({ "$schema": "https://json-schema.org/draft/2020-12/schema", "title": "A tank file of the Reef Reckoner" });
    if let (Value::Object(schema), Value::Object(table)) = (&mut schema, table(&entries, "")) {
        schema.extend(table);
    }
    serde_json::to_string_pretty(&schema).unwrap_or_default() + "\n"
}

/// A table of the file.
fn table(entries: &[Entry<'_>], path: &str) -> Value {
    let own = of_table(entries, path);
    let mut properties = Map::new();
    for entry in &own {
        // What depends on a choice is told there, once for each.
        let is_known = properties.contains_key(entry.key.name());
        let schema = if is_known { json!(true) } else { of_entry(entry, entries) };
        properties.insert(entry.key.name().to_owned(), schema);
    }
    let required: Vec<_> = own
        .iter()
        .filter(|entry| entry.key.required && entry.key.when.is_none())
        .map(|entry| entry.key.name())
        .collect();
    let mut schema = json!({ "type": "object", "properties": properties, "required": required, "additionalProperties": false });
    let depending: Vec<_> = own.iter().flat_map(|entry| choices(entry, &own, entries)).collect();
    if !depending.is_empty() {
        schema["allOf"] = json!(depending);
    }
    let alternatives: Vec<_> = own
        .iter()
        .filter(|entry| entry.is_alternative())
        .map(|entry| json!({ "required": [entry.key.name()] }))
        .collect();
    if !alternatives.is_empty() {
        schema["oneOf"] = json!(alternatives);
        schema["dependentRequired"] = beside(&own);
    }
    schema
}

/// Which keys belong there only beside another one.
fn beside(own: &[&Entry<'_>]) -> Value {
    let mut needs = Map::new();
    for entry in own.iter().filter(|entry| !entry.is_alternative()) {
        if let Some(when) = entry.key.when.as_ref().filter(|when| when.words.is_empty()) {
            needs.insert(entry.key.name().to_owned(), json!([name(&when.key)]));
        }
    }
    Value::Object(needs)
}

/// For each choice of a key, what belongs beside it and what does not.
fn choices(entry: &Entry<'_>, own: &[&Entry<'_>], entries: &[Entry<'_>]) -> Vec<Value> {
    let depends = |other: &&&Entry<'_>| {
        other.key.when.as_ref().is_some_and(|when| when.key == entry.key.path && !when.words.is_empty())
    };
    let depending: Vec<_> = own.iter().filter(depends).collect();
    let words = entry.key.wanted.words().iter().filter(|_| !depending.is_empty());
    let one = |word: &String| {
        let (mut properties, mut required) = (Map::new(), Vec::new());
        for other in &depending {
            let name = other.key.name();
            if other.key.when.as_ref().is_some_and(|when| when.words.contains(word)) {
                properties.insert(name.to_owned(), of_entry(other, entries));
                required.extend(other.key.required.then_some(name));
            } else {
                properties.entry(name).or_insert(json!(false));
            }
        }
        let name = entry.key.name();
        // Where it is left out, the choice that is then taken counts.
        let needed: &[&str] = if entry.key.default.as_ref() == Some(word) { &[] } else { &[name] };
        json!({
            "if": { "properties": { name: { "const": word } }, "required": needed },
            "then": { "properties": properties, "required": required },
        })
    };
    words.map(one).collect()
}

/// The value of a key, with what is said of it.
fn of_entry(entry: &Entry<'_>, entries: &[Entry<'_>]) -> Value {
    let Entry { key, words, .. } = entry;
    let mut schema = match &key.wanted {
        Wanted::Table => table(entries, &inside(key)),
        Wanted::Tables => json!({ "type": "array", "items": table(entries, &inside(key)) }),
        Wanted::Text => json!({ "type": "string", "pattern": "\\S" }),
        Wanted::Texts => json!({ "type": "array", "minItems": 1, "items": { "type": "string" } }),
        Wanted::Flag => json!({ "type": "boolean" }),
        Wanted::Quantity { kind, range } => quantity(*kind, range.as_ref()),
        Wanted::Quantities(kind) => json!({ "type": "array", "minItems": 1, "items": quantity(*kind, None) }),
        Wanted::Numbers => json!({ "type": "array", "items": { "type": "number" } }),
        Wanted::Choice(words) => json!({ "enum": words }),
        Wanted::Choices(words) => {
            json!({ "anyOf": [{ "enum": words }, { "type": "array", "minItems": 1, "uniqueItems": true, "items": { "enum": words } }] })
        }
    };
    schema["title"] = json!(words.label);
    let said = describe(entry, key);
    if !said.is_empty() {
        schema["description"] = json!(said);
    }
    if !words.examples.is_empty() {
        schema["examples"] = json!(words.examples);
    }
    schema
}

/// The remark on a key, its range, its choices in words, and what is taken when it is left out.
fn describe(entry: &Entry<'_>, key: &Key) -> String {
    let mut said = vec![entry.words.remark.clone()];
    if let Wanted::Quantity { range: Some([low, high]), .. } = &key.wanted {
        said.push(format!("From {low} to {high}."));
    }
    let choices: Vec<_> = key
        .wanted
        .words()
        .iter()
        .map(|word| (word, entry.choice(word)))
        .filter(|(word, words)| word != words)
        .collect();
    if !choices.is_empty() {
        said.push(format!(
            "{}.",
            choices.iter().map(|(word, words)| format!("{word}: {words}")).collect::<Vec<_>>().join("; ")
        ));
    }
    said.extend(key.default.as_ref().map(|default| format!("Left out, it counts as {default}.")));
    said.retain(|said| !said.is_empty());
    said.join(" ")
}

/// A quantity: a text that begins with a number and ends with one of its units, or a plain number where it
/// has none.
fn quantity(kind: Kind, range: Option<&[String; 2]>) -> Value {
    if !kind.is_bare() {
        return json!({ "type": "string", "pattern": pattern(kind) });
    }
    let plain = if kind == Kind::Count { "integer" } else { "number" };
    let mut schema =
        json!({ "type": [plain, "string"], "pattern": format!("^\\s*[{NUMBER}][{NUMBER},/ ]*$") });
    if let Some([low, high]) = range {
        for (bound, end) in [("minimum", low), ("maximum", high)] {
            if let Ok(end) = end.parse::<f64>() {
                schema[bound] = json!(end);
            }
        }
    }
    schema
}

/// What a number begins with, in a class of a pattern.
const NUMBER: &str = "-+\u{2212}.0-9\u{bc}-\u{be}\u{2150}-\u{215e}";

/// A pattern for a number with a unit, in small letters or capitals.
fn pattern(kind: Kind) -> String {
    let units: Vec<_> = match kind {
        Kind::Money(_) => CURRENCIES.iter().map(|code| any_case(code)).collect(),
        kind => UNITS
            .iter()
            .filter(|unit| unit.kind == kind)
            .flat_map(|unit| unit.names)
            .map(|name| any_case(name))
            .collect(),
    };
    format!("^\\s*[{NUMBER}](.*[^A-Za-z])?({})\\.?\\s*$", units.join("|"))
}

fn any_case(unit: &str) -> String {
    let any = |c: char| match c {
        ' ' => "\\s+".to_owned(),
        c if c.is_ascii_alphabetic() => format!("[{}{}]\\.?", c.to_ascii_lowercase(), c.to_ascii_uppercase()),
        c if "()/.^$*+?|\\[]{}".contains(c) => format!("\\{c}"),
        c => c.to_string(),
    };
    unit.chars().map(any).collect()
}

fn name(path: &str) -> &str {
    path.rsplit('.').next().unwrap_or_default()
}
