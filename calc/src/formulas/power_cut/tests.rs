use super::*;
use crate::quantity::parse;

/// Worked by hand: 60 mg/h where 2 mg/L are missing take 30 L/h. 10 L/h come in, 50 L/h with pouring: half of
/// the time.
#[test]
fn hands_pour_for_what_is_missing() {
    let (breathing, saturation) = (parse("60 mg/h").unwrap(), parse("6 mg/L").unwrap());
    let needed = exchange_to_hold(breathing, saturation, parse("4 mg/L").unwrap()).unwrap();
    assert!((needed.si() * 3.6e6 - 30.0).abs() < 1e-9);
    let share = share_poured(needed, parse("10 L/h").unwrap(), parse("50 L/h").unwrap()).unwrap();
    assert!((share.si() - 0.5).abs() < 1e-9);
}

#[test]
fn what_can_not_be_held_has_no_answer() {
    let (breathing, saturation) = (parse("60 mg/h").unwrap(), parse("6 mg/L").unwrap());
    for limit in ["6 mg/L", "7 mg/L"] {
        assert!(exchange_to_hold(breathing, saturation, parse(limit).unwrap()).is_err());
    }
    let flow = |text| parse::<VolumeRate>(text).unwrap();
    for pouring in ["10 L/h", "5 L/h"] {
        assert!(share_poured(flow("30 L/h"), flow("10 L/h"), flow(pouring)).is_err());
    }
}

/// A hundredth of 171 L are 1.71 L: 1.7 L in steps of 50 mL. The smallest jug is one step.
#[test]
fn a_jug_takes_no_more_than_its_share_of_the_water() {
    let litres = |water| jug(parse(water).unwrap(), parse("2 L").unwrap(), Share(0.01)).si() * 1e3;
    assert!(
        (litres("171 L") - 1.7).abs() < 1e-9
            && (litres("300 L") - 2.0).abs() < 1e-9
            && (litres("1 L") - 0.05).abs() < 1e-9
    );
}

#[test]
fn hands_come_at_a_share_of_the_time() {
    assert!((act_within(parse("3 h").unwrap(), Share(0.5)).si() - 5400.0).abs() < 1e-9);
}
