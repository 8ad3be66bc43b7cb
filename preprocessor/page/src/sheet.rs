//! A tank's sheet outside the book: as text for the terminal, as JSON and as CSV for other programs.

use reckoner_calc::Sheet;
use reckoner_calc::quantity::System;
use reckoner_calc::sheet::{Cell, Figure, Row, Sum, Table, Value, Working};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::csv;
use crate::html::sum_text;

/// A sheet, as its JSON file holds it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SheetFile {
    /// The layout of this file; readers refuse one they do not know.
    pub format: u32,
    /// The tank's name.
    pub tank: String,
    /// One sentence about it.
    pub about: String,
    /// The figures in the order in which they are reckoned; the rules are the first of them.
    pub figures: Vec<FigureEntry>,
    /// The tables by id.
    pub tables: Vec<TableEntry>,
    /// The worked examples by id.
    pub workings: Vec<WorkingEntry>,
}

/// One figure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FigureEntry {
    /// Its id, for instance `tank.water`.
    pub id: String,
    /// What it is, in plain words.
    pub title: String,
    /// The value, or the low end of a range, in `unit`; none for words.
    pub low: Option<f64>,
    /// The value, or the high end of a range, in `unit`; none for words.
    pub high: Option<f64>,
    /// The unit of `low` and `high`; empty for words.
    pub unit: String,
    /// As printed in metric units.
    pub metric: String,
    /// As printed in US units.
    pub us: String,
    /// How it is reckoned, in words.
    pub formula: String,
    /// The ids of the figures that went in.
    pub inputs: Vec<String>,
    /// The ids of the rules that went in.
    pub rules: Vec<String>,
    /// Whether the tank file leaves it out, so that it is assumed.
    #[serde(default)]
    pub assumed: bool,
}

/// One table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TableEntry {
    /// Its id, for instance `bands`.
    pub id: String,
    /// What it shows.
    pub caption: String,
    /// The heads of its columns.
    pub heads: Vec<String>,
    /// Its rows.
    pub rows: Vec<Vec<CellEntry>>,
}

/// One cell of a table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum CellEntry {
    /// A figure.
    Figure(Box<FigureEntry>),
    /// Words.
    Words(String),
}

/// One worked example.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct WorkingEntry {
    /// Its id, for instance `flow_to_aim_for`.
    pub id: String,
    /// The question it answers.
    pub title: String,
    /// The ids of the figures that are given.
    pub given: Vec<String>,
    /// The formula in words.
    pub formula: String,
    /// The sums with their printed digits, one for each system.
    pub sums: Vec<String>,
    /// The id of the figure that is the answer.
    pub answer: String,
    /// How a reader can tell that the answer is right.
    pub tell: String,
}

/// The layout of the JSON file.
pub const FORMAT: u32 = 1;

impl SheetFile {
    /// Everything on a sheet but its charts.
    pub fn of(sheet: &Sheet) -> Self {
        SheetFile {
            format: FORMAT,
            tank: sheet.name.clone(),
            about: sheet.about.clone(),
            figures: sheet.figures().iter().map(FigureEntry::of).collect(),
            tables: sheet.tables.values().map(TableEntry::of).collect(),
            workings: sheet.workings.values().map(WorkingEntry::of).collect(),
        }
    }

    /// As JSON, indented.
    pub fn to_json(&self) -> String {
        // Strings, numbers and lists of them always serialise.
        serde_json::to_string_pretty(self).unwrap_or_default() + "\n"
    }

    /// The JSON Schema of the file.
    pub fn schema() -> String {
        serde_json::to_string_pretty(&schemars::schema_for!(SheetFile)).unwrap_or_default() + "\n"
    }

    /// The figures as CSV, with a line of column names: `id`, `title`, `low`, `high`, `unit`, `metric`, `us`.
    pub fn to_csv(&self) -> String {
        let number = |value: Option<f64>| value.map(|value| value.to_string()).unwrap_or_default();
        let row = |figure: &FigureEntry| {
            let (low, high) = (number(figure.low), number(figure.high));
            csv::line([&figure.id, &figure.title, &low, &high, &figure.unit, &figure.metric, &figure.us])
        };
        csv::line(["id", "title", "low", "high", "unit", "metric", "us"])
            + &self.figures.iter().map(row).collect::<String>()
    }
}

impl FigureEntry {
    fn of(figure: &Figure) -> Self {
        let (low, high, unit) = match &figure.value {
            Value::One(value) => (Some(value.si), Some(value.si), value.kind.si_unit()),
            Value::Range(low, high) => (Some(low.si), Some(high.si), high.kind.si_unit()),
            Value::Words(_) => (None, None, ""),
        };
        let reading = |system| {
            plain(&figure.shown().map_or_else(|| figure.text(), |shown| shown.in_system(system).to_string()))
        };
        FigureEntry {
            id: figure.id.clone(),
            title: plain(&figure.title),
            low,
            high,
            unit: unit.to_owned(),
            metric: reading(System::Metric),
            us: reading(System::Us),
            formula: figure.formula.to_owned(),
            inputs: figure.inputs.iter().map(String::from).collect(),
            rules: figure.rules.iter().map(String::from).collect(),
            assumed: figure.assumed,
        }
    }
}

impl TableEntry {
    fn of(table: &Table) -> Self {
        let cell = |cell: &Cell| match cell {
            Cell::Figure(figure) => CellEntry::Figure(Box::new(FigureEntry::of(figure))),
            Cell::Words(words) => CellEntry::Words(plain(words)),
        };
        TableEntry {
            id: table.id.to_owned(),
            caption: plain(&table.caption),
            heads: table.heads.iter().map(|head| plain(head)).collect(),
            rows: table
                .rows
                .iter()
                .map(|row| std::iter::once(&row.head).chain(&row.cells).map(cell).collect())
                .collect(),
        }
    }
}

impl WorkingEntry {
    fn of(working: &Working) -> Self {
        WorkingEntry {
            id: working.id.to_owned(),
            title: working.title.to_owned(),
            given: working.given.iter().map(|id| (*id).to_owned()).collect(),
            formula: working.formula.to_owned(),
            sums: working.sums.iter().map(sum).collect(),
            answer: working.answer.to_owned(),
            tell: working.tell.to_owned(),
        }
    }
}

/// For the terminal: what matters most at a glance, then all figures but the rules under a head for each
/// group, the worked examples, the tables, and what the reader could add.
pub fn text(sheet: &Sheet) -> String {
    let mut out = format!("{}\n", sheet.name);
    if !sheet.about.is_empty() {
        out.push_str(&format!("{}\n", sheet.about));
    }
    out.push_str(&at_a_glance(sheet));
    // Topics come back to a group; a reader finds it once.
    let mut groups: Vec<(&str, String)> = Vec::new();
    for figure in sheet.figures().iter().filter(|figure| group(figure) != "rule") {
        let at = groups.iter().position(|(name, _)| *name == group(figure)).unwrap_or_else(|| {
            groups.push((group(figure), String::new()));
            groups.len() - 1
        });
        let (title, value) = (plain(&figure.title), plain(&figure.text()));
        // A long title has its value on the next line, so that all values stay in one column.
        groups[at].1.push_str(&if title.chars().count() <= TITLE {
            format!("{title:TITLE$}  {value}\n")
        } else {
            format!("{title}\n{:TITLE$}  {value}\n", "")
        });
    }
    for (name, lines) in groups {
        out.push_str(&format!("\n[{name}]\n{lines}"));
    }
    for working in sheet.workings.values() {
        out.push_str(&format!("\nWorked example: {}\n  {}\n", working.title, working.formula));
        for each in &working.sums {
            out.push_str(&format!("  {}\n", sum(each)));
        }
        out.push_str(&format!("  {}\n", working.tell));
    }
    for table in sheet.tables.values() {
        out.push_str(&format!("\nTable: {}\n{}", plain(&table.caption), columns(table)));
    }
    let reasons = to_add(sheet);
    if !reasons.is_empty() {
        out.push_str(&format!(
            "\nNot on this sheet\n{}",
            reasons.iter().map(|why| format!("  {why}\n")).collect::<String>()
        ));
    }
    out
}

/// What the reader could write into the tank file to get more, each table of the file once: the reasons that
/// name one. Another reason only says that there is nothing to tell.
fn to_add(sheet: &Sheet) -> Vec<String> {
    let mut reasons: Vec<_> = sheet.lacks().map(|(_, why)| plain(why)).collect();
    reasons.sort_unstable();
    reasons.dedup();
    // One that names a single table says it best.
    reasons.sort_by_key(|why| tables_named(why).len());
    let mut named: Vec<String> = Vec::new();
    let is_news = |why: &String| {
        let tables = tables_named(why);
        // A home has many keys.
        let is_news = tables.iter().any(|table| table == "[home]" || !named.contains(table));
        named.extend(tables);
        is_news
    };
    reasons.into_iter().filter(is_news).collect()
}

/// The tables of a tank file that a reason names: `[sand]`, `[[pump]]`.
fn tables_named(why: &str) -> Vec<String> {
    let named = why.split('[').skip(1).filter_map(|rest| rest.split_once(']'));
    named.map(|(name, _)| name).filter(|name| !name.is_empty()).map(|name| format!("[{name}]")).collect()
}

/// A dozen lines: how much water, which flow, which pumps, where and at which setting, what to do in a power
/// cut, and what is wrong.
fn at_a_glance(sheet: &Sheet) -> String {
    let figure = |id: &str| sheet.figure(id).map(|figure| plain(&figure.text()));
    // A line whose figures the tank lacks is left out; why stands at the end of the sheet.
    let line = |label: &str, parts: &[&str]| {
        let text =
            parts.iter().map(|part| part.strip_prefix('@').map_or_else(|| Some((*part).to_owned()), figure));
        Some((label.to_owned(), text.collect::<Option<String>>()?))
    };
    let mut lines = vec![
        line("Water", &["@tank.water"]),
        line("Flow to aim for", &["@flow.aim", ", for ", "@livestock.later"]),
        line("Rated flow to buy", &["@flow.buy"]),
        line(
            "Its pumps",
            &["@fit.pumps", ": ", "@fit.flow", " at their settings, enough for ", "@fit.serves"],
        ),
        own_settings(sheet).map(|settings| ("Set its pumps to".to_owned(), settings)),
        line("To add for later", &["@upgrade.pumps", ", ", "@upgrade.price"]),
        line("To buy, from nothing", &["@plan.pumps", ", ", "@plan.price"])
            .or_else(|| line("No plan", &["@plan.blocked"])),
        where_they_hang(sheet).map(|places| ("Where those hang".to_owned(), places)),
        match figure("plan.setting_now") {
            None => line("Set those to", &["@plan.setting_later", " later"]),
            now if now == figure("plan.setting_later") => {
                line("Set those to", &["@plan.setting_later", ", now and later"])
            }
            Some(_) => {
                line("Set those to", &["@plan.setting_now", " now, ", "@plan.setting_later", " later"])
            }
        },
        line("Power cut: runs", &["@power_cut.pump"]),
        match sheet.figure("power_cut.act_by").map(|figure| &figure.value) {
            Some(Value::Words(_)) => line("Power cut: by hand", &["@power_cut.act_by"]),
            _ => line("Power cut: by hand", &["@power_cut.act_by", " after it began, at the latest"]),
        },
    ];
    let warnings: Vec<_> = sheet.warnings.iter().map(|words| plain(words)).collect();
    let none = || vec!["nothing was found wrong".to_owned()];
    let told = if warnings.is_empty() { none() } else { warnings };
    lines.extend(
        told.into_iter()
            .enumerate()
            .map(|(at, words)| Some((if at == 0 { "Look at" } else { "" }.to_owned(), words))),
    );
    let lines = lines.into_iter().flatten().map(|(label, text)| format!("{label:GLANCE$}  {text}\n"));
    format!("\n[at a glance]\n{}", lines.collect::<String>())
}

/// How wide the labels are.
const GLANCE: usize = 22;

/// What the pumps that hang are set to for the livestock of now and of later, by the table of settings;
/// `None` without pumps.
fn own_settings(sheet: &Sheet) -> Option<String> {
    let table = sheet.tables.get("fit_settings")?;
    let setting = |when: &str| {
        let stock = sheet.figure(&format!("livestock.{when}"))?.text();
        let row = table.rows.iter().find(|row| matches!(&row.head, Cell::Words(words) if *words == stock))?;
        match row.cells.get(1)? {
            Cell::Figure(figure) => Some(plain(&figure.text())),
            Cell::Words(words) => Some(plain(words)),
        }
    };
    let (now, later) = (setting("now")?, setting("later")?);
    Some(if now == later { format!("{now}, now and later") } else { format!("{now} now, {later} later") })
}

/// The places of the plan's pumps: model, pane and height.
fn where_they_hang(sheet: &Sheet) -> Option<String> {
    let words = |cell: Option<&Cell>| match cell {
        Some(Cell::Words(words)) => words.clone(),
        Some(Cell::Figure(figure)) => figure.text(),
        None => String::new(),
    };
    let height = |row: &Row| {
        let mut figures = row
            .cells
            .iter()
            .filter_map(|cell| if let Cell::Figure(figure) = cell { Some(figure) } else { None });
        figures.find(|figure| figure.id.ends_with(".height")).map(|figure| figure.text()).unwrap_or_default()
    };
    let place = |row: &Row| {
        format!("{} at the {}, {} up", words(Some(&row.head)), words(row.cells.first()), height(row))
    };
    let places = sheet.tables.get("places")?.rows.iter().map(place);
    Some(plain(&places.collect::<Vec<_>>().join("; ")))
}

/// How wide the column of titles is.
const TITLE: usize = 58;

/// A table in columns of the width that their widest cell needs.
fn columns(table: &Table) -> String {
    let cell = |cell: &Cell| match cell {
        Cell::Figure(figure) => plain(&figure.text()),
        Cell::Words(words) => plain(words),
    };
    let mut lines = vec![table.heads.iter().map(|head| plain(head)).collect::<Vec<_>>()];
    lines.extend(
        table.rows.iter().map(|row| std::iter::once(&row.head).chain(&row.cells).map(cell).collect()),
    );
    let wide = |column: usize| {
        lines.iter().filter_map(|line| line.get(column)).map(|text| text.chars().count()).max().unwrap_or(0)
    };
    let widths: Vec<_> = (0..table.heads.len()).map(wide).collect();
    lines.insert(1, widths.iter().map(|width| "-".repeat(*width)).collect());
    let mut out = String::new();
    for line in lines {
        let padded: Vec<_> = line.iter().zip(&widths).map(|(text, width)| format!("{text:width$}")).collect();
        out.push_str(&format!("  {}\n", padded.join("  ").trim_end()));
    }
    out
}

fn sum(sum: &Sum) -> String {
    plain(&sum_text(sum))
}

/// A terminal and a spreadsheet have no use for spaces that hold words together.
fn plain(text: &str) -> String {
    text.replace('\u{a0}', " ")
}

fn group(figure: &Figure) -> &str {
    figure.id.split('.').next().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use reckoner_calc::{Catalogue, Rules, Tank};

    fn sheet(more: &str) -> Sheet {
        sheet_by(&Rules::compiled_in().unwrap(), more)
    }

    fn sheet_by(rules: &Rules, more: &str) -> Sheet {
        let tank = format!(
            "name = \"Test\"\n[glass]\nshape = \"box\"\nlength = \"100 cm\"\nwidth = \"50 cm\"\nheight = \"50 cm\"\npane = \"10 mm\"\n\
             [livestock]\nnow = \"soft\"\n{more}"
        );
        let catalogue = include_str!("../../../book/pumps.toml");
        let catalogue = Catalogue::read("pumps.toml", catalogue).unwrap();
        Sheet::reckon(rules, &catalogue, &Tank::read("test", &tank, rules).unwrap()).unwrap()
    }

    /// The lines at a glance: those before the first group of figures.
    fn glance(sheet: &Sheet) -> Vec<String> {
        let text = text(sheet);
        let lines = text.lines().skip_while(|line| *line != "[at a glance]").skip(1);
        lines.take_while(|line| !line.is_empty()).map(str::to_owned).collect()
    }

    #[test]
    fn a_sheet_begins_with_what_matters_most() {
        let sheet = sheet("");
        let lines = glance(&sheet);
        assert!((6..=14).contains(&lines.len()), "{lines:#?}");
        for (label, id) in [
            ("Water ", "tank.water"),
            ("Flow to aim for ", "flow.aim"),
            ("To buy, from nothing ", "plan.pumps"),
        ] {
            let value = plain(&sheet.figure(id).unwrap().text());
            assert!(
                lines.iter().any(|line| line.starts_with(label) && line.contains(&value)),
                "{label}: {lines:#?}"
            );
        }
        assert!(
            lines
                .iter()
                .any(|line| line.starts_with("Where those hang ") && line.contains(" at the left end, ")),
            "{lines:#?}"
        );
        assert!(!lines.iter().any(|line| line.starts_with("Its pumps")), "a tank without pumps: {lines:#?}");
    }

    #[test]
    fn a_sheet_says_what_is_wrong_and_what_is_missing() {
        let low = sheet(
            "[[pump]]\nname = \"low\"\nmodel = \"Rill 4\"\nwall = \"left\"\nheight = \"2 cm\"\n[sand]\ndepth = \"5 cm\"\ngrain = \"1 mm\"\n",
        );
        let lines = glance(&low);
        assert!(lines.iter().any(|line| line.contains("low, Rill 4: ")), "{lines:#?}");
        let end = text(&low);
        let (_, missing) = end.split_once("\nNot on this sheet\n").unwrap();
        assert!(missing.contains("[return]") && !missing.contains("[sand]"), "{missing}");
        // Each line says what to write, and no table is asked for in two lines of its own.
        let mut named = Vec::new();
        for line in missing.lines() {
            let tables = tables_named(line);
            assert!(tables.iter().any(|table| table == "[home]" || !named.contains(table)), "{line}");
            named.extend(tables);
        }
        assert!(named.len() > 3, "{missing}");
        assert!(low.lacks().any(|(_, why)| tables_named(why).is_empty()), "nothing is left out");
    }

    #[test]
    fn settings_that_are_equal_are_told_once() {
        let line = |more: &str| {
            glance(&sheet(more)).into_iter().find(|line| line.starts_with("Set those to")).unwrap()
        };
        let equal = line("");
        assert!(equal.ends_with(" %, now and later") && equal.matches('%').count() == 1, "{equal}");
        let later = line("later = \"small_polyp\"\n");
        assert!(later.contains(" now, ") && later.contains(" later"), "{later}");
    }

    #[test]
    fn only_a_loud_night_is_a_warning_in_whatever_words() {
        let own = "[say]\nkeeps_to_the_limit = \"is hushed\"\nabove_the_limit = \"is a roar\"\n";
        let rules = Rules::load(&[("words/programme.toml".to_owned(), own.to_owned())]).unwrap();
        let told = |home: &str| {
            let pump = "[[pump]]\nname = \"a\"\nmodel = \"Rill 4\"\nwall = \"left\"\nheight = \"30 cm\"\n";
            let sheet = sheet_by(&rules, &format!("[home]\n{home}\n{pump}"));
            let warns = glance(&sheet).iter().any(|line| line.contains("the sound at the pillow at night"));
            (sheet.figure("programme.night_level_says").unwrap().text(), warns)
        };
        assert_eq!(told("pillow = \"8 m\"\ndoor = true"), ("is hushed".to_owned(), false));
        assert_eq!(told("pillow = \"30 cm\""), ("is a roar".to_owned(), true));
    }

    #[test]
    fn a_circuit_that_bears_nothing_more_is_told() {
        let told = |load: &str| {
            let sheet =
                sheet(&format!("[home]\nbreaker = \"10 A\"\nvoltage = \"230 V\"\nother_load = \"{load}\"\n"));
            glance(&sheet).iter().any(|line| line.contains("the circuit has nothing left"))
        };
        assert!(told("2.2 kW") && !told("500 W"));
    }

    #[test]
    fn a_power_cut_that_outlasts_the_oxygen_is_told_in_plain_words() {
        let lines = glance(&sheet(""));
        assert!(
            lines.iter().any(|line| line
                .contains("animals are in danger before a power cut of 12 h is over: nothing runs")),
            "{lines:#?}"
        );
    }
}
