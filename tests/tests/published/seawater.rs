//! Density and viscosity of seawater: `tests/published/seawater_*.csv`.

use reckoner_calc::Rules;
use reckoner_calc::formulas::seawater;
use reckoner_calc::quantity::{Dimension, Salinity};
use reckoner_calc::rules::seawater::SeawaterRules;
use reckoner_tests::{assert_printed, assert_within, published};
use uom::si::f64::ThermodynamicTemperature;
use uom::si::thermodynamic_temperature::degree_celsius;

fn rules() -> SeawaterRules {
    Rules::compiled_in().unwrap().seawater
}

pub(crate) fn celsius(degrees: f64) -> ThermodynamicTemperature {
    ThermodynamicTemperature::new::<degree_celsius>(degrees)
}

#[test]
fn unesco_technical_paper_44_density_check_values() {
    let rules = rules();
    for row in published("seawater_unesco").rows() {
        let t90 = celsius(row.number("t68") / 1.00024);
        let got = seawater::density(Salinity(row.number("salinity")), t90, &rules).unwrap();
        assert_printed("density", got.si(), row.text("density"));
    }
}

#[test]
fn ittc_7_5_02_01_03_viscosity_of_standard_seawater() {
    let rules = rules();
    let table = published("seawater_viscosity");
    assert_eq!(table.rows().count(), 30);
    for row in table.rows() {
        let got =
            seawater::kinematic_viscosity(Salinity(35.0), celsius(row.number("t")), &rules).unwrap().si()
                * 1e6;
        let reason = "what the two fits of pure water's viscosity differ by";
        assert_within(row.text("t"), got, row.number("ittc"), 5e-4 * got, reason);
    }
}
