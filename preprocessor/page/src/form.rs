//! The form in which a reader types a tank: made from the keys of the tank file, so that the two can not
//! differ.
//!
//! It is the same for everybody; a script fills it in and takes what is typed into the text of the tank file.
//! Each field carries the path of its key in `data-path`, as problems and
//! [`edit::values`](reckoner_calc::document::edit::values) name it.

mod shape;

use maud::{Markup, html};
use reckoner_calc::catalogue::PumpModel;
use reckoner_calc::document::Wanted;
use reckoner_calc::quantity::{Kind, Rounding, show};
use reckoner_calc::rules::RuleValue;
use reckoner_calc::{Catalogue, Rules};

use crate::html::{Medium, written};
use crate::tank_file::{Entry, entries, inside, of_table};

pub use shape::shape;

/// What stands open at the top: the keys without which nothing can be reckoned, and what most tanks have.
const OPEN: [(&str, &[&str]); 2] =
    [("The tank", &["name", "glass"]), ("Livestock", &["livestock.now", "livestock.later"])];

/// What is folded: nobody needs it to begin with.
const FOLDED: [(&str, &[&str]); 11] = [
    ("Sand", &["sand"]),
    ("Rock", &["rock", "rock_piece"]),
    (
        "Sump, return line and skimmer",
        &["sump", "rear_chamber", "return", "overflow", "return_chamber", "skimmer"],
    ),
    ("Fish", &["fish"]),
    ("Pumps", &["pump", "model", "lights"]),
    ("Backup for a power cut", &["battery", "air_pump"]),
    ("Bed and home", &["home"]),
    ("Water", &["water"]),
    ("What you measured", &["measured"]),
    ("What the plan must keep to", &["wishes"]),
    ("More on the tank", &["stand", "livestock.counts", "map", "about", "id"]),
];

/// What only the file says.
#[cfg(test)]
const IN_THE_FILE: [&str; 2] = ["programme", "feeding"];

/// What the ids of the rules begin with that tell the mass of a fish.
const FISH: &str = "oxygen.fish_";

impl Medium {
    /// The form, hidden until a script takes care of it; nothing where there are no forms.
    pub fn form(self, rules: &Rules, catalogue: &Catalogue) -> String {
        if self == Medium::Html { form(rules, catalogue) } else { String::new() }
    }
}

fn form(rules: &Rules, catalogue: &Catalogue) -> String {
    let form = Form { entries: entries(rules), rules, catalogue };
    let tab = |name: &str, words: &str, is_first: bool| {
        html! {
            button type="button" role="tab" id={ "tank-tab-" (name) } aria-controls={ "tank-panel-" (name) } aria-selected=(is_first)
                tabindex=[(!is_first).then_some("-1")] { (words) }
        }
    };
    written(&html! {
        div id="tank-form" hidden {
            div class="tabs" role="tablist" aria-label="Two ways to write the tank" {
                (tab("form", "Form", true))
                (tab("file", "As a file", false))
            }
            p id="tank-state" role="status" {}
            div role="tabpanel" id="tank-panel-form" aria-labelledby="tank-tab-form" {
                form novalidate autocomplete="off" {
                    @for (at, (heading, paths)) in OPEN.into_iter().enumerate() {
                        fieldset class="group" {
                            legend { (heading) }
                            (form.group(paths))
                            @if at == 0 { div id="tank-shape" {} }
                        }
                    }
                    @for (heading, paths) in FOLDED {
                        details class="group" { summary { (heading) } (form.group(paths)) }
                    }
                }
            }
            div role="tabpanel" id="tank-panel-file" aria-labelledby="tank-tab-file" hidden {
                label for="tank-file" { "The tank file" }
                p class="hint" id="tank-file-hint" {
                    "The same that " code { "reckoner sheet" } " reads. The programme of the pumps and the feedings stand only here."
                }
                textarea id="tank-file" rows="24" spellcheck="false" autocomplete="off" autocapitalize="off" wrap="off"
                    aria-describedby="tank-file-hint tank-file-problems" {}
                ul id="tank-file-problems" class="problem" {}
            }
            (keep())
        }
    })
}

/// What can be done with a tank that was typed.
fn keep() -> Markup {
    let button = |name: &str, words: &str| html! { button type="button" data-keep=(name) { (words) } };
    html! {
        fieldset id="tank-keep" class="group" {
            legend { "Keep it, and hand it on" }
            p class="hint" { "Your browser keeps the tank on this machine, where it can. It is sent nowhere, but whoever uses the same browser sees it." }
            p class="ways" { (button("another", "Type another tank")) " " (button("forget", "Forget this tank")) }
            p class="ways" { (button("file", "Save as a file")) " " (button("link", "Copy a link")) }
            p class="ways" {
                label for="tank-import" { "Open a tank file" } " "
                input type="file" id="tank-import" accept=".toml,application/toml,text/plain";
            }
            p class="hint" { "The file is the one that the command line reads. The link carries the whole tank, for a friend or another machine." }
            p class="ways" {
                label for="tank-from" { "Care calendar from" } " " input type="date" id="tank-from"; " "
                (button("calendar", "Save the calendar"))
            }
            p class="ways" { (button("programme", "Save the pumps' day (CSV)")) " " (button("sheet", "Save all figures (JSON)")) }
            input type="text" id="tank-link" readonly hidden aria-label="A link to this tank";
            p role="status" {}
        }
    }
}

/// What a new table of a list may begin with: one of its keys with a value, and of a fish its count and mass.
struct Begun {
    key: String,
    value: String,
    count: Option<&'static str>,
    mass: Option<String>,
    words: String,
}

impl Begun {
    fn of(key: &str, value: String) -> Self {
        Begun { key: key.to_owned(), value, count: None, mass: None, words: String::new() }
    }
}

/// What the form is made of.
struct Form<'r> {
    entries: Vec<Entry<'r>>,
    rules: &'r Rules,
    catalogue: &'r Catalogue,
}

impl Form<'_> {
    /// The fields of a group: single keys, and whole tables of them.
    fn group(&self, paths: &[&str]) -> Markup {
        let found = paths.iter().filter_map(|path| self.entries.iter().find(|entry| entry.key.path == *path));
        let is_one_table = paths.len() == 1;
        html! {
            div class="fields" {
                @for entry in found {
                    @match &entry.key.wanted {
                        Wanted::Tables => (self.list(entry)),
                        Wanted::Table if is_one_table || entry.key.required => (self.table(entry)),
                        Wanted::Table => fieldset class="table" { legend { (entry.words.label) } div class="fields" { (self.table(entry)) } },
                        _ => (self.field(entry)),
                    }
                }
            }
        }
    }

    /// What is said of a table, and its fields.
    fn table(&self, entry: &Entry<'_>) -> Markup {
        html! {
            @if !entry.words.remark.is_empty() { p class="hint" { (entry.words.remark) } }
            (self.fields(entry))
        }
    }

    /// The fields of a table, and of the tables in it.
    fn fields(&self, entry: &Entry<'_>) -> Markup {
        let own = of_table(&self.entries, &inside(&entry.key));
        html! {
            @for (at, field) in own.iter().enumerate() {
                // A key that several choices have is one field.
                @if own[..at].iter().all(|before| before.key.path != field.key.path) {
                    @if field.key.wanted == Wanted::Table { (self.table(field)) } @else { (self.field(field)) }
                }
            }
        }
    }

    /// A list of tables: what is there, a pattern for one more, and what it may be.
    fn list(&self, entry: &Entry<'_>) -> Markup {
        let path = &entry.key.path;
        let add = format!("tank-add-{path}");
        html! {
            div class="list" data-list=(path) {
                p class="hint" { (entry.words.remark) }
                div class="tables" {}
                div class="add" {
                    label for=(add) { "One more" }
                    select id=(add) {
                        @for begun in self.begun(entry) {
                            option value=(begun.value) data-key=(begun.key) data-count=[begun.count] data-mass=[begun.mass] { (begun.words) }
                        }
                    }
                    button type="button" data-add=(path) { "Add" }
                }
                div hidden data-pattern=(path) {
                    fieldset class="table" {
                        legend {}
                        div class="fields" { (self.fields(entry)) }
                        button type="button" data-remove {}
                    }
                }
            }
        }
    }

    /// What a new table of a list may begin with.
    fn begun(&self, entry: &Entry<'_>) -> Vec<Begun> {
        let own = of_table(&self.entries, &inside(&entry.key));
        match entry.key.path.as_str() {
            "fish" => {
                let some =
                    self.rules.all.iter().filter(|rule| rule.id.starts_with(FISH)).filter_map(|rule| {
                        match &rule.value {
                            RuleValue::One(mass) if mass.kind == Kind::Mass => {
                                Some((rule.title.clone(), show(*mass, Rounding::Nearest)))
                            }
                            _ => None,
                        }
                    });
                let some = some.map(|(name, mass)| Begun {
                    words: format!("{name}, {mass}"),
                    mass: Some(mass.metric.to_string().replace('\u{a0}', " ")),
                    ..Begun::of("name", name)
                });
                let other = Begun {
                    words: "another fish, weighed or judged".to_owned(),
                    ..Begun::of("name", "Fish".to_owned())
                };
                some.chain([other]).map(|fish| Begun { count: Some("1"), ..fish }).collect()
            }
            "pump" => {
                let pump = |pump: &PumpModel| Begun {
                    words: offered(pump),
                    ..Begun::of("model", pump.model.clone())
                };
                self.catalogue.pumps.iter().map(pump).collect()
            }
            _ => {
                let Some(field) = own.iter().find(|field| matches!(field.key.wanted, Wanted::Choice(_)))
                else {
                    return Vec::new();
                };
                let kind = |word: &String| Begun {
                    words: field.choice(word).to_owned(),
                    ..Begun::of(field.key.name(), word.clone())
                };
                field.key.wanted.words().iter().map(kind).collect()
            }
        }
    }

    /// The pumps of the catalogue.
    fn models(&self) -> Markup {
        html! {
            @for pump in &self.catalogue.pumps {
                option value=(pump.model) { (offered(pump)) }
            }
        }
    }

    /// One field with its label, its hint and the place of its problem.
    fn field(&self, entry: &Entry<'_>) -> Markup {
        let Entry { key, words, .. } = entry;
        let id = format!("tank-{}", key.path.replace(['.', '[', ']'], "-"));
        let (hint_id, problem_id) = (format!("{id}-hint"), format!("{id}-problem"));
        let hint = hint(entry);
        let described = if hint.is_empty() { problem_id.clone() } else { format!("{hint_id} {problem_id}") };
        let when = self.when(entry);
        let place = html! {
            @if !hint.is_empty() { p class="hint" id=(hint_id) { (hint) } }
            p class="problem" id=(problem_id) {}
        };
        let label = html! { label for=(id) { (words.label) } };
        let (on, of) = (when.as_ref().map(|(key, _)| key), when.as_ref().map(|(_, words)| words));
        let required = key.required.then_some("true");
        match &key.wanted {
            Wanted::Choices(choices) => html! {
                fieldset class="field" data-path=(key.path) aria-describedby=(described) {
                    legend { (words.label) }
                    @for choice in choices {
                        label class="choice" { input type="checkbox" value=(choice); " " (entry.choice(choice)) }
                    }
                    (place)
                }
            },
            Wanted::Flag => html! {
                div class="field" data-path=(key.path) data-when=[on] data-of=[of] {
                    span class="choice" { input type="checkbox" id=(id) value="true" aria-describedby=(described); " " (label) }
                    (place)
                }
            },
            Wanted::Choice(_) => html! {
                div class="field" data-path=(key.path) data-when=[on] data-of=[of] {
                    (label)
                    select id=(id) aria-describedby=(described) aria-required=[required] { (nothing(entry)) (choices(entry)) }
                    (place)
                }
            },
            _ if key.path == "pump[].model" => html! {
                div class="field" data-path=(key.path) {
                    (label)
                    select id=(id) aria-describedby=(described) aria-required=[required] data-models { (nothing(entry)) (self.models()) }
                    (place)
                }
            },
            wanted => html! {
                div class="field" data-path=(key.path) data-when=[on] data-of=[of] {
                    (label)
                    input type="text" id=(id) inputmode=(keyboard(wanted)) spellcheck="false" aria-describedby=(described)
                        aria-required=[required];
                    (place)
                }
            },
        }
    }

    /// The path of the key on whose choice this one depends, and with which of its choices it belongs there.
    fn when(&self, entry: &Entry<'_>) -> Option<(String, String)> {
        let same = self
            .entries
            .iter()
            .filter(|other| other.key.path == entry.key.path)
            .filter_map(|other| other.key.when.as_ref());
        let words: Vec<_> = same.flat_map(|when| when.words.iter().map(String::as_str)).collect();
        let on = entry.key.when.as_ref()?;
        (!words.is_empty()).then(|| (on.key.clone(), words.join(" ")))
    }
}

/// A model of the catalogue in words.
fn offered(pump: &PumpModel) -> String {
    format!("{}, {}", pump.model, show(pump.rated_flow.into(), Rounding::Nearest))
}

/// The choice that nothing is chosen, and what then counts.
fn nothing(entry: &Entry<'_>) -> Markup {
    match &entry.key.default {
        Some(default) => html! { option value="" { "not said: " (entry.choice(default)) } },
        None => html! { option value="" { "not chosen yet" } },
    }
}

fn choices(entry: &Entry<'_>) -> Markup {
    html! { @for choice in entry.key.wanted.words() { option value=(choice) { (entry.choice(choice)) } } }
}

/// What a field says of itself: its remark, what could be typed, and what counts when nothing is.
fn hint(entry: &Entry<'_>) -> String {
    let Entry { key, words, .. } = entry;
    let mut said = vec![words.remark.clone()];
    // A name is the reader's own.
    if !words.examples.is_empty() && matches!(key.wanted, Wanted::Quantity { .. }) {
        said.push(format!("Such as {}.", words.examples.join(" or ")));
    }
    if let Some(default) = key.default.as_ref().filter(|_| key.wanted.words().is_empty()) {
        said.push(format!("Left out, it counts as {default}."));
    }
    said.retain(|said| !said.is_empty());
    said.join(" ")
}

/// Which keys a phone shows: those with letters, unless there is no unit to type.
fn keyboard(wanted: &Wanted) -> &'static str {
    match wanted {
        Wanted::Quantity { kind: Kind::Count, .. } => "numeric",
        Wanted::Quantity { kind, .. } if kind.is_bare() => "decimal",
        _ => "text",
    }
}

#[cfg(test)]
mod tests;
