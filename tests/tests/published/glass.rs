//! Plates and panes: `tests/published/glass_plates.csv`, `glass_water.csv`, `glass_tanks.csv`.

use reckoner_calc::Rules;
use reckoner_calc::glass::{Load, Pane, Rim, bent};
use reckoner_calc::quantity::Dimension;
use reckoner_tests::published;
use uom::si::f64::{Length, MassDensity, Ratio};

fn is_near(what: &str, reckoned: f64, printed: f64, share: f64) {
    assert!((reckoned / printed - 1.0).abs() <= share, "{what} is {reckoned}, printed {printed}");
}

/// The books print three or four digits and their own coarser sums: they agree with the series to 0.4 %.
#[test]
fn plates_under_an_even_load_bend_as_the_handbooks_print() {
    for row in published("glass_plates").rows() {
        let (ratio, printed) = (row.number("ratio"), row.number("printed"));
        let plate = |length: f64, rim| bent(Ratio::from_si(length), Ratio::from_si(0.3), rim, Load::Even).unwrap().bending;
        match row.text("edges") {
            // The height is the short side.
            "four" => is_near("four edges", plate(ratio, Rim::Braced), printed, 0.004),
            // Six times the moment is the stress; ours counts heights, the book lengths.
            _ => is_near("three edges", plate(1.0 / ratio, Rim::Free) * ratio * ratio / 6.0, printed, 0.004),
        }
    }
}

/// Another library looked for the worst place on another grid: the two agree to a thousandth.
#[test]
fn panes_full_of_water_bend_as_another_library_says() {
    for row in published("glass_water").rows() {
        let (length, poisson) = (Ratio::from_si(row.number("length_over_height")), Ratio::from_si(row.number("poisson")));
        let at = |rim| bent(length, poisson, rim, Load::Water).unwrap();
        is_near("free", at(Rim::Free).bending, row.number("free"), 1e-3);
        is_near("braced", at(Rim::Braced).bending, row.number("braced"), 1e-3);
        is_near("twist", at(Rim::Free).twisting, row.number("twist"), 1e-3);
    }
}

#[test]
fn panes_of_five_tanks_bear_what_another_library_says() {
    let rules = Rules::compiled_in().unwrap().glass;
    for row in published("glass_tanks").rows() {
        let metres = |column: &str, scale: f64| Length::from_si(row.number(column) * scale);
        let pane =
            |rim| Pane { length: metres("length_m", 1.0), height: metres("height_m", 1.0), rim, water: MassDensity::from_si(1025.0) };
        let stress = |rim| pane(rim).stress(metres("pane_mm", 1e-3), &rules).unwrap().si() / 1e6;
        is_near("free", stress(Rim::Free), row.number("free_MPa"), 1e-3);
        is_near("braced", stress(Rim::Braced), row.number("braced_MPa"), 1e-3);
    }
}
