use proptest::prelude::*;
use uom::si::f64::Power;

use super::*;
use crate::quantity::parse;

fn euros(amount: f64) -> Money {
    Money { amount, currency: Currency::new("EUR").unwrap() }
}

fn pump(price: f64, watts: f64, wet_end: f64, interval: f64) -> Owned {
    Owned {
        price: euros(price),
        energy_per_year: power::energy_per_year(Power::from_si(watts)),
        wet_end: euros(wet_end),
        wet_end_interval: Time::from_si(interval * YEAR),
    }
}

fn years(value: f64) -> Time {
    Time::from_si(value * YEAR)
}

#[test]
fn a_wet_end_is_bought_each_time_the_last_one_is_worn_out() {
    let bought =
        |interval: &str, over: &str| wet_ends(parse(interval).unwrap(), parse(over).unwrap()).unwrap();
    assert_eq!(bought("2 years", "6 years"), 2);
    assert_eq!(bought("4 years", "6 years"), 1);
    assert_eq!(bought("6 years", "6 years"), 0);
    assert_eq!(bought("10 years", "6 years"), 0);
    assert_eq!(bought("6 months", "1 year"), 1);
}

#[test]
fn money_of_two_currencies_is_never_added() {
    let error =
        ownership(pump(100.0, 10.0, 30.0, 2.0), Money { amount: 0.3, currency: Currency::USD }, years(5.0))
            .unwrap_err();
    assert_eq!(
        error.to_string(),
        "the cost of this pump: the prices of pump, wet end and energy are in EUR, EUR, USD; write all three in one currency"
    );
}

#[test]
fn what_is_no_price_is_refused() {
    let refused = |pump: Owned, over: f64| ownership(pump, euros(0.3), years(over)).unwrap_err().to_string();
    assert!(refused(pump(-1.0, 10.0, 30.0, 2.0), 5.0).starts_with("the price of the pump"));
    assert!(refused(pump(100.0, 10.0, f64::NAN, 2.0), 5.0).starts_with("the price of a wet end is NaN"));
    assert!(refused(pump(100.0, 10.0, 30.0, 0.0), 5.0).starts_with("the life of a wet end"));
    assert!(refused(pump(100.0, -10.0, 30.0, 2.0), 5.0).starts_with("the energy in a year"));
    assert!(refused(pump(100.0, 10.0, 30.0, 2.0), 0.5).starts_with("the years of the cost"));
}

proptest! {
    #[test]
    fn the_total_is_its_parts_and_grows_with_the_years(
        price in 1.0..1000.0, watts in 1.0..100.0, wet_end in 1.0..200.0, interval in 0.5..10.0, over in 1.0..40.0
    ) {
        let pump = pump(price, watts, wet_end, interval);
        let now = ownership(pump, euros(0.3), years(over)).unwrap();
        prop_assert!((now.total.amount - price - now.energy.amount - now.wear.amount).abs() < 1e-9);
        prop_assert!(ownership(pump, euros(0.3), years(over + 1.0)).unwrap().total.amount > now.total.amount);
        // So many wet ends and the first one last the years, and one fewer would not.
        let lives = f64::from(now.wet_ends) * interval;
        prop_assert!(lives + interval >= over * (1.0 - 1e-8) && (lives < over || now.wet_ends == 0));
    }
}
