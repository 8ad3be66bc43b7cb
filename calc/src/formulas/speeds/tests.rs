use super::*;

#[test]
fn what_is_no_fish_is_refused() {
    for length in [0.0, 1.1, f64::NAN] {
        assert!(fish_speed(Length::from_si(length), Ratio::from_si(3.0)).is_err(), "{length} m");
    }
}
