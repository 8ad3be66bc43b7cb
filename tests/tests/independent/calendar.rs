//! The care calendar against `tests/independent/calendar.csv` and two independent libraries: `icalendar`
//! reads it, `rrule` works its dates out.

use icalendar::parser::{read_calendar, unfold};
use reckoner_calc::formulas::calendar::{Date, Repeat};
use reckoner_calc::quantity::parse;
use reckoner_calc::{Rules, Tank};
use reckoner_page::calendar::{Made, calendar, recurrence};
use reckoner_tests::independent;
use rrule::RRuleSet;

/// The first dates of a recurrence rule, as the `rrule` library works them out.
fn dates(start: &str, rule: &str, count: u16) -> Vec<String> {
    let set: RRuleSet = format!("DTSTART:{start}T000000Z\nRRULE:{rule}").parse().unwrap();
    set.all(count).dates.iter().map(|date| date.format("%Y%m%d").to_string()).collect()
}

fn date(basic: &str) -> Date {
    Date::parse(&format!("{}-{}-{}", &basic[..4], &basic[4..6], &basic[6..])).unwrap()
}

#[test]
fn python_dateutil_2_9_recurrences() {
    for row in independent("calendar").rows() {
        let wanted: Vec<_> = row.text("dates").split(' ').collect();
        let (start, rule) = (row.text("dtstart"), row.text("rrule"));
        let count = u16::try_from(wanted.len()).unwrap();
        // The two libraries agree, on the rows that show the trap too.
        assert_eq!(dates(start, rule, count), wanted, "{rule}");
        if row.text("interval") == "none" {
            continue;
        }
        let (first, repeat) = Repeat::of(parse(row.text("interval")).unwrap(), date(start));
        assert_eq!(recurrence(repeat), rule);
        assert_eq!(dates(&first.to_string().replace('-', ""), &recurrence(repeat), count), wanted, "{rule}");
    }
}

/// Whatever the first day, a monthly care skips no month: the trap that the last rows of the table show.
#[test]
fn no_month_is_skipped() {
    for first in ["20260128", "20260129", "20260130", "20260131", "20240229", "20261231"] {
        for months in [1_u32, 2, 3] {
            let (start, repeat) = Repeat::of(parse(&format!("{months} months")).unwrap(), date(first));
            let found = dates(&start.to_string().replace('-', ""), &recurrence(repeat), 25);
            let month =
                |date: &str| date[..4].parse::<u32>().unwrap() * 12 + date[4..6].parse::<u32>().unwrap();
            assert!(
                found.windows(2).all(|pair| month(&pair[1]) - month(&pair[0]) == months),
                "{first} every {months}: {found:?}"
            );
        }
    }
}

const TANK: &str = "name = \"Reef; of 水槽, no. 1 \\\\ with a name so long that its lines are folded, and again\"\n\
                    glass = { shape = \"box\", length = \"90 cm\", width = \"45 cm\", height = \"45 cm\", pane = \"8 mm\" }\n\
                    livestock = { now = \"soft\" }\n";

#[test]
fn another_library_reads_the_calendar_and_finds_what_was_written() {
    let rules = Rules::compiled_in().unwrap();
    let tank = Tank::read("tank.toml", TANK, &Rules::compiled_in().unwrap()).unwrap();
    let text = calendar(&rules, &tank, date("20260131"), Made::after(0));
    for line in text.split("\r\n") {
        assert!(line.len() <= 75, "{line}");
    }
    let unfolded = unfold(&text);
    let read = read_calendar(&unfolded).unwrap();
    let events: Vec<_> = read.components.iter().filter(|component| component.name == "VEVENT").collect();
    // One for each care, but for the daily look and the test of a battery that this tank does not have.
    let cares = rules.all.iter().filter(|rule| {
        ["wipe", "acid_bath", "wear_parts", "residual_current_test"]
            .iter()
            .any(|care| rule.id == format!("upkeep.{care}"))
    });
    let cares: Vec<_> = cares.collect();
    assert_eq!(events.len(), cares.len());
    let mut uids = Vec::new();
    for (event, rule) in events.iter().zip(&cares) {
        let value = |name: &str| event.find_prop(name).unwrap().val.clone().unescape_text().to_string();
        assert_eq!(value("SUMMARY"), format!("{}: {}", tank.name, rule.title));
        if !rule.note.is_empty() {
            assert_eq!(value("DESCRIPTION"), rule.note);
        }
        assert_eq!(value("DTSTAMP"), "20200101T000000Z");
        uids.push(value("UID"));
        // The first day is itself one of the rule's days, as the standard wants it.
        let start = value("DTSTART");
        assert_eq!(dates(&start, &value("RRULE"), 1), [start]);
    }
    uids.sort();
    uids.dedup();
    assert_eq!(uids.len(), events.len());
}
