use super::*;

#[test]
fn nothing_is_worked_out_of_no_time_and_no_swing() {
    let (litre, second) = (Volume::from_si(1e-3), Time::from_si(1.0));
    assert!(flow_of(litre, Time::from_si(0.0)).is_err());
    assert!(speed_of(Length::from_si(1.0), Time::from_si(f64::NAN)).is_err());
    assert!(period_of(0, second).is_err());
    assert!(ratio_of(1.0, 0.0).is_err());
    assert!(ratio_of(f64::INFINITY, 1.0).is_err());
    assert!((period_of(10, Time::from_si(12.0)).unwrap().si() - 1.2).abs() < 1e-12);
    assert!((ratio_of(3.0, 2.0).unwrap().si() - 1.5).abs() < 1e-12);
}
