use super::*;
use crate::sheet::Value;

fn table(home: &str) -> Table {
    let tank = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n[livestock]\n\
         now = \"soft\"\n[home]\n{home}"
    );
    let tank = Tank::read("t.toml", &tank, &Rules::compiled_in().unwrap()).unwrap();
    Sheet::reckon(&Rules::compiled_in().unwrap(), &crate::Catalogue::empty(), &tank).unwrap().tables["cost_kinds"].clone()
}

#[test]
fn the_table_of_kinds_adds_up_to_what_a_pocket_calculator_says() {
    // One speed, at the high end: 100 + 15 W × 8.76 h × 6 × 0.2 USD = 157.68, + 2 × 30.
    let table = table("price_per_kwh = \"0.20 USD\"\n");
    let Cell::Figure(total) = &table.rows[0].cells[3] else { panic!("a cell of words") };
    let Value::Range(low, high) = &total.value else { panic!("no range") };
    assert!((high.si - (100.0 + 157.68 + 60.0)).abs() < 1e-9, "{}", high.si);
    // At the low end: 20 + 3 W × 8.76 h × 6 × 0.2 USD = 31.536, + 1 × 10.
    assert!((low.si - 61.536).abs() < 1e-9, "{}", low.si);
    assert_eq!(table.heads.len(), 5);
}

#[test]
fn a_table_of_two_currencies_has_no_sums() {
    let table = table("currency = \"EUR\"\nprice_per_kwh = \"0.30 EUR\"\n");
    assert!(table.caption.ends_with("so they are not added up"));
    assert!(table.rows.iter().all(|row| row.cells.len() + 1 == table.heads.len()));
}

fn own(rest: &str, catalogue: &str) -> Sheet {
    let catalogue = match catalogue {
        "" => crate::Catalogue::empty(),
        text => crate::Catalogue::read("pumps.toml", text).unwrap(),
    };
    let rules = Rules::compiled_in().unwrap();
    let tank = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"60 cm\"\nwidth = \"40 cm\"\nheight = \"40 cm\"\npane = \"8 mm\"\n[livestock]\n\
         now = \"soft\"\n{rest}"
    );
    Sheet::reckon(&rules, &catalogue, &Tank::read("t.toml", &tank, &rules).unwrap()).unwrap()
}

/// The rows of the table of bills, by the last part of their ids.
fn bills(sheet: &Sheet) -> Vec<(String, String)> {
    let row = |row: &Row| match &row.cells[0] {
        Cell::Figure(figure) => {
            (figure.id.rsplit('.').next().unwrap().to_owned(), figure.text().replace('\u{a0}', " "))
        }
        Cell::Words(words) => panic!("{words}"),
    };
    sheet.tables["cost_own"].rows.iter().map(row).collect()
}

const PUMPS: &str = "currency = \"USD\"\n[[pump]]\nmodel = \"M\"\nkind = \"round-fixed\"\nrated_flow = \"1200 L/h\"\noutlet = \"4 cm\"\npower = \"7 W\"\n\
                     sound = \"30 dB\"\nprice = \"50 USD\"\nwet_end_price = \"10 USD\"\nshaft = \"metal\"\n";
const HUNG: &str = "[[pump]]\nname = \"a\"\nmodel = \"M\"\nwall = \"left\"\nheight = \"25 cm\"\n[[pump]]\nname = \"b\"\nmodel = \"M\"\nwall = \"right\"\n\
                    height = \"25 cm\"\n";

#[test]
fn the_bills_of_hung_pumps_add_up_by_hand() {
    let told = bills(&own(&format!("[home]\nprice_per_kwh = \"0.20 USD\"\n{HUNG}"), PUMPS));
    let of = |key: &str| told.iter().find(|(known, _)| known == key).map(|(_, text)| text.as_str());
    // Two of 50 USD and 7 W: 14 W × 8.76 h = 122.64 kWh, × 0.2 USD = 24.53 USD a year; in 6 years each needs
    // 2 wet ends of 10 USD.
    assert_eq!(of("price"), Some("100 USD"));
    assert_eq!(of("power"), Some("14 W"));
    assert_eq!(of("energy_cost"), Some("25 USD"));
    assert_eq!(of("wear"), Some("40 USD"));
    // 100 + 6 × 24.528 + 40 = 287.2 USD.
    assert_eq!(of("cost"), Some("287 USD"));
    // No return pump and no skimmer: no row of nothing.
    assert_eq!((of("return_pump"), of("skimmer")), (None, None));
}

#[test]
fn energy_in_another_money_is_not_added_and_the_file_is_told_what_to_say() {
    let euros = "[home]\ncurrency = \"EUR\"\nprice_per_kwh = \"0.20 EUR\"\n";
    let without = own(&format!("{euros}{HUNG}"), PUMPS);
    assert!(bills(&without).iter().all(|(key, _)| key != "cost"));
    let advice = without.figure("cost.advice").unwrap().text();
    assert!(
        advice.contains("exchange under [home]") && advice.contains("what one EUR buys in USD"),
        "{advice}"
    );
    let rules = Rules::compiled_in().unwrap();
    let catalogue = crate::Catalogue::read("pumps.toml", PUMPS).unwrap();
    let text = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"60 cm\"\nwidth = \"40 cm\"\nheight = \"40 cm\"\npane = \"8 mm\"\n[livestock]\n\
         now = \"soft\"\n{euros}exchange = \"2 USD\"\n{HUNG}"
    );
    let with = Sheet::reckon(&rules, &catalogue, &Tank::read("t.toml", &text, &rules).unwrap()).unwrap();
    assert!(with.figure("cost.advice").is_none());
    // 100 + 6 × 24.528 × 2 + 40 = 434.3 USD.
    assert_eq!(bills(&with).iter().find(|(key, _)| key == "cost").unwrap().1, "434 USD");
}

#[test]
fn the_plans_pumps_have_bills_until_others_hang() {
    let settable = PUMPS
        .replace("round-fixed", "round-controllable")
        .replace("1200 L/h\"", "2400 L/h\"\nlowest_setting = \"30 %\"");
    let planned = own(
        "[home]\nprice_per_kwh = \"0.20 USD\"\n[skimmer]\npower = \"10 W\"\nsound = \"30 dB\"\n",
        &settable,
    );
    let told = bills(&planned);
    let text = |id: &str| planned.figure(id).unwrap().text().replace('\u{a0}', " ");
    assert!(planned.tables["cost_own"].caption.contains("none hangs"));
    for key in ["price", "power", "energy", "energy_cost", "cost"] {
        assert_eq!(
            told.iter().find(|(known, _)| known == key).unwrap().1,
            text(&format!("plan.{key}")),
            "{key}"
        );
    }
    // 10 W × 8.76 h × 0.2 USD.
    assert_eq!(told.iter().find(|(known, _)| known == "skimmer").unwrap().1, "17.5 USD");
    let empty = own("", "");
    assert!(!empty.tables.contains_key("cost_own") && empty.lacking("cost_own").is_some());
}
