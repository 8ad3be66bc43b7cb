//! Evaporation against libraries, and forms typed in a second time: `tests/independent/evaporation*.csv`.

use reckoner_calc::Rules;
use reckoner_calc::formulas::evaporation::{Air, in_wind, salinity_after, still, stirred, vapour_pressure};
use reckoner_calc::formulas::heat::latent;
use reckoner_calc::formulas::seawater::density;
use reckoner_calc::quantity::{Dimension, Salinity, Share, parse};
use reckoner_tests::{assert_within, independent};
use uom::si::available_energy::kilojoule_per_kilogram;
use uom::si::f64::{Mass, Velocity, Volume};

#[test]
fn vapour_and_its_heat() {
    let rules = Rules::compiled_in().unwrap();
    for row in independent("evaporation_vapour").rows() {
        let t = parse(&format!("{} °C", row.text("t"))).unwrap();
        let pressure = vapour_pressure(t, &rules.evaporation).unwrap().si();
        for library in ["coolprop_Pa", "iapws_Pa"] {
            let theirs = row.number(library);
            assert_within(library, pressure, theirs, 1e-3 * theirs, "what the rule says of its coefficients");
        }
        let heat = latent(t, &rules.heat).unwrap().get::<kilojoule_per_kilogram>();
        assert_within("heat", heat, row.number("coolprop_kJ_kg"), 0.4, "a straight line for a slight curve");
    }
}

#[test]
fn pools_and_wind() {
    let rules = Rules::compiled_in().unwrap().evaporation;
    for row in independent("evaporation").rows() {
        let degrees = |column: &str| parse(&format!("{} °C", row.text(column))).unwrap();
        let air = Air { room: degrees("t_air"), humidity: Share(row.number("humidity")) };
        let (water, pure) = (degrees("t_water"), Share(1.0));
        let because = "other vapour pressures";
        let ours = stirred(water, air, pure, &rules).unwrap().si() * 3600.0;
        assert_within("stirred", ours, row.number("ashrae"), 1e-3 * ours, because);
        let ours = still(water, air, pure, &rules).unwrap().si() * 3600.0;
        assert_within("still", ours, row.number("shah"), 2e-3 * ours, because);
        let wind = in_wind(Velocity::from_si(row.number("v")), &rules).unwrap();
        assert_within("wind", wind, row.number("wind"), 1e-8, "the printed digits");
    }
}

#[test]
fn salt_stays() {
    let rules = Rules::compiled_in().unwrap().seawater;
    for row in independent("evaporation_salinity").rows() {
        let salinity = Salinity(row.number("salinity"));
        let volume = Volume::from_si(row.number("volume_L") * 1e-3);
        let water = volume * density(salinity, parse("26 °C").unwrap(), &rules).unwrap();
        let after = salinity_after(salinity, water, Mass::from_si(row.number("evaporated_kg"))).unwrap();
        assert_within("salinity", after.0, row.number("after"), 2e-5, "the density of another library");
    }
}
