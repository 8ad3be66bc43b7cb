use proptest::prelude::*;

use uom::si::f64::Area;

use super::*;
use crate::decide::sound::{at_pillow_of, way_to_pillow};
use crate::formulas::sound::in_room;
use crate::sheet::Figure;

fn metres(value: f64) -> Length {
    Length::from_si(value)
}

fn tank(rest: &str) -> Tank {
    let text = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n[livestock]\n\
         now = \"soft\"\n{rest}\n"
    );
    Tank::read("t.toml", &text, &Rules::compiled_in().unwrap()).unwrap()
}

fn sheet(rest: &str) -> Sheet {
    Sheet::reckon(&Rules::compiled_in().unwrap(), &crate::Catalogue::empty(), &tank(rest)).unwrap()
}

/// A return pump of 38 dB; the overflow comes with it.
const RETURN: &str = "[return]\nlift = \"1.2 m\"\nlength = \"1.6 m\"\nbore = \"21.2 mm\"\nelbows = 3\npump_flow = \"3000 L/h\"\npump_head = \"3 m\"\n\
                      pump_power = \"30 W\"\nsound = \"38 dB\"\n";

fn text(figure: &Figure) -> String {
    figure.text().replace('\u{a0}', " ")
}

#[test]
fn levels_at_the_pillow_are_rounded_up_and_limits_down() {
    let sheet = sheet("[home]\npillow = \"3 m\"");
    // By hand: 20 log 3 = 9.54 dB fall in the open. 16π/10 m² = 5.027; (1/9 + 5.027)/(1 + 5.027) = 0.853, 10
    // log = −0.69 dB.
    assert_eq!(text(sheet.figure("sound.fall_open").unwrap()), "9 dB");
    // In the room that swallows most of its kind, 25 m²: 16π/25 = 2.011; 2.122/3.011 = 0.705, 10 log = −1.52
    // dB.
    let Cell::Figure(lined) = &sheet.tables["sound_pillow"].rows[5].cells[0] else {
        panic!("a cell of words")
    };
    assert_eq!(text(lined), "38 to 40 dB");
    assert_eq!(text(sheet.figure("sound.fall_lined").unwrap()), "0 to 2 dB");
    // 16π/5 m² = 10.053; 10.164/11.053 = 0.920, 10 log = −0.36 dB: 30.36 dB at one metre make the WHO's 30
    // dB.
    assert_eq!(text(sheet.figure("sound.limit").unwrap()), "30 dB");
}

#[test]
fn what_is_no_sound_is_refused() {
    assert!(sum(&[]).unwrap_err().to_string().contains("there is no source"));
    assert!(sum(&[SoundLevel(30.0), SoundLevel(f64::NAN)]).is_err());
    assert!(
        in_the_open(SoundLevel(150.0), metres(1.0), metres(2.0))
            .unwrap_err()
            .to_string()
            .starts_with("the sound level is 150")
    );
    assert!(in_the_open(SoundLevel(40.0), metres(0.0), metres(2.0)).is_err());
    assert!(in_room(SoundLevel(40.0), metres(1.0), metres(2.0), Area::from_si(0.0)).is_err());
}

fn levels() -> impl Strategy<Value = Vec<f64>> {
    prop::collection::vec(-10.0..100.0, 1..6)
}

proptest! {
    #[test]
    fn together_they_are_louder_than_the_loudest_but_not_by_more_than_their_number(levels in levels()) {
        let loudest = levels.iter().copied().fold(f64::MIN, f64::max);
        let many = 10.0 * libm::log10(levels.len() as f64);
        let got = sum(&levels.iter().map(|level| SoundLevel(*level)).collect::<Vec<_>>()).unwrap().0;
        prop_assert!(got >= loudest - 1e-9 && got <= loudest + many + 1e-9);
    }

    #[test]
    fn the_order_and_the_grouping_do_not_matter(a in 0.0..90.0, b in 0.0..90.0, c in 0.0..90.0) {
        let [a, b, c] = [a, b, c].map(SoundLevel);
        let pair = sum(&[a, b]).unwrap();
        prop_assert!((sum(&[c, b, a]).unwrap().0 - sum(&[pair, c]).unwrap().0).abs() < 1e-9);
    }

    #[test]
    fn twice_as_far_in_the_open_is_six_decibels_less(level in 0.0..100.0, from in 0.1..100.0) {
        let fall = level - in_the_open(SoundLevel(level), metres(from), metres(2.0 * from)).unwrap().0;
        prop_assert!((fall - 20.0 * libm::log10(2.0)).abs() < 1e-9);
    }

    #[test]
    fn a_room_is_louder_than_the_open_and_softer_the_more_it_swallows(level in 0.0..100.0, to in 0.2..20.0, absorption in 1.0..400.0) {
        let room = |absorption| in_room(SoundLevel(level), metres(1.0), metres(to), Area::from_si(absorption)).unwrap().0;
        prop_assert!(room(absorption) > in_the_open(SoundLevel(level), metres(1.0), metres(to)).unwrap().0);
        prop_assert!(room(absorption * 2.0) < room(absorption));
    }

    #[test]
    fn at_the_critical_distance_the_room_doubles_the_energy(level in 0.0..100.0, absorption in 4.0..400.0) {
        // There the direct sound equals what the room throws back: r = √(A/16π).
        let critical = metres(f64::sqrt(absorption / (16.0 * std::f64::consts::PI)));
        let open = in_the_open(SoundLevel(level), metres(1.0), critical).unwrap();
        let room = in_room(SoundLevel(level), metres(1.0), critical, Area::from_si(absorption)).unwrap();
        prop_assert!((room.0 - open.0 - 10.0 * libm::log10(2.0)).abs() < 1e-9);
    }

    #[test]
    fn the_limit_at_one_metre_just_keeps_the_pillow_within_the_night_level(pillow in 0.3..20.0, absorption in 1.0..100.0) {
        let mut rules = Rules::compiled_in().unwrap().sound;
        *rules.ordinary_room = Band { low: Area::from_si(absorption), high: Area::from_si(absorption * 2.0) };
        let at = |to: f64, absorption| in_room(SoundLevel(0.0), metres(1.0), metres(to), absorption).unwrap().0;
        let falls = [rules.ordinary_room.low, rules.ordinary_room.high].map(|absorption| at(1.0, absorption) - at(pillow, absorption));
        let fall = falls[0].min(falls[1]);
        let home = Home { pillow: Traced::given(metres(pillow)), ..tank("").home };
        let arrived = at_pillow_of(&home, &[SoundLevel(30.0 + fall)], &rules).unwrap();
        // Beyond a metre nothing is louder than at a metre, and nearer nothing is softer.
        prop_assert!((fall > 0.0) == (pillow > 1.0));
        // Nor does it rise with the distance.
        let further = Home { pillow: Traced::given(metres(pillow * 1.1)), ..home.clone() };
        prop_assert!(way_to_pillow(&further, &rules).unwrap().high < way_to_pillow(&home, &rules).unwrap().high);
        prop_assert!((arrived.high.0 - 30.0).abs() < 1e-9 && arrived.low <= arrived.high);
        // A shut door keeps at the least so much out, at the most so much.
        let shut = at_pillow_of(&Home { door: true, ..home }, &[SoundLevel(30.0 + fall)], &rules).unwrap();
        prop_assert!((arrived.high.0 - shut.high.0 - rules.door.low.0).abs() < 1e-9);
        let kept = (arrived.low.0 - rules.door.high.0).max(0.0);
        prop_assert!((shut.low.0 - kept).abs() < 1e-9);
    }
}

#[test]
fn each_halving_of_the_speed_takes_the_same_off() {
    let at =
        |setting| at_setting(SoundLevel(36.0), crate::quantity::Share(setting), SoundLevel(6.0)).unwrap().0;
    assert!((at(1.0) - 36.0).abs() < 1e-12);
    assert!((at(0.5) - 30.0).abs() < 1e-12);
    assert!((at(0.25) - 24.0).abs() < 1e-12);
    assert!(at_setting(SoundLevel(36.0), crate::quantity::Share(0.0), SoundLevel(6.0)).is_err());
}

#[test]
fn what_hums_beside_the_pumps_takes_its_part_of_the_limit() {
    // At 1 m the level is that of the maker, so 30 dB are allowed. A return pump of 38 dB and an overflow of
    // 35 dB make 10 log(10^3.8 + 10^3.5) = 39.76 dB: far too much.
    let here = sheet(&format!("{RETURN}[home]\npillow = \"1 m\""));
    assert_eq!(text(here.figure("sound.beside").unwrap()), "40 dB");
    assert!(text(here.figure("sound.beside_says").unwrap()).starts_with("is more than"));
    assert!(here.figure("sound.left").is_none() && here.lacking("sound.left").is_some());
    assert_eq!(
        text(here.figure("sound.counted").unwrap()),
        "the pumps that you hang, the return pump and the overflow"
    );
    // 20 m away, in a room full of cloth, behind a door: (1/400 + 16π/10)/(1 + 16π/10) = 0.8345, 10 log =
    // −0.786 dB; 12 dB stay behind the door: 42.786 dB.
    let away = "[home]\npillow = \"20 m\"\nroom = \"full_of_cloth\"\ndoor = true";
    assert_eq!(text(sheet(away).figure("sound.limit").unwrap()), "42 dB");
    // A pump of 38 dB, without an overflow in an all-in-one tank, leaves 10 log(10^4.2786 − 10^3.8) = 41.04
    // dB.
    let quiet = format!("[rear_chamber]\ndepth = \"8 cm\"\n{RETURN}{away}");
    assert_eq!(text(sheet(&quiet).figure("sound.left").unwrap()), "41 dB");
    assert_eq!(
        text(sheet("").figure("sound.counted").unwrap()),
        "only the pumps that you hang, because the tank file has no return pump and no skimmer"
    );
}

#[test]
fn plan_fit_and_programme_hear_the_same_home() {
    let catalogue = crate::Catalogue::read(
        "pumps.toml",
        "currency = \"USD\"\n[[pump]]\nmodel = \"M\"\nkind = \"round-fixed\"\nrated_flow = \"2400 L/h\"\noutlet = \"34 mm\"\npower = \"7 W\"\nsound = \"31 dB\"\n\
         price = \"50 USD\"\nwet_end_price = \"10 USD\"\nshaft = \"metal\"\n",
    )
    .unwrap();
    let rules = Rules::compiled_in().unwrap();
    let pump = "[[pump]]\nname = \"a\"\nmodel = \"M\"\nwall = \"left\"\nheight = \"30 cm\"\n";
    for home in ["", "room = \"full_of_cloth\"", "door = true", "room = \"full_of_cloth\"\ndoor = true"] {
        // A pump with one speed, that never rests, is as loud in the check of it as in its night, and as near
        // to the limit.
        let tank = tank(&format!("{RETURN}{pump}[home]\npillow = \"4 m\"\n{home}"));
        let sheet = Sheet::reckon(&rules, &catalogue, &tank).unwrap();
        let text = |id: &str| text(sheet.figure(id).unwrap());
        assert_eq!(text("fit.sound"), text("programme.night_level"), "{home}");
        assert_eq!(text("fit.sound"), text("programme.night_peak"), "{home}");
        let levels = [SoundLevel(31.0), SoundLevel(38.0), *rules.sound.overflow];
        let heard = at_pillow_of(&tank.home, &levels, &rules.sound).unwrap();
        let fit = crate::decide::fit::check(&rules, &catalogue, &tank).unwrap().unwrap();
        assert!(
            (fit.sound.high.0 - heard.high.0).abs() < 1e-9 && (fit.sound.low.0 - heard.low.0).abs() < 1e-9,
            "{home}"
        );
        // The limit is what would just keep to the night level there.
        let crate::sheet::Value::One(limit) = sheet.figure("sound.limit").unwrap().value else {
            panic!("no level")
        };
        let at_limit = at_pillow_of(&tank.home, &[SoundLevel(limit.si)], &rules.sound).unwrap();
        assert!((at_limit.high.0 - rules.sound.night_level.0).abs() < 1e-9, "{home}");
    }
}

fn catalogue() -> crate::Catalogue {
    let pump = |model: &str, sound: &str| {
        format!(
            "[[pump]]\nmodel = \"{model}\"\nkind = \"round-fixed\"\nrated_flow = \"2400 L/h\"\noutlet = \"34 mm\"\npower = \"7 W\"\nsound = \"{sound}\"\n\
             price = \"50 USD\"\nwet_end_price = \"10 USD\"\nshaft = \"metal\"\n"
        )
    };
    crate::Catalogue::read(
        "pumps.toml",
        &format!("currency = \"USD\"\n{}{}", pump("Soft", "31 dB"), pump("Loud", "44 dB")),
    )
    .unwrap()
}

fn cell(cell: &Cell) -> String {
    match cell {
        Cell::Figure(figure) => text(figure),
        Cell::Words(words) => words.clone(),
    }
}

#[test]
fn both_ends_at_the_pillow_are_of_the_homes_own_room() {
    let rules = Rules::compiled_in().unwrap().sound;
    for (room, swallows) in [("little_cloth", *rules.ordinary_room), ("full_of_cloth", *rules.lined_room)] {
        for pillow in [0.5, 2.0, 8.0] {
            let home = tank(&format!("[home]\npillow = \"{pillow} m\"\nroom = \"{room}\"")).home;
            let heard = at_pillow_of(&home, &[SoundLevel(40.0)], &rules).unwrap();
            let at = |to: f64, absorption| {
                in_room(SoundLevel(40.0), metres(1.0), metres(to), absorption).unwrap().0
            };
            let there = |absorption| 40.0 + at(pillow, absorption) - at(1.0, absorption);
            // Beyond a metre the room that swallows most takes most; nearer it adds most.
            let (least, most) =
                if pillow > 1.0 { (swallows.high, swallows.low) } else { (swallows.low, swallows.high) };
            assert!((heard.low.0 - there(least)).abs() < 1e-9 && (heard.high.0 - there(most)).abs() < 1e-9);
            // All that hums is never softer than the loudest of it, at neither end.
            let alone = at_pillow_of(&home, &[SoundLevel(40.0)], &rules).unwrap();
            let more = at_pillow_of(&home, &[SoundLevel(40.0), SoundLevel(25.0)], &rules).unwrap();
            assert!(more.low > alone.low && more.high > alone.high);
        }
    }
}

#[test]
fn nothing_is_heard_below_no_decibel() {
    let far = "[home]\npillow = \"20 m\"\nroom = \"full_of_cloth\"\ndoor = true";
    let rules = Rules::compiled_in().unwrap().sound;
    // 1.75 dB less in the room, 25 dB less behind the door: below nothing, which nobody hears.
    let heard = at_pillow_of(&tank(far).home, &[SoundLevel(20.0)], &rules).unwrap();
    assert!(heard.low.0 == 0.0 && (heard.high.0 - (20.0 - 0.786 - 12.0)).abs() < 0.01);
    assert!(at_pillow_of(&tank(far).home, &[SoundLevel(-10.0)], &rules).unwrap().high.0 == 0.0);
}

#[test]
fn a_pillow_nearer_than_a_metre_hears_a_rise_and_no_negative_fall() {
    let told = |pillow: &str| {
        let sheet = sheet(&format!("[home]\npillow = \"{pillow}\""));
        ["sound.fall_open", "sound.rise_open"].map(|id| sheet.figure(id).map(text))
    };
    // 20 log 0.8 = −1.94; 20 log 2 = 6.02; 20 log 1.1 = 0.83.
    assert_eq!(told("80 cm"), [None, Some("2 dB".to_owned())]);
    assert_eq!(told("2 m"), [Some("6 dB".to_owned()), None]);
    assert_eq!(told("1.1 m"), [None, None]);
    assert_eq!(told("1 m"), [None, None]);
}

#[test]
fn each_of_several_pumps_has_its_part_of_what_is_left() {
    let each = |rest: &str| {
        let sheet = sheet(rest);
        sheet.tables["sound_together"].rows.iter().map(|row| row.cells.get(1).map(cell)).collect::<Vec<_>>()
    };
    // Away and behind a door 41.04 dB are left beside a pump of 38 dB: 41.04 − 10 log of 1, 2, 3, 4, 5, 6.
    let away = "[home]\npillow = \"20 m\"\nroom = \"full_of_cloth\"\ndoor = true";
    let quiet = format!("[rear_chamber]\ndepth = \"8 cm\"\n{RETURN}{away}");
    assert_eq!(
        each(&quiet),
        ["41 dB", "38 dB", "36 dB", "35 dB", "34 dB", "33 dB"].map(|level| Some(level.to_owned()))
    );
    // Where nothing is left, nobody is told what each may make.
    assert_eq!(each(&format!("{RETURN}[home]\npillow = \"1 m\"")), [const { None::<String> }; 6]);
    // A thousandth of a decibel below the limit leaves 5.6 dB: next to nothing, and less than nothing for
    // each of six.
    let loud = quiet.replace("38 dB", "42.785 dB");
    let told = each(&loud);
    assert_eq!((told[0].as_deref(), told[5].as_deref()), (Some("5 dB"), Some("nothing that hums")));
    // A hair below the limit leaves less than no decibel: that is nothing, and is not told.
    let full = quiet.replace("38 dB", "42.785818 dB");
    assert_eq!(each(&full), [const { None::<String> }; 6]);
    let full = sheet(&full);
    assert!(
        full.figure("sound.left").is_none()
            && text(full.figure("sound.beside_says").unwrap()).starts_with("is all that")
    );
}

#[test]
fn the_loudest_voice_is_named_at_its_setting() {
    let rules = Rules::compiled_in().unwrap();
    let told = |rest: &str| {
        let sheet = Sheet::reckon(&rules, &catalogue(), &tank(rest)).unwrap();
        ["sound.loudest", "sound.loudest_level"].map(|id| sheet.figure(id).map(text))
    };
    let pump = |name: &str, model: &str| {
        format!("[[pump]]\nname = \"{name}\"\nmodel = \"{model}\"\nwall = \"left\"\nheight = \"30 cm\"\n")
    };
    let say = |words: &str, level: &str| [Some(words.to_owned()), Some(level.to_owned())];
    assert_eq!(told(&format!("{RETURN}{}", pump("a", "Soft"))), say("the return pump", "38 dB"));
    assert_eq!(told(&format!("{RETURN}{}", pump("a", "Loud"))), say("the pump a (Loud)", "44 dB"));
    assert_eq!(
        told(&format!("{}{}", pump("a", "Soft"), pump("b", "Soft"))),
        say("the pump a (Soft) and the pump b (Soft) alike", "31 dB")
    );
    assert_eq!(
        told(&format!("{}{}", RETURN.replace("38 dB", "20 dB"), pump("a", "Soft"))),
        say("the overflow", "35 dB")
    );
    assert_eq!(told("[skimmer]\npower = \"20 W\"\nsound = \"41 dB\""), say("the skimmer", "41 dB"));
    assert_eq!(told(""), [None, None]);
}

#[test]
fn the_number_of_pumps_of_a_tank_has_its_row() {
    let rules = crate::Rules::compiled_in().unwrap();
    let counts = |own| {
        let heads = together_table(None, own, &rules).rows.into_iter().map(|row| cell(&row.head));
        heads.collect::<Vec<_>>()
    };
    assert!(counts(0) == counts(1) && counts(5) == counts(1));
    assert_eq!(counts(9).last().map(String::as_str), Some("9"));
}
