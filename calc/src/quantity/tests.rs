use proptest::prelude::*;
use uom::si::f64::{
    ArealMassDensity, Frequency, Length, Mass, ThermodynamicTemperature, Time, Velocity, Volume, VolumeRate,
};

use super::shown_step;
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
    assert_eq!(text::<VolumeRate>("124 L/h"), "125 L/h (33 US gal/h)");
    assert_eq!(text::<VolumeRate>("12.3 L/h"), "12.5 L/h (3.2 US gal/h)");
    assert_eq!(text::<Frequency>("10 per hour"), "10 times an hour");
}

#[test]
fn a_stress_reads_in_the_unit_of_its_trade() {
    let stress =
        |si| show(Quantity::new(Kind::Stress, si), Rounding::Nearest).to_string().replace('\u{a0}', " ");
    assert_eq!(
        [stress(45e6), stress(999.7e3), stress(1200.0), stress(0.06)],
        ["45 MPa", "1 MPa", "1.2 kPa", "0.06 Pa"]
    );
}

#[test]
fn lengths_masses_times_and_temperatures_choose_their_unit() {
    assert_eq!(text::<Length>("90 cm"), "90 cm (35.4 in)");
    assert_eq!(text::<Length>("8 mm"), "8 mm (0.31 in)");
    assert_eq!(text::<Length>("3 m"), "3 m (9.8 ft)");
    assert_eq!(text::<Mass>("340 kg"), "340 kg (750 lb)");
    assert_eq!(text::<Length>("2.448634194275883 m"), "245 cm (96.4 in)");
    assert_eq!(text::<Time>("9.58 s"), "9.6 s");
    assert_eq!(text::<Time>("72.57 s"), "73 s");
    assert_eq!(text::<Time>("10 min"), "10 min");
    assert_eq!(text::<Time>("115 min"), "115 min");
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
    assert_eq!(
        message("1,500 L"),
        "`1,500` can be read in two ways; write 1500 for the thousands, or 1.500 for the decimal number"
    );
    assert_eq!(
        message("90 cm"),
        "`90 cm` is a length, but a volume is wanted; write a volume, for instance \"190 L\", \"50 US gal\" or \"42 imp gal\""
    );
    assert_eq!(
        message("50"),
        "`50` has no unit; say in which unit: \"50 mL\"; a volume can be in mL, L, m³, US fl oz, US gal, imp gal"
    );
    assert!(message("50 buckets").starts_with("`buckets` is not a unit of a volume"));
    assert!(message("many litres").starts_with("`many litres` can not be read as one number"));
    assert!(message("").starts_with("a volume is missing"));
    assert!(message("6 mL 2 L").starts_with("the parts of `6 mL 2 L`"));
    assert!(message("1/0 L").starts_with("`1/0 L` can not be read as one number"));
    assert!(message("20-30 L").starts_with("`20-30 L` can not be read as one number"));
    assert!(parse::<Length>("2 ft -6 in").unwrap_err().to_string().starts_with("the parts of `2 ft -6 in`"));
    assert!((parse::<Length>("-2 ft 6 in").unwrap().si() + 0.762).abs() < 1e-12);
    let error = parse::<VolumeRate>("500 gph").unwrap_err();
    assert_eq!(
        error.help(),
        "write \"500 US gal/h\" or \"500 imp gal/h\": the imperial gallon is a fifth larger"
    );
}

#[test]
fn a_range_is_rounded_outward_and_never_prints_as_one_value() {
    let range = |kind: Kind, low: &str, high: &str, rounding| {
        let (low, high) = (parse_as(kind, low).unwrap(), parse_as(kind, high).unwrap());
        show_range(low, high, rounding).to_string().replace('\u{a0}', " ")
    };
    let nearest = |kind, low, high| range(kind, low, high, Rounding::Nearest);
    assert_eq!(nearest(Kind::Flow, "570 L/h", "1140 L/h"), "570 to 1150 L/h (150 to 310 US gal/h)");
    assert_eq!(nearest(Kind::Flow, "1137 L/h", "1895 L/h"), "1100 to 1900 L/h (300 to 510 US gal/h)");
    assert_eq!(nearest(Kind::Flow, "1701 L/h", "1702 L/h"), "1700 to 1750 L/h (440 to 450 US gal/h)");
    assert_eq!(nearest(Kind::Current, "3.96 A", "5.01 A"), "3.9 to 5.1 A");
    // A rule's band prints as the rule says, in whichever unit that is.
    assert_eq!(nearest(Kind::Rate, "10 per hour", "20 per hour"), "10 to 20 times an hour");
    assert_eq!(nearest(Kind::Time, "30 min", "2 h"), "30 to 120 min");
    assert_eq!(nearest(Kind::Time, "5 days", "7 days"), "5 to 7 days");
    assert_eq!(nearest(Kind::Time, "1 week", "2 weeks"), "1 to 2 weeks");
    assert_eq!(nearest(Kind::Time, "1 week", "10 days"), "7 to 10 days");
    assert_eq!(nearest(Kind::Time, "1 month", "3 months"), "1 to 3 months");
    assert_eq!(nearest(Kind::Length, "8 mm", "3 cm"), "0.8 to 3 cm (0.31 to 1.19 in)");
    assert_eq!(nearest(Kind::Length, "0 mm", "3 cm"), "0 to 3 cm (0 to 1.19 in)");
    assert_eq!(nearest(Kind::Temperature, "24 °C", "26 °C"), "24 to 26 °C (75.2 to 78.8 °F)");
    // Sugar sand.
    assert_eq!(nearest(Kind::Length, "0.2 mm", "0.5 mm"), "0.2 to 0.5 mm (0.0078 to 0.0197 in)");
    // A safety figure asks for a side; a range has both.
    for rounding in [Rounding::Nearest, Rounding::Up, Rounding::Down] {
        assert_eq!(
            range(Kind::Flow, "1137 L/h", "1895 L/h", rounding),
            "1100 to 1900 L/h (300 to 510 US gal/h)"
        );
    }
    assert_eq!(range(Kind::Flow, "1740 L/h", "1740 L/h", Rounding::Up), "1750 L/h (460 US gal/h)");
    assert_eq!(range(Kind::Flow, "1740 L/h", "1740 L/h", Rounding::Down), "1700 L/h (450 US gal/h)");
}

#[test]
fn the_smallest_keep_their_meaning() {
    assert_eq!(text::<Length>("0.0015 mm"), "0.0015 mm (0.000059 in)");
    assert_eq!(text::<Length>("0.05 mm"), "0.05 mm (0.00197 in)");
    assert_eq!(text::<Length>("1.2 mm"), "1.2 mm (0.047 in)");
    assert_eq!(text::<Velocity>("0.4 mm/s"), "0.04 cm/s (0.0157 in/s)");
    assert_eq!(text::<Time>("0.04 s"), "40 ms");
    assert_eq!(text::<Time>("25 ms"), "25 ms");
    assert_eq!(text::<Time>("0.3 s"), "0.3 s");
    assert_eq!(text::<Frequency>("0.04 per day"), "0.04 times a day");
    assert_eq!(text::<ArealMassDensity>("0.3 kg/m2"), "0.3 kg/m² (0.061 lb/sq ft)");
    assert_eq!(text::<VolumeRate>("0.02 L/h"), "0.02 L/h (0.0053 US gal/h)");
}

#[test]
fn the_unit_is_chosen_by_what_is_printed() {
    // Each of these once printed a text that was read back and printed otherwise.
    for (kind, entry, printed) in [
        (Kind::Length, "98.99 in", "99 in"),
        (Kind::Length, "99.58 in", "8.3 ft"),
        (Kind::Time, "13.98 days", "2 weeks"),
        (Kind::Time, "14.2 days", "2 weeks"),
        (Kind::Time, "24.2 h", "1 day"),
        (Kind::Mass, "994.9 g", "995 g"),
        (Kind::Mass, "999.9 g", "1 kg"),
        (Kind::Rate, "5.97 per day", "6 times a day"),
        (Kind::Rate, "7.19 per day", "0.3 times an hour"),
        (Kind::Time, "59.4 days", "59 days"),
        (Kind::Time, "59.6 days", "2 months"),
        (Kind::Time, "30.4 days", "30 days"),
        (Kind::Time, "1 month", "1 month"),
        (Kind::Time, "11.9 months", "1 year"),
        (Kind::Time, "119.5 s", "2 min"),
        (Kind::Time, "119.4 s", "119 s"),
    ] {
        let system = if entry.ends_with(" in") { System::Us } else { System::Metric };
        let print = |entry: &str| {
            show(parse_as(kind, entry).unwrap(), Rounding::Nearest).in_system(system).to_string()
        };
        assert_eq!(print(entry).replace('\u{a0}', " "), printed, "{entry}");
        assert_eq!(print(printed).replace('\u{a0}', " "), printed, "{printed}");
    }
    // Rounded down, two months are sixty days and a bit less: no month, or the print would lead back to days.
    let sixty = parse_as(Kind::Time, "60.5 days").unwrap();
    assert_eq!(show(sixty, Rounding::Down).to_string(), "60\u{a0}days");
    assert_eq!(show(sixty, Rounding::Up).to_string(), "2\u{a0}months");
}

#[test]
fn what_lies_outside_a_range_reads_so() {
    let outside = |value: f64, low: f64, high: f64| {
        show_outside(Salinity(value).into(), Salinity(low).into(), Salinity(high).into())
            .map(|reading| reading.to_string())
    };
    assert_eq!(outside(42.01, 0.0, 42.0), ["42.01", "0", "42"]);
    assert_eq!(outside(50.0, 0.0, 42.0), ["50", "0", "42"]);
    assert_eq!(outside(41.98, 0.0, 41.96), ["41.98", "0", "41.96"]);
    assert_eq!(outside(-1e-9, 0.0, 42.0), ["−0.000000001", "0", "42"]);
    assert_eq!(outside(0.099_999_999, 0.1, 20.0), ["0.099999999", "0.1", "20"]);
    assert_eq!(outside(0.3 - 0.2, 0.1, 20.0), ["0.09999999999999998", "0.1", "20"]);
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
    assert_eq!(
        show(Quantity::new(Kind::Share, -0.00004), Rounding::Nearest).metric.to_string(),
        "−0.004\u{a0}%"
    );
    let dust = 0.3 - 0.2 - 0.1;
    assert!(dust < 0.0);
    assert_eq!(show(Quantity::new(Kind::Share, dust), Rounding::Nearest).metric.to_string(), "0\u{a0}%");
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
            assert!(
                unit.names.iter().all(|name| !other.names.contains(name)),
                "{} and {}",
                unit.symbol,
                other.symbol
            );
        }
    }
}

/// Every kind, with SI values from far below what occurs in a tank to far above, of both signs where a sign
/// has a meaning.
fn quantities() -> impl Strategy<Value = Quantity> {
    let kinds = [
        (Kind::Length, 1e-7, 100.0),
        (Kind::Area, 1e-8, 100.0),
        (Kind::Volume, 1e-9, 100.0),
        (Kind::Mass, 1e-9, 1e5),
        (Kind::Time, 1e-3, 1e10),
        (Kind::Speed, 1e-7, 10.0),
        (Kind::TransferVelocity, 1e-9, 1e-3),
        (Kind::Flow, 1e-10, 1.0),
        (Kind::Rate, 1e-9, 1.0),
        (Kind::Density, 1e-3, 3e4),
        (Kind::KinematicViscosity, 1e-8, 1e-4),
        (Kind::DynamicViscosity, 1e-5, 1e-1),
        (Kind::Stress, 1e-5, 1e9),
        (Kind::FloorLoad, 1e-3, 1e5),
        (Kind::Power, 1e-3, 1e5),
        (Kind::Energy, 1.0, 1e10),
        (Kind::Voltage, 1e-3, 1e4),
        (Kind::Current, 1e-6, 100.0),
        (Kind::Concentration, 1e-8, 10.0),
        (Kind::MassRate, 1e-15, 1e-6),
        (Kind::UptakeByArea, 1e-12, 1e-6),
        (Kind::MolarMass, 1e-3, 1.0),
        (Kind::Salinity, 1e-3, 50.0),
        (Kind::SpecificGravity, 1e-3, 5.0),
        (Kind::Share, 1e-6, 5.0),
        (Kind::Ratio, 1e-8, 1e9),
        (Kind::Money(Currency::USD), 1e-4, 1e7),
    ];
    let of_any_size =
        proptest::sample::select(kinds.to_vec()).prop_flat_map(|(kind, low, high): (Kind, f64, f64)| {
            let size = (libm::log(low)..libm::log(high)).prop_map(libm::exp);
            (size, proptest::bool::weighted(0.1))
                .prop_map(move |(size, negative)| Quantity::new(kind, if negative { -size } else { size }))
        });
    let counted_from_elsewhere = prop_oneof![
        (250.0..330.0).prop_map(|kelvin| Quantity::new(Kind::Temperature, kelvin)),
        (-20.0..140.0).prop_map(|decibels| Quantity::new(Kind::SoundLevel, decibels)),
        (0_u32..5000).prop_map(|count| Quantity::new(Kind::Count, f64::from(count))),
    ];
    // What people write is a round number of some unit: there the units meet.
    let units: Vec<_> = UNITS.iter().filter(|unit| unit.kind != Kind::Count).collect();
    let round =
        (proptest::sample::select(units), 1_u32..2000, proptest::sample::select(vec![1.0, 10.0, 1000.0]));
    let as_written = round.prop_map(|(unit, number, parts)| {
        Quantity::new(unit.kind, (f64::from(number) / parts + unit.offset) * unit.si)
    });
    prop_oneof![6 => of_any_size, 1 => counted_from_elsewhere, 3 => as_written]
}

const SIDES: [Rounding; 3] = [Rounding::Nearest, Rounding::Up, Rounding::Down];
const SYSTEMS: [System; 2] = [System::Metric, System::Us];

/// A reading as a reader of its text has it, in SI.
fn read_back(kind: Kind, reading: &Reading) -> Quantity {
    parse_as(kind, &reading.to_string().replace(',', "")).unwrap_or_else(|error| panic!("{reading}: {error}"))
}

/// How far off a print to the nearest step may be: nothing is, where a unit counts from a zero that is not
/// nothing.
fn person_step(kind: Kind) -> Option<f64> {
    match kind {
        Kind::Temperature | Kind::SoundLevel => None,
        Kind::Share => Some(0.05),
        _ => Some(0.03),
    }
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
        for (rounding, system) in SIDES.into_iter().flat_map(|rounding| SYSTEMS.map(|system| (rounding, system))) {
            let shown = show(quantity, rounding);
            let reading = shown.in_system(system);
            let again = show(read_back(quantity.kind, reading), rounding);
            prop_assert_eq!(reading, again.in_system(system), "{:?} rounded {:?}", quantity, rounding);
        }
    }

    #[test]
    fn rounding_stays_within_its_step_and_on_its_side(quantity in quantities()) {
        for system in SYSTEMS {
            // Where the printed value lies from the true one, in printed steps.
            let off = |rounding| {
                let step = shown_step(quantity, system, rounding);
                let (_, symbol) = shown_number(quantity, system, rounding);
                let size = unit(quantity.kind, symbol).map_or(1.0, |unit| unit.si);
                (read_back(quantity.kind, show(quantity, rounding).in_system(system)).si - quantity.si) / (step * size)
            };
            // The last bit of a sum never decides what is printed, and a temperature loses bits to its
            // offset.
            let slack = 1e-6;
            prop_assert!((-0.5 - slack..=0.5 + slack).contains(&off(Rounding::Nearest)), "{} steps off", off(Rounding::Nearest));
            prop_assert!((-slack..1.0).contains(&off(Rounding::Up)), "{} steps above", off(Rounding::Up));
            prop_assert!((-slack..1.0).contains(&-off(Rounding::Down)), "{} steps below", -off(Rounding::Down));
        }
    }

    #[test]
    fn nothing_but_nothing_prints_as_zero_and_no_print_misleads(quantity in quantities()) {
        let Some(most) = person_step(quantity.kind) else { return Ok(()) };
        let size = quantity.si.abs();
        let mut nearest = Vec::new();
        for (rounding, system) in SIDES.into_iter().flat_map(|rounding| SYSTEMS.map(|system| (rounding, system))) {
            let printed = read_back(quantity.kind, show(quantity, rounding).in_system(system)).si;
            prop_assert_eq!(printed == 0.0, quantity.si == 0.0, "{:?} rounded {:?}", quantity, rounding);
            let most = if rounding == Rounding::Nearest { most } else { 2.0 * most };
            prop_assert!((printed - quantity.si).abs() <= most * size, "{:?} rounded {:?} prints {}", quantity, rounding, printed);
            if rounding == Rounding::Nearest {
                nearest.push(printed);
            }
        }
        prop_assert!((nearest[0] - nearest[1]).abs() <= 2.0 * most * size, "{:?} prints {} and {}", quantity, nearest[0], nearest[1]);
    }

    #[test]
    fn a_range_holds_what_it_says_and_prints_as_two(one in quantities(), times in 1.0001..50.0) {
        let (kind, other) = (one.kind, one.si * times);
        let (low, high) = (Quantity::new(kind, one.si.min(other)), Quantity::new(kind, one.si.max(other)));
        if low.si >= high.si {
            return Ok(());
        }
        for system in SYSTEMS {
            for rounding in SIDES {
                let shown = show_range(low, high, rounding);
                let reading = shown.in_system(system);
                let (from, to) = reading.number.split_once(" to ").expect("two ends");
                let end = |number: &str| read_back(kind, &Reading { number: number.to_owned(), unit: reading.unit }).si;
                let slack = 1e-6 * (high.si - low.si);
                prop_assert!(end(from) <= low.si + slack && end(to) >= high.si - slack, "{} for {:?} to {:?}", reading, low, high);
                prop_assert!(end(from) < end(to), "{}", reading);
                prop_assert_eq!(end(from) == 0.0 && kind != Kind::SoundLevel, low.si == 0.0, "{}", reading);
            }
        }
    }

    #[test]
    fn no_number_has_more_than_four_digits_that_carry_meaning(quantity in quantities()) {
        let number = show(quantity, Rounding::Nearest).metric.number.replace([',', '.', '−'], "");
        let meaning = number.trim_start_matches('0').trim_end_matches('0');
        // Four only for flows such as 1750, densities, and temperatures of a few hundred and a tenth.
        prop_assert!(meaning.len() <= if quantity.kind == Kind::Density { 5 } else { 4 }, "{}", number);
    }
}
