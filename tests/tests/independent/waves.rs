//! The slosh of tanks: `tests/independent/waves.csv` and `waves_dispersion.csv`.

use std::f64::consts::PI;

use reckoner_calc::formulas::waves::{shallow_period, slosh_period, wavelength};
use reckoner_calc::quantity::Dimension;
use reckoner_tests::{assert_within, independent};
use uom::si::f64::{Length, Time};

fn metres(value: f64) -> Length {
    Length::from_si(value)
}

#[test]
fn numpy_boxes_slosh_as_computed_over_the_whole_table() {
    for row in independent("waves").rows() {
        let (length, depth) = (metres(row.number("L_m")), metres(row.number("h_m")));
        let mode = row.text("mode").parse().unwrap();
        let what = format!("{} m long, {} m deep, mode {mode}", row.text("L_m"), row.text("h_m"));
        let (exact, merian) = (
            slosh_period(length, depth, mode).unwrap().si(),
            shallow_period(length, depth, mode).unwrap().si(),
        );
        let check = |column: &str, got: f64| {
            assert_within(&what, got, row.number(column), 1e-9 * row.number(column), "ten printed digits")
        };
        check("T_exact_s", exact);
        check("T_merian_s", merian);
        check("merian_over_exact", merian / exact);
    }
}

#[test]
fn scipy_waves_have_the_computed_length_over_the_whole_table() {
    for row in independent("waves_dispersion").rows() {
        let wave = wavelength(Time::from_si(row.number("T_s")), metres(row.number("h_m"))).unwrap().si();
        let what = format!("{} s, {} m deep", row.text("T_s"), row.text("h_m"));
        let check = |column: &str, got: f64| {
            assert_within(&what, got, row.number(column), 1e-9 * row.number(column), "ten printed digits")
        };
        check("wavelength_m", wave);
        check("k_1_m", 2.0 * PI / wave);
        check("kh", 2.0 * PI / wave * row.number("h_m"));
    }
}
