use proptest::prelude::*;

use super::*;
use crate::cases::costly;

fn tank(panes: f64, area: f64, stirred: bool, open: f64, wind: f64) -> Outside {
    let surface = Surface { area: Area::from_si(area), stirred, open: Share(open), wind };
    let passes = HeatTransfer::new::<watt_per_square_meter_kelvin>(6.9);
    Outside { panes: Area::from_si(panes), passes, surface }
}

fn room(degrees: f64, humidity: f64) -> Air {
    Air { room: celsius(degrees), humidity: Share(humidity) }
}

#[test]
fn panes_that_pass_nothing_or_all_are_told() {
    let pane = Length::from_si(0.01);
    assert!(passes(pane, 0.0, 0.0, 0.13).is_err());
    assert!(passes(Length::from_si(0.0), 1.0, 0.0, 0.0).is_err());
    assert!(passes(pane, 1.0, f64::NAN, 0.13).is_err());
    assert!(passes(Length::from_si(0.2), 1.0, 0.0, 0.13).is_err());
}

#[test]
fn a_pump_that_boils_its_tank_has_no_answer() {
    let rules = Rules::compiled_in().unwrap();
    let small = tank(0.1, 0.02, false, 0.1, 1.0);
    assert_eq!(settles_at(&small, Power::from_si(1000.0), room(22.0, 0.5), &rules).unwrap(), None);
    assert_eq!(room_for(&small, Power::from_si(1000.0), celsius(28.0), Share(0.5), &rules).unwrap(), None);
}

#[test]
fn in_a_full_room_a_tank_without_pumps_is_as_warm_as_the_room() {
    let rules = Rules::compiled_in().unwrap();
    let settled = settles_at(&tank(1.0, 0.4, true, 1.0, 1.0), Power::default(), room(24.0, 1.0), &rules);
    // Seawater draws a little vapour out of air that is full over pure water.
    assert!((settled.unwrap().unwrap().si() - celsius(24.0).si()).abs() < 0.3);
}

#[test]
fn where_the_water_settles_it_loses_what_goes_in() {
    let inputs = (0.2..6.0, 0.1..2.0, any::<bool>(), 0.1..1.0, 1.0..2.5, (0.0..200.0, 12.0..34.0, 0.1..0.95));
    costly(4, inputs, |(panes, area, stirred, open, wind, (power, degrees, humidity))| {
        let rules = Rules::compiled_in().unwrap();
        let (tank, air) = (tank(panes, area, stirred, open, wind), room(degrees, humidity));
        let power = Power::from_si(power);
        if let Some(water) = settles_at(&tank, power, air, &rules).unwrap() {
            let lost = loss(&tank, water, air, &rules).unwrap();
            prop_assert!((lost - power).abs().si() < 1e-6);
            // A fan never warms, and more power never cools.
            let fanned = Outside { surface: Surface { wind: wind + 0.5, ..tank.surface }, ..tank };
            let cooler = settles_at(&fanned, power, air, &rules).unwrap();
            prop_assert!(cooler.is_none_or(|cooler| cooler.si() <= water.si() + 1e-9));
            let warmer = settles_at(&tank, power + Power::from_si(10.0), air, &rules).unwrap();
            prop_assert!(warmer.is_none_or(|warmer| warmer > water));
            if let Some(back) = room_for(&tank, power, water, air.humidity, &rules).unwrap() {
                prop_assert!((back.si() - air.room.si()).abs() < 1e-6);
            }
        }
        Ok(())
    });
}
