use super::*;
use crate::quantity::parse;

fn rules() -> Rules {
    Rules::compiled_in().unwrap()
}

const PUMPS: &str = "currency = \"USD\"\n[[pump]]\nmodel = \"Weir\"\nkind = \"round-controllable\"\nrated_flow = \"3600 L/h\"\nlowest_setting = \"20 %\"\noutlet = \"40 mm\"\npower = \"8 W\"\nsound = \"30 dB\"\nprice = \"100 USD\"\nwet_end_price = \"30 USD\"\nshaft = \"ceramic\"\n";

const GLASS: &str = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"91.6 cm\"\nwidth = \"46.6 cm\"\nheight = \"46 cm\"\npane = \"8 mm\"\nfill_line = \"2 cm\"\n[livestock]\nnow = \"soft\"\n";

fn tank(more: &str) -> Tank {
    Tank::read("t.toml", &format!("{GLASS}{more}"), &rules()).unwrap()
}

fn pump(name: &str, wall: &str, more: &str) -> String {
    format!(
        "[[pump]]\nname = \"{name}\"\nmodel = \"Weir\"\nwall = \"{wall}\"\nheight = \"25 cm\"\nsetting = \"50 %\"\n{more}"
    )
}

fn scene(more: &str) -> Scene {
    let catalogue = Catalogue::read("pumps.toml", PUMPS).unwrap();
    Scene::of(&rules(), &catalogue, &tank(more)).unwrap().unwrap()
}

#[test]
fn zones_cover_all_speeds_and_are_named_by_whom_all_of_them_suits() {
    let zones = zones(&rules());
    assert_eq!(zones[0].low, Velocity::default());
    for pair in zones.windows(2) {
        assert_eq!(pair[0].high, Some(pair[1].low));
    }
    let named: Vec<_> = zones.iter().map(|zone| zone.name.as_str()).collect();
    let want = [
        "still",
        "calm",
        "for large-polyp stony corals and soft corals",
        "for soft corals and small-polyp stony corals",
        "for small-polyp stony corals",
        "for small-polyp stony corals from the surf",
        "too strong",
    ];
    assert_eq!(named, want);
    let at = |speed: f64| zone_of(&zones, Velocity::from_si(speed));
    assert_eq!([0.0, 0.005, 0.02, 0.05, 0.13, 0.2, 0.5, 3.0].map(at), [0, 0, 1, 2, 3, 4, 5, 6]);
    // Where nothing lies between two of them, no zone is left.
    let mut rules = rules();
    *rules.speed_map.still = parse("3 cm/s").unwrap();
    assert_eq!(super::zones(&rules)[1].low, parse("3 cm/s").unwrap());
}

#[test]
fn rock_without_pieces_is_a_wall_or_islands_of_its_own_volume() {
    let rules = rules();
    let basin = |tank: &Tank| {
        let room = Room::new(&rules, tank).unwrap();
        let (length, width, water) = room.inside();
        Basin { length, width, bed: Length::default(), water }
    };
    let of = |more: &str| {
        let tank = tank(more);
        (rock(&rules, &tank, &basin(&tank)), contents::rock_aside(&tank, &rules.volume).si())
    };
    let box_of = |piece: &Piece| piece.size.iter().map(|side| side.si()).product::<f64>();
    let (wall, volume) = of("[rock]\nmass = \"12 kg\"\n");
    assert_eq!((wall.len(), wall[0].form), (1, Form::Block));
    assert!((box_of(&wall[0]) * rules.speed_map.packing.0 / volume - 1.0).abs() < 1e-9);
    // It leaves its gap to the back pane, which is 45 cm behind the front one.
    let behind = 0.45 - (wall[0].from[1] + wall[0].size[1]).si();
    assert!((behind - rules.speed_map.wall_gap.si()).abs() < 1e-9, "{behind}");
    let (islands, volume) = of("[rock]\nmass = \"12 kg\"\nshape = \"islands\"\n");
    assert_eq!((islands.len(), islands[0].form), (2, Form::Mound));
    // Half an egg fills π/6 of its box.
    let mounds: f64 = islands.iter().map(|piece| box_of(piece) * std::f64::consts::PI / 6.0).sum();
    assert!((mounds * rules.speed_map.packing.0 / volume - 1.0).abs() < 1e-9);
    // However much there is, it stays under water.
    let (much, _) = of("[rock]\nshare = \"60 %\"\n");
    assert!(much[0].size[2].si() < 0.86 * 0.432);
    assert!(of("").0.is_empty() && of("[rock]\nshare = \"0 %\"\n").0.is_empty());
    // Listed pieces go before both, and stand on the sand.
    let piece = "[[rock_piece]]\nform = \"block\"\nleft = \"20 cm\"\nfront = \"10 cm\"\nlength = \"30 cm\"\nwidth = \"15 cm\"\nheight = \"20 cm\"\n";
    let (pieces, _) = of(&format!("[rock]\nmass = \"12 kg\"\n{piece}"));
    assert_eq!((pieces.len(), pieces[0].from[0]), (1, parse("20 cm").unwrap()));
}

#[test]
fn the_faces_of_rock_have_the_areas_that_geometry_says() {
    let area = |faces: &[Face]| faces.iter().map(|face| face.area).sum::<f64>();
    let block = block_faces([0.3, 0.2, 0.1], 0.02);
    assert!((area(&block) - (0.06 + 2.0 * 0.02 + 2.0 * 0.03)).abs() < 1e-12);
    let mound = mound_faces([0.4, 0.4, 0.2], 15);
    let half_ball = std::f64::consts::TAU * 0.04;
    assert!((area(&mound) / half_ball - 1.0).abs() < 2e-3, "{} for {half_ball}", area(&mound));
    for Face { at, outward, .. } in mound {
        let out: f64 = [at[0] - 0.2, at[1] - 0.2, at[2]].iter().zip(outward).map(|(at, out)| at * out).sum();
        assert!((out - 0.2).abs() < 1e-9, "a ball's faces look away from its middle");
    }
}

#[test]
fn the_maps_from_above_and_from_the_front_agree_where_they_cross() {
    // 90 × 43.5 cm inside: sixty columns and twenty-nine rows, so that one of them runs along the middle.
    let text = GLASS.replace("46.6 cm", "45.1 cm")
        + &pump("left", "left", "")
        + &pump("right", "right", "")
        + "[rock]\nmass = \"12 kg\"\n";
    let tank = Tank::read("t.toml", &text, &rules()).unwrap();
    let catalogue = Catalogue::read("pumps.toml", PUMPS).unwrap();
    let scene = Scene::of(&rules(), &catalogue, &tank).unwrap().unwrap();
    let front = scene.front(CELLS);
    let rows = front.cells.len() / front.columns;
    let above = scene.above(front.size[1] * (18.5 / rows as f64), CELLS);
    assert_eq!((front.columns, above.cells.len()), (60, 60 * 29));
    let speed = |cell: &Cell| match cell {
        Cell::Water(moved) => moved.speed(&[1.0, 1.0]).si(),
        _ => f64::NAN,
    };
    for column in 0..60 {
        let (here, there) = (speed(&front.cells[18 * 60 + column]), speed(&above.cells[14 * 60 + column]));
        assert!((here - there).abs() < 1e-9, "{column}: {here} and {there}");
    }
}

#[test]
fn a_pump_points_where_the_file_says() {
    let aimed = scene(&pump("left", "left", "aim_along = \"90 %\"\naim_height = \"10 cm\"\n"));
    let course = aimed.courses[0];
    assert!((course.to.y.si() - 0.9 * 0.45).abs() < 1e-9 && (course.to.z.si() - 0.1).abs() < 1e-12);
    let across = scene(&pump("back", "back", "aim_along = \"20 %\"\n")).courses[0];
    assert!((across.to.x.si() - 0.2 * 0.9).abs() < 1e-9 && across.to.y.si() == 0.0);
    // Pointed at the floor it moves the floor more.
    let still = |scene: &Scene| {
        let floor = scene.above(parse("5 cm").unwrap(), CELLS).water();
        share(&speeds(&floor, &[1.0]), |speed| speed < Velocity::from_si(0.03)).0
    };
    assert!(still(&aimed) < still(&scene(&pump("left", "left", ""))) - 0.02);
}

#[test]
fn a_round_tank_has_no_water_in_its_corners() {
    let round = "name = \"T\"\n[glass]\nshape = \"cylinder\"\ndiameter = \"60 cm\"\nheight = \"50 cm\"\npane = \"8 mm\"\n[livestock]\nnow = \"soft\"\n";
    let tank = Tank::read("t.toml", &format!("{round}{}", pump("left", "left", "")), &rules()).unwrap();
    let catalogue = Catalogue::read("pumps.toml", PUMPS).unwrap();
    let scene = Scene::of(&rules(), &catalogue, &tank).unwrap().unwrap();
    let map = scene.above(parse("25 cm").unwrap(), CELLS);
    let inside = map.water().len() as f64 / map.cells.len() as f64;
    assert!((inside - std::f64::consts::FRAC_PI_4).abs() < 0.01, "{inside}");
    assert!(matches!(map.cells[0], Cell::Outside));
}

#[test]
fn without_pumps_the_plan_hangs_them_and_without_a_plan_there_is_no_scene() {
    let catalogue = Catalogue::read("pumps.toml", PUMPS).unwrap();
    let planned = Scene::of(&rules(), &catalogue, &tank("")).unwrap().unwrap();
    assert!(!planned.own && !planned.pumps.is_empty());
    assert!(Scene::of(&rules(), &Catalogue::empty(), &tank("")).unwrap().is_none());
}

#[test]
fn a_share_counts_areas_in_whole_per_cents() {
    let scene = scene(&pump("left", "left", ""));
    let asked = |x: f64, area: f64| {
        let at = [x, 0.225, 0.25].map(Length::from_si);
        Asked { at, moved: scene.waters.at(at), area }
    };
    let of = [asked(0.05, 1.0), asked(0.85, 2.0)];
    let fast = |speed: Velocity| speed.si() > 0.3;
    assert_eq!(share(&speeds(&of, &[1.0]), fast), Share(0.33));
    assert_eq!(share(&speeds(&of, &[0.0]), fast), Share(0.0));
    assert_eq!(share(&[], fast), Share(0.0));
}
