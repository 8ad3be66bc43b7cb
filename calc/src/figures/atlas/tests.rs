use super::*;
use crate::sheet::{Atlas, Value};

fn atlas() -> Atlas {
    Atlas::reckon(&Rules::compiled_in().unwrap()).unwrap()
}

/// A share in the tables.
fn cell(atlas: &Atlas, id: &str) -> f64 {
    match atlas.sheet.any_figure(id).unwrap_or_else(|| panic!("no {id}")).value {
        Value::One(value) => value.si,
        ref other => panic!("{id}: {other:?}"),
    }
}

fn of_map(atlas: &Atlas, shape: Shape, stack: Stack, key: &str) -> f64 {
    cell(atlas, &format!("{SHARES}.{}.{}.{key}", shape.key(), stack.key()))
}

#[test]
fn the_zones_of_each_map_add_up_to_its_water() {
    let atlas = atlas();
    let maps: Vec<_> = atlas.shapes.iter().flat_map(|shape| &shape.maps).collect();
    assert_eq!(maps.len(), 24);
    for (_, id) in maps {
        let map = &atlas.sheet.maps[*id];
        let count = |kind: MapCell| map.cells.iter().filter(|cell| **cell == kind).count();
        let zones: Vec<_> = (0..map.zones.len()).map(|at| count(MapCell::Zone(at))).collect();
        let water: usize = zones.iter().sum();
        assert_eq!(water + count(MapCell::Rock) + count(MapCell::Outside), map.cells.len(), "{id}");
        assert!(count(MapCell::Rock) > 0 && water > count(MapCell::Rock), "{id}");
        // Whole per cents, each rounded by itself.
        for (zone, cells) in map.zones.iter().zip(&zones) {
            assert!((zone.share.0 - *cells as f64 / water as f64).abs() <= 0.005 + 1e-9, "{id}: {zone:?}");
        }
    }
}

#[test]
fn the_table_says_what_the_maps_show() {
    let atlas = atlas();
    for (shape, stack) in Shape::ALL.into_iter().flat_map(|shape| Stack::ALL.map(|stack| (shape, stack))) {
        let map = &atlas.sheet.maps[map_id(shape, stack)];
        for (at, key) in ["still", "calm"].into_iter().enumerate() {
            let [told, shown] = [of_map(&atlas, shape, stack, key), map.zones[at].share.0];
            assert!((told - shown).abs() < 1e-9, "{shape:?}, {stack:?}: {key} {told}, {shown}");
        }
        // Where water is still waste lies too.
        let lies = of_map(&atlas, shape, stack, "lies");
        assert!(lies >= of_map(&atlas, shape, stack, "still"), "{shape:?}, {stack:?}");
    }
}

#[test]
fn the_same_glass_is_the_same_map_however_it_is_called() {
    // A divider is a long box whose pumps hang at one end: glass and rock agree, and the streams do not.
    let atlas = atlas();
    for stack in Stack::ALL {
        let [long, divider] =
            [Shape::LongBox, Shape::Divider].map(|shape| &atlas.sheet.maps[map_id(shape, stack)]);
        let rock = |map: &SpeedMap| map.cells.iter().map(|cell| *cell == MapCell::Rock).collect::<Vec<_>>();
        assert!(long.size == divider.size && rock(long) == rock(divider), "{stack:?}");
        assert!(long.streams != divider.streams && long.cells != divider.cells, "{stack:?}");
    }
}
