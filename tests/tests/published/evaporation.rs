//! What evaporates from a still pool: `tests/published/evaporation.csv`.

use reckoner_calc::Rules;
use reckoner_calc::formulas::evaporation::{Air, still};
use reckoner_calc::quantity::{Dimension, Share, parse};
use reckoner_tests::{assert_within, published};

#[test]
fn shah_2014_pools() {
    let rules = Rules::compiled_in().unwrap().evaporation;
    for row in published("evaporation").rows() {
        let degrees = |column: &str| parse(&format!("{} °C", row.text(column))).unwrap();
        let air = Air { room: degrees("t_air"), humidity: Share(row.number("humidity")) };
        let flux = still(degrees("t_water"), air, Share(1.0), &rules).unwrap().si() * 3600.0;
        let printed = row.number("evaporates");
        assert_within("kg/(m² h)", flux, printed, 0.004 * printed, "his table took other vapour pressures");
    }
}
