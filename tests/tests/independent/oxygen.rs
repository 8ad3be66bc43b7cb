//! Oxygen: `tests/independent/oxygen_*.csv`.

use reckoner_calc::Rules;
use reckoner_calc::formulas::oxygen;
use reckoner_calc::formulas::oxygen::{PowerCut, Until};
use reckoner_calc::quantity::{Dimension, Salinity, Share};
use reckoner_calc::tank::Water;
use reckoner_tests::{assert_printed, assert_within, independent};
use uom::si::f64::{Length, Mass, MassConcentration, MassRate, Power, Volume, VolumeRate};
use uom::si::molality::mole_per_kilogram;

use crate::seawater::celsius;

fn rules() -> Rules {
    Rules::compiled_in().unwrap()
}

fn water(degrees: f64, salinity: f64) -> Water {
    Water { temperature: celsius(degrees), salinity: Salinity(salinity) }
}

fn micromoles(water: Water, rules: &Rules) -> f64 {
    oxygen::solubility(water, &rules.oxygen).unwrap().get::<mole_per_kilogram>() * 1e6
}

fn millimoles_an_hour(grams: f64, degrees: f64, rules: &Rules) -> f64 {
    let rate = oxygen::respiration(Mass::from_si(grams * 1e-3), celsius(degrees), &rules.oxygen).unwrap();
    rate.si() / rules.oxygen.molar_mass.si() * 3600.0 * 1e3
}

#[test]
fn garcia_gordon_1992_over_the_whole_range() {
    let rules = rules();
    for row in independent("oxygen_solubility").rows() {
        let got = micromoles(water(row.number("t"), row.number("salinity")), &rules);
        assert_printed("solubility", got, row.text("gg92"));
    }
}

#[test]
fn gsw_solubility_differs_by_its_temperature_scale_only() {
    let rules = rules();
    for row in independent("oxygen_solubility").rows() {
        let (t, salinity) = (row.number("t"), row.number("salinity"));
        assert_within(
            "solubility",
            micromoles(water(t, salinity), &rules),
            row.number("gsw"),
            1.3e-4 * row.number("gsw"),
            "0.007 °C at 30 °C, by the scale of 1968",
        );
        // Fed the same temperature, both are the same to the last printed digit.
        assert_printed(
            "solubility at t68",
            micromoles(water(t * 1.00024, salinity), &rules),
            row.text("gsw"),
        );
    }
}

#[test]
fn benson_krause_1984_mg_per_litre() {
    let rules = rules();
    for row in independent("oxygen_solubility").rows() {
        let got =
            oxygen::saturation(water(row.number("t"), row.number("salinity")), &rules).unwrap().si() * 1e3;
        assert_within(
            "saturation",
            got,
            row.number("bk84"),
            4e-4 * got,
            "another formula fitted to the same data",
        );
        assert_within(
            "saturation",
            got,
            row.number("weiss70"),
            7e-3 * got,
            "measurements of an older generation",
        );
    }
}

#[test]
fn clarke_johnston_1999_scaled_to_other_sizes() {
    let rules = rules();
    for row in independent("oxygen_respiration").rows() {
        let got = millimoles_an_hour(row.number("mass"), row.number("t"), &rules);
        let want = row.number("mmol_h");
        assert_within("respiration", got, want, 1e-9 * want, "ten printed digits");
    }
}

#[test]
fn wanninkhof_2014_schmidt_and_cole_caraco_1998_still_surface() {
    let rules = rules().oxygen;
    for row in independent("oxygen_transfer").rows() {
        let t = celsius(row.number("t"));
        assert_printed("Schmidt number", oxygen::schmidt(t, &rules).unwrap(), row.text("schmidt"));
        assert_printed(
            "still transfer",
            oxygen::still_transfer(t, &rules).unwrap().si() * 100.0 * 3600.0,
            row.text("still"),
        );
    }
}

#[test]
fn numpy_surface_renewal_with_the_constant_of_read_2012() {
    let rules = rules();
    for row in independent("oxygen_renewal").rows() {
        let power = Power::from_si(row.number("dissipation"));
        let got = oxygen::stirred_transfer(power, Mass::from_si(1.0), water(row.number("t"), 35.0), &rules)
            .unwrap();
        let want = row.number("transfer");
        assert_within(
            "stirred transfer",
            got.si() * 100.0 * 3600.0,
            want,
            1.3e-4 * want,
            "a quarter of the 0.05 % between the viscosities",
        );
    }
}

#[test]
fn a_sealed_tank_runs_out_when_numpy_says_so() {
    for row in independent("oxygen_night").rows() {
        let start = MassConcentration::from_si(6.6586785e-3);
        let cut = PowerCut {
            water: Volume::from_si(row.number("water_L") * 1e-3),
            saturation: start,
            start,
            demand: MassRate::from_si(
                row.number("area_m2") * row.number("flux_mmol_m2_h") * 31.9988e-6 / 3600.0,
            ),
            exchange: VolumeRate::from_si(0.0),
        };
        assert_printed("demand, mg/h", cut.demand.si() * 3600e6, row.text("demand_mg_h"));
        let Until::Reached(time) =
            cut.until(MassConcentration::from_si(row.number("level_mg_L") * 1e-3)).unwrap()
        else {
            panic!("never")
        };
        let want = row.number("hours");
        assert_within(
            "hours",
            time.si() / 3600.0,
            want,
            3e-7 * want,
            "eight printed digits of the saturation, a difference of which counts",
        );
    }
}

#[test]
fn bubbles_and_falling_water_bring_what_numpy_says() {
    let rules = rules();
    for row in independent("oxygen_air").rows() {
        if row.text("what") == "fall" {
            let taken = oxygen::taken_up_in_a_fall(
                Length::from_si(row.number("height_m")),
                celsius(row.number("degrees")),
                &rules.oxygen,
            )
            .unwrap();
            assert_printed("r of a fall", 1.0 / (1.0 - taken.0), row.text("r"));
        } else {
            let air = VolumeRate::from_si(row.number("air_L_h") * 1e-3 / 3600.0);
            let depth = Length::from_si(row.number("depth_m"));
            let exchange =
                oxygen::bubbles(air, depth, Share(row.number("share_per_m")), celsius(26.0), &rules).unwrap();
            let want = row.number("exchange_1_h");
            assert_within(
                row.text("what"),
                exchange.si() * 3600.0 / 0.25,
                want,
                1e-3 * want,
                "another fit to the oxygen in fresh water",
            );
        }
    }
}
