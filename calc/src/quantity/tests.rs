use proptest::prelude::*;
use uom::si::f64::{Frequency, Length, Mass, ThermodynamicTemperature, Time, Volume, VolumeRate};

use super::*;

fn text<D: Dimension>(entry: &str) -> String {
    show(parse::<D>(entry).unwrap().into(), Rounding::Nearest).to_string().replace('\u{a0}', " ")
}

#[test]
fn a_volume_reads_in_both_systems() {
    assert_eq!(text::<Volume>("171 L"), "171 L (45 US gal)");
    assert_eq!(text::<Volume>("0.2 L"), "200 mL (6.8 US fl oz)");
    assert_eq!(text::<Volume>("999.7 mL"), "1 L (0.26 US gal)");
    assert_eq!(text::<Volume>("12 345 mL".replace(' ', "").as_str()), "12.3 L (3.3 US gal)");
}

#[test]
fn a_flow_is_rounded_to_what_a_dial_shows() {
    assert_eq!(text::<VolumeRate>("1734 L/h"), "1750 L/h (460 US gal/h)");
    assert_eq!(text::<VolumeRate>("26000 L/h"), "26,000 L/h (6850 US gal/h)");
    assert_eq!(text::<Frequency>("10 per hour"), "10 times an hour");
}

#[test]
fn lengths_masses_times_and_temperatures_choose_their_unit() {
    assert_eq!(text::<Length>("90 cm"), "90 cm (35.4 in)");
    assert_eq!(text::<Length>("8 mm"), "8 mm (0.31 in)");
    assert_eq!(text::<Length>("3 m"), "3 m (9.8 ft)");
    assert_eq!(text::<Mass>("340 kg"), "340 kg (750 lb)");
    assert_eq!(text::<Length>("2.448634194275883 m"), "245 cm (96.4 in)");
    assert_eq!(text::<Time>("10 min"), "10 min");
    assert_eq!(text::<Time>("12 months"), "1 year");
    assert_eq!(text::<Time>("3 months"), "3 months");
    assert_eq!(text::<ThermodynamicTemperature>("25 °C"), "25 °C (77 °F)");
    assert_eq!(text::<ThermodynamicTemperature>("77 F"), "25 °C (77 °F)");
}

#[test]
fn both_decimal_signs_and_fractions_are_read() {
    for entry in ["1.5 L", "1,5 L", "1 1/2 l", "1½ litres", "1500 mL", "3/2 liter"] {
        assert!((parse::<Volume>(entry).unwrap().si() - 1.5e-3).abs() < 1e-15, "{entry}");
    }
    for entry in ["2 ft 6 in", "2' 6\"", "2′6″", "30 in", "2.5 ft", "76.2 cm"] {
        assert!((parse::<Length>(entry).unwrap().si() - 0.762).abs() < 1e-12, "{entry}");
    }
    assert!((parse::<VolumeRate>("10 L / h").unwrap().si() - 10.0e-3 / 3600.0).abs() < 1e-18);
}

#[test]
fn what_can_not_be_read_says_what_would_be_right() {
    let message = |entry: &str| {
        let error = parse::<Volume>(entry).unwrap_err();
        format!("{error}; {}", error.help())
    };
    assert_eq!(
        message("50 gal"),
        "`gal` alone does not say which gallon; write \"50 US gal\" or \"50 imp gal\": the imperial gallon is a fifth larger"
    );
    assert_eq!(message("1,500 L"), "`1,500` can be read in two ways; write 1500 for the thousands, or 1.500 for the decimal number");
    assert_eq!(
        message("90 cm"),
        "`90 cm` is a length, but a volume is wanted; write a volume, for instance \"190 L\", \"50 US gal\" or \"42 imp gal\""
    );
    assert_eq!(message("50"), "`50` has no unit; say in which unit: \"50 mL\"; a volume can be in mL, L, m³, US fl oz, US gal, imp gal");
    assert!(message("50 buckets").starts_with("`buckets` is not a unit of a volume"));
    assert!(message("many litres").starts_with("`many litres` can not be read as one number"));
    assert!(message("").starts_with("a volume is missing"));
    assert!(message("6 mL 2 L").starts_with("the parts of `6 mL 2 L`"));
    assert!(message("1/0 L").starts_with("`1/0 L` can not be read as one number"));
    assert!(message("20-30 L").starts_with("`20-30 L` can not be read as one number"));
    assert!(parse::<Length>("2 ft -6 in").unwrap_err().to_string().starts_with("the parts of `2 ft -6 in`"));
    assert!((parse::<Length>("-2 ft 6 in").unwrap().si() + 0.762).abs() < 1e-12);
    let error = parse::<VolumeRate>("500 gph").unwrap_err();
    assert_eq!(error.help(), "write \"500 US gal/h\" or \"500 imp gal/h\": the imperial gallon is a fifth larger");
}

#[test]
fn a_range_never_prints_as_one_value() {
    let range = |low: f64, high: f64| {
        let q = |litres: f64| Quantity::new(Kind::Flow, litres * 1e-3 / 3600.0);
        show_range(q(low), q(high), Rounding::Nearest).metric.to_string().replace('\u{a0}', " ")
    };
    assert_eq!(range(570.0, 1140.0), "570 to 1150 L/h");
    assert_eq!(range(1700.0, 1710.0), "1700 to 1710 L/h");
    assert_eq!(range(1700.0, 1700.0), "1700 L/h");
}

#[test]
fn safety_figures_round_to_the_safe_side() {
    let load = Quantity::new(Kind::FloorLoad, 541.0);
    assert_eq!(show(load, Rounding::Up).metric.number, "550");
    assert_eq!(show(load, Rounding::Down).metric.number, "540");
    assert_eq!(show(Quantity::new(Kind::FloorLoad, 540.0), Rounding::Up).metric.number, "540");
}

#[test]
fn a_negative_number_keeps_its_sign_and_zero_has_none() {
    assert_eq!(show(Quantity::new(Kind::Share, -0.05), Rounding::Nearest).metric.to_string(), "−5\u{a0}%");
    assert_eq!(show(Quantity::new(Kind::Share, -0.00004), Rounding::Nearest).metric.to_string(), "0\u{a0}%");
    assert_eq!(minus(-1234567.0, 0), "−1,234,567");
}

#[test]
fn a_currency_keeps_its_code() {
    assert_eq!(Currency::USD.code(), "USD");
    for code in CURRENCIES {
        assert_eq!(Currency::new(code).unwrap().code(), code);
    }
    assert_eq!(Currency::new("usd"), None);
}

#[test]
fn within_a_kind_no_two_units_share_a_written_name() {
    for (at, unit) in UNITS.iter().enumerate() {
        for other in UNITS[at + 1..].iter().filter(|other| other.kind == unit.kind) {
            assert!(unit.names.iter().all(|name| !other.names.contains(name)), "{} and {}", unit.symbol, other.symbol);
        }
    }
}

/// Every kind that is printed through a ladder, with SI values of a size that occurs in a tank.
fn quantities() -> impl Strategy<Value = Quantity> {
    let kinds = [
        (Kind::Length, 1e-4, 20.0),
        (Kind::Volume, 1e-5, 20.0),
        (Kind::Mass, 1e-4, 5e3),
        (Kind::Time, 1.0, 1e9),
        (Kind::Speed, 1e-4, 3.0),
        (Kind::Flow, 1e-6, 1e-2),
        (Kind::Rate, 1e-5, 0.1),
        (Kind::Temperature, 273.15, 320.0),
        (Kind::FloorLoad, 1.0, 5e3),
        (Kind::Power, 0.1, 5e3),
        (Kind::Energy, 1e3, 1e9),
        (Kind::Share, 0.001, 1.0),
    ];
    proptest::sample::select(kinds.to_vec()).prop_flat_map(|(kind, low, high)| (low..high).prop_map(move |si| Quantity::new(kind, si)))
}

proptest! {
    #[test]
    fn reading_never_panics(entry in ".{0,24}") {
        for kind in [Kind::Length, Kind::Volume, Kind::Flow, Kind::Rate, Kind::Temperature, Kind::Share] {
            if let Ok(quantity) = parse_as(kind, &entry) {
                prop_assert!(quantity.si.is_finite());
            }
        }
    }

    #[test]
    fn what_is_printed_can_be_read_back_and_prints_the_same(quantity in quantities()) {
        let shown = show(quantity, Rounding::Nearest);
        for system in [System::Metric, System::Us] {
            let entry = shown.in_system(system).to_string().replace(',', "");
            let back = parse_as(quantity.kind, &entry).unwrap();
            let again = show(back, Rounding::Nearest);
            prop_assert_eq!(shown.in_system(system), again.in_system(system), "{} from {:?}", entry, quantity);
        }
    }

    #[test]
    fn rounding_stays_within_its_step_and_on_its_side(quantity in quantities()) {
        for system in [System::Metric, System::Us] {
            let at = |rounding| {
                let (value, symbol) = shown_number(quantity, system, rounding);
                let unit = unit(quantity.kind, symbol).unwrap();
                (value + unit.offset) * unit.si
            };
            let slack = 1e-6 * quantity.si.abs();
            prop_assert!(at(Rounding::Up) >= quantity.si - slack);
            prop_assert!(at(Rounding::Down) <= quantity.si + slack);
            // The coarsest step of any ladder is a tenth of the value.
            let off = (at(Rounding::Nearest) - quantity.si).abs();
            prop_assert!(off <= 0.06 * quantity.si.abs() + 1e-9, "{} off by {}", quantity.si, off);
        }
    }

    #[test]
    fn no_number_has_more_than_four_digits_that_carry_meaning(quantity in quantities()) {
        let number = show(quantity, Rounding::Nearest).metric.number.replace([',', '.', '−'], "");
        let meaning = number.trim_start_matches('0').trim_end_matches('0');
        // Four only for flows such as 1750 and temperatures or loads of a few hundred and a tenth.
        prop_assert!(meaning.len() <= 4, "{}", number);
    }
}
