use super::*;
use crate::sheet::Cell;

fn sheet(tank: &str) -> Sheet {
    let head = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n[livestock]\nnow = \"soft\"\n";
    Sheet::reckon(
        &Rules::compiled_in().unwrap(),
        &crate::Catalogue::empty(),
        &Tank::read("t.toml", &format!("{head}{tank}"), &Rules::compiled_in().unwrap()).unwrap(),
    )
    .unwrap()
}

fn text(sheet: &Sheet, id: &str) -> String {
    sheet.figure(id).unwrap().text().replace('\u{a0}', " ")
}

#[test]
fn a_year_of_forty_watts_costs_what_a_pocket_calculator_says() {
    // 40 W × 24 h × 365 ÷ 1000 = 350.4 kWh; × 0.285 EUR = 99.864 EUR, printed in whole euros.
    let sheet = sheet(
        "[home]\ncurrency = \"EUR\"\nprice_per_kwh = \"0.285 EUR\"\n[return]\nlift = \"1 m\"\nlength = \"2 m\"\nbore = \"27 mm\"\nelbows = 2\n\
         pump_flow = \"3000 L/h\"\npump_head = \"3 m\"\npump_power = \"40 W\"\n",
    );
    assert_eq!(text(&sheet, "power.price"), "0.285 EUR");
    assert_eq!(text(&sheet, "power.return_day"), "960 Wh");
    assert_eq!(text(&sheet, "power.return_year"), "350 kWh");
    assert_eq!(text(&sheet, "power.return_cost"), "100 EUR");
    let answer = &sheet.workings["watt_cost"].sums[0].answer;
    assert_eq!((answer.reading.number.as_str(), answer.reading.unit), ("2.497", "EUR"));
}

#[test]
fn a_battery_is_never_promised_to_last_longer_than_its_poorest() {
    // 200 Wh × 80 % kept × 40 % depth × 85 % = 54.4 Wh, printed as 54 Wh, and 18.1333 h at 3 W, printed as 18
    // h.
    let sheet = sheet("[battery]\nenergy = \"200 Wh\"\nchemistry = \"lead-acid\"\n");
    let Cell::Figure(hours) = &sheet.tables["power_battery_hours"].rows[0].cells[0] else {
        panic!("a cell of words")
    };
    assert_eq!(hours.text().replace('\u{a0}', " "), "18 h");
    assert_eq!(text(&sheet, "power.battery_usable"), "54 to 95 Wh");
    let longer = sheet.tables["power_battery_needed"].rows[1].cells.iter().map(|cell| match cell {
        Cell::Figure(figure) => figure.text().replace('\u{a0}', " "),
        Cell::Words(_) => panic!("a cell of words"),
    });
    // 10 W × 8 h ÷ 27.2 % = 294.1 Wh; ÷ 54.4 % = 147.06 Wh. With 10 W more for the inverter: 21.76 W × 8 h ÷
    // 32 % = 544.1 Wh, and half of it.
    assert_eq!(longer.collect::<Vec<_>>(), ["295 Wh", "148 Wh", "545 Wh", "273 Wh"]);
}

#[test]
fn a_tank_without_return_line_or_battery_has_no_figures_of_them() {
    let sheet = sheet("");
    assert!(sheet.figure("power.watt_cost").is_some());
    assert!(sheet.figure("power.return").is_none());
    assert!(sheet.figure("power.battery").is_none());
    assert!(!sheet.tables.contains_key("power_battery_hours"));
}
