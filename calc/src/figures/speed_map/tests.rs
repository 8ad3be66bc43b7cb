use crate::sheet::MapCell;
use crate::{Catalogue, Rules, Sheet, Tank};

#[test]
fn look() {
    let rules = Rules::compiled_in().unwrap();
    let read = |file: &str| {
        std::fs::read_to_string(format!("{}/../book/{file}", env!("CARGO_MANIFEST_DIR"))).unwrap()
    };
    let catalogue = Catalogue::read("pumps.toml", &read("pumps.toml")).unwrap();
    for tank in ["first_reef", "long_reef", "small_cube"] {
        let tank = Tank::read_with("t", &read(&format!("tanks/{tank}.toml")), &rules, &catalogue).unwrap();
        let start = std::time::Instant::now();
        let sheet = Sheet::reckon(&rules, &catalogue, &tank).unwrap();
        println!("{} {:?}", tank.name, start.elapsed());
        for id in ["map_zones", "map_kinds", "map_out"] {
            let Some(table) = sheet.tables.get(id) else { continue };
            println!("{:?}", table.heads);
            for row in &table.rows {
                let text = |cell: &crate::sheet::Cell| match cell {
                    crate::sheet::Cell::Figure(figure) => figure.text(),
                    crate::sheet::Cell::Words(words) => words.clone(),
                };
                println!(
                    "{} | {}",
                    text(&row.head),
                    row.cells.iter().map(text).collect::<Vec<_>>().join(" | ")
                );
            }
        }
        for figure in sheet.figures().iter().filter(|figure| figure.id.starts_with("map.")) {
            println!("{} {}", figure.id, figure.text());
        }
        for map in sheet.maps.values() {
            println!("{} {}", map.id, map.description);
            let rows: Vec<_> = map.cells.chunks(map.columns).collect();
            for row in rows.iter().rev() {
                println!(
                    "{}",
                    row.iter()
                        .map(|cell| match cell {
                            MapCell::Zone(zone) => char::from(b'0' + *zone as u8),
                            MapCell::Rock => '#',
                            MapCell::Outside => ' ',
                        })
                        .collect::<String>()
                );
            }
        }
    }
}
