//! Panes full of water: `tests/independent/glass_water.csv`, `glass_tanks.csv`.

use reckoner_calc::Rules;
use reckoner_calc::formulas::glass::{Load, Pane, Rim, bent};
use reckoner_calc::quantity::Dimension;
use reckoner_tests::independent;
use uom::si::f64::{Length, MassDensity, Ratio};

/// The other library looked for the worst place on another grid: the two agree to a thousandth.
fn is_near(what: &str, reckoned: f64, printed: f64) {
    assert!((reckoned / printed - 1.0).abs() <= 1e-3, "{what} is {reckoned}, the library says {printed}");
}

#[test]
fn numpy_bends_panes_full_of_water_the_same() {
    for row in independent("glass_water").rows() {
        let (length, poisson) =
            (Ratio::from_si(row.number("length_over_height")), Ratio::from_si(row.number("poisson")));
        let at = |rim| bent(length, poisson, rim, Load::Water).unwrap();
        is_near("free", at(Rim::Free).bending, row.number("free"));
        is_near("braced", at(Rim::Braced).bending, row.number("braced"));
        is_near("twist", at(Rim::Free).twisting, row.number("twist"));
    }
}

#[test]
fn numpy_loads_the_panes_of_five_tanks_the_same() {
    let rules = Rules::compiled_in().unwrap().glass;
    for row in independent("glass_tanks").rows() {
        let metres = |column: &str, scale: f64| Length::from_si(row.number(column) * scale);
        let pane = |rim| Pane {
            length: metres("length_m", 1.0),
            height: metres("height_m", 1.0),
            rim,
            water: MassDensity::from_si(1025.0),
        };
        let stress = |rim| pane(rim).stress(metres("pane_mm", 1e-3), &rules).unwrap().si() / 1e6;
        is_near("free", stress(Rim::Free), row.number("free_MPa"));
        is_near("braced", stress(Rim::Braced), row.number("braced_MPa"));
    }
}
