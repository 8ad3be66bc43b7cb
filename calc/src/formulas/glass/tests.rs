use proptest::prelude::*;
use uom::si::f64::{Length, MassDensity, Pressure, Ratio};

use super::*;
use crate::quantity::parse;
use crate::rules::Rules;

fn ratio(value: f64) -> Ratio {
    Ratio::from_si(value)
}

#[test]
fn what_is_no_pane_is_refused() {
    let rules = Rules::compiled_in().unwrap().glass;
    assert!(bent(ratio(0.05), ratio(0.22), Rim::Free, Load::Water).is_err());
    assert!(bent(ratio(1.0), ratio(0.6), Rim::Free, Load::Water).is_err());
    let pane = Pane {
        length: parse("90 cm").unwrap(),
        height: parse("45 cm").unwrap(),
        rim: Rim::Free,
        water: MassDensity::from_si(1025.0),
    };
    assert!(pane.stress(parse("0.5 mm").unwrap(), &rules).is_err());
    assert!(pane.thickness(Pressure::from_si(0.0), &rules).is_err());
    assert!(Pane { height: parse("11 m").unwrap(), ..pane }.stress(parse("8 mm").unwrap(), &rules).is_err());
}

proptest! {
    #[test]
    fn a_braced_rim_never_bends_a_pane_more(length in 0.2..12.0, poisson in 0.0..0.5) {
        let bending = |rim| bent(ratio(length), ratio(poisson), rim, Load::Water).unwrap().bending;
        prop_assert!(bending(Rim::Braced) <= bending(Rim::Free) * (1.0 + 1e-9));
    }

    #[test]
    fn water_bends_less_than_its_pressure_at_the_foot_everywhere(length in 0.2..12.0, is_braced: bool) {
        let rim = if is_braced { Rim::Braced } else { Rim::Free };
        let worst = |load| bent(ratio(length), ratio(0.22), rim, load).unwrap().bending;
        prop_assert!(worst(Load::Water) <= worst(Load::Even));
        // By symmetry a braced pane bears half of the even load's stress in its middle.
        prop_assert!(!is_braced || 2.0 * worst(Load::Water) >= worst(Load::Even) * (1.0 - 1e-9));
    }

    #[test]
    fn thickness_and_stress_are_inverse(length in 0.1..3.0_f64, height in 0.1..2.0_f64, megapascal in 0.5..40.0) {
        let (rules, stress) = (Rules::compiled_in().unwrap().glass, Pressure::from_si(megapascal * 1e6));
        // Just inside the shapes that are answered, so that the last bit of a ratio decides nothing.
        let length = length.clamp(0.101 * height, 19.9 * height);
        let pane = Pane { length: Length::from_si(length), height: Length::from_si(height), rim: Rim::Free, water: MassDensity::from_si(1025.0) };
        let thickness = pane.thickness(stress, &rules).unwrap();
        if !(1e-3..0.1).contains(&thickness.si()) {
            return Ok(());
        }
        prop_assert!((pane.stress(thickness, &rules).unwrap().si() / stress.si() - 1.0).abs() < 1e-9);
    }
}

/// Moments in the middle of a free edge over `q L²`, for an even load and a Poisson's ratio of 0.3: from
/// memory of S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells.
#[test]
fn a_free_edge_bends_as_the_handbook_is_remembered() {
    for (height_over_length, moment) in [(0.5, 0.060), (2.0 / 3.0, 0.083), (1.0, 0.112), (2.0, 0.132)] {
        let plate = bent(ratio(1.0 / height_over_length), ratio(0.3), Rim::Free, Load::Even).unwrap();
        // Six times the moment is the stress; ours counts heights, the book lengths.
        let reckoned = plate.bending * height_over_length * height_over_length / 6.0;
        assert!((reckoned / moment - 1.0).abs() <= 0.004, "{height_over_length}: {reckoned}");
    }
}
