use proptest::prelude::*;

use super::*;
use crate::rules::Rules;

#[test]
fn an_edge_that_is_none_is_told() {
    let rules = Rules::compiled_in().unwrap().weir;
    assert!(sheet(VolumeRate::from_si(1e-3), Length::from_si(0.0), &rules).is_err());
    assert!(sheet(VolumeRate::from_si(-1e-3), Length::from_si(0.3), &rules).is_err());
    assert!(over_edge(Length::from_si(f64::NAN), Length::from_si(0.3), &rules).is_err());
}

proptest! {
    #[test]
    fn the_sheet_lets_through_what_it_was_reckoned_from(flow in 0.0..0.02, edge in 0.05..3.0) {
        let rules = Rules::compiled_in().unwrap().weir;
        let (flow, edge) = (VolumeRate::from_si(flow), Length::from_si(edge));
        let sheet = sheet(flow, edge, &rules).unwrap();
        let back = over_edge(sheet, edge, &rules).unwrap();
        prop_assert!((back.si() - flow.si()).abs() <= 1e-12);
    }
}
