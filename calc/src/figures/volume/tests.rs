use super::*;

fn tank(rest: &str) -> Tank {
    let text = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"62 cm\"\nwidth = \"52 cm\"\nheight = \"41 cm\"\npane = \"1 cm\"\nbraced = true\n{rest}\n\
         [livestock]\nnow = \"soft\"\n"
    );
    Tank::read("t.toml", &text, &Rules::compiled_in().unwrap()).unwrap()
}

fn litres(sheet: &Sheet, id: &str) -> f64 {
    match sheet.figure(id).unwrap().value {
        crate::sheet::Value::One(quantity) => quantity.si * 1e3,
        ref other => panic!("{id} is {other:?}"),
    }
}

#[test]
fn the_water_of_a_rear_chamber_is_part_of_the_system_and_not_of_the_display() {
    let rules = Rules::compiled_in().unwrap();
    let reckon = |rest: &str| Sheet::reckon(&rules, &crate::Catalogue::empty(), &tank(rest)).unwrap();
    // Inside 60 × 50 × 40 cm: 120 L. A chamber of 10 cm: 60 × 10 × 40 cm = 24 L. Sand of 5 cm on 60 × 40 cm,
    // 40 % of it water: 7.2 L.
    let rest = "[rear_chamber]\ndepth = \"10 cm\"\n[sand]\ndepth = \"5 cm\"\ngrain = \"1 mm\"\n[sump]\nwater = \"10 L\"";
    let sheet = reckon(rest);
    for (id, want) in [
        ("tank.filled", 120.0),
        ("tank.rear_chamber", 24.0),
        ("tank.display_gross", 96.0),
        ("tank.sand", 7.2),
        ("tank.water", 88.8),
        ("tank.system", 122.8),
        ("tank.counted", 88.8),
    ] {
        assert!((litres(&sheet, id) - want).abs() < 1e-9, "{id} is {}", litres(&sheet, id));
    }
    let with_gross = tank(rest);
    let with_gross = Tank { counts: crate::tank::Counts::Gross, ..with_gross };
    let gross = Sheet::reckon(&rules, &crate::Catalogue::empty(), &with_gross).unwrap();
    assert!((litres(&gross, "tank.counted") - 96.0).abs() < 1e-9);
    // The chamber's water weighs as much as any other: the mass is that of the tank without the false wall,
    // but for less sand.
    let (with, without) = (reckon("[rear_chamber]\ndepth = \"10 cm\""), reckon(""));
    assert!((litres(&with, "mass.total") - litres(&without, "mass.total")).abs() < 1e-6);
    assert!(without.figure("tank.rear_chamber").is_none() && without.lacking("tank.rear_chamber").is_some());
}

#[test]
fn acrylic_panes_weigh_less_than_half_of_glass() {
    let rules = Rules::compiled_in().unwrap();
    let mass = |tank: &Tank| {
        litres(&Sheet::reckon(&rules, &crate::Catalogue::empty(), tank).unwrap(), "mass.glass") / 1e3
    };
    let glass = tank("");
    // Base 62 × 52 × 1 cm and walls (62 × 52 − 60 × 50) × 40 cm: 3224 + 8960 = 12 184 cm³, at 2.5 and at 1.19
    // g/cm³.
    assert!((mass(&glass) - 30.46).abs() < 1e-9);
    let acrylic = Tank { material: Material::Acrylic, ..glass };
    assert!((mass(&acrylic) - 14.498_96).abs() < 1e-9);
}

#[test]
fn the_water_of_the_sump_weighs_too_and_no_part_that_is_not_there_has_a_figure() {
    let rules = Rules::compiled_in().unwrap();
    let reckon = |rest: &str| Sheet::reckon(&rules, &crate::Catalogue::empty(), &tank(rest)).unwrap();
    let si = |sheet: &Sheet, id: &str| match sheet.figure(id).unwrap().value {
        crate::sheet::Value::One(quantity) => quantity.si,
        ref other => panic!("{id} is {other:?}"),
    };
    let (bare, with) = (reckon(""), reckon("[sump]\nwater = \"50 L\""));
    let density = si(&with, "seawater.density");
    assert!((si(&with, "mass.sump") - 0.050 * density).abs() < 1e-9);
    assert!((si(&with, "mass.total") - si(&bare, "mass.total") - 0.050 * density).abs() < 1e-9);
    let area = si(&bare, "mass.total") / si(&bare, "mass.floor_load");
    assert!((si(&with, "mass.floor_load") * area - si(&with, "mass.total")).abs() < 1e-9);
    assert!(
        with.figure("mass.total").unwrap().title.contains("sump")
            && !bare.figure("mass.total").unwrap().title.contains("sump")
    );
    for part in [
        "tank.sump",
        "mass.sump",
        "tank.sand",
        "tank.sand_share",
        "mass.sand",
        "tank.rock",
        "tank.rock_share",
        "mass.rock",
    ] {
        assert!(bare.figure(part).is_none() && bare.lacking(part).is_some(), "{part}");
    }
    let title = |rest: &str| reckon(rest).figure("tank.system").unwrap().title.clone();
    let chamber = "[rear_chamber]\ndepth = \"10 cm\"\n";
    assert_eq!(title(""), "All water: that of the tank, which has no sump");
    assert_eq!(title("[sump]\nwater = \"50 L\""), "All water: tank and sump");
    assert_eq!(title(chamber), "All water: display and rear chamber");
    assert_eq!(
        title(&format!("{chamber}[sump]\nwater = \"50 L\"")),
        "All water: display, rear chamber and sump"
    );
}

#[test]
fn rock_at_an_end_of_the_usual_band_is_usual() {
    let rules = Rules::compiled_in().unwrap();
    // 120 L: from 7.2 to 14.4 kg; a weighing can be off by a twentieth, so from 6.84 to 15.12 kg.
    for (mass, says) in [
        ("6.8 kg", "less than"),
        ("6.9 kg", "as much as"),
        ("7.1 kg", "as much as"),
        ("15.1 kg", "as much as"),
        ("15.2 kg", "more than"),
    ] {
        let sheet =
            Sheet::reckon(&rules, &crate::Catalogue::empty(), &tank(&format!("[rock]\nmass = \"{mass}\"")))
                .unwrap();
        let told = sheet.figure("tank.rock_says").unwrap().text();
        assert!(told.starts_with(says), "{mass}: {told}");
    }
    // A tenth of 120 L judged by eye pushes 12 L aside.
    let sheet = Sheet::reckon(&rules, &crate::Catalogue::empty(), &tank("[rock]\nshare = \"10 %\"")).unwrap();
    assert_eq!(sheet.figure("tank.rock_share").unwrap().text().replace('\u{a0}', " "), "10 %");
    // Its mass is a guess from the share: nobody is told to weigh it again.
    let judged = |share: &str| {
        Sheet::reckon(&rules, &crate::Catalogue::empty(), &tank(&format!("[rock]\nshare = \"{share}\"")))
            .unwrap()
    };
    let much = judged("20 %");
    assert_eq!(much.figure("tank.rock_judged").unwrap().text().replace('\u{a0}', " "), "20 %");
    assert!(
        much.figure("tank.rock_says")
            .unwrap()
            .text()
            .starts_with("more than is usual: judge it again or weigh it")
    );
    let weighed =
        Sheet::reckon(&rules, &crate::Catalogue::empty(), &tank("[rock]\nmass = \"30 kg\"")).unwrap();
    assert!(weighed.figure("tank.rock_judged").is_none() && weighed.lacking("tank.rock_judged").is_some());
}

#[test]
fn the_filled_volume_is_printed_as_finely_as_the_net_one() {
    let rules = Rules::compiled_in().unwrap();
    let cube = "name = \"Cube\"\n[glass]\nshape = \"box\"\nlength = \"28 cm\"\nwidth = \"28 cm\"\nheight = \"30 cm\"\npane = \"4 mm\"\n\
                fill_line = \"2 cm\"\n[sand]\ndepth = \"2 cm\"\ngrain = \"1 mm\"\n[rock]\nmass = \"2 kg\"\n[livestock]\nnow = \"soft\"\n";
    let cube = Tank::read("cube.toml", cube, &rules).unwrap();
    let sheet = Sheet::reckon(&rules, &crate::Catalogue::empty(), &cube).unwrap();
    let text = |id: &str| sheet.figure(id).unwrap().text().replace('\u{a0}', " ");
    // 20.4 − 0.888 − 1.24 L = 18.3 L; with 20 L a reader would find 17.9 L.
    assert_eq!(
        (text("tank.filled"), text("tank.water")),
        ("20.4 L (5.39 US gal)".to_owned(), "18.3 L (4.8 US gal)".to_owned())
    );
    // So what moves the net volume may move these digits too.
    let like = sheet.printed_like();
    let (_, like) = like.iter().find(|(figure, _)| figure.id == "tank.filled").unwrap();
    assert_eq!(*like, ["tank.water"]);
}
