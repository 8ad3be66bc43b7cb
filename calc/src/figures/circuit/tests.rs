use super::*;
use crate::formulas::circuit::Verdict;
use crate::sheet::Cell;

fn sheet(home: &str) -> Sheet {
    let tank = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n[livestock]\n\
         now = \"soft\"\n[home]\n{home}"
    );
    Sheet::reckon(
        &Rules::compiled_in().unwrap(),
        &crate::Catalogue::empty(),
        &Tank::read("t.toml", &tank, &Rules::compiled_in().unwrap()).unwrap(),
    )
    .unwrap()
}

fn text(sheet: &Sheet, id: &str) -> String {
    sheet.figure(id).unwrap().text().replace('\u{a0}', " ")
}

#[test]
fn what_is_left_on_a_circuit_is_reckoned_for_the_poorest_power_supply() {
    // 480 W on 120 V: 4 A, or 8 A at a power factor of a half; of the 12 A on a 15 A breaker, 4 A are left:
    // 240 W at that factor.
    let sheet = sheet("voltage = \"120 V\"\nbreaker = \"15 A\"\nother_load = \"480 W\"\n");
    assert_eq!(text(&sheet, "circuit.limit"), "12 A");
    assert_eq!(text(&sheet, "circuit.current"), "4 to 8 A");
    assert_eq!(text(&sheet, "circuit.left"), "4 A");
    assert_eq!(text(&sheet, "circuit.left_power"), "240 W");
}

#[test]
fn an_overloaded_circuit_is_called_so_and_has_nothing_left() {
    let of =
        |load: &str| sheet(&format!("voltage = \"120 V\"\nbreaker = \"15 A\"\nother_load = \"{load}\"\n"));
    let words = &Rules::compiled_in().unwrap().words.circuit;
    // 600 W at a power factor of a half: 10 A of the 12 A; 720 W: 12 A; 780 W: 13 A of 15 A; 970 W: 16.2 A;
    // 1860 W: 15.5 A at the best.
    for (load, verdict) in [
        ("600 W", Verdict::Bears),
        ("720 W", Verdict::Bears),
        ("780 W", Verdict::PastTheLimit),
        ("970 W", Verdict::MayBeOverloaded),
        ("1860 W", Verdict::IsOverloaded),
    ] {
        let sheet = of(load);
        assert_eq!(text(&sheet, "circuit.verdict"), verdict.words(words), "{load}");
        assert_eq!(sheet.figure("circuit.overloaded").is_some(), verdict != Verdict::Bears, "{load}");
        assert_eq!(sheet.figure("circuit.left").is_some(), load == "600 W", "{load}");
        assert!(
            !sheet
                .figures()
                .iter()
                .any(|figure| figure.id.starts_with("circuit.") && figure.text().starts_with("0\u{a0}")),
            "{load}"
        );
    }
    // The share is told even above the whole, rounded outward: 8.08 to 16.17 A of 15 A.
    assert_eq!(text(&of("970 W"), "circuit.share"), "53 to 108 %");
}

#[test]
fn all_that_the_tank_file_names_is_counted_once() {
    let rules = Rules::compiled_in().unwrap();
    let catalogue = Catalogue::read(
        "pumps.toml",
        "currency = \"USD\"\n[[pump]]\nmodel = \"M\"\nkind = \"round-fixed\"\nrated_flow = \"2000 L/h\"\noutlet = \"3 cm\"\npower = \"7 W\"\nsound = \"30 dB\"\n\
         price = \"50 USD\"\nwet_end_price = \"10 USD\"\nshaft = \"metal\"\n",
    )
    .unwrap();
    let text = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n[livestock]\nnow = \"soft\"\n\
                [home]\nvoltage = \"230 V\"\nother_load = \"100 W\"\n[skimmer]\npower = \"12 W\"\n[return]\nlift = \"1.2 m\"\nlength = \"1.6 m\"\nbore = \"21.2 mm\"\n\
                pump_flow = \"3000 L/h\"\npump_head = \"3 m\"\npump_power = \"30 W\"\n\
                [[pump]]\nname = \"a\"\nmodel = \"M\"\nwall = \"left\"\nheight = \"30 cm\"\n[[pump]]\nname = \"b\"\nmodel = \"M\"\nwall = \"right\"\nheight = \"30 cm\"\n";
    let tank = Tank::read("t.toml", text, &rules).unwrap();
    let sheet = Sheet::reckon(&rules, &catalogue, &tank).unwrap();
    // 100 + 30 + 12 + 2 × 7 W.
    assert_eq!(self::text(&sheet, "circuit.load"), "156 W");
    assert_eq!(self::text(&sheet, "circuit.voltage"), "230 V");
    assert_eq!(self::text(&sheet, "circuit.breaker"), "15 A, assumed");
    assert!(sheet.figure("circuit.breaker").unwrap().rules.contains(&"assumed.breaker".into()));
}

fn catalogue() -> Catalogue {
    Catalogue::read(
        "pumps.toml",
        "currency = \"USD\"\n[[pump]]\nmodel = \"M\"\nkind = \"round-controllable\"\nrated_flow = \"2400 L/h\"\noutlet = \"4 cm\"\npower = \"7 W\"\n\
         lowest_setting = \"30 %\"\nsound = \"30 dB\"\nprice = \"50 USD\"\nwet_end_price = \"10 USD\"\nshaft = \"metal\"\n",
    )
    .unwrap()
}

#[test]
fn of_a_circuit_on_which_nothing_is_known_to_hang_nothing_is_said() {
    let sheet = sheet("breaker = \"15 A\"\n");
    for part in ["load", "current", "share", "left", "left_power", "verdict", "overloaded"] {
        let id = format!("circuit.{part}");
        assert!(sheet.figure(&id).is_none(), "{id}");
        assert!(
            part == "overloaded"
                || sheet.lacking(&id).unwrap().contains("names nothing that hangs on the circuit"),
            "{id}"
        );
    }
    assert_eq!(text(&sheet, "circuit.limit"), "12 A");
    assert!(!sheet.tables["circuit_sum"].rows.iter().any(|row| matches!(&row.cells[0], Cell::Words(_))));
}

#[test]
fn the_plans_pumps_count_until_others_hang() {
    let rules = Rules::compiled_in().unwrap();
    let head = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"60 cm\"\nwidth = \"40 cm\"\nheight = \"40 cm\"\npane = \"8 mm\"\n[livestock]\nnow = \"soft\"\n";
    let of = |rest: &str| {
        Sheet::reckon(&rules, &catalogue(), &Tank::read("t.toml", &format!("{head}{rest}"), &rules).unwrap())
            .unwrap()
    };
    let bare = of("");
    assert_eq!(text(&bare, "plan.pumps"), "two M");
    assert_eq!(text(&bare, "circuit.plan_pumps"), "14 W");
    assert_eq!(text(&bare, "circuit.load"), "14 W");
    let hung = of("[[pump]]\nname = \"a\"\nmodel = \"M\"\nwall = \"left\"\nheight = \"30 cm\"\n");
    assert!(hung.figure("circuit.plan_pumps").is_none());
    assert_eq!(text(&hung, "circuit.load"), "7 W");
}

#[test]
fn what_is_not_in_the_file_is_said_not_to_be_counted() {
    assert_eq!(
        text(&sheet(""), "circuit.not_counted"),
        "heater, lights and whatever else hangs on the circuit"
    );
    assert_eq!(
        text(&sheet("other_load = \"100 W\"\n"), "circuit.not_counted"),
        "whatever else hangs on the circuit"
    );
    assert_eq!(
        text(&sheet("other_load = \"100 W\"\n[sump]\nwater = \"40 L\"\n"), "circuit.not_counted"),
        "the return pump of the sump and whatever else hangs on the circuit"
    );
    assert!(text(&sheet(""), "circuit.device").contains("names no residual-current device"));
    assert!(
        text(&sheet("residual_current = true\n"), "circuit.device")
            .contains("says that a residual-current device guards")
    );
}
