use proptest::prelude::*;

use super::*;

fn cm(value: f64) -> Length {
    Length::from_si(value / 100.0)
}

#[test]
fn colonies_that_touch_leave_no_gap_and_no_light() {
    assert!(gap(cm(15.0), cm(20.0)).si().abs() < 1e-12);
    assert!((shaded(cm(10.0), cm(20.0)).0 - 1.0).abs() < 1e-12);
    // Discs that just touch on a square: a quarter of pi of it, by the area of a circle.
    assert!((shaded(cm(15.0), cm(15.0)).0 - PI / 4.0).abs() < 1e-12);
    assert!(time_to(cm(10.0), cm(3.0), cm(0.0)).is_err());
    assert!(time_to(cm(2.0), cm(3.0), cm(5.0)).unwrap().si().abs() < 1e-12);
}

proptest! {
    #[test]
    fn a_size_is_reached_when_it_is_said_to_be(first in 1.0..5.0, more in 0.0..30.0, a_year in 0.5..20.0) {
        let time = time_to(cm(first + more), cm(first), cm(a_year)).unwrap();
        prop_assert!((size(cm(first), cm(a_year), time).si() - cm(first + more).si()).abs() < 1e-12);
    }

    #[test]
    fn the_flow_rises_from_end_to_end_and_back(low in 0.1..1.0, more in 0.1..2.0, wide in 3.0..15.0) {
        let flow = |value: f64| VolumeRate::from_si(value * 1e-3);
        let band = Band { low: flow(low), high: flow(low + more) };
        let (first, grown) = (cm(3.0), cm(15.0));
        let aimed = |size| flow_for(size, first, grown, band.low, band.high);
        prop_assert_eq!(aimed(first), band.low);
        prop_assert!((aimed(grown) - band.high).abs().si() < 1e-12);
        let aim = aimed(cm(wide));
        if let Some(size) = size_for(aim, first, grown, band) {
            prop_assert!((size.si() - cm(wide).si()).abs() < 1e-9);
        }
    }
}
