use super::*;

fn rules() -> Rules {
    Rules::compiled_in().unwrap()
}

fn all() -> impl Iterator<Item = (Shape, Stack)> {
    Shape::ALL.into_iter().flat_map(|shape| Stack::ALL.map(|stack| (shape, stack)))
}

#[test]
fn all_hold_the_same_water_and_the_same_rock() {
    let rules = rules();
    for (shape, stack) in all() {
        let tank = tank(&rules, shape, stack).unwrap();
        let water = tank.glass.filled() - contents::chamber(&tank);
        assert!((water.si() / rules.atlas.water.si() - 1.0).abs() < 1e-9, "{shape:?}: {water:?}");
        let rock = contents::rock_aside(&tank, &rules.volume);
        assert!((rock.si() / (rules.atlas.water.si() * rules.atlas.rock.0) - 1.0).abs() < 1e-9, "{shape:?}");
    }
}

#[test]
fn a_hill_is_as_large_as_the_rock_of_its_tank_with_room_in_it() {
    let rules = rules();
    for shape in Shape::ALL {
        let tank = tank(&rules, shape, Stack::Hill).unwrap();
        let [hill] = tank.pieces[..] else { panic!("{shape:?}: {:?}", tank.pieces) };
        let half_egg = PI / 6.0 * hill.length.si() * hill.width.si() * hill.height.si();
        let pile = contents::rock_aside(&tank, &rules.volume).si() / rules.speed_map.packing.0;
        assert!((half_egg / pile - 1.0).abs() < 1e-9, "{shape:?}");
        assert!(hill.height < tank.water_depth() * rules.speed_map.rock_top.0, "{shape:?}");
    }
}

#[test]
fn two_pumps_hang_in_each_by_its_shape() {
    let rules = rules();
    for (shape, stack) in all() {
        let walls: Vec<_> = scene(&rules, shape, stack).unwrap().pumps.iter().map(|pump| pump.wall).collect();
        use crate::tank::Wall::{Left, Right};
        assert_eq!(walls, if shape == Shape::Divider { [Left, Left] } else { [Left, Right] }, "{shape:?}");
    }
}
