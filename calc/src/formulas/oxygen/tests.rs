use proptest::prelude::*;

use super::course::mg_per_litre;
use super::*;
use crate::quantity::parse;

fn rules() -> Rules {
    Rules::compiled_in().unwrap()
}

fn sea() -> Water {
    Water { temperature: celsius(25.0), salinity: Salinity(35.0) }
}

/// A tank of 170 L with a surface of 0.4 m².
fn cut(demand_mg_h: f64, transfer_cm_h: f64) -> PowerCut {
    PowerCut {
        water: Volume::from_si(0.17),
        saturation: mg_per_litre(6.8),
        start: mg_per_litre(6.0),
        demand: MassRate::from_si(demand_mg_h * 1e-6 / 3600.0),
        exchange: through_surface(
            TransferVelocity::from_si(transfer_cm_h * 1e-2 / 3600.0),
            Area::from_si(0.4),
        ),
    }
}

fn seconds(until: Until) -> f64 {
    match until {
        Until::Reached(time) => time.si(),
        Until::Never(settles) => panic!("never, but settles at {settles:?}"),
    }
}

#[test]
fn small_steps_of_the_balance_come_to_the_same_time() {
    // The balance itself, walked in steps of a second with the slope at the middle of each: no closed form in
    // it.
    let cut = cut(150.0, 2.4);
    let per_second = |c: f64| {
        let comes_in = cut.exchange.si() * (cut.saturation.si() - c);
        (comes_in - cut.demand.si()) / cut.water.si()
    };
    let (mut oxygen, mut walked) = (cut.start.si(), 0.0);
    while oxygen > 4.8e-3 {
        let middle = oxygen + 0.5 * per_second(oxygen);
        oxygen += per_second(middle);
        walked += 1.0;
    }
    let got = seconds(cut.until(mg_per_litre(4.8)).unwrap());
    assert!((got - walked).abs() <= 1.0, "closed form {got} s, walked {walked} s");
}

#[test]
fn a_stock_that_breathes_no_more_than_comes_in_never_runs_out() {
    // At 4.8 mg/L 2.4 cm/h × 0.4 m² × 2 mg/L come in: 19.2 mg/h.
    let until = |demand| cut(demand, 2.4).until(mg_per_litre(4.8)).unwrap();
    assert!(matches!(until(19.3), Until::Reached(_)));
    let Until::Never(settles) = until(19.1) else { panic!("reached") };
    assert!((settles.si() - (6.8e-3 - 19.1 / 9.6 * 1e-3)).abs() < 1e-9);
    // Where nothing breathes, or nothing comes in either, it stays or rises.
    assert!(matches!(until(0.0), Until::Never(settles) if (settles.si() - 6.8e-3).abs() < 1e-12));
    let still = cut(0.0, 0.0).until(mg_per_litre(4.8)).unwrap();
    assert_eq!(still, Until::Never(mg_per_litre(6.0)));
}

#[test]
fn a_limit_above_the_start_is_reached_at_once() {
    assert_eq!(cut(10.0, 2.4).until(mg_per_litre(6.5)).unwrap(), Until::Reached(Time::from_si(0.0)));
}

#[test]
fn parts_that_are_no_tank_are_refused() {
    let usual = cut(100.0, 2.4);
    for wrong in [
        PowerCut { water: Volume::from_si(0.0), ..usual },
        PowerCut { exchange: VolumeRate::from_si(-1.0), ..usual },
        PowerCut { saturation: mg_per_litre(f64::NAN), ..usual },
        PowerCut { start: mg_per_litre(30.0), ..usual },
        PowerCut { demand: MassRate::from_si(f64::INFINITY), ..usual },
        PowerCut { exchange: VolumeRate::from_si(3.0), ..usual },
    ] {
        assert!(wrong.until(mg_per_litre(4.8)).is_err(), "{wrong:?}");
        assert!(wrong.after(Time::from_si(1.0)).is_err(), "{wrong:?}");
    }
    assert!(usual.until(mg_per_litre(-1.0)).is_err());
    assert!(usual.after(Time::from_si(-1.0)).is_err());
    let rules = rules();
    assert!(respiration(parse("50 g").unwrap(), celsius(36.0), &rules.oxygen).is_err());
    assert!(respiration(parse("30 kg").unwrap(), celsius(25.0), &rules.oxygen).is_err());
    assert!(solubility(Water { temperature: celsius(41.0), ..sea() }, &rules.oxygen).is_err());
    assert!(schmidt(celsius(41.0), &rules.oxygen).is_err());
    assert!(stirred_transfer(Power::from_si(-1.0), Mass::from_si(1.0), sea(), &rules).is_err());
    assert!(jet_power(VolumeRate::from_si(1e-4), Area::from_si(0.0), sea(), &rules).is_err());
}

#[test]
fn still_water_that_nothing_stirs_takes_in_nothing_by_stirring() {
    let transfer = stirred_transfer(Power::from_si(0.0), Mass::from_si(100.0), sea(), &rules()).unwrap();
    assert!(transfer.si().abs() < 1e-300);
}

fn mg_an_hour(rate: MassRate) -> f64 {
    rate.si() * 3600.0 * 1e6
}

/// Rates where they were measured are the printed ones: half a square metre of Long's reef slope takes up
/// 393.3 mg/h.
#[test]
fn a_reef_sand_and_rock_take_up_what_was_measured() {
    let all = rules();
    let (corals, rules) = (all.kind("small_polyp").unwrap(), &all.oxygen);
    let there = *rules.night_temperature;
    let floor = reef_breathing(Area::from_si(0.5), corals, there, rules).unwrap();
    let share = rules.reef_share(corals);
    assert!((mg_an_hour(floor.high) - 393.31 * share.high.0).abs() < 0.01 * share.high.0);
    let parts = sand_and_rock_breathing(Area::from_si(1.0), Mass::default(), there, rules).unwrap();
    assert!(
        (mg_an_hour(parts.low) - 19.519).abs() < 1e-3 && (mg_an_hour(parts.high) - 93.117).abs() < 1e-3,
        "{parts:?}"
    );
    // A square metre of rubble takes up 15.9994 to 26.239 mg/h.
    let rock = sand_and_rock_breathing(Area::default(), Mass::from_si(1.0), there, rules).unwrap();
    assert!((mg_an_hour(rock.low) / rules.rock_surface.low.si() - 15.9994).abs() < 1e-3);
    assert!((mg_an_hour(rock.high) / rules.rock_surface.high.si() - 26.239).abs() < 1e-3);
    // Ten degrees warmer it breathes so many times more.
    let warm =
        sand_and_rock_breathing(Area::default(), Mass::from_si(1.0), there + temperature_step(5.0), rules)
            .unwrap();
    assert!((warm.low.si() / rock.low.si() - rules.night_q10.si().sqrt()).abs() < 1e-9);
}

fn temperature_step(degrees: f64) -> uom::si::f64::TemperatureInterval {
    uom::si::f64::TemperatureInterval::new::<uom::si::temperature_interval::kelvin>(degrees)
}

#[test]
fn every_kind_of_livestock_takes_up_no_less_than_the_one_before() {
    let rules = rules();
    let shares: Vec<_> = rules.livestock.iter().map(|kind| rules.oxygen.reef_share(kind)).collect();
    assert!(shares.is_sorted_by(|one, two| one.low <= two.low && one.high < two.high), "{shares:?}");
}

/// The stretches of a course joined end to end are one course: a stretch that changes nothing is none.
#[test]
fn a_course_goes_on_where_its_last_stretch_ends() {
    let still = cut(150.0, 2.4);
    let stirred = PowerCut { exchange: still.exchange * 3.0, ..still };
    let course = Course {
        cut: still,
        stretches: vec![Stretch { until: Time::from_si(7200.0), exchange: stirred.exchange }],
    };
    let at = |course: &Course, hours: f64| course.after(Time::from_si(hours * 3600.0)).unwrap().si();
    assert!((at(&course, 1.5) - stirred.after(Time::from_si(5400.0)).unwrap().si()).abs() < 1e-15);
    let then = PowerCut { start: stirred.after(Time::from_si(7200.0)).unwrap(), ..still };
    assert!((at(&course, 5.0) - then.after(Time::from_si(3.0 * 3600.0)).unwrap().si()).abs() < 1e-15);
    let limit = mg_per_litre(3.0);
    let whole = course.until(limit).unwrap().seconds();
    assert!((whole - 7200.0 - then.until(limit).unwrap().seconds()).abs() < 1e-6);
    assert!(whole > still.until(limit).unwrap().seconds());
    let same = Course {
        cut: still,
        stretches: vec![Stretch { until: Time::from_si(1000.0), exchange: still.exchange }],
    };
    assert!(
        (same.until(limit).unwrap().seconds() / still.until(limit).unwrap().seconds() - 1.0).abs() < 1e-12
    );
}

/// An air pump of 100 L/h at 40 cm, of which fine bubbles give 5.5 % a metre: 0.3058 an hour in 250 L at 26
/// °C, worked out apart.
#[test]
fn bubbles_bring_what_the_standard_transfer_gives() {
    let rules = rules();
    for (share, per_hour) in [(0.055, 0.305_751), (0.025, 0.138_978)] {
        let got =
            bubbles(parse("100 L/h").unwrap(), parse("40 cm").unwrap(), Share(share), celsius(26.0), &rules)
                .unwrap();
        assert!((got.si() * 3600.0 / 0.250 / per_hour - 1.0).abs() < 1e-3, "{got:?}");
    }
}

/// Clean water that falls freely: r is 1.1485541 at 10 cm and 1.4357488 at 30 cm, both at 26 °C, worked out
/// apart.
#[test]
fn falling_water_takes_up_its_share() {
    let rules = rules().oxygen;
    for (height, r) in [("10 cm", 1.148_554_1), ("30 cm", 1.435_748_8)] {
        let got = taken_up_in_a_fall(parse(height).unwrap(), celsius(26.0), &rules).unwrap().0;
        assert!((got - (1.0 - 1.0 / r)).abs() < 1e-7, "{height}: {got}");
    }
    // Ten litres an hour poured from 10 cm: 10 kg × 9.81 m/s² × 0.1 m in 3600 s, and a little for the salt.
    let power =
        pouring_power(parse("10 L/h").unwrap(), parse("10 cm").unwrap(), sea(), &self::rules()).unwrap().si();
    assert!((power / (10.0 * 9.80665 * 0.1 / 3600.0) - 1.0233).abs() < 1e-3, "{power}");
}

proptest! {
    #[test]
    fn oxygen_is_at_the_limit_when_the_time_is_up(demand in 20.0..2000.0, transfer in 0.0..20.0, limit in 1.0..5.9) {
        let cut = cut(demand, transfer);
        match cut.until(mg_per_litre(limit)).unwrap() {
            Until::Reached(time) if time.si() < 3.2e7 => {
                let left = cut.after(time).unwrap();
                prop_assert!((left.si() / mg_per_litre(limit).si() - 1.0).abs() < 1e-9);
            }
            Until::Reached(_) => {}
            Until::Never(settles) => {
                prop_assert!(settles.si() >= mg_per_litre(limit).si() * (1.0 - 1e-12));
                let left = cut.after(Time::from_si(3e7)).unwrap();
                prop_assert!(left.si() >= mg_per_litre(limit).si() * (1.0 - 1e-9));
            }
        }
    }

    #[test]
    fn more_breathing_shortens_and_more_transfer_lengthens_the_time(demand in 100.0..2000.0, transfer in 0.0..3.0, more in 1.01..3.0) {
        let time = |demand, transfer| match cut(demand, transfer).until(mg_per_litre(4.8)).unwrap() {
            Until::Reached(time) => time.si(),
            Until::Never(_) => f64::INFINITY,
        };
        prop_assert!(time(demand * more, transfer) < time(demand, transfer));
        prop_assert!(time(demand, (transfer + 0.01) * more) > time(demand, transfer));
    }

    #[test]
    fn without_exchange_the_store_lasts_store_over_breathing(demand in 10.0..2000.0, exchange in 0.0..1e-6) {
        // The exchange goes to nothing: the closed form must not lose its digits there.
        let got = seconds(cut(demand, exchange).until(mg_per_litre(4.8)).unwrap());
        let straight = (6.0 - 4.8) * 170.0 / demand * 3600.0;
        prop_assert!((got / straight - 1.0).abs() < 1e-5, "{got} against {straight}");
    }

    #[test]
    fn a_larger_tank_of_the_same_shape_of_trouble_lasts_as_long(demand in 30.0..2000.0, transfer in 0.0..2.0, k in 0.1..10.0) {
        let one = cut(demand, transfer);
        let other = PowerCut { water: one.water * k, exchange: one.exchange * k, demand: one.demand * k, ..one };
        let limit = mg_per_litre(4.8);
        prop_assert!((seconds(one.until(limit).unwrap()) / seconds(other.until(limit).unwrap()) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn warm_and_salty_water_holds_less(t in 0.0..39.0, s in 0.0..41.0, step in 0.01..1.0) {
        let rules = rules();
        let held = |t, s| saturation(Water { temperature: celsius(t), salinity: Salinity(s) }, &rules).unwrap();
        prop_assert!(held(t + step, s) < held(t, s));
        prop_assert!(held(t, s + step) < held(t, s));
    }

    #[test]
    fn powers_scale_as_the_laws_say(grams in 1.0..5000.0, litres in 100.0..10_000.0, watts in 0.01..60.0) {
        let rules = rules();
        let breath = |grams: f64| respiration(Mass::from_si(grams * 1e-3), celsius(25.0), &rules.oxygen).unwrap().si();
        prop_assert!((breath(2.0 * grams) / breath(grams) - libm::pow(2.0, 0.8)).abs() < 1e-9);
        let jet = |litres: f64, millimetres: f64| {
            let outlet = Area::from_si(millimetres * millimetres * 1e-6);
            jet_power(VolumeRate::from_si(litres * 1e-3 / 3600.0), outlet, sea(), &rules).unwrap().si()
        };
        prop_assert!((jet(2.0 * litres, 20.0) / jet(litres, 20.0) - 8.0).abs() < 1e-9);
        prop_assert!((jet(litres, 20.0) / jet(litres, 40.0) - 16.0).abs() < 1e-9);
        let stirred = |watts: f64| stirred_transfer(Power::from_si(watts), Mass::from_si(150.0), sea(), &rules).unwrap().si();
        prop_assert!((stirred(16.0 * watts) / stirred(watts) - 2.0).abs() < 1e-9);
    }
}
