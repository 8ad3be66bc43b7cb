use proptest::prelude::*;

use super::*;
use crate::quantity::parse;

fn watts(value: f64) -> Power {
    Power::from_si(value)
}

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
    // 200 Wh × 80 % kept × 40 % depth × 85 % = 54.4 Wh, printed as 54 Wh, and 18.1333 h at 3 W, printed as 18 h.
    let sheet = sheet("[battery]\nenergy = \"200 Wh\"\nchemistry = \"lead-acid\"\n");
    let Cell::Figure(hours) = &sheet.tables["power_battery_hours"].rows[0].cells[0] else { panic!("a cell of words") };
    assert_eq!(hours.text().replace('\u{a0}', " "), "18 h");
    assert_eq!(text(&sheet, "power.battery_usable"), "54 to 95 Wh");
    let longer = sheet.tables["power_battery_needed"].rows[1].cells.iter().map(|cell| match cell {
        Cell::Figure(figure) => figure.text().replace('\u{a0}', " "),
        Cell::Words(_) => panic!("a cell of words"),
    });
    // 10 W × 8 h ÷ 27.2 % = 294.1 Wh; ÷ 54.4 % = 147.06 Wh. With 10 W more for the inverter: 21.76 W × 8 h ÷ 32 % = 544.1 Wh, and half of it.
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

#[test]
fn what_is_no_pump_is_refused() {
    assert!(draw(watts(10.0), watts(11.0), Share(0.5)).unwrap_err().to_string().starts_with("the standing draw is 11"));
    assert!(draw(watts(10.0), watts(1.0), Share(1.1)).is_err());
    assert!(draw(watts(f64::NAN), watts(1.0), Share(1.0)).is_err());
    assert!(affinity_flow(parse("100 L/h").unwrap(), -0.1).is_err());
    assert!(affinity_flow(parse("100 L/h").unwrap(), f64::INFINITY).is_err());
    for wrong in [f64::NAN, f64::INFINITY, -1.0] {
        assert!(affinity_flow(VolumeRate::from_si(wrong), 0.5).is_err(), "{wrong}");
        assert!(affinity_head(Length::from_si(wrong), 0.5).is_err(), "{wrong}");
        assert!(affinity_power(watts(wrong), 0.5).is_err(), "{wrong}");
    }
    assert!(affinity_power(watts(0.0), 0.5).unwrap().si() <= 0.0);
    assert!(run_time(parse("100 Wh").unwrap(), Share(0.5), watts(0.0)).is_err());
    assert!(run_time(parse("100 Wh").unwrap(), Share(0.0), watts(1.0)).is_err());
    assert!(battery_for(watts(1.0), parse("0 h").unwrap(), Share(0.5)).is_err());
    let free = Money { amount: -0.1, currency: crate::quantity::Currency::USD };
    assert!(cost(parse("1 kWh").unwrap(), free).is_err());
}

proptest! {
    #[test]
    fn a_pump_turned_down_draws_less_but_never_less_than_its_controller(full in 1.0..500.0, standing in 0.0..1.0, a in 0.0..1.0, b in 0.0..1.0) {
        let standing = watts(full * standing);
        let (low, high) = (f64::min(a, b), f64::max(a, b));
        let (less, more) = (draw(watts(full), standing, Share(low)).unwrap(), draw(watts(full), standing, Share(high)).unwrap());
        prop_assert!(less <= more && less >= standing && more.si() <= full * (1.0 + 1e-12));
    }

    #[test]
    fn at_the_ends_of_the_dial_the_draw_is_known(full in 1.0..500.0, standing in 0.0..1.0) {
        let standing = watts(full * standing);
        prop_assert!((draw(watts(full), standing, Share(1.0)).unwrap().si() / full - 1.0).abs() < 1e-12);
        prop_assert!((draw(watts(full), standing, Share(0.0)).unwrap() - standing).si().abs() < 1e-12);
        let range = draw_range(watts(full), standing, Share(1.0), Band { low: Share(0.5), high: Share(1.0) }).unwrap();
        prop_assert!((range.high - range.low).si().abs() < 1e-9);
    }

    #[test]
    fn flow_times_head_grows_as_power_does(speed in 0.01..2.0) {
        let flow = affinity_flow(VolumeRate::from_si(1.0), speed).unwrap().si();
        let head = affinity_head(Length::from_si(1.0), speed).unwrap().si();
        prop_assert!((flow * head / affinity_power(watts(1.0), speed).unwrap().si() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_battery_for_so_many_hours_lasts_so_many_hours(draw in 0.1..100.0, hours in 1.0..100.0, usable in 0.05..1.0) {
        let time = Time::from_si(3600.0 * hours);
        let battery = battery_for(watts(draw), time, Share(usable)).unwrap();
        if battery.si() < 3600.0 {
            return Ok(());
        }
        prop_assert!((run_time(battery, Share(usable), watts(draw)).unwrap().si() / time.si() - 1.0).abs() < 1e-12);
    }
}
