//! Density, viscosity and specific gravity of seawater: `tests/independent/seawater_*.csv`, and the library
//! `gsw`.

use gsw::conversions::{ct_from_pt, sr_from_sp};
use reckoner_calc::Rules;
use reckoner_calc::formulas::seawater::{self, Convention};
use reckoner_calc::quantity::{Dimension, Salinity, SpecificGravity};
use reckoner_calc::rules::seawater::SeawaterRules;
use reckoner_tests::{assert_printed, assert_within, independent};
use uom::si::f64::ThermodynamicTemperature;
use uom::si::thermodynamic_temperature::degree_celsius;

fn rules() -> SeawaterRules {
    Rules::compiled_in().unwrap().seawater
}

pub(crate) fn celsius(degrees: f64) -> ThermodynamicTemperature {
    ThermodynamicTemperature::new::<degree_celsius>(degrees)
}

#[test]
fn eos_80_in_another_library_agrees_over_the_whole_range() {
    let rules = rules();
    for row in independent("seawater_density").rows() {
        let got =
            seawater::density(Salinity(row.number("salinity")), celsius(row.number("t")), &rules).unwrap();
        assert_printed("density", got.si(), row.text("eos80"));
    }
}

#[test]
fn teos_10_density_differs_by_no_more_than_the_two_standards_do() {
    let rules = rules();
    for row in independent("seawater_density").rows() {
        let got =
            seawater::density(Salinity(row.number("salinity")), celsius(row.number("t")), &rules).unwrap();
        assert_within(
            "density",
            got.si(),
            row.number("teos10"),
            0.01,
            "EOS-80 and TEOS-10 are two standards",
        );
    }
}

#[test]
fn gsw_density_over_every_salinity_and_temperature() {
    let rules = rules();
    for halves in 0..=84 {
        for degrees in -2..=40 {
            let (salinity, degrees) = (f64::from(halves) * 0.5, f64::from(degrees));
            let absolute = sr_from_sp(salinity);
            // At the surface potential temperature is temperature.
            let conservative = ct_from_pt(absolute, degrees).unwrap();
            let want = gsw::volume::rho(absolute, conservative, 0.0).unwrap();
            let got = seawater::density(Salinity(salinity), celsius(degrees), &rules).unwrap();
            // Where tanks are, the standards differ by 0.006 kg/m³ at most; farthest in the coldest, saltiest
            // corner.
            let in_a_tank = salinity >= 20.0 && (15.0..=35.0).contains(&degrees);
            let tolerance = if in_a_tank { 0.006 } else { 0.012 };
            let reason = "EOS-80 and TEOS-10 are two standards";
            assert_within(&format!("S {salinity}, {degrees} °C"), got.si(), want, tolerance, reason);
        }
    }
}

#[test]
fn eos_80_specific_gravity_in_five_conventions() {
    let rules = rules();
    for row in independent("seawater_gravity").rows() {
        let convention =
            Convention { sample: celsius(row.number("sample")), water: celsius(row.number("water")) };
        if row.text("direction") == "sg_from_s" {
            let got =
                seawater::specific_gravity(Salinity(row.number("salinity")), convention, &rules).unwrap();
            assert_printed("specific gravity", got.0, row.text("gravity"));
        } else {
            let got = seawater::salinity(SpecificGravity(row.number("gravity")), convention, &rules).unwrap();
            assert_within(
                "salinity",
                got.0,
                row.number("salinity"),
                1e-6,
                "the last digits of both root finders",
            );
        }
    }
}

#[test]
fn iapws_viscosity_of_standard_seawater() {
    let rules = rules();
    for row in independent("seawater_viscosity").rows() {
        let got =
            seawater::kinematic_viscosity(Salinity(35.0), celsius(row.number("t")), &rules).unwrap().si()
                * 1e6;
        let reason = "what the two fits of pure water's viscosity differ by";
        assert_within(row.text("t"), got, row.number("iapws"), 5e-4 * got, reason);
    }
}
