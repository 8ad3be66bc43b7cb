use crate::sheet::{Cell, MapCell, Value};
use crate::{Catalogue, Rules, Sheet, Tank};

fn sheet(pumps: &str) -> Sheet {
    let rules = Rules::compiled_in().unwrap();
    let catalogue = "currency = \"USD\"\n[[pump]]\nmodel = \"Weir\"\nkind = \"round-controllable\"\nrated_flow = \"3600 L/h\"\nlowest_setting = \"20 %\"\noutlet = \"40 mm\"\npower = \"8 W\"\nsound = \"30 dB\"\nprice = \"100 USD\"\nwet_end_price = \"30 USD\"\nshaft = \"ceramic\"\n";
    let catalogue =
        if pumps == "none" { Catalogue::empty() } else { Catalogue::read("p", catalogue).unwrap() };
    let pumps = if pumps == "none" { "" } else { pumps };
    let text = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"2 cm\"\n[livestock]\nnow = \"soft\"\n{pumps}"
    );
    Sheet::reckon(&rules, &catalogue, &Tank::read("t", &text, &rules).unwrap()).unwrap()
}

fn hung(name: &str, wall: &str) -> String {
    format!(
        "[[pump]]\nname = \"{name}\"\nmodel = \"Weir\"\nwall = \"{wall}\"\nheight = \"28 cm\"\nsetting = \"40 %\"\n"
    )
}

fn number(sheet: &Sheet, id: &str) -> f64 {
    match sheet.any_figure(id).unwrap_or_else(|| panic!("{id}")).value {
        Value::One(value) => value.si,
        _ => panic!("{id}"),
    }
}

#[test]
fn the_zones_of_a_map_make_up_all_of_it() {
    let sheet = sheet(&(hung("left", "left") + &hung("right", "right") + "[rock]\nmass = \"12 kg\"\n"));
    for part in ["above", "floor", "rock"] {
        let keys =
            ["still", "calm", "large_polyp", "soft", "small_polyp", "small_polyp_strong", "too_strong"];
        let all: f64 = keys.iter().map(|key| number(&sheet, &format!("map_zones.{key}.{part}"))).sum();
        assert!((all - 1.0).abs() < 0.036, "{part}: {all}");
    }
    // The drawing and the table tell the same.
    let above = &sheet.maps["from_above"];
    let still = number(&sheet, "map_zones.still.above");
    assert!((above.zones[0].share.0 - still).abs() < 1e-12);
    let of_zone =
        |zone: usize| above.cells.iter().filter(|cell| **cell == MapCell::Zone(zone)).count() as f64;
    let water: f64 = (0..above.zones.len()).map(of_zone).sum();
    for (at, zone) in above.zones.iter().enumerate() {
        assert!((of_zone(at) / water - zone.share.0).abs() < 0.006, "{}", zone.name);
    }
    assert!((number(&sheet, "map.floor_still") - number(&sheet, "map_zones.still.floor")).abs() < 1e-12);
    assert!((number(&sheet, "map.rock_suits") - number(&sheet, "map_kinds.soft.rock")).abs() < 1e-12);
    assert!(sheet.maps["near_floor"].cells.contains(&MapCell::Rock));
}

#[test]
fn a_pump_that_stops_leaves_more_still_and_full_speed_sweeps_more() {
    let sheet = sheet(&(hung("left", "left") + &hung("right", "right") + "[rock]\nmass = \"12 kg\"\n"));
    let floor = |row: &str| number(&sheet, &format!("map_out.{row}.floor"));
    assert!(floor("pump1") > floor("all") && floor("pump2") > floor("all"));
    assert!((floor("all") - number(&sheet, "map.floor_still")).abs() < 1e-12);
    assert!(number(&sheet, "map.floor_lies_full") < number(&sheet, "map.floor_lies"));
}

#[test]
fn a_height_of_the_file_is_that_of_the_map_and_a_plan_is_told() {
    let own = sheet(&(hung("left", "left") + "[map]\nheight = \"12 cm\"\n"));
    assert!((number(&own, "map.height") - 0.12).abs() < 1e-12);
    assert!(own.lacking("map.of_plan").is_some() && own.lacking("map_out").unwrap().contains("one pump"));
    assert!(own.lacking("map.rock_still").unwrap().contains("no rock"));
    let planned = sheet("");
    assert!(planned.figure("map.of_plan").unwrap().text().contains("its plan"));
    let none = sheet("none");
    for part in ["map.floor_still", "map_zones", "from_above"] {
        assert!(none.lacking(part).unwrap().contains("no pump"), "{part}");
    }
    assert!(none.maps.is_empty());
}

#[test]
fn the_day_is_told_by_what_the_pumps_are_set_to_and_what_rests_all_day_rests_in_each_part() {
    let pumps = hung("left", "left") + &hung("right", "right");
    let steady = |pump: &str, from: &str, until: &str, setting: &str| {
        format!(
            "[[programme]]\npump = \"{pump}\"\nfrom = \"{from}\"\nuntil = \"{until}\"\npattern = \"steady\"\nsetting = \"{setting}\"\n"
        )
    };
    let day = steady("left", "08:00", "20:00", "80 %")
        + &steady("right", "08:00", "20:00", "40 %")
        + &steady("left", "20:00", "08:00", "40 %")
        + &steady("right", "20:00", "08:00", "40 %");
    let sheet = sheet(&(pumps.clone() + &day + "[rock]\nmass = \"12 kg\"\n"));
    let table = &sheet.tables["map_day"];
    let words = |cell: &Cell| match cell {
        Cell::Words(words) => words.replace('\u{a0}', " "),
        Cell::Figure(figure) => panic!("{}", figure.id),
    };
    let rows: Vec<_> = table.rows.iter().map(|row| (words(&row.head), words(&row.cells[0]))).collect();
    let row = |hours: &str, pumps: &str| (hours.to_owned(), pumps.to_owned());
    assert_eq!(
        rows,
        [
            row("20:00 to 08:00", "left at 40 % and right at 40 %"),
            row("08:00 to 20:00", "left at 80 % and right at 40 %")
        ]
    );
    let number = |id: &str| number(&sheet, id);
    // By night the pumps are set as they hang: the maps and the day tell the same.
    assert!((number("map_day.1.still") - number("map.floor_still")).abs() < 1e-12);
    assert!((number("map_day.1.lies") - number("map.floor_lies")).abs() < 1e-12);
    assert!((number("map_day.1.suits") - number("map.rock_suits")).abs() < 1e-12);
    assert!(number("map_day.2.lies") < number("map_day.1.lies"));
    let [night, day] = [1, 2].map(|row| number(&format!("map_day.{row}.still")));
    assert!(number("map.still_all_day") <= night.min(day) && number("map.still_at_times") >= night.max(day));
    assert!(number("map.lies_all_day") <= number("map_day.2.lies"));
    // Without a programme of its own the suggested one is told: by turns, and at night.
    let suggested = self::sheet(&pumps);
    let heads: Vec<_> = suggested.tables["map_day"].rows.iter().map(|row| words(&row.head)).collect();
    assert!(heads.len() > 2 && heads.iter().any(|head| head.contains("by turns")), "{heads:?}");
    assert!(suggested.lacking("map.rock_still_all_day").unwrap().contains("no rock"));
}

#[test]
fn changes_are_told_beside_what_is_now_and_the_best_of_them_in_a_sentence() {
    let sheet = sheet(&(hung("left", "left") + &hung("right", "right") + "[rock]\nmass = \"12 kg\"\n"));
    let table = &sheet.tables["map_changes"];
    assert!(table.rows.len() > 1);
    for (now, part) in [("map.floor_still", "still"), ("map.floor_lies", "lies"), ("map.rock_suits", "suits")]
    {
        let first = number(&sheet, &format!("map_changes.now.{part}"));
        assert!((first - number(&sheet, now)).abs() < 1e-12, "{part}");
    }
    let ids: Vec<_> = table.figures().map(|figure| figure.id.as_str().to_owned()).collect();
    let says = sheet.figure("map.best_change").unwrap().text();
    let told: Vec<_> = ids
        .iter()
        .filter(|id| id.ends_with(".write"))
        .map(|id| sheet.any_figure(id).unwrap().text())
        .collect();
    assert!(
        says.contains("No small change") || told.iter().any(|write| says.contains(write.as_str())),
        "{says}"
    );
    let none = self::sheet("none");
    for part in ["map_day", "map_changes", "map.best_change"] {
        assert!(none.lacking(part).unwrap().contains("no pump"), "{part}");
    }
}
