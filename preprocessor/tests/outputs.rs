//! What one tank's results are for other programs: the sheet, the programme and the calendar as files.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

mod common;

use std::fs;
use std::path::Path;

use common::{faults, reckoner, repository};
use reckoner_calc::formulas::calendar::Date;
use reckoner_calc::{Rules, Tank};
use reckoner_page::calendar::{self, Made};
use reckoner_page::programme::ProgrammeFile;
use reckoner_page::sheet::SheetFile;

fn printed(folder: &Path, arguments: &[&str]) -> String {
    let output = reckoner(folder, arguments);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn sheet(format: &str) -> String {
    printed(&repository(), &["sheet", "book/tanks/first_reef.toml", "--format", format])
}

/// The values of each line, as RFC 4180 has them.
fn read_csv(text: &str) -> Vec<Vec<String>> {
    let mut lines = Vec::new();
    for line in text.strip_suffix("\r\n").unwrap().split("\r\n") {
        let (mut values, mut value, mut quoted) = (Vec::new(), String::new(), false);
        let mut chars = line.chars().peekable();
        while let Some(c) = chars.next() {
            match c {
                '"' if quoted && chars.peek() == Some(&'"') => value.extend(chars.next()),
                '"' => quoted = !quoted,
                ',' if !quoted => values.push(std::mem::take(&mut value)),
                c => value.push(c),
            }
        }
        values.push(value);
        lines.push(values);
    }
    lines
}

#[test]
fn a_sheet_as_text_has_figures_workings_and_tables() {
    let text = sheet("text");
    assert!(text.starts_with("First Reef\nAn invented first tank"));
    for part in [
        "\n[tank]\n",
        "\nWorked example: The flow to aim for\n  volume × turnover\n",
        "\nTable: How often the pumps should move the water\n",
    ] {
        assert!(text.contains(part), "{part:?} is not in:\n{text}");
    }
    assert!(!text.contains('\u{a0}') && !text.lines().any(|line| line.ends_with(' ')));
    assert_eq!(text, printed(&repository(), &["sheet", "book/tanks/first_reef.toml"]));
}

#[test]
fn a_sheet_as_json_and_as_csv_holds_the_same_figures() {
    let file: SheetFile = serde_json::from_str(&sheet("json")).unwrap();
    assert_eq!((file.format, file.tank.as_str()), (1, "First Reef"));
    assert!(
        file.workings
            .iter()
            .any(|working| working.id == "flow_to_aim_for" && working.sums[0].contains(" = "))
    );
    assert!(file.tables.iter().all(|table| table.rows.iter().all(|row| row.len() == table.heads.len())));
    let lines = read_csv(&sheet("csv"));
    assert_eq!(lines[0], ["id", "title", "low", "high", "unit", "metric", "us"]);
    assert_eq!(lines.len(), file.figures.len() + 1);
    for (line, figure) in lines[1..].iter().zip(&file.figures) {
        assert_eq!(line.len(), 7, "{line:?}");
        assert_eq!((&line[0], &line[1], &line[5]), (&figure.id, &figure.title, &figure.metric));
        // `serde_json` reads the last bit of a number its own way.
        let near = |text: &str, value: Option<f64>| match (text.parse::<f64>().ok(), value) {
            (Some(one), Some(two)) => (one - two).abs() <= 1e-14 * two.abs(),
            (one, two) => one.is_none() && two.is_none(),
        };
        assert!(near(&line[2], figure.low) && near(&line[3], figure.high), "{line:?} {figure:?}");
    }
    let water = file.figures.iter().find(|figure| figure.id == "tank.water").unwrap();
    assert!(water.unit == "m3" && water.metric.ends_with(" L") && water.us.ends_with(" US gal"), "{water:?}");
}

#[test]
fn the_schemas_describe_the_files() {
    let folder = tank_with_pumps();
    let programme = |format| {
        printed(folder.path(), &["programme", "tank.toml", "--pumps", "pumps.toml", "--format", format])
    };
    for (json, schema) in [(sheet("json"), sheet("schema")), (programme("json"), programme("schema"))] {
        let [json, schema]: [serde_json::Value; 2] =
            [json, schema].map(|text| serde_json::from_str(&text).unwrap());
        assert_eq!(faults(&json, &schema), Vec::<String>::new());
        let (mut less, mut more) = (json.clone(), json);
        less.as_object_mut().unwrap().remove("tank");
        more["undescribed"] = true.into();
        for other in [less, more] {
            assert_eq!(faults(&other, &schema).len(), 1);
        }
    }
}

const TANK: &str = r#"name = "Reef, with a comma"
glass = { shape = "box", length = "90 cm", width = "45 cm", height = "45 cm", pane = "8 mm", fill_line = "3 cm" }
livestock = { now = "soft", later = "small_polyp" }
[[pump]]
name = "left"
model = "Dial"
wall = "left"
height = "30 cm"
[[pump]]
name = "right, \"back\""
model = "Dial"
wall = "right"
height = "30 cm"
"#;

const PUMPS: &str = r#"currency = "USD"
[[pump]]
model = "Dial"
kind = "round-controllable"
rated_flow = "3000 L/h"
lowest_setting = "30 %"
outlet = "5 cm"
power = "8 W"
sound = "32 dB"
price = "120 USD"
wet_end_price = "40 USD"
shaft = "ceramic"
"#;

fn tank_with_pumps() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("tank.toml"), TANK).unwrap();
    fs::write(folder.path().join("pumps.toml"), PUMPS).unwrap();
    folder
}

#[test]
fn a_tank_without_a_programme_gets_one_that_its_controller_can_read() {
    let folder = tank_with_pumps();
    let programme = |format| {
        printed(folder.path(), &["programme", "tank.toml", "--pumps", "pumps.toml", "--format", format])
    };
    let file: ProgrammeFile = serde_json::from_str(&programme("json")).unwrap();
    assert!(file.suggested);
    let lines = read_csv(&programme("csv"));
    assert_eq!(
        lines[0],
        ["pump", "from", "until", "pattern", "low_percent", "high_percent", "period_s", "starts"]
    );
    assert_eq!(lines.len(), file.stretches.len() + 1);
    for name in ["left", "right, \"back\""] {
        let own: Vec<_> = lines.iter().filter(|line| line[0] == name).collect();
        assert_eq!((own[0][1].as_str(), own.last().unwrap()[2].as_str()), ("00:00", "24:00"));
        assert!(own.windows(2).all(|pair| pair[0][2] == pair[1][1]), "{own:?}");
        for line in own.iter().filter(|line| !["rest", "feeding"].contains(&line[3].as_str())) {
            let (low, high): (f64, f64) = (line[4].parse().unwrap(), line[5].parse().unwrap());
            assert!((30.0..=high).contains(&low) && high <= 100.0, "{line:?}");
        }
        assert!(own.iter().any(|line| line[3] == "feeding"));
    }
}

/// The pumps of the plan are named as such; those that the file lists are not.
#[test]
fn only_a_tank_without_pumps_is_told_that_the_day_is_for_those_of_the_plan() {
    let folder = tank_with_pumps();
    let told = |tank: &str| {
        fs::write(folder.path().join("tank.toml"), tank).unwrap();
        let pumps = repository().join("book/pumps.toml");
        let arguments = ["programme", "tank.toml", "--pumps", pumps.to_str().unwrap()];
        let output = reckoner(folder.path(), &arguments);
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8_lossy(&output.stderr).contains("this is a day for those of the plan")
    };
    let demo = fs::read_to_string(repository().join("book/tanks/first_reef.toml")).unwrap();
    assert!(!told(&demo));
    let without = TANK.split("[[pump]]").next().unwrap();
    assert!(told(without));
}

#[test]
fn a_programme_is_held_against_the_catalogue() {
    let folder = tank_with_pumps();
    let day = |pump: &str, setting: &str| {
        format!(
            "[[programme]]\npump = '{pump}'\nfrom = \"00:00\"\nuntil = \"24:00\"\npattern = \"steady\"\nsetting = \"{setting}\"\n"
        )
    };
    let text = format!("{TANK}{}{}", day("left", "20 %"), day("right, \"back\"", "50 %"));
    fs::write(folder.path().join("tank.toml"), &text).unwrap();
    let output = reckoner(folder.path(), &["programme", "tank.toml", "--pumps", "pumps.toml"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    let line = text.lines().position(|line| line.contains("20 %")).unwrap() + 1;
    let message = String::from_utf8_lossy(&output.stderr).into_owned();
    for part in [
        format!("tank.toml:{line}:11"),
        "`left` does not run at 20\u{a0}%".to_owned(),
        "its lowest setting is 30 %".to_owned(),
    ] {
        assert!(message.contains(&part), "{part:?} is not in:\n{message}");
    }
}

#[test]
fn a_wrong_date_is_told_what_a_right_one_is() {
    let output = reckoner(&repository(), &["calendar", "book/tanks/first_reef.toml", "--from", "1 March"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("for instance 2026-03-01"));
}

#[test]
fn the_lines_of_the_calendar_are_as_the_standard_wants_them() {
    let text = printed(&repository(), &["calendar", "book/tanks/first_reef.toml", "--from", "2026-01-30"]);
    assert!(
        text.ends_with("END:VCALENDAR\r\n")
            && text.contains("\r\nX-WR-CALNAME:Care of First Reef\r\n")
            && text.contains("\r\n ")
    );
    for line in text.strip_suffix("\r\n").unwrap().split("\r\n") {
        assert!(line.len() <= 75 && !line.contains(['\r', '\n']), "{line}");
    }
}

/// The lines of a calendar that begin so, without that.
fn lines<'t>(calendar: &'t str, begins: &str) -> Vec<&'t str> {
    calendar.lines().filter_map(|line| line.strip_prefix(begins)).collect()
}

#[test]
fn an_event_keeps_its_identity_and_moves_on() {
    let (rules, text) = (
        Rules::compiled_in().unwrap(),
        std::fs::read_to_string(repository().join("book/tanks/first_reef.toml")).unwrap(),
    );
    let made = |text: &str, minute: u64| {
        let tank = Tank::read("tank.toml", text, &rules).unwrap();
        calendar::calendar(&rules, &tank, Date::parse("2026-01-30").unwrap(), Made::after(minute))
    };
    let (first, again) = (made(&text, 3_000_000), made(&text, 3_000_000));
    assert_eq!(first, again, "the same in the same minute");
    let uids = lines(&first, "UID:");
    assert_eq!(
        uids.iter().collect::<std::collections::BTreeSet<_>>().len(),
        uids.len(),
        "no two events are one"
    );
    // Later the stamps are later and the sequence is higher; the events are the same.
    let later = made(&text, 3_000_061);
    assert_eq!(lines(&later, "UID:"), uids);
    assert!(lines(&first, "SEQUENCE:").iter().all(|sequence| *sequence == "3000000"));
    assert!(lines(&later, "SEQUENCE:").iter().all(|sequence| *sequence == "3000061"));
    assert!(lines(&later, "DTSTAMP:")[0] > lines(&first, "DTSTAMP:")[0]);
    // Minute 3,000,000 is day 2083 and 8 h: 14 September 2025.
    assert_eq!(lines(&first, "DTSTAMP:")[0], "20250914T080000Z");
    // A new name keeps the events of a tank that has an id; two tanks of one name with ids are two.
    let with_id = |id: &str, name: &str| {
        let named = text.replace("name = \"First Reef\"", &format!("name = \"{name}\""));
        made(&named.replace("id = \"first-reef\"", &format!("id = \"{id}\"")), 1)
    };
    assert_eq!(lines(&with_id("a", "First Reef"), "UID:"), lines(&with_id("a", "Living Room"), "UID:"));
    assert_ne!(lines(&with_id("a", "First Reef"), "UID:"), lines(&with_id("b", "First Reef"), "UID:"));
}
