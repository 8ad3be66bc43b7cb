//! The words that people read: titles, captions, reasons, steps.
//!
//! They live in `calc/rules/words/TOPIC.toml` and nowhere else, and a folder of rules may replace any of them
//! in a `words/TOPIC.toml` of its own. A file holds
//!
//! - `[title]`: what a figure is, by its id; in those of cells, `*` is any row
//! - `[table.ID]`: the `caption` of a table and the `heads` of its columns
//! - `[picture.ID]`: the `title` of a chart, a drawing or a day, its `description` for whoever can not see
//!   it, and what its axes `x` and `y` are
//! - `[working.ID]`: the `title` of a worked example, and how to `tell` that it is right
//! - `[key.PATH]`: the `label` of a key of a tank file, a `remark` on it, `examples` of its value, and what
//!   each of its `choices` is
//! - `[say]`: everything else, by a key; what stands in braces is filled in

use std::fmt::Display;
use std::sync::Arc;

use super::Tables;
use crate::ordered::Map;

reckoner_macros::words! {
    /// All words that people read, by topic.
    pub struct Words in "rules/words":
        assumed,
        atlas,
        circuit,
        cost,
        evaporation,
        fit,
        glass,
        growth,
        heat,
        measured,
        mixing,
        oxygen,
        paper,
        placement,
        plan,
        power,
        power_cut,
        programme,
        return_line,
        sand,
        seawater,
        settling,
        sound,
        speed_map,
        speeds,
        stream,
        tank,
        team,
        turnover,
        upgrade,
        upkeep,
        volume,
        waves,
        weir,
        zones,
}

impl Words {
    /// What a figure is; its id, where nobody says it.
    pub(crate) fn title<'w>(&'w self, id: &'w str) -> &'w str {
        let exact = || self.parts.titles.get(id);
        let of_table = || self.parts.rows.get(table(id)).map_or(&[][..], Vec::as_slice);
        let of_rows = || of_table().iter().find(|(pattern, _)| matches(pattern, id)).map(|(_, title)| title);
        exact().or_else(of_rows).map_or(id, String::as_str)
    }

    /// The caption of a table; its id, where nobody says it.
    pub(crate) fn caption<'w>(&'w self, id: &'w str) -> &'w str {
        self.parts.captions.get(id).map_or(id, String::as_str)
    }

    /// The heads of a table's columns.
    pub(crate) fn heads(&self, id: &str) -> &[String] {
        self.parts.heads.get(id).map_or(&[], Vec::as_slice)
    }

    /// What is written on and beside a picture.
    pub(crate) fn picture(&self, id: &str) -> Option<&Picture> {
        self.parts.pictures.get(id)
    }

    /// What is said of a key of a tank file, by its path such as `fish[].mass`.
    pub fn key(&self, path: &str) -> Option<&KeyWords> {
        self.parts.keys.get(path)
    }

    /// The paths of all keys of a tank file of which something is said.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        self.parts.keys.keys().map(String::as_str)
    }

    /// What a worked example asks, and how to tell that it is right.
    pub(crate) fn working(&self, id: &str) -> Option<&Working> {
        self.parts.workings.get(id)
    }
}

/// The table that a cell belongs to, by the cell's id or the pattern of a column.
fn table(id: &str) -> &str {
    id.split('.').next().unwrap_or(id)
}

/// Whether an id is one of those that a pattern stands for: `*` is any part between two dots.
fn matches(pattern: &str, id: &str) -> bool {
    let (mut wanted, mut parts) = (pattern.split('.'), id.split('.'));
    loop {
        match (wanted.next(), parts.next()) {
            (None, None) => return true,
            (Some(wanted), Some(part)) if wanted == "*" || wanted == part => {}
            _ => return false,
        }
    }
}

/// The words of what stands on a sheet, by its id.
#[derive(Debug, Clone, Default)]
pub(crate) struct Parts {
    titles: Map<String, String>,
    /// Titles of the cells of a column, by a pattern of their ids; those of each table by its id.
    rows: Map<String, Vec<(String, String)>>,
    captions: Map<String, String>,
    heads: Map<String, Vec<String>>,
    pictures: Map<String, Picture>,
    workings: Map<String, Working>,
    keys: Map<String, KeyWords>,
}

/// What is said of a key of a tank file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyWords {
    /// What a form calls it.
    pub label: String,
    /// What it is, in a sentence or two; empty where the label says all.
    pub remark: String,
    /// Values as somebody would write them, such as one in metric and one in US units; none of a table, a
    /// choice, and of what is true or false.
    pub examples: Vec<String>,
    /// Its choices in words, by the word of each; none where those speak for themselves.
    pub choices: Vec<(String, String)>,
}

impl KeyWords {
    /// A choice in words.
    pub fn choice<'w>(&'w self, word: &'w str) -> &'w str {
        self.choices.iter().find(|(known, _)| known == word).map_or(word, |(_, words)| words)
    }
}

/// What is written on and beside a picture; empty where its topic fills it in.
#[derive(Debug, Clone, Default)]
pub(crate) struct Picture {
    pub(crate) title: String,
    pub(crate) description: String,
    pub(crate) x: String,
    pub(crate) y: String,
}

/// What is said beside a worked example.
#[derive(Debug, Clone, Default)]
pub(crate) struct Working {
    pub(crate) title: String,
    pub(crate) tell: String,
}

/// A key of `[say]` with the places of its text.
type Key = (&'static str, &'static [&'static str]);

/// The texts of `[say]`, in the order of their keys.
#[derive(Debug, Clone)]
pub(super) struct Texts(Arc<[Text]>);

impl Texts {
    fn text(&self, at: usize) -> &str {
        match &*self.0[at].pieces {
            [Piece::Words(words)] => words,
            _ => "",
        }
    }

    fn filled(&self, at: usize, given: &[&dyn Display]) -> String {
        let piece = |piece: &Piece| match piece {
            Piece::Words(words) => words.clone(),
            Piece::Given(place) => given[*place].to_string(),
        };
        self.0[at].pieces.iter().map(piece).collect()
    }
}

/// A text, cut at its places.
#[derive(Debug, Clone)]
struct Text {
    pieces: Vec<Piece>,
}

#[derive(Debug, Clone)]
enum Piece {
    Words(String),
    Given(usize),
}

impl Text {
    /// Cuts a text at its places.
    ///
    /// # Errors
    /// The first one that is not among those given, that does not end or that is left out.
    fn read(text: &str, places: &[&str]) -> Result<Self, String> {
        let mut pieces = Vec::new();
        let mut rest = text;
        while let Some((before, after)) = rest.split_once('{') {
            let (name, after) = after.split_once('}').ok_or("a brace is not closed")?;
            let place = places
                .iter()
                .position(|place| *place == name)
                .ok_or_else(|| format!("nothing fills `{{{name}}}` in here"))?;
            pieces.extend([Piece::Words(before.to_owned()), Piece::Given(place)]);
            rest = after;
        }
        pieces.push(Piece::Words(rest.to_owned()));
        // What is left out may be what matters: how long, how much, which pump.
        let is_said =
            |place: &usize| pieces.iter().any(|piece| matches!(piece, Piece::Given(said) if said == place));
        if let Some(missing) = (0..places.len()).find(|place| !is_said(place)) {
            return Err(format!("`{{{}}}` is left out", places[missing]));
        }
        pieces.retain(|piece| !matches!(piece, Piece::Words(words) if words.is_empty()));
        Ok(Text { pieces })
    }
}

/// Reads the words of a topic: the texts of `[say]`, and into `parts` those of what stands on the sheet.
pub(super) fn read(mut tables: Tables<'_, '_, '_>, keys: &[Key], parts: &mut Parts) -> Option<Texts> {
    let sections = tables.table.keys();
    let has = |section: &str| sections.iter().any(|key| key == section);
    let mut is_whole = true;
    let mut each = |section: &str, take: &mut dyn FnMut(String, &mut Tables<'_, '_, '_>) -> Option<()>| {
        if has(section) {
            let all = |mut of: Tables<'_, '_, '_>| {
                let ids = of.table.keys();
                let read: Vec<_> = ids.into_iter().map(|id| take(id, &mut of)).collect();
                read.into_iter().collect::<Option<()>>()
            };
            is_whole &= tables.within(section, all).is_some();
        }
    };
    each("title", &mut |id, of| {
        let title = of.text(&id)?;
        if id.contains('*') {
            let mut rows = parts.rows.remove(table(&id)).unwrap_or_default();
            let table = table(&id).to_owned();
            rows.push((id, title));
            parts.rows.insert(table, rows);
        } else {
            parts.titles.insert(id, title);
        }
        Some(())
    });
    each("table", &mut |id, of| {
        of.within(&id, |mut of| {
            if let Some(caption) = of.maybe_text("caption")? {
                parts.captions.insert(id.clone(), caption);
            }
            if let Some(heads) = of.maybe_texts("heads")? {
                parts.heads.insert(id.clone(), heads);
            }
            Some(())
        })
    });
    each("picture", &mut |id, of| {
        of.within(&id, |mut of| {
            let mut text = |key| of.maybe_text(key).map(Option::unwrap_or_default);
            let (title, description, x, y) = (text("title"), text("description"), text("x"), text("y"));
            parts
                .pictures
                .insert(id.clone(), Picture { title: title?, description: description?, x: x?, y: y? });
            Some(())
        })
    });
    each("key", &mut |path, of| {
        let read = of.within(&path, |mut of| {
            let (label, remark) = (of.text("label"), of.maybe_text("remark"));
            let examples = of.maybe_texts("examples");
            let choices = if of.keys().iter().any(|key| key == "choices") {
                of.within("choices", read_choices)
            } else {
                Some(Vec::new())
            };
            let (remark, examples) = (remark?.unwrap_or_default(), examples?.unwrap_or_default());
            Some(KeyWords { label: label?, remark, examples, choices: choices? })
        })?;
        parts.keys.insert(path, read);
        Some(())
    });
    each("working", &mut |id, of| {
        of.within(&id, |mut of| {
            let (title, tell) = (of.text("title"), of.text("tell"));
            parts.workings.insert(id.clone(), Working { title: title?, tell: tell? });
            Some(())
        })
    });
    let say = |mut of: Tables<'_, '_, '_>| {
        let text = |(key, places): &Key| {
            let text = of.text(key)?;
            Text::read(&text, places).map_err(|why| of.refuse(key, why, &filled_in(places))).ok()
        };
        let texts: Vec<_> = keys.iter().map(text).collect();
        texts.into_iter().collect::<Option<Arc<[Text]>>>()
    };
    let texts = if keys.is_empty() { Some(Arc::from([])) } else { tables.within("say", say) };
    texts.filter(|_| is_whole).map(Texts)
}

/// Reads what each choice of a key is.
fn read_choices(mut of: Tables<'_, '_, '_>) -> Option<Vec<(String, String)>> {
    let words = of.keys();
    let read: Vec<_> = words.into_iter().map(|word| Some((word.clone(), of.text(&word)?))).collect();
    read.into_iter().collect()
}

fn filled_in(places: &[&str]) -> String {
    match places {
        [] => "write it without braces".to_owned(),
        places => format!(
            "what is filled in here: {}",
            places.iter().map(|place| format!("{{{place}}}")).collect::<Vec<_>>().join(", ")
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_filled_by_their_names_in_any_order() {
        let text = Text::read("{b} before {a}, and {b}.", &["a", "b"]).unwrap();
        let texts = Texts(Arc::from([text]));
        assert_eq!(texts.filled(0, &[&1, &"two"]), "two before 1, and two.");
        assert_eq!(Text::read("{c}", &["a"]).unwrap_err(), "nothing fills `{c}` in here");
        assert_eq!(Text::read("{a", &["a"]).unwrap_err(), "a brace is not closed");
        assert_eq!(Text::read("{a} alone", &["a", "b"]).unwrap_err(), "`{b}` is left out");
    }

    #[test]
    fn a_star_is_any_row() {
        assert!(matches("power_cut_hours.*.left", "power_cut_hours.12.left"));
        assert!(matches("tank.water", "tank.water"));
        assert!(!matches("power_cut_hours.*", "power_cut_hours.12.left"));
        assert!(!matches("power_cut_hours.*.left", "power_cut_hours.12.right"));
    }
}
