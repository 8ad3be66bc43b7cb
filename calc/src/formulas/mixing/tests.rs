use proptest::prelude::*;

use super::*;

fn hours(hours: f64) -> Time {
    Time::from_si(hours * 3600.0)
}

#[test]
fn all_of_the_water_never_passes() {
    let error = time_to_pass(Share(1.0), per_hour(10.0)).unwrap_err();
    assert!(error.to_string().contains("some of the water always stays behind"), "{error}");
    assert!(time_to_pass(Share(-0.1), per_hour(10.0)).is_err());
    assert!(time_to_pass(Share(f64::NAN), per_hour(10.0)).is_err());
    assert!(time_to_pass(Share(0.5), per_hour(0.0)).is_err());
    assert!(share_passed(per_hour(-1.0), hours(1.0)).is_err());
    assert!(share_passed(per_hour(1.0), hours(-1.0)).is_err());
}

#[test]
fn many_small_portions_come_to_the_same() {
    // Ten thousand times the same small portion is taken from the mixed tank and given back clean: no
    // exponential needed.
    let (steps, turnovers) = (10_000, 2.0);
    let mut left = 1.0;
    for _ in 0..steps {
        left -= left * turnovers / f64::from(steps);
    }
    let passed = share_passed(per_hour(turnovers), hours(1.0)).unwrap();
    assert!((passed.0 - (1.0 - left)).abs() < 1e-4, "{} against {}", passed.0, 1.0 - left);
}

proptest! {
    #[test]
    fn time_is_the_inverse_of_share(share in 0.0..0.9999, times in 0.1..100.0) {
        let time = time_to_pass(Share(share), per_hour(times)).unwrap();
        let back = share_passed(per_hour(times), time).unwrap();
        prop_assert!((back.0 - share).abs() < 1e-12);
    }

    #[test]
    fn more_time_passes_more_water_but_never_more_than_the_flow(times in 0.1..20.0, time in 0.01..1.0) {
        let share = |time| share_passed(per_hour(times), hours(time)).unwrap().0;
        prop_assert!(share(time) < share(1.1 * time));
        prop_assert!(share(time) <= times * time);
    }

    #[test]
    fn only_the_product_of_turnover_and_time_counts(times in 0.1..10.0, time in 0.01..1.0, k in 1.0..10.0) {
        let one = share_passed(per_hour(times * k), hours(time)).unwrap().0;
        let other = share_passed(per_hour(times), hours(time * k)).unwrap().0;
        prop_assert!((one - other).abs() < 1e-12);
    }
}
