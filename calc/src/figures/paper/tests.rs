use crate::sheet::{Cell, Sheet, Table, Value};
use crate::{Catalogue, Rules, Tank};

const TANK: &str = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n[livestock]\nnow = \"soft\"\n";
const PUMPS: &str = "currency = \"EUR\"\n[[pump]]\nmodel = \"Weir\"\nkind = \"round-controllable\"\nrated_flow = \"3600 L/h\"\nlowest_setting = \"20 %\"\noutlet = \"40 mm\"\npower = \"8 W\"\nsound = \"30 dB\"\nprice = \"100 EUR\"\nwet_end_price = \"30 EUR\"\nshaft = \"ceramic\"\n";

fn reckoned(catalogue: &Catalogue) -> Sheet {
    let rules = Rules::compiled_in().unwrap();
    let tank = Tank::read("t.toml", TANK, &rules).unwrap();
    Sheet::reckon(&rules, catalogue, &tank).unwrap()
}

/// The numbers of a table, row by row.
fn numbers(table: &Table) -> Vec<Vec<f64>> {
    let number = |cell: &Cell| match cell {
        Cell::Figure(figure) => match figure.value {
            Value::One(quantity) => Some(quantity.si),
            _ => None,
        },
        Cell::Words(_) => None,
    };
    let row =
        |row: &crate::sheet::Row| std::iter::once(&row.head).chain(&row.cells).filter_map(number).collect();
    table.rows.iter().map(row).collect()
}

#[test]
fn rock_takes_away_what_its_mineral_and_its_pores_take_up() {
    let sheet = reckoned(&Catalogue::empty());
    let rows = numbers(&sheet.tables["paper_rock"]);
    assert!(rows.len() >= 5);
    for row in rows {
        let [mass, aside] = row.as_slice() else { panic!("{row:?}") };
        // Aragonite, 2930 kg/m³, of which 55 % fill the piece.
        assert!((aside - mass / (2930.0 * 0.55)).abs() < 1e-9, "{row:?}");
    }
}

#[test]
fn more_fish_leave_less_time_and_more_water_leaves_more() {
    let sheet = reckoned(&Catalogue::empty());
    let rows = numbers(&sheet.tables["paper_minutes"]);
    assert!(rows.len() >= 5 && rows.iter().all(|row| row.len() == 5), "{rows:?}");
    for row in &rows {
        assert!(row[1..].is_sorted_by(|more, less| more > less && *less > 0.0), "{row:?}");
    }
    for (small, large) in rows.iter().zip(&rows[1..]) {
        assert!(small.iter().zip(large).all(|(small, large)| small < large), "{small:?} {large:?}");
    }
    // Less than what the same model leaves this tank, of which it knows the fish and the surface.
    let Value::One(danger) = sheet.figure("power_cut.still_danger_worst").unwrap().value else { panic!() };
    assert!(rows.iter().all(|row| row[1] < danger.si), "{danger:?}");
}

#[test]
fn the_pumps_are_those_of_the_catalogue() {
    let sheet = reckoned(&Catalogue::read("pumps.toml", PUMPS).unwrap());
    let table = &sheet.tables["paper_pumps"];
    assert_eq!(numbers(table), [[1e-3, 0.2, 0.04, 8.0, 30.0, 100.0]]);
    let [Cell::Words(model), Cell::Words(kind)] = [&table.rows[0].head, &table.rows[0].cells[0]] else {
        panic!()
    };
    assert_eq!((model.as_str(), kind.as_str()), ("Weir", "Round stream, controllable"));
    let none = reckoned(&Catalogue::empty());
    assert!(
        !none.tables.contains_key("paper_pumps") && none.lacking("paper_pumps").unwrap().contains("empty")
    );
}

#[test]
fn a_longer_tank_wants_stronger_pumps_and_the_hardier_corals_the_most() {
    let sheet = reckoned(&Catalogue::empty());
    let rows = numbers(&sheet.tables["paper_lengths"]);
    assert!(rows.len() >= 5);
    for row in &rows {
        let [length, least, stony, most, reach, flows @ ..] = row.as_slice() else { panic!("{row:?}") };
        // Common practice, as the rules have it: one pump up to 60 cm, two for stony corals, a pump each 30 cm.
        assert_eq!((*least, *stony), (if *length > 0.601 { 2.0 } else { 1.0 }, 2.0), "{row:?}");
        assert!((reach * least - length).abs() < 1e-12, "a pair shares the way: {row:?}");
        assert!((2.0..=6.0).contains(most) && flows.is_sorted() && flows[0] > 0.0, "{row:?}");
    }
    // Far from the outlet the speed of a round stream falls as one over the way, so twice the way wants twice
    // the flow; near to it it falls later.
    let times = rows[6][5] / rows[3][5];
    assert!((2.0..2.2).contains(&times), "{times}");
}

#[test]
fn pumps_for_later_must_turn_down_to_what_lives_there_now() {
    let sheet = reckoned(&Catalogue::empty());
    let rules = Rules::compiled_in().unwrap();
    let table = &sheet.tables["paper_lowest"];
    let lowest = |now: &str, later: &str| {
        let id = format!("paper_lowest.{now}.{later}");
        match table.figures().find(|figure| figure.id == id).unwrap().value {
            Value::One(quantity) => quantity.si,
            _ => panic!("{id}"),
        }
    };
    for kind in &rules.livestock {
        assert!(lowest(kind.key(), kind.key()) > 0.5, "{}: hardly to be turned down", kind.key());
    }
    // Bought for the surf, set for fish: of 4 to 10 times and 50 times an hour, with a fifth lost.
    let (fish, small) =
        (rules.turnover.band(&rules.livestock[0]), &rules.livestock[rules.livestock.len() - 1]);
    let wanted = fish.high.value * 0.8 / rules.turnover.aimed_at(small).value;
    assert!((lowest(rules.livestock[0].key(), small.key()) - wanted).abs() < 1e-12 && wanted < 0.5);
}
